//! Spread of forecasts, so that cards met together do not stay together, and no day gets far more than
//! its neighbours.
//!
//! A forecast of a week or more may move to any of the whole days on which the chance of recall is
//! within one point of the target; shorter ones stay. Of two such days, drawn by a seed, it takes the
//! one on which fewer of the person's other cards are expected: the better of two draws levels nearly as
//! well as the best of all, and does not send every card to the same quiet day. One point and one week are
//! common practice, no source. The same seed and load give the same day.
//!
//! What it acts on: the forecast that is shown and kept with a review, and the day's order, in which a
//! card between the first of its days and the one it was moved to lets others go before it
//! (`queue/choice.rs`). Which cards fill a day is decided by their worth, and how long the day is by the
//! minutes; levelling changes neither.

use chrono::NaiveDate;
use rand::Rng;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

use crate::domain::memory;
use crate::domain::memory::Weights;

/// Forecasts below this many days are not spread.
const WEEK: u32 = 7;

/// How much recall the spread may cost or gain.
const POINT: f64 = 0.01;

/// How many days ahead a load is counted for.
pub const AHEAD: usize = 400;

/// How many cards are expected on each day from a day on, before any of them is moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    from: NaiveDate,
    cards: Vec<u32>,
}

impl Load {
    /// Returns that of nobody, from `day` on.
    pub fn new(day: NaiveDate) -> Self {
        Self {
            from: day,
            cards: vec![0; AHEAD],
        }
    }

    /// Counts a card expected `days` after its review on `reviewed`; days gone by are not counted.
    pub fn add(&mut self, reviewed: NaiveDate, days: u32) {
        self.add_on(i64::from(days) - (self.from - reviewed).num_days());
    }

    /// Counts a card expected so many days from the load's own day on.
    pub fn add_on(&mut self, ahead: i64) {
        let slot = usize::try_from(ahead).ok();
        if let Some(cards) = slot.and_then(|at| self.cards.get_mut(at)) {
            *cards += 1;
        }
    }

    /// Counts such a card no longer.
    pub fn take_out(&mut self, reviewed: NaiveDate, days: u32) {
        let ahead = i64::from(days) - (self.from - reviewed).num_days();
        let slot = usize::try_from(ahead).ok();
        if let Some(cards) = slot.and_then(|at| self.cards.get_mut(at)) {
            *cards = cards.saturating_sub(1);
        }
    }

    /// Returns how many cards are expected `days` after `reviewed`.
    pub fn on(&self, reviewed: NaiveDate, days: u32) -> u32 {
        let at = i64::from(days) - (self.from - reviewed).num_days();
        let slot = usize::try_from(at).ok();
        slot.and_then(|at| self.cards.get(at)).copied().unwrap_or(0)
    }
}

/// Days for each day of stability until recall has fallen to the target, and to a point above and below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spans {
    target: f64,
    above: f64,
    below: f64,
}

impl Spans {
    /// Returns those of a target recall.
    pub fn new(weights: &Weights, target: f64) -> Self {
        let days = |recall: f64| memory::interval_exact(weights, 1.0, recall);
        Self {
            target: days(target),
            above: days(target + POINT),
            below: days((target - POINT).max(0.0)),
        }
    }

    /// Returns the whole days until recall has fallen to the target, before any spread.
    #[inline]
    pub fn days(&self, stability: f64) -> u32 {
        memory::whole_days(stability * self.target)
    }

    /// Returns the first and last whole day to which a forecast may move; none where it stays.
    #[inline]
    pub fn window(&self, stability: f64) -> Option<(u32, u32)> {
        if self.days(stability) < WEEK {
            return None;
        }
        let earliest = (stability * self.above).ceil();
        let latest = (stability * self.below).floor();
        if f64::from(memory::DAYS.1) < earliest {
            return None;
        }
        let earliest = memory::whole_days(earliest).max(WEEK);
        let latest = memory::whole_days(latest);
        (earliest <= latest).then_some((earliest, latest))
    }
}

/// Returns the first and last whole day to which a forecast may move; none where it stays.
pub fn window(weights: &Weights, stability: f64, target: f64) -> Option<(u32, u32)> {
    Spans::new(weights, target).window(stability)
}

/// The days after a review to which a forecast may move, as drawn: the one that fewer other cards are
/// expected on is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drawn {
    /// First day of the window.
    pub first: u32,
    /// The day that is taken where both are as full.
    pub one: u32,
    /// The other.
    pub other: u32,
}

/// Returns two days of a window drawn by a seed; none where the forecast stays.
pub fn drawn(window: Option<(u32, u32)>, seed: u64) -> Option<Drawn> {
    let (first, latest) = window?;
    let choices = latest - first + 1;
    let mut chance = ChaCha12Rng::seed_from_u64(seed);
    let mut draw = || first + chance.next_u32() % choices;
    let (one, other) = (draw(), draw());
    Some(Drawn { first, one, other })
}

