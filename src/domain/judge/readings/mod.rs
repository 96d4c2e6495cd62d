//! Readings in words: which net is meant, and what it showed.
//!
//! A net may be said in plain words ([`net_words`], by the pieces of `net_pieces`); what was read there in any
//! words of its sense ([`shown`] by [`shown_words`], [`value_words`] for the words that a card shows), as a
//! number ([`read_numbers`]) or as a sign of damage ([`signs`]). Designators, nets and values are compared
//! exactly.

mod net_pieces;
pub mod net_words;
pub mod read_numbers;
pub mod shown;
pub mod shown_words;
pub mod signs;
pub mod value_words;
