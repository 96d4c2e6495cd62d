//! In which order families may stand without saying more than is known.
//!
//! Families are set one before another only where their intervals lie apart. Those that overlap,
//! directly or through others between them, make one group, which cannot be told apart yet: inside it
//! the shop's own order stands. Intervals that lie apart also have a difference whose interval leaves
//! out 0 (R. G. Newcombe, Statistics in Medicine 17 (1998), pp. 873-890, method 10): a test holds
//! this to it. The reverse is not true, so this is the more careful of the two.

use crate::domain::interval::Interval;

/// Returns the groups of `limits` from the lowest share up, each a list of places in `limits`; those
/// without limits are left out.
pub fn groups(limits: &[Option<Interval>]) -> Vec<Vec<usize>> {
    let mut known: Vec<(usize, Interval)> = limits
        .iter()
        .enumerate()
        .filter_map(|(i, limits)| Some((i, (*limits)?)))
        .collect();
    known.sort_by(|a, b| a.1.low.total_cmp(&b.1.low));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut reach = f64::NEG_INFINITY;
    for (i, limits) in known {
        match groups.last_mut() {
            Some(group) if limits.low <= reach => group.push(i),
            _ => groups.push(vec![i]),
        }
        reach = reach.max(limits.high);
    }
    for group in &mut groups {
        group.sort_unstable();
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::interval::wilson;
    use crate::domain::units::count;
    use proptest::prelude::*;

    /// Newcombe's hybrid score interval of the difference of two shares (method 10).
    fn difference(a: (usize, usize), b: (usize, usize)) -> (f64, f64) {
        let share = |(k, n): (usize, usize)| count(k) / count(n);
        let (p, q) = (share(a), share(b));
        let one = wilson(a.0, a.1).expect("trials");
        let two = wilson(b.0, b.1).expect("trials");
        let low = ((p - one.low).powi(2) + (two.high - q).powi(2)).sqrt();
        let high = ((one.high - p).powi(2) + (q - two.low).powi(2)).sqrt();
        (p - q - low, p - q + high)
    }

    #[test]
    fn differences_are_those_of_the_published_table() {
        // Newcombe 1998, Statistics in Medicine 17:873-890, Table II, rows from memory, equal to
        // statsmodels 0.15.0; 7/34 against 1/34 is quoted in statsmodels' own tests from Fagerland,
        // Lydersen, Laake 2015.
        let rows = [
            ((56, 70), (48, 80), 0.052_431_47, 0.333_872_65),
            ((9, 10), (3, 10), 0.170_522_72, 0.809_017_97),
            ((6, 7), (2, 7), 0.058_227_93, 0.806_249_64),
            ((5, 56), (0, 29), -0.038_137_15, 0.192_560_01),
            ((0, 10), (0, 20), -0.161_125_16, 0.277_532_80),
            ((10, 10), (0, 20), 0.679_086_04, 1.0),
            ((7, 34), (1, 34), 0.018_921_44, 0.340_368_69),
        ];
        for (a, b, low, high) in rows {
            let found = difference(a, b);
            assert!((found.0 - low).abs() < 6e-9, "{a:?} {b:?} {found:?}");
            assert!((found.1 - high).abs() < 6e-9, "{a:?} {b:?} {found:?}");
        }
    }

    fn of(shares: &[(usize, usize)]) -> Vec<Vec<usize>> {
        let limits: Vec<Option<Interval>> = shares.iter().map(|(k, n)| wilson(*k, *n)).collect();
        groups(&limits)
    }

    #[test]
    fn families_whose_intervals_overlap_stay_in_the_shops_order() {
        // 17/20 is 0.640 to 0.948, 37/50 is 0.604 to 0.841, 180/200 is 0.851 to 0.934: the middle one
        // reaches neither end, yet the first joins all three.
        assert_eq!(of(&[(180, 200), (17, 20), (37, 50)]), [[0, 1, 2]]);
        assert_eq!(of(&[(180, 200), (37, 50)]), [[1], [0]]);
        assert_eq!(of(&[(45, 50), (0, 0), (1, 29)]), [[2], [0]]);
        assert_eq!(of(&[]), Vec::<Vec<usize>>::new());
    }

    proptest! {
        #[test]
        fn what_stands_apart_differs_and_everything_stands_once(
            shares in prop::collection::vec((0..60usize, 1..60usize), 1..14),
        ) {
            let shares: Vec<(usize, usize)> =
                shares.into_iter().map(|(k, n)| (k.min(n), n)).collect();
            let groups = of(&shares);
            let mut all: Vec<usize> = groups.concat();
            all.sort_unstable();
            prop_assert_eq!(all, (0..shares.len()).collect::<Vec<_>>());
            for (i, lower) in groups.iter().enumerate() {
                for higher in &groups[i + 1..] {
                    for (l, h) in lower.iter().flat_map(|l| higher.iter().map(move |h| (*l, *h))) {
                        prop_assert!(0.0 < difference(shares[h], shares[l]).0);
                    }
                }
            }
        }
    }
}
