//! Every screen at the sizes that matter, and what must hold whatever is on it.

use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;
use ratatui::style::Modifier;

use crate::app::plan::Coming;
use crate::app::plan_lines;
use crate::app::view::DrillView;
use crate::app::view::Reading;
use crate::app::view::Step;
use crate::domain::review::Grade;
use crate::tui::msg::Msg;
use crate::tui::sample;
use crate::tui::sample::Bench;
use crate::tui::sample_intake;
use crate::tui::sample_plan;
use crate::tui::script::drive;
use crate::tui::script::play;
use crate::tui::script::told;
use crate::tui::state::State;
use crate::tui::view::screen::draw;

fn shown(state: &State) -> TestBackend {
    let (columns, rows) = state.size;
    let mut terminal = Terminal::new(TestBackend::new(columns, rows)).expect("a test backend");
    terminal
        .draw(|frame| draw(state, frame))
        .expect("a test backend draws");
    terminal.backend().clone()
}

pub(super) fn buffer(state: &State) -> Buffer {
    shown(state).buffer().clone()
}

pub(super) fn text(state: &State) -> String {
    let buffer = buffer(state);
    let mut text = String::new();
    for y in 0..buffer.area.height {
        for x in 0..buffer.area.width {
            text.push_str(buffer[(x, y)].symbol());
        }
        text.push('\n');
    }
    text
}

pub(super) fn resized(state: &State, columns: u16, rows: u16) -> State {
    told(state.clone(), vec![Msg::Resize(columns, rows)])
}

/// Holds `state` against its pictures at three sizes.
#[track_caller]
pub(super) fn check(name: &str, state: &State) {
    for (columns, rows) in [(80, 24), (60, 20), (200, 60)] {
        let state = resized(state, columns, rows);
        insta::assert_snapshot!(format!("{name}_{columns}x{rows}"), shown(&state));
    }
}

fn greeting() -> State {
    told(State::new(80, 24), vec![Msg::People(sample::people())])
}

fn at_home() -> State {
    told(greeting(), vec![Msg::Home(Ok(Box::new(sample::home())))])
}

fn drilling(view: DrillView) -> State {
    told(at_home(), vec![Msg::Drill(Ok(Box::new(view)))])
}

fn driven(mut state: State, script: &str) -> State {
    drive(&mut state, script);
    state
}

#[test]
fn greeting_of_a_new_shop() {
    check("greeting_new", &driven(State::new(80, 24), "'mk'"));
}

#[test]
fn greeting_where_people_are_known() {
    check("greeting_known", &driven(greeting(), "down down"));
}

#[test]
fn home_with_work() {
    check("home", &driven(at_home(), "down"));
}

#[test]
fn home_with_nothing_left_and_damage_found() {
    let home = crate::app::view::Home {
        planned: 0,
        planned_new: 0,
        done_today: 20,
        corrected: 2,
        faults: vec!["jobs/b7.jsonl line 214: not JSON; restore it or remove the line".to_owned()],
        ..sample::home()
    };
    check(
        "home_done",
        &told(greeting(), vec![Msg::Home(Ok(Box::new(home)))]),
    );
}

#[test]
fn which_circuit() {
    check("circuit", &drilling(sample::circuit()));
}

#[test]
fn which_circuit_narrowed() {
    check(
        "circuit_narrowed",
        &driven(drilling(sample::circuit()), "'s'"),
    );
}

#[test]
fn name_the_fix() {
    check("fix", &driven(drilling(sample::fix()), "'replace u31' tab"));
}

#[test]
fn verdict_right() {
    check("verdict_right", &drilling(sample::right()));
}

#[test]
fn verdict_wrong_with_border() {
    check("verdict_wrong", &drilling(sample::wrong()));
}

#[test]
fn verdict_unsafe() {
    check("verdict_unsafe", &drilling(sample::dangerous()));
    check("verdict_unjudged", &drilling(sample::unjudged()));
}

#[test]
fn verdict_said_aloud() {
    check("verdict_aloud", &drilling(sample::aloud()));
}

#[test]
fn read_only_and_not_kept_stand_visibly() {
    let mut view = sample::right();
    view.read_only =
        Some("mk is drilling on this bench since 07:31: nothing here is kept".to_owned());
    check("read_only", &drilling(view));
    let state = told(
        drilling(sample::right()),
        vec![Msg::NotKept(
            "the disk is full; free some and press Enter again".to_owned(),
        )],
    );
    check("not_kept", &state);
}

