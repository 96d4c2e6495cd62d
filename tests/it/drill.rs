//! `drill --json` and `--plain` on the practice shop: what is asked, kept, taken back.

use std::collections::BTreeMap;

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::deck;
use crate::common::find;
use crate::common::text;

/// Plays a whole sitting; every card whose turn `right` says so is answered rightly.
fn sit(bench: &Bench, more: &[&str], right: impl Fn(usize) -> bool) -> (Vec<Value>, Value) {
    let cards = deck(bench);
    let mut drill = bench.drill(more);
    let mut asked = Vec::new();
    loop {
        let question = drill.hear();
        if !question["done"].is_null() {
            return (asked, question);
        }
        let kept = drill.card(&question, &cards, right(asked.len()));
        assert!(kept["kept"]["id"].is_string(), "{kept}");
        asked.push(question);
    }
}

#[test]
fn a_whole_sitting_keeps_every_answer_before_the_next_card() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut drill = bench.drill(&[]);
    let mut kept = 0;
    loop {
        let question = drill.hear();
        if !question["done"].is_null() {
            assert_eq!(question["done"]["cards"], kept);
            break;
        }
        let line = drill.card(&question, &cards, kept % 4 != 1);
        kept += 1;
        let journal = bench.journal("mk");
        assert_eq!(
            journal.len(),
            kept,
            "the journal holds what was acknowledged"
        );
        let last = journal.last().expect("a line");
        assert_eq!(last["id"], line["kept"]["id"]);
        assert_eq!(last["seq"], kept);
        assert_eq!(last["day"], "2026-11-20");
        assert_eq!(
            last["ms"],
            json!({ "circuit": 3000, "answer": 5000, "reveal": 2000 })
        );
    }
    assert!(10 < kept, "{kept} cards");
}

#[test]
fn the_same_clock_and_seed_ask_the_same_and_the_clock_moves_by_the_ms_given() {
    let first = sit(&Bench::practice(), &[], |n| n % 3 != 0);
    let second = sit(&Bench::practice(), &[], |n| n % 3 != 0);
    assert_eq!(first, second);
    let (asked, done) = first;
    let ten_seconds_each = 10.0 * f64::from(u32::try_from(asked.len()).unwrap()) / 60.0;
    let minutes = done["done"]["minutes"].as_f64().unwrap();
    assert!(
        (minutes - ten_seconds_each).abs() < 0.051,
        "{minutes} against {ten_seconds_each}"
    );
}

#[test]
fn a_right_card_waits_for_another_day_and_a_missed_first_guess_comes_back_once() {
    let bench = Bench::practice();
    let (asked, _) = sit(&bench, &[], |n| n != 1);
    let mut times: BTreeMap<&str, usize> = BTreeMap::new();
    for question in &asked {
        *times.entry(question["card"].as_str().unwrap()).or_default() += 1;
    }
    let missed = asked[1]["card"].as_str().unwrap();
    for (card, n) in &times {
        assert_eq!(*n, if *card == missed { 2 } else { 1 }, "{card}");
    }
    let again = asked.iter().rposition(|q| q["card"] == missed).unwrap();
    assert!(
        asked.len() - 3 <= again,
        "near the end: {again} of {}",
        asked.len()
    );
    let (later, _) = sit(&bench, &[], |_| true);
    for question in &later {
        assert!(
            !times.contains_key(question["card"].as_str().unwrap()),
            "asked twice today"
        );
    }
}

#[test]
fn no_two_cards_of_one_fix_stand_in_a_row_over_many_days() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut spots = 0;
    for day in 1..=12 {
        let at = format!("2026-12-{day:02}T08:00:00Z");
        let (asked, _) = sit(&bench, &["--as-of", &at], |n| n % 5 != 2);
        let fixes: Vec<String> = asked
            .iter()
            .map(|q| {
                let card = find(&cards, q["card"].as_str().unwrap());
                match &card["answers"][0] {
                    Value::Null => card["id"].to_string(),
                    answer => format!("{} {answer}", card["board"]),
                }
            })
            .collect();
        for (pair, asks) in fixes.windows(2).zip(asked.windows(2)) {
            assert!(
                pair[0] != pair[1] || asks[1]["card"] == asks[0]["card"],
                "{pair:?}"
            );
        }
        let today = asked.iter().filter(|q| q["mode"] == "spot-check").count();
        assert!(today <= 4, "{today} spot checks");
        spots += today;
    }
    assert!(30 < spots, "{spots} spot checks in twelve sittings");
}

#[test]
fn an_unsafe_answer_is_missed_and_stays_so() {
    let bench = Bench::practice();
    let mut drill = bench.drill(&[]);
    let question = drill.hear();
    let cards = deck(&bench);
    let family = find(&cards, question["card"].as_str().unwrap())["family"].clone();
    drill.ask(&json!({ "circuit": family }));
    let reveal = drill.ask(&json!({ "typed": "bridge the fuse and see", "sure": 3 }));
    assert_eq!(reveal["proposed"], "missed");
    assert_eq!(reveal["fix_right"], false);
    assert!(reveal["unsafe"]["why"].is_string(), "{reveal}");
    let refused = drill.ask(&json!({ "overrule": true, "grade": "on-sight" }));
    assert!(refused["refused"].is_string(), "{refused}");
    assert_eq!(drill.hear()["kept"]["grade"], "missed");
    drill.finish();
    let line = &bench.journal("mk")[0];
    assert_eq!(line["grade"], "missed");
    assert_eq!(line["verdict"]["unsafe"], true);
    assert_eq!(line["overruled"], false);
}

