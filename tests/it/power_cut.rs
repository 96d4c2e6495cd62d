//! The power goes at every step of a sitting and of everything else that writes.
//!
//! At each call that changes the disk the power is cut, in every way the disk in memory knows: what
//! was not synced is dropped, kept, torn by sectors of 512 B and 4 KiB with zeros or noise, or kept
//! in another order than it was written. Then the shop is opened again: what was acknowledged is
//! there, the step under way is done or not done, damage is named, nothing else has changed, and the
//! same work can go on. Wrong programs must be caught by the same tests.
//! Ideas: `SQLite`'s "How `SQLite` Is Tested", section on crash testing; Pillai et al., "All File
//! Systems Are Not Created Equal", OSDI 2014; Zheng et al., "Torturing Databases for Fun and
//! Profit", OSDI 2014 (titles from memory).

use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::OnceLock;

use benchlore::app::archive;
use benchlore::app::archive::BuildOptions;
use benchlore::app::demo;
use benchlore::app::desk::act;
use benchlore::app::desk::view::Act;
use benchlore::app::desk::view::Field as CardField;
use benchlore::app::entry::open as open_jobs;
use benchlore::app::entry::open::NewOpen;
use benchlore::app::entry::save;
use benchlore::app::entry::session;
use benchlore::app::entry::session::Session;
use benchlore::app::forget;
use benchlore::app::intake::Session as DeskSession;
use benchlore::app::jobs::ListOptions;
use benchlore::app::jobs::export;
use benchlore::app::jobs::export::Form;
use benchlore::app::people;
use benchlore::app::practice::Options;
use benchlore::app::practice::Practice;
use benchlore::app::workbench::AppError;
use benchlore::app::workbench::Workbench;
use benchlore::domain::circuit::Circuits;
use benchlore::domain::intake::draft::Draft;
use benchlore::domain::intake::draft::Suggested;
use benchlore::domain::intake::form::Form as JobForm;
use benchlore::domain::intake::form::Purpose;
use benchlore::domain::intake::form::Slot;
use benchlore::domain::review::Entry;
use benchlore::domain::review::Sure;
use benchlore::domain::review::TagReason;
use benchlore::domain::shop::Post;
use benchlore::domain::sitting::Said;
use benchlore::store::backup;
use benchlore::store::decks;
use benchlore::store::disk::About;
use benchlore::store::disk::Disk;
use benchlore::store::disk::DiskFile;
use benchlore::store::disk::Locking;
use benchlore::store::edits;
use benchlore::store::intake::rows_file;
use benchlore::store::intake::rows_file::Head;
use benchlore::store::intake::rows_file::WaitingRow;
use benchlore::store::journal;
use benchlore::store::model_disk::Cut;
use benchlore::store::model_disk::ModelDisk;
use benchlore::store::record::job;
use benchlore::store::record::job::JobRules;
use benchlore::store::sealed;
use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;

use crate::damage;

type Files = BTreeMap<PathBuf, Vec<u8>>;

const JOBS: &str = include_str!("../../demo-data/jobs/practice.jsonl");
const SHOP: &str = include_str!("../../demo-data/shop.json");

/// Every way the power can go.
fn cuts() -> Vec<Cut> {
    let mut all = vec![Cut::Lost, Cut::Half, Cut::Zeros, Cut::Kept, Cut::Latest];
    for seed in 0..2 {
        for sector in [512, 4096] {
            for noise in [false, true] {
                all.push(Cut::Any {
                    sector,
                    noise,
                    seed,
                });
            }
        }
    }
    all
}

fn now() -> DateTime<Utc> {
    "2026-11-20T08:00:00Z".parse().expect("a moment")
}

fn open(disk: &Arc<dyn Disk>) -> Result<Workbench, AppError> {
    Workbench::open(Arc::clone(disk), damage::shop(), "b7".to_owned())
}

/// A small shop: jobs of one board, a deck, and two people who have practised; RS had given a
/// sitting to MK, closed jobs and signed a card.
fn shop() -> ModelDisk {
    let model = ModelDisk::new();
    let jobs: Vec<String> = JOBS
        .lines()
        .filter(|line| line.contains("\"board\":\"petrel-p4\""))
        .take(30)
        .map(|line| line.replace("\"mk\"", "\"rs\""))
        .collect();
    model.put(&damage::shop().shop_json(), SHOP.as_bytes());
    model.put(
        &damage::shop().jobs().join("old.jsonl"),
        (jobs.join("\n") + "\n").as_bytes(),
    );
    let edit = r#"{"v":1,"id":"edit-c1-1","seq":1,"at":"2026-11-19T08:00:00.000Z","by":"RS","card":"x","ev":"sign"}"#;
    let edit = sealed::seal(edit) + "\n";
    model.put(&damage::shop().edits().join("c1.jsonl"), edit.as_bytes());
    model.put(Path::new("/out/readme"), b"mine");
    let disk: Arc<dyn Disk> = Arc::new(model.clone());
    let made = || -> Result<(), AppError> {
        let built = archive::build(&open(&disk)?, &demo::deck(), now())?;
        assert!(built.cards >= 3, "{built:?}");
        let workbench = open(&disk)?;
        for initials in ["MK", "RS"] {
            people::add(&workbench, initials, Post::Technician)?;
        }
        let rs = workbench.person(Some("rs"))?;
        let earlier = now() - TimeDelta::days(1);
        let mut practice = Practice::open(&workbench, &rs, &Options::default(), 3, earlier)?;
        answer(&mut practice, earlier)?;
        let sitting = practice.sitting().id().to_owned();
        drop(practice);
        people::give_sitting(&workbench, &sitting, "rs", "mk", earlier)
    };
    made().expect("the shop is made");
    model.cut(Cut::Kept);
    model
}

