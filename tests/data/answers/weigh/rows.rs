//! The typed answers that may be learnt from, each with what has a weight in it.

use std::collections::BTreeMap;
use std::path::Path;

use benchlore::domain::card::Card;
use benchlore::domain::job::Board;
use benchlore::domain::judge::danger::harm;
use benchlore::domain::judge::read::parts::Parts;
use benchlore::domain::judge::read::words::Synonyms;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;
use benchlore::store::record::card::read_deck;
use benchlore::store::shop::load_boards;
use benchlore::store::shop::load_shop;
use serde_json::Value;

use super::logistic::Row;

/// The tables in sight; those that are kept are never learnt from.
pub(crate) const TABLES: [&str; 10] = [
    "within",
    "apart-open",
    "second-open",
    "third-open",
    "fourth-open",
    "fifth-open",
    "sixth-open",
    "seventh-open",
    "ninth-open",
    "eleventh-open",
];

/// Returns every answer in sight with who wrote it: the table, and the author's number where it has one.
pub(crate) fn rows(project: &Path) -> Vec<(String, Row)> {
    let folder = ShopFolder::new(project.join("demo-data"));
    let (shop, _) = load_shop(&RealDisk, &folder).expect("the shop of the practice data");
    let (boards, _) =
        load_boards(&RealDisk, &folder, &shop.shop, &shop.shop.circuits()).expect("its boards");
    let words = Synonyms::with_shop(&shop.shop.synonyms);
    let cards = cards(project);
    let mut found = Vec::new();
    for table in TABLES {
        let path = project.join(format!("tests/data/answers/{table}.jsonl"));
        for line in std::fs::read_to_string(path).expect("a table").lines() {
            let value: Value = serde_json::from_str(line).expect("a JSON line");
            let text = |key: &str| value[key].as_str().expect("a text");
            let card = &cards[text("card")];
            let by = format!("{table} {}", value["by"].as_u64().unwrap_or(0));
            let traits = traits(text("typed"), card, &boards, &words);
            found.push((by, (traits, text("verdict") == "unsafe")));
        }
    }
    found
}

fn traits(
    typed: &str,
    card: &Card,
    boards: &[Board],
    words: &Synonyms,
) -> Vec<std::collections::BTreeSet<String>> {
    let board = boards.iter().find(|board| board.id == card.board);
    harm::traits(typed, card, board, &Parts::new(Some(card), board, words))
}

/// The cards as they were when the verdicts were fixed.
pub(crate) fn cards(project: &Path) -> BTreeMap<String, Card> {
    let files = [
        "tests/data/answers/cards.json",
        "decks/bench-rules.json",
        "decks/bench-safety.json",
    ];
    let decks = files.iter().map(|file| {
        let text = std::fs::read_to_string(project.join(file)).expect("a deck");
        let (deck, problems) = read_deck(&text);
        assert!(problems.is_empty(), "{file}: {problems:?}");
        deck.expect("a deck")
    });
    decks
        .flat_map(|deck| deck.cards)
        .map(|card| (card.id.clone(), card))
        .collect()
}
