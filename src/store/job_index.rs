//! The rows of all jobs, kept ready in `cache/jobs.idx`: derived, safe to delete, never trusted over
//! the files.
//!
//! It says from which files it was made (name, length, time of the last change, check sums of the
//! first and last 4 KiB) and from which `shop.json`; where anything differs, or a byte of the index
//! itself, the files are read again and the index is written anew. A file that changed within two
//! seconds of the writing of the index is not believed unchanged. What is not noticed: a change in
//! the middle of a file that keeps its length and sets its time back.

use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use chrono::Datelike;
use chrono::NaiveDate;

use crate::domain::circuit::Circuits;
use crate::domain::generate::tier::Against;
use crate::domain::generate::tier::Missing;
use crate::domain::generate::tier::Tier;
use crate::domain::job::BounceCause;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job_row;
use crate::domain::job_row::IndexRow;
use crate::domain::shop::Shop;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::fault::Weight;
use crate::store::jobs;
use crate::store::journal;
use crate::store::paths::ShopFolder;

/// Begins every index; the number rises with the format and with the rules that rows depend on.
const MAGIC: &[u8] = b"benchlore job rows 1\n";
/// Bytes at both ends of a file that are summed.
const END: usize = 4096;
/// Nanoseconds within which two times of change cannot be told apart.
const TICK: u64 = 2_000_000_000;

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
    let sources = sources(disk, folder)?;
    if let Some(rows) = read(disk, folder, &sources) {
        return Ok(rows);
    }
    let rows = rebuild(disk, folder, shop, circuits)?;
    // Had a file changed meanwhile, the rows might not be those of `sources`.
    if rows.unread.is_empty() && self::sources(disk, folder).is_ok_and(|now| now == sources) {
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
    let archive = jobs::load_jobs(disk, folder, shop, circuits)?;
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
    Ok(read(disk, folder, &sources(disk, folder)?))
}

fn read(disk: &dyn Disk, folder: &ShopFolder, sources: &[Source]) -> Option<Rows> {
    let index = path(folder);
    let written = disk.about(&index).ok()?.changed;
    if sources
        .iter()
        .any(|s| s.changed.saturating_add(TICK) >= written)
    {
        return None;
    }
    decode(&disk.read(&index).ok()?, sources)
}

/// A file that rows were made from.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Source {
    path: PathBuf,
    len: u64,
    changed: u64,
    head: u32,
    tail: u32,
}

fn sources(disk: &dyn Disk, folder: &ShopFolder) -> Result<Vec<Source>, StoreError> {
    let mut paths = journal::list_or_empty(disk, &folder.jobs())?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "jsonl"));
    paths.push(folder.shop_json());
    let look = |path: PathBuf| {
        source(disk, &path).map_err(|error| StoreError::io("look at", &path)(error))
    };
    paths.into_iter().map(look).collect()
}

fn source(disk: &dyn Disk, path: &Path) -> io::Result<Source> {
    let about = disk.about(path)?;
    let head = disk.read_part(path, 0, END)?;
    let tail = disk.read_part(path, about.len.saturating_sub(END as u64), END)?;
    Ok(Source {
        path: path.to_owned(),
        len: about.len,
        changed: about.changed,
        head: crc32fast::hash(&head),
        tail: crc32fast::hash(&tail),
    })
}

const TIERS: [Tier; 9] = [
    Tier::A,
    Tier::B(Missing::Proof),
    Tier::B(Missing::Reading),
    Tier::B(Missing::Held),
    Tier::C,
    Tier::X(Against::Diagnosis),
    Tier::X(Against::Guessed),
    Tier::X(Against::Contradictory),
    Tier::NoFix,
];

fn place<T: PartialEq>(all: &[T], value: &T) -> u8 {
    let at = all.iter().position(|v| v == value).unwrap_or(usize::MAX);
    u8::try_from(at).unwrap_or(u8::MAX)
}

/// Writes numbers as little-endian bytes, texts after their length, and words that come again and
/// again as numbers.
#[derive(Default)]
struct To {
    bytes: Vec<u8>,
    words: BTreeMap<String, u32>,
    list: Vec<String>,
}

impl To {
    fn byte(&mut self, n: u8) {
        self.bytes.push(n);
    }

    fn number(&mut self, n: u64) {
        self.bytes.extend(n.to_le_bytes());
    }

    fn short(&mut self, n: u32) {
        self.bytes.extend(n.to_le_bytes());
    }

    fn count(&mut self, n: usize) {
        self.short(u32::try_from(n).unwrap_or(u32::MAX));
    }

    fn text(&mut self, text: &str) {
        self.count(text.len());
        self.bytes.extend(text.as_bytes());
    }

    fn maybe(&mut self, text: Option<&str>) {
        self.byte(u8::from(text.is_some()));
        if let Some(text) = text {
            self.text(text);
        }
    }

    fn word(&mut self, word: &str) {
        let at = self.words.get(word).copied().unwrap_or_else(|| {
            let at = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
            self.list.push(word.to_owned());
            self.words.insert(word.to_owned(), at);
            at
        });
        self.short(at);
    }

    fn fault(&mut self, fault: &Fault) {
        self.text(&fault.path.to_string_lossy());
        self.number(fault.line.unwrap_or(0));
        self.maybe(fault.field.as_deref());
        self.text(&fault.why);
        self.text(&fault.todo);
        self.byte(u8::from(fault.weight == Weight::Warning));
    }

