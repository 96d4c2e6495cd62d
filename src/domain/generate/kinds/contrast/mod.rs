//! Two boards that look alike and two different fixes: what tells them apart?
//!
//! [`pairs`] finds two fixes that look alike, `card` writes the two cards of a pair, `pointer` says what points
//! to one side of it.

mod card;
pub mod pairs;
mod pointer;
