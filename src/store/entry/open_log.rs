//! Jobs still on a bench: `intake/<bench>.open.jsonl`, append only, each line sealed; one file a bench.

use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;

use crate::domain::intake::open_job::Entry;
use crate::domain::intake::open_job::Event;
use crate::store::appender::Appender;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::lock::Holder;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::record::open_job;
use crate::store::sealed;

/// How a file's name ends.
pub const ENDING: &str = ".open.jsonl";

/// Returns the file that `bench` writes.
pub fn path(folder: &ShopFolder, bench: &str) -> Result<PathBuf, StoreError> {
    let bench = paths::safe_name(bench)?;
    Ok(folder.intake().join(format!("{bench}{ENDING}")))
}

/// Appends one event to the file of `bench`, after `may` has looked at the events of all benches, while
/// nobody else on this bench writes; returns it once it is on the disk.
pub fn append<E: From<StoreError>>(
    disk: &Arc<dyn Disk>,
    folder: &ShopFolder,
    bench: &str,
    holder: &Holder,
    (by, at): (&str, DateTime<Utc>),
    may: impl FnOnce(&[Entry]) -> Result<(String, Event), E>,
) -> Result<Entry, E> {
    let path = path(folder, bench)?;
    let (mut appender, bytes) = Appender::open(Arc::clone(disk), folder.root(), &path, holder)?;
    let scan = sealed::scan(&bytes);
    let own = read_scan(&scan, &path, &mut Vec::new());
    appender.start(own.iter().map(|e| e.seq).max().unwrap_or(0), &scan);
    let (all, _) = load(disk.as_ref(), folder)?;
    let (job, event) = may(&all)?;
    let mut entry = Entry {
        id: String::new(),
        bench: bench.to_owned(),
        seq: 0,
        at: journal::to_millis(at),
        by: by.to_owned(),
        job,
        event,
    };
    let id = |seq: u64| format!("open-{bench}-{seq}");
    let make = |seq| open_job::unsealed(&entry, &id(seq), seq);
    let seq = appender.append(&make, &|_, _| None)?;
    entry.id = id(seq);
    entry.seq = seq;
    Ok(entry)
}

/// Reads the events of all benches, and what is damaged.
pub fn load(disk: &dyn Disk, folder: &ShopFolder) -> Result<(Vec<Entry>, Vec<Fault>), StoreError> {
    let mut entries = Vec::new();
    let mut faults = Vec::new();
    for path in files(disk, folder)? {
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        entries.extend(read_scan(&sealed::scan(&bytes), &path, &mut faults));
    }
    Ok((entries, faults))
}

/// Returns the files of all benches.
pub fn files(disk: &dyn Disk, folder: &ShopFolder) -> Result<Vec<PathBuf>, StoreError> {
    let mut found = journal::list_or_empty(disk, &folder.intake())?;
    found.retain(|path| bench_of(path).is_some());
    Ok(found)
}

fn bench_of(path: &Path) -> Option<String> {
    let name = path.file_name()?.to_str()?;
    let bench = name.strip_suffix(ENDING)?;
    paths::safe_name(bench).ok().map(str::to_owned)
}

fn read_scan(scan: &sealed::Scan<'_>, path: &Path, faults: &mut Vec<Fault>) -> Vec<Entry> {
    let bench = bench_of(path).unwrap_or_default();
    journal::numbered(scan, (path, &bench), open_job::read, |e| e.seq, faults)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;

    #[test]
    fn lines_of_two_benches_are_read_together_and_damage_is_named() {
        let model = ModelDisk::new();
        let disk: Arc<dyn Disk> = Arc::new(model.clone());
        let folder = ShopFolder::new("/shop");
        let at: DateTime<Utc> = "2026-11-20T08:00:00Z".parse().unwrap();
        let holder = Holder {
            who: "mk".to_owned(),
            since: at,
        };
        let log = |bench: &str, words: &str| {
            let event = Event::Log {
                words: words.to_owned(),
            };
            let number = "W-1".to_owned();
            append(&disk, &folder, bench, &holder, ("mk", at), |_| {
                Ok::<_, StoreError>((number, event))
            })
            .unwrap()
        };
        assert_eq!(log("b7", "one").id, "open-b7-1");
        assert_eq!(log("b9", "two").seq, 1);
        assert_eq!(log("b7", "three").seq, 2);
        let (entries, faults) = load(disk.as_ref(), &folder).unwrap();
        assert_eq!((entries.len(), faults.len()), (3, 0));
        let path = path(&folder, "b7").unwrap();
        let bytes = disk.read(&path).unwrap();
        let hit = String::from_utf8(bytes).unwrap().replace("one", "0ne");
        model.put(&path, hit.as_bytes());
        let (entries, faults) = load(disk.as_ref(), &folder).unwrap();
        // The hit line is named, and that its number is missing.
        assert_eq!((entries.len(), faults.len()), (2, 2));
        assert!(path_of("../x").is_err() && path_of("B").is_err());
    }

    fn path_of(bench: &str) -> Result<PathBuf, StoreError> {
        path(&ShopFolder::new("/shop"), bench)
    }
}
