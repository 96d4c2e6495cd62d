//! The price tables made last, kept so that a home screen and the drill behind it do not each make them.
//!
//! Tables are made from weights and habits alone and are the same whenever they are made; an answer
//! changes the habits, so that the next look makes new ones.

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::domain::memory::Weights;
use crate::domain::price::Habits;
use crate::domain::price::Prices;

/// How many tables are kept: those of a few people who share a bench.
const KEPT: usize = 4;

/// Tables, with what they were made from.
type Made = (Weights, Habits, Arc<Prices>);

/// The tables made last.
#[derive(Debug, Default)]
pub struct Priced(Mutex<Vec<Made>>);

impl Priced {
    /// Returns the tables for these weights and habits: those that were made before, where they were.
    pub fn of(&self, weights: &Weights, habits: &Habits) -> Arc<Prices> {
        let mut made = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let known = made
            .iter()
            .position(|(of, by, _)| of == weights && by == habits);
        let found = if let Some(at) = known {
            made.remove(at)
        } else {
            let prices = Arc::new(Prices::with(weights, habits));
            (weights.clone(), *habits, prices)
        };
        let prices = Arc::clone(&found.2);
        made.insert(0, found);
        made.truncate(KEPT);
        prices
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_made_once_and_for_other_habits_anew() {
        let priced = Priced::default();
        let weights = Weights::published();
        let slow = |miss| Habits {
            miss,
            ..Habits::USUAL
        };
        let first = priced.of(&weights, &slow(2.0));
        let again = priced.of(&weights, &slow(2.0));
        assert!(Arc::ptr_eq(&first, &again));
        let other = priced.of(&weights, &slow(3.0));
        assert!(!Arc::ptr_eq(&first, &other));
        assert_eq!(*other, Prices::with(&weights, &slow(3.0)));
        assert_ne!(*other, *first);
        // The ones that were not looked at for longest go first.
        for miss in [4.0, 5.0] {
            priced.of(&weights, &slow(miss));
        }
        assert!(Arc::ptr_eq(&first, &priced.of(&weights, &slow(2.0))));
        priced.of(&weights, &slow(6.0));
        assert!(Arc::ptr_eq(&first, &priced.of(&weights, &slow(2.0))));
        assert!(!Arc::ptr_eq(&other, &priced.of(&weights, &slow(3.0))));
    }
}
