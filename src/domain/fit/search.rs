//! The fit: from the prior's mean downhill to the likeliest parameters.

use crate::domain::fit::histories::Histories;
use crate::domain::fit::prior::Prior;
use crate::domain::fit::scale;
use crate::domain::fit::slope;
use crate::domain::memory::COUNT;
use crate::domain::memory::Weights;
use crate::domain::units;

/// Fewest scored outcomes that are fitted; fewer leave the prior's mean as the best guess. Our own.
pub const FEWEST: usize = 16;

/// Most evaluations of the whole history.
const MOST: usize = 60;

/// Parameters fitted to reviews.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The parameters; none lies on a bound.
    pub weights: Weights,
    /// How many outcomes were scored.
    pub scored: usize,
    /// Mean loss on what was fitted (natural logarithm).
    pub log_loss: f64,
    /// How often the whole history was gone through.
    pub evaluations: usize,
}

/// Why there is nothing to fit: the prior's mean remains the best guess.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// There is no review at all.
    #[error("there is no review")]
    Nothing,
    /// No review came a day or more after the one before it.
    #[error("none of {reviews} reviews came a day or more after the one before it")]
    SameDayOnly {
        /// How many reviews there are.
        reviews: usize,
    },
    /// There are too few outcomes.
    #[error("{scored} scored reviews, and a fit takes at least {FEWEST}")]
    TooFew {
        /// How many are scored.
        scored: usize,
    },
    /// All outcomes are the same: nothing says how far memory is from there.
    #[error("all {scored} scored reviews were {}", if *recalled { "recalled" } else { "missed" })]
    OneSided {
        /// How many are scored.
        scored: usize,
        /// They were recalled; else they were missed.
        recalled: bool,
    },
}

/// Fits the parameters to the reviews before `until` (all of them without it), on one thread.
pub fn fit(histories: &Histories, until: Option<i64>, prior: &Prior) -> Result<Fit, FitError> {
    fit_on(1, histories, until, prior)
}

/// Fits as [`fit`] does, to the same numbers, on so many threads.
pub fn fit_on(
    _threads: usize,
    histories: &Histories,
    until: Option<i64>,
    prior: &Prior,
) -> Result<Fit, FitError> {
    let scored = histories.scored(until);
    let missed = histories.missed(until);
    let reviews: usize = histories.each(until).map(<[_]>::len).sum();
    match (reviews, scored) {
        (0, _) => return Err(FitError::Nothing),
        (_, 0) => return Err(FitError::SameDayOnly { reviews }),
        _ if scored < FEWEST => return Err(FitError::TooFew { scored }),
        _ if missed == 0 || missed == scored => {
            let recalled = missed == 0;
            return Err(FitError::OneSided { scored, recalled });
        }
        _ => {}
    }
    let mut evaluations = 0;
    let mut evaluate = |z: &[f64; COUNT]| {
        evaluations += 1;
        let (loss, slope) = slope::of(histories, &scale::shrink(z), until);
        let (penalty, pull) = prior.penalty(z);
        let pace = scale::pace(z);
        let slope = std::array::from_fn(|i| slope[i] * pace[i] + pull[i]);
        (loss, loss + penalty, slope)
    };
    let mut z = scale::stretch(&prior.mean);
    let mut curve = Curve::new(&prior.spread);
    let (mut loss, mut value, mut slope) = evaluate(&z);
    let mut tries = 1;
    while tries < MOST {
        let step = curve.step(&slope);
        let falls = dot(&step, &slope);
        if -falls < 1e-3 {
            break;
        }
        let mut length = 1.0;
        let found = loop {
            let ahead: [f64; COUNT] = std::array::from_fn(|i| z[i] + length * step[i]);
            let (at_loss, at, at_slope) = evaluate(&ahead);
            tries += 1;
            if at <= value + 1e-4 * length * falls {
                break Some((ahead, at_loss, at, at_slope));
            }
            length *= 0.3;
            if MOST <= tries {
                break None;
            }
        };
        let Some((ahead, at_loss, at, at_slope)) = found else {
            break;
        };
        let moved = std::array::from_fn(|i| ahead[i] - z[i]);
        let turned = std::array::from_fn(|i| at_slope[i] - slope[i]);
        curve.learn(&moved, &turned);
        (z, loss, value, slope) = (ahead, at_loss, at, at_slope);
    }
    Ok(Fit {
        weights: scale::shrink(&z),
        scored,
        log_loss: loss / units::count(scored),
        evaluations,
    })
}

