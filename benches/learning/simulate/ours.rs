//! This program's schedule: the real queue, with parts of it taken away to see what they bring.

use benchlore::domain::card::Card;
use benchlore::domain::memory::Weights;
use benchlore::domain::price::Prices;
use benchlore::domain::queue;
use benchlore::domain::queue::Aim;
use benchlore::domain::queue::Ask;
use benchlore::domain::queue::Today;
use benchlore::domain::units::count;

use crate::simulate::drill::Morning;
use crate::simulate::drill::Schedule;
use crate::simulate::shop;

/// Target recall of the shop: forecasts are made for it, and it bars no card.
const TARGET: f64 = 0.9;

/// The program's own schedule.
pub(crate) struct Ours {
    /// What the day aims at.
    pub(crate) aim: Aim,
    /// The parameters are fitted to the person.
    pub(crate) fitted: bool,
    /// Job shares enter; without them every card weighs the same.
    pub(crate) by_share: bool,
    /// Tables of the weights last seen; none at first.
    pub(crate) prices: Option<(Weights, Prices)>,
}

impl Ours {
    /// Everything in place.
    pub(crate) fn new(aim: Aim) -> Self {
        Self {
            aim,
            fitted: true,
            by_share: true,
            prices: None,
        }
    }
}

impl Schedule for Ours {
    fn asks(&mut self, morning: &Morning<'_>) -> Vec<Ask> {
        let weights = &morning.history.weights;
        if self.prices.as_ref().is_none_or(|(of, _)| of != weights) {
            let habits = morning.history.manner.habits();
            self.prices = Some((weights.clone(), Prices::with(weights, &habits)));
        }
        let (_, prices) = self.prices.as_ref().expect("made above");
        let cards: Vec<&Card> = morning.shop.cards[..morning.there].iter().collect();
        let even = vec![1.0 / count(morning.there); morning.there];
        queue::plan(&Today {
            cards: &cards,
            history: morning.history,
            circuits: &morning.shop.circuits,
            shares: if self.by_share {
                morning.shop.shares_on(morning.day)
            } else {
                &even
            },
            costs: &vec![1.0; morning.there],
            prices,
            aim: self.aim,
            first: None,
            day: shop::date(morning.day),
            target: TARGET,
            minutes: morning.minutes,
            seed: morning.seed,
            only_spot_checks: None,
        })
    }

    fn is_fitted(&self) -> bool {
        self.fitted
    }
}
