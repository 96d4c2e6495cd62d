//! The examples and laws of `sitting.rs`.

use super::*;
use crate::domain::card::CardKind;
use crate::domain::card::Side;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::queue::Ask;
use crate::domain::review::Mode;
use crate::domain::samples;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// A sitting over cards of three parts, two of them of one family.
fn sitting(minutes: f64) -> Sitting {
    let cards = vec![
        samples::card("a", "standby", "U31"),
        samples::card("b", "buck", "U14"),
        samples::card("c", "standby", "U9"),
    ];
    of(cards, minutes)
}

fn of(cards: Vec<Card>, minutes: f64) -> Sitting {
    Sitting::new(setup(cards, minutes))
}

fn setup(cards: Vec<Card>, minutes: f64) -> Setup {
    let asks = (0..cards.len())
        .map(|card| Ask {
            card,
            mode: Mode::Drill,
            opens_family: false,
            again: false,
            spare: false,
        })
        .collect();
    Setup {
        id: "b7-mk-1".to_owned(),
        cards,
        boards: Vec::new(),
        circuits: Circuits::with_shop(&[], false),
        words: Synonyms::with_shop(&BTreeMap::new()),
        asks,
        minutes,
        pace: Pace::default(),
        reviews: BTreeMap::new(),
        options: BTreeMap::new(),
        offered: BTreeSet::new(),
        met: BTreeSet::new(),
        corrected: BTreeMap::new(),
    }
}

fn answer(sitting: &mut Sitting, circuit: &str, typed: &str, ms: u64) -> Answered {
    sitting.say_circuit(circuit, ms / 2);
    sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, ms / 2);
    let draft = sitting.draft(0).expect("a verdict is shown");
    let id = format!("mk-b7-{}", sitting.tally().cards + 1);
    sitting.kept(&id, &draft);
    draft
}

#[test]
fn grades_follow_circuit_fix_sureness_and_time() {
    let right = Verdict {
        circuit: Some(true),
        fix: Some(true),
        unsafe_answer: false,
    };
    let lost = Verdict {
        circuit: Some(false),
        ..right
    };
    let wrong = Verdict {
        fix: Some(false),
        ..right
    };
    let unsafe_answer = Verdict {
        unsafe_answer: true,
        ..right
    };
    for (verdict, sure, ms, median, grade) in [
        (right, Sure::High, 4000, Some(5000), Grade::OnSight),
        (right, Sure::High, 5000, Some(5000), Grade::Named),
        (right, Sure::Fair, 4000, Some(5000), Grade::Named),
        (right, Sure::Low, 4000, Some(5000), Grade::Hunted),
        (right, Sure::High, 10_001, Some(5000), Grade::Hunted),
        (right, Sure::High, 10_000, Some(5000), Grade::Named),
        (lost, Sure::High, 4000, Some(5000), Grade::Hunted),
        (wrong, Sure::High, 4000, Some(5000), Grade::Missed),
        (unsafe_answer, Sure::High, 4000, Some(5000), Grade::Missed),
        (right, Sure::High, 900_000, None, Grade::OnSight),
        (right, Sure::Fair, 900_000, None, Grade::Named),
    ] {
        assert_eq!(
            propose(&verdict, false, sure, ms, median),
            grade,
            "{verdict:?} {sure:?} {ms}"
        );
    }
}

#[test]
fn a_missed_card_comes_back_once_near_the_end() {
    let mut sitting = sitting(15.0);
    assert_eq!(
        answer(&mut sitting, "standby", "replace U13", 8000).grade,
        Grade::Missed
    );
    let mut asked = Vec::new();
    while let Some(card) = sitting.card().cloned() {
        asked.push((card.id.clone(), sitting.ask().expect("an ask").again));
        let part = card.answers[0].steps[0].part.clone();
        let typed = if card.id == "a" {
            "U99".to_owned()
        } else {
            format!("replace {part}")
        };
        answer(&mut sitting, &card.family, &typed, 8000);
    }
    let expected = [("b", false), ("a", true), ("c", false)];
    assert_eq!(asked, expected.map(|(id, again)| (id.to_owned(), again)));
}

#[test]
fn a_sitting_ends_when_its_minutes_are_out() {
    let mut sitting = sitting(1.0);
    answer(&mut sitting, "standby", "replace U31", 58_000);
    assert_eq!(*sitting.stage(), Stage::Over);
    assert_eq!(sitting.tally().cards, 1);
}

