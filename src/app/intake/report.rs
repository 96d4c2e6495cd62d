//! The whole backlog: what of each sheet and source is done, waits, was passed over, and who has
//! taken which stretch; and what is said about sources that are no sheets.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::intake::holder;
use crate::app::intake::load;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::intake::backlog;
use crate::domain::intake::backlog::Backlog;
use crate::domain::intake::backlog::RowState;
use crate::domain::intake::backlog::Stretch;
use crate::domain::intake::decision::Event;
use crate::domain::intake::decision::Progress;
use crate::domain::intake::decision::part_key;
use crate::domain::intake::waiting::SheetTally;
use crate::domain::intake::waiting::WaitingRow;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::store::intake::journal;

/// A row about which the benches disagree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Twice {
    /// Sheet and row.
    pub source: String,
    /// What was decided, in words.
    pub words: String,
}

/// One sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetLine {
    /// What the import made of it.
    pub tally: SheetTally,
    /// Rows that wait for a person.
    pub waiting: usize,
    /// Rows that a person made jobs of, or called the same as a job.
    pub done: usize,
    /// Rows that a person passed over.
    pub passed: usize,
    /// Who has taken what of it.
    pub stretches: Vec<Stretch>,
    /// Rows that were decided about twice.
    pub twice: Vec<Twice>,
}

/// One source that is no sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SourceLine {
    /// Its title.
    pub title: String,
    /// Where it is.
    pub place: String,
    /// How far it has come.
    pub status: Progress,
    /// In words.
    pub note: String,
    /// Jobs entered from it.
    pub jobs: Vec<String>,
    /// Who has it.
    pub stretches: Vec<Stretch>,
}

/// A decision that counts, for whoever wants to take it back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Its id.
    pub id: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Who.
    pub by: String,
    /// The row's sheet and number, or the source.
    pub about: String,
    /// What, in words.
    pub words: String,
}

/// The whole backlog.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Sheets.
    pub sheets: Vec<SheetLine>,
    /// Sources by title.
    pub sources: Vec<SourceLine>,
    /// The decisions that count, the latest last.
    pub decisions: Vec<Standing>,
    /// What is damaged among the files of the backlog.
    pub faults: Vec<String>,
}

/// Returns the backlog as of `now`.
pub fn report(workbench: &Workbench, now: DateTime<Utc>) -> Result<Report, AppError> {
    let loaded = load(workbench)?;
    let jobs = journal::row_jobs(&loaded.archive);
    let found = backlog::fold(&loaded.entries, &jobs);
    let day = workbench.day(now);
    let mut sheets: BTreeMap<&str, SheetLine> = BTreeMap::new();
    for tally in &loaded.waiting.sheets {
        // Read again with other settings: the latest file of the same name counts.
        let line = sheets.entry(&tally.sheet).or_default();
        line.tally = tally.clone();
    }
    for row in &loaded.waiting.rows {
        let (sheet, _) = row.place();
        let line = sheets.entry(sheet).or_default();
        sheet.clone_into(&mut line.tally.sheet);
        count(line, row, &found);
    }
    let mut entered: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for record in &loaded.archive.jobs {
        if let Some(source) = &record.job.source {
            let numbers = entered.entry(source).or_default();
            numbers.insert(record.job.job.clone());
        }
    }
    let mut sources: Vec<SourceLine> = Vec::new();
    for (title, source) in &found.sources {
        let mut jobs = source.jobs.clone();
        jobs.extend(entered.get(title.as_str()).into_iter().flatten().cloned());
        let begun = source.status == Progress::Todo && !jobs.is_empty();
        sources.push(SourceLine {
            title: title.clone(),
            place: source.place.clone(),
            status: if begun {
                Progress::Doing
            } else {
                source.status
            },
            note: source.note.clone(),
            jobs: jobs.into_iter().collect(),
            stretches: on(&found, title, day),
        });
    }
    for line in sheets.values_mut() {
        line.stretches = on(&found, &line.tally.sheet, day);
    }
    Ok(Report {
        sheets: sheets.into_values().collect(),
        sources,
        decisions: decisions(&loaded.entries, &found, &loaded.waiting.rows),
        faults: loaded.faults,
    })
}

