//! One simulated sitting: which cards are asked, as the daily queue chooses them.
//!
//! The rules are those of `domain/queue/choice.rs`, on numbers: one order of met and new cards, bench
//! rules dealt in between, two cards of one fix not on one day while others are left, spare cards while
//! minutes are left. How the chosen ones are mixed within the sitting changes no memory here and is left
//! out; so is the bench's own clock: an asking takes what it is expected to take.

use crate::domain::ahead::chance::Draw;
use crate::domain::ahead::course::Terms;
use crate::domain::ahead::goal;
use crate::domain::ahead::outlook::Question;
use crate::domain::ahead::run::Expected;
use crate::domain::ahead::run::Walk;
use crate::domain::ahead::run::number;
use crate::domain::ahead::run::signed;
use crate::domain::queue::choice::NEW_RULES_A_DAY;
use crate::domain::queue::choice::RULE_AFTER;
use crate::domain::queue::choice::SPARE;
use crate::domain::queue::order::Ranked;

/// Cards looked at beyond those that the minutes can hold, for those that are put off.
const MORE: usize = 24;
/// Numbers of draws that spot checks may take in a day.
const SPOTS_A_DAY: u32 = 16;

impl Walk<'_> {
    pub(super) fn sit(&mut self, day: u32, question: &Question) {
        self.left = self.base.person.sittings.minutes * 60.0;
        self.run.sittings += 1;
        if self.run.first.len() < question.first {
            self.run.first.push(vec![0; self.base.families]);
        }
        self.open_gates();
        if let Some(plan) = &question.plan {
            self.spotted.clear();
            self.choose_as_planned(day, plan, question.days);
        } else {
            self.spot_checks(day);
            self.look(day);
            self.choose(day);
        }
        for nth in 0..self.chosen.len() {
            let (card, expected) = self.chosen[nth];
            self.ask(card, expected, day);
        }
    }

    /// Chooses today's cards beside these spot checks, of which none is asked; by a plan with its date,
    /// where one is given.
    #[cfg(test)]
    pub(super) fn chosen_beside(
        &mut self,
        spots: &[u32],
        plan: Option<(&[Vec<u32>], u32)>,
    ) -> std::collections::BTreeSet<u32> {
        let minutes = self.base.person.sittings.minutes * 60.0;
        let spent = spots
            .iter()
            .map(|card| self.expected(*card as usize, 0).seconds);
        self.left = minutes - spent.sum::<f64>();
        self.spotted = spots.to_vec();
        for card in spots {
            self.cards.right_on[*card as usize] = 0;
        }
        if let Some((plan, date)) = plan {
            self.choose_as_planned(0, plan, date);
        } else {
            self.look(0);
            self.choose(0);
        }
        self.chosen.iter().map(|(card, _)| *card).collect()
    }

    /// Chooses by a plan: what adds most recall on its date for each second if it is asked today, with
    /// the rest of its askings still to come, until the minutes are out.
    fn choose_as_planned(&mut self, day: u32, plan: &[Vec<u32>], date: u32) {
        let person = self.base.person;
        let terms = Terms {
            weights: &person.weights,
            answers: &person.answers,
            date,
        };
        let rates: Vec<f64> = (0u32..)
            .zip(plan)
            .map(|(card, days)| {
                let at = card as usize;
                if self.is_shut(at) || self.was_right(card, day) || self.spotted.contains(&card) {
                    return 0.0;
                }
                let stands = (self.cards.memory[at], self.cards.reviewed[at]);
                goal::today(&terms, stands, person.cards[at].seconds, (days, day))
            })
            .collect();
        let mut filling = self.filling();
        for card in Ranked::new(&rates) {
            let fits = self.expected(card, day).seconds <= filling.left;
            if filling.empty || fits {
                filling.offer(self, number(card), day);
            }
        }
        // What is put off stays so: the usual order has the rest of the minutes.
        self.chosen = filling.chosen;
    }

    /// Tells whether a card waits for another to be met first.
    fn is_shut(&self, at: usize) -> bool {
        let gate = self.base.person.cards[at].gate;
        // Whoever opens a gate lets all behind it go at once.
        !self.cards.met[at] && gate.is_some_and(|gate| !self.behind[gate as usize].is_empty())
    }

    /// Returns a sitting in which the spot checks are asked and nothing else yet.
    fn filling(&mut self) -> Filling {
        let cards = &self.base.person.cards;
        let mut chosen = std::mem::take(&mut self.chosen);
        chosen.clear();
        Filling {
            left: self.left,
            spare: self.base.person.sittings.minutes * 60.0 * SPARE,
            empty: self.spotted.is_empty(),
            chosen,
            fixes: self
                .spotted
                .iter()
                .map(|at| cards[*at as usize].fix)
                .collect(),
            put_off: Vec::new(),
        }
    }

    /// Gathers the met cards that may be asked, greatest worth first: as many as the minutes can hold.
    fn look(&mut self, day: u32) {
        let mut pool = std::mem::take(&mut self.pool);
        pool.clear();
        let base = self.base;
        let (today, stops) = (signed(day), base.prices.stops());
        for (at, course) in self.cards.courses.chunks_exact(stops).enumerate() {
            if !self.cards.met[at] || self.cards.right_on[at] == today {
                continue;
            }
            let elapsed = self.elapsed(at, day);
            // A card without memory is known for no day, and its course is that of one not met.
            if self.cards.known_for[at] < elapsed || self.cards.memory[at].is_none() {
                let (stop, part) = base.prices.stop(elapsed);
                let index = course[stop] * (1.0 - part) + course[stop + 1] * part;
                pool.push((base.weights[at] + index, number(at)));
            }
        }
        let greatest = |a: &(f64, u32), b: &(f64, u32)| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1));
        let most = whole(self.left * (1.0 + SPARE) / base.shortest) + MORE;
        if most < pool.len() {
            pool.select_nth_unstable_by(most, greatest);
            pool.truncate(most);
        }
        pool.sort_unstable_by(greatest);
        self.pool = pool;
    }

    /// Chooses cards, greatest worth first, until the minutes and those for spare cards are out.
    fn choose(&mut self, day: u32) {
        let base = self.base;
        let mut filling = self.filling();
        let factor = base.unmet + libm::log(base.person.aim.new_factor(&self.manner));
        let not_met = |at: &&u32| !self.cards.met[**at as usize];
        let mut met = self.pool.iter().peekable();
        let mut new = self.fresh.iter().filter(not_met).peekable();
        let mut rules = base.rules.iter().filter(not_met).peekable();
        let others = new.peek().is_some();
        let (mut room, mut nth) = (NEW_RULES_A_DAY, 0);
        let of_new = |at: &u32| base.weights[*at as usize] + factor;
        while !filling.is_full() {
            let (worth_met, worth_new) = (met.peek().map(|m| m.0), new.peek().map(|at| of_new(at)));
            let Some(worth) = worth_met.into_iter().chain(worth_new).reduce(f64::max) else {
                break;
            };
            if !others && let Some(rule) = rules.next_if(|rule| worth <= of_new(rule)) {
                filling.offer(self, *rule, day);
                continue;
            }
            if worth_met.is_some_and(|met| worth_new.is_none_or(|new| new <= met)) {
                if let Some((_, card)) = met.next() {
                    filling.offer(self, *card, day);
                }
                continue;
            }
            if nth % RULE_AFTER == RULE_AFTER - 1 && 0 < room {
                if let Some(rule) = rules.next() {
                    filling.offer(self, *rule, day);
                }
                room -= 1;
            }
            nth += 1;
            if let Some(card) = new.next() {
                filling.offer(self, *card, day);
            }
        }
        for rule in rules {
            filling.offer(self, *rule, day);
        }
        self.chosen = filling.done(self, day);
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
        for _ in 0..self.base.person.spots {
            let open = |family: &usize| {
                let seen = |card: &u32| drawn.contains(card) || self.was_right(*card, day);
                !self.pools[*family].iter().all(seen)
            };
            let Some(fewest) = (0..self.pools.len())
                .filter(open)
                .map(|family| self.spots_of[family])
                .min()
            else {
                break;
            };
            let equal: Vec<usize> = (0..self.pools.len())
                .filter(|family| self.spots_of[*family] == fewest)
                .filter(open)
                .collect();
            turn += 1;
            let family = equal[self.chance.place(Draw::Spot, 0, turn, equal.len())];
            let may: Vec<u32> = self.pools[family]
                .iter()
                .copied()
                .filter(|card| !drawn.contains(card) && !self.was_right(*card, day))
                .collect();
            drawn.push(may[self.chance.place(Draw::Spot, 1, turn, may.len())]);
            self.spots_of[family] += 1;
        }
        for card in &drawn {
            self.ask(*card, self.expected(*card as usize, day), day);
        }
        self.spotted = drawn;
    }
}

