//! The practice shop that ships inside the program: invented boards, jobs and people, see demo-data.

use std::path::Path;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::journal;
use crate::store::paths::ShopFolder;
use crate::store::shipped_decks;
use crate::store::shipped_decks::SHIPPED;

/// Every file: its place in the shop folder, its content. `shop.json` is last, since it makes the
/// folder a shop: a run that died half-way leaves no half shop behind.
const FILES: [(&str, &str); 17] = [
    (
        "boards/petrel-p4.json",
        include_str!("../../demo-data/boards/petrel-p4.json"),
    ),
    (
        "boards/skua-e6.json",
        include_str!("../../demo-data/boards/skua-e6.json"),
    ),
    (
        "boards/tern-h3.json",
        include_str!("../../demo-data/boards/tern-h3.json"),
    ),
    (
        "boards/dunlin-s20.json",
        include_str!("../../demo-data/boards/dunlin-s20.json"),
    ),
    (
        "boards/gannet-a2.json",
        include_str!("../../demo-data/boards/gannet-a2.json"),
    ),
    (
        "boards/fulmar-g5.json",
        include_str!("../../demo-data/boards/fulmar-g5.json"),
    ),
    (
        "jobs/practice.jsonl",
        include_str!("../../demo-data/jobs/practice.jsonl"),
    ),
    (
        "people/jo/person.json",
        include_str!("../../demo-data/people/jo/person.json"),
    ),
    (
        "people/jo/b1.jsonl",
        include_str!("../../demo-data/people/jo/b1.jsonl"),
    ),
    (
        "people/jo/b3.jsonl",
        include_str!("../../demo-data/people/jo/b3.jsonl"),
    ),
    (
        "people/pd/person.json",
        include_str!("../../demo-data/people/pd/person.json"),
    ),
    (
        "people/pd/b1.jsonl",
        include_str!("../../demo-data/people/pd/b1.jsonl"),
    ),
    (
        "people/pd/b3.jsonl",
        include_str!("../../demo-data/people/pd/b3.jsonl"),
    ),
    (
        "people/sv/person.json",
        include_str!("../../demo-data/people/sv/person.json"),
    ),
    (
        "people/sv/b1.jsonl",
        include_str!("../../demo-data/people/sv/b1.jsonl"),
    ),
    (
        "people/sv/b3.jsonl",
        include_str!("../../demo-data/people/sv/b3.jsonl"),
    ),
    ("shop.json", include_str!("../../demo-data/shop.json")),
];

/// Tells whether there is a shop in `folder`.
pub fn is_there(disk: &dyn Disk, folder: &Path) -> Result<bool, StoreError> {
    let path = ShopFolder::new(folder).shop_json();
    disk.exists(&path)
        .map_err(StoreError::io("look for", &path))
}

/// Tells whether `folder` holds anything but the beginnings of a practice shop.
pub fn holds_something_else(disk: &dyn Disk, folder: &Path) -> Result<bool, StoreError> {
    let found = journal::list_or_empty(disk, folder)?;
    Ok(found.iter().any(|path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        ![
            "boards",
            "decks",
            "jobs",
            "people",
            "shop.json.lock",
            ".shop.json.new",
        ]
        .contains(&name.as_ref())
    }))
}

/// Writes the practice shop into `folder`, which holds no shop yet.
pub fn write(disk: &dyn Disk, folder: &Path) -> Result<(), StoreError> {
    for (deck, text) in SHIPPED {
        shipped_decks::add(disk, &ShopFolder::new(folder), deck, text)?;
    }
    for (place, text) in FILES {
        let path = folder.join(place);
        disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))?;
    }
    Ok(())
}
