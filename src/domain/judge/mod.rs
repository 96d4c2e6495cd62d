//! Judging a typed answer by its key points, and naming unsafe acts.
//!
//! An answer is right when it names every act and part of one accepted fix, in whatever words and
//! order. Designators, nets and values are compared exactly after folding case and separators;
//! only words of function go through synonyms. The person's own overruling is not decided here.
//!
//! Reading order: [`read`] finds the words and parts of an answer, [`readings`] what it says was measured, [`claim`]
//! what it claims, [`danger`] what would hurt somebody; [`compare`] holds all that against a card, and
//! [`hear`] chooses how. Each uses only those before it. All word lists: common practice, no source.

#[cfg(test)]
mod answers;
#[cfg(test)]
mod bench_sentences;
pub mod claim;
pub mod compare;
pub mod danger;
#[cfg(test)]
mod harm_grammar;
pub mod hear;
pub mod read;
pub mod readings;
#[cfg(test)]
mod repairs_told;
#[cfg(test)]
mod sentences;
