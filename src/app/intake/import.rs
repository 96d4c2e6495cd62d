//! The rows of a sheet taken in: each becomes a job, waits for a person, or is left out with a reason.
//!
//! All of it is kept or nothing is. Lines are gathered beside the files they go to; once every row is
//! read, boards, mappings, the rows that wait and the jobs get their places, in that order. A run
//! that is killed between two of them is completed by the next one: a row is known by the mark of
//! its content, so that nothing is taken in twice, under whatever file name it comes.

use std::collections::BTreeMap;
use std::collections::HashMap;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::Utc;
use serde_json::Value;
use serde_json::json;

use crate::app::intake::open::ImportError;
use crate::app::intake::open::Offer;
use crate::app::intake::open::Opened;
use crate::app::intake::open::with_new_boards;
use crate::app::intake::own;
use crate::app::intake::stream;
use crate::app::intake::stream::Ready;
use crate::app::intake::stream::ReadyEnd;
use crate::app::intake::stream::ReadyJob;
use crate::app::intake::stream::ReadyRow;
use crate::app::intake::stream::Stamp;
use crate::app::workbench::Workbench;
use crate::domain::ids;
use crate::domain::intake::backlog;
use crate::domain::intake::backlog::Backlog;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::repeats::Repeats;
use crate::domain::intake::rows::Taker;
use crate::domain::job::Flag;
use crate::domain::shop::BoardEntry;
use crate::store::error::StoreError;
use crate::store::intake::before;
use crate::store::intake::before::Before;
use crate::store::intake::before::Went;
use crate::store::intake::journal;
use crate::store::intake::maps;
use crate::store::intake::rows_file;
use crate::store::intake::rows_file::Head;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::shop;
use crate::store::staged::Staged;

/// How an import is done.
#[derive(Clone, Copy, Debug)]
pub struct Order<'a> {
    /// Initials of who imports, where they are known.
    pub by: Option<&'a str>,
    /// A key for the marks of units, should the shop have none yet: 32 hexadecimal digits of chance.
    pub unit_key: &'a str,
    /// When.
    pub now: DateTime<Utc>,
    /// Only count: write nothing but the report.
    pub dry_run: bool,
}

/// How the rows of one worksheet ended; the three ends add up to `rows`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetEnds {
    /// The worksheet.
    pub source: String,
    /// Rows in it.
    pub rows: u64,
    /// Rows that became jobs.
    pub taken: u64,
    /// Rows that wait for a person.
    pub needs_person: u64,
    /// Rows left out.
    pub skipped: u64,
    /// Reasons of the rows left out, with how many each.
    pub skipped_why: BTreeMap<String, u64>,
    /// What the waiting rows wait for, with how many each.
    pub needs_why: BTreeMap<String, u64>,
    /// The file of the rows that wait, as seen from the shop folder.
    pub rows_file: Option<PathBuf>,
}

/// What an import did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// By worksheet.
    pub sheets: Vec<SheetEnds>,
    /// Boards that were added to the shop: id and name.
    pub boards: Vec<(String, String)>,
    /// The job file, as seen from the shop folder, where jobs were added.
    pub jobs_file: Option<PathBuf>,
    /// The shop got its key for marks of units.
    pub new_key: bool,
}

impl Summary {
    /// Returns the sum over the worksheets: rows, taken, need a person, skipped.
    pub fn total(&self) -> [u64; 4] {
        let mut sum = [0; 4];
        for ends in &self.sheets {
            let of = [ends.rows, ends.taken, ends.needs_person, ends.skipped];
            sum.iter_mut().zip(of).for_each(|(sum, n)| *sum += n);
        }
        sum
    }
}

/// Takes one line of a report.
pub type Report<'a> = &'a mut dyn FnMut(&str) -> std::io::Result<()>;

/// Where an import tells what happens.
pub struct Listener<'a> {
    /// Gets one JSON line a row, in the order of the sheet.
    pub report: Option<Report<'a>>,
    /// Is told rows done and rows in all; false stops.
    pub progress: &'a mut dyn FnMut(u64, u64) -> bool,
}

