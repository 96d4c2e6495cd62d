//! `plan` and `plan --ready-by`, on the practice shop and on small ones, through the real binary.

use std::process::Output;

use serde_json::Value;

use crate::common::Bench;
use crate::common::text;

/// Runs `plan` and returns its one line of JSON.
fn json(bench: &Bench, args: &[&str]) -> Value {
    let run = bench.run(&[&["plan", "--json"], args].concat());
    assert!(run.status.success(), "{}", text(&run.stderr));
    serde_json::from_str(text(&run.stdout).trim()).expect("one JSON line")
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is a number"))
}

/// Returns the practice shop with one person who has answered nothing.
fn newcomer() -> Bench {
    let bench = Bench::practice();
    let added = bench.run(&["people", "add", "ZZ"]);
    assert!(added.status.success(), "{}", text(&added.stderr));
    bench
}

/// Holds that a run was refused as wrong usage, with these words on standard error.
#[track_caller]
fn refused(run: &Output, words: &[&str]) {
    let said = text(&run.stderr);
    assert_eq!(run.status.code(), Some(2), "{said}");
    for word in words {
        assert!(said.contains(word), "{word}: {said}");
    }
}

const SHORT: [&str; 4] = ["--person", "zz", "--days", "14"];

#[test]
fn a_newcomer_plans_on_what_is_usual_and_is_told_so() {
    let bench = newcomer();
    let run = bench.run(&[&["plan"][..], &SHORT].concat());
    assert!(run.status.success(), "{}", text(&run.stderr));
    let lines = text(&run.stdout);
    for words in [
        "Plan: ZZ, 14 days at 15 minutes",
        "you would know 0 today",
        "no answers yet: published memory parameters",
        "10 min",
        "20 min",
        "the target only levels the days",
        "not a measurement",
    ] {
        assert!(lines.contains(words), "{words}: {lines}");
    }
    assert!(lines.contains('░') && lines.contains('●'), "{lines}");
}

#[test]
fn more_minutes_buy_more_and_the_same_seed_says_the_same() {
    let bench = newcomer();
    let found = json(&bench, &SHORT);
    assert_eq!(found, json(&bench, &SHORT));
    assert_eq!(
        (&found["v"], &found["met"], &found["answers"]),
        (&1.into(), &0.into(), &0.into())
    );
    let budgets = found["budgets"].as_array().expect("three budgets");
    let mid: Vec<f64> = budgets.iter().map(|b| number(&b["ready"]["mid"])).collect();
    assert!(
        mid.len() == 3 && mid[0] < mid[1] && mid[1] < mid[2],
        "{mid:?}"
    );
    let ready = found["ready"].as_array().expect("mornings");
    assert_eq!(
        (&ready[0]["day"], &ready[14]["day"]),
        (&0.into(), &14.into())
    );
    assert!(number(&ready[0]["mid"]).abs() < 1e-12 && 0.05 < number(&ready[14]["mid"]));
    assert_eq!(found["recovery"], Value::Null);
}

#[test]
fn no_minutes_ask_nothing_and_what_is_known_fades() {
    let bench = Bench::shipped();
    let args = ["--person", "sv", "--days", "14", "--minutes", "0"];
    let found = json(&bench, &args);
    let ready = found["ready"].as_array().expect("mornings");
    let last = &ready[ready.len() - 1];
    assert!(number(&last["high"]) < number(&ready[0]["low"]));
    assert!((number(&last["mid"]) - number(&found["undrilled"])).abs() < 1e-9);
    let run = bench.run(&[&["plan"][..], &args].concat());
    assert!(text(&run.stdout).contains("nothing is asked, and what is known fades"));
}

#[test]
fn after_an_absence_the_way_back_is_told_in_sittings_and_days() {
    let bench = Bench::shipped();
    let args = [
        "--person",
        "sv",
        "--days",
        "14",
        "--as-of",
        "2026-12-12T08:00:00Z",
    ];
    let found = json(&bench, &args);
    let back = &found["recovery"];
    assert!(7 <= back["away"].as_u64().expect("days away"), "{back}");
    assert!(number(&back["now"]) < number(&back["before"]));
    assert!(number(&back["sittings"]["mid"]).round() <= number(&back["days"]));
    let lost: Vec<f64> = back["lost"]
        .as_array()
        .expect("families")
        .iter()
        .map(|family| number(&family["jobs"]))
        .collect();
    assert!(
        !lost.is_empty() && lost.windows(2).all(|w| w[1] <= w[0]),
        "{lost:?}"
    );
    let run = bench.run(&[&["plan"][..], &args].concat());
    let lines = text(&run.stdout);
    assert!(
        lines.contains("You were away") && lines.contains("Sitting 1: mostly"),
        "{lines}"
    );
}

