//! Claims about stop cards, on invented jobs.

use super::*;
use crate::domain::card::Card;
use crate::domain::generate::coded::ends::WISHES;
use crate::domain::generate::kinds::stop::question::asks;
use crate::domain::generate::kinds::stop::question::time_band;
use crate::domain::generate::kinds::stop::question::worth_band;
use crate::domain::generate::sample;
use crate::domain::job::Action;
use crate::domain::job::Effort;
use crate::domain::job::Finding;
use crate::domain::job::Outcome;
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
        "Tried without effect: reflow U5. More than two hours on the bench so far; the board is worth less \
         than three hours at the bench. Go on, or call it?"
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
fn the_commonest_reason_is_given_and_that_like_jobs_ended_for_others_is_told_to_a_lead() {
    let (dead, costly) = ("processor-or-memory-dead", "value-exceeded");
    let mut jobs = vec![
        unfixed("9", costly, "low"),
        unfixed("8", costly, "low"),
        unfixed("2", dead, "low"),
        unfixed("1", dead, "low"),
    ];
    jobs.extend(fixed(3, "low"));
    let cards = stops(&jobs);
    assert_eq!(cards.len(), 1);
    assert!(warned(&cards[0], "reasons: ") && warned(&cards[0], "divided: 3 of 7 "));
    jobs.insert(0, unfixed("0", dead, "low"));
    let cards = stops(&jobs);
    assert!(
        points(&cards[0]).contains("processor"),
        "the commonest reason, though the latest job ended for another"
    );
    assert!(!warned(&cards[0], "reasons"));
}

/// A lost job with heat at a place, beside the readings of [`unfixed`] but for its test.
fn hot(id: &str, place: &str) -> Job {
    let mut job = unfixed(id, "processor-or-memory-dead", "low");
    job.findings.pop();
    let mut heat = Finding::new(FindingKind::Heat, place);
    heat.got = Some(80.0);
    job.findings.push(heat);
    job
}

fn warned(card: &Card, with: &str) -> bool {
    card.warn.iter().any(|w| w.starts_with(with))
}

#[test]
fn a_reason_is_asked_for_only_where_the_front_shows_what_tells_it() {
    let needed = |place: &str| {
        let jobs: Vec<Job> = (1..=4).map(|n| hot(&n.to_string(), place)).collect();
        let cards = stops(&jobs);
        assert_eq!(cards.len(), 1);
        let shown = cards[0].front.iter().find(|f| f.kind == FindingKind::Heat);
        assert_eq!(
            shown.map(|f| f.place.as_str()),
            Some(place),
            "shown with its place"
        );
        cards[0].points[1].needed
    };
    assert!(needed("main processor"));
    assert!(!needed("L12"), "heat elsewhere tells of no processor");
    for judged in [
        "value-exceeded",
        "part-unobtainable",
        "not-located-in-time-box",
    ] {
        let jobs: Vec<Job> = (1..=4)
            .map(|n| Job {
                no_fix_reason: Some(judged.to_owned()),
                ..hot(&n.to_string(), "main processor")
            })
            .collect();
        let cards = stops(&jobs);
        assert!(!cards[0].points[1].needed, "{judged} is no reading");
        assert_eq!(
            warned(&cards[0], "not shown"),
            judged == "part-unobtainable"
        );
    }
}

