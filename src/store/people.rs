//! Who drills: `people/<person>/person.json`. Their reviews are in [`crate::store::journal`].

use std::path::Path;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::record::person;
use crate::store::record::person::PersonRecord;
use crate::store::shop::read_text;

/// Reads one person; none where the shop has no such person or the file cannot be used.
pub fn load_person(
    disk: &dyn Disk,
    folder: &ShopFolder,
    id: &str,
) -> Result<(Option<PersonRecord>, Vec<Fault>), StoreError> {
    let path = folder.person_json(id)?;
    let there = |path: &Path| disk.exists(path).map_err(StoreError::io("look for", path));
    let going = folder.going(id)?;
    if there(&going)? {
        return Ok((None, vec![unfinished(&going, id)]));
    }
    if !there(&path)? {
        return Ok((None, Vec::new()));
    }
    let (record, faults) = read_text(disk, &path, |text| person::read(text, id))?;
    Ok((record.flatten(), faults))
}

fn unfinished(going: &Path, id: &str) -> Fault {
    let todo = format!("run `benchlore people forget {id}` to finish it");
    Fault::warning(going, format!("the erasure of {id} is not finished"), todo)
}

/// Writes one person, making the folder; a reader sees the old file or the new one.
pub fn save_person(
    disk: &dyn Disk,
    folder: &ShopFolder,
    record: &PersonRecord,
) -> Result<(), StoreError> {
    let path = folder.person_json(&record.person.id)?;
    let text = record.to_text().map_err(|newer| StoreError::Newer {
        path: path.clone(),
        v: newer.v,
    })?;
    disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))
}

/// Reads everyone who has a person.json, by folder name.
pub fn list_people(
    disk: &dyn Disk,
    folder: &ShopFolder,
) -> Result<(Vec<PersonRecord>, Vec<Fault>), StoreError> {
    let mut people = Vec::new();
    let mut faults = Vec::new();
    for path in journal::list_or_empty(disk, &folder.people())? {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.starts_with('.') {
            continue;
        }
        if let Err(bad) = paths::safe_name(&name) {
            faults.push(Fault::damage(
                &path,
                format!("not read: {bad}"),
                "rename the folder",
            ));
            continue;
        }
        let (record, found) = load_person(disk, folder, &name)?;
        people.extend(record);
        faults.extend(found);
    }
    Ok((people, faults))
}
