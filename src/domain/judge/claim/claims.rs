//! What a typed answer claims: pairs of act and part, affirmed or denied.
//!
//! The text is cut into segments at commas, stops, "and" and "or". A part goes with the verb before
//! it in its segment, else the one after it, else the verb of the segment before. What is only
//! checked, only a location ("next to U9") or only a reason ("because …") is no claim.

use crate::domain::judge::claim::doings;
use crate::domain::judge::claim::telling;
use crate::domain::judge::claim::which_one;
use crate::domain::judge::read::acts::CHECK;
use crate::domain::judge::read::acts::Verb;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// One claim.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Acts that the text gives for the part; empty where none is named.
    pub acts: Vec<&'static str>,
    /// The part.
    pub part: Meaning,
    /// The text denies it.
    pub negated: bool,
    /// The text only checks it.
    pub checked: bool,
    /// How much it says.
    pub tells: Tells,
}

/// How much a claim says of an act and a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tells {
    /// What its act and its part say.
    Plainly,
    /// How the part is, and of no doing with it.
    AState,
    /// An act alone: nothing stands beside it that might name a part nobody knows.
    AnActAlone,
}

/// A stretch of text between two joints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Segment {
    /// First token.
    pub from: usize,
    /// One past the last token.
    pub to: usize,
    /// The joint before it; `Stop` for the first.
    pub joint: Kind,
}

/// Cuts tokens at their joints.
pub fn segments(tokens: &[Token]) -> Vec<Segment> {
    let mut out = Vec::new();
    let mut from = 0;
    let mut joint = Kind::Stop;
    for (i, token) in tokens.iter().enumerate() {
        if token.is_joint() {
            if from < i {
                out.push(Segment { from, to: i, joint });
            }
            from = i + 1;
            joint = token.kind;
        }
    }
    if from < tokens.len() {
        out.push(Segment {
            from,
            to: tokens.len(),
            joint,
        });
    }
    out
}

const REASONS: [&str; 12] = [
    "after", "because", "since", "due", "caused", "causing", "which", "where", "if", "as", "cos",
    "when",
];
/// Words before a cause.
const GIVEN_REASONS: [&str; 5] = ["because", "since", "due", "cos", "as"];
const BESIDE: [&str; 12] = [
    "near",
    "beside",
    "behind",
    "by",
    "around",
    "feeding",
    "opposite",
    "downstream",
    "upstream",
    "nearby",
    "alongside",
    "between",
];
const AT: [&str; 6] = ["at", "on", "of", "under", "for", "in"];
const JOINTS: [&str; 12] = [
    "joint",
    "joints",
    "pad",
    "pads",
    "pin",
    "pins",
    "ball",
    "balls",
    "solder",
    "contact",
    "leg",
    "connector",
];
/// What may stand behind an act without being its part.
const BESIDES: [&str; 44] = [
    "again",
    "fresh",
    "him",
    "out",
    "back",
    "off",
    "down",
    "up",
    "then",
    "properly",
    "proper",
    "well",
    "carefully",
    "pin",
    "pins",
    "joint",
    "joints",
    "leg",
    "legs",
    "end",
    "ends",
    "sides",
    "both",
    "two",
    "three",
    "four",
    "another",
    "inside",
    "into",
    "home",
    "place",
    "like",
    "kind",
    "sort",
    "please",
    "myself",
    "there",
    "here",
    "afterwards",
    "after",
    "straight",
    "away",
    "as",
    "get",
];
const COPULAS: [&str; 12] = [
    "is", "was", "are", "were", "has", "had", "looks", "reads", "comes", "goes", "gets", "back",
];

