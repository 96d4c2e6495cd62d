//! Sheets of our own invention, row by row: what is filled down, what is skipped, what a person gets.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use proptest::prelude::*;

use crate::domain::circuit::Circuits;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::propose::Proposal;
use crate::domain::intake::propose::propose;
use crate::domain::intake::repeats::Repeats;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::Facts;
use crate::domain::intake::rows::RowRead;
use crate::domain::intake::rows::Taker;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::domain::intake::words::Words;
use crate::domain::job::Part;

const KEY: &str = "000102030405060708090a0b0c0d0e0f";

fn part(name: &str, rail: &str, family: &str) -> Part {
    Part {
        name: name.to_owned(),
        rail: Some(rail.to_owned()),
        family: Some(family.to_owned()),
        revs: Vec::new(),
    }
}

/// A shop with two boards, invented.
pub(super) struct Bench {
    words: Words,
    boards: BTreeMap<String, BoardFacts>,
    names: BTreeMap<String, String>,
    circuits: Circuits,
    key: Option<&'static str>,
}

impl Bench {
    pub(super) fn new() -> Self {
        let petrel = BoardFacts {
            parts: [
                (
                    "U31".to_owned(),
                    part("standby switcher", "3V3_SB", "standby"),
                ),
                (
                    "L12".to_owned(),
                    part("standby inductor", "3V3_SB", "standby"),
                ),
                ("U4".to_owned(), part("5 V buck", "5V0", "buck")),
                ("F7".to_owned(), part("inlet fuse", "VIN", "inlet")),
            ]
            .into(),
            nominal_v: [("VIN", 24.0), ("5V0", 5.0)]
                .map(|(rail, volts)| (rail.to_owned(), volts))
                .into(),
            ..BoardFacts::default()
        };
        Self {
            words: Words::default(),
            boards: [
                ("petrel-p4".to_owned(), petrel),
                ("skua-e6".to_owned(), BoardFacts::default()),
            ]
            .into(),
            names: ["petrel-p4", "skua-e6"]
                .map(|b| (b.to_owned(), b.to_owned()))
                .into(),
            circuits: Circuits::with_shop(&[], false),
            key: Some(KEY),
        }
    }

    pub(super) fn propose(&self, rows: &[Row]) -> Proposal {
        propose(rows, &self.words, &[], &self.names)
    }

    fn facts(&self) -> Facts<'_> {
        Facts {
            words: &self.words,
            boards: &self.boards,
            names: &self.names,
            circuits: &self.circuits,
            unit_key: self.key,
            source: "old bay.csv",
            today: NaiveDate::from_ymd_opt(2026, 11, 28).expect("a day of the calendar"),
        }
    }

    pub(super) fn take(&self, rows: &[Row]) -> Vec<RowRead> {
        let proposal = self.propose(rows);
        self.take_by(&proposal.mapping, rows)
    }

    /// Takes the rows after a walk over all of them, as an import does.
    pub(super) fn take_looking_ahead(&self, rows: &[Row]) -> Vec<RowRead> {
        let mapping = self.propose(rows).mapping;
        let repeats = Repeats::of(|| rows.iter().cloned(), &mapping, self.facts());
        let mut taker = Taker::new(&mapping, self.facts()).knowing(repeats);
        rows.iter().map(|row| taker.take(row)).collect()
    }

    fn take_by(&self, mapping: &Mapping, rows: &[Row]) -> Vec<RowRead> {
        let mut taker = Taker::new(mapping, self.facts());
        rows.iter().map(|row| taker.take(row)).collect()
    }
}

/// Rows of a sheet; cells apart by `|`, blanks around them do not count.
pub(super) fn sheet(text: &str) -> Vec<Row> {
    let lines = text.trim_matches('\n').lines();
    lines
        .zip(1..)
        .map(|(line, number)| Row {
            number,
            cells: line
                .split('|')
                .map(|c| Cell::Text(c.trim().to_owned()))
                .collect(),
            remarks: Vec::new(),
        })
        .collect()
}

