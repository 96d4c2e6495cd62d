//! Sheet files read into rows: CSV and its kin, and workbooks.
//!
//! Reading order: [`book`] is what others call, [`encoding`] makes text of bytes, [`dialect`] finds what
//! stands between cells, [`csv`] cuts the text into rows, [`error`] says what cannot be read and what to do.
//! What the cells mean is not decided here: that is `domain::intake`.

pub mod book;
mod csv;
#[cfg(test)]
mod csv_tests;
mod dialect;
mod encoding;
pub mod error;
mod rows;

pub use crate::store::sheet::book::Book;
pub use crate::store::sheet::book::FileKind;
pub use crate::store::sheet::book::SheetText;
pub use crate::store::sheet::book::open;
pub use crate::store::sheet::error::SheetError;
pub use crate::store::sheet::error::SheetProblem;
