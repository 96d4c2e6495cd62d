//! What a build says of the deck before, on small invented archives.

use super::*;
use crate::domain::card::KeyPoint;
use crate::domain::generate::coded::tier::History;
use crate::domain::generate::input::Built;
use crate::domain::generate::sample;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Outcome;
use crate::domain::rebuild::at_risk;
use crate::domain::rebuild::at_risk::AtRisk;
use crate::domain::rebuild::at_risk::Warranty;

/// `n` jobs replacing `part`, the standby rail at `verdict`.
fn jobs(part: &str, n: u64, verdict: &str) -> Vec<Job> {
    let job = |at: u64| {
        let findings = vec![sample::rail("3V3_SB", verdict)];
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    (1..=n).map(job).collect()
}

fn between(before: &[Job], after: &[Job]) -> Vec<Change> {
    let (old, new): (Built, Built) = (sample::built(before), sample::built(after));
    diff(&Builds {
        before: &old.cards,
        after: &new.cards,
        lineage: &Lineage::default(),
        jobs: after,
        elsewhere: &BTreeSet::new(),
        skipped: &new.skipped,
    })
}

/// Returns the one change of the card about `part`.
fn about<'a>(changes: &'a [Change], part: &str) -> &'a Change {
    let mut found = changes
        .iter()
        .filter(|c| c.name.starts_with(&format!("petrel-p4: replace {part} ")));
    let one = found.next().expect("a change");
    assert!(found.next().is_none(), "{changes:?}");
    one
}

fn wrongly_diagnosed(job: &mut Job) {
    job.outcome = Outcome::BouncedSameFault;
    job.bounce_cause = Some(BounceCause::Diagnosis);
}

#[test]
fn nothing_changes_without_new_jobs() {
    let all = [jobs("U31", 3, "low"), jobs("L12", 2, "absent")].concat();
    assert_eq!(between(&all, &all), []);
}

#[test]
fn a_first_job_makes_a_new_card_and_more_make_it_stronger() {
    let two = [jobs("U31", 2, "low"), jobs("L12", 1, "absent")].concat();
    let more = [
        jobs("U31", 4, "low"),
        jobs("L12", 1, "absent"),
        jobs("R7", 1, "high"),
    ]
    .concat();
    let changes = between(&two, &more);
    let (grown, new) = (about(&changes, "U31"), about(&changes, "R7"));
    assert_eq!((grown.what, new.what), (What::Strengthened, What::New));
    assert_eq!(
        grown.why,
        "2 of 2 jobs like this, 2 proved (thin) before, now 4 of 4 jobs like this, 4 proved (supported)"
    );
    assert_eq!(grown.answer, None);
}

#[test]
fn a_rival_with_one_job_weakens_and_one_with_more_outnumbers() {
    let before = jobs("U31", 3, "low");
    let one = [before.clone(), jobs("L12", 1, "low")].concat();
    assert_eq!(about(&between(&before, &one), "U31").what, What::Weakened);
    // Two of six: another fix holds more, and is not counted as right for want of proof.
    let mut rivals = jobs("L12", 2, "low");
    rivals.extend(jobs("R7", 2, "low"));
    let outnumbered = [jobs("U31", 1, "low"), rivals].concat();
    let changes = between(&jobs("U31", 1, "low"), &outnumbered);
    let change = about(&changes, "U31");
    assert_eq!(change.what, What::Contradicted, "{change:?}");
    assert!(change.why.starts_with("outnumbered: "), "{}", change.why);
    assert_eq!(change.discredited.len(), 1);
}

#[test]
fn a_second_right_answer_corrects_and_says_both() {
    let before = jobs("U31", 3, "low");
    let after = [before.clone(), jobs("L12", 3, "low")].concat();
    let changes = between(&before, &after);
    let name = "petrel-p4: replace U31 or replace L12 (standby)";
    let change = changes.iter().find(|c| c.name == name).expect("the card");
    assert_eq!(change.what, What::Corrected);
    let (was, now) = change.answer.clone().expect("both answers");
    assert_eq!(was, "replace U31 (standby)");
    assert_eq!(now, "replace U31 or replace L12 (standby)");
}

#[test]
fn a_wrong_diagnosis_contradicts_and_names_the_job() {
    let before = jobs("U31", 4, "low");
    let mut after = before.clone();
    wrongly_diagnosed(&mut after[3]);
    let changes = between(&before, &after);
    let change = about(&changes, "U31");
    assert_eq!(change.what, What::Contradicted);
    assert_eq!(change.why, "came back, the diagnosis was wrong: U31-4");
    assert_eq!(change.discredited[0].key(), "replace U31");
    // Told once: the next build has nothing to add.
    assert_eq!(between(&after, &after), []);
}

