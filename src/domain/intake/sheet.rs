//! A sheet as values: rows of cells, whatever file they came from.

use chrono::NaiveDate;

/// What one cell holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Cell {
    /// Nothing.
    #[default]
    Empty,
    /// Words, as written; never trimmed here.
    Text(String),
    /// A number that the sheet itself keeps as one (only worksheets have those).
    Number(f64),
    /// A day that the sheet itself keeps as one.
    Date(NaiveDate),
}

impl Cell {
    /// Returns the cell as a person would write it; numbers in their shortest form.
    pub fn text(&self) -> std::borrow::Cow<'_, str> {
        match self {
            Self::Empty => "".into(),
            Self::Text(text) => text.as_str().into(),
            Self::Number(number) => number.to_string().into(),
            Self::Date(day) => day.to_string().into(),
        }
    }

    /// Tells whether there is nothing but blanks.
    pub fn is_blank(&self) -> bool {
        match self {
            Self::Empty => true,
            Self::Text(text) => text.chars().all(|c| c.is_whitespace() || c == '\u{feff}'),
            Self::Number(_) | Self::Date(_) => false,
        }
    }
}

/// One row of a sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// Its number in the file, from 1, header lines counted. A quoted cell with line breaks is one row.
    pub number: u64,
    /// Its cells from the first column; trailing empty ones may be left out.
    pub cells: Vec<Cell>,
    /// What the reader of the file noticed: `unbalanced quote`, `cell cut at 64 kB`, `bytes that are no
    /// text`. A row with such a remark needs a person.
    pub remarks: Vec<String>,
}

impl Row {
    /// Returns the cell of a column; empty where the row is short.
    pub fn cell(&self, column: usize) -> &Cell {
        self.cells.get(column).unwrap_or(&Cell::Empty)
    }

    /// Tells whether every cell is blank.
    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(Cell::is_blank)
    }
}
