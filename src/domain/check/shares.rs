//! What the archive as a whole leaves out: jobs that ended without a fix, and circuits no job is in.
//!
//! Where only the boards that were fixed are written down, every share on every card is too good. The
//! shop's own ledger is not known here, so the limits are common practice, no source: fewer than one
//! job in twenty without a fix, as far as the Wilson interval tells, or none at all in so many jobs that
//! one in ten can be ruled out (from 35 jobs up).

use std::collections::BTreeSet;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::interval;
use crate::domain::job::Job;
use crate::domain::job::Outcome;

/// With some jobs that were not fixed: the upper limit of their share lies below this.
const TOO_FEW: f64 = 0.05;
/// With none: the upper limit lies below this.
const NONE: f64 = 0.10;
/// Below so many jobs it says nothing that a circuit has none.
const ENOUGH: usize = 30;

/// Says whether too few jobs ended without a fix, in the whole archive or else on single boards.
pub fn only_fixed(look: &Look<'_>) -> Vec<ToMend> {
    let all: Vec<&Job> = look.jobs.iter().collect();
    if let Some(found) = of(&all, "in the whole archive") {
        return vec![found];
    }
    let boards: BTreeSet<&str> = look.jobs.iter().map(|j| j.board.as_str()).collect();
    boards
        .into_iter()
        .filter_map(|board| {
            let jobs: Vec<&Job> = all.iter().copied().filter(|j| j.board == board).collect();
            of(&jobs, &format!("on {board}"))
        })
        .collect()
}

fn of(jobs: &[&Job], place: &str) -> Option<ToMend> {
    let n = jobs.len();
    let k = jobs.iter().filter(|j| j.outcome == Outcome::NoFix).count();
    let limits = interval::wilson(k, n)?;
    if limits.high >= if k == 0 { NONE } else { TOO_FEW } {
        return None;
    }
    Some(ToMend {
        kind: Kind::OnlyFixed,
        severity: Severity::Doubtful,
        jobs: Vec::new(),
        field: "outcome".to_owned(),
        what: format!(
            "{k} of {n} jobs {place} ended without a fix (95 %: {:.1} to {:.1} %)",
            limits.low * 100.0,
            limits.high * 100.0
        ),
        why: "where only what was fixed is written down, every share on the cards is too good"
            .to_owned(),
        todo: "enter the jobs that ended without a fix too; leave it if there really are so few"
            .to_owned(),
        mend: Some("benchlore jobs add".to_owned()),
    })
}

/// Names the circuit families that no job is in; they are a note.
pub fn unused(look: &Look<'_>) -> Vec<ToMend> {
    if look.jobs.len() < ENOUGH {
        return Vec::new();
    }
    let used: BTreeSet<&str> = look
        .jobs
        .iter()
        .flat_map(|j| j.family.iter().chain(&j.contributing))
        .map(String::as_str)
        .collect();
    // A shop that says which circuits its boards have is not told about the others.
    let told = !look.boards.is_empty() && look.boards.iter().all(|b| !b.families.is_empty());
    let has = |id: &String| !told || look.boards.iter().any(|b| b.families.contains(id));
    let families = look.circuits.all().iter().map(|f| &f.id);
    let (mut of, mut without) = (0, Vec::new());
    for id in families.filter(|id| has(id)) {
        of += 1;
        if !used.contains(id.as_str()) {
            without.push(id.as_str());
        }
    }
    if without.is_empty() {
        return Vec::new();
    }
    vec![ToMend {
        kind: Kind::Unused,
        severity: Severity::Note,
        jobs: Vec::new(),
        field: "family".to_owned(),
        what: format!(
            "{} of {of} circuit families have no job: {}",
            without.len(),
            without.join(", ")
        ),
        why: "the shop may not meet them, or codes them as something else".to_owned(),
        todo: "`benchlore families` says what belongs in each".to_owned(),
        mend: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::board;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;

    fn jobs(fixed: u64, not: u64, board: &str) -> Vec<Job> {
        let one = |n: u64| Job {
            board: board.to_owned(),
            ..job(&format!("{board}-{n}"), "U31", n)
        };
        let mut found: Vec<Job> = (0..fixed + not).map(one).collect();
        for job in found.iter_mut().skip(usize::try_from(fixed).unwrap()) {
            job.outcome = Outcome::NoFix;
            job.actions.clear();
        }
        found
    }

    #[track_caller]
    fn check(fixed: u64, not: u64, wanted: Option<&str>) {
        let jobs = jobs(fixed, not, "petrel-p4");
        let found = only_fixed(&look(&jobs, &[]));
        assert_eq!(found.len(), usize::from(wanted.is_some()), "{found:?}");
        if let Some(words) = wanted {
            assert!(found[0].what.starts_with(words), "{}", found[0].what);
        }
    }

    #[test]
    fn an_archive_of_successes_is_named_with_n_and_interval() {
        check(34, 0, None);
        // Wilson, 0 of 35: upper limit z²/(35 + z²) = 3.8415/38.8415 = 9.89 %.
        check(
            35,
            0,
            Some("0 of 35 jobs in the whole archive ended without a fix (95 %: 0.0 to 9.9 %)"),
        );
        check(30, 5, None);
        // 2 of 150: upper limit 4.7 %; 3 of 150: 5.7 %.
        check(148, 2, Some("2 of 150"));
        check(147, 3, None);
    }

    #[test]
    fn one_board_without_its_failures_is_named_where_the_rest_has_them() {
        let mut all = jobs(40, 0, "petrel-p4");
        all.extend(jobs(30, 10, "skua-e6"));
        let found = only_fixed(&look(&all, &[]));
        assert_eq!(found.len(), 1);
        assert!(found[0].what.contains("0 of 40 jobs on petrel-p4"));
    }

    #[test]
    fn circuits_without_a_job_are_one_note() {
        let all = jobs(30, 0, "petrel-p4");
        let found = unused(&look(&all, &[]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].severity, Severity::Note);
        assert!(found[0].what.starts_with("15 of 16"), "{}", found[0].what);
        assert!(!found[0].what.contains("standby"));
        assert_eq!(unused(&look(&all[..29], &[])), []);
        // The board has only what the jobs are in.
        let mut bare = board();
        bare.families = vec!["standby".to_owned()];
        assert_eq!(unused(&look(&all, &[bare])), []);
    }
}
