//! `jobs check` through the real program: planted faults of every kind, what is told and what is not,
//! and two people who code the same jobs.

use serde_json::Value;
use serde_json::json;

use crate::common::text;
use crate::jobs::bench;
use crate::jobs::job;
use crate::jobs::lines;
use crate::jobs::run;
use crate::jobs::with;

/// One planted fault: the lines, the kind that must name it, words that it must say.
fn planted() -> Vec<(Vec<Value>, &'static str, &'static str)> {
    let good = || job("W-1", "2026-01-01", "U1", 1);
    let unit = |job: Value| with(job, json!({"unit": "aa"}));
    let second = |fields: Value| with(job("W-2", "2026-02-01", "U1", 1), fields);
    vec![
        (
            vec![with(good(), json!({"closed_on": "yesterday"}))],
            "format",
            "closed_on",
        ),
        (
            vec![with(good(), json!({"complaint": ["sad"]}))],
            "word",
            "sad",
        ),
        (
            vec![with(good(), json!({"environment": ["sad"]}))],
            "word",
            "sad",
        ),
        (
            vec![good(), with(good(), json!({"id": "other"}))],
            "double",
            "W-1",
        ),
        (
            vec![with(
                good(),
                json!({"actions": [{"act": "bridge-or-jumper", "part": "F1", "role": "the-fix"}]}),
            )],
            "unsafe",
            "F1",
        ),
        (
            vec![good(), job("W-2", "2026-03-01", "L2", 1)],
            "contradiction",
            "L2",
        ),
        (
            vec![good(), job("W-2", "2026-01-03", "U1", 1)],
            "twin",
            "W-2",
        ),
        (vec![unit(good()), unit(second(json!({})))], "return", "W-2"),
        // Linked, and the first repair still stands as one that held.
        (
            vec![good(), second(json!({"follows": "W-1"}))],
            "return",
            "still stands",
        ),
        (vec![with(good(), json!({"follows": "W-9"}))], "link", "W-9"),
        (
            vec![with(good(), json!({"corrects": "i-9"}))],
            "link",
            "i-9",
        ),
        (
            vec![with(good(), json!({"outcome": "unknown-so-far"}))],
            "follow-up",
            "W-1",
        ),
        (vec![with(good(), json!({"board": "z"}))], "board", "z"),
        (vec![job("W-1", "2026-01-01", "U7", 1)], "part", "U7"),
        (vec![with(good(), json!({"rev": "C2"}))], "revision", "C2"),
        (
            vec![with(good(), json!({"confidence": "likely"}))],
            "proof",
            "W-1",
        ),
    ]
}

/// The same, of what a job lacks and of numbers and days.
fn planted_numbers() -> Vec<(Vec<Value>, &'static str, &'static str)> {
    let good = || job("W-1", "2026-01-01", "U1", 1);
    vec![
        (
            vec![with(good(), json!({"complaint": []}))],
            "missing",
            "complaint",
        ),
        (
            vec![with(
                good(),
                json!({"findings": [{"kind": "rail", "where": "3V3", "got_v": 3.3, "when": "after-action"}]}),
            )],
            "missing",
            "W-1",
        ),
        (
            vec![with(
                good(),
                json!({"findings": [{"kind": "current", "draw": "stuck", "got_a": 61, "limit_a": 1.0}]}),
            )],
            "number",
            "61",
        ),
        (
            vec![with(
                good(),
                json!({"findings": [
                    {"kind": "current", "draw": "stuck", "got_a": 0.1, "supply_v": 12},
                    {"kind": "rail", "where": "3V3", "expect_v": 3.3, "got_v": 33.1},
                ]}),
            )],
            "number",
            "33.1 V",
        ),
        (
            vec![with(
                good(),
                json!({"findings": [{"kind": "current", "draw": "cycling", "low_a": 0.2, "high_a": 0.1}]}),
            )],
            "number",
            "0.1 is below 0.2",
        ),
        (
            vec![with(good(), json!({"minutes_to_find": 90}))],
            "number",
            "90 minutes",
        ),
        (
            vec![with(good(), json!({"closed_on": "1970-01-01"}))],
            "day",
            "1970",
        ),
        (
            vec![with(good(), json!({"closed_on": "2030-01-01"}))],
            "day",
            "days from now",
        ),
    ]
}

