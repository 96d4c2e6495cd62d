//! What words in a cell, or typed at the bench, say of a job.
//!
//! A reading never invents: each thing it found carries the words it came from and says whether they
//! plainly mean it. What nobody could read is listed too, so that a person sees what was passed over.
//!
//! Reading order: [`said`] (what a reading is, and the way in), `scan` (text to chunks), `numbers` and
//! `parts` (how values and designators are written), `items` (phrases, lists, ranges), `reader` (walks
//! the items and keeps what was said before), then what it makes of them: `places`, `values`, `cues`,
//! `judgements`, `draws`, `looks`, `trials`, `deeds` and `objects`, `kinds`, `clocks`, `moments`, `planned`, `notes`, `fields` (cells of one kind), and `settle` (what only the whole text tells: which
//! act was the fix, how it ended, what stays in doubt), `bands`, `dates`.
//!
//! Left out on purpose: likeness. A designator, a net, a value is read as written or not at all, and a
//! misspelled word only if the tables of [`words`](crate::domain::intake::words) list it.

mod bands;
mod clocks;
mod cues;
mod dates;
mod deeds;
mod draws;
mod fields;
mod items;
mod judgements;
mod kinds;
mod looks;
mod moments;
mod notes;
mod numbers;
mod objects;
mod parts;
mod places;
mod planned;
mod reader;
pub mod said;
mod scan;
mod settle;
mod trials;
mod values;

#[cfg(test)]
mod cells_tests;
#[cfg(test)]
mod kinds_tests;
#[cfg(test)]
mod laws_tests;
#[cfg(test)]
mod phrases_tests;
#[cfg(test)]
mod show_tests;
#[cfg(test)]
mod undone_tests;

pub use said::Got;
pub use said::Known;
pub use said::Reading;
pub use said::as_findings;
pub use said::read;
