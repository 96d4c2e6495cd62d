//! Writing what a form says: a new job, or a line that corrects one.
//!
//! The order is: the job first, then the end of its open log, then the draft is thrown away. Saving the
//! same form again after a cut writes nothing twice: a job that says exactly this is recognised.

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;
use serde_json::Value;

use crate::app::entry::open;
use crate::app::entry::session::Session;
use crate::app::jobs;
use crate::app::jobs::JobRow;
use crate::app::jobs::word;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::generate::coded::tier;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Missing;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::job::Job;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::store::jobs::Archive;
use crate::store::record::job::JobRecord;

/// What was written, and what the job is worth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Number of the job.
    pub number: String,
    /// Id of the line; of the one that was there where nothing was written.
    pub id: String,
    /// A line that says exactly this was there already.
    pub was_there: bool,
    /// The job as a row, with its tier.
    pub row: JobRow,
    /// What it lacks to be evidence of the best kind, each in words.
    pub lacks: Vec<String>,
    /// The earlier job of this unit, where what became of it is still to be said.
    pub earlier: Option<JobRow>,
}

impl Written {
    /// Returns what was written in sentences.
    pub fn lines(&self) -> Vec<String> {
        let number = clean(&self.number);
        let first = if self.was_there {
            format!("{number} was written already; nothing was written twice.")
        } else {
            format!("{number} is written: evidence {}.", self.row.tier_letter())
        };
        let mut lines = vec![first];
        if !self.lacks.is_empty() {
            lines.push(format!("For A: {}.", self.lacks.join("; ")));
        }
        lines.push("`benchlore deck build` adds it to the cards.".to_owned());
        lines
    }
}

fn refuse(number: Option<&str>, why: String, todo: &str) -> AppError {
    AppError::NotOfJob {
        job: clean(number.unwrap_or("without a number")),
        why,
        todo: todo.to_owned(),
    }
}

fn not_whole(draft: &Draft, missing: &[Missing]) -> AppError {
    let words: Vec<&str> = missing.iter().map(|m| m.words()).collect();
    refuse(
        draft.number.as_deref(),
        words.join(", "),
        "give what is missing",
    )
}

/// Writes what `form` says.
pub fn write(
    workbench: &Workbench,
    session: &Session,
    form: &Form,
    now: DateTime<Utc>,
) -> Result<Written, AppError> {
    let (filled, _) = session.read(workbench, form);
    let draft = &filled.draft;
    let missing = filled.missing();
    if !missing.is_empty() {
        return Err(not_whole(draft, &missing));
    }
    let person = &session.person;
    let (id, was_there) = match &form.purpose {
        Purpose::Correct(number) => correct(workbench, person, number, form, draft, now)?,
        Purpose::Add | Purpose::Close(_) => add(workbench, person, draft, now)?,
    };
    let number = draft.number.clone().unwrap_or_default();
    if let Purpose::Close(of) = &form.purpose {
        open::closed(workbench, person, of, &number, now)?;
    }
    session.throw_away(workbench)?;
    written(workbench, number, id, was_there, now)
}

fn add(
    workbench: &Workbench,
    person: &Person,
    draft: &Draft,
    now: DateTime<Utc>,
) -> Result<(String, bool), AppError> {
    word::change(workbench, person, now, |archive| {
        let id = word::next_id(workbench, archive, 0);
        let mut new =
            JobRecord::of_draft(draft, &id).map_err(|missing| not_whole(draft, &missing))?;
        word::sign(workbench, &mut new, person, now);
        if let Some(there) = with_number(archive, &new.job.job) {
            let same = Job {
                id: there.job.id.clone(),
                ..new.job.clone()
            };
            if same == there.job {
                return Ok((Vec::new(), (there.job.id.clone(), true)));
            }
            return Err(refuse(
                draft.number.as_deref(),
                "the number is taken by another job".to_owned(),
                "give it another number",
            ));
        }
        Ok((vec![new], (id, false)))
    })
}

fn with_number<'a>(archive: &'a Archive, number: &str) -> Option<&'a JobRecord> {
    let mut all = archive.jobs.iter().chain(&archive.disputed);
    all.find(|r| r.job.job.eq_ignore_ascii_case(number))
}

