//! What a person did with each card, by card id.
//!
//! A person of many years knows a hundred thousand cards. Ids are numbered once, so that the fold and
//! the queue touch a row of plain values and look an id up by its hash. Cards stand in the order in which the
//! person first met them; two of these are equal where they say the same of the same cards, whatever
//! the order.

use std::ops::Index;

use crate::domain::history::CardHistory;
use crate::domain::names::Names;

/// Card histories by card id.
#[derive(Clone, Debug, Default)]
pub struct KnownCards {
    ids: Names,
    cards: Vec<CardHistory>,
}

impl KnownCards {
    /// Returns an empty one with room for so many cards.
    pub(crate) fn with_room(cards: usize, bytes: usize) -> Self {
        Self {
            ids: Names::with_room(cards, bytes),
            cards: Vec::with_capacity(cards),
        }
    }

    /// Returns one of these cards, whose ids have their places for numbers.
    pub(crate) fn of(ids: Names, cards: Vec<CardHistory>) -> Self {
        debug_assert_eq!(ids.len(), cards.len());
        Self { ids, cards }
    }

    /// Returns how many cards there are.
    pub fn len(&self) -> usize {
        self.cards.len()
    }

    /// Tells whether there is none.
    pub fn is_empty(&self) -> bool {
        self.cards.is_empty()
    }

    /// Returns what the person did with a card.
    pub fn get(&self, id: &str) -> Option<&CardHistory> {
        self.cards.get(self.number(id)?)
    }

    /// Returns the place of a card in the order of first meeting.
    pub(crate) fn number(&self, id: &str) -> Option<usize> {
        Some(self.ids.find(id)? as usize)
    }

    /// Returns the card at a place, with its id.
    pub(crate) fn at(&self, number: usize) -> Option<(&str, &CardHistory)> {
        let card = self.cards.get(number)?;
        let name = u32::try_from(number).ok()?;
        Some((self.ids.get(name), card))
    }

    /// Returns the card at a place, to be changed.
    pub(crate) fn at_mut(&mut self, number: usize) -> Option<&mut CardHistory> {
        self.cards.get_mut(number)
    }

    /// Tells whether the person has answered a card.
    pub fn contains_key(&self, id: &str) -> bool {
        self.ids.find(id).is_some()
    }

    /// Returns the place of a card, a new one at the end where it has none yet.
    pub(crate) fn number_or_new(&mut self, id: &str) -> usize {
        let number = self.ids.number(id) as usize;
        if number == self.cards.len() {
            self.cards.push(CardHistory::default());
        }
        number
    }

    /// Puts a card history in place of what was there.
    pub fn insert(&mut self, id: &str, card: CardHistory) -> Option<CardHistory> {
        let there = self.cards.len();
        let number = self.number_or_new(id);
        let before = std::mem::replace(&mut self.cards[number], card);
        (number < there).then_some(before)
    }

    /// Returns all cards with their ids, in the order of first meeting.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (&str, &CardHistory)> {
        self.keys().zip(&self.cards)
    }

    /// Returns all ids, in the order of first meeting.
    pub fn keys(&self) -> impl ExactSizeIterator<Item = &str> {
        let numbers = 0..u32::try_from(self.cards.len()).unwrap_or(u32::MAX);
        NumbersOf {
            ids: &self.ids,
            numbers,
        }
    }

    /// Returns all card histories, in the order of first meeting.
    pub fn values(&self) -> impl ExactSizeIterator<Item = &CardHistory> {
        self.cards.iter()
    }
}

struct NumbersOf<'a> {
    ids: &'a Names,
    numbers: std::ops::Range<u32>,
}

impl<'a> Iterator for NumbersOf<'a> {
    type Item = &'a str;

    fn next(&mut self) -> Option<&'a str> {
        self.numbers.next().map(|number| self.ids.get(number))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let left = (self.numbers.end - self.numbers.start) as usize;
        (left, Some(left))
    }
}

impl ExactSizeIterator for NumbersOf<'_> {}

impl Index<&str> for KnownCards {
    type Output = CardHistory;

    /// Returns what the person did with a card that is there.
    fn index(&self, id: &str) -> &CardHistory {
        self.get(id).expect("the card was answered")
    }
}

impl PartialEq for KnownCards {
    fn eq(&self, other: &Self) -> bool {
        let same = |(id, card): (&str, &CardHistory)| other.get(id) == Some(card);
        self.len() == other.len() && self.iter().all(same)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    proptest! {
        /// Ids and cards as in a plain map, whatever is put in again.
        #[test]
        fn cards_are_found_under_their_ids(puts in prop::collection::vec(("[a-c]{0,3}", 0..9_u32), 0..60)) {
            let mut known = KnownCards::default();
            let mut plain: BTreeMap<String, u32> = BTreeMap::new();
            for (id, reviews) in puts {
                let card = CardHistory { reviews, ..CardHistory::default() };
                let before = known.insert(&id, card).map(|c| c.reviews);
                prop_assert_eq!(before, plain.insert(id, reviews));
            }
            prop_assert_eq!(known.len(), plain.len());
            let found: BTreeMap<String, u32> =
                known.iter().map(|(id, card)| (id.to_owned(), card.reviews)).collect();
            prop_assert_eq!(found, plain);
            prop_assert_eq!(known.get("zz"), None);
        }
    }

    #[test]
    fn the_order_of_meeting_is_no_difference_but_another_card_is() {
        let of = |cards: &[(&str, u32)]| {
            let mut known = KnownCards::default();
            for &(id, reviews) in cards {
                let card = CardHistory {
                    reviews,
                    ..CardHistory::default()
                };
                known.insert(id, card);
            }
            known
        };
        assert_eq!(of(&[("a", 1), ("b", 2)]), of(&[("b", 2), ("a", 1)]));
        assert_ne!(of(&[("a", 1), ("b", 2)]), of(&[("a", 1), ("c", 2)]));
        assert_ne!(of(&[("a", 1), ("b", 2)]), of(&[("a", 2), ("b", 1)]));
        assert_ne!(of(&[("a", 1)]), of(&[("a", 1), ("b", 2)]));
    }
}
