//! The cards of one run as they stand, and how a sitting moves their memory.
//!
//! Number by number, side by side: chances of recall, and the reviews of a sitting, are worked out for
//! many cards at once (`memory_lanes.rs`). No card is asked twice in a sitting, so that its memory may
//! wait for the end of it.

use crate::domain::ahead::base::Base;
use crate::domain::ahead::chance::Chance;
use crate::domain::ahead::levels::Levels;
use crate::domain::ahead::person::CardAhead;
use crate::domain::lanes;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory_lanes;
use crate::domain::memory_lanes::Reviews;
use crate::domain::price::Cell;
use crate::domain::review::Grade;

/// A card with memory that was answered in the sitting under way.
#[derive(Clone, Copy, Debug)]
struct Answered {
    card: u32,
    grade: Grade,
    /// The grade of a second review, where it came again after a miss.
    again: Option<Grade>,
}

/// The cards of one run.
#[derive(Clone, Debug)]
pub(super) struct Cards {
    /// Stability and difficulty; 1 where there is no memory.
    stability: Vec<f64>,
    difficulty: Vec<f64>,
    /// There is a memory.
    remembered: Vec<bool>,
    /// Job share of each card with memory; 0 for the others.
    shares: Vec<f64>,
    /// Where the memory lies in the price tables.
    cells: Vec<Cell>,
    reviewed: Vec<i32>,
    pub(super) met: Vec<bool>,
    /// Day of the last right answer, or of an answer before the run began today; -1 for none.
    right_on: Vec<i32>,
    /// Answers in this run.
    pub(super) turns: Vec<u32>,
    /// First day on which each met card may be asked again; never for one not met.
    wakes: Vec<i32>,
    pub(super) unmet: usize,
    levels: Levels,
    chance: Chance,
    /// Cards answered in the sitting under way: the first review of each, and later ones.
    begun: Vec<(u32, Grade)>,
    answered: Vec<Answered>,
    /// Reviews being worked out, and those of cards that came again.
    reviews: Reviews,
    again: Reviews,
}

impl Cards {
    /// Returns them at the start of a run over so many days.
    pub(super) fn of(base: &Base<'_>, chance: Chance, days: u32) -> Self {
        let cards = &base.person.cards;
        let n = cards.len();
        let mut all = Self {
            stability: vec![1.0; n],
            difficulty: vec![1.0; n],
            remembered: vec![false; n],
            shares: vec![0.0; n],
            cells: vec![Cell::default(); n],
            reviewed: cards.iter().map(|card| card.reviewed).collect(),
            met: cards.iter().map(|card| card.met).collect(),
            right_on: cards.iter().map(right_on).collect(),
            turns: vec![0; n],
            wakes: vec![i32::MAX; n],
            unmet: cards.iter().filter(|card| !card.met).count(),
            levels: Levels::new(n, days),
            chance,
            begun: Vec::new(),
            answered: Vec::new(),
            reviews: Reviews::default(),
            again: Reviews::default(),
        };
        for (at, card) in cards.iter().enumerate() {
            if let Some(memory) = card.memory {
                all.remember(base, at, with_log(memory), card.reviewed);
                let found = (at, memory.stability);
                all.levels.known(base, found, card.reviewed, card.drawn);
            }
            let again = right_on(card) + 1;
            if card.met && card.memory.is_none() {
                all.wakes[at] = again;
            } else if card.met {
                all.wakes[at] = all.wakes[at].max(again);
            }
        }
        all
    }

    /// Keeps what memory a review on `day` left, and the logarithm of its stability.
    fn remember(&mut self, base: &Base<'_>, at: usize, (memory, log): (Memory, f64), day: i32) {
        (self.stability[at], self.difficulty[at]) = (memory.stability, memory.difficulty);
        if !self.remembered[at] {
            self.remembered[at] = true;
            self.shares[at] = base.person.cards[at].share;
        }
        self.cells[at] = base.prices.cell(log, memory.difficulty);
        self.reviewed[at] = day;
        self.wakes[at] = day + signed(base.known(memory)) + 1;
    }

    /// Keeps what a review in this run left, and draws its forecast.
    fn review(&mut self, base: &Base<'_>, card: u32, left: (Memory, f64), day: i32) {
        let at = card as usize;
        self.remember(base, at, left, day);
        let drawing = (self.chance, card, self.turns[at]);
        let found = (at, left.0.stability);
        self.levels.review(base, found, day, drawing);
    }

    /// Tells whether a card lets others go before it on `day`.
    pub(super) fn is_early(&self, at: usize, day: u32) -> bool {
        self.levels.is_early(at, signed(day))
    }

    pub(super) fn memory(&self, at: usize) -> Option<Memory> {
        self.remembered[at].then(|| self.known_memory(at))
    }

    fn known_memory(&self, at: usize) -> Memory {
        Memory {
            stability: self.stability[at],
            difficulty: self.difficulty[at],
        }
    }

    pub(super) fn reviewed(&self, at: usize) -> i32 {
        self.reviewed[at]
    }

    pub(super) fn elapsed(&self, at: usize, day: u32) -> u32 {
        let days = signed(day).saturating_sub(self.reviewed[at]);
        days.max(0).unsigned_abs()
    }

    pub(super) fn was_right(&self, at: usize, day: u32) -> bool {
        self.right_on[at] == signed(day)
    }

    /// Takes a card out for `day`.
    #[cfg(test)]
    pub(super) fn keep_out(&mut self, at: usize, day: u32) {
        self.wakes[at] = self.wakes[at].max(signed(day) + 1);
    }

