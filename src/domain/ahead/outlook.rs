//! Many runs through the coming days, and what they say together.

use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;

use crate::domain::ahead::bands;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::base::Base;
use crate::domain::ahead::chance::Chance;
use crate::domain::ahead::person::Person;
use crate::domain::ahead::run;
use crate::domain::ahead::run::Run;
use crate::domain::price::Prices;
use crate::domain::side_by_side;
use crate::domain::units::count;

/// Runs that go to a thread at a time: few, so that threads end together.
const PIECE: u64 = 2;

/// What is asked of a simulation.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Days to go through; the last morning is that many days from today.
    pub days: u32,
    /// Mornings on which readiness is taken, rising, none later than `days`.
    pub at: Vec<u32>,
    /// Recall targets: how many cards will stand at or above each.
    pub targets: Vec<f64>,
    /// How many of the first sittings are told in detail.
    pub first: usize,
    /// A plan (`ready.rs`) that is followed. Its date is the last morning.
    pub plan: Option<Followed>,
    /// Cards whose readiness on the last morning is told apart; none of them where it is empty.
    pub apart: Vec<bool>,
    /// Runs.
    pub runs: u64,
    /// Seed of the chance.
    pub seed: u64,
    /// Threads allowed; the answer does not depend on it.
    pub threads: usize,
}

/// Days on which a plan asks cards: it goes before the daily queue, in the light of the answers so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// Of each card, the days on which it is asked, rising; none for a card that the daily queue keeps.
    pub days: Vec<Option<Vec<u32>>>,
    /// Most seconds of a sitting that go to it.
    pub seconds: f64,
}

impl Followed {
    /// Returns the plan that asks these cards on these days with the whole sitting.
    pub fn whole(days: Vec<Vec<u32>>) -> Self {
        Self {
            days: days.into_iter().map(Some).collect(),
            seconds: f64::INFINITY,
        }
    }

    /// Tells whether spot checks ride along: a plan for all cards has no room for them.
    pub(super) fn has_spot_checks(&self) -> bool {
        self.days.iter().any(Option::is_none)
    }
}

/// What many runs say together; every morning is before that day's sitting.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Mornings, days from today.
    pub at: Vec<u32>,
    /// Readiness on them.
    pub ready: Vec<Band>,
    /// Mean readiness on the last.
    pub mean: f64,
    /// Cards met by them.
    pub met: Vec<Band>,
    /// Job-weighted recall of each family on the last.
    pub families: Vec<Band>,
    /// Mean recall of all cards on the last, a card never met counting as none.
    pub known: Band,
    /// Mean of that over the runs.
    pub known_mean: f64,
    /// Job-weighted recall on the last of the cards that are told apart.
    pub apart: Band,
    /// Mean of that over the runs.
    pub apart_mean: f64,
    /// Cards at or above each target on the last.
    pub above: Vec<Band>,
    /// When every card will have been met.
    pub covered: Covered,
    /// Share of answers to cards met before that were right; none where no run has any.
    pub right: Option<Band>,
    /// Sittings.
    pub sittings: Band,
    /// Minutes drilled altogether.
    pub minutes: Band,
    /// Each of the first sittings: mean number of askings by family, and readiness the morning after.
    pub first: Vec<Sitting>,
    runs: Vec<Run>,
}

/// One of the first sittings.
#[derive(Clone, Debug, PartialEq)]
pub struct Sitting {
    /// Mean number of askings, by family.
    pub asked: Vec<f64>,
    /// Readiness the morning after.
    pub after: Band,
}

/// When every card will have been met.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Covered {
    /// Days from today in which one run in ten, half of them, and nine in ten had met them all; none
    /// where fewer had.
    pub days: [Option<u32>; 3],
    /// Share of the runs in which all were met.
    pub share: f64,
}

impl Covered {
    fn of(runs: &[Run], nothing_new: bool) -> Self {
        if nothing_new {
            return Self {
                days: [Some(0); 3],
                share: 1.0,
            };
        }
        let mut days: Vec<u32> = runs.iter().filter_map(|run| run.covered).collect();
        days.sort_unstable();
        // The day by which at least so many of all runs were through.
        let by = |tenths: usize| {
            let nth = (runs.len() * tenths).div_ceil(10);
            days.get(nth.saturating_sub(1)).copied()
        };
        Self {
            days: [1, 5, 9].map(by),
            share: count(days.len()) / count(runs.len().max(1)),
        }
    }
}

