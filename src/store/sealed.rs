//! Lines that carry a check sum: how one is closed, and how a file of them is read after damage.
//!
//! `sum` is the CRC-32 (8 lower-case hexadecimal digits) of the line's bytes before `,"sum"`. It is
//! always the last field. A flipped byte costs only the line it touched: where the line break itself
//! was hit, both neighbours are still found by their sums.

use std::ops::Range;

const MARK: &[u8] = b",\"sum\":\"";
const START: &[u8] = b"{\"v\":";
/// `,"sum":"` + 8 digits + `"}`.
const TAIL: usize = 18;

/// Returns `object` (a JSON object on one line) closed by its check sum.
pub fn seal(object: &str) -> String {
    let body = object.strip_suffix('}').unwrap_or(object);
    let sum = crc32fast::hash(body.as_bytes());
    format!("{body},\"sum\":\"{sum:08x}\"}}")
}

/// Returns a sealed line as it was before it was closed.
pub fn open(line: &str) -> Option<String> {
    let body = line.get(..line.len().checked_sub(TAIL)?)?;
    Some(format!("{body}}}"))
}

/// Returns the line as text if its check sum fits.
pub fn unseal(line: &[u8]) -> Option<&str> {
    let (body, tail) = line.split_at_checked(line.len().checked_sub(TAIL)?)?;
    let digits = tail.strip_prefix(MARK)?.strip_suffix(b"\"}")?;
    let mut sum = 0_u32;
    for digit in digits {
        let value = match digit {
            b'0'..=b'9' => digit - b'0',
            b'a'..=b'f' => digit - b'a' + 10,
            _ => return None,
        };
        sum = (sum << 4) | u32::from(value);
    }
    if crc32fast::hash(body) != sum {
        return None;
    }
    std::str::from_utf8(line).ok()
}

/// A line whose check sum fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SealedLine<'a> {
    /// Line number in the file, from 1.
    pub number: u64,
    /// The whole line.
    pub text: &'a str,
}

/// Bytes that belong to no good line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Damage<'a> {
    /// Line number in the file, from 1.
    pub number: u64,
    /// The whole damaged line.
    pub bytes: &'a [u8],
    /// Good lines were found inside it all the same.
    pub salvaged: usize,
    /// It is the end of the file, without a line break.
    pub torn: bool,
}

/// What a file of sealed lines holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scan<'a> {
    /// Good lines in the order of the file.
    pub lines: Vec<SealedLine<'a>>,
    /// Damage in the order of the file.
    pub damage: Vec<Damage<'a>>,
    /// The next record can start where the file ends.
    pub ends_fresh: bool,
}

/// Sorts the bytes of a file into good lines and damage; nothing is passed over in silence.
///
/// Empty lines, a byte order mark and `\r` before a line break are no damage.
pub fn scan(bytes: &[u8]) -> Scan<'_> {
    let mut found = Scan {
        ends_fresh: ends_fresh(bytes),
        ..Scan::default()
    };
    let (mut lines, mut damage) = (Vec::new(), Vec::new());
    walk(without_mark(bytes), |piece| match piece {
        Piece::Good(line) => lines.push(line),
        Piece::Bad(bad) => damage.push(bad),
    });
    found.lines = lines;
    found.damage = damage;
    found
}

/// Tells whether the next record can start where `bytes` end.
pub(crate) fn ends_fresh(bytes: &[u8]) -> bool {
    bytes.last().is_none_or(|b| *b == b'\n')
}

/// Returns the bytes of a file without a byte order mark.
pub(crate) fn without_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)
}

/// A good line, or damage; damage comes before the good lines found inside it.
pub(crate) enum Piece<'a> {
    /// A line whose check sum fits.
    Good(SealedLine<'a>),
    /// Bytes that belong to no good line.
    Bad(Damage<'a>),
}

/// Hands out what stands in `bytes`, which begin at the start of a line; returns the number of lines.
pub(crate) fn walk<'a>(bytes: &'a [u8], mut take: impl FnMut(Piece<'a>)) -> u64 {
    let mut rest = bytes;
    let mut number = 0;
    while !rest.is_empty() {
        number += 1;
        let end = memchr::memchr(b'\n', rest);
        let line = &rest[..end.unwrap_or(rest.len())];
        rest = &rest[end.map_or(rest.len(), |end| end + 1)..];
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        if let Some(text) = unseal(line) {
            take(Piece::Good(SealedLine { number, text }));
            continue;
        }
        let inside = salvage(line);
        take(Piece::Bad(Damage {
            number,
            bytes: line,
            salvaged: inside.len(),
            torn: end.is_none(),
        }));
        for text in inside {
            take(Piece::Good(SealedLine { number, text }));
        }
    }
    number
}

/// Finds good lines inside a damaged one: each ends at a sum and starts at the last start before it.
fn salvage(line: &[u8]) -> Vec<&str> {
    let mut found = Vec::new();
    let mut from = 0;
    let mut look = 0;
    while let Some(mark) = find(line, MARK, look) {
        look = mark + MARK.len();
        let Some(candidate) = line.get(from..mark + TAIL) else {
            break;
        };
        let start = last(candidate, START).map(|at| from + at);
        if let Some(text) = start.and_then(|start| unseal(&line[start..mark + TAIL])) {
            found.push(text);
            from = mark + TAIL;
            look = from;
        }
    }
    found
}

fn find(bytes: &[u8], what: &[u8], from: usize) -> Option<usize> {
    let within = bytes.get(from..)?;
    within
        .windows(what.len())
        .position(|w| w == what)
        .map(|at| from + at)
}

fn last(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|w| w == what)
}

