//! The loss of given parameters on any part of the time.

use crate::domain::fit::histories::Histories;
use crate::domain::memory;
use crate::domain::memory::Weights;
use crate::domain::review::Grade;
use crate::domain::units;

/// How well parameters foretold outcomes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// How many outcomes were scored.
    pub scored: usize,
    /// Mean of `-ln` of the chance given to what happened; 0 with nothing scored.
    pub log_loss: f64,
}

/// Scores the outcomes from `from` up to before `until`; memory runs through everything before.
pub fn log_loss(
    histories: &Histories,
    weights: &Weights,
    from: Option<i64>,
    until: Option<i64>,
) -> Score {
    let (mut scored, mut sum) = (0, 0.0);
    for card in 0..histories.cards() {
        let (reviews, at) = histories.card(card);
        let mut state = None;
        for (review, at) in reviews.iter().zip(at) {
            if until.is_some_and(|until| until <= *at) {
                break;
            }
            let grade = Grade::ALL[review.grade() as usize];
            if let Some(memory::Memory { stability, .. }) = state
                && review.scored()
                && from.is_none_or(|from| from <= *at)
            {
                let recall = memory::recall(weights, stability, f64::from(review.gap()));
                let chance = if grade.recalled() {
                    recall
                } else {
                    1.0 - recall
                };
                scored += 1;
                sum -= libm::log(chance.max(f64::MIN_POSITIVE));
            }
            state = Some(memory::after(weights, state, review.gap(), grade));
        }
    }
    let log_loss = if scored == 0 {
        0.0
    } else {
        sum / units::count(scored)
    };
    Score { scored, log_loss }
}
