//! Examples of why-lines and warnings (invented jobs).

use super::*;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::sample;
use crate::domain::generate::words::phrases::read_as;
use crate::domain::generate::words::phrases::short_fix;
use crate::domain::job::Finding;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::When;

fn fix(pairs: &[(&str, &str)]) -> Fix {
    let own = |(act, part): &(&str, &str)| ((*act).to_owned(), (*part).to_owned());
    Fix::new(pairs.iter().map(own).collect())
}

/// `n` jobs that replace `part`.
fn jobs(part: &str, n: u64, complaint: &str, findings: &[Finding]) -> Vec<Job> {
    let job = |at: u64| Job {
        complaint: vec![complaint.to_owned()],
        ..sample::job_with(&format!("{part}-{at}"), part, at, findings.to_vec())
    };
    (1..=n).map(job).collect()
}

fn card(jobs: &[Job], part: &str) -> Card {
    let cards = sample::built(jobs).cards.into_iter();
    let own = |c: &Card| c.kind == CardKind::Fix && c.answers[0].steps[0].part == part;
    cards.into_iter().find(own).expect("a fix card")
}

fn warned(card: &Card, word: &str) -> bool {
    card.warn.iter().any(|w| w.starts_with(word))
}

#[test]
fn an_act_done_to_several_parts_is_said_once() {
    for (pairs, said) in [
        (&[("replace", "F3")][..], "replace F3"),
        (
            &[("replace", "F1"), ("replace", "Q1"), ("replace", "U1")],
            "replace F1, Q1 and U1",
        ),
        (
            &[("replace", "U11"), ("reprogram-firmware", "U11")],
            "replace U11 and reload the firmware of U11",
        ),
    ] {
        assert_eq!(short_fix(&fix(pairs)), said);
    }
}

#[test]
fn a_sign_and_a_reading_across_two_points_are_said_as_at_the_bench() {
    let sign = Name::of(&Finding {
        when: When::BeforeCleaning,
        ..sample::sign("", "earlier-work")
    });
    assert_eq!(
        read_as(&sign, "earlier-work"),
        "signs of earlier work (before cleaning)"
    );
    let across = Name::of(&sample::resistance("CANH-CANL", 120.0));
    assert_eq!(read_as(&across, "high"), "ohms CANH-CANL high");
    let ground = Name::of(&sample::resistance("CANH", 120.0));
    assert_eq!(read_as(&ground, "low"), "CANH to ground low");
}

#[test]
fn the_same_is_said_only_of_a_fix_that_read_the_same() {
    let low = || vec![sample::rail("3V3_SB", "low"), sample::rail("VSYS", "low")];
    let alike = [
        jobs("U31", 3, "no-power", &low()),
        jobs("C40", 3, "no-power", &low()),
        jobs("U5", 4, "no-start", &[sample::rail("VCORE", "absent")]),
    ]
    .concat();
    let one = card(&alike, "U31");
    assert!(!one.why.contains("would have shown"), "{}", one.why);
    // The other fix never read what this one goes by.
    let unread = [
        jobs("U31", 3, "no-power", &low()),
        jobs("C40", 3, "no-power", &[sample::rail("VSYS", "low")]),
    ]
    .concat();
    let one = card(&unread, "U31");
    assert!(!one.why.contains("much the same"), "{}", one.why);
    assert!(!warned(&one, "look-alike"), "{:?}", one.warn);
}

#[test]
fn a_front_that_speaks_for_nothing_warns() {
    let one = card(
        &jobs("U31", 3, "no-power", &[sample::rail("VSYS", "low")]),
        "U31",
    );
    assert!(warned(&one, "weak") == one.why.contains("no single finding"));
    let told = [
        jobs("U31", 3, "no-power", &[sample::rail("VSYS", "low")]),
        jobs("U5", 3, "no-power", &[sample::rail("VSYS", "absent")]),
    ]
    .concat();
    assert!(!warned(&card(&told, "U31"), "weak"));
}

