//! Cuts an alternative of a point into what must stand in an answer, and folds words for the comparison.
//!
//! `lead|plug off|out` stands for all four of its readings, and a `_` joins the words of one choice
//! (`plug|power_lead out`), between which only small words may stand; `=hours` is no "hour".
//! A plain word may be said in the other ways of [`also_said`]. Words are compared by their stem, whatever
//! form a verb takes, in either spelling of English; numbers in words as numbers. Leaves out where in an answer they must stand ([`points`](crate::domain::judge::compare::points)).
//! Rules and word lists: common practice, no source.

use crate::domain::judge::compare::also_said;
use crate::domain::judge::read::denials;
use crate::domain::judge::read::number_words;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Known;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;

/// An alternative, cut.
pub struct Phrase {
    /// What must stand there, in this order.
    pub slots: Vec<Slot>,
    /// It begins with a denial.
    pub denies: bool,
}

/// One word of an alternative: any of its choices, each of one word or more.
#[derive(Default)]
pub struct Slot {
    /// The choices.
    pub said: Vec<Vec<Wanted>>,
}

impl Slot {
    /// Tells whether a later clause must begin here.
    pub fn is_later(&self) -> bool {
        matches!(&self.said[..], [words] if words.iter().all(|w| w.need == Need::Later))
    }
}

/// A word of an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Its folded form, or behind a `=` the word as it must stand.
    pub word: String,
    /// How it must stand there.
    pub need: Need,
}

/// How a word of an alternative must stand in the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// Said and not denied.
    Meant,
    /// Denied or forbidden.
    Denied,
    /// A later clause begins.
    Later,
    /// A denial as the whole alternative ("no"), and not one of "no problem".
    Said,
}

impl Phrase {
    /// Returns an alternative, and what is said for the whole of it.
    pub fn all(alternative: &str, known: &Known, synonyms: &Synonyms) -> Vec<Self> {
        let whole = also_said::ways(alternative);
        let said = std::iter::once(alternative).chain(whole.iter().copied());
        said.map(|text| Self::new(text, known, synonyms))
            .filter(|phrase| !phrase.slots.is_empty())
            .collect()
    }

    fn new(text: &str, known: &Known, synonyms: &Synonyms) -> Self {
        let read = |text: &str| match text.strip_prefix('=') {
            Some(word) => vec![Token::new(Kind::Word, &format!("={word}"))],
            None => spelled_out(&synonyms.apply(&tokens::lex(text, known))),
        };
        let choices: Vec<Vec<Vec<Token>>> = if text.contains(['|', '=']) {
            let words = text.split(' ').filter(|word| !word.is_empty());
            words
                .map(|word| word.split('|').map(read).collect())
                .collect()
        } else {
            read(text).into_iter().map(|t| vec![vec![t]]).collect()
        };
        let mut every = choices.iter().flatten().flatten();
        if every.all(|t| scope::is_negator(t) || t.is("do")) {
            return Self::of_denials(&choices);
        }
        let mut cut = Cut::default();
        let mut slots = Vec::new();
        for (i, slot) in choices.iter().enumerate() {
            let next_denies = choices
                .get(i + 1)
                .is_some_and(|next| next.iter().flatten().all(|t| t.is("not")));
            if next_denies && slot.iter().flatten().all(|t| t.is("do")) {
                cut.covered = true;
                continue;
            }
            let denies = |choice: &Vec<Token>| choice.iter().all(scope::is_negator);
            if denies(&slot[0]) && i + 1 < choices.len() {
                cut.covered = true;
                continue;
            }
            let before = cut;
            let mut said = Vec::new();
            for (n, choice) in slot.iter().enumerate() {
                if denies(choice) {
                    // "where it isn't": the denial itself is asked for.
                    said.push(denials_of(choice));
                    continue;
                }
                let mut own = before;
                said.push(own.words(choice));
                if n == 0 {
                    cut = own;
                }
                if let [one] = &choice[..]
                    && (1 < choices.len() || 1 < slot.len())
                {
                    let ways = also_said::ways(&one.text).iter();
                    said.extend(ways.map(|way| before.clone().words(&read(way))));
                }
            }
            said.retain(|words| !words.is_empty());
            if !said.is_empty() {
                slots.push(Slot { said });
            }
        }
        if 2 < slots.len() {
            // "hand back" is "hand it back".
            slots.retain(
                |slot| !matches!(&slot.said[..], [one] if one.len() == 1 && one[0].word == "it"),
            );
        }
        let first = slots.first().and_then(|slot| slot.said.first()?.first());
        let denies = first.is_some_and(|w| w.need == Need::Denied);
        Self { slots, denies }
    }