fn fields(proposal: &Proposal) -> Vec<String> {
    let columns = proposal.mapping.columns.iter();
    columns.map(|c| c.field.word().into_owned()).collect()
}

fn told(proposal: &Proposal, words: &str) -> bool {
    proposal.told.iter().any(|t| t.contains(words))
}

pub(super) fn skipped(read: &RowRead) -> &str {
    match &read.end {
        End::Skipped { why } => why,
        _ => "",
    }
}

/// Returns `field: why` of every reason of a row that needs a person.
pub(super) fn reasons(read: &RowRead) -> Vec<String> {
    match &read.end {
        End::NeedsPerson { why, .. } => why
            .iter()
            .map(|f| format!("{}: {}", f.field, f.why))
            .collect(),
        _ => Vec::new(),
    }
}

pub(super) fn facts(read: &RowRead) -> &crate::domain::intake::draft::Draft {
    match &read.end {
        End::Taken(draft) => draft,
        End::NeedsPerson { suggested, .. } => &suggested.facts,
        End::Skipped { why } => panic!("skipped: {why}"),
    }
}

pub(super) fn flags(read: &RowRead) -> Vec<String> {
    facts(read)
        .flags
        .iter()
        .map(|f| format!("{}: {}", f.field, f.why))
        .collect()
}

#[test]
fn titles_above_and_two_header_rows_are_found() {
    let rows = sheet(
        "
Bench jobs 2025 | | | | | |
 | | | | | |
Job | | Board | Readings | | Repair |
No | Date | | 5V | 3V3 | Part | Action
W-1 | 14.03.2025 | Petrel P4 | 5,02 | 0,41 | U31 | replaced
W-2 | 15.03.2025 | Petrel P4 | 5,01 | 3,31 | L12 | reflowed
",
    );
    let bench = Bench::new();
    let proposal = bench.propose(&rows);
    assert_eq!(
        fields(&proposal),
        [
            "job",
            "closed-on",
            "board",
            "rail:5V",
            "rail:3V3",
            "part",
            "fix"
        ]
    );
    assert_eq!(proposal.mapping.header_rows, [1, 2, 3, 4]);
    assert_eq!(proposal.mapping.columns[3].header, "Readings 5V");
    assert!(told(&proposal, "rows 3 and 4"), "{:?}", proposal.told);
    assert!(
        told(&proposal, "decimal comma") && told(&proposal, "day first"),
        "{:?}",
        proposal.told
    );
    let read = bench.take(&rows);
    assert_eq!(skipped(&read[3]), "headers");
    let got = &facts(&read[4]).findings;
    assert_eq!(
        (got[1].place.as_str(), got[1].got, got[1].code.as_deref()),
        ("3V3", Some(0.41), Some("low"))
    );
}

#[test]
fn a_sheet_without_headers_is_told_by_its_cells() {
    let rows = sheet(
        "
W-0411 | 14.03.2025 | mk | Petrel P4 | no power, 3V3_SB low | U31
W-0412 | 15.03.2025 | tl | Skua E6 | output stuck on again | Q10
W-0413 | 17.03.2025 | mk | Petrel P4 | dead, 40mA and sits there | L12
W-0414 | 18.03.2025 | mk | Petrel P4 | comes and goes when cold | U31
",
    );
    let proposal = Bench::new().propose(&rows);
    assert_eq!(
        fields(&proposal),
        [
            "job",
            "closed-on",
            "closed-by",
            "board",
            "everything",
            "part"
        ]
    );
    assert!(proposal.mapping.header_rows.is_empty());
    assert!(told(&proposal, "No header row"));
}

