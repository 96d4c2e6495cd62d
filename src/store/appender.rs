//! Appending sealed lines so that what was acknowledged is on the disk.
//!
//! One record is one write of the whole line with its line break, then a sync, and only then an
//! answer. After a failed write or sync the handle is never used again: the system may have dropped
//! the pages and call the next sync good (Rebello et al., "Can Applications Recover from fsync
//! Failures?", USENIX ATC 2020). The file is read again, what was kept before must still be there,
//! and the next record starts on a fresh line. Nothing is ever truncated or rewritten.

use std::fmt;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use serde::Deserialize;

use crate::store::disk::Disk;
use crate::store::disk::DiskFile;
use crate::store::disk::Guard;
use crate::store::error::StoreError;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::sealed;

/// Turns a number into an unsealed line.
pub(crate) type Make<'a> = &'a dyn Fn(u64) -> String;
/// Turns a number and the id of a line that must not count into an unsealed line, where the kind
/// of file has such lines.
pub(crate) type TakeBack<'a> = &'a dyn Fn(u64, &str) -> Option<String>;

/// The one writer of a file of sealed lines; holds its lock.
pub(crate) struct Appender {
    disk: Arc<dyn Disk>,
    path: PathBuf,
    root: PathBuf,
    handle: Option<Box<dyn DiskFile>>,
    next_seq: u64,
    kept: u64,
    break_first: bool,
    names_last: bool,
    shaken: bool,
    strays: Vec<String>,
    _lock: Guard,
}

#[derive(Deserialize)]
struct Head {
    id: String,
    seq: u64,
    ev: String,
}

impl Appender {
    /// Takes the lock of `path`, making its folder, and returns what the file holds.
    ///
    /// Folders from `path` up to `root` are synced with the first record.
    pub(crate) fn open(
        disk: Arc<dyn Disk>,
        root: &Path,
        path: &Path,
        holder: &Holder,
    ) -> Result<(Self, Vec<u8>), StoreError> {
        let guard = locked(disk.as_ref(), path, holder)?;
        let bytes = read_or_empty(disk.as_ref(), path)?;
        let appender = Self::behind(disk, (root, path), bytes.is_empty(), guard)?;
        Ok((appender, bytes))
    }

    /// Takes the lock of `path`, making its folder, and reads nothing: where the file stands has to be said
    /// before the first record.
    pub(crate) fn hold(
        disk: Arc<dyn Disk>,
        root: &Path,
        path: &Path,
        holder: &Holder,
    ) -> Result<Self, StoreError> {
        let guard = locked(disk.as_ref(), path, holder)?;
        let length = match disk.length(path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => 0,
            done => done.map_err(StoreError::io("read", path))?,
        };
        Self::behind(disk, (root, path), length == 0, guard)
    }

    fn behind(
        disk: Arc<dyn Disk>,
        (root, path): (&Path, &Path),
        is_empty: bool,
        guard: Guard,
    ) -> Result<Self, StoreError> {
        // A file that may not be written is found out now, not after the first answer.
        let handle = if is_empty {
            None
        } else {
            Some(
                disk.open_append(path)
                    .map_err(StoreError::io("append to", path))?,
            )
        };
        Ok(Self {
            disk,
            path: path.to_owned(),
            root: root.to_owned(),
            handle,
            next_seq: 1,
            kept: 0,
            break_first: false,
            names_last: false,
            shaken: false,
            strays: Vec::new(),
            _lock: guard,
        })
    }

    /// The disk it writes to.
    pub(crate) fn disk(&self) -> &dyn Disk {
        self.disk.as_ref()
    }

    /// The file it writes.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Returns what the file holds.
    pub(crate) fn read(&self) -> Result<Vec<u8>, StoreError> {
        read_or_empty(self.disk.as_ref(), &self.path)
    }

    /// Says where the file stands: the highest number among its good lines, and its scan.
    pub(crate) fn start(&mut self, highest: u64, scan: &sealed::Scan<'_>) {
        let next_seq = sealed::next_seq(highest, &scan.damage);
        self.start_at(highest, next_seq, scan.ends_fresh);
    }

    /// Says where the file stands: the highest number among its good lines, the number of the next
    /// record, and whether that can start where the file ends.
    pub(crate) fn start_at(&mut self, highest: u64, next_seq: u64, ends_fresh: bool) {
        self.kept = highest;
        self.next_seq = next_seq;
        self.break_first = !ends_fresh;
    }

