//! The lead's desk, as a lead and the people around use it.

use std::sync::Arc;

use benchlore::app::lend;
use benchlore::app::practice;
use benchlore::app::practice::Options;
use benchlore::app::practice::Practice;
use benchlore::app::workbench::Workbench;
use benchlore::domain::judge::hear;
use benchlore::domain::review::Event;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Sure;
use benchlore::domain::review::TagReason;
use benchlore::domain::sitting::Said;
use benchlore::store::disk::Disk;
use benchlore::store::disk::RealDisk;
use benchlore::store::journal::Journal;
use benchlore::store::lock::Holder;
use benchlore::store::paths::ShopFolder;
use chrono::DateTime;
use chrono::Utc;
use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::Drill;
use crate::common::text;

/// A card of the practice shop whose answer is to clean J8, which people have answered.
fn card(bench: &Bench) -> String {
    let all = bench.run(&["deck", "show", "shop", "--json"]);
    let cards = text(&all.stdout);
    let cards = cards
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).expect("JSON"));
    let clean = |c: &Value| {
        let step = &c["answers"][0];
        c["kind"] == "fix" && step["act"] == "clean" && step["part"] == "J8"
    };
    let found = cards.into_iter().find(clean).expect("a card for J8");
    found["id"].as_str().expect("an id").to_owned()
}

/// The practice shop with two leads, TL and RS.
fn with_leads() -> Bench {
    let bench = Bench::shipped();
    for lead in ["TL", "RS"] {
        let done = bench.run(&["people", "add", lead, "--role", "lead"]);
        assert!(done.status.success(), "{}", text(&done.stderr));
    }
    bench
}

/// Runs a command of the lead's desk at `minute` past nine on `on`'s journals; returns code and words.
#[track_caller]
fn at(bench: &Bench, on: &str, minute: u32, args: &[&str]) -> (i32, String) {
    let moment = format!("2026-11-20T09:{minute:02}:00Z");
    let mut all = vec!["deck"];
    all.extend(args);
    all.extend(["--as-of", &moment]);
    let mut command = bench.command(&all);
    let done = command
        .env("BENCHLORE_BENCH", on)
        .output()
        .expect("it runs");
    let words = format!("{}{}", text(&done.stdout), text(&done.stderr));
    (done.status.code().expect("a code"), words)
}

#[track_caller]
fn done(bench: &Bench, on: &str, minute: u32, args: &[&str]) -> String {
    let (code, words) = at(bench, on, minute, args);
    assert_eq!(code, 0, "{args:?}: {words}");
    words
}

#[track_caller]
fn refused(bench: &Bench, args: &[&str], why: &str) {
    let before = std::fs::read(bench.shop().join("edits/b7.jsonl")).ok();
    let (code, words) = at(bench, "b7", 50, args);
    assert_eq!(code, 1, "{args:?}: {words}");
    assert!(words.contains(why), "{args:?}: {words}");
    let after = std::fs::read(bench.shop().join("edits/b7.jsonl")).ok();
    assert_eq!(before, after, "{args:?} wrote something");
}

#[track_caller]
fn page(bench: &Bench, card: &str, minute: u32) -> Value {
    let words = done(bench, "b7", minute, &["desk", card, "--json"]);
    serde_json::from_str(&words).expect("JSON")
}

#[test]
fn the_desk_lists_what_wants_a_look_and_shows_a_card_as_people_see_it() {
    let bench = Bench::shipped();
    let words = done(&bench, "b7", 0, &["desk", "--json", "--all"]);
    let lines: Vec<Value> = words
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let (whole, rows) = lines.split_last().expect("the counts come last");
    assert_eq!(whole["desk"]["waiting"], rows.len(), "{whole}");
    assert!(rows.len() > 100, "{}", rows.len());
    let weights = [
        "doubted",
        "edited-apart",
        "contradicted",
        "bounced-since-signed",
        "missed-more",
        "changed-since-signed",
        "seen",
        "new",
        "waits",
    ];
    let weight = |row: &Value| {
        let first = row["reasons"][0].as_str().expect("a reason");
        weights
            .iter()
            .position(|word| *word == first)
            .expect("a reason there is")
    };
    assert!(
        rows.is_sorted_by_key(weight),
        "in the order of their weight"
    );
    let limited = done(&bench, "b7", 0, &["desk", "--json", "--limit", "3"]);
    assert_eq!(limited.lines().count(), 4);
    let card = card(&bench);
    let shown = page(&bench, &card[..8], 0);
    assert_eq!(shown["card"]["id"], json!(card));
    assert_eq!(shown["mark"], "not yet signed");
    assert!(
        shown["now"]["answers"]
            .as_str()
            .is_some_and(|a| a.starts_with("clean J8"))
    );
    let plain = done(&bench, "b7", 0, &["desk", &card]);
    for part in [
        "This card: not yet signed",
        "Answer: Clean J8",
        "Missed: ",
        "Could be split by ",
    ] {
        assert!(plain.contains(part), "{part}: {plain}");
    }
    refused(
        &bench,
        &["desk", "zz"],
        "no deck has a card whose id begins so",
    );
}

