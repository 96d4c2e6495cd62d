//! Paper: how large a sheet and a card are, and where each card lies, so that its back is behind its front.
//!
//! Lengths are millimetres, type sizes points (1 pt = 1/72 inch, 1 inch = 25.4 mm). The grid of cards stands
//! in the middle of the sheet, so turning the sheet puts it on itself. A4 is 210 by 297 mm (ISO 216), Letter
//! 8.5 by 11 inches.
//!
//! Type for the wall: at 1.5 m the capitals of 28 pt (about 0.7 of it, 6.9 mm) are seen under 16 minutes of
//! arc, the least that ISO 9241-303 asks for text on screens (from memory). Type in the pocket: common
//! practice, no source.

use crate::domain::units::count;

/// Millimetres in a point.
pub const MM_PER_PT: f64 = 25.4 / 72.0;

/// How many steps of type there are.
pub const STEPS: usize = 3;

/// A sheet of paper, upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// ISO A4.
    A4,
    /// US Letter.
    Letter,
}

impl Paper {
    /// Returns width and height.
    pub fn mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }
}

/// What a card is printed for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// One card a side, to be read across a room.
    Wall,
    /// Six cards a side, to be cut.
    Pocket,
}

impl Size {
    /// Returns columns and rows of cards on one side.
    pub fn grid(self) -> (usize, usize) {
        match self {
            Self::Wall => (1, 1),
            Self::Pocket => (2, 3),
        }
    }

    /// Returns how many cards lie on one side.
    pub fn per_side(self) -> usize {
        let (columns, rows) = self.grid();
        columns * rows
    }

    /// Returns how many sheets `n` cards take.
    pub fn sheets(self, n: usize) -> usize {
        n.div_ceil(self.per_side())
    }

    /// Returns width and height of a card; the same on every paper.
    pub fn card_mm(self) -> (f64, f64) {
        match self {
            Self::Wall => (188.0, 252.0),
            Self::Pocket => (95.0, 84.0),
        }
    }

    /// Returns what stays free inside a card's edge.
    pub fn padding_mm(self) -> f64 {
        match self {
            Self::Wall => 6.0,
            Self::Pocket => 4.0,
        }
    }

    /// Returns the height of the line with the card's number at its foot.
    pub fn foot_mm(self) -> f64 {
        match self {
            Self::Wall => 9.0,
            Self::Pocket => 3.5,
        }
    }

    /// Returns the type sizes of a card, the usual one first, in points.
    pub fn steps_pt(self) -> [f64; STEPS] {
        match self {
            Self::Wall => [28.0, 24.0, 20.0],
            Self::Pocket => [9.0, 8.0, 7.0],
        }
    }

    /// Returns the size of the cautions, as a part of the rest; they are bold and in a frame.
    pub fn cautions(self) -> f64 {
        match self {
            Self::Wall => 0.78,
            Self::Pocket => 0.88,
        }
    }

    /// Returns the size of the evidence, which is read from near by, as a part of the rest.
    pub fn small(self) -> f64 {
        match self {
            Self::Wall => 0.55,
            Self::Pocket => 0.86,
        }
    }

    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Wall => "wall",
            Self::Pocket => "pocket",
        }
    }
}

/// The edge that the printer turns the sheet on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The long one: left and right change places, as in a book.
    Long,
    /// The short one: top and bottom change places, as in a calendar on the wall.
    Short,
}

impl Edge {
    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Long => "long",
            Self::Short => "short",
        }
    }
}

/// One side of a sheet or of a card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The question.
    Front,
    /// The answer.
    Back,
}

impl Side {
    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back => "back",
        }
    }
}

/// Where a card lies on one side of its sheet, counted from the left and from the top.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Column, from 0.
    pub column: usize,
    /// Row, from 0.
    pub row: usize,
}

/// Returns the place of the card that is `slot`-th of its sheet (from 0).
///
/// Fronts go row by row. The back lies where the front comes to lie when the sheet is turned on `edge`.
pub fn place(size: Size, of: Side, edge: Edge, slot: usize) -> Place {
    let (columns, rows) = size.grid();
    let front = Place {
        column: slot % columns,
        row: slot / columns,
    };
    match (of, edge) {
        (Side::Front, _) => front,
        (Side::Back, Edge::Long) => Place {
            column: columns - 1 - front.column,
            ..front
        },
        (Side::Back, Edge::Short) => Place {
            row: rows - 1 - front.row,
            ..front
        },
    }
}

