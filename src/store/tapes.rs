//! Everyone's journals as tapes, read by several threads, and read once.
//!
//! A file is cut at line breaks, each piece is read by itself, and the pieces are put together in
//! order, so damage and numbers are told as [`crate::store::journal`] tells them. What was read stays:
//! when the file is asked for again and its old bytes are still the same (by length and check sum),
//! only what was appended is read. Nothing of this is ever written.

use std::collections::HashMap;
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
                let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
                self.take_in(&path, person, &journal::stem(&path), &bytes)
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
        // What follows a last line without its end would have to be read with it.
        if read.ends_fresh {
            let known = Known {
                length: bytes.len(),
                sum,
                read: Arc::clone(&read),
                ahead: false,
            };
            self.lock().insert(path.to_owned(), known);
        }
        read
    }
}

fn sum(bytes: &[u8]) -> Hasher {
    let mut whole = Hasher::new();
    let sums = side_by_side::map(cut(bytes), |piece| {
        let mut sum = Hasher::new();
        sum.update(piece);
        sum
    });
    sums.iter().for_each(|sum| whole.combine(sum));
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
        let mut sum = Hasher::new();
        let (person, bench) = (self.tape.person.clone(), self.tape.bench.clone());
        let pieces =
            side_by_side::map(cut(bytes), |piece| Part::read(piece, path, &person, &bench));
        for part in pieces {
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
}

impl Part {
    fn read(bytes: &[u8], path: &Path, person: &str, bench: &str) -> Self {
        let mut part = Self {
            tape: Tape::new(person, bench),
            numbers: Vec::new(),
            problems: Vec::new(),
            damage: Vec::new(),
            claimed: Vec::new(),
            physical: 0,
            sum: Hasher::new(),
        };
        part.sum.update(bytes);
        let mut fast = FastReader::new(part.tape.prefix());
        part.physical = sealed::walk(bytes, |piece| match piece {
            sealed::Piece::Good(line) => part.line(line, &mut fast),
            sealed::Piece::Bad(damage) => {
                part.damage.push(journal::damage_fault(&damage, path));
                part.claimed.extend(sealed::claimed(&damage));
            }
        });
        part
    }

    fn line(&mut self, line: sealed::SealedLine<'_>, fast: &mut FastReader) {
        if let Some(read) = fast.read(line.text, &mut self.tape.names) {
            self.tape.lines.push(read);
        } else {
            match review::read(line.text, &self.tape.bench) {
                Ok(entry) => self.tape.push(entry),
                Err(problem) => {
                    let before = self.tape.lines.len();
                    self.problems.push((before, line.number, problem));
                    return;
                }
            }
        }
        self.numbers.push(line.number);
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
