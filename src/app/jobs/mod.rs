//! The archive of closed jobs: list, one whole job, the follow-up list.
//!
//! What a lead should mend is in [`check`](mod@check), what a person says about a job later (held,
//! came back) in [`word`], searching in [`find`](mod@find). This is the shop's own archive: notes, minutes and raw words are shown.
//! Unit marks and prices are not; a chain of returns is told by job numbers.

pub mod check;
pub mod coding;
pub mod export;
pub mod find;
pub mod page;
pub mod word;

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

pub use crate::app::jobs::check::check;
pub use crate::app::jobs::find::FindOptions;
pub use crate::app::jobs::find::Found;
pub use crate::app::jobs::find::find_jobs;

use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::check::Look;
use crate::domain::check::follow_up;
use crate::domain::generate::coded::tier::History;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::job::Action;
use crate::domain::job::BounceCause;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job_row::IndexRow;
use crate::domain::text::clean;
use crate::domain::wording;
use crate::store::job_index;

/// One job as a line of a list; texts are as in the file, to be cleaned where they are shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobRow {
    /// The shop's number.
    pub number: String,
    /// Id of the line.
    pub id: String,
    /// Day it was closed.
    pub closed_on: NaiveDate,
    /// Board id.
    pub board: String,
    /// Board name.
    pub board_name: String,
    /// Customer's words, from the list.
    pub complaint: Vec<String>,
    /// Circuit; `unlocated` or none without a fix.
    pub family: Option<String>,
    /// The fix in words; empty without one.
    pub fix: String,
    /// Why there is no fix.
    pub no_fix_reason: Option<String>,
    /// Outcome as written.
    pub outcome: Outcome,
    /// Why it came back.
    pub bounce_cause: Option<BounceCause>,
    /// It counts as held as of the day asked.
    pub held: bool,
    /// What it is worth as evidence.
    pub tier: Tier,
}

impl JobRow {
    /// Returns how it ended, in words, as of the day asked.
    pub fn outcome_words(&self) -> String {
        if self.outcome == Outcome::UnknownSoFar && self.held {
            return "counts as held".to_owned();
        }
        let job = Job {
            bounce_cause: self.bounce_cause,
            ..Job::empty("", "", self.outcome)
        };
        wording::outcome_text(&job)
    }

    /// Returns what was done, in words: the fix, or why there is none.
    pub fn fix_words(&self) -> String {
        match (&self.no_fix_reason, self.fix.is_empty()) {
            (Some(why), true) => format!("no fix: {}", clean(&why.replace('-', " "))),
            (None, true) => "no fix".to_owned(),
            (_, false) => clean(&self.fix),
        }
    }

    /// Returns the letter of its tier; `-` without a fix.
    pub fn tier_letter(&self) -> &'static str {
        match self.tier {
            Tier::A => "A",
            Tier::B(_) => "B",
            Tier::C => "C",
            Tier::X(_) => "X",
            Tier::NoFix => "-",
        }
    }
}

/// Which jobs to list; nothing said lists all.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ListOptions {
    /// Only this board.
    pub board: Option<String>,
    /// Only this circuit.
    pub family: Option<String>,
    /// Only this outcome, as written.
    pub outcome: Option<Outcome>,
    /// Only jobs closed on this day or later.
    pub since: Option<NaiveDate>,
    /// Only jobs closed on this day or earlier.
    pub until: Option<NaiveDate>,
}

impl ListOptions {
    /// Tells whether such a job is to be listed.
    fn want(&self, board: &str, family: Option<&str>, outcome: Outcome, day: NaiveDate) -> bool {
        self.board.as_ref().is_none_or(|b| b == board)
            && self.family.as_ref().is_none_or(|f| family == Some(f))
            && self.outcome.is_none_or(|o| o == outcome)
            && self.since.is_none_or(|since| since <= day)
            && self.until.is_none_or(|until| day <= until)
    }

