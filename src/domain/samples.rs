//! Small made-up values for the tests of this layer.

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::TimeDelta;
use chrono::Utc;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Standing;
use crate::domain::card::Step;
use crate::domain::card::Support;
use crate::domain::card::Suspect;
use crate::domain::card::Test;
use crate::domain::card::TestResult;
use crate::domain::generate::words::measure;
use crate::domain::history::CardFacts;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::review::Answered;
use crate::domain::review::Entry;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::Verdict;

/// Returns the day `n` days after 1 March 2026.
pub(crate) fn day(n: i64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).expect("a date") + TimeDelta::days(n)
}

/// Returns nine o'clock UTC on [`day`] `n`.
pub(crate) fn at(n: i64) -> DateTime<Utc> {
    day(n).and_hms_opt(9, 0, 0).expect("a time").and_utc()
}

/// Returns a card of `family` whose answer is to replace `part`.
pub(crate) fn card(id: &str, family: &str, part: &str) -> Card {
    Card {
        id: id.to_owned(),
        board: "petrel-p4".to_owned(),
        revs: vec!["B".to_owned()],
        family: family.to_owned(),
        complaint: vec!["no-power".to_owned()],
        front: vec![Finding::new(FindingKind::Rail, "3V3_SB")],
        deciding: vec![0],
        answers: vec![Answer {
            steps: vec![Step {
                act: "replace".to_owned(),
                part: part.to_owned(),
                name: None,
            }],
            also: Vec::new(),
        }],
        share: Share {
            k: 5,
            n: 6,
            proved: 4,
            low: 0.436,
            high: 0.970,
        },
        support: Support::Supported,
        jobs: vec![format!("W-{id}")],
        last: Some(day(-30)),
        ..Card::blank(CardKind::Fix)
    }
}

/// Returns a point that is known by any one word of each group.
pub(crate) fn point(say: &str, words: &[&[&str]]) -> KeyPoint {
    let group = |group: &&[&str]| group.iter().map(|w| (*w).to_owned()).collect();
    KeyPoint {
        say: say.to_owned(),
        words: words.iter().map(group).collect(),
        needed: true,
    }
}

/// A pattern over boards: the draw cycles, and there is residue at a small switcher.
pub(crate) fn across(id: &str, boards: &[&str]) -> Card {
    let mut draw = Finding::new(FindingKind::Current, "");
    draw.code = Some("cycling".to_owned());
    draw.state = Some("standby".to_owned());
    let mut sign = Finding::new(FindingKind::Visual, "a small switcher");
    sign.code = Some("residue".to_owned());
    Card {
        kind: CardKind::Next,
        board: String::new(),
        revs: Vec::new(),
        complaint: Vec::new(),
        stem: "Board not known. Which circuit, and what do you measure first?".to_owned(),
        points: vec![point(
            "The always-on rail, volts and ohms",
            &[&["always-on", "standby"], &["volts", "ohms"]],
        )],
        boards: boards
            .iter()
            .map(|board| Standing {
                board: (*board).to_owned(),
                k: 2,
                n: 3,
            })
            .collect(),
        front: vec![draw, sign],
        answers: Vec::new(),
        ..card(id, "standby", "")
    }
}

/// Returns a bench rule for every board, with three points needed.
pub(crate) fn rule(id: &str) -> Card {
    Card {
        kind: CardKind::Rule,
        board: String::new(),
        revs: Vec::new(),
        complaint: Vec::new(),
        stem: "A board that was under salt water lies before you. What comes before cleaning it?"
            .to_owned(),
        points: vec![
            point("every source out, cell included", &[&["cell", "source"]]),
            point("photos of both sides", &[&["photo", "picture"]]),
            point(
                "a pass along the liquid path under the microscope",
                &[&["microscope"]],
            ),
        ],
        front: Vec::new(),
        deciding: Vec::new(),
        answers: Vec::new(),
        share: Share {
            k: 0,
            n: 0,
            proved: 0,
            low: 0.0,
            high: 1.0,
        },
        jobs: Vec::new(),
        last: None,
        ..card(id, "", "")
    }
}

