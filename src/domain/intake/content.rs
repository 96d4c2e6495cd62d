//! What a column holds by what its cells say, where no header tells.
//!
//! A few cells are read as free words; what most of them say is what the column is for. A column that
//! says several things is left to be read as everything together.

use crate::domain::intake::assemble::ending;
use crate::domain::intake::assemble::ending::Status;
use crate::domain::intake::lines;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading;
use crate::domain::intake::reading::Known;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::domain::intake::words::Words;

/// So many cells of a column are read.
const SAMPLE: usize = 40;
/// A longer cell is a story, and no column of one thing.
const LONGEST: usize = 200;

/// Cells that say one thing, by what it is.
#[derive(Clone, Copy, Debug, Default)]
struct Said {
    complaints: usize,
    findings: usize,
    deeds: usize,
    endings: usize,
    /// Deeds beside readings or complaints.
    mixed: usize,
}

/// Returns what the cells of a column say, by reading a few of them.
pub(super) fn of_column(rows: &[&Row], column: usize, words: &Words) -> Option<Field> {
    let mut said = Said::default();
    let mut seen = 0_usize;
    let texts = rows.iter().filter_map(|row| match row.cell(column) {
        Cell::Text(text) => Some(text.trim()),
        _ => None,
    });
    let speaks = |text: &&str| {
        !lines::says_nothing(text) && !lines::says_unknown(text) && lines::ditto(text).is_none()
    };
    for text in texts.filter(speaks).take(SAMPLE) {
        seen += 1;
        if text.len() <= LONGEST {
            said.see(text, words);
        }
    }
    said.most(seen)
}

impl Said {
    fn see(&mut self, text: &str, words: &Words) {
        let bare_yes = ["y", "yes", "ja", "done"].contains(&text.to_lowercase().as_str());
        if let Some(status) = ending::status(text) {
            let ends = matches!(status, Status::Works | Status::Open) && !bare_yes;
            self.endings += usize::from(ends);
            return;
        }
        let known = Known {
            words,
            board: None,
            field: &Field::Everything,
            dates: DateOrder::Unknown,
            decimal: DecimalMark::Unknown,
        };
        let read = reading::read(text, &known);
        let (deeds, findings) = (!read.actions.is_empty(), !read.findings.is_empty());
        let complains = !read.complaint.is_empty();
        let ends = read.outcome.is_some() || read.no_fix_reason.is_some();
        if deeds {
            self.deeds += 1;
            self.mixed += usize::from(findings || complains);
        } else if ends {
            self.endings += 1;
        } else if findings {
            self.findings += 1;
        } else if complains {
            self.complaints += 1;
        }
    }

    /// Returns the field of what at least six in ten cells say, of two cells or more.
    fn most(self, seen: usize) -> Option<Field> {
        let most = |n: usize| 2 <= n && seen * 6 <= n * 10;
        if most(self.deeds) {
            let plain = self.mixed * 4 <= self.deeds;
            Some(if plain { Field::Fix } else { Field::Everything })
        } else if most(self.endings) {
            Some(Field::Outcome)
        } else if most(self.findings) {
            Some(Field::Findings)
        } else if most(self.complaints) {
            Some(Field::Complaint)
        } else {
            None
        }
    }
}
