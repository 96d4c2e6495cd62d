//! Laws of kept counts: a record from one is the record from the journals, whatever happened to either.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;
use proptest::prelude::*;

use crate::app::forget;
use crate::app::inspect;
use crate::app::people;
use crate::app::record;
use crate::app::record::Record;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::card::Deck;
use crate::domain::memory::Weights;
use crate::domain::review::Answered;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Mode;
use crate::domain::review::TagReason;
use crate::domain::samples;
use crate::domain::shop::Post;
use crate::store::decks;
use crate::store::disk::Disk;
use crate::store::faulty::FaultyDisk;
use crate::store::faulty::Trouble;
use crate::store::model_disk::Cut;
use crate::store::model_disk::ModelDisk;
use crate::store::model_disk::Overwrite;
use crate::store::paths::ShopFolder;
use crate::store::record::review;
use crate::store::sealed;
use crate::store::snapshot;
use crate::store::tapes::Tapes;

const SHOP: &str = r#"{"v":1,"name":"A shop","zone":"Europe/Dublin","boards":[{"id":"petrel-p4","name":"Petrel","kind":"display","revisions":[],"safety":[]}]}"#;
const PEOPLE: [&str; 2] = ["mk", "rs"];

/// What happens next: which person and bench, what, which card, a grade, and a free number.
type Step = (usize, u8, usize, u8, usize);

fn shop() -> ShopFolder {
    ShopFolder::new("/shop")
}

struct World {
    model: ModelDisk,
    now: DateTime<Utc>,
    /// How far the clock of each journal is off.
    off: [TimeDelta; 4],
    /// The next number of each journal.
    seq: [u64; 4],
    /// Which part each card asks for.
    parts: [usize; 4],
}

impl World {
    fn new() -> Self {
        let model = ModelDisk::new();
        model.put(&shop().shop_json(), SHOP.as_bytes());
        let world = Self {
            model,
            now: "2026-06-01T08:00:00Z".parse().expect("a moment"),
            off: [TimeDelta::zero(); 4],
            seq: [1; 4],
            parts: [0; 4],
        };
        for initials in ["MK", "RS"] {
            people::add(&world.open(), initials, Post::Technician).expect("a person");
        }
        world.save_deck();
        world
    }

    /// Opens the shop as a program does that was just started.
    fn open(&self) -> Workbench {
        let disk: Arc<dyn Disk> = Arc::new(self.model.clone());
        let opened = Workbench::open(disk, shop(), "b7".to_owned()).expect("a shop");
        Workbench {
            tapes: Arc::new(Tapes::keeping_counts_from(1)),
            ..opened
        }
    }

    fn cards(&self) -> Vec<Card> {
        let ids = ["a", "b", "c", "d"].iter();
        ids.zip(self.parts)
            .map(|(id, part)| samples::card(id, "standby", &format!("U{}", 31 + part)))
            .collect()
    }

    fn save_deck(&self) {
        let deck = Deck {
            deck: "shop".to_owned(),
            name: "Shop".to_owned(),
            from: String::new(),
            cards: self.cards(),
        };
        decks::save_deck(&self.model, &shop(), &deck).expect("the deck is written");
    }

    fn path(at: usize) -> PathBuf {
        let bench = ["b1", "b2"][at % 2];
        shop().journal(PEOPLE[at / 2], bench).expect("a name")
    }

    fn bytes(&self, at: usize) -> Vec<u8> {
        let mut all = self.model.everything();
        all.remove(&Self::path(at)).unwrap_or_default()
    }

    fn append(&self, at: usize, more: &[u8]) {
        let bytes = [&self.bytes(at), more].concat();
        self.model.put(&Self::path(at), &bytes);
    }

    fn write(&mut self, at: usize, event: &Event) {
        let seq = self.seq[at];
        self.seq[at] += 1;
        let id = format!("{}-{}-{seq}", PEOPLE[at / 2], ["b1", "b2"][at % 2]);
        let stamp = self.now + self.off[at];
        let text = review::unsealed(&id, seq, stamp, stamp.date_naive(), event);
        self.append(at, (sealed::seal(&text) + "\n").as_bytes());
    }

