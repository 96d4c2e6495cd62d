//! Cuts a text into chunks: words, numbers, designators, nets, marks.
//!
//! One pass, no looking back: a text of any length takes time in proportion to it. Words are folded
//! (small letters, apostrophes dropped, micro signs as `u`) into one buffer; the source stays as it is.

use std::ops::Range;

use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::reading::numbers;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::parts;

/// What a chunk is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    /// A word.
    Word,
    /// A number, perhaps with its unit.
    Number(Quantity),
    /// A designator.
    Part,
    /// A net by the way it is written.
    Net,
    /// Digits and marks of a date: three numbers, or two.
    Day(Day),
    /// A version: `v2.1`.
    Version,
    /// Punctuation.
    Mark(char),
}

/// Numbers of a date in the order written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Day {
    /// The first.
    pub(super) a: u32,
    /// The second.
    pub(super) b: u32,
    /// The third, where there is one.
    pub(super) c: Option<u32>,
    /// The year stands first.
    pub(super) year_first: bool,
}

/// A chunk of the text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chunk {
    /// What it is.
    pub(super) kind: Kind,
    /// Its bytes of the text.
    pub(super) words: Range<usize>,
    /// A blank stands before it.
    pub(super) gap: bool,
    folded: Range<usize>,
}

/// A text cut into chunks.
pub(super) struct Scan<'t> {
    /// The text.
    pub(super) text: &'t str,
    /// Its chunks.
    pub(super) chunks: Vec<Chunk>,
    folded: String,
}

impl<'t> Scan<'t> {
    /// Cuts `text`.
    pub(super) fn new(text: &'t str, mark: DecimalMark, board: Option<&BoardFacts>) -> Self {
        let mut cutter = Cutter {
            scan: Scan {
                text,
                chunks: Vec::with_capacity(text.len() / 4 + 4),
                folded: String::with_capacity(text.len()),
            },
            mark,
            board,
            listing: false,
        };
        cutter.run();
        cutter.scan
    }

    /// Returns the source of a chunk.
    pub(super) fn source(&self, i: usize) -> &'t str {
        self.chunks
            .get(i)
            .map_or("", |c| &self.text[c.words.clone()])
    }

    /// Returns a chunk folded.
    pub(super) fn folded(&self, i: usize) -> &str {
        self.chunks
            .get(i)
            .map_or("", |c| &self.folded[c.folded.clone()])
    }

    /// Tells whether chunk `i` is the mark `mark`.
    pub(super) fn is_mark(&self, i: usize, mark: char) -> bool {
        self.chunks
            .get(i)
            .is_some_and(|c| c.kind == Kind::Mark(mark))
    }

    /// Tells whether nothing but its neighbours touches chunk `i`.
    pub(super) fn is_tight(&self, i: usize) -> bool {
        let gap = |i: usize| self.chunks.get(i).is_none_or(|c| c.gap);
        !gap(i) && !gap(i + 1)
    }
}

struct Cutter<'t, 'k> {
    scan: Scan<'t>,
    mark: DecimalMark,
    board: Option<&'k BoardFacts>,
    /// Inside a tight list of designators: a comma is no decimal mark.
    listing: bool,
}

/// Tells whether a character shows nothing and separates words.
fn is_blank(c: char) -> bool {
    c.is_whitespace()
        || matches!(
            c,
            '\u{200b}'..='\u{200d}' | '\u{feff}' | '\u{2060}' | '\u{ad}'
        )
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | '‘' | '`' | '´')
}

impl Cutter<'_, '_> {
    fn run(&mut self) {
        let text = self.scan.text;
        let mut at = 0;
        let mut gap = true;
        while let Some(c) = text[at..].chars().next() {
            let len = c.len_utf8();
            if c == '\n' || c == '\r' {
                self.push(Kind::Mark(';'), at..at + len, gap);
                gap = true;
            } else if is_blank(c) {
                gap = true;
                self.listing = false;
            } else if c.is_alphanumeric() || self.point_before_digit(at, c) {
                let len = self.chunk(at, gap);
                at += len;
                gap = false;
                continue;
            } else {
                let (mark, len) = mark_at(&text[at..], c);
                self.listing &= matches!(mark, ',' | '+' | '/' | '&') && !gap;
                if !self.is_sign(at, c, gap) {
                    self.push(Kind::Mark(mark), at..at + len, gap);
                }
                at += len;
                gap = false;
                continue;
            }
            at += len;
        }
    }

