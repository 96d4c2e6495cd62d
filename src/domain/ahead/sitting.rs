//! One simulated sitting: which cards are asked, as the daily queue chooses them.
//!
//! The rules are those of `domain/queue/choice.rs`, on numbers: one order of met and new cards, bench
//! rules dealt in between, two cards of one fix not on one day while others are left, cards whose forecast
//! was moved to a later day last, spare cards while minutes are left. How the chosen ones are mixed within the sitting changes no memory here and is left
//! out; so is the bench's own clock: an asking takes what it is expected to take.

use crate::domain::ahead::base::Base;
use crate::domain::ahead::cards::signed;
use crate::domain::ahead::chance::Draw;
use crate::domain::ahead::course::Terms;
use crate::domain::ahead::goal;
use crate::domain::ahead::outlook::Followed;
use crate::domain::ahead::outlook::Question;
use crate::domain::ahead::run::Expected;
use crate::domain::ahead::run::Walk;
use crate::domain::ahead::run::number;
use crate::domain::queue::choice::NEW_RULES_A_DAY;
use crate::domain::queue::choice::RULE_AFTER;
use crate::domain::queue::choice::SPARE;
use crate::domain::queue::order::Ranked;

/// Cards looked at beyond those that the minutes can hold, for those that are put off.
const MORE: usize = 24;
/// Numbers of draws that spot checks may take in a day.
const SPOTS_A_DAY: u32 = 16;

impl<'a> Walk<'a> {
    pub(super) fn sit(&mut self, day: u32, question: &Question) {
        self.left = self.base.person.sittings.minutes * 60.0;
        self.run.sittings += 1;
        if self.run.first.len() < question.first {
            self.run.first.push(vec![0; self.base.families]);
        }
        self.open_gates();
        let unmet = self.cards.unmet;
        self.planned.clear();
        let plan = question.plan.as_ref();
        if plan.is_none_or(Followed::has_spot_checks) {
            self.spot_checks(day);
        } else {
            self.spotted.clear();
        }
        self.choose(day, plan.map(|plan| (plan, question.days)));
        for nth in 0..self.chosen.len() {
            let (card, expected) = self.chosen[nth];
            self.ask(card, expected, day);
        }
        self.cards.settle(self.base, day);
        if self.cards.unmet < unmet {
            let met = &self.cards.met;
            self.fresh.retain(|at| !met[*at as usize]);
            self.rules.retain(|at| !met[*at as usize]);
        }
    }

    /// Chooses today's cards beside these spot checks, of which none is asked; by a plan with its date,
    /// where one is given.
    #[cfg(test)]
    pub(super) fn chosen_beside(
        &mut self,
        spots: &[u32],
        plan: Option<(&Followed, u32)>,
    ) -> std::collections::BTreeSet<u32> {
        let minutes = self.base.person.sittings.minutes * 60.0;
        let expected = self.expected(spots, 0);
        self.left = minutes - expected.iter().map(|one| one.seconds).sum::<f64>();
        self.spotted = spots.to_vec();
        for card in spots {
            self.cards.keep_out(*card as usize, 0);
        }
        self.choose(0, plan);
        self.chosen.iter().map(|(card, _)| *card).collect()
    }

    /// Returns what is expected of asking these cards on `day`.
    fn expected(&mut self, cards: &[u32], day: u32) -> Vec<Expected> {
        let places = cards.iter().map(|card| *card as usize);
        self.recalls.of(self.base, &self.cards, places, day);
        let recalls = self.recalls.found.iter().zip(cards);
        recalls
            .map(|(recall, card)| {
                let at = *card as usize;
                let recall = self.cards.is_remembered(at).then_some(*recall);
                Expected::of(self.base, at, recall)
            })
            .collect()
    }

    /// Offers what adds most recall on the date of a plan for each second if it is asked today, with the
    /// rest of its askings still to come, while the minutes hold it.
    fn fill_as_planned(
        &mut self,
        filling: &mut Filling<'_>,
        day: u32,
        (plan, date): (&Followed, u32),
    ) {
        let person = self.base.person;
        let terms = Terms::of(person, date);
        let rates: Vec<f64> = (0u32..)
            .zip(&plan.days)
            .map(|(card, days)| {
                let Some(days) = days else {
                    return 0.0;
                };
                let at = card as usize;
                if self.is_shut(at) || self.cards.was_right(at, day) || self.spotted.contains(&card)
                {
                    return 0.0;
                }
                let stands = (self.cards.memory(at), self.cards.reviewed(at));
                goal::today(&terms, stands, person.cards[at].seconds, (days, day))
            })
            .collect();
        let ranked: Vec<u32> = Ranked::new(&rates).map(number).collect();
        let expected = self.expected(&ranked, day);
        let mut room = plan.seconds.min(filling.left);
        for (card, expected) in ranked.into_iter().zip(expected) {
            if filling.empty || expected.seconds <= room.min(filling.left) {
                let asked = filling.chosen.len();
                filling.offer(card, expected);
                if asked < filling.chosen.len() {
                    room -= expected.seconds;
                }
                self.planned.push(card);
            }
        }
    }

