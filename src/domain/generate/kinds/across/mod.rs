//! Patterns that hold on several boards: the board is not known, which circuit, what first?
//!
//! [`general`] says a job's findings so that they mean the same on every board, [`all_boards`] lays all boards' jobs
//! side by side, [`patterns`] chooses the few of them that tell a circuit from the others and counts them board by board, [`chain`]
//! leans a board's share on its kind and on all boards, [`first`] says what a right first measurement
//! names, and [`card`] writes the card.
//!
//! Each board gives one [`sheet::Sheet`] of rows; nothing else of a board is needed here. Left out:
//! designators, net names and values, which mean something on one board alone.

pub mod all_boards;
pub mod card;
pub mod chain;
pub mod first;
pub mod general;
pub mod patterns;
pub mod sheet;
#[cfg(test)]
mod tests;
