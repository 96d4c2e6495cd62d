//! Slips of spelling in plain words of the trade: "replase the stanby swicher".
//!
//! Only a word of letters alone is mended, of at least six, that means nothing here as it stands, and only
//! to one word of at least seven letters that begins and ends alike and is one slip away: a letter
//! missing, too many, another, or two neighbours swapped. Endings are grammar and stay. Where two words
//! are as near, nothing is mended. Designators, nets and values are never read so, neither the typed ones
//! nor as what a slip may have meant. Leaves out answers judged by points, where nothing is guessed.

use std::collections::BTreeSet;

use crate::domain::judge::acts;
use crate::domain::judge::parts::Parts;
use crate::domain::judge::tokens::Kind;
use crate::domain::judge::tokens::Token;
use crate::domain::judge::words;

/// The least letters of a word that is read as a slip.
const LEAST_TYPED: usize = 6;
/// The least letters of what it may have meant.
const LEAST_MEANT: usize = 7;
/// Right words that are one letter from a word of the trade.
const NO_SLIPS: [&str; 6] = [
    "charges",
    "changer",
    "changes",
    "display",
    "connected",
    "corrector",
];

/// Returns `tokens` with slips in plain words mended.
pub fn mended(tokens: &[Token], parts: &Parts) -> Vec<Token> {
    let mut known: BTreeSet<&str> = words::plain_words().chain(acts::plain_words()).collect();
    known.extend(parts.vocabulary().filter(|word| is_plain(word)));
    tokens
        .iter()
        .map(|token| match meant(token, &known, parts) {
            Some(word) => Token::new(Kind::Word, word),
            None => token.clone(),
        })
        .collect()
}

fn is_plain(word: &str) -> bool {
    word.chars().all(|c| c.is_ascii_alphabetic())
}

fn meant<'a>(token: &Token, known: &BTreeSet<&'a str>, parts: &Parts) -> Option<&'a str> {
    let text = token.text.as_str();
    let right = token.kind != Kind::Word
        || !is_plain(text)
        || text.len() < LEAST_TYPED
        || NO_SLIPS.contains(&text)
        || known.contains(text)
        || parts.knows(text)
        || words::is_filler(text)
        || known
            .iter()
            .any(|word| words::stem(word) == words::stem(text))
        || acts::plain_words().any(|verb| words::inflected(text, verb));
    if right {
        return None;
    }
    let mut near = known
        .iter()
        .copied()
        .filter(|word| LEAST_MEANT <= word.len() && is_plain(word) && one_slip(text, word));
    let first = near.next()?;
    near.next().is_none().then_some(first)
}

/// Tells whether two words that begin and end alike are one slip apart.
fn one_slip(typed: &str, word: &str) -> bool {
    let (a, b) = (typed.as_bytes(), word.as_bytes());
    if a.first() != b.first() || a.last() != b.last() || a == b {
        return false;
    }
    let front = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let back = a
        .iter()
        .rev()
        .zip(b.iter().rev())
        .take_while(|(x, y)| x == y)
        .count();
    let (short, long) = (a.len().min(b.len()), a.len().max(b.len()));
    match long - short {
        0 => {
            let swapped = front + 2 <= short
                && a[front] == b[front + 1]
                && a[front + 1] == b[front]
                && a[front + 2..] == b[front + 2..];
            swapped || front + back + 1 >= short
        }
        1 => front + back >= short,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::tokens;
    use crate::domain::judge::words::Synonyms;
    use proptest::prelude::*;

    fn read(text: &str) -> String {
        let parts = Parts::new(None, None, &Synonyms::default());
        tokens::normal(&mended(&tokens::lex(text, parts.known()), &parts))
    }

    #[test]
    fn a_slip_in_a_long_plain_word_is_mended() {
        for (typed, meant) in [
            ("replase the stanby swicher", "replace the standby switcher"),
            ("transciever", "transceiver"),
            ("capacitr", "capacitor"),
            ("regulater", "regulator"),
            ("exchannge", "exchange"),
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
        ] {
            assert_eq!(read(typed), typed);
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
