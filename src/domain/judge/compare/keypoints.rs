//! Compares what a person typed with what a card accepts, key point by key point.
//!
//! One answer is right when all its steps are named: the act, and the part by designator or by a
//! description that fits no other part of the board. A slip of spelling is mended in long plain words
//! only ([`crate::domain::judge::read::slips`]), never in a designator, net or value. Leaves out the circuit question and the
//! person's own overruling.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::job::Board;
use crate::domain::judge::claim::claims;
use crate::domain::judge::claim::claims::Claim;
use crate::domain::judge::claim::claims::Tells;
use crate::domain::judge::claim::corrections;
use crate::domain::judge::claim::second_reading;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::slips;
use crate::domain::judge::read::speech;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::wording;
use std::collections::BTreeSet;

/// How one key point of the best matching answer was met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// Named.
    Right,
    /// Some of several steps.
    Partly,
    /// Another was named.
    Other,
    /// Not named.
    Missing,
    /// Named in words that fit several.
    Unclear,
}

/// The verdict on a typed answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judgement {
    /// The fix is right.
    pub fix: bool,
    /// It would hurt someone: always wrong, never overruled.
    pub unsafe_answer: Option<UnsafeAct>,
    /// Which of the card's answers it names, where it is right.
    pub matched: Option<usize>,
    /// The act.
    pub act: Point,
    /// The part.
    pub part: Point,
    /// The right part was named and denied.
    pub negated: bool,
    /// Not right, but near: the circuit or the function without the part, the measurement that would
    /// tell, or two suspects with that measurement.
    pub near: bool,
    /// A few words for the verdict line.
    pub note: String,
}

impl Judgement {
    fn new(act: Point, part: Point, note: &str) -> Self {
        Self {
            fix: false,
            unsafe_answer: None,
            matched: None,
            act,
            part,
            negated: false,
            near: false,
            note: note.to_owned(),
        }
    }
}

