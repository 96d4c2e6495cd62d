//! Claims about stop cards, on invented jobs.

use super::*;
use crate::domain::generate::sample;
use crate::domain::job::Action;
use crate::domain::job::Effort;
use crate::domain::job::Role;

fn unfixed(id: &str, reason: &str, core: &str) -> Job {
    let findings = vec![
        sample::rail("VSYS", "in-band"),
        sample::rail("VCORE", core),
        sample::test("laminate", "charred through"),
    ];
    Job {
        outcome: Outcome::NoFix,
        no_fix_reason: Some(reason.to_owned()),
        actions: vec![Action {
            act: "reflow".to_owned(),
            part: "U5".to_owned(),
            role: Role::TriedNoEffect,
        }],
        effort: Effort {
            minutes: Some(150.0),
            value: Some(100.0),
            parts_cost: Some(60.0),
            ..Effort::default()
        },
        ..sample::job_with(id, "", 1, findings)
    }
}

fn fixed(n: u64, core: &str) -> Vec<Job> {
    let findings = vec![sample::rail("VSYS", "in-band"), sample::rail("VCORE", core)];
    (1..=n)
        .map(|at| sample::job_with(&format!("L12-{at}"), "L12", at, findings.clone()))
        .collect()
}

fn stops(jobs: &[Job]) -> Vec<Card> {
    let built = sample::built(jobs);
    let kind = |c: &Card| c.kind == CardKind::Stop;
    built.cards.into_iter().filter(kind).collect()
}

fn points(card: &Card) -> String {
    let says: Vec<&str> = card.points.iter().map(|p| p.say.as_str()).collect();
    says.join("; ")
}

#[test]
fn two_like_jobs_without_a_fix_make_a_card_with_bands_and_a_reason() {
    let dead = "processor-or-memory-dead";
    let mut jobs = vec![unfixed("1", dead, "low"), unfixed("2", dead, "low")];
    jobs.extend(fixed(1, "low"));
    let cards = stops(&jobs);
    assert_eq!(cards.len(), 1);
    let card = &cards[0];
    assert_eq!((card.share.k, card.share.n), (2, 3));
    // Wilson 1927: 2 of 3 lies between 0.208 and 0.939.
    assert!((card.share.low - 0.208).abs() < 5e-4 && (card.share.high - 0.939).abs() < 5e-4);
    assert_eq!(
        card.stem,
        "More than two hours on the bench so far; the board is worth less than three hours at the \
         bench. Go on, or call it?"
    );
    let says = points(card);
    assert!(
        says.contains("call it") && says.contains("processor"),
        "{says}"
    );
    assert!(!says.contains("U5"), "never what was tried last");
    let shown: Vec<&str> = card.front.iter().map(|f| f.place.as_str()).collect();
    assert_eq!(shown, ["VCORE", "VSYS"], "the test tells the end");
    assert!(card.held_back.iter().any(|f| f.place == "laminate"));
    assert!(stops(&jobs[1..]).is_empty(), "one such job is no pattern");
}

#[test]
fn a_reason_that_the_front_does_not_tell_need_not_be_named_and_a_lead_is_told() {
    let (dead, costly) = ("processor-or-memory-dead", "value-exceeded");
    let mut jobs = vec![unfixed("9", costly, "low"), unfixed("2", dead, "low")];
    jobs.extend(fixed(2, "low"));
    let cards = stops(&jobs);
    assert_eq!(cards.len(), 1);
    let needed: Vec<bool> = cards[0].points.iter().map(|p| p.needed).collect();
    assert_eq!(needed, [true, false], "one of the two ended so");
    let warned = |with: &str| cards[0].warn.iter().any(|w| w.starts_with(with));
    assert!(warned("reasons: ") && warned("divided: 2 of 4 "));
    jobs.insert(0, unfixed("0", dead, "low"));
    let cards = stops(&jobs);
    assert!(cards[0].points[1].needed, "two of three");
    assert!(
        points(&cards[0]).contains("processor"),
        "the commonest reason, though the latest job ended for another"
    );
    assert!(!cards[0].warn.iter().any(|w| w.starts_with("reasons")));
}

#[test]
fn a_single_unsafe_job_is_enough_and_nobody_is_told_to_go_on_there() {
    let mut jobs = vec![unfixed("1", UNSAFE, "low")];
    assert_eq!(stops(&jobs).len(), 1);
    jobs.extend(fixed(5, "low"));
    assert!(
        stops(&jobs).is_empty(),
        "mostly fixed: neither stop nor go on"
    );
}

#[test]
fn what_looked_like_a_lost_job_and_was_mostly_fixed_says_go_on() {
    let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
    jobs.extend(fixed(5, "low"));
    let cards = stops(&jobs);
    assert_eq!(cards.len(), 1);
    assert_eq!((cards[0].share.k, cards[0].share.n), (1, 6));
    assert_eq!(cards[0].points[0].say, "go on");
    assert!(!cards[0].points[1].needed);
}

#[test]
fn what_the_customer_wished_is_no_end_that_a_board_shows() {
    for wish in WISHES {
        let jobs = vec![unfixed("1", wish, "low"), unfixed("2", wish, "low")];
        assert!(stops(&jobs).is_empty(), "{wish}");
    }
}

#[test]
fn time_and_money_are_bands() {
    assert_eq!(time_band(30.0), "half an hour at most on the bench so far");
    assert_eq!(time_band(120.5), "more than two hours on the bench so far");
    assert_eq!(worth_band(5.0, 0.0), None);
    let bands: BTreeSet<_> = [120.0, 240.0, 600.0].map(|v| worth_band(v, 60.0)).into();
    assert_eq!(bands.len(), 3);
}
