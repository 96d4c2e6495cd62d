//! What is believed of a person's parameters before any review: how far from the mean they may lie.

use crate::domain::fit::matrix;
use crate::domain::fit::matrix::Matrix;
use crate::domain::fit::matrix::Vector;
use crate::domain::fit::scale;
use crate::domain::memory::COUNT;
use crate::domain::memory::Weights;

/// Where the parameters are believed to lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Prior {
    /// The likeliest parameters.
    pub mean: [f64; COUNT],
    /// Standard deviation of each parameter's stretched number (see `scale.rs`).
    pub spread: [f64; COUNT],
}

/// Spread of people around the published parameters, in stretched numbers.
///
/// The widths that the reference library's own fit takes (crate `fsrs` 6.6.2, `PARAMS_STDDEV`), those
/// of the first four as a factor of 2, carried over by drawing parameters from them; and 0.65 of that,
/// which foretold best over 200 simulated learners of 2,000 reviews and 40 of 20,000. Beside spreads
/// of an even guess it took the loss above the truth's from 0.0043 to 0.0031 at 2,000 reviews.
const SPREAD: [f64; COUNT] = [
    0.47, 0.51, 0.54, 0.63, 0.18, 0.31, 0.46, 0.93, 0.25, 0.68, 0.38, 0.2, 0.91, 0.64, 0.45, 0.66,
    0.67, 0.57, 0.94, 0.77, 1.34,
];
/// How much the stabilities after a first review lie off together, as a correlation: who remembers
/// longer after one grade does so after all.
const TOGETHER: f64 = 0.6;

/// The pull of difficulty to its target (`p7`) is published at its lower bound, where nobody's is
/// believed to lie; our own.
const LEAST_PULL: f64 = 0.01;

impl Prior {
    /// Returns what is believed of anyone: the published parameters are the likeliest.
    pub fn published() -> Self {
        Self::around(&Weights::published())
    }

    /// Returns what is believed of someone in a shop whose people have `weights`.
    pub fn around(weights: &Weights) -> Self {
        let mut mean = *weights.get();
        mean[7] = mean[7].max(LEAST_PULL);
        Self {
            mean,
            spread: SPREAD,
        }
    }

    /// Returns the penalty of stretched numbers and its gradient.
    pub(crate) fn penalty(&self, z: &Vector) -> (f64, Vector) {
        let mean = scale::stretch(&self.mean);
        let off = std::array::from_fn(|i| z[i] - mean[i]);
        let pull = matrix::times(&self.precision(), &off);
        let far = matrix::dot(&off, &pull);
        (0.5 * far, pull)
    }

    /// Returns how the gradient of the penalty turns.
    pub(crate) fn precision(&self) -> Matrix {
        std::array::from_fn(|i| {
            std::array::from_fn(|j| {
                let both = self.spread[i] * self.spread[j];
                let shared = TOGETHER / (1.0 + 3.0 * TOGETHER);
                match (i == j, i.max(j) < 4) {
                    (true, true) => (1.0 - shared) / (1.0 - TOGETHER) / both,
                    (false, true) => -shared / (1.0 - TOGETHER) / both,
                    (true, false) => 1.0 / both,
                    (false, false) => 0.0,
                }
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::units;

    #[test]
    fn the_penalty_is_none_at_the_mean_and_its_gradient_is_that_of_differences() {
        let prior = Prior::published();
        let mean = scale::stretch(&prior.mean);
        assert!(prior.penalty(&mean).0.abs() < 1e-20);
        let z: Vector = std::array::from_fn(|i| mean[i] + 0.3 - 0.05 * units::count(i));
        let (_, slope) = prior.penalty(&z);
        for i in 0..COUNT {
            let at = |off: f64| {
                let mut z = z;
                z[i] += off;
                prior.penalty(&z).0
            };
            let expected = (at(1e-5) - at(-1e-5)) / 2e-5;
            assert!(
                (slope[i] - expected).abs() < 1e-7,
                "{i}: {} {expected}",
                slope[i]
            );
        }
    }

    #[test]
    fn the_first_four_may_lie_off_together_more_easily_than_apart() {
        let prior = Prior::published();
        let off = |signs: [f64; 4]| {
            let mut z = scale::stretch(&prior.mean);
            for (i, sign) in signs.into_iter().enumerate() {
                z[i] += sign * prior.spread[i];
            }
            prior.penalty(&z).0
        };
        let together = off([1.0; 4]);
        assert!(
            together < 2.0 && 2.0 < off([1.0, -1.0, 1.0, -1.0]),
            "{together}"
        );
    }
}
