//! Jobs still on a bench: begun, logged, handed on, called off; closing one is a form of its own.

use chrono::DateTime;
use chrono::Utc;

use crate::app::entry::session::count_on;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::intake::open_job;
use crate::domain::intake::open_job::Entry;
use crate::domain::intake::open_job::Event;
use crate::domain::intake::open_job::OpenJob;
use crate::domain::intake::open_job::OpenJobs;
use crate::domain::job::Job;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::store::entry::open_log;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::lock::Holder;
use crate::store::paths;

/// A job to begin.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NewOpen {
    /// Number; the next one where none is given.
    pub number: Option<String>,
    /// Board id.
    pub board: String,
    /// Revision.
    pub rev: Option<String>,
    /// Customer's words.
    pub complaint: String,
    /// Mark of the unit.
    pub unit: Option<String>,
}

/// Returns the jobs still open, on whatever bench, the oldest first.
pub fn list(workbench: &Workbench) -> Result<Vec<OpenJob>, AppError> {
    Ok(all(workbench)?.0.open)
}

/// Returns what the events of all benches come to, and what is damaged.
pub fn all(workbench: &Workbench) -> Result<(OpenJobs, Vec<Fault>), AppError> {
    let (entries, faults) = open_log::load(workbench.disk.as_ref(), &workbench.folder)?;
    Ok((open_job::fold(&entries), faults))
}

/// Returns the open job of this number.
pub fn find(jobs: &[OpenJob], number: &str) -> Result<OpenJob, AppError> {
    let number = number.trim();
    let found = jobs.iter().find(|j| j.number.eq_ignore_ascii_case(number));
    found.cloned().ok_or_else(|| AppError::NotOfJob {
        job: clean(number),
        why: "no such job is open".to_owned(),
        todo: "`benchlore jobs open` lists the jobs still on a bench".to_owned(),
    })
}

/// Returns the number after the last one given, as its pattern counts; `previous` names the pattern.
pub fn next_number(
    workbench: &Workbench,
    jobs: &[Job],
    previous: Option<&Job>,
) -> Result<Option<String>, AppError> {
    let (entries, _) = open_log::load(workbench.disk.as_ref(), &workbench.folder)?;
    Ok(following(&entries, jobs, previous))
}

fn following(entries: &[Entry], jobs: &[Job], previous: Option<&Job>) -> Option<String> {
    let last = previous.or(jobs.last()).map(|j| j.job.as_str());
    let last = last.or(entries.last().map(|e| e.job.as_str()))?;
    let taken = jobs.iter().map(|j| j.job.as_str());
    count_on(last, taken.chain(entries.iter().map(|e| e.job.as_str())))
}

fn say<T>(
    workbench: &Workbench,
    person: &Person,
    now: DateTime<Utc>,
    may: impl FnOnce(&[Entry]) -> Result<(String, Event), AppError>,
    then: impl FnOnce(Entry) -> T,
) -> Result<T, AppError> {
    let by = person.initials.to_lowercase();
    let holder = Holder {
        who: format!("{}, open jobs", person.initials),
        since: now,
    };
    let entry = open_log::append(
        &workbench.disk,
        &workbench.folder,
        &workbench.bench,
        &holder,
        (&by, now),
        may,
    )?;
    Ok(then(entry))
}