#[test]
fn a_lead_signs_and_mends_and_others_are_told_whom_to_ask() {
    let bench = Bench::shipped();
    let card = card(&bench);
    let words = done(
        &bench,
        "b7",
        0,
        &["evidence", &card, "more", "--person", "jo"],
    );
    assert!(
        words.contains("This shop has no lead, so anyone may do this."),
        "{words}"
    );
    let bench = with_leads();
    refused(&bench, &["sign", &card, "--person", "jo"], "JO is no lead");
    done(&bench, "b7", 1, &["sign", &card, "--person", "tl"]);
    let words = done(&bench, "b7", 1, &["sign", &card, "--person", "tl"]);
    assert!(words.contains("nothing was written"), "{words}");
    let shown = page(&bench, &card, 2);
    assert_eq!(
        (&shown["row"]["signed"], &shown["mark"]),
        (&json!("TL"), &json!(""))
    );
    done(
        &bench,
        "b7",
        3,
        &["why", &card, "Salt", "creeps", "in.", "--person", "tl"],
    );
    assert_eq!(
        page(&bench, &card, 4)["row"]["signed"],
        "TL",
        "words are not the answer"
    );
    let words = done(
        &bench,
        "b7",
        5,
        &["answers", &card, "clean J8; replace j8", "--person", "tl"],
    );
    assert!(words.contains("sign it again"), "{words}");
    let shown = page(&bench, &card, 6);
    assert_eq!(shown["now"]["answers"], "clean J8; replace J8");
    assert_eq!(shown["row"]["reasons"][0], "changed-since-signed");
    assert_eq!(shown["row"]["signed"], "");
    done(&bench, "b7", 7, &["sign", &card, "--person", "rs"]);
    let shown = page(&bench, &card, 8);
    assert_eq!(
        (&shown["row"]["signed"], &shown["row"]["reasons"]),
        (&json!("RS"), &json!([]))
    );
    assert_eq!(shown["history"].as_array().map(Vec::len), Some(4));
}

#[test]
fn what_would_teach_harm_or_give_the_answer_away_is_refused() {
    let bench = with_leads();
    let card = card(&bench);
    for (args, why) in [
        (["answers", "hammer J8"], "is no act of the shop's jobs"),
        (["answers", "clean"], "clean what?"),
        (["answers", ";"], "a card needs a right answer"),
        (
            ["answers", "clean J8; bridge-or-jumper F1"],
            "that is unsafe",
        ),
        (
            ["answers", "replace U31"],
            "asks for the circuit display, and that answer lies in standby",
        ),
        (
            ["stem", "Look at J8. What now?"],
            "give the answer away: J8",
        ),
        (["stem", "Which flex socket is it?"], "give the answer away"),
        (["also", "wash J9"], "J9 is another part than the answer's"),
        (["also", "bridge the fuse"], "that is unsafe"),
        (["why", "  "], "a card says why"),
        (["why", "Bridge the fuse F1 and see."], "that is unsafe"),
        (["cautions", "mainz"], "no hazard is called mainz"),
        (["cautions", "esd"], "stays on the card"),
        (["merge", &card], "it cannot go into itself"),
    ] {
        refused(&bench, &[args[0], &card, args[1], "--person", "tl"], why);
    }
    let more = format!(
        "{}, esd",
        page(&bench, &card, 0)["now"]["cautions"]
            .as_str()
            .expect("ids")
    );
    done(
        &bench,
        "b7",
        1,
        &["cautions", &card, &more, "--person", "tl"],
    );
    assert_eq!(page(&bench, &card, 2)["now"]["cautions"], json!(more));
}

