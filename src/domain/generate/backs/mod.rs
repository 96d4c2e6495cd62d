//! What is said when a card is answered, and what a lead should look at.
//!
//! [`told`] chooses what is said of the front, [`why`] writes the reason, [`runner_up`] says which fix comes
//! nearest, [`remark`] what makes a card doubtful, [`standing`] how a fix stands that a card names beside
//! others. [`doubts`] is what a lead should doubt though the front tells it.
//! Faults that only show over a whole deck are in [`checks`](crate::domain::generate::checks).

pub mod doubts;
pub mod remark;
pub mod runner_up;
pub mod standing;
pub mod told;
pub mod why;
