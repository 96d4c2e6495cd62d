//! Key scripts: what a person presses, what the program is asked, what state is left.

use proptest::prelude::*;

use crate::app::view::DrillView;
use crate::app::view::Home;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::tui::entry::Edit;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::sample;
use crate::tui::sample::Bench;
use crate::tui::script::drive;
use crate::tui::script::play;
use crate::tui::script::told;
use crate::tui::state::Base;
use crate::tui::state::Page;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::update::update;
use crate::tui::view::screen;

fn greeting() -> State {
    told(State::new(80, 24), vec![Msg::People(sample::people())])
}

fn at_home() -> State {
    told(greeting(), vec![Msg::Home(Ok(Box::new(sample::home())))])
}

fn drilling(view: DrillView) -> State {
    told(at_home(), vec![Msg::Drill(Ok(Box::new(view)))])
}

fn marked_id(state: &State) -> Option<String> {
    let drill = state.drill()?;
    Some(drill.picks().get(drill.mark?)?.id.clone())
}

#[test]
fn a_new_person_gives_initials_and_is_home() {
    let mut state = greeting();
    let mut bench = Bench::new();
    play(&mut state, &mut bench, "'zz9' enter");
    assert_eq!(bench.calls, ["add_person zz", "home zz"]);
    assert_eq!(state.place(), Place::Home);
    assert_eq!(state.person, "zz");
}

#[test]
fn a_known_person_is_not_added_again() {
    let mut state = greeting();
    assert_eq!(
        drive(&mut state, "'TL' enter"),
        [Effect::Home("tl".to_owned())]
    );
    let mut state = greeting();
    assert_eq!(
        drive(&mut state, "tab tab enter"),
        [Effect::Home("tl".to_owned())]
    );
}

#[test]
fn typing_turns_from_the_list_to_new_initials() {
    let mut state = greeting();
    assert_eq!(
        drive(&mut state, "down 'ab' enter"),
        [Effect::AddPerson("ab".to_owned())]
    );
}

#[test]
fn nobody_sits_down_without_initials() {
    let mut state = greeting();
    assert_eq!(drive(&mut state, "enter"), []);
    assert!(state.notice.is_some());
    drive(&mut state, "'a'");
    assert!(state.notice.is_none());
}

#[test]
fn whoever_is_alone_here_need_only_press_enter() {
    let one = sample::people()[..1].to_vec();
    let mut state = told(State::new(80, 24), vec![Msg::People(one)]);
    assert_eq!(drive(&mut state, "enter"), [Effect::Home("mk".to_owned())]);
}

#[test]
fn a_day_with_nothing_left_begins_no_sitting() {
    let home = Home {
        planned: 0,
        ..sample::home()
    };
    let mut state = told(greeting(), vec![Msg::Home(Ok(Box::new(home)))]);
    assert_eq!(drive(&mut state, "enter"), []);
    assert!(state.notice.is_some());
    assert_eq!(
        drive(&mut at_home(), "enter"),
        [Effect::Begin("mk".to_owned())]
    );
}

#[test]
fn the_first_letters_find_the_circuit() {
    for (typed, id) in [
        ("st", "standby"),
        ("BU", "buck"),
        ("bus", "bus"),
        ("back", "display"),
        ("always", "standby"),
        ("don", ""),
    ] {
        let mut state = drilling(sample::circuit());
        let effects = drive(&mut state, &format!("'{typed}' enter"));
        assert_eq!(effects, [Effect::SayCircuit(id.to_owned())], "{typed}");
    }
}

#[test]
fn a_letter_inside_a_word_finds_nothing() {
    let mut state = drilling(sample::circuit());
    assert_eq!(drive(&mut state, "'tandby' enter"), []);
    assert!(state.notice.is_some());
    assert_eq!(state.place(), Place::Circuit);
}

#[test]
fn nothing_is_marked_before_the_person_chooses() {
    let mut state = drilling(sample::circuit());
    assert_eq!(marked_id(&state), None);
    assert_eq!(drive(&mut state, "enter"), []);
    assert_eq!(
        drive(&mut state, "up enter"),
        [Effect::SayCircuit(String::new())],
        "the last entry stands for not knowing"
    );
}

