//! Nothing that was acknowledged is lost, whatever the disk does, and all damage is named.
//!
//! Ideas after "How `SQLite` Is Tested" (fail every call; cut the power), and Rebello et al.,
//! "Can Applications Recover from fsync Failures?", USENIX ATC 2020 (pages dropped by a failed sync).

use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use benchlore::domain::memory::BOUNDS;
use benchlore::domain::review::Answered;
use benchlore::domain::review::Entry;
use benchlore::domain::review::Event;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Millis;
use benchlore::domain::review::Mode;
use benchlore::domain::review::Sure;
use benchlore::domain::review::TagReason;
use benchlore::domain::review::Verdict;
use benchlore::store::disk::Disk;
use benchlore::store::disk::DiskFile;
use benchlore::store::disk::RealDisk;
use benchlore::store::error::StoreError;
use benchlore::store::fault::Fault;
use benchlore::store::faulty::FaultyDisk;
use benchlore::store::faulty::Trouble;
use benchlore::store::journal;
use benchlore::store::journal::Journal;
use benchlore::store::lock::Holder;
use benchlore::store::model_disk::Cut;
use benchlore::store::model_disk::ModelDisk;
use benchlore::store::paths::ShopFolder;
use benchlore::store::sealed;
use chrono::DateTime;
use chrono::NaiveDate;
use chrono::TimeDelta;
use chrono::Utc;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

const REVIEWS: u64 = 60;
const CUTS: [Cut; 4] = [Cut::Lost, Cut::Half, Cut::Zeros, Cut::Kept];

pub(crate) fn shop() -> ShopFolder {
    ShopFolder::new("/shop")
}

pub(crate) fn moment(n: u64) -> DateTime<Utc> {
    let start = NaiveDate::from_ymd_opt(2026, 4, 2).expect("a day");
    let start = start.and_hms_opt(7, 31, 5).expect("a time").and_utc();
    start + TimeDelta::seconds(i64::try_from(n).expect("a small number"))
}

pub(crate) fn holder() -> Holder {
    Holder {
        who: "mk, drill".to_owned(),
        since: moment(0),
    }
}

/// The answer to card number `n`; no two are alike.
pub(crate) fn answer(n: u64) -> Event {
    Event::Answer(Box::new(Answered {
        card: format!("card-{n}"),
        asked: "1f0c22aa".to_owned(),
        accepted: "77d0e310".to_owned(),
        sitting: "b7-0231".to_owned(),
        mode: Mode::Drill,
        grade: Grade::Named,
        proposed: Grade::Hunted,
        ms: Millis {
            circuit: 3100 + n,
            answer: 5300,
            reveal: 4000,
        },
        circuit: Some(("standby".to_owned(), "buck".to_owned())),
        typed: "replace u31 \"µ\"\n".to_owned(),
        aloud: false,
        sure: Sure::Fair,
        overruled: false,
        verdict: Verdict {
            circuit: Some(false),
            fix: Some(true),
            unsafe_answer: false,
        },
        next_days: 6,
        options: 0,
    }))
}

/// Something that acknowledges reviews.
trait Writer {
    fn append(&mut self, n: u64) -> Option<Entry>;
}

impl Writer for Journal {
    fn append(&mut self, n: u64) -> Option<Entry> {
        Self::append(self, answer(n), moment(n), moment(n).date_naive()).ok()
    }
}

fn open(disk: &Arc<dyn Disk>) -> Result<(Journal, Vec<Entry>, Vec<Fault>), StoreError> {
    Journal::open(disk, &shop(), "mk", "b7", &holder())
}

/// The program: opens (trying three times), and says each review again once if it was not kept.
fn right(disk: &Arc<dyn Disk>) -> Option<Box<dyn Writer>> {
    let opened = (0..3).find_map(|_| open(disk).ok());
    opened.map(|(journal, _, _)| Box::new(journal) as Box<dyn Writer>)
}

type Start<'a> = &'a dyn Fn(&Arc<dyn Disk>) -> Option<Box<dyn Writer>>;