#[test]
fn every_kind_of_planted_fault_is_named_with_its_place_and_what_to_do() {
    for (jobs, kind, words) in planted().into_iter().chain(planted_numbers()) {
        let bench = bench(&jobs);
        let before = bench.read("jobs/old.jsonl");
        let (found, code) = lines(&bench, &["jobs", "check", "--json"]);
        assert_eq!(code, 3, "{kind}");
        let kinds: Vec<&str> = found.iter().map(|f| f["kind"].as_str().unwrap()).collect();
        assert!(kinds.iter().all(|k| *k == kind), "{kind}: {kinds:?}");
        let one = found
            .iter()
            .find(|f| f["what"].as_str().unwrap().contains(words))
            .unwrap_or_else(|| panic!("{kind}: {words} is not in {found:?}"));
        assert_eq!(one["v"], 1);
        assert!(
            one["places"][0]
                .as_str()
                .unwrap()
                .starts_with("jobs/old.jsonl:"),
            "{one}"
        );
        assert!(!one["todo"].as_str().unwrap().is_empty(), "{one}");
        let severities = ["danger", "wrong", "missing", "doubtful"];
        assert!(
            severities.contains(&one["severity"].as_str().unwrap()),
            "{one}"
        );
        assert!(
            one["jobs"][0].is_string() && one["field"].is_string(),
            "{one}"
        );
        if let Some(mend) = one["mend"].as_str() {
            let number = one["jobs"][0].as_str().unwrap();
            assert!(
                mend.starts_with("benchlore ") && mend.contains(number),
                "{one}"
            );
        }
        let (plain, code) = run(&bench, &["jobs", "check"]);
        assert_eq!(code, 3);
        assert!(
            plain.contains(&format!("({kind}): ")) && plain.contains("To mend: "),
            "{plain}"
        );
        let (only, code) = lines(&bench, &["jobs", "check", "--json", "--only", kind]);
        assert_eq!((only.len(), code), (found.len(), 3));
        let other = if kind == "proof" { "part" } else { "proof" };
        assert_eq!(run(&bench, &["jobs", "check", "--only", other]).1, 0);
        assert_eq!(bench.read("jobs/old.jsonl"), before, "nothing is changed");
    }
}

/// Six jobs of one part, far enough apart to be no twins.
fn six() -> Vec<Value> {
    (1..=6)
        .map(|n| job(&format!("W-{n}"), &format!("2026-0{n}-01"), "U31", n * 100))
        .map(|job| with(job, json!({"board": "y"})))
        .collect()
}

#[test]
fn a_slip_of_the_pen_is_asked_about_and_nothing_is_taken_for_anything() {
    let mut jobs = six();
    jobs.push(with(
        job("W-9", "2026-09-01", "U13", 900),
        json!({"board": "y"}),
    ));
    let bench = bench(&jobs);
    let (found, code) = lines(&bench, &["jobs", "check", "--json", "--only", "designator"]);
    assert_eq!((found.len(), code), (1, 3));
    assert_eq!(found[0]["what"], "W-9: U13 on y: is it U31?");
    assert_eq!(found[0]["severity"], "doubtful");
    assert_eq!(found[0]["field"], "actions[0].part");
    assert_eq!(found[0]["places"], json!(["jobs/old.jsonl:7"]));
    assert_eq!(found[0]["mend"], "benchlore jobs correct W-9");
    let (found, _) = lines(&bench, &["jobs", "find", "--json", "U31"]);
    assert_eq!(found.len(), 6);
}

