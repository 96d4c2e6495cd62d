//! Cards that leads merged and split, as the builder makes them.

use chrono::DateTime;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::divide;
use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::generate::input::Built;
use crate::domain::generate::sample;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::lineage::Lineage;

/// A part of a card: its id, its value, how many jobs.
struct Part {
    id: String,
    value: String,
    jobs: usize,
}

fn parts(card: &Card, jobs: &[Job], by: Divide) -> Vec<Part> {
    let cited = jobs.iter().filter(|job| card.jobs.contains(&job.job));
    let parts = divide::parts(cited, by).into_iter();
    parts
        .map(|part| Part {
            id: divide::part_id(&card.id, by, &part.value),
            value: part.value,
            jobs: part.jobs,
        })
        .collect()
}

fn entry(card: &str, edit: Edit) -> EditEntry {
    EditEntry {
        id: String::new(),
        bench: "b7".to_owned(),
        seq: 0,
        at: DateTime::UNIX_EPOCH,
        by: "TL".to_owned(),
        card: card.to_owned(),
        after: None,
        edit,
    }
}

/// Three jobs of U31, four of L12, two of R7; the rail is low in all but R7's.
fn archive() -> Vec<Job> {
    let low = |part: &'static str, n: u64| {
        (1..=n).map(move |at| {
            let findings = vec![sample::rail("3V3_SB", "low"), sample::sign("", "residue")];
            let rev = if at == 1 { "C" } else { "B" };
            Job {
                rev: Some(rev.to_owned()),
                ..sample::job_with(&format!("{part}-{at}"), part, at, findings)
            }
        })
    };
    let other = (1..=2).map(|at| {
        let findings = vec![sample::rail("3V3_SB", "in-band")];
        sample::job_with(&format!("R7-{at}"), "R7", at, findings)
    });
    low("U31", 3).chain(low("L12", 4)).chain(other).collect()
}

fn card<'a>(built: &'a Built, part: &str) -> &'a Card {
    let own = |c: &&Card| {
        let first = c.answers.first();
        first.is_some_and(|a| a.steps[0].part == part)
    };
    built.cards.iter().find(own).expect("a card for the part")
}

#[test]
fn merged_cards_make_one_with_both_fixes_and_all_jobs() {
    let jobs = archive();
    let apart = sample::built(&jobs);
    let (from, into) = (
        card(&apart, "U31").id.clone(),
        card(&apart, "L12").id.clone(),
    );
    let merge = Edit::Merge { into: into.clone() };
    let lineage = Lineage::of(&[entry(&from, merge)]);
    let built = sample::led(&jobs, &lineage);
    assert!(built.cards.iter().all(|c| c.id != from));
    let one = built.cards.iter().find(|c| c.id == into).unwrap();
    let parts: Vec<&str> = one
        .answers
        .iter()
        .map(|a| a.steps[0].part.as_str())
        .collect();
    assert_eq!(parts, ["L12", "U31"]);
    assert_eq!((one.share.k, one.share.n, one.jobs.len()), (7, 7, 7));
    assert!(one.others.is_empty(), "{:?}", one.others);
}

#[test]
fn a_merged_card_keeps_the_fix_that_was_not_wrong_in_more_jobs_than_speak_for_it() {
    let mut jobs = archive();
    let apart = sample::built(&jobs);
    let (from, into) = (
        card(&apart, "U31").id.clone(),
        card(&apart, "L12").id.clone(),
    );
    let lineage = Lineage::of(&[entry(&from, Edit::Merge { into: into.clone() })]);
    for (wrong, fixes, k) in [(1, 2, 6), (2, 1, 4)] {
        for job in &mut jobs[..wrong] {
            job.outcome = Outcome::BouncedSameFault;
            job.bounce_cause = Some(BounceCause::Diagnosis);
        }
        let built = sample::led(&jobs, &lineage);
        let one = built.cards.iter().find(|c| c.id == into).unwrap();
        assert_eq!(one.answers.len(), fixes, "{wrong} of 3 wrong");
        assert_eq!(one.answers[0].steps[0].part, "L12");
        assert_eq!((one.share.k, one.jobs.len()), (k, k));
    }
}

#[test]
fn the_card_that_asks_the_other_way_round_counts_merged_jobs_and_names_both_fixes() {
    let mut jobs = archive();
    jobs.extend((3..=8).map(|at| {
        let findings = vec![sample::rail("3V3_SB", "in-band")];
        sample::job_with(&format!("R7-{at}"), "R7", at, findings)
    }));
    let apart = sample::built(&jobs);
    let (from, into) = (
        card(&apart, "U31").id.clone(),
        card(&apart, "L12").id.clone(),
    );
    let lineage = Lineage::of(&[entry(&from, Edit::Merge { into: into.clone() })]);
    let built = sample::led(&jobs, &lineage);
    let one = built.cards.iter().find(|c| c.id == into).unwrap();
    let expect = built.cards.iter().find(|c| c.kind == CardKind::Expect);
    let expect = expect.expect("seven of seven jobs make one");
    assert_eq!(expect.answers, one.answers);
    assert_eq!((expect.share.k, expect.share.n), (7, 7));
    assert!(
        expect.stem.contains("L12") && expect.stem.contains(", or ") && expect.stem.contains("U31"),
        "{}",
        expect.stem
    );
}

