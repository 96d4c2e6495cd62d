//! The whole shop folder looked through: what is damaged, what does not belong, what to do.
//!
//! Nothing is changed, but what was kept of journals in `cache/` goes where a journal has rotted under it.
//! Where `shop.json` cannot be used, everything that needs no settings is looked
//! at all the same. What jobs say, beyond their form, is the business of `jobs check`.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::DateTime;
use chrono::SecondsFormat;
use chrono::Utc;

use crate::app::jobs::check::ToMend;
use crate::app::jobs::check::check_archive;
use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::domain::card::Deck;
use crate::domain::check;
use crate::domain::edit::Edit;
use crate::domain::history;
use crate::domain::history::CardFacts;
use crate::domain::history::JournalLines;
use crate::domain::intake::open_job;
use crate::domain::job::Job;
use crate::domain::job_row;
use crate::domain::review::Event;
use crate::domain::search::ranked::Shelf as _;
use crate::domain::text::number_of;
use crate::store::backup::Progress;
use crate::store::backup_file::UNFINISHED;
use crate::store::disk::Disk;
use crate::store::disk::Kind;
use crate::store::edits;
use crate::store::entry::form_file;
use crate::store::entry::open_log;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::find_index;
use crate::store::intake::journal as intake_journal;
use crate::store::intake::maps;
use crate::store::intake::rows_file;
use crate::store::job_index;
use crate::store::jobs;
use crate::store::journal;
use crate::store::lock::Holder;
use crate::store::paths::ShopFolder;
use crate::store::people;
use crate::store::snapshot;

/// What was looked at and what was found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// The shop's name, where `shop.json` says one.
    pub name: Option<String>,
    /// What there is to mend, by file and line; paths as seen from the shop folder.
    pub found: Vec<Fault>,
    /// What was looked at: a word for it (as JSON has it), what it is called, and how many.
    pub counts: Vec<(&'static str, &'static str, usize)>,
}

/// Looks the shop in `folder` through, as of `now`.
pub fn inspect(
    disk: &Arc<dyn Disk>,
    folder: &ShopFolder,
    now: DateTime<Utc>,
    progress: Progress<'_>,
) -> Report {
    let mut look = Look {
        disk: disk.as_ref(),
        folder,
        now,
        found: Vec::new(),
        counts: BTreeMap::new(),
    };
    progress("settings, boards, decks, edits", 0, 4);
    let opened = Workbench::open(Arc::clone(disk), folder.clone(), "inspect".to_owned());
    let workbench = match opened {
        Ok(workbench) => {
            look.found.extend(workbench.faults.iter().cloned());
            Some(workbench)
        }
        Err(error) => {
            look.failed(&folder.shop_json(), error);
            None
        }
    };
    progress("jobs", 1, 4);
    if let Some(workbench) = &workbench {
        look.count("boards", workbench.boards.len());
        look.jobs_and_decks(workbench);
    }
    look.edits(workbench.as_ref());
    look.intake();
    progress("people", 2, 4);
    look.people(workbench.as_ref());
    look.counts();
    look.entries();
    progress("files", 3, 4);
    look.files(folder.root(), &Place::Top);
    look.report(workbench.map(|w| w.shop.name))
}

/// What is counted, in the order of the report.
const COUNTED: [(&str, &str); 21] = [
    ("boards", "boards"),
    ("jobs", "jobs"),
    (
        "in_jobs",
        "things in what the jobs say, for a lead: `benchlore jobs check` names them",
    ),
    ("replaced", "jobs replaced by a correction"),
    ("disputed", "jobs that contradict each other"),
    ("open", "jobs still on a bench"),
    ("drafts", "jobs that someone left half entered"),
    ("decks", "decks"),
    ("cards", "cards"),
    ("edits", "edits of cards"),
    ("sheets", "sheets that were taken in"),
    ("waiting", "rows of sheets that needed a person"),
    ("decisions", "lines in journals of the backlog"),
    ("people", "people"),
    ("unpractised", "people without reviews"),
    ("journals", "review journals"),
    ("reviews", "lines in review journals"),
    (
        "gone",
        "of them answers to cards that no deck has any more (kept; they count again with the card)",
    ),
    ("files", "files in all"),
    ("locks", "lock files (they stay after use and do no harm)"),
    ("others", "files that are no part of a shop (never read)"),
];

struct Look<'a> {
    disk: &'a dyn Disk,
    folder: &'a ShopFolder,
    now: DateTime<Utc>,
    found: Vec<Fault>,
    counts: BTreeMap<&'static str, usize>,
}

