//! What the cells of a column look like, whatever stands over it.

use crate::domain::intake::assemble::asked;
use crate::domain::intake::assemble::ending;
use crate::domain::intake::days;
use crate::domain::intake::figures;
use crate::domain::intake::lines;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;

/// Counts over one column; blank cells and marks for the row above count as nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Looks {
    /// Cells with something in them.
    pub filled: usize,
    /// Blank cells.
    pub blank: usize,
    /// Cells written like a day.
    pub days: usize,
    /// Cells that are nothing but a figure.
    pub figures: usize,
    /// Cells of designators and nothing else.
    pub designators: usize,
    /// Two or three letters, as initials are.
    pub initials: usize,
    /// Letters and digits in one word, as job numbers are.
    pub numbered: usize,
    /// One letter or more with a number behind, apart or not: `H-7`, `K21`.
    pub tagged: usize,
    /// One letter, or a letter and a digit.
    pub letters: usize,
    /// Several words.
    pub sentences: usize,
    /// Names of boards that the shop knows.
    pub boards: usize,
    /// Nothing but yes or no.
    pub answers: usize,
    /// Different contents.
    pub different: usize,
    /// The figures count 1, 2, 3.
    pub counts_up: bool,
}

impl Looks {
    /// Looks at a column of `rows`; `board` tells whether a text names a board.
    pub fn of(rows: &[&Row], column: usize, board: &dyn Fn(&str) -> bool) -> Self {
        let mut looks = Self {
            counts_up: true,
            ..Self::default()
        };
        let mut seen = std::collections::BTreeSet::new();
        let mut last = 0.0;
        for row in rows {
            let cell = row.cell(column);
            let text = cell.text();
            let text = text.trim();
            if cell.is_blank() {
                looks.blank += 1;
                continue;
            }
            if lines::ditto(text).is_some() || lines::says_nothing(text) {
                continue;
            }
            looks.filled += 1;
            looks.days +=
                usize::from(days::looks_like_a_day(cell) && !matches!(cell, Cell::Number(_)));
            let figure = figures::figure(text, DecimalMark::Unknown);
            looks.figures += usize::from(figure.is_some());
            let next = figure.map_or(f64::NAN, |f| f.value);
            looks.counts_up &=
                (next - last - 1.0).abs() < 1e-9 || (looks.filled == 1 && next.fract() == 0.0);
            last = next;
            looks.designators += usize::from(are_designators(text));
            looks.initials += usize::from(is_initials(text) && ending::status(text).is_none());
            looks.numbered += usize::from(is_numbered(text));
            looks.tagged += usize::from(is_tagged(text));
            looks.letters += usize::from(is_revision(text));
            looks.sentences += usize::from(text.split_whitespace().count() >= 3);
            looks.answers += usize::from(asked::answer(text).is_some());
            looks.boards += usize::from(board(text));
            seen.insert(text.to_lowercase());
        }
        looks.different = seen.len();
        looks.counts_up &= looks.filled >= 3;
        looks
    }

    /// Tells whether `n` of the filled cells is at least six in ten of them.
    pub fn mostly(&self, n: usize) -> bool {
        0 < self.filled && self.filled * 6 <= n * 10
    }
}

/// Tells whether `word` is a designator: a letter to three, a number, perhaps a letter: `U31`, `C12a`.
pub fn is_designator(word: &str) -> bool {
    let letters = word.bytes().take_while(u8::is_ascii_uppercase).count();
    let rest = &word[letters..];
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let tail = &rest[digits..];
    (1..=3).contains(&letters)
        && (1..=5).contains(&digits)
        && (tail.is_empty() || (tail.len() == 1 && tail.bytes().all(|b| b.is_ascii_alphabetic())))
}