/// Rows between two words about progress.
const STEP: u64 = 512;

/// Imports the worksheets of `offers`.
pub fn import<'a>(
    workbench: &'a Workbench,
    opened: &Opened,
    offers: &[Offer],
    order: Order<'a>,
    listener: Listener<'_>,
) -> Result<Summary, ImportError> {
    let disk = workbench.disk.as_ref();
    let holder = Holder {
        who: format!("{}, import", order.by.unwrap_or("someone")),
        since: order.now,
    };
    let jobs_path = workbench
        .folder
        .jobs_of(&workbench.bench)
        .map_err(StoreError::from)?;
    for folder in [workbench.folder.jobs(), workbench.folder.intake()] {
        disk.make_folder(&folder)
            .map_err(StoreError::io("make", &folder))?;
    }
    let _guard = lock::take(disk, &jobs_path, &holder)?;
    let before = before::before(disk, &workbench.folder)?;
    let (entries, _) = journal::load_entries(disk, &workbench.folder)?;
    let decided = decided(&backlog::fold(&entries, &[]));
    let stage = Staged::begin_after(disk, &jobs_path);
    let jobs = stage.map_err(StoreError::io("write beside", &jobs_path))?;
    let mut run = Run {
        workbench,
        order,
        before,
        decided,
        new_rows: HashMap::new(),
        new_numbers: HashMap::new(),
        jobs_before: jobs.len(),
        jobs,
        listener,
        done: 0,
        all: offers.iter().map(|offer| offer.n_rows).sum(),
    };
    let mut summary = Summary::default();
    let mut waiting = Vec::new();
    for (at, offer) in offers.iter().enumerate() {
        let (ends, rows) = run.sheet(opened, offer, at)?;
        waiting.extend(rows);
        summary.sheets.push(ends);
    }
    (run.listener.progress)(run.all, run.all);
    if order.dry_run {
        return Ok(summary);
    }
    run.keep(offers, &holder, waiting, &mut summary)?;
    Ok(summary)
}

struct Run<'a, 'l> {
    workbench: &'a Workbench,
    order: Order<'a>,
    before: Before,
    /// What people decided about rows, by mark.
    decided: HashMap<String, String>,
    /// Rows of this run by mark, with where each stands.
    new_rows: HashMap<String, u64>,
    /// Numbers of jobs of this run, with where each stands.
    new_numbers: HashMap<String, String>,
    jobs_before: u64,
    jobs: Staged<'a>,
    listener: Listener<'l>,
    done: u64,
    all: u64,
}

/// The rows of one worksheet that wait, gathered until the end.
struct Waiting<'a> {
    head: Head,
    marks: Vec<String>,
    body: Staged<'a>,
    /// Which of the worksheets that are imported.
    at: usize,
}

