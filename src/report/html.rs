//! The one way from text into HTML. Text is data: it never becomes a tag, an attribute or an act.

use crate::domain::text::clean;

/// Returns `text` fit for the content of an element and for an attribute in double or single quotes.
///
/// Control characters, which HTML forbids, and characters that turn the direction of writing go through
/// [`clean`] first.
pub fn text(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c => safe.push(c),
        }
    }
    safe
}

/// Units that stay on the line of their number.
const UNITS: [&str; 20] = [
    "%", "V", "mV", "A", "mA", "µA", "Ω", "kΩ", "MΩ", "ohm", "Hz", "kHz", "MHz", "°C", "s", "ms",
    "min", "pt", "W", "h",
];
/// What is longer than this may be broken, in characters.
const LONGEST_PIECE: usize = 24;

/// Parts cleaned text into pieces that stay on one line: words, and numbers with their units.
pub fn pieces(text: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for word in clean(text).split_whitespace() {
        let unit = word.trim_end_matches([',', ';', '.', ':', ')']);
        match pieces.last_mut() {
            Some(before)
                if UNITS.contains(&unit)
                    && before.ends_with(|c: char| c.is_ascii_digit())
                    && before.chars().count() + word.len() < LONGEST_PIECE =>
            {
                before.push(' ');
                before.push_str(word);
            }
            _ => pieces.push(word.to_owned()),
        }
    }
    pieces
}

/// Returns `line` as the content of an element, so that no line ends inside a designator, a job number or
/// between a number and its unit.
pub fn words(line: &str) -> String {
    let whole = |piece: &String| {
        let safe = text(piece);
        let breaks = piece.contains([' ', '-', '/']) && piece.chars().count() <= LONGEST_PIECE;
        if breaks {
            format!("<span class=\"w\">{safe}</span>")
        } else {
            safe
        }
    };
    let pieces: Vec<String> = pieces(line).iter().map(whole).collect();
    pieces.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn hostile_text_shows_and_does_not_act() {
        assert_eq!(
            text("<script>alert('x')</script>"),
            "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;"
        );
        assert_eq!(text("\" onload=\"x"), "&quot; onload=&quot;x");
        assert_eq!(text("&lt;b&gt;"), "&amp;lt;b&amp;gt;");
        assert_eq!(
            text("a\u{0}\u{1b}[31m\tb\u{202e}c\n"),
            "a\u{fffd}\u{fffd}[31m b\u{fffd}c "
        );
        assert_eq!(text("210 Ω ± 5 %, 3V3_SB"), "210 Ω ± 5 %, 3V3_SB");
    }

    #[test]
    fn numbers_keep_their_units_and_job_numbers_are_not_parted() {
        let parted = pieces("pulsing 9.11 V; 44 and 98 %; W-0670, A side");
        assert_eq!(
            parted,
            [
                "pulsing", "9.11 V;", "44", "and", "98 %;", "W-0670,", "A", "side"
            ]
        );
        assert_eq!(
            words("W-0670 at <b>"),
            "<span class=\"w\">W-0670</span> at &lt;b&gt;"
        );
        let long = "x-".repeat(40);
        assert_eq!(words(&long), long);
    }

    /// Reads the five entities back, as a browser does.
    fn read(html: &str) -> String {
        html.replace("&lt;", "<")
            .replace("&gt;", ">")
            .replace("&quot;", "\"")
            .replace("&#39;", "'")
            .replace("&amp;", "&")
    }

    proptest! {
        #[test]
        fn every_text_reads_back_as_it_is_cleaned(words in any::<String>()) {
            let safe = text(&words);
            prop_assert!(!safe.contains(['<', '>', '"', '\'']));
            prop_assert!(!safe.chars().any(char::is_control));
            prop_assert_eq!(read(&safe), clean(&words));
        }
    }
}