/// Returns the id of a card of the practice shop of this kind.
fn of_kind(bench: &Bench, kind: &str) -> String {
    let all = text(&bench.run(&["deck", "show", "shop", "--json"]).stdout);
    let cards = all
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).expect("JSON"));
    let found = cards.into_iter().find(|card| card["kind"] == kind);
    found.expect("a card")["id"]
        .as_str()
        .expect("an id")
        .to_owned()
}

#[test]
fn an_answer_that_is_judged_by_points_or_measurements_is_not_typed_over_as_a_repair() {
    let bench = with_leads();
    for kind in ["expect", "contrast", "next", "stop"] {
        let card = of_kind(&bench, kind);
        let args = ["answers", &card, "replace U31", "--person", "tl"];
        refused(&bench, &args, "its answer is no repair");
        let now = page(&bench, &card, 1)["now"].clone();
        assert_eq!(
            (&now["answers"], &now["also"]),
            (&json!(""), &json!("")),
            "{kind}"
        );
    }
}

/// Tells whether the shop hears `typed` as right on `card`.
fn is_right(bench: &Bench, card: &str, typed: &str) -> bool {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    let folder = ShopFolder::new(bench.shop());
    let workbench = Workbench::open(disk, folder, "b7".to_owned()).expect("the shop opens");
    let cards = workbench.cards();
    let card = cards.into_iter().find(|c| c.id == card).expect("the card");
    let board = workbench.boards.iter().find(|b| b.id == card.board);
    hear::hear(typed, card, board, &workbench.words).right
}

#[test]
fn a_lead_accepts_one_wording_more_on_a_card_of_any_kind_and_it_outlives_a_build() {
    let bench = with_leads();
    bench.run(&["deck", "add", "bench-rules"]);
    let rules = text(&bench.run(&["deck", "show", "bench-rules", "--json"]).stdout);
    let rule: Value = serde_json::from_str(rules.lines().next().expect("a rule")).expect("JSON");
    let rule = rule["id"].as_str().expect("an id").to_owned();
    let mut cards: Vec<(String, &str)> = ["expect", "next", "stop"]
        .map(|kind| (of_kind(&bench, kind), "the usual one, as we say here"))
        .into();
    cards.push((rule, "the usual one, as we say here"));
    cards.push((of_sides(&bench, true), "A is the wet one, B the dry one"));
    cards.push((of_sides(&bench, false), "the usual one, as we say here"));
    for (card, typed) in &cards {
        assert!(!is_right(&bench, card, typed), "{card}");
        let mark = page(&bench, card, 0)["mark"].clone();
        let said = done(&bench, "b7", 1, &["also", card, typed, "--person", "tl"]);
        assert!(said.contains("Who types just that is right"), "{said}");
        assert!(is_right(&bench, card, typed), "{card}");
        let cut = typed.rsplit_once(' ').expect("words").0;
        assert!(
            !is_right(&bench, card, cut),
            "only the whole answer: {card}"
        );
        let shown = page(&bench, card, 2);
        assert_eq!(shown["now"]["also"], json!(typed));
        assert_eq!(shown["mark"], mark, "what it accepts else is the same");
        let plain = done(&bench, "b7", 2, &["desk", card]);
        assert!(plain.contains(&format!("Right in these words too: {typed}")));
        let unsafe_one = "bridge the fuse with wire";
        refused(
            &bench,
            &["also", card, unsafe_one, "--person", "tl"],
            "that is",
        );
    }
    let wrong = format!("{}; replace U99", cards[0].1);
    let args = ["also", &cards[0].0, &wrong, "--person", "tl"];
    refused(&bench, &args, "U99 stands nowhere on this card");
    let (card, typed) = &cards[1];
    let other = ["also", card, "another one", "--person", "tl"];
    let said = done(&bench, "b7", 2, &other);
    assert!(
        said.contains(&format!("No longer among them: \"{typed}\"")),
        "{said}"
    );
    done(&bench, "b7", 2, &["undo", "--person", "tl"]);
    let args = ["also", &cards[4].0, "the wet one", "--person", "tl"];
    refused(&bench, &args, "which fix is A's");
    done(&bench, "b7", 3, &["build"]);
    for (card, typed) in &cards {
        assert!(is_right(&bench, card, typed), "{card} after a build");
    }
    done(&bench, "b7", 4, &["undo", "--person", "tl"]);
    let (card, typed) = &cards[5];
    assert!(!is_right(&bench, card, typed), "taken back");
    let (card, typed) = &cards[4];
    assert!(is_right(&bench, card, typed), "that one stays");
}

