//! The bytes of `cache/build.idx`: a log of blocks, so that one more job writes little.
//!
//! ```text
//! block     kind (1), length (4), CRC-32 of the rest (4), the rest
//! head      magic; program; mark of the settings                      begins the file, once
//! lines     texts, boards and lines to add to those before
//! changed   lines that count now or no more, or whose unit came again
//! files     the job files as far as they were read; what settling found wrong
//! cards     one board: its mark, what got none, circuits, sheet (`build_kept`, `build_sheets`)
//! text      its cards, as a deck has them; follows the block before, and is not read with it
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
use crc32fast::Hasher;

use crate::domain::job::Outcome;
use crate::store::build_index::BuildIndex;
use crate::store::build_index::Entry;
use crate::store::build_index::FileNote;
use crate::store::build_index::Span;
use crate::store::build_kept;
use crate::store::build_kept::Kept;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::disk::Locking;
use crate::store::lock::lock_path;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::sources;
use crate::store::sources::Source;

/// Begins every index; the number rises with the format.
const MAGIC: &[u8] = b"benchlore build 2\n";

const LINES: u8 = 1;
const CHANGED: u8 = 2;
const FILES: u8 = 3;
const CARDS: u8 = 4;
const END: u8 = 5;
const TEXT: u8 = 6;

/// Bytes before what a block holds.
const BLOCK: usize = 9;
/// Bytes that a line takes at least.
const ENTRY: u64 = 80;
/// Lines that are usually new.
const ROOM: usize = 256;
/// Lines of a block at most.
const LINES_OF_A_BLOCK: usize = 4096;

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

impl Saved {
    /// Tells whether an index that has `entries` lines now goes on in the same file.
    pub(crate) fn goes_on(&self, entries: usize) -> bool {
        let whole = self.len.is_some_and(|len| self.stale < len / 2);
        whole && self.entries <= entries
    }
}

/// Reads the index if it can be believed; the text of the cards stays where it is.
pub(crate) fn load(disk: &dyn Disk, path: &Path, settings: u128) -> Option<BuildIndex> {
    let mut reading = Reading::new(settings, disk.length(path).ok()?);
    let mut whole = true;
    let steps = disk.read_steps(path, 0, &mut |step| {
        whole = reading.take(step).is_some();
        whole
    });
    steps.ok().filter(|()| whole)?;
    reading.index()
}

/// What comes next of an index that is being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    /// So many bytes before the first block.
    Head,
    /// Kind, length and sum of a block.
    Block,
    /// The rest of a block.
    Rest { kind: u8, sum: u32, len: usize },
}

/// An index that is read step by step through small memory: fresh memory costs more than the reading.
struct Reading {
    settings: u128,
    /// Length of the file.
    len: u64,
    /// Bytes that were taken.
    at: u64,
    next: Next,
    /// Bytes of it that are still to come.
    left: usize,
    /// Those that have come, but for the text of cards.
    bytes: Vec<u8>,
    /// Sum of the text of cards so far.
    text: Hasher,
    /// The board whose cards were read last, if their text comes next.
    board: Option<String>,
    ended: bool,
    stale: u64,
    index: BuildIndex,
}

/// Bytes of the head.
const HEAD: usize = MAGIC.len() + 4 + sources::RULES.len() + 16;

impl Reading {
    fn new(settings: u128, len: u64) -> Self {
        let mut index = BuildIndex::default();
        index.settings = settings;
        Self {
            settings,
            len,
            at: 0,
            next: Next::Head,
            left: HEAD,
            bytes: Vec::new(),
            text: Hasher::new(),
            board: None,
            ended: false,
            stale: 0,
            index,
        }
    }

    /// Takes the bytes that come next; none where they cannot be believed.
    fn take(&mut self, mut step: &[u8]) -> Option<()> {
        while !step.is_empty() {
            let (now, rest) = step.split_at(self.left.min(step.len()));
            if matches!(self.next, Next::Rest { kind: TEXT, .. }) {
                self.text.update(now);
            } else {
                self.bytes.extend(now);
            }
            self.at += now.len() as u64;
            self.left -= now.len();
            step = rest;
            while self.left == 0 {
                self.came()?;
            }
        }
        Some(())
    }

