//! Numbers as a bench says them: "two and a half", "three hundredths", "some twenty", "half a volt".
//!
//! Reads one number at a place of the cut text. Leaves out its unit, and what it is the number of. Exact:
//! a word that is no number is none. The words are English; common practice, no source.

use crate::domain::judge::read::number_words;
use crate::domain::judge::read::stretches::Bit;

/// Returns the number that begins at `at`, and how many bits it takes.
pub fn number_at(bits: &[Bit], at: usize) -> Option<(f64, usize)> {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    let (mut value, mut len) = digits(bits, at).or_else(|| in_words(bits, at))?;
    if let Some((part, parts)) = fraction(bits, at + len) {
        return Some((value * part, len + parts));
    }
    if text(at + len) == "and" {
        let article = usize::from(matches!(text(at + len + 1), "a" | "one"));
        match text(at + len + 1 + article) {
            "half" => {
                value += 0.5;
                len += 2 + article;
            }
            "quarter" => {
                value += 0.25;
                len += 2 + article;
            }
            "bit" | "something" => len += 2 + article,
            _ => {}
        }
    }
    Some((value, len))
}

/// Reads `3.3`, and `.12` behind a blank.
fn digits(bits: &[Bit], at: usize) -> Option<(f64, usize)> {
    let bit = bits.get(at)?;
    if bit.text == "." {
        let next = bits.get(at + 1)?;
        let apart = at == 0 || bits[at - 1].at.end < bit.at.start;
        let whole = next.text.chars().all(|c| c.is_ascii_digit());
        let tight = next.at.start == bit.at.end;
        let value = format!("0.{}", next.text).parse().ok()?;
        return (apart && whole && tight).then_some((value, 2));
    }
    let number = bit.text.starts_with(|c: char| c.is_ascii_digit());
    let value = number.then(|| bit.text.parse().ok()).flatten()?;
    Some((value, 1))
}

/// Reads a number in words: "sixteen", "twenty one", "three point three", "a hundred", "five hundred", "half a".
fn in_words(bits: &[Bit], at: usize) -> Option<(f64, usize)> {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    if text(at) == "half" && matches!(text(at + 1), "a" | "an") {
        return Some((0.5, 2));
    }
    if matches!(text(at), "a" | "one") && text(at + 1) == "hundred" {
        return Some((100.0, 2));
    }
    // "an ohm and a bit", "a wee ohm".
    if matches!(text(at), "a" | "an") {
        let small = usize::from(matches!(text(at + 1), "wee" | "little" | "mere" | "single"));
        return (text(at + 1 + small) == "ohm").then_some((1.0, 1 + small));
    }
    let (mut value, mut len) = below_hundred(bits, at)?;
    if text(at + len) == "hundred" {
        return Some((value * 100.0, len + 1));
    }
    if text(at + len) == "point" {
        let mut scale = 0.1;
        len += 1;
        while let Some(digit) = one(text(at + len)).filter(|n| *n < 10.0) {
            value += scale * digit;
            scale /= 10.0;
            len += 1;
        }
    }
    Some((value, len))
}

fn below_hundred(bits: &[Bit], at: usize) -> Option<(f64, usize)> {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    if let Some(value) = one(text(at)) {
        return Some((value, 1));
    }
    let tens = number_words::value(text(at)).map(f64::from)?;
    let hyphen = usize::from(text(at + 1) == "-");
    match one(text(at + 1 + hyphen)) {
        Some(rest) if 0.0 < rest && rest < 10.0 => Some((tens + rest, 2 + hyphen)),
        _ => Some((tens, 1)),
    }
}

/// Returns the number that a word is, below twenty.
fn one(word: &str) -> Option<f64> {
    let number = number_words::value(word).filter(|n| *n < 20);
    number.map(f64::from)
}

/// Reads "hundredths of a" behind a number.
fn fraction(bits: &[Bit], at: usize) -> Option<(f64, usize)> {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    let part = match text(at) {
        "tenths" | "tenth" => 0.1,
        "hundredths" | "hundredth" => 0.01,
        "thousandths" | "thousandth" => 0.001,
        _ => return None,
    };
    let of = if text(at + 1) == "of" && matches!(text(at + 2), "a" | "an") {
        2
    } else {
        0
    };
    Some((part, 1 + of))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::stretches;

    #[test]
    fn numbers_are_read_as_they_are_said() {
        for (text, value) in [
            ("16.4", 16.4),
            (".12", 0.12),
            ("16 and a bit", 16.0),
            ("two and a half", 2.5),
            ("2 and half", 2.5),
            ("half a volt", 0.5),
            ("three hundredths of a volt", 0.03),
            ("four thousandths", 0.004),
            ("twenty-one", 21.0),
            ("five hundred", 500.0),
            ("a hundred", 100.0),
            ("three point three", 3.3),
            ("one point oh", 1.0),
            ("sixteen", 16.0),
        ] {
            let bits = stretches::bits(text);
            let (got, _) = number_at(&bits, 0).expect(text);
            assert!((got - value).abs() < 1e-9, "{text}: {got}");
        }
        for text in ["", "volt", "a volt", "half way", ".", "u31", "and a half"] {
            let bits = stretches::bits(text);
            assert_eq!(number_at(&bits, 0), None, "{text}");
        }
    }
}
