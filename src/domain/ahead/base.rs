//! What all runs of a person share: cards in the order of the daily queue, on plain numbers.
//!
//! The order is that of `domain/queue/order.rs`, (weight x price index) / seconds, taken in logarithms:
//! where a memory lies in the tables is looked up once a review and only read off on every day after it.

use crate::domain::ahead::person::CardAhead;
use crate::domain::ahead::person::Person;
use crate::domain::ahead::run::number;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory_lanes::Rules;
use crate::domain::price::Prices;
use crate::domain::queue::order::KNOWN;
use crate::domain::spread::Spans;

/// What all runs share.
pub(super) struct Base<'a> {
    pub(super) person: &'a Person,
    pub(super) prices: &'a Prices,
    /// Logarithm of weight over seconds of each card.
    pub(super) weights: Vec<f64>,
    /// Logarithm of the index of a card without memory.
    pub(super) unmet: f64,
    /// When recall falls to the target, and to a point of it.
    pub(super) spans: Spans,
    /// Days for each day of stability until a card is worth asking again.
    pub(super) known_for: f64,
    /// Shortest time that an asking takes, in seconds.
    pub(super) shortest: f64,
    /// The parameters, as many cards at once are reckoned with them.
    pub(super) memory: Rules,
    /// Seconds that a right answer to each card takes.
    pub(super) seconds: Vec<f64>,
    /// Fix of each card, as a place among them all.
    pub(super) fixes: Vec<u32>,
    /// Cards not met yet that are no rules, whose gate is open, greatest worth first.
    pub(super) fresh: Vec<u32>,
    /// Bench rules not met yet, greatest worth first.
    pub(super) rules: Vec<u32>,
    /// Cards not met yet behind each gate that is shut.
    pub(super) behind: Vec<Vec<u32>>,
    /// Families.
    pub(super) families: usize,
}

impl<'a> Base<'a> {
    pub(super) fn new(person: &'a Person, prices: &'a Prices) -> Self {
        let cards = &person.cards;
        let weights: Vec<f64> = cards
            .iter()
            .map(|card| libm::log(card.share * card.factor / card.seconds.max(1.0)))
            .collect();
        let unmet = libm::log(prices.unmet());
        let gates = gates(cards);
        let shut = |card: &CardAhead| is_shut(card, &gates);
        let unseen = || (0u32..).zip(cards).filter(|(_, card)| !card.met);
        let mut behind = vec![Vec::new(); gates.len()];
        for (at, card) in unseen().filter(|(_, card)| shut(card)) {
            if let Some(gate) = card.gate {
                behind[gate as usize].push(at);
            }
        }
        let mut fresh: Vec<u32> = unseen()
            .filter(|(_, card)| !shut(card))
            .map(|(at, _)| at)
            .collect();
        fresh.sort_by(|a, b| weights[*b as usize].total_cmp(&weights[*a as usize]));
        let (rules, fresh) = fresh.iter().partition(|at| cards[**at as usize].rule);
        let seconds = cards.iter().map(|card| card.seconds);
        Self {
            shortest: seconds.fold(f64::INFINITY, f64::min).max(1.0),
            spans: Spans::new(&person.weights, person.target),
            known_for: memory::interval_exact(&person.weights, 1.0, KNOWN),
            families: person.families(),
            person,
            prices,
            weights,
            unmet,
            memory: Rules::new(&person.weights),
            fixes: fixes(cards),
            seconds: cards.iter().map(|card| card.seconds).collect(),
            fresh,
            rules,
            behind,
        }
    }
}

impl Base<'_> {
    /// Returns for how many days after a review a card with this memory is known too well to be asked.
    pub(super) fn known(&self, memory: Memory) -> u32 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "days of at most 36,500 of stability"
        )]
        let days = (memory.stability * self.known_for) as u32;
        days
    }
}

fn is_shut(card: &CardAhead, gates: &[bool]) -> bool {
    !card.met && card.gate.is_some_and(|gate| !gates[gate as usize])
}

/// Tells of each card whether it waits for another to be met first.
pub(super) fn shut(cards: &[CardAhead]) -> Vec<bool> {
    let gates = gates(cards);
    cards.iter().map(|card| is_shut(card, &gates)).collect()
}

/// Tells of each gate whether a card that opens it was met.
fn gates(cards: &[CardAhead]) -> Vec<bool> {
    let named = cards
        .iter()
        .flat_map(|card| card.opens.iter().copied().chain(card.gate));
    let mut open = vec![false; named.max().map_or(0, |last| last as usize + 1)];
    let met = cards.iter().filter(|card| card.met);
    met.flat_map(|card| &card.opens)
        .for_each(|gate| open[*gate as usize] = true);
    open
}

/// Returns the place of each card's fix among all fixes in their order.
fn fixes(cards: &[CardAhead]) -> Vec<u32> {
    let mut all: Vec<u32> = cards.iter().map(|card| card.fix).collect();
    all.sort_unstable();
    all.dedup();
    let place = |card: &CardAhead| all.partition_point(|fix| *fix < card.fix);
    cards.iter().map(|card| number(place(card))).collect()
}