#[test]
fn tagging_out() {
    check("tag", &driven(drilling(sample::circuit()), "ctrl-t"));
    check(
        "tag_reason",
        &driven(drilling(sample::right()), "t d 'U31 is not on rev C'"),
    );
}

#[test]
fn sitting_over() {
    check("over", &drilling(sample::over()));
    check("give_to", &driven(drilling(sample::over()), "m down"));
}

#[test]
fn pages() {
    let mut state = drilling(sample::right());
    play(&mut state, &mut Bench::new(), "f");
    check("family", &state);
    let mut state = drilling(sample::right());
    play(&mut state, &mut Bench::new(), "e");
    check("evidence", &state);
    let mut state = at_home();
    play(&mut state, &mut Bench::new(), "down f");
    check("families", &state);
    check("help", &driven(drilling(sample::fix()), "ctrl-k"));
}

fn briefed(script: &str) -> State {
    let mut state = at_home();
    play(&mut state, &mut Bench::new(), script);
    state
}

#[test]
fn before_a_board() {
    check("brief_board", &briefed("b 's'"));
    check("brief_words", &briefed("b enter '3V3_SB low'"));
    let page = "b enter '3V3_SB low, residue' enter";
    check("brief", &briefed(page));
    check("brief_job_marked", &briefed(&format!("{page} down down")));
    check("brief_whole_job", &briefed(&format!("{page} down enter")));
}

#[test]
fn a_brief_says_in_words_what_came_back_and_what_had_no_fix() {
    let text = text(&resized(&briefed("b enter enter"), 80, 60));
    assert!(text.contains("W-0398, 14 Mar 2026, rev C: came back, diagnosis"));
    assert!(text.contains("W-0377, 14 Mar 2026, rev C: no fix: value exceeded"));
}

#[test]
fn a_brief_opens_with_its_cautions_and_keeps_a_line_of_them() {
    for (columns, rows) in [(80, 24), (60, 20), (40, 10), (200, 60)] {
        let page = resized(&briefed("b enter enter"), columns, rows);
        let third = text(&page).lines().nth(2).expect("a third line").to_owned();
        assert!(third.contains("A wet lithium cell"), "{third}");
    }
    let down = resized(&briefed("b enter enter down down down"), 60, 20);
    let shown = text(&down);
    assert!(shown.contains("Cell out first") || shown.contains("A wet lithium cell"));
    assert!(shown.contains("W-0377"));
}

#[test]
fn too_small_says_so() {
    let state = resized(&drilling(sample::right()), 30, 8);
    insta::assert_snapshot!("too_small_30x8", shown(&state));
}

#[test]
fn the_smallest_window_shows_the_decision() {
    let state = resized(&drilling(sample::circuit()), 40, 10);
    insta::assert_snapshot!("circuit_40x10", shown(&state));
    let state = resized(&drilling(sample::dangerous()), 40, 10);
    insta::assert_snapshot!("verdict_unsafe_40x10", shown(&state));
    let state = resized(&drilling(sample::wrong()), 40, 10);
    insta::assert_snapshot!("verdict_wrong_40x10", shown(&state));
}

#[test]
fn text_two_hundred_columns_wide_is_wrapped_not_lost() {
    let mut view = sample::circuit();
    let front = view.front.as_mut().expect("a front");
    front.complaint = "water ".repeat(33) + "end-of-complaint";
    front.readings.push(Reading {
        name: "NET_".repeat(20),
        value: "0.41 V ".repeat(20) + "end-of-value",
        reference: "on the drawing ".repeat(14) + "end-of-reference",
        decides: false,
    });
    let state = resized(&drilling(view), 60, 60);
    for end in ["end-of-complaint", "end-of-value", "end-of-reference"] {
        let squeezed: String = text(&state).split_whitespace().collect();
        assert!(
            squeezed.contains(end) || text(&state).contains(end),
            "{end}"
        );
    }
    insta::assert_snapshot!("wide_text_60x60", shown(&state));
}

#[test]
fn what_does_not_fit_is_announced_and_can_be_reached() {
    let state = resized(&drilling(sample::wrong()), 60, 14);
    assert!(text(&state).contains("PgUp PgDn"));
    let up = driven(state.clone(), "pgup pgup pgup");
    assert!(text(&up).contains("Complaint"));
    let down = driven(state, "pgdn pgdn pgdn pgdn");
    assert!(text(&down).contains("residue at a"));
}

