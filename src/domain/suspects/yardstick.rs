//! How well a ranking does on jobs it never saw.
//!
//! Symbols: `p` the chance said of the cause that it was, `N` jobs.
//!
//! - Log loss: the mean of `-ln p`, in nats.
//! - First choice, first three: the share of jobs whose cause stands first, or among the first
//!   three. Equal chances are ranked by the list of causes, as they would be shown.
//! - Expected calibration error: over ten bins of the highest chance said,
//!   `Σ (n_bin/N) |share right - mean chance|`.
//!
//! Sources, from memory: logarithmic score, T. Gneiting & A. Raftery (2007); calibration error, M.
//! Naeini, G. Cooper & M. Hauskrecht (2015).

use crate::domain::units::count;

const BINS: usize = 10;
/// Chances below this count as this, so that one impossible cause does not hide all else.
pub const FLOOR: f64 = 1e-12;

/// Sums over the jobs that were asked about.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Yardstick {
    jobs: usize,
    loss: f64,
    first: usize,
    first_three: usize,
    /// By bin: jobs, right ones, chances said.
    bins: [(usize, usize, f64); BINS],
}

impl Yardstick {
    /// Adds what was said of one job.
    pub fn add(&mut self, chances: &[f64], cause: usize) {
        let own = chances[cause];
        let before = |other: usize| {
            chances[other] > own || (chances[other].total_cmp(&own).is_eq() && other < cause)
        };
        let rank = (0..chances.len()).filter(|other| before(*other)).count();
        self.jobs += 1;
        self.loss -= libm::log(own.max(FLOOR));
        self.first += usize::from(rank < 1);
        self.first_three += usize::from(rank < 3);
        let top = chances.iter().copied().fold(0.0, f64::max);
        let edges = 1..BINS;
        let bin = edges
            .filter(|edge| count(*edge) / count(BINS) <= top)
            .count();
        self.bins[bin].0 += 1;
        self.bins[bin].1 += usize::from(rank < 1);
        self.bins[bin].2 += top;
    }

    /// Returns the number of jobs.
    pub fn jobs(&self) -> usize {
        self.jobs
    }

    /// Returns the mean of `-ln p`, in nats.
    pub fn log_loss(&self) -> f64 {
        self.loss / count(self.jobs)
    }

    /// Returns the share of jobs whose cause stood first.
    pub fn first_choice(&self) -> f64 {
        count(self.first) / count(self.jobs)
    }

    /// Returns the share of jobs whose cause stood among the first three.
    pub fn first_three(&self) -> f64 {
        count(self.first_three) / count(self.jobs)
    }

    /// Returns the expected calibration error.
    pub fn calibration_error(&self) -> f64 {
        let apart = |(_, right, said): &(usize, usize, f64)| (count(*right) - said).abs();
        self.bins.iter().map(apart).sum::<f64>() / count(self.jobs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worked_example() {
        let mut seen = Yardstick::default();
        seen.add(&[0.5, 0.3, 0.1, 0.1], 0);
        seen.add(&[0.5, 0.3, 0.1, 0.1], 1);
        seen.add(&[0.25, 0.25, 0.25, 0.25], 3);
        let loss = -(libm::log(0.5) + libm::log(0.3) + libm::log(0.25)) / 3.0;
        assert!((seen.log_loss() - loss).abs() < 1e-12);
        assert!((seen.first_choice() - 1.0 / 3.0).abs() < 1e-12);
        assert!((seen.first_three() - 2.0 / 3.0).abs() < 1e-12);
        // Bin .5: one of two right, said 1.0 in sum; bin .2: none right, said .25.
        assert!((seen.calibration_error() - 0.25 / 3.0).abs() < 1e-12);
        assert_eq!(seen.jobs(), 3);
    }
}
