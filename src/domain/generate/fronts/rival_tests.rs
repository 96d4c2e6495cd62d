//! Examples of what looks like a front, and of fronts that were widened (invented jobs).

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::generate::sample;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;

/// `n` jobs that replace `part`.
fn jobs(part: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
    let job = |at: u64| sample::job_with(&format!("{part}-{at}"), part, at, findings.to_vec());
    (1..=n).map(job).collect()
}

/// `n` jobs that ended without a fix.
fn ended(reason: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
    let end = |job: Job| Job {
        actions: Vec::new(),
        outcome: Outcome::NoFix,
        no_fix_reason: Some(reason.to_owned()),
        ..job
    };
    jobs(reason, n, findings).into_iter().map(end).collect()
}

fn card(jobs: &[Job], part: &str) -> Card {
    let cards = sample::built(jobs).cards.into_iter();
    let own = |c: &Card| c.kind == CardKind::Fix && c.answers[0].steps[0].part == part;
    cards.into_iter().find(own).expect("a fix card")
}

fn warned<'a>(card: &'a Card, word: &str) -> Option<&'a str> {
    let own = |w: &&String| w.starts_with(word);
    card.warn.iter().find(own).map(String::as_str)
}

const DEAD: &str = "processor-or-memory-dead";

/// Five jobs with `VCORE` low, four of which read `VSYS`, and three healthy rails read in all; four jobs
/// of another fix without the fault.
fn core_jobs() -> Vec<Job> {
    let healthy = ["1V2", "1V8", "2V5"].map(|rail| sample::rail(rail, "in-band"));
    let with = |first: &[Finding]| [first, &healthy].concat();
    let low = sample::rail("VCORE", "low");
    let system = sample::rail("VSYS", "in-band");
    let mut all = jobs("U5", 5, &with(&[low.clone(), system]));
    all[0].findings = with(&[low]);
    let core = sample::rail("VCORE", "in-band");
    all.extend(jobs("C40", 4, &with(&[core])));
    all
}

#[test]
fn a_healthy_reading_that_rules_out_a_dead_processor_is_shown() {
    let system = sample::rail("VSYS", "in-band");
    let plain = card(&core_jobs(), "U5");
    assert!(!plain.front.contains(&system), "{:?}", plain.front);
    let dead = ended(
        DEAD,
        2,
        &[sample::rail("VCORE", "low"), sample::rail("VSYS", "low")],
    );
    let told = card(&[core_jobs(), dead].concat(), "U5");
    assert!(told.front.contains(&system), "{:?}", told.front);
    assert_eq!(warned(&told, "not told apart"), None);
    assert_eq!((told.share.k, told.share.n), (4, 4));
}

#[test]
fn a_rival_that_nothing_rules_out_is_named() {
    let dead = |n: u64, reason: &str| ended(reason, n, &[sample::rail("VCORE", "low")]);
    let with = |ends: Vec<Job>| card(&[core_jobs(), ends].concat(), "U5");
    let open = with(dead(2, DEAD));
    assert_eq!(
        warned(&open, "not told apart"),
        Some("not told apart: processor or memory dead (2 jobs) fits all that is shown")
    );
    // One job is no rival; what cost too much may have had this very fault; wishes say nothing.
    for (n, reason) in [(1, DEAD), (2, "value-exceeded"), (2, "customer-declined")] {
        assert_eq!(
            warned(&with(dead(n, reason)), "not told apart"),
            None,
            "{reason}"
        );
    }
    // Another complaint is another case.
    let mut other = dead(2, DEAD);
    for job in &mut other {
        job.complaint = vec!["no-link".to_owned()];
    }
    assert_eq!(warned(&with(other), "not told apart"), None);
}

#[test]
fn what_decides_and_is_held_back_is_named() {
    let of = |test: &str| {
        let low = sample::rail("VSYS", "low");
        let own = [low.clone(), sample::test("tapping", test)];
        let other = [low, sample::test("tapping", "no change")];
        card(
            &[jobs("U5", 4, &own), jobs("C40", 2, &other)].concat(),
            "U5",
        )
    };
    let vague = of("U5 reacts");
    let told = warned(&vague, "vague").unwrap_or_default();
    assert!(
        told.starts_with("vague: what decides, tapping u5 reacts, is held back, and without it"),
        "{:?}",
        vague.warn
    );
    assert_eq!(warned(&of("drops out"), "vague"), None, "it may be shown");
}

