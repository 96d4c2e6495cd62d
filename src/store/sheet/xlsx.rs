//! An Office Open XML workbook (ISO/IEC 29500-1) read with the `calamine` crate, cell by cell.
//!
//! The guard has looked the file through before. Formulas count as the value kept beside them; comments,
//! pictures and charts are left out.

use std::io::Cursor;
use std::panic::AssertUnwindSafe;
use std::panic::catch_unwind;

use calamine::DataRef;
use calamine::ExcelDateTime;
use calamine::Reader as _;
use calamine::SheetType;
use calamine::SheetVisible;
use calamine::Xlsx;
use calamine::XlsxError;
use chrono::NaiveDate;

use crate::store::sheet::cells::Budget;
use crate::store::sheet::cells::Cells;
use crate::store::sheet::cells::Merged;
use crate::store::sheet::cells::Value;
use crate::store::sheet::error::Misread;
use crate::store::sheet::error::SheetProblem;
use crate::store::sheet::guard::broken;
use crate::store::sheet::workbook::Worksheet;

/// Days before 1 January 1901 are no days of repair: such a number was typed as a number.
const FIRST_YEAR: u16 = 1901;

/// Reads every worksheet; `told` gets what a person should know.
pub(crate) fn read(
    bytes: &[u8],
    merges: bool,
    told: &mut Vec<String>,
) -> Result<Vec<Worksheet>, Misread> {
    // The guard refuses what it knows; should the reader stumble over what it doesn't, that is damage in
    // the file, and the program goes on.
    let read = catch_unwind(AssertUnwindSafe(|| worksheets(bytes, merges, told)));
    read.unwrap_or_else(|_panic| Err(broken("its parts do not fit together").into()))
}

fn worksheets(
    bytes: &[u8],
    merges: bool,
    told: &mut Vec<String>,
) -> Result<Vec<Worksheet>, Misread> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(problem)?;
    let mut budget = Budget::new();
    let mut found = Vec::new();
    for sheet in book.sheets_metadata().to_vec() {
        if sheet.typ != SheetType::WorkSheet {
            told.push(format!(
                "{} is no worksheet and is left out",
                crate::domain::text::clean(&sheet.name)
            ));
            continue;
        }
        let cells =
            cells(&mut book, &sheet.name, merges, &mut budget).map_err(|(row, why)| Misread {
                sheet: Some(crate::store::sheet::workbook::sheet_name(&sheet.name)),
                row,
                why,
            })?;
        found.push(Worksheet {
            name: sheet.name,
            hidden: sheet.visible != SheetVisible::Visible,
            cells,
        });
    }
    if book.has_1904_epoch() {
        told.push("days counted from 1904".to_owned());
    }
    Ok(found)
}

type AtRow = (Option<u64>, SheetProblem);

fn cells(
    book: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    merges: bool,
    budget: &mut Budget,
) -> Result<Cells, AtRow> {
    let mut cells = Cells::default();
    let mut reader = match book.worksheet_cells_reader(name) {
        // A part that is another kind of sheet after all.
        Err(XlsxError::NotAWorksheet(_)) => return Ok(cells),
        reader => reader.map_err(|error| (None, problem(error)))?,
    };
    let mut at = None;
    loop {
        let cell = match reader.next_cell() {
            Ok(Some(cell)) => cell,
            Ok(None) => break,
            Err(error) => return Err((at, problem(error))),
        };
        let (row, column) = cell.get_position();
        at = Some(u64::from(row) + 1);
        let text: String;
        let value = match cell.get_value() {
            DataRef::Empty => continue,
            DataRef::SharedString(words) => Value::Text(words),
            DataRef::String(words) | DataRef::DurationIso(words) => Value::Text(words),
            DataRef::Float(number) => Value::Number(*number),
            DataRef::Int(number) => Value::Number(whole(*number)),
            DataRef::Bool(yes) => Value::Text(if *yes { "TRUE" } else { "FALSE" }),
            DataRef::DateTimeIso(words) => day_of(words).map_or(Value::Text(words), Value::Date),
            DataRef::DateTime(when) => match day(when) {
                When::Day(day) => Value::Date(day),
                When::Number(number) => Value::Number(number),
                When::Time(words) => {
                    text = words;
                    Value::Text(&text)
                }
            },
            DataRef::Error(error) => {
                text = error.to_string();
                Value::Text(&text)
            }
        };
        cells
            .put(row, column, value, budget)
            .map_err(|why| (at, why))?;
    }
    drop(reader);
    if merges {
        let ranges = book
            .merge_cells_by_sheet_name(name)
            .map_err(|e| (None, problem(e)))?;
        for range in ranges {
            let (from, to) = (range.start, range.end);
            cells
                .merge(Merged { from, to })
                .map_err(|why| (None, why))?;
        }
    }
    cells.finish();
    Ok(cells)
}

enum When {
    Day(NaiveDate),
    Number(f64),
    /// A time of day or a duration, as a person reads it.
    Time(String),
}

/// Returns what a number shown as day or time is.
fn day(when: &ExcelDateTime) -> When {
    let serial = when.as_f64();
    if !(0.0..2_958_466.0).contains(&serial) {
        return When::Number(serial);
    }
    let (year, month, day, hour, minute, second, _) = when.to_ymd_hms_milli();
    if when.is_duration() || (0.0 < serial && serial < 1.0) {
        let hours = u64::from(hour)
            + if when.is_duration() {
                24 * whole_days(serial)
            } else {
                0
            };
        return When::Time(match second {
            0 => format!("{hours}:{minute:02}"),
            _ => format!("{hours}:{minute:02}:{second:02}"),
        });
    }
    let date = NaiveDate::from_ymd_opt(i32::from(year), u32::from(month), u32::from(day));
    match date {
        Some(date) if FIRST_YEAR <= year => When::Day(date),
        _ => When::Number(serial),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and 2,958,466"
)]
fn whole_days(serial: f64) -> u64 {
    serial as u64
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a sheet keeps every number as f64"
)]
fn whole(number: i64) -> f64 {
    number as f64
}

/// Returns the day at the beginning of an ISO 8601 date and time.
pub(crate) fn day_of(words: &str) -> Option<NaiveDate> {
    let (day, rest) = words.split_at_checked(10)?;
    let day = NaiveDate::parse_from_str(day, "%Y-%m-%d").ok()?;
    (rest.is_empty() || rest.starts_with('T')).then_some(day)
}

fn problem(error: XlsxError) -> SheetProblem {
    match error {
        XlsxError::Password => SheetProblem::Locked,
        error => broken(error),
    }
}
