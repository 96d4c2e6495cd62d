//! The cells of a worksheet, kept close together: sixteen bytes a cell and one text for all words.
//!
//! Only cells that hold something take room, so a cell in the last row of the last column costs no more
//! than one in the first. Merged cells are filled when a row is asked for: down and to the right, in rows
//! that hold something of their own. What the cells mean is left out.

use std::collections::HashMap;

use chrono::Datelike as _;
use chrono::NaiveDate;

use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::store::sheet::error::SheetProblem;
use crate::store::sheet::guard::swollen;
use crate::store::sheet::rows::MOST_CELL;
use crate::store::sheet::rows::MOST_COLUMNS;
use crate::store::sheet::rows::head;
use crate::store::sheet::rows::row;
use crate::store::sheet::rows::text_cell;
use crate::store::sheet::rows::too_wide;

/// A workbook may hold this many cells that are not empty.
const MOST_CELLS: usize = 4_000_000;
/// And this many bytes of words.
const MOST_TEXT: usize = 120_000_000;
/// A worksheet has this many rows at most ("Excel specifications and limits", from memory).
pub(crate) const MOST_ROWS: u32 = 1_048_576;
/// A worksheet may have this many merged ranges.
const MOST_MERGED: usize = 200_000;
/// So many empty rows between two others are given as rows; a longer gap is passed over.
const MOST_GAP: u32 = 100;
/// In one row, merged cells are filled with up to this many bytes of words.
const MOST_FILL: usize = 64 * 1024;
/// Words seen lately are kept once; this many are remembered.
const LATELY: usize = 4096;
/// Words longer than this are not looked for among those.
const SHORT: usize = 200;

/// What a workbook says a cell holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Value<'a> {
    /// Words.
    Text(&'a str),
    /// A number; one that is not finite becomes words with a remark.
    Number(f64),
    /// A day.
    Date(NaiveDate),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Text,
    /// Words that were longer than a cell is kept.
    Cut,
    Number,
    Date,
    /// A number that is none: `1e999`.
    Endless,
    /// Stands in the last column: the row went on.
    Wide,
}

#[derive(Clone, Copy, Debug)]
struct Packed {
    row: u32,
    column: u16,
    kind: Kind,
    /// Start and length in the text, a number's bits, or a day counted from the year 1.
    value: u64,
}

/// A range of cells that look like one; rows and columns from 0, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Merged {
    /// First row and column, whose value counts.
    pub(crate) from: (u32, u32),
    /// Last row and column.
    pub(crate) to: (u32, u32),
}

/// How much a whole workbook may still hold.
#[derive(Debug)]
pub(crate) struct Budget {
    cells: usize,
    text: usize,
}

impl Budget {
    /// Returns the budget of one workbook.
    pub(crate) fn new() -> Self {
        Self {
            cells: MOST_CELLS,
            text: MOST_TEXT,
        }
    }
}

/// The cells of one worksheet.
#[derive(Debug, Default)]
pub(crate) struct Cells {
    text: String,
    held: Vec<Packed>,
    merged: Vec<Merged>,
    lately: HashMap<String, u64>,
}

impl Cells {
    /// Keeps a cell; rows and columns count from 0.
    pub(crate) fn put(
        &mut self,
        row: u32,
        column: u32,
        value: Value<'_>,
        budget: &mut Budget,
    ) -> Result<(), SheetProblem> {
        if MOST_ROWS <= row {
            return Err(swollen("more rows than a worksheet has"));
        }
        let (column, kind, value) = match (u16::try_from(column), value) {
            (_, Value::Text("")) => return Ok(()),
            (Ok(column), value) if usize::from(column) < MOST_COLUMNS => {
                let (kind, value) = self.packed(value, budget)?;
                (column, kind, value)
            }
            _ => (u16::MAX, Kind::Wide, 0),
        };
        let again = |last: &Packed| last.row == row && last.kind == Kind::Wide;
        if kind == Kind::Wide && self.held.last().is_some_and(again) {
            return Ok(());
        }
        budget.cells = budget
            .cells
            .checked_sub(1)
            .ok_or_else(|| swollen("too many cells"))?;
        self.held.push(Packed {
            row,
            column,
            kind,
            value,
        });
        Ok(())
    }

