//! The order of the day, on plain numbers: which card's asking buys the most readiness a second.
//!
//! A card is worth (its weight: job share times what a miss costs) x (the price index of its memory)
//! / (the seconds of a right answer to it). The index holds already that a miss, and a first meeting,
//! take longer. Cards are asked from the worthiest down until the seconds are out.
//!
//! What a person knows to a chance of recall of [`KNOWN`] or better is not asked: it buys nothing.
//! Leaves out which cards may be asked at all, and how the chosen ones stand in the sitting.

use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::price::Habits;
use crate::domain::price::Prices;

/// Recall from which on asking is not worth its time: our own choice. On simulated people
/// (benches/learning, 20 of them) 0.97 cost half a point of readiness against no limit: they forget
/// sooner than the model believes, and the index alone is low enough for what is known.
pub const KNOWN: f64 = 0.99;

/// What is known of one card, as numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Job share, times what a miss costs; in any unit that is the same for all cards.
    pub weight: f64,
    /// Seconds that a right answer to it takes this person, once it is met.
    pub seconds: f64,
    /// Memory; none for a card that has none yet.
    pub memory: Option<Memory>,
    /// Whole days since its last review.
    pub elapsed: u32,
}

/// A person, as the order sees one.
#[derive(Clone, Copy, Debug)]
pub struct Pricing<'a> {
    /// Parameters of memory.
    pub weights: &'a Weights,
    /// The tables made for them.
    pub prices: &'a Prices,
    /// How the person answers.
    pub habits: &'a Habits,
    /// What the index of a card not met yet counts: 1 for readiness alone, less for a steady day.
    pub new_factor: f64,
}

impl Pricing<'_> {
    /// Returns what a second spent on the card buys; 0 for one that is known well enough.
    pub fn worth(&self, card: &Standing) -> f64 {
        let index = match card.memory {
            None => self.prices.unmet() * self.new_factor,
            Some(memory) if KNOWN <= self.recall(memory, card.elapsed) => 0.0,
            Some(memory) => self.prices.met(memory, card.elapsed),
        };
        card.weight * index / card.seconds
    }

    /// Returns the seconds that asking the card is expected to take, with its coming back after a miss.
    pub fn seconds(&self, card: &Standing) -> f64 {
        let times = match card.memory {
            None => self.habits.first,
            Some(memory) => {
                let recall = self.recall(memory, card.elapsed);
                recall + (1.0 - recall) * self.habits.miss
            }
        };
        times * card.seconds
    }

    fn recall(&self, memory: Memory, elapsed: u32) -> f64 {
        memory::recall(self.weights, memory.stability, f64::from(elapsed))
    }

    /// Returns the cards that fit into so many seconds, the worthiest first, by their place in `cards`;
    /// of equal ones the earlier. A card that no longer fits ends it; the first is asked in any case.
    pub fn choose(&self, cards: &[Standing], seconds: f64) -> Vec<usize> {
        let worth: Vec<f64> = cards.iter().map(|card| self.worth(card)).collect();
        let mut left = seconds;
        let mut chosen = Vec::new();
        for card in Ranked::new(&worth) {
            let takes = self.seconds(&cards[card]);
            if !chosen.is_empty() && left < takes {
                break;
            }
            left -= takes;
            chosen.push(card);
        }
        chosen
    }
}

/// Places of `worth` from the highest down, as far as anyone asks for them; what is worth nothing stays
/// out, and of equal ones the earlier comes first.
///
/// Only as much is sorted as is taken: of a hundred thousand cards a day asks a few dozen.
#[derive(Debug)]
pub struct Ranked<'a> {
    worth: &'a [f64],
    /// Not sorted yet, each worth no more than any that is.
    rest: Vec<u32>,
    /// Sorted, the next one last.
    ready: Vec<u32>,
    /// How many the next sorting takes.
    step: usize,
}

/// How many cards are sorted at first.
const STEP: usize = 256;

impl<'a> Ranked<'a> {
    /// Ranks by `worth`.
    pub fn new(worth: &'a [f64]) -> Self {
        let places = 0..u32::try_from(worth.len()).unwrap_or(u32::MAX);
        Self {
            worth,
            rest: places.filter(|i| 0.0 < worth[*i as usize]).collect(),
            ready: Vec::new(),
            step: STEP,
        }
    }
}

impl Iterator for Ranked<'_> {
    type Item = usize;

    fn next(&mut self) -> Option<usize> {
        if self.ready.is_empty() && !self.rest.is_empty() {
            let worth = self.worth;
            // The best last, so that they are split off and popped without moving the others.
            let rising = |a: &u32, b: &u32| {
                let (x, y) = (worth[*a as usize], worth[*b as usize]);
                x.total_cmp(&y).then_with(|| b.cmp(a))
            };
            let from = self.rest.len().saturating_sub(self.step);
            if 0 < from {
                self.rest.select_nth_unstable_by(from, rising);
            }
            self.ready = self.rest.split_off(from);
            self.ready.sort_unstable_by(rising);
            self.step *= 4;
        }
        self.ready.pop().map(|i| i as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn with<T>(then: impl FnOnce(&Pricing<'_>) -> T) -> T {
        let weights = Weights::published();
        let prices = Prices::new(&weights);
        then(&Pricing {
            weights: &weights,
            prices: &prices,
            habits: &Habits::USUAL,
            new_factor: 0.5,
        })
    }

    fn standing(weight: f64, stability: f64, elapsed: u32) -> Standing {
        Standing {
            weight,
            seconds: 20.0,
            memory: Some(Memory {
                stability,
                difficulty: 5.0,
            }),
            elapsed,
        }
    }

    #[test]
    fn what_faded_further_is_common_and_quick_comes_first() {
        let fresh = Standing {
            memory: None,
            ..standing(1.0, 1.0, 0)
        };
        let cards = [
            standing(1.0, 10.0, 4),
            standing(1.0, 10.0, 20),
            standing(3.0, 10.0, 20),
            Standing {
                seconds: 5.0,
                ..standing(1.0, 10.0, 20)
            },
            fresh,
            standing(9.0, 1_000.0, 2),
        ];
        with(|pricing| {
            // Worth: 0.2, 2.8, 8.4, 11 and half of 15; the last is known too well to be asked at all.
            assert_eq!(pricing.choose(&cards, 1_000.0), [3, 2, 4, 1, 0]);
            assert_eq!(pricing.choose(&cards, 1.0), [3], "one is always asked");
            assert!(pricing.choose(&cards[5..], 1_000.0).is_empty());
        });
    }

    #[test]
    fn a_miss_and_a_first_meeting_take_longer() {
        with(|pricing| {
            let new = Standing {
                memory: None,
                ..standing(1.0, 1.0, 0)
            };
            assert!((pricing.seconds(&new) - 20.0 * Habits::USUAL.first).abs() < 1e-12);
            let nine_in_ten = pricing.seconds(&standing(1.0, 30.0, 30));
            assert!((nine_in_ten - 20.0 * (0.9 + 0.1 * Habits::USUAL.miss)).abs() < 1e-9);
        });
    }

    proptest! {
        #[test]
        fn ranked_is_a_full_sort(worth in proptest::collection::vec(0..40u8, 0..2_000)) {
            let worth: Vec<f64> = worth.into_iter().map(f64::from).collect();
            let mut sorted: Vec<usize> = (0..worth.len()).filter(|i| 0.0 < worth[*i]).collect();
            sorted.sort_by(|a, b| worth[*b].total_cmp(&worth[*a]).then(a.cmp(b)));
            prop_assert_eq!(Ranked::new(&worth).collect::<Vec<_>>(), sorted);
        }
    }
}