    /// Returns a denial as the whole alternative.
    fn of_denials(choices: &[Vec<Vec<Token>>]) -> Self {
        let slots = choices.iter().map(|slot| Slot {
            said: slot.iter().map(|choice| denials_of(choice)).collect(),
        });
        Self {
            slots: slots.filter(|s| !s.said.is_empty()).collect(),
            denies: false,
        }
    }
}

fn denials_of(choice: &[Token]) -> Vec<Wanted> {
    let words = choice.iter().map(|token| Wanted {
        word: folded(token),
        need: Need::Said,
    });
    words.collect()
}

/// Whether what comes next in an alternative stands denied.
#[derive(Clone, Copy, Default)]
struct Cut {
    covered: bool,
}

impl Cut {
    /// Cuts the words of one choice.
    fn words(&mut self, choice: &[Token]) -> Vec<Wanted> {
        let mut out = Vec::new();
        for (i, token) in choice.iter().enumerate() {
            let do_not = token.is("do") && choice.get(i + 1).is_some_and(|t| t.is("not"));
            let wanted = |need| Wanted {
                word: folded(token),
                need,
            };
            if self.covered && token.is_any(&denials::BOUNDARIES) {
                out.push(wanted(Need::Denied));
                self.covered = false;
            } else if scope::is_negator(token) || do_not {
                self.covered = true;
            } else if token.kind == Kind::Stop {
                out.push(wanted(Need::Later));
                self.covered = false;
            } else if !token.is_joint() {
                out.push(wanted(if self.covered {
                    Need::Denied
                } else {
                    Need::Meant
                }));
            }
        }
        out
    }
}

/// Returns the number that a word is, from one on.
fn number(token: &Token) -> Option<u32> {
    match token.text.as_str() {
        _ if token.kind != Kind::Word => None,
        "hundred" => Some(100),
        word => number_words::value(word).filter(|n| 0 < *n),
    }
}

/// Returns `tokens` with numbers of several words as one: "twenty-five", "a hundred", "two hundred".
pub fn spelled_out(tokens: &[Token]) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let first = number(&tokens[i]);
        let next = tokens.get(i + 1).and_then(number);
        let hundreds = tokens.get(i + 1).is_some_and(|t| t.is("hundred"));
        let whole = match (first, next) {
            (Some(tens @ 20..=90), Some(ones @ 1..=9)) => Some(tens + ones),
            (Some(n @ 1..=9), _) if hundreds => Some(100 * n),
            _ if hundreds && tokens[i].is("a") => Some(100),
            _ => None,
        };
        if let Some(whole) = whole {
            out.push(Token::new(Kind::Number, &whole.to_string()));
            i += 2;
        } else {
            out.push(tokens[i].clone());
            i += 1;
        }
    }
    out
}

/// Words that mean one here, and forms that no rule makes: (form, word).
const ALIKE: [(&str, &str); 58] = [
    ("these", "that"),
    ("this", "that"),
    ("those", "that"),
    ("till", "until"),
    ("til", "until"),
    ("afterwards", "after"),
    ("afterward", "after"),
    ("towards", "toward"),
    ("took", "take"),
    ("taken", "take"),
    ("ate", "eat"),
    ("eaten", "eat"),
    ("drank", "drink"),
    ("drunk", "drink"),
    ("broke", "break"),
    ("broken", "break"),
    ("blew", "blow"),
    ("blown", "blow"),
    ("gave", "give"),
    ("given", "give"),
    ("kept", "keep"),
    ("wore", "wear"),
    ("worn", "wear"),
    ("lit", "light"),
    ("lost", "lose"),
    ("knew", "know"),
    ("known", "know"),
    ("wrote", "write"),
    ("written", "write"),
    ("drew", "draw"),
    ("drawn", "draw"),
    ("said", "say"),
    ("told", "tell"),
    ("caught", "catch"),
    ("burnt", "burn"),
    ("bled", "bleed"),
    ("fed", "feed"),
    ("held", "hold"),
    ("found", "find"),
    ("made", "make"),
    ("sent", "send"),
    ("brought", "bring"),
    ("meant", "mean"),
    ("ran", "run"),
    ("swollen", "swell"),
    ("stuck", "stick"),
    ("stood", "stand"),
    ("threw", "throw"),
    ("thrown", "throw"),
    ("proven", "prove"),
    ("shown", "show"),
    ("began", "begin"),
    ("begun", "begin"),
    ("sucked", "suck"),
    ("gray", "grey"),
    ("metre", "meter"),
    ("mould", "mold"),
    ("fibre", "fiber"),
];

