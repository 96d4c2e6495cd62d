//! Writes `cache/find.idx`; how it is laid out is said in [`find_index`](crate::store::find_index).

use crate::domain::job_row::IndexRow;
use crate::domain::search::atoms::Atom;
use crate::domain::search::atoms::Atoms;
use crate::domain::search::index::Index;
use crate::domain::search::ranked::Posting;
use crate::domain::search::ranked::Reading;
use crate::domain::search::ranked::Shelf as _;
use crate::store::fault::Fault;
use crate::store::find_index::MAGIC;
use crate::store::find_index::Part;
use crate::store::packed;
use crate::store::packed::To;
use crate::store::sources;
use crate::store::sources::Source;

/// Terms of one block of the dictionary.
const TERMS: usize = 64;
/// Rows of one block.
pub(crate) const ROWS: usize = 32;

/// Returns the bytes of the index over jobs with these rows; `faults` are told with every search.
pub(crate) fn encode(
    sources: &[Source],
    index: &Index,
    rows: &[IndexRow],
    faults: &[Fault],
) -> Vec<u8> {
    let mut body = Body::default();
    let terms = dictionary(index, &mut body);
    let readings: Vec<Part> = index
        .by_atom()
        .iter()
        .map(|r| body.add(&readings(r)))
        .collect();
    let atoms = body.add(&atoms(index.atoms(), &readings));
    let lengths = body.add(&numbers(index.by_length()));
    let ranks = body.add(&numbers(index.by_rank()));
    let rows_at: Vec<Part> = rows
        .chunks(ROWS)
        .map(|rows| body.add(&block(rows)))
        .collect();
    let mut table = To::default();
    for part in &rows_at {
        part.write(&mut table);
    }
    let rows_at = body.add(&table.bytes);
    let mut list = To::default();
    list.count(faults.len());
    for fault in faults {
        list.fault(fault);
    }
    let faults = body.add(&list.bytes);

    let mut head = To::default();
    sources::write(sources, &mut head);
    head.count(index.len());
    head.number(index.total());
    for part in [terms, atoms, lengths, ranks, rows_at, faults] {
        part.write(&mut head);
    }
    let mut out = To::default();
    out.bytes.extend(MAGIC);
    out.count(head.bytes.len());
    out.bytes.extend(head.bytes);
    let sum = crc32fast::hash(&out.bytes);
    out.short(sum);
    out.bytes.extend(body.bytes);
    out.bytes
}

/// What stands behind the head, part by part.
#[derive(Default)]
struct Body {
    bytes: Vec<u8>,
}

impl Body {
    fn add(&mut self, bytes: &[u8]) -> Part {
        let part = Part {
            at: self.bytes.len() as u64,
            len: u32::try_from(bytes.len()).unwrap_or(u32::MAX),
            sum: crc32fast::hash(bytes),
        };
        self.bytes.extend(bytes);
        part
    }
}

/// Writes the lists and the blocks of the dictionary; returns where the table of blocks is.
fn dictionary(index: &Index, body: &mut Body) -> Part {
    let mut all: Vec<(&str, &[Posting])> = index.lists().collect();
    all.sort_unstable();
    let mut table = To::default();
    for block in all.chunks(TERMS) {
        let mut terms = To::default();
        for (term, list) in block {
            terms.text(term);
            body.add(&postings(list)).write(&mut terms);
        }
        table.text(block[0].0);
        body.add(&terms.bytes).write(&mut table);
    }
    body.add(&table.bytes)
}

fn postings(list: &[Posting]) -> Vec<u8> {
    let mut to = To::default();
    let mut before = 0;
    for (doc, times) in list {
        to.small(u64::from(doc - before));
        to.small(u64::from(*times));
        before = *doc;
    }
    to.bytes
}

fn readings(list: &[Reading]) -> Vec<u8> {
    let mut to = To::default();
    let mut before = 0;
    for reading in list {
        // The two lowest bits say how many numbers follow.
        let (n, numbers) = match reading.span {
            None => (0, [0.0, 0.0]),
            Some((low, high)) if low.to_bits() == high.to_bits() => (1, [low, low]),
            Some((low, high)) => (2, [low, high]),
        };
        to.small((u64::from(reading.doc - before) << 2) | n as u64);
        numbers.iter().take(n).for_each(|v| to.number(v.to_bits()));
        before = reading.doc;
    }
    to.bytes
}

fn atoms(atoms: &Atoms, readings: &[Part]) -> Vec<u8> {
    let mut to = To::default();
    to.count(atoms.texts.len());
    for number in (0..).take(atoms.texts.len()) {
        to.text(atoms.text(number));
    }
    to.count(atoms.list.len());
    for (atom, part) in atoms.list.iter().zip(readings) {
        self::atom(atom, &mut to);
        part.write(&mut to);
    }
    to.bytes
}

fn atom(atom: &Atom, to: &mut To) {
    to.byte(packed::kind(atom.kind));
    to.byte(u8::from(atom.in_hertz) | (u8::from(atom.good.is_some()) << 1));
    to.number(atom.good.unwrap_or(0));
    to.short(atom.place);
    to.short(atom.folded);
    for text in [
        atom.board,
        atom.state,
        atom.polarity,
        atom.band,
        atom.number_band,
    ] {
        to.short(text.unwrap_or(u32::MAX));
    }
}

fn numbers(list: &[u32]) -> Vec<u8> {
    list.iter().flat_map(|n| n.to_le_bytes()).collect()
}

/// Returns a block of rows that is read by itself: its words, then the rows.
fn block(rows: &[IndexRow]) -> Vec<u8> {
    let mut list = To::default();
    for row in rows {
        list.row(row);
    }
    let mut to = To::default();
    to.count(list.list.len());
    list.list.iter().for_each(|word| to.text(word));
    to.bytes.extend(list.bytes);
    to.bytes
}
