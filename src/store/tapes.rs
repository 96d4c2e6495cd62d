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
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::journal_read::JournalRead;
use crate::store::journal_read::Part;
use crate::store::journal_read::Take;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::sealed;
use crate::store::side_by_side;
use crate::store::side_by_side::cut;

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
    /// Bytes read of long files, and all there are to read of them.
    come: (AtomicU64, AtomicU64),
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

    /// Returns how many bytes of long journals were read so far, and how many there are of those begun.
    pub fn progress(&self) -> (u64, u64) {
        let all = self.come.1.load(Ordering::Relaxed);
        (self.come.0.load(Ordering::Relaxed).min(all), all)
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
                let mut read = JournalRead::new(person, bench);
                for entry in entries {
                    read.tape.push(entry);
                }
                Arc::new(read)
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
            self.come.1.fetch_add(length - from, Ordering::Relaxed);
            let steps = |at: u64, take: &mut Take<'_>| {
                disk.read_steps(path, at, &mut |bytes| {
                    let read = bytes.len() as u64;
                    self.come.0.fetch_add(read, Ordering::Relaxed);
                    take(bytes)
                })
            };
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

/// A file longer than this is read in steps.
const LONG: u64 = 4 << 20;

/// Cuts the bytes `from` to `to` of a file into a few ranges, wherever lines may end.
pub(crate) fn ranges(from: u64, to: u64) -> Vec<Range<u64>> {
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
pub(crate) fn sum_of(disk: &dyn Disk, path: &Path, range: Range<u64>) -> io::Result<Hasher> {
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
