//! Invented cards on an invented lead's desk, for tests of its screens.

use crate::app::desk::view::Apart;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::desk::view::DeskRow;
use crate::app::desk::view::Doubt;
use crate::app::desk::view::Editable;
use crate::app::desk::view::Field;
use crate::app::desk::view::Missed;
use crate::app::desk::view::Reason;
use crate::domain::edit::Divide;
use crate::tui::sample;

const TITLES: [&str; 4] = [
    "Replace U31, the standby switcher",
    "Reflow L12 + clean J2",
    "Replace Q14, the low side of phase 1",
    "Clean J7",
];

fn row(n: usize) -> DeskRow {
    let (reasons, said): (Vec<Reason>, Vec<&str>) = match n {
        0 => (
            vec![Reason::Doubted, Reason::MissedMore],
            vec![
                "doubted by 2",
                "missed 5 of 8, where 2 were expected",
                "changed since mk signed it on 2026-01-12",
            ],
        ),
        1 => (vec![Reason::EditedApart], vec!["edited apart: why"]),
        2 => (
            vec![Reason::Contradicted],
            vec!["2 newer jobs ended otherwise"],
        ),
        3 => (vec![Reason::Seen], vec!["not yet signed, asked of 3"]),
        _ => (vec![Reason::New], vec!["new"]),
    };
    DeskRow {
        card: format!("card{n}"),
        board: ["Petrel P4 helm display", "Dunlin S20", ""][n % 3].to_owned(),
        title: TITLES[n % 4].to_owned(),
        kind: "fix".to_owned(),
        reasons,
        said: said.into_iter().map(str::to_owned).collect(),
        people: (7 - n.min(7)) / 2,
        jobs: 9 - n.min(8),
        out: n == 2,
        signed: if n == 1 { "mk" } else { "" }.to_owned(),
    }
}

/// `n` cards that want a lead.
pub(super) fn list(n: usize) -> DeskList {
    DeskList {
        rows: (0..n).map(row).collect(),
        signed: 34,
        cards: 183,
        faults: Vec::new(),
    }
}

fn texts(all: &[&str]) -> Vec<String> {
    all.iter().map(|t| (*t).to_owned()).collect()
}

/// One of them: the first is doubted, the second was edited apart, the third is out of use.
pub(super) fn page(n: usize) -> DeskPage {
    let front = sample::front();
    let mut above = front.clone();
    for reading in &mut above.readings[1..3] {
        reading.decides = true;
    }
    let mut back = sample::back();
    back.verdict = String::new();
    let why = back.why.clone();
    let missed = |who: &str, circuit: &str, typed: &str| Missed {
        who: who.to_owned(),
        day: "2026-03-30".to_owned(),
        circuit: circuit.to_owned(),
        typed: typed.to_owned(),
        sure: "high".to_owned(),
    };
    let value = |edit: &str, who: &str, when: &str, text: &str| {
        (
            edit.to_owned(),
            who.to_owned(),
            when.to_owned(),
            text.to_owned(),
        )
    };
    let mut page = DeskPage {
        row: row(n),
        front,
        asks: vec!["Which circuit?", "Name the fix"],
        above,
        jobs: back.jobs.clone(),
        back,
        warnings: Vec::new(),
        missed: Vec::new(),
        doubts: Vec::new(),
        history: texts(&["2026-01-12 mk signed it"]),
        apart: Vec::new(),
        now: Editable {
            stem: String::new(),
            answers: "replace U31".to_owned(),
            also: "swap U31; new standby switcher".to_owned(),
            why,
            cautions: "cell-first, liquid".to_owned(),
        },
        like: (0..8)
            .filter(|other| *other != n)
            .map(|other| (format!("card{other}"), TITLES[other % 4].to_owned()))
            .collect(),
        divides: vec![
            (
                Divide::Revision,
                "revision: B (4 jobs), C (3 jobs)".to_owned(),
            ),
            (
                Divide::Complaint,
                "complaint: no power (5 jobs), went under (2 jobs)".to_owned(),
            ),
        ],
    };
    match n {
        0 => {
            page.warnings = texts(&["The runner-up, L12, has nearly as many jobs."]);
            page.doubts = vec![Doubt {
                who: "tl".to_owned(),
                day: "2026-03-30".to_owned(),
                why: "U31 is not on rev C".to_owned(),
            }];
            page.missed = vec![
                missed("tl", "buck", "replace U13"),
                missed("ab", "", "said aloud"),
            ];
        }
        1 => {
            page.apart = vec![Apart {
                what: Field::Why.label().to_owned(),
                field: Field::Why,
                values: vec![
                    value(
                        "t1-e7",
                        "mk",
                        "2026-03-30",
                        "A leaking switch loads the always-on rail; it hiccups at its own limit.",
                    ),
                    value(
                        "t2-e3",
                        "tl",
                        "2026-03-31",
                        "Salt between pins 3 and 4 pulls the rail down until U31 folds back.",
                    ),
                ],
            }];
        }
        _ => {}
    }
    if 3 < n {
        page.like = Vec::new();
        page.divides = Vec::new();
    }
    page
}
