//! The units that a fix was used on before it lost its standing, and that are still under warranty.
//!
//! A lead may want to see them before the customer does. Named are the job and its day, never the
//! unit or its owner. A job that recorded less than the card shows is listed as long as nothing it
//! recorded differs: one call too many costs less than one too few (a judgement, no source).

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Readings;
use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;

/// One job whose unit may come back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AtRisk {
    /// Its number.
    pub job: String,
    /// The day it was closed.
    pub closed_on: NaiveDate,
    /// Days of warranty left.
    pub days_left: i64,
}

/// What the warranty is reckoned by.
#[derive(Clone, Copy, Debug)]
pub struct Warranty {
    /// The day it is.
    pub as_of: NaiveDate,
    /// How long it lasts.
    pub days: u32,
}

/// Returns the jobs like `card` that were closed with one of `fixes` and are still under warranty,
/// oldest first: their unit is known, has not come again, and nothing says that they came back.
///
/// `came_again` tells whether the unit of a job was in the shop again later, on whatever board.
pub fn at_risk(
    card: &Card,
    fixes: &[Fix],
    (jobs, board): (&[Job], Option<&Board>),
    (warranty, came_again): (Warranty, &dyn Fn(&Job) -> bool),
) -> Vec<AtRisk> {
    let days_left =
        |job: &Job| i64::from(warranty.days) - (warranty.as_of - job.closed_on).num_days();
    let candidates: Vec<&Job> = jobs
        .iter()
        .filter(|job| job.board == card.board && job.unit.is_some() && 0 < days_left(job))
        .filter(|job| !tier::bounced(job) && job.outcome != Outcome::NoFix)
        .filter(|job| fixes.contains(&job.fix()))
        .collect();
    if candidates.is_empty() {
        return Vec::new();
    }
    let cited: BTreeSet<&str> = card.jobs.iter().map(String::as_str).collect();
    let alike = alike(card, fixes, &candidates, board);
    let mut found: Vec<AtRisk> = candidates
        .iter()
        .zip(alike)
        .filter(|(job, alike)| *alike || cited.contains(job.job.as_str()))
        .filter(|(job, _)| !came_again(job))
        .map(|(job, _)| AtRisk {
            job: job.job.clone(),
            closed_on: job.closed_on,
            days_left: days_left(job),
        })
        .collect();
    found.sort_by(|a, b| (a.closed_on, &a.job).cmp(&(b.closed_on, &b.job)));
    found
}

/// Tells of each job whether it recorded something of what the card shows, and nothing else in its
/// place.
fn alike(card: &Card, fixes: &[Fix], jobs: &[&Job], board: Option<&Board>) -> Vec<bool> {
    let mut shown = Job::empty("", &card.board, Outcome::Held);
    shown.findings.clone_from(&card.front);
    let rows: Vec<&Job> = std::iter::once(&shown)
        .chain(jobs.iter().copied())
        .collect();
    let mask = Mask::of(fixes, Some(&card.family), board);
    let table = Readings::of(&rows, board).masked(&mask);
    let names = 0..table.names().len();
    (1..rows.len())
        .map(|row| {
            let both = names
                .clone()
                .filter_map(|name| Some(table.value(name, 0)? == table.value(name, row)?));
            let both: Vec<bool> = both.collect();
            !both.is_empty() && both.iter().all(|same| *same)
        })
        .collect()
}
