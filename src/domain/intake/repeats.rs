//! Jobs that a sheet holds more than once, found in a walk over all its rows before they are read.
//!
//! A bench that keeps one sheet enters a board that came back as the same row again, with another
//! ending: that is one job, and the later row says how it ended. One number on rows that say different
//! things is another matter: none of them can be taken until a person says which is which.
//! Common practice, no source. Of each row two marks are kept, never its words.

use std::collections::HashMap;

use crate::domain::ids;
use crate::domain::intake::lines;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::names;
use crate::domain::intake::rows::Facts;
use crate::domain::intake::rows::Filled;
use crate::domain::intake::rows::Taker;
use crate::domain::intake::sheet::Row;

/// Which rows are one job, and which only share its number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Repeats {
    /// Rows that say a job again, with its first row.
    again: HashMap<u64, u64>,
    /// What the later rows say of a job's end, by its first row: row and words.
    endings: HashMap<u64, Vec<(u64, String)>>,
    /// First rows of a number that a later row has too, with that row.
    clashes: HashMap<u64, u64>,
}

/// The first row of a number.
#[derive(Clone, Copy)]
struct First {
    row: u64,
    /// Mark of everything but its ending.
    body: u64,
}

impl Repeats {
    /// Walks over all rows of a sheet.
    pub fn of(rows: impl Iterator<Item = Row>, mapping: &Mapping, facts: Facts<'_>) -> Self {
        let mut found = Self::default();
        let column = |field: &Field| mapping.columns.iter().position(|c| c.field == *field);
        let Some(number) = column(&Field::Number) else {
            return found;
        };
        let mut taker = Taker::new(mapping, facts);
        let mut firsts: HashMap<u64, First> = HashMap::new();
        for row in rows {
            let filled = taker.fill(&row);
            let text = filled.text_at(number);
            let unnamed = lines::says_nothing(&text) || lines::says_unknown(&text);
            if filled.is_skipped() || unnamed {
                continue;
            }
            let body = body(&filled, mapping);
            let key = ids::seed([text.as_str()]);
            let first = First {
                row: row.number,
                body,
            };
            let first = *firsts.entry(key).or_insert(first);
            if first.row != row.number {
                let ending = column(&Field::Outcome).map(|at| filled.text_at(at));
                found.see(first, row.number, body, ending.unwrap_or_default());
            }
        }
        found
    }

    fn see(&mut self, first: First, row: u64, body: u64, ending: String) {
        if first.body != body {
            self.clashes.entry(first.row).or_insert(row);
            return;
        }
        self.again.insert(row, first.row);
        if !lines::says_nothing(&ending) && !lines::says_unknown(&ending) {
            self.endings
                .entry(first.row)
                .or_default()
                .push((row, ending));
        }
    }

    /// Returns the first row of the job that this row says again.
    pub fn first_of(&self, row: u64) -> Option<u64> {
        self.again.get(&row).copied()
    }

    /// Returns what later rows say of the end of the job that begins in this row.
    pub fn endings(&self, row: u64) -> &[(u64, String)] {
        self.endings.get(&row).map_or(&[], Vec::as_slice)
    }

    /// Returns a later row that has this row's number and says something else.
    pub fn clash_of(&self, row: u64) -> Option<u64> {
        self.clashes.get(&row).copied()
    }
}

/// Returns the mark of everything in a row but how it ended.
fn body(filled: &Filled, mapping: &Mapping) -> u64 {
    let columns = mapping.columns.iter().enumerate();
    let texts: Vec<String> = columns
        .filter(|(_, c)| c.field != Field::Outcome)
        .map(|(at, _)| filled.text_at(at))
        .collect();
    ids::seed(texts.iter().map(String::as_str))
}

impl Filled {
    fn text_at(&self, at: usize) -> String {
        let cell = self.cells.get(at);
        cell.map(|c| names::tidy(&c.cell().text()))
            .unwrap_or_default()
    }
}
