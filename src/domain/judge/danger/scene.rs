//! Finds which verb acts on which thing in a text, for the table of unsafe acts.
//!
//! In doubt it finds the act: a cautious reading of a clause that nobody denied.

use crate::domain::job::Board;
use crate::domain::judge::claim::claims;
use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::claim::reports;
use crate::domain::judge::danger::hazards::HAZARDS;
use crate::domain::judge::danger::hazards::Hazard;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::denials;
use crate::domain::judge::read::nouns;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// A text ready to be searched.
pub struct Scene<'a> {
    /// Its tokens.
    pub tokens: Vec<Token>,
    /// Its segments.
    pub segments: Vec<Segment>,
    /// Which tokens are denied.
    pub off: Vec<bool>,
    /// Denied, refused or taken away again; not what is merely told of somebody else or was found.
    pub denied: Vec<bool>,
    verbs: Vec<usize>,
    /// Of each token that is a designator, what tells which thing it is.
    parts: Vec<Option<PartWords>>,
    board: Option<&'a Board>,
}

/// What tells which thing a part is: the letters of its designator, and the words of its name.
struct PartWords {
    letters: String,
    name: Vec<String>,
}

impl PartWords {
    fn of(designator: &str, board: Option<&Board>) -> Self {
        let letters = designator.chars().take_while(char::is_ascii_alphabetic);
        let parts = board.into_iter().flat_map(|board| &board.parts);
        let mut own = parts.filter(|(name, _)| name.eq_ignore_ascii_case(designator));
        let name = own.next().map_or_else(Vec::new, |(_, part)| {
            let name = part.name.to_lowercase().replace("cut-out", "cutout");
            let words = name.split(|c: char| !c.is_alphanumeric() && c != '-');
            words.map(str::to_owned).collect()
        });
        Self {
            letters: letters.collect(),
            name,
        }
    }

    fn is(&self, thing: &Thing) -> bool {
        let has = |list: &[&str]| self.name.iter().any(|word| list.contains(&word.as_str()));
        thing.letters.contains(&self.letters.as_str()) || has(thing.named) && !has(thing.named_not)
    }
}

/// Verbs that are no act of repair but end the reach of the verb before them.
const PLAIN_VERBS: [&str; 34] = [
    "fit",
    "use",
    "put",
    "add",
    "make",
    "place",
    "install",
    "run",
    "connect",
    "find",
    "undo",
    "clear",
    "cut",
    "restore",
    "leave",
    "keep",
    "wait",
    "let",
    "apply",
    "inject",
    "feed",
    "dry",
    "evaporate",
    "isolate",
    "disconnect",
    "unplug",
    "reconnect",
    "open",
    "blow",
    "wick",
    "discharge",
    "work",
    "know",
    "stop",
];
/// Verbs whose object goes away or is only looked at.
const UNDOING: [&str; 26] = [
    "remove", "take", "undo", "clear", "clean", "cut", "wick", "lift", "pull", "desolder",
    "unsolder", "find", "check", "look", "inspect", "replace", "swap", "change", "spot", "see",
    "measure", "test", "verify", "break", "discard", "chk",
];
const MENDING: [&str; 16] = [
    "replace",
    "fit",
    "renew",
    "restore",
    "remove",
    "refit",
    "swap",
    "new",
    "reinstall",
    "undo",
    "clear",
    "change",
    "reconnect",
    "clean",
    "wick",
    "put",
];
/// Plain nouns of a board: a verb with one of these as object means it.
const NEUTRAL: [&str; 34] = [
    "trace",
    "traces",
    "track",
    "tracks",
    "pad",
    "pads",
    "resistor",
    "resistors",
    "via",
    "vias",
    "pin",
    "pins",
    "connector",
    "capacitor",
    "cap",
    "inductor",
    "coil",
    "diode",
    "transistor",
    "relay",
    "net",
    "line",
    "gap",
    "pullup",
    "ferrite",
    "mosfet",
    "fet",
    "joint",
    "break",
    "land",
    "rail",
    "button",
    "crystal",
    "regulator",
];
const PRONOUNS: [&str; 9] = [
    "it", "them", "this", "that", "one", "ones", "both", "these", "they",
];

