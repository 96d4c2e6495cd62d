//! A whole shop in one file, and back: a plain tar archive that begins with a list of its contents.
//!
//! The list names every file with its SHA-256 and closes with its own. What is packed is decided
//! once, from the list and the files alone, so a backup that is read is packed again and compared
//! byte for byte: whatever was cut, flipped, added or smuggled in is noticed. Nothing is unpacked
//! before all of it was found right. Left out: `cache/`, locks, half-written files. The archive is
//! held in memory while it is made or checked.

use std::collections::BTreeSet;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::Utc;
use sha2::Digest as _;
use sha2::Sha256;

use crate::store::backup_file::Contents;
use crate::store::backup_file::Piece;
use crate::store::backup_file::UNFINISHED;
use crate::store::backup_file::hash;
use crate::store::backup_file::hex;
use crate::store::backup_file::is_portable;
use crate::store::backup_file::pack;
use crate::store::backup_file::passed_over;
use crate::store::backup_file::unpack;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::DiskFile;
use crate::store::disk::Kind;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::paths::ShopFolder;

/// Largest backup, in bytes.
pub const MOST_BYTES: u64 = 4 << 30;
/// Bytes that go to the disk at a time.
const CHUNK: usize = 1 << 16;
/// Folders within folders that are followed.
const DEEPEST: usize = 8;

/// Why a backup was not made or not restored.
#[derive(Debug, thiserror::Error)]
pub enum BackupError {
    /// The files did not play along.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// There is something of that name.
    #[error("{} is there already, and a backup never replaces a file", path.display())]
    AlreadyThere {
        /// The file.
        path: PathBuf,
    },
    /// The backup would lie in what it backs up.
    #[error("{} lies inside the shop folder", path.display())]
    Inside {
        /// The file.
        path: PathBuf,
    },
    /// A person is half erased.
    #[error("the erasure of {person} is not finished")]
    Erasing {
        /// Folder name.
        person: String,
    },
    /// What was read back is not what was written.
    #[error("{} does not read back as it was written; it was removed", path.display())]
    NotTheSame {
        /// The file.
        path: PathBuf,
    },
    /// More than can be held.
    #[error("{} has more than {} GiB", path.display(), MOST_BYTES >> 30)]
    TooLarge {
        /// The file or folder.
        path: PathBuf,
    },
    /// The file is no whole, unaltered backup.
    #[error("{} is not restored: {why}", path.display())]
    NotWhole {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// There is something else in the folder.
    #[error("{} is not empty: it holds {found}", path.display())]
    NotEmpty {
        /// The folder.
        path: PathBuf,
        /// Something that is in it.
        found: String,
    },
}

/// What a backup came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Copied {
    /// Files in it.
    pub files: usize,
    /// Bytes of the backup.
    pub bytes: u64,
    /// SHA-256 of the backup, as hexadecimal digits.
    pub sha256: String,
    /// Last lines that were still being written (or torn), and so are not in it: file, bytes.
    pub unfinished: Vec<(String, usize)>,
    /// What was left out although it is no cache and no lock.
    pub left_out: Vec<Fault>,
}

/// What a restore came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Restored {
    /// Files written.
    pub files: usize,
    /// The shop's name, as its backup has it.
    pub name: String,
    /// When the backup was made.
    pub made: DateTime<Utc>,
}

/// Told of every step of long work: what, how many of how many.
pub type Progress<'a> = &'a mut dyn FnMut(&str, usize, usize);

/// Copies the shop in `folder` into the new file `file`, and reads it back before it says done.
///
/// Journals and jobs are append-only and go in up to the last whole line at the time of reading, so
/// a drill may go on meanwhile.
pub fn backup(
    disk: &dyn Disk,
    folder: &ShopFolder,
    file: &Path,
    (name, made): (&str, DateTime<Utc>),
    progress: Progress<'_>,
) -> Result<Copied, BackupError> {
    refuse_existing(disk, file)?;
    if file.starts_with(folder.root()) {
        return Err(BackupError::Inside {
            path: file.to_owned(),
        });
    }
    let mut found = Walk::of(disk, folder.root())?;
    let mut pieces = Vec::new();
    let mut unfinished = Vec::new();
    let mut total = 0;
    let all = found.files.len();
    for (n, path) in std::mem::take(&mut found.files).into_iter().enumerate() {
        progress("reading", n, all);
        if let Some(person) = path.strip_suffix("/going.json")
            && let Some(person) = person.strip_prefix("people/")
        {
            let person = person.to_owned();
            return Err(BackupError::Erasing { person });
        }
        let place = folder.root().join(&path);
        let mut bytes = disk.read(&place).map_err(StoreError::io("read", &place))?;
        let whole = whole_lines(&path, &bytes);
        if whole < bytes.len() {
            unfinished.push((path.clone(), bytes.len() - whole));
            bytes.truncate(whole);
        }
        total += bytes.len() as u64;
        if total > MOST_BYTES {
            return Err(BackupError::TooLarge {
                path: folder.root().to_owned(),
            });
        }
        pieces.push(Piece { path, bytes });
    }
    let contents = Contents {
        name: name.to_owned(),
        made,
        pieces,
    };
    let (bytes, sha256) = write_new(disk, file, &contents, progress)?;
    progress("reading back", 0, 1);
    let same = disk.read(file).is_ok_and(|read| {
        read.len() as u64 == bytes && hash(&read) == sha256 && unpack(&read).is_ok()
    });
    if !same {
        // A file that cannot be trusted must not lie there under the name of a backup.
        drop(disk.remove(file));
        return Err(BackupError::NotTheSame {
            path: file.to_owned(),
        });
    }
    Ok(Copied {
        files: contents.pieces.len(),
        bytes,
        sha256,
        unfinished,
        left_out: found.left_out,
    })
}

