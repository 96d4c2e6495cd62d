//! Slips of spelling in plain words of the trade: "replase the stanby swicher", "clen the craddle contcts".
//!
//! Only a word of letters alone is mended, that means nothing here as it stands, and only to a word that
//! begins alike and is near by the distance of Damerau and Levenshtein in its restricted form (a letter
//! missing, too many, another, or two neighbours swapped): one step, two in words of eight letters or
//! more. A word of four or five letters is too near to others for that; there two swapped neighbours or
//! one letter left out are mended alone. Where two words of different meaning are as near, nothing is.
//! Designators, nets and values are never read so, neither the typed ones nor as what a slip may have
//! meant.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use crate::domain::judge::read::acts;
use crate::domain::judge::read::denials;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::plain_english;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// The least letters of a word that is read as a slip.
const LEAST_TYPED: usize = 4;
/// From so many letters on a word may have a letter too many or another one.
const LEAST_CHANGED: usize = 6;
/// From so many letters on, two steps are one slip of the same word.
const LEAST_TWICE: usize = 8;

/// Shorthand that is itself near to the word it stands for.
const SHORTHAND: [&str; 5] = ["replc", "repl", "reflowd", "reflashd", "clnd"];

/// The words of the trade that a slip may have meant, with the forms of verbs.
static TRADE: LazyLock<BTreeSet<String>> = LazyLock::new(|| {
    let plain = words::plain_words().chain(acts::plain_words());
    let mut all: BTreeSet<String> = plain.filter(fits).map(str::to_owned).collect();
    all.extend(acts::plain_words().flat_map(words::forms));
    all.retain(|word| !SHORTHAND.contains(&word.as_str()));
    all
});

/// The words that a slip may have meant.
pub struct Vocabulary<'a> {
    /// Those that are no words of the trade.
    own: BTreeSet<&'a str>,
}

impl<'a> Vocabulary<'a> {
    /// Returns the words of the trade, of the parts here, and of `more`.
    pub fn new(parts: &'a Parts, more: impl Iterator<Item = &'a str>) -> Self {
        let own = parts.vocabulary().chain(more).filter(fits);
        let own = own.filter(|word| !SHORTHAND.contains(word) && !TRADE.contains(*word));
        Self { own: own.collect() }
    }

    fn has(&self, word: &str) -> bool {
        TRADE.contains(word) || self.own.contains(word)
    }

    fn words(&self) -> impl Iterator<Item = &str> {
        let trade = TRADE.iter().map(String::as_str);
        trade.chain(self.own.iter().copied())
    }
}

fn fits(word: &&str) -> bool {
    is_plain(word) && LEAST_TYPED <= word.len()
}

/// Returns `tokens` with slips in plain words mended.
pub fn mended(tokens: &[Token], parts: &Parts) -> Vec<Token> {
    mended_by(tokens, parts, &Vocabulary::new(parts, std::iter::empty()))
}

/// Returns `tokens` with slips mended to words of `known`.
pub fn mended_by(tokens: &[Token], parts: &Parts, known: &Vocabulary<'_>) -> Vec<Token> {
    tokens
        .iter()
        .map(|token| match meant(token, known, parts) {
            Some(word) => Token::new(Kind::Word, word),
            None => token.clone(),
        })
        .collect()
}

fn is_plain(word: &str) -> bool {
    word.chars().all(|c| c.is_ascii_alphabetic())
}

fn meant<'a>(token: &Token, known: &'a Vocabulary<'_>, parts: &Parts) -> Option<&'a str> {
    let text = token.text.as_str();
    let right = token.kind != Kind::Word
        || !is_plain(text)
        || text.len() < LEAST_TYPED
        || known.has(text)
        || parts.knows(text)
        || words::is_filler(text)
        || scope::is_negator(token)
        || token.is_any(&denials::SMALL)
        || plain_english::is_word(text)
        || known.has(&words::stem(text))
        || acts::plain_words().any(|verb| words::inflected(text, verb));
    if right {
        return None;
    }
    let near: Vec<(usize, &str)> = known
        .words()
        .filter_map(|word| Some((slip(text, word)?, word)))
        .collect();
    let least = near.iter().map(|(cost, _)| *cost).min()?;
    let mut nearest: Vec<&str> = near
        .iter()
        .filter(|(cost, _)| *cost == least)
        .map(|(_, word)| *word)
        .collect();
    nearest.sort_unstable();
    let mut nearest = nearest.into_iter();
    let first = nearest.next()?;
    nearest
        .all(|other| words::stem(other) == words::stem(first) || words::same_meaning(other, first))
        .then_some(first)
}