#[test]
fn short_cells_without_headers_are_told_by_their_words_too() {
    let rows = sheet(
        "
S-8 | 2025-03-14 | Petrel P4 | dead | 3V3_SB 0.2 V | swapped U31 | good
S-9 | 2025-03-15 | Petrel P4 | no charge | 5V0 0.3 V, burnt at U4 | U4 replaced | held
S-10 | 2025-03-17 | Petrel P4 | no display | L12 open | reflowed L12 | good
S-11 | 2025-03-18 | Petrel P4 | dead | 3V3_SB 0 V | changed U31 | bounced, same again
",
    );
    let bench = Bench::new();
    assert_eq!(
        fields(&bench.propose(&rows)),
        [
            "job",
            "closed-on",
            "board",
            "complaint",
            "findings",
            "fix",
            "outcome"
        ]
    );
    let read = bench.take(&rows);
    assert_eq!(facts(&read[1]).number.as_deref(), Some("S-9"));
    for row in &read[..3] {
        assert!(matches!(row.end, End::Taken(_)), "{:?}", reasons(row));
    }
}

#[test]
fn an_ending_is_known_under_a_header_that_nobody_knows() {
    let rows = sheet(
        "
Job | Board | Date | Fault | Fate | Crate
W-1 | Petrel P4 | 14/03/2025 | dead | held | blue box
W-2 | Petrel P4 | 14/03/2025 | dead | BER | red box
W-3 | Petrel P4 | 14/03/2025 | dead | works | red box
",
    );
    let fields = fields(&Bench::new().propose(&rows));
    assert_eq!(fields[4..], ["outcome", "kept"]);
}

#[test]
fn what_no_header_names_is_looked_for_under_the_headers_that_say_nothing_of_it() {
    let rows = sheet(
        "
Job | Board | Rev | Date | Owner told us | Owner | Readings | Fix
W-1 | Petrel P4 | B | 14/03/2025 | no charge | Dead Sea Tours | 3V3_SB 0.2 V | replaced U31
W-2 | Skua E6 | | 14/03/2025 | no power | Dead Sea Tours | 5V0 0 V | replaced Q10
W-3 | Petrel P4 | | 14/03/2025 | no display | Ann | L12 open | removed + replaced L12
",
    );
    let bench = Bench::new();
    let proposal = bench.propose(&rows);
    assert_eq!(fields(&proposal)[4..6], ["complaint", "kept"]);
    let read = bench.take(&rows);
    let revs: Vec<_> = read[1..].iter().map(|r| facts(r).rev.clone()).collect();
    assert_eq!(revs, [Some("B".to_owned()), None, None]);
}

#[test]
fn a_group_of_headers_says_what_a_bare_word_below_it_means() {
    let rows = sheet(
        "
Job | | | | Before | Rework | |
No | Date | Board | Fault | 3V3_SB | Part | What | Outcome
W-1 | 14/03/2025 | Petrel P4 | dead | 0.2 | L12 | reflowed | held
W-2 | 15/03/2025 | Petrel P4 | dead | 0.4 | U31 | changed | held
",
    );
    let bench = Bench::new();
    assert_eq!(fields(&bench.propose(&rows))[5..7], ["part", "fix"]);
    let read = bench.take(&rows);
    let done = &facts(&read[2]).actions[0];
    assert_eq!((done.act.as_str(), done.part.as_str()), ("reflow", "L12"));
    assert!(
        matches!(read[2].end, End::Taken(_)),
        "{:?}",
        reasons(&read[2])
    );
}

#[test]
fn a_column_of_locations_holds_parts_only_where_they_are_designators() {
    let of = |cells: [&str; 2]| {
        let [a, b] = cells;
        let rows = sheet(&format!(
            "Job | Board | Location\nW-1 | Petrel P4 | {a}\nW-2 | Petrel P4 | {b}"
        ));
        fields(&Bench::new().propose(&rows))[2].clone()
    };
    assert_eq!(of(["U31", "C12, C13"]), "part");
    assert_eq!(of(["rack 4", "rack 9"]), "kept");
}

