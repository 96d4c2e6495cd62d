//! Review journal lines. Read with typed, partly borrowed fields, because a lead's view reads many;
//! unknown fields are passed over, which is safe as journals are never rewritten.

use std::borrow::Cow;
use std::fmt;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::SecondsFormat;
use chrono::Utc;
use serde::Deserialize;
use serde::Serialize;
use serde::de;
use serde_json::Value;

use crate::domain::memory::COUNT;
use crate::domain::memory::Weights;
use crate::domain::review::Answered;
use crate::domain::review::Entry;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::review::Verdict;
use crate::store::record::problem::Problem;

/// The newest format this program writes: 2 knows `options`. A line without them is written as 1, since
/// every program reads it whole.
pub const VERSION: u64 = 2;
/// The format of a line that needs nothing newer.
const FIRST: u64 = 1;

/// A word that is borrowed from the line where it can be.
struct Word<'a>(Cow<'a, str>);

impl<'de: 'a, 'a> Deserialize<'de> for Word<'a> {
    fn deserialize<D: de::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl<'de> de::Visitor<'de> for Visitor {
            type Value = Word<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("text")
            }
            fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Word<'de>, E> {
                Ok(Word(Cow::Borrowed(text)))
            }
            fn visit_str<E>(self, text: &str) -> Result<Word<'de>, E> {
                Ok(Word(Cow::Owned(text.to_owned())))
            }
        }
        from.deserialize_str(Visitor)
    }
}

#[derive(Deserialize)]
struct LineIn<'a> {
    v: u64,
    id: String,
    seq: u64,
    #[serde(borrow)]
    at: Word<'a>,
    #[serde(borrow)]
    day: Word<'a>,
    #[serde(borrow)]
    ev: Word<'a>,
    card: Option<String>,
    asked: Option<String>,
    accepted: Option<String>,
    sitting: Option<String>,
    #[serde(borrow)]
    mode: Option<Word<'a>>,
    #[serde(borrow)]
    grade: Option<Word<'a>>,
    ms: Option<MillisIn>,
    circuit: Option<CircuitIn>,
    typed: Option<String>,
    aloud: Option<bool>,
    sure: Option<u8>,
    overruled: Option<bool>,
    verdict: Option<VerdictIn>,
    #[serde(borrow)]
    proposed: Option<Word<'a>>,
    next_days: Option<u32>,
    options: Option<usize>,
    of: Option<String>,
    #[serde(borrow)]
    reason: Option<Word<'a>>,
    note: Option<String>,
    to: Option<String>,
    weights: Option<Vec<Number>>,
}

/// A number, or what stands in its place (NaN has no form of its own in JSON).
struct Number(Result<f64, String>);

impl<'de> Deserialize<'de> for Number {
    fn deserialize<D: de::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let value = Value::deserialize(from)?;
        Ok(Self(value.as_f64().ok_or_else(|| value.to_string())))
    }
}

#[derive(Deserialize)]
struct MillisIn {
    #[serde(default)]
    circuit: u64,
    #[serde(default)]
    answer: u64,
    #[serde(default)]
    reveal: u64,
}

#[derive(Deserialize)]
struct CircuitIn {
    asked: String,
    said: String,
}

#[derive(Deserialize)]
struct VerdictIn {
    circuit: Option<bool>,
    fix: Option<bool>,
    #[serde(rename = "unsafe", default)]
    unsafe_answer: bool,
}

/// Reads one line whose check sum was found right.
pub(crate) fn read(text: &str, bench: &str) -> Result<Entry, Problem> {
    let line: LineIn<'_> = serde_json::from_str(text).map_err(|error| {
        Problem::damage(
            "",
            format!("not a review: {error}"),
            "keep the line; a newer program may know it",
        )
    })?;
    let at = DateTime::parse_from_rfc3339(&line.at.0)
        .map_err(|_error| {
            bad(
                "at",
                &line.at.0,
                "a moment such as 2026-04-02T07:31:05.120Z",
            )
        })?
        .with_timezone(&Utc);
    let day = line
        .day
        .0
        .parse::<NaiveDate>()
        .map_err(|_error| bad("day", &line.day.0, "a day such as 2026-04-02"))?;
    if line.seq == 0 {
        return Err(bad("seq", "0", "a number from 1 up"));
    }
    let (id, seq) = (line.id.clone(), line.seq);
    Ok(Entry {
        id,
        bench: bench.to_owned(),
        seq,
        at,
        day,
        event: event(line)?,
    })
}