fn refuse_existing(disk: &dyn Disk, file: &Path) -> Result<(), BackupError> {
    match disk.about(file) {
        Ok(_) => Err(BackupError::AlreadyThere {
            path: file.to_owned(),
        }),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(StoreError::io("look for", file)(error).into()),
    }
}

/// Returns how many bytes of a file are whole lines; all of them where it is no file of lines.
///
/// A last line without its line break counts when it is a whole record.
fn whole_lines(path: &str, bytes: &[u8]) -> usize {
    if path.strip_suffix(".jsonl").is_none() {
        return bytes.len();
    }
    let end = bytes
        .iter()
        .rposition(|b| *b == b'\n')
        .map_or(0, |at| at + 1);
    if serde_json::from_slice::<serde_json::Value>(&bytes[end..]).is_ok_and(|v| v.is_object()) {
        bytes.len()
    } else {
        end
    }
}

/// Writes, syncs, renames; returns length and hash of what was written.
fn write_new(
    disk: &dyn Disk,
    file: &Path,
    contents: &Contents,
    progress: Progress<'_>,
) -> Result<(u64, String), BackupError> {
    let temporary = disk::temporary_path(file);
    if disk
        .exists(&temporary)
        .map_err(StoreError::io("look for", &temporary))?
    {
        // Left by a run that died: it was never anyone's backup.
        disk.remove(&temporary)
            .map_err(StoreError::io("remove", &temporary))?;
    }
    let write = |progress: Progress<'_>| -> io::Result<(u64, String)> {
        let mut out = Out {
            file: disk.open_append(&temporary)?,
            waiting: Vec::new(),
            hasher: Sha256::new(),
            len: 0,
        };
        pack(contents, &mut out, progress)?;
        out.flush()?;
        out.file.sync()?;
        Ok((out.len, hex(&out.hasher.finalize())))
    };
    let done = write(progress).map_err(StoreError::io("write", &temporary))?;
    refuse_existing(disk, file)?;
    disk.rename(&temporary, file)
        .map_err(StoreError::io("write", file))?;
    let above = file.parent().filter(|p| !p.as_os_str().is_empty());
    let above = above.unwrap_or_else(|| Path::new("."));
    disk.sync_folder(above)
        .map_err(StoreError::io("sync", above))?;
    Ok(done)
}

/// A file being written, and the hash of what went into it.
struct Out {
    file: Box<dyn DiskFile>,
    waiting: Vec<u8>,
    hasher: Sha256,
    len: u64,
}

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() >= CHUNK {
            self.flush()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        let mut from = 0;
        while from < self.waiting.len() {
            let wrote = self.file.write(&self.waiting[from..])?;
            if wrote == 0 {
                return Err(io::ErrorKind::WriteZero.into());
            }
            from += wrote;
        }
        self.hasher.update(&self.waiting);
        self.len += self.waiting.len() as u64;
        self.waiting.clear();
        Ok(())
    }
}

/// The files of a folder, by their places in it.
struct Walk {
    files: Vec<String>,
    left_out: Vec<Fault>,
}

impl Walk {
    fn of(disk: &dyn Disk, root: &Path) -> Result<Self, StoreError> {
        let mut found = Self {
            files: Vec::new(),
            left_out: Vec::new(),
        };
        found.enter(disk, root, "", 0)?;
        found.files.sort();
        Ok(found)
    }

