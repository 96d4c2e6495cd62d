//! The archive on the screen: the list with its search line, one job, the follow-up list.
//!
//! A list may hold a hundred thousand jobs, so its rows are shared and only those in sight are drawn.

use std::sync::Arc;

use crate::app::jobs::FollowUp;
use crate::app::jobs::JobRow;
use crate::app::jobs::Listing;
use crate::app::jobs::word;
use crate::app::jobs::word::Came;
use crate::app::jobs::word::Noted;
use crate::domain::intake::form::Purpose;
use crate::domain::job::BounceCause;
use crate::tui::entry::Edit;
use crate::tui::entry::Entry;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::state::LINE;
use crate::tui::state::Layer;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::update;

/// Characters of a job's number that can be typed.
const NUMBER: usize = 40;

/// The closed jobs, all or those found.
#[derive(Clone, Debug, PartialEq)]
pub struct ArchiveList {
    /// The rows, newest or best first.
    pub rows: Arc<[JobRow]>,
    /// Jobs in the archive.
    pub of: usize,
    /// Lines and files of which something is damaged.
    pub damaged: usize,
    /// The row that is marked.
    pub mark: usize,
    /// The search line, while something is typed there.
    pub typing: Option<Entry>,
    /// The words that found the rows; empty for all.
    pub searched: String,
}

impl ArchiveList {
    /// Returns which keys work here.
    pub fn place(&self) -> Place {
        if self.typing.is_some() {
            Place::ArchiveSearch
        } else {
            Place::Archive
        }
    }
}

/// The follow-up list.
#[derive(Clone, Debug, PartialEq)]
pub struct FollowList {
    /// The jobs that wait.
    pub list: FollowUp,
    /// The one that is marked.
    pub mark: usize,
    /// Jobs about which something was written here, the latest last.
    pub written: Vec<Vec<String>>,
}

/// How a job came back, asked step by step.
#[derive(Clone, Debug, PartialEq)]
pub struct ReturnForm {
    /// The job that came back.
    pub of: JobRow,
    /// Later jobs of its unit.
    pub choices: Vec<JobRow>,
    /// The later job or the answer that is marked.
    pub mark: Option<usize>,
    /// A number being typed.
    pub entry: Entry,
    /// Number of the later job, once it was taken.
    pub by: Option<String>,
    /// Same fault or another, once it is known; `Some(None)` leaves it to the circuits.
    pub same: Option<Option<bool>>,
}

/// One answer to choose: its words, and what it means.
type Choice<T> = (&'static str, T);

/// Why it came back; none only links the jobs.
pub const CAUSES: [Choice<Option<BounceCause>>; 6] = [
    ("the diagnosis was wrong", Some(BounceCause::Diagnosis)),
    (
        "workmanship: a joint, the assembly",
        Some(BounceCause::Workmanship),
    ),
    ("the new part failed", Some(BounceCause::Part)),
    ("new damage", Some(BounceCause::NewDamage)),
    ("nobody knows", Some(BounceCause::Unknown)),
    ("the repair itself held: only link the jobs", None),
];

/// Which fault it came back with.
pub const FAULTS: [Choice<Option<bool>>; 3] = [
    ("the same fault", Some(true)),
    ("another fault", Some(false)),
    ("as the two circuits say", None),
];

impl ReturnForm {
    /// Returns which keys work here.
    pub fn place(&self) -> Place {
        if self.by.is_some() {
            Place::ReturnCause
        } else {
            Place::ReturnedAs
        }
    }

    /// Returns the answers of the step at hand; empty while the later job is asked for.
    pub fn answers(&self) -> Vec<&'static str> {
        match (&self.by, &self.same) {
            (None, _) => Vec::new(),
            (Some(_), None) => FAULTS.iter().map(|(words, _)| *words).collect(),
            (Some(_), Some(_)) => CAUSES.iter().map(|(words, _)| *words).collect(),
        }
    }
}

/// Returns the archive's list, wherever it lies in the pile of pages.
fn archive_mut(state: &mut State) -> Option<&mut ArchiveList> {
    state.layers.iter_mut().find_map(|l| match &mut l.page {
        Page::Archive(list) => Some(&mut **list),
        _ => None,
    })
}

