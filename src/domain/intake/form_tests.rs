//! What a form says of the words typed into it.

use super::*;
use crate::domain::check::example::board;
use crate::domain::check::example::job;
use crate::domain::intake::draft::Missing;
use crate::domain::job::Part;

const LINE: &str = "no power, 61-118mA up/down in standby, 3V3_SB 0.41, residue at U31, \
                    reflow L12 no help, replaced U31, 3V3_SB 3.31";

fn with_family(family: Option<&str>) -> Vec<Board> {
    let mut board = board();
    let part = Part {
        name: "standby switcher".to_owned(),
        rail: Some("3V3_SB".to_owned()),
        family: family.map(str::to_owned),
        revs: Vec::new(),
    };
    board.parts.insert("U31".to_owned(), part);
    vec![board]
}

/// Reads a form against these boards and jobs; the last of the jobs is the person's previous one.
fn read(form: &Form, boards: &[Board], jobs: &[Job]) -> Filled {
    let words = Words::default();
    let circuits = Circuits::with_shop(&[], false);
    let facts = boards
        .iter()
        .map(|b| (b.id.clone(), BoardFacts::of(b)))
        .collect();
    let shelf = Shelf {
        words: &words,
        boards,
        facts: &facts,
        circuits: &circuits,
        jobs,
        previous: jobs.last(),
        next_number: Some("W-0413"),
        by: Some("mk"),
        today: NaiveDate::from_ymd_opt(2026, 11, 20).unwrap(),
    };
    fill(form, &shelf)
}

fn said(words: &str) -> Form {
    Form {
        words: words.to_owned(),
        ..Form::default()
    }
}

#[test]
fn one_line_and_the_last_job_leave_only_the_outcome_to_say() {
    let boards = with_family(Some("standby"));
    let last = job("W-0412", "U31", 1);
    let filled = read(&said(LINE), &boards, std::slice::from_ref(&last));
    assert_eq!(filled.missing(), [Missing::Outcome]);
    assert_eq!(filled.proposed.outcome, Some(Outcome::UnknownSoFar));
    let draft = &filled.draft;
    assert_eq!(draft.number.as_deref(), Some("W-0413"));
    assert_eq!(draft.board.as_deref(), Some(last.board.as_str()));
    assert_eq!(draft.family.as_deref(), Some("standby"));
    assert_eq!(draft.findings.len(), 4);
    assert_eq!(draft.findings[3].when, When::AfterAction);
    let roles: Vec<Role> = draft.actions.iter().map(|a| a.role).collect();
    assert_eq!(roles, [Role::TriedNoEffect, Role::TheFix]);
    assert_eq!(draft.raw, [("words".to_owned(), LINE.to_owned())]);
}

#[test]
fn a_circuit_that_no_part_list_tells_is_proposed_and_not_taken() {
    let boards = with_family(None);
    let last = job("W-0412", "U31", 1);
    let filled = read(&said(LINE), &boards, std::slice::from_ref(&last));
    assert_eq!(filled.draft.family, None);
    assert_eq!(filled.proposed.family, last.family);
    assert!(filled.missing().contains(&Missing::Family));
    let mut form = said(LINE);
    form.typed.insert(Slot::Family, "standby".to_owned());
    form.typed.insert(Slot::Outcome, "unknown".to_owned());
    let filled = read(&form, &boards, &[last]);
    assert_eq!(filled.missing(), []);
}

#[test]
fn nothing_typed_takes_nothing_for_granted_but_what_is_usual() {
    let boards = with_family(None);
    let filled = read(&Form::default(), &boards, &[]);
    assert_eq!(filled.draft.board, None);
    let missing = filled.missing();
    assert!(missing.contains(&Missing::Board) && missing.contains(&Missing::Complaint));
    assert_eq!(filled.standing(Slot::Board), Standing::Missing);
}

