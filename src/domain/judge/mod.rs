//! Judging a typed answer by its key points, and naming unsafe acts.
//!
//! An answer is right when it names every act and part of one accepted fix, in whatever words and
//! order. Designators, nets and values are compared exactly after folding case and separators;
//! only words of function go through synonyms. The person's own overruling is not decided here.
//!
//! Reading order: [`tokens`] cuts text ([`said_volts`] reads rails in words), [`words`] holds synonyms ([`trade_words`] are its tables), [`acts`] knows the
//! verbs ([`doings`] those of a sentence), [`scope`] what a "not" covers, [`parts`] which part a description means ([`which_one`] by what else is said),
//! [`slips`] mends the spelling of plain words, [`speech`] reads a few German ones, [`corrections`] drops what is taken
//! back, [`claims`] what
//! the text claims ([`telling`] what it only tells, [`second_reading`] where an act and its part stand apart), [`keypoints`] compares it with a card
//! ([`near_misses`] says what is near it), [`points`] an answer in words with the
//! points it must name ([`phrases`] cuts their words, [`denials`] says what it denies, [`assent`] what its question lends it),
//! [`tests_named`] with the measurements of a card, [`sides`] which fix goes with which of two
//! look-alikes, [`expected`] which readings a fix goes with ([`stretches`] cuts for both). [`hear`] chooses among them. [`hazards`] is
//! the table of unsafe acts,
//! [`scene`] (with [`nouns`] and [`reports`]), [`situations`], [`fuses`], [`solvents`], [`injection`], [`bench_situations`],
//! [`defeats`], [`stand_ins`], [`stilled`], [`live_work`] and [`charge`]
//! find them, [`unsafe_acts`] answers; [`harm`] is the last look at an answer. All word lists: common practice, no source.

pub mod acts;
pub mod also_said;
#[cfg(test)]
mod answers;
pub mod assent;
pub mod bare_hands;
#[cfg(test)]
mod bench_sentences;
pub mod bench_situations;
pub mod charge;
pub mod circuits_said;
pub mod claims;
pub mod corrections;
pub mod defeats;
pub mod denials;
pub mod doings;
pub mod expected;
pub mod fuses;
pub mod harm;
#[cfg(test)]
mod harm_grammar;
pub mod hazards;
pub mod hear;
pub mod injection;
pub mod keypoints;
pub mod live_work;
pub mod near_misses;
mod net_pieces;
pub mod net_words;
pub mod nouns;
pub mod number_words;
pub mod parts;
pub mod phrases;
pub mod plain_english;
pub mod points;
pub mod precautions;
pub mod read_numbers;
#[cfg(test)]
mod repairs_told;
pub mod reports;
pub mod said_volts;
pub mod scene;
pub mod scope;
pub mod second_reading;
#[cfg(test)]
mod sentences;
pub mod separating;
pub mod shown;
mod shown_words;
mod side_names;
pub mod sides;
pub mod signs;
pub mod situations;
pub mod slips;
pub mod solvents;
pub mod speech;
pub mod spoken_numbers;
pub mod stand_ins;
pub mod stilled;
pub mod stretches;
pub mod telling;
pub mod tests_named;
pub mod tokens;
pub mod trade_words;
pub mod unsafe_acts;
pub mod value_words;
pub mod which_one;
pub mod words;
pub mod worth;
