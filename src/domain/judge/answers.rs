//! The typed answers that hold the judging by key points: our own, common practice, no source.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::job::Board;
use crate::domain::job::Part;
use crate::domain::judge::compare::keypoints::Judgement;
use crate::domain::judge::compare::keypoints::Point;
use crate::domain::judge::compare::keypoints::judge;
use crate::domain::judge::read::words::Synonyms;
use proptest::prelude::*;
use std::collections::BTreeMap;

fn step(act: &str, part: &str) -> Step {
    Step {
        act: act.to_owned(),
        part: part.to_owned(),
        name: None,
    }
}

/// An answer of these acts and parts.
pub(in crate::domain::judge) fn answer(steps: &[(&str, &str)]) -> Answer {
    Answer {
        steps: steps.iter().map(|(act, part)| step(act, part)).collect(),
        also: Vec::new(),
    }
}

/// A card that asks for a repair.
pub(in crate::domain::judge) fn card(answers: Vec<Answer>) -> Card {
    Card {
        id: "c".to_owned(),
        board: "petrel-p4".to_owned(),
        revs: vec!["C".to_owned()],
        family: "standby".to_owned(),
        answers,
        share: Share {
            k: 7,
            n: 9,
            proved: 6,
            low: 0.453,
            high: 0.937,
        },
        support: Support::Supported,
        ..Card::blank(CardKind::Fix)
    }
}

/// A part of an invented board.
pub(in crate::domain::judge) fn part(name: &str) -> Part {
    Part {
        name: name.to_owned(),
        rail: None,
        family: None,
        revs: Vec::new(),
    }
}

/// An invented board of these parts, each with its name.
pub(in crate::domain::judge) fn board_of(parts: &[(&str, &str)]) -> Board {
    let parts = parts.iter();
    Board {
        id: "petrel-p4".to_owned(),
        name: "Petrel P4".to_owned(),
        kind: "display".to_owned(),
        revisions: Vec::new(),
        safety: Vec::new(),
        families: Vec::new(),
        parts: parts.map(|(d, n)| ((*d).to_owned(), part(n))).collect(),
        good: Vec::new(),
    }
}

/// An invented board.
pub(in crate::domain::judge) fn board() -> Board {
    let part = |name: &str, rail: &str| Part {
        rail: Some(rail.to_owned()),
        ..part(name)
    };
    Board {
        id: "petrel-p4".to_owned(),
        name: "Petrel P4 helm display".to_owned(),
        kind: "display".to_owned(),
        revisions: Vec::new(),
        safety: Vec::new(),
        families: Vec::new(),
        parts: BTreeMap::from([
            ("U31".to_owned(), part("standby switcher", "3V3_SB")),
            ("U9".to_owned(), part("main buck controller", "5V")),
            ("U13".to_owned(), part("display buck", "3V3_DISP")),
            ("C88".to_owned(), part("standby output capacitor", "3V3_SB")),
            (
                "C90".to_owned(),
                part("display output capacitor", "3V3_DISP"),
            ),
            ("F1".to_owned(), part("inlet fuse", "12V_IN")),
            ("J2".to_owned(), part("supply connector", "12V_IN")),
            ("U14".to_owned(), part("boot flash", "3V3_SYS")),
            ("Y1".to_owned(), part("processor crystal", "")),
            ("Q5".to_owned(), part("backlight switch", "")),
            ("U40".to_owned(), part("CAN transceiver", "")),
        ]),
        good: Vec::new(),
    }
}

pub(in crate::domain::judge) fn words() -> Synonyms {
    Synonyms::with_shop(&BTreeMap::from([(
        "housekeeper".to_owned(),
        "always on regulator".to_owned(),
    )]))
}

/// What is made of an answer on the invented board.
pub(in crate::domain::judge) fn verdict(typed: &str, card: &Card) -> Judgement {
    judge(typed, card, Some(&board()), &words())
}

