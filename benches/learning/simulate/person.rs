//! A simulated apprentice: memory, speed, habits of grading, days missed.
//!
//! Every constant is invented, around a card that takes twenty seconds; people differ in all of
//! them. An answer's luck is named by card and asking, so that it is the same under every policy.

use benchlore::domain::review::Grade;

use crate::simulate::chance::Chance;
use crate::simulate::chance::mixed;
use crate::simulate::chance::unit;
use crate::simulate::minds::Kind;
use crate::simulate::minds::Mind;

/// Days of one absence.
pub(crate) const ABSENCE: usize = 14;

/// What someone said to a card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Reply {
    /// Grade kept.
    pub(crate) grade: Grade,
    /// Seconds from the question to the next card.
    pub(crate) seconds: f64,
}

/// A simulated apprentice.
pub(crate) struct Person {
    seed: u64,
    mind: Box<dyn Mind>,
    /// Median seconds of an answer that is `named`.
    pace: f64,
    /// Times that of an answer by grade, and of a first meeting.
    slower: [f64; 4],
    meeting: f64,
    /// Below the first an answer is `hunted`, above the second `on sight`.
    sure: (f64, f64),
    /// Chance that a first guess is right.
    guess: f64,
    length: Vec<f64>,
    asked: Vec<u64>,
    away: Vec<bool>,
}

impl Person {
    /// Draws the person that `seed` stands for, for so many days.
    pub(crate) fn draw(kind: Kind, seed: u64, look_alikes: &[Vec<usize>], days: usize) -> Self {
        let mut chance = Chance::new(seed, &[1]);
        let mind = kind.draw(&mut chance, look_alikes);
        let mut chance = Chance::new(seed, &[2]);
        let n = look_alikes.len();
        let missed_days = chance.between(0.03, 0.25);
        let mut away: Vec<bool> = (0..days).map(|_| chance.unit() < missed_days).collect();
        let latest = days.saturating_sub(ABSENCE + days / 4).max(1);
        let from = days / 4 + chance.below(latest - (days / 4).min(latest - 1));
        for day in away.iter_mut().skip(from).take(ABSENCE) {
            *day = true;
        }
        Self {
            seed: mixed(seed, &[3]),
            mind,
            pace: chance.around(20.0, 0.25),
            slower: [
                chance.between(1.4, 2.2),
                chance.between(1.2, 1.7),
                1.0,
                chance.between(0.5, 0.8),
            ],
            meeting: chance.between(1.6, 2.6),
            sure: (chance.between(0.4, 0.65), chance.between(0.8, 0.97)),
            guess: chance.between(0.0, 0.12),
            length: (0..n).map(|_| chance.around(1.0, 0.2)).collect(),
            asked: vec![0; n],
            away,
        }
    }

    /// Tells whether the person drills on that day.
    pub(crate) fn drills_on(&self, day: usize) -> bool {
        !self.away[day]
    }

    /// Returns the true chance of recall; 0 for a card never met.
    pub(crate) fn recall(&self, card: usize, at: f64) -> f64 {
        self.mind.recall(card, at)
    }

    /// Returns the middle seconds of a right answer to the card (what the oracle knows).
    pub(crate) fn right_seconds(&self, card: usize) -> f64 {
        self.pace * self.length[card]
    }

    /// Asks the person; the answer is seen and learned from.
    pub(crate) fn ask(&mut self, card: usize, at: f64) -> Reply {
        let first = self.asked[card] == 0;
        let chance = if first {
            self.guess
        } else {
            self.mind.recall(card, at)
        };
        let nth = self.asked[card];
        let draw = |what: u64| unit(self.seed, &[card as u64, nth, what]);
        let recalled = draw(0) < chance;
        let grade = if recalled {
            let sureness = 0.7 * chance + 0.3 * draw(1);
            if sureness < self.sure.0 {
                Grade::Hunted
            } else if sureness < self.sure.1 {
                Grade::Named
            } else {
                Grade::OnSight
            }
        } else {
            Grade::Missed
        };
        let slower = if first {
            self.meeting
        } else {
            self.slower[usize::from(grade.number()) - 1]
        };
        let noise = Chance::new(self.seed, &[card as u64, nth, 2]).around(1.0, 0.3);
        self.mind.encode(card, at, recalled);
        self.asked[card] += 1;
        Reply {
            grade,
            seconds: self.pace * slower * self.length[card] * noise,
        }
    }
}
