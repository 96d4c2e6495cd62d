//! A text of separated values, cut into rows as they are asked for.
//!
//! Where a record ends is decided here, so that blank lines are counted and a quote that nobody closed
//! swallows nothing; the cells of a record are cut by the `csv-core` crate. Line ends are `\n`, `\r\n` and
//! a lone `\r`, in any mixture. Source: RFC 4180, section 2; what it leaves open is common practice, no source.

use csv_core::ReadRecordResult;
use csv_core::Reader;
use csv_core::ReaderBuilder;
use memchr::memchr;
use memchr::memchr2;
use memchr::memchr2_iter;
use memchr::memchr3;

use crate::domain::intake::sheet::Row;
use crate::store::sheet::dialect::Dialect;
use crate::store::sheet::rows::MOST_COLUMNS;
use crate::store::sheet::rows::row;
use crate::store::sheet::rows::text_cell;
use crate::store::sheet::rows::too_wide;

/// A quoted cell may hold this many line breaks; more is a quote that was never closed.
const MOST_BREAKS: usize = 100;
/// A quoted cell with line breaks may hold this many bytes.
const MOST_QUOTED: usize = 4 << 20;

/// What is said of a row whose quotes do not match.
pub(crate) const UNBALANCED: &str =
    "unbalanced quote: this line was read as if quotes meant nothing";

/// A record as it stands in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Piece {
    /// Where it ends, its line end left out.
    end: usize,
    /// Where the next one begins.
    next: usize,
    /// Its quotes do not match: it is one line, and quotes in it mean nothing.
    torn: bool,
}

/// The rows of a text, one at a time.
pub(crate) struct Rows<'a> {
    text: &'a str,
    at: usize,
    number: u64,
    dialect: Dialect,
    quoted: Reader,
    plain: Reader,
    cut: Vec<u8>,
    ends: Vec<usize>,
}

impl<'a> Rows<'a> {
    /// Returns the rows of `text`, which is all of the file; rows before `dialect.from` are passed over.
    pub(crate) fn new(text: &'a str, dialect: Dialect) -> Self {
        let reader = |quoting| {
            let mut reader = ReaderBuilder::new()
                .delimiter(dialect.delimiter)
                .quote(dialect.quote)
                .quoting(quoting)
                .build();
            begin(&mut reader);
            reader
        };
        Self {
            text,
            at: dialect.from,
            number: u64::from(dialect.from != 0),
            dialect,
            quoted: reader(true),
            plain: reader(false),
            cut: Vec::new(),
            ends: Vec::new(),
        }
    }

    fn cells(&mut self, record: &str, torn: bool) -> Row {
        let mut remarks = Vec::new();
        if torn {
            remarks.push(UNBALANCED.to_owned());
        }
        let reader = if torn {
            &mut self.plain
        } else {
            &mut self.quoted
        };
        let n_cells = cut(reader, record.as_bytes(), &mut self.cut, &mut self.ends);
        let mut cells = Vec::with_capacity(n_cells.min(MOST_COLUMNS));
        let mut from = 0;
        for (column, end) in self.ends[..n_cells.min(MOST_COLUMNS)].iter().enumerate() {
            // Delimiter and quote are ASCII, so a cut never falls inside a letter.
            let cell = std::str::from_utf8(&self.cut[from..*end]).expect("cut between letters");
            cells.push(text_cell(cell, column, &mut remarks));
            from = *end;
        }
        if MOST_COLUMNS < n_cells {
            too_wide(&mut remarks);
        }
        row(self.number, cells, remarks)
    }
}

impl Iterator for Rows<'_> {
    type Item = Row;

    fn next(&mut self) -> Option<Row> {
        let text = self.text;
        if text.len() <= self.at {
            return None;
        }
        let piece = piece(text.as_bytes(), self.at, self.dialect);
        let record = &text[self.at..piece.end];
        self.at = piece.next;
        self.number += 1;
        Some(self.cells(record, piece.torn))
    }
}

/// Returns how many rows [`Rows`] will give.
pub(crate) fn count(text: &str, dialect: Dialect) -> u64 {
    let mut at = dialect.from;
    let mut rows = 0;
    while at < text.len() {
        at = piece(text.as_bytes(), at, dialect).next;
        rows += 1;
    }
    rows
}