fn follow_mut(state: &mut State) -> Option<&mut FollowList> {
    state.layers.iter_mut().find_map(|l| match &mut l.page {
        Page::FollowUp(list) => Some(&mut **list),
        _ => None,
    })
}

/// Takes an answer about jobs.
pub fn on_answer(state: &mut State, msg: &Msg) -> Vec<Effect> {
    match msg {
        Msg::Archive(Ok(listing)) => show_all(state, listing),
        Msg::FoundJobs(words, Ok(rows)) => {
            if let Some(list) = archive_mut(state) {
                list.rows = rows.clone().into();
                list.searched.clone_from(words);
                list.mark = list.mark.min(rows.len().saturating_sub(1));
            }
        }
        Msg::Job(Ok(page)) => {
            if matches!(
                state.layers.last(),
                Some(Layer {
                    page: Page::Job(_),
                    ..
                })
            ) {
                state.layers.pop();
            }
            update::open(state, Page::Job(page.clone()));
        }
        Msg::FollowUp(Ok(list)) => match follow_mut(state) {
            Some(shown) => {
                shown.list = (**list).clone();
                shown.mark = shown.mark.min(list.waiting.len().saturating_sub(1));
            }
            None => update::open(
                state,
                Page::FollowUp(Box::new(FollowList {
                    list: (**list).clone(),
                    mark: 0,
                    written: Vec::new(),
                })),
            ),
        },
        Msg::LaterJobs(number, Ok(rows)) => ask_return(state, number, rows),
        Msg::JobSaid(Ok(said)) => return written(state, said),
        Msg::JobsTakenBack(Ok(said)) => {
            if let Some(list) = follow_mut(state) {
                list.written.pop();
            }
            update::say(state, &format!("Taken back: {}.", said.now));
            return vec![Effect::FollowUp];
        }
        Msg::Archive(Err(why))
        | Msg::FoundJobs(_, Err(why))
        | Msg::Job(Err(why))
        | Msg::FollowUp(Err(why))
        | Msg::LaterJobs(_, Err(why)) => update::warn(state, why.clone()),
        Msg::JobSaid(Err(why)) | Msg::JobsTakenBack(Err(why)) => {
            update::warn(state, format!("NOT written: {why}"));
        }
        _ => {}
    }
    Vec::new()
}

fn show_all(state: &mut State, listing: &Listing) {
    let (rows, of) = (Arc::from(listing.rows.clone()), listing.of);
    let damaged = listing.faults.len();
    if let Some(list) = archive_mut(state) {
        list.mark = list.mark.min(of.saturating_sub(1));
        (list.rows, list.of, list.damaged) = (rows, of, damaged);
        list.searched.clear();
        return;
    }
    let list = ArchiveList {
        rows,
        of,
        damaged,
        mark: 0,
        typing: None,
        searched: String::new(),
    };
    update::open(state, Page::Archive(Box::new(list)));
}

fn written(state: &mut State, said: &Noted) -> Vec<Effect> {
    let again = if said.written.is_empty() {
        ""
    } else {
        "  Written; u takes it back."
    };
    if let Some(list) = follow_mut(state)
        && !said.written.is_empty()
    {
        list.written.push(said.written.clone());
    }
    let told = if follow_mut(state).is_some() {
        again
    } else {
        ""
    };
    update::say(state, &format!("{}.{told}", said.now));
    if follow_mut(state).is_none() {
        return Vec::new();
    }
    vec![Effect::FollowUp]
}

fn ask_return(state: &mut State, number: &str, rows: &[JobRow]) {
    let Some(list) = follow_mut(state) else {
        return;
    };
    let waiting = list.list.waiting.iter().find(|w| w.row.number == number);
    let Some(of) = waiting.map(|w| w.row.clone()) else {
        return;
    };
    let form = ReturnForm {
        of,
        choices: rows.to_vec(),
        mark: (!rows.is_empty()).then_some(0),
        entry: Entry::new(NUMBER),
        by: None,
        same: None,
    };
    update::open(state, Page::Returned(Box::new(form)));
}

/// Takes a letter that is text here; false where it is none of this file's business.
pub fn on_type(state: &mut State, c: char) -> bool {
    match state.layers.last_mut().map(|l| &mut l.page) {
        Some(Page::Archive(list)) => {
            if let Some(entry) = &mut list.typing {
                entry.insert(c);
            }
            true
        }
        Some(Page::Returned(form)) => {
            if form.by.is_none() {
                form.entry.insert(c);
                form.mark = None;
            }
            true
        }
        _ => false,
    }
}