/// Answers the card under way rightly and keeps it.
fn answer(practice: &mut Practice, at: DateTime<Utc>) -> Result<(), AppError> {
    let card = practice.sitting().card().expect("a card is asked").clone();
    practice.say_circuit(&card.family, 2000);
    let steps = card.answers.first().map_or(&[][..], |fix| &fix.steps);
    let steps = steps
        .iter()
        .map(|step| format!("{} {}", step.act.replace('-', " "), step.part));
    let points = card.points.iter().flat_map(|point| &point.words);
    let points = points.filter_map(|group| group.first().cloned());
    let typed = steps.chain(points).collect::<Vec<_>>().join(" and ");
    practice.say_fix(&Said::Typed(typed), Sure::Fair, 3000);
    practice.keep(1000, at).map(|_| ())
}

/// What a piece of work had acknowledged before the power went.
#[derive(Default)]
struct Acks {
    /// Review lines.
    entries: Vec<Entry>,
    /// Everything else: what, in order.
    done: Vec<&'static str>,
    /// Acknowledged without any sync before.
    hasty: Vec<String>,
}

impl Acks {
    /// Notes an acknowledgement, given how many syncs there had been when the work began.
    fn note(&mut self, what: &'static str, model: &ModelDisk, before: u64) {
        if model.syncs() == before {
            self.hasty
                .push(format!("{what} was acknowledged without a sync"));
        }
        self.done.push(what);
    }
}

/// Works on a disk, noting what is acknowledged; the model is beneath that disk.
type Play = fn(&Arc<dyn Disk>, &ModelDisk, &mut Acks) -> Result<(), AppError>;

/// A piece of work and what must hold after the power went in it.
struct Work {
    name: &'static str,
    /// Works until done or until an error.
    play: Play,
    /// Returns what is wrong, after the cut; `base` is what was there before.
    check: fn(&ModelDisk, &Acks, &Files) -> Vec<String>,
}

fn journal_path() -> PathBuf {
    damage::shop().journal("mk", "b7").expect("safe names")
}

/// Answers, an answer taken back, a card tagged out, another answer.
fn play_sitting(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let workbench = open(disk)?;
    let mk = workbench.person(Some("mk"))?;
    let mut practice = Practice::open(&workbench, &mk, &Options::default(), 1, now())?;
    for n in 0..6 {
        let at = now() + TimeDelta::seconds(60 * n);
        let before = model.syncs();
        match n {
            2 => drop(practice.undo(at)?),
            4 => drop(practice.tag(TagReason::Doubtful, "two values", at)?),
            _ => answer(&mut practice, at)?,
        }
        acks.note("a review", model, before);
        let read = journal::read_all(model, &journal_path());
        let (entries, _) = read.map_err(AppError::from)?;
        acks.entries.extend(entries.last().cloned());
    }
    Ok(())
}

/// Returns what is wrong with MK's journal.
fn journal_faults(model: &ModelDisk, kept: &[Entry]) -> Vec<String> {
    let path = journal_path();
    let bytes = model.read(&path).unwrap_or_default();
    if bytes.is_empty() {
        return kept.iter().map(|e| format!("{} is lost", e.id)).collect();
    }
    let (read, faults) = match journal::read_all(model, &path) {
        Ok(read) => read,
        Err(error) => return vec![format!("it does not read: {error}")],
    };
    let mut wrong = damage::losses(kept, &read, &faults, &bytes);
    // A spot check may ask a card a second time.
    wrong.retain(|w| !w.contains("counts twice"));
    // The third step takes the second answer back: under way, it may have got onto the disk.
    if kept.len() == 2 {
        wrong.retain(|w| *w != format!("{} was taken back", kept[1].id));
    }
    let beyond = read.len().saturating_sub(kept.len());
    if beyond > 1 {
        wrong.push(format!(
            "{beyond} reviews more than were acknowledged or under way"
        ));
    }
    wrong
}

fn check_sitting(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let mut wrong = journal_faults(model, &acks.entries);
    wrong.extend(others_changed(model, base, &|path| *path == journal_path()));
    // The sitting goes on, and what it keeps is kept beside all that was.
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    let before = model.read(&journal_path()).unwrap_or_default();
    let mut more = Acks::default();
    if let Err(error) = play_sitting(&healthy, model, &mut more) {
        wrong.push(format!("the next sitting fails: {error}"));
    }
    let after = model.read(&journal_path()).unwrap_or_default();
    if !after.starts_with(&before) {
        wrong.push("lines that were there were changed".to_owned());
    }
    let read = journal::read_all(model, &journal_path());
    let read = read.map_or_else(|_| Vec::new(), |(entries, _)| entries);
    for entry in acks.entries.iter().chain(&more.entries) {
        if !read.contains(entry) {
            wrong.push(format!("{} is lost after the next sitting", entry.id));
        }
    }
    wrong
}

