//! What makes a wrong repair a near one: the circuit or the function without the part, the measurement that
//! would tell, two suspects with what tells them apart.
//!
//! Part of the judging by [`crate::domain::judge::compare::keypoints`]; it never makes an answer right. Word lists:
//! common practice, no source.

use crate::domain::card::Answer;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::judge::claim::claims;
use crate::domain::judge::claim::second_reading;
use crate::domain::judge::compare::keypoints::Court;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

impl Court<'_> {
    /// Two suspects, the right one among them, and the measurement that tells which.
    pub(in crate::domain::judge) fn tells_two_apart(&self) -> bool {
        let measured = self.claims.iter().any(|c| c.checked)
            || self.read.iter().any(|t| {
                t.is_any(&[
                    "measure", "read", "reads", "check", "lift", "decide", "compare",
                ])
            });
        measured
            && self.card.answers.iter().any(|answer| {
                let (right, other) = self.named(answer);
                right.len() == 1 && other.len() == 1
            })
    }

    /// The circuit or the function of the right part, with no other part named: "no clock", "5 V is
    /// missing"; or the measurement that would tell: "scope VGATE under load".
    pub(in crate::domain::judge) fn names_function(&self, answer: &Answer) -> bool {
        let right = |key: &str| {
            let of = |s: &Step| self.parts.key(&s.part, self.words) == key;
            answer.steps.iter().any(of)
        };
        let designated = |key: &str| {
            let of = |t: &Token| t.kind == Kind::Part && t.text == key;
            self.read.iter().any(of)
        };
        let elsewhere = self.meant.iter().any(|c| {
            matches!(&c.part, Meaning::Part(key)
                if !right(key) && (designated(key) || !c.acts.is_empty()))
        });
        if elsewhere || !matches!(self.card.kind, CardKind::Fix | CardKind::Caution) {
            return false;
        }
        // "check U31" looks at the right part and says no act.
        let looked = self
            .claims
            .iter()
            .any(|c| c.checked && matches!(&c.part, Meaning::Part(key) if right(key)));
        if self.measures_a_place() {
            return true;
        }
        let measured = self.asks || self.read.iter().any(is_measuring);
        let acts = self.meant.iter().any(|c| !c.acts.is_empty());
        // "clean around R9" is at the right part.
        let cleans = self
            .meant
            .iter()
            .all(|c| c.acts.iter().all(|a| *a == "clean"));
        let designated_right = (measured || !acts || cleans)
            && self
                .read
                .iter()
                .any(|t| t.kind == Kind::Part && right(&t.text));
        let moved =
            self.card.family == "interconnect" && self.read.iter().any(|t| t.is_any(&MOVING));
        let told = second_reading::told(self.read, self.parts, &[]);
        let described = !told.is_empty()
            && !acts
            && told.iter().all(|meaning| match meaning {
                Meaning::Part(key) => right(key),
                Meaning::Several(keys) => keys.iter().all(|key| right(key)),
                Meaning::Nothing => false,
            });
        looked
            || described
            || designated_right
            || moved
            || claims::segments(self.read).iter().any(|segment| {
                self.tells_function(answer, &self.read[segment.from..segment.to], measured)
            })
    }

    /// Tells whether the text measures where the readings of the card were taken.
    fn measures_a_place(&self) -> bool {
        let findings = self.card.front.iter().chain(&self.card.held_back);
        let stands = |place: &str| {
            let net = self.words.apply(&tokens::lex(place, self.parts.known()));
            let net: Vec<&Token> = net.iter().filter(|t| !t.is_joint()).collect();
            let said: Vec<&Token> = self.read.iter().filter(|t| !t.is_joint()).collect();
            !net.is_empty() && said.windows(net.len()).any(|w| w == net)
        };
        let acts = self.meant.iter().any(|c| !c.acts.is_empty());
        let ails = |t: &Token| is_measuring(t) || t.is_any(&AILING) || t.is("stays");
        !acts && self.read.iter().any(ails) && findings.map(|f| f.place.as_str()).any(stands)
    }

    /// Tells whether a stretch of text says what the right part does or belongs to, and of no other kind
    /// of part.
    fn tells_function(&self, answer: &Answer, tokens: &[Token], measured: bool) -> bool {
        let says: Vec<&Token> = tokens.iter().filter(|t| !is_state(t)).collect();
        let told = self.parts.description(&says);
        let only = says
            .iter()
            .all(|t| t.kind == Kind::Volts || t.kind == Kind::Word && self.parts.knows(&t.text));
        let fits = |word: &String| {
            answer.steps.iter().any(|s| {
                self.parts
                    .tells_of(&self.parts.key(&s.part, self.words), word)
            })
        };
        let tells = told
            .iter()
            .any(|w| fits(w) && !words::MANY.contains(&w.as_str()));
        let another = told
            .iter()
            .any(|w| !fits(w) && words::CLASSES.contains(&w.as_str()));
        let ails = self.read.iter().any(|t| t.is_any(&AILING));
        !says.is_empty() && (only || ails || measured) && tells && !another
    }
}

