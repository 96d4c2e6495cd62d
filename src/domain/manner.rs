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

    /// Adds a review that only happened in thought: whether it was right, and no time.
    pub fn imagine(&mut self, right: bool) {
        self.reviews.add(f64::from(u8::from(right)));
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn seconds(n: u64) -> Millis {
        Millis {
            circuit: 0,
            answer: n * 1000,
            reveal: 0,
        }
    }

    #[test]
    fn nobody_yet_has_the_usual_habits() {
        let habits = Manner::default().habits();
        let usual = Habits::USUAL;
        for (found, want) in [
            (habits.miss, usual.miss),
            (habits.guess, usual.guess),
            (habits.again, usual.again),
            (habits.right[1], usual.right[1]),
        ] {
            assert!((found - want).abs() < 1e-12, "{found} {want}");
        }
        // 1.9 and 0.85 of 0.7 are 2.495, which the usual habits round.
        assert!((habits.first - usual.first).abs() < 0.01);
        assert!((Manner::default().seconds(true) - RIGHT_AT_FIRST).abs() < 1e-12);
    }

    #[test]
    fn what_a_person_does_again_and_again_is_what_is_expected() {
        let mut manner = Manner::default();
        for _ in 0..400 {
            manner.take(Asking::Review, true, Grade::Named, seconds(10));
            manner.take(Asking::Review, false, Grade::OnSight, seconds(40));
            manner.take(Asking::Review, true, Grade::Missed, seconds(20));
            manner.take(Asking::Again, true, Grade::Named, seconds(5));
        }
        // A hundred answers' weight against eight of what is usual.
        assert!((manner.seconds(true) - 10.0).abs() < 1.5, "{manner:?}");
        assert!((manner.seconds(false) - 40.0).abs() < 2.5, "{manner:?}");
        assert!((manner.share_right() - 2.0 / 3.0).abs() < 0.02);
        let habits = manner.habits();
        assert!((habits.miss - 2.5).abs() < 0.3, "{habits:?}");
        assert!(habits.right[0] < 0.03 && 0.4 < habits.right[1]);
    }

    #[test]
    fn a_telephone_call_is_nobodys_pace() {
        let mut manner = Manner::default();
        for _ in 0..50 {
            manner.take(Asking::Review, true, Grade::Named, seconds(20));
        }
        let before = manner.seconds(true);
        manner.take(Asking::Review, true, Grade::Named, seconds(3_000));
        assert!(manner.seconds(true) < before + 2.0);
    }

    proptest! {
        #[test]
        fn whatever_is_answered_the_habits_are_sound(
            answers in proptest::collection::vec((0..3usize, any::<bool>(), 1..5u8, 0..9_000u64), 0..300)
        ) {
            let mut manner = Manner::default();
            for (asking, circuit, grade, took) in answers {
                let asking = [Asking::First, Asking::Review, Asking::Again][asking];
                let grade = Grade::from_number(grade).expect("1 to 4");
                manner.take(asking, circuit, grade, seconds(took));
            }
            let habits = manner.habits();
            prop_assert!((habits.right.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            for share in habits.right.into_iter().chain([habits.guess, habits.again, manner.share_right()]) {
                prop_assert!((0.0..=1.0).contains(&share));
            }
            for time in [habits.miss, habits.first, manner.seconds(true), manner.seconds(false)] {
                prop_assert!(time.is_finite() && 0.0 < time);
            }
        }
    }
}
