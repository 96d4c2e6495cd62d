//! The scheduler's own memory model, with parameters of one's own and cards that differ.
//!
//! Parameters are the published ones moved by normal draws of half the spread that the reference
//! library's optimiser gives them as a prior; the four first stabilities and the decay by a factor.
//! Each card's stability is off by a factor that the scheduler cannot know. Within a day the model
//! says that recall is certain; here it is 0.97. Source of the model: `domain/memory.rs`.

use benchlore::domain::memory;
use benchlore::domain::memory::BOUNDS;
use benchlore::domain::memory::COUNT;
use benchlore::domain::memory::Memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::review::Grade;

use crate::simulate::chance::Chance;
use crate::simulate::minds::Mind;

/// Widths of the prior that the crate `fsrs` 6.6.2 (BSD-3-Clause) fits with, after the first four.
const SPREAD: [f64; COUNT - 4] = [
    0.57, 0.28, 0.60, 0.12, 0.39, 0.18, 0.33, 0.30, 0.09, 0.16, 0.57, 0.25, 1.03, 0.31, 0.32, 0.14,
    0.27,
];

/// Someone of this kind.
pub(crate) struct OtherWeights {
    weights: Weights,
    ease: Vec<f64>,
    cards: Vec<Option<(Memory, f64)>>,
}

impl OtherWeights {
    /// Draws a person who knows none of `n` cards.
    pub(crate) fn draw(chance: &mut Chance, n: usize) -> Self {
        let mut p = *Weights::published().get();
        let all = chance.around(1.0, 0.4);
        for first in &mut p[..4] {
            *first *= all * chance.around(1.0, 0.15);
        }
        p[..4].sort_by(f64::total_cmp);
        for (value, spread) in p[4..].iter_mut().zip(SPREAD) {
            *value += chance.normal(0.0, 0.5 * spread);
        }
        p[COUNT - 1] = chance.around(0.18, 0.4);
        for (value, (low, high)) in p.iter_mut().zip(BOUNDS) {
            *value = value.clamp(low, high);
        }
        Self {
            weights: Weights::new(p).expect("within the bounds"),
            ease: (0..n).map(|_| chance.around(1.0, 0.35)).collect(),
            cards: vec![None; n],
        }
    }
}

impl Mind for OtherWeights {
    fn recall(&self, card: usize, at: f64) -> f64 {
        let Some((memory, last)) = &self.cards[card] else {
            return 0.0;
        };
        let days = at.floor() - last.floor();
        if days < 1.0 {
            return 0.97;
        }
        memory::recall(&self.weights, memory.stability * self.ease[card], days)
    }

    fn encode(&mut self, card: usize, at: f64, recalled: bool) {
        // How sure the person is shows in the grade given, which is not what is laid down.
        let grade = if recalled {
            Grade::Named
        } else {
            Grade::Missed
        };
        let memory = match &self.cards[card] {
            None => memory::first(&self.weights, Grade::Hunted),
            Some((memory, last)) => {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "days of a simulation"
                )]
                let days = (at.floor() - last.floor()).max(0.0) as u32;
                memory::next(&self.weights, *memory, days, grade)
            }
        };
        self.cards[card] = Some((memory, at));
    }
}
