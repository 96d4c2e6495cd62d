//! What the reader of separated values promises, shown by fixed examples and by laws.

use proptest::prelude::*;

use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::store::sheet::csv::Rows;
use crate::store::sheet::csv::UNBALANCED;
use crate::store::sheet::csv::count;
use crate::store::sheet::dialect;
use crate::store::sheet::dialect::Dialect;
use crate::store::sheet::encoding;
use crate::store::sheet::rows::MOST_CELL;
use crate::store::sheet::rows::MOST_COLUMNS;

fn with(delimiter: u8, columns: usize) -> Dialect {
    Dialect {
        delimiter,
        quote: b'"',
        from: 0,
        columns,
    }
}

/// Reads as a file would be read.
fn read(text: &str) -> Vec<Row> {
    Rows::new(text, dialect::find(text).dialect).collect()
}

fn texts(rows: &[Row]) -> Vec<Vec<String>> {
    let cells = |row: &Row| row.cells.iter().map(|c| c.text().into_owned()).collect();
    rows.iter().map(cells).collect()
}

/// Reads commas and compares the cells; no remark is expected.
#[track_caller]
fn check(text: &str, expected: &[&[&str]]) {
    let rows: Vec<Row> = Rows::new(text, with(b',', 0)).collect();
    assert_eq!(texts(&rows), expected, "{text:?}");
    assert!(rows.iter().all(|row| row.remarks.is_empty()), "{rows:?}");
    assert_eq!(count(text, with(b',', 0)), rows.len() as u64);
    let numbers: Vec<u64> = rows.iter().map(|row| row.number).collect();
    assert_eq!(numbers, (1..=rows.len() as u64).collect::<Vec<_>>());
}

#[test]
fn the_examples_of_rfc_4180_are_read_as_it_says() {
    // RFC 4180, section 2, points 1 to 7.
    check(
        "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
        &[&["aaa", "bbb", "ccc"], &["zzz", "yyy", "xxx"]],
    );
    check(
        "aaa,bbb,ccc\r\nzzz,yyy,xxx",
        &[&["aaa", "bbb", "ccc"], &["zzz", "yyy", "xxx"]],
    );
    check(
        "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx",
        &[&["aaa", "bbb", "ccc"], &["zzz", "yyy", "xxx"]],
    );
    check(
        "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx",
        &[&["aaa", "b\r\nbb", "ccc"], &["zzz", "yyy", "xxx"]],
    );
    check("\"aaa\",\"b\"\"bb\",\"ccc\"", &[&["aaa", "b\"bb", "ccc"]]);
}

#[test]
fn what_the_rfc_leaves_open_is_read_as_python_reads_it() {
    // Compared with csv.reader of Python 3.11.7 (default dialect, newline="").
    check("a, b ,\n", &[&["a", " b ", ""]]);
    check("5\" screen,ok\n", &[&["5\" screen", "ok"]]);
    check("a, \"b\"\n", &[&["a", " \"b\""]]);
    check("\"\",\"\"\n,\n", &[&["", ""], &["", ""]]);
    check("\"a\"\"\",\"\"\"b\"\n", &[&["a\"", "\"b"]]);
    check("\"a,b\n\nc\",d\n", &[&["a,b\n\nc", "d"]]);
}

#[test]
fn every_line_end_counts_and_blank_lines_are_rows() {
    check("a\nb\r\nc\rd", &[&["a"], &["b"], &["c"], &["d"]]);
    check("a\n\n\r\n\rb\n", &[&["a"], &[], &[], &[], &["b"]]);
    check("\na", &[&[], &["a"]]);
    check("a\r\n\r\nb\r\n", &[&["a"], &[], &["b"]]);
    check("a,b\n,\n  \nc", &[&["a", "b"], &["", ""], &["  "], &["c"]]);
}

#[test]
fn a_sep_line_is_row_1_of_the_file_and_no_row_of_the_sheet() {
    let rows = read("sep=;\r\njob;fix\r\n1;U31\r\n");
    assert_eq!(rows.iter().map(|r| r.number).collect::<Vec<_>>(), [2, 3]);
    assert_eq!(texts(&rows), [["job", "fix"], ["1", "U31"]]);
}