#[test]
fn german_headers_and_blocks_under_one_board_name_are_read() {
    let rows = sheet(
        "
Auftrags-Nr. | Platine | erledigt am | Bearbeiter | Fehlerbild | Befund | Maßnahme | Ergebnis
A-17 | Petrel P4 | 14.03.25 | mk | tot | kein Strom | U31 getauscht | ok
A-18 | | 15.03.25 | mk | tot | 3V3 fehlt | U31 getauscht | ok
A-19 | | 15.03.25 | tl | tot | 3V3 fehlt | L12 nachgelötet | ok
A-20 | Skua E6 | 16.03.25 | tl | Ausgang hängt | Q10 kurz | Q10 getauscht | ok
A-21 | | 17.03.25 | tl | Ausgang hängt | Q10 kurz | Q10 getauscht | ok
",
    );
    let bench = Bench::new();
    let proposal = bench.propose(&rows);
    assert_eq!(
        fields(&proposal),
        [
            "job",
            "board",
            "closed-on",
            "closed-by",
            "complaint",
            "findings",
            "fix",
            "outcome"
        ]
    );
    let filled: Vec<bool> = proposal
        .mapping
        .columns
        .iter()
        .map(|c| c.fill_down)
        .collect();
    assert_eq!(
        filled,
        [false, true, false, false, false, false, false, false]
    );
    let read = bench.take(&rows);
    let boards: Vec<_> = read[1..]
        .iter()
        .map(|r| facts(r).board.as_deref())
        .collect();
    let (petrel, skua) = (Some("petrel-p4"), Some("skua-e6"));
    assert_eq!(boards, [petrel, petrel, petrel, skua, skua]);
    assert_eq!(
        facts(&read[1]).closed_on,
        NaiveDate::from_ymd_opt(2025, 3, 14)
    );
    assert_eq!(
        read[2].cells[0],
        ("Auftrags-Nr.".to_owned(), "A-18".to_owned())
    );
}

#[test]
fn a_few_blank_outcomes_and_boards_are_not_the_ones_above() {
    let rows = sheet(
        "
Job | Board | Date | Fault | Outcome
W-1 | Petrel P4 | 14/03/2025 | dead | held
W-2 | Petrel P4 | 15/03/2025 | dead |
W-3 | | 15/03/2025 | dead |
W-4 | Skua E6 | 16/03/2025 | dead |
W-5 | Skua E6 | 16/03/2025 | stuck |
W-6 | Skua E6 | 18/03/2025 | stuck |
",
    );
    let bench = Bench::new();
    let proposal = bench.propose(&rows);
    assert!(proposal.mapping.columns.iter().all(|c| !c.fill_down));
    let read = bench.take(&rows);
    assert!(
        reasons(&read[3]).contains(&"board: missing".to_owned()),
        "{:?}",
        reasons(&read[3])
    );
}

#[test]
fn rows_that_are_no_jobs_are_skipped_with_their_reason() {
    let rows = sheet(
        "
Job | Board | Date | Fault | Fix | Minutes
W-1 | Petrel P4 | 14/03/2025 | dead | replaced U31 | 35
--- | --- | --- | --- | --- | ---
 | | | | |
Job | Board | Date | Fault | Fix | Minutes
W-2 | Petrel P4 | 15/03/2025 | dead | replaced U31 | 40
March | | | | |
W-1 | Petrel P4 | 14/03/2025 | dead | replaced U31 | 35
Total | | | | | 75
",
    );
    let read = Bench::new().take(&rows);
    let why: Vec<&str> = read.iter().map(skipped).collect();
    assert_eq!(
        why,
        [
            "headers",
            "",
            "a drawn line",
            "blank",
            "the headers again",
            "",
            "a title",
            "the same words as row 2",
            "a row of totals",
        ]
    );
    assert_eq!(read[1].mark, read[7].mark);
    assert_ne!(read[1].mark, read[5].mark);
}

