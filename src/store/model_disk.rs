//! A disk in memory that forgets what was never synced: the power-cut model of the tests.
//!
//! It keeps what running programs see apart from what would be there after a power cut. Content
//! lasts after `sync`, names (new, renamed, removed) after `sync_folder` of their folder. Between
//! those calls a cut may take, keep or half-apply each write and each change of names on its own,
//! in any order ([`Cut::Any`]); after Pillai et al., "All File Systems Are Not Created Equal", OSDI
//! 2014, and Mohan et al., "Finding Crash-Consistency Bugs with Bounded Black-Box Crash Testing",
//! OSDI 2018 (titles from memory). One mercy is assumed: bytes that were synced are not harmed by
//! later writes into the same sector.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::io;
use std::ops::Range;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;

use crate::store::disk::About;
use crate::store::disk::Disk;
use crate::store::disk::DiskFile;
use crate::store::disk::Guard;
use crate::store::disk::Kind;
use crate::store::disk::Locking;
use crate::store::disk::Stamp;

/// What a cut does to bytes and names that were not synced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// All of them are gone.
    Lost,
    /// Names stay; of each file's unsynced bytes the first half stays.
    Half,
    /// Names stay; unsynced bytes read as zeros.
    Zeros,
    /// All of them stay (the program died, the computer did not).
    Kept,
    /// Of each file only the last unsynced write stays, of the names only the last change.
    Latest,
    /// Each sector of each unsynced write, each file's new length and each change of names stays or
    /// goes as the seed says.
    Any {
        /// Bytes of a sector.
        sector: usize,
        /// Sectors that did not make it hold noise instead of zeros.
        noise: bool,
        /// Draws what stays.
        seed: u64,
    },
}

/// How bytes within a file come to be others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overwrite {
    /// A program writes them, in the moment of the last change of anything.
    AtOnce,
    /// A program writes them, later.
    Later,
    /// A program writes them and sets the time of change back to what it was.
    SetBack,
    /// They rot: nothing of the file's marks changes.
    Rot,
}

#[derive(Clone, Debug, Default)]
struct Content {
    now: Vec<u8>,
    synced: usize,
    /// Where each write since the last sync ended.
    ends: Vec<usize>,
    /// Bytes that programs still read and that no later sync brings to the disk.
    doomed: Vec<Range<usize>>,
    changed: u64,
    /// When anything of the file last changed.
    touched: u64,
}

/// A change of names that no folder sync has made lasting yet.
#[derive(Clone, Debug)]
enum Change {
    File(PathBuf, usize),
    Renamed(PathBuf, PathBuf, usize),
    Gone(PathBuf),
    Folder(PathBuf),
    FolderGone(PathBuf),
}

impl Change {
    fn folder(&self) -> Option<&Path> {
        match self {
            Self::File(path, _)
            | Self::Renamed(_, path, _)
            | Self::Gone(path)
            | Self::Folder(path)
            | Self::FolderGone(path) => path.parent(),
        }
    }
}

#[derive(Clone, Debug, Default)]
struct Model {
    contents: Vec<Content>,
    files: BTreeMap<PathBuf, usize>,
    lasting: BTreeMap<PathBuf, usize>,
    folders: BTreeSet<PathBuf>,
    lasting_folders: BTreeSet<PathBuf>,
    changes: Vec<Change>,
    locks: BTreeMap<PathBuf, (u64, String)>,
    next_lock: u64,
    syncs: u64,
    bad_sync: u64,
    lying: bool,
    steps: u64,
    last_step: u64,
    off: bool,
    /// Nanoseconds; every step takes ten seconds.
    clock: u64,
}

/// A disk in memory; clones share it.
#[derive(Clone, Debug, Default)]
pub struct ModelDisk(Arc<Mutex<Model>>);

impl ModelDisk {
    /// Returns an empty disk.
    pub fn new() -> Self {
        Self::default()
    }

