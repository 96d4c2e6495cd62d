//! What a person's journals add up to, kept ready in `cache/people/<person>.count`: derived, safe to
//! delete, never trusted over the journals.
//!
//! It is believed where every journal of everyone still begins with the very bytes that were counted: by
//! length and by the CRC-32 of all of them. They are read for that, unless the file system says that nobody
//! wrote to the file since they were summed last; what that can miss stands in `store/journal_sums.rs`, and
//! [`rotten`] looks at every byte. Lines that were appended since are read by themselves and added by
//! [`Tally::add`]. With anything else, another program, another shop folder, other aliases, a journal
//! that is gone or damaged further, the journals are counted anew. How the bytes lie is in
//! `store/snapshot_bytes.rs`; files of damaged names or a torn end make and use none.
//!
//! An erasure takes the lock of the folder and removes them all ([`forget`]): each names everyone.

use std::path::Path;
use std::path::PathBuf;
use std::thread;

use crate::domain::tally::Tally;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Guard;
use crate::store::disk::Locking;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::journal_read::End;
use crate::store::journal_read::JournalRead;
use crate::store::journal_sums;
use crate::store::journal_sums::Asked;
use crate::store::journal_sums::JournalSums;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::lock::lock_path;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::snapshot_bytes;
use crate::store::sources;
use crate::store::tapes::Tapes;
use crate::store::tapes::Whole;

/// Fewer bytes of journals than this are read as fast as a snapshot is checked.
pub const WORTH: u64 = 8 << 20;

/// Ending of its files.
const ENDING: &str = "count";

/// One journal as it was counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Note {
    pub(crate) person: String,
    pub(crate) bench: String,
    pub(crate) length: u64,
    /// CRC-32 of that many bytes.
    pub(crate) sum: u32,
    pub(crate) end: End,
}

/// A count with what it was made from.
#[derive(Clone, Debug, PartialEq)]
pub struct Snapshot {
    /// The count.
    pub tally: Tally,
    /// Damage that was found in the journals.
    pub faults: Vec<Fault>,
    /// Mark of what cards accept.
    pub deck: u64,
    /// Cards that accept something else by that mark than at their last answer, by place.
    pub corrected: Vec<u32>,
    pub(crate) notes: Vec<Note>,
}

/// A snapshot that can be believed, and what stands behind it.
#[derive(Debug)]
pub struct Found {
    /// The snapshot.
    pub snapshot: Snapshot,
    /// What was appended to each journal since, and journals that are new.
    pub tails: Vec<JournalRead>,
    /// Bytes of them.
    pub more: u64,
    notes: Vec<Note>,
}

/// A journal as it lies on the disk.
struct Lying {
    person: String,
    bench: String,
    path: PathBuf,
    length: u64,
}

/// Where the snapshot of `person` lies.
pub fn path(folder: &ShopFolder, person: &str) -> Result<PathBuf, StoreError> {
    let name = paths::safe_name(person)?;
    Ok(self::folder(folder).join(format!("{name}.{ENDING}")))
}

/// Returns the folder of all snapshots.
pub(crate) fn folder(folder: &ShopFolder) -> PathBuf {
    folder.cache().join("people")
}

/// Returns how many bytes the journals of everyone have; none where a name cannot be a bench's.
pub fn bytes_of_all(disk: &dyn Disk, folder: &ShopFolder) -> Option<u64> {
    let files = lying(disk, folder)?;
    Some(files.iter().map(|file| file.length).sum())
}

/// What a snapshot depends on beside files: the program, where the shop lies (damage is told with paths),
/// and the key given.
fn full(folder: &ShopFolder, key: &str) -> String {
    let (rules, root) = (sources::RULES, folder.root().to_string_lossy());
    format!("{rules}\n{root}\n{key}")
}

fn lying(disk: &dyn Disk, folder: &ShopFolder) -> Option<Vec<Lying>> {
    let mut found = Vec::new();
    for place in journal::list_or_empty(disk, &folder.people()).ok()? {
        let Some(person) = place.file_name().and_then(|name| name.to_str()) else {
            continue;
        };
        if paths::safe_name(person).is_err() {
            continue;
        }
        let mut faults = Vec::new();
        for path in journal::json_lines_in(disk, &place, &mut faults).ok()? {
            found.push(Lying {
                person: person.to_owned(),
                bench: journal::stem(&path),
                length: disk.length(&path).ok()?,
                path,
            });
        }
        if !faults.is_empty() {
            return None;
        }
    }
    Some(found)
}