/// Returns files of the shop that are not as they were, but for those that may differ.
fn others_changed(model: &ModelDisk, base: &Files, may: &dyn Fn(&Path) -> bool) -> Vec<String> {
    let found = model.everything();
    base.iter()
        .filter(|(path, _)| !may(path))
        .filter(|(path, bytes)| found.get(*path) != Some(bytes))
        .map(|(path, _)| format!("{} is not as it was", path.display()))
        .collect()
}

fn play_person(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let before = model.syncs();
    people::add(&open(disk)?, "TL", Post::Lead)?;
    acks.note("a person", model, before);
    Ok(())
}

fn check_person(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let mut wrong = others_changed(model, base, &|_| false);
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    let workbench = open(&healthy).expect("the shop opens");
    let faults = workbench.people_faults().expect("people are read");
    wrong.extend(faults.iter().map(ToString::to_string));
    let there = workbench.person(Some("tl")).is_ok();
    if !acks.done.is_empty() && !there {
        wrong.push("the person is lost".to_owned());
    }
    if !there && people::add(&workbench, "TL", Post::Lead).is_err() {
        wrong.push("the person cannot be added again".to_owned());
    }
    wrong
}

const NEW_NAME: &str = "New name of the deck";

fn play_deck(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let options = BuildOptions {
        name: Some(NEW_NAME.to_owned()),
        ..demo::deck()
    };
    let before = model.syncs();
    archive::build(&open(disk)?, &options, now())?;
    acks.note("a deck", model, before);
    Ok(())
}

fn check_deck(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let path = damage::shop().deck("shop").expect("a safe name");
    // What is kept ready in cache/ may be cut anywhere: the next build must notice.
    let cache = damage::shop().root().join("cache");
    let may = |changed: &Path| changed == path || changed.starts_with(&cache);
    let mut wrong = others_changed(model, base, &may);
    let bytes = model.read(&path).unwrap_or_default();
    let (decks, faults) = decks::load_decks(model, &damage::shop()).expect("decks are read");
    let is_new = decks.iter().any(|deck| deck.name == NEW_NAME);
    if !faults.is_empty() || !(is_new || base.get(&path) == Some(&bytes)) {
        wrong.push("the deck is neither the old one nor the new one".to_owned());
    }
    if !acks.done.is_empty() && !is_new {
        wrong.push("the new deck is lost".to_owned());
    }
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    if play_deck(&healthy, model, &mut Acks::default()).is_err() {
        wrong.push("the deck cannot be built again".to_owned());
    }
    let (decks, faults) = decks::load_decks(model, &damage::shop()).expect("decks are read");
    if !faults.is_empty() || !decks.iter().any(|deck| deck.name == NEW_NAME) {
        wrong.push("the deck built again is not the new one".to_owned());
    }
    wrong
}

fn edits_path() -> PathBuf {
    damage::shop().edits_of("b7").expect("a safe name")
}

/// A card tagged out, brought back, reworded, signed, retired.
fn play_lead(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let mut workbench = open(disk)?;
    let mk = workbench.person(Some("mk"))?;
    let cards = workbench.cards().into_iter();
    let card = cards.map(|card| card.id.clone()).next().expect("a card");
    let deeds = [
        Act::TagOut("two values".to_owned()),
        Act::BringBack(String::new()),
        Act::Type(CardField::Why, "Salt creeps under it.".to_owned()),
        Act::Type(CardField::Also, "the usual".to_owned()),
        Act::Sign,
        Act::Retire("seen enough".to_owned()),
    ];
    for (n, done) in (0_i64..).zip(deeds) {
        let before = model.syncs();
        let at = now() + TimeDelta::minutes(n);
        let done = act::act(&workbench, &mk, &card, done, at)?;
        workbench = done.workbench;
        if !done.edits.is_empty() {
            acks.note("an edit", model, before);
        }
    }
    Ok(())
}

fn check_lead(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let mut wrong = others_changed(model, base, &|path| *path == edits_path());
    let own = |model: &ModelDisk| -> Vec<String> {
        let (all, _) = edits::load_edits(model, &damage::shop()).expect("edits are read");
        let own = all.into_iter().filter(|entry| entry.bench == "b7");
        own.map(|entry| entry.id).collect()
    };
    let there = own(model);
    if there.len() < acks.done.len() {
        let (kept, lost) = (acks.done.len(), acks.done.len() - there.len());
        wrong.push(format!("{lost} of {kept} edits are lost"));
    }
    if acks.done.len() + 1 < there.len() {
        wrong.push("more edits than were acknowledged or under way".to_owned());
    }
    let before = model.read(&edits_path()).unwrap_or_default();
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    if let Err(error) = play_lead(&healthy, model, &mut Acks::default()) {
        wrong.push(format!("the next edits fail: {error}"));
    }
    let after = model.read(&edits_path()).unwrap_or_default();
    if !after.starts_with(&before) {
        wrong.push("lines that were there were changed".to_owned());
    }
    if there.iter().any(|id| !own(model).contains(id)) {
        wrong.push("an edit is lost after the next ones".to_owned());
    }
    let workbench = open(&healthy).expect("the shop opens");
    let cards = workbench.all_cards().into_iter();
    if cards
        .map(|card| workbench.edits.apart(&card.id))
        .any(|apart| !apart.is_empty())
    {
        wrong.push("one lead's own edits stand apart".to_owned());
    }
    wrong
}

const TAR: &str = "/out/a.tar";

fn quiet() -> impl FnMut(&str, usize, usize) {
    |_, _, _| ()
}

