//! Which cards a sitting is made of.
//!
//! Walks the one queue of met and new cards from the worthiest down until the seconds are out, after the
//! cards of a day to be ready by. Leaves out
//! how worth is reckoned (`order.rs`) and how the chosen ones stand (`arrange.rs`).

use std::collections::HashMap;
use std::collections::VecDeque;

use crate::domain::card::CardKind;
use crate::domain::card::Support;
use crate::domain::memory;
use crate::domain::queue::glance::Glance;
use crate::domain::queue::glance::Turn;
use crate::domain::queue::order::Pricing;
use crate::domain::queue::order::Ranked;
use crate::domain::queue::order::Standing;
use crate::domain::queue::today::Known;
use crate::domain::queue::today::Today;
use crate::domain::queue::waiting::Waiting;
use crate::domain::spread;
use crate::domain::spread::Load;

/// Bench rules among a day's new cards, while other new ones are left.
pub(crate) const NEW_RULES_A_DAY: usize = 3;
/// One rule after so many other new cards, less one.
pub(crate) const RULE_AFTER: usize = 3;
/// Share of the sitting's time for which spare cards stand behind it.
pub(crate) const SPARE: f64 = 0.3;

/// What a sitting is made of, the worthiest first.
#[derive(Debug, Default)]
pub(super) struct Chosen {
    /// Changed since the person learned them.
    pub(super) corrected: Vec<usize>,
    /// What fits the minutes.
    pub(super) fits: Vec<usize>,
    /// What would come next.
    pub(super) spare: Vec<usize>,
}

