//! Hears one typed answer: which of the judges decides it, and what it is worth.
//!
//! A sitting and the table that measures the judge ask here, so that neither can drift. Leaves out the
//! recall grade, which needs a circuit, a time and how sure the person was.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::job::Board;
use crate::domain::judge::compare::accepted;
use crate::domain::judge::compare::assent::judge_points_of;
use crate::domain::judge::compare::circuits_said;
use crate::domain::judge::compare::expected::judge_expected;
use crate::domain::judge::compare::keypoints::Judgement;
use crate::domain::judge::compare::keypoints::Point;
use crate::domain::judge::compare::keypoints::judge;
use crate::domain::judge::compare::points::PointsVerdict;
use crate::domain::judge::compare::separating::judge_separating;
use crate::domain::judge::compare::sides::SWAPPED;
use crate::domain::judge::compare::sides::judge_sides;
use crate::domain::judge::compare::sides::swaps_readings;
use crate::domain::judge::compare::stopping;
use crate::domain::judge::compare::tests_named::judge_tests;
use crate::domain::judge::compare::worth::Worth;
use crate::domain::judge::danger::bare_hands;
use crate::domain::judge::danger::harm;
use crate::domain::judge::danger::harm::Look;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::words::Synonyms;

/// What the program made of a typed answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// Every needed thing is named, and nothing unsafe.
    pub right: bool,
    /// Not right, but enough of it to count as hunted; never so for a repair.
    pub partly: bool,
    /// What a trainer would call it.
    pub worth: Worth,
    /// Which of the card's points, sides or measurements were named; empty for a repair.
    pub hits: Vec<bool>,
    /// What was noticed about an answer that is no repair; empty where the points say it.
    pub note: String,
    /// The verdict on a repair.
    pub judgement: Option<Judgement>,
    /// The sentence of a right answer that was not judged: it says more than what the card asks for, and is not
    /// like those of safe answers.
    pub unjudged: Option<String>,
    /// What in it would hurt someone.
    pub danger: Option<UnsafeAct>,
}

/// What is said of an answer that is right but for a way that belongs to no safe repair.
const DOUBTFUL: &str =
    "right as far as read; but something in it sounds like a way that hurts someone";

/// What is said of an answer that a lead accepts as it was typed.
const ACCEPTED: &str = "a lead accepts it in these words";

impl Heard {
    fn not_right(mut self, note: &str, worth: Worth) -> Self {
        self.right = false;
        self.partly = false;
        self.worth = worth;
        note.clone_into(&mut self.note);
        if let Some(judgement) = &mut self.judgement {
            judgement.fix = false;
            judgement.matched = None;
            judgement.act = Point::Missing;
            note.clone_into(&mut judgement.note);
        }
        self
    }

    /// Right in words that a lead accepts as a whole answer: all that is needed counts as said.
    fn accepted(mut self, card: &Card) -> Self {
        self.right = true;
        self.partly = false;
        self.worth = Worth::Right;
        ACCEPTED.clone_into(&mut self.note);
        let all = card.given || !card.points.iter().any(|point| point.needed);
        for (hit, point) in self.hits.iter_mut().zip(&card.points) {
            *hit |= all || point.needed;
        }
        self
    }

    fn doubted(self) -> Self {
        self.not_right(DOUBTFUL, Worth::Wrong)
    }

    fn unsafe_by(self, act: UnsafeAct) -> Self {
        let mut heard = self.not_right(&act.what, Worth::Unsafe);
        if let Some(judgement) = &mut heard.judgement {
            judgement.unsafe_answer = Some(act.clone());
        }
        heard.danger = Some(act);
        heard
    }
}

/// Judges typed words: by the sides that a card shows, by its points where it has any, by its
/// measurements where it has those, else as a repair.
///
/// Whoever decides, what would hurt somebody is looked for once more, and what is doubtful is not right.
pub fn hear(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let heard = decided(typed, card, board, words);
    if heard.danger.is_some() {
        return heard;
    }
    let parts = Parts::new(Some(card), board, words);
    match harm::look(typed, card, board, &parts, is_sourceless(card, &heard.hits)) {
        Look::Harms(act) => heard.unsafe_by(act),
        Look::Doubtful if heard.right => heard.doubted(),
        Look::Questioned(note) if heard.right => heard.not_right(note, Worth::Wrong),
        Look::Unjudged(sentence) if heard.right => Heard {
            unjudged: Some(sentence),
            ..heard
        },
        _ => heard,
    }
}

