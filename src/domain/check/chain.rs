//! The jobs of one unit: those that came again without a link, those that are linked while nobody says
//! why they came back, and links that lead astray.

use std::collections::BTreeMap;
use std::collections::HashMap;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::command;
use crate::domain::check::correct;
use crate::domain::job::Job;
use crate::domain::job::Outcome;

/// Returns the jobs of one unit that follow each other in time and are not linked.
pub fn returns(look: &Look<'_>) -> Vec<ToMend> {
    let mut units: BTreeMap<&str, Vec<&Job>> = BTreeMap::new();
    for job in look.jobs {
        if let Some(unit) = job.unit.as_deref().filter(|u| !u.trim().is_empty()) {
            units.entry(unit).or_default().push(job);
        }
    }
    let mut found = Vec::new();
    for jobs in units.values_mut() {
        jobs.sort_by_key(|j| (j.closed_on, &j.job));
        for pair in jobs.windows(2) {
            let (earlier, later) = (pair[0], pair[1]);
            // On one day the order is not known: the link may stand in either of them.
            let linked_back = earlier.closed_on == later.closed_on && earlier.follows.is_some();
            if later.follows.is_none() && !linked_back {
                found.push(unlinked(earlier, later, look.warranty_days));
            }
        }
    }
    found.sort_by(|a, b| a.jobs.cmp(&b.jobs));
    found
}

fn unlinked(earlier: &Job, later: &Job, warranty_days: u32) -> ToMend {
    let days = (later.closed_on - earlier.closed_on).num_days();
    let within = days <= i64::from(warranty_days);
    let place = if within { "within" } else { "after" };
    ToMend {
        kind: Kind::Return,
        severity: if within {
            Severity::Missing
        } else {
            Severity::Doubtful
        },
        jobs: vec![earlier.job.clone(), later.job.clone()],
        field: "follows".to_owned(),
        what: format!(
            "{} is a later job of the unit of {}, and no link says so",
            later.job, earlier.job
        ),
        why: format!(
            "it was closed {days} days later, {place} the warranty of {warranty_days} days"
        ),
        todo: if within {
            "link the two and say why it came back: diagnosis, workmanship, part, new-damage or unknown"
        } else {
            "link the two; with --cause CAUSE in place of --only-link if the repair failed"
        }
        .to_owned(),
        mend: command("jobs returned", &[&earlier.job])
            .zip(command("--by", &[&later.job]))
            .map(|(returned, by)| {
                let by = by.trim_start_matches("benchlore ");
                let how = if within { "--cause CAUSE" } else { "--only-link" };
                format!("{returned} {by} {how}")
            }),
    }
}

/// Returns the jobs that came back under warranty with a fault in the same circuit, by a link, while the
/// first repair still stands as one that held or may have: until someone says why, it speaks for its fix.
///
/// What is unknown and past the warranty days is on the follow-up list already.
pub fn unexplained(look: &Look<'_>) -> Vec<ToMend> {
    let by_name = by_name(look.jobs);
    let warranty = i64::from(look.warranty_days);
    let mut found: Vec<ToMend> = look
        .jobs
        .iter()
        .filter_map(|later| {
            let earlier = *by_name.get(later.follows.as_deref()?)?;
            let standing = match earlier.outcome {
                Outcome::Held => "as a repair that held",
                Outcome::UnknownSoFar if (look.as_of - earlier.closed_on).num_days() < warranty => {
                    "as one that may have held"
                }
                _ => return None,
            };
            let days = (later.closed_on - earlier.closed_on).num_days();
            let same = earlier.family.is_some() && earlier.family == later.family;
            let came_back = same && (0..=warranty).contains(&days) && !later.fix().is_empty();
            (came_back && astray(later, earlier).is_none())
                .then(|| still_standing(earlier, later, (standing, days)))
        })
        .collect();
    found.sort_by(|a, b| a.jobs.cmp(&b.jobs));
    found
}

