//! The practice shop: invented data that ships inside the program.

use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::Utc;

use crate::app::archive;
use crate::app::archive::BuildOptions;
use crate::app::workbench::AppError;
use crate::domain::text::clean;
use crate::store::disk::Disk;
use crate::store::practice_shop;

/// Where the practice shop is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// Its folder.
    pub folder: PathBuf,
    /// It was made just now.
    pub new: bool,
}

/// Makes the practice shop in `folder`, or goes on with the one that is there.
///
/// `fresh` makes another beside it, named by the moment; nothing that exists is written over.
pub fn make(
    disk: &dyn Disk,
    folder: &Path,
    fresh: bool,
    now: DateTime<Utc>,
) -> Result<Made, AppError> {
    let there = practice_shop::is_there(disk, folder)?;
    let folder = if there && fresh {
        let name = folder.file_name().unwrap_or_default().to_string_lossy();
        folder.with_file_name(format!("{name}-{}", now.format("%Y%m%d-%H%M%S")))
    } else {
        folder.to_owned()
    };
    let new = !practice_shop::is_there(disk, &folder)?;
    if new && practice_shop::holds_something_else(disk, &folder)? {
        return Err(AppError::NotEmpty {
            folder: clean(&folder.to_string_lossy()),
        });
    }
    if new {
        practice_shop::write(disk, &folder)?;
    }
    Ok(Made { folder, new })
}

/// Returns how the practice shop's deck is built.
pub fn deck() -> BuildOptions {
    BuildOptions {
        deck: archive::DEFAULT_DECK.to_owned(),
        name: None,
        boards: Vec::new(),
        families: Vec::new(),
        apply: false,
        person: None,
    }
}
