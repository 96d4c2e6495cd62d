//! Cards that ask for no circuit, over the wire and in plain lines.

use std::path::Path;

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::text;
use crate::rule_answers::ANSWERS;

/// A practice shop with the deck of bench safety beside its own.
fn bench() -> Bench {
    let bench = Bench::practice();
    let deck = Path::new(env!("CARGO_MANIFEST_DIR")).join("decks/bench-safety.json");
    let deck = std::fs::read_to_string(deck).expect("it ships");
    bench.put("decks/bench-safety.json", &deck);
    bench
}

fn answers(question: &Value) -> (&'static str, &'static str) {
    let stem = question["stem"].as_str().expect("a question in words");
    let (_, right, wrong) = ANSWERS
        .iter()
        .find(|(asked, ..)| *asked == stem)
        .expect("every rule has its answers");
    (right, wrong)
}

#[test]
fn a_rule_is_one_question_and_its_points_come_with_the_verdict() {
    let bench = bench();
    let mut drill = bench.drill(&["--deck", "bench-safety"]);
    let question = drill.hear();
    for (key, value) in [
        ("v", json!(1)),
        ("ask", json!("answer")),
        ("kind", json!("rule")),
        ("mode", json!("drill")),
        ("board", json!("")),
        ("sides", json!([])),
        ("cautions", json!([])),
    ] {
        assert_eq!(question[key], value, "{key}: {question}");
    }
    assert!(question["left"]["minutes"].is_number(), "{question}");
    let (right, wrong) = answers(&question);
    let reveal = drill.ask(&json!({ "typed": right, "sure": 2, "ms": 5000 }));
    assert_eq!(reveal["circuit_right"], Value::Null, "{reveal}");
    assert_eq!(reveal["fix_right"], true, "{reveal}");
    assert_eq!(reveal["proposed"], "named");
    let points = reveal["reveal"]["points"].as_array().expect("points");
    let needed = points.iter().filter(|p| p["needed"] == true);
    assert!(needed.clone().count() > 0 && needed.clone().all(|p| p["said"] == true));
    assert!(reveal["reveal"]["source"].is_string(), "{reveal}");
    assert!(drill.ask(&json!({ "undo": true }))["undone"] == true);
    assert_eq!(drill.hear(), question, "back at its only question");
    let reveal = drill.ask(&json!({ "typed": wrong, "sure": 2, "ms": 5000 }));
    assert_eq!(reveal["fix_right"], false, "{reveal}");
    let kept = drill.ask(&json!({ "ms": 1000 }));
    assert_eq!(kept["kept"]["grade"], reveal["proposed"], "{kept}");
    drill.finish();
    let line = bench.journal("mk").pop().expect("a line");
    assert_eq!(line["verdict"]["circuit"], Value::Null);
    assert_eq!(line.get("circuit"), None, "none was asked: {line}");
    let list = bench.run(&["drill", "--person", "mk", "--json", "--spot-check", "4"]);
    assert!(
        !text(&list.stdout).contains("\"rule\""),
        "no circuit to measure"
    );
}

#[test]
fn a_rule_for_every_board_stays_out_of_one_boards_drill() {
    let bench = bench();
    let first = |args: &[&str]| bench.drill(args).hear();
    let board = first(&["--deck", "shop"])["board"].clone();
    let board = board.as_str().expect("a board");
    let out = bench.drill(&["--deck", "bench-safety", "--board", board]);
    let rest = out.finish();
    assert_eq!(rest[0]["done"]["cards"], 0, "{rest:?}");
}

#[test]
fn plain_lines_ask_a_rule_and_say_which_points_were_named() {
    let bench = bench();
    let args = [
        "drill",
        "--plain",
        "--person",
        "mk",
        "--deck",
        "bench-safety",
    ];
    let out = bench.run_with(&args, "no idea\n\n\n/stop\n");
    let lines = text(&out.stdout);
    assert!(
        lines.contains("Board: Bench rule, for every board"),
        "{lines}"
    );
    assert!(lines.contains("Question: "), "{lines}");
    assert!(!lines.contains("Which circuit"), "{lines}");
    assert!(lines.contains("(not said)"), "{lines}");
    assert!(lines.contains("Source: "), "{lines}");
    assert!(!lines.contains("Evidence: "), "{lines}");
    let shown = bench.run(&["deck", "show", "bench-safety"]);
    assert!(text(&shown.stdout).contains("Point: "));
}
