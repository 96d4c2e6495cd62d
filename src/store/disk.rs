//! The one small layer that touches files: a trait with the few calls the program needs, and the
//! real thing over std.
//!
//! Tests put another disk in its place ([`crate::store::faulty::FaultyDisk`]) and make every call
//! fail. Rules of what to call in which order live with the callers.
#![expect(clippy::disallowed_methods, reason = "the layer that touches files")]

use std::any::Any;
use std::fmt;
use std::fs;
use std::fs::File;
use std::fs::OpenOptions;
use std::fs::TryLockError;
use std::io;
use std::io::BufWriter;
use std::io::Read as _;
use std::io::Seek as _;
use std::io::SeekFrom;
use std::io::Write as _;
#[cfg(unix)]
use std::os::unix::fs::MetadataExt as _;
use std::path::Path;
use std::path::PathBuf;
use std::time::UNIX_EPOCH;

use crate::store::lock::lock_path;

/// What the program asks of a disk.
pub trait Disk: Send + Sync {
    /// Returns the whole content of `path`.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// Returns how many bytes `path` has.
    fn length(&self, path: &Path) -> io::Result<u64> {
        self.read(path).map(|bytes| bytes.len() as u64)
    }
    /// Reads `path` in steps, from byte `from` on, into one buffer: `take` gets each step and tells whether
    /// to go on.
    fn read_steps(
        &self,
        path: &Path,
        from: u64,
        take: &mut dyn FnMut(&[u8]) -> bool,
    ) -> io::Result<()> {
        let bytes = self.read(path)?;
        let from = usize::try_from(from).unwrap_or(usize::MAX);
        if let Some(rest) = bytes.get(from..).filter(|rest| !rest.is_empty()) {
            take(rest);
        }
        Ok(())
    }
    /// Returns what lies directly in `folder`, sorted by name.
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>>;
    /// Tells whether something is at `path`.
    fn exists(&self, path: &Path) -> io::Result<bool>;
    /// Opens `path` for appending; makes it if it is not there.
    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>>;
    /// Makes `path`, which must not exist, writes `bytes` and syncs it.
    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Does the same with the bytes that `give` hands out one after the other, which need not be in memory
    /// together.
    fn create_in_pieces(&self, path: &Path, give: Pieces<'_>) -> io::Result<()> {
        let mut bytes = Vec::new();
        give(&mut |piece| {
            bytes.extend(piece);
            Ok(())
        })?;
        self.create_new(path, &bytes)
    }
    /// Renames `from` to `to`, replacing what is there.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Makes the names in `folder` last (where the platform can).
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// Makes `folder` and those above it.
    fn make_folder(&self, folder: &Path) -> io::Result<()>;
    /// Removes the file at `path`.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Removes `folder`, which must be empty.
    fn remove_folder(&self, folder: &Path) -> io::Result<()>;
    /// Tells what is at `path` without following a link.
    fn about(&self, path: &Path) -> io::Result<About>;
    /// Returns at most `most` bytes of `path` from byte `from`.
    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>>;
    /// Returns the marks that tell whether the file at `path` was written to; none where the system keeps
    /// no time of change that programs cannot set.
    fn stamp(&self, _path: &Path) -> io::Result<Option<Stamp>> {
        Ok(None)
    }
    /// Brings what programs wrote to `path` so far to the disk, and returns the marks that a file written in
    /// `folder` now would have; none where that cannot be told.
    fn stamp_of_now(&self, _path: &Path, _folder: &Path) -> io::Result<Option<Stamp>> {
        Ok(None)
    }
    /// Reads parts of `path`, each by where it begins and how long it is, in their order: `take` gets each,
    /// shorter where the file ends.
    fn read_parts(
        &self,
        path: &Path,
        parts: &[(u64, usize)],
        take: &mut dyn FnMut(&[u8]),
    ) -> io::Result<()> {
        for (from, len) in parts {
            take(&self.read_part(path, *from, *len)?);
        }
        Ok(())
    }
    /// Takes the lock file at `path` without waiting and writes `note` into it.
    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking>;
}

