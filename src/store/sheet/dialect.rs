//! What stands between the cells of a text, what quotes them, and how numbers are written: found by
//! reading the beginning of the file in every way and keeping the one in which rows are alike.
//!
//! Common practice, no source. A first line `sep=;` decides by itself.

use crate::domain::intake::sheet::Row;
use crate::store::sheet::csv::Rows;
use crate::store::sheet::rows::head;

/// How much of a text is looked at.
const SAMPLE: usize = 256 * 1024;
/// How many rows of it.
const SAMPLE_ROWS: usize = 400;
/// What may stand between cells; of two that fit equally well the earlier is taken.
const DELIMITERS: [u8; 4] = [b'\t', b';', b'|', b','];
/// What stands between cells where there is but one column: a byte of no sheet.
const NO_DELIMITER: u8 = 0x1f;

/// How a text is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Dialect {
    /// Stands between cells.
    pub(crate) delimiter: u8,
    /// Stands around a cell.
    pub(crate) quote: u8,
    /// Where the rows begin: behind a `sep=` line, which is row 1.
    pub(crate) from: usize,
    /// How many cells most rows have; 0 where it is not known.
    pub(crate) columns: usize,
}

impl Dialect {
    /// Returns what a person is told of it.
    pub(crate) fn told(self) -> Vec<String> {
        let mut told = vec![match self.delimiter {
            b',' => "commas between cells".to_owned(),
            b';' => "semicolons between cells".to_owned(),
            b'\t' => "tabs between cells".to_owned(),
            b'|' => "bars between cells".to_owned(),
            NO_DELIMITER => "one column".to_owned(),
            other => format!("{} between cells", char::from(other)),
        }];
        if self.quote == b'\'' {
            told.push("single quotes around cells".to_owned());
        }
        if self.from != 0 {
            told.push("the first line says what stands between cells and is no row".to_owned());
        }
        told
    }
}

/// What the beginning of a text shows.
#[derive(Debug)]
pub(crate) struct Found {
    /// How it is written.
    pub(crate) dialect: Dialect,
    /// How numbers are written, where there are any.
    pub(crate) decimal: Option<&'static str>,
}

/// Finds how `text` is written.
pub(crate) fn find(text: &str) -> Found {
    let (said, from) = said_by_first_line(text);
    let sample = sample(text);
    let said_one = said.map(|b| [b]);
    let candidates = said_one.as_ref().map_or(&DELIMITERS[..], |one| &one[..]);
    let best = |quote| best(sample, from, quote, candidates, said.is_some());
    let (mut dialect, mut rows) = best(b'"');
    if is_single_quoted(&rows) {
        (dialect, rows) = best(b'\'');
    }
    Found {
        dialect,
        decimal: decimal(&rows),
    }
}

/// Returns the beginning of `text`, cut at a line end.
fn sample(text: &str) -> &str {
    let head = head(text, SAMPLE);
    if head.len() == text.len() {
        return head;
    }
    head.rfind(['\n', '\r']).map_or(head, |end| &head[..end])
}

/// Reads a first line `sep=;` and returns what it says and where the next line begins.
fn said_by_first_line(text: &str) -> (Option<u8>, usize) {
    let end = text.find(['\n', '\r']).unwrap_or(text.len());
    let line = text[..end].trim_matches('"');
    let said = line
        .as_bytes()
        .get(..4)
        .filter(|b| b.eq_ignore_ascii_case(b"sep="));
    let one = line.as_bytes().get(4).copied().filter(|b| {
        line.len() == 5 && (*b == b'\t' || b.is_ascii_punctuation()) && !matches!(b, b'"' | b'\'')
    });
    match (said, one) {
        (Some(_), Some(delimiter)) => {
            let rest = &text.as_bytes()[end..];
            let breaks = if rest.starts_with(b"\r\n") {
                2
            } else {
                rest.len().min(1)
            };
            (Some(delimiter), end + breaks)
        }
        _ => (None, 0),
    }
}