/// Plays a sitting and returns what was acknowledged.
fn sitting(disk: &Arc<dyn Disk>, start: Start<'_>, from: u64, n: u64) -> Vec<Entry> {
    let Some(mut writer) = start(disk) else {
        return Vec::new();
    };
    (from..from + n)
        .filter_map(|n| writer.append(n).or_else(|| writer.append(n)))
        .collect()
}

fn card(entry: &Entry) -> Option<&str> {
    match &entry.event {
        Event::Answer(answered) => Some(&answered.card),
        _ => None,
    }
}

/// Returns what is wrong with a journal, given what was acknowledged; empty when all is well.
pub(crate) fn losses(
    kept: &[Entry],
    read: &[Entry],
    faults: &[Fault],
    bytes: &[u8],
) -> Vec<String> {
    let mut wrong = Vec::new();
    let undone: BTreeSet<&str> = read
        .iter()
        .filter_map(|entry| match &entry.event {
            Event::Undo { of } => Some(of.as_str()),
            _ => None,
        })
        .collect();
    let mut last = None;
    for entry in kept {
        let places: Vec<usize> = (0..read.len())
            .filter(|i| read[*i].id == entry.id)
            .collect();
        match places[..] {
            [at] if read[at] != *entry => wrong.push(format!("{} reads otherwise", entry.id)),
            [at] if last.is_some_and(|last| at <= last) => {
                wrong.push(format!("{} is out of order", entry.id));
            }
            [at] => last = Some(at),
            [] => wrong.push(format!("{} is lost", entry.id)),
            _ => wrong.push(format!("{} stands {} times", entry.id, places.len())),
        }
        let by_itself = read.iter().any(|undo| {
            matches!(&undo.event, Event::Undo { of } if *of == entry.id) && !kept.contains(undo)
        });
        if by_itself {
            wrong.push(format!("{} was taken back", entry.id));
        }
    }
    let mut counted = BTreeSet::new();
    for entry in read.iter().filter(|e| !undone.contains(e.id.as_str())) {
        if let Some(card) = card(entry)
            && !counted.insert(card)
        {
            wrong.push(format!("{card} counts twice"));
        }
    }
    for (number, line) in (1..).zip(bytes.split(|b| *b == b'\n')) {
        if !line.is_empty()
            && sealed::unseal(line).is_none()
            && !faults.iter().any(|f| f.line == Some(number))
        {
            wrong.push(format!("damage in line {number} is not named"));
        }
    }
    let mut before = 0;
    for entry in read {
        if entry.seq != before + 1 && !faults.iter().any(|f| f.field.as_deref() == Some("seq")) {
            wrong.push(format!("the jump to {} is not named", entry.seq));
        }
        before = entry.seq;
    }
    wrong
}

/// Reads the journal on a healthy disk, goes on writing, and returns all that is wrong.
fn examine(disk: &ModelDisk, mut kept: Vec<Entry>) -> Vec<String> {
    let path = shop().journal("mk", "b7").expect("safe names");
    let before = disk.read(&path).unwrap_or_default();
    let healthy: Arc<dyn Disk> = Arc::new(disk.clone());
    let (mut journal, read, faults) = match open(&healthy) {
        Ok(opened) => opened,
        Err(error) => return vec![format!("it does not open: {error}")],
    };
    let mut wrong = losses(&kept, &read, &faults, &before);
    for n in 1000..1002 {
        match Writer::append(&mut journal, n) {
            Some(entry) => kept.push(entry),
            None => wrong.push("a healthy disk keeps nothing".to_owned()),
        }
    }
    drop(journal);
    let after = disk.read(&path).expect("it was just written");
    if !after.starts_with(&before) {
        wrong.push("what was there was changed".to_owned());
    }
    let (read, faults) = journal::read_all(disk, &path).expect("it was just written");
    wrong.extend(losses(&kept, &read, &faults, &after));
    wrong
}

fn fresh() -> ModelDisk {
    let disk = ModelDisk::new();
    disk.put(&shop().shop_json(), b"{}");
    disk
}

