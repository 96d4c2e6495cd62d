//! The bytes of `cache/build.idx`: a log of blocks, so that one more job writes little.
//!
//! ```text
//! block     kind (1), length (4), CRC-32 of the rest (4), the rest
//! head      magic; program; mark of the settings                      begins the file, once
//! lines     texts, boards and lines to add to those before
//! changed   lines that count now or no more, or whose unit came again
//! files     the job files as far as they were read; what settling found wrong
//! cards     one board: its mark, its cards, what got none, circuits, sheet (`build_sheets`)
//! end       closes what one build wrote
//! ```
//!
//! Anything that differs, is cut off, lacks its end or has another sum costs nothing but time: the index is
//! not believed and the files are read anew. A file that has grown to twice what it says is written anew.

use std::collections::BTreeSet;
use std::io;
use std::path::Path;

use chrono::Datelike;
use chrono::NaiveDate;

use crate::domain::generate::build::Skipped;
use crate::domain::job::Outcome;
use crate::store::build_index::BuildIndex;
use crate::store::build_index::Entry;
use crate::store::build_index::FileNote;
use crate::store::build_index::Kept;
use crate::store::build_index::KeptCard;
use crate::store::build_index::Span;
use crate::store::build_sheets;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Locking;
use crate::store::lock::lock_path;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::sources;
use crate::store::sources::Source;

/// Begins every index; the number rises with the format.
const MAGIC: &[u8] = b"benchlore build 1\n";

const LINES: u8 = 1;
const CHANGED: u8 = 2;
const FILES: u8 = 3;
const CARDS: u8 = 4;
const END: u8 = 5;

/// What of an index lies in its file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Saved {
    /// Length of the file; none where it has to be written anew.
    pub(crate) len: Option<u64>,
    /// Bytes of it that count no more.
    stale: u64,
    entries: usize,
    texts: usize,
    words: usize,
    /// Whether each line counted, and whether its unit had come again.
    bits: Vec<u8>,
    files: Vec<u8>,
    /// Boards whose cards are there.
    pub(crate) boards: BTreeSet<String>,
}

/// Reads the index if it can be believed.
pub(crate) fn load(disk: &dyn Disk, path: &Path, settings: u128) -> Option<BuildIndex> {
    let bytes = disk.read(path).ok()?;
    let mut from = From { bytes: &bytes };
    (from.take(MAGIC.len())? == MAGIC).then_some(())?;
    let rules_len = usize::try_from(from.short()?).ok()?;
    (from.take(rules_len)? == sources::RULES.as_bytes()).then_some(())?;
    (from.take(16)? == settings.to_le_bytes()).then_some(())?;
    let mut index = BuildIndex::default();
    index.settings = settings;
    let mut ended = false;
    let mut stale = 0;
    while !from.bytes.is_empty() {
        let kind = from.byte()?;
        let len = usize::try_from(from.short()?).ok()?;
        let sum = from.short()?;
        let block = from.take(len)?;
        (crc32fast::hash(block) == sum).then_some(())?;
        ended = kind == END;
        let mut block = From { bytes: block };
        match kind {
            LINES => read_lines(&mut block, &mut index)?,
            CHANGED => read_changed(&mut block, &mut index)?,
            FILES => {
                stale += index.saved.files.len() as u64;
                index.saved.files = block.bytes.to_vec();
                read_files(&mut block, &mut index)?;
            }
            CARDS => {
                let (board, kept) = read_kept(&mut block)?;
                index.saved.boards.insert(board.clone());
                if let Some(old) = index.kept.insert(board, kept) {
                    stale += size(&old);
                }
            }
            END => {}
            _ => return None,
        }
        block.bytes.is_empty().then_some(())?;
    }
    let numbers_hold = index
        .entries
        .iter()
        .all(|e| (e.file as usize) < index.files.len() && (e.board as usize) < index.boards.len());
    (ended && numbers_hold).then_some(())?;
    index.saved = Saved {
        len: Some(bytes.len() as u64),
        stale,
        entries: index.entries.len(),
        texts: index.texts.len(),
        words: index.boards.len(),
        bits: index.entries.iter().map(bits).collect(),
        ..index.saved
    };
    Some(index)
}

/// About how many bytes a board takes.
fn size(kept: &Kept) -> u64 {
    let cards: usize = kept.cards.iter().map(|c| c.line.len()).sum();
    let sheet = &kept.sheet;
    (cards + sheet.texts.len() + sheet.numbers.len() + 16 * sheet.rows.len()) as u64
}

