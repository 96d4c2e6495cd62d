//! What a "not" covers.
//!
//! A negator covers its clause from where it stands to the next comma, stop, "but" or "then", or to
//! a verb that starts afresh ("don't reflow U9 replace U31"). Two negators cancel ("don't forget
//! to"). A comma after a bare "don't" does not end it. Rules of our own, held by the tables of
//! sentences that use them.

use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

const NEGATORS: [&str; 30] = [
    "not",
    "never",
    "no",
    "dont",
    "doesnt",
    "didnt",
    "isnt",
    "wasnt",
    "arent",
    "wont",
    "wouldnt",
    "cant",
    "cannot",
    "couldnt",
    "shouldnt",
    "mustnt",
    "neednt",
    "hasnt",
    "havent",
    "without",
    "avoid",
    "avoiding",
    "refrain",
    "abstain",
    "resist",
    "neither",
    "nobody",
    "refuse",
    "unsafe",
    "dangerous",
];
/// Words that turn a negation round: "don't forget to", "never hesitate to".
const TURNERS: [&str; 22] = [
    "forget",
    "forgetting",
    "hesitate",
    "fail",
    "failing",
    "neglect",
    "mind",
    "afraid",
    "scared",
    "hurt",
    "harm",
    "harmful",
    "harmless",
    "wrong",
    "problem",
    "bad",
    "worry",
    "shy",
    "miss",
    "skip",
    "issue",
    "risk",
];
/// Words that may be a doing, and after another verb are the second word of that doing.
const COMPOUNDED: [&str; 16] = [
    "charge",
    "charging",
    "charged",
    "start",
    "foil",
    "tweezers",
    "pliers",
    "screwdriver",
    "spanner",
    "blade",
    "nail",
    "wire",
    "tape",
    "paperclip",
    "coin",
    "blob",
];
const FORBIDDING: [&str; 4] = ["forbidden", "prohibited", "illegal", "prevent"];

/// Tells whether `token` is a word that denies.
pub fn is_negator(token: &Token) -> bool {
    token.is_any(&NEGATORS) || token.is_any(&FORBIDDING)
}

/// Returns for every token whether it is negated.
///
/// `verb` tells where a verb starts, `object` which tokens name a thing.
pub fn negated(
    tokens: &[Token],
    verb: &dyn Fn(usize) -> bool,
    object: &dyn Fn(usize) -> bool,
) -> Vec<bool> {
    let mut out = vec![false; tokens.len()];
    let mut state = State::default();
    let mut i = 0;
    while i < tokens.len() {
        let len = state.step(tokens, i, verb, object);
        for slot in &mut out[i..(i + len).min(tokens.len())] {
            *slot = state.on();
        }
        i += len;
    }
    un_negate_instead(tokens, &mut out);
    out
}

/// What a negator denies.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
enum Cover {
    /// Nothing is denied.
    #[default]
    Nothing,
    /// The clause.
    Clause,
    /// The negator was "no": a thing, and only the verb right after it.
    Thing,
}

#[derive(Default)]
struct State {
    cover: Cover,
    since: usize,
    verb_seen: bool,
    object_seen: bool,
}

impl State {
    fn on(&self) -> bool {
        self.cover != Cover::Nothing
    }

    fn start(&mut self, at: usize, cover: Cover) {
        *self = Self {
            cover,
            since: at,
            verb_seen: false,
            object_seen: false,
        };
    }

