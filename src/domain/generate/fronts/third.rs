//! Other fixes of the board that fit what a card shows: a card that names two or three fixes teaches that
//! it is one of them.
//!
//! A job fits when it was complained of alike (one word in common), read half of what is shown, and read
//! nothing otherwise; a fix fits from [`JOBS`] such jobs, unless its jobs have read some finding often
//! enough and never as shown. Whether they read what tells is counted apart: a fix whose jobs did shows
//! that the rule is false, one whose jobs did not leaves it open. Limits: common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::coded::table::Table;
use crate::domain::generate::weigh::agreed;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
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
    /// What tells, the most telling first.
    pub telling: &'a [Reading],
}

/// A fix that fits though the card does not name it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Third<'a> {
    /// The fix.
    pub fix: &'a Fix,
    /// Its jobs that fit.
    pub jobs: usize,
    /// Those of them that read what tells most.
    pub told: usize,
    /// All its jobs that an answer may stand on.
    pub cases: Vec<usize>,
}

impl Third<'_> {
    /// Returns it as a lead reads it, with `n` jobs: `replace U22 (3 jobs)`.
    pub fn say(&self, n: usize) -> String {
        let jobs = phrases::jobs_text(n);
        format!("{} ({jobs})", phrases::short_fix(self.fix))
    }

    /// Tells whether several of its jobs read what tells most, and so show that a rule is false.
    pub fn is_told(&self) -> bool {
        JOBS <= self.told
    }

    /// Tells whether its jobs agree on another value than this one.
    pub fn reads_otherwise(&self, table: &Table, (name, value): Reading) -> bool {
        agreed::agreed(table, &self.cases, name).is_some_and(|own| own != value)
    }
}

/// Returns the fixes that fit a scene and are none of `named`, those with most jobs first.
pub fn fitting<'a>(shelf: &'a Shelf<'_>, scene: Scene<'_>, named: &[&Fix]) -> Vec<Third<'a>> {
    let mut fits: BTreeMap<&Fix, Vec<usize>> = BTreeMap::new();
    for (name, value) in scene.front.iter().chain(scene.telling) {
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
                told: jobs.iter().filter(|at| is_told(scene, **at)).count(),
                cases: own.flat_map(|g| g.evidence.iter().copied()).collect(),
            }
        })
        .filter(|third| !never_so(scene, &third.cases))
        .collect();
    thirds.sort_by(|a, b| b.jobs.cmp(&a.jobs).then_with(|| a.fix.cmp(b.fix)));
    thirds
}

/// Tells whether a job was complained of alike, read half of what is shown, and nothing otherwise.
fn is_like(shelf: &Shelf<'_>, scene: Scene<'_>, at: usize) -> bool {
    let own = &shelf.cases[at].job.complaint;
    let said = scene.complaint.iter().any(|word| own.contains(word));
    let all = || scene.front.iter().chain(scene.telling);
    let read = all().filter_map(|(name, value)| Some((scene.table.value(*name, at)?, *value)));
    let (mut n, mut same) = (0, true);
    for (own, shown) in read {
        n += 1;
        same &= own == shown;
    }
    same && all().count() <= 2 * n && (said || scene.complaint.is_empty() && own.is_empty())
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

/// Returns how many of some jobs look as shown and read what tells most.
pub fn like(shelf: &Shelf<'_>, scene: Scene<'_>, cases: &[usize]) -> usize {
    let own = cases
        .iter()
        .filter(|at| is_told(scene, **at) && is_like(shelf, scene, **at));
    own.count()
}

fn is_told(scene: Scene<'_>, at: usize) -> bool {
    let first = scene.telling.first();
    first.is_some_and(|(name, value)| scene.table.value(*name, at) == Some(*value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::mask::Mask;
    use crate::domain::generate::coded::tier::Tier;
    use crate::domain::generate::sample;
    use crate::domain::generate::weigh::shelf;
    use crate::domain::job::Finding;
    use crate::domain::job::Job;

    fn of(part: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
        (1..=n)
            .map(|at| sample::job_with(&format!("{part}-{at}"), part, at, findings.to_vec()))
            .collect()
    }

    /// Returns who fits "`VSYS` low, told by `VCORE` absent" beside U31.
    fn found(jobs: &[Job]) -> Vec<String> {
        let cases = jobs
            .iter()
            .filter_map(|job| shelf::case(job, None, Tier::A, false));
        let shelf = Shelf::new("petrel-p4", None, cases.collect());
        let table = shelf.table(&Mask::default());
        let reading = |place: &str, word: &str| -> Reading {
            let name = table.names().iter().position(|n| n.place == place);
            let name = name.expect("a name");
            let value = (0..table.n_values(name)).find(|v| table.word(name, *v) == word);
            (name, value.expect("a value"))
        };
        let scene = Scene {
            table: &table,
            complaint: &["no-power".to_owned()],
            front: &[reading("VSYS", "low")],
            telling: &[reading("VCORE", "absent")],
        };
        let own = sample::job("own", "U31", 1).fix();
        let thirds = fitting(&shelf, scene, &[&own]);
        thirds
            .iter()
            .map(|t| format!("{}, {} told", t.say(t.jobs), t.told))
            .collect()
    }

    #[test]
    fn a_fix_whose_jobs_show_all_of_it_fits_and_one_that_read_otherwise_does_not() {
        let shown = [sample::rail("VSYS", "low"), sample::rail("VCORE", "absent")];
        let own = of("U31", 3, &shown);
        assert!(found(&own).is_empty());
        let two = [own.clone(), of("C40", 2, &shown)].concat();
        assert_eq!(found(&two), ["replace C40 (2 jobs), 2 told"]);
        let one = [own.clone(), of("C40", 1, &shown)].concat();
        assert!(found(&one).is_empty(), "one job is none");
        let mut otherwise = shown.clone();
        otherwise[0] = sample::rail("VSYS", "in-band");
        let other = [own.clone(), of("C40", 3, &otherwise)].concat();
        assert!(found(&other).is_empty());
        let mut elsewhere = two;
        for job in &mut elsewhere[3..] {
            job.complaint = vec!["no-display".to_owned()];
        }
        assert!(found(&elsewhere).is_empty(), "another complaint");
    }

    #[test]
    fn what_half_was_not_read_fits_and_what_others_of_the_fix_read_otherwise_speaks_against_it() {
        let shown = [sample::rail("VSYS", "low"), sample::rail("VCORE", "absent")];
        let own = of("U31", 3, &shown);
        let with_half = [own.clone(), of("C40", 2, &shown[1..])].concat();
        assert_eq!(found(&with_half), ["replace C40 (2 jobs), 2 told"]);
        let untold = [own.clone(), of("C40", 2, &shown[..1])].concat();
        assert_eq!(found(&untold), ["replace C40 (2 jobs), 0 told"]);
        let mut others = of("C40", 2, &[sample::rail("VSYS", "in-band")]);
        for (at, job) in others.iter_mut().enumerate() {
            job.id = format!("more-{at}");
            job.job.clone_from(&job.id);
        }
        assert!(found(&[with_half, others].concat()).is_empty());
    }
}
