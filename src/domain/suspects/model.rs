//! The ranking: shrunk counts, one tree of pairs a question, a few learned weights.
//!
//! For each strength `s` of 2, 8, 32 jobs the score of a cause is
//! `S_s(c) = a ln P(c) + Σ_f w_f ln P(x_f|c) + t Σ_tree ln R_fg(c)` over the recorded findings
//! (chances and lifts: [`super::counts`]; tree: [`super::tree`]); the final score is their mean, a
//! log-linear pool, so that it stays a sum; `p = softmax(S)`.
//!
//! The weights `a`, `w_f`, `t` are learned for each strength by leaving each job out once
//! ([`super::learn`]). Step one, three numbers: `a` from N(1, .3), one `w` for all findings from
//! N(.9, .3), `t` from N(.5, .5), each within 0 to 2. Step two, all `w_f` within 0 to 2.5 from
//! N(w, .4), `a` and `t` around step one with deviations .3 and .5. These weights are the
//! calibration: what counts double (findings that say the same) or is noise gets a small one. The
//! tree's links are not measured anew for each job left out.
//!
//! Sources, from memory: weighted naive Bayes, N. Zaidi, J. Cerquides, M. Carman & G. Webb (2013);
//! tree, N. Friedman, D. Geiger & M. Goldszmidt (1997); log-linear pool, C. Genest & J. Zidek (1986).
//! The combination and its constants are ours, set on archives sampled from published networks.

use crate::domain::suspects::coded;
use crate::domain::suspects::coded::Coded;
use crate::domain::suspects::coded::CodedJob;
use crate::domain::suspects::counts::Counts;
use crate::domain::suspects::learn;
use crate::domain::suspects::learn::Ridge;
use crate::domain::suspects::learn::Row;
use crate::domain::suspects::tree::Links;
use crate::domain::units::count;

/// The strengths of shrinkage, in jobs.
pub const STRENGTHS: [f64; 3] = [2.0, 8.0, 32.0];
/// The weights are learned from at most so many jobs, the last ones given.
pub const LEARNED_FROM: usize = 5000;

/// Place of `a` among the weights of a row.
const PRIOR: usize = 0;
/// Place of `t`.
const TREE: usize = 1;
/// Place of the first `w_f`.
const FINDINGS: usize = 2;

/// The weights at one strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights {
    /// `a`, of the prior.
    pub prior: f64,
    /// `t`, of the tree.
    pub tree: f64,
    /// `w_f`, by finding.
    pub findings: Vec<f64>,
}

/// A ranking of causes, learned from an archive.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    counts: Counts,
    links: Links,
    weights: [Weights; 3],
}

/// A score in its parts, averaged over the strengths; each part holds one number a cause, in nats.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// What the causes' frequency gives.
    pub prior: Vec<f64>,
    /// What each recorded finding gives: finding, value, part.
    pub findings: Vec<(usize, usize, Vec<f64>)>,
    /// What two findings together give beyond each alone.
    pub pairs: Vec<(usize, usize, Vec<f64>)>,
}

impl Parts {
    /// Returns the score of each cause.
    pub fn scores(&self) -> Vec<f64> {
        let mut scores = self.prior.clone();
        let findings = self.findings.iter().map(|(_, _, part)| part);
        for part in findings.chain(self.pairs.iter().map(|(_, _, part)| part)) {
            for (score, x) in scores.iter_mut().zip(part) {
                *score += x;
            }
        }
        scores
    }
}

/// The terms of one strength, without their weights.
struct Terms {
    prior: Vec<f64>,
    findings: Vec<Vec<f64>>,
    pairs: Vec<Vec<f64>>,
}

impl Model {
    /// Counts an archive and learns the weights from it.
    ///
    /// The order of the jobs does not matter, unless there are more than [`LEARNED_FROM`].
    pub fn fit(archive: &Coded) -> Self {
        let counts = Counts::of(archive);
        let links = Links::of(&counts);
        let skip = archive.jobs().len().saturating_sub(LEARNED_FROM);
        let mut jobs: Vec<&CodedJob> = archive.jobs()[skip..].iter().collect();
        // Sums of floats depend on their order.
        jobs.sort_unstable();
        let weights = STRENGTHS.map(|s| weigh(&counts, &links, s, &jobs));
        Self {
            counts,
            links,
            weights,
        }
    }

    /// Returns what the archive counted.
    pub fn counts(&self) -> &Counts {
        &self.counts
    }

    /// Returns the weights by strength, as in [`STRENGTHS`].
    pub fn weights(&self) -> &[Weights; 3] {
        &self.weights
    }