/// Every call goes wrong in every way, then the power goes in every way; returns what is wrong, or
/// the first that is wrong and is `enough`.
fn every_failure(start: Start<'_>, enough: fn(&str) -> bool) -> Vec<String> {
    let counting = FaultyDisk::new(Arc::new(fresh()), 0, Trouble::Error);
    let disk: Arc<dyn Disk> = Arc::new(counting.clone());
    let all = sitting(&disk, start, 1, REVIEWS);
    assert_eq!(all.len() as u64, REVIEWS, "a healthy disk keeps all");
    assert!(counting.calls() > REVIEWS, "{:?}", counting.log());
    let mut wrong = Vec::new();
    for nth in 1..=counting.calls() {
        for trouble in Trouble::ALL {
            for cut in CUTS {
                let model = fresh();
                let faulty = FaultyDisk::new(Arc::new(model.clone()), nth, trouble);
                let disk: Arc<dyn Disk> = Arc::new(faulty);
                let kept = sitting(&disk, start, 1, REVIEWS);
                if nth > 20 && trouble != Trouble::Full {
                    assert!(!kept.is_empty());
                }
                model.cut(cut);
                let found = examine(&model, kept);
                for found in found {
                    wrong.push(format!("{nth} {trouble:?} {cut:?}: {found}"));
                    if enough(&found) {
                        return wrong;
                    }
                }
            }
        }
    }
    for nth in 1..=REVIEWS {
        for cut in CUTS {
            let model = fresh();
            model.drop_pages_at(nth);
            let disk: Arc<dyn Disk> = Arc::new(model.clone());
            let kept = sitting(&disk, start, 1, REVIEWS);
            model.cut(cut);
            let found = examine(&model, kept);
            wrong.extend(found.iter().map(|w| format!("{nth} dropped {cut:?}: {w}")));
        }
    }
    wrong
}

#[test]
fn nothing_acknowledged_is_lost_whichever_call_fails() {
    assert_eq!(every_failure(&right, |_| false), Vec::<String>::new());
}

#[test]
fn nothing_acknowledged_is_lost_when_recovery_fails_too() {
    let mut chance = ChaCha12Rng::seed_from_u64(7);
    for _ in 0..600 {
        let model = fresh();
        let mut kept = Vec::new();
        for round in 0..3 {
            let trouble = Trouble::ALL[chance.random_range(0..4)];
            let nth = chance.random_range(1..30);
            let faulty = FaultyDisk::new(Arc::new(model.clone()), nth, trouble);
            let disk: Arc<dyn Disk> = Arc::new(faulty);
            kept.extend(sitting(&disk, &right, 1 + round * 10, 10));
            drop(disk);
            model.cut(CUTS[chance.random_range(0..4)]);
        }
        assert_eq!(examine(&model, kept), Vec::<String>::new());
    }
}

/// What a careless writer does.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Careless {
    /// Says kept before the sync.
    SpeaksFirst,
    /// Does not look how much of a line went.
    TrustsWrites,
    /// Syncs the same handle again after a failure.
    SyncsAgain,
}

struct WrongWriter {
    file: Box<dyn DiskFile>,
    seq: u64,
    how: Careless,
    pattern: (Entry, String),
}

/// A rightly written entry of card 1 and its line, still without its check sum.
fn pattern() -> (Entry, String) {
    let (model, path) = (fresh(), shop().journal("mk", "b7").expect("safe names"));
    let shared: Arc<dyn Disk> = Arc::new(model.clone());
    let (mut journal, _, _) = open(&shared).expect("healthy");
    let entry = Writer::append(&mut journal, 1).expect("healthy");
    let line = String::from_utf8(model.read(&path).expect("written")).expect("text");
    let body = line.rsplit_once(",\"sum\"").expect("sealed").0;
    (entry, format!("{body}}}"))
}

