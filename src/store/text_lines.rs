//! Lines of a text file that people and other programs write too.

use serde::Serialize;

/// Returns a value of ours as one line of JSON.
pub(crate) fn json_line(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("keys are texts and numbers are finite")
}

/// A line with its number from 1, or why it is none.
pub(crate) type TextLine<'a> = (u64, Result<&'a str, &'static str>);

const MARK: &[u8] = b"\xef\xbb\xbf";

/// Returns the lines that say something; a byte order mark and `\r` before a break are no damage.
pub(crate) fn text_lines(bytes: &[u8]) -> Vec<TextLine<'_>> {
    let placed = placed_lines(bytes, 1, true).into_iter();
    placed.map(|(line, _, text)| (line, text)).collect()
}

/// Returns the same of a part of a file whose first line has the number `first`, each with where it
/// begins in `bytes`; `begins` says that the file begins here.
pub(crate) fn placed_lines(
    bytes: &[u8],
    first: u64,
    begins: bool,
) -> Vec<(u64, usize, Result<&str, &'static str>)> {
    let mut at = if begins && bytes.starts_with(MARK) {
        MARK.len()
    } else {
        0
    };
    let mut found = Vec::new();
    for (number, line) in (first..).zip(bytes[at..].split(|b| *b == b'\n')) {
        let start = at;
        at += line.len() + 1;
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let text = if line.contains(&0) {
            Err("the line holds NUL bytes")
        } else {
            std::str::from_utf8(line).map_err(|_error| "the line is not UTF-8 text")
        };
        found.push((number, start, text));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_breaks_and_empty_lines_say_nothing() {
        let lines = text_lines(b"\xef\xbb\xbfone\r\n\r\n  \n\0\n\xff\ntwo");
        let found: Vec<(u64, Option<&str>)> = lines.iter().map(|(n, t)| (*n, t.ok())).collect();
        assert_eq!(
            found,
            [(1, Some("one")), (4, None), (5, None), (6, Some("two"))]
        );
    }
}