/// Tells whether `text` lists designators and says nothing else: `U31`, `C12,13+15`, `R4-R7`.
pub fn are_designators(text: &str) -> bool {
    let mut any = false;
    let pieces = text
        .split(|c: char| matches!(c, ',' | '+' | '/' | ';' | '&' | '-' | '–') || c.is_whitespace());
    for piece in pieces.filter(|p| !p.is_empty()) {
        if is_designator(piece) {
            any = true;
        } else if !any || piece.len() > 5 || !piece.bytes().all(|b| b.is_ascii_digit()) {
            return false;
        }
    }
    any
}

fn is_initials(text: &str) -> bool {
    let plain = text.trim_end_matches('.');
    (2..=3).contains(&plain.chars().count()) && plain.chars().all(char::is_alphabetic)
}

fn is_revision(text: &str) -> bool {
    let small = text.trim().to_lowercase();
    let plain = small
        .trim_start_matches("rev")
        .trim_start_matches(['.', ' ']);
    let mut chars = plain.chars();
    chars.next().is_some_and(|c| c.is_ascii_alphanumeric())
        && chars.all(|c| c.is_ascii_digit() || c == '.')
        && plain.len() <= 4
}

/// Tells whether `text` is one word with a run of digits, as the numbers of jobs are: `W-0412`, `2024/117`.
fn is_numbered(text: &str) -> bool {
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '/' | '_' | '.' | '#');
    3 <= digits
        && text.len() <= 20
        && text.chars().all(fits)
        && figures::figure(text, DecimalMark::Point).is_none_or(|f| f.measure.is_none())
}

/// Tells whether `text` is letters with a number behind, as short job numbers are: `H-7`, `K21`.
fn is_tagged(text: &str) -> bool {
    let letters = text
        .bytes()
        .take_while(|b| b.is_ascii_alphabetic() || matches!(b, b'-' | b'/' | b'_' | b'#'))
        .count();
    let digits = &text[letters..];
    (1..=8).contains(&letters)
        && text.starts_with(|c: char| c.is_ascii_alphabetic())
        && (1..=8).contains(&digits.len())
        && digits.bytes().all(|b| b.is_ascii_digit())
}

/// What the dates of a sheet show of their order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Order {
    /// Dates that only a day in front explains.
    pub day_first: usize,
    /// Dates that only a month in front explains.
    pub month_first: usize,
    /// Dates apart by dots.
    pub dots: usize,
    /// Dates that could be either.
    pub open: usize,
}

impl Order {
    /// Looks at one cell.
    pub fn see(&mut self, cell: &Cell) {
        let Cell::Text(text) = cell else { return };
        let Some(triple) = days::triple(text) else {
            return;
        };
        self.dots += usize::from(triple.dots);
        match (triple.first > 12, triple.second > 12) {
            (true, false) => self.day_first += 1,
            (false, true) => self.month_first += 1,
            (false, false) if triple.first != triple.second => self.open += 1,
            _ => {}
        }
    }

    /// Returns the order that the dates show, or none.
    pub fn shown(&self) -> DateOrder {
        match (self.day_first, self.month_first) {
            (0, 0) if 0 < self.dots => DateOrder::DayFirst,
            (1.., 0) => DateOrder::DayFirst,
            (0, 1..) => DateOrder::MonthFirst,
            _ => DateOrder::Unknown,
        }
    }

    /// Tells whether some dates need one order and some the other.
    pub fn is_mixed(&self) -> bool {
        0 < self.day_first && 0 < self.month_first
    }
}

/// How often each decimal mark stands in numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// `3,3`.
    pub commas: usize,
    /// `3.3`.
    pub points: usize,
}

