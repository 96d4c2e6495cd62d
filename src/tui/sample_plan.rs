//! Invented weeks ahead for the tests of the screen.

use crate::app::plan::Budget;
use crate::app::plan::FamilyAhead;
use crate::app::plan::Plan;
use crate::app::plan::Target;
use crate::app::way_back::Recovery;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::outlook::Covered;

fn at(low: f64, mid: f64, high: f64) -> Band {
    Band { low, mid, high }
}

fn covered(days: [Option<u32>; 3]) -> Covered {
    Covered { days, share: 1.0 }
}

fn budget(minutes: f64, ready: Band, met: f64, days: [Option<u32>; 3], new: f64) -> Budget {
    Budget {
        minutes,
        ready,
        met: Band::sure(met),
        covered: covered(days),
        new_a_sitting: new,
        right: Some(at(0.71, 0.74, 0.77)),
    }
}

fn family(id: &str, cards: usize, met: usize, now: f64, then: Band) -> FamilyAhead {
    FamilyAhead {
        id: id.to_owned(),
        cards,
        met,
        now,
        then,
    }
}

/// The weeks ahead of someone who was away for two weeks.
pub(super) fn plan() -> Plan {
    let day = chrono::NaiveDate::from_ymd_opt(2026, 4, 2).expect("a date");
    let middle = budget(
        15.0,
        at(0.74, 0.78, 0.82),
        196.0,
        [Some(61), Some(70), Some(84)],
        2.1,
    );
    let target = |recall, days, now, then| Target {
        recall,
        days: Some(days),
        now,
        then,
    };
    Plan {
        person: "mk".to_owned(),
        initials: "mk".to_owned(),
        scope: None,
        day,
        until: day + chrono::Days::new(90),
        days: 90,
        minutes: 15.0,
        sittings_a_week: 5.2,
        cards: 196,
        met: 82,
        answers: 914,
        gone: 0,
        published: false,
        at: vec![0, 10, 30, 60, 90],
        ready: vec![
            Band::sure(0.41),
            at(0.49, 0.52, 0.55),
            at(0.60, 0.64, 0.68),
            at(0.69, 0.73, 0.77),
            at(0.74, 0.78, 0.82),
        ],
        undrilled: 0.27,
        families: vec![
            family("core", 40, 21, 0.44, at(0.72, 0.77, 0.81)),
            family("standby", 31, 16, 0.52, at(0.75, 0.80, 0.86)),
            family("clock", 9, 1, 0.08, at(0.31, 0.58, 0.79)),
        ],
        covered: middle.covered,
        new_a_sitting: 2.1,
        used: 15.0,
        right: middle.right,
        budgets: vec![
            budget(10.0, at(0.63, 0.67, 0.71), 158.0, [None, None, None], 1.3),
            middle,
            budget(
                20.0,
                at(0.80, 0.84, 0.87),
                196.0,
                [Some(40), Some(47), Some(55)],
                2.9,
            ),
        ],
        targets: vec![
            target(0.85, 19, 51, at(140.0, 149.0, 158.0)),
            target(0.9, 11, 38, at(101.0, 112.0, 121.0)),
            target(0.95, 4, 20, at(52.0, 61.0, 70.0)),
        ],
        ready_by: String::new(),
        recovery: Some(recovery()),
        expected: None,
        runs: 120,
        faults: Vec::new(),
    }
}

/// The way back after two weeks.
pub(super) fn recovery() -> Recovery {
    let sitting = |families: &[&str], ready: f64| {
        let families = families.iter().map(|f| (*f).to_owned()).collect();
        (families, at(ready - 0.01, ready, ready + 0.01))
    };
    Recovery {
        away: 14,
        before: 0.53,
        now: 0.41,
        sittings: Some(at(4.0, 5.0, 6.0)),
        days: Some(7),
        lost: vec![("inlet".to_owned(), 0.051), ("buck".to_owned(), 0.032)],
        first: vec![
            sitting(&["inlet", "buck", "core"], 0.45),
            sitting(&["buck", "inlet", "core"], 0.48),
            sitting(&["core", "inlet"], 0.50),
            sitting(&["core", "standby"], 0.52),
            sitting(&["standby", "core"], 0.535),
            sitting(&["sequence", "core"], 0.55),
        ],
    }
}

/// A day to be ready by that is out of reach.
pub(super) const READY_BY: &str = "Ready by 20 Apr, board petrel-p4: 12 cards of it first, about 9 of 15 \
minutes; NOT in reach: 81 of 100 over 41 cards instead of 90. About 25 minutes a day for it would reach \
90, or a later day, or fewer cards.";