#[test]
fn a_contributing_circuit_counts_as_right() {
    let mut sitting = sitting(15.0);
    sitting.setup.cards[0]
        .contributing
        .push("interconnect".to_owned());
    let draft = answer(&mut sitting, "interconnect", "replace U31", 8000);
    assert_eq!(draft.verdict.circuit, Some(true));
    assert_eq!(
        draft.circuit,
        Some(("standby".to_owned(), "interconnect".to_owned()))
    );
}

#[test]
fn an_unsafe_answer_stays_missed_whatever_is_tried() {
    let mut sitting = sitting(15.0);
    sitting.say_circuit("standby", 1000);
    let typed = Said::Typed("replace U31 and bridge the fuse".to_owned());
    sitting.say_fix(&typed, Sure::High, 1000);
    assert!(!sitting.overrule());
    assert!(!sitting.set_grade(Grade::Named));
    let draft = sitting.draft(0).expect("a verdict");
    assert!(draft.verdict.unsafe_answer);
    assert_eq!(
        (draft.grade, draft.verdict.fix),
        (Grade::Missed, Some(false))
    );
}

#[test]
fn a_person_may_overrule_a_verdict_and_that_is_recorded() {
    let mut sitting = sitting(15.0);
    sitting.say_circuit("standby", 1000);
    sitting.say_fix(
        &Said::Typed("the chip in the corner".to_owned()),
        Sure::Fair,
        1000,
    );
    assert_eq!(sitting.draft(0).expect("a verdict").grade, Grade::Missed);
    assert!(sitting.overrule());
    let draft = sitting.draft(0).expect("a verdict");
    assert_eq!((draft.grade, draft.overruled), (Grade::Named, true));
}

#[test]
fn said_aloud_the_person_judges_the_fix_and_the_program_the_circuit() {
    let mut sitting = sitting(15.0);
    sitting.say_circuit("buck", 1000);
    sitting.say_fix(&Said::Aloud, Sure::High, 1000);
    let shown = sitting.shown().expect("a verdict").clone();
    assert_eq!(shown.draft.verdict.circuit, Some(false));
    assert_eq!(shown.draft.proposed, Grade::Hunted);
    assert!(shown.boundary.is_some(), "standby against buck has a rule");
    assert!(sitting.set_grade(Grade::Missed));
    let draft = sitting.draft(0).expect("a verdict");
    assert!(draft.aloud);
    assert_eq!(draft.verdict.fix, None, "the program judged nothing");
}

#[test]
fn circuits_without_a_rule_of_their_own_are_told_apart_by_their_signs() {
    for (said, signs) in [
        ("sensing", &["standby:", "sensing:"][..]),
        ("", &["standby:"]),
    ] {
        let mut sitting = sitting(15.0);
        sitting.say_circuit(said, 1000);
        sitting.say_fix(&Said::Aloud, Sure::High, 1000);
        let shown = sitting.shown().expect("a verdict");
        let boundary = shown.boundary.as_deref().unwrap_or_default();
        assert!(signs.iter().all(|s| boundary.contains(s)), "{boundary}");
    }
}

#[test]
fn undo_goes_back_step_by_step_to_the_start() {
    let mut sitting = sitting(15.0);
    let start = sitting.card().cloned();
    answer(&mut sitting, "standby", "replace U13", 8000);
    answer(&mut sitting, "buck", "replace U14", 8000);
    assert_eq!(sitting.last_event(), Some("mk-b7-2"));
    sitting.undone();
    assert_eq!(sitting.card().map(|c| c.id.as_str()), Some("b"));
    assert_eq!(sitting.tally().missed, 1);
    sitting.undone();
    assert_eq!(sitting.card().cloned(), start);
    assert_eq!(*sitting.tally(), Tally::default());
    assert_eq!(sitting.last_event(), None);
    assert!(!sitting.can_undo());
}

#[test]
fn a_tagged_card_does_not_come_back() {
    let mut sitting = sitting(15.0);
    answer(&mut sitting, "standby", "replace U13", 8000);
    sitting.tagged("mk-b7-2");
    let asked = |sitting: &Sitting| sitting.card().map(|c| c.id.clone());
    assert_eq!(
        asked(&sitting).as_deref(),
        Some("c"),
        "b is gone, a was asked just now"
    );
    answer(&mut sitting, "standby", "replace U9", 8000);
    assert_eq!(
        asked(&sitting).as_deref(),
        Some("a"),
        "missed, so asked again"
    );
    sitting.tagged("mk-b7-4");
    assert_eq!(*sitting.stage(), Stage::Over);
}