    /// Returns the score of every cause in its parts.
    pub fn parts(&self, values: &[u16]) -> Parts {
        let recorded = coded::recorded(values, self.counts.n_values());
        let tree = branches(&self.links, &recorded);
        let causes = self.counts.causes();
        let nothing = || vec![0.0; causes];
        let mut parts = Parts {
            prior: nothing(),
            findings: recorded.iter().map(|(f, v)| (*f, *v, nothing())).collect(),
            pairs: tree
                .iter()
                .map(|(i, j)| (recorded[*i].0, recorded[*j].0, nothing()))
                .collect(),
        };
        let share = 1.0 / count(STRENGTHS.len());
        let add = |to: &mut Vec<f64>, weight: f64, term: &[f64]| {
            for (sum, x) in to.iter_mut().zip(term) {
                *sum += share * weight * x;
            }
        };
        for (s, weights) in STRENGTHS.into_iter().zip(&self.weights) {
            let terms = terms(&self.counts, s, &recorded, &tree, None);
            add(&mut parts.prior, weights.prior, &terms.prior);
            for ((f, _, part), term) in parts.findings.iter_mut().zip(&terms.findings) {
                add(part, weights.findings[*f], term);
            }
            for ((_, _, part), term) in parts.pairs.iter_mut().zip(&terms.pairs) {
                add(part, weights.tree, term);
            }
        }
        parts
    }

    /// Returns the chance of every cause, summing to 1.
    pub fn posterior(&self, values: &[u16]) -> Vec<f64> {
        let mut scores = self.parts(values).scores();
        learn::softmax(&mut scores);
        scores
    }
}

/// Returns the links of a question's tree, as positions among its recorded findings.
fn branches(links: &Links, recorded: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let findings: Vec<usize> = recorded.iter().map(|(f, _)| *f).collect();
    links.tree(&findings)
}

/// Returns the terms of a score; `own` is the cause of the job that is left out, if any.
fn terms(
    counts: &Counts,
    s: f64,
    recorded: &[(usize, usize)],
    tree: &[(usize, usize)],
    own: Option<usize>,
) -> Terms {
    let causes = 0..counts.causes();
    let prior = causes.clone().map(|c| libm::log(counts.prior(c, own)));
    let prior = prior.collect();
    let chances: Vec<Vec<f64>> = recorded
        .iter()
        .map(|cell| {
            causes
                .clone()
                .map(|c| counts.given(s, *cell, c, own))
                .collect()
        })
        .collect();
    let lift = |(i, j): &(usize, usize)| -> Vec<f64> {
        let of = |c: usize| {
            let both = [chances[*i][c], chances[*j][c]];
            libm::log(counts.lift(recorded[*i], recorded[*j], c, both, own))
        };
        causes.clone().map(of).collect()
    };
    let pairs = tree.iter().map(lift).collect();
    let findings = chances
        .iter()
        .map(|column| column.iter().map(|p| libm::log(*p)).collect())
        .collect();
    Terms {
        prior,
        findings,
        pairs,
    }
}

/// Returns what each weight has to say about a job that is left out.
fn row(counts: &Counts, links: &Links, s: f64, job: &CodedJob) -> Row {
    let recorded = coded::recorded(&job.values, counts.n_values());
    let tree = branches(links, &recorded);
    let terms = terms(counts, s, &recorded, &tree, Some(job.cause));
    let mut weights = vec![PRIOR, TREE];
    weights.extend(recorded.iter().map(|(f, _)| FINDINGS + f));
    let mut columns = terms.prior;
    columns.extend(summed(&terms.pairs, counts.causes()));
    columns.extend(terms.findings.iter().flatten());
    Row {
        cause: job.cause,
        weights,
        columns,
    }
}

fn summed<'a>(columns: impl IntoIterator<Item = &'a Vec<f64>>, causes: usize) -> Vec<f64> {
    let mut sums = vec![0.0; causes];
    for column in columns {
        for (sum, x) in sums.iter_mut().zip(column) {
            *sum += x;
        }
    }
    sums
}

