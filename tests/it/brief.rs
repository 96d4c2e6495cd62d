//! `brief`: cautions first, then what matches, and a drill that leaves memory to the daily practice.

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::Drill;
use crate::common::deck;
use crate::common::text;

/// Returns the brief that `brief --json` prints for these arguments.
fn brief(bench: &Bench, args: &[&str]) -> Value {
    let out = bench.run(&[&["brief"], args, &["--json"]].concat());
    assert!(out.status.success(), "{}", text(&out.stderr));
    let line: Value = serde_json::from_slice(&out.stdout).expect("one JSON line");
    assert_eq!(line["v"], 1);
    line["brief"].clone()
}

fn list<'a>(value: &'a Value, name: &str) -> &'a Vec<Value> {
    value[name].as_array().expect("a list")
}

/// Returns the closed jobs of the practice shop by number.
fn job(bench: &Bench, number: &Value) -> Value {
    let jobs = bench.read("jobs/practice.jsonl");
    jobs.lines()
        .map(|line| serde_json::from_str::<Value>(line).expect("a job"))
        .find(|job| job["job"] == *number)
        .expect("the job is in the archive")
}

fn has_finding(job: &Value, fits: impl Fn(&Value) -> bool) -> bool {
    list(job, "findings")
        .iter()
        .any(|f| f["when"] != "after-action" && fits(f))
}

#[test]
fn a_known_pattern_finds_its_jobs_first() {
    let bench = Bench::practice();
    let found = brief(&bench, &["petrel-p4", "3V3_SB", "low,", "draw", "cycling"]);
    assert_eq!(found["understood"], json!(["3V3_SB low", "draw cycling"]));
    let jobs = list(&found, "jobs");
    assert!(jobs.len() >= 3, "{jobs:?}");
    for shown in jobs.iter().take(3) {
        let job = job(&bench, &shown["job"]);
        assert!(has_finding(&job, |f| f["draw"] == "cycling"), "{job}");
        assert!(
            has_finding(&job, |f| f["where"] == "3V3_SB" && f["verdict"] == "low"),
            "{job}"
        );
    }
    let cards = deck(&bench);
    let first = list(&found, "cards")[0]["id"].as_str().expect("an id");
    let card = crate::common::find(&cards, first);
    let front = format!("{}{}", card["front"], card["sides"]);
    assert!(
        front.contains("3V3_SB") || front.contains("cycling"),
        "{front}"
    );
}

#[test]
fn a_designator_is_found_exactly_or_not_at_all() {
    let bench = Bench::practice();
    let found = brief(&bench, &["petrel", "U31", "--limit", "100"]);
    let jobs = list(&found, "jobs");
    assert!(!jobs.is_empty());
    for shown in jobs {
        let job = job(&bench, &shown["job"]).to_string().to_uppercase();
        assert!(job.contains("U31"), "{job}");
    }
    assert_eq!(brief(&bench, &["petrel", "U13"])["found"], 0);
    assert_eq!(brief(&bench, &["petrel", "U311"])["found"], 0);
}

#[test]
fn jobs_that_came_back_or_had_no_fix_are_shown_and_marked() {
    let bench = Bench::practice();
    let found = brief(&bench, &["petrel", "no", "power", "--limit", "500"]);
    let mut marked = (0, 0);
    for shown in list(&found, "jobs") {
        let job = job(&bench, &shown["job"]);
        let outcome = job["outcome"].as_str().expect("an outcome");
        let words = shown["outcome"].as_str().expect("words");
        if outcome.starts_with("bounced") {
            assert!(words.starts_with("came back"), "{words}");
            assert_eq!(shown["warns"], true);
            marked.0 += 1;
        } else if outcome == "no-fix" {
            assert!(words.starts_with("no fix: "), "{words}");
            assert_eq!(shown["warns"], true);
            marked.1 += 1;
        } else {
            assert_eq!(shown["warns"], false, "{words}");
        }
    }
    assert!(marked.0 > 0 && marked.1 > 0, "{marked:?}");
    let came_back = list(&found, "jobs")
        .iter()
        .find(|j| j["warns"] == true && j["fix"] != "")
        .expect("one came back");
    let plain = text(
        &bench
            .run(&["brief", "petrel", "no", "power", "--limit", "500"])
            .stdout,
    );
    let line = plain
        .lines()
        .find(|l| {
            l.trim()
                .starts_with(came_back["job"].as_str().expect("a number"))
        })
        .expect("its line");
    assert!(line.contains("came back"), "{line}");
}