#[test]
fn a_sign_without_its_place_tells_no_part() {
    let of = |own: &[Finding]| {
        let none = [
            sample::rail("VSYS", "in-band"),
            sample::sign("", "none-seen"),
        ];
        card(&[jobs("U5", 4, own), jobs("C40", 8, &none)].concat(), "U5")
    };
    let cracked = sample::sign("U5", "cracked-joint");
    let vague = of(&[sample::rail("VSYS", "in-band"), cracked.clone()]);
    assert_eq!(
        warned(&vague, "vague"),
        Some("vague: what tells most, the place of the sign (cracked joint), is held back")
    );
    let told = of(&[sample::rail("VSYS", "absent"), cracked]);
    assert_eq!(warned(&told, "vague"), None, "the rail tells");
}

#[test]
fn a_front_of_one_line_is_widened_or_named() {
    let low = sample::rail("VCORE", "low");
    let core = sample::rail("VCORE", "in-band");
    let bare = [
        jobs("U5", 4, std::slice::from_ref(&low)),
        jobs("C40", 4, &[core]),
    ]
    .concat();
    let line = card(&bare, "U5");
    assert_eq!(
        warned(&line, "one reading"),
        Some("one reading alone: the front shows VCORE low and no more")
    );
    let board = card(&core_jobs(), "U5");
    assert_eq!(board.front.len(), super::A_BOARD);
    assert_eq!(warned(&board, "one reading"), None);
}

#[test]
fn a_front_on_which_nothing_is_wrong_is_named() {
    let own = [
        sample::rail("VCORE", "in-band"),
        sample::rail("VSYS", "in-band"),
    ];
    let other = [
        sample::rail("VCORE", "low"),
        sample::rail("VSYS", "in-band"),
    ];
    let all = [jobs("U5", 4, &own), jobs("C40", 4, &other)].concat();
    assert_eq!(
        warned(&card(&all, "U5"), "by exclusion"),
        Some("by exclusion: all 2 findings on the front are as they should be")
    );
    assert_eq!(warned(&card(&all, "C40"), "by exclusion"), None);
}

#[test]
fn the_reason_leads_with_what_is_wrong_and_counts_what_ended_without_a_fix() {
    let short = sample::rail("VCORE", "absent");
    let own = [sample::rail("VSYS", "in-band"), short];
    let other = [sample::rail("VSYS", "low")];
    let fixes = [jobs("U5", 4, &own), jobs("C40", 4, &other)].concat();
    let alone = card(&fixes, "U5");
    assert!(
        alone
            .why
            .starts_with("VCORE absent: 4 of 4 with this fix, read in no other job"),
        "{}",
        alone.why
    );
    let dead = ended(DEAD, 2, &[sample::rail("VCORE", "low")]);
    let beside = card(&[fixes.clone(), dead].concat(), "U5");
    assert!(
        beside
            .why
            .starts_with("VCORE absent: 4 of 4 with this fix, 0 of 2 without"),
        "{}",
        beside.why
    );
    // What was not worth it is counted, and speaks for no other fault.
    let costly = ended("value-exceeded", 2, &[sample::rail("VCORE", "absent")]);
    let beside = card(&[fixes, costly].concat(), "U5");
    assert!(
        beside
            .why
            .starts_with("VCORE absent: 4 of 4 with this fix, 2 of 2 without"),
        "{}",
        beside.why
    );
}

#[test]
fn heat_somewhere_is_left_out_where_more_jobs_show_the_rest() {
    let heat = |celsius: f64| {
        let mut heat = Finding::new(FindingKind::Heat, "U5");
        heat.got = Some(celsius);
        heat
    };
    let low = sample::rail("VCORE", "low");
    let of = |first: &[Finding]| {
        let mut all = jobs("U5", 2, &[low.clone(), heat(90.0)]);
        all[0].findings = first.to_vec();
        let other = [sample::rail("VCORE", "in-band"), heat(30.0)];
        all.extend(jobs("C40", 3, &other));
        card(&all, "U5")
    };
    let hot = |card: &Card| card.front.iter().any(|f| f.kind == FindingKind::Heat);
    let one_felt_it = of(std::slice::from_ref(&low));
    assert!(!hot(&one_felt_it), "{:?}", one_felt_it.front);
    assert_eq!((one_felt_it.share.k, one_felt_it.share.n), (2, 2));
    assert!(hot(&of(&[low.clone(), heat(95.0)])), "both felt it");
}

