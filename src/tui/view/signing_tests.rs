//! The lead's desk at the sizes that matter, and what must hold of it.

use ratatui::style::Color;

use crate::tui::msg::Msg;
use crate::tui::sample_signing;
use crate::tui::script::told;
use crate::tui::state::State;
use crate::tui::view::screen_tests::archive_after;
use crate::tui::view::screen_tests::buffer;
use crate::tui::view::screen_tests::check;
use crate::tui::view::screen_tests::resized;
use crate::tui::view::screen_tests::text;

fn desk(script: &str) -> State {
    archive_after(&format!("l {script}")).0
}

#[test]
fn the_cards_that_want_a_lead() {
    check("signing_list", &desk("down"));
}

#[test]
fn a_desk_with_nothing_on_it_says_so() {
    let state = told(desk(""), vec![Msg::Signing(Ok(sample_signing::list(0)))]);
    check("signing_list_empty", &state);
}

#[test]
fn a_card_on_the_desk() {
    check("signing_card", &desk("enter"));
    check("signing_card_front", &desk("enter backtab"));
    check("signing_card_why", &desk("enter tab"));
    check("signing_card_out", &desk("down down enter"));
    check("signing_signed", &desk("enter s"));
}

#[test]
fn what_was_changed_apart_stands_side_by_side() {
    check("signing_apart", &desk("down enter d"));
}

#[test]
fn the_lines_and_choices_about_a_card() {
    check("signing_field", &desk("enter c"));
    check("signing_why", &desk("enter c w ' It is warm.'"));
    check("signing_hazards", &desk("enter c h"));
    check("signing_tag_out", &desk("enter t 'not on rev C'"));
    check("signing_retire", &desk("enter r"));
    check("signing_merge", &desk("enter m down"));
    check("signing_split", &desk("enter x down"));
}

/// The lines of a screen between the two rules.
fn middle(state: &State) -> Vec<String> {
    let text = text(state);
    let lines = text.lines().skip(2).take_while(|l| !l.starts_with(" ─"));
    lines.map(str::to_owned).collect()
}

#[test]
fn the_front_on_the_desk_is_the_front_of_the_drill() {
    for (columns, rows) in [(80, 24), (60, 20)] {
        let drill = told(
            State::new(80, 24),
            vec![Msg::Drill(Ok(Box::new(crate::tui::sample::fix())))],
        );
        let drill = middle(&resized(&drill, columns, rows));
        let desk = middle(&resized(&desk("enter backtab"), columns, rows));
        let asks = drill.iter().position(|l| l.contains("Circuit:"));
        let front = &drill[..asks.expect("the question") - 1];
        assert_eq!(front, &desk[..front.len()]);
    }
}

#[test]
fn the_back_on_the_desk_is_the_back_of_the_drill() {
    let drill = told(
        State::new(80, 60),
        vec![Msg::Drill(Ok(Box::new(crate::tui::sample::right())))],
    );
    let drill = middle(&resized(&drill, 80, 60));
    let desk = middle(&resized(&desk("enter"), 80, 60));
    let grade = drill.iter().position(|l| l.contains("Keep as"));
    let back = &drill[..grade.expect("the grade") - 1];
    assert!(back.iter().any(|l| l.contains("Replace U31")));
    assert_eq!(back, &desk[..back.len()]);
}

#[test]
fn what_a_lead_must_know_is_told_without_colour() {
    let list = text(&desk(""));
    for words in [
        "34 of 183 cards signed; 12 want a look",
        "doubted by 2",
        "OUT",
    ] {
        assert!(list.contains(words), "{words}\n{list}");
    }
    let card = text(&desk("enter"));
    for words in ["Here because: doubted by 2", "1 doubt", "1 to check"] {
        assert!(card.contains(words), "{words}\n{card}");
    }
    let out = text(&resized(&desk("down down enter"), 60, 20));
    assert!(out.contains("OUT OF USE for everyone"), "{out}");
    for state in [desk(""), desk("enter"), desk("down enter d")] {
        for cell in buffer(&state).content() {
            let coloured = cell.fg != Color::Reset || cell.bg != Color::Reset;
            let word = cell.symbol().chars().all(char::is_alphanumeric);
            assert!(!(coloured && word), "{:?}", cell.symbol());
        }
    }
}

#[test]
fn both_values_stand_whole_at_every_size() {
    for (columns, rows) in [(80, 24), (60, 20), (200, 60)] {
        let text = text(&resized(&desk("down enter d"), columns, rows));
        for words in ["1  mk on", "2  tl on", "folds back."] {
            assert!(text.contains(words), "{columns}x{rows} {words}\n{text}");
        }
    }
}

#[test]
fn a_long_list_draws_only_what_is_in_sight() {
    let state = told(desk(""), vec![Msg::Signing(Ok(sample_signing::list(5000)))]);
    let state = resized(&state, 60, 20);
    let text = text(&state);
    assert!(text.contains("1 of 5000"), "{text}");
    assert_eq!(text.lines().count(), 20);
}

#[test]
fn a_cards_text_cannot_steer_the_terminal() {
    let hostile = "W\u{1b}[31m\u{9b}2J\u{202e}";
    let mut page = sample_signing::page(1);
    page.row.title = hostile.to_owned();
    page.row.said = vec![hostile.to_owned()];
    page.now.why = hostile.to_owned();
    page.history = vec![hostile.to_owned()];
    page.warnings = vec![hostile.to_owned()];
    page.like = vec![("x".to_owned(), hostile.to_owned())];
    page.apart[0].values[0].3 = hostile.to_owned();
    let mut found = sample_signing::list(2);
    found.rows[0] = page.row.clone();
    for script in ["", "tab", "d", "c", "m", "c w"] {
        let state = told(
            desk("down enter"),
            vec![Msg::SigningCard(Ok(Some(Box::new(page.clone()))))],
        );
        let mut state = state;
        crate::tui::script::drive(&mut state, script);
        let shown = text(&state);
        assert!(
            !shown.chars().any(|c| c.is_control() && c != '\n'),
            "{shown}"
        );
        assert!(!shown.contains('\u{202e}'), "{script}\n{shown}");
    }
    let shown = text(&told(desk(""), vec![Msg::Signing(Ok(found))]));
    assert!(!shown.contains(['\u{1b}', '\u{202e}']), "{shown}");
}