#[test]
fn a_line_with_a_board_names_it_for_the_rows_below() {
    let rows = sheet(
        "
Job | Date | Fault | Fix
Petrel P4 | | |
W-1 | 14/03/2025 | dead | replaced U31
W-2 | 15/03/2025 | dead | replaced U31
Skua E6 | | |
W-3 | 15/03/2025 | stuck | replaced Q10
",
    );
    let read = Bench::new().take(&rows);
    let board = |at: usize| facts(&read[at]).board.clone().unwrap_or_default();
    assert_eq!(
        (board(2), board(3), board(5)),
        ("petrel-p4".into(), "petrel-p4".into(), "skua-e6".into())
    );
}

#[test]
fn marks_for_the_row_above_are_facts_for_names_and_suggestions_for_words() {
    let rows = sheet(
        "
Job | Board | Date | Tech | Fault | Fix
W-1 | Petrel P4 | 14/03/2025 | mk | dead | replaced U31
W-2 | \" | dto | do. | dead | replaced L12
W-3 | \" | \" | \" | dead | see above
",
    );
    let read = Bench::new().take(&rows);
    let second = facts(&read[2]);
    assert_eq!(second.board.as_deref(), Some("petrel-p4"));
    assert_eq!(second.closed_by.as_deref(), Some("mk"));
    assert_eq!(second.closed_on, NaiveDate::from_ymd_opt(2025, 3, 14));
    assert!(!reasons(&read[2]).iter().any(|r| r.contains("neighbour")));
    assert!(
        reasons(&read[3]).contains(&"actions: reference-to-neighbour-row".to_owned()),
        "{:?}",
        reasons(&read[3])
    );
    assert!(facts(&read[3]).actions.is_empty());
}

#[test]
fn a_mark_below_words_means_them_and_below_a_reading_only_perhaps() {
    let rows = sheet(
        "
Job | Board | Date | Fault | Readings | Fix | Result
W-1 | Petrel P4 | 14/03/2025 | no charge | 3V3_SB 0.2 V | replaced U31 | held
W-2 | \" | \" | -\"- | 3V3_SB 0.3 V | dito | ''
W-3 | \" | \" | dto. | \" | replaced L12 | held
",
    );
    let read = Bench::new().take(&rows);
    assert!(
        matches!(read[2].end, End::Taken(_)),
        "{:?}",
        reasons(&read[2])
    );
    assert_eq!(facts(&read[2]).complaint, ["no-charge"]);
    assert_eq!(facts(&read[2]).actions[0].part, "U31");
    assert!(flags(&read[2]).contains(&"complaint: filled-from-above".to_owned()));
    assert!(reasons(&read[3]).contains(&"findings: reference-to-neighbour-row".to_owned()));
    assert!(facts(&read[3]).findings.is_empty());
}

#[test]
fn the_day_of_a_block_is_that_of_its_head_and_never_of_the_block_before() {
    let sheet_of = |head: &str| {
        sheet(&format!(
            "
Board | Day | Job | Fault
Petrel P4 | 14/03/2025 | W-1 | dead
 | | W-2 | dead
 | dto | W-3 | dead
 | 16/03/2025 | W-4 | dead
 | | W-5 | dead
Skua E6 | {head} | W-6 | stuck
 | | W-7 | stuck
"
        ))
    };
    let bench = Bench::new();
    let day = |read: &RowRead| facts(read).closed_on.map(|d| d.to_string());
    let read = bench.take(&sheet_of("18/03/2025"));
    let days: Vec<String> = read[1..].iter().filter_map(day).collect();
    let expected = ["14", "14", "14", "16", "16", "18", "18"];
    assert_eq!(days, expected.map(|d| format!("2025-03-{d}")));
    assert!(flags(&read[2]).contains(&"closed_on: filled-from-above".to_owned()));
    // A head without a day: that of the block before is not its day.
    let read = bench.take(&sheet_of(""));
    assert_eq!((day(&read[6]), day(&read[7])), (None, None));
}

