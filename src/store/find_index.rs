//! The search index of all jobs, kept ready in `cache/find.idx`: derived, safe to delete, never
//! trusted over the files.
//!
//! A search reads its head, the atoms, the two columns that order documents, and of the rest only
//! the parts it needs. Every part has its length and its check sum in whatever points to it:
//!
//! ```text
//! head      magic; program and files it was made from; counts; where the six parts below are
//! terms     the first term of each block of the dictionary -> block: 64 terms -> list of documents
//! atoms     texts; kinds, places, references and bands of readings -> readings by document
//! lengths   terms of each document        ranks   its place among documents of one score
//! rows      blocks of 32 rows, what a list shows of a job
//! faults    damage in the files of jobs, which every search tells
//! ```
//!
//! Anything that differs, is cut off or has another sum costs nothing but time: the index is made
//! anew from the files. How documents are ranked is in `domain::search::ranked`, by the same code as in memory.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::io;
use std::path::PathBuf;

use crate::domain::generate::coded::tier::History;
use crate::domain::job::Job;
use crate::domain::job_row::IndexRow;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::search::atoms::Atom;
use crate::domain::search::atoms::Atoms;
use crate::domain::search::builder::Builder;
use crate::domain::search::index::Index;
use crate::domain::search::ranked::Posting;
use crate::domain::search::ranked::Reading;
use crate::domain::search::ranked::Shelf;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::find_write;
use crate::store::find_write::ROWS;
use crate::store::jobs;
use crate::store::packed;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::paths::ShopFolder;
use crate::store::shop;
use crate::store::sources;
use crate::store::sources::Source;

/// Begins every index; the number rises with the format.
pub(crate) const MAGIC: &[u8] = b"benchlore find 1\n";
/// Bytes of the file read at once to have the whole head of most shops.
const HEAD: usize = 1 << 14;

/// Where the index lies.
pub fn path(folder: &ShopFolder) -> PathBuf {
    folder.cache().join("find.idx")
}

/// Why an index cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum Unusable {
    /// There is none.
    #[error("there is none")]
    Missing,
    /// The files it was made from have changed, or the program has.
    #[error("the jobs have changed")]
    Stale,
    /// It is not what was written.
    #[error("it is damaged")]
    Damaged,
    /// It cannot be read.
    #[error("it cannot be read")]
    Disk(#[from] io::Error),
}

/// Bytes of the index that are read together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Part {
    /// First byte, from the end of the head.
    pub(crate) at: u64,
    /// How many.
    pub(crate) len: u32,
    /// Their CRC-32.
    pub(crate) sum: u32,
}

impl Part {
    pub(crate) fn write(self, to: &mut To) {
        to.number(self.at);
        to.short(self.len);
        to.short(self.sum);
    }

    fn read(from: &mut From<'_>) -> Option<Self> {
        Some(Self {
            at: from.number()?,
            len: from.short()?,
            sum: from.short()?,
        })
    }
}

/// An index that was made from the files as they are now.
pub struct FindIndex<'a> {
    disk: &'a dyn Disk,
    path: PathBuf,
    /// Where the head ends.
    body: u64,
    len: usize,
    total: u64,
    /// First term of each block of the dictionary.
    blocks: Vec<(String, Part)>,
    atoms: Atoms,
    readings: Vec<Part>,
    lengths_at: Part,
    ranks_at: Part,
    rows_at: Part,
    lengths: OnceCell<Vec<u32>>,
    ranks: OnceCell<Vec<u32>>,
    /// Damage in the files of jobs.
    pub faults: Vec<Fault>,
}

/// Opens the index if it can be believed.
pub fn open<'a>(disk: &'a dyn Disk, folder: &ShopFolder) -> Result<FindIndex<'a>, Unusable> {
    let path = path(folder);
    let about = match disk.about(&path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Err(Unusable::Missing),
        about => about?,
    };
    let Ok(sources) = sources::of_jobs_and_boards(disk, folder) else {
        return Err(Unusable::Stale);
    };
    if !sources::settled(&sources, about.changed) {
        return Err(Unusable::Stale);
    }
    let (head, body) = head(disk, &path, about.len)?;
    let mut from = From { bytes: &head };
    if !sources::same(&sources, &mut from).ok_or(Unusable::Damaged)? {
        return Err(Unusable::Stale);
    }
    let mut index = FindIndex {
        disk,
        path,
        body,
        len: 0,
        total: 0,
        blocks: Vec::new(),
        atoms: Atoms::default(),
        readings: Vec::new(),
        lengths_at: Part {
            at: 0,
            len: 0,
            sum: 0,
        },
        ranks_at: Part {
            at: 0,
            len: 0,
            sum: 0,
        },
        rows_at: Part {
            at: 0,
            len: 0,
            sum: 0,
        },
        lengths: OnceCell::new(),
        ranks: OnceCell::new(),
        faults: Vec::new(),
    };
    index.begin(&mut from, about.len)?;
    Ok(index)
}

