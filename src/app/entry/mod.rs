//! Entering jobs at the bench: a form that is read as it is typed, corrections, jobs still open.
//!
//! Reading order: [`session`] (a form under way), [`look`] (what a screen shows of it), [`save`] (what
//! is written), [`open`] (jobs still on a bench).

pub mod look;
pub mod open;
pub mod save;
pub mod session;
