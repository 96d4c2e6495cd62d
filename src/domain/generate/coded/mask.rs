//! What would give the answer away.
//!
//! Held back on a fix card: the designators of the answer's parts (whole tokens: `U31` is not `U13`,
//! but `U31.4` and `U31/L12` are), the function words of those parts (from the board's part list,
//! and from an answer that names a function), and the name of the answer's circuit where it stands
//! in a place or a test. Places of visual signs and of heat are held back always: a place that shows
//! only when it is not the answer would itself tell. Words for states, complaints and verdicts may
//! stand, and so may a voltage in a part's name: `3V3_SB low` is the very reading to be recognised.

use std::collections::BTreeSet;

use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::DIODE_VERDICTS;
use crate::domain::job::DRAWS;
use crate::domain::job::Fix;
use crate::domain::job::RAIL_VERDICTS;
use crate::domain::job::RESISTANCE_VERDICTS;
use crate::domain::job::SIGNAL_VERDICTS;
use crate::domain::job::SIGNS;

/// Words of part names and answers that tell nothing by themselves (common practice, no source).
///
/// The words of all verdicts are generic too; see [`is_generic`].
pub const GENERIC: [&str; 58] = [
    "the",
    "and",
    "for",
    "from",
    "with",
    "near",
    "under",
    "both",
    "all",
    "one",
    "two",
    "not",
    "yes",
    "none",
    "less",
    "than",
    "too",
    "power",
    "supply",
    "rail",
    "line",
    "net",
    "node",
    "pin",
    "pad",
    "pads",
    "side",
    "area",
    "board",
    "main",
    "circuit",
    "part",
    "parts",
    "component",
    "unit",
    "module",
    "assembly",
    "device",
    "point",
    "chip",
    "input",
    "output",
    "volt",
    "volts",
    "voltage",
    "current",
    "level",
    "system",
    "upper",
    "lower",
    "left",
    "right",
    "front",
    "back",
    "long",
    "large",
    "small",
    "half",
];

/// Tells whether a word says nothing about which part it is: short, a number, a voltage, a word of
/// [`GENERIC`], or a word of a verdict.
pub fn is_generic(word: &str) -> bool {
    let lower = word.to_lowercase();
    let of_verdict = |codes: &[&str]| codes.iter().any(|c| c.split('-').any(|w| w == lower));
    lower.chars().count() < 3
        || lower.chars().all(|c| c.is_ascii_digit())
        || band::voltage_token(&lower).is_some()
        || GENERIC.contains(&lower.as_str())
        || of_verdict(&DRAWS)
        || of_verdict(&RAIL_VERDICTS)
        || of_verdict(&RESISTANCE_VERDICTS)
        || of_verdict(&DIODE_VERDICTS)
        || of_verdict(&SIGNAL_VERDICTS)
        || of_verdict(&SIGNS)
}

/// Tells whether a token is a designator: letters, then a digit, as in `U31`, `TP4`, `R7A`.
pub fn is_designator(token: &str) -> bool {
    let letters = token.chars().take_while(char::is_ascii_alphabetic).count();
    let next = token.chars().nth(letters);
    letters > 0 && next.is_some_and(|c| c.is_ascii_digit())
}

/// What is held back on one card.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mask {
    tokens: BTreeSet<String>,
    whole: BTreeSet<String>,
    families: Vec<Vec<String>>,
}