fn still_standing(earlier: &Job, later: &Job, (standing, days): (&str, i64)) -> ToMend {
    ToMend {
        kind: Kind::Return,
        severity: Severity::Missing,
        jobs: vec![earlier.job.clone(), later.job.clone()],
        field: "outcome".to_owned(),
        what: format!(
            "{} came back as {} with a fault in the same circuit, and still stands {standing}",
            earlier.job, later.job
        ),
        why: format!("{days} days later; until someone says why, it speaks for its fix"),
        todo: "say why it came back: diagnosis, workmanship, part, new-damage or unknown; \
               with --fault other where it was another fault"
            .to_owned(),
        mend: command("jobs returned", &[&earlier.job])
            .zip(command("--by", &[&later.job]))
            .map(|(returned, by)| {
                let by = by.trim_start_matches("benchlore ");
                format!("{returned} {by} --cause CAUSE")
            }),
    }
}

/// Returns jobs by number, and by the id of their line where no number is called so.
fn by_name(jobs: &[Job]) -> HashMap<&str, &Job> {
    let mut by_name: HashMap<&str, &Job> = HashMap::new();
    for job in jobs {
        by_name.entry(&job.id).or_insert(job);
    }
    for job in jobs {
        by_name.insert(&job.job, job);
    }
    by_name
}

/// Returns the links (`follows`) that point nowhere or to a job that cannot be meant.
pub fn links(look: &Look<'_>) -> Vec<ToMend> {
    let by_name = by_name(look.jobs);
    let mut found = Vec::new();
    for job in look.jobs {
        let Some(named) = job.follows.as_deref() else {
            continue;
        };
        let why = match by_name.get(named) {
            None => "there is no such job".to_owned(),
            Some(earlier) => match astray(job, earlier) {
                Some(why) => why,
                None => continue,
            },
        };
        found.push(ToMend {
            kind: Kind::Link,
            severity: Severity::Wrong,
            jobs: vec![job.job.clone()],
            field: "follows".to_owned(),
            what: format!("{} follows {named:?}", job.job),
            why,
            todo: "correct `follows`, or add the job that is missing".to_owned(),
            mend: correct(&job.job),
        });
    }
    found
}

