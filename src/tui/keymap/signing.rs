//! The keys of the lead's desk.

use ratatui::crossterm::event::KeyCode;

use crate::app::desk::view::Field;
use crate::tui::entry::Edit;
use crate::tui::keymap::Binding;
use crate::tui::keymap::also;
use crate::tui::keymap::ctrl;
use crate::tui::keymap::key;
use crate::tui::keymap::letter;
use crate::tui::msg::Act;
use crate::tui::signing::CardWork;
use crate::tui::signing::Doing;
use crate::tui::state::Page;
use crate::tui::state::State;

/// Tells whether a lead sits here.
pub(super) fn is_lead(state: &State) -> bool {
    let person = state.people.iter().find(|p| p.id == state.person);
    person.is_some_and(|p| p.role == "lead")
}

fn work(state: &State) -> Option<&CardWork> {
    match state.layers.last().map(|l| &l.page) {
        Some(Page::SigningCard(work)) => Some(work),
        _ => None,
    }
}

fn is_out(state: &State) -> bool {
    work(state).is_some_and(|w| w.page.row.out)
}

fn doubted(state: &State) -> bool {
    work(state).is_some_and(CardWork::may_return) && !is_out(state)
}

fn in_use(state: &State) -> bool {
    work(state).is_some_and(|w| !w.page.row.out)
}

fn edited_apart(state: &State) -> bool {
    work(state).is_some_and(|w| !w.page.apart.is_empty())
}

fn has_jobs(state: &State) -> bool {
    work(state).is_some_and(|w| !w.page.jobs.is_empty())
}

fn merging(state: &State) -> bool {
    work(state).is_some_and(|w| matches!(w.doing, Some(Doing::Merge(_))))
}

fn splitting(state: &State) -> bool {
    work(state).is_some_and(|w| matches!(w.doing, Some(Doing::Split(_))))
}

const TAKES_BACK: &str = "takes back what you did last at this bench, on whatever day it was";

pub(super) static LIST: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "open", 9)
        .means("opens the card that is marked: front, answer, and why it lies here"),
    key(KeyCode::Down, Act::Down, "↑ ↓ PgUp PgDn", "move", 3)
        .means("moves over the cards; Home and End go to the first and the last"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    also(KeyCode::Home, Act::Edit(Edit::Start)),
    also(KeyCode::End, Act::Edit(Edit::End)),
    letter('u', Act::Undo, "u", "undo", 5).means(TAKES_BACK),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; every decision is kept"),
];

pub(super) static CARD: &[Binding] = &[
    letter('s', Act::Sign, "s", "sign", 9)
        .means("vouches for the card as it stands, and opens the next"),
    key(KeyCode::Tab, Act::Next, "Tab", "side", 3)
        .means("turns the card: its answer, its front alone, why it lies here"),
    also(KeyCode::BackTab, Act::Previous),
    also(KeyCode::Enter, Act::Next),
    letter('d', Act::Decide, "d", "decide", 9)
        .means("shows what two leads edited apart from each other, to take one of it")
        .when(edited_apart),
    letter('c', Act::Change, "c", "change", 8).means(
        "types over the question, the answers, other wordings, the why-line or the cautions",
    ),
    letter('e', Act::Evidence, "e", "jobs", 3)
        .means("shows the jobs behind the card")
        .when(has_jobs),
    letter('t', Act::TagOut, "t", "out", 7)
        .means("takes the card out of use for everyone, with a reason")
        .when(in_use),
    letter('b', Act::BringBack, "b", "bring back", 7)
        .means("brings the card back into use and rules out the doubts about it")
        .when(is_out),
    letter('b', Act::BringBack, "b", "no doubt", 7)
        .means("where it is in use: rules out the doubts about it")
        .when(doubted),
    letter('w', Act::MoreJobs, "w", "want", 7)
        .means("asks for more jobs before anyone vouches for it"),
    letter('m', Act::Merge, "m", "merge", 6).means("lets the card go into another of its board"),
    letter('x', Act::Split, "x", "split", 6)
        .means("makes several cards of it, by something its jobs differ in"),
    letter('r', Act::Retire, "r", "retire", 5)
        .means("is finished with the card; it is asked once more, with a reason"),
    letter('u', Act::Undo, "u", "undo", 2).means(TAKES_BACK),
    key(KeyCode::Right, Act::Right, "← →", "card", 1)
        .means("goes to the card before or after this one; nothing is written"),
    also(KeyCode::Left, Act::Left),
    key(KeyCode::Down, Act::Down, "↑ ↓ PgUp PgDn", "scroll", 0).means("scrolls what does not fit"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::PageDown, Act::PageDown),
    also(KeyCode::PageUp, Act::PageUp),
    letter(' ', Act::PageDown, "", "", 0),
    letter('?', Act::Help, "?", "keys", 8),
    key(KeyCode::Esc, Act::Back, "Esc", "list", 4).means("goes back to the list"),
];

pub(super) static FIELD: &[Binding] = &[
    letter('q', Act::Over(Field::Stem), "q", "question", 0).means("the question in words"),
    letter('a', Act::Over(Field::Answers), "a", "answers", 0).means("the right answers"),
    letter('o', Act::Over(Field::Also), "o", "other words", 0)
        .means("whole answers in other words that are right as well"),
    letter('w', Act::Over(Field::Why), "w", "why-line", 0).means("why it is so"),
    letter('h', Act::Over(Field::Cautions), "h", "hazards", 0)
        .means("the hazards whose cautions stand on it"),
    key(KeyCode::Down, Act::Down, "↑ ↓ Enter", "choose", 8),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Tab, Act::Down),
    also(KeyCode::BackTab, Act::Up),
    also(KeyCode::Enter, Act::Take),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

pub(super) static LINE: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "write", 9).means("writes the line down"),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    ctrl('k', Act::Help, "Ctrl-K", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

pub(super) static PICK: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "merge", 9)
        .means("lets the card go into the one that is marked")
        .when(merging),
    key(KeyCode::Enter, Act::Take, "Enter", "split", 9)
        .means("makes the cards that are shown beside the mark")
        .when(splitting),
    key(KeyCode::Down, Act::Down, "↑ ↓", "choose", 6),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Tab, Act::Down),
    also(KeyCode::BackTab, Act::Up),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8).means("goes back; nothing is written"),
];

pub(super) static APART: &[Binding] = &[
    key(KeyCode::Enter, Act::Take, "Enter", "take it", 9).means("takes the value that is marked"),
    letter('1', Act::ToFirst, "1", "the first", 6).means("takes the first value"),
    letter('2', Act::ToSecond, "2", "the second", 6).means("takes the second value"),
    key(KeyCode::Down, Act::Down, "arrows", "choose", 5).means("move over the values; so does Tab"),
    also(KeyCode::Up, Act::Up),
    also(KeyCode::Right, Act::Down),
    also(KeyCode::Left, Act::Up),
    also(KeyCode::Tab, Act::Down),
    also(KeyCode::BackTab, Act::Up),
    key(KeyCode::PageDown, Act::PageDown, "PgUp PgDn", "scroll", 0),
    also(KeyCode::PageUp, Act::PageUp),
    letter('?', Act::Help, "?", "keys", 7),
    key(KeyCode::Esc, Act::Back, "Esc", "back", 8)
        .means("goes back; the card stands as it stood before both"),
];
