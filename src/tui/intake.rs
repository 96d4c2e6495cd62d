//! The intake desk on the screen: the rows that wait, and one row with the job read of it.
//!
//! What is decided is on the disk before the next row is shown; the order of the rows stays as it is
//! while the desk is open.

use std::sync::Arc;

use crate::app::intake::List;
use crate::app::intake::ListRow;
use crate::app::intake::decide::Decided;
use crate::app::intake::page::Candidate;
use crate::app::intake::page::FieldView;
use crate::app::intake::page::RowPage;
use crate::domain::intake::repair::Side;
use crate::domain::intake::repair::Slot;
use crate::tui::entry::Edit;
use crate::tui::entry::Entry;
use crate::tui::jobs::moved;
use crate::tui::jobs::page_of;
use crate::tui::msg::Act;
use crate::tui::msg::Decision;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::state::LINE;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::update;

/// Characters of a field said in free words.
const WORDS: usize = 400;

/// Reasons for passing a row over that come up again and again.
pub const REASONS: [&str; 4] = [
    "not a job",
    "too little is written to learn from it",
    "nobody can say what it means",
    "not ours to repair",
];

/// The rows that wait.
#[derive(Clone, Debug, PartialEq)]
pub struct IntakeList {
    /// The rows in the order of their worth.
    pub rows: Arc<[ListRow]>,
    /// The row that is marked.
    pub mark: usize,
    /// What the first rows are worth; none while it is being counted.
    pub worth: Option<String>,
    /// What is to be known before.
    pub notes: Vec<String>,
    /// Why nothing can be decided here.
    pub read_only: Option<String>,
}

/// What is being said about a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Saying {
    /// A field in free words, and what they would make of it.
    Mend {
        /// Which field.
        slot: Slot,
        /// The words.
        entry: Entry,
        /// What they are read as, or why as nothing; none before anything is typed.
        read: Option<Result<Box<FieldView>, String>>,
    },
    /// The number of a job.
    Same {
        /// The number.
        entry: Entry,
        /// Jobs whose numbers begin so.
        found: Vec<Candidate>,
        /// Which of them is marked.
        mark: Option<usize>,
    },
    /// A reason.
    Skip {
        /// The words.
        entry: Entry,
        /// Which of the usual reasons came last.
        usual: Option<usize>,
    },
    /// Where each thing goes.
    Split {
        /// One side for each thing.
        sides: Vec<Side>,
        /// The thing that is marked.
        mark: usize,
    },
}

/// One row that is worked on.
#[derive(Clone, Debug, PartialEq)]
pub struct RowWork {
    /// The row.
    pub page: RowPage,
    /// The field that is marked.
    pub mark: usize,
    /// What is being said.
    pub saying: Option<Saying>,
}

impl RowWork {
    /// Returns a row as it opens: at the first field that is open.
    pub fn new(page: RowPage) -> Self {
        let mark = page.fields.iter().position(FieldView::is_open).unwrap_or(0);
        Self {
            page,
            mark,
            saying: None,
        }
    }

    /// Returns which keys work here.
    pub fn place(&self) -> Place {
        match self.saying {
            None => Place::IntakeRow,
            Some(Saying::Mend { .. }) => Place::IntakeMend,
            Some(Saying::Same { .. }) => Place::IntakeSame,
            Some(Saying::Skip { .. }) => Place::IntakeSkip,
            Some(Saying::Split { .. }) => Place::IntakeSplit,
        }
    }

    /// Returns the field that is marked.
    pub fn field(&self) -> Option<&FieldView> {
        self.page.fields.get(self.mark)
    }

    /// Returns the next open field after the mark, or before it, around the end.
    fn next_open(&self, forward: bool) -> usize {
        let n = self.page.fields.len();
        let step = |by: usize| {
            let by = if forward { by } else { n - by };
            (self.mark + by) % n
        };
        let open = (1..n).map(step).find(|at| self.page.fields[*at].is_open());
        open.unwrap_or(self.mark)
    }
}

fn list_mut(state: &mut State) -> Option<&mut IntakeList> {
    state.layers.iter_mut().find_map(|l| match &mut l.page {
        Page::Intake(list) => Some(&mut **list),
        _ => None,
    })
}

fn work_mut(state: &mut State) -> Option<&mut RowWork> {
    match state.layers.last_mut().map(|l| &mut l.page) {
        Some(Page::IntakeRow(work)) => Some(work),
        _ => None,
    }
}

