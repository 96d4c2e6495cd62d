//! What the beginnings of journals sum up to, told without reading them: `cache/people/journals.sums`.
//!
//! Summing half a gigabyte takes most of the time in which a person waits for a kept count, so a sum stays
//! believed while the file system says that nobody wrote to the file since: length, time of change, time of
//! any change (which no program can set), the file's number and its device are all as they were just before
//! the bytes were summed, and the last 64 KiB still have their own sum. Where anything of it differs, or the
//! system has no such times (then [`Disk::stamp`] gives none), every byte is summed.
//!
//! Times are coarse: what changes again within a tick of a clock looks unchanged. So a sum is kept only of a
//! file that was last touched at least [`TICK`] before the summing began, by the clock that stamps files in
//! that folder; its bytes are synced first, so that no power cut takes back what was summed.
//!
//! What is not noticed here: a byte that rots on the disk or in memory without a write, before the last
//! 64 KiB; a device written to behind its file system, or put back to an earlier image while this file was
//! kept elsewhere; a clock set back to the very nanosecond (or the tick of a coarse file system) of an earlier
//! change of the same length; bytes written through a memory map that the system has not marked yet. Each
//! line has its own sum, but only reading tells. [`rotten`] reads every byte: `inspect` asks it, and all
//! that was kept of journals goes where one is not what its marks say.
//!
//! The file is derived and safe to delete. It names people: it lies among the counts, is written under
//! their lock, and an erasure takes it away with them.

use std::path::Path;
use std::path::PathBuf;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Locking;
use crate::store::disk::Stamp;
use crate::store::lock::lock_path;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::paths::ShopFolder;
use crate::store::snapshot;
use crate::store::tapes;
use crate::store::tapes::Tapes;

/// Begins the file; the number rises with the format.
const MAGIC: &[u8] = b"benchlore sums 1\n";
/// Nanoseconds within which two changes may have one time: the coarsest file systems in use count two
/// seconds.
const TICK: u64 = 2_000_000_000;
/// Bytes at the end of a file that are summed whatever its marks say.
const END: u64 = 64 << 10;
/// Sums of one file that are kept: counts of several people may end at different places.
const MOST: usize = 32;

/// A journal that was summed, with the marks it had just before.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Summed {
    person: String,
    bench: String,
    stamp: Stamp,
    /// Sum of the last [`END`] bytes.
    end: u32,
    /// Sums of so many bytes from the start.
    sums: Vec<(u64, u32)>,
}

/// A journal whose sum is asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Asked<'a> {
    pub(crate) person: &'a str,
    pub(crate) bench: &'a str,
    pub(crate) path: &'a Path,
    /// Its length now.
    pub(crate) length: u64,
}

/// The sums that are known.
pub(crate) struct JournalSums<'a> {
    disk: &'a dyn Disk,
    folder: &'a ShopFolder,
    known: Vec<Summed>,
    has_news: bool,
}

/// Returns where the sums lie.
fn path(folder: &ShopFolder) -> PathBuf {
    snapshot::folder(folder).join("journals.sums")
}

impl<'a> JournalSums<'a> {
    /// Reads the sums that were kept; none where they are damaged.
    pub(crate) fn load(disk: &'a dyn Disk, folder: &'a ShopFolder) -> Self {
        let bytes = disk.read(&path(folder)).ok();
        Self {
            disk,
            folder,
            known: bytes.and_then(|bytes| decode(&bytes)).unwrap_or_default(),
            has_news: false,
        }
    }

    /// Returns the sum of the first `until` bytes of a journal, from what is kept or from its bytes.
    pub(crate) fn of(&mut self, tapes: &Tapes, asked: Asked<'_>, until: u64) -> Option<u32> {
        if let Some(sum) = self.kept(asked, until) {
            return Some(sum);
        }
        let (sum, stamp) = tapes.sum(self.disk, asked.path, until, asked.length, &|| {
            self.settled(asked.path)
        })?;
        if let Some(stamp) = stamp {
            self.take(asked, stamp, (until, sum));
        }
        Some(sum)
    }

    /// Sums the beginning of a journal before it is asked for, unless its sum is kept.
    pub(crate) fn ahead(&self, tapes: &Tapes, asked: Asked<'_>, until: u64) {
        if self.kept(asked, until).is_none() {
            let settled = || self.settled(asked.path);
            tapes.sum_ahead(self.disk, asked.path, until, asked.length, &settled);
        }
    }

    fn kept(&self, asked: Asked<'_>, until: u64) -> Option<u32> {
        let is_it = |one: &&Summed| one.person == asked.person && one.bench == asked.bench;
        let one = self.known.iter().find(is_it)?;
        let (_, sum) = one.sums.iter().find(|(to, _)| *to == until)?;
        let same = self.disk.stamp(asked.path).ok()? == Some(one.stamp);
        let same = same && asked.length == one.stamp.len;
        (same && end_of(self.disk, asked.path, asked.length)? == one.end).then_some(*sum)
    }

