//! Invented people for the tests.

use crate::domain::ahead::person::CardAhead;
use crate::domain::ahead::person::Person;
use crate::domain::ahead::person::Sittings;
use crate::domain::manner::Manner;
use crate::domain::memory;
use crate::domain::memory::Weights;
use crate::domain::price::Habits;
use crate::domain::queue::aim::Aim;
use crate::domain::review::Grade;
use crate::domain::units::count;

/// Someone with `n` cards in five families, of which the first `met` were met some days ago.
pub(crate) fn person(n: usize, met: usize) -> Person {
    let weights = Weights::published();
    let sum: f64 = (0..n).map(|i| 1.0 / count(i + 5)).sum();
    let cards = (0..n)
        .map(|i| {
            let known = i < met;
            let grade = Grade::ALL[i % 4];
            CardAhead {
                share: 1.0 / count(i + 5) / sum,
                factor: 1.0,
                seconds: 20.0 + count(i % 7),
                family: u16::try_from(i % 5).expect("below five"),
                memory: known.then(|| memory::first(&weights, grade)),
                reviewed: -i32::try_from(i % 9).expect("below nine"),
                drawn: None,
                met: known,
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
        spot_checks: vec![0; 5],
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