    /// Tells whether `.45` starts here.
    fn point_before_digit(&self, at: usize, c: char) -> bool {
        matches!(c, '.' | ',')
            && self
                .scan
                .text
                .as_bytes()
                .get(at + 1)
                .is_some_and(u8::is_ascii_digit)
            && !self.scan.text[..at]
                .chars()
                .next_back()
                .is_some_and(|b| b.is_alphanumeric() || b == c)
    }

    /// Tells whether a `+` is the sign of a rail: `+5V`.
    fn is_sign(&self, at: usize, c: char, gap: bool) -> bool {
        let next = self.scan.text.as_bytes().get(at + 1);
        c == '+' && gap && next.is_some_and(u8::is_ascii_digit)
    }

    fn push(&mut self, kind: Kind, words: Range<usize>, gap: bool) {
        let end = self.scan.folded.len();
        self.scan.chunks.push(Chunk {
            kind,
            words,
            gap,
            folded: end..end,
        });
    }

    fn push_word(&mut self, words: Range<usize>, gap: bool) {
        let from = self.scan.folded.len();
        let source = &self.scan.text[words.clone()];
        if source.is_ascii() {
            let letters = source.bytes().filter(|b| !matches!(b, b'\'' | b'`'));
            self.scan
                .folded
                .extend(letters.map(|b| char::from(b.to_ascii_lowercase())));
        } else {
            for c in source.chars().filter(|c| !is_apostrophe(*c)) {
                match c {
                    'µ' | 'μ' => self.scan.folded.push('u'),
                    c => self.scan.folded.extend(c.to_lowercase()),
                }
            }
        }
        let folded = from..self.scan.folded.len();
        self.scan.chunks.push(Chunk {
            kind: Kind::Word,
            words,
            gap,
            folded,
        });
    }

    /// Reads the chunk at `at`, and returns the bytes it takes.
    fn chunk(&mut self, at: usize, gap: bool) -> usize {
        let rest = &self.scan.text[at..];
        if let Some((day, len)) = day_at(rest) {
            self.push(Kind::Day(day), at..at + len, gap);
            return len;
        }
        let first = rest.as_bytes()[0];
        if first.is_ascii_digit() || first == b'.' || first == b',' {
            return self.number_chunk(at, gap);
        }
        self.word_chunk(at, gap)
    }

    fn number_chunk(&mut self, at: usize, gap: bool) -> usize {
        let rest = &self.scan.text[at..];
        let mark = self.mark;
        let read = if self.listing {
            let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
            numbers::number(&rest[..digits], mark)
        } else {
            numbers::number(rest, mark)
        };
        let Some((number, len)) = read else {
            // Digits that are no number: their run is one odd chunk.
            let len = rest
                .bytes()
                .take_while(|b| b.is_ascii_alphanumeric() || matches!(b, b'.' | b','))
                .count()
                .max(1);
            self.push_word(at..at + len, gap);
            return len;
        };
        let tail = tail_of(&rest[len..]);
        let whole = len + tail.len();
        self.listing &= tail.is_empty() && number.whole;
        if let Some(quantity) = numbers::with_rest(number, tail) {
            self.push(Kind::Number(quantity), at..at + whole, gap);
            return whole;
        }
        let volts = tail.starts_with(['V', 'v']) || tail.starts_with('_');
        if volts && rest[..whole].len() <= 24 && number_and_name(tail) {
            self.push(Kind::Net, at..at + whole, gap);
        } else {
            self.push_word(at..at + whole, gap);
        }
        whole
    }