    fn enter(
        &mut self,
        disk: &dyn Disk,
        folder: &Path,
        place: &str,
        depth: usize,
    ) -> Result<(), StoreError> {
        for path in disk.list(folder).map_err(StoreError::io("list", folder))? {
            let name = path.file_name().and_then(|name| name.to_str());
            let inside = match name {
                Some(name) => format!("{place}{name}"),
                None => String::new(),
            };
            if passed_over(&inside) {
                continue;
            }
            let about = disk
                .about(&path)
                .map_err(StoreError::io("look at", &path))?;
            let why = match about.kind {
                _ if !is_portable(&inside) => "its name cannot be used on every system",
                Kind::Other => "it is a link or a device, no file",
                Kind::Folder if depth >= DEEPEST => "it lies too deep",
                Kind::Folder => {
                    self.enter(disk, &path, &format!("{inside}/"), depth + 1)?;
                    continue;
                }
                Kind::File => {
                    self.files.push(inside);
                    continue;
                }
            };
            let todo = "it is not in the backup; keep it elsewhere, or rename it";
            self.left_out.push(Fault::warning(&path, why, todo));
        }
        Ok(())
    }
}

/// Unpacks the backup `file` into the new or empty folder `into`.
///
/// `shop.json`, which makes a folder a shop, comes last, after everything else was written, synced
/// and read back: a restore that died leaves no half shop, and the same restore again goes on.
pub fn restore(
    disk: &dyn Disk,
    file: &Path,
    into: &Path,
    progress: Progress<'_>,
) -> Result<Restored, BackupError> {
    let about = disk.about(file).map_err(StoreError::io("read", file))?;
    if about.len > MOST_BYTES {
        return Err(BackupError::TooLarge {
            path: file.to_owned(),
        });
    }
    let bytes = disk.read(file).map_err(StoreError::io("read", file))?;
    let contents = unpack(&bytes).map_err(|why| BackupError::NotWhole {
        path: file.to_owned(),
        why,
    })?;
    drop(bytes);
    need_room(disk, into, &contents)?;
    lay_out(disk, into, &contents, progress).map_err(StoreError::io("write", into))?;
    Ok(Restored {
        files: contents.pieces.len(),
        name: contents.name,
        made: contents.made,
    })
}

/// Refuses a folder that holds anything but the beginnings of this very restore.
fn need_room(disk: &dyn Disk, into: &Path, contents: &Contents) -> Result<(), BackupError> {
    let looking = |error| StoreError::io("look into", into)(error);
    if !disk.exists(into).map_err(looking)? {
        return Ok(());
    }
    let listed = disk.list(into).map_err(looking)?;
    let Some(first) = listed.first() else {
        return Ok(());
    };
    let first = first.file_name().unwrap_or_default().to_string_lossy();
    let refuse = |found: &str| BackupError::NotEmpty {
        path: into.to_owned(),
        found: found.to_owned(),
    };
    if !listed.contains(&into.join(UNFINISHED)) || listed.contains(&into.join("shop.json")) {
        return Err(refuse(&first));
    }
    let walk = Walk::of(disk, into)?;
    let ours: BTreeSet<&str> = contents.pieces.iter().map(|p| p.path.as_str()).collect();
    match walk.files.iter().find(|f| !ours.contains(f.as_str())) {
        Some(other) => Err(refuse(other)),
        None => walk.left_out.first().map_or(Ok(()), |fault| {
            Err(refuse(&fault.path.display().to_string()))
        }),
    }
}

fn lay_out(
    disk: &dyn Disk,
    into: &Path,
    contents: &Contents,
    progress: Progress<'_>,
) -> io::Result<()> {
    let made = disk::make_folders(disk, into)?;
    disk::sync_above(disk, &made)?;
    let mark = into.join(UNFINISHED);
    if !disk.exists(&mark)? {
        disk.create_new(&mark, b"a backup is being restored here\n")?;
        disk.sync_folder(into)?;
    }
    let (shop, others): (Vec<&Piece>, Vec<&Piece>) =
        contents.pieces.iter().partition(|p| p.path == "shop.json");
    let mut folders = BTreeSet::from([into.to_owned()]);
    for (n, piece) in others.iter().enumerate() {
        progress("restoring", n, others.len());
        let path = into.join(&piece.path);
        for folder in path.ancestors().skip(1).take_while(|f| *f != into) {
            folders.insert(folder.to_owned());
        }
        if let Some(folder) = path.parent() {
            disk.make_folder(folder)?;
        }
        if disk.exists(&path)? {
            disk.remove(&path)?;
        }
        disk.create_new(&path, &piece.bytes)?;
    }
    for folder in folders.iter().rev() {
        disk.sync_folder(folder)?;
    }
    for piece in &others {
        if disk.read(&into.join(&piece.path))? != piece.bytes {
            let why = format!("{} does not read back as it was written", piece.path);
            return Err(io::Error::other(why));
        }
    }
    for piece in shop {
        disk::replace_held(disk, &into.join(&piece.path), &piece.bytes)?;
    }
    disk.remove(&mark)?;
    disk.sync_folder(into)
}

#[cfg(test)]
#[path = "backup_tests.rs"]
mod tests;
