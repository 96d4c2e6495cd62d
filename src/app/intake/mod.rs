//! The intake desk: rows of sheets that need a person, in the order of their worth, and what is
//! decided about them.
//!
//! A [`Session`] reads everything once and keeps it up to date with its own decisions; those of other
//! benches are seen when it is opened again. Deciding is in [`decide`], what a row looks like in
//! [`page`], what the rows are worth in [`worth`], the whole backlog in [`report`].
//!
//! How rows get here: [`open`] opens a sheet and offers how to read it, `stream` reads its rows on
//! several threads, [`import`] decides where each goes and keeps the whole import or nothing of it.

pub mod decide;
pub mod import;
pub mod open;
mod own;
pub mod page;
pub mod report;
pub mod say;
mod stream;
pub mod worth;

use std::collections::BTreeMap;
use std::collections::HashMap;
use std::sync::Arc;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::domain::intake::backlog;
use crate::domain::intake::backlog::Backlog;
use crate::domain::intake::backlog::RowJob;
use crate::domain::intake::backlog::RowState;
use crate::domain::intake::backlog::Stretch;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::decision::Entry;
use crate::domain::intake::decision::Event;
use crate::domain::intake::decision::part_key;
use crate::domain::intake::decision::row_of;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::value::Recurring;
use crate::domain::intake::value::Value;
use crate::domain::intake::waiting::WaitingRow;
use crate::domain::intake::words::Words;
use crate::domain::job::Job;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::store::error::StoreError;
use crate::store::intake::journal;
use crate::store::intake::journal::IntakeJournal;
use crate::store::intake::waiting;
use crate::store::lock::Holder;

/// A row or a part of a row that is listed.
#[derive(Clone, Debug, PartialEq)]
struct Item {
    key: String,
    /// Its row among those read.
    at: usize,
    /// Clashes first, then the person's own stretch, then what nobody has, then others' stretches.
    rank: u8,
    value: Value,
    /// Who else works through the stretch it is in.
    theirs: Option<String>,
}

/// What is known of a number in the archive.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Numbered {
    board: String,
    closed_on: NaiveDate,
    family: String,
}

/// One person's sitting at the intake desk.
#[derive(Debug)]
pub struct Session {
    workbench: Workbench,
    person: Person,
    day: NaiveDate,
    journal: Option<IntakeJournal>,
    /// Why nothing can be decided here.
    pub read_only: Option<String>,
    /// What is damaged among the files of the backlog.
    pub faults: Vec<String>,
    rows: Vec<WaitingRow>,
    /// What was read of each row.
    read: Vec<Arc<Suggested>>,
    by_mark: HashMap<String, usize>,
    entries: Vec<Entry>,
    row_jobs: Vec<RowJob>,
    backlog: Backlog,
    jobs: Arc<Vec<Job>>,
    numbers: BTreeMap<String, Numbered>,
    facts: BTreeMap<String, BoardFacts>,
    recurring: Recurring,
    words: Words,
    boards: Vec<(String, String)>,
    circuits: Vec<(String, String)>,
    items: Vec<Item>,
    fingerprint: String,
}

/// One waiting row of the list; texts are cleaned.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ListRow {
    /// Key of the row or part.
    pub key: String,
    /// Sheet and row.
    pub source: String,
    /// Board id, as known or suggested.
    pub board: String,
    /// Required fields that are missing; suggestions count as missing until they are taken.
    pub missing: usize,
    /// Flags that nobody has settled.
    pub doubts: usize,
    /// What stands out: `entered twice`, whose stretch it is in.
    pub note: String,
    /// Its cells in one line.
    pub words: String,
}

/// The waiting rows in the order of their worth.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct List {
    /// The rows.
    pub rows: Vec<ListRow>,
    /// The row to go on with: the one after the last decision.
    pub at: usize,
    /// What is to be known before: whose stretches come last, what is damaged.
    pub notes: Vec<String>,
    /// Why nothing can be decided here.
    pub read_only: Option<String>,
}

pub(crate) fn holder(who: &str, now: DateTime<Utc>) -> Holder {
    Holder {
        who: format!("{who}, intake"),
        since: now,
    }
}

