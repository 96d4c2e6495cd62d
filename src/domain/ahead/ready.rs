//! Ready by a date: which cards to ask on which days, so that mean recall on the date is the most the
//! minutes can buy.
//!
//! A plan gives every card a few askings on the grid of days. What a list of askings comes to is worked
//! out in `course.rs`; the plan is built by gain for each second:
//! 1. the asking that adds most mean recall for each second is laid down, until no day has room for one
//!    that adds anything;
//! 2. an asking may push others off a full day when it adds more than they did, and one may move to
//!    another day, until nothing of the kind adds anything.
//!
//! Every step raises the expected sum, so it ends. With few cards and days, where one asking more or
//! less fills a day, some lists are then drawn by lot and the rest laid down anew, and what is better is
//! kept. That it comes near the best there is, is checked
//! against every plan that can be made of a few cards and days (tests below). The days on which nobody
//! sits are in the room of a day: minutes times the chance that it is sat.

use std::collections::BinaryHeap;

use crate::domain::ahead::base;
use crate::domain::ahead::chance::Chance;
use crate::domain::ahead::chance::Draw;
use crate::domain::ahead::course::Comes;
use crate::domain::ahead::course::LAID;
use crate::domain::ahead::course::MOST;
use crate::domain::ahead::course::Terms;
use crate::domain::ahead::offer::Offer;
use crate::domain::ahead::person::CardAhead;
use crate::domain::ahead::person::Person;
use crate::domain::ahead::person::WEEK;
use crate::domain::units::count;

/// Least gain in recall that is worth a change of the plan.
const LEAST: f64 = 1e-4;
/// How often a plan of one card and one day is shaken up; larger ones as much less often.
const SHAKES: usize = 1000;
/// And at most this often.
const MOST_SHAKES: usize = 150;
/// How often a plan of one card and one day is gone over for changes; larger ones as much less often.
const ROUNDS: usize = 40_000;
/// And at most this often; it is done when nothing changed.
const MOST_ROUNDS: usize = 8;

/// Cards and the days on which to ask them.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The date, in days from today.
    pub date: u32,
    /// Of each card, the days on which it is asked, rising.
    pub days: Vec<Vec<u32>>,
    /// Expected mean recall on the date.
    pub recall: f64,
    /// Expected seconds of each day.
    pub seconds: Vec<f64>,
}

impl Plan {
    /// Returns the cards of each day.
    pub fn by_day(&self) -> Vec<Vec<u32>> {
        let mut by_day = vec![Vec::new(); self.date as usize];
        for (card, days) in (0u32..).zip(&self.days) {
            for day in days {
                by_day[*day as usize].push(card);
            }
        }
        by_day
    }
}

/// Returns the seconds that each day up to the date has room for: the minutes times the chance that the
/// day is sat, and half an asking more, so that whole askings come out right on the mean.
pub fn room(person: &Person, date: u32) -> Vec<f64> {
    let sittings = &person.sittings;
    let takes = person.cards.iter().map(|card| {
        let times = if card.met { 1.0 } else { person.answers.first };
        card.seconds * times
    });
    let half = takes.fold(0.0, |sum, t| sum + t) / count(person.cards.len().max(1)) / 2.0;
    (0..date as usize)
        .map(|day| {
            let sat = day == 0 && sittings.sat_today;
            let chance = sittings.chance[day % WEEK];
            let seconds = (sittings.minutes * 60.0).max(0.0);
            if sat || seconds <= 0.0 {
                0.0
            } else {
                seconds * chance + half
            }
        })
        .collect()
}

/// Returns the plan for all cards of `person` by the morning that is `date` days from today.
pub fn plan(person: &Person, date: u32) -> Plan {
    let room = room(person, date);
    within(person, date, &room)
}

/// Returns the plan with so many seconds of room on each day.
pub fn within(person: &Person, date: u32, room: &[f64]) -> Plan {
    let mut desk = Desk::new(person, date, room);
    desk.lay_down();
    desk.settle();
    let size = person.cards.len() * date as usize;
    desk.shake(SHAKES / size.max(1));
    desk.told()
}

/// A list of askings of one card, and what it comes to.
#[derive(Clone, Debug, Default)]
struct Laid {
    days: Vec<u32>,
    comes: Comes,
    /// What each asking adds: recall that is lost without it.
    adds: [f64; MOST],
}

