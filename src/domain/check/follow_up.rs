//! The follow-up list: past the warranty days, and nobody has said whether the repair held.
//!
//! A repair whose outcome was left unknown counts as held by itself once the days have passed and its
//! unit has not come again. The rest waits for a person: jobs that do not name their unit, and jobs
//! whose unit did come again.

use std::collections::HashMap;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::command;
use crate::domain::generate::coded::tier::History;
use crate::domain::job::Job;
use crate::domain::job::Outcome;

/// One job that somebody should ask about.
#[derive(Clone, Copy, Debug)]
pub struct Waiting<'a> {
    /// The job.
    pub job: &'a Job,
    /// Days since it was closed.
    pub days: i64,
    /// A later job of the same unit that nobody linked, if there is one.
    pub again: Option<&'a Job>,
}

/// Returns the jobs past their warranty days that nobody has confirmed, oldest first.
pub fn waiting<'a>(look: &Look<'a>) -> Vec<Waiting<'a>> {
    let all: Vec<&Job> = look.jobs.iter().collect();
    let history = History::of(&all);
    let mut found: Vec<Waiting<'a>> = look
        .jobs
        .iter()
        .filter(|job| job.outcome == Outcome::UnknownSoFar)
        .map(|job| Waiting {
            job,
            days: (look.as_of - job.closed_on).num_days(),
            again: None,
        })
        .filter(|w| i64::from(look.warranty_days) <= w.days)
        .filter(|w| !history.held(w.job, look.as_of, look.warranty_days))
        .collect();
    let chains = Chains::of(look.jobs);
    for waiting in &mut found {
        waiting.again = chains.later(waiting.job).into_iter().next();
    }
    found.sort_by_key(|w| (w.job.closed_on, &w.job.job));
    found
}

/// The jobs of each unit, and those that say which job they follow.
#[derive(Clone, Debug, Default)]
pub struct Chains<'a> {
    by_unit: HashMap<&'a str, Vec<&'a Job>>,
    by_follows: HashMap<&'a str, Vec<&'a Job>>,
}

impl<'a> Chains<'a> {
    /// Collects the chains of `jobs`.
    pub fn of(jobs: &'a [Job]) -> Self {
        let mut chains = Self::default();
        for job in jobs {
            if let Some(unit) = unit(job) {
                chains.by_unit.entry(unit).or_default().push(job);
            }
            if let Some(follows) = &job.follows {
                chains.by_follows.entry(follows).or_default().push(job);
            }
        }
        chains
    }

    /// Returns the jobs of the unit of `job`, and those linked to it; by closing day, without itself.
    pub fn around(&self, job: &Job) -> Vec<&'a Job> {
        let of_unit = unit(job).and_then(|u| self.by_unit.get(u));
        let linked = [&job.job, &job.id].map(|name| self.by_follows.get(name.as_str()));
        let mut found: Vec<&Job> = of_unit
            .into_iter()
            .chain(linked.into_iter().flatten())
            .flatten()
            .copied()
            .filter(|other| other.id != job.id)
            .collect();
        found.sort_by_key(|j| (j.closed_on, &j.job));
        found.dedup_by_key(|j| &j.id);
        found
    }

    /// Returns those of [`Self::around`] that were closed no earlier than `job`.
    pub fn later(&self, job: &Job) -> Vec<&'a Job> {
        let mut found = self.around(job);
        let back = |other: &Job| {
            let names = [&other.job, &other.id];
            job.follows.as_ref().is_some_and(|f| names.contains(&f))
        };
        found.retain(|other| job.closed_on <= other.closed_on && !back(other));
        found
    }
}

fn unit(job: &Job) -> Option<&str> {
    job.unit.as_deref().filter(|u| !u.trim().is_empty())
}

/// Returns the follow-up list as things to mend.
pub fn to_mend(look: &Look<'_>) -> Vec<ToMend> {
    waiting(look)
        .into_iter()
        .map(|w| {
            let number = &w.job.job;
            let why = match (w.again, &w.job.unit) {
                (Some(again), _) => format!("its unit came again as {}", again.job),
                (None, None) => {
                    "its unit is not recorded, so nobody sees whether it came again".to_owned()
                }
                (None, Some(_)) => "nobody has said".to_owned(),
            };
            ToMend {
                kind: Kind::FollowUp,
                severity: Severity::Missing,
                jobs: vec![number.clone()],
                field: "outcome".to_owned(),
                what: format!(
                    "{number} was closed {} days ago and its outcome is unknown",
                    w.days
                ),
                why,
                todo: "ask; if it came back, `jobs returned` says as which job".to_owned(),
                mend: command("jobs held", &[number]),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;

    fn unknown(number: &str, day: u64, unit: Option<&str>) -> Job {
        Job {
            outcome: Outcome::UnknownSoFar,
            unit: unit.map(str::to_owned),
            ..job(number, "U31", day)
        }
    }

    #[test]
    fn the_oldest_unknown_outcome_comes_first() {
        let jobs = [
            unknown("W-2", 20, None),
            unknown("W-1", 10, Some("aa")),
            unknown("W-3", 60, Some("aa")),
        ];
        let look = look(&jobs, &[]);
        let list = waiting(&look);
        let numbers: Vec<&str> = list.iter().map(|w| w.job.job.as_str()).collect();
        assert_eq!(
            numbers,
            ["W-1", "W-2"],
            "W-3 is the unit's last: it counts as held"
        );
        assert_eq!(list[0].again.map(|j| j.job.as_str()), Some("W-3"));
        assert_eq!(list[1].days, 380);
        assert_eq!(to_mend(&look).len(), 2);
    }

    #[test]
    fn what_is_known_or_too_young_waits_for_nobody() {
        let jobs = [
            job("W-1", "U31", 10),
            unknown("W-2", 311, None),
            unknown("W-3", 10, Some("bb")),
        ];
        assert!(waiting(&look(&jobs, &[])).is_empty());
        let jobs = [unknown("W-2", 310, None)];
        assert_eq!(waiting(&look(&jobs, &[])).len(), 1, "day 90 counts");
    }
}
