//! What a sitting starts with: the cards asked, what the person knows of them, and fixes to choose from
//! where the person asked for some. Leaves out which cards are asked, and everything on disk.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::app::workbench::Workbench;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::corrections;
use crate::domain::history::CardHistory;
use crate::domain::history::History;
use crate::domain::options;
use crate::domain::queue::Ask;
use crate::domain::sitting::Setup;

/// Returns what the sitting called `id` of so many minutes starts with; `offer` fixes to choose from.
pub fn set_up(
    workbench: &Workbench,
    history: &History,
    (cards, asks): (&[&Card], Vec<Ask>),
    (id, minutes): (String, f64),
    offer: bool,
) -> Setup {
    let (cards, asks) = only_asked(cards, asks);
    let known = || {
        let known = cards.iter().map(|c| (&c.id, history.cards.get(&c.id)));
        known.filter_map(|(id, history)| Some((id.clone(), history?)))
    };
    let reviews = |card: &CardHistory| usize::try_from(card.reviews).unwrap_or(usize::MAX);
    let corrected = known().filter_map(|(id, known)| {
        let card = cards.iter().find(|c| known.corrected && c.id == id)?;
        let was = workbench.corrections.was(&id, &known.accepted);
        Some((id, corrections::line(was, card)))
    });
    let offered = cards.iter().filter(|card| {
        let known = history.cards.get(&card.id);
        known.is_none_or(|h| h.right_on.is_none() || h.right_on < h.seen_on)
    });
    Setup {
        id,
        reviews: known().map(|(id, card)| (id, reviews(card))).collect(),
        options: if offer {
            choices(&workbench.cards(), &cards)
        } else {
            BTreeMap::new()
        },
        offered: offered.map(|card| card.id.clone()).collect(),
        met: known().map(|(id, _)| id).collect(),
        corrected: corrected.collect(),
        pace: history.pace.clone(),
        boards: workbench.boards.clone(),
        circuits: workbench.circuits.clone(),
        words: workbench.words.clone(),
        minutes,
        cards,
        asks,
    }
}

/// Returns the fixes to choose from for each of `cards` where some may be offered; neighbours come from
/// `all`.
fn choices(all: &[&Card], cards: &[Card]) -> BTreeMap<String, Vec<Answer>> {
    cards
        .iter()
        .map(|card| (card.id.clone(), options::options(card, all)))
        .filter(|(_, options)| !options.is_empty())
        .collect()
}

/// Returns the cards that are asked, and the asks pointing into them.
fn only_asked(cards: &[&Card], mut asks: Vec<Ask>) -> (Vec<Card>, Vec<Ask>) {
    let asked: BTreeSet<usize> = asks.iter().map(|ask| ask.card).collect();
    let asked: Vec<usize> = asked.into_iter().collect();
    for ask in &mut asks {
        ask.card = asked.partition_point(|card| *card < ask.card);
    }
    (
        asked.iter().map(|&card| cards[card].clone()).collect(),
        asks,
    )
}
