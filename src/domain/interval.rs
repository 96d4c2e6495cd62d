//! How sure a share is: the Wilson score interval, 95 %, without continuity correction.
//!
//! Symbols: `k` of `n` trials succeeded, `p = k/n`, `z` the 0.975 quantile of the normal distribution.
//! Limits: `(p + z²/2n ± z sqrt(p(1-p)/n + z²/4n²)) / (1 + z²/n)`.
//! Source: E. B. Wilson, *Probable Inference, the Law of Succession, and Statistical Inference*,
//! Journal of the American Statistical Association 22 (1927), pp. 209-212.

use crate::domain::units;

/// The 0.975 quantile of the standard normal distribution.
pub const Z: f64 = 1.959_963_984_540_054;

/// The limits of a share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower limit, from 0.
    pub low: f64,
    /// Upper limit, to 1.
    pub high: f64,
}

impl Interval {
    /// Returns how far apart the limits are.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

/// Returns the limits of `k` out of `n`; none without trials, nor for more successes than trials.
pub fn wilson(k: usize, n: usize) -> Option<Interval> {
    if n == 0 || n < k {
        return None;
    }
    let trials = units::count(n);
    let share = units::count(k) / trials;
    let z2 = Z * Z;
    let middle = share + z2 / (2.0 * trials);
    let half = Z * (share * (1.0 - share) / trials + z2 / (4.0 * trials * trials)).sqrt();
    let whole = 1.0 + z2 / trials;
    let low = if k == 0 { 0.0 } else { (middle - half) / whole };
    let high = if k == n { 1.0 } else { (middle + half) / whole };
    Some(Interval {
        low: low.max(0.0),
        high: high.min(1.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn check(rows: &[(usize, usize, f64, f64)], tolerance: f64) {
        for &(k, n, low, high) in rows {
            let found = wilson(k, n).expect("there are trials");
            assert!((found.low - low).abs() <= tolerance, "{k}/{n}: {found:?}");
            assert!((found.high - high).abs() <= tolerance, "{k}/{n}: {found:?}");
        }
    }

    #[test]
    fn limits_are_those_of_the_published_table() {
        // R. G. Newcombe, Statistics in Medicine 17 (1998), pp. 857-872, Table I, four digits, from
        // memory: the paper was not at hand.
        check(
            &[
                (81, 263, 0.2553, 0.3662),
                (15, 148, 0.0624, 0.1605),
                (0, 20, 0.0, 0.1611),
                (1, 29, 0.0061, 0.1718),
            ],
            5.1e-5,
        );
    }

    #[test]
    fn limits_agree_with_two_statistics_packages() {
        // statsmodels 0.15.0 and scipy 1.17.1, equal to each other and to the formula within 1e-9.
        check(
            &[
                (81, 263, 0.255_288_52, 0.366_209_58),
                (15, 148, 0.062_386_40, 0.160_487_24),
                (0, 20, 0.0, 0.161_125_16),
                (1, 29, 0.006_113_21, 0.171_755_22),
                (0, 1, 0.0, 0.793_450_69),
                (1, 1, 0.206_549_31, 1.0),
                (0, 5, 0.0, 0.434_482_46),
                (3, 3, 0.438_502_97, 1.0),
                (5, 5, 0.565_517_54, 1.0),
                (7, 10, 0.396_778_15, 0.892_208_73),
                (9, 10, 0.595_849_97, 0.982_123_79),
                (8, 12, 0.390_622_09, 0.861_879_91),
                (17, 20, 0.639_581_14, 0.947_631_25),
                (10, 10, 0.722_467_20, 1.0),
                (37, 50, 0.604_468_43, 0.841_284_73),
                (45, 50, 0.786_397_69, 0.956_524_24),
                (180, 200, 0.850_594_19, 0.934_329_55),
            ],
            6e-9,
        );
    }

    #[test]
    fn none_and_all_have_exact_ends() {
        // The cases 0/77 and 38/38 are those of statsmodels' own regression test for clipping.
        for n in [1, 2, 38, 77, 1000] {
            assert_eq!(wilson(0, n).map(|i| i.low.to_bits()), Some(0f64.to_bits()));
            assert_eq!(wilson(n, n).map(|i| i.high.to_bits()), Some(1f64.to_bits()));
        }
    }

    #[test]
    fn no_trials_give_no_interval() {
        assert_eq!(wilson(0, 0), None);
        assert_eq!(wilson(3, 2), None);
    }

    proptest! {
        #[test]
        fn the_limits_hold_the_share_and_mirror_each_other(n in 1usize..5000, at in 0.0..=1.0) {
            let k = (0..=n).rev().find(|k| units::count(*k) <= at * units::count(n)).unwrap_or(0);
            let found = wilson(k, n).expect("there are trials");
            let share = units::count(k) / units::count(n);
            prop_assert!(0.0 <= found.low && found.low <= share);
            prop_assert!(share <= found.high && found.high <= 1.0);
            let mirror = wilson(n - k, n).expect("there are trials");
            prop_assert!((found.low - (1.0 - mirror.high)).abs() < 1e-12);
            let more = wilson(2 * k, 2 * n).expect("there are trials");
            prop_assert!(more.width() < found.width());
        }
    }
}
