//! What a person decides about a row, each decision on the disk before it is told.
//!
//! A job is written first and its entry after it: where the power goes between the two, the job's line
//! names its row, and the row counts as accepted. Taking back goes the same way: the job is withdrawn
//! by a correcting line, then the entry says so. No line is ever rewritten.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;
use serde_json::Value;

use crate::app::intake::Item;
use crate::app::intake::Session;
use crate::app::intake::holder;
use crate::app::intake::numbered;
use crate::app::jobs::word;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::intake::backlog::RowJob;
use crate::domain::intake::decision::Entry;
use crate::domain::intake::decision::Event;
use crate::domain::intake::decision::part_key;
use crate::domain::intake::decision::row_of;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::repair;
use crate::domain::intake::repair::Around;
use crate::domain::intake::repair::Side;
use crate::domain::intake::repair::Slot;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::store::fault::Weight;
use crate::store::intake::journal;
use crate::store::jobs::Archive;
use crate::store::jobs::change_jobs;
use crate::store::record::job;
use crate::store::record::job::ENVIRONMENTS;
use crate::store::record::job::JobRecord;
use crate::store::record::job::JobRules;

/// What came of a decision.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Decided {
    /// What stands now, in a sentence.
    pub now: String,
    /// Place in the list of the row to show next; it may be past the end.
    pub at: usize,
}

impl Session {
    fn refuse(&self, key: &str, why: impl Into<String>, todo: impl Into<String>) -> AppError {
        let at = self.row_at(key);
        AppError::NotOfRow {
            row: at.map_or_else(|_| clean(key), |at| self.called(key, at)),
            why: why.into(),
            todo: todo.into(),
        }
    }

    /// Returns what is known of a waiting row, or why nothing can be decided about it.
    fn open_row(&self, key: &str) -> Result<(usize, Arc<Suggested>), AppError> {
        if let Some(why) = &self.read_only {
            return Err(self.refuse(key, why.clone(), "end the other copy first"));
        }
        let at = self.row_at(key)?;
        if !self.items.iter().any(|item| item.key == key) {
            let by = self.backlog.row(key).and_then(|s| s.by.last());
            let by = by.map_or_else(String::new, |by| format!(" by {}", clean(by)));
            let why = format!("it was decided about already{by}");
            return Err(self.refuse(key, why, "take that back first"));
        }
        Ok((at, self.draft_at(key, at)))
    }

    fn append(&mut self, event: Event, now: DateTime<Utc>) -> Result<(), AppError> {
        let me = self.me();
        let Some(journal) = &mut self.journal else {
            let holder = self.read_only.clone().unwrap_or_default();
            return Err(AppError::ReadOnly { holder });
        };
        self.entries.push(journal.append(&me, event, now)?);
        Ok(())
    }

    /// Folds anew and puts what waits of a row where the row stood in the list, else at `place`.
    fn settle(&mut self, key: &str, place: usize) -> usize {
        self.refold();
        let row = row_of(key).to_owned();
        let first = self.items.iter().position(|i| row_of(&i.key) == row);
        let at = self.by_mark.get(&row).copied();
        let mut waiting: Vec<Item> = at.map_or_else(Vec::new, |at| self.items_of(at));
        self.items.retain(|i| row_of(&i.key) != row);
        let place = first.unwrap_or(place).min(self.items.len());
        let after = waiting.iter().position(|i| i.key == key).unwrap_or(0);
        self.items.splice(place..place, waiting.drain(..));
        place + after
    }

