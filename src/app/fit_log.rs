//! Fits the memory model to a bare log of reviews; nothing of a shop is read or kept.

use crate::domain::fit::histories::Histories;
use crate::domain::fit::prior::Prior;
use crate::domain::fit::score;
use crate::domain::fit::score::Score;
use crate::domain::fit::search;
use crate::domain::fit::search::FitError;
use crate::domain::memory::Weights;
use crate::store::review_log;
use crate::store::review_log::LogError;
use crate::store::side_by_side;

/// What came of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedLog {
    /// The parameters: fitted, or the published ones.
    pub weights: Weights,
    /// How they foretell the outcomes they were fitted to.
    pub score: Score,
    /// How the published parameters foretell the same outcomes.
    pub published: Score,
    /// Why nothing was fitted and the published parameters stand.
    pub fallback: Option<FitError>,
}

/// Reads a log and packs it.
pub fn read(text: &str) -> Result<Histories, LogError> {
    Ok(Histories::new(&review_log::read(text)?))
}

/// Fits the parameters to the reviews before `until` (all of them without it).
pub fn fit(histories: &Histories, until: Option<i64>) -> FittedLog {
    let prior = Prior::published();
    let published = Weights::published();
    let score = score::log_loss(histories, &published, None, until);
    let threads = side_by_side::threads();
    match search::fit_on(threads, histories, until, &prior) {
        Ok(fit) => FittedLog {
            score: Score {
                scored: fit.scored,
                log_loss: fit.log_loss,
            },
            weights: fit.weights,
            published: score,
            fallback: None,
        },
        Err(why) => FittedLog {
            weights: published,
            score,
            published: score,
            fallback: Some(why),
        },
    }
}
