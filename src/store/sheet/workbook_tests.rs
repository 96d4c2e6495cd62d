//! What the readers of workbooks promise, shown on workbooks made here, on such that another crate
//! writes, and on hostile ones.

use chrono::NaiveDate;
use proptest::prelude::*;
use rust_xlsxwriter::ExcelDateTime;
use rust_xlsxwriter::Format;
use rust_xlsxwriter::Workbook as Written;

use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::store::sheet::error::Misread;
use crate::store::sheet::error::SheetProblem;
use crate::store::sheet::sample::ods;
use crate::store::sheet::sample::packed;
use crate::store::sheet::sample::sheet_xml;
use crate::store::sheet::sample::xlsx;
use crate::store::sheet::workbook::Workbook;
use crate::store::sheet::workbook::read;

fn rows(book: &Workbook, sheet: usize) -> Vec<Row> {
    let rows: Vec<Row> = book.sheets[sheet].cells.rows().collect();
    assert_eq!(rows.len() as u64, book.sheets[sheet].cells.count());
    rows
}

fn texts(rows: &[Row]) -> Vec<Vec<String>> {
    let cells = |row: &Row| row.cells.iter().map(|c| c.text().into_owned()).collect();
    rows.iter().map(cells).collect()
}

#[track_caller]
fn refused(bytes: &[u8]) -> String {
    match read(bytes) {
        Err(Misread { why, .. }) => why.to_string(),
        Ok(book) => panic!("read: {:?}", book.told),
    }
}

fn day(year: i32, month: u32, day: u32) -> Cell {
    Cell::Date(NaiveDate::from_ymd_opt(year, month, day).unwrap())
}

fn text(words: &str) -> Cell {
    Cell::Text(words.to_owned())
}

#[test]
fn what_another_crate_writes_is_read_as_it_was_meant() {
    // The writer: rust_xlsxwriter, which compares its output with files saved by the office program.
    let mut written = Written::new();
    let bay = written.add_worksheet().set_name("Bay 1").unwrap();
    let shown = |format: &str| Format::new().set_num_format(format);
    let when = ExcelDateTime::from_ymd(2026, 3, 14).unwrap();
    let clock = ExcelDateTime::from_hms(0, 45, 0).unwrap();
    let at = ExcelDateTime::from_ymd(2026, 3, 14)
        .unwrap()
        .and_hms(14, 30, 0)
        .unwrap();
    for (column, head) in ["job", "closed", "volts", "took", "done", "ok"]
        .into_iter()
        .enumerate()
    {
        bay.write(0, u16::try_from(column).unwrap(), head).unwrap();
    }
    bay.write(1, 0, "W-0412 µ Ω <&> \"x\"").unwrap();
    bay.write_with_format(1, 1, &when, &shown("dd.mm.yyyy"))
        .unwrap();
    bay.write(1, 2, 0.41).unwrap();
    bay.write_with_format(1, 3, &clock, &shown("h:mm")).unwrap();
    bay.write_with_format(1, 4, &at, &shown("yyyy-mm-dd hh:mm"))
        .unwrap();
    bay.write(1, 5, true).unwrap();
    bay.write_with_format(3, 1, 4.7, &shown("dd.mm.yyyy"))
        .unwrap();
    bay.write_with_format(3, 3, 1.5, &shown("[h]:mm")).unwrap();
    bay.write_formula(3, 4, rust_xlsxwriter::Formula::new("=1+1").set_result("2"))
        .unwrap();
    written
        .add_worksheet()
        .set_name("Old")
        .unwrap()
        .set_hidden(true)
        .write(0, 0, "x")
        .unwrap();
    let book = read(&written.save_to_buffer().unwrap()).unwrap();
    assert_eq!(
        book.told,
        [
            "XLSX workbook, 2 worksheets",
            "worksheet Old is hidden, and is read like the others"
        ]
    );
    let rows = rows(&book, 0);
    assert_eq!(
        rows.iter().map(|row| row.number).collect::<Vec<_>>(),
        [1, 2, 3, 4]
    );
    assert_eq!(
        texts(&rows)[0],
        ["job", "closed", "volts", "took", "done", "ok"]
    );
    assert_eq!(
        rows[1].cells,
        [
            text("W-0412 µ Ω <&> \"x\""),
            day(2026, 3, 14),
            Cell::Number(0.41),
            text("0:45"),
            day(2026, 3, 14),
            text("TRUE"),
        ]
    );
    assert!(rows[2].is_blank());
    assert_eq!(
        rows[3].cells,
        [
            Cell::Empty,
            Cell::Number(4.7),
            Cell::Empty,
            text("36:00"),
            Cell::Number(2.0)
        ]
    );
    assert_eq!(texts(&self::rows(&book, 1)), [["x"]]);
}

