//! A person is erased: journals, name and folder go, and what they did for the shop stays without
//! their initials.
//!
//! The rule: jobs keep counting, and a neutral mark (`former-1`) stands in `closed_by`, `with` and
//! `entered_by` of their lines, in `by` of edits, and in the lines of intake/. Sittings they had given to others stay with
//! those, in a journal of their own; sittings given to them belong to nobody. Nothing else of those
//! files changes. `going.json` in the person's folder is the turning point: before it the person is
//! whole, after it gone, and the same command again finishes what was left.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::Utc;

use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::desk::doubts;
use crate::domain::desk::doubts::Doubt;
use crate::domain::history;
use crate::domain::history::JournalLines;
use crate::domain::history::Placed;
use crate::domain::review::Event;
use crate::domain::text::clean;
use crate::store::build_index;
use crate::store::decks;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Kind;
use crate::store::entry::form_file;
use crate::store::entry::open_log;
use crate::store::erase::Cleared;
use crate::store::erase::Given;
use crate::store::erase::Leaving;
use crate::store::error::StoreError;
use crate::store::fit_note;
use crate::store::journal;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::paths;
use crate::store::snapshot;

/// What an erasure will do, counted before anything is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// Who goes, and what stands in the place.
    pub leaving: Leaving,
    /// An earlier run began it.
    pub begun: bool,
    /// Files of the person's folder that go.
    pub files: Vec<String>,
    /// Review lines in them.
    pub reviews: usize,
    /// Lines of jobs whose initials are replaced.
    pub jobs: usize,
    /// Edits whose initials are replaced.
    pub edits: usize,
    /// Lines about open jobs whose initials are replaced.
    pub open: usize,
    /// Answers of sittings that had been given to others and stay with them: person, how many.
    pub given: Vec<(String, usize)>,
    /// Moves of sittings to this person that now lead to nobody.
    pub moves: usize,
    /// Cards out of everyone's drill that too few doubt without this person: they come back into use.
    pub freed: Vec<String>,
    /// Places where the initials still stand as a word, in notes or raw text: not touched.
    pub mentions: Vec<String>,
    /// Lines that cannot be read: not touched.
    pub unread: Vec<String>,
    /// Lines of intake/ whose initials are replaced.
    pub intake: usize,
}

/// Everything to be written, worked out before anything is.
#[derive(Default)]
struct Work {
    copies: Vec<(PathBuf, String)>,
    rewrites: Vec<(PathBuf, Vec<u8>)>,
    journals: Vec<PathBuf>,
    files: Vec<PathBuf>,
    drafts: Vec<PathBuf>,
    given: BTreeMap<String, usize>,
    reviews: usize,
    jobs: usize,
    edits: usize,
    intake: usize,
    open: usize,
    moves: usize,
    mentions: Vec<String>,
    unread: Vec<String>,
}

/// Returns what the erasure of `person` will do; nothing is changed.
pub fn plan(workbench: &Workbench, person: &str) -> Result<Plan, AppError> {
    let (leaving, begun) = leaving(workbench, person)?;
    let work = work(workbench, &leaving)?;
    Ok(Plan {
        begun,
        files: work
            .files
            .iter()
            .chain(&work.drafts)
            .map(|p| shown(workbench, p))
            .collect(),
        reviews: work.reviews,
        jobs: work.jobs,
        edits: work.edits,
        open: work.open,
        given: work.given.into_iter().collect(),
        moves: work.moves,
        freed: freed(workbench, &leaving.id)?,
        mentions: work.mentions,
        unread: work.unread,
        intake: work.intake,
        leaving,
    })
}