/// Words that say that something is amiss: a function told with one of these is its circuit, whatever
/// else the sentence says.
const AILING: [&str; 41] = [
    "leak",
    "leaks",
    "leaky",
    "leaking",
    "pulled",
    "down",
    "short",
    "shorted",
    "collapses",
    "hangs",
    "circuit",
    "no",
    "not",
    "missing",
    "absent",
    "dead",
    "gone",
    "low",
    "weak",
    "wrong",
    "drifts",
    "drifting",
    "drift",
    "isnt",
    "wont",
    "doesnt",
    "never",
    "lost",
    "nothing",
    "stuck",
    "off",
    "something",
    "somewhere",
    "interrupted",
    "slow",
    "fault",
    "open",
    "blown",
    "search",
    "sick",
    "trouble",
];

/// Words of moving what may be loose: what tells of a joint or a plug.
const MOVING: [&str; 8] = [
    "wiggle", "flex", "flexing", "twist", "bend", "tap", "push", "move",
];

/// Tells whether a word measures, looks or asks.
fn is_measuring(token: &Token) -> bool {
    const MEASURING: [&str; 15] = [
        "measure", "scope", "probe", "check", "look", "find", "ohm", "meter", "watch", "see",
        "inject", "compare", "trace", "test", "count",
    ];
    token.kind == Kind::Word
        && (MEASURING
            .iter()
            .any(|verb| words::inflected(&token.text, verb))
            || token.is_any(&["chk", "ohms", "cam", "camera", "ring", "thermal"]))
}

/// Words that say how something is, and that it is looked at, rather than what it is.
fn is_state(token: &Token) -> bool {
    token.is_joint()
        || words::is_filler(&token.text)
        || acts::is_check(&token.text)
        || token.is_any(&[
            "is",
            "are",
            "was",
            "not",
            "no",
            "isnt",
            "wont",
            "doesnt",
            "never",
            "stuck",
            "low",
            "high",
            "missing",
            "absent",
            "gone",
            "starting",
            "start",
            "starts",
            "coming",
            "come",
            "comes",
            "up",
            "down",
            "running",
            "runs",
            "something",
            "some",
            "somewhere",
            "fault",
            "problem",
            "issue",
            "trouble",
            "around",
            "near",
            "has",
            "have",
            "so",
            "sequence",
            "hangs",
            "there",
            "looks",
            "seems",
            "out",
            "off",
            "ohms",
            "resistance",
            "draw",
            "current",
            "volts",
            "voltage",
            "here",
            "charged",
            "charging",
            "ground",
            "gnd",
            "lost",
            "fails",
            "fail",
            "failing",
            "hiccups",
            "pulsing",
            "cycling",
            "noisy",
            "weak",
            "nothing",
            "about",
            "from",
            "what",
            "why",
            "where",
            "which",
            "does",
            "with",
        ])
}