/// Returns the number that the next record gets, after good lines up to `highest`.
///
/// A damaged line that still shows its end was a whole record and had used its number; a torn one
/// had not.
pub fn next_seq(highest: u64, damage: &[Damage<'_>]) -> u64 {
    next_after(highest, damage.iter().filter_map(claimed))
}

/// Returns the number that a damaged line shows, where it was a whole record.
pub(crate) fn claimed(damage: &Damage<'_>) -> Option<u64> {
    let whole = damage.salvaged == 0 && is_whole(damage.bytes);
    whole.then(|| shown_seq(damage.bytes)).flatten()
}

/// Returns the number of the next record, after good lines up to `highest` and damaged ones that
/// show the numbers `claimed`.
pub(crate) fn next_after(highest: u64, claimed: impl Iterator<Item = u64>) -> u64 {
    let used = claimed.filter(|seq| *seq <= highest.saturating_add(1));
    used.max().unwrap_or(0).max(highest) + 1
}

fn is_whole(line: &[u8]) -> bool {
    let tail = line.len().checked_sub(TAIL).map(|at| &line[at..]);
    tail.is_some_and(|t| {
        t.starts_with(MARK) || (t.ends_with(b"\"}") && find(line, b"\"sum\"", 0).is_some())
    })
}

fn shown_seq(line: &[u8]) -> Option<u64> {
    const KEY: &[u8] = b"\"seq\":";
    let at = find(line, KEY, 0)? + KEY.len();
    let digits: Range<usize> =
        at..at + line[at..].iter().take_while(|b| b.is_ascii_digit()).count();
    std::str::from_utf8(&line[digits]).ok()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_is_the_published_crc_32() {
        // Check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms: "123456789".
        assert_eq!(crc32fast::hash(b"123456789"), 0xcbf4_3926);
        assert_eq!(seal("123456789}"), "123456789,\"sum\":\"cbf43926\"}");
    }

    #[test]
    fn upper_case_digits_are_refused() {
        let line = seal("{\"v\":1}");
        assert_eq!(unseal(line.as_bytes()), Some(line.as_str()));
        let sum = &line[line.len() - 10..line.len() - 2];
        assert!(sum.bytes().any(|b| b.is_ascii_alphabetic()), "{sum}");
        let upper = line.replace(sum, &sum.to_uppercase());
        assert_eq!(unseal(upper.as_bytes()), None);
    }

    #[test]
    fn a_hit_line_break_costs_neither_neighbour() {
        let (one, two) = (seal("{\"v\":1,\"seq\":1}"), seal("{\"v\":1,\"seq\":2}"));
        let bytes = format!("{one}\u{b}{two}\n");
        let found = scan(bytes.as_bytes());
        let texts: Vec<&str> = found.lines.iter().map(|l| l.text).collect();
        assert_eq!(texts, [one.as_str(), two.as_str()]);
        assert_eq!(found.damage.len(), 1);
        assert_eq!(found.damage[0].number, 1);
    }

    #[test]
    fn a_torn_line_uses_no_number_and_a_hit_one_does() {
        let whole = seal("{\"v\":1,\"seq\":8}");
        let hit = whole.replace("seq\":8", "seq\":8 ");
        for (text, next) in [
            (format!("{}\n", &whole[..12]), 8),
            (hit.clone(), 9),
            (format!("{hit}\n"), 9),
            (hit.replace("seq\":8", "seq\":99"), 8),
        ] {
            let found = scan(text.as_bytes());
            assert_eq!(found.damage.len(), 1, "{text}");
            assert_eq!(next_seq(7, &found.damage), next, "{text}");
        }
    }

    #[test]
    fn marks_breaks_and_empty_lines_are_no_damage() {
        let line = seal("{\"v\":1}");
        let found = format!("\u{feff}{line}\r\n\r\n\n{line}");
        let found = scan(found.as_bytes());
        assert_eq!(found.damage, []);
        assert_eq!(found.lines.len(), 2);
        assert_eq!(found.lines[1].number, 4);
        assert!(!found.ends_fresh);
    }
}
