//! Claims about contrast cards.

use super::*;
use crate::domain::card::Answer;
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

/// Jobs of one fix with these findings.
fn jobs_of(part: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
    (1..=n)
        .map(|at| sample::job_with(&format!("{part}-{at}"), part, at, findings.to_vec()))
        .collect()
}

fn all(jobs: &[Job]) -> Vec<Card> {
    let built = sample::built(jobs);
    let kind = |c: &Card| c.kind == CardKind::Contrast;
    built.cards.into_iter().filter(kind).collect()
}

/// The parts of a card's sides, in order.
fn parts(card: &Card) -> Vec<String> {
    let steps = card.sides.iter().flat_map(|s| &s.answer.steps);
    let mut parts: Vec<String> = steps.map(|s| s.part.clone()).collect();
    parts.sort();
    parts
}

#[test]
fn whatever_separates_is_accepted_and_what_is_nearest_the_cause_comes_first() {
    let of = |part: &str, draw: &str, ohms: f64| {
        let mut current = Finding::new(FindingKind::Current, "");
        current.code = Some(draw.to_owned());
        let ohms = Finding {
            good: Some(500.0),
            ..sample::resistance("VOUT", ohms)
        };
        let alike = [
            sample::rail("3V3_SB", "low"),
            sample::rail("VSYS", "in-band"),
        ];
        let findings = [alike.to_vec(), vec![current, ohms]].concat();
        jobs_of(part, 3, &findings)
    };
    let jobs = [of("U31", "stuck", 495.0), of("C40", "cycling", 0.5)].concat();
    let found = contrasts(&jobs);
    let [card] = found.as_slice() else {
        panic!("one card: {found:?}");
    };
    assert_eq!(card.points[0].say, "VOUT to ground, or draw");
    for side in &card.sides {
        let kinds: Vec<FindingKind> = side.separates.iter().map(|f| f.kind).collect();
        assert_eq!(kinds, [FindingKind::Resistance, FindingKind::Current]);
    }
    let right = |typed: &str| {
        let words = crate::domain::judge::read::words::Synonyms::default();
        let board = sample::board();
        crate::domain::judge::compare::separating::judge_separating(
            typed,
            card,
            Some(&board),
            &words,
        )
        .right
    };
    for typed in [
        "VOUT to ground: short then replace C40, normal then replace U31",
        "the draw: cycling means replace C40, stuck means replace U31",
    ] {
        assert!(right(typed), "{typed}");
    }
    for typed in [
        "the volts at VSYS: replace C40, replace U31",
        "replace C40, replace U31",
    ] {
        assert!(!right(typed), "{typed}");
    }
    let given = all(&jobs)
        .into_iter()
        .find(|c| c.given)
        .expect("the other way");
    assert_eq!(given.stem, STEM_GIVEN);
    assert!(given.sides.iter().all(|side| side.separates.len() == 1));
}

/// U31 and C40 lose `VCORE`, told apart by `VPG` alone; L12 has it low.
fn three(own: u64, third: u64, tells: bool) -> Vec<Job> {
    let of = |part: &str, n: u64, core: &str, pg: Option<&str>| {
        let mut findings = vec![
            sample::rail("3V3_SB", "low"),
            sample::rail("VSYS", "in-band"),
            sample::rail("VCORE", core),
        ];
        findings.extend(pg.filter(|_| tells).map(|pg| sample::rail("VPG", pg)));
        jobs_of(part, n, &findings)
    };
    [
        of("U31", own, "absent", Some("absent")),
        of("C40", third, "absent", Some("low")),
        of("L12", 4, "low", None),
    ]
    .concat()
}

fn doubted(card: &Card) -> bool {
    card.warn.iter().any(|w| w.starts_with("a third fits: "))
}

