//! A memory of traces that fade on many time scales.
//!
//! Trace `i` fades as `e^(-t / T_i)`, `T_i = T_0 q^i`. The strength down to scale `i` is the weighted
//! mean of the traces up to it, `s_i = sum w_j x_j / sum w_j` over `j <= i`, `w_j = x^j`. An asking adds
//! `e (1 - s_i)` to trace `i`: what the faster scales still hold is not laid down again, so that
//! slower scales learn when the faster have faded. Chance of recall: the strength over all scales.
//!
//! Source: Mozer, Pashler, Cepeda, Lindsey, Vul, *Predicting the optimal spacing of study: a
//! multiscale context model of memory*, Advances in Neural Information Processing Systems 22 (2009),
//! 1321-1329; from memory, unchecked. Ours: 14 scales, every constant, and cards that differ.

use benchlore::domain::units;

use crate::simulate::chance::Chance;
use crate::simulate::minds::Mind;

const SCALES: usize = 14;

/// Someone of this kind.
pub(crate) struct Traces {
    fades: [f64; SCALES],
    weights: [f64; SCALES],
    recalled: f64,
    missed: f64,
    ease: Vec<f64>,
    cards: Vec<Option<Trace>>,
}

#[derive(Clone, Copy)]
struct Trace {
    at: f64,
    size: [f64; SCALES],
}

impl Traces {
    /// Draws a person who knows none of `n` cards.
    pub(crate) fn draw(chance: &mut Chance, n: usize) -> Self {
        let shortest = chance.around(0.03, 0.3);
        let ratio = chance.around(2.5, 0.06);
        let weight = chance.around(0.93, 0.03);
        let power = |base: f64| std::array::from_fn(|i| libm::pow(base, units::count(i)));
        let scales: [f64; SCALES] = power(ratio);
        let recalled = chance.between(0.9, 1.6);
        Self {
            fades: scales.map(|scale| -1.0 / (shortest * scale)),
            weights: power(weight),
            recalled,
            missed: recalled * chance.between(0.4, 0.7),
            ease: (0..n).map(|_| chance.around(1.0, 0.2)).collect(),
            cards: vec![None; n],
        }
    }

    fn faded(&self, trace: &Trace, at: f64) -> [f64; SCALES] {
        let since = (at - trace.at).max(0.0);
        std::array::from_fn(|i| trace.size[i] * libm::exp(self.fades[i] * since))
    }
}

impl Mind for Traces {
    fn recall(&self, card: usize, at: f64) -> f64 {
        let Some(trace) = &self.cards[card] else {
            return 0.0;
        };
        let size = self.faded(trace, at);
        let held: f64 = size.iter().zip(self.weights).map(|(x, w)| x * w).sum();
        (held / self.weights.iter().sum::<f64>()).min(1.0)
    }

    fn encode(&mut self, card: usize, at: f64, recalled: bool) {
        let mut size = self.cards[card]
            .as_ref()
            .map_or([0.0; SCALES], |trace| self.faded(trace, at));
        let step = self.ease[card] * if recalled { self.recalled } else { self.missed };
        let (mut held, mut weights) = (0.0, 0.0);
        for (x, weight) in size.iter_mut().zip(self.weights) {
            held += *x * weight;
            weights += weight;
            *x += step * (1.0 - held / weights).max(0.0);
        }
        self.cards[card] = Some(Trace { at, size });
    }
}