impl<'a> Scene<'a> {
    /// Prepares `tokens`.
    pub fn new(tokens: Vec<Token>, board: Option<&'a Board>) -> Self {
        let segments = claims::segments(&tokens);
        let mut scene = Self {
            tokens,
            segments,
            off: Vec::new(),
            denied: Vec::new(),
            verbs: Vec::new(),
            parts: Vec::new(),
            board,
        };
        let part =
            |token: &Token| (token.kind == Kind::Part).then(|| PartWords::of(&token.text, board));
        scene.parts = scene.tokens.iter().map(part).collect();
        scene.verbs = (0..scene.tokens.len())
            .filter(|i| scene.starts_verb(*i))
            .collect();
        let is_verb = |i: usize| scene.verbs.contains(&i);
        let is_thing = |i: usize| {
            !is_verb(i)
                && (scene.tokens[i].kind == Kind::Part
                    || HAZARDS.iter().any(|h| scene.thing_at(i, &h.thing))
                    || words::is_trade(&scene.tokens[i].text)
                    || scene.tokens[i].is_any(&NEUTRAL))
        };
        scene.off = scope::negated(&scene.tokens, &is_verb, &is_thing);
        denials::refuse_reports(&scene.tokens, &mut scene.off);
        let told = reports::told(&scene.tokens, &scene.segments);
        let refused = reports::refused(&scene.tokens, &scene.segments);
        for (off, refused) in scene.off.iter_mut().zip(refused) {
            *off |= refused;
        }
        scene.denied = scene.off.clone();
        for (off, told) in scene.off.iter_mut().zip(told) {
            *off |= told;
        }
        scene
    }

    /// Tells whether a doing starts at `i`.
    pub fn is_doing(&self, i: usize) -> bool {
        self.verbs.contains(&i)
    }

    fn starts_verb(&self, i: usize) -> bool {
        let token = &self.tokens[i];
        if token.kind != Kind::Word || self.is_plain_noun(i) {
            return false;
        }
        let plain = PLAIN_VERBS.iter().any(|v| words::inflected(&token.text, v));
        plain
            || acts::verb_at(&self.tokens, i).is_some_and(|v| !v.weak)
            || HAZARDS
                .iter()
                .flat_map(|h| h.verbs)
                .any(|v| self.verb_phrase(i, v).is_some())
    }

    /// Returns the length of the verb `phrase` at `i`, where the words there are a doing.
    fn verb_phrase(&self, i: usize, phrase: &str) -> Option<usize> {
        let len = acts::phrase_at(&self.tokens, i, phrase).or_else(|| self.parted(i, phrase))?;
        (!self.is_plain_noun(i)).then_some(len)
    }

    /// "leave the earth off", "link F1 out": the thing stands inside a verb of two words.
    fn parted(&self, i: usize, phrase: &str) -> Option<usize> {
        let (verb, particle) = phrase.split_once(' ')?;
        if !["off", "out", "across", "over", "away"].contains(&particle)
            || !words::inflected(&self.tokens[i].text, verb)
        {
            return None;
        }
        let after = self.tokens.get(i + 2..(i + 6).min(self.tokens.len()))?;
        let at = after.iter().position(|t| t.is(particle))?;
        let inside = &self.tokens[i + 1..i + 2 + at];
        let plain = inside.iter().all(|t| {
            t.kind == Kind::Part
                || t.kind == Kind::Word && !t.is_any(&["with", "by", "and", "from", "to", "on"])
        });
        plain.then_some(1)
    }

    fn is_plain_noun(&self, i: usize) -> bool {
        nouns::is_plain_noun(&self.tokens, i, self.any_thing_at(i + 1)) || self.names_next(i)
    }

    /// "shunt R50", where the board's list calls R50 the current shunt: its name, and no doing with it.
    pub fn names_next(&self, i: usize) -> bool {
        let next = self.parts.get(i + 1).and_then(Option::as_ref);
        next.is_some_and(|part| part.name.contains(&self.tokens[i].text))
    }