/// Begins a job and returns its number.
pub fn begin(
    workbench: &Workbench,
    person: &Person,
    new: &NewOpen,
    now: DateTime<Utc>,
) -> Result<String, AppError> {
    let board = workbench
        .boards
        .iter()
        .find(|b| b.id.eq_ignore_ascii_case(new.board.trim()));
    let Some(board) = board else {
        return Err(AppError::Unknown {
            what: "board",
            id: clean(&new.board),
            known: workbench.board_ids(),
        });
    };
    let jobs = workbench.archive()?.jobs;
    let who = person.initials.to_lowercase();
    let previous = jobs
        .iter()
        .rfind(|j| j.closed_by.as_deref() == Some(who.as_str()));
    let may = |entries: &[Entry]| {
        let number = new.number.as_deref().map(|n| n.trim().to_owned());
        let number = number.filter(|n| !n.is_empty());
        let number = number.or_else(|| following(entries, &jobs, previous));
        let refuse = |job: &str, why: &str| AppError::NotOfJob {
            job: clean(job),
            why: why.to_owned(),
            todo: "give its number with --number".to_owned(),
        };
        let Some(number) = number else {
            return Err(refuse(
                "without a number",
                "there is no number to count on from",
            ));
        };
        let same = |other: &str| other.eq_ignore_ascii_case(&number);
        if jobs.iter().any(|j| same(&j.job)) {
            return Err(refuse(&number, "it is closed already"));
        }
        if entries.iter().any(|e| same(&e.job)) {
            return Err(refuse(&number, "the number is taken by a job of a bench"));
        }
        let event = Event::Begin {
            board: board.id.clone(),
            rev: new.rev.clone(),
            complaint: new.complaint.trim().to_owned(),
            unit: new.unit.clone(),
        };
        Ok((number, event))
    };
    say(workbench, person, now, may, |entry| entry.job)
}

/// Says something about an open job: its number is checked under the lock.
fn about(
    workbench: &Workbench,
    person: &Person,
    number: &str,
    event: Event,
    now: DateTime<Utc>,
) -> Result<OpenJob, AppError> {
    let may = |entries: &[Entry]| {
        let job = find(&open_job::fold(entries).open, number)?;
        Ok((job.number, event))
    };
    let number = say(workbench, person, now, may, |entry| entry.job)?;
    let jobs = all(workbench)?.0;
    // Closed or called off it is not there any more; what it was is of no use then.
    find(&jobs.open, &number).or_else(|_| {
        Ok(OpenJob {
            number,
            board: String::new(),
            rev: None,
            complaint: String::new(),
            unit: None,
            since: now,
            with: String::new(),
            log: Vec::new(),
        })
    })
}

/// Adds a line to an open job and returns the job.
pub fn log(
    workbench: &Workbench,
    person: &Person,
    number: &str,
    words: &str,
    now: DateTime<Utc>,
) -> Result<OpenJob, AppError> {
    if words.trim().is_empty() {
        return Err(AppError::NotOfJob {
            job: clean(number),
            why: "nothing was said".to_owned(),
            todo: "say what was seen or done".to_owned(),
        });
    }
    let words = words.trim().to_owned();
    about(workbench, person, number, Event::Log { words }, now)
}

/// Hands an open job to a person of the shop or to another bench.
pub fn hand(
    workbench: &Workbench,
    person: &Person,
    number: &str,
    to: &str,
    now: DateTime<Utc>,
) -> Result<OpenJob, AppError> {
    let to = to.trim().to_lowercase();
    let people = workbench.people()?;
    let known = people
        .iter()
        .find(|p| p.id == to || p.initials.eq_ignore_ascii_case(&to));
    let to = match known {
        Some(person) => person.initials.to_lowercase(),
        None => paths::safe_name(&to).map_err(StoreError::from)?.to_owned(),
    };
    about(workbench, person, number, Event::Hand { to }, now)
}

/// Calls an open job off.
pub fn call_off(
    workbench: &Workbench,
    person: &Person,
    number: &str,
    why: &str,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let why = why.trim().to_owned();
    about(workbench, person, number, Event::CallOff { why }, now).map(drop)
}

/// Writes down that an open job became the closed job `job`; nothing where it is open no more.
pub fn closed(
    workbench: &Workbench,
    person: &Person,
    number: &str,
    job: &str,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    if find(&list(workbench)?, number).is_err() {
        return Ok(());
    }
    let job = job.to_owned();
    about(workbench, person, number, Event::Close { job }, now).map(drop)
}
