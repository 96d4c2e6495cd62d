//! `deck print` through the real program: which cards come on paper, what it says, and what it never
//! writes over. Page sizes and what lies behind what in a PDF are looked at by `tests/terminal/print.sh`.

use std::path::PathBuf;
use std::process::Output;

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::text;

/// Runs `deck print` of the deck `shop` into `cards.html` beside the shop.
fn print(bench: &Bench, args: &[&str]) -> Output {
    print_into(bench, &sheet(bench), args)
}

fn print_into(bench: &Bench, file: &std::path::Path, args: &[&str]) -> Output {
    let shop = bench.shop();
    let (shop, file) = (shop.to_string_lossy(), file.to_string_lossy());
    let fixed = ["deck", "print", "--shop", &shop, "--into", &file];
    bench.run(&[&fixed, args].concat())
}

fn sheet(bench: &Bench) -> PathBuf {
    bench.shop().with_file_name("cards.html")
}

fn html(bench: &Bench) -> String {
    std::fs::read_to_string(sheet(bench)).expect("the file was written")
}

/// Prints, and returns what `--json` says.
fn said(bench: &Bench, args: &[&str]) -> Value {
    let out = print(bench, &[args, &["--replace", "--json"]].concat());
    assert!(out.status.success(), "{args:?}: {}", text(&out.stderr));
    serde_json::from_str(&text(&out.stdout)).expect("a JSON line")
}

const WALL: [&str; 4] = ["--paper", "a4", "--size", "wall"];
const POCKET: [&str; 4] = ["--paper", "letter", "--size", "pocket"];

fn card(id: &str, board: &str, signed: bool) -> Value {
    json!({
        "id": id, "kind": "fix", "board": board, "revs": ["A"], "family": "isolated", "complaint": ["no-power"],
        "front": [{"kind": "rail", "where": "3V3", "expect_v": 3.3, "got_v": 0.2, "verdict": "low"}],
        "answers": [{"act": "replace", "part": "U31", "name": "switcher"}],
        "share": {"k": 3, "n": 4, "proved": 2, "low": 0.301, "high": 0.954},
        "others": [], "bounced": 0, "support": "supported", "jobs": ["W-1"], "last": "2026-03-14",
        "why": "<script>alert('why')</script>", "cautions": ["mains", "stored-charge"], "warn": [],
        "signed": if signed { json!("tl") } else { Value::Null },
    })
}

const SHOP: &str = r#"{"v":1,"name":"T","boards":[{"id":"x","name":"Board <b>X</b>"},{"id":"y","name":"Board Y"}]}"#;

fn bench(cards: &[Value]) -> Bench {
    let deck =
        json!({"v": 1, "deck": "shop", "name": "T", "from": "0", "cards": cards}).to_string();
    let bench = Bench::with_files(&[("shop.json", SHOP), ("decks/shop.json", &deck)]);
    let lead = bench.run(&["people", "add", "TL", "--role", "lead"]);
    assert!(lead.status.success(), "{}", text(&lead.stderr));
    bench
}

fn three() -> Bench {
    bench(&[
        card("aaaa000000000001", "x", false),
        card("bbbb000000000002", "y", false),
        card("cccc000000000003", "y", false),
    ])
}

#[test]
fn a_deck_comes_on_paper_with_its_hazards_first_and_says_that_nobody_signed_it() {
    let bench = three();
    let out = print(&bench, &[&["shop"][..], &POCKET].concat());
    assert!(out.status.success(), "{}", text(&out.stderr));
    let shown = text(&out.stdout);
    assert!(shown.contains("3 cards on 1 sheet of Letter: "), "{shown}");
    assert!(shown.contains("Type: 3 in 9 pt"), "{shown}");
    assert!(shown.contains("3 not yet signed"), "{shown}");
    assert!(shown.contains("turned on the long edge"), "{shown}");
    let page = html(&bench);
    assert!(page.contains("size:215.9mm 279.4mm"), "{page}");
    assert_eq!(page.matches("<section").count(), 2);
    for face in page.split("<article").skip(1) {
        let first = face.split("<div").nth(2).expect("a first piece");
        assert!(first.contains("cautions"), "{face}");
        assert!(first.contains("Mains: qualified person only"), "{face}");
        assert!(first.contains("Stored charge: source off"), "{face}");
    }
    let fronts = page.matches("; not yet signed").count();
    assert_eq!(fronts, 3, "{page}");
}

#[test]
fn text_of_the_shop_stays_text() {
    let bench = three();
    said(&bench, &[&["shop"][..], &WALL].concat());
    let page = html(&bench);
    assert!(page.contains("&lt;b&gt;X&lt;/b&gt;"), "{page}");
    assert!(
        page.contains("&lt;script&gt;alert(&#39;why&#39;)"),
        "{page}"
    );
    assert!(
        !page.contains("<script") && !page.contains("<b>X"),
        "{page}"
    );
}

