//! Self-corrections: "C88, no, sorry, this is rev A: C19 new" names C19 alone.
//!
//! Only what a person takes back in so many words goes: the parts that were named before the words of
//! taking back, and only where another is named after them. The verbs before stay, for "swap U6, no wait,
//! U31" swaps. Unsafe acts are looked for in the whole text, taken back or not.

use crate::domain::judge::read::acts;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// How people take back what they said.
const TAKING_BACK: [&[&str]; 18] = [
    &["no", "wait"],
    &["no", "sorry"],
    &["no", "rather"],
    &["no", "actually"],
    &["no", "i", "mean"],
    &["no", "make", "that"],
    &["sorry"],
    &["scratch", "that"],
    &["strike", "that"],
    &["make", "that"],
    &["i", "mean"],
    &["i", "meant"],
    &["correction"],
    &["oops"],
    &["on", "reflection"],
    &["second", "thoughts"],
    &["on", "second", "thought"],
    &["quatsch"],
];

/// Returns `tokens` without the parts that were taken back.
pub fn settled(tokens: &[Token], parts: &Parts) -> Vec<Token> {
    let Some((at, to)) = (0..tokens.len())
        .rev()
        .find_map(|i| Some((i, taken_back_at(tokens, i)?)))
    else {
        return tokens.to_vec();
    };
    // "no, sorry": all of it goes.
    let from = (0..at)
        .rev()
        .find(|i| !tokens[*i].is_joint() && !tokens[*i].is_any(&["no", "oh", "ah", "wait", "nein"]))
        .map_or(0, |i| i + 1);
    let names_another = tokens[to..].iter().any(|t| t.kind == Kind::Part) || {
        let told: Vec<&Token> = tokens[to..].iter().collect();
        parts.meaning(&parts.description(&told)) != Meaning::Nothing
    };
    if !names_another {
        return tokens.to_vec();
    }
    let told = |i: usize| {
        let token = &tokens[i];
        let word = token.kind == Kind::Word && parts.knows(&token.text);
        token.kind == Kind::Part || word && acts::verb_at(tokens, i).is_none()
    };
    let before = (0..from).filter(|i| !told(*i)).map(|i| tokens[i].clone());
    before.chain(tokens[to..].iter().cloned()).collect()
}

/// Returns where the words of taking back that start at `at` end.
fn taken_back_at(tokens: &[Token], at: usize) -> Option<usize> {
    let words = |i: usize| (i..tokens.len()).filter(|j| !tokens[*j].is_joint());
    let phrase = TAKING_BACK.iter().find_map(|phrase| {
        let said: Vec<usize> = words(at).take(phrase.len()).collect();
        let alike = said.len() == phrase.len()
            && said.first() == Some(&at)
            && said.iter().zip(*phrase).all(|(i, w)| tokens[*i].is(w));
        alike.then(|| said[said.len() - 1] + 1)
    });
    // "C88, no, C19": a "no" alone between two breaks, a part on either side.
    let alone = tokens[at].is("no")
        && 1 < at
        && tokens[at - 1].is_joint()
        && tokens.get(at + 1).is_some_and(Token::is_joint)
        && tokens[at - 2].kind == Kind::Part
        && tokens.get(at + 2).is_some_and(|t| t.kind == Kind::Part);
    phrase.or(alone.then_some(at + 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::words::Synonyms;

    #[test]
    fn what_is_taken_back_goes_and_the_verb_stays() {
        let parts = Parts::new(None, None, &Synonyms::default());
        let read = |text: &str| tokens::normal(&settled(&tokens::lex(text, parts.known()), &parts));
        assert_eq!(read("C88, no, sorry, C19 new"), "C19 new");
        assert_eq!(read("swap U6, no wait, U31"), "swap U31");
        assert_eq!(read("Y1... no wait, C62. replace"), "C62 replace");
        assert_eq!(read("U17 - scratch that, U16, swap"), "U16 swap");
        assert_eq!(read("C88, no, C19"), "C19");
        assert_eq!(read("no, replace U31"), "no replace U31");
        assert_eq!(read("replace U31, sorry"), "replace U31 sorry");
    }
}
