//! From what an index was made: by which program, and from which files by name, length, time of the last change, check sums of the first
//! and last 4 KiB.
//!
//! What is not noticed: a change in the middle of a file that keeps its length and sets its time back.

use std::io;
use std::path::Path;
use std::path::PathBuf;

use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::journal;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::paths::ShopFolder;

/// Bytes at both ends of a file that are summed.
const END: usize = 4096;
/// Nanoseconds within which two times of change cannot be told apart.
const TICK: u64 = 2_000_000_000;

/// Mark of the program's own sources: an index is worth what the rules are worth that made it.
pub(crate) const RULES: &str = env!("BENCHLORE_SOURCES");

/// A file that an index was made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Source {
    path: PathBuf,
    len: u64,
    changed: u64,
    head: u32,
    tail: u32,
}

/// Returns the files of jobs and `shop.json` as they are now.
pub(crate) fn of_jobs(disk: &dyn Disk, folder: &ShopFolder) -> Result<Vec<Source>, StoreError> {
    let mut paths = journal::list_or_empty(disk, &folder.jobs())?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "jsonl"));
    paths.push(folder.shop_json());
    look(disk, paths)
}

/// Returns the files of jobs, of boards and `shop.json` as they are now.
pub(crate) fn of_jobs_and_boards(
    disk: &dyn Disk,
    folder: &ShopFolder,
) -> Result<Vec<Source>, StoreError> {
    let mut found = of_jobs(disk, folder)?;
    let mut boards = journal::list_or_empty(disk, &folder.boards())?;
    boards.retain(|path| path.extension().is_some_and(|e| e == "json"));
    found.extend(look(disk, boards)?);
    Ok(found)
}

fn look(disk: &dyn Disk, paths: Vec<PathBuf>) -> Result<Vec<Source>, StoreError> {
    let look = |path: PathBuf| {
        source(disk, &path).map_err(|error| StoreError::io("look at", &path)(error))
    };
    paths.into_iter().map(look).collect()
}

/// Returns one file as it is now.
pub(crate) fn source(disk: &dyn Disk, path: &Path) -> io::Result<Source> {
    let about = disk.about(path)?;
    let head = disk.read_part(path, 0, END)?;
    let tail = disk.read_part(path, about.len.saturating_sub(END as u64), END)?;
    Ok(Source {
        path: path.to_owned(),
        len: about.len,
        changed: about.changed,
        head: crc32fast::hash(&head),
        tail: crc32fast::hash(&tail),
    })
}

/// Returns how many bytes the files have together.
pub(crate) fn total(sources: &[Source]) -> u64 {
    sources.iter().map(|source| source.len).sum()
}

/// Tells whether an index written at `written` may be believed: no file changed just before, as
/// it could have changed again at the same time.
pub(crate) fn settled(sources: &[Source], written: u64) -> bool {
    let late = |source: &Source| source.changed.saturating_add(TICK) >= written;
    !sources.iter().any(late)
}

/// Writes which files an index was made from, and by which rules.
pub(crate) fn write(sources: &[Source], to: &mut To) {
    to.text(RULES);
    to.count(sources.len());
    for source in sources {
        source.write(to);
    }
}

impl Source {
    /// Where it lies.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Its length in bytes.
    pub(crate) fn len(&self) -> u64 {
        self.len
    }

    pub(crate) fn write(&self, to: &mut To) {
        to.text(&self.path.to_string_lossy());
        to.number(self.len);
        to.number(self.changed);
        to.short(self.head);
        to.short(self.tail);
    }

    pub(crate) fn read(from: &mut From<'_>) -> Option<Self> {
        Some(Self {
            path: PathBuf::from(from.text()?),
            len: from.number()?,
            changed: from.number()?,
            head: from.short()?,
            tail: from.short()?,
        })
    }
}

/// Tells whether what comes next is `sources` and the rules of this program; none where it cannot be
/// read.
pub(crate) fn same(sources: &[Source], from: &mut From<'_>) -> Option<bool> {
    if from.text()? != RULES || from.count()? != sources.len() {
        return Some(false);
    }
    for source in sources {
        let same = source.path.to_string_lossy() == from.text()?
            && source.len == from.number()?
            && source.changed == from.number()?
            && source.head == from.short()?
            && source.tail == from.short()?;
        if !same {
            return Some(false);
        }
    }
    Some(true)
}
