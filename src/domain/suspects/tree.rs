//! Which findings are to be taken together: a tree of the strongest links among those recorded.
//!
//! The strength of a link is how far the two findings depart from being independent within the
//! causes: `B_fg = max(0, (1/N_fg) Σ_vu O ln((O+.5)/(E+.5)))`, where `O` jobs showed both values,
//! `E = Σ_c n(c,f,g) P(v|c) P(u|c)` were to be expected, and `N_fg` jobs recorded both findings. For
//! each question the tree is the maximum spanning tree of `B` over the findings that it recorded
//! (Prim's way). Links of no strength are left out: they would only add chance.
//!
//! Sources, from memory: C. Chow & C. Liu (1968); N. Friedman, D. Geiger & M. Goldszmidt, Machine
//! Learning 29 (1997). A tree per question is ours.

use crate::domain::suspects::counts::Counts;
use crate::domain::units::count;

/// The strength of shrinkage at which links are measured, in jobs. Ours.
pub const STRENGTH: f64 = 8.0;

/// The strength of the link between every two findings, in nats a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Links {
    findings: usize,
    strength: Vec<f64>,
}

impl Links {
    /// Measures all links of an archive.
    pub fn of(counts: &Counts) -> Self {
        let findings = counts.n_values().len();
        let mut strength = vec![0.0; findings * findings];
        let chances: Vec<Vec<f64>> = (0..findings).map(|f| chances(counts, f)).collect();
        for f in 0..findings {
            for g in f + 1..findings {
                let link = link(counts, [f, g], [&chances[f], &chances[g]]);
                strength[f * findings + g] = link;
                strength[g * findings + f] = link;
            }
        }
        Self { findings, strength }
    }

    /// Returns the strength of a link.
    pub fn between(&self, f: usize, g: usize) -> f64 {
        self.strength[f * self.findings + g]
    }

    /// Returns the links of the maximum spanning tree over some findings, each as positions in
    /// `findings`, the smaller first. Equal links go to the earlier finding.
    pub fn tree(&self, findings: &[usize]) -> Vec<(usize, usize)> {
        let mut links = Vec::new();
        let mut outside: Vec<usize> = (1..findings.len()).collect();
        // For each position outside: the best link into the tree.
        let mut best: Vec<(f64, usize)> = findings
            .iter()
            .map(|f| (self.between(findings[0], *f), 0))
            .collect();
        while !outside.is_empty() {
            let mut next = 0;
            for (at, position) in outside.iter().enumerate() {
                if best[*position].0 > best[outside[next]].0 {
                    next = at;
                }
            }
            let joined = outside.remove(next);
            let (strength, parent) = best[joined];
            if strength > 0.0 {
                links.push((joined.min(parent), joined.max(parent)));
            }
            for position in &outside {
                let strength = self.between(findings[joined], findings[*position]);
                if strength > best[*position].0 {
                    best[*position] = (strength, joined);
                }
            }
        }
        links.sort_unstable();
        links
    }
}

/// Returns `P(v|c)` of a finding by value and cause.
fn chances(counts: &Counts, finding: usize) -> Vec<f64> {
    let causes = counts.causes();
    let cells = (0..counts.n_values()[finding] * causes).map(|cell| {
        let (value, cause) = (cell / causes, cell % causes);
        counts.given(STRENGTH, (finding, value), cause, None)
    });
    cells.collect()
}

fn link(counts: &Counts, [f, g]: [usize; 2], chances: [&Vec<f64>; 2]) -> f64 {
    let causes = counts.causes();
    let jobs: Vec<(usize, f64)> = (0..causes)
        .map(|c| (c, count(counts.together(f, g, c))))
        .filter(|(_, n)| *n > 0.0)
        .collect();
    let all: f64 = jobs.iter().map(|(_, n)| n).sum();
    if all < 1.0 {
        return 0.0;
    }
    let mut sum = 0.0;
    for v in 0..counts.n_values()[f] {
        for u in 0..counts.n_values()[g] {
            let observed = count(counts.both((f, v), (g, u)));
            if observed < 1.0 {
                continue;
            }
            let expected: f64 = jobs
                .iter()
                .map(|(c, n)| n * chances[0][v * causes + c] * chances[1][u * causes + c])
                .sum();
            sum += observed * libm::log((observed + 0.5) / (expected + 0.5));
        }
    }
    (sum / all).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn links(findings: usize, given: &[(usize, usize, f64)]) -> Links {
        let mut strength = vec![0.0; findings * findings];
        for (f, g, link) in given {
            strength[f * findings + g] = *link;
            strength[g * findings + f] = *link;
        }
        Links { findings, strength }
    }

    #[test]
    fn the_tree_is_the_heaviest_and_leaves_out_links_of_no_strength() {
        let links = links(
            5,
            &[
                (0, 1, 0.1),
                (1, 2, 0.3),
                (0, 2, 0.2),
                (2, 3, 0.05),
                (0, 3, 0.01),
            ],
        );
        assert_eq!(links.tree(&[0, 1, 2, 3, 4]), [(0, 2), (1, 2), (2, 3)]);
        // Over what is recorded only: without 2, 3 hangs on 0.
        assert_eq!(links.tree(&[0, 1, 3]), [(0, 1), (0, 2)]);
        assert_eq!(links.tree(&[4]), []);
        assert_eq!(links.tree(&[]), []);
    }
}
