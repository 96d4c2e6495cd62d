//! What a person knows, measured by spot checks alone, family by family.
//!
//! A spot check is drawn regardless of schedule, so its answers say what a person knows; the daily
//! drill shows weak cards more often and would make everyone look worse. Only the first answer to a
//! card on a day counts, and never the first of all (that one is a guess: it stands apart, as cold).
//! Leaves out who may read it, and every word on a screen.

pub mod forecast;
pub mod order;
pub mod precision;
pub mod row;
pub mod spots;

/// Widest interval, in shares, that still says something about a person: 40 points.
///
/// Common practice, no source.
pub const WIDEST: f64 = 0.40;
