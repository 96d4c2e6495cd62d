//! What a build of a deck needs of all jobs, and the finished cards of each board, kept ready in
//! `cache/build.idx`: derived, safe to delete, never trusted over the files.
//!
//! Of each job line it holds where the line lies, its mark, and the few values that are asked about jobs
//! of other boards: which lines count (`settle`), and whether a repair held. A job file that has only
//! grown is read from where it ended, once the check sum of all that was there before is the same; with
//! any other change all files are read anew. The cards of a board are kept with a mark of everything they
//! were made from. How the bytes lie is in `store/build_log.rs`.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use chrono::NaiveDate;
use crc32fast::Hasher;

use crate::domain::circuit::Circuits;
use crate::domain::generate::coded::tier;
use crate::domain::ids;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::shop::Shop;
use crate::store::build_kept::Kept;
use crate::store::build_log;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::job_lines;
use crate::store::job_lines::Light;
use crate::store::jobs;
use crate::store::journal;
use crate::store::paths::ShopFolder;
use crate::store::record::job::JobRecord;
use crate::store::record::job::JobRules;
use crate::store::record::job_fast;
use crate::store::settle;
use crate::store::settle::Placed;
use crate::store::side_by_side;
use crate::store::sources;
use crate::store::sources::Source;
use crate::store::tapes;

/// More new lines than this are settled together with all others: looking for each among them would
/// take longer.
const FEW: usize = 64;

/// Is told how many bytes of how many were read.
pub type Progress<'a> = &'a (dyn Fn(u64, u64) + Sync);

/// A text in the index, or none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Span {
    pub(crate) at: u32,
    pub(crate) len: u32,
}

/// No text.
pub(crate) const NONE: Span = Span {
    at: 0,
    len: u32::MAX,
};

/// One job line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    /// Number of its file.
    pub(crate) file: u32,
    /// Line, from 1.
    pub(crate) line: u32,
    /// Where it begins, in bytes, and its length without the break.
    pub(crate) at: u64,
    pub(crate) len: u32,
    /// Mark of its text.
    pub(crate) mark: u128,
    pub(crate) id: Span,
    pub(crate) job: Span,
    pub(crate) unit: Span,
    pub(crate) follows: Span,
    pub(crate) corrects: Span,
    /// Number of its board.
    pub(crate) board: u32,
    pub(crate) closed_on: NaiveDate,
    pub(crate) outcome: Outcome,
    pub(crate) withdrawn: bool,
    /// It counts.
    pub(crate) live: bool,
    /// Its unit came again.
    pub(crate) again: bool,
}

/// One file of jobs, as far as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct FileNote {
    pub(crate) source: Source,
    /// Check sum of all its bytes.
    pub(crate) sum: u32,
    /// Lines, the last one without a break included.
    pub(crate) lines: u64,
    /// It ends with a break: what is appended begins a line of its own.
    pub(crate) ends_fresh: bool,
    /// Damage in its lines.
    pub(crate) faults: Vec<Fault>,
}

/// The jobs of a board, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The jobs.
    pub jobs: Vec<Job>,
    /// Numbers of those whose units were in the shop again later.
    pub came_again: BTreeSet<String>,
}

impl Found {
    /// Adds the job of a line; none where it is not there any more. `read` says that the bytes are those
    /// that were just read to note it.
    fn add(
        &mut self,
        entry: &Entry,
        (bytes, read): (&[u8], bool),
        rules: JobRules<'_>,
    ) -> Option<()> {
        let text = std::str::from_utf8(bytes).ok()?;
        let same = read || ids::wide_mark([text]) == entry.mark;
        let job = same.then(|| job_fast::read(text, rules).0)??;
        if entry.again {
            self.came_again.insert(job.job.clone());
        }
        self.jobs.push(job);
        Some(())
    }
}

/// The jobs of one board that count.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BoardJobs {
    entries: Vec<usize>,
    all: u128,
    held: u128,
}

impl BoardJobs {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Tells whether there is none.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Returns a text that differs where a line of the board differs, or whether one of them held.
    pub fn mark(&self) -> String {
        format!("{} {:032x} {:032x}", self.len(), self.all, self.held)
    }
}