    /// Takes the row as a job: only when nothing required is missing.
    pub fn accept(&mut self, key: &str, now: DateTime<Utc>) -> Result<Decided, AppError> {
        let (at, known) = self.open_row(key)?;
        if let Some(clash) = self.backlog.clash(key) {
            return Err(self.refuse(key, clash, "m says which job it is"));
        }
        let missing = known.facts.missing();
        if !missing.is_empty() {
            let words: Vec<&str> = missing.iter().map(|m| m.words()).collect();
            let todo = "take a suggestion, or mend the field";
            return Err(self.refuse(key, words.join(", "), todo));
        }
        let (workbench, person) = (self.workbench.clone(), self.person.clone());
        let draft = self.whole(&known.facts, at);
        let source = self.called(key, at);
        let (line, number) = change_jobs(
            workbench.disk.as_ref(),
            &workbench.folder,
            &workbench.bench,
            &holder(&person.initials, now),
            &workbench.shop,
            |archive| accepted(&workbench, &person, archive, (key, &source), &draft, now),
        )?;
        self.row_jobs.push(RowJob {
            row: key.to_owned(),
            job: number.clone(),
            line: line.clone(),
            stands: true,
        });
        if let Ok(job) = draft.job(&line) {
            let (number, about) = numbered(&job);
            self.numbers.insert(number, about);
        }
        let event = Event::Accept {
            row: key.to_owned(),
            job: number.clone(),
            line,
        };
        let kept = self.append(event, now);
        let at = self.settle(key, 0);
        kept?;
        let left = repair::Slot::ALL
            .into_iter()
            .filter(|slot| repair::take(&mut (*known).clone(), *slot))
            .count();
        let left = match left {
            0 => String::new(),
            n => format!(
                ", without {}",
                crate::domain::text::number_of(n, "suggestion")
            ),
        };
        Ok(Decided {
            now: format!("{source} is {}{left}", clean(&number)),
            at,
        })
    }

    /// Returns the draft as it is written: it says where it came from and keeps every cell.
    pub(crate) fn whole(&self, facts: &Draft, at: usize) -> Draft {
        let row = &self.rows[at];
        let mut draft = facts.clone();
        draft.source = Some(row.source.clone());
        if draft.raw.is_empty() {
            draft.raw.clone_from(&row.cells);
        }
        draft
    }