    /// Tells whether a card waits for another to be met first.
    fn is_shut(&self, at: usize) -> bool {
        let gate = self.base.person.cards[at].gate;
        // Whoever opens a gate lets all behind it go at once.
        !self.cards.met[at] && gate.is_some_and(|gate| !self.behind[gate as usize].is_empty())
    }

    /// Returns a sitting in which the spot checks are asked and nothing else yet.
    fn filling(&mut self, day: u32) -> Filling<'a> {
        let base = self.base;
        let today = signed(day);
        for card in &self.spotted {
            self.fix_on[base.fixes[*card as usize] as usize] = today;
        }
        let mut chosen = std::mem::take(&mut self.chosen);
        chosen.clear();
        Filling {
            base,
            today,
            left: self.left,
            spare: base.person.sittings.minutes * 60.0 * SPARE,
            empty: self.spotted.is_empty(),
            chosen,
            fix_on: std::mem::take(&mut self.fix_on),
            put_off: Vec::new(),
        }
    }

    /// Gathers the met cards that may be asked, greatest worth first: as many as the minutes can hold.
    fn look(&mut self, day: u32) {
        let base = self.base;
        self.pool.clear(base.person.cards.len());
        self.early.clear(base.person.cards.len());
        self.cards.awake(day, &mut self.awake);
        let planned = &self.planned;
        for &card in self.awake.iter().filter(|card| !planned.contains(card)) {
            let at = card as usize;
            let worth = base.weights[at] + self.cards.log_index(base, at, day);
            if self.cards.is_early(at, day) {
                self.early.push(at, worth);
            } else {
                self.pool.push(at, worth);
            }
        }
        let most = whole(self.left * (1.0 + SPARE) / base.shortest) + MORE;
        self.pool.sort(most);
        self.early.sort(most);
    }

    /// Chooses cards until the minutes and those for spare cards are out: those of a plan with its date,
    /// where there is one, then all others, greatest worth first.
    fn choose(&mut self, day: u32, plan: Option<(&Followed, u32)>) {
        let base = self.base;
        let mut filling = self.filling(day);
        if let Some(plan) = plan {
            self.fill_as_planned(&mut filling, day, plan);
        }
        self.look(day);
        self.recalls.of(base, &self.cards, self.pool.cards(), day);
        let dealt = self.fill(&mut filling);
        if !filling.is_full() {
            self.fill_up(&mut filling, dealt, day);
        }
        for (card, expected) in std::mem::take(&mut filling.put_off) {
            filling.take(card, expected);
        }
        self.chosen = filling.chosen;
        self.fix_on = filling.fix_on;
    }

    /// Returns the logarithm of what the index of a new card counts today.
    fn index_of_new(&self) -> f64 {
        self.base.unmet + libm::log(self.base.person.aim.new_factor(&self.manner))
    }

    /// Offers met and new cards in one order, and deals bench rules in between; returns how many rules.
    fn fill(&self, filling: &mut Filling<'_>) -> usize {
        let base = self.base;
        let factor = self.index_of_new();
        let of_new = |at: &u32| base.weights[*at as usize] + factor;
        let mut met = self.pool.cards().zip(&self.recalls.found).peekable();
        let mut new = self.not_planned(&self.fresh).peekable();
        let mut rules = self.not_planned(&self.rules).peekable();
        let others = new.peek().is_some();
        let (mut room, mut nth) = (NEW_RULES_A_DAY, 0);
        while !filling.is_full() {
            let worth_met = met.peek().map(|(at, _)| self.pool.worth(*at));
            let worth_new = new.peek().map(of_new);
            let Some(worth) = worth_met.into_iter().chain(worth_new).reduce(f64::max) else {
                break;
            };
            if !others && let Some(rule) = rules.next_if(|rule| worth <= of_new(rule)) {
                filling.offer_new(rule);
                continue;
            }
            if worth_met.is_some_and(|met| worth_new.is_none_or(|new| new <= met)) {
                if let Some((at, recall)) = met.next() {
                    let recall = self.cards.is_remembered(at).then_some(*recall);
                    filling.offer(number(at), Expected::of(base, at, recall));
                }
                continue;
            }
            if nth % RULE_AFTER == RULE_AFTER - 1 && 0 < room {
                if let Some(rule) = rules.next() {
                    filling.offer_new(rule);
                }
                room -= 1;
            }
            nth += 1;
            if let Some(card) = new.next() {
                filling.offer_new(card);
            }
        }
        self.not_planned(&self.rules).count() - rules.count()
    }

    /// Returns those of new cards that were not offered as planned.
    fn not_planned(&self, cards: &[u32]) -> impl Iterator<Item = u32> {
        let cards = cards.iter().copied();
        cards.filter(|card| !self.planned.contains(card))
    }

    /// Where all others are in: offers what let them go before it, and the rest of the rules.
    fn fill_up(&mut self, filling: &mut Filling<'_>, dealt: usize, day: u32) {
        let base = self.base;
        let factor = self.index_of_new();
        self.recalls.of(base, &self.cards, self.early.cards(), day);
        let mut rules = self.not_planned(&self.rules).skip(dealt).peekable();
        if self.not_planned(&self.fresh).next().is_none() {
            // Rules worth as much as any card that is left for last come before all of those.
            let worth = self.early.cards().map(|at| self.early.worth(at));
            let least = worth.reduce(f64::min).unwrap_or(f64::INFINITY);
            while let Some(rule) = rules.next_if(|at| least <= base.weights[*at as usize] + factor)
            {
                filling.offer_new(rule);
            }
        }
        for (at, recall) in self.early.cards().zip(&self.recalls.found) {
            filling.offer(number(at), Expected::of(base, at, Some(*recall)));
        }
        for rule in rules {
            filling.offer_new(rule);
        }
    }

    /// Lets the cards come up whose gate was opened the day before.
    fn open_gates(&mut self) {
        let weights = &self.base.weights;
        for gate in std::mem::take(&mut self.opening) {
            for card in std::mem::take(&mut self.behind[gate as usize]) {
                let worth = weights[card as usize];
                let place = self
                    .fresh
                    .partition_point(|other| worth <= weights[*other as usize]);
                self.fresh.insert(place, card);
            }
        }
    }

    /// Asks the spot checks: a family with the fewest first, then any of its cards.
    fn spot_checks(&mut self, day: u32) {
        let mut drawn = std::mem::take(&mut self.spotted);
        drawn.clear();
        let mut turn = day * SPOTS_A_DAY;
        let mut equal = Vec::with_capacity(self.pools.len());
        for _ in 0..self.base.person.spots {
            let open = |card: &&u32| {
                let seen = drawn.contains(*card) || self.cards.was_right(**card as usize, day);
                !seen
            };
            equal.clear();
            let mut fewest = usize::MAX;
            for (family, pool) in self.pools.iter().enumerate() {
                let asked = self.spots_of[family];
                if asked <= fewest && pool.iter().any(|card| open(&card)) {
                    if asked < fewest {
                        equal.clear();
                    }
                    fewest = asked;
                    equal.push(family);
                }
            }
            if equal.is_empty() {
                break;
            }
            turn += 1;
            let family = equal[self.chance.place(Draw::Spot, 0, turn, equal.len())];
            let may = self.pools[family].iter().filter(open);
            let nth = self.chance.place(Draw::Spot, 1, turn, may.clone().count());
            drawn.extend(may.clone().nth(nth));
            self.spots_of[family] += 1;
        }
        for (card, expected) in drawn.iter().zip(self.expected(&drawn, day)) {
            self.ask(*card, expected, day);
        }
        self.spotted = drawn;
    }
}