#[test]
fn a_side_is_told_from_a_third_fix_that_shows_the_same() {
    let found = all(&three(4, 3, true));
    let given: Vec<&Card> = found.iter().filter(|c| c.given).collect();
    assert_eq!(given.len(), 3, "each pair");
    assert!(given.iter().all(|card| !doubted(card)), "{given:#?}");
    let told = given.iter().find(|c| parts(c) == ["L12", "U31"]);
    let told = told.expect("the pair");
    assert_eq!(told.stem, STEM_GIVEN_MORE);
    let of = |part: &str| {
        let side = told.sides.iter().find(|s| s.answer.steps[0].part == part);
        let separates = side.into_iter().flat_map(|side| &side.separates);
        let places: Vec<&str> = separates.map(|f| f.place.as_str()).collect();
        places
    };
    assert_eq!(of("U31"), ["VCORE", "VPG"]);
    assert_eq!(of("L12"), ["VCORE"]);
    // Where it may not be shown, one of the two rules is kept, and says what it leaves out.
    let asked: Vec<&Card> = found.iter().filter(|c| !c.given).collect();
    let pairs: Vec<Vec<String>> = asked.iter().map(|card| parts(card)).collect();
    assert!(pairs.contains(&vec!["L12".to_owned(), "U31".to_owned()]));
    assert!(!pairs.contains(&vec!["C40".to_owned(), "L12".to_owned()]));
    let kept = asked.iter().find(|c| parts(c) == ["L12", "U31"]);
    let warn = &kept.expect("the better founded").warn;
    assert!(
        warn.contains(&"a third fits: replace C40 (3 jobs) shows VCORE absent too".to_owned()),
        "{warn:?}"
    );
}

#[test]
fn two_cards_never_give_one_look_to_two_fixes_and_the_better_founded_stays() {
    let found = all(&three(3, 5, false));
    assert_eq!(found.len(), 2, "both directions of one pair: {found:#?}");
    for card in &found {
        assert_eq!(parts(card), ["C40", "L12"], "U31 has fewer jobs");
        assert!(doubted(card), "{:?}", card.warn);
    }
    let alone: Vec<Job> = three(3, 1, false);
    assert!(
        all(&alone).iter().all(|card| !doubted(card)),
        "one job is no third"
    );
}

#[test]
fn a_small_or_returned_side_is_named_and_a_reading_that_few_took_is_counted_so() {
    let mut jobs = look_alikes("absent", "low");
    jobs.remove(0);
    jobs[4].findings.pop();
    jobs[4].outcome = crate::domain::job::Outcome::BouncedOtherFault;
    jobs[4].bounce_cause = Some(crate::domain::job::BounceCause::Unknown);
    let more = sample::job_with("L12-9", "L12", 9, jobs[3].findings.clone());
    let mut unread = more.clone();
    unread.id = "L12-8".to_owned();
    unread.job.clone_from(&unread.id);
    unread.findings.pop();
    jobs.extend([more, unread]);
    for card in all(&jobs) {
        assert!(
            card.warn
                .contains(&"small evidence: replace U31 rests on 2 jobs".to_owned()),
            "{:?}",
            card.warn
        );
        assert!(
            card.warn.contains(
                &"doubtful: 1 of 5 with replace L12 came back, nobody wrote why".to_owned()
            ),
            "{:?}",
            card.warn
        );
        assert!(
            card.why.contains("VCORE low in 3 of the 3 that read it"),
            "{}",
            card.why
        );
        assert!(card.why.contains("VCORE absent in 2 of 2"), "{}", card.why);
    }
    assert!(!all(&jobs).is_empty());
}