    fn any_thing_at(&self, i: usize) -> bool {
        i < self.tokens.len() && HAZARDS.iter().any(|h| self.thing_at(i, &h.thing))
    }

    /// Tells whether a `thing` is named at token `i`.
    pub fn thing_at(&self, i: usize, thing: &Thing) -> bool {
        if let Some(part) = &self.parts[i] {
            return part.is(thing);
        }
        thing.words.iter().any(|words| {
            let Some(len) = exact_at(&self.tokens, i, words) else {
                return false;
            };
            let after = self.tokens.get(i + len);
            let before = (i.saturating_sub(2)..i).any(|j| self.tokens[j].is_any(thing.not_after));
            !before && !after.is_some_and(|t| t.is_any(thing.not_before))
        })
    }

    /// Tells whether the part called `designator` is a `thing`.
    pub fn is_part(&self, designator: &str, thing: &Thing) -> bool {
        PartWords::of(designator, self.board).is(thing)
    }

    /// Tells whether a row of the table happens in this text.
    pub fn happens(&self, hazard: &Hazard) -> bool {
        (0..self.tokens.len()).any(|i| {
            let len = hazard
                .verbs
                .iter()
                .filter_map(|v| self.verb_phrase(i, v))
                .max();
            len.is_some_and(|len| self.done(i, len, hazard))
        })
    }

    fn done(&self, at: usize, len: usize, hazard: &Hazard) -> bool {
        if !self.is_meant(at) {
            return false;
        }
        let Some(reach) = self.object(at, len, &hazard.thing) else {
            return false;
        };
        if self.mended(at, &hazard.thing) {
            return false;
        }
        if hazard.refitted && !(hazard.context.is_empty()) {
            // A new cell may be charged: only the bad one must not be.
            let own = reach == Reach::Own;
            if !own && self.fitted_again(at, &hazard.thing) || self.new_one(at + len) {
                return false;
            }
        } else if hazard.refitted && self.fitted_again(at, &hazard.thing) {
            return false;
        }
        if !hazard.context.is_empty() && !self.context(at, reach, hazard) {
            return false;
        }
        !self.says(hazard.unless)
    }

    /// Tells whether the verb at `at` is affirmed, done rather than looked for, and not condemned.
    pub fn is_meant(&self, at: usize) -> bool {
        let segment = self.segment(at);
        let governor = self.governor(segment, at);
        if let Some(governor) = governor.filter(|_| self.as_noun(at)) {
            let undoing = UNDOING
                .iter()
                .any(|v| words::inflected(&self.tokens[governor].text, v));
            if undoing {
                return self.off[governor] && self.kept(governor);
            }
        }
        if self.off[at] {
            return self.excepted(at);
        }
        let asked = (segment.from..at).any(|i| self.tokens[i].is_any(&["if", "whether", "for"]));
        let checking = (segment.from..at)
            .any(|i| acts::verb_at(&self.tokens, i).is_some_and(|v| v.act == acts::CHECK));
        !(asked && checking || self.condemned(at))
    }

    /// "don't remove the bridge": leaving it in.
    fn kept(&self, governor: usize) -> bool {
        [
            "remove", "undo", "clear", "cut", "lift", "pull", "desolder", "take",
        ]
        .iter()
        .any(|v| words::inflected(&self.tokens[governor].text, v))
    }

    fn as_noun(&self, at: usize) -> bool {
        acts::is_noun(&self.tokens, at)
            || self.tokens[at].text.ends_with('s')
            || at > 0 && self.tokens[at - 1].is_any(&["and", "customers", "wire", "their", "his"])
            || at > 0 && self.tokens[at].text.ends_with("ed") && acts::is_noun(&self.tokens, at)
    }