/// Reads the claims of `tokens`, synonyms already replaced.
///
/// `reasons` says whether what is only given as a reason names nothing.
pub fn read(tokens: &[Token], parts: &Parts, reasons: bool) -> Vec<Claim> {
    let segments = segments(tokens);
    let verbs = doings::read(tokens, &segments);
    let verb = |i: usize| verbs.iter().any(|v| v.at == i);
    let thing = |i: usize| {
        let token = &tokens[i];
        !verb(i)
            && match token.kind {
                Kind::Part | Kind::Volts => true,
                Kind::Word => parts.knows(&token.text),
                _ => false,
            }
    };
    let mut off = scope::negated(tokens, &verb, &thing);
    spare(tokens, &segments, &mut off);
    let mut reader = Reader {
        tokens,
        parts,
        verbs: &verbs,
        off: &off,
        claims: Vec::new(),
        last_acts: Vec::new(),
        pending: Vec::new(),
        last_parts: Vec::new(),
        open: 0..0,
        reason: false,
        reasons,
        context: Vec::new(),
        topic: None,
        behind: Vec::new(),
        attached: Vec::new(),
    };
    let heading = telling::heading(tokens, parts);
    for segment in segments.into_iter().filter(|s| heading <= s.from) {
        reader.segment(segment);
    }
    which_one::settle(&mut reader.claims, tokens, &off, parts);
    reader.claims
}

/// Denies what a text leaves alone: "leave U31", "everything except U31", "F1 is fine", "first I thought
/// L12"; and a cell that is only taken out, or a capacitor only discharged, before the work.
fn spare(tokens: &[Token], segments: &[Segment], off: &mut [bool]) {
    for (n, segment) in segments.iter().enumerate() {
        for i in segment.from..segment.to {
            let out = tokens.get(i + 1).is_some_and(|t| t.is_any(&["out", "off"]));
            let spares = tokens[i].is_any(&["except", "excluding", "ignore"])
                || tokens[i].is("leave") && !out
                || tokens[i].is("thought") && !off[i];
            if spares {
                off[i..segment.to].fill(true);
            }
        }
        let said = &tokens[segment.from..segment.to];
        if telling::clears(said) || telling::is_made_safe(said) || telling::is_in_vain(said) {
            off[segment.from..segment.to].fill(true);
        }
        if telling::clears(said) {
            // "coil and caps measure fine".
            let joined = segments[..n].iter().zip(&segments[1..=n]).rev();
            let listed = joined.take_while(|(before, behind)| {
                behind.joint == Kind::And && telling::only_names(&tokens[before.from..before.to])
            });
            for (before, _) in listed {
                off[before.from..before.to].fill(true);
            }
        }
    }
}

struct Reader<'a> {
    tokens: &'a [Token],
    parts: &'a Parts,
    verbs: &'a [Verb],
    off: &'a [bool],
    claims: Vec<Claim>,
    /// Acts of the segment before.
    last_acts: Vec<&'static str>,
    /// Acts of segments that named no part, waiting for one.
    pending: Vec<&'static str>,
    last_parts: Vec<String>,
    /// Claims that still lack an act.
    open: std::ops::Range<usize>,
    reason: bool,
    /// Reasons name nothing.
    reasons: bool,
    /// Words that described a part earlier in the same list.
    context: Vec<String>,
    /// The part that the segment before says something of, without a claim.
    topic: Option<String>,
    /// Parts that the reason before named.
    behind: Vec<String>,
    /// Parts to which the act of the segment before was attached.
    attached: Vec<String>,
}

