//! Locks: a separate file beside what it guards, holding who has it and since when.

use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::SecondsFormat;
use chrono::Utc;

use crate::domain::text;
use crate::store::disk::Disk;
use crate::store::disk::Guard;
use crate::store::disk::Locking;
use crate::store::error::StoreError;

/// Who takes a lock, as the next one will read it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holder {
    /// Initials and what for: `mk, drill`.
    pub who: String,
    /// Since when.
    pub since: DateTime<Utc>,
}

impl Holder {
    fn note(&self) -> String {
        let since = self.since.to_rfc3339_opts(SecondsFormat::Secs, true);
        format!("{} since {since}\n", text::clean(&self.who))
    }
}

/// Returns the lock file of `path`: `b7.jsonl.lock` beside `b7.jsonl`.
pub fn lock_path(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".lock");
    path.with_file_name(name)
}

/// Takes the lock of `path`, or says who has it.
pub fn take(disk: &dyn Disk, path: &Path, holder: &Holder) -> Result<Guard, StoreError> {
    let lock = lock_path(path);
    match disk.lock(&lock, &holder.note()) {
        Ok(Locking::Taken(guard)) => Ok(guard),
        Ok(Locking::Busy(note)) => {
            let note = text::clean(note.trim());
            Err(StoreError::Busy {
                path: path.to_owned(),
                holder: if note.is_empty() {
                    "someone who left no name".to_owned()
                } else {
                    note
                },
            })
        }
        Err(error) => Err(StoreError::io("lock", &lock)(error)),
    }
}