#[test]
fn a_fix_wrong_in_more_jobs_than_speak_for_it_is_no_longer_made_whenever_they_came_back() {
    let before = jobs("U31", 5, "low");
    let mut after = before.clone();
    after[..3].iter_mut().for_each(wrongly_diagnosed);
    let changes = between(&before, &after);
    let change = about(&changes, "U31");
    let why = "no longer made: came back for a wrong diagnosis in 3 jobs, 2 speak for it: U31-3, \
               U31-2, U31-1";
    assert_eq!((change.what, &*change.why), (What::Contradicted, why));
    assert_eq!(change.discredited[0].key(), "replace U31");
    // A deck built while the returns were known already, by whatever rule.
    let mut old = sample::built(&before).cards;
    old.retain(|card| card.kind == CardKind::Fix);
    old[0].jobs = vec!["U31-4".to_owned(), "U31-5".to_owned()];
    old[0].bounced = 3;
    let skipped = sample::built(&after).skipped;
    let (lineage, elsewhere) = (Lineage::default(), BTreeSet::new());
    let builds = |skipped| Builds {
        before: &old,
        after: &[],
        lineage: &lineage,
        jobs: &after,
        elsewhere: &elsewhere,
        skipped,
    };
    let change = &diff(&builds(&skipped))[0];
    assert_eq!((change.what, &*change.why), (What::Contradicted, why));
    assert_eq!(change.discredited.len(), 1);
    // Where it is another reason, old returns are no news.
    let change = &diff(&builds(&[]))[0];
    assert_eq!(change.what, What::Retired);
    assert!(change.discredited.is_empty());
}

#[test]
fn a_card_without_evidence_left_says_why_it_is_no_longer_made() {
    let before = [jobs("U31", 2, "low"), jobs("L12", 2, "absent")].concat();
    let without: Vec<Job> = before
        .iter()
        .filter(|j| !j.id.starts_with("L12"))
        .cloned()
        .collect();
    let retired = between(&before, &without);
    assert_eq!(about(&retired, "L12").what, What::Retired);
    assert_eq!(
        about(&retired, "L12").why,
        "its jobs no longer count: L12-2, L12-1"
    );
    let mut wrong = before.clone();
    wrong[2..].iter_mut().for_each(wrongly_diagnosed);
    let change = &between(&before, &wrong);
    assert_eq!(about(change, "L12").what, What::Contradicted);
    let mut unproved = before.clone();
    unproved[2..]
        .iter_mut()
        .for_each(|job| job.confidence = None);
    let change = &between(&before, &unproved);
    assert_eq!(about(change, "L12").what, What::Retired);
    assert_eq!(about(change, "L12").why, "nobody proved it in any job");
}

#[test]
fn a_job_that_turns_out_to_be_another_fix_contradicts_and_names_the_successor() {
    let before = jobs("U31", 2, "low");
    let mut after = before.clone();
    for job in &mut after {
        job.actions[0].part = "L12".to_owned();
    }
    let changes = between(&before, &after);
    let change = about(&changes, "U31");
    assert_eq!(change.what, What::Contradicted);
    assert!(
        change
            .why
            .contains("now replace L12 (standby): U31-2, U31-1"),
        "{}",
        change.why
    );
    let successor = sample::built(&after).cards[0].id.clone();
    assert_eq!(change.successor, Some(successor));
}

#[test]
fn jobs_whose_part_failed_otherwise_after_all_take_their_card_along() {
    let mut open = jobs("U31", 5, "low").split_off(3);
    for job in &mut open {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some("zero".to_owned());
        job.findings.push(draw);
    }
    let before = [jobs("U31", 3, "low"), open].concat();
    let after = jobs("U31", 5, "low");
    let merged = between(&before, &after);
    let change = merged
        .iter()
        .find(|c| c.what == What::Merged)
        .expect("a merged card");
    assert!(
        change.why.contains("U31-5, U31-4 now with replace U31"),
        "{}",
        change.why
    );
    let split = between(&after, &before);
    let change = split.iter().find(|c| c.what == What::Split);
    // A card that still cites them all has lost none of its jobs.
    assert!(change.is_none_or(|c| c.why.contains("U31-5")), "{split:?}");
}