impl<'a> Run<'a, '_> {
    fn sheet(
        &mut self,
        opened: &Opened,
        offer: &Offer,
        at: usize,
    ) -> Result<(SheetEnds, Option<Waiting<'a>>), ImportError> {
        let workbench = self.workbench;
        let mapping = with_new_boards(offer);
        let key = workbench.shop.unit_key.as_deref();
        let key = key.or(Some(self.order.unit_key));
        let facts = opened.facts(workbench, offer, key, self.order.now);
        let on = workbench.day(self.order.now).to_string();
        let stamp = Stamp {
            bench: &workbench.bench,
            by: self.order.by,
            on: &on,
            is_export: own::is_ours(&mapping),
        };
        let body_path = workbench
            .folder
            .intake()
            .join(format!("{}-{}.part", workbench.bench, offer.sheet));
        let body = Staged::begin(workbench.disk.as_ref(), &body_path)
            .map_err(StoreError::io("write beside", &body_path))?;
        let mut ends = SheetEnds {
            source: offer.source.clone(),
            ..SheetEnds::default()
        };
        let mut waiting = Waiting {
            head: Head {
                sheet: offer.source.clone(),
                shape: offer.shape.clone(),
                content: String::new(),
                rows: 0,
                taken: 0,
                needs_person: 0,
                skipped: 0,
                at: self.order.now,
                by: self.order.by.map(str::to_owned),
            },
            marks: Vec::new(),
            body,
            at,
        };
        let rows = opened.book.sheets[offer.sheet].rows();
        let repeats = Repeats::of(|| opened.book.sheets[offer.sheet].rows(), &mapping, facts);
        let filler = Taker::new(&mapping, facts).knowing(repeats);
        let reader = Taker::new(&mapping, facts);
        stream::stream(rows, filler, &reader, stamp, |ready| {
            self.row(ready, stamp, &mut ends, &mut waiting)
        })?;
        let head = &mut waiting.head;
        head.rows = ends.rows;
        head.taken = ends.taken;
        head.needs_person = ends.needs_person;
        head.skipped = ends.skipped;
        let seen = (head.sheet.clone(), head.content.clone());
        let says_new =
            ends.needs_person > 0 || (ends.taken > 0 && !self.before.sheets.contains(&seen));
        Ok((ends, says_new.then_some(waiting)))
    }

    /// Decides where one row goes.
    fn row(
        &mut self,
        ready: Ready,
        stamp: Stamp<'_>,
        ends: &mut SheetEnds,
        waiting: &mut Waiting<'_>,
    ) -> Result<(), ImportError> {
        ends.rows += 1;
        let content = [waiting.head.content.as_str(), &ready.mark];
        waiting.head.content = ids::long_mark(content);
        let (source, mark) = (&ready.source, &ready.mark);
        let skipped = match &ready.end {
            ReadyEnd::Skipped(why) => Some(why.clone()),
            _ => self.taken_before(mark),
        };
        if let Some(why) = skipped {
            self.report(&RowEnd {
                source,
                mark,
                end: "skipped",
                why: &[&why],
                ..RowEnd::default()
            })?;
            ends.skipped += 1;
            *ends.skipped_why.entry(kind_of(&why)).or_default() += 1;
        } else {
            self.new_rows.insert(mark.clone(), ready.number);
            match ready.end {
                ReadyEnd::Taken(job) => match self.number_clash(&job.job) {
                    Some(_) if is_made(&job, ready.number) => {
                        let job = self.renumbered(mark, *job, stamp);
                        self.take(source, mark, &job, ends)?;
                    }
                    None => self.take(source, mark, &job, ends)?,
                    Some(why) => {
                        let row = clash(mark, source, *job, why);
                        self.wait(source, mark, &row, ends, waiting)?;
                    }
                },
                ReadyEnd::Needs(row) => self.wait(source, mark, &row, ends, waiting)?,
                ReadyEnd::Skipped(_) => {}
            }
        }
        self.done += 1;
        if self.done.is_multiple_of(STEP) && !(self.listener.progress)(self.done, self.all) {
            return Err(ImportError::Stopped);
        }
        Ok(())
    }

    fn taken_before(&self, mark: &str) -> Option<String> {
        if let Some(row) = self.new_rows.get(mark) {
            return Some(format!("the same as row {row}"));
        }
        let went = self.before.rows.get(mark);
        if let Some(Went::Job(number)) = went {
            return Some(format!("taken before as {number}"));
        }
        if let Some(what) = self.decided.get(mark) {
            return Some(what.clone());
        }
        went.map(|_| "waiting in the backlog already".to_owned())
    }

    fn number_clash(&self, number: &str) -> Option<String> {
        if let Some(other) = self.new_numbers.get(number) {
            return Some(format!("number stands at {other} too, with other content"));
        }
        let known = self.before.numbers.contains(number);
        known.then(|| "number is in the archive already, with other content".to_owned())
    }

    /// Returns the job under the next number that is free, where the sheet gave none.
    fn renumbered(&self, mark: &str, job: ReadyJob, stamp: Stamp<'_>) -> ReadyJob {
        let mut draft = job.draft.clone();
        let made = (2..).map(|n: u64| format!("{}-{n}", job.job));
        draft.number = made
            .into_iter()
            .find(|number| self.number_clash(number).is_none());
        match stream::job(mark, &draft, stamp) {
            Ok((number, line)) => ReadyJob {
                job: number,
                line,
                draft,
                cells: job.cells,
            },
            Err(_missing) => job,
        }
    }

    fn take(
        &mut self,
        source: &str,
        mark: &str,
        job: &ReadyJob,
        ends: &mut SheetEnds,
    ) -> Result<(), ImportError> {
        let put = self.jobs.put_line(&job.line);
        put.map_err(not_kept(self.workbench.folder.jobs()))?;
        self.new_numbers.insert(job.job.clone(), source.to_owned());
        ends.taken += 1;
        let flags: Vec<String> = job.draft.flags.iter().map(flag_words).collect();
        let why: Vec<&str> = flags.iter().map(String::as_str).collect();
        self.report(&RowEnd {
            source,
            mark,
            end: "taken",
            why: &why,
            job: Some(&job.job),
            record: Some(&job.line),
            ..RowEnd::default()
        })
    }

    fn wait(
        &mut self,
        source: &str,
        mark: &str,
        row: &ReadyRow,
        ends: &mut SheetEnds,
        waiting: &mut Waiting<'_>,
    ) -> Result<(), ImportError> {
        waiting
            .body
            .put_line(&row.line)
            .map_err(not_kept(self.workbench.folder.intake()))?;
        waiting.marks.push(mark.to_owned());
        ends.needs_person += 1;
        let words: Vec<String> = row.why.iter().map(flag_words).collect();
        let kind = |flag: &Flag| match flag.field.as_str() {
            "" => kind_of(&flag.why),
            field => format!("{field}: {}", kind_of(&flag.why)),
        };
        let mut kinds: Vec<String> = row.why.iter().map(kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        for kind in kinds {
            *ends.needs_why.entry(kind).or_default() += 1;
        }
        let why: Vec<&str> = words.iter().map(String::as_str).collect();
        self.report(&RowEnd {
            source,
            mark,
            end: "needs-person",
            why: &why,
            suggestion: Some(&row.suggestion),
            ..RowEnd::default()
        })
    }

    fn report(&mut self, end: &RowEnd<'_>) -> Result<(), ImportError> {
        let Some(report) = &mut self.listener.report else {
            return Ok(());
        };
        report(&end.line()).map_err(ImportError::Report)
    }

    /// Gives everything its place.
    fn keep(
        self,
        offers: &[Offer],
        holder: &Holder,
        waiting: Vec<Waiting<'_>>,
        summary: &mut Summary,
    ) -> Result<(), ImportError> {
        let workbench = self.workbench;
        let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
        let inside = |path: PathBuf| {
            let inside = path.strip_prefix(folder.root()).map(PathBuf::from);
            inside.unwrap_or(path)
        };
        let serials = offers.iter().any(Offer::has_serials);
        shop::change_shop(disk, folder, holder, |record| {
            for offer in offers {
                for (name, id) in &offer.new_boards {
                    if record.shop.boards.iter().all(|b| b.id != *id) {
                        let board = BoardEntry {
                            id: id.clone(),
                            name: name.clone(),
                            kind: String::new(),
                            revisions: Vec::new(),
                            safety: Vec::new(),
                        };
                        record.add_board(board, &offer.source);
                        summary.boards.push((id.clone(), name.clone()));
                    }
                }
            }
            if serials && record.shop.unit_key.is_none() {
                record.shop.unit_key = Some(self.order.unit_key.to_owned());
                summary.new_key = true;
            }
        })?;
        for offer in offers {
            maps::save(disk, folder, &offer.shape, &with_new_boards(offer))?;
        }
        for one in waiting {
            let name = rows_file::file_name(&one.head, one.marks.iter().map(String::as_str));
            let path = folder.intake().join(name);
            let kept = keep_rows(disk, &path, &one.head, one.body);
            kept.map_err(not_kept(path.clone()))?;
            if let Some(ends) = summary.sheets.get_mut(one.at) {
                ends.rows_file = Some(inside(path));
            }
        }
        if self.jobs.len() > self.jobs_before {
            let path = folder.jobs_of(&workbench.bench).map_err(StoreError::from)?;
            let kept = self.jobs.keep();
            kept.map_err(not_kept(path.clone()))?;
            summary.jobs_file = Some(inside(path));
        }
        Ok(())
    }
}