    /// "never … except to test": allowed after all, unless it defers to the maker.
    fn excepted(&self, at: usize) -> bool {
        let end = self.clause_end(at);
        let except = (at..end).find(|i| self.tokens[*i].is_any(&["except", "unless"]));
        except.is_some_and(|from| {
            !(from..end).any(|i| {
                self.tokens[i].is_any(&[
                    "maker",
                    "makers",
                    "manufacturer",
                    "rated",
                    "qualified",
                    "licensed",
                    "allows",
                    "dry",
                    "proved",
                    "proven",
                    "discharged",
                    "isolated",
                ])
            })
        })
    }

    /// Tells whether the clause condemns the act: "bridging the fuse is dangerous", "… is not allowed".
    pub fn condemned(&self, at: usize) -> bool {
        let end = self.clause_end(at);
        let copula = (at..end).find(|i| {
            self.tokens[*i].is_any(&[
                "is", "are", "would", "can", "could", "isnt", "was", "will", "must", "should",
                "may",
            ])
        });
        let Some(from) = copula else {
            return false;
        };
        let bad = |i: usize| {
            self.tokens[i].is_any(&[
                "dangerous",
                "unsafe",
                "forbidden",
                "prohibited",
                "illegal",
                "never",
                "wrong",
                "kill",
                "kills",
                "deadly",
                "lethal",
            ]) || self.tokens[i].is("bad") && self.tokens.get(i + 1).is_some_and(|t| t.is("idea"))
                || self.tokens[i].is_any(&["not", "isnt"])
                    && (i + 1..end.min(i + 4)).any(|j| {
                        self.tokens[j].is_any(&[
                            "allowed",
                            "safe",
                            "ok",
                            "acceptable",
                            "right",
                            "permitted",
                            "good",
                            "an",
                        ])
                    })
        };
        let turned = |i: usize| i > from && self.tokens[i - 1].is_any(&["not", "isnt"]);
        (from..end).any(|i| bad(i) && !turned(i))
    }

    fn clause_end(&self, at: usize) -> usize {
        (at..self.tokens.len())
            .find(|i| matches!(self.tokens[*i].kind, Kind::Stop | Kind::Comma))
            .unwrap_or(self.tokens.len())
    }

    /// Returns the segment that holds token `at`.
    pub fn segment(&self, at: usize) -> Segment {
        self.segments
            .iter()
            .find(|s| (s.from..s.to).contains(&at))
            .copied()
            .unwrap_or(Segment {
                from: at,
                to: at + 1,
                joint: Kind::Stop,
            })
    }

    /// Returns the verb before `at` in its segment.
    fn governor(&self, segment: Segment, at: usize) -> Option<usize> {
        self.verbs
            .iter()
            .rev()
            .find(|v| (segment.from..at).contains(*v))
            .copied()
    }

