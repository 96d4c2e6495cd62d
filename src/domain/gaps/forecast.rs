//! How good a forecast of recall was, and what it says about a number of cards.
//!
//! Symbols: `p` chance given beforehand (0 to 1), `y` what happened (1 recalled, 0 not), `n` answers.
//! - Brier score: mean of `(p - y)²`. G. W. Brier, *Verification of Forecasts Expressed in Terms of
//!   Probability*, Monthly Weather Review 78 (1950), pp. 1-3; here halved, so that it lies in 0 to 1.
//! - Log loss: mean of `-ln p` where it happened and `-ln (1 - p)` where it did not.
//! - Number recalled out of several cards, each on its own: mean `Σp`, variance `Σp(1 - p)` (Poisson's
//!   trials; W. Feller, *An Introduction to Probability Theory and Its Applications* I, chapter IX,
//!   from memory); interval: mean ± 1.959964 standard deviations, held within 0 and the number of
//!   cards. It says what chance alone does; that the model itself may be off is not in it.

use crate::domain::units::count;

/// The 0.975 quantile of the standard normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// Nearest to 0 and to 1 that a chance is taken for in a logarithm.
const CLIP: f64 = 1e-15;

/// Returns the Brier score of `(p, y)`; none without any.
pub fn brier(forecasts: &[(f64, bool)]) -> Option<f64> {
    mean(forecasts, |p, y| (p - f64::from(u8::from(y))).powi(2))
}

/// Returns the log loss of `(p, y)`, in nats; none without any. A chance of 0 or 1 is clipped.
pub fn log_loss(forecasts: &[(f64, bool)]) -> Option<f64> {
    mean(forecasts, |p, y| {
        let p = p.clamp(CLIP, 1.0 - CLIP);
        -libm::log(if y { p } else { 1.0 - p })
    })
}

fn mean(forecasts: &[(f64, bool)], loss: impl Fn(f64, bool) -> f64) -> Option<f64> {
    let sum: f64 = forecasts.iter().map(|&(p, y)| loss(p, y)).sum();
    (!forecasts.is_empty()).then(|| sum / count(forecasts.len()))
}

/// How many of several cards would be recalled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recalled {
    /// Cards.
    pub of: usize,
    /// Expected number.
    pub mean: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Returns how many of the cards with these chances would be recalled; none without any.
pub fn recalled(chances: &[f64]) -> Option<Recalled> {
    if chances.is_empty() {
        return None;
    }
    let mean: f64 = chances.iter().sum();
    let variance: f64 = chances.iter().map(|p| p * (1.0 - p)).sum();
    let half = Z * variance.max(0.0).sqrt();
    Some(Recalled {
        of: chances.len(),
        mean,
        low: (mean - half).max(0.0),
        high: (mean + half).min(count(chances.len())),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn pairs(p: &[f64], y: &[u8]) -> Vec<(f64, bool)> {
        p.iter().zip(y).map(|(p, y)| (*p, *y == 1)).collect()
    }

    #[track_caller]
    fn near(found: Option<f64>, expected: f64) {
        let found = found.expect("there are forecasts");
        assert!((found - expected).abs() < 6e-9, "{found} for {expected}");
    }

    #[test]
    fn scores_are_those_of_the_librarys_documentation() {
        // scikit-learn, documentation of brier_score_loss and of log_loss (there 0.21616...).
        near(brier(&pairs(&[0.1, 0.9, 0.8, 0.3], &[0, 1, 1, 0])), 0.0375);
        near(
            log_loss(&pairs(&[0.9, 0.1, 0.2, 0.65], &[1, 0, 0, 1])),
            0.216_161_87,
        );
        near(log_loss(&[(0.9, true)]), 0.105_360_52);
        near(log_loss(&[(0.9, false)]), std::f64::consts::LN_10);
    }

    #[test]
    fn scores_agree_with_a_general_library() {
        // Own examples, computed with scikit-learn 1.9.1.
        let p = [0.9, 0.9, 0.9, 0.7, 0.7, 0.7, 0.7, 0.5, 0.5, 0.5, 0.5, 0.9];
        let twelve = pairs(&p, &[1, 1, 0, 1, 1, 0, 1, 0, 1, 1, 0, 1]);
        near(brier(&twelve), 0.216_666_67);
        near(log_loss(&twelve), 0.638_771_08);
        let p = [0.95, 0.9, 0.85, 0.8, 0.7, 0.6, 0.55, 0.4, 0.3, 0.1];
        let ten = pairs(&p, &[1, 1, 1, 0, 1, 0, 1, 1, 0, 0]);
        near(brier(&ten), 0.178_75);
        near(log_loss(&ten), 0.517_773_95);
    }

    #[test]
    fn certainty_is_clipped_and_nothing_scores_nothing() {
        assert!(log_loss(&[(1.0, false)]).is_some_and(f64::is_finite));
        assert_eq!(brier(&[]), None);
        assert_eq!(log_loss(&[]), None);
        assert_eq!(recalled(&[]), None);
    }

    /// Mean and variance of the number recalled over every outcome there can be.
    fn exhaustive(chances: &[f64]) -> (f64, f64) {
        let (mut mean, mut square) = (0.0, 0.0);
        for outcome in 0..1u32 << chances.len() {
            let chance: f64 = chances
                .iter()
                .enumerate()
                .map(|(i, p)| if outcome >> i & 1 == 1 { *p } else { 1.0 - p })
                .product();
            let n = f64::from(outcome.count_ones());
            mean += chance * n;
            square += chance * n * n;
        }
        (mean, square - mean * mean)
    }

    #[test]
    fn the_interval_of_a_count_agrees_with_every_outcome_counted() {
        let chances = [0.97, 0.9, 0.82, 0.75, 0.6, 0.6, 0.41, 0.3, 0.2, 0.08];
        let (mean, variance) = exhaustive(&chances);
        let found = recalled(&chances).expect("cards");
        assert!((found.mean - mean).abs() < 1e-12);
        assert!((found.high - (mean + Z * variance.sqrt())).abs() < 1e-9);
        assert!((found.low - (mean - Z * variance.sqrt())).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn the_interval_holds_the_mean_and_stays_within_the_cards(
            chances in prop::collection::vec(0.0..=1.0f64, 1..60),
        ) {
            let found = recalled(&chances).expect("cards");
            prop_assert!(0.0 <= found.low && found.low <= found.mean + 1e-9);
            prop_assert!(found.mean <= found.high + 1e-9 && found.high <= count(found.of));
        }
    }
}