    /// Tells whether this job is to be listed.
    fn want_job(&self, job: &Job) -> bool {
        self.want(
            &job.board,
            job.family.as_deref(),
            job.outcome,
            job.closed_on,
        )
    }
}

/// A list of jobs, and what was found damaged while reading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Listing {
    /// The jobs, newest first.
    pub rows: Vec<JobRow>,
    /// Jobs in the archive.
    pub of: usize,
    /// Damage found.
    pub faults: Vec<String>,
}

/// Lists the jobs that count, newest first.
pub fn list(
    workbench: &Workbench,
    options: &ListOptions,
    now: DateTime<Utc>,
) -> Result<Listing, AppError> {
    known(
        workbench,
        options.board.as_deref(),
        options.family.as_deref(),
    )?;
    let found = job_index::load(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?;
    let wanted = |job: &&IndexRow| {
        options.want(
            &job.board,
            job.family.as_deref(),
            job.outcome,
            job.closed_on,
        )
    };
    let day = workbench.day(now);
    let chosen = found.rows.iter().rev().filter(wanted);
    Ok(Listing {
        rows: chosen.map(|job| listed(workbench, job, day)).collect(),
        of: found.rows.len(),
        faults: workbench.fault_lines(&found.faults),
    })
}

/// Returns a row of the index as a row of a list, as of a day.
fn listed(workbench: &Workbench, job: &IndexRow, day: NaiveDate) -> JobRow {
    let warranty = workbench.shop.warranty_days;
    let actions = job.fix.iter().map(|(act, part)| Action {
        act: act.clone(),
        part: part.clone(),
        role: Role::TheFix,
    });
    let board = workbench.boards.iter().find(|b| b.id == job.board);
    JobRow {
        number: job.job.clone(),
        id: job.id.clone(),
        closed_on: job.closed_on,
        board: job.board.clone(),
        board_name: board.map_or_else(|| job.board.clone(), |b| b.name.clone()),
        complaint: job.complaint.clone(),
        family: job.family.clone(),
        fix: actions
            .map(|a| action_words(&a))
            .collect::<Vec<_>>()
            .join("; "),
        no_fix_reason: job.no_fix_reason.clone(),
        outcome: job.outcome,
        bounce_cause: job.bounce_cause,
        held: job.held(day, warranty),
        tier: job.tier(day, warranty),
    }
}

/// Says whether a board or a circuit is not known here.
fn known(workbench: &Workbench, board: Option<&str>, family: Option<&str>) -> Result<(), AppError> {
    if let Some(id) = board.filter(|id| !workbench.boards.iter().any(|b| b.id == **id)) {
        return Err(AppError::Unknown {
            what: "board",
            id: clean(id),
            known: workbench.board_ids(),
        });
    }
    if let Some(id) = family
        .filter(|id| *id != crate::domain::job::UNLOCATED && workbench.circuits.get(id).is_none())
    {
        return Err(AppError::Unknown {
            what: "circuit family",
            id: clean(id),
            known: workbench.family_ids(),
        });
    }
    Ok(())
}

/// Returns `chosen` as rows, in their order; `all` are the jobs that count.
pub fn rows(
    workbench: &Workbench,
    all: &[Job],
    chosen: &[&Job],
    now: DateTime<Utc>,
) -> Vec<JobRow> {
    let every: Vec<&Job> = all.iter().collect();
    let history = History::of(&every);
    let day = workbench.day(now);
    chosen
        .iter()
        .map(|job| listed(workbench, &IndexRow::of(job, &history), day))
        .collect()
}

fn fix_words(job: &Job) -> String {
    job.actions
        .iter()
        .filter(|a| a.role == Role::TheFix)
        .map(action_words)
        .collect::<Vec<_>>()
        .join("; ")
}

fn action_words(action: &Action) -> String {
    let text = wording::action_text(action);
    text.strip_suffix(": the fix").unwrap_or(&text).to_owned()
}

/// Returns the fix in words, or why there is none.
fn fix_or_reason(job: &Job) -> String {
    match (fix_words(job), &job.no_fix_reason) {
        (fix, _) if !fix.is_empty() => fix,
        (_, Some(why)) => format!("no fix: {}", why.replace('-', " ")),
        (_, None) => "no fix".to_owned(),
    }
}

/// One job that somebody should ask about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitingRow {
    /// The job.
    pub row: JobRow,
    /// Days since it was closed.
    pub days: i64,
    /// Number of a later job of its unit; none where no such job is known.
    pub again: Option<String>,
}