struct Desk<'a> {
    cards: &'a [CardAhead],
    terms: Terms<'a>,
    room: Vec<f64>,
    used: Vec<f64>,
    /// Cards whose gate is shut today.
    shut: Vec<bool>,
    laid: Vec<Laid>,
}

impl<'a> Desk<'a> {
    fn new(person: &'a Person, date: u32, room: &[f64]) -> Self {
        let terms = Terms::of(person, date);
        let laid = person.cards.iter().map(|card| Laid {
            days: Vec::new(),
            comes: terms.comes(card, &[]),
            adds: [0.0; MOST],
        });
        Self {
            cards: &person.cards,
            terms,
            room: room.to_vec(),
            used: vec![0.0; room.len()],
            shut: base::shut(&person.cards),
            laid: laid.collect(),
        }
    }

    /// Returns the first day on which a card may be asked.
    fn from(&self, card: usize) -> u32 {
        // Right today, it is not asked again today; behind a gate that is shut it waits a day at least.
        u32::from(self.cards[card].seen_today || self.shut[card])
    }

    /// Returns the list of a card with one more asking on `day`; none where it has one there already or
    /// is full.
    fn with(&self, card: usize, day: u32) -> Option<Laid> {
        let before = &self.laid[card].days;
        let at = before.binary_search(&day).err()?;
        if before.len() == LAID || day < self.from(card) {
            return None;
        }
        let mut days = before.clone();
        days.insert(at, day);
        Some(self.list(card, days))
    }

    fn list(&self, card: usize, days: Vec<u32>) -> Laid {
        Laid {
            comes: self.terms.comes(&self.cards[card], &days),
            days,
            adds: [0.0; MOST],
        }
    }

    /// Tells whether a day has room for one more asking of a card, however it ends.
    fn has_room(&self, card: usize, day: u32) -> bool {
        let day = day as usize;
        self.used[day] + self.cards[card].seconds <= self.room[day] + 1e-6
    }

    fn without(&self, card: usize, day: u32) -> Laid {
        let days = self.laid[card].days.iter().copied();
        self.list(card, days.filter(|d| *d != day).collect())
    }

    /// Returns the days that would be over their room with a card's list changed, and by how much.
    fn over(&self, card: usize, laid: &Laid) -> Vec<(usize, f64)> {
        let before = spread(&self.laid[card]);
        let after = spread(laid);
        let mut over = Vec::new();
        for (day, seconds) in after {
            let was = before.iter().find(|(d, _)| *d == day).map_or(0.0, |b| b.1);
            let more = self.used[day] - was + seconds - self.room[day];
            if 1e-6 < more {
                over.push((day, more));
            }
        }
        over
    }

    fn put(&mut self, card: usize, laid: Laid) {
        for (day, seconds) in spread(&self.laid[card]) {
            self.used[day] -= seconds;
        }
        for (day, seconds) in spread(&laid) {
            self.used[day] += seconds;
        }
        self.laid[card] = laid;
        for nth in 0..self.laid[card].days.len() {
            let day = self.laid[card].days[nth];
            let lost = self.laid[card].comes.recall - self.without(card, day).comes.recall;
            self.laid[card].adds[nth] = lost;
        }
    }

    fn offer(&self, card: usize) -> Option<Offer<Laid>> {
        let days = self.from(card)..self.terms.date;
        let before = &self.laid[card];
        let time = |laid: &Laid| laid.comes.seconds.iter().sum::<f64>();
        days.filter(|day| self.has_room(card, *day))
            .filter_map(|day| self.with(card, day))
            .filter(|laid| self.over(card, laid).is_empty())
            .filter_map(|laid| {
                let gain = laid.comes.recall - before.comes.recall;
                let rate = gain / (time(&laid) - time(before)).max(1.0);
                (LEAST < gain).then_some(Offer { rate, card, laid })
            })
            .max()
    }

    /// Lays down askings, the greatest gain for each second first, while a day has room.
    fn lay_down(&mut self) {
        let mut offers: BinaryHeap<Offer<Laid>> = (0..self.cards.len())
            .filter_map(|card| self.offer(card))
            .collect();
        while let Some(offer) = offers.pop() {
            let card = offer.card;
            // It has one asking more than the card had when it was worked out.
            let fresh = offer.laid.days.len() == self.laid[card].days.len() + 1;
            if fresh && self.over(card, &offer.laid).is_empty() {
                self.put(card, offer.laid);
            }
            offers.extend(self.offer(card));
        }
    }

