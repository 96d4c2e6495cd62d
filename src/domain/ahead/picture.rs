//! A band over the days, in characters: what is likely between its limits, the middle on a line.
//!
//! The same picture on every face. It needs no colour: the band is hatched, the middle is dotted.

use crate::domain::ahead::bands::Band;
use crate::domain::units::count;

/// Rows of the picture, without its axis.
pub const ROWS: usize = 6;
/// Columns of the numbers on the left.
const SCALE: usize = 6;
/// Steps that the scale may have, in points.
const STEPS: [f64; 5] = [2.0, 3.0, 5.0, 10.0, 20.0];

/// Returns the band as lines of `columns`, from the first day of `at` to its last: rows from the
/// greatest share down, an axis below, and the two words under its ends.
///
/// Shares are from 0 to 1; the scale shows hundredths. Nothing is drawn for fewer than two days.
pub fn band(at: &[u32], bands: &[Band], ends: (&str, &str), columns: usize) -> Vec<String> {
    let wide = columns.saturating_sub(SCALE + 2);
    let (Some(first), Some(last)) = (at.first(), at.last()) else {
        return Vec::new();
    };
    if last <= first || wide < 10 {
        return Vec::new();
    }
    let (low, step) = scale(bands);
    let row = |share: f64| row_of(share * 100.0, low, step);
    let cells: Vec<[usize; 3]> = (0..wide)
        .map(|column| {
            let share = count(column) / count(wide - 1);
            let day = f64::from(*first) + f64::from(last - first) * share;
            let band = between(at, bands, day);
            [row(band.low), row(band.mid), row(band.high)]
        })
        .collect();
    let mut lines: Vec<String> = (0..ROWS)
        .rev()
        .map(|row| {
            let number = low + step * count(row);
            let drawn: String = cells
                .iter()
                .map(|[low, mid, high]| match row {
                    row if row == *mid => '●',
                    row if *low <= row && row <= *high => '░',
                    _ => ' ',
                })
                .collect();
            format!("{number:>width$.0} │{drawn}", width = SCALE - 1)
                .trim_end()
                .to_owned()
        })
        .collect();
    lines.push(format!("{}└{}", " ".repeat(SCALE), "─".repeat(wide)));
    let gap = wide.saturating_sub(ends.0.chars().count() + ends.1.chars().count());
    lines.push(format!(
        "{}{}{}{}",
        " ".repeat(SCALE + 1),
        ends.0,
        " ".repeat(gap),
        ends.1
    ));
    lines
}

/// Returns the lowest number of the scale and its step: the finest on which the whole band stands.
fn scale(bands: &[Band]) -> (f64, f64) {
    let least = bands.iter().map(|b| b.low).fold(1.0, f64::min) * 100.0;
    let most = bands.iter().map(|b| b.high).fold(0.0, f64::max) * 100.0;
    for step in STEPS {
        let low = (least / step).floor() * step;
        if most <= low + step * (count(ROWS - 1) + 0.5) {
            // Never past the top: 100 is all there is.
            let top = low + step * count(ROWS - 1);
            let down = ((top - 100.0) / step).ceil().max(0.0) * step;
            return ((low - down).max(0.0), step);
        }
    }
    (0.0, 20.0)
}

fn row_of(points: f64, low: f64, step: f64) -> usize {
    (0..ROWS - 1)
        .find(|row| points < low + step * (count(*row) + 0.5))
        .unwrap_or(ROWS - 1)
}

/// Returns the band on a day between those that are known, on straight lines.
fn between(at: &[u32], bands: &[Band], day: f64) -> Band {
    let after = at
        .partition_point(|known| f64::from(*known) < day)
        .clamp(1, bands.len() - 1);
    let (from, to) = (f64::from(at[after - 1]), f64::from(at[after]));
    let share = ((day - from) / (to - from).max(1e-9)).clamp(0.0, 1.0);
    let (a, b) = (bands[after - 1], bands[after]);
    let mix = |a: f64, b: f64| a + (b - a) * share;
    Band {
        low: mix(a.low, b.low),
        mid: mix(a.mid, b.mid),
        high: mix(a.high, b.high),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(low: f64, mid: f64, high: f64) -> Band {
        Band { low, mid, high }
    }

    #[test]
    fn the_band_stands_at_its_numbers() {
        let bands = [Band::sure(0.40), at(0.45, 0.50, 0.55), at(0.55, 0.60, 0.65)];
        let drawn = band(&[0, 10, 20], &bands, ("today", "20 Jun"), 29);
        let expected = [
            "   65 │                  ░░░",
            "   60 │              ░░░░░░●",
            "   55 │          ░░░░░░●●●●●",
            "   50 │      ░░░░●●●●●●░░░░░",
            "   45 │  ░░░●●●●●░░░░░",
            "   40 │●●●░░░",
            "      └─────────────────────",
            "       today          20 Jun",
        ];
        assert_eq!(drawn.len(), expected.len(), "{drawn:#?}");
        assert_eq!(drawn[6..], expected[6..]);
        assert!(drawn[5].starts_with("   40 │●"), "{drawn:#?}");
        assert!(drawn[1].ends_with('●'), "{drawn:#?}");
        assert!(drawn[0].ends_with('░'), "{drawn:#?}");
    }

    #[test]
    fn too_little_to_draw_draws_nothing() {
        assert!(band(&[], &[], ("", ""), 60).is_empty());
        assert!(band(&[0], &[Band::sure(0.5)], ("", ""), 60).is_empty());
        let two = [Band::sure(0.5), Band::sure(0.6)];
        assert!(band(&[0, 9], &two, ("", ""), 12).is_empty());
    }

    proptest! {
        #[test]
        fn every_column_has_one_dot_and_no_line_is_too_long(
            shares in proptest::collection::vec((0.0..=1.0, 0.0..=1.0, 0.0..=1.0), 2..12),
            columns in 20..100_usize,
        ) {
            let bands: Vec<Band> = shares
                .iter()
                .map(|&(a, b, c): &(f64, f64, f64)| {
                    let mut ends = [a, b, c];
                    ends.sort_by(f64::total_cmp);
                    at(ends[0], ends[1], ends[2])
                })
                .collect();
            let days: Vec<u32> = (0..).step_by(7).take(bands.len()).collect();
            let drawn = band(&days, &bands, ("today", "later"), columns);
            prop_assert_eq!(drawn.len(), ROWS + 2);
            prop_assert!(drawn.iter().all(|line| line.chars().count() <= columns));
            let dots = drawn.iter().flat_map(|line| line.chars()).filter(|c| *c == '●').count();
            prop_assert_eq!(dots, columns - SCALE - 2);
        }
    }
}