/// Returns the id of a card of two look-alikes that shows what separates them, or asks for it.
fn of_sides(bench: &Bench, given: bool) -> String {
    let all = text(&bench.run(&["deck", "show", "shop", "--json"]).stdout);
    let cards = all
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).expect("JSON"));
    let mut found = cards.into_iter().filter(|card| card["kind"] == "contrast");
    let card = found.find(|card| card["given"] == given || (!given && card["given"].is_null()));
    let card = card.expect("a card of two look-alikes");
    card["id"].as_str().expect("an id").to_owned()
}

#[test]
fn wordings_that_two_benches_accept_apart_both_stand() {
    let bench = with_leads();
    let card = of_kind(&bench, "expect");
    let other = Bench::empty();
    bench.copy_shop(&other.shop());
    let (one, two) = ("as we say in the front room", "as we say at the back");
    done(&bench, "b7", 1, &["also", &card, one, "--person", "tl"]);
    done(&other, "c1", 2, &["also", &card, two, "--person", "rs"]);
    other.put("edits/b7.jsonl", &bench.read("edits/b7.jsonl"));
    bench.put("edits/c1.jsonl", &other.read("edits/c1.jsonl"));
    let shown = page(&bench, &card, 3);
    assert_eq!(shown, page(&other, &card, 3), "both benches see the same");
    assert_eq!(shown["now"]["also"], json!(format!("{one}; {two}")));
    assert_eq!(shown["apart"], json!([]));
    assert!(is_right(&bench, &card, one) && is_right(&bench, &card, two));
    done(&bench, "b7", 4, &["sign", &card, "--person", "tl"]);
}

#[test]
fn a_signature_says_whose_wish_for_more_jobs_it_ends() {
    let bench = with_leads();
    let card = card(&bench);
    done(
        &bench,
        "b7",
        1,
        &["evidence", &card, "wet ones", "--person", "rs"],
    );
    let said = done(&bench, "b7", 2, &["sign", &card, "--person", "tl"]);
    assert!(
        said.contains("ends the wish for more jobs (RS: wet ones)"),
        "{said}"
    );
    let said = done(&bench, "b7", 3, &["sign", &card, "--person", "rs"]);
    assert!(!said.contains("wish"), "{said}");
    assert_eq!(page(&bench, &card, 4)["row"]["reasons"], json!([]));
}

#[test]
fn merges_made_apart_are_named_as_such() {
    let bench = with_leads();
    let card = card(&bench);
    let like = page(&bench, &card, 0)["like"].clone();
    let into = |at: usize| like[at]["card"].as_str().expect("a card").to_owned();
    let other = Bench::empty();
    bench.copy_shop(&other.shop());
    done(
        &bench,
        "b7",
        1,
        &["merge", &card, &into(0), "--person", "tl"],
    );
    done(
        &other,
        "c1",
        2,
        &["merge", &card, &into(1), "--person", "rs"],
    );
    bench.put("edits/c1.jsonl", &other.read("edits/c1.jsonl"));
    let said = page(&bench, &card, 3)["row"]["said"][0].clone();
    assert_eq!(said, json!("edited apart: which card it goes into"));
}

#[test]
fn who_tagged_a_card_out_is_named_with_the_reason() {
    let bench = with_leads();
    let card = card(&bench);
    let tag = ["tag", &card, "the value cannot be", "--person", "tl"];
    done(&bench, "b7", 1, &tag);
    let said = page(&bench, &card, 2)["row"]["said"][0].clone();
    assert_eq!(said, json!("tagged out by TL: the value cannot be"));
}

