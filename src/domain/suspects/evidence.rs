//! Why a cause is suspected, in decibans.
//!
//! Scores are sums, so nothing here is approximated. A deciban is `10/ln 10` times a nat: 10 dB make
//! odds ten times as high, 3 dB about double them. Positive speaks for the cause, negative against.
//!
//! Against all others: with `q` the other causes' chances without `c`, summing to 1, a finding gives
//! `E_f = part_f(c) - Σ_d q_d part_f(d)`, so that `ln(p/(1-p)) = prior + Σ E - H(q)`, where `H(q)`,
//! the entropy of `q`, is how many others share the rest. Against one rival: `part_f(c) - part_f(d)`.
//!
//! Source, from memory: weight of evidence and decibans, I. J. Good (1985).

use crate::domain::suspects::counts::Seen;
use crate::domain::suspects::learn;
use crate::domain::suspects::model::Model;
use crate::domain::suspects::model::Parts;

/// Below this a finding says little, in decibans.
pub const SAYS_LITTLE: f64 = 0.5;

/// What one recorded finding says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FindingSays {
    /// Finding.
    pub finding: usize,
    /// Its value.
    pub value: usize,
    /// Decibans for the cause.
    pub decibans: f64,
    /// How often the value was seen with the cause and without it.
    pub seen: Seen,
}

/// What two findings together say beyond each alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairSays {
    /// The findings.
    pub findings: [usize; 2],
    /// Decibans for the cause.
    pub decibans: f64,
}

/// The odds of a cause in their parts; all of them sum to `odds`.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// `ln(p/(1-p))` against all others, `ln(p_c/p_d)` against one rival; in decibans.
    pub odds: f64,
    /// What the causes' frequency gives.
    pub prior: f64,
    /// The findings, the weightiest first.
    pub findings: Vec<FindingSays>,
    /// The pairs, the weightiest first.
    pub pairs: Vec<PairSays>,
    /// What is lost because several others share the rest: `-H(q)`; 0 against one rival.
    pub shared: f64,
}

/// Returns a number of nats in decibans.
pub fn decibans(nats: f64) -> f64 {
    nats * 10.0 / libm::log(10.0)
}

impl Model {
    /// Reads off what speaks for a cause against all others; none when there are no others.
    pub fn evidence(&self, values: &[u16], cause: usize) -> Option<Evidence> {
        let parts = self.parts(values);
        let mut others = parts.scores();
        if others.len() < 2 {
            return None;
        }
        let own = others[cause];
        others[cause] = f64::NEG_INFINITY;
        let rest = learn::softmax(&mut others);
        let entropy = others.iter().filter(|q| **q > 0.0);
        let entropy: f64 = entropy.map(|q| -q * libm::log(*q)).sum();
        let mean = |part: &[f64]| {
            let sum = part.iter().zip(&others).map(|(x, q)| x * q);
            part[cause] - sum.sum::<f64>()
        };
        Some(self.read(&parts, cause, own - rest, entropy, mean))
    }

    /// Reads off what speaks for a cause against one rival.
    pub fn against(&self, values: &[u16], cause: usize, rival: usize) -> Evidence {
        let parts = self.parts(values);
        let scores = parts.scores();
        let odds = scores[cause] - scores[rival];
        self.read(&parts, cause, odds, 0.0, |part| part[cause] - part[rival])
    }

    fn read(
        &self,
        parts: &Parts,
        cause: usize,
        odds: f64,
        entropy: f64,
        apart: impl Fn(&[f64]) -> f64,
    ) -> Evidence {
        let findings = parts.findings.iter().map(|(f, v, part)| FindingSays {
            finding: *f,
            value: *v,
            decibans: decibans(apart(part)),
            seen: self.counts().seen(*f, *v, cause),
        });
        let mut findings: Vec<FindingSays> = findings.collect();
        findings.sort_by(|a, b| weightier(a.decibans, b.decibans).then(a.finding.cmp(&b.finding)));
        let pairs = parts.pairs.iter().map(|(f, g, part)| PairSays {
            findings: [*f, *g],
            decibans: decibans(apart(part)),
        });
        let mut pairs: Vec<PairSays> = pairs.collect();
        pairs.sort_by(|a, b| weightier(a.decibans, b.decibans).then(a.findings.cmp(&b.findings)));
        Evidence {
            odds: decibans(odds),
            prior: decibans(apart(&parts.prior)),
            findings,
            pairs,
            shared: -decibans(entropy),
        }
    }
}

fn weightier(a: f64, b: f64) -> std::cmp::Ordering {
    b.abs().total_cmp(&a.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::suspects::counts::tests::any_archive;
    use proptest::prelude::*;

    fn sum(evidence: &Evidence) -> f64 {
        let findings = evidence.findings.iter().map(|f| f.decibans);
        let pairs = evidence.pairs.iter().map(|p| p.decibans);
        evidence.prior + findings.chain(pairs).sum::<f64>() + evidence.shared
    }

    /// Good (1985), from memory: 10 decibans are odds of ten to one.
    #[test]
    fn ten_decibans_are_ten_to_one() {
        assert!((decibans(libm::log(10.0)) - 10.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn the_parts_sum_to_the_odds(archive in any_archive()) {
            let model = Model::fit(&archive);
            for job in archive.jobs() {
                let p = model.posterior(&job.values);
                for (cause, chance) in p.iter().enumerate() {
                    let evidence = model.evidence(&job.values, cause).unwrap();
                    let odds = decibans(libm::log(chance / (1.0 - chance)));
                    prop_assert!((evidence.odds - odds).abs() < 1e-6);
                    prop_assert!((sum(&evidence) - odds).abs() < 1e-6);
                    prop_assert!(evidence.shared <= 1e-12);
                    for (rival, other) in p.iter().enumerate() {
                        let between = model.against(&job.values, cause, rival);
                        let odds = decibans(libm::log(chance / other));
                        prop_assert!((between.odds - odds).abs() < 1e-6);
                        prop_assert!((sum(&between) - odds).abs() < 1e-6);
                    }
                }
            }
        }

        #[test]
        fn the_weightiest_comes_first_with_its_counts(archive in any_archive()) {
            let model = Model::fit(&archive);
            for job in archive.jobs() {
                let evidence = model.evidence(&job.values, job.cause).unwrap();
                let sizes: Vec<f64> = evidence.findings.iter().map(|f| f.decibans.abs()).collect();
                prop_assert!(sizes.is_sorted_by(|a, b| a >= b));
                for says in &evidence.findings {
                    prop_assert!(1 <= says.seen.with && says.seen.with <= says.seen.of);
                }
            }
        }
    }
}