#[test]
fn a_formula_is_no_job_number() {
    let rows = sheet(
        "Job | Board | Date | Fault\n=A2&B2 | Petrel P4 | 14/03/2025 | dead\n@x | Petrel P4 | 14/03/2025 | dead\n-4 | Petrel P4 | 15/03/2025 | dead",
    );
    for row in &Bench::new().take(&rows)[1..] {
        assert!(reasons(row).contains(&"job: sheet-formula".to_owned()));
        let End::NeedsPerson { suggested, .. } = &row.end else {
            panic!("it has a reason");
        };
        assert_eq!(
            (&suggested.facts.number, &suggested.maybe.number),
            (&None, &None)
        );
    }
}

#[test]
fn a_number_used_twice_needs_a_person_and_a_return_is_flagged() {
    let rows = sheet(
        "
Job | Board | S/N | Date | Fault | Fix
W-1 | Petrel P4 | PX 12-044 | 14/03/2025 | dead | replaced U31
W-2 | Petrel P4 | px12044 | 15/06/2025 | came back dead | replaced L12
W-1 | Petrel P4 | PX 99 | 16/06/2025 | dead again | replaced L12
W-4 | Petrel P4 | PX 77 | 17/06/2025 | dead | replaced L12
",
    );
    let read = Bench::new().take(&rows);
    assert_eq!(facts(&read[2]).follows.as_deref(), Some("W-1"));
    assert!(flags(&read[2]).contains(&"follows: bounce-of-earlier-row".to_owned()));
    assert!(reasons(&read[3]).contains(&"job: number-used-twice".to_owned()));
    assert!(flags(&read[3]).contains(&"follows: bounce-of-earlier-row".to_owned()));
    assert_eq!(facts(&read[4]).follows, None);
    for row in &read[1..] {
        assert!(facts(row).unit.as_ref().is_some_and(|u| u.len() == 16));
        let kept = format!("{:?} {:?}", row.cells, facts(row));
        assert!(
            !kept.contains("PX") && !kept.contains("px12044"),
            "no serial is kept: {kept}"
        );
    }
}

#[test]
fn units_with_the_same_words_stay_apart_without_a_key() {
    let rows = sheet(
        "
Board | S/N | Date | Fault | Fix
Petrel P4 | 1001 | 14/03/2025 | dead | replaced U31
Petrel P4 | 1002 | 14/03/2025 | dead | replaced U31
Petrel P4 | 1001 | 14/03/2025 | dead | replaced U31
",
    );
    let mut bench = Bench::new();
    for key in [None, Some(KEY)] {
        bench.key = key;
        let read = bench.take(&rows);
        assert_ne!(read[1].mark, read[2].mark);
        assert_eq!(skipped(&read[3]), "the same words as row 2");
        assert_eq!(read[1].mark, bench.take(&rows)[1].mark);
        assert_eq!(facts(&read[1]).number.as_deref(), Some("old-bay-2"));
    }
}

#[test]
fn days_that_are_not_plain_need_a_person_and_say_why() {
    let rows = sheet(
        "
Job | Board | Received | Closed | Fault
W-1 | Petrel P4 | 01/03/2025 | 2026-02-30 | dead
W-2 | Petrel P4 | 01/03/2025 | | dead
W-3 | Petrel P4 | 01/03/2025 | Tue | dead
W-4 | Petrel P4 | 01/03/2025 | 14/03/2027 | dead
W-5 | Petrel P4 | 20/03/2025 | 14/03/2025 | dead
W-6 | Petrel P4 | 01/03/2025 | 14/03/2025 | dead
W-7 | Petrel P4 | 01/03/2025 | 45000 | dead
",
    );
    let read = Bench::new().take(&rows);
    for (at, why) in [
        (1, "closed_on: impossible-date"),
        (2, "closed_on: only-received-date"),
        (3, "closed_on: weekday-only"),
        (4, "closed_on: in-the-future"),
        (5, "closed_on: closed-before-received"),
    ] {
        assert!(
            reasons(&read[at]).contains(&why.to_owned()),
            "{why}: {:?}",
            reasons(&read[at])
        );
    }
    assert!(!reasons(&read[6]).iter().any(|r| r.starts_with("closed_on")));
    assert!(flags(&read[7]).contains(&"closed_on: date-from-serial".to_owned()));
    assert_eq!(
        facts(&read[7]).closed_on,
        NaiveDate::from_ymd_opt(2023, 3, 15)
    );
}