#[test]
fn a_fix_that_also_fails_the_other_sides_way_is_named() {
    // A part that fails short in some jobs is another group, and the same fix all the same.
    let of = |part: &str, n: u64, from: u64, drop: f64| -> Vec<Job> {
        (from..from + n)
            .map(|at| {
                let mut diode = Finding::new(FindingKind::Diode, "SDA");
                (diode.got, diode.good) = (Some(drop), Some(0.5));
                let alike = [
                    sample::rail("3V3_SB", "low"),
                    sample::rail("VSYS", "in-band"),
                ];
                let findings = [alike.to_vec(), vec![diode]].concat();
                sample::job_with(&format!("{part}-{at}"), part, at, findings)
            })
            .collect()
    };
    let plain = [of("U31", 6, 1, 0.3), of("C40", 6, 1, 0.01)].concat();
    let warned = |jobs: &[Job]| -> Vec<String> {
        let cards = all(jobs);
        assert!(!cards.is_empty());
        let warn = cards.into_iter().flat_map(|card| card.warn);
        warn.filter(|w| w.starts_with("both ways")).collect()
    };
    assert!(warned(&plain).is_empty());
    let mixed = [plain, of("U31", 2, 7, 0.01)].concat();
    assert_eq!(
        warned(&mixed),
        ["both ways: replace U31 (2 jobs) shows SDA in diode mode short as well"; 2]
    );
}

/// Two fixes told apart by `RESET_N`, which is well with Y7; the other jobs have `VSYS` in band too.
fn one_side_is_well(clock: &str, part: &str) -> Vec<Job> {
    let signal = |place: &str, word: &str| {
        let mut signal = Finding::new(FindingKind::Signal, place);
        signal.code = Some(word.to_owned());
        signal
    };
    let alike = || {
        vec![
            sample::rail("VSYS", "in-band"),
            sample::rail("VCORE", "in-band"),
        ]
    };
    let held = [alike(), vec![signal("RESET_N", "stuck-low")]].concat();
    let well = vec![signal("RESET_N", "present"), signal(clock, "missing")];
    let well = [alike(), well].concat();
    [jobs_of("U31", 4, &held), jobs_of(part, 4, &well)].concat()
}

fn shown_with(card: &Card, part: &str) -> Vec<String> {
    let mut sides = card.sides.iter();
    let side = sides.find(|s| s.answer.steps[0].part == part);
    let side = side.expect("the side");
    let shown = side.shown(true).into_iter();
    shown.map(|f| f.place).collect()
}

#[test]
fn a_side_on_which_all_is_well_is_shown_what_points_to_it_or_says_that_nothing_does() {
    let given = |jobs: &[Job]| -> Card {
        let mut found = all(jobs);
        found.retain(|card| card.given);
        assert_eq!(found.len(), 1);
        found.remove(0)
    };
    let none = |card: &Card| !card.warn.iter().any(|w| w.starts_with("nothing shown"));
    let told = given(&one_side_is_well("CLK25", "Y7"));
    assert!(shown_with(&told, "Y7").contains(&"CLK25".to_owned()));
    assert!(none(&told), "{:?}", told.warn);
    // Where the finding is asked for, it is told with the answer.
    let asked = contrasts(&one_side_is_well("CLK25", "Y7")).remove(0);
    let sides = asked.sides.iter();
    let with: Vec<&str> = sides
        .flat_map(|s| &s.separates)
        .map(|f| f.place.as_str())
        .collect();
    assert!(with.contains(&"CLK25"), "{with:?}");
    let other = asked.points.iter().find(|p| p.say.contains("U31"));
    let other = other.map(|p| p.say.as_str());
    let alone = "RESET_N stuck low: Replace U31, the standby switcher";
    assert_eq!(other, Some(alone), "nothing of what it never took");
    assert!(
        asked
            .sides
            .iter()
            .all(|s| s.front.iter().all(|f| f.place != "CLK25"))
    );
    let points: Vec<&str> = told.points.iter().map(|p| p.say.as_str()).collect();
    assert!(
        points
            .iter()
            .any(|p| p.contains("CLK25 missing: Replace Y7")),
        "{points:?}"
    );
    // What tells it names its part, and may not stand on the card.
    let held = given(&one_side_is_well("pin of Y7", "Y7"));
    assert!(!none(&held), "{:?}", held.warn);
    // Nothing wrong that its jobs agree on: it is told by what is well, and that is all there is.
    let mut plain = one_side_is_well("CLK25", "Y7");
    for job in &mut plain {
        job.findings.truncate(3);
    }
    assert!(none(&given(&plain)));
}

