//! Right answers as a lead types them: `replace U31; reflow L12 + clean J2`.
//!
//! Acts are those of the vocabulary of jobs; a designator is taken as it stands in the board's list of
//! parts or on the card, where it is written in another case there, and never as another one.

use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::Step;
use crate::domain::generate::coded::mask;
use crate::domain::job::ACTS;
use crate::domain::job::Board;

/// Why a text is no list of answers.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AnswerError {
    /// Nothing stands there.
    #[error("a card needs a right answer, such as replace U31")]
    Empty,
    /// An act that no job has.
    #[error("{act:?} is no act of the shop's jobs: write one of {}", acts())]
    Act {
        /// The word.
        act: String,
    },
    /// An act without a part.
    #[error("{act} what? Write the part behind it, such as {act} U31")]
    Part {
        /// The act.
        act: String,
    },
    /// One answer twice.
    #[error("{answer} stands there twice")]
    Twice {
        /// The answer as typed.
        answer: String,
    },
}

/// Returns the acts an answer may have, for people.
fn acts() -> String {
    let all: Vec<&str> = ACTS.into_iter().filter(|act| *act != "none").collect();
    all.join(", ")
}

/// Returns the designators in a text.
pub(crate) fn parts(text: &str) -> BTreeSet<String> {
    let words = text.split(|c: char| !c.is_alphanumeric());
    let words = words.map(str::to_uppercase);
    words.filter(|word| mask::is_designator(word)).collect()
}

/// Returns a designator in `wording` that is none of the answer's: it would make another part right.
pub fn other_part(wording: &str, answer: &Answer) -> Option<String> {
    let steps = answer.steps.iter();
    // A name such as `3V3 regulator` holds no designator, but `MOSFET Q3 driver` does.
    let own: BTreeSet<String> = steps
        .flat_map(|step| [Some(&step.part), step.name.as_ref()])
        .flatten()
        .flat_map(|text| parts(text))
        .collect();
    parts(wording).difference(&own).next().cloned()
}

/// Writes answers as they are typed.
pub fn write(answers: &[Answer]) -> String {
    let answers: Vec<String> = answers
        .iter()
        .map(|answer| {
            let steps = answer.steps.iter();
            let steps: Vec<String> = steps.map(|s| format!("{} {}", s.act, s.part)).collect();
            steps.join(" + ")
        })
        .collect();
    answers.join("; ")
}

/// Reads answers as they are typed; what an answer of the card accepted besides stays with it.
pub fn read(text: &str, card: &Card, board: Option<&Board>) -> Result<Vec<Answer>, AnswerError> {
    let mut answers: Vec<Answer> = Vec::new();
    for typed in text.split(';').map(str::trim).filter(|t| !t.is_empty()) {
        let mut steps = Vec::new();
        for step in typed.split(" + ") {
            steps.push(read_step(step.trim(), card, board)?);
        }
        let same = |other: &Answer| sorted(&other.steps) == sorted(&steps);
        if answers.iter().any(same) {
            let answer = typed.to_owned();
            return Err(AnswerError::Twice { answer });
        }
        let before = card.answers.iter().find(|old| same(old));
        let also = before.map_or_else(Vec::new, |old| old.also.clone());
        answers.push(Answer { steps, also });
    }
    if answers.is_empty() {
        return Err(AnswerError::Empty);
    }
    Ok(answers)
}

fn sorted(steps: &[Step]) -> Vec<(&str, &str)> {
    let mut pairs: Vec<(&str, &str)> = steps
        .iter()
        .map(|s| (s.act.as_str(), s.part.as_str()))
        .collect();
    pairs.sort_unstable();
    pairs
}

fn read_step(text: &str, card: &Card, board: Option<&Board>) -> Result<Step, AnswerError> {
    let (word, part) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let word = word.to_lowercase();
    let act = ACTS.into_iter().find(|act| *act == word && *act != "none");
    let Some(act) = act else {
        return Err(AnswerError::Act { act: word });
    };
    let part = part.split_whitespace().collect::<Vec<_>>().join(" ");
    if part.is_empty() {
        let act = act.to_owned();
        return Err(AnswerError::Part { act });
    }
    let part = spelled(&part, card, board);
    let own = card.answers.iter().flat_map(|a| &a.steps);
    let own = own.chain(card.others.iter().flat_map(|o| &o.steps));
    let name = board
        .and_then(|b| b.parts.get(&part))
        .map(|p| p.name.clone())
        .filter(|name| !name.is_empty())
        .or_else(|| own.into_iter().find(|s| s.part == part)?.name.clone());
    Ok(Step {
        act: act.to_owned(),
        part,
        name,
    })
}

/// Returns a part as the board or the card spells it, where only the case differs.
fn spelled(part: &str, card: &Card, board: Option<&Board>) -> String {
    let of_board = board.into_iter().flat_map(|b| b.parts.keys());
    let steps = card.answers.iter().flat_map(|a| &a.steps);
    let steps = steps.chain(card.others.iter().flat_map(|o| &o.steps));
    let mut known = of_board.chain(steps.map(|s| &s.part));
    if let Some(known) = known.find(|known| known.eq_ignore_ascii_case(part)) {
        return known.clone();
    }
    let upper = part.to_uppercase();
    if mask::is_designator(&upper) {
        upper
    } else {
        part.to_owned()
    }
}

/// Returns the designators of the answers that the board's list of parts does not have.
pub fn unlisted<'a>(answers: &'a [Answer], board: &Board) -> Vec<&'a str> {
    if board.parts.is_empty() {
        return Vec::new();
    }
    let parts = answers
        .iter()
        .flat_map(|a| &a.steps)
        .map(|s| s.part.as_str());
    let unknown = parts.filter(|p| mask::is_designator(p) && !board.parts.contains_key(*p));
    unknown.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;

    fn card() -> Card {
        samples::card("a", "standby", "U31")
    }

    #[track_caller]
    fn check(text: &str, expected: Result<&str, &str>) {
        let found = read(text, &card(), None);
        let found = found.map(|a| write(&a)).map_err(|e| e.to_string());
        assert_eq!(found.as_deref().map_err(String::as_str), expected, "{text}");
    }

    #[test]
    fn what_is_typed_is_what_the_card_accepts() {
        check("replace U31", Ok("replace U31"));
        check(
            " Replace  u31 ;reflow L12 + clean J2; ",
            Ok("replace U31; reflow L12 + clean J2"),
        );
        check("clean connector J2", Ok("clean connector J2"));
        check("replace u13", Ok("replace U13"));
        check("", Err("a card needs a right answer, such as replace U31"));
        check(
            " ; ",
            Err("a card needs a right answer, such as replace U31"),
        );
        check(
            "replace",
            Err("replace what? Write the part behind it, such as replace U31"),
        );
        check(
            "replace U31; replace u31",
            Err("replace u31 stands there twice"),
        );
        check(
            "clean J2 + replace U31; replace U31 + clean J2",
            Err("replace U31 + clean J2 stands there twice"),
        );
        let no = read("hammer U31", &card(), None).unwrap_err().to_string();
        assert!(no.starts_with("\"hammer\" is no act of the shop's jobs: write one of replace, "));
        assert!(read("none U31", &card(), None).is_err());
    }

    #[test]
    fn wordings_stay_with_the_answer_they_are_of() {
        let mut card = card();
        card.answers[0].also = vec!["swap the switcher".to_owned()];
        let kept = read("reflow L12; replace U31", &card, None).unwrap();
        assert_eq!(kept[0].also, Vec::<String>::new());
        assert_eq!(kept[1].also, card.answers[0].also);
    }
}
