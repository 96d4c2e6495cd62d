//! Logistic regression with a normal prior on every weight but the first, by cyclic coordinate descent:
//! the algorithm CLG of Genkin, Lewis & Madigan, "Large-scale Bayesian logistic regression for text
//! categorization", Technometrics 49 (2007), 291 (from memory).
//!
//! An answer is a bag of sentences, and a trainer judged the bag: every sentence of a safe answer is safe, one at
//! least of an unsafe answer is not. First all sentences of unsafe answers are taken as unsafe; then, [`ROUNDS`]
//! less one times, only that of each which the last fit finds worst, as MI-SVM does (Andrews, Tsochantaridis &
//! Hofmann, NIPS 15, 2002, from memory). Its others are left out: nobody called them safe.
//!
//! Traits are there or not. The same rows in the same order give the same bits on every machine: the
//! exponential is `libm`'s.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What each sentence of an answer has, and whether a trainer called the answer unsafe.
pub(crate) type Row = (Vec<BTreeSet<String>>, bool);

/// Precision of the prior: the inverse of its variance.
const PRIOR: f64 = 1.0;
/// Fits, each but the first with the witnesses of the last: a fourth changed nothing that could be measured.
const ROUNDS: usize = 3;
/// A trait that fewer sentences have has no weight.
const LEAST_ROWS: usize = 2;
/// A weight nearer to zero is left out of the table: that costs nothing that can be measured.
const LEAST_WEIGHT: f64 = 0.1;
/// What may still change when the weights stand, as a share of all log odds.
const STILL: f64 = 5e-4;
/// Sweeps after which the weights are taken as they are.
const MOST_SWEEPS: usize = 300;

/// Returns the weight of every trait that has one, and that of what every sentence has, under `always`.
pub(crate) fn fitted(rows: &[&Row], always: &str) -> BTreeMap<String, f64> {
    let sentences = || rows.iter().flat_map(|(sentences, _)| sentences);
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for what in sentences().flatten() {
        *counts.entry(what).or_default() += 1;
    }
    counts.retain(|_, n| LEAST_ROWS <= *n);
    let place: BTreeMap<&str, usize> = counts
        .keys()
        .enumerate()
        .map(|(j, w)| (*w, j + 1))
        .collect();
    // The first column is what every sentence has.
    let has: Vec<Vec<usize>> = sentences()
        .map(|traits| {
            let own = traits.iter().filter_map(|what| place.get(what.as_str()));
            std::iter::once(0).chain(own.copied()).collect()
        })
        .collect();
    let mut weights = vec![0.0; place.len() + 1];
    for round in 0..ROUNDS {
        let signs = signs(rows, &has, (0 < round).then_some(&weights));
        let used = (0..has.len()).filter_map(|i| Some((&has[i], signs[i]?)));
        let mut columns = vec![Vec::new(); weights.len()];
        let mut said = Vec::new();
        for (i, (own, sign)) in used.enumerate() {
            said.push(sign);
            for j in own {
                columns[*j].push(i);
            }
        }
        weights = descended(&columns, &said, weights);
    }
    let kept = place
        .into_iter()
        .map(|(what, j)| (what.to_owned(), weights[j]));
    let mut kept: BTreeMap<String, f64> = kept.filter(|(_, w)| LEAST_WEIGHT <= w.abs()).collect();
    kept.insert(always.to_owned(), weights[0]);
    kept
}

/// Returns of every sentence +1 where it is taken as unsafe, -1 where as safe, none where it is left out;
/// without weights all sentences of an unsafe answer are its witnesses, else its worst.
fn signs(rows: &[&Row], has: &[Vec<usize>], weights: Option<&Vec<f64>>) -> Vec<Option<f64>> {
    let mut signs = Vec::with_capacity(has.len());
    for (sentences, harms) in rows {
        let own = &has[signs.len()..signs.len() + sentences.len()];
        let odds = |of: &Vec<usize>, by: &Vec<f64>| of.iter().map(|j| by[*j]).sum::<f64>();
        let worst = weights.and_then(|by| {
            let odds = own.iter().map(|of| odds(of, by)).enumerate();
            odds.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i)
        });
        signs.extend((0..own.len()).map(|i| match (harms, worst) {
            (false, _) => Some(-1.0),
            (true, Some(worst)) => (i == worst).then_some(1.0),
            (true, None) => Some(1.0),
        }));
    }
    signs
}

/// Returns the weight of every column, from what they were; `signs` are +1 or -1.
fn descended(columns: &[Vec<usize>], signs: &[f64], mut weights: Vec<f64>) -> Vec<f64> {
    // How far a weight may go in one step, and the signed log odds of every row.
    let mut reach = vec![1.0_f64; columns.len()];
    let mut odds = vec![0.0_f64; signs.len()];
    for (column, weight) in columns.iter().zip(&weights) {
        for i in column {
            odds[*i] += weight * signs[*i];
        }
    }
    for _ in 0..MOST_SWEEPS {
        let mut moved = 0.0;
        for (j, column) in columns.iter().enumerate() {
            let precision = if j == 0 { 0.0 } else { PRIOR };
            let (mut slope, mut bend) = (-precision * weights[j], precision);
            for i in column {
                slope += signs[*i] / (1.0 + libm::exp(odds[*i]));
                bend += steepest(odds[*i], reach[j]);
            }
            let step = if 0.0 < bend { slope / bend } else { 0.0 };
            let step = step.clamp(-reach[j], reach[j]);
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