fn on(found: &Backlog, source: &str, day: NaiveDate) -> Vec<Stretch> {
    let all = found.stretches.iter();
    let on = all.filter(|s| s.source == source && s.is_on(day));
    on.cloned().collect()
}

fn count(line: &mut SheetLine, row: &WaitingRow, found: &Backlog) {
    let mut keys = vec![row.row.clone()];
    let is_split = found.row(&row.row).is_some_and(|s| s.parts.is_some());
    if is_split {
        keys.extend((0..2).map(|part| part_key(&row.row, part)));
    }
    for key in &keys {
        if let Some(words) = found.clash(key) {
            let source = row.source.clone();
            line.twice.push(Twice { source, words });
        }
    }
    // A split row is done once both of its parts are; it is one row still.
    let states: Vec<Option<&RowState>> = if is_split {
        keys[1..].iter().map(|key| found.row(key)).collect()
    } else {
        vec![found.row(&row.row)]
    };
    if states.iter().any(|s| s.is_none_or(RowState::waits)) {
        line.waiting += 1;
    } else if states.iter().flatten().all(|s| s.skipped.is_some()) {
        line.passed += 1;
    } else {
        line.done += 1;
    }
}

fn decisions(
    entries: &[crate::domain::intake::decision::Entry],
    found: &Backlog,
    rows: &[WaitingRow],
) -> Vec<Standing> {
    let sources: BTreeMap<&str, &str> = rows
        .iter()
        .map(|r| (r.row.as_str(), r.source.as_str()))
        .collect();
    let by_id: BTreeMap<&str, _> = entries.iter().map(|e| (e.id.as_str(), e)).collect();
    let standing = found.standing.iter().filter_map(|(id, by)| {
        let entry = by_id.get(id.as_str())?;
        let row = entry
            .event
            .row()
            .map(crate::domain::intake::decision::row_of);
        let about = row.map_or("", |row| sources.get(row).copied().unwrap_or(row));
        Some(Standing {
            id: id.clone(),
            at: entry.at,
            by: by.clone(),
            about: about.to_owned(),
            words: entry.event.words(),
        })
    });
    standing.collect()
}

/// Says something about sheets or sources and returns once it is on the disk.
fn say(
    workbench: &Workbench,
    person: &Person,
    events: Vec<Event>,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let holder = holder(&person.initials, now);
    let (disk, folder) = (&workbench.disk, &workbench.folder);
    let mut journal = journal::IntakeJournal::open(disk, folder, &workbench.bench, &holder)?;
    let by = person.initials.to_lowercase();
    for event in events {
        journal.append(&by, event, now)?;
    }
    Ok(())
}

fn refuse(what: &str, why: &str, todo: &str) -> AppError {
    AppError::NotOfRow {
        row: clean(what),
        why: why.to_owned(),
        todo: todo.to_owned(),
    }
}

/// A source to add.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewSource {
    /// Its title.
    pub title: String,
    /// Where it is.
    pub place: String,
    /// How far it has come.
    pub status: Progress,
}

/// Adds sources; those that are there already are left out. Returns the titles added.
pub fn add(
    workbench: &Workbench,
    person: &Person,
    sources: Vec<NewSource>,
    now: DateTime<Utc>,
) -> Result<Vec<String>, AppError> {
    let known = report(workbench, now)?;
    let mut there: BTreeSet<String> = known.sources.into_iter().map(|s| s.title).collect();
    let sheets: BTreeSet<String> = known.sheets.into_iter().map(|s| s.tally.sheet).collect();
    let mut events = Vec::new();
    let mut added = Vec::new();
    for source in sources {
        let title = source.title.trim().to_owned();
        if title.is_empty() {
            return Err(refuse(
                "a source",
                "it has no title",
                "say what it is called",
            ));
        }
        if sheets.contains(&title) {
            let todo = "the desk works through its rows: press i on the screen";
            return Err(refuse(&title, "it is an imported sheet", todo));
        }
        if there.insert(title.clone()) {
            added.push(title.clone());
            events.push(Event::AddSource {
                source: title,
                place: source.place.trim().to_owned(),
                status: source.status,
            });
        }
    }
    say(workbench, person, events, now)?;
    Ok(added)
}