/// Hands out the bytes of a file from its beginning; asked again, the same.
pub type Pieces<'a> = &'a mut dyn FnMut(&mut dyn FnMut(&[u8]) -> io::Result<()>) -> io::Result<()>;

/// What lies at a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A file.
    File,
    /// A folder.
    Folder,
    /// A link, a device or a pipe: nothing a shop is made of.
    Other,
}

/// What is known of a path without reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct About {
    /// What it is.
    pub kind: Kind,
    /// Length in bytes.
    pub len: u64,
    /// When the content last changed, in nanoseconds since 1970; 0 where the system does not say.
    pub changed: u64,
    /// Nobody may write there, by its own marks.
    pub read_only: bool,
}

/// Marks that change when a file is written to; times in nanoseconds since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Length in bytes.
    pub len: u64,
    /// When the content last changed. A program can set it to anything.
    pub changed: u64,
    /// When anything of the file last changed, the time above included. No program can set it.
    pub touched: u64,
    /// Number of the file on its device: another file under the same name has another.
    pub file: u64,
    /// Device it lies on.
    pub device: u64,
}

/// A file open for appending.
pub trait DiskFile: Send + Sync {
    /// Writes once and returns how many bytes went.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;
    /// Makes what was written last (`sync_data`).
    fn sync(&mut self) -> io::Result<()>;
}

/// The outcome of taking a lock.
#[derive(Debug)]
pub enum Locking {
    /// It is ours until the guard is dropped.
    Taken(Guard),
    /// Someone else has it; their note.
    Busy(String),
}

/// Holds a lock; dropping it lets go.
pub struct Guard(#[expect(dead_code, reason = "kept for its drop")] Box<dyn Any + Send + Sync>);

impl Guard {
    /// Returns a guard that lets go when `held` is dropped.
    pub fn new(held: impl Any + Send + Sync) -> Self {
        Self(Box::new(held))
    }
}

impl fmt::Debug for Guard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Guard")
    }
}

/// The computer's own files.
#[derive(Clone, Copy, Debug, Default)]
pub struct RealDisk;