    fn step(&mut self, (at, kind, card, grade, free): Step) {
        self.now += TimeDelta::minutes(i64::try_from(free % 300).expect("small"));
        let cards = self.cards();
        let id = cards[card].id.clone();
        let sitting = format!("s{}", free % 4);
        match kind {
            0..=11 => {
                let mode = Mode::ALL[usize::from(kind % 3)];
                let answered = Answered {
                    sitting,
                    mode,
                    ..samples::answered(&cards[card], Grade::ALL[usize::from(grade % 4)])
                };
                self.write(at, &Event::Answer(Box::new(answered)));
            }
            12 => {
                let back = self.seq[at].saturating_sub(1 + free as u64 % 3);
                let of = format!("{}-{}-{back}", PEOPLE[at / 2], ["b1", "b2"][at % 2]);
                self.write(at, &Event::Undo { of });
            }
            13 => self.write(
                at,
                &Event::Move {
                    sitting,
                    to: PEOPLE[free % 2].to_owned(),
                },
            ),
            14 => {
                let reason = TagReason::ALL[free % 2];
                let note = "why".to_owned();
                self.write(
                    at,
                    &Event::Tag {
                        card: id,
                        reason,
                        note,
                    },
                );
            }
            15 => self.write(
                at,
                &Event::Untag {
                    card: id,
                    note: String::new(),
                },
            ),
            16 => {
                let mut weights = *Weights::published().get();
                weights[0] = [0.3, 0.5, -1.0][free % 3];
                self.write(
                    at,
                    &Event::Weights {
                        weights: Box::new(weights),
                    },
                );
            }
            17 => self.off[at] = TimeDelta::days([0, 0, 400, -400, 2, -20_000][free % 6]),
            18 => {
                let mut bytes = self.bytes(at);
                let place = free * 7 % bytes.len().max(1);
                if let Some(byte) = bytes.get_mut(place) {
                    *byte ^= 1 << (free % 8);
                    let how = [Overwrite::AtOnce, Overwrite::Later, Overwrite::SetBack][free % 3];
                    self.model.overwrite(&Self::path(at), &bytes, how);
                }
            }
            19 => {
                let bytes = self.bytes(at);
                let mut lines = bytes.split_inclusive(|b| *b == b'\n');
                let last = lines.next_back().unwrap_or_default().to_vec();
                self.append(at, &last);
            }
            20 => {
                self.parts[card] = free % 3;
                self.save_deck();
            }
            21 => self.append(at, b"{\"v\":1,\"id\":\"mk-b1-"),
            22 => drop(self.model.remove(&Self::path(at))),
            _ => {
                self.now += TimeDelta::days(20);
                self.model.wait();
            }
        }
    }

    /// Holds the record of everyone against the one from the journals; returns how many came from a
    /// kept count.
    #[track_caller]
    fn check(&self) -> usize {
        let mut kept = 0;
        for person in PEOPLE {
            kept += usize::from(self.is_believed(person));
            let workbench = self.open();
            let (plain, _) = record::in_full(&workbench, person, self.now).expect("a record");
            // As another start finds it, and once more in the same program.
            let workbench = self.open();
            for _ in 0..2 {
                let found = record::record(&workbench, person, self.now).expect("a record");
                same(&found, &plain, &workbench, self.now);
            }
        }
        kept
    }

    fn is_believed(&self, person: &str) -> bool {
        let workbench = self.open();
        let key = record::key(&workbench);
        let disk = workbench.disk.as_ref();
        snapshot::load(disk, &shop(), &workbench.tapes, person, &key).is_some()
    }

    fn kept(&self) -> Vec<PathBuf> {
        let everything = self.model.everything();
        let kept = everything.into_keys();
        kept.filter(|path| path.extension().is_some_and(|e| e == "count"))
            .collect()
    }
}

#[track_caller]
fn same(found: &Record, plain: &Record, workbench: &Workbench, now: DateTime<Utc>) {
    assert_eq!(found.history, plain.history);
    assert_eq!(found.doubtful, plain.doubtful);
    assert_eq!(found.faults, plain.faults);
    assert_eq!(found.sittings(), plain.sittings());
    let day = workbench.day(now);
    assert_eq!(found.seen.on(day), plain.seen.on(day));
    let family_of = |_: &str| Some("standby".to_owned());
    assert_eq!(
        found.measured_of_late(&family_of, day),
        plain.measured_of_late(&family_of, day)
    );
}

fn steps(most: u8) -> impl Strategy<Value = Vec<Step>> {
    let kind = prop_oneof![8 => 0..12_u8, 2 => 0..most];
    prop::collection::vec((0..4_usize, kind, 0..4_usize, 0..4_u8, 0..500_usize), 1..12)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// A record from a kept count is the one from the journals, whatever was appended, taken back,
    /// moved, tagged, fitted, corrected, damaged, torn off or taken away since, and whatever clocks said.
    #[test]
    fn a_kept_count_says_what_the_journals_say(rounds in prop::collection::vec(steps(24), 1..5)) {
        let mut world = World::new();
        for steps in rounds {
            for step in steps {
                world.step(step);
            }
            world.check();
        }
    }

    /// A power cut at any moment of keeping a count leaves one that is whole, or none that is believed.
    #[test]
    fn a_power_cut_leaves_no_half_count(steps in steps(12), after in 0..40_u64, seed in any::<u64>()) {
        let mut world = World::new();
        for step in steps {
            world.step(step);
        }
        let before = world.model.steps();
        world.model.power_off_at(before + after);
        let workbench = world.open();
        drop(record::record(&workbench, "mk", world.now));
        for cut in [Cut::Lost, Cut::Half, Cut::Zeros, Cut::Kept, Cut::Latest,
            Cut::Any { sector: 512, noise: seed % 2 == 0, seed }]
        {
            let world = World { model: world.model.fork(), ..world };
            world.model.cut(cut);
            world.check();
        }
    }
}