#[track_caller]
fn all(card: &Card, right: &[&str], wrong: &[(&str, &str)]) {
    for typed in right {
        let verdict = verdict(typed, card);
        assert!(verdict.fix, "{typed}: {verdict:?}");
    }
    for (typed, note) in wrong {
        let verdict = verdict(typed, card);
        assert!(!verdict.fix, "{typed}: {verdict:?}");
        assert_eq!(verdict.note, *note, "{typed}");
    }
}

#[test]
fn one_part_is_known_by_designator_or_function_in_any_wording() {
    all(
        &card(vec![answer(&[("replace", "U31")])]),
        &[
            "replace U31",
            "replace u31",
            "REPLACE U 31",
            "swap u31",
            "U31 swapped",
            "u31 needs replacing",
            "I'd renew U31.",
            "fit a new U31",
            "new U31",
            "repl. U31, check C88 before power",
            "replace U31 and check C88",
            "check C88 then replace U31",
            "U31 tested bad, replace it",
            "check U31, replace it if low",
            "not U9, replace U31",
            "not U9 replace U31",
            "replace U31 instead of U9",
            "don't reflow, replace U31",
            "reflow won't last, replace U31",
            "replace U31, not reflow it",
            "remove and replace U31",
            "clean the board and replace U31",
            "clean and replace U31",
            "replace U31 next to U9",
            "replace U31 because C88 is fine",
            "change the standby switcher",
            "replace 3v3 standby reg",
            "swap the always-on regulator",
            "replace the stby reg",
            "replace housekeeper",
            "replace the 3.3 V standby supply",
            "replace U31 on the Petrel P4",
            "probably U31, replace",
        ],
        &[
            ("U31", "right part, act not named"),
            ("IC U31", "right part, act not named"),
            ("standby switcher", "right part, act not named"),
            ("U31 not U9", "right part, act not named"),
            ("the dead standby switcher", "right part, act not named"),
            ("replace U13", "other part"),
            ("replace U311", "other part"),
            ("replace U31A", "other part"),
            ("replace IC31", "other part"),
            ("replace U3 1", "other part"),
            ("reflow U31", "right part, other act"),
            ("clean U31", "right part, other act"),
            ("U31 reflow", "right part, other act"),
            ("U31 or U9", "one fix, not a list"),
            ("replace U31 or U9", "one fix, not a list"),
            ("replace U31, U9, C88", "one fix, not a list"),
            ("replace U31 and the main buck", "one fix, not a list"),
            ("reflow or replace U31", "one act, not a list"),
            ("don't replace U31", "right part, ruled out"),
            ("U31 should not be replaced", "right part, ruled out"),
            ("never swap the standby switcher", "right part, ruled out"),
            ("replace the 3.3 regulator", "which one?"),
            ("replace the buck", "other part"),
            ("replace the standby capacitor", "other part"),
            ("replace the standby ldo", "right act, part not named"),
            ("replace it", "right act, part not named"),
            ("check U31", "no part named"),
            ("", "no answer"),
            ("don't know", "no answer"),
            ("?", "no answer"),
            ("1V8", "no part named"),
        ],
    );
}

#[test]
fn every_step_of_an_answer_is_needed() {
    let card = card(vec![answer(&[("replace", "U31"), ("clean", "J2")])]);
    all(
        &card,
        &[
            "replace U31 and clean J2",
            "clean J2, replace U31",
            "J2 cleaned, U31 swapped",
            "U31 replaced then J2 washed",
            "clean the supply connector and replace the standby switcher",
        ],
        &[
            ("replace U31", "part of it; also needed: Clean J2"),
            ("clean J2", "part of it; also needed: Replace U31"),
            ("replace U31 and J2", "part of it; also needed: Clean J2"),
            ("replace U9", "other part"),
        ],
    );
    let part = verdict("replace U31", &card);
    assert_eq!((part.act, part.part), (Point::Partly, Point::Partly));
}

