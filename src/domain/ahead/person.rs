//! What a simulation starts from: the cards with their memory, and the ways of the person.

use crate::domain::manner::Manner;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::price::Habits;
use crate::domain::queue::aim::Aim;
use crate::domain::review::Grade;
use crate::domain::spread::Drawn;
use crate::domain::units::count;

/// Days of a week.
pub const WEEK: usize = 7;

/// One card at the start.
#[expect(
    clippy::struct_excessive_bools,
    reason = "five things that a card is or is not, each by itself"
)]
#[derive(Clone, Debug, PartialEq)]
pub struct CardAhead {
    /// Its share of the jobs; shares of all cards add up to 1.
    pub share: f64,
    /// What the share counts in the queue: what a miss costs there, and how far the card is trusted.
    pub factor: f64,
    /// Seconds that a right answer takes this person, once the card is met.
    pub seconds: f64,
    /// Its circuit family, a place in a list of the caller's.
    pub family: u16,
    /// Memory; none before the first review that counts.
    pub memory: Option<Memory>,
    /// Day of the last review that counts, 0 today and below it before.
    pub reviewed: i32,
    /// How its forecast was drawn at that review; none where it does not move.
    pub drawn: Option<Drawn>,
    /// It was answered at least once.
    pub met: bool,
    /// It was answered today.
    pub seen_today: bool,
    /// It may be drawn as a spot check.
    pub spot: bool,
    /// It is a bench rule.
    pub rule: bool,
    /// Its fix, a number of the caller's: two cards of one fix are not asked on one day.
    pub fix: u32,
    /// It comes up new only once this gate is open.
    pub gate: Option<u32>,
    /// Gates that meeting it opens, from the next day on.
    pub opens: Vec<u32>,
}

/// When a person drills, and for how long.
#[derive(Clone, Debug, PartialEq)]
pub struct Sittings {
    /// Minutes of a sitting.
    pub minutes: f64,
    /// Chance that a day is sat: today, tomorrow, and so on over a week.
    pub chance: [f64; WEEK],
    /// There was a sitting today already: today has no other.
    pub sat_today: bool,
}

impl Sittings {
    /// Returns the days, today among them, in which so many sittings are expected; none where that is
    /// more than `most` days.
    pub fn days_for(&self, sittings: f64, most: u32) -> Option<u32> {
        let mut expected = 0.0;
        (0..most).find_map(|day| {
            if !(day == 0 && self.sat_today) {
                expected += self.chance[day as usize % WEEK];
            }
            (sittings <= expected + 1e-9).then_some(day + 1)
        })
    }
}

/// Returns the grade of an answer that is right with chance `recall`, where `drawn` (0 to 1) fell.
///
/// The lower the number drawn, the better the grade, so that more recall never grades worse.
pub fn grade(answers: &Habits, recall: f64, drawn: f64) -> Grade {
    if recall <= drawn {
        return Grade::Missed;
    }
    let within = drawn / recall;
    let [_, named, on_sight] = answers.right;
    if within < on_sight {
        Grade::OnSight
    } else if within < on_sight + named {
        Grade::Named
    } else {
        Grade::Hunted
    }
}

/// Returns the chance that each weekday is sat, Monday first, from the days that were: `sat` of
/// `passed`, by weekday.
///
/// The usual, five sittings in seven days whatever the weekday, weighs as much as two weeks (common
/// practice, no source).
pub fn sits(sat: [usize; WEEK], passed: [usize; WEEK]) -> [f64; WEEK] {
    const WEEKS: f64 = 2.0;
    std::array::from_fn(|i| {
        let (sat, passed) = (count(sat[i]), count(passed[i]));
        ((WEEKS * 5.0 / 7.0 + sat.min(passed)) / (WEEKS + passed)).clamp(0.0, 1.0)
    })
}

