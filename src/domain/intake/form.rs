//! A job being entered: what was typed, kept apart from what it means.
//!
//! The form holds words alone, those of the free line and those typed into single fields, and a few
//! decisions (this reading was taken after cleaning, that act was the fix). [`fill`] reads them anew
//! at each key, so that nothing typed is ever lost to a reading of it. What the words do not plainly
//! say is proposed and stays out of the job until someone takes it. The serial of a unit is no part of
//! a form: only its mark is. What a job needs is [`Draft::missing`]'s business, what should be said
//! before it is saved that of [`crate::domain::intake::advice`].

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyId;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::form_words as said;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::names;
use crate::domain::intake::names::Named;
use crate::domain::intake::reading;
use crate::domain::intake::reading::Got;
use crate::domain::intake::reading::Known;
use crate::domain::intake::reading::Reading;
use crate::domain::intake::words::Words;
use crate::domain::job::Action;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::Flag;
use crate::domain::job::Job;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;
use crate::domain::job::When;
use crate::domain::wording;

/// The single fields of a form, in the order in which it shows them; findings and actions are rows of
/// their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Slot {
    /// Board kind.
    Board,
    /// Revision.
    Rev,
    /// The shop's number.
    Number,
    /// Closing day.
    Day,
    /// Initials.
    By,
    /// Customer's words.
    Complaint,
    /// More readings and signs, beside those of the free line.
    Seen,
    /// More acts of repair.
    Done,
    /// Circuit family.
    Family,
    /// What proved the fix.
    Proof,
    /// How it ended.
    Outcome,
    /// Why there was no fix.
    NoFixReason,
    /// Earlier job of this unit.
    Follows,
    /// Where the board had been.
    Environment,
    /// Minutes at the bench.
    Minutes,
    /// Anything else.
    Note,
}

impl Slot {
    /// Every field.
    pub const ALL: [Self; 16] = [
        Self::Board,
        Self::Rev,
        Self::Number,
        Self::Day,
        Self::By,
        Self::Complaint,
        Self::Seen,
        Self::Done,
        Self::Family,
        Self::Proof,
        Self::Outcome,
        Self::NoFixReason,
        Self::Follows,
        Self::Environment,
        Self::Minutes,
        Self::Note,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Board => "board",
            Self::Rev => "rev",
            Self::Number => "job",
            Self::Day => "closed_on",
            Self::By => "closed_by",
            Self::Complaint => "complaint",
            Self::Seen => "findings",
            Self::Done => "actions",
            Self::Family => "family",
            Self::Proof => "proof",
            Self::Outcome => "outcome",
            Self::NoFixReason => "no_fix_reason",
            Self::Follows => "follows",
            Self::Environment => "environment",
            Self::Minutes => "minutes",
            Self::Note => "note",
        }
    }

    /// Returns the field that a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }

    /// Returns what the field is called on a screen.
    pub fn label(self) -> &'static str {
        match self {
            Self::Board => "Board",
            Self::Rev => "Revision",
            Self::Number => "Job",
            Self::Day => "Closed",
            Self::By => "By",
            Self::Complaint => "Complaint",
            Self::Seen => "Seen",
            Self::Done => "Done",
            Self::Family => "Circuit",
            Self::Proof => "Proof",
            Self::Outcome => "Outcome",
            Self::NoFixReason => "No fix, why",
            Self::Follows => "Came before",
            Self::Environment => "Been in",
            Self::Minutes => "Minutes",
            Self::Note => "Note",
        }
    }
}

/// What the form is for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Purpose {
    /// A closed job that is not in the archive yet.
    #[default]
    Add,
    /// The job of this number is put right.
    Correct(String),
    /// The open job of this number is closed.
    Close(String),
}

/// What someone decided about one finding or action.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// It is no part of the job.
    pub gone: bool,
    /// The words only may have meant it, and they did.
    pub taken: bool,
    /// When it was seen.
    pub when: Option<When>,
    /// What the act was for.
    pub role: Option<Role>,
}

/// A job being entered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Form {
    /// What it is for.
    pub purpose: Purpose,
    /// What it began with: the job to correct, or what was logged of an open job.
    pub base: Draft,
    /// The free line.
    pub words: String,
    /// What was typed into single fields; an empty text empties the field.
    pub typed: BTreeMap<Slot, String>,
    /// Decisions about findings and actions, by [`Row::key`].
    pub changes: BTreeMap<String, Change>,
    /// Mark of the unit; the serial it was made of is not kept.
    pub unit: Option<String>,
}