#[test]
fn lists_and_ranges_are_several_parts() {
    let set = card(vec![answer(&[
        ("replace", "C12"),
        ("replace", "C13"),
        ("replace", "C15"),
    ])]);
    all(
        &set,
        &[
            "replace C12,13+15",
            "C12, C13 and C15 replaced",
            "swap C15/C13/C12",
        ],
        &[
            ("replace C12-C15", "one fix, not a list"),
            ("replace C12,13", "part of it; also needed: Replace C15"),
        ],
    );
    let range = card(vec![answer(&[
        ("reflow", "R4"),
        ("reflow", "R5"),
        ("reflow", "R6"),
    ])]);
    all(
        &range,
        &["reflow R4-R6", "reflow R4 to R6", "R4..6 touched up"],
        &[],
    );
}

#[test]
fn acts_are_understood_in_their_usual_forms() {
    all(
        &card(vec![answer(&[("replace-connector", "J2")])]),
        &["replace connector J2", "replace J2", "new supply connector"],
        &[("reseat J2", "right part, other act")],
    );
    all(
        &card(vec![answer(&[("replace", "J2")])]),
        &["replace connector J2", "swap the plug J2"],
        &[],
    );
    all(
        &card(vec![answer(&[("reprogram-firmware", "U14")])]),
        &[
            "reflash U14",
            "reload firmware",
            "reflash the boot flash",
            "flash U14",
            "reprogram",
        ],
        &[
            ("replace U14", "right part, other act"),
            ("replace the boot flash", "right part, other act"),
            ("reflash U9", "other part"),
        ],
    );
    all(
        &card(vec![answer(&[("replace", "U14")])]),
        &["replace the boot flash", "new flash"],
        &[("reflash the boot flash", "right part, other act")],
    );
    all(
        &card(vec![answer(&[("bridge-or-jumper", "R12")])]),
        &[
            "jumper R12",
            "bridge R12 pad with a jumper",
            "wire link across R12",
            "bodge wire at R12",
        ],
        &[("replace R12", "right part, other act")],
    );
    all(
        &card(vec![answer(&[("rebuild-pad-or-trace", "R12")])]),
        &[
            "rebuild pad at R12",
            "repair the trace at R12 with jumper wire",
        ],
        &[],
    );
    all(
        &card(vec![answer(&[("remove", "C88")])]),
        &["pull C88", "C88 lifted", "take off C88"],
        &[],
    );
    all(
        &card(vec![answer(&[("clean", "")])]),
        &["clean the board", "wash it", "clnd"],
        &[("reflow U31", "other fix")],
    );
}

#[test]
fn another_fix_of_the_same_part_makes_the_act_needed() {
    let mut two = card(vec![answer(&[("replace", "U31")])]);
    two.others = vec![OtherFix {
        steps: vec![step("reflow", "U31")],
        k: 2,
    }];
    all(&two, &["replace U31"], &[("U31", "right part, which act?")]);
    let either = card(vec![
        answer(&[("replace", "U31")]),
        answer(&[("replace", "U9")]),
    ]);
    assert_eq!(verdict("replace U9", &either).matched, Some(1));
    all(
        &either,
        &["replace U31", "U31 or U9 replaced"],
        &[
            ("U31 or U9", "right part, act not named"),
            ("U31", "right part, act not named"),
        ],
    );
}

#[test]
fn what_was_done_the_first_time_may_be_named_beside_what_was_missed() {
    let mut came_back = card(vec![answer(&[("replace", "U31")])]);
    came_back.kind = CardKind::Caution;
    came_back.stem = "First repair: replace U9. It looked fixed, then it came back.".to_owned();
    all(
        &came_back,
        &["replace U31", "replace U9 and U31"],
        &[
            ("replace U9", "other part"),
            ("replace U31 and C88", "one fix, not a list"),
        ],
    );
}

#[test]
fn wordings_of_a_lead_count_as_they_stand() {
    let mut given = card(vec![answer(&[("other", "U31")])]);
    given.answers[0].also = vec!["Dry out under U31 shield".to_owned()];
    all(&given, &["dry out under u31 shield.", "U31"], &[]);
}

