//! Everyone's journals as tapes, read by several threads, and read once.
//!
//! A file is cut at line breaks, each piece is read by itself, and the pieces are put together in
//! order, so damage and numbers are told as [`crate::store::journal`] tells them. What was read stays:
//! when the file is asked for again and its old bytes are still the same (by length and check sum),
//! only what was appended is read. Nothing of this is ever written.

use std::collections::HashMap;
use std::io;
use std::ops::Range;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;

use crc32fast::Hasher;

use crate::domain::tape::Tape;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::record::problem::Problem;
use crate::store::record::review;
use crate::store::record::review_fast::FastReader;
use crate::store::sealed;
use crate::store::side_by_side;
use crate::store::side_by_side::cut;

/// One journal file as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JournalRead {
    /// Its lines.
    pub tape: Tape,
    /// Damage of the file, then what is odd about its numbers.
    pub faults: Vec<Fault>,
    /// Highest number among its lines.
    pub highest: u64,
    /// Number of the next record.
    pub next_seq: u64,
    /// The next record can start where the file ends.
    pub ends_fresh: bool,
    /// Every id is made of person, bench and number, and numbers only rise: none can have a double.
    regular: bool,
    damage: Vec<Fault>,
    numbering: Vec<Fault>,
    claimed: Vec<u64>,
    physical: u64,
}

/// One person's journals.
#[derive(Clone, Debug, Default)]
pub struct PersonTapes {
    /// Person folder.
    pub person: String,
    /// Per bench, in the order of bench names.
    pub journals: Vec<Arc<JournalRead>>,
    /// Damage found on the way.
    pub faults: Vec<Fault>,
}

struct Known {
    length: usize,
    sum: Hasher,
    read: Arc<JournalRead>,
    /// It was read ahead and nobody has asked for it yet.
    ahead: bool,
}

/// What was read of journals so far.
#[derive(Default)]
pub struct Tapes {
    files: Mutex<HashMap<PathBuf, Known>>,
}

impl std::fmt::Debug for Tapes {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Tapes").finish_non_exhaustive()
    }
}

impl Tapes {
    /// Reads the journals of everyone who has a folder, by person.
    pub fn read_people(
        &self,
        disk: &dyn Disk,
        shop: &ShopFolder,
    ) -> Result<Vec<PersonTapes>, StoreError> {
        let mut found = Vec::new();
        for path in journal::list_or_empty(disk, &shop.people())? {
            if let Some(person) = path.file_name().and_then(|name| name.to_str())
                && paths::safe_name(person).is_ok()
            {
                found.push(self.read_person(disk, shop, person)?);
            }
        }
        Ok(found)
    }

    /// Reads the journals of everyone before they are asked for; what cannot be read is said then.
    ///
    /// The next to ask for a file gets what was read here, if the file has not grown since.
    pub fn read_ahead(&self, disk: &dyn Disk, shop: &ShopFolder) {
        drop(self.read_people(disk, shop));
        for known in self.lock().values_mut() {
            known.ahead = true;
        }
    }

    fn lock(&self) -> MutexGuard<'_, HashMap<PathBuf, Known>> {
        self.files.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Returns what was read ahead of `path`.
    fn ahead(&self, disk: &dyn Disk, path: &Path) -> Option<Arc<JournalRead>> {
        let mut files = self.lock();
        let known = files.get_mut(path).filter(|known| known.ahead)?;
        known.ahead = false;
        let same = disk.length(path).ok() == u64::try_from(known.length).ok();
        same.then(|| Arc::clone(&known.read))
    }