    /// Goes on once all of what comes next has come.
    fn came(&mut self) -> Option<()> {
        let bytes = std::mem::take(&mut self.bytes);
        let mut from = From { bytes: &bytes };
        (self.next, self.left) = match self.next {
            Next::Head => {
                (from.take(MAGIC.len())? == MAGIC).then_some(())?;
                (from.text()? == sources::RULES).then_some(())?;
                (from.take(16)? == self.settings.to_le_bytes()).then_some(())?;
                (Next::Block, BLOCK)
            }
            Next::Block => {
                let (kind, len, sum) = (from.byte()?, from.short()?, from.short()?);
                (u64::from(len) <= self.len - self.at).then_some(())?;
                self.text = Hasher::new();
                self.ended = kind == END;
                let len = usize::try_from(len).ok()?;
                (Next::Rest { kind, sum, len }, len)
            }
            Next::Rest {
                kind: TEXT,
                sum,
                len,
            } => {
                self.text_came(sum, len)?;
                (Next::Block, BLOCK)
            }
            Next::Rest { kind, sum, .. } => {
                (crc32fast::hash(&bytes) == sum).then_some(())?;
                self.block_came(kind, &mut from)?;
                from.bytes.is_empty().then_some(())?;
                (Next::Block, BLOCK)
            }
        };
        // The next block takes the place of this one.
        self.bytes = bytes;
        self.bytes.clear();
        Some(())
    }

    fn text_came(&mut self, sum: u32, len: usize) -> Option<()> {
        let text = std::mem::take(&mut self.text);
        (text.finalize() == sum).then_some(())?;
        let kept = self.index.kept.get_mut(&self.board.take()?)?;
        kept.cards.lies_in(self.at - len as u64, len, sum)
    }

    fn block_came(&mut self, kind: u8, from: &mut From<'_>) -> Option<()> {
        self.board.is_none().then_some(())?;
        let index = &mut self.index;
        match kind {
            LINES => read_lines(from, index, self.len),
            CHANGED => read_changed(from, index),
            FILES => {
                self.stale += index.saved.files.len() as u64;
                index.saved.files = from.bytes.to_vec();
                read_files(from, index)
            }
            CARDS => {
                let (board, kept) = build_kept::read(from)?;
                index.saved.boards.insert(board.clone());
                self.board = Some(board.clone());
                if let Some(old) = index.kept.insert(board, kept) {
                    self.stale += size(&old);
                }
                Some(())
            }
            END => Some(()),
            _ => None,
        }
    }

    /// Returns the index, if all of it has come.
    fn index(self) -> Option<BuildIndex> {
        let mut index = self.index;
        let between = self.next == Next::Block && self.bytes.is_empty() && self.board.is_none();
        (self.ended && between && self.at == self.len).then_some(())?;
        let numbers_hold = index.entries.iter().all(|e| {
            (e.file as usize) < index.files.len() && (e.board as usize) < index.boards.len()
        });
        numbers_hold.then_some(())?;
        index.saved = Saved {
            len: Some(self.len),
            stale: self.stale,
            entries: index.entries.len(),
            texts: index.texts.len(),
            words: index.boards.len(),
            bits: index.entries.iter().map(bits).collect(),
            ..index.saved
        };
        Some(index)
    }
}

/// About how many bytes a board takes.
fn size(kept: &Kept) -> u64 {
    let sheet = &kept.sheet;
    let sheet = sheet.texts.len() + sheet.numbers.len() + 16 * sheet.rows.len();
    kept.cards.size() + sheet as u64
}

/// Puts on the disk what is new; failing to is no failure, since whatever comes of it is either whole or
/// not believed.
pub(crate) fn save(disk: &dyn Disk, path: &Path, index: &mut BuildIndex) {
    let goes_on = index.saved.goes_on(index.entries.len());
    let grown = index.saved.len.filter(|_| goes_on);
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
        // In blocks that are read through small memory.
        let (mut at, mut texts) = (saved.entries, saved.texts);
        let mut words = &index.boards[saved.words..];
        for entries in index.entries[saved.entries..].chunks(LINES_OF_A_BLOCK) {
            let left = index.entries.len() - at;
            at += entries.len();
            // A line's texts begin with its number.
            let next = index.entries.get(at).map(|entry| entry.job.at as usize);
            let end = next.unwrap_or(index.texts.len());
            block(to, LINES, |to| {
                to.text(&index.texts[texts..end]);
                to.texts(std::mem::take(&mut words));
                to.count(left);
                to.count(entries.len());
                for entry in entries {
                    write_entry(to, entry);
                }
            });
            texts = end;
        }
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
        block(to, CARDS, |to| build_kept::write(to, board, kept));
        block(to, TEXT, |to| to.bytes.extend(kept.cards.here().as_bytes()));
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

fn read_lines(from: &mut From<'_>, index: &mut BuildIndex, len: u64) -> Option<()> {
    index.texts.push_str(from.text()?);
    index.boards.extend(from.texts()?);
    // With room for the blocks after this one and for what is new: growing would copy them all.
    let left = u64::from(from.short()?).min(len / ENTRY);
    index.entries.reserve(usize::try_from(left).ok()? + ROOM);
    for _ in 0..from.count()? {
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