#[test]
fn a_card_of_a_repair_that_came_back_is_named_until_the_deck_is_built_again() {
    let unknown = json!({"outcome": "unknown-so-far", "unit": "aa"});
    let bench = bench(&[
        with(job("W-1", "2026-01-01", "U1", 1), unknown),
        with(
            job("W-2", "2026-02-01", "L2", 300),
            json!({"unit": "aa", "family": "buck"}),
        ),
    ]);
    assert!(bench.run(&["deck", "build"]).status.success());
    let only = ["jobs", "check", "--json", "--only", "card"];
    assert_eq!(lines(&bench, &only).1, 0);
    let back = [
        "jobs",
        "returned",
        "W-1",
        "--by",
        "W-2",
        "--cause",
        "diagnosis",
    ];
    assert_eq!(run(&bench, &back).1, 0);
    let (found, code) = lines(&bench, &only);
    assert_eq!((found.len(), code), (1, 3), "{found:?}");
    assert_eq!(found[0]["severity"], "wrong");
    assert_eq!(found[0]["jobs"], json!(["W-1"]));
    assert_eq!(found[0]["mend"], "benchlore deck build");
    assert!(bench.run(&["deck", "build"]).status.success());
    assert_eq!(lines(&bench, &only).1, 0);
}

#[test]
fn an_archive_of_successes_is_doubtful_and_circuits_without_a_job_are_only_a_note() {
    let many = |not: u32| -> Vec<Value> {
        (0..40)
            .map(|n| {
                let day = format!("2026-{:02}-{:02}", 1 + n % 9, 1 + n / 9);
                let job = with(job(&format!("W-{n}"), &day, "U1", 1000 * (n + 1)), json!({"board": "y"}));
                if n < not {
                    with(job, json!({"outcome": "no-fix", "no_fix_reason": "value-exceeded", "actions": []}))
                } else {
                    job
                }
            })
            .collect()
    };
    let (found, code) = lines(&bench(&many(0)), &["jobs", "check", "--json"]);
    let kinds: Vec<&str> = found.iter().map(|f| f["kind"].as_str().unwrap()).collect();
    assert_eq!((kinds, code), (vec!["only-fixed", "unused"], 3));
    let said = found[0]["what"].as_str().unwrap();
    assert!(
        said.contains("0 of 40 jobs") && said.contains("95 %"),
        "{said}"
    );
    let bench = bench(&many(8));
    let (found, code) = lines(&bench, &["jobs", "check", "--json"]);
    assert_eq!((found.len(), code), (1, 0), "{found:?}");
    assert_eq!(found[0]["severity"], "note");
    let (said, code) = run(&bench, &["jobs", "check"]);
    assert!(
        said.ends_with("Nothing to mend.\nTo know: 1 unused\n"),
        "{said}"
    );
    assert_eq!(code, 0);
}

#[test]
fn a_long_list_is_cut_unless_its_kind_is_asked_for() {
    let jobs: Vec<Value> = (1..=15)
        .map(|n| job(&format!("W-{n:02}"), "2026-01-01", "U1", 1000 * n))
        .map(|job| with(job, json!({"confidence": "likely"})))
        .collect();
    let bench = bench(&jobs);
    let (said, _) = run(&bench, &["jobs", "check"]);
    assert!(
        said.contains("(proof): 15\n") && said.contains("To mend: 15 proof"),
        "{said}"
    );
    assert!(
        said.contains("… and 3 more: `benchlore jobs check --only proof`"),
        "{said}"
    );
    assert!(said.contains("$ benchlore jobs correct W-12\n") && !said.contains("correct W-13"));
    let (said, _) = run(&bench, &["jobs", "check", "--only", "proof"]);
    assert!(said.contains("$ benchlore jobs correct W-15\n"), "{said}");
    assert_eq!(lines(&bench, &["jobs", "check", "--json"]).0.len(), 15);
}

