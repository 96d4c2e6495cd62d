//! Clocks set back or ahead, benches whose clock is years off, days far away, lines that come twice, and
//! reviews of cards that are gone: each is said in plain words, nothing is lost, and the drill goes on.

use std::process::Stdio;

use serde_json::Value;

use crate::common::Bench;
use crate::common::Drill;
use crate::common::deck;
use crate::common::text;

/// Answers two cards at `bench` as of `at`; returns which.
fn sit(shop: &Bench, bench: &str, at: &str) -> Vec<String> {
    let cards = deck(shop);
    let mut command = shop.command(&["drill", "--json", "--person", "mk", "--as-of", at]);
    command.env("BENCHLORE_BENCH", bench);
    let mut drill = Drill::start(command);
    let asked = (0..2).map(|_| {
        let question = drill.hear();
        let kept = drill.card(&question, &cards, true);
        assert!(kept["kept"]["id"].is_string(), "{kept}");
        question["card"].as_str().expect("an id").to_owned()
    });
    let asked = asked.collect();
    drill.finish();
    asked
}

/// What a drill complains of before its first card, as of `at`; it goes on all the same.
fn complaints(shop: &Bench, at: &str) -> String {
    let args = ["drill", "--json", "--person", "mk", "--as-of", at];
    let out = shop.command(&args).stdin(Stdio::null()).output();
    let out = out.expect("the binary runs");
    assert!(out.status.success(), "{}", text(&out.stderr));
    let first: Value = serde_json::from_str(text(&out.stdout).lines().next().expect("a line"))
        .expect("a JSON line");
    assert!(first["ask"].is_string(), "it asks: {first}");
    text(&out.stderr)
}

fn inspected(shop: &Bench, at: &str) -> String {
    let out = shop.run(&["inspect", "--as-of", at]);
    assert_eq!(out.status.code(), Some(3), "{}", text(&out.stdout));
    text(&out.stdout)
}

/// Days of the lines of one journal.
fn days(shop: &Bench, bench: &str) -> Vec<String> {
    let lines = shop.read(&format!("people/mk/{bench}.jsonl"));
    let day = |line: &str| {
        let line: Value = serde_json::from_str(line).expect("a JSON line");
        line["day"].as_str().expect("a day").to_owned()
    };
    lines.lines().map(day).collect()
}

#[track_caller]
fn a_jump(wrong: &str) {
    let shop = Bench::practice();
    for at in [
        "2026-11-20T08:00:00Z",
        "2026-11-21T08:00:00Z",
        wrong,
        "2026-11-22T08:00:00Z",
    ] {
        sit(&shop, "b7", at);
    }
    let before = shop.read("people/mk/b7.jsonl");
    let said = complaints(&shop, "2026-11-23T08:00:00Z");
    let stamped = format!("stamped {} 08:00", &wrong[..10]);
    for words in [
        "people/mk/b7.jsonl",
        "seq 5 to 6, the first",
        stamped.as_str(),
        "more than a day out of order with its neighbours; taken as 2026-11-21",
        "look at that computer's clock",
    ] {
        assert!(said.contains(words), "{words:?} in {said}");
    }
    assert!(inspected(&shop, "2026-11-23T08:00:00Z").contains("out of order"));
    let fit = shop.run(&["fit", "--show", "--as-of", "2026-11-23T08:00:00Z"]);
    assert!(text(&fit.stderr).contains("out of order"));
    assert_eq!(
        shop.read("people/mk/b7.jsonl"),
        before,
        "nothing is rewritten"
    );
    // What was answered then counts for the day before: it is not asked again as if years had passed.
    let gone = days(&shop, "b7");
    assert_eq!(gone[4..6], [wrong[..10].to_owned(), wrong[..10].to_owned()]);
}

#[test]
fn a_clock_set_back_is_said_and_the_lines_take_the_time_before_them() {
    a_jump("2016-11-21T08:00:00Z");
}

#[test]
fn a_clock_years_ahead_is_said_and_the_lines_take_the_time_before_them() {
    a_jump("2036-11-21T08:00:00Z");
}

#[test]
fn a_bench_whose_clock_is_years_ahead_is_named_with_its_file_and_what_that_means() {
    let shop = Bench::practice();
    sit(&shop, "b7", "2026-11-20T08:00:00Z");
    let ahead = sit(&shop, "c1", "2036-11-20T08:00:00Z");
    let said = complaints(&shop, "2026-11-21T08:00:00Z");
    for words in [
        "people/mk/c1.jsonl",
        "2036-11-20T08:00",
        "later than now",
        "as just seen",
    ] {
        assert!(said.contains(words), "{words:?} in {said}");
    }
    assert!(inspected(&shop, "2026-11-21T08:00:00Z").contains("later than now"));
    // Its reviews count, and the others go on.
    let next = sit(&shop, "b7", "2026-11-21T08:00:00Z");
    assert!(
        next.iter().all(|card| !ahead.contains(card)),
        "{next:?} {ahead:?}"
    );
}

#[test]
fn a_bench_whose_clock_went_back_to_its_birth_is_named_and_its_lines_are_kept() {
    let shop = Bench::practice();
    sit(&shop, "c1", "1970-01-02T08:00:00Z");
    let said = complaints(&shop, "2026-11-21T08:00:00Z");
    for words in [
        "people/mk/c1.jsonl",
        "seq 1 to 2",
        "1970-01-02",
        "before there was this program",
    ] {
        assert!(said.contains(words), "{words:?} in {said}");
    }
    assert!(inspected(&shop, "2026-11-21T08:00:00Z").contains("before there was this program"));
    assert_eq!(days(&shop, "c1"), ["1970-01-02", "1970-01-02"]);
}