/// Tells whether what was named is measured with every source off.
fn is_sourceless(card: &Card, hits: &[bool]) -> bool {
    let tests = card.tests.iter().map(|test| test.say.as_str());
    let points = card.points.iter().map(|point| point.say.as_str());
    let named = tests.chain(points).zip(hits).filter(|(_, hit)| **hit);
    let mut said = named.map(|(say, _)| say).peekable();
    card.kind == CardKind::Next
        && said.peek().is_some()
        && said.all(|say| say.contains("source off"))
}

/// What an answer is worth before the last look at it.
pub fn decided(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let heard = by_kind(typed, card, board, words);
    let reads = matches!(
        card.kind,
        CardKind::Expect | CardKind::Next | CardKind::Contrast
    );
    match bare_hands::danger(typed, card) {
        Some(danger) if reads && heard.danger.is_none() => heard.unsafe_by(danger.into()),
        _ => heard,
    }
}

fn by_kind(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let heard = by_what_decides(typed, card, board, words);
    if heard.right || heard.danger.is_some() || !accepted::says_so(typed, card) {
        return heard;
    }
    heard.accepted(card)
}

fn by_what_decides(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    if !card.points.is_empty() && card.given {
        of_sides(typed, card, board, words)
    } else if !card.points.is_empty() {
        of_points(typed, card, board, words)
    } else if !card.tests.is_empty() {
        of_tests(typed, card, board, words)
    } else {
        of_repair(typed, card, board, words)
    }
}

fn of_repair(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let judgement = judge(typed, card, board, words);
    let danger = judgement.unsafe_answer.clone();
    Heard {
        right: danger.is_none() && judgement.fix,
        partly: false,
        worth: Worth::of_repair(&judgement),
        hits: Vec::new(),
        note: String::new(),
        judgement: Some(judgement),
        unjudged: None,
        danger,
    }
}

fn of_tests(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let verdict = judge_tests(typed, &card.tests, board, words);
    let right = verdict.unsafe_answer.is_none() && verdict.right;
    Heard {
        right,
        partly: verdict.partly,
        worth: Worth::of(verdict.unsafe_answer.is_some(), right, verdict.partly),
        hits: verdict.named,
        note: verdict.note,
        judgement: None,
        unjudged: None,
        danger: verdict.unsafe_answer,
    }
}

fn of_sides(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let verdict = judge_sides(typed, card, board, words);
    let one = verdict.hits.contains(&true);
    Heard {
        right: verdict.right,
        partly: false,
        worth: Worth::of(verdict.unsafe_answer.is_some(), verdict.right, one),
        hits: verdict.hits,
        note: verdict.note,
        judgement: None,
        unjudged: None,
        danger: verdict.unsafe_answer,
    }
}

/// Judges an answer to a card over several boards: the circuit alone is half of it.
fn by_circuit(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> PointsVerdict {
    let mut verdict = judge_points_of(typed, card, board, words);
    let safe = verdict.unsafe_answer.is_none();
    if safe && !verdict.right && circuits_said::first(typed) == Some(card.family.as_str()) {
        verdict.partly = true;
    }
    verdict.note.clear();
    verdict
}

/// Judges an answer to "go on, or call it": who calls it and goes on all the same has called nothing.
fn of_stop(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> PointsVerdict {
    let mut verdict = judge_points_of(typed, card, board, words);
    let calls = card
        .points
        .first()
        .is_some_and(|p| p.say.starts_with("call it"));
    if calls && verdict.hits.first() == Some(&true) && stopping::goes_on_after_all(typed) {
        verdict.hits[0] = false;
        verdict.right = false;
        verdict.partly = false;
    }
    verdict.note.clear();
    verdict
}

fn of_points(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Heard {
    let verdict = match card.kind {
        CardKind::Expect => judge_expected(typed, card, board, words),
        CardKind::Contrast => judge_separating(typed, card, board, words),
        CardKind::Next => by_circuit(typed, card, board, words),
        CardKind::Stop => of_stop(typed, card, board, words),
        _ => PointsVerdict {
            note: String::new(),
            ..judge_points_of(typed, card, board, words)
        },
    };
    let swaps = !card.sides.is_empty() && verdict.right;
    let swaps = swaps && swaps_readings(typed, card, board, words);
    let safe = verdict.unsafe_answer.is_none();
    Heard {
        right: safe && verdict.right && !swaps,
        partly: safe && verdict.partly && !swaps,
        worth: if swaps {
            Worth::of(!safe, false, false)
        } else {
            Worth::of_points(card.kind, &verdict)
        },
        hits: verdict.hits,
        note: match card.kind {
            _ if swaps => SWAPPED.to_owned(),
            CardKind::Contrast if verdict.right => String::new(),
            _ => verdict.note,
        },
        judgement: None,
        unjudged: None,
        danger: verdict.unsafe_answer,
    }
}