#[test]
fn a_sign_at_a_part_that_nobody_touched_warns() {
    let seen = |place: &str| {
        let signs = [
            sample::sign(place, "dull-joint"),
            sample::rail("VSYS", "low"),
        ];
        [
            jobs("U31", 2, "no-power", &signs),
            jobs("U5", 3, "no-power", &[sample::rail("VSYS", "absent")]),
        ]
        .concat()
    };
    assert!(warned(&card(&seen("L12"), "U31"), "elsewhere"));
    assert!(!warned(&card(&seen("U31"), "U31"), "elsewhere"));
    assert!(!warned(&card(&seen("upper edge"), "U31"), "elsewhere"));
}

#[test]
fn what_mended_another_complaint_is_no_answer_to_this_one() {
    let low = || vec![sample::rail("3V3_SB", "low"), sample::rail("VSYS", "low")];
    let of = |complaint: &str| {
        let both = [
            jobs("U31", 4, "no-power", &low()),
            jobs("C40", 4, complaint, &low()),
        ];
        card(&both.concat(), "U31").answers.len()
    };
    assert_eq!((of("no-power"), of("no-link")), (2, 1));
}

#[test]
fn the_runner_up_is_of_the_same_complaint_or_shows_the_same_fault() {
    let with =
        |core: &str, system: &str| vec![sample::rail("VCORE", core), sample::rail("VSYS", system)];
    let rivals = |near: &str| {
        [
            jobs("U31", 4, "no-power", &with("absent", "in-band")),
            jobs("C40", 2, near, &with("low", "in-band")),
            jobs("U9", 8, "no-link", &with("in-band", "in-band")),
        ]
        .concat()
    };
    let one = card(&rivals("no-power"), "U31");
    assert!(
        one.why
            .contains("runner-up replace C40 would have shown: VCORE low in 2 of 2"),
        "{}",
        one.why
    );
    // None is of the complaint, and none shows the fault.
    let none = card(&rivals("no-link"), "U31");
    assert!(!none.why.contains("runner-up"), "{}", none.why);
}

#[test]
fn what_was_found_wrong_where_nothing_was_mended_is_named_too() {
    let core = |word: &str| vec![sample::rail("VCORE", word)];
    let end = |reason: &str| {
        let end = |job: Job| Job {
            actions: Vec::new(),
            outcome: Outcome::NoFix,
            no_fix_reason: Some(reason.to_owned()),
            ..job
        };
        let ends = jobs("end", 2, "no-power", &core("low"))
            .into_iter()
            .map(end);
        let all = [
            jobs("U31", 4, "no-power", &core("low")),
            jobs("U9", 8, "no-power", &core("in-band")),
            ends.collect(),
        ];
        card(&all.concat(), "U31").why
    };
    let dead = end("processor-or-memory-dead");
    assert!(
        dead.contains("processor or memory dead shows too: VCORE low in 2 of 2"),
        "{dead}"
    );
    assert!(!end("not-worth-it").contains("shows too"));
}

#[test]
fn a_fix_that_fits_better_is_named() {
    let with =
        |word: &str, system: &str| vec![sample::rail("VCORE", word), sample::rail("VSYS", system)];
    // Nobody else read the 3.3 V: no job of the other fix matches the whole front.
    let own = [with("pulsing", "low"), vec![sample::rail("3V3", "low")]].concat();
    let rest = with("in-band", "in-band");
    let archive = |known: &[Finding]| {
        [
            jobs("U31", 1, "no-power", &own),
            jobs("C40", 8, "no-power", &with("absent", "low")),
            jobs("C40", 1, "no-power", known),
            jobs("U9", 6, "no-link", &rest),
        ]
        .concat()
    };
    let likelier = |jobs: &[Job]| {
        let one = card(jobs, "U31");
        let own = one.warn.iter().find(|w| w.starts_with("likelier"));
        own.cloned()
    };
    assert_eq!(
        likelier(&archive(&with("pulsing", "low"))).as_deref(),
        Some("likelier: replace C40 (9 jobs) fits what is shown better than this fix (1 job)")
    );
    assert_eq!(likelier(&archive(&with("absent", "low"))), None);
}