    /// Puts `bytes` at `path`, lasting, whatever was there.
    pub fn put(&self, path: &Path, bytes: &[u8]) {
        let mut model = self.model();
        model.make_folders(path.parent());
        let folders = model.folders.clone();
        model.lasting_folders.extend(folders);
        model.clock += 10_000_000_000;
        let changed = model.clock;
        model.contents.push(Content {
            now: bytes.to_vec(),
            synced: bytes.len(),
            changed,
            touched: changed,
            ..Content::default()
        });
        let at = model.contents.len() - 1;
        model.files.insert(path.to_owned(), at);
        model.lasting.insert(path.to_owned(), at);
    }

    /// Writes other `bytes`, as many, into the file at `path`, lasting, as `how` says.
    pub fn overwrite(&self, path: &Path, bytes: &[u8], how: Overwrite) {
        let mut model = self.model();
        if how != Overwrite::AtOnce {
            model.clock += 10_000_000_000;
        }
        let clock = model.clock;
        let Ok(at) = model.at(path) else { return };
        let content = &mut model.contents[at];
        content.now = bytes.to_vec();
        content.sync();
        if matches!(how, Overwrite::AtOnce | Overwrite::Later) {
            content.changed = clock;
        }
        if how != Overwrite::Rot {
            content.touched = clock;
        }
    }

    /// Lets time pass.
    pub fn wait(&self) {
        self.model().clock += 10_000_000_000;
    }

    /// Makes the sync of a file number `nth` (from 1) fail the way some systems do: the bytes are
    /// dropped, programs still read them, and the next sync says that all is well.
    pub fn drop_pages_at(&self, nth: u64) {
        let mut model = self.model();
        model.syncs = 0;
        model.bad_sync = nth;
    }

    /// Makes every sync, of files and folders, say that all is well and do nothing.
    pub fn lie_about_syncs(&self) {
        self.model().lying = true;
    }

    /// Lets the power go at step number `nth` from now (from 1; 0 never): a write that is under way
    /// then is unsynced, any other call has not happened, and all later calls fail until
    /// [`ModelDisk::cut`]. Every call that changes something is a step (before one that only looks,
    /// the disk is as before the next step); making a file is three: its name, its bytes, its sync.
    pub fn power_off_at(&self, nth: u64) {
        let mut model = self.model();
        model.steps = 0;
        model.last_step = nth;
    }

    /// Returns how many steps were made since the last [`ModelDisk::power_off_at`].
    pub fn steps(&self) -> u64 {
        self.model().steps
    }

    /// Returns how many times a file was synced.
    pub fn syncs(&self) -> u64 {
        self.model().syncs
    }

    /// Tells whether the power has gone.
    pub fn is_off(&self) -> bool {
        self.model().off
    }

    /// Returns every file and its content.
    pub fn everything(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let model = self.model();
        let content = |at: usize| model.contents[at].now.clone();
        model
            .files
            .iter()
            .map(|(path, at)| (path.clone(), content(*at)))
            .collect()
    }

    /// Returns a disk of its own in the same state, what was not synced included.
    #[must_use]
    pub fn fork(&self) -> Self {
        Self(Arc::new(Mutex::new(self.model().clone())))
    }

    /// Ends all programs and, unless `Cut::Kept`, the power; then the disk works again.
    pub fn cut(&self, cut: Cut) {
        let mut model = self.model();
        let model = &mut *model;
        model.locks.clear();
        model.off = false;
        model.last_step = 0;
        let mut chance = Chance::of(cut);
        let changes = std::mem::take(&mut model.changes);
        let last = changes.len();
        for (i, change) in changes.into_iter().enumerate() {
            let stays = match cut {
                Cut::Lost => false,
                Cut::Half | Cut::Zeros | Cut::Kept => true,
                Cut::Latest => i + 1 == last,
                Cut::Any { .. } => chance.half(),
            };
            if stays {
                model.make_lasting(&change);
            }
        }
        let mut folders = model.lasting_folders.clone();
        let names = folders.clone();
        // What lies in a folder that is gone is gone with it.
        folders.retain(|folder| is_there(&names, folder));
        model.folders.clone_from(&folders);
        model.files = model.lasting.clone();
        model
            .files
            .retain(|path, _| path.parent().is_none_or(|p| is_there(&folders, p)));
        for content in &mut model.contents {
            content.cut(cut, &mut chance);
        }
        model.lasting = model.files.clone();
        model.lasting_folders = folders;
    }