/// Every cell's text: what is left when colours and styles are not seen.
fn without_style(view: DrillView) -> String {
    text(&drilling(view))
}

#[test]
fn nothing_is_told_by_colour_alone() {
    // Marked or not, deciding or not, one grade or another, kept or not: the text differs.
    let circuit = drilling(sample::circuit());
    let marked = driven(circuit.clone(), "right");
    assert_ne!(text(&circuit), text(&marked));
    assert_ne!(text(&marked), text(&driven(marked.clone(), "right")));
    let fix = drilling(sample::fix());
    assert_ne!(text(&fix), text(&driven(fix.clone(), "tab")));
    let mut plain = sample::right();
    for reading in &mut plain.front.as_mut().expect("a front").readings {
        reading.decides = false;
    }
    assert_ne!(without_style(sample::right()), without_style(plain));
    let grades: Vec<String> = Grade::ALL
        .into_iter()
        .map(|g| without_style(sample::verdict_of(sample::back(), g, false)))
        .collect();
    for (i, one) in grades.iter().enumerate() {
        assert!(grades[i + 1..].iter().all(|other| other != one));
    }
}

#[test]
fn text_stands_in_the_terminals_own_colours() {
    for view in [sample::circuit(), sample::right(), sample::dangerous()] {
        let buffer = buffer(&drilling(view));
        for cell in buffer.content() {
            let coloured = cell.fg != Color::Reset || cell.bg != Color::Reset;
            let word = cell.symbol().chars().all(char::is_alphanumeric);
            assert!(!(coloured && word), "{:?}", cell.symbol());
        }
    }
}

#[test]
fn danger_and_what_was_not_kept_are_reversed() {
    let has = |state: &State, word: &str| {
        let lines = text(state);
        let row = lines.lines().position(|l| l.contains(word)).expect(word);
        let column = lines
            .lines()
            .nth(row)
            .and_then(|l| l.find(word))
            .expect(word);
        let at = (
            u16::try_from(column).expect("a column"),
            u16::try_from(row).expect("a row"),
        );
        buffer(state)[at].modifier.contains(Modifier::REVERSED)
    };
    assert!(has(&drilling(sample::dangerous()), "DANGER"));
    let not_kept = told(
        drilling(sample::right()),
        vec![Msg::NotKept("the disk is full".to_owned())],
    );
    assert!(has(&not_kept, "NOT kept"));
}

#[test]
fn the_caution_stands_above_everything_but_danger() {
    let order = |view: DrillView, first: &str, second: &str| {
        let text = without_style(view);
        text.find(first).expect(first) < text.find(second).expect(second)
    };
    assert!(order(sample::circuit(), "Cell out first", "Complaint"));
    assert!(order(sample::right(), "Cell out first", "Complaint"));
    assert!(order(sample::dangerous(), "DANGER", "Cell out first"));
}

#[test]
fn hostile_text_from_a_job_shows_and_does_nothing() {
    let mut jobs = sample::jobs();
    jobs[0].lines[0] = "\u{1b}[31mred\u{9b}2J \u{202e}".to_owned();
    let state = told(drilling(sample::right()), vec![Msg::Evidence(jobs)]);
    let text = text(&state);
    assert!(text.contains("\u{fffd}[31mred"));
    assert!(!text.contains(['\u{1b}', '\u{9b}', '\u{202e}']));
}

#[test]
fn the_answer_is_in_sight_at_every_size() {
    for (columns, rows) in [(80, 24), (60, 20), (200, 60), (80, 14), (60, 12)] {
        for view in [sample::right(), sample::wrong(), sample::aloud()] {
            let Step::Verdict { grade, .. } = view.step else {
                continue;
            };
            let text = text(&resized(&drilling(view), columns, rows));
            assert!(text.contains("Replace U31"), "{columns}x{rows}\n{text}");
            assert!(text.contains(&format!("[{}]", grade.label())));
        }
    }
}

fn at_gaps() -> State {
    told(at_home(), vec![Msg::Gaps(Ok(Box::new(sample::gaps())))])
}

#[test]
fn gaps_by_circuit() {
    check("gaps", &driven(at_gaps(), "up up"));
    check("gaps_unmeasured", &driven(at_gaps(), "down down"));
}

fn at_plan() -> State {
    let plan = Msg::Plan(Ok(Coming::Made(Box::new(sample_plan::plan()))));
    told(at_home(), vec![plan])
}

