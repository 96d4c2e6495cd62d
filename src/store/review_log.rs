//! Bare logs of reviews: JSON Lines `{"card","t","grade"}`, as other programs can write them too.
//!
//! `card` is a whole number or a text, `t` a moment in seconds since 1970 (UTC), `grade` 1 to 4 or the
//! word. Days are UTC days. A log that cannot be read whole is not read at all: what was fitted to the
//! rest would look like a fit to everything. Leaves out opening the file.

use std::collections::HashMap;
use std::io::BufRead;

use serde::Deserialize;
use serde_json::Map;
use serde_json::Value;

use crate::domain::fit::histories::Review;
use crate::domain::review::Grade;

/// Seconds of a UTC day.
const DAY: i64 = 86_400;

/// What keeps a log from being read.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The file gave no more.
    #[error("cannot be read")]
    Read(#[from] std::io::Error),
    /// A line cannot be read.
    #[error("line {line}{}: {why}", field.map(|f| format!(", field {f}")).unwrap_or_default())]
    Line {
        /// Line, from 1.
        line: usize,
        /// Field, where one is to blame.
        field: Option<&'static str>,
        /// What is wrong and what would be right.
        why: String,
    },
}

/// Reads a log line by line; its reviews come out in the order of time.
pub fn read(log: &mut dyn BufRead) -> Result<Vec<Review>, LogError> {
    let mut cards = Cards::default();
    let mut reviews = Vec::new();
    let mut bytes = Vec::new();
    for number in 1.. {
        bytes.clear();
        if log.read_until(b'\n', &mut bytes)? == 0 {
            break;
        }
        let line = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
        if line.trim_ascii().is_empty() {
            continue;
        }
        let review = serde_json::from_slice::<Line>(line)
            .ok()
            .and_then(|line| line.review(&mut cards));
        reviews.push(review.ok_or_else(|| blame(number, line))?);
    }
    // Most logs are in order, and sorting would take room.
    if !reviews.is_sorted_by_key(|review: &Review| review.at) {
        reviews.sort_by_key(|review| review.at);
    }
    Ok(reviews)
}

#[derive(Deserialize)]
struct Line<'a> {
    #[serde(borrow)]
    card: Name<'a>,
    t: i64,
    grade: Name<'a>,
}

/// A whole number or a text.
enum Name<'a> {
    Number(i64),
    Text(std::borrow::Cow<'a, str>),
}

impl<'de: 'a, 'a> Deserialize<'de> for Name<'a> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(NameVisitor)
    }
}

struct NameVisitor;

impl<'de> serde::de::Visitor<'de> for NameVisitor {
    type Value = Name<'de>;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a whole number or a text")
    }

    fn visit_i64<E>(self, number: i64) -> Result<Name<'de>, E> {
        Ok(Name::Number(number))
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Name<'de>, E> {
        i64::try_from(number).map(Name::Number).map_err(E::custom)
    }

    fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Name<'de>, E> {
        Ok(Name::Text(text.into()))
    }

    fn visit_str<E>(self, text: &str) -> Result<Name<'de>, E> {
        Ok(Name::Text(text.to_owned().into()))
    }
}

/// The cards met so far, by number and by text; `7` and `"7"` are two cards.
#[derive(Default)]
struct Cards {
    numbers: HashMap<i64, u32>,
    texts: HashMap<String, u32>,
}

impl Cards {
    fn of(&mut self, name: &Name<'_>) -> Option<u32> {
        let next = u32::try_from(self.numbers.len() + self.texts.len()).ok()?;
        let card = match name {
            Name::Number(number) => *self.numbers.entry(*number).or_insert(next),
            Name::Text(text) => match self.texts.get(text.as_ref()) {
                Some(card) => *card,
                None => *self.texts.entry(text.to_string()).or_insert(next),
            },
        };
        Some(card)
    }
}

