//! Laws of the built cards over random archives: nothing leaks, the figures hold together, the order
//! of the jobs does not matter.

use proptest::prelude::*;

use crate::domain::card::CardKind;
use crate::domain::generate::sample;
use crate::domain::generate::sample::built;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::When;

const PARTS: [&str; 6] = ["U31", "U13", "L12", "C40/U31", "standby switcher", "R7"];
const PLACES: [&str; 9] = [
    "U31",
    "U13",
    "3V3_SB",
    "3V3_STANDBY",
    "L12.1",
    "r7",
    "coil",
    "BUCK_EN",
    "",
];

fn any_finding() -> impl Strategy<Value = Finding> {
    let kind = prop::sample::select(FindingKind::ALL.to_vec());
    let place = prop::sample::select(PLACES.to_vec());
    let word = prop::sample::select(vec!["low", "high", "residue", "R7 reacts", "U31"]);
    let when = prop::sample::select(vec![
        When::BeforeAction,
        When::BeforeCleaning,
        When::AfterAction,
    ]);
    let got = prop::option::of(prop::sample::select(vec![0.01, 0.4, 3.3, 50.0, 2e6]));
    (kind, place, word, when, got, any::<bool>()).prop_map(
        |(kind, place, word, when, got, said)| {
            let free = matches!(kind, FindingKind::Heat | FindingKind::Other);
            let code = if free {
                word
            } else {
                kind.codes()[word.len() % kind.codes().len()]
            };
            let mut finding = Finding::new(kind, place);
            finding.code = (said || kind == FindingKind::Visual).then(|| code.to_owned());
            finding.got = got;
            finding.when = when;
            finding.raw = Some("words as entered".to_owned());
            finding
        },
    )
}

fn any_job() -> impl Strategy<Value = Job> {
    let part = prop::sample::select(PARTS.to_vec());
    let family = prop::sample::select(vec!["standby", "buck"]);
    let outcome = prop::sample::select(vec![
        Outcome::Held,
        Outcome::UnknownSoFar,
        Outcome::BouncedSameFault,
    ]);
    let findings = prop::collection::vec(any_finding(), 1..5);
    (part, family, outcome, findings, 0_u64..9).prop_map(
        |(part, family, outcome, findings, day)| Job {
            family: Some(family.to_owned()),
            outcome,
            ..sample::job_with("", part, day, findings)
        },
    )
}

fn any_jobs() -> impl Strategy<Value = Vec<Job>> {
    prop::collection::vec(any_job(), 1..28).prop_map(|mut jobs| {
        for (at, job) in jobs.iter_mut().enumerate() {
            job.id = format!("W-{at:03}");
            job.job.clone_from(&job.id);
        }
        jobs
    })
}

proptest! {
    #[test]
    fn no_front_gives_its_answer_away(jobs in any_jobs()) {
        let built = built(&jobs);
        for skipped in &built.skipped {
            let caught = skipped.why.contains("give the answer away");
            prop_assert!(!caught, "the mask let {} through to the second look", skipped.why);
        }
        for card in &built.cards {
            // Look-alikes show what they show on their sides; what was to be seen is asked for, and may
            // all be a place that stands with the answer.
            let of_sides = card.sides.iter().any(|side| !side.front.is_empty());
            let asked = card.kind == CardKind::Expect && !card.held_back.is_empty();
            prop_assert!(!card.front.is_empty() || of_sides || asked, "{}", card.id);
            prop_assert!(card.front.iter().all(|f| f.when != When::AfterAction));
            prop_assert!(card.front.iter().all(|f| f.raw.is_none()));
            let parts: Vec<String> = card.answers.iter().flat_map(|a| &a.steps)
                .flat_map(|s| s.part.split('/'))
                .filter(|p| !p.contains(' '))
                .map(str::to_uppercase).collect();
            for finding in &card.front {
                let free = finding.code.as_deref().filter(|c| !finding.kind.codes().contains(c));
                for text in [finding.place.as_str(), free.unwrap_or_default()] {
                    let mut words = text.split(|c: char| !c.is_alphanumeric());
                    prop_assert!(!words.any(|w| parts.contains(&w.to_uppercase())), "{text}");
                }
            }
        }
    }

    #[test]
    fn a_card_holds_together(jobs in any_jobs()) {
        for card in built(&jobs).cards {
            prop_assert!(1 <= card.share.proved && card.share.proved <= card.share.k);
            let others: usize = card.others.iter().map(|o| o.k).sum();
            prop_assert_eq!(card.share.k + others, card.share.n);
            prop_assert!(card.deciding.len() <= 2);
            prop_assert!(card.deciding.iter().all(|at| *at < card.front.len()));
            prop_assert!(!card.jobs.is_empty() && !card.why.is_empty());
        }
    }

    #[test]
    fn the_order_of_the_jobs_does_not_matter(
        (jobs, shuffled) in any_jobs().prop_flat_map(|j| (Just(j.clone()), Just(j).prop_shuffle()))
    ) {
        prop_assert_eq!(built(&jobs), built(&shuffled));
    }
}