#[test]
fn a_saved_mapping_of_the_same_shape_is_used_again() {
    let bench = Bench::new();
    let rows = sheet("Job | Board | Date | Stuff\nW-1 | Petrel P4 | 14/03/2025 | dead");
    let mut first = bench.propose(&rows);
    assert_eq!(first.mapping.columns[3].field, Field::Kept);
    first.mapping.columns[3].field = Field::Complaint;
    let saved = [(first.shape.clone(), first.mapping)];
    let second =
        sheet("Our bay | | |\nJob | board | Date | Stuff\nW-9 | Skua E6 | 03/15/2025 | stuck");
    let again = propose(&second, &bench.words, &saved, &bench.names);
    assert!(again.reused);
    assert_eq!(fields(&again), ["job", "board", "closed-on", "complaint"]);
    assert_eq!(again.mapping.header_rows, [1, 2]);
    let other = sheet("Job | Board | Date | Things\nW-9 | Skua E6 | 15/03/2025 | stuck");
    assert!(!propose(&other, &bench.words, &saved, &bench.names).reused);
}

#[test]
fn a_board_that_the_shop_does_not_list_is_named_in_the_reason() {
    let rows = sheet("Job | Board | Date | Fault\nW-1 | Petrel P44 rev C | 14/03/2025 | dead");
    let bench = Bench::new();
    let read = bench.take(&rows);
    let End::NeedsPerson { why, .. } = &read[1].end else {
        panic!("its board is not known");
    };
    let board = why.iter().find(|f| f.field == "board").expect("a reason");
    assert_eq!(
        (board.why.as_str(), board.raw.as_str()),
        ("board-not-listed", "Petrel P44")
    );
    let mapping = bench.propose(&rows).mapping;
    let mut taker = Taker::new(&mapping, bench.facts());
    assert_eq!(taker.board_name(&rows[0]), None);
    assert_eq!(
        taker.board_name(&rows[1]).as_deref(),
        Some("Petrel P44 rev C")
    );
}

#[test]
fn a_doubtful_revision_keeps_both_and_a_remark_of_the_reader_keeps_the_row_back() {
    let mut rows = sheet(
        "Job | Board | Rev | Date | Fault\nW-1 | Petrel P4 | C2?? (sticker says D) | 14/03/2025 | dead\nW-2 | Petrel P4 | rev. C | 14/03/2025 | dead",
    );
    rows[2].remarks.push("unbalanced quote".to_owned());
    let read = Bench::new().take(&rows);
    assert_eq!(facts(&read[1]).rev, None);
    assert!(flags(&read[1]).contains(&"rev: conflict-keep-both".to_owned()));
    assert_eq!(facts(&read[2]).rev.as_deref(), Some("C"));
    assert!(reasons(&read[2]).contains(&"row: unbalanced quote".to_owned()));
}

fn any_cell() -> impl Strategy<Value = Cell> {
    let words = prop::sample::select(vec![
        "",
        " ",
        "\"",
        "dto",
        "see above",
        "Total",
        "-",
        "?",
        "Job",
        "Board",
        "Date",
        "Fault",
        "W-1",
        "W-2",
        "Petrel P4",
        "14/03/2025",
        "03/04/25",
        "2026-02-30",
        "Tue",
        "45000",
        "3,3",
        "61-118mA",
        "U31",
        "replaced U31",
        "came back",
        "held",
        "C12,13+15",
        "rev C",
        "1.50E+03",
        "=1+1",
        "ok",
        "NFF",
        "5V",
        "R to GND (Ω)",
        "1e999",
        "\u{1b}[2J",
        "ü€\u{202e}x",
        "----",
    ]);
    prop_oneof![
        4 => words.prop_map(|w| Cell::Text(w.to_owned())),
        1 => "\\PC{0,40}".prop_map(Cell::Text),
        1 => prop_oneof![Just(45_000.0), Just(0.41), Just(f64::MAX), Just(-3.0)].prop_map(Cell::Number),
        1 => (0_i32..20_000).prop_map(|n| Cell::Date(NaiveDate::default() + chrono::TimeDelta::days(i64::from(n)))),
        1 => Just(Cell::Empty),
    ]
}

