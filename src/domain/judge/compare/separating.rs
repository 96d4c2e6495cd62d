//! Judges which reading separates two look-alikes, and which fix goes with which of its values.
//!
//! The reading may be said in any words that fit no other net ("the PA supply", "what the ammeter does"); the fixes
//! are judged by their points. Leaves out cards that show the reading: those are judged by their sides.

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::judge::compare::assent::judge_points_of;
use crate::domain::judge::compare::points;
use crate::domain::judge::compare::points::PointsVerdict;
use crate::domain::judge::danger::precautions;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::judge::readings::net_words::Nets;

/// Judges a typed answer to a card that asks for the reading and the two fixes.
pub fn judge_separating(
    typed: &str,
    card: &Card,
    board: Option<&Board>,
    words: &Synonyms,
) -> PointsVerdict {
    let mut verdict = judge_points_of(typed, card, board, words);
    let Some((point, false)) = card.points.first().zip(verdict.hits.first().copied()) else {
        return verdict;
    };
    let places = card.sides.iter().flat_map(|side| &side.separates);
    let places: Vec<&str> = places.map(|finding| finding.place.as_str()).collect();
    let nets = Nets::new(&places, &[], board);
    let written = nets.written_out(&precautions::left_out(typed));
    let one = std::slice::from_ref(point);
    if written == typed || points::judge_points(&written, one, board, words).hits != [true] {
        return verdict;
    }
    verdict.hits[0] = true;
    let needed = card
        .points
        .iter()
        .zip(&verdict.hits)
        .filter(|(p, _)| p.needed);
    let (named, n) = needed.fold((0, 0), |(named, n), (_, hit)| {
        (named + usize::from(*hit), n + 1)
    });
    let safe = verdict.unsafe_answer.is_none();
    verdict.right = safe && named == n;
    verdict.partly = safe && named < n && n < 2 * named;
    verdict.note.clear();
    verdict
}