/// The inverse of the curvature as learnt from the steps so far (BFGS).
struct Curve([[f64; COUNT]; COUNT]);

impl Curve {
    fn new(spread: &[f64; COUNT]) -> Self {
        let mut inverse = [[0.0; COUNT]; COUNT];
        for (i, row) in inverse.iter_mut().enumerate() {
            row[i] = 0.02 * spread[i] * spread[i];
        }
        Self(inverse)
    }

    fn times(&self, v: &[f64; COUNT]) -> [f64; COUNT] {
        std::array::from_fn(|i| dot(&self.0[i], v))
    }

    fn step(&self, slope: &[f64; COUNT]) -> [f64; COUNT] {
        self.times(slope).map(|part| -part)
    }

    fn learn(&mut self, moved: &[f64; COUNT], turned: &[f64; COUNT]) {
        let along = dot(moved, turned);
        if along <= 1e-12 {
            return;
        }
        let through = self.times(turned);
        let factor = (1.0 + dot(turned, &through) / along) / along;
        for i in 0..COUNT {
            for j in 0..COUNT {
                self.0[i][j] += factor * moved[i] * moved[j]
                    - (through[i] * moved[j] + moved[i] * through[j]) / along;
            }
        }
    }
}

fn dot(a: &[f64; COUNT], b: &[f64; COUNT]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::histories::Review;
    use crate::domain::memory::BOUNDS;
    use crate::domain::review::Grade;

    fn pairs(cards: u32, gap: i32, grade: impl Fn(u32) -> Grade) -> Histories {
        let review = |card, day, grade| Review {
            card,
            at: i64::from(day) * 86_400,
            day,
            grade,
            scored: true,
        };
        let reviews: Vec<Review> = (0..cards)
            .flat_map(|card| {
                [
                    review(card, 0, Grade::Named),
                    review(card, gap, grade(card)),
                ]
            })
            .collect();
        Histories::new(&reviews)
    }

    #[test]
    fn what_cannot_be_fitted_is_named() {
        let prior = Prior::published();
        let refused = |histories: &Histories| fit(histories, None, &prior).expect_err("no fit");
        assert_eq!(refused(&Histories::new(&[])), FitError::Nothing);
        let same_day = pairs(50, 0, |_| Grade::Missed);
        assert_eq!(refused(&same_day), FitError::SameDayOnly { reviews: 100 });
        let one = pairs(1, 3, |_| Grade::Missed);
        assert_eq!(refused(&one), FitError::TooFew { scored: 1 });
        for (grade, recalled) in [(Grade::Named, true), (Grade::Missed, false)] {
            let all = pairs(100, 3, |_| grade);
            let scored = 100;
            assert_eq!(refused(&all), FitError::OneSided { scored, recalled });
        }
    }

    #[test]
    fn thin_data_moves_parameters_toward_what_happened_and_onto_no_bound() {
        let prior = Prior::published();
        let stability = |missed: u32| {
            let histories = pairs(100, 3, |card| {
                if card < missed {
                    Grade::Missed
                } else {
                    Grade::Named
                }
            });
            let fit = fit(&histories, None, &prior).unwrap();
            for (p, (low, high)) in fit.weights.get().iter().zip(BOUNDS) {
                assert!(low < *p && *p < high, "{p} within {low} to {high}");
            }
            fit.weights.get()[2]
        };
        let often = stability(1);
        let seldom = stability(99);
        assert!(seldom < 1.0 && 10.0 < often, "{seldom} {often}");
    }
}
