//! Review journals: `people/<person>/<bench>.jsonl`, append only.
//!
//! [`Journal`] is the one writer of a file; reading needs no lock. Numbering, check sums and what
//! happens after a failure are in [`crate::store::sealed`] and `appender.rs`.

use std::collections::HashMap;
use std::collections::HashSet;
use std::io;
use std::path::Path;
use std::sync::Arc;

use chrono::DateTime;
use chrono::DurationRound as _;
use chrono::NaiveDate;
use chrono::TimeDelta;
use chrono::Utc;

use crate::domain::history::JournalLines;
use crate::domain::review::Entry;
use crate::domain::review::Event;
use crate::store::appender::Appender;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::lock::Holder;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::record::problem::Problem;
use crate::store::record::review;
use crate::store::sealed;
use crate::store::tapes::Tapes;

/// The one writer of one person's reviews on one bench; holds the lock until dropped.
#[derive(Debug)]
pub struct Journal {
    appender: Appender,
    person: String,
    bench: String,
}

/// What a person's journal files hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PersonJournals {
    /// Per bench, in the order of bench names; each in the order of its file.
    pub journals: Vec<Vec<Entry>>,
    /// Damage found on the way.
    pub faults: Vec<Fault>,
}

impl Journal {
    /// Opens the journal of `person` on `bench` for writing and returns what it holds.
    ///
    /// Where another copy has it: [`StoreError::Busy`] with who and since when; the caller goes on
    /// with [`read_person`].
    pub fn open(
        disk: &Arc<dyn Disk>,
        shop: &ShopFolder,
        person: &str,
        bench: &str,
        holder: &Holder,
    ) -> Result<(Self, Vec<Entry>, Vec<Fault>), StoreError> {
        let path = shop.journal(person, bench)?;
        let (mut appender, bytes) = Appender::open(Arc::clone(disk), shop.root(), &path, holder)?;
        let scan = sealed::scan(&bytes);
        let mut lines = Vec::new();
        let mut faults = Vec::new();
        read_scan(&scan, &path, person, bench, &mut lines, &mut faults);
        let highest = lines.iter().map(|line| line.entry.seq).max().unwrap_or(0);
        appender.start(highest, &scan);
        let mut journals = vec![lines];
        settle_repeats(&mut journals, &path, &mut faults);
        let entries = journals.remove(0).into_iter().map(|line| line.entry);
        let journal = Self {
            appender,
            person: person.to_owned(),
            bench: bench.to_owned(),
        };
        Ok((journal, entries.collect(), faults))
    }

    /// Takes the journal of `person` on `bench` for writing without reading it: nobody else appends from
    /// now on, and nothing is appended before [`Self::begin`].
    pub fn hold(
        disk: &Arc<dyn Disk>,
        shop: &ShopFolder,
        (person, bench): (&str, &str),
        holder: &Holder,
    ) -> Result<Self, StoreError> {
        let path = shop.journal(person, bench)?;
        let appender = Appender::hold(Arc::clone(disk), shop.root(), &path, holder)?;
        Ok(Self {
            appender,
            person: person.to_owned(),
            bench: bench.to_owned(),
        })
    }

    /// Makes a journal that is held ready for writing; where `tapes` do not know how far it goes, it is
    /// read, and what it holds is left there.
    pub fn begin(&mut self, tapes: &Tapes) -> Result<(), StoreError> {
        if let Some(end) = tapes.end_of(self.appender.disk(), self.appender.path()) {
            self.appender.start_at(end.highest, end.next_seq, true);
            return Ok(());
        }
        let bytes = self.appender.read()?;
        let path = self.appender.path();
        let read = tapes.take_in(path, &self.person, &self.bench, &bytes);
        self.appender
            .start_at(read.highest, read.next_seq, read.ends_fresh);
        Ok(())
    }

    /// Appends one event and returns its entry once it is on the disk.
    ///
    /// On [`StoreError::NotKept`] the event does not count; appending again is safe. Where the line
    /// reached the file all the same, the next append takes it back first.
    pub fn append(
        &mut self,
        event: Event,
        at: DateTime<Utc>,
        day: NaiveDate,
    ) -> Result<Entry, StoreError> {
        let mut entry = Entry {
            id: String::new(),
            bench: self.bench.clone(),
            seq: 0,
            at: to_millis(at),
            day,
            event,
        };
        let id = |seq: u64| format!("{}-{}-{seq}", self.person, self.bench);
        let with = |seq: u64, event: &Event| review::unsealed(&id(seq), seq, entry.at, day, event);
        // A value with no place in the format would be acknowledged and then be unreadable.
        match review::read(&with(1, &entry.event), &self.bench) {
            Ok(read) if read.event == entry.event => {}
            read => {
                let why =
                    read.map_or_else(|p| format!("{}: {}", p.field, p.why), |_| String::new());
                return Err(StoreError::Unwritable { why });
            }
        }
        let seq = self
            .appender
            .append(&|seq| with(seq, &entry.event), &|seq, stray| {
                let of = stray.to_owned();
                Some(with(seq, &Event::Undo { of }))
            })?;
        entry.id = id(seq);
        entry.seq = seq;
        Ok(entry)
    }
}