/// Where in the shop folder a listing is.
#[derive(Clone, PartialEq, Eq)]
enum Place {
    Top,
    /// Files with this ending belong here.
    Files(&'static str),
    People,
    Person,
    Intake,
    /// Whatever lies here is not looked at.
    Free,
}

impl Look<'_> {
    fn count(&mut self, what: &'static str, n: usize) {
        *self.counts.entry(what).or_default() += n;
    }

    fn damage(&mut self, path: &Path, why: impl Into<String>, todo: &str) {
        self.found.push(Fault::damage(path, why, todo));
    }

    fn warn(&mut self, path: &Path, why: impl Into<String>, todo: &str) {
        self.found.push(Fault::warning(path, why, todo));
    }

    fn failed(&mut self, path: &Path, error: AppError) {
        match error {
            AppError::Store(StoreError::Damaged { faults, .. }) => self.found.extend(faults),
            AppError::Store(StoreError::Io { ref path, .. }) => {
                let todo = "see to the file's rights and to the disk, and look again";
                self.damage(path, chain(&error), todo);
            }
            error => self.damage(path, chain(&error), "see to it and look again"),
        }
    }

    /// Returns what was read, or names what stood in the way.
    fn get<T>(&mut self, path: &Path, read: Result<T, StoreError>) -> Option<T> {
        read.map_err(|error| self.failed(path, error.into())).ok()
    }

    fn jobs_and_decks(&mut self, workbench: &Workbench) {
        let (shop, circuits) = (&workbench.shop, &workbench.circuits);
        let folder = self.folder.jobs();
        let loaded = jobs::load_jobs(self.disk, self.folder, shop, circuits);
        let Some(archive) = self.get(&folder, loaded) else {
            return;
        };
        self.count("jobs", archive.jobs.len());
        self.count("replaced", archive.replaced.len());
        self.count("disputed", archive.disputed.len());
        self.found.extend(archive.faults.iter().cloned());
        let jobs: Vec<&Job> = archive.jobs.iter().map(|record| &record.job).collect();
        self.index(&jobs);
        if archive.unread.is_empty() {
            let numbers: BTreeSet<&str> = jobs.iter().map(|job| job.job.as_str()).collect();
            for deck in workbench.decks.iter() {
                self.deck(deck, &archive.fingerprint, &numbers);
            }
        }
        // What the jobs say is the lead's business: counted here, named by its own command.
        let said = check_archive(workbench, archive, self.now);
        // What is wrong with the form of a line has been named above; a note is nothing to mend.
        let of_form = |one: &ToMend| {
            let form = [
                check::Kind::Format,
                check::Kind::Missing,
                check::Kind::Number,
            ];
            one.why.is_empty() && form.contains(&one.kind)
        };
        let said = said.iter().filter(|one| !of_form(one));
        let said = said.filter(|one| one.severity != check::Severity::Note);
        self.count("in_jobs", said.count());
    }

    /// Jobs still on a bench, and forms left unfinished.
    fn entries(&mut self) {
        let folder = self.folder.intake();
        let loaded = open_log::load(self.disk, self.folder);
        if let Some((entries, faults)) = self.get(&folder, loaded) {
            let all = open_job::fold(&entries);
            self.count("open", all.open.len());
            self.found.extend(faults);
            for stray in all.stray {
                let why = format!("{stray} is about a job that is not open");
                self.warn(&folder, why, "`benchlore jobs open` lists those that are");
            }
        }
        let loaded = form_file::look(self.disk, self.folder);
        if let Some((forms, faults)) = self.get(&folder, loaded) {
            self.count("drafts", forms);
            self.found.extend(faults);
        }
    }

    fn deck(&mut self, deck: &Deck, fingerprint: &str, numbers: &BTreeSet<&str>) {
        self.count("decks", 1);
        self.count("cards", deck.cards.len());
        let from_jobs = deck.cards.iter().filter(|card| !card.jobs.is_empty());
        let orphans: Vec<&str> = from_jobs
            .clone()
            .filter(|card| !card.jobs.iter().any(|job| numbers.contains(job.as_str())))
            .map(|card| card.id.as_str())
            .collect();
        let of = from_jobs.count();
        let Ok(path) = self.folder.deck(&deck.deck) else {
            return;
        };
        if of > 0 && deck.from != fingerprint {
            let todo = "build the deck again: `benchlore deck build`";
            let mut why = "built from other jobs than are here now".to_owned();
            if !orphans.is_empty() {
                let n = orphans.len();
                why = format!("{why}; {n} of {of} cards have no job any more");
            }
            self.warn(&path, why, todo);
        } else if let Some(first) = orphans.first() {
            let n = number_of(orphans.len(), "card");
            let why = format!("{n} without any job in the archive, the first {first}");
            self.warn(
                &path,
                why,
                "build the deck again, or look for the missing jobs",
            );
        }
    }

