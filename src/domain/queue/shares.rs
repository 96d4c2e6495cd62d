//! How often a card's pattern comes in, and what it costs there not to know it.
//!
//! Leaves out memory, and every decision about today.

use std::collections::BTreeMap;
use std::collections::HashMap;
use std::collections::HashSet;

use chrono::Months;
use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::job::Job;
use crate::domain::units::count;

/// How many months of jobs make the job share.
pub const SHARE_MONTHS: u32 = 24;

/// Returns each card's share of the shop's jobs of the last 24 months, smoothed; they add up to 1.
///
/// Half a job is added to every card, so that a rare fault keeps a small share; `incoming` raises the
/// boards the shop expects. The jobs of two look-alikes count half for the card that tells them apart,
/// and those of a fix for the card that gives it and asks for its readings.
/// A bench rule gets the mean of the other cards (common practice, no source).
pub fn job_shares(
    cards: &[&Card],
    jobs: &[Job],
    as_of: NaiveDate,
    incoming: &BTreeMap<String, f64>,
) -> Vec<f64> {
    let since = as_of
        .checked_sub_months(Months::new(SHARE_MONTHS))
        .unwrap_or(NaiveDate::MIN);
    let recent: HashSet<&str> = jobs
        .iter()
        .filter(|j| since <= j.closed_on && j.closed_on <= as_of)
        .map(|j| j.job.as_str())
        .collect();
    let weight = |card: &Card| {
        let k = card
            .jobs
            .iter()
            .filter(|j| recent.contains(j.as_str()))
            .count();
        // The jobs of two look-alikes, or of several boards, weigh as much as those of one card.
        let looks = match card.kind {
            CardKind::Expect => 2.0,
            _ => count(card.sides.len().max(card.boards.len()).max(1)),
        };
        let raise = incoming.get(&card.board).copied().unwrap_or(1.0).max(0.0);
        (count(k) / looks + 0.5) * raise
    };
    let counted: Vec<f64> = cards
        .iter()
        .filter(|card| card.kind != CardKind::Rule)
        .map(|card| weight(card))
        .collect();
    let mean = if counted.is_empty() {
        1.0
    } else {
        counted.iter().sum::<f64>() / count(counted.len())
    };
    let raw: Vec<f64> = cards
        .iter()
        .map(|card| match card.kind {
            CardKind::Rule => mean,
            _ => weight(card),
        })
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter()
        .map(|r| if sum > 0.0 { r / sum } else { 0.0 })
        .collect()
}

/// Lowest and highest cost of a miss against the mean.
///
/// Minutes are written down by hand, and a guess at them must not outweigh how often a fault comes in:
/// our own choice, no source.
pub const COST_BOUNDS: (f64, f64) = (2.0 / 3.0, 1.5);

/// The mean counts as so many jobs of every card (our own choice, no source).
const COST_LEAN: f64 = 5.0;

/// Returns what a miss costs at each card, 1 on the mean: whoever does not know the fix looks for it as
/// long as the shop did, so the card's cost is the mean minutes to find of its jobs against those of all
/// cards.
///
/// A card with few timed jobs leans towards 1, and none leaves [`COST_BOUNDS`].
pub fn miss_costs(cards: &[&Card], jobs: &[Job]) -> Vec<f64> {
    let minutes: HashMap<&str, f64> = jobs
        .iter()
        .filter_map(|job| {
            let minutes = job
                .effort
                .minutes_to_find
                .filter(|m| m.is_finite() && 0.0 < *m)?;
            Some((job.job.as_str(), minutes))
        })
        .collect();
    if minutes.is_empty() {
        return vec![1.0; cards.len()];
    }
    let of_card = |card: &Card| {
        let timed = card.jobs.iter().filter_map(|job| minutes.get(job.as_str()));
        timed.fold((0.0, 0.0), |(n, sum), minutes| (n + 1.0, sum + minutes))
    };
    let sums: Vec<(f64, f64)> = cards.iter().map(|card| of_card(card)).collect();
    let (n, sum) = sums
        .iter()
        .fold((0.0, 0.0), |all, card| (all.0 + card.0, all.1 + card.1));
    let mean = if 0.0 < n { sum / n } else { 1.0 };
    sums.into_iter()
        .map(|(n, sum)| {
            let cost = (sum / mean + COST_LEAN) / (n + COST_LEAN);
            cost.clamp(COST_BOUNDS.0, COST_BOUNDS.1)
        })
        .collect()
}
