//! The days ahead of one person: what the minutes will buy, simulated many times over.
//!
//! A run goes through the coming days one by one. On a day that is sat, cards are asked in the order of
//! the daily queue until the minutes are out; each answer is drawn from the memory model's own chance of
//! recall and moves the card's memory. Many runs give bands. Beside it stands a plan made backwards from
//! a date (`ready.rs`), and what such a date asks of today's sitting (`goal.rs`).
//!
//! Plain numbers only: cards are places in a list, families and gates are numbers, day 0 is today.
//!
//! What is not in the bands: that the memory model itself may be off, that the pace changes, and cards
//! that jobs to come will bring.

pub mod bands;
mod base;
mod cards;
pub mod chance;
pub mod course;
pub mod deck;
pub mod goal;
mod levels;
mod offer;
pub mod outlook;
pub mod person;
pub mod picture;
mod pool;
pub mod ready;
mod run;
mod sitting;

#[cfg(test)]
pub(crate) mod made_up;
