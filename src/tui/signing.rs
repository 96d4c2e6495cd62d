//! The lead's desk on the screen: the cards that want a lead, and one card with what is done to it.
//!
//! What is done is on the disk before the next card is shown; the order of the cards stays as it is
//! while one is open. What finishes with a card leads on to the next; what changes it shows it as it
//! stands then, so that a lead signs what was read.

use std::sync::Arc;

use crate::app::desk::view::Act as Done;
use crate::app::desk::view::Apart;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::desk::view::DeskRow;
use crate::app::desk::view::Editable;
use crate::app::desk::view::Field;
use crate::tui::entry::Entry;
use crate::tui::jobs::moved;
use crate::tui::jobs::page_of;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::state::LINE;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::update;

/// Characters of a text that is typed over; a longer one may still become shorter.
const TEXT: usize = 2000;

/// What may be typed over, in the order of the choice.
pub const FIELDS: [Field; 5] = [
    Field::Stem,
    Field::Answers,
    Field::Also,
    Field::Why,
    Field::Cautions,
];

/// Returns how a thing of a card is called.
pub fn label(field: Field) -> &'static str {
    match field {
        Field::Stem => "question",
        Field::Answers => "answers",
        Field::Also => "other wordings",
        Field::Why => "why-line",
        Field::Cautions => "hazards",
        Field::Use => "in use or not",
        Field::Signature => "who vouches for it",
    }
}

/// Returns a thing of a card as it may be typed over.
pub fn text_of(now: &Editable, field: Field) -> &str {
    match field {
        Field::Stem => &now.stem,
        Field::Answers => &now.answers,
        Field::Also => &now.also,
        Field::Why => &now.why,
        Field::Cautions => &now.cautions,
        Field::Use | Field::Signature => "",
    }
}

/// The cards that want a lead.
#[derive(Clone, Debug, PartialEq)]
pub struct SigningList {
    /// The cards, the most worth it first.
    pub rows: Arc<[DeskRow]>,
    /// The card that is marked.
    pub mark: usize,
    /// Cards in use that a lead has signed as they stand.
    pub signed: usize,
    /// Cards in use.
    pub cards: usize,
    /// Damage and warnings found while reading the shop.
    pub faults: Vec<String>,
}

/// What of a card is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// As a trainee sees it before answering.
    Front,
    /// As a trainee sees it after answering: what stood in front stands above it.
    #[default]
    Back,
    /// Why it lies here, and what was done to it.
    Why,
}

impl Side {
    /// Every side, in the order in which a card is turned.
    pub const ALL: [Self; 3] = [Self::Front, Self::Back, Self::Why];

    fn turned(self, by: usize) -> Self {
        let at = Self::ALL.iter().position(|s| *s == self).unwrap_or(0);
        Self::ALL[(at + by) % Self::ALL.len()]
    }
}

/// What a line about a card is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Types this over.
    Over(Field),
    /// Says which jobs are wanted.
    MoreJobs,
    /// Says why it leaves use.
    TagOut,
    /// Says why it returns; may stay empty.
    BringBack,
    /// Says why it is finished with.
    Retire,
}

/// What is being done to a card.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// Which of [`FIELDS`] is typed over? The one marked.
    Field(usize),
    /// A line is typed.
    Line(Line, Entry),
    /// Which card does it go into? The one marked among those like it.
    Merge(usize),
    /// By what is it split? The one marked among what its jobs differ in.
    Split(usize),
    /// Which value is taken? The one marked of the first thing edited apart.
    Apart(usize),
}

/// One card on the desk.
#[derive(Clone, Debug, PartialEq)]
pub struct CardWork {
    /// The card.
    pub page: DeskPage,
    /// Its place among the cards that want a lead.
    pub at: usize,
    /// How many they are.
    pub of: usize,
    /// What of it is shown.
    pub side: Side,
    /// What is being done to it.
    pub doing: Option<Doing>,
    /// What is being written finishes with it.
    finishes: bool,
}

impl CardWork {
    /// Returns which keys work here.
    pub fn place(&self) -> Place {
        match self.doing {
            None => Place::SigningCard,
            Some(Doing::Field(_)) => Place::SigningField,
            Some(Doing::Line(..)) => Place::SigningLine,
            Some(Doing::Merge(_) | Doing::Split(_)) => Place::SigningPick,
            Some(Doing::Apart(_)) => Place::SigningApart,
        }
    }

