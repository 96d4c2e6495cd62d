//! The tables against plain enumeration, and laws of the index.

use super::*;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::price::grid::Grid;
use crate::domain::price::ladder::Askings;
use crate::domain::price::ladder::Terms;
use crate::domain::review::Grade;
use proptest::prelude::*;

const RIGHT: [Grade; 3] = [Grade::Hunted, Grade::Named, Grade::OnSight];

/// The same decision without a grid: every state that can be reached is worked out by itself.
struct Plain<'a> {
    weights: &'a Weights,
    habits: Habits,
    discount: f64,
    gaps: &'a [u32],
}

impl Plain<'_> {
    fn kept(&self, stability: f64, from: u32, to: u32) -> f64 {
        let mut counts = 1.0;
        let mut sum = 0.0;
        for day in from..to {
            sum += counts * memory::recall(self.weights, stability, f64::from(day));
            counts *= self.discount;
        }
        sum
    }

    fn never(&self, stability: f64, from: u32) -> f64 {
        let last = self.gaps[self.gaps.len() - 1];
        let rest = memory::recall(self.weights, stability, f64::from(last)) / (1.0 - self.discount);
        self.kept(stability, from, last) + libm::pow(self.discount, f64::from(last - from)) * rest
    }

    /// What asking after `gap` is worth on that day, with `askings` more allowed afterwards.
    fn ask(&self, memory: Memory, gap: u32, price: f64, askings: u32) -> f64 {
        let recall = memory::recall(self.weights, memory.stability, f64::from(gap));
        let missed = memory::next(self.weights, memory, gap, Grade::Missed);
        let mut worth = -price * (recall + (1.0 - recall) * self.habits.miss);
        for (grade, share) in RIGHT.into_iter().zip(self.habits.right) {
            if 0.0 < share {
                let right = memory::next(self.weights, memory, gap, grade);
                let again = memory::next(self.weights, missed, 0, grade);
                worth += recall * share * self.value(right, price, askings)
                    + (1.0 - recall) * share * self.value(again, price, askings);
            }
        }
        worth
    }

    fn value(&self, memory: Memory, price: f64, askings: u32) -> f64 {
        let never = self.never(memory.stability, 0);
        if askings == 0 {
            return never;
        }
        let asked = self.gaps.iter().map(|&gap| {
            self.kept(memory.stability, 0, gap)
                + libm::pow(self.discount, f64::from(gap))
                    * self.ask(memory, gap, price, askings - 1)
        });
        asked.fold(never, f64::max)
    }

    /// By how much asking at gap number `at` is worth more than waiting for a later one, or for ever.
    fn gain(&self, memory: Memory, at: usize, price: f64, askings: u32) -> f64 {
        let now = self.gaps[at];
        let later = self.gaps[at + 1..].iter().map(|&gap| {
            self.kept(memory.stability, now, gap)
                + libm::pow(self.discount, f64::from(gap - now))
                    * self.ask(memory, gap, price, askings - 1)
        });
        let wait = later.fold(self.never(memory.stability, now), f64::max);
        self.ask(memory, now, price, askings - 1) - wait
    }

    /// The price at which that gain is nought, by halving.
    fn index(&self, memory: Memory, at: usize, askings: u32) -> f64 {
        let (mut low, mut high) = (0.02, 32.0);
        for _ in 0..18 {
            let price = f64::sqrt(low * high);
            if 0.0 <= self.gain(memory, at, price, askings) {
                low = price;
            } else {
                high = price;
            }
        }
        f64::sqrt(low * high)
    }
}

fn memory(stability: f64, difficulty: f64) -> Memory {
    Memory {
        stability,
        difficulty,
    }
}

/// A short case: a card may be asked after 12, 36 or 108 days, and what is twelve days ahead counts a
/// third; four askings are enumerated, so that what is left out counts less than exp(-4), 2 %, of what
/// askings add to the value.
const SHORT: (f64, [u32; 3]) = (12.0, [12, 36, 108]);

fn short(points: (usize, usize)) -> (Weights, Habits, Terms) {
    let terms = Terms {
        discount: libm::exp(-1.0 / SHORT.0),
        gaps: SHORT.1.to_vec(),
        grid: Grid::new(points.0, points.1),
    };
    // One grade of right answer keeps the enumeration small.
    let habits = Habits {
        right: [0.0, 1.0, 0.0],
        ..Habits::USUAL
    };
    (Weights::published(), habits, terms)
}

