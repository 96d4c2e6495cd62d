//! Shops on disk: the practice shop, decks, families, messages about damage, exit codes.

use serde_json::Value;

use crate::common::Bench;
use crate::common::deck;
use crate::common::text;

#[test]
fn demo_makes_the_practice_shop_in_the_data_folder_once() {
    let bench = Bench::empty();
    let made = bench.run(&["demo", "--plain"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let shop = bench.data().join("benchlore").join("practice-shop");
    assert!(shop.join("shop.json").is_file());
    assert!(shop.join("decks/shop.json").is_file());
    std::fs::write(shop.join("people-were-here"), "x").unwrap();
    let again = text(&bench.run(&["demo", "--plain"]).stdout);
    assert!(again.starts_with("Going on with"), "{again}");
    assert!(shop.join("people-were-here").is_file());
    let fresh = text(&bench.run(&["demo", "--plain", "--fresh"]).stdout);
    assert!(fresh.contains("practice-shop-20261120-080000"), "{fresh}");
    assert!(shop.join("people-were-here").is_file());
}

#[test]
fn a_deck_built_twice_is_the_same_bytes_and_the_shipped_one() {
    let bench = Bench::practice();
    let first = bench.read("decks/shop.json");
    let shipped = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("decks/shop.json");
    assert!(
        first == std::fs::read_to_string(shipped).unwrap(),
        "the builder makes other cards now: read them, then renew decks/shop.json"
    );
    let jobs = bench.read("jobs/practice.jsonl");
    let mut turned: Vec<&str> = jobs.lines().collect();
    turned.reverse();
    bench.put("jobs/practice.jsonl", &format!("{}\n", turned.join("\n")));
    assert!(bench.run(&["deck", "build"]).status.success());
    assert_eq!(
        bench.read("decks/shop.json"),
        first,
        "the order of the lines does not matter"
    );
}

#[test]
fn no_front_of_the_practice_deck_names_its_answer() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    assert!(60 < cards.len(), "{} cards", cards.len());
    // A card that asks the other way round gives the fix in its question.
    for card in cards.iter().filter(|card| card["kind"] != "expect") {
        let sides = card["sides"].as_array().cloned().unwrap_or_default();
        let mut fronts = vec![&card["front"]];
        fronts.extend(sides.iter().map(|side| &side["front"]));
        let mut answers: Vec<_> = card["answers"].as_array().unwrap().iter().take(1).collect();
        answers.extend(sides.iter().map(|side| &side["answer"]));
        let front = format!("{fronts:?} {}", card["stem"]).to_lowercase();
        for answer in answers {
            let steps = answer["steps"]
                .as_array()
                .cloned()
                .unwrap_or_else(|| vec![answer.clone()]);
            for step in steps {
                let part = step["part"].as_str().unwrap().to_lowercase();
                let words = front.split(|c: char| !c.is_ascii_alphanumeric());
                assert!(words.into_iter().all(|w| w != part), "{part} in {front}");
            }
        }
        for finding in fronts.iter().flat_map(|f| f.as_array().unwrap()) {
            assert_ne!(finding["when"], "after-action", "{card}");
            assert!(finding.get("raw").is_none(), "{card}");
        }
        if card["kind"] == "fix" {
            assert!(0 < card["share"]["proved"].as_u64().unwrap(), "{card}");
        }
    }
}

#[test]
fn a_recorded_unsafe_fix_never_becomes_an_answer() {
    let cards = deck(&Bench::practice());
    for answer in cards.iter().flat_map(|c| c["answers"].as_array().unwrap()) {
        let words = answer.to_string();
        assert!(
            !(words.contains("bridge-or-jumper") && words.contains("fuse")),
            "{words}"
        );
    }
}

#[test]
fn bad_lines_are_named_with_file_line_and_field_and_good_ones_still_load() {
    let good = r#"{"v":1,"id":"a1","job":"W-1","closed_on":"2026-01-05","board":"x","complaint":["no-power"],"findings":[{"kind":"rail","where":"3V3","expect_v":3.3,"got_v":0.2}],"family":"buck","actions":[{"act":"replace","part":"U1","role":"the-fix"}],"outcome":"held","confidence":"proved"}"#;
    let jobs = [
        good.to_owned(),
        good.replace("W-1", "W-2")
            .replace("a1", "a2")
            .replace("\"got_v\":0.2", "\"got_v\":\"low\""),
        "{not json".to_owned(),
        good.replace("W-1", "W-3")
            .replace("a1", "a3")
            .replace("\"family\":\"buck\",", ""),
        good.replace("W-1", "W-4")
            .replace("a1", "a4")
            .replace("no-power", "sad"),
    ];
    let bench = Bench::with_files(&[
        (
            "shop.json",
            r#"{"v":1,"name":"T","boards":[{"id":"x","name":"X"}]}"#,
        ),
        ("jobs/b7.jsonl", &format!("{}\n", jobs.join("\n"))),
    ]);
    let before = bench.read("jobs/b7.jsonl");
    let out = bench.run(&["deck", "build", "--json"]);
    assert_eq!(out.status.code(), Some(3), "something is there to mend");
    let named = text(&out.stderr);
    for place in [
        "jobs/b7.jsonl:2: findings[0].got_v: ",
        "jobs/b7.jsonl:3: ",
        "jobs/b7.jsonl:4: family: ",
        "jobs/b7.jsonl:5: complaint[0]: ",
    ] {
        assert!(named.contains(place), "{place} is missing in\n{named}");
    }
    let built: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(built["cards"], 1, "{built}");
    assert_eq!(bench.read("jobs/b7.jsonl"), before, "nothing is rewritten");
}

#[test]
fn hostile_text_reaches_no_terminal() {
    let bench = Bench::with_files(&[(
        "shop.json",
        "{\"v\":1,\"name\":\"T\\u001b[31m\\u202e\",\"boards\":[],\"families\":[{\"id\":\"evil\",\"name\":\"x\\u001b]52;c;aGk=\\u0007\"}]}",
    )]);
    for args in [
        &["families", "evil"][..],
        &["families", "--json", "evil"],
        &["deck", "list"],
        &[],
    ] {
        let out = bench.run(args);
        let all = format!("{}{}", text(&out.stdout), text(&out.stderr));
        assert!(
            !all.chars().any(|c| c.is_control() && c != '\n'),
            "{args:?}: {all:?}"
        );
        assert!(!all.contains('\u{202e}'), "{args:?}");
    }
}

#[test]
fn families_prints_sixteen_and_a_shops_own_names() {
    let bench = Bench::empty();
    let listed = std::process::Command::new(env!("CARGO_BIN_EXE_benchlore"))
        .args(["families", "--json"])
        .current_dir(std::env::temp_dir())
        .env("XDG_DATA_HOME", bench.data())
        .env("HOME", bench.data())
        .env_remove("BENCHLORE_SHOP")
        .output()
        .unwrap();
    assert_eq!(
        text(&listed.stdout).lines().count(),
        16,
        "{}",
        text(&listed.stderr)
    );
    let renamed = Bench::with_files(&[(
        "shop.json",
        r#"{"v":1,"name":"T","boards":[],"families":[{"id":"standby","name":"House keeping supply"},{"id":"horn","name":"Horn"}]}"#,
    )]);
    let lines = text(&renamed.run(&["families", "--json"]).stdout);
    assert_eq!(lines.lines().count(), 17);
    assert!(
        lines.contains("House keeping supply") && lines.contains("\"horn\""),
        "{lines}"
    );
}

#[test]
fn wrong_usage_exits_with_two_and_no_shop_with_one() {
    let bench = Bench::empty();
    assert_eq!(
        bench.run(&["drill", "--minutes", "never"]).status.code(),
        Some(2)
    );
    assert_eq!(bench.run(&["no-such-command"]).status.code(), Some(2));
    let out = bench.run(&["deck", "list"]);
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stderr).contains("shop.json"),
        "{}",
        text(&out.stderr)
    );
}