/// Reads the sample with each delimiter and returns the way in which its rows are most alike.
fn best(
    sample: &str,
    from: usize,
    quote: u8,
    candidates: &[u8],
    said: bool,
) -> (Dialect, Vec<Row>) {
    let read = |delimiter| {
        let dialect = Dialect {
            delimiter,
            quote,
            from,
            columns: 0,
        };
        let rows = Rows::new(sample, dialect).take(SAMPLE_ROWS);
        let rows: Vec<Row> = rows.filter(|row| !row.is_blank()).collect();
        (dialect, rows)
    };
    let mut found = None;
    let mut most = 0.0;
    for delimiter in candidates {
        let (dialect, rows) = read(*delimiter);
        let (columns, score) = alike(&rows, *delimiter);
        if said || most < score {
            most = score;
            found = Some((Dialect { columns, ..dialect }, rows));
        }
    }
    found.unwrap_or_else(|| read(NO_DELIMITER))
}

/// Returns how many cells most rows have, and how well that many speaks for the delimiter; 0 is not at all.
fn alike(rows: &[Row], delimiter: u8) -> (usize, f64) {
    let several = |row: &&Row| 2 <= row.cells.len();
    let mut widths: Vec<usize> = rows.iter().filter(several).map(|r| r.cells.len()).collect();
    widths.sort_unstable();
    let (mut columns, mut most) = (0, 0);
    for same in widths.chunk_by(|a, b| a == b) {
        if most <= same.len() {
            (columns, most) = (same[0], same.len());
        }
    }
    if most == 0 {
        return (0, 0.0);
    }
    let share = ratio(most, rows.len());
    let cut = ratio(widths.len(), rows.len());
    // A first row that it does not cut is a title, or the delimiter is a mark of the sentence.
    let heads = rows.first().is_some_and(|row| 2 <= row.cells.len());
    let wide = columns.min(5);
    let mut score = (share + cut / 4.0) * (1.0 + ratio(wide, 20));
    let decimals = delimiter == b',' && are_decimals(rows);
    if !heads && (cut < 0.6 || decimals || is_prose(rows)) {
        return (columns, 0.0);
    }
    if !heads || decimals {
        score /= 2.0;
    }
    (columns, score)
}

/// Tells whether nearly every comma that cuts stands between two digits.
fn are_decimals(rows: &[Row]) -> bool {
    let (mut between, mut cuts) = (0, 0);
    for row in rows {
        let cells: Vec<_> = row.cells.iter().map(|cell| cell.text()).collect();
        for pair in cells.windows(2) {
            cuts += 1;
            let before = pair[0].ends_with(|c: char| c.is_ascii_digit());
            let behind = pair[1].starts_with(|c: char| c.is_ascii_digit());
            between += usize::from(before && behind);
        }
    }
    cuts * 8 <= between * 10
}

/// Tells whether most cells behind the first of a row begin with a blank, as after the mark of a sentence.
fn is_prose(rows: &[Row]) -> bool {
    let behind = || rows.iter().flat_map(|row| row.cells.iter().skip(1));
    let blanks = behind().filter(|cell| cell.text().starts_with(' ')).count();
    behind().count() * 8 <= blanks * 10
}

fn ratio(part: usize, whole: usize) -> f64 {
    crate::domain::units::count(part) / crate::domain::units::count(whole.max(1))
}

/// Tells whether at least half of the cells with words begin with a single quote and end with one.
fn is_single_quoted(rows: &[Row]) -> bool {
    let (mut words, mut open, mut close) = (0, 0, 0);
    for cell in rows.iter().flat_map(|row| &row.cells) {
        let text = cell.text();
        if text.contains(char::is_alphabetic) {
            words += 1;
            open += usize::from(text.starts_with('\''));
            close += usize::from(text.ends_with('\''));
        }
    }
    2 <= words && words <= 2 * open && words <= 2 * close
}

/// Counts numbers with a comma and with a point before their fraction.
fn decimal(rows: &[Row]) -> Option<&'static str> {
    let (mut commas, mut points) = (0_usize, 0_usize);
    for cell in rows.iter().flat_map(|row| &row.cells) {
        let text = cell.text();
        let bytes = text.as_bytes();
        for (at, sign) in bytes
            .iter()
            .enumerate()
            .filter(|(_, b)| matches!(b, b',' | b'.'))
        {
            if is_fraction(bytes, at) {
                *(if *sign == b',' {
                    &mut commas
                } else {
                    &mut points
                }) += 1;
            }
        }
    }
    match (commas, points) {
        (0, 0) => None,
        (c, p) if c <= 4 * p && p <= 4 * c => Some("decimal commas and decimal points, both"),
        (c, p) if p < c => Some("decimal comma"),
        _ => Some("decimal point"),
    }
}

