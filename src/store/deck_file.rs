//! A deck file that a person may have edited, with the line of every fault.

use std::path::Path;

use crate::domain::card::Deck;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::record::card;
use crate::store::shop::read_text;

/// A deck as it lies in a file.
#[derive(Clone, Debug, PartialEq)]
pub struct DeckFile {
    /// What could be read.
    pub deck: Option<Deck>,
    /// What could not.
    pub faults: Vec<Fault>,
    places: Places,
}

impl DeckFile {
    /// Returns the line on which `field` of the card called `id` stands, or the card's first line; of
    /// cards that share an id, that of the one behind `before` others.
    pub fn line_of(&self, id: &str, field: &str, before: usize) -> Option<u64> {
        let mut cards = self.places.cards.iter().filter(|card| card.id == id);
        Some(cards.nth(before)?.field(field))
    }
}

/// Reads a deck file from any place.
pub fn read(disk: &dyn Disk, path: &Path) -> Result<DeckFile, StoreError> {
    let (file, faults) = read_text(disk, path, |text| (of_text(text, path), Vec::new()))?;
    Ok(file.unwrap_or(DeckFile {
        deck: None,
        faults,
        places: Places::default(),
    }))
}

fn of_text(text: &str, path: &Path) -> DeckFile {
    let (deck, problems) = card::read_deck(text);
    let places = Places::of(text);
    let whole = serde_json::from_str::<serde_json::Value>(text);
    let faults = problems.into_iter().map(|problem| {
        let line = match (&whole, places.of_field(&problem.field)) {
            // A line end inside a text is seen at the beginning of the next line.
            (Err(error), _) => {
                let at = error.line() - usize::from(error.column() == 0 && 1 < error.line());
                u64::try_from(at).ok()
            }
            (Ok(_), line) => line,
        };
        let fault = problem.in_file(path);
        match line {
            Some(line) => fault.at(line),
            None => fault,
        }
    });
    DeckFile {
        faults: faults.collect(),
        deck,
        places,
    }
}

/// Where the cards of a file and their fields stand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Places {
    cards: Vec<Place>,
}

/// Where one card stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Place {
    id: String,
    line: u64,
    fields: Vec<(String, u64)>,
}

impl Place {
    fn field(&self, name: &str) -> u64 {
        let own = self.fields.iter().find(|(field, _)| field == name);
        own.map_or(self.line, |(_, line)| *line)
    }
}

impl Places {
    /// Walks the text once: strings are skipped whole, brackets are counted. The cards are the objects
    /// in the list that the file's object calls `cards`; their fields are the keys of those objects.
    fn of(text: &str) -> Self {
        let mut places = Self::default();
        let mut depth = 0_u32;
        let mut line = 1_u64;
        let mut in_cards = false;
        // The last string at this depth, which is a key if a colon follows; and a value of `id`.
        let mut last: Option<(String, u64)> = None;
        let mut key = String::new();
        let mut chars = text.chars();
        while let Some(c) = chars.next() {
            match c {
                '\n' => line += 1,
                '"' => {
                    let from = line;
                    let mut word = String::new();
                    while let Some(c) = chars.next() {
                        match c {
                            '"' => break,
                            '\\' => word.extend(chars.next()),
                            c => {
                                line += u64::from(c == '\n');
                                word.push(c);
                            }
                        }
                    }
                    if in_cards && depth == 3 && key == "id" {
                        if let Some(card) = places.cards.last_mut() {
                            card.id.clone_from(&word);
                        }
                        key.clear();
                    }
                    last = Some((word, from));
                }
                ':' => {
                    if let Some((word, from)) = last.take() {
                        in_cards = (in_cards && depth != 1) || (depth == 1 && word == "cards");
                        if in_cards && depth == 3 {
                            key.clone_from(&word);
                            if let Some(card) = places.cards.last_mut() {
                                card.fields.push((word, from));
                            }
                        }
                    }
                }
                '{' | '[' => {
                    depth += 1;
                    key.clear();
                    if in_cards && depth == 3 && c == '{' {
                        places.cards.push(Place {
                            line,
                            ..Place::default()
                        });
                    }
                }
                '}' | ']' => depth = depth.saturating_sub(1),
                ',' => key.clear(),
                _ => {}
            }
        }
        places
    }

    /// Returns the line of a field such as `cards[3].share.k`.
    fn of_field(&self, field: &str) -> Option<u64> {
        let rest = field.strip_prefix("cards[")?;
        let (at, inside) = rest.split_once(']')?;
        let card = self.cards.get(at.parse::<usize>().ok()?)?;
        let name = inside.trim_start_matches('.');
        let name = name.split(['.', '[']).next().unwrap_or("");
        Some(card.field(name))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BY_HAND: &str = "{\n \"v\": 1, \"deck\": \"x\", \"name\": \"cards: {\\\"\",\n \"cards\": [\n  {\n   \"id\": \"a1\",\n   \"kind\": \"fix\",\n   \"share\": {\"k\": \"seven\", \"id\": 9},\n   \"family\": \"bus\"\n  },\n  {\"id\": \"b2\",\n   \"kind\": \"wish\"}\n ]\n}\n";

    #[test]
    fn a_fault_of_a_card_is_placed_on_the_line_of_its_field() {
        let file = of_text(BY_HAND, Path::new("x.json"));
        let line = |field: &str| {
            let own = |f: &&Fault| f.field.as_deref() == Some(field);
            file.faults.iter().find(own).and_then(|f| f.line)
        };
        assert_eq!(line("cards[0].share.k"), Some(7), "{:?}", file.faults);
        assert_eq!(line("cards[0].board"), Some(4), "a missing field: the card");
        assert_eq!(line("cards[1].kind"), Some(11));
        assert_eq!(file.line_of("a1", "family", 0), Some(8));
        assert_eq!(file.line_of("b2", "family", 0), Some(10));
        assert_eq!(file.line_of("c3", "family", 0), None);
    }

    #[test]
    fn of_two_cards_with_one_id_each_has_its_own_line() {
        let file = of_text(&BY_HAND.replace("b2", "a1"), Path::new("x.json"));
        assert_eq!(file.line_of("a1", "id", 0), Some(5));
        assert_eq!(file.line_of("a1", "kind", 1), Some(11));
        assert_eq!(file.line_of("a1", "kind", 2), None);
    }

    #[test]
    fn a_file_that_is_no_json_is_placed_where_it_breaks() {
        let broken = BY_HAND.replace("\"bus\"\n", "\"bus\n");
        let file = of_text(&broken, Path::new("x.json"));
        assert_eq!(file.deck, None);
        assert_eq!(file.faults.len(), 1);
        assert_eq!(file.faults[0].line, Some(8), "{:?}", file.faults);
    }
}