#[test]
fn arrows_move_over_the_rows_and_stay_inside() {
    let mut state = drilling(sample::circuit());
    drive(&mut state, "down");
    assert_eq!(marked_id(&state).as_deref(), Some("inlet"));
    drive(&mut state, "right left right down up");
    assert_eq!(marked_id(&state).as_deref(), Some("standby"));
    let last = state.drill().expect("a sitting").picks().len() - 1;
    drive(&mut state, &"down ".repeat(20));
    let low = state.drill().expect("a sitting").mark.expect("a mark");
    assert!(last - low < 8, "in the last row");
    drive(&mut state, &"up ".repeat(20));
    let high = state.drill().expect("a sitting").mark.expect("a mark");
    assert!(high < 8, "in the first row");
    drive(&mut state, "esc left right");
    assert_eq!(marked_id(&state).as_deref(), Some("inlet"), "round the end");
}

#[test]
fn escape_clears_the_letters_before_it_stops() {
    let mut state = drilling(sample::circuit());
    assert_eq!(drive(&mut state, "'st' esc"), []);
    assert_eq!(marked_id(&state), None);
    assert_eq!(drive(&mut state, "esc"), [Effect::Stop]);
}

#[test]
fn tab_says_how_sure_and_letters_are_text() {
    let mut state = drilling(sample::fix());
    let effects = drive(&mut state, "'swap u31? q' tab enter");
    let said = Effect::SayFix {
        typed: Some("swap u31? q".to_owned()),
        sure: Sure::High,
    };
    assert_eq!(effects, [said]);
}

#[test]
fn enter_alone_says_the_fix_aloud() {
    let mut state = drilling(sample::fix());
    let said = Effect::SayFix {
        typed: None,
        sure: Sure::Low,
    };
    assert_eq!(drive(&mut state, "backtab enter"), [said]);
}

#[test]
fn escape_goes_from_the_fix_back_to_the_circuit() {
    let mut state = drilling(sample::fix());
    assert_eq!(drive(&mut state, "esc"), [Effect::BackToCircuit]);
}

#[test]
fn arrows_move_the_grade_and_stop_at_its_ends() {
    for (grade, script, effects) in [
        (Grade::Named, "up", vec![Effect::SetGrade(Grade::OnSight)]),
        (Grade::Named, "down", vec![Effect::SetGrade(Grade::Hunted)]),
        (Grade::OnSight, "up", vec![]),
        (Grade::Missed, "down", vec![]),
    ] {
        let view = sample::verdict_of(sample::back(), grade, false);
        assert_eq!(drive(&mut drilling(view), script), effects);
    }
}

#[test]
fn an_unsafe_answer_cannot_be_moved_or_overruled() {
    let mut state = drilling(sample::dangerous());
    assert_eq!(drive(&mut state, "up right o"), []);
    assert_eq!(drive(&mut state, "enter"), [Effect::Keep]);
}

#[test]
fn an_answer_that_was_not_kept_stays_on_the_screen() {
    let mut bench = Bench::new();
    bench.at_verdict();
    bench.disk_full = true;
    let mut state = drilling(sample::right());
    play(&mut state, &mut bench, "enter");
    assert_eq!(state.place(), Place::Verdict);
    let notice = state.notice.clone().expect("a notice");
    assert!(notice.grave && notice.text.contains("NOT kept"));
    bench.disk_full = false;
    play(&mut state, &mut bench, "enter");
    assert_eq!(state.place(), Place::Circuit);
    assert_eq!(state.notice, None);
}

