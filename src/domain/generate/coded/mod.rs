//! The jobs of a board as values that can be counted, before anybody asks what they tell.
//!
//! [`tier`] says which jobs may speak for an answer, [`band`] turns numbers into words ([`bands`]: by the
//! board's own readings, where there is nothing to compare with), [`mask`] says what would give an answer
//! away, [`table`] codes a board's jobs under a mask, [`ends`] those that ended without a fix; [`circuits`]
//! says which circuit jobs had. Left out: what speaks for a fix, and every sentence.

pub mod band;
pub mod bands;
pub mod circuits;
pub mod ends;
pub mod mask;
pub mod table;
pub mod tier;