    fn packed(
        &mut self,
        value: Value<'_>,
        budget: &mut Budget,
    ) -> Result<(Kind, u64), SheetProblem> {
        Ok(match value {
            Value::Number(number) if number.is_finite() => (Kind::Number, number.to_bits()),
            Value::Number(number) => (Kind::Endless, self.words(&number.to_string(), budget)?),
            Value::Date(day) => (Kind::Date, u64::from(day.num_days_from_ce().unsigned_abs())),
            Value::Text(text) => {
                let kept = head(text, MOST_CELL);
                let kind = if kept.len() < text.len() {
                    Kind::Cut
                } else {
                    Kind::Text
                };
                (kind, self.words(kept, budget)?)
            }
        })
    }

    /// Keeps words and returns where they stand.
    fn words(&mut self, words: &str, budget: &mut Budget) -> Result<u64, SheetProblem> {
        if let Some(at) = self.lately.get(words) {
            return Ok(*at);
        }
        let left = budget.text.checked_sub(words.len());
        budget.text = left.ok_or_else(|| swollen("too many words"))?;
        let at = (self.text.len() as u64) << 32 | words.len() as u64;
        self.text.push_str(words);
        if words.len() <= SHORT {
            if self.lately.len() == LATELY {
                self.lately.clear();
            }
            self.lately.insert(words.to_owned(), at);
        }
        Ok(at)
    }

    /// Notes a merged range.
    pub(crate) fn merge(&mut self, merged: Merged) -> Result<(), SheetProblem> {
        if self.merged.len() == MOST_MERGED {
            return Err(swollen("too many merged cells"));
        }
        if merged.from < merged.to {
            self.merged.push(merged);
        }
        Ok(())
    }

    /// Puts the cells in order, once all are there; of two at one place the later counts.
    pub(crate) fn finish(&mut self) {
        self.lately = HashMap::new();
        if !self
            .held
            .is_sorted_by(|a, b| (a.row, a.column) < (b.row, b.column))
        {
            self.held.sort_by_key(|cell| (cell.row, cell.column));
            self.held.reverse();
            self.held.dedup_by_key(|cell| (cell.row, cell.column));
            self.held.reverse();
        }
        self.merged.sort_by_key(|merged| merged.from);
        self.held.shrink_to_fit();
        self.text.shrink_to_fit();
    }

    /// Tells whether there is no cell.
    pub(crate) fn is_empty(&self) -> bool {
        self.held.is_empty()
    }

    /// Tells whether some cells are merged.
    pub(crate) fn has_merged(&self) -> bool {
        !self.merged.is_empty()
    }

    /// Returns how many rows [`Self::rows`] will give.
    pub(crate) fn count(&self) -> u64 {
        let mut next = 0;
        let mut rows = 0;
        for same in self.held.chunk_by(|a, b| a.row == b.row) {
            let gap = same[0].row - next;
            rows += 1 + u64::from(if gap <= MOST_GAP { gap } else { 0 });
            next = same[0].row + 1;
        }
        rows
    }

    /// Returns the stretches of empty rows that are passed over, first and last, from 1.
    pub(crate) fn gaps(&self) -> Vec<(u64, u64)> {
        let mut next = 0;
        let mut gaps = Vec::new();
        for same in self.held.chunk_by(|a, b| a.row == b.row) {
            if MOST_GAP < same[0].row - next {
                gaps.push((u64::from(next) + 1, u64::from(same[0].row)));
            }
            next = same[0].row + 1;
        }
        gaps
    }