    /// Takes the token at `i`; returns how many tokens it stands for.
    fn step(
        &mut self,
        tokens: &[Token],
        i: usize,
        verb: &dyn Fn(usize) -> bool,
        object: &dyn Fn(usize) -> bool,
    ) -> usize {
        let token = &tokens[i];
        let next_is = |word: &str| tokens.get(i + 1).is_some_and(|t| t.is(word));
        match token.kind {
            // "what I don't do: press the button".
            Kind::Stop if token.text == ":" && self.on() && is_colon_of_doing(tokens, i) => {}
            Kind::Stop => *self = Self::default(),
            Kind::Comma => {
                let bare = self.cover == Cover::Clause && !self.verb_seen && !self.object_seen;
                if !(bare && is_interjection(tokens, self.since, i)) {
                    *self = Self::default();
                }
            }
            Kind::Word => {
                let pair = (token.is("instead") || token.is("rather"))
                    && (next_is("of") || next_is("than"));
                if pair {
                    self.start(i, Cover::Clause);
                    return 2;
                }
                let half = [
                    "only",
                    "fully",
                    "properly",
                    "quite",
                    "completely",
                    "right",
                    "square",
                ];
                if token.is("not") && half.iter().any(|word| next_is(word))
                    || token.is("why") && next_is("not")
                {
                    return 2;
                }
                let afresh = tokens.get(i + 1).is_some_and(|t| {
                    t.is_any(&["i", "id", "ill", "we", "you", "the", "its", "it", "lets"])
                });
                if token.is("so") && (afresh || verb(i + 1)) && i > 0 && tokens[i - 1].text != "do"
                {
                    // "it won't come up so I'd swap U31".
                    *self = Self::default();
                    return 1;
                }
                let stands_off = i > 0 && !is_negator(&tokens[i - 1]) && !next_is("of");
                if self.on() && stands_off && token.is_any(&["since", "because", "cos"]) {
                    // "0.88 rather than 1.0, since R58 has drifted".
                    *self = Self::default();
                    return 1;
                }
                if token.is_any(&["need", "point", "reason", "use"]) && self.cover == Cover::Thing {
                    self.cover = Cover::Clause;
                }
                if is_negator(token) {
                    self.negator(tokens, i);
                    return 1;
                }
                let before_verb = self.on() && !self.verb_seen && !self.object_seen;
                if before_verb && token.is_any(&TURNERS) {
                    *self = Self::default();
                    return 1;
                }
            }
            _ => {}
        }
        if self.on() && verb(i) {
            // "don't trickle charge it", "never wrap foil round it": one doing in two words.
            let second = token.is_any(&COMPOUNDED);
            let goes_on = second && self.verb_seen && !self.object_seen && i > 0 && verb(i - 1);
            if !goes_on {
                self.verb(tokens, i);
            }
        }
        if self.on() && object(i) {
            self.object_seen = true;
        }
        1
    }

    fn negator(&mut self, tokens: &[Token], i: usize) {
        let adjacent = i > 0
            && self.on()
            && self.since + 1 == i
            && tokens[i].is_any(&["not", "no", "never", "dont", "cant", "cannot"]);
        let open = self.on() && !self.verb_seen && !self.object_seen;
        if open && !adjacent {
            *self = Self::default();
        } else if open || !self.on() {
            let thing = tokens[i].is("no") && !next_is_longer(tokens, i);
            self.start(i, if thing { Cover::Thing } else { Cover::Clause });
        } else if tokens[i].is_any(&["dont", "never"]) && !adjacent {
            // "don't prick it don't charge it": the second denies afresh.
            self.start(i, Cover::Clause);
        }
    }

    fn verb(&mut self, tokens: &[Token], i: usize) {
        let noun = i > 0
            && tokens[i - 1].is_any(&["a", "an", "the", "this", "any", "with", "using", "by"]);
        if noun {
            return;
        }
        if self.cover == Cover::Thing {
            if i == self.since + 1 {
                self.verb_seen = true;
            } else {
                *self = Self::default();
            }
        } else if (self.object_seen || self.verb_seen) && !joined(tokens, i) {
            *self = Self::default();
        } else {
            self.verb_seen = true;
        }
    }
}

fn next_is_longer(tokens: &[Token], i: usize) -> bool {
    tokens.get(i + 1).is_some_and(|t| t.is("longer"))
}

