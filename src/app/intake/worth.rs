//! What the first rows of the list are worth: how many more cards a build makes with them.
//!
//! Not an estimate: the builder runs over the archive, and over the archive with these rows as they
//! would be accepted. A later build of the same jobs confirms the number.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::DateTime;
use chrono::Utc;

use crate::app::archive;
use crate::app::intake::Session;
use crate::app::intake::decide;
use crate::app::workbench::Workbench;
use crate::domain::ids;
use crate::domain::intake::repair;
use crate::domain::job::Job;
use crate::domain::text::number_of;

/// Rows that are counted together: a sitting.
pub const ROWS: usize = 50;
/// Jobs in an archive up to which the builder is run for a count.
pub const MOST_JOBS: usize = 20_000;

/// What there is to count.
#[derive(Clone, Debug)]
pub struct Task {
    workbench: Workbench,
    archive: Arc<Vec<Job>>,
    more: Vec<Job>,
    rows: usize,
    now: DateTime<Utc>,
    /// Mark of everything that the count depends on.
    pub mark: String,
}

/// What the first rows are worth.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Worth {
    /// Rows looked at.
    pub rows: usize,
    /// Those that lack nothing once their suggestions are taken.
    pub whole: usize,
    /// Cards that a build makes more with those; none where it was not counted.
    pub cards: Option<i64>,
}

impl Worth {
    /// Returns it in a sentence.
    pub fn words(&self) -> String {
        let rows = number_of(self.rows, "row");
        let these = if self.rows == 1 { "this row" } else { "these" };
        let these = match self.rows {
            1 => these.to_owned(),
            _ => format!("{these} {rows}"),
        };
        let Some(cards) = self.cards else {
            return format!("Mend {these}: not counted, the archive is too large for it.");
        };
        let more = match cards {
            0 => "no more cards".to_owned(),
            1 => "1 more card".to_owned(),
            n if n < 0 => format!(
                "{} fewer",
                number_of(usize::try_from(-n).unwrap_or(0), "card")
            ),
            n => format!("{n} more cards"),
        };
        match (self.rows - self.whole, self.whole) {
            (0, _) => format!("Mend {these}: {more}."),
            (_, 0) => {
                format!("Mend {these}: each still lacks something, so no card is counted yet.")
            }
            (left, whole) => {
                let lack = if left == 1 { "lacks" } else { "lack" };
                format!(
                    "Mend {these}: {more} from {whole} of them; {left} still {lack} something and \
                     count later."
                )
            }
        }
    }
}

impl Session {
    /// Returns what is to be counted for the first rows of the list; it holds what it needs, so that
    /// it can be counted elsewhere.
    pub fn task(&self, now: DateTime<Utc>) -> Task {
        let mut used: BTreeSet<String> = self.numbers.keys().cloned().collect();
        let lines: BTreeSet<&str> = self.row_jobs.iter().map(|j| j.line.as_str()).collect();
        let first: Vec<_> = self
            .items
            .iter()
            .filter(|i| i.rank > 0)
            .take(ROWS)
            .collect();
        let mut more = Vec::new();
        for item in &first {
            let facts = repair::take_all(&self.draft_at(&item.key, item.at)).facts;
            let draft = self.whole(&facts, item.at);
            let Some(number) = draft.number.clone() else {
                continue;
            };
            let id = decide::free_id(&self.workbench.bench, &item.key, &|id| lines.contains(id));
            let place = (item.key.as_str(), "");
            let record = decide::record_of(&self.workbench, &self.person, place, &draft, &id, now);
            if let Ok(record) = record
                && used.insert(number)
            {
                more.push(record.job);
            }
        }
        let drafts = more.iter().map(|job| format!("{job:?}"));
        let day = self.day.to_string();
        let parts: Vec<String> = drafts.chain([self.fingerprint.clone(), day]).collect();
        Task {
            workbench: self.workbench.clone(),
            archive: Arc::clone(&self.jobs),
            more,
            rows: first.len(),
            now,
            mark: ids::long_mark(parts.iter().map(String::as_str)),
        }
    }
}

impl Task {
    /// Counts.
    pub fn count(&self) -> Worth {
        let made = |jobs: &[Job]| {
            let built = archive::made_of(&self.workbench, jobs, self.now);
            i64::try_from(built.cards.len()).unwrap_or(i64::MAX)
        };
        let cards = if self.archive.len() > MOST_JOBS {
            None
        } else if self.more.is_empty() {
            Some(0)
        } else {
            let with: Vec<Job> = self.archive.iter().chain(&self.more).cloned().collect();
            Some(made(&with) - made(&self.archive))
        };
        Worth {
            rows: self.rows,
            whole: self.more.len(),
            cards,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rows_are_worth_is_said_with_what_is_left_out() {
        let say = |rows, whole, cards| Worth { rows, whole, cards }.words();
        assert_eq!(say(50, 50, Some(12)), "Mend these 50 rows: 12 more cards.");
        assert_eq!(say(1, 1, Some(1)), "Mend this row: 1 more card.");
        assert_eq!(
            say(50, 42, Some(0)),
            "Mend these 50 rows: no more cards from 42 of them; 8 still lack something and count later."
        );
        assert!(say(3, 3, Some(-2)).contains("2 cards fewer"));
        assert!(say(3, 3, None).contains("not counted"));
    }
}
