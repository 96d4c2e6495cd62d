//! A disk that fails on purpose at its Nth call, over any other disk.

use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::store::disk::About;
use crate::store::disk::Disk;
use crate::store::disk::DiskFile;
use crate::store::disk::Locking;
use crate::store::disk::Stamp;

/// How a call goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// Nothing happens and an error comes back, once.
    Error,
    /// A write takes half of its bytes and says so; any other call is done and yet reported as
    /// failed. Once.
    Short,
    /// The program ends: a write takes half of its bytes, and every later call fails.
    Die,
    /// The disk is full from here on: a write takes half of its bytes, later ones none; making
    /// files and folders fails; reading goes on.
    Full,
}

impl Trouble {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Error, Self::Short, Self::Die, Self::Full];
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Write,
    Make,
    Other,
}

enum Do {
    All,
    Nothing,
    Half,
    AllThenError,
}

#[derive(Debug)]
struct Plan {
    calls: u64,
    nth: u64,
    trouble: Trouble,
    dead: bool,
    full: bool,
    log: Vec<&'static str>,
}

/// A disk that fails at its Nth call; clones share the count.
#[derive(Clone)]
pub struct FaultyDisk {
    inner: Arc<dyn Disk>,
    plan: Arc<Mutex<Plan>>,
}

impl FaultyDisk {
    /// Returns a disk over `inner` whose call number `nth` (from 1) fails; 0 never fails.
    pub fn new(inner: Arc<dyn Disk>, nth: u64, trouble: Trouble) -> Self {
        Self {
            inner,
            plan: Arc::new(Mutex::new(Plan {
                calls: 0,
                nth,
                trouble,
                dead: false,
                full: false,
                log: Vec::new(),
            })),
        }
    }

    /// Returns how many calls were made.
    pub fn calls(&self) -> u64 {
        self.with(|plan| plan.calls)
    }

    /// Tells whether the program has died.
    pub fn is_dead(&self) -> bool {
        self.with(|plan| plan.dead)
    }

    /// Returns the names of the calls in order.
    pub fn log(&self) -> Vec<&'static str> {
        self.with(|plan| plan.log.clone())
    }

    fn with<T>(&self, look: impl FnOnce(&mut Plan) -> T) -> T {
        look(&mut self.plan.lock().unwrap_or_else(PoisonError::into_inner))
    }

    fn next(&self, name: &'static str, kind: Kind) -> io::Result<Do> {
        self.with(|plan| {
            if plan.dead {
                return Err(io::Error::other("the program is dead"));
            }
            plan.calls += 1;
            plan.log.push(name);
            if plan.full && kind != Kind::Other {
                return Ok(Do::Nothing);
            }
            if plan.calls != plan.nth {
                return Ok(Do::All);
            }
            plan.dead = plan.trouble == Trouble::Die;
            plan.full = plan.trouble == Trouble::Full;
            Ok(match (plan.trouble, kind) {
                (Trouble::Error, _)
                | (Trouble::Die, Kind::Make | Kind::Other)
                | (Trouble::Full, Kind::Make) => Do::Nothing,
                (Trouble::Full, Kind::Other) => Do::All,
                (_, Kind::Write) => Do::Half,
                (Trouble::Short, Kind::Make | Kind::Other) => Do::AllThenError,
            })
        })
    }

    fn call<T>(
        &self,
        name: &'static str,
        kind: Kind,
        work: impl FnOnce() -> io::Result<T>,
    ) -> io::Result<T> {
        match self.next(name, kind)? {
            Do::All => work(),
            Do::Nothing | Do::Half => Err(self.error()),
            Do::AllThenError => {
                work()?;
                Err(self.error())
            }
        }
    }

    fn error(&self) -> io::Error {
        if self.with(|plan| plan.full) {
            io::ErrorKind::StorageFull.into()
        } else {
            io::Error::other("made to fail")
        }
    }
}

impl Disk for FaultyDisk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.call("read", Kind::Other, || self.inner.read(path))
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        self.call("list", Kind::Other, || self.inner.list(folder))
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        self.call("exists", Kind::Other, || self.inner.exists(path))
    }

    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>> {
        let file = self.call("open_append", Kind::Make, || self.inner.open_append(path))?;
        let disk = self.clone();
        Ok(Box::new(FaultyFile { disk, file }))
    }

    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        match self.next("create_new", Kind::Write)? {
            Do::All | Do::AllThenError => self.inner.create_new(path, bytes),
            Do::Nothing => Err(self.error()),
            Do::Half => {
                self.inner.create_new(path, &bytes[..bytes.len() / 2])?;
                Err(self.error())
            }
        }
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call("rename", Kind::Other, || self.inner.rename(from, to))
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.call("sync_folder", Kind::Other, || {
            self.inner.sync_folder(folder)
        })
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.call("make_folder", Kind::Make, || self.inner.make_folder(folder))
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.call("remove", Kind::Other, || self.inner.remove(path))
    }

    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        self.call("remove_folder", Kind::Other, || {
            self.inner.remove_folder(folder)
        })
    }

    fn about(&self, path: &Path) -> io::Result<About> {
        self.call("about", Kind::Other, || self.inner.about(path))
    }

    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>> {
        self.call("read_part", Kind::Other, || {
            self.inner.read_part(path, from, most)
        })
    }

    fn stamp(&self, path: &Path) -> io::Result<Option<Stamp>> {
        self.call("stamp", Kind::Other, || self.inner.stamp(path))
    }

    fn stamp_of_now(&self, path: &Path, folder: &Path) -> io::Result<Option<Stamp>> {
        self.call("stamp_of_now", Kind::Make, || {
            self.inner.stamp_of_now(path, folder)
        })
    }

    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        self.call("lock", Kind::Make, || self.inner.lock(path, note))
    }
}

struct FaultyFile {
    disk: FaultyDisk,
    file: Box<dyn DiskFile>,
}

impl DiskFile for FaultyFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self.disk.next("write", Kind::Write)? {
            Do::All | Do::AllThenError => self.file.write(bytes),
            Do::Nothing => Err(self.disk.error()),
            Do::Half => {
                let wrote = self.file.write(&bytes[..bytes.len() / 2])?;
                if self.disk.is_dead() {
                    Err(self.disk.error())
                } else {
                    Ok(wrote)
                }
            }
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        match self.disk.next("sync", Kind::Other)? {
            Do::All => self.file.sync(),
            Do::Nothing | Do::Half => Err(self.disk.error()),
            Do::AllThenError => {
                self.file.sync()?;
                Err(self.disk.error())
            }
        }
    }
}
