//! An asking that may be laid down: of two, the one that adds more for each second is the greater; of
//! equal ones, that of the card that comes first.

use std::cmp::Ordering;

/// An asking of a card, and what the card's list would be with it.
pub(super) struct Offer<L> {
    /// What it adds for each second.
    pub rate: f64,
    /// Place of the card.
    pub card: usize,
    /// The list.
    pub laid: L,
}

impl<L> PartialEq for Offer<L> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl<L> Eq for Offer<L> {}

impl<L> PartialOrd for Offer<L> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<L> Ord for Offer<L> {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_rate = self.rate.total_cmp(&other.rate);
        by_rate.then(other.card.cmp(&self.card))
    }
}
