//! Cards and patterns on an archive that nobody here wrote.
//!
//! Source: jobs sampled from a published printing-troubleshooting network (D. Heckerman, J. Breese,
//! K. Rommelse, "Decision-theoretic troubleshooting", Communications of the ACM 38(3), 1995); see
//! tests/data/printer-jobs/README.md. Every job is proved and held, and has `other` findings only.

use std::collections::BTreeSet;

use benchlore::domain::card::Card;
use benchlore::domain::card::CardKind;
use benchlore::domain::circuit::Circuits;
use benchlore::domain::circuit::FamilyOverride;
use benchlore::domain::generate::build;
use benchlore::domain::generate::coded::mask::Mask;
use benchlore::domain::generate::coded::table::Readings;
use benchlore::domain::generate::coded::tier::Tier;
use benchlore::domain::generate::input::BuildInput;
use benchlore::domain::generate::input::Built;
use benchlore::domain::generate::weigh::pattern;
use benchlore::domain::generate::weigh::pattern::Side;
use benchlore::domain::generate::weigh::pattern::Tally;
use benchlore::domain::generate::weigh::shelf;
use benchlore::domain::generate::weigh::shelf::Shelf;
use benchlore::domain::job::Fix;
use benchlore::domain::job::Job;
use benchlore::domain::lineage::Lineage;
use benchlore::domain::units::count;
use serde_json::Value;

use crate::printer_jobs;
use crate::printer_jobs::text;

const JOBS: &str = include_str!("../data/printer-jobs/train.jobs.jsonl");
const SHOP: &str = include_str!("../data/printer-jobs/shop.json");

fn archive() -> Vec<Job> {
    printer_jobs::jobs(JOBS)
}

/// Returns the fix cards of an archive; this one has no returns and no job without a fix.
fn cards(jobs: &[Job]) -> Built {
    let shop: Value = serde_json::from_str(SHOP).expect("a shop file");
    let families: Vec<FamilyOverride> = shop["families"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|f| FamilyOverride {
            id: text(f, "id"),
            name: Some(text(f, "name")),
            ..FamilyOverride::default()
        })
        .collect();
    let mut built = build::build(&BuildInput {
        lineage: &Lineage::default(),
        jobs,
        boards: &[],
        circuits: &Circuits::with_shop(&families, true),
        as_of: "2026-01-01".parse().expect("a day"),
        warranty_days: 90,
        rate_per_hour: None,
        minutes: &std::collections::BTreeMap::new(),
        contradictory: &BTreeSet::new(),
        unsafe_fix: &|_, _| false,
        cautions: &|_| Vec::new(),
    });
    built.cards.retain(|card| card.kind == CardKind::Fix);
    built
}

fn fix_of(card: &Card) -> Fix {
    let steps = card.answers[0].steps.iter();
    Fix::new(steps.map(|s| (s.act.clone(), s.part.clone())).collect())
}

#[test]
fn every_recorded_cause_gets_a_card_that_its_jobs_support_or_is_said_to_hold_too_few() {
    let jobs = archive();
    let built = cards(&jobs);
    let causes: BTreeSet<Fix> = jobs.iter().map(Job::fix).collect();
    let carded: BTreeSet<Fix> = built.cards.iter().map(fix_of).collect();
    // Left out is a cause that hardly a job with its pattern ended in.
    for skipped in &built.skipped {
        let why = &skipped.why;
        let counted = why.starts_with("only ") && why.contains(" jobs like it ended in this fix");
        assert!(counted, "{skipped:?}");
        let of = |fix: &&Fix| skipped.what == format!("printing: {} (other)", fix.key());
        assert!(
            causes.difference(&carded).any(|fix| of(&fix)),
            "{skipped:?}"
        );
    }
    assert!(carded.is_subset(&causes));
    assert!(causes.len() < carded.len() * 3, "{}", carded.len());
    assert_eq!(
        built.cards.len() + built.skipped.len(),
        causes.len(),
        "no reading splits a cause into variants"
    );
    for card in &built.cards {
        assert!((1..=5).contains(&card.front.len()), "{}", card.front.len());
        let own: Vec<&Job> = jobs.iter().filter(|j| j.fix() == fix_of(card)).collect();
        assert_eq!(card.jobs.len(), own.len());
        // The shown values are those of one of its jobs, and k and n follow from the archive.
        let shows = |job: &&Job| card.front.iter().all(|f| job.findings.contains(f));
        let n = jobs.iter().filter(shows).count();
        let k = own.iter().copied().filter(shows).count();
        assert!(k >= 1);
        assert_eq!((card.share.k, card.share.n, card.share.proved), (k, n, k));
        assert!(card.warn.iter().all(|w| !w.starts_with("circuit unknown")));
    }
}