proptest! {
    /// Every row gets exactly one end, in its order, whatever stands in it; the same content has the
    /// same mark, and what is read in two steps is what is read in one.
    #[test]
    fn every_row_gets_its_end(
        rows in prop::collection::vec(prop::collection::vec(any_cell(), 0..8), 0..24),
        key in any::<bool>()
    ) {
        let rows: Vec<Row> = rows
            .into_iter()
            .zip(1..)
            .map(|(cells, number)| Row { number, cells, remarks: Vec::new() })
            .collect();
        let mut bench = Bench::new();
        bench.key = key.then_some(KEY);
        let proposal = bench.propose(&rows);
        prop_assert_eq!(&proposal, &bench.propose(&rows));
        let read = bench.take_by(&proposal.mapping, &rows);
        prop_assert_eq!(read.len(), rows.len());
        let mut filler = Taker::new(&proposal.mapping, bench.facts());
        let reader = Taker::new(&proposal.mapping, bench.facts());
        for (row, read) in rows.iter().zip(&read) {
            prop_assert_eq!(&read.source, &format!("old bay.csv:{}", row.number));
            match &read.end {
                End::Taken(draft) => {
                    prop_assert!(draft.missing().is_empty());
                    prop_assert!(draft.job("x").is_ok());
                }
                End::NeedsPerson { why, .. } => prop_assert!(!why.is_empty()),
                End::Skipped { why } => prop_assert!(!why.is_empty()),
            }
            let filled = filler.fill(row);
            prop_assert_eq!(&reader.read(filled), read);
        }
    }
}

#[test]
fn a_column_of_listed_boards_is_the_board_column_whatever_its_header() {
    for header in ["Gadget", "Welches Bauteil", "Gerät 3", "Unit name"] {
        let rows = sheet(&format!(
            "Job | {header} | Date closed | Fault | Fix\n\
             W-1 | Petrel P4 | 14/03/2025 | no power | replaced U4\n\
             W-2 | Skua E6 | 15/03/2025 | no power | replaced U4\n\
             W-3 | Heron | 16/03/2025 | no power | replaced U4"
        ));
        let proposal = Bench::new().propose(&rows);
        assert_eq!(fields(&proposal)[1], "board", "{header}");
    }
}

#[test]
fn a_title_merged_over_all_columns_is_no_header() {
    let title = "Repair log|Repair log|Repair log|Repair log|Repair log";
    let rows = sheet(&format!(
        "{title}\nJob | Board | Date closed | Fault | Fix\n\
         W-1 | Petrel P4 | 14/03/2025 | no power | replaced U4"
    ));
    let proposal = Bench::new().propose(&rows);
    let headers: Vec<&str> = proposal
        .mapping
        .columns
        .iter()
        .map(|c| c.header.as_str())
        .collect();
    assert_eq!(headers, ["Job", "Board", "Date closed", "Fault", "Fix"]);
}

#[test]
fn a_lone_sum_under_the_minutes_is_no_job() {
    let rows = sheet(
        "Job | Board | Date closed | Fault | Fix | Minutes\n\
         W-1 | Petrel P4 | 14/03/2025 | no power | replaced U4 | 40\n\
         | | | | | 40",
    );
    assert_eq!(skipped(&Bench::new().take(&rows)[2]), "a row of totals");
}