/// All job lines, and the finished cards of each board.
#[derive(Default)]
pub struct BuildIndex {
    pub(crate) files: Vec<FileNote>,
    pub(crate) entries: Vec<Entry>,
    pub(crate) texts: String,
    pub(crate) boards: Vec<String>,
    pub(crate) kept: BTreeMap<String, Kept>,
    /// What settling the lines found wrong.
    pub(crate) settled: Vec<Fault>,
    /// Mark of the settings that lines are read by.
    pub(crate) settings: u128,
    /// What of it lies in the file already.
    pub(crate) saved: build_log::Saved,
    /// Bytes of the files that were read whole, by their number, for as long as a build goes on.
    bytes: HashMap<u32, Vec<u8>>,
    unread: Vec<Fault>,
}

/// Where the index lies.
pub fn path(folder: &ShopFolder) -> PathBuf {
    folder.cache().join("build.idx")
}

/// The files are not those that the index was made from, with more at their ends.
struct Changed;

/// Why a reading from the index ended.
enum End {
    Changed,
    Failed(StoreError),
}

impl From<Changed> for End {
    fn from(_: Changed) -> Self {
        Self::Changed
    }
}

impl From<StoreError> for End {
    fn from(error: StoreError) -> Self {
        Self::Failed(error)
    }
}

impl BuildIndex {
    /// Reads the job lines, from the index as far as it can be believed; `progress` is told how many
    /// bytes of how many were read.
    pub fn open(
        disk: &dyn Disk,
        folder: &ShopFolder,
        shop: &Shop,
        circuits: &Circuits,
        progress: Progress<'_>,
    ) -> Result<Self, StoreError> {
        let settings = settings(shop, circuits);
        let mut known = build_log::load(disk, &path(folder), settings).unwrap_or_default();
        match known.refresh(disk, folder, shop, circuits, progress) {
            Ok(()) => return Ok(known),
            Err(End::Failed(error)) => return Err(error),
            Err(End::Changed) => {}
        }
        // The cards of boards whose jobs are the same all the same are good still.
        let mut anew = Self {
            kept: std::mem::take(&mut known.kept),
            settings,
            ..Self::default()
        };
        match anew.refresh(disk, folder, shop, circuits, progress) {
            Ok(()) => Ok(anew),
            Err(End::Failed(error)) => Err(error),
            Err(End::Changed) => {
                let busy = io::Error::other("it changes while it is being read");
                Err(StoreError::io("read", &folder.jobs())(busy))
            }
        }
    }

    /// Reads what is new.
    fn refresh(
        &mut self,
        disk: &dyn Disk,
        folder: &ShopFolder,
        shop: &Shop,
        circuits: &Circuits,
        progress: Progress<'_>,
    ) -> Result<(), End> {
        self.settings = settings(shop, circuits);
        let boards = shop.boards.iter().map(|b| b.id.clone()).collect();
        let rules = JobRules {
            circuits,
            boards: &boards,
        };
        let mut paths = journal::list_or_empty(disk, &folder.jobs())?;
        paths.retain(|path| path.extension().is_some_and(|e| e == "jsonl"));
        if self
            .files
            .iter()
            .any(|file| !paths.contains(&file.source.path().to_owned()))
        {
            return Err(End::Changed);
        }
        let first = self.entries.len();
        let written = disk.about(&path(folder)).map_or(0, |about| about.changed);
        let mut now = Vec::new();
        for path in paths {
            match sources::source(disk, &path) {
                Ok(source) => now.push(source),
                Err(error) => self.cannot(&path, &error),
            }
        }
        let mut todo = Vec::new();
        for source in now {
            let number = self
                .files
                .iter()
                .position(|f| f.source.path() == source.path());
            match number {
                Some(at) if self.stands(at, &source, written) => {}
                Some(at) => {
                    self.same_so_far(disk, at, &source)?;
                    let from = self.files[at].source.len();
                    todo.push((at, from, source));
                }
                None => {
                    self.files.push(FileNote {
                        source: source.clone(),
                        sum: 0,
                        lines: 0,
                        ends_fresh: true,
                        faults: Vec::new(),
                    });
                    todo.push((self.files.len() - 1, 0, source));
                }
            }
        }
        let all: u64 = todo
            .iter()
            .map(|(_, from, source)| source.len() - from)
            .sum();
        let mut done = 0;
        for (at, from, source) in todo {
            let more = source.len() - from;
            self.read_more(disk, at, from, source, rules, &|n| progress(done + n, all))?;
            done += more;
        }
        if first < self.entries.len() || first == 0 {
            self.settle(first);
        }
        Ok(())
    }

