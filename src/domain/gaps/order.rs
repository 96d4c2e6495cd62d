//! How a family stands against all others of a person, without saying more than is known.
//!
//! A family is called lower or higher only where its interval and that of all other families together
//! lie apart; between families of one standing nothing is said, and the shop's own order stands. Where
//! two intervals lie apart, their difference has an interval that leaves out 0 (R. G. Newcombe,
//! Statistics in Medicine 17 (1998), pp. 873-890, method 10): a test holds this to it. The reverse is
//! not true, so this is the more careful of the two.

use crate::domain::gaps::row::Share;

/// How a family stands against all others of a person together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Against {
    /// Its interval lies below theirs.
    Lower,
    /// The two intervals overlap: it cannot be told from them yet.
    Alike,
    /// Its interval lies above theirs.
    Higher,
}

impl Against {
    /// Every standing, from the lowest up.
    pub const ALL: [Self; 3] = [Self::Lower, Self::Alike, Self::Higher];

    /// Returns the word in JSON and tables.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lower => "lower",
            Self::Alike => "alike",
            Self::Higher => "higher",
        }
    }
}

/// Returns how each of `shares` stands against all the others together; none where it is not measured
/// itself. A family alone is like the rest, of which there is none.
pub fn against(shares: &[Share]) -> Vec<Option<Against>> {
    let sum = |of: fn(&Share) -> usize| shares.iter().map(of).sum::<usize>();
    let (right, asked) = (sum(|s| s.right), sum(|s| s.asked));
    shares
        .iter()
        .map(|share| {
            let (_, own) = share.told()?;
            let rest = Share {
                right: right - share.right,
                asked: asked - share.asked,
            };
            Some(match rest.limits() {
                Some(rest) if own.high < rest.low => Against::Lower,
                Some(rest) if rest.high < own.low => Against::Higher,
                _ => Against::Alike,
            })
        })
        .collect()
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

    fn of(shares: &[(usize, usize)]) -> Vec<Option<Against>> {
        let shares: Vec<Share> = shares
            .iter()
            .map(|&(right, asked)| Share { right, asked })
            .collect();
        against(&shares)
    }

    #[test]
    fn a_family_is_lower_only_where_its_interval_lies_below_that_of_the_rest() {
        use Against::{Alike, Higher, Lower};
        // Wilson 95 % by statsmodels 0.15.0: 37/50 0.604 to 0.841, 180/200 0.851 to 0.934.
        assert_eq!(of(&[(180, 200), (37, 50)]), [Some(Higher), Some(Lower)]);
        // 17/20 is 0.640 to 0.948 and overlaps both; the others still lie apart with it added: 54/70 by
        // hand 0.660 to 0.854 against 180/200, 197/220 0.848 to 0.929 against 37/50.
        let three = of(&[(180, 200), (17, 20), (37, 50)]);
        assert_eq!(three, [Some(Alike), Some(Alike), Some(Lower)]);
        // Not measured: never called anything.
        assert_eq!(of(&[(0, 1), (45, 50)]), [None, Some(Alike)]);
        assert_eq!(of(&[(17, 20)]), [Some(Alike)], "there is no rest");
        assert_eq!(of(&[]), []);
    }

    proptest! {
        #[test]
        fn what_is_called_lower_or_higher_differs_from_the_rest(
            shares in prop::collection::vec((0..60usize, 1..60usize), 1..14),
        ) {
            let shares: Vec<(usize, usize)> =
                shares.into_iter().map(|(k, n)| (k.min(n), n)).collect();
            let standings = of(&shares);
            prop_assert_eq!(standings.len(), shares.len());
            for (i, standing) in standings.iter().enumerate() {
                let others = shares.iter().enumerate().filter(|(j, _)| *j != i);
                let rest = others.fold((0, 0), |(k, n), (_, s)| (k + s.0, n + s.1));
                match standing {
                    Some(Against::Lower) => prop_assert!(0.0 < difference(rest, shares[i]).0),
                    Some(Against::Higher) => prop_assert!(0.0 < difference(shares[i], rest).0),
                    _ => {}
                }
            }
        }
    }
}
