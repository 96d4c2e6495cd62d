//! An activation model of spacing.
//!
//! Activation of a card asked `n` times: `m = ln(sum of w_i t_i^(-d_i))`, with `t_i` the seconds since
//! asking `i`; the decay of each asking is set when it happens, `d_i = c e^m + a`, so that what is
//! asked while still fresh fades faster. Chance of recall: `1 / (1 + e^((tau - m) / s))`. The time
//! between two days counts `h` of the time within one.
//!
//! Source: Pavlik & Anderson, *Practice and forgetting effects on vocabulary memory: an
//! activation-based model of the spacing effect*, Cognitive Science 29 (2005), 559-586; equations and
//! the values `a` 0.177, `c` 0.217, `s` 0.255, `h` 0.025 from memory, unchecked. Ours: the threshold
//! `tau` is lower than theirs (-0.704), because a card is read with its explanation and not flashed
//! for seconds; cards differ; an asking that was missed weighs less; the spread between people.

use crate::simulate::chance::Chance;
use crate::simulate::minds::Mind;

const SECONDS_A_DAY: f64 = 86_400.0;

/// Someone of this kind.
pub(crate) struct Activation {
    intercept: f64,
    scale: f64,
    threshold: f64,
    noise: f64,
    between: f64,
    missed: f64,
    ease: Vec<f64>,
    askings: Vec<Vec<Asking>>,
}

struct Asking {
    clock: f64,
    weight: f64,
    decay: f64,
}

impl Activation {
    /// Draws a person who knows none of `n` cards.
    pub(crate) fn draw(chance: &mut Chance, n: usize) -> Self {
        Self {
            intercept: chance.around(0.177, 0.12),
            scale: chance.around(0.217, 0.2),
            threshold: chance.normal(-1.5, 0.15),
            noise: chance.around(0.255, 0.15),
            between: chance.around(0.025, 0.3),
            missed: chance.between(0.6, 1.0),
            ease: (0..n).map(|_| chance.normal(0.0, 0.25)).collect(),
            askings: (0..n).map(|_| Vec::new()).collect(),
        }
    }

    /// Seconds as this memory counts them.
    fn clock(&self, at: f64) -> f64 {
        let day = at.floor();
        SECONDS_A_DAY * (day * self.between + (at - day))
    }

    fn activation(&self, card: usize, clock: f64) -> f64 {
        let sum: f64 = self.askings[card]
            .iter()
            .map(|asking| {
                let since = (clock - asking.clock).max(1.0);
                asking.weight * libm::exp(-asking.decay * libm::log(since))
            })
            .sum();
        libm::log(sum)
    }
}

impl Mind for Activation {
    fn recall(&self, card: usize, at: f64) -> f64 {
        if self.askings[card].is_empty() {
            return 0.0;
        }
        let activation = self.activation(card, self.clock(at)) + self.ease[card];
        1.0 / (1.0 + libm::exp((self.threshold - activation) / self.noise))
    }

    fn encode(&mut self, card: usize, at: f64, recalled: bool) {
        let clock = self.clock(at);
        // With nothing before it `e^m` is 0.
        let before = libm::exp(self.activation(card, clock));
        self.askings[card].push(Asking {
            clock,
            weight: if recalled { 1.0 } else { self.missed },
            decay: self.scale * before + self.intercept,
        });
    }
}
