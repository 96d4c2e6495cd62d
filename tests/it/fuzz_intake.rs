//! Sheets that are damaged at random: whatever the bytes, the readers come to an end, say what is wrong,
//! and count their rows right.
//!
//! Each case takes a seed sheet, damages it in a few places, and opens it as a file. Text is damaged as it
//! is; of a workbook either the packed bytes or the XML within a sound package. A longer run:
//! `PROPTEST_CASES=200000 cargo test --release --test it fuzz_intake`. What a run finds is kept as a seed
//! in `proptest-regressions/` and belongs among the examples beside the reader.

use std::io::Cursor;
use std::io::Write as _;
use std::path::Path;

use benchlore::domain::text::clean;
use benchlore::store::model_disk::ModelDisk;
use benchlore::store::sheet;
use proptest::prelude::*;
use proptest::sample::Index;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// Sheets of invented jobs, each with something that readers stumble over.
const TEXTS: [&[u8]; 10] = [
    b"job;board;found;fix\r\nW-1;petrel;\"3V3_SB 0,41; low\";U31\r\n\r\nW-2;petrel;\"two\nlines\";L12\r\n",
    b"job,board,found\nW-1,petrel,\"19\"\" rack\"\nW-2,tern,5\" screen\nW-3,tern,\"never closed\nW-4,tern,ok\n",
    b"sep=|\r\njob|fix\r\n1|=1+1\r\n2|1e999\r\n3|2026-02-30\r\n4|@x\r\n",
    b"job\tfix\rW-1\tU31\rW-2\tL12\r\n\n\r",
    b"\xef\xbb\xbfAuftrag;Ger\xc3\xa4t;Befund\n1;K\xc3\xbchlung;10 \xc2\xb5F\n",
    b"Auftrag;Ger\xe4t;Befund\n1;K\xfchlung;10 \xb5F \x80\x81\n",
    b"\xff\xfej\0o\0b\0;\0f\0i\0x\0\n\x001\0;\0U\x003\x001\0\n\0",
    b"\xfe\xff\0j\0o\0b\0;\0f\0i\0x\0\n\x001\0;\0U\x003\x001\0\n",
    b"'job';'fix'\n'W-1';'U31; then L12'\n'W-2';'it''s held'\n",
    b"a;b\n\0;\x1b[31m\n\x9b2J;\x7f\n\"\"\"\";\"\"\n",
];

const WORKSHEET: &str = r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><dimension ref="A1:D4"/><sheetData><row r="1" spans="1:4"><c r="A1" t="s"><v>0</v></c><c r="B1" t="inlineStr"><is><r><t>clo</t></r><r><t xml:space="preserve">sed </t></r></is></c></row><row r="2"><c r="A2" t="str"><f>"W-"&amp;1</f><v>W-1</v></c><c r="B2" s="1"><v>46095.5</v></c><c r="C2" t="b"><v>1</v></c><c r="D2" t="e"><v>#N/A</v></c></row><row r="4"><c r="A4"><v>-1.5E-3</v></c><c r="XFD4" t="d"><v>2026-03-14</v></c></row></sheetData><mergeCells count="2"><mergeCell ref="A1:B1"/><mergeCell ref="C2:C4"/></mergeCells></worksheet>"#;
const WORDS: &str = r#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="1" uniqueCount="1"><si><t>job &#x3BC; &lt;</t></si></sst>"#;
const STYLES: &str = r#"<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><numFmts count="1"><numFmt numFmtId="164" formatCode="dd\.mm\.yyyy"/></numFmts><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="164" applyNumberFormat="1"/></cellXfs></styleSheet>"#;
const BOOK: &str = r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><workbookPr date1904="0"/><sheets><sheet name="Bay 1" sheetId="1" r:id="rId1"/><sheet name="Old" sheetId="2" state="hidden" r:id="rId1"/></sheets></workbook>"#;
const TYPES: &str = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>"#;
const RELATIONS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK_RELATIONS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;
const CONTENT: &str = r#"<office:document-content xmlns:office="o" xmlns:table="t" xmlns:text="x" xmlns:style="s"><style:style style:name="ta1"><style:table-properties table:display="false"/></style:style><office:spreadsheet><table:table table:name="Bay 1" table:style-name="ta1"><table:table-row table:number-rows-repeated="2"><table:table-cell office:value-type="string" table:number-columns-spanned="2" table:number-rows-spanned="2"><text:p>no<text:s text:c="2"/>power &amp; &#x3BC;</text:p><text:p>U31</text:p></table:table-cell><table:covered-table-cell/><table:table-cell table:number-columns-repeated="3" office:value-type="float" office:value="0.41"/></table:table-row><table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row></table:table></office:spreadsheet></office:document-content>"#;

/// The parts of a workbook; any of them may be damaged.
fn parts(is_ods: bool) -> Vec<(&'static str, Vec<u8>)> {
    let ods = [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", CONTENT),
    ];
    let xlsx = [
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", RELATIONS),
        ("xl/workbook.xml", BOOK),
        ("xl/_rels/workbook.xml.rels", BOOK_RELATIONS),
        ("xl/sharedStrings.xml", WORDS),
        ("xl/styles.xml", STYLES),
        ("xl/worksheets/sheet1.xml", WORKSHEET),
    ];
    let parts = if is_ods { &ods[..] } else { &xlsx[..] };
    parts
        .iter()
        .map(|(name, text)| (*name, text.as_bytes().to_vec()))
        .collect()
}

