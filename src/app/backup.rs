//! A shop into one file and back. How, is in [`crate::store::backup`].

use std::path::Component;
use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::Utc;

use crate::app::workbench::AppError;
use crate::store::backup;
use crate::store::backup::Copied;
use crate::store::backup::Progress;
use crate::store::backup::Restored;
use crate::store::disk::Disk;
use crate::store::paths::ShopFolder;
use crate::store::shop;

/// Copies the shop in `folder` into the new file `file`; a damaged shop can be copied too.
pub fn make(
    disk: &dyn Disk,
    folder: &ShopFolder,
    file: &Path,
    now: DateTime<Utc>,
    progress: Progress<'_>,
) -> Result<Copied, AppError> {
    let name = shop::load_shop(disk, folder).map_or_else(
        |_error| "a shop whose shop.json cannot be read".to_owned(),
        |(record, _)| record.shop.name,
    );
    let folder = ShopFolder::new(plain(folder.root()));
    Ok(backup::backup(
        disk,
        &folder,
        &plain(file),
        (&name, now),
        progress,
    )?)
}

/// Unpacks the backup `file` into the new or empty folder `into`.
pub fn restore(
    disk: &dyn Disk,
    file: &Path,
    into: &Path,
    progress: Progress<'_>,
) -> Result<Restored, AppError> {
    Ok(backup::restore(disk, &plain(file), &plain(into), progress)?)
}

/// Returns the path without `.` and, as far as it can be told from the path alone, without `..`.
pub(crate) fn plain(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if out.file_name().is_some() => {
                out.pop();
            }
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_way_round_does_not_hide_that_a_file_lies_inside() {
        assert_eq!(plain(Path::new("/a/./b/../c")), Path::new("/a/c"));
        assert_eq!(plain(Path::new("../a")), Path::new("../a"));
    }
}
