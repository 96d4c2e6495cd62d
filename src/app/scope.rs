//! Which cards a deck, a board and a circuit family named together mean.

use std::collections::HashSet;

use crate::app::practice::Options;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::goal::Goal;

/// Cards of a deck, a board and a family, all that are named; every card where none is.
pub(crate) struct Scope<'w> {
    deck: Option<HashSet<&'w str>>,
    board: Option<String>,
    family: Option<String>,
}

impl<'w> Scope<'w> {
    /// Returns the cards that a drill is kept to; refuses names that the shop does not know.
    pub(crate) fn of(workbench: &'w Workbench, options: &Options) -> Result<Self, AppError> {
        Self::named(workbench, [&options.deck, &options.board, &options.family])
    }

    /// Returns the cards that a goal means; refuses names that the shop does not know.
    pub(crate) fn of_goal(workbench: &'w Workbench, goal: &Goal) -> Result<Self, AppError> {
        Self::named(workbench, [&goal.deck, &goal.board, &goal.family])
    }

    fn named(
        workbench: &'w Workbench,
        [deck, board, family]: [&Option<String>; 3],
    ) -> Result<Self, AppError> {
        let known = |what, id: &Option<String>, known: Vec<String>| match id {
            Some(id) if !known.contains(id) => Err(AppError::Unknown {
                what,
                id: id.clone(),
                known,
            }),
            _ => Ok(()),
        };
        known("deck", deck, workbench.deck_ids())?;
        known("circuit family", family, workbench.family_ids())?;
        known("board", board, workbench.board_ids())?;
        Ok(Self {
            deck: deck.as_deref().map(|deck| of_deck(workbench, deck)),
            board: board.clone(),
            family: family.clone(),
        })
    }

    /// Tells whether it names anything: otherwise it holds every card.
    pub(crate) fn is_free(&self) -> bool {
        self.deck.is_none() && self.board.is_none() && self.family.is_none()
    }

    /// Tells whether a card is meant.
    pub(crate) fn holds(&self, card: &Card) -> bool {
        let id = card.id.as_str();
        self.deck.as_ref().is_none_or(|deck| deck.contains(id))
            && self.board.as_ref().is_none_or(|board| *board == card.board)
            && self.family.as_ref().is_none_or(|f| *f == card.family)
    }
}

/// Returns the ids of the cards of a deck.
pub(crate) fn of_deck<'w>(workbench: &'w Workbench, deck: &str) -> HashSet<&'w str> {
    let decks = workbench.decks.iter().filter(|d| d.deck == deck);
    decks
        .flat_map(|d| d.cards.iter().map(|c| c.id.as_str()))
        .collect()
}