/// Judges a typed answer to `card`.
pub fn judge(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Judgement {
    let mut verdict = key_points(typed, card, board, words);
    if let Some(act) = unsafe_acts::unsafe_in_answer(typed, &card.cautions, board, words) {
        verdict.fix = false;
        verdict.matched = None;
        act.what.clone_into(&mut verdict.note);
        verdict.unsafe_answer = Some(act);
    }
    verdict
}

fn key_points(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Judgement {
    let parts = Parts::new(Some(card), board, words);
    let raw = speech::translated(&tokens::lex(typed, parts.known()));
    let raw = corrections::settled(&slips::mended(&raw, &parts), &parts);
    let read = words.apply(&raw);
    let whole = tokens::normal(&read);
    if gives_up(&whole) {
        return Judgement::new(Point::Missing, Point::Missing, "no answer");
    }
    for (i, answer) in card.answers.iter().enumerate() {
        let same = |also: &String| {
            tokens::normal(&words.apply(&tokens::lex(also, parts.known()))) == whole
        };
        if answer.also.iter().chain(&verbatim(answer)).any(same) {
            return Judgement {
                fix: true,
                matched: Some(i),
                ..Judgement::new(Point::Right, Point::Right, "right part")
            };
        }
    }
    // A caution card asks what was behind it: there a reason is the answer.
    let read = if card.kind == CardKind::Caution {
        told_as_missed(&read)
    } else {
        read
    };
    let claims = claims::read(&read, &parts, card.kind != CardKind::Caution);
    let verdict_on = |claims: &[Claim]| {
        let court = Court {
            card,
            parts: &parts,
            words,
            plural: says_several(&raw),
            asks: typed.contains('?'),
            read: &read,
            claims,
            meant: claims.iter().filter(|c| !c.negated && !c.checked).collect(),
            denied: claims.iter().filter(|c| c.negated).collect(),
        };
        court.verdict()
    };
    let first = verdict_on(&claims);
    let again = second_reading::read(&read, &parts, &claims).filter(|_| !first.fix);
    match again.map(|claims| verdict_on(&claims)) {
        Some(second) if second.fix || second.part == Point::Right => second,
        _ => first,
    }
}

/// Reads "nobody looked at the switch" as what was missed, which is what a caution card asks for.
fn told_as_missed(read: &[Token]) -> Vec<Token> {
    let looks = |t: &Token| {
        acts::is_check(&t.text)
            || [
                "replace", "change", "renew", "swap", "notice", "touch", "think", "thought",
            ]
            .iter()
            .any(|verb| words::inflected(&t.text, verb))
    };
    let missed = |i: usize| {
        let after = read.iter().skip(i + 1).take(3);
        read[i].is_any(&[
            "nobody", "never", "not", "didnt", "wasnt", "werent", "without",
        ]) && after.clone().any(looks)
    };
    let behind = |i: usize| (i.saturating_sub(3)..i).any(missed) && looks(&read[i]);
    (0..read.len())
        .filter(|i| !missed(*i) && !behind(*i))
        .map(|i| read[i].clone())
        .collect()
}

/// Returns the answer in the words of the record itself, which are right whatever a part is called.
fn verbatim(answer: &Answer) -> Vec<String> {
    let join = |say: &dyn Fn(&Step) -> String| {
        answer
            .steps
            .iter()
            .map(say)
            .collect::<Vec<_>>()
            .join(" and ")
    };
    let mut said = vec![
        join(&|s| format!("{} {}", s.act, s.part)),
        join(&|s| format!("{} {}", s.act.replace('-', " "), s.part)),
        join(&|s| format!("{} {}", wording::act_verb(&s.act), s.part)),
    ];
    if answer.steps.iter().all(|s| s.act == "other") {
        said.push(join(&|s| s.part.clone()));
        for verb in MENDS {
            said.push(join(&|s| format!("{verb} {}", s.part)));
        }
    }
    said
}

/// Verbs that say no more than that something was put right, as the act `other` does.
const MENDS: [&str; 5] = ["fix", "mend", "correct", "repair", "put right"];

/// Tells whether a folded answer says no more than that the person does not know.
pub fn gives_up(whole: &str) -> bool {
    [
        "",
        "dont know",
        "i dont know",
        "do not know",
        "i do not know",
        "dunno",
        "idk",
        "no idea",
        "pass",
        "not sure",
        "unknown",
        "dk",
        "na",
        "n and a",
        "haven idea",
        "no clue",
    ]
    .contains(&whole)
}

/// How one step was met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Met {
    act: Point,
    part: Point,
}

impl Met {
    fn right(self) -> bool {
        self.part == Point::Right && self.act == Point::Right
    }
}

/// One answer before its card.
pub(in crate::domain::judge) struct Court<'a> {
    pub(in crate::domain::judge) card: &'a Card,
    pub(in crate::domain::judge) parts: &'a Parts,
    pub(in crate::domain::judge) words: &'a Synonyms,
    /// The answer speaks of several parts by one description.
    pub(in crate::domain::judge) plural: bool,
    /// The answer holds a question.
    pub(in crate::domain::judge) asks: bool,
    pub(in crate::domain::judge) read: &'a [Token],
    pub(in crate::domain::judge) claims: &'a [Claim],
    pub(in crate::domain::judge) meant: Vec<&'a Claim>,
    pub(in crate::domain::judge) denied: Vec<&'a Claim>,
}

