//! What keys do at the lead's desk.

use crate::tui::msg::Msg;
use crate::tui::sample;
use crate::tui::sample::Bench;
use crate::tui::script::play;
use crate::tui::script::told;
use crate::tui::signing::Side;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;

fn at_home() -> State {
    let state = State::new(80, 24);
    told(state, vec![Msg::Home(Ok(Box::new(sample::home())))])
}

/// Plays `script` from home with a bench behind the screen; returns what the bench was asked.
fn after(script: &str) -> (State, Vec<String>) {
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, script);
    (state, bench.calls)
}

fn acts(calls: &[String]) -> Vec<&str> {
    let acts = calls
        .iter()
        .filter_map(|c| c.strip_prefix("signing_act mk "));
    acts.collect()
}

fn at(state: &State) -> (String, Side) {
    match state.layers.last().map(|l| &l.page) {
        Some(Page::SigningCard(work)) => (work.page.row.card.clone(), work.side),
        other => panic!("no card is open: {other:?}"),
    }
}

fn notice(state: &State) -> &str {
    state.notice.as_ref().map_or("", |n| &n.text)
}

#[test]
fn a_card_is_signed_with_one_key_and_the_next_is_open() {
    let (mut state, mut bench) = (at_home(), Bench::new());
    let keys = format!("l enter {}", "s ".repeat(12));
    play(&mut state, &mut bench, &keys);
    // Twelve lie there: one key each, and after the last the list stands again.
    let expected: Vec<String> = (0..12).map(|n| format!("card{n} Sign")).collect();
    assert_eq!(acts(&bench.calls), expected);
    assert_eq!(state.place(), Place::Signing);
    assert_eq!(bench.calls.last().map(String::as_str), Some("signing"));
}

#[test]
fn an_act_says_what_was_written_and_the_next_card_opens_on_its_answer() {
    let (state, _) = after("l enter tab s");
    assert_eq!(notice(&state), "Written about card0.");
    assert_eq!(at(&state), ("card1".to_owned(), Side::Back));
}

#[test]
fn who_reads_fronts_first_goes_on_with_fronts() {
    let (state, _) = after("l enter backtab right s");
    assert_eq!(at(&state), ("card2".to_owned(), Side::Front));
}

#[test]
fn what_fails_stays_with_the_sentence_and_the_words_typed() {
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, "l enter");
    bench.disk_full = true;
    play(&mut state, &mut bench, "s");
    assert_eq!(notice(&state), "NOT written: the disk is full");
    assert!(state.notice.as_ref().is_some_and(|n| n.grave));
    assert_eq!(at(&state).0, "card0");
    play(&mut state, &mut bench, "t 'not on rev C' enter");
    assert_eq!(state.place(), Place::SigningLine);
    bench.disk_full = false;
    play(&mut state, &mut bench, "enter");
    let done = "card0 TagOut(\"not on rev C\")";
    assert_eq!(acts(&bench.calls).last(), Some(&done));
    assert_eq!(at(&state).0, "card1");
}

#[test]
fn what_is_typed_over_starts_from_what_stands_and_is_shown_before_it_is_signed() {
    let (state, calls) = after("l enter c o '; u31 swap' enter");
    let typed = "card0 Type(Also, \"swap U31; new standby switcher; u31 swap\")";
    assert_eq!(acts(&calls), [typed]);
    assert_eq!(at(&state).0, "card0");
    assert_eq!(state.place(), Place::SigningCard);
    let (_, calls) = after("l enter c down enter ctrl-u 'replace U30' enter");
    assert_eq!(acts(&calls), ["card0 Type(Answers, \"replace U30\")"]);
}

#[test]
fn nothing_is_written_where_nothing_was_changed_or_no_reason_is_given() {
    for script in [
        "l enter c w enter",
        "l enter c w 'x' esc",
        "l enter t enter",
        "l enter r enter",
        "l enter w '  ' enter",
        "l enter m esc",
        "l enter x esc",
        "l down enter d esc",
        "l enter right left tab e esc esc",
    ] {
        let (_, calls) = after(script);
        assert_eq!(acts(&calls), [""; 0], "{script}");
    }
}

