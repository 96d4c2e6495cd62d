//! What `drill --json` promises beyond the plain course of a sitting: times, what was said aloud,
//! corrected cards, sittings that cannot be empty.

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::deck;
use crate::common::find;
use crate::common::text;

/// Answers the circuit of `question` rightly and returns its family.
fn say_circuit(
    drill: &mut crate::common::Drill,
    question: &Value,
    cards: &[Value],
    ms: u64,
) -> Value {
    let family = find(cards, question["card"].as_str().expect("an id"))["family"].clone();
    drill.ask(&json!({ "circuit": family, "ms": ms }));
    family
}

#[test]
fn said_aloud_the_program_claims_nothing_about_the_fix() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut drill = bench.drill(&[]);
    for grade in ["named", "missed"] {
        let question = drill.hear();
        say_circuit(&mut drill, &question, &cards, 1000);
        let reveal = drill.ask(&json!({ "aloud": true, "sure": 2, "ms": 1000 }));
        assert_eq!(reveal["fix_right"], Value::Null, "{reveal}");
        let kept = drill.ask(&json!({ "grade": grade }));
        assert_eq!(kept["kept"]["grade"], grade);
        let line = bench.journal("mk").pop().unwrap();
        assert_eq!(line["aloud"], true);
        assert_eq!(
            line["verdict"],
            json!({ "circuit": true, "fix": null, "unsafe": false })
        );
    }
    drill.finish();
    let later = ["--as-of", "2026-11-20T09:00:00Z"];
    let again = [&["drill", "--person", "mk", "--json"][..], &later[..]].concat();
    let out = bench.run_with(&again, "");
    let said = text(&out.stderr);
    assert!(!said.contains("b7.jsonl:"), "it reads again: {said}");
}

#[test]
fn the_ms_given_count_at_every_question_and_a_bad_one_is_refused() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut drill = bench.drill(&[]);
    let question = drill.hear();
    for bad in [json!(-1), json!("3"), json!(1.5)] {
        let answer = drill.ask(&json!({ "circuit": "standby", "ms": bad }));
        assert!(
            answer["error"].as_str().unwrap().contains("`ms`"),
            "{answer}"
        );
        assert_eq!(drill.hear(), question);
    }
    say_circuit(&mut drill, &question, &cards, 1000);
    drill.ask(&json!({ "typed": "replace Z999", "ms": 2000 }));
    let kept = drill.ask(&json!({ "stop": true, "ms": 4000 }));
    assert!(kept["kept"]["id"].is_string(), "{kept}");
    drill.finish();
    let line = &bench.journal("mk")[0];
    assert_eq!(
        line["ms"],
        json!({ "circuit": 1000, "answer": 2000, "reveal": 4000 })
    );
    assert_eq!(line["at"], "2026-11-20T08:00:07.000Z");
}

#[test]
fn two_sittings_at_one_moment_have_two_names() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut names = Vec::new();
    for _ in 0..2 {
        let mut drill = bench.drill(&[]);
        let question = drill.hear();
        drill.card(&question, &cards, true);
        let done = drill.finish().pop().unwrap();
        names.push(done["done"]["sitting"].as_str().unwrap().to_owned());
    }
    assert_ne!(names[0], names[1]);
}

#[test]
fn an_absurd_time_does_not_empty_the_sittings_after_it() {
    let bench = Bench::practice();
    let mut drill = bench.drill(&[]);
    drill.hear();
    drill.ask(&json!({ "circuit": "", "ms": u64::MAX }));
    drill.ask(&json!({ "aloud": true, "ms": u64::MAX }));
    assert!(drill.ask(&json!({ "ms": u64::MAX }))["kept"]["id"].is_string());
    drill.finish();
    let next = bench.drill(&["--as-of", "2026-11-22T08:00:00Z"]).hear();
    assert!(next["card"].is_string(), "{next}");
}

#[test]
fn the_aim_may_be_said_and_the_shop_may_say_it() {
    let bench = Bench::practice();
    let first = |args: &[&str]| {
        let mut drill = bench.drill(args);
        let question = drill.hear();
        drill.finish();
        question
    };
    assert!(first(&["--aim", "readiness"])["card"].is_string());
    let mut shop: Value = serde_json::from_str(&bench.read("shop.json")).unwrap();
    shop["aim"] = json!("readiness");
    bench.put("shop.json", &shop.to_string());
    assert_eq!(first(&[]), first(&["--aim", "readiness"]));
}

#[test]
fn a_card_whose_answer_was_corrected_says_so_once_and_starts_again() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut drill = bench.drill(&[]);
    let card = drill.hear();
    assert_eq!(card["corrected"], false);
    drill.card(&card, &cards, true);
    drill.finish();
    let id = card["card"].as_str().unwrap();
    let whole = bench.read("decks/shop.json");
    let mut decks: Value = serde_json::from_str(&whole).unwrap();
    let list = decks["cards"].as_array_mut().unwrap();
    let changed = list.iter_mut().find(|c| c["id"] == id).unwrap();
    changed["answers"] = json!([{ "act": "replace", "part": "L12" }]);
    bench.put("decks/shop.json", &decks.to_string());
    let cards = deck(&bench);
    let mut corrected = Vec::new();
    for day in ["2026-11-23", "2026-11-24"] {
        let at = format!("{day}T08:00:00Z");
        let mut drill = bench.drill(&["--as-of", &at]);
        let mut question = drill.hear();
        while question["ask"] == "circuit" {
            let kept = drill.card(&question, &cards, true);
            if question["corrected"] == true {
                corrected.push(question["card"].clone());
                assert_eq!(question["first_meeting"], false);
                assert_eq!(kept["kept"]["next_days"], 2, "a first review again: {kept}");
            }
            question = drill.hear();
        }
    }
    assert_eq!(corrected, [json!(id)]);
}