    fn cannot(&mut self, path: &Path, error: &io::Error) {
        let why = format!("not read: {error}");
        let todo = "see to the file and try again";
        self.unread.push(Fault::damage(path, why, todo));
    }

    /// Tells whether a file is what it was, by the rule of all indexes.
    fn stands(&self, at: usize, source: &Source, written: u64) -> bool {
        self.files[at].source == *source && sources::settled(std::slice::from_ref(source), written)
    }

    /// Sums what was read of a file before.
    fn same_so_far(&self, disk: &dyn Disk, at: usize, source: &Source) -> Result<(), Changed> {
        let file = &self.files[at];
        let old = file.source.len();
        if source.len() < old || (old < source.len() && !file.ends_fresh) {
            return Err(Changed);
        }
        let pieces = side_by_side::map(tapes::ranges(0, old), |range| {
            tapes::sum_of(disk, source.path(), range)
        });
        let mut sum = Hasher::new();
        for piece in pieces {
            sum.combine(&piece.map_err(|_error| Changed)?);
        }
        if sum.finalize() == file.sum {
            Ok(())
        } else {
            Err(Changed)
        }
    }

    /// Reads a file from a byte on.
    fn read_more(
        &mut self,
        disk: &dyn Disk,
        at: usize,
        from: u64,
        source: Source,
        rules: JobRules<'_>,
        progress: &(dyn Fn(u64) + Sync),
    ) -> Result<(), End> {
        let path = source.path().to_owned();
        let most = usize::try_from(source.len() - from).unwrap_or(usize::MAX);
        let bytes = match disk.read_part(&path, from, most) {
            Ok(bytes) => bytes,
            Err(error) => {
                self.cannot(&path, &error);
                return Ok(());
            }
        };
        if bytes.len() != most {
            return Err(End::Changed);
        }
        let first = self.files[at].lines;
        let file = u32::try_from(at).unwrap_or(u32::MAX);
        for piece in job_lines::read(&bytes, first, from == 0, rules, progress) {
            for light in piece.lights {
                self.push(file, from, light);
            }
            let placed = piece.wrong.into_iter();
            let note = &mut self.files[at];
            note.faults.extend(placed.map(|p| p.in_job_file(&path)));
        }
        let note = &mut self.files[at];
        let mut sum = Hasher::new_with_initial_len(note.sum, from);
        sum.update(&bytes);
        note.sum = sum.finalize();
        note.lines += memchr::memchr_iter(b'\n', &bytes).count() as u64;
        note.ends_fresh = bytes.last().is_none_or(|b| *b == b'\n');
        note.source = source;
        if from == 0 {
            self.bytes.insert(file, bytes);
        }
        Ok(())
    }

    fn push(&mut self, file: u32, from: u64, light: Light) {
        let last = self.entries.last().map(|entry| entry.board as usize);
        let last = last.filter(|at| self.boards[*at] == light.board);
        let board = last.or_else(|| self.boards.iter().position(|b| *b == light.board));
        let board = board.unwrap_or_else(|| {
            self.boards.push(light.board);
            self.boards.len() - 1
        });
        let texts = &mut self.texts;
        let mut keep = |text: Option<&str>| {
            let Some(text) = text else { return NONE };
            let at = u32::try_from(texts.len()).unwrap_or(u32::MAX);
            texts.push_str(text);
            Span {
                at,
                len: u32::try_from(text.len()).unwrap_or(u32::MAX),
            }
        };
        let job = keep(Some(&light.job));
        let id = if light.id == light.job {
            job
        } else {
            keep(Some(&light.id))
        };
        let entry = Entry {
            file,
            line: u32::try_from(light.line).unwrap_or(u32::MAX),
            at: from + light.at as u64,
            len: u32::try_from(light.len).unwrap_or(u32::MAX),
            mark: light.mark,
            id,
            job,
            unit: keep(light.unit.as_deref()),
            follows: keep(light.follows.as_deref()),
            corrects: keep(light.corrects.as_deref()),
            board: u32::try_from(board).unwrap_or(u32::MAX),
            closed_on: light.closed_on,
            outcome: light.outcome,
            withdrawn: light.withdrawn,
            live: false,
            again: false,
        };
        self.entries.push(entry);
    }