/// Returns what to ask again while nothing is pressed: the count that is still under way.
pub fn asks_again(state: &State) -> Option<Effect> {
    let top = state.layers.last().map(|l| &l.page);
    let counting = matches!(top, Some(Page::Intake(list)) if list.worth.is_none());
    counting.then_some(Effect::IntakeWorth)
}

/// Takes an answer about the intake desk.
pub fn on_answer(state: &mut State, msg: &Msg) -> Vec<Effect> {
    match msg {
        Msg::Intake(Ok(list)) => return show(state, list),
        Msg::IntakeWorth(worth) => {
            if let Some(list) = list_mut(state) {
                list.worth.clone_from(worth);
            }
        }
        Msg::IntakeRow(Ok(Some(page))) => open_row(state, page),
        Msg::IntakeRow(Ok(None)) => return back_to_list(state),
        Msg::IntakeDecided(Ok(said)) => return decided(state, said),
        Msg::IntakeRead(read) => {
            if let Some(Saying::Mend { read: slot, .. }) =
                work_mut(state).and_then(|w| w.saying.as_mut())
            {
                *slot = Some(read.clone());
            }
        }
        Msg::IntakeNumbers(numbers) => {
            if let Some(Saying::Same { found, mark, entry }) =
                work_mut(state).and_then(|w| w.saying.as_mut())
            {
                found.clone_from(numbers);
                let exact = numbers.iter().position(|c| c.number == entry.text().trim());
                *mark = exact.or((numbers.len() == 1).then_some(0));
            }
        }
        Msg::Intake(Err(why)) | Msg::IntakeRow(Err(why)) => update::warn(state, why.clone()),
        Msg::IntakeDecided(Err(why)) => update::warn(state, format!("NOT kept: {why}")),
        _ => {}
    }
    Vec::new()
}

fn show(state: &mut State, found: &List) -> Vec<Effect> {
    // Coming back from a row, the mark stays where the work is.
    let mark = list_mut(state).map_or(found.at, |list| list.mark);
    let list = IntakeList {
        rows: found.rows.clone().into(),
        mark: mark.min(found.rows.len().saturating_sub(1)),
        worth: None,
        notes: found.notes.clone(),
        read_only: found.read_only.clone(),
    };
    match list_mut(state) {
        Some(shown) => *shown = list,
        None => update::open(state, Page::Intake(Box::new(list))),
    }
    vec![Effect::IntakeWorth]
}

/// Opens a row, or shows it in the place of the one before; a field that is still open keeps its mark.
fn open_row(state: &mut State, page: &RowPage) {
    let mut new = RowWork::new(page.clone());
    if let Some(list) = list_mut(state) {
        list.mark = page.at;
    }
    match work_mut(state) {
        Some(work) => {
            let still = work.page.key == page.key
                && new
                    .page
                    .fields
                    .get(work.mark)
                    .is_some_and(FieldView::is_open);
            if still {
                new.mark = work.mark;
            }
            *work = new;
            if let Some(layer) = state.layers.last_mut() {
                layer.scroll = None;
            }
        }
        None => update::open(state, Page::IntakeRow(Box::new(new))),
    }
}

fn back_to_list(state: &mut State) -> Vec<Effect> {
    if work_mut(state).is_some() {
        state.layers.pop();
    }
    vec![Effect::Intake(state.person.clone())]
}

fn decided(state: &mut State, said: &Decided) -> Vec<Effect> {
    update::say(state, &format!("{}.", said.now));
    if work_mut(state).is_some() {
        return vec![Effect::IntakeRow(said.at)];
    }
    if let Some(list) = list_mut(state) {
        list.mark = said.at;
    }
    vec![Effect::Intake(state.person.clone())]
}

/// Takes a letter that is text here; none where it is none of this file's business.
pub fn on_type(state: &mut State, c: char) -> Option<Vec<Effect>> {
    let work = work_mut(state)?;
    let entry = entry_mut(work)?;
    entry.insert(c);
    Some(typed(work))
}

fn entry_mut(work: &mut RowWork) -> Option<&mut Entry> {
    match work.saying.as_mut()? {
        Saying::Mend { entry, .. } | Saying::Same { entry, .. } | Saying::Skip { entry, .. } => {
            Some(entry)
        }
        Saying::Split { .. } => None,
    }
}

