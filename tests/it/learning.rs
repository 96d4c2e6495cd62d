//! A small version of `benches/learning`: what must hold of simulated apprentices under the real queue.
//!
//! How much better one schedule is than another is the bench's to say; here stands what may not fail.

use benchlore::domain::queue::Aim;

use crate::simulate::drill;
use crate::simulate::drill::Outcome;
use crate::simulate::drill::Schedule;
use crate::simulate::minds::Kind;
use crate::simulate::ours::Ours;
use crate::simulate::published::Random;
use crate::simulate::shop::Shop;
use crate::simulate::shop::Size;

/// A shop of which a person can learn a quarter in the time.
const SMALL: Size = Size {
    cards: 120,
    at_first: 100,
    a_week: 5,
    archive: 800,
    families: 5,
    days: 35,
};
const MINUTES: f64 = 4.0;

fn drills(kind: Kind, seed: u64, schedule: &mut dyn Schedule) -> Outcome {
    drill::run(&Shop::draw(seed, SMALL), kind, seed, MINUTES, schedule)
}

/// Returns the mean over one person of each kind, for so many seeds.
fn mean(
    seeds: std::ops::Range<u64>,
    schedule: fn() -> Box<dyn Schedule>,
    of: fn(&Outcome) -> f64,
) -> f64 {
    let people: Vec<f64> = seeds
        .flat_map(|seed| Kind::ALL.map(|kind| (kind, seed)))
        .map(|(kind, seed)| of(&drills(kind, seed, schedule().as_mut())))
        .collect();
    people.iter().sum::<f64>() / f64::from(u32::try_from(people.len()).expect("a few"))
}

fn steady() -> Box<dyn Schedule> {
    Box::new(Ours {
        fitted: false,
        ..Ours::new(Aim::Steady)
    })
}

fn without_shares() -> Box<dyn Schedule> {
    Box::new(Ours {
        fitted: false,
        by_share: false,
        ..Ours::new(Aim::Steady)
    })
}

fn at_the_end(outcome: &Outcome) -> f64 {
    outcome.ready[2]
}

#[test]
fn the_same_person_drills_the_same_way_twice_and_another_one_does_not() {
    let run = |seed| drills(Kind::Storage, seed, &mut Ours::new(Aim::Steady));
    let first = run(3);
    assert_eq!(first, run(3));
    assert_ne!(first, run(4));
    assert!(0 < first.fits, "enough was scored to fit: {first:?}");
}

#[test]
fn no_sitting_goes_over_its_minutes_by_more_than_a_card() {
    for kind in Kind::ALL {
        let outcome = drills(kind, 5, steady().as_mut());
        let most = MINUTES + outcome.longest_card;
        assert!(outcome.longest <= most, "{kind:?}: {outcome:?}");
        // The minutes are used as well: a person is not sent home early.
        assert!(MINUTES - 1.0 < outcome.minutes, "{kind:?}: {outcome:?}");
    }
}

#[test]
fn most_reviews_are_right_and_not_nearly_all() {
    // People lose heart below, and learn nothing above (common practice, no source).
    let right = mean(1..3, steady, |outcome| outcome.right);
    assert!((0.6..0.95).contains(&right), "{right}");
}

#[test]
fn knowing_the_job_shares_makes_people_readier_and_chance_does_not() {
    let ours = mean(1..3, steady, at_the_end);
    let even = mean(1..3, without_shares, at_the_end);
    let random = mean(1..3, || Box::new(Random), at_the_end);
    // Seen: 62.4 with shares, 30.5 without, 22.4 by chance; a tenth of that is no luck.
    assert!(even + 3.0 < ours, "{ours} with shares, {even} without");
    assert!(random + 3.0 < ours, "{ours}, and {random} by chance");
}