#[test]
fn letters_are_text_while_a_line_is_typed() {
    let (state, calls) = after("l enter w 'smxrtbdceq?' enter");
    assert_eq!(acts(&calls), ["card0 Evidence(\"smxrtbdceq?\")"]);
    assert_eq!(at(&state).0, "card1");
}

#[test]
fn a_card_out_of_use_comes_back_also_without_a_word() {
    let (state, calls) = after("l down down enter t b enter");
    assert_eq!(acts(&calls), ["card2 BringBack(\"\")"]);
    assert_eq!(at(&state).0, "card2");
    let (state, calls) = after("l down down down enter b enter");
    assert_eq!(acts(&calls), [""; 0], "it is in use and nobody doubts it");
    assert_eq!(state.place(), Place::SigningCard);
}

#[test]
fn a_retired_card_needs_a_reason() {
    let (_, calls) = after("l enter r 'board is sold out' enter");
    assert_eq!(acts(&calls), ["card0 Retire(\"board is sold out\")"]);
}

#[test]
fn a_card_goes_into_the_one_marked_and_is_split_by_what_is_marked() {
    let (_, calls) = after("l enter m down enter");
    assert_eq!(acts(&calls), ["card0 Merge(\"card2\")"]);
    let (_, calls) = after("l enter m up enter");
    assert_eq!(acts(&calls), ["card0 Merge(\"card7\")"]);
    let (_, calls) = after("l enter x down enter");
    assert_eq!(acts(&calls), ["card0 Split(Complaint)"]);
    let (state, calls) = after("l down down down down enter m x");
    assert_eq!(acts(&calls), [""; 0]);
    assert!(notice(&state).contains("differ in nothing"));
}

#[test]
fn one_key_takes_one_of_two_values() {
    for (keys, edit) in [
        ("1", "t1-e7"),
        ("2", "t2-e3"),
        ("enter", "t1-e7"),
        ("right enter", "t2-e3"),
        ("tab tab enter", "t1-e7"),
    ] {
        let (state, calls) = after(&format!("l down enter d {keys}"));
        let settled = format!("card1 Settle(Why, \"{edit}\")");
        assert_eq!(acts(&calls), [settled.as_str()], "{keys}");
        assert_eq!(at(&state).0, "card1");
    }
    let (state, _) = after("l enter d");
    assert_eq!(
        state.place(),
        Place::SigningCard,
        "nothing was edited apart"
    );
}

#[test]
fn the_jobs_are_one_key_away_and_esc_leads_back_step_by_step() {
    let (state, _) = after("l enter e");
    assert_eq!(state.place(), Place::Reading);
    let (state, calls) = after("l down enter e esc esc");
    assert_eq!(state.place(), Place::Signing);
    assert_eq!(calls.last().map(String::as_str), Some("signing"));
    let Some(Page::Signing(list)) = state.layers.last().map(|l| &l.page) else {
        panic!("no list");
    };
    assert_eq!(list.mark, 1);
    let (state, _) = after("l enter esc esc");
    assert_eq!(state.place(), Place::Home);
}

#[test]
fn a_card_that_is_gone_leads_back_to_the_list() {
    let (state, _) = after("l enter");
    let state = told(state, vec![Msg::SigningCard(Ok(None))]);
    assert_eq!(state.place(), Place::Signing);
    assert!(notice(&state).contains("no card any more"));
}

#[test]
fn arrows_stop_at_the_ends_of_the_list_and_say_so() {
    let (state, _) = after("l enter left");
    assert!(notice(&state).contains("first card"));
    let (state, _) = after("l pgdn pgdn enter right");
    assert!(notice(&state).contains("last card"));
    assert_eq!(at(&state).0, "card11");
}

#[test]
fn one_key_takes_the_last_act_back_and_its_card_is_open() {
    let (state, calls) = after("l enter s u");
    assert_eq!(notice(&state), "Taken back.");
    assert_eq!(at(&state).0, "card3");
    assert!(calls.contains(&"signing_undo mk".to_owned()));
    // On the list the cards are listed anew.
    let (state, calls) = after("l u");
    assert_eq!(state.place(), Place::Signing);
    assert_eq!(calls.last().map(String::as_str), Some("signing"));
    assert_eq!(notice(&state), "Taken back.");
}