fn play_backup(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let before = model.syncs();
    let about = ("Skerry", now());
    backup::backup(
        disk.as_ref(),
        &damage::shop(),
        Path::new(TAR),
        about,
        &mut quiet(),
    )?;
    acks.note("a backup", model, before);
    Ok(())
}

/// The shop's own files: no locks, nothing half-written.
fn own(files: &Files, root: &Path) -> Files {
    let kept = |path: &Path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        !name.ends_with(".lock") && !name.starts_with('.')
    };
    files
        .iter()
        .filter_map(|(path, bytes)| {
            let place = path.strip_prefix(root).ok()?;
            // What is derived is made anew and goes into no backup.
            let kept = kept(path) && !place.starts_with("cache");
            kept.then(|| (place.to_owned(), bytes.clone()))
        })
        .collect()
}

fn check_backup(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let mut wrong = others_changed(model, base, &|_| false);
    let there = model.exists(Path::new(TAR)).expect("it can be looked for");
    if !acks.done.is_empty() && !there {
        wrong.push("the backup is lost".to_owned());
    }
    if !there {
        let healthy: Arc<dyn Disk> = Arc::new(model.clone());
        if let Err(error) = play_backup(&healthy, model, &mut Acks::default()) {
            wrong.push(format!("no backup can be made: {error}"));
        }
    }
    let into = Path::new("/again");
    match backup::restore(model, Path::new(TAR), into, &mut quiet()) {
        Ok(_) if own(&model.everything(), into) == own(base, damage::shop().root()) => {}
        Ok(_) => wrong.push("the backup holds something else".to_owned()),
        Err(error) => wrong.push(format!("what has the name of a backup is none: {error}")),
    }
    wrong
}

const SHEET: &str = "/out/jobs.csv";

fn sheet(disk: &Arc<dyn Disk>) -> Result<String, AppError> {
    let all = ListOptions::default();
    Ok(export::export(&open(disk)?, Form::Sheet, &all)?.text)
}

fn play_export(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let text = sheet(disk)?;
    let before = model.syncs();
    export::write(&open(disk)?, Path::new(SHEET), &text, true)?;
    acks.note("an export", model, before);
    Ok(())
}

fn check_export(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let path = Path::new(SHEET);
    let mut wrong = others_changed(model, base, &|changed| changed == path);
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    let new = sheet(&healthy).expect("the jobs are read");
    let bytes = model.read(path).unwrap_or_default();
    let is_new = bytes == new.as_bytes();
    if !(is_new || base.get(path) == Some(&bytes)) {
        wrong.push("the export is neither the old one nor the new one".to_owned());
    }
    if !acks.done.is_empty() && !is_new {
        wrong.push("the new export is lost".to_owned());
    }
    if let Err(error) = play_export(&healthy, model, &mut Acks::default()) {
        wrong.push(format!("no export can be made: {error}"));
    }
    wrong
}

const BEFORE: &str = "/out/before.tar";

fn play_restore(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let before = model.syncs();
    let from = Path::new(BEFORE);
    backup::restore(disk.as_ref(), from, Path::new("/new/shop"), &mut quiet())?;
    acks.note("a restore", model, before);
    Ok(())
}

fn check_restore(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let mut wrong = others_changed(model, base, &|_| false);
    let root = Path::new("/new/shop");
    let whole =
        |model: &ModelDisk| own(&model.everything(), root) == own(base, damage::shop().root());
    let is_shop = model
        .exists(&root.join("shop.json"))
        .expect("it can be looked for");
    if is_shop && !whole(model) {
        wrong.push("half a restore looks like a shop".to_owned());
    }
    if !acks.done.is_empty() && !is_shop {
        wrong.push("the restored shop is lost".to_owned());
    }
    if !is_shop {
        let again = backup::restore(model, Path::new(BEFORE), root, &mut quiet());
        if again.is_err() || !whole(model) {
            wrong.push(format!("it cannot be restored again: {again:?}"));
        }
    }
    wrong
}

fn play_forget(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let before = model.syncs();
    let workbench = open(disk)?;
    let plan = forget::plan(&workbench, "rs")?;
    forget::carry_out(&workbench, &plan, now())?;
    acks.note("an erasure", model, before);
    Ok(())
}

/// The shop after an erasure on a healthy disk.
static ERASED: OnceLock<Files> = OnceLock::new();

fn check_forget(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let root = damage::shop();
    let done = ERASED.get_or_init(|| {
        let model = shop();
        let disk: Arc<dyn Disk> = Arc::new(model.clone());
        play_forget(&disk, &model, &mut Acks::default()).expect("a healthy disk");
        own(&model.everything(), root.root())
    });
    let before = own(base, root.root());
    let found = own(&model.everything(), root.root());
    let mut wrong = Vec::new();
    for (path, bytes) in &found {
        let going = path.ends_with("going.json");
        if !going && before.get(path) != Some(bytes) && done.get(path) != Some(bytes) {
            wrong.push(format!("{} is neither old nor new", path.display()));
        }
    }
    for path in before.keys().filter(|path| done.contains_key(*path)) {
        if !found.contains_key(path) {
            wrong.push(format!("{} is lost", path.display()));
        }
    }
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    let workbench = open(&healthy).expect("the shop opens");
    let is_person = workbench.person(Some("rs")).is_ok();
    if is_person && found != before {
        wrong.push("the person is neither whole nor gone".to_owned());
    }
    if !acks.done.is_empty() && found != *done {
        wrong.push("what was acknowledged as erased is not".to_owned());
    }
    match play_forget(&healthy, model, &mut Acks::default()) {
        Ok(()) | Err(AppError::NoPerson { .. }) => {}
        Err(error) => wrong.push(format!("the second run fails: {error}")),
    }
    if own(&model.everything(), root.root()) != *done {
        wrong.push("the second run does not finish it".to_owned());
    }
    wrong
}

