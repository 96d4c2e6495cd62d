//! What is typed into one field of a form: a word of its vocabulary, a day, a number.
//!
//! Exact words only, letters large or small; what is none of them is refused with a sentence that
//! says what the field takes.

use chrono::Days;
use chrono::NaiveDate;

use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyId;
use crate::domain::job::Board;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::Outcome;
use crate::domain::job::UNLOCATED;
use crate::domain::wording;

/// Words for where a board had been.
pub const ENVIRONMENTS: [&str; 6] = [
    "salt-water",
    "fresh-water",
    "sugar",
    "oil",
    "heat",
    "impact",
];

/// Longest number of a job, in characters.
const NUMBER: usize = 40;

fn plain(text: &str) -> String {
    let words = text.trim().to_lowercase();
    words.split_whitespace().collect::<Vec<_>>().join("-")
}

/// Returns the word of a vocabulary that is typed, blanks for hyphens allowed.
pub fn one_of(text: &str, words: &[&str]) -> Result<String, String> {
    let typed = plain(text);
    let found = words.iter().find(|w| **w == typed);
    found
        .map(|w| (*w).to_owned())
        .ok_or_else(|| format!("one of: {}", words.join(", ")))
}

/// Returns the board that is typed, by its id or its whole name.
pub fn board(text: &str, boards: &[Board]) -> Result<String, String> {
    let text = text.trim();
    let same = |b: &&Board| {
        b.id.eq_ignore_ascii_case(text) || b.name.to_lowercase() == text.to_lowercase()
    };
    let found = boards.iter().find(same).map(|b| b.id.clone());
    found.ok_or_else(|| "the shop has no such board".to_owned())
}

/// Returns the number of a job.
pub fn number(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.chars().count() <= NUMBER && !text.chars().any(char::is_control) {
        Ok(text.to_owned())
    } else {
        Err(format!("at most {NUMBER} characters"))
    }
}

/// Returns the day that is typed: 2026-03-14, `today`, `yesterday`.
pub fn day(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let day = match text.trim().to_lowercase().as_str() {
        "today" => Some(today),
        "yesterday" => today.checked_sub_days(Days::new(1)),
        text => NaiveDate::parse_from_str(text, "%Y-%m-%d").ok(),
    };
    let day = day.ok_or_else(|| "a day such as 2026-03-14, today, yesterday".to_owned())?;
    if today < day {
        return Err("that day is still to come".to_owned());
    }
    Ok(day)
}

/// Returns the customer's words: of the vocabulary, several between commas, or what `read` finds.
pub fn complaint(text: &str, read: impl FnOnce() -> Vec<String>) -> Result<Vec<String>, String> {
    let listed: Result<Vec<String>, String> = text
        .split([',', ';'])
        .filter(|word| !word.trim().is_empty())
        .map(|word| one_of(word, &COMPLAINTS))
        .collect();
    let found = listed.unwrap_or_else(|_| read());
    if found.is_empty() {
        return Err(format!("one or more of: {}", COMPLAINTS.join(", ")));
    }
    Ok(found)
}

/// Returns the circuit that is typed, by its id or its whole name.
pub fn family(text: &str, circuits: &Circuits) -> Result<FamilyId, String> {
    let text = text.trim();
    if text.eq_ignore_ascii_case(UNLOCATED) {
        return Ok(UNLOCATED.to_owned());
    }
    let same = |id: &str, name: &str| {
        id.eq_ignore_ascii_case(text) || name.to_lowercase() == text.to_lowercase()
    };
    let mut all = circuits.all().iter();
    let found = all.find(|f| same(&f.id, &f.name)).map(|f| f.id.clone());
    found.ok_or_else(|| {
        let ids: Vec<&str> = circuits.all().iter().map(|f| f.id.as_str()).collect();
        format!("one of: {}", ids.join(", "))
    })
}

/// Returns the outcome that is typed: its word, or `unknown`.
pub fn outcome(text: &str) -> Result<Outcome, String> {
    let typed = plain(text);
    if typed == "unknown" {
        return Ok(Outcome::UnknownSoFar);
    }
    Outcome::from_word(&typed).ok_or_else(|| {
        let words: Vec<&str> = Outcome::ALL.into_iter().map(Outcome::word).collect();
        format!("one of: {}", words.join(", "))
    })
}

/// Returns where the board had been, several words between commas.
pub fn environment(text: &str) -> Result<Vec<String>, String> {
    text.split([',', ';'])
        .filter(|word| !word.trim().is_empty())
        .map(|word| one_of(word, &ENVIRONMENTS))
        .collect()
}

/// Returns minutes, 0 or more.
pub fn minutes(text: &str) -> Result<f64, String> {
    let number = text.trim().replace(',', ".").parse::<f64>().ok();
    number
        .filter(|n| n.is_finite() && 0.0 <= *n)
        .ok_or_else(|| "a number of minutes".to_owned())
}

/// Returns the number after `last`: the digits at its end counted up, their width kept.
///
/// `W-0412` becomes `W-0413`; none where it ends without a digit.
pub fn next_number(last: &str) -> Option<String> {
    let head = last.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &last[head.len()..];
    let next = digits.parse::<u64>().ok()?.checked_add(1)?;
    Some(format!("{head}{next:0width$}", width = digits.len()))
}

/// Returns the words for an outcome that a person reads.
pub fn outcome_words(outcome: Outcome) -> String {
    wording::phrase(outcome.word())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_count_on_in_their_own_pattern() {
        for (last, next) in [
            ("W-0412", Some("W-0413")),
            ("W-0999", Some("W-1000")),
            ("9999", Some("10000")),
            ("2026/07", Some("2026/08")),
            ("W-04a", None),
            ("", None),
            ("99999999999999999999999", None),
        ] {
            assert_eq!(next_number(last).as_deref(), next, "{last}");
        }
    }

    #[test]
    fn only_whole_words_of_a_vocabulary_are_taken() {
        assert_eq!(outcome("unknown so far"), Ok(Outcome::UnknownSoFar));
        assert_eq!(outcome("Held"), Ok(Outcome::Held));
        assert!(outcome("hel").unwrap_err().starts_with("one of: held"));
        assert_eq!(complaint("no power", Vec::new).unwrap(), ["no-power"]);
        assert_eq!(
            complaint("No power, impact", Vec::new).unwrap(),
            ["no-power", "impact"]
        );
        assert!(complaint("dead", Vec::new).is_err());
        assert_eq!(
            complaint("dead", || vec!["no-power".to_owned()]).unwrap(),
            ["no-power"]
        );
        assert_eq!(environment("salt water").unwrap(), ["salt-water"]);
        assert!(minutes("1e999").is_err() && minutes("-1").is_err());
        assert_eq!(minutes("12,5"), Ok(12.5));
    }

    #[test]
    fn a_day_is_one_that_has_been() {
        let today = NaiveDate::from_ymd_opt(2026, 11, 20).unwrap();
        assert_eq!(day("2026-11-19", today), day("yesterday", today));
        assert_eq!(day("today", today), Ok(today));
        for wrong in ["2026-02-30", "2026-11-21", "tue", "14/11/2026"] {
            assert!(day(wrong, today).is_err(), "{wrong}");
        }
    }
}
