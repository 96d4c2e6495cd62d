//! The numbers a fit walks in: each parameter stretched so that its bounds lie infinitely far away.
//!
//! With `p` between `low` and `high`: `z = ln((p - low) / (high - p))`. So a fit has no walls to run
//! into, a step always leads to parameters within their bounds, and no parameter ends on one. For
//! stabilities, whose range is wide, `z` is nearly the logarithm.

use crate::domain::memory::BOUNDS;
use crate::domain::memory::COUNT;
use crate::domain::memory::Weights;

/// Farthest that a number may go: there a parameter is within 1e-11 of its range from the bound.
const FARTHEST: f64 = 25.0;

/// Closest to a bound that a parameter is taken to lie, as a share of its range.
const CLOSEST: f64 = 1e-9;

/// Returns the stretched numbers of `p`.
pub(crate) fn stretch(p: &[f64; COUNT]) -> [f64; COUNT] {
    std::array::from_fn(|i| {
        let (low, high) = BOUNDS[i];
        let share = ((p[i] - low) / (high - low)).clamp(CLOSEST, 1.0 - CLOSEST);
        libm::log(share / (1.0 - share))
    })
}

/// Returns the parameters of stretched numbers.
pub(crate) fn shrink(z: &[f64; COUNT]) -> Weights {
    let p = std::array::from_fn(|i| {
        let (low, high) = BOUNDS[i];
        (low + (high - low) * share(z[i])).clamp(low.next_up(), high.next_down())
    });
    Weights::new(p).expect("shrunk numbers lie within the bounds")
}

/// Returns how fast each parameter moves with its stretched number.
pub(crate) fn pace(z: &[f64; COUNT]) -> [f64; COUNT] {
    std::array::from_fn(|i| {
        let (low, high) = BOUNDS[i];
        let share = share(z[i]);
        (high - low) * share * (1.0 - share)
    })
}

fn share(z: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-z.clamp(-FARTHEST, FARTHEST)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretching_and_shrinking_come_back_and_never_reach_a_bound() {
        let published = Weights::published();
        let back = shrink(&stretch(published.get()));
        for (i, (found, expected)) in back.get().iter().zip(published.get()).enumerate() {
            assert!((found - expected).abs() < 1e-7, "p{i}: {found} {expected}");
        }
        for far in [-1e9, 1e9] {
            for (p, (low, high)) in shrink(&[far; COUNT]).get().iter().zip(BOUNDS) {
                assert!(low < *p && *p < high, "{p} within {low} to {high}");
            }
        }
    }

    #[test]
    fn the_pace_is_that_of_differences() {
        let z: [f64; COUNT] = std::array::from_fn(|i| if i % 2 == 0 { 0.7 } else { -2.0 });
        let by = |off: f64| *shrink(&z.map(|z| z + off)).get();
        let (less, more) = (by(-1e-6), by(1e-6));
        for (i, pace) in pace(&z).into_iter().enumerate() {
            let expected = (more[i] - less[i]) / 2e-6;
            assert!(
                (pace - expected).abs() < 1e-6 * pace,
                "p{i}: {pace} {expected}"
            );
        }
    }
}