    fn read_person(
        &self,
        disk: &dyn Disk,
        shop: &ShopFolder,
        person: &str,
    ) -> Result<PersonTapes, StoreError> {
        let folder = shop.person(person)?;
        let mut found = PersonTapes {
            person: person.to_owned(),
            ..PersonTapes::default()
        };
        for path in journal::json_lines_in(disk, &folder, &mut found.faults)? {
            let read = if let Some(read) = self.ahead(disk, &path) {
                read
            } else {
                self.read_file(disk, &path, person)?
            };
            found.faults.extend(read.faults.iter().cloned());
            found.journals.push(read);
        }
        if found.journals.iter().all(|read| read.regular) {
            return Ok(found);
        }
        // Lines may stand twice: telling which needs every id and every line in full.
        let full = journal::read_person(disk, shop, person)?;
        found.faults = full.faults;
        found.journals = full
            .journals
            .into_iter()
            .map(|entries| {
                let bench = entries.first().map_or("", |entry| entry.bench.as_str());
                let mut tape = Tape::new(person, bench);
                for entry in entries {
                    tape.push(entry);
                }
                Arc::new(JournalRead {
                    tape,
                    ..JournalRead::default()
                })
            })
            .collect();
        Ok(found)
    }

    /// Reads one file, a long one in steps: its bytes are then never in memory at once.
    fn read_file(
        &self,
        disk: &dyn Disk,
        path: &Path,
        person: &str,
    ) -> Result<Arc<JournalRead>, StoreError> {
        let bench = journal::stem(path);
        let length = disk.length(path).map_err(StoreError::io("read", path))?;
        if LONG < length {
            let known = self
                .lock()
                .remove(path)
                .filter(|k| k.length as u64 <= length);
            let (old, from) = match known {
                Some(known) => {
                    let end = known.length as u64;
                    let sums = side_by_side::map(ranges(0, end), |range| sum_of(disk, path, range));
                    let sums: Result<Vec<Hasher>, io::Error> = sums.into_iter().collect();
                    let mut sum = Hasher::new();
                    for piece in sums.map_err(StoreError::io("read", path))? {
                        sum.combine(&piece);
                    }
                    let same = sum.finalize() == known.sum.clone().finalize();
                    (same.then_some(known), if same { end } else { 0 })
                }
                None => (None, 0),
            };
            let steps = |at: u64, take: &mut Take<'_>| disk.read_steps(path, at, take);
            let parts = side_by_side::map(ranges(from, length), |range| {
                Part::read_range(&steps, path, range, length, (person, &bench))
            });
            let parts: Result<Vec<Part>, io::Error> = parts.into_iter().collect();
            let parts = parts.map_err(StoreError::io("read", path))?;
            let read: u64 = parts.iter().map(|part| part.bytes).sum();
            // A file that changes while it is being read is read once more, at one go.
            if from + read == length {
                let (mut read, mut sum) = match old {
                    Some(known) => (known.read, known.sum),
                    None => (Arc::new(JournalRead::new(person, &bench)), Hasher::new()),
                };
                if from < length {
                    let last = parts.iter().rfind(|part| part.bytes > 0);
                    let fresh = last.is_none_or(|part| part.ends_fresh);
                    let read = Arc::make_mut(&mut read);
                    sum.combine(&read.join_all(parts, path));
                    read.ends_fresh = fresh;
                }
                let length = usize::try_from(length).unwrap_or(usize::MAX);
                self.keep(path, length, sum, &read);
                return Ok(read);
            }
        }
        let bytes = disk.read(path).map_err(StoreError::io("read", path))?;
        Ok(self.take_in(path, person, &bench, &bytes))
    }

    /// Remembers what was read, where what is appended later can be read by itself: what follows a
    /// last line without its end would have to be read with it.
    fn keep(&self, path: &Path, length: usize, sum: Hasher, read: &Arc<JournalRead>) {
        if read.ends_fresh {
            let known = Known {
                length,
                sum,
                read: Arc::clone(read),
                ahead: false,
            };
            self.lock().insert(path.to_owned(), known);
        }
    }

