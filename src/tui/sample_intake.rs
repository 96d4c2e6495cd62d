//! Invented rows of an invented sheet, for tests of the intake desk's screens.

use crate::app::intake::List;
use crate::app::intake::ListRow;
use crate::app::intake::page;
use crate::app::intake::page::Candidate;
use crate::app::intake::page::FieldView;
use crate::app::intake::page::Piece;
use crate::app::intake::page::RowPage;
use crate::domain::intake::repair::Slot;

/// `n` rows that wait: every third lacks something, the first was entered twice.
pub(super) fn list(n: usize) -> List {
    let boards = ["petrel-p4", "dunlin-s20", "skua-e6"];
    let words = [
        "W-0117 | no power, reg hot | swapped reg, all gd",
        "W-0118 | won't charge, 3v3 0,4 | U9 reflow no help, new U9",
        "W-0119 | trips | green all round Q14, clnd & dried, works!",
    ];
    let row = |i: usize| ListRow {
        key: format!("row{i}"),
        source: format!("old-bay.csv:{}", 17 + i),
        board: boards[i % 3].to_owned(),
        missing: i % 3,
        doubts: (i + 1) % 2,
        note: match i {
            0 => "entered twice".to_owned(),
            i if n < i + 3 => "tl".to_owned(),
            _ => String::new(),
        },
        words: words[i % 3].to_owned(),
    };
    List {
        rows: (0..n).map(row).collect(),
        at: 2.min(n.saturating_sub(1)),
        notes: vec!["2 rows in a stretch of tl: they come last.".to_owned()],
        read_only: None,
    }
}

fn field(slot: Slot, facts: &[&str], maybe: &[&str], missing: Option<&'static str>) -> FieldView {
    let texts = |all: &[&str]| all.iter().map(|t| (*t).to_owned()).collect();
    FieldView {
        slot,
        label: page::label(slot),
        facts: texts(facts),
        maybe: texts(maybe),
        missing,
        doubts: Vec::new(),
    }
}

/// What the words of a field are read as.
pub(super) fn read(slot: Slot) -> FieldView {
    field(
        slot,
        &["Replace U31: the fix", "Reflow L12: tried, no effect"],
        &[],
        None,
    )
}

/// A row with two doubts, at a place of the list.
pub(super) fn page(at: usize) -> RowPage {
    let plain = |text: &str| Piece {
        text: text.to_owned(),
        doubt: None,
    };
    let doubtful = |text: &str, n| Piece {
        text: text.to_owned(),
        doubt: Some(n),
    };
    let cell = |header: &str, pieces: Vec<Piece>| (header.to_owned(), pieces);
    let mut done = field(
        Slot::Actions,
        &["Reflow L12: tried, no effect"],
        &["Replace regulator: the fix"],
        Some("nothing named that fixed it"),
    );
    done.doubts = vec![1];
    let mut outcome = field(Slot::Outcome, &[], &["unknown so far"], Some("no outcome"));
    outcome.doubts = vec![2];
    RowPage {
        key: format!("row{at}"),
        source: format!("old-bay.csv:{}", 17 + at),
        at,
        of: 40,
        cells: vec![
            cell("No", vec![plain("W-0117")]),
            cell("Date", vec![plain("14.03.25")]),
            cell("Unit", vec![plain("Petrel P4 rev C")]),
            cell(
                "What's wrong / what was done",
                vec![
                    plain("no power, 61-118mA up/down in stby, 3V3_SB 0,41, L12 reflow no help, "),
                    doubtful("replaced reg", 1),
                    plain(", "),
                    doubtful("all gd", 2),
                ],
            ),
            cell("Paid", vec![plain("")]),
        ],
        fields: vec![
            field(Slot::Number, &["W-0117"], &[], None),
            field(Slot::ClosedOn, &["2025-03-14"], &[], None),
            field(Slot::Board, &["petrel-p4"], &[], None),
            field(Slot::Complaint, &["no power"], &[], None),
            field(
                Slot::Findings,
                &["Supply  cycling  61 to 118 mA, standby", "3V3_SB  0.41 V"],
                &[],
                None,
            ),
            done,
            field(Slot::Family, &[], &["standby"], Some("no circuit")),
            outcome,
            field(Slot::NoFixReason, &[], &[], None),
            field(Slot::Proof, &[], &[], None),
            field(Slot::Rev, &["C"], &[], None),
            field(Slot::ClosedBy, &[], &[], None),
            field(Slot::Environment, &[], &[], None),
        ],
        doubts: vec![
            "Done: which regulator".to_owned(),
            "Outcome: passed on the bench is not held".to_owned(),
        ],
        clash: (at == 0).then(|| "entered twice: W-0117 and W-0140; merge them".to_owned()),
        theirs: (37 < at).then(|| "tl".to_owned()),
        items: vec![
            "no power".to_owned(),
            "Supply  cycling  61 to 118 mA, standby".to_owned(),
            "3V3_SB  0.41 V".to_owned(),
            "Reflow L12: tried, no effect".to_owned(),
            "Replace regulator: the fix".to_owned(),
        ],
        alike: Vec::new(),
    }
}

/// Jobs whose numbers begin as typed.
pub(super) fn candidates(typed: &str) -> Vec<Candidate> {
    ["W-0117", "W-0140", "W-0141"]
        .into_iter()
        .filter(|number| number.starts_with(typed))
        .map(|number| Candidate {
            number: number.to_owned(),
            about: "2025-03-14  petrel-p4  standby".to_owned(),
        })
        .collect()
}
