//! Claims about contrast cards.

use super::*;
use crate::domain::generate::sample;

/// Three jobs of each fix, alike but for `VCORE`.
fn look_alikes(one: &str, other: &str) -> Vec<Job> {
    let job = |part: &str, at: u64, core: &str| {
        let findings = vec![
            sample::rail("3V3_SB", "low"),
            sample::rail("VSYS", "in-band"),
            sample::rail("VCORE", core),
        ];
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    let of = |part: &'static str, core: &str| -> Vec<Job> {
        (1..=3).map(|at| job(part, at, core)).collect()
    };
    [of("U31", one), of("L12", other)].concat()
}

fn contrasts(jobs: &[Job]) -> Vec<Card> {
    let built = sample::built(jobs);
    let kind = |c: &Card| c.kind == CardKind::Contrast && !c.given;
    built.cards.into_iter().filter(kind).collect()
}

#[test]
fn two_fixes_that_look_alike_are_told_apart_by_the_finding_that_differs() {
    let found = contrasts(&look_alikes("absent", "low"));
    assert_eq!(found.len(), 1);
    let card = &found[0];
    let places = |findings: &[Finding]| -> Vec<String> {
        findings.iter().map(|f| f.place.clone()).collect()
    };
    for side in &card.sides {
        assert_eq!(places(&side.front), ["3V3_SB", "VSYS"]);
        assert_eq!(places(&side.separates), ["VCORE"]);
    }
    assert_eq!((card.share.k, card.share.n), (6, 6));
    assert_eq!(card.points.len(), 3);
    assert_eq!(card.points[0].words, [["VCORE"]]);
    let mut turned = look_alikes("absent", "low");
    turned.reverse();
    assert_eq!(contrasts(&turned), found, "whatever the order of the jobs");
}

#[test]
fn each_pair_is_asked_in_both_directions_with_letters_that_tell_nothing() {
    let jobs = look_alikes("absent", "low");
    let kind = |c: &&Card| c.kind == CardKind::Contrast;
    let built = sample::built(&jobs);
    let found: Vec<&Card> = built.cards.iter().filter(kind).collect();
    let [asked, given] = found.as_slice() else {
        panic!("two cards: {found:?}");
    };
    assert_ne!(asked.id, given.id);
    assert_ne!(asked.asked_mark(), given.asked_mark());
    assert_eq!(
        asked.fix_key(),
        given.fix_key(),
        "they never stand side by side"
    );
    assert_eq!(given.points.len(), 2);
    for (side, point) in given.sides.iter().zip(&given.points) {
        assert!(
            point.say.contains(&side.answer.steps[0].part),
            "{}",
            point.say
        );
        assert!(side.shown(true).contains(&side.separates[0]));
        assert!(!side.shown(false).contains(&side.separates[0]));
    }
    assert!(
        given
            .why
            .starts_with("replace L12: VCORE low in 3 of 3; replace U31: ")
    );
    // More jobs of one fix, and so a commoner one, leave the letters as they are.
    let mut more = jobs.clone();
    for at in 4..9 {
        let mut job = jobs[0].clone();
        job.id = format!("more-{at}");
        job.job.clone_from(&job.id);
        more.push(job);
    }
    let again = sample::built(&more);
    let again = again.cards.iter().filter(kind).find(|c| c.given);
    let letters = |c: &Card| -> Vec<Answer> { c.sides.iter().map(|s| s.answer.clone()).collect() };
    assert_eq!(again.map(letters), Some(letters(given)));
}

#[test]
fn one_band_is_not_alike_where_the_numbers_are_far_apart() {
    let with = |ohm: f64| {
        let mut jobs = look_alikes("absent", "low");
        for (at, job) in jobs.iter_mut().enumerate() {
            let got = if at < 3 { 16.0 } else { ohm };
            job.findings[0] = Finding {
                kind: FindingKind::Resistance,
                got: Some(got),
                good: Some(1400.0),
                code: None,
                ..job.findings[0].clone()
            };
        }
        contrasts(&jobs)
    };
    assert_eq!(with(20.0).len(), 1);
    assert!(with(230.0).is_empty(), "16 against 230 ohm can be seen");
}

#[test]
fn what_looks_the_same_in_all_or_differs_in_much_makes_no_card() {
    assert!(contrasts(&look_alikes("low", "low")).is_empty());
    let mut all = look_alikes("absent", "low");
    for job in &mut all[..3] {
        job.findings[1] = sample::rail("VSYS", "absent");
    }
    assert!(
        contrasts(&all).is_empty(),
        "one finding is not enough alike"
    );
    let mut other = look_alikes("absent", "low");
    for job in &mut other[..3] {
        job.complaint = vec!["no-display".to_owned()];
    }
    assert!(contrasts(&other).is_empty(), "another complaint");
}
