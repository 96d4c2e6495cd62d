//! Cards: a pattern (or a bench rule) in front, an answer with its evidence behind.

use std::hash::Hash as _;
use std::hash::Hasher;

use chrono::NaiveDate;

use crate::domain::circuit::FamilyId;
use crate::domain::ids;
use crate::domain::interval;
use crate::domain::job::Finding;
use crate::domain::job::Fix;

/// What a card is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CardKind {
    /// A pattern and the fix it led to.
    Fix,
    /// Which measurement now.
    Next,
    /// Two look-alikes and the finding that separates them.
    Contrast,
    /// Go on or call it.
    Stop,
    /// The fix is given: what would you have seen?
    Expect,
    /// It looked fixed: what was missed?
    Caution,
    /// A bench rule.
    Rule,
    /// A photo.
    Look,
}

impl CardKind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::Fix,
        Self::Next,
        Self::Contrast,
        Self::Stop,
        Self::Expect,
        Self::Caution,
        Self::Rule,
        Self::Look,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fix => "fix",
            Self::Next => "next",
            Self::Contrast => "contrast",
            Self::Stop => "stop",
            Self::Expect => "expect",
            Self::Caution => "caution",
            Self::Rule => "rule",
            Self::Look => "look",
        }
    }

    /// Returns the kind a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }

    /// Tells whether the drill asks for the circuit before the answer of every card of the kind; see
    /// [`Card::asks_circuit`].
    pub fn asks_circuit(self) -> bool {
        matches!(self, Self::Fix | Self::Caution)
    }

    /// Tells whether the drill knows how to ask such a card; the others keep their place in the format.
    pub fn is_asked(self) -> bool {
        matches!(
            self,
            Self::Fix
                | Self::Next
                | Self::Contrast
                | Self::Stop
                | Self::Expect
                | Self::Caution
                | Self::Rule
        )
    }
}

/// How the warning begins that a card came from another shop.
pub const BORROWED: &str = "borrowed: ";

/// How well the archive supports an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Support {
    /// One job.
    Single,
    /// Fewer than three, or the runner-up has at least half as many.
    Thin,
    /// Better than that.
    Supported,
}

impl Support {
    /// Every degree.
    pub const ALL: [Self; 3] = [Self::Single, Self::Thin, Self::Supported];

    /// Returns the word used in files and on screens.
    pub fn word(self) -> &'static str {
        match self {
            Self::Single => "single",
            Self::Thin => "thin",
            Self::Supported => "supported",
        }
    }

    /// Returns what so many jobs alone are worth.
    pub fn of_jobs(n: usize) -> Self {
        match n {
            0 | 1 => Self::Single,
            2 => Self::Thin,
            _ => Self::Supported,
        }
    }

    /// Returns the degree a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }
}

/// One action of a right answer.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Step {
    /// Act, from the job vocabulary.
    pub act: String,
    /// Designator or function.
    pub part: String,
    /// What the part does, where the board says.
    pub name: Option<String>,
}

/// One right answer: all its steps together fix the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// What to do; usually one step.
    pub steps: Vec<Step>,
    /// Wordings that a lead accepts as well.
    pub also: Vec<String>,
}

impl Answer {
    /// Returns the fix that it stands for.
    pub fn fix(&self) -> Fix {
        let steps = self.steps.iter();
        Fix::new(steps.map(|s| (s.act.clone(), s.part.clone())).collect())
    }
}

/// Of the matching jobs, how many ended in this fix.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// Ended in this fix.
    pub k: usize,
    /// Matching A and B jobs of the board, not bounced for diagnosis.
    pub n: usize,
    /// Of `k`, with proof.
    pub proved: usize,
    /// Wilson 95 % lower limit of k/n.
    pub low: f64,
    /// Wilson 95 % upper limit of k/n.
    pub high: f64,
}

impl Share {
    /// Returns `k` of `n` jobs with its Wilson limits; without jobs they say nothing, from 0 to 1.
    pub fn counted(k: usize, n: usize, proved: usize) -> Self {
        let limits = interval::wilson(k, n);
        Self {
            k,
            n,
            proved,
            low: limits.map_or(0.0, |l| l.low),
            high: limits.map_or(1.0, |l| l.high),
        }
    }
}

/// A fix that other matching jobs ended in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherFix {
    /// Its steps.
    pub steps: Vec<Step>,
    /// How many matching jobs.
    pub k: usize,
}

/// One thing that a right answer in words must say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyPoint {
    /// The point as a person reads it.
    pub say: String,
    /// Groups of words that mean the same here: an answer names the point when it holds, of every
    /// group, at least one. Designators, nets and values are compared exactly.
    pub words: Vec<Vec<String>>,
    /// An answer without it is not right.
    pub needed: bool,
}