/// Returns the exact name of a sheet or source.
fn named(known: &Report, name: &str) -> Result<String, AppError> {
    let sheets = known.sheets.iter().map(|s| s.tally.sheet.as_str());
    let all: Vec<&str> = sheets
        .chain(known.sources.iter().map(|s| s.title.as_str()))
        .collect();
    let exact = all.iter().find(|n| **n == name);
    let found = exact.or_else(|| all.iter().find(|n| n.eq_ignore_ascii_case(name)));
    found.map_or_else(
        || {
            Err(AppError::Unknown {
                what: "sheet or source",
                id: clean(name),
                known: all.iter().map(|n| clean(n)).collect(),
            })
        },
        |name| Ok((*name).to_owned()),
    )
}

/// Takes a stretch of a sheet, or a whole sheet or source; returns who else has some of it.
pub fn take(
    workbench: &Workbench,
    person: &Person,
    name: &str,
    rows: Option<(u64, u64)>,
    until: Option<NaiveDate>,
    now: DateTime<Utc>,
) -> Result<(Stretch, Vec<Stretch>), AppError> {
    let known = report(workbench, now)?;
    let source = named(&known, name)?;
    if until.is_some_and(|until| until < workbench.day(now)) {
        return Err(refuse(&source, "that day is over", "give a day to come"));
    }
    let me = person.initials.to_lowercase();
    let meets = |s: &&Stretch| match (s.rows, rows) {
        (Some((a, b)), Some((from, to))) => a <= to && from <= b,
        _ => true,
    };
    let sheets = known.sheets.iter().filter(|s| s.tally.sheet == source);
    let of_sheets = sheets.flat_map(|s| &s.stretches);
    let sources = known.sources.iter().filter(|s| s.title == source);
    let others = of_sheets.chain(sources.flat_map(|s| &s.stretches));
    let others = others
        .filter(|s| s.by != me)
        .filter(meets)
        .cloned()
        .collect();
    let event = Event::Take {
        source: source.clone(),
        rows,
        until,
    };
    say(workbench, person, vec![event], now)?;
    let taken = Stretch {
        source,
        rows,
        until,
        by: me,
    };
    Ok((taken, others))
}

/// Lets go of what the person had taken of a sheet or source; of everything without a name. Returns
/// what was let go.
pub fn release(
    workbench: &Workbench,
    person: &Person,
    name: Option<&str>,
    now: DateTime<Utc>,
) -> Result<Vec<Stretch>, AppError> {
    let known = report(workbench, now)?;
    let name = name.map(|name| named(&known, name)).transpose()?;
    let me = person.initials.to_lowercase();
    let of_sheets = known.sheets.iter().flat_map(|s| &s.stretches);
    let all = of_sheets.chain(known.sources.iter().flat_map(|s| &s.stretches));
    let own: Vec<Stretch> = all
        .filter(|s| s.by == me && name.as_ref().is_none_or(|name| s.source == *name))
        .cloned()
        .collect();
    let sources: BTreeSet<String> = own.iter().map(|s| s.source.clone()).collect();
    let events = sources.into_iter().map(|source| Event::Release { source });
    say(workbench, person, events.collect(), now)?;
    Ok(own)
}

/// Says how far a source has come.
pub fn set(
    workbench: &Workbench,
    person: &Person,
    (name, status, note): (&str, Progress, &str),
    job: Option<&str>,
    now: DateTime<Utc>,
) -> Result<String, AppError> {
    let known = report(workbench, now)?;
    let source = named(&known, name)?;
    if !known.sources.iter().any(|s| s.title == source) {
        let todo = "its rows are decided about one by one: press i on the screen";
        return Err(refuse(&source, "it is an imported sheet", todo));
    }
    if let Some(job) = job {
        let archive = workbench.archive()?;
        if !archive.jobs.iter().any(|j| j.job == job) {
            return Err(crate::app::jobs::no_such_job(job));
        }
    }
    let event = Event::SetSource {
        source: source.clone(),
        status,
        note: note.to_owned(),
        job: job.map(str::to_owned),
    };
    say(workbench, person, vec![event], now)?;
    Ok(source)
}
