//! What stands before a workbook is unpacked: a packed file is inflated once into nothing, and refused
//! where it lies about itself or would fill the memory.
//!
//! A workbook is a ZIP file (ISO/IEC 29500-2 for XLSX, OASIS `OpenDocument` 1.3 part 2 for ODS). The limits
//! are ours: they leave room for 100,000 rows and keep the program below 300 MB.

use std::io;
use std::io::Cursor;
use std::io::Read;

use memchr::memchr;
use memchr::memmem;
use zip::ZipArchive;

use crate::store::sheet::book::FileKind;
use crate::store::sheet::error::SheetProblem;

/// A workbook file may have this many bytes.
const MOST_FILE: usize = 64_000_000;
/// A packed file may have this many parts.
const MOST_PARTS: usize = 5_000;
/// All parts together may unpack to this many bytes; they are read in pieces and never held at once.
const MOST_UNPACKED: u64 = 500_000_000;
/// One part may not unpack to more than this many times its packed size, once past [`FREE`].
const MOST_RATIO: u64 = 600;
/// A part of this size is no danger, whatever its ratio.
const FREE: u64 = 16_000_000;
/// The table of shared words is held as a whole.
const MOST_SHARED: u64 = 100_000_000;
/// How many shared words there may be.
const MOST_WORDS: usize = 2_500_000;
/// Other parts that are held as a whole: formats, names, relations.
const MOST_OTHER: u64 = 8_000_000;
/// XLSX allows 65,490 cell formats ("Excel specifications and limits", from memory).
const MOST_FORMATS: usize = 66_000;
/// From one tag to the next there may be this many bytes: a tag, or the words of one cell.
const MOST_STRETCH: usize = 4_000_000;

/// Parts that are read in pieces, or not at all; others are held as a whole.
const STREAMED: [&str; 7] = [
    "worksheets/",
    "content.xml",
    "customxml/",
    "pivotcache/",
    "drawings/",
    "comments",
    "charts/",
];

/// A workbook that may be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Package {
    /// Which kind it is.
    pub(crate) kind: FileKind,
    /// Some cells are merged (XLSX; in ODS the cells say so themselves).
    pub(crate) merges: bool,
}

/// Returns what a packed file is, if it may be read as a workbook.
pub(crate) fn check(bytes: &[u8]) -> Result<Package, SheetProblem> {
    if MOST_FILE < bytes.len() {
        return Err(SheetProblem::TooLarge {
            has: (bytes.len() as u64).div_ceil(1_000_000),
            most: MOST_FILE as u64 / 1_000_000,
        });
    }
    // Every part has an entry with this signature (APPNOTE 4.3.12); counted before anyone makes a list.
    let parts = memmem::find_iter(bytes, b"PK\x01\x02").take(MOST_PARTS + 1);
    if MOST_PARTS < parts.count() {
        return Err(swollen("too many parts"));
    }
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(broken)?;
    let kind = kind(&mut archive)?;
    if archive.has_overlapping_files().map_err(broken)? || archive.has_duplicate_names() {
        return Err(swollen("parts that lie upon each other"));
    }
    let mut left = MOST_UNPACKED;
    let mut merges = false;
    for index in 0..archive.len() {
        let seen = inflate(&mut archive, index, left)?;
        left -= seen.unpacked;
        merges |= seen.merges;
    }
    Ok(Package { kind, merges })
}

/// Returns the reason in the words of the one who noticed.
pub(crate) fn broken(why: impl std::fmt::Display) -> SheetProblem {
    SheetProblem::Broken(crate::domain::text::clean(&why.to_string()))
}

pub(crate) fn swollen(why: &str) -> SheetProblem {
    SheetProblem::Swollen(why.to_owned())
}

fn kind(archive: &mut ZipArchive<Cursor<&[u8]>>) -> Result<FileKind, SheetProblem> {
    let has = |name: &str| {
        archive
            .file_names_raw()
            .any(|n| n.eq_ignore_ascii_case(name.as_bytes()))
    };
    let ends = |end: &[u8]| {
        archive
            .file_names_raw()
            .any(|n| n.to_ascii_lowercase().ends_with(end))
    };
    if has("[Content_Types].xml") {
        return if ends(b"workbook.xml") {
            Ok(FileKind::Xlsx)
        } else if ends(b"workbook.bin") {
            Err(SheetProblem::Kind("a binary workbook (XLSB)"))
        } else {
            Err(SheetProblem::Kind("an office document without a workbook"))
        };
    }
    if !has("mimetype") {
        return Err(SheetProblem::Kind("a packed file (ZIP)"));
    }
    let mut said = Vec::new();
    let part = archive.by_name("mimetype").map_err(broken)?;
    part.take(200).read_to_end(&mut said).map_err(broken)?;
    if said
        .trim_ascii()
        .starts_with(b"application/vnd.oasis.opendocument.spreadsheet")
    {
        Ok(FileKind::Ods)
    } else {
        Err(SheetProblem::Kind(
            "an office document without a spreadsheet",
        ))
    }
}

/// What was seen of one part.
struct Seen {
    unpacked: u64,
    merges: bool,
}

