//! A board's share, leaning on the boards of its kind, and those on all boards.
//!
//! Symbols: `k` of `n` jobs with a pattern ended in the circuit, on one board, on its kind (the board
//! itself included) or on all boards; `T` the strength of the leaning, in jobs; `P0` the circuit's
//! rate among all jobs.
//!
//! - all boards: `P_all = (k_all + s·P0)/(n_all + s)`, `s` = 4;
//! - kind: `P_kind = (k_kind + T·P_all)/(n_kind + T)`;
//! - board: `P_board = (k_board + T·P_kind)/(n_board + T)`.
//!
//! A chain, never a switch. `T` is the one of [`STRENGTHS`] with the least logarithmic score, each job
//! scored with its own counts taken away; with fewer than [`ENOUGH`] jobs it is [`DEFAULT`].
//! Sources, from memory: shrinkage, D. `MacKay` & L. Peto (1995); leave one out, M. Stone (1974);
//! logarithmic score, T. Gneiting & A. Raftery (2007). The strengths and the default are ours, set on
//! archives sampled from published networks.

use std::collections::BTreeMap;

use crate::domain::generate::weigh::pattern;
use crate::domain::units::count;

/// The strengths tried, in jobs; the last is about "all boards are alike".
pub const STRENGTHS: [f64; 5] = [4.0, 16.0, 64.0, 256.0, 4096.0];
/// The strength where too few jobs could choose one.
pub const DEFAULT: f64 = 64.0;
/// Jobs from which the archive chooses the strength itself (common practice, no source).
pub const ENOUGH: usize = 30;

/// The jobs with a pattern on one board: `k` of `n` ended in the circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted<'a> {
    /// Kind of equipment; empty where nobody wrote it: such a board leans on all boards alone.
    pub kind: &'a str,
    /// Ended in the circuit.
    pub k: usize,
    /// Have the pattern.
    pub n: usize,
}

/// A pattern's counts on all boards, and the circuit's rate without any finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Counts<'a> {
    /// Board by board.
    pub boards: Vec<Counted<'a>>,
    /// Rate of the circuit among all jobs, 0 to 1.
    pub base: f64,
}

impl Counts<'_> {
    /// Returns each board's share after the chain, in the order of the boards.
    pub fn shares(&self, strength: f64) -> Vec<f64> {
        let kinds = self.kinds();
        self.boards
            .iter()
            .map(|board| self.share(board, &kinds, strength, None))
            .collect()
    }

    fn kinds(&self) -> BTreeMap<&str, (usize, usize)> {
        let mut kinds: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
        for board in self.boards.iter().filter(|b| !b.kind.is_empty()) {
            let sum = kinds.entry(board.kind).or_default();
            sum.0 += board.k;
            sum.1 += board.n;
        }
        kinds
    }

    /// Returns a board's share; `without` takes one of its jobs away, which did or did not end in the
    /// circuit.
    fn share(
        &self,
        board: &Counted<'_>,
        kinds: &BTreeMap<&str, (usize, usize)>,
        strength: f64,
        without: Option<bool>,
    ) -> f64 {
        let lean = |(k, n): (usize, usize), on: f64, by: f64| {
            let less = |ended: bool| if ended { 1.0 } else { 0.0 };
            let (k, n) = (
                count(k) - less(without == Some(true)),
                count(n) - less(without.is_some()),
            );
            (k + by * on) / (n + by)
        };
        let all = self
            .boards
            .iter()
            .fold((0, 0), |sum, b| (sum.0 + b.k, sum.1 + b.n));
        let mut share = lean(all, self.base, pattern::STRENGTH);
        if let Some(kind) = kinds.get(board.kind) {
            share = lean(*kind, share, strength);
        }
        lean((board.k, board.n), share, strength)
    }

    /// Returns the leave-one-out loss of a strength, summed over the jobs.
    fn loss(&self, strength: f64) -> f64 {
        let kinds = self.kinds();
        let mut sum = 0.0;
        for board in &self.boards {
            for (ended, jobs) in [(true, board.k), (false, board.n - board.k)] {
                if 0 < jobs {
                    let share = self.share(board, &kinds, strength, Some(ended));
                    let said = if ended { share } else { 1.0 - share };
                    sum -= count(jobs) * libm::log(said.max(f64::MIN_POSITIVE));
                }
            }
        }
        sum
    }
}