/// Tells whether what stands before the colon at `at` says no more than that something is not done.
fn is_colon_of_doing(tokens: &[Token], at: usize) -> bool {
    let clause = tokens[..at].iter().rev().take_while(|t| !t.is_joint());
    let small = |t: &Token| {
        is_negator(t)
            || t.is_any(&[
                "do", "what", "i", "we", "you", "would", "should", "must", "and", "ever", "then",
            ])
    };
    let mut words = 0;
    let plain = clause.inspect(|_| words += 1).all(small);
    plain && 1 < words
}

/// Tells whether only a negator and small words stand between `from` and the comma at `to`.
fn is_interjection(tokens: &[Token], from: usize, to: usize) -> bool {
    let small = |t: &Token| {
        t.is_any(&[
            "do", "not", "dont", "never", "ever", "should", "must", "you", "i", "we", "please",
        ])
    };
    let start = tokens[..from]
        .iter()
        .rposition(Token::is_joint)
        .map_or(0, |i| i + 1);
    tokens[start..to]
        .iter()
        .all(|t| small(t) || t.kind == Kind::Comma)
}

/// Tells whether the verb at `i` is joined to what stands before it by "and" or "or".
fn joined(tokens: &[Token], i: usize) -> bool {
    tokens[..i]
        .iter()
        .rev()
        .find(|t| !t.is_any(&["to", "also", "even", "ever", "just", "simply"]))
        .is_some_and(|t| matches!(t.kind, Kind::And | Kind::Or))
}

/// "don't replace it and bridge it instead": what follows the "and" is meant.
fn un_negate_instead(tokens: &[Token], out: &mut [bool]) {
    for i in 0..tokens.len() {
        let of = tokens.get(i + 1).is_some_and(|t| t.is("of"));
        if !tokens[i].is("instead") || of {
            continue;
        }
        let Some(start) = tokens[..i].iter().rposition(Token::is_joint) else {
            continue;
        };
        if tokens[start].kind == Kind::And {
            out[start..=i].fill(false);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::acts;
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::tokens::Known;

    /// Returns the tokens that stay affirmed, of designators and verbs only.
    fn meant(text: &str) -> String {
        let tokens = tokens::lex(text, &Known::default());
        let verb = |i: usize| acts::verb_at(&tokens, i).is_some();
        let object = |i: usize| tokens[i].kind == Kind::Part;
        let off = negated(&tokens, &verb, &object);
        let kept: Vec<&str> = (0..tokens.len())
            .filter(|i| !off[*i] && (verb(*i) || object(*i)))
            .map(|i| tokens[i].text.as_str())
            .collect();
        kept.join(" ")
    }

    #[test]
    fn a_negation_covers_its_clause_and_no_more() {
        for (text, expected) in [
            ("don't replace U31", ""),
            ("do not replace U31", ""),
            ("not U9, replace U31", "replace U31"),
            ("not U9 replace U31", "replace U31"),
            ("U31 not U9", "U31"),
            ("U31 should not be replaced", "U31"),
            ("replace U31 instead of U9", "replace U31"),
            ("instead of U9 replace U31", "replace U31"),
            ("rather than reflow U31 replace it", "replace"),
            ("instead of reflow replace U31", "replace U31"),
            ("never reflow, but replace U31", "replace U31"),
            ("do not, ever, replace U31", ""),
            ("no, replace U31", "replace U31"),
            ("no 3V3 so replace U31", "replace U31"),
            ("no need to replace U31", ""),
            ("no reflow", ""),
            ("don't forget to replace U31", "replace U31"),
            ("never ever replace U31", ""),
            ("not only U31", "U31"),
            ("don't reflow or replace U31", ""),
            ("don't reflow U31 and replace it instead", "replace"),
            ("replace U31 without removing U9", "replace U31"),
            ("avoid reflow of U31", ""),
        ] {
            assert_eq!(meant(text), expected, "{text}");
        }
    }
}