pub(crate) fn to_millis(at: DateTime<Utc>) -> DateTime<Utc> {
    at.duration_trunc(TimeDelta::milliseconds(1)).unwrap_or(at)
}

/// Reads one journal file; `path` is `people/<person>/<bench>.jsonl`.
pub fn read_all(disk: &dyn Disk, path: &Path) -> Result<(Vec<Entry>, Vec<Fault>), StoreError> {
    let mut faults = Vec::new();
    let mut journals = vec![read_file(disk, path, &mut faults)?];
    settle_repeats(&mut journals, path, &mut faults);
    let entries = journals.remove(0).into_iter().map(|line| line.entry);
    Ok((entries.collect(), faults))
}

/// Reads all journals of one person; none yet is no fault.
pub fn read_person(
    disk: &dyn Disk,
    shop: &ShopFolder,
    person: &str,
) -> Result<PersonJournals, StoreError> {
    let folder = shop.person(person)?;
    let mut faults = Vec::new();
    let mut journals = Vec::new();
    for path in json_lines_in(disk, &folder, &mut faults)? {
        journals.push(read_file(disk, &path, &mut faults)?);
    }
    settle_repeats(&mut journals, &folder, &mut faults);
    let journals = journals
        .into_iter()
        .map(|lines| lines.into_iter().map(|line| line.entry).collect())
        .collect();
    Ok(PersonJournals { journals, faults })
}

/// Reads the journals of everyone who has a folder, by person.
pub fn read_people(
    disk: &dyn Disk,
    shop: &ShopFolder,
) -> Result<Vec<(String, PersonJournals)>, StoreError> {
    let mut found = Vec::new();
    for path in list_or_empty(disk, &shop.people())? {
        if let Some(person) = path.file_name().and_then(|name| name.to_str())
            && paths::safe_name(person).is_ok()
            && !is_going(disk, shop, person)?
        {
            found.push((person.to_owned(), read_person(disk, shop, person)?));
        }
    }
    Ok(found)
}

/// Reads of everyone's journals the lines about these cards, and those that take lines back or move
/// them; damage is named by whoever reads the whole.
pub fn lines_about(
    disk: &dyn Disk,
    shop: &ShopFolder,
    cards: &[String],
) -> Result<Vec<JournalLines>, StoreError> {
    let quoted = |text: &str| serde_json::Value::from(text).to_string();
    let mut marks: Vec<String> = cards.iter().map(|card| quoted(card)).collect();
    marks.extend(["undo", "move"].map(quoted));
    let mut found = Vec::new();
    for folder in list_or_empty(disk, &shop.people())? {
        let Some(person) = folder.file_name().and_then(|name| name.to_str()) else {
            continue;
        };
        if paths::safe_name(person).is_err() || is_going(disk, shop, person)? {
            continue;
        }
        for path in json_lines_in(disk, &folder, &mut Vec::new())? {
            let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
            let bench = stem(&path);
            let scan = sealed::scan(&bytes);
            let lines = scan.lines.iter().map(|line| line.text);
            let about = lines.filter(|text| marks.iter().any(|mark| text.contains(mark.as_str())));
            let entries = about.filter_map(|text| review::read(text, &bench).ok());
            found.push(JournalLines {
                person: person.to_owned(),
                entries: entries.collect(),
                bench,
            });
        }
    }
    Ok(found)
}

/// Tells whether a person is being erased: the folder is no longer anyone's.
fn is_going(disk: &dyn Disk, shop: &ShopFolder, person: &str) -> Result<bool, StoreError> {
    let going = shop.going(person)?;
    disk.exists(&going)
        .map_err(StoreError::io("look for", &going))
}

/// Returns what lies in `folder`, nothing where there is none.
pub fn list_or_empty(
    disk: &dyn Disk,
    folder: &Path,
) -> Result<Vec<std::path::PathBuf>, StoreError> {
    match disk.list(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        done => done.map_err(StoreError::io("list", folder)),
    }
}

/// Returns the `.jsonl` files of `folder`; one whose name cannot be a bench's is named and left.
pub(crate) fn json_lines_in(
    disk: &dyn Disk,
    folder: &Path,
    faults: &mut Vec<Fault>,
) -> Result<Vec<std::path::PathBuf>, StoreError> {
    let mut paths = list_or_empty(disk, folder)?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "jsonl"));
    paths.retain(|path| match paths::safe_name(&stem(path)) {
        Ok(_) => true,
        Err(bad) => {
            faults.push(Fault::damage(
                path,
                format!("not read: {bad}"),
                "rename it to the bench that wrote it, for example b7.jsonl",
            ));
            false
        }
    });
    Ok(paths)
}