#[test]
fn trace_prints_a_line_a_review_and_exits_with_three_on_a_bad_one() {
    let bench = Bench::empty();
    let input = "{\"card\":\"a\",\"at\":\"2026-04-02T08:00:00Z\",\"grade\":3}\n{\"card\":\"a\",\"at\":\"2026-04-04T08:00:00Z\",\"grade\":\"named\"}\n";
    let out = bench.run_with(&["trace", "-"], input);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let lines: Vec<Value> = text(&out.stdout)
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    assert_eq!(lines.len(), 2);
    assert!(lines[0]["recall_before"].is_null());
    assert_eq!(lines[1]["elapsed_days"], 2);
    let bad = bench.run_with(&["trace", "-"], &format!("{input}rubbish\n"));
    assert_eq!(bad.status.code(), Some(3));
    assert!(text(&bad.stderr).contains('3'), "{}", text(&bad.stderr));
}

#[test]
fn a_deck_is_not_rebuilt_from_half_the_jobs() {
    let bench = Bench::practice();
    let before = bench.read("decks/shop.json");
    // A folder in place of a file cannot be read as one, whoever runs the test.
    std::fs::create_dir_all(bench.shop().join("jobs/more.jsonl")).unwrap();
    let out = bench.run(&["deck", "build"]);
    let said = text(&out.stderr);
    assert_eq!(out.status.code(), Some(1), "{said}");
    assert!(
        said.contains("more.jsonl") && said.contains("try again"),
        "{said}"
    );
    assert_eq!(bench.read("decks/shop.json"), before);
    let drill = bench.run(&["drill", "--json", "--person", "mk"]);
    assert!(drill.status.success(), "the cards are there all the same");
    assert!(text(&drill.stderr).contains("more.jsonl: not read"));
}