/// Chooses the cards of a sitting in which `spots` are asked anyway.
pub(super) fn choose(
    today: &Today<'_>,
    (known, glances): (&Known<'_>, &[Glance]),
    pricing: &Pricing<'_>,
    spots: &[usize],
) -> Chosen {
    let mut turns: Vec<Turn> = glances.iter().map(|glance| glance.turn).collect();
    for &drawn in spots {
        turns[drawn] = Turn::No;
    }
    let queue = Queue {
        today,
        known,
        glances,
        pricing,
        turns,
        waiting: Waiting::new(today, (known, glances)),
        paces: [false, true].map(|asks| today.history.manner.seconds(asks)),
    };
    let spent: f64 = spots.iter().map(|&card| queue.seconds(card)).sum();
    let mut sitting = Filling::new(&queue, spots, spent);
    for card in queue.corrected() {
        sitting.offer(card);
    }
    let corrected = std::mem::take(&mut sitting.chosen.fits);
    let offered = sitting.offer_first();
    let mut rules = queue.rules();
    rules.retain(|rule| !offered.contains(rule));
    let mut room = NEW_RULES_A_DAY.saturating_sub(queue.rules_met());
    let others = queue.has_others(&offered);
    let mut new = 0;
    let mut worth = queue.worth();
    for card in offered {
        worth[card] = 0.0;
    }
    let levels = Levels::new(&queue);
    let mut early = Vec::new();
    for card in Ranked::new(&worth) {
        if sitting.is_full() {
            break;
        }
        if !others {
            while let Some(&rule) = rules.front()
                && worth[card] <= queue.worth_of(rule)
            {
                rules.pop_front();
                sitting.offer(rule);
            }
        }
        if levels.is_early(card) {
            early.push(card);
            continue;
        }
        if queue.turns[card] == Turn::New {
            if queue.waiting.waits(card) {
                continue;
            }
            if new % RULE_AFTER == RULE_AFTER - 1 && 0 < room {
                if let Some(rule) = rules.pop_front() {
                    sitting.offer(rule);
                }
                room -= 1;
            }
            new += 1;
        }
        sitting.offer(card);
    }
    // Nothing else is new, or nothing else is worth asking.
    for card in early.into_iter().chain(rules) {
        sitting.offer(card);
    }
    sitting.offer_put_off();
    Chosen {
        corrected,
        ..sitting.chosen
    }
}

/// Every card as the queue sees it.
struct Queue<'a, 'k> {
    today: &'k Today<'a>,
    known: &'k Known<'k>,
    glances: &'k [Glance],
    pricing: &'k Pricing<'k>,
    /// How each card may come up beside the spot checks drawn.
    turns: Vec<Turn>,
    waiting: Waiting<'a, 'k>,
    /// Seconds of a right answer: without a question for the circuit, and with one.
    paces: [f64; 2],
}

impl Queue<'_, '_> {
    fn standing(&self, card: usize) -> Standing {
        let glance = &self.glances[card];
        Standing {
            weight: self.today.shares[card] * self.today.costs[card] * trust(glance.support),
            seconds: self.paces[usize::from(glance.asks_circuit)],
            memory: glance.memory,
            elapsed: glance.elapsed,
        }
    }

    fn seconds(&self, card: usize) -> f64 {
        self.pricing.seconds(&self.standing(card))
    }

    fn worth_of(&self, card: usize) -> f64 {
        let standing = self.standing(card);
        match self.turns[card] {
            // Its first meeting is paid for: what is left is worth the whole of it.
            Turn::Open => self.pricing.worth(&standing) / self.pricing.new_factor,
            _ => self.pricing.worth(&standing),
        }
    }

    /// Returns what asking each card buys; 0 for those that the queue does not hold: not today, or taken
    /// in otherwise.
    fn worth(&self) -> Vec<f64> {
        (0..self.turns.len())
            .map(|card| match self.turns[card] {
                Turn::No | Turn::Corrected => 0.0,
                Turn::New if self.is_rule(card) => 0.0,
                _ => self.worth_of(card),
            })
            .collect()
    }

    fn is_rule(&self, card: usize) -> bool {
        self.glances[card].kind == CardKind::Rule
    }

    /// Returns the cards that were corrected, the commonest first.
    fn corrected(&self) -> Vec<usize> {
        let mut corrected: Vec<usize> = (0..self.turns.len())
            .filter(|card| self.turns[*card] == Turn::Corrected)
            .collect();
        corrected.sort_by(|a, b| self.worth_of(*b).total_cmp(&self.worth_of(*a)));
        corrected
    }

    /// Returns the bench rules not met yet, the worthiest first, of equal ones those about a hazard.
    fn rules(&self) -> VecDeque<usize> {
        let mut rules: Vec<usize> = (0..self.turns.len())
            .filter(|card| self.turns[*card] == Turn::New && self.is_rule(*card))
            .collect();
        let hazard = |card: usize| !self.today.cards[card].cautions.is_empty();
        rules.sort_by(|&a, &b| {
            let (x, y) = (self.worth_of(a), self.worth_of(b));
            y.total_cmp(&x).then_with(|| hazard(b).cmp(&hazard(a)))
        });
        rules.into()
    }

    fn rules_met(&self) -> usize {
        let met = |card: &usize| self.known[*card].and_then(|k| k.met_on) == Some(self.today.day);
        let rules = (0..self.turns.len()).filter(|card| self.is_rule(*card));
        rules.filter(met).count()
    }

    /// Tells whether a new card that is no rule, and none of `offered`, could be met today.
    fn has_others(&self, offered: &[usize]) -> bool {
        (0..self.turns.len()).any(|card| {
            self.turns[card] == Turn::New
                && !self.is_rule(card)
                && !self.waiting.waits(card)
                && !offered.contains(&card)
        })
    }
}

/// The days to which forecasts are moved, to level the load.
struct Levels<'a, 'k, 'q> {
    queue: &'q Queue<'a, 'k>,
    load: Load,
}

impl<'a, 'k, 'q> Levels<'a, 'k, 'q> {
    fn new(queue: &'q Queue<'a, 'k>) -> Self {
        let today = queue.today;
        let of_one_day = memory::interval_exact(&today.history.weights, 1.0, today.target);
        let mut load = Load::new(today.day);
        for glance in queue.glances {
            if let Some(memory) = glance.memory {
                let days = memory::whole_days(memory.stability * of_one_day);
                load.add_on(i64::from(days) - i64::from(glance.elapsed));
            }
        }
        Self { queue, load }
    }