/// The form of a job that is entered.
fn entered() -> JobForm {
    let typed = [
        (Slot::Board, "petrel-p4"),
        (Slot::Number, "W-9001"),
        (Slot::Outcome, "unknown-so-far"),
        (Slot::Family, "standby"),
    ];
    JobForm {
        words: "no power, 3V3_SB 0.41, replaced U31, 3V3_SB 3.31".to_owned(),
        typed: typed.map(|(slot, text)| (slot, text.to_owned())).into(),
        ..JobForm::default()
    }
}

const KEY: &str = "000102030405060708090a0b0c0d0e0f";

/// A job is entered, kept as a draft, marked and written; another is begun and logged.
fn play_entry(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let mut workbench = open(disk)?;
    let mk = workbench.person(Some("mk"))?;
    let (session, _) = Session::open(&workbench, &mk, Purpose::Add, now())?;
    let mut form = entered();
    let before = model.syncs();
    session.keep(&workbench, &form)?;
    acks.note("a draft", model, before);
    let before = model.syncs();
    form.unit = session::mark_unit(&mut workbench, &mk, "PX12-044", KEY, now())?;
    acks.note("a key", model, before);
    let before = model.syncs();
    save::write(&workbench, &session, &form, now())?;
    acks.note("a job", model, before);
    let new = NewOpen {
        number: Some("W-9002".to_owned()),
        board: "petrel-p4".to_owned(),
        ..NewOpen::default()
    };
    let before = model.syncs();
    open_jobs::begin(&workbench, &mk, &new, now())?;
    acks.note("an open job", model, before);
    let before = model.syncs();
    open_jobs::log(&workbench, &mk, "W-9002", "3V3_SB 0.41", now())?;
    acks.note("a line", model, before);
    Ok(())
}

fn check_entry(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let shop_json = damage::shop().shop_json();
    let mut wrong = others_changed(model, base, &|path| path == shop_json);
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    let mut workbench = match open(&healthy) {
        Ok(workbench) => workbench,
        Err(error) => return vec![format!("the shop does not open: {error}")],
    };
    let key = workbench.shop.unit_key.clone();
    let done = |what: &str| acks.done.contains(&what);
    if done("a key") && key.as_deref() != Some(KEY) {
        wrong.push("the key for units is lost".to_owned());
    }
    let mk = workbench.person(Some("mk")).expect("MK is here");
    let numbered = |workbench: &Workbench| {
        let jobs = workbench.archive().expect("jobs are read").jobs;
        jobs.iter().filter(|j| j.job == "W-9001").count()
    };
    let there = numbered(&workbench);
    if there > 1 || (done("a job") && there == 0) {
        wrong.push(format!("the job stands {there} times"));
    }
    let (all, _) = open_jobs::all(&workbench).expect("open jobs are read");
    let lines = all.open.first().map(|job| job.log.len());
    if done("an open job") && lines.is_none() || done("a line") && lines != Some(1) {
        wrong.push(format!("of the open job there is {lines:?}"));
    }
    // What was kept as a draft is offered again, and saving it writes nothing twice.
    let opened = Session::open(&workbench, &mk, Purpose::Add, now());
    let (session, begun) = match opened {
        Ok(opened) => opened,
        Err(error) => return vec![format!("the form does not open: {error}")],
    };
    if done("a draft") && there == 0 && begun.form.words != entered().words {
        wrong.push("the draft is lost".to_owned());
    }
    let mut form = entered();
    let marked = session::mark_unit(&mut workbench, &mk, "PX12-044", KEY, now());
    form.unit = marked.expect("the unit is marked");
    if let Err(error) = save::write(&workbench, &session, &form, now()) {
        wrong.push(format!("the job cannot be saved again: {error}"));
    }
    if numbered(&workbench) != 1 {
        wrong.push("the job does not stand once in the end".to_owned());
    }
    wrong
}

const ENTRY: Work = Work {
    name: "a job entered",
    play: play_entry,
    check: check_entry,
};

/// Rows of an old sheet, made of jobs of the practice shop that are not in this one.
fn rows() -> String {
    let boards = std::collections::BTreeSet::new();
    let circuits = Circuits::with_shop(&[], false);
    let rules = JobRules {
        circuits: &circuits,
        boards: &boards,
    };
    let lines = JOBS
        .lines()
        .filter(|line| line.contains("\"board\":\"petrel-p4\"") && !line.contains("follows"));
    let rows: Vec<String> = (17..)
        .zip(lines.skip(40).take(3))
        .map(|(n, line)| {
            let (record, _) = job::read(line, rules);
            let mut facts = Draft::of_job(&record.expect("a job").job);
            facts.unit = None;
            let row = WaitingRow {
                mark: format!("{n:016x}"),
                source: format!("old-bay.csv:{n}"),
                why: Vec::new(),
                cells: vec![("What".to_owned(), "no power".to_owned())],
                suggestion: Suggested {
                    facts,
                    maybe: Draft::default(),
                },
            };
            rows_file::write_row(&row) + "\n"
        })
        .collect();
    let head = Head {
        sheet: "old-bay.csv".to_owned(),
        shape: "s".to_owned(),
        content: "c".to_owned(),
        rows: 3,
        taken: 0,
        needs_person: 3,
        skipped: 0,
        at: now(),
        by: None,
    };
    rows_file::write_head(&head) + "\n" + &rows.concat()
}