#[test]
fn what_two_benches_typed_apart_is_shown_and_not_chosen_between() {
    let bench = with_leads();
    let card = card(&bench);
    let built = page(&bench, &card, 0)["now"]["why"].clone();
    let other = Bench::empty();
    bench.copy_shop(&other.shop());
    done(&bench, "b7", 1, &["why", &card, "Salt.", "--person", "tl"]);
    done(&other, "c1", 2, &["why", &card, "Flux.", "--person", "rs"]);
    other.put("edits/b7.jsonl", &bench.read("edits/b7.jsonl"));
    bench.put("edits/c1.jsonl", &other.read("edits/c1.jsonl"));
    let shown = page(&bench, &card, 3);
    assert_eq!(shown, page(&other, &card, 3), "both benches see the same");
    assert_eq!(shown["now"]["why"], built, "as both had found it");
    assert_eq!(shown["row"]["reasons"][0], "edited-apart");
    let values: Vec<&str> = shown["apart"][0]["values"]
        .as_array()
        .expect("the values")
        .iter()
        .map(|value| value["value"].as_str().expect("words"))
        .collect();
    assert_eq!(values, ["Salt.", "Flux."]);
    refused(
        &bench,
        &["sign", &card, "--person", "tl"],
        "edited apart and not settled yet",
    );
    refused(
        &bench,
        &["settle", &card, "why", "edit-b7-9", "--person", "tl"],
        "none of the values",
    );
    refused(
        &bench,
        &["settle", &card, "stem", "edit-b7-1", "--person", "tl"],
        "nobody edited it apart",
    );
    done(
        &bench,
        "b7",
        4,
        &["settle", &card, "why", "edit-c1-1", "--person", "tl"],
    );
    let shown = page(&bench, &card, 5);
    assert_eq!(
        (&shown["now"]["why"], &shown["apart"]),
        (&json!("Flux."), &json!([]))
    );
    // The other bench goes on without having heard of it, and nobody's words are lost.
    done(&other, "c1", 6, &["why", &card, "Both.", "--person", "rs"]);
    bench.put("edits/c1.jsonl", &other.read("edits/c1.jsonl"));
    let apart = page(&bench, &card, 7)["apart"][0]["values"].clone();
    assert_eq!(apart.as_array().map(Vec::len), Some(2), "{apart}");
}

#[test]
fn a_card_is_retired_brought_back_and_goes_into_another() {
    let bench = with_leads();
    let card = card(&bench);
    let in_use = |minute| {
        let words = done(&bench, "b7", minute, &["desk", "--json", "--all"]);
        let last = words.lines().last().expect("the counts").to_owned();
        let whole: Value = serde_json::from_str(&last).expect("JSON");
        whole["desk"]["cards"].as_u64().expect("a count")
    };
    let all = in_use(0);
    done(
        &bench,
        "b7",
        1,
        &["retire", &card, "not seen any more", "--person", "tl"],
    );
    assert_eq!(in_use(2), all - 1);
    let words = done(&bench, "b7", 2, &["retire", &card, "--person", "tl"]);
    assert!(words.contains("nothing was written"), "{words}");
    done(&bench, "b7", 3, &["untag", &card, "--person", "tl"]);
    assert_eq!(in_use(4), all);
    let like = page(&bench, &card, 5)["like"][0]["card"].clone();
    let like = like.as_str().expect("a card of its circuit").to_owned();
    done(&bench, "b7", 6, &["merge", &card, &like, "--person", "tl"]);
    assert_eq!(in_use(7), all - 1);
    assert_eq!(
        page(&bench, &card, 8)["card"]["id"],
        json!(like),
        "it goes on as the other"
    );
    done(&bench, "b7", 9, &["untag", &card, "--person", "tl"]);
    assert_eq!(in_use(10), all);
    assert_eq!(page(&bench, &card, 11)["card"]["id"], json!(card));
    let words = done(
        &bench,
        "b7",
        12,
        &["split", &card, "--by", "revision", "--person", "tl"],
    );
    assert!(words.contains("with the next build"), "{words}");
    assert_eq!(in_use(13), all);
}