/// Carries the erasure out; what it does is worked out again under the locks of all files.
///
/// Where a file is in use nothing is touched: [`StoreError::Busy`].
pub fn carry_out(workbench: &Workbench, plan: &Plan, now: DateTime<Utc>) -> Result<(), AppError> {
    let disk = workbench.disk.as_ref();
    let leaving = &plan.leaving;
    let person = workbench
        .folder
        .person(&leaving.id)
        .map_err(StoreError::from)?;
    let holder = Holder {
        who: "an erasure".to_owned(),
        since: now,
    };
    let before = work(workbench, leaving)?;
    // Nobody may keep a count of the person's lines from here on.
    let mut guards = vec![snapshot::hold(disk, &workbench.folder, &holder)?];
    for path in before
        .journals
        .iter()
        .chain(&before.drafts)
        .chain(before.rewrites.iter().map(|(p, _)| p))
    {
        guards.push(lock::take(disk, path, &holder)?);
    }
    let going = workbench
        .folder
        .going(&leaving.id)
        .map_err(StoreError::from)?;
    if !exists(disk, &going)? {
        let text = serde_json::to_string(leaving).unwrap_or_default() + "\n";
        disk::replace(disk, &going, text.as_bytes()).map_err(StoreError::io("write", &going))?;
    }
    let work = work(workbench, leaving)?;
    for (path, text) in &work.copies {
        // One that is there was made by a run that died; what it was made from may be gone by now.
        if !exists(disk, path)? {
            disk::replace(disk, path, text.as_bytes()).map_err(StoreError::io("write", path))?;
        }
    }
    for (path, bytes) in &work.rewrites {
        if !before.rewrites.iter().any(|(locked, _)| locked == path) {
            guards.push(lock::take(disk, path, &holder)?);
        }
        disk::replace_held(disk, path, bytes).map_err(StoreError::io("write", path))?;
    }
    refresh_decks(workbench, leaving)?;
    // They hold values of lines as they were before, and names.
    for derived in [
        build_index::path(&workbench.folder),
        fit_note::path(&workbench.folder),
    ] {
        if !exists(disk, &derived)? {
            continue;
        }
        disk.remove(&derived)
            .map_err(StoreError::io("remove", &derived))?;
        // None may come back after the person is gone.
        let cache = workbench.folder.cache();
        disk.sync_folder(&cache)
            .map_err(StoreError::io("sync", &cache))?;
    }
    snapshot::forget(disk, &workbench.folder)?;
    for path in &work.drafts {
        disk.remove(path).map_err(StoreError::io("remove", path))?;
    }
    if !work.drafts.is_empty() {
        let intake = workbench.folder.intake();
        disk.sync_folder(&intake)
            .map_err(StoreError::io("sync", &intake))?;
    }
    drop(guards);
    for path in &work.drafts {
        // Its name says whose form it guarded.
        let lock = lock::lock_path(path);
        if exists(disk, &lock)? {
            disk.remove(&lock)
                .map_err(StoreError::io("remove", &lock))?;
        }
    }
    remove_all(disk, &person, &going)?;
    Ok(())
}

/// Who is meant: someone with a folder, or someone whose erasure was begun.
fn leaving(workbench: &Workbench, person: &str) -> Result<(Leaving, bool), AppError> {
    let disk = workbench.disk.as_ref();
    let known = workbench.people()?;
    let named = known
        .into_iter()
        .find(|p| p.id == person || p.initials.eq_ignore_ascii_case(person));
    let id = named
        .as_ref()
        .map_or_else(|| person.to_lowercase(), |p| p.id.clone());
    let folder = workbench.folder.person(&id).map_err(StoreError::from)?;
    if !exists(disk, &folder)? {
        return Err(AppError::NoPerson { id });
    }
    let going = workbench.folder.going(&id).map_err(StoreError::from)?;
    if exists(disk, &going)? {
        let bytes = disk.read(&going).map_err(StoreError::io("read", &going))?;
        if let Ok(leaving) = serde_json::from_slice::<Leaving>(&bytes)
            && leaving.id == id
        {
            return Ok((leaving, true));
        }
    }
    let leaving = Leaving {
        v: 1,
        initials: named.map_or_else(|| id.to_uppercase(), |p| p.initials),
        mark: next_mark(workbench)?,
        archive: workbench.archive()?.fingerprint,
        id,
    };
    Ok((leaving, false))
}

/// Returns the first `former-N` that stands nowhere in the shop.
fn next_mark(workbench: &Workbench) -> Result<String, AppError> {
    const WORD: &[u8] = b"former-";
    let mut highest = 0_u32;
    let mut look = |bytes: &[u8]| {
        for at in 0..bytes.len() {
            if let Some(rest) = bytes[at..].strip_prefix(WORD) {
                let digits = rest.iter().take_while(|b| b.is_ascii_digit()).take(6);
                let number = digits.fold(0, |n, digit| n * 10 + u32::from(digit - b'0'));
                highest = highest.max(number);
            }
        }
    };
    let disk = workbench.disk.as_ref();
    for path in lines_files(workbench)? {
        look(path.to_string_lossy().as_bytes());
        look(&disk.read(&path).map_err(StoreError::io("read", &path))?);
    }
    Ok(format!("former-{}", highest + 1))
}

/// Returns every file of jobs, edits, the backlog and reviews.
fn lines_files(workbench: &Workbench) -> Result<Vec<PathBuf>, AppError> {
    let disk = workbench.disk.as_ref();
    let mut folders = vec![
        workbench.folder.jobs(),
        workbench.folder.edits(),
        workbench.folder.intake(),
    ];
    let mut found = Vec::new();
    folders.extend(journal::list_or_empty(disk, &workbench.folder.people())?);
    for folder in folders {
        // A file among the people's folders is nobody's.
        if exists(disk, &folder)? && kind(disk, &folder)? == Kind::Folder {
            let listed = journal::list_or_empty(disk, &folder)?;
            found.extend(
                listed
                    .into_iter()
                    .filter(|p| p.extension().is_some_and(|e| e == "jsonl")),
            );
        }
    }
    Ok(found)
}