#[test]
fn a_whole_sitting_plays_from_the_greeting_to_home() {
    let mut state = greeting();
    let mut bench = Bench::new();
    play(
        &mut state,
        &mut bench,
        "'zz' enter enter 'st' enter 'replace u31' enter down enter \
         'buck' enter enter e esc f esc enter enter",
    );
    let asked: Vec<String> = bench
        .calls
        .iter()
        .map(|call| call.split(' ').next().unwrap_or_default().to_owned())
        .collect();
    assert_eq!(
        asked,
        [
            "add_person",
            "home",
            "begin",
            "say_circuit",
            "say_fix",
            "set_grade",
            "keep",
            "say_circuit",
            "say_fix",
            "keep",
            "home"
        ]
    );
    assert_eq!(state.place(), Place::Home);
}

#[test]
fn tagging_out_asks_which_way_and_why() {
    let mut state = drilling(sample::circuit());
    let effects = drive(&mut state, "ctrl-t d 'no U31 here' enter");
    let tag = Effect::Tag {
        doubtful: true,
        note: "no U31 here".to_owned(),
    };
    assert_eq!(effects, [tag]);
    let mut state = drilling(sample::right());
    let effects = drive(&mut state, "t d esc n enter");
    let tag = Effect::Tag {
        doubtful: false,
        note: String::new(),
    };
    assert_eq!(effects, [tag]);
    let mut state = drilling(sample::right());
    assert_eq!(drive(&mut state, "t esc"), []);
    assert_eq!(state, drilling(sample::right()));
}

#[test]
fn tagging_out_given_up_leaves_what_was_typed() {
    let mut state = drilling(sample::fix());
    drive(&mut state, "'replace' ctrl-t esc");
    assert_eq!(state.drill().expect("a sitting").entry.text(), "replace");
}

#[test]
fn undo_is_offered_only_where_something_can_be_taken_back() {
    let mut state = drilling(sample::circuit());
    assert_eq!(drive(&mut state, "ctrl-r"), [Effect::Undo]);
    let mut view = sample::circuit();
    view.can_undo = false;
    assert_eq!(drive(&mut drilling(view), "ctrl-r"), []);
}

#[test]
fn a_sitting_under_the_wrong_name_is_given_away() {
    let mut state = drilling(sample::over());
    let effects = drive(&mut state, "m down enter");
    let give = Effect::GiveTo {
        sitting: "b7-0231".to_owned(),
        person: "ro".to_owned(),
    };
    assert_eq!(effects, [give]);
    let state = told(state, vec![Msg::Given(Ok(Box::new(sample::home())))]);
    assert_eq!(state.place(), Place::Home);
    assert!(state.notice.is_some());
}

#[test]
fn a_read_only_sitting_is_not_given_away() {
    let mut view = sample::over();
    view.read_only = Some("held".to_owned());
    let mut state = drilling(view);
    drive(&mut state, "m");
    assert_eq!(state.place(), Place::Over);
}

#[test]
fn pages_close_one_by_one() {
    let mut state = drilling(sample::right());
    let mut bench = Bench::new();
    play(&mut state, &mut bench, "e");
    assert_eq!(state.place(), Place::Reading);
    play(&mut state, &mut bench, "esc f");
    assert!(matches!(state.layers[0].page, Page::Family(_)));
    play(&mut state, &mut bench, "esc");
    assert_eq!(state.place(), Place::Verdict);
    let mut home = at_home();
    play(&mut home, &mut bench, "down f enter");
    assert_eq!(home.layers.len(), 2);
    play(&mut home, &mut bench, "esc esc");
    assert_eq!(home.place(), Place::Home);
}

#[test]
fn before_the_verdict_a_page_never_tells_the_circuit_asked_for() {
    let mut state = drilling(sample::circuit());
    assert_eq!(drive(&mut state, "ctrl-f"), []);
    assert_eq!(
        drive(&mut state, "'buck' ctrl-f"),
        [Effect::Family("buck".to_owned())]
    );
}

#[test]
fn the_next_person_does_not_see_the_one_before() {
    let mut state = at_home();
    assert_eq!(drive(&mut state, "tab"), [Effect::People]);
    assert_eq!(state.place(), Place::Greeting);
    assert_eq!((state.person.as_str(), &state.home), ("", &None));
}

