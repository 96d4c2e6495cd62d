//! What every reader of a sheet keeps to: how long a cell and how wide a row may be, and what is said
//! of a cell that holds more than words.

use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;

/// A cell is kept up to this many bytes.
pub(crate) const MOST_CELL: usize = 64 * 1024;
/// A row is kept up to this many cells.
pub(crate) const MOST_COLUMNS: usize = 1000;

/// Returns a cell of `text`, cut where it is too long, and notes on `remarks` what is wrong with it.
pub(crate) fn text_cell(text: &str, column: usize, remarks: &mut Vec<String>) -> Cell {
    if text.is_empty() {
        return Cell::Empty;
    }
    let kept = head(text, MOST_CELL);
    if kept.len() < text.len() {
        remarks.push(format!(
            "cell {} cut at 64 kB, it had {} kB",
            column + 1,
            text.len().div_ceil(1024)
        ));
    }
    if may_be_odd(kept.as_bytes()) {
        if kept.contains('\u{fffd}') {
            remarks.push(format!("bytes that are no text in cell {}", column + 1));
        }
        if kept.contains('\0') {
            remarks.push(format!("NUL bytes in cell {}", column + 1));
        }
        if kept.chars().any(is_stray_control) {
            remarks.push(format!("control characters in cell {}", column + 1));
        }
    }
    Cell::Text(kept.to_owned())
}

/// Returns at most the first `most` bytes of `text`, cut between letters.
pub(crate) fn head(text: &str, most: usize) -> &str {
    let mut end = text.len().min(most);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    &text[..end]
}

/// Notes that a row was too wide.
pub(crate) fn too_wide(remarks: &mut Vec<String>) {
    remarks.push(format!("more than {MOST_COLUMNS} cells, the rest left out"));
}

/// Returns a row; remarks by the hundred are cut, one of each says enough.
pub(crate) fn row(number: u64, cells: Vec<Cell>, mut remarks: Vec<String>) -> Row {
    const MOST: usize = 8;
    if MOST < remarks.len() {
        let more = remarks.len() - MOST;
        remarks.truncate(MOST);
        remarks.push(format!("and {more} more of the kind"));
    }
    Row {
        number,
        cells,
        remarks,
    }
}

/// A first, quick look: a control byte, or the first byte of U+FFFD or of a control character past ASCII.
fn may_be_odd(bytes: &[u8]) -> bool {
    bytes
        .iter()
        .any(|b| matches!(b, 0..=8 | 11 | 12 | 14..=31 | 0x7f | 0xc2 | 0xef))
}

fn is_stray_control(c: char) -> bool {
    c.is_control() && !matches!(c, '\0' | '\t' | '\n' | '\r')
}