/// Returns the head without magic and sum, and where it ends.
fn head(disk: &dyn Disk, path: &std::path::Path, len: u64) -> Result<(Vec<u8>, u64), Unusable> {
    let mut bytes = disk.read_part(path, 0, HEAD)?;
    let begins = MAGIC.len() + 4;
    let mut from = From {
        bytes: bytes.strip_prefix(MAGIC).ok_or(Unusable::Damaged)?,
    };
    let head = from.short().ok_or(Unusable::Damaged)?;
    let end = begins as u64 + u64::from(head) + 4;
    if len < end {
        return Err(Unusable::Damaged);
    }
    let all = usize::try_from(end).unwrap_or(usize::MAX);
    if bytes.len() < all {
        bytes = disk.read_part(path, 0, all)?;
    }
    let (head, sum) = bytes
        .get(..all)
        .and_then(|bytes| bytes.split_last_chunk::<4>())
        .ok_or(Unusable::Damaged)?;
    if crc32fast::hash(head) != u32::from_le_bytes(*sum) {
        return Err(Unusable::Damaged);
    }
    Ok((head[begins..].to_vec(), end))
}

impl FindIndex<'_> {
    /// Reads what every search needs from the head and, by it, from a file of `size` bytes.
    fn begin(&mut self, from: &mut From<'_>, size: u64) -> Result<(), Unusable> {
        let mut parts = [Part {
            at: 0,
            len: 0,
            sum: 0,
        }; 6];
        let mut counts = || Some((from.short()?, from.number()?));
        let (len, total) = counts().ok_or(Unusable::Damaged)?;
        for part in &mut parts {
            *part = Part::read(from).ok_or(Unusable::Damaged)?;
        }
        let [terms, atoms, lengths, ranks, rows, faults] = parts;
        // A column has four bytes for each document: no count beyond the file is believed.
        let columns = u64::from(len) * 4;
        let both = [lengths, ranks].map(|part| u64::from(part.len) == columns);
        if both != [true, true] || size < columns {
            return Err(Unusable::Damaged);
        }
        self.len = usize::try_from(len).unwrap_or(usize::MAX);
        self.total = total;
        (self.lengths_at, self.ranks_at, self.rows_at) = (lengths, ranks, rows);
        let whole = |of: Option<()>| of.ok_or(Unusable::Damaged);
        let bytes = self.part(terms)?;
        whole(self.read_blocks(&mut From { bytes: &bytes }))?;
        let bytes = self.part(atoms)?;
        whole(self.read_atoms(&mut From { bytes: &bytes }))?;
        let bytes = self.part(faults)?;
        whole(self.read_faults(&mut From { bytes: &bytes }))
    }

    fn read_blocks(&mut self, from: &mut From<'_>) -> Option<()> {
        while !from.bytes.is_empty() {
            let first = from.text()?.to_owned();
            self.blocks.push((first, Part::read(from)?));
        }
        Some(())
    }

    fn read_atoms(&mut self, from: &mut From<'_>) -> Option<()> {
        for number in (0..).take(from.count()?) {
            let given = self.atoms.texts.number(from.text()?);
            (given == number).then_some(())?;
        }
        for _ in 0..from.count()? {
            self.atoms.list.push(atom(from)?);
            self.readings.push(Part::read(from)?);
        }
        from.bytes.is_empty().then_some(())
    }

    fn read_faults(&mut self, from: &mut From<'_>) -> Option<()> {
        for _ in 0..from.count()? {
            self.faults.push(from.fault()?);
        }
        from.bytes.is_empty().then_some(())
    }

    /// Returns bytes of the body that are what was written.
    fn part(&self, part: Part) -> Result<Vec<u8>, Unusable> {
        let len = usize::try_from(part.len).unwrap_or(usize::MAX);
        let at = self.body.saturating_add(part.at);
        let bytes = self.disk.read_part(&self.path, at, len)?;
        if bytes.len() != len || crc32fast::hash(&bytes) != part.sum {
            return Err(Unusable::Damaged);
        }
        Ok(bytes)
    }

    fn column(&self, part: Part) -> Result<Vec<u32>, Unusable> {
        let bytes = self.part(part)?;
        let (numbers, _) = bytes.as_chunks::<4>();
        Ok(numbers.iter().map(|n| u32::from_le_bytes(*n)).collect())
    }

    /// Returns the rows of documents, in the order asked.
    pub fn rows(&self, docs: &[usize]) -> Result<Vec<IndexRow>, Unusable> {
        let table = self.part(self.rows_at)?;
        let mut blocks: BTreeMap<usize, Vec<IndexRow>> = BTreeMap::new();
        let mut found = Vec::with_capacity(docs.len());
        for doc in docs {
            let (block, at) = (doc / ROWS, doc % ROWS);
            let rows = match blocks.entry(block) {
                Entry::Occupied(there) => there.into_mut(),
                Entry::Vacant(free) => free.insert(self.row_block(&table, block)?),
            };
            found.push(rows.get(at).ok_or(Unusable::Damaged)?.clone());
        }
        Ok(found)
    }

    /// Returns the rows of a block, by the table of blocks: a part is 16 bytes.
    fn row_block(&self, table: &[u8], block: usize) -> Result<Vec<IndexRow>, Unusable> {
        let rest = block.checked_mul(16).and_then(|at| table.get(at..));
        let part = rest.and_then(|bytes| Part::read(&mut From { bytes }));
        let bytes = self.part(part.ok_or(Unusable::Damaged)?)?;
        row_block(&bytes).ok_or(Unusable::Damaged)
    }

    /// Returns the bytes that `term` points to.
    fn postings(&self, term: &str) -> Result<Option<Vec<u8>>, Unusable> {
        let after = self
            .blocks
            .partition_point(|(first, _)| first.as_str() <= term);
        let Some(block) = after.checked_sub(1).map(|at| self.blocks[at].1) else {
            return Ok(None);
        };
        let bytes = self.part(block)?;
        let mut from = From { bytes: &bytes };
        while !from.bytes.is_empty() {
            let found = from.text().ok_or(Unusable::Damaged)?;
            let part = Part::read(&mut from).ok_or(Unusable::Damaged)?;
            if found == term {
                return self.part(part).map(Some);
            }
        }
        Ok(None)
    }
}