/// Reads the snapshot of `person` if it was made under `key` and can be believed, and what stands behind it.
pub fn load(
    disk: &dyn Disk,
    folder: &ShopFolder,
    tapes: &Tapes,
    person: &str,
    key: &str,
) -> Option<Found> {
    let path = path(folder, person).ok()?;
    let bytes = disk.read(&path).ok()?;
    let (notes, body) = snapshot_bytes::head(&bytes, &full(folder, key))?;
    let files = lying(disk, folder)?;
    let mut at = files.iter();
    // Both are in the order of names; a file that is not noted is new.
    let mut pairs: Vec<(&Lying, Option<&Note>)> = Vec::with_capacity(files.len());
    for note in &notes {
        loop {
            let file = at.next()?;
            let same = file.person == note.person && file.bench == note.bench;
            pairs.push((file, same.then_some(note)));
            if same {
                break;
            }
        }
    }
    pairs.extend(at.map(|file| (file, None)));
    if pairs
        .iter()
        .any(|(file, note)| note.is_some_and(|note| file.length < note.length))
    {
        return None;
    }
    let (decoded, same) = thread::scope(|scope| {
        let decoded = scope.spawn(|| snapshot_bytes::body(body, person));
        let same = notes_hold((disk, folder), tapes, &pairs);
        (decoded.join().ok().flatten(), same)
    });
    let (tally, faults, deck, corrected) = decoded.filter(|_| same)?;
    let mut found = Found {
        snapshot: Snapshot {
            tally,
            faults,
            deck,
            corrected,
            notes: Vec::new(),
        },
        tails: Vec::new(),
        more: 0,
        notes: Vec::new(),
    };
    for (file, note) in &pairs {
        found.take_tail(disk, tapes, file, *note)?;
    }
    found.snapshot.notes = notes;
    Some(found)
}

fn notes_hold(
    (disk, folder): (&dyn Disk, &ShopFolder),
    tapes: &Tapes,
    pairs: &[(&Lying, Option<&Note>)],
) -> bool {
    let mut sums = JournalSums::load(disk, folder);
    let same = pairs.iter().all(|(file, note)| {
        note.is_none_or(|note| sums.of(tapes, file.asked(), note.length) == Some(note.sum))
    });
    if same {
        sums.keep();
    }
    same
}

impl Lying {
    fn asked(&self) -> Asked<'_> {
        Asked {
            person: &self.person,
            bench: &self.bench,
            path: &self.path,
            length: self.length,
        }
    }
}

impl Found {
    /// Reads what stands behind a note; none where that is more than whole new lines.
    fn take_tail(
        &mut self,
        disk: &dyn Disk,
        tapes: &Tapes,
        file: &Lying,
        note: Option<&Note>,
    ) -> Option<()> {
        let (end, from, sum) = match note {
            Some(note) => (note.end.clone(), note.length, note.sum),
            None => (JournalRead::new("", "").end(), 0, 0),
        };
        let mut tail = JournalRead::behind(&file.person, &file.bench, &end);
        let mut whole = crc32fast::Hasher::new_with_initial_len(sum, from);
        if from < file.length {
            let mut bytes = Vec::new();
            disk.read_steps(&file.path, from, &mut |step| {
                bytes.extend_from_slice(step);
                true
            })
            .ok()?;
            (bytes.len() as u64 == file.length - from).then_some(())?;
            // A mark at its very beginning is no part of a line, and rare.
            (from > 0 || !bytes.starts_with(b"\xef\xbb\xbf")).then_some(())?;
            whole.combine(&tail.add(&bytes, &file.path));
            let whole_lines = bytes.last() == Some(&b'\n');
            (whole_lines && tail.regular && tail.faults.is_empty()).then_some(())?;
            self.more += bytes.len() as u64;
        }
        tapes.ends_at(&file.path, file.length, tail.end());
        self.notes.push(Note {
            person: file.person.clone(),
            bench: file.bench.clone(),
            length: file.length,
            sum: whole.finalize(),
            end: tail.end(),
        });
        self.tails.push(tail);
        Some(())
    }

    /// Says that the count by now holds the lines behind it too.
    pub fn all_counted(&mut self) {
        self.snapshot.notes.clone_from(&self.notes);
    }
}

