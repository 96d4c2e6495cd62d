//! What a search finds, on small invented jobs.

use std::collections::BTreeMap;

use proptest::prelude::*;

use crate::domain::card::Card;
use crate::domain::generate::sample;
use crate::domain::generate::sample::rail;
use crate::domain::generate::sample::resistance;
use crate::domain::generate::sample::sign;
use crate::domain::job::BounceCause;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::search::index::Hit;
use crate::domain::search::index::Index;
use crate::domain::search::index::Query;

fn cycling(low: f64, high: f64) -> Finding {
    let mut finding = Finding::new(FindingKind::Current, "");
    finding.code = Some("cycling".to_owned());
    finding.low = Some(low);
    finding.high = Some(high);
    finding
}

fn against(mut finding: Finding, good: f64) -> Finding {
    finding.good = Some(good);
    finding
}

fn jobs() -> Vec<Job> {
    let mut bounced = sample::job_with("W-3", "L12", 3, vec![rail("3V3_SB", "absent")]);
    bounced.outcome = Outcome::BouncedSameFault;
    bounced.bounce_cause = Some(BounceCause::Diagnosis);
    let mut other = sample::job_with("W-5", "U13", 5, vec![rail("5V0_SB", "low")]);
    other.family = Some("buck".to_owned());
    other.board = "skua-e6".to_owned();
    vec![
        sample::job_with(
            "W-1",
            "U31",
            1,
            vec![
                cycling(0.061, 0.118),
                rail("3V3_SB", "low"),
                against(resistance("3V3_SB", 210.0), 1400.0),
                sign("corner of U31", "residue"),
            ],
        ),
        sample::job_with("W-2", "U311", 2, vec![rail("3V0_SB", "low")]),
        bounced,
        sample::job_with(
            "W-4",
            "C88",
            4,
            vec![
                cycling(0.300, 0.900),
                against(resistance("3V3_SB", 1500.0), 1400.0),
            ],
        ),
        other,
    ]
}

fn index() -> Index {
    Index::new(&jobs(), &[sample::board()], &Synonyms::default())
}

fn asking(words: &str) -> Query {
    Query {
        words: words.to_owned(),
        ..Query::default()
    }
}

/// Returns the numbers of the jobs found, best first.
fn found(query: &Query) -> Vec<String> {
    let jobs = jobs();
    let hits = index().find(query, 10);
    hits.iter().map(|h| jobs[h.at].job.clone()).collect()
}

#[track_caller]
fn check(words: &str, expected: &[&str]) {
    assert_eq!(found(&asking(words)), expected, "{words}");
}

#[test]
fn designators_nets_and_values_find_only_themselves() {
    check("U31", &["W-1"]);
    check("u311", &["W-2"]);
    check("U13", &["W-5"]);
    check("3V0_SB", &["W-2"]);
    check("5V0_SB", &["W-5"]);
    check("3V0", &["W-2"]);
    check("U3", &[]);
    check("W-4", &["W-4"]);
}

#[test]
fn findings_are_matched_by_band_and_lead() {
    // The rail is low in W-1 alone; it is named, with another reading, in two more.
    let hits = found(&asking("3V3_SB low"));
    assert_eq!(hits[0], "W-1");
    assert!(hits.contains(&"W-4".to_owned()));
    // 190 Ω and 1.3 kΩ lie in the bands of 210 Ω and 1.5 kΩ against 1.4 kΩ.
    assert_eq!(found(&asking("3V3_SB 190 ohm"))[0], "W-1");
    assert_eq!(found(&asking("3V3_SB 1.3k"))[0], "W-4");
    check("210 ohm", &["W-1"]);
    // The band is the same, the number is another part of it.
    check("25 ohm", &[]);
    check("residue at U31", &["W-1"]);
}

#[test]
fn numbers_that_are_close_go_first() {
    check("draw cycling 61-118 mA", &["W-1", "W-4"]);
    check("draw cycling 310-880 mA", &["W-4", "W-1"]);
    // Without numbers the later job goes first.
    let hits = index().find(&asking("draw cycling"), 10);
    assert_eq!(hits.len(), 2);
    assert!(hits.iter().all(|h| h.why[0] == "draw cycling"));
}

fn volts(place: &str, got: f64) -> Finding {
    let mut finding = Finding::new(FindingKind::Rail, place);
    finding.got = Some(got);
    finding
}

/// Returns the numbers of the jobs found by findings, best first; each job has one finding.
fn found_among(findings: &[Finding], words: &str) -> Vec<usize> {
    let jobs: Vec<Job> = (findings.iter().zip(1..))
        .map(|(finding, n)| sample::job_with(&format!("W-{n}"), "U31", n, vec![finding.clone()]))
        .collect();
    let index = Index::new(&jobs, &[], &Synonyms::default());
    let hits = index.find(&asking(words), 20);
    let by_finding = hits.iter().filter(|hit| !hit.why[0].starts_with("words:"));
    let mut at: Vec<usize> = by_finding.map(|hit| hit.at).collect();
    at.sort_unstable();
    at
}