    /// Returns the rows from the first.
    pub(crate) fn rows(&self) -> Rows<'_> {
        Rows {
            sheet: self,
            at: 0,
            next: 0,
            merged: 0,
            open: Vec::new(),
        }
    }

    fn cell(&self, packed: Packed, remarks: &mut Vec<String>) -> Cell {
        let column = usize::from(packed.column);
        let words = || {
            let from = usize::try_from(packed.value >> 32).expect("a place in the text");
            let len = usize::try_from(packed.value & u64::from(u32::MAX)).expect("32 bits");
            &self.text[from..from + len]
        };
        match packed.kind {
            Kind::Text => text_cell(words(), column, remarks),
            Kind::Cut => {
                remarks.push(format!("cell {} cut at 64 kB", column + 1));
                text_cell(words(), column, remarks)
            }
            Kind::Endless => {
                remarks.push(format!(
                    "a number too large to be one in cell {}",
                    column + 1
                ));
                text_cell(words(), column, remarks)
            }
            Kind::Number => Cell::Number(f64::from_bits(packed.value)),
            Kind::Date => {
                let days = i32::try_from(packed.value).ok();
                days.and_then(NaiveDate::from_num_days_from_ce_opt)
                    .map_or(Cell::Empty, Cell::Date)
            }
            Kind::Wide => Cell::Empty,
        }
    }
}

/// The rows of a worksheet, one at a time.
pub(crate) struct Rows<'a> {
    sheet: &'a Cells,
    /// Next cell.
    at: usize,
    /// Next row, from 0.
    next: u32,
    /// Next merged range.
    merged: usize,
    /// Merged ranges that reach on, with their value.
    open: Vec<(Merged, Cell)>,
}

impl Rows<'_> {
    /// Fills what is merged with the row `number`.
    fn fill(&mut self, number: u32, cells: &mut Vec<Cell>, remarks: &mut Vec<String>) {
        self.open.retain(|(merged, _)| number <= merged.to.0);
        let width = |merged: &Merged| {
            (merged.to.1.saturating_sub(merged.from.1) as usize + 1).min(MOST_COLUMNS)
        };
        let mut wide: usize = self.open.iter().map(|(merged, _)| width(merged)).sum();
        while let Some(merged) = self
            .sheet
            .merged
            .get(self.merged)
            .filter(|m| m.from.0 <= number)
        {
            self.merged += 1;
            let first = usize::try_from(merged.from.1)
                .ok()
                .and_then(|column| cells.get(column));
            // Ranges never lie upon each other in a sound file, so together they are no wider than a row.
            if 2 * MOST_COLUMNS < wide + width(merged) {
                continue;
            }
            // A range that begins in a row without cells has nothing to give.
            if let Some(cell) =
                first.filter(|cell| merged.from.0 == number && **cell != Cell::Empty)
            {
                wide += width(merged);
                self.open.push((*merged, cell.clone()));
            }
        }
        let mut left = MOST_FILL;
        for (merged, value) in &self.open {
            let size = value.text().len().max(8);
            let last = merged
                .to
                .1
                .min(u32::try_from(MOST_COLUMNS - 1).unwrap_or(u32::MAX));
            for column in merged.from.1..=last {
                let column = usize::try_from(column).expect("below the most columns");
                if cells.get(column).is_some_and(|cell| *cell != Cell::Empty) {
                    continue;
                }
                if left < size {
                    remarks.push("merged cells with more words than are filled in".to_owned());
                    return;
                }
                left -= size;
                if cells.len() <= column {
                    cells.resize(column + 1, Cell::Empty);
                }
                cells[column] = value.clone();
            }
        }
    }
}

impl Iterator for Rows<'_> {
    type Item = Row;

    fn next(&mut self) -> Option<Row> {
        let first = self.sheet.held.get(self.at)?;
        if self.next < first.row && first.row - self.next <= MOST_GAP {
            // Shorter gaps are given one by one; this shortens what is left of one.
            self.next += 1;
            return Some(row(u64::from(self.next), Vec::new(), Vec::new()));
        }
        let number = first.row;
        let mut cells = Vec::new();
        let mut remarks = Vec::new();
        while let Some(packed) = self.sheet.held.get(self.at).filter(|p| p.row == number) {
            self.at += 1;
            if packed.kind == Kind::Wide {
                too_wide(&mut remarks);
                continue;
            }
            cells.resize(usize::from(packed.column), Cell::Empty);
            cells.push(self.sheet.cell(*packed, &mut remarks));
        }
        self.fill(number, &mut cells, &mut remarks);
        self.next = number + 1;
        Some(row(u64::from(number) + 1, cells, remarks))
    }
}
