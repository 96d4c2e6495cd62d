//! Closed jobs: jobs/*.jsonl. The program appends to `jobs/<bench>.jsonl`; all files are read.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

use crate::domain::circuit::Circuits;
use crate::domain::ids;
use crate::domain::job::Job;
use crate::domain::shop::Shop;
use crate::store::appender;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::paths::ShopFolder;
use crate::store::record::job;
use crate::store::record::job::JobRecord;
use crate::store::record::job::JobRules;
use crate::store::settle;
use crate::store::settle::Placed;
use crate::store::text_lines::text_lines;

/// All jobs of a shop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Archive {
    /// Those that count, by closing day, number and id.
    pub jobs: Vec<JobRecord>,
    /// Those that contradict each other: kept out of answers until someone says.
    pub disputed: Vec<JobRecord>,
    /// Those that a later line corrects.
    pub replaced: Vec<JobRecord>,
    /// Damage found on the way.
    pub faults: Vec<Fault>,
    /// Files that could not be read at all; they are named among the faults too.
    pub unread: Vec<Fault>,
    /// Mark of the jobs that count, whatever files they lie in.
    pub fingerprint: String,
    /// Where each of `jobs` stands: file, and line from 1.
    pub places: Vec<(PathBuf, u64)>,
    /// Where each of `disputed` stands.
    pub disputed_places: Vec<(PathBuf, u64)>,
    /// Where each of `replaced` stands.
    pub replaced_places: Vec<(PathBuf, u64)>,
    /// Numbers of the jobs on lines with a fault of their own, as far as they can be read.
    pub numbers: BTreeMap<(PathBuf, u64), String>,
}

/// Reads all jobs of the shop.
pub fn load_jobs(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
) -> Result<Archive, StoreError> {
    let mut whole = |record: JobRecord, text: &str| (record, text.to_owned());
    let read = read_files(disk, folder, shop, circuits, &mut whole)?;
    Ok(archive(read))
}

/// Reads all jobs of the shop for looking at them alone: without the fields that [`Job`] does not
/// hold, and with a fingerprint that is another than that of [`load_jobs`].
///
/// A large archive takes a third of the memory.
pub fn load_lean(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
) -> Result<Archive, StoreError> {
    let mut lean = |record: JobRecord, text: &str| (JobRecord::new(record.job), mark(text));
    let read = read_files(disk, folder, shop, circuits, &mut lean)?;
    Ok(archive(read))
}

/// Returns the mark of an archive from the marks of its lines, in any order.
///
/// A sum, so that it can be told from the marks that an index keeps, and changed by one line.
pub(crate) fn fingerprint(lines: impl Iterator<Item = u128>) -> String {
    let (sum, n) = lines.fold((0_u128, 0_usize), |(sum, n), mark| {
        (sum.wrapping_add(mark), n + 1)
    });
    ids::long_mark([&*format!("{sum:032x}"), &*n.to_string()])
}

/// Stands for a line where only sameness matters.
fn mark(text: &str) -> String {
    format!("{}{}", ids::long_mark([text]), text.len())
}

/// What is left of the jobs after each went by.
pub(crate) struct Passed {
    /// Those that count, by closing day, number and id: which one it was, counted from 0.
    pub(crate) order: Vec<u32>,
    /// What tells whether a unit came again, of every job that went by.
    pub(crate) jobs: Vec<Job>,
    /// Damage found.
    pub(crate) faults: Vec<Fault>,
    /// Files that could not be read at all.
    pub(crate) unread: Vec<Fault>,
}

/// Shows every job line that can be read to `see`, and keeps of them what tells which ones count.
pub(crate) fn pass_by(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
    see: &mut dyn FnMut(&JobRecord, usize),
) -> Result<Passed, StoreError> {
    let mut bytes = 0;
    let mut bare = |record: JobRecord, text: &str| {
        bytes += text.len() + 1;
        see(&record, bytes);
        let job = Job {
            complaint: Vec::new(),
            findings: Vec::new(),
            contributing: Vec::new(),
            actions: Vec::new(),
            proof: None,
            environment: Vec::new(),
            source: None,
            flags: Vec::new(),
            ..record.job
        };
        (JobRecord::new(job), mark(text))
    };
    let read = read_files(disk, folder, shop, circuits, &mut bare)?;
    // Lines come file by file and rising: the nth line that was read, by where it stands.
    let mut files: Vec<(PathBuf, Vec<(u64, u32)>)> = Vec::new();
    for (line, nth) in read.placed.iter().zip(0..) {
        if files.last().is_none_or(|(path, _)| *path != line.path) {
            files.push((line.path.clone(), Vec::new()));
        }
        if let Some((_, lines)) = files.last_mut() {
            lines.push((line.line, nth));
        }
    }
    let archive = archive(read);
    let nth = |(path, line): &(PathBuf, u64)| {
        let (_, lines) = files.iter().find(|(of, _)| of == path)?;
        let at = lines.binary_search_by_key(line, |(line, _)| *line).ok()?;
        Some(lines[at].1)
    };
    let order: Option<Vec<u32>> = archive.places.iter().map(nth).collect();
    Ok(Passed {
        order: order.expect("every line that counts was read"),
        jobs: archive.jobs.into_iter().map(|record| record.job).collect(),
        faults: archive.faults,
        unread: archive.unread,
    })
}

