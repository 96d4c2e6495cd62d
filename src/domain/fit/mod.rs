//! Fitting the 21 parameters of the memory model to what a person's reviews turned out to be.
//!
//! Reading order: `histories` (reviews packed card by card), `scale` (the numbers a search walks in),
//! `prior` (what is believed before any review), `slope` (the loss and its gradient), `search` (the
//! fit itself), `score` (the loss alone, of any part of the time). Leaves out whose reviews these are,
//! when a fit takes effect, and files.

mod blocks;
pub mod histories;
mod matrix;
pub mod prior;
pub mod scale;
pub mod score;
pub mod search;
mod slope;
