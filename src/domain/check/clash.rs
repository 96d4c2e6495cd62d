//! Jobs that look the same on the bench and were proved to be different faults.
//!
//! Two jobs of one board clash when each one's fix was proved, the fixes have no step in common, the
//! revisions may be the same, and every finding that both recorded lies in the same band: at least
//! [`SHARED`] of them, and no fewer than half of what the longer of the two recorded. What was seen
//! counts as one finding with all its places, so that residue at another part is another look.
//! The measure is common practice, no source; it is cautious, so that a short record clashes with
//! nothing. One pair of fixes is told once, with all its jobs.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::numbers;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::BounceCause;
use crate::domain::job::Confidence;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::judge::danger::unsafe_acts;

/// Findings that two jobs must share before they can clash.
pub const SHARED: usize = 3;

/// What can be compared between two jobs: kind, place, state, polarity.
type Name = (FindingKind, String, String, String);

/// Jobs of one board with the same fix, revision and look.
struct Class<'a> {
    fix: Fix,
    rev: Option<&'a str>,
    look: BTreeMap<Name, String>,
    first: &'a Job,
    jobs: Vec<&'a str>,
}

/// Returns the clashes, one a pair of fixes.
pub fn contradictions(look: &Look<'_>) -> Vec<ToMend> {
    let mut boards: BTreeMap<&str, Vec<&Job>> = BTreeMap::new();
    for job in look.jobs.iter().filter(|j| speaks(j)) {
        boards.entry(&job.board).or_default().push(job);
    }
    let mut found = Vec::new();
    for (id, jobs) in boards {
        let board = look.board(id);
        let mut classes = classes(&jobs, board);
        // An unsafe fix is no answer, so it contradicts none.
        classes.retain(|c| unsafe_acts::unsafe_fix(&c.fix, c.first, board).is_none());
        let mut pairs: BTreeMap<(String, String), [BTreeSet<&str>; 2]> = BTreeMap::new();
        for (i, a) in classes.iter().enumerate() {
            for b in classes[i + 1..].iter().filter(|b| clash(a, b)) {
                let (a, b) = if a.fix <= b.fix { (a, b) } else { (b, a) };
                let sides = pairs.entry((a.fix.key(), b.fix.key())).or_default();
                sides[0].extend(&a.jobs);
                sides[1].extend(&b.jobs);
            }
        }
        found.extend(
            pairs
                .into_iter()
                .map(|(fixes, sides)| told(id, &fixes, &sides)),
        );
    }
    found
}

fn told(board: &str, fixes: &(String, String), sides: &[BTreeSet<&str>; 2]) -> ToMend {
    let [first, second] = sides
        .clone()
        .map(|side| side.into_iter().map(str::to_owned).collect::<Vec<_>>());
    ToMend {
        kind: Kind::Contradiction,
        severity: Severity::Doubtful,
        field: "findings".to_owned(),
        what: format!(
            "{board}: {} ({}) against {} ({})",
            fixes.0,
            numbers(&first),
            fixes.1,
            numbers(&second)
        ),
        why: "every reading that they share lies in the same band, and each fix was proved"
            .to_owned(),
        todo: "add the finding that tells them apart, or correct the job that is wrong".to_owned(),
        mend: None,
        jobs: first.into_iter().chain(second).collect(),
    }
}

/// Tells whether the job says with proof what its fix was.
fn speaks(job: &Job) -> bool {
    let wrong = tier::bounced(job) && job.bounce_cause == Some(BounceCause::Diagnosis);
    !job.fix().is_empty()
        && tier::is_proved(job)
        && !wrong
        && !tier::bounced_unexplained(job)
        && job.confidence != Some(Confidence::Guessed)
}

fn classes<'a>(jobs: &[&'a Job], board: Option<&Board>) -> Vec<Class<'a>> {
    let mut found: BTreeMap<_, Class<'a>> = BTreeMap::new();
    for job in jobs {
        let look = seen(job, board);
        if look.len() < SHARED {
            continue;
        }
        let rev = job.rev.as_deref();
        let class = found
            .entry((job.fix(), rev, look.clone()))
            .or_insert_with(|| Class {
                fix: job.fix(),
                rev,
                look,
                first: job,
                jobs: Vec::new(),
            });
        class.jobs.push(&job.job);
    }
    found.into_values().collect()
}