#[test]
fn a_runner_up_in_which_nothing_separates_gives_way_to_one_that_reads_a_finding_otherwise() {
    let flex = || sample::test("flex test", "changes");
    let own = [flex(), sample::rail("3V3_SB", "absent")];
    let with = |next: &[Finding]| {
        [
            jobs("U31", 4, "no-power", &own),
            jobs("L5", 4, "no-power", &[flex()]),
            jobs("C40", 3, "no-power", next),
            jobs(
                "U9",
                8,
                "no-power",
                &[sample::test("flex test", "no change")],
            ),
        ]
        .concat()
    };
    let apart = card(&with(&[flex(), sample::rail("3V3_SB", "pulsing")]), "U31");
    let line = "runner-up replace C40 would have shown: 3V3_SB pulsing in 3 of 3";
    assert!(apart.why.contains(line), "{}", apart.why);
    // That one separates no better: the likeliest is named, and that it shows the same.
    let none = card(&with(&[flex()]), "U31");
    let line = "runner-up replace L5 shows too: flex test changes in 4 of 4";
    assert!(none.why.contains(line), "{}", none.why);
}

#[test]
fn where_nobody_shows_the_fault_the_one_that_draws_alike_comes_before_one_that_only_read_there() {
    let draw = |word: &str| {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some(word.to_owned());
        draw
    };
    let rails =
        |fuse: &str, behind: &str| [sample::rail("VIN_F", fuse), sample::rail("VIN_P", behind)];
    let own = [&[draw("zero")][..], &rails("in-band", "absent")].concat();
    let all = |drawn: &str| {
        let blown = [draw(drawn), sample::rail("VIN_F", "absent")];
        [
            jobs("U31", 4, "no-power", &own),
            jobs("C40", 6, "no-power", &blown),
            jobs("L12", 2, "no-power", &[sample::rail("VIN_P", "in-band")]),
            jobs(
                "U9",
                8,
                "no-link",
                &[draw("normal"), sample::rail("VIN_P", "in-band")],
            ),
        ]
        .concat()
    };
    let alike = card(&all("zero"), "U31");
    let line = "runner-up replace C40 would have shown: VIN_F absent in 6 of 6";
    assert!(alike.why.contains(line), "{}", alike.why);
    assert!(
        alike
            .why
            .contains("VIN_F in band: 4 of 4 with this fix, 0 of 6"),
        "{}",
        alike.why
    );
    let other = card(&all("stuck"), "U31");
    assert!(other.why.contains("runner-up replace L12"), "{}", other.why);
}

#[test]
fn jobs_that_ended_in_the_fix_and_are_no_evidence_are_named_where_they_are_half_as_many() {
    let low = || vec![sample::rail("VCORE", "low")];
    let with = |own: u64| {
        let mut all = [
            jobs("U31", own, "no-power", &low()),
            jobs("U9", 4, "no-power", &[sample::rail("VCORE", "in-band")]),
        ]
        .concat();
        let mut weak = sample::job_with("weak", "U31", 9, low());
        weak.confidence = Some(crate::domain::job::Confidence::Likely);
        weak.outcome = Outcome::UnknownSoFar;
        all.push(weak);
        card(&all, "U31").why
    };
    let line = "left out here: weak, which ended so too and proves too little";
    assert!(with(2).contains(line), "{}", with(2));
    assert!(!with(3).contains("left out"), "{}", with(3));
}

