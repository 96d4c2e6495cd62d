//! What an answer claims, and what it only tells or takes back.
//!
//! [`doings`] finds the acts of a sentence, [`which_one`] the part that its other words point to,
//! [`corrections`] drops what is taken back, [`telling`] and [`reports`] know what was done before or by
//! others; [`claims`] puts it together, and [`second_reading`] looks once more where an act and its part
//! stand apart.

pub mod claims;
pub mod corrections;
pub mod doings;
pub mod reports;
pub mod second_reading;
pub mod telling;
pub mod which_one;
