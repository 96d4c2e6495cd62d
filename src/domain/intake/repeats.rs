//! Jobs that a sheet holds more than once, found in a walk over all its rows before they are read.
//!
//! A bench that keeps one sheet enters a board that came back as the same row again, with another
//! ending: that is one job, and the later row says how it ended. One number on rows that say different
//! things is another matter: none of them can be taken until a person says which is which.
//! Common practice, no source. Of each row two marks are kept, never its words.

use std::collections::HashMap;
use std::collections::HashSet;

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
    /// Walks over all rows of a sheet; a second time, and with more care, only where a number stands twice.
    pub fn of<R: Iterator<Item = Row>>(
        rows: impl Fn() -> R,
        mapping: &Mapping,
        facts: Facts<'_>,
    ) -> Self {
        let mut found = Self::default();
        let column = |field: &Field| mapping.columns.iter().position(|c| c.field == *field);
        let Some(number) = column(&Field::Number) else {
            return found;
        };
        if !mapping.columns[number].fill_down && !stands_twice(rows(), number) {
            return found;
        }
        let mut taker = Taker::new(mapping, facts);
        let mut firsts: HashMap<u64, First> = HashMap::new();
        for row in rows() {
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

/// Tells whether two cells of a column hold the same words.
fn stands_twice(rows: impl Iterator<Item = Row>, column: usize) -> bool {
    let mut seen = HashSet::new();
    let mut texts = rows.map(|row| names::tidy(&row.cell(column).text()));
    texts.any(|text| !text.is_empty() && !lines::says_nothing(&text) && !seen.insert(text))
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

#[cfg(test)]
mod tests {
    use crate::domain::intake::rows::End;
    use crate::domain::intake::rows_tests::Bench;
    use crate::domain::intake::rows_tests::facts;
    use crate::domain::intake::rows_tests::flags;
    use crate::domain::intake::rows_tests::reasons;
    use crate::domain::intake::rows_tests::sheet;
    use crate::domain::intake::rows_tests::skipped;
    use crate::domain::job::Outcome;

    #[test]
    fn a_job_entered_again_is_one_job_and_ends_as_the_later_row_says() {
        let rows = sheet(
            "
Ticket | Date | PCB | Symptom | Found | Action | Status
40 | 2025-03-14 | Petrel P4 | dead | 3V3_SB 0.2 V | changed U31 | ok
41 | 2025-03-14 | Petrel P4 | dead | L12 open | reflowed L12 |
40 | 2025-03-14 | Petrel P4 | dead | 3V3_SB 0.2 V | changed U31 | returned with other fault
41 | 2025-03-14 | Petrel P4 | dead | L12 open | reflowed L12 | came back
",
        );
        let bench = Bench::new();
        let read = bench.take_looking_ahead(&rows);
        let End::Taken(first) = &read[1].end else {
            panic!("{:?}", reasons(&read[1]));
        };
        assert_eq!(first.outcome, Some(Outcome::BouncedOtherFault));
        assert!(flags(&read[1]).contains(&"outcome: ended-in-later-row".to_owned()));
        assert_eq!(skipped(&read[3]), "row 2 again: it says how that job ended");
        // Nobody says with which fault.
        assert!(reasons(&read[2]).iter().any(|r| r.starts_with("outcome")));
        assert_eq!(facts(&read[2]).number.as_deref(), Some("41"));
        assert!(skipped(&read[4]).starts_with("row 3 again"));
        // Known by its words, the job is another one once a later row has its say.
        assert_ne!(read[1].mark, bench.take(&rows)[1].mark);
    }

    #[test]
    fn two_jobs_under_one_number_both_need_a_person() {
        let rows = sheet(
            "
Ticket | Date | PCB | Symptom | Found | Action | Status
40 | 2025-03-14 | Petrel P4 | dead | 3V3_SB 0.2 V | changed U31 | ok
40 | 2025-03-19 | Petrel P4 | no charge | L12 open | reflowed L12 | ok
42 | 2025-03-19 | Petrel P4 | no charge | L12 open | reflowed L12 | ok
 | 2025-03-20 | Petrel P4 | no charge | L12 open | reflowed L12 | ok
 | 2025-03-21 | Petrel P4 | dead | L12 open | reflowed L12 | ok
",
        );
        let read = Bench::new().take_looking_ahead(&rows);
        for row in &read[1..3] {
            assert_eq!(reasons(row), ["job: number-used-twice"]);
            assert_eq!(facts(row).number.as_deref(), Some("40"));
        }
        for row in &read[3..] {
            assert!(matches!(row.end, End::Taken(_)), "{:?}", reasons(row));
        }
    }
}
