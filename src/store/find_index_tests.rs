//! The search index on the disk against the same search in memory, and against damage.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;

use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job_row;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::search::bm25;
use crate::domain::search::builder::Builder;
use crate::domain::search::index::Hit;
use crate::domain::search::index::Index;
use crate::domain::search::index::Query;
use crate::domain::search::ranked;
use crate::domain::search::ranked::Shelf as _;
use crate::domain::search::terms::Vocabulary;
use crate::store::disk::Disk;
use crate::store::faulty::FaultyDisk;
use crate::store::faulty::Trouble;
use crate::store::find_index;
use crate::store::find_index::Unusable;
use crate::store::find_write;
use crate::store::jobs;
use crate::store::model_disk::ModelDisk;
use crate::store::paths::ShopFolder;
use crate::store::shop;
use crate::store::sources;

const SHOP: &str = r#"{"v":1,"name":"Skerry","boards":[{"id":"petrel-p4","name":"Petrel P4 helm display"},{"id":"skua-e6"}],"synonyms":{"housekeeper":"standby regulator"}}"#;
const BOARD: &str = r#"{"v":1,"board":"petrel-p4","parts":{"U31":{"name":"standby switcher","family":"standby"},"L12":{"name":"coil","family":"buck"}},"good":[{"kind":"resistance","where":"3V3_SB","got_ohm":1400}]}"#;

fn folder() -> ShopFolder {
    ShopFolder::new("/shop")
}

fn shop_with(lines: &[String]) -> ModelDisk {
    let disk = ModelDisk::new();
    disk.put(Path::new("/shop/shop.json"), SHOP.as_bytes());
    disk.put(Path::new("/shop/boards/petrel-p4.json"), BOARD.as_bytes());
    disk.put(Path::new("/shop/jobs/a.jsonl"), lines.join("\n").as_bytes());
    disk
}