/// Learns the weights of one strength in two steps.
fn weigh(counts: &Counts, links: &Links, s: f64, jobs: &[&CodedJob]) -> Weights {
    let causes = counts.causes();
    let findings = counts.n_values().len();
    let rows: Vec<Row> = jobs.iter().map(|job| row(counts, links, s, job)).collect();
    let ridge = |centre: f64, spread: f64, most: f64| Ridge {
        centre,
        spread,
        most,
    };
    // Step one: the findings share one weight, so their columns are summed.
    let coarse: Vec<Row> = rows
        .iter()
        .map(|row| {
            let mut columns = row.columns[..FINDINGS * causes].to_vec();
            let mut sums = vec![0.0; causes];
            for column in row.columns[FINDINGS * causes..].chunks_exact(causes) {
                for (sum, x) in sums.iter_mut().zip(column) {
                    *sum += x;
                }
            }
            columns.extend(sums);
            Row {
                cause: row.cause,
                weights: vec![PRIOR, TREE, FINDINGS],
                columns,
            }
        })
        .collect();
    let first = [
        ridge(1.0, 0.3, 2.0),
        ridge(0.5, 0.5, 2.0),
        ridge(0.9, 0.3, 2.0),
    ];
    let first = learn::fit(&coarse, causes, &first);
    let mut second = vec![ridge(first[PRIOR], 0.3, 2.0), ridge(first[TREE], 0.5, 2.0)];
    second.extend((0..findings).map(|_| ridge(first[FINDINGS], 0.4, 2.5)));
    let second = learn::fit(&rows, causes, &second);
    Weights {
        prior: second[PRIOR],
        tree: second[TREE],
        findings: second[FINDINGS..].to_vec(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::suspects::coded::UNRECORDED;
    use crate::domain::suspects::counts::tests::CAUSES;
    use crate::domain::suspects::counts::tests::any_archive;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_row_left_out_is_a_row_of_the_other_jobs(archive in any_archive()) {
            let counts = Counts::of(&archive);
            let links = Links::of(&counts);
            for (at, job) in archive.jobs().iter().enumerate() {
                let mut rest = archive.jobs().to_vec();
                rest.remove(at);
                let rest = Counts::of(&archive.with_jobs(rest).unwrap());
                let recorded = coded::recorded(&job.values, counts.n_values());
                let tree = branches(&links, &recorded);
                let left = row(&counts, &links, 8.0, job);
                let counted = terms(&rest, 8.0, &recorded, &tree, None);
                let mut columns = counted.prior;
                columns.extend(summed(&counted.pairs, CAUSES));
                columns.extend(counted.findings.into_iter().flatten());
                for (a, b) in left.columns.iter().zip(&columns) {
                    prop_assert!((a - b).abs() < 1e-12);
                }
            }
        }

        #[test]
        fn the_order_of_the_jobs_does_not_matter(archive in any_archive()) {
            let mut back = archive.jobs().to_vec();
            back.reverse();
            let back = archive.with_jobs(back).unwrap();
            prop_assert_eq!(Model::fit(&archive), Model::fit(&back));
        }

        #[test]
        fn chances_sum_to_one_and_an_unseen_cause_stays_possible(archive in any_archive()) {
            let model = Model::fit(&archive);
            for job in archive.jobs() {
                let p = model.posterior(&job.values);
                prop_assert!((p.iter().sum::<f64>() - 1.0).abs() < 1e-12);
                prop_assert!(p.iter().all(|p| *p > 0.0));
                prop_assert_eq!(model.counts().of_cause(CAUSES - 1), 0);
            }
        }

        #[test]
        fn weights_stay_in_their_bounds(archive in any_archive()) {
            for weights in Model::fit(&archive).weights() {
                prop_assert!((0.0..=2.0).contains(&weights.prior));
                prop_assert!((0.0..=2.0).contains(&weights.tree));
                prop_assert!(weights.findings.iter().all(|w| (0.0..=2.5).contains(w)));
            }
        }
    }

    /// Ten jobs of each of two causes; one finding tells them apart, its copy tells nothing more, and
    /// a third is a coin toss.
    fn told_apart() -> Model {
        let jobs = (0..20_u16).map(|at| CodedJob {
            cause: usize::from(at % 2),
            values: vec![at % 2, at % 2, (at / 2) % 2],
        });
        Model::fit(&Coded::new(3, vec![2, 2, 2], jobs.collect()).unwrap())
    }

    #[test]
    fn what_tells_causes_apart_ranks_them() {
        let p = told_apart().posterior(&[1, 1, 0]);
        assert!(p[1] > 0.8 && p[0] < 0.1, "{p:?}");
        // A cause that was never closed gets nothing from what both others show alike.
        assert!(p[2] > 0.0 && p[2] < p[1], "{p:?}");
    }

    #[test]
    fn nothing_recorded_leaves_the_prior_order() {
        let model = told_apart();
        let p = model.posterior(&[UNRECORDED; 3]);
        assert!((p[0] - p[1]).abs() < 1e-12 && p[2] < p[0], "{p:?}");
    }
}
