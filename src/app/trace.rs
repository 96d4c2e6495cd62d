//! Traces reviews through the memory model, one line of numbers a review.
//!
//! Takes text, gives lines and faults; nothing of a shop is read or kept. Days are UTC days, not
//! bench days, and forecasts are not spread, so that other programs can check every number.

use std::collections::HashMap;

use chrono::DateTime;
use chrono::Utc;
use serde::Serialize;
use serde_json::Map;
use serde_json::Value;

use crate::domain::calendar;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::memory::WeightsError;
use crate::domain::review::Grade;
use crate::domain::text;

/// Lowest target: below it the days of some models are beyond what a number can hold.
const LOWEST_TARGET: f64 = 0.01;

/// What the reviews are traced with.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    weights: Weights,
    target: f64,
}

/// Why nothing can be traced.
#[derive(Debug, thiserror::Error)]
pub enum SetupError {
    /// The weights are no JSON.
    #[error(
        "the weights are not a JSON array of {} numbers (column {column} of line {line})",
        memory::COUNT
    )]
    NotAnArray {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
    },
    /// The numbers are not parameters.
    #[error("the weights do not fit the memory model")]
    Weights(#[source] WeightsError),
    /// The target is no chance of recall.
    #[error("the target recall is {0}; it must be at least {LOWEST_TARGET} and below 1")]
    Target(f64),
}

impl Setup {
    /// Reads the weights (a JSON array; the published ones if none are given) and checks the target.
    pub fn new(weights: Option<&str>, target: f64) -> Result<Self, SetupError> {
        if !(LOWEST_TARGET..1.0).contains(&target) {
            return Err(SetupError::Target(target));
        }
        let weights = match weights {
            None => Weights::published(),
            Some(json) => {
                let numbers: Vec<f64> =
                    serde_json::from_str(json).map_err(|error| SetupError::NotAnArray {
                        line: error.line(),
                        column: error.column(),
                    })?;
                Weights::from_slice(&numbers).map_err(SetupError::Weights)?
            }
        };
        Ok(Self { weights, target })
    }
}

/// One review, with the memory it left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Traced {
    /// Card, as given.
    pub card: String,
    /// Time, as given.
    pub at: String,
    /// Grade, as a word.
    pub grade: &'static str,
    /// UTC days since the card's previous review; 0 at the first.
    pub elapsed_days: u32,
    /// Chance of recall just before; none at the first review.
    pub recall_before: Option<f64>,
    /// Stability after, in days.
    pub stability: f64,
    /// Difficulty after.
    pub difficulty: f64,
    /// Days until recall has fallen to the target.
    pub next_days_exact: f64,
    /// The same as whole days, half to even, 1 to 36500.
    pub next_days: u32,
}

impl Traced {
    /// Returns the line of output, without its end.
    ///
    /// # Panics
    /// Never: texts and numbers are always JSON.
    pub fn to_json(&self) -> String {
        let json = serde_json::to_string(self).expect("texts and numbers are JSON");
        text::clean_json(&json)
    }
}

/// Something to mend in the input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Line, from 1.
    pub line: usize,
    /// Field, where one is to blame.
    pub field: Option<&'static str>,
    /// What is wrong and what would be right.
    pub why: String,
    /// The line was left out; otherwise it was traced all the same.
    pub left_out: bool,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "line {}", self.line)?;
        if let Some(field) = self.field {
            write!(f, ", field {field}")?;
        }
        let outcome = if self.left_out { "left out" } else { "traced" };
        write!(f, ": {} ({outcome})", self.why)
    }
}

/// Traces the reviews of `input`, in file order.
///
/// A line that cannot be read is left out. A review earlier than its card's latest one is traced as
/// if it came right after it.
pub fn trace(setup: &Setup, input: &str) -> (Vec<Traced>, Vec<Fault>) {
    let mut cards: HashMap<String, Known> = HashMap::new();
    let mut lines = Vec::new();
    let mut faults = Vec::new();
    for (number, line) in (1..).zip(input.lines()) {
        if line.trim().is_empty() {
            continue;
        }
        match read(line) {
            Ok(review) => {
                let known = cards.get(&review.card).copied();
                if let Some(known) = known.filter(|known| review.at < known.latest) {
                    let latest = known.latest.to_rfc3339();
                    faults.push(Fault {
                        line: number,
                        field: Some("at"),
                        why: format!("earlier than {latest}, when this card was last reviewed"),
                        left_out: false,
                    });
                }
                let (traced, known) = step(setup, known, &review);
                cards.insert(review.card, known);
                lines.push(traced);
            }
            Err((field, why)) => faults.push(Fault {
                line: number,
                field,
                why,
                left_out: true,
            }),
        }
    }
    (lines, faults)
}

#[derive(Clone, Copy)]
struct Known {
    memory: Memory,
    latest: DateTime<Utc>,
}

struct Review {
    card: String,
    at: DateTime<Utc>,
    at_text: String,
    grade: Grade,
}

