//! What a verdict comes to in one word, as a trainer would give it.

use crate::domain::card::CardKind;
use crate::domain::judge::compare::keypoints::Judgement;
use crate::domain::judge::compare::keypoints::Point;
use crate::domain::judge::compare::points::PointsVerdict;

/// What an answer is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Worth {
    /// It would hurt someone, whatever else it got right.
    Unsafe,
    /// Another part, a list of guesses, or no answer.
    Wrong,
    /// The right part with another act, some of several steps, the right kind of part without saying
    /// which, its circuit or function, or the measurement that would tell; of points, more than half of
    /// those needed, and where a card asks two things, the first of them.
    Partly,
    /// Right.
    Right,
}

impl Worth {
    /// Every worth, from worst to best.
    pub const ALL: [Self; 4] = [Self::Unsafe, Self::Wrong, Self::Partly, Self::Right];

    /// Returns the word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unsafe => "unsafe",
            Self::Wrong => "wrong",
            Self::Partly => "partly",
            Self::Right => "right",
        }
    }

    /// Returns the worth of an answer that would hurt someone, is right, or is partly so.
    pub fn of(harms: bool, right: bool, partly: bool) -> Self {
        match (harms, right, partly) {
            (true, _, _) => Self::Unsafe,
            (_, true, _) => Self::Right,
            (_, _, true) => Self::Partly,
            _ => Self::Wrong,
        }
    }

    /// Returns what an answer that names a repair is worth.
    pub fn of_repair(verdict: &Judgement) -> Self {
        let near =
            verdict.near || matches!(verdict.part, Point::Right | Point::Partly | Point::Unclear);
        Self::of(
            verdict.unsafe_answer.is_some(),
            verdict.fix,
            near && !verdict.negated,
        )
    }

    /// Returns what an answer in words to a card of `kind` is worth.
    ///
    /// A card of two questions in one ("go on or call it, and why"; "which finding, and which fixes") is
    /// half answered by the first alone.
    pub fn of_points(kind: CardKind, verdict: &PointsVerdict) -> Self {
        let first = match kind {
            CardKind::Stop => verdict.hits.first() == Some(&true),
            CardKind::Contrast => verdict.hits.contains(&true),
            _ => false,
        };
        Self::of(
            verdict.unsafe_answer.is_some(),
            verdict.right,
            verdict.partly || first,
        )
    }
}