    fn model(&self) -> MutexGuard<'_, Model> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The model, unless the power is gone.
    fn look(&self) -> io::Result<MutexGuard<'_, Model>> {
        let model = self.model();
        if model.off {
            Err(no_power())
        } else {
            Ok(model)
        }
    }

    /// Counts a step; the model is there unless the power is gone.
    fn step(&self) -> io::Result<MutexGuard<'_, Model>> {
        let mut model = self.model();
        if model.step() {
            Ok(model)
        } else {
            Err(no_power())
        }
    }
}

fn no_power() -> io::Error {
    io::Error::other("the power is gone")
}

/// Chance drawn from the seed of a cut (the SplitMix64 step).
struct Chance(u64);

impl Chance {
    fn of(cut: Cut) -> Self {
        match cut {
            Cut::Any { seed, .. } => Self(seed),
            _ => Self(0),
        }
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn half(&mut self) -> bool {
        self.next().is_multiple_of(2)
    }
}

impl Content {
    fn write(&mut self, bytes: &[u8], clock: u64) {
        self.now.extend_from_slice(bytes);
        self.ends.push(self.now.len());
        self.changed = clock;
        self.touched = clock;
    }

    fn sync(&mut self) {
        self.synced = self.now.len();
        self.ends.clear();
    }

    fn cut(&mut self, cut: Cut, chance: &mut Chance) {
        let unsynced = self.now.len() - self.synced;
        match cut {
            Cut::Lost => self.now.truncate(self.synced),
            Cut::Half => self.now.truncate(self.synced + unsynced / 2),
            Cut::Zeros => self.now[self.synced..].fill(0),
            Cut::Kept => {}
            Cut::Latest => {
                let before = self.ends.iter().rev().nth(1).copied();
                let start = before.unwrap_or(self.synced);
                self.now[self.synced..start].fill(0);
            }
            Cut::Any { sector, noise, .. } => self.cut_by_sectors(sector, noise, chance),
        }
        for range in std::mem::take(&mut self.doomed) {
            let end = range.end.min(self.now.len());
            if cut != Cut::Kept && range.start < end {
                self.now[range.start..end].fill(0);
            }
        }
        self.sync();
    }

    fn cut_by_sectors(&mut self, sector: usize, noise: bool, chance: &mut Chance) {
        let mut from = self.synced;
        let ends = std::mem::take(&mut self.ends);
        let mut lengths = vec![self.synced];
        for end in ends {
            while from < end {
                let piece = end.min((from / sector + 1) * sector);
                if !chance.half() {
                    for byte in &mut self.now[from..piece] {
                        *byte = if noise {
                            chance.next().to_le_bytes()[0]
                        } else {
                            0
                        };
                    }
                }
                lengths.push(piece);
                from = piece;
            }
        }
        // The new length may have been lost too, wholly or at any sector on the way.
        if chance.half() {
            let at = usize::try_from(chance.next() % lengths.len() as u64).unwrap_or(0);
            self.now.truncate(lengths[at]);
        }
    }
}

impl Model {
    /// Counts a step and tells whether it may happen.
    fn step(&mut self) -> bool {
        self.steps += 1;
        self.clock += 10_000_000_000;
        if self.last_step > 0 && self.steps >= self.last_step {
            self.off = true;
        }
        !self.off
    }

    fn at(&self, path: &Path) -> io::Result<usize> {
        self.files
            .get(path)
            .copied()
            .ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }

    fn need_folder_of(&self, path: &Path) -> io::Result<()> {
        match path.parent() {
            Some(folder) if !is_there(&self.folders, folder) => Err(io::ErrorKind::NotFound.into()),
            _ => Ok(()),
        }
    }

