//! The form under way: `intake/<bench>-<person>.draft.json`, replaced whole at each change.
//!
//! A reader sees the form as it was or as it is, whatever happens meanwhile. While a form is open its
//! lock is held, so that two windows do not write over each other.

use std::path::PathBuf;

use crate::domain::intake::form::Form;
use crate::store::appender;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Guard;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::record::form;

/// How the file's name ends.
pub const ENDING: &str = ".draft.json";

/// Returns the file of a person's form at a bench.
pub fn path(folder: &ShopFolder, bench: &str, person: &str) -> Result<PathBuf, StoreError> {
    let (bench, person) = (paths::safe_name(bench)?, paths::safe_name(person)?);
    Ok(folder.intake().join(format!("{bench}-{person}{ENDING}")))
}

/// A person's form at this bench; nobody else has it open.
#[derive(Debug)]
pub struct FormFile {
    path: PathBuf,
    _guard: Guard,
}

impl FormFile {
    /// Takes the form and returns what is kept of it.
    pub fn open(
        disk: &dyn Disk,
        folder: &ShopFolder,
        bench: &str,
        person: &str,
        holder: &Holder,
    ) -> Result<(Self, Option<Form>, Vec<Fault>), StoreError> {
        let path = path(folder, bench, person)?;
        let intake = folder.intake();
        let made = disk::make_folders(disk, &intake).map_err(StoreError::io("make", &intake))?;
        disk::sync_above(disk, &made).map_err(StoreError::io("make", &intake))?;
        let guard = lock::take(disk, &path, holder)?;
        let bytes = appender::read_or_empty(disk, &path)?;
        let (kept, faults) = if bytes.is_empty() {
            (None, Vec::new())
        } else {
            let (kept, problems) = form::read(&String::from_utf8_lossy(&bytes));
            let faults = problems.into_iter().map(|p| p.at(&path, 1)).collect();
            (kept, faults)
        };
        let file = Self {
            path,
            _guard: guard,
        };
        if kept.is_none() && !bytes.is_empty() {
            // What cannot be read is never written over: a person may still find words in it.
            return Err(StoreError::Damaged {
                path: file.path,
                faults,
            });
        }
        Ok((file, kept, faults))
    }

    /// Keeps a form.
    pub fn save(&self, disk: &dyn Disk, form: &Form) -> Result<(), StoreError> {
        disk::replace_held(disk, &self.path, form::write(form).as_bytes())
            .map_err(StoreError::io("write", &self.path))
    }

    /// Throws the form away.
    pub fn clear(&self, disk: &dyn Disk) -> Result<(), StoreError> {
        if disk
            .exists(&self.path)
            .map_err(StoreError::io("look for", &self.path))?
        {
            disk.remove(&self.path)
                .map_err(StoreError::io("remove", &self.path))?;
        }
        Ok(())
    }
}

/// Reads the forms of every bench and person: how many there are, and what is damaged.
pub fn look(disk: &dyn Disk, folder: &ShopFolder) -> Result<(usize, Vec<Fault>), StoreError> {
    let mut found = 0;
    let mut faults = Vec::new();
    for path in crate::store::journal::list_or_empty(disk, &folder.intake())? {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.starts_with('.') || !name.ends_with(ENDING) {
            continue;
        }
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        let (form, problems) = form::read(&String::from_utf8_lossy(&bytes));
        faults.extend(problems.into_iter().map(|p| p.at(&path, 1)));
        found += usize::from(form.is_some());
    }
    Ok((found, faults))
}
