//! What a test tells: in bits, and in money.
//!
//! Symbols: `p(s)` chance of state `s` before the test, `P(x|s)` chance of result `x` in state `s`,
//! `u(a,s)` what act `a` brings in state `s`; the chances of the states sum to 1, and so do those of
//! the results in each state.
//!
//! - entropy: `H = -Σ p log2 p` (bits; C. Shannon 1948);
//! - a result's chance: `P(x) = Σ_s p(s) P(x|s)`, and what it leaves: `p(s|x) = p(s) P(x|s) / P(x)`;
//! - mutual information: `H - Σ_x P(x) H(p(·|x))`, never below 0;
//! - expected value of sample information: `Σ_x P(x) max_a Σ_s p(s|x) u(a,s) - max_a Σ_s p(s) u(a,s)`;
//! - expected value of perfect information: `Σ_s p(s) max_a u(a,s) - max_a Σ_s p(s) u(a,s)`.
//!
//! Sources, from memory: H. Raiffa & R. Schlaifer (1961) for the last two; measurements chosen by
//! expected entropy, J. de Kleer & B. Williams (1987), Artificial Intelligence 32:97-130.

/// Returns the entropy of chances that sum to 1, in bits.
pub fn entropy(chances: &[f64]) -> f64 {
    let term = |p: &f64| if *p > 0.0 { -p * libm::log2(*p) } else { 0.0 };
    chances.iter().map(term).sum()
}

/// A test of states: `given[x][s]` is the chance of result `x` in state `s`.
#[derive(Clone, Copy, Debug)]
pub struct Probe<'a> {
    /// Chance of each state before the test.
    pub prior: &'a [f64],
    /// Chance of each result in each state.
    pub given: &'a [Vec<f64>],
}

impl Probe<'_> {
    /// Returns the chance of result `x`.
    pub fn chance(&self, x: usize) -> f64 {
        let both = self.prior.iter().zip(&self.given[x]);
        both.map(|(p, given)| p * given).sum()
    }

    /// Returns the chance of each state once `x` was read; what was known before where `x` cannot be.
    pub fn posterior(&self, x: usize) -> Vec<f64> {
        let chance = self.chance(x);
        if chance <= 0.0 {
            return self.prior.to_vec();
        }
        let both = self.prior.iter().zip(&self.given[x]);
        both.map(|(p, given)| p * given / chance).collect()
    }

    /// Returns the entropy expected to be left after the test, in bits.
    pub fn expected_entropy(&self) -> f64 {
        (0..self.given.len())
            .map(|x| self.chance(x) * entropy(&self.posterior(x)))
            .sum()
    }

    /// Returns the information expected of the test, in bits.
    pub fn information(&self) -> f64 {
        (entropy(self.prior) - self.expected_entropy()).max(0.0)
    }

    /// Returns what the best act brings once the test is read; `utilities[a][s]`.
    pub fn value_with(&self, utilities: &[Vec<f64>]) -> f64 {
        (0..self.given.len())
            .map(|x| self.chance(x) * best_act(&self.posterior(x), utilities).1)
            .sum()
    }

    /// Returns the expected value of sample information.
    pub fn worth(&self, utilities: &[Vec<f64>]) -> f64 {
        self.value_with(utilities) - best_act(self.prior, utilities).1
    }
}

/// Returns the act that brings most with these chances, and what it brings; the first of equals.
///
/// Without any act: act 0 and 0.
pub fn best_act(chances: &[f64], utilities: &[Vec<f64>]) -> (usize, f64) {
    let mut best: Option<(usize, f64)> = None;
    for (act, of_states) in utilities.iter().enumerate() {
        let brings: f64 = chances.iter().zip(of_states).map(|(p, u)| p * u).sum();
        if best.is_none_or(|(_, most)| most < brings) {
            best = Some((act, brings));
        }
    }
    best.unwrap_or((0, 0.0))
}

/// Returns the expected value of perfect information; `utilities[a][s]`.
pub fn worth_of_knowing(prior: &[f64], utilities: &[Vec<f64>]) -> f64 {
    let at_best = |s: usize| {
        let brings = utilities.iter().map(|u| u[s]);
        brings.reduce(f64::max).unwrap_or(0.0)
    };
    let known: f64 = prior.iter().enumerate().map(|(s, p)| p * at_best(s)).sum();
    known - best_act(prior, utilities).1
}