#[test]
fn work_of_another_kind_is_named_by_its_own_words_or_by_mending_it() {
    let other = card(vec![answer(&[("other", "ScrnFntNtPrntrFnt=No")])]);
    all(
        &other,
        &[
            "ScrnFntNtPrntrFnt=No",
            "scrnfntntprntrfnt = no",
            "other work on ScrnFntNtPrntrFnt=No",
            "fix ScrnFntNtPrntrFnt=No",
            "correct ScrnFntNtPrntrFnt=No",
        ],
        &[
            ("ScrnFntNtPrntrFnt=Yes", "no part named"),
            ("not ScrnFntNtPrntrFnt=No", "no part named"),
            ("fix PrtSel=No", "no part named"),
        ],
    );
}

#[test]
fn a_function_needs_its_whole_name_where_no_board_is_known() {
    let mut bare = card(vec![answer(&[("replace", "U31")])]);
    bare.answers[0].steps[0].name = Some("standby switcher".to_owned());
    let fix = |typed: &str| judge(typed, &bare, None, &words()).fix;
    assert!(fix("swap the stby switcher"));
    assert!(fix("replace the standby regulator"));
    assert!(!fix("replace the regulator"));
    assert!(!fix("replace the display switcher"));
}

#[test]
fn an_unsafe_answer_is_wrong_whatever_else_it_got_right() {
    let card = card(vec![answer(&[("replace", "U31")])]);
    for typed in [
        "replace U31 and bridge the fuse",
        "replace U31, jumper across F1",
        "replace U31, then bake it in the oven wet with IPA",
    ] {
        let verdict = verdict(typed, &card);
        assert!(!verdict.fix && verdict.matched.is_none(), "{typed}");
        assert!(verdict.unsafe_answer.is_some(), "{typed}");
    }
    let mut taught = card.clone();
    taught.answers[0].also = vec!["bridge the fuse".to_owned()];
    assert!(!verdict("bridge the fuse", &taught).fix);
    assert!(verdict("replace U31, don't bridge the fuse", &card).fix);
}

#[test]
fn shouting_changes_nothing() {
    let card = card(vec![answer(&[("replace", "U31"), ("clean", "J2")])]);
    for typed in [
        "replace u31 and clean j2",
        "don't replace u31",
        "stby reg",
        "bridge f1",
    ] {
        assert_eq!(
            verdict(typed, &card),
            verdict(&typed.to_uppercase(), &card),
            "{typed}"
        );
    }
}

#[test]
fn further_wordings_are_judged_as_a_technician_would() {
    let fix = |typed: &str, card: &Card| verdict(typed, card).fix;
    let one = card(vec![answer(&[("replace", "U31")])]);
    for typed in [
        "Replace U31, then recheck the rail",
        "U31 duff, swap it",
        "swap out u31",
        "new stby regulator",
        "change always on converter",
        "u31 short, replace",
        "replace U31 and test",
        "replace u31 & clean board with ipa",
        "replace standby switcher U31",
        "replace IC U31 standby reg",
        "u31 needs swapping out",
        "replace the 3V3_SB regulator",
        "replace the regulator for standby",
        "replace stby smps",
        "U31 failed, fit new one",
        "fit U31",
        "reflow won't do, U31 needs replacing",
        "first check C88, if fine replace U31",
        "no reflow, replace U31",
        "replace U31; verify 3.3 V",
        "replace U31 - measure 3V3_SB after",
        "remove U31 and fit a new one",
        "lift U31, fit new",
        "pull u31, replace with new part",
        "U31 replaced with known good",
        "replace u31 before powering",
        "desolder and replace U31",
        "clean under U31 and replace it",
        "replace U31 on 3V3_SB",
    ] {
        assert!(fix(typed, &one), "{typed}");
    }
    for typed in [
        "U31 is dead",
        "U31 (standby switcher)",
        "standby reg u31",
        "I think it's U31",
        "u31 gone",
        "3v3sb reg",
        "the housekeeper",
        "not the fuse, U31",
        "replace U30",
        "U13",
        "reball U31",
        "remove U31",
        "swap U31 or reflow it",
        "replace U31 or C88",
        "U31/U9",
        "replace U9 and U31",
        "replace all of U31, U9, U13",
        "reflow U31 then replace U9",
        "don't touch U31",
        "U31 is fine, replace U9",
        "not U31",
        "replace everything",
        "replace regulator",
        "replace the capacitor",
        "regulator",
        "standby",
        "switcher",
        "check U31 and C88",
        "measure U31",
        "leave U31",
        "reprogram U31",
        "it is not U31",
        "replace the 5V regulator",
        "replace the display regulator",
        "replace main buck",
        "jumper U31",
        "U31?? no, U9",
        "replace anything but U31",
        "everything except U31",
        "replace 3V3",
    ] {
        assert!(!fix(typed, &one), "{typed}");
    }
}