/// Makes a reader ready for a record. It would take a byte order mark off the first that it sees, and that
/// has been done.
fn begin(reader: &mut Reader) {
    reader.reset();
    reader.read_record(b"\n", &mut [0], &mut [0]);
}

/// Cuts one record into cells and returns how many there are; an empty record has none. Of a record with
/// more than a sheet may have, one cell more is counted and the rest is passed over.
fn cut(reader: &mut Reader, record: &[u8], cells: &mut Vec<u8>, ends: &mut Vec<usize>) -> usize {
    if record.is_empty() {
        return 0;
    }
    // Cells are never longer than the record.
    if cells.len() < record.len() {
        cells.resize(record.len(), 0);
    }
    ends.resize(MOST_COLUMNS + 2, 0);
    let (how, _, written, n_ends) = reader.read_record(record, cells, ends);
    if matches!(how, ReadRecordResult::OutputEndsFull) || ends.len() <= n_ends {
        begin(reader);
        return n_ends;
    }
    // Nothing more comes: this ends the record.
    let (_, _, _, last) = reader.read_record(&[], &mut cells[written..], &mut ends[n_ends..]);
    n_ends + last
}

/// Returns the record that begins at `from`.
fn piece(text: &[u8], from: usize, dialect: Dialect) -> Piece {
    let line = line(text, from);
    if memchr(dialect.quote, &text[from..line.end]).is_none() {
        return line;
    }
    match quoted_piece(text, from, line, dialect) {
        Some(piece) => piece,
        None => Piece { torn: true, ..line },
    }
}

/// Returns the record at `from` with its quotes understood; none if they do not match.
fn quoted_piece(text: &[u8], from: usize, first: Piece, dialect: Dialect) -> Option<Piece> {
    let mut at = from;
    loop {
        if text.get(at) == Some(&dialect.quote) {
            at = after_quoted(text, at, first.end, dialect.quote)?;
            match text.get(at) {
                Some(b) if *b == dialect.delimiter => at += 1,
                None | Some(b'\n' | b'\r') => break,
                // A closing quote with more words behind it closes nothing.
                Some(_) => return None,
            }
        } else {
            let rest = &text[at..];
            match memchr3(dialect.delimiter, b'\n', b'\r', rest) {
                Some(n) if rest[n] == dialect.delimiter => at += n + 1,
                Some(n) => {
                    at += n;
                    break;
                }
                None => {
                    at = text.len();
                    break;
                }
            }
        }
    }
    let piece = line(text, at);
    (piece.end <= first.end || !is_rows_swallowed(&text[from..piece.end], dialect)).then_some(piece)
}

/// Returns the place behind the closing quote of the cell that opens at `open`.
fn after_quoted(text: &[u8], open: usize, line_end: usize, quote: u8) -> Option<usize> {
    let limit = text.len().min(line_end.max(open + MOST_QUOTED));
    let mut at = open + 1;
    loop {
        at += memchr(quote, text.get(at..limit)?)?;
        if text.get(at + 1) != Some(&quote) {
            break;
        }
        at += 2;
    }
    let breaks = memchr2_iter(b'\n', b'\r', &text[line_end.min(at)..at]).take(2 * MOST_BREAKS + 1);
    (breaks.count() <= 2 * MOST_BREAKS).then_some(at + 1)
}

/// Tells whether every line of what looks like one record is a whole row by itself: two stray quotes
/// some rows apart look like one cell.
fn is_rows_swallowed(record: &[u8], dialect: Dialect) -> bool {
    let Some(delimiters) = dialect.columns.checked_sub(1).filter(|n| 2 <= *n) else {
        return false;
    };
    let mut at = 0;
    while at < record.len() {
        let line = line(record, at);
        let found = memchr::memchr_iter(dialect.delimiter, &record[at..line.end]);
        if found.count() != delimiters {
            return false;
        }
        at = line.next;
    }
    true
}

/// Returns the line that goes on at `from`.
fn line(text: &[u8], from: usize) -> Piece {
    let end = memchr2(b'\n', b'\r', &text[from..]).map_or(text.len(), |n| from + n);
    let next = match &text[end..] {
        [b'\r', b'\n', ..] => end + 2,
        [] => end,
        _ => end + 1,
    };
    Piece {
        end,
        next,
        torn: false,
    }
}
