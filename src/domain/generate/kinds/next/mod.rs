//! Several suspects remain: which single measurement now?
//!
//! [`field`] holds a board's fixes as suspects, [`questions`] lays out what may be asked of it, [`card`] chooses
//! among the questions and writes the card. How a measurement is called and what it costs is in
//! [`measure`](crate::domain::generate::words::measure).

pub mod card;
pub mod field;
pub mod questions;
