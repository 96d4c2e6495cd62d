//! How a person answers lately: how long each kind of asking takes, how often it is right, and with
//! which grade.
//!
//! Every number is a mean over the latest answers: each further one lets all before it count 1 % less.
//! Long times are held to four times the mean so far: a telephone call is nobody's pace. Until there are enough answers
//! the numbers lean on what is usual, which counts as so many answers (common practice, no source).
//! Refreshes before a board stay out. Leaves out which card it was: `history.rs` keeps those.

use crate::domain::price::Habits;
use crate::domain::review::Grade;
use crate::domain::review::Millis;

/// Which asking of a card an answer is to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Asking {
    /// The card was not met before.
    First,
    /// The first of its day to a card with memory.
    Review,
    /// Once more: on the same day, or after a wrong first guess.
    Again,
}

/// Seconds of a right answer to a met card before there is any (common practice, no source).
pub const RIGHT_AT_FIRST: f64 = 22.0;

/// What is usual counts as so many answers.
const LEAN: f64 = 8.0;
/// What each further answer leaves of the weight of those before it.
const KEEP: f64 = 0.99;
/// No answer counts for longer, in seconds.
const LONGEST: f64 = 600.0;
/// Nor for so many times the mean so far.
const STRETCH: f64 = 4.0;

/// A mean over the latest values.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lately {
    /// Sum of the values, the earlier ones less.
    pub sum: f64,
    /// How many they count for.
    pub weight: f64,
}

impl Lately {
    fn add(&mut self, value: f64) {
        self.sum = self.sum * KEEP + value;
        self.weight = self.weight * KEEP + 1.0;
    }

    /// Returns the mean, leaning on `usual`.
    fn mean(&self, usual: f64) -> f64 {
        (self.sum + usual * LEAN) / (self.weight + LEAN)
    }
}

/// How a person answers lately.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Manner {
    /// Seconds of right answers to met cards: without a question for the circuit, and with one.
    pub right: [Lately; 2],
    /// Times of the seconds that a right answer to such a card takes: misses of met cards.
    pub missed: Lately,
    /// The same of cards that come back.
    pub again: Lately,
    /// The same of first meetings.
    pub first: Lately,
    /// Right first guesses, 0 or 1 each.
    pub guesses: Lately,
    /// Right answers to cards that come back, 0 or 1 each.
    pub returns: Lately,
    /// Right answers to met cards, 0 or 1 each.
    pub reviews: Lately,
    /// Of right answers to met cards, those that were `hunted`, `named`, `on sight`.
    pub grades: [Lately; 3],
}

/// Time of a miss itself, and of a card that comes back, in right answers; they make up
/// [`Habits::USUAL`].
const MISSED: f64 = 1.3;
const AGAIN: f64 = 0.7;
const FIRST: f64 = 1.9;
/// Share right among reviews before there are any.
const RIGHT: f64 = 0.75;

impl Manner {
    /// Adds one answer to a card that asks for a circuit, or does not.
    pub fn take(&mut self, asking: Asking, asks_circuit: bool, grade: Grade, ms: Millis) {
        let usual = self.seconds(asks_circuit);
        #[expect(clippy::cast_precision_loss, reason = "milliseconds of one card")]
        let seconds = (ms.total() as f64 / 1000.0)
            .min(LONGEST)
            .min(usual * STRETCH);
        let right = grade.recalled();
        let one = f64::from(u8::from(right));
        match asking {
            Asking::First => {
                self.first.add(seconds / usual);
                self.guesses.add(one);
            }
            Asking::Again => {
                self.again.add(seconds / usual);
                self.returns.add(one);
            }
            Asking::Review => {
                self.reviews.add(one);
                if !right {
                    self.missed.add(seconds / usual);
                    return;
                }
                self.right[usize::from(asks_circuit)].add(seconds);
                for (share, of) in self.grades.iter_mut().zip(&Grade::ALL[1..]) {
                    share.add(f64::from(u8::from(*of == grade)));
                }
            }
        }
    }

    /// Returns the seconds expected of a right answer to a met card.
    pub fn seconds(&self, asks_circuit: bool) -> f64 {
        let [without, with] = &self.right;
        let all = Lately {
            sum: without.sum + with.sum,
            weight: without.weight + with.weight,
        };
        let usual = all.mean(RIGHT_AT_FIRST);
        self.right[usize::from(asks_circuit)].mean(usual).max(1.0)
    }

    /// Returns the share right among the latest reviews.
    pub fn share_right(&self) -> f64 {
        self.reviews.mean(RIGHT)
    }

    /// Returns what the price index needs to know of them.
    pub fn habits(&self) -> Habits {
        let usual = Habits::USUAL;
        let guess = self.guesses.mean(usual.guess);
        let again = self.again.mean(AGAIN);
        let grades = [0, 1, 2].map(|i: usize| self.grades[i].mean(usual.right[i]));
        let sum: f64 = grades.iter().sum();
        Habits {
            right: grades.map(|share| share / sum),
            guess,
            again: self.returns.mean(usual.again),
            miss: self.missed.mean(MISSED) + again,
            first: self.first.mean(FIRST) + (1.0 - guess) * again,
        }
    }
}
