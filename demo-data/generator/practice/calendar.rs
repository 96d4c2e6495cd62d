//! Free job numbers and the days they were closed on.
//!
//! The jobs written by hand leave gaps in the shop's numbers; the generated ones fill them, so that
//! numbers and days run together. Whatever stays free was no board repair.

use chrono::Datelike;
use chrono::Days;
use chrono::NaiveDate;
use chrono::Weekday;

/// A number that no job has, and its closing day.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slot {
    pub(crate) number: u32,
    pub(crate) day: NaiveDate,
}

/// Returns a day by its parts.
pub(crate) fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
}

fn is_closed(day: NaiveDate) -> bool {
    let weekend = matches!(day.weekday(), Weekday::Sat | Weekday::Sun);
    weekend || [(12, 24), (12, 25), (12, 26), (1, 1)].contains(&(day.month(), day.day()))
}

/// Returns `day`, or the last working day before it.
pub(crate) fn working(mut day: NaiveDate) -> NaiveDate {
    while is_closed(day) {
        day = day.pred_opt().expect("the calendar goes on");
    }
    day
}

/// Returns `from` and `n` days, or the next working day.
pub(crate) fn later(from: NaiveDate, n: u64) -> NaiveDate {
    let mut day = from.checked_add_days(Days::new(n)).expect("it is near");
    while is_closed(day) {
        day = day.succ_opt().expect("the calendar goes on");
    }
    day
}

fn between(from: (u32, NaiveDate), to: (u32, NaiveDate), slots: &mut Vec<Slot>) {
    let days = (to.1 - from.1).num_days();
    for number in from.0 + 1..to.0 {
        let done = i64::from(number - from.0) * days / i64::from(to.0 - from.0);
        let done = u64::try_from(done).expect("days run forward");
        let reached = from.1.checked_add_days(Days::new(done));
        let day = working(reached.expect("it is near")).max(from.1);
        slots.push(Slot { number, day });
    }
}

/// Returns what is free around the jobs `taken`, by day and number.
pub(crate) fn slots(taken: &[(u32, NaiveDate)]) -> Vec<Slot> {
    let mut slots = Vec::new();
    let opened = (0, day(2023, 11, 21));
    let mut before = opened;
    for &job in taken {
        between(before, job, &mut slots);
        before = job;
    }
    // In the last summer the numbers written by hand are few: newer ones were closed beside them.
    between(
        (before.0, day(2026, 6, 29)),
        (736, day(2026, 11, 19)),
        &mut slots,
    );
    slots.sort_by_key(|slot| (slot.day, slot.number));
    slots
}