impl Shelf for FindIndex<'_> {
    type Error = Unusable;

    fn len(&self) -> usize {
        self.len
    }

    fn total(&self) -> u64 {
        self.total
    }

    fn atoms(&self) -> &Atoms {
        &self.atoms
    }

    fn list(&self, term: &str) -> Result<Cow<'_, [Posting]>, Unusable> {
        let Some(bytes) = self.postings(term)? else {
            return Ok(Cow::Borrowed(&[]));
        };
        let list = postings(&bytes, self.len).ok_or(Unusable::Damaged)?;
        Ok(Cow::Owned(list))
    }

    fn lengths(&self) -> Result<Cow<'_, [u32]>, Unusable> {
        if self.lengths.get().is_none() {
            drop(self.lengths.set(self.column(self.lengths_at)?));
        }
        Ok(Cow::Borrowed(self.lengths.get().map_or(&[], Vec::as_slice)))
    }

    fn ranks(&self) -> Result<Cow<'_, [u32]>, Unusable> {
        if self.ranks.get().is_none() {
            drop(self.ranks.set(self.column(self.ranks_at)?));
        }
        Ok(Cow::Borrowed(self.ranks.get().map_or(&[], Vec::as_slice)))
    }

    fn readings(&self, at: usize) -> Result<Cow<'_, [Reading]>, Unusable> {
        let part = self.readings.get(at).ok_or(Unusable::Damaged)?;
        let list = readings(&self.part(*part)?, self.len);
        Ok(Cow::Owned(list.ok_or(Unusable::Damaged)?))
    }
}

/// Reads the list of a term; `len` is the number of documents.
fn postings(bytes: &[u8], len: usize) -> Option<Vec<Posting>> {
    let mut from = From { bytes };
    let mut list: Vec<Posting> = Vec::with_capacity(bytes.len() / 2);
    while !from.bytes.is_empty() {
        let step = u32::try_from(from.small()?).ok()?;
        let times = u32::try_from(from.small()?).ok()?;
        let doc = match list.last() {
            Some((before, _)) => before.checked_add(step).filter(|_| step > 0)?,
            None => step,
        };
        ((doc as usize) < len).then_some(())?;
        list.push((doc, times));
    }
    Some(list)
}

/// Reads the readings of an atom; `len` is the number of documents.
fn readings(bytes: &[u8], len: usize) -> Option<Vec<Reading>> {
    let mut from = From { bytes };
    let mut list = Vec::new();
    let mut doc = 0_u32;
    while !from.bytes.is_empty() {
        let step = from.small()?;
        doc = doc.checked_add(u32::try_from(step >> 2).ok()?)?;
        ((doc as usize) < len).then_some(())?;
        let mut number = || Some(f64::from_bits(from.number()?)).filter(|v| v.is_finite());
        let span = match step & 3 {
            0 => None,
            1 => number().map(|v| (v, v)).map(Some)?,
            2 => Some((number()?, number()?)),
            _ => return None,
        };
        list.push(Reading { doc, span });
    }
    Some(list)
}

