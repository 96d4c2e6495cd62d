//! The decks of bench rules that ship inside the program, and how a shop gets them.
//!
//! A file that is there is never written over, whatever is in it.

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::paths::ShopFolder;

/// Every shipped deck: its file name without ending, its text.
pub const SHIPPED: [(&str, &str); 2] = [
    ("bench-rules", include_str!("../../decks/bench-rules.json")),
    (
        "bench-safety",
        include_str!("../../decks/bench-safety.json"),
    ),
];

/// What became of a deck that was to be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Added {
    /// It was written.
    New,
    /// The same deck was there; nothing was written.
    Same,
    /// Another file was there under that name; it was left as it is.
    Other,
}

/// Returns the text of the shipped deck called `name`.
pub fn text(name: &str) -> Option<&'static str> {
    SHIPPED
        .iter()
        .find(|(deck, _)| *deck == name)
        .map(|(_, text)| *text)
}

/// Tells whether the shop has a file of that name.
pub fn is_there(disk: &dyn Disk, folder: &ShopFolder, name: &str) -> Result<bool, StoreError> {
    let path = folder.deck(name)?;
    disk.exists(&path)
        .map_err(StoreError::io("look for", &path))
}

/// Puts `text` into the shop as the deck `name`, unless there is a file of that name.
pub fn add(
    disk: &dyn Disk,
    folder: &ShopFolder,
    name: &str,
    text: &str,
) -> Result<Added, StoreError> {
    let path = folder.deck(name)?;
    if is_there(disk, folder, name)? {
        let found = disk.read(&path).map_err(StoreError::io("read", &path))?;
        return Ok(if found == text.as_bytes() {
            Added::Same
        } else {
            Added::Other
        });
    }
    disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))?;
    Ok(Added::New)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::disk::RealDisk;
    use crate::store::record::card::read_deck;

    #[test]
    fn each_is_a_deck_of_its_own_name() {
        for (name, text) in SHIPPED {
            let (deck, problems) = read_deck(text);
            assert!(problems.is_empty(), "{name}: {problems:?}");
            assert_eq!(deck.map(|d| d.deck).as_deref(), Some(name));
        }
        assert_eq!(text("shop"), None);
    }

    #[test]
    fn a_file_that_is_there_stays() {
        let dir = tempfile::tempdir().expect("a folder");
        let folder = ShopFolder::new(dir.path());
        let [(name, text), ..] = SHIPPED;
        let add = || add(&RealDisk, &folder, name, text).expect("the disk works");
        assert_eq!(add(), Added::New);
        assert_eq!(add(), Added::Same);
        let path = folder.deck(name).expect("a name");
        RealDisk.remove(&path).expect("it goes");
        RealDisk.create_new(&path, b"mine").expect("it is written");
        assert_eq!(add(), Added::Other);
        assert_eq!(RealDisk.read(&path).expect("it is there"), b"mine");
    }
}
