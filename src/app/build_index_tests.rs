//! Whatever happened to a shop's files, a build from the index is the build from the files.

use super::*;
use crate::app::archive;
use crate::app::archive::BuildOptions;
use crate::app::archive::Built;
use crate::domain::card::Deck;
use crate::domain::rebuild::diff;
use crate::domain::rebuild::diff::Builds;
use crate::domain::rebuild::diff::Change;
use crate::store::decks;
use crate::store::disk::Disk;
use crate::store::model_disk::ModelDisk;
use crate::store::paths::ShopFolder;
use chrono::TimeDelta;
use proptest::prelude::*;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

const SHOP: &str = r#"{"v":1,"name":"Skerry","rate_per_hour":60,"boards":[{"id":"petrel-p4","kind":"display"},{"id":"tern-h3","kind":"display"},{"id":"skua-m2","kind":"pump"},{"id":"heron-k1"}]}"#;
const BOARDS: [&str; 4] = ["petrel-p4", "tern-h3", "skua-m2", "heron-k1"];

/// One thing that happens between two builds.
#[derive(Clone, Debug)]
enum Step {
    /// A job of a board, with this part replaced and this rail reading, of one of a few units.
    Job(usize, usize, usize, u64),
    /// The latest line is corrected: it never held.
    Correct,
    /// The latest line is taken back.
    Withdraw,
    /// A line stands once more in another file.
    Again,
    /// A number is given twice.
    Number,
    /// Something is written that is no job, with or without its end.
    Rubbish(bool),
    /// An old line is changed where it stands.
    Flip,
    /// A file goes.
    Remove,
    /// So many days go by.
    Days(i64),
    /// The board file names a part.
    Board(usize),
    /// The rate changes.
    Rate,
    /// A measurement takes longer.
    Minutes,
    /// The index is cut off.
    Cut,
}

fn any_step() -> impl Strategy<Value = Step> {
    prop_oneof![
        12 => (0..4_usize, 0..3_usize, 0..3_usize, 0..5_u64).prop_map(|(b, p, v, u)| Step::Job(b, p, v, u)),
        2 => Just(Step::Correct),
        1 => Just(Step::Withdraw),
        1 => Just(Step::Again),
        1 => Just(Step::Number),
        1 => any::<bool>().prop_map(Step::Rubbish),
        1 => Just(Step::Flip),
        1 => Just(Step::Remove),
        2 => (1..80_i64).prop_map(Step::Days),
        1 => (0..4_usize).prop_map(Step::Board),
        1 => Just(Step::Rate),
        1 => Just(Step::Minutes),
        1 => Just(Step::Cut),
    ]
}

struct Bench {
    disk: ModelDisk,
    now: DateTime<Utc>,
    n: usize,
}

fn file(name: &str) -> PathBuf {
    Path::new("/shop/jobs").join(name)
}