impl Line<'_> {
    fn review(&self, cards: &mut Cards) -> Option<Review> {
        let grade = match &self.grade {
            Name::Number(number) => u8::try_from(*number).ok().and_then(Grade::from_number),
            Name::Text(word) => Grade::from_word(word),
        }?;
        Some(Review {
            card: cards.of(&self.card)?,
            at: self.t,
            day: i32::try_from(self.t.div_euclid(DAY)).ok()?,
            grade,
            scored: true,
        })
    }
}

/// Says what is wrong with a line that could not be read.
fn blame(number: usize, line: &[u8]) -> LogError {
    let fault = |field, why: &str| LogError::Line {
        line: number,
        field,
        why: why.to_owned(),
    };
    let fields: Map<String, Value> = match serde_json::from_slice(line) {
        Ok(fields) => fields,
        Err(error) => {
            return fault(
                None,
                &format!("not a JSON object (column {})", error.column()),
            );
        }
    };
    for (field, right) in [
        ("card", "a whole number or a text"),
        ("t", "a whole number of seconds since 1970"),
        ("grade", "1 to 4, or missed, hunted, named or on-sight"),
    ] {
        let Some(value) = fields.get(field) else {
            return fault(Some(field), &format!("missing; it must be {right}"));
        };
        let fits = match (field, value) {
            ("card", value) => value.is_i64() || value.is_string(),
            ("t", value) => value
                .as_i64()
                .is_some_and(|t| i32::try_from(t.div_euclid(DAY)).is_ok()),
            (_, Value::String(word)) => Grade::from_word(word).is_some(),
            (_, value) => value.as_u64().is_some_and(|n| (1..=4).contains(&n)),
        };
        if !fits {
            return fault(Some(field), &format!("{value} is not {right}"));
        }
    }
    fault(None, "a field stands there twice")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cards_are_numbers_or_texts_and_days_are_utc_days() {
        let log = "{\"card\":7,\"t\":86399,\"grade\":3}\n\n{\"card\":\"7\",\"t\":86400,\"grade\":\"missed\"}\n{\"card\":7,\"t\":-1,\"grade\":4}\n";
        let reviews = read(&mut log.as_bytes()).unwrap();
        let found: Vec<_> = reviews.iter().map(|r| (r.card, r.day, r.grade)).collect();
        assert_eq!(
            found,
            [
                (0, -1, Grade::OnSight),
                (0, 0, Grade::Named),
                (1, 1, Grade::Missed)
            ]
        );
    }

    #[test]
    fn a_line_that_cannot_be_read_is_named_with_its_field() {
        let good = "{\"card\":7,\"t\":86399,\"grade\":3}";
        for (bad, message) in [
            ("rubbish", "line 2: not a JSON object (column 1)"),
            ("[1]", "line 2: not a JSON object (column 0)"),
            (
                "{\"t\":1,\"grade\":3}",
                "line 2, field card: missing; it must be a whole number or a text",
            ),
            (
                "{\"card\":1.5,\"t\":1,\"grade\":3}",
                "line 2, field card: 1.5 is not a whole number or a text",
            ),
            (
                "{\"card\":1,\"t\":\"x\",\"grade\":3}",
                "line 2, field t: \"x\" is not a whole number of seconds since 1970",
            ),
            (
                "{\"card\":1,\"t\":9e18,\"grade\":3}",
                "line 2, field t: 9e+18 is not a whole number of seconds since 1970",
            ),
            (
                "{\"card\":1,\"t\":1,\"grade\":5}",
                "line 2, field grade: 5 is not 1 to 4, or missed, hunted, named or on-sight",
            ),
            (
                "{\"card\":1,\"card\":2,\"t\":1,\"grade\":3}",
                "line 2: a field stands there twice",
            ),
        ] {
            let refused = read(&mut format!("{good}\n{bad}\n").as_bytes()).expect_err("a bad line");
            assert_eq!(refused.to_string(), message);
        }
    }
}
