//! A form under way: what it is read against, and how it is kept from key to key.
//!
//! The archive is read once, when the form is opened. A serial comes in, its mark goes out; the serial
//! itself is kept nowhere.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::entry::open;
use crate::app::jobs::word;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::intake::advice;
use crate::domain::intake::advice::Beside;
use crate::domain::intake::advice::Remark;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::form;
use crate::domain::intake::form::Filled;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::form::Shelf;
use crate::domain::intake::form::Slot;
use crate::domain::intake::form_words;
use crate::domain::intake::words::Words;
use crate::domain::job::Job;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::unit_mark::unit_mark;
use crate::store::entry::form_file::FormFile;
use crate::store::error::StoreError;
use crate::store::jobs::Archive;
use crate::store::lock::Holder;
use crate::store::record::job::JobRecord;

/// A form under way, of one person at this bench.
#[derive(Debug)]
pub struct Session {
    /// Whose it is.
    pub person: Person,
    file: Option<FormFile>,
    jobs: Vec<Job>,
    texts: BTreeMap<String, String>,
    facts: BTreeMap<String, BoardFacts>,
    places: BTreeMap<String, Arc<[String]>>,
    words: Words,
    previous: Option<usize>,
    next_number: Option<String>,
    today: NaiveDate,
}

/// How a form begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Begun {
    /// The form.
    pub form: Form,
    /// It was left unfinished before.
    pub kept: bool,
}

/// What is known of a unit once its serial was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct UnitFound {
    /// Its mark.
    pub mark: String,
    /// Number of its latest job here.
    pub earlier: Option<String>,
}

fn holder(person: &Person, now: DateTime<Utc>) -> Holder {
    Holder {
        who: person.initials.clone(),
        since: now,
    }
}

/// Words as they are compared: small letters, single blanks.
fn same_words(text: &str) -> String {
    let words = text.split_whitespace().map(str::to_lowercase);
    words.collect::<Vec<_>>().join(" ")
}

impl Session {
    /// Opens the form of `person` and returns what is to be filled in: what was left unfinished before,
    /// whatever it was for, else a new form.
    pub fn open(
        workbench: &Workbench,
        person: &Person,
        purpose: Purpose,
        now: DateTime<Utc>,
    ) -> Result<(Self, Begun), AppError> {
        let (file, kept, _) = FormFile::open(
            workbench.disk.as_ref(),
            &workbench.folder,
            &workbench.bench,
            &person.id,
            &holder(person, now),
        )
        .map_err(|why| match why {
            StoreError::Busy { holder, .. } => AppError::FormOpen { holder },
            other => other.into(),
        })?;
        let archive = load(workbench)?;
        let kept = kept.filter(Form::is_touched);
        let unfinished = kept.is_some();
        let form = match kept {
            Some(form) => form,
            None => new_form(workbench, &archive, purpose)?,
        };
        let mut session = Self::over(workbench, person, &archive, &form.purpose, now)?;
        session.file = Some(file);
        let begun = Begun {
            form,
            kept: unfinished,
        };
        Ok((session, begun))
    }

    /// Returns a session that keeps nothing, for a form that comes whole.
    pub fn passing(
        workbench: &Workbench,
        person: &Person,
        purpose: &Purpose,
        now: DateTime<Utc>,
    ) -> Result<(Self, Form), AppError> {
        let archive = load(workbench)?;
        let form = new_form(workbench, &archive, purpose.clone())?;
        let mut session = Self::over(workbench, person, &archive, purpose, now)?;
        // Nobody looks at what a script takes for usual.
        session.previous = None;
        Ok((session, form))
    }