/// Returns the whole days until `target` recall of a card reviewed on `reviewed`, spread by `seed` and by
/// the load of the person's other cards.
pub fn spread_days(
    weights: &Weights,
    stability: f64,
    target: f64,
    seed: u64,
    (reviewed, load): (NaiveDate, &Load),
) -> u32 {
    let spans = Spans::new(weights, target);
    let Some(Drawn { one, other, .. }) = drawn(spans.window(stability), seed) else {
        return spans.days(stability);
    };
    if load.on(reviewed, other) < load.on(reviewed, one) {
        other
    } else {
        one
    }
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

    fn day(n: u64) -> NaiveDate {
        NaiveDate::from_num_days_from_ce_opt(739_000).expect("a date") + chrono::Days::new(n)
    }

    /// A person with no other card.
    fn quiet() -> (NaiveDate, &'static Load) {
        static QUIET: std::sync::LazyLock<Load> = std::sync::LazyLock::new(|| Load::new(day(0)));
        (day(0), &QUIET)
    }

    #[test]
    fn cards_met_together_part() {
        let weights = Weights::published();
        let days: BTreeSet<u32> = (0..200)
            .map(|seed| spread_days(&weights, 30.0, 0.9, seed, quiet()))
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
                .entry(spread_days(&weights, 20.0, 0.9, seed, quiet()))
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
            assert_eq!(spread_days(&weights, 36_500.0, 0.8, seed, quiet()), 36_500);
            assert!(spread_days(&weights, 36_500.0, 0.9, seed, quiet()) <= 36_500);
        }
    }

    #[test]
    fn a_day_that_many_cards_wait_for_gets_fewer_more() {
        let weights = Weights::published();
        let (first, last) = window(&weights, 30.0, 0.9).expect("a month is spread");
        // Fifty cards are expected on the first of the days, reviewed a week before the load's own day.
        let mut load = Load::new(day(7));
        for _ in 0..50 {
            load.add(day(0), first);
        }
        assert_eq!(load.on(day(0), first), 50);
        assert_eq!(load.on(day(7), first - 7), 50, "the same day, from another");
        let on_it = |load: &Load| {
            let drawn = (0..600).map(|seed| spread_days(&weights, 30.0, 0.9, seed, (day(0), load)));
            drawn.filter(|days| *days == first).count()
        };
        let fair = 600 / usize::try_from(last - first + 1).expect("few");
        // Only a card that draws the loaded day twice still takes it.
        assert!(on_it(&load) * 3 < fair, "{} of {fair}", on_it(&load));
        assert!(fair / 2 < on_it(&Load::new(day(7))));
    }

    #[test]
    fn cards_moved_one_after_the_other_lie_flatter_than_by_chance_alone() {
        let weights = Weights::published();
        let (first, last) = window(&weights, 60.0, 0.9).expect("spread");
        let mut levelled = Load::new(day(0));
        let mut drawn = Load::new(day(0));
        for seed in 0..200 {
            let by_load = spread_days(&weights, 60.0, 0.9, seed, (day(0), &levelled));
            levelled.add(day(0), by_load);
            drawn.add(day(0), spread_days(&weights, 60.0, 0.9, seed, quiet()));
        }
        let fullest = |load: &Load| (first..=last).map(|days| load.on(day(0), days)).max();
        assert!(fullest(&levelled) < fullest(&drawn));
    }

    proptest! {
        #[test]
        fn below_a_week_nothing_moves(
            weights in weights(), stability in 0.001..20.0, target in 0.7..0.98, seed: u64
        ) {
            let days = whole_days(interval_exact(&weights, stability, target));
            if days < WEEK {
                prop_assert_eq!(spread_days(&weights, stability, target, seed, quiet()), days);
            }
        }

        #[test]
        fn a_spread_day_costs_at_most_one_point_of_recall(
            weights in weights(), stability in 5.0..20_000.0, target in 0.7..0.98, seed: u64,
            others in proptest::collection::vec(0..400_u32, 0..50),
        ) {
            let mut load = Load::new(day(0));
            for days in others {
                load.add(day(0), days);
            }
            let days = whole_days(interval_exact(&weights, stability, target));
            prop_assume!((WEEK..36_500).contains(&days));
            let by = (day(0), &load);
            let moved = spread_days(&weights, stability, target, seed, by);
            prop_assert!((WEEK..=36_500).contains(&moved));
            prop_assert_eq!(moved, spread_days(&weights, stability, target, seed, by));
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
                .map(|i| spread_days(&weights, stability, 0.9, seed.wrapping_add(i), quiet()))
                .collect();
            prop_assert!(8 <= days.len());
        }
    }
}