    /// Goes over the plan until nothing more can be gained.
    fn settle(&mut self) {
        let size = self.cards.len() * self.room.len();
        for _ in 0..(ROUNDS / size.max(1)).clamp(1, MOST_ROUNDS) {
            if !self.go_over() {
                break;
            }
        }
    }

    /// Draws the lists of a few cards by lot, lays down the rest anew, and keeps what is better.
    fn shake(&mut self, times: usize) {
        let chance = Chance::of_run(0, 0);
        let sum = |laid: &[Laid]| laid.iter().map(|l| l.comes.recall).sum::<f64>();
        for turn in (0u32..).take(times.min(MOST_SHAKES)) {
            let (laid, used) = (self.laid.clone(), self.used.clone());
            for lot in 0..2 + turn % 3 {
                let card = chance.place(Draw::Again, lot, turn, self.cards.len());
                let askings = chance.place(Draw::Answer, lot, turn, 4);
                let of_lot = (0u32..).take(askings).map(|nth| {
                    let day = chance.draw(Draw::Spot, lot * 8 + nth, turn);
                    nth_day(day, self.from(card), self.terms.date)
                });
                let mut days: Vec<u32> = of_lot.collect();
                days.sort_unstable();
                days.dedup();
                let empty = self.list(card, Vec::new());
                self.put(card, empty);
                let drawn = self.list(card, days);
                if self.over(card, &drawn).is_empty() {
                    self.put(card, drawn);
                }
            }
            self.lay_down();
            self.settle();
            if sum(&self.laid) <= sum(&laid) + LEAST {
                (self.laid, self.used) = (laid, used);
            }
        }
    }

    /// Goes over all cards once: moves, and askings that push others away; tells whether any added
    /// recall.
    fn go_over(&mut self) -> bool {
        let mut changed = false;
        for card in 0..self.cards.len() {
            for day in self.from(card)..self.terms.date {
                changed |= self.push_in(card, day);
            }
            for day in self.laid[card].days.clone() {
                changed |= self.move_away(card, day);
            }
        }
        self.lay_down();
        changed
    }

    /// Asks a card on `day` where that adds more than what it pushes off the days that get too full.
    fn push_in(&mut self, card: usize, day: u32) -> bool {
        let Some(laid) = self.with(card, day) else {
            return false;
        };
        let gain = laid.comes.recall - self.laid[card].comes.recall;
        if gain <= LEAST {
            return false;
        }
        let over = self.over(card, &laid);
        match over.as_slice() {
            [] => {
                self.put(card, laid);
                true
            }
            [(full, seconds)] => {
                let Some((pushed, loss)) = self.cheapest(card, (*full, *seconds), gain) else {
                    return false;
                };
                if gain <= loss + LEAST {
                    return false;
                }
                let at = u32::try_from(*full).unwrap_or(u32::MAX);
                let before: Vec<(usize, Laid)> = pushed
                    .iter()
                    .map(|other| (*other, self.laid[*other].clone()))
                    .collect();
                for other in pushed {
                    let rest = self.without(other, at);
                    self.put(other, rest);
                }
                // Fewer askings early may take longer later: then all stays as it was.
                let fits = before
                    .iter()
                    .all(|(other, _)| self.over(*other, &self.laid[*other]).is_empty());
                if fits && self.over(card, &laid).is_empty() {
                    self.put(card, laid);
                    return true;
                }
                for (other, rest) in before {
                    self.put(other, rest);
                }
                false
            }
            _ => false,
        }
    }