    fn word_chunk(&mut self, at: usize, gap: bool) -> usize {
        let rest = &self.scan.text[at..];
        if let Some(len) = dotted(rest) {
            self.push_word(at..at + len, gap);
            // The last point of `i.O.` ends no sentence.
            let point = rest.as_bytes().get(len) == Some(&b'.');
            return len + usize::from(point);
        }
        let mut len = 0;
        let mut chars = rest.char_indices().peekable();
        while let Some((i, c)) = chars.next() {
            let inner = (c == '_' || is_apostrophe(c))
                && chars.peek().is_some_and(|(_, n)| n.is_alphanumeric());
            if !(c.is_alphanumeric() || inner) {
                break;
            }
            len = i + c.len_utf8();
        }
        let source = &rest[..len];
        if let Some(longer) = version(rest, len) {
            self.push(Kind::Version, at..at + longer, gap);
            return longer;
        }
        self.listing = false;
        if source.contains('_') && len <= 32 {
            self.push(Kind::Net, at..at + len, gap);
        } else if parts::is_designator(source, self.board) {
            self.listing = true;
            let pin = pin_after(&rest[len..]);
            self.push(Kind::Part, at..at + len + pin, gap);
            return len + pin;
        } else {
            self.push_word(at..at + len, gap);
        }
        len
    }
}

/// Returns the mark at the start, and its bytes: `->` and `..` are one.
fn mark_at(text: &str, c: char) -> (char, usize) {
    let next = text[c.len_utf8()..].chars().next();
    match (c, next) {
        ('-' | '=', Some('>')) => ('→', 2),
        ('.', Some('.')) => ('–', text.bytes().take_while(|b| *b == b'.').count()),
        ('…', _) => ('–', c.len_utf8()),
        ('<' | '>', Some('=')) => (c, 2),
        ('–' | '—' | '−' | '‐' | '‑' | '-', _) => ('-', c.len_utf8()),
        ('→' | '⇒' | '➔', _) => ('→', c.len_utf8()),
        ('“' | '”' | '„' | '"' | '«' | '»' | '″', _) => ('"', c.len_utf8()),
        ('；' | ';' | '|' | '•' | '·', _) => (';', c.len_utf8()),
        ('≈' | '~' | '∼', _) => ('~', c.len_utf8()),
        ('≤', _) => ('<', c.len_utf8()),
        ('≥', _) => ('>', c.len_utf8()),
        _ => (c, c.len_utf8()),
    }
}

/// Returns the letters and digits glued to a number.
fn tail_of(rest: &str) -> &str {
    let mut len = 0;
    for (i, c) in rest.char_indices() {
        let inside = c.is_alphanumeric()
            || (c == '_' && rest[i + 1..].starts_with(char::is_alphanumeric))
            || matches!(c, '°' | 'º' | '%' | '€');
        if !inside || i > 24 {
            break;
        }
        len = i + c.len_utf8();
    }
    &rest[..len]
}

/// Tells whether `V3_SB`, `Vsb` or `V_IN` follow a number: a net's name.
fn number_and_name(tail: &str) -> bool {
    tail.is_ascii() && tail.len() >= 2
}

/// Returns the length of `.4` or `-4` after a designator: its pin.
fn pin_after(rest: &str) -> usize {
    let bytes = rest.as_bytes();
    if bytes.first() != Some(&b'.') {
        return 0;
    }
    let digits = bytes[1..].iter().take_while(|b| b.is_ascii_digit()).count();
    if digits == 0 { 0 } else { 1 + digits }
}

/// Returns the length of single letters with points between: `i.O`, `s.o`.
fn dotted(rest: &str) -> Option<usize> {
    let bytes = rest.as_bytes();
    let mut len = 0;
    loop {
        let letter = bytes.get(len).is_some_and(u8::is_ascii_alphabetic);
        let alone = !bytes.get(len + 1).is_some_and(u8::is_ascii_alphanumeric);
        if !(letter && alone) {
            break;
        }
        if bytes.get(len + 1) != Some(&b'.')
            || !bytes.get(len + 2).is_some_and(u8::is_ascii_alphabetic)
        {
            len += 1;
            break;
        }
        len += 2;
    }
    (len >= 3 && bytes.get(len - 1).is_some_and(u8::is_ascii_alphabetic)).then_some(len)
}

