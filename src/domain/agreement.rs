//! How far two people agree who coded the same jobs: Cohen's kappa.
//!
//! Symbols: `p[i,j]` share of the jobs that the first put into category `i` and the second into `j`;
//! `r[i]` and `c[j]` the sums of its rows and columns; `po = Σ p[i,i]` what agrees; `pe = Σ r[i] c[i]`
//! what two people with these sums would agree on by chance; `κ = (po - pe) / (1 - pe)`. Where both put
//! everything into one category `pe` is 1 and kappa is undefined.
//!
//! Standard error `s` for the interval (large samples, not under the null hypothesis): `n (1 - pe)² s²` is
//! the sum of `p[i,i] (1 - (r[i] + c[i]) (1 - κ))²` over the diagonal and of
//! `p[i,j] (c[i] + r[j])² (1 - κ)²` beside it, less `(κ - pe (1 - κ))²`. Limits `κ ± 1.96 s`, cut at -1
//! and 1.
//!
//! Sources: J. Cohen, Educational and Psychological Measurement 20 (1960), pp. 37-46; J. L. Fleiss,
//! J. Cohen, B. S. Everitt, Psychological Bulletin 72 (1969), pp. 323-327 (both from memory).
//!
//! No word for how good a kappa is stands here: such words are arbitrary by their authors' own account.

use std::collections::BTreeSet;

use crate::domain::interval::Z;
use crate::domain::units::count;

/// Kappa with its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kappa {
    /// From -1 to 1.
    pub kappa: f64,
    /// Standard error, and the lower and upper 95 % limits; none where all agrees: the formula then
    /// gives 0, which says nothing.
    pub limits: Option<Limits>,
}

/// How sure a kappa is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Standard error.
    pub error: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// Two people's codes of the same jobs, counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// Categories, in the order of rows and columns.
    pub categories: Vec<String>,
    /// Rows are the first person's, columns the second's.
    pub counts: Vec<Vec<usize>>,
}

impl Table {
    /// Counts pairs of codes; categories in the order of `order`, others after them by name.
    pub fn of(pairs: &[(&str, &str)], order: &[&str]) -> Self {
        let used: BTreeSet<&str> = pairs.iter().flat_map(|(a, b)| [*a, *b]).collect();
        let mut categories: Vec<&str> = order
            .iter()
            .copied()
            .filter(|word| used.contains(word))
            .collect();
        let rest: Vec<&str> = used
            .into_iter()
            .filter(|word| !categories.contains(word))
            .collect();
        categories.extend(rest);
        let mut counts = vec![vec![0; categories.len()]; categories.len()];
        let at = |word: &str| categories.iter().position(|c| *c == word);
        for (a, b) in pairs {
            if let (Some(i), Some(j)) = (at(a), at(b)) {
                counts[i][j] += 1;
            }
        }
        Self {
            categories: categories.into_iter().map(str::to_owned).collect(),
            counts,
        }
    }

    /// Returns how many jobs were coded.
    pub fn n(&self) -> usize {
        self.counts.iter().flatten().sum()
    }

    /// Returns how many got the same code from both.
    pub fn agreed(&self) -> usize {
        (0..self.counts.len()).map(|i| self.counts[i][i]).sum()
    }

    fn share(&self, i: usize, j: usize) -> f64 {
        count(self.counts[i][j]) / count(self.n().max(1))
    }

