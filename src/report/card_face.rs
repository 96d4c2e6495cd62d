//! What stands on one face of a card, as plain values, and how each piece is set: the numbers that the
//! style sheet is written from are the numbers that [`crate::report::fit`] measures with.
//!
//! Sizes here are parts of the face's type size (em).

use crate::report::html::words;
use crate::report::interval_svg;
use crate::report::interval_svg::Interval;
use crate::report::paper::Size;

/// Distance of lines.
pub const LINE: f64 = 1.25;
/// Room inside the frame around cautions: above and below, left and right.
pub const FRAME_EM: (f64, f64) = (0.2, 0.45);
/// Thickness of that frame, in millimetres.
pub const FRAME_MM: f64 = 0.3;
/// Room between columns.
pub const BETWEEN_EM: f64 = 0.6;
/// Columns of readings, as parts of the width.
pub const READING_COLUMNS: [f64; 2] = [0.3, 0.7];
/// Room above and below a pair, with a thin rule between two pairs.
pub const PAIR_EM: f64 = 0.15;
/// Columns of pairs.
pub const PAIR_COLUMNS: [f64; 2] = [0.42, 0.58];

/// One reading as it is printed: its name, and what was found with what a good board shows.
pub type Row = [String; 2];

/// One piece of a face; pieces stand below each other.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// Hazards, in a frame; always the first piece.
    Cautions(Vec<String>),
    /// The board.
    Heading(String),
    /// What is asked, or the answer.
    Strong(String),
    /// A line of text.
    Line(String),
    /// Readings.
    Readings(Vec<Row>),
    /// Lines on the left that belong to lines on the right.
    Pairs(Vec<(Vec<String>, Vec<String>)>),
    /// Evidence, smaller.
    Small(String),
    /// A share with its limits.
    Interval(Interval),
}

/// How a piece is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Its class in the style sheet.
    pub class: &'static str,
    /// Type size.
    pub em: f64,
    /// Bold.
    pub bold: bool,
    /// Room above, in its own type size.
    pub above: f64,
}

const CAUTIONS: Style = style("cautions", 0.0, true, 0.0);
const HEADING: Style = style("heading", 0.9, false, 0.35);
const STRONG: Style = style("strong", 1.1, true, 0.35);
const LINE_STYLE: Style = style("line", 1.0, false, 0.25);
const READINGS: Style = style("readings", 1.0, false, 0.35);
const PAIRS: Style = style("pairs", 0.9, false, 0.4);
const SMALL: Style = style("small", 0.0, false, 0.25);
const INTERVAL: Style = style("share", 0.0, false, 0.4);

const fn style(class: &'static str, em: f64, bold: bool, above: f64) -> Style {
    Style {
        class,
        em,
        bold,
        above,
    }
}

/// Returns the style of every kind of piece on cards of `size`.
pub fn styles(size: Size) -> [Style; 8] {
    let small = |style: Style| Style {
        em: size.small(),
        ..style
    };
    let cautions = Style {
        em: size.cautions(),
        ..CAUTIONS
    };
    [
        cautions,
        HEADING,
        STRONG,
        LINE_STYLE,
        READINGS,
        PAIRS,
        small(SMALL),
        small(INTERVAL),
    ]
}

impl Block {
    /// Returns how the piece is set on a card of `size`.
    pub fn style(&self, size: Size) -> Style {
        let [
            cautions,
            heading,
            strong,
            line,
            readings,
            pairs,
            small,
            share,
        ] = styles(size);
        match self {
            Self::Cautions(_) => cautions,
            Self::Heading(_) => heading,
            Self::Strong(_) => strong,
            Self::Line(_) => line,
            Self::Readings(_) => readings,
            Self::Pairs(_) => pairs,
            Self::Small(_) => small,
            Self::Interval(_) => share,
        }
    }

    /// Returns the piece as HTML.
    pub fn html(&self, size: Size) -> String {
        let class = self.style(size).class;
        let inside = match self {
            Self::Cautions(lines) => paragraphs(lines),
            Self::Heading(line) | Self::Strong(line) | Self::Line(line) | Self::Small(line) => {
                words(line)
            }
            Self::Readings(rows) => {
                let rows = rows.iter().map(|row| {
                    let cells = row.iter().map(|cell| format!("<td>{}</td>", words(cell)));
                    format!("<tr>{}</tr>", cells.collect::<String>())
                });
                return table(class, &READING_COLUMNS, &rows.collect::<String>());
            }
            Self::Pairs(pairs) => {
                let rows = pairs.iter().map(|(left, right)| {
                    let (left, right) = (paragraphs(left), paragraphs(right));
                    format!("<tr><td>{left}</td><td>{right}</td></tr>")
                });
                return table(class, &PAIR_COLUMNS, &rows.collect::<String>());
            }
            Self::Interval(share) => interval_svg::svg(share),
        };
        format!("<div class=\"{class}\">{inside}</div>")
    }
}

fn paragraphs(lines: &[String]) -> String {
    let lines = lines.iter().map(|line| format!("<p>{}</p>", words(line)));
    lines.collect()
}

fn table(class: &str, columns: &[f64], rows: &str) -> String {
    let columns: Vec<String> = columns
        .iter()
        .map(|part| format!("<col style=\"width:{:.0}%\">", 100.0 * part))
        .collect();
    let columns = columns.concat();
    format!("<table class=\"{class}\"><colgroup>{columns}</colgroup>{rows}</table>")
}