    /// Tells whether it can be brought back: it is out of use, or someone doubts it.
    pub fn may_return(&self) -> bool {
        self.page.row.out || !self.page.doubts.is_empty()
    }

    /// Returns what is to be decided first of what was edited apart.
    pub fn apart(&self) -> Option<&Apart> {
        self.page.apart.first()
    }

    /// Begins a line; text that is typed over stands in it.
    fn line(&mut self, what: Line) {
        let now = match what {
            Line::Over(field) => text_of(&self.page.now, field),
            _ => "",
        };
        let limit = match what {
            Line::Over(_) => TEXT.max(now.chars().count()),
            _ => LINE,
        };
        let mut entry = Entry::new(limit);
        entry.put(now);
        self.doing = Some(Doing::Line(what, entry));
    }
}

fn list_mut(state: &mut State) -> Option<&mut SigningList> {
    state.layers.iter_mut().find_map(|l| match &mut l.page {
        Page::Signing(list) => Some(&mut **list),
        _ => None,
    })
}

fn work_mut(state: &mut State) -> Option<&mut CardWork> {
    match state.layers.last_mut().map(|l| &mut l.page) {
        Some(Page::SigningCard(work)) => Some(work),
        _ => None,
    }
}

/// Takes an answer about the lead's desk.
pub fn on_answer(state: &mut State, msg: &Msg) -> Vec<Effect> {
    match msg {
        Msg::Signing(Ok(found)) => show(state, found),
        Msg::SigningCard(Ok(Some(page))) => open_card(state, page),
        Msg::SigningCard(Ok(None)) => {
            let text = "This card is no card any more: it went into others, or its jobs are gone.";
            update::say(state, text);
            return back_to_list(state);
        }
        Msg::SigningDone(Ok(said)) => return done(state, said),
        Msg::SigningUndone(Ok((card, said))) => return undone(state, card.as_deref(), said),
        Msg::SigningUndone(Err(why)) | Msg::SigningDone(Err(why)) => {
            update::warn(state, format!("NOT written: {why}"));
        }
        Msg::Signing(Err(why)) | Msg::SigningCard(Err(why)) => update::warn(state, why.clone()),
        _ => {}
    }
    Vec::new()
}

/// Shows the list; coming back from a card, the mark stays on it, or where it was.
fn show(state: &mut State, found: &DeskList) {
    let (marked, at) = list_mut(state).map_or((None, 0), |list| {
        let card = list.rows.get(list.mark).map(|row| row.card.clone());
        (card, list.mark)
    });
    let still = marked.and_then(|card| found.rows.iter().position(|row| row.card == card));
    let list = SigningList {
        mark: still.unwrap_or(at).min(found.rows.len().saturating_sub(1)),
        rows: found.rows.clone().into(),
        signed: found.signed,
        cards: found.cards,
        faults: found.faults.clone(),
    };
    match list_mut(state) {
        Some(shown) => *shown = list,
        None => update::open(state, Page::Signing(Box::new(list))),
    }
}

/// Opens a card, or shows it in the place of the one before, on the same side.
fn open_card(state: &mut State, page: &DeskPage) {
    let (at, of) = list_mut(state).map_or((0, 0), |list| {
        let at = list.rows.iter().position(|row| row.card == page.row.card);
        list.mark = at.unwrap_or(list.mark);
        (list.mark, list.rows.len())
    });
    let mut work = CardWork {
        page: page.clone(),
        at,
        of,
        side: Side::default(),
        doing: None,
        finishes: false,
    };
    match work_mut(state) {
        Some(shown) => {
            // Who reads fronts first goes on reading fronts; why one card lies here says nothing of the next.
            if shown.side == Side::Front || shown.page.row.card == page.row.card {
                work.side = shown.side;
            }
            *shown = work;
            top_again(state);
        }
        None => update::open(state, Page::SigningCard(Box::new(work))),
    }
}

fn top_again(state: &mut State) {
    if let Some(layer) = state.layers.last_mut() {
        layer.scroll = None;
    }
}

fn back_to_list(state: &mut State) -> Vec<Effect> {
    if work_mut(state).is_some() {
        state.layers.pop();
    }
    vec![Effect::Signing]
}