    /// An index of jobs is believed only where it says what the files say.
    fn index(&mut self, jobs: &[&Job]) {
        let rows = job_row::rows(jobs);
        let todo = "delete the folder cache: it is made anew";
        let path = job_index::path(self.folder);
        let looked = job_index::look(self.disk, self.folder);
        if let Some(Some(found)) = self.get(&path, looked)
            && found.rows != rows
        {
            let why = "the index of jobs says something else than the jobs";
            self.damage(&path, why, todo);
        }
        let found = find_index::open(self.disk, self.folder).and_then(|index| {
            let all: Vec<usize> = (0..index.len()).collect();
            index.rows(&all)
        });
        // One that is damaged or old is made anew by the next search, without a word here.
        if found.is_ok_and(|found| found != rows) {
            let path = find_index::path(self.folder);
            let why = "the search index says something else than the jobs";
            self.damage(&path, why, todo);
        }
    }

    fn edits(&mut self, workbench: Option<&Workbench>) {
        let folder = self.folder.edits();
        let loaded = edits::load_edits(self.disk, self.folder);
        let Some((edits, faults)) = self.get(&folder, loaded) else {
            return;
        };
        self.count("edits", edits.len());
        let Some(workbench) = workbench else {
            self.found.extend(faults);
            return;
        };
        let cards = all_cards(workbench);
        for entry in workbench.edits.unfit() {
            if let Ok(path) = self.folder.edits_of(&entry.bench) {
                let why = format!(
                    "{} sends the card {} into one of another kind or board, and counts for nothing",
                    entry.id, entry.card
                );
                let todo = "take it back, or sign the card as it stands";
                self.warn(&path, why, todo);
            }
        }
        let mut named = BTreeSet::new();
        for entry in edits {
            let leaves = matches!(
                entry.edit,
                Edit::Merge { .. }
                    | Edit::Split { .. }
                    | Edit::Retire { .. }
                    | Edit::Alias { .. }
                    | Edit::Corrected { .. }
                    | Edit::Undo { .. }
            );
            if leaves
                || cards.contains(entry.card.as_str())
                || workbench.edits.aliases().contains_key(&entry.card)
                || !named.insert(entry.card.clone())
            {
                continue;
            }
            let Ok(path) = self.folder.edits_of(&entry.bench) else {
                continue;
            };
            let why = format!(
                "{} is about the card {}, which is in no deck",
                entry.id, entry.card
            );
            let todo = "build the deck the card was in, or give the card's new id with an alias";
            self.warn(&path, why, todo);
        }
    }

    fn intake(&mut self) {
        let folder = self.folder.intake();
        let decided = intake_journal::load_entries(self.disk, self.folder);
        if let Some((entries, faults)) = self.get(&folder, decided) {
            self.count("decisions", entries.len());
            self.found.extend(faults);
        }
        let path = maps::path(self.folder);
        let loaded = maps::load(self.disk, self.folder);
        if let Some(maps) = self.get(&path, loaded) {
            self.found.extend(maps.faults);
        }
        let listed = rows_file::list(self.disk, self.folder);
        for path in self.get(&self.folder.intake(), listed).unwrap_or_default() {
            // File by file: a large backlog is never in memory as a whole.
            let bytes = self.disk.read(&path).map_err(StoreError::io("read", &path));
            if let Some(bytes) = self.get(&path, bytes) {
                let (file, faults) = rows_file::read(&bytes, &path);
                self.count("sheets", 1);
                self.count("waiting", file.rows.len());
                self.found.extend(faults);
            }
        }
    }