#[test]
fn the_practice_shop_is_not_made_among_other_things() {
    let bench = Bench::empty();
    bench.put("letters.txt", "mine");
    let shop = bench.shop();
    let into = shop.to_string_lossy();
    let out = bench.run(&["demo", "--plain", "--into", &into]);
    assert_eq!(out.status.code(), Some(1));
    assert!(text(&out.stderr).contains("empty"), "{}", text(&out.stderr));
    assert!(!shop.join("shop.json").exists());
    std::fs::remove_file(shop.join("letters.txt")).unwrap();
    assert!(
        bench
            .run(&["demo", "--plain", "--into", &into])
            .status
            .success()
    );
    // A run that died before the deck was built is gone on with.
    std::fs::remove_dir_all(shop.join("decks")).unwrap();
    assert!(
        bench
            .run(&["demo", "--plain", "--into", &into])
            .status
            .success()
    );
    assert!(shop.join("decks/shop.json").is_file());
}

#[test]
fn what_is_not_known_is_wrong_usage_and_the_known_names_follow() {
    let bench = Bench::practice();
    for (args, names) in [
        (
            &["drill", "--json", "--board", "gull"][..],
            "petrel-p4, skua-e6",
        ),
        (&["drill", "--json", "--family", "gull"], "standby, buck"),
        (&["drill", "--json", "--deck", "gull"], "there is only shop"),
        (&["deck", "build", "--board", "gull"], "petrel-p4"),
        (
            &[
                "people",
                "give-sitting",
                "gull",
                "--from",
                "mk",
                "--to",
                "mk",
            ],
            "there is none",
        ),
        (&["people", "add", "M K"], "such as MK"),
        (&["deck", "build", "../up"], "another name"),
    ] {
        let out = bench.run(args);
        let said = text(&out.stderr);
        assert_eq!(out.status.code(), Some(2), "{args:?}: {said}");
        assert!(said.contains(names), "{args:?}: {said}");
    }
    let none = bench.run(&["deck", "show", "--card", "zz"]);
    assert_eq!(none.status.code(), Some(1));
    let mut named = bench.command(&["deck", "list"]);
    let out = named.env("BENCHLORE_BENCH", "../x").output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("BENCHLORE_BENCH"));
}

#[test]
fn a_damaged_person_is_named_and_never_written_over() {
    let bench = Bench::practice();
    bench.put("people/tl/person.json", "{");
    for args in [
        &["people", "add", "TL"][..],
        &["drill", "--json", "--person", "tl"],
    ] {
        let out = bench.run(args);
        let said = text(&out.stderr);
        assert_eq!(out.status.code(), Some(1), "{said}");
        assert!(said.contains("person.json: not JSON"), "{said}");
    }
    assert_eq!(bench.read("people/tl/person.json"), "{");
    let out = bench.run(&["people", "list"]);
    assert_eq!(out.status.code(), Some(3));
    assert!(text(&out.stderr).starts_with("people/tl/person.json"));
    assert!(
        text(&out.stdout).starts_with("mk: "),
        "the others are there"
    );
}

#[test]
fn a_card_merged_into_another_is_not_asked_beside_it() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let id = |n: usize| cards[n]["id"].as_str().unwrap();
    let line = format!(
        r#"{{"v":1,"id":"tl-b7-e1","seq":1,"at":"2026-11-19T09:00:00.000Z","by":"tl","card":"{}","ev":"merge","into":"{}""#,
        id(0),
        id(1)
    );
    let sum = crc32fast::hash(line.as_bytes());
    bench.put(
        "edits/b7.jsonl",
        &format!("{line},\"sum\":\"{sum:08x}\"}}\n"),
    );
    let board = cards[0]["board"].as_str().unwrap();
    let mut drill = bench.drill(&["--board", board, "--minutes", "60"]);
    let mut asked = Vec::new();
    loop {
        let question = drill.hear();
        if !question["done"].is_null() {
            break;
        }
        asked.push(question["card"].clone());
        drill.card(&question, &cards, true);
    }
    assert!(
        asked.contains(&cards[1]["id"]) || asked.len() == 12,
        "{asked:?}"
    );
    assert!(!asked.contains(&cards[0]["id"]), "{asked:?}");
}

