//! Lines of a text file that people and other programs write too.

use serde::Serialize;

/// Returns a value of ours as one line of JSON.
pub(crate) fn json_line(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("keys are texts and numbers are finite")
}

/// A line with its number from 1, or why it is none.
pub(crate) type TextLine<'a> = (u64, Result<&'a str, &'static str>);

/// Returns the lines that say something; a byte order mark and `\r` before a break are no damage.
pub(crate) fn text_lines(bytes: &[u8]) -> Vec<TextLine<'_>> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut found = Vec::new();
    for (number, line) in (1..).zip(bytes.split(|b| *b == b'\n')) {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let text = if line.contains(&0) {
            Err("the line holds NUL bytes")
        } else {
            std::str::from_utf8(line).map_err(|_error| "the line is not UTF-8 text")
        };
        found.push((number, text));
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
