//! Days that a text names, and what stays in doubt of them.

use std::ops::Range;

use chrono::NaiveDate;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::said::Got;
use crate::domain::intake::reading::scan::Day;

impl Reader<'_> {
    pub(super) fn settle_days(&mut self) {
        let days: Vec<(Day, Range<usize>)> = self
            .days
            .iter()
            .take(16)
            .filter_map(|i| match &self.items[*i].what {
                What::Day(day) => Some((*day, self.items[*i].words.clone())),
                _ => None,
            })
            .collect();
        let year = days.iter().find_map(|(day, _)| year_of(*day));
        for (day, words) in days {
            if day.c.is_none() && !self.is_date_word_before(words.start) && year.is_none() {
                continue;
            }
            let Some(full) = year_of(day).or(year) else {
                self.remark("closed_on", Doubt::YearMissing, words);
                continue;
            };
            if day.c.is_none() {
                self.remark("closed_on", Doubt::YearMissing, words.clone());
            }
            let (first, sure) = day_first(day, self.known.dates);
            if !sure {
                self.remark("closed_on", Doubt::DateOrder, words.clone());
            }
            let (d, m) = match (day.year_first, day.c) {
                (true, Some(c)) => (c, day.b),
                _ if first => (day.a, day.b),
                _ => (day.b, day.a),
            };
            if let Some(what) = NaiveDate::from_ymd_opt(full, m, d) {
                self.out.days.push(Got {
                    what,
                    words,
                    sure: sure && day.c.is_some(),
                });
            }
        }
    }

    fn is_date_word_before(&self, start: usize) -> bool {
        let before = self.items.iter().rev().find(|i| i.words.end <= start);
        let Some(item) = before else {
            return false;
        };
        let said = self.text[item.words.clone()].to_ascii_lowercase();
        [
            "fixed",
            "on",
            "am",
            "vom",
            "returned",
            "back",
            "repaired",
            "closed",
            "done",
            "came back",
        ]
        .contains(&said.as_str())
    }
}

fn year_of(day: Day) -> Option<i32> {
    let year = if day.year_first { day.a } else { day.c? };
    let year = i32::try_from(year).ok()?;
    Some(if year < 100 { year + 2000 } else { year })
}

/// Tells whether the day stands first, and whether that is sure.
fn day_first(day: Day, order: DateOrder) -> (bool, bool) {
    if day.year_first {
        return (true, true);
    }
    match order {
        DateOrder::DayFirst => (day.b <= 12, day.b <= 12),
        DateOrder::MonthFirst => (day.a > 12, day.a <= 12),
        DateOrder::Unknown if day.a > 12 => (true, true),
        DateOrder::Unknown if day.b > 12 => (false, true),
        DateOrder::Unknown => (true, day.a == day.b),
    }
}
