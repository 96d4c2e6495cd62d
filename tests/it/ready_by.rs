//! A day to be ready by, kept for a person: set, followed by the drill, said on every face, and ended.

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::deck;
use crate::common::find;
use crate::common::text;

const BOARD: &str = "petrel-p4";

/// Arguments that name a day to be ready for the board, with at most so many minutes of a sitting.
fn board_by<'a>(date: &'a str, minutes: &'a str) -> [&'a str; 6] {
    let [by, date, board, id] = whole_sittings_by(date);
    [by, date, board, id, "--minutes", minutes]
}

/// The same with whole sittings.
fn whole_sittings_by(date: &str) -> [&str; 4] {
    ["--ready-by", date, "--board", BOARD]
}

/// Runs `people prefer mk` and returns its exit code and both its outputs.
fn prefer(bench: &Bench, args: &[&str]) -> (Option<i32>, String) {
    let out = bench.run(&[&["people", "prefer", "mk"], args].concat());
    let said = format!("{}{}", text(&out.stdout), text(&out.stderr));
    (out.status.code(), said)
}

fn person(bench: &Bench) -> Value {
    serde_json::from_str(&bench.read("people/mk/person.json")).expect("JSON")
}

/// Sits through a drill, every answer `named`; returns what it said of the day, and the cards asked that
/// are no spot checks, in their order.
fn sits(bench: &Bench, args: &[&str]) -> (Option<Value>, Vec<String>) {
    let mut drill = bench.drill(args);
    let (mut told, mut asked) = (None, Vec::new());
    loop {
        let line = drill.hear();
        if line["ready_by"].is_object() {
            told = Some(line["ready_by"].clone());
        } else if line["done"].is_object() {
            return (told, asked);
        } else if line["kept"].is_null() {
            let card = line["card"].as_str().unwrap_or_default().to_owned();
            if line["mode"] == "drill" && !asked.contains(&card) {
                asked.push(card);
            }
            drill.say(&match line["ask"].as_str() {
                Some("circuit") => json!({ "circuit": "", "ms": 6000 }),
                Some(_) => json!({ "aloud": true, "ms": 9000 }),
                None => json!({ "grade": "named", "ms": 4000 }),
            });
        }
    }
}

/// Returns how many of the first `n` cards are of the board.
fn of_board(bench: &Bench, asked: &[String], n: usize) -> usize {
    let cards = deck(bench);
    let first = asked.iter().take(n);
    let on = |id: &&String| {
        cards
            .iter()
            .any(|c| c["id"] == ***id && c["board"] == BOARD)
    };
    first.filter(on).count()
}

#[test]
fn it_is_set_shown_and_dropped_and_the_file_keeps_the_rest() {
    let bench = Bench::practice();
    let set = board_by("2026-12-20", "10");
    let (code, said) = prefer(&bench, &set);
    let line = "mk: ready by 2026-12-20, board petrel-p4, at most 10 minutes a day\n";
    assert_eq!((code, said.as_str()), (Some(0), line));
    let kept = json!({ "date": "2026-12-20", "board": BOARD, "minutes": 10 });
    assert_eq!(person(&bench)["ready_by"], kept);
    prefer(&bench, &["--options", "yes"]);
    assert_eq!(person(&bench)["ready_by"], kept);
    let (_, said) = prefer(&bench, &[]);
    assert!(
        said.contains("to choose from") && said.contains(line),
        "{said}"
    );
    let list = text(&bench.run(&["people", "list", "--json"]).stdout);
    assert!(list.contains("\"date\":\"2026-12-20\""), "{list}");
    let (code, said) = prefer(&bench, &["--ready-by", "none"]);
    assert_eq!(
        (code, said.as_str()),
        (Some(0), "mk: no day to be ready by\n")
    );
    assert!(person(&bench).get("ready_by").is_none());
    assert_eq!(person(&bench)["options"], true);
}

