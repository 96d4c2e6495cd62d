//! How memory of one card grows with reviews and fades between them: the 21-parameter model.
//!
//! Symbols: `p0..p20` parameters; `S` stability, days until the chance of recall has fallen to 0.90
//! (0.001 to 36500); `D` difficulty (1 to 10); `g` grade (1 to 4, 1 = not recalled); `n` whole days
//! since the previous review; `R` chance of recall (0 to 1); `k = -p20`; `f = 0.9^(1/k) - 1`.
//!
//! Forgetting: `R(n,S) = (1 + f n / S)^k`, so `R(0,S) = 1` and `R(S,S) = 0.9`.
//!
//! First review: `S = p[g-1]`, `D = T(g)` within its bounds, where `T(g) = p4 - exp(p5 (g-1)) + 1`.
//!
//! Each later review, from the old `S` and `D`, with `q = 1 - R(n,S)`; results kept within bounds:
//! - `D' = p7 T(4) + (1 - p7) (D - p6 (g-3) (10 - D) / 9)`, with `T(4)` unbounded;
//! - same day (`n = 0`): `S' = S h`, `h = exp(p17 (g - 3 + p18)) S^(-p19)`, at least 1 when recalled;
//! - recalled: `S' = S (1 + exp(p8) (11 - D) S^(-p9) (exp(p10 q) - 1) m)`, where `m` is `p15` for
//!   grade 2, 1 for grade 3, `p16` for grade 4;
//! - not recalled: `S' = min(p11 D^(-p12) ((S+1)^p13 - 1) exp(p14 q), S / exp(p17 p18))`.
//!
//! Days until recall has fallen to a target `r`: `I = (S / f) (r^(1/k) - 1)`.
//!
//! Sources: the formulas, published parameters and bounds are those of the open reference libraries
//! `fsrs` 6.6.2 (Rust crate, BSD-3-Clause) and `fsrs` 6.3.2 (Python package, MIT); neither paper prints them.
//! The three-variable memory state behind them is J. Ye, J. Su, Y. Cao, *A Stochastic Shortest Path
//! Algorithm for Optimizing Spaced Repetition Scheduling* (KDD 2022), doi 10.1145/3534678.3539081,
//! and J. Su, J. Ye et al., *Optimizing Spaced Repetition Schedule by Capturing the Dynamics of
//! Memory* (IEEE TKDE 35(10), 2023), doi 10.1109/TKDE.2023.3251721. Checks: `tests/it/memory.rs`.
//!
//! Every power and logarithm is the `libm` crate's, so that results are the same on every machine.
//! Leaves out fitting of the parameters, and what a day is (`calendar.rs`).

use std::f64::consts::LOG2_E;

use crate::domain::memory_lanes;
use crate::domain::review::Grade;

/// How many parameters the model has.
pub const COUNT: usize = 21;

/// Lowest and highest value of each parameter.
pub const BOUNDS: [(f64, f64); COUNT] = [
    (0.001, 100.0),
    (0.001, 100.0),
    (0.001, 100.0),
    (0.001, 100.0),
    (1.0, 10.0),
    (0.001, 4.0),
    (0.001, 4.0),
    (0.001, 0.75),
    (0.0, 4.5),
    (0.0, 0.8),
    (0.001, 3.5),
    (0.001, 5.0),
    (0.001, 0.25),
    (0.001, 0.9),
    (0.0, 4.0),
    (0.0, 1.0),
    (1.0, 6.0),
    (0.0, 2.0),
    (0.0, 2.0),
    (0.0, 0.8),
    (0.1, 0.8),
];

const PUBLISHED: [f64; COUNT] = [
    0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666, 0.796, 1.4835,
    0.0614, 0.2629, 1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658, 0.1542,
];

/// Lowest and highest stability, in days.
pub const STABILITY: (f64, f64) = (0.001, 36_500.0);

/// Lowest and highest difficulty.
pub const DIFFICULTY: (f64, f64) = (1.0, 10.0);

/// Shortest and longest forecast, in days.
pub const DAYS: (u32, u32) = (1, 36_500);

/// Why 21 numbers are no parameters of the model.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WeightsError {
    /// There are more or fewer of them.
    #[error("{found} numbers where the memory model takes {COUNT}")]
    Count {
        /// How many there are.
        found: usize,
    },
    /// One is not a number, or infinite.
    #[error("p{index} is {value}, which is not a finite number")]
    NotFinite {
        /// Which, from 0.
        index: usize,
        /// Its value.
        value: f64,
    },
    /// One lies outside its bounds.
    #[error("p{index} is {value}, outside {low} to {high}")]
    OutOfBounds {
        /// Which, from 0.
        index: usize,
        /// Its value.
        value: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
    },
}

