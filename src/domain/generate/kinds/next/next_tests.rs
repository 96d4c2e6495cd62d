//! Next cards: which boards make them, what is right, and the laws. All jobs are invented.

use super::*;
use crate::domain::card::CardKind;
use crate::domain::decide::information::entropy;
use crate::domain::generate::kinds::next::questions::WORTH;
use crate::domain::generate::sample;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::When;
use proptest::prelude::*;
use proptest::strategy::ValueTree;

fn draw(code: &str) -> Finding {
    let mut finding = Finding::new(FindingKind::Current, "");
    finding.code = Some(code.to_owned());
    finding.state = Some("standby".to_owned());
    finding
}

fn signal(place: &str, code: &str) -> Finding {
    let mut finding = Finding::new(FindingKind::Signal, place);
    finding.code = Some(code.to_owned());
    finding
}

/// Jobs of one fix: the draw cycles; ohms of the standby rail, volts of the core and a signal as given.
fn jobs_of(part: &str, n: u64, ohms: f64, core: &str) -> Vec<Job> {
    (1..=n)
        .map(|at| {
            let findings = vec![
                draw("cycling"),
                sample::resistance("3V3_SB", ohms),
                sample::rail("VCORE", core),
                signal("PGOOD", core),
            ];
            sample::job_with(&format!("{part}-{at}"), part, at, findings)
        })
        .collect()
}

/// Two fixes that the ohms tell apart; the core rail and its signal are alike.
fn two() -> Vec<Job> {
    [
        jobs_of("U31", 5, 210.0, "absent"),
        jobs_of("L12", 4, 0.3, "absent"),
    ]
    .concat()
}

fn nexts(jobs: &[Job]) -> Vec<Card> {
    let built = sample::built(jobs);
    let kind = |c: &Card| c.kind == CardKind::Next;
    built.cards.into_iter().filter(kind).collect()
}

#[test]
fn the_measurement_that_tells_two_suspects_apart_is_asked_for() {
    let cards = nexts(&two());
    assert_eq!(cards.len(), 1);
    let card = &cards[0];
    assert_eq!(
        card.stem,
        "Two suspects remain. Which single measurement now?"
    );
    let suspects: Vec<&str> = card.suspects.iter().map(|s| s.what.as_str()).collect();
    assert_eq!(
        suspects,
        [
            "Replace U31, the standby switcher",
            "Replace L12, the system coil"
        ]
    );
    assert_eq!(
        card.suspects.iter().map(|s| s.n).collect::<Vec<_>>(),
        [5, 4]
    );
    let right: Vec<&str> = card
        .tests
        .iter()
        .filter(|t| t.right)
        .map(|t| t.say.as_str())
        .collect();
    assert_eq!(right, ["ohms 3V3_SB to ground (source off)"]);
    assert!(
        card.tests.len() > 1
            && card
                .tests
                .windows(2)
                .all(|t| { t[1].bits / t[1].minutes <= t[0].bits / t[0].minutes })
    );
    let best = &card.tests[0];
    let of = |say: &str| best.results.iter().find(|r| r.say == say).unwrap();
    assert_eq!(of("hard short").points_to[0].what, suspects[1]);
    assert_eq!(of("hundreds of ohms").points_to[0].what, suspects[0]);
    assert_eq!((card.share.k, card.share.n), (9, 9));
    assert!(card.why.contains("hard short in 4 of 4"), "{}", card.why);
    assert!(card.points.is_empty() && card.answers.is_empty());
}

#[test]
fn what_every_measurement_would_tell_alike_asks_nothing() {
    // Nothing but one measurement left, or none that tells.
    let alike = [
        jobs_of("U31", 5, 210.0, "absent"),
        jobs_of("L12", 4, 210.0, "absent"),
    ];
    assert!(nexts(&alike.concat()).is_empty());
    let mut single = two();
    for job in &mut single {
        job.findings.truncate(2);
    }
    assert!(
        nexts(&single).is_empty(),
        "all that could be measured is right"
    );
    assert!(nexts(&two()[..5]).is_empty(), "one suspect");
}

#[test]
fn whatever_was_taken_after_an_action_never_enters() {
    let mut jobs = two();
    for job in &mut jobs {
        job.findings[1].when = When::AfterAction;
    }
    assert!(nexts(&jobs).is_empty());
}

#[test]
fn an_unsafe_fix_is_no_suspect_and_a_barred_pair_makes_no_card() {
    let barred = |fix: &Fix, _: &Job| fix.key().contains("L12");
    let built = sample::built_with(&two(), &[], &barred);
    assert!(built.cards.iter().all(|c| c.kind != CardKind::Next));
}

#[test]
fn the_draw_is_known_to_whoever_has_read_a_rail() {
    let mut jobs = two();
    for job in &mut jobs {
        for finding in &mut job.findings[2..] {
            finding.state = Some("standby".to_owned());
        }
    }
    for card in nexts(&jobs) {
        let live = card.front.iter().any(|f| f.kind == FindingKind::Rail);
        let draw = card.front.iter().any(|f| f.kind == FindingKind::Current);
        assert!(!live || draw, "{:?}", card.front);
    }
}