#[test]
fn a_quote_that_nobody_closed_costs_its_own_line_only() {
    let text = "job;found;fix\n1;ok;U31\n2;\"no power;U31\n3;ok;L12\n4;ok;Q3\n";
    let rows = read(text);
    assert_eq!(rows.len(), 5);
    assert_eq!(texts(&rows)[2], ["2", "\"no power", "U31"]);
    assert_eq!(rows[2].remarks, [UNBALANCED]);
    assert_eq!(texts(&rows)[3], ["3", "ok", "L12"]);
    assert!(
        [0, 1, 3, 4]
            .iter()
            .all(|n: &usize| rows[*n].remarks.is_empty())
    );
}

#[test]
fn two_stray_quotes_some_rows_apart_do_not_make_one_cell() {
    // Opened in row 2, and row 4 begins a cell with a quote of its own.
    let rows = read("job;found;fix\n1;\"no power;U31\n2;ok;L12\n3;\"ok\";Q3\n4;ok;Q3\n");
    assert_eq!(rows.len(), 5);
    assert_eq!(rows[1].remarks, [UNBALANCED]);
    assert_eq!(texts(&rows)[3], ["3", "ok", "Q3"]);
    // Opened in row 2, and a quote at the end of a cell in row 4 would close it.
    let rows = read("job;found;fix\n1;\"no power;U31\n2;ok;L12\n3;5\";Q3\n4;ok;Q3\n");
    assert_eq!(rows.len(), 5);
    assert_eq!(rows[1].remarks, [UNBALANCED]);
    assert_eq!(texts(&rows)[3], ["3", "5\"", "Q3"]);
}

#[test]
fn a_quote_inside_a_quoted_cell_that_was_not_doubled_keeps_every_word() {
    let rows = read("job,found,fix\n1,\"19\" rack, no power\",U31\n2,ok,L12\n");
    assert_eq!(rows[1].remarks, [UNBALANCED]);
    assert_eq!(texts(&rows)[1], ["1", "\"19\" rack", " no power\"", "U31"]);
    assert_eq!(rows.len(), 3);
}

#[test]
fn a_quoted_cell_of_more_than_a_hundred_lines_is_a_quote_never_closed() {
    let cell = |breaks: usize| format!("job;fix\n1;\"{}\"\n2;U31\n", "words\n".repeat(breaks));
    assert_eq!(read(&cell(100)).len(), 3);
    let rows = read(&cell(300));
    assert_eq!(rows[1].remarks, [UNBALANCED]);
    assert_eq!(rows.len(), 303);
}

#[test]
fn a_megabyte_in_one_cell_is_cut_and_said() {
    for text in [
        format!("job,found\n1,\"{}\"\n2,ok\n", "no power, ".repeat(100_000)),
        format!("job,found\n1,{}\n2,ok\n", "µ".repeat(500_000)),
    ] {
        let rows = read(&text);
        assert_eq!(rows.len(), 3);
        let Cell::Text(kept) = rows[1].cell(1) else {
            panic!("{:?}", rows[1].remarks)
        };
        assert_eq!(kept.len(), MOST_CELL);
        assert_eq!(rows[1].remarks, ["cell 2 cut at 64 kB, it had 977 kB"]);
        assert!(rows[2].remarks.is_empty());
    }
}

#[test]
fn ten_thousand_columns_are_cut_and_said() {
    let text = format!("job,found\n1{}\n2,ok\n", ",x".repeat(9_999));
    let rows = read(&text);
    assert_eq!(rows[1].cells.len(), MOST_COLUMNS);
    assert_eq!(rows[1].remarks, ["more than 1000 cells, the rest left out"]);
    assert_eq!(texts(&rows)[2], ["2", "ok"]);
}

#[test]
fn a_record_cut_off_in_the_middle_of_a_quoted_cell_spoils_no_later_one() {
    let text = format!(
        "job,found\n1{}\n2,\"ok, really\"\n\u{feff}3,ok\n",
        ",\"x\"".repeat(MOST_COLUMNS + 1)
    );
    let rows = read(&text);
    assert_eq!(rows[1].remarks, ["more than 1000 cells, the rest left out"]);
    assert_eq!(texts(&rows)[2], ["2", "ok, really"]);
    assert_eq!(texts(&rows)[3], ["\u{feff}3", "ok"]);
}

#[test]
fn control_characters_and_nul_bytes_are_kept_and_said() {
    let rows = read("job;found\n1;no\0 power\u{1b}[31m\n2;a\tb\n3;\u{9b}2J\n4;\u{fffd}\n");
    assert_eq!(texts(&rows)[1][1], "no\0 power\u{1b}[31m");
    assert_eq!(
        rows[1].remarks,
        ["NUL bytes in cell 2", "control characters in cell 2"]
    );
    assert!(rows[2].remarks.is_empty());
    assert_eq!(rows[3].remarks, ["control characters in cell 2"]);
    assert_eq!(rows[4].remarks, ["bytes that are no text in cell 2"]);
}