#[test]
fn only_what_is_asked_for_is_printed() {
    let bench = three();
    let cards =
        |args: &[&str]| said(&bench, &[&["shop"][..], &WALL, args].concat())["cards"].clone();
    assert_eq!(cards(&[]), 3);
    assert_eq!(cards(&["--board", "y"]), 2);
    assert_eq!(cards(&["--family", "isolated"]), 3);
    assert_eq!(cards(&["--card", "bbbb", "--card", "aaaa"]), 2);
    assert_eq!(cards(&["--card", "aaaa", "--board", "x"]), 1);
    for (args, code, why) in [
        (&["--board", "z"][..], 2, "no board is called"),
        (&["--family", "none"], 2, "no circuit family is called"),
        (&["--card", "dddd"], 1, "no deck has a card"),
        (
            &["--card", "aaaa", "--board", "y"],
            1,
            "none of these cards",
        ),
        (&["--signed"], 1, "none of these cards"),
    ] {
        let out = print(
            &bench,
            &[&["shop"][..], &WALL, &["--replace"], args].concat(),
        );
        let said = text(&out.stderr);
        assert_eq!(out.status.code(), Some(code), "{args:?}: {said}");
        assert!(said.contains(why), "{args:?}: {said}");
    }
    let out = print(&bench, &[&["no-such-deck"][..], &WALL].concat());
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("no deck is called"));
}

#[test]
fn cards_out_of_use_are_not_printed_and_signed_ones_say_nothing() {
    let bench = three();
    for command in [
        &["deck", "sign", "aaaa", "--person", "tl"][..],
        &["deck", "retire", "bbbb", "--person", "tl", "gone"],
        &["deck", "tag", "cccc", "--person", "tl", "odd"],
    ] {
        let out = bench.run(command);
        assert!(out.status.success(), "{command:?}: {}", text(&out.stderr));
    }
    let all = said(&bench, &[&["shop"][..], &WALL].concat());
    assert_eq!((&all["cards"], &all["unsigned"]), (&json!(1), &json!(0)));
    let left_out = all["left_out"].as_array().expect("a list");
    assert_eq!(left_out.len(), 2, "{all}");
    for card in left_out {
        assert_eq!(card["why"], "it is tagged out or retired");
    }
    assert!(!html(&bench).contains("not yet signed"));
    let signed = said(&bench, &[&["shop", "--signed"][..], &WALL].concat());
    assert_eq!(signed["cards"], 1);
    assert_eq!(signed["left_out"], json!([]));
}

#[test]
fn what_does_not_fit_is_left_out_with_the_reason_and_never_cut() {
    let mut long = card("eeee000000000005", "x", false);
    long["why"] = json!("a reason in many words ".repeat(60));
    let bench = bench(&[card("aaaa000000000001", "x", false), long.clone()]);
    // In the pocket its back goes on on a second card, which has the same number of the card's own.
    let small = said(&bench, &[&["shop"][..], &POCKET].concat());
    assert_eq!(small["left_out"], json!([]));
    assert_eq!(
        (&small["cards"], &small["in_parts"]),
        (&json!(3), &json!(1))
    );
    assert_eq!(html(&bench).matches("many").count(), 60);
    assert_eq!(html(&bench).matches("Part 2 of 2 of this card.").count(), 1);
    let large = said(&bench, &[&["shop"][..], &WALL].concat());
    assert_eq!(large["cards"], 2);
    assert_eq!(large["pages"], 4);
    assert_eq!(html(&bench).matches("a reason in many words").count(), 60);
    // A deck of nothing that fits ends as a failure, and the file that is there stays.
    long["why"] = json!("a reason in many words ".repeat(2000));
    let bench = self::bench(&[card("aaaa000000000001", "x", false), long.clone()]);
    let left = said(&bench, &[&["shop"][..], &POCKET].concat());
    assert_eq!(left["cards"], 1);
    assert_eq!(
        left["left_out"],
        json!([{
            "card": "eeee000000000005 (fix)",
            "why": "its back does not fit in 7 pt, the smallest type here, not even in parts; print it \
                    with --size wall"
        }])
    );
    assert!(!html(&bench).contains("a reason in many words"));
    let before = html(&bench);
    let out = print(
        &bench,
        &[&["shop", "--card", "eeee", "--replace"][..], &POCKET].concat(),
    );
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stderr).contains("nothing was written"),
        "{}",
        text(&out.stderr)
    );
    assert_eq!(html(&bench), before);
}

