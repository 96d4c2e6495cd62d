//! How a finding, a fix, a measurement is called, on a card and in an answer.
//!
//! [`phrases`] is what a person reads, [`say`] by which words an answer is known, [`measure`] how a measurement
//! is asked for, what it costs and whether it may be asked for at all. Left out: which of it is said.

pub mod measure;
pub mod phrases;
pub mod say;
