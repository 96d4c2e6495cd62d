//! Where things are in a shop folder, and how the shop is found.
//!
//! Ids that become file names are checked first, so that no path leaves the shop. The environment
//! is not read here: its values are arguments.

use std::path::Path;
use std::path::PathBuf;

use crate::store::disk::Disk;
use crate::store::error::StoreError;

/// A name that may not be used for a file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{name:?} cannot be a file name: {why}")]
pub struct BadName {
    /// The name.
    pub name: String,
    /// Why not.
    pub why: &'static str,
}

/// Names that some systems keep for devices.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// Returns `name` if it may be a file name on every system: `a-z 0-9 - _`, at most 64.
pub fn safe_name(name: &str) -> Result<&str, BadName> {
    let why = if name.is_empty() {
        "it is empty"
    } else if name.len() > 64 {
        "it is longer than 64"
    } else if !name
        .bytes()
        .all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_'))
    {
        "only a-z, 0-9, - and _ may stand in it"
    } else if name.starts_with('-') {
        "it starts with a hyphen"
    } else if DEVICES.contains(&name.trim_end_matches(|c: char| c.is_ascii_digit())) {
        "some systems keep that name for a device"
    } else {
        return Ok(name);
    };
    Err(BadName {
        name: name.to_owned(),
        why,
    })
}

/// The layout of one shop folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopFolder {
    root: PathBuf,
}

impl ShopFolder {
    /// Returns the layout under `root`.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into() }
    }

    /// Returns the folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Returns `shop.json`.
    pub fn shop_json(&self) -> PathBuf {
        self.root.join("shop.json")
    }

    /// Returns the folder of board files.
    pub fn boards(&self) -> PathBuf {
        self.root.join("boards")
    }

    /// Returns the file of one board.
    pub fn board(&self, board: &str) -> Result<PathBuf, BadName> {
        file(&self.boards(), board, "json")
    }

    /// Returns the folder of job files.
    pub fn jobs(&self) -> PathBuf {
        self.root.join("jobs")
    }

    /// Returns the job file that `bench` writes.
    pub fn jobs_of(&self, bench: &str) -> Result<PathBuf, BadName> {
        file(&self.jobs(), bench, "jsonl")
    }

    /// Returns the folder of decks.
    pub fn decks(&self) -> PathBuf {
        self.root.join("decks")
    }

    /// Returns the file of one deck.
    pub fn deck(&self, deck: &str) -> Result<PathBuf, BadName> {
        file(&self.decks(), deck, "json")
    }

    /// Returns what is noted of the deck called `deck` as a build wrote it.
    pub fn built(&self, deck: &str) -> Result<PathBuf, BadName> {
        file(&self.cache(), deck, "built")
    }

    /// Returns the folder of edits.
    pub fn edits(&self) -> PathBuf {
        self.root.join("edits")
    }

    /// Returns the edit journal that `bench` writes.
    pub fn edits_of(&self, bench: &str) -> Result<PathBuf, BadName> {
        file(&self.edits(), bench, "jsonl")
    }

    /// Returns the folder of people.
    pub fn people(&self) -> PathBuf {
        self.root.join("people")
    }

    /// Returns the folder of one person.
    pub fn person(&self, person: &str) -> Result<PathBuf, BadName> {
        Ok(self.people().join(safe_name(person)?))
    }

    /// Returns the file that says who a person is.
    pub fn person_json(&self, person: &str) -> Result<PathBuf, BadName> {
        Ok(self.person(person)?.join("person.json"))
    }

    /// Returns the file that lies in a person's folder while the person is being erased.
    pub fn going(&self, person: &str) -> Result<PathBuf, BadName> {
        Ok(self.person(person)?.join("going.json"))
    }

    /// Returns the review journal of a person that `bench` writes.
    pub fn journal(&self, person: &str, bench: &str) -> Result<PathBuf, BadName> {
        file(&self.person(person)?, bench, "jsonl")
    }

    /// Returns the folder of sheets being worked through.
    pub fn intake(&self) -> PathBuf {
        self.root.join("intake")
    }

    /// Returns the journal of decisions about the backlog that `bench` writes.
    pub fn intake_of(&self, bench: &str) -> Result<PathBuf, BadName> {
        file(&self.intake(), bench, "jsonl")
    }

    /// Returns the folder of derived files.
    pub fn cache(&self) -> PathBuf {
        self.root.join("cache")
    }
}

fn file(folder: &Path, name: &str, ending: &str) -> Result<PathBuf, BadName> {
    Ok(folder.join(format!("{}.{ending}", safe_name(name)?)))
}