    fn people(&mut self, workbench: Option<&Workbench>) {
        let folder = self.folder.people();
        let listed = people::list_people(self.disk, self.folder);
        let Some((people, faults)) = self.get(&folder, listed) else {
            return;
        };
        self.found.extend(faults);
        self.count("people", people.len());
        let known: BTreeSet<String> = people.into_iter().map(|r| r.person.id).collect();
        let listed = journal::list_or_empty(self.disk, &folder);
        for path in self.get(&folder, listed).unwrap_or_default() {
            let name = path
                .file_name()
                .and_then(|n| n.to_str())
                .unwrap_or_default();
            if self.folder.person(name).is_err() || !self.is_folder(&path) {
                continue;
            }
            let read = journal::read_person(self.disk, self.folder, name);
            let Some(journals) = self.get(&path, read) else {
                continue;
            };
            self.found.extend(journals.faults);
            self.count("journals", journals.journals.len());
            if !known.contains(name) {
                self.nobody(&path, name, journals.journals.is_empty());
            } else if journals.journals.iter().all(Vec::is_empty) {
                self.count("unpractised", 1);
            }
            // File by file: a copy under another name says nothing new, and is named all the same.
            let listed = journal::list_or_empty(self.disk, &path);
            for file in self.get(&path, listed).unwrap_or_default() {
                let bench = journal::stem(&file);
                if file.extension().is_none_or(|e| e != "jsonl")
                    || self.folder.journal(name, &bench).is_err()
                {
                    continue;
                }
                let read = journal::read_all(self.disk, &file);
                if let Some((entries, _)) = self.get(&file, read) {
                    let person = name.to_owned();
                    let lines = JournalLines {
                        person,
                        bench,
                        entries,
                    };
                    self.journal(lines, &known, workbench);
                }
            }
        }
    }

    /// What is kept of journals is believed without reading them: here each byte is looked at.
    fn counts(&mut self) {
        let holder = Holder {
            who: "inspect".to_owned(),
            since: self.now,
        };
        for path in snapshot::rotten(self.disk, self.folder, &holder) {
            let why = "other bytes than were counted, though no program wrote to it since";
            let todo = "what was kept of the journals was thrown away and is made anew; \
                        look to the disk and take a backup";
            self.damage(&path, why, todo);
        }
    }

    /// A folder whose owner is not known.
    fn nobody(&mut self, path: &Path, name: &str, empty: bool) {
        let there = |file: Result<PathBuf, _>| {
            file.is_ok_and(|file| self.disk.exists(&file).unwrap_or(true))
        };
        // A damaged person.json, or an erasure under way, has been named already.
        if there(self.folder.person_json(name)) || there(self.folder.going(name)) {
            return;
        }
        if empty {
            self.warn(
                path,
                "a folder without a person",
                "remove it, or add the person",
            );
        } else {
            let todo = format!(
                "`benchlore people add {}` gives them a person",
                name.to_uppercase()
            );
            self.warn(
                path,
                "reviews without a person.json: they are nobody's",
                &todo,
            );
        }
    }

    fn journal(
        &mut self,
        lines: JournalLines,
        known: &BTreeSet<String>,
        workbench: Option<&Workbench>,
    ) {
        self.count("reviews", lines.entries.len());
        let Ok(path) = self.folder.journal(&lines.person, &lines.bench) else {
            return;
        };
        let own = format!("{}-{}-", lines.person, lines.bench);
        let strange = lines.entries.iter().filter(|e| !e.id.starts_with(&own));
        if let Some(first) = strange.clone().next() {
            let why = format!(
                "{} written by another bench or for another person, the first {}",
                number_of(strange.count(), "line"),
                first.id
            );
            let todo = "give the file the name of the bench that wrote it, in its person's folder";
            self.warn(&path, why, todo);
        }
        if let Some(late) = lines.entries.iter().find(|e| e.at > self.now) {
            let at = late.at.to_rfc3339_opts(SecondsFormat::Secs, true);
            let why = format!("number {} is stamped {at}, later than now", late.seq);
            let fault = Fault::warning(
                &path,
                why,
                "look at that computer's clock, and at this one's",
            );
            self.found.push(fault.field("at"));
        }
        let facts = workbench.map(Facts::ids);
        let cards = workbench.map(all_cards).unwrap_or_default();
        let is_gone = |card: &str| {
            facts
                .as_ref()
                .is_some_and(|facts| !cards.contains(facts.current_id(card)))
        };
        for entry in &lines.entries {
            let (why, todo) = match &entry.event {
                Event::Answer(answered) => {
                    self.count("gone", usize::from(is_gone(&answered.card)));
                    continue;
                }
                // An erased person leaves `former-1` behind.
                Event::Move { sitting, to }
                    if !known.contains(to) && !to.starts_with("former-") =>
                {
                    let why = format!("the sitting {sitting} was given to {to}, who is not here");
                    (why, "add that person, or give the sitting to someone else")
                }
                Event::Tag { card, .. } if is_gone(card) => {
                    let why = format!("the card {card} is tagged out and is in no deck");
                    (
                        why,
                        "nothing depends on it; build the deck if the card is missed",
                    )
                }
                _ => continue,
            };
            let why = format!("number {}: {why}", entry.seq);
            self.warn(&path, why, todo);
        }
        let person = lines.person.clone();
        let warnings = history::lines_of(&person, &[lines]).1;
        for (warning, numbers) in history::runs(&warnings) {
            let why = format!("number {numbers}: {}", warning.why);
            let fault = Fault::warning(&path, why, "look at that computer's clock");
            self.found.push(fault.field("at"));
        }
    }