/// Returns the file name without its ending.
pub fn stem(path: &Path) -> String {
    path.file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// An entry with what is needed to tell repeats.
struct Line {
    entry: Entry,
    number: u64,
    mark: (usize, u32),
    /// Its id is the one that person, bench and number give, and numbers only rose so far: it can
    /// have no double.
    regular: bool,
}

fn read_file(
    disk: &dyn Disk,
    path: &Path,
    faults: &mut Vec<Fault>,
) -> Result<Vec<Line>, StoreError> {
    let bytes = disk.read(path).map_err(StoreError::io("read", path))?;
    let person = path.parent().and_then(Path::file_name).unwrap_or_default();
    let mut lines = Vec::new();
    read_scan(
        &sealed::scan(&bytes),
        path,
        &person.to_string_lossy(),
        &stem(path),
        &mut lines,
        faults,
    );
    Ok(lines)
}

fn read_scan(
    scan: &sealed::Scan<'_>,
    path: &Path,
    person: &str,
    bench: &str,
    lines: &mut Vec<Line>,
    faults: &mut Vec<Fault>,
) {
    faults.extend(scan.damage.iter().map(|d| damage_fault(d, path)));
    let prefix = format!("{person}-{bench}-");
    let mut highest = 0;
    for line in &scan.lines {
        match review::read(line.text, bench) {
            Ok(entry) => {
                let regular = highest < entry.seq
                    && entry
                        .id
                        .strip_prefix(&prefix)
                        .is_some_and(|n| n.parse() == Ok(entry.seq));
                note_jump(highest, entry.seq, path, line.number, faults);
                highest = highest.max(entry.seq);
                lines.push(Line {
                    mark: mark(line.text),
                    number: line.number,
                    entry,
                    regular,
                });
            }
            Err(problem) => faults.push(problem.at(path, line.number)),
        }
    }
}

/// Returns the entries of the sealed lines of one bench, each line once; what is damaged, what cannot be
/// read and what is missing between two numbers is named.
pub(crate) fn numbered<T>(
    scan: &sealed::Scan<'_>,
    (path, bench): (&Path, &str),
    read: impl Fn(&str, &str) -> (Option<T>, Vec<Problem>),
    seq: impl Fn(&T) -> u64,
    faults: &mut Vec<Fault>,
) -> Vec<T> {
    faults.extend(scan.damage.iter().map(|d| damage_fault(d, path)));
    let mut entries = Vec::new();
    let mut texts = HashSet::new();
    let mut highest = 0;
    for line in &scan.lines {
        let (entry, problems) = read(line.text, bench);
        faults.extend(problems.into_iter().map(|p| p.at(path, line.number)));
        if let Some(entry) = entry {
            note_jump(highest, seq(&entry), path, line.number, faults);
            highest = highest.max(seq(&entry));
            if texts.insert(line.text) {
                entries.push(entry);
            }
        }
    }
    entries
}

/// Names numbers that are missing or come again.
pub(crate) fn note_jump(highest: u64, seq: u64, path: &Path, line: u64, faults: &mut Vec<Fault>) {
    let why = if seq > highest + 1 {
        let missing = seq - highest - 1;
        format!("number {seq} comes after {highest}: {missing} missing")
    } else if seq <= highest {
        format!("number {seq} comes again after {highest}")
    } else {
        return;
    };
    let todo = "look for the missing lines in a copy of this file from another bench or a backup";
    faults.push(Fault::warning(path, why, todo).at(line).field("seq"));
}

pub(crate) fn damage_fault(damage: &sealed::Damage<'_>, path: &Path) -> Fault {
    let why = if damage.salvaged > 0 {
        "the line break is damaged; the records on both sides were found"
    } else if damage.torn {
        "the last line is incomplete: it was cut off while being written and does not count"
    } else if damage.bytes.contains(&0) {
        "the line holds NUL bytes and its check sum does not fit"
    } else {
        "the check sum does not fit: the line was changed or cut and does not count"
    };
    let todo = "nothing else is touched; restore the line from a backup if you have one";
    Fault::damage(path, why, todo).at(damage.number)
}

/// Length and check sum of a line, to tell lines with one id apart.
fn mark(text: &str) -> (usize, u32) {
    (text.len(), crc32fast::hash(text.as_bytes()))
}

/// Counts identical lines once; keeps lines with one id and different content, and names them.
fn settle_repeats(journals: &mut [Vec<Line>], path: &Path, faults: &mut Vec<Fault>) {
    if journals.iter().flatten().all(|line| line.regular) {
        return;
    }
    let mut seen: HashMap<String, Vec<(usize, u32)>> = HashMap::new();
    for lines in journals {
        lines.retain(|line| {
            let marks = seen.entry(line.entry.id.clone()).or_default();
            if marks.contains(&line.mark) {
                return false;
            }
            if !marks.is_empty() {
                let why = format!(
                    "{} stands on two lines with different content; both are kept",
                    line.entry.id
                );
                let todo = "two benches may share one bench id: give one of them another";
                let file = if path.extension().is_some() {
                    path.to_owned()
                } else {
                    path.join(format!("{}.jsonl", line.entry.bench))
                };
                faults.push(Fault::warning(&file, why, todo).at(line.number).field("id"));
            }
            marks.push(line.mark);
            true
        });
    }
}