/// Returns what to ask after the line has changed.
fn typed(work: &mut RowWork) -> Vec<Effect> {
    let key = work.page.key.clone();
    match &mut work.saying {
        Some(Saying::Mend { slot, entry, read }) => {
            let words = entry.text().trim().to_owned();
            if words.is_empty() {
                *read = None;
                return Vec::new();
            }
            let slot = *slot;
            vec![Effect::IntakeRead { key, slot, words }]
        }
        Some(Saying::Same { entry, .. }) => {
            let typed = entry.text().trim().to_owned();
            vec![Effect::IntakeNumbers { key, typed }]
        }
        _ => Vec::new(),
    }
}

/// Takes a key.
pub fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    match state.place() {
        Place::Intake => on_list(state, act),
        Place::IntakeRow => on_row(state, act),
        Place::IntakeMend => on_mend(state, act),
        Place::IntakeSame => on_same(state, act),
        Place::IntakeSkip => on_skip(state, act),
        _ => on_split(state, act),
    }
}

fn on_list(state: &mut State, act: Act) -> Vec<Effect> {
    let page = page_of(state);
    let Some(list) = list_mut(state) else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let any = !list.rows.is_empty();
            return any
                .then_some(Effect::IntakeRow(list.mark))
                .into_iter()
                .collect();
        }
        Act::Undo => {
            return vec![Effect::IntakeDecide {
                key: String::new(),
                at: list.mark,
                what: Decision::Undo,
            }];
        }
        Act::Back => {
            state.layers.pop();
            let archive = state
                .layers
                .iter()
                .any(|l| matches!(l.page, Page::Archive(_)));
            let mut effects = vec![Effect::LeaveIntake];
            // What was accepted is in the archive now.
            effects.extend(archive.then_some(Effect::Archive));
            return effects;
        }
        other => list.mark = moved(list.mark, list.rows.len(), page, other),
    }
    Vec::new()
}

fn on_row(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let (key, at) = (work.page.key.clone(), work.page.at);
    let n = work.page.fields.len();
    let slot = work.field().map(|f| f.slot);
    let decide = |what| {
        vec![Effect::IntakeDecide {
            key: key.clone(),
            at,
            what,
        }]
    };
    match act {
        Act::Take => return decide(Decision::Accept),
        Act::Suggestion => {
            if let Some(slot) = slot {
                return decide(Decision::Take(Some(slot)));
            }
        }
        Act::AllSuggestions => return decide(Decision::Take(None)),
        Act::Undo => return decide(Decision::Undo),
        Act::Repair => {
            work.saying = slot.map(|slot| Saying::Mend {
                slot,
                entry: Entry::new(WORDS),
                read: None,
            });
        }
        Act::SameJob => {
            work.saying = Some(Saying::Same {
                entry: Entry::new(LINE),
                found: Vec::new(),
                mark: None,
            });
            let typed = String::new();
            return vec![Effect::IntakeNumbers { key, typed }];
        }
        Act::PassOver => {
            work.saying = Some(Saying::Skip {
                entry: Entry::new(LINE),
                usual: None,
            });
        }
        Act::Split => {
            let things = work.page.items.len();
            if things < 2 {
                update::say(
                    state,
                    "There is nothing to divide: too little was read of it.",
                );
                return Vec::new();
            }
            work.saying = Some(Saying::Split {
                sides: vec![Side::First; things],
                mark: 0,
            });
        }
        Act::Left if at == 0 => update::say(state, "This is the first row of the list."),
        Act::Left => return vec![Effect::IntakeRow(at - 1)],
        Act::Right if work.page.of <= at + 1 => {
            update::say(state, "This is the last row of the list.");
        }
        Act::Right => return vec![Effect::IntakeRow(at + 1)],
        Act::Up => work.mark = work.mark.saturating_sub(1),
        Act::Down => work.mark = (work.mark + 1).min(n.saturating_sub(1)),
        Act::Next | Act::Previous if 0 < n => work.mark = work.next_open(act == Act::Next),
        Act::Back => return back_to_list(state),
        other => {
            update::scroll(state, other);
            return Vec::new();
        }
    }
    if let Some(layer) = state.layers.last_mut() {
        layer.scroll = None;
    }
    Vec::new()
}

/// Closes the line, or clears it where something is typed.
fn close(work: &mut RowWork) -> Vec<Effect> {
    match entry_mut(work) {
        Some(entry) if !entry.text().is_empty() => {
            entry.clear();
            typed(work)
        }
        _ => {
            work.saying = None;
            Vec::new()
        }
    }
}

