//! A shop folder that may be read and not written: the drill opens, says so, and keeps nothing.

use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use benchlore::app::practice::Options;
use benchlore::app::practice::Practice;
use benchlore::app::workbench::Workbench;
use benchlore::domain::review::Sure;
use benchlore::domain::sitting::Said;
use benchlore::store::disk::About;
use benchlore::store::disk::Disk;
use benchlore::store::disk::DiskFile;
use benchlore::store::disk::Locking;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;

use crate::common::Bench;
use crate::common::NOW;

/// The computer's disk, where nothing may be written; or where locks may, but not journals.
struct Forbidden {
    locks_too: bool,
}

fn forbidden() -> io::Error {
    io::ErrorKind::PermissionDenied.into()
}

impl Disk for Forbidden {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        RealDisk.read(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        RealDisk.list(folder)
    }
    fn exists(&self, path: &Path) -> io::Result<bool> {
        RealDisk.exists(path)
    }
    fn open_append(&self, _path: &Path) -> io::Result<Box<dyn DiskFile>> {
        Err(forbidden())
    }
    fn create_new(&self, _path: &Path, _bytes: &[u8]) -> io::Result<()> {
        Err(forbidden())
    }
    fn rename(&self, _from: &Path, _to: &Path) -> io::Result<()> {
        Err(forbidden())
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        RealDisk.sync_folder(folder)
    }
    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        RealDisk.make_folder(folder)
    }
    fn remove(&self, _path: &Path) -> io::Result<()> {
        Err(forbidden())
    }
    fn remove_folder(&self, _folder: &Path) -> io::Result<()> {
        Err(forbidden())
    }
    fn about(&self, path: &Path) -> io::Result<About> {
        RealDisk.about(path)
    }
    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>> {
        RealDisk.read_part(path, from, most)
    }
    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        if self.locks_too {
            return Err(forbidden());
        }
        RealDisk.lock(path, note)
    }
}

#[test]
fn a_folder_that_may_not_be_written_opens_read_only_and_says_why() {
    let bench = Bench::practice();
    let mut drill = bench.drill(&[]);
    let question = drill.hear();
    drill.card(&question, &crate::common::deck(&bench), true);
    drill.finish();
    for locks_too in [true, false] {
        let disk: Arc<dyn Disk> = Arc::new(Forbidden { locks_too });
        let workbench = Workbench::open(disk, ShopFolder::new(bench.shop()), "b7".to_owned())
            .expect("the shop opens");
        let person = workbench.person(Some("mk")).expect("mk is here");
        let now = NOW.parse().expect("a moment");
        let mut practice = Practice::open(&workbench, &person, &Options::default(), 1, now)
            .expect("the drill opens");
        let why = practice.read_only().expect("it is read-only").to_owned();
        assert!(why.contains("b7.jsonl"), "{why}");
        practice.say_circuit("standby", 1000);
        practice.say_fix(&Said::Typed("replace U31".to_owned()), Sure::Fair, 1000);
        let kept = practice.keep(1000, now).expect("the drill goes on");
        assert_eq!(kept.id, None);
        assert_eq!(bench.journal("mk").len(), 1);
    }
}