#[test]
fn what_is_assigned_is_drilled_until_something_else_is_asked_for() {
    let bench = Bench::practice();
    let families = |out: &str| -> std::collections::BTreeSet<String> {
        let cards = deck(&bench);
        out.lines()
            .map(|line| serde_json::from_str::<serde_json::Value>(line).expect("a line of JSON"))
            .filter(|line| line["ask"] == "circuit")
            .map(|line| {
                let card = cards.iter().find(|c| c["id"] == line["card"]);
                card.expect("a card of the deck")["family"].to_string()
            })
            .collect()
    };
    let first = |more: &[&str]| {
        let mut args = vec!["drill", "--json", "--person", "mk", "--minutes", "4"];
        args.extend(more);
        let lines = r#"{"circuit":""}
{"aloud":true}
{"grade":"missed"}
"#;
        text(&bench.run_with(&args, &lines.repeat(4)).stdout)
    };
    let out = bench.run(&["people", "assign", "mk", "--family", "buck"]);
    assert_eq!(text(&out.stdout), "mk: drills circuit buck\n");
    assert_eq!(Vec::from_iter(families(&first(&[]))), ["\"buck\""]);
    let other = families(&first(&["--family", "inlet"]));
    assert_eq!(Vec::from_iter(other), ["\"inlet\""]);
    let out = bench.run(&["people", "assign", "mk", "--board", "petrel-p4"]);
    assert_eq!(
        text(&out.stdout),
        "mk: drills board petrel-p4; circuit buck\n"
    );
    let out = bench.run(&["people", "list", "--json"]);
    assert!(
        text(&out.stdout)
            .contains(r#""assigned":{"decks":[],"boards":["petrel-p4"],"families":["buck"]}"#)
    );
    let out = bench.run(&["people", "assign", "mk", "--instead"]);
    assert_eq!(text(&out.stdout), "mk: the shop's usual mix\n");
    assert!(1 < families(&first(&[])).len());
    let out = bench.run(&["people", "assign", "mk", "--deck", "none-such"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("no deck is called \"none-such\""));
}

#[test]
fn whoever_prefers_it_is_offered_fixes_until_they_say_no() {
    let bench = Bench::practice();
    let prefer = |words: &str| {
        let out = bench.run(&["people", "prefer", "mk", "--options", words]);
        (out.status.code(), text(&out.stdout))
    };
    let offered = || {
        let lines = "{\"circuit\":\"\"}\n{\"aloud\":true}\n{\"grade\":\"missed\"}\n";
        let args = ["drill", "--json", "--person", "mk", "--deck", "shop"];
        let out = text(&bench.run_with(&args, &lines.repeat(6)).stdout);
        out.contains("\"options\":[")
    };
    assert!(!offered());
    assert_eq!(
        prefer("yes"),
        (Some(0), "mk: fixes are to choose from\n".to_owned())
    );
    assert!(offered());
    let list = text(&bench.run(&["people", "list", "--json"]).stdout);
    assert!(list.contains("\"options\":true"), "{list}");
    assert_eq!(prefer("no"), (Some(0), "mk: fixes are free\n".to_owned()));
    assert!(!offered());
    assert_eq!(prefer("maybe").0, Some(2));
}

#[test]
fn a_shop_that_is_named_needs_no_data_folder_that_can_be_read() {
    let bench = Bench::practice();
    let file = bench.shop().join("shop.json");
    let out = bench
        .command(&["deck", "list"])
        .env("XDG_DATA_HOME", &file)
        .output()
        .expect("the binary runs");
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
}

#[test]
fn every_card_of_a_deck_in_json_says_its_version() {
    let bench = Bench::practice();
    let out = bench.run(&["deck", "show", "--json"]);
    let shown = text(&out.stdout);
    assert!(1 < shown.lines().count());
    for line in shown.lines() {
        let card: Value = serde_json::from_str(line).expect("one JSON object a line");
        assert_eq!(card["v"], 1, "{line}");
    }
}

#[test]
fn a_computer_that_can_keep_nothing_of_its_own_still_reads_a_shop() {
    let bench = Bench::shipped();
    let run = |args: &[&str]| {
        let mut command = bench.command(args);
        command.env_remove("BENCHLORE_BENCH");
        // No folder can be made below a device.
        command.env("XDG_DATA_HOME", "/dev/null/none");
        command.output().expect("the binary runs")
    };
    for args in [
        &["jobs", "list"][..],
        &["gaps", "--person", "pd"],
        &["people", "list"],
    ] {
        let out = run(args);
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        assert!(!out.stdout.is_empty());
    }
    for args in [
        &["jobs", "held", "W-0110", "--person", "jo"][..],
        &["drill", "--json", "--person", "pd"],
    ] {
        let out = run(args);
        let said = text(&out.stderr);
        assert_eq!(out.status.code(), Some(1), "{said}");
        assert!(said.contains("bench"), "{said}");
    }
}