    /// Writes into `awake` the met cards that may be asked on `day`.
    pub(super) fn awake(&self, day: u32, awake: &mut Vec<u32>) {
        let today = signed(day);
        awake.clear();
        awake.resize(self.wakes.len(), 0);
        let mut n = 0;
        // Written in any case, and kept by counting on: whether a card is awake cannot be foreseen.
        for (at, wakes) in (0u32..).zip(&self.wakes) {
            awake[n] = at;
            n += usize::from(*wakes <= today);
        }
        awake.truncate(n);
    }

    /// Returns the logarithm of the price index of a met card.
    #[inline]
    pub(super) fn log_index(&self, base: &Base<'_>, at: usize, day: u32) -> f64 {
        if self.remembered[at] {
            base.prices.log_met(self.cells[at], self.elapsed(at, day))
        } else {
            base.unmet
        }
    }

    /// Tells whether a card has a memory.
    pub(super) fn is_remembered(&self, at: usize) -> bool {
        self.remembered[at]
    }

    /// Notes the answer to a card, and with which grade it came again after a miss; memory follows with
    /// [`Cards::settle`].
    pub(super) fn answer(&mut self, card: u32, day: u32, grade: Grade, again: Option<Grade>) {
        let at = card as usize;
        self.wakes[at] = signed(day).saturating_add(1);
        self.turns[at] += 1 + u32::from(again.is_some());
        if grade.recalled() || again.is_some_and(Grade::recalled) {
            self.right_on[at] = signed(day);
        }
        if self.remembered[at] {
            self.answered.push(Answered { card, grade, again });
        } else {
            self.begun.push((card, grade));
        }
    }

    /// Moves the memory of every card that was answered on `day`.
    pub(super) fn settle(&mut self, base: &Base<'_>, day: u32) {
        let (begun, answered) = (
            std::mem::take(&mut self.begun),
            std::mem::take(&mut self.answered),
        );
        for &(card, grade) in &begun {
            let memory = with_log(memory::first(&base.person.weights, grade));
            self.review(base, card, memory, signed(day));
        }
        self.reviews.clear();
        self.again.clear();
        for one in &answered {
            let at = one.card as usize;
            let days = self.elapsed(at, day);
            self.reviews.push(self.known_memory(at), days, one.grade);
        }
        self.reviews.take(&base.memory);
        for (nth, one) in answered.iter().enumerate() {
            if let Some(grade) = one.again {
                self.again.push(self.reviews.memory(nth), 0, grade);
            }
        }
        self.again.take(&base.memory);
        let mut came_again = 0;
        for (nth, one) in answered.iter().enumerate() {
            let (reviews, at) = if one.again.is_some() {
                came_again += 1;
                (&self.again, came_again - 1)
            } else {
                (&self.reviews, nth)
            };
            let left = (reviews.memory(at), reviews.log_stability(at));
            self.review(base, one.card, left, signed(day));
        }
        // Kept for the next sitting, so that it need not grow again.
        (self.begun, self.answered) = (begun, answered);
        self.begun.clear();
        self.answered.clear();
    }
}

/// Returns a memory with the logarithm of its stability.
fn with_log(memory: Memory) -> (Memory, f64) {
    (memory, lanes::ln(memory.stability))
}

/// Chances of recall of many cards at once.
#[derive(Clone, Debug, Default)]
pub(super) struct Recalls {
    stability: Vec<f64>,
    days: Vec<f64>,
    /// The chances; what it is of a card without memory says nothing.
    pub(super) found: Vec<f64>,
}

impl Recalls {
    /// Works out the chances of every card on the morning of `day`.
    pub(super) fn all(&mut self, base: &Base<'_>, cards: &Cards, day: u32) {
        let today = signed(day);
        let days = cards.reviewed.iter().map(|on| days_between(*on, today));
        self.days.clear();
        self.days.extend(days);
        memory_lanes::recalls(&base.memory, &cards.stability, &self.days, &mut self.found);
    }

    /// Works out the chances of these cards on `day`, in their order.
    pub(super) fn of(
        &mut self,
        base: &Base<'_>,
        cards: &Cards,
        places: impl Iterator<Item = usize>,
        day: u32,
    ) {
        let today = signed(day);
        self.days.clear();
        self.stability.clear();
        for at in places {
            self.days.push(days_between(cards.reviewed[at], today));
            self.stability.push(cards.stability[at]);
        }
        memory_lanes::recalls(&base.memory, &self.stability, &self.days, &mut self.found);
    }

    /// Returns readiness on the morning of `day`.
    pub(super) fn ready(&mut self, base: &Base<'_>, cards: &Cards, day: u32) -> f64 {
        self.all(base, cards, day);
        // Several sums side by side: one alone would wait for each addition in turn.
        let mut sums = [0.0; SUMS];
        let known = cards.shares.chunks(SUMS).zip(self.found.chunks(SUMS));
        for (shares, recalls) in known {
            for ((sum, share), recall) in sums.iter_mut().zip(shares).zip(recalls) {
                *sum += share * recall;
            }
        }
        sums.iter().sum()
    }
}

/// Sums side by side.
const SUMS: usize = 8;

/// Returns the day of the last right answer before the run; -1 for none today.
fn right_on(card: &CardAhead) -> i32 {
    if card.seen_today { 0 } else { -1 }
}

fn days_between(from: i32, to: i32) -> f64 {
    f64::from(to.saturating_sub(from).max(0))
}

/// Returns a day as a signed number.
pub(super) fn signed(day: u32) -> i32 {
    i32::try_from(day).unwrap_or(i32::MAX)
}
