//! A deck as one shop lends it to another: a single JSON file with the cards and their boards.
//!
//! `{"v":1,"lent":"<deck>","name","from":"<shop>","boards":[{"shop":{…},"board":{…}}],"cards":[…]}`; a
//! board is written as `shop.json` and as its own file have it, a card as a deck has it. What may go
//! along is decided before, in `domain/lend.rs`.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::card::Card;
use crate::domain::card::Deck;
use crate::domain::circuit::Circuits;
use crate::domain::job::Board;
use crate::domain::shop::BoardEntry;
use crate::store::record::board;
use crate::store::record::card;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::shop;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// A deck on its way between two shops.
#[derive(Clone, Debug, PartialEq)]
pub struct Lent {
    /// Name of the deck in the shop that lends it.
    pub deck: String,
    /// Name a person reads.
    pub name: String,
    /// Name of the shop that lends it.
    pub from: String,
    /// The boards of its cards.
    pub boards: Vec<Board>,
    /// Its cards.
    pub cards: Vec<Card>,
}

/// Returns the text of the file, one card a line.
pub fn write(lent: &Lent) -> String {
    let boards: Vec<Value> = lent.boards.iter().map(write_board).collect();
    let head = json!({
        "v": VERSION, "lent": lent.deck, "name": lent.name, "from": lent.from, "boards": boards,
    });
    let head = head.to_string();
    let head = head.strip_suffix('}').unwrap_or(&head);
    let cards: Vec<String> = lent
        .cards
        .iter()
        .map(|c| card::to_value(c).to_string())
        .collect();
    format!("{head},\"cards\":[\n{}\n]}}\n", cards.join(",\n"))
}

fn write_board(board: &Board) -> Value {
    let entry = BoardEntry {
        id: board.id.clone(),
        name: board.name.clone(),
        kind: board.kind.clone(),
        revisions: board.revisions.clone(),
        safety: board.safety.clone(),
    };
    let file: Value = serde_json::from_str(&board::write(board)).unwrap_or(Value::Null);
    json!({"shop": shop::write_board(&entry), "board": file})
}

/// Reads a file from another shop; a card or board that cannot be used is named and left out.
pub fn read(text: &str, circuits: &Circuits) -> (Option<Lent>, Vec<Problem>) {
    let mut problems = Vec::new();
    let map = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let todo = "ask the other shop to lend the deck again";
    let mut from = Reader::new(&map, &mut problems);
    if from.count("v").is_some_and(|v| v > VERSION) {
        from.damage("v", "lent by a newer program", "update this program");
        return (None, problems);
    }
    let deck = from.need_text("lent", todo);
    let name = from.text("name");
    let shop = from.text("from").unwrap_or_default();
    let mut boards = Vec::new();
    for (i, value) in from.list("boards").iter().enumerate() {
        let (board, inside) = read_board(value, circuits);
        for problem in inside {
            from.damage(&format!("boards[{i}].{}", problem.field), problem.why, todo);
        }
        boards.extend(board);
    }
    let cards = card::read_cards(&mut from, todo);
    let lent = deck.map(|deck| Lent {
        name: name.unwrap_or_else(|| deck.clone()),
        deck,
        from: shop,
        boards,
        cards,
    });
    (lent, problems)
}

fn read_board(value: &Value, circuits: &Circuits) -> (Option<Board>, Vec<Problem>) {
    let mut problems = Vec::new();
    let none = Map::new();
    let of = |key: &str| value.get(key).and_then(Value::as_object).unwrap_or(&none);
    let Some(entry) = shop::read_board(&mut Reader::new(of("shop"), &mut problems)) else {
        return (None, problems);
    };
    let text = Value::Object(of("board").clone()).to_string();
    // A family that only the other shop has is no damage: the cards say which they need.
    let (board, _) = board::read(&text, &entry, circuits);
    (Some(board), problems)
}

/// Returns the deck that a borrowing shop keeps under `name`; `mark` tells that no build made it.
pub fn as_deck(lent: &Lent, name: &str, mark: &str) -> Deck {
    Deck {
        deck: name.to_owned(),
        name: lent.name.clone(),
        from: mark.to_owned(),
        cards: lent.cards.clone(),
    }
}