impl Form {
    /// Returns a form that begins with what a job says.
    pub fn of(purpose: Purpose, base: Draft) -> Self {
        Self {
            purpose,
            unit: base.unit.clone(),
            base,
            ..Self::default()
        }
    }

    /// Tells whether anything was typed or decided.
    pub fn is_touched(&self) -> bool {
        !self.words.trim().is_empty()
            || !self.typed.is_empty()
            || !self.changes.is_empty()
            || self.unit != self.base.unit
    }

    fn change(&self, key: &str) -> Change {
        self.changes.get(key).cloned().unwrap_or_default()
    }
}

/// Where a value comes from and whether it counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Typed into the field, or taken by someone.
    Given,
    /// The free line says it.
    Said,
    /// It stood there when the form was opened.
    Stood,
    /// Taken from elsewhere, and why: `as your last job`.
    Usual(String),
    /// Not part of the job until someone takes it, and why it is proposed.
    Proposed(String),
    /// What was typed cannot be used, and why.
    Bad(String),
    /// Required, and not there.
    Missing,
    /// Not there, and may stay so.
    Empty,
}

impl Standing {
    /// Tells whether the value is part of the job.
    pub fn counts(&self) -> bool {
        matches!(
            self,
            Self::Given | Self::Said | Self::Stood | Self::Usual(_)
        )
    }
}

/// One finding or one action.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<T> {
    /// What a decision about it is kept under: its source words.
    pub key: String,
    /// What it says.
    pub what: T,
    /// Where it comes from.
    pub standing: Standing,
}

/// A form as it is understood now.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filled {
    /// What counts.
    pub draft: Draft,
    /// What is proposed.
    pub proposed: Draft,
    /// Each field and where its value comes from.
    pub standing: BTreeMap<Slot, Standing>,
    /// Findings in order, those that only may be meant too.
    pub findings: Vec<Row<Finding>>,
    /// Actions in order.
    pub actions: Vec<Row<Action>>,
    /// Words of the free line that were not understood.
    pub unread: Vec<String>,
}

impl Filled {
    /// Returns where the value of a field comes from.
    pub fn standing(&self, slot: Slot) -> Standing {
        self.standing.get(&slot).cloned().unwrap_or(Standing::Empty)
    }

    /// Returns the required fields that are not there.
    pub fn missing(&self) -> Vec<crate::domain::intake::draft::Missing> {
        self.draft.missing()
    }
}

/// What a form is read against.
#[derive(Clone, Copy, Debug)]
pub struct Shelf<'a> {
    /// Words of the bench and of the shop.
    pub words: &'a Words,
    /// Boards of the shop.
    pub boards: &'a [Board],
    /// What is known of each board, by id.
    pub facts: &'a BTreeMap<String, BoardFacts>,
    /// Circuit families.
    pub circuits: &'a Circuits,
    /// Jobs that count.
    pub jobs: &'a [Job],
    /// The person's previous job, for what is usual; none where nothing may be taken from it.
    pub previous: Option<&'a Job>,
    /// The next number of the shop.
    pub next_number: Option<&'a str>,
    /// Initials of whoever enters it.
    pub by: Option<&'a str>,
    /// Bench day.
    pub today: NaiveDate,
}

impl<'a> Shelf<'a> {
    fn board(&self, id: Option<&str>) -> Option<&'a Board> {
        self.boards.iter().find(|b| Some(b.id.as_str()) == id)
    }

    fn read(&self, text: &str, field: &Field, board: Option<&str>) -> Reading {
        let known = Known {
            words: self.words,
            board: board.and_then(|id| self.facts.get(id)),
            field,
            dates: DateOrder::Unknown,
            decimal: DecimalMark::Unknown,
        };
        reading::read(text, &known)
    }
}