    fn over(
        workbench: &Workbench,
        person: &Person,
        archive: &Archive,
        purpose: &Purpose,
        now: DateTime<Utc>,
    ) -> Result<Self, AppError> {
        let corrected = match purpose {
            Purpose::Correct(number) => Some(number.as_str()),
            _ => None,
        };
        let counted: Vec<&JobRecord> = archive
            .jobs
            .iter()
            .filter(|r| corrected.is_none_or(|n| !r.job.job.eq_ignore_ascii_case(n)))
            .collect();
        let jobs: Vec<Job> = counted.iter().map(|r| r.job.clone()).collect();
        let typed_before = counted
            .iter()
            .filter_map(|r| Some((same_words(entered(r)?), r.job.job.clone())))
            .collect();
        let mut facts: BTreeMap<String, BoardFacts> = workbench
            .boards
            .iter()
            .map(|b| (b.id.clone(), BoardFacts::of(b)))
            .collect();
        for job in &jobs {
            if let Some(facts) = facts.get_mut(&job.board) {
                facts.see(job);
            }
        }
        let places = facts
            .iter()
            .map(|(board, facts)| (board.clone(), named_places(facts)))
            .collect();
        let who = person.initials.to_lowercase();
        let previous = jobs
            .iter()
            .rposition(|j| j.closed_by.as_deref() == Some(who.as_str()))
            .filter(|_| *purpose == Purpose::Add);
        let next_number = open::next_number(workbench, &jobs, previous.map(|at| &jobs[at]))?;
        Ok(Self {
            person: person.clone(),
            file: None,
            texts: typed_before,
            facts,
            places,
            words: Words::with_shop(&workbench.shop.sheet_words),
            previous,
            next_number,
            today: workbench.day(now),
            jobs,
        })
    }

    /// Returns the form as it is understood, and what there is to say before it is saved.
    pub fn read(&self, workbench: &Workbench, form: &Form) -> (Filled, Vec<Remark>) {
        let who = self.person.initials.to_lowercase();
        let against = Shelf {
            words: &self.words,
            boards: &workbench.boards,
            facts: &self.facts,
            circuits: &workbench.circuits,
            jobs: &self.jobs,
            previous: self.previous.map(|at| &self.jobs[at]),
            next_number: self.next_number.as_deref(),
            by: Some(&who),
            today: self.today,
        };
        let mut filled = form::fill(form, &against);
        let board_id = filled.draft.board.clone();
        let board = workbench
            .boards
            .iter()
            .find(|b| Some(&b.id) == board_id.as_ref());
        let text = said(form);
        let same_text = self.texts.get(&same_words(&form.words));
        let beside = Beside {
            board,
            facts: board.and_then(|b| self.facts.get(&b.id)),
            jobs: &self.jobs,
            words: &workbench.words,
            proposed: &filled.proposed.actions,
            text: &text,
            same_text: same_text.map(String::as_str),
        };
        let remarks = advice::remarks(&filled.draft, &beside);
        advice::never_the_fix(&mut filled.draft, board);
        for row in &mut filled.actions {
            let alone = Draft {
                actions: vec![row.what.clone()],
                ..filled.draft.clone()
            };
            if advice::unsafe_act(&alone, 0, board).is_some()
                && row.what.role == crate::domain::job::Role::TheFix
            {
                row.what.role = crate::domain::job::Role::AlsoDone;
            }
        }
        (filled, remarks)
    }

    /// Returns the jobs that count, without the one that is corrected.
    pub fn jobs(&self) -> &[Job] {
        &self.jobs
    }

    /// Returns the nets and designators seen on a board.
    pub fn places(&self, board: Option<&str>) -> Arc<[String]> {
        let found = board.and_then(|id| self.places.get(id));
        found.cloned().unwrap_or_else(|| Arc::from(Vec::new()))
    }

    /// Returns the revisions known of a board.
    pub fn revisions(&self, board: Option<&str>) -> Vec<String> {
        let facts = board.and_then(|id| self.facts.get(id));
        facts.map_or_else(Vec::new, |f| f.revisions.iter().cloned().collect())
    }

    /// Keeps the form as it is now, or forgets it where nothing was typed.
    pub fn keep(&self, workbench: &Workbench, form: &Form) -> Result<(), AppError> {
        let Some(file) = &self.file else {
            return Ok(());
        };
        if form.is_touched() {
            file.save(workbench.disk.as_ref(), form)?;
        } else {
            file.clear(workbench.disk.as_ref())?;
        }
        Ok(())
    }

