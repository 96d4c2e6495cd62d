//! The form, what was written, and the open jobs, as they stand on the screen.

use super::*;
use crate::tui::msg::Effect;
use crate::tui::sample;
use crate::tui::sample::Bench;
use crate::tui::script;
use crate::tui::state::Page;
use crate::tui::state::State;
use crate::tui::view::screen_tests;

fn home(columns: u16, rows: u16) -> (State, Bench) {
    let mut state = State::new(columns, rows);
    let mut bench = Bench::new();
    script::play(&mut state, &mut bench, "'mk' enter");
    (state, bench)
}

fn page(state: &State) -> &FormPage {
    match state.layers.last().map(|l| &l.page) {
        Some(Page::Form(page)) => page,
        other => panic!("no form but {other:?}"),
    }
}

const LINE: &str = "'no power, 61-118mA up/down in standby, 3V3_SB 0.41, residue at U31, \
                    reflow L12 no help, replaced U31, 3V3_SB 3.31'";

#[test]
fn a_form_being_typed() {
    let (mut state, mut bench) = home(80, 24);
    script::play(&mut state, &mut bench, "n");
    screen_tests::check("form_new", &state);
    script::play(&mut state, &mut bench, LINE);
    screen_tests::check("form_typed", &state);
    script::play(&mut state, &mut bench, "enter");
    screen_tests::check("form_asks", &state);
}

#[test]
fn what_was_written_and_the_open_jobs() {
    let (mut state, mut bench) = home(80, 24);
    script::play(&mut state, &mut bench, "n 'x' ctrl-s");
    assert!(matches!(
        state.layers.last().map(|l| &l.page),
        Some(Page::Form(_))
    ));
    let saved = crate::tui::msg::Msg::FormSaved(Ok(Box::new(sample::written())));
    crate::tui::update::update(&mut state, &saved);
    screen_tests::check("job_written", &state);
    script::play(&mut state, &mut bench, "enter o");
    screen_tests::check("open_jobs", &state);
    script::play(&mut state, &mut bench, "enter");
    script::play(&mut state, &mut bench, "'3V3_SB 0.41'");
    screen_tests::check("open_line", &state);
}

#[test]
fn tab_takes_an_exact_beginning_only_and_enter_never_does() {
    let (mut state, mut bench) = home(80, 24);
    script::play(&mut state, &mut bench, "n 'replaced u3'");
    assert_eq!(page(&state).suggestions(), ["U31", "U33"]);
    script::play(&mut state, &mut bench, "down tab");
    assert_eq!(page(&state).form.words, "replaced U33");
    assert!(
        page(&state).suggestions().is_empty(),
        "a whole word is whole"
    );
    script::play(&mut state, &mut bench, "', u13'");
    assert!(page(&state).suggestions().is_empty(), "u13 begins nothing");
    script::play(&mut state, &mut bench, "backspace backspace enter");
    assert!(page(&state).form.words.ends_with(", u"));
}

#[test]
fn letters_are_text_and_enter_goes_on_to_what_waits() {
    let (mut state, mut bench) = home(80, 24);
    script::play(&mut state, &mut bench, "n 'qnco?'");
    assert_eq!(page(&state).form.words, "qnco?");
    script::play(&mut state, &mut bench, "enter");
    assert_eq!(
        page(&state).at,
        At::Slot(crate::domain::intake::form::Slot::Outcome)
    );
    script::play(&mut state, &mut bench, "enter");
    let typed = &page(&state).form.typed;
    assert_eq!(
        typed.get(&crate::domain::intake::form::Slot::Outcome),
        Some(&"unknown-so-far".to_owned()),
        "Enter takes what is proposed"
    );
}

#[test]
fn a_serial_leaves_the_state_with_its_line() {
    let (mut state, mut bench) = home(80, 24);
    script::play(&mut state, &mut bench, "n 'x' enter tab 'PX12-044'");
    assert_eq!(page(&state).at, At::Serial);
    script::play(&mut state, &mut bench, "tab");
    assert!(bench.calls.contains(&"mark_unit".to_owned()));
    assert!(!format!("{state:?}").contains("PX12"));
    assert_eq!(page(&state).form.unit.as_deref(), Some("0123456789abcdef"));
}

#[test]
fn throwing_away_is_asked_and_leaving_keeps() {
    let (mut state, mut bench) = home(80, 24);
    script::play(&mut state, &mut bench, "n 'x' ctrl-x esc");
    assert!(!bench.calls.iter().any(|c| c.starts_with("leave_form")));
    script::play(&mut state, &mut bench, "ctrl-x ctrl-x");
    assert_eq!(
        bench.calls.last().map(String::as_str),
        Some("leave_form true")
    );
    script::play(&mut state, &mut bench, "n 'x' esc");
    assert_eq!(
        bench.calls.last().map(String::as_str),
        Some("leave_form false")
    );
}

#[test]
fn nothing_is_saved_while_something_is_missing() {
    let (mut state, _) = home(80, 24);
    let (begun, view) = (
        crate::app::entry::session::Begun {
            form: crate::domain::intake::form::Form::default(),
            kept: true,
        },
        sample::form_view(""),
    );
    let opened = crate::tui::msg::Msg::Form(Ok(Box::new((begun, view))));
    crate::tui::update::update(&mut state, &opened);
    let kept = state.notice.as_ref().map(|n| n.text.clone());
    assert!(kept.is_some_and(|t| t.contains("left unfinished")));
    let effects = script::drive(&mut state, "ctrl-s");
    assert_eq!(effects, Vec::<Effect>::new());
    let told = state.notice.as_ref().map(|n| n.text.clone());
    assert!(told.is_some_and(|t| t.starts_with("Not written yet: no complaint")));
}

#[test]
fn a_folded_text_knows_where_its_cursor_stands() {
    assert_eq!(folded("", 0, 20), (vec![String::new()], (0, 0)));
    let (rows, at) = folded("no power, 3V3_SB 0.41", 21, 12);
    assert_eq!(rows, ["no power, ", "3V3_SB 0.41"]);
    assert_eq!(at, (1, 11));
    let (rows, at) = folded("one\ntwo", 4, 12);
    assert_eq!((rows.len(), at), (2, (1, 0)));
    let (_, at) = folded("one\n", 4, 12);
    assert_eq!(at, (1, 0));
    let (rows, _) = folded("abcdefghijklmnopqrstuvwxyz", 3, 10);
    assert_eq!(rows.len(), 3);
}
