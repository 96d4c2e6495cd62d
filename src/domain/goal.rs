//! A day that a person wants to be ready by, and for which cards.
//!
//! It stands in the person's own file until its day comes or the person drops it. What it asks of a
//! sitting is worked out in `ahead/goal.rs`; which cards belong to a deck is the caller's to know.

use chrono::NaiveDate;

use crate::domain::calendar;

/// Fewest and most minutes of a day that a person may give it.
pub const MINUTES: (u32, u32) = (1, 600);
/// Most days ahead.
pub const MOST_DAYS: u32 = 730;

/// What a person wants to be ready for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Goal {
    /// The day: what is planned is recall on its morning.
    pub date: NaiveDate,
    /// Only cards of this deck.
    pub deck: Option<String>,
    /// Only cards of this board.
    pub board: Option<String>,
    /// Only cards of this circuit family.
    pub family: Option<String>,
    /// Most minutes of a day that go to it; none where the whole sitting may.
    pub minutes: Option<u32>,
}

impl Goal {
    /// Returns the days from `today` to its morning; none once it has come.
    pub fn days_left(&self, today: NaiveDate) -> Option<u32> {
        Some(calendar::elapsed(today, self.date)).filter(|days| 0 < *days)
    }

    /// Returns which cards it means: `board petrel-p4`; `all cards` where nothing is named.
    pub fn scope(&self) -> String {
        let named = [
            ("deck", &self.deck),
            ("board", &self.board),
            ("circuit", &self.family),
        ];
        let words: Vec<String> = named
            .into_iter()
            .filter_map(|(what, id)| Some(format!("{what} {}", id.as_ref()?)))
            .collect();
        if words.is_empty() {
            "all cards".to_owned()
        } else {
            words.join(", ")
        }
    }
}

/// Returns why no goal can be set for a day, where none can.
pub fn refusal(date: NaiveDate, today: NaiveDate) -> Option<String> {
    let days = date.signed_duration_since(today).num_days();
    if days <= 0 {
        Some(format!("it is not after today, {today}"))
    } else if i64::from(MOST_DAYS) < days {
        Some(format!("it is more than {MOST_DAYS} days ahead"))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples::day;

    #[test]
    fn it_stands_until_its_morning_and_says_which_cards_it_means() {
        let mut goal = Goal {
            date: day(9),
            deck: None,
            board: None,
            family: None,
            minutes: None,
        };
        assert_eq!(goal.days_left(day(0)), Some(9));
        assert_eq!(goal.days_left(day(8)), Some(1));
        assert_eq!(
            (goal.days_left(day(9)), goal.days_left(day(40))),
            (None, None)
        );
        assert_eq!(goal.scope(), "all cards");
        goal.board = Some("petrel-p4".to_owned());
        goal.family = Some("core".to_owned());
        assert_eq!(goal.scope(), "board petrel-p4, circuit core");
    }

    #[test]
    fn a_day_that_is_past_or_years_away_is_refused_with_the_reason() {
        assert!(refusal(day(0), day(0)).is_some_and(|why| why.contains("not after today")));
        assert!(refusal(day(-3), day(0)).is_some_and(|why| why.contains("2026-03-01")));
        assert!(refusal(day(731), day(0)).is_some_and(|why| why.contains("730 days")));
        assert_eq!(
            (refusal(day(1), day(0)), refusal(day(730), day(0))),
            (None, None)
        );
    }
}