    fn make_folders(&mut self, folder: Option<&Path>) {
        let above: Vec<&Path> = folder.into_iter().flat_map(Path::ancestors).collect();
        for folder in above.into_iter().rev() {
            if self.folders.insert(folder.to_owned()) {
                self.changes.push(Change::Folder(folder.to_owned()));
            }
        }
    }

    fn make(&mut self, path: &Path) -> io::Result<usize> {
        self.need_folder_of(path)?;
        self.contents.push(Content::default());
        let at = self.contents.len() - 1;
        self.files.insert(path.to_owned(), at);
        self.changes.push(Change::File(path.to_owned(), at));
        Ok(at)
    }

    fn make_lasting(&mut self, change: &Change) {
        match change {
            Change::File(path, at) => {
                self.lasting.insert(path.clone(), *at);
            }
            Change::Renamed(from, to, at) => {
                self.lasting.remove(from);
                self.lasting.insert(to.clone(), *at);
            }
            Change::Gone(path) => {
                self.lasting.remove(path);
            }
            Change::Folder(path) => {
                self.lasting_folders.insert(path.clone());
            }
            Change::FolderGone(path) => {
                self.lasting_folders.remove(path);
                self.lasting.retain(|file, _| !file.starts_with(path));
            }
        }
    }
}

/// The root and the folder the program stands in are always there.
fn is_there(folders: &BTreeSet<PathBuf>, folder: &Path) -> bool {
    folder
        .ancestors()
        .filter(|f| f.parent().is_some() && !f.as_os_str().is_empty())
        .all(|f| folders.contains(f))
}

fn names_in<'a, T>(
    all: impl Iterator<Item = (&'a PathBuf, T)> + 'a,
    folder: &'a Path,
) -> impl Iterator<Item = (&'a PathBuf, T)> + 'a {
    all.filter(move |(path, _)| path.parent() == Some(folder))
}

impl Disk for ModelDisk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let model = self.look()?;
        Ok(model.contents[model.at(path)?].now.clone())
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let model = self.look()?;
        if !is_there(&model.folders, folder) {
            return Err(io::ErrorKind::NotFound.into());
        }
        let folders = model.folders.iter().map(|f| (f, ()));
        let files = model.files.keys().map(|f| (f, ()));
        let mut found: Vec<PathBuf> = names_in(folders.chain(files), folder)
            .map(|(path, ())| path.clone())
            .collect();
        found.sort();
        Ok(found)
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        let model = self.look()?;
        Ok(model.files.contains_key(path) || model.folders.contains(path))
    }

    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>> {
        let mut model = self.step()?;
        let at = match model.at(path) {
            Ok(at) => at,
            Err(_) => model.make(path)?,
        };
        drop(model);
        let disk = self.clone();
        Ok(Box::new(ModelFile { disk, at }))
    }

    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut model = self.step()?;
        if model.files.contains_key(path) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let at = model.make(path)?;
        drop(model);
        let disk = self.clone();
        let mut file = ModelFile { disk, at };
        file.write(bytes)?;
        file.sync()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut model = self.step()?;
        model.need_folder_of(to)?;
        let at = model.at(from)?;
        model.files.remove(from);
        model.files.insert(to.to_owned(), at);
        let change = Change::Renamed(from.to_owned(), to.to_owned(), at);
        model.changes.push(change);
        Ok(())
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        let mut model = self.step()?;
        if !is_there(&model.folders, folder) {
            return Err(io::ErrorKind::NotFound.into());
        }
        if model.lying {
            return Ok(());
        }
        let changes = std::mem::take(&mut model.changes);
        for change in changes {
            if change.folder() == Some(folder) {
                model.make_lasting(&change);
            } else {
                model.changes.push(change);
            }
        }
        Ok(())
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.step()?.make_folders(Some(folder));
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        let mut model = self.step()?;
        model.at(path)?;
        model.files.remove(path);
        model.changes.push(Change::Gone(path.to_owned()));
        Ok(())
    }

    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        let mut model = self.step()?;
        let inside = |path: &PathBuf| path.parent() == Some(folder);
        if model.files.keys().any(inside) || model.folders.iter().any(inside) {
            return Err(io::ErrorKind::DirectoryNotEmpty.into());
        }
        if !model.folders.remove(folder) {
            return Err(io::ErrorKind::NotFound.into());
        }
        model.changes.push(Change::FolderGone(folder.to_owned()));
        Ok(())
    }

    fn about(&self, path: &Path) -> io::Result<About> {
        let model = self.look()?;
        if model.folders.contains(path) {
            return Ok(About {
                kind: Kind::Folder,
                len: 0,
                changed: 0,
                read_only: false,
            });
        }
        let content = &model.contents[model.at(path)?];
        Ok(About {
            kind: Kind::File,
            len: content.now.len() as u64,
            changed: content.changed,
            read_only: false,
        })
    }

    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>> {
        let model = self.look()?;
        let bytes = &model.contents[model.at(path)?].now;
        let from = usize::try_from(from).unwrap_or(usize::MAX).min(bytes.len());
        let to = from.saturating_add(most).min(bytes.len());
        Ok(bytes[from..to].to_vec())
    }

    fn stamp(&self, path: &Path) -> io::Result<Option<Stamp>> {
        let model = self.look()?;
        let at = model.at(path)?;
        let content = &model.contents[at];
        Ok(Some(Stamp {
            len: content.now.len() as u64,
            changed: content.changed,
            touched: content.touched,
            file: at as u64,
            device: 1,
        }))
    }

    fn stamp_of_now(&self, path: &Path, folder: &Path) -> io::Result<Option<Stamp>> {
        let mut model = self.look()?;
        model.need_folder_of(&folder.join("now"))?;
        let at = model.at(path)?;
        if !model.lying {
            model.contents[at].sync();
        }
        let (changed, touched) = (model.clock, model.clock);
        Ok(Some(Stamp {
            len: 0,
            changed,
            touched,
            file: 0,
            device: 1,
        }))
    }

    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        let mut model = self.look()?;
        model.need_folder_of(path)?;
        if let Some((_, holder)) = model.locks.get(path) {
            return Ok(Locking::Busy(holder.clone()));
        }
        model.next_lock += 1;
        let mine = model.next_lock;
        model.locks.insert(path.to_owned(), (mine, note.to_owned()));
        drop(model);
        Ok(Locking::Taken(Guard::new(ModelLock {
            disk: self.clone(),
            path: path.to_owned(),
            mine,
        })))
    }
}

