//! What a person says about a closed job later: it held, or it came back as another job.
//!
//! Each is a new line that corrects the one before; no line is ever rewritten, and fields that this
//! program does not know go along. The lock of the bench's own file is held from reading to writing,
//! so that a second try sees the first.

use chrono::DateTime;
use chrono::Utc;
use serde_json::Value;

use crate::app::jobs;
use crate::app::jobs::JobRow;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::domain::job::BounceCause;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::UNLOCATED;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::wording::outcome_text;
use crate::store::jobs::Archive;
use crate::store::lock::Holder;
use crate::store::record::job::JobRecord;

/// What came of a word about a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted {
    /// What stands now, in a sentence.
    pub now: String,
    /// Numbers of the jobs that got a line; empty when it was so already.
    pub written: Vec<String>,
}

/// How a job came back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Came {
    /// The repair failed, or may have: the earlier job bounced.
    Back {
        /// Why.
        cause: BounceCause,
        /// The same fault, where a person says; else the circuits are compared.
        same_fault: Option<bool>,
    },
    /// Only the link is written: the earlier repair stays as it is.
    OnlyLink,
}

/// Writes that the repair of job `number` held.
pub fn held(
    workbench: &Workbench,
    number: &str,
    person: &Person,
    now: DateTime<Utc>,
) -> Result<Noted, AppError> {
    note(workbench, person, now, |archive| {
        let old = record(archive, number)?;
        let job = &old.job;
        let refuse = |why: String, todo: &str| AppError::NotOfJob {
            job: clean(&job.job),
            why,
            todo: todo.to_owned(),
        };
        match job.outcome {
            Outcome::Held => return Ok((Vec::new(), already(job, "held"))),
            Outcome::UnknownSoFar => {}
            Outcome::NoFix => {
                let why = "it ended without a fix, so nothing can have held".to_owned();
                return Err(refuse(why, "correct the job if it was fixed after all"));
            }
            Outcome::BouncedSameFault | Outcome::BouncedOtherFault => {
                let why = "it is recorded as come back".to_owned();
                return Err(refuse(
                    why,
                    "`benchlore jobs take-back` undoes that, if it is wrong",
                ));
            }
        }
        let ends = job.closed_on + chrono::Days::new(u64::from(workbench.shop.warranty_days));
        if workbench.day(now) < ends {
            let why = format!("its warranty days run until {ends}");
            return Err(refuse(why, "passed on the bench is not held: say it then"));
        }
        let mut new = correction(workbench, archive, old, person, now, 0);
        new.job.outcome = Outcome::Held;
        let text = format!("{} held", clean(&job.job));
        Ok((vec![new], text))
    })
}

/// Writes that job `number` came back as job `by`: the link, and what it says of the repair.
pub fn returned(
    workbench: &Workbench,
    number: &str,
    by: &str,
    came: &Came,
    person: &Person,
    now: DateTime<Utc>,
) -> Result<Noted, AppError> {
    note(workbench, person, now, |archive| {
        let earlier = record(archive, number)?;
        let later = record(archive, by)?;
        check_pair(&earlier.job, &later.job)?;
        let mut lines = Vec::new();
        if !follows(&later.job, &earlier.job) {
            if let Some(other) = &later.job.follows {
                return Err(AppError::NotOfJob {
                    job: clean(&later.job.job),
                    why: format!("it follows {} already", clean(other)),
                    todo: "link it to its latest earlier job only".to_owned(),
                });
            }
            let mut new = correction(workbench, archive, later, person, now, 0);
            new.job.follows = Some(earlier.job.job.clone());
            lines.push(new);
        }
        if let Came::Back { cause, same_fault } = came {
            let outcome = fault_of(&earlier.job, &later.job, *same_fault)?;
            if (earlier.job.outcome, earlier.job.bounce_cause) != (outcome, Some(*cause)) {
                let mut new = correction(workbench, archive, earlier, person, now, lines.len());
                new.job.outcome = outcome;
                new.job.bounce_cause = Some(*cause);
                lines.push(new);
            }
        }
        let text = match came {
            _ if lines.is_empty() => {
                already(&earlier.job, &format!("returned as {}", later.job.job))
            }
            Came::OnlyLink => format!("{} follows {}", later.job.job, earlier.job.job),
            Came::Back { .. } => {
                let outcome = lines.iter().find(|l| l.job.job == earlier.job.job);
                let told = outcome.map_or_else(String::new, |l| {
                    format!(": {}", crate::domain::wording::outcome_text(&l.job))
                });
                format!("{} came back as {}{told}", earlier.job.job, later.job.job)
            }
        };
        Ok((lines, clean(&text)))
    })
}

