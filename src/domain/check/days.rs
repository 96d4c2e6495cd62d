//! Closing days that cannot be, and minutes that contradict each other.

use chrono::Datelike;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::correct;
use crate::domain::check::numbers;
use crate::domain::job::Job;

/// No closing day lies before this year. An empty cell of a sheet becomes 1899, 1900, 1904 or 1970
/// (common practice, no source).
const FIRST_YEAR: i32 = 1980;
/// More jobs than this after today point at the clock rather than at each of them.
const OF_A_CLOCK: usize = 5;

/// Returns the jobs closed after today or in a year that cannot be.
pub fn closing(look: &Look<'_>) -> Vec<ToMend> {
    let early = look.jobs.iter().filter(|j| j.closed_on.year() < FIRST_YEAR);
    let mut found: Vec<ToMend> = early
        .map(|job| {
            let why = "an empty cell of a sheet turns into such a day";
            told(job, &format!("was closed on {}", job.closed_on), why)
        })
        .collect();
    let late: Vec<&Job> = look
        .jobs
        .iter()
        .filter(|j| look.as_of < j.closed_on)
        .collect();
    if OF_A_CLOCK < late.len() {
        found.push(of_the_clock(look, &late));
        return found;
    }
    found.extend(late.into_iter().map(|job| {
        let days = (job.closed_on - look.as_of).num_days();
        let when = if days == 1 {
            "tomorrow".to_owned()
        } else {
            format!("{days} days from now")
        };
        let why = "a job is closed today or earlier: day and month swapped, or the wrong year?";
        let what = format!("was closed on {}, {when}", job.closed_on);
        told(job, &what, why)
    }));
    found
}

fn told(job: &Job, what: &str, why: &str) -> ToMend {
    ToMend {
        kind: Kind::Day,
        severity: Severity::Wrong,
        jobs: vec![job.job.clone()],
        field: "closed_on".to_owned(),
        what: format!("{} {what}", job.job),
        why: why.to_owned(),
        todo: "correct the day".to_owned(),
        mend: correct(&job.job),
    }
}

fn of_the_clock(look: &Look<'_>, late: &[&Job]) -> ToMend {
    let jobs: Vec<String> = late.iter().map(|j| j.job.clone()).collect();
    ToMend {
        kind: Kind::Day,
        severity: Severity::Wrong,
        field: "closed_on".to_owned(),
        what: format!(
            "{} jobs were closed after today, {} ({})",
            jobs.len(),
            look.as_of,
            numbers(&jobs)
        ),
        why: "so many together: is this computer's clock behind?".to_owned(),
        todo: "set the clock, or correct the days".to_owned(),
        mend: None,
        jobs,
    }
}

/// Returns the jobs whose fault took longer to find than the whole job took.
pub fn minutes(look: &Look<'_>) -> Vec<ToMend> {
    look.jobs
        .iter()
        .filter_map(|job| {
            let (find, whole) = (job.effort.minutes_to_find?, job.effort.minutes?);
            (whole < find).then(|| ToMend {
                kind: Kind::Number,
                severity: Severity::Wrong,
                jobs: vec![job.job.clone()],
                field: "minutes_to_find".to_owned(),
                what: format!(
                    "{}: {find} minutes to find the fault, {whole} for the whole job",
                    job.job
                ),
                why: "finding the fault is part of the job".to_owned(),
                todo: "correct the one that is wrong".to_owned(),
                mend: correct(&job.job),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;
    use crate::domain::job::Effort;

    #[track_caller]
    fn check(day: &str, wanted: Option<&str>) {
        let mut jobs = [job("W-1", "U31", 1)];
        jobs[0].closed_on = day.parse::<NaiveDate>().expect("a day");
        let found = closing(&look(&jobs, &[]));
        assert_eq!(found.len(), usize::from(wanted.is_some()), "{found:?}");
        if let Some(words) = wanted {
            assert!(found[0].what.contains(words), "{}", found[0].what);
            assert_eq!(found[0].field, "closed_on");
        }
    }

    #[test]
    fn a_day_to_come_and_a_day_of_an_empty_cell_are_named() {
        // The examples are looked at on 5 February 2027.
        check("2027-02-05", None);
        check("2027-02-06", Some("tomorrow"));
        check("2027-12-05", Some("303 days from now"));
        check("1980-01-01", None);
        check("1979-12-31", Some("1979"));
        check("1899-12-30", Some("1899"));
    }

    #[test]
    fn many_days_to_come_are_one_clock() {
        let jobs: Vec<Job> = (0..6)
            .map(|n| job(&format!("W-{n}"), "U31", 500 + n))
            .collect();
        let found = closing(&look(&jobs, &[]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].jobs.len(), 6);
        assert!(found[0].why.contains("clock"));
        assert_eq!(closing(&look(&jobs[..5], &[])).len(), 5);
    }

    #[test]
    fn a_fault_is_found_within_its_job() {
        let of = |find: f64, whole: f64| {
            let mut jobs = [job("W-1", "U31", 1)];
            jobs[0].effort = Effort {
                minutes_to_find: Some(find),
                minutes: Some(whole),
                ..Effort::default()
            };
            minutes(&look(&jobs, &[])).len()
        };
        assert_eq!(of(35.0, 70.0), 0);
        assert_eq!(of(70.0, 70.0), 0);
        assert_eq!(of(350.0, 70.0), 1);
    }
}
