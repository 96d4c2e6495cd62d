//! The rows of all jobs, kept ready in `cache/jobs.idx`: derived, safe to delete, never trusted over
//! the files.
//!
//! It says from which files it was made (`sources`) and from which `shop.json`; where anything
//! differs, or a byte of the index itself, the files are read again and the index is written anew.
//! A file that changed within two seconds of the writing of the index is not believed unchanged.

use std::path::PathBuf;

use crate::domain::circuit::Circuits;
use crate::domain::job::Job;
use crate::domain::job_row;
use crate::domain::job_row::IndexRow;
use crate::domain::shop::Shop;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::jobs;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::paths::ShopFolder;
use crate::store::sources;
use crate::store::sources::Source;

/// Begins every index; the number rises with the format and with the rules that rows depend on.
const MAGIC: &[u8] = b"benchlore job rows 2\n";
/// The rows of all jobs that count.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rows {
    /// By closing day, number and id.
    pub rows: Vec<IndexRow>,
    /// Damage in the files of jobs.
    pub faults: Vec<Fault>,
    /// Files that could not be read at all.
    pub unread: Vec<Fault>,
    /// They came from the index.
    pub from_index: bool,
}

/// Where the index lies.
pub fn path(folder: &ShopFolder) -> PathBuf {
    folder.cache().join("jobs.idx")
}

/// Returns the rows, from the index where it is fresh, else from the files; then the index is written
/// anew. Failing to write it is no failure.
pub fn load(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
) -> Result<Rows, StoreError> {
    let sources = sources::of_jobs(disk, folder)?;
    if let Some(rows) = read(disk, folder, &sources) {
        return Ok(rows);
    }
    let rows = rebuild(disk, folder, shop, circuits)?;
    // Had a file changed meanwhile, the rows might not be those of `sources`.
    if rows.unread.is_empty() && sources::of_jobs(disk, folder).is_ok_and(|now| now == sources) {
        drop(disk::replace(disk, &path(folder), &encode(&sources, &rows)));
    }
    Ok(rows)
}

/// Reads the rows from the files, whatever the index says.
pub fn rebuild(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
) -> Result<Rows, StoreError> {
    let archive = jobs::load_lean(disk, folder, shop, circuits)?;
    let jobs: Vec<&Job> = archive.jobs.iter().map(|record| &record.job).collect();
    Ok(Rows {
        rows: job_row::rows(&jobs),
        faults: archive.faults,
        unread: archive.unread,
        from_index: false,
    })
}

/// Returns what a fresh index says; none where there is none that can be believed.
pub fn look(disk: &dyn Disk, folder: &ShopFolder) -> Result<Option<Rows>, StoreError> {
    Ok(read(disk, folder, &sources::of_jobs(disk, folder)?))
}

fn read(disk: &dyn Disk, folder: &ShopFolder, sources: &[Source]) -> Option<Rows> {
    let index = path(folder);
    let written = disk.about(&index).ok()?.changed;
    if !sources::settled(sources, written) {
        return None;
    }
    decode(&disk.read(&index).ok()?, sources)
}

fn encode(sources: &[Source], rows: &Rows) -> Vec<u8> {
    let mut body = To::default();
    body.count(rows.faults.len());
    rows.faults.iter().for_each(|fault| body.fault(fault));
    body.count(rows.rows.len());
    rows.rows.iter().for_each(|row| body.row(row));
    let mut out = To::default();
    out.bytes.extend(MAGIC);
    sources::write(sources, &mut out);
    out.count(body.list.len());
    body.list.iter().for_each(|word| out.text(word));
    out.bytes.extend(body.bytes);
    let sum = crc32fast::hash(&out.bytes);
    out.short(sum);
    out.bytes
}