fn correct(
    workbench: &Workbench,
    person: &Person,
    number: &str,
    form: &Form,
    draft: &Draft,
    now: DateTime<Utc>,
) -> Result<(String, bool), AppError> {
    word::change(workbench, person, now, |archive| {
        let old = word::record(archive, number)?;
        let renamed = draft.number.as_deref().unwrap_or_default();
        if let Some(other) = with_number(archive, renamed)
            && other.job.id != old.job.id
        {
            let why = format!("{} is another job", clean(renamed));
            return Err(refuse(Some(number), why, "keep its number"));
        }
        let mut new = word::correction(workbench, archive, old, person, now, 0);
        let said = draft
            .job(&new.job.id)
            .map_err(|missing| not_whole(draft, &missing))?;
        new.job = Job {
            corrects: new.job.corrects.clone(),
            withdrawn: false,
            ..said
        };
        let minutes = draft.effort.minutes;
        let mut extras = minutes != form.base.effort.minutes;
        if extras {
            put(&mut new, "minutes", minutes.map(Value::from));
        }
        if draft.note != form.base.note {
            extras = true;
            put(&mut new, "note", draft.note.clone().map(Value::from));
        }
        let same = Job {
            id: old.job.id.clone(),
            corrects: old.job.corrects.clone(),
            effort: old.job.effort,
            ..new.job.clone()
        };
        if same == old.job && !extras {
            let todo = "change something, or leave it with Esc";
            return Err(refuse(Some(number), "nothing was changed".to_owned(), todo));
        }
        if !form.words.trim().is_empty() {
            // What was typed is kept beside what was typed before.
            let mut raw = new
                .extra("raw")
                .cloned()
                .unwrap_or_else(|| serde_json::json!({}));
            if let Some(raw) = raw.as_object_mut() {
                raw.insert(
                    format!("words of {}", new.job.id),
                    form.words.as_str().into(),
                );
            }
            new.set_extra("raw", raw);
        }
        let id = new.job.id.clone();
        Ok((vec![new], (id, false)))
    })
}

fn put(record: &mut JobRecord, field: &str, value: Option<Value>) {
    match value {
        Some(value) => record.set_extra(field, value),
        None => record.clear_extra(field),
    }
}

fn written(
    workbench: &Workbench,
    number: String,
    id: String,
    was_there: bool,
    now: DateTime<Utc>,
) -> Result<Written, AppError> {
    let archive = workbench.archive()?;
    let job = jobs::find(&archive.jobs, &number)?;
    let earlier = job.follows.as_ref().and_then(|f| {
        let mut all = archive.jobs.iter();
        all.find(|j| j.job == *f || j.id == *f)
            .filter(|j| !tier::bounced(j))
    });
    let chosen: Vec<&Job> = [Some(job), earlier].into_iter().flatten().collect();
    let mut rows = jobs::rows(workbench, &archive.jobs, &chosen, now).into_iter();
    let row = rows.next().ok_or_else(|| jobs::no_such_job(&number))?;
    Ok(Written {
        lacks: lacks(job, row.held, workbench.shop.warranty_days),
        earlier: rows.next(),
        number,
        id,
        was_there,
        row,
    })
}

fn lacks(job: &Job, held: bool, warranty_days: u32) -> Vec<String> {
    if job.fix().is_empty() {
        return Vec::new();
    }
    let mut lacks = Vec::new();
    if !tier::is_proved(job) {
        lacks.push("what proved the fix".to_owned());
    }
    let read = |f: &crate::domain::job::Finding| f.is_electrical() && tier::is_before_repair(f);
    if !job.findings.iter().any(read) {
        lacks.push("a reading from before the repair".to_owned());
    }
    if !held && !tier::bounced(job) {
        let ends: NaiveDate = job.closed_on + chrono::Days::new(u64::from(warranty_days));
        let what = if job.unit.is_some() {
            format!("that it holds: it counts from {ends} on, if the unit stays away")
        } else {
            format!("that it held: someone has to say so from {ends} on, the unit is not known")
        };
        lacks.push(what);
    }
    lacks
}
