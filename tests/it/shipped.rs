//! How a shop gets the decks that ship with the program.

use serde_json::Value;

use crate::common::Bench;
use crate::common::text;

fn empty_shop() -> Bench {
    Bench::with_files(&[("shop.json", r#"{"v":1,"name":"Quay Bench","boards":[]}"#)])
}

#[test]
fn a_shipped_deck_is_named_until_it_is_in_the_shop() {
    let bench = empty_shop();
    let list = bench.run(&["deck", "list"]);
    assert_eq!(list.status.code(), Some(0), "{}", text(&list.stderr));
    let said = text(&list.stdout);
    for line in [
        "bench-rules: Bench rules, ",
        "  ships with the program: benchlore deck add bench-rules",
        "  ships with the program: benchlore deck add bench-safety",
    ] {
        assert!(said.contains(line), "{said}");
    }
    let added = bench.run(&["deck", "add", "bench-safety"]);
    assert_eq!(added.status.code(), Some(0), "{}", text(&added.stderr));
    assert!(text(&added.stdout).starts_with("Added bench-safety: Bench safety, "));
    let said = text(&bench.run(&["deck", "list"]).stdout);
    assert!(!said.contains("deck add bench-safety"), "{said}");
    assert!(said.contains("deck add bench-rules"), "{said}");
    let lines = text(&bench.run(&["deck", "list", "--json"]).stdout);
    let decks: Vec<Value> = lines
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let here = |deck: &Value| (deck["deck"].clone(), deck["in_shop"].clone());
    let found: Vec<_> = decks.iter().map(here).collect();
    let expected = [("bench-safety", true), ("bench-rules", false)];
    assert_eq!(
        found,
        expected.map(|(deck, there)| (deck.into(), there.into()))
    );
}

#[test]
fn a_deck_in_the_shop_is_never_written_over() {
    let bench = empty_shop();
    let add = || bench.run(&["deck", "add", "bench-rules", "--json"]);
    let first: Value = serde_json::from_slice(&add().stdout).expect("JSON");
    assert_eq!(first["added"], true);
    let again: Value = serde_json::from_slice(&add().stdout).expect("JSON");
    assert_eq!(
        (&again["added"], &again["cards"]),
        (&false.into(), &first["cards"])
    );
    let mine = r#"{"v":1,"deck":"bench-rules","name":"Mine","from":"","cards":[]}"#;
    bench.put("decks/bench-rules.json", mine);
    let refused = add();
    let said = text(&refused.stderr);
    assert_eq!(refused.status.code(), Some(1), "{said}");
    assert!(
        said.contains("stays as it is") && said.contains("rename"),
        "{said}"
    );
    assert_eq!(bench.read("decks/bench-rules.json"), mine);
}

#[test]
fn no_build_takes_the_place_of_bench_rules() {
    let bench = Bench::shipped();
    let before = bench.read("decks/bench-safety.json");
    let rules = bench.read("decks/bench-rules.json");
    bench.put(
        "decks/ours.json",
        &rules.replace(r#""deck":"bench-rules""#, r#""deck":"ours""#),
    );
    for name in ["bench-safety", "ours"] {
        let refused = bench.run(&["deck", "build", name]);
        let said = text(&refused.stderr);
        assert_eq!(refused.status.code(), Some(1), "{said}");
        assert!(
            said.contains("bench rules") && said.contains("another name"),
            "{said}"
        );
    }
    assert_eq!(bench.read("decks/bench-safety.json"), before);
    assert!(bench.run(&["deck", "build", "harbour"]).status.success());
}

#[test]
fn the_practice_shop_has_both_and_a_deck_that_does_not_ship_is_wrong_usage() {
    let bench = Bench::shipped();
    let said = text(&bench.run(&["deck", "list"]).stdout);
    let names: Vec<&str> = said.lines().filter_map(|l| l.split(':').next()).collect();
    assert_eq!(names, ["bench-rules", "bench-safety", "shop"]);
    let wrong = bench.run(&["deck", "add", "shop"]);
    let said = text(&wrong.stderr);
    assert_eq!(wrong.status.code(), Some(2), "{said}");
    assert!(said.contains("bench-rules, bench-safety"), "{said}");
    let shown = bench.run(&["deck", "show", "bench-safety"]);
    assert_eq!(shown.status.code(), Some(0), "{}", text(&shown.stderr));
    let said = text(&shown.stdout);
    for line in [
        "Question: A bowl of isopropyl alcohol",
        "Point: ventilation",
        "Point, not needed: a bleeder can be open",
        "Source: NIOSH Pocket Guide, entry 0359",
        "Caution: Mains: qualified person only.",
    ] {
        assert!(said.contains(line), "{line}: {said}");
    }
    assert!(
        !said.contains("Evidence"),
        "a rule rests on its source: {said}"
    );
}
