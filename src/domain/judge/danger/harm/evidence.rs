//! The second net: how much the words of an answer tell that it hurts somebody.
//!
//! Rows and lists know the unsafe acts that somebody thought of; this knows how sentences sound for which a
//! trainer called an answer unsafe. Every word, every two neighbours, the beginning of a longer word, the length,
//! the kind of card and a few things that were read have a weight: the logarithm of the odds, in hundredths, by
//! which a sentence with it is unsafe. An answer is weighed by its worst sentence, since most that hurts is said
//! in passing, beside a right repair.
//!
//! The weights are fitted to the typed answers that were in sight (`tests/data/answers`) by logistic regression
//! with a normal prior, after Genkin, Lewis & Madigan, "Large-scale Bayesian logistic regression for text
//! categorization", Technometrics 49 (2007), 291. Trainers judged answers, not sentences: which sentence of an
//! unsafe answer is meant is learnt with the weights, as the witness of its bag in multiple-instance learning
//! (Andrews, Tsochantaridis & Hofmann, "Support vector machines for multiple-instance learning", NIPS 15, 2002);
//! both from memory. `cargo run --release --example weigh-answers` fits them anew, and a test holds that the
//! table here is what it gives. Parts are weighed as the card's own or another, numbers as numbers, so that no
//! board and no value is learnt.
//!
//! Leaves out what the act is and why it hurts: the rows say that where they find it.

use std::collections::BTreeSet;
use std::collections::HashMap;
use std::sync::LazyLock;

use crate::domain::card::Card;
use crate::domain::judge::danger::harm::protections;
use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::read::words;

/// The table: a weight in hundredths, a tab, and what has it.
const TABLE: &str = include_str!("evidence.tsv");
/// What every sentence has.
pub const ALWAYS: &str = "(always)";
/// From these log odds on an answer is not right: of the right answers of an author who was left out of the
/// fit, one in twenty.
pub const DOUBTED: f64 = -0.5;
/// From these log odds on an answer is unsafe.
pub const TOLD: f64 = 0.7;
/// From these log odds on the worst sentence of a right answer is shown as one that was not judged: of the unsafe
/// answers of an author who was left out of the fit that come out right, two in three.
pub const UNJUDGED: f64 = -2.0;
/// Below these log odds what a row found is doubted rather than believed: it keeps an answer from being right,
/// and a person who meant no harm can say so.
pub const UNLIKE: f64 = -3.0;
/// The fewest letters of a word whose beginning has a weight of its own.
const LONG: usize = 5;
/// Letters of such a beginning.
const BEGINNING: usize = 4;

static WEIGHTS: LazyLock<HashMap<&str, f64>> = LazyLock::new(|| {
    let rows = TABLE.lines().filter_map(|line| line.split_once('\t'));
    rows.filter_map(|(weight, what)| Some((what, weight.parse::<f64>().ok()? / 100.0)))
        .collect()
});

/// Returns the log odds that an answer of sentences with these traits is unsafe: those of its worst one, and which
/// that is.
pub fn weighed(sentences: &[BTreeSet<String>]) -> (f64, usize) {
    let weight = |what: &str| WEIGHTS.get(what).copied().unwrap_or(0.0);
    let of = |traits: &BTreeSet<String>| traits.iter().map(|what| weight(what)).sum::<f64>();
    let worst = sentences.iter().map(of).enumerate();
    let worst = worst.max_by(|a, b| a.1.total_cmp(&b.1));
    let (at, odds) = worst.unwrap_or((0, 0.0));
    (weight(ALWAYS) + odds, at)
}

/// Returns of each sentence of an answer everything that may have a weight; what was read in the whole answer
/// stands with each.
pub fn traits(reading: &Reading<'_>, typed: &str) -> Vec<BTreeSet<String>> {
    let mut marks: Vec<String> = vec![format!("(card) {}", reading.card.kind.word())];
    if protections::is_taken_away(reading) {
        marks.push("(protection away)".to_owned());
    }
    if protections::rates_a_fuse_anew(reading) {
        marks.push("(fuse of other amps)".to_owned());
    }
    let sentence = |text: &str| {
        let said = said(text, reading.card);
        let mut found: BTreeSet<String> = said.iter().cloned().collect();
        found.extend(said.windows(2).map(|two| two.join(" ")));
        let long = said.iter().filter(|word| LONG <= word.chars().count());
        found.extend(long.map(|word| word.chars().take(BEGINNING).collect::<String>() + "~"));
        found.insert(format!("(length) {}", (said.len() / 3).min(6)));
        found.extend(marks.iter().cloned());
        found
    };
    sentences(typed).map(sentence).collect()
}

