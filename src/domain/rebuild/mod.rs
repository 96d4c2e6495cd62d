//! A deck built anew, beside the one before: what changed, who had learned it, whose unit may be back.
//!
//! [`diff`] names what changed card by card, [`learned`] who would lose what, [`at_risk`] the jobs of a
//! fix that lost its standing. Nothing is written here.

pub mod at_risk;
pub mod diff;
pub mod learned;
