//! What many runs say together: the middle of them, and the limits that eight in ten lie between.

/// Tenth, fiftieth and ninetieth part of a hundred of what the runs gave.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    /// One run in ten gave less.
    pub low: f64,
    /// Half of them gave less.
    pub mid: f64,
    /// One in ten gave more.
    pub high: f64,
}

impl Band {
    /// Returns the band of a value that does not vary.
    pub fn sure(value: f64) -> Self {
        Self {
            low: value,
            mid: value,
            high: value,
        }
    }

    /// Returns how far apart the limits are.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

/// Returns the value that the share `at` of sorted `values` lies below, straight lines between them;
/// 0 without any.
///
/// Source: R. J. Hyndman, Y. Fan, *Sample Quantiles in Statistical Packages*, The American Statistician
/// 50 (1996), pp. 361-365, definition 7.
pub fn quantile(values: &[f64], at: f64) -> f64 {
    let Some(last) = values.len().checked_sub(1) else {
        return 0.0;
    };
    let place = crate::domain::units::count(last) * at.clamp(0.0, 1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "within 0 and the last place"
    )]
    let below = place as usize;
    let (low, high) = (values[below.min(last)], values[(below + 1).min(last)]);
    low + (high - low) * (place - place.floor())
}

/// Returns the band of what the runs gave, in any order.
pub fn band(values: impl IntoIterator<Item = f64>) -> Band {
    let mut sorted: Vec<f64> = values.into_iter().collect();
    sorted.sort_unstable_by(f64::total_cmp);
    Band {
        low: quantile(&sorted, 0.1),
        mid: quantile(&sorted, 0.5),
        high: quantile(&sorted, 0.9),
    }
}

/// Returns the mean; 0 without any.
pub fn mean(values: impl IntoIterator<Item = f64>) -> f64 {
    let (sum, n) = values
        .into_iter()
        .fold((0.0, 0usize), |(sum, n), value| (sum + value, n + 1));
    if n == 0 {
        0.0
    } else {
        sum / crate::domain::units::count(n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_those_of_definition_seven() {
        // numpy's documentation of `percentile` (method "linear", the same definition): of 10, 7, 4, 3,
        // 2, 1 the middle is 3.5. The tenth is at place 0.5 between 1 and 2, by hand.
        let sorted = [1.0, 2.0, 3.0, 4.0, 7.0, 10.0];
        for (at, expected) in [(0.5, 3.5), (0.1, 1.5), (0.9, 8.5), (0.0, 1.0), (1.0, 10.0)] {
            let found = quantile(&sorted, at);
            assert!((found - expected).abs() < 1e-12, "{at}: {found}");
        }
        let found = band([10.0, 7.0, 4.0, 3.0, 2.0, 1.0]);
        assert!((found.mid - 3.5).abs() < 1e-12);
        assert!((found.width() - 7.0).abs() < 1e-12);
    }

    #[test]
    fn no_runs_give_nothing_and_one_gives_itself() {
        assert_eq!(band([]), Band::default());
        assert_eq!(band([0.4]), Band::sure(0.4));
        assert_eq!(mean([]).to_bits(), 0f64.to_bits());
        assert!((mean([1.0, 2.0]) - 1.5).abs() < 1e-12);
    }
}