fn seen(job: &Job, board: Option<&Board>) -> BTreeMap<Name, String> {
    let mut words: BTreeMap<Name, BTreeSet<String>> = BTreeMap::new();
    for finding in job.findings.iter().filter(|f| tier::is_before_repair(f)) {
        if let Some(word) = band::band(finding, board) {
            let (name, word) = name(finding, word);
            words.entry(name).or_default().insert(word);
        }
    }
    words
        .into_iter()
        .map(|(name, words)| (name, words.into_iter().collect::<Vec<_>>().join(", ")))
        .collect()
}

fn name(finding: &Finding, word: String) -> (Name, String) {
    let place = finding.place.trim();
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    if matches!(finding.kind, FindingKind::Visual | FindingKind::Heat) {
        let empty = String::new;
        let name = (finding.kind, empty(), empty(), empty());
        return (name, format!("{word} at {}", place.to_lowercase()));
    }
    let name = (
        finding.kind,
        place.to_owned(),
        text(&finding.state),
        text(&finding.polarity),
    );
    (name, word)
}

fn clash(a: &Class<'_>, b: &Class<'_>) -> bool {
    let other_rev = a.rev.is_some() && b.rev.is_some() && a.rev != b.rev;
    if other_rev
        || a.fix
            .pairs()
            .iter()
            .any(|step| b.fix.pairs().contains(step))
    {
        return false;
    }
    let mut shared = 0;
    for (name, word) in &a.look {
        match b.look.get(name) {
            Some(other) if other != word => return false,
            Some(_) => shared += 1,
            None => {}
        }
    }
    SHARED <= shared && a.look.len().max(b.look.len()) <= shared * 2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;
    use crate::domain::check::example::rail;

    fn found(jobs: &[Job]) -> Vec<ToMend> {
        contradictions(&look(jobs, &[]))
    }

    #[test]
    fn the_same_look_with_two_proved_fixes_is_told_once_with_all_its_jobs() {
        let jobs = [
            job("W-1", "U31", 1),
            job("W-2", "L12", 2),
            job("W-3", "U31", 3),
        ];
        let found = found(&jobs);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].jobs, ["W-2", "W-1", "W-3"]);
        assert_eq!(
            found[0].what,
            "petrel-p4: replace L12 (W-2) against replace U31 (W-1, W-3)"
        );
    }

    #[test]
    fn one_reading_in_another_band_tells_them_apart() {
        let mut other = job("W-2", "L12", 2);
        other.findings[0] = rail("3V3_SB", 3.3);
        assert_eq!(found(&[job("W-1", "U31", 1), other]), []);
    }

    #[test]
    fn what_does_not_speak_does_not_contradict() {
        let good = job("W-1", "U31", 1);
        let mut bridged = job("W-7", "fuse F1", 2);
        "bridge-or-jumper".clone_into(&mut bridged.actions[0].act);
        let mut unproved = job("W-2", "L12", 2);
        unproved.confidence = None;
        let mut other_rev = job("W-3", "L12", 2);
        other_rev.rev = Some("A".to_owned());
        let mut other_board = job("W-4", "L12", 2);
        other_board.board = "skua-e6".to_owned();
        let mut short = job("W-5", "L12", 2);
        short.findings.truncate(2);
        let mut both = job("W-6", "L12", 2);
        both.actions.extend(good.actions.clone());
        for job in [bridged, unproved, other_rev, other_board, short, both] {
            assert_eq!(found(&[good.clone(), job.clone()]), [], "{}", job.job);
        }
    }

    #[test]
    fn residue_at_another_part_is_another_look() {
        let seen_at = |number: &str, part: &str| {
            let mut job = job(number, part, 1);
            let mut sign = Finding::new(FindingKind::Visual, part);
            sign.code = Some("residue".to_owned());
            job.findings.push(sign);
            job
        };
        assert_eq!(found(&[seen_at("W-1", "U31"), seen_at("W-2", "L12")]), []);
    }
}