fn work(workbench: &Workbench, leaving: &Leaving) -> Result<Work, AppError> {
    let disk = workbench.disk.as_ref();
    let own = workbench
        .folder
        .person(&leaving.id)
        .map_err(StoreError::from)?;
    let mut work = Work::default();
    let all = everyone(workbench, &leaving.id)?;
    let others: BTreeSet<&str> = all
        .iter()
        .map(|j| j.person.as_str())
        .filter(|p| *p != leaving.id)
        .collect();
    let folds: Vec<(&str, Vec<Placed>)> = others
        .into_iter()
        .map(|person| (person, history::lines_of(person, &all).0))
        .collect();
    let owner = |sitting: &str| owner(&folds, sitting);
    for path in list_all(disk, &own)? {
        let is_journal = path.extension().is_some_and(|e| e == "jsonl");
        if is_journal && path.parent() == Some(&own) {
            copy_given(workbench, leaving, &path, &folds, &mut work)?;
            work.journals.push(path.clone());
        }
        if path.extension().is_none_or(|e| e != "lock") {
            work.files.push(path);
        }
    }
    work.drafts = drafts(workbench, &leaving.id)?;
    work.reviews = all
        .iter()
        .filter(|j| j.person == leaving.id)
        .map(|j| j.entries.len())
        .sum();
    for path in lines_files(workbench)? {
        if path.starts_with(&own) {
            continue;
        }
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        let cleared = if path.starts_with(workbench.folder.jobs()) {
            let cleared = leaving.clear_jobs(&bytes);
            work.jobs += cleared.changed;
            cleared
        } else if path.starts_with(workbench.folder.edits()) {
            let cleared = leaving.clear_edits(&bytes);
            work.edits += cleared.changed;
            cleared
        } else if name_of(&path).ends_with(open_log::ENDING) {
            let cleared = leaving.clear_open(&bytes);
            work.open += cleared.changed;
            cleared
        } else if path.starts_with(workbench.folder.intake()) {
            let cleared = leaving.clear_intake(&bytes);
            work.intake += cleared.changed;
            cleared
        } else {
            let cleared = leaving.clear_moves(&bytes, &owner);
            work.moves += cleared.changed;
            // Damage in someone else's reviews is theirs to hear of.
            Cleared {
                unread: Vec::new(),
                ..cleared
            }
        };
        let at = |line: &u64| format!("{}:{line}", shown(workbench, &path));
        work.mentions.extend(cleared.mentions.iter().map(at));
        work.unread.extend(cleared.unread.iter().map(at));
        if cleared.changed > 0 {
            work.rewrites.push((path, cleared.bytes));
        }
    }
    Ok(work)
}

/// Forms that the person left unfinished, at whatever bench.
fn drafts(workbench: &Workbench, person: &str) -> Result<Vec<PathBuf>, AppError> {
    let ending = format!("-{person}{}", form_file::ENDING);
    let mut found = journal::list_or_empty(workbench.disk.as_ref(), &workbench.folder.intake())?;
    found.retain(|path| name_of(path).ends_with(&ending));
    Ok(found)
}

fn name_of(path: &Path) -> std::borrow::Cow<'_, str> {
    path.file_name().unwrap_or_default().to_string_lossy()
}

/// Everyone's journals, those of someone half erased too.
fn everyone(workbench: &Workbench, person: &str) -> Result<Vec<JournalLines>, AppError> {
    let disk = workbench.disk.as_ref();
    let mut people = journal::read_people(disk, &workbench.folder)?;
    if people.iter().all(|(id, _)| id != person) {
        let own = journal::read_person(disk, &workbench.folder, person)?;
        people.push((person.to_owned(), own));
    }
    let mut all = Vec::new();
    for (person, journals) in people {
        for entries in journals.journals {
            let first = entries.first();
            all.push(JournalLines {
                person: person.clone(),
                bench: first.map_or_else(String::new, |e| e.bench.clone()),
                entries,
            });
        }
    }
    Ok(all)
}

/// Whose a sitting is now, among those who stay.
fn owner(folds: &[(&str, Vec<Placed>)], sitting: &str) -> Option<String> {
    let holds = |line: &Placed| match &line.entry.event {
        Event::Answer(answered) => answered.sitting == sitting,
        _ => false,
    };
    folds
        .iter()
        .find(|(_, lines)| lines.iter().any(holds))
        .map(|(person, _)| (*person).to_owned())
}

