//! Which words of an answer belong to which mark: to a side (`A: replace U31, B: C88`), or to a place
//! (`3V3_SB low, VSYS normal`).
//!
//! The text is cut at its joints and at its marks. Words belong to the mark before them; where a part
//! or a value stands before the first mark (`U31 for A, C88 for B`), to the mark after them. Marks are
//! compared exactly, but for capitals. Leaves out what the words mean. The rules are ours.

use std::ops::Range;

/// A word or a sign of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bit {
    /// In small letters; `Ω` and `ohms` are `ohm`.
    pub text: String,
    /// Where it stands in the text, in bytes.
    pub at: Range<usize>,
    /// It began with a capital letter.
    pub capital: bool,
}

impl Bit {
    /// Tells whether this separates clauses.
    pub fn is_joint(&self) -> bool {
        const WORDS: [&str; 9] = [
            "and", "but", "while", "whereas", "then", "whilst", "although", "though", "yet",
        ];
        let sign = |c: char| !(c.is_alphanumeric() || matches!(c, '_' | '.' | '\''));
        self.text == "." || WORDS.contains(&self.text.as_str()) || self.text.chars().any(sign)
    }
}

/// A mark found in the text: which one, and the bits it takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// Number of the mark.
    pub of: usize,
    /// Its bits.
    pub bits: Range<usize>,
}

/// Cuts a text into words and signs; a word that begins with a digit is cut where its unit begins.
pub fn bits(text: &str) -> Vec<Bit> {
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let at = |i: usize| chars.get(i).map_or(' ', |(_, c)| *c);
    let place = |i: usize| chars.get(i).map_or(text.len(), |(at, _)| *at);
    let in_word = |i: usize| {
        let c = at(i);
        let between = |t: &dyn Fn(char) -> bool| i > 0 && t(at(i - 1)) && t(at(i + 1));
        c.is_alphanumeric() && !matches!(c, '\u{2126}' | '\u{3a9}')
            || c == '_' && between(&|c| c.is_alphanumeric())
            || c == '.' && between(&|c| c.is_ascii_digit())
    };
    let mut out = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        let start = i;
        let c = at(i);
        i += 1;
        if c.is_whitespace() {
            continue;
        }
        if in_word(start) {
            let number = c.is_ascii_digit();
            while in_word(i) && (!number || at(i).is_ascii_digit() || at(i) == '.') {
                i += 1;
            }
        }
        let raw = &text[place(start)..place(i)];
        let lower = raw.to_lowercase();
        let folded = match lower.as_str() {
            "ω" | "ohms" => "ohm".to_owned(),
            _ => lower,
        };
        out.push(Bit {
            text: folded,
            at: place(start)..place(i),
            capital: c.is_uppercase(),
        });
    }
    out
}

/// Cuts at full stops, semicolons, exclamation and question marks.
pub fn sentences(bits: &[Bit]) -> impl Iterator<Item = &[Bit]> {
    bits.split(|bit| matches!(bit.text.as_str(), "." | ";" | "!" | "?"))
}

/// Finds the marks that are known by phrases, the longest first; none overlaps another.
pub fn found(bits: &[Bit], phrases: &[(usize, String)]) -> Vec<Mark> {
    let mut known: Vec<(usize, Vec<Bit>)> = phrases
        .iter()
        .map(|(of, phrase)| (*of, self::bits(phrase)))
        .filter(|(_, phrase)| !phrase.is_empty())
        .collect();
    known.sort_by_key(|(_, phrase)| std::cmp::Reverse(phrase.len()));
    let mut marks: Vec<Mark> = Vec::new();
    for (of, phrase) in &known {
        let last = (bits.len() + 1).saturating_sub(phrase.len());
        for from in 0..last {
            let span = from..from + phrase.len();
            let same = bits[span.clone()]
                .iter()
                .zip(phrase)
                .all(|(a, b)| a.text == b.text);
            let free = |m: &Mark| m.bits.end <= span.start || span.end <= m.bits.start;
            if same && marks.iter().all(free) {
                marks.push(Mark {
                    of: *of,
                    bits: span,
                });
            }
        }
    }
    marks.sort_by_key(|m| m.bits.start);
    marks
}

/// One clause, or a part of one: the bits, and the mark it bears.
struct Piece {
    bits: Range<usize>,
    of: Option<usize>,
}

/// Returns, for each of `n` marks, what of the text belongs to it, the marks themselves left out;
/// `says` tells whether a bit says something that a mark may stand after.
pub fn belonging(
    text: &str,
    bits: &[Bit],
    marks: &[Mark],
    n: usize,
    says: &dyn Fn(&Bit) -> bool,
) -> Vec<String> {
    let marked = |at: usize| marks.iter().any(|m| m.bits.contains(&at));
    let telling = |piece: &Piece| piece.bits.clone().any(|i| !marked(i) && says(&bits[i]));
    let pieces = pieces(bits, marks);
    let first = pieces.iter().find(|p| p.of.is_some() || telling(p));
    let after = first.is_some_and(|p| p.of.is_none());
    let mut owners: Vec<Option<usize>> = Vec::new();
    let mut current = None;
    for piece in &pieces {
        if !after {
            current = piece.of.or(current);
        }
        owners.push(if after { piece.of } else { current });
    }
    if after {
        // What stands before a mark is the mark's; what stands behind the last is the last's.
        let last = owners.iter().rev().find_map(|o| *o);
        let mut next = last;
        for owner in owners.iter_mut().rev() {
            next = owner.or(next);
            *owner = next;
        }
    }
    let blank: String = blanked(text, bits, marks);
    let mut own = vec![String::new(); n];
    let mut before: Option<usize> = None;
    for (i, (piece, owner)) in pieces.iter().zip(&owners).enumerate() {
        let Some(of) = *owner else {
            before = None;
            continue;
        };
        // Joints between pieces of one owner are kept, so that "U31 and C4" stays a list.
        let from = match before {
            Some(same) if same == of && 0 < i => bits[pieces[i - 1].bits.end - 1].at.end,
            _ => bits[piece.bits.start].at.start,
        };
        let to = bits[piece.bits.end - 1].at.end;
        if before != Some(of) && !own[of].is_empty() {
            own[of].push_str("; ");
        }
        let said = &blank[from..to];
        let goes_on = !own[of].is_empty() && !own[of].ends_with("; ");
        own[of].push_str(if before == Some(of) && goes_on {
            said
        } else {
            said.trim_start_matches(|c: char| !c.is_alphanumeric())
        });
        before = Some(of);
    }
    let sign = |c: char| !c.is_alphanumeric();
    own.iter()
        .map(|o| o.trim_matches(sign).to_owned())
        .collect()
}