#[test]
fn leaving_works_from_everywhere() {
    for state in [greeting(), at_home(), drilling(sample::fix())] {
        let mut state = state;
        drive(&mut state, "ctrl-c");
        assert!(state.ended);
    }
    let mut state = at_home();
    drive(&mut state, "esc");
    assert!(state.ended);
}

#[test]
fn release_events_do_nothing() {
    use ratatui::crossterm::event::KeyCode;
    use ratatui::crossterm::event::KeyEvent;
    use ratatui::crossterm::event::KeyEventKind;
    use ratatui::crossterm::event::KeyModifiers;
    let release =
        KeyEvent::new_with_kind(KeyCode::Enter, KeyModifiers::NONE, KeyEventKind::Release);
    assert_eq!(crate::tui::keymap::message(&at_home(), release), None);
}

#[test]
fn moving_the_grade_keeps_the_place_in_a_long_verdict() {
    let mut state = told(drilling(sample::wrong()), vec![Msg::Resize(60, 12)]);
    drive(&mut state, "pgup pgup pgup pgup pgup pgup");
    assert_eq!(state.scroll, Some(0));
    let state = told(state, vec![Msg::Drill(Ok(Box::new(sample::wrong())))]);
    assert_eq!(state.scroll, Some(0));
}

fn act() -> impl Strategy<Value = Act> {
    prop::sample::select(vec![
        Act::Take,
        Act::Back,
        Act::Up,
        Act::Down,
        Act::Left,
        Act::Right,
        Act::Next,
        Act::Previous,
        Act::PageUp,
        Act::PageDown,
        Act::Edit(Edit::Backspace),
        Act::Edit(Edit::EraseLine),
        Act::Edit(Edit::Left),
        Act::Edit(Edit::EraseWord),
        Act::Help,
        Act::SomeoneElse,
        Act::Families,
        Act::Family,
        Act::Evidence,
        Act::Faults,
        Act::Overrule,
        Act::Undo,
        Act::TagOut,
        Act::Doubtful,
        Act::NotForMe,
        Act::NotMine,
        Act::Suspend,
        Act::Redraw,
    ])
}

fn message() -> impl Strategy<Value = Msg> {
    let drill = prop::sample::select(vec![
        sample::circuit(),
        sample::fix(),
        sample::right(),
        sample::wrong(),
        sample::dangerous(),
        sample::over(),
    ]);
    prop_oneof![
        6 => act().prop_map(Msg::Act),
        4 => any::<char>().prop_map(Msg::Type),
        4 => prop::sample::select(vec!['s', 'b', 'd', ' ', '漢']).prop_map(Msg::Type),
        1 => (0u16..250, 0u16..80).prop_map(|(columns, rows)| Msg::Resize(columns, rows)),
        3 => drill.prop_map(|view| Msg::Drill(Ok(Box::new(view)))),
        1 => Just(Msg::Home(Ok(Box::new(sample::home())))),
        1 => Just(Msg::People(sample::people())),
        1 => Just(Msg::People(Vec::new())),
        1 => Just(Msg::NotKept("no".to_owned())),
        1 => Just(Msg::Drill(Err("no".to_owned()))),
        1 => Just(Msg::Family(Some(Box::new(sample::family())))),
        1 => Just(Msg::Families(vec![sample::family()])),
        1 => Just(Msg::Evidence(sample::jobs())),
    ]
}

