//! How a fix stands in the archive, said on a card that names it beside others: how few its jobs are, and
//! which of them came back.
//!
//! Its own fix card says the same of itself ([`crate::domain::generate::backs::remark`]); a card with several
//! fixes says of which of them it is true.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::shelf::Case;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Role;

/// Fewer jobs than this are a small evidence for one fix.
pub const FEW: usize = 3;
/// From so many jobs of its own the look of a fix is known.
const FEWEST: usize = 2;

/// Returns the warning of a fix that rests on `n` jobs; none where they are enough.
pub fn few(fix: &Fix, n: usize) -> Option<String> {
    (n < FEW).then(|| {
        let fix = phrases::short_fix(fix);
        format!("small evidence: {fix} rests on {}", phrases::jobs_text(n))
    })
}

/// Returns what a lead should know of the returns of a fix: those that speak against it, for a wrong
/// diagnosis, and those of which nobody wrote why.
pub fn returns(shelf: &Shelf<'_>, fix: &Fix) -> Vec<String> {
    let own: Vec<&Case<'_>> = shelf.cases.iter().filter(|c| c.fix == *fix).collect();
    let wrong = own.iter().filter(|c| tier::misdiagnosed(c.job)).count();
    let unsaid = own.iter().filter(|c| tier::bounced_unexplained(c.job));
    let unsaid = unsaid.count();
    let (fix, all) = (phrases::short_fix(fix), own.len());
    let mut warn = Vec::new();
    if 0 < wrong {
        warn.push(format!(
            "bounced: {wrong} of {all} with {fix} came back, wrong diagnosis"
        ));
    }
    if 0 < unsaid {
        warn.push(format!(
            "doubtful: {unsaid} of {all} with {fix} came back, nobody wrote why"
        ));
    }
    warn
}

/// Returns the warning that one in three of a fix's `jobs` or more first tried what no two jobs of the board
/// ended in: how a board that it mends would look, nothing on record tells.
pub fn tried_first(shelf: &Shelf<'_>, fix: &Fix, jobs: &[&Job]) -> Option<String> {
    let mut tried: BTreeMap<Fix, usize> = BTreeMap::new();
    for job in jobs {
        let vain = job.actions.iter();
        let vain = vain.filter(|a| a.role == Role::TriedNoEffect);
        let once: BTreeSet<(&str, &str)> = vain.map(|a| (&*a.act, &*a.part)).collect();
        for (act, part) in once {
            let step = Fix::new(vec![(act.to_owned(), part.to_owned())]);
            *tried.entry(step).or_default() += 1;
        }
    }
    let known = |step: &Fix| {
        let mut groups = shelf.groups.iter();
        groups.any(|g| g.has_fix(step) && FEWEST <= g.evidence.len())
    };
    let most = tried.into_iter().filter(|(step, _)| !known(step));
    // Of equals the first by its name.
    let (step, n) = most.min_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)))?;
    (jobs.len() <= 3 * n).then(|| {
        format!(
            "tried first: {} in {n} of {} with {}, in vain; nothing here says how it would look",
            phrases::short_fix(&step),
            phrases::jobs_text(jobs.len()),
            phrases::short_fix(fix)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::generate::weigh::shelf;
    use crate::domain::job::BounceCause;
    use crate::domain::job::Outcome;

    fn returned(jobs: &[Job]) -> Vec<String> {
        let cases = jobs.iter().filter_map(|job| {
            let tier = tier::tier(job, true, false);
            shelf::case(job, None, tier, false)
        });
        let shelf = Shelf::new("petrel-p4", None, cases.collect());
        returns(&shelf, &jobs[0].fix())
    }

    #[test]
    fn a_return_is_said_with_its_fix_and_whether_the_diagnosis_was_wrong() {
        let mut jobs = [sample::job("1", "U31", 1), sample::job("2", "U31", 2)];
        assert!(returned(&jobs).is_empty());
        jobs[0].outcome = Outcome::BouncedSameFault;
        jobs[0].bounce_cause = Some(BounceCause::Part);
        assert!(returned(&jobs).is_empty(), "a bad part is no wrong answer");
        jobs[1].outcome = Outcome::BouncedSameFault;
        jobs[1].bounce_cause = Some(BounceCause::Diagnosis);
        assert_eq!(
            returned(&jobs),
            ["bounced: 1 of 2 with replace U31 came back, wrong diagnosis"]
        );
        jobs[0].bounce_cause = None;
        assert_eq!(
            returned(&jobs)[1..],
            ["doubtful: 1 of 2 with replace U31 came back, nobody wrote why"]
        );
    }

    #[test]
    fn two_jobs_are_few_and_three_are_not() {
        let fix = sample::job("1", "U31", 1).fix();
        assert_eq!(
            few(&fix, 2).as_deref(),
            Some("small evidence: replace U31 rests on 2 jobs")
        );
        assert_eq!(few(&fix, 3), None);
    }

    #[test]
    fn what_was_tried_first_and_never_mended_one_is_named() {
        let mut jobs: Vec<Job> = (1..=3)
            .map(|at| sample::job_with(&format!("U31-{at}"), "U31", at, Vec::new()))
            .collect();
        let fix = jobs[0].fix();
        let named = |jobs: &[Job]| {
            let cases = jobs.iter().filter_map(|job| {
                let tier = tier::tier(job, true, false);
                shelf::case(job, None, tier, false)
            });
            let shelf = Shelf::new("petrel-p4", None, cases.collect());
            let own: Vec<&Job> = jobs.iter().filter(|j| j.fix() == fix).collect();
            tried_first(&shelf, &fix, &own)
        };
        assert_eq!(named(&jobs), None);
        jobs[0].actions.push(crate::domain::job::Action {
            act: "replace".to_owned(),
            part: "F2".to_owned(),
            role: Role::TriedNoEffect,
        });
        let told = named(&jobs).expect("one in three");
        assert!(
            told.starts_with("tried first: replace F2 in 1 of 3 jobs with replace U31"),
            "{told}"
        );
        // Two jobs of its own tell how it looks.
        jobs.extend((1..=2).map(|at| sample::job_with(&format!("F2-{at}"), "F2", at, Vec::new())));
        assert_eq!(named(&jobs), None);
    }
}
