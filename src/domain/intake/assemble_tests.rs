//! Rows of our own invention, from words to drafts: what is a fact, what is only suggested, what a
//! person is asked.

use crate::domain::intake::draft::Draft;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::RowRead;
use crate::domain::intake::rows_tests::Bench;
use crate::domain::intake::rows_tests::facts;
use crate::domain::intake::rows_tests::flags;
use crate::domain::intake::rows_tests::reasons;
use crate::domain::intake::rows_tests::sheet;
use crate::domain::job::Finding;
use crate::domain::job::Outcome;
use crate::domain::job::When;

/// Reads the only row under `headers`.
#[track_caller]
fn one(headers: &str, row: &str) -> RowRead {
    let mut read = Bench::new().take(&sheet(&format!("{headers}\n{row}")));
    assert_eq!(read.len(), 2);
    read.remove(1)
}

#[track_caller]
fn taken(read: &RowRead) -> &Draft {
    match &read.end {
        End::Taken(draft) => draft,
        other => panic!("{other:?}"),
    }
}

fn maybe(read: &RowRead) -> &Draft {
    match &read.end {
        End::NeedsPerson { suggested, .. } => &suggested.maybe,
        other => panic!("{other:?}"),
    }
}

fn deeds(draft: &Draft) -> Vec<String> {
    let actions = draft.actions.iter();
    actions
        .map(|a| format!("{} {} {}", a.act, a.part, a.role.word()))
        .collect()
}

fn at<'d>(draft: &'d Draft, place: &str) -> &'d Finding {
    draft
        .findings
        .iter()
        .find(|f| f.place == place)
        .expect(place)
}

const USUAL: &str =
    "Job | Board | Rev | Date closed | Tech | Fault | Readings | Fix | Result | Notes";

#[test]
fn a_row_that_says_everything_plainly_is_taken() {
    let read = one(
        USUAL,
        "W-101 | Petrel P4 | C | 14/03/2025 | mk | no power | 61-118mA up/down, 3V3_SB 0.41 | replaced U31 | ok | reflow L12 no help",
    );
    let draft = taken(&read);
    assert_eq!(draft.number.as_deref(), Some("W-101"));
    assert_eq!(
        (draft.board.as_deref(), draft.rev.as_deref()),
        (Some("petrel-p4"), Some("C"))
    );
    assert_eq!(draft.complaint, ["no-power"]);
    let draw = at(draft, "");
    assert_eq!(
        (draw.code.as_deref(), draw.low, draw.high),
        (Some("cycling"), Some(0.061), Some(0.118))
    );
    assert_eq!(at(draft, "3V3_SB").got, Some(0.41));
    let mut done = deeds(draft);
    done.sort();
    assert_eq!(done, ["reflow L12 tried-no-effect", "replace U31 the-fix"]);
    assert_eq!(
        draft.family.as_deref(),
        Some("standby"),
        "by the board's list of parts"
    );
    assert_eq!(
        draft.outcome,
        Some(Outcome::UnknownSoFar),
        "ok on the bench is not held"
    );
    assert_eq!(draft.source.as_deref(), Some("old bay.csv:2"));
    assert_eq!(draft.raw.len(), 10, "every cell is kept: {:?}", draft.raw);
}

#[test]
fn how_it_ended_is_a_fact_only_where_the_words_say_it() {
    for (words, outcome) in [
        ("", Outcome::UnknownSoFar),
        ("works", Outcome::UnknownSoFar),
        ("geht wieder", Outcome::UnknownSoFar),
        ("held 14 months", Outcome::Held),
        ("hält seit 1 Jahr", Outcome::Held),
    ] {
        let row = format!(
            "W-1 | Petrel P4 | C | 14/03/2025 | mk | no power | 3V3_SB 0.41 | replaced U31 | {words} |"
        );
        assert_eq!(taken(&one(USUAL, &row)).outcome, Some(outcome), "{words}");
    }
    for (words, why) in [
        ("waiting for parts", "outcome: not-closed"),
        ("blue", "outcome: outcome-not-read"),
        ("NFF", "outcome: map-explicitly"),
        ("BER", "outcome: fix-and-no-fix"),
        ("came back", "outcome: what-fault"),
    ] {
        let row = format!(
            "W-1 | Petrel P4 | C | 14/03/2025 | mk | no power | 3V3_SB 0.41 | replaced U31 | {words} |"
        );
        let read = one(USUAL, &row);
        assert!(
            reasons(&read).contains(&why.to_owned()),
            "{words}: {:?}",
            reasons(&read)
        );
    }
}

