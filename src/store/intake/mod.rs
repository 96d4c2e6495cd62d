//! intake/: rows of sheets that wait for a person, and how sheets of each shape are read.

pub mod before;
pub mod maps;
pub mod rows_file;