#[test]
fn what_a_lead_did_last_is_taken_back_step_by_step_and_another_leads_stays() {
    let bench = with_leads();
    let card = card(&bench);
    let undo = |minute, who: &str| done(&bench, "b7", minute, &["undo", "--person", who]);
    assert!(undo(0, "tl").contains("nothing at this bench"));
    let built = page(&bench, &card, 1)["card"].clone();
    done(
        &bench,
        "b7",
        2,
        &["why", &card, "Seen twice.", "--person", "tl"],
    );
    done(&bench, "b7", 3, &["sign", &card, "--person", "tl"]);
    done(
        &bench,
        "b7",
        4,
        &["stem", &card, "What mends it?", "--person", "rs"],
    );
    let words = undo(5, "tl");
    assert!(
        words.contains("Taken back") && words.contains("signed it"),
        "{words}"
    );
    let now = page(&bench, &card, 6);
    assert_eq!(now["row"]["signed"], json!(""));
    assert_eq!(now["card"]["stem"], json!("What mends it?"));
    assert!(undo(7, "tl").contains("typed the why-line: Seen twice."));
    assert_eq!(page(&bench, &card, 8)["card"]["why"], built["why"]);
    assert!(undo(9, "tl").contains("nothing at this bench"));
    assert!(undo(10, "rs").contains("typed the question: What mends it?"));
    assert_eq!(page(&bench, &card, 11)["card"], built);
    let lines = bench.read("edits/b7.jsonl");
    assert_eq!(lines.lines().count(), 6, "nothing was removed: {lines}");
}

#[test]
fn a_card_that_goes_into_another_says_once_what_it_leaves_behind() {
    let bench = with_leads();
    let card = card(&bench);
    done(
        &bench,
        "b7",
        1,
        &["why", &card, "Seen twice.", "--person", "tl"],
    );
    done(&bench, "b7", 2, &["sign", &card, "--person", "rs"]);
    let like = page(&bench, &card, 3)["like"][0]["card"].clone();
    let like = like.as_str().expect("a card of its circuit").to_owned();
    let before = page(&bench, &like, 4)["card"]["why"].clone();
    let words = done(&bench, "b7", 5, &["merge", &card, &like, "--person", "tl"]);
    assert!(words.contains("the why-line: Seen twice."), "{words}");
    assert!(
        words.to_lowercase().contains("the signature of rs"),
        "{words}"
    );
    // The beginning of the old id leads to the card that stays, and its history holds the rest.
    let stays = page(&bench, &card[..8], 6);
    assert_eq!(stays["card"]["id"], json!(like));
    assert_eq!(stays["card"]["why"], before);
    let history = stays["history"].to_string();
    assert!(
        history.contains("Seen twice.") && history.contains(&card),
        "{history}"
    );
    let words = done(&bench, "b7", 7, &["undo", "--person", "tl"]);
    assert!(words.contains("next build"), "{words}");
    assert_eq!(page(&bench, &card, 8)["card"]["id"], json!(card));
}

/// Opens a drill of `person` at `minute` past nine, answers its first card rightly, and returns that
/// card and what was said as the sitting opened.
fn answer_one(bench: &Bench, person: &str, minute: u32) -> (String, String) {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    let folder = ShopFolder::new(bench.shop());
    let workbench = Workbench::open(disk, folder, "b7".to_owned()).expect("the shop opens");
    let person = workbench.person(Some(person)).expect("the person is there");
    let now: DateTime<Utc> = format!("2026-11-20T09:{minute:02}:00Z")
        .parse()
        .expect("a moment");
    let mut drill =
        Practice::open(&workbench, &person, &Options::default(), 1, now).expect("a sitting");
    let notice = drill.view().notice;
    let card = drill.sitting().card().expect("a card").clone();
    drill.say_circuit(&card.family, 900);
    drill.say_fix(&Said::Aloud, Sure::Fair, 900);
    assert!(drill.set_grade(Grade::Named));
    drill.keep(900, now).expect("it is kept");
    (card.id, notice)
}

#[test]
fn who_learned_a_card_is_told_once_that_it_was_retired() {
    let bench = with_leads();
    let (card, _) = answer_one(&bench, "jo", 1);
    done(
        &bench,
        "b7",
        3,
        &["retire", &card, "two faults", "--person", "tl"],
    );
    let (other, notice) = answer_one(&bench, "jo", 5);
    assert!(
        notice.contains("retired by a lead") && notice.contains("(two faults)"),
        "{notice}"
    );
    assert_ne!(card, other);
    let (_, notice) = answer_one(&bench, "jo", 7);
    assert!(!notice.contains("retired"), "{notice}");
}

/// Tells whether `person` may be asked `card` at `minute` past nine.
fn is_drilled(bench: &Bench, person: &str, card: &str) -> bool {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    let folder = ShopFolder::new(bench.shop());
    let workbench = Workbench::open(disk, folder, "b7".to_owned()).expect("the shop opens");
    let person = workbench.person(Some(person)).expect("the person is there");
    let now: DateTime<Utc> = "2026-11-20T12:00:00Z".parse().expect("a moment");
    let record = practice::record(&workbench, &person.id, now).expect("the journals are read");
    let cards = practice::cards_for(&workbench, &record, &person, &Options::default());
    cards.expect("cards").iter().any(|c| c.id == card)
}