#[test]
fn rubbish_is_refused_with_what_to_write_and_nothing_is_kept() {
    let bench = Bench::practice();
    let by = ["--ready-by", "2026-12-20"];
    for (args, word) in [
        (&["--ready-by", "soon"][..], "2026-12-20"),
        (&["--ready-by", "2026-11-20"], "not after today"),
        (&["--ready-by", "2019-01-01"], "not after today"),
        (&["--ready-by", "2036-01-01"], "730 days"),
        (
            &["--ready-by", "none", "--board", BOARD],
            "takes nothing else",
        ),
        (&["--board", BOARD], "--ready-by"),
        (&[by[0], by[1], "--board", "nowhere"], "no board is called"),
        (&[by[0], by[1], "--family", "nowhere"], "no circuit family"),
        (&[by[0], by[1], "--deck", "nowhere"], "no deck is called"),
        (&[by[0], by[1], "--minutes", "0"], "1 to 600"),
        (&[by[0], by[1], "--minutes", "NaN"], "1 to 600"),
    ] {
        let (code, said) = prefer(&bench, args);
        assert_eq!(code, Some(2), "{args:?}: {said}");
        assert!(said.contains(word), "{args:?}: {said}");
    }
    assert!(person(&bench).get("ready_by").is_none());
}

#[test]
fn the_drill_begins_with_it_until_its_day_and_says_once_what_came_of_it() {
    let bench = Bench::practice();
    let cards = deck(&bench);
    let (told, usual) = sits(&bench, &[]);
    assert!(told.is_none());
    assert!(of_board(&bench, &usual, usual.len()) < usual.len());
    let set = whole_sittings_by("2026-11-24");
    assert_eq!(prefer(&bench, &set).0, Some(0));
    for (on, first) in [("2026-11-21T08:00:00Z", 12), ("2026-11-23T08:00:00Z", 12)] {
        let (told, asked) = sits(&bench, &["--as-of", on]);
        let told = told.expect("the day is told");
        assert_eq!(told["date"], "2026-11-24");
        let says = told["say"].as_str().expect("words");
        assert!(says.contains("Ready by 24 Nov, board petrel-p4"), "{says}");
        // Two that stand behind may be drawn forward, so that families mix.
        assert!(
            first <= of_board(&bench, &asked, first + 2),
            "{on}: {asked:?}"
        );
        // No two of one fix stand side by side.
        let fix = |id: &String| {
            let card = find(&cards, id);
            let answer = &card["answers"][0];
            json!([
                card["board"],
                answer["act"],
                answer["part"],
                answer["steps"]
            ])
        };
        let has_fix = |id: &String| find(&cards, id)["answers"][0]["act"].is_string();
        for pair in asked.windows(2).filter(|pair| has_fix(&pair[0])) {
            assert_ne!(fix(&pair[0]), fix(&pair[1]), "{pair:?}");
        }
    }
    let on_the_day = ["--as-of", "2026-11-24T08:00:00Z"];
    let home = text(&bench.run(&on_the_day).stdout);
    assert!(
        home.contains("The day you planned for has come (24 Nov"),
        "{home}"
    );
    let (told, _) = sits(&bench, &on_the_day);
    let told = told.expect("it is said once more as the sitting opens");
    assert_eq!(
        (&told["has_come"], &told["first"]),
        (&json!(true), &json!(0))
    );
    assert!(told["mean"].as_f64().is_some_and(|mean| 0.3 < mean));
    assert!(person(&bench).get("ready_by").is_none());
    let (told, _) = sits(&bench, &["--as-of", "2026-11-24T12:00:00Z"]);
    assert!(told.is_none());
}

