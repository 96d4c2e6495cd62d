//! The met cards that may be asked on a day, greatest worth first.
//!
//! Worth is in logarithms. What differs by less than some parts in a thousand million counts as equal,
//! and of equal ones the earlier card comes first: so that one whole number holds both, and sorting
//! moves whole numbers alone.

use crate::domain::ahead::run::number;

/// Cards by their worth.
#[derive(Clone, Debug, Default)]
pub(super) struct Pool {
    keys: Vec<u64>,
    /// Bits of a key that hold the card.
    cards: u64,
    /// Worth by card.
    worth: Vec<f64>,
}

impl Pool {
    /// Forgets all; `n` cards may come.
    pub(super) fn clear(&mut self, n: usize) {
        self.keys.clear();
        self.worth.resize(n, 0.0);
        self.cards = (n as u64).next_power_of_two() - 1;
    }

    /// Adds a card.
    pub(super) fn push(&mut self, at: usize, worth: f64) {
        self.worth[at] = worth;
        self.keys
            .push(falling(worth) & !self.cards | u64::from(number(at)));
    }

    /// Sorts, and keeps the first `most`.
    pub(super) fn sort(&mut self, most: usize) {
        if most < self.keys.len() {
            self.keys.select_nth_unstable(most);
            self.keys.truncate(most);
        }
        self.keys.sort_unstable();
    }

    /// Returns the cards, greatest worth first.
    pub(super) fn cards(&self) -> impl Iterator<Item = usize> + Clone {
        #[expect(clippy::cast_possible_truncation, reason = "the place of a card")]
        let card = |key: &u64| (key & self.cards) as usize;
        self.keys.iter().map(card)
    }

    /// Returns the worth of a card.
    pub(super) fn worth(&self, at: usize) -> f64 {
        self.worth[at]
    }
}

/// Returns a number that falls as `worth` rises.
fn falling(worth: f64) -> u64 {
    let bits = worth.to_bits();
    // Above 0 a larger number has larger bits, below it smaller ones.
    if worth.is_sign_negative() {
        bits
    } else {
        !bits & !(1 << 63)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_pool_is_a_full_sort_cut_short(
            worth in proptest::collection::vec(
                prop_oneof![(-40..40i32).prop_map(f64::from), -30.0..30.0], 1..300),
            most in 1..200usize,
        ) {
            let mut pool = Pool::default();
            pool.clear(worth.len());
            for (at, worth) in worth.iter().enumerate().rev() {
                pool.push(at, *worth);
            }
            pool.sort(most);
            let mut sorted: Vec<usize> = (0..worth.len()).collect();
            sorted.sort_by(|a, b| worth[*b].total_cmp(&worth[*a]).then(a.cmp(b)));
            let found: Vec<usize> = pool.cards().collect();
            prop_assert_eq!(found.len(), most.min(worth.len()));
            for (found, expected) in found.into_iter().zip(sorted) {
                let off = (pool.worth(found) - worth[expected]).abs();
                prop_assert!(found == expected || (0.0 < off && off < 1e-8), "{} {}", found, expected);
            }
        }
    }

    #[test]
    fn a_number_falls_as_worth_rises() {
        let rising = [
            f64::MIN,
            -2.0,
            -1.0,
            -1e-300,
            0.0,
            1e-300,
            1.0,
            2.0,
            f64::MAX,
        ];
        let numbers = rising.map(falling);
        assert!(
            numbers.windows(2).all(|pair| pair[1] < pair[0]),
            "{numbers:?}"
        );
    }
}