/// Takes back the latest correction of each job of `numbers`: what stood before stands again.
pub fn take_back(
    workbench: &Workbench,
    numbers: &[String],
    person: &Person,
    now: DateTime<Utc>,
) -> Result<Noted, AppError> {
    note(workbench, person, now, |archive| {
        let mut lines: Vec<JobRecord> = Vec::new();
        for number in numbers {
            let live = record(archive, number)?;
            let before = live
                .job
                .corrects
                .as_ref()
                .and_then(|id| archive.replaced.iter().find(|r| r.job.id == *id));
            let Some(before) = before else {
                return Err(AppError::NotOfJob {
                    job: clean(&live.job.job),
                    why: "nothing about it was corrected".to_owned(),
                    todo: "`benchlore jobs show` shows it as it stands".to_owned(),
                });
            };
            let mut new = correction(workbench, archive, live, person, now, lines.len());
            let (id, corrects) = (new.job.id.clone(), new.job.corrects.clone());
            new = before.clone();
            new.job.id = id;
            new.job.corrects = corrects;
            sign(workbench, &mut new, person, now);
            lines.push(new);
        }
        let stands: Vec<String> = lines
            .iter()
            .map(|line| format!("{} as before: {}", line.job.job, outcome_text(&line.job)))
            .collect();
        Ok((lines, clean(&stands.join("; "))))
    })
}

/// Tells why nothing can be written about jobs here, if so.
pub fn why_read_only(
    workbench: &Workbench,
    now: DateTime<Utc>,
) -> Result<Option<String>, AppError> {
    let why = crate::store::jobs::why_read_only(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.bench,
        &holder("archive", now),
    )?;
    Ok(why.map(|error| chain(&AppError::from(error))))
}

/// Tells whether the circuits say by themselves that two jobs had the same fault; none when one of
/// them was never located.
pub fn same_fault(earlier: &JobRow, later: &JobRow) -> Option<bool> {
    same(earlier.family.as_deref(), later.family.as_deref())
}

fn same(earlier: Option<&str>, later: Option<&str>) -> Option<bool> {
    let located = |f: Option<&str>| f.filter(|f| *f != UNLOCATED).map(str::to_owned);
    Some(located(earlier)? == located(later)?)
}

fn fault_of(earlier: &Job, later: &Job, told: Option<bool>) -> Result<Outcome, AppError> {
    let same = told.or_else(|| same(earlier.family.as_deref(), later.family.as_deref()));
    match same {
        Some(true) => Ok(Outcome::BouncedSameFault),
        Some(false) => Ok(Outcome::BouncedOtherFault),
        None => Err(AppError::NotOfJob {
            job: clean(&earlier.job),
            why: "the circuits cannot be compared: one fault was never located".to_owned(),
            todo: "say it with --fault same or --fault other".to_owned(),
        }),
    }
}