fn event(line: LineIn<'_>) -> Result<Event, Problem> {
    let note = line.note.clone().unwrap_or_default();
    Ok(match line.ev.0.as_ref() {
        "answer" => Event::Answer(Box::new(answered(line)?)),
        "undo" => Event::Undo {
            of: need("of", line.of)?,
        },
        "tag" => Event::Tag {
            card: need("card", line.card)?,
            reason: word("reason", line.reason.as_ref(), TagReason::from_word)?,
            note,
        },
        "untag" => Event::Untag {
            card: need("card", line.card)?,
            note,
        },
        "move" => Event::Move {
            sitting: need("sitting", line.sitting)?,
            to: need("to", line.to)?,
        },
        "weights" => Event::Weights {
            weights: Box::new(fitted(need("weights", line.weights)?)?),
        },
        other if line.v > VERSION => {
            let why = format!("{other:?} comes from a newer program and does not count here");
            return Err(Problem::damage("ev", why, "update this program"));
        }
        other => {
            return Err(bad(
                "ev",
                other,
                "answer, undo, tag, untag, move or weights",
            ));
        }
    })
}

/// Reads the parameters of a fit; those that do not fit the memory model never count.
fn fitted(numbers: Vec<Number>) -> Result<[f64; COUNT], Problem> {
    let bad = |why: String| {
        Problem::damage(
            "weights",
            format!("the weights do not fit the memory model: {why}"),
            "the line does not count: the last good fit stays in force, or the published parameters; \
             `benchlore fit` makes a new one",
        )
    };
    let mut all = Vec::with_capacity(numbers.len());
    for (index, Number(number)) in numbers.into_iter().enumerate() {
        match number {
            Ok(number) => all.push(number),
            Err(found) => return Err(bad(format!("p{index} is {found}, which is no number"))),
        }
    }
    let weights = Weights::from_slice(&all).map_err(|error| bad(error.to_string()))?;
    Ok(*weights.get())
}

fn answered(line: LineIn<'_>) -> Result<Answered, Problem> {
    let verdict = need("verdict", line.verdict)?;
    let aloud = line.aloud.unwrap_or_default();
    // What was said aloud has no verdict on the fix, whatever stands there.
    let fix = if aloud {
        None
    } else {
        Some(need("verdict.fix", verdict.fix)?)
    };
    let ms = line.ms.map_or(Millis::default(), |ms| Millis {
        circuit: ms.circuit,
        answer: ms.answer,
        reveal: ms.reveal,
    });
    let sure = match line.sure {
        None => Sure::default(),
        Some(n) => Sure::from_number(n).ok_or_else(|| bad("sure", &n.to_string(), "1, 2 or 3"))?,
    };
    Ok(Answered {
        card: need("card", line.card)?,
        asked: need("asked", line.asked)?,
        accepted: need("accepted", line.accepted)?,
        sitting: need("sitting", line.sitting)?,
        mode: word("mode", line.mode.as_ref(), Mode::from_word)?,
        grade: word("grade", line.grade.as_ref(), Grade::from_word)?,
        proposed: word("proposed", line.proposed.as_ref(), Grade::from_word)?,
        ms,
        circuit: line.circuit.map(|c| (c.asked, c.said)),
        typed: line.typed.unwrap_or_default(),
        aloud,
        sure,
        overruled: line.overruled.unwrap_or_default(),
        verdict: Verdict {
            circuit: verdict.circuit,
            fix,
            unsafe_answer: verdict.unsafe_answer,
        },
        next_days: line.next_days.unwrap_or_default(),
        options: line.options.unwrap_or_default(),
    })
}

fn need<T>(field: &'static str, value: Option<T>) -> Result<T, Problem> {
    value.ok_or_else(|| {
        Problem::damage(
            field,
            "missing or of the wrong length",
            "the line does not count",
        )
    })
}

fn word<T>(
    field: &'static str,
    found: Option<&Word<'_>>,
    of: impl Fn(&str) -> Option<T>,
) -> Result<T, Problem> {
    let found = need(field, found)?;
    of(&found.0).ok_or_else(|| bad(field, &found.0, "a word that the format knows"))
}

fn bad(field: &'static str, found: &str, expected: &str) -> Problem {
    Problem::damage(
        field,
        format!("{found:?} found, expected {expected}"),
        "the line does not count",
    )
}

#[derive(Default, Serialize)]
struct LineOut<'a> {
    v: u64,
    id: &'a str,
    seq: u64,
    at: String,
    day: String,
    ev: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    of: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    card: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    asked: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    accepted: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sitting: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mode: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    grade: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ms: Option<MillisOut>,
    #[serde(skip_serializing_if = "Option::is_none")]
    circuit: Option<CircuitOut<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    typed: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    aloud: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sure: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    overruled: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<VerdictOut>,
    #[serde(skip_serializing_if = "Option::is_none")]
    proposed: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    next_days: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    options: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    weights: Option<&'a [f64]>,
}

#[derive(Serialize)]
struct MillisOut {
    circuit: u64,
    answer: u64,
    reveal: u64,
}

