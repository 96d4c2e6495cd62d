//! A file that is written in pieces and is there whole or not at all.
//!
//! The pieces go to a temporary file in the same folder, which takes the name of the file once it is
//! on the disk. Where the work stops before, the temporary file goes, and what stood there before
//! still stands; one that a killed run left is removed by the next.

use std::fmt;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::DiskFile;

/// Bytes that are gathered before they are written.
const PIECE: usize = 1 << 20;

/// A file that is being written.
pub struct Staged<'d> {
    disk: &'d dyn Disk,
    path: PathBuf,
    temporary: PathBuf,
    handle: Option<Box<dyn DiskFile>>,
    buffer: Vec<u8>,
    len: u64,
    kept: bool,
}

impl<'d> Staged<'d> {
    /// Begins a file that takes the place of `path`; its folder is there, and nobody else writes it.
    pub fn begin(disk: &'d dyn Disk, path: &Path) -> io::Result<Self> {
        let temporary = disk::temporary_path(path);
        if disk.exists(&temporary)? {
            disk.remove(&temporary)?;
        }
        Ok(Self {
            handle: Some(disk.open_append(&temporary)?),
            disk,
            path: path.to_owned(),
            temporary,
            buffer: Vec::with_capacity(PIECE + PIECE / 8),
            len: 0,
            kept: false,
        })
    }

    /// Begins with what stands in `path`, and on a fresh line.
    pub fn begin_after(disk: &'d dyn Disk, path: &Path) -> io::Result<Self> {
        let mut staged = Self::begin(disk, path)?;
        if disk.exists(path)? {
            staged.copy(path)?;
            if staged.buffer.last().is_some_and(|b| *b != b'\n') {
                staged.put(b"\n")?;
            }
        }
        Ok(staged)
    }

    /// Adds bytes.
    pub fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.buffer.extend_from_slice(bytes);
        self.len += bytes.len() as u64;
        if self.buffer.len() >= PIECE {
            self.flush(1)?;
        }
        Ok(())
    }

    /// Adds a line.
    pub fn put_line(&mut self, line: &str) -> io::Result<()> {
        self.buffer.extend_from_slice(line.as_bytes());
        self.len += line.len() as u64;
        self.put(b"\n")
    }

    /// Adds what stands in another file.
    pub fn copy(&mut self, from: &Path) -> io::Result<()> {
        let disk = self.disk;
        let mut done = Ok(());
        disk.read_steps(from, 0, &mut |step| {
            done = self.put(step);
            done.is_ok()
        })?;
        done
    }

    /// Adds what another file that is not kept holds so far.
    pub fn copy_staged(&mut self, mut other: Staged<'_>) -> io::Result<()> {
        if other.len > other.buffer.len() as u64 {
            other.flush(0)?;
            return self.copy(&other.temporary);
        }
        self.put(&other.buffer)
    }

    /// Returns how many bytes were added.
    pub fn len(&self) -> u64 {
        self.len
    }

    /// Tells whether nothing was added.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Gives the file its name and returns once all of it is on the disk.
    pub fn keep(mut self) -> io::Result<()> {
        self.flush(0)?;
        if let Some(mut handle) = self.handle.take() {
            handle.sync()?;
        }
        self.disk.rename(&self.temporary, &self.path)?;
        self.kept = true;
        let folder = self.path.parent().filter(|p| !p.as_os_str().is_empty());
        self.disk
            .sync_folder(folder.unwrap_or_else(|| Path::new(".")))
    }

    /// Writes what was gathered but for the last `stay` bytes, by which the end of the file is known.
    fn flush(&mut self, stay: usize) -> io::Result<()> {
        let end = self.buffer.len().saturating_sub(stay);
        let handle = self.handle.as_mut().ok_or(io::ErrorKind::BrokenPipe)?;
        let mut from = 0;
        while from < end {
            match handle.write(&self.buffer[from..end])? {
                0 => return Err(io::ErrorKind::WriteZero.into()),
                n => from += n,
            }
        }
        self.buffer.drain(..end);
        Ok(())
    }
}

impl Drop for Staged<'_> {
    fn drop(&mut self) {
        if !self.kept {
            self.handle = None;
            // One that cannot be removed does no harm: it is nobody's, and the next run removes it.
            drop(self.disk.remove(&self.temporary));
        }
    }
}

impl fmt::Debug for Staged<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Staged")
            .field("path", &self.path)
            .field("len", &self.len)
            .finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;

    const FILE: &str = "/shop/jobs/b7.jsonl";

    fn disk() -> ModelDisk {
        let disk = ModelDisk::new();
        disk.put(Path::new(FILE), b"one\ntwo");
        disk
    }

    #[test]
    fn what_was_there_stays_in_front_and_new_lines_start_fresh() {
        let disk = disk();
        let mut staged = Staged::begin_after(&disk, Path::new(FILE)).unwrap();
        staged.put_line("three").unwrap();
        assert_eq!(disk.read(Path::new(FILE)).unwrap(), b"one\ntwo");
        staged.keep().unwrap();
        assert_eq!(disk.read(Path::new(FILE)).unwrap(), b"one\ntwo\nthree\n");
        assert_eq!(disk.list(Path::new("/shop/jobs")).unwrap().len(), 1);
    }

    #[test]
    fn what_is_not_kept_leaves_nothing() {
        let disk = disk();
        // A run that was killed left its own.
        disk.put(Path::new("/shop/jobs/.b7.jsonl.new"), b"left");
        let mut staged = Staged::begin_after(&disk, Path::new(FILE)).unwrap();
        staged.put(&vec![b'x'; 3 * PIECE]).unwrap();
        drop(staged);
        assert_eq!(disk.read(Path::new(FILE)).unwrap(), b"one\ntwo");
        assert_eq!(disk.list(Path::new("/shop/jobs")).unwrap().len(), 1);
    }

    #[test]
    fn one_that_is_not_kept_can_be_a_part_of_another() {
        for n in [3, 3 * PIECE] {
            let disk = disk();
            let mut body = Staged::begin(&disk, Path::new("/shop/jobs/body")).unwrap();
            body.put(&vec![b'x'; n]).unwrap();
            let mut whole = Staged::begin(&disk, Path::new("/shop/jobs/whole")).unwrap();
            whole.put(b"head\n").unwrap();
            whole.copy_staged(body).unwrap();
            whole.keep().unwrap();
            let bytes = disk.read(Path::new("/shop/jobs/whole")).unwrap();
            assert_eq!(bytes.len(), n + 5);
            assert!(bytes.starts_with(b"head\nxxx"));
            assert_eq!(disk.list(Path::new("/shop/jobs")).unwrap().len(), 2);
        }
    }
}
