//! What a list of askings of one card comes to on a date: its expected recall, and the time it takes.
//!
//! Askings are laid down beforehand and kept whatever the answers are; each splits what may be into
//! right (`named`) and missed with its coming again. The middle grade stands for all right answers here;
//! simulated runs (`play.rs`) draw them apart.

use crate::domain::ahead::person::CardAhead;
use crate::domain::ahead::person::Person;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::price::Habits;
use crate::domain::review::Grade;

/// Most askings of one card that are followed: with each, what may be doubles.
pub const MOST: usize = 6;
/// Most askings of one card that a plan lays down; one more may be tried beside them.
pub const LAID: usize = MOST - 1;

/// What a list of askings comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Comes {
    /// Expected recall on the date, 0 to 1.
    pub recall: f64,
    /// Expected seconds of each asking, in their order.
    pub seconds: [f64; MOST],
}

/// What stays the same for all cards of a plan.
#[derive(Clone, Copy, Debug)]
pub struct Terms<'a> {
    /// Parameters of the memory model.
    pub weights: &'a Weights,
    /// How answers fall.
    pub answers: &'a Habits,
    /// The date, in days from today.
    pub date: u32,
}

/// Where one branch of what may be stands.
#[derive(Clone, Copy)]
struct Branch {
    memory: Option<Memory>,
    reviewed: i32,
    chance: f64,
}

impl<'a> Terms<'a> {
    /// Returns those of a person for a date in so many days.
    pub fn of(person: &'a Person, date: u32) -> Self {
        Self {
            weights: &person.weights,
            answers: &person.answers,
            date,
        }
    }

    /// Returns what asking a card on these days, rising, comes to; at most [`MOST`] of them count.
    pub fn comes(&self, card: &CardAhead, days: &[u32]) -> Comes {
        self.from((card.memory, card.reviewed), card.seconds, days)
    }

    /// Returns the same for a card with this memory and day of its last review, that takes so many
    /// seconds.
    pub fn from(
        &self,
        (memory, reviewed): (Option<Memory>, i32),
        seconds: f64,
        days: &[u32],
    ) -> Comes {
        let mut comes = Comes::default();
        let start = Branch {
            memory,
            reviewed,
            chance: 1.0,
        };
        let days = &days[..days.len().min(MOST)];
        self.follow(seconds, days, 0, start, &mut comes);
        comes
    }

    fn follow(&self, seconds: f64, days: &[u32], nth: usize, at: Branch, comes: &mut Comes) {
        let Some(day) = days.get(nth) else {
            if let Some(memory) = at.memory {
                let elapsed = f64::from(elapsed(at.reviewed, self.date));
                let recall = memory::recall(self.weights, memory.stability, elapsed);
                comes.recall += at.chance * recall;
            }
            return;
        };
        let (right, [first, second]) = self.after(at, *day);
        let times = match at.memory {
            None => self.answers.first,
            Some(_) => right + (1.0 - right) * self.answers.miss,
        };
        comes.seconds[nth] += at.chance * seconds * times;
        for outcome in [first, second] {
            if 0.0 < outcome.chance {
                let met = Branch {
                    memory: Some(outcome.memory),
                    reviewed: signed(*day),
                    chance: at.chance * outcome.chance,
                };
                self.follow(seconds, days, nth + 1, met, comes);
            }
        }
    }

    /// Returns the chance that an asking on `day` is right at once, and how memory may stand after it.
    fn after(&self, at: Branch, day: u32) -> (f64, [Outcome; 2]) {
        let Habits { guess, again, .. } = *self.answers;
        let Some(memory) = at.memory else {
            // A wrong guess stays out of memory; the coming again is the first review.
            let named = guess + (1.0 - guess) * again;
            let first = |grade, chance| Outcome {
                memory: memory::first(self.weights, grade),
                chance,
            };
            return (
                guess,
                [
                    first(Grade::Named, named),
                    first(Grade::Missed, 1.0 - named),
                ],
            );
        };
        let elapsed = elapsed(at.reviewed, day);
        let recall = memory::recall(self.weights, memory.stability, f64::from(elapsed));
        let next = |grade| memory::next(self.weights, memory, elapsed, grade);
        // A missed card that comes again is taken as right then: the rest is one in some dozens.
        let back = memory::next(self.weights, next(Grade::Missed), 0, Grade::Named);
        let outcome = |memory, chance| Outcome { memory, chance };
        (
            recall,
            [
                outcome(next(Grade::Named), recall),
                outcome(back, 1.0 - recall),
            ],
        )
    }
}

#[derive(Clone, Copy)]
struct Outcome {
    memory: Memory,
    chance: f64,
}

fn elapsed(reviewed: i32, day: u32) -> u32 {
    signed(day).saturating_sub(reviewed).max(0).unsigned_abs()
}

fn signed(day: u32) -> i32 {
    i32::try_from(day).unwrap_or(i32::MAX)
}