#[derive(Serialize)]
struct CircuitOut<'a> {
    asked: &'a str,
    said: &'a str,
}

#[derive(Serialize)]
struct VerdictOut {
    #[serde(skip_serializing_if = "Option::is_none")]
    circuit: Option<bool>,
    fix: Option<bool>,
    #[serde(rename = "unsafe")]
    unsafe_answer: bool,
}

/// Returns the line of an event, still without its check sum.
pub(crate) fn unsealed(
    id: &str,
    seq: u64,
    at: DateTime<Utc>,
    day: NaiveDate,
    event: &Event,
) -> String {
    let mut line = LineOut {
        v: FIRST,
        id,
        seq,
        at: at.to_rfc3339_opts(SecondsFormat::Millis, true),
        day: day.to_string(),
        ..LineOut::default()
    };
    match event {
        Event::Answer(answer) => fill_answer(&mut line, answer),
        Event::Undo { of } => {
            line.ev = "undo";
            line.of = Some(of);
        }
        Event::Tag { card, reason, note } => {
            line.ev = "tag";
            line.card = Some(card);
            line.reason = Some(reason.word());
            line.note = Some(note);
        }
        Event::Untag { card, note } => {
            line.ev = "untag";
            line.card = Some(card);
            line.note = Some(note);
        }
        Event::Move { sitting, to } => {
            line.ev = "move";
            line.sitting = Some(sitting);
            line.to = Some(to);
        }
        Event::Weights { weights } => {
            line.ev = "weights";
            line.weights = Some(&weights[..]);
        }
    }
    serde_json::to_string(&line).expect("text, numbers and flags always have a JSON form")
}

fn fill_answer<'a>(line: &mut LineOut<'a>, answer: &'a Answered) {
    line.ev = "answer";
    line.card = Some(&answer.card);
    line.asked = Some(&answer.asked);
    line.accepted = Some(&answer.accepted);
    line.sitting = Some(&answer.sitting);
    line.mode = Some(answer.mode.word());
    line.grade = Some(answer.grade.word());
    line.ms = Some(MillisOut {
        circuit: answer.ms.circuit,
        answer: answer.ms.answer,
        reveal: answer.ms.reveal,
    });
    line.circuit = answer
        .circuit
        .as_ref()
        .map(|(asked, said)| CircuitOut { asked, said });
    line.typed = Some(&answer.typed);
    line.aloud = Some(answer.aloud);
    line.sure = Some(answer.sure.number());
    line.overruled = Some(answer.overruled);
    line.verdict = Some(VerdictOut {
        circuit: answer.verdict.circuit,
        fix: answer.verdict.fix,
        unsafe_answer: answer.verdict.unsafe_answer,
    });
    line.proposed = Some(answer.proposed.word());
    line.next_days = Some(answer.next_days);
    if 0 < answer.options {
        line.v = VERSION;
        line.options = Some(answer.options);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads a line of weights; each text is one number as it stands in the line.
    fn read_weights(numbers: &[&str]) -> Result<Entry, Problem> {
        let line = format!(
            r#"{{"v":1,"id":"mk-b7-4","seq":4,"at":"2026-04-02T07:31:05.120Z","day":"2026-04-02","ev":"weights","weights":[{}]}}"#,
            numbers.join(",")
        );
        read(&line, "b7")
    }

    #[test]
    fn weights_that_do_not_fit_the_model_are_named_with_the_number_that_is_wrong() {
        let published: Vec<String> = Weights::published()
            .get()
            .iter()
            .map(ToString::to_string)
            .collect();
        let with = |at: usize, number: &'static str| {
            let mut all: Vec<&str> = published.iter().map(String::as_str).collect();
            all[at] = number;
            let refused = read_weights(&all).expect_err("no such weights");
            assert_eq!(refused.field, "weights");
            refused.why
        };
        let begins = "the weights do not fit the memory model: ";
        for (at, number, why) in [
            (3, "null", "p3 is null, which is no number"),
            (3, "\"NaN\"", "p3 is \"NaN\", which is no number"),
            (20, "\"inf\"", "p20 is \"inf\", which is no number"),
            (4, "0.5", "p4 is 0.5, outside 1 to 10"),
            (20, "0.9", "p20 is 0.9, outside 0.1 to 0.8"),
            (0, "-1", "p0 is -1, outside 0.001 to 100"),
        ] {
            assert_eq!(with(at, number), format!("{begins}{why}"));
        }
        let short = read_weights(&["1"; 19]).expect_err("too few");
        assert_eq!(
            short.why,
            format!("{begins}19 numbers where the memory model takes 21")
        );
        let all: Vec<&str> = published.iter().map(String::as_str).collect();
        let read = read_weights(&all).expect("the published ones");
        assert_eq!(read.event.fit(), Some(Weights::published().get()));
    }
}
