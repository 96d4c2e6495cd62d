//! Storage strength and retrieval strength, with look-alikes in each other's way.
//!
//! Storage `F` (days) never falls. Retrieval fades as a power of time, `r = (1 + t / F)^(-b)`. An asking
//! brings `r` back to 1 and adds to `F`, the more the harder it was: `F (1 + A (1 - r)^e F^(-g))` when
//! recalled, a small fixed part when not. Each asking of a look-alike since then leaves interference
//! `L`, the less the better the two are told apart, which comes with askings of the card:
//! `recall = r e^(-L)`.
//!
//! Sources: Bjork & Bjork, *A new theory of disuse and an old theory of stimulus fluctuation* (1992),
//! for the two strengths and that hard retrievals store more; Wixted & Ebbesen, *On the form of
//! forgetting*, Psychological Science 2 (1991), 409-415, for the power law; Tempel & Frings, Psychon.
//! Bull. Rev. 25 (2018), 636-642, for practice that sets back what is alike. All from memory; none
//! prints these formulas, which are ours, with every constant.

use crate::simulate::chance::Chance;
use crate::simulate::minds::Mind;

/// Someone of this kind.
pub(crate) struct Storage {
    first: f64,
    gain: f64,
    harder: f64,
    slower: f64,
    missed: f64,
    decay: f64,
    interference: f64,
    ease: Vec<f64>,
    look_alikes: Vec<Vec<usize>>,
    cards: Vec<Option<Strength>>,
}

#[derive(Clone, Copy)]
struct Strength {
    at: f64,
    storage: f64,
    interference: f64,
    askings: f64,
}

impl Storage {
    /// Draws a person who knows none of the cards.
    pub(crate) fn draw(chance: &mut Chance, look_alikes: &[Vec<usize>]) -> Self {
        Self {
            first: chance.around(1.2, 0.3),
            gain: chance.around(6.0, 0.25),
            harder: chance.between(0.6, 0.9),
            slower: chance.between(0.08, 0.2),
            missed: chance.between(0.1, 0.3),
            decay: chance.around(0.35, 0.2),
            interference: chance.around(0.08, 0.4),
            ease: look_alikes
                .iter()
                .map(|_| chance.around(1.0, 0.35))
                .collect(),
            look_alikes: look_alikes.to_vec(),
            cards: vec![None; look_alikes.len()],
        }
    }

    fn retrieval(&self, strength: &Strength, at: f64) -> f64 {
        let since = (at - strength.at).max(0.0);
        libm::exp(-self.decay * libm::log1p(since / strength.storage))
    }
}

impl Mind for Storage {
    fn recall(&self, card: usize, at: f64) -> f64 {
        self.cards[card].map_or(0.0, |strength| {
            self.retrieval(&strength, at) * libm::exp(-strength.interference)
        })
    }

    fn encode(&mut self, card: usize, at: f64, recalled: bool) {
        let after = match self.cards[card] {
            None => Strength {
                at,
                storage: self.first * self.ease[card],
                interference: 0.0,
                askings: 1.0,
            },
            Some(before) => {
                let gone = 1.0 - self.retrieval(&before, at);
                let growth = if recalled {
                    let harder = libm::pow(gone, self.harder);
                    self.gain * self.ease[card] * harder * libm::pow(before.storage, -self.slower)
                } else {
                    self.missed
                };
                Strength {
                    at,
                    storage: before.storage * (1.0 + growth),
                    interference: 0.0,
                    askings: before.askings + 1.0,
                }
            }
        };
        self.cards[card] = Some(after);
        for &other in &self.look_alikes[card] {
            if let Some(other) = &mut self.cards[other] {
                other.interference += self.interference * 3.0 / (3.0 + other.askings);
            }
        }
    }
}