impl Writer for WrongWriter {
    fn append(&mut self, n: u64) -> Option<Entry> {
        self.seq += 1;
        let (mut entry, mut line) = self.pattern.clone();
        entry.seq = self.seq;
        entry.id = format!("mk-b7-{}", self.seq);
        if let Event::Answer(answered) = &mut entry.event {
            answered.card = format!("card-{n}");
        }
        for (from, to) in [
            ("mk-b7-1\"", format!("{}\"", entry.id)),
            ("\"seq\":1,", format!("\"seq\":{},", self.seq)),
            ("card-1\"", format!("card-{n}\"")),
        ] {
            line = line.replacen(from, &to, 1);
        }
        let line = sealed::seal(&line) + "\n";
        let wrote = self.file.write(line.as_bytes()).ok()?;
        if wrote != line.len() && self.how != Careless::TrustsWrites {
            return None;
        }
        match self.how {
            Careless::SpeaksFirst if !n.is_multiple_of(4) => Some(entry),
            Careless::SyncsAgain => {
                self.file.sync().or_else(|_| self.file.sync()).ok()?;
                Some(entry)
            }
            _ => self.file.sync().ok().map(|()| entry),
        }
    }
}

#[test]
fn careless_writers_are_caught() {
    let pattern = pattern();
    for how in [
        Careless::SpeaksFirst,
        Careless::TrustsWrites,
        Careless::SyncsAgain,
    ] {
        let start = |disk: &Arc<dyn Disk>| {
            let path = shop().journal("mk", "b7").ok()?;
            disk.make_folder(path.parent()?).ok()?;
            let file = disk.open_append(&path).ok()?;
            for folder in path.ancestors().skip(1).take(3) {
                disk.sync_folder(folder).ok()?;
            }
            let (seq, pattern) = (0, pattern.clone());
            Some(Box::new(WrongWriter {
                file,
                seq,
                how,
                pattern,
            }) as Box<dyn Writer>)
        };
        let wrong = every_failure(&start, |wrong| wrong.ends_with("is lost"));
        assert!(wrong.iter().any(|w| w.ends_with("is lost")), "{wrong:?}");
    }
}

/// A small journal with every kind of event, its lines, and its entries.
fn small() -> (ModelDisk, PathBuf, Vec<u8>, Vec<Entry>) {
    let disk = fresh();
    let shared: Arc<dyn Disk> = Arc::new(disk.clone());
    let (mut journal, _, _) = open(&shared).expect("healthy");
    let mut chance = ChaCha12Rng::seed_from_u64(3);
    let weights = Box::new(BOUNDS.map(|(low, high)| chance.random_range(low..high)));
    let card = "card-1".to_owned();
    let events = [
        answer(1),
        Event::Tag {
            card: card.clone(),
            reason: TagReason::Doubtful,
            note: "U31 is not fitted".to_owned(),
        },
        Event::Undo {
            of: "mk-b7-1".to_owned(),
        },
        answer(2),
        Event::Weights { weights },
        Event::Move {
            sitting: "b7-0231".to_owned(),
            to: "tl".to_owned(),
        },
        Event::Untag {
            card,
            note: String::new(),
        },
        answer(3),
    ];
    let mut entries = Vec::new();
    for (n, event) in (1..).zip(events) {
        let kept = journal.append(event, moment(n), moment(n).date_naive());
        entries.push(kept.expect("healthy"));
    }
    let path = shop().journal("mk", "b7").expect("safe names");
    let bytes = disk.read(&path).expect("written");
    (disk, path, bytes, entries)
}

#[test]
fn a_journal_comes_back_as_it_was_written() {
    let (disk, path, bytes, entries) = small();
    let (read, faults) = journal::read_all(&disk, &path).unwrap();
    assert_eq!(faults, []);
    assert_eq!(read, entries);
    let first = bytes.split(|b| *b == b'\n').next().unwrap();
    let first = String::from_utf8(first.to_vec()).unwrap();
    let start = r#"{"v":1,"id":"mk-b7-1","seq":1,"at":"2026-04-02T07:31:06.000Z","day":"2026-04-02","ev":"answer","card":"card-1","asked":"1f0c22aa","accepted":"77d0e310","sitting":"b7-0231","mode":"drill","grade":"named","ms":{"circuit":3101,"answer":5300,"reveal":4000},"circuit":{"asked":"standby","said":"buck"},"typed":"#;
    assert!(first.starts_with(start), "{first}");
    let end = r#","aloud":false,"sure":2,"overruled":false,"verdict":{"circuit":false,"fix":true,"unsafe":false},"proposed":"hunted","next_days":6,"sum":"#;
    assert!(first.contains(end), "{first}");
}