/// Takes a key.
pub fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    match state.place() {
        Place::Archive => on_archive(state, act),
        Place::ArchiveSearch => on_search(state, act),
        Place::Job => on_job(state, act),
        Place::FollowUp => on_follow_up(state, act),
        Place::ReturnedAs => on_returned_as(state, act),
        _ => on_cause(state, act),
    }
}

pub(super) fn moved(mark: usize, n: usize, rows: usize, act: Act) -> usize {
    let last = n.saturating_sub(1);
    match act {
        Act::Up => mark.saturating_sub(1),
        Act::Down => (mark + 1).min(last),
        Act::PageUp => mark.saturating_sub(rows),
        Act::PageDown => (mark + rows).min(last),
        Act::Edit(Edit::Start) => 0,
        Act::Edit(Edit::End) => last,
        _ => mark,
    }
}

pub(super) fn page_of(state: &State) -> usize {
    usize::from(state.size.1).saturating_sub(10).max(1)
}

fn on_archive(state: &mut State, act: Act) -> Vec<Effect> {
    let page = page_of(state);
    let Some(list) = archive_mut(state) else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let marked = list.rows.get(list.mark);
            return marked
                .map(|r| Effect::Job(r.number.clone()))
                .into_iter()
                .collect();
        }
        Act::Search => list.typing = Some(Entry::new(LINE)),
        Act::FollowUp => return vec![Effect::FollowUp],
        Act::Intake => return vec![Effect::Intake(state.person.clone())],
        Act::NewJob => return update::new_job(state),
        Act::OpenJobs => return vec![Effect::OpenJobs],
        Act::Back if !list.searched.is_empty() => {
            list.mark = 0;
            return vec![Effect::Archive];
        }
        Act::Back => {
            state.layers.pop();
        }
        other => list.mark = moved(list.mark, list.rows.len(), page, other),
    }
    Vec::new()
}

fn on_search(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(list) = archive_mut(state) else {
        return Vec::new();
    };
    let Some(entry) = &mut list.typing else {
        return Vec::new();
    };
    match act {
        Act::Take => {
            let words = entry.text().trim().to_owned();
            list.typing = None;
            list.mark = 0;
            return vec![if words.is_empty() {
                Effect::Archive
            } else {
                Effect::FindJobs(words)
            }];
        }
        Act::Back if entry.text().is_empty() => list.typing = None,
        Act::Back => entry.clear(),
        Act::Edit(edit) => entry.edit(edit),
        _ => {}
    }
    Vec::new()
}

fn on_job(state: &mut State, act: Act) -> Vec<Effect> {
    match act {
        Act::Back => {
            state.layers.pop();
        }
        Act::Left | Act::Right => return neighbour(state, act == Act::Right),
        Act::Correct => {
            if let Some(Page::Job(page)) = state.layers.last().map(|l| &l.page) {
                return vec![Effect::OpenForm {
                    person: state.person.clone(),
                    purpose: Purpose::Correct(page.number.clone()),
                }];
            }
        }
        other => update::scroll(state, other),
    }
    Vec::new()
}

/// Moves the mark of the list below and opens the job it comes to.
fn neighbour(state: &mut State, forward: bool) -> Vec<Effect> {
    let below = state
        .layers
        .iter_mut()
        .rev()
        .find_map(|l| match &mut l.page {
            Page::Archive(list) => {
                let n = list.rows.len();
                Some((&mut list.mark, n))
            }
            Page::FollowUp(list) => {
                let n = list.list.waiting.len();
                Some((&mut list.mark, n))
            }
            _ => None,
        });
    let Some((mark, n)) = below else {
        return Vec::new();
    };
    let act = if forward { Act::Down } else { Act::Up };
    let next = moved(*mark, n, 1, act);
    if next == *mark {
        let end = if forward { "last" } else { "first" };
        update::say(state, &format!("This is the {end} job of the list."));
        return Vec::new();
    }
    *mark = next;
    let number = state.layers.iter().rev().find_map(|l| match &l.page {
        Page::Archive(list) => list.rows.get(next).map(|r| r.number.clone()),
        Page::FollowUp(list) => list.list.waiting.get(next).map(|w| w.row.number.clone()),
        _ => None,
    });
    number.map(Effect::Job).into_iter().collect()
}

