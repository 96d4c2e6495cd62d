//! The charge that stays in capacitors stands on every card whose work meets it.
//!
//! The 50 V are the limit of extra-low voltage for a.c. (IEC 61140, from memory); they are read here from
//! the shop's files once more rather than taken from the program.

use serde_json::Value;

use benchlore::domain::caution;
use benchlore::domain::families;

use crate::common::Bench;
use crate::common::text;
use crate::practice_shop;

const FROM_VOLTS: f64 = 50.0;
const STORED: &str = "stored-charge";

fn list<'a>(value: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> + use<'a> {
    value[key].as_array().into_iter().flatten()
}

/// Tells whether a finding of a file is a level that high: read, of a good board, or expected.
fn is_high(finding: &Value) -> bool {
    let level = finding["kind"] == "rail" || finding["kind"] == "signal";
    let high = |key: &&str| {
        finding[*key]
            .as_f64()
            .is_some_and(|v| FROM_VOLTS <= v.abs())
    };
    level
        && ["got_v", "good_v", "expect_v", "low_v", "high_v"]
            .iter()
            .any(high)
}

/// What the program says of the shipped archive, and the boards it is about.
fn built() -> (Vec<Value>, Vec<Value>) {
    let bench = Bench::practice();
    let ran = bench.run(&["deck", "build", "--apply"]);
    assert!(ran.status.success(), "{}", text(&ran.stderr));
    let deck: Value = serde_json::from_str(&bench.read("decks/shop.json")).expect("JSON");
    let (shop, _) = practice_shop::shipped();
    let boards = shop.boards.iter().map(|board| {
        let file = bench.read(&format!("boards/{}.json", board.id));
        let mut value: Value = serde_json::from_str(&file).expect("JSON");
        value["safety"] = board.safety.clone().into();
        value
    });
    (list(&deck, "cards").cloned().collect(), boards.collect())
}

#[test]
fn every_card_of_the_practice_shop_that_meets_mains_or_fifty_volts_says_so() {
    let (cards, boards) = built();
    let (mut of_mains, mut high) = (0, 0);
    for card in cards.iter().filter(|card| card["board"] != "") {
        let said = |word: &str| list(card, "cautions").any(|c| c == word);
        let board = boards.iter().find(|b| b["board"] == card["board"]);
        let board = board.expect("it is described");
        let mains = list(board, "safety").any(|word| word == "mains")
            || list(board, "families").any(|family| family == "isolated");
        if mains {
            of_mains += 1;
            assert!(said("mains") && said(STORED), "{}", card["id"]);
        }
        let good = |place: &Value| list(board, "good").any(|g| g["where"] == *place && is_high(g));
        let sides = || list(card, "sides");
        let shown = list(card, "front").chain(list(card, "held_back"));
        let shown = shown.chain(sides().flat_map(|s| list(s, "front").chain(list(s, "separates"))));
        let met = shown.into_iter().any(|f| is_high(f) || good(&f["where"]));
        let answers = list(card, "answers").chain(sides().map(|side| &side["answer"]));
        // One step stands for itself.
        let mut steps = answers.flat_map(|answer| list(answer, "steps").chain([answer]));
        let part = |name: &Value| &board["parts"][name.as_str().unwrap_or_default()];
        let at_part = steps.any(|step| good(&part(&step["part"])["rail"]));
        let parts = board["parts"]
            .as_object()
            .into_iter()
            .flat_map(|parts| parts.values());
        let mut of_circuit = parts.filter(|part| part["family"] == card["family"]);
        if met || at_part || of_circuit.any(|part| good(&part["rail"])) {
            high += 1;
            assert!(said(STORED), "{}: {}", card["id"], card["cautions"]);
        }
    }
    assert!(0 < of_mains && 0 < high, "{of_mains}, {high}");
}

#[test]
fn mains_brings_the_charge_behind_it_in_every_circuit_of_every_board() {
    let (shop, _) = practice_shop::shipped();
    let words = |list: &[&str]| -> Vec<String> { list.iter().map(|w| (*w).to_owned()).collect() };
    let wet = words(&["liquid-entry"]);
    let mut met = 0;
    for board in &shop.boards {
        let mut with_mains = board.safety.clone();
        with_mains.push("mains".to_owned());
        for family in families::built_in() {
            for (safety, sure) in [(&board.safety, false), (&with_mains, true)] {
                for complaint in [&Vec::new(), &wet] {
                    let said = caution::for_card(
                        safety,
                        &family.id,
                        complaint,
                        &words(&["salt-water"]),
                        &["clean", "replace"],
                    );
                    let has = |word: &str| said.iter().any(|c| c == word);
                    assert!(!sure || has("mains"), "{} {}", board.id, family.id);
                    if has("mains") {
                        met += 1;
                        assert!(has(STORED), "{} {}: {said:?}", board.id, family.id);
                    }
                }
            }
        }
    }
    assert!(0 < met);
}