/// The follow-up list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FollowUp {
    /// Jobs past their warranty days that nobody has confirmed, oldest first.
    pub waiting: Vec<WaitingRow>,
    /// Jobs that count as held by themselves: their unit has not come again.
    pub by_themselves: usize,
    /// Warranty days of the shop.
    pub warranty_days: u32,
    /// Why nothing can be written, if so.
    pub read_only: Option<String>,
}

/// Returns the follow-up list.
pub fn follow_up(workbench: &Workbench, now: DateTime<Utc>) -> Result<FollowUp, AppError> {
    let archive = workbench.archive()?;
    let waiting = follow_up::waiting(&look(workbench, &archive.jobs, now));
    let numbers: BTreeSet<&str> = waiting.iter().map(|w| w.job.id.as_str()).collect();
    let chosen: Vec<&Job> = waiting.iter().map(|w| w.job).collect();
    let day = workbench.day(now);
    let past = archive.jobs.iter().filter(|job| {
        let days = (day - job.closed_on).num_days();
        job.outcome == Outcome::UnknownSoFar && i64::from(workbench.shop.warranty_days) <= days
    });
    Ok(FollowUp {
        by_themselves: past.filter(|j| !numbers.contains(j.id.as_str())).count(),
        waiting: rows(workbench, &archive.jobs, &chosen, now)
            .into_iter()
            .zip(&waiting)
            .map(|(row, w)| WaitingRow {
                row,
                days: w.days,
                again: w.again.map(|job| job.job.clone()),
            })
            .collect(),
        warranty_days: workbench.shop.warranty_days,
        read_only: word::why_read_only(workbench, now)?,
    })
}

/// Returns the later jobs of the unit of job `number`, and those linked to it, earliest first.
pub fn later_jobs(
    workbench: &Workbench,
    number: &str,
    now: DateTime<Utc>,
) -> Result<Vec<JobRow>, AppError> {
    let archive = workbench.archive()?;
    let job = find(&archive.jobs, number)?;
    let chosen = follow_up::Chains::of(&archive.jobs).later(job);
    Ok(rows(workbench, &archive.jobs, &chosen, now))
}

/// Returns what the rules of the archive look at.
fn look<'a>(workbench: &'a Workbench, jobs: &'a [Job], now: DateTime<Utc>) -> Look<'a> {
    Look {
        jobs,
        boards: &workbench.boards,
        circuits: &workbench.circuits,
        cards: &[],
        as_of: workbench.day(now),
        warranty_days: workbench.shop.warranty_days,
    }
}

/// Returns the job called `number`: letters of either case, never by likeness.
pub(crate) fn find<'a>(jobs: &'a [Job], number: &str) -> Result<&'a Job, AppError> {
    let number = number.trim();
    jobs.iter()
        .find(|j| j.job == number)
        .or_else(|| jobs.iter().find(|j| j.job.eq_ignore_ascii_case(number)))
        .ok_or_else(|| no_such_job(number))
}

pub(crate) fn no_such_job(number: &str) -> AppError {
    AppError::NotOfJob {
        job: clean(number.trim()),
        why: "there is no such job, or its lines contradict each other".to_owned(),
        todo: "`benchlore jobs list` names the jobs, `benchlore jobs check` what is wrong"
            .to_owned(),
    }
}
