//! One case that seems to stand twice, in other words: from the ticket and again from a notebook.
//!
//! Two jobs are called twins when all of this holds: the same board and the same fix; revisions and
//! units that may be the same (one unit that was closed on two days came again: that is told as such);
//! closed at most [`DAYS`] apart; not linked to each other; at least one
//! measured value other than zero that agrees within [`VALUE_SHARE`]; and a likeness of at least
//! [`LIKE`]. The likeness is the share of findings, of all that either recorded, that both recorded
//! and that agree (Jaccard's coefficient, 1901; from memory); a finding without a number agrees when
//! its word and place do. The limits are common practice, no source, and cautious: two units with the
//! same fault are evidence, and must not be thrown together. Nothing is merged here.

use std::collections::BTreeMap;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::job::Finding;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;

/// Days that the closing days of twins lie apart at most.
pub const DAYS: i64 = 14;
/// Share by which two values of one reading may differ.
pub const VALUE_SHARE: f64 = 0.02;
/// Least likeness of twins.
pub const LIKE: f64 = 0.6;

/// Returns the pairs that seem to be one case.
pub fn twins(look: &Look<'_>) -> Vec<ToMend> {
    let mut groups: BTreeMap<(&str, Fix), Vec<&Job>> = BTreeMap::new();
    for job in look.jobs {
        let fix = job.fix();
        if !fix.is_empty() {
            groups.entry((&job.board, fix)).or_default().push(job);
        }
    }
    let mut found = Vec::new();
    for jobs in groups.values_mut() {
        jobs.sort_by_key(|j| (j.closed_on, &j.job));
        for (i, a) in jobs.iter().enumerate() {
            let near = |b: &&&Job| (b.closed_on - a.closed_on).num_days() <= DAYS;
            for b in jobs[i + 1..].iter().take_while(near) {
                found.extend(likeness(a, b).map(|like| told(a, b, like)));
            }
        }
    }
    found.sort_by(|a, b| a.jobs.cmp(&b.jobs));
    found
}

fn told(a: &Job, b: &Job, like: f64) -> ToMend {
    let days = (b.closed_on - a.closed_on).num_days();
    ToMend {
        kind: Kind::Twin,
        severity: Severity::Doubtful,
        jobs: vec![a.job.clone(), b.job.clone()],
        field: "findings".to_owned(),
        what: format!(
            "{}: {} and {} have the same fix and the same readings",
            a.board, a.job, b.job
        ),
        why: format!(
            "{:.0} % of their findings agree and they were closed {days} {} apart",
            like * 100.0,
            if days == 1 { "day" } else { "days" }
        ),
        todo: "if it is one case, have one of the two withdrawn; if not, leave both".to_owned(),
        mend: None,
    }
}

/// Returns how alike two jobs are, if they may be one case at all.
pub fn likeness(a: &Job, b: &Job) -> Option<f64> {
    let differ = |x: &Option<String>, y: &Option<String>| x.is_some() && y.is_some() && x != y;
    let linked = |x: &Job, y: &Job| {
        x.follows
            .as_ref()
            .is_some_and(|f| *f == y.job || *f == y.id)
    };
    let again = a.unit.is_some() && a.unit == b.unit && a.closed_on != b.closed_on;
    if again || differ(&a.rev, &b.rev) || differ(&a.unit, &b.unit) || linked(a, b) || linked(b, a) {
        return None;
    }
    let mut free: Vec<&Finding> = b.findings.iter().collect();
    let mut agreed = 0;
    let mut measured = false;
    for finding in &a.findings {
        if let Some(at) = free.iter().position(|other| agree(finding, other)) {
            free.remove(at);
            agreed += 1;
            measured |= value(finding).is_some_and(|v| v != 0.0);
        }
    }
    let all = a.findings.len() + free.len();
    let like = count(agreed) / count(all.max(1));
    (measured && LIKE <= like).then_some(like)
}

fn value(finding: &Finding) -> Option<f64> {
    finding.got.or(finding.high).or(finding.low)
}

fn agree(a: &Finding, b: &Finding) -> bool {
    let same_place = a.place.trim().eq_ignore_ascii_case(b.place.trim());
    if a.kind != b.kind || !same_place || a.when != b.when {
        return false;
    }
    let states = a.state.is_none() || b.state.is_none() || a.state == b.state;
    match (value(a), value(b)) {
        (Some(x), Some(y)) => states && (x - y).abs() <= VALUE_SHARE * x.abs().max(y.abs()),
        (None, None) => states && a.code == b.code,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;
    use crate::domain::check::example::rail;

    fn found(a: Job, b: Job) -> usize {
        twins(&look(&[a, b], &[])).len()
    }

    #[test]
    fn the_same_case_from_ticket_and_notebook_is_named() {
        let ticket = job("W-1", "U31", 1);
        let mut notebook = job("N-7", "U31", 4);
        notebook.rev = None;
        notebook.findings[0].got = Some(0.415);
        notebook.proof = Some("rail came back".to_owned());
        let found = twins(&look(&[ticket, notebook], &[]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].jobs, ["W-1", "N-7"]);
        assert_eq!(
            found[0].why,
            "100 % of their findings agree and they were closed 3 days apart"
        );
    }

    #[test]
    fn two_units_with_the_same_fault_are_evidence_not_twins() {
        let first = job("W-1", "U31", 1);
        let second = || job("W-2", "U31", 3);
        assert_eq!(
            found(first.clone(), second()),
            1,
            "else nothing here is shown"
        );
        let mut units = [first.clone(), second()];
        units[0].unit = Some("aa".to_owned());
        units[1].unit = Some("bb".to_owned());
        let [a, b] = units;
        assert_eq!(found(a, b), 0);
        let mut again = [first.clone(), second()];
        again[0].unit = Some("aa".to_owned());
        again[1].unit = Some("aa".to_owned());
        let [a, mut b] = again;
        assert_eq!(found(a.clone(), b.clone()), 0, "the unit came again");
        b.closed_on = a.closed_on;
        assert_eq!(found(a, b), 1, "entered twice");
        let mut later = second();
        later.closed_on = crate::domain::check::example::day(16);
        assert_eq!(found(first.clone(), later), 0);
        let mut returned = second();
        returned.follows = Some("W-1".to_owned());
        assert_eq!(found(first.clone(), returned), 0);
        let mut other = second();
        other.findings[0] = rail("3V3_SB", 0.55);
        other.findings[1].got = Some(230.0);
        assert_eq!(
            found(first.clone(), other),
            0,
            "one of five findings agrees"
        );
        assert_eq!(found(first, job("W-3", "L12", 2)), 0);
    }

    #[test]
    fn words_alone_make_no_twins() {
        let worded = |number| {
            let mut job = job(number, "U31", 1);
            job.findings = vec![rail("3V3_SB", 0.0)];
            job
        };
        assert_eq!(found(worded("W-1"), worded("W-2")), 0);
    }
}