#[test]
fn a_limit_finds_the_readings_that_keep_it() {
    let findings = [
        volts("3V3_SB", 0.41),
        volts("3V3_SB", 0.99),
        volts("3V3_SB", 1.0),
        volts("3V3_SB", 3.31),
        volts("5V0", 0.41),
        // An absent rail of 3.3 V has less than 0.165 V: common practice, no source.
        rail("3V3_SB", "absent"),
        rail("3V3_SB", "low"),
        resistance("3V3_SB", 0.4),
        cycling(0.061, 0.118),
    ];
    for (words, expected) in [
        ("3V3_SB under 1 V", vec![0, 1, 5]),
        ("3V3_SB below 0.1 V", vec![]),
        ("3V3_SB over 1 V", vec![3]),
        ("3V3_SB between 0.9 and 1.1 V", vec![1, 2]),
        ("under 0.5 V", vec![0, 4, 5]),
        ("3V3_SB under 1 ohm", vec![7]),
        ("draw under 150 mA", vec![8]),
        ("draw over 100 mA", vec![]),
        ("9V9 under 1 V", vec![]),
    ] {
        assert_eq!(found_among(&findings, words), expected, "{words}");
    }
}

#[test]
fn what_is_denied_finds_no_job_and_takes_out_those_that_have_it() {
    let with = found(&asking("draw cycling"));
    assert_eq!(with, ["W-4", "W-1"]);
    let hits = index().find(&asking("draw cycling, no residue"), 10);
    assert_eq!(hits.len(), 1, "W-1 has residue");
    assert_eq!(hits[0].why, ["draw cycling", "no residue: none recorded"]);
    // Nothing but a denial lists what is left, the latest first.
    assert_eq!(found(&asking("no residue")), ["W-5", "W-4", "W-3", "W-2"]);
    assert_eq!(found(&asking("no residue at L12")).len(), 5);
}

#[test]
fn an_archive_finds_its_jobs_by_the_name_of_their_board() {
    let jobs = jobs();
    let none = Synonyms::default();
    let mut board = sample::board();
    board.name = "Petrel P4 helm regulator".to_owned();
    let boards = [board];
    let archive = Index::with_notes(&jobs, &[], &boards, &none);
    let petrel = archive.find(&asking("petrel"), 10);
    assert_eq!(petrel.len(), 4);
    assert!(petrel.iter().all(|hit| jobs[hit.at].board == "petrel-p4"));
    assert_eq!(archive.find(&asking("skua-e6"), 10).len(), 1, "by its id");
    let brief = Index::new(&jobs, &boards, &none);
    let parts = |index: &Index| {
        let hits = index.find(&asking("regulator"), 10);
        hits.iter().map(|hit| hit.at).collect::<Vec<_>>()
    };
    assert_eq!(parts(&archive), parts(&brief), "by what parts do alone");
    assert_eq!(brief.find(&asking("petrel"), 10), []);
}

#[test]
fn words_of_function_find_the_part() {
    // The sample board calls U31 its standby switcher; "regulator" is the general word for one.
    assert_eq!(found(&asking("standby switcher"))[0], "W-1");
    let hits = index().find(&asking("swapped the reg"), 10);
    let switcher = hits.iter().find(|h| h.at == 0);
    assert_eq!(
        switcher.map(|h| h.why.join(" ")).as_deref(),
        Some("words: replace, switcher")
    );
    check("came back, diagnosis", &["W-3"]);
}

#[test]
fn a_complaint_is_found_by_the_words_that_screens_show() {
    let job = |id: &str, complaint: &str| {
        let mut job = sample::job_with(id, "C88", 1, vec![rail("3V3_SB", "low")]);
        job.complaint = vec![complaint.to_owned()];
        job
    };
    let jobs = [
        job("W-1", "no-charge"),
        job("W-2", "no-start"),
        job("W-3", "no-power"),
    ];
    let index = Index::new(&jobs, &[], &Synonyms::with_shop(&BTreeMap::new()));
    for (typed, at) in [("does not charge", 0), ("does not start", 1)] {
        let hits = index.find(&asking(typed), 5);
        assert_eq!(hits[0].at, at, "{typed}");
        assert!(hits.iter().all(|h| h.at != 2), "{typed}");
    }
}