fn astray(job: &Job, earlier: &Job) -> Option<String> {
    let differ = |x: &Option<String>, y: &Option<String>| x.is_some() && y.is_some() && x != y;
    if earlier.id == job.id {
        return Some("a job cannot follow itself".to_owned());
    }
    if job.closed_on < earlier.closed_on {
        return Some(format!(
            "that job was closed later, on {}",
            earlier.closed_on
        ));
    }
    if job.board != earlier.board {
        return Some(format!("that job is on another board, {}", earlier.board));
    }
    if differ(&job.unit, &earlier.unit) {
        return Some("that job is of another unit".to_owned());
    }
    let back = earlier
        .follows
        .as_ref()
        .is_some_and(|f| *f == job.job || *f == job.id);
    back.then(|| "the two follow each other".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;

    fn of_unit(number: &str, day: u64, follows: Option<&str>) -> Job {
        Job {
            unit: Some("5f2a90c1".to_owned()),
            follows: follows.map(str::to_owned),
            ..job(number, "U31", day)
        }
    }

    #[test]
    fn a_unit_that_came_again_unlinked_is_named_with_its_days() {
        let jobs = [of_unit("W-1", 1, None), of_unit("W-2", 44, None)];
        let found = returns(&look(&jobs, &[]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].jobs, ["W-1", "W-2"]);
        assert!(found[0].why.contains("43 days later, within the warranty"));
        assert_eq!(
            found[0].mend.as_deref(),
            Some("benchlore jobs returned W-1 --by W-2 --cause CAUSE")
        );
        let jobs = [of_unit("W-1", 1, None), of_unit("W-2", 144, None)];
        let found = returns(&look(&jobs, &[]));
        assert!(found[0].why.contains("after the warranty"));
        assert_eq!(
            found[0].mend.as_deref(),
            Some("benchlore jobs returned W-1 --by W-2 --only-link")
        );
    }

    #[test]
    fn linked_returns_and_single_jobs_are_in_order() {
        let jobs = [
            of_unit("W-1", 1, None),
            of_unit("W-2", 44, Some("W-1")),
            job("W-3", "U31", 50),
            job("W-4", "U31", 51),
        ];
        assert_eq!(returns(&look(&jobs, &[])), []);
        assert_eq!(links(&look(&jobs, &[])), []);
    }

    #[test]
    fn a_repair_that_came_back_by_a_link_does_not_go_on_standing_as_held() {
        let mut jobs = [of_unit("W-1", 1, None), of_unit("W-2", 44, Some("W-1"))];
        let found = unexplained(&look(&jobs, &[]));
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].jobs, ["W-1", "W-2"]);
        assert!(
            found[0].what.contains("as a repair that held"),
            "{}",
            found[0].what
        );
        assert!(found[0].why.contains("43 days later"), "{}", found[0].why);
        assert_eq!(
            found[0].mend.as_deref(),
            Some("benchlore jobs returned W-1 --by W-2 --cause CAUSE")
        );
        // Someone said how it ended, or it is another circuit's fault, or long after.
        jobs[0].outcome = Outcome::BouncedSameFault;
        assert_eq!(unexplained(&look(&jobs, &[])), []);
        jobs[0].outcome = Outcome::Held;
        jobs[1].family = Some("buck".to_owned());
        assert_eq!(unexplained(&look(&jobs, &[])), []);
        let long_after = [of_unit("W-1", 1, None), of_unit("W-2", 144, Some("W-1"))];
        assert_eq!(unexplained(&look(&long_after, &[])), []);
    }

    #[test]
    fn an_unknown_outcome_past_the_warranty_days_is_told_once() {
        let mut jobs = [of_unit("W-1", 1, None), of_unit("W-2", 44, Some("W-1"))];
        jobs[0].outcome = Outcome::UnknownSoFar;
        let mut now = look(&jobs, &[]);
        now.as_of = jobs[1].closed_on;
        assert_eq!(unexplained(&now).len(), 1);
        now.as_of = jobs[0].closed_on + chrono::Days::new(90);
        assert_eq!(unexplained(&now), [], "it is on the follow-up list");
    }

    #[track_caller]
    fn check(jobs: &[Job], why: &str) {
        let found = links(&look(jobs, &[]));
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].why.contains(why), "{}", found[0].why);
    }

    #[test]
    fn links_that_lead_astray_say_why() {
        check(&[of_unit("W-1", 1, Some("W-9"))], "no such job");
        check(&[of_unit("W-1", 1, Some("W-1"))], "itself");
        let later = [of_unit("W-1", 1, Some("W-2")), of_unit("W-2", 2, None)];
        check(&later, "closed later");
        let mut unit = [of_unit("W-1", 1, None), of_unit("W-2", 2, Some("W-1"))];
        unit[0].unit = Some("other".to_owned());
        check(&unit, "another unit");
        let mut board = [of_unit("W-1", 1, None), of_unit("W-2", 2, Some("W-1"))];
        board[0].board = "skua-e6".to_owned();
        check(&board, "another board");
        let circle = [
            of_unit("W-1", 1, Some("W-2")),
            of_unit("W-2", 1, Some("W-1")),
        ];
        assert_eq!(links(&look(&circle, &[])).len(), 2);
    }

    #[test]
    fn a_link_may_name_the_line_instead_of_the_number() {
        let mut jobs = [of_unit("W-1", 1, None), of_unit("W-2", 2, Some("b7-1"))];
        jobs[0].id = "b7-1".to_owned();
        assert_eq!(links(&look(&jobs, &[])), []);
    }
}