/// Puts on the disk what is new; failing to is no failure, since whatever comes of it is either whole or
/// not believed.
pub(crate) fn save(disk: &dyn Disk, path: &Path, index: &mut BuildIndex) {
    let grown = index
        .saved
        .len
        .filter(|len| index.saved.stale < *len / 2 && index.saved.entries <= index.entries.len());
    let mut to = To::default();
    if grown.is_none() {
        index.saved = Saved::default();
        to.bytes.extend(MAGIC);
        to.text(sources::RULES);
        to.bytes.extend(index.settings.to_le_bytes());
    }
    if !write_new(&mut to, index) {
        return;
    }
    let done = match grown {
        Some(len) => append(disk, path, len, &to.bytes),
        None => disk::replace(disk, path, &to.bytes),
    };
    drop(done);
}

/// Appends to the file if it is still as long as it was.
fn append(disk: &dyn Disk, path: &Path, len: u64, bytes: &[u8]) -> io::Result<()> {
    let Locking::Taken(_guard) = disk.lock(&lock_path(path), "being written")? else {
        return Ok(());
    };
    if disk.length(path)? != len {
        return Ok(());
    }
    let mut file = disk.open_append(path)?;
    let mut rest = bytes;
    while !rest.is_empty() {
        let n = file.write(rest)?;
        rest = &rest[n..];
    }
    Ok(())
}

fn block(to: &mut To, kind: u8, write: impl FnOnce(&mut To)) {
    let mut inner = To::default();
    write(&mut inner);
    to.byte(kind);
    to.count(inner.bytes.len());
    to.short(crc32fast::hash(&inner.bytes));
    to.bytes.extend(inner.bytes);
}

/// Writes the blocks that the file lacks; tells whether there were any.
fn write_new(to: &mut To, index: &BuildIndex) -> bool {
    let saved = &index.saved;
    let before = to.bytes.len();
    if saved.entries < index.entries.len() {
        block(to, LINES, |to| {
            to.text(&index.texts[saved.texts..]);
            to.count(index.boards.len() - saved.words);
            index.boards[saved.words..].iter().for_each(|b| to.text(b));
            to.count(index.entries.len() - saved.entries);
            index.entries[saved.entries..]
                .iter()
                .for_each(|e| write_entry(to, e));
        });
    }
    let old = saved.bits.iter().zip(&index.entries).enumerate();
    let changed: Vec<(usize, u8)> = old
        .filter(|(_, (old, entry))| **old != bits(entry))
        .map(|(at, (_, entry))| (at, bits(entry)))
        .collect();
    if !changed.is_empty() {
        block(to, CHANGED, |to| {
            for (at, bits) in changed {
                to.count(at);
                to.byte(bits);
            }
        });
    }
    let mut files = To::default();
    write_files(&mut files, index);
    if files.bytes != saved.files {
        block(to, FILES, |to| to.bytes.extend(files.bytes));
    }
    for (board, kept) in index
        .kept
        .iter()
        .filter(|(b, _)| !saved.boards.contains(*b))
    {
        block(to, CARDS, |to| write_kept(to, board, kept));
    }
    let any = before < to.bytes.len();
    block(to, END, |_| {});
    any
}

fn bits(entry: &Entry) -> u8 {
    u8::from(entry.live) | (u8::from(entry.again) << 1) | (u8::from(entry.withdrawn) << 2)
}

fn span(to: &mut To, span: Span) {
    to.short(span.at);
    to.short(span.len);
}

fn write_entry(to: &mut To, entry: &Entry) {
    to.short(entry.file);
    to.short(entry.line);
    to.number(entry.at);
    to.short(entry.len);
    to.bytes.extend(entry.mark.to_le_bytes());
    for text in [
        entry.id,
        entry.job,
        entry.unit,
        entry.follows,
        entry.corrects,
    ] {
        span(to, text);
    }
    to.short(entry.board);
    to.bytes
        .extend(entry.closed_on.num_days_from_ce().to_le_bytes());
    let outcome = Outcome::ALL.iter().position(|o| *o == entry.outcome);
    to.byte(
        outcome
            .and_then(|at| u8::try_from(at).ok())
            .unwrap_or(u8::MAX),
    );
    to.byte(bits(entry));
}

