//! Taking jobs in: from cells of old sheets, from a line typed at the bench, from the backlog.
//!
//! Reading order: [`sheet`] (what a sheet is), [`mapping`] (what its columns hold), [`propose`] (told from
//! [`headers`], [`looks`] and `content`), [`reading`]
//! (what words in a cell say, by the tables of [`words`]; [`doubt`] says why something is not taken as
//! said), [`draft`] (a job that is not whole yet),
//! [`rows`] (from rows to jobs; [`repeats`] finds jobs that were entered again,
//! [`reasons`] says why a row needs a person),
//! [`waiting`], [`decision`], [`backlog`] and [`repair`] (what a person decides). Nothing is guessed silently:
//! what the words do not plainly say is a [`draft::Suggested::maybe`] with a flag, never a fact, and
//! the words themselves are kept. Files are read elsewhere.

pub mod advice;
mod assemble;
#[cfg(test)]
mod assemble_tests;
pub mod backlog;
pub mod board_facts;
mod content;
pub mod days;
pub mod decision;
pub mod doubt;
pub mod draft;
pub mod figures;
pub mod form;
pub mod form_words;
pub mod headers;
pub mod lines;
pub mod looks;
pub mod mapping;
pub mod measured;
pub mod names;
pub mod open_job;
pub mod propose;
pub mod reading;
pub mod reasons;
pub mod repair;
pub mod repeats;
pub mod rows;
#[cfg(test)]
mod rows_tests;
pub mod sheet;
pub mod value;
pub mod waiting;
pub mod words;
