//! Whether people miss a card more than the memory model expects: then the card is looked at before the
//! people are.
//!
//! Symbols: `p_i` the chance of recall that the model gave before answer `i`, `h` how many of `n` answers
//! recalled the card. The number recalled is then a sum of `n` trials with chances of their own
//! (Poisson-binomial); its distribution is computed exactly, one trial after another:
//! `P_i(k) = p_i P_{i-1}(k-1) + (1 - p_i) P_{i-1}(k)`. The card is surprising when `P(X <= h)` is small.
//! The recursion follows from the definition; for equal chances it is the binomial distribution.

use std::collections::BTreeSet;

use crate::domain::gaps::spots::Review;
use crate::domain::units::count;

/// Days that are looked back.
pub const DAYS: u32 = 90;
/// Fewer people than this say nothing about the card: common practice, no source.
pub const PEOPLE: usize = 2;
/// Fewer answers than this say nothing about the card: common practice, no source.
pub const ANSWERS: usize = 6;
/// A chance below this is a surprise; a thousand good cards then give some ten false alarms, which a
/// lead can look through. Common practice, no source.
pub const CHANCE: f64 = 0.01;

/// How a card was missed, against what the model expected.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// People who answered.
    pub people: usize,
    /// Answers.
    pub n: usize,
    /// Of them missed.
    pub missed: usize,
    /// Misses expected.
    pub expected: f64,
    /// Chance of so many misses or more.
    pub chance: f64,
}

impl Missing {
    /// Tells whether the card is missed more than the model expects.
    pub fn is_surprising(&self) -> bool {
        PEOPLE <= self.people
            && ANSWERS <= self.n
            && self.expected < count(self.missed)
            && self.chance < CHANCE
    }

    /// Returns it in a few words.
    pub fn words(&self) -> String {
        format!(
            "missed {} of {} by {} people, {:.1} expected",
            self.missed, self.n, self.people, self.expected
        )
    }
}

/// Counts the answers of all people to one card; who answered stands beside each.
pub fn counted(reviews: &[(&str, &Review)]) -> Missing {
    let people: BTreeSet<&str> = reviews.iter().map(|(person, _)| *person).collect();
    let chances: Vec<f64> = reviews.iter().map(|(_, review)| review.expected).collect();
    let recalled = reviews.iter().filter(|(_, r)| r.recalled).count();
    Missing {
        people: people.len(),
        n: reviews.len(),
        missed: reviews.len() - recalled,
        expected: chances.iter().map(|p| 1.0 - p).sum(),
        chance: at_most(&chances, recalled),
    }
}

/// Returns the chance that at most `hits` of trials with these chances succeed.
pub fn at_most(chances: &[f64], hits: usize) -> f64 {
    let mut exactly = vec![0.0; chances.len() + 1];
    exactly[0] = 1.0;
    for (i, p) in chances.iter().enumerate() {
        for k in (0..=i).rev() {
            exactly[k + 1] += exactly[k] * p;
            exactly[k] *= 1.0 - p;
        }
    }
    let sum: f64 = exactly.iter().take(hits + 1).sum();
    sum.min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;
    use proptest::prelude::*;

    #[test]
    fn equal_chances_give_the_tables_of_the_binomial_distribution() {
        // Cumulative binomial probabilities as in the usual printed tables, four places.
        for (n, p, hits, table) in [
            (10, 0.5, 2, 0.0547),
            (10, 0.9, 6, 0.0128),
            (20, 0.9, 15, 0.0432),
            (15, 0.8, 9, 0.0611),
            (5, 0.3, 5, 1.0),
        ] {
            let found = at_most(&vec![p; n], hits);
            assert!((found - table).abs() < 5e-5, "{n} {p} {hits}: {found}");
        }
    }

    #[test]
    fn different_chances_are_counted_by_hand() {
        // Of 0.9, 0.5, 0.2: none 0.1*0.5*0.8; one 0.9*0.5*0.8 + 0.1*0.5*0.8 + 0.1*0.5*0.2.
        let chances = [0.9, 0.5, 0.2];
        assert!((at_most(&chances, 0) - 0.04).abs() < 1e-12);
        assert!((at_most(&chances, 1) - (0.04 + 0.36 + 0.04 + 0.01)).abs() < 1e-12);
    }

    fn reviews(people: &[&str], expected: f64, missed: usize, n: usize) -> Missing {
        let all: Vec<Review> = (0..n)
            .map(|i| Review {
                card: "a".to_owned(),
                day: samples::day(0),
                expected,
                recalled: i >= missed,
            })
            .collect();
        let who = people.iter().cycle().copied();
        counted(&who.zip(&all).collect::<Vec<_>>())
    }

    #[test]
    fn a_card_is_surprising_only_over_several_people_and_enough_answers() {
        assert!(reviews(&["mk", "jo"], 0.9, 5, 8).is_surprising());
        assert!(!reviews(&["mk"], 0.9, 5, 8).is_surprising());
        assert!(!reviews(&["mk", "jo"], 0.9, 4, 5).is_surprising());
        assert!(!reviews(&["mk", "jo"], 0.9, 1, 8).is_surprising());
        assert!(!reviews(&["mk", "jo"], 0.3, 5, 8).is_surprising());
        let words = reviews(&["mk", "jo"], 0.75, 5, 8).words();
        assert_eq!(words, "missed 5 of 8 by 2 people, 2.0 expected");
    }

    proptest! {
        #[test]
        fn chances_add_up_and_rise(chances in prop::collection::vec(0.0..=1.0, 0..20)) {
            let all = at_most(&chances, chances.len());
            prop_assert!((all - 1.0).abs() < 1e-9);
            for hits in 0..chances.len() {
                prop_assert!(at_most(&chances, hits) <= at_most(&chances, hits + 1) + 1e-12);
            }
        }
    }
}