#[test]
fn the_circuit_is_a_fact_by_the_boards_list_and_a_question_otherwise() {
    let headers = "Job | Board | Date closed | Fault | Readings | Fix | Circuit";
    let circuit = |fix: &str, circuit: &str| {
        one(
            headers,
            &format!("W-1 | Petrel P4 | 14/03/2025 | no power | 3V3_SB 0.41 | {fix} | {circuit}"),
        )
    };
    assert_eq!(
        taken(&circuit("replaced U31", "")).family.as_deref(),
        Some("standby")
    );
    let two = circuit("replaced U31 + U4", "");
    assert!(
        reasons(&two).contains(&"family: several-families".to_owned()),
        "{:?}",
        reasons(&two)
    );
    let unlisted = circuit("replaced U99", "");
    assert!(reasons(&unlisted).iter().any(|r| r.starts_with("family: ")));
    assert_eq!(
        taken(&circuit("replaced U99", "buck")).family.as_deref(),
        Some("buck")
    );
    let differs = circuit("replaced U31", "buck");
    assert_eq!(taken(&differs).family.as_deref(), Some("buck"));
    assert!(flags(&differs).contains(&"family: family-differs-from-board".to_owned()));
    let strange = circuit("replaced U99", "bay window");
    assert!(reasons(&strange).contains(&"family: family-not-listed".to_owned()));
}

#[test]
fn acts_and_parts_in_columns_of_their_own_are_put_together() {
    for (headers, cells, expected) in [
        ("Part | Action", "U31 | replaced", "replace U31 the-fix"),
        ("Part | Action", "L12 | reflowed", "reflow L12 the-fix"),
        (
            "Bauteil | Maßnahme",
            "U31 | getauscht",
            "replace U31 the-fix",
        ),
        ("Part replaced", "U31", "replace U31 the-fix"),
        (
            "Fix | RefDes",
            "standby regulator replaced | U31",
            "replace U31 the-fix",
        ),
    ] {
        let read = one(
            &format!("Job | Board | Date closed | Fault | 3V3_SB | {headers}"),
            &format!("W-1 | Petrel P4 | 14/03/2025 | no power | 0.41 | {cells}"),
        );
        assert_eq!(deeds(taken(&read)), [expected], "{headers}: {cells}");
    }
}

#[test]
fn a_part_without_an_act_is_only_a_suggestion() {
    let read = one(
        "Job | Board | Date closed | Fault | 3V3_SB | RefDes",
        "W-1 | Petrel P4 | 14/03/2025 | no power | 0.41 | U31",
    );
    assert!(reasons(&read).contains(&"actions: act-not-said".to_owned()));
    assert!(facts(&read).actions.is_empty());
    assert_eq!(deeds(maybe(&read)), ["replace U31 the-fix"]);
    let differs = one(
        "Job | Board | Date closed | Fault | 3V3_SB | Fix | RefDes",
        "W-1 | Petrel P4 | 14/03/2025 | no power | 0.41 | replaced U31 | U13",
    );
    assert!(
        reasons(&differs).contains(&"actions: part-differs".to_owned()),
        "{:?}",
        reasons(&differs)
    );
}

#[test]
fn an_unsafe_act_is_never_taken() {
    for fix in ["bridged fuse F2", "bypassed the fuse"] {
        let read = one(
            USUAL,
            &format!(
                "W-1 | Petrel P4 | C | 14/03/2025 | mk | no power | 0A | {fix} | held a year |"
            ),
        );
        assert!(
            reasons(&read)
                .iter()
                .any(|r| r.starts_with("actions: unsafe")),
            "{fix}: {:?}",
            reasons(&read)
        );
    }
}

#[test]
fn units_and_moments_of_the_headers_go_to_the_readings() {
    let read = one(
        "Job | Board | Date closed | Fault | Standby current [mA] | 3V3_SB | R 5V [kΩ] | Diode SDA | 3V3_SB after | Fix | Time (h) | Proof",
        "W-1 | Petrel P4 | 14/03/2025 | no power | 61 | 0.41 | 1.4 | 0.02 | 3.31 | replaced U31 | 1.5 | rail back at 3.31 V",
    );
    let draft = taken(&read);
    let draw = at(draft, "");
    assert_eq!(
        (draw.got, draw.state.as_deref()),
        (Some(0.061), Some("standby"))
    );
    assert_eq!(at(draft, "5V").got, Some(1400.0));
    assert_eq!(at(draft, "SDA").got, Some(0.02));
    let after: Vec<_> = draft
        .findings
        .iter()
        .filter(|f| f.when == When::AfterAction)
        .collect();
    assert!(
        after
            .iter()
            .any(|f| f.place == "3V3_SB" && f.got == Some(3.31)),
        "{after:?}"
    );
    assert_eq!(draft.effort.minutes, Some(90.0));
    assert!(draft.proof.is_some());
}

