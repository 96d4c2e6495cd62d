//! Why a card's answer is so, in the archive's own figures.
//!
//! Everything here is counted or copied from jobs; nothing is reasoned or invented. Which findings are told is
//! chosen in [`crate::domain::generate::backs::told`].

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::backs::runner_up::RunnerUp;
use crate::domain::generate::backs::told::Told;
use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::account::Account;
use crate::domain::generate::weigh::shelf::Case;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::BounceCause;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::wording;

/// Returns the reason, a line each: what is `told` of the front, what else was read wrong with it alone,
/// the runner-up, [`story`].
pub fn why(shelf: &Shelf<'_>, group: &Group, told: &Told, runner_up: Option<&RunnerUp>) -> String {
    let mut lines: Vec<String> = told.said().iter().map(Account::line).collect();
    if lines.is_empty() {
        lines.push("no single finding here speaks for it".to_owned());
    }
    lines.extend(read_here_alone(told.rest()));
    lines.extend(runner_up.map(|r| r.line.clone()));
    lines.extend(story(shelf, group));
    lines.extend(left_out(shelf, group));
    phrases::joined(&lines)
}

/// Returns what leads somewhere on the front, beside what is said, and that no job without the fix recorded, or
/// one alone.
fn read_here_alone(accounts: &[Account]) -> Vec<String> {
    let alone = accounts.iter().filter(|a| a.is_alone());
    let alone: Vec<String> = alone
        .map(|a| format!("{} in {} of {}", a.said, a.with[0], a.with[1]))
        .collect();
    let alone =
        (!alone.is_empty()).then(|| format!("read with this fix alone: {}", alone.join(", ")));
    let hardly = accounts.iter().filter(|a| a.is_hardly_read());
    alone.into_iter().chain(hardly.map(Account::line)).collect()
}

/// Returns what the jobs of a fix tell beside their findings: what was tried in vain, what proved it,
/// which came back and why.
pub fn story(shelf: &Shelf<'_>, group: &Group) -> Vec<String> {
    let jobs: Vec<&Job> = group
        .evidence
        .iter()
        .map(|at| shelf.cases[*at].job)
        .collect();
    let mut lines: Vec<String> = in_vain(&jobs).into_iter().collect();
    lines.extend(proof(&jobs));
    lines.extend(came_back(shelf, &group.fix));
    lines
}

/// Returns the step that was most often tried without effect.
pub fn in_vain(jobs: &[&Job]) -> Option<String> {
    let tried = jobs.iter().flat_map(|job| {
        let mut tried: Vec<String> = job
            .actions
            .iter()
            .filter(|a| a.role == Role::TriedNoEffect)
            .map(|a| wording::done_to(&a.act, &a.part).trim().to_owned())
            .collect();
        tried.sort_unstable();
        tried.dedup();
        tried
    });
    let (tried, n) = commonest(tried)?;
    Some(format!(
        "tried in vain: {tried} ({} of {})",
        n,
        phrases::jobs_text(jobs.len())
    ))
}

/// Returns the words that most often proved it.
pub fn proof(jobs: &[&Job]) -> Option<String> {
    let proofs = jobs
        .iter()
        .filter_map(|job| job.proof.as_deref())
        .map(|p| p.trim().to_owned())
        .filter(|p| !p.is_empty());
    let (proof, n) = commonest(proofs)?;
    Some(format!(
        "proof: {proof} ({n} of {})",
        phrases::jobs_text(jobs.len())
    ))
}

/// Returns which job with a fix came back last, why, and what mended it then; with several, how many.
pub fn came_back(shelf: &Shelf<'_>, fix: &Fix) -> Option<String> {
    let own: Vec<&Case<'_>> = shelf.cases.iter().filter(|c| c.fix == *fix).collect();
    let back: Vec<&Job> = own
        .iter()
        .map(|c| c.job)
        .filter(|job| tier::bounced(job))
        .collect();
    let job = back.last()?;
    let many = format!(
        "came back: {} of {}",
        back.len(),
        phrases::jobs_text(own.len())
    );
    let latest = if back.len() == 1 { "" } else { "the latest " };
    let then = shelf.cases.iter().find(|case| {
        let follows = case.job.follows.as_deref();
        follows.is_some_and(|f| f == job.job || f == job.id)
    });
    let then = match then {
        Some(case) if case.fix == *fix => ", then the same once more".to_owned(),
        Some(case) if !case.barred => format!(", then {}", phrases::short_fix(&case.fix)),
        _ => String::new(),
    };
    Some(format!("{many}, {latest}{}, {}{then}", job.job, cause(job)))
}

/// Returns why a job came back.
fn cause(job: &Job) -> &'static str {
    match (job.outcome, job.bounce_cause) {
        (_, Some(BounceCause::Diagnosis)) => "wrong diagnosis",
        (_, Some(BounceCause::Workmanship)) => "workmanship",
        (_, Some(BounceCause::Part)) => "the new part failed",
        (_, Some(BounceCause::NewDamage)) => "new damage",
        (Outcome::BouncedOtherFault, _) => "with another fault",
        _ => "nobody wrote why",
    }
}

/// Returns the most frequent text and its count; ties go to the first in the alphabet.
pub fn commonest(texts: impl Iterator<Item = String>) -> Option<(String, usize)> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for text in texts {
        *counts.entry(text).or_default() += 1;
    }
    counts
        .into_iter()
        .min_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)))
}

/// Names the jobs that ended in the fix and stand for no card, where they are half as many as those of this one:
/// other cards count them.
fn left_out(shelf: &Shelf<'_>, group: &Group) -> Option<String> {
    let proved = |g: &Group| g.evidence.iter().any(|at| shelf.cases[*at].proved);
    // Where the part failed in another way and that is proved, a card of its own speaks for it.
    let own = |g: &&Group| g.fix == group.fix && (g.id == group.id || !proved(g));
    let weak = |at: &&usize| {
        let case = &shelf.cases[**at];
        let counts = case.tier.counts() && !case.barred && !case.refuted;
        let counts = counts && !tier::bounced(case.job);
        counts && !group.evidence.contains(at)
    };
    let members = shelf.groups.iter().filter(own).flat_map(|g| &g.members);
    let rows: BTreeSet<usize> = members.filter(weak).copied().collect();
    let names = rows.iter().map(|at| shelf.cases[*at].job.job.as_str());
    let names: Vec<&str> = names.collect();
    (!names.is_empty() && group.evidence.len() <= 2 * names.len()).then(|| {
        let verb = if names.len() == 1 { "proves" } else { "prove" };
        format!(
            "left out here: {}, which ended so too and {verb} too little",
            names.join(", ")
        )
    })
}
