//! Which fix is likely, from closed jobs coded as tables; and how that is told from the archive.
//!
//! Reading order: [`coded`] is what everything here is made from, [`counts`] holds what is counted
//! and the chances that follow, [`tree`] says which findings are to be taken together, [`learn`]
//! finds the weights, [`model`] ranks, [`evidence`] reads off why, [`yardstick`] measures how well a
//! ranking does on jobs it never saw. [`of_shelf`] codes a board's jobs.
//!
//! Left out on purpose: the chain from a board to its kind to all boards, and what a measurement
//! costs.

pub mod coded;
pub mod counts;
pub mod evidence;
pub mod learn;
pub mod model;
pub mod of_shelf;
pub mod tree;
pub mod yardstick;
