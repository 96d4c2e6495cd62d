//! A share with its limits, drawn on one axis from 0 to 100 % that is the same on every card.
//!
//! Lengths inside the picture are tenths of the type size around it. The limits are given, not computed
//! here (Wilson 95 %, `domain/interval.rs`).

use crate::domain::units::count;

/// Width of the picture, in type sizes.
pub const WIDE: f64 = 19.0;
/// Height of the picture, in type sizes.
pub const HIGH: f64 = 2.5;

/// Where 0 % and 100 % stand.
const FROM: f64 = 8.0;
const TO: f64 = 140.0;
/// Height of the axis.
const AXIS: f64 = 8.0;

/// A share of jobs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// How many of them.
    pub k: usize,
    /// Of how many; more than 0.
    pub n: usize,
    /// Lower limit, 0 to 1.
    pub low: f64,
    /// Upper limit, 0 to 1.
    pub high: f64,
}

/// Draws `share`: a dot at k/n, a bar between its limits, and n beside the axis.
pub fn svg(share: &Interval) -> String {
    let x = |part: f64| FROM + (TO - FROM) * part.clamp(0.0, 1.0);
    let at = count(share.k) / count(share.n.max(1));
    let ticks: String = [0.0, 0.25, 0.5, 0.75, 1.0]
        .map(|part| {
            let (at, percent) = (x(part), 100.0 * part);
            format!(
                "<path d=\"M{at:.1} {AXIS:.1}v2.5\"/><text x=\"{at:.1}\" y=\"20\">{percent:.0}</text>"
            )
        })
        .concat();
    let (low, high, dot) = (x(share.low), x(share.high), x(at));
    format!(
        "<svg class=\"interval\" viewBox=\"0 0 {:.0} {:.0}\" role=\"img\" aria-label=\"{} of {}, between {:.0} \
         and {:.0} %\"><path d=\"M{FROM:.1} {AXIS:.1}H{TO:.1}\"/>{ticks}<path class=\"bar\" \
         d=\"M{low:.1} {AXIS:.1}H{high:.1}M{low:.1} {:.1}v6M{high:.1} {:.1}v6\"/><circle cx=\"{dot:.1}\" \
         cy=\"{AXIS:.1}\" r=\"2.4\"/><text class=\"n\" x=\"{:.1}\" y=\"11\">% n = {}</text></svg>",
        10.0 * WIDE,
        10.0 * HIGH,
        share.k,
        share.n,
        100.0 * share.low,
        100.0 * share.high,
        AXIS - 3.0,
        AXIS - 3.0,
        TO + 6.0,
        share.n,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dot_and_the_limits_stand_where_their_percents_are() {
        // 7 of 9: Wilson 95 % limits 0.4526 and 0.9368, worked by hand from Wilson 1927.
        // On an axis 132 long that begins at 8: 8 + 132 * 7/9 = 110.7, 67.7 and 131.7.
        let drawn = svg(&Interval {
            k: 7,
            n: 9,
            low: 0.4526,
            high: 0.9368,
        });
        assert!(drawn.contains("cx=\"110.7\""), "{drawn}");
        assert!(drawn.contains("M67.7 8.0H131.7"), "{drawn}");
        assert!(drawn.contains("x=\"74.0\" y=\"20\">50<"), "{drawn}");
        assert!(drawn.contains("n = 9"), "{drawn}");
    }

    #[test]
    fn what_is_no_share_stays_on_the_axis() {
        let drawn = svg(&Interval {
            k: 3,
            n: 0,
            low: -4.0,
            high: 9.0,
        });
        assert!(drawn.contains("M8.0 8.0H140.0"), "{drawn}");
        assert!(drawn.contains("cx=\"140.0\""), "{drawn}");
    }
}
