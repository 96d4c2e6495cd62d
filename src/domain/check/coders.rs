//! Technicians who put the same repair into different circuits.
//!
//! One repair of one part on one board lies in one circuit as a rule; where one person's jobs all name
//! one circuit and another person's all name another, the two read the families differently, and their
//! gaps cannot be compared. Told from [`SIDE`] jobs on either side up: one job alone is a slip. A repair
//! that names no designator (cleaning a whole board) may lie anywhere. Common practice, no source. How far
//! it goes altogether only a coding sample tells ([`crate::domain::agreement`]).

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::numbers;
use crate::domain::check::places;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::UNLOCATED;

/// Jobs that each of two circuits must have.
pub const SIDE: usize = 2;

/// Returns the repairs that different people put into different circuits.
pub fn coders(look: &Look<'_>) -> Vec<ToMend> {
    let mut repairs: BTreeMap<(&str, Fix), BTreeMap<&str, Vec<&Job>>> = BTreeMap::new();
    for job in look.jobs {
        let fix = job.fix();
        let of_a_part = |(_, part): &(String, String)| !places::designators(part).is_empty();
        let family = job.family.as_deref().filter(|f| *f != UNLOCATED);
        if let Some(family) = family
            && job.closed_by.is_some()
            && !fix.is_empty()
            && fix.pairs().iter().all(of_a_part)
        {
            let families = repairs.entry((&job.board, fix)).or_default();
            families.entry(family).or_default().push(job);
        }
    }
    repairs
        .iter()
        .filter_map(|((board, fix), families)| told(board, fix, families))
        .collect()
}

fn told(board: &str, fix: &Fix, families: &BTreeMap<&str, Vec<&Job>>) -> Option<ToMend> {
    let sides: Vec<(&str, BTreeSet<&str>, &Vec<&Job>)> = families
        .iter()
        .filter(|(_, jobs)| SIDE <= jobs.len())
        .map(|(family, jobs)| {
            let people = jobs.iter().filter_map(|j| j.closed_by.as_deref());
            (*family, people.collect(), jobs)
        })
        .collect();
    let (a, b) = sides.iter().enumerate().find_map(|(i, a)| {
        let apart = |b: &&(&str, BTreeSet<&str>, &Vec<&Job>)| a.1.is_disjoint(&b.1);
        sides[i + 1..].iter().find(apart).map(|b| (a, b))
    })?;
    let [first, second] = [a, b].map(|(family, people, jobs)| {
        let jobs: Vec<String> = jobs.iter().map(|j| j.job.clone()).collect();
        let people: Vec<&str> = people.iter().copied().collect();
        let words = format!("{family} by {} ({})", people.join(", "), numbers(&jobs));
        (words, jobs)
    });
    Some(ToMend {
        kind: Kind::Coding,
        severity: Severity::Doubtful,
        field: "family".to_owned(),
        what: format!(
            "{board}: {} is called {}, and {}",
            fix.key(),
            first.0,
            second.0
        ),
        why: "one repair in two circuits, split by who closed the jobs".to_owned(),
        todo: "settle which it is and correct the others; `benchlore families` has the borders"
            .to_owned(),
        mend: None,
        jobs: first.1.into_iter().chain(second.1).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;

    /// (who, circuit) a job, all of one part.
    #[track_caller]
    fn check(part: &str, script: &[(&str, &str)], wanted: Option<&str>) {
        let jobs: Vec<Job> = (1..)
            .zip(script)
            .map(|(n, (who, family))| Job {
                closed_by: Some((*who).to_owned()),
                family: Some((*family).to_owned()),
                ..job(&format!("W-{n}"), part, n)
            })
            .collect();
        let found = coders(&look(&jobs, &[]));
        let what = found.first().map(|f| f.what.as_str());
        assert_eq!(what, wanted);
    }

    #[test]
    fn two_people_with_a_circuit_each_are_named() {
        let split = [
            ("mk", "standby"),
            ("tl", "buck"),
            ("mk", "standby"),
            ("tl", "buck"),
        ];
        let said =
            "petrel-p4: replace U31 is called buck by tl (W-2, W-4), and standby by mk (W-1, W-3)";
        check("U31", &split, Some(said));
        check("whole board", &split, None);
        check("U31", &split[..3], None);
        let one = split.map(|(_, family)| ("mk", family));
        check("U31", &one, None);
        let same = split.map(|(who, _)| (who, "standby"));
        check("U31", &same, None);
    }
}
