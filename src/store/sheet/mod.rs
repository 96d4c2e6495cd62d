//! Sheet files read into rows: CSV and its kin, and workbooks.
//!
//! Reading order: [`book`] is what others call, `encoding` makes text of bytes, `dialect` finds what
//! stands between cells, `csv` cuts the text into rows. A workbook passes `guard`, is read by `xlsx` or `ods` into `cells`, and is
//! named by `workbook`. `rows` says how long a cell and how wide a row may be, [`error`] what cannot be read and what to do.
//! What the cells mean is not decided here: that is `domain::intake`.

pub mod book;
mod cells;
mod csv;
#[cfg(test)]
mod csv_tests;
mod dialect;
mod encoding;
pub mod error;
mod guard;
mod ods;
mod rows;
#[cfg(test)]
pub(crate) mod sample;
mod workbook;
#[cfg(test)]
mod workbook_tests;
mod xlsx;

pub use crate::store::sheet::book::Book;
pub use crate::store::sheet::book::FileKind;
pub use crate::store::sheet::book::SheetText;
pub use crate::store::sheet::book::open;
pub use crate::store::sheet::error::SheetError;
pub use crate::store::sheet::error::SheetProblem;
