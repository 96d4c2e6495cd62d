//! The archive through the real program: list, find, show, and what a person says about a job later.

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::deck;
use crate::common::text;

const SHOP: &str = r#"{"v":1,"name":"T","boards":[{"id":"x","name":"Board X","revisions":["A","B"]},{"id":"y","name":"Board Y"}]}"#;
const BOARD: &str = r#"{"v":1,"board":"x","parts":{"U1":{"name":"standby switcher","family":"standby"},"L2":{"name":"coil","family":"buck"},"F1":{"name":"inlet fuse","family":"inlet"}},"good":[]}"#;

/// A job that is in order: closed on `day`, it held, `part` was replaced; three readings that no
/// other number shares.
pub(crate) fn job(number: &str, day: &str, part: &str, ohms: u32) -> Value {
    json!({
        "v": 1, "id": format!("i-{number}"), "job": number, "closed_on": day, "board": "x",
        "rev": "A", "complaint": ["no-power"],
        "findings": [
            { "kind": "rail", "where": "3V3", "expect_v": 3.3, "got_v": 0.2 },
            { "kind": "resistance", "where": "3V3", "got_ohm": ohms, "source_off": true },
            { "kind": "current", "draw": "limit", "got_a": 1.0 },
        ],
        "family": "standby",
        "actions": [{ "act": "replace", "part": part, "role": "the-fix" }],
        "outcome": "held", "confidence": "proved", "minutes": 50, "shelf": "B4",
    })
}

pub(crate) fn with(mut job: Value, fields: Value) -> Value {
    let Value::Object(fields) = fields else {
        panic!("an object")
    };
    for (key, value) in fields {
        job[key] = value;
    }
    job
}

pub(crate) fn bench(jobs: &[Value]) -> Bench {
    let lines: Vec<String> = jobs.iter().map(Value::to_string).collect();
    let bench = Bench::with_files(&[
        ("shop.json", SHOP),
        ("boards/x.json", BOARD),
        ("jobs/old.jsonl", &format!("{}\n", lines.join("\n"))),
    ]);
    assert!(bench.run(&["people", "add", "MK"]).status.success());
    bench
}

/// Runs a command that prints JSON lines; returns them and the exit code.
pub(crate) fn lines(bench: &Bench, args: &[&str]) -> (Vec<Value>, i32) {
    let out = bench.run(args);
    let lines = text(&out.stdout)
        .lines()
        .map(|l| serde_json::from_str(l).expect("a JSON line"))
        .collect();
    (lines, out.status.code().expect("it ended"))
}

pub(crate) fn run(bench: &Bench, args: &[&str]) -> (String, i32) {
    let out = bench.run(args);
    let said = format!("{}{}", text(&out.stdout), text(&out.stderr));
    (said, out.status.code().expect("it ended"))
}

fn numbers(lines: &[Value]) -> Vec<&str> {
    lines
        .iter()
        .map(|l| l["job"].as_str().expect("a number"))
        .collect()
}