#[test]
fn cautions_come_before_anything_else() {
    let bench = Bench::practice();
    for (board, begins, defers) in [
        (
            "gannet-a2",
            "Safety-critical: maker-approved or licensed repair only.",
            "maker's instructions and local law",
        ),
        (
            "dunlin-s20",
            "Mains and the charge",
            "licensed people come first",
        ),
        (
            "tern-h3",
            "A wet lithium cell",
            "maker's instructions and local rules",
        ),
    ] {
        let shown = text(&bench.run(&["brief", board]).stdout);
        let first = shown.lines().next().expect("a first line");
        assert!(first.starts_with(begins), "{board}: {first}");
        assert!(first.contains(defers), "{board}: {first}");
    }
}

#[test]
fn a_board_without_a_known_hazard_is_not_called_safe() {
    let bench = Bench::with_files(&[(
        "shop.json",
        r#"{"v":1,"name":"Bare","boards":[{"id":"plain","name":"Plain board"}]}"#,
    )]);
    let shown = text(&bench.run(&["brief", "plain"]).stdout);
    assert!(
        shown.starts_with("No hazard of this board is written down; that does not make it safe.")
    );
    assert!(shown.contains("No closed job of this board"));
}

#[test]
fn good_readings_come_with_state_and_polarity() {
    let bench = Bench::practice();
    let found = brief(&bench, &["petrel", "3V3_SB", "low"]);
    let good = list(&found, "good");
    assert_eq!(
        good[0]["name"], "3V3_SB",
        "what is asked about stands first"
    );
    let all = found["good"].to_string();
    assert!(
        all.contains("standby") && all.contains("red to ground"),
        "{all}"
    );
}

#[test]
fn nothing_of_the_customers_is_shown() {
    let bench = Bench::practice();
    let job = r#"{"v":1,"job":"W-9001","closed_on":"2026-11-01","closed_by":"qzx","with":"qzy","board":"petrel-p4","unit":"feedc0de","complaint":["no-power"],"findings":[{"kind":"rail","where":"3V3_SB","got_v":0.4,"expect_v":3.3,"verdict":"low","raw":"Mrs Zwetschge says low"}],"family":"standby","actions":[{"act":"replace","part":"U31","role":"the-fix"}],"outcome":"held","confidence":"proved","value":98765,"parts_cost":4321,"note":"rang Mrs Zwetschge"}"#;
    bench.put("jobs/more.jsonl", &format!("{job}\n"));
    for args in [
        &["brief", "petrel", "W-9001"][..],
        &[
            "brief", "petrel", "3V3_SB", "low", "--limit", "500", "--json",
        ],
    ] {
        let shown = text(&bench.run(args).stdout);
        assert!(shown.contains("W-9001"), "{shown}");
        for secret in ["qzx", "qzy", "feedc0de", "98765", "4321", "Zwetschge"] {
            assert!(!shown.contains(secret), "{secret} in {shown}");
        }
    }
}

#[test]
fn an_unknown_board_names_those_there_are() {
    let bench = Bench::practice();
    let out = bench.run(&["brief", "pelican"]);
    assert_eq!(out.status.code(), Some(2));
    let said = text(&out.stderr);
    assert!(
        said.contains("pelican") && said.contains("petrel-p4"),
        "{said}"
    );
    assert_eq!(brief(&bench, &["HELM"])["board"], "petrel-p4");
}

fn quiz(bench: &Bench, words: &[&str]) -> Drill {
    let args = [
        &["brief", "petrel"],
        words,
        &["--quiz", "--json", "--person", "mk"],
    ]
    .concat();
    Drill::start(bench.command(&args))
}

