//! Does it teach? Simulated apprentices drill for 180 days under this scheduler and under others.
//!
//! 60 people of each of four kinds, fifteen of their own minutes a day, days missed and two weeks
//! away; the same people, shops and luck under every schedule. Printed: readiness (job share times
//! true chance of recall, summed over the cards that are there) on days 30, 90 and 180, and
//! differences between the same people's results with 95 % intervals. What is simulated, and what is
//! left out, is written in `simulate/mod.rs`. The same number of people gives the same table.
//!
//! After `--`: another number of people of a kind (`-- 6` is a quick look), parts of the names of the
//! schedules wanted (two published ones are always there), or `wire`, which lets one of each kind (the
//! first two with `wire 2`) drill for 30 days through the program itself.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]

mod simulate;
mod table;
mod wire;

use std::io::IsTerminal;
use std::io::Write;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;

use benchlore::domain::queue::Aim;

use crate::simulate::drill;
use crate::simulate::drill::Outcome;
use crate::simulate::drill::Schedule;
use crate::simulate::minds::Kind;
use crate::simulate::oracle::Oracle;
use crate::simulate::ours::Ours;
use crate::simulate::published::ByDueDay;
use crate::simulate::published::New;
use crate::simulate::published::Overdue;
use crate::simulate::published::Random;
use crate::simulate::published::Rule;
use crate::simulate::shop::Shop;
use crate::simulate::shop::Size;

/// People of a kind.
const PEOPLE: usize = 60;
/// Minutes of a sitting.
const MINUTES: f64 = 15.0;
/// Threads.
const THREADS: usize = 2;

/// A schedule of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Policy {
    Ours,
    Readiness,
    DefaultWeights,
    NoShares,
    Overdue(f64, New),
    ByDueDay(Rule, New),
    Random,
    Oracle,
}

/// The published schedules that all others are measured against: the one that was best in earlier
/// simulations, and the one that is best in these.
const PEERS: [Policy; 2] = [
    Policy::Overdue(0.8, New::Commonest),
    Policy::Overdue(0.9, New::Commonest),
];

const POLICIES: [Policy; 15] = [
    PEERS[0],
    PEERS[1],
    Policy::Overdue(0.85, New::Commonest),
    Policy::Overdue(0.8, New::DeckOrder),
    Policy::Overdue(0.9, New::DeckOrder),
    Policy::ByDueDay(Rule::Sm2, New::Commonest),
    Policy::ByDueDay(Rule::Sm2, New::DeckOrder),
    Policy::ByDueDay(Rule::Ladder, New::Commonest),
    Policy::ByDueDay(Rule::Ladder, New::DeckOrder),
    Policy::Random,
    Policy::Ours,
    Policy::Readiness,
    Policy::DefaultWeights,
    Policy::NoShares,
    Policy::Oracle,
];

impl Policy {
    fn name(self) -> String {
        let order = |new| match new {
            New::Commonest => "commonest first",
            New::DeckOrder => "deck order",
        };
        match self {
            Self::Ours => "this scheduler, steady (default)".to_owned(),
            Self::Readiness => "this scheduler, readiness".to_owned(),
            Self::DefaultWeights => "steady, default weights".to_owned(),
            Self::NoShares => "steady, without job shares".to_owned(),
            Self::Overdue(target, new) => format!("21 parameters at {target}, {}", order(new)),
            Self::ByDueDay(Rule::Sm2, new) => format!("SM-2 of 1990, {}", order(new)),
            Self::ByDueDay(Rule::Ladder, new) => format!("1-3-7-14-30-60, {}", order(new)),
            Self::Random => "random".to_owned(),
            Self::Oracle => "oracle".to_owned(),
        }
    }

    fn schedule(self) -> Box<dyn Schedule> {
        let ours = Ours::new(Aim::Steady);
        match self {
            Self::Ours => Box::new(ours),
            Self::Readiness => Box::new(Ours::new(Aim::Readiness)),
            Self::DefaultWeights => Box::new(Ours {
                fitted: false,
                ..ours
            }),
            Self::NoShares => Box::new(Ours {
                by_share: false,
                ..ours
            }),
            Self::Overdue(target, new) => Box::new(Overdue { target, new }),
            Self::ByDueDay(rule, new) => Box::new(ByDueDay::new(rule, new, Size::FULL.cards)),
            Self::Random => Box::new(Random),
            Self::Oracle => Box::<Oracle>::default(),
        }
    }
}

fn main() {
    let number = std::env::args().skip(1).find_map(|word| word.parse().ok());
    if std::env::args().any(|word| word == "wire") {
        let program = Path::new(env!("CARGO_BIN_EXE_benchlore"));
        return wire::compare(program, MINUTES, number.unwrap_or(Kind::ALL.len()));
    }
    let people = number.unwrap_or(PEOPLE).max(2);
    let named = |policy: &Policy| {
        let name = policy.name();
        let words = || {
            std::env::args()
                .skip(1)
                .filter(|word| is_part_of_a_name(word))
        };
        words().next().is_none() || words().any(|word| name.contains(&word))
    };
    let policies: Vec<Policy> = POLICIES
        .into_iter()
        .filter(|policy| PEERS.contains(policy) || named(policy))
        .collect();
    let found = simulate(people, &policies);
    let titles: Vec<String> = policies.iter().map(|policy| policy.name()).collect();
    table::print(&titles, PEERS.len(), &found, people);
}

/// Returns what came of each person (kind by kind) under each policy.
fn simulate(people: usize, policies: &[Policy]) -> Vec<Vec<Outcome>> {
    let all = people * Kind::ALL.len();
    let next = AtomicUsize::new(0);
    let found: Mutex<Vec<Vec<Outcome>>> = Mutex::new(vec![Vec::new(); all]);
    let done = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..THREADS {
            scope.spawn(|| {
                loop {
                    let person = next.fetch_add(1, Ordering::Relaxed);
                    if all <= person {
                        break;
                    }
                    let outcomes = drill_all(Kind::ALL[person / people], person, policies);
                    found.lock().expect("no thread panics")[person] = outcomes;
                    show(done.fetch_add(1, Ordering::Relaxed) + 1, all);
                }
            });
        }
    });
    found.into_inner().expect("no thread panics")
}

/// Lets one person drill under each policy.
fn drill_all(kind: Kind, person: usize, policies: &[Policy]) -> Vec<Outcome> {
    let seed = 1 + person as u64;
    let shop = Shop::draw(seed, Size::FULL);
    let outcome = |policy: &Policy| {
        let mut schedule = policy.schedule();
        drill::run(&shop, kind, seed, MINUTES, schedule.as_mut())
    };
    policies.iter().map(outcome).collect()
}

/// Tells whether a word of the command line chooses schedules (`cargo bench` adds one of its own).
fn is_part_of_a_name(word: &str) -> bool {
    word.parse::<usize>().is_err() && !word.starts_with("--")
}

/// Draws how far it is, on a terminal.
fn show(done: usize, all: usize) {
    let mut out = std::io::stderr().lock();
    if out.is_terminal() {
        let full = 40 * done / all;
        let bar = "#".repeat(full) + &".".repeat(40 - full);
        let end = if done == all { "\n" } else { "" };
        // A terminal that went away is no reason to stop.
        let _gone = write!(out, "\r[{bar}] {done} of {all} people{end}");
        let _gone = out.flush();
    }
}
