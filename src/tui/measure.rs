//! Text cut to columns: wrapping, padding and shortening by display width.

use unicode_width::UnicodeWidthStr;

/// Returns the columns that `text` takes.
pub fn width(text: &str) -> usize {
    text.width()
}

/// Units that stay beside their number.
const UNITS: [&str; 27] = [
    "V", "mV", "kV", "A", "mA", "µA", "uA", "Ω", "mΩ", "kΩ", "MΩ", "ohm", "W", "mW", "Hz", "kHz",
    "MHz", "F", "nF", "µF", "pF", "°C", "C", "%", "s", "min", "h",
];

/// Tells whether a line must not break between two words: a number and its unit.
fn belong_together(before: &str, after: &str) -> bool {
    let Some(number) = before.strip_suffix(' ') else {
        return false;
    };
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '<' | '>' | '~' | '-' | '+' | '(');
    let unit = after.trim_end_matches([' ', ',', '.', ';', ':', ')']);
    number.starts_with(of_number)
        && number.ends_with(|c: char| c.is_ascii_digit())
        && UNITS.contains(&unit)
}

/// Cuts `text` into words with the blanks behind them; a number and its unit are one.
fn pieces(text: &str) -> Vec<&str> {
    let all: Vec<&str> = text.split_inclusive(' ').collect();
    let mut found = Vec::new();
    let (mut from, mut to) = (0, 0);
    for (i, piece) in all.iter().enumerate() {
        to += piece.len();
        let next = all.get(i + 1);
        if !next.is_some_and(|next| belong_together(piece, next)) {
            found.extend(text.get(from..to));
            from = to;
        }
    }
    found
}

/// Breaks `text` into lines of at most `columns`, at blanks where there are any, but not between a
/// number and its unit.
///
/// Never returns an empty list; blanks inside a line stay as they are, so columns in a text survive.
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let text = text.trim_end();
    if width(text) <= columns {
        return vec![text.to_owned()];
    }
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut gap = String::new();
    for piece in pieces(text) {
        let word = piece.trim_end_matches(' ');
        if !word.is_empty() {
            if columns < width(&line) + width(&gap) + width(word) {
                if !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                gap.clear();
            }
            line.push_str(&gap);
            gap.clear();
            for c in word.chars() {
                line.push(c);
                if columns < width(&line) && 1 < line.chars().count() {
                    line.pop();
                    lines.push(std::mem::take(&mut line));
                    line.push(c);
                }
            }
        }
        gap.extend(std::iter::repeat_n(' ', piece.len() - word.len()));
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Returns `text` in at most `columns`, shortened with `…` where it does not fit.
pub fn shorten(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if columns < width(&kept) + 1 {
            kept.pop();
            break;
        }
    }
    if 0 < columns {
        kept.push('…');
    }
    kept
}

/// Returns `text` with blanks after it up to `columns`.
pub fn pad(text: &str, columns: usize) -> String {
    let mut padded = text.to_owned();
    padded.extend(std::iter::repeat_n(
        ' ',
        columns.saturating_sub(width(text)),
    ));
    padded
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lines_break_at_blanks() {
        assert_eq!(
            wrap("Cell out first. Salt residue keeps eating.", 20),
            ["Cell out first. Salt", "residue keeps", "eating."]
        );
        assert_eq!(wrap("3V3_SB   0.41 V", 20), ["3V3_SB   0.41 V"]);
        assert_eq!(wrap("", 20), [""]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
    }

    #[test]
    fn a_number_and_its_unit_stay_on_one_line() {
        assert_eq!(
            wrap("draws 92.3 mA, cycling", 12),
            ["draws", "92.3 mA,", "cycling"]
        );
        assert_eq!(
            wrap("at ~0.41 V of 3.3 V", 8),
            ["at", "~0.41 V", "of 3.3 V"]
        );
        // A designator is no number, and a word no unit.
        assert_eq!(wrap("part U31 A", 9), ["part U31", "A"]);
        assert_eq!(wrap("all 12 jobs", 6), ["all 12", "jobs"]);
    }

    #[test]
    fn a_shortened_text_says_so() {
        assert_eq!(shorten("standby", 7), "standby");
        assert_eq!(shorten("standby", 6), "stand…");
        assert_eq!(shorten("standby", 0), "");
        assert_eq!(pad("Ω", 3), "Ω  ");
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_asked_and_no_letter_is_lost(
            text in "[a-zΩ漢 ]{0,60}", columns in 2usize..40
        ) {
            let lines = wrap(&text, columns);
            prop_assert!(lines.iter().all(|line| width(line) <= columns));
            let letters = |s: &str| s.chars().filter(|c| *c != ' ').collect::<String>();
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }

        #[test]
        fn a_shortened_text_fits(text in "\\PC{0,30}", columns in 0usize..40) {
            prop_assert!(width(&shorten(&text, columns)) <= columns);
        }
    }
}
