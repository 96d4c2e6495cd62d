//! The jobs of a board that ended without a fix, coded as the others are.
//!
//! They answer nothing, but they were read too: a finding that a dead processor shows as well tells
//! less. Left out is what the customer wished: there nobody looked further.

use std::collections::BTreeMap;

use crate::domain::generate::coded::bands::Bands;
use crate::domain::generate::coded::table::Readings;
use crate::domain::generate::coded::table::Table;
use crate::domain::job::Board;
use crate::domain::job::Job;
use crate::domain::job::Outcome;

/// Reasons that say what is wrong with the board; of the others the fault may be any.
const SAY_WHAT: [&str; 2] = ["processor-or-memory-dead", "laminate-destroyed"];

/// Reasons that are the customer's wish.
pub const WISHES: [&str; 2] = ["customer-declined", "data-only-recovered"];

/// The jobs that ended without a fix.
#[derive(Clone, Debug, Default)]
pub struct Ends<'a> {
    jobs: Vec<&'a Job>,
    readings: Option<Readings>,
}

impl<'a> Ends<'a> {
    /// Takes of a board's jobs those that ended without a fix, but for a customer's wish.
    pub fn of(jobs: &[&'a Job], board: Option<&Board>, bands: &Bands) -> Self {
        let ended = jobs.iter().copied().filter(|job| ended(job));
        let jobs: Vec<&Job> = ended.collect();
        let readings = (!jobs.is_empty()).then(|| Readings::banded(&jobs, board, bands));
        Self { jobs, readings }
    }

    /// Returns how many they are.
    pub fn len(&self) -> usize {
        self.jobs.len()
    }

    /// Tells whether there is none.
    pub fn is_empty(&self) -> bool {
        self.jobs.is_empty()
    }

    /// Returns the job at a row.
    pub fn job(&self, row: usize) -> &'a Job {
        self.jobs[row]
    }

    /// Tells whether the reason says what is wrong with the board: what cost too much, or was not found in
    /// time, may have had any fault, and speaks against none.
    pub fn says_what(&self, row: usize) -> bool {
        let reason = self.jobs[row].no_fix_reason.as_deref();
        reason.is_some_and(|r| SAY_WHAT.contains(&r))
    }

    /// Returns the rows of each reason that says what is wrong with the board.
    pub fn by_reason(&self) -> BTreeMap<&'a str, Vec<usize>> {
        let mut rows: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (row, job) in self.jobs.iter().enumerate() {
            let reason = job.no_fix_reason.as_deref();
            if let Some(reason) = reason.filter(|_| self.says_what(row)) {
                rows.entry(reason).or_default().push(row);
            }
        }
        rows
    }

    /// Returns the rows that recorded a name of `table`, each with whether it shows the value.
    pub fn read(&self, table: &Table, name: usize, value: usize) -> Vec<(usize, bool)> {
        let Some(readings) = &self.readings else {
            return Vec::new();
        };
        let own = readings.masked_as(table);
        let Ok(place) = own.names().binary_search(&table.names()[name]) else {
            return Vec::new();
        };
        let word = table.word(name, value);
        (0..self.jobs.len())
            .filter_map(|row| Some((row, own.word(place, own.value(place, row)?) == word)))
            .collect()
    }
}

/// Tells whether the board itself ended the job. What the customer wanted cannot be read off a board,
/// and says nothing about the next one.
pub fn ended(job: &Job) -> bool {
    job.outcome == Outcome::NoFix
        && !job
            .no_fix_reason
            .as_deref()
            .is_some_and(|r| WISHES.contains(&r))
}