#[test]
fn undo_reaches_the_start_of_the_sitting_and_the_journal_says_so() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut drill = bench.drill(&[]);
    let first = drill.hear();
    drill.card(&first, &cards, true);
    let second = drill.hear();
    drill.card(&second, &cards, true);
    drill.hear();
    assert_eq!(drill.ask(&json!({ "undo": true }))["undone"], true);
    assert_eq!(drill.hear()["card"], second["card"]);
    assert_eq!(drill.ask(&json!({ "undo": true }))["undone"], true);
    assert_eq!(drill.hear()["card"], first["card"]);
    assert_eq!(drill.ask(&json!({ "undo": true }))["undone"], false);
    let rest = drill.finish();
    assert_eq!(rest.last().unwrap()["done"]["cards"], 0);
    let events: Vec<_> = bench
        .journal("mk")
        .iter()
        .map(|l| l["ev"].clone())
        .collect();
    assert_eq!(events, ["answer", "answer", "undo", "undo"]);
}

#[test]
fn a_card_that_a_lead_tags_out_leaves_use_for_everyone_until_it_is_put_back() {
    let bench = Bench::practice();
    assert!(
        bench
            .run(&["people", "add", "TL", "--role", "lead"])
            .status
            .success()
    );
    let mut drill = bench.drill(&["--person", "tl"]);
    let card = drill.hear()["card"].as_str().unwrap().to_owned();
    drill.ask(&json!({ "tag": "the drawing says otherwise" }));
    drill.finish();
    for person in ["mk", "tl"] {
        let (asked, _) = sit(&bench, &["--person", person, "--minutes", "60"], |_| true);
        assert!(asked.iter().all(|q| q["card"] != card.as_str()), "{person}");
    }
    let back = bench.run(&["people", "untag", &card, "--person", "tl"]);
    assert!(back.status.success(), "{}", text(&back.stderr));
    assert!(
        !bench
            .run(&["people", "untag", &card, "--person", "tl"])
            .status
            .success()
    );
}

#[test]
fn a_sitting_under_the_wrong_name_can_be_given_to_the_right_person() {
    let bench = Bench::practice();
    assert!(bench.run(&["people", "add", "TL"]).status.success());
    let (asked, done) = sit(&bench, &[], |_| true);
    let sitting = done["done"]["sitting"].as_str().unwrap();
    let given = bench.run(&[
        "people",
        "give-sitting",
        sitting,
        "--from",
        "mk",
        "--to",
        "tl",
    ]);
    assert!(given.status.success(), "{}", text(&given.stderr));
    let (of_tl, _) = sit(&bench, &["--person", "tl"], |_| true);
    let seen: Vec<_> = asked.iter().map(|q| &q["card"]).collect();
    assert!(
        of_tl.iter().all(|q| !seen.contains(&&q["card"])),
        "tl answered these today"
    );
    let (of_mk, _) = sit(&bench, &[], |_| true);
    assert_eq!(of_mk[0]["card"], asked[0]["card"], "mk never saw them");
}

#[test]
fn rubbish_on_the_wire_is_answered_and_the_question_asked_again() {
    let bench = Bench::practice();
    let mut drill = bench.drill(&[]);
    let question = drill.hear();
    for rubbish in [
        &b"not json\n"[..],
        b"[1,2]\n",
        b"{\"circuit\":7}\n",
        b"{\"circuit\":\"no-such-family\"}\n",
        b"{\"tag\":5}\n",
        b"\xff\xfe\n",
        b"{\"typed\":\"replace U31\"}\n",
    ] {
        drill.say_raw(rubbish);
        assert!(drill.hear()["error"].is_string());
        assert_eq!(drill.hear(), question);
    }
    drill.finish();
    assert!(bench.journal("mk").is_empty());
}

#[test]
fn a_second_drill_of_one_person_says_who_has_it_and_keeps_nothing() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut first = bench.drill(&[]);
    let question = first.hear();
    let mut second = bench.drill(&[]);
    let holder = second.hear();
    assert!(
        holder["read_only"]
            .as_str()
            .unwrap()
            .starts_with("MK, drill since 2026-11-20"),
        "{holder}"
    );
    let other = second.hear();
    let kept = second.card(&other, &cards, true);
    assert_eq!(kept["not_kept"]["why"], "read only");
    second.finish();
    assert!(bench.journal("mk").is_empty());
    first.card(&question, &cards, true);
    first.finish();
    assert_eq!(bench.journal("mk").len(), 1);
    let third = bench.drill(&[]).hear();
    assert_eq!(third["v"], 1, "the lock went with its holder: {third}");
    assert!(third["ask"].is_string(), "{third}");
}