/// Tells whether the sign at `at` stands before the fraction of a number: digits on both sides, no date,
/// no designator (`C12,13`), no thousands (`1,234`).
fn is_fraction(bytes: &[u8], at: usize) -> bool {
    let digits =
        |found: &mut dyn Iterator<Item = &u8>| found.take_while(|b| b.is_ascii_digit()).count();
    let before = digits(&mut bytes[..at].iter().rev());
    let behind = digits(&mut bytes[at + 1..].iter());
    let ahead = at.checked_sub(before + 1).map(|n| bytes[n]);
    let after = bytes.get(at + 1 + behind);
    let joined = |b: u8| b.is_ascii_alphabetic() || matches!(b, b'_' | b'.' | b',');
    let thousands = behind == 3 && &bytes[at - before..at] != b"0";
    before != 0
        && behind != 0
        && !thousands
        && !ahead.is_some_and(joined)
        && !after.is_some_and(|b| matches!(b, b'.' | b','))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, delimiter: u8, columns: usize) {
        let found = find(text).dialect;
        let shown = (char::from(found.delimiter), found.columns);
        assert_eq!(shown, (char::from(delimiter), columns), "{text}");
    }

    #[test]
    fn the_delimiter_is_the_one_that_makes_rows_alike() {
        check("job,board,fix\nW-1,petrel,U31\nW-2,petrel,L12\n", b',', 3);
        check("job;board;fix\nW-1;petrel;U31\n", b';', 3);
        check("job\tboard\tfix\nW-1\tpetrel\tU31, L12; both\n", b'\t', 3);
        check("job|board|fix\nW-1|petrel|U31, then L12\n", b'|', 3);
        check("job;fix", b';', 2);
    }

    #[test]
    fn commas_in_words_and_numbers_cut_nothing() {
        check(
            "Auftrag;Befund\n1;kein Strom, Rost, U31\n2;3V3 0,41, 5V 5,02\n3;ok, ok, ok\n",
            b';',
            2,
        );
        check("Strom;Spannung\n0,41;3,31\n0,42;3,30\n0,40;3,29\n", b';', 2);
        check(
            "what was done\nno power, reflow L12, no help\nreplaced U31, ok\nfan, noisy\nhub\n",
            NO_DELIMITER,
            0,
        );
        check("U\n0,41\n3,31\n12,02\n", NO_DELIMITER, 0);
    }

    #[test]
    fn a_title_and_ragged_rows_do_not_hide_it() {
        check(
            "Repairs 2019, bay 1\n\njob;board;fix\nW-1;petrel;U31\nW-2;petrel\nW-3;petrel;L12;held\nW-4;tern;Q3\n",
            b';',
            3,
        );
        check(
            "job,notes\n1,\"a; b; c\"\n2,\"d; e; f\"\n3,\"g\"\n",
            b',',
            2,
        );
    }

    #[test]
    fn a_first_line_may_say_it() {
        let found = find("SEP=^\r\njob^fix\r\n1^a;b\r\n").dialect;
        assert_eq!((found.delimiter, found.from, found.columns), (b'^', 7, 2));
        assert_eq!(find("\"sep=,\"\na;b\nc;d\n").dialect.delimiter, b',');
        assert_eq!(find("sep=;").dialect.from, 5);
        assert_eq!(find("sep=a\n1;2\n").dialect.from, 0);
    }

    #[test]
    fn single_quotes_are_found_where_they_stand_around_most_words() {
        let found = find("'job';'fix'\n'W-1';'U31; then L12'\n'W-2';'Q3'\n").dialect;
        assert_eq!(
            (found.quote, found.delimiter, found.columns),
            (b'\'', b';', 2)
        );
        assert_eq!(find("job;fix\n1;'til it held\n2;U31\n").dialect.quote, b'"');
    }

    #[test]
    fn how_numbers_are_written_is_told() {
        let told = |text| find(text).decimal;
        assert_eq!(told("a;b\n0,41;3,31\n"), Some("decimal comma"));
        assert_eq!(told("a;b\n0.41 V;3.31V\n"), Some("decimal point"));
        assert_eq!(
            told("a;b\n0.41;3,31\n"),
            Some("decimal commas and decimal points, both")
        );
        assert_eq!(told("a;b\n14.03.2026;C12,13\n1,234;2026-03-14\n"), None);
    }
}
