//! Decks that ship with the program: which there are, and putting one into the shop.

use crate::app::lend;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::text::clean;
use crate::store::record::card::read_deck;
use crate::store::shipped_decks;
use crate::store::shipped_decks::Added;

/// A deck that ships with the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shipped {
    /// File name without ending.
    pub deck: String,
    /// Name a person reads.
    pub name: String,
    /// How many cards it has.
    pub cards: usize,
    /// The shop has a deck of that name.
    pub in_shop: bool,
}

/// Returns every shipped deck.
pub fn decks(workbench: &Workbench) -> Result<Vec<Shipped>, AppError> {
    let mut found = Vec::new();
    for (deck, text) in shipped_decks::SHIPPED {
        let in_shop = shipped_decks::is_there(workbench.disk.as_ref(), &workbench.folder, deck)?;
        found.push(describe(deck, read_deck(text).0.as_ref(), in_shop));
    }
    Ok(found)
}

/// Puts a shipped deck into the shop; returns it and whether it was written just now.
pub fn add(workbench: &Workbench, deck: &str) -> Result<(Shipped, bool), AppError> {
    let Some(text) = shipped_decks::text(deck) else {
        return Err(AppError::Unknown {
            what: "deck that ships with the program",
            id: clean(deck),
            known: names(),
        });
    };
    let added = shipped_decks::add(workbench.disk.as_ref(), &workbench.folder, deck, text)?;
    if added == Added::Other {
        return Err(AppError::DeckInTheWay {
            deck: deck.to_owned(),
        });
    }
    let shipped = describe(deck, read_deck(text).0.as_ref(), true);
    Ok((shipped, added == Added::New))
}

/// Returns an error where a build under the name `deck` would take the place of bench rules.
pub fn refuse_rules(workbench: &Workbench, deck: &str) -> Result<(), AppError> {
    let holds_rules = workbench
        .decks
        .iter()
        .filter(|d| d.deck == deck)
        .flat_map(|d| &d.cards)
        .any(|card| card.kind == CardKind::Rule);
    let borrowed = |d: &&Deck| d.deck == deck && lend::is_borrowed(d);
    if workbench.decks.iter().any(|d| borrowed(&d)) {
        return Err(AppError::BorrowedDeck { deck: clean(deck) });
    }
    if holds_rules || shipped_decks::text(deck).is_some() {
        return Err(AppError::DeckOfRules { deck: clean(deck) });
    }
    Ok(())
}

fn names() -> Vec<String> {
    shipped_decks::SHIPPED
        .iter()
        .map(|(deck, _)| (*deck).to_owned())
        .collect()
}

fn describe(deck: &str, read: Option<&Deck>, in_shop: bool) -> Shipped {
    Shipped {
        deck: deck.to_owned(),
        name: read.map_or_else(|| deck.to_owned(), |d| d.name.clone()),
        cards: read.map_or(0, |d| d.cards.len()),
        in_shop,
    }
}