#[test]
fn the_minutes_it_is_given_hold_and_the_rest_goes_on_in_the_usual_order() {
    let bench = Bench::practice();
    sits(&bench, &[]);
    let set = board_by("2026-12-20", "4");
    prefer(&bench, &set);
    let (told, asked) = sits(&bench, &["--as-of", "2026-11-21T08:00:00Z"]);
    let told = told.expect("the day is told");
    assert!(
        told["minutes"]
            .as_f64()
            .is_some_and(|m| 0.0 < m && m <= 4.0),
        "{told}"
    );
    let first = told["first"].as_u64().and_then(|n| usize::try_from(n).ok());
    assert!(
        first.is_some_and(|n| 0 < n && n + 3 < asked.len()),
        "{told}"
    );
    assert!(of_board(&bench, &asked, asked.len()) < asked.len());
}

#[test]
fn out_of_reach_is_said_on_every_face_with_how_many_minutes_would_do() {
    let bench = Bench::practice();
    prefer(&bench, &["--ready-by", "2026-11-23", "--minutes", "2"]);
    let home = text(&bench.run(&[]).stdout);
    assert!(home.contains("Ready by 23 Nov, all cards:"), "{home}");
    assert!(home.contains("NOT in reach:"), "{home}");
    assert!(home.contains("minutes a day for it would"), "{home}");
    let plain = ["drill", "--person", "mk", "--plain"];
    let said = text(&bench.run_with(&plain, "/stop\n").stdout);
    assert!(said.contains("NOT in reach:"), "{said}");
    assert!(said.contains("minutes a day for it would"), "{said}");
    let (told, _) = sits(&bench, &["--minutes", "2"]);
    let told = told.expect("told");
    assert_eq!(told["is_reached"], false);
    let says = told["say"].as_str().expect("words");
    assert!(says.contains("minutes a day for it would"), "{says}");
}

#[test]
fn one_sitting_may_have_a_day_of_its_own_and_a_plan_may_be_kept() {
    let bench = Bench::practice();
    let one = board_by("2026-11-30", "3");
    let (told, asked) = sits(&bench, &one);
    assert_eq!(told.expect("told")["scope"], "board petrel-p4");
    assert_eq!(of_board(&bench, &asked, asked.len()), asked.len());
    assert!(person(&bench).get("ready_by").is_none());
    let past = [
        "drill",
        "--person",
        "mk",
        "--json",
        "--ready-by",
        "2026-11-20",
    ];
    assert_eq!(bench.run(&past).status.code(), Some(2));
    let by = whole_sittings_by("2026-11-24");
    let plan = |minutes: &str| {
        let rest = ["--minutes", minutes, "--keep"];
        bench.run(&[&["plan", "--person", "mk"], &by[..], &rest].concat())
    };
    let run = plan("5");
    assert!(text(&run.stdout).contains("Kept:"), "{}", text(&run.stderr));
    let kept = json!({ "date": "2026-11-24", "board": BOARD, "minutes": 5 });
    assert_eq!(person(&bench)["ready_by"], kept);
    let half = plan("2.5");
    assert_eq!(half.status.code(), Some(2), "{}", text(&half.stdout));
    assert_eq!(person(&bench)["ready_by"], kept);
}

#[test]
fn where_no_card_is_signed_both_things_are_said_apart() {
    let bench = Bench::practice();
    let shop = bench.read("shop.json");
    let signed_only = shop.replacen('{', "{\"drill_unsigned\":false,", 1);
    bench.put("shop.json", &signed_only);
    let (code, said) = prefer(&bench, &whole_sittings_by("2026-11-30"));
    assert_eq!(code, Some(0), "{said}");
    let plain = ["drill", "--person", "mk", "--plain"];
    let said = text(&bench.run_with(&plain, "/stop\n").stdout);
    let both = "the usual order has the sitting. This shop drills signed cards only";
    assert!(said.contains(both), "{said}");
}

