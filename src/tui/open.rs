//! Jobs still on a bench, on the screen: the list, a line for one of them, handing it on, closing it.

use crate::domain::intake::form::Purpose;
use crate::domain::intake::open_job::OpenJob;
use crate::tui::entry::Entry;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::state::LINE;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::update;

/// What is being typed about a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typing {
    /// What was seen or done.
    Log,
    /// Who goes on with it.
    Hand,
}

/// The open jobs.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenList {
    /// The jobs, oldest first.
    pub jobs: Vec<OpenJob>,
    /// The one that is marked.
    pub mark: usize,
    /// A line being typed about it.
    pub typing: Option<(Typing, Entry)>,
}

impl OpenList {
    /// Returns which keys work here.
    pub fn place(&self) -> Place {
        if self.typing.is_some() {
            Place::OpenLine
        } else {
            Place::OpenJobs
        }
    }

    /// Returns the job that is marked.
    pub fn marked(&self) -> Option<&OpenJob> {
        self.jobs.get(self.mark)
    }
}

fn list_mut(state: &mut State) -> Option<&mut OpenList> {
    state.layers.iter_mut().find_map(|l| match &mut l.page {
        Page::OpenJobs(list) => Some(&mut **list),
        _ => None,
    })
}

/// Takes an answer about open jobs.
pub fn on_answer(state: &mut State, msg: &Msg) -> Vec<Effect> {
    match msg {
        Msg::OpenJobs(Ok(jobs)) => {
            if let Some(list) = list_mut(state) {
                list.jobs.clone_from(jobs);
                list.mark = list.mark.min(jobs.len().saturating_sub(1));
            } else {
                let list = OpenList {
                    jobs: jobs.clone(),
                    mark: 0,
                    typing: None,
                };
                update::open(state, Page::OpenJobs(Box::new(list)));
            }
        }
        Msg::OpenSaid(Ok(said)) => {
            if let Some(list) = list_mut(state) {
                list.typing = None;
            }
            update::say(state, said);
            return vec![Effect::OpenJobs];
        }
        Msg::OpenJobs(Err(why)) => update::warn(state, why.clone()),
        Msg::OpenSaid(Err(why)) => update::warn(state, format!("NOT written: {why}")),
        _ => {}
    }
    Vec::new()
}

/// Takes a letter; false where no line is typed here.
pub fn on_type(state: &mut State, c: char) -> bool {
    match state.layers.last_mut().map(|l| &mut l.page) {
        Some(Page::OpenJobs(list)) => {
            if let Some((_, entry)) = &mut list.typing {
                entry.insert(c);
            }
            true
        }
        _ => false,
    }
}

/// Takes a key.
pub fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    let person = state.person.clone();
    let Some(list) = list_mut(state) else {
        return Vec::new();
    };
    let number = list.marked().map(|j| j.number.clone());
    if let Some((typing, entry)) = &mut list.typing {
        match act {
            Act::Back => list.typing = None,
            Act::Edit(edit) => entry.edit(edit),
            Act::Take => {
                let words = entry.text().trim().to_owned();
                if words.is_empty() {
                    list.typing = None;
                } else if let Some(number) = number {
                    return vec![match typing {
                        Typing::Log => Effect::LogOpen {
                            person,
                            number,
                            words,
                        },
                        Typing::Hand => Effect::HandOpen {
                            person,
                            number,
                            to: words,
                        },
                    }];
                }
            }
            _ => {}
        }
        return Vec::new();
    }
    let end = list.jobs.len().saturating_sub(1);
    match act {
        Act::Up => list.mark = list.mark.saturating_sub(1),
        Act::Down => list.mark = (list.mark + 1).min(end),
        Act::PageUp => list.mark = 0,
        Act::PageDown => list.mark = end,
        Act::Take if number.is_some() => {
            list.typing = Some((Typing::Log, Entry::new(LINE)));
        }
        Act::HandOn if number.is_some() => {
            list.typing = Some((Typing::Hand, Entry::new(LINE)));
        }
        Act::CloseJob => {
            let purpose = number.map(Purpose::Close);
            return purpose
                .map(|purpose| Effect::OpenForm { person, purpose })
                .into_iter()
                .collect();
        }
        Act::Back => {
            state.layers.pop();
        }
        _ => {}
    }
    Vec::new()
}
