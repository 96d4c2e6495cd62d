//! What findings tell of a fix, in figures.
//!
//! [`pattern`] chooses the finding names that tell a fix from the others, [`shelf`] groups the jobs of a
//! board by the cards they speak for, [`evidence`] finds the typical job and the jobs like it, [`account`] weighs what is shown; [`agreed`] says what
//! the jobs of a fix agree on, [`choices`] how a few can be chosen of many. Left out: what may stand on a
//! front, and what is said of it.

pub mod account;
pub mod agreed;
pub mod choices;
pub mod evidence;
pub mod pattern;
pub mod shelf;
