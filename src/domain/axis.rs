//! An interval on one shared axis from 0 to 100 %, in characters; the same on every face.

use crate::domain::units;

/// Cells of the axis: one for every 5 %, both ends included.
pub const CELLS: usize = 21;

/// The numbers that stand over the axis; two columns longer than the bar.
pub const HEAD: &str = "0    25   50   75  100 %";

/// Returns an interval on the axis from 0 to 1: `·········├──────●──┤·`, the dot at `at`.
pub fn bar(low: f64, at: f64, high: f64) -> String {
    let (low, at, high) = (cell(low), cell(at), cell(high));
    (0..CELLS)
        .map(|i| match i {
            i if i == at => '●',
            i if i == low => '├',
            i if i == high => '┤',
            i if low < i && i < high => '─',
            _ => '·',
        })
        .collect()
}

fn cell(share: f64) -> usize {
    let last = CELLS - 1;
    (0..last)
        .find(|i| share < (units::count(*i) + 0.5) / units::count(last))
        .unwrap_or(last)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_bar_has_its_dot_at_the_printed_number() {
        // 7 of 9: Wilson 95 % limits 0.4526 and 0.9368, worked by hand from Wilson 1927.
        assert_eq!(bar(0.4526, 7.0 / 9.0, 0.9368), "·········├──────●──┤·");
        assert_eq!(bar(0.0, 0.0, 0.0), "●····················");
        assert_eq!(bar(0.2065, 1.0, 1.0), "····├───────────────●");
    }

    #[test]
    fn the_numbers_stand_over_their_cells() {
        for (number, share) in [("0", 0.0), ("25", 0.25), ("50", 0.5), ("75", 0.75)] {
            assert_eq!(HEAD.find(number), Some(cell(share)), "{number}");
        }
        // 100 is three wide, so it stands centred on the last cell.
        assert_eq!(HEAD.find("100"), Some(cell(1.0) - 1));
    }

    proptest! {
        #[test]
        fn every_bar_has_one_dot_and_the_same_width(a in 0.0..=1.0, b in 0.0..=1.0, c in 0.0..=1.0) {
            let mut ends: [f64; 3] = [a, b, c];
            ends.sort_by(f64::total_cmp);
            let drawn = bar(ends[0], ends[1], ends[2]);
            prop_assert_eq!(drawn.chars().count(), CELLS);
            prop_assert_eq!(drawn.chars().filter(|c| *c == '●').count(), 1);
        }
    }
}