#[test]
fn a_value_that_names_the_cause_is_on_no_front_of_its_card() {
    let jobs = archive();
    let built = cards(&jobs);
    let offline = built
        .cards
        .iter()
        .find(|c| c.answers[0].steps[0].part == "PTROFFLINE=Offline");
    let offline = offline.expect("the commonest cause has a card");
    // The archive's status line reads `OFFLINE__OFF` for some of its jobs.
    assert!(
        jobs.iter()
            .flat_map(|j| &j.findings)
            .any(|f| f.code.as_deref() == Some("OFFLINE__OFF"))
    );
    assert!(offline.front.iter().all(|f| f.place != "PrtStatOff"));
}

/// The share of the prior-only held-out log loss that patterns of 300 jobs remove. Recorded with the
/// same rule over five subsamples of 300 and a test set of 1,000, by number of findings 1 to 5:
/// .190 .224 .241 .253 .261; with the stop at 1 %, .242 to .267 by subsample. Here one subsample and
/// 700 other jobs: allowed is .20 (more than one finding alone is worth) to .30.
#[test]
fn patterns_of_300_jobs_identify_jobs_they_never_saw() {
    let jobs = archive();
    let cases = jobs
        .iter()
        .filter_map(|j| shelf::case(j, None, Tier::A, false));
    // Jobs after the first 300 stand apart while the names are chosen and values are counted.
    let shelf = Shelf::new("printing", None, cases.collect());
    let all: Vec<&Job> = jobs.iter().collect();
    let table = Readings::of(&all, None).masked(&Mask::default());
    let names: Vec<usize> = (0..table.names().len()).collect();
    let (mut before, mut after) = (0.0, 0.0);
    let (mut findings, mut fixes) = (0, 0);
    for group in shelf
        .groups
        .iter()
        .filter(|g| g.members.iter().filter(|m| **m < 300).count() >= 3)
    {
        let truth = shelf.sides(group);
        let mut sides = truth.clone();
        sides[300..].fill(Side::Apart);
        let question = std::slice::from_ref(&sides);
        let choice = pattern::forward(&table, question, &names, pattern::MOST, pattern::WORTH);
        assert!((1..=5).contains(&choice.names.len()));
        findings += choice.names.len();
        fixes += 1;
        let prior = pattern::prior(&sides, Side::Apart);
        let tallies: Vec<(usize, Tally)> = choice
            .names
            .iter()
            .map(|name| (*name, Tally::of(&table, *name, &sides)))
            .collect();
        for (case, side) in truth.iter().enumerate().skip(300) {
            let weigh = |(name, tally): &(usize, Tally)| {
                let value = table.value(*name, case)?;
                Some(tally.weight(value, Side::Apart))
            };
            let odds = prior + tallies.iter().filter_map(weigh).sum::<f64>();
            before += pattern::loss(prior, *side);
            after += pattern::loss(odds, *side);
        }
    }
    let removed = 1.0 - after / before;
    assert!((0.20..0.30).contains(&removed), "removed {removed:.3}");
    let mean = count(findings) / count(fixes);
    assert!((2.0..=4.5).contains(&mean), "{mean:.2} findings a pattern");
}