/// All lines of all files.
struct Read {
    placed: Vec<Placed>,
    faults: Vec<Fault>,
    unread: Vec<Fault>,
    numbers: BTreeMap<(PathBuf, u64), String>,
}

/// What to keep of a job line.
type Keep<'a> = &'a mut dyn FnMut(JobRecord, &str) -> (JobRecord, String);

fn read_files(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
    keep: Keep<'_>,
) -> Result<Read, StoreError> {
    let boards: BTreeSet<String> = shop.boards.iter().map(|b| b.id.clone()).collect();
    let rules = JobRules {
        circuits,
        boards: &boards,
    };
    let mut read = Read {
        placed: Vec::new(),
        faults: Vec::new(),
        unread: Vec::new(),
        numbers: BTreeMap::new(),
    };
    let mut paths = journal::list_or_empty(disk, &folder.jobs())?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "jsonl"));
    for path in paths {
        match disk.read(&path) {
            Ok(bytes) => {
                let from = read.faults.len();
                read_lines(&bytes, &path, rules, &mut read, keep);
                let numbers = numbers_of(&bytes, &path, &read.faults[from..]);
                read.numbers.extend(numbers);
            }
            Err(error) => read.unread.push(Fault::damage(
                &path,
                format!("not read: {error}"),
                "see to the file and try again",
            )),
        }
    }
    Ok(read)
}

/// Sorts lines into those that count and the others.
fn archive(read: Read) -> Archive {
    let Read {
        placed,
        mut faults,
        unread,
        numbers,
    } = read;
    faults.extend(unread.iter().cloned());
    let settled = settle::settle(placed);
    faults.extend(settled.faults);
    faults.sort_by(|a, b| (&a.path, a.line).cmp(&(&b.path, b.line)));
    let marks = settled.live.iter().map(|p| ids::wide_mark([&*p.text]));
    let fingerprint = fingerprint(marks);
    let (jobs, lines) = in_order(settled.live);
    let (disputed, disputed_places) = in_order(settled.disputed);
    let (replaced, replaced_places) = in_order(settled.replaced);
    Archive {
        jobs,
        disputed,
        replaced,
        faults,
        unread,
        fingerprint,
        places: lines,
        disputed_places,
        replaced_places,
        numbers,
    }
}

fn in_order(mut placed: Vec<Placed>) -> (Vec<JobRecord>, Vec<(PathBuf, u64)>) {
    placed.sort_by(|a, b| {
        let (a, b) = (&a.record.job, &b.record.job);
        (a.closed_on, &a.job, &a.id).cmp(&(b.closed_on, &b.job, &b.id))
    });
    placed
        .into_iter()
        .map(|p| (p.record, (p.path, p.line)))
        .unzip()
}

/// Returns the numbers of the jobs on the lines of `faults`, as far as they can be read.
fn numbers_of(bytes: &[u8], path: &Path, faults: &[Fault]) -> BTreeMap<(PathBuf, u64), String> {
    let lines: BTreeSet<u64> = faults.iter().filter_map(|fault| fault.line).collect();
    if lines.is_empty() {
        return BTreeMap::new();
    }
    text_lines(bytes)
        .into_iter()
        .filter(|(line, _)| lines.contains(line))
        .filter_map(|(line, text)| Some(((path.to_owned(), line), job::number(text.ok()?)?)))
        .collect()
}