impl Reader<'_> {
    fn segment(&mut self, mut segment: Segment) {
        if !matches!(segment.joint, Kind::And | Kind::Or) {
            self.reason = false;
        }
        let designates = (segment.from..segment.to).any(|i| self.tokens[i].kind == Kind::Part);
        if segment.joint == Kind::Stop && designates {
            // "the clamp leaks. Change D9": an act does not reach past the sentence of its own part.
            self.open = 0..0;
        }
        if segment.joint == Kind::Stop && self.last_acts == [CHECK] {
            // "check C5, then U1 and Q1": the check does not reach past its sentence.
            self.last_acts.clear();
        }
        if self.reason {
            return;
        }
        self.without_reason(&mut segment);
        let verbs: Vec<Verb> = self
            .verbs
            .iter()
            .filter(|v| (segment.from..segment.to).contains(&v.at))
            .copied()
            .collect();
        // "clean the salt off around U25" is done where it is.
        let cleans = verbs.iter().any(|v| v.act == "clean");
        let named: Vec<usize> = (segment.from..segment.to)
            .filter(|i| self.tokens[*i].kind == Kind::Part)
            .filter(|i| cleans || !self.is_location(segment, *i))
            .collect();
        if !named.is_empty() {
            self.named(segment, &verbs, &named);
            return;
        }
        let pronoun = (segment.from..segment.to)
            .any(|i| self.tokens[i].is_any(&["it", "them", "this", "that", "both", "one", "ones"]));
        if (segment.from..segment.to).any(|i| self.tokens[i].is("both")) {
            // "F1 blew because D2 is short: both new".
            let behind = std::mem::take(&mut self.behind);
            if !behind.is_empty() {
                self.open = 0..0;
                self.last_parts.extend(behind);
            }
        }
        let meaning = self.meaning(segment, &verbs);
        let meaning = self.in_context(segment, meaning);
        if meaning != Meaning::Nothing {
            self.topic = None;
            self.described(segment, &verbs, &meaning);
        } else if !verbs.is_empty() {
            let topic = self.topic.take();
            if let Some(key) = topic.filter(|_| self.open.is_empty() && self.pending.is_empty()) {
                self.last_parts = vec![key];
                self.act_only(segment, &verbs, true);
            } else {
                self.act_only(segment, &verbs, pronoun);
            }
        } else {
            self.topic = self.topic_of(segment);
            if let Some(key) = self
                .topic
                .clone()
                .filter(|_| !self.reasons && self.is_predicated(segment))
            {
                // "the memory was bad all along" says what was missed.
                self.push(&[], Meaning::Part(key), false);
            }
        }
    }

    /// Cuts a segment where a reason begins, and tells of the parts that the reason names.
    fn without_reason(&mut self, segment: &mut Segment) {
        let that = |i: usize| {
            let next = self.tokens.get(i + 1);
            self.tokens[i].is("after") && next.is_some_and(|t| t.is_any(&["that", "this", "which"]))
        };
        let reason = (segment.from..segment.to)
            .find(|i| self.tokens[*i].is_any(&REASONS) && !that(*i))
            .filter(|i| self.reasons || !self.tokens[*i].is_any(&GIVEN_REASONS));
        // "if it is fine, …" is no claim, but what the same breath then does is one.
        let act = reason.and_then(|at| {
            self.verbs
                .iter()
                .find(|v| (at..segment.to).contains(&v.at) && v.act != CHECK)
        });
        let conditional = reason.is_some_and(|at| {
            at == segment.from
                && self.tokens[at].is_any(&["if", "since", "as", "when", "because", "after"])
        });
        if let Some(act) = act.filter(|_| conditional) {
            segment.from = act.at;
        } else if let Some(at) = reason {
            self.reason = true;
            let behind = self.tokens[at..segment.to].iter();
            self.behind = behind
                .filter(|t| t.kind == Kind::Part)
                .map(|t| t.text.clone())
                .collect();
            let told: Vec<&Token> = self.tokens[at..segment.to].iter().collect();
            if let Meaning::Part(key) = self.parts.meaning(&self.parts.description(&told))
                && self.behind.is_empty()
            {
                self.behind.push(key);
            }
            for key in self.behind.clone() {
                // "since R58 has drifted. Fit a new one".
                self.push(
                    &[],
                    Meaning::Part(key),
                    (at..segment.to).any(|i| self.off[i]),
                );
                if let Some(claim) = self.claims.last_mut() {
                    claim.tells = Tells::AState;
                }
            }
            segment.to = at;
        }
    }

    /// Reads "the primary set: switch, controller": what one list said before narrows what it says next.
    fn in_context(&mut self, segment: Segment, meaning: Meaning) -> Meaning {
        if segment.joint == Kind::Stop && !self.continues(segment) {
            self.context.clear();
        }
        let words: Vec<&Token> = self.tokens[segment.from..segment.to].iter().collect();
        let said = self.parts.description(&words);
        let meaning = match meaning {
            Meaning::Several(keys) if !self.context.is_empty() => {
                let left = self.parts.narrowed(&keys, &self.context);
                match &left[..] {
                    [one] => Meaning::Part(one.clone()),
                    _ => Meaning::Several(keys),
                }
            }
            other => other,
        };
        let functions = said.into_iter().filter(|w| {
            !words::CLASSES.contains(&w.as_str()) && !words::MANY.contains(&w.as_str())
        });
        if self.context.is_empty() {
            self.context.extend(functions);
        }
        meaning
    }

    /// Tells whether only "set", "side", "group" or the like stands before the colon of a list.
    fn continues(&self, segment: Segment) -> bool {
        segment.from.checked_sub(2).is_some_and(|i| {
            self.tokens[i].is_any(&["set", "side", "group", "kit", "lot", "stage", "parts"])
        })
    }

    fn is_predicated(&self, segment: Segment) -> bool {
        (segment.from..segment.to).any(|i| self.tokens[i].is_any(&COPULAS))
    }

    /// Returns the part that a sentence is about: "the optocoupler is aged".
    fn topic_of(&self, segment: Segment) -> Option<String> {
        let to = (segment.from..segment.to)
            .find(|i| self.tokens[*i].is_any(&COPULAS) || self.off[*i])
            .unwrap_or(segment.to);
        let told: Vec<&Token> = self.tokens[segment.from..to].iter().collect();
        let class = told
            .iter()
            .any(|t| words::CLASSES.iter().any(|c| t.is(c)) || words::MANY.iter().any(|c| t.is(c)));
        let fine = (to..segment.to).any(|i| {
            self.off[i]
                || self.tokens[i].is_any(&["fine", "ok", "good", "innocent", "normal", "can"])
        });
        let told = self.parts.description(&told);
        match self.parts.meaning(&told) {
            Meaning::Part(key) if !fine && (class || self.parts.is_named_by(&key, &told)) => {
                Some(key)
            }
            _ => None,
        }
    }

    fn named(&mut self, segment: Segment, verbs: &[Verb], named: &[usize]) {
        let start = self.claims.len();
        let tells = verbs.is_empty() && telling::tells(&self.tokens[segment.from..segment.to]);
        let looks = !verbs.is_empty() && verbs.iter().all(|v| v.act == CHECK);
        if looks && verbs[0].at == segment.from && verbs[0].at < named[0] {
            // "Q15, F3 and check U50": the check is of its own part.
            self.open = 0..0;
        }
        if !verbs.is_empty() && segment.joint == Kind::Comma && self.told_open() {
            // "D11 is short, replace U40": an act does not reach what is only told.
            self.open = 0..0;
        }
        let pending = std::mem::take(&mut self.pending);
        let mut inherited = false;
        for (n, at) in named.iter().enumerate() {
            let next_part = named.get(n + 1).copied().unwrap_or(usize::MAX);
            let before = verbs.iter().rev().find(|v| v.at < *at);
            let own = before.or_else(|| verbs.iter().find(|v| v.at > *at));
            let mut acts: Vec<&'static str> = Vec::new();
            let mut negated = self.off[*at];
            if let Some(verb) = own {
                acts.push(verb.act);
                negated |= self.off[verb.at];
                acts.extend(
                    verbs
                        .iter()
                        .filter(|v| (*at..next_part).contains(&v.at) && self.is_means(v.at))
                        .map(|v| v.act),
                );
            } else if tells {
                inherited = true;
            } else {
                acts.clone_from(&self.last_acts);
                inherited = true;
            }
            self.push(&acts, Meaning::Part(self.tokens[*at].text.clone()), negated);
            if tells && let Some(claim) = self.claims.last_mut() {
                claim.tells = Tells::AState;
            }
            for act in &pending {
                let part = Meaning::Part(self.tokens[*at].text.clone());
                self.push(&[act], part, negated);
            }
        }
        if tells && !self.last_acts.is_empty() {
            // "replace U31, C88 is only warm": what is told ends what was done.
            self.last_acts.clear();
            self.open = 0..0;
        } else {
            self.settle(start, verbs, inherited);
        }
        self.last_parts = named.iter().map(|i| self.tokens[*i].text.clone()).collect();
    }

    fn told_open(&self) -> bool {
        !self.open.is_empty()
            && self.claims[self.open.clone()]
                .iter()
                .all(|c| c.tells == Tells::AState)
    }

    fn described(&mut self, segment: Segment, verbs: &[Verb], meaning: &Meaning) {
        let start = self.claims.len();
        let pending = std::mem::take(&mut self.pending);
        let mut acts: Vec<&'static str> = verbs.iter().map(|v| v.act).collect();
        let negated = (segment.from..segment.to)
            .any(|i| self.off[i] && (verbs.iter().any(|v| v.at == i) || self.describes(i)));
        if acts.is_empty() {
            acts.clone_from(&self.last_acts);
        }
        self.last_parts = match meaning {
            Meaning::Part(key) => vec![key.clone()],
            _ => Vec::new(),
        };
        self.push(&acts, meaning.clone(), negated);
        for act in &pending {
            self.push(&[act], meaning.clone(), negated);
        }
        self.settle(start, verbs, verbs.is_empty());
    }

    fn act_only(&mut self, segment: Segment, verbs: &[Verb], pronoun: bool) {
        // "reflow won't last" denies the act as well.
        let denied = self.off[segment.to - 1];
        let affirmed = verbs.iter().filter(|v| !denied && !self.off[v.at]);
        let acts: Vec<&'static str> = affirmed.map(|v| v.act).collect();
        let negated = acts.is_empty();
        let acts: Vec<&'static str> = if negated {
            verbs.iter().map(|v| v.act).collect()
        } else {
            acts
        };
        let powers = verbs
            .iter()
            .all(|v| self.tokens[v.at].text.starts_with("power"));
        if powers {
            // "first power through a lamp" says nothing of the parts before it.
            return;
        }
        let looked_before = acts == [CHECK]
            && verbs[0].at > segment.from
            && self.tokens[verbs[0].at - 1].is_any(&["after", "before", "once"]);
        let verb_end = verbs[0].at + verbs[0].len;
        let of_its_own = acts == [CHECK]
            && segment.joint == Kind::Stop
            && !pronoun
            && (verb_end..segment.to).any(|i| {
                self.tokens[i].kind == Kind::Word && !words::is_filler(&self.tokens[i].text)
            });
        if looked_before || of_its_own {
            // "RV1 and F1, after checking that it is empty" says when.
            return;
        }
        let open = std::mem::take(&mut self.open);
        let attached = std::mem::take(&mut self.attached);
        let goes_on = segment.joint == Kind::And && open.is_empty() && !attached.is_empty();
        if goes_on && !pronoun {
            // "U11: replace and reprogram".
            self.last_parts = attached;
        }
        let pronoun = pronoun || goes_on;
        let pronoun = pronoun || acts.contains(&"replace") && self.last_acts == ["remove"];
        if pronoun && open.is_empty() && !self.last_parts.is_empty() {
            self.attached.clone_from(&self.last_parts);
            for part in self.last_parts.clone() {
                self.push(&acts, Meaning::Part(part), negated);
            }
        } else if !open.is_empty() {
            for claim in &mut self.claims[open] {
                claim.acts.clone_from(&acts);
                claim.negated |= negated;
                claim.checked = acts == [CHECK];
                if let Meaning::Part(key) = &claim.part {
                    self.attached.push(key.clone());
                }
            }
        } else {
            self.push(&acts, Meaning::Nothing, negated);
            if self.is_bare(segment, verbs)
                && let Some(claim) = self.claims.last_mut()
            {
                claim.tells = Tells::AnActAlone;
            }
            if !negated && !acts.contains(&CHECK) {
                self.pending.extend(&acts);
            }
        }
        self.last_acts = if negated { Vec::new() } else { acts };
    }

    /// Tells whether an act stands alone: what follows it up to the next joint or "with" names nothing.
    fn is_bare(&self, segment: Segment, verbs: &[Verb]) -> bool {
        verbs.iter().all(|v| {
            (v.at + v.len..segment.to)
                .map(|i| &self.tokens[i])
                .take_while(|t| {
                    !t.is_any(&[
                        "with", "so", "on", "until", "till", "by", "using", "for", "before", "to",
                        "from", "across",
                    ])
                })
                .all(|t| t.kind == Kind::Number || words::is_filler(&t.text) || t.is_any(&BESIDES))
        })
    }

    fn push(&mut self, acts: &[&'static str], part: Meaning, negated: bool) {
        let checked = !acts.is_empty() && acts.iter().all(|a| *a == CHECK);
        self.claims.push(Claim {
            acts: acts.iter().filter(|a| **a != CHECK).copied().collect(),
            part,
            negated,
            checked,
            tells: Tells::Plainly,
        });
    }

    /// Remembers the acts of a segment, and lets an act after the list reach back to its start.
    fn settle(&mut self, start: usize, verbs: &[Verb], inherited: bool) {
        let from = if self.open.is_empty() {
            start
        } else {
            self.open.start
        };
        if verbs.is_empty() {
            if inherited && self.last_acts.is_empty() {
                self.open = from..self.claims.len();
            }
            return;
        }
        let acts: Vec<&'static str> = verbs
            .iter()
            .filter(|v| !self.off[v.at])
            .map(|v| v.act)
            .collect();
        for claim in &mut self.claims[std::mem::take(&mut self.open)] {
            claim.acts.clone_from(&acts);
            claim.checked = acts == [CHECK];
        }
        self.last_acts = acts;
    }

    /// "with a jumper wire" after the part: how, not what else.
    fn is_means(&self, at: usize) -> bool {
        at > 0
            && self.tokens[at.saturating_sub(2)..at]
                .iter()
                .any(|t| t.is_any(&["with", "using", "by", "via"]))
    }

    fn is_location(&self, segment: Segment, at: usize) -> bool {
        let mut i = at;
        while i > segment.from && self.tokens[i - 1].is_any(&["the", "ic", "chip", "to", "of"]) {
            i -= 1;
            if self.tokens[i].is_any(&["to", "of"])
                && i > segment.from
                && self.tokens[i - 1].is_any(&["next", "close", "left", "right", "side"])
            {
                return true;
            }
        }
        if i > segment.from && self.tokens[i - 1].is_any(&BESIDE) {
            // "decide between U31 and C88" names suspects, not a place.
            let choice = self.tokens[segment.from..i]
                .iter()
                .any(|t| t.is_any(&["decide", "choose", "pick", "tell"]));
            return !(choice && self.tokens[i - 1].is("between"));
        }
        let at_word = (segment.from..at)
            .rev()
            .find(|j| !self.tokens[*j].is_any(&["the", "ic", "chip"]));
        let Some(at_word) = at_word.filter(|j| self.tokens[*j].is_any(&AT)) else {
            return false;
        };
        let before = &self.tokens[segment.from..at_word];
        let class = before
            .iter()
            .any(|t| words::CLASSES.iter().any(|c| t.is(c)) && !t.is_any(&JOINTS));
        let joint = before.iter().any(|t| t.is_any(&JOINTS));
        class && !joint
    }

    fn describes(&self, i: usize) -> bool {
        self.tokens[i].kind == Kind::Word && self.parts.knows(&self.tokens[i].text)
    }

    fn meaning(&self, segment: Segment, verbs: &[Verb]) -> Meaning {
        let in_verb = |i: usize| {
            verbs.iter().any(|v| {
                let firmware = self.tokens[v.at].is("firmware");
                !firmware && (v.at..v.at + v.len).contains(&i)
            })
        };
        let rest: Vec<&Token> = (segment.from..segment.to)
            .filter(|i| !in_verb(*i))
            .map(|i| &self.tokens[i])
            .collect();
        let stray = |t: &&Token| {
            t.is_any(&COPULAS)
                || t.kind == Kind::Word && !words::is_filler(&t.text) && !self.parts.knows(&t.text)
        };
        if verbs.is_empty() && rest.iter().any(stray) {
            return Meaning::Nothing;
        }
        let all = self.parts.description(&rest);
        let meaning = self.parts.meaning_in(&rest);
        let rebuilds = verbs
            .iter()
            .any(|v| ["rebuild-pad-or-trace", "reflow"].contains(&v.act));
        if meaning == Meaning::Nothing && rebuilds {
            // "the pad at the power key": the pad says where on the part, not which part.
            let place = |w: &String| ["pad", "pads", "trace", "joint", "pin"].contains(&w.as_str());
            let rest: Vec<String> = all.into_iter().filter(|w| !place(w)).collect();
            return self.parts.meaning(&rest);
        }
        meaning
    }
}