/// A sitting being filled.
struct Filling<'a> {
    base: &'a Base<'a>,
    today: i32,
    /// Seconds left of the minutes, and of those that spare cards are for.
    left: f64,
    spare: f64,
    /// Nothing was asked yet.
    empty: bool,
    chosen: Vec<(u32, Expected)>,
    /// Day on which a card of each fix was last asked.
    fix_on: Vec<i32>,
    /// Put off, since another card of their fix is asked today.
    put_off: Vec<(u32, Expected)>,
}

impl Filling<'_> {
    fn is_full(&self) -> bool {
        self.left <= 0.0 && self.spare <= 0.0
    }

    /// Offers a card that was never met.
    fn offer_new(&mut self, card: u32) {
        self.offer(card, Expected::of(self.base, card as usize, None));
    }

    fn offer(&mut self, card: u32, expected: Expected) {
        if self.is_full() {
            return;
        }
        let fix = self.base.fixes[card as usize] as usize;
        if self.fix_on[fix] == self.today {
            self.put_off.push((card, expected));
        } else {
            self.fix_on[fix] = self.today;
            self.take(card, expected);
        }
    }

    /// Takes a card in; the first in any case. With the first that does not fit the minutes are out, and
    /// what comes after it is spare.
    fn take(&mut self, card: u32, expected: Expected) {
        if self.is_full() {
            return;
        }
        let seconds = expected.seconds;
        if self.empty || (0.0 < self.left && seconds <= self.left) {
            self.left -= seconds;
        } else if seconds <= self.spare {
            self.left = 0.0;
            self.spare -= seconds;
        } else {
            (self.left, self.spare) = (0.0, 0.0);
            return;
        }
        self.empty = false;
        self.chosen.push((card, expected));
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "cards of one sitting, never below none"
)]
fn whole(cards: f64) -> usize {
    cards.max(0.0) as usize
}
