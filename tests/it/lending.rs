//! Decks between shops, through the commands: what comes from outside is data.

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::text;

const OTHER: &str = r#"{"v":1,"name":"Other shop","zone":"Europe/Dublin","boards":[]}"#;

/// The deck of the practice shop as it is lent, and the shop it is lent to.
fn lent() -> (Value, Bench) {
    let deck = lend(&Bench::shipped());
    (deck, Bench::with_files(&[("shop.json", OTHER)]))
}

/// Lends the deck of a shop and reads the file.
fn lend(bench: &Bench) -> Value {
    std::fs::create_dir_all(bench.data()).expect("a folder");
    let file = bench.data().join("lent.json");
    let (place, shop) = (file.to_string_lossy(), bench.shop());
    let shop = shop.to_string_lossy();
    let done = bench.run(&["deck", "lend", "shop", "--into", &place, "--shop", &shop]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    let whole = std::fs::read_to_string(&file).expect("the file");
    serde_json::from_str(&whole).expect("JSON")
}

/// Borrows `deck` and returns what was said and the ids of the cards taken.
fn borrow(bench: &Bench, deck: &Value, name: &str) -> (String, Vec<String>) {
    let file = bench.data().join("theirs.json");
    std::fs::create_dir_all(bench.data()).expect("a folder");
    std::fs::write(&file, deck.to_string()).expect("written");
    let place = file.to_string_lossy();
    let done = bench.run(&["deck", "borrow", &place, "--as", name]);
    let said = format!("{}{}", text(&done.stdout), text(&done.stderr));
    assert!(done.status.success(), "{said}");
    let shown = bench.run(&["deck", "show", name, "--json"]);
    let ids = text(&shown.stdout).lines().map(id).collect();
    (said, ids)
}

fn id(line: &str) -> String {
    let card: Value = serde_json::from_str(line).expect("JSON");
    card["id"].as_str().expect("an id").to_owned()
}

fn of_kind<'a>(deck: &'a mut Value, kind: &str) -> &'a mut Value {
    let cards = deck["cards"].as_array_mut().expect("cards");
    let mut found = cards.iter_mut().filter(|c| c["kind"] == kind);
    found.next().expect("a card of the kind")
}

#[test]
fn nothing_of_the_shop_s_jobs_and_people_is_lent() {
    let (deck, _) = lent();
    let whole = deck.to_string();
    for private in [
        "W-0",
        "\"tl\"",
        "\"mk\"",
        "\"pd\"",
        "parts_cost",
        "2026-",
        "2025-",
    ] {
        assert!(!whole.contains(private), "{private}");
    }
    assert!(whole.contains("\"share\""), "counts go along");
}

#[test]
fn words_that_hardly_a_job_says_stay_at_home_and_the_list_of_free_words_is_short() {
    let job = |n: usize, part: &str, sign: &str, told: &str| {
        let value = if part == "U31" { 0.41 } else { 3.3 };
        let line = json!({
            "v": 1, "id": format!("b-{n}"), "job": format!("W-90{n}"), "closed_on": "2026-01-05", "board": "x1",
            "complaint": ["no-power"], "family": "standby", "outcome": "held", "confidence": "proved",
            "proof": "runs", "actions": [{"act": "replace", "part": part, "role": "the-fix"}],
            "findings": [
                {"kind": "rail", "where": "3V3_SB", "state": "standby", "expect_v": 3.3, "got_v": value},
                {"kind": "visual", "when": "before-cleaning", "where": sign, "sign": "residue"},
                {"kind": "other", "name": "key test", "value": told},
            ],
        });
        format!("{line}\n")
    };
    let signs = [
        "sticker HLR-99-0041788",
        "by the label of Quill",
        "by the label of Moran",
        "by the label of Brody",
    ];
    let jobs: String = (0..4)
        .map(|n| job(n, "U31", signs[n], "dead"))
        .chain((4..6).map(|n| job(n, "L12", "beside the plug", "as Mrs Brandt said")))
        .collect();
    let bench = Bench::with_files(&[
        (
            "shop.json",
            r#"{"v":1,"name":"N","zone":"UTC","boards":[{"id":"x1","name":"X1"}]}"#,
        ),
        ("jobs/a.jsonl", &jobs),
    ]);
    bench.run(&["deck", "build"]);
    let built = bench.read("decks/shop.json");
    assert!(
        built.contains("label of") && built.contains("Brandt"),
        "{built}"
    );
    assert!(!built.contains("0041788"), "no serial stands on a card");
    let deck = lend(&bench).to_string();
    assert!(
        !deck.contains("label of") && !deck.contains("Brandt"),
        "{deck}"
    );
    assert!(
        deck.contains("\"U31\""),
        "what stands on its back alone keeps no card at home"
    );
    let file = bench.data().join("lent.json");
    let (place, shop) = (file.to_string_lossy(), bench.shop());
    let again = [
        "deck",
        "lend",
        "shop",
        "--into",
        &place,
        "--replace",
        "--shop",
    ];
    let done = bench.run(&[&again[..], &[&shop.to_string_lossy()]].concat());
    let said = text(&done.stdout);
    assert!(
        said.contains("left out") && said.contains("as Mrs Brandt said"),
        "{said}"
    );
    assert!(
        !said.contains("Which readings or signs"),
        "the builder's questions are its own: {said}"
    );
}