/// Returns a card that asks for the next measurement: two suspects, ohms of the standby rail tell them apart.
pub(crate) fn next(id: &str) -> Card {
    let suspect = |what: &str, chance: f64, n: usize| Suspect {
        what: what.to_owned(),
        chance,
        n,
    };
    let coil = |chance: f64, n: usize| suspect("Replace L12, the system coil", chance, n);
    let chip = |chance: f64, n: usize| suspect("Replace U31, the standby switcher", chance, n);
    let result = |say: &str, chance: f64, points_to: Vec<Suspect>| TestResult {
        say: say.to_owned(),
        chance,
        points_to,
    };
    let words = |groups: &[&[&str]]| -> Vec<Vec<String>> {
        let group = |g: &&[&str]| g.iter().map(|w| (*w).to_owned()).collect();
        groups.iter().map(group).collect()
    };
    let kind = |kind: FindingKind| measure::kind_words(kind);
    Card {
        kind: CardKind::Next,
        stem: "Two suspects remain. Which single measurement now?".to_owned(),
        answers: Vec::new(),
        suspects: vec![chip(0.62, 9), coil(0.31, 5)],
        tests: vec![
            Test {
                say: "ohms 3V3_SB to ground (source off)".to_owned(),
                words: words(&[&["3V3_SB"], kind(FindingKind::Resistance)]),
                minutes: 1.0,
                bits: 0.41,
                right: true,
                results: vec![
                    result("low", 0.66, vec![chip(0.9, 9), coil(0.1, 1)]),
                    result("as on a good board", 0.3, vec![coil(0.8, 4)]),
                ],
            },
            Test {
                say: "volts at 3V3_SB (standby)".to_owned(),
                words: words(&[&["3V3_SB"], kind(FindingKind::Rail)]),
                minutes: 2.0,
                bits: 0.3,
                right: false,
                results: vec![result("low", 0.9, vec![chip(0.7, 9), coil(0.3, 5)])],
            },
            Test {
                say: "signal at PGOOD (standby)".to_owned(),
                words: words(&[&["PGOOD"], kind(FindingKind::Signal)]),
                minutes: 4.0,
                bits: 0.02,
                right: false,
                results: vec![result("missing", 1.0, vec![chip(0.66, 9), coil(0.33, 5)])],
            },
        ],
        ..card(id, "standby", "U31")
    }
}

/// Returns an answer to `card` with `grade`, eight seconds long.
pub(crate) fn answered(card: &Card, grade: Grade) -> Answered {
    Answered {
        card: card.id.clone(),
        asked: card.asked_mark(),
        accepted: card.accepted_mark(),
        sitting: "b7-1".to_owned(),
        mode: Mode::Drill,
        grade,
        proposed: grade,
        ms: Millis {
            circuit: 3000,
            answer: 4000,
            reveal: 1000,
        },
        circuit: Some((card.family.clone(), card.family.clone())),
        typed: "replace u31".to_owned(),
        aloud: false,
        sure: Sure::Fair,
        overruled: false,
        verdict: Verdict {
            circuit: Some(true),
            fix: Some(grade.recalled()),
            unsafe_answer: false,
        },
        next_days: 1,
        options: 0,
    }
}

/// Returns a journal line of bench b7.
pub(crate) fn entry(seq: u64, on: i64, event: Event) -> Entry {
    Entry {
        id: format!("mk-b7-{seq}"),
        bench: "b7".to_owned(),
        seq,
        at: at(on) + TimeDelta::minutes(i64::try_from(seq).expect("a small number")),
        day: day(on),
        event,
    }
}

/// Cards by id, for the fold.
pub(crate) struct Facts(pub(crate) Vec<(String, String)>);

impl Facts {
    /// Returns the facts of `cards`.
    pub(crate) fn of(cards: &[Card]) -> Self {
        Self(
            cards
                .iter()
                .map(|c| (c.id.clone(), c.accepted_mark()))
                .collect(),
        )
    }
}

impl CardFacts for Facts {
    fn current_id<'a>(&'a self, id: &'a str) -> &'a str {
        id
    }
    fn accepted(&self, id: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(card, _)| card == id)
            .map(|(_, mark)| mark.as_str())
    }
}