/// What must hold after any message.
fn consistent(state: &State) -> Result<(), TestCaseError> {
    if let Base::Greeting(greeting) = &state.base {
        prop_assert!(greeting.mark.is_none_or(|m| m < state.people.len()));
        prop_assert!(greeting.entry.text().chars().all(char::is_alphabetic));
    }
    if let Base::Home(mark) = &state.base {
        prop_assert!(*mark < state.meters().len().max(1));
        prop_assert!(state.home.is_some());
    }
    if let Some(drill) = state.drill() {
        prop_assert!(drill.mark.is_none_or(|m| m < drill.picks().len()));
    }
    if let Some(scroll) = state.layers.last().map_or(state.scroll, |l| l.scroll) {
        prop_assert!(scroll <= screen::extent(state).last);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn no_order_of_messages_breaks_the_screen(messages in prop::collection::vec(message(), 0..40)) {
        use ratatui::Terminal;
        use ratatui::backend::TestBackend;
        let mut state = greeting();
        for msg in &messages {
            update(&mut state, msg);
            consistent(&state)?;
            let (columns, rows) = state.size;
            let mut terminal = Terminal::new(TestBackend::new(columns, rows))
                .expect("a test backend");
            terminal.draw(|frame| screen::draw(&state, frame)).expect("a test backend draws");
        }
    }

    #[test]
    fn the_same_messages_give_the_same_state(messages in prop::collection::vec(message(), 0..40)) {
        prop_assert_eq!(told(greeting(), messages.clone()), told(greeting(), messages));
    }
}

#[test]
fn before_a_board_the_words_are_looked_up_and_its_cards_are_drilled() {
    let mut state = at_home();
    let mut bench = Bench::new();
    play(&mut state, &mut bench, "b 'sku' enter 'dead, d ? b' enter");
    assert_eq!(bench.calls, ["brief skua-e6 dead, d ? b"]);
    assert_eq!(state.place(), Place::Brief);
    play(&mut state, &mut bench, "d");
    assert_eq!(bench.calls.last().expect("a call"), "begin_brief mk c1 c2");
    assert_eq!(state.place(), Place::Circuit);
}

#[test]
fn a_whole_job_opens_from_a_brief_and_esc_leads_back_step_by_step() {
    let mut state = at_home();
    let mut bench = Bench::new();
    play(&mut state, &mut bench, "b down up enter 'low' enter enter");
    assert!(state.notice.is_some(), "no job is marked yet");
    play(&mut state, &mut bench, "down enter");
    assert_eq!(state.place(), Place::Reading);
    for place in [
        Place::Brief,
        Place::BriefWords,
        Place::BriefBoard,
        Place::Home,
    ] {
        play(&mut state, &mut bench, "esc");
        assert_eq!(state.place(), place);
    }
}

#[test]
fn letters_that_no_board_begins_with_take_none() {
    let mut state = at_home();
    let mut bench = Bench::new();
    play(&mut state, &mut bench, "b 'zz' enter");
    assert!(state.notice.is_some());
    assert_eq!(state.place(), Place::BriefBoard);
    play(&mut state, &mut bench, "esc esc");
    assert_eq!(state.place(), Place::Home);
    assert!(bench.calls.is_empty());
}

/// Plays `script` from home and returns what the desk was asked about jobs.
fn archive_calls(script: &str) -> (State, Vec<String>) {
    let mut state = told(
        State::new(80, 24),
        vec![Msg::Home(Ok(Box::new(sample::home())))],
    );
    let mut bench = Bench::new();
    play(&mut state, &mut bench, script);
    (state, bench.calls)
}

#[test]
fn letters_in_the_search_line_are_text() {
    let (_, calls) = archive_calls("j s 'shy r?' enter");
    assert_eq!(calls, ["find_jobs shy r?"]);
}

#[test]
fn escape_clears_the_search_line_then_closes_it_then_shows_all_then_leaves() {
    let (state, _) = archive_calls("j s 'abc' esc");
    assert_eq!(state.place(), Place::ArchiveSearch);
    let (state, _) = archive_calls("j s 'abc' esc esc");
    assert_eq!(state.place(), Place::Archive);
    let (state, _) = archive_calls("j s 'abc' enter esc");
    assert_eq!(state.place(), Place::Archive);
    let (state, _) = archive_calls("j s 'abc' enter esc esc");
    assert_eq!(state.place(), Place::Home);
}

#[test]
fn arrows_on_a_jobs_page_open_its_neighbours() {
    let (state, calls) = archive_calls("j enter right right left left left");
    assert_eq!(
        calls,
        [
            "job W-0412",
            "job W-0411",
            "job W-0410",
            "job W-0411",
            "job W-0412"
        ],
        "at the end of the list nothing is opened again"
    );
    assert_eq!(state.place(), Place::Job);
    assert!(state.notice.is_some_and(|n| n.text.contains("first job")));
}

#[test]
fn held_is_written_at_once_and_undo_takes_it_back() {
    let (state, calls) = archive_calls("j h down y u u");
    assert_eq!(
        calls,
        [
            "follow_up",
            "job_held mk W-0368",
            "follow_up",
            "take_jobs_back mk W-0368",
            "follow_up"
        ]
    );
    assert_eq!(state.place(), Place::FollowUp);
}

#[test]
fn a_return_takes_a_later_job_and_a_cause() {
    let (_, calls) = archive_calls("j h r enter down enter u");
    assert_eq!(
        calls[2],
        "job_returned mk W-0364 W-0412 Back { cause: Workmanship, same_fault: Some(true) }"
    );
    assert_eq!(calls[4], "take_jobs_back mk W-0412 W-0364");
}

#[test]
fn a_typed_number_is_asked_for_its_fault_too() {
    let (state, calls) = archive_calls("j h r 'w-7' enter");
    assert_eq!(calls.len(), 2, "{calls:?}");
    assert_eq!(state.place(), Place::ReturnCause);
    let (_, calls) = archive_calls("j h r 'w-7' enter down enter enter");
    assert_eq!(
        calls[2],
        "job_returned mk W-0364 w-7 Back { cause: Diagnosis, same_fault: Some(false) }"
    );
    let (state, calls) = archive_calls("j h r 'w-7' enter esc esc");
    assert_eq!((state.place(), calls.len()), (Place::FollowUp, 2));
}

#[test]
fn where_nothing_can_be_written_nothing_is_asked_for() {
    let mut state = told(
        State::new(80, 24),
        vec![Msg::Home(Ok(Box::new(sample::home())))],
    );
    let mut list = sample::follow_up();
    list.read_only = Some("the folder may not be written".to_owned());
    let mut state = told(
        std::mem::replace(&mut state, State::new(80, 24)),
        vec![
            Msg::Archive(Ok(sample::listing(3))),
            Msg::FollowUp(Ok(Box::new(list))),
        ],
    );
    for key in ["y", "r", "u"] {
        assert_eq!(drive(&mut state, key), []);
    }
    assert!(drive(&mut state, "y").is_empty());
    assert!(
        state
            .notice
            .is_some_and(|n| n.grave && n.text.contains("NOT written"))
    );
}

/// Plays `script` from home with a bench behind the screen; returns what the bench was asked.
fn intake_after(script: &str) -> (State, Vec<String>) {
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, script);
    (state, bench.calls)
}