/// Returns the length of a version such as `v2.1`.
fn version(rest: &str, word: usize) -> Option<usize> {
    let bytes = rest.as_bytes();
    if !matches!(bytes.first(), Some(b'v' | b'V')) || word < 2 {
        return None;
    }
    if !bytes[1..word].iter().all(u8::is_ascii_digit) {
        return None;
    }
    let mut len = word;
    while bytes.get(len) == Some(&b'.') && bytes.get(len + 1).is_some_and(u8::is_ascii_digit) {
        len += 1;
        len += bytes[len..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count();
    }
    (len > word).then_some(len)
}

/// Reads a date at the start: `2026-03-14`, `31.12.25`, `12/11/24`, `14/11`; returns it and its bytes.
fn day_at(rest: &str) -> Option<(Day, usize)> {
    let bytes = rest.as_bytes();
    let run = |from: usize| {
        let len = bytes[from..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count();
        (len > 0 && len <= 4).then(|| (rest[from..from + len].parse::<u32>().unwrap_or(0), len))
    };
    if !bytes.first()?.is_ascii_digit() {
        return None;
    }
    let (a, first) = run(0)?;
    let mark = *bytes.get(first)?;
    if !matches!(mark, b'-' | b'/' | b'.') {
        return None;
    }
    let (b, second) = run(first + 1)?;
    let end = first + 1 + second;
    let ends = |at: usize| !bytes.get(at).is_some_and(u8::is_ascii_alphanumeric);
    if bytes.get(end) == Some(&mark)
        && let Some((c, third)) = run(end + 1)
        && ends(end + 1 + third)
    {
        let year_first = first == 4 && second <= 2 && third <= 2;
        let year_last = first <= 2 && second <= 2 && (third == 4 || third == 2);
        let fits =
            (year_first || year_last) && a > 0 && b > 0 && (year_first || a <= 31) && b <= 31;
        let day = Day {
            a,
            b,
            c: Some(c),
            year_first,
        };
        return fits.then_some((day, end + 1 + third));
    }
    let short =
        mark == b'/' && first <= 2 && second <= 2 && ends(end) && bytes.get(end) != Some(&b'/');
    let fits = short && (1..=31).contains(&a) && (1..=31).contains(&b) && (a <= 12 || b <= 12);
    let day = Day {
        a,
        b,
        c: None,
        year_first: false,
    };
    fits.then_some((day, end))
}

/// Returns the number and unit of two chunks that stand apart: `40 mA`.
pub(super) fn unit_after(scan: &Scan<'_>, i: usize) -> Option<(Unit, i32)> {
    let chunk = scan.chunks.get(i)?;
    if chunk.kind != Kind::Word {
        return (chunk.kind == Kind::Mark('%')).then_some((Unit::Other, 0));
    }
    let source = scan.source(i);
    let alone = [
        "a", "v", "c", "C", "k", "K", "M", "m", "s", "S", "d", "n", "u", "p", "F", "H", "w", "x",
        "r", "up", "h", "X", "pin", "st", "grad",
    ];
    if alone.contains(&source) {
        return None;
    }
    numbers::unit(source)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Vec<String> {
        let scan = Scan::new(text, DecimalMark::Unknown, None);
        let kinds = |i: usize| match &scan.chunks[i].kind {
            Kind::Word => format!("w:{}", scan.folded(i)),
            Kind::Number(_) => format!("n:{}", scan.source(i)),
            Kind::Part => format!("p:{}", scan.source(i)),
            Kind::Net => format!("net:{}", scan.source(i)),
            Kind::Day(_) => format!("day:{}", scan.source(i)),
            Kind::Version => format!("ver:{}", scan.source(i)),
            Kind::Mark(c) => c.to_string(),
        };
        (0..scan.chunks.len()).map(kinds).collect()
    }

    #[test]
    fn chunks_are_told_apart_by_how_they_are_written() {
        for (text, chunks) in [
            ("3V3_SB 0.41", "net:3V3_SB n:0.41"),
            ("C12,13+15", "p:C12 , n:13 + n:15"),
            ("C12,13,15", "p:C12 , n:13 , n:15"),
            ("5V = 3,8", "n:5V = n:3,8"),
            ("20mA->1.1A->0", "n:20mA → n:1.1A → n:0"),
            ("v2.1->2.3", "ver:v2.1 → n:2.3"),
            ("12/11/24 fixed 14/11", "day:12/11/24 w:fixed day:14/11"),
            ("i.O.", "w:i.o"),
            ("BNC'D won’t", "w:bncd w:wont"),
            ("Amps: .45", "w:amps : n:.45"),
            ("+5V low", "n:5V w:low"),
            ("60\u{a0}Ω", "n:60 w:ω"),
            ("1.50E+03", "n:1.50E+03"),
        ] {
            assert_eq!(cut(text).join(" "), chunks, "{text}");
        }
    }
}
