//! Bench words of a second language, turned into those that the other tables know.
//!
//! A person who thinks in German types German words among English ones. Only words of doing and a few
//! things that protect are known; everything else stays as typed. Word list: common practice, no source.

use crate::domain::judge::tokens::Kind;
use crate::domain::judge::tokens::Token;

/// (how a German word contains it, the word it stands for); the first that fits counts.
const STEMS: [(&str, &str); 19] = [
    ("br\u{fc}ck", "bridge"),
    ("brueck", "bridge"),
    ("kurzschlie", "short"),
    ("kurzgeschlossen", "shorted"),
    ("sicherung", "fuse"),
    ("austausch", "replace"),
    ("ausgetauscht", "replaced"),
    ("tauschen", "replace"),
    ("ersetz", "replace"),
    ("erneuer", "replace"),
    ("wechseln", "replace"),
    ("gewechselt", "replaced"),
    ("nachl\u{f6}t", "reflow"),
    ("nachloet", "reflow"),
    ("reinig", "clean"),
    ("gr\u{f6}\u{df}er", "bigger"),
    ("groesser", "bigger"),
    ("st\u{e4}rker", "stronger"),
    ("staerker", "stronger"),
];

/// Returns `tokens` with the known words of the second language put into English.
pub fn translated(tokens: &[Token]) -> Vec<Token> {
    tokens
        .iter()
        .map(|token| {
            let word = STEMS
                .iter()
                .find(|(stem, _)| token.kind == Kind::Word && token.text.contains(stem));
            word.map_or_else(|| token.clone(), |(_, to)| Token::new(Kind::Word, to))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::tokens;
    use crate::domain::judge::tokens::Known;

    #[test]
    fn words_of_doing_are_put_into_english_and_the_rest_stands() {
        let read = |text: &str| tokens::normal(&translated(&tokens::lex(text, &Known::default())));
        assert_eq!(read("F3 \u{fc}berbr\u{fc}cken"), "F3 bridge");
        assert_eq!(read("U31 austauschen"), "U31 replace");
        assert_eq!(read("die Sicherung"), "die fuse");
        assert_eq!(read("bridge U31"), "bridge U31");
    }
}
