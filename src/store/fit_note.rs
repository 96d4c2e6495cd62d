//! How many scored reviews each person had when a fit was last tried unasked: `cache/fit.json`.
//!
//! It spares the program a fit that was refused before. Safe to delete at any time: the fit is then tried
//! once more on the same reviews, with the same result. A note that cannot be read counts as none.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Deserialize;
use serde::Serialize;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::paths::ShopFolder;

#[derive(Default, Deserialize, Serialize)]
struct Note {
    v: u32,
    tried: BTreeMap<String, usize>,
}

/// Where it lies.
pub fn path(folder: &ShopFolder) -> PathBuf {
    folder.cache().join("fit.json")
}

/// Returns the number of scored reviews that the last try for `person` looked at; 0 without one.
pub fn tried(disk: &dyn Disk, folder: &ShopFolder, person: &str) -> usize {
    load(disk, folder).tried.get(person).copied().unwrap_or(0)
}

/// Notes that a try for `person` looks at so many scored reviews.
pub fn note(
    disk: &dyn Disk,
    folder: &ShopFolder,
    person: &str,
    scored: usize,
) -> Result<(), StoreError> {
    let mut note = load(disk, folder);
    note.v = 1;
    note.tried.insert(person.to_owned(), scored);
    let path = path(folder);
    let text = serde_json::to_string(&note).unwrap_or_default() + "\n";
    disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))
}

fn load(disk: &dyn Disk, folder: &ShopFolder) -> Note {
    let bytes = disk.read(&path(folder)).unwrap_or_default();
    serde_json::from_slice(&bytes).unwrap_or_default()
}
