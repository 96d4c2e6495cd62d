//! Synonyms of the trade and of the shop, and which words say what a part does.
//!
//! The tables are in `trade_words`. Synonyms act on words of function only; a designator, a
//! net's number or a value is never replaced by another.

use std::collections::BTreeMap;

use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Known;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::trade_words::BUILT_IN;
use crate::domain::judge::read::trade_words::BY_LETTERS;
pub use crate::domain::judge::read::trade_words::CLASSES;
use crate::domain::judge::read::trade_words::FILLERS;
use crate::domain::judge::read::trade_words::FUNCTIONS;
use crate::domain::judge::read::trade_words::GENERAL;
pub use crate::domain::judge::read::trade_words::MANY;

/// Synonyms: the trade's, and on top of them the shop's own.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Synonyms {
    shop: Vec<(Vec<String>, Vec<Token>)>,
}

impl Synonyms {
    /// Returns the trade's synonyms with those of a shop (`"stby" -> "standby"`) before them.
    pub fn with_shop(map: &BTreeMap<String, String>) -> Self {
        let none = Known::default();
        let mut shop: Vec<(Vec<String>, Vec<Token>)> = map
            .iter()
            .filter_map(|(from, to)| {
                let from = tokens::lex(from, &none);
                let words_only = !from.is_empty() && from.iter().all(|t| t.kind == Kind::Word);
                let from: Vec<String> = from.into_iter().map(|t| t.text).collect();
                words_only.then(|| (from, tokens::lex(to, &none)))
            })
            .collect();
        shop.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then_with(|| a.0.cmp(&b.0)));
        Self { shop }
    }

    /// Returns `tokens` with the shop's synonyms and then the trade's replaced.
    pub fn apply(&self, tokens: &[Token]) -> Vec<Token> {
        trade(&self.shop_only(tokens))
    }

    /// Tells whether `word` is a word of any synonym that takes several words.
    pub fn in_a_phrase(&self, word: &str) -> bool {
        let of_shop = self.shop.iter().filter(|(from, _)| 1 < from.len());
        let of_trade = BUILT_IN.iter().filter(|(from, _)| from.contains(' '));
        of_shop.flat_map(|(from, _)| from).any(|w| w == word)
            || of_trade
                .flat_map(|(from, _)| from.split(' '))
                .any(|w| w == word)
    }

    /// Returns `tokens` with the shop's synonyms replaced.
    pub fn shop_only(&self, tokens: &[Token]) -> Vec<Token> {
        let mut out = Vec::new();
        let mut i = 0;
        while i < tokens.len() {
            let hit = self.shop.iter().find(|(from, _)| starts(tokens, i, from));
            if let Some((from, to)) = hit {
                out.extend(to.iter().cloned());
                i += from.len();
            } else {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
        out
    }
}

/// Returns `tokens` with the trade's own synonyms replaced.
pub fn trade(tokens: &[Token]) -> Vec<Token> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let hit = BUILT_IN
            .iter()
            .filter_map(|(from, to)| Some((run_at(tokens, i, from)?, *to)))
            .max_by_key(|(n, _)| *n);
        if let Some((n, to)) = hit {
            out.extend(to.split(' ').map(|word| Token::new(Kind::Word, word)));
            i += n;
        } else {
            out.push(tokens[i].clone());
            i += 1;
        }
    }
    out
}

/// Returns how many tokens the words of `phrase` take at `at`.
fn run_at(tokens: &[Token], at: usize, phrase: &str) -> Option<usize> {
    let first = tokens.get(at)?;
    if first.kind != Kind::Word || first.text.as_bytes().first() != phrase.as_bytes().first() {
        return None;
    }
    let mut n = 0;
    for word in phrase.split(' ') {
        if !tokens.get(at + n)?.is(word) {
            return None;
        }
        n += 1;
    }
    Some(n)
}

fn starts(tokens: &[Token], at: usize, words: &[String]) -> bool {
    tokens
        .get(at..at + words.len())
        .is_some_and(|run| run.iter().zip(words).all(|(t, w)| t.is(w)))
}

/// Tells whether the typed word `general` may stand for `special`.
pub fn covers(general: &str, special: &str) -> bool {
    general == special
        || GENERAL
            .iter()
            .any(|(word, kinds)| *word == general && kinds.contains(&special))
}