/// Reads a form.
pub fn fill(form: &Form, shelf: &Shelf<'_>) -> Filled {
    let mut filled = Filled::default();
    heads(form, shelf, &mut filled);
    let board = filled.draft.board.clone();
    let board = board.as_deref();
    let reading = shelf.read(&form.words, &Field::Everything, board);
    let words = |range: &std::ops::Range<usize>| form.words.get(range.clone()).unwrap_or_default();
    filled.unread = reading
        .unread
        .iter()
        .map(|range| words(range).trim().to_owned())
        .filter(|words| words.chars().any(char::is_alphanumeric))
        .filter(|words| !shelf.board(board).is_some_and(|b| names::is_of(words, b)))
        .collect();
    seen_and_done(form, shelf, &reading, board, &mut filled);
    complaint(form, shelf, &reading, &mut filled);
    revision(form, shelf, &reading, &mut filled);
    family(form, shelf, &reading, &mut filled);
    ending(form, &reading, &mut filled);
    circumstances(form, &reading, &mut filled);
    filled.draft.unit.clone_from(&form.unit);
    filled.draft.flags.clone_from(&form.base.flags);
    filled.draft.flags.extend(open_flags(form, &reading.flags));
    filled.draft.raw.clone_from(&form.base.raw);
    if !form.words.trim().is_empty() {
        let words = ("words".to_owned(), form.words.clone());
        filled.draft.raw.push(words);
    }
    let base = &form.base;
    filled.draft.contributing.clone_from(&base.contributing);
    filled.draft.bounce_cause = base.bounce_cause;
    filled.draft.confidence = base.confidence;
    filled.draft.source.clone_from(&base.source);
    let minutes = filled.draft.effort.minutes;
    filled.draft.effort = base.effort;
    filled.draft.effort.minutes = minutes;
    for missing in filled.draft.missing() {
        if let Some(slot) = Slot::from_word(missing.field()) {
            let standing = filled.standing.entry(slot).or_insert(Standing::Missing);
            if *standing == Standing::Empty {
                *standing = Standing::Missing;
            }
        }
    }
    filled
}

/// Flags about words that nobody has ruled on yet.
fn open_flags(form: &Form, flags: &[Flag]) -> Vec<Flag> {
    let ruled = |flag: &Flag| {
        let by_row = form.changes.iter().any(|(key, change)| {
            !flag.raw.is_empty() && (change.gone || change.taken) && key.contains(&flag.raw)
        });
        let by_field =
            Slot::from_word(&flag.field).is_some_and(|slot| form.typed.contains_key(&slot));
        by_row || by_field
    };
    flags.iter().filter(|f| !ruled(f)).cloned().collect()
}

/// What a field gets from typing or from what stood there before; none where neither says anything.
fn given<T>(
    form: &Form,
    slot: Slot,
    stood: Option<T>,
    read: impl FnOnce(&str) -> Result<T, String>,
) -> Option<(Option<T>, Standing)> {
    match form.typed.get(&slot).map(|text| text.trim()) {
        Some("") => Some((None, Standing::Empty)),
        Some(text) => Some(match read(text) {
            Ok(value) => (Some(value), Standing::Given),
            Err(why) => (None, Standing::Bad(why)),
        }),
        None => stood.map(|value| (Some(value), Standing::Stood)),
    }
}

/// Board, number, day, initials.
fn heads(form: &Form, shelf: &Shelf<'_>, filled: &mut Filled) {
    let usual = || Standing::Usual("as your last job".to_owned());
    let base = &form.base;
    // What a job that is corrected does not say stays unsaid until someone says it.
    let anew = !matches!(form.purpose, Purpose::Correct(_));
    let found = given(form, Slot::Board, base.board.clone(), |text| {
        said::board(text, shelf.boards)
    });
    let named = names::named_in(&form.words, shelf.boards);
    let found = found.unwrap_or_else(|| match (named, shelf.previous) {
        (Some(Named::Whole(board)), _) => (Some(board), Standing::Said),
        (Some(Named::Maybe(board)), previous)
            if previous.is_none_or(|job| !anew || job.board != board) =>
        {
            filled.proposed.board = Some(board);
            (None, Standing::Proposed("the words may say so".to_owned()))
        }
        (Some(Named::Several), _) => (None, Standing::Empty),
        (_, Some(job)) if anew && shelf.board(Some(&job.board)).is_some() => {
            (Some(job.board.clone()), usual())
        }
        _ => (None, Standing::Empty),
    });
    (filled.draft.board, _) = found.clone();
    filled.standing.insert(Slot::Board, found.1);
    let number = given(form, Slot::Number, base.number.clone(), said::number);
    let number = number.unwrap_or_else(|| match shelf.next_number {
        Some(next) if anew => {
            let why = "counted on".to_owned();
            (Some(next.to_owned()), Standing::Usual(why))
        }
        _ => (None, Standing::Empty),
    });
    filled.draft.number = number.0;
    filled.standing.insert(Slot::Number, number.1);
    let day = given(form, Slot::Day, base.closed_on, |text| {
        said::day(text, shelf.today)
    });
    let today = Standing::Usual("today".to_owned());
    let day = day.unwrap_or((Some(shelf.today), today));
    filled.draft.closed_on = day.0;
    filled.standing.insert(Slot::Day, day.1);
    let by = given(form, Slot::By, base.closed_by.clone(), |text| {
        Ok(text.to_lowercase())
    });
    let by = by.unwrap_or_else(|| match shelf.by {
        Some(who) if anew => (
            Some(who.to_owned()),
            Standing::Usual("who sits here".to_owned()),
        ),
        _ => (None, Standing::Empty),
    });
    filled.draft.closed_by = by.0;
    filled.standing.insert(Slot::By, by.1);
}

