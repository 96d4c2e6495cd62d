//! The course of a sitting: which card comes next, and the steps that an undo goes back.
//!
//! Everything here is restored as one when something kept is taken back. Leaves out judging, and what
//! was said to the card under way.

use std::collections::VecDeque;

use crate::domain::card::Card;
use crate::domain::queue::Ask;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::units::count;

/// Counts of a sitting.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Cards answered.
    pub cards: usize,
    /// Of them missed.
    pub missed: usize,
    /// Cards met for the first time.
    pub new: usize,
}

/// Where a sitting stands among its cards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    /// Asks still to come.
    pub queue: VecDeque<Ask>,
    /// Missed ones that come once more.
    pub again: VecDeque<Ask>,
    /// The ask under way; none once the sitting is over.
    pub ask: Option<Ask>,
    /// Milliseconds spent.
    pub spent_ms: u64,
    /// Counts so far.
    pub tally: Tally,
    /// Time of each answered card.
    pub times: Vec<Millis>,
    /// The card answered last.
    pub last: Option<usize>,
}

impl Course {
    /// Starts with `asks`, before the first of them.
    pub fn new(asks: &[Ask]) -> Self {
        Self {
            queue: asks.iter().cloned().collect(),
            ..Self::default()
        }
    }

    /// Returns the minutes spent.
    pub fn minutes_spent(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "milliseconds of one sitting")]
        let ms = self.spent_ms as f64;
        ms / 60_000.0
    }

    /// Puts the ask under way last among those that come once more, unless it did already.
    pub fn ask_again(&mut self) {
        let Some(ask) = self.ask.clone().filter(|ask| !ask.again) else {
            return;
        };
        let mode = if ask.mode == Mode::Brief {
            Mode::Brief
        } else {
            Mode::Drill
        };
        self.again.push_back(Ask {
            card: ask.card,
            mode,
            opens_family: false,
            again: true,
            spare: false,
        });
    }

    /// Takes every later asking of `card` out.
    pub fn forget(&mut self, card: usize) {
        self.queue.retain(|a| a.card != card);
        self.again.retain(|a| a.card != card);
    }

    /// Chooses the next card: missed ones come back once the time left is what they need, or one card
    /// before the end.
    ///
    /// `minutes` is the budget of the sitting, `pace` the seconds a card is expected to take.
    pub fn advance(&mut self, minutes: f64, pace: f64, cards: &[Card]) {
        let left = minutes * 60.0 - self.minutes_spent() * 60.0;
        let started = self.tally.cards > 0;
        let room = left - count(self.again.len()) * pace;
        let main_fits = !started || pace <= room;
        let near_end = self.queue.len() <= 1 || !main_fits;
        self.ask = None;
        if near_end && 0.0 < left {
            self.ask = self.take_again(cards);
        }
        if self.ask.is_none() && main_fits {
            self.ask = self.queue.pop_front();
        }
        if self.ask.is_none() && 0.0 < left {
            self.ask = self.again.pop_front();
        }
    }

    /// Takes a missed card whose fix differs from the one just asked.
    fn take_again(&mut self, cards: &[Card]) -> Option<Ask> {
        let last = self.last.map(|i| cards[i].fix_key());
        let at = self
            .again
            .iter()
            .position(|a| Some(cards[a.card].fix_key()) != last)?;
        self.again.remove(at)
    }
}

/// What can be taken back, the latest last: the event that was written, and the course before it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Steps(Vec<(String, Course)>);

impl Steps {
    /// Remembers the course as it stood before event `event`.
    pub fn remember(&mut self, event: &str, course: &Course) {
        self.0.push((event.to_owned(), course.clone()));
    }

    /// Returns the event that an undo would take back.
    pub fn last_event(&self) -> Option<&str> {
        self.0.last().map(|(event, _)| event.as_str())
    }

    /// Returns the course before the last event, which is then forgotten.
    pub fn back(&mut self) -> Option<Course> {
        self.0.pop().map(|(_, course)| course)
    }
}