    fn is_folder(&self, path: &Path) -> bool {
        self.disk.about(path).is_ok_and(|a| a.kind == Kind::Folder)
    }

    /// Looks for what does not belong: half-written files, links, strays, marks of work cut short.
    fn files(&mut self, folder: &Path, place: &Place) {
        let listed = journal::list_or_empty(self.disk, folder);
        let Some(listed) = self.get(folder, listed) else {
            return;
        };
        self.read_only(folder, "folder");
        for path in listed {
            let about = self
                .disk
                .about(&path)
                .map_err(StoreError::io("look at", &path));
            let Some(about) = self.get(&path, about) else {
                continue;
            };
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let name = name.into_owned();
            match about.kind {
                Kind::Folder => {
                    let inside = inside(place, &name);
                    self.files(&path, &inside);
                }
                Kind::File => self.file(&path, &name, place),
                Kind::Other => {
                    let todo = "put the file itself here: links are not followed into backups";
                    self.warn(&path, "a link or a device, no file", todo);
                }
            }
        }
    }

    fn file(&mut self, path: &Path, name: &str, place: &Place) {
        self.count("files", 1);
        if name.strip_suffix(".lock").is_some() {
            self.count("locks", 1);
            return;
        }
        if name.starts_with('.') && name.strip_suffix(".new").is_some() {
            let todo = "when no program is writing here, remove it: it was never anyone's content";
            self.warn(path, "left half-written by a run that was cut short", todo);
            return;
        }
        if name == UNFINISHED {
            let todo = "if shop.json is there the restore was complete: remove this file";
            self.warn(path, "a restore was cut short", todo);
            return;
        }
        let ending = path
            .extension()
            .and_then(|e| e.to_str())
            .unwrap_or_default();
        let belongs = match place {
            Place::Top => name == "shop.json",
            Place::Files(wanted) => ending == *wanted,
            Place::People => false,
            Place::Intake => {
                ending == "jsonl" || name == "maps.json" || name.ends_with(form_file::ENDING)
            }
            Place::Person => ending == "jsonl" || ["person.json", "going.json"].contains(&name),
            Place::Free => true,
        };
        if !belongs {
            self.count("others", 1);
        } else if *place != Place::Free {
            self.read_only(path, "file");
        }
    }

    fn read_only(&mut self, path: &Path, what: &str) {
        if self.disk.about(path).is_ok_and(|about| about.read_only) {
            let why = format!("the {what} is marked read-only");
            let todo = "nothing can be kept in it; change its rights if that is not meant";
            self.warn(path, why, todo);
        }
    }

    fn report(mut self, name: Option<String>) -> Report {
        let root = self.folder.root();
        for fault in &mut self.found {
            if let Ok(inside) = fault.path.strip_prefix(root) {
                fault.path = inside.to_owned();
            }
        }
        let key = |f: &Fault| (f.path.clone(), f.line, f.why.clone());
        self.found.sort_by_cached_key(key);
        self.found.dedup();
        let counted = COUNTED.iter().map(|(word, label)| {
            let n = self.counts.get(word).copied().unwrap_or(0);
            (*word, *label, n)
        });
        Report {
            name,
            counts: counted.collect(),
            found: self.found,
        }
    }
}

fn inside(place: &Place, name: &str) -> Place {
    match (place, name) {
        (Place::Top, "boards" | "decks") => Place::Files("json"),
        (Place::Top, "jobs" | "edits") => Place::Files("jsonl"),
        (Place::Top, "people") => Place::People,
        (Place::Top, "intake") => Place::Intake,
        (Place::People, _) => Place::Person,
        _ => Place::Free,
    }
}

fn all_cards(workbench: &Workbench) -> BTreeSet<&str> {
    let decks = workbench.decks.iter();
    decks
        .flat_map(|deck| &deck.cards)
        .map(|card| card.id.as_str())
        .collect()
}