fn packed(parts: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in parts {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .expect("memory takes it");
        writer.write_all(content).expect("memory takes it");
    }
    writer.finish().expect("memory takes it").into_inner()
}

/// One place of damage.
#[derive(Clone, Debug)]
enum Damage {
    Put(Index, Vec<u8>),
    Over(Index, Vec<u8>),
    Cut(Index, Index),
    Again(Index, Index),
    End(Index),
}

impl Damage {
    fn on(&self, bytes: &mut Vec<u8>) {
        let place = |at: &Index| at.index(bytes.len() + 1);
        let between = |a: &Index, b: &Index| place(a).min(place(b))..place(a).max(place(b));
        match self {
            Self::Put(at, new) => {
                let at = place(at);
                bytes.splice(at..at, new.iter().copied());
            }
            Self::Over(at, new) => {
                let at = place(at);
                let end = (at + new.len()).min(bytes.len());
                bytes.splice(at..end, new.iter().copied());
            }
            Self::Cut(a, b) => drop(bytes.drain(between(a, b))),
            Self::Again(a, b) => {
                let again = bytes[between(a, b)].to_vec();
                bytes.extend(again);
            }
            Self::End(at) => bytes.truncate(place(at)),
        }
    }
}

fn damage() -> impl Strategy<Value = Damage> {
    let bytes = || {
        prop_oneof![
            prop::collection::vec(any::<u8>(), 1..9),
            "[\"';,|\t\r\n<>/=&#x0-9A-Za-z\\. -]{1,9}".prop_map(String::into_bytes),
            prop::sample::select(vec![
                "4294967296",
                "-1",
                "1e999",
                "A0",
                "ZZZZ9",
                "&x;",
                "]]>",
                "<!--"
            ])
            .prop_map(|words| words.as_bytes().to_vec()),
        ]
    };
    prop_oneof![
        4 => (any::<Index>(), bytes()).prop_map(|(at, new)| Damage::Put(at, new)),
        4 => (any::<Index>(), bytes()).prop_map(|(at, new)| Damage::Over(at, new)),
        2 => (any::<Index>(), any::<Index>()).prop_map(|(a, b)| Damage::Cut(a, b)),
        1 => (any::<Index>(), any::<Index>()).prop_map(|(a, b)| Damage::Again(a, b)),
        1 => any::<Index>().prop_map(Damage::End),
    ]
}

/// Opens the bytes as a file and holds the readers to what they promise; tells whether they were read.
#[track_caller]
fn open(bytes: &[u8]) -> bool {
    let disk = ModelDisk::new();
    let path = Path::new("/sheets/old jobs.csv");
    disk.put(path, bytes);
    let book = match sheet::open(&disk, path) {
        Ok(book) => book,
        Err(error) => {
            let words = format!("{error}: {}, {}", error.why, error.todo());
            assert!(words.contains("old jobs.csv"), "{words}");
            assert_eq!(words, clean(&words));
            return false;
        }
    };
    for sheet in &book.sheets {
        assert_eq!(sheet.source, clean(&sheet.source));
        let mut n_rows = 0;
        let mut last = 0;
        for row in sheet.rows() {
            assert!(last < row.number, "row {} after {last}", row.number);
            assert!(row.cells.len() <= 1000);
            assert!(row.remarks.iter().all(|remark| *remark == clean(remark)));
            last = row.number;
            n_rows += 1;
        }
        assert_eq!(n_rows, sheet.n_rows());
        assert!(sheet.rows().take(50).eq(sheet.rows().take(50)));
    }
    for said in &book.told {
        assert_eq!(*said, clean(said));
    }
    true
}

#[test]
fn the_seeds_themselves_are_read() {
    for text in TEXTS {
        assert!(open(text));
    }
    for is_ods in [false, true] {
        assert!(open(&packed(&parts(is_ods))));
    }
}

proptest! {
    #[test]
    fn damaged_text_is_read_or_refused(
        seed in prop::sample::select(TEXTS.to_vec()),
        damages in prop::collection::vec(damage(), 0..8),
    ) {
        let mut bytes = seed.to_vec();
        for damage in damages {
            damage.on(&mut bytes);
        }
        open(&bytes);
    }

    #[test]
    fn a_damaged_package_is_read_or_refused(
        is_ods in any::<bool>(),
        damages in prop::collection::vec(damage(), 0..5),
    ) {
        let mut bytes = packed(&parts(is_ods));
        for damage in damages {
            damage.on(&mut bytes);
        }
        open(&bytes);
    }

    #[test]
    fn damaged_xml_in_a_sound_package_is_read_or_refused(
        is_ods in any::<bool>(),
        damages in prop::collection::vec((any::<Index>(), damage()), 0..5),
    ) {
        let mut parts = parts(is_ods);
        for (part, damage) in damages {
            let part = part.index(parts.len());
            damage.on(&mut parts[part].1);
        }
        open(&packed(&parts));
    }
}
