//! The fit: from the prior's mean downhill to the likeliest parameters.
//!
//! The objective is the loss of all scored reviews plus the penalty of the prior, in stretched numbers
//! (`scale.rs`), where there are no bounds. Steps are quasi-Newton (BFGS) on the full batch, from the
//! curvature that the cards' own gradients give (`slope.rs`). Long histories are first fitted on a
//! fixed part of their cards, an eighth or an eighth of that, where a step costs little; few steps are
//! left for the whole. Nothing is drawn by chance. What each of these bought is told in
//! `benches/fit`.

use crate::domain::fit::blocks::Blocks;
use crate::domain::fit::histories::Histories;
use crate::domain::fit::matrix;
use crate::domain::fit::matrix::Matrix;
use crate::domain::fit::matrix::Vector;
use crate::domain::fit::prior::Prior;
use crate::domain::fit::scale;
use crate::domain::fit::slope;
use crate::domain::memory::Weights;
use crate::domain::units;

/// Fewest scored outcomes that are fitted; fewer leave the prior's mean as the best guess. Our own.
pub const FEWEST: usize = 16;

/// Most evaluations at a stage; 4 to 12 are usual.
const MOST: usize = 60;

/// Scored reviews that are enough to begin with.
const ENOUGH: usize = 1200;

/// Each stage has so many times the cards of the stage before.
const GROWS: usize = 8;

/// What a step may still promise (natural logarithm of likelihood) when a stage ends.
const ROUGH: f64 = 0.5;

/// The same of the last stage: the statistical error of 21 parameters is about 10.
const FINE: f64 = 0.05;

/// Farthest that a stretched number goes in one step.
const FARTHEST: f64 = 2.0;

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
    /// No review is scored: none came a day or more after the one before it, outside a brief.
    #[error(
        "none of {reviews} reviews came a day or more after the one before it, outside a brief"
    )]
    NoneScored {
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
    threads: usize,
    histories: &Histories,
    until: Option<i64>,
    prior: &Prior,
) -> Result<Fit, FitError> {
    let scored = histories.scored(until);
    let missed = histories.missed(until);
    let reviews: usize = histories.each(until).map(<[_]>::len).sum();
    match (reviews, scored) {
        (0, _) => return Err(FitError::Nothing),
        (_, 0) => return Err(FitError::NoneScored { reviews }),
        _ if scored < FEWEST => return Err(FitError::TooFew { scored }),
        _ if missed == 0 || missed == scored => {
            let recalled = missed == 0;
            return Err(FitError::OneSided { scored, recalled });
        }
        _ => {}
    }
    let mut z = scale::stretch(&prior.mean);
    let mut one_in = 1;
    while ENOUGH * GROWS <= scored / one_in {
        one_in *= GROWS;
    }
    loop {
        let blocks = Blocks::new(histories, until, one_in);
        let stage = Stage {
            blocks: &blocks,
            prior,
            threads,
            last: one_in == 1,
        };
        let (found, evaluations) = stage.run(z);
        if stage.last {
            return Ok(Fit {
                weights: scale::shrink(&found.z),
                scored,
                log_loss: found.loss / units::count(scored),
                evaluations,
            });
        }
        z = found.z;
        one_in /= GROWS;
    }
}

/// The fit to some of the cards, or to all.
struct Stage<'a> {
    blocks: &'a Blocks,
    prior: &'a Prior,
    threads: usize,
    last: bool,
}

/// What is known of some stretched numbers.
struct Point {
    z: Vector,
    loss: f64,
    /// Loss and penalty.
    value: f64,
    by: Vector,
    /// The inverse of how the gradient turns, where it was asked for.
    inverse: Option<Matrix>,
}

impl Stage<'_> {
    /// Walks downhill from `z`; returns where it ended and how many evaluations that took.
    fn run(&self, z: Vector) -> (Point, usize) {
        let tolerance = if self.last { FINE } else { ROUGH };
        let mut here = self.at(z, true);
        let mut evaluations = 1;
        let Some(mut curve) = here.inverse else {
            return (here, evaluations);
        };
        while evaluations < MOST {
            let step = matrix::times(&curve, &here.by).map(|part| -part);
            let falls = matrix::dot(&step, &here.by);
            if -falls < tolerance {
                break;
            }
            // Of the whole, the curvature is taken no more than twice: the steps teach the rest.
            let turn = !self.last || evaluations < 3;
            let next = self.along(&here, &step, falls, turn, &mut evaluations);
            let Some(next) = next else { break };
            curve = next.inverse.unwrap_or(curve);
            let moved = std::array::from_fn(|i| next.z[i] - here.z[i]);
            let turned = std::array::from_fn(|i| next.by[i] - here.by[i]);
            learn(&mut curve, &moved, &turned);
            here = next;
        }
        (here, evaluations)
    }

    /// Goes along a step as far as it leads downhill as it should.
    fn along(
        &self,
        here: &Point,
        step: &Vector,
        falls: f64,
        turn: bool,
        evaluations: &mut usize,
    ) -> Option<Point> {
        let far = step.iter().fold(FARTHEST, |far, part| far.max(part.abs()));
        let mut length = FARTHEST / far;
        while *evaluations < MOST {
            let z = std::array::from_fn(|i| here.z[i] + length * step[i]);
            let ahead = self.at(z, turn);
            *evaluations += 1;
            if ahead.value <= here.value + 1e-4 * length * falls {
                return Some(ahead);
            }
            // To the lowest point of the parabola through what is known.
            let bend = ahead.value - here.value - length * falls;
            length *= (-0.5 * length * falls / bend).clamp(0.1, 0.5);
        }
        None
    }

    fn at(&self, z: Vector, turn: bool) -> Point {
        let slope = slope::of(self.blocks, &scale::shrink(&z), turn, self.threads);
        let (penalty, pull) = self.prior.penalty(&z);
        let pace = scale::pace(&z);
        let inverse = slope.turn.and_then(|turn| {
            let precision = self.prior.precision();
            matrix::inverse(&std::array::from_fn(|i| {
                std::array::from_fn(|j| turn[i][j] * pace[i] * pace[j] + precision[i][j])
            }))
        });
        Point {
            z,
            loss: slope.loss,
            value: slope.loss + penalty,
            by: std::array::from_fn(|i| slope.by[i] * pace[i] + pull[i]),
            inverse,
        }
    }
}

/// Takes one step's turn of the gradient into the inverse of the curvature (BFGS).
fn learn(inverse: &mut Matrix, moved: &Vector, turned: &Vector) {
    let along = matrix::dot(moved, turned);
    if along <= 1e-12 {
        return;
    }
    let through = matrix::times(inverse, turned);
    let factor = (1.0 + matrix::dot(turned, &through) / along) / along;
    for (i, row) in inverse.iter_mut().enumerate() {
        for (j, number) in row.iter_mut().enumerate() {
            *number += factor * moved[i] * moved[j]
                - (through[i] * moved[j] + moved[i] * through[j]) / along;
        }
    }
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
        assert_eq!(refused(&same_day), FitError::NoneScored { reviews: 100 });
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
        assert!(seldom < 0.5 && 5.0 < often, "{seldom} {often}");
    }
}