impl Disk for RealDisk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        fs::read(path)
    }

    fn length(&self, path: &Path) -> io::Result<u64> {
        Ok(fs::metadata(path)?.len())
    }

    fn read_steps(
        &self,
        path: &Path,
        from: u64,
        take: &mut dyn FnMut(&[u8]) -> bool,
    ) -> io::Result<()> {
        let mut file = File::open(path)?;
        file.seek(SeekFrom::Start(from))?;
        // What was copied is still in the processor's own memory when it is looked at.
        let mut buffer = vec![0; 128 << 10];
        loop {
            match file.read(&mut buffer) {
                Ok(0) => return Ok(()),
                Ok(n) if take(&buffer[..n]) => {}
                Ok(_) => return Ok(()),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let mut found = Vec::new();
        for entry in fs::read_dir(folder)? {
            found.push(entry?.path());
        }
        found.sort();
        Ok(found)
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        path.try_exists()
    }

    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>> {
        let file = OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(path)?;
        Ok(Box::new(RealFile(file)))
    }

    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn create_in_pieces(&self, path: &Path, give: Pieces<'_>) -> io::Result<()> {
        let file = OpenOptions::new().write(true).create_new(true).open(path)?;
        let mut file = BufWriter::with_capacity(64 << 10, file);
        give(&mut |piece| file.write_all(piece))?;
        file.into_inner()?.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    #[cfg(unix)]
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        File::open(folder)?.sync_all()
    }

    #[cfg(not(unix))]
    fn sync_folder(&self, _folder: &Path) -> io::Result<()> {
        Ok(())
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir_all(folder)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        fs::remove_dir(folder)
    }

    fn about(&self, path: &Path) -> io::Result<About> {
        let found = fs::symlink_metadata(path)?;
        let kind = if found.is_file() {
            Kind::File
        } else if found.is_dir() {
            Kind::Folder
        } else {
            Kind::Other
        };
        let changed = found.modified().ok();
        let changed = changed.and_then(|at| at.duration_since(UNIX_EPOCH).ok());
        Ok(About {
            kind,
            len: found.len(),
            changed: changed.map_or(0, |d| u64::try_from(d.as_nanos()).unwrap_or(0)),
            read_only: found.permissions().readonly(),
        })
    }

    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>> {
        let mut file = File::open(path)?;
        file.seek(SeekFrom::Start(from))?;
        let there = file.metadata()?.len().saturating_sub(from);
        let most = most.min(usize::try_from(there).unwrap_or(usize::MAX));
        let mut bytes = Vec::with_capacity(most);
        file.take(most as u64).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    #[cfg(unix)]
    fn stamp(&self, path: &Path) -> io::Result<Option<Stamp>> {
        // Opening makes a network's file system ask its server; looking at a name need not.
        stamp_of(&File::open(path)?)
    }

    #[cfg(unix)]
    fn stamp_of_now(&self, path: &Path, folder: &Path) -> io::Result<Option<Stamp>> {
        File::open(path)?.sync_all()?;
        let mut file = OpenOptions::new()
            .write(true)
            .create(true)
            .truncate(false)
            .open(folder.join(".now"))?;
        file.write_all(b"\n")?;
        stamp_of(&file)
    }

    fn read_parts(
        &self,
        path: &Path,
        parts: &[(u64, usize)],
        take: &mut dyn FnMut(&[u8]),
    ) -> io::Result<()> {
        let mut file = File::open(path)?;
        let mut bytes = Vec::new();
        for (from, len) in parts {
            bytes.clear();
            file.seek(SeekFrom::Start(*from))?;
            (&mut file).take(*len as u64).read_to_end(&mut bytes)?;
            take(&bytes);
        }
        Ok(())
    }

    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)?;
        match file.try_lock() {
            Ok(()) => {
                file.set_len(0)?;
                file.rewind()?;
                file.write_all(note.as_bytes())?;
                Ok(Locking::Taken(Guard::new(RealLock(file))))
            }
            Err(TryLockError::WouldBlock) => {
                // Where locks are mandatory the note cannot be read; the refusal stands all the same.
                let mut bytes = Vec::new();
                let read = file.take(4096).read_to_end(&mut bytes);
                let note = read.map_or(String::new(), |_| {
                    String::from_utf8_lossy(&bytes).into_owned()
                });
                Ok(Locking::Busy(note))
            }
            Err(TryLockError::Error(error)) => Err(error),
        }
    }
}

#[cfg(unix)]
fn stamp_of(file: &File) -> io::Result<Option<Stamp>> {
    let about = file.metadata()?;
    let moment = |seconds: i64, nanoseconds: i64| {
        let seconds = u64::try_from(seconds).ok()?.checked_mul(1_000_000_000)?;
        seconds.checked_add(u64::try_from(nanoseconds).ok()?)
    };
    let times = (
        moment(about.mtime(), about.mtime_nsec()),
        moment(about.ctime(), about.ctime_nsec()),
    );
    let (Some(changed), Some(touched)) = times else {
        return Ok(None);
    };
    Ok(about.is_file().then_some(Stamp {
        len: about.len(),
        changed,
        touched,
        file: about.ino(),
        device: about.dev(),
    }))
}

/// A lock file that is ours.
struct RealLock(File);

impl Drop for RealLock {
    fn drop(&mut self) {
        // Closing alone lets go only once every copy of the handle is closed, and a child process that
        // is just being started may have one. If it cannot be let go here, closing still does.
        drop(self.0.unlock());
    }
}

struct RealFile(File);

impl DiskFile for RealFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        loop {
            match self.0.write(bytes) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                done => return done,
            }
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        self.0.sync_data()
    }
}