    /// Returns kappa; none without jobs, or where both put every job into one category.
    pub fn kappa(&self) -> Option<Kappa> {
        let size = self.counts.len();
        let n = self.n();
        let rows: Vec<f64> = (0..size)
            .map(|i| (0..size).map(|j| self.share(i, j)).sum())
            .collect();
        let columns: Vec<f64> = (0..size)
            .map(|j| (0..size).map(|i| self.share(i, j)).sum())
            .collect();
        let one_category = (0..size).any(|i| self.counts[i][i] == n);
        if n == 0 || one_category {
            return None;
        }
        let agreed = count(self.agreed()) / count(n);
        let chance: f64 = rows.iter().zip(&columns).map(|(r, c)| r * c).sum();
        let kappa = (agreed - chance) / (1.0 - chance);
        if self.agreed() == n {
            return Some(Kappa {
                kappa,
                limits: None,
            });
        }
        let off = 1.0 - kappa;
        let mut sum = -(kappa - chance * off).powi(2);
        for i in 0..size {
            for j in 0..size {
                let part = if i == j {
                    (1.0 - (rows[i] + columns[i]) * off).powi(2)
                } else {
                    (off * (columns[i] + rows[j])).powi(2)
                };
                sum += self.share(i, j) * part;
            }
        }
        let error = (sum.max(0.0) / count(n)).sqrt() / (1.0 - chance);
        Some(Kappa {
            kappa,
            limits: Some(Limits {
                error,
                low: (kappa - Z * error).max(-1.0),
                high: (kappa + Z * error).min(1.0),
            }),
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn table(counts: &[&[usize]]) -> Table {
        Table {
            categories: (0..counts.len()).map(|i| i.to_string()).collect(),
            counts: counts.iter().map(|row| row.to_vec()).collect(),
        }
    }

    #[track_caller]
    fn check(counts: &[&[usize]], po: f64, kappa: f64, error: f64, limits: Option<(f64, f64)>) {
        let table = table(counts);
        let found = table.kappa().expect("more than one category");
        let sure = found.limits.expect("not all agrees");
        let agreed = count(table.agreed()) / count(table.n());
        for (what, seen, wanted) in [
            ("po", agreed, po),
            ("kappa", found.kappa, kappa),
            ("error", sure.error, error),
            ("low", sure.low, limits.map_or(sure.low, |l| l.0)),
            ("high", sure.high, limits.map_or(sure.high, |l| l.1)),
        ] {
            assert!((seen - wanted).abs() < 6e-9, "{what}: {seen}, not {wanted}");
        }
    }

    #[test]
    fn kappa_and_its_limits_are_those_of_published_tables() {
        // In the tests of statsmodels 0.15.0, which quote SAS: 0.4842, 0.1380, 0.2137 to 0.7547; more
        // digits from statsmodels itself.
        check(
            &[&[0, 4, 1], &[0, 8, 0], &[0, 1, 5]],
            0.684_210_526,
            0.484_162_90,
            0.138_013_58,
            Some((0.213_661_25, 0.754_664_54)),
        );
        // Fleiss, Levin, Paik, Statistical Methods for Rates and Proportions, chapter 18 (0.68), from
        // memory; digits from statsmodels 0.15.0.
        check(
            &[&[75, 1, 4], &[5, 4, 1], &[0, 0, 10]],
            0.89,
            0.676_470_59,
            0.087_702_95,
            Some((0.504_575_96, 0.848_365_22)),
        );
        // A textbook pair of raters, from memory; digits from statsmodels 0.15.0.
        check(
            &[&[20, 5], &[10, 15]],
            0.7,
            0.4,
            0.126_996_06,
            Some((0.151_092_29, 0.648_907_71)),
        );
    }

    #[test]
    fn the_same_agreement_is_worth_less_where_one_category_prevails() {
        // Two textbook pairs, from memory; digits from statsmodels 0.15.0.
        check(
            &[&[45, 15], &[25, 15]],
            0.6,
            0.130_434_78,
            0.098_661_54,
            None,
        );
        check(
            &[&[25, 35], &[5, 35]],
            0.6,
            0.259_259_26,
            0.077_159_73,
            None,
        );
        // A. R. Feinstein, D. V. Cicchetti, Journal of Clinical Epidemiology 43 (1990), p. 543, from
        // memory; digits from statsmodels 0.15.0.
        check(
            &[&[40, 9], &[6, 45]],
            0.85,
            0.699_519_23,
            0.071_393_60,
            None,
        );
        check(
            &[&[80, 10], &[5, 5]],
            0.85,
            0.318_181_82,
            0.133_456_52,
            None,
        );
    }

    #[test]
    fn two_technicians_and_four_circuits_agree_with_statsmodels() {
        // Invented tables, computed with statsmodels 0.15.0.
        check(
            &[
                &[14, 2, 0, 1],
                &[3, 11, 1, 0],
                &[0, 2, 9, 1],
                &[1, 0, 2, 13],
            ],
            0.783_333_333,
            0.709_497_21,
            0.071_186_95,
            Some((0.569_973_36, 0.849_021_06)),
        );
        check(
            &[
                &[18, 4, 1, 0],
                &[5, 22, 6, 1],
                &[0, 7, 25, 5],
                &[0, 1, 4, 21],
            ],
            0.716_666_667,
            0.618_013_29,
            0.056_082_08,
            Some((0.508_094_43, 0.727_932_16)),
        );
    }

    #[test]
    fn words_are_counted_in_the_order_given() {
        // The example of the scikit-learn documentation: 0.6875.
        let first = ["neg", "pos", "neg", "neu", "pos"];
        let second = ["neg", "pos", "neg", "neu", "neg"];
        let pairs: Vec<(&str, &str)> = first.into_iter().zip(second).collect();
        let table = Table::of(&pairs, &["pos", "unused", "neu"]);
        assert_eq!(table.categories, ["pos", "neu", "neg"]);
        assert_eq!(table.counts, [[1, 0, 1], [0, 1, 0], [0, 0, 2]]);
        let kappa = table.kappa().expect("three categories").kappa;
        assert!((kappa - 0.6875).abs() < 1e-12);
    }

    #[test]
    fn one_category_and_no_jobs_have_no_kappa() {
        assert_eq!(table(&[&[7, 0], &[0, 0]]).kappa(), None);
        assert_eq!(table(&[&[7]]).kappa(), None);
        assert_eq!(Table::default().kappa(), None);
        // One in one category, the other in two: chance alone explains it.
        let kappa = table(&[&[6, 2], &[0, 0]]).kappa().expect("defined").kappa;
        assert!(kappa.abs() < 1e-12);
    }

    #[test]
    fn full_agreement_has_no_interval() {
        let found = table(&[&[3, 0], &[0, 4]]).kappa().expect("two categories");
        assert!((found.kappa - 1.0).abs() < 1e-12);
        assert_eq!(found.limits, None);
    }

    proptest! {
        #[test]
        fn kappa_stays_in_range_whoever_comes_first(
            rows in proptest::collection::vec(proptest::collection::vec(0usize..20, 4), 4)
        ) {
            let one = Table { categories: vec![String::new(); 4], counts: rows.clone() };
            let turned = (0..4).map(|j| (0..4).map(|i| rows[i][j]).collect()).collect();
            let other = Table { categories: vec![String::new(); 4], counts: turned };
            match (one.kappa(), other.kappa()) {
                (Some(a), Some(b)) => {
                    prop_assert!((-1.0 - 1e-12..=1.0 + 1e-12).contains(&a.kappa));
                    prop_assert!((a.kappa - b.kappa).abs() < 1e-12);
                    if let (Some(a), Some(b)) = (a.limits, b.limits) {
                        prop_assert!((a.error - b.error).abs() < 1e-9);
                        prop_assert!(a.low <= a.high);
                    }
                }
                (a, b) => prop_assert_eq!(a, b),
            }
        }
    }
}