    /// Throws the form away.
    pub fn throw_away(&self, workbench: &Workbench) -> Result<(), AppError> {
        if let Some(file) = &self.file {
            file.clear(workbench.disk.as_ref())?;
        }
        Ok(())
    }

    /// Returns the latest job of the unit with this mark.
    pub fn unit(&self, mark: &str) -> Option<&Job> {
        let of_it = |j: &&Job| j.unit.as_deref() == Some(mark);
        self.jobs.iter().rfind(of_it)
    }
}

/// What was said was done, in the words typed.
fn said(form: &Form) -> String {
    let done = form.typed.get(&Slot::Done);
    let all = [Some(&form.words), done];
    let all = all.into_iter().flatten().map(String::as_str);
    all.collect::<Vec<_>>().join("\n")
}

fn load(workbench: &Workbench) -> Result<Archive, AppError> {
    Ok(crate::store::jobs::load_jobs(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?)
}

/// What was typed when a job was entered here.
fn entered(record: &JobRecord) -> Option<&str> {
    let words = record.extra("raw")?.get("words")?.as_str()?;
    (!words.trim().is_empty()).then_some(words)
}

fn named_places(facts: &BoardFacts) -> Arc<[String]> {
    let all = facts.parts.keys().chain(&facts.places);
    let mut names: Vec<String> = all
        .filter(|name| name.chars().count() > 1 && !name.contains(char::is_whitespace))
        .map(|name| clean(name))
        .collect();
    names.sort();
    names.dedup_by(|a, b| a.eq_ignore_ascii_case(b));
    names.into()
}

fn new_form(workbench: &Workbench, archive: &Archive, purpose: Purpose) -> Result<Form, AppError> {
    match purpose {
        Purpose::Add => Ok(Form::default()),
        Purpose::Correct(number) => {
            let record = word::record(archive, &number)?;
            let mut base = Draft::of_job(&record.job);
            let note = record.extra("note").and_then(|n| n.as_str());
            base.note = note.map(str::to_owned);
            Ok(Form::of(Purpose::Correct(record.job.job.clone()), base))
        }
        Purpose::Close(number) => {
            let job = open::find(&open::list(workbench)?, &number)?;
            let mut form = Form::of(Purpose::Close(job.number.clone()), Draft::default());
            form.words = job.words();
            form.unit = job.unit;
            form.typed.insert(Slot::Number, job.number);
            form.typed.insert(Slot::Board, job.board);
            if let Some(rev) = job.rev {
                form.typed.insert(Slot::Rev, rev);
            }
            Ok(form)
        }
    }
}

/// Returns the mark of a unit. `drawn` (32 hexadecimal digits of chance) becomes the shop's key where it
/// has none yet; it is in shop.json before any mark is made with it.
pub fn mark_unit(
    workbench: &mut Workbench,
    person: &Person,
    serial: &str,
    drawn: &str,
    now: DateTime<Utc>,
) -> Result<Option<String>, AppError> {
    if !serial.chars().any(char::is_alphanumeric) {
        return Ok(None);
    }
    if workbench.shop.unit_key.is_none() {
        let record = crate::store::shop::change_shop(
            workbench.disk.as_ref(),
            &workbench.folder,
            &holder(person, now),
            |record| {
                if record.shop.unit_key.is_none() {
                    record.shop.unit_key = Some(drawn.to_owned());
                }
            },
        )?;
        workbench.shop.unit_key = record.shop.unit_key;
    }
    let key = workbench.shop.unit_key.as_deref();
    Ok(key.and_then(|key| unit_mark(key, serial)))
}

/// Returns the number after the highest of the pattern of `last`.
pub(crate) fn count_on<'a>(
    last: &'a str,
    numbers: impl Iterator<Item = &'a str>,
) -> Option<String> {
    let head = |number: &str| {
        let head = number.trim_end_matches(|c: char| c.is_ascii_digit());
        head.to_owned()
    };
    let pattern = head(last);
    let value = |number: &str| number[pattern.len()..].parse::<u64>().ok();
    let highest = numbers
        .chain([last])
        .filter(|number| head(number) == pattern)
        .max_by_key(|number| value(number))?;
    form_words::next_number(highest)
}