/// Rows, decisions and the jobs that came from rows.
pub(crate) struct Loaded {
    pub(crate) waiting: waiting::Waiting,
    pub(crate) entries: Vec<Entry>,
    pub(crate) archive: crate::store::jobs::Archive,
    pub(crate) faults: Vec<String>,
}

pub(crate) fn load(workbench: &Workbench) -> Result<Loaded, AppError> {
    let disk = workbench.disk.as_ref();
    let mut waiting = waiting::load(disk, &workbench.folder)?;
    for row in &mut waiting.rows {
        let known = &mut row.suggestion.facts.flags;
        known.extend(
            row.why
                .iter()
                .filter(|f| !known.contains(f))
                .cloned()
                .collect::<Vec<_>>(),
        );
    }
    let (entries, found) = journal::load_entries(disk, &workbench.folder)?;
    let archive = crate::store::jobs::load_jobs(
        disk,
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?;
    let mut faults = workbench.fault_lines(&waiting.faults);
    faults.extend(workbench.fault_lines(&found));
    Ok(Loaded {
        waiting,
        entries,
        archive,
        faults,
    })
}

impl Session {
    /// Opens the desk for one person. Where another copy decides on this bench, everything can be read.
    pub fn open(
        workbench: &Workbench,
        person: &Person,
        now: DateTime<Utc>,
    ) -> Result<Self, AppError> {
        let mut read_only = None;
        let (disk, folder) = (&workbench.disk, &workbench.folder);
        let holder = holder(&person.initials, now);
        let journal = match IntakeJournal::open(disk, folder, &workbench.bench, &holder) {
            Ok(journal) => Some(journal),
            Err(
                error @ (StoreError::Busy { .. } | StoreError::Io { .. } | StoreError::Name(_)),
            ) => {
                read_only = Some(chain(&AppError::from(error)));
                None
            }
            Err(error) => return Err(error.into()),
        };
        let loaded = load(workbench)?;
        let row_jobs = journal::row_jobs(&loaded.archive);
        let facts = board_facts(workbench, &loaded.archive.jobs);
        let all = loaded.archive.jobs.iter().chain(&loaded.archive.disputed);
        let numbers = all.map(|record| numbered(&record.job)).collect();
        let by: BTreeMap<String, String> = entered_by(&loaded.archive);
        let fingerprint = loaded.archive.fingerprint;
        let jobs: Vec<Job> = loaded.archive.jobs.into_iter().map(|r| r.job).collect();
        let mut rows = loaded.waiting.rows;
        let read = rows
            .iter_mut()
            .map(|row| Arc::new(std::mem::take(&mut row.suggestion)))
            .collect();
        let named = |(id, name): (&String, &String)| (id.clone(), name.clone());
        let mut session = Self {
            day: workbench.day(now),
            journal,
            read_only,
            faults: loaded.faults,
            by_mark: (0..).zip(&rows).map(|(i, r)| (r.row.clone(), i)).collect(),
            rows,
            read,
            entries: loaded.entries,
            row_jobs,
            backlog: Backlog::default(),
            recurring: Recurring::of(&jobs, &workbench.shop.incoming),
            jobs: Arc::new(jobs),
            numbers,
            facts,
            words: Words::with_shop(&workbench.shop.sheet_words),
            boards: workbench
                .boards
                .iter()
                .map(|b| named((&b.id, &b.name)))
                .collect(),
            circuits: workbench
                .circuits
                .all()
                .iter()
                .map(|f| named((&f.id, &f.name)))
                .collect(),
            items: Vec::new(),
            fingerprint,
            workbench: workbench.clone(),
            person: person.clone(),
        };
        session.heal(&by, now)?;
        session.refold();
        session.items = session.all_items();
        Ok(session)
    }

    fn refold(&mut self) {
        self.backlog = backlog::fold(&self.entries, &self.row_jobs);
    }

    /// Returns what waits, in the order of worth.
    fn all_items(&self) -> Vec<Item> {
        let mut items: Vec<Item> = (0..self.rows.len())
            .flat_map(|at| self.items_of(at))
            .collect();
        items.sort_by(|a, b| {
            (a.rank, &a.value, a.at, &a.key).cmp(&(b.rank, &b.value, b.at, &b.key))
        });
        items
    }

    /// Returns what waits of one row: the row, its parts, or nothing.
    fn items_of(&self, at: usize) -> Vec<Item> {
        let row = &self.rows[at].row;
        let state = self.backlog.row(row);
        if self.backlog.clash(row).is_some() {
            return vec![self.item(row.clone(), at, true)];
        }
        if state.is_none_or(RowState::waits) {
            return vec![self.item(row.clone(), at, false)];
        }
        let is_split = state.is_some_and(|s| s.parts.is_some());
        let parts = (0..2).filter(|_| is_split).map(|part| part_key(row, part));
        let waiting = parts.filter_map(|key| {
            let clash = self.backlog.clash(&key).is_some();
            let waits = clash || self.backlog.row(&key).is_none_or(RowState::waits);
            waits.then(|| self.item(key, at, clash))
        });
        waiting.collect()
    }

    fn item(&self, key: String, at: usize, clash: bool) -> Item {
        let (sheet, number) = self.rows[at].place();
        let holding: Vec<&Stretch> = self
            .backlog
            .stretches
            .iter()
            .filter(|s| s.is_on(self.day) && s.holds(sheet, number))
            .collect();
        let own = holding.iter().any(|s| self.is_me(&s.by));
        let theirs = holding.iter().find(|s| !self.is_me(&s.by));
        let theirs = theirs.filter(|_| !own).map(|s| s.by.clone());
        let rank = match (clash, own, &theirs) {
            (true, _, _) => 0,
            (_, true, _) => 1,
            (_, _, None) => 2,
            _ => 3,
        };
        let value = self.recurring.value(&self.draft_at(&key, at));
        Item {
            key,
            at,
            rank,
            value,
            theirs,
        }
    }

    fn is_me(&self, by: &str) -> bool {
        by == self.me()
    }

    /// Returns how this person signs.
    fn me(&self) -> String {
        self.person.initials.to_lowercase()
    }

    /// Returns what is known of a row or part now.
    fn draft_at(&self, key: &str, at: usize) -> Arc<Suggested> {
        if let Some(draft) = self.backlog.row(key).and_then(|s| s.draft.as_ref()) {
            return Arc::clone(draft);
        }
        let row = row_of(key);
        if row != key
            && let Some(parts) = self.backlog.row(row).and_then(|s| s.parts.as_ref())
        {
            let [first, second] = parts.as_ref();
            let part = if key == part_key(row, 0) {
                first
            } else {
                second
            };
            return Arc::new(part.clone());
        }
        Arc::clone(&self.read[at])
    }

    /// Returns the row of a key, or says that it is not here.
    fn row_at(&self, key: &str) -> Result<usize, AppError> {
        self.by_mark
            .get(row_of(key))
            .copied()
            .ok_or_else(|| AppError::NotOfRow {
                row: clean(key),
                why: "there is no such row any more".to_owned(),
                todo: "open the desk again".to_owned(),
            })
    }

    /// Returns the list as it is shown.
    pub fn list(&self) -> List {
        let mut notes = Vec::new();
        let mut stretches: BTreeMap<&str, usize> = BTreeMap::new();
        for by in self.items.iter().filter_map(|i| i.theirs.as_deref()) {
            *stretches.entry(by).or_default() += 1;
        }
        for (by, n) in stretches {
            let rows = crate::domain::text::number_of(n, "row");
            notes.push(format!(
                "{rows} in a stretch of {}: they come last.",
                clean(by)
            ));
        }
        List {
            rows: self.items.iter().map(|item| self.list_row(item)).collect(),
            at: self.resume(),
            notes,
            read_only: self.read_only.clone(),
        }
    }

    fn list_row(&self, item: &Item) -> ListRow {
        let row = &self.rows[item.at];
        let draft = self.draft_at(&item.key, item.at);
        let board = draft.facts.board.as_ref().or(draft.maybe.board.as_ref());
        let words: Vec<&str> = row
            .cells
            .iter()
            .map(|(_, words)| words.trim())
            .filter(|words| !words.is_empty())
            .collect();
        let note = match (&item.theirs, item.rank) {
            (_, 0) => "entered twice".to_owned(),
            (Some(by), _) => clean(by),
            _ => String::new(),
        };
        ListRow {
            key: item.key.clone(),
            source: self.called(&item.key, item.at),
            board: board.map_or_else(|| "-".to_owned(), |b| clean(b)),
            missing: draft.facts.missing().len(),
            doubts: draft.facts.flags.len(),
            note,
            words: clean(&words.join(" | ")),
        }
    }

    /// Returns what a row or part is called: `old-bay.csv:17`, `old-bay.csv:17, second job`.
    fn called(&self, key: &str, at: usize) -> String {
        let source = clean(&self.rows[at].source);
        match key.rsplit_once('/') {
            Some((_, "1")) => format!("{source}, first job"),
            Some(_) => format!("{source}, second job"),
            None => source,
        }
    }

    /// Returns where to go on: at the row mended last, or behind the one decided last.
    fn resume(&self) -> usize {
        let mut own = self.backlog.standing.iter().rev();
        let last = own.find_map(|(id, by)| {
            let entry = self.entries.iter().rev().find(|e| e.id == *id)?;
            (self.is_me(by)).then_some(entry.event.row()).flatten()
        });
        let Some(key) = last else { return 0 };
        if let Some(at) = self.items.iter().position(|i| i.key == key) {
            return at;
        }
        let Some(at) = self.by_mark.get(row_of(key)) else {
            return 0;
        };
        let was = self.item(key.to_owned(), *at, false);
        let place = (was.rank, &was.value, was.at);
        let after = |i: &Item| place < (i.rank, &i.value, i.at);
        self.items.iter().position(after).unwrap_or(0)
    }

    /// Returns the key of the row that comes `by` places after (or before) a place of the list.
    pub fn key_at(&self, at: usize) -> Option<&str> {
        self.items.get(at).map(|item| item.key.as_str())
    }

    /// Returns how many rows wait.
    pub fn waiting(&self) -> usize {
        self.items.len()
    }
}

fn numbered(job: &Job) -> (String, Numbered) {
    let about = Numbered {
        board: job.board.clone(),
        closed_on: job.closed_on,
        family: job.family.clone().unwrap_or_default(),
    };
    (job.job.clone(), about)
}

fn entered_by(archive: &crate::store::jobs::Archive) -> BTreeMap<String, String> {
    let records = archive.jobs.iter().chain(&archive.disputed);
    records
        .filter_map(|r| {
            Some((
                r.job.id.clone(),
                r.extra("entered_by")?.as_str()?.to_owned(),
            ))
        })
        .collect()
}

fn board_facts(
    workbench: &Workbench,
    jobs: &[crate::store::record::job::JobRecord],
) -> BTreeMap<String, BoardFacts> {
    let boards = workbench.boards.iter();
    let mut facts: BTreeMap<String, BoardFacts> =
        boards.map(|b| (b.id.clone(), BoardFacts::of(b))).collect();
    for record in jobs {
        if let Some(known) = facts.get_mut(&record.job.board) {
            known.see(&record.job);
        }
    }
    facts
}

impl Session {
    /// Writes the entry of every job of a row that this bench wrote and whose entry is missing: the
    /// power went between the two.
    fn heal(&mut self, by: &BTreeMap<String, String>, now: DateTime<Utc>) -> Result<(), AppError> {
        let Some(journal) = &mut self.journal else {
            return Ok(());
        };
        let named: Vec<&str> = self
            .entries
            .iter()
            .filter_map(|e| match &e.event {
                Event::Accept { line, .. } => Some(line.as_str()),
                _ => None,
            })
            .collect();
        let own = format!("{}-r", self.workbench.bench);
        let lost = self
            .row_jobs
            .iter()
            .filter(|j| j.stands && j.line.starts_with(&own) && !named.contains(&j.line.as_str()));
        let lost: Vec<RowJob> = lost.cloned().collect();
        let me = self.person.initials.to_lowercase();
        for job in lost {
            let event = Event::Accept {
                row: job.row,
                job: job.job,
                line: job.line.clone(),
            };
            let by = by.get(&job.line).map_or(me.as_str(), String::as_str);
            match journal.append(by, event, now) {
                Ok(entry) => self.entries.push(entry),
                // It counts all the same; the next opening tries again.
                Err(StoreError::NotKept { .. }) => return Ok(()),
                Err(error) => return Err(error.into()),
            }
        }
        Ok(())
    }
}
