//! The words of sheets and benches, in more than one language, and what they mean here.
//!
//! Built-in tables, English and German: common practice, no source. A shop adds its own under
//! `sheet_words` in shop.json, by table: `acts`, `verdicts`, `draws`, `signs`, `complaints`,
//! `outcomes`, `no_fix`, `environment`, `families`, `negation`, `in_vain`; each maps what is written to
//! the word of the vocabulary (`"acts": {"exorcised": "replace"}`; the value does not matter for
//! `negation` and `in_vain`). The table `headers` is read with the columns. Shop words are looked at
//! before the built-in ones. Spellings are exact but for case, hyphens and the two ways to write an
//! umlaut; nothing is matched by likeness.
//!
//! Reading order: [`sense`] (what a word can mean), [`lexicon`] (how a phrase is looked up),
//! [`tables`] (the tables of a shop over the built-in ones), then the lists.

pub mod acts;
pub mod complaints;
pub mod compounds;
pub mod customers;
pub mod endings;
pub mod lexicon;
pub mod nouns;
pub mod sense;
pub mod tables;
pub mod trials;
pub mod verdicts;

pub use tables::Words;