#[test]
fn a_date_is_planned_backwards_day_by_day_within_the_minutes() {
    let bench = newcomer();
    let board = first_board(&bench);
    let args = [
        "--person",
        "zz",
        "--ready-by",
        "2026-11-30",
        "--board",
        &board,
        "--minutes",
        "5",
    ];
    let found = json(&bench, &args);
    let days = found["days"].as_array().expect("days");
    assert_eq!((days.len(), &days[0]["day"]), (10, &"2026-11-20".into()));
    assert!(days.iter().all(|day| number(&day["minutes"]) <= 5.0 + 1e-6));
    let new: u64 = days
        .iter()
        .map(|day| day["new"].as_u64().expect("a count"))
        .sum();
    assert!(0 < new && new <= found["cards"].as_u64().expect("a count"));
    let asked = days
        .iter()
        .map(|day| day["cards"].as_array().expect("ids").len());
    assert!(new <= u64::try_from(asked.sum::<usize>()).expect("few"));
    assert!(number(&found["undrilled"]) < number(&found["reached"]["low"]));
}

/// Returns the board with most cards: of the others a few minutes may know all.
fn first_board(bench: &Bench) -> String {
    let cards = crate::common::deck(bench);
    let mut boards: Vec<&str> = cards.iter().filter_map(|c| c["board"].as_str()).collect();
    boards.sort_unstable();
    let most = boards.chunk_by(|a, b| a == b).max_by_key(|same| same.len());
    most.expect("cards of boards")[0].to_owned()
}

#[test]
fn a_date_out_of_reach_says_so_and_how_many_minutes_would_do() {
    let bench = newcomer();
    let board = first_board(&bench);
    let args = [
        "plan",
        "--person",
        "zz",
        "--ready-by",
        "2026-11-24",
        "--board",
        &board,
        "--minutes",
        "1",
    ];
    let run = bench.run(&args);
    assert!(run.status.success(), "{}", text(&run.stderr));
    let lines = text(&run.stdout);
    assert!(
        lines.contains("is NOT reached with 1 minute a day"),
        "{lines}"
    );
    assert!(
        lines.contains("minutes a day would") || lines.contains("nor with 120"),
        "{lines}"
    );
    let found = json(&bench, &args[1..]);
    assert_eq!(found["is_reached"], false);
}

#[test]
fn what_cannot_be_planned_is_refused_with_what_to_do() {
    let bench = newcomer();
    let plan = |args: &[&str]| bench.run(&[&["plan", "--person", "zz"], args].concat());
    refused(&plan(&["--days", "0"]), &["days go from 1 to 730"]);
    refused(&plan(&["--minutes=-1"]), &["minutes go from 0 to 600"]);
    refused(&plan(&["--minutes", "NaN"]), &["minutes go from 0 to 600"]);
    for target in ["0", "1", "90"] {
        refused(&plan(&["--target", target]), &["between 0 and 1"]);
    }
    refused(
        &plan(&["--ready-by", "2026-11-20"]),
        &["it is not after today", "2026-06-30"],
    );
    refused(
        &plan(&["--ready-by", "2020-01-01"]),
        &["it is not after today"],
    );
    refused(&plan(&["--ready-by", "2036-01-01"]), &["730 days"]);
    refused(&plan(&["--ready-by", "soon"]), &["soon"]);
    refused(&plan(&["--deck", "nowhere"]), &["no deck is called"]);
    let by = ["--ready-by", "2026-12-01"];
    refused(
        &plan(&[&by[..], &["--board", "nowhere"]].concat()),
        &["no board is called"],
    );
    refused(
        &plan(&[&by[..], &["--family", "nowhere"]].concat()),
        &["no circuit family is called"],
    );
    refused(
        &bench.run(&["plan", "--person", "nobody"]),
        &["no person is called"],
    );
}

#[test]
fn a_shop_without_cards_has_nothing_to_plan() {
    let bench = newcomer();
    std::fs::remove_dir_all(bench.shop().join("decks")).expect("decks to take away");
    let run = bench.run(&["plan", "--person", "zz"]);
    assert_eq!(run.status.code(), Some(1));
    let said = text(&run.stderr);
    assert!(
        said.contains("nothing to plan") && said.contains("deck build"),
        "{said}"
    );
}