/// Tells whether `word` says what a part does.
pub fn is_trade(word: &str) -> bool {
    CLASSES.contains(&word) || FUNCTIONS.contains(&word) || MANY.contains(&word)
}

/// Returns the single words that the trade's lists know: as typed, and as understood.
pub fn plain_words() -> impl Iterator<Item = &'static str> {
    let typed = BUILT_IN.iter().map(|(from, _)| *from);
    let lists = CLASSES.iter().chain(&FUNCTIONS).chain(&MANY).copied();
    typed.chain(lists).filter(|word| !word.contains(' '))
}

/// Tells whether `word` is a class of part, or shorthand for one.
pub fn is_class(word: &str) -> bool {
    let full = BUILT_IN
        .iter()
        .find(|(from, _)| *from == word)
        .map_or(word, |(_, to)| *to);
    CLASSES.contains(&full) || MANY.contains(&full)
}

/// Tells whether `word` carries no key point.
pub fn is_filler(word: &str) -> bool {
    FILLERS.contains(&word)
}

/// Returns the class that the letters of a designator imply.
pub fn class_of(designator: &str) -> Option<&'static str> {
    let letters: String = designator
        .chars()
        .take_while(char::is_ascii_alphabetic)
        .collect();
    BY_LETTERS
        .iter()
        .find(|(l, _)| *l == letters.to_ascii_uppercase())
        .map(|(_, class)| *class)
}

/// Forms of bench verbs that no rule makes: (form, verb). Forms that are other words as well ("left",
/// "found") stay out.
const IRREGULAR: [(&str, &str); 17] = [
    ("overridden", "override"),
    ("overrode", "override"),
    ("fed", "feed"),
    ("woken", "wake"),
    ("woke", "wake"),
    ("tying", "tie"),
    ("held", "hold"),
    ("stuck", "stick"),
    ("laid", "lay"),
    ("bent", "bend"),
    ("hung", "hang"),
    ("given", "give"),
    ("rebuilt", "rebuild"),
    ("redone", "redo"),
    ("made", "make"),
    ("written", "write"),
    ("rewritten", "rewrite"),
];

/// Tells whether `token` is `lemma` or one of its forms (-s, -ed, -ing, doubled letter, or irregular).
pub fn inflected(token: &str, lemma: &str) -> bool {
    if IRREGULAR.contains(&(token, lemma)) {
        return true;
    }
    let Some(rest) = token.strip_prefix(lemma) else {
        let stem = lemma.strip_suffix('e').or_else(|| lemma.strip_suffix('y'));
        return stem
            .and_then(|stem| token.strip_prefix(stem))
            .is_some_and(|rest| matches!(rest, "ing" | "ies" | "ied"));
    };
    if matches!(rest, "" | "s" | "es" | "d" | "ed" | "ing") {
        return true;
    }
    let mut chars = rest.chars();
    let doubled = chars.next() == lemma.chars().last();
    doubled && matches!(chars.as_str(), "ed" | "ing")
}

/// Returns the regular forms of a verb, itself among them.
pub fn forms(verb: &str) -> Vec<String> {
    let bare = verb.strip_suffix('e').unwrap_or(verb);
    let last = verb.chars().last().unwrap_or_default();
    let shorthand = !verb.contains(['a', 'e', 'i', 'o', 'u']);
    if shorthand || verb.len() < 4 {
        return vec![verb.to_owned()];
    }
    let sibilant = ["sh", "ch", "ss", "x", "z"]
        .iter()
        .any(|end| verb.ends_with(end));
    let mut out = vec![
        verb.to_owned(),
        format!("{verb}{}", if sibilant { "es" } else { "s" }),
        format!("{bare}ed"),
        format!("{bare}ing"),
    ];
    let vowels = verb.matches(['a', 'e', 'i', 'o', 'u']).count();
    let short = verb
        .chars()
        .rev()
        .nth(1)
        .is_some_and(|c| "aeiou".contains(c));
    if vowels == 1 && short && bare == verb && "bdgmnprt".contains(last) {
        out.push(format!("{verb}{last}ed"));
        out.push(format!("{verb}{last}ing"));
    }
    out
}

/// Tells whether two single words are understood alike.
pub fn same_meaning(a: &str, b: &str) -> bool {
    let of = |word: &str| {
        BUILT_IN
            .iter()
            .find(|(from, _)| *from == word)
            .map_or_else(|| word.to_owned(), |(_, to)| (*to).to_owned())
    };
    of(a) == of(b)
}