fn revision(form: &Form, shelf: &Shelf<'_>, reading: &Reading, filled: &mut Filled) {
    let found = given(form, Slot::Rev, form.base.rev.clone(), |text| {
        Ok(text.to_owned())
    });
    let found = found.unwrap_or_else(|| match (&reading.revision, shelf.previous) {
        (Some(got), _) if got.sure => (Some(got.what.clone()), Standing::Said),
        (Some(got), _) => {
            filled.proposed.rev = Some(got.what.clone());
            (None, Standing::Proposed("the words may say so".to_owned()))
        }
        (None, Some(job))
            if !matches!(form.purpose, Purpose::Correct(_))
                && filled.draft.board.as_ref() == Some(&job.board) =>
        {
            (
                job.rev.clone(),
                job.rev.as_ref().map_or(Standing::Empty, |_| {
                    Standing::Usual("as your last job".to_owned())
                }),
            )
        }
        _ => (None, Standing::Empty),
    });
    filled.draft.rev = found.0;
    filled.standing.insert(Slot::Rev, found.1);
}

fn complaint(form: &Form, shelf: &Shelf<'_>, reading: &Reading, filled: &mut Filled) {
    let stood = (!form.base.complaint.is_empty()).then(|| form.base.complaint.clone());
    let found = given(form, Slot::Complaint, stood, |text| {
        said::complaint(text, || {
            let read = shelf.read(text, &Field::Complaint, filled.draft.board.as_deref());
            read.complaint.into_iter().map(|got| got.what).collect()
        })
    });
    let found = found.unwrap_or_else(|| {
        let all = |sure: bool| -> Vec<String> {
            let mut found: Vec<String> = Vec::new();
            for got in reading.complaint.iter().filter(|g| g.sure == sure) {
                if !found.contains(&got.what) {
                    found.push(got.what.clone());
                }
            }
            found
        };
        match (all(true), all(false)) {
            (sure, _) if !sure.is_empty() => (Some(sure), Standing::Said),
            (_, maybe) if !maybe.is_empty() => {
                filled.proposed.complaint = maybe;
                (None, Standing::Proposed("the words may say so".to_owned()))
            }
            _ => (None, Standing::Empty),
        }
    });
    filled.draft.complaint = found.0.unwrap_or_default();
    filled.standing.insert(Slot::Complaint, found.1);
}

/// Returns a name for each of several equal source words.
fn keys() -> impl FnMut(&str) -> String {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    move |words| {
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let nth = seen.entry(words.clone()).or_insert(0);
        *nth += 1;
        if *nth == 1 {
            words
        } else {
            format!("{words} #{nth}")
        }
    }
}