/// A sitting that begins with a bench rule, then asks about a fix.
fn with_a_rule() -> Sitting {
    let cards = vec![samples::rule("r"), samples::card("b", "buck", "U14")];
    of(cards, 15.0)
}

#[test]
fn a_pattern_over_boards_asks_for_any_circuit_of_the_shop_and_then_the_measurement() {
    for (circuit, typed, sure, verdict, grade) in [
        (
            "standby",
            "always-on rail volts",
            Sure::High,
            (true, true),
            Grade::OnSight,
        ),
        (
            "buck",
            "always-on rail volts",
            Sure::High,
            (false, true),
            Grade::Hunted,
        ),
        (
            "standby",
            "swap U31",
            Sure::High,
            (true, false),
            Grade::Missed,
        ),
    ] {
        let card = samples::across("x", &["petrel-p4", "tern-h3", "skua-e6"]);
        let mut sitting = of(vec![card], 15.0);
        assert_eq!(*sitting.stage(), Stage::Circuit);
        assert_eq!(sitting.choices().len(), sitting.circuits().all().len());
        sitting.say_circuit(circuit, 1000);
        sitting.say_fix(&Said::Typed(typed.to_owned()), sure, 1000);
        let draft = sitting.draft(0).expect("a verdict");
        assert_eq!(
            (draft.verdict.circuit, draft.verdict.fix),
            (Some(verdict.0), Some(verdict.1)),
            "{circuit} {typed}"
        );
        assert_eq!(draft.grade, grade, "{circuit} {typed}");
    }
}

#[test]
fn a_rule_is_asked_without_a_circuit_and_graded_by_its_points() {
    for (typed, sure, fix, grade) in [
        (
            "cell out, photos, microscope",
            Sure::High,
            true,
            Grade::OnSight,
        ),
        (
            "cell out, photos, microscope",
            Sure::Fair,
            true,
            Grade::Named,
        ),
        (
            "photos, then the microscope",
            Sure::High,
            false,
            Grade::Hunted,
        ),
        ("photos", Sure::High, false, Grade::Missed),
    ] {
        let mut sitting = with_a_rule();
        assert_eq!(*sitting.stage(), Stage::Fix);
        sitting.say_circuit("buck", 1000);
        assert_eq!(sitting.said_circuit(), None, "nobody asked");
        sitting.say_fix(&Said::Typed(typed.to_owned()), sure, 4000);
        let draft = sitting.draft(0).expect("a verdict");
        assert_eq!((draft.circuit, draft.verdict.circuit), (None, None));
        assert_eq!(
            (draft.verdict.fix, draft.proposed),
            (Some(fix), grade),
            "{typed}"
        );
    }
}

#[test]
fn a_measurement_is_asked_without_a_circuit_and_judged_by_what_it_tells() {
    for (typed, sure, fix, grade) in [
        ("ohms of 3V3_SB to ground", Sure::High, true, Grade::OnSight),
        ("resistance 3V3_SB", Sure::Fair, true, Grade::Named),
        ("3V3_SB", Sure::High, false, Grade::Hunted),
        ("volts at 3V3_SB", Sure::High, false, Grade::Missed),
        ("replace U31", Sure::High, false, Grade::Missed),
    ] {
        let mut sitting = of(vec![samples::next("n")], 15.0);
        assert_eq!(*sitting.stage(), Stage::Fix);
        sitting.say_fix(&Said::Typed(typed.to_owned()), sure, 4000);
        let shown = sitting.shown().expect("a verdict");
        assert_eq!(
            (shown.draft.verdict.fix, shown.draft.proposed),
            (Some(fix), grade),
            "{typed}: {}",
            shown.note
        );
        assert_eq!(shown.hits.len(), 3, "one for each measurement");
        assert!(shown.judgement.is_none() && !shown.note.is_empty());
    }
    let mut sitting = of(vec![samples::next("n")], 15.0);
    let typed = "ohms of 3V3_SB with the fuse bridged";
    sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, 4000);
    assert!(sitting.shown().expect("a verdict").danger.is_some());
    assert!(!sitting.overrule());
}