/// Returns what was decided about rows, in words; those that wait on are left out.
fn decided(backlog: &Backlog) -> HashMap<String, String> {
    let rows = backlog.rows.iter();
    let decided = rows.filter_map(|(row, state)| {
        let what = if let Some((number, _)) = state.jobs.first() {
            format!("taken before as {number}")
        } else if let Some(number) = state.same_as.first() {
            format!("the same job as {number}, as a person said")
        } else {
            format!("passed over: {}", state.skipped.as_ref()?)
        };
        Some((row.clone(), what))
    });
    decided.collect()
}

fn not_kept(path: PathBuf) -> impl FnOnce(std::io::Error) -> ImportError {
    |source| StoreError::NotKept { path, source }.into()
}

fn keep_rows(
    disk: &dyn crate::store::disk::Disk,
    path: &std::path::Path,
    head: &Head,
    body: Staged<'_>,
) -> std::io::Result<()> {
    let mut whole = Staged::begin(disk, path)?;
    whole.put_line(&rows_file::write_head(head))?;
    whole.copy_staged(body)?;
    whole.keep()
}

/// Returns the row of a job whose number is another's.
fn clash(mark: &str, source: &str, job: ReadyJob, why: String) -> ReadyRow {
    let flag = Flag {
        field: "job".to_owned(),
        why,
        raw: job.job,
    };
    let mut flags = job.draft.flags.clone();
    flags.push(flag.clone());
    let facts = crate::domain::intake::draft::Draft { flags, ..job.draft };
    let suggested = Suggested {
        facts,
        ..Suggested::default()
    };
    // Nothing else keeps it back: it was a job until its number was seen.
    stream::waiting(mark, source, vec![flag], job.cells, suggested)
}