fn seen_and_done(
    form: &Form,
    shelf: &Shelf<'_>,
    reading: &Reading,
    board: Option<&str>,
    filled: &mut Filled,
) {
    let mut key = keys();
    for (i, finding) in form.base.findings.iter().enumerate() {
        let words = format!("finding {}", i + 1);
        put_finding(form, filled, words, finding.clone(), Standing::Stood);
    }
    for (i, action) in form.base.actions.iter().enumerate() {
        let words = format!("action {}", i + 1);
        put_action(form, filled, words, action.clone(), Standing::Stood);
    }
    let mut take = |text: &str, reading: &Reading, given: bool, filled: &mut Filled| {
        let plain = |sure: bool| match (sure, given) {
            (true, true) => Standing::Given,
            (true, false) => Standing::Said,
            (false, _) => Standing::Proposed("the words may say so".to_owned()),
        };
        let words = |got: &std::ops::Range<usize>| text.get(got.clone()).unwrap_or_default().trim();
        let in_order = matches!(form.purpose, Purpose::Close(_)) && !given;
        let after = after_the_repair(&reading.findings, &reading.actions, in_order);
        for (i, got) in reading.findings.iter().enumerate() {
            let mut finding = got.what.clone();
            if finding.raw.is_none() {
                finding.raw = Some(words(&got.words).to_owned());
            }
            if after.contains(&i) {
                finding.when = When::AfterAction;
            }
            put_finding(
                form,
                filled,
                key(words(&got.words)),
                finding,
                plain(got.sure),
            );
        }
        for got in &reading.actions {
            let action = got.what.clone();
            put_action(
                form,
                filled,
                key(words(&got.words)),
                action,
                plain(got.sure),
            );
        }
    };
    take(&form.words, reading, false, filled);
    for (slot, field) in [(Slot::Seen, Field::Findings), (Slot::Done, Field::Fix)] {
        if let Some(text) = form.typed.get(&slot).filter(|t| !t.trim().is_empty()) {
            let read = shelf.read(text, &field, board);
            let nothing = read.findings.is_empty() && read.actions.is_empty();
            let standing = if nothing {
                Standing::Bad("nothing of it is understood".to_owned())
            } else {
                Standing::Given
            };
            filled.standing.insert(slot, standing);
            take(text, &read, true, filled);
        }
    }
}

/// Which findings were taken after a repair: the same place was read before, and an act that may have
/// changed it stands between the two. Where the words are known to be `in_order`, as those of a log,
/// whatever stands behind an act was seen after it.
fn after_the_repair(
    findings: &[Got<Finding>],
    actions: &[Got<Action>],
    in_order: bool,
) -> BTreeSet<usize> {
    let mut late = BTreeSet::new();
    for (i, got) in findings.iter().enumerate() {
        if got.what.when != When::BeforeAction {
            continue;
        }
        let behind = |act: &Got<Action>| act.what.act != "none" && act.words.end <= got.words.start;
        if in_order && actions.iter().any(behind) {
            late.insert(i);
            continue;
        }
        if got.what.place.is_empty() {
            continue;
        }
        let again = findings.iter().any(|first| {
            let same = first.what.kind == got.what.kind
                && first.what.place.eq_ignore_ascii_case(&got.what.place);
            let between = |act: &Got<Action>| {
                first.words.end <= act.words.start && act.words.end <= got.words.start
            };
            same && actions.iter().any(between)
        });
        if again {
            late.insert(i);
        }
    }
    late
}

fn put_finding(form: &Form, filled: &mut Filled, key: String, what: Finding, found: Standing) {
    let change = form.change(&key);
    let mut what = what;
    what.when = change.when.unwrap_or(what.when);
    let standing = decided(&change, found);
    if standing.counts() {
        filled.draft.findings.push(what.clone());
    } else if standing != Standing::Empty {
        filled.proposed.findings.push(what.clone());
    }
    filled.findings.push(Row {
        key,
        what,
        standing,
    });
}

fn put_action(form: &Form, filled: &mut Filled, key: String, what: Action, found: Standing) {
    let change = form.change(&key);
    let mut what = what;
    what.role = change.role.unwrap_or(what.role);
    let standing = decided(&change, found);
    if standing.counts() {
        filled.draft.actions.push(what.clone());
    } else if standing != Standing::Empty {
        filled.proposed.actions.push(what.clone());
    }
    filled.actions.push(Row {
        key,
        what,
        standing,
    });
}

fn decided(change: &Change, found: Standing) -> Standing {
    match found {
        _ if change.gone => Standing::Empty,
        Standing::Proposed(_) if change.taken => Standing::Given,
        found => found,
    }
}

