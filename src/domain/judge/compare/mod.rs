//! An answer held against its card: what of what is asked for it names.
//!
//! [`keypoints`] compares repairs ([`near_misses`] says what is near one), [`points`] an answer in words with
//! the points it must name ([`phrases`] cuts their words, [`also_said`] knows other ways of saying them,
//! [`assent`] what the question lends it), [`tests_named`] with the measurements of a card, [`sides`] which
//! fix goes with which of two look-alikes (`side_names`, [`separating`]), [`expected`] which readings a fix
//! goes with, [`circuits_said`] a circuit, [`accepted`] what a lead accepts as it was typed; [`worth`] is what
//! a verdict is worth.

pub mod accepted;
pub mod also_said;
pub mod assent;
pub mod circuits_said;
pub mod expected;
pub mod keypoints;
pub mod near_misses;
pub mod phrases;
pub mod points;
pub mod separating;
mod side_names;
pub mod sides;
pub mod stopping;
pub mod tests_named;
pub mod worth;
