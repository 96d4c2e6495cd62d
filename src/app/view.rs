//! What the faces of the program show, as plain values: the screen and the plain lines draw from
//! these, so neither can say more than the other. How they are filled is in `face.rs` and `home.rs`.

use crate::domain::gaps::row::Share;
use crate::domain::goal::Goal;
use crate::domain::review::Grade;
use crate::domain::shop::Assigned;

/// One reading: `name  value  reference`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// Net, place or test.
    pub name: String,
    /// What was found.
    pub value: String,
    /// What a good board shows, or the circumstances.
    pub reference: String,
    /// It decides the answer; known only once the verdict is shown.
    pub decides: bool,
}

/// The front of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Front {
    /// Board name.
    pub board: String,
    /// `rev B, C`, or `revision not recorded`.
    pub revs: String,
    /// Cautions that stand first, one line each.
    pub cautions: Vec<String>,
    /// The question in words; empty where the kind of card says it all.
    pub stem: String,
    /// Customer's words; empty where nobody complained (a bench rule).
    pub complaint: String,
    /// Readings in order.
    pub readings: Vec<Reading>,
    /// The two look-alikes to tell apart; empty on any other kind of card.
    pub looks: Vec<Look>,
    /// What the front leaves possible, each with its letter: `A  Replace U31; likely, 27 jobs`.
    pub suspects: Vec<SuspectLine>,
    /// `spot check`, `asked again`, `new to you`; empty otherwise.
    pub mark: String,
}

/// One of the fixes that a front leaves possible.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SuspectLine {
    /// `A`, `B` and so on.
    pub letter: String,
    /// The fix: `Replace U31, the standby switcher`.
    pub what: String,
    /// `likely, 27 jobs`.
    pub chance: String,
}

/// One measurement that could be taken next, and what it would mean.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TestLine {
    /// `ohms 3V3_SB to ground (source off)`.
    pub say: String,
    /// Bits a minute: `0.41`.
    pub rate: String,
    /// Minutes: `1`.
    pub minutes: String,
    /// A right answer.
    pub right: bool,
    /// The answer named it; none where nothing was judged.
    pub said: Option<bool>,
    /// Each result with what it would mean: `low: A likely, B possible`.
    pub results: Vec<String>,
}

/// One of two look-alikes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Look {
    /// `A` or `B`.
    pub letter: String,
    /// Customer's words.
    pub complaint: String,
    /// Readings in order.
    pub readings: Vec<Reading>,
}

/// What tells one of two look-alikes from the other, and what fixed it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LookBack {
    /// `A` or `B`.
    pub letter: String,
    /// Family id of its circuit.
    pub circuit: String,
    /// What was held back: it separates the two.
    pub separates: Vec<Reading>,
    /// What fixed it.
    pub answer: String,
}

/// One point that a right answer in words makes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointLine {
    /// The point as a person reads it.
    pub say: String,
    /// It was said; none where nothing was judged.
    pub said: Option<bool>,
    /// An answer without it is not right.
    pub needed: bool,
}

/// The back of a card after an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Back {
    /// `corrected: was replace U31, now reflow L12`; where the person had learned it otherwise.
    pub corrected: Option<String>,
    /// `right circuit, right part; 8 s, fair`.
    pub verdict: String,
    /// What the judge noticed about a typed answer.
    pub note: String,
    /// `whether this is safe: "then warm it over a flame"`; of a right answer that says more than what was asked.
    pub unjudged: Option<String>,
    /// Why the answer would hurt someone, and the caution.
    pub danger: Option<String>,
    /// Rule that tells the circuit asked from the one said.
    pub boundary: Option<String>,
    /// `The circuit is standby, Always-on supply and wake.`; empty where no circuit was asked.
    pub circuit: String,
    /// Right answers, the card's own first.
    pub answers: Vec<String>,
    /// Points of a right answer in words.
    pub points: Vec<PointLine>,
    /// The two look-alikes, told apart.
    pub looks: Vec<LookBack>,
    /// What could be measured next, the best first.
    pub tests: Vec<TestLine>,
    /// The sum behind the answer, a line each.
    pub sums: Vec<String>,
    /// Where a bench rule comes from; empty on any other kind of card.
    pub source: String,
    /// How the pattern stands on each of its boards; empty for a card of one board.
    pub boards: Vec<String>,
    /// Share as (k, n, low, high); n is 0 where nothing was counted.
    pub share: (usize, usize, f64, f64),
    /// `7 of 9 jobs like this, 6 proved`.
    pub share_text: String,
    /// `supported`, `thin`, `single`.
    pub support: String,
    /// `1 came back`; empty if none.
    pub bounced: String,
    /// Other fixes of matching jobs.
    pub others: Vec<String>,
    /// Why it is so; see [`Back::why_lines`].
    pub why: String,
    /// What was held back from the front.
    pub held_back: Vec<Reading>,
    /// Evidence jobs, latest first.
    pub jobs: Vec<String>,
    /// Closing day of the latest job.
    pub last: String,
    /// What a lead should look at.
    pub warn: Vec<String>,
    /// Signs of a family the person meets for the first time.
    pub first_signs: Option<String>,
}

