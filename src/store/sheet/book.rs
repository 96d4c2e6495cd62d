//! A sheet file opened: which kind it is, what was found out about it, and its sheets.
//!
//! The kind is told by the first bytes, never by the ending of the name.

use std::io;
use std::path::Path;
use std::sync::OnceLock;

use memchr::memmem;

use crate::domain::intake::sheet::Row;
use crate::domain::text::clean;
use crate::store::disk::Disk;
use crate::store::disk::Kind;
use crate::store::sheet::cells::Cells;
use crate::store::sheet::csv;
use crate::store::sheet::dialect;
use crate::store::sheet::dialect::Dialect;
use crate::store::sheet::encoding;
use crate::store::sheet::error::Misread;
use crate::store::sheet::error::SheetError;
use crate::store::sheet::error::SheetProblem;
use crate::store::sheet::workbook;

/// How files of the old office kind begin ([MS-CFB] 2.2).
const OLD_OFFICE: &[u8] = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1";
/// The largest file that is read.
const MOST_FILE: u64 = 128_000_000;

/// Which kind of file it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// Text with something between the cells: CSV, TSV and their kin.
    Csv,
    /// An Office Open XML workbook.
    Xlsx,
    /// An `OpenDocument` spreadsheet.
    Ods,
}

/// An opened sheet file.
#[derive(Debug)]
pub struct Book {
    /// Its sheets in their order; a text file has one.
    pub sheets: Vec<SheetText>,
    /// Which kind of file it is.
    pub kind: FileKind,
    /// What was found out about it, one plain sentence each.
    pub told: Vec<String>,
}

/// One sheet, whose rows are read as they are asked for.
#[derive(Debug)]
pub struct SheetText {
    /// `file.csv` or `book.xlsx#Bay 1`, fit for a terminal.
    pub source: String,
    content: Content,
    n_rows: OnceLock<u64>,
}

#[derive(Debug)]
enum Content {
    Text(String, Dialect),
    Cells(Cells),
}

impl SheetText {
    /// Returns the rows from the first; may be called several times.
    pub fn rows(&self) -> Box<dyn Iterator<Item = Row> + Send + '_> {
        match &self.content {
            Content::Text(text, dialect) => Box::new(csv::Rows::new(text, *dialect)),
            Content::Cells(cells) => Box::new(cells.rows()),
        }
    }

    /// Returns how many rows there are, blank ones counted.
    pub fn n_rows(&self) -> u64 {
        *self.n_rows.get_or_init(|| match &self.content {
            Content::Text(text, dialect) => csv::count(text, *dialect),
            Content::Cells(cells) => cells.count(),
        })
    }
}

/// Opens the sheet file at `path`.
pub fn open(disk: &dyn Disk, path: &Path) -> Result<Book, SheetError> {
    book(disk, path).map_err(|misread| misread.of(path))
}

fn book(disk: &dyn Disk, path: &Path) -> Result<Book, Misread> {
    let bytes = read(disk, path)?;
    let source = source_name(path);
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        return packed_book(&bytes, &source);
    }
    if let Some(other) = other_kind(&bytes) {
        return Err(other.into());
    }
    Ok(text_book(bytes, source)?)
}

fn packed_book(bytes: &[u8], source: &str) -> Result<Book, Misread> {
    let workbook = workbook::read(bytes)?;
    let sheets = workbook.sheets.into_iter().map(|sheet| SheetText {
        source: format!("{source}#{}", sheet.name),
        content: Content::Cells(sheet.cells),
        n_rows: OnceLock::new(),
    });
    Ok(Book {
        sheets: sheets.collect(),
        kind: workbook.kind,
        told: workbook.told,
    })
}

/// Returns the last part of `path`, fit for a terminal.
fn source_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    clean(&name.to_string_lossy())
}

fn read(disk: &dyn Disk, path: &Path) -> Result<Vec<u8>, SheetProblem> {
    let refused = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => SheetProblem::Missing,
        io::ErrorKind::IsADirectory => SheetProblem::NotAFile,
        _ => SheetProblem::Io(error),
    };
    let about = disk.about(path).map_err(refused)?;
    let has = disk.length(path).map_err(refused)?;
    // A pipe has no length, and reading it could wait for ever; a link to a file is fine.
    if about.kind == Kind::Folder || (about.kind == Kind::Other && has == 0) {
        return Err(SheetProblem::NotAFile);
    }
    let too_large = |has: u64| SheetProblem::TooLarge {
        has: has.div_ceil(1_000_000),
        most: MOST_FILE / 1_000_000,
    };
    if MOST_FILE < has {
        return Err(too_large(has));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(has).unwrap_or(0));
    let mut fits = true;
    let mut keep = |step: &[u8]| {
        // The file may have grown since.
        fits = (bytes.len() + step.len()) as u64 <= MOST_FILE;
        if fits {
            bytes.extend_from_slice(step);
        }
        fits
    };
    disk.read_steps(path, 0, &mut keep).map_err(refused)?;
    match (fits, bytes.is_empty()) {
        (false, _) => Err(too_large(MOST_FILE + 1)),
        (true, true) => Err(SheetProblem::Empty),
        (true, false) => Ok(bytes),
    }
}