/// Tells whether the number of a job was made from its row, because the sheet gives none.
fn is_made(job: &ReadyJob, row: u64) -> bool {
    job.job.ends_with(&format!("-{row}")) && job.cells.iter().all(|(_, words)| *words != job.job)
}

/// Returns a reason without what is different in every row.
fn kind_of(why: &str) -> String {
    const STARTS: [&str; 6] = [
        "taken before",
        "passed over",
        "the same as row",
        "the same words as row",
        "the same job as",
        "number stands at",
    ];
    for start in STARTS {
        if why.starts_with(start) {
            return match start {
                "the same as row" | "the same words as row" => "the same as another row".to_owned(),
                "the same job as" => "the same as a job, as a person said".to_owned(),
                "number stands at" => "number of another row too".to_owned(),
                start => start.to_owned(),
            };
        }
    }
    if why.starts_with("row ") && why.contains(" again: ") {
        return "a row that says an earlier job again".to_owned();
    }
    why.to_owned()
}

/// Returns what a person has to decide, in words.
pub fn flag_words(flag: &Flag) -> String {
    let field = if flag.field.is_empty() {
        String::new()
    } else {
        format!("{}: ", flag.field)
    };
    if flag.raw.is_empty() {
        format!("{field}{}", flag.why)
    } else {
        format!("{field}{} ({})", flag.why, flag.raw)
    }
}

/// One line of the report.
#[derive(Default)]
struct RowEnd<'a> {
    source: &'a str,
    mark: &'a str,
    end: &'a str,
    why: &'a [&'a str],
    job: Option<&'a str>,
    suggestion: Option<&'a Value>,
    record: Option<&'a str>,
}

impl RowEnd<'_> {
    fn line(&self) -> String {
        let mut line = json!({
            "source": self.source,
            "end": self.end,
            "why": self.why,
            "job": self.job,
            "suggestion": self.suggestion,
            "row": self.mark,
        })
        .to_string();
        if let Some(record) = self.record {
            line.pop();
            line.push_str(",\"record\":");
            line.push_str(record);
            line.push('}');
        }
        line
    }
}