/// The 21 parameters, each finite and within [`BOUNDS`], with what follows from them alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights {
    p: [f64; COUNT],
    /// `k`.
    exponent: f64,
    /// `f`.
    scale: f64,
    /// `k / ln 2`; so are the next five, because every power is taken as `exp2`.
    fades: f64,
    /// `-p9 / ln 2`.
    growth_falls: f64,
    /// `p10 / ln 2`.
    growth_rises: f64,
    /// `p14 / ln 2`.
    failure_rises: f64,
    /// `-p12 / ln 2`.
    failure_falls: f64,
    /// `-p19 / ln 2`.
    same_day_falls: f64,
    /// State after a first review, by grade.
    first: [Memory; 4],
    /// `p7 T(4)`.
    difficulty_pull: f64,
    /// `1 - p7`.
    difficulty_kept: f64,
    /// `-p6 (g - 3) / 9`, by grade.
    difficulty_change: [f64; 4],
    /// `exp(p8) m`, by grade; unused for grade 1.
    growth: [f64; 4],
    /// `exp(-p17 p18)`.
    failure_ceiling: f64,
    /// `exp(p17 (g - 3 + p18))`, by grade.
    same_day: [f64; 4],
}

impl Weights {
    /// Returns the parameters as published with the reference libraries.
    pub fn published() -> Self {
        Self::derive(PUBLISHED)
    }

    /// Checks 21 numbers against their bounds.
    pub fn new(p: [f64; COUNT]) -> Result<Self, WeightsError> {
        for (index, (value, (low, high))) in p.into_iter().zip(BOUNDS).enumerate() {
            if !value.is_finite() {
                return Err(WeightsError::NotFinite { index, value });
            }
            if value < low || high < value {
                return Err(WeightsError::OutOfBounds {
                    index,
                    value,
                    low,
                    high,
                });
            }
        }
        Ok(Self::derive(p))
    }

    /// Checks a list of numbers of any length.
    pub fn from_slice(numbers: &[f64]) -> Result<Self, WeightsError> {
        match <[f64; COUNT]>::try_from(numbers) {
            Ok(p) => Self::new(p),
            Err(_wrong_length) => Err(WeightsError::Count {
                found: numbers.len(),
            }),
        }
    }

    /// Returns the 21 numbers in their public order.
    pub fn get(&self) -> &[f64; COUNT] {
        &self.p
    }

    fn derive(p: [f64; COUNT]) -> Self {
        let exponent = -p[20];
        let target = |g: f64| p[4] - libm::exp(p[5] * (g - 1.0)) + 1.0;
        let by_grade = |rule: &dyn Fn(f64) -> f64| [1.0, 2.0, 3.0, 4.0].map(rule);
        let difficulty = by_grade(&target);
        let growth = libm::exp(p[8]);
        Self {
            exponent,
            scale: libm::expm1(libm::log(0.9) / exponent),
            fades: exponent * LOG2_E,
            growth_falls: -p[9] * LOG2_E,
            growth_rises: p[10] * LOG2_E,
            failure_rises: p[14] * LOG2_E,
            failure_falls: -p[12] * LOG2_E,
            same_day_falls: -p[19] * LOG2_E,
            first: std::array::from_fn(|i| Memory::bounded(p[i], difficulty[i])),
            difficulty_pull: p[7] * difficulty[3],
            difficulty_kept: 1.0 - p[7],
            difficulty_change: by_grade(&|g| -p[6] * (g - 3.0) / 9.0),
            growth: [0.0, growth * p[15], growth, growth * p[16]],
            failure_ceiling: libm::exp(-(p[17] * p[18])),
            same_day: by_grade(&|g| libm::exp(p[17] * (g - 3.0 + p[18]))),
            p,
        }
    }
}

/// Memory of one card right after a review.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Memory {
    /// `S`: days until the chance of recall has fallen to 0.90.
    pub stability: f64,
    /// `D`: 1 (easy) to 10.
    pub difficulty: f64,
}

impl Memory {
    fn bounded(stability: f64, difficulty: f64) -> Self {
        Self {
            stability: stability.clamp(STABILITY.0, STABILITY.1),
            difficulty: difficulty.clamp(DIFFICULTY.0, DIFFICULTY.1),
        }
    }
}

/// Returns the memory of a card after its first review.
pub fn first(weights: &Weights, grade: Grade) -> Memory {
    weights.first[index(grade)]
}