#[test]
fn the_desk_opens_where_the_person_stopped_and_each_decision_shows_the_next_row() {
    let (state, calls) = intake_after("i enter enter");
    let expected = [
        "intake mk",
        "intake_row 2",
        "intake_decide row2 2 Accept",
        "intake_row 3",
    ];
    assert_eq!(calls, expected);
    assert_eq!(state.place(), Place::IntakeRow);
    let (_, calls) = intake_after("i enter t a u");
    assert!(
        calls
            .iter()
            .any(|c| c == "intake_decide row2 2 Take(Some(Actions))"),
        "{calls:?}"
    );
    assert!(
        calls.iter().any(|c| c == "intake_decide row2 2 Take(None)"),
        "{calls:?}"
    );
    assert!(
        calls.iter().any(|c| c == "intake_decide row2 2 Undo"),
        "{calls:?}"
    );
}

#[test]
fn letters_are_text_while_a_field_is_said_and_each_is_read_at_once() {
    let (state, calls) = intake_after("i enter r 'swap a u' enter");
    assert!(
        calls.contains(&"intake_read Actions s".to_owned()),
        "{calls:?}"
    );
    assert!(
        calls.contains(&"intake_read Actions swap a u".to_owned()),
        "{calls:?}"
    );
    let kept = "intake_decide row2 2 Mend(Actions, \"swap a u\")".to_owned();
    assert!(calls.contains(&kept), "{calls:?}");
    assert_eq!(state.place(), Place::IntakeRow);
    let (state, calls) = intake_after("i enter r 'x' esc esc");
    assert_eq!(
        state.place(),
        Place::IntakeRow,
        "clears the line, then closes it"
    );
    assert!(!calls.iter().any(|c| c.contains("Mend")), "{calls:?}");
}