/// Returns a word without its regular English ending: "discharged" and "discharging" are one word,
/// "note" is never "not".
pub fn stem(word: &str) -> String {
    let strip = |ending: &str, least: usize| {
        word.strip_suffix(ending)
            .filter(|rest| least <= rest.len())
            .map(str::to_owned)
    };
    let ends = |ending: &str| word.ends_with(ending);
    let mut bare = if ends("ss") || ends("us") || ends("is") {
        word.to_owned()
    } else {
        strip("ies", 2)
            .or_else(|| strip("ied", 2))
            .map(|rest| rest + "y")
            .or_else(|| strip("ing", 3).map(with_its_e))
            .or_else(|| strip("es", 4))
            .or_else(|| strip("ed", 4))
            .or_else(|| strip("ed", 2).map(with_its_e))
            .or_else(|| strip("s", 3))
            .unwrap_or_else(|| word.to_owned())
    };
    if 4 < bare.len() && bare.ends_with('e') {
        bare.pop();
    }
    let mut last = bare.chars().rev();
    let twice = matches!((last.next(), last.next()), (Some(a), Some(b)) if a == b);
    if twice && 3 < bare.len() {
        bare.pop();
    }
    bare
}

/// Returns three letters or fewer that an ending left with the "e" that it took: "wip" of "wiping" is
/// "wipe", while "air" of "aired", "add" of "added" and "fix" of "fixing" are whole.
fn with_its_e(rest: String) -> String {
    let vowel = |c: &char| "aeiou".contains(*c);
    let letters: Vec<char> = rest.chars().collect();
    let dropped = match letters[..] {
        [a, b] => vowel(&a) && !vowel(&b),
        [a, b, c] => !vowel(&a) && vowel(&b) && !vowel(&c) && !"wxy".contains(c),
        _ => false,
    };
    if dropped { rest + "e" } else { rest }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_word_keeps_or_regains_its_e() {
        for (typed, plain) in [
            ("wiped", "wipe"),
            ("wiping", "wipe"),
            ("used", "use"),
            ("noted", "note"),
            ("noting", "note"),
            ("taking", "take"),
            ("aired", "air"),
            ("airing", "air"),
            ("added", "add"),
            ("ending", "end"),
            ("fixed", "fix"),
            ("mixing", "mix"),
            ("towing", "tow"),
            ("drying", "dry"),
            ("eating", "eat"),
        ] {
            assert_eq!(stem(typed), stem(plain), "{typed}");
        }
    }

    fn read(words: &Synonyms, text: &str) -> String {
        tokens::normal(&words.apply(&tokens::lex(text, &Known::default())))
    }

    #[test]
    fn shop_words_come_before_trade_words_and_feed_them() {
        let map = BTreeMap::from([
            ("housekeeper".to_owned(), "always-on reg".to_owned()),
            ("u13".to_owned(), "u31".to_owned()),
            ("1v0".to_owned(), "1v8".to_owned()),
        ]);
        let words = Synonyms::with_shop(&map);
        assert_eq!(read(&words, "the housekeeper"), "the standby regulator");
        assert_eq!(
            read(&words, "u13 1v0"),
            "U13 1v",
            "never a designator or a value"
        );
        assert_eq!(
            read(&Synonyms::default(), "3V3_SB dc-dc"),
            "3.3v standby switcher"
        );
    }

    #[test]
    fn verbs_are_known_in_their_regular_forms() {
        for (token, lemma) in [
            ("bridged", "bridge"),
            ("bridging", "bridge"),
            ("swapped", "swap"),
            ("swapping", "swap"),
            ("cleans", "clean"),
            ("defied", "defy"),
        ] {
            assert!(inflected(token, lemma), "{token}");
        }
        for (token, lemma) in [
            ("bridgehead", "bridge"),
            ("swab", "swap"),
            ("fused", "fuel"),
        ] {
            assert!(!inflected(token, lemma), "{token}");
        }
    }

    #[test]
    fn general_words_stand_for_special_ones_only_that_way() {
        assert!(covers("regulator", "switcher"));
        assert!(!covers("ldo", "switcher"));
        assert!(!covers("capacitor", "crystal"));
    }
}
