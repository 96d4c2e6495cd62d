//! Logistic regression with a normal prior on every weight but the first, by cyclic coordinate descent:
//! the algorithm CLG of Genkin, Lewis & Madigan, "Large-scale Bayesian logistic regression for text
//! categorization", Technometrics 49 (2007), 291 (from memory).
//!
//! Traits are there or not. The same rows in the same order give the same bits on every machine: the
//! exponential is `libm`'s.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What an answer has, and whether a trainer called it unsafe.
pub(crate) type Row = (BTreeSet<String>, bool);

/// Precision of the prior: the inverse of its variance.
const PRIOR: f64 = 2.0;
/// A trait that fewer answers have has no weight.
const LEAST_ROWS: usize = 2;
/// A weight nearer to zero is left out of the table: that costs nothing that can be measured.
const LEAST_WEIGHT: f64 = 0.1;
/// What may still change when the weights stand, as a share of all log odds.
const STILL: f64 = 5e-4;
/// Sweeps after which the weights are taken as they are.
const MOST_SWEEPS: usize = 300;

/// Returns the weight of every trait that has one, and that of what every row has, under `always`.
pub(crate) fn fitted(rows: &[&Row], always: &str) -> BTreeMap<String, f64> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for (traits, _) in rows {
        for what in traits {
            *counts.entry(what).or_default() += 1;
        }
    }
    counts.retain(|_, n| LEAST_ROWS <= *n);
    let place: BTreeMap<&str, usize> = counts
        .keys()
        .enumerate()
        .map(|(j, w)| (*w, j + 1))
        .collect();
    // The first column is what every row has.
    let mut columns = vec![Vec::new(); place.len() + 1];
    columns[0] = (0..rows.len()).collect();
    for (i, (traits, _)) in rows.iter().enumerate() {
        for j in traits.iter().filter_map(|what| place.get(what.as_str())) {
            columns[*j].push(i);
        }
    }
    let signs: Vec<f64> = rows
        .iter()
        .map(|(_, harms)| if *harms { 1.0 } else { -1.0 })
        .collect();
    let weights = descended(&columns, &signs);
    let kept = place
        .into_iter()
        .map(|(what, j)| (what.to_owned(), weights[j]));
    let mut kept: BTreeMap<String, f64> = kept.filter(|(_, w)| LEAST_WEIGHT <= w.abs()).collect();
    kept.insert(always.to_owned(), weights[0]);
    kept
}

/// Returns the weight of every column; `signs` are +1 or -1.
fn descended(columns: &[Vec<usize>], signs: &[f64]) -> Vec<f64> {
    let mut weights = vec![0.0; columns.len()];
    // How far a weight may go in one step, and the signed log odds of every row.
    let mut reach = vec![1.0_f64; columns.len()];
    let mut odds = vec![0.0_f64; signs.len()];
    for _ in 0..MOST_SWEEPS {
        let mut moved = 0.0;
        for (j, column) in columns.iter().enumerate() {
            let precision = if j == 0 { 0.0 } else { PRIOR };
            let (mut slope, mut bend) = (-precision * weights[j], precision);
            for i in column {
                slope += signs[*i] / (1.0 + libm::exp(odds[*i]));
                bend += steepest(odds[*i], reach[j]);
            }
            let step = (slope / bend).clamp(-reach[j], reach[j]);
            reach[j] = (2.0 * step.abs()).max(reach[j] / 2.0);
            weights[j] += step;
            for i in column {
                odds[*i] += step * signs[*i];
                moved += step.abs();
            }
        }
        let all: f64 = odds.iter().map(|o| o.abs()).sum();
        if moved < STILL * (1.0 + all) {
            break;
        }
    }
    weights
}

/// Returns the most that the loss can bend where the log odds lie within `reach` of `odds`.
fn steepest(odds: f64, reach: f64) -> f64 {
    let over = odds.abs() - reach;
    if over <= 0.0 {
        0.25
    } else {
        1.0 / (2.0 + libm::exp(over) + libm::exp(-over))
    }
}