    fn text(&self, span: Span) -> Option<&str> {
        let from = span.at as usize;
        (span != NONE).then(|| self.texts.get(from..from + span.len as usize))?
    }

    fn said(&self, span: Span) -> &str {
        self.text(span).unwrap_or_default()
    }

    /// Finds out which lines count, those from `first` on being new.
    fn settle(&mut self, first: usize) {
        let few = self.entries.len() - first <= FEW;
        if 0 < first && few && self.settled.is_empty() && self.all_plain(first) {
            for at in first..self.entries.len() {
                self.entries[at].live = true;
                self.look_for_unit(at);
            }
        } else {
            self.settle_all();
        }
    }

    /// Tells whether the lines from `first` on have nothing to do with any line but through their units.
    fn all_plain(&self, first: usize) -> bool {
        (first..self.entries.len()).all(|at| {
            let new = &self.entries[at];
            let (job, id) = (self.said(new.job), self.said(new.id));
            let follows = self.text(new.follows);
            let mut followed = follows.is_none();
            let alone = self.entries[..at].iter().all(|old| {
                let (old_job, old_id) = (self.said(old.job), self.said(old.id));
                followed |= follows == Some(old_job) || follows == Some(old_id);
                old.mark != new.mark && old_job != job && old_id != id
            });
            new.corrects == NONE && !new.withdrawn && alone && followed
        })
    }

    /// Notes which jobs of the unit of `at` came again, now that it counts.
    fn look_for_unit(&mut self, at: usize) {
        let Some(unit) = self.text(self.entries[at].unit) else {
            return;
        };
        let of_unit = |other: &usize| {
            let other = &self.entries[*other];
            other.live && self.text(other.unit) == Some(unit)
        };
        let all: Vec<usize> = (0..=at).filter(of_unit).collect();
        let again: Vec<bool> = all.iter().map(|a| self.came_again(*a, &all)).collect();
        for (at, again) in all.into_iter().zip(again) {
            self.entries[at].again = again;
        }
    }

    fn came_again(&self, at: usize, of_unit: &[usize]) -> bool {
        let job = &self.entries[at];
        let job = (self.said(job.job), job.closed_on);
        of_unit.iter().any(|other| {
            let other = &self.entries[*other];
            let follows = self.text(other.follows);
            tier::is_later(job, (self.said(other.job), other.closed_on, follows))
        })
    }

    /// Settles all lines as a reading of all files does.
    fn settle_all(&mut self) {
        let entangled = self.entangled();
        let mut order: Vec<usize> = (0..self.entries.len())
            .filter(|at| entangled[*at])
            .collect();
        order.sort_by_key(|at| {
            let entry = &self.entries[*at];
            (self.files[entry.file as usize].source.path(), entry.line)
        });
        let placed = order.iter().map(|at| self.placed(*at)).collect();
        let settled = settle::settle(placed);
        let by_place: HashMap<(&Path, u64), usize> = order
            .iter()
            .map(|at| {
                let entry = &self.entries[*at];
                let path = self.files[entry.file as usize].source.path();
                ((path, u64::from(entry.line)), *at)
            })
            .collect();
        let live: Vec<usize> = settled
            .live
            .iter()
            .filter_map(|p| by_place.get(&(p.path.as_path(), p.line)).copied())
            .collect();
        for (entry, entangled) in self.entries.iter_mut().zip(entangled) {
            (entry.live, entry.again) = (!entangled, false);
        }
        for at in live {
            self.entries[at].live = true;
        }
        for at in self.all_again() {
            self.entries[at].again = true;
        }
        self.settled = settled.faults;
    }