/// Returns how far `typed` is from `word` where it may be a slip of it: steps first, then whether the
/// ends or the lengths differ.
fn slip(typed: &str, word: &str) -> Option<usize> {
    let (a, b) = (typed.as_bytes(), word.as_bytes());
    if a.first() != b.first() || 2 < a.len().abs_diff(b.len()) {
        return None;
    }
    let steps = distance(a, b);
    let most = if LEAST_TWICE <= a.len().min(b.len()) {
        2
    } else {
        1
    };
    let short = a.len() < LEAST_CHANGED;
    let left_out = a.len() + 1 == b.len() && LEAST_CHANGED - 1 <= b.len();
    let fits = (1..=most).contains(&steps) && (!short || swapped(a, b) || left_out);
    let last = usize::from(a.last() != b.last());
    let length = usize::from(a.len() != b.len());
    fits.then_some(4 * steps + 2 * last + length)
}

/// Tells whether two neighbouring letters are swapped and nothing else differs.
fn swapped(a: &[u8], b: &[u8]) -> bool {
    let front = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    a.len() == b.len()
        && front + 2 <= a.len()
        && a[front] == b[front + 1]
        && a[front + 1] == b[front]
        && a[front + 2..] == b[front + 2..]
}

/// Counts the steps from one word to the other, no letter touched twice (restricted Damerau-Levenshtein
/// distance; Damerau 1964 and Wagner and Fischer 1974, from memory).
fn distance(a: &[u8], b: &[u8]) -> usize {
    let mut two_back: Vec<usize> = Vec::new();
    let mut back: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let other = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (back[j] + 1).min(row[j - 1] + 1).min(back[j - 1] + other);
            if 1 < i && 1 < j && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(two_back[j - 2] + 1);
            }
            row.push(least);
        }
        two_back = back;
        back = row;
    }
    back[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::words::Synonyms;
    use proptest::prelude::*;

    fn read(text: &str) -> String {
        let parts = Parts::new(None, None, &Synonyms::default());
        tokens::normal(&mended(&tokens::lex(text, parts.known()), &parts))
    }

    #[test]
    fn a_slip_in_a_plain_word_is_mended() {
        for (typed, meant) in [
            ("replase the stanby swicher", "replace the standby switcher"),
            ("transciever", "transceiver"),
            ("tranciever", "transceiver"),
            ("capacitr", "capacitor"),
            ("regulater", "regulator"),
            ("exchannge", "exchange"),
            ("repalced", "replaced"),
            ("claen", "clean"),
            ("clen", "clean"),
            ("reflwo", "reflow"),
            ("resitor", "resistor"),
            ("fues", "fuses"),
        ] {
            assert_eq!(read(typed), meant, "{typed}");
        }
    }

    #[test]
    fn short_words_endings_and_other_words_stand_as_typed() {
        for typed in [
            "fuze",
            "relai",
            "charges",
            "replaced",
            "replacing",
            "nothing",
            "remote",
            "placed",
            "cleanse",
        ] {
            assert_eq!(read(typed), typed);
        }
    }

    #[test]
    fn the_distance_is_the_published_one() {
        // Computed with RapidFuzz and jellyfish, which agree (restricted form, unit costs).
        for (a, b, steps) in [
            ("MARTHA", "MARHTA", 1),
            ("DIXON", "DICKSONX", 4),
            ("DWAYNE", "DUANE", 2),
            ("SHACKLEFORD", "SHACKELFORD", 1),
            ("JONES", "JOHNSON", 4),
            ("ca", "abc", 3),
        ] {
            assert_eq!(distance(a.as_bytes(), b.as_bytes()), steps, "{a} {b}");
        }
    }

    proptest! {
        #[test]
        fn designators_nets_and_values_are_never_read_as_a_slip_nor_made_of_one(
            typed in "[A-Z]{1,4}[0-9]{1,4}[A-Z]?|[0-9]{1,3}[VRKMnupa][0-9]{0,2}|[0-9]V[0-9]_[A-Z]{2,3}|V[A-Z]{2,4}_[A-Z0-9]{1,3}|[a-z]{6,11}",
        ) {
            let parts = Parts::new(None, None, &Synonyms::default());
            let before = tokens::lex(&typed, parts.known());
            let after = mended(&before, &parts);
            prop_assert_eq!(before.len(), after.len());
            for (b, a) in before.iter().zip(&after) {
                prop_assert_eq!(b.kind, a.kind);
                let mended = b != a;
                let plain = b.kind == Kind::Word && is_plain(&b.text) && is_plain(&a.text);
                prop_assert!(!mended || plain && LEAST_TYPED <= b.text.len(), "{:?} {:?}", b, a);
            }
        }
    }
}
