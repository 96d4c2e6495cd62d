//! The generator of the practice shop: its sources give the shipped bytes, and the numbers hold.
//!
//! The shares are those that the practice shop sets out to have. How often a fault occurs in it says
//! nothing about any real board.

#[path = "../../demo-data/generator/people.rs"]
mod people;
#[path = "../../demo-data/generator/practice/mod.rs"]
mod practice;

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;

use chrono::NaiveDate;

use benchlore::app::workbench::Archive;
use benchlore::domain::families::built_in;
use benchlore::domain::job::BounceCause;
use benchlore::domain::job::Finding;
use benchlore::domain::job::Fix;
use benchlore::domain::job::Job;
use benchlore::domain::job::NO_FIX_REASONS;
use benchlore::domain::job::Outcome;
use benchlore::domain::job::Role;
use benchlore::domain::job::UNLOCATED;
use benchlore::domain::job::When;

use crate::practice_shop::shipped;

const SHIPPED: &str = include_str!("../../demo-data/jobs/practice.jsonl");

const BY_HAND: &str = include_str!("../../demo-data/generator/by-hand.jsonl");

#[test]
fn its_sources_give_the_shipped_jobs_byte_for_byte() {
    let made = practice::jobs();
    let differs = made.lines().zip(SHIPPED.lines()).position(|(a, b)| a != b);
    assert_eq!(
        differs, None,
        "a line differs from demo-data/jobs/practice.jsonl"
    );
    assert!(
        made == SHIPPED,
        "{} bytes made, {} shipped",
        made.len(),
        SHIPPED.len()
    );
}

#[test]
fn drilling_again_gives_the_shipped_people_byte_for_byte() {
    let made = people::people(SHIPPED);
    assert_eq!(made.len(), 9, "three people, each on two benches");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    for (place, text) in made {
        let shipped = std::fs::read_to_string(folder.join(&place)).expect("it ships");
        let differs = text.lines().zip(shipped.lines()).position(|(a, b)| a != b);
        assert_eq!(
            differs, None,
            "a line of {place} differs from the shipped one"
        );
        assert_eq!(text.len(), shipped.len(), "bytes of {place}");
    }
}

#[test]
fn every_job_written_by_hand_is_there_unchanged() {
    let lines: BTreeSet<&str> = SHIPPED.lines().collect();
    assert_eq!(lines.len(), SHIPPED.lines().count(), "a line stands twice");
    let lost: Vec<&str> = BY_HAND.lines().filter(|l| !lines.contains(l)).collect();
    assert_eq!(lost, Vec::<&str>::new());
    assert_eq!(BY_HAND.lines().count(), 233);
}

#[test]
fn nothing_is_called_as_on_a_good_board_without_a_good_reading() {
    let made = practice::jobs();
    let mut compared = 0;
    for line in made.lines() {
        let job: serde_json::Value = serde_json::from_str(line).expect("a line is JSON");
        let findings = job["findings"].as_array().expect("findings");
        for finding in findings.iter().filter(|f| f["verdict"] == "as-reference") {
            let good = finding.get("good_ohm").or(finding.get("good_v"));
            assert!(good.is_some(), "{}: {finding}", job["job"]);
            compared += 1;
        }
    }
    assert!(100 < compared, "{compared} such readings");
}

fn jobs() -> Vec<Job> {
    let (_, Archive { jobs, .. }) = shipped();
    jobs
}

#[test]
fn numbers_are_used_once_and_lines_stand_by_day_and_number() {
    let jobs = jobs();
    let numbers: BTreeSet<&str> = jobs.iter().map(|job| job.job.as_str()).collect();
    assert_eq!(numbers.len(), jobs.len());
    let lines = SHIPPED.lines().map(|line| {
        let job: serde_json::Value = serde_json::from_str(line).expect("a line is JSON");
        let text = |field: &str| job[field].as_str().unwrap().to_owned();
        (text("closed_on"), text("job"))
    });
    let lines: Vec<(String, String)> = lines.collect();
    assert!(lines.is_sorted(), "not by day and number");
}

/// Share of `jobs` for which `holds`, in per cent.
#[expect(clippy::cast_precision_loss, reason = "a few hundred jobs")]
fn share(jobs: &[Job], holds: impl Fn(&Job) -> bool) -> f64 {
    let n = jobs.iter().filter(|job| holds(job)).count();
    100.0 * n as f64 / jobs.len() as f64
}