/// A world with some reviews, whose counts are kept.
fn kept() -> World {
    let mut world = World::new();
    for n in 0..20_usize {
        world.step((
            n % 4,
            u8::try_from(n % 12).expect("small"),
            n % 4,
            2,
            100 + n,
        ));
    }
    world.check();
    assert_eq!(world.kept().len(), 2);
    world
}

#[test]
fn a_kept_count_is_believed_while_lines_are_appended_and_its_deck_changes() {
    let mut world = kept();
    assert_eq!(world.check(), 2);
    world.step((0, 3, 1, 2, 10));
    world.step((1, 4, 2, 0, 10));
    world.step((0, 12, 0, 0, 3));
    assert_eq!(world.check(), 2, "lines and an undo among them are added");
    world.step((0, 20, 1, 0, 1));
    assert_eq!(world.check(), 2, "a correction needs no reading");
    let corrected = record::record(&world.open(), "mk", world.now).expect("a record");
    assert!(corrected.history.cards["b"].corrected);
}

#[test]
fn a_flipped_byte_anywhere_is_noticed_in_a_count_and_in_the_journals() {
    let world = kept();
    let path = snapshot::path(&shop(), "mk").expect("a name");
    let files = [path, World::path(0), World::path(3)];
    for path in files {
        let whole = world.model.everything().remove(&path).expect("it is there");
        let workbench = world.open();
        let key = record::key(&workbench);
        let believed = |bytes: &[u8]| {
            world.model.put(&path, bytes);
            let tapes = Tapes::keeping_counts_from(1);
            snapshot::load(&world.model, &shop(), &tapes, "mk", &key).is_some()
        };
        for at in 0..whole.len() {
            let mut hit = whole.clone();
            hit[at] ^= 1 << (at % 8);
            assert!(!believed(&hit), "{} at {at}", path.display());
        }
        for length in 0..whole.len() {
            assert!(
                !believed(&whole[..length]),
                "{} cut at {length}",
                path.display()
            );
        }
        assert!(believed(&whole));
    }
    // A journal in which two lines changed places is as long as before.
    let whole = world.bytes(0);
    let mut lines: Vec<&[u8]> = whole.split_inclusive(|b| *b == b'\n').collect();
    lines.swap(0, 1);
    world.model.put(&World::path(0), &lines.concat());
    assert!(!world.is_believed("mk"));
    world.check();
}

/// A world whose journal 0 is longer than what is summed of a file whatever its marks say.
fn long() -> World {
    let mut world = World::new();
    for n in 0..400_usize {
        world.step((0, 0, n % 4, 2, 100));
    }
    assert!(world.bytes(0).len() > 100_000);
    world.check();
    world.model.wait();
    assert!(world.is_believed("mk"));
    world
}

fn sums() -> PathBuf {
    shop().cache().join("people").join("journals.sums")
}

#[test]
fn a_journal_that_nobody_wrote_to_is_not_read_again() {
    let world = long();
    let reads = || {
        let disk = FaultyDisk::new(Arc::new(world.model.clone()), 0, Trouble::Error);
        let key = record::key(&world.open());
        let tapes = Tapes::keeping_counts_from(1);
        assert!(snapshot::load(&disk, &shop(), &tapes, "mk", &key).is_some());
        disk.log().iter().filter(|call| **call == "read").count()
    };
    // The count, the sums, and the journal for its length: this disk knows no other way.
    assert_eq!(reads(), 3);
    world.model.put(&World::path(0), &world.bytes(0));
    assert_eq!(reads(), 4, "written to, so read");
    assert_eq!(reads(), 4, "within the tick of its last change");
    world.model.wait();
    assert_eq!(reads(), 4, "its marks are settled now");
    assert_eq!(reads(), 3);
}