impl Back {
    /// Returns why it is so, a reason a line.
    pub fn why_lines(&self) -> impl Iterator<Item = &str> {
        self.why.split("; ").filter(|line| !line.trim().is_empty())
    }
}

/// A circuit to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Family id, as typed.
    pub id: String,
    /// Name a person reads.
    pub name: String,
}

/// The lower part of a card: one decision at a time.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// Which circuit?
    Circuit {
        /// Families to choose from.
        choices: Vec<Choice>,
    },
    /// Name the fix, or say it aloud; how sure?
    Fix {
        /// The circuit said, empty if the person did not know; none where none was asked.
        circuit: Option<String>,
        /// What to type: `Name the fix`.
        prompt: String,
        /// Fixes to choose from by number; empty where the answer is free.
        options: Vec<String>,
    },
    /// The verdict, and the grade to keep or move.
    Verdict {
        /// The back of the card.
        back: Box<Back>,
        /// What the program proposes.
        proposed: Grade,
        /// What would be kept now.
        grade: Grade,
        /// The grade may not be moved: the answer was unsafe.
        grade_fixed: bool,
        /// The person may overrule the verdict on the fix.
        may_overrule: bool,
    },
    /// The sitting is over.
    Over(Summary),
}

/// What a sitting came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// Sitting id.
    pub sitting: String,
    /// Cards answered.
    pub cards: usize,
    /// Minutes spent.
    pub minutes: f64,
    /// Cards missed.
    pub missed: usize,
    /// Cards met for the first time.
    pub new: usize,
    /// Scored reviews that the memory model was fitted anew to, where it was.
    pub fitted: Option<usize>,
}

impl Summary {
    /// Returns the sentence about a new fit of the memory model.
    pub fn fit_line(&self) -> Option<String> {
        let n = self.fitted?;
        Some(format!(
            "The memory model was fitted anew to your {n} scored reviews."
        ))
    }
}

/// A sitting as a person sees it at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct DrillView {
    /// The card's front; none once the sitting is over.
    pub front: Option<Front>,
    /// Family id of the card (for the family page after the verdict).
    pub family: String,
    /// The decision that is waiting.
    pub step: Step,
    /// Minutes left of the budget.
    pub minutes_left: f64,
    /// Something can be taken back.
    pub can_undo: bool,
    /// Why nothing is being kept: who holds this person's journal. Then the sitting is read-only.
    pub read_only: Option<String>,
    /// A line to show once: a corrected card, damage found, a slow disk.
    pub notice: String,
}

/// One family on the home screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FamilyMeter {
    /// Family id.
    pub id: String,
    /// Name a person reads.
    pub name: String,
    /// Cards of this family in use.
    pub cards: usize,
    /// Of them met.
    pub met: usize,
    /// Of them kept: recall today is at the target or above.
    pub kept: usize,
    /// Circuit right in the spot checks of the last 90 days.
    pub spot: Share,
}

/// The home screen of one person.
#[derive(Clone, Debug, PartialEq)]
pub struct Home {
    /// Shop's name.
    pub shop: String,
    /// Person folder.
    pub person: String,
    /// Initials.
    pub initials: String,
    /// `Thu 2 Apr 2026`.
    pub date: String,
    /// Minutes of today's sitting.
    pub minutes: f64,
    /// Cards it would hold.
    pub planned: usize,
    /// Of them not met yet.
    pub planned_new: usize,
    /// Cards answered today.
    pub done_today: usize,
    /// Families in the shop's order, those with cards.
    pub families: Vec<FamilyMeter>,
    /// Cards corrected since this person learned them.
    pub corrected: usize,
    /// What is said of a day to be ready by; empty without one.
    pub ready_by: String,
    /// After an absence: what it takes to be back; empty otherwise.
    pub away: String,
    /// Damage and warnings found while reading the shop.
    pub faults: Vec<String>,
}

/// A person to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonChoice {
    /// Folder name.
    pub id: String,
    /// Initials.
    pub initials: String,
    /// `trainee`, `technician`, `lead`.
    pub role: String,
    /// What the person drills when nothing is asked for in particular.
    pub assigned: Assigned,
    /// Fixes stand to choose from where the person drills.
    pub options: bool,
    /// A day that the person wants to be ready by.
    pub goal: Option<Goal>,
}

/// One evidence job, whole, as lines of text without anything a card may not show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobPage {
    /// Job number, date, board, revision.
    pub title: String,
    /// Lines: complaint, findings, actions with roles, outcome, proof.
    pub lines: Vec<String>,
}
