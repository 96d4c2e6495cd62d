//! Fits the memory model to a bare log of reviews; nothing of a shop is read or kept.

use std::io::BufRead;

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
    /// Why nothing was fitted and the published parameters stand.
    pub fallback: Option<FitError>,
}

/// Reads a log and packs it.
pub fn read(log: &mut dyn BufRead) -> Result<Histories, LogError> {
    Ok(Histories::new(&review_log::read(log)?))
}

/// Fits the parameters to the reviews before `until` (all of them without it).
pub fn fit(histories: &Histories, until: Option<i64>) -> FittedLog {
    match search::fit_on(
        side_by_side::threads(),
        histories,
        until,
        &Prior::published(),
    ) {
        Ok(fit) => FittedLog {
            score: Score {
                scored: fit.scored,
                log_loss: fit.log_loss,
            },
            weights: fit.weights,
            fallback: None,
        },
        Err(why) => FittedLog {
            weights: Weights::published(),
            score: published(histories, until),
            fallback: Some(why),
        },
    }
}

/// Returns how the published parameters foretell the outcomes before `until`.
pub fn published(histories: &Histories, until: Option<i64>) -> Score {
    score::log_loss(histories, &Weights::published(), None, until)
}