/// Returns left and top of the grid of cards on the sheet.
pub fn grid_corner_mm(paper: Paper, size: Size) -> (f64, f64) {
    let (width, height) = paper.mm();
    let (grid_width, grid_height) = grid_mm(size);
    ((width - grid_width) / 2.0, (height - grid_height) / 2.0)
}

/// Returns width and height of the grid of cards.
pub fn grid_mm(size: Size) -> (f64, f64) {
    let ((columns, rows), (width, height)) = (size.grid(), size.card_mm());
    (count(columns) * width, count(rows) * height)
}

/// Returns left and top of a card on its sheet.
pub fn corner_mm(paper: Paper, size: Size, place: Place) -> (f64, f64) {
    let ((left, top), (width, height)) = (grid_corner_mm(paper, size), size.card_mm());
    (
        left + count(place.column) * width,
        top + count(place.row) * height,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAPERS: [Paper; 2] = [Paper::A4, Paper::Letter];
    const SIZES: [Size; 2] = [Size::Wall, Size::Pocket];

    /// Returns where a point of the front comes to lie, seen from behind.
    fn turned(paper: Paper, edge: Edge, (x, y): (f64, f64)) -> (f64, f64) {
        let (width, height) = paper.mm();
        match edge {
            Edge::Long => (width - x, y),
            Edge::Short => (x, height - y),
        }
    }

    #[test]
    fn every_back_lies_behind_its_front() {
        for paper in PAPERS {
            for size in SIZES {
                for edge in [Edge::Long, Edge::Short] {
                    for slot in 0..size.per_side() {
                        let middle = |side| {
                            let (x, y) = corner_mm(paper, size, place(size, side, edge, slot));
                            let (width, height) = size.card_mm();
                            (x + width / 2.0, y + height / 2.0)
                        };
                        let (x, y) = turned(paper, edge, middle(Side::Front));
                        let (bx, by) = middle(Side::Back);
                        assert!(
                            (x - bx).abs() < 1e-9 && (y - by).abs() < 1e-9,
                            "{paper:?} {size:?} {edge:?} slot {slot}: {x} {y}, not {bx} {by}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn backs_are_mirrored_and_no_two_cards_share_a_place() {
        let places = |side, edge| -> Vec<(usize, usize)> {
            let at = |slot| place(Size::Pocket, side, edge, slot);
            (0..Size::Pocket.per_side())
                .map(at)
                .map(|p| (p.column, p.row))
                .collect()
        };
        let fronts = places(Side::Front, Edge::Long);
        assert_eq!(fronts[..3], [(0, 0), (1, 0), (0, 1)]);
        assert_eq!(
            places(Side::Back, Edge::Long)[..3],
            [(1, 0), (0, 0), (1, 1)]
        );
        assert_eq!(
            places(Side::Back, Edge::Short)[..3],
            [(0, 2), (1, 2), (0, 1)]
        );
        for edge in [Edge::Long, Edge::Short] {
            let mut backs = places(Side::Back, edge);
            let mut all = fronts.clone();
            backs.sort_unstable();
            all.sort_unstable();
            assert_eq!(backs, all);
        }
    }

    #[test]
    fn cards_keep_clear_of_the_edge_of_either_paper() {
        for paper in PAPERS {
            for size in SIZES {
                let (left, top) = grid_corner_mm(paper, size);
                assert!(
                    10.0 <= left && 10.0 <= top,
                    "{paper:?} {size:?}: {left} {top}"
                );
            }
        }
    }

    #[test]
    fn a_sheet_more_is_taken_by_the_first_card_that_has_no_room() {
        let sheets = |n| Size::Pocket.sheets(n);
        assert_eq!([0, 1, 6, 7, 12, 13].map(sheets), [0, 1, 1, 2, 2, 3]);
        assert_eq!(Size::Wall.sheets(5), 5);
    }

    #[test]
    fn capitals_on_the_wall_are_seen_under_sixteen_minutes_of_arc_at_a_metre_and_a_half() {
        let capital = 0.7 * Size::Wall.steps_pt()[0] * MM_PER_PT;
        let minutes = (capital / 1500.0).atan().to_degrees() * 60.0;
        assert!((15.5..16.5).contains(&minutes), "{minutes}");
    }
}
