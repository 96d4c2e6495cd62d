//! The table of weights as it is written.

use benchlore::domain::judge::danger::harm::evidence;

use super::logistic::Row;
use super::logistic::fitted;

/// Returns the table fitted to these answers: hundredths, a tab and the trait, a line each.
pub(crate) fn written(rows: &[&Row]) -> String {
    let weights = fitted(rows, evidence::ALWAYS);
    let lines = weights
        .iter()
        .map(|(what, weight)| format!("{:.0}\t{what}\n", weight * 100.0));
    lines.collect()
}
