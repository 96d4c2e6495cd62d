//! The shop folder on disk: every file call of the program is here.
//!
//! Reading order: [`disk`] is the one small layer that touches files (tests make it fail through
//! [`faulty`]), [`paths`] says where things are, [`record`] turns lines into domain values and back,
//! [`sealed`] and `appender` keep lines that must not be lost; the other files are one kind of file each.
//! Damaged input is a result ([`fault::Fault`]), never a failure, and is never rewritten.

mod appender;
pub mod backup;
pub mod backup_file;
pub mod bench;
pub mod build_index;
pub mod build_kept;
mod build_log;
mod build_sheets;
pub mod deck_file;
pub mod decks;
pub mod disk;
pub mod edits;
pub mod entry;
pub mod erase;
pub mod error;
pub mod export_file;
pub mod fault;
pub mod faulty;
pub mod find_index;
#[cfg(test)]
mod find_index_tests;
mod find_write;
pub mod fit_note;
pub mod intake;
pub mod job_index;
mod job_lines;
pub mod jobs;
pub mod journal;
pub mod journal_read;
mod journal_sums;
pub mod lock;
pub mod model_disk;
mod packed;
pub mod paths;
pub mod people;
pub mod practice_shop;
pub mod record;
pub mod review_log;
pub mod sealed;
mod settle;
pub mod sheet;
pub mod shipped_decks;
pub mod shop;
pub(crate) mod side_by_side;
pub mod snapshot;
mod snapshot_bytes;
mod sources;
pub mod staged;
pub mod standing_deck;
pub mod tapes;
#[cfg(test)]
mod tapes_tests;
mod text_lines;
#[cfg(test)]
mod whole_shop;