impl Court<'_> {
    fn verdict(&self) -> Judgement {
        let met: Vec<Vec<Met>> = self
            .card
            .answers
            .iter()
            .map(|a| a.steps.iter().map(|s| self.step(s)).collect())
            .collect();
        let score = |steps: &[Met]| {
            let right = steps.iter().filter(|m| m.right()).count();
            let parts = steps.iter().filter(|m| m.part == Point::Right).count();
            (!steps.is_empty() && right == steps.len(), right, parts)
        };
        let mut best = 0;
        for i in 1..met.len() {
            if score(&met[i]) > score(&met[best]) {
                best = i;
            }
        }
        let Some((answer, steps)) = self.card.answers.get(best).zip(met.get(best)) else {
            return Judgement::new(Point::Missing, Point::Missing, "no answer on the card");
        };
        if self.names_the_set(answer) {
            return Judgement {
                fix: true,
                matched: Some(best),
                ..Judgement::new(Point::Right, Point::Right, "right part")
            };
        }
        let act = together(steps.iter().map(|m| m.act));
        let part = together(steps.iter().map(|m| m.part));
        if score(steps).0 {
            let faulted = self.list().or_else(|| self.either(steps));
            return match faulted.or_else(|| self.bare(answer)) {
                Some((act, part, note)) => Judgement {
                    near: self.tells_two_apart(),
                    ..Judgement::new(act, part, note)
                },
                None => Judgement {
                    fix: true,
                    matched: Some(best),
                    ..Judgement::new(Point::Right, Point::Right, self.right_note(answer))
                },
            };
        }
        let negated = answer.steps.iter().any(|s| self.is_denied(s));
        let mut verdict = Judgement::new(act, part, "");
        verdict.negated = negated && part != Point::Right;
        verdict.note = Self::wrong_note(&verdict, answer, steps);
        verdict.near = !negated
            && !self.names_everything()
            && (self.tells_two_apart() || self.names_function(answer));
        if self.mostly_wrong(answer) || self.names_everything() {
            verdict.part = Point::Other;
        }
        verdict
    }

    /// "D2 is short and took the fuse along. Both new": the parts of the whole set are told of, no other is,
    /// and one act is said for both, for all or for the set.
    fn names_the_set(&self, answer: &Answer) -> bool {
        let whole = self.read.iter().any(|t| {
            t.is_any(&[
                "both", "all", "pair", "set", "them", "ones", "each", "three", "four",
            ])
        });
        let act = |step: &Step| {
            self.meant
                .iter()
                .any(|c| c.acts.iter().any(|a| self.is_act_of(step, a)))
        };
        if answer.steps.len() < 2
            || !whole
            || !answer.steps.iter().all(act)
            || !self.denied.is_empty()
        {
            return false;
        }
        let designated = self.read.iter().filter(|t| t.kind == Kind::Part);
        let mut told: Vec<String> = designated.map(|t| t.text.clone()).collect();
        let families: Vec<&str> = told
            .iter()
            .filter_map(|k| self.parts.family_of(k))
            .collect();
        for meaning in second_reading::told(self.read, self.parts, &[]) {
            match meaning {
                Meaning::Part(key) => told.push(key),
                Meaning::Several(keys) => {
                    let of = |k: &&String| {
                        self.parts
                            .family_of(k)
                            .is_some_and(|f| families.contains(&f))
                    };
                    let near: Vec<&String> = keys.iter().filter(of).collect();
                    match near[..] {
                        [one] => told.push(one.clone()),
                        _ => return false,
                    }
                }
                Meaning::Nothing => {}
            }
        }
        let of = |step: &Step| self.parts.key(&step.part, self.words);
        let wanted: BTreeSet<String> = answer.steps.iter().map(of).collect();
        wanted == told.into_iter().collect()
    }

    /// "Swap everything on the standby rail" names nothing.
    fn names_everything(&self) -> bool {
        let all = self.read.iter().any(|t| t.is_any(&["everything", "lot"]));
        all && !self.read.iter().any(|t| t.kind == Kind::Part)
            && self.meant.iter().any(|c| c.acts.contains(&"replace"))
    }

    /// Tells whether more parts are named that are none of the answer's than those that are.
    fn mostly_wrong(&self, answer: &Answer) -> bool {
        let (right, other) = self.named(answer);
        !right.is_empty() && right.len() < other.len()
    }

    /// Returns the parts that are meant: those of `answer`, and others.
    pub(in crate::domain::judge) fn named(
        &self,
        answer: &Answer,
    ) -> (BTreeSet<&str>, BTreeSet<&str>) {
        let done_before = self.done_before();
        self.meant
            .iter()
            .filter(|claim| !done_before.contains(&claim.part))
            .filter_map(|claim| match &claim.part {
                Meaning::Part(key) => Some(key.as_str()),
                _ => None,
            })
            .partition(|key| {
                answer
                    .steps
                    .iter()
                    .any(|s| self.parts.key(&s.part, self.words) == *key)
            })
    }

    fn right_note(&self, answer: &Answer) -> &'static str {
        let named = answer
            .steps
            .iter()
            .all(|s| self.about(s).any(|c| !c.acts.is_empty()));
        if named {
            "right part"
        } else {
            "right part, act not named"
        }
    }

    fn wrong_note(verdict: &Judgement, answer: &Answer, steps: &[Met]) -> String {
        if verdict.negated {
            return "right part, ruled out".to_owned();
        }
        let missing: Vec<String> = answer
            .steps
            .iter()
            .zip(steps)
            .filter(|(_, met)| !met.right())
            .map(|(step, _)| wording::step_text(step))
            .collect();
        if missing.len() < steps.len() {
            return format!("part of it; also needed: {}", missing.join("; "));
        }
        match (verdict.part, verdict.act) {
            (Point::Unclear, _) => "which one?",
            (Point::Right, Point::Missing) => "right part, which act?",
            (Point::Right, _) => "right part, other act",
            (Point::Missing, Point::Right) => "right act, part not named",
            (Point::Missing, _) => "no part named",
            (_, Point::Right | Point::Partly) => "other part",
            _ => "other fix",
        }
        .to_owned()
    }

    /// Finds what turns a right answer into a list of guesses.
    fn list(&self) -> Option<(Point, Point, &'static str)> {
        let done_before = self.done_before();
        for claim in &self.meant {
            let Meaning::Part(key) = &claim.part else {
                continue;
            };
            let about: Vec<&Step> = self
                .card
                .answers
                .iter()
                .flat_map(|a| &a.steps)
                .filter(|s| self.parts.key(&s.part, self.words) == *key)
                .collect();
            if about.is_empty()
                && (done_before.contains(&claim.part)
                    || self.is_symptom(claim, key)
                    || claim.tells == Tells::AState && claim.acts.is_empty())
            {
                continue;
            }
            if about.is_empty() {
                return Some((Point::Right, Point::Other, "one fix, not a list"));
            }
            let fits = |act: &str| {
                about.iter().any(|s| self.is_act_of(s, act))
                    || act == "clean"
                    || act == "reseat" && about.iter().any(|s| s.act == "clean")
                    || act == "remove" && about.iter().any(|s| s.act.starts_with("replace"))
            };
            let or = self.read.iter().any(|t| t.kind == Kind::Or);
            let beside = |act: &str| !or && ["reflow", "reseat", "remove"].contains(&act);
            if !claim.acts.is_empty() && !claim.acts.iter().any(|a| fits(a) || beside(a)) {
                return Some((Point::Other, Point::Right, "one act, not a list"));
            }
        }
        None
    }

    /// Tells whether a part that is none of the answer's is only told of: denied further on ("not U6!"),
    /// or described beside the designator that is meant ("the clamp leaks, change D9").
    fn is_symptom(&self, claim: &Claim, key: &str) -> bool {
        let denied = self.denied.iter().any(|c| c.part == claim.part);
        let designated = self
            .read
            .iter()
            .any(|t| t.kind == Kind::Part && t.text == key);
        let acted = self.meant.iter().any(|c| {
            !c.acts.is_empty()
                && matches!(&c.part, Meaning::Part(k) if self.read.iter().any(|t| t.kind == Kind::Part && t.text == *k))
        });
        denied || claim.acts.is_empty() && !designated && acted
    }

    /// "fb or controller": one of two by description alone, with no act, chooses neither.
    fn either(&self, steps: &[Met]) -> Option<(Point, Point, &'static str)> {
        let designated = self.read.iter().any(|t| t.kind == Kind::Part);
        let acts = self.meant.iter().any(|c| !c.acts.is_empty());
        let or = self.read.iter().any(|t| t.kind == Kind::Or);
        (or && !designated && !acts && steps.len() == 1).then_some((
            Point::Missing,
            Point::Right,
            "which one?",
        ))
    }

    /// One part and nothing that is done to it: "U31", "C12 leaky". Several parts that are the whole set
    /// say enough, and so does a part where a caution card asks what was missed.
    fn bare(&self, answer: &Answer) -> Option<(Point, Point, &'static str)> {
        let [step] = &answer.steps[..] else {
            return None;
        };
        let silent = self.about(step).all(|c| c.acts.is_empty());
        let asks_act = self.card.kind == CardKind::Fix && step.act != "other";
        let silent = silent && !self.acts_alone(step);
        (asks_act && silent && self.about(step).next().is_some()).then_some((
            Point::Missing,
            Point::Right,
            "right part, act not named",
        ))
    }

    /// Returns the parts that a caution card says were done the first time: naming them once more
    /// beside what was missed is no list of guesses.
    fn done_before(&self) -> Vec<Meaning> {
        if self.card.kind != CardKind::Caution {
            return Vec::new();
        }
        let read = tokens::lex(&self.card.stem, self.parts.known());
        claims::read(&self.words.apply(&read), self.parts, true)
            .into_iter()
            .map(|claim| claim.part)
            .filter(|part| matches!(part, Meaning::Part(_)))
            .collect()
    }

    fn step(&self, step: &Step) -> Met {
        let about: Vec<&Claim> = self.about(step).collect();
        let alone = self.acts_alone(step);
        if about.is_empty() && !alone {
            return self.not_named(step);
        }
        let right = alone
            || about
                .iter()
                .any(|c| c.acts.iter().any(|a| self.is_act_of(step, a)));
        let silent = about.iter().any(|c| c.acts.is_empty());
        let act = if right || (silent && (step.act == "other" || self.act_is_plain(step))) {
            Point::Right
        } else if silent {
            Point::Missing
        } else {
            Point::Other
        };
        Met {
            act,
            part: Point::Right,
        }
    }

    /// "Managed flash U11: a new chip, then the image written in": an act that stands alone is done to the one
    /// part that the answer speaks of.
    fn acts_alone(&self, step: &Step) -> bool {
        let key = self.parts.key(&step.part, self.words);
        let spoken: BTreeSet<&str> = self
            .claims
            .iter()
            .filter(|c| !c.negated)
            .filter_map(|c| match &c.part {
                Meaning::Part(named) => Some(named.as_str()),
                _ => None,
            })
            .collect();
        let or = self.read.iter().any(|t| t.kind == Kind::Or);
        !or && spoken.len() == 1
            && spoken.contains(key.as_str())
            && self.meant.iter().any(|c| {
                c.tells == Tells::AnActAlone
                    && c.part == Meaning::Nothing
                    && c.acts.iter().any(|a| self.is_act_of(step, a))
            })
    }

    /// Tells whether `act` is the act of `step`; a track is built again with a wire.
    fn is_act_of(&self, step: &Step, act: &str) -> bool {
        let track = |t: &Token| t.is_any(&["via", "vias", "pad", "pads", "trace", "land"]);
        let wired = act == "bridge-or-jumper" && step.act == "rebuild-pad-or-trace";
        let joint = |t: &Token| t.is_any(&["joint", "joints", "leg", "legs"]);
        let remade = act == "rebuild-pad-or-trace" && step.act == "reflow";
        acts::same_act(&step.act, act)
            || wired && self.read.iter().any(track)
            || remade && self.read.iter().any(joint) && !self.read.iter().any(track)
    }

    fn not_named(&self, step: &Step) -> Met {
        let key = self.parts.key(&step.part, self.words);
        let act_named = self
            .meant
            .iter()
            .any(|c| c.acts.iter().any(|a| acts::same_act(&step.act, a)));
        let any_act = self.meant.iter().any(|c| !c.acts.is_empty());
        let act = match (act_named, any_act) {
            (true, _) => Point::Right,
            (false, true) => Point::Other,
            (false, false) => Point::Missing,
        };
        let unclear = self
            .meant
            .iter()
            .any(|c| matches!(&c.part, Meaning::Several(keys) if keys.contains(&key)));
        let other = self
            .meant
            .iter()
            .any(|c| matches!(c.part, Meaning::Part(_) | Meaning::Several(_)));
        // "C13 bulged, recap": a designator decides, whatever else the words would fit.
        let named = self
            .read
            .iter()
            .any(|t| t.kind == Kind::Part && t.text != key)
            && self
                .meant
                .iter()
                .any(|c| matches!(c.part, Meaning::Part(_)));
        let part = if unclear && !named {
            Point::Unclear
        } else if other {
            Point::Other
        } else {
            Point::Missing
        };
        Met { act, part }
    }

    /// Returns the claims about the part of `step`.
    fn about<'a>(&'a self, step: &'a Step) -> impl Iterator<Item = &'a Claim> {
        let key = self.parts.key(&step.part, self.words);
        self.meant
            .iter()
            .copied()
            .filter(move |c| self.is_about(c, step, &key))
    }

    fn is_about(&self, claim: &Claim, step: &Step, key: &str) -> bool {
        match &claim.part {
            Meaning::Part(named) => named == key,
            Meaning::Several(keys) => self.plural && self.are_all(keys, key),
            Meaning::Nothing => {
                let act = claim.acts.iter().any(|a| acts::same_act(&step.act, a));
                let program = step.act == "reprogram-firmware" && self.parts.programmable() <= 1;
                act && (key.is_empty() || program)
            }
        }
    }

    /// Tells whether `keys` are parts of one answer, all of them, `key` among them: "both supercaps".
    fn are_all(&self, keys: &[String], key: &str) -> bool {
        keys.iter().any(|k| k == key)
            && self.card.answers.iter().any(|answer| {
                let of = |k: &String| {
                    answer
                        .steps
                        .iter()
                        .any(|s| self.parts.key(&s.part, self.words) == *k)
                };
                keys.iter().all(of)
            })
    }

    fn is_denied(&self, step: &Step) -> bool {
        let key = self.parts.key(&step.part, self.words);
        // "not a wire link" denies the act and not the part.
        let of = |c: &Claim| c.acts.is_empty() || c.acts.iter().any(|a| self.is_act_of(step, a));
        self.denied
            .iter()
            .any(|c| of(c) && matches!(&c.part, Meaning::Part(named) if *named == key))
    }

    /// Tells whether no other fix on the card does something else to the part.
    fn act_is_plain(&self, step: &Step) -> bool {
        let key = self.parts.key(&step.part, self.words);
        self.card
            .answers
            .iter()
            .flat_map(|a| &a.steps)
            .chain(self.card.others.iter().flat_map(|o| &o.steps))
            .filter(|s| self.parts.key(&s.part, self.words) == key)
            .all(|s| acts::same_act(&step.act, &s.act) || acts::same_act(&s.act, &step.act))
    }
}

/// Tells whether a text, before synonyms, speaks of more than one part by one description.
fn says_several(raw: &[Token]) -> bool {
    raw.iter().any(|t| {
        t.is_any(&[
            "both", "all", "pair", "two", "three", "set", "recap", "recapped",
        ]) || t.kind == Kind::Word && t.text.strip_suffix('s').is_some_and(words::is_class)
    })
}

fn together(points: impl Iterator<Item = Point>) -> Point {
    let points: Vec<Point> = points.collect();
    match points.first() {
        None => Point::Missing,
        Some(first) if points.iter().all(|p| p == first) => *first,
        Some(_) if points.contains(&Point::Right) => Point::Partly,
        Some(first) => *first,
    }
}
