//! Volts and amps in words, and words cut in two by a dash: "the five-volt inductor", "three point three
//! volts", "the thirty amp fuse", "re-plug".
//!
//! Part of the cutting of text; a number is read so only where its unit follows, or where a supply "makes" it.
//! Leaves out readings told at length. Lists: common practice, no source.

use crate::domain::judge::read::number_words;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// Volts and amps of rails and fuses that are said in a word.
const RAILS: [u32; 18] = [
    1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 13, 15, 20, 30, 40, 50, 60,
];
/// Stems of which "re-" makes a doing of its own.
const AGAIN: [&str; 14] = [
    "plug", "plugged", "plugging", "seat", "seated", "seating", "mate", "fit", "fitted", "insert",
    "connect", "latch", "new", "newed",
];

/// Returns `raw` with such numbers as digits and such words in one.
pub fn joined(raw: &[Token]) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(raw.len());
    let mut i = 0;
    while i < raw.len() {
        if let Some((token, n)) = again(raw, i).or_else(|| in_words(raw, i, out.last())) {
            out.push(token);
            i += n;
        } else {
            out.push(raw[i].clone());
            i += 1;
        }
    }
    out
}

fn is_dash(token: Option<&Token>) -> bool {
    token.is_some_and(|t| matches!(t.kind, Kind::Dash { .. }))
}

/// Reads "re-plug" and "re plug".
fn again(raw: &[Token], i: usize) -> Option<(Token, usize)> {
    let dash = usize::from(is_dash(raw.get(i + 1)));
    let stem = raw.get(i + 1 + dash)?;
    (raw[i].is("re") && stem.is_any(&AGAIN)).then(|| {
        (
            Token::new(Kind::Word, &format!("re{}", stem.text)),
            2 + dash,
        )
    })
}

/// Reads "five volt", "three point three volts", "makes five".
fn in_words(raw: &[Token], i: usize, before: Option<&Token>) -> Option<(Token, usize)> {
    let digit = |t: Option<&Token>| {
        let said = number_words::value(&t.filter(|t| t.kind == Kind::Word)?.text);
        said.filter(|n| RAILS.contains(n)).map(|n| n.to_string())
    };
    let mut text = digit(raw.get(i))?;
    let mut n = 1;
    let tens = text.len() == 2 && text.ends_with('0') && text != "10";
    let dash = usize::from(is_dash(raw.get(i + 1)));
    if let Some(ones) = digit(raw.get(i + 1 + dash)).filter(|ones| tens && ones.len() == 1) {
        text = format!("{}{ones}", &text[..1]);
        n += 1 + dash;
    }
    if raw.get(i + n).is_some_and(|t| t.is("point"))
        && let Some(part) = digit(raw.get(i + n + 1))
    {
        text = format!("{text}.{part}");
        n += 2;
    }
    let unit = i + n + usize::from(is_dash(raw.get(i + n)));
    let volts = raw
        .get(unit)
        .is_some_and(|t| t.is_any(&["v", "volt", "volts", "volter"]));
    // "the chip that makes five", "makes five from the 13.8".
    let made = before.is_some_and(|t| t.is_any(&["makes", "make", "making"]))
        && raw.get(i + n).is_none_or(|t| t.is_joint() || t.is("from"));
    let amps = raw
        .get(unit)
        .is_some_and(|t| t.is_any(&["amp", "amps", "ampere", "amperes"]));
    if amps {
        Some((Token::new(Kind::Value, &format!("{text}a")), unit + 1 - i))
    } else if volts {
        Some((Token::new(Kind::Volts, &format!("{text}v")), unit + 1 - i))
    } else {
        made.then(|| (Token::new(Kind::Volts, &format!("{text}v")), n))
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::tokens::Known;

    #[test]
    fn volts_in_words_are_volts_and_other_numbers_stand() {
        let read = |text: &str| tokens::normal(&tokens::lex(text, &Known::default()));
        assert_eq!(read("the five-volt coil"), "the 5v coil");
        assert_eq!(read("three point three volts"), "3.3v");
        assert_eq!(read("twenty four volt inlet"), "24v inlet");
        assert_eq!(read("the chip that makes five"), "the chip that makes 5v");
        assert_eq!(read("two bolts"), "two bolts");
        assert_eq!(read("makes two of them"), "makes two of them");
        assert_eq!(read("re-plug it"), "replug it");
    }
}
