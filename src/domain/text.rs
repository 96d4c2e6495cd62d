//! Text from files is data: what may reach a terminal.
//!
//! `clean` stands between any text of a shop folder and any screen, line or message.

/// Returns `text` fit for one line of a terminal.
///
/// Tabs and line breaks become a space; control characters, bidirectional overrides and zero-width
/// characters become U+FFFD, so that a hostile name shows rather than acts.
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' => ' ',
            c if c.is_control() || is_invisible(c) => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// Returns compact JSON with the characters that `clean` takes out written as escapes.
///
/// The value stays the same, so a program reads what was there and a terminal shows harmless text.
pub fn clean_json(json: &str) -> String {
    let mut safe = String::with_capacity(json.len() + 2);
    // What is plain goes over in one piece.
    let mut done = 0;
    for (at, c) in json.char_indices() {
        let plain = matches!(c, ' '..='~');
        if !plain && (c.is_control() || is_invisible(c)) {
            safe.push_str(&json[done..at]);
            done = at + c.len_utf8();
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                safe.push_str("\\u");
                safe.extend([12, 8, 4, 0].map(|shift| hex_digit(*unit >> shift)));
            }
        }
    }
    safe.push_str(&json[done..]);
    safe
}

/// Characters with which a spreadsheet begins a formula, and their full-width forms.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// Returns `text` as a cell of a sheet that no spreadsheet takes for a formula.
///
/// Before `=`, `+`, `-`, `@` (blanks before them do not count), a tab, a carriage return or a line feed
/// stands an apostrophe (OWASP, *CSV Injection*); before an apostrophe stands another, so that
/// [`unguard`] gives back every text. A plain number such as `-0.5` is none and stays as it is.
pub fn guard(text: &str) -> String {
    let begins = text.starts_with(['\t', '\r', '\n', '\'']);
    let formula = text.trim_start().starts_with(FORMULA) && !is_number(text);
    if begins || formula {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// Returns the text of a cell that [`guard`] wrote.
pub fn unguard(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if guard(text) == cell => text,
        _ => cell,
    }
}

fn is_number(text: &str) -> bool {
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let plain = text.strip_prefix('-').unwrap_or(text);
    match plain.split_once('.') {
        Some((whole, part)) => digits(whole) && digits(part),
        None => digits(plain),
    }
}

/// Returns the first words of `text`, as many as begin within `longest` letters, where it is longer.
pub fn shortened(text: &str, longest: usize) -> String {
    let Some((end, _)) = text.char_indices().nth(longest) else {
        return text.to_owned();
    };
    let words = text[..end].rsplit_once(' ');
    format!("{} ...", words.map_or(&text[..end], |(words, _)| words))
}

/// Returns `text` with a stop behind it, where it does not end as a sentence does.
pub fn sentence(text: &str) -> String {
    let text = text.trim_end();
    if text.ends_with(['.', '?', '!', '…']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// Returns `1 line` or `3 lines`.
pub fn number_of(n: usize, thing: &str) -> String {
    match n {
        1 => format!("1 {thing}"),
        n => format!("{n} {thing}s"),
    }
}

fn hex_digit(number: u16) -> char {
    char::from_digit(u32::from(number & 0xf), 16).unwrap_or('0')
}

fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{00ad}' | '\u{061c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_has_one_stop_behind_it() {
        for (text, whole) in [
            ("signed it", "signed it."),
            ("done.", "done."),
            ("why?", "why?"),
        ] {
            assert_eq!(sentence(text), whole);
        }
    }
    use proptest::prelude::*;

    #[test]
    fn a_count_has_its_noun() {
        assert_eq!(number_of(1, "job"), "1 job");
        assert_eq!(number_of(0, "job"), "0 jobs");
    }

    #[test]
    fn escape_sequences_lose_their_teeth() {
        assert_eq!(
            clean("a\tb\u{1b}[31mred\u{9b}2J\u{202e}x"),
            "a b\u{fffd}[31mred\u{fffd}2J\u{fffd}x"
        );
        assert_eq!(clean("1.4 kΩ, µA, é"), "1.4 kΩ, µA, é");
    }

    #[test]
    fn a_cell_never_becomes_a_formula() {
        for (text, cell) in [
            ("buck", "buck"),
            ("=1+1", "'=1+1"),
            ("+a", "'+a"),
            ("-buck", "'-buck"),
            ("  =1", "'  =1"),
            ("＝1", "'＝1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\tx", "'\tx"),
            ("\r=1", "'\r=1"),
            ("'90s unit", "''90s unit"),
            ("-0.5", "-0.5"),
            ("-12", "-12"),
            ("-12V", "'-12V"),
            ("-1-1", "'-1-1"),
            ("-1.", "'-1."),
            ("0.5", "0.5"),
            ("", ""),
        ] {
            assert_eq!(guard(text), cell, "{text:?}");
            assert_eq!(unguard(cell), text);
        }
        assert_eq!(unguard("'plain"), "'plain", "not ours");
    }

    proptest! {
        #[test]
        fn a_guarded_cell_gives_its_text_back(text in "[=+@' \\t\\r\\n1.a-]{0,6}") {
            let cell = guard(&text);
            prop_assert_eq!(unguard(&cell), text.as_str());
            let first = cell.trim_start().chars().next();
            prop_assert!(is_number(&cell) || !first.is_some_and(|c| FORMULA.contains(&c)));
        }

        #[test]
        fn json_keeps_its_value_and_loses_its_teeth(
            text in "\\PC*|[\\x00-\\x1f\\x7f-\\u{9f}\\u{202e}\\u{e0001}a]*"
        ) {
            let json = clean_json(&serde_json::to_string(&text).unwrap());
            prop_assert_eq!(clean(&json), json.clone());
            prop_assert_eq!(serde_json::from_str::<String>(&json).unwrap(), text);
        }

        #[test]
        fn no_control_character_survives(text in "\\PC*|[\\x00-\\x1f\\x7f-\\u{9f}a]*") {
            prop_assert!(!clean(&text).chars().any(char::is_control));
            prop_assert_eq!(clean(&text).chars().count(), text.chars().count());
        }
    }
}
