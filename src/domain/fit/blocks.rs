//! Histories laid out for many cards abreast: cards of like length side by side, review by review.
//!
//! Only what a loss depends on is laid out: a card ends with its last scored review, and a card
//! without one is left out. Four bytes a review, and what shorter cards leave empty.

use crate::domain::fit::histories::Histories;
use crate::domain::lanes;
use crate::domain::lanes::LANES;
use crate::domain::memory_lanes::Packed;

/// Rows of a piece of work: large enough to be worth a thread's while.
const ROWS: usize = 256;

/// One review of each card of a block.
pub(crate) type Row = [Packed; LANES];

/// Blocks of cards, shortest first.
#[derive(Clone, Debug, Default)]
pub(crate) struct Blocks {
    rows: Vec<Row>,
    /// Where each block begins, and where the last one ends.
    starts: Vec<usize>,
    /// First block of each piece, and one past the last.
    pieces: Vec<usize>,
}

impl Blocks {
    /// Lays out the reviews before `until` of one card in so many.
    pub(crate) fn new(histories: &Histories, until: Option<i64>, one_in: usize) -> Self {
        Self::of(histories.each(until).step_by(one_in))
    }

    fn of<'a>(cards: impl Iterator<Item = &'a [Packed]>) -> Self {
        let cards: Vec<&[Packed]> = cards
            .filter_map(|reviews| {
                let last = reviews.iter().rposition(|review| review.scored())?;
                Some(&reviews[..=last])
            })
            .collect();
        let order = lanes::by_length(cards.iter().map(|reviews| reviews.len()));
        let mut blocks = Self {
            rows: Vec::new(),
            starts: vec![0],
            pieces: vec![0],
        };
        let mut begun = 0;
        for block in order.chunks(LANES) {
            let at = blocks.rows.len();
            let longest = block.last().map_or(0, |card| cards[*card].len());
            blocks.rows.resize(at + longest, [Packed::NONE; LANES]);
            for (lane, card) in block.iter().enumerate() {
                for (row, review) in blocks.rows[at..].iter_mut().zip(cards[*card]) {
                    row[lane] = *review;
                }
            }
            blocks.starts.push(blocks.rows.len());
            if ROWS <= blocks.rows.len() - begun {
                begun = blocks.rows.len();
                blocks.pieces.push(blocks.starts.len() - 1);
            }
        }
        if begun < blocks.rows.len() {
            blocks.pieces.push(blocks.starts.len() - 1);
        }
        blocks
    }

    /// Returns the number of pieces of work; it depends on the histories alone.
    pub(crate) fn pieces(&self) -> usize {
        self.pieces.len() - 1
    }

    /// Returns the blocks of a piece.
    pub(crate) fn piece(&self, piece: usize) -> impl Iterator<Item = &[Row]> {
        let blocks = self.pieces[piece]..self.pieces[piece + 1];
        blocks.map(|block| &self.rows[self.starts[block]..self.starts[block + 1]])
    }
}