    fn row(&mut self, row: &IndexRow) {
        self.text(&row.job);
        // Most lines have the number for an id or an id of their own.
        self.maybe(Some(row.id.as_str()).filter(|id| *id != row.job));
        self.bytes
            .extend(row.closed_on.num_days_from_ce().to_le_bytes());
        self.word(&row.board);
        self.word(row.rev.as_deref().unwrap_or("\0"));
        self.word(row.family.as_deref().unwrap_or("\0"));
        self.count(row.complaint.len());
        row.complaint.iter().for_each(|word| self.word(word));
        self.count(row.fix.len());
        for (act, part) in &row.fix {
            self.word(act);
            self.word(part);
        }
        self.word(row.no_fix_reason.as_deref().unwrap_or("\0"));
        self.byte(place(&Outcome::ALL, &row.outcome));
        let cause = row
            .bounce_cause
            .map(|cause| place(&BounceCause::ALL, &cause));
        self.byte(cause.unwrap_or(u8::MAX));
        self.maybe(row.follows.as_deref());
        self.byte(u8::from(row.unit_known) | (u8::from(row.came_again) << 1));
        self.count(row.flags);
        self.byte(place(&TIERS, &row.tier_if_held));
        self.byte(place(&TIERS, &row.tier_if_not));
    }
}

fn encode(sources: &[Source], rows: &Rows) -> Vec<u8> {
    let mut body = To::default();
    body.count(rows.faults.len());
    rows.faults.iter().for_each(|fault| body.fault(fault));
    body.count(rows.rows.len());
    rows.rows.iter().for_each(|row| body.row(row));
    let mut out = To::default();
    out.bytes.extend(MAGIC);
    out.count(sources.len());
    for source in sources {
        out.text(&source.path.to_string_lossy());
        out.number(source.len);
        out.number(source.changed);
        out.short(source.head);
        out.short(source.tail);
    }
    out.count(body.list.len());
    body.list.iter().for_each(|word| out.text(word));
    out.bytes.extend(body.bytes);
    let sum = crc32fast::hash(&out.bytes);
    out.short(sum);
    out.bytes
}

/// Reads what [`To`] wrote; anything else gives none.
struct From<'a> {
    bytes: &'a [u8],
}

impl<'a> From<'a> {
    fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.bytes.split_at_checked(n)?;
        self.bytes = rest;
        Some(taken)
    }

    fn byte(&mut self) -> Option<u8> {
        Some(self.take(1)?[0])
    }

    fn number(&mut self) -> Option<u64> {
        Some(u64::from_le_bytes(self.take(8)?.try_into().ok()?))
    }

    fn short(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.take(4)?.try_into().ok()?))
    }

    /// A number of things still to come, each at least a byte long.
    fn count(&mut self) -> Option<usize> {
        let n = usize::try_from(self.short()?).ok()?;
        (n <= self.bytes.len()).then_some(n)
    }

    fn text(&mut self) -> Option<&'a str> {
        let len = self.count()?;
        std::str::from_utf8(self.take(len)?).ok()
    }

    #[expect(
        clippy::option_option,
        reason = "a text that may be absent, in a file that may be damaged"
    )]
    fn maybe(&mut self) -> Option<Option<&'a str>> {
        Some(match self.byte()? {
            0 => None,
            _ => Some(self.text()?),
        })
    }

    fn word(&mut self, words: &[&'a str]) -> Option<&'a str> {
        words.get(usize::try_from(self.short()?).ok()?).copied()
    }

    fn fault(&mut self) -> Option<Fault> {
        Some(Fault {
            path: PathBuf::from(self.text()?),
            line: Some(self.number()?).filter(|n| *n > 0),
            field: self.maybe()?.map(str::to_owned),
            why: self.text()?.to_owned(),
            todo: self.text()?.to_owned(),
            weight: if self.byte()? == 0 {
                Weight::Damage
            } else {
                Weight::Warning
            },
        })
    }

    fn row(&mut self, words: &[&'a str]) -> Option<IndexRow> {
        let job = self.text()?.to_owned();
        let id = self.maybe()?.map_or_else(|| job.clone(), str::to_owned);
        let day = i32::from_le_bytes(self.take(4)?.try_into().ok()?);
        let closed_on = NaiveDate::from_num_days_from_ce_opt(day)?;
        let board = self.word(words)?.to_owned();
        let some = |word: &str| (word != "\0").then(|| word.to_owned());
        let rev = some(self.word(words)?);
        let family = some(self.word(words)?);
        let complaints = self.count()?;
        let mut complaint = Vec::with_capacity(complaints);
        for _ in 0..complaints {
            complaint.push(self.word(words)?.to_owned());
        }
        let fixes = self.count()?;
        let mut fix = Vec::with_capacity(fixes);
        for _ in 0..fixes {
            fix.push((self.word(words)?.to_owned(), self.word(words)?.to_owned()));
        }
        let no_fix_reason = some(self.word(words)?);
        let outcome = *Outcome::ALL.get(usize::from(self.byte()?))?;
        let bounce_cause = match self.byte()? {
            u8::MAX => None,
            at => Some(*BounceCause::ALL.get(usize::from(at))?),
        };
        let follows = self.maybe()?.map(str::to_owned);
        let bits = self.byte()?;
        Some(IndexRow {
            job,
            id,
            closed_on,
            board,
            rev,
            complaint,
            family,
            fix,
            no_fix_reason,
            outcome,
            bounce_cause,
            follows,
            unit_known: bits & 1 > 0,
            came_again: bits & 2 > 0,
            flags: usize::try_from(self.short()?).ok()?,
            tier_if_held: *TIERS.get(usize::from(self.byte()?))?,
            tier_if_not: *TIERS.get(usize::from(self.byte()?))?,
        })
    }
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
    if from.count()? != sources.len() {
        return None;
    }
    for source in sources {
        let same = source.path.to_string_lossy() == from.text()?
            && source.len == from.number()?
            && source.changed == from.number()?
            && source.head == from.short()?
            && source.tail == from.short()?;
        if !same {
            return None;
        }
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