/// Returns what the coming days bring a person.
pub fn outlook(person: &Person, prices: &Prices, question: &Question) -> Outlook {
    let (runs, _) = walked(person, prices, question, &|_| true);
    told(runs, question, is_all_met(person))
}

/// Returns what the coming days bring a person; `progress` is told how many runs are done at a time, and
/// says whether to go on. None where it was broken off.
pub fn while_wanted(
    person: &Person,
    prices: &Prices,
    question: &Question,
    progress: &(dyn Fn(u64) -> bool + Sync),
) -> Option<Outlook> {
    let (runs, wanted) = walked(person, prices, question, progress);
    wanted.then(|| told(runs, question, is_all_met(person)))
}

/// Returns the runs in their order, and whether they were wanted to the end.
fn walked(
    person: &Person,
    prices: &Prices,
    question: &Question,
    progress: &(dyn Fn(u64) -> bool + Sync),
) -> (Vec<Run>, bool) {
    let base = Base::new(person, prices);
    let pieces: Vec<u64> = (0..question.runs.div_ceil(PIECE)).collect();
    let wanted = AtomicBool::new(true);
    let runs = side_by_side::map(question.threads, pieces, |piece| {
        let from = piece * PIECE;
        let to = (from + PIECE).min(question.runs);
        if !wanted.load(Ordering::Relaxed) {
            return Vec::new();
        }
        let done: Vec<Run> = (from..to)
            .map(|nth| run::run(&base, question, Chance::of_run(question.seed, nth)))
            .collect();
        if !progress(to - from) {
            wanted.store(false, Ordering::Relaxed);
        }
        done
    });
    (runs.into_iter().flatten().collect(), wanted.into_inner())
}

fn is_all_met(person: &Person) -> bool {
    person.cards.iter().all(|card| card.met)
}

fn told(runs: Vec<Run>, question: &Question, nothing_new: bool) -> Outlook {
    let over = |value: &dyn Fn(&Run) -> f64| bands::band(runs.iter().map(value));
    let each = |n: usize, value: &dyn Fn(&Run, usize) -> f64| -> Vec<Band> {
        (0..n).map(|i| over(&|run| value(run, i))).collect()
    };
    let stops = question.at.len();
    let families = runs.first().map_or(0, |run| run.families.len());
    let first = runs.iter().map(|run| run.after.len()).min().unwrap_or(0);
    let sitting = |nth: usize| Sitting {
        asked: (0..families)
            .map(|family| bands::mean(runs.iter().map(|run| f64::from(run.first[nth][family]))))
            .collect(),
        after: over(&|run| run.after[nth]),
    };
    let reviewed = runs.iter().filter(|run| 0 < run.reviews);
    let right: Vec<f64> = reviewed
        .map(|run| count(run.right) / count(run.reviews))
        .collect();
    Outlook {
        at: question.at.clone(),
        ready: each(stops, &|run, i| run.ready[i]),
        mean: bands::mean(runs.iter().filter_map(|run| run.ready.last().copied())),
        met: each(stops, &|run, i| count(run.met[i])),
        families: each(families, &|run, i| run.families[i]),
        known: over(&|run| run.known),
        known_mean: bands::mean(runs.iter().map(|run| run.known)),
        apart: over(&|run| run.apart),
        apart_mean: bands::mean(runs.iter().map(|run| run.apart)),
        above: each(question.targets.len(), &|run, i| count(run.above[i])),
        covered: Covered::of(&runs, nothing_new),
        right: (!right.is_empty()).then(|| bands::band(right)),
        sittings: over(&|run| count(run.sittings)),
        minutes: over(&|run| run.seconds / 60.0),
        first: (0..first.min(question.first)).map(sitting).collect(),
        runs,
    }
}

impl Outlook {
    /// Returns after how many of the first sittings readiness stands at `mark` or above, as a band, and
    /// the share of runs in which it does; a run in which it does not counts as one sitting more than
    /// were told.
    pub fn back_at(&self, mark: f64) -> (Band, f64) {
        let told = |run: &Run| run.after.iter().position(|ready| mark <= *ready);
        let back = self.runs.iter().filter(|run| told(run).is_some()).count();
        let sittings = |run: &Run| count(told(run).unwrap_or(run.after.len()) + 1);
        let band = bands::band(self.runs.iter().map(sittings));
        (band, count(back) / count(self.runs.len().max(1)))
    }
}