#[test]
fn what_one_side_alone_took_and_found_wrong_is_accepted_as_what_separates() {
    let mut jobs = look_alikes("absent", "low");
    let asked = |jobs: &[Job]| contrasts(jobs)[0].points[0].say.clone();
    assert_eq!(asked(&jobs), "VCORE");
    for job in &mut jobs[..3] {
        job.findings.push(sample::resistance("CHG_OUT", 0.2));
    }
    assert_eq!(asked(&jobs), "VCORE, or CHG_OUT to ground");
    // A job of another fix shows it as well.
    let mut shared = jobs.clone();
    shared.push(sample::job_with("C9-1", "C9", 9, jobs[0].findings.clone()));
    assert_eq!(asked(&shared), "VCORE");
}

#[test]
fn what_one_side_took_in_another_state_of_what_both_show_separates_nothing() {
    let asked = |place: &str| {
        let mut jobs = look_alikes("absent", "low");
        for job in &mut jobs {
            let mut read = sample::rail("5V", "absent");
            read.state = Some("pressed".to_owned());
            job.findings.push(read);
        }
        for job in &mut jobs[..3] {
            job.findings.push(sample::rail(place, "absent"));
        }
        let cards = contrasts(&jobs);
        let alike = |side: &crate::domain::card::Side| side.front.iter().any(|f| f.place == "5V");
        assert!(cards[0].sides.iter().all(alike));
        (cards[0].points[0].say.clone(), cards[0].why.clone())
    };
    assert_eq!(asked("6V").0, "VCORE, or 6V");
    let (said, why) = asked("5V");
    assert_eq!(said, "VCORE");
    assert!(!why.contains("5V"), "{why}");
}

#[test]
fn one_number_under_two_names_separates_nobody() {
    let made = |other: f64| {
        let mut jobs = look_alikes("absent", "absent");
        for (at, job) in jobs.iter_mut().enumerate() {
            let (code, got) = if at < 3 {
                ("limit", 2.0)
            } else {
                ("high", other)
            };
            let mut draw = Finding::new(FindingKind::Current, "");
            draw.code = Some(code.to_owned());
            draw.got = Some(got);
            job.findings.push(draw);
        }
        contrasts(&jobs).len()
    };
    assert_eq!((made(1.2), made(2.0)), (1, 0));
}

#[test]
fn a_fix_that_shows_all_that_separates_is_open_on_both_cards_of_a_pair() {
    let draw = |word: &str| {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some(word.to_owned());
        draw
    };
    let of = |part: &str, ohms: f64, word: &str| {
        let ohms = Finding {
            good: Some(500.0),
            ..sample::resistance("VOUT", ohms)
        };
        let alike = [
            sample::rail("3V3_SB", "low"),
            sample::rail("VSYS", "in-band"),
        ];
        jobs_of(part, 4, &[alike.to_vec(), vec![ohms, draw(word)]].concat())
    };
    let pair = [of("U31", 495.0, "stuck"), of("C40", 0.5, "cycling")].concat();
    let open = |card: &Card| {
        card.warn
            .iter()
            .any(|w| w.starts_with("open: clean SW1 (5 jobs)"))
    };
    assert!(!all(&pair).is_empty() && !all(&pair).iter().any(open));
    // Two of four readings: half of the card that asks, not of the one that shows the ohms alone.
    let other = [sample::rail("VSYS", "in-band"), draw("stuck")];
    let mut other = jobs_of("SW1", 5, &other);
    for job in &mut other {
        job.actions[0].act = "clean".to_owned();
    }
    let found = all(&[pair, other].concat());
    assert_eq!(found.len(), 2);
    for card in &found {
        assert!(open(card), "{:?}", card.warn);
    }
}
