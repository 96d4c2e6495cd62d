//! Sheets of cards as one HTML file: fronts on one page, their backs on the next, to be printed on both
//! sides and cut.
//!
//! The file stands alone: no script, no network, no font or picture from outside, and it says so to the
//! browser. Black on white; colour carries nothing. Which words stand on a card is decided elsewhere.

use crate::report::card_face;
use crate::report::card_face::BETWEEN_EM;
use crate::report::card_face::Block;
use crate::report::card_face::FRAME_EM;
use crate::report::card_face::FRAME_MM;
use crate::report::card_face::LINE;
use crate::report::card_face::PAIR_EM;
use crate::report::fit;
use crate::report::html::text;
use crate::report::interval_svg;
use crate::report::paper;
use crate::report::paper::Edge;
use crate::report::paper::Paper;
use crate::report::paper::Side;
use crate::report::paper::Size;

/// Stands above the cards of every side.
pub const DEFERS: &str = "Maker's instructions, local codes and licensed people come before anything printed here. \
                          Not sure it is safe: stop and ask.";

/// A card as it is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintCard {
    /// The beginning of its id, by which the shop finds it again.
    pub mark: String,
    /// Its question.
    pub front: Vec<Block>,
    /// Its answer.
    pub back: Vec<Block>,
}

/// A side of a card that fits in no step of type.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLong(pub Side);

/// A card with the steps of type that its two sides are set in.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    card: PrintCard,
    steps: [usize; 2],
}

impl Fitted {
    /// Finds the type in which `card` fits both its sides.
    pub fn new(card: PrintCard, size: Size) -> Result<Self, TooLong> {
        let front = fit::step(&card.front, size).ok_or(TooLong(Side::Front))?;
        let back = fit::step(&card.back, size).ok_or(TooLong(Side::Back))?;
        Ok(Self {
            card,
            steps: [front, back],
        })
    }

    /// Returns the smaller type of its two sides, as a step from 0.
    pub fn step(&self) -> usize {
        let [front, back] = self.steps;
        front.max(back)
    }
}

/// How the cards are laid on paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Paper.
    pub paper: Paper,
    /// Size of a card.
    pub size: Size,
    /// Edge that the sheet is turned on.
    pub edge: Edge,
    /// Name of the whole, for the head of the window and the foot of the sheets.
    pub title: String,
    /// When and from what it was printed.
    pub printed: String,
}

/// Returns the whole file for `cards`, numbered from 1 in their order.
pub fn html(layout: &Layout, cards: &[Fitted]) -> String {
    let per_side = layout.size.per_side();
    let sheets = layout.size.sheets(cards.len());
    let mut pages = String::new();
    for (at, on_sheet) in cards.chunks(per_side).enumerate() {
        for side in [Side::Front, Side::Back] {
            let first = at * per_side + 1;
            pages.push_str(&page(layout, side, (at + 1, sheets), (first, on_sheet)));
        }
    }
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{}</title>\n<style>\n{}</style>\n</head>\n<body class=\"{}\">\n{pages}</body>\n</html>\n",
        text(&layout.title),
        style_sheet(layout),
        layout.size.name(),
    )
}

fn page(
    layout: &Layout,
    side: Side,
    (sheet, sheets): (usize, usize),
    (first, cards): (usize, &[Fitted]),
) -> String {
    let faces: String = (0..)
        .zip(cards)
        .map(|(slot, card)| face(layout, side, slot, (first + slot, card)))
        .collect();
    format!(
        "<section class=\"page\">\n{}<div class=\"head\">{DEFERS}</div>\n{faces}<div class=\"under\">Sheet {sheet} \
         of {sheets}, {}; turn on the {} edge. {}</div>\n</section>\n",
        marks(layout),
        side.name(),
        layout.edge.name(),
        text(&layout.printed),
    )
}

fn face(layout: &Layout, side: Side, slot: usize, (number, card): (usize, &Fitted)) -> String {
    let (left, top) = paper::corner_mm(
        layout.paper,
        layout.size,
        paper::place(layout.size, side, layout.edge, slot),
    );
    let [front_step, back_step] = card.steps;
    let (blocks, step) = match side {
        Side::Front => (&card.card.front, front_step),
        Side::Back => (&card.card.back, back_step),
    };
    let blocks: String = blocks.iter().map(|b| b.html(layout.size) + "\n").collect();
    format!(
        "<article style=\"left:{left:.2}mm;top:{top:.2}mm\"><div class=\"text step{step}\">\n{blocks}</div>\
         <div class=\"foot\"><b>Card {number}</b> {} <span>{}</span></div></article>\n",
        side.name(),
        text(&card.card.mark),
    )
}