    fn around<'a>(&'a self, known: &Suggested) -> Around<'a> {
        let board = known.facts.board.as_ref().or(known.maybe.board.as_ref());
        Around {
            words: &self.words,
            board: board.and_then(|b| self.facts.get(b)),
            boards: &self.boards,
            circuits: &self.circuits,
            environments: &ENVIRONMENTS,
        }
    }

    /// Returns what a row would be with one field said anew; nothing is written.
    pub fn read_anew(&self, key: &str, slot: Slot, words: &str) -> Result<Suggested, AppError> {
        let at = self.row_at(key)?;
        let known = self.draft_at(key, at);
        repair::mend(&known, slot, words, &self.around(&known))
            .map_err(|why| self.refuse(key, format!("{words:?} is not understood"), why))
    }

    /// Says one field anew in free words.
    pub fn mend(
        &mut self,
        key: &str,
        slot: Slot,
        words: &str,
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        self.open_row(key)?;
        let new = self.read_anew(key, slot, words)?;
        self.mended(key, new, now)
    }

    /// Takes what may be meant in one field as fact; in all fields without one.
    pub fn take(
        &mut self,
        key: &str,
        slot: Option<Slot>,
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        let (_, known) = self.open_row(key)?;
        let mut new = (*known).clone();
        match slot {
            Some(slot) => {
                repair::take(&mut new, slot);
            }
            None => new = repair::take_all(&new),
        }
        if new == *known {
            let todo = "r says it in your own words";
            return Err(self.refuse(key, "nothing is suggested there", todo));
        }
        self.mended(key, new, now)
    }

    fn mended(
        &mut self,
        key: &str,
        new: Suggested,
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        let missing: Vec<&str> = new.facts.missing().iter().map(|m| m.words()).collect();
        let event = Event::Repair {
            row: key.to_owned(),
            draft: Arc::new(new),
        };
        self.append(event, now)?;
        let at = self.settle(key, 0);
        let now = match missing.as_slice() {
            [] => "Kept; nothing required is missing: Enter accepts".to_owned(),
            missing => format!("Kept; still missing: {}", missing.join(", ")),
        };
        Ok(Decided { now, at })
    }

    /// Splits a row into two jobs; `sides` says where each of [`repair::items`] goes.
    pub fn split(
        &mut self,
        key: &str,
        sides: &[Side],
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        let (_, known) = self.open_row(key)?;
        if row_of(key) != key {
            let why = "it is a part of a row already";
            return Err(self.refuse(key, why, "take the split back to divide it otherwise"));
        }
        if self.backlog.clash(key).is_some() {
            return Err(self.refuse(key, "it is entered already", "m says which job it is"));
        }
        let event = Event::Split {
            row: key.to_owned(),
            parts: Arc::new(repair::split(&known, sides)),
        };
        self.append(event, now)?;
        let at = self.settle(key, 0);
        Ok(Decided {
            now: "Split: both jobs wait, the first one here".to_owned(),
            at,
        })
    }

    /// Passes a row over.
    pub fn skip(&mut self, key: &str, why: &str, now: DateTime<Utc>) -> Result<Decided, AppError> {
        let (at, _) = self.open_row(key)?;
        if let Some(clash) = self.backlog.clash(key) {
            return Err(self.refuse(key, clash, "m says which job it is"));
        }
        if why.trim().is_empty() {
            return Err(self.refuse(key, "no reason was given", "say why, in a word or two"));
        }
        let source = self.called(key, at);
        let event = Event::Skip {
            row: key.to_owned(),
            why: why.trim().to_owned(),
        };
        self.append(event, now)?;
        let at = self.settle(key, 0);
        Ok(Decided {
            now: format!("{source} is passed over: {}", clean(why.trim())),
            at,
        })
    }

    /// Says that a row is a job of the archive; jobs that were made of the row besides are withdrawn.
    pub fn same_as(
        &mut self,
        key: &str,
        number: &str,
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        let (at, _) = self.open_row(key)?;
        let number = number.trim();
        if !self.numbers.contains_key(number) {
            let why = format!("no job has the number {:?}", clean(number));
            return Err(self.refuse(key, why, "numbers are compared exactly"));
        }
        let keys = keys_of(key);
        let withdrew = self.withdraw(&keys, Some(number), now)?;
        let source = self.called(key, at);
        let gone = withdrew.len();
        let event = Event::SameAs {
            row: key.to_owned(),
            job: number.to_owned(),
            withdrew,
        };
        let kept = self.append(event, now);
        let at = self.settle(key, 0);
        kept?;
        let gone = match gone {
            0 => String::new(),
            n => format!("; {} withdrawn", crate::domain::text::number_of(n, "job")),
        };
        Ok(Decided {
            now: format!("{source} is the same job as {}{gone}", clean(number)),
            at,
        })
    }

    /// Withdraws the jobs made of these rows, but for one of the number `but`; returns the lines that
    /// no longer stand.
    fn withdraw(
        &mut self,
        keys: &BTreeSet<String>,
        but: Option<&str>,
        now: DateTime<Utc>,
    ) -> Result<Vec<String>, AppError> {
        let stands = |j: &&RowJob| j.stands && keys.contains(&j.row);
        if !self.row_jobs.iter().any(|j| stands(&j)) {
            return Ok(Vec::new());
        }
        let (workbench, person) = (self.workbench.clone(), self.person.clone());
        let gone: Vec<(String, String)> = change_jobs(
            workbench.disk.as_ref(),
            &workbench.folder,
            &workbench.bench,
            &holder(&person.initials, now),
            &workbench.shop,
            |archive| {
                let standing = archive.jobs.iter().chain(&archive.disputed);
                let mut from_row: Vec<&JobRecord> = standing
                    .filter(|r| journal::row_of(r).is_some_and(|row| keys.contains(row)))
                    .collect();
                from_row.sort_by(|a, b| a.job.id.cmp(&b.job.id));
                let stays = from_row
                    .iter()
                    .position(|r| Some(r.job.job.as_str()) == but);
                let mut lines = Vec::new();
                for (i, old) in from_row.iter().enumerate() {
                    if Some(i) != stays {
                        let nth = lines.len();
                        let mut new = word::correction(&workbench, archive, old, &person, now, nth);
                        new.job.withdrawn = true;
                        lines.push(new);
                    }
                }
                let gone = lines
                    .iter()
                    .filter_map(|l| Some((l.job.corrects.clone()?, l.job.job.clone())))
                    .collect();
                Ok::<_, AppError>((lines, gone))
            },
        )?;
        for job in &mut self.row_jobs {
            if gone.iter().any(|(line, _)| *line == job.line) {
                job.stands = false;
            }
        }
        for (_, number) in &gone {
            let elsewhere = self.row_jobs.iter().any(|j| j.stands && j.job == *number);
            if !elsewhere {
                self.numbers.remove(number);
            }
        }
        Ok(gone.into_iter().map(|(line, _)| line).collect())
    }

    /// Takes back this person's last decision about a row, on whatever day and bench it was made.
    pub fn undo(&mut self, place: usize, now: DateTime<Utc>) -> Result<Decided, AppError> {
        let me = self.me();
        let standing = self.backlog.standing.iter().rev();
        let own = standing.filter(|(_, by)| *by == me).filter_map(|(id, _)| {
            let entry = self.entries.iter().rev().find(|e| e.id == *id)?;
            entry.event.row().is_some().then_some(entry)
        });
        let Some(entry) = own
            .into_iter()
            .find(|e| self.still_says_something(e))
            .cloned()
        else {
            return Err(AppError::NotOfRow {
                row: "the backlog".to_owned(),
                why: "you have decided nothing that could be taken back".to_owned(),
                todo: "`benchlore jobs backlog undo ID` takes back what someone else decided"
                    .to_owned(),
            });
        };
        self.take_back(&entry, place, now)
    }

    /// Tells whether taking an entry back would change anything: a job may be withdrawn already.
    fn still_says_something(&self, entry: &Entry) -> bool {
        match &entry.event {
            // A later correction of the job has another line.
            Event::Accept { row, job, .. } => {
                let jobs = self.backlog.row(row).map(|s| &s.jobs);
                jobs.is_some_and(|jobs| jobs.iter().any(|(number, _)| number == job))
            }
            _ => true,
        }
    }

    /// Takes back the decision with this id, whoever made it.
    pub fn undo_entry(&mut self, id: &str, now: DateTime<Utc>) -> Result<Decided, AppError> {
        let stands = self.backlog.standing.iter().any(|(s, _)| s == id);
        let entry = self.entries.iter().find(|e| e.id == id).cloned();
        let Some(entry) = entry.filter(|_| stands) else {
            return Err(AppError::NotOfRow {
                row: clean(id),
                why: "there is no such decision, or it was taken back".to_owned(),
                todo: "`benchlore jobs backlog --json` names the decisions".to_owned(),
            });
        };
        self.take_back(&entry, 0, now)
    }

    fn take_back(
        &mut self,
        entry: &Entry,
        place: usize,
        now: DateTime<Utc>,
    ) -> Result<Decided, AppError> {
        let Some(key) = entry.event.row() else {
            let of = entry.id.clone();
            self.append(Event::Undo { of }, now)?;
            self.refold();
            let now = format!("Taken back: {}", clean(&entry.event.words()));
            return Ok(Decided { now, at: place });
        };
        let mut also = Vec::new();
        match &entry.event {
            Event::Accept { .. } => {
                self.withdraw(&BTreeSet::from([key.to_owned()]), None, now)?;
            }
            Event::Split { row, .. } => {
                let parts: BTreeSet<String> = (0..2).map(|p| part_key(row, p)).collect();
                self.withdraw(&parts, None, now)?;
                // What was decided about the parts must not come back with another split.
                let of_parts = self.entries.iter().filter(|e| {
                    let counts = self.backlog.standing.iter().any(|(id, _)| *id == e.id);
                    counts && e.event.row().is_some_and(|row| parts.contains(row))
                });
                also.extend(of_parts.map(|e| e.id.clone()));
            }
            Event::SameAs { withdrew, .. } if !withdrew.is_empty() => {
                self.restore(withdrew, now)?;
            }
            _ => {}
        }
        also.push(entry.id.clone());
        for of in also {
            self.append(Event::Undo { of }, now)?;
        }
        let shown = match &entry.event {
            Event::Split { row, .. } => row.clone(),
            _ => key.to_owned(),
        };
        let at = self.settle(&shown, place);
        let called = self.row_at(key).map(|at| self.called(key, at));
        let called = called.unwrap_or_else(|_| clean(key));
        Ok(Decided {
            now: format!("Taken back: {called} was {}", clean(&entry.event.words())),
            at,
        })
    }

    /// Lets jobs stand again that a merge withdrew.
    fn restore(&mut self, lines: &[String], now: DateTime<Utc>) -> Result<(), AppError> {
        let (workbench, person) = (self.workbench.clone(), self.person.clone());
        let back: Vec<RowJob> = change_jobs(
            workbench.disk.as_ref(),
            &workbench.folder,
            &workbench.bench,
            &holder(&person.initials, now),
            &workbench.shop,
            |archive| {
                let gone = archive.replaced.iter().filter(|r| {
                    let of = r.job.corrects.as_ref();
                    r.job.withdrawn && of.is_some_and(|of| lines.contains(of))
                });
                let mut new = Vec::new();
                for old in gone {
                    let mut line =
                        word::correction(&workbench, archive, old, &person, now, new.len());
                    line.job.withdrawn = false;
                    new.push(line);
                }
                let back = new
                    .iter()
                    .filter_map(|l| {
                        Some(RowJob {
                            row: journal::row_of(l)?.to_owned(),
                            job: l.job.job.clone(),
                            line: l.job.id.clone(),
                            stands: true,
                        })
                    })
                    .collect();
                Ok::<_, AppError>((new, back))
            },
        )?;
        self.row_jobs.extend(back);
        Ok(())
    }
}