/// Cuts a text into its sentences; the point in a number ends none.
pub(super) fn sentences(typed: &str) -> impl Iterator<Item = &str> {
    let mut from = 0;
    let mut ends: Vec<&str> = Vec::new();
    for (at, c) in typed.char_indices() {
        let rest = &typed[at + c.len_utf8()..];
        let in_number = c == '.' && rest.starts_with(|next: char| !next.is_whitespace());
        if matches!(c, '.' | '!' | '?' | ';') && !in_number {
            ends.push(&typed[from..at]);
            from = at + c.len_utf8();
        }
    }
    ends.push(&typed[from..]);
    ends.into_iter().filter(|text| !text.trim().is_empty())
}

/// Returns the words of an answer without their endings; parts and numbers as what they are to the card.
fn said(typed: &str, card: &Card) -> Vec<String> {
    let sides = card.sides.iter().map(|side| &side.answer);
    let steps = card.answers.iter().chain(sides).flat_map(|a| &a.steps);
    let own: BTreeSet<String> = steps.map(|step| step.part.to_lowercase()).collect();
    words_of(typed)
        .iter()
        .map(|word| {
            let letters = word.chars().take_while(char::is_ascii_lowercase).count();
            let digits = &word[letters..];
            let part = (1..=3).contains(&letters)
                && !digits.is_empty()
                && digits.chars().all(|c| c.is_ascii_digit());
            match word.chars().next() {
                _ if own.contains(word) => "(own part)".to_owned(),
                _ if part => "(other part)".to_owned(),
                Some(first) if first.is_ascii_digit() => "(number)".to_owned(),
                _ => words::stem(word),
            }
        })
        .collect()
}

/// Returns the words of a text in small letters: "don't" is one.
pub(super) fn words_of(typed: &str) -> Vec<String> {
    let whole: String = typed.chars().filter(|c| !['\'', '’'].contains(c)).collect();
    let words = whole.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::answers::answer;
    use crate::domain::judge::answers::card;

    #[test]
    fn every_line_of_the_table_is_a_weight() {
        let lines = TABLE.lines().count();
        assert!(1000 < lines, "{lines}");
        assert_eq!(
            WEIGHTS.len(),
            lines,
            "no trait stands twice, and none is unread"
        );
        assert!(WEIGHTS.contains_key(ALWAYS));
    }

    #[test]
    fn an_answer_is_cut_where_a_sentence_ends_and_not_in_a_number() {
        let found: Vec<&str> = sentences("New U31, 3.3 V. Proved!  So? done").collect();
        assert_eq!(found, ["New U31, 3.3 V", " Proved", "  So", " done"]);
        assert_eq!(sentences(" . ").count(), 0);
    }

    #[test]
    fn the_worst_sentence_weighs() {
        let of = |words: &[&str]| {
            words
                .iter()
                .map(|w| (*w).to_owned())
                .collect::<BTreeSet<_>>()
        };
        let worst = WEIGHTS.iter().max_by(|a, b| a.1.total_cmp(b.1));
        let (what, weight) = worst.expect("a table");
        let (alone, _) = weighed(&[of(&[what])]);
        assert!((alone - WEIGHTS[ALWAYS] - weight).abs() < 1e-12);
        let (behind, at) = weighed(&[of(&[]), of(&[what])]);
        assert!((behind - alone).abs() < 1e-12);
        assert_eq!(at, 1);
        assert!((weighed(&[]).0 - WEIGHTS[ALWAYS]).abs() < 1e-12);
    }

    #[test]
    fn a_word_is_told_without_its_ending_and_a_part_by_whose_it_is() {
        let card = card(vec![answer(&[("replace", "F1")])]);
        let told = said("Don't bridge F1, swapped U2 for 12.5 V", &card);
        assert_eq!(
            told,
            [
                "dont",
                "bridg",
                "(own part)",
                "swap",
                "(other part)",
                "for",
                "(number)",
                "(number)",
                "v"
            ]
        );
    }
}