    /// Tells of each line whether another decides if it counts, or whether it names one that is not
    /// here; all others count whatever else there is.
    fn entangled(&self) -> Vec<bool> {
        let mut entangled = vec![false; self.entries.len()];
        let mut jobs: HashMap<&str, usize> = HashMap::with_capacity(self.entries.len());
        let mut ids: HashMap<&str, usize> = HashMap::with_capacity(self.entries.len());
        let mut marks: HashMap<u128, usize> = HashMap::with_capacity(self.entries.len());
        for (at, entry) in self.entries.iter().enumerate() {
            let twice = [
                jobs.insert(self.said(entry.job), at),
                ids.insert(self.said(entry.id), at),
                marks.insert(entry.mark, at),
            ];
            for other in twice.into_iter().flatten() {
                (entangled[at], entangled[other]) = (true, true);
            }
        }
        let named = |name: &str| [jobs.get(name).copied(), ids.get(name).copied()];
        for (at, entry) in self.entries.iter().enumerate() {
            let corrected = self.text(entry.corrects);
            let lost = self.text(entry.follows).map(named) == Some([None, None]);
            entangled[at] |= corrected.is_some() || entry.withdrawn || lost;
            for other in corrected.into_iter().flat_map(named).flatten() {
                entangled[other] = true;
            }
        }
        // What they follow has to be there when they are looked at.
        let mut todo: Vec<usize> = (0..entangled.len()).filter(|at| entangled[*at]).collect();
        while let Some(at) = todo.pop() {
            let follows = self.text(self.entries[at].follows);
            for other in follows.into_iter().flat_map(named).flatten() {
                if !entangled[other] {
                    entangled[other] = true;
                    todo.push(other);
                }
            }
        }
        entangled
    }