#[test]
fn what_it_costs_the_other_cards_is_said_where_there_are_others() {
    let bench = Bench::practice();
    let plan = |args: &[&str]| bench.run(&[&["plan", "--person", "mk"], args].concat());
    let of_board = board_by("2026-12-05", "5");
    let lines = text(&plan(&of_board).stdout);
    assert!(lines.contains("The rest:"), "{lines}");
    assert!(lines.contains("if the whole drill of 5 minutes"), "{lines}");
    let costs = |args: &[&str]| {
        let run = plan(&[args, &["--json"]].concat());
        let found: Value = serde_json::from_str(text(&run.stdout).trim()).expect("JSON");
        let beside = found["beside"].clone();
        let mean = |name: &str| beside[name].as_f64().unwrap_or_default();
        (
            beside["minutes"].clone(),
            mean("usual_mean"),
            mean("with_mean"),
        )
    };
    // The whole of five minutes goes to the board, or five of a sitting of fifteen do.
    let (_, usual, with) = costs(&of_board);
    assert!(with + 0.01 < usual, "{with} {usual}");
    let (minutes, usual, kept) = costs(&[&of_board[..], &["--keep"]].concat());
    assert_eq!(minutes, 15.0);
    assert!(with < kept && kept <= usual + 0.01, "{with} {kept} {usual}");
    let all = plan(&["--ready-by", "2026-12-05", "--json"]);
    assert!(text(&all.stdout).contains("\"beside\":null"));
}

#[test]
fn a_file_written_by_hand_is_read_with_clear_words() {
    let bench = Bench::practice();
    let with = |ready_by: Value| {
        let mut file = person(&bench);
        file["ready_by"] = ready_by;
        bench.put("people/mk/person.json", &file.to_string());
        let run = bench.run_with(&["drill", "--person", "mk", "--plain"], "/stop\n");
        let said = format!("{}{}", text(&run.stdout), text(&run.stderr));
        (run.status.code(), said)
    };
    let (code, said) = with(json!({ "date": "2026-12-20", "board": "gone-x1" }));
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("no board is called \"gone-x1\""), "{said}");
    assert!(said.contains("the usual order has the sitting"), "{said}");
    for (ready_by, words) in [
        (json!({ "date": "soon" }), "ready_by.date"),
        (json!({ "board": BOARD }), "ready_by.date"),
        (json!({ "date": "2026-12-20", "minutes": 0 }), "1 to 600"),
        (json!("2026-12-20"), "ready_by"),
    ] {
        let (code, said) = with(ready_by);
        assert_eq!(code, Some(1), "{said}");
        assert!(
            said.contains("person.json") && said.contains(words),
            "{said}"
        );
        // It is mended here, as a person would mend it.
        let mut file = person(&bench);
        file.as_object_mut().expect("fields").remove("ready_by");
        bench.put("people/mk/person.json", &file.to_string());
    }
}

#[test]
fn the_first_sitting_after_an_absence_asks_most_what_the_plan_said_it_would() {
    let bench = Bench::shipped();
    let on = ["--as-of", "2026-12-12T08:00:00Z", "--person", "sv"];
    let plan = bench.run(&[&["plan", "--days", "3", "--json"], &on[..]].concat());
    let plan: Value = serde_json::from_str(text(&plan.stdout).trim()).expect("JSON");
    let first = &plan["recovery"]["first"][0]["families"][0];
    let said = first.as_str().expect("a family").to_owned();
    let (_, asked) = sits(&bench, &on);
    let cards = deck(&bench);
    let mut counts: std::collections::BTreeMap<&str, usize> = std::collections::BTreeMap::new();
    for id in &asked {
        // Bench rules belong to no circuit and stand in other decks; the plan names them together.
        let card = cards.iter().find(|c| c["id"] == **id);
        let family = card.and_then(|card| card["family"].as_str());
        let family = family.filter(|f| !f.is_empty()).unwrap_or("bench rules");
        *counts.entry(family).or_default() += 1;
    }
    let mut most: Vec<(usize, &str)> = counts.into_iter().map(|(f, n)| (n, f)).collect();
    most.sort_unstable_by(|a, b| b.cmp(a));
    let place = most.iter().position(|(_, family)| *family == said);
    assert!(place.is_some_and(|place| place < 3), "{said}: {most:?}");
}
