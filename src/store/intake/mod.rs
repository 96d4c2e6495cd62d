//! intake/: rows of sheets that wait for a person, what people decided about them, and how sheets of
//! each shape are read.
//!
//! `<sheet>-<mark>.rows.jsonl` holds the rows of one sheet, `<bench>.jsonl` the decisions of one bench;
//! jobs made of rows stand in `jobs/` and name their row.

pub mod before;
pub mod journal;
pub mod maps;
pub mod rows_file;
pub mod waiting;
