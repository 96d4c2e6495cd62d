//! One line about a job, for lists: what a list shows, and what its worth depends on as of a day.
//!
//! Whole jobs are in `job.rs`. A row is made once and kept in an index, so it holds no day.

use chrono::NaiveDate;

use crate::domain::generate::coded::tier;
use crate::domain::generate::coded::tier::History;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::job::BounceCause;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;

/// What the index keeps of one job; nothing in it depends on the day it is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndexRow {
    /// The shop's number.
    pub job: String,
    /// Id of the line.
    pub id: String,
    /// Closing day.
    pub closed_on: NaiveDate,
    /// Board id.
    pub board: String,
    /// Revision.
    pub rev: Option<String>,
    /// Customer's words.
    pub complaint: Vec<String>,
    /// Circuit family.
    pub family: Option<String>,
    /// What fixed it: act and part.
    pub fix: Vec<(String, String)>,
    /// Why there is no fix.
    pub no_fix_reason: Option<String>,
    /// How it ended, as written.
    pub outcome: Outcome,
    /// Why it came back.
    pub bounce_cause: Option<BounceCause>,
    /// Number or id of the earlier job of the same unit.
    pub follows: Option<String>,
    /// The unit is known.
    pub unit_known: bool,
    /// The unit was in the shop again later.
    pub came_again: bool,
    /// Things that a person still has to decide.
    pub flags: usize,
    /// What it is worth once the repair is known to have held.
    pub tier_if_held: Tier,
    /// What it is worth until then.
    pub tier_if_not: Tier,
}

impl IndexRow {
    /// Returns the row of `job`; `history` holds every job that counts.
    pub fn of(job: &Job, history: &History<'_>) -> Self {
        let fixes = job.actions.iter().filter(|a| a.role == Role::TheFix);
        Self {
            job: job.job.clone(),
            id: job.id.clone(),
            closed_on: job.closed_on,
            board: job.board.clone(),
            rev: job.rev.clone(),
            complaint: job.complaint.clone(),
            family: job.family.clone(),
            fix: fixes.map(|a| (a.act.clone(), a.part.clone())).collect(),
            no_fix_reason: job.no_fix_reason.clone(),
            outcome: job.outcome,
            bounce_cause: job.bounce_cause,
            follows: job.follows.clone(),
            unit_known: job.unit.is_some(),
            came_again: history.came_again(job),
            flags: job.flags.len(),
            tier_if_held: tier::tier(job, true, false),
            tier_if_not: tier::tier(job, false, false),
        }
    }

    /// Tells whether the repair is known to have held, as [`History::held`] does.
    pub fn held(&self, as_of: NaiveDate, warranty_days: u32) -> bool {
        let stayed_away = || self.unit_known && !self.came_again;
        tier::held(
            self.outcome,
            self.closed_on,
            stayed_away,
            as_of,
            warranty_days,
        )
    }

    /// Returns what the job is worth as evidence, as of a day.
    pub fn tier(&self, as_of: NaiveDate, warranty_days: u32) -> Tier {
        if self.held(as_of, warranty_days) {
            self.tier_if_held
        } else {
            self.tier_if_not
        }
    }
}

/// Returns the rows of `jobs`, in their order.
pub fn rows(jobs: &[&Job]) -> Vec<IndexRow> {
    let history = History::of(jobs);
    jobs.iter().map(|job| IndexRow::of(job, &history)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn a_row_is_worth_what_its_job_is_worth_on_any_day() {
        let mut jobs = Vec::new();
        for (n, outcome) in Outcome::ALL.into_iter().cycle().take(40).enumerate() {
            let mut job = sample::job(&format!("W-{n}"), "U31", 1);
            job.outcome = outcome;
            job.unit = (n % 3 > 0).then(|| format!("unit-{}", n % 8));
            job.closed_on = job.closed_on + chrono::Days::new(n as u64 * 7);
            job.follows = (n % 11 == 5).then(|| format!("W-{}", n - 1));
            jobs.push(job);
        }
        let jobs: Vec<&Job> = jobs.iter().collect();
        let history = History::of(&jobs);
        let rows = rows(&jobs);
        assert!(rows.iter().any(|r| r.came_again) && rows.iter().any(|r| !r.came_again));
        for (row, job) in rows.iter().zip(&jobs) {
            for days in [0, 89, 90, 91, 400] {
                let day = job.closed_on + chrono::Days::new(days);
                let held = history.held(job, day, 90);
                assert_eq!(row.held(day, 90), held);
                assert_eq!(row.tier(day, 90), tier::tier(job, held, false));
            }
        }
    }
}