/// Returns the cards that a simulated sitting today would hold beside these spot checks; by a plan with
/// its date, where one is given.
#[cfg(test)]
pub(crate) fn first_sitting(
    person: &Person,
    prices: &Prices,
    spots: &[u32],
    plan: Option<(&Followed, u32)>,
) -> std::collections::BTreeSet<u32> {
    run::first_sitting(&Base::new(person, prices), spots, plan)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ahead::made_up;
    use crate::domain::ahead::ready;
    use crate::domain::memory;
    use crate::domain::review::Grade;
    use std::sync::OnceLock;
    use std::sync::atomic::AtomicU64;

    fn prices() -> &'static Prices {
        static PRICES: OnceLock<Prices> = OnceLock::new();
        PRICES.get_or_init(|| Prices::new(&memory::Weights::published()))
    }

    fn question(days: u32, runs: u64) -> Question {
        Question {
            days,
            at: vec![0, days / 2, days],
            targets: vec![0.85, 0.9, 0.95],
            first: 3,
            plan: None,
            apart: Vec::new(),
            runs,
            seed: 1,
            threads: 2,
        }
    }

    fn seen(person: &Person, question: &Question) -> Outlook {
        outlook(person, prices(), question)
    }

    #[test]
    fn a_seed_repeats_whatever_the_number_of_threads_and_another_seed_does_not() {
        let person = made_up::person(60, 25);
        let asked = question(20, 20);
        let one = seen(&person, &asked);
        for threads in [1, 3] {
            let again = Question {
                threads,
                ..asked.clone()
            };
            assert_eq!(seen(&person, &again), one);
        }
        let other = Question { seed: 2, ..asked };
        assert_ne!(seen(&person, &other).mean.to_bits(), one.mean.to_bits());
    }

    #[test]
    fn whoever_turns_away_is_not_waited_for() {
        let person = made_up::person(60, 25);
        let asked = question(20, 200);
        let told = AtomicU64::new(0);
        let before = |most: u64| {
            told.store(0, Ordering::Relaxed);
            let progress = |runs| told.fetch_add(runs, Ordering::Relaxed) + runs < most;
            while_wanted(&person, prices(), &asked, &progress)
        };
        assert!(before(10).is_none());
        // Each of the two threads ends what it is at.
        assert!(told.load(Ordering::Relaxed) <= 10 + 2 * PIECE);
        let whole = before(u64::MAX).expect("all runs");
        assert_eq!(told.load(Ordering::Relaxed), 200);
        assert_eq!(whole, seen(&person, &asked));
    }

    #[test]
    fn every_share_is_a_chance_and_every_count_within_the_deck() {
        for (cards, met) in [(1, 0), (40, 0), (40, 40), (40, 17)] {
            let found = seen(&made_up::person(cards, met), &question(30, 16));
            let shares = found
                .ready
                .iter()
                .chain(&found.families)
                .chain([&found.known]);
            for band in shares {
                assert!(0.0 <= band.low && band.high <= 1.0 + 1e-9, "{band:?}");
                assert!(band.low <= band.mid && band.mid <= band.high, "{band:?}");
            }
            for band in found.above.iter().chain(&found.met) {
                assert!(0.0 <= band.low && band.high <= count(cards), "{band:?}");
            }
            assert!((count(met) - found.met[0].mid).abs() < 1e-12);
        }
    }

    #[test]
    fn with_no_minutes_all_fades_as_the_curve_says() {
        let mut person = made_up::person(40, 30);
        person.sittings.minutes = 0.0;
        let found = seen(&person, &question(30, 4));
        for (day, band) in [0, 15, 30].into_iter().zip(&found.ready) {
            assert!((band.mid - person.readiness(day)).abs() < 1e-12);
            assert!(band.width() < 1e-12);
        }
        assert!(found.ready[2].mid < found.ready[0].mid);
        assert_eq!((found.right, found.covered.days), (None, [None; 3]));
        assert!(found.sittings.high.abs() < 1e-12);
    }

    #[test]
    fn more_minutes_never_buy_less() {
        let mean = |minutes: f64| {
            let mut person = made_up::person(120, 40);
            person.sittings.minutes = minutes;
            seen(&person, &question(40, 24)).mean
        };
        let means: Vec<f64> = [0.0, 2.0, 5.0, 10.0, 20.0].map(mean).to_vec();
        // The same luck in all of them; what is left of chance is far below a point.
        for pair in means.windows(2) {
            assert!(pair[0] < pair[1] + 0.005, "{means:?}");
        }
        assert!(means[0] + 0.2 < means[4], "{means:?}");
    }

    #[test]
    fn the_mean_of_one_card_is_what_all_its_branches_come_to() {
        // One card met, asked every day for three days, no spot checks: the eighteen branches of grades
        // are followed by hand and weighed with their chances.
        let mut person = made_up::person(1, 1);
        person.spots = 0;
        person.sittings.chance = [1.0; 7];
        person.cards[0].reviewed = -2;
        let (weights, answers) = (&person.weights, person.answers);
        let grades = [
            (Grade::Hunted, answers.right[0]),
            (Grade::Named, answers.right[1]),
            (Grade::OnSight, answers.right[2]),
        ];
        let start = person.cards[0].memory.expect("met");
        let mut branches = vec![(start, -2, 1.0)];
        for day in 0..2 {
            let mut next = Vec::new();
            for (memory, reviewed, chance) in branches {
                let days = u32::try_from(day - reviewed).expect("later");
                let recall = memory::recall(weights, memory.stability, f64::from(days));
                for (grade, share) in grades {
                    let after = memory::next(weights, memory, days, grade);
                    next.push((after, day, chance * recall * share));
                }
                let missed = memory::next(weights, memory, days, Grade::Missed);
                let back = |grade, share| {
                    let after = memory::next(weights, missed, 0, grade);
                    (after, day, chance * (1.0 - recall) * share)
                };
                next.push(back(Grade::Missed, 1.0 - answers.again));
                next.extend(grades.map(|(grade, share)| back(grade, answers.again * share)));
            }
            branches = next;
        }
        let expected: f64 = branches
            .iter()
            .map(|(memory, _, chance)| chance * memory::recall(weights, memory.stability, 1.0))
            .sum();
        let asked = Question {
            at: vec![2],
            ..question(2, 4000)
        };
        let found = seen(&person, &asked);
        // 4,000 runs of numbers that lie within 0.2 of each other: three standard errors are 0.01.
        assert!(
            (found.mean - expected).abs() < 0.01,
            "{} {expected}",
            found.mean
        );
    }

    #[test]
    fn a_card_behind_a_gate_is_met_on_a_later_day_than_what_opens_it() {
        let mut person = made_up::person(2, 0);
        person.sittings.chance = [1.0; 7];
        person.cards[0].opens = vec![0];
        person.cards[1].gate = Some(0);
        let asked = Question {
            at: vec![0, 1, 2],
            ..question(2, 8)
        };
        let met: Vec<f64> = seen(&person, &asked).met.iter().map(|b| b.high).collect();
        assert_eq!(met, [0.0, 1.0, 2.0]);
        person.cards[0].gate = Some(1);
        let shut = seen(&person, &asked);
        assert!(
            shut.met[2].high.abs() < 1e-12,
            "nothing opens the first gate"
        );
    }

    #[test]
    fn a_deck_that_was_met_whole_is_covered_today_and_a_short_time_covers_none() {
        let whole = seen(&made_up::person(10, 10), &question(5, 8));
        assert_eq!(whole.covered.days, [Some(0); 3]);
        let none = seen(&made_up::person(300, 10), &question(3, 8));
        assert_eq!((none.covered.days, none.covered.share), ([None; 3], 0.0));
        let soon = seen(&made_up::person(30, 10), &question(40, 20)).covered;
        let [Some(first), Some(half), Some(most)] = soon.days else {
            panic!("{soon:?}");
        };
        assert!(first <= half && half <= most, "{soon:?}");
    }

    #[test]
    fn a_plan_reaches_about_what_it_says_and_more_than_the_usual_order() {
        for (cards, met, days) in [(80, 40, 12), (60, 0, 10)] {
            let mut person = made_up::person(cards, met);
            person.sittings.minutes = 5.0;
            let plan = ready::plan(&person, days);
            let asked = question(days, 24);
            let usual = seen(&person, &asked).known_mean;
            let by_plan = Question {
                plan: Some(Followed::whole(plan.days)),
                ..asked
            };
            let reached = seen(&person, &by_plan).known_mean;
            assert!(
                (reached - plan.recall).abs() < 0.08,
                "{reached} {}",
                plan.recall
            );
            assert!(usual + 0.03 < reached, "{usual} {reached}");
        }
    }

    #[test]
    fn sittings_until_a_mark_are_counted_and_none_reach_what_is_out_of_reach() {
        let found = seen(&made_up::person(60, 30), &question(30, 10));
        let (at_once, share) = found.back_at(0.0);
        assert!((at_once.mid - 1.0).abs() < 1e-12 && (share - 1.0).abs() < 1e-12);
        let (never, share) = found.back_at(1.1);
        assert!((never.mid - 4.0).abs() < 1e-12 && share.abs() < 1e-12);
    }
}