/// Works out what of one journal of the leaving person stays with others.
fn copy_given(
    workbench: &Workbench,
    leaving: &Leaving,
    path: &Path,
    folds: &[(&str, Vec<Placed>)],
    work: &mut Work,
) -> Result<(), AppError> {
    let disk = workbench.disk.as_ref();
    let bench = journal::stem(path);
    let bytes = disk.read(path).map_err(StoreError::io("read", path))?;
    for (person, lines) in folds {
        let given: Vec<Given<'_>> = lines
            .iter()
            .filter(|line| line.folder == leaving.id && line.entry.bench == bench)
            .map(|line| Given {
                id: &line.entry.id,
                to: person,
                at: line.effective,
                day: line.day,
            })
            .collect();
        if let Some(text) = leaving.given_journal(&bytes, &bench, &given) {
            let name = leaving.given_bench(&bench);
            let copy = workbench
                .folder
                .journal(person, &name)
                .map_err(StoreError::from)?;
            *work.given.entry((*person).to_owned()).or_default() += given.len();
            work.copies.push((copy, text));
        }
    }
    Ok(())
}

/// Cards that are out of use for everyone only because this person, too, holds them for doubtful.
fn freed(workbench: &Workbench, person: &str) -> Result<Vec<String>, AppError> {
    let all = everyone(workbench, person)?;
    let facts = Facts::of(workbench);
    let ruled = |card: &str| workbench.edits.ruled(card);
    let doubts = doubts::standing(history::doubts(&all, &facts), &ruled);
    let leads = workbench.leads()?;
    let rest: Vec<Doubt> = doubts
        .iter()
        .filter(|doubt| doubt.person != person)
        .cloned()
        .collect();
    let after = doubts::out_for_all(&rest, &leads);
    let mut freed = doubts::out_for_all(&doubts, &leads);
    freed.retain(|card| !after.contains(card) && !workbench.edits.out().contains(card));
    Ok(freed.into_iter().collect())
}

/// A deck that was built from the jobs as they were is as fresh as before: only initials changed, and
/// they are on no card.
fn refresh_decks(workbench: &Workbench, leaving: &Leaving) -> Result<(), AppError> {
    let disk = workbench.disk.as_ref();
    let now = workbench.archive()?.fingerprint;
    let (decks, _) = decks::load_decks(disk, &workbench.folder)?;
    for mut deck in decks {
        if deck.from == leaving.archive && deck.from != now {
            deck.from.clone_from(&now);
            decks::save_deck(disk, &workbench.folder, &deck)?;
        }
    }
    Ok(())
}

/// Removes a person's folder; `going` last, so that until then it is known whose it was.
fn remove_all(disk: &dyn Disk, person: &Path, going: &Path) -> Result<(), StoreError> {
    let gone = |path: &Path| disk.remove(path).map_err(StoreError::io("remove", path));
    let sync = |path: &Path| disk.sync_folder(path).map_err(StoreError::io("sync", path));
    empty(disk, person, going)?;
    sync(person)?;
    gone(going)?;
    sync(person)?;
    disk.remove_folder(person)
        .map_err(StoreError::io("remove", person))?;
    sync(person.parent().unwrap_or(person))
}

fn empty(disk: &dyn Disk, folder: &Path, keep: &Path) -> Result<(), StoreError> {
    for path in journal::list_or_empty(disk, folder)? {
        if path == keep {
            continue;
        }
        if kind(disk, &path)? == Kind::Folder {
            empty(disk, &path, keep)?;
            disk.remove_folder(&path)
                .map_err(StoreError::io("remove", &path))?;
        } else {
            disk.remove(&path)
                .map_err(StoreError::io("remove", &path))?;
        }
    }
    Ok(())
}

fn list_all(disk: &dyn Disk, folder: &Path) -> Result<Vec<PathBuf>, StoreError> {
    let mut found = Vec::new();
    for path in journal::list_or_empty(disk, folder)? {
        if kind(disk, &path)? == Kind::Folder {
            found.extend(list_all(disk, &path)?);
        } else {
            found.push(path);
        }
    }
    Ok(found)
}

fn kind(disk: &dyn Disk, path: &Path) -> Result<Kind, StoreError> {
    let about = disk.about(path).map_err(StoreError::io("look at", path))?;
    Ok(about.kind)
}

fn exists(disk: &dyn Disk, path: &Path) -> Result<bool, StoreError> {
    disk.exists(path).map_err(StoreError::io("look for", path))
}

fn shown(workbench: &Workbench, path: &Path) -> String {
    let inside = path.strip_prefix(workbench.folder.root()).unwrap_or(path);
    clean(&inside.to_string_lossy())
}

/// Tells whether what was typed are the initials of the person who goes.
pub fn confirms(plan: &Plan, typed: &str) -> bool {
    let typed = typed.trim();
    !typed.is_empty() && plan.leaving.is(typed) && paths::safe_name(&plan.leaving.id).is_ok()
}