#[test]
fn a_repair_that_fits_all_that_is_shown_is_named_unless_a_finding_excludes_it() {
    let lost = || (1..=4).map(|n| hot(&n.to_string(), "U1"));
    let mended = |place: &str| {
        let job = |n: u64| Job {
            actions: sample::job("", "U31", 1).actions,
            outcome: Outcome::Held,
            no_fix_reason: None,
            ..hot(&format!("U31-{n}"), place)
        };
        (1..=3).map(job).collect::<Vec<Job>>()
    };
    let shown = |place: &str| {
        let mut cards = stops(&lost().chain(mended(place)).collect::<Vec<Job>>());
        cards.retain(|card| !says_go_on(card));
        assert_eq!(cards.len(), 1);
        cards.remove(0)
    };
    let apart = shown("U31");
    assert!(!warned(&apart, "not told apart"), "{:?}", apart.warn);
    assert_eq!((apart.share.k, apart.share.n), (4, 4));
    let told = "not told apart: Replace U31, the standby switcher (3 jobs) fits all that is shown";
    let alike = shown("U1");
    assert!(alike.warn.iter().any(|w| w == told), "{:?}", alike.warn);
    assert!(alike.sums.iter().any(|s| s.contains("rule it out")));
    let mut jobs: Vec<Job> = lost().chain(mended("U1")).collect();
    for job in jobs.iter_mut().filter(|job| job.outcome == Outcome::NoFix) {
        job.actions = vec![sample::action("replace", "U31", Role::TriedNoEffect)];
    }
    let tried = &stops(&jobs)[0];
    assert!(
        !warned(tried, "not told apart"),
        "it was tried in vain, and the front says so"
    );
    assert!(
        tried
            .stem
            .starts_with("Tried without effect: replace U31. ")
    );
}

#[test]
fn nothing_is_called_where_half_of_the_jobs_that_fit_were_fixed() {
    let called = |lost: u64, mended: u64, findings: &[Finding]| {
        let dead = "processor-or-memory-dead";
        let mut jobs: Vec<Job> = (1..=lost)
            .map(|n| unfixed(&format!("lost-{n}"), dead, "low"))
            .collect();
        jobs.extend(
            (1..=mended)
                .map(|n| sample::job_with(&format!("L12-{n}"), "L12", n, findings.to_vec())),
        );
        let mut cards = stops(&jobs);
        cards.retain(|card| !says_go_on(card));
        cards.len()
    };
    let alike = [
        sample::rail("VSYS", "in-band"),
        sample::rail("VCORE", "low"),
    ];
    assert_eq!((called(3, 2, &alike), called(2, 2, &alike)), (1, 0));
    // They never recorded the other rail: what is shown excludes them no more.
    let less = [sample::rail("VCORE", "low")];
    assert_eq!((called(3, 2, &less), called(2, 2, &less)), (1, 0));
    assert_eq!(called(2, 7, &less), 0);
    let other = [sample::rail("VCORE", "absent")];
    assert_eq!(called(2, 7, &other), 1, "they showed something else");
}

#[test]
fn nobody_is_sent_to_look_for_a_repair_where_the_work_is_the_hazard() {
    let jobs = |reason: &str| {
        let lost = (1..=4).map(|n| unfixed(&format!("lost-{n}"), reason, "low"));
        lost.chain(fixed(2, "low")).collect::<Vec<Job>>()
    };
    let sent = |built: crate::domain::generate::input::Built| {
        let mut cards = built.cards;
        cards.retain(|card| card.kind == CardKind::Stop);
        assert_eq!(cards.len(), 1);
        assert!(warned(&cards[0], "not told apart"), "a lead is told");
        cards[0].sums.iter().any(|s| s.contains("rule it out"))
    };
    let dead = jobs("processor-or-memory-dead");
    assert!(sent(sample::built(&dead)));
    assert!(sent(sample::built_at_risk(&dead, "lithium")));
    assert!(!sent(sample::built_at_risk(&dead, "mains")));
    assert!(!sent(sample::built_at_risk(&dead, "safety-critical")));
    assert!(!sent(sample::built(&jobs(UNSAFE))));
}

#[test]
fn going_on_without_a_sum_says_so() {
    let card = |minutes: Option<f64>| {
        let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
        jobs.extend(fixed(5, "low"));
        for job in &mut jobs[1..] {
            job.effort = Effort {
                minutes,
                minutes_to_find: minutes.map(|m| m / 2.0),
                value: minutes.map(|_| 300.0),
                parts_cost: minutes.map(|_| 6.0),
            };
        }
        let cards = stops(&jobs);
        assert!(cards.len() == 1 && says_go_on(&cards[0]));
        (warned(&cards[0], "no sum"), cards[0].sums.is_empty())
    };
    assert_eq!(card(None), (true, true));
    assert_eq!(card(Some(60.0)), (false, false));
}