#[test]
fn what_was_tried_in_its_own_column_is_no_fix() {
    let read = one(
        "Job | Board | Date closed | Fault | Readings | Tried | Fix",
        "W-1 | Petrel P4 | 14/03/2025 | no power | 3V3_SB 0.41 | reflowed L12 | replaced U31",
    );
    let mut done = deeds(taken(&read));
    done.sort();
    assert_eq!(done, ["reflow L12 tried-no-effect", "replace U31 the-fix"]);
}

#[test]
fn everything_that_is_missing_is_listed_in_the_order_of_the_form() {
    let read = one("Job | Board | Date closed | Fault | Fix", "W-1 | | | ? | ");
    assert_eq!(
        reasons(&read),
        [
            "closed_on: missing",
            "board: missing",
            "findings: missing",
            "family: missing",
            "actions: missing",
        ]
    );
    assert_eq!(
        facts(&read).complaint,
        ["unknown"],
        "a question mark is an answer"
    );
}

#[test]
fn a_sheet_with_one_column_of_words_gives_whole_jobs() {
    let read = one(
        "Job | Board | Date | What happened",
        "W-1 | Petrel P4 | 14/03/2025 | no power, 3V3_SB 0.41, reflow L12 no help, replaced U31, 3V3_SB 3.31",
    );
    let draft = taken(&read);
    assert_eq!(draft.complaint, ["no-power"]);
    assert_eq!(
        deeds(draft),
        ["reflow L12 tried-no-effect", "replace U31 the-fix"]
    );
    assert!(
        draft
            .findings
            .iter()
            .any(|f| f.when == When::AfterAction && f.got == Some(3.31))
    );
}

const BARE: &str = "Job | Board | Date closed | Fault | Readings | Tried | Fix | Result";

#[test]
fn a_reason_for_no_fix_needs_no_circuit_and_no_fix() {
    for (fix, result, reason) in [
        ("", "uneconomical", "value-exceeded"),
        ("", "customer refused repair", "customer-declined"),
        ("BER", "", "value-exceeded"),
    ] {
        let row =
            format!("W-1 | Petrel P4 | 14/03/2025 | dead | VCORE 0.2 ohm | | {fix} | {result}");
        let read = one(BARE, &row);
        let draft = taken(&read);
        assert_eq!(draft.outcome, Some(Outcome::NoFix), "{result}");
        assert_eq!(draft.no_fix_reason.as_deref(), Some(reason), "{result}");
        assert_eq!(draft.family, None);
    }
}

#[test]
fn where_there_may_have_been_no_fix_nobody_is_asked_for_it() {
    let read = one(
        BARE,
        "W-1 | Petrel P4 | 14/03/2025 | dead | 5V0 4.9 V | | | no fault found",
    );
    let why = reasons(&read);
    assert!(!why.contains(&"actions: missing".to_owned()), "{why:?}");
    assert!(!why.contains(&"family: missing".to_owned()), "{why:?}");
}

#[test]
fn a_fuse_beside_other_parts_is_not_the_circuit() {
    let read = one(
        BARE,
        "W-1 | Petrel P4 | 14/03/2025 | dead | F7 open, 5V0 0.4 ohm | | replaced F7 and U4 | held",
    );
    assert_eq!(taken(&read).family.as_deref(), Some("buck"));
    let alone = one(
        BARE,
        "W-1 | Petrel P4 | 14/03/2025 | dead | F7 open | | replaced F7 | held",
    );
    assert_eq!(taken(&alone).family.as_deref(), Some("inlet"));
}

#[test]
fn a_rail_above_every_source_of_its_board_needs_a_person() {
    let row = |volts: &str| {
        let cells = format!(
            "W-1 | Petrel P4 | 14/03/2025 | dead | 3V3_SB 0.1 V, 5V0 {volts} V | | replaced U4 | held"
        );
        one(BARE, &cells)
    };
    let read = row("48");
    assert_eq!(reasons(&read), ["findings: above-source"]);
    assert_eq!(at(maybe(&read), "5V0").got, Some(48.0));
    assert_eq!(facts(&read).findings.len(), 1);
    // A switch that leads the inlet through: wrong for the board, but it can be.
    assert_eq!(at(taken(&row("24")), "5V0").got, Some(24.0));
}

#[test]
fn what_was_tried_may_be_the_fix_where_it_works_and_nothing_else_is_written() {
    let row = |tried: &str, result: &str| {
        let cells =
            format!("W-1 | Petrel P4 | 14/03/2025 | dead | 5V0 0.1 V | {tried} | | {result}");
        one(BARE, &cells)
    };
    let read = row("changed U4", "works");
    assert!(reasons(&read).contains(&"actions: tried-or-fix".to_owned()));
    assert_eq!(deeds(maybe(&read)), ["replace U4 the-fix"]);
    assert!(facts(&read).actions.is_empty());
    let vain = row("changed U4 no effect", "works");
    assert!(!reasons(&vain).contains(&"actions: tried-or-fix".to_owned()));
    assert_eq!(deeds(facts(&vain)), ["replace U4 tried-no-effect"]);
    let open = row("changed U4", "uneconomical");
    assert_eq!(deeds(taken(&open)), ["replace U4 tried-no-effect"]);
}

