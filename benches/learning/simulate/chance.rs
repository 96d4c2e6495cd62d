//! Chance of the simulation: streams that a seed names, and single draws that an event names.
//!
//! A draw that is named by (person, card, how manieth asking) is the same under every policy, so that
//! policies are compared on the same luck. The mixing function is `SplitMix64` (Steele, Lea, Flood,
//! *Fast splittable pseudorandom number generators*, OOPSLA 2014; constants from memory).

/// Mixes `seed` with the words of a name into 64 bits.
pub(crate) fn mixed(seed: u64, name: &[u64]) -> u64 {
    name.iter().fold(finish(seed), |mixed, word| {
        finish(mixed ^ word.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    })
}

/// Returns the draw from 0 (included) to 1 (not included) that a name stands for.
pub(crate) fn unit(seed: u64, name: &[u64]) -> f64 {
    to_unit(mixed(seed, name))
}

fn finish(word: u64) -> u64 {
    let mut z = word.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[expect(clippy::cast_precision_loss, reason = "53 bits fit a float")]
fn to_unit(word: u64) -> f64 {
    (word >> 11) as f64 / 9_007_199_254_740_992.0
}

/// A stream of draws.
#[derive(Clone, Debug)]
pub(crate) struct Chance {
    state: u64,
}

impl Chance {
    /// Starts the stream that a name stands for.
    pub(crate) fn new(seed: u64, name: &[u64]) -> Self {
        Self {
            state: mixed(seed, name),
        }
    }

    /// Draws from 0 (included) to 1 (not included).
    pub(crate) fn unit(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        to_unit(finish(self.state))
    }

    /// Draws evenly from `low` to `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Draws a whole number below `n` (at least 1).
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a small count"
    )]
    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }

    /// Draws from the normal distribution.
    pub(crate) fn normal(&mut self, mean: f64, deviation: f64) -> f64 {
        let (u, v) = (1.0 - self.unit(), self.unit());
        let size = libm::sqrt(-2.0 * libm::log(u));
        mean + deviation * size * libm::cos(std::f64::consts::TAU * v)
    }

    /// Draws a value whose logarithm is normal, around the middle value `median`.
    pub(crate) fn around(&mut self, median: f64, deviation: f64) -> f64 {
        median * libm::exp(self.normal(0.0, deviation))
    }

    /// Puts `list` in a drawn order.
    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            let j = self.below(i + 1);
            list.swap(i, j);
        }
    }
}