    /// Returns what the `bytes` of a journal hold; what was read of them before is not read again.
    pub fn take_in(
        &self,
        path: &Path,
        person: &str,
        bench: &str,
        bytes: &[u8],
    ) -> Arc<JournalRead> {
        let known = self.lock().remove(path).filter(|known| {
            let old = bytes.get(..known.length);
            old.is_some_and(|old| sum(old).finalize() == known.sum.clone().finalize())
        });
        let (mut read, mut sum, from) = match known {
            Some(known) => (known.read, known.sum, known.length),
            None => (Arc::new(JournalRead::new(person, bench)), Hasher::new(), 0),
        };
        if from < bytes.len() {
            let mut new = &bytes[from..];
            if from == 0 {
                new = sealed::without_mark(bytes);
                sum.update(&bytes[..bytes.len() - new.len()]);
            }
            let read = Arc::make_mut(&mut read);
            sum.combine(&read.add(new, path));
            read.ends_fresh = sealed::ends_fresh(bytes);
        }
        self.keep(path, bytes.len(), sum, &read);
        read
    }
}

/// Gets each step of a file and tells whether to go on.
type Take<'a> = dyn FnMut(&[u8]) -> bool + 'a;

/// A file longer than this is read in steps.
const LONG: u64 = 4 << 20;

/// Cuts the bytes `from` to `to` of a file into a few ranges, wherever lines may end.
fn ranges(from: u64, to: u64) -> Vec<Range<u64>> {
    let size = ((to - from) / 4).max(LONG / 4);
    let mut found = Vec::new();
    let mut start = from;
    while start < to {
        let end = if to - start < size * 2 {
            to
        } else {
            start + size
        };
        found.push(start..end);
        start = end;
    }
    found
}

/// Returns the check sum of the bytes in `range`.
fn sum_of(disk: &dyn Disk, path: &Path, range: Range<u64>) -> io::Result<Hasher> {
    let mut sum = Hasher::new();
    let mut left = usize::try_from(range.end - range.start).unwrap_or(usize::MAX);
    disk.read_steps(path, range.start, &mut |bytes| {
        let bytes = &bytes[..bytes.len().min(left)];
        sum.update(bytes);
        left -= bytes.len();
        left > 0
    })?;
    Ok(sum)
}

fn sum(bytes: &[u8]) -> Hasher {
    let mut whole = Hasher::new();
    let sums = side_by_side::map(cut(bytes), |piece| {
        let mut sum = Hasher::new();
        sum.update(piece);
        sum
    });
    for sum in &sums {
        whole.combine(sum);
    }
    whole
}

impl JournalRead {
    fn new(person: &str, bench: &str) -> Self {
        Self {
            tape: Tape::new(person, bench),
            next_seq: 1,
            ends_fresh: true,
            regular: true,
            ..Self::default()
        }
    }

    /// Adds what `bytes`, which follow what was read so far, hold; returns their check sum.
    fn add(&mut self, bytes: &[u8], path: &Path) -> Hasher {
        let (person, bench) = (self.tape.person.clone(), self.tape.bench.clone());
        let parts = side_by_side::map(cut(bytes), |piece| {
            let mut part = Part::new(&person, &bench);
            part.read(piece, path);
            part
        });
        self.join_all(parts, path)
    }

    /// Adds parts that follow one another and what was read so far; returns their check sum.
    fn join_all(&mut self, parts: Vec<Part>, path: &Path) -> Hasher {
        let mut sum = Hasher::new();
        for part in parts {
            sum.combine(&part.sum);
            self.join(part, path);
        }
        self.next_seq = sealed::next_after(self.highest, self.claimed.iter().copied());
        self.faults = self.damage.iter().chain(&self.numbering).cloned().collect();
        sum
    }