#[test]
fn jobs_are_listed_newest_first_and_filtered() {
    let no_fix = with(
        job("W-2", "2026-02-01", "U1", 20),
        json!({"board": "y", "outcome": "no-fix", "no_fix_reason": "value-exceeded", "actions": [], "family": "unlocated"}),
    );
    let bench = bench(&[
        job("W-1", "2026-01-01", "U1", 1),
        no_fix,
        with(
            job("W-3", "2026-03-01", "L2", 300),
            json!({"family": "buck"}),
        ),
    ]);
    let (all, code) = lines(&bench, &["jobs", "list", "--json"]);
    assert_eq!((numbers(&all), code), (vec!["W-3", "W-2", "W-1"], 0));
    assert_eq!(
        all[2],
        json!({
            "v": 1, "job": "W-1", "id": "i-W-1", "closed_on": "2026-01-01", "board": "x",
            "complaint": ["no-power"], "family": "standby", "fix": "Replace U1",
            "no_fix_reason": null, "outcome": "held", "bounce_cause": null, "held": true, "tier": "A",
        })
    );
    for (args, wanted) in [
        (vec!["--board", "y"], vec!["W-2"]),
        (vec!["--family", "buck"], vec!["W-3"]),
        (vec!["--outcome", "no-fix"], vec!["W-2"]),
        (vec!["--since", "2026-02-01"], vec!["W-3", "W-2"]),
        (vec!["--until", "2026-02-01"], vec!["W-2", "W-1"]),
    ] {
        let args = [vec!["jobs", "list", "--json"], args].concat();
        assert_eq!(numbers(&lines(&bench, &args).0), wanted, "{args:?}");
    }
    let (plain, _) = run(&bench, &["jobs", "list"]);
    let first = plain.lines().nth(2).expect("three lines");
    assert_eq!(
        first,
        "W-1  2026-01-01  x  no power  |  standby  |  Replace U1  |  held  |  A"
    );
    assert_eq!(run(&bench, &["jobs", "list", "--board", "z"]).1, 2);
    assert_eq!(run(&bench, &["jobs", "list", "--outcome", "fine"]).1, 2);
}

