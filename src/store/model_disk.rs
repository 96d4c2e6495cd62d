//! A disk in memory that forgets what was never synced: the power-cut model of the tests.
//!
//! It keeps what running programs see apart from what would be there after a power cut. Content
//! lasts after `sync`, names (new, renamed, removed) after `sync_folder` of their folder.

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

use crate::store::disk::Disk;
use crate::store::disk::DiskFile;
use crate::store::disk::Guard;
use crate::store::disk::Locking;

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
}

#[derive(Clone, Debug, Default)]
struct Content {
    now: Vec<u8>,
    synced: usize,
    /// Bytes that programs still read and that no later sync brings to the disk.
    doomed: Vec<Range<usize>>,
}

#[derive(Debug, Default)]
struct Model {
    contents: Vec<Content>,
    files: BTreeMap<PathBuf, usize>,
    lasting: BTreeMap<PathBuf, usize>,
    folders: BTreeSet<PathBuf>,
    lasting_folders: BTreeSet<PathBuf>,
    locks: BTreeMap<PathBuf, (u64, String)>,
    next_lock: u64,
    syncs: u64,
    bad_sync: u64,
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
        model.contents.push(Content {
            now: bytes.to_vec(),
            synced: bytes.len(),
            doomed: Vec::new(),
        });
        let at = model.contents.len() - 1;
        model.files.insert(path.to_owned(), at);
        model.lasting.insert(path.to_owned(), at);
    }

    /// Makes the sync of a file number `nth` (from 1) fail the way some systems do: the bytes are
    /// dropped, programs still read them, and the next sync says that all is well.
    pub fn drop_pages_at(&self, nth: u64) {
        let mut model = self.model();
        model.syncs = 0;
        model.bad_sync = nth;
    }

    /// Ends all programs and, unless `Cut::Kept`, the power.
    pub fn cut(&self, cut: Cut) {
        let mut model = self.model();
        let model = &mut *model;
        model.locks.clear();
        if cut == Cut::Lost {
            let folders = model.lasting_folders.clone();
            model.folders.clone_from(&folders);
            model.files = model.lasting.clone();
            model
                .files
                .retain(|path, _| path.parent().is_none_or(|p| is_there(&folders, p)));
        }
        for content in &mut model.contents {
            let unsynced = content.now.len() - content.synced;
            match cut {
                Cut::Lost => content.now.truncate(content.synced),
                Cut::Half => content.now.truncate(content.synced + unsynced / 2),
                Cut::Zeros => content.now[content.synced..].fill(0),
                Cut::Kept => {}
            }
            for range in std::mem::take(&mut content.doomed) {
                let end = range.end.min(content.now.len());
                if cut != Cut::Kept && range.start < end {
                    content.now[range.start..end].fill(0);
                }
            }
            content.synced = content.now.len();
        }
        model.lasting = model.files.clone();
        model.lasting_folders = model.folders.clone();
    }

    fn model(&self) -> MutexGuard<'_, Model> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Model {
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
        for folder in folder.into_iter().flat_map(Path::ancestors) {
            self.folders.insert(folder.to_owned());
        }
    }

    fn make(&mut self, path: &Path) -> io::Result<usize> {
        self.need_folder_of(path)?;
        self.contents.push(Content::default());
        self.files.insert(path.to_owned(), self.contents.len() - 1);
        Ok(self.contents.len() - 1)
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
        let model = self.model();
        Ok(model.contents[model.at(path)?].now.clone())
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let model = self.model();
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
        let model = self.model();
        Ok(model.files.contains_key(path) || model.folders.contains(path))
    }

    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>> {
        let mut model = self.model();
        let at = match model.at(path) {
            Ok(at) => at,
            Err(_) => model.make(path)?,
        };
        drop(model);
        let disk = self.clone();
        Ok(Box::new(ModelFile { disk, at }))
    }

    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut model = self.model();
        if model.files.contains_key(path) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let at = model.make(path)?;
        model.contents[at] = Content {
            now: bytes.to_vec(),
            synced: bytes.len(),
            doomed: Vec::new(),
        };
        Ok(())
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut model = self.model();
        model.need_folder_of(to)?;
        let at = model.at(from)?;
        model.files.remove(from);
        model.files.insert(to.to_owned(), at);
        Ok(())
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        let mut model = self.model();
        let model = &mut *model;
        if !is_there(&model.folders, folder) {
            return Err(io::ErrorKind::NotFound.into());
        }
        model
            .lasting
            .retain(|path, _| path.parent() != Some(folder));
        for (path, at) in names_in(model.files.iter(), folder) {
            model.lasting.insert(path.clone(), *at);
        }
        for (path, ()) in names_in(model.folders.iter().map(|f| (f, ())), folder) {
            model.lasting_folders.insert(path.clone());
        }
        Ok(())
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.model().make_folders(Some(folder));
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        let mut model = self.model();
        model.at(path)?;
        model.files.remove(path);
        Ok(())
    }

    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        let mut model = self.model();
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
        self.disk.model().contents[self.at]
            .now
            .extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut model = self.disk.model();
        model.syncs += 1;
        let bad = model.syncs == model.bad_sync;
        let content = &mut model.contents[self.at];
        let unsynced = content.synced..content.now.len();
        content.synced = content.now.len();
        if bad {
            content.doomed.push(unsynced);
            return Err(io::Error::other("made to fail"));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cut_takes_what_was_not_synced_and_nothing_else() {
        let path = Path::new("/shop/a.jsonl");
        for (cut, left) in [
            (Cut::Lost, &b"one\n"[..]),
            (Cut::Half, b"one\ntw"),
            (Cut::Zeros, b"one\n\0\0\0\0"),
            (Cut::Kept, b"one\ntwo\n"),
        ] {
            let disk = ModelDisk::new();
            disk.make_folder(Path::new("/shop")).unwrap();
            disk.sync_folder(Path::new("/")).unwrap();
            let mut file = disk.open_append(path).unwrap();
            file.write(b"one\n").unwrap();
            file.sync().unwrap();
            disk.sync_folder(Path::new("/shop")).unwrap();
            file.write(b"two\n").unwrap();
            disk.cut(cut);
            assert_eq!(disk.read(path).unwrap(), left, "{cut:?}");
        }
    }

    #[test]
    fn a_name_lasts_only_after_its_folder_was_synced() {
        let disk = ModelDisk::new();
        disk.make_folder(Path::new("/shop")).unwrap();
        disk.create_new(Path::new("/shop/a"), b"x").unwrap();
        disk.sync_folder(Path::new("/shop")).unwrap();
        disk.cut(Cut::Lost);
        assert!(
            !disk.exists(Path::new("/shop/a")).unwrap(),
            "its folder was never synced"
        );
    }
}
