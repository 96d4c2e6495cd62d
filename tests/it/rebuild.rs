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
    assert_eq!(code, Some(3), "who learned it is named first: {built}");
    assert_eq!(built["changes"][0]["what"], "contradicted");
    assert_eq!(
        built["changes"][0]["why"],
        "no longer made: came back for a wrong diagnosis in 2 jobs, 1 speaks for it: W-2, W-1"
    );
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
fn a_deck_that_cannot_be_read_is_built_over_only_with_apply_once_people_answered_its_cards() {
    let (bench, mut jobs) = learned();
    jobs.extend((11..=14).map(|number| job(number, "L12")));
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let torn = bench.read("decks/shop.json");
    let torn = &torn[..torn.len() / 2];
    bench.put("decks/shop.json", torn);
    let asked = bench.run(&["deck", "build"]);
    assert_eq!(asked.status.code(), Some(3), "{}", text(&asked.stderr));
    let said = text(&asked.stdout);
    assert!(said.contains("cannot be read"), "{said}");
    assert!(said.contains("benchlore deck build shop --apply"), "{said}");
    assert_eq!(bench.read("decks/shop.json"), torn, "nothing was written");
    bench.run(&["deck", "build", "--apply"]);
    let again = bench.run(&["deck", "build"]);
    assert_eq!(again.status.code(), Some(0), "{}", text(&again.stderr));
    // Whoever had learned the answer is told all the same.
    let drilled = bench.run_with(&["drill", "--person", "mk", "--json"], "{\"stop\":true}\n");
    let out = text(&drilled.stdout);
    let first: Value = serde_json::from_str(out.lines().next().expect("a line")).expect("JSON");
    assert_eq!(first["corrected"], json!(true), "{out}");
}

#[test]
fn a_deck_that_cannot_be_read_and_nobody_practised_with_is_built_anew() {
    let jobs: Vec<Value> = (1..=3).map(|number| job(number, "U31")).collect();
    let bench = Bench::with_files(&[("shop.json", SHOP), ("jobs/old.jsonl", &lines(&jobs))]);
    bench.put("decks/shop.json", "{\"v\":1,");
    bench.run(&["deck", "build"]);
    let again = bench.run(&["deck", "build"]);
    assert_eq!(again.status.code(), Some(0), "{}", text(&again.stderr));
}

#[test]
fn a_fix_that_was_wrong_too_often_is_asked_no_more_and_what_was_answered_stays() {
    let (bench, mut jobs) = learned();
    jobs.push(job(11, "L12"));
    wrongly_diagnosed(&mut jobs[..2]);
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let asked = bench.run(&["deck", "build"]);
    let said = text(&asked.stdout);
    assert_eq!(asked.status.code(), Some(3), "{said}");
    for line in [
        "petrel-p4: replace U31 (standby): no longer made: came back for a wrong diagnosis in 2 \
         jobs, 1 speaks for it: W-2, W-1",
        "Still under warranty, petrel-p4: replace U31:\n  W-3, closed 4 Oct 2026",
        "learned by MK: petrel-p4: replace U31 (standby); no longer made",
    ] {
        assert!(said.contains(line), "{line}\n{said}");
    }
    let journal = bench.read("people/mk/b7.jsonl");
    assert_eq!(
        bench.run(&["deck", "build", "--apply"]).status.code(),
        Some(0)
    );
    let drilled = bench.run_with(&["drill", "--person", "mk", "--json"], "{\"stop\":true}\n");
    let out = text(&drilled.stdout);
    assert!(!out.contains("U31"), "{out}");
    let deck = bench.read("decks/shop.json");
    assert!(deck.contains("L12"), "{deck}");
    let asks = |card: &Value| card["answers"][0]["part"] == "U31";
    let deck: Value = serde_json::from_str(&deck).expect("JSON");
    assert!(!deck["cards"].as_array().expect("cards").iter().any(asks));
    assert!(bench.read("people/mk/b7.jsonl").starts_with(&journal));
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

/// The shop of `learned`, with a lead and twelve jobs of U31, the last of them late in October.
fn with_lead() -> (Bench, Vec<Value>) {
    let (bench, mut jobs) = learned();
    let lead = bench.run(&["people", "add", "TL", "--role", "lead"]);
    assert!(lead.status.success());
    jobs.extend((4..=12).map(|number| job(number, "U31")));
    bench.put("jobs/old.jsonl", &lines(&jobs));
    assert!(bench.run(&["deck", "build"]).status.success());
    (bench, jobs)
}

fn id_of(bench: &Bench, kind: &str) -> String {
    let shown = bench.run(&["deck", "show", "--json"]);
    let shown = text(&shown.stdout);
    let mut cards = shown
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).expect("JSON"));
    let found = cards.find(|c| c["kind"] == kind).expect("a card");
    found["id"].as_str().expect("an id").to_owned()
}