impl Mask {
    /// Holds back what the right answers of a card would be told by.
    pub fn of<'a>(
        answers: impl IntoIterator<Item = &'a Fix>,
        family: Option<&str>,
        board: Option<&Board>,
    ) -> Self {
        let mut mask = Self {
            families: family.map(|f| tokens(f).collect()).into_iter().collect(),
            ..Self::default()
        };
        for fix in answers {
            for (_, part) in fix.pairs() {
                mask.add_part(part, board);
            }
        }
        mask
    }

    /// Holds back the name of another circuit as well.
    #[must_use]
    pub fn and_family(mut self, family: &str) -> Self {
        self.families.push(tokens(family).collect());
        self
    }

    fn add_part(&mut self, part: &str, board: Option<&Board>) {
        self.whole.insert(whole(part));
        for token in tokens(part) {
            if is_designator(&token) || !is_generic(&token) {
                self.tokens.insert(token);
            }
        }
        let Some(board) = board else { return };
        for (designator, known) in &board.parts {
            let named = tokens(part).any(|t| t == designator.to_uppercase());
            if named || whole(&known.name) == whole(part) {
                self.tokens.insert(designator.to_uppercase());
                let words = tokens(&known.name).filter(|w| !is_generic(w));
                self.tokens.extend(words);
            }
        }
    }

    /// Tells whether a place, a test's name or its value would give the answer away.
    pub fn tells(&self, text: &str) -> bool {
        !text.is_empty() && self.tells_of(&Words::of(text))
    }

    /// Tells the same of a text that was taken apart before.
    pub fn tells_of(&self, text: &Words) -> bool {
        let Words {
            tokens,
            whole,
            empty,
        } = text;
        let tells_circuit = |family: &Vec<String>| {
            !family.is_empty() && tokens.windows(family.len()).any(|w| w == family.as_slice())
        };
        !*empty
            && (tokens.iter().any(|t| self.tokens.contains(t))
                || self.whole.contains(whole)
                || self.families.iter().any(tells_circuit))
    }
}

/// A text taken apart, for one that many masks are asked about.
#[derive(Clone, Debug)]
pub struct Words {
    tokens: Vec<String>,
    whole: String,
    empty: bool,
}

impl Words {
    /// Takes a text apart.
    pub fn of(text: &str) -> Self {
        Self {
            tokens: tokens(text).collect(),
            whole: whole(text),
            empty: text.is_empty(),
        }
    }
}

/// Returns the runs of letters and digits, in capitals.
pub fn tokens(text: &str) -> impl Iterator<Item = String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|t| !t.is_empty())
        .map(str::to_uppercase)
}

fn whole(text: &str) -> String {
    text.trim().to_uppercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    fn mask(part: &str) -> Mask {
        let fix = Fix::new(vec![("replace".to_owned(), part.to_owned())]);
        Mask::of([&fix], Some("standby"), Some(&sample::board()))
    }

    #[track_caller]
    fn check(part: &str, place: &str, held: bool) {
        assert_eq!(mask(part).tells(place), held, "{part} against {place}");
    }

    #[test]
    fn a_designator_is_matched_whole() {
        check("U31", "U31", true);
        check("U31", "u31", true);
        check("U31", "U31.4", true);
        check("U31", "U31_VIN", true);
        check("U31", "U31/L12", true);
        check("U31/L12", "L12", true);
        check("U31", "U13", false);
        check("U31", "U311", false);
        check("U31", "L12", false);
        check("U31", "", false);
    }

    #[test]
    fn function_words_and_the_circuit_are_held_back_but_the_rail_stands() {
        check("U31", "3V3_STANDBY", true);
        check("U31", "switcher output", true);
        check("U31", "3V3_SB", false);
        check("U31", "system rail", false);
        check("L12", "coil", true);
        check("L12", "VSYS", false);
        // The circuit's name gives the first question away.
        check("R7", "STANDBY_EN", true);
        // A function answer holds back the designator that the board lists for it.
        check("standby switcher", "U31", true);
        check("3V3 regulator", "3V3_SB", false);
        check("3V3 regulator", "regulator input", true);
        check("TEST=No", "No_Output", false);
        check("QUEUE=Long", "Too_Long", false);
    }

    #[test]
    fn a_circuit_of_two_words_is_matched_as_both_in_a_row() {
        let mask = Mask::of([], Some("page-setup"), None);
        assert!(mask.tells("PAGE_SETUP dialog"));
        assert!(!mask.tells("page count"));
    }

    #[test]
    fn an_empty_mask_holds_nothing() {
        assert!(!Mask::default().tells("U31"));
    }
}