    /// Tells whether a card stands within the days on which its recall is within a point of the target,
    /// before the one that it was moved to.
    fn is_early(&self, card: usize) -> bool {
        let today = self.queue.today;
        let Glance {
            memory, elapsed, ..
        } = self.queue.glances[card];
        let (Some(memory), Some(known)) = (memory, self.queue.known[card]) else {
            return false;
        };
        let weights = &today.history.weights;
        spread::window(weights, memory.stability, today.target)
            .filter(|(first, last)| (*first..*last).contains(&elapsed))
            .and_then(|_| {
                let id = &today.cards[card].id;
                let history = today.history;
                history.next_days_of(id, known, today.target, &self.load)
            })
            .is_some_and(|moved| elapsed < moved)
    }
}

/// Returns what a card's answer is trusted against that of a well supported one.
///
/// After Laplace's rule of succession: one job of one speaks with 2 in 3 for its fix, two of two with 3
/// in 4, six of six with 7 in 8.
pub(crate) fn trust(support: Support) -> f64 {
    match support {
        Support::Single => 0.75,
        Support::Thin => 0.85,
        Support::Supported => 1.0,
    }
}

/// A sitting being filled.
struct Filling<'a, 'k, 'q> {
    queue: &'q Queue<'a, 'k>,
    chosen: Chosen,
    /// Seconds left of the minutes, and of those that spare cards are for.
    left: f64,
    spare: f64,
    /// Nothing was asked yet.
    empty: bool,
    /// Fixes asked today, and by which card.
    fixes: HashMap<String, usize>,
    /// Put off, since another card of their fix is asked today.
    put_off: Vec<usize>,
}

impl<'a, 'k, 'q> Filling<'a, 'k, 'q> {
    fn new(queue: &'q Queue<'a, 'k>, spots: &[usize], spent: f64) -> Self {
        let today = queue.today;
        let seen = (0..today.cards.len()).filter(|card| queue.glances[*card].seen_today);
        Self {
            queue,
            chosen: Chosen::default(),
            left: today.minutes * 60.0 - spent,
            spare: today.minutes * 60.0 * SPARE,
            empty: spots.is_empty(),
            fixes: seen
                .chain(spots.iter().copied())
                .map(|card| (today.cards[card].fix_key(), card))
                .collect(),
            put_off: Vec::new(),
        }
    }

    fn is_full(&self) -> bool {
        self.left <= 0.0 && self.spare <= 0.0
    }

    /// Takes a card in where there is room for it; puts it off where its fix is asked already.
    fn offer(&mut self, card: usize) {
        if self.is_full() {
            return;
        }
        let key = self.queue.today.cards[card].fix_key();
        match self.fixes.get(&key) {
            Some(other) if *other != card => self.put_off.push(card),
            _ => {
                self.fixes.insert(key, card);
                self.take(card);
            }
        }
    }

    /// Takes in the cards that go before the order of the queue, each that still fits its seconds; returns
    /// those that were offered. Where nothing else is asked, the first is however long it takes.
    fn offer_first(&mut self) -> Vec<usize> {
        let mut offered = Vec::new();
        let Some(first) = self.queue.today.first else {
            return offered;
        };
        let mut room = first.seconds.min(self.left);
        for card in Ranked::new(first.rates) {
            let may = match self.queue.turns[card] {
                Turn::Fading | Turn::Open => true,
                Turn::New => !self.queue.waiting.waits(card),
                Turn::No | Turn::Corrected => false,
            };
            let seconds = self.queue.seconds(card);
            if !may || !self.empty && room < seconds {
                continue;
            }
            let asked = self.chosen.fits.len();
            self.offer(card);
            if asked < self.chosen.fits.len() {
                room -= seconds;
            }
            offered.push(card);
        }
        offered
    }

    /// However slow the person or short the sitting, one card is always asked. With the first that does
    /// not fit the minutes are out; it is a spare one, and so is all after it.
    fn take(&mut self, card: usize) {
        let seconds = self.queue.seconds(card);
        if self.empty || (0.0 < self.left && seconds <= self.left) {
            self.left -= seconds;
            self.chosen.fits.push(card);
        } else if seconds <= self.spare {
            self.left = 0.0;
            self.spare -= seconds;
            self.chosen.spare.push(card);
        } else {
            (self.left, self.spare) = (0.0, 0.0);
        }
        self.empty = false;
    }

    /// Takes in what was put off, where nothing else is left.
    fn offer_put_off(&mut self) {
        for card in std::mem::take(&mut self.put_off) {
            if !self.is_full() {
                self.take(card);
            }
        }
    }
}