    fn join(&mut self, part: Part, path: &Path) {
        let before = self.physical;
        let shift = |mut fault: Fault| {
            fault.line = fault.line.map(|line| line + before);
            fault
        };
        self.damage.extend(part.damage.into_iter().map(shift));
        self.claimed.extend(part.claimed);
        let mut problems = part.problems.into_iter().peekable();
        for (at, (line, number)) in part.tape.lines.iter().zip(&part.numbers).enumerate() {
            while let Some((_, number, problem)) = problems.next_if(|p| p.0 <= at) {
                self.numbering.push(problem.at(path, before + number));
            }
            let usual = part.tape.odd_ids.get(&at).is_none_or(|id| {
                let number = id.strip_prefix(&part.tape.prefix()).map(str::parse);
                number.is_some_and(|n| n == Ok(line.seq))
            });
            self.regular &= usual && self.highest < line.seq;
            if line.seq != self.highest + 1 {
                let faults = &mut self.numbering;
                journal::note_jump(self.highest, line.seq, path, before + number, faults);
            }
            self.highest = self.highest.max(line.seq);
        }
        for (_, number, problem) in problems {
            self.numbering.push(problem.at(path, before + number));
        }
        self.physical += part.physical;
        self.tape.append(part.tape);
    }
}

/// What one piece of a file holds; numbers of lines count from its start.
struct Part {
    tape: Tape,
    /// The line on which each line of the tape stands.
    numbers: Vec<u64>,
    /// Before which line of the tape, on which line, and what.
    problems: Vec<(usize, u64, Problem)>,
    damage: Vec<Fault>,
    claimed: Vec<u64>,
    physical: u64,
    sum: Hasher,
    bytes: u64,
    ends_fresh: bool,
    fast: FastReader,
}

impl Part {
    fn new(person: &str, bench: &str) -> Self {
        let tape = Tape::new(person, bench);
        Self {
            fast: FastReader::new(tape.prefix()),
            tape,
            numbers: Vec::new(),
            problems: Vec::new(),
            damage: Vec::new(),
            claimed: Vec::new(),
            physical: 0,
            sum: Hasher::new(),
            bytes: 0,
            ends_fresh: true,
        }
    }

    /// Adds `bytes`, which begin at the start of a line and end at the end of one or of the file.
    fn read(&mut self, bytes: &[u8], path: &Path) {
        self.sum.update(bytes);
        self.bytes += bytes.len() as u64;
        self.ends_fresh = sealed::ends_fresh(bytes);
        let before = self.physical;
        self.physical += sealed::walk(bytes, |piece| match piece {
            sealed::Piece::Good(line) => self.line(line, before),
            sealed::Piece::Bad(damage) => {
                let mut fault = journal::damage_fault(&damage, path);
                fault.line = fault.line.map(|line| line + before);
                self.damage.push(fault);
                self.claimed.extend(sealed::claimed(&damage));
            }
        });
    }