/// Replaces `path` by `bytes` so that a reader sees the old content or the new, never a mixture.
///
/// Under the lock of `path` a temporary file in the same folder is written and synced, then renamed over `path`.
pub fn replace(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> io::Result<()> {
    replace_in_pieces(disk, path, &mut |take| take(bytes))
}

/// Does the same with the bytes that `give` hands out.
pub fn replace_in_pieces(disk: &dyn Disk, path: &Path, give: Pieces<'_>) -> io::Result<()> {
    let folder = path.parent().unwrap_or_else(|| Path::new("."));
    let made = make_folders(disk, folder)?;
    let Locking::Taken(_guard) = disk.lock(&lock_path(path), "being replaced")? else {
        return Err(io::ErrorKind::ResourceBusy.into());
    };
    put_in_place(disk, path, give)?;
    sync_above(disk, &made)
}

/// Replaces `path` as [`replace`] does, for one who holds its lock already; its folder is there.
pub fn replace_held(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> io::Result<()> {
    put_in_place(disk, path, &mut |take| take(bytes))
}

fn put_in_place(disk: &dyn Disk, path: &Path, give: Pieces<'_>) -> io::Result<()> {
    let folder = path.parent().unwrap_or_else(|| Path::new("."));
    let temporary = temporary_path(path);
    match disk.create_in_pieces(&temporary, give) {
        // Left by a run that died between writing and renaming: it was never anyone's content.
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            disk.remove(&temporary)?;
            disk.create_in_pieces(&temporary, give)?;
        }
        done => done?,
    }
    disk.rename(&temporary, path)?;
    disk.sync_folder(folder)
}

/// Returns the name of `path` while it is being written: `.shop.json.new` beside `shop.json`.
pub fn temporary_path(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.new"))
}

/// Makes `folder` and returns those that were not there, the deepest first.
pub fn make_folders(disk: &dyn Disk, folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut made = Vec::new();
    for folder in folder.ancestors().filter(|f| f.parent().is_some()) {
        if disk.exists(folder)? {
            break;
        }
        made.push(folder.to_owned());
    }
    disk.make_folder(folder)?;
    Ok(made)
}

/// Makes the names of new folders last.
pub fn sync_above(disk: &dyn Disk, made: &[PathBuf]) -> io::Result<()> {
    for above in made.iter().filter_map(|folder| folder.parent()) {
        if !above.as_os_str().is_empty() {
            disk.sync_folder(above)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_let_go_is_free_though_a_copy_of_its_handle_is_still_open() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b7.jsonl.lock");
        let file = File::create(&path).unwrap();
        file.try_lock().unwrap();
        let copy = file.try_clone().unwrap();
        assert!(matches!(RealDisk.lock(&path, ""), Ok(Locking::Busy(_))));
        drop(RealLock(file));
        assert!(matches!(RealDisk.lock(&path, ""), Ok(Locking::Taken(_))));
        drop(copy);
    }

    #[cfg(unix)]
    #[test]
    fn a_time_of_change_that_is_set_back_still_shows() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b7.jsonl");
        fs::write(&path, "one").unwrap();
        let before = RealDisk.stamp(&path).unwrap().unwrap();
        assert_eq!(RealDisk.stamp(&path).unwrap(), Some(before));
        let was = fs::metadata(&path).unwrap().modified().unwrap();
        // The clock that stamps files may stand still for some milliseconds.
        let changed = (0..1_000_000).find_map(|_| {
            let mut file = OpenOptions::new().write(true).open(&path).unwrap();
            file.write_all(b"two").unwrap();
            file.set_modified(was).unwrap();
            let now = RealDisk.stamp(&path).unwrap().unwrap();
            assert_eq!((now.len, now.changed), (before.len, before.changed));
            (now != before).then_some(now)
        });
        assert!(before.touched < changed.expect("clocks go on").touched);
        let now = RealDisk.stamp_of_now(&path, folder.path()).unwrap();
        let now = now.unwrap();
        assert!(before.touched <= now.changed && now.device == before.device);
    }

    #[cfg(unix)]
    #[test]
    fn another_file_under_the_same_name_has_other_marks() {
        let folder = tempfile::tempdir().unwrap();
        let [path, other] = ["b7.jsonl", "copy"].map(|name| folder.path().join(name));
        fs::write(&path, "one").unwrap();
        fs::write(&other, "one").unwrap();
        let before = RealDisk.stamp(&path).unwrap().unwrap();
        fs::rename(&other, &path).unwrap();
        assert_ne!(RealDisk.stamp(&path).unwrap().unwrap().file, before.file);
    }
}