fn on_follow_up(state: &mut State, act: Act) -> Vec<Effect> {
    let page = page_of(state);
    let person = state.person.clone();
    let Some(list) = follow_mut(state) else {
        return Vec::new();
    };
    let marked = list
        .list
        .waiting
        .get(list.mark)
        .map(|w| w.row.number.clone());
    if let (Act::Held | Act::CameBack | Act::Undo, Some(why)) = (act, &list.list.read_only) {
        let text = format!("NOT written: {why}");
        update::warn(state, text);
        return Vec::new();
    }
    let effect = match act {
        Act::Take => marked.map(Effect::Job),
        Act::Held => marked.map(|number| Effect::JobHeld { person, number }),
        Act::CameBack => marked.map(Effect::LaterJobs),
        Act::Undo => list.written.last().map(|numbers| Effect::TakeJobsBack {
            person,
            numbers: numbers.clone(),
        }),
        Act::Back => {
            state.layers.pop();
            // What was written may have changed the list below.
            archive_mut(state).map(|list| {
                if list.searched.is_empty() {
                    Effect::Archive
                } else {
                    Effect::FindJobs(list.searched.clone())
                }
            })
        }
        other => {
            list.mark = moved(list.mark, list.list.waiting.len(), page, other);
            None
        }
    };
    effect.into_iter().collect()
}

fn form_mut(state: &mut State) -> Option<&mut ReturnForm> {
    match state.layers.last_mut().map(|l| &mut l.page) {
        Some(Page::Returned(form)) => Some(form),
        _ => None,
    }
}

fn on_returned_as(state: &mut State, act: Act) -> Vec<Effect> {
    let Some(form) = form_mut(state) else {
        return Vec::new();
    };
    let n = form.choices.len();
    match act {
        Act::Take => {
            let typed = form.entry.text().trim().to_owned();
            let chosen = form.mark.and_then(|m| form.choices.get(m));
            let Some(by) = chosen
                .map(|r| r.number.clone())
                .or((!typed.is_empty()).then_some(typed))
            else {
                update::say(state, "Type the number of the later job first.");
                return Vec::new();
            };
            let later = form.choices.iter().find(|r| r.number == by);
            form.same = later
                .and_then(|later| word::same_fault(&form.of, later))
                .map(Some);
            form.by = Some(by);
            form.mark = Some(0);
        }
        Act::Back => {
            state.layers.pop();
        }
        Act::Down | Act::Next | Act::Up | Act::Previous => {
            form.entry.clear();
            let forward = matches!(act, Act::Down | Act::Next);
            form.mark = match form.mark {
                _ if n == 0 => None,
                None => Some(if forward { 0 } else { n - 1 }),
                Some(at) if forward => Some((at + 1) % n),
                Some(at) => Some((at + n - 1) % n),
            };
        }
        Act::Edit(edit) => form.entry.edit(edit),
        _ => {}
    }
    Vec::new()
}

fn on_cause(state: &mut State, act: Act) -> Vec<Effect> {
    let person = state.person.clone();
    let Some(form) = form_mut(state) else {
        return Vec::new();
    };
    let mark = form.mark.unwrap_or_default();
    match act {
        Act::Back => {
            form.by = None;
            form.same = None;
            form.mark = (!form.choices.is_empty()).then_some(0);
            form.entry.clear();
        }
        Act::Take => match form.same {
            None => {
                form.same = FAULTS.get(mark).map(|(_, same)| *same);
                form.mark = Some(0);
            }
            Some(same_fault) => {
                let came = match CAUSES.get(mark).and_then(|(_, cause)| *cause) {
                    Some(cause) => Came::Back { cause, same_fault },
                    None => Came::OnlyLink,
                };
                let (number, by) = (form.of.number.clone(), form.by.clone().unwrap_or_default());
                state.layers.pop();
                return vec![Effect::JobReturned {
                    person,
                    number,
                    by,
                    came,
                }];
            }
        },
        other => form.mark = Some(moved(mark, form.answers().len(), 3, other)),
    }
    Vec::new()
}