#[test]
fn jobs_are_found_by_designator_reading_and_note() {
    let bench = bench(&[
        with(
            job("W-1", "2026-01-01", "U1", 1),
            json!({"note": "smelled of diesel"}),
        ),
        job("W-2", "2026-02-01", "L2", 300),
    ]);
    let find = |args: &[&str]| {
        let args = [&["jobs", "find", "--json"], args].concat();
        let (found, code) = lines(&bench, &args);
        assert_eq!(code, 0);
        found
            .iter()
            .map(|l| l["job"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(find(&["U1"]), ["W-1"]);
    assert_eq!(find(&["u1"]), ["W-1"]);
    assert_eq!(find(&["U11"]), Vec::<String>::new(), "never by likeness");
    assert_eq!(find(&["diesel"]), ["W-1"]);
    assert_eq!(find(&["--finding", "rail:3V3"]), ["W-2", "W-1"]);
    assert_eq!(find(&["--finding", "rail:3V31"]), Vec::<String>::new());
    assert_eq!(find(&["--finding", "rail", "--limit", "1"]).len(), 1);
    let (found, _) = lines(&bench, &["jobs", "find", "--json", "U1"]);
    assert!(found[0]["score"].as_f64().unwrap() > 0.0);
    assert!(found[0]["why"][0].is_string());
    let (said, code) = run(&bench, &["jobs", "find", "zebra"]);
    assert_eq!((said.as_str(), code), ("No job has any of that.\n", 0));
    assert_eq!(run(&bench, &["jobs", "find"]).1, 2);
    assert_eq!(run(&bench, &["jobs", "find", "--finding", "colour"]).1, 2);
}

/// Makes the files of the shop old enough for an index over them to be believed.
fn age(bench: &Bench) {
    let an_hour_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(3600);
    for place in [
        "shop.json",
        "boards/x.json",
        "jobs/old.jsonl",
        "jobs/b7.jsonl",
    ] {
        let file = std::fs::File::options()
            .write(true)
            .open(bench.shop().join(place));
        if let Ok(file) = file {
            file.set_modified(an_hour_ago).expect("the time is set");
        }
    }
}

fn find(bench: &Bench, words: &str) -> (String, i32) {
    run(bench, &["jobs", "find", "--json", words])
}

#[test]
fn the_search_index_says_what_the_files_say_and_damage_to_it_costs_only_time() {
    let bench = bench(&[
        with(
            job("W-1", "2026-01-01", "U1", 1),
            json!({"note": "smelled of diesel"}),
        ),
        job("W-2", "2026-02-01", "L2", 300),
        json!("not a job"),
    ]);
    age(&bench);
    let words = "3V3 under 1 V, replace U1, diesel";
    let index = bench.shop().join("cache/find.idx");
    let cold = find(&bench, words);
    assert_eq!(cold.1, 3, "the line that is no job is told: {}", cold.0);
    let whole = std::fs::read(&index).expect("the index was kept");
    for args in [
        &["jobs", "find", "--json", words][..],
        &["jobs", "find", words],
        &["jobs", "find", "--finding", "rail:3V3", "--limit", "1"],
        &["jobs", "find", "--board", "x", "--family", "standby", "U1"],
    ] {
        let warm = run(&bench, args);
        std::fs::remove_file(&index).expect("it is there");
        assert_eq!(run(&bench, args), warm, "{args:?}");
    }
    assert_eq!(
        std::fs::read(&index).unwrap(),
        whole,
        "the same bytes again"
    );

    // Half of it, nothing of it, another file, a bit of its head.
    let mut flipped = whole.clone();
    flipped[40] ^= 4;
    for bytes in [&whole[..whole.len() / 2], b"", b"{\"v\":1}", &flipped] {
        std::fs::write(&index, bytes).expect("written");
        let (said, code) = find(&bench, words);
        let (note, hits): (Vec<&str>, Vec<&str>) =
            said.lines().partition(|l| l.starts_with("search index"));
        assert_eq!(
            note,
            ["search index cache/find.idx: it is damaged; it was made anew"]
        );
        assert_eq!(hits, cold.0.lines().collect::<Vec<_>>());
        assert_eq!(code, cold.1);
        assert_eq!(std::fs::read(&index).unwrap(), whole);
    }
    assert_eq!(find(&bench, words), cold);
}

#[test]
fn a_search_knows_what_was_written_a_moment_ago() {
    let bench = bench(&[
        with(
            job("W-1", "2026-01-01", "U1", 1),
            json!({"outcome": "unknown-so-far"}),
        ),
        with(
            job("W-2", "2026-02-01", "U1", 2),
            json!({"outcome": "unknown-so-far"}),
        ),
    ]);
    age(&bench);
    let outcome = || {
        let (found, _) = lines(&bench, &["jobs", "find", "--json", "W-1"]);
        found[0]["outcome"].clone()
    };
    assert_eq!(outcome(), "unknown-so-far");
    assert_eq!(run(&bench, &["jobs", "held", "W-1"]).1, 0);
    assert_eq!(outcome(), "held");
    assert_eq!(run(&bench, &["jobs", "take-back", "W-1"]).1, 0);
    let args = ["jobs", "returned", "W-1", "--by", "W-2", "--cause", "part"];
    assert_eq!(run(&bench, &args).1, 0);
    assert_eq!(outcome(), "bounced-same-fault");
    let (found, _) = lines(&bench, &["jobs", "find", "--json", "came back"]);
    assert_eq!(numbers(&found), ["W-1"]);
    // A board file says what a part is for, and with that what finds it.
    let none = || find(&bench, "housekeeper").0.contains("W-1");
    assert!(!none());
    bench.put(
        "boards/x.json",
        &BOARD.replace("standby switcher", "housekeeper"),
    );
    assert!(none());
}

#[test]
fn limits_and_denials_are_understood_in_a_search() {
    let residue = json!({"kind": "visual", "where": "U1", "sign": "residue"});
    let bench = bench(&[
        with(
            job("W-1", "2026-01-01", "U1", 1),
            json!({"findings": [{"kind": "rail", "where": "3V3", "got_v": 0.2}, residue]}),
        ),
        with(
            job("W-2", "2026-02-01", "L2", 300),
            json!({"findings": [{"kind": "rail", "where": "3V3", "got_v": 2.9}]}),
        ),
    ]);
    let found = |words: &str| {
        let (found, code) = lines(&bench, &["jobs", "find", "--json", words]);
        assert_eq!(code, 0);
        let why = found
            .iter()
            .map(|l| l["why"][0].as_str().unwrap_or("").to_owned());
        let number = numbers(&found).into_iter().map(str::to_owned);
        number.zip(why).collect::<Vec<_>>()
    };
    let hit = |number: &str, why: &str| (number.to_owned(), why.to_owned());
    assert_eq!(found("3V3 under 1 V")[0], hit("W-1", "3V3 under 1 V"));
    assert_eq!(found("3V3 over 1 V")[0], hit("W-2", "3V3 over 1 V"));
    assert_eq!(
        found("no residue"),
        [hit("W-2", "no residue: none recorded")]
    );
    assert_eq!(found("residue"), [hit("W-1", "residue")]);
}

#[test]
fn one_job_is_shown_whole_with_its_chain_and_without_mark_and_price() {
    let bench = bench(&[
        with(
            job("W-1", "2026-01-01", "U1", 1),
            json!({"unit": "5f2a90c1", "value": 777, "parts_cost": 31, "note": "rinses it"}),
        ),
        with(
            job("W-2", "2026-02-01", "L2", 300),
            json!({"unit": "5f2a90c1", "follows": "W-1"}),
        ),
    ]);
    let (page, code) = run(&bench, &["jobs", "show", "w-1"]);
    assert_eq!(code, 0);
    for words in [
        "W-1: 1 Jan 2026, Board X, rev A",
        "rinses it",
        "50",
        "Same unit after  W-2",
        "A: proved",
    ] {
        assert!(page.contains(words), "{words} is missing in\n{page}");
    }
    for hidden in ["5f2a90c1", "777", "31"] {
        assert!(!page.contains(hidden), "{hidden} stands in\n{page}");
    }
    let (page, _) = run(&bench, &["jobs", "show", "W-2"]);
    assert!(page.contains("Same unit before W-1"), "{page}");
    let (shape, _) = lines(&bench, &["jobs", "show", "W-2", "--json"]);
    assert_eq!(shape[0]["earlier"], json!(["W-1"]));
    let (said, code) = run(&bench, &["jobs", "show", "W-9"]);
    assert_eq!(code, 1);
    assert!(
        said.contains("no such job") && said.contains("jobs list"),
        "{said}"
    );
}

#[test]
fn held_is_a_new_line_that_keeps_everything_else_and_a_second_try_writes_nothing() {
    let unknown = with(
        job("W-1", "2026-01-01", "U1", 1),
        json!({"outcome": "unknown-so-far", "entered_by": "rn"}),
    );
    let bench = bench(&[
        unknown.clone(),
        with(
            job("W-2", "2026-11-01", "U1", 1),
            json!({"outcome": "unknown-so-far"}),
        ),
    ]);
    let before = bench.read("jobs/old.jsonl");
    assert_eq!(
        run(&bench, &["jobs", "held", "W-1"]),
        ("W-1 held\n".to_owned(), 0)
    );
    assert_eq!(bench.read("jobs/old.jsonl"), before);
    let written = bench.read("jobs/b7.jsonl");
    let line: Value = serde_json::from_str(written.trim_end()).unwrap();
    let mut wanted = with(
        unknown,
        json!({"outcome": "held", "corrects": "i-W-1", "entered_by": "mk", "entered_on": "2026-11-20"}),
    );
    wanted["id"] = line["id"].clone();
    assert_ne!(line["id"], "i-W-1");
    assert_eq!(
        line, wanted,
        "fields that the program does not know go along"
    );
    let (said, code) = run(&bench, &["jobs", "held", "W-1"]);
    assert!(said.contains("already") && code == 0, "{said}");
    assert_eq!(bench.read("jobs/b7.jsonl"), written);
    assert_eq!(run(&bench, &["jobs", "check", "--only", "follow-up"]).1, 0);
    let (said, code) = run(&bench, &["jobs", "held", "W-2"]);
    assert!(
        said.contains("warranty days run until 2027-01-30") && code == 1,
        "{said}"
    );
    assert_eq!(
        run(&bench, &["jobs", "take-back", "W-1"]),
        ("W-1 as before: not known so far\n".to_owned(), 0)
    );
    let (rows, _) = lines(&bench, &["jobs", "list", "--json", "--until", "2026-01-01"]);
    assert_eq!(rows[0]["outcome"], "unknown-so-far");
    assert_eq!(
        run(&bench, &["jobs", "take-back", "W-2"]).1,
        1,
        "nothing of it was corrected"
    );
    assert_eq!(
        run(&bench, &["jobs", "held", "W-1"]).1,
        0,
        "and it can be said again"
    );
    assert_eq!(run(&bench, &["jobs", "check", "--only", "double"]).1, 0);
}

#[test]
fn a_return_links_the_later_job_and_tells_the_earlier_ones_outcome() {
    let unknown = json!({"outcome": "unknown-so-far"});
    let bench = bench(&[
        with(job("W-1", "2026-01-01", "U1", 1), unknown.clone()),
        job("W-2", "2026-02-01", "U1", 1),
        with(
            job("W-3", "2026-03-01", "L2", 300),
            json!({"family": "buck"}),
        ),
        with(
            job("W-4", "2026-04-01", "U1", 1),
            json!({"outcome": "no-fix", "no_fix_reason": "value-exceeded", "actions": [], "family": "unlocated"}),
        ),
    ]);
    let list = |number: &str| {
        let (rows, _) = lines(&bench, &["jobs", "list", "--json"]);
        let row = rows.iter().find(|r| r["job"] == number).unwrap();
        (
            row["outcome"].as_str().unwrap().to_owned(),
            row["bounce_cause"].clone(),
        )
    };
    let returned = |args: &[&str]| run(&bench, &[&["jobs", "returned"], args].concat());
    assert_eq!(
        returned(&["W-1", "--by", "W-2"]).1,
        2,
        "the cause is asked for"
    );
    let (said, code) = returned(&["W-1", "--by", "W-2", "--cause", "workmanship"]);
    assert_eq!(code, 0, "{said}");
    assert_eq!(
        said,
        "W-1 came back as W-2: came back with the same fault (workmanship)\n"
    );
    assert_eq!(
        list("W-1"),
        ("bounced-same-fault".to_owned(), json!("workmanship"))
    );
    let (page, _) = lines(&bench, &["jobs", "show", "W-2", "--json"]);
    assert_eq!(page[0]["earlier"], json!(["W-1"]));
    let written = bench.read("jobs/b7.jsonl");
    let (said, code) = returned(&["W-1", "--by", "W-2", "--cause", "workmanship"]);
    assert!(said.contains("already") && code == 0, "{said}");
    assert_eq!(bench.read("jobs/b7.jsonl"), written);

    let (said, code) = returned(&["W-2", "--by", "W-3", "--cause", "diagnosis"]);
    assert_eq!(code, 0, "{said}");
    assert_eq!(list("W-2").0, "bounced-other-fault");
    let (said, code) = returned(&["W-3", "--by", "W-4", "--cause", "unknown"]);
    assert!(said.contains("--fault same") && code == 1, "{said}");
    assert_eq!(returned(&["W-3", "--by", "W-4", "--only-link"]).1, 0);
    assert_eq!(list("W-3").0, "held", "only the link was written");
    for (args, why) in [
        (
            ["W-2", "--by", "W-1", "--cause", "part"],
            "closed before it",
        ),
        (["W-2", "--by", "W-2", "--cause", "part"], "its own return"),
        (
            ["W-1", "--by", "W-3", "--cause", "part"],
            "follows W-2 already",
        ),
    ] {
        let (said, code) = returned(&args);
        assert!(said.contains(why) && code == 1, "{said}");
    }
    assert_eq!(
        run(
            &bench,
            &["jobs", "check", "--only", "double", "--only", "link"]
        )
        .1,
        0
    );
}

#[test]
fn a_deck_built_after_held_and_after_a_wrong_diagnosis_counts_the_jobs_so() {
    let jobs: Vec<Value> = (1..=4)
        .map(|n| {
            let unknown = json!({"outcome": "unknown-so-far", "findings": [{ "kind": "rail", "where": "3V3", "expect_v": 3.3, "got_v": 0.2 }]});
            with(job(&format!("W-{n}"), &format!("2026-0{n}-01"), "U1", n), unknown)
        })
        .chain((5..=7).map(|n| {
            let other = json!({"family": "buck", "findings": [{ "kind": "rail", "where": "5V", "expect_v": 5.0, "got_v": 0.2 }]});
            with(job(&format!("W-{n}"), &format!("2026-0{n}-01"), "L2", n), other)
        }))
        .collect();
    let bench = bench(&jobs);
    let share = || {
        assert_eq!(run(&bench, &["deck", "build"]).1, 0);
        let cards = deck(&bench);
        let card = cards
            .iter()
            .find(|c| c["family"] == "standby")
            .unwrap()
            .clone();
        (
            card["share"]["k"].as_u64().unwrap(),
            card["jobs"].as_array().unwrap().len(),
        )
    };
    let before = bench.read("jobs/old.jsonl");
    let (k, n) = share();
    assert_eq!((k, n), (4, 4));
    let first = bench.read("decks/shop.json");
    let args = [
        "jobs",
        "returned",
        "W-1",
        "--by",
        "W-2",
        "--cause",
        "diagnosis",
    ];
    assert_eq!(run(&bench, &args).1, 0);
    assert_eq!(share().0, 3, "a wrong diagnosis speaks for no answer");
    assert_ne!(bench.read("decks/shop.json"), first);
    assert_eq!(run(&bench, &["jobs", "take-back", "W-1", "W-2"]).1, 0);
    assert_eq!(share().0, 4);
    assert_eq!(bench.read("jobs/old.jsonl"), before);
}

#[test]
fn control_characters_of_a_job_never_reach_the_terminal() {
    let evil = "\u{1b}[2J\u{202e}\u{9b}31m";
    let bench = bench(&[with(
        job("W-1", "2026-01-01", &format!("U1{evil}"), 1),
        json!({
            "job": format!("W-1{evil}"), "rev": evil, "note": evil, "proof": evil, "closed_by": evil,
            "source": evil, "follows": evil, "board": format!("x{evil}"), "outcome": "unknown-so-far",
            "flags": [{"field": evil, "why": evil, "raw": evil}],
        }),
    )]);
    let number = format!("W-1{evil}");
    for args in [
        vec!["jobs", "list"],
        vec!["jobs", "list", "--json"],
        vec!["jobs", "find", "U1"],
        vec!["jobs", "find", "--json", "U1"],
        vec!["jobs", "show", &number],
        vec!["jobs", "show", "--json", &number],
        vec!["jobs", "check"],
        vec!["jobs", "check", "--json"],
        vec!["jobs", "held", &number],
        vec![
            "jobs", "returned", &number, "--by", &number, "--cause", "part",
        ],
        vec!["jobs", "show", evil],
    ] {
        let (said, _) = run(&bench, &args);
        assert!(!said.is_empty(), "{args:?}");
        let bad = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
        assert!(!said.contains(bad), "{args:?}: {said:?}");
    }
}

#[cfg(unix)]
#[test]
fn where_jobs_cannot_be_written_nothing_is_lost_and_it_says_so() {
    let bench = bench(&[with(
        job("W-1", "2026-01-01", "U1", 1),
        json!({"outcome": "unknown-so-far"}),
    )]);
    // A folder where the lock file should be stops every writer, whoever runs the test.
    std::fs::create_dir_all(bench.shop().join("jobs/b7.jsonl.lock")).unwrap();
    let (said, code) = run(&bench, &["jobs", "held", "W-1"]);
    assert_eq!(code, 1, "{said}");
    assert!(said.contains("b7.jsonl.lock"), "{said}");
    assert_eq!(run(&bench, &["jobs", "list"]).1, 0, "reading goes on");
}