/// Says what was written, and shows the next card, or this one as it stands now.
fn done(state: &mut State, said: &str) -> Vec<Effect> {
    update::say(state, said);
    let Some(work) = work_mut(state) else {
        return vec![Effect::Signing];
    };
    work.doing = None;
    if !work.finishes {
        return vec![Effect::SigningCard(work.page.row.card.clone())];
    }
    work.finishes = false;
    let next = work.at + 1;
    match to_card(state, next) {
        Some(effect) => vec![effect],
        None => back_to_list(state),
    }
}

/// Says what was taken back, and shows its card as it stands now where a card is open.
fn undone(state: &mut State, card: Option<&str>, said: &str) -> Vec<Effect> {
    update::say(state, said);
    match (card, work_mut(state).is_some()) {
        (None, _) => Vec::new(),
        (Some(card), true) => vec![Effect::SigningCard(card.to_owned())],
        (Some(_), false) => vec![Effect::Signing],
    }
}

/// Marks the card at a place of the list and asks for it; none past the end.
fn to_card(state: &mut State, at: usize) -> Option<Effect> {
    let list = list_mut(state)?;
    let card = list.rows.get(at)?.card.clone();
    list.mark = at;
    Some(Effect::SigningCard(card))
}

/// Takes a letter that is text here; false where it is none of this file's business.
pub fn on_type(state: &mut State, c: char) -> bool {
    match work_mut(state).and_then(|work| work.doing.as_mut()) {
        Some(Doing::Line(_, entry)) => {
            entry.insert(c);
            true
        }
        _ => false,
    }
}

/// Takes a key.
pub fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    match state.place() {
        Place::Signing => on_list(state, act),
        Place::SigningCard => on_card(state, act),
        Place::SigningField => on_field(state, act),
        Place::SigningLine => on_line(state, act),
        Place::SigningPick => on_pick(state, act),
        _ => on_apart(state, act),
    }
}

fn on_list(state: &mut State, act: Act) -> Vec<Effect> {
    let page = page_of(state);
    let person = state.person.clone();
    let Some(list) = list_mut(state) else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let card = list.rows.get(list.mark).map(|row| row.card.clone());
            return card.map(Effect::SigningCard).into_iter().collect();
        }
        Act::Back => {
            state.layers.pop();
        }
        Act::Undo => return vec![Effect::SigningUndo(person)],
        other => list.mark = moved(list.mark, list.rows.len(), page, other),
    }
    Vec::new()
}

/// Asks for something to be done to the card at hand.
fn act_on(state: &mut State, what: Done) -> Vec<Effect> {
    let person = state.person.clone();
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    // What was typed over, or brought back, is shown first as it stands then.
    work.finishes = !matches!(what, Done::Type(..) | Done::Settle(..) | Done::BringBack(_));
    vec![Effect::SigningAct {
        person,
        card: work.page.row.card.clone(),
        act: Box::new(what),
    }]
}

fn on_card(state: &mut State, act: Act) -> Vec<Effect> {
    let person = state.person.clone();
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    match act {
        Act::Sign => return act_on(state, Done::Sign),
        Act::Undo => return vec![Effect::SigningUndo(person)],
        Act::Next => work.side = work.side.turned(1),
        Act::Previous => work.side = work.side.turned(Side::ALL.len() - 1),
        Act::Evidence => return vec![Effect::WholeJobs(work.page.jobs.clone())],
        Act::Decide if work.apart().is_some() => work.doing = Some(Doing::Apart(0)),
        Act::Change => work.doing = Some(Doing::Field(0)),
        Act::MoreJobs => work.line(Line::MoreJobs),
        Act::TagOut => work.line(Line::TagOut),
        Act::BringBack if work.may_return() => work.line(Line::BringBack),
        Act::Retire => work.line(Line::Retire),
        Act::Merge if work.page.like.is_empty() => {
            update::say(state, "No other card is here that it could go into.");
            return Vec::new();
        }
        Act::Merge => work.doing = Some(Doing::Merge(0)),
        Act::Split if work.page.divides.is_empty() => {
            update::say(state, "Its jobs differ in nothing that a card is split by.");
            return Vec::new();
        }
        Act::Split => work.doing = Some(Doing::Split(0)),
        Act::Left | Act::Right => return neighbour(state, act == Act::Right),
        Act::Back => return back_to_list(state),
        other => {
            update::scroll(state, other);
            return Vec::new();
        }
    }
    top_again(state);
    Vec::new()
}

