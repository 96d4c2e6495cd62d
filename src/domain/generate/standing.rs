//! How a fix stands in the archive, said on a card that names it beside others: how few its jobs are, and
//! which of them came back.
//!
//! Its own fix card says the same of itself ([`crate::domain::generate::remark`]); a card with several
//! fixes says of which of them it is true.

use crate::domain::generate::build;
use crate::domain::generate::evidence::Case;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::remark;
use crate::domain::generate::tier;
use crate::domain::job::Fix;

/// Fewer jobs than this are a small evidence for one fix.
pub const FEW: usize = 3;

/// Returns the warning of a fix that rests on `n` jobs; none where they are enough.
pub fn few(fix: &Fix, n: usize) -> Option<String> {
    (n < FEW).then(|| {
        let fix = remark::short_fix(fix);
        format!("small evidence: {fix} rests on {}", build::jobs_text(n))
    })
}

/// Returns what a lead should know of the returns of a fix: those that speak against it, for a wrong
/// diagnosis, and those of which nobody wrote why.
pub fn returns(shelf: &Shelf<'_>, fix: &Fix) -> Vec<String> {
    let own: Vec<&Case<'_>> = shelf.cases.iter().filter(|c| c.fix == *fix).collect();
    let wrong = own.iter().filter(|c| tier::misdiagnosed(c.job)).count();
    let unsaid = own.iter().filter(|c| tier::bounced_unexplained(c.job));
    let unsaid = unsaid.count();
    let (fix, all) = (remark::short_fix(fix), own.len());
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::evidence;
    use crate::domain::generate::sample;
    use crate::domain::job::BounceCause;
    use crate::domain::job::Job;
    use crate::domain::job::Outcome;

    fn returned(jobs: &[Job]) -> Vec<String> {
        let cases = jobs.iter().filter_map(|job| {
            let tier = tier::tier(job, true, false);
            evidence::case(job, None, tier, false)
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
}