fn step(setup: &Setup, known: Option<Known>, review: &Review) -> (Traced, Known) {
    let weights = &setup.weights;
    let (elapsed_days, recall_before, memory) = match known {
        None => (0, None, memory::first(weights, review.grade)),
        Some(known) => {
            let days = calendar::elapsed(known.latest.date_naive(), review.at.date_naive());
            let before = memory::recall(weights, known.memory.stability, f64::from(days));
            let after = memory::next(weights, known.memory, days, review.grade);
            (days, Some(before), after)
        }
    };
    let exact = memory::interval_exact(weights, memory.stability, setup.target);
    let traced = Traced {
        card: review.card.clone(),
        at: review.at_text.clone(),
        grade: review.grade.word(),
        elapsed_days,
        recall_before,
        stability: memory.stability,
        difficulty: memory.difficulty,
        next_days_exact: exact,
        next_days: memory::whole_days(exact),
    };
    let latest = known.map_or(review.at, |known| known.latest.max(review.at));
    (traced, Known { memory, latest })
}

type Refusal = (Option<&'static str>, String);

fn read(line: &str) -> Result<Review, Refusal> {
    let fields: Map<String, Value> = serde_json::from_str(line).map_err(|error| {
        let why = format!("not a JSON object (column {})", error.column());
        (None, why)
    })?;
    let card = text_of(&fields, "card")?;
    if card.is_empty() {
        return Err((Some("card"), "empty".to_owned()));
    }
    let at_text = text_of(&fields, "at")?;
    let at = DateTime::parse_from_rfc3339(at_text).map_err(|error| {
        let shown = text::clean(at_text);
        let why = format!("{shown:?} is no time such as 2026-04-02T07:31:05Z: {error}");
        (Some("at"), why)
    })?;
    Ok(Review {
        card: card.to_owned(),
        at: at.to_utc(),
        at_text: at_text.to_owned(),
        grade: grade_of(&fields)?,
    })
}

fn text_of<'a>(fields: &'a Map<String, Value>, name: &'static str) -> Result<&'a str, Refusal> {
    match fields.get(name) {
        Some(Value::String(text)) => Ok(text),
        Some(_) => Err((Some(name), "not a text".to_owned())),
        None => Err((Some(name), "missing".to_owned())),
    }
}

fn grade_of(fields: &Map<String, Value>) -> Result<Grade, Refusal> {
    let Some(value) = fields.get("grade") else {
        return Err((Some("grade"), "missing".to_owned()));
    };
    let grade = match value {
        Value::String(word) => Grade::from_word(word),
        Value::Number(number) => number
            .as_u64()
            .and_then(|number| u8::try_from(number).ok())
            .and_then(Grade::from_number),
        _ => None,
    };
    grade.ok_or_else(|| {
        let words = Grade::ALL.map(Grade::word).join(", ");
        let shown = text::clean(&value.to_string());
        (Some("grade"), format!("{shown} is none of {words}, 1 to 4"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn published() -> Setup {
        Setup::new(None, 0.9).expect("the published model")
    }

    #[test]
    fn a_first_review_and_a_later_one_print_their_numbers() {
        let input = r#"
{"card":"a","at":"2026-04-02T23:59:00Z","grade":"named"}
{"card":"b","at":"2026-04-02T23:59:00Z","grade":4}
{"card":"a","at":"2026-04-03T00:01:00Z","grade":3}
"#;
        let (lines, faults) = trace(&published(), input);
        assert_eq!(faults, []);
        // Stability 2.3065 = p2 and 8.2956 = p3; difficulty as published for grade 3 and held at 1.
        assert!(lines[0].to_json().starts_with(
            r#"{"card":"a","at":"2026-04-02T23:59:00Z","grade":"named","elapsed_days":0,"recall_before":null,"stability":2.3065,"difficulty":2.1181"#
        ));
        assert_eq!(
            lines[1].to_json(),
            r#"{"card":"b","at":"2026-04-02T23:59:00Z","grade":"on-sight","elapsed_days":0,"recall_before":null,"stability":8.2956,"difficulty":1.0,"next_days_exact":8.2956,"next_days":8}"#
        );
        // Two minutes over midnight UTC are a day.
        assert_eq!(lines[2].elapsed_days, 1);
        let before = memory::recall(&Weights::published(), 2.3065, 1.0);
        assert_eq!(lines[2].recall_before, Some(before));
        assert!(2.3065 < lines[2].stability);
    }

    #[test]
    fn numbers_read_back_as_they_were() {
        let input = r#"{"card":"a","at":"2026-04-02T08:00:00Z","grade":2}
{"card":"a","at":"2026-04-09T08:00:00Z","grade":1}
{"card":"a","at":"2026-05-09T08:00:00Z","grade":3}"#;
        let setup = Setup::new(None, 0.85).expect("a target");
        let (lines, _) = trace(&setup, input);
        for line in lines {
            let json = line.to_json();
            for (name, number) in [
                ("stability", line.stability),
                ("difficulty", line.difficulty),
                ("next_days_exact", line.next_days_exact),
            ] {
                let (_, rest) = json.split_once(&format!("\"{name}\":")).expect(name);
                let printed = rest.split([',', '}']).next().expect("a number");
                let read: f64 = printed.parse().expect("a number");
                assert_eq!(read.to_bits(), number.to_bits(), "{name}");
            }
        }
    }

    #[test]
    fn a_bad_line_is_named_and_the_good_ones_go_on() {
        let input = concat!(
            "{\"card\":\"a\",\"at\":\"2026-04-02T08:00:00Z\",\"grade\":\"named\"}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-03T08:00:00Z\",\"grade\":\"named\"\n",
            "[1,2]\n",
            "{\"at\":\"2026-04-03T08:00:00Z\",\"grade\":1}\n",
            "{\"card\":7,\"at\":\"2026-04-03T08:00:00Z\",\"grade\":1}\n",
            "{\"card\":\"\",\"at\":\"2026-04-03T08:00:00Z\",\"grade\":1}\n",
            "{\"card\":\"a\",\"at\":\"2026-02-30T08:00:00Z\",\"grade\":1}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-03\",\"grade\":1}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-03T08:00:00Z\"}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-03T08:00:00Z\",\"grade\":5}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-03T08:00:00Z\",\"grade\":2.5}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-03T08:00:00Z\",\"grade\":\"\\u001b[2J\"}\n",
            "{\"card\":\"a\",\"at\":\"2026-04-04T08:00:00Z\",\"grade\":\"missed\"}\n",
        );
        let (lines, faults) = trace(&published(), input);
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[1].elapsed_days, 2);
        let told: Vec<(usize, Option<&str>)> = faults.iter().map(|f| (f.line, f.field)).collect();
        assert_eq!(
            told,
            [
                (2, None),
                (3, None),
                (4, Some("card")),
                (5, Some("card")),
                (6, Some("card")),
                (7, Some("at")),
                (8, Some("at")),
                (9, Some("grade")),
                (10, Some("grade")),
                (11, Some("grade")),
                (12, Some("grade")),
            ]
        );
        assert!(faults.iter().all(|fault| fault.left_out));
        assert_eq!(
            faults[8].to_string(),
            "line 10, field grade: 5 is none of missed, hunted, named, on-sight, 1 to 4 (left out)"
        );
        assert!(faults.iter().all(|f| !f.why.contains(char::is_control)));
    }

    #[test]
    fn a_review_out_of_order_is_traced_without_negative_days_and_told() {
        let input = r#"{"card":"a","at":"2026-04-02T08:00:00Z","grade":3}
{"card":"a","at":"2026-04-12T08:00:00Z","grade":3}
{"card":"a","at":"2026-04-05T08:00:00Z","grade":3}
{"card":"a","at":"2026-04-14T08:00:00Z","grade":3}"#;
        let (lines, faults) = trace(&published(), input);
        let elapsed: Vec<u32> = lines.iter().map(|line| line.elapsed_days).collect();
        assert_eq!(elapsed, [0, 10, 0, 2]);
        assert_eq!(faults.len(), 1);
        assert_eq!((faults[0].line, faults[0].left_out), (3, false));
    }

    #[test]
    fn the_day_is_that_of_utc_whatever_the_offset() {
        let input = r#"{"card":"a","at":"2026-04-02T23:30:00-05:00","grade":3}
{"card":"a","at":"2026-04-03T23:30:00Z","grade":3}"#;
        let (lines, faults) = trace(&published(), input);
        assert_eq!(faults, []);
        assert_eq!(lines[1].elapsed_days, 0);
        assert_eq!(lines[0].at, "2026-04-02T23:30:00-05:00");
    }

    #[test]
    fn other_weights_count_and_bad_ones_are_refused() {
        let mut p = *Weights::published().get();
        p[2] = 5.0;
        let json = serde_json::to_string(&p.to_vec()).unwrap();
        let setup = Setup::new(Some(&json), 0.9).unwrap();
        let review = r#"{"card":"a","at":"2026-04-02T08:00:00Z","grade":3}"#;
        assert_eq!(trace(&setup, review).0[0].next_days, 5);

        assert!(matches!(
            Setup::new(Some("[1,2,"), 0.9),
            Err(SetupError::NotAnArray { line: 1, .. })
        ));
        assert!(matches!(
            Setup::new(Some("[1,2]"), 0.9),
            Err(SetupError::Weights(WeightsError::Count { found: 2 }))
        ));
        p[20] = 0.9;
        let json = serde_json::to_string(&p.to_vec()).unwrap();
        assert!(matches!(
            Setup::new(Some(&json), 0.9),
            Err(SetupError::Weights(WeightsError::OutOfBounds {
                index: 20,
                ..
            }))
        ));
        for target in [0.0, 1.0, -0.5, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                Setup::new(None, target),
                Err(SetupError::Target(_))
            ));
        }
    }

    #[test]
    fn a_hostile_card_name_reaches_no_terminal_as_it_is() {
        let input = "{\"card\":\"a\u{9b}2J\u{202e}\",\"at\":\"2026-04-02T08:00:00Z\",\"grade\":3}";
        let (lines, _) = trace(&published(), input);
        let json = lines[0].to_json();
        assert!(json.starts_with(r#"{"card":"a\u009b2J\u202e","#), "{json}");
    }
}