/// Ranges of the lines, each with its line break.
fn line_ranges(bytes: &[u8]) -> Vec<std::ops::Range<usize>> {
    let mut start = 0;
    let ends = (0..bytes.len()).filter(|i| bytes[*i] == b'\n');
    ends.map(|end| {
        let range = start..end + 1;
        start = end + 1;
        range
    })
    .collect()
}

#[test]
fn every_cut_of_the_last_three_lines_costs_only_the_line_it_is_in() {
    let (_, path, bytes, entries) = small();
    let ranges = line_ranges(&bytes);
    assert_eq!(ranges.len(), entries.len());
    for cut in ranges[ranges.len() - 3].start..=bytes.len() {
        let disk = fresh();
        disk.put(&path, &bytes[..cut]);
        // A line whose break alone is missing counts.
        let whole = ranges.iter().filter(|r| r.end - 1 <= cut).count();
        let torn = ranges.get(whole).is_some_and(|r| r.start < cut);
        let (read, faults) = journal::read_all(&disk, &path).unwrap();
        assert_eq!(read, entries[..whole], "cut at {cut}");
        assert_eq!(faults.len(), usize::from(torn), "cut at {cut}: {faults:?}");
        assert!(faults.iter().all(|f| f.line == Some(whole as u64 + 1)));
        let shared: Arc<dyn Disk> = Arc::new(disk.clone());
        let (mut journal, _, _) = open(&shared).unwrap();
        let next = Writer::append(&mut journal, 50).unwrap();
        assert_eq!(next.seq, whole as u64 + 1, "a torn line uses no number");
        drop(journal);
        assert_eq!(
            examine(&disk, [&entries[..whole], &[next]].concat()),
            Vec::<String>::new()
        );
        assert!(disk.read(&path).unwrap().starts_with(&bytes[..cut]));
    }
}

#[test]
fn every_flipped_bit_costs_only_the_line_it_is_in() {
    let (_, path, bytes, entries) = small();
    let ranges = line_ranges(&bytes);
    let mut chance = ChaCha12Rng::seed_from_u64(11);
    let disk = fresh();
    for at in 0..bytes.len() {
        for bit in 0..8 {
            let mut hit = bytes.clone();
            hit[at] ^= 1 << bit;
            disk.put(&path, &hit);
            let touched = ranges.iter().position(|r| r.contains(&at)).unwrap();
            let (read, faults) = journal::read_all(&disk, &path).unwrap();
            let mut left = entries.clone();
            if !read.contains(&entries[touched]) {
                left.remove(touched);
            }
            assert_eq!(read, left, "byte {at}, bit {bit}");
            let named = faults.iter().any(|f| f.line == Some(touched as u64 + 1));
            assert!(named, "byte {at}, bit {bit}: {faults:?}");
            if chance.random_range(0..50) == 0 {
                let disk = fresh();
                disk.put(&path, &hit);
                assert_eq!(
                    examine(&disk, left),
                    Vec::<String>::new(),
                    "byte {at}, bit {bit}"
                );
            }
        }
    }
}

#[test]
fn repeated_lines_count_once_and_clashing_ones_are_both_kept() {
    let (disk, path, bytes, entries) = small();
    let lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    disk.put(&path, &[&bytes[..], lines[2], lines[0]].concat());
    let (read, faults) = journal::read_all(&disk, &path).unwrap();
    assert_eq!(read, entries);
    assert_eq!(faults.len(), 2, "{faults:?}");
    // The same lines under another bench's name: union counts them once.
    disk.put(&path, &bytes);
    disk.put(&shop().journal("mk", "c1").unwrap(), &bytes);
    let person = journal::read_person(&disk, &shop(), "mk").unwrap();
    let n: usize = person.journals.iter().map(Vec::len).sum();
    assert_eq!(n, entries.len());
    // One id, other bytes.
    let other = String::from_utf8(lines[3].to_vec()).unwrap();
    let other = other
        .rsplit_once(",\"sum\"")
        .unwrap()
        .0
        .replace("card-2", "card-9");
    let other = sealed::seal(&format!("{other}}}")) + "\n";
    disk.put(&shop().journal("mk", "c1").unwrap(), other.as_bytes());
    let person = journal::read_person(&disk, &shop(), "mk").unwrap();
    let n: usize = person.journals.iter().map(Vec::len).sum();
    assert_eq!(n, entries.len() + 1);
    let clash = person
        .faults
        .iter()
        .find(|f| f.field.as_deref() == Some("id"));
    assert!(
        clash.is_some_and(|f| f.why.contains("mk-b7-4")),
        "{:?}",
        person.faults
    );
}