#[test]
fn of_two_fixes_that_ended_as_many_jobs_none_is_named_as_the_one() {
    let card = |others: u64| {
        let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
        jobs.extend(fixed(3, "low"));
        let findings = jobs[1].findings.clone();
        jobs.extend(
            (1..=others)
                .map(|n| sample::job_with(&format!("U5-{n}"), "U5", n + 9, findings.clone())),
        );
        let mut cards = stops(&jobs);
        assert!(cards.len() == 1 && says_go_on(&cards[0]));
        cards.remove(0)
    };
    assert!(points(&card(2)).contains("what fixed it: Replace L12"));
    let tied = card(3);
    assert_eq!(tied.points.len(), 1);
    let told = "6 of 7 jobs like this were fixed, as many by replace L12 as by replace U5; ";
    assert!(tied.why.starts_with(told), "{}", tied.why);
}

#[test]
fn not_located_makes_no_card_where_a_repair_fits_or_nothing_shown_is_wrong() {
    let lost = |core: &str| {
        let jobs = (1..=4).map(|n| unfixed(&n.to_string(), reason::UNLOCATED_IN_TIME, core));
        jobs.collect::<Vec<Job>>()
    };
    let cards = stops(&lost("low"));
    assert_eq!(cards.len(), 1);
    assert!(!cards[0].points[1].needed && !cards[0].sums.is_empty());
    let mut jobs = lost("low");
    jobs.extend(fixed(2, "low"));
    assert!(stops(&jobs).is_empty(), "the coil fits it");
    assert!(stops(&lost("in-band")).is_empty());
}

#[test]
fn a_share_of_few_jobs_is_small_evidence_by_its_interval() {
    let lost = |n: u32| {
        let jobs = (1..=n).map(|n| unfixed(&n.to_string(), "value-exceeded", "low"));
        stops(&jobs.collect::<Vec<Job>>()).remove(0)
    };
    // Wilson 1927: 3 of 3 begins at 0.439, 4 of 4 at 0.510.
    assert!(warned(
        &lost(3),
        "small evidence: 3 of 3, 95 % interval 44 to 100 %"
    ));
    assert!(!warned(&lost(4), "small evidence"));
}

#[test]
fn of_two_cards_of_much_the_same_jobs_the_better_founded_is_kept() {
    let with = |id: &str, other: &str| {
        let mut job = unfixed(id, "value-exceeded", "low");
        job.findings.push(sample::rail(other, "absent"));
        job
    };
    let jobs: Vec<Job> = ["3V3", "3V3", "5V0", "5V0"]
        .iter()
        .enumerate()
        .map(|(at, other)| with(&at.to_string(), other))
        .collect();
    let cards = stops(&jobs);
    assert_eq!(
        cards.len(),
        1,
        "{:?}",
        cards.iter().map(|c| &c.front).collect::<Vec<_>>()
    );
    assert_eq!((cards[0].share.k, cards[0].share.n), (4, 4));
    let mut apart: Vec<Job> = jobs[..2].to_vec();
    apart.extend((5..=6).map(|n| {
        let findings = vec![sample::rail("VIN", "low"), sample::rail("VOUT", "absent")];
        Job {
            findings,
            ..unfixed(&n.to_string(), "value-exceeded", "low")
        }
    }));
    assert_eq!(stops(&apart).len(), 2, "other jobs, another card");
}

