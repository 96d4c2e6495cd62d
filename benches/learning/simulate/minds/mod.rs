//! How simulated apprentices remember: four kinds, none of which the scheduler is told.
//!
//! Time is in days from the start, a sitting's seconds being a part of its day. What a mind is asked
//! is its true chance of recall; the answer, its time and its grade are `person.rs`.

pub(crate) mod activation;
pub(crate) mod other_weights;
pub(crate) mod storage;
pub(crate) mod traces;

use crate::simulate::chance::Chance;

/// Memory for every card of a shop.
pub(crate) trait Mind {
    /// Returns the true chance (0 to 1) that `card` is recalled at `at`; 0 before it was met.
    fn recall(&self, card: usize, at: f64) -> f64;
    /// Takes in an asking with its feedback.
    fn encode(&mut self, card: usize, at: f64, recalled: bool);
}

/// The kinds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Activation that decays the faster the higher it was at encoding.
    Activation,
    /// Traces that fade on many time scales.
    Traces,
    /// Storage and retrieval strength, with look-alikes in each other's way.
    Storage,
    /// The scheduler's own model with other parameters, and cards that differ.
    OtherWeights,
}

impl Kind {
    /// Every kind.
    pub(crate) const ALL: [Self; 4] = [
        Self::Activation,
        Self::Traces,
        Self::Storage,
        Self::OtherWeights,
    ];

    /// Returns what the table calls it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Activation => "activation",
            Self::Traces => "traces",
            Self::Storage => "storage",
            Self::OtherWeights => "weights",
        }
    }

    /// Draws someone of this kind; `look_alikes` lists, for each card, those taken for it.
    pub(crate) fn draw(self, chance: &mut Chance, look_alikes: &[Vec<usize>]) -> Box<dyn Mind> {
        let n = look_alikes.len();
        match self {
            Self::Activation => Box::new(activation::Activation::draw(chance, n)),
            Self::Traces => Box::new(traces::Traces::draw(chance, n)),
            Self::Storage => Box::new(storage::Storage::draw(chance, look_alikes)),
            Self::OtherWeights => Box::new(other_weights::OtherWeights::draw(chance, n)),
        }
    }
}
