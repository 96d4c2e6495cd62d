//! A day to be ready by, on the screen: a line that sets it or drops it, laid over the plan.

use crate::tui::entry::Entry;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::ReadySaid;
use crate::tui::state::LINE;
use crate::tui::state::Page;
use crate::tui::state::State;
use crate::tui::update;

/// Opens the line.
pub(super) fn open(state: &mut State) {
    update::open(state, Page::ReadyBy(Box::new(Entry::new(LINE))));
}

fn line_mut(state: &mut State) -> Option<&mut Entry> {
    match state.layers.last_mut().map(|layer| &mut layer.page) {
        Some(Page::ReadyBy(entry)) => Some(entry),
        _ => None,
    }
}

/// Takes a letter; false where this line is not open.
pub(super) fn on_type(state: &mut State, c: char) -> bool {
    let line = line_mut(state);
    let open = line.is_some();
    if let Some(line) = line {
        line.insert(c);
    }
    open
}

/// Takes a key of the line.
pub(super) fn on_act(state: &mut State, act: Act) -> Vec<Effect> {
    let person = state.person.clone();
    let Some(line) = line_mut(state) else {
        return Vec::new();
    };
    match act {
        Act::Back => {
            state.layers.pop();
        }
        Act::Edit(edit) => line.edit(edit),
        Act::Take if line.is_blank() => {
            update::say(
                state,
                "Type a day first, or none to drop the one that stands.",
            );
        }
        Act::Take => {
            let words = line.text().trim().to_owned();
            return vec![Effect::ReadyBy { person, words }];
        }
        Act::DropDay => {
            let words = "none".to_owned();
            return vec![Effect::ReadyBy { person, words }];
        }
        other => update::scroll(state, other),
    }
    Vec::new()
}

/// Takes what came of it: home and the plan below say it from now on.
pub(super) fn on_answer(state: &mut State, answer: &Result<Box<ReadySaid>, String>) {
    match answer {
        Ok(said) => {
            if line_mut(state).is_some() {
                state.layers.pop();
            }
            for layer in &mut state.layers {
                if let Page::Plan(plan) = &mut layer.page {
                    plan.ready_by.clone_from(&said.home.ready_by);
                }
            }
            state.home = Some(said.home.clone());
            update::say(state, &said.text);
        }
        Err(why) => update::warn(state, why.clone()),
    }
}
