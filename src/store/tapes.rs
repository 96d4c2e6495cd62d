//! Everyone's journals as tapes, read by several threads, and read once.
//!
//! A long file is read in ranges, each by itself ([`crate::store::journal_read`]). What was read stays:
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
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;

use crc32fast::Hasher;

use crate::store::disk::Disk;
use crate::store::disk::Stamp;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::journal_read::End;
use crate::store::journal_read::JournalRead;
use crate::store::journal_read::Part;
use crate::store::journal_read::Take;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::sealed;
use crate::store::side_by_side;
use crate::store::side_by_side::cut;
use crate::store::snapshot;

/// One person's journals.
#[derive(Clone, Debug, Default)]
pub struct PersonTapes {
    /// Person folder.
    pub person: String,
    /// Per bench, in the order of bench names.
    pub journals: Vec<Arc<JournalRead>>,
    /// Damage found on the way.
    pub faults: Vec<Fault>,
    /// How each of their files was as it was read; none where it has a torn end.
    pub wholes: Vec<Option<Whole>>,
    /// Every id is the usual one, and none comes twice.
    pub regular: bool,
}

struct Known {
    length: usize,
    sum: Hasher,
    read: Arc<JournalRead>,
    /// It was read ahead and nobody has asked for it yet.
    ahead: bool,
}

/// What was read of journals so far.
pub struct Tapes {
    /// Bytes of journals from which on a count of them is kept.
    worth: u64,
    files: Mutex<HashMap<PathBuf, Known>>,
    /// Bytes read of long files, and all there are to read of them.
    come: (AtomicU64, AtomicU64),
    /// Sums of the beginnings of files, up to which byte.
    sums: Mutex<HashMap<(PathBuf, u64), Ahead>>,
    /// How far files go that were summed and not read.
    ends: Mutex<HashMap<PathBuf, (u64, End)>>,
}

/// A beginning of a file that was summed before it was asked for.
struct Ahead {
    sum: u32,
    /// Length that the file had.
    length: u64,
    /// Marks that it had before it was summed, where they are settled.
    stamp: Option<Stamp>,
}

/// A journal as it was read: its length, the sum of its bytes, and how far it goes.
#[derive(Clone, Debug)]
pub struct Whole {
    pub(crate) length: u64,
    pub(crate) sum: u32,
    pub(crate) end: End,
}

impl std::fmt::Debug for Tapes {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Tapes").finish_non_exhaustive()
    }
}

impl Default for Tapes {
    fn default() -> Self {
        Self::keeping_counts_from(snapshot::WORTH)
    }
}

impl Tapes {
    /// Returns tapes of nothing yet; a count of journals is kept where they have `worth` bytes or more.
    pub fn keeping_counts_from(worth: u64) -> Self {
        Self {
            worth,
            files: Mutex::default(),
            come: Default::default(),
            sums: Mutex::default(),
            ends: Mutex::default(),
        }
    }

    /// Bytes of journals from which on a count of them is kept.
    pub(crate) fn worth_a_count(&self) -> u64 {
        self.worth
    }

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
    ///
    /// Where the journals are long and a count of them is kept, it is their bytes that are summed.
    pub fn read_ahead(&self, disk: &dyn Disk, shop: &ShopFolder) {
        let long = snapshot::bytes_of_all(disk, shop).is_some_and(|bytes| self.worth <= bytes);
        if long && snapshot::sum_ahead(disk, shop, self) {
            return;
        }
        drop(self.read_people(disk, shop));
        for known in self.lock().values_mut() {
            known.ahead = true;
        }
    }

    /// Returns how many bytes of long journals were read so far, and how many there are of those begun.
    pub fn progress(&self) -> (u64, u64) {
        let all = self.come.1.load(Ordering::Relaxed);
        (self.come.0.load(Ordering::Relaxed).min(all), all)
    }

    /// Returns how a file was when `read` was read of it; none where it cannot be read on from its end.
    fn whole(&self, path: &Path, read: &Arc<JournalRead>) -> Option<Whole> {
        let files = self.lock();
        let known = files
            .get(path)
            .filter(|known| Arc::ptr_eq(&known.read, read))?;
        Some(Whole {
            length: known.length as u64,
            sum: known.sum.clone().finalize(),
            end: known.read.end(),
        })
    }

    /// Returns the sum of the first `until` bytes of a file that has `length` of them now, and the marks
    /// that `settled` gave of it before they were summed.
    pub(crate) fn sum(
        &self,
        disk: &dyn Disk,
        path: &Path,
        until: u64,
        length: u64,
        settled: &dyn Fn() -> Option<Stamp>,
    ) -> Option<(u32, Option<Stamp>)> {
        let key = (path.to_owned(), until);
        let ahead = unpoisoned(&self.sums).remove(&key);
        if let Some(ahead) = ahead.filter(|ahead| ahead.length == length) {
            return Some((ahead.sum, ahead.stamp));
        }
        let stamp = settled();
        Some((sum_until(disk, path, until).ok()?, stamp))
    }

    /// Sums the beginning of a file before it is asked for; the next to ask gets it, if the file has not
    /// grown since.
    pub(crate) fn sum_ahead(
        &self,
        disk: &dyn Disk,
        path: &Path,
        until: u64,
        length: u64,
        settled: &dyn Fn() -> Option<Stamp>,
    ) {
        let stamp = settled();
        if until <= length
            && let Ok(sum) = sum_until(disk, path, until)
        {
            let ahead = Ahead { sum, length, stamp };
            unpoisoned(&self.sums).insert((path.to_owned(), until), ahead);
        }
    }