/// The shop with rows that wait.
fn shop_with_rows() -> ModelDisk {
    let model = shop();
    let path = damage::shop().intake().join("old-bay-1f0c.rows.jsonl");
    model.put(&path, rows().as_bytes());
    model.cut(Cut::Kept);
    model
}

const ROWS: [&str; 3] = ["0000000000000011", "0000000000000012", "0000000000000013"];

/// A row accepted, one passed over, the accepted one taken back, a third one accepted.
fn play_intake(disk: &Arc<dyn Disk>, model: &ModelDisk, acks: &mut Acks) -> Result<(), AppError> {
    let workbench = open(disk)?;
    let mk = workbench.person(Some("mk"))?;
    let mut at = DeskSession::open(&workbench, &mk, now())?;
    let mut step = |at: &mut DeskSession, what: &'static str| {
        let before = model.syncs();
        match what {
            "accepted" => drop(at.accept(ROWS[0], now())?),
            "passed" => drop(at.skip(ROWS[1], "not a job", now())?),
            "third" => drop(at.accept(ROWS[2], now())?),
            _ => drop(at.undo(0, now())?),
        }
        acks.note(what, model, before);
        Ok::<(), AppError>(())
    };
    for what in ["passed", "accepted", "taken back", "third"] {
        step(&mut at, what)?;
    }
    Ok(())
}

fn check_intake(model: &ModelDisk, acks: &Acks, base: &Files) -> Vec<String> {
    let own = [
        damage::shop().intake_of("b7").expect("a safe name"),
        damage::shop().jobs_of("b7").expect("a safe name"),
    ];
    let mut wrong = others_changed(model, base, &|path| own.iter().any(|p| p == path));
    let healthy: Arc<dyn Disk> = Arc::new(model.clone());
    let workbench = open(&healthy).expect("the shop opens");
    let mk = workbench.person(Some("mk")).expect("mk is here");
    let before: Vec<Vec<u8>> = own
        .iter()
        .map(|p| model.read(p).unwrap_or_default())
        .collect();
    let mut desk = match DeskSession::open(&workbench, &mk, now()) {
        Ok(desk) => desk,
        Err(error) => return vec![format!("the desk does not open: {error}")],
    };
    let waits = |desk: &DeskSession, row: &str| desk.list().rows.iter().any(|r| r.key == row);
    let did = |what: &str| acks.done.contains(&what);
    if did("passed") && waits(&desk, ROWS[1]) {
        wrong.push("the row passed over waits again".to_owned());
    }
    if did("taken back") && !waits(&desk, ROWS[0]) {
        wrong.push("the job taken back is there again".to_owned());
    }
    // Once it is acknowledged, the next step takes it back: under way, that may be done or not.
    if did("accepted") && acks.done.len() == 2 && !archive_knows(&workbench) {
        wrong.push("the accepted row left no trace".to_owned());
    }
    if did("third") && waits(&desk, ROWS[2]) {
        wrong.push("the third row waits again".to_owned());
    }
    // What waits is no job, and what is a job does not wait.
    let archive = workbench.archive().expect("the jobs are read");
    let sources: Vec<&str> = archive
        .jobs
        .iter()
        .filter_map(|j| j.source.as_deref())
        .collect();
    for (row, source) in ROWS
        .iter()
        .zip(["old-bay.csv:17", "old-bay.csv:18", "old-bay.csv:19"])
    {
        let n = sources.iter().filter(|s| **s == source).count();
        if 1 < n || (n == 1) == (waits(&desk, row) || *row == ROWS[1]) {
            wrong.push(format!("{source} is {n} jobs"));
        }
    }
    // The work can go on, and nothing that was there is changed.
    for row in [ROWS[0], ROWS[2]] {
        if waits(&desk, row)
            && let Err(error) = desk.accept(row, now())
        {
            wrong.push(format!("{row} cannot be accepted: {error}"));
        }
    }
    if let Err(error) = desk.undo(0, now()) {
        wrong.push(format!("nothing can be taken back: {error}"));
    }
    for (path, before) in own.iter().zip(before) {
        if !model.read(path).unwrap_or_default().starts_with(&before) {
            wrong.push(format!("lines of {} were changed", path.display()));
        }
    }
    wrong
}

/// Tells whether a line of the first row's job is among the jobs, standing or taken back.
fn archive_knows(workbench: &Workbench) -> bool {
    let path = damage::shop().jobs_of("b7").expect("a safe name");
    let bytes = workbench.disk.read(&path).unwrap_or_default();
    String::from_utf8_lossy(&bytes).contains(ROWS[0])
}

const INTAKE: Work = Work {
    name: "rows decided about",
    play: play_intake,
    check: check_intake,
};
const SITTING: Work = Work {
    name: "a sitting",
    play: play_sitting,
    check: check_sitting,
};
const PERSON: Work = Work {
    name: "a person saved",
    play: play_person,
    check: check_person,
};
const LEAD: Work = Work {
    name: "a lead's edits",
    play: play_lead,
    check: check_lead,
};

