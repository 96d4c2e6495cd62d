//! How fast are the weeks ahead simulated?
//!
//! Invented people with 300, 900 and 3,000 cards, a third of them met, sit on four days in five for
//! fifteen minutes; as many runs of a year as make 100,000 card-years, on one thread and on two. That
//! both give the same is looked at as well. Then a plan backwards from a date, as `plan --ready-by`
//! makes it. Printed: medians of five. Goal: 100,000 card-years in under a second.
//! Run by `cargo bench --bench plan`.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a bench reads the clock")]

use std::hint::black_box;
use std::time::Instant;

use benchlore::domain::ahead::outlook;
use benchlore::domain::ahead::outlook::Question;
use benchlore::domain::ahead::person::CardAhead;
use benchlore::domain::ahead::person::Person;
use benchlore::domain::ahead::person::Sittings;
use benchlore::domain::ahead::ready;
use benchlore::domain::manner::Manner;
use benchlore::domain::memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::price::Habits;
use benchlore::domain::price::Prices;
use benchlore::domain::queue::Aim;
use benchlore::domain::review::Grade;
use benchlore::domain::units::count;

const CARD_YEARS: usize = 100_000;
const ROUNDS: usize = 5;
const FAMILIES: usize = 14;

fn person(n: usize) -> Person {
    let weights = Weights::published();
    let all: f64 = (0..n).map(|i| 1.0 / count(i + 5)).sum();
    let small = |i: usize| u16::try_from(i).expect("few");
    let cards = (0..n)
        .map(|i| {
            let met = i % 3 == 0;
            let memory = memory::first(&weights, Grade::ALL[i % 4]);
            CardAhead {
                share: 1.0 / count(i + 5) / all,
                factor: 1.0,
                seconds: 20.0 + count(i % 7),
                family: small(i % FAMILIES),
                memory: met.then_some(memory),
                reviewed: -i32::from(small(i % 9)),
                drawn: None,
                met,
                seen_today: false,
                spot: i % 6 != 0,
                rule: i % 6 == 0,
                fix: u32::try_from(i).expect("few"),
                gate: None,
                opens: Vec::new(),
            }
        })
        .collect();
    Person {
        cards,
        spot_checks: vec![0; FAMILIES],
        spots: 4,
        weights,
        answers: Habits::USUAL,
        manner: Manner::default(),
        aim: Aim::Steady,
        target: 0.9,
        sittings: Sittings {
            minutes: 15.0,
            chance: [0.8; 7],
            sat_today: false,
        },
    }
}

fn median(mut seconds: Vec<f64>) -> f64 {
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}

fn timed<T>(work: impl Fn() -> T) -> (f64, T) {
    let mut last = None;
    let seconds = (0..ROUNDS).map(|_| {
        let start = Instant::now();
        last = Some(black_box(work()));
        start.elapsed().as_secs_f64()
    });
    let seconds = median(seconds.collect());
    (seconds, last.expect("a round was made"))
}

fn main() {
    let prices = Prices::new(&Weights::published());
    println!("{CARD_YEARS} card-years simulated, median of {ROUNDS}:");
    for n in [300, 900, 3_000] {
        let person = person(n);
        let question = |threads| Question {
            days: 365,
            at: (0..=60).map(|step| step * 365 / 60).collect(),
            targets: vec![0.85, 0.9, 0.95],
            first: 0,
            plan: None,
            apart: Vec::new(),
            runs: CARD_YEARS.div_ceil(n) as u64,
            seed: 1,
            threads,
        };
        let run = |threads| outlook::outlook(&person, &prices, &question(threads));
        let (one, seen) = timed(|| run(1));
        let (two, same) = timed(|| run(2));
        assert!(seen == same, "threads change nothing");
        println!(
            "  {n:>5} cards: {one:.2} s on one thread, {two:.2} s on two; {:.1} of 100 jobs after a year",
            seen.mean * 100.0
        );
    }
    println!("a plan backwards from a date, median of {ROUNDS}:");
    for (n, days) in [(100, 14), (400, 30), (900, 90)] {
        let person = person(n);
        let (seconds, plan) = timed(|| ready::plan(&person, days));
        println!(
            "  {n:>5} cards, {days:>2} days: {seconds:.2} s; mean recall {:.3}",
            plan.recall
        );
    }
}
