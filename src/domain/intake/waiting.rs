//! Rows of sheets that need a person, and what became of the sheet they came from.

use crate::domain::intake::draft::Suggested;
use crate::domain::job::Flag;

/// A row that needs a person.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WaitingRow {
    /// Mark of the row's words: the same words have the same mark wherever they stand.
    pub row: String,
    /// Sheet and row: `old-bay.csv:17`.
    pub source: String,
    /// Why it needs a person.
    pub why: Vec<Flag>,
    /// Its cells: header, words.
    pub cells: Vec<(String, String)>,
    /// What was read of it.
    pub suggestion: Suggested,
}

impl WaitingRow {
    /// Returns the sheet's name and the row's number, from 1.
    pub fn place(&self) -> (&str, Option<u64>) {
        match self.source.rsplit_once(':') {
            Some((sheet, row)) => match row.parse() {
                Ok(row) => (sheet, Some(row)),
                Err(_) => (&self.source, None),
            },
            None => (&self.source, None),
        }
    }
}

/// What an import made of one sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetTally {
    /// Its name, with the worksheet where it has several.
    pub sheet: String,
    /// Rows of data.
    pub rows: usize,
    /// Rows that became jobs by themselves.
    pub taken: usize,
    /// Rows that need a person.
    pub needs_person: usize,
    /// Rows that hold no job.
    pub skipped: usize,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(source: &str, sheet: &str, row: Option<u64>) {
        let waiting = WaitingRow {
            source: source.to_owned(),
            ..WaitingRow::default()
        };
        assert_eq!(waiting.place(), (sheet, row));
    }

    #[test]
    fn a_source_names_sheet_and_row() {
        check("old-bay.csv:17", "old-bay.csv", Some(17));
        check("book.xlsx#Bay 1:2:17", "book.xlsx#Bay 1:2", Some(17));
        check("old-bay.csv", "old-bay.csv", None);
        check("notes: loose", "notes: loose", None);
    }
}
