//! What a person's day aims at: steady, or readiness alone.
//!
//! The order that buys most readiness asks many cards at the edge of forgetting, and meets many new
//! ones: about a third of the reviews fail, and people lose heart. A steady day values new cards less,
//! so that more of the time goes to cards not quite so faded; about three reviews in four are then
//! right, for half a point of readiness (measured on simulated people: benches/learning).

use crate::domain::manner::Manner;

/// What a day aims at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aim {
    /// About three reviews in four right.
    #[default]
    Steady,
    /// The most readiness, whatever the share right.
    Readiness,
}

/// What a new card's index counts on a steady day of someone whose share right is as meant.
const STEADY: f64 = 0.5;
/// The share right that a steady day is steered to.
const RIGHT: f64 = 0.75;
/// How sharply it is steered: ten points more right let new cards count 1.8 times as much.
const STEER: f64 = 6.0;
/// New cards count at least this much: a bad week must not stop the deck.
const LEAST: f64 = 0.15;

impl Aim {
    /// Every aim.
    pub const ALL: [Self; 2] = [Self::Steady, Self::Readiness];

    /// Returns the word used in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Steady => "steady",
            Self::Readiness => "readiness",
        }
    }

    /// Returns the aim a word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.word() == word)
    }

    /// Returns what the index of a card not met yet counts, for someone who answers like this.
    pub fn new_factor(self, manner: &Manner) -> f64 {
        match self {
            Self::Readiness => 1.0,
            Self::Steady => {
                let off = manner.share_right() - RIGHT;
                (STEADY * libm::exp(STEER * off)).clamp(LEAST, 1.0)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::manner::Asking;
    use crate::domain::review::Grade;
    use crate::domain::review::Millis;

    #[test]
    fn a_steady_day_meets_fewer_new_cards_the_more_goes_wrong() {
        let after = |misses_of_ten: usize| {
            let mut manner = Manner::default();
            for n in 0..200 {
                let missed = n % 10 < misses_of_ten;
                let grade = if missed { Grade::Missed } else { Grade::Named };
                manner.take(Asking::Review, true, grade, Millis::default());
            }
            Aim::Steady.new_factor(&manner)
        };
        let factors: Vec<f64> = (0..=10).map(after).collect();
        assert!(
            factors.windows(2).all(|pair| pair[1] <= pair[0]),
            "{factors:?}"
        );
        assert!(factors[0] <= 1.0 && LEAST <= factors[10], "{factors:?}");
        let nobody = Manner::default();
        assert!((Aim::Steady.new_factor(&nobody) - STEADY).abs() < 1e-12);
        assert!((Aim::Readiness.new_factor(&nobody) - 1.0).abs() < 1e-12);
    }
}