/// Tells whether a lent deck leaves out `card` and says so.
fn stays_at_home(bench: &Bench, card: &str) -> bool {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    let folder = ShopFolder::new(bench.shop());
    let workbench = Workbench::open(disk, folder, "b7".to_owned()).expect("the shop opens");
    let decks = workbench.decks.iter();
    let mut decks = decks.filter(|deck| deck.cards.iter().any(|c| c.id == card));
    let deck = decks.next().expect("a deck has it").deck.clone();
    let given = lend::give(&workbench, &deck, false).expect("it is lent");
    !given.text.contains(card) && given.left_out.iter().any(|(id, _)| id == card)
}

/// Tags the first card that `person` is asked out as doubtful, at `minute` past nine, and returns it.
fn tag_first(bench: &Bench, person: &str, minute: u32) -> String {
    let moment = format!("2026-11-20T09:{minute:02}:00Z");
    let command = bench.command(&["drill", "--json", "--person", person, "--as-of", &moment]);
    let mut drill = Drill::start(command);
    let card = drill.hear()["card"].as_str().expect("a card").to_owned();
    drill.say(&json!({"tag": "two values"}));
    drill.finish();
    card
}

#[test]
fn one_doubt_is_ones_own_and_a_second_or_a_leads_is_everyones_until_a_lead_rules() {
    let bench = with_leads();
    let card = tag_first(&bench, "jo", 1);
    assert!(
        !is_drilled(&bench, "jo", &card),
        "at once for the one who doubts"
    );
    assert!(is_drilled(&bench, "pd", &card), "and nobody else");
    let shown = page(&bench, &card, 2);
    assert_eq!(
        (&shown["row"]["reasons"][0], &shown["row"]["out"]),
        (&json!("doubted"), &json!(false))
    );
    assert_eq!(shown["doubts"][0]["who"], "JO");
    assert_eq!(shown["doubts"][0]["why"], "two values");
    // A second person doubts it as well: its line is written as the drill writes it.
    doubt(&bench, "pd", &card, 3);
    for person in ["jo", "pd", "sv", "tl"] {
        assert!(!is_drilled(&bench, person, &card), "{person}");
    }
    assert_eq!(page(&bench, &card, 4)["row"]["out"], json!(true));
    assert!(stays_at_home(&bench, &card), "nor is it lent");
    done(
        &bench,
        "b7",
        5,
        &["untag", &card, "looked at it", "--person", "tl"],
    );
    for person in ["jo", "pd", "sv", "tl"] {
        assert!(is_drilled(&bench, person, &card), "{person}");
    }
    doubt(&bench, "jo", &card, 6);
    assert!(!is_drilled(&bench, "jo", &card) && is_drilled(&bench, "sv", &card));
    doubt(&bench, "rs", &card, 7);
    assert!(
        !is_drilled(&bench, "sv", &card),
        "a lead's doubt is everyone's"
    );
}

/// Writes that `person` tags `card` out as doubtful.
fn doubt(bench: &Bench, person: &str, card: &str, minute: u32) {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    let now: DateTime<Utc> = format!("2026-11-20T09:{minute:02}:00Z")
        .parse()
        .expect("a moment");
    let holder = Holder {
        who: person.to_owned(),
        since: now,
    };
    let folder = ShopFolder::new(bench.shop());
    let opened = Journal::open(&disk, &folder, person, "b7", &holder);
    let (mut journal, ..) = opened.expect("the journal opens");
    let event = Event::Tag {
        card: card.to_owned(),
        reason: TagReason::Doubtful,
        note: "me too".to_owned(),
    };
    journal
        .append(event, now, now.date_naive())
        .expect("it is kept");
}

#[test]
fn a_shop_may_drill_signed_cards_only() {
    let bench = with_leads();
    let card = card(&bench);
    assert!(is_drilled(&bench, "jo", &card));
    let shop = bench.read("shop.json");
    bench.put(
        "shop.json",
        &shop.replacen('{', "{\"drill_unsigned\":false,", 1),
    );
    assert!(!is_drilled(&bench, "jo", &card));
    done(&bench, "b7", 1, &["sign", &card, "--person", "tl"]);
    assert!(is_drilled(&bench, "jo", &card));
}