/// Returns a key with the keys of its parts.
fn keys_of(key: &str) -> BTreeSet<String> {
    let mut keys = BTreeSet::from([key.to_owned()]);
    if row_of(key) == key {
        keys.extend((0..2).map(|part| part_key(key, part)));
    }
    keys
}

/// Returns the line of an accepted draft, with its id and number; no line where the row is a job
/// already (the power went before its entry was written).
fn accepted(
    workbench: &Workbench,
    person: &Person,
    archive: &Archive,
    (key, source): (&str, &str),
    draft: &Draft,
    now: DateTime<Utc>,
) -> Result<(Vec<JobRecord>, (String, String)), AppError> {
    let standing = || archive.jobs.iter().chain(&archive.disputed);
    if let Some(there) = standing().find(|r| journal::row_of(r) == Some(key)) {
        let said = (there.job.id.clone(), there.job.job.clone());
        return Ok((Vec::new(), said));
    }
    let number = draft.number.as_deref().unwrap_or_default();
    if standing().any(|r| r.job.job == number) {
        return Err(AppError::NotOfRow {
            row: source.to_owned(),
            why: format!("{} is in the archive already", clean(number)),
            todo: "m marks the row as that job; r gives it another number".to_owned(),
        });
    }
    let taken = |id: &str| standing().chain(&archive.replaced).any(|r| r.job.id == id);
    let id = free_id(&workbench.bench, key, &taken);
    let record = record_of(workbench, person, (key, source), draft, &id, now)?;
    Ok((vec![record], (id, number.to_owned())))
}