/// Draws where to cut: short lines outside the cards, small crosses between them.
fn marks(layout: &Layout) -> String {
    if layout.size == Size::Wall {
        return String::new();
    }
    let (width, height) = layout.paper.mm();
    let (left, top) = paper::grid_corner_mm(layout.paper, layout.size);
    let (wide, high) = paper::grid_mm(layout.size);
    let (columns, rows) = layout.size.grid();
    let (card_wide, card_high) = layout.size.card_mm();
    let along = |from: f64, step: f64, n: usize| -> Vec<f64> {
        std::iter::successors(Some(from), |at| Some(at + step))
            .take(n + 1)
            .collect()
    };
    let (xs, ys) = (along(left, card_wide, columns), along(top, card_high, rows));
    let across = |x: &f64| {
        format!(
            "M{x:.2} {:.2}v2.4M{x:.2} {:.2}v2.4",
            top - 3.0,
            top + high + 0.6
        )
    };
    let down = |y: &f64| {
        format!(
            "M{:.2} {y:.2}h2.4M{:.2} {y:.2}h2.4",
            left - 3.0,
            left + wide + 0.6
        )
    };
    let cross = |x: &f64, y: &f64| format!("M{:.2} {y:.2}h3M{x:.2} {:.2}v3", x - 1.5, y - 1.5);
    let inner = xs[1..columns]
        .iter()
        .flat_map(|x| ys[1..rows].iter().map(move |y| cross(x, y)));
    let path: String = xs
        .iter()
        .map(across)
        .chain(ys.iter().map(down))
        .chain(inner)
        .collect();
    format!("<svg class=\"marks\" viewBox=\"0 0 {width} {height}\"><path d=\"{path}\"/></svg>\n")
}

fn style_sheet(layout: &Layout) -> String {
    let size = layout.size;
    let (width, height) = layout.paper.mm();
    let (card_wide, card_high) = size.card_mm();
    let (left, top) = paper::grid_corner_mm(layout.paper, size);
    let (_, high) = paper::grid_mm(size);
    let (text_wide, text_high) = fit::room_mm(size);
    let (padding, foot) = (size.padding_mm(), size.foot_mm());
    let (frame_above, frame_beside) = FRAME_EM;
    let foot_pt = match size {
        Size::Wall => 12,
        Size::Pocket => 7,
    };
    let steps: Vec<String> = size
        .steps_pt()
        .iter()
        .enumerate()
        .map(|(step, pt)| format!(".step{step}{{font-size:{pt}pt}}\n"))
        .collect();
    let blocks: Vec<String> = card_face::styles(size)
        .iter()
        .map(|style| {
            let weight = if style.bold { 700 } else { 400 };
            format!(
                ".{}{{font-size:{}em;font-weight:{weight};margin-top:{}em}}\n",
                style.class, style.em, style.above
            )
        })
        .collect();
    let (steps, blocks) = (steps.concat(), blocks.concat());
    format!(
        "@page{{size:{width}mm {height}mm;margin:0}}\n\
         *{{box-sizing:border-box;margin:0;padding:0}}\n\
         body{{font-family:Arial,Helvetica,\"Liberation Sans\",\"DejaVu Sans\",sans-serif;line-height:{LINE};color:#000;background:#fff}}\n\
         .page{{position:relative;width:{width}mm;height:{height}mm;overflow:hidden;break-after:page}}\n\
         .page:last-child{{break-after:auto}}\n\
         .marks{{position:absolute;left:0;top:0;width:{width}mm;height:{height}mm;fill:none;stroke:#000;stroke-width:.15}}\n\
         .head,.under{{position:absolute;left:{left:.2}mm;right:{left:.2}mm;font-size:7pt;line-height:1.3;white-space:nowrap;overflow:hidden}}\n\
         .head{{top:{:.2}mm}}\n\
         .under{{top:{:.2}mm}}\n\
         article{{position:absolute;width:{card_wide}mm;height:{card_high}mm}}\n\
         .text{{position:absolute;left:{padding}mm;top:{padding}mm;width:{text_wide}mm;height:{text_high}mm;overflow-wrap:anywhere}}\n\
         .foot{{position:absolute;left:{padding}mm;right:{padding}mm;bottom:{padding}mm;height:{foot}mm;padding-top:.6mm;\
         font-size:{foot_pt}pt;line-height:1;white-space:nowrap}}\n\
         .foot span{{float:right}}\n\
         {steps}{blocks}\
         .cautions{{border:{FRAME_MM}mm solid #000;padding:{frame_above}em {frame_beside}em}}\n\
         .w{{white-space:nowrap}}\n\
         table{{border-collapse:collapse;table-layout:fixed;width:100%}}\n\
         td{{vertical-align:top;padding-right:{BETWEEN_EM}em}}\n\
         .pairs td{{padding-top:{PAIR_EM}em;padding-bottom:{PAIR_EM}em}}\n\
         .pairs tr+tr td{{border-top:.1mm solid #000}}\n\
         .interval{{display:block;width:{}em;height:{}em;fill:none;stroke:#000;stroke-width:.5}}\n\
         .interval .bar{{stroke-width:1.8}}\n\
         .interval circle{{fill:#000;stroke:none}}\n\
         .interval text{{fill:#000;stroke:none;font-size:8px;text-anchor:middle}}\n\
         .interval .n{{text-anchor:start}}\n\
         @media screen{{.page{{margin:4mm auto;outline:.2mm solid #999}}}}\n",
        top - 7.0,
        top + high + 3.6,
        interval_svg::WIDE,
        interval_svg::HIGH,
    )
}

#[cfg(test)]
#[path = "card_sheet_tests.rs"]
mod tests;
