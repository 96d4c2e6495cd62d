//! What the jobs behind a card differ in, and the parts a split would make of it.

use std::collections::BTreeMap;

use crate::domain::edit::Divide;
use crate::domain::generate::coded::tier;
use crate::domain::ids;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;

/// One part: the value its jobs share, and how many they are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// `B`, `no-power`, `cycling`.
    pub value: String,
    /// Jobs with it.
    pub jobs: usize,
}

/// Returns the value of a job that a split looks at; none where it was not recorded.
pub fn value(job: &Job, by: Divide) -> Option<String> {
    match by {
        Divide::Revision => job.rev.clone(),
        Divide::Complaint => {
            let mut words = job.complaint.clone();
            words.sort_unstable();
            (!words.is_empty()).then(|| words.join(" + "))
        }
        Divide::Draw => {
            let supply = |f: &&crate::domain::job::Finding| {
                f.kind == FindingKind::Current && tier::is_before_repair(f)
            };
            job.findings.iter().find(supply)?.code.clone()
        }
    }
}

/// Returns the parts that a split of a card with these evidence jobs makes, most jobs first; fewer than
/// two where they do not differ. Jobs without the value are in no part.
pub fn parts<'a>(jobs: impl IntoIterator<Item = &'a Job>, by: Divide) -> Vec<Part> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for value in jobs.into_iter().filter_map(|job| value(job, by)) {
        *counts.entry(value).or_default() += 1;
    }
    let mut parts: Vec<Part> = counts
        .into_iter()
        .map(|(value, jobs)| Part { value, jobs })
        .collect();
    parts.sort_by(|a, b| b.jobs.cmp(&a.jobs).then_with(|| a.value.cmp(&b.value)));
    parts
}

/// Returns the id of the part of `card` whose jobs have `value`.
pub fn part_id(card: &str, by: Divide, value: &str) -> String {
    ids::long_mark(["part", card, by.word(), value])
}

/// Returns what a split would make, in a line: `revision: B (4 jobs), C (3 jobs)`; none where the jobs
/// do not differ.
pub fn preview<'a>(jobs: impl IntoIterator<Item = &'a Job>, by: Divide) -> Option<String> {
    let parts = parts(jobs, by);
    if parts.len() < 2 {
        return None;
    }
    let said: Vec<String> = parts
        .iter()
        .map(|part| match part.jobs {
            1 => format!("{} (1 job)", part.value),
            n => format!("{} ({n} jobs)", part.value),
        })
        .collect();
    Some(format!("{}: {}", by.word(), said.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn a_split_shows_the_parts_it_would_make_and_none_where_jobs_do_not_differ() {
        let mut jobs = [
            sample::job("1", "U31", 1),
            sample::job("2", "U31", 2),
            sample::job("3", "U31", 3),
        ];
        for (job, rev) in jobs.iter_mut().zip(["B", "C", "B"]) {
            job.rev = Some(rev.to_owned());
            job.complaint = vec!["no-power".to_owned()];
        }
        let of = |by| preview(&jobs, by);
        assert_eq!(
            of(Divide::Revision).as_deref(),
            Some("revision: B (2 jobs), C (1 job)")
        );
        assert_eq!(of(Divide::Complaint), None);
        let ids = [
            part_id("a", Divide::Revision, "B"),
            part_id("a", Divide::Revision, "C"),
        ];
        assert_ne!(ids[0], ids[1]);
    }
}
