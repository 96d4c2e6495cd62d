//! One file written for people outside: whole or not at all, and never over another unasked.

use std::path::Path;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Kind;
use crate::store::error::StoreError;

/// Why an export was not written.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The file did not play along.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// There is something of that name.
    #[error("{} is there already", path.display())]
    AlreadyThere {
        /// The file.
        path: std::path::PathBuf,
    },
    /// It is what is being read, or no plain file.
    #[error("{} is {what}", path.display())]
    NotThis {
        /// The file.
        path: std::path::PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// It would lie in the shop, where a job file is read as jobs.
    #[error("{} lies inside the shop folder", path.display())]
    Inside {
        /// The file.
        path: std::path::PathBuf,
    },
}

/// Writes `text` into `file`, outside the shop at `root`; replaces a file only with `replace`.
///
/// A reader sees the old content or the new: a temporary file beside it is written, synced and renamed.
pub fn write(
    disk: &dyn Disk,
    root: &Path,
    file: &Path,
    text: &str,
    replace: bool,
) -> Result<(), ExportError> {
    let path = || file.to_owned();
    if file.starts_with(root) {
        return Err(ExportError::Inside { path: path() });
    }
    if !replace
        && disk
            .exists(file)
            .map_err(StoreError::io("look for", file))?
    {
        return Err(ExportError::AlreadyThere { path: path() });
    }
    let written = disk::replace_held(disk, file, text.as_bytes());
    if written.is_err() {
        // Half a file under a name of ours is of no use to anybody; the error is what matters.
        drop(disk.remove(&disk::temporary_path(file)));
    }
    written.map_err(StoreError::io("write", file))?;
    Ok(())
}

/// Refuses a file that is written over unasked, such as a report, where that would do harm: in the shop at
/// `root`, over one of the files that are `read`, or over something that is no plain file.
pub fn may_replace(
    disk: &dyn Disk,
    root: &Path,
    file: &Path,
    read: &[&Path],
) -> Result<(), ExportError> {
    let path = file.to_owned();
    if file.starts_with(root) {
        return Err(ExportError::Inside { path });
    }
    if read.contains(&file) {
        let what = "the file that is read";
        return Err(ExportError::NotThis { path, what });
    }
    match disk.about(file) {
        Ok(about) if about.kind != Kind::File => {
            let what = "no plain file";
            Err(ExportError::NotThis { path, what })
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::store::disk::RealDisk;
    use crate::store::faulty::FaultyDisk;
    use crate::store::faulty::Trouble;

    #[test]
    fn a_file_is_replaced_only_when_told_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("shop");
        let file = folder.path().join("out.csv");
        let write = |file: &Path, text: &str, replace| write(&RealDisk, &root, file, text, replace);
        let names = || -> Vec<String> {
            let found = RealDisk.list(folder.path()).unwrap().into_iter();
            let name = |path: std::path::PathBuf| {
                path.file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned()
            };
            found.map(name).collect()
        };
        write(&file, "one", false).unwrap();
        let again = write(&file, "two", false).unwrap_err();
        assert!(matches!(again, ExportError::AlreadyThere { .. }));
        assert_eq!(RealDisk.read(&file).unwrap(), b"one");
        write(&file, "two", true).unwrap();
        assert_eq!(RealDisk.read(&file).unwrap(), b"two");
        assert_eq!(names(), ["out.csv"]);
        let inside = write(&root.join("jobs/a.jsonl"), "x", true).unwrap_err();
        assert!(matches!(inside, ExportError::Inside { .. }));
        let full = FaultyDisk::new(Arc::new(RealDisk), 1, Trouble::Full);
        assert!(super::write(&full, &root, &file, "three", true).is_err());
        assert_eq!(RealDisk.read(&file).unwrap(), b"two");
        assert_eq!(names(), ["out.csv"]);
        assert!(write(&folder.path().join("no/such/out.csv"), "x", false).is_err());
    }

    #[test]
    fn a_report_goes_neither_over_the_shop_nor_over_what_is_read_nor_over_a_device() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("shop");
        let sheet = folder.path().join("old.csv");
        let may = |file: &Path| may_replace(&RealDisk, &root, file, &[&sheet]);
        may(&folder.path().join("report.jsonl")).unwrap();
        RealDisk.create_new(&folder.path().join("r"), b"x").unwrap();
        may(&folder.path().join("r")).unwrap();
        let inside = may(&root.join("shop.json")).unwrap_err();
        assert!(matches!(inside, ExportError::Inside { .. }));
        let itself = may(&sheet).unwrap_err();
        assert!(matches!(itself, ExportError::NotThis { .. }));
        let no_file = may(folder.path()).unwrap_err();
        assert!(no_file.to_string().ends_with("is no plain file"));
        #[cfg(unix)]
        assert!(may(Path::new("/dev/null")).is_err());
    }
}
