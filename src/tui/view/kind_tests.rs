//! Cards of every kind, before and after the answer, as the program itself words them (invented).

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use ratatui::Terminal;
use ratatui::backend::TestBackend;

use crate::app::face;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Side;
use crate::domain::card::Step;
use crate::domain::circuit::Circuits;
use crate::domain::history::Pace;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::queue::Ask;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::samples;
use crate::domain::sitting::Said;
use crate::domain::sitting::Setup;
use crate::domain::sitting::Sitting;
use crate::domain::sitting::Stage;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::script::drive;
use crate::tui::script::told;
use crate::tui::state::Place;
use crate::tui::state::State;
use crate::tui::view::screen::draw;

fn sitting(card: Card) -> Sitting {
    Sitting::new(Setup {
        id: "b7-mk-1".to_owned(),
        cards: vec![card],
        boards: Vec::new(),
        circuits: Circuits::with_shop(&[], false),
        words: Synonyms::with_shop(&BTreeMap::new()),
        asks: vec![Ask {
            card: 0,
            mode: Mode::Drill,
            opens_family: false,
            again: false,
            spare: false,
        }],
        minutes: 9.0,
        pace: Pace::default(),
        reviews: BTreeMap::new(),
        options: BTreeMap::new(),
        offered: BTreeSet::new(),
        met: BTreeSet::new(),
        corrected: BTreeMap::new(),
    })
}

fn state(sitting: &Sitting, size: (u16, u16)) -> State {
    let view = face::drill_view(sitting, None, "");
    told(
        State::new(80, 24),
        vec![Msg::Drill(Ok(Box::new(view))), Msg::Resize(size.0, size.1)],
    )
}

#[track_caller]
fn check(name: &str, card: Card, said: &str) {
    let mut sitting = sitting(card);
    for moment in ["asked", "verdict"] {
        if moment == "verdict" {
            if *sitting.stage() == Stage::Circuit {
                sitting.say_circuit("buck", 3000);
            }
            sitting.say_fix(&Said::Typed(said.to_owned()), Sure::Fair, 9000);
        }
        for size in [(80, 24), (60, 20), (120, 40)] {
            let (columns, rows) = size;
            let mut terminal =
                Terminal::new(TestBackend::new(columns, rows)).expect("a test backend");
            let state = state(&sitting, size);
            terminal
                .draw(|frame| draw(&state, frame))
                .expect("a test backend draws");
            insta::assert_snapshot!(
                format!("{name}_{moment}_{columns}x{rows}"),
                terminal.backend()
            );
        }
    }
}

fn rail(place: &str, verdict: &str, got: f64, good: f64) -> Finding {
    let mut finding = Finding::new(FindingKind::Rail, place);
    finding.code = Some(verdict.to_owned());
    finding.got = Some(got);
    finding.good = Some(good);
    finding.state = Some("standby".to_owned());
    finding
}

fn draw_of(code: &str, amps: f64) -> Finding {
    let mut finding = Finding::new(FindingKind::Current, "");
    finding.code = Some(code.to_owned());
    finding.got = Some(amps);
    finding.supply_v = Some(12.0);
    finding.state = Some("standby".to_owned());
    finding
}

fn answer(act: &str, part: &str, name: &str) -> Answer {
    Answer {
        steps: vec![Step {
            act: act.to_owned(),
            part: part.to_owned(),
            name: Some(name.to_owned()),
        }],
        also: Vec::new(),
    }
}

fn share(k: usize, n: usize, low: f64, high: f64) -> Share {
    Share {
        k,
        n,
        proved: k,
        low,
        high,
    }
}

fn rule() -> Card {
    Card {
        cautions: vec!["cell-first".to_owned()],
        why: "Cleaning takes away what tells where the liquid went.".to_owned(),
        ..samples::rule("r")
    }
}

fn contrast() -> Card {
    let side = |family: &str, vsys: f64, verdict: &str, answer: Answer| Side {
        family: family.to_owned(),
        complaint: vec!["no-power".to_owned()],
        front: vec![
            draw_of("cycling", 0.118),
            rail("3V3_SB", "low", 0.41, 3.3),
            Finding::new(FindingKind::Signal, "PGOOD"),
        ],
        separates: vec![rail("VSYS", verdict, vsys, 8.4)],
        answer,
        jobs: vec!["W-0412".to_owned()],
    };
    Card {
        kind: CardKind::Contrast,
        stem: "Two boards that look alike. Which one finding separates A from B, and what fixed \
               each?"
            .to_owned(),
        points: vec![
            samples::point("VSYS tells them apart", &[&["vsys"]]),
            samples::point("A: replace U31", &[&["u31"]]),
            samples::point("B: replace L12", &[&["l12"]]),
        ],
        complaint: Vec::new(),
        front: Vec::new(),
        deciding: Vec::new(),
        answers: Vec::new(),
        sides: vec![
            side(
                "standby",
                8.38,
                "in-band",
                answer("replace", "U31", "standby switcher"),
            ),
            side("buck", 2.1, "low", answer("replace", "L12", "system coil")),
        ],
        share: share(11, 12, 0.6461, 0.9851),
        cautions: vec!["cell-first".to_owned()],
        ..samples::card("x", "standby", "U31")
    }
}