    /// Returns the cards whose askings would leave a day with so many seconds less at the least loss of
    /// recall, less than `gain`: one alone, or several by loss for each second.
    fn cheapest(
        &self,
        but: usize,
        (day, seconds): (usize, f64),
        gain: f64,
    ) -> Option<(Vec<usize>, f64)> {
        let at = u32::try_from(day).ok()?;
        let mut off: Vec<(f64, f64, usize)> = (0..self.cards.len())
            .filter(|other| *other != but)
            .filter_map(|other| {
                let laid = &self.laid[other];
                let nth = laid.days.binary_search(&at).ok()?;
                Some((laid.adds[nth], laid.comes.seconds[nth], other))
            })
            .filter(|(loss, ..)| *loss < gain)
            .collect();
        let alone = off
            .iter()
            .filter(|(_, freed, _)| seconds <= *freed)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let one = alone.map(|(loss, _, other)| (vec![*other], *loss));
        off.sort_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)).then(a.2.cmp(&b.2)));
        let (mut freed, mut loss, mut several) = (0.0, 0.0, Vec::new());
        for (l, f, other) in off {
            if seconds <= freed || gain <= loss {
                break;
            }
            freed += f;
            loss += l;
            several.push(other);
        }
        let several = (seconds <= freed).then_some((several, loss));
        match (one, several) {
            (Some(a), Some(b)) => Some(if b.1 < a.1 { b } else { a }),
            (a, b) => a.or(b),
        }
    }

    /// Moves an asking to the day on which it adds most, among those with room.
    fn move_away(&mut self, card: usize, day: u32) -> bool {
        let rest = self.without(card, day).days;
        let now = self.laid[card].comes.recall;
        let days = self.from(card)..self.terms.date;
        let best = days
            .filter(|other| *other == day || self.has_room(card, *other))
            .filter_map(|other| {
                let at = rest.binary_search(&other).err()?;
                let mut days = rest.clone();
                days.insert(at, other);
                Some(self.list(card, days))
            })
            .filter(|laid| now + LEAST < laid.comes.recall && self.over(card, laid).is_empty())
            .max_by(|a, b| a.comes.recall.total_cmp(&b.comes.recall));
        let moved = best.is_some();
        if let Some(laid) = best {
            self.put(card, laid);
        }
        moved
    }

    fn told(self) -> Plan {
        let sum: f64 = self.laid.iter().map(|laid| laid.comes.recall).sum();
        Plan {
            date: self.terms.date,
            recall: sum / count(self.cards.len().max(1)),
            seconds: self.used,
            days: self.laid.into_iter().map(|laid| laid.days).collect(),
        }
    }
}

/// Returns the day at the share `at` of the days from `from` up to but not including `to`.
fn nth_day(at: f64, from: u32, to: u32) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of the days up to the date"
    )]
    let ahead = (f64::from(to.saturating_sub(from)) * at) as u32;
    (from + ahead).min(to.saturating_sub(1))
}