#[test]
fn a_few_more_jobs_keep_the_card() {
    let before = nexts(&two());
    let mut more = two();
    more.extend(jobs_of("U31", 7, 215.0, "absent").split_off(5));
    let after = nexts(&more);
    assert_eq!(before[0].id, after[0].id);
    assert_eq!(before[0].accepted_mark(), after[0].accepted_mark());
    assert_eq!(before[0].asked_mark(), after[0].asked_mark());
}

/// Recomputes a card's figures from the jobs themselves: counts by hand, mutual information by its
/// definition over pairs.
fn by_hand(jobs: &[Job], card: &Card, at: usize) -> f64 {
    let test = &card.tests[at];
    let fixes: Vec<String> = jobs.iter().map(|j| j.fix().key()).collect();
    let suspects: Vec<String> = card
        .suspects
        .iter()
        .map(|s| {
            let part = ["U31", "L12", "U5"]
                .into_iter()
                .find(|p| s.what.contains(p))
                .unwrap();
            fixes.iter().find(|f| f.contains(part)).unwrap().clone()
        })
        .collect();
    let value = |job: &Job| -> Option<String> {
        let finding = job.findings.iter().find(|f| {
            let kind = match f.kind {
                FindingKind::Resistance => "ohms",
                FindingKind::Rail => "volts",
                FindingKind::Signal => "signal",
                _ => "draw",
            };
            test.say.starts_with(kind) && test.say.contains(&f.place)
        })?;
        crate::domain::generate::coded::band::band(finding, Some(&sample::board()))
    };
    let read: Vec<Option<String>> = jobs.iter().map(value).collect();
    let all: BTreeSet<&String> = read.iter().flatten().collect();
    let n_of = |fix: Option<&String>, v: Option<&String>| -> f64 {
        let rows = fixes.iter().zip(&read);
        let fits = rows.filter(|(f, r)| {
            r.is_some() && fix.is_none_or(|x| x == *f) && v.is_none_or(|x| r.as_ref() == Some(x))
        });
        count(fits.count())
    };
    let k = count(all.len());
    let given = |fix: &String, v: &String| -> f64 {
        let overall = (n_of(None, Some(v)) + 0.5) / (n_of(None, None) + 0.5 * k);
        (n_of(Some(fix), Some(v)) + 2.0 * overall) / (n_of(Some(fix), None) + 2.0)
    };
    let sum: f64 = card.suspects.iter().map(|s| s.chance).sum();
    let prior: Vec<f64> = card.suspects.iter().map(|s| s.chance / sum).collect();
    let seen = all
        .iter()
        .filter(|v| suspects.iter().any(|s| n_of(Some(s), Some(v)) > 0.0));
    let mut rows: Vec<Vec<f64>> = seen
        .map(|v| suspects.iter().map(|s| given(s, v)).collect())
        .collect();
    rows.push(
        (0..prior.len())
            .map(|s| 1.0 - rows.iter().map(|r| r[s]).sum::<f64>())
            .collect(),
    );
    let mut bits = entropy(&prior);
    for row in rows {
        let joint: Vec<f64> = row.iter().zip(&prior).map(|(l, p)| l * p).collect();
        let all: f64 = joint.iter().sum();
        for one in joint.into_iter().filter(|j| 1e-12 < *j) {
            bits += one * libm::log2(one / all);
        }
    }
    bits
}

#[test]
fn figures_come_out_when_counted_by_hand() {
    let jobs = two();
    let card = &nexts(&jobs)[0];
    for (at, test) in card.tests.iter().enumerate() {
        let bits = by_hand(&jobs, card, at);
        assert!(
            (test.bits - bits).abs() < 2e-3,
            "{}: {} is not {bits}",
            test.say,
            test.bits
        );
    }
}

/// Three fixes with readings that mostly follow the fix, else by chance: 0 means not recorded.
fn small() -> impl Strategy<Value = Vec<(u8, [u8; 3])>> {
    let row = (0_u8..3, [0_u8..6, 0_u8..6, 0_u8..6]).prop_map(|(fix, noise)| {
        let usual = [1 + fix % 2, 1 + fix / 2, 2 - fix % 2];
        let mut values = [0; 3];
        for (at, value) in values.iter_mut().enumerate() {
            *value = if noise[at] < 3 { noise[at] } else { usual[at] };
        }
        (fix, values)
    });
    prop::collection::vec(row, 8..30)
}