#[test]
fn a_swollen_pack_is_named_on_the_front_with_its_caution_and_nobody_goes_on() {
    let swollen = |n: u64, place: &str| {
        let mut job = unfixed(&n.to_string(), UNSAFE, "low");
        job.findings.push(sample::sign(place, "bulged"));
        job
    };
    let jobs: Vec<Job> = (1..=4).map(|n| swollen(n, "battery pack")).collect();
    let card = &stops(&jobs)[0];
    assert!(card.front.iter().any(|f| f.place == "battery pack"));
    assert!(card.cautions.iter().any(|c| c == "lithium"));
    let beside = card
        .points
        .iter()
        .find(|p| p.say.starts_with("a swollen cell: do not puncture"));
    assert!(beside.is_some_and(|p| !p.needed));
    assert!(card.points[1].needed, "the front tells why");
    let jobs: Vec<Job> = (1..=4).map(|n| swollen(n, "C12")).collect();
    let card = &stops(&jobs)[0];
    assert!(
        card.cautions.is_empty() && card.points.len() == 2,
        "a capacitor is no cell"
    );
    let going = |place: &str| {
        let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
        jobs.extend(fixed(5, "low"));
        for job in &mut jobs[1..] {
            job.findings.push(sample::sign(place, "bulged"));
        }
        stops(&jobs).iter().filter(|c| says_go_on(c)).count()
    };
    assert_eq!((going("C12"), going("battery pack")), (1, 0));
}

#[test]
fn going_on_is_taught_only_beside_a_lost_job_that_shares_two_readings_shown() {
    let lost = |sys: &str| {
        let mut job = unfixed("1", "value-exceeded", "low");
        job.findings[0] = sample::rail("VSYS", sys);
        job.findings.push(sample::rail("5V0", "absent"));
        job
    };
    let mut jobs = fixed(5, "low");
    for job in &mut jobs {
        job.findings.push(sample::rail("5V0", "in-band"));
    }
    jobs.push(lost("in-band"));
    let cards = stops(&jobs);
    assert_eq!(cards.len(), 1);
    let end = "1 showed 2 of the 3 readings here and ended without a fix (the repair would cost more than \
               the board is worth): there 5V0 absent, in these 5V0 in band";
    assert_eq!(
        cards[0].why,
        format!("5 of 5 jobs like this were fixed; {end}")
    );
    jobs.pop();
    jobs.push(lost("absent"));
    assert!(
        stops(&jobs).is_empty(),
        "one reading in common is no likeness"
    );
}

#[test]
fn a_lost_job_that_no_reading_tells_apart_is_told_by_what_did_not_help() {
    let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
    jobs[0].findings.pop();
    jobs.extend(fixed(5, "low"));
    let why = |jobs: &[Job]| stops(jobs)[0].why.clone();
    assert!(why(&jobs).ends_with(
        "(the repair would cost more than the board is worth): there reflow U5 did not help"
    ));
    jobs[0].actions.clear();
    assert!(why(&jobs).ends_with("; nothing on record tells it apart"));
}

#[test]
fn a_draw_of_the_same_name_and_another_size_is_no_likeness() {
    let going = |amps: f64| {
        let draw = |amps: f64| {
            let mut draw = Finding::new(FindingKind::Current, "");
            draw.code = Some("stuck".to_owned());
            draw.got = Some(amps);
            draw
        };
        let with = |mut job: Job, amps: f64| {
            job.findings = vec![draw(amps), sample::rail("VCORE", "low")];
            job
        };
        let mut jobs = vec![with(unfixed("1", "value-exceeded", "low"), amps)];
        jobs.extend(fixed(5, "low").into_iter().map(|job| with(job, 0.1)));
        stops(&jobs).len()
    };
    assert_eq!((going(0.15), going(0.007)), (1, 0));
}