impl Marks {
    /// Looks at one cell; dates and lists of designators do not count.
    pub fn see(&mut self, cell: &Cell) {
        let Cell::Text(text) = cell else { return };
        if days::looks_like_a_day(cell) || 4096 < text.len() {
            return;
        }
        let words = text.split(|c: char| {
            c.is_whitespace() || matches!(c, ';' | '(' | ')' | '=' | ':' | '/' | '<' | '>' | '~')
        });
        for word in words {
            let word = word.trim_end_matches(|c: char| !c.is_ascii_digit());
            let digits = word.bytes().take_while(u8::is_ascii_digit).count();
            let rest = &word[digits..];
            if digits == 0 || 4 < digits {
                continue;
            }
            let Some(mark) = rest.chars().next().filter(|c| matches!(c, '.' | ',')) else {
                continue;
            };
            let after = &rest[1..];
            let fraction = after.bytes().take_while(u8::is_ascii_digit).count();
            let tail = &after[fraction..];
            // Three places may be a thousand, unless nothing stands before the mark.
            let places = matches!(fraction, 1 | 2 | 4) || (fraction == 3 && &word[..digits] == "0");
            if places && !tail.starts_with(['.', ',']) {
                match mark {
                    ',' => self.commas += 1,
                    _ => self.points += 1,
                }
            }
        }
    }

    /// Returns the mark that the numbers show.
    pub fn shown(&self) -> DecimalMark {
        match (self.commas, self.points) {
            (0, 0) => DecimalMark::Unknown,
            (commas, points) if points * 8 <= commas => DecimalMark::Comma,
            (commas, points) if commas * 8 <= points => DecimalMark::Point,
            _ => DecimalMark::Unknown,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(text: &str) -> Cell {
        Cell::Text(text.to_owned())
    }

    #[test]
    fn designators_are_told_from_values_and_words() {
        for list in ["U31", "C12,13+15", "R4-R7", "L1", "U7 / Q3", "TP12"] {
            assert!(are_designators(list), "{list}");
        }
        for other in [
            "4R7",
            "100n",
            "u31 dead",
            "12",
            "replaced U31",
            "",
            "ABCD12",
            "W-0412",
        ] {
            assert!(!are_designators(other), "{other}");
        }
    }

    #[test]
    fn one_day_past_the_twelfth_decides_the_order() {
        let mut order = Order::default();
        for date in ["03/04/2026", "05/06/2026"] {
            order.see(&text(date));
        }
        assert_eq!(order.shown(), DateOrder::Unknown);
        order.see(&text("14/03/2026"));
        assert_eq!(order.shown(), DateOrder::DayFirst);
        order.see(&text("03/15/2026"));
        assert_eq!(
            (order.shown(), order.is_mixed()),
            (DateOrder::Unknown, true)
        );
        let mut american = Order::default();
        american.see(&text("3/14/26"));
        assert_eq!(american.shown(), DateOrder::MonthFirst);
        let mut dots = Order::default();
        dots.see(&text("03.04.2026"));
        assert_eq!(dots.shown(), DateOrder::DayFirst);
    }

    #[test]
    fn the_decimal_mark_is_seen_in_numbers_only() {
        let shown = |cells: &[&str]| {
            let mut marks = Marks::default();
            for cell in cells {
                marks.see(&text(cell));
            }
            marks.shown()
        };
        assert_eq!(shown(&["3,3V", "0,41"]), DecimalMark::Comma);
        assert_eq!(shown(&["3V3_SB 3.31", "12.0V"]), DecimalMark::Point);
        assert_eq!(
            shown(&["C12,13+15", "14.03.2026", "R4, R5"]),
            DecimalMark::Unknown
        );
        assert_eq!(shown(&["3,3", "3.3"]), DecimalMark::Unknown);
    }

    #[test]
    fn a_column_shows_what_it_holds() {
        let rows: Vec<Row> = [
            ["W-0411", "mk", "14.03.2026"],
            ["W-0412", "tl", "15.03.2026"],
            ["W-0413", "mk", ""],
        ]
        .iter()
        .map(|cells| Row {
            number: 1,
            cells: cells.iter().map(|c| text(c)).collect(),
            remarks: Vec::new(),
        })
        .collect();
        let rows: Vec<&Row> = rows.iter().collect();
        let looks = |column| Looks::of(&rows, column, &|_| false);
        assert!(looks(0).mostly(looks(0).numbered));
        assert_eq!((looks(1).initials, looks(1).different), (3, 2));
        assert_eq!((looks(2).days, looks(2).blank), (2, 1));
    }
}
