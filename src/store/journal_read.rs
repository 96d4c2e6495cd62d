//! One journal file as a tape, put together from parts that were read by themselves.
//!
//! A part begins and ends at line breaks; it knows nothing of the numbers before it. Joining the parts
//! in order tells damage and numbers as [`crate::store::journal`] tells them.

use std::io;
use std::ops::Range;
use std::path::Path;

use crc32fast::Hasher;

use crate::domain::tape::Tape;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::record::problem::Problem;
use crate::store::record::review;
use crate::store::record::review_fast::FastReader;
use crate::store::record::review_fast::Quick;
use crate::store::sealed;
use crate::store::side_by_side;
use crate::store::side_by_side::cut;

/// Gets each step of a file and tells whether to go on.
pub(crate) type Take<'a> = dyn FnMut(&[u8]) -> bool + 'a;

/// One journal file as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JournalRead {
    /// Its lines.
    pub tape: Tape,
    /// Damage of the file, then what is odd about its numbers.
    pub faults: Vec<Fault>,
    /// Highest number among its lines.
    pub highest: u64,
    /// Number of the next record.
    pub next_seq: u64,
    /// The next record can start where the file ends.
    pub ends_fresh: bool,
    /// Every id is made of person, bench and number, and numbers only rise: none can have a double.
    pub(crate) regular: bool,
    damage: Vec<Fault>,
    numbering: Vec<Fault>,
    claimed: Vec<u64>,
    physical: u64,
}

/// How far a journal goes, for reading on and for writing on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct End {
    /// Highest number among its good lines.
    pub(crate) highest: u64,
    /// Number of the next record.
    pub(crate) next_seq: u64,
    /// Numbers that damaged lines show.
    pub(crate) claimed: Vec<u64>,
    /// How many lines it has, damaged and empty ones included.
    pub(crate) lines: u64,
}

impl JournalRead {
    /// Returns an empty journal.
    pub(crate) fn new(person: &str, bench: &str) -> Self {
        Self {
            tape: Tape::new(person, bench),
            next_seq: 1,
            ends_fresh: true,
            regular: true,
            ..Self::default()
        }
    }

    /// Returns a journal of which nothing was read but how far it went: what follows is read as if all
    /// before had been.
    pub(crate) fn behind(person: &str, bench: &str, end: &End) -> Self {
        Self {
            highest: end.highest,
            next_seq: end.next_seq,
            claimed: end.claimed.clone(),
            physical: end.lines,
            ..Self::new(person, bench)
        }
    }

    /// Returns how far the journal goes.
    pub(crate) fn end(&self) -> End {
        End {
            highest: self.highest,
            next_seq: self.next_seq,
            claimed: self.claimed.clone(),
            lines: self.physical,
        }
    }

    /// Adds what `bytes`, which follow what was read so far, hold; returns their check sum.
    pub(crate) fn add(&mut self, bytes: &[u8], path: &Path) -> Hasher {
        let (person, bench) = (self.tape.person.clone(), self.tape.bench.clone());
        let parts = side_by_side::map(cut(bytes), |piece| {
            let mut part = Part::new(&person, &bench);
            part.read(piece, path);
            part
        });
        self.join_all(parts, path)
    }

    /// Adds parts that follow one another and what was read so far; returns their check sum.
    pub(crate) fn join_all(&mut self, mut parts: Vec<Part>, path: &Path) -> Hasher {
        let mut sum = Hasher::new();
        // Room for all of them at once, so that none has to move twice.
        let lines: usize = parts.iter().map(|part| part.tape.lines.len()).sum();
        match parts.first_mut() {
            Some(first) if self.tape.lines.is_empty() => {
                let own = first.tape.lines.len();
                first.tape.lines.reserve_exact(lines - own);
            }
            _ => self.tape.lines.reserve(lines),
        }
        for part in parts {
            sum.combine(&part.sum);
            self.join(part, path);
        }
        self.next_seq = sealed::next_after(self.highest, self.claimed.iter().copied());
        self.faults = self.damage.iter().chain(&self.numbering).cloned().collect();
        sum
    }

    fn join(&mut self, part: Part, path: &Path) {
        let before = self.physical;
        let shift = |mut fault: Fault| {
            fault.line = fault.line.map(|line| line + before);
            fault
        };
        self.damage.extend(part.damage.into_iter().map(shift));
        self.claimed.extend(part.claimed);
        let mut problems = part.problems.into_iter().peekable();
        for (at, (line, number)) in part.tape.lines.iter().zip(&part.numbers).enumerate() {
            while let Some((_, number, problem)) = problems.next_if(|p| p.0 <= at) {
                self.numbering.push(problem.at(path, before + number));
            }
            let usual = part.tape.odd_ids.get(&at).is_none_or(|id| {
                let number = id.strip_prefix(&part.tape.prefix()).map(str::parse);
                number.is_some_and(|n| n == Ok(line.seq))
            });
            self.regular &= usual && self.highest < line.seq;
            if line.seq != self.highest + 1 {
                let faults = &mut self.numbering;
                journal::note_jump(self.highest, line.seq, path, before + number, faults);
            }
            self.highest = self.highest.max(line.seq);
        }
        for (_, number, problem) in problems {
            self.numbering.push(problem.at(path, before + number));
        }
        self.physical += part.physical;
        self.tape.append(part.tape);
    }
}