/// A fix that a pattern leaves possible, with its chance.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The fix as a person reads it: `Replace U31, the standby switcher`.
    pub what: String,
    /// Its chance, 0 to 1.
    pub chance: f64,
    /// How many jobs speak for it.
    pub n: usize,
}

/// One result of a measurement, and what it would mean.
#[derive(Clone, Debug, PartialEq)]
pub struct TestResult {
    /// The result in words: `low`, `hard short`.
    pub say: String,
    /// Chance of this result before measuring, 0 to 1.
    pub chance: f64,
    /// What remains possible after it, likeliest first.
    pub points_to: Vec<Suspect>,
}

/// One measurement that could be taken next.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// As a person reads it: `3V3_SB to ground (source off)`.
    pub say: String,
    /// Groups of words that name it, as in [`KeyPoint::words`]: its place where it has one, its kind
    /// where that is more than the place, and its state where the card tells two states apart.
    pub words: Vec<Vec<String>>,
    /// Minutes it takes.
    pub minutes: f64,
    /// Information expected of it, in bits.
    pub bits: f64,
    /// A right answer: its bits per minute come within 10 % of the best.
    pub right: bool,
    /// What each result would mean.
    pub results: Vec<TestResult>,
}

/// How a pattern stands on one of the boards it was found on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Board id.
    pub board: String,
    /// Jobs of the board with the pattern that ended in the answer.
    pub k: usize,
    /// Jobs of the board with the pattern.
    pub n: usize,
}

/// One of the two look-alikes of a contrast card.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// Circuit of this look-alike: part of the answer.
    pub family: FamilyId,
    /// Customer's words.
    pub complaint: Vec<String>,
    /// What is shown: what both look-alikes share, without the finding that separates them.
    pub front: Vec<Finding>,
    /// The finding that separates it from the other: part of the answer.
    pub separates: Vec<Finding>,
    /// What fixed it: part of the answer.
    pub answer: Answer,
    /// Evidence jobs, latest first.
    pub jobs: Vec<String>,
}

impl Side {
    /// Returns what the question shows of it; `given`: what separates it as well.
    pub fn shown(&self, given: bool) -> Vec<Finding> {
        let missing = |finding: &&Finding| given && !self.front.contains(finding);
        let separates = self.separates.iter().filter(missing);
        self.front.iter().chain(separates).cloned().collect()
    }
}

/// A drill card.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Mark of (kind, board, canonical fix, variant).
    pub id: String,
    /// Kind.
    pub kind: CardKind,
    /// Board id.
    pub board: String,
    /// Revisions among its jobs; empty means none was recorded.
    pub revs: Vec<String>,
    /// The circuit asked for.
    pub family: FamilyId,
    /// Circuits that count as right as well.
    pub contributing: Vec<FamilyId>,
    /// Customer's words of the shown job.
    pub complaint: Vec<String>,
    /// The question in words; empty where the kind says it all (a fix).
    pub stem: String,
    /// What a right answer in words must say; empty where the answer is a repair.
    pub points: Vec<KeyPoint>,
    /// Where a bench rule comes from: a standard, a handbook, or `common practice`.
    pub source: String,
    /// The two look-alikes of a contrast card; empty otherwise.
    pub sides: Vec<Side>,
    /// What separates the two sides is shown, and their fixes are asked; otherwise it is asked for.
    pub given: bool,
    /// What could be measured next, the best first; empty on any other kind of card.
    pub tests: Vec<Test>,
    /// The fixes that the front leaves possible, likeliest first; empty where none are shown.
    pub suspects: Vec<Suspect>,
    /// The boards that a pattern over several boards rests on; empty for a card of one board.
    pub boards: Vec<Standing>,
    /// The sum behind the answer, a line each, money and time as bands.
    pub sums: Vec<String>,
    /// What is shown.
    pub front: Vec<Finding>,
    /// What would give the answer away: shown with the answer.
    pub held_back: Vec<Finding>,
    /// Indices into `front` of the readings that decide it, strongest first.
    pub deciding: Vec<usize>,
    /// Right answers, the card's own first; of an `expect` card the fix that its question gives.
    pub answers: Vec<Answer>,
    /// Whole answers in other words that a lead accepts, where no repair is asked; those of a repair
    /// stand at its answer.
    pub also: Vec<String>,
    /// Evidence.
    pub share: Share,
    /// Other fixes of the matching jobs, most frequent first.
    pub others: Vec<OtherFix>,
    /// How many jobs with this fix came back, whatever the cause.
    pub bounced: usize,
    /// Support.
    pub support: Support,
    /// Evidence jobs, latest first.
    pub jobs: Vec<String>,
    /// Closing day of the latest.
    pub last: Option<NaiveDate>,
    /// Why it is so, from the archive.
    pub why: String,
    /// Hazards whose caution stands first.
    pub cautions: Vec<String>,
    /// What a lead should look at before trusting it.
    pub warn: Vec<String>,
    /// Who signed it.
    pub signed: Option<String>,
}