/// Returns the strength that foretells each job best from the others; ties go to the smaller.
pub fn strength(patterns: &[Counts<'_>]) -> f64 {
    let jobs: usize = patterns.iter().flat_map(|p| &p.boards).map(|b| b.n).sum();
    if jobs < ENOUGH {
        return DEFAULT;
    }
    let loss = |by: f64| patterns.iter().map(|p| p.loss(by)).sum::<f64>();
    let mut best = (f64::INFINITY, DEFAULT);
    for by in STRENGTHS {
        let total = loss(by);
        if total < best.0 {
            best = (total, by);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn counts<'a>(boards: &[(&'a str, usize, usize)], base: f64) -> Counts<'a> {
        let boards = boards.iter().map(|&(kind, k, n)| Counted { kind, k, n });
        Counts {
            boards: boards.collect(),
            base,
        }
    }

    /// Worked by hand from the three formulas above.
    #[test]
    fn a_board_leans_on_its_kind_and_that_on_all() {
        let counts = counts(
            &[("display", 5, 6), ("display", 3, 4), ("pump", 0, 2)],
            0.25,
        );
        // All: (8 + 4·0.25)/(12 + 4) = 9/16. Displays: (8 + 16·9/16)/(10 + 16) = 17/26.
        // First: (5 + 16·17/26)/(6 + 16). Pump's kind: (0 + 9)/(2 + 16) = 1/2; pump: (0 + 8)/(2 + 16).
        let found = counts.shares(16.0);
        let expected = [
            (5.0 + 16.0 * 17.0 / 26.0) / 22.0,
            (3.0 + 16.0 * 17.0 / 26.0) / 20.0,
            8.0 / 18.0,
        ];
        for (found, expected) in found.iter().zip(expected) {
            assert!((found - expected).abs() < 1e-12, "{found} {expected}");
        }
    }

    #[test]
    fn a_board_of_no_known_kind_leans_on_all_boards_alone() {
        let counts = counts(&[("", 2, 2), ("", 0, 6)], 0.5);
        // All: (2 + 4·0.5)/(8 + 4) = 1/3; first: (2 + 4/3)/(2 + 4) = 5/9.
        assert!((counts.shares(4.0)[0] - 5.0 / 9.0).abs() < 1e-12);
    }

    #[test]
    fn boards_that_differ_choose_a_small_strength_and_boards_alike_a_great_one() {
        let differ = counts(&[("", 20, 20), ("", 0, 20), ("", 19, 20)], 0.5);
        assert!(strength(&[differ]) <= 16.0);
        let alike = counts(&[("", 10, 20), ("", 11, 20), ("", 10, 20)], 0.5);
        assert!(256.0 <= strength(&[alike]));
        let few = counts(&[("", 9, 9), ("", 0, 9)], 0.5);
        assert!((strength(&[few]) - DEFAULT).abs() < 1e-12);
    }

    #[test]
    fn leaving_a_job_out_is_counting_again_without_it() {
        let whole = counts(&[("a", 3, 5), ("a", 1, 2), ("b", 4, 4)], 0.3);
        let mut less = whole.clone();
        (less.boards[0].k, less.boards[0].n) = (2, 4);
        let kinds = whole.kinds();
        let out = whole.share(&whole.boards[0], &kinds, 16.0, Some(true));
        assert!((out - less.shares(16.0)[0]).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn a_share_stays_between_nothing_and_all(
            boards in proptest::collection::vec((0usize..9, 0usize..9), 1..6),
            at in 0..STRENGTHS.len(),
        ) {
            let boards: Vec<_> = boards.iter().map(|&(k, more)| ("x", k, k + more)).collect();
            for share in counts(&boards, 0.2).shares(STRENGTHS[at]) {
                prop_assert!((0.0..=1.0).contains(&share));
            }
        }
    }
}