/// What one piece of a file holds; numbers of lines count from its start.
pub(crate) struct Part {
    tape: Tape,
    /// The line on which each line of the tape stands.
    numbers: Vec<u64>,
    /// Before which line of the tape, on which line, and what.
    problems: Vec<(usize, u64, Problem)>,
    damage: Vec<Fault>,
    claimed: Vec<u64>,
    physical: u64,
    sum: Hasher,
    /// How many bytes it took.
    pub(crate) bytes: u64,
    /// The next record can start behind it.
    pub(crate) ends_fresh: bool,
    fast: FastReader,
}

impl Part {
    fn new(person: &str, bench: &str) -> Self {
        let tape = Tape::new(person, bench);
        Self {
            fast: FastReader::new(tape.prefix()),
            tape,
            numbers: Vec::new(),
            problems: Vec::new(),
            damage: Vec::new(),
            claimed: Vec::new(),
            physical: 0,
            sum: Hasher::new(),
            bytes: 0,
            ends_fresh: true,
        }
    }

    /// Adds `bytes`, which begin at the start of a line and end at the end of one or of the file.
    fn read(&mut self, bytes: &[u8], path: &Path) {
        self.sum.update(bytes);
        self.bytes += bytes.len() as u64;
        self.ends_fresh = sealed::ends_fresh(bytes);
        let before = self.physical;
        let mut quick = Vec::with_capacity(AT_ONCE);
        self.physical += sealed::walk(bytes, |piece| match piece {
            sealed::Piece::Good(line) => self.line(line, before, &mut quick),
            sealed::Piece::Bad(damage) => {
                let mut fault = journal::damage_fault(&damage, path);
                fault.line = fault.line.map(|line| line + before);
                self.damage.push(fault);
                self.claimed.extend(sealed::claimed(&damage));
            }
        });
        self.fast.number(&mut quick, &mut self.tape);
    }

    /// Reads the lines that start within `range` of a file of `length` bytes.
    pub(crate) fn read_range(
        steps: &dyn Fn(u64, &mut Take<'_>) -> io::Result<()>,
        path: &Path,
        range: Range<u64>,
        length: u64,
        (person, bench): (&str, &str),
    ) -> io::Result<Self> {
        let mut part = Self::new(person, bench);
        // Room for lines of the usual length, so that few have to move.
        let lines = usize::try_from((range.end - range.start) / 400).unwrap_or(0);
        part.tape.lines.reserve(lines);
        part.numbers.reserve(lines);
        // The line that starts at the very beginning is told by the line break before it.
        let mut at = range.start.saturating_sub(1);
        let mut skipping = range.start > 0;
        let mut carried: Vec<u8> = Vec::new();
        steps(at, &mut |step| {
            let most = usize::try_from(length - at).unwrap_or(usize::MAX);
            let mut bytes = &step[..step.len().min(most)];
            let start = at;
            at += bytes.len() as u64;
            if start == 0 && range.start == 0 {
                let text = sealed::without_mark(bytes);
                let mark = &bytes[..bytes.len() - text.len()];
                part.sum.update(mark);
                part.bytes += mark.len() as u64;
                bytes = text;
            }
            if skipping {
                let Some(end) = memchr::memchr(b'\n', bytes) else {
                    return at < length;
                };
                bytes = &bytes[end + 1..];
                skipping = false;
            }
            // Up to the end of the last line that starts before the end of the range.
            let first = at - bytes.len() as u64;
            let limit = range.end.saturating_sub(first + 1);
            let limit = usize::try_from(limit).unwrap_or(usize::MAX);
            let whole = if first - carried.len() as u64 >= range.end {
                return false;
            } else if limit < bytes.len() {
                let from = if first < range.end { limit } else { 0 };
                memchr::memchr(b'\n', &bytes[from..]).map(|end| from + end + 1)
            } else {
                memchr::memrchr(b'\n', bytes).map(|end| end + 1)
            };
            let Some(whole) = whole else {
                carried.extend_from_slice(bytes);
                return at < length;
            };
            let (lines, rest) = bytes.split_at(whole);
            if carried.is_empty() {
                part.read(lines, path);
            } else {
                carried.extend_from_slice(lines);
                part.read(&std::mem::take(&mut carried), path);
            }
            carried.extend_from_slice(rest);
            at < length && at - (carried.len() as u64) < range.end
        })?;
        // What is left is a last line without its end.
        if !carried.is_empty() && at == length && at - (carried.len() as u64) < range.end {
            part.read(&carried, path);
        }
        Ok(part)
    }

    fn line<'a>(&mut self, line: sealed::SealedLine<'a>, before: u64, quick: &mut Vec<Quick<'a>>) {
        let number = before + line.number;
        if let Some(read) = self.fast.read(line.text) {
            quick.push(read);
            if quick.len() == AT_ONCE {
                self.fast.number(quick, &mut self.tape);
            }
        } else {
            self.fast.number(quick, &mut self.tape);
            match review::read(line.text, &self.tape.bench) {
                Ok(entry) => self.tape.push(entry),
                Err(problem) => {
                    self.problems.push((self.tape.lines.len(), number, problem));
                    return;
                }
            }
        }
        self.numbers.push(number);
    }
}

/// Lines whose texts are looked up one after another: what a processor keeps at hand.
const AT_ONCE: usize = 128;