/// Says why a file is not read, by its first bytes.
fn other_kind(bytes: &[u8]) -> Option<SheetProblem> {
    // Signatures as the formats' own specifications give them; from memory.
    const KINDS: [(&[u8], &str); 8] = [
        (OLD_OFFICE, "a workbook of the old kind (XLS)"),
        (b"%PDF-", "a PDF"),
        (b"\x89PNG\r\n\x1a\n", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
        (b"\x1f\x8b", "a packed file (gzip)"),
        (b"7z\xbc\xaf\x27\x1c", "a packed file (7z)"),
        (b"SQLite format 3\0", "a database"),
        (b"{\\rtf", "a text document (RTF)"),
    ];
    // A workbook with a password is packed into a file of the old kind, with a part of this name.
    let locked = "EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes);
    let locked: Vec<u8> = locked.collect();
    if bytes.starts_with(OLD_OFFICE) && memmem::find(bytes, &locked).is_some() {
        return Some(SheetProblem::Locked);
    }
    let found = KINDS.iter().find(|(start, _)| bytes.starts_with(start));
    found.map(|(_, kind)| SheetProblem::Kind(kind))
}

fn text_book(bytes: Vec<u8>, source: String) -> Result<Book, SheetProblem> {
    let decoded = encoding::decode(bytes)?;
    if decoded.text.is_empty() {
        return Err(SheetProblem::Empty);
    }
    let found = dialect::find(&decoded.text);
    let mut told = vec![decoded.told];
    told.extend(found.dialect.told());
    told.extend(found.decimal.map(str::to_owned));
    let sheet = SheetText {
        source,
        content: Content::Text(decoded.text, found.dialect),
        n_rows: OnceLock::new(),
    };
    Ok(Book {
        sheets: vec![sheet],
        kind: FileKind::Csv,
        told,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::disk::RealDisk;

    #[track_caller]
    fn refused(name: &str, bytes: &[u8]) -> String {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(name);
        RealDisk.create_new(&path, bytes).unwrap();
        let error = open(&RealDisk, &path).unwrap_err();
        let place = error.to_string();
        assert!(place.contains(name) && !error.todo().is_empty(), "{place}");
        error.why.to_string()
    }

    #[test]
    fn what_is_no_sheet_is_named_by_its_bytes_not_by_its_ending() {
        assert_eq!(refused("a.csv", b""), "the file is empty");
        assert_eq!(refused("a.csv", b"\xef\xbb\xbf"), "the file is empty");
        assert!(refused("a.csv", b"%PDF-1.7 ...").contains("a PDF"));
        assert!(refused("a.csv", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1").contains("XLS"));
        assert!(refused("a.csv", b"\xff\xfe\0\0a\0\0\0").contains("UTF-32"));
    }

    #[test]
    fn a_file_that_is_not_there_and_a_folder_are_said_to_be_so() {
        let folder = tempfile::tempdir().unwrap();
        let missing = open(&RealDisk, &folder.path().join("no.csv")).unwrap_err();
        assert!(matches!(missing.why, SheetProblem::Missing));
        let itself = open(&RealDisk, folder.path()).unwrap_err();
        assert!(matches!(itself.why, SheetProblem::NotAFile));
    }

    #[test]
    fn a_file_past_the_limit_is_not_read() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("big.csv");
        let file = tempfile::NamedTempFile::new_in(folder.path()).unwrap();
        file.as_file().set_len(MOST_FILE + 1).unwrap();
        drop(file.persist(&path).unwrap());
        let error = open(&RealDisk, &path).unwrap_err();
        assert!(matches!(
            error.why,
            SheetProblem::TooLarge {
                has: 129,
                most: 128
            }
        ));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_followed_and_a_device_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let sheet = folder.path().join("jobs.csv");
        RealDisk.create_new(&sheet, b"job;fix\n1;U31\n").unwrap();
        let link = folder.path().join("link.csv");
        std::os::unix::fs::symlink(&sheet, &link).unwrap();
        assert_eq!(open(&RealDisk, &link).unwrap().sheets[0].n_rows(), 2);
        let device = folder.path().join("endless.csv");
        std::os::unix::fs::symlink("/dev/zero", &device).unwrap();
        let error = open(&RealDisk, &device).unwrap_err();
        assert!(matches!(error.why, SheetProblem::NotAFile));
    }

    #[test]
    fn a_book_tells_what_was_found_and_gives_its_rows_again_and_again() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("old\u{1b}[31m jobs.csv");
        let text = b"Auftrag;Spannung\r\nW-0412;0,41\r\nW-0413;3,31\r\n";
        RealDisk.create_new(&path, text).unwrap();
        let book = open(&RealDisk, &path).unwrap();
        assert_eq!(book.kind, FileKind::Csv);
        assert_eq!(
            book.told,
            ["UTF-8", "semicolons between cells", "decimal comma"]
        );
        let sheet = &book.sheets[0];
        assert_eq!(sheet.source, "old\u{fffd}[31m jobs.csv");
        assert_eq!(sheet.n_rows(), 3);
        let rows: Vec<Row> = sheet.rows().collect();
        assert_eq!(rows, sheet.rows().collect::<Vec<_>>());
        assert_eq!(
            (rows[2].number, rows[2].cell(1).text().as_ref()),
            (3, "3,31")
        );
    }
}