#[test]
fn other_acts_and_parts_are_judged_alike() {
    let fix = |typed: &str, card: &Card| verdict(typed, card).fix;
    let capacitor = card(vec![answer(&[("remove", "C88")])]);
    for typed in [
        "remove C88",
        "take C88 off",
        "pull the standby output cap",
        "C88 out",
        "lift C88 and leave off",
        "remove shorted C88",
    ] {
        assert!(fix(typed, &capacitor), "{typed}");
    }
    let link = card(vec![answer(&[("replace", "U40")])]);
    for typed in [
        "replace the CAN transceiver",
        "swap can trx",
        "new CAN xcvr",
        "replace the transceiver",
        "U40 new",
        "replace can driver",
    ] {
        assert!(fix(typed, &link), "{typed}");
    }
    let two = card(vec![answer(&[("replace", "Q5"), ("replace", "F1")])]);
    for typed in [
        "replace Q5 and F1",
        "Q5 + F1",
        "Q5, F1",
        "swap the backlight switch and the inlet fuse",
        "replace F1 after finding Q5 short, replace Q5",
        "Q5 and fuse replaced",
    ] {
        assert!(fix(typed, &two), "{typed}");
    }
    let connector = card(vec![answer(&[("clean", "J2")])]);
    for typed in [
        "clean J2",
        "clean corrosion off J2",
        "wash J2 with ipa",
        "clean residue at J2",
        "clean and reseat J2",
        "clean the supply plug",
        "J2 dirty, clean",
        "remove corrosion from J2",
        "scrub J2 contacts",
    ] {
        assert!(fix(typed, &connector), "{typed}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_text_makes_the_judge_fall_over(
        typed in "\\PC*|[a-zA-Z0-9 ,.+/&'_-]{0,60}|((not|U31|replace|and|or|,|fuse|bridge|it|R4-|C1,2|the) ?){0,14}"
    ) {
        let card = card(vec![answer(&[("replace", "U31")])]);
        let verdict = verdict(&typed, &card);
        prop_assert!(!(verdict.fix && verdict.unsafe_answer.is_some()));
        prop_assert_eq!(verdict.fix, verdict.matched.is_some());
    }

    #[test]
    fn designators_that_differ_never_match(
        asked in "[A-Z]{1,3}[1-9][0-9]{0,3}[A-C]?",
        said in "[A-Z]{1,3}[1-9][0-9]{0,3}[A-C]?",
        known in any::<bool>(),
    ) {
        prop_assume!(asked != said);
        let card = card(vec![answer(&[("replace", &asked)])]);
        let mut board = board();
        if known {
            let part = board.parts["U9"].clone();
            board.parts.insert(said.clone(), part);
        }
        for typed in [format!("replace {said}"), said.to_lowercase(), format!("{said} swapped")] {
            prop_assert!(!judge(&typed, &card, Some(&board), &words()).fix, "{}", typed);
        }
        let typed = format!("replace {}", asked.to_lowercase());
        prop_assert!(judge(&typed, &card, Some(&board), &words()).fix, "{}", typed);
    }

    #[test]
    fn letters_may_be_large_or_small(typed in "[a-zA-Z0-9 ,.+/&'-]{0,50}") {
        let card = card(vec![answer(&[("replace", "U31")])]);
        prop_assert_eq!(verdict(&typed, &card), verdict(&typed.to_ascii_uppercase(), &card));
    }
}