impl Card {
    /// Returns a card of a kind with nothing on it: whoever makes one says what stands there, and no more.
    pub fn blank(kind: CardKind) -> Self {
        Self {
            id: String::new(),
            kind,
            board: String::new(),
            revs: Vec::new(),
            family: FamilyId::new(),
            contributing: Vec::new(),
            complaint: Vec::new(),
            stem: String::new(),
            points: Vec::new(),
            source: String::new(),
            sides: Vec::new(),
            given: false,
            tests: Vec::new(),
            suspects: Vec::new(),
            boards: Vec::new(),
            sums: Vec::new(),
            front: Vec::new(),
            held_back: Vec::new(),
            deciding: Vec::new(),
            answers: Vec::new(),
            also: Vec::new(),
            share: Share::counted(0, 0, 0),
            others: Vec::new(),
            bounced: 0,
            support: Support::of_jobs(0),
            jobs: Vec::new(),
            last: None,
            why: String::new(),
            cautions: Vec::new(),
            warn: Vec::new(),
            signed: None,
        }
    }

    /// Tells whether the drill asks for the circuit before the answer: by the kind, and where the board
    /// is not known.
    pub fn asks_circuit(&self) -> bool {
        self.kind.asks_circuit() || self.is_across()
    }

    /// Tells whether it is a pattern over several boards, none of which is named in front.
    pub fn is_across(&self) -> bool {
        self.kind == CardKind::Next && self.board.is_empty()
    }

    /// Tells whether a repair is the answer: no points decide, and no measurement.
    pub fn asks_a_repair(&self) -> bool {
        self.points.is_empty() && self.tests.is_empty()
    }

    /// Returns the other wordings that a lead accepts, of its own answer or of its points.
    pub fn wordings(&self) -> &[String] {
        match self.answers.first().filter(|_| self.asks_a_repair()) {
            Some(own) => &own.also,
            None => &self.also,
        }
    }

    /// Takes `also` for the other wordings that a lead accepts.
    pub fn set_wordings(&mut self, also: Vec<String>) {
        let repair = self.asks_a_repair();
        match self.answers.first_mut().filter(|_| repair) {
            Some(own) => own.also = also,
            None => self.also = also,
        }
    }

    /// Returns the mark of what is asked (board, complaint, front), to tell a changed front.
    pub fn asked_mark(&self) -> String {
        let front = format!("{:?}", self.front);
        let complaint = self.complaint.join(",");
        let sides: Vec<_> = self
            .sides
            .iter()
            .map(|s| (&s.complaint, &s.front))
            .collect();
        let asked = if self.stem.is_empty() && sides.is_empty() {
            front
        } else if self.given {
            let given: Vec<_> = self.sides.iter().map(|s| &s.separates).collect();
            format!("{front}{}{sides:?}{given:?}", self.stem)
        } else {
            format!("{front}{}{sides:?}", self.stem)
        };
        ids::short_mark([self.kind.word(), &self.board, &complaint, &asked])
    }

    /// Returns the mark of what is accepted (circuit, acts and parts), to tell a corrected card.
    pub fn accepted_mark(&self) -> String {
        ids::short_mark([self.family.as_str(), &self.accepted().join(" | ")])
    }

    /// Hashes everything that [`Self::accepted_mark`] is made from, at a small part of its price.
    pub(crate) fn hash_accepted(&self, hasher: &mut impl Hasher) {
        self.family.hash(hasher);
        self.answers.len().hash(hasher);
        for answer in &self.answers {
            answer.steps.len().hash(hasher);
            for step in &answer.steps {
                (&step.act, &step.part).hash(hasher);
            }
        }
        for point in self.decisive() {
            (point.needed, &point.say).hash(hasher);
        }
        let right = self.tests.iter().filter(|test| test.right);
        right.for_each(|test| test.say.hash(hasher));
    }

    /// Returns the points that tell a right answer from a wrong one: those that must be named, and all
    /// where none has to be. Of a bench rule all, as journals have had it from the beginning.
    fn decisive(&self) -> impl Iterator<Item = &KeyPoint> {
        let all = self.kind == CardKind::Rule || !self.points.iter().any(|p| p.needed);
        self.points.iter().filter(move |p| all || p.needed)
    }