/// The circuit: as typed, as the part list says of what fixed it, as the words name it; else proposed.
fn family(form: &Form, shelf: &Shelf<'_>, reading: &Reading, filled: &mut Filled) {
    let found = given(form, Slot::Family, form.base.family.clone(), |text| {
        said::family(text, shelf.circuits)
    });
    let found = found.unwrap_or_else(|| {
        if let Some(family) = of_the_part(&filled.draft, shelf) {
            let why = "as the board's part list says".to_owned();
            return (Some(family), Standing::Usual(why));
        }
        match &reading.family {
            Some(got) if got.sure => (Some(got.what.clone()), Standing::Said),
            other => {
                let usual = usual_family(&filled.draft, shelf);
                let named = other.as_ref().map(|got| got.what.clone());
                let named = named.map(|family| (family, "the words may say so".to_owned()));
                match named.or(usual) {
                    Some((family, why)) => {
                        filled.proposed.family = Some(family);
                        (None, Standing::Proposed(why))
                    }
                    None => (None, Standing::Empty),
                }
            }
        }
    });
    filled.draft.family = found.0;
    filled.standing.insert(Slot::Family, found.1);
}

fn fixes(draft: &Draft) -> impl Iterator<Item = &Action> {
    draft.actions.iter().filter(|a| a.role == Role::TheFix)
}

/// The family that the part list gives, where every part of the fix is in one and the same.
fn of_the_part(draft: &Draft, shelf: &Shelf<'_>) -> Option<FamilyId> {
    let board = shelf.board(draft.board.as_deref())?;
    let known = |part: &str| {
        let mut parts = board.parts.iter();
        let found = parts.find(|(name, _)| name.eq_ignore_ascii_case(part.trim()));
        found.and_then(|(_, part)| part.family.clone())
    };
    let found: Option<BTreeSet<FamilyId>> = fixes(draft).map(|a| known(&a.part)).collect();
    let found = found?;
    let mut families = found.into_iter();
    let first = families.next()?;
    families.next().is_none().then_some(first)
}

/// The family of the shop's jobs on this board with the same part in their fix, and where from.
fn usual_family(draft: &Draft, shelf: &Shelf<'_>) -> Option<(FamilyId, String)> {
    let board = draft.board.as_deref()?;
    let parts: Vec<&str> = fixes(draft).map(|a| a.part.trim()).collect();
    let same = |job: &&Job| {
        job.board == board
            && job.actions.iter().any(|a| {
                a.role == Role::TheFix
                    && !a.part.trim().is_empty()
                    && parts.iter().any(|p| p.eq_ignore_ascii_case(a.part.trim()))
            })
    };
    let mut counts: BTreeMap<&str, (usize, &Job)> = BTreeMap::new();
    for job in shelf.jobs.iter().filter(same) {
        if let Some(family) = job.family.as_deref().filter(|f| *f != UNLOCATED) {
            let entry = counts.entry(family).or_insert((0, job));
            *entry = (entry.0 + 1, job);
        }
    }
    let (family, (_, job)) = counts.into_iter().max_by_key(|(_, (n, _))| *n)?;
    Some((family.to_owned(), format!("as in {}", job.job)))
}