/// A sitting being filled.
struct Filling {
    /// Seconds left of the minutes, and of those that spare cards are for.
    left: f64,
    spare: f64,
    /// Nothing was asked yet.
    empty: bool,
    chosen: Vec<(u32, Expected)>,
    /// Fixes asked today.
    fixes: Vec<u32>,
    /// Put off, since another card of their fix is asked today.
    put_off: Vec<u32>,
}

impl Filling {
    fn is_full(&self) -> bool {
        self.left <= 0.0 && self.spare <= 0.0
    }

    fn offer(&mut self, walk: &Walk<'_>, card: u32, day: u32) {
        if self.is_full() {
            return;
        }
        let fix = walk.base.person.cards[card as usize].fix;
        if self.fixes.contains(&fix) {
            self.put_off.push(card);
        } else {
            self.fixes.push(fix);
            self.take(walk, card, day);
        }
    }

    /// Takes in what was put off, where nothing else is left, and returns the cards chosen.
    fn done(mut self, walk: &Walk<'_>, day: u32) -> Vec<(u32, Expected)> {
        for card in std::mem::take(&mut self.put_off) {
            self.take(walk, card, day);
        }
        self.chosen
    }

    /// Takes a card in; the first in any case. With the first that does not fit the minutes are out, and
    /// what comes after it is spare.
    fn take(&mut self, walk: &Walk<'_>, card: u32, day: u32) {
        if self.is_full() {
            return;
        }
        let expected = walk.expected(card as usize, day);
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