#[test]
fn what_others_show_on_revisions_without_the_part_is_said_so() {
    let all = [
        jobs("U31", 3, "no-power", &[sample::rail("VCORE", "low")]),
        jobs("L12", 4, "no-power", &[sample::rail("VCORE", "low")]),
        jobs("U5", 6, "no-power", &[sample::rail("VCORE", "in-band")]),
    ]
    .concat();
    let why = |theirs: &[&str]| {
        let mut board = sample::board();
        let mut on = |part: &str, revs: &[&str]| {
            let part = board.parts.get_mut(part).expect("a part");
            part.revs = revs.iter().map(|r| (*r).to_owned()).collect();
        };
        on("U31", &["B"]);
        on("L12", theirs);
        let cards = sample::built_on(board, &all).cards.into_iter();
        let own = |c: &Card| c.kind == CardKind::Fix && c.answers[0].steps[0].part == "U31";
        cards
            .into_iter()
            .find(own)
            .map(|c| c.why)
            .expect("a fix card")
    };
    let line = "VCORE low: 3 of 3 with this fix, 4 of 10 without";
    let far = why(&["A"]);
    let said = format!("{line} (4 of them on revisions without this fix's part)");
    assert!(far.starts_with(&said), "{far}");
    assert!(
        !why(&["A", "B"]).contains("on revisions"),
        "the same revision"
    );
}

#[test]
fn a_wrong_reading_that_one_other_job_took_is_said_with_its_counts() {
    let own = [sample::rail("VSYS", "absent"), sample::rail("VCORE", "low")];
    let rest = |n: u64| {
        [
            jobs("U31", 4, "no-power", &own),
            jobs("U9", 8, "no-power", &[sample::rail("VSYS", "in-band")]),
            jobs("C40", n, "no-power", &[sample::rail("VCORE", "low")]),
        ]
        .concat()
    };
    let one = card(&rest(1), "U31").why;
    assert!(
        one.contains("VCORE low: 4 of 4 with this fix, 1 of 1 without"),
        "{one}"
    );
    let many = card(&rest(4), "U31").why;
    assert!(
        !many.contains("VCORE low: 4 of 4"),
        "as true of others: {many}"
    );
}

#[test]
fn a_test_that_no_other_job_made_is_named_as_read_with_the_fix_alone() {
    let with = |value: &str| {
        let own = [
            sample::rail("VSYS", "absent"),
            sample::test("coil off", value),
        ];
        let all = [
            jobs("U31", 4, "no-power", &own),
            jobs("U9", 8, "no-power", &[sample::rail("VSYS", "in-band")]),
        ];
        card(&all.concat(), "U31").why
    };
    let stuck = with("stays shut");
    assert!(
        stuck.contains("read with this fix alone: coil off stays shut in 4 of 4"),
        "{stuck}"
    );
    assert!(!with("normal").contains("coil off"), "it found nothing");
}

#[test]
fn a_sign_of_one_job_tells_no_runner_up_apart() {
    let other = |jobs: &[Job]| {
        let named = |job: &Job| Job {
            id: format!("seen-{}", job.id),
            job: format!("seen-{}", job.job),
            ..job.clone()
        };
        jobs.iter().map(named).collect::<Vec<Job>>()
    };
    let with = |n: u64| {
        let own = [
            sample::rail("CANH", "stuck-low"),
            sample::sign("D8", "cracked-part"),
        ];
        let theirs = [
            sample::rail("CANH", "stuck-low"),
            sample::sign("D8", "earlier-work"),
        ];
        let all = [
            jobs("U31", 4, "no-link", &own),
            other(&jobs("C40", n, "no-link", &theirs)),
            jobs("C40", 4, "no-link", &[sample::rail("CANH", "stuck-low")]),
            jobs("U9", 8, "no-link", &[sample::rail("CANH", "in-band")]),
        ];
        card(&all.concat(), "U31").why
    };
    assert!(
        with(2).contains("would have shown: signs of earlier work"),
        "{}",
        with(2)
    );
    assert!(!with(1).contains("signs of earlier work"), "{}", with(1));
}