const DECK: Work = Work {
    name: "a deck saved",
    play: play_deck,
    check: check_deck,
};
const EXPORT: Work = Work {
    name: "an export",
    play: play_export,
    check: check_export,
};
const BACKUP: Work = Work {
    name: "a backup",
    play: play_backup,
    check: check_backup,
};
const RESTORE: Work = Work {
    name: "a restore",
    play: play_restore,
    check: check_restore,
};
const FORGET: Work = Work {
    name: "an erasure",
    play: play_forget,
    check: check_forget,
};

/// How a program is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wrong {
    /// It is not.
    No,
    /// It never syncs a file.
    NoSync,
    /// It never syncs a folder.
    NoFolderSync,
    /// It replaces a file by emptying it and writing into it.
    WritesThrough,
}

/// The disk as a wrong program would use it.
struct Program {
    model: ModelDisk,
    wrong: Wrong,
}

struct Unsynced(Box<dyn DiskFile>);

impl DiskFile for Unsynced {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }
    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Disk for Program {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.model.read(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        self.model.list(folder)
    }
    fn exists(&self, path: &Path) -> io::Result<bool> {
        self.model.exists(path)
    }
    fn open_append(&self, path: &Path) -> io::Result<Box<dyn DiskFile>> {
        let file = self.model.open_append(path)?;
        Ok(match self.wrong {
            Wrong::NoSync => Box::new(Unsynced(file)),
            _ => file,
        })
    }
    fn create_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        if self.wrong == Wrong::NoSync {
            self.model.open_append(path)?.write(bytes)?;
            return Ok(());
        }
        self.model.create_new(path, bytes)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        if self.wrong == Wrong::WritesThrough {
            let bytes = self.model.read(from)?;
            if self.model.exists(to)? {
                self.model.remove(to)?;
            }
            self.model.create_new(to, &bytes)?;
            return self.model.remove(from);
        }
        self.model.rename(from, to)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        if self.wrong == Wrong::NoFolderSync {
            return Ok(());
        }
        self.model.sync_folder(folder)
    }
    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.model.make_folder(folder)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.model.remove(path)
    }
    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        self.model.remove_folder(folder)
    }
    fn about(&self, path: &Path) -> io::Result<About> {
        self.model.about(path)
    }
    fn read_part(&self, path: &Path, from: u64, most: usize) -> io::Result<Vec<u8>> {
        self.model.read_part(path, from, most)
    }
    fn lock(&self, path: &Path, note: &str) -> io::Result<Locking> {
        self.model.lock(path, note)
    }
}

/// Plays `work` on `model` until its step `nth`; 0 plays it to its end.
fn play(work: &Work, model: &ModelDisk, wrong: Wrong, nth: u64) -> Acks {
    let disk: Arc<dyn Disk> = Arc::new(Program {
        model: model.clone(),
        wrong,
    });
    let mut acks = Acks::default();
    model.power_off_at(nth);
    let done = (work.play)(&disk, model, &mut acks);
    assert!(nth > 0 || done.is_ok(), "{}: {:?}", work.name, done.err());
    acks
}

/// Cuts the power at every step of `work` in every way and once after its end; returns what is
/// wrong. Also how many steps there were and how many cuts were looked at.
fn every_cut(
    work: &Work,
    start: &ModelDisk,
    (wrong, lying): (Wrong, bool),
    enough: usize,
) -> (Vec<String>, u64, usize) {
    let base = start.everything();
    let mut found = Vec::new();
    let mut looked = 0;
    let whole = start.fork();
    if lying {
        whole.lie_about_syncs();
    }
    let acks = play(work, &whole, wrong, 0);
    found.extend(acks.hasty);
    let steps = whole.steps();
    for nth in 1..=steps + 1 {
        let model = start.fork();
        if lying {
            model.lie_about_syncs();
        }
        let acks = play(work, &model, wrong, nth);
        for cut in cuts() {
            let after = model.fork();
            after.cut(cut);
            let wrong = (work.check)(&after, &acks, &base);
            looked += 1;
            let place = format!("{}, step {nth}, {cut:?}", work.name);
            found.extend(wrong.into_iter().map(|w| format!("{place}: {w}")));
            if found.len() >= enough {
                return (found, steps, looked);
            }
        }
    }
    (found, steps, looked)
}

#[track_caller]
fn holds(work: &Work, start: &ModelDisk, at_least: u64) {
    let (wrong, steps, looked) = every_cut(work, start, (Wrong::No, false), 8);
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(steps >= at_least, "{}: only {steps} steps", work.name);
    let all = cuts().len() * usize::try_from(steps + 1).expect("few steps");
    assert_eq!(looked, all, "every step, and once after the end");
}

#[test]
fn a_sitting_cut_at_any_step_keeps_what_it_acknowledged() {
    holds(&SITTING, &shop(), 14);
}

#[test]
fn a_job_being_entered_is_kept_as_a_draft_and_written_once() {
    holds(&ENTRY, &shop(), 15);
}

#[test]
fn a_person_or_a_deck_being_saved_is_there_or_not() {
    holds(&PERSON, &shop(), 6);
    holds(&DECK, &shop(), 5);
}