fn atom(from: &mut From<'_>) -> Option<Atom> {
    let kind = packed::kind_of(from.byte()?)?;
    let bits = from.byte()?;
    let good = from.number()?;
    let (place, folded) = (from.short()?, from.short()?);
    let mut maybe = || Some(Some(from.short()?).filter(|n| *n != u32::MAX));
    let (board, state, polarity) = (maybe()?, maybe()?, maybe()?);
    Some(Atom {
        kind,
        board,
        place,
        folded,
        state,
        polarity,
        in_hertz: bits & 1 > 0,
        good: (bits & 2 > 0).then_some(good),
        band: maybe()?,
        number_band: maybe()?,
    })
}

fn row_block(bytes: &[u8]) -> Option<Vec<IndexRow>> {
    let mut from = From { bytes };
    let mut words = Vec::new();
    for _ in 0..from.count()? {
        words.push(from.text()?);
    }
    let mut rows = Vec::new();
    while !from.bytes.is_empty() {
        rows.push(from.row(&words)?);
    }
    Some(rows)
}

/// A search index in memory, just made from the files.
#[derive(Debug)]
pub struct Made {
    /// The index.
    pub index: Index,
    /// Its rows.
    pub rows: Vec<IndexRow>,
    /// Damage in the files of jobs.
    pub faults: Vec<Fault>,
    /// It lies in the cache now, and the next search will be quick.
    pub kept: bool,
}

/// Makes the index from the files and keeps it; `progress` is told how many bytes of how many were
/// read. Failing to keep it is no failure.
///
/// Settings and boards are read anew, so that the index is that of the files whatever they were when
/// the shop was opened.
pub fn make(
    disk: &dyn Disk,
    folder: &ShopFolder,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Made, StoreError> {
    let before = sources::of_jobs_and_boards(disk, folder)?;
    let mut made = read_all(disk, folder, &before, progress)?;
    // Had a file changed meanwhile, the index might not be that of `before`.
    let now = sources::of_jobs_and_boards(disk, folder);
    if made.kept && now.is_ok_and(|now| now == before) {
        let bytes = find_write::encode(&before, &made.index, &made.rows, &made.faults);
        made.kept = disk::replace(disk, &path(folder), &bytes).is_ok();
    } else {
        made.kept = false;
    }
    Ok(made)
}

/// Reads the files; `kept` says that all of them could be.
fn read_all(
    disk: &dyn Disk,
    folder: &ShopFolder,
    sources: &[Source],
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Made, StoreError> {
    let (record, _) = shop::load_shop(disk, folder)?;
    let circuits = record.shop.circuits();
    let (boards, _) = shop::load_boards(disk, folder, &record.shop, &circuits)?;
    let words = Synonyms::with_shop(&record.shop.synonyms);
    let mut builder = Builder::new(&boards, &words).naming_boards();
    let mut rows = Vec::new();
    let all = sources::total(sources);
    let alone = History::default();
    let passed = jobs::pass_by(
        disk,
        folder,
        &record.shop,
        &circuits,
        &mut |record, bytes| {
            let note = record.extra("note").and_then(|n| n.as_str());
            builder.add_job(&record.job, note.unwrap_or_default());
            rows.push(Some(IndexRow::of(&record.job, &alone)));
            if rows.len() % 1024 == 1 {
                progress(bytes as u64, all);
            }
        },
    )?;
    let mut to = vec![None; rows.len()];
    for (new, old) in (0..).zip(&passed.order) {
        to[*old as usize] = Some(new);
    }
    let jobs: Vec<&Job> = passed.jobs.iter().collect();
    let history = History::of(&jobs);
    let chosen = passed.order.iter().zip(&jobs).filter_map(|(old, job)| {
        let row = rows[*old as usize].take()?;
        let came_again = history.came_again(job);
        Some(IndexRow { came_again, ..row })
    });
    let rows = chosen.collect();
    Ok(Made {
        index: builder.finish_as(&to),
        rows,
        faults: passed.faults,
        kept: passed.unread.is_empty(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Whatever the bytes are, reading them neither stops the program nor names a document that
        /// there is not.
        #[test]
        fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..80), len in 0usize..300) {
            let docs = postings(&bytes, len).unwrap_or_default();
            prop_assert!(docs.iter().all(|(doc, _)| (*doc as usize) < len));
            prop_assert!(docs.windows(2).all(|w| w[0].0 < w[1].0));
            let read = readings(&bytes, len).unwrap_or_default();
            prop_assert!(read.iter().all(|one| (one.doc as usize) < len));
            let rows = row_block(&bytes).unwrap_or_default();
            prop_assert!(rows.len() <= bytes.len());
            let _: Option<Atom> = atom(&mut From { bytes: &bytes });
        }
    }
}