    /// Finds the thing that the verb at `at` acts on.
    fn object(&self, at: usize, len: usize, thing: &Thing) -> Option<Reach> {
        if thing.words.is_empty() {
            return Some(Reach::Own);
        }
        let segment = self.segment(at);
        let end = self.reach_end(segment, at, len);
        let mut seen = false;
        let mut means = false;
        let apart = self.tokens[at..end].iter().any(|t| t.is("from"))
            && self.tokens[at..end].iter().any(|t| t.is("to"));
        for i in at + len..end {
            let token = &self.tokens[i];
            let pair = self
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.is_any(&["of", "than", "to"]));
            let aside = token.is_any(&["instead", "rather", "next", "close"]) && pair
                || token.is_any(&["near", "beside", "behind", "not", "opposite"]);
            if aside && seen {
                return None;
            }
            if self.thing_at(i, thing) && !(apart && self.other_part(at + len, end, thing)) {
                return Some(Reach::Own);
            }
            let from_trace = token.is("to")
                && self.tokens[at..i]
                    .iter()
                    .any(|t| t.is_any(&["trace", "track", "via", "open"]));
            if from_trace && seen {
                return None;
            }
            // "R71 replaced with a resistor": what it is done with is not what it is done to.
            means |= token.is_any(&["with", "for"]);
            seen |= !means && (token.kind == Kind::Part || token.is_any(&NEUTRAL));
        }
        if seen || self.is_subordinate(segment, at) {
            return None;
        }
        let start = self.governor(segment, at).map_or(segment.from, |g| g + 1);
        if (start..at).any(|i| self.thing_at(i, thing)) {
            return Some(Reach::Own);
        }
        let governed = (segment.from..at).any(|i| self.thing_at(i, thing));
        if governed
            && self
                .governor(segment, at)
                .is_some_and(|g| !self.tokens[g].text.ends_with("ing"))
        {
            return Some(Reach::Own);
        }
        let last = (0..at)
            .rev()
            .find(|i| self.tokens[*i].kind == Kind::Part || self.thing_at(*i, thing));
        if let Some(last) = last {
            return self.thing_at(last, thing).then_some(Reach::Before);
        }
        let pronoun = (at + len..end).any(|i| self.tokens[i].is_any(&PRONOUNS));
        let next = (end..self.tokens.len()).any(|i| self.thing_at(i, thing));
        (pronoun && next).then_some(Reach::Before)
    }

    fn other_part(&self, from: usize, to: usize, thing: &Thing) -> bool {
        (from..to).any(|i| self.tokens[i].kind == Kind::Part && !self.thing_at(i, thing))
    }

    /// "before soldering": says when, and takes no object from before.
    fn is_subordinate(&self, segment: Segment, at: usize) -> bool {
        (at.saturating_sub(2).max(segment.from)..at).any(|i| {
            self.tokens[i].is_any(&[
                "before", "after", "while", "when", "until", "prior", "during", "without",
            ])
        })
    }

    /// Returns where the reach of a verb ends: at the next verb, or past bare joined segments.
    fn reach_end(&self, segment: Segment, at: usize, len: usize) -> usize {
        let stop = |from: usize, to: usize| {
            self.verbs
                .iter()
                .find(|v| (from..to).contains(*v) && !acts::is_noun(&self.tokens, **v))
                .copied()
        };
        if let Some(stop) = stop(at + len, segment.to) {
            return stop;
        }
        let mut end = segment.to;
        for next in self.segments.iter().filter(|s| s.from > at) {
            let joined = matches!(next.joint, Kind::And | Kind::Or);
            let bare = stop(next.from, next.to).is_none()
                && !self.tokens[next.from..next.to]
                    .iter()
                    .any(|t| t.is_any(&["is", "are", "was", "has", "fine", "ok", "good", "reads"]));
            if !(joined && bare) {
                break;
            }
            end = next.to;
        }
        end
    }

    /// A bridge found, and something said about taking it away or fitting the right part.
    fn mended(&self, at: usize, thing: &Thing) -> bool {
        let text = self.tokens[at].text.as_str();
        let segment = self.segment(at);
        let governor = self.governor(segment, at);
        let mending = |i: usize| {
            MENDING
                .iter()
                .any(|v| words::inflected(&self.tokens[i].text, v))
        };
        if text.ends_with("ed") && governor.is_some_and(|g| mending(g) && !self.off[g]) {
            let next = at + 1;
            return next < self.tokens.len() && self.any_thing_at(next);
        }
        let passive = text.ends_with("ed") && at > segment.from;
        let found = passive
            || self.as_noun(at) && governor.is_none()
            || self.tokens[at].is("bridge") && at > 0 && self.tokens[at - 1].is("solder");
        found
            && self.segments.iter().any(|s| {
                let verb = (s.from..s.to).find(|i| mending(*i) && !self.off[*i] && *i != at);
                verb.is_some_and(|verb| {
                    (s.from..s.to).any(|i| {
                        i != at
                            && (self.thing_at(i, thing) && !(s.from..s.to).contains(&at)
                                || i > verb
                                    && (self.tokens[i].is_any(&PRONOUNS)
                                        || self.tokens[i]
                                            .is_any(&["bridge", "jumper", "link", "wire"])))
                    })
                })
            })
    }

    /// Tells whether the text fits the thing again, or a new one.
    fn fitted_again(&self, at: usize, thing: &Thing) -> bool {
        self.segments.iter().any(|s| {
            let verb = (s.from..s.to).find(|i| {
                !self.off[*i]
                    && [
                        "replace",
                        "fit",
                        "renew",
                        "refit",
                        "swap",
                        "new",
                        "reinstall",
                        "change",
                        "install",
                    ]
                    .iter()
                    .any(|v| words::inflected(&self.tokens[*i].text, v))
            });
            let Some(verb) = verb else { return false };
            let named = (s.from..s.to).any(|i| {
                self.thing_at(i, thing)
                    || i > verb && self.tokens[i].is_any(&PRONOUNS)
                    || self.tokens[i].is("new") && !self.other_part(verb, s.to, thing)
            });
            named || self.joined_to(*s, at) && s.to == verb + 1
        })
    }

    /// Tells whether `segment` is joined by "and" to the one that holds `at`.
    fn joined_to(&self, segment: Segment, at: usize) -> bool {
        let other = self.segment(at);
        let (first, second) = if segment.from < other.from {
            (segment, other)
        } else {
            (other, segment)
        };
        second.joint == Kind::And && first.to + 1 == second.from
    }

    fn new_one(&self, from: usize) -> bool {
        let to = self.segment(from.saturating_sub(1)).to;
        (from..to).any(|i| self.tokens[i].is_any(&["new", "replacement", "good", "fresh"]))
    }

    fn context(&self, at: usize, reach: Reach, hazard: &Hazard) -> bool {
        let segment = self.segment(at);
        let to = if hazard.as_means {
            self.reach_end(segment, at, 1)
        } else {
            self.clause_end(at)
        };
        let from = if hazard.as_means {
            let means = (at..to).find(|i| {
                self.tokens[*i].is_any(&["with", "by", "for", "using", "as", "to", "through"])
            });
            let Some(means) = means else {
                return false;
            };
            means
        } else if reach == Reach::Before {
            0
        } else {
            (0..at)
                .rev()
                .find(|i| self.tokens[*i].kind == Kind::Stop)
                .map_or(0, |i| i + 1)
        };
        let to = if reach == Reach::Before && !hazard.as_means {
            self.tokens.len()
        } else {
            to
        };
        self.within(from, to, hazard.context)
    }

    /// Tells whether one of `phrases` stands, not denied, between two tokens.
    pub fn within(&self, from: usize, to: usize, phrases: &[&str]) -> bool {
        (from..to).any(|i| {
            !self.off[i]
                && phrases
                    .iter()
                    .any(|p| exact_at(&self.tokens, i, p).is_some_and(|len| i + len <= to))
        })
    }

    /// Tells whether the word at `i` is a form of one of `verbs`.
    pub fn is_form(&self, i: usize, verbs: &[&str]) -> bool {
        let token = &self.tokens[i];
        token.kind == Kind::Word && verbs.iter().any(|v| words::inflected(&token.text, v))
    }

    /// Tells whether one of `phrases` stands anywhere, not denied.
    pub fn says(&self, phrases: &[&str]) -> bool {
        self.within(0, self.tokens.len(), phrases)
    }

    /// Returns where a verb of `verbs` is meant in `segment`.
    pub fn meant_in(&self, segment: Segment, verbs: &[&str]) -> Option<usize> {
        (segment.from..segment.to)
            .find(|i| verbs.iter().any(|v| self.verb_phrase(*i, v).is_some()) && self.is_meant(*i))
    }
}

/// Where the object of a verb stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    /// In its own clause.
    Own,
    /// In a clause before ("the fuse is open: bridge it").
    Before,
}

/// Returns the length of `phrase` at `at`, every word as it stands.
fn exact_at(tokens: &[Token], at: usize, phrase: &str) -> Option<usize> {
    if !acts::may_start(tokens, at, phrase) {
        return None;
    }
    let mut len = 0;
    for (i, word) in phrase.split(' ').enumerate() {
        let token = tokens.get(at + i)?;
        if token.text != word || token.is_joint() {
            return None;
        }
        len = i + 1;
    }
    Some(len)
}
