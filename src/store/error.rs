//! What can go wrong with files, as facts; wording for people is the command line's business.

use std::io;
use std::path::Path;
use std::path::PathBuf;

use crate::store::fault::Fault;
use crate::store::paths::BadName;

/// Why a file could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The disk refused.
    #[error("cannot {doing} {}", path.display())]
    Io {
        /// `read`, `write`, …
        doing: &'static str,
        /// Which file or folder.
        path: PathBuf,
        /// What the disk said.
        #[source]
        source: io::Error,
    },
    /// Another running copy has it.
    #[error("{} is in use by {holder}", path.display())]
    Busy {
        /// What is guarded.
        path: PathBuf,
        /// Who has it and since when, as they wrote it.
        holder: String,
    },
    /// The line did not get onto the disk; it does not count.
    #[error("the record was not kept in {}", path.display())]
    NotKept {
        /// Which file.
        path: PathBuf,
        /// What the disk said.
        #[source]
        source: io::Error,
    },
    /// The record holds a value that its format cannot keep; nothing was written.
    #[error("the record cannot be written so that it reads back the same: {why}")]
    Unwritable {
        /// Which field, and why.
        why: String,
    },
    /// Something written before is no longer there: the file was replaced or cut while in use.
    #[error("{} no longer holds line number {seq} that was kept before", path.display())]
    Vanished {
        /// Which file.
        path: PathBuf,
        /// Last line kept.
        seq: u64,
    },
    /// A newer program wrote it: it may be read, not rewritten.
    #[error("{} has format {v}, newer than this program knows: it is read but not rewritten", path.display())]
    Newer {
        /// Which file.
        path: PathBuf,
        /// Its format.
        v: u64,
    },
    /// Nothing can be done without it and it is damaged; every fault is named.
    #[error("{} cannot be used as it is", path.display())]
    Damaged {
        /// Which file.
        path: PathBuf,
        /// What is wrong with it.
        faults: Vec<Fault>,
    },
    /// A name that may not be used for a file.
    #[error(transparent)]
    Name(#[from] BadName),
}

impl StoreError {
    /// Tells whether the system forbids writing there, which a reader can live with.
    pub fn forbids_writing(&self) -> bool {
        matches!(self, Self::Io { doing, source, .. }
        if *doing != "read" && matches!(
            source.kind(),
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem
        ))
    }

    /// Returns a closure that says what was being done to `path` when the disk refused.
    pub fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Io {
            doing,
            path,
            source,
        }
    }
}