fn check_pair(earlier: &Job, later: &Job) -> Result<(), AppError> {
    let differ = |x: &Option<String>, y: &Option<String>| x.is_some() && y.is_some() && x != y;
    let why = if earlier.id == later.id {
        "a job cannot be its own return".to_owned()
    } else if later.closed_on < earlier.closed_on {
        format!("{} was closed before it", clean(&later.job))
    } else if later.board != earlier.board {
        format!("{} is on another board", clean(&later.job))
    } else if differ(&earlier.unit, &later.unit) {
        format!("{} is of another unit", clean(&later.job))
    } else if follows(earlier, later) {
        format!("it follows {} itself", clean(&later.job))
    } else {
        return Ok(());
    };
    Err(AppError::NotOfJob {
        job: clean(&earlier.job),
        why,
        todo: "look at both with `benchlore jobs show`".to_owned(),
    })
}

fn follows(later: &Job, earlier: &Job) -> bool {
    let named = later.follows.as_ref();
    named.is_some_and(|f| *f == earlier.job || *f == earlier.id)
}

fn already(job: &Job, what: &str) -> String {
    format!(
        "{} is recorded as {what} already; nothing was written",
        clean(&job.job)
    )
}

pub(crate) fn record<'a>(archive: &'a Archive, number: &str) -> Result<&'a JobRecord, AppError> {
    let number = number.trim();
    let exact = archive.jobs.iter().find(|r| r.job.job == number);
    exact
        .or_else(|| {
            let mut jobs = archive.jobs.iter();
            jobs.find(|r| r.job.job.eq_ignore_ascii_case(number))
        })
        .ok_or_else(|| jobs::no_such_job(number))
}

/// Returns the id of a line to be written, `nth` of those written together.
pub(crate) fn next_id(workbench: &Workbench, archive: &Archive, nth: usize) -> String {
    let taken = |id: &str| {
        let all = [&archive.jobs, &archive.replaced, &archive.disputed];
        all.into_iter().flatten().any(|r| r.job.id == id)
    };
    let first = archive.jobs.len() + archive.replaced.len() + archive.disputed.len() + 1 + nth;
    (first..=first * 2)
        .map(|n| format!("{}-w{n}", workbench.bench))
        .find(|id| !taken(id))
        .unwrap_or_default()
}

/// Returns a line that corrects `old` and says the same so far; `nth` of those written together.
pub(crate) fn correction(
    workbench: &Workbench,
    archive: &Archive,
    old: &JobRecord,
    person: &Person,
    now: DateTime<Utc>,
    nth: usize,
) -> JobRecord {
    let mut new = old.clone();
    new.job.id = next_id(workbench, archive, nth);
    new.job.corrects = Some(old.job.id.clone());
    sign(workbench, &mut new, person, now);
    new
}

pub(crate) fn sign(
    workbench: &Workbench,
    new: &mut JobRecord,
    person: &Person,
    now: DateTime<Utc>,
) {
    let who = person.initials.to_lowercase();
    new.set_extra("entered_by", Value::from(who));
    new.set_extra("entered_on", Value::from(workbench.day(now).to_string()));
}

fn holder(who: &str, now: DateTime<Utc>) -> Holder {
    Holder {
        who: format!("{who}, jobs"),
        since: now,
    }
}

pub(crate) fn change<T>(
    workbench: &Workbench,
    person: &Person,
    now: DateTime<Utc>,
    what: impl FnOnce(&Archive) -> Result<(Vec<JobRecord>, T), AppError>,
) -> Result<T, AppError> {
    crate::store::jobs::change_jobs(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.bench,
        &holder(&person.initials, now),
        &workbench.shop,
        what,
    )
}

fn note(
    workbench: &Workbench,
    person: &Person,
    now: DateTime<Utc>,
    what: impl FnOnce(&Archive) -> Result<(Vec<JobRecord>, String), AppError>,
) -> Result<Noted, AppError> {
    change(workbench, person, now, |archive| {
        let (lines, text) = what(archive)?;
        let written = lines.iter().map(|l| l.job.job.clone()).collect();
        Ok((lines, Noted { now: text, written }))
    })
}