fn inflate(
    archive: &mut ZipArchive<Cursor<&[u8]>>,
    index: usize,
    left: u64,
) -> Result<Seen, SheetProblem> {
    let raw = archive.by_index_raw(index).map_err(broken)?;
    if raw.encrypted() {
        return Err(SheetProblem::Locked);
    }
    let (packed, said) = (raw.compressed_size(), raw.size());
    let name = String::from_utf8_lossy(raw.name_raw()).to_ascii_lowercase();
    drop(raw);
    let shared = name.ends_with("sharedstrings.xml");
    let streamed = STREAMED.iter().any(|part| name.contains(part));
    let end = name.rsplit('.').next();
    let xml = end == Some("xml") || end == Some("rels");
    let most = match (shared, streamed, xml) {
        (true, ..) => MOST_SHARED,
        (_, true, true) => MOST_UNPACKED,
        (_, false, true) => MOST_OTHER,
        // Photos and the like: never looked at.
        _ => 4 * MOST_OTHER,
    };
    let most = most.min(left);
    let mut part = archive.by_index(index).map_err(broken)?;
    let mut look = Look::new(xml);
    let mut buffer = vec![0; 1 << 16];
    let mut unpacked = 0;
    loop {
        let n = match part.read(&mut buffer) {
            Ok(0) => break,
            Ok(n) => n,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(broken(error)),
        };
        unpacked += n as u64;
        if most < unpacked {
            return Err(swollen("a part of it unpacks without end"));
        }
        if FREE < unpacked && packed.max(1).saturating_mul(MOST_RATIO) < unpacked {
            return Err(swollen(
                "it is packed so tightly that it can only be a trap",
            ));
        }
        look.at(&buffer[..n])?;
    }
    if unpacked != said {
        return Err(broken("a part has another length than it says"));
    }
    if streamed && look.names {
        return Err(broken("names of the workbook stand in another part"));
    }
    if shared && MOST_WORDS < look.words.max(look.words_said) {
        return Err(swollen("too many shared words"));
    }
    if name.ends_with("styles.xml") && MOST_FORMATS < look.formats {
        return Err(swollen("too many cell formats"));
    }
    Ok(Seen {
        unpacked,
        merges: look.merges,
    })
}

/// Looks at the bytes of a part as they go by.
struct Look {
    xml: bool,
    /// Bytes since the last tag began.
    stretch: usize,
    /// The end of the last piece, so that what lies across two pieces is seen.
    tail: Vec<u8>,
    words: usize,
    words_said: usize,
    formats: usize,
    merges: bool,
    names: bool,
}

impl Look {
    fn new(xml: bool) -> Self {
        Self {
            xml,
            stretch: 0,
            tail: Vec::new(),
            words: 0,
            words_said: 0,
            formats: 0,
            merges: false,
            names: false,
        }
    }

    fn at(&mut self, piece: &[u8]) -> Result<(), SheetProblem> {
        const TAIL: usize = 64;
        if !self.xml {
            return Ok(());
        }
        if self.tail.is_empty()
            && [&b"\xff\xfe"[..], b"\xfe\xff", b"<\0", b"\0<"]
                .iter()
                .any(|s| piece.starts_with(s))
        {
            return Err(broken("a part of it is in UTF-16"));
        }
        let mut rest = piece;
        while let Some(n) = memchr(b'<', rest) {
            self.stretched(n)?;
            self.stretch = 0;
            rest = &rest[n + 1..];
        }
        self.stretched(rest.len())?;
        self.stretch += rest.len();
        // A few bytes of the piece before stand in front; what lies wholly in them was counted then.
        let before = self.tail.len();
        self.tail.extend_from_slice(piece);
        let seen = std::mem::take(&mut self.tail);
        let count = |word: &[u8]| {
            memmem::find_iter(&seen, word)
                .filter(|at| before < at + word.len())
                .count()
        };
        self.words += [&b"<si>"[..], b"<si/", b"<si ", b":si>", b":si/", b":si "]
            .map(count)
            .iter()
            .sum::<usize>();
        self.formats += count(b"<xf ") + count(b"<xf/") + count(b"<xf>") + count(b":xf ");
        self.merges |= count(b"mergeCell ") != 0;
        self.names |= count(b"definedName ") != 0;
        for at in memmem::find_iter(&seen, b"uniqueCount") {
            self.words_said = self.words_said.max(said_count(&seen[at + 11..]));
        }
        self.tail = seen[seen.len().saturating_sub(TAIL)..].to_vec();
        Ok(())
    }

    fn stretched(&self, more: usize) -> Result<(), SheetProblem> {
        if MOST_STRETCH < self.stretch + more {
            return Err(swollen("one cell of more than 4 MB"));
        }
        Ok(())
    }
}

/// Returns how many shared words a table says it has: memory is taken for as many.
fn said_count(after: &[u8]) -> usize {
    let blank = after.first().is_some_and(u8::is_ascii_whitespace);
    let value = after
        .strip_prefix(b"=\"")
        .or_else(|| after.strip_prefix(b"='"));
    match value {
        // Blanks before a number are allowed there and written by nobody: no count is taken from that.
        None if blank || after.starts_with(b"=") => usize::MAX,
        None => 0,
        Some(value) => {
            let digits = value.iter().take_while(|b| b.is_ascii_digit());
            digits.fold(0_usize, |n, b| {
                n.saturating_mul(10).saturating_add(usize::from(b - b'0'))
            })
        }
    }
}