#[test]
fn a_shops_own_word_is_understood() {
    let shop = BTreeMap::from([("housekeeper".to_owned(), "standby switcher".to_owned())]);
    let words = Synonyms::with_shop(&shop);
    let index = Index::new(&jobs(), &[sample::board()], &words);
    assert_eq!(index.find(&asking("housekeeper"), 1)[0].at, 0);
}

#[test]
fn every_hit_says_what_matched() {
    let hits = index().find(&asking("3V3_SB low, replace U31"), 1);
    assert_eq!(hits[0].why, ["3V3_SB low", "words: replace, U31"]);
}

#[test]
fn filters_alone_list_the_latest_first() {
    let board = Query {
        board: Some("petrel-p4".to_owned()),
        ..Query::default()
    };
    assert_eq!(found(&board), ["W-4", "W-3", "W-2", "W-1"]);
    let bounced = Query {
        outcome: Some(Outcome::BouncedSameFault),
        ..Query::default()
    };
    assert_eq!(found(&bounced), ["W-3"]);
    let family = Query {
        family: Some("buck".to_owned()),
        ..Query::default()
    };
    assert_eq!(found(&family), ["W-5"]);
    let kinds = Query {
        kinds: vec![FindingKind::Current, FindingKind::Rail],
        ..Query::default()
    };
    assert_eq!(found(&kinds), ["W-1"]);
    assert_eq!(index().find(&board, 2).len(), 2);
    assert_eq!(index().find(&board, 0), []);
}

#[test]
fn what_was_measured_after_the_repair_is_no_finding_of_the_fault() {
    let mut after = rail("5V0", "low");
    after.when = crate::domain::job::When::AfterAction;
    let job = sample::job_with("W-9", "U31", 1, vec![sign("U31", "residue"), after]);
    let index = Index::new(&[job], &[], &Synonyms::default());
    assert_eq!(index.find(&asking("5V0 low"), 5), []);
    assert!(!index.find(&asking("residue"), 5).is_empty());
}

#[test]
fn a_note_is_found_only_where_it_was_given() {
    let jobs = jobs();
    let mut notes = vec![String::new(); jobs.len()];
    notes[1] = "rang the boatyard twice".to_owned();
    let none = Synonyms::default();
    let index = Index::with_notes(&jobs, &notes, &[], &none);
    assert_eq!(index.find(&asking("boatyard"), 5)[0].at, 1);
    assert!(
        Index::new(&jobs, &[], &none)
            .find(&asking("boatyard"), 5)
            .is_empty()
    );
}

#[test]
fn cards_are_found_by_what_stands_on_them() {
    let built = sample::built(&[
        sample::job("W-1", "U31", 1),
        sample::job("W-2", "U31", 2),
        sample::job_with("W-3", "L12", 3, vec![rail("VSYS", "low")]),
    ]);
    let cards: Vec<&Card> = built.cards.iter().collect();
    let index = Index::of_cards(&cards, &[sample::board()], &Synonyms::default());
    let first = |words: &str| {
        let hits = index.find(&asking(words), 5);
        let part = |hit: &Hit| cards[hit.at].answers[0].steps[0].part.clone();
        hits.first().map(part)
    };
    assert_eq!(first("3V3_SB low").as_deref(), Some("U31"));
    assert_eq!(first("VSYS low").as_deref(), Some("L12"));
    assert_eq!(first("coil").as_deref(), Some("L12"));
    assert_eq!(first("U13"), None);
}

proptest! {
    /// Laws: the same query gives the same hits; a smaller limit gives the beginning of the longer
    /// list; a filter takes hits out and moves none; scores never rise down the list.
    #[test]
    fn the_order_is_fixed(
        words in prop::sample::subsequence(
            vec!["U31", "3V3_SB", "low,", "draw", "cycling", "replace", "210 ohm", "standby"],
            0..8,
        ),
        limit in 0usize..6,
    ) {
        let index = index();
        let query = asking(&words.join(" "));
        let all = index.find(&query, 10);
        prop_assert_eq!(&all, &index.find(&query, 10));
        let few = index.find(&query, limit);
        prop_assert_eq!(&few[..], &all[..limit.min(all.len())]);
        prop_assert!(all.windows(2).all(|w| w[0].score >= w[1].score));
        let jobs = jobs();
        let of_board = Query { board: Some("petrel-p4".to_owned()), ..query };
        let kept: Vec<Hit> =
            all.iter().filter(|h| jobs[h.at].board == "petrel-p4").cloned().collect();
        prop_assert_eq!(index.find(&of_board, 10), kept);
    }

    /// Whatever is typed is only looked up.
    #[test]
    fn any_text_may_be_asked(text in "\\PC{0,40}") {
        let hits = index().find(&asking(&text), 3);
        prop_assert!(hits.iter().all(|h| h.score.is_finite()));
    }
}
