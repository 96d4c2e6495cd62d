//! What stands in a typed answer: words, numbers, parts and acts, before anybody asks what it claims.
//!
//! Reading order: [`tokens`] cuts text ([`said_volts`] reads rails in words, [`spoken_numbers`] numbers, by the
//! table of [`number_words`]), [`words`] holds synonyms ([`trade_words`] and [`plain_english`] are its tables),
//! [`slips`] mends the spelling of plain words, [`speech`] reads a few German ones, [`acts`] knows the verbs
//! and [`nouns`] what is a thing, [`parts`] which part a description means, [`scope`] what a "not" covers,
//! [`denials`] what an answer denies. [`stretches`] cuts it where it goes on to the next thing.

pub mod acts;
pub mod denials;
pub mod nouns;
pub mod number_words;
pub mod parts;
pub mod plain_english;
pub mod said_volts;
pub mod scope;
pub mod slips;
pub mod speech;
pub mod spoken_numbers;
pub mod stretches;
pub mod tokens;
pub mod trade_words;
pub mod words;