/// Returns how many tests that halve the field tell `n` equal candidates apart: `ceil(log2 n)`.
pub fn halvings(n: usize) -> u32 {
    if n <= 1 {
        return 0;
    }
    usize::BITS - (n - 1).leading_zeros()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PRIOR: [f64; 3] = [0.5, 0.3, 0.2];

    /// Our own example: is it the IC, the capacitor, or another; results "low" and "high".
    fn low_or_high() -> Vec<Vec<f64>> {
        vec![vec![0.9, 0.2, 0.3], vec![0.1, 0.8, 0.7]]
    }

    /// Replace the IC, remove the capacitor, stop.
    fn acts() -> Vec<Vec<f64>> {
        vec![
            vec![80.0, -20.0, -20.0],
            vec![-35.0, 65.0, -35.0],
            vec![0.0, 0.0, 0.0],
        ]
    }

    #[track_caller]
    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() < 1e-8, "{got} is not {expected}");
    }

    #[test]
    fn the_example_of_a_probe_comes_out() {
        let given = low_or_high();
        let probe = Probe {
            prior: &PRIOR,
            given: &given,
        };
        for (act, brings) in acts().iter().zip([30.0, -5.0, 0.0]) {
            near(best_act(&PRIOR, std::slice::from_ref(act)).1, brings);
        }
        near(probe.chance(0), 0.57);
        let left = [
            [0.789_473_68, 0.105_263_16, 0.105_263_16],
            [0.116_279_07, 0.558_139_53, 0.325_581_40],
        ];
        for (x, expected) in left.iter().enumerate() {
            for (got, expected) in probe.posterior(x).iter().zip(expected) {
                near(*got, *expected);
            }
        }
        let after_low = best_act(&probe.posterior(0), &acts());
        let after_high = best_act(&probe.posterior(1), &acts());
        assert_eq!((after_low.0, after_high.0), (0, 1));
        near(after_low.1, 58.947_368_42);
        near(after_high.1, 20.813_953_49);
        near(probe.value_with(&acts()), 42.55);
        near(probe.worth(&acts()), 12.55);
        near(worth_of_knowing(&PRIOR, &acts()), 29.5);
        near(entropy(&PRIOR), 1.485_475_30);
        near(probe.expected_entropy(), 1.126_994_67);
        near(probe.information(), 0.358_480_63);
    }

    #[test]
    fn halving_a_field_takes_as_many_tests_as_its_logarithm() {
        let n = [1, 2, 3, 8, 12, 16, 1000].map(halvings);
        assert_eq!(n, [0, 1, 2, 3, 4, 4, 10]);
        // A coin is one bit; what is certain, none.
        near(entropy(&[0.5, 0.5]), 1.0);
        near(entropy(&[1.0, 0.0]), 0.0);
    }

    proptest! {
        #[test]
        fn a_test_never_tells_less_than_nothing_nor_more_than_there_is_to_know(
            prior in prop::collection::vec(1_u32..50, 2..5),
            raw in prop::collection::vec(prop::collection::vec(1_u32..50, 5), 1..5),
        ) {
            let sum: f64 = prior.iter().map(|p| f64::from(*p)).sum();
            let prior: Vec<f64> = prior.iter().map(|p| f64::from(*p) / sum).collect();
            let total = |s: usize| raw.iter().map(|x| f64::from(x[s])).sum::<f64>();
            let given: Vec<Vec<f64>> = raw
                .iter()
                .map(|x| (0..prior.len()).map(|s| f64::from(x[s]) / total(s)).collect())
                .collect();
            let probe = Probe { prior: &prior, given: &given };
            let all: f64 = (0..given.len()).map(|x| probe.chance(x)).sum();
            prop_assert!((all - 1.0).abs() < 1e-9);
            // By definition: Σ P(x,s) log2 P(x,s)/(P(x) p(s)).
            let mut by_hand = 0.0;
            for (x, row) in given.iter().enumerate() {
                for (s, p) in prior.iter().enumerate() {
                    by_hand += p * row[s] * libm::log2(row[s] / probe.chance(x));
                }
            }
            let got = probe.information();
            prop_assert!((got - by_hand).abs() < 1e-9);
            prop_assert!((-1e-12..=entropy(&prior) + 1e-9).contains(&got));
            let acts: Vec<Vec<f64>> = (0..prior.len())
                .map(|a| (0..prior.len()).map(|s| if s == a { 10.0 } else { -3.0 }).collect())
                .collect();
            let worth = probe.worth(&acts);
            prop_assert!((-1e-9..=worth_of_knowing(&prior, &acts) + 1e-9).contains(&worth));
        }
    }
}