fn day(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

fn bounced(job: &Job) -> bool {
    matches!(
        job.outcome,
        Outcome::BouncedSameFault | Outcome::BouncedOtherFault
    )
}

#[test]
fn three_years_of_closed_jobs_end_as_such_jobs_do() {
    let jobs = jobs();
    assert!(640 <= jobs.len(), "{} jobs", jobs.len());
    let first = jobs.iter().map(|job| job.closed_on).min().unwrap();
    let last = jobs.iter().map(|job| job.closed_on).max().unwrap();
    assert!(last < day("2026-11-20"), "{last}");
    let days = (last - first).num_days();
    assert!((1050..=1100).contains(&days), "{days} days");
    let no_fix = share(&jobs, |job| job.outcome == Outcome::NoFix);
    assert!((10.0..=14.0).contains(&no_fix), "{no_fix} % without a fix");
    let back = share(&jobs, bounced);
    assert!((7.0..=9.0).contains(&back), "{back} % came back");
}

#[test]
fn every_circuit_family_has_jobs_enough_to_drill() {
    let mut families: BTreeMap<String, usize> = BTreeMap::new();
    for job in jobs() {
        *families.entry(job.family.unwrap_or_default()).or_default() += 1;
    }
    let known: BTreeSet<String> = built_in().into_iter().map(|family| family.id).collect();
    families.retain(|id, n| known.contains(id) && 15 <= *n);
    assert!(14 <= families.len(), "{families:?}");
}

/// How often each board was mended by each fix.
fn fixes(jobs: &[Job]) -> BTreeMap<(String, String), usize> {
    let mut fixes = BTreeMap::new();
    for job in jobs.iter().filter(|job| job.outcome != Outcome::NoFix) {
        let key = (job.board.clone(), job.fix().key());
        *fixes.entry(key).or_default() += 1;
    }
    fixes
}

#[test]
fn common_fixes_recur_and_rare_ones_make_a_tail() {
    let jobs = jobs();
    let fixes = fixes(&jobs);
    let most = fixes.values().max().copied().unwrap();
    assert!(most <= 30, "{most} times the same fix");
    let common: Vec<usize> = fixes.values().copied().filter(|n| 5 <= *n).collect();
    assert!(35 <= common.len(), "{} common fixes", common.len());
    let (all, in_common) = (jobs.len(), common.iter().sum::<usize>());
    assert!(
        all * 2 <= in_common * 5,
        "{in_common} of {all} jobs are common fixes"
    );
    let rare = fixes.values().filter(|n| **n < 3).count();
    assert!(20 <= rare, "{rare} rare fixes");
}

#[test]
fn repairs_come_back_for_every_cause_and_boards_are_given_up_for_every_reason() {
    let jobs = jobs();
    let causes: Vec<BounceCause> = jobs.iter().filter_map(|job| job.bounce_cause).collect();
    for cause in BounceCause::ALL {
        let n = causes.iter().filter(|c| **c == cause).count();
        assert!(3 <= n, "{n} came back for {}", cause.word());
    }
    for reason in NO_FIX_REASONS {
        let given_up = jobs
            .iter()
            .filter(|j| j.no_fix_reason.as_deref() == Some(reason));
        assert!(2 <= given_up.count(), "{reason}");
    }
    let unlocated = jobs
        .iter()
        .filter(|j| j.family.as_deref() == Some(UNLOCATED));
    assert!(8 <= unlocated.count());
}

/// What was read before any action: each place and state with its band, and nothing of the values.
fn picture(job: &Job) -> BTreeSet<(&str, String, &str, &str)> {
    let before = job.findings.iter().filter(|f| f.when != When::AfterAction);
    let seen = before.map(|f: &Finding| {
        let code = f.code.as_deref().unwrap_or_default();
        let state = f.state.as_deref().unwrap_or_default();
        (f.kind.word(), f.place.clone(), state, code)
    });
    seen.collect()
}

/// Tells whether `job` tried in vain what mended `other`.
fn tried(job: &Job, other: &Fix) -> bool {
    let vain = job.actions.iter().filter(|a| a.role == Role::TriedNoEffect);
    let vain = vain.map(|a| (a.act.clone(), a.part.clone())).collect();
    Fix::new(vain) == *other
}

#[test]
fn two_pairs_of_jobs_contradict_each_other() {
    let jobs = jobs();
    let proved: Vec<&Job> = jobs.iter().filter(|job| job.proof.is_some()).collect();
    let mut pairs = Vec::new();
    for (at, a) in proved.iter().enumerate() {
        for b in &proved[at + 1..] {
            let alike = a.board == b.board && a.rev == b.rev && picture(a) == picture(b);
            if alike && tried(a, &b.fix()) && tried(b, &a.fix()) {
                pairs.push((a.job.clone(), b.job.clone(), picture(a).len()));
            }
        }
    }
    assert_eq!(pairs.len(), 2, "{pairs:?}");
    assert!(
        pairs.iter().all(|(_, _, readings)| 4 <= *readings),
        "{pairs:?}"
    );
}

#[test]
fn some_jobs_stand_in_the_archive_twice_in_other_words() {
    let jobs = jobs();
    let pair = |twin: &&Job| {
        let same = |job: &&Job| {
            let days = (twin.closed_on - job.closed_on).num_days();
            let told = twin.findings.iter().all(|f| {
                job.findings.iter().any(|g| {
                    f.kind == g.kind && f.place == g.place && f.got == g.got && f.code == g.code
                })
            });
            job.job != twin.job
                && job.board == twin.board
                && job.fix() == twin.fix()
                && (0..=7).contains(&days)
                && told
                && 3 <= twin.findings.len()
        };
        twin.source.as_deref() == Some("notebook") && jobs.iter().any(|job| same(&job))
    };
    let twins: Vec<&Job> = jobs.iter().filter(pair).collect();
    assert!((6..=10).contains(&twins.len()), "{} twins", twins.len());
    let raws =
        |job: &Job| -> Vec<Option<String>> { job.findings.iter().map(|f| f.raw.clone()).collect() };
    for twin in twins {
        let others = jobs
            .iter()
            .filter(|j| j.job != twin.job && raws(j) == raws(twin));
        assert_eq!(others.count(), 0, "{} says it in the same words", twin.job);
    }
}

#[test]
fn units_come_in_again_and_not_every_return_is_linked() {
    let jobs = jobs();
    let mut units: BTreeMap<&str, Vec<&Job>> = BTreeMap::new();
    for job in &jobs {
        if let Some(unit) = &job.unit {
            units.entry(unit).or_default().push(job);
        }
    }
    let (mut linked, mut unlinked) = (0, 0);
    for returns in units.values() {
        for later in &returns[1..] {
            match &later.follows {
                Some(number) => {
                    let earlier = returns.iter().find(|job| job.job == *number);
                    let earlier = earlier.expect("it follows a job of its own unit");
                    assert!(earlier.closed_on < later.closed_on, "{}", later.job);
                    assert_eq!(earlier.board, later.board, "{}", later.job);
                    linked += 1;
                }
                None => unlinked += 1,
            }
        }
    }
    assert!(30 <= linked, "{linked} linked");
    assert!((6..=20).contains(&unlinked), "{unlinked} unlinked");
    // What came back is there a second time.
    for job in jobs.iter().filter(|job| bounced(job)) {
        let again = job.unit.as_deref().map_or(0, |unit| units[unit].len());
        assert!(
            2 <= again || BY_HAND.contains(&job.id),
            "{} came back, and never came",
            job.job
        );
    }
}

#[test]
fn records_lack_what_records_lack() {
    let jobs = jobs();
    let known = share(&jobs, |job| job.rev.is_some());
    assert!(
        (80.0..95.0).contains(&known),
        "{known} % with their revision"
    );
    let vain = share(&jobs, |job| {
        job.actions.iter().any(|a| a.role == Role::TriedNoEffect)
    });
    assert!(
        (15.0..40.0).contains(&vain),
        "{vain} % with a step without effect"
    );
    let also = share(&jobs, |job| !job.contributing.is_empty());
    assert!(4.0 < also, "{also} % with a contributing family");
    let looked = share(&jobs, |job| {
        job.findings.iter().any(|f| f.when == When::BeforeCleaning)
    });
    assert!(
        (30.0..80.0).contains(&looked),
        "{looked} % looked before cleaning"
    );
    // Past the warranty of 90 days, and nobody has said whether it held.
    let nobody =
        |job: &Job| job.outcome == Outcome::UnknownSoFar && job.closed_on < day("2026-08-22");
    let waiting = share(&jobs, nobody);
    assert!(
        (8.0..25.0).contains(&waiting),
        "{waiting} % that nobody confirmed"
    );
    let never = jobs
        .iter()
        .filter(|job| nobody(job) && job.unit.is_none())
        .count();
    assert!(
        10 <= never,
        "{never} without a unit, of which nothing can be derived"
    );
}

#[test]
fn old_jobs_were_typed_in_long_after_they_closed() {
    let lines: Vec<serde_json::Value> = SHIPPED
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let text = |job: &serde_json::Value, field: &str| job[field].as_str().unwrap().to_owned();
    for job in &lines {
        assert!(
            text(job, "closed_on") <= text(job, "entered_on"),
            "{}",
            job["job"]
        );
    }
    let backlog = lines.iter().filter(|job| {
        let waited = day(&text(job, "entered_on")) - day(&text(job, "closed_on"));
        30 < waited.num_days() && job["entered_by"] != job["closed_by"]
    });
    assert!(30 <= backlog.count());
    let people: BTreeSet<String> = lines.iter().map(|job| text(job, "closed_by")).collect();
    assert_eq!(people, ["dw", "mk", "tl"].map(str::to_owned).into());
}