/// A pattern over several boards says its places as functions; it was met as often as its own jobs say.
#[test]
fn a_pattern_over_several_boards_lies_on_the_desk_by_how_often_it_was_met() {
    let bench = with_leads();
    let (code, list) = at(&bench, "b7", 1, &["desk", "--all", "--json"]);
    assert_eq!(code, 0, "{list}");
    let rows = list
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).expect("JSON"));
    let across: Vec<Value> = rows
        .filter(|row| row["board"] == "several boards")
        .collect();
    assert!(1 < across.len(), "the practice shop has some");
    let mut titles: Vec<&str> = Vec::new();
    let expects = list.lines().filter(|line| line.contains("What tells: "));
    let (met, all) = expects.fold((0, 0), |(met, all), row| {
        (met + usize::from(!row.contains("\"jobs\":0,")), all + 1)
    });
    // A fault that was last met more than two years ago may be among them.
    assert!(0 < all && all * 9 <= met * 10, "{met} of {all}");
    for row in &across {
        assert!(3 <= row["jobs"].as_u64().expect("a count"), "{row}");
        titles.push(row["title"].as_str().expect("a title"));
    }
    titles.sort_unstable();
    titles.dedup();
    assert_eq!(
        titles.len(),
        across.len(),
        "each is told apart by its title"
    );
}

/// A repair that its card does not show came back after the card was signed: the lead is told all the same.
#[test]
fn a_repair_of_a_signed_card_that_comes_back_is_on_the_desk_whatever_it_had_read() {
    let job = |n: u32, part: &str, volts: f64, day: &str| {
        let line = json!({
            "v": 1, "id": format!("b-{n}"), "job": format!("W-{n}"), "closed_on": day, "board": "x1",
            "unit": format!("unit-{n}"), "complaint": ["no-power"], "family": "standby", "outcome": "held",
            "confidence": "proved", "proof": "runs",
            "actions": [{"act": "replace", "part": part, "role": "the-fix"}],
            "findings": [
                {"kind": "rail", "where": "3V3_SB", "state": "standby", "expect_v": 3.3, "got_v": volts},
            ],
        });
        format!("{line}\n")
    };
    let jobs = [
        job(1, "U31", 0.9, "2026-09-01"),
        job(2, "U31", 0.9, "2026-09-02"),
        job(3, "U31", 0.0, "2026-11-03"),
        job(4, "L12", 3.3, "2026-09-04"),
    ]
    .concat();
    let bench = Bench::with_files(&[
        (
            "shop.json",
            r#"{"v":1,"name":"N","zone":"UTC","boards":[{"id":"x1","name":"X1"}]}"#,
        ),
        ("jobs/a.jsonl", &jobs),
    ]);
    let on = |day: u32, args: &[&str]| {
        let moment = format!("2026-11-{day}T09:00:00Z");
        let run = bench.run(&[args, &["--as-of", &moment]].concat());
        assert!(run.status.success(), "{args:?}: {}", text(&run.stderr));
        text(&run.stdout)
    };
    on(20, &["people", "add", "TL", "--role", "lead"]);
    on(20, &["deck", "build"]);
    let desk = on(20, &["deck", "desk", "--all", "--json"]);
    let row = |desk: &str| -> Value {
        let of = |line: &&str| line.contains("\"title\":\"Replace U31\"");
        let line = desk.lines().find(of).expect("a card for U31");
        serde_json::from_str(line).expect("JSON")
    };
    let card = row(&desk)["card"].as_str().expect("an id").to_owned();
    on(20, &["deck", "sign", &card, "--person", "tl"]);
    let mut more = jobs.clone();
    more.push_str(&job(9, "L12", 3.3, "2026-11-23").replace("unit-9", "unit-3"));
    bench.put("jobs/a.jsonl", &more);
    let cause = ["--cause", "diagnosis", "--person", "tl"];
    on(
        24,
        &[&["jobs", "returned", "W-3", "--by", "W-9"], &cause[..]].concat(),
    );
    on(24, &["deck", "build"]);
    let row = row(&on(24, &["deck", "desk", "--all", "--json"]));
    assert_eq!(row["reasons"][0], "bounced-since-signed", "{row}");
}