fn neighbour(state: &mut State, forward: bool) -> Vec<Effect> {
    let at = work_mut(state).map_or(0, |work| work.at);
    let wanted = if forward {
        Some(at + 1)
    } else {
        at.checked_sub(1)
    };
    if let Some(effect) = wanted.and_then(|at| to_card(state, at)) {
        return vec![effect];
    }
    let last = "This is the last card of the list.";
    let first = "This is the first card of the list.";
    update::say(state, if forward { last } else { first });
    Vec::new()
}

fn on_field(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let Some(Doing::Field(mark)) = &mut work.doing else {
        return Vec::new();
    };
    match act {
        Act::Over(field) => work.line(Line::Over(field)),
        Act::Take => {
            let field = FIELDS[*mark];
            work.line(Line::Over(field));
        }
        Act::Up | Act::Down => *mark = round(*mark, FIELDS.len(), act),
        Act::Back => work.doing = None,
        other => update::scroll(state, other),
    }
    Vec::new()
}

/// Returns the one after the mark, or before it, around the end.
fn round(mark: usize, n: usize, act: Act) -> usize {
    let by = if act == Act::Down {
        1
    } else {
        n.saturating_sub(1)
    };
    (mark + by) % n.max(1)
}

fn on_line(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let Some(Doing::Line(what, entry)) = &mut work.doing else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let (what, text) = (*what, entry.text().trim().to_owned());
            return write(state, what, text);
        }
        Act::Back => work.doing = None,
        Act::Edit(edit) => entry.edit(edit),
        other => update::scroll(state, other),
    }
    Vec::new()
}

fn write(state: &mut State, what: Line, text: String) -> Vec<Effect> {
    let silent = text.is_empty();
    let act = match what {
        Line::Over(field) => {
            let same = work_mut(state).is_some_and(|w| text_of(&w.page.now, field).trim() == text);
            if same {
                if let Some(work) = work_mut(state) {
                    work.doing = None;
                }
                update::say(state, "Nothing was changed, so nothing was written.");
                return Vec::new();
            }
            Done::Type(field, text)
        }
        Line::MoreJobs if silent => {
            update::say(state, "Say in a word or two what the jobs should show.");
            return Vec::new();
        }
        Line::TagOut | Line::Retire if silent => {
            update::say(state, "Say why, in a word or two: others will read it.");
            return Vec::new();
        }
        Line::MoreJobs => Done::Evidence(text),
        Line::TagOut => Done::TagOut(text),
        Line::BringBack => Done::BringBack(text),
        Line::Retire => Done::Retire(text),
    };
    act_on(state, act)
}

fn on_pick(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let (like, divides) = (work.page.like.len(), work.page.divides.len());
    match (act, &mut work.doing) {
        (Act::Take, Some(Doing::Merge(mark))) => {
            let into = work.page.like.get(*mark).map(|(card, _)| card.clone());
            return into.map_or_else(Vec::new, |into| act_on(state, Done::Merge(into)));
        }
        (Act::Take, Some(Doing::Split(mark))) => {
            let by = work.page.divides.get(*mark).map(|(by, _)| *by);
            return by.map_or_else(Vec::new, |by| act_on(state, Done::Split(by)));
        }
        (Act::Up | Act::Down, Some(Doing::Merge(mark))) => *mark = round(*mark, like, act),
        (Act::Up | Act::Down, Some(Doing::Split(mark))) => *mark = round(*mark, divides, act),
        (Act::Back, _) => work.doing = None,
        (other, _) => update::scroll(state, other),
    }
    Vec::new()
}

fn on_apart(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let values = work.apart().map_or(0, |apart| apart.values.len());
    let Some(Doing::Apart(mark)) = &mut work.doing else {
        return Vec::new();
    };
    let taken = match act {
        Act::Take => Some(*mark),
        Act::ToFirst => Some(0),
        Act::ToSecond => Some(1),
        _ => None,
    };
    if let Some(taken) = taken {
        let chosen = work.apart().and_then(|apart| {
            let (edit, ..) = apart.values.get(taken)?;
            Some(Done::Settle(apart.field, edit.clone()))
        });
        return chosen.map_or_else(Vec::new, |chosen| act_on(state, chosen));
    }
    match act {
        Act::Up | Act::Down => *mark = round(*mark, values, act),
        Act::Back => {
            work.doing = None;
            top_again(state);
        }
        other => update::scroll(state, other),
    }
    Vec::new()
}