/// One job line: what the numbers choose.
fn line(n: usize, pick: &[usize; 8]) -> String {
    let of = |list: &'static [&'static str], at: usize| list[at % list.len()];
    let finding = |at: usize| {
        of(
            &[
                r#"{"kind":"rail","where":"3V3_SB","got_v":0.41,"verdict":"low","raw":"3V3_SB 0.41 low"}"#,
                r#"{"kind":"rail","where":"3V3_SB","verdict":"absent"}"#,
                r#"{"kind":"rail","where":"5V0","got_v":4.2}"#,
                r#"{"kind":"rail","where":"5V0"}"#,
                r#"{"kind":"resistance","where":"3V3_SB","got_ohm":210}"#,
                r#"{"kind":"resistance","where":"3V3_SB","got_ohm":1500,"good_ohm":1400}"#,
                r#"{"kind":"current","state":"standby","draw":"cycling","low_a":0.061,"high_a":0.118}"#,
                r#"{"kind":"current","got_a":1.2}"#,
                r#"{"kind":"visual","where":"corner of U31","sign":"residue"}"#,
                r#"{"kind":"visual","where":"L12","sign":"dull-joint","when":"after-cleaning"}"#,
                r#"{"kind":"other","name":"torch test","value":"picture visible"}"#,
                r#"{"kind":"rail","where":"3V3_SB","got_v":3.31,"when":"after-action"}"#,
            ],
            at,
        )
    };
    let unit = of(
        &[
            "",
            r#","unit":"u1""#,
            r#","unit":"u2""#,
            r#","note":"smelled of diesel""#,
        ],
        pick[5],
    );
    // Now and then a line corrects the one before, takes it out, or is none.
    let corrects = match pick[6] % 7 {
        3 if n > 0 => format!(r#","corrects":"i-{}""#, n - 1),
        4 if n > 0 => format!(r#","corrects":"i-{}","withdrawn":true"#, n - 1),
        _ => String::new(),
    };
    let number = if corrects.is_empty() { n } else { n - 1 };
    let ending = of(
        &[
            r#""family":"standby","actions":[{"act":"replace","part":"U31","role":"the-fix"}],"outcome":"held""#,
            r#""family":"buck","contributing":["standby"],"actions":[{"act":"reflow","part":"L12","role":"the-fix"}],"outcome":"bounced-same-fault","bounce_cause":"diagnosis""#,
            r#""family":"unlocated","outcome":"no-fix","no_fix_reason":"value-exceeded""#,
            r#""family":"inlet","actions":[{"act":"replace","part":"F1","role":"the-fix"}],"outcome":"unknown-so-far","proof":"3V3_SB back at 3.31 V""#,
        ],
        pick[3],
    );
    if pick[7] % 19 == 7 {
        return "broken".to_owned();
    }
    format!(
        r#"{{"v":1,"id":"i-{n}","job":"W-{number}","closed_on":"2026-0{}-14","board":"{}","complaint":["{}"],"findings":[{},{}],{ending}{unit}{corrects}}}"#,
        1 + pick[4] % 3,
        of(
            &["petrel-p4", "skua-e6", "petrel-p4", "unheard-of"],
            pick[0]
        ),
        of(&["no-power", "no-charge", "no-start"], pick[0]),
        finding(pick[1]),
        finding(pick[2]),
    )
}

/// The archive as it was searched before there was an index: all of it, in memory.
fn in_memory(disk: &dyn Disk) -> (Index, Vec<Job>, Vocabulary) {
    let (record, _) = shop::load_shop(disk, &folder()).unwrap();
    let circuits = record.shop.circuits();
    let archive = jobs::load_jobs(disk, &folder(), &record.shop, &circuits).unwrap();
    let (boards, _) = shop::load_boards(disk, &folder(), &record.shop, &circuits).unwrap();
    let words = Synonyms::with_shop(&record.shop.synonyms);
    let note = |r: &crate::store::record::job::JobRecord| {
        r.extra("note")
            .and_then(|n| n.as_str())
            .unwrap_or_default()
            .to_owned()
    };
    let notes: Vec<String> = archive.jobs.iter().map(note).collect();
    let jobs: Vec<Job> = archive.jobs.into_iter().map(|r| r.job).collect();
    let index = Index::with_notes(&jobs, &notes, &boards, &words);
    (index, jobs, Vocabulary::of_shop(&boards, &words))
}

/// The boards and the vocabulary of the shop.
fn opened(disk: &dyn Disk) -> (Vec<Board>, Vocabulary) {
    let (record, _) = shop::load_shop(disk, &folder()).unwrap();
    let circuits = record.shop.circuits();
    let (boards, _) = shop::load_boards(disk, &folder(), &record.shop, &circuits).unwrap();
    let words = Synonyms::with_shop(&record.shop.synonyms);
    let vocabulary = Vocabulary::of_shop(&boards, &words);
    (boards, vocabulary)
}

fn on_disk(disk: &dyn Disk, query: &Query, limit: usize) -> Result<Vec<Hit>, Unusable> {
    let (boards, vocabulary) = opened(disk);
    let index = find_index::open(disk, &folder())?;
    ranked::find(&index, &vocabulary, &boards, query, limit)
}

fn make(disk: &dyn Disk) -> find_index::Made {
    find_index::make(disk, &folder(), &mut |_, _| {}).unwrap()
}

fn asking(words: &str) -> Query {
    Query {
        words: words.to_owned(),
        ..Query::default()
    }
}

fn lines(picks: &[[usize; 8]]) -> Vec<String> {
    picks
        .iter()
        .enumerate()
        .map(|(n, pick)| line(n, pick))
        .collect()
}

proptest! {
    /// Law: whatever the jobs and the query, the index on the disk says what the search in memory
    /// says: the same hits in the same order, the same scores to the last bit, the same reasons,
    /// and the same rows and faults beside them.
    #[test]
    fn the_index_on_the_disk_says_what_the_one_in_memory_says(
        picks in prop::collection::vec(prop::array::uniform8(0usize..1000), 0..90),
        words in prop::collection::vec(
            prop::sample::select(vec![
                "U31", "3V3_SB", "low,", "under 1 V,", "over 2 V,", "draw", "cycling", "replace",
                "210 ohm,", "no residue,", "residue", "regulator", "housekeeper", "W-3", "came back",
                "no power,", "61-118 mA", "5V0", "diesel", "torch test picture visible,", "not low,",
                "4.2 V", "no 3V3_SB,", "between 0.1 and 0.5 V,", "about 1.2 A,", "petrel", "\u{1}",
            ]),
            0..6,
        ),
        filters in 0usize..64,
        limit in prop::sample::select(vec![0usize, 1, 3, 20, 1000]),
    ) {
        let disk = shop_with(&lines(&picks));
        let (memory, jobs, _) = in_memory(&disk);
        let query = Query {
            words: words.join(" "),
            board: (filters & 1 > 0).then(|| "petrel-p4".to_owned()),
            family: (filters & 2 > 0).then(|| "standby".to_owned()),
            outcome: (filters & 4 > 0).then_some(Outcome::Held),
            kinds: if filters & 8 > 0 { vec![FindingKind::Rail, FindingKind::Visual] } else { Vec::new() },
            at_place: (filters >= 48).then(|| (FindingKind::Rail, "5v0".to_owned())),
        };
        let expected = memory.find(&query, limit);
        let made = make(&disk);
        prop_assert!(made.kept);
        // What was just made, numbered anew, is already the same.
        prop_assert_eq!(&made.index.find(&query, limit), &expected);
        prop_assert_eq!(&on_disk(&disk, &query, limit).unwrap(), &expected);

        let index = find_index::open(&disk, &folder()).unwrap();
        prop_assert_eq!(index.len(), jobs.len());
        let every: Vec<&Job> = jobs.iter().collect();
        let at: Vec<usize> = (0..jobs.len()).rev().collect();
        let mut rows = job_row::rows(&every);
        rows.reverse();
        prop_assert_eq!(index.rows(&at).unwrap(), rows);
        let (record, _) = shop::load_shop(&disk, &folder()).unwrap();
        let archive = jobs::load_jobs(&disk, &folder(), &record.shop, &record.shop.circuits()).unwrap();
        prop_assert_eq!(&index.faults, &archive.faults);
        // The filter by place says what looking at every job says.
        if let Some((kind, place)) = &query.at_place {
            let there: BTreeSet<usize> = (0..jobs.len()).filter(|at| jobs[*at].findings.iter().any(|f| {
                f.kind == *kind
                    && f.when != crate::domain::job::When::AfterAction
                    && crate::domain::search::readings::names(&f.place.to_uppercase(), &place.to_uppercase())
            })).collect();
            prop_assert!(expected.iter().all(|hit| there.contains(&hit.at)));
            let alone = Query { at_place: query.at_place.clone(), ..Query::default() };
            let found: BTreeSet<usize> = memory.find(&alone, 1000).iter().map(|hit| hit.at).collect();
            prop_assert_eq!(found, there);
        }
    }
}

/// Six invented documents; scores by the formula at full precision, with which the bm25s library
/// (method "lucene", 32-bit numbers) agrees to 1e-5.
#[test]
fn scores_by_words_agree_with_a_reference_library_through_the_disk() {
    let six = [
        "standby rail missing residue at buck regulator replace regulator",
        "current cycles between two values residue at charge controller replace charge controller",
        "main rail short to ground hot capacitor remove capacitor",
        "display dark backlight fuse open replace fuse",
        "current cycles between two values dull joint at regulator reflow regulator",
        "no reset signal clock missing replace crystal",
    ];
    let mut builder = Builder::new(&[], &Synonyms::default());
    for text in six {
        builder.add_terms(&text.split(' ').collect::<Vec<_>>());
    }
    let disk = shop_with(&[]);
    let sources = sources::of_jobs_and_boards(&disk, &folder()).unwrap();
    let bytes = find_write::encode(&sources, &builder.finish(), &[], &[]);
    crate::store::disk::replace(&disk, &find_index::path(&folder()), &bytes).unwrap();
    let index = find_index::open(&disk, &folder()).unwrap();
    let zero = 0.0;
    for (query, expected) in [
        (
            "current cycles residue",
            [0.471_515_97, 1.246_421_16, zero, zero, 0.865_226_40, zero],
        ),
        (
            "regulator residue",
            [1.118_335_71, 0.415_473_72, zero, zero, 0.609_242_26, zero],
        ),
        (
            "short capacitor",
            [zero, zero, 1.673_176_19, zero, zero, zero],
        ),
        (
            "current cycles residue regulator regulator",
            [1.765_155_44, 1.246_421_16, zero, zero, 2.083_710_92, zero],
        ),
    ] {
        let mut scores = vec![0.0; index.len()];
        let size = bm25::Size::new(index.len(), index.total());
        for word in query.split(' ') {
            let list = index.list(word).unwrap();
            size.score(&list, &index.lengths().unwrap(), 1.0, &mut scores);
        }
        for (got, want) in scores.iter().zip(expected) {
            assert!((got - want).abs() < 5e-9, "{query}: {got} against {want}");
        }
    }
}

fn some_lines() -> Vec<String> {
    let picks: Vec<[usize; 8]> = (0..14)
        .map(|n| std::array::from_fn(|i| (n * 31 + i * 17 + n * i) % 97))
        .collect();
    lines(&picks)
}

const QUERY: &str = "3V3_SB low, replace U31, residue, cycling 61-118 mA, diesel";

#[test]
fn any_change_of_the_files_is_seen() {
    let put = |disk: &ModelDisk, path: &str, text: &str| disk.put(Path::new(path), text.as_bytes());
    let changes: [&dyn Fn(&ModelDisk); 6] = [
        &|disk| put(disk, "/shop/jobs/a.jsonl", ""),
        &|disk| put(disk, "/shop/jobs/b.jsonl", &line(900, &[0; 8])),
        &|disk| disk.remove(Path::new("/shop/jobs/a.jsonl")).unwrap(),
        &|disk| {
            put(
                disk,
                "/shop/shop.json",
                &SHOP.replace("standby regulator", "coil"),
            );
        },
        &|disk| {
            put(
                disk,
                "/shop/boards/petrel-p4.json",
                &BOARD.replace("coil", "choke"),
            );
        },
        &|disk| {
            disk.remove(Path::new("/shop/boards/petrel-p4.json"))
                .unwrap();
        },
    ];
    for (n, change) in changes.iter().enumerate() {
        let disk = shop_with(&some_lines());
        make(&disk);
        on_disk(&disk, &asking(QUERY), 20).unwrap();
        change(&disk);
        let found = on_disk(&disk, &asking(QUERY), 20);
        assert!(
            matches!(found, Err(Unusable::Stale)),
            "change {n}: {found:?}"
        );
        make(&disk);
        let (memory, ..) = in_memory(&disk);
        assert_eq!(
            on_disk(&disk, &asking(QUERY), 20).unwrap(),
            memory.find(&asking(QUERY), 20)
        );
    }
}

#[test]
fn a_damaged_index_is_never_believed() {
    let disk = shop_with(&some_lines());
    make(&disk);
    let path = find_index::path(&folder());
    let whole = disk.read(&path).unwrap();
    let right = on_disk(&disk, &asking(QUERY), 20).unwrap();
    assert!(!right.is_empty());
    let (boards, vocabulary) = opened(&disk);
    let mut noticed = 0;
    let mut look = |bytes: &[u8], what: &str| {
        disk.put(&path, bytes);
        let found = find_index::open(&disk, &folder())
            .and_then(|index| ranked::find(&index, &vocabulary, &boards, &asking(QUERY), 20));
        match found {
            // A part that this search did not need.
            Ok(hits) => assert_eq!(hits, right, "{what}"),
            Err(_) => noticed += 1,
        }
    };
    for at in 0..whole.len() {
        let mut hit = whole.clone();
        hit[at] ^= 1 << (at % 8);
        look(&hit, &format!("byte {at}"));
    }
    for at in (0..whole.len()).step_by(61) {
        look(&whole[..at], &format!("cut at {at}"));
    }
    assert!(noticed > whole.len() / 3, "{noticed} of {}", whole.len());
}

#[test]
fn nonsense_with_right_sums_stops_nothing() {
    let disk = shop_with(&some_lines());
    make(&disk);
    let path = find_index::path(&folder());
    let whole = disk.read(&path).unwrap();
    let head = find_index::MAGIC.len() + 4;
    let len = u32::from_le_bytes(whole[head - 4..head].try_into().unwrap()) as usize;
    // The head: any byte, with a sum that fits.
    for at in head..head + len {
        for value in [0, 1, 0x7f, 0xff] {
            let mut hit = whole.clone();
            hit[at] = value;
            let sum = crc32fast::hash(&hit[..head + len]);
            hit[head + len..head + len + 4].copy_from_slice(&sum.to_le_bytes());
            disk.put(&path, &hit);
            drop(on_disk(&disk, &asking(QUERY), 20));
        }
    }
}

#[test]
fn an_index_that_cannot_be_written_is_no_failure() {
    let lines = some_lines();
    let disk = shop_with(&lines);
    let (memory, ..) = in_memory(&disk);
    let inner: Arc<dyn Disk> = Arc::new(shop_with(&lines));
    for nth in 1..60 {
        let faulty = FaultyDisk::new(Arc::clone(&inner), nth, Trouble::Full);
        let made = find_index::make(&faulty, &folder(), &mut |_, _| {}).unwrap();
        assert_eq!(
            made.index.find(&asking(QUERY), 20),
            memory.find(&asking(QUERY), 20)
        );
        // What lies there now is whole or not there.
        match on_disk(inner.as_ref(), &asking(QUERY), 20) {
            Ok(hits) => assert_eq!(hits, memory.find(&asking(QUERY), 20)),
            Err(unusable) => assert!(matches!(unusable, Unusable::Missing), "{unusable}"),
        }
        if made.kept {
            return;
        }
    }
    panic!("the index was never kept");
}

#[test]
fn a_disk_that_fails_at_any_read_of_a_search_gives_no_wrong_hit() {
    let disk = shop_with(&some_lines());
    make(&disk);
    let right = on_disk(&disk, &asking(QUERY), 20).unwrap();
    let inner: Arc<dyn Disk> = Arc::new(disk);
    let vocabulary = Vocabulary::default();
    let search = |disk: &dyn Disk| {
        let index = find_index::open(disk, &folder())?;
        ranked::find(&index, &vocabulary, &[], &asking(QUERY), 20)
    };
    let counting = FaultyDisk::new(Arc::clone(&inner), 0, Trouble::Error);
    search(&counting).unwrap();
    assert!(counting.calls() > 20 && !right.is_empty());
    for nth in 1..=counting.calls() {
        let faulty = FaultyDisk::new(Arc::clone(&inner), nth, Trouble::Error);
        assert!(search(&faulty).is_err(), "call {nth}");
    }
}
