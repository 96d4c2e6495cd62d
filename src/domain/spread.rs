//! Seeded spread of forecasts, so that cards met together do not stay together.
//!
//! A forecast of a week or more moves to one of the whole days on which the chance of recall is
//! within one point of the target; shorter ones stay. One point and one week are common practice,
//! no source. The seed is the caller's: the same seed gives the same day.

use rand::Rng;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

use crate::domain::memory;
use crate::domain::memory::Weights;

/// Forecasts below this many days are not spread.
const WEEK: u32 = 7;

/// How much recall the spread may cost or gain.
const POINT: f64 = 0.01;

/// Returns the whole days until `target` recall, spread by `seed`.
pub fn spread_days(weights: &Weights, stability: f64, target: f64, seed: u64) -> u32 {
    let exact = memory::interval_exact(weights, stability, target);
    let days = memory::whole_days(exact);
    if days < WEEK {
        return days;
    }
    let earliest = memory::interval_exact(weights, stability, target + POINT).ceil();
    let latest = memory::interval_exact(weights, stability, (target - POINT).max(0.0)).floor();
    if f64::from(memory::DAYS.1) < earliest {
        return days;
    }
    let earliest = memory::whole_days(earliest).max(WEEK);
    let latest = memory::whole_days(latest);
    if latest < earliest {
        return days;
    }
    let choices = latest - earliest + 1;
    earliest + ChaCha12Rng::seed_from_u64(seed).next_u32() % choices
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::memory::BOUNDS;
    use crate::domain::memory::interval_exact;
    use crate::domain::memory::recall;
    use crate::domain::memory::whole_days;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    fn weights() -> impl Strategy<Value = Weights> {
        (BOUNDS[20].0..=BOUNDS[20].1).prop_map(|decay: f64| {
            let mut p = *Weights::published().get();
            p[20] = decay;
            Weights::new(p).expect("drawn within the bounds")
        })
    }

    #[test]
    fn cards_met_together_part() {
        let weights = Weights::published();
        let days: BTreeSet<u32> = (0..200)
            .map(|seed| spread_days(&weights, 30.0, 0.9, seed))
            .collect();
        let range = interval_exact(&weights, 30.0, 0.91)..=interval_exact(&weights, 30.0, 0.89);
        let allowed: BTreeSet<u32> = (1..100)
            .filter(|d| range.contains(&f64::from(*d)))
            .collect();
        assert_eq!(days, allowed, "every allowed day is drawn, and no other");
        assert!(5 < days.len());
    }

    #[test]
    fn every_allowed_day_is_about_as_frequent() {
        let weights = Weights::published();
        let mut counts = std::collections::BTreeMap::new();
        for seed in 0..6000 {
            *counts
                .entry(spread_days(&weights, 20.0, 0.9, seed))
                .or_insert(0u32) += 1;
        }
        let fair = 6000 / u32::try_from(counts.len()).expect("few");
        for (day, count) in counts {
            // Five standard deviations of a binomial count, rounded up.
            let slack = 5 * fair.isqrt() + 5;
            assert!(
                count.abs_diff(fair) < slack,
                "day {day}: {count} of about {fair}"
            );
        }
    }

    #[test]
    fn the_longest_forecast_stays_within_its_limit() {
        let weights = Weights::published();
        for seed in 0..50 {
            assert_eq!(spread_days(&weights, 36_500.0, 0.8, seed), 36_500);
            assert!(spread_days(&weights, 36_500.0, 0.9, seed) <= 36_500);
        }
    }

    proptest! {
        #[test]
        fn below_a_week_nothing_moves(
            weights in weights(), stability in 0.001..20.0, target in 0.7..0.98, seed: u64
        ) {
            let days = whole_days(interval_exact(&weights, stability, target));
            if days < WEEK {
                prop_assert_eq!(spread_days(&weights, stability, target, seed), days);
            }
        }

        #[test]
        fn a_spread_day_costs_at_most_one_point_of_recall(
            weights in weights(), stability in 5.0..20_000.0, target in 0.7..0.98, seed: u64
        ) {
            let days = whole_days(interval_exact(&weights, stability, target));
            prop_assume!((WEEK..36_500).contains(&days));
            let moved = spread_days(&weights, stability, target, seed);
            prop_assert!((WEEK..=36_500).contains(&moved));
            prop_assert_eq!(moved, spread_days(&weights, stability, target, seed));
            // 1e-12 for rounding; the range holds no whole day only where one day costs over a point.
            let off = (recall(&weights, stability, f64::from(moved)) - target).abs();
            prop_assert!(off <= POINT + 1e-12 || moved == days, "{} off", off);
            if moved == days && POINT + 1e-12 < off {
                let held = (WEEK..=36_500)
                    .any(|d| (recall(&weights, stability, f64::from(d)) - target).abs() <= POINT - 1e-12);
                prop_assert!(!held, "an allowed day was passed over");
            }
        }

        #[test]
        fn two_seeds_mostly_differ(stability in 60.0..10_000.0, seed: u64) {
            let weights = Weights::published();
            let days: BTreeSet<u32> = (0..40)
                .map(|i| spread_days(&weights, stability, 0.9, seed.wrapping_add(i)))
                .collect();
            prop_assert!(8 <= days.len());
        }
    }
}
