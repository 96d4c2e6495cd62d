//! The plan of one sitting.
//!
//! Every card in use stands in one queue: those met, by what asking them today buys, and those not met,
//! by what meeting them buys; see `order.rs`. The worthiest are taken until the person's minutes are
//! out. Nothing is "due": a card that is common and half forgotten comes before one that is rare and
//! quite forgotten, and whoever was away sees one sitting, never a pile. A few more stand behind as
//! spare ones, for a day on which everything goes faster.
//!
//! Where the person has a day to be ready by, the cards that its plan asks today go before the others,
//! in the plan's order (`ahead/goal.rs` reckons it), for as many minutes as the person gives it; what is
//! left of the sitting is the queue's, which may also ask cards of that day that its plan leaves alone.
//!
//! Outside the queue: cards that were corrected since the person learned them come first; four spot
//! checks ride along, drawn evenly, families with the fewest first; a card right today is not asked
//! again today.
//!
//! Bench rules have no jobs. Each weighs as much as a card of the archive does on the mean, and of a
//! day's new cards every fourth is a rule, three at most while other new cards are left, those about a
//! hazard first: they hold at every board, and nobody should have to wait for them until the archive is
//! through, nor meet nothing else. Two cards of one fix are not asked on one day while others are worth
//! asking: the first gives the second away.
//!
//! The limits (rules a day, spare cards) are common practice, no source.

use std::collections::HashMap;

use chrono::NaiveDate;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::history::CardHistory;
use crate::domain::history::History;
use crate::domain::price::Prices;
use crate::domain::queue::aim::Aim;
use crate::domain::queue::arrange;
use crate::domain::queue::choice;
use crate::domain::queue::glance;
use crate::domain::queue::order::Pricing;
use crate::domain::queue::spots;
use crate::domain::review::Mode;

/// Spot checks that ride along in a sitting.
pub const SPOT_CHECKS: usize = 4;
/// One card to ask.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// Index into the cards given.
    pub card: usize,
    /// Why it is asked.
    pub mode: Mode,
    /// First of a block of a family new to the person.
    pub opens_family: bool,
    /// Asked again after a miss in this sitting.
    pub again: bool,
    /// Beyond what is expected to fit: asked when time is left.
    pub spare: bool,
}

/// What the queue is made from.
#[derive(Clone, Copy, Debug)]
pub struct Today<'a> {
    /// Cards in use for this person (tagged ones already left out).
    pub cards: &'a [&'a Card],
    /// The person's practice so far.
    pub history: &'a History,
    /// Families and their look-alikes.
    pub circuits: &'a Circuits,
    /// Job share of each card, same order as `cards`.
    pub shares: &'a [f64],
    /// What a miss costs at each card against the mean, same order.
    pub costs: &'a [f64],
    /// What asking a card is worth, for this person's weights and habits.
    pub prices: &'a Prices,
    /// What the day aims at.
    pub aim: Aim,
    /// What a day to be ready by puts before the order of the queue.
    pub first: Option<First<'a>>,
    /// Bench day.
    pub day: NaiveDate,
    /// Target recall: what forecasts are made for; it bars no card.
    pub target: f64,
    /// Minutes for the sitting.
    pub minutes: f64,
    /// Seed of the sitting's chance.
    pub seed: u64,
    /// Ask this many spot checks and nothing else.
    pub only_spot_checks: Option<usize>,
}

/// Cards that go before the order of the queue: those of a day to be ready by.
#[derive(Clone, Copy, Debug)]
pub struct First<'a> {
    /// What asking each card now is worth, same order as the cards; 0 for those that the queue may have.
    pub rates: &'a [f64],
    /// Most seconds of the sitting that go to them.
    pub seconds: f64,
}

/// What the person did with each card of today, in their order.
pub(super) type Known<'a> = [Option<&'a CardHistory>];

/// Returns the asks of one sitting, in order.
pub fn plan(today: &Today<'_>) -> Vec<Ask> {
    let mut chance = ChaCha12Rng::seed_from_u64(today.seed);
    let wanted = today.only_spot_checks.unwrap_or(SPOT_CHECKS);
    let known = today.history.of_cards(today.cards);
    let glances = glance::glances(today, &known);
    let spots = spots::draw(today, &glances, wanted, &mut chance);
    if today.only_spot_checks.is_some() {
        let checks = spots.into_iter();
        return checks.map(|card| ask(card, Mode::SpotCheck)).collect();
    }
    let manner = &today.history.manner;
    let pricing = Pricing {
        weights: &today.history.weights,
        prices: today.prices,
        habits: &manner.habits(),
        new_factor: today.aim.new_factor(manner),
    };
    let choice = choice::choose(today, (&known, &glances), &pricing, &spots);
    // What someone learned otherwise is put right before anything else is asked.
    let mut asks: Vec<Ask> = choice
        .corrected
        .iter()
        .map(|i| ask(*i, Mode::Drill))
        .collect();
    asks.extend(arrange::arrange(today, &glances, &choice.fits, &spots));
    let spare = choice.spare.into_iter().map(|card| Ask {
        spare: true,
        ..ask(card, Mode::Drill)
    });
    asks.extend(spare);
    arrange::keep_fixes_apart(today, asks)
}

/// Returns the asks of a refresh before a board: the cards called `ids`, in that order.
pub fn exactly(cards: &[&Card], ids: &[String]) -> Vec<Ask> {
    let mut places: HashMap<&str, usize> = HashMap::new();
    for (at, card) in cards.iter().enumerate() {
        places.entry(&card.id).or_insert(at);
    }
    ids.iter()
        .filter_map(|id| places.get(id.as_str()))
        .map(|card| ask(*card, Mode::Brief))
        .collect()
}

pub(super) fn ask(card: usize, mode: Mode) -> Ask {
    Ask {
        card,
        mode,
        opens_family: false,
        again: false,
        spare: false,
    }
}
