//! The upper mark: true chance of recall, true job shares and the person's true seconds, asked greedily
//! by the same price index.
//!
//! The index knows memory as a stability; the oracle's is the one at which the model, after the true
//! number of days, would give the true chance of recall. It is no bound: the index of a person who does
//! not follow the model is not theirs.

use benchlore::domain::memory;
use benchlore::domain::memory::Memory;
use benchlore::domain::price::Prices;
use benchlore::domain::queue::Ask;
use benchlore::domain::units::count;

use crate::simulate::drill::Morning;
use crate::simulate::drill::Schedule;
use crate::simulate::published::asks;

/// Most cards of a sitting.
const MOST: usize = 200;

/// The oracle, with the tables of the weights last seen.
#[derive(Default)]
pub(crate) struct Oracle {
    prices: Option<(memory::Weights, Prices)>,
}

impl Schedule for Oracle {
    fn asks(&mut self, morning: &Morning<'_>) -> Vec<Ask> {
        let weights = &morning.history.weights;
        if self.prices.as_ref().is_none_or(|(of, _)| of != weights) {
            self.prices = Some((weights.clone(), Prices::new(weights)));
        }
        let (_, prices) = self.prices.as_ref().expect("made above");
        let worth = |card: usize| {
            let known = &morning.known[card];
            let recall = morning.truth.recall(card, count(morning.day));
            let index = known.memory.map_or(prices.unmet(), |memory| {
                let days = known.elapsed.max(1);
                let at_one = memory::interval_exact(weights, 1.0, recall.clamp(1e-6, 1.0 - 1e-6));
                let stability = f64::from(days) / at_one;
                prices.met(
                    Memory {
                        stability,
                        ..memory
                    },
                    days,
                )
            });
            morning.shop.truth[card] * index / morning.truth.right_seconds(card)
        };
        let mut order: Vec<(f64, usize)> = (0..morning.there).map(|i| (worth(i), i)).collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        asks(order.into_iter().take(MOST).map(|(_, card)| card))
    }

    fn is_fitted(&self) -> bool {
        true
    }
}