    /// Returns the lines that count and whose units came again.
    fn all_again(&self) -> Vec<usize> {
        let mut of_unit: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, entry) in self.entries.iter().enumerate().filter(|(_, e)| e.live) {
            if let Some(unit) = self.text(entry.unit) {
                of_unit.entry(unit).or_default().push(at);
            }
        }
        let again = of_unit.values().flat_map(|of_unit| {
            let again = |at: &&usize| self.came_again(**at, of_unit);
            of_unit.iter().filter(again).copied()
        });
        again.collect()
    }

    /// Returns a line with what settling looks at.
    fn placed(&self, at: usize) -> Placed {
        let entry = &self.entries[at];
        let text = |span: Span| self.text(span).map(str::to_owned);
        let job = Job {
            id: self.said(entry.id).to_owned(),
            job: self.said(entry.job).to_owned(),
            closed_on: entry.closed_on,
            unit: text(entry.unit),
            follows: text(entry.follows),
            corrects: text(entry.corrects),
            withdrawn: entry.withdrawn,
            ..Job::empty("", "", entry.outcome)
        };
        Placed {
            record: JobRecord::new(job),
            path: self.files[entry.file as usize].source.path().to_owned(),
            line: u64::from(entry.line),
            text: format!("{:032x}", entry.mark),
        }
    }

    /// Returns how many jobs count, and how many of them ended without a fix.
    pub fn counts(&self) -> (usize, usize) {
        let live = || self.entries.iter().filter(|e| e.live);
        let unfixed = live().filter(|e| e.outcome == Outcome::NoFix).count();
        (live().count(), unfixed)
    }

    /// Returns the mark of the jobs that count.
    pub fn fingerprint(&self) -> String {
        let live = self.entries.iter().filter(|e| e.live);
        jobs::fingerprint(live.map(|e| e.mark))
    }

    /// Returns the damage found, in the order of files and lines.
    pub fn faults(&self) -> Vec<Fault> {
        let lines = self.files.iter().flat_map(|f| &f.faults);
        let all = lines.chain(&self.unread).chain(&self.settled);
        let mut all: Vec<Fault> = all.cloned().collect();
        all.sort_by(|a, b| (&a.path, a.line).cmp(&(&b.path, b.line)));
        all
    }

    /// Returns the files that could not be read at all.
    pub fn unread(&self) -> &[Fault] {
        &self.unread
    }

    /// Returns the boards that have jobs, with those jobs.
    pub fn by_board(&self, as_of: NaiveDate, warranty_days: u32) -> BTreeMap<String, BoardJobs> {
        let mut found: Vec<BoardJobs> = vec![BoardJobs::default(); self.boards.len()];
        for (at, entry) in self.entries.iter().enumerate().filter(|(_, e)| e.live) {
            let board = &mut found[entry.board as usize];
            board.entries.push(at);
            board.all = board.all.wrapping_add(entry.mark);
            if held(entry, as_of, warranty_days) {
                board.held = board.held.wrapping_add(entry.mark);
            }
        }
        let named = self.boards.iter().cloned().zip(found);
        named.filter(|(_, board)| !board.is_empty()).collect()
    }

    /// Returns those of `numbers` that belong to a job that counts, with its board.
    pub fn counting<'a>(&self, numbers: &BTreeSet<&'a str>) -> BTreeMap<&'a str, String> {
        if numbers.is_empty() {
            return BTreeMap::new();
        }
        let numbers: HashSet<&str> = numbers.iter().copied().collect();
        let live = self.entries.iter().filter(|e| e.live);
        let known = live.filter_map(|entry| {
            let number = numbers.get(self.said(entry.job))?;
            Some((*number, self.boards.get(entry.board as usize)?.clone()))
        });
        known.collect()
    }

    /// Reads the jobs of a board from their files.
    pub fn jobs_of(
        &self,
        disk: &dyn Disk,
        board: &BoardJobs,
        rules: JobRules<'_>,
    ) -> Result<Found, StoreError> {
        let mut found = Found::default();
        found.jobs.reserve(board.len());
        let entries: Vec<&Entry> = board.entries.iter().map(|at| &self.entries[*at]).collect();
        for of_file in entries.chunk_by(|a, b| a.file == b.file) {
            let file = of_file[0].file;
            let path = self.files[file as usize].source.path();
            let mut whole = true;
            let mut rest = of_file.iter();
            let mut take = |bytes: &[u8], read: bool| {
                let entry = rest.next();
                let added = entry.and_then(|e| found.add(e, (bytes, read), rules));
                whole &= added.is_some();
            };
            let parts = of_file.iter().map(|entry| (entry.at, entry.len as usize));
            if let Some(bytes) = self.bytes.get(&file) {
                for (from, len) in parts {
                    let from = usize::try_from(from).unwrap_or(usize::MAX);
                    let part = bytes.get(from..from.saturating_add(len));
                    take(part.unwrap_or_default(), true);
                }
            } else {
                let parts: Vec<(u64, usize)> = parts.collect();
                let read = disk.read_parts(path, &parts, &mut |bytes| take(bytes, false));
                read.map_err(StoreError::io("read", path))?;
            }
            if !whole {
                let changed = io::Error::other("it changed while it was being read");
                return Err(StoreError::io("read", path)(changed));
            }
        }
        Ok(found)
    }

    /// Returns the cards of a board, if they were made from what `mark` stands for.
    pub fn kept(&self, board: &str, mark: &str) -> Option<&Kept> {
        self.kept.get(board).filter(|kept| kept.mark == mark)
    }

    /// Keeps the cards of a board and returns those that were kept before.
    pub fn keep(&mut self, board: &str, kept: Kept) -> Option<Kept> {
        self.saved.boards.remove(board);
        self.kept.insert(board.to_owned(), kept)
    }

    /// Returns the cards of a board, whatever they were made from.
    pub fn kept_of(&self, board: &str) -> Option<&Kept> {
        self.kept.get(board)
    }

    /// Takes the cards of a board out.
    pub fn take(&mut self, board: &str) -> Option<Kept> {
        self.kept.remove(board)
    }

    /// Lets go of the files' bytes; what is read of them from now on comes from the disk.
    pub fn let_go(&mut self) {
        self.bytes = HashMap::new();
    }

    /// Reads the cards that still lie in the index, if that is to be written anew; `before` are those that
    /// this build has replaced.
    pub fn bring_in<'a>(
        &'a mut self,
        disk: &dyn Disk,
        folder: &ShopFolder,
        before: impl Iterator<Item = &'a mut Kept>,
    ) -> Result<(), StoreError> {
        if self.unread.is_empty() && !self.saved.goes_on(self.entries.len()) {
            let path = path(folder);
            for kept in self.kept.values_mut().chain(before) {
                let done = kept.cards.bring_in(disk, &path);
                done.map_err(StoreError::io("read", &path))?;
            }
        }
        Ok(())
    }

    /// Puts the index on the disk; failing to is no failure.
    pub fn save(&mut self, disk: &dyn Disk, folder: &ShopFolder) {
        if self.unread.is_empty() {
            build_log::save(disk, &path(folder), self);
        }
    }
}

fn held(entry: &Entry, as_of: NaiveDate, warranty_days: u32) -> bool {
    let stayed_away = || entry.unit != NONE && !entry.again;
    tier::held(
        entry.outcome,
        entry.closed_on,
        stayed_away,
        as_of,
        warranty_days,
    )
}

/// Returns a mark of the settings that decide how a job line is read.
fn settings(shop: &Shop, circuits: &Circuits) -> u128 {
    let boards = shop.boards.iter().map(|b| b.id.as_str());
    let circuits = format!("{circuits:?}");
    ids::wide_mark(boards.chain([circuits.as_str()]))
}
