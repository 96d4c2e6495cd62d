//! The examples and laws of `build.rs`.

use super::*;
use crate::domain::card::Support;
use crate::domain::circuit::Circuits;
use crate::domain::generate::coded::circuits;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::sample;
use crate::domain::generate::sample::built;
use crate::domain::generate::sample::built_with;
use crate::domain::ids;
use crate::domain::job::BounceCause;
use crate::domain::job::Confidence;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Outcome;
use crate::domain::job::Role;

fn card<'a>(built: &'a Built, part: &str) -> &'a Card {
    let own = |c: &&Card| c.answers[0].steps[0].part == part;
    built.cards.iter().find(own).expect("a card for the part")
}

/// `n` jobs replacing `part`, all showing the standby rail at `verdict`.
fn jobs(part: &str, n: u64, verdict: &str) -> Vec<Job> {
    let job = |at: u64| {
        let findings = vec![sample::rail("3V3_SB", verdict)];
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    (1..=n).map(job).collect()
}

#[test]
fn a_card_carries_its_evidence() {
    let mut all = jobs("U31", 7, "low");
    all.extend(jobs("L12", 2, "low"));
    all.extend(jobs("C40", 6, "in-band"));
    all[6].rev = Some("C".to_owned());
    all[6].contributing = vec!["interconnect".to_owned()];
    all[6].proof = Some("3V3_SB back at 3.31 V".to_owned());
    for job in &mut all[..2] {
        job.actions
            .push(sample::action("reflow", "L12", Role::TriedNoEffect));
    }
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!((card.share.k, card.share.n, card.share.proved), (7, 9, 7));
    // Wilson limits of 7/9 to three places, from the formula.
    assert!((card.share.low - 0.453).abs() < 5e-4);
    assert!((card.share.high - 0.937).abs() < 5e-4);
    assert_eq!(card.support, Support::Supported);
    assert_eq!(card.others.len(), 1);
    assert_eq!(card.others[0].k, 2);
    assert_eq!(
        card.answers.len(),
        1,
        "two jobs do not make it right as well"
    );
    assert_eq!(card.revs, ["B", "C"]);
    assert_eq!(card.contributing, ["interconnect"]);
    assert_eq!(card.jobs[0], "U31-7");
    assert_eq!(card.jobs.len(), 7);
    assert_eq!(card.last, Some(all[6].closed_on));
    assert_eq!(card.family, "standby");
    assert_eq!(card.front, [sample::rail("3V3_SB", "low")]);
    assert_eq!(card.deciding, [0]);
    assert_eq!(
        card.answers[0].steps[0].name.as_deref(),
        Some("standby switcher")
    );
    assert_eq!(
        card.why,
        "3V3_SB low: 7 of 7 with this fix, 2 of 8 without; runner-up replace L12 shows much the \
         same: 3V3_SB low in 2 of 2; tried in vain: reflow L12 (2 of 7 jobs); proof: 3V3_SB back at \
         3.31 V (1 of 7 jobs)"
    );
    assert_eq!(
        card.id,
        ids::long_mark(["fix", "petrel-p4", "replace U31", "other"])
    );
}

#[test]
fn another_fix_is_right_from_a_fifth_and_three_jobs() {
    for (mine, theirs, right) in [(4, 2, false), (12, 3, true), (13, 3, false), (3, 3, true)] {
        let mut all = jobs("U31", mine, "low");
        all.extend(jobs("L12", theirs, "low"));
        let built = built(&all);
        let card = card(&built, "U31");
        assert_eq!(card.answers.len() == 2, right, "{mine} against {theirs}");
        assert_eq!(card.answers[0].steps[0].part, "U31", "its own stands first");
    }
}

#[test]
fn a_fix_that_hardly_a_job_like_it_ended_in_has_no_card_and_the_reason_is_said() {
    for (mine, theirs, asked) in [(1, 4, true), (1, 5, false), (3, 12, true), (3, 13, false)] {
        let mut all = jobs("U31", mine, "low");
        all.extend(jobs("L12", theirs, "low"));
        let built = built(&all);
        let own = |c: &Card| c.answers[0].steps[0].part == "U31";
        assert_eq!(built.cards.iter().any(own), asked, "{mine} of {theirs}");
    }
    let mut all = jobs("U31", 1, "low");
    all.extend(jobs("L12", 5, "low"));
    assert_eq!(
        built(&all).skipped[0].why,
        "only 1 of 6 jobs like it ended in this fix; replace L12 in 5"
    );
}

#[test]
fn words_of_a_test_that_one_job_alone_has_do_not_stand_for_all_its_jobs() {
    let job = |part: &str, at: u64| {
        let (level, words) = match part {
            "U31" => ("low", format!("0.{at}2 kWh in an hour")),
            _ => ("in-band", "1.00 kWh in an hour".to_owned()),
        };
        let findings = vec![sample::rail("VSYS", level), sample::test("energy", &words)];
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    let mut all: Vec<Job> = (1..=6).map(|at| job("U31", at)).collect();
    all.extend((1..=2).map(|at| sample::job(&format!("bare-{at}"), "U31", at)));
    all.extend((1..=6).map(|at| job("L12", at)));
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!(card.front, [sample::rail("VSYS", "low")]);
    assert_eq!((card.share.k, card.share.n), (6, 6));
}

#[test]
fn where_nothing_tells_a_fix_from_the_others_its_own_wrong_readings_are_shown() {
    let job = |part: &str, at: u64, findings: Vec<Finding>| {
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    let draw = || sample::test("key", "dead");
    let own = |at: u64| job("U31", at, vec![draw(), sample::rail("3V3_SB", "absent")]);
    let mut all: Vec<Job> = (1..=5).map(own).collect();
    all.extend((1..=5).map(|at| job("L12", at, vec![draw()])));
    let built = built(&all);
    let card = card(&built, "U31");
    assert!(
        card.front.contains(&sample::rail("3V3_SB", "absent")),
        "{:?}",
        card.front
    );
    assert_eq!((card.share.k, card.share.n), (5, 5));
    assert!(
        card.why
            .starts_with("3V3_SB absent: 5 of 5 with this fix, read in no other job"),
        "{}",
        card.why
    );
}

#[test]
fn what_a_proved_job_shows_makes_a_card_where_the_best_pattern_is_in_none() {
    let job = |part: &str, at: u64, level: &str| {
        let findings = vec![sample::rail("VSYS", level)];
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    let mut all: Vec<Job> = (1..=3).map(|at| job("U31", at, "low")).collect();
    for unproved in &mut all {
        unproved.confidence = Some(Confidence::Likely);
    }
    all.push(sample::job_with(
        "U31-9",
        "U31",
        9,
        vec![sample::rail("VBUS", "low")],
    ));
    all.extend((1..=3).map(|at| job("L12", at, "in-band")));
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!(card.front, [sample::rail("VBUS", "low")]);
    assert_eq!(card.share.proved, 1);
}

#[test]
fn another_right_answer_is_held_back_too() {
    let job = |part: &str, at: u64, ohms: f64| {
        let findings = vec![sample::resistance("L12", ohms)];
        sample::job_with(&format!("{part}-{at}"), part, at, findings)
    };
    let mut all: Vec<Job> = (1..=4).map(|at| job("U31", at, 0.2)).collect();
    all.extend((1..=4).map(|at| job("C40", at, 50.0)));
    let place = |all: &[Job]| card(&built(all), "U31").front[0].place.clone();
    assert_eq!(place(&all), "L12", "the reading that tells them apart");
    all.extend((1..=4).map(|at| job("L12", at, 0.2)));
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!(card.answers.len(), 2);
    assert_eq!(card.front[0].place, "");
    assert_eq!(card.held_back[0].place, "L12");
}

#[test]
fn no_card_without_proof_and_the_reason_is_said() {
    let mut all = jobs("U31", 3, "low");
    for job in &mut all {
        job.confidence = Some(Confidence::Likely);
    }
    let built = built(&all);
    assert!(built.cards.is_empty());
    assert_eq!(built.skipped[0].what, "petrel-p4: replace U31 (other)");
    assert_eq!(built.skipped[0].why, "nobody proved it in any job");
}

#[test]
fn the_shown_job_is_one_whose_like_was_proved() {
    let mut all = jobs("U31", 4, "low");
    for job in &mut all {
        job.confidence = Some(Confidence::Likely);
    }
    let mut proved = jobs("U31", 1, "absent");
    proved[0].id = "P".to_owned();
    proved[0].job = "P".to_owned();
    all.extend(proved);
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!(card.share.proved, 1);
    assert_eq!(card.front, [sample::rail("3V3_SB", "absent")]);
}

#[test]
fn contradictory_jobs_speak_for_nothing() {
    let all = jobs("U31", 2, "low");
    let both = built_with(&all, &["U31-1", "U31-2"], &|_, _| false);
    assert!(both.cards.is_empty());
    assert!(both.skipped[0].why.contains("contradict"));
    let one = built_with(&all, &["U31-1"], &|_, _| false);
    assert_eq!(one.cards[0].share.n, 1);
    assert_eq!(one.cards[0].jobs, ["U31-2"]);
    assert_eq!(one.cards[0].support, Support::Single);
}

#[test]
fn an_unsafe_act_is_never_an_answer() {
    let mut all = jobs("U31", 3, "low");
    let mut fuse = jobs("F1", 3, "low");
    for job in &mut fuse {
        job.actions = vec![sample::action("bridge-or-jumper", "F1", Role::TheFix)];
    }
    all.extend(fuse);
    let bridges = |fix: &Fix, _: &Job| fix.pairs()[0].0 == "bridge-or-jumper";
    let built = built_with(&all, &[], &bridges);
    assert_eq!(built.cards.len(), 1);
    let card = card(&built, "U31");
    assert_eq!(card.answers.len(), 1);
    assert!(card.others.is_empty());
    assert_eq!((card.share.k, card.share.n), (3, 6), "its jobs still count");
    assert!(card.warn.iter().any(|w| w.starts_with("unsafe: 3 jobs")));
    assert!(built.skipped[0].why.contains("unsafe"));
}

#[test]
fn returns_are_counted_and_only_a_wrong_diagnosis_leaves_the_share() {
    let mut all = jobs("U31", 5, "low");
    all[0].outcome = Outcome::BouncedSameFault;
    all[0].bounce_cause = Some(BounceCause::Diagnosis);
    all[1].outcome = Outcome::BouncedSameFault;
    all[1].bounce_cause = Some(BounceCause::Workmanship);
    all[2].outcome = Outcome::BouncedSameFault;
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!(card.bounced, 3);
    assert_eq!((card.share.k, card.share.n), (3, 3));
    let begins = |text: &str| card.warn.iter().any(|w| w.starts_with(text));
    assert!(begins("bounced: 3 of 5") && begins("doubtful: 1 job"));
}

/// `n` jobs of `jobs` came back for a wrong diagnosis.
fn wrongly_diagnosed(jobs: &mut [Job], n: usize) {
    for job in &mut jobs[..n] {
        job.outcome = Outcome::BouncedSameFault;
        job.bounce_cause = Some(BounceCause::Diagnosis);
    }
}

#[test]
fn a_fix_wrong_in_more_jobs_than_speak_for_it_has_no_card_and_the_reason_is_said() {
    for (wrong, right, asked) in [(2, 2, true), (3, 2, false), (3, 3, true), (2, 1, false)] {
        let mut all = jobs("U31", wrong + right, "low");
        wrongly_diagnosed(&mut all, usize::try_from(wrong).unwrap());
        let built = built(&all);
        let made = built.cards.iter().any(|c| c.kind == CardKind::Fix);
        assert_eq!(made, asked, "{wrong} wrong, {right} right");
        assert_eq!(built.skipped.is_empty(), asked);
    }
    let mut all = jobs("U31", 7, "low");
    wrongly_diagnosed(&mut all, 5);
    let built = built(&all);
    assert!(built.cards.is_empty(), "of no kind: {:?}", built.cards);
    assert_eq!(
        built.skipped[0].why,
        "came back for a wrong diagnosis in 5 jobs, 2 speak for it: U31-5, U31-4, U31-3 and 2 more"
    );
}

#[test]
fn jobs_that_came_back_for_another_cause_refute_nothing() {
    let mut all = jobs("U31", 5, "low");
    wrongly_diagnosed(&mut all, 4);
    for job in &mut all[..4] {
        job.bounce_cause = Some(BounceCause::Workmanship);
    }
    assert_eq!(card(&built(&all), "U31").bounced, 4);
}

#[test]
fn another_fix_that_was_wrong_in_more_jobs_than_speak_for_it_is_not_right_as_well() {
    for (wrong, right) in [(3, true), (4, false)] {
        let mut all = jobs("U31", 3 + wrong, "low");
        wrongly_diagnosed(&mut all, usize::try_from(wrong).unwrap());
        all.extend(jobs("L12", 4, "low"));
        let built = built(&all);
        let card = card(&built, "L12");
        assert_eq!(card.answers.len() == 2, right, "{wrong} wrong, 3 right");
        assert_eq!((card.share.k, card.share.n), (4, 7), "its jobs still count");
    }
}

#[test]
fn another_fix_is_right_where_it_mended_what_is_complained_of_and_not_what_befell_the_board() {
    let answers = |own: &[&str], theirs: &[&str]| {
        let words = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect();
        let (mut mine, mut other) = (jobs("U31", 4, "low"), jobs("L12", 4, "low"));
        for job in &mut mine {
            job.complaint = words(own);
        }
        for job in &mut other {
            job.complaint = words(theirs);
        }
        mine.extend(other);
        card(&built(&mine), "U31").answers.len()
    };
    let wet = "liquid-entry";
    assert_eq!(answers(&["intermittent", wet], &["intermittent"]), 2);
    assert_eq!(answers(&["intermittent", wet], &["no-power", wet]), 1);
    assert_eq!(answers(&["intermittent", wet], &[wet]), 1);
    assert_eq!(answers(&[wet], &["no-power", wet]), 2, "it says no more");
}

/// Machine tests of a bad card: common practice, no source.
#[test]
fn doubtful_cards_say_so() {
    let mut all = jobs("U31", 3, "low");
    all.extend(jobs("L12", 4, "low"));
    all[0].family = Some("buck".to_owned());
    let built = built(&all);
    let card = card(&built, "U31");
    assert_eq!(card.support, Support::Thin);
    let begins = |text: &str| card.warn.iter().any(|w| w.starts_with(text));
    assert!(begins("ambiguous: 2 of the fixes"));
    assert!(begins("outnumbered: replace L12 holds 4 of the 7"));
    assert!(begins("small evidence: 3 of 7"));
    assert!(begins("circuit disputed: buck 1, standby 2"));
}

#[test]
fn a_card_names_only_revisions_that_the_board_has() {
    let mut all = jobs("U31", 4, "low");
    for (job, rev) in all.iter_mut().zip(["B", "C", "unknown", " C"]) {
        job.rev = Some(rev.to_owned());
    }
    let revs = |revisions: &[&str]| {
        let board = Board {
            revisions: revisions.iter().map(|r| (*r).to_owned()).collect(),
            ..sample::board()
        };
        let contradictory = BTreeSet::new();
        let built = build(&BuildInput {
            lineage: &Lineage::default(),
            jobs: &all,
            boards: &[board],
            circuits: &Circuits::with_shop(&[], false),
            as_of: sample::day_one(),
            warranty_days: 90,
            rate_per_hour: Some(60.0),
            minutes: &std::collections::BTreeMap::new(),
            contradictory: &contradictory,
            unsafe_fix: &|_, _| false,
            cautions: &|_| Vec::new(),
        });
        card(&built, "U31").revs.clone()
    };
    assert_eq!(revs(&["A", "B", "C"]), ["B", "C"]);
    assert_eq!(revs(&[]), [" C", "B", "C", "unknown"]);
}

#[test]
fn a_part_that_is_not_on_the_revision_is_reported() {
    let all = jobs("U31", 3, "low");
    let mut board = sample::board();
    board.parts.get_mut("U31").unwrap().revs = vec!["A".to_owned()];
    let contradictory = BTreeSet::new();
    let built = build(&BuildInput {
        lineage: &Lineage::default(),
        jobs: &all,
        boards: &[board],
        circuits: &Circuits::with_shop(&[], false),
        as_of: sample::day_one(),
        warranty_days: 90,
        rate_per_hour: Some(60.0),
        minutes: &std::collections::BTreeMap::new(),
        contradictory: &contradictory,
        unsafe_fix: &|_, _| false,
        cautions: &|h: &Hazards<'_>| vec![h.family.to_owned(), h.acts.join(",")],
    });
    let warn = &built.cards[0].warn;
    assert!(warn.contains(&"revision: U31 is not on revision B, but U31-1 says so".to_owned()));
    assert!(warn.contains(&"stale: revision C has no U31".to_owned()));
    assert_eq!(built.cards[0].cautions, ["standby", "replace"]);
}

#[test]
fn places_of_signs_and_heat_wait_for_the_answer() {
    let mut all = jobs("U31", 3, "low");
    for job in &mut all {
        let mut hot = Finding::new(FindingKind::Heat, "L12");
        hot.got = Some(81.0);
        hot.code = Some("hottest part L12".to_owned());
        let mut residue = sample::sign("J7", "residue");
        residue.raw = Some("green by J7".to_owned());
        job.findings = vec![hot, residue];
        job.findings
            .push(sample::test("reading with a meter", "as usual"));
    }
    all.extend(jobs("C40", 3, "low"));
    let built = built(&all);
    let card = card(&built, "U31");
    assert!(!card.front.is_empty());
    for finding in &card.front {
        let looks = matches!(finding.kind, FindingKind::Heat | FindingKind::Visual);
        assert!(!looks || finding.place.is_empty());
        assert!(finding.kind != FindingKind::Heat || finding.code.is_none());
    }
    let places: Vec<&str> = card.held_back.iter().map(|f| f.place.as_str()).collect();
    assert_eq!(places, ["L12", "J7"]);
    assert!(card.held_back.iter().all(|f| f.raw.is_none()));
}

#[test]
fn a_job_with_nothing_to_show_gets_no_card() {
    let findings = vec![sample::test("U31 pressed", "starts")];
    let all = [sample::job_with("1", "U31", 1, findings)];
    let built = built(&all);
    assert!(built.cards.is_empty());
    assert_eq!(
        built.skipped[0].why,
        "nothing read before the repair may be shown"
    );
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let mut all = Vec::new();
    for board in ["petrel-p4", "skua-e6", "tern-h3", "dunlin-s20"] {
        for part in ["U31", "L12", "C40"] {
            for mut job in jobs(part, 4, "low") {
                job.id = format!("{board}-{}", job.id);
                job.job = format!("{board}-{}", job.job);
                job.board = board.to_owned();
                all.push(job);
            }
        }
    }
    let on = |threads| {
        build_on(
            &BuildInput {
                jobs: &all,
                boards: &[sample::board()],
                circuits: &Circuits::with_shop(&[], false),
                as_of: sample::day_one(),
                warranty_days: 90,
                rate_per_hour: Some(60.0),
                minutes: &BTreeMap::new(),
                contradictory: &BTreeSet::new(),
                unsafe_fix: &|_, _| false,
                cautions: &|_| Vec::new(),
                lineage: &Lineage::default(),
            },
            threads,
            &|_| {},
        )
    };
    let one = on(1);
    let boards: BTreeSet<&str> = one.cards.iter().map(|c| c.board.as_str()).collect();
    assert!(boards.len() >= 4, "{boards:?}");
    for threads in [2, 3, 9] {
        assert_eq!(on(threads), one);
    }
}

#[test]
fn the_circuit_that_the_boards_list_gives_the_part_is_right_as_well() {
    let of = |family: &str| {
        let mut job = sample::job("1", "U5", 1);
        job.family = Some(family.to_owned());
        let cards = sample::built(&[job]).cards;
        let card = cards.into_iter().find(|c| c.kind == CardKind::Fix);
        let card = card.expect("a fix card");
        (card.family, card.contributing)
    };
    let core = || "core".to_owned();
    assert_eq!(of("buck"), ("buck".to_owned(), vec![core()]));
    assert_eq!(of("core"), (core(), Vec::new()));
}

#[test]
fn a_circuit_of_most_parts_or_none_of_the_shops_says_nothing() {
    let mut board = sample::board();
    let circuits = Circuits::with_shop(&[], false);
    let fix = Fix::new(vec![("replace".to_owned(), "U5".to_owned())]);
    let listed = |board: &Board| circuits::listed(&circuits, Some(board), &[&fix]).len();
    assert_eq!(listed(&board), 1);
    for part in ["C1", "C2", "C3"] {
        let own = board.parts["U5"].clone();
        board.parts.insert(part.to_owned(), own);
    }
    assert_eq!(listed(&board), 0, "four of six parts");
    let mut other = sample::board();
    let part = other.parts.get_mut("U5").expect("a part of the sample");
    part.family = Some("various".to_owned());
    assert_eq!(listed(&other), 0);
}