    /// Returns the marks of a file that was not touched lately: whatever is written to it from now on gives
    /// it others.
    fn settled(&self, path: &Path) -> Option<Stamp> {
        let among = snapshot::folder(self.folder);
        let now = self.disk.stamp_of_now(path, &among).ok()??;
        let stamp = self.disk.stamp(path).ok()??;
        let old = |time: u64| time.saturating_add(TICK) < now.changed;
        let settled = old(stamp.changed) && old(stamp.touched) && stamp.device == now.device;
        settled.then_some(stamp)
    }

    fn take(&mut self, asked: Asked<'_>, stamp: Stamp, sum: (u64, u32)) {
        let Some(end) = end_of(self.disk, asked.path, stamp.len) else {
            return;
        };
        let is_it = |one: &Summed| one.person == asked.person && one.bench == asked.bench;
        let before = self.known.iter().position(is_it);
        let before = before.map(|at| self.known.swap_remove(at));
        let same = before.filter(|one| one.stamp == stamp && one.end == end);
        let mut sums = same.map_or_else(Vec::new, |one| one.sums);
        sums.retain(|(to, _)| *to != sum.0);
        sums.truncate(MOST - 1);
        sums.insert(0, sum);
        self.known.push(Summed {
            person: asked.person.to_owned(),
            bench: asked.bench.to_owned(),
            stamp,
            end,
            sums,
        });
        self.has_news = true;
    }

    /// Puts on the disk what was found out. That it could not is no failure; a person who is being erased,
    /// or is gone, stays out of it.
    pub(crate) fn keep(mut self) {
        if !self.has_news {
            return;
        }
        let all = snapshot::folder(self.folder);
        let Ok(Locking::Taken(_guard)) = self.disk.lock(&lock_path(&all), "sums being kept") else {
            return;
        };
        let (disk, folder) = (self.disk, self.folder);
        self.known
            .retain(|one| snapshot::stays(disk, folder, &one.person));
        // Whatever comes of it is either whole or not believed.
        drop(disk::replace_held(
            disk,
            &path(folder),
            &encode(&self.known),
        ));
    }
}

/// Returns the journals that are not what was summed, though their marks say so: every byte is read.
pub(crate) fn rotten(disk: &dyn Disk, folder: &ShopFolder) -> Vec<PathBuf> {
    let kept = JournalSums::load(disk, folder);
    let mut found = Vec::new();
    for one in &kept.known {
        let Ok(path) = folder.journal(&one.person, &one.bench) else {
            continue;
        };
        if disk.stamp(&path).ok().flatten() != Some(one.stamp) {
            continue;
        }
        let differs =
            |(until, sum): &(u64, u32)| tapes::sum_until(disk, &path, *until).ok() != Some(*sum);
        let end = end_of(disk, &path, one.stamp.len) != Some(one.end);
        if end || one.sums.iter().any(differs) {
            found.push(path);
        }
    }
    found
}

fn end_of(disk: &dyn Disk, path: &Path, length: u64) -> Option<u32> {
    let from = length.saturating_sub(END);
    let most = usize::try_from(length - from).ok()?;
    let bytes = disk.read_part(path, from, most).ok()?;
    (bytes.len() == most).then(|| crc32fast::hash(&bytes))
}

fn encode(all: &[Summed]) -> Vec<u8> {
    let mut to = To::default();
    to.bytes.extend(MAGIC);
    to.count(all.len());
    for one in all {
        to.text(&one.person);
        to.text(&one.bench);
        let Stamp {
            len,
            changed,
            touched,
            file,
            device,
        } = one.stamp;
        for number in [len, changed, touched, file, device] {
            to.number(number);
        }
        to.short(one.end);
        to.count(one.sums.len());
        for (until, sum) in &one.sums {
            to.number(*until);
            to.short(*sum);
        }
    }
    let sum = crc32fast::hash(&to.bytes);
    to.short(sum);
    to.bytes
}

fn decode(bytes: &[u8]) -> Option<Vec<Summed>> {
    let (bytes, sum) = bytes.split_last_chunk::<4>()?;
    (crc32fast::hash(bytes).to_le_bytes() == *sum).then_some(())?;
    let mut from = From {
        bytes: bytes.strip_prefix(MAGIC)?,
    };
    let mut all = Vec::new();
    for _ in 0..from.count()? {
        let (person, bench) = (from.text()?.to_owned(), from.text()?.to_owned());
        let mut numbers = [0; 5];
        for number in &mut numbers {
            *number = from.number()?;
        }
        let [len, changed, touched, file, device] = numbers;
        let end = from.short()?;
        let mut sums = Vec::new();
        for _ in 0..from.count()? {
            sums.push((from.number()?, from.short()?));
        }
        all.push(Summed {
            person,
            bench,
            stamp: Stamp {
                len,
                changed,
                touched,
                file,
                device,
            },
            end,
            sums,
        });
    }
    from.bytes.is_empty().then_some(all)
}