/// A table of formats in which format 1 shows a day.
const STYLES: &[u8] = br#"<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs></styleSheet>"#;

#[test]
fn days_count_from_1900_or_from_1904_as_the_workbook_says() {
    // ISO/IEC 29500-1, 18.17.4.1: serial 1 is 1 January 1900, and in the 1904 system serial 0 is 1 January
    // 1904; so 2026-03-14 is 46095 or 44633. Checked with datetime.date of Python: (date - 1899-12-30).days.
    let sheet = |serial: u32| {
        sheet_xml(
            &format!(r#"<row r="1"><c r="A1" s="1"><v>{serial}</v></c></row>"#),
            "",
        )
    };
    let book = read(&xlsx(&sheet(46095), &[("xl/styles.xml", STYLES)])).unwrap();
    assert_eq!(rows(&book, 0)[0].cells, [day(2026, 3, 14)]);
    let later = r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><workbookPr date1904="1"/><sheets><sheet name="Bay 1" sheetId="1" r:id="rId1"/></sheets></workbook>"#;
    let parts = [
        ("xl/styles.xml", STYLES),
        ("xl/workbook.xml", later.as_bytes()),
    ];
    let book = read(&xlsx(&sheet(44633), &parts)).unwrap();
    assert_eq!(rows(&book, 0)[0].cells, [day(2026, 3, 14)]);
    assert_eq!(book.told[1], "days counted from 1904");
}

#[test]
fn merged_cells_are_filled_down_and_right_in_rows_that_hold_something() {
    let cell =
        |at: &str, words: &str| format!(r#"<c r="{at}" t="inlineStr"><is><t>{words}</t></is></c>"#);
    let data = format!(
        "<row r=\"1\">{}</row><row r=\"2\">{}{}</row><row r=\"3\">{}</row><row r=\"5\">{}</row>",
        cell("A1", "Repairs"),
        cell("A2", "W-1"),
        cell("B2", "no power"),
        cell("B3", "U31"),
        cell("B5", "held")
    );
    let merged = r#"<mergeCells count="3"><mergeCell ref="A1:C1"/><mergeCell ref="A2:A5"/><mergeCell ref="D9:XFD1048576"/></mergeCells>"#;
    let book = read(&xlsx(&sheet_xml(&data, merged), &[])).unwrap();
    assert_eq!(
        texts(&rows(&book, 0)),
        [
            vec!["Repairs", "Repairs", "Repairs"],
            vec!["W-1", "no power"],
            vec!["W-1", "U31"],
            vec![],
            vec!["W-1", "held"],
        ]
    );
    assert_eq!(book.told[1], "worksheet Bay 1: merged cells are filled in");
}

#[test]
fn a_cell_in_the_last_corner_takes_no_room_and_the_gap_is_said() {
    let data = r#"<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="A1048576"><v>2</v></c><c r="XFD1048576"><v>3</v></c></row>"#;
    let sheet = sheet_xml(data, "").replace(
        "<sheetData>",
        r#"<dimension ref="A1:XFD1048576"/><sheetData>"#,
    );
    let book = read(&xlsx(&sheet, &[])).unwrap();
    let rows = rows(&book, 0);
    assert_eq!(
        rows.iter().map(|row| row.number).collect::<Vec<_>>(),
        [1, 1_048_576]
    );
    assert_eq!(rows[1].cells, [Cell::Number(2.0)]);
    assert_eq!(rows[1].remarks, ["more than 1000 cells, the rest left out"]);
    assert_eq!(
        book.told[1],
        "worksheet Bay 1: rows 2 to 1048575 are empty and passed over"
    );
}

#[test]
fn odd_cells_are_said_not_guessed() {
    let long = "no power, ".repeat(100_000);
    let data = format!(
        r#"<row r="1"><c r="A1"><v>1e999</v></c><c r="B1" t="e"><v>#N/A</v></c><c r="C1" t="inlineStr"><is><t>a_x001B_[31m</t></is></c><c r="D1" t="inlineStr"><is><t>{long}</t></is></c></row>"#
    );
    let book = read(&xlsx(&sheet_xml(&data, ""), &[])).unwrap();
    let row = &rows(&book, 0)[0];
    assert_eq!(
        row.cells[..3],
        [text("inf"), text("#N/A"), text("a\u{1b}[31m")]
    );
    assert_eq!(row.cell(3).text().len(), 64 * 1024);
    assert_eq!(
        row.remarks,
        [
            "a number too large to be one in cell 1",
            "control characters in cell 3",
            "cell 4 cut at 64 kB",
        ]
    );
}

#[test]
fn rows_and_cells_out_of_order_are_put_in_order() {
    let data = r#"<row r="3"><c r="B3"><v>6</v></c><c r="A3"><v>5</v></c></row><row r="1"><c r="A1"><v>1</v></c></row><row r="3"><c r="A3"><v>7</v></c></row>"#;
    let book = read(&xlsx(&sheet_xml(data, ""), &[])).unwrap();
    assert_eq!(texts(&rows(&book, 0)), [vec!["1"], vec![], vec!["7", "6"]]);
}

#[test]
fn names_of_worksheets_are_fit_for_a_terminal_and_all_different() {
    let names = ["a\u{9b}2J", "a\u{9c}2J", "b"];
    let table = |name: &&str| {
        format!(
            r#"<table:table table:name="{name}"><table:table-row><table:table-cell office:value-type="float" office:value="1"/></table:table-row></table:table>"#
        )
    };
    let tables: Vec<String> = names.iter().map(table).collect();
    let tables = tables.concat();
    let book = read(&ods("", &tables)).unwrap();
    let found: Vec<&str> = book
        .sheets
        .iter()
        .map(|sheet| sheet.name.as_str())
        .collect();
    assert_eq!(found, ["a\u{fffd}2J", "a\u{fffd}2J (2)", "b"]);
}

/// A table as an office program writes it, with everything the reader knows.
const TABLE: &str = r#"<table:table table:name="Bay 1" table:style-name="ta1"><table:table-column table:number-columns-repeated="3"/><table:table-header-rows><table:table-row><table:table-cell office:value-type="string" table:number-columns-spanned="2" table:number-rows-spanned="1"><text:p>job</text:p></table:table-cell><table:covered-table-cell/><table:table-cell office:value-type="string"><text:p>closed</text:p></table:table-cell></table:table-row></table:table-header-rows><table:table-row table:number-rows-repeated="2"><table:table-cell office:value-type="string"><office:annotation><text:p>not this</text:p></office:annotation><text:p>no <text:span>power</text:span>,<text:s text:c="2"/>&lt;3V3&#x3E;</text:p><text:p>U31</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="0.41"><text:p>0,41</text:p></table:table-cell><table:table-cell office:value-type="date" office:date-value="2026-03-14"><text:p>14.03.26</text:p></table:table-cell></table:table-row><table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="16384"/></table:table-row><table:table-row><table:table-cell table:number-columns-repeated="2" office:value-type="boolean" office:boolean-value="true"><text:p>WAHR</text:p></table:table-cell><table:table-cell office:value-type="time" office:time-value="PT00H45M00S"><text:p>00:45</text:p></table:table-cell></table:table-row><table:table-row table:number-rows-repeated="1048569"><table:table-cell table:number-columns-repeated="16384"/></table:table-row></table:table>"#;
const HIDDEN: &str = r#"<style:style style:name="ta1" style:family="table"><style:table-properties table:display="false"/></style:style>"#;

#[test]
fn an_opendocument_sheet_is_read_with_its_repeats_spans_and_comments() {
    let book = read(&ods(HIDDEN, TABLE)).unwrap();
    assert_eq!(
        book.told,
        [
            "ODS workbook, 1 worksheet",
            "worksheet Bay 1 is hidden, and is read like the others",
            "worksheet Bay 1: merged cells are filled in",
        ]
    );
    let rows = rows(&book, 0);
    assert_eq!(texts(&rows[..1]), [["job", "job", "closed"]]);
    for number in [2, 3] {
        assert_eq!(rows[number - 1].number, number as u64);
        assert_eq!(
            rows[number - 1].cells,
            [
                text("no power,  <3V3>\nU31"),
                Cell::Number(0.41),
                day(2026, 3, 14),
            ]
        );
    }
    assert!(rows[3..6].iter().all(Row::is_blank));
    assert_eq!(rows[6].cells, [text("TRUE"), text("TRUE"), text("00:45")]);
    assert_eq!(rows.len(), 7);
}

#[test]
fn the_calamine_crate_reads_the_same_numbers_from_that_opendocument_sheet() {
    use calamine::Reader as _;
    let bytes = ods(HIDDEN, TABLE);
    let mut other = calamine::Ods::new(std::io::Cursor::new(bytes.as_slice())).unwrap();
    let range = other.worksheet_range("Bay 1").unwrap();
    let book = read(&bytes).unwrap();
    let ours = rows(&book, 0);
    assert_eq!(range.height(), ours.len());
    for (row, line) in range.rows().zip(&ours) {
        let found = row.get(1).and_then(calamine::DataType::get_float);
        let own = match line.cell(1) {
            Cell::Number(number) => Some(*number),
            _ => None,
        };
        assert_eq!(found, own, "row {}", line.number);
    }
}

#[test]
fn an_empty_workbook_is_said_to_be_empty() {
    assert_eq!(refused(&xlsx(&sheet_xml("", ""), &[])), "the file is empty");
    assert_eq!(
        refused(&ods("", r#"<table:table table:name="a"/>"#)),
        "the file is empty"
    );
}

#[test]
fn packed_files_of_other_kinds_are_named() {
    assert_eq!(
        refused(&packed(&[("a.txt", b"x")])),
        "it is a packed file (ZIP), not a sheet that is read here"
    );
    assert!(
        refused(&packed(&[
            ("[Content_Types].xml", b"<a/>"),
            ("word/document.xml", b"<a/>")
        ]))
        .contains("without a workbook")
    );
    assert!(
        refused(&packed(&[
            ("[Content_Types].xml", b"<a/>"),
            ("xl/workbook.bin", b"x")
        ]))
        .contains("XLSB")
    );
    assert!(
        refused(&packed(&[(
            "mimetype",
            b"application/vnd.oasis.opendocument.text"
        )]))
        .contains("without a spreadsheet")
    );
}

#[test]
fn a_workbook_cut_short_anywhere_is_refused() {
    let sheet = sheet_xml(&r"<row><c><v>1</v></c></row>".repeat(500), "");
    let bytes = xlsx(&sheet, &[("xl/styles.xml", STYLES)]);
    for end in (4..bytes.len()).step_by(7) {
        let why = refused(&bytes[..end]);
        assert!(
            why.starts_with("the workbook is cut short or damaged"),
            "{end}: {why}"
        );
    }
}

#[test]
fn xml_cut_short_within_a_sound_package_is_refused_with_its_place() {
    let whole = sheet_xml(
        r#"<row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c r="A2"><v>1</v></c></row>"#,
        "",
    );
    let error = read(&xlsx(&whole[..whole.len() - 20], &[])).unwrap_err();
    assert_eq!(
        (error.sheet.as_deref(), error.row),
        (Some("Bay 1"), Some(2))
    );
    assert!(matches!(error.why, SheetProblem::Broken(_)));
    let error = read(&ods("", &TABLE[..700])).unwrap_err();
    assert_eq!(error.sheet.as_deref(), Some("Bay 1"));
    assert!(matches!(error.why, SheetProblem::Broken(_)));
}

#[test]
fn a_bomb_is_refused_before_it_is_unpacked() {
    let bomb = b"<a/>".repeat(15_000_000);
    assert!(
        refused(&xlsx(&sheet_xml("", ""), &[("xl/media/a.xml", &bomb)])).contains("without end")
    );
    let many = format!("<!--{}-->", " ".repeat(10_000)).repeat(5_000);
    assert!(
        refused(&xlsx(
            &sheet_xml("", ""),
            &[("xl/worksheets/sheet9.xml", many.as_bytes())]
        ))
        .contains("tightly")
    );
    let words = b"<sst><si><t>a</t></si></sst>".repeat(2_600_000);
    assert!(
        refused(&xlsx(
            &sheet_xml("", ""),
            &[("xl/sharedStrings.xml", &words)]
        ))
        .contains("more than a sheet")
    );
}

#[test]
fn numbers_that_would_take_memory_before_anything_is_read_are_refused() {
    let parts: [(&str, &[u8]); 1] = [(
        "xl/sharedStrings.xml",
        br#"<sst uniqueCount="90000000000"><si><t>a</t></si></sst>"#,
    )];
    assert!(refused(&xlsx(&sheet_xml("", ""), &parts)).contains("shared words"));
    let parts: [(&str, &[u8]); 1] = [(
        "xl/sharedStrings.xml",
        b"<sst uniqueCount = \"90000000000\"></sst>",
    )];
    assert!(refused(&xlsx(&sheet_xml("", ""), &parts)).contains("shared words"));
    let formats = [
        b"<styleSheet><cellXfs>".to_vec(),
        b"<xf/>".repeat(70_000),
        b"</cellXfs></styleSheet>".to_vec(),
    ]
    .concat();
    assert!(
        refused(&xlsx(&sheet_xml("", ""), &[("xl/styles.xml", &formats)])).contains("cell formats")
    );
    let cell = [
        b"<si><t>".to_vec(),
        vec![b'a'; 5_000_000],
        b"</t></si>".to_vec(),
    ]
    .concat();
    assert!(
        refused(&xlsx(
            &sheet_xml("", ""),
            &[("xl/sharedStrings.xml", &cell)]
        ))
        .contains("4 MB")
    );
}

#[test]
fn a_repeated_cell_cannot_swell() {
    let repeated = |rows: u64, columns: u64| {
        format!(
            r#"<table:table table:name="a"><table:table-row table:number-rows-repeated="{rows}"><table:table-cell table:number-columns-repeated="{columns}" office:value-type="float" office:value="1"/></table:table-row></table:table>"#
        )
    };
    assert!(refused(&ods("", &repeated(u64::MAX, u64::MAX))).contains("too many cells"));
    let book = read(&ods("", &repeated(2, 4_000_000_000))).unwrap();
    let rows = rows(&book, 0);
    assert_eq!((rows.len(), rows[0].cells.len()), (2, 1000));
    assert_eq!(rows[0].remarks, ["more than 1000 cells, the rest left out"]);
}

#[test]
fn a_row_past_the_last_one_is_refused() {
    let data = |row: &str| {
        sheet_xml(
            &format!(r#"<row r="{row}"><c r="A{row}"><v>1</v></c></row>"#),
            "",
        )
    };
    for row in ["1048577", "4294967295", "4294967297"] {
        assert!(read(&xlsx(&data(row), &[])).is_err(), "{row}");
    }
    let rows = r#"<table:table-row table:number-rows-repeated="1048576"/><table:table-row><table:table-cell office:value-type="float" office:value="1"/></table:table-row>"#;
    let table = format!(r#"<table:table table:name="a">{rows}</table:table>"#);
    assert!(refused(&ods("", &table)).contains("more rows"));
}

#[test]
fn entities_are_not_unfolded() {
    let laughs = r#"<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>"#;
    let sheet = sheet_xml(
        r#"<row r="1"><c r="A1" t="inlineStr"><is><t>&b;</t></is></c></row>"#,
        "",
    );
    let sheet = sheet.replace(r#"<?xml version="1.0"?>"#, laughs);
    assert!(refused(&xlsx(&sheet, &[])).starts_with("the workbook is cut short or damaged"));
    let table = r#"<table:table table:name="a"><table:table-row><table:table-cell><text:p>&b;</text:p></table:table-cell></table:table-row></table:table>"#;
    assert!(refused(&ods("", table)).contains("entity"));
}

#[test]
fn a_password_is_named() {
    let manifest: &[u8] = br"<manifest:manifest><manifest:file-entry><manifest:encryption-data/></manifest:file-entry></manifest:manifest>";
    let bytes = packed(&[
        (
            "mimetype",
            b"application/vnd.oasis.opendocument.spreadsheet",
        ),
        ("content.xml", b"\x93\x11 not XML"),
        ("META-INF/manifest.xml", manifest),
    ]);
    assert_eq!(refused(&bytes), "it is protected by a password");
}

#[test]
fn parts_that_lie_about_their_length_or_upon_each_other_are_refused() {
    let sound = xlsx(
        &sheet_xml(r#"<row r="1"><c r="A1"><v>1</v></c></row>"#, ""),
        &[],
    );
    assert!(read(&sound).is_ok());
    // APPNOTE 4.3.12: in an entry of the directory the unpacked size stands 24 bytes in, the place of the
    // part 42 bytes in.
    let entries: Vec<usize> = memchr::memmem::find_iter(&sound, b"PK\x01\x02").collect();
    let mut lying = sound.clone();
    lying[entries[4] + 24] ^= 1;
    assert!(refused(&lying).contains("another length"));
    let mut twice = sound.clone();
    let place: [u8; 4] = twice[entries[3] + 42..entries[3] + 46].try_into().unwrap();
    twice[entries[4] + 42..entries[4] + 46].copy_from_slice(&place);
    assert!(!refused(&twice).is_empty());
}

/// Packing is slow: a quarter of the cases that were asked for.
fn a_quarter() -> ProptestConfig {
    let asked = ProptestConfig::default();
    ProptestConfig {
        cases: asked.cases / 4,
        ..asked
    }
}

proptest! {
    #![proptest_config(a_quarter())]

    #[test]
    fn a_damaged_workbook_never_ends_the_program(
        at in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        is_ods in any::<bool>(),
    ) {
        let mut bytes = if is_ods {
            ods(HIDDEN, TABLE)
        } else {
            xlsx(&sheet_xml(r#"<row r="1"><c r="A1"><v>1</v></c></row>"#, ""), &[("xl/styles.xml", STYLES)])
        };
        for (index, byte) in at {
            let place = index.index(bytes.len());
            bytes[place] = byte;
        }
        if let Ok(book) = read(&bytes) {
            for sheet in &book.sheets {
                prop_assert_eq!(sheet.cells.rows().count() as u64, sheet.cells.count());
            }
        }
    }

    #[test]
    fn damaged_xml_in_a_sound_package_never_ends_the_program(
        at in prop::collection::vec((any::<prop::sample::Index>(), "[<>/=\"a-z0-9 &;:\\-]{0,8}"), 1..6),
        is_ods in any::<bool>(),
    ) {
        let data = r#"<row r="1" spans="1:3"><c r="A1" s="1" t="s"><v>0</v></c><c r="B1" t="inlineStr"><is><t>a</t></is></c></row>"#;
        let merged = r#"<mergeCells count="1"><mergeCell ref="A1:B4"/></mergeCells>"#;
        let mut xml = if is_ods { TABLE.to_owned() } else { sheet_xml(data, merged) };
        for (index, words) in at {
            let place = index.index(xml.len());
            let end = (place + words.len() / 2).min(xml.len());
            xml.replace_range(place..end, &words);
        }
        let bytes = if is_ods {
            ods(HIDDEN, &xml)
        } else {
            let words: &[u8] = b"<sst uniqueCount=\"1\"><si><t>job</t></si></sst>";
            xlsx(&xml, &[("xl/styles.xml", STYLES), ("xl/sharedStrings.xml", words)])
        };
        if let Ok(book) = read(&bytes) {
            for sheet in &book.sheets {
                let numbers: Vec<u64> = sheet.cells.rows().map(|row| row.number).collect();
                prop_assert!(numbers.is_sorted_by(|a, b| a < b));
                prop_assert_eq!(numbers.len() as u64, sheet.cells.count());
            }
        }
    }
}