#[test]
fn nothing_is_written_over_unasked_or_into_the_shop() {
    let bench = three();
    let args = [&["shop"][..], &WALL].concat();
    assert!(print(&bench, &args).status.success());
    let first = html(&bench);
    let again = print(&bench, &[&["shop"][..], &POCKET].concat());
    assert_eq!(again.status.code(), Some(1));
    assert!(text(&again.stderr).contains("is there already"));
    assert_eq!(html(&bench), first);
    assert!(
        print(&bench, &[&["shop", "--replace"][..], &POCKET].concat())
            .status
            .success()
    );
    assert_ne!(html(&bench), first);
    let inside = bench.shop().join("decks/cards.html");
    let out = print_into(&bench, &inside, &[&args[..], &["--replace"]].concat());
    assert_eq!(out.status.code(), Some(1));
    assert!(text(&out.stderr).contains("inside the shop folder"));
    assert!(!inside.exists());
}

#[test]
fn paper_and_size_must_be_said_and_known() {
    let bench = three();
    for args in [
        &["shop", "--paper", "a4"][..],
        &["shop", "--size", "wall"],
        &["shop", "--paper", "a5", "--size", "wall"],
        &["shop", "--paper", "a4", "--size", "poster"],
        &["shop", "--paper", "a4", "--size", "wall", "--edge", "top"],
    ] {
        let out = print(&bench, args);
        assert_eq!(out.status.code(), Some(2), "{args:?}");
    }
    assert!(!sheet(&bench).exists());
}

#[test]
fn the_same_deck_and_day_give_the_same_bytes_and_the_edge_changes_only_places() {
    let bench = three();
    said(&bench, &[&["shop"][..], &POCKET].concat());
    let first = html(&bench);
    said(&bench, &[&["shop"][..], &POCKET].concat());
    assert_eq!(html(&bench), first);
    said(
        &bench,
        &[&["shop", "--edge", "short"][..], &POCKET].concat(),
    );
    let short = html(&bench);
    assert_ne!(short, first);
    let without = |page: &str| -> Vec<String> {
        page.lines()
            .filter(|line| !line.starts_with("<article") && !line.contains("turn on the"))
            .map(str::to_owned)
            .collect()
    };
    assert_eq!(without(&short), without(&first));
}

/// Returns the words of a text that bear meaning, without the marks of sentences around them.
fn words(text: &str) -> Vec<&str> {
    text.split_whitespace()
        .map(|word| word.trim_matches([',', ';', '.', ':', '(', ')']))
        .filter(|word| !word.is_empty())
        .collect()
}

/// Returns what a browser shows of a piece of the file.
fn shown(html: &str) -> String {
    let mut shown = String::new();
    for part in html.split('<') {
        shown.push_str(part.split_once('>').map_or(part, |(_, text)| text));
        shown.push(' ');
    }
    shown
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

#[test]
fn a_card_on_paper_says_every_word_that_a_trainee_sees() {
    let bench = Bench::shipped();
    let out = print(&bench, &["shop", "--paper", "letter", "--size", "wall"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let page = html(&bench);
    let faces: Vec<(String, String)> = page
        .split("<article")
        .skip(1)
        .map(|face| {
            let (_, foot) = face.rsplit_once("<span>").expect("a foot");
            let mark = foot.split('<').next().expect("a mark").to_owned();
            // The place of the card on its sheet stands before the first piece.
            let (_, inside) = face.split_once('>').expect("an element");
            (mark, shown(inside))
        })
        .collect();
    let told = text(&bench.run(&["deck", "show", "shop"]).stdout);
    let mut compared = 0;
    for card in told.split("\n\n").filter(|card| !card.trim().is_empty()) {
        let (id, lines) = card.trim().split_once('\n').expect("an id, then lines");
        let mark = &id.trim_start_matches("Card: ")[..8];
        let own = faces.iter().filter(|(of, _)| of == mark);
        let both: String = own.map(|(_, words)| words.as_str()).collect();
        if both.is_empty() {
            continue;
        }
        let on_paper = words(&both);
        // Of many jobs the paper names the latest alone; what decides, and what is named, it marks in its
        // own way.
        let lines = lines.lines().filter(|line| !line.starts_with("Jobs: "));
        for line in lines {
            let (label, said) = line.split_once(": ").unwrap_or(("", line));
            let said = said.replace("(this decides)", "");
            for word in words(&said) {
                assert!(
                    on_paper.contains(&word),
                    "{mark}: {label}: {word:?} of {said:?}"
                );
            }
        }
        compared += 1;
    }
    assert!(150 < compared, "only {compared} cards");
}