#[test]
fn a_card_over_several_boards_asks_for_the_next_step_by_its_points() {
    let mut card = samples::next("n");
    card.tests.clear();
    card.suspects.clear();
    card.points = vec![samples::point("the standby rail", &[&["standby"]])];
    let mut sitting = of(vec![card], 15.0);
    sitting.say_fix(
        &Said::Typed("the standby rail".to_owned()),
        Sure::Fair,
        4000,
    );
    let shown = sitting.shown().expect("a verdict");
    assert_eq!(
        (shown.draft.verdict.fix, shown.hits.as_slice()),
        (Some(true), &[true][..])
    );
}

#[test]
fn a_right_answer_with_a_sentence_that_nobody_judged_shows_it_and_stays_right() {
    for (typed, unjudged) in [
        ("replace U14", None),
        (
            "replace U14. Then rub it with a marmot.",
            Some("Then rub it with a marmot"),
        ),
    ] {
        let mut sitting = of(vec![samples::card("b", "buck", "U14")], 15.0);
        sitting.say_circuit("buck", 1000);
        sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, 4000);
        let shown = sitting.shown().expect("a verdict");
        assert_eq!(shown.draft.verdict.fix, Some(true), "{typed}");
        assert_eq!(shown.unjudged.as_deref(), unjudged);
    }
    // What is not right is not said to be right of the rest.
    let mut sitting = of(vec![samples::card("b", "buck", "U14")], 15.0);
    sitting.say_circuit("buck", 1000);
    let typed = "replace C9. Then rub it with a marmot.";
    sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, 4000);
    assert_eq!(sitting.shown().expect("a verdict").unjudged, None);
}

#[test]
fn the_points_named_are_shown() {
    let mut sitting = with_a_rule();
    sitting.say_fix(&Said::Typed("pictures of it".to_owned()), Sure::Fair, 4000);
    let shown = sitting.shown().expect("a verdict");
    assert_eq!(shown.hits, [false, true, false]);
    assert!(shown.judgement.is_none(), "no repair was judged");
    let mut sitting = with_a_rule();
    sitting.say_fix(&Said::Aloud, Sure::Fair, 4000);
    let shown = sitting.shown().expect("a verdict");
    assert_eq!((shown.draft.verdict.fix, shown.hits.len()), (None, 0));
}

#[test]
fn an_unsafe_answer_in_words_is_missed_and_stays_so() {
    let mut sitting = with_a_rule();
    let typed = "cell out, photos, microscope, then bridge the fuse";
    sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::High, 4000);
    assert_eq!(sitting.draft(0).expect("a verdict").proposed, Grade::Missed);
    assert!(sitting.shown().expect("a verdict").danger.is_some());
    assert!(!sitting.overrule());
    assert!(!sitting.set_grade(Grade::Hunted));
}

#[test]
fn overruling_half_an_answer_makes_it_right_and_back_again() {
    let mut sitting = with_a_rule();
    let typed = Said::Typed("photos, then the microscope".to_owned());
    sitting.say_fix(&typed, Sure::Fair, 4000);
    assert!(sitting.overrule());
    assert_eq!(sitting.draft(0).expect("a verdict").grade, Grade::Named);
    assert!(sitting.overrule());
    assert_eq!(sitting.draft(0).expect("a verdict").grade, Grade::Hunted);
}

#[test]
fn undo_steps_back_through_a_card_without_a_circuit() {
    let mut sitting = with_a_rule();
    assert!(!sitting.back_within_card(), "nothing was said yet");
    assert!(!sitting.can_undo());
    sitting.say_fix(&Said::Aloud, Sure::Fair, 4000);
    assert!(sitting.can_undo());
    assert!(sitting.back_within_card());
    assert_eq!(*sitting.stage(), Stage::Fix);
    assert!(!sitting.back_within_card(), "back at its only question");
    sitting.say_fix(&Said::Aloud, Sure::Fair, 4000);
    let draft = sitting.draft(0).expect("a verdict");
    sitting.kept("mk-b7-1", &draft);
    assert_eq!(*sitting.stage(), Stage::Circuit, "the fix asks for one");
    assert!(!sitting.back_within_card());
    sitting.undone();
    assert_eq!(*sitting.stage(), Stage::Fix);
    assert_eq!(sitting.card().map(|c| c.id.as_str()), Some("r"));
}