impl Snapshot {
    /// Returns the snapshot of a count of all journals as they were read.
    pub fn of<'a>(
        tally: Tally,
        faults: Vec<Fault>,
        (deck, corrected): (u64, Vec<u32>),
        read: impl Iterator<Item = (&'a JournalRead, &'a Whole)>,
    ) -> Self {
        let notes = read.map(|(read, whole)| Note {
            person: read.tape.person.clone(),
            bench: read.tape.bench.clone(),
            length: whole.length,
            sum: whole.sum,
            end: whole.end.clone(),
        });
        Self {
            notes: notes.collect(),
            tally,
            faults,
            deck,
            corrected,
        }
    }
}

/// Puts the snapshot on the disk. That it could not is no failure, only time at the next start; a person
/// who is being erased, or is gone, stays out of it.
pub fn save(disk: &dyn Disk, folder: &ShopFolder, snapshot: &Snapshot, key: &str) {
    let Ok(path) = path(folder, &snapshot.tally.person) else {
        return;
    };
    let all = self::folder(folder);
    if disk.make_folder(&all).is_err() {
        return;
    }
    let Ok(Locking::Taken(_guard)) = disk.lock(&lock_path(&all), "a count being kept") else {
        return;
    };
    let stays = |note: &Note| stays(disk, folder, &note.person);
    if snapshot.notes.iter().all(stays) {
        let bytes = snapshot_bytes::encode(snapshot, &full(folder, key));
        // Whatever comes of it is either whole or not believed.
        drop(disk::replace_held(disk, &path, &bytes));
    }
}

/// Tells whether a person is there and not being erased.
pub(crate) fn stays(disk: &dyn Disk, folder: &ShopFolder, person: &str) -> bool {
    let there = folder.person(person).map(|place| disk.exists(&place));
    let going = folder.going(person).map(|going| disk.exists(&going));
    matches!((there, going), (Ok(Ok(true)), Ok(Ok(false))))
}

/// Reads every byte of the journals whose sums are kept and returns those that are not what was summed,
/// though the file system says that nobody wrote to them. All that was kept is removed then, where it can be.
pub fn rotten(disk: &dyn Disk, folder: &ShopFolder, holder: &Holder) -> Vec<PathBuf> {
    let found = journal_sums::rotten(disk, folder);
    if !found.is_empty()
        && let Ok(_guard) = hold(disk, folder, holder)
    {
        // Where they cannot be removed, the next to ask says so again.
        drop(forget(disk, folder));
    }
    found
}

/// Takes the lock that no snapshot is written without.
pub fn hold(disk: &dyn Disk, folder: &ShopFolder, holder: &Holder) -> Result<Guard, StoreError> {
    let all = self::folder(folder);
    let cache = folder.cache();
    disk.make_folder(&cache)
        .map_err(StoreError::io("make", &cache))?;
    lock::take(disk, &all, holder)
}

/// Removes all snapshots, for good; under the lock of [`hold`].
pub fn forget(disk: &dyn Disk, folder: &ShopFolder) -> Result<(), StoreError> {
    let all = self::folder(folder);
    let found = journal::list_or_empty(disk, &all)?;
    if found.is_empty() {
        return Ok(());
    }
    for path in &found {
        disk.remove(path).map_err(StoreError::io("remove", path))?;
    }
    // They must not come back after the person is gone.
    disk.sync_folder(&all).map_err(StoreError::io("sync", &all))
}

/// Sums the journals ahead as the snapshot written last has them; false where there is none.
pub fn sum_ahead(disk: &dyn Disk, folder: &ShopFolder, tapes: &Tapes) -> bool {
    let Ok(all) = journal::list_or_empty(disk, &self::folder(folder)) else {
        return false;
    };
    let is_one = |path: &&PathBuf| path.extension().is_some_and(|e| e == ENDING);
    let changed = |path: &&PathBuf| disk.about(path).map_or(0, |about| about.changed);
    let latest = all.iter().filter(is_one).max_by_key(changed);
    let Some(notes) = latest.and_then(|path| notes_in(disk, path)) else {
        return false;
    };
    let sums = JournalSums::load(disk, folder);
    for note in &notes {
        if let Ok(path) = folder.journal(&note.person, &note.bench)
            && let Ok(length) = disk.length(&path)
        {
            let asked = Asked {
                person: &note.person,
                bench: &note.bench,
                path: &path,
                length,
            };
            sums.ahead(tapes, asked, note.length);
        }
    }
    true
}

fn notes_in(disk: &dyn Disk, path: &Path) -> Option<Vec<Note>> {
    let length = disk.read_part(path, 0, snapshot_bytes::PREFIX).ok()?;
    let length = snapshot_bytes::head_length(&length)?;
    snapshot_bytes::notes(&disk.read_part(path, 0, length).ok()?)
}