fn jobs(rows: &[(u8, [u8; 3])]) -> Vec<Job> {
    rows.iter()
        .enumerate()
        .map(|(at, (fix, values))| {
            let part = ["U31", "L12", "U5"][usize::from(*fix)];
            let mut findings = vec![draw("cycling")];
            let [ohms, volts, level] = *values;
            if ohms > 0 {
                findings.push(sample::resistance(
                    "3V3_SB",
                    [0.3, 210.0][usize::from(ohms - 1)],
                ));
            }
            if volts > 0 {
                findings.push(sample::rail(
                    "VCORE",
                    ["low", "absent"][usize::from(volts - 1)],
                ));
            }
            if level > 0 {
                findings.push(signal(
                    "PGOOD",
                    ["missing", "present"][usize::from(level - 1)],
                ));
            }
            let day = u64::try_from(at).expect("few jobs");
            sample::job_with(&format!("W-{at}"), part, day, findings)
        })
        .collect()
}

#[test]
fn the_archives_of_these_laws_make_cards() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let made = (0..40).filter(|_| {
        let rows = small().new_tree(&mut runner).expect("a value").current();
        !nexts(&jobs(&rows)).is_empty()
    });
    let made = made.count();
    assert!(10 <= made, "only {made} of 40");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn the_order_of_the_jobs_does_not_matter(rows in small(), turn in 0_usize..24) {
        let jobs = jobs(&rows);
        let mut turned = jobs.clone();
        turned.rotate_left(turn % jobs.len());
        turned.reverse();
        prop_assert_eq!(nexts(&jobs), nexts(&turned));
    }

    #[test]
    fn right_is_what_comes_within_a_tenth_of_the_best(rows in small()) {
        let jobs = jobs(&rows);
        for card in nexts(&jobs) {
            let rates: Vec<f64> = card
                .tests
                .iter()
                .enumerate()
                .map(|(at, test)| by_hand(&jobs, &card, at) / test.minutes)
                .collect();
            let best = rates.iter().copied().fold(0.0, f64::max);
            for (test, rate) in card.tests.iter().zip(&rates) {
                // Chances are written with four places: at the very edge either may stand.
                let edge = (rate - 0.9 * best).abs() < 1e-3;
                prop_assert!(edge || test.right == (0.9 * best <= *rate), "{} {rate} of {best}", test.say);
            }
            prop_assert!(card.tests.iter().any(|t| t.right) && card.tests.iter().any(|t| !t.right));
            prop_assert!(WORTH <= card.tests[0].bits + 1e-4);
            for test in &card.tests {
                let sum: f64 = test.results.iter().map(|r| r.chance).sum();
                prop_assert!(sum <= 1.0 + 1e-3);
            }
        }
    }
}

#[test]
fn after_a_dead_short_nothing_live_is_asked_for() {
    // Both fixes show the short; a draw, a rail, and a diode reading tell them apart.
    let of = |part: &str, n: u64, code: &str, diode: f64| -> Vec<Job> {
        (1..=n)
            .map(|at| {
                let mut drop = Finding::new(FindingKind::Diode, "SDA");
                drop.got = Some(diode);
                drop.good = Some(0.5);
                let line = sample::resistance("VSYS", 0.4);
                let mut findings = vec![sample::resistance("3V3_SB", 0.3), drop, line];
                findings.push(sample::rail("VCORE", code));
                findings.push(signal("PGOOD", code));
                sample::job_with(&format!("{part}-{at}"), part, at, findings)
            })
            .collect()
    };
    let jobs = [of("U31", 5, "absent", 0.5), of("L12", 4, "low", 0.02)].concat();
    let cards = nexts(&jobs);
    let shorted = |card: &&Card| card.front.iter().any(|f| f.kind == FindingKind::Resistance);
    let asked: Vec<&Card> = cards.iter().filter(shorted).collect();
    for card in &asked {
        let live = card.tests.iter().find(|t| !t.say.contains("source off"));
        assert_eq!(live, None, "{:?}", card.front);
    }
    assert!(!asked.is_empty(), "{cards:#?}");
}

#[test]
fn a_further_fix_that_shows_the_front_is_named_and_more_of_it_than_suspects_makes_no_card() {
    let with = |n: u64| {
        let mut third = jobs_of("C40", n, 210.0, "absent");
        for job in &mut third {
            // Much more was complained of, so that its chance is small.
            job.complaint
                .extend(["no-display".to_owned(), "dim".to_owned()]);
            job.findings.truncate(1);
        }
        nexts(&[two(), third].concat())
    };
    let names = |cards: &[Card]| -> Vec<String> {
        let warn = cards.iter().flat_map(|card| &card.warn);
        warn.filter(|w| w.starts_with("one more fits"))
            .cloned()
            .collect()
    };
    assert!(names(&with(0)).is_empty());
    assert_eq!(
        names(&with(2)),
        ["one more fits: replace C40 (2 jobs) shows the front too"]
    );
    let drawn = |card: &Card| card.front.iter().any(|f| f.kind == FindingKind::Current);
    assert!(with(2).iter().any(drawn));
    let two_named = |card: &Card| card.suspects.len() == 2 && drawn(card);
    assert!(!with(12).iter().any(two_named), "twelve jobs beside nine");
}