#[test]
fn the_weeks_ahead() {
    check("plan", &at_plan());
    check("plan_below", &driven(at_plan(), "pgdn"));
    check("plan_last", &driven(at_plan(), "pgdn pgdn pgdn"));
}

#[test]
fn a_plan_that_is_simulated_says_how_far_that_is_and_how_to_leave() {
    for (columns, rows) in [(80, 24), (60, 20), (40, 20)] {
        let at = |done, all| {
            let msg = Msg::Plan(Ok(Coming::UnderWay { done, all }));
            let drawn = text(&resized(&told(at_home(), vec![msg]), columns, rows));
            drawn.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        assert!(
            at(0, 0).contains("Reading what you answered"),
            "{}",
            at(0, 0)
        );
        let half = at(180, 360);
        assert!(half.contains("180 of 360 runs"), "{half}");
        assert!(half.contains("Esc goes back without it"), "{half}");
        let bar = |drawn: &str, c| drawn.chars().filter(|drawn| *drawn == c).count();
        assert_eq!(bar(&half, '█'), bar(&half, '░'), "{half}");
        assert_eq!(bar(&at(360, 360), '░'), 0);
    }
}

#[test]
fn the_plan_says_in_words_what_it_draws_in_a_small_window_too() {
    for (columns, rows) in [(80, 24), (60, 20), (40, 20)] {
        let drawn = text(&resized(&at_plan(), columns, rows));
        let words = drawn.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            words.contains("you would know 41 today, 78 on 1 Jul"),
            "{drawn}"
        );
        assert!(words.contains("between 74 and 82 in 8 of 10"), "{drawn}");
        assert!(drawn.contains('░') && drawn.contains('●'), "{drawn}");
    }
}

#[test]
fn a_day_to_be_ready_by_is_said_at_home_and_over_the_plan() {
    let mut home = sample::home();
    home.ready_by = sample_plan::READY_BY.to_owned();
    let mut plan = sample_plan::plan();
    plan.ready_by = sample_plan::READY_BY.to_owned();
    let state = told(
        State::new(80, 24),
        vec![
            Msg::Home(Ok(Box::new(home))),
            Msg::Plan(Ok(Coming::Made(Box::new(plan)))),
        ],
    );
    for (columns, rows) in [(80, 24), (60, 20)] {
        for keys in ["", "r", "esc"] {
            let drawn = text(&resized(&driven(state.clone(), keys), columns, rows));
            let words = drawn.split_whitespace().collect::<Vec<_>>().join(" ");
            let said = words.replace("\" \"", "");
            assert!(said.contains("Ready by 20 Apr, board petrel-p4"), "{drawn}");
        }
    }
    check("ready_by", &driven(state, "r '2026-05-01'"));
}

#[test]
fn home_says_what_it_takes_to_be_back_after_an_absence() {
    let mut home = sample::home();
    home.away = plan_lines::way_back(&sample_plan::recovery());
    let state = told(State::new(80, 24), vec![Msg::Home(Ok(Box::new(home)))]);
    check("home_away", &state);
    let drawn = text(&resized(&state, 60, 20));
    assert!(drawn.contains("You were away 14 days"), "{drawn}");
}

#[test]
fn gaps_pages() {
    check("gap_cards", &driven(at_gaps(), "up up enter"));
    check("gap_pairs", &driven(at_gaps(), "m"));
    let mut state = at_gaps();
    play(&mut state, &mut Bench::new(), "s");
    check("measure", &state);
}

#[test]
fn a_share_that_says_too_little_is_never_a_number() {
    for (columns, rows) in [(80, 24), (60, 20), (40, 10), (200, 60)] {
        for state in [at_home(), at_gaps()] {
            let text = text(&resized(&state, columns, rows));
            for line in text.lines().filter(|l| l.contains("not enough yet")) {
                assert!(!line.contains(['●', '%']), "{columns}x{rows}\n{text}");
            }
            // 5 of 9 would be 56 %.
            assert!(!text.contains("56"), "{columns}x{rows}\n{text}");
        }
    }
}

#[test]
fn the_gaps_tell_their_numbers_without_colour_and_in_a_small_window() {
    let state = resized(&driven(at_gaps(), "up up"), 40, 20);
    let text = text(&state);
    assert!(text.contains("41 (23 to 61)"), "{text}");
    assert!(text.contains("lower than the rest"), "{text}");
}

/// Plays `script` from home with a bench behind the screen.
pub(super) fn archive_after(script: &str) -> (State, Bench) {
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, script);
    (state, bench)
}

