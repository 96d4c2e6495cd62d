//! What is believed of a person's parameters before any review: how far from the mean they may lie.

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

/// Spread of people around the published parameters; our own, tried on simulated learners.
const SPREAD: [f64; COUNT] = [
    1.2, 1.2, 1.2, 1.2, 0.6, 0.6, 0.5, 2.0, 0.5, 0.8, 0.6, 0.5, 1.0, 0.8, 0.7, 0.8, 0.8, 1.0, 1.5,
    1.5, 1.0,
];

impl Prior {
    /// Returns what is believed of anyone: the published parameters are the likeliest.
    pub fn published() -> Self {
        Self::around(&Weights::published())
    }

    /// Returns what is believed of someone in a shop whose people have `weights`.
    pub fn around(weights: &Weights) -> Self {
        Self {
            mean: *weights.get(),
            spread: SPREAD,
        }
    }

    /// Returns the penalty of stretched numbers and its gradient.
    pub(crate) fn penalty(&self, z: &[f64; COUNT]) -> (f64, [f64; COUNT]) {
        let mean = scale::stretch(&self.mean);
        let mut sum = 0.0;
        let slope = std::array::from_fn(|i| {
            let off = (z[i] - mean[i]) / self.spread[i];
            sum += 0.5 * off * off;
            off / self.spread[i]
        });
        (sum, slope)
    }
}