fn line(
    n: usize,
    job: usize,
    (board, part, value, unit): (usize, usize, usize, u64),
    more: &str,
) -> String {
    let family = ["standby", "buck", "bus"][part];
    let (board, part) = (BOARDS[board], ["U31", "L12", "C40"][part]);
    let got = ["0.1", "2.1", "3.3"][value];
    let day = 1 + n % 27;
    let unit = if unit == 0 {
        String::new()
    } else {
        format!(r#""unit":"u{unit}","#)
    };
    let proof = if n.is_multiple_of(3) {
        ""
    } else {
        r#""proof":"3V3 back","#
    };
    format!(
        r#"{{"v":2,"id":"a-{n}","job":"W-{job}","closed_on":"2026-01-{day:02}","board":"{board}",{unit}{proof}"complaint":["no-power"],"findings":[{{"kind":"rail","where":"3V3","state":"standby","expect_v":3.3,"got_v":{got}}},{{"kind":"rail","where":"5V0","state":"standby","expect_v":5,"got_v":{got}}}],"family":"{family}","actions":[{{"act":"replace","part":"{part}","role":"the-fix"}}],"outcome":"unknown-so-far"{more}}}"#
    )
}

impl Bench {
    fn new() -> Self {
        let disk = ModelDisk::new();
        disk.put(Path::new("/shop/shop.json"), SHOP.as_bytes());
        Self {
            disk,
            now: "2026-02-01T12:00:00Z".parse().expect("a time"),
            n: 0,
        }
    }

    fn add(&self, name: &str, text: &str) {
        let mut bytes = self.disk.read(&file(name)).unwrap_or_default();
        bytes.extend(text.as_bytes());
        self.disk.put(&file(name), &bytes);
    }

    fn happens(&mut self, step: &Step) {
        self.n += 1;
        let (n, before) = (self.n, self.n - 1);
        let linked = |more: &str| format!("{}\n", line(n, before, (0, 0, 0, 1), more));
        match step {
            Step::Job(board, part, value, unit) => {
                let text = line(n, n, (*board, *part, *value, *unit), "");
                self.add(["a.jsonl", "b.jsonl"][n % 2], &format!("{text}\n"));
            }
            Step::Correct => {
                self.add("b.jsonl", &linked(&format!(r#","corrects":"a-{before}""#)));
            }
            Step::Withdraw => {
                let more = format!(r#","corrects":"a-{before}","withdrawn":true"#);
                self.add("a.jsonl", &linked(&more));
            }
            Step::Again => {
                let bytes = self.disk.read(&file("a.jsonl")).unwrap_or_default();
                let text = String::from_utf8(bytes).expect("text");
                let last = text.lines().last().unwrap_or_default().to_owned();
                self.add("c.jsonl", &format!("{last}\n"));
            }
            Step::Number => self.add("a.jsonl", &linked("")),
            Step::Rubbish(ends) => {
                self.add("b.jsonl", if *ends { "{\"v\":1\n" } else { "{\"v\":" });
            }
            Step::Flip => {
                let bytes = self.disk.read(&file("a.jsonl")).unwrap_or_default();
                let text = String::from_utf8(bytes).expect("text");
                self.disk
                    .put(&file("a.jsonl"), text.replacen("U31", "L12", 1).as_bytes());
            }
            Step::Remove => drop(self.disk.remove(&file("c.jsonl"))),
            Step::Days(days) => self.now += TimeDelta::days(*days),
            Step::Board(at) => {
                let text = format!(
                    r#"{{"v":1,"board":"{}","parts":{{"U31":{{"name":"switcher {n}"}}}}}}"#,
                    BOARDS[*at]
                );
                let path = format!("/shop/boards/{}.json", BOARDS[*at]);
                self.disk.put(Path::new(&path), text.as_bytes());
            }
            Step::Rate => {
                let text = SHOP.replace("60", &format!("{}", 40 + n));
                self.disk.put(Path::new("/shop/shop.json"), text.as_bytes());
            }
            Step::Minutes => {
                let text = SHOP.replace(
                    "\"rate_per_hour\"",
                    &format!(r#""minutes":{{"rail":{n}}},"rate_per_hour""#),
                );
                self.disk.put(Path::new("/shop/shop.json"), text.as_bytes());
            }
            Step::Cut => {
                let path = Path::new("/shop/cache/build.idx");
                let bytes = self.disk.read(path).unwrap_or_default();
                self.disk.put(path, &bytes[..bytes.len() * (n % 5) / 5]);
            }
        }
    }

    fn open(&self) -> Workbench {
        let disk = Arc::new(self.disk.clone());
        Workbench::open(disk, ShopFolder::new("/shop"), "b7".to_owned()).expect("a shop")
    }

    fn open_to_build(&self) -> Workbench {
        let (disk, folder) = (Arc::new(self.disk.clone()), ShopFolder::new("/shop"));
        Workbench::open_to_build(disk, folder, "b7".to_owned(), "shop").expect("a shop")
    }

    fn build(&self) -> (Built, Vec<u8>) {
        let options = BuildOptions {
            deck: "shop".to_owned(),
            name: None,
            boards: Vec::new(),
            families: Vec::new(),
            apply: false,
            person: None,
        };
        let built = archive::build(&self.open_to_build(), &options, self.now).expect("a deck");
        let deck = self
            .disk
            .read(Path::new("/shop/decks/shop.json"))
            .expect("a deck");
        (built, deck)
    }

    /// The same shop, as if it had never been built.
    fn unbuilt(&self) -> Self {
        let disk = self.disk.fork();
        for path in ["cache/build.idx", "cache/shop.built", "decks/shop.json"] {
            drop(disk.remove(&Path::new("/shop").join(path)));
        }
        Self { disk, ..*self }
    }

    /// What differs from the deck on the disk, by all cards and all jobs at once.
    fn changes(&self) -> Vec<Change> {
        let workbench = self.open();
        let archive = workbench.archive().expect("jobs");
        let built = archive::with_input(&workbench, &archive.jobs, self.now, build::build);
        let Some(before) = workbench.decks.first() else {
            return Vec::new();
        };
        diff::diff(&Builds {
            before: &before.cards,
            after: &built.cards,
            lineage: &Lineage::default(),
            jobs: &archive.jobs,
            elsewhere: &BTreeSet::new(),
            skipped: &built.skipped,
        })
    }

    /// What the shop's jobs make without any index, as one piece, on one thread.
    fn files_alone(&self) -> Vec<u8> {
        let workbench = self.open();
        let archive = workbench.archive().expect("jobs");
        let built = archive::with_input(&workbench, &archive.jobs, self.now, build::build);
        let deck = Deck {
            deck: "shop".to_owned(),
            name: workbench.shop.name.clone(),
            from: archive.fingerprint,
            cards: built.cards,
        };
        let elsewhere = ModelDisk::new();
        let folder = ShopFolder::new("/else");
        decks::save_deck(&elsewhere, &folder, &deck).expect("a deck");
        elsewhere
            .read(Path::new("/else/decks/shop.json"))
            .expect("a deck")
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn a_build_from_the_index_is_the_build_from_the_files(
        steps in prop::collection::vec((any_step(), any::<bool>()), 1..40)
    ) {
        let mut bench = Bench::new();
        for (step, build) in steps {
            bench.happens(&step);
            if !build {
                continue;
            }
            let changes = bench.changes();
            let (warm, deck) = bench.build();
            let (cold, anew) = bench.unbuilt().build();
            prop_assert_eq!(&warm.rebuild.changes, &changes);
            prop_assert_eq!(&deck, &anew);
            prop_assert_eq!(&deck, &bench.files_alone());
            let same = Built { changed: true, rebuild: cold.rebuild.clone(), ..warm };
            prop_assert_eq!(same, cold);
        }
    }
}

fn with_jobs(n: usize) -> Bench {
    let mut bench = Bench::new();
    for at in 0..n {
        bench.happens(&Step::Job(at % 2, at % 3, at % 3, 0));
    }
    bench
}

/// Jobs whose readings tell the part, on every board.
fn on_all_boards(n: usize) -> Bench {
    let mut bench = Bench::new();
    for at in 0..n {
        let part = at / BOARDS.len() % 3;
        bench.happens(&Step::Job(at % BOARDS.len(), part, part, 0));
    }
    // An archive without any would warn on every card of how many jobs it has.
    let why = r#","no_fix_reason":"value-exceeded""#;
    let given_up = line(n + 1, n + 1, (0, 0, 0, 0), why)
        .replace("the-fix", "tried-no-effect")
        .replace("unknown-so-far", "no-fix");
    bench.n += 1;
    bench.add("a.jsonl", &format!("{given_up}\n"));
    bench
}

#[test]
fn a_pattern_over_several_boards_counts_the_new_job_of_one() {
    let over = |deck: &[u8]| -> Vec<String> {
        let text = String::from_utf8(deck.to_vec()).unwrap();
        let lines = text.lines().filter(|l| l.contains(r#""board":"""#));
        lines.map(str::to_owned).collect()
    };
    let mut bench = on_all_boards(48);
    let (_, before) = bench.build();
    assert!(!over(&before).is_empty());
    bench.happens(&Step::Job(3, 0, 0, 0));
    assert_eq!(anew(&bench), [BOARDS[3]]);
    let (_, after) = bench.build();
    assert_ne!(over(&after), over(&before));
    assert_eq!(after, bench.files_alone());
}

fn anew(bench: &Bench) -> Vec<String> {
    let made = made(&bench.open(), bench.now, &|_, _, _| {}).unwrap();
    made.anew.into_iter().collect()
}

#[test]
fn one_more_job_makes_the_cards_of_its_board_alone() {
    let mut bench = with_jobs(12);
    assert_eq!(anew(&bench), BOARDS[..2]);
    assert_eq!(anew(&bench), Vec::<String>::new());
    bench.happens(&Step::Job(1, 0, 0, 0));
    assert_eq!(anew(&bench), [BOARDS[1]]);
    bench.happens(&Step::Board(0));
    assert_eq!(anew(&bench), [BOARDS[0]]);
    bench.happens(&Step::Days(300));
    assert_eq!(anew(&bench), Vec::<String>::new(), "no job names its unit");
}

#[test]
fn one_more_job_writes_little_to_the_index() {
    let mut bench = on_all_boards(60);
    anew(&bench);
    let path = Path::new("/shop/cache/build.idx");
    let whole = bench.disk.read(path).unwrap();
    bench.happens(&Step::Job(1, 0, 0, 0));
    anew(&bench);
    let more = bench.disk.read(path).unwrap();
    assert!(more.starts_with(&whole), "it was appended to");
    assert!(more.len() < whole.len() * 3 / 2);
}

#[test]
fn a_damaged_index_is_never_believed() {
    let bench = with_jobs(6);
    let (_, right) = bench.build();
    let path = Path::new("/shop/cache/build.idx");
    let whole = bench.disk.read(path).unwrap();
    let step = whole.len() / 150 + 1;
    for at in (0..whole.len()).step_by(step) {
        let mut hit = whole.clone();
        hit[at] ^= 1 << (at % 8);
        bench.disk.put(path, &hit);
        assert_eq!(bench.build().1, right, "byte {at}");
        bench.disk.put(path, &whole[..at]);
        assert_eq!(bench.build().1, right, "cut at {at}");
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let bench = with_jobs(30);
    let workbench = bench.open();
    let jobs = workbench.archive().unwrap().jobs;
    let on = |threads| {
        archive::with_input(&workbench, &jobs, bench.now, |input| {
            build::build_on(input, threads, &|_| {})
        })
    };
    let one = on(1);
    assert!(!one.cards.is_empty());
    for threads in [2, 7] {
        assert_eq!(on(threads), one);
    }
}
