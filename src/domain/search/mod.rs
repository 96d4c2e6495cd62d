//! Searching closed jobs and cards by words and findings.
//!
//! Reading order: [`terms`] cuts text into what is compared, [`bm25`] ranks by words, [`readings`]
//! finds the findings that a query asks for in the `shorthand` of the bench, within [`bounds`],
//! [`atoms`] tells which readings are like them, [`ranked`] puts all together. [`builder`] says what
//! of a job is searched for, [`index`] keeps it in memory.
//!
//! Designators, nets and values are compared exactly; only words of the trade go through synonyms
//! and endings. What the findings say about the likely fix is not decided here: a later part ranks
//! fixes from the same [`readings::Sought`] values.

pub mod atoms;
pub mod bm25;
pub mod bounds;
pub mod builder;
pub mod index;
#[cfg(test)]
mod index_tests;
mod numbers;
pub mod ranked;
pub mod readings;
mod shorthand;
pub mod terms;