/// Returns the id of the line of a row's job: the same row gets the same on one bench.
pub(crate) fn free_id(bench: &str, key: &str, taken: &dyn Fn(&str) -> bool) -> String {
    let first = format!("{bench}-r{}", key.replace('/', "-"));
    let again = (2..).map(|n: u32| format!("{first}.{n}"));
    let mut all = std::iter::once(first.clone()).chain(again);
    all.find(|id| !taken(id)).unwrap_or(first)
}

/// Returns the record of a draft, once it was found to read back.
pub(crate) fn record_of(
    workbench: &Workbench,
    person: &Person,
    (key, source): (&str, &str),
    draft: &Draft,
    id: &str,
    now: DateTime<Utc>,
) -> Result<JobRecord, AppError> {
    let refuse = |why: String| AppError::NotOfRow {
        row: source.to_owned(),
        why,
        todo: "mend that field".to_owned(),
    };
    let lacks = |missing: Vec<crate::domain::intake::draft::Missing>| {
        let words: Vec<&str> = missing.iter().map(|m| m.words()).collect();
        refuse(words.join(", "))
    };
    let mut record = JobRecord::of_draft(draft, id).map_err(lacks)?;
    record.set_extra(journal::ROW, Value::from(key));
    record.set_extra("entered_by", Value::from(person.initials.to_lowercase()));
    record.set_extra("entered_on", Value::from(workbench.day(now).to_string()));
    let line = record
        .to_line()
        .map_err(|newer| refuse(newer.to_string()))?;
    let boards = workbench.boards.iter().map(|b| b.id.clone()).collect();
    let rules = JobRules {
        circuits: &workbench.circuits,
        boards: &boards,
    };
    let (read, problems) = job::read(&line, rules);
    if let Some(bad) = problems.iter().find(|p| p.weight == Weight::Damage) {
        return Err(refuse(format!(
            "{}: {}",
            clean(&bad.field),
            clean(&bad.why)
        )));
    }
    read.ok_or_else(|| refuse("it cannot be read back".to_owned()))
}