/// Returns the text with blanks where the marks stand.
fn blanked(text: &str, bits: &[Bit], marks: &[Mark]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for mark in marks {
        let (from, to) = (
            bits[mark.bits.start].at.start,
            bits[mark.bits.end - 1].at.end,
        );
        bytes[from..to].fill(b' ');
    }
    String::from_utf8(bytes).expect("whole letters became blanks")
}

/// Cuts at the joints, and at the marks of a clause that bears several.
fn pieces(bits: &[Bit], marks: &[Mark]) -> Vec<Piece> {
    let marked = |at: usize| marks.iter().any(|m| m.bits.contains(&at));
    let mut clauses: Vec<Range<usize>> = Vec::new();
    let mut from = 0;
    for at in 0..=bits.len() {
        let ends = at == bits.len() || bits[at].is_joint() && !marked(at);
        if ends {
            if from < at {
                clauses.push(from..at);
            }
            from = at + 1;
        }
    }
    clauses.into_iter().flat_map(|c| cut(c, marks)).collect()
}

fn cut(clause: Range<usize>, marks: &[Mark]) -> Vec<Piece> {
    let inside = |m: &&Mark| clause.contains(&m.bits.start);
    let own: Vec<&Mark> = marks.iter().filter(inside).collect();
    let mut out: Vec<Piece> = Vec::new();
    let mut push = |bits: Range<usize>, of: Option<usize>| {
        if !bits.is_empty() {
            out.push(Piece { bits, of });
        }
    };
    match own.as_slice() {
        [] => push(clause, None),
        [one] => push(clause, Some(one.of)),
        several if several[0].bits.start == clause.start => {
            for (i, mark) in several.iter().enumerate() {
                let to = several.get(i + 1).map_or(clause.end, |m| m.bits.start);
                push(mark.bits.start..to, Some(mark.of));
            }
        }
        several => {
            let mut from = clause.start;
            for (i, mark) in several.iter().enumerate() {
                let last = i + 1 == several.len();
                let to = if last { clause.end } else { mark.bits.end };
                push(from..to, Some(mark.of));
                from = to;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn cut_by(text: &str, words: &[&str]) -> Vec<String> {
        let bits = bits(text);
        let phrases: Vec<(usize, String)> = words
            .iter()
            .enumerate()
            .map(|(i, w)| (i, (*w).to_owned()))
            .collect();
        let marks = found(&bits, &phrases);
        let part = |b: &Bit| b.text.starts_with(['u', 'c']) && b.text.len() > 1;
        belonging(text, &bits, &marks, words.len(), &part)
            .iter()
            .map(|t| t.split_whitespace().collect::<Vec<_>>().join(" "))
            .collect()
    }

    #[test]
    fn words_belong_to_the_mark_before_them_or_after_them() {
        for (text, one, two) in [
            ("X: replace U31, Z: remove C88", "replace U31", "remove C88"),
            ("X U31 Z C88", "U31", "C88"),
            ("U31 for X, C88 for Z", "U31 for", "C88 for"),
            ("replace U31 on X and C88 on Z", "replace U31 on", "C88 on"),
            ("U31 -> X; C88 -> Z", "U31", "C88"),
            ("X -> U31 and U4, Z -> C88", "U31 and U4", "C88"),
            ("I think: X: U31; Z: C88", "U31", "C88"),
            ("X: U31. Z: C88. X: C9", "U31; C9", "C88"),
            ("X: U31, and C88 on Z", "U31", "C88 on"),
            ("U31 and U4 for X, C88 for Z", "U31 and U4 for", "C88 for"),
        ] {
            assert_eq!(cut_by(text, &["x", "z"]), [one, two], "{text}");
        }
    }

    #[test]
    fn the_longest_mark_counts_and_numbers_stand_apart_from_their_units() {
        let words = bits("11.7V on RESET_N, 0.5Ω");
        let texts: Vec<&str> = words.iter().map(|b| b.text.as_str()).collect();
        assert_eq!(texts, ["11.7", "v", "on", "reset_n", ",", "0.5", "ohm"]);
        let phrases = [
            (0, "frequency".to_owned()),
            (1, "wrong frequency".to_owned()),
        ];
        let marks = found(&bits("wrong frequency"), &phrases);
        assert_eq!(marks, [Mark { of: 1, bits: 0..2 }]);
    }

    proptest! {
        #[test]
        fn any_text_is_cut_without_a_slip(text in "\\PC{0,60}") {
            let own = cut_by(&text, &["a", "b", "low"]);
            prop_assert_eq!(own.len(), 3);
        }
    }
}