#[test]
fn another_point_that_must_be_named_is_a_correction_and_a_lost_extra_one_contradicts_nothing() {
    let all = [jobs("U31", 6, "low"), jobs("L12", 6, "absent")].concat();
    let built = sample::built(&all).cards;
    let expect = built.iter().find(|c| c.kind == CardKind::Expect);
    let expect = expect.expect("six of six jobs make one");
    let with = |points: &[(&str, bool)]| {
        let mut card = expect.clone();
        let first = card.points[0].clone();
        let point = |(say, needed): &(&str, bool)| KeyPoint {
            say: (*say).to_owned(),
            needed: *needed,
            ..first.clone()
        };
        card.points = points.iter().map(point).collect();
        card
    };
    let changed = |before: Card, after: Card| {
        let found = diff(&Builds {
            before: &[before],
            after: &[after],
            lineage: &Lineage::default(),
            jobs: &all,
            elsewhere: &BTreeSet::new(),
            skipped: &[],
        });
        (found[0].what, found[0].why.clone())
    };
    let (a, b, c) = ("rail low", "residue", "draw cycling");
    let (what, why) = changed(
        with(&[(a, true), (b, false)]),
        with(&[(b, true), (a, false)]),
    );
    assert_eq!(
        (what, why.as_str()),
        (What::Corrected, "was rail low, now residue")
    );
    let (what, why) = changed(with(&[(a, true), (b, false)]), with(&[(a, true)]));
    assert_eq!(
        what,
        What::Reshown,
        "what need not be named corrects nothing"
    );
    assert_eq!(
        why,
        "the same answer, told otherwise: was rail low with residue beside, now rail low alone"
    );
    let (what, _) = changed(with(&[(a, true), (b, false)]), with(&[(c, true)]));
    assert_eq!(
        what,
        What::Contradicted,
        "what had to be named is no point any more"
    );
}

#[test]
fn units_still_under_warranty_are_listed_by_job_and_day() {
    let as_of = sample::day_one() + chrono::Days::new(80);
    let mut all = jobs("U31", 6, "low");
    for (at, job) in all.iter_mut().enumerate() {
        job.unit = Some(format!("unit-{at}"));
    }
    let card = sample::built(&all).cards[0].clone();
    // 1: long ago; 2: no unit; 3: came again; 4: came back; 5: reads otherwise and is not cited.
    all[0].closed_on = sample::day_one() - chrono::Days::new(30);
    all[1].unit = None;
    let mut again = sample::job_with("W-7", "L12", 20, vec![sample::rail("VSYS", "low")]);
    again.unit = all[2].unit.clone();
    wrongly_diagnosed(&mut all[3]);
    let mut otherwise = sample::job_with("W-8", "U31", 9, vec![sample::rail("3V3_SB", "high")]);
    otherwise.unit = Some("unit-8".to_owned());
    let mut new = sample::job("W-9", "U31", 10);
    new.unit = Some("unit-9".to_owned());
    all.extend([again, otherwise, new]);
    let fixes = own_fix(&card);
    let warranty = Warranty { as_of, days: 90 };
    let every: Vec<&Job> = all.iter().collect();
    let history = History::of(&every);
    let again = |job: &Job| history.came_again(job);
    let found = at_risk::at_risk(&card, &fixes, (&all, None), (warranty, &again));
    let listed: Vec<(&str, i64)> = found
        .iter()
        .map(|r: &AtRisk| (r.job.as_str(), r.days_left))
        .collect();
    assert_eq!(listed, [("U31-5", 15), ("U31-6", 16), ("W-9", 20)]);
}

#[test]
fn fewer_lost_jobs_make_a_card_to_go_on_stronger() {
    let lost = |id: &str| {
        let mut job = sample::job_with(
            id,
            "",
            1,
            vec![
                sample::rail("3V3_SB", "low"),
                sample::rail("VSYS", "in-band"),
            ],
        );
        job.outcome = Outcome::NoFix;
        job.no_fix_reason = Some("value-exceeded".to_owned());
        job.actions.clear();
        job
    };
    let fixed = |n: u64| -> Vec<Job> {
        let findings = vec![
            sample::rail("3V3_SB", "low"),
            sample::rail("VSYS", "in-band"),
        ];
        let job = |at: u64| sample::job_with(&format!("L12-{at}"), "L12", at, findings.clone());
        (1..=n).map(job).collect()
    };
    let with = |n: u64| [vec![lost("lost")], fixed(n)].concat();
    let changes = between(&with(5), &with(9));
    let stop = changes.iter().find(|c| c.name.contains("stop, go on"));
    let stop = stop.expect("the card is there in both");
    assert_eq!(stop.what, What::Strengthened, "{}", stop.why);
    assert!(stop.name.contains("3V3_SB low"), "{}", stop.name);
}
