//! What the queue looks at again and again, card by card, side by side in memory.
//!
//! Cards and what a person did with them are large and lie all over memory; a hundred thousand of them
//! are gone through once, and everything after that reads these.

use chrono::NaiveDate;

use crate::domain::calendar;
use crate::domain::card::CardKind;
use crate::domain::card::Support;
use crate::domain::history::CardHistory;
use crate::domain::memory::Memory;
use crate::domain::queue::today::Known;
use crate::domain::queue::today::Today;

/// A card and what the person did with it, in short.
#[derive(Clone, Copy, Debug)]
pub(super) struct Glance {
    /// Memory; none before the first review.
    pub(super) memory: Option<Memory>,
    /// Whole days since the last review; 0 before the first.
    pub(super) elapsed: u32,
    /// How it may come up.
    pub(super) turn: Turn,
    /// It was asked before, today or earlier.
    pub(super) met: bool,
    /// It was asked today.
    pub(super) seen_today: bool,
    /// It asks for the circuit.
    pub(super) asks_circuit: bool,
    /// Its kind.
    pub(super) kind: CardKind,
    /// How well its answer is supported.
    pub(super) support: Support,
}

/// Looks at every card of today, in their order.
pub(super) fn glances(today: &Today<'_>, known: &Known<'_>) -> Vec<Glance> {
    let cards = today.cards.iter().zip(known);
    cards
        .map(|(card, known)| {
            let reviewed = known.and_then(|k| k.reviewed_on);
            let seen = known.and_then(|k| k.seen_on);
            Glance {
                memory: known.and_then(|k| k.memory),
                elapsed: reviewed.map_or(0, |on| calendar::elapsed(on, today.day)),
                turn: Turn::of(*known, today.day),
                met: seen.is_some(),
                seen_today: seen == Some(today.day),
                asks_circuit: card.asks_circuit(),
                kind: card.kind,
                support: card.support,
            }
        })
        .collect()
}

/// How a card may come up today.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// Not today.
    No,
    /// It has a memory that fades.
    Fading,
    /// Seen, but without memory: the first guess was wrong.
    Open,
    /// What it accepts has changed since.
    Corrected,
    /// Not met.
    New,
}

impl Turn {
    /// A card that was only ever answered rightly before a board counts as not met from the next day
    /// on: it has no memory yet that could fade.
    fn of(known: Option<&CardHistory>, day: NaiveDate) -> Self {
        let Some(known) = known.filter(|k| k.seen_on.is_some()) else {
            return Self::New;
        };
        if known.right_on == Some(day) {
            Self::No
        } else if known.corrected {
            Self::Corrected
        } else if known.memory.is_some() {
            Self::Fading
        } else if known.guessed_wrong {
            Self::Open
        } else {
            Self::New
        }
    }
}
