//! Cards from closed jobs.
//!
//! Reading order: [`input`] is what cards are made from; [`coded`] turns a board's jobs into values that can be
//! counted, [`words`] says how a finding, a fix, a measurement is called, [`weigh`] what findings tell of a fix,
//! [`fronts`] what is shown and what else would look like it, [`backs`] what is said when it is answered;
//! [`kinds`] makes the cards, a builder for each kind, and [`build`] puts it all together. Each uses only those
//! before it. [`checks`] looks for the faults that make a card bad, over a whole deck; [`stems`] knows the
//! builder's own questions.
//!
//! Of what leads did to cards only merges and splits enter here, since they change whose jobs stand
//! together. Left out on purpose: shop synonyms, all
//! other edits, tags (they are laid over the cards later).

pub mod backs;
pub mod build;
pub mod checks;
pub mod coded;
pub mod fronts;
pub mod input;
pub mod kinds;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod led_tests;
#[cfg(test)]
pub(crate) mod sample;
pub mod stems;
pub mod weigh;
pub mod words;