/// Returns what a token is compared by: words by their stem, numbers by their figures, all else as it stands.
pub fn folded(token: &Token) -> String {
    if token.kind == Kind::Value {
        let order = [("1st", "first"), ("2nd", "second"), ("3rd", "third")];
        let word = order.iter().find(|(short, _)| token.text == *short);
        return word.map_or_else(|| token.text.clone(), |(_, word)| words::stem(word));
    }
    if token.kind != Kind::Word {
        return token.text.clone();
    }
    if token.text.starts_with('=') {
        return token.text.clone();
    }
    if let Some(number) = number(token) {
        return number.to_string();
    }
    let alike = ALIKE.iter().find(|(form, _)| token.is(form));
    let stem = words::stem(alike.map_or(token.text.as_str(), |(_, word)| word));
    one_spelling(&stem)
}

/// Returns a stem in one of the two spellings of English: "vapour" and "vapor", "ionise" and "ionize".
fn one_spelling(stem: &str) -> String {
    match stem {
        _ if 6 <= stem.len() && stem.ends_with("our") => format!("{}or", &stem[..stem.len() - 3]),
        _ if 5 <= stem.len() && stem.ends_with("iz") => format!("{}is", &stem[..stem.len() - 2]),
        _ => stem.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::KeyPoint;
    use crate::domain::judge::compare::points::judge_points;

    fn named(alternative: &str, typed: &str) -> bool {
        let point = KeyPoint {
            say: "the point".to_owned(),
            words: vec![vec![alternative.to_owned()]],
            needed: true,
        };
        judge_points(typed, &[point], None, &Synonyms::default()).hits[0]
    }

    #[test]
    fn choices_stand_for_each_of_their_readings() {
        for typed in ["lead out", "pull the plug off", "the mains lead is out"] {
            assert!(named("lead|plug|mains_lead off|out", typed), "{typed}");
        }
        for typed in ["lead in", "out with the lead", "lead", "plug not out"] {
            assert!(!named("lead|plug|mains_lead off|out", typed), "{typed}");
        }
    }

    #[test]
    fn the_words_of_one_choice_stand_beside_each_other() {
        assert!(named("power_lead|plug out", "the power lead is out"));
        assert!(!named("power_lead|plug out", "power from one lead out"));
    }

    #[test]
    fn a_denial_among_the_choices_is_asked_for_itself() {
        for typed in ["where it isn't", "the place where it fails"] {
            assert!(named("where isnt|not|fails", typed), "{typed}");
        }
        assert!(!named("where isnt|not|fails", "where it works"));
        assert!(named("no|never squeeze|poke", "never squeeze it"));
        assert!(named("no|never squeeze|poke", "nobody pokes that"));
        assert!(!named("no|never squeeze|poke", "squeeze it"));
    }

    #[test]
    fn an_exact_word_is_no_other_form_of_it() {
        assert!(named("=hours|overnight", "some hours"));
        assert!(!named("=hours|overnight", "an hour"));
    }

    #[test]
    fn numbers_are_the_same_in_words_and_in_figures() {
        for (asked, typed) in [
            ("30 min", "thirty min"),
            ("25 joule", "twenty-five joules"),
            ("100", "a hundred"),
            ("200", "two hundred"),
            ("three pins", "3 pins"),
            ("first bad", "1st bad"),
        ] {
            assert!(named(asked, typed), "{typed}");
        }
        assert!(!named("25 joule", "twenty joules"));
        assert!(!named("200", "a hundred"));
    }

    #[test]
    fn forms_and_spellings_of_a_word_are_one_word() {
        for (asked, typed) in [
            ("eat", "eaten"),
            ("take", "took"),
            ("wipe", "wiping"),
            ("air", "aired"),
            ("vapour", "vapors"),
            ("ionise", "ionized"),
            ("until dry", "till dry"),
        ] {
            assert!(named(asked, typed), "{typed}");
        }
        for (asked, typed) in [("note", "not"), ("for", "four"), ("see", "saw")] {
            assert!(!named(asked, typed), "{typed}");
        }
    }
}