#[test]
fn a_fix_card_that_a_line_sends_into_a_card_of_another_kind_stays_what_it_is() {
    let mut jobs = archive();
    jobs.extend((3..=8).map(|at| {
        let findings = vec![sample::rail("3V3_SB", "absent")];
        sample::job_with(&format!("R7-{at}"), "R7", at, findings)
    }));
    let apart = sample::built(&jobs);
    let expect = apart.cards.iter().find(|c| c.kind == CardKind::Expect);
    let into = expect.expect("six jobs alike make one").id.clone();
    for part in ["U31", "L12", "R7"] {
        let from = card(&apart, part).id.clone();
        let lineage = Lineage::of(&[entry(&from, Edit::Merge { into: into.clone() })]);
        assert_eq!(sample::led(&jobs, &lineage), apart, "{part}");
    }
}

#[test]
fn a_card_whose_jobs_all_left_still_takes_what_was_merged_into_it() {
    let jobs = archive();
    let apart = sample::built(&jobs);
    let (from, into) = (
        card(&apart, "U31").id.clone(),
        card(&apart, "L12").id.clone(),
    );
    let merge = Edit::Merge { into: into.clone() };
    let lineage = Lineage::of(&[entry(&from, merge)]);
    let without: Vec<Job> = jobs
        .into_iter()
        .filter(|j| !j.id.starts_with("L12"))
        .collect();
    let built = sample::led(&without, &lineage);
    let one = built.cards.iter().find(|c| c.id == into).unwrap();
    assert_eq!(one.answers[0].steps[0].part, "U31");
    assert_eq!(one.answers.len(), 1);
}

#[test]
fn a_split_makes_a_card_for_each_value_and_counts_only_jobs_that_have_it() {
    let mut jobs = archive();
    jobs[0].rev = None;
    let old = card(&sample::built(&jobs), "L12").clone();
    let parts = parts(&old, &jobs, Divide::Revision);
    let sizes: Vec<(&str, usize)> = parts.iter().map(|p| (p.value.as_str(), p.jobs)).collect();
    assert_eq!(sizes, [("B", 3), ("C", 1)]);
    let split = Edit::Split {
        by: Some(Divide::Revision),
        into: parts.iter().map(|p| p.id.clone()).collect(),
    };
    let lineage = Lineage::of(&[entry(&old.id, split)]);
    let built = sample::led(&jobs, &lineage);
    assert!(built.cards.iter().all(|c| c.id != old.id));
    let find = |at: usize| built.cards.iter().find(|c| c.id == parts[at].id).unwrap();
    assert_eq!(find(0).revs, ["B"]);
    // Of revision B: three of L12 and two of U31.
    assert_eq!((find(0).share.k, find(0).share.n), (3, 5));
    assert_eq!((find(1).share.k, find(1).share.n), (1, 1));
    assert_eq!(find(0).answers[0], old.answers[0]);
    assert_eq!(lineage.current(&old.id), parts[0].id);
}

#[test]
fn jobs_that_do_not_say_what_a_card_was_split_by_are_named() {
    let mut jobs = archive();
    jobs[0].rev = None;
    let old = card(&sample::built(&jobs), "U31").clone();
    let into = parts(&old, &jobs, Divide::Revision);
    let split = Edit::Split {
        by: Some(Divide::Revision),
        into: into.into_iter().map(|p| p.id).collect(),
    };
    let built = sample::led(&jobs, &Lineage::of(&[entry(&old.id, split)]));
    let named = built.skipped.iter().find(|s| s.what.contains("U31-1"));
    assert!(
        named.unwrap().why.contains("do not say"),
        "{:?}",
        built.skipped
    );
}

#[test]
fn parts_by_draw_show_the_draw() {
    let mut jobs = archive();
    for (at, job) in jobs.iter_mut().enumerate() {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some(if at % 2 == 0 { "cycling" } else { "zero" }.to_owned());
        job.findings.push(draw);
    }
    let cards = sample::built(&jobs);
    let of_l12 = cards
        .cards
        .iter()
        .filter(|c| c.kind == CardKind::Fix && c.answers[0].steps[0].part == "L12");
    for old in of_l12 {
        let into = parts(old, &jobs, Divide::Draw);
        let split = Edit::Split {
            by: Some(Divide::Draw),
            into: into.iter().map(|p| p.id.clone()).collect(),
        };
        let built = sample::led(&jobs, &Lineage::of(&[entry(&old.id, split)]));
        let made: Vec<&Card> = built
            .cards
            .iter()
            .filter(|c| into.iter().any(|p| p.id == c.id))
            .collect();
        assert!(!made.is_empty());
        for part in made {
            assert!(part.front.iter().any(|f| f.kind == FindingKind::Current));
        }
    }
}