/// Compares values and indices with plain enumeration, each within its share.
fn compare(points: (usize, usize), within: (f64, f64)) {
    let (weights, habits, terms) = short(points);
    let plain = Plain {
        weights: &weights,
        habits,
        discount: terms.discount,
        gaps: &terms.gaps,
    };
    let askings = Askings::new(&weights, &habits, &terms);
    let tables = Prices::of(&weights, &habits, &terms, 28);
    for (state, at) in [
        (memory(0.6, 6.4), 1),
        (memory(2.3, 2.1), 0),
        (memory(6.0, 5.1), 0),
        (memory(20.0, 3.0), 2),
        (memory(45.0, 8.0), 1),
    ] {
        for price in [0.5, 2.0] {
            let values = askings.solve(price, askings.never());
            let around = terms.grid.around(state);
            let found: f64 = around.iter().map(|(s, weight)| weight * values[*s]).sum();
            let want = plain.value(state, price, 4);
            let off = (found - want).abs() / want;
            assert!(off < within.0, "{state:?} at {price}: {found}, not {want}");
        }
        let (found, want) = (tables.at_gap(state, at), plain.index(state, at, 4));
        let off = (found - want).abs() / want;
        assert!(off < within.1, "{state:?} gap {at}: {found}, not {want}");
    }
}

#[test]
fn values_and_indices_are_those_of_plain_enumeration() {
    // Reading between states errs by at most an eighth of the squared step times the curvature: with a
    // step of 0.36 in log S and values that bend by about their own half, under 0.5 % of a value. An
    // index is a difference of values over a price, and errs by more: 2 %.
    compare((30, 4), (0.002, 0.02));
}

#[test]
fn a_finer_grid_comes_closer_to_plain_enumeration() {
    // A third of the step, a ninth of the error; what is left is the enumeration's own end.
    compare((90, 12), (0.001, 0.01));
}

#[test]
fn no_gap_betters_the_values_that_were_settled_on() {
    let (weights, habits, terms) = short((30, 4));
    let askings = Askings::new(&weights, &habits, &terms);
    for price in [0.05, 0.5, 5.0] {
        let values = askings.solve(price, askings.never());
        let once_more = askings.solve(price, values.clone());
        for (value, again) in values.iter().zip(&once_more) {
            assert!((value - again).abs() < 1e-5, "{value} {again}");
        }
    }
}

#[test]
fn steps_between_gaps_cost_little_against_every_day() {
    // The same tables with every single day to choose from, up to 60.
    let weights = Weights::published();
    let terms = Terms {
        discount: libm::exp(-1.0 / 60.0),
        gaps: (1..=60).chain([72, 87, 105, 152, 220, 365, 730]).collect(),
        grid: Grid::new(30, 4),
    };
    let daily = Prices::of(&weights, &Habits::USUAL, &terms, 28);
    let usual = Prices::new(&weights);
    for (stability, difficulty) in [(1.0, 5.0), (2.3, 2.0), (5.0, 8.0), (10.0, 5.0), (30.0, 3.0)] {
        for day in [3, 9, 13, 22, 31, 47] {
            let state = memory(stability, difficulty);
            let (found, want) = (usual.met(state, day), daily.met(state, day));
            let off = (found - want).abs() / want;
            // Overdue cards, whose index hardly changes from day to day, are furthest off.
            assert!(off < 0.08, "{state:?} day {day}: {found}, not {want}");
        }
    }
    let off = (usual.unmet() - daily.unmet()).abs() / daily.unmet();
    assert!(off < 0.01, "{} {}", usual.unmet(), daily.unmet());
}

#[test]
fn what_has_faded_further_is_worth_more_and_what_keeps_longer_less() {
    let prices = Prices::new(&Weights::published());
    for stability in [3.0, 10.0, 40.0, 200.0] {
        let mut before = 0.0;
        for day in [1, 2, 3, 5, 8, 13, 21, 34, 55, 89, 144, 233, 377, 610, 5_000] {
            let index = prices.met(memory(stability, 5.0), day);
            assert!(
                before <= index,
                "S {stability}, day {day}: {index} after {before}"
            );
            before = index;
            // Where both have long been forgotten, the one that keeps longer is worth more.
            let keeps = prices.met(memory(stability * 2.0, 5.0), day);
            assert!(
                keeps <= index || f64::from(day) > 20.0 * stability,
                "S {stability}, day {day}: {keeps}, {index}"
            );
        }
    }
    assert!(prices.met(memory(10.0, 5.0), 30) < prices.unmet());
}

#[test]
fn two_builds_are_the_same_to_the_last_bit() {
    let weights = Weights::published();
    let (one, two) = (Prices::new(&weights), Prices::new(&weights));
    assert_eq!(one, two);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]
    #[test]
    fn any_weights_give_numbers_that_can_be_ordered(
        at in proptest::array::uniform21(0.0..=1.0),
        states in proptest::collection::vec((0.001..36_500.0, 1.0..=10.0, 0..40_000u32), 1..30),
    ) {
        let p = std::array::from_fn(|i| {
            let (low, high) = memory::BOUNDS[i];
            let share: f64 = at[i];
            (low + (high - low) * share).min(high)
        });
        let prices = Prices::new(&Weights::new(p).expect("drawn within the bounds"));
        prop_assert!(prices.unmet().is_finite() && 0.0 <= prices.unmet());
        for (stability, difficulty, day) in states {
            let index = prices.met(memory(stability, difficulty), day);
            prop_assert!(index.is_finite() && 0.0 < index, "{}", index);
        }
    }
}