struct ModelLock {
    disk: ModelDisk,
    path: PathBuf,
    mine: u64,
}

impl Drop for ModelLock {
    fn drop(&mut self) {
        let mut model = self.disk.model();
        if model
            .locks
            .get(&self.path)
            .is_some_and(|l| l.0 == self.mine)
        {
            model.locks.remove(&self.path);
        }
    }
}

struct ModelFile {
    disk: ModelDisk,
    at: usize,
}

impl DiskFile for ModelFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut model = self.disk.model();
        let was_off = model.off;
        let goes_on = model.step();
        if !was_off {
            // The write at which the power goes was under way.
            let clock = model.clock;
            model.contents[self.at].write(bytes, clock);
        }
        if goes_on {
            Ok(bytes.len())
        } else {
            Err(no_power())
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut model = self.disk.step()?;
        model.syncs += 1;
        if model.lying {
            return Ok(());
        }
        let bad = model.syncs == model.bad_sync;
        let content = &mut model.contents[self.at];
        let unsynced = content.synced..content.now.len();
        content.sync();
        if bad {
            content.doomed.push(unsynced);
            return Err(io::Error::other("made to fail"));
        }
        Ok(())
    }
}

#[cfg(test)]
#[path = "model_disk_tests.rs"]
mod tests;
