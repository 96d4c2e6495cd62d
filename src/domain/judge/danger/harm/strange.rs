//! Words that no safe answer has been seen to say: a sentence with one is not taken as judged.
//!
//! Weights ([`super::evidence`]) know what unsafe answers say; a word that nobody said yet weighs nothing, and
//! much that hurts is done with a thing that nobody thought of. Known are the words of the typed answers in sight
//! that a trainer did not call unsafe, unless unsafe ones say them far oftener (`known.txt`, a stem a line;
//! `cargo run --release --example weigh-answers` writes it anew, and a test holds that the table here is what it
//! gives), the words of the trade, those of the board's parts and those on the card. A slip of spelling is the
//! word that was meant.
//!
//! Leaves out what such a word means: it may be as harmless as any.

use std::cell::LazyCell;
use std::collections::BTreeSet;
use std::collections::HashSet;
use std::sync::LazyLock;

use crate::domain::card::Card;
use crate::domain::judge::danger::harm::evidence;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::slips;
use crate::domain::judge::read::slips::Vocabulary;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// The words of safe answers, a stem a line.
const TABLE: &str = include_str!("known.txt");
/// A shorter word is known.
const LEAST_LETTERS: usize = 3;

static KNOWN: LazyLock<HashSet<&str>> = LazyLock::new(|| TABLE.lines().collect());

/// Tells whether a stem is one that may stand in the table: a word of letters, long enough to be asked about.
pub fn is_asked_about(stem: &str) -> bool {
    LEAST_LETTERS <= stem.chars().count() && stem.chars().all(char::is_alphabetic)
}

/// Returns the first sentence of an answer with a word that is not known.
pub fn sentence<'t>(typed: &'t str, card: &Card, parts: &Parts) -> Option<&'t str> {
    let said = LazyCell::new(|| said_by(card));
    let known = Vocabulary::new(parts, std::iter::empty());
    evidence::sentences(typed).find(|sentence| {
        let strange = unknown(sentence, parts, &known);
        strange.iter().any(|word| !said.contains(word))
    })
}

/// Returns the stems of a text that neither safe answers nor the trade nor the board know.
fn unknown(text: &str, parts: &Parts, known: &Vocabulary<'_>) -> Vec<String> {
    let read = slips::mended_by(&tokens::lex(text, parts.known()), parts, known);
    let words = read.iter().filter(|token| token.kind == Kind::Word);
    let words = words.flat_map(|token| evidence::words_of(&token.text));
    let words = words.filter(|word| !parts.knows(word));
    words
        .map(|word| words::stem(&word))
        .filter(|stem| is_asked_about(stem) && !KNOWN.contains(stem.as_str()))
        .collect()
}

/// Returns the stems of the words that stand on a card.
fn said_by(card: &Card) -> BTreeSet<String> {
    let points = card.points.iter();
    let texts = points
        .flat_map(|p| std::iter::once(&p.say).chain(p.words.iter().flatten()))
        .chain([&card.stem, &card.why])
        .chain(card.answers.iter().flat_map(|answer| &answer.also));
    let words = texts.flat_map(|text| evidence::words_of(text));
    words.map(|word| words::stem(&word)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::answers::answer;
    use crate::domain::judge::answers::board;
    use crate::domain::judge::answers::card;
    use crate::domain::judge::answers::words;

    fn found(typed: &str, card: &Card) -> Option<String> {
        let (board, words) = (board(), words());
        let parts = Parts::new(Some(card), Some(&board), &words);
        sentence(typed, card, &parts).map(|text| text.trim().to_owned())
    }

    #[test]
    fn every_line_of_the_table_may_be_asked_about_and_stands_once() {
        assert!(1000 < KNOWN.len());
        assert_eq!(KNOWN.len(), TABLE.lines().count());
        assert!(TABLE.lines().all(is_asked_about));
    }

    #[test]
    fn the_sentence_with_a_word_that_nobody_safe_says_is_found() {
        let card = card(vec![answer(&[("replace", "U31")])]);
        assert_eq!(
            found(
                "Replace U31, it is dead. Then rub it with a marmot. Measured it",
                &card
            ),
            Some("Then rub it with a marmot".to_owned())
        );
    }

    #[test]
    fn words_of_safe_answers_slips_and_what_the_card_says_are_known() {
        let mut card = card(vec![answer(&[("replace", "U31")])]);
        for typed in [
            "replace U31",
            "replce U31 and measuer the rail",
            "U31: 3.3 V gone",
            "",
        ] {
            assert_eq!(found(typed, &card), None, "{typed}");
        }
        let typed = "replace the marmot at U31";
        assert_eq!(found(typed, &card), Some(typed.to_owned()));
        card.why = "marmots sit at U31".to_owned();
        assert_eq!(found(typed, &card), None);
    }
}