#[test]
fn what_all_others_read_otherwise_is_no_exclusion() {
    let with = |word: &str| [sample::rail("VCORE", word), sample::rail("VSYS", "in-band")];
    let of = |others: u64| {
        let all = [
            jobs("U5", 3, &with("in-band")),
            jobs("C40", others, &with("low")),
        ];
        card(&all.concat(), "U5")
    };
    assert_eq!(warned(&of(5), "by exclusion"), None);
    assert!(warned(&of(4), "by exclusion").is_some());
}

#[test]
fn what_decides_excludes_a_rival_that_never_looked() {
    let core = sample::rail("VCORE", "low");
    let with = |screen: &str| [core.clone(), sample::test("screen", screen)];
    let healthy = |screen: &str| {
        [
            sample::rail("VCORE", "in-band"),
            sample::test("screen", screen),
        ]
    };
    let of = |others: &str| {
        let all = [
            jobs("U5", 4, &with("logo loop")),
            jobs("L12", 5, &healthy(others)),
            jobs("C40", 3, std::slice::from_ref(&core)),
        ];
        card(&all.concat(), "U5")
    };
    assert_eq!(warned(&of("dark"), "not told apart"), None);
    // Where the others show it as well, it decides nothing.
    assert!(warned(&of("logo loop"), "not told apart").is_some());
}

#[test]
fn a_part_that_was_only_ever_mended_beside_the_answer_is_named() {
    let low = || {
        [
            sample::rail("VSYS", "low"),
            sample::rail("VCORE", "in-band"),
        ]
    };
    let mut own = jobs("U5", 3, &low());
    own[0]
        .actions
        .push(sample::action("replace", "L12", Role::AlsoDone));
    let rest = jobs(
        "C40",
        4,
        &[
            sample::rail("VSYS", "in-band"),
            sample::rail("VCORE", "low"),
        ],
    );
    let both = [own, rest].concat();
    assert_eq!(
        warned(&card(&both, "U5"), "also done"),
        Some(
            "also done: L12, on VSYS as well, was mended too in 1 of 3 jobs, and no job mended it alone"
        )
    );
    let alone = jobs("L12", 2, &[sample::rail("VSYS", "absent")]);
    assert_eq!(
        warned(&card(&[both, alone].concat(), "U5"), "also done"),
        None
    );
}

#[test]
fn dirt_is_shown_where_the_answer_is_to_clean() {
    let of = |act: &str| {
        let touch = sample::rail("SDA", "low");
        let mut own = jobs("U5", 4, std::slice::from_ref(&touch));
        for job in &mut own {
            job.actions[0].act = act.to_owned();
        }
        for job in &mut own[2..] {
            job.findings.push(sample::sign("upper edge", "residue"));
        }
        let rest = jobs(
            "C40",
            4,
            &[sample::rail("SDA", "in-band"), sample::sign("U7", "burnt")],
        );
        let shown = card(&[own, rest].concat(), "U5").front;
        shown.iter().any(|f| f.kind == FindingKind::Visual)
    };
    assert_eq!((of("clean"), of("replace")), (true, false));
}

#[test]
fn a_test_held_back_is_named_where_others_read_the_same() {
    let line = sample::rail("DDR", "low");
    let own = jobs(
        "U5",
        2,
        &[line.clone(), sample::test("pressure on U5", "changes")],
    );
    let rest = jobs("C40", 4, &[sample::rail("VSYS", "low")]);
    let of = |word: &str| {
        let end = ended("not-worth-it", 1, &[sample::rail("DDR", word)]);
        card(&[own.clone(), rest.clone(), end].concat(), "U5")
    };
    let vague = of("low");
    let vague = warned(&vague, "vague").expect("a warning");
    assert!(vague.contains("pressure on U5 changes"), "{vague}");
    assert!(!warned(&of("in-band"), "vague").is_some_and(|w| w.contains("without this fix too")));
}