#[test]
fn numbers_dates_and_formulas_are_words_here() {
    let rows = read("job;a;b;c\n1;1e999;2026-02-30;=1+1\n2;-5;@x;+4\n");
    assert_eq!(texts(&rows)[1], ["1", "1e999", "2026-02-30", "=1+1"]);
    assert!(rows.iter().all(|row| row.remarks.is_empty()));
}

#[test]
fn rows_of_different_length_stay_as_they_are() {
    let rows = read("a;b;c\n1\n1;2\n1;2;3;4\n");
    let widths: Vec<usize> = rows.iter().map(|row| row.cells.len()).collect();
    assert_eq!(widths, [3, 1, 2, 4]);
}

#[test]
fn remarks_do_not_pile_up() {
    let rows = read(&format!("a;b;c\n{}\n", "\u{1};".repeat(500)));
    assert_eq!(rows[1].remarks.len(), 9);
    assert_eq!(rows[1].remarks[8], "and 492 more of the kind");
}

/// Cells as the bench writes them, with everything in them that needs a quote.
fn cell() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => "[A-Z][0-9]{1,3}",
        2 => "[a-zäöüµΩ ]{0,12}",
        1 => "[0-9],[0-9]{1,2}",
        1 => "[a-z ,;|\t\"'=+@\r\n-]{0,12}",
        1 => Just(String::new()),
    ]
}

fn written(rows: &[Vec<String>], delimiter: u8) -> String {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

fn coded(text: &str, encoding: u8) -> Vec<u8> {
    let units =
        |order: fn(u16) -> [u8; 2]| text.encode_utf16().flat_map(order).collect::<Vec<u8>>();
    match encoding {
        0 => text.as_bytes().to_vec(),
        1 => [b"\xef\xbb\xbf", text.as_bytes()].concat(),
        2 => [b"\xff\xfe".to_vec(), units(u16::to_le_bytes)].concat(),
        _ => [b"\xfe\xff".to_vec(), units(u16::to_be_bytes)].concat(),
    }
}

proptest! {
    #[test]
    fn what_the_csv_crate_writes_comes_back_equal(
        rows in prop::collection::vec(prop::collection::vec(cell(), 1..6), 1..30),
        delimiter in prop::sample::select(vec![b',', b';', b'\t', b'|']),
        encoding in 0_u8..4,
    ) {
        let text = written(&rows, delimiter);
        let decoded = encoding::decode(coded(&text, encoding)).unwrap();
        prop_assert_eq!(&decoded.text, &text);
        let found: Vec<Row> = Rows::new(&decoded.text, with(delimiter, 0)).collect();
        prop_assert_eq!(texts(&found), rows);
        prop_assert!(found.iter().all(|row| row.remarks.is_empty()));
    }

    #[test]
    fn a_plain_sheet_is_read_without_being_told_how(
        rows in prop::collection::vec(
            prop::collection::vec(prop_oneof!["[A-Z][0-9]{1,3}", "[a-zäöü]{1,9} [a-z]{1,9}"], 4), 3..30),
        delimiter in prop::sample::select(vec![b',', b';', b'\t', b'|']),
        ends in prop::sample::select(vec!["\n", "\r\n", "\r"]),
    ) {
        let text = written(&rows, delimiter).replace('\n', ends);
        prop_assert_eq!(texts(&read(&text)), rows);
    }

    #[test]
    fn any_bytes_are_read_to_the_end_without_losing_a_line(
        bytes in prop_oneof![
            prop::collection::vec(any::<u8>(), 0..600),
            prop::collection::vec(prop::sample::select(b"a1,;|\t\"'\r\n \0\xe4\xc3\xff".to_vec()), 0..600),
        ],
    ) {
        let Ok(decoded) = encoding::decode(bytes) else { return Ok(()) };
        let dialect = dialect::find(&decoded.text).dialect;
        let rows: Vec<Row> = Rows::new(&decoded.text, dialect).collect();
        prop_assert_eq!(count(&decoded.text, dialect), rows.len() as u64);
        prop_assert!(rows.windows(2).all(|two| two[0].number + 1 == two[1].number));
        // Every letter and figure of the text stands in a cell, in its order.
        let words = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
        let kept: String = rows.iter().flat_map(|row| &row.cells).map(|c| words(&c.text())).collect();
        prop_assert_eq!(kept, words(&decoded.text[dialect.from..]));
    }
}
