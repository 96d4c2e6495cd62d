//! Key scripts for tests: `drive(state, "down enter ctrl-t d 'low rail' enter")`.
//!
//! Words are keys; text between single quotes is typed letter by letter. A script goes through the
//! key table and the update, as keys do.

use std::time::Duration;

use ratatui::crossterm::event::KeyCode;
use ratatui::crossterm::event::KeyEvent;
use ratatui::crossterm::event::KeyModifiers;

use crate::tui::keymap;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::perform;
use crate::tui::perform::StepClock;
use crate::tui::sample::Bench;
use crate::tui::state::State;
use crate::tui::update::update;

/// Presses the keys of `script` and returns what the screen asked for, carrying nothing out.
#[track_caller]
pub(super) fn drive(state: &mut State, script: &str) -> Vec<Effect> {
    let mut effects = Vec::new();
    for key in keys(script) {
        if let Some(msg) = keymap::message(state, key) {
            effects.extend(update(state, &msg));
        }
    }
    effects
}

/// Presses the keys of `script` with `bench` behind the screen; every key takes one second.
#[track_caller]
pub(super) fn play(state: &mut State, bench: &mut Bench, script: &str) {
    let mut clock = StepClock::default();
    for (second, key) in (1..).zip(keys(script)) {
        let Some(msg) = keymap::message(state, key) else {
            continue;
        };
        let mut work = update(state, &msg);
        while !work.is_empty() {
            let effect = work.remove(0);
            let now = Duration::from_secs(second);
            if let Some(answer) = perform::perform(bench, &effect, &mut clock, now) {
                work.extend(update(state, &answer));
            }
        }
    }
}

/// Applies messages and drops what they ask for.
pub(super) fn told(mut state: State, messages: Vec<Msg>) -> State {
    for msg in messages {
        update(&mut state, &msg);
    }
    state
}

#[track_caller]
fn keys(script: &str) -> Vec<KeyEvent> {
    let mut events = Vec::new();
    for (i, part) in script.split('\'').enumerate() {
        if i % 2 == 1 {
            events.extend(part.chars().map(|c| KeyEvent::from(KeyCode::Char(c))));
        } else {
            events.extend(part.split_whitespace().map(key));
        }
    }
    events
}

#[track_caller]
fn key(word: &str) -> KeyEvent {
    if let Some(letter) = word.strip_prefix("ctrl-") {
        let c = letter.chars().next().expect("a letter after ctrl-");
        return KeyEvent::new(KeyCode::Char(c), KeyModifiers::CONTROL);
    }
    let code = match word {
        "enter" => KeyCode::Enter,
        "esc" => KeyCode::Esc,
        "tab" => KeyCode::Tab,
        "backtab" => KeyCode::BackTab,
        "up" => KeyCode::Up,
        "down" => KeyCode::Down,
        "left" => KeyCode::Left,
        "right" => KeyCode::Right,
        "pgup" => KeyCode::PageUp,
        "pgdn" => KeyCode::PageDown,
        "backspace" => KeyCode::Backspace,
        one if one.chars().count() == 1 => KeyCode::Char(one.chars().next().expect("one letter")),
        other => panic!("no key is called {other}"),
    };
    KeyEvent::from(code)
}