#[test]
fn a_byte_written_by_any_program_is_noticed_at_once_and_one_that_rots_by_inspect() {
    for how in [
        Overwrite::AtOnce,
        Overwrite::Later,
        Overwrite::SetBack,
        Overwrite::Rot,
    ] {
        for at in [40, 60_000] {
            let world = long();
            let mut hit = world.bytes(0);
            let at_end = hit.len() - at < 64 << 10;
            hit[at] ^= 4;
            if how == Overwrite::AtOnce {
                // Read and summed in the very moment of its last change.
                world.model.put(&World::path(0), &world.bytes(0));
                assert!(world.is_believed("mk"));
            }
            world.model.overwrite(&World::path(0), &hit, how);
            let unseen = how == Overwrite::Rot && !at_end;
            assert_eq!(world.is_believed("mk"), unseen, "{how:?} at {at}");
            let disk: Arc<dyn Disk> = Arc::new(world.model.clone());
            let report = inspect::inspect(&disk, &shop(), world.now, &mut |_, _, _| ());
            let path = "people/mk/b1.jsonl";
            let about = report.found.iter().filter(|f| f.path.ends_with(path));
            let named = about.filter(|f| f.why.contains("no program wrote to it"));
            assert_eq!(named.count(), usize::from(how == Overwrite::Rot), "{how:?}");
            assert!(!world.is_believed("mk"), "{how:?} at {at}");
            world.check();
        }
    }
}

#[test]
fn sums_that_are_damaged_are_not_believed() {
    let world = long();
    let whole = world
        .model
        .everything()
        .remove(&sums())
        .expect("it is there");
    let mut hit = world.bytes(0);
    hit[40] ^= 4;
    world.model.overwrite(&World::path(0), &hit, Overwrite::Rot);
    assert!(world.is_believed("mk"), "what inspect is for");
    for at in 0..whole.len() {
        let mut other = whole.clone();
        other[at] ^= 1 << (at % 8);
        for bytes in [&other[..], &whole[..at]] {
            world.model.put(&sums(), bytes);
            assert!(!world.is_believed("mk"), "at {at}");
        }
    }
}

#[test]
fn what_was_summed_is_on_the_disk_whatever_the_power_does() {
    for cut in [Cut::Lost, Cut::Half, Cut::Zeros, Cut::Latest] {
        let world = long();
        let mut file = world.model.open_append(&World::path(0)).expect("it opens");
        let lines = world.bytes(0);
        file.write(&lines[..lines.len() / 2]).expect("written");
        drop(file);
        world.model.wait();
        world.check();
        world.model.wait();
        world.check();
        assert!(world.model.everything().contains_key(&sums()));
        let before = world.bytes(0);
        world.model.cut(cut);
        assert_eq!(world.bytes(0), before, "{cut:?}");
        world.check();
    }
}

#[test]
fn a_short_journal_keeps_no_count_and_a_disk_that_is_full_changes_nothing() {
    let mut world = World::new();
    world.step((0, 3, 1, 2, 10));
    let plain = Workbench {
        tapes: Arc::default(),
        ..world.open()
    };
    record::record(&plain, "mk", world.now).expect("a record");
    assert_eq!(world.kept(), Vec::<PathBuf>::new());
    let full = FaultyDisk::new(Arc::new(world.model.clone()), 1, Trouble::Full);
    let squeezed = Workbench {
        disk: Arc::new(full),
        ..world.open()
    };
    let found = record::record(&squeezed, "mk", world.now).expect("a record");
    let (plain, _) = record::in_full(&world.open(), "mk", world.now).expect("a record");
    same(&found, &plain, &squeezed, world.now);
    assert_eq!(world.kept(), Vec::<PathBuf>::new());
}

#[test]
fn an_erased_person_leaves_no_count_and_none_comes_back() {
    let world = kept();
    let workbench = world.open();
    let late = record::record(&workbench, "rs", world.now).expect("a record");
    assert!(late.history.cards.contains_key("c"));
    let plan = forget::plan(&workbench, "mk").expect("a plan");
    forget::carry_out(&workbench, &plan, world.now).expect("erased");
    assert_eq!(world.kept(), Vec::<PathBuf>::new());
    for cut in [Cut::Lost, Cut::Half, Cut::Zeros, Cut::Kept, Cut::Latest] {
        let model = world.model.fork();
        model.cut(cut);
        let left = model.everything();
        let names = left.iter().find(|(path, bytes)| {
            let in_cache = path.starts_with("/shop/cache");
            in_cache && bytes.windows(3).any(|w| w == b"mk-" || w == b"mk\0")
        });
        assert!(names.is_none(), "{cut:?}: {names:?}");
        assert!(
            !left
                .keys()
                .any(|path| { path.ends_with("mk.count") || path.ends_with("journals.sums") }),
            "{cut:?}"
        );
    }
    // Another program that had read the journals before does not keep what it knew of the person.
    let stale = kept();
    let slow = stale.open();
    let count = record::counted(&slow, "rs", stale.now).expect("a count");
    forget::carry_out(&stale.open(), &plan, stale.now).expect("erased");
    snapshot::save(slow.disk.as_ref(), &shop(), &count, &record::key(&slow));
    assert_eq!(stale.kept(), Vec::<PathBuf>::new());
}
