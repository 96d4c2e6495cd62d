//! In which type the text of a card fits its face. Nothing is ever cut: what fits in no step is not printed.
//!
//! Widths are those of a wide sans-serif (the advances of `DejaVu` Sans, rounded up by class of character), so
//! that text set in a narrower one takes fewer lines than are counted here, never more.

use unicode_width::UnicodeWidthChar;

use crate::domain::units::count;
use crate::report::card_face::BETWEEN_EM;
use crate::report::card_face::Block;
use crate::report::card_face::FRAME_EM;
use crate::report::card_face::FRAME_MM;
use crate::report::card_face::LINE;
use crate::report::card_face::PAIR_COLUMNS;
use crate::report::card_face::PAIR_EM;
use crate::report::card_face::READING_COLUMNS;
use crate::report::card_face::Row;
use crate::report::html;
use crate::report::interval_svg;
use crate::report::paper::MM_PER_PT;
use crate::report::paper::Size;

/// Bold letters are wider by this.
const BOLD: f64 = 1.13;

/// Returns the first step of type (from 0) in which all of `blocks` fit one face; none where they fit in no
/// step.
pub fn step(blocks: &[Block], size: Size) -> Option<usize> {
    let (_, room) = room_mm(size);
    let fits = |pt: &f64| height_mm(blocks, size, *pt) <= room;
    size.steps_pt().iter().position(fits)
}

/// Returns width and height that are free for text on a face.
pub fn room_mm(size: Size) -> (f64, f64) {
    let ((width, height), padding) = (size.card_mm(), size.padding_mm());
    (
        width - 2.0 * padding,
        height - 2.0 * padding - size.foot_mm(),
    )
}

/// Returns how high `blocks` stand in type of `pt` points.
pub fn height_mm(blocks: &[Block], size: Size, pt: f64) -> f64 {
    blocks.iter().map(|block| block_mm(block, size, pt)).sum()
}

fn block_mm(block: &Block, size: Size, pt: f64) -> f64 {
    let (width, _) = room_mm(size);
    let style = block.style(size);
    let em = pt * MM_PER_PT * style.em;
    let wide = width / em;
    let lines = |text: &str, wide: f64| lines(text, wide, style.bold);
    let high = |n: usize| LINE * em * count(n);
    let column = |part: f64| wide * part - BETWEEN_EM;
    let inside = match block {
        Block::Cautions(texts) => {
            let (above, beside) = FRAME_EM;
            let wide = wide - 2.0 * (beside + FRAME_MM / em);
            let n = texts.iter().map(|text| lines(text, wide)).sum();
            high(n) + 2.0 * (above * em + FRAME_MM)
        }
        Block::Heading(text) | Block::Strong(text) | Block::Line(text) | Block::Small(text) => {
            high(lines(text, wide))
        }
        Block::Readings(rows) => {
            let row = |row: &Row| {
                let cells = row.iter().zip(READING_COLUMNS);
                let cells = cells.map(|(cell, part)| lines(cell, column(part)));
                cells.max().unwrap_or(0)
            };
            high(rows.iter().map(row).sum())
        }
        Block::Pairs(pairs) => {
            let cell = |texts: &[String], part: f64| -> usize {
                texts.iter().map(|text| lines(text, column(part))).sum()
            };
            let [left_part, right_part] = PAIR_COLUMNS;
            let pair = |(left, right): &(Vec<String>, Vec<String>)| {
                cell(left, left_part).max(cell(right, right_part))
            };
            high(pairs.iter().map(pair).sum()) + 2.0 * PAIR_EM * em * count(pairs.len())
        }
        Block::Interval(_) => interval_svg::HIGH * em,
    };
    inside + style.above * em
}

/// Returns how many lines `text` takes where a line is `wide` type sizes; words that are longer than a line
/// go on in the next.
fn lines(text: &str, wide: f64, bold: bool) -> usize {
    let wide = wide / if bold { BOLD } else { 1.0 };
    let (mut n, mut used) = (1, 0.0);
    for word in html::pieces(text) {
        let mut long: f64 = word.chars().map(advance).sum();
        let gap = if 0.0 < used { advance(' ') } else { 0.0 };
        if used + gap + long <= wide {
            used += gap + long;
            continue;
        }
        if 0.0 < used {
            n += 1;
        }
        while wide < long && 1.0 < wide {
            n += 1;
            // The last character of a line may not use the rest of it.
            long -= wide - 1.0;
        }
        used = long;
    }
    n
}

/// Returns the width of a character in type sizes.
fn advance(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' | '|' | 'I' | ' ' | '.' | ',' | ':' | ';' | '!' | '/' | '\\' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '-' | '"' => 0.47,
        'm' | 'M' | 'W' | '%' | '@' | '—' | '…' => 1.0,
        '+' | '<' | '>' | '=' | '~' | 'w' | 'N' | 'O' | 'Q' | 'G' => 0.84,
        'A'..='Z' => 0.78,
        c if c.is_ascii() => 0.64,
        c => match c.width() {
            Some(2) => 1.1,
            Some(0) => 0.0,
            _ => 0.9,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sentence(words: usize) -> Vec<Block> {
        vec![Block::Line("reading ".repeat(words))]
    }

    #[test]
    fn more_text_is_set_smaller_and_then_not_at_all() {
        let steps: Vec<_> = (0..60)
            .map(|tens| step(&sentence(10 * tens), Size::Pocket))
            .collect();
        assert_eq!(steps[1], Some(0));
        let rank = |s: &Option<usize>| s.unwrap_or(9);
        assert!(steps.is_sorted_by_key(rank), "{steps:?}");
        for wanted in [Some(1), Some(2), None] {
            assert!(steps.contains(&wanted), "{steps:?}");
        }
    }

    #[test]
    fn lines_are_counted_by_words_and_a_long_word_goes_on() {
        // Advances of "abc" are 0.64 each: 1.92 a word, 4.18 for two with their blank.
        assert_eq!(lines("abc abc", 4.2, false), 1);
        assert_eq!(lines("abc abc", 4.1, false), 2);
        assert_eq!(lines("abc abc", 4.2, true), 2);
        assert_eq!(lines("", 4.0, false), 1);
        assert_eq!(lines(&"a".repeat(40), 10.0, false), 3);
        assert!(lines(&"漢".repeat(40), 10.0, false) > 4);
    }

    #[test]
    fn every_kind_of_piece_takes_room() {
        let line = || "3V3_SB".to_owned();
        let share = interval_svg::Interval {
            k: 1,
            n: 2,
            low: 0.1,
            high: 0.9,
        };
        for block in [
            Block::Cautions(vec![line()]),
            Block::Heading(line()),
            Block::Strong(line()),
            Block::Line(line()),
            Block::Readings(vec![[line(), line()]]),
            Block::Pairs(vec![(vec![line()], vec![line(), line()])]),
            Block::Small(line()),
            Block::Interval(share),
        ] {
            let high = height_mm(std::slice::from_ref(&block), Size::Pocket, 9.0);
            assert!((3.0..12.0).contains(&high), "{block:?}: {high}");
        }
    }
}