#[test]
fn what_leads_typed_stays_at_home_until_the_person_who_lends_lets_it_go() {
    let bench = Bench::shipped();
    let all = text(&bench.run(&["deck", "show", "shop", "--json"]).stdout);
    let of = |kind: &str| {
        let cards = all
            .lines()
            .map(|l| serde_json::from_str::<Value>(l).expect("JSON"));
        let mut found = cards.filter(|card| card["kind"] == kind);
        found.next().expect("a card")["id"]
            .as_str()
            .expect("an id")
            .to_owned()
    };
    bench.run(&["people", "add", "TL", "--role", "lead"]);
    let (fix, stop) = (of("fix"), of("stop"));
    for args in [
        ["also", &fix, "as for Halloran"],
        ["why", &fix, "Halloran spilled tea on it."],
        ["stem", &stop, "Halloran's board again: how does this end?"],
        ["also", &stop, "tell Halloran that it is over"],
    ] {
        let done = bench.run(&[&["deck"], &args[..], &["--person", "TL"]].concat());
        assert!(done.status.success(), "{args:?}: {}", text(&done.stderr));
    }
    let deck = lend(&bench);
    let whole = deck.to_string();
    assert!(!whole.contains("Halloran"), "nothing that a lead typed");
    for id in [&fix, &stop] {
        assert!(whole.contains(id.as_str()), "the card itself goes along");
    }
    let file = bench.data().join("own.json").to_string_lossy().into_owned();
    let folder = bench.shop().to_string_lossy().into_owned();
    let run = |args: &[&str]| {
        let all = [&["deck", "lend", "shop", "--shop", &folder], args].concat();
        let done = bench.run(&all);
        assert!(done.status.success(), "{}", text(&done.stderr));
        text(&done.stdout)
    };
    let said = run(&["--dry-run", "--into", &file]);
    assert!(
        said.contains("nothing was written") && said.contains("3 texts"),
        "{said}"
    );
    assert!(
        said.contains(&format!("{fix}, wording: as for Halloran")),
        "{said}"
    );
    assert!(!bench.data().join("own.json").exists());
    assert_eq!(run(&["--dry-run"]), said);
    let said = run(&["--into", &file]);
    assert!(
        said.contains("3 texts that leads typed stay here: --dry-run lists"),
        "{said}"
    );
    assert!(!said.contains("Halloran"), "{said}");
    let said = run(&["--into", &file, "--replace", "--own-words"]);
    assert!(
        said.contains("3 texts that leads typed go along:"),
        "{said}"
    );
    let sent = std::fs::read_to_string(&file).expect("the file");
    for text in ["as for Halloran", "Halloran's board again", "it is over"] {
        assert!(sent.contains(text), "{text}");
    }
    assert!(
        !sent.contains("spilled"),
        "a why-line quotes the shop's own jobs"
    );
    let deck = serde_json::from_str(&sent).expect("JSON");
    let other = Bench::with_files(&[("shop.json", OTHER)]);
    let (said, _) = borrow(&other, &deck, "theirs");
    assert!(
        said.contains("as for Halloran"),
        "listed there as well: {said}"
    );
}