/// Returns the memory of a card after a later review, `elapsed_days` after the one before.
///
/// A memory outside its bounds is held within them first.
#[inline]
pub fn next(weights: &Weights, memory: Memory, elapsed_days: u32, grade: Grade) -> Memory {
    let old = Memory::bounded(memory.stability, memory.difficulty);
    let stability = if elapsed_days == 0 {
        same_day(weights, old.stability, grade)
    } else {
        let forgotten = 1.0 - recall(weights, old.stability, f64::from(elapsed_days));
        if grade.recalled() {
            recalled(weights, old, forgotten, grade)
        } else {
            missed(weights, old, forgotten)
        }
    };
    Memory::bounded(stability, difficulty(weights, old.difficulty, grade))
}

/// Returns the memory of a card after a review, its first when there is no memory yet.
#[inline]
pub fn after(weights: &Weights, memory: Option<Memory>, elapsed_days: u32, grade: Grade) -> Memory {
    match memory {
        None => first(weights, grade),
        Some(memory) => next(weights, memory, elapsed_days, grade),
    }
}

/// Returns the memory of each card after its whole history of (days since the review before, grade).
///
/// Cards are walked many at a time (`memory_lanes.rs`): the numbers are those of [`next`] within
/// 1e-10, and the same on every machine.
pub fn replay<H: AsRef<[(u32, Grade)]>>(weights: &Weights, histories: &[H]) -> Vec<Option<Memory>> {
    memory_lanes::replay(weights, histories)
}

/// Returns the chance of recall `days` after a review that left `stability`.
#[inline]
pub fn recall(weights: &Weights, stability: f64, days: f64) -> f64 {
    let faded = 1.0 + weights.scale * days.max(0.0) / stability;
    libm::exp2(weights.fades * libm::log(faded))
}

/// Returns the days, not rounded, until the chance of recall has fallen to `target`.
///
/// A target of 1 or more gives 0; the target must be above 0.
pub fn interval_exact(weights: &Weights, stability: f64, target: f64) -> f64 {
    let stretch = libm::expm1(libm::log(target.min(1.0)) / weights.exponent) / weights.scale;
    stability * stretch
}

/// Returns `exact` as whole days: half to even, within 1 to 36500.
pub fn whole_days(exact: f64) -> u32 {
    let bounded = exact
        .round_ties_even()
        .max(f64::from(DAYS.0))
        .min(f64::from(DAYS.1));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number within 1 to 36500"
    )]
    let days = bounded as u32;
    days
}

fn index(grade: Grade) -> usize {
    usize::from(grade.number()) - 1
}

fn difficulty(weights: &Weights, old: f64, grade: Grade) -> f64 {
    let raw = old + (10.0 - old) * weights.difficulty_change[index(grade)];
    weights.difficulty_pull + weights.difficulty_kept * raw
}

fn same_day(weights: &Weights, stability: f64, grade: Grade) -> f64 {
    let falls = libm::exp2(weights.same_day_falls * libm::log(stability));
    let factor = weights.same_day[index(grade)] * falls;
    stability
        * if grade.recalled() {
            factor.max(1.0)
        } else {
            factor
        }
}

fn recalled(weights: &Weights, old: Memory, forgotten: f64, grade: Grade) -> f64 {
    let falls = libm::exp2(weights.growth_falls * libm::log(old.stability));
    let rises = libm::exp2(weights.growth_rises * forgotten) - 1.0;
    let growth = weights.growth[index(grade)] * (11.0 - old.difficulty) * falls * rises;
    old.stability * (1.0 + growth)
}