fn stop() -> Card {
    Card {
        kind: CardKind::Stop,
        stem: "Two hours spent, nothing located; parts would cost a small part of what the board \
               is worth. Go on, or call it?"
            .to_owned(),
        points: vec![
            samples::point("call it: stop here", &[&["stop", "call it"]]),
            samples::point(
                "the processor or its memory is dead",
                &[&["processor", "cpu"]],
            ),
        ],
        front: vec![
            draw_of("stuck", 0.04),
            rail("VSYS", "in-band", 8.38, 8.4),
            rail("VCORE", "in-band", 0.9, 0.9),
        ],
        deciding: vec![2],
        answers: Vec::new(),
        sums: [
            "Board: worth three to five hours at the bench.",
            "Spent: more than two hours; gone either way, it does not enter.",
            "Like jobs that took so long: 5 jobs, 1 of them fixed.",
            "Replace U5, the core phase driver: 1 in 6; work half an hour to an hour, parts worth \
             under a quarter of an hour.",
            "Going on brings half an hour to an hour (value times chance) and costs one to two hours: \
             call it.",
        ]
        .map(str::to_owned)
        .to_vec(),
        share: share(4, 6, 0.3, 0.9032),
        ..samples::card("s", "processor", "U1")
    }
}

fn caution() -> Card {
    Card {
        kind: CardKind::Caution,
        stem: "It looked fixed: reflow L12. It came back. What was missed?".to_owned(),
        front: vec![draw_of("cycling", 0.118), rail("3V3_SB", "low", 0.41, 3.3)],
        deciding: vec![1],
        answers: vec![answer("replace", "U31", "standby switcher")],
        share: share(2, 3, 0.2077, 0.9385),
        bounced: 1,
        ..samples::card("c", "standby", "U31")
    }
}

#[test]
fn a_bench_rule() {
    check("rule", rule(), "cell out and photos");
}

#[test]
fn two_look_alikes() {
    check(
        "contrast",
        contrast(),
        "VSYS; A replace U31, B the coil L12",
    );
}

#[test]
fn two_look_alikes_with_what_separates_them() {
    let card = Card {
        stem: "Two boards that look alike but for one finding. What fixed A, and what fixed B?"
            .to_owned(),
        points: vec![
            samples::point("VSYS in band: replace U31", &[&["u31"]]),
            samples::point("VSYS low: replace L12", &[&["l12"]]),
        ],
        given: true,
        why:
            "replace U31: VSYS in band in 6 of 6; replace L12: VSYS low in 5 of 6; before replace \
              L12, tried in vain: replace U31 (2 of 6 jobs); after replace L12, came back: 1 of 6 \
              jobs, W-0301, workmanship, then the same once more"
                .to_owned(),
        ..contrast()
    };
    check("given", card, "B: replace U31, A: replace L12");
}

#[test]
fn what_a_fix_shows() {
    let card = Card {
        kind: CardKind::Expect,
        stem: "The fix was: Replace U31, the standby switcher. Which readings or signs had told \
               you so?"
            .to_owned(),
        points: vec![
            samples::point("3V3_SB (standby) low", &[&["3V3_SB"], &["low", "dropped"]]),
            KeyPoint {
                needed: false,
                ..samples::point("draw (standby) cycling", &[&["draw"], &["cycling"]])
            },
        ],
        front: Vec::new(),
        deciding: Vec::new(),
        held_back: vec![rail("3V3_SB", "low", 0.41, 3.3), draw_of("cycling", 0.118)],
        share: share(19, 23, 0.6291, 0.9302),
        why: "3V3_SB (standby) low: 19 of 23 with this fix, 3 of 49 without; draw (standby) cycling: \
              20 of 24 with this fix, 14 of 48 without; runner-up replace C88 would have shown: \
              3V3_SB (standby) absent in 9 of 10; proof: 3V3_SB back at 3.31 V (4 of 24 jobs)"
            .to_owned(),
        ..samples::card("e", "standby", "U31")
    };
    check("expect", card, "draw cycling");
}

#[test]
fn go_on_or_call_it() {
    check("stop", stop(), "stop, the cpu is dead");
}

#[test]
fn which_measurement_now() {
    let card = Card {
        front: vec![draw_of("cycling", 0.118)],
        deciding: Vec::new(),
        share: share(14, 15, 0.7018, 0.9881),
        why: "ohms 3V3_SB to ground (source off): low in 9 of 9 that ended in: replace U31"
            .to_owned(),
        cautions: vec!["lithium".to_owned()],
        ..samples::next("n")
    };
    check("next", card, "volts at 3V3_SB");
}

#[test]
fn it_looked_fixed() {
    check("caution", caution(), "replace U31");
}

#[test]
fn a_pattern_of_several_boards() {
    let card = Card {
        why: "standby: 2 of 3 on Petrel P4 helm display; among all jobs it is 0.14".to_owned(),
        cautions: vec!["mains".to_owned()],
        ..samples::across("x", &["petrel-p4", "tern-h3", "skua-e6"])
    };
    check("across", card, "volts of the always-on rail");
}

#[test]
fn escape_stops_where_no_circuit_was_asked_but_clears_the_line_first() {
    let mut state = state(&sitting(rule()), (80, 24));
    assert_eq!(state.place(), Place::Fix);
    assert_eq!(drive(&mut state, "'cell' esc"), []);
    assert_eq!(drive(&mut state, "esc"), [Effect::Stop]);
    assert_eq!(drive(&mut state, "ctrl-r"), [], "nothing to take back yet");
    assert_eq!(drive(&mut state, "ctrl-f"), [], "no circuit to open");
}

#[test]
fn a_front_never_shows_the_caution_that_a_rule_asks_for() {
    let front = face::front(&rule(), None, "", false);
    assert_eq!(front.cautions, [face::CAUTION_WITH_ANSWER]);
    let back = face::front(&rule(), None, "", true);
    assert_eq!(back.cautions.len(), 1, "it stands first with the answer");
}
