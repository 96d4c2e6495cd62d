//! What a longer measurement will buy, computed before it begins.
//!
//! Symbols: `k` of `n` spot checks right so far, `m` more to come, `j` of them right.
//! Chance of `j`: beta-binomial with `a = k + 1/2`, `b = n - k + 1/2` (what is known so far under
//! Jeffreys' prior): `C(m,j) B(j+a, m-j+b) / B(a,b)`. A plain binomial at `k/n` would take a share seen
//! on five answers for certain, and has none to take before the first. Expected width: the mean over
//! `j` of the width of the Wilson 95 % interval of `k+j` out of `n+m`; worst: the widest of them.
//! Source of prior and interval: Brown, Cai and others, *Interval Estimation for a
//! Binomial Proportion*, Statistical Science 16 (2001), pp. 101-133.

use crate::domain::interval::Interval;
use crate::domain::interval::wilson;
use crate::domain::units::count;

/// What a measurement will buy; widths are shares (0.34 is 34 points).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Precision {
    /// Spot checks to come.
    pub more: usize,
    /// Spot checks so far.
    pub before: usize,
    /// Width of the interval now; none without any so far.
    pub now: Option<f64>,
    /// Width to expect afterwards.
    pub expected: f64,
    /// Width at worst.
    pub worst: f64,
}

/// Returns what `more` spot checks on top of `right` of `asked` will buy; none where there would be
/// none at all.
pub fn precision(right: usize, asked: usize, more: usize) -> Option<Precision> {
    let (mut expected, mut worst) = (0.0, 0.0f64);
    let now = wilson(right, asked).map(Interval::width);
    let a = count(right) + 0.5;
    let b = count(asked.checked_sub(right)?) + 0.5;
    for j in 0..=more {
        let width = wilson(right + j, asked + more)?.width();
        expected += chance(j, more, a, b) * width;
        worst = worst.max(width);
    }
    Some(Precision {
        more,
        before: asked,
        now,
        expected,
        worst,
    })
}

/// Returns the beta-binomial chance of `j` out of `m`.
fn chance(j: usize, m: usize, a: f64, b: f64) -> f64 {
    let beta = |x: f64, y: f64| libm::lgamma(x) + libm::lgamma(y) - libm::lgamma(x + y);
    let (hits, misses) = (count(j), count(m - j));
    let ways = -libm::log(count(m) + 1.0) - beta(hits + 1.0, misses + 1.0);
    libm::exp(ways + beta(hits + a, misses + b) - beta(a, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn chances_agree_with_a_general_library() {
        // scipy.stats.betabinom 1.17.1; the first three are 63/256, 35/256, 30/256, the fourth 4/19.
        let rows = [
            (0, 5, 0.5, 0.5, 0.246_093_75),
            (1, 5, 0.5, 0.5, 0.136_718_75),
            (2, 5, 0.5, 0.5, 0.117_187_5),
            (10, 10, 8.0, 2.0, 0.210_526_32),
            (9, 10, 8.0, 2.0, 0.247_678_02),
            (8, 10, 8.0, 2.0, 0.208_978_33),
            (7, 10, 8.0, 2.0, 0.148_606_81),
            (0, 10, 8.0, 2.0, 0.000_119_08),
        ];
        for (j, m, a, b, expected) in rows {
            let found = chance(j, m, a, b);
            assert!((found - expected).abs() < 6e-9, "{j} of {m}: {found}");
        }
    }

    /// Mean width over every sequence of right and wrong answers, each answer by the rule that the
    /// chance of the next one is (right so far + 1/2) / (asked so far + 1).
    fn exhaustive(right: usize, asked: usize, more: usize) -> (f64, f64) {
        let (mut mean, mut worst) = (0.0, 0.0f64);
        for outcome in 0..1usize << more {
            let (mut k, mut n, mut chance) = (right, asked, 1.0);
            for i in 0..more {
                let hit = outcome >> i & 1 == 1;
                let next = (count(k) + 0.5) / (count(n) + 1.0);
                chance *= if hit { next } else { 1.0 - next };
                k += usize::from(hit);
                n += 1;
            }
            let width = wilson(k, n).expect("answers").width();
            mean += chance * width;
            worst = worst.max(width);
        }
        (mean, worst)
    }

    #[test]
    fn the_width_promised_is_that_of_every_sequence_of_answers_counted() {
        for (right, asked, more) in [(0, 0, 8), (2, 3, 7), (5, 5, 6), (9, 22, 10), (1, 1, 0)] {
            let found = precision(right, asked, more).expect("answers");
            let (mean, worst) = exhaustive(right, asked, more);
            assert!((found.expected - mean).abs() < 1e-12, "{found:?} {mean}");
            assert!((found.worst - worst).abs() < 1e-15, "{found:?} {worst}");
        }
    }

    #[test]
    fn widths_are_those_of_the_wilson_table() {
        // Newcombe 1998, Statistics in Medicine 17:857-872, as recomputed with statsmodels 0.15.0:
        // 0/20 is 0 to 0.16112516, 17/20 0.63958114 to 0.94763125, 7/10 0.39677815 to 0.89220873;
        // each end is rounded in the eighth digit, so a width is within 1.1e-8.
        let width = |k, n| precision(k, n, 0).expect("answers");
        assert!((width(0, 20).expected - 0.161_125_16).abs() < 1.1e-8);
        assert!((width(17, 20).expected - 0.308_050_11).abs() < 1.1e-8);
        assert!((width(7, 10).worst - 0.495_430_58).abs() < 1.1e-8);
        assert_eq!(width(7, 10).now, Some(width(7, 10).expected));
        assert_eq!(precision(0, 0, 0), None);
        assert_eq!(precision(3, 2, 5), None);
    }

    proptest! {
        #[test]
        fn more_answers_promise_a_narrower_interval(
            asked in 0..200usize, share in 0.0..=1.0f64, more in 1..100usize,
        ) {
            let right = (0..=asked).rev().find(|k| count(*k) <= share * count(asked)).unwrap_or(0);
            let found = precision(right, asked, more).expect("answers");
            let twice = precision(right, asked, more * 2).expect("answers");
            prop_assert!(0.0 < found.expected && found.expected <= found.worst + 1e-12);
            prop_assert!(twice.expected < found.expected);
            let total: f64 = (0..=more)
                .map(|j| chance(j, more, count(right) + 0.5, count(asked - right) + 0.5))
                .sum();
            prop_assert!((total - 1.0).abs() < 1e-9);
        }
    }
}