    /// Remembers how far a file of `length` bytes goes that was not read as a whole.
    pub(crate) fn ends_at(&self, path: &Path, length: u64, end: End) {
        unpoisoned(&self.ends).insert(path.to_owned(), (length, end));
    }

    /// Returns how far a file goes where that is known without reading it.
    pub(crate) fn end_of(&self, disk: &dyn Disk, path: &Path) -> Option<End> {
        let length = disk.length(path).ok()?;
        let ends = unpoisoned(&self.ends);
        let (_, end) = ends.get(path).filter(|(was, _)| *was == length)?;
        Some(end.clone())
    }

    fn lock(&self) -> MutexGuard<'_, HashMap<PathBuf, Known>> {
        unpoisoned(&self.files)
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
        let paths = journal::json_lines_in(disk, &folder, &mut found.faults)?;
        // Every range numbers its texts by itself: no more of them than there are threads to read them.
        let lengths = paths.iter().map(|path| disk.length(path).unwrap_or(0));
        let lengths: Vec<u64> = lengths.collect();
        let all: u64 = lengths.iter().sum();
        let threads = side_by_side::threads() as u64;
        let share = |length: u64| (length * threads + all / 2) / all.max(1);
        let files: Vec<(PathBuf, u64)> = paths
            .into_iter()
            .zip(
                lengths
                    .into_iter()
                    .map(|length| share(length).clamp(1, threads)),
            )
            .collect();
        let reads = side_by_side::map(files, |(path, share)| {
            let read = match self.ahead(disk, &path) {
                Some(read) => Ok(read),
                None => self.read_file(disk, &path, person, share),
            };
            (path, read)
        });
        for (path, read) in reads {
            let read = read?;
            found.faults.extend(read.faults.iter().cloned());
            found.wholes.push(self.whole(&path, &read));
            found.journals.push(read);
        }
        found.regular = found.journals.iter().all(|read| read.regular);
        if found.regular {
            return Ok(found);
        }
        // Lines may stand twice: telling which needs every id and every line in full.
        let full = journal::read_person(disk, shop, person)?;
        found.faults = full.faults;
        found.journals = full
            .journals
            .into_iter()
            .zip(&found.journals)
            .map(|(entries, read)| {
                let mut read = JournalRead::new(person, &read.tape.bench);
                for entry in entries {
                    read.tape.push(entry);
                }
                Arc::new(read)
            })
            .collect();
        Ok(found)
    }

    /// Reads one file, a long one in steps and in so many ranges: its bytes are then never in memory at
    /// once.
    fn read_file(
        &self,
        disk: &dyn Disk,
        path: &Path,
        person: &str,
        share: u64,
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
            self.come.1.fetch_add(length - from, Ordering::Relaxed);
            let steps = |at: u64, take: &mut Take<'_>| {
                disk.read_steps(path, at, &mut |bytes| {
                    let read = bytes.len() as u64;
                    self.come.0.fetch_add(read, Ordering::Relaxed);
                    take(bytes)
                })
            };
            let parts = side_by_side::map(ranges_in(share, from, length), |range| {
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

fn unpoisoned<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Returns the check sum of the first `until` bytes of a file.
pub(crate) fn sum_until(disk: &dyn Disk, path: &Path, until: u64) -> io::Result<u32> {
    let pieces = side_by_side::map(ranges(0, until), |range| {
        let (sum, read) = summed(disk, path, range.clone())?;
        let all = read == range.end - range.start;
        all.then_some(sum)
            .ok_or_else(|| io::Error::from(io::ErrorKind::UnexpectedEof))
    });
    let mut whole = Hasher::new();
    for piece in pieces {
        whole.combine(&piece?);
    }
    Ok(whole.finalize())
}

/// A file longer than this is read in steps.
const LONG: u64 = 4 << 20;

/// Cuts the bytes `from` to `to` of a file into a few ranges, wherever lines may end.
pub(crate) fn ranges(from: u64, to: u64) -> Vec<Range<u64>> {
    ranges_in(4, from, to)
}

/// Cuts the bytes `from` to `to` of a file into about so many ranges.
fn ranges_in(pieces: u64, from: u64, to: u64) -> Vec<Range<u64>> {
    let size = (to - from).div_ceil(pieces).max(LONG / 4);
    let mut found = Vec::new();
    let mut start = from;
    while start < to {
        let end = if to - start < size + size / 2 {
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
pub(crate) fn sum_of(disk: &dyn Disk, path: &Path, range: Range<u64>) -> io::Result<Hasher> {
    summed(disk, path, range).map(|(sum, _)| sum)
}

/// Returns the check sum of the bytes in `range`, and how many of them there are.
fn summed(disk: &dyn Disk, path: &Path, range: Range<u64>) -> io::Result<(Hasher, u64)> {
    let mut sum = Hasher::new();
    let all = usize::try_from(range.end - range.start).unwrap_or(usize::MAX);
    let mut left = all;
    disk.read_steps(path, range.start, &mut |bytes| {
        let bytes = &bytes[..bytes.len().min(left)];
        sum.update(bytes);
        left -= bytes.len();
        left > 0
    })?;
    Ok((sum, (all - left) as u64))
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