#[test]
fn a_moment_before_the_last_review_is_said_and_no_card_is_older_than_it_is() {
    let shop = Bench::practice();
    let seen = sit(&shop, "b7", "2026-11-20T08:00:00Z");
    let said = complaints(&shop, "2026-11-10T08:00:00Z");
    assert!(said.contains("stamped 2026-11-20T08:00"), "{said}");
    assert!(said.contains("later than now"), "{said}");
    let next = sit(&shop, "b7", "2026-11-10T08:00:00Z");
    assert!(
        next.iter().all(|card| !seen.contains(card)),
        "{next:?} {seen:?}"
    );
}

#[test]
fn days_far_away_are_days_like_any_other() {
    let shop = Bench::practice();
    sit(&shop, "b7", "2026-11-20T08:00:00Z");
    for at in [
        "9999-12-31T23:59:59Z",
        "0001-01-01T00:00:00Z",
        "2106-02-07T06:28:16Z",
    ] {
        for command in [
            &["drill", "--json", "--person", "mk"] as &[&str],
            &["gaps", "--person", "mk"],
        ] {
            let mut args = command.to_vec();
            args.extend(["--as-of", at]);
            let out = shop.run(&args);
            let said = text(&out.stderr);
            // 3: done, and it found something to mend, which is said.
            let done = matches!(out.status.code(), Some(0 | 3));
            assert!(done && !said.contains("panicked"), "{args:?}: {said}");
        }
    }
    sit(&shop, "c1", "9999-12-30T08:00:00Z");
    complaints(&shop, "9999-12-31T23:59:59Z");
    for bad in ["10000-01-01T00:00:00Z", "2026-02-30T00:00:00Z", "yesterday"] {
        let out = shop.run(&["drill", "--json", "--person", "mk", "--as-of", bad]);
        assert_eq!(out.status.code(), Some(2), "{bad}");
        assert!(
            text(&out.stderr).contains("--as-of"),
            "{}",
            text(&out.stderr)
        );
    }
}

#[test]
fn a_line_that_stands_twice_counts_once_and_one_id_on_two_lines_is_said() {
    let shop = Bench::practice();
    sit(&shop, "b7", "2026-11-20T08:00:00Z");
    let whole = shop.read("people/mk/b7.jsonl");
    // The same bytes, behind themselves and under another name.
    shop.put("people/mk/b7.jsonl", &whole.repeat(2));
    shop.put("people/mk/c1.jsonl", &whole);
    let said = complaints(&shop, "2026-11-21T08:00:00Z");
    assert!(said.contains("number 1 comes again after 2"), "{said}");
    assert!(!said.contains("different content"), "{said}");
    // One id, other bytes: another grade, sealed as any line is.
    let first = whole.lines().next().expect("a line");
    let (body, _) = first.rsplit_once(",\"sum\"").expect("a sum");
    let other = body.replace("\"aloud\":false", "\"aloud\":true");
    assert_ne!(body, other);
    let other = benchlore::store::sealed::seal(&format!("{other}}}")) + "\n";
    shop.put("people/mk/b7.jsonl", &whole);
    shop.put("people/mk/c1.jsonl", &other);
    let said = complaints(&shop, "2026-11-21T08:00:00Z");
    for words in [
        "mk-b7-1 stands on two lines with different content; both are kept",
        "c1.jsonl",
    ] {
        assert!(said.contains(words), "{words:?} in {said}");
    }
    assert_eq!(
        shop.read("people/mk/c1.jsonl"),
        other,
        "nothing is rewritten"
    );
}

#[test]
fn reviews_of_cards_that_are_gone_are_kept_and_count_again_with_the_card() {
    let shop = Bench::practice();
    let seen = sit(&shop, "b7", "2026-11-20T08:00:00Z");
    let decks = "decks/shop.json";
    let whole = shop.read(decks);
    let without: Vec<&str> = whole
        .lines()
        .filter(|line| {
            !seen
                .iter()
                .any(|id| line.contains(&format!("\"id\":\"{id}\"")))
        })
        .collect();
    assert_eq!(
        without.len() + seen.len(),
        whole.lines().count(),
        "a card a line"
    );
    // The last card of a list has no comma behind it.
    let without = without.join("\n").replace("},\n]", "}\n]") + "\n";
    shop.put(decks, &without);
    let journal = shop.read("people/mk/b7.jsonl");
    assert!(!complaints(&shop, "2026-11-21T08:00:00Z").contains("b7.jsonl"));
    assert_eq!(shop.read("people/mk/b7.jsonl"), journal);
    let met = |shop: &Bench| {
        let out = shop.run(&[
            "gaps",
            "--person",
            "mk",
            "--json",
            "--as-of",
            "2026-11-21T08:00:00Z",
        ]);
        text(&out.stdout)
    };
    let gone = met(&shop);
    let at = ["--as-of", "2026-11-21T08:00:00Z"];
    let looked = text(&shop.run(&[&["inspect"][..], &at].concat()).stdout);
    let words = "2 of them answers to cards that no deck has any more";
    assert!(looked.contains(words), "{looked}");
    let plan = ["plan", "--person", "mk", "--days", "3"];
    let planned = text(&shop.run(&[&plan[..], &at].concat()).stdout);
    let words = "2 cards answered are in no deck any more";
    assert!(planned.contains(words), "{planned}");
    shop.put(decks, &whole);
    let back = met(&shop);
    assert_ne!(gone, back, "the cards are met again");
    let next = sit(&shop, "b7", "2026-11-21T08:00:00Z");
    assert!(
        next.iter().all(|card| !seen.contains(card)),
        "{next:?} {seen:?}"
    );
}