/// Everything that a simulation starts from.
#[derive(Clone, Debug)]
pub struct Person {
    /// The cards this person may be asked.
    pub cards: Vec<CardAhead>,
    /// Spot checks asked so far, by family.
    pub spot_checks: Vec<usize>,
    /// Spot checks of a sitting.
    pub spots: usize,
    /// Parameters of the memory model.
    pub weights: Weights,
    /// How answers fall, and which of them take how long.
    pub answers: Habits,
    /// How the person answers lately: a steady day is steered by it.
    pub manner: Manner,
    /// What the days aim at.
    pub aim: Aim,
    /// Recall that forecasts are made for: it levels the days.
    pub target: f64,
    /// When, and for how long.
    pub sittings: Sittings,
}

impl Person {
    /// Returns how many families the cards and the spot checks name.
    pub fn families(&self) -> usize {
        let named = self.cards.iter().map(|card| usize::from(card.family) + 1);
        named.max().unwrap_or(0).max(self.spot_checks.len())
    }

    /// Returns the chance of recall of a card on the morning of `day`; none before its first review.
    pub fn recall(&self, card: &CardAhead, day: i32) -> Option<f64> {
        let memory = card.memory?;
        let days = f64::from((day - card.reviewed).max(0));
        Some(crate::domain::memory::recall(
            &self.weights,
            memory.stability,
            days,
        ))
    }

    /// Returns readiness on the morning of `day` if nothing is drilled: the share of jobs whose card is
    /// recalled, a card never met counting as not recalled.
    pub fn readiness(&self, day: i32) -> f64 {
        let known = |card: &CardAhead| Some(card.share * self.recall(card, day)?);
        // From 0 up: the sum of nothing would be -0.
        self.cards
            .iter()
            .filter_map(known)
            .fold(0.0, |sum, k| sum + k)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_fall_as_their_chances_say() {
        let answers = Habits::USUAL;
        let grades: Vec<Grade> = (0..1000)
            .map(|i| grade(&answers, 0.8, f64::from(i) / 1000.0))
            .collect();
        let n = |one| grades.iter().filter(|g| **g == one).count();
        assert_eq!(n(Grade::Missed), 200);
        assert!(n(Grade::OnSight).abs_diff(120) <= 1);
        assert!(n(Grade::Named).abs_diff(480) <= 1);
        assert!(n(Grade::Hunted).abs_diff(200) <= 1);
        assert_eq!(grade(&answers, 0.0, 0.0), Grade::Missed);
        assert_eq!(grade(&answers, 1.0, 0.0), Grade::OnSight);
    }

    #[test]
    fn so_many_sittings_take_the_days_on_which_they_are_expected() {
        let mut sittings = Sittings {
            minutes: 15.0,
            chance: [1.0, 0.5, 0.5, 0.0, 0.0, 1.0, 1.0],
            sat_today: false,
        };
        let days = |sittings: &Sittings, n: f64| sittings.days_for(n, 90);
        assert_eq!(days(&sittings, 1.0), Some(1));
        assert_eq!(days(&sittings, 2.0), Some(3));
        assert_eq!(days(&sittings, 2.5), Some(6));
        assert_eq!(days(&sittings, 5.0), Some(8));
        sittings.sat_today = true;
        assert_eq!(days(&sittings, 1.0), Some(3));
        assert_eq!(days(&sittings, 1000.0), None);
        sittings.chance = [0.0; WEEK];
        assert_eq!(days(&sittings, 1.0), None);
    }

    #[test]
    fn weekdays_never_sat_become_rare_but_not_impossible() {
        let chances = sits([8, 8, 8, 8, 8, 0, 0], [8; WEEK]);
        assert!((chances[0] - (2.0 * 5.0 / 7.0 + 8.0) / 10.0).abs() < 1e-12);
        assert!(0.0 < chances[6] && chances[6] < 0.15, "{}", chances[6]);
        assert!((sits([0; WEEK], [0; WEEK])[3] - 5.0 / 7.0).abs() < 1e-12);
    }
}
