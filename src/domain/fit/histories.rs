//! Reviews packed for fitting: card by card, 12 bytes each.
//!
//! A review is scored when it is marked so, is not its card's first, and comes a day or more after the
//! one before: a review of the same day moves memory, but its outcome says nothing of forgetting.

use crate::domain::memory_lanes::Packed;
use crate::domain::review::Grade;

/// One review of a bare history; those of one card must stand in the order of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Review {
    /// Which card; a card whose memory started again is another card from there on.
    pub card: u32,
    /// When, in seconds from any fixed moment; only order and comparison with a limit count.
    pub at: i64,
    /// Day number, from any fixed day.
    pub day: i32,
    /// How well it was recalled.
    pub grade: Grade,
    /// Its outcome may be scored; if not, it moves memory all the same.
    pub scored: bool,
}

/// Reviews of any number of cards, packed card by card.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Histories {
    /// Where each card begins, and where the last one ends.
    starts: Vec<u32>,
    reviews: Vec<Packed>,
    at: Vec<i64>,
}

impl Histories {
    /// Packs reviews; a day before that of the card's review before counts as the same day.
    ///
    /// # Panics
    /// With 2^32 reviews or more.
    pub fn new(reviews: &[Review]) -> Self {
        let total = u32::try_from(reviews.len()).expect("fewer than 2^32 reviews");
        let mut order: Vec<u32> = (0..total).collect();
        order.sort_by_key(|n| reviews[*n as usize].card);
        let mut packed = Self {
            starts: Vec::new(),
            reviews: Vec::with_capacity(reviews.len()),
            at: Vec::with_capacity(reviews.len()),
        };
        let mut before: Option<Review> = None;
        for (n, place) in (0..).zip(order) {
            let review = reviews[place as usize];
            let same = before.filter(|before| before.card == review.card);
            let (gap, scored, at, day) = match same {
                None => {
                    packed.starts.push(n);
                    (0, false, review.at, review.day)
                }
                Some(before) => {
                    let gap = review.day.saturating_sub(before.day).max(0).unsigned_abs();
                    let (at, day) = (review.at.max(before.at), review.day.max(before.day));
                    (gap, review.scored && 0 < gap, at, day)
                }
            };
            packed
                .reviews
                .push(Packed::new(gap, review.grade.number() - 1, scored));
            packed.at.push(at);
            before = Some(Review { at, day, ..review });
        }
        packed.starts.push(total);
        packed
    }

    /// Returns the number of reviews.
    pub fn len(&self) -> usize {
        self.reviews.len()
    }

    /// Tells whether there is no review.
    pub fn is_empty(&self) -> bool {
        self.reviews.is_empty()
    }

    /// Returns the number of cards.
    pub fn cards(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// Returns how many reviews before `until` (all of them without it) have a scored outcome.
    pub fn scored(&self, until: Option<i64>) -> usize {
        self.each(until).flatten().filter(|r| r.scored()).count()
    }

    /// Returns how many scored outcomes before `until` were misses.
    pub fn missed(&self, until: Option<i64>) -> usize {
        let missed = |review: &&Packed| review.scored() && review.grade() == 0;
        self.each(until).flatten().filter(missed).count()
    }

    /// Returns the reviews of each card before `until`.
    pub(crate) fn each(&self, until: Option<i64>) -> impl Iterator<Item = &[Packed]> {
        (0..self.cards()).map(move |card| {
            let (reviews, at) = self.card(card);
            match until {
                None => reviews,
                Some(until) => &reviews[..at.partition_point(|at| *at < until)],
            }
        })
    }

    /// Returns the reviews of one card and when they were; times never fall.
    pub(crate) fn card(&self, card: usize) -> (&[Packed], &[i64]) {
        let range = self.starts[card] as usize..self.starts[card + 1] as usize;
        (&self.reviews[range.clone()], &self.at[range])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn review(card: u32, day: i32, scored: bool) -> Review {
        Review {
            card,
            at: i64::from(day) * 86_400,
            day,
            grade: Grade::Missed,
            scored,
        }
    }

    #[test]
    fn reviews_of_several_cards_are_packed_card_by_card() {
        let histories = Histories::new(&[
            review(7, 0, true),
            review(3, 0, true),
            review(7, 5, true),
            review(3, 0, true),
            review(7, 4, true),
            review(7, 9, false),
            review(7, 12, true),
        ]);
        assert_eq!((histories.len(), histories.cards()), (7, 2));
        let gaps: Vec<Vec<u32>> = histories
            .each(None)
            .map(|card| card.iter().map(|review| review.gap()).collect())
            .collect();
        // A day before that of the review before counts as the same day.
        assert_eq!(gaps, [vec![0, 0], vec![0, 5, 0, 4, 3]]);
        assert_eq!((histories.scored(None), histories.missed(None)), (2, 2));
        let day_nine = Some(9 * 86_400);
        assert_eq!(histories.scored(day_nine), 1);
        assert_eq!(histories.each(day_nine).map(<[_]>::len).sum::<usize>(), 5);
    }
}