#[test]
fn missing_numbers_and_strange_lines_are_named() {
    let (disk, path, bytes, _) = small();
    let mut lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    lines.remove(4);
    disk.put(&path, &lines.concat());
    let (read, faults) = journal::read_all(&disk, &path).unwrap();
    assert_eq!(read.len(), 7);
    assert_eq!(faults.len(), 1);
    assert_eq!(
        faults[0].to_string(),
        "/shop/people/mk/b7.jsonl:5: seq: number 6 comes after 4: 1 missing; look for the missing lines in a copy of this file from another bench or a backup"
    );
    for (line, field) in [
        (
            r#"{"v":1,"id":"a","seq":9,"at":"x","day":"2026-04-02","ev":"undo","of":"b"}"#,
            "at",
        ),
        (
            r#"{"v":1,"id":"a","seq":9,"at":"2026-04-02T07:31:05Z","day":"2026-04-31","ev":"undo","of":"b"}"#,
            "day",
        ),
        (
            r#"{"v":1,"id":"a","seq":9,"at":"2026-04-02T07:31:05Z","day":"2026-04-02","ev":"undo"}"#,
            "of",
        ),
        (
            r#"{"v":1,"id":"a","seq":9,"at":"2026-04-02T07:31:05Z","day":"2026-04-02","ev":"dance"}"#,
            "ev",
        ),
        (
            r#"{"v":2,"id":"a","seq":9,"at":"2026-04-02T07:31:05Z","day":"2026-04-02","ev":"dance"}"#,
            "ev",
        ),
        (
            r#"{"v":1,"id":"a","seq":9,"at":"2026-04-02T07:31:05Z","day":"2026-04-02","ev":"weights","weights":[1,2]}"#,
            "weights",
        ),
        (
            r#"{"v":1,"id":"a","seq":0,"at":"2026-04-02T07:31:05Z","day":"2026-04-02","ev":"undo","of":"b"}"#,
            "seq",
        ),
    ] {
        let sealed_line = sealed::seal(line) + "\n";
        disk.put(&path, &[&bytes[..], sealed_line.as_bytes()].concat());
        let (read, faults) = journal::read_all(&disk, &path).unwrap();
        assert_eq!(read.len(), 8);
        let fields: Vec<_> = faults.iter().filter_map(|f| f.field.as_deref()).collect();
        assert_eq!((fields, faults[0].line), (vec![field], Some(9)), "{line}");
    }
}

#[test]
fn a_value_that_would_not_read_back_is_refused_before_it_is_written() {
    let (disk, path, bytes, _) = small();
    let shared: Arc<dyn Disk> = Arc::new(disk.clone());
    let (mut journal, _, _) = open(&shared).unwrap();
    let weights = Box::new([f64::NAN; 21]);
    let refused = journal.append(
        Event::Weights { weights },
        moment(9),
        moment(9).date_naive(),
    );
    assert!(matches!(refused, Err(StoreError::Unwritable { .. })));
    assert_eq!(disk.read(&path).unwrap(), bytes);
}