#[test]
fn a_row_is_passed_over_only_with_a_reason_and_split_only_into_two() {
    let (state, calls) = intake_after("i enter s enter");
    assert_eq!(state.place(), Place::IntakeSkip);
    assert!(!calls.iter().any(|c| c.contains("Skip")), "{calls:?}");
    let (_, calls) = intake_after("i enter s tab enter");
    assert!(calls.contains(&"intake_decide row2 2 Skip(\"not a job\")".to_owned()));
    let (state, calls) = intake_after("i enter x enter");
    assert_eq!(state.place(), Place::IntakeSplit);
    assert!(!calls.iter().any(|c| c.contains("Split")), "{calls:?}");
    let (_, calls) = intake_after("i enter x 1 2 b enter");
    let split = "intake_decide row2 2 Split([First, Second, Both, First, First])";
    assert!(calls.contains(&split.to_owned()), "{calls:?}");
}

#[test]
fn a_number_is_taken_as_typed_or_as_marked_never_as_the_nearest() {
    let (_, calls) = intake_after("i enter m 'W-014' enter");
    assert!(
        calls.contains(&"intake_decide row2 2 SameAs(\"W-014\")".to_owned()),
        "{calls:?}"
    );
    let (_, calls) = intake_after("i enter m 'W-014' down down enter");
    assert!(
        calls.contains(&"intake_decide row2 2 SameAs(\"W-0141\")".to_owned()),
        "{calls:?}"
    );
}

#[test]
fn a_decision_that_was_not_kept_is_said_and_the_row_stays() {
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, "i enter");
    bench.disk_full = true;
    play(&mut state, &mut bench, "enter");
    let notice = state.notice.as_ref().expect("a notice");
    assert!(
        notice.grave && notice.text.contains("NOT kept"),
        "{}",
        notice.text
    );
    let Some(Page::IntakeRow(work)) = state.layers.last().map(|l| &l.page) else {
        panic!("the row is gone");
    };
    assert_eq!(work.page.key, "row2");
}

#[test]
fn leaving_the_list_lets_others_decide_on_this_bench() {
    let (state, calls) = intake_after("i esc");
    assert_eq!(state.place(), Place::Home);
    assert_eq!(calls.last().map(String::as_str), Some("leave_intake"));
}

#[test]
fn a_day_to_be_ready_by_is_typed_over_the_plan_set_and_dropped() {
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, "p r");
    assert_eq!(state.place(), Place::ReadyBy);
    play(&mut state, &mut bench, "enter 'soon' enter");
    assert_eq!(
        state.place(),
        Place::ReadyBy,
        "what cannot be read stays to be mended"
    );
    assert!(
        state.notice.as_ref().is_some_and(|n| n.grave),
        "{:?}",
        state.notice
    );
    play(
        &mut state,
        &mut bench,
        "ctrl-u '2026-04-20 petrel-p4 ?p' enter",
    );
    assert!(
        bench
            .calls
            .contains(&"be ready by mk 2026-04-20 petrel-p4 ?p".to_owned()),
        "letters are text: {:?}",
        bench.calls
    );
    let Some(Page::Plan(plan)) = state.layers.last().map(|l| &l.page) else {
        panic!("the plan stands below");
    };
    let at_home = state.home.as_ref().map(|home| home.ready_by.as_str());
    assert_eq!(at_home, Some(plan.ready_by.as_str()));
    assert!(plan.ready_by.starts_with("Ready by 20 Apr"));
    play(&mut state, &mut bench, "r ctrl-x");
    assert!(bench.calls.contains(&"be ready by mk none".to_owned()));
    assert!(
        state
            .home
            .as_ref()
            .is_some_and(|home| home.ready_by.is_empty())
    );
    play(&mut state, &mut bench, "r esc esc");
    assert_eq!(state.place(), Place::Home);
}