    /// Reads the lines that start within `range` of a file of `length` bytes.
    fn read_range(
        steps: &dyn Fn(u64, &mut Take<'_>) -> io::Result<()>,
        path: &Path,
        range: Range<u64>,
        length: u64,
        (person, bench): (&str, &str),
    ) -> io::Result<Self> {
        let mut part = Self::new(person, bench);
        // Room for lines of the usual length, so that few have to move.
        let lines = usize::try_from((range.end - range.start) / 400).unwrap_or(0);
        part.tape.lines.reserve(lines);
        part.numbers.reserve(lines);
        // The line that starts at the very beginning is told by the line break before it.
        let mut at = range.start.saturating_sub(1);
        let mut skipping = range.start > 0;
        let mut carried: Vec<u8> = Vec::new();
        steps(at, &mut |step| {
            let most = usize::try_from(length - at).unwrap_or(usize::MAX);
            let mut bytes = &step[..step.len().min(most)];
            let start = at;
            at += bytes.len() as u64;
            if start == 0 && range.start == 0 {
                let text = sealed::without_mark(bytes);
                let mark = &bytes[..bytes.len() - text.len()];
                part.sum.update(mark);
                part.bytes += mark.len() as u64;
                bytes = text;
            }
            if skipping {
                let Some(end) = memchr::memchr(b'\n', bytes) else {
                    return at < length;
                };
                bytes = &bytes[end + 1..];
                skipping = false;
            }
            // Up to the end of the last line that starts before the end of the range.
            let first = at - bytes.len() as u64;
            let limit = range.end.saturating_sub(first + 1);
            let limit = usize::try_from(limit).unwrap_or(usize::MAX);
            let whole = if first - carried.len() as u64 >= range.end {
                return false;
            } else if limit < bytes.len() {
                let from = if first < range.end { limit } else { 0 };
                memchr::memchr(b'\n', &bytes[from..]).map(|end| from + end + 1)
            } else {
                memchr::memrchr(b'\n', bytes).map(|end| end + 1)
            };
            let Some(whole) = whole else {
                carried.extend_from_slice(bytes);
                return at < length;
            };
            let (lines, rest) = bytes.split_at(whole);
            if carried.is_empty() {
                part.read(lines, path);
            } else {
                carried.extend_from_slice(lines);
                part.read(&std::mem::take(&mut carried), path);
            }
            carried.extend_from_slice(rest);
            at < length && at - (carried.len() as u64) < range.end
        })?;
        // What is left is a last line without its end.
        if !carried.is_empty() && at == length && at - (carried.len() as u64) < range.end {
            part.read(&carried, path);
        }
        Ok(part)
    }

    fn line(&mut self, line: sealed::SealedLine<'_>, before: u64) {
        let number = before + line.number;
        if let Some(read) = self.fast.read(line.text, &mut self.tape.names) {
            self.tape.lines.push(read);
        } else {
            match review::read(line.text, &self.tape.bench) {
                Ok(entry) => self.tape.push(entry),
                Err(problem) => {
                    self.problems.push((self.tape.lines.len(), number, problem));
                    return;
                }
            }
        }
        self.numbers.push(number);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::review::Answered;
    use crate::domain::review::Event;
    use crate::domain::review::Grade;
    use crate::domain::samples;
    use crate::store::disk::RealDisk;
    use proptest::prelude::*;

    /// What a line of a made-up journal may be: mostly answers, the rest whatever a file can hold.
    fn line(seq: u64, kind: u8, id: usize) -> Vec<u8> {
        let card = samples::card(["a", "b"][id % 2], "standby", "U31");
        let mut answered = samples::answered(&card, Grade::ALL[id % 4]);
        let event = match kind {
            0..=7 => Event::Answer(Box::new(answered)),
            8 => {
                "say \"u31\"".clone_into(&mut answered.typed);
                Event::Answer(Box::new(Answered { ..answered }))
            }
            _ => Event::Undo {
                of: format!("mk-b7-{id}"),
            },
        };
        let name = match kind {
            10 => format!("mk-b7-0{seq}"),
            11 => "mk-b9-1".to_owned(),
            _ => format!("mk-b7-{seq}"),
        };
        let on = i64::try_from(seq).expect("small");
        let text = review::unsealed(&name, seq, samples::at(on), samples::day(on), &event);
        let mut text = match kind {
            12 => sealed::seal(&text.replace("\"ev\"", "\"event\"")),
            13 => sealed::seal(&text.replace("{\"v\":1", "{\"v\":7")),
            _ => sealed::seal(&text),
        };
        match kind {
            14 => text.clear(),
            15 => text.push('\r'),
            16 => text = text.replace("\"day\":\"20", "\"day\":\"21"),
            17 => text.truncate(text.len() / 2),
            _ => {}
        }
        let mut bytes = text.into_bytes();
        bytes.push(if kind == 18 { b'\x0b' } else { b'\n' });
        bytes
    }

    fn file(kinds: &[(u8, usize, bool)], marked: bool, torn: usize) -> Vec<u8> {
        let mut bytes = if marked {
            b"\xef\xbb\xbf".to_vec()
        } else {
            Vec::new()
        };
        let mut seq = 0;
        for &(kind, id, jump) in kinds {
            // Numbers rise as a rule; now and then one is missing or comes again.
            seq = match (jump, kind) {
                (true, 0) => 1.max(seq),
                (true, _) => seq + 3,
                _ => seq + 1,
            };
            bytes.extend(line(seq, kind, id));
        }
        bytes.truncate(bytes.len().saturating_sub(torn));
        bytes
    }

    fn kinds() -> impl Strategy<Value = Vec<(u8, usize, bool)>> {
        let kind = prop_oneof![6 => 0..9_u8, 2 => 9..19_u8];
        let jump = prop::bool::weighted(0.05);
        prop::collection::vec((kind, 0..50_usize, jump), 0..30)
    }

    fn on_disk(bytes: &[u8]) -> (tempfile::TempDir, ShopFolder, PathBuf) {
        let root = tempfile::tempdir().expect("a folder");
        let shop = ShopFolder::new(root.path().to_owned());
        let path = shop.journal("mk", "b7").expect("a name");
        RealDisk
            .make_folder(path.parent().expect("a folder"))
            .expect("made");
        RealDisk.create_new(&path, bytes).expect("written");
        (root, shop, path)
    }

    proptest! {
        /// Whatever a file holds: the same lines, the same damage in the same words and order, and the
        /// same next number as from the reader of full lines, in one piece or in several.
        #[test]
        fn tapes_hold_what_full_journals_hold(
            kinds in kinds(), marked in any::<bool>(), torn in 0..40_usize, cuts in 0..4_usize,
        ) {
            let bytes = file(&kinds, marked, torn * usize::from(torn < 20));
            let (_root, shop, path) = on_disk(&bytes);
            let full = journal::read_person(&RealDisk, &shop, "mk").expect("it is read");
            let people = Tapes::default().read_people(&RealDisk, &shop).expect("it is read");
            prop_assert_eq!(&people[0].faults, &full.faults);
            let mut expected = Tape::new("mk", "b7");
            full.journals[0].iter().cloned().for_each(|entry| expected.push(entry));
            let lines = |tape: &Tape| -> Vec<String> {
                let told = tape.lines.iter().enumerate();
                told.map(|(at, line)| format!("{} {:?} {} {}", tape.id(at), line.at, line.day, line.seq))
                    .collect()
            };
            prop_assert_eq!(lines(&people[0].journals[0].tape), lines(&expected));

            let scan = sealed::scan(&bytes);
            let seqs = scan.lines.iter().filter_map(|l| review::read(l.text, "b7").ok());
            let highest = seqs.map(|entry| entry.seq).max().unwrap_or(0);
            let tapes = Tapes::default();
            let whole = tapes.take_in(&path, "mk", "b7", &bytes);
            prop_assert_eq!(whole.next_seq, sealed::next_seq(highest, &scan.damage));
            prop_assert_eq!(whole.ends_fresh, scan.ends_fresh);

            // The file as it was at some earlier time, then as it is now.
            let ends = memchr::memchr_iter(b'\n', &bytes).map(|end| end + 1);
            let ends: Vec<usize> = std::iter::once(0).chain(ends).collect();
            let grown = Tapes::default();
            grown.take_in(&path, "mk", "b7", &bytes[..ends[cuts * ends.len() / 4]]);
            let later = grown.take_in(&path, "mk", "b7", &bytes);
            prop_assert_eq!(&*later, &*whole);
            prop_assert_eq!(&*grown.take_in(&path, "mk", "b7", &bytes), &*whole);
        }

        /// A file read in ranges that begin and end anywhere, in steps of any size, is the file read at
        /// one go.
        #[test]
        fn ranges_and_steps_change_nothing(
            kinds in kinds(), marked in any::<bool>(), torn in 0..40_usize,
            cuts in prop::collection::vec(any::<prop::sample::Index>(), 0..6),
            step in prop_oneof![1..9_usize, 100..900_usize],
        ) {
            // A byte order mark comes in one step: no file is read in steps of three bytes.
            let step = if marked { step + 3 } else { step };
            let bytes = file(&kinds, marked, torn * usize::from(torn < 20));
            if bytes.is_empty() { return Ok(()) }
            let path = Path::new("people/mk/b7.jsonl");
            let whole = Tapes::default().take_in(path, "mk", "b7", &bytes);
            let mut cuts: Vec<u64> = cuts.iter().map(|at| at.index(bytes.len()) as u64).collect();
            cuts.extend([0, bytes.len() as u64]);
            cuts.sort_unstable();
            let steps = |at: u64, take: &mut Take<'_>| {
                let rest = &bytes[usize::try_from(at).expect("small")..];
                let mut pieces = rest.chunks(step);
                while pieces.next().is_some_and(&mut *take) {}
                Ok(())
            };
            let length = bytes.len() as u64;
            let parts: Vec<Part> = cuts
                .windows(2)
                .filter(|ends| ends[0] < ends[1])
                .map(|ends| {
                    Part::read_range(&steps, path, ends[0]..ends[1], length, ("mk", "b7"))
                        .expect("nothing fails")
                })
                .collect();
            prop_assert_eq!(parts.iter().map(|part| part.bytes).sum::<u64>(), length);
            let mut read = JournalRead::new("mk", "b7");
            let sum = read.join_all(parts, path);
            read.ends_fresh = whole.ends_fresh;
            prop_assert_eq!(&read, &*whole);
            prop_assert_eq!(sum.finalize(), crc32fast::hash(&bytes));
        }

        /// A byte that changes in what was read before is found: nothing old is believed then.
        #[test]
        fn a_changed_byte_in_the_old_part_is_seen(
            kinds in kinds(), at in any::<prop::sample::Index>(),
        ) {
            let mut bytes = file(&kinds, false, 0);
            if bytes.is_empty() { return Ok(()) }
            let path = Path::new("people/mk/b7.jsonl");
            let tapes = Tapes::default();
            tapes.take_in(path, "mk", "b7", &bytes);
            let at = at.index(bytes.len());
            bytes[at] ^= 1;
            let again = tapes.take_in(path, "mk", "b7", &bytes);
            prop_assert_eq!(&*again, &*Tapes::default().take_in(path, "mk", "b7", &bytes));
        }
    }

    #[test]
    fn what_was_read_ahead_is_handed_out_once_and_only_while_the_file_has_not_grown() {
        let (_root, shop, path) = on_disk(&file(&[(0, 0, false)], false, 0));
        let lines = |tapes: &Tapes| {
            let people = tapes.read_people(&RealDisk, &shop).expect("it is read");
            people[0].journals[0].tape.lines.len()
        };
        let tapes = Tapes::default();
        tapes.read_ahead(&RealDisk, &shop);
        RealDisk
            .open_append(&path)
            .expect("open")
            .write(&line(2, 0, 1))
            .expect("written");
        assert_eq!(lines(&tapes), 2);
        tapes.read_ahead(&RealDisk, &shop);
        assert_eq!([lines(&tapes), lines(&tapes)], [2, 2]);
    }

    #[test]
    fn a_long_file_is_cut_at_line_breaks_and_numbered_through() {
        let mut bytes = Vec::new();
        for seq in 1..=9_000 {
            bytes.extend(line(seq, if seq == 8_000 { 16 } else { 0 }, 3));
        }
        assert!(cut(&bytes).len() > 2, "several pieces");
        assert!(cut(&bytes).iter().all(|piece| piece.ends_with(b"\n")));
        let path = Path::new("people/mk/b7.jsonl");
        let read = Tapes::default().take_in(path, "mk", "b7", &bytes);
        assert_eq!(read.tape.lines.len(), 8_999);
        let lines: Vec<Option<u64>> = read.faults.iter().map(|fault| fault.line).collect();
        assert_eq!(lines, [Some(8_000), Some(8_001)]);
    }
}