#[test]
fn after_a_failed_sync_the_next_record_has_a_line_of_its_own() {
    let model = fresh();
    let disk: Arc<dyn Disk> = Arc::new(model.clone());
    let (mut journal, _, _) = open(&disk).unwrap();
    let first = Writer::append(&mut journal, 1).unwrap();
    model.drop_pages_at(1);
    assert_eq!(Writer::append(&mut journal, 2), None);
    let second = Writer::append(&mut journal, 2).unwrap();
    // The lost bytes took their line break with them.
    model.cut(Cut::Zeros);
    let path = shop().journal("mk", "b7").unwrap();
    let bytes = model.read(&path).unwrap();
    let whole = bytes.split(|b| *b == b'\n').filter_map(sealed::unseal);
    assert_eq!(whole.count(), 3, "the first, the taking back, the second");
    assert_eq!(examine(&model, vec![first, second]), Vec::<String>::new());
}

#[test]
fn a_file_replaced_while_in_use_is_noticed_after_a_failure() {
    let model = fresh();
    let faulty = FaultyDisk::new(Arc::new(model.clone()), 10, Trouble::Error);
    let disk: Arc<dyn Disk> = Arc::new(faulty.clone());
    let (mut journal, _, _) = open(&disk).unwrap();
    assert!(Writer::append(&mut journal, 1).is_some());
    assert!(
        Writer::append(&mut journal, 2).is_none(),
        "{:?}",
        faulty.log()
    );
    model.put(&shop().journal("mk", "b7").unwrap(), b"");
    let next = journal.append(answer(20), moment(20), moment(20).date_naive());
    assert!(matches!(next, Err(StoreError::Vanished { .. })), "{next:?}");
}

#[track_caller]
fn second_opener_is_told(disk: &Arc<dyn Disk>, shop: &ShopFolder) {
    let first = Journal::open(disk, shop, "mk", "b7", &holder()).expect("free");
    let other = Holder {
        who: "tl".to_owned(),
        since: moment(5),
    };
    let refused = Journal::open(disk, shop, "mk", "b7", &other).expect_err("taken");
    let StoreError::Busy { holder, .. } = refused else {
        unreachable!("{refused:?}");
    };
    assert_eq!(holder, "mk, drill since 2026-04-02T07:31:05Z");
    assert!(
        journal::read_person(disk.as_ref(), shop, "mk").is_ok(),
        "reading needs no lock"
    );
    drop(first);
    let (_, _, faults) = Journal::open(disk, shop, "mk", "b7", &other).expect("free again");
    assert_eq!(faults, []);
}

#[test]
fn the_second_of_two_drills_is_told_who_has_the_journal() {
    second_opener_is_told(&(Arc::new(fresh()) as Arc<dyn Disk>), &shop());
    let folder = tempfile::tempdir().unwrap();
    let real: Arc<dyn Disk> = Arc::new(RealDisk);
    second_opener_is_told(&real, &ShopFolder::new(folder.path()));
}

#[test]
fn a_file_in_new_folders_lasts() {
    let path = Path::new("/shop/people/mk/person.json");
    let model = fresh();
    benchlore::store::disk::replace(&model, path, b"new").unwrap();
    model.cut(Cut::Lost);
    assert_eq!(model.read(path).unwrap(), b"new");
}

#[test]
fn replacing_a_file_leaves_the_old_one_or_the_new_one() {
    let path = Path::new("/shop/decks/a.json");
    let calls = {
        let disk = FaultyDisk::new(Arc::new(fresh()), 0, Trouble::Error);
        benchlore::store::disk::replace(&disk, path, b"new new").unwrap();
        disk.calls()
    };
    assert!(calls >= 4);
    for nth in 0..=calls {
        for trouble in Trouble::ALL {
            for cut in CUTS {
                let model = fresh();
                model.put(path, b"old");
                let disk = FaultyDisk::new(Arc::new(model.clone()), nth, trouble);
                let done = benchlore::store::disk::replace(&disk, path, b"new new").is_ok();
                model.cut(cut);
                let found = model.read(path).unwrap();
                assert!(
                    found == b"new new" || (!done && found == b"old"),
                    "{nth} {trouble:?}"
                );
                benchlore::store::disk::replace(&model, path, b"third").unwrap();
                assert_eq!(model.read(path).unwrap(), b"third");
            }
        }
    }
}