    /// Appends one record and returns its number once it is on the disk.
    pub(crate) fn append(
        &mut self,
        make: Make<'_>,
        take_back: TakeBack<'_>,
    ) -> Result<u64, StoreError> {
        if self.shaken {
            self.look_again()?;
        }
        let mut text = String::new();
        if self.break_first {
            text.push('\n');
        }
        let mut seq = self.next_seq;
        for stray in &self.strays {
            if let Some(line) = take_back(seq, stray) {
                text.push_str(&sealed::seal(&line));
                text.push('\n');
                seq += 1;
            }
        }
        text.push_str(&sealed::seal(&make(seq)));
        text.push('\n');
        match self.put(text.as_bytes()) {
            Ok(()) => {
                self.kept = seq;
                self.next_seq = seq + 1;
                self.break_first = false;
                self.strays.clear();
                Ok(seq)
            }
            Err(source) => {
                self.handle = None;
                self.shaken = true;
                Err(StoreError::NotKept {
                    path: self.path.clone(),
                    source,
                })
            }
        }
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut handle = match self.handle.take() {
            Some(handle) => handle,
            None => self.disk.open_append(&self.path)?,
        };
        write_and_sync(handle.as_mut(), bytes)?;
        if !self.names_last {
            sync_folders(self.disk.as_ref(), &self.path, &self.root)?;
            self.names_last = true;
        }
        self.handle = Some(handle);
        Ok(())
    }

    /// Reads the file again after a failure.
    ///
    /// A record that was called not kept may have reached the file all the same: it is taken back
    /// with the next record.
    fn look_again(&mut self) -> Result<(), StoreError> {
        let bytes = read_or_empty(self.disk.as_ref(), &self.path)?;
        let scan = sealed::scan(&bytes);
        let heads: Vec<Head> = scan
            .lines
            .iter()
            .filter_map(|line| serde_json::from_str(line.text).ok())
            .collect();
        if self.kept > 0 && !heads.iter().any(|head| head.seq == self.kept) {
            return Err(StoreError::Vanished {
                path: self.path.clone(),
                seq: self.kept,
            });
        }
        let highest = heads.iter().map(|head| head.seq).max().unwrap_or(0);
        self.next_seq = self.next_seq.max(highest + 1);
        self.strays = heads
            .into_iter()
            .filter(|head| head.seq > self.kept && head.ev != "undo")
            .map(|head| head.id)
            .collect();
        // Even where the file seems to end in a line break: what was not synced may still be lost.
        self.break_first = !bytes.is_empty();
        self.shaken = false;
        Ok(())
    }
}

impl fmt::Debug for Appender {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Appender")
            .field("path", &self.path)
            .field("next_seq", &self.next_seq)
            .finish_non_exhaustive()
    }
}

/// Takes the lock of `path`, making its folder.
fn locked(disk: &dyn Disk, path: &Path, holder: &Holder) -> Result<Guard, StoreError> {
    if let Some(folder) = path.parent() {
        disk.make_folder(folder)
            .map_err(StoreError::io("make", folder))?;
    }
    lock::take(disk, path, holder)
}

/// Returns the content of `path`, or nothing where there is no such file.
pub(crate) fn read_or_empty(disk: &dyn Disk, path: &Path) -> Result<Vec<u8>, StoreError> {
    match disk.read(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        done => done.map_err(StoreError::io("read", path)),
    }
}

/// Appends `bytes` in one write and returns once they and the names of the file are on the disk.
pub(crate) fn put_once(disk: &dyn Disk, path: &Path, root: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut handle = disk.open_append(path)?;
    write_and_sync(handle.as_mut(), bytes)?;
    sync_folders(disk, path, root)
}

fn write_and_sync(handle: &mut dyn DiskFile, bytes: &[u8]) -> io::Result<()> {
    if handle.write(bytes)? != bytes.len() {
        return Err(io::Error::new(
            io::ErrorKind::WriteZero,
            "only a part of the line was taken",
        ));
    }
    handle.sync()
}

/// Syncs the folders from that of `path` up to `root`.
fn sync_folders(disk: &dyn Disk, path: &Path, root: &Path) -> io::Result<()> {
    for folder in path.ancestors().skip(1) {
        disk.sync_folder(folder)?;
        if folder == root {
            break;
        }
    }
    Ok(())
}
