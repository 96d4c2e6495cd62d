//! `deck build` on an archive that has changed: what it says, what it asks for, what people see next.

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::text;

const SHOP: &str = r#"{"v":1,"name":"Sample","zone":"Europe/Dublin","boards":[{"id":"petrel-p4","name":"Petrel P4","kind":"display"}]}"#;

/// A job of the board: `part` was replaced, the standby rail was low.
fn job(number: u32, part: &str) -> Value {
    json!({
        "v": 1, "id": format!("j-{number}"), "job": format!("W-{number}"),
        "closed_on": format!("2026-10-{:02}", 1 + number % 28), "board": "petrel-p4", "rev": "B",
        "unit": format!("{number:08x}"), "complaint": ["no-power"],
        "findings": [{"kind": "rail", "where": "3V3_SB", "state": "standby", "verdict": "low"}],
        "family": "standby", "actions": [{"act": "replace", "part": part, "role": "the-fix"}],
        "outcome": "held", "confidence": "proved",
    })
}

fn lines(jobs: &[Value]) -> String {
    let lines: Vec<String> = jobs.iter().map(Value::to_string).collect();
    lines.join("\n") + "\n"
}

/// Three jobs ended in U31; MK has learned the card.
fn learned() -> (Bench, Vec<Value>) {
    let jobs: Vec<Value> = (1..=3).map(|number| job(number, "U31")).collect();
    let bench = Bench::with_files(&[("shop.json", SHOP), ("jobs/old.jsonl", &lines(&jobs))]);
    assert!(bench.run(&["people", "add", "MK"]).status.success());
    assert!(bench.run(&["deck", "build"]).status.success());
    let said = "{\"circuit\":\"standby\"}\n{\"typed\":\"replace U31\"}\n{\"grade\":\"named\"}\n{\"stop\":true}\n";
    let drilled = bench.run_with(&["drill", "--person", "mk", "--json"], said);
    assert!(
        text(&drilled.stdout).contains("\"kept\""),
        "{}",
        text(&drilled.stdout)
    );
    (bench, jobs)
}

fn json_of(bench: &Bench, args: &[&str]) -> (Value, Option<i32>) {
    let ran = bench.run(args);
    let out = text(&ran.stdout);
    let value = serde_json::from_str(out.lines().next().expect("a line")).expect("JSON");
    (value, ran.status.code())
}

#[test]
fn a_learned_answer_changes_only_with_apply_and_is_then_shown_first() {
    let (bench, mut jobs) = learned();
    jobs.extend((11..=14).map(|number| job(number, "L12")));
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let before = bench.read("decks/shop.json");

    let asked = bench.run(&["deck", "build"]);
    assert_eq!(asked.status.code(), Some(3), "{}", text(&asked.stderr));
    let said = text(&asked.stdout);
    assert!(
        said.contains("learned by MK: petrel-p4: replace U31 (standby)"),
        "{said}"
    );
    assert!(
        said.contains("now replace U31 or replace L12 (standby)"),
        "{said}"
    );
    assert!(said.contains("benchlore deck build shop --apply"), "{said}");
    assert_eq!(bench.read("decks/shop.json"), before, "nothing was written");
    let edits = bench.shop().join("edits");
    assert!(!edits.exists());

    let applied = bench.run(&["deck", "build", "--apply"]);
    assert_eq!(applied.status.code(), Some(0), "{}", text(&applied.stderr));
    let again = bench.run(&["deck", "build"]);
    assert_eq!(again.status.code(), Some(0));
    assert!(text(&again.stdout).contains("nothing was written"));

    let said = "{\"circuit\":\"standby\"}\n{\"typed\":\"replace L12\"}\n{\"stop\":true}\n";
    let drilled = bench.run_with(&["drill", "--person", "mk", "--json"], said);
    let out = text(&drilled.stdout);
    let first: Value = serde_json::from_str(out.lines().next().expect("a line")).expect("JSON");
    assert_eq!(first["corrected"], json!(true), "{out}");
    assert!(
        !out.lines().next().expect("a line").contains("L12"),
        "{out}"
    );
    let line = "corrected: was replace U31 (standby), now replace U31 or replace L12 (standby)";
    assert!(out.contains(line), "{out}");
    let journal = bench.read("people/mk/b7.jsonl");
    assert!(
        1 < journal.lines().count(),
        "the review of before is still there: {journal}"
    );
}

#[test]
fn without_anything_learned_a_changed_deck_is_written_at_once() {
    let (bench, mut jobs) = learned();
    jobs.extend((11..=12).map(|number| job(number, "U31")));
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let (built, code) = json_of(&bench, &["deck", "build", "--json"]);
    assert_eq!(code, Some(0));
    assert_eq!(
        (&built["waits"], &built["changed"]),
        (&json!(false), &json!(true))
    );
    let change = &built["changes"][0];
    assert_eq!(change["what"], "strengthened");
    assert_eq!(built["learned"], json!([]));
}

#[test]
fn a_discredited_fix_lists_the_units_still_under_warranty_and_no_serial() {
    let (bench, mut jobs) = learned();
    for job in &mut jobs[..2] {
        job["outcome"] = json!("bounced-same-fault");
        job["bounce_cause"] = json!("diagnosis");
    }
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let (built, code) = json_of(&bench, &["deck", "build", "--json"]);
    assert_eq!(code, Some(0), "{built}");
    assert_eq!(built["changes"][0]["what"], "contradicted");
    let at_risk = built["at_risk"].as_array().expect("a list");
    assert_eq!(at_risk.len(), 1, "{built}");
    assert_eq!(
        (&at_risk[0]["job"], &at_risk[0]["closed_on"]),
        (&json!("W-3"), &json!("2026-10-04"))
    );
    assert!(!built.to_string().contains("00000003"), "{built}");
}

#[test]
fn a_learned_card_that_vanishes_waits_as_well() {
    let (bench, _) = learned();
    bench.put("jobs/old.jsonl", &lines(&[job(11, "L12")]));
    let (built, code) = json_of(&bench, &["deck", "build", "--json"]);
    assert_eq!((code, &built["waits"]), (Some(3), &json!(true)));
    assert_eq!(built["learned"][0]["who"], json!(["MK"]));
    assert_eq!(built["learned"][0]["now"], Value::Null);
    let (built, code) = json_of(&bench, &["deck", "build", "--apply", "--json"]);
    assert_eq!((code, &built["changed"]), (Some(0), &json!(true)));
    let (shown, _) = json_of(&bench, &["deck", "show", "--json"]);
    assert_eq!(shown["answers"][0]["part"], "L12");
}

#[test]
fn a_person_nobody_knows_writes_no_correction() {
    let (bench, mut jobs) = learned();
    jobs.extend((11..=14).map(|number| job(number, "L12")));
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let before = bench.read("decks/shop.json");
    let ran = bench.run(&["deck", "build", "--apply", "--person", "zz"]);
    assert_eq!(ran.status.code(), Some(1), "{}", text(&ran.stdout));
    assert_eq!(bench.read("decks/shop.json"), before);
}