#[test]
fn what_a_lead_did_to_a_card_is_there_and_one_leads_edits_never_stand_apart() {
    holds(&LEAD, &shop(), 8);
}

#[test]
fn a_row_is_decided_about_or_waits_and_is_never_half_a_job() {
    holds(&INTAKE, &shop_with_rows(), 12);
}

#[test]
fn a_desk_that_never_syncs_is_caught() {
    let start = shop_with_rows();
    for wrong in [Wrong::NoSync, Wrong::NoFolderSync] {
        let (found, _, _) = every_cut(&INTAKE, &start, (wrong, false), 1);
        assert!(!found.is_empty(), "{wrong:?} goes unnoticed");
    }
}

#[test]
fn an_export_over_another_is_the_old_one_or_the_new_one() {
    let start = shop();
    start.make_folder(Path::new("/out")).expect("a folder");
    start
        .create_new(Path::new(SHEET), b"Job\r\nW-1\r\n")
        .expect("an older export");
    start.sync_folder(Path::new("/out")).expect("it lasts");
    start.cut(Cut::Kept);
    holds(&EXPORT, &start, 3);
}

#[test]
fn what_has_the_name_of_a_backup_is_one_and_half_a_restore_is_no_shop() {
    holds(&BACKUP, &shop(), 5);
    let start = shop();
    let about = ("Skerry", now());
    backup::backup(
        &start,
        &damage::shop(),
        Path::new(BEFORE),
        about,
        &mut quiet(),
    )
    .expect("a backup");
    start.cut(Cut::Kept);
    holds(&RESTORE, &start, 20);
}

#[test]
fn an_erasure_cut_at_any_step_leaves_the_person_whole_or_gone() {
    holds(&FORGET, &shop(), 20);
}

/// The power goes again while what a first cut left is being seen to.
#[test]
fn a_second_cut_during_recovery_costs_nothing_either() {
    let few = [
        Cut::Lost,
        Cut::Latest,
        Cut::Any {
            sector: 512,
            noise: true,
            seed: 7,
        },
    ];
    for (work, every) in [(&SITTING, 3), (&FORGET, 7)] {
        let start = shop();
        let base = start.everything();
        let whole = start.fork();
        play(work, &whole, Wrong::No, 0);
        let mut looked = 0;
        for nth in (1..=whole.steps()).step_by(every) {
            let model = start.fork();
            let acks = play(work, &model, Wrong::No, nth);
            for first in few {
                let cut_once = model.fork();
                cut_once.cut(first);
                for second_nth in [1, 2, 4, 7] {
                    let recovering = cut_once.fork();
                    let program: Arc<dyn Disk> = Arc::new(recovering.clone());
                    let mut more = Acks::default();
                    recovering.power_off_at(second_nth);
                    // It fails at the second cut; where the first came late nothing was left to do.
                    let again = (work.play)(&program, &recovering, &mut more);
                    let mut both = Acks {
                        entries: acks.entries.iter().chain(&more.entries).cloned().collect(),
                        done: acks.done.iter().chain(&more.done).copied().collect(),
                        hasty: Vec::new(),
                    };
                    assert!(again.is_err() || recovering.steps() < second_nth);
                    recovering.cut(few[(looked) % 3]);
                    // The step under way at the first cut may have been kept unasked.
                    let read = journal::read_all(&cut_once, &journal_path());
                    if let Ok((read, _)) = read
                        && let Some(extra) = read.iter().find(|e| !acks.entries.contains(e))
                    {
                        both.entries.insert(acks.entries.len(), extra.clone());
                    }
                    let wrong = (work.check)(&recovering, &both, &base);
                    let place = format!("{}, step {nth}, {first:?}, then {second_nth}", work.name);
                    assert!(wrong.is_empty(), "{place}: {wrong:#?}");
                    looked += 1;
                }
            }
        }
        assert!(looked > 50, "{looked}");
    }
}

#[test]
fn wrong_programs_are_caught() {
    let start = shop();
    for (work, wrong) in [
        (&SITTING, Wrong::NoSync),
        (&SITTING, Wrong::NoFolderSync),
        (&PERSON, Wrong::NoSync),
        (&PERSON, Wrong::NoFolderSync),
        (&LEAD, Wrong::NoSync),
        (&LEAD, Wrong::NoFolderSync),
        (&DECK, Wrong::NoSync),
        (&DECK, Wrong::WritesThrough),
        (&BACKUP, Wrong::NoSync),
        (&BACKUP, Wrong::NoFolderSync),
        (&FORGET, Wrong::NoSync),
        (&FORGET, Wrong::NoFolderSync),
        (&FORGET, Wrong::WritesThrough),
    ] {
        let (found, ..) = every_cut(work, &start, (wrong, false), 1);
        assert!(!found.is_empty(), "{} {wrong:?} goes unnoticed", work.name);
    }
}

#[test]
fn a_sync_that_lies_is_caught_though_every_acknowledgement_had_one() {
    let start = shop();
    for work in [&SITTING, &PERSON, &LEAD, &DECK, &BACKUP, &FORGET] {
        let whole = start.fork();
        whole.lie_about_syncs();
        assert_eq!(play(work, &whole, Wrong::No, 0).hasty, Vec::<String>::new());
        let (found, ..) = every_cut(work, &start, (Wrong::No, true), 1);
        assert!(!found.is_empty(), "{} does not notice", work.name);
    }
}