    /// Returns everything that is accepted beside the circuit, a text each, in a fixed order.
    ///
    /// Names and other wordings do not enter: a synonym is no correction.
    pub(crate) fn accepted(&self) -> Vec<String> {
        let mut answers: Vec<String> = self
            .answers
            .iter()
            .map(|answer| {
                let steps: Vec<String> = answer
                    .steps
                    .iter()
                    .map(|s| format!("{} {}", s.act, s.part))
                    .collect();
                steps.join(" + ")
            })
            .collect();
        answers.extend(self.decisive().map(|p| format!("{}:{}", p.needed, p.say)));
        answers.extend(self.tests.iter().filter(|t| t.right).map(|t| t.say.clone()));
        answers.sort();
        answers
    }

    /// Tells whether someone vouches for it: a lead, or the source of a bench rule.
    pub fn is_vouched_for(&self) -> bool {
        self.signed.is_some() || self.has_a_source()
    }

    /// Tells whether it is a bench rule that its source vouches for: none that came from another shop,
    /// whose source is one more text of that shop.
    pub fn has_a_source(&self) -> bool {
        let borrowed = self
            .warn
            .iter()
            .any(|warning| warning.starts_with(BORROWED));
        self.kind == CardKind::Rule && !borrowed
    }

    /// Returns a key shared by all cards of one fix on one board, whatever their variant, and by both
    /// cards of one pair of look-alikes; a card without any repair has a key of its own.
    pub fn fix_key(&self) -> String {
        let text = |answer: &Answer| {
            let steps: Vec<String> = answer
                .steps
                .iter()
                .map(|s| format!("{} {}", s.act, s.part))
                .collect();
            steps.join(" + ")
        };
        let mut both: Vec<String> = self.sides.iter().map(|s| text(&s.answer)).collect();
        both.sort();
        let steps = match self.answers.first() {
            Some(answer) => text(answer),
            None if both.is_empty() => self.id.clone(),
            None => both.join(" | "),
        };
        format!("{}|{steps}", self.board)
    }
}

/// A built deck.
#[derive(Clone, Debug, PartialEq)]
pub struct Deck {
    /// File name without ending.
    pub deck: String,
    /// Name a person reads.
    pub name: String,
    /// Fingerprint of the archive it was built from.
    pub from: String,
    /// Cards in a fixed order.
    pub cards: Vec<Card>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;
    use std::hash::DefaultHasher;

    fn hashed(card: &Card) -> u64 {
        let mut hasher = DefaultHasher::new();
        card.hash_accepted(&mut hasher);
        hasher.finish()
    }

    #[test]
    fn whatever_changes_what_a_card_accepts_changes_its_hash() {
        let point = |needed, say: &str| KeyPoint {
            say: say.to_owned(),
            words: Vec::new(),
            needed,
        };
        let plain = samples::card("a", "standby", "U31");
        let with = |change: &dyn Fn(&mut Card)| {
            let mut card = plain.clone();
            change(&mut card);
            card
        };
        let cards = [
            plain.clone(),
            with(&|c| c.family = "buck".to_owned()),
            with(&|c| c.answers[0].steps[0].part = "U13".to_owned()),
            with(&|c| c.answers[0].steps[0].act = "reflow".to_owned()),
            with(&|c| c.answers.push(c.answers[0].clone())),
            with(&|c| c.answers.clear()),
            with(&|c| c.points = vec![point(true, "cells out first")]),
            with(&|c| c.points = vec![point(false, "cells out first")]),
            with(&|c| c.points = vec![point(false, "cells out")]),
        ];
        for (n, one) in cards.iter().enumerate() {
            for other in &cards[..n] {
                assert_ne!(one.accepted_mark(), other.accepted_mark());
                assert_ne!(hashed(one), hashed(other));
            }
        }
        // What need not be named beside what has to be says nothing of what is right.
        let beside = with(&|c| c.points = vec![point(true, "cells out"), point(false, "a fume")]);
        let alone = with(&|c| c.points = vec![point(true, "cells out")]);
        assert_eq!(beside.accepted_mark(), alone.accepted_mark());
        assert_eq!(hashed(&beside), hashed(&alone));
        let rule = |card: &Card| Card {
            kind: CardKind::Rule,
            ..card.clone()
        };
        assert_ne!(rule(&beside).accepted_mark(), rule(&alone).accepted_mark());
        // A synonym is no correction, and no reason to look at every card again.
        let reworded =
            with(&|c| c.answers[0].steps[0].name = Some("the standby supply".to_owned()));
        let accepted = Card {
            also: vec!["cells away".to_owned()],
            ..alone.clone()
        };
        assert_eq!(accepted.accepted_mark(), alone.accepted_mark());
        assert_eq!(hashed(&accepted), hashed(&alone));
        assert_eq!(reworded.accepted_mark(), plain.accepted_mark());
        assert_eq!(hashed(&reworded), hashed(&plain));
    }
}
