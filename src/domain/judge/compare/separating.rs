//! Judges which reading separates two look-alikes, and which fix goes with which of its values.
//!
//! The reading may be said in any words that fit no other net ("the PA supply", "what the ammeter does"); the fixes
//! are judged by their points, or by the reading that they are tied to. Leaves out cards that show the reading: those are judged by their sides.

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::judge::compare::assent::judge_points_of;
use crate::domain::judge::compare::points;
use crate::domain::judge::compare::points::PointsVerdict;
use crate::domain::judge::compare::sides;
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
    let before = verdict.hits.clone();
    let nets = Nets::new(&places(card), &[], board);
    let written = nets.written_out(&precautions::left_out(typed));
    if let Some((point, false)) = card.points.first().zip(verdict.hits.first().copied())
        && written != typed
    {
        let one = std::slice::from_ref(point);
        verdict.hits[0] = points::judge_points(&written, one, board, words).hits == [true];
    }
    if verdict.hits.first() == Some(&true) && card.points.len() == card.sides.len() + 1 {
        let read = sides::read_off(typed, card, board, words);
        for (hit, read) in verdict.hits[1..].iter_mut().zip(read) {
            *hit |= read;
        }
    }
    if verdict.hits == before {
        return verdict;
    }
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

/// Returns the places of what separates the sides.
fn places(card: &Card) -> Vec<&str> {
    let findings = card.sides.iter().flat_map(|side| &side.separates);
    findings.map(|finding| finding.place.as_str()).collect()
}