/// Proof, outcome, why there was no fix.
fn ending(form: &Form, reading: &Reading, filled: &mut Filled) {
    let base = &form.base;
    let outcome = given(form, Slot::Outcome, base.outcome, said::outcome);
    let outcome = outcome.unwrap_or_else(|| match &reading.outcome {
        // A unit that came back begins its next job with these words: the earlier repair may be meant.
        Some(got)
            if matches!(
                got.what,
                Outcome::BouncedSameFault | Outcome::BouncedOtherFault
            ) =>
        {
            filled.proposed.outcome = Some(got.what);
            let why = "of this repair? if the one before is meant: unknown-so-far".to_owned();
            (None, Standing::Proposed(why))
        }
        Some(got) if got.sure => (Some(got.what), Standing::Said),
        Some(got) => {
            filled.proposed.outcome = Some(got.what);
            (None, Standing::Proposed("the words may say so".to_owned()))
        }
        None if fixes(&filled.draft).next().is_some() => {
            filled.proposed.outcome = Some(Outcome::UnknownSoFar);
            let why = "just repaired: nobody knows yet whether it holds".to_owned();
            (None, Standing::Proposed(why))
        }
        None => (None, Standing::Empty),
    });
    filled.draft.outcome = outcome.0;
    filled.standing.insert(Slot::Outcome, outcome.1);
    let proof = given(form, Slot::Proof, base.proof.clone(), |text| {
        Ok(text.to_owned())
    });
    let proof = proof.unwrap_or_else(|| match &reading.proof {
        Some(got) if got.sure => (Some(got.what.clone()), Standing::Said),
        Some(got) => {
            filled.proposed.proof = Some(got.what.clone());
            (None, Standing::Proposed("the words may say so".to_owned()))
        }
        None => match came_back(&filled.draft) {
            Some(words) => {
                filled.proposed.proof = Some(words);
                let why = "read again after the repair".to_owned();
                (None, Standing::Proposed(why))
            }
            None => (None, Standing::Empty),
        },
    });
    filled.draft.proof = proof.0;
    filled.standing.insert(Slot::Proof, proof.1);
    let reason = given(form, Slot::NoFixReason, base.no_fix_reason.clone(), |t| {
        said::one_of(t, &NO_FIX_REASONS)
    });
    let reason = reason.unwrap_or_else(|| match &reading.no_fix_reason {
        Some(got) if got.sure => (Some(got.what.clone()), Standing::Said),
        Some(got) => {
            filled.proposed.no_fix_reason = Some(got.what.clone());
            (None, Standing::Proposed("the words may say so".to_owned()))
        }
        None => (None, Standing::Empty),
    });
    let fixed = !matches!(filled.draft.outcome, None | Some(Outcome::NoFix));
    let reason = match reason {
        // What stood there belonged to the outcome that stood there.
        (_, Standing::Stood) if fixed => (None, Standing::Empty),
        reason => reason,
    };
    filled.draft.no_fix_reason = reason.0;
    filled.standing.insert(Slot::NoFixReason, reason.1);
}

/// The reading that came back, in words, where a fix stands between it and an earlier one.
fn came_back(draft: &Draft) -> Option<String> {
    fixes(draft).next()?;
    let late = |f: &&Finding| f.when == When::AfterAction && f.is_electrical();
    let after = draft.findings.iter().rfind(late)?;
    let before = draft.findings.iter().find(|f| {
        f.when != When::AfterAction
            && f.kind == after.kind
            && f.place.eq_ignore_ascii_case(&after.place)
    })?;
    let (line, old) = (wording::finding_line(after), wording::finding_line(before));
    (line.value != old.value).then(|| format!("{} {}, was {}", line.name, line.value, old.value))
}

/// Where it had been, minutes, note, the earlier job of the unit.
fn circumstances(form: &Form, reading: &Reading, filled: &mut Filled) {
    let base = &form.base;
    let stood = (!base.environment.is_empty()).then(|| base.environment.clone());
    let been = given(form, Slot::Environment, stood, said::environment);
    let been = been.unwrap_or_else(|| {
        let all = |sure: bool| -> Vec<String> {
            let of = reading.environment.iter().filter(|g| g.sure == sure);
            of.map(|g| g.what.clone()).collect()
        };
        match (all(true), all(false)) {
            (sure, _) if !sure.is_empty() => (Some(sure), Standing::Said),
            (_, maybe) if !maybe.is_empty() => {
                filled.proposed.environment = maybe;
                (None, Standing::Proposed("the words may say so".to_owned()))
            }
            _ => (None, Standing::Empty),
        }
    });
    filled.draft.environment = been.0.unwrap_or_default();
    filled.standing.insert(Slot::Environment, been.1);
    let minutes = given(form, Slot::Minutes, base.effort.minutes, said::minutes);
    let (minutes, standing) = minutes.unwrap_or((None, Standing::Empty));
    filled.draft.effort.minutes = minutes;
    filled.standing.insert(Slot::Minutes, standing);
    let plain = |slot, stood: &Option<String>| {
        given(form, slot, stood.clone(), |text| Ok(text.to_owned()))
            .unwrap_or((None, Standing::Empty))
    };
    let (note, standing) = plain(Slot::Note, &base.note);
    filled.draft.note = note;
    filled.standing.insert(Slot::Note, standing);
    let (follows, standing) = plain(Slot::Follows, &base.follows);
    filled.draft.follows = follows;
    filled.standing.insert(Slot::Follows, standing);
}

#[cfg(test)]
#[path = "form_tests.rs"]
mod tests;