fn edited(work: &mut RowWork, edit: Edit) -> Vec<Effect> {
    let Some(entry) = entry_mut(work) else {
        return Vec::new();
    };
    let before = entry.text().to_owned();
    entry.edit(edit);
    if entry.text() == before {
        return Vec::new();
    }
    typed(work)
}

fn on_mend(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let (key, at) = (work.page.key.clone(), work.page.at);
    match (act, &work.saying) {
        (Act::Take, Some(Saying::Mend { slot, entry, .. })) => {
            let words = entry.text().trim().to_owned();
            if words.is_empty() {
                work.saying = None;
                return Vec::new();
            }
            let what = Decision::Mend(*slot, words);
            vec![Effect::IntakeDecide { key, at, what }]
        }
        (Act::Back, _) => close(work),
        (Act::Edit(edit), _) => edited(work, edit),
        (other, _) => {
            update::scroll(state, other);
            Vec::new()
        }
    }
}

fn on_same(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let (key, at) = (work.page.key.clone(), work.page.at);
    let Some(Saying::Same { entry, found, mark }) = &mut work.saying else {
        return Vec::new();
    };
    let n = found.len();
    match act {
        Act::Take => {
            let marked = mark.and_then(|m| found.get(m)).map(|c| c.number.clone());
            let typed = entry.text().trim().to_owned();
            let number = marked.or((!typed.is_empty()).then_some(typed));
            let Some(number) = number else {
                update::say(state, "Type the number of the job first, or move to one.");
                return Vec::new();
            };
            let what = Decision::SameAs(number);
            return vec![Effect::IntakeDecide { key, at, what }];
        }
        Act::Back => return close(work),
        Act::Down | Act::Next if 0 < n => *mark = Some(mark.map_or(0, |m| (m + 1) % n)),
        Act::Up | Act::Previous if 0 < n => {
            *mark = Some(mark.map_or(n - 1, |m| (m + n - 1) % n));
        }
        Act::Edit(edit) => return edited(work, edit),
        _ => {}
    }
    Vec::new()
}

fn on_skip(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let (key, at) = (work.page.key.clone(), work.page.at);
    let Some(Saying::Skip { entry, usual }) = &mut work.saying else {
        return Vec::new();
    };
    let n = REASONS.len();
    match act {
        Act::Take => {
            let why = entry.text().trim().to_owned();
            if why.is_empty() {
                update::say(
                    state,
                    "Say why, in a word or two; Tab has the usual reasons.",
                );
                return Vec::new();
            }
            let what = Decision::Skip(why);
            return vec![Effect::IntakeDecide { key, at, what }];
        }
        Act::Next | Act::Previous => {
            let next = match (*usual, act) {
                (None, Act::Next) => 0,
                (None, _) => n - 1,
                (Some(last), Act::Next) => (last + 1) % n,
                (Some(last), _) => (last + n - 1) % n,
            };
            *usual = Some(next);
            entry.clear();
            REASONS[next].chars().for_each(|c| entry.insert(c));
        }
        Act::Back => return close(work),
        Act::Edit(edit) => return edited(work, edit),
        _ => {}
    }
    Vec::new()
}

fn on_split(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(work) = work_mut(state) else {
        return Vec::new();
    };
    let (key, at) = (work.page.key.clone(), work.page.at);
    let Some(Saying::Split { sides, mark }) = &mut work.saying else {
        return Vec::new();
    };
    let last = sides.len().saturating_sub(1);
    let to = match act {
        Act::ToFirst => Some(Side::First),
        Act::ToSecond => Some(Side::Second),
        Act::ToBoth => Some(Side::Both),
        _ => None,
    };
    if let (Some(to), Some(side)) = (to, sides.get_mut(*mark)) {
        *side = to;
        *mark = (*mark + 1).min(last);
        return Vec::new();
    }
    match act {
        Act::Up => *mark = mark.saturating_sub(1),
        Act::Down => *mark = (*mark + 1).min(last),
        Act::Back => work.saying = None,
        Act::Take => {
            let first = sides.iter().all(|side| *side == Side::First);
            let second = sides.iter().all(|side| *side == Side::Second);
            if first || second {
                update::say(
                    state,
                    "Give something to each of the two jobs first: 1, 2 or b.",
                );
                return Vec::new();
            }
            let what = Decision::Split(sides.clone());
            return vec![Effect::IntakeDecide { key, at, what }];
        }
        _ => {}
    }
    Vec::new()
}