#[test]
fn what_was_tried_is_told_in_the_builders_words_and_no_place_in_free_words() {
    let mut jobs: Vec<Job> = (1..=4)
        .map(|n| unfixed(&n.to_string(), "value-exceeded", "low"))
        .collect();
    for job in &mut jobs {
        let clean = sample::action("clean", "under the lid of Mrs Brandt", Role::TriedNoEffect);
        job.actions.push(clean);
    }
    let card = &stops(&jobs)[0];
    assert!(
        card.stem
            .starts_with("Tried without effect: reflow U5; clean. "),
        "{}",
        card.stem
    );
    assert!(asks(&card.stem));
    assert!(!asks(&card.stem.replace("clean.", "clean the lid.")));
    assert!(!asks(&card.stem.replace("U5", "the big one")));
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

#[test]
fn a_board_called_destroyed_or_dead_without_a_sign_of_it_says_so() {
    let called = |reason: &str, finding: Finding| {
        let mut jobs: Vec<Job> = (1..=4)
            .map(|n| unfixed(&n.to_string(), reason, "low"))
            .collect();
        for job in &mut jobs {
            job.findings[2] = finding.clone();
        }
        let cards = stops(&jobs);
        assert_eq!(cards.len(), 1, "{reason}");
        warned(&cards[0], "not shown: nothing seen or measured here tells")
    };
    let film = || sample::sign("field side", "sticky-film");
    let (destroyed, dead) = ("laminate-destroyed", "processor-or-memory-dead");
    assert!(called(destroyed, film()));
    assert!(!called(destroyed, sample::sign("power corner", "burnt")));
    assert!(
        !called(destroyed, sample::test("laminate", "soft")),
        "held back, and told"
    );
    assert!(called(dead, film()));
    assert!(!called(
        dead,
        sample::test("pressure on main processor", "changes")
    ));
    assert!(!called(dead, sample::sign("memory", "dull-joint")));
    assert!(!called("value-exceeded", film()), "no state of the board");
}

#[test]
fn a_board_called_for_the_time_alone_says_what_the_sum_leaves_for_a_new_lead() {
    let left = |value: f64| {
        let mut jobs: Vec<Job> = (1..=4)
            .map(|n| unfixed(&n.to_string(), reason::UNLOCATED_IN_TIME, "low"))
            .collect();
        for job in &mut jobs {
            job.effort.value = Some(value);
        }
        let cards = stops(&jobs);
        assert_eq!(cards.len(), 1);
        warned(&cards[0], "not shown: the time that was set")
    };
    // At 60 an hour: a fifth of six hours, of four hours.
    assert!(left(360.0));
    assert!(!left(240.0));
}

#[test]
fn a_fix_to_go_on_to_that_comes_back_is_named() {
    let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
    jobs.extend(fixed(5, "low"));
    assert!(!warned(&stops(&jobs)[0], "doubtful"));
    let mut back = fixed(2, "in-band");
    for (at, job) in back.iter_mut().enumerate() {
        job.id = format!("back-{at}");
        job.job.clone_from(&job.id);
        job.outcome = Outcome::BouncedSameFault;
    }
    jobs.extend(back);
    let card = &stops(&jobs)[0];
    assert!(says_go_on(card));
    assert!(
        warned(
            card,
            "doubtful: 2 of 7 with replace L12 came back, nobody wrote why"
        ),
        "{:?}",
        card.warn
    );
}

#[test]
fn the_sum_names_the_boards_worth_as_the_question_does_and_says_where_it_counts_closer() {
    for (value, words, closer) in [
        (
            100.0,
            "worth less than three hours at the bench",
            ", more closely one to two",
        ),
        (
            300.0,
            "worth three to eight hours at the bench",
            ", more closely five to eight",
        ),
        (900.0, "worth more than a day at the bench", ""),
    ] {
        let mut jobs: Vec<Job> = (1..=4)
            .map(|n| unfixed(&n.to_string(), "value-exceeded", "low"))
            .collect();
        for job in &mut jobs {
            job.effort.value = Some(value);
        }
        let card = &stops(&jobs)[0];
        assert!(card.stem.contains(words), "{}", card.stem);
        assert_eq!(card.sums[0], format!("Board: {words}{closer}."));
    }
}

#[test]
fn what_ended_a_board_and_stands_on_the_back_alone_is_named_to_a_lead() {
    let on_back = "held back: what tells";
    let destroyed = "laminate-destroyed";
    let jobs = [
        unfixed("1", destroyed, "low"),
        unfixed("2", destroyed, "low"),
    ];
    let cards = stops(&jobs);
    assert_eq!(cards.len(), 1);
    assert!(warned(&cards[0], on_back), "{:?}", cards[0].warn);
    // Nothing on front or back tells of a dead processor: that is another warning.
    let dead = "processor-or-memory-dead";
    let cards = stops(&[unfixed("1", dead, "low"), unfixed("2", dead, "low")]);
    assert!(warned(&cards[0], "not shown") && !warned(&cards[0], on_back));
}