fn wrongly_diagnosed(jobs: &mut [Value]) {
    for job in jobs {
        job["outcome"] = json!("bounced-same-fault");
        job["bounce_cause"] = json!("diagnosis");
    }
}

fn row(bench: &Bench, card: &str) -> Value {
    let listed = bench.run(&["deck", "desk", "--json", "--all"]);
    let listed = text(&listed.stdout);
    let mut rows = listed
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).expect("JSON"));
    rows.find(|row| row["card"] == card)
        .expect("the card's row")
}

#[test]
fn an_unsigned_card_whose_repairs_mostly_came_back_is_contradicted_on_the_desk() {
    let (bench, mut jobs) = with_lead();
    let card = id_of(&bench, "fix");
    assert_eq!(row(&bench, &card)["reasons"], json!(["seen"]));
    wrongly_diagnosed(&mut jobs[..6]);
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let built = bench.run(&["deck", "build", "--apply"]);
    assert!(built.status.success(), "{}", text(&built.stderr));
    let row = row(&bench, &card);
    assert_eq!(row["reasons"][0], "contradicted", "{row}");
    let said = row["said"][0].as_str().expect("words");
    assert!(
        said.starts_with("6 of 12 jobs like it came back, wrong diagnosis. Still under warranty: "),
        "{said}"
    );
    assert!(said.contains("W-12 ("), "{said}");
}

#[test]
fn a_return_after_signing_stays_on_the_desk_when_the_rebuilt_card_shows_another_job() {
    let (bench, mut jobs) = with_lead();
    let card = id_of(&bench, "fix");
    let signed = bench.run(&["deck", "sign", &card, "--person", "tl"]);
    assert!(signed.status.success(), "{}", text(&signed.stderr));
    let later = "2026-11-25T08:00:00Z";
    let mut back = job(99, "L12");
    back["closed_on"] = json!("2026-11-24");
    back["follows"] = json!("W-12");
    back["unit"] = jobs[11]["unit"].clone();
    back["findings"][0]["verdict"] = json!("absent");
    wrongly_diagnosed(&mut jobs[11..]);
    jobs[10]["rev"] = json!("C");
    jobs.push(back);
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let built = bench.run(&["deck", "build", "--apply", "--as-of", later]);
    assert!(built.status.success(), "{}", text(&built.stderr));
    // Whatever the front shows now, the signature is of before the return.
    let stem = bench.run(&["deck", "stem", &card, "What now?", "--person", "tl"]);
    assert!(stem.status.success(), "{}", text(&stem.stderr));
    let listed = bench.run(&["deck", "desk", "--as-of", later]);
    let listed = text(&listed.stdout);
    let at = listed.find(&card).expect("the card");
    let said = listed[at..].lines().nth(1).expect("its reasons");
    assert!(
        said.contains("W-12 came back, wrong diagnosis, after it was signed"),
        "{said}"
    );
    assert!(said.contains("changed since TL signed it"), "{said}");
}

#[test]
fn taking_a_card_out_names_the_units_that_are_still_under_warranty() {
    let (bench, _) = with_lead();
    let card = id_of(&bench, "fix");
    let out = bench.run(&["deck", "tag", &card, "wrong", "--person", "tl"]);
    let said = text(&out.stdout);
    assert!(said.contains("Still under warranty: W-"), "{said}");
}

#[test]
fn a_trainee_cannot_stand_under_a_correction_and_a_lead_can() {
    let (bench, mut jobs) = with_lead();
    jobs.extend((21..=29).map(|number| job(number, "L12")));
    bench.put("jobs/old.jsonl", &lines(&jobs));
    let refused = bench.run(&["deck", "build", "--apply", "--person", "mk"]);
    assert_eq!(refused.status.code(), Some(1));
    let why = text(&refused.stderr);
    assert!(why.contains("MK is no lead"), "{why}");
    assert!(!bench.shop().join("edits").exists(), "nothing was written");
    let done = bench.run(&["deck", "build", "--apply", "--person", "tl"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
}