/// Returns the lines at `places` as they stand in their files, in the order asked for.
pub fn lines_at(disk: &dyn Disk, places: &[(PathBuf, u64)]) -> Result<Vec<String>, StoreError> {
    let mut wanted: BTreeMap<&Path, BTreeMap<u64, usize>> = BTreeMap::new();
    for (at, (path, line)) in places.iter().enumerate() {
        wanted.entry(path).or_default().insert(*line, at);
    }
    let mut found = vec![String::new(); places.len()];
    for (path, lines) in wanted {
        let bytes = disk.read(path).map_err(StoreError::io("read", path))?;
        for (line, text) in text_lines(&bytes) {
            if let (Some(at), Ok(text)) = (lines.get(&line), text) {
                text.clone_into(&mut found[*at]);
            }
        }
    }
    Ok(found)
}

fn read_lines(bytes: &[u8], path: &Path, rules: JobRules<'_>, read: &mut Read, keep: Keep<'_>) {
    for (line, text) in text_lines(bytes) {
        let text = match text {
            Ok(text) => text,
            Err(why) => {
                let todo = "write the line again, or restore it from a backup";
                read.faults.push(Fault::damage(path, why, todo).at(line));
                continue;
            }
        };
        let (record, problems) = job::read(text, rules);
        let problems = problems.into_iter();
        read.faults.extend(problems.map(|p| p.at(path, line)));
        if let Some(record) = record {
            let (record, text) = keep(record, text);
            read.placed.push(Placed {
                record,
                path: path.to_owned(),
                line,
                text,
            });
        }
    }
}

/// Appends jobs to the file of `bench` in one write and returns once they are on the disk.
///
/// After [`StoreError::NotKept`] the same call again is safe: identical lines count once.
pub fn append_jobs(
    disk: &dyn Disk,
    folder: &ShopFolder,
    bench: &str,
    holder: &Holder,
    records: &[JobRecord],
) -> Result<(), StoreError> {
    let path = folder.jobs_of(bench)?;
    let text = lines_of(&path, records)?;
    if text.is_empty() {
        return Ok(());
    }
    disk.make_folder(&folder.jobs())
        .map_err(StoreError::io("make", &folder.jobs()))?;
    let _guard = lock::take(disk, &path, holder)?;
    append(disk, folder, &path, text)
}

/// Reads all jobs while nobody else on this bench may write, asks `change` for the lines to append,
/// and appends them in one write; returns what `change` said once they are on the disk.
///
/// An empty list writes nothing. Existing lines are never touched.
pub fn change_jobs<T, E: From<StoreError>>(
    disk: &dyn Disk,
    folder: &ShopFolder,
    bench: &str,
    holder: &Holder,
    shop: &Shop,
    change: impl FnOnce(&Archive) -> Result<(Vec<JobRecord>, T), E>,
) -> Result<T, E> {
    let path = folder.jobs_of(bench).map_err(StoreError::from)?;
    disk.make_folder(&folder.jobs())
        .map_err(StoreError::io("make", &folder.jobs()))?;
    let _guard = lock::take(disk, &path, holder)?;
    let archive = load_jobs(disk, folder, shop, &shop.circuits())?;
    let (records, said) = change(&archive)?;
    let text = lines_of(&path, &records)?;
    if !text.is_empty() {
        append(disk, folder, &path, text)?;
    }
    Ok(said)
}

/// Tells why the job file of `bench` cannot be written, if the system forbids it.
pub fn why_read_only(
    disk: &dyn Disk,
    folder: &ShopFolder,
    bench: &str,
    holder: &Holder,
) -> Result<Option<StoreError>, StoreError> {
    let path = folder.jobs_of(bench)?;
    let taken = disk
        .make_folder(&folder.jobs())
        .map_err(StoreError::io("make", &folder.jobs()))
        .and_then(|()| lock::take(disk, &path, holder).map(drop));
    match taken {
        Ok(()) | Err(StoreError::Busy { .. }) => Ok(None),
        Err(error) => Ok(Some(error)),
    }
}

fn lines_of(path: &Path, records: &[JobRecord]) -> Result<String, StoreError> {
    let mut text = String::new();
    for record in records {
        let line = record.to_line().map_err(|newer| StoreError::Newer {
            path: path.to_owned(),
            v: newer.v,
        })?;
        text.push_str(&line);
        text.push('\n');
    }
    Ok(text)
}

fn append(
    disk: &dyn Disk,
    folder: &ShopFolder,
    path: &Path,
    mut text: String,
) -> Result<(), StoreError> {
    let before = appender::read_or_empty(disk, path)?;
    if before.last().is_some_and(|b| *b != b'\n') {
        text.insert(0, '\n');
    }
    appender::put_once(disk, path, folder.root(), text.as_bytes()).map_err(|source| {
        StoreError::NotKept {
            path: path.to_owned(),
            source,
        }
    })
}