/// Where a shop may be, in the order of trying.
#[derive(Clone, Copy, Debug, Default)]
pub struct Surroundings<'a> {
    /// `--shop DIR`.
    pub told: Option<&'a Path>,
    /// The value of `BENCHLORE_SHOP`; empty counts as absent.
    pub environment: Option<&'a Path>,
    /// The folder the command was started in.
    pub here: Option<&'a Path>,
    /// The platform's data folder for this program.
    pub data: Option<&'a Path>,
}

/// No shop where one was looked for.
#[derive(Debug, thiserror::Error)]
pub enum FindError {
    /// The named folder has no `shop.json`.
    #[error("{} is no shop: it has no shop.json ({named_by})", folder.display())]
    NotAShop {
        /// The folder.
        folder: PathBuf,
        /// What named it.
        named_by: &'static str,
    },
    /// Nothing was named and nothing found.
    #[error("no shop.json here, above, or in the data folder")]
    Nowhere,
    /// The disk refused.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Returns the shop: the one told, else the environment's, else the nearest `shop.json` upward,
/// else the data folder's. A named folder that is no shop is an error, not a reason to look on.
pub fn find_shop(disk: &dyn Disk, around: Surroundings<'_>) -> Result<ShopFolder, FindError> {
    let environment = around.environment.filter(|p| !p.as_os_str().is_empty());
    for (named, named_by) in [(around.told, "--shop"), (environment, "BENCHLORE_SHOP")] {
        if let Some(folder) = named {
            return if is_shop(disk, folder)? {
                Ok(ShopFolder::new(folder))
            } else {
                Err(FindError::NotAShop {
                    folder: folder.to_owned(),
                    named_by,
                })
            };
        }
    }
    let upward = around.here.into_iter().flat_map(Path::ancestors);
    for folder in upward.chain(around.data) {
        if is_shop(disk, folder)? {
            return Ok(ShopFolder::new(folder));
        }
    }
    Err(FindError::Nowhere)
}

fn is_shop(disk: &dyn Disk, folder: &Path) -> Result<bool, StoreError> {
    let path = ShopFolder::new(folder).shop_json();
    disk.exists(&path)
        .map_err(StoreError::io("look for", &path))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;
    use proptest::prelude::*;

    #[test]
    fn hostile_names_are_refused() {
        for name in [
            "", "..", "a/b", "a\\b", "A", "é", "a.b", "-rf", "con", "com1", "nul", "a\0",
        ] {
            assert!(safe_name(name).is_err(), "{name:?}");
        }
        for name in ["petrel-p4", "b7", "mk", "_x", "console", "company1"] {
            assert_eq!(safe_name(name), Ok(name));
        }
        assert!(safe_name(&"a".repeat(65)).is_err());
    }

    #[test]
    fn the_shop_is_found_in_the_stated_order() {
        let disk = ModelDisk::new();
        for folder in ["/told", "/env", "/near/shop", "/data"] {
            disk.put(&Path::new(folder).join("shop.json"), b"{}");
        }
        let mut around = Surroundings {
            told: Some(Path::new("/told")),
            environment: Some(Path::new("/env")),
            here: Some(Path::new("/near/shop/jobs/deep")),
            data: Some(Path::new("/data")),
        };
        let root = |around| find_shop(&disk, around).map(|s| s.root().to_owned());
        assert_eq!(root(around).unwrap(), Path::new("/told"));
        around.told = None;
        assert_eq!(root(around).unwrap(), Path::new("/env"));
        around.environment = Some(Path::new(""));
        assert_eq!(root(around).unwrap(), Path::new("/near/shop"));
        around.here = Some(Path::new("/elsewhere"));
        assert_eq!(root(around).unwrap(), Path::new("/data"));
        around.data = None;
        assert!(matches!(root(around), Err(FindError::Nowhere)));
        around.told = Some(Path::new("/home"));
        assert!(matches!(root(around), Err(FindError::NotAShop { .. })));
    }

    proptest! {
        #[test]
        fn no_name_leaves_the_shop(name in "\\PC{0,12}|[./\\\\a-z]{0,8}") {
            let shop = ShopFolder::new("/shop");
            if let Ok(path) = shop.journal(&name, &name) {
                prop_assert!(path.starts_with("/shop/people"));
                prop_assert!(path.components().all(|c| c.as_os_str() != ".."));
                prop_assert_eq!(path.components().count(), 5);
            }
        }
    }
}
