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
    let family = find(cards, question["card"].as_str().unwrap())["family"].clone();
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
    let out = bench.run_with(&["drill", "--person", "mk", "--json"], "");
    assert!(!text(&out.stderr).contains("b7.jsonl:"), "it reads again");
}
