//! Other fixes of the board that fit what a card shows: a card that names two or three fixes teaches that
//! it is one of them.
//!
//! A job fits when it was complained of alike (one word in common), read at least one of the findings
//! that tell, and read nothing otherwise than shown; a fix fits from [`JOBS`] such jobs, unless its jobs
//! have read some finding often enough and never as shown. What was not read is unknown, and unknown
//! fits: that is the careful side. Limits: common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::build;
use crate::domain::generate::contrast;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::remark;
use crate::domain::generate::table::Table;
use crate::domain::job::Fix;

/// A fix is a third one from so many jobs.
pub const JOBS: usize = 2;

/// A name of the table with a value.
pub type Reading = (usize, usize);

/// What a card shows.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// The board's jobs under the card's mask.
    pub table: &'a Table,
    /// Words of the complaint.
    pub complaint: &'a [String],
    /// What is seen beside.
    pub front: &'a [Reading],
    /// What tells: a job that fits has read one of these.
    pub telling: &'a [Reading],
}

/// A fix that fits though the card does not name it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Third<'a> {
    /// The fix.
    pub fix: &'a Fix,
    /// Its jobs that fit.
    pub jobs: usize,
    /// All its jobs that an answer may stand on.
    pub cases: Vec<usize>,
}

impl Third<'_> {
    /// Returns it as a lead reads it: `replace U22 (3 jobs)`.
    pub fn say(&self) -> String {
        let jobs = build::jobs_text(self.jobs);
        format!("{} ({jobs})", remark::short_fix(self.fix))
    }

    /// Tells whether its jobs agree on another value than this one.
    pub fn reads_otherwise(&self, table: &Table, (name, value): Reading) -> bool {
        contrast::agreed(table, &self.cases, name).is_some_and(|own| own != value)
    }
}

/// Returns the fixes that fit a scene and are none of `named`, those with most jobs first.
pub fn fitting<'a>(shelf: &'a Shelf<'_>, scene: Scene<'_>, named: &[&Fix]) -> Vec<Third<'a>> {
    let mut fits: BTreeMap<&Fix, Vec<usize>> = BTreeMap::new();
    for (name, value) in scene.telling {
        for at in scene.table.rows(*name, *value) {
            let case = &shelf.cases[*at];
            if case.speaks() && !named.contains(&&case.fix) && is_like(shelf, scene, *at) {
                fits.entry(&case.fix).or_default().push(*at);
            }
        }
    }
    for jobs in fits.values_mut() {
        jobs.sort_unstable();
        jobs.dedup();
    }
    fits.retain(|_, jobs| JOBS <= jobs.len());
    let barred = if fits.is_empty() {
        BTreeSet::new()
    } else {
        shelf.barred()
    };
    let mut thirds: Vec<Third<'a>> = fits
        .into_iter()
        .filter(|(fix, _)| !barred.contains(fix))
        .filter(|(fix, _)| named.iter().any(|own| shelf.share_a_revision(&[own, fix])))
        .map(|(fix, jobs)| {
            let own = shelf.groups.iter().filter(|group| group.fix == *fix);
            Third {
                fix,
                jobs: jobs.len(),
                cases: own.flat_map(|g| g.evidence.iter().copied()).collect(),
            }
        })
        .filter(|third| !never_so(scene, &third.cases))
        .collect();
    thirds.sort_by(|a, b| b.jobs.cmp(&a.jobs).then_with(|| a.fix.cmp(b.fix)));
    thirds
}

/// Tells whether a job was complained of alike and read nothing otherwise.
fn is_like(shelf: &Shelf<'_>, scene: Scene<'_>, at: usize) -> bool {
    let own = &shelf.cases[at].job.complaint;
    let said = scene.complaint.iter().any(|word| own.contains(word));
    let mut all = scene.front.iter().chain(scene.telling);
    (said || scene.complaint.is_empty() && own.is_empty())
        && all.all(|(name, value)| scene.table.value(*name, at).is_none_or(|v| v == *value))
}

/// Tells whether the jobs read something that is shown, several of them, and none as it is shown.
fn never_so(scene: Scene<'_>, cases: &[usize]) -> bool {
    scene
        .front
        .iter()
        .chain(scene.telling)
        .any(|(name, value)| {
            let read = || cases.iter().filter_map(|at| scene.table.value(*name, *at));
            JOBS <= read().count() && read().all(|v| v != *value)
        })
}

/// Returns how many of some jobs look as shown.
pub fn like(shelf: &Shelf<'_>, scene: Scene<'_>, cases: &[usize]) -> usize {
    let read = |at: usize| {
        let mut telling = scene.telling.iter();
        telling.any(|(name, value)| scene.table.value(*name, at) == Some(*value))
    };
    let own = cases
        .iter()
        .filter(|at| read(**at) && is_like(shelf, scene, **at));
    own.count()
}
