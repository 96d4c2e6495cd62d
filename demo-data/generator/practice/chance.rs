//! Seeded chance: whole numbers only, so that every machine draws the same.

use rand::Rng;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

/// A stream of draws.
pub(crate) struct Chance(ChaCha12Rng);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(ChaCha12Rng::seed_from_u64(seed))
    }

    /// Draws from 0 up to and without `n`.
    pub(crate) fn below(&mut self, n: u64) -> u64 {
        self.0.next_u64() % n.max(1)
    }

    /// Draws a place in a list of `n`.
    pub(crate) fn place(&mut self, n: usize) -> usize {
        let n = u64::try_from(n).expect("a list is shorter than that");
        usize::try_from(self.below(n)).expect("it is below a length")
    }

    /// Draws from `low` to `high`, both within.
    pub(crate) fn between(&mut self, low: i64, high: i64) -> i64 {
        let span = u64::try_from(high - low + 1).expect("a range runs upward");
        low + i64::try_from(self.below(span)).expect("it is below a span")
    }

    pub(crate) fn percent(&mut self, chance: u32) -> bool {
        self.below(100) < u64::from(chance)
    }

    pub(crate) fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.place(from.len())]
    }

    /// Picks one of several with their weights.
    pub(crate) fn weighted<'a, T>(&mut self, from: &'a [(u32, T)]) -> &'a T {
        let whole: u32 = from.iter().map(|(weight, _)| weight).sum();
        let mut left = self.below(u64::from(whole));
        for (weight, item) in from {
            let weight = u64::from(*weight);
            if left < weight {
                return item;
            }
            left -= weight;
        }
        &from[from.len() - 1].1
    }

    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            let other = self.place(last + 1);
            list.swap(last, other);
        }
    }
}