#[test]
fn the_closed_jobs() {
    check("jobs_list", &archive_after("j down down").0);
}

#[test]
fn the_closed_jobs_with_the_search_line() {
    check("jobs_search", &archive_after("j s 'no charge'").0);
}

#[test]
fn jobs_that_were_found() {
    check("jobs_found", &archive_after("j s 'u31' enter").0);
}

#[test]
fn one_job_whole() {
    check("jobs_one", &archive_after("j enter").0);
}

#[test]
fn the_follow_up_list() {
    check("jobs_follow_up", &archive_after("j h down").0);
}

#[test]
fn a_repair_that_held_is_written_at_once() {
    check("jobs_held", &archive_after("j h y").0);
}

#[test]
fn a_return_is_asked_as_which_job_and_why() {
    check("jobs_returned_as", &archive_after("j h r").0);
    check("jobs_return_cause", &archive_after("j h r enter down").0);
}

#[test]
fn a_list_of_a_hundred_thousand_jobs_draws_only_what_is_in_sight() {
    let mut listing = sample::listing(1);
    let one = listing.rows[0].clone();
    listing.rows = (0..100_000)
        .map(|n| crate::app::jobs::JobRow {
            number: format!("W-{n}"),
            ..one.clone()
        })
        .collect();
    listing.of = listing.rows.len();
    let mut state = told(at_home(), vec![Msg::Archive(Ok(listing))]);
    drive(&mut state, "pgdn pgdn down");
    assert!(text(&state).contains("[W-29]"), "{}", text(&state));
    assert!(!text(&state).contains("W-90 "));
    assert!(text(&state).contains("30 of 100000"));
}

#[test]
fn a_jobs_text_cannot_steer_the_terminal() {
    let mut listing = sample::listing(2);
    listing.rows[0].number = "W-\u{1b}[31m".to_owned();
    listing.rows[0].board = "b\u{9b}2J".to_owned();
    listing.rows[0].fix = "Replace \u{202e}13U".to_owned();
    let state = told(at_home(), vec![Msg::Archive(Ok(listing))]);
    for (columns, rows) in [(80, 24), (60, 20), (200, 60)] {
        let text = text(&resized(&state, columns, rows));
        assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{text}");
        assert!(!text.contains('\u{202e}'));
    }
}

#[test]
fn the_rows_that_wait() {
    check("intake_list", &archive_after("i").0);
}

#[test]
fn one_row_beside_the_job_read_of_it() {
    check("intake_row", &archive_after("i enter").0);
    check("intake_row_twice", &archive_after("i up up enter").0);
}

#[test]
fn a_field_said_anew_shows_what_is_read() {
    check("intake_mend", &archive_after("i enter r 'replaced U31'").0);
    check("intake_mend_unread", &archive_after("i enter r 'q'").0);
}

#[test]
fn the_questions_about_a_row() {
    check("intake_same", &archive_after("i enter m 'W-014' down").0);
    check("intake_skip", &archive_after("i enter s tab").0);
    check("intake_split", &archive_after("i enter x down 2 b").0);
}

#[test]
fn a_rows_text_cannot_steer_the_terminal() {
    let mut page = sample_intake::page(3);
    page.cells[0].1[0].text = "W\u{1b}[31m\u{202e}".to_owned();
    let (mut state, mut bench) = (at_home(), Bench::new());
    play(&mut state, &mut bench, "i enter");
    let state = told(state, vec![Msg::IntakeRow(Ok(Some(Box::new(page))))]);
    for (columns, rows) in [(80, 24), (60, 20), (200, 60)] {
        let text = text(&resized(&state, columns, rows));
        assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{text}");
    }
}

#[test]
fn what_is_missing_and_doubtful_is_told_without_colour() {
    let text = text(&archive_after("i enter").0);
    for words in [
        "MISSING: no circuit",
        "perhaps: standby?",
        "▸1 replaced reg",
        "▸2 Outcome:",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
}

#[test]
fn why_a_card_comes_now_and_the_time_left_stand_whole_at_every_size() {
    let mut view = sample::circuit();
    let front = view.front.as_mut().expect("a front");
    front.mark = "new to you; not yet signed".to_owned();
    for (columns, rows) in [(80, 24), (60, 20), (200, 60)] {
        let text = text(&resized(&drilling(view.clone()), columns, rows));
        assert!(text.contains("new to you; not yet signed"), "{text}");
        assert!(text.contains("about 9 min left"), "{text}");
    }
    check("circuit_not_signed", &drilling(view));
}
