//! Reviews: what a person said to a card, and what happened to it since.
//!
//! These are the events of the journals; their fold into memory is `history.rs`.

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::circuit::FamilyId;

/// How well a card was recalled; 1 to 4 in the memory model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// Fix wrong or unsafe.
    Missed,
    /// Right fix after a wrong circuit, or unsure, or slowly.
    Hunted,
    /// Circuit and fix right.
    Named,
    /// Right, sure and quick.
    OnSight,
}

impl Grade {
    /// Every grade, from worst to best.
    pub const ALL: [Self; 4] = [Self::Missed, Self::Hunted, Self::Named, Self::OnSight];

    /// Returns the word used in files (`on-sight` with a hyphen).
    pub fn word(self) -> &'static str {
        match self {
            Self::Missed => "missed",
            Self::Hunted => "hunted",
            Self::Named => "named",
            Self::OnSight => "on-sight",
        }
    }

    /// Returns the words a person reads.
    pub fn label(self) -> &'static str {
        match self {
            Self::OnSight => "on sight",
            other => other.word(),
        }
    }

    /// Returns the grade a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|g| g.word() == word)
    }

    /// Returns 1 to 4.
    pub fn number(self) -> u8 {
        match self {
            Self::Missed => 1,
            Self::Hunted => 2,
            Self::Named => 3,
            Self::OnSight => 4,
        }
    }

    /// Returns the grade numbered 1 to 4.
    pub fn from_number(number: u8) -> Option<Self> {
        Self::ALL.into_iter().find(|g| g.number() == number)
    }

    /// Tells whether the card was recalled.
    pub fn recalled(self) -> bool {
        self != Self::Missed
    }
}

/// Why a card was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// The daily practice.
    Drill,
    /// Drawn regardless of schedule, to measure.
    SpotCheck,
    /// The refresh before a tricky board: a miss counts for memory, a right answer does not.
    Brief,
}

impl Mode {
    /// Every mode.
    pub const ALL: [Self; 3] = [Self::Drill, Self::SpotCheck, Self::Brief];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Drill => "drill",
            Self::SpotCheck => "spot-check",
            Self::Brief => "brief",
        }
    }

    /// Returns the mode a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.word() == word)
    }
}

/// How sure a person said to be, before the reveal.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sure {
    /// 1.
    Low,
    /// 2.
    #[default]
    Fair,
    /// 3.
    High,
}

impl Sure {
    /// Every level.
    pub const ALL: [Self; 3] = [Self::Low, Self::Fair, Self::High];

    /// Returns 1 to 3.
    pub fn number(self) -> u8 {
        match self {
            Self::Low => 1,
            Self::Fair => 2,
            Self::High => 3,
        }
    }

    /// Returns the word on the screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::Fair => "fair",
            Self::High => "high",
        }
    }

    /// Returns the level numbered 1 to 3.
    pub fn from_number(number: u8) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.number() == number)
    }
}

/// Milliseconds spent on the three parts of a card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Millis {
    /// Until the circuit was named.
    pub circuit: u64,
    /// From there until the fix was named.
    pub answer: u64,
    /// Reading the verdict.
    pub reveal: u64,
}

impl Millis {
    /// Returns all three together.
    pub fn total(self) -> u64 {
        self.circuit
            .saturating_add(self.answer)
            .saturating_add(self.reveal)
    }

    /// Returns the time to the answer, without the reading of the verdict.
    pub fn thinking(self) -> u64 {
        self.circuit.saturating_add(self.answer)
    }
}

/// What the program found right; a person's overruling turns it round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Verdict {
    /// The circuit, where asked.
    pub circuit: Option<bool>,
    /// The fix; absent where it was said aloud, since the program heard nothing: what the person made
    /// of it is the grade.
    pub fix: Option<bool>,
    /// The answer would hurt someone.
    pub unsafe_answer: bool,
}

/// One answered card.
#[derive(Clone, Debug, PartialEq)]
pub struct Answered {
    /// Card id.
    pub card: String,
    /// Mark of the front at that time.
    pub asked: String,
    /// Mark of the accepted answers at that time.
    pub accepted: String,
    /// Sitting id.
    pub sitting: String,
    /// Why it was asked.
    pub mode: Mode,
    /// The grade kept.
    pub grade: Grade,
    /// What the program proposed.
    pub proposed: Grade,
    /// Time taken.
    pub ms: Millis,
    /// The circuit asked for and the one said.
    pub circuit: Option<(FamilyId, FamilyId)>,
    /// Typed fix; empty when said aloud.
    pub typed: String,
    /// The fix was said aloud and judged by the person.
    pub aloud: bool,
    /// How sure.
    pub sure: Sure,
    /// The person overruled the program's verdict.
    pub overruled: bool,
    /// The verdict.
    pub verdict: Verdict,
    /// Days until the next asking, as forecast then.
    pub next_days: u32,
    /// Fixes that stood there to choose from; 0 where the answer was free.
    pub options: usize,
}

/// Why a card was tagged out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TagReason {
    /// The card may be wrong: goes to the lead's snag list.
    Doubtful,
    /// Not for this person.
    NotForMe,
}

impl TagReason {
    /// Every reason.
    pub const ALL: [Self; 2] = [Self::Doubtful, Self::NotForMe];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Doubtful => "doubtful",
            Self::NotForMe => "not-for-me",
        }
    }

    /// Returns the reason a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.word() == word)
    }
}

/// What a journal line records.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// A card was answered.
    Answer(Box<Answered>),
    /// The event called `of` is taken back.
    Undo {
        /// Id of the event.
        of: String,
    },
    /// A card leaves use.
    Tag {
        /// Card id.
        card: String,
        /// Why.
        reason: TagReason,
        /// In the person's words.
        note: String,
    },
    /// A card returns to use.
    Untag {
        /// Card id.
        card: String,
        /// In the person's words.
        note: String,
    },
    /// A sitting was someone else's.
    Move {
        /// Sitting id.
        sitting: String,
        /// Person folder it belongs to.
        to: String,
    },
    /// A fit of the memory model took effect.
    Weights {
        /// The 21 parameters.
        weights: Box<[f64; 21]>,
    },
}

impl Event {
    /// Returns the 21 numbers of a fit that took effect; none of another event.
    pub fn fit(&self) -> Option<&[f64; 21]> {
        match self {
            Self::Weights { weights } => Some(weights),
            _ => None,
        }
    }
}

/// One journal line.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Id, unique in the shop.
    pub id: String,
    /// Bench that wrote it.
    pub bench: String,
    /// Place in its journal, without gaps from 1.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// Bench day.
    pub day: NaiveDate,
    /// What.
    pub event: Event,
}