#[test]
fn two_people_code_a_sample_and_kappa_says_how_far_they_agree() {
    let mut jobs = six();
    jobs.push(with(
        job("=9", "2026-09-01", "U13", 900),
        json!({"board": "y", "family": "buck"}),
    ));
    let bench = bench(&jobs);
    let sample = |seed: &str, n: &str| {
        let args = ["jobs", "check", "--coding-sample", n, "--seed", seed];
        let out = bench.run(&args);
        assert!(out.status.success());
        text(&out.stdout)
    };
    let sheet = sample("4", "7");
    assert_eq!(sheet, sample("4", "7"), "a seed repeats");
    assert_ne!(sheet, sample("5", "7"));
    assert_eq!(sample("4", "3").lines().count(), 4);
    assert!(sheet.starts_with("Job,Board,Revision,Complaint,Readings,Done,Proof,Circuit\r\n"));
    assert!(
        !sheet.contains("standby"),
        "the archive's own circuit is not in it:\n{sheet}"
    );
    let fill = |first: &str, ninth: &str| -> String {
        let filled = sheet.lines().map(|line| match line.split(',').next() {
            Some("Job") => line.to_owned(),
            Some("'=9") => format!("{line}{ninth}"),
            Some("W-1") => format!("{line}{first}"),
            _ => format!("{line}standby"),
        });
        filled.collect::<Vec<_>>().join("\r\n")
    };
    let files = bench.data().with_file_name("sheets");
    std::fs::create_dir_all(&files).unwrap();
    let put = |name: &str, text: &str| {
        let path = files.join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let (a, b) = (
        put("a.csv", &fill("standby", "buck")),
        put("b.csv", &fill("buck", "buck")),
    );
    // 6 of 7 alike; margins 6, 1 and 5, 2: chance (6 x 5 + 1 x 2) / 49; by hand kappa = 10 / 17.
    let (said, code) = lines(&bench, &["jobs", "check", "--json", "--coded", &a, &b]);
    let coding = &said[0]["coding"];
    assert_eq!(code, 0, "{said:?}");
    assert_eq!((&coding["n"], &coding["agreed"]), (&json!(7), &json!(6)));
    assert!(
        (coding["kappa"].as_f64().unwrap() - 10.0 / 17.0).abs() < 1e-9,
        "{coding}"
    );
    assert_eq!(coding["circuits"], json!(["standby", "buck"]));
    assert_eq!(coding["table"], json!([[5, 1], [0, 1]]));
    assert_eq!(
        coding["differ"],
        json!([{"job": "W-1", "first": "standby", "second": "buck"}])
    );
    let (plain, _) = run(&bench, &["jobs", "check", "--coded", &a, &b]);
    for words in [
        "Coded alike: 6 of 7, 86 % (95 %: ",
        "Kappa: 0.59 (95 %: ",
        "W-1: first standby, second buck",
    ] {
        assert!(plain.contains(words), "{words} is missing in\n{plain}");
    }
    let one = put("one.csv", &fill("standby", "standby"));
    let (said, code) = run(&bench, &["jobs", "check", "--coded", &one, &one]);
    assert!(said.contains("Kappa: undefined"), "{said}");
    assert_eq!(code, 0);
    let empty = put("empty.csv", &sheet);
    let (said, code) = run(&bench, &["jobs", "check", "--coded", &one, &empty]);
    assert!(
        said.contains("No job was coded by both") && said.contains("Not counted:"),
        "{said}"
    );
    assert_eq!(code, 3);
    assert_eq!(
        run(&bench, &["jobs", "check", "--coded", &one, "nowhere.csv"]).1,
        1
    );
    assert_eq!(run(&bench, &["jobs", "check", "--coded", &one]).1, 2);
    assert_eq!(run(&bench, &["jobs", "check", "--coding-sample", "0"]).1, 2);
}

#[test]
fn an_archive_in_order_has_nothing_to_mend() {
    let bench = bench(&[
        job("W-1", "2026-01-01", "U1", 1),
        job("W-2", "2026-06-01", "U1", 1),
        with(
            job("W-3", "2026-10-01", "L2", 1),
            json!({"rev": "B", "outcome": "unknown-so-far"}),
        ),
    ]);
    let (said, code) = run(&bench, &["jobs", "check"]);
    assert_eq!((said.as_str(), code), ("Nothing to mend.\n", 0));
    assert_eq!(run(&bench, &["jobs", "check", "--only", "mistakes"]).1, 2);
}