#[test]
fn decisions_about_rows_hold_while_the_line_is_typed_on() {
    let boards = with_family(Some("standby"));
    let mut form = said(LINE);
    form.typed.insert(Slot::Board, boards[0].id.clone());
    let filled = read(&form, &boards, &[]);
    let looks = filled.findings[2].key.clone();
    let reflow = filled.actions[0].key.clone();
    let after = Change {
        when: Some(When::AfterCleaning),
        ..Change::default()
    };
    let gone = Change {
        gone: true,
        ..Change::default()
    };
    form.changes.insert(looks, after);
    form.changes.insert(reflow, gone);
    form.words.push_str(", U31 81C");
    let filled = read(&form, &boards, &[]);
    assert_eq!(filled.draft.findings[2].when, When::AfterCleaning);
    assert_eq!(filled.draft.actions.len(), 1);
    assert_eq!(filled.draft.findings.len(), 5);
}

#[test]
fn in_a_log_whatever_stands_behind_an_act_was_seen_after_it() {
    let boards = with_family(Some("standby"));
    let words = "no power\n3V3_SB 0.41\nreplaced U31\n5V_SYS 4.98";
    let mut form = said(words);
    form.typed.insert(Slot::Board, boards[0].id.clone());
    let typed = read(&form, &boards, &[]);
    form.purpose = Purpose::Close("W-1".to_owned());
    let logged = read(&form, &boards, &[]);
    let when =
        |filled: &Filled| -> Vec<When> { filled.draft.findings.iter().map(|f| f.when).collect() };
    assert_eq!(when(&logged), [When::BeforeAction, When::AfterAction]);
    assert_eq!(when(&typed)[0], When::BeforeAction);
}

#[test]
fn a_job_opened_for_correction_says_what_it_said() {
    let boards = with_family(Some("standby"));
    let old = job("W-0412", "U31", 1);
    let form = Form::of(Purpose::Correct("W-0412".to_owned()), Draft::of_job(&old));
    assert!(!form.is_touched());
    let filled = read(&form, &boards, &[]);
    assert_eq!(filled.draft.job(&old.id).unwrap(), old);
}

#[test]
fn what_cannot_be_used_is_named_and_left_out() {
    let boards = with_family(None);
    let mut form = Form::default();
    form.typed.insert(Slot::Board, "nowhere".to_owned());
    form.typed.insert(Slot::Day, "2026-02-30".to_owned());
    form.typed.insert(Slot::Minutes, "1e999".to_owned());
    let filled = read(&form, &boards, &[]);
    for slot in [Slot::Board, Slot::Day, Slot::Minutes] {
        assert!(
            matches!(filled.standing(slot), Standing::Bad(_)),
            "{slot:?}"
        );
    }
    assert_eq!(filled.draft.closed_on, None);
}

#[test]
fn the_board_that_the_words_name_goes_before_that_of_the_last_job() {
    let mut boards = with_family(Some("standby"));
    boards.push(Board {
        id: "skua-e6".to_owned(),
        ..board()
    });
    let last = Job {
        board: "skua-e6".to_owned(),
        ..job("W-0412", "U31", 1)
    };
    let jobs = std::slice::from_ref(&last);
    let own = &boards[0].id.clone();
    let filled = read(&said(&format!("{own}, {LINE}")), &boards, jobs);
    assert_eq!(filled.draft.board.as_ref(), Some(own));
    assert_eq!(filled.standing(Slot::Board), Standing::Said);
    assert_eq!(filled.unread, [""; 0]);
    let first = own.split('-').next().unwrap();
    let filled = read(&said(&format!("{first} {LINE}")), &boards, jobs);
    assert_eq!(filled.draft.board, None, "not guessed, and not the other");
    assert_eq!(filled.proposed.board.as_ref(), Some(own));
    let filled = read(&said(&format!("{own} or skua e6")), &boards, jobs);
    assert_eq!(filled.standing(Slot::Board), Standing::Missing);
}

#[test]
fn words_of_a_return_are_asked_about_before_they_end_this_job() {
    let boards = with_family(Some("standby"));
    let filled = read(&said("came back, same fault, replaced U31"), &boards, &[]);
    assert_eq!(filled.draft.outcome, None);
    assert_eq!(filled.proposed.outcome, Some(Outcome::BouncedSameFault));
    assert!(matches!(
        filled.standing(Slot::Outcome),
        Standing::Proposed(_)
    ));
}