#[test]
fn a_part_that_many_answer_to_is_no_fact() {
    let row = |fix: &str| {
        let cells = format!("W-1 | Petrel P4 | 14/03/2025 | dead | 5V0 0.1 V | | {fix} | works");
        one(BARE, &cells)
    };
    let read = row("replaced the main chip");
    assert!(reasons(&read).contains(&"actions: which-part".to_owned()));
    assert!(facts(&read).actions.is_empty());
    assert_eq!(deeds(maybe(&read)).len(), 1);
    let named = row("replaced charger chip");
    assert!(!reasons(&named).contains(&"actions: which-part".to_owned()));
    assert_eq!(deeds(taken(&row("replaced U4"))), ["replace U4 the-fix"]);
}

#[test]
fn removed_and_replaced_beside_a_part_is_one_act() {
    let read = one(
        "Job | Board | Date closed | Fault | Readings | Part | Done | Result",
        "W-1 | Petrel P4 | 14/03/2025 | dead | 3V3_SB 0.1 V | U31 | removed and replaced | works",
    );
    assert_eq!(deeds(taken(&read)), ["replace U31 the-fix"]);
}

#[test]
fn a_no_under_fixed_is_never_taken_as_fixed() {
    for (headers, cells) in [
        ("Action | Part | Fixed?", "replace | U4 | FALSE"),
        ("Action | Part | erledigt?", "replace | U4 | nein"),
        ("Action | Part | OK? | Result", "replace | U4 | no | held"),
    ] {
        let read = one(
            &format!("Job | Board | Date closed | Fault | Readings | {headers}"),
            &format!("W-7 | Petrel P4 | 14/03/2025 | no power | 5V0 0.2 V | {cells}"),
        );
        assert!(
            reasons(&read).contains(&"outcome: not-fixed".to_owned()),
            "{headers}: {read:?}"
        );
    }
    let yes = one(
        "Job | Board | Date closed | Fault | Readings | Action | Part | Fixed? | Came back?",
        "W-8 | Petrel P4 | 14/03/2025 | no power | 5V0 0.2 V | replace | U4 | TRUE | no",
    );
    assert_eq!(deeds(taken(&yes)), ["replace U4 the-fix"]);
}

#[test]
fn an_answer_to_came_back_is_an_end() {
    let row = |back: &str| {
        one(
            "Job | Board | Date closed | Fault | Readings | Fix | Came back?",
            &format!("W-9 | Petrel P4 | 14/03/2025 | no power | 5V0 0.2 V | replaced U4 | {back}"),
        )
    };
    let again = row("yes, a month later, same thing");
    assert_eq!(taken(&again).outcome, Some(Outcome::BouncedSameFault));
    assert_eq!(taken(&row("no")).outcome, Some(Outcome::UnknownSoFar));
    assert_eq!(reasons(&row("yes")), ["outcome: what-fault"]);
}

#[test]
fn a_draw_takes_its_unit_from_the_header() {
    for (headers, cell, code, low, got) in [
        (
            "Input Current (mA)",
            "40-95 up/down",
            "cycling",
            Some(0.04),
            None,
        ),
        ("Strom mA", "260 bleibt stehen", "stuck", None, Some(0.26)),
        ("Idle draw [mA]", "19 and sits", "stuck", None, Some(0.019)),
    ] {
        let read = one(
            &format!("Job | Board | Date closed | Fault | {headers} | Fix | Result"),
            &format!("W-7 | Petrel P4 | 14/03/2025 | no power | {cell} | replaced U4 | held"),
        );
        let draw = at(taken(&read), "");
        assert_eq!(
            (draw.code.as_deref(), draw.low, draw.got),
            (Some(code), low, got),
            "{cell}"
        );
        assert_eq!(draw.raw.as_deref(), Some(cell), "quoted as it stands");
    }
}

#[test]
fn readings_before_and_after_are_told_apart_by_their_headers() {
    for (before, after) in [("Before I started", "And then"), ("Vorher", "Danach")] {
        let read = one(
            &format!("Job | Board | Date closed | Fault | {before} | Fix | {after} | Result"),
            "W-7 | Petrel P4 | 14/03/2025 | no power | 5V0 0.2 V | replaced U4 | 5V0 5.02 V | held",
        );
        let found: Vec<(Option<f64>, When)> = taken(&read)
            .findings
            .iter()
            .map(|f| (f.got, f.when))
            .collect();
        assert_eq!(
            found,
            [
                (Some(0.2), When::BeforeAction),
                (Some(5.02), When::AfterAction)
            ],
            "{before}"
        );
    }
}