#[test]
fn a_right_brief_answer_leaves_memory_and_accuracy_as_they_were() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let shown = brief(&bench, &["petrel", "3V3_SB", "low"]);
    let wanted: Vec<&Value> = list(&shown, "cards").iter().map(|c| &c["id"]).collect();
    assert!(wanted.len() >= 2);

    // Exactly the cards shown, in their order, all answered rightly.
    let mut drill = quiz(&bench, &["3V3_SB", "low"]);
    let mut question = drill.hear();
    let mut asked = Vec::new();
    while question["done"].is_null() {
        assert_eq!(question["mode"], "brief");
        asked.push(question["card"].clone());
        let kept = drill.card(&question, &cards, true);
        assert_eq!(kept["kept"]["next_days"], 0, "no memory came of it: {kept}");
        question = drill.hear();
    }
    assert!(!question["done"].is_null(), "{question}");
    drill.finish();
    assert_eq!(asked.iter().collect::<Vec<_>>(), wanted);

    let journal = bench.journal("mk");
    assert_eq!(journal.len(), asked.len());
    assert!(journal.iter().all(|line| line["mode"] == "brief"));

    // No spot check can be drawn: nothing has a memory yet.
    let mut spots = bench.drill(&["--spot-check", "5"]);
    assert_eq!(spots.hear()["measure"]["can_ask"], 0);
    let first = spots.hear();
    assert!(!first["done"].is_null(), "{first}");
    spots.finish();

    // Asked once more the same day all the same, unlike in the daily drill.
    let mut again = quiz(&bench, &["3V3_SB", "low"]);
    assert_eq!(again.hear()["card"], asked[0]);
    again.finish();
}

#[test]
fn a_miss_in_a_brief_counts_for_memory() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let later = ["--as-of", "2026-11-25T08:00:00Z"];
    let first = list(&brief(&bench, &["petrel", "3V3_SB", "low"]), "cards")[0]["id"].clone();
    let card = crate::common::find(&cards, first.as_str().expect("an id")).clone();
    // Learned first in the daily drill of that circuit.
    let family = card["family"].as_str().expect("a family");
    let mut drill = bench.drill(&[
        "--family",
        family,
        "--board",
        "petrel-p4",
        "--minutes",
        "60",
    ]);
    let mut question = drill.hear();
    while question["ask"] == "circuit" {
        drill.card(&question, &cards, true);
        question = drill.hear();
    }
    drill.finish();
    let reviewed = bench.journal("mk").iter().any(|line| line["card"] == first);
    assert!(reviewed, "the card was drilled");

    let mut missed = quiz(&bench, &[&["3V3_SB", "low"], &later[..]].concat());
    let question = missed.hear();
    assert_eq!(question["card"], first);
    let kept = missed.card(&question, &cards, false);
    let after_miss = kept["kept"]["next_days"].as_u64().expect("days");
    missed.finish();
    let learned = bench
        .journal("mk")
        .iter()
        .find(|line| line["card"] == first)
        .and_then(|line| line["next_days"].as_u64())
        .expect("days");
    assert!(after_miss < learned, "{after_miss} days after {learned}");
}

#[test]
fn a_job_that_cannot_be_read_is_named_and_no_limit_of_none_is_taken() {
    let bench = Bench::practice();
    bench.put("jobs/hand.jsonl", "not a job\n");
    let out = bench.run(&["brief", "petrel-p4", "3V3_SB", "low"]);
    assert_eq!(out.status.code(), Some(3));
    let said = text(&out.stderr);
    assert!(said.contains("jobs/hand.jsonl:1: not JSON"), "{said}");
    assert!(text(&out.stdout).contains("closed jobs match"));
    for args in [
        &["brief", "petrel-p4", "--limit", "0"][..],
        &["jobs", "find", "residue", "--limit", "0"],
        &["drill", "--person", "mk", "--json", "--spot-check", "0"],
    ] {
        let out = bench.run(args);
        assert_eq!(out.status.code(), Some(2), "{args:?}");
        assert!(text(&out.stderr).contains("at least 1"), "{args:?}");
    }
}
