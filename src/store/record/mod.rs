//! Record formats: lines and files to domain values and back.
//!
//! Domain types carry no file format, so tidying them cannot change files. Each format has a
//! version: an older program reads a newer record and refuses to rewrite it. Fields it does not know
//! survive a rewrite.

pub mod board;
pub mod card;
pub(crate) mod card_fast;
pub mod decision;
pub mod draft;
pub mod edit;
pub mod finding;
pub mod form;
pub(crate) mod head;
pub mod job;
pub(crate) mod job_fast;
#[cfg(test)]
mod job_tests;
pub(crate) mod job_write;
#[cfg(test)]
mod laws;
pub mod lent;
pub mod open_job;
pub mod overlay;
pub mod person;
pub mod problem;
pub mod reader;
pub(crate) mod rest;
pub mod review;
pub(crate) mod review_fast;
pub mod shop;
pub mod strict;