#[test]
fn killed_at_any_moment_the_program_loses_nothing_it_acknowledged() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let mut acknowledged: Vec<String> = Vec::new();
    for round in 0..12usize {
        let mut drill = bench.drill(&["--minutes", "60"]);
        let mut question = drill.hear();
        for _ in 0..round % 4 {
            if question["ask"].is_null() {
                break;
            }
            let kept = drill.card(&question, &cards, round % 2 == 0);
            acknowledged.push(kept["kept"]["id"].as_str().unwrap().to_owned());
            question = drill.hear();
        }
        // In the middle of a card: at the circuit, at the fix, at the verdict, or while it is kept.
        if question["ask"].is_string() && 4 <= round {
            if question["ask"] == "circuit" {
                drill.say(&json!({ "circuit": "standby" }));
            }
            drill.say(&json!({ "typed": "replace U31" }));
            drill.say(&json!({}));
        }
        drill.kill();
        let ids: Vec<String> = bench
            .journal("mk")
            .iter()
            .map(|l| l["id"].as_str().unwrap().to_owned())
            .collect();
        for id in &acknowledged {
            assert!(ids.contains(id), "{id} was acknowledged");
        }
    }
    assert!(12 < acknowledged.len());
}

#[test]
fn plain_lines_play_a_card_from_front_to_grade() {
    let bench = Bench::practice();
    let script = "1\nreplace Z999\n3\n\n/undo\n/stop\n";
    let out = bench.run_with(&["drill", "--person", "mk", "--plain"], script);
    let said = text(&out.stdout);
    assert!(out.status.success(), "{}", text(&out.stderr));
    for line in [
        "Board: ",
        "Complaint: ",
        "Which circuit",
        "Name the fix",
        "How sure",
        "Verdict: ",
        "Answer: ",
        "Evidence: ",
        "Grade proposed: missed",
        "Kept: missed",
        "Taken back.",
        "Done: 0 cards",
    ] {
        assert!(said.contains(line), "{line:?} is missing in\n{said}");
    }
    assert!(!said.contains('\u{1b}'), "no control characters");
}

#[test]
fn plain_lines_say_with_the_answer_what_the_repair_itself_brings() {
    let bench = Bench::practice();
    let mut deck: Value = serde_json::from_str(&bench.read("decks/shop.json")).expect("JSON");
    let cards = deck["cards"].as_array_mut().expect("cards");
    cards.retain(|card| card["kind"] == "fix" && card["answers"][0]["act"] == "clean");
    cards.truncate(1);
    assert!(cards[0]["cautions"].to_string().contains("alcohol-vapour"));
    bench.put("decks/shop.json", &deck.to_string());
    let args = ["drill", "--person", "mk", "--deck", "shop", "--plain"];
    let out = bench.run_with(&args, "\nwash it\n3\n\n/stop\n");
    let said = text(&out.stdout);
    let (card, _) = said.split_once("Kept: ").expect("kept");
    let (front, back) = card.split_once("Verdict: ").expect("a verdict");
    let (front, asked) = front.split_once("Name the fix").expect("a question");
    assert!(
        !front.contains("Alcohol vapour"),
        "it would name the repair: {said}"
    );
    assert!(asked.contains("Caution: Alcohol vapour"), "{said}");
    assert!(!back.contains("Caution: "), "each once: {said}");
}

#[test]
fn a_damaged_journal_line_is_named_and_the_rest_still_counts() {
    let bench = Bench::practice();
    sit(&bench, &[], |_| true);
    let whole = bench.read("people/mk/b7.jsonl");
    let lines: Vec<&str> = whole.lines().collect();
    let hurt = lines[1].replace("\"grade\":\"named\"", "\"grade\":\"missed\"");
    let mut changed = lines.clone();
    changed[1] = &hurt;
    bench.put("people/mk/b7.jsonl", &format!("{}\n", changed.join("\n")));
    let out = bench.run_with(&["drill", "--person", "mk", "--json"], "{\"stop\":true}\n");
    let named = text(&out.stderr);
    assert!(named.contains("people/mk/b7.jsonl:2: "), "{named}");
    let about = |line: &str| named.lines().filter(|l| l.starts_with(line)).count();
    assert_eq!(about("people/mk/b7.jsonl:2: "), 1, "{named}");
    assert_eq!(
        about("people/mk/b7.jsonl:3: "),
        1,
        "the gap it leaves is named too: {named}"
    );
    assert!(
        bench
            .read("people/mk/b7.jsonl")
            .starts_with(&changed.join("\n")),
        "left as it is"
    );
}

#[test]
fn a_person_the_shop_does_not_know_is_an_error_with_a_hint() {
    let bench = Bench::practice();
    let out = bench.run(&["drill", "--person", "zz", "--json"]);
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stderr).contains("people add ZZ"),
        "{}",
        text(&out.stderr)
    );
    assert!(out.stdout.is_empty());
}