/// Returns the expected seconds of a list, day by day.
fn spread(laid: &Laid) -> Vec<(usize, f64)> {
    let days = laid.days.iter().map(|day| *day as usize);
    days.zip(laid.comes.seconds).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ahead::made_up;

    /// Returns the greatest sum of recall of the cards from `card` on, in what is `left` of the days.
    fn follow(
        person: &Person,
        terms: &Terms<'_>,
        lists: &[Vec<u32>],
        card: usize,
        left: &[f64],
    ) -> f64 {
        let Some(one) = person.cards.get(card) else {
            return 0.0;
        };
        let mut best = f64::NEG_INFINITY;
        for days in lists {
            let comes = terms.comes(one, days);
            let mut left = left.to_vec();
            for (day, seconds) in days.iter().zip(comes.seconds) {
                left[*day as usize] -= seconds;
            }
            if left.iter().all(|l| -1e-6 <= *l) {
                best = best.max(comes.recall + follow(person, terms, lists, card + 1, &left));
            }
        }
        best
    }

    /// Returns the greatest mean recall that any plan gives, by trying them all.
    fn best_of_all(person: &Person, date: u32, room: &[f64]) -> f64 {
        let terms = Terms::of(person, date);
        let lists: Vec<Vec<u32>> = (0u32..1 << date)
            .map(|mask| (0..date).filter(|day| mask >> day & 1 == 1).collect())
            .collect();
        follow(person, &terms, &lists, 0, room) / count(person.cards.len())
    }

    #[test]
    fn a_plan_of_a_few_cards_is_the_best_there_is() {
        // 4 cards on 3 days, or 3 cards on 4, with room for one to three askings a day.
        for (cards, date) in [(4, 3), (3, 4)] {
            for met in [0, 2, cards] {
                for seconds in [45.0, 70.0] {
                    let person = made_up::person(cards, met);
                    let room = vec![seconds; date as usize];
                    let found = within(&person, date, &room).recall;
                    let best = best_of_all(&person, date, &room);
                    assert!(found < best + 1e-9 && best < found + 1e-3, "{found} {best}");
                }
            }
        }
    }

    /// Returns a mean recall that no plan can pass: each card's best list where a second of each day has
    /// a price, and the room at those prices, for the best prices found. H. Everett, *Generalized
    /// Lagrange Multiplier Method for Solving Problems of Optimum Allocation of Resources*, Operations
    /// Research 11 (1963), pp. 399-417.
    fn bound(person: &Person, date: u32, room: &[f64]) -> f64 {
        let terms = Terms::of(person, date);
        let lists: Vec<Vec<u32>> = (0u32..1 << date)
            .filter(|mask| mask.count_ones() as usize <= MOST)
            .map(|mask| (0..date).filter(|day| mask >> day & 1 == 1).collect())
            .collect();
        let comes: Vec<Vec<Comes>> = person
            .cards
            .iter()
            .map(|card| lists.iter().map(|days| terms.comes(card, days)).collect())
            .collect();
        let mut prices = vec![0.002; room.len()];
        let mut lowest = f64::INFINITY;
        for step in 1..300 {
            let mut used = vec![0.0; room.len()];
            let mut sum: f64 = prices.iter().zip(room).map(|(p, r)| p * r).sum();
            for of_card in &comes {
                let net = |(days, comes): (&Vec<u32>, &Comes)| {
                    let cost = days
                        .iter()
                        .zip(comes.seconds)
                        .map(|(d, s)| prices[*d as usize] * s);
                    comes.recall - cost.sum::<f64>()
                };
                let best = lists
                    .iter()
                    .zip(of_card)
                    .max_by(|a, b| net(*a).total_cmp(&net(*b)));
                let (days, comes) = best.expect("there is the empty list");
                sum += net((days, comes));
                for (day, seconds) in days.iter().zip(comes.seconds) {
                    used[*day as usize] += seconds;
                }
            }
            lowest = lowest.min(sum);
            for ((price, used), room) in prices.iter_mut().zip(&used).zip(room) {
                *price = (*price + (used - room) / room * 0.002 / f64::from(step).sqrt()).max(0.0);
            }
        }
        lowest / count(person.cards.len())
    }

    #[test]
    fn a_plan_of_many_cards_comes_near_a_bound_that_no_plan_can_pass() {
        for (cards, met, seconds) in [(40, 20, 400.0), (40, 40, 240.0)] {
            let person = made_up::person(cards, met);
            let room = vec![seconds; 7];
            let found = within(&person, 7, &room).recall;
            let bound = bound(&person, 7, &room);
            assert!(
                found <= bound + 1e-9 && bound < found + 0.015,
                "{found} {bound}"
            );
        }
    }

    #[test]
    fn no_day_is_asked_more_than_it_has_room_for() {
        let person = made_up::person(60, 30);
        let room: Vec<f64> = (0..14).map(|day| f64::from(day % 4) * 90.0).collect();
        let plan = within(&person, 14, &room);
        for (seconds, room) in plan.seconds.iter().zip(&room) {
            assert!(*seconds <= room + 1e-6, "{seconds} {room}");
        }
        let asked: usize = plan.by_day().iter().map(Vec::len).sum();
        assert!(20 < asked, "{asked}");
        assert!(plan.days.iter().flatten().all(|day| *day < 14));
    }

    #[test]
    fn more_minutes_never_plan_for_less_and_none_plan_nothing() {
        let recall = |minutes: f64| {
            let mut person = made_up::person(80, 40);
            person.sittings.minutes = minutes;
            plan(&person, 20)
        };
        let none = recall(0.0);
        assert!(none.days.iter().all(Vec::is_empty));
        let mut before = none.recall;
        for minutes in [1.0, 2.0, 5.0, 10.0, 20.0] {
            let now = recall(minutes).recall;
            assert!(before < now + 1e-3, "{minutes}: {before} {now}");
            before = now;
        }
        assert!(none.recall + 0.2 < before, "{before}");
    }

    #[test]
    fn what_was_answered_today_and_what_waits_is_not_asked_today() {
        let mut person = made_up::person(6, 3);
        person.cards[0].seen_today = true;
        person.cards[4].gate = Some(0);
        let plan = plan(&person, 5);
        assert!(plan.days[0].iter().chain(&plan.days[4]).all(|day| 0 < *day));
        assert!(!plan.days[4].is_empty());
    }
}