/// Returns the rows of an index that is whole and was made from `sources`.
fn decode(bytes: &[u8], sources: &[Source]) -> Option<Rows> {
    let (body, sum) = bytes.split_at_checked(bytes.len().checked_sub(4)?)?;
    if crc32fast::hash(body) != u32::from_le_bytes(sum.try_into().ok()?) {
        return None;
    }
    let mut from = From {
        bytes: body.strip_prefix(MAGIC)?,
    };
    if !sources::same(sources, &mut from)? {
        return None;
    }
    let mut words = Vec::new();
    for _ in 0..from.count()? {
        words.push(from.text()?);
    }
    let mut faults = Vec::new();
    for _ in 0..from.count()? {
        faults.push(from.fault()?);
    }
    let rows = from.count()?;
    let mut found = Vec::with_capacity(rows);
    for _ in 0..rows {
        found.push(from.row(&words)?);
    }
    from.bytes.is_empty().then_some(Rows {
        rows: found,
        faults,
        unread: Vec::new(),
        from_index: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::faulty::FaultyDisk;
    use crate::store::faulty::Trouble;
    use crate::store::model_disk::ModelDisk;
    use crate::store::shop;
    use std::path::Path;
    use std::sync::Arc;

    const SHOP: &str = r#"{"v":1,"name":"Skerry","boards":[{"id":"petrel-p4"}]}"#;

    fn line(n: usize, more: &str) -> String {
        format!(
            r#"{{"v":1,"id":"a-{n}","job":"W-{n}","closed_on":"2026-03-14","board":"petrel-p4","complaint":["no-power"],"findings":[{{"kind":"rail","where":"5V","got_v":0.1}}],"family":"standby","actions":[{{"act":"replace","part":"U31","role":"the-fix"}}],"outcome":"unknown-so-far"{more}}}"#
        )
    }

    fn folder() -> ShopFolder {
        ShopFolder::new("/shop")
    }

    fn disk() -> ModelDisk {
        let disk = ModelDisk::new();
        disk.put(Path::new("/shop/shop.json"), SHOP.as_bytes());
        let text = [
            line(1, r#","unit":"u1","rev":"B""#),
            line(2, r#","unit":"u1","follows":"W-1""#),
            "broken".to_owned(),
            line(
                3,
                r#","flags":[{"field":"rev","why":"unreadable","raw":"?"}]"#,
            ),
        ];
        disk.put(Path::new("/shop/jobs/a.jsonl"), text.join("\n").as_bytes());
        disk.put(Path::new("/shop/jobs/b.jsonl"), line(4, "").as_bytes());
        disk
    }

    fn rows(disk: &dyn Disk) -> Rows {
        let (record, _) = shop::load_shop(disk, &folder()).unwrap();
        load(disk, &folder(), &record.shop, &record.shop.circuits()).unwrap()
    }

    /// The rows without where they came from.
    fn plain(rows: &Rows) -> Rows {
        Rows {
            from_index: false,
            ..rows.clone()
        }
    }

    #[test]
    fn the_second_reading_comes_from_the_index_and_says_the_same() {
        let disk = disk();
        let first = rows(&disk);
        assert!(!first.from_index);
        assert_eq!((first.rows.len(), first.faults.len()), (4, 1));
        assert!(first.rows[0].came_again && !first.rows[1].came_again);
        assert_eq!(first.rows[2].flags, 1);
        let second = rows(&disk);
        assert!(second.from_index);
        assert_eq!(plain(&second), first);
    }

    #[test]
    fn any_change_of_the_files_is_seen() {
        let jobs = Path::new("/shop/jobs/b.jsonl");
        let changes: [&dyn Fn(&ModelDisk); 5] = [
            &|disk| disk.put(jobs, line(5, "").as_bytes()),
            &|disk| disk.put(jobs, b""),
            &|disk| disk.remove(jobs).unwrap(),
            &|disk| disk.put(Path::new("/shop/jobs/c.jsonl"), line(6, "").as_bytes()),
            &|disk| {
                let text = SHOP.replace("\"boards\"", "\"warranty_days\":30,\"boards\"");
                disk.put(Path::new("/shop/shop.json"), text.as_bytes());
            },
        ];
        for (n, change) in changes.iter().enumerate() {
            let disk = disk();
            rows(&disk);
            change(&disk);
            let seen = rows(&disk);
            assert!(!seen.from_index, "change {n}");
            let again = rows(&disk);
            assert!(again.from_index);
            assert_eq!(plain(&again), seen);
        }
    }

    #[test]
    fn a_damaged_index_is_read_from_the_files_and_never_believed() {
        let disk = disk();
        let right = rows(&disk);
        let index = path(&folder());
        let whole = disk.read(&index).unwrap();
        for at in 0..whole.len() {
            let mut hit = whole.clone();
            hit[at] ^= 1 << (at % 8);
            disk.put(&index, &hit);
            assert_eq!(look(&disk, &folder()).unwrap(), None, "byte {at}");
            disk.put(&index, &whole[..at]);
            assert_eq!(look(&disk, &folder()).unwrap(), None, "cut at {at}");
        }
        assert_eq!(rows(&disk), right);
        assert!(rows(&disk).from_index);
    }

    #[test]
    fn nonsense_with_a_right_sum_gives_nothing() {
        let disk = disk();
        rows(&disk);
        let index = path(&folder());
        let whole = disk.read(&index).unwrap();
        let end = whole.len() - 4;
        for at in MAGIC.len()..end {
            for value in [0, 0x7f, 0xff] {
                let mut hit = whole.clone();
                hit[at] = value;
                let sum = crc32fast::hash(&hit[..end]);
                hit[end..].copy_from_slice(&sum.to_le_bytes());
                disk.put(&index, &hit);
                // It may be believed, but it neither stops the program nor asks for more memory
                // than the file is long.
                let found = look(&disk, &folder()).unwrap();
                assert!(found.is_none_or(|rows| rows.rows.len() < whole.len()));
            }
        }
    }

    #[test]
    fn an_index_that_cannot_be_written_is_no_failure() {
        let right = rows(&disk());
        let inner: Arc<dyn Disk> = Arc::new(disk());
        let counting = FaultyDisk::new(Arc::clone(&inner), 0, Trouble::Full);
        let (record, _) = shop::load_shop(&counting, &folder()).unwrap();
        let sources = counting.calls();
        let full = FaultyDisk::new(inner, sources, Trouble::Full);
        let circuits = record.shop.circuits();
        let found = load(&full, &folder(), &record.shop, &circuits).unwrap();
        assert_eq!(found, right);
        assert_eq!(look(&full, &folder()).unwrap(), None);
    }
}