fn missed(weights: &Weights, old: Memory, forgotten: f64) -> f64 {
    let p = &weights.p;
    let size = libm::expm1(p[13] * libm::log1p(old.stability));
    let rest =
        weights.failure_rises * forgotten + weights.failure_falls * libm::log(old.difficulty);
    (p[11] * size * libm::exp2(rest)).min(old.stability * weights.failure_ceiling)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn weights() -> impl Strategy<Value = Weights> {
        proptest::array::uniform21(0.0..=1.0).prop_map(|at: [f64; COUNT]| {
            let p = std::array::from_fn(|i| {
                let (low, high) = BOUNDS[i];
                (low + (high - low) * at[i]).min(high)
            });
            Weights::new(p).expect("drawn within the bounds")
        })
    }

    fn grade() -> impl Strategy<Value = Grade> {
        proptest::sample::select(&Grade::ALL)
    }

    fn memory() -> impl Strategy<Value = Memory> {
        (-3.0..=1.0, 1.0..=10.0).prop_map(|(log, difficulty): (f64, f64)| {
            // From 0.001 to 36500, evenly in the logarithm.
            let share = (log + 3.0) / 4.0;
            let log_high = libm::log10(STABILITY.1);
            Memory::bounded(libm::exp10(-3.0 + share * (log_high + 3.0)), difficulty)
        })
    }

    fn near(found: f64, expected: f64, relative: f64) -> bool {
        (found - expected).abs() <= relative * expected.abs()
    }

    #[test]
    fn difficulty_after_a_first_review_is_as_worked_from_the_published_numbers() {
        // T(g) = p4 - exp(p5 (g-1)) + 1 at the published parameters; T(4) = -4.77 is held at 1.
        let weights = Weights::published();
        for (grade, expected) in Grade::ALL
            .into_iter()
            .zip([6.4133, 5.112_170_7, 2.118_104, 1.0])
        {
            let found = first(&weights, grade).difficulty;
            assert!((found - expected).abs() < 5e-7, "{grade:?}: {found}");
        }
        let stabilities = Grade::ALL.map(|grade| first(&weights, grade).stability);
        let expected = [0.212, 1.2931, 2.3065, 8.2956];
        assert_eq!(stabilities.map(f64::to_bits), expected.map(f64::to_bits));
    }

    #[test]
    fn grade_three_leaves_only_the_pull_on_difficulty() {
        // Worked by hand: D' = 0.001 (6.4133 - exp(0.8334 * 3) + 1) + 0.999 * 5.
        let weights = Weights::published();
        let old = Memory {
            stability: 10.0,
            difficulty: 5.0,
        };
        let new = next(&weights, old, 10, Grade::Named).difficulty;
        let expected = 0.001 * (7.4133 - f64::exp(2.5002)) + 4.995;
        assert!(near(new, expected, 1e-12), "{new} {expected}");
    }

    #[test]
    fn at_difficulty_ten_nothing_but_the_pull_moves_it() {
        let weights = Weights::published();
        let top = Memory {
            stability: 10.0,
            difficulty: 10.0,
        };
        let after = Grade::ALL.map(|grade| next(&weights, top, 10, grade).difficulty.to_bits());
        assert_eq!(after, [after[0]; 4]);
    }

    #[test]
    fn a_review_at_ninety_percent_grows_stability_as_the_formula_says() {
        // The formula of the header with std's powers, so that the shared factors are checked.
        let weights = Weights::published();
        let p = weights.get();
        let old = Memory {
            stability: 12.0,
            difficulty: 6.0,
        };
        for (grade, m) in [
            (Grade::Hunted, p[15]),
            (Grade::Named, 1.0),
            (Grade::OnSight, p[16]),
        ] {
            let growth = p[8].exp() * 5.0 * 12f64.powf(-p[9]) * ((p[10] * 0.1).exp() - 1.0) * m;
            let found = next(&weights, old, 12, grade).stability;
            assert!(near(found, 12.0 * (1.0 + growth), 1e-12), "{grade:?}");
        }
        let size = p[11] * 6f64.powf(-p[12]) * (13f64.powf(p[13]) - 1.0) * (p[14] * 0.1).exp();
        let found = next(&weights, old, 12, Grade::Missed).stability;
        assert!(near(found, size.min(12.0 / (p[17] * p[18]).exp()), 1e-12));
    }

    #[test]
    fn a_memory_outside_its_bounds_is_held_within_them_first() {
        let weights = Weights::published();
        let outside = Memory {
            stability: 0.0,
            difficulty: 11.0,
        };
        let edge = Memory {
            stability: STABILITY.0,
            difficulty: DIFFICULTY.1,
        };
        for grade in Grade::ALL {
            let found = next(&weights, outside, 3, grade);
            assert_eq!(found, next(&weights, edge, 3, grade));
        }
    }

    #[test]
    fn parameters_outside_their_bounds_are_named() {
        let mut p = PUBLISHED;
        p[4] = 0.5;
        let refused = Weights::new(p).expect_err("below its bound");
        assert_eq!(refused.to_string(), "p4 is 0.5, outside 1 to 10");
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            p[4] = bad;
            assert!(matches!(
                Weights::new(p),
                Err(WeightsError::NotFinite { index: 4, .. })
            ));
        }
        assert_eq!(
            Weights::from_slice(&PUBLISHED[..19]),
            Err(WeightsError::Count { found: 19 })
        );
        assert_eq!(
            Weights::from_slice(&PUBLISHED),
            Ok(Weights::published()),
            "the published parameters lie within their own bounds"
        );
        for (index, (low, high)) in BOUNDS.into_iter().enumerate() {
            for (edge, inside) in [
                (low, true),
                (high, true),
                (low.next_down(), false),
                (high.next_up(), false),
            ] {
                let mut p = PUBLISHED;
                p[index] = edge;
                assert_eq!(Weights::new(p).is_ok(), inside, "p{index} = {edge}");
            }
        }
    }

    #[test]
    fn half_days_go_to_the_even_side() {
        for (exact, days) in [
            (0.0, 1),
            (0.5, 1),
            (1.5, 2),
            (2.5, 2),
            (2.500_000_1, 3),
            (3.5, 4),
            (36_500.4, 36_500),
            (1e9, 36_500),
            (f64::INFINITY, 36_500),
            (-3.0, 1),
            (f64::NAN, 1),
        ] {
            assert_eq!(whole_days(exact), days, "{exact}");
        }
    }

    proptest! {
        #[test]
        fn a_replay_of_many_at_a_time_is_the_replay_one_by_one_within_a_ten_billionth(
            weights in weights(),
            histories in proptest::collection::vec(
                proptest::collection::vec((0u32..900, grade()), 0..12), 0..80),
        ) {
            let apart: Vec<Option<Memory>> = histories
                .iter()
                .map(|history| history.iter().fold(None, |state, (days, grade)| {
                    Some(after(&weights, state, *days, *grade))
                }))
                .collect();
            let together = replay(&weights, &histories);
            prop_assert_eq!(together.len(), apart.len());
            for (found, expected) in together.into_iter().zip(apart) {
                let (Some(found), Some(expected)) = (found, expected) else {
                    prop_assert_eq!(found, expected);
                    continue;
                };
                prop_assert!(near(found.stability, expected.stability, 1e-10));
                prop_assert!(near(found.difficulty, expected.difficulty, 1e-10));
            }
        }

        #[test]
        fn recall_is_whole_at_once_and_ninety_percent_after_the_stability(
            weights in weights(), memory in memory()
        ) {
            prop_assert_eq!(recall(&weights, memory.stability, 0.0).to_bits(), 1f64.to_bits());
            let found = recall(&weights, memory.stability, memory.stability);
            prop_assert!(near(found, 0.9, 1e-14), "{}", found);
        }

        #[test]
        fn recall_falls_with_every_day_and_stays_a_chance(
            weights in weights(), memory in memory(), day in 0u32..36_500
        ) {
            let today = recall(&weights, memory.stability, f64::from(day));
            let tomorrow = recall(&weights, memory.stability, f64::from(day + 1));
            prop_assert!(tomorrow < today);
            prop_assert!(0.0 < tomorrow && today <= 1.0);
        }

        #[test]
        fn an_interval_leads_to_its_target_and_back(
            weights in weights(), memory in memory(), target in 0.3..0.99
        ) {
            let days = interval_exact(&weights, memory.stability, target);
            prop_assert!(near(recall(&weights, memory.stability, days), target, 1e-12));
            let at_ninety = interval_exact(&weights, memory.stability, 0.9);
            prop_assert_eq!(at_ninety.to_bits(), memory.stability.to_bits());
        }

        #[test]
        fn a_failure_on_a_later_day_never_raises_stability(
            weights in weights(), memory in memory(), days in 1u32..20_000
        ) {
            // On the same day extreme parameters may raise it: p17 = 0, p19 = 0.8, S under 1.
            let after = next(&weights, memory, days, Grade::Missed);
            prop_assert!(after.stability <= memory.stability);
        }

        #[test]
        fn a_recall_never_lowers_stability_and_a_better_grade_never_gives_less(
            weights in weights(), memory in memory(), days in 0u32..20_000
        ) {
            let after = Grade::ALL.map(|grade| next(&weights, memory, days, grade).stability);
            prop_assert!(memory.stability <= after[1]);
            prop_assert!(after[1] <= after[2] && after[2] <= after[3]);
        }

        #[test]
        fn a_better_grade_never_leaves_a_card_harder(
            weights in weights(), memory in memory(), days in 0u32..20_000
        ) {
            let after = Grade::ALL.map(|grade| next(&weights, memory, days, grade).difficulty);
            prop_assert!(after.is_sorted_by(|worse, better| better <= worse));
        }

        #[test]
        fn memory_stays_within_its_bounds(
            weights in weights(),
            reviews in proptest::collection::vec((0u32..40_000, grade()), 1..60),
        ) {
            let mut state = first(&weights, reviews[0].1);
            for (days, grade) in reviews {
                state = next(&weights, state, days, grade);
                prop_assert!((STABILITY.0..=STABILITY.1).contains(&state.stability));
                prop_assert!((DIFFICULTY.0..=DIFFICULTY.1).contains(&state.difficulty));
            }
        }
    }
}