#[test]
fn what_would_hurt_someone_stays_out_wherever_a_hostile_file_says_it() {
    type Spoil = fn(&mut Value);
    let spoils: [(&str, &str, Spoil); 8] = [
        ("fix", "would hurt someone", |c| {
            c["answers"] = json!([{"act": "bridge-or-jumper", "part": "F1"}]);
        }),
        ("expect", "would hurt someone", |c| {
            c["points"][0]["say"] = json!("bridge the fuse");
        }),
        ("stop", "would hurt someone", |c| {
            c["points"][0]["say"] = json!("bypass the interlock and go on");
        }),
        ("next", "would hurt someone", |c| {
            c["suspects"][0]["what"] = json!("Bridge fuse F1");
        }),
        ("fix", "has no caution on the card", |c| {
            c["cautions"] = json!([]);
        }),
        ("fix", "no circuit family", |c| c["family"] = json!("magic")),
        ("fix", "the id is more than", |c| {
            c["id"] = json!("../../up");
        }),
        ("fix", "or too long", |c| {
            c["id"] = json!("x".repeat(5000));
        }),
    ];
    let (good, other) = lent();
    let (_, all) = borrow(&other, &good, "theirs");
    for (kind, why, spoil) in spoils {
        let mut deck = good.clone();
        let card = of_kind(&mut deck, kind);
        let id = card["id"].clone();
        spoil(card);
        let (said, ids) = borrow(&other, &deck, "theirs");
        assert!(said.contains(why), "{kind}: {said}");
        assert!(!said.contains(&"x".repeat(100)), "{said}");
        assert!(!ids.iter().any(|i| *i == id), "{kind}, {why}");
        assert_eq!(ids.len() + 1, all.len(), "{kind}, {why}: only that one");
    }
}

#[test]
fn a_file_of_which_no_card_can_be_used_makes_no_deck() {
    let (mut deck, other) = lent();
    for card in deck["cards"].as_array_mut().expect("cards") {
        card["family"] = json!("magic");
    }
    let file = other.data().join("theirs.json");
    std::fs::create_dir_all(other.data()).expect("a folder");
    std::fs::write(&file, deck.to_string()).expect("written");
    let place = file.to_string_lossy();
    let done = other.run(&["deck", "borrow", &place, "--as", "theirs"]);
    let said = text(&done.stderr);
    assert_eq!(done.status.code(), Some(1), "{said}");
    assert!(said.contains("no circuit family is called"), "{said}");
    assert!(!other.shop().join("decks/theirs.json").exists());
}

#[test]
fn a_card_that_no_screen_could_show_stays_out() {
    type Spoil = fn(&mut Value);
    let spoils: [(&str, Spoil); 3] = [
        ("characters that no screen shows", |c| {
            c["answers"][0]["part"] = json!("U31\u{1b}[2J");
        }),
        ("a text of more than 4000 characters", |c| {
            c["front"][0] = json!({"kind": "other", "name": "test", "value": "x".repeat(5000)});
        }),
        ("nobody reads more than 100", |c| {
            c["front"] = json!(vec![c["front"][0].clone(); 500]);
        }),
    ];
    let (good, other) = lent();
    let (_, all) = borrow(&other, &good, "theirs");
    for (why, spoil) in spoils {
        let mut deck = good.clone();
        spoil(of_kind(&mut deck, "fix"));
        let (said, ids) = borrow(&other, &deck, "theirs");
        assert!(said.contains(why), "{why}: {said}");
        assert_eq!(ids.len() + 1, all.len(), "{why}");
    }
}

#[test]
fn escape_characters_of_another_shop_never_reach_the_terminal() {
    let (mut deck, other) = lent();
    deck["from"] = json!("sh\u{1b}]0;title\u{7}op");
    deck["name"] = json!("\u{1b}[31mred");
    let card = of_kind(&mut deck, "fix");
    card["answers"][0]["name"] = json!("\u{1b}[2Jgone");
    of_kind(&mut deck, "expect")["why"] = json!("\u{1b}[31mred");
    let (said, _) = borrow(&other, &deck, "theirs");
    let shown = text(&other.run(&["deck", "show", "theirs"]).stdout);
    let listed = text(&other.run(&["deck", "list"]).stdout);
    for words in [said, shown, listed] {
        assert!(!words.contains('\u{1b}'), "{words:?}");
    }
}

#[test]
fn a_card_that_the_shop_made_itself_is_not_hidden_by_one_borrowed_under_the_same_id() {
    let bench = Bench::shipped();
    let deck = lend(&bench);
    // Its file stands before the shop's own in the folder.
    let (_, ids) = borrow(&bench, &deck, "another");
    let page = bench.run(&["deck", "desk", &ids[0]]);
    let page = text(&page.stdout);
    assert!(page.contains("\nJobs: "), "{page}");
    assert!(!page.contains("counted at"), "{page}");
}