/// A look-alike card that shows what separates its sides: A is U31 and low, B is C88 and in band.
fn given() -> Card {
    let side = |part: &str, verdict: &str| Side {
        family: "standby".to_owned(),
        complaint: Vec::new(),
        front: Vec::new(),
        separates: vec![Finding {
            code: Some(verdict.to_owned()),
            ..Finding::new(FindingKind::Rail, "3V3_SB")
        }],
        answer: samples::card("x", "standby", part).answers[0].clone(),
        jobs: Vec::new(),
    };
    Card {
        kind: CardKind::Contrast,
        sides: vec![side("U31", "low"), side("C88", "in-band")],
        points: vec![
            samples::point("low: replace U31", &[&["U31"]]),
            samples::point("in band: replace C88", &[&["C88"]]),
        ],
        answers: Vec::new(),
        given: true,
        ..samples::card("g", "standby", "")
    }
}

#[test]
fn a_fix_on_the_wrong_side_is_missed_in_either_direction() {
    let verdict = |card: &Card, typed: &str| {
        let mut sitting = of(vec![card.clone()], 9.0);
        sitting.say_fix(&Said::Typed(typed.to_owned()), Sure::Fair, 4000);
        let shown = sitting.shown().expect("a verdict").clone();
        (shown.draft.verdict.fix, shown.note)
    };
    let swapped = |note: &str| (Some(false), note.to_owned());
    let right = (Some(true), String::new());
    let given = given();
    assert_eq!(verdict(&given, "A: replace U31, B: replace C88"), right);
    let note = "the two fixes are swapped";
    assert_eq!(
        verdict(&given, "B: replace U31, A: replace C88"),
        swapped(note)
    );
    let mut asked = given;
    asked.given = false;
    asked
        .points
        .insert(0, samples::point("3V3_SB", &[&["3V3_SB"]]));
    assert_eq!(
        verdict(&asked, "3V3_SB; replace U31 and replace C88"),
        right
    );
    assert_eq!(verdict(&asked, "3V3_SB low: U31, normal: C88"), right);
    assert_eq!(
        verdict(&asked, "3V3_SB low: C88, normal: U31"),
        swapped(note)
    );
}

#[test]
fn the_marks_of_a_card_are_those_of_the_deck_however_its_readings_stand() {
    let card = Card {
        front: vec![
            Finding::new(FindingKind::Current, ""),
            Finding::new(FindingKind::Rail, "3V3_SB"),
            Finding::new(FindingKind::Signal, "PGOOD"),
        ],
        ..samples::card("a", "standby", "U31")
    };
    let mut fronts = BTreeSet::new();
    for n in 0..3 {
        let mut sitting = Sitting::new(Setup {
            reviews: BTreeMap::from([("a".to_owned(), n)]),
            ..setup(vec![card.clone()], 9.0)
        });
        fronts.insert(sitting.card().expect("a card").front[0].kind);
        let first = answer(&mut sitting, "standby", "dunno", 4000);
        assert_eq!(first.asked, card.asked_mark());
        // Missed, so asked again: it begins with something else.
        fronts.insert(sitting.card().expect("again").front[0].kind);
    }
    assert_eq!(fronts.len(), 3, "each kind of reading stood first");
}

#[test]
fn choices_stand_there_only_where_offered_and_a_number_names_one() {
    let card = samples::card("a", "standby", "U31");
    let choices = vec![
        samples::card("o", "standby", "C19").answers[0].clone(),
        card.answers[0].clone(),
        samples::card("p", "standby", "L12").answers[0].clone(),
    ];
    let begin = |offered: &[&str], mode: Mode| {
        let mut setup = Setup {
            options: BTreeMap::from([("a".to_owned(), choices.clone())]),
            offered: offered.iter().map(|id| (*id).to_owned()).collect(),
            ..setup(vec![card.clone()], 9.0)
        };
        setup.asks[0].mode = mode;
        Sitting::new(setup)
    };
    let mut sitting = begin(&["a"], Mode::Drill);
    assert_eq!(sitting.options().len(), 3);
    let draft = answer(&mut sitting, "standby", "2", 4000);
    assert_eq!(
        (draft.typed.as_str(), draft.verdict.fix),
        ("replace U31", Some(true))
    );
    assert_eq!(draft.options, 3, "a pick is told from a free answer");
    assert!(begin(&["a"], Mode::SpotCheck).options().is_empty());
    let mut free = begin(&[], Mode::Drill);
    assert!(free.options().is_empty());
    let draft = answer(&mut free, "standby", "2", 4000);
    assert_eq!(
        (draft.typed.as_str(), draft.verdict.fix, draft.options),
        ("2", Some(false), 0)
    );
    assert_eq!(free.options().len(), 3, "missed just now");
}
