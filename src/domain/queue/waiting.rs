//! Which new cards wait for another to be met first.
//!
//! What tells look-alikes apart, what to measure next, when to stop and what was missed wait until a fix
//! of the board was met; a pattern over several boards, until one of any of them was; which readings a
//! fix shows, until that fix was met on an earlier day. What no card could make ready waits for nothing.

use std::cell::OnceCell;
use std::collections::HashMap;
use std::hash::Hash;
use std::hash::Hasher;

use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::history::CardHistory;
use crate::domain::queue::glance::Glance;
use crate::domain::queue::today::Known;
use crate::domain::queue::today::Today;

/// What is ready for a person today.
pub(super) struct Waiting<'a, 'k> {
    cards: &'a [&'a Card],
    known: &'k Known<'k>,
    day: NaiveDate,
    /// Boards that have a fix to meet, and whether one was met.
    boards: HashMap<&'a str, bool>,
    /// Fixes that a card asks for, and whether it was met before today; made when first asked for.
    fixes: OnceCell<HashMap<FixOf<'a>, bool>>,
}

impl<'a, 'k> Waiting<'a, 'k> {
    /// Looks through the cards of `today`.
    pub(super) fn new(today: &Today<'a>, (known, glances): (&'k Known<'k>, &[Glance])) -> Self {
        let mut boards: HashMap<&'a str, bool> = HashMap::new();
        let mut last = ("", false);
        for (card, glance) in today.cards.iter().zip(glances) {
            if glance.kind != CardKind::Fix {
                continue;
            }
            let met = glance.met;
            // Cards of one board stand together as a rule; most change nothing.
            if last.0 == card.board && (last.1 || !met) && !last.0.is_empty() {
                continue;
            }
            let ready = boards.entry(&card.board).or_default();
            *ready |= met;
            last = (&card.board, *ready);
        }
        Self {
            cards: today.cards,
            known,
            day: today.day,
            boards,
            fixes: OnceCell::new(),
        }
    }

    /// Tells whether the card at a place must wait.
    pub(super) fn waits(&self, place: usize) -> bool {
        let card = self.cards[place];
        if card.kind == CardKind::Expect {
            let fixes = self.fixes.get_or_init(|| self.fixes());
            return fixes.get(&FixOf(card)).is_some_and(|known| !known);
        }
        let ready = |board: &str| self.boards.get(board).copied();
        needs_a_fix_before(card)
            && boards_of(card).any(|board| ready(board).is_some())
            && !boards_of(card).any(|board| ready(board) == Some(true))
    }

    fn fixes(&self) -> HashMap<FixOf<'a>, bool> {
        let before = |card: &CardHistory| card.met_on.is_some_and(|day| day < self.day);
        let mut fixes = HashMap::new();
        for (card, known) in self.cards.iter().zip(self.known) {
            if card.kind == CardKind::Fix {
                *fixes.entry(FixOf(card)).or_default() |= known.is_some_and(before);
            }
        }
        fixes
    }
}

/// Tells whether a card makes sense only to someone who has met a fix of its board, or of one of its
/// boards.
pub(crate) fn needs_a_fix_before(card: &Card) -> bool {
    card.is_across()
        || matches!(
            card.kind,
            CardKind::Next | CardKind::Contrast | CardKind::Stop | CardKind::Caution
        )
}

/// Returns the board of a card, or the boards whose jobs a pattern over several rests on.
pub(crate) fn boards_of(card: &Card) -> impl Iterator<Item = &str> {
    let across = card.boards.iter().filter(|s| 0 < s.k);
    let own = Some(card.board.as_str()).filter(|_| !card.is_across());
    own.into_iter().chain(across.map(|s| s.board.as_str()))
}

/// The fix of a card on its board, compared without writing it out as [`Card::fix_key`] does.
struct FixOf<'a>(&'a Card);

impl FixOf<'_> {
    fn steps(&self) -> impl Iterator<Item = (&str, &str)> {
        let steps = self.0.answers.first().map_or(&[][..], |a| &a.steps);
        steps
            .iter()
            .map(|s: &Step| (s.act.as_str(), s.part.as_str()))
    }
}

impl PartialEq for FixOf<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.0.board == other.0.board && self.steps().eq(other.steps())
    }
}

impl Eq for FixOf<'_> {}

impl Hash for FixOf<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.board.hash(state);
        for step in self.steps() {
            step.hash(state);
        }
    }
}