fn read_entry(from: &mut From<'_>) -> Option<Entry> {
    let (file, line, at, len) = (from.short()?, from.short()?, from.number()?, from.short()?);
    let mark = u128::from_le_bytes(from.take(16)?.try_into().ok()?);
    let mut span = || {
        Some(Span {
            at: from.short()?,
            len: from.short()?,
        })
    };
    let (id, job, unit, follows, corrects) = (span()?, span()?, span()?, span()?, span()?);
    let board = from.short()?;
    let day = i32::from_le_bytes(from.take(4)?.try_into().ok()?);
    let outcome = *Outcome::ALL.get(usize::from(from.byte()?))?;
    let bits = from.byte()?;
    Some(Entry {
        file,
        line,
        at,
        len,
        mark,
        id,
        job,
        unit,
        follows,
        corrects,
        board,
        closed_on: NaiveDate::from_num_days_from_ce_opt(day)?,
        outcome,
        live: bits & 1 > 0,
        again: bits & 2 > 0,
        withdrawn: bits & 4 > 0,
    })
}

fn read_lines(from: &mut From<'_>, index: &mut BuildIndex) -> Option<()> {
    index.texts.push_str(from.text()?);
    for _ in 0..from.count()? {
        index.boards.push(from.text()?.to_owned());
    }
    let n = from.count()?;
    index.entries.reserve(n);
    for _ in 0..n {
        index.entries.push(read_entry(from)?);
    }
    Some(())
}

fn read_changed(from: &mut From<'_>, index: &mut BuildIndex) -> Option<()> {
    while !from.bytes.is_empty() {
        let entry = index
            .entries
            .get_mut(usize::try_from(from.short()?).ok()?)?;
        let bits = from.byte()?;
        (entry.live, entry.again) = (bits & 1 > 0, bits & 2 > 0);
    }
    Some(())
}

fn write_files(to: &mut To, index: &BuildIndex) {
    to.count(index.files.len());
    for file in &index.files {
        file.source.write(to);
        to.short(file.sum);
        to.number(file.lines);
        to.byte(u8::from(file.ends_fresh));
        to.count(file.faults.len());
        file.faults.iter().for_each(|fault| to.fault(fault));
    }
    to.count(index.settled.len());
    index.settled.iter().for_each(|fault| to.fault(fault));
}

fn read_files(from: &mut From<'_>, index: &mut BuildIndex) -> Option<()> {
    index.files.clear();
    for _ in 0..from.count()? {
        let mut file = FileNote {
            source: Source::read(from)?,
            sum: from.short()?,
            lines: from.number()?,
            ends_fresh: from.byte()? > 0,
            faults: Vec::new(),
        };
        for _ in 0..from.count()? {
            file.faults.push(from.fault()?);
        }
        index.files.push(file);
    }
    index.settled.clear();
    for _ in 0..from.count()? {
        index.settled.push(from.fault()?);
    }
    Some(())
}

fn write_kept(to: &mut To, board: &str, kept: &Kept) {
    to.text(board);
    to.text(&kept.mark);
    to.count(kept.cards.len());
    for card in &kept.cards {
        to.text(&card.family);
        to.text(&card.line);
    }
    to.count(kept.skipped.len());
    for skipped in &kept.skipped {
        to.text(&skipped.board);
        to.text(&skipped.what);
        to.text(&skipped.why);
    }
    to.count(kept.circuits.len());
    kept.circuits.iter().for_each(|circuit| to.text(circuit));
    build_sheets::write(to, &kept.sheet);
}

fn read_kept(from: &mut From<'_>) -> Option<(String, Kept)> {
    let board = from.text()?.to_owned();
    let mut kept = Kept {
        mark: from.text()?.to_owned(),
        ..Kept::default()
    };
    for _ in 0..from.count()? {
        kept.cards.push(KeptCard {
            family: from.text()?.to_owned(),
            line: from.text()?.to_owned(),
        });
    }
    for _ in 0..from.count()? {
        kept.skipped.push(Skipped {
            board: from.text()?.to_owned(),
            what: from.text()?.to_owned(),
            why: from.text()?.to_owned(),
        });
    }
    for _ in 0..from.count()? {
        kept.circuits.push(from.text()?.to_owned());
    }
    kept.sheet = build_sheets::read(from)?;
    Some((board, kept))
}
