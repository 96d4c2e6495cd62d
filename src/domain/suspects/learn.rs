//! Weights of a log-linear score, from jobs that were left out one at a time.
//!
//! `p = softmax(Σ_k w_k x_k)` over causes, where the columns `x_k` hold one number a cause. Sought
//! are the `w` within their bounds with the least `Σ_jobs -ln p(own cause) + Σ_k ((w_k-m_k)/σ_k)²/2`:
//! the log loss with a normal prior on each weight. The sum is convex, so there is one answer; Newton's
//! steps, held to the bounds and halved until the sum falls, find it.
//!
//! Sources, from memory: logarithmic score, T. Gneiting & A. Raftery (2007); ridge, A. Hoerl & R.
//! Kennard (1970); projected Newton, D. Bertsekas (1982).

/// What is known of a weight before any job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ridge {
    /// Expected weight.
    pub centre: f64,
    /// Standard deviation of the weight.
    pub spread: f64,
    /// Upper bound; the lower is 0.
    pub most: f64,
}

/// One job: the columns that have something to say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The job's own cause.
    pub cause: usize,
    /// Which weight each column has; ascending, without repeats.
    pub weights: Vec<usize>,
    /// The columns one after the other, one number a cause.
    pub columns: Vec<f64>,
}

/// The most steps; from a fair start six to ten are taken.
const STEPS: usize = 60;
/// A step that promises less than this is the last, in nats.
const ENOUGH: f64 = 1e-9;

/// Returns the best weights.
pub fn fit(rows: &[Row], causes: usize, ridges: &[Ridge]) -> Vec<f64> {
    let mut weights: Vec<f64> = ridges.iter().map(|r| r.centre.clamp(0.0, r.most)).collect();
    let mut value = objective(rows, causes, ridges, &weights);
    for _ in 0..STEPS {
        let (gradient, curvature) = slopes(rows, causes, ridges, &weights);
        let stuck = |k: usize| {
            (weights[k] <= 0.0 && gradient[k] > 0.0)
                || (weights[k] >= ridges[k].most && gradient[k] < 0.0)
        };
        let free: Vec<usize> = (0..ridges.len()).filter(|k| !stuck(*k)).collect();
        let step = newton(&free, &gradient, &curvature);
        let promise: f64 = free.iter().zip(&step).map(|(k, s)| gradient[*k] * s).sum();
        if promise < ENOUGH {
            break;
        }
        let mut length = 1.0;
        let moved = loop {
            let mut next = weights.clone();
            for (k, s) in free.iter().zip(&step) {
                next[*k] = (weights[*k] - length * s).clamp(0.0, ridges[*k].most);
            }
            let there = objective(rows, causes, ridges, &next);
            if there < value {
                break Some((next, there));
            }
            length *= 0.5;
            if length < 1e-6 {
                break None;
            }
        };
        let Some((next, there)) = moved else { break };
        (weights, value) = (next, there);
    }
    weights
}

/// Turns scores into chances in place, and returns the logarithm of their sum.
pub fn softmax(scores: &mut [f64]) -> f64 {
    let top = scores.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut sum = 0.0;
    for score in scores.iter_mut() {
        *score = libm::exp(*score - top);
        sum += *score;
    }
    for score in scores.iter_mut() {
        *score /= sum;
    }
    top + libm::log(sum)
}

fn score(row: &Row, causes: usize, weights: &[f64], scores: &mut [f64]) {
    scores.fill(0.0);
    for (k, column) in row.weights.iter().zip(row.columns.chunks_exact(causes)) {
        let weight = weights[*k];
        for (score, x) in scores.iter_mut().zip(column) {
            *score += weight * x;
        }
    }
}

/// Returns the sum that [`fit`] makes least.
pub fn objective(rows: &[Row], causes: usize, ridges: &[Ridge], weights: &[f64]) -> f64 {
    let mut scores = vec![0.0; causes];
    let mut sum = 0.0;
    for row in rows {
        score(row, causes, weights, &mut scores);
        let own = scores[row.cause];
        sum += softmax(&mut scores) - own;
    }
    for (ridge, weight) in ridges.iter().zip(weights) {
        let off = (weight - ridge.centre) / ridge.spread;
        sum += 0.5 * off * off;
    }
    sum
}

/// Returns the gradient, and the matrix of second derivatives row by row (its lower half).
fn slopes(rows: &[Row], causes: usize, ridges: &[Ridge], weights: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let n = ridges.len();
    let mut gradient = vec![0.0; n];
    let mut curvature = vec![0.0; n * n];
    let mut p = vec![0.0; causes];
    let mut centred = Vec::new();
    for row in rows {
        score(row, causes, weights, &mut p);
        softmax(&mut p);
        centred.clear();
        for (k, column) in row.weights.iter().zip(row.columns.chunks_exact(causes)) {
            let mean: f64 = column.iter().zip(&p).map(|(x, p)| x * p).sum();
            gradient[*k] += mean - column[row.cause];
            centred.extend(column.iter().map(|x| x - mean));
        }
        let columns: Vec<&[f64]> = centred.chunks_exact(causes).collect();
        for (at, k) in row.weights.iter().enumerate() {
            let leaning: Vec<f64> = columns[at].iter().zip(&p).map(|(x, p)| x * p).collect();
            for (other, j) in row.weights[..=at].iter().enumerate() {
                let together: f64 = leaning.iter().zip(columns[other]).map(|(x, y)| x * y).sum();
                curvature[k * n + j] += together;
            }
        }
    }
    for (k, (ridge, weight)) in ridges.iter().zip(weights).enumerate() {
        let stiff = 1.0 / (ridge.spread * ridge.spread);
        gradient[k] += (weight - ridge.centre) * stiff;
        curvature[k * n + k] += stiff;
    }
    (gradient, curvature)
}

/// Solves `H s = g` over the free weights by Cholesky's method; the ridge keeps `H` positive.
fn newton(free: &[usize], gradient: &[f64], curvature: &[f64]) -> Vec<f64> {
    let n = gradient.len();
    let m = free.len();
    let mut lower = vec![0.0; m * m];
    for i in 0..m {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| lower[i * m + k] * lower[j * m + k]).sum();
            let left = curvature[free[i] * n + free[j]] - dot;
            lower[i * m + j] = if i == j {
                libm::sqrt(left.max(f64::MIN_POSITIVE))
            } else {
                left / lower[j * m + j]
            };
        }
    }
    let mut step: Vec<f64> = free.iter().map(|k| gradient[*k]).collect();
    for i in 0..m {
        let dot: f64 = (0..i).map(|k| lower[i * m + k] * step[k]).sum();
        step[i] = (step[i] - dot) / lower[i * m + i];
    }
    for i in (0..m).rev() {
        let dot: f64 = (i + 1..m).map(|k| lower[k * m + i] * step[k]).sum();
        step[i] = (step[i] - dot) / lower[i * m + i];
    }
    step
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const CAUSES: usize = 3;

    fn any_rows() -> impl Strategy<Value = Vec<Row>> {
        let row = (0..CAUSES, prop::collection::vec(-4.0..0.0_f64, 3 * CAUSES));
        let row = row.prop_map(|(cause, columns)| Row {
            cause,
            weights: vec![0, 1, 2],
            columns,
        });
        prop::collection::vec(row, 1..20)
    }

    fn ridge(centre: f64, most: f64) -> Ridge {
        Ridge {
            centre,
            spread: 0.4,
            most,
        }
    }

    proptest! {
        #[test]
        fn no_weights_near_the_best_are_better(rows in any_rows()) {
            let ridges = [ridge(1.0, 2.0), ridge(0.1, 2.0), ridge(0.9, 1.0)];
            let best = fit(&rows, CAUSES, &ridges);
            let least = objective(&rows, CAUSES, &ridges, &best);
            for k in 0..3 {
                for step in [-1e-2, -1e-4, 1e-4, 1e-2] {
                    let mut other = best.clone();
                    other[k] = (other[k] + step).clamp(0.0, ridges[k].most);
                    let there = objective(&rows, CAUSES, &ridges, &other);
                    prop_assert!(least <= there + 1e-8, "weight {k} by {step}: {least} {there}");
                }
            }
        }

        #[test]
        fn the_gradient_is_the_slope(rows in any_rows()) {
            let ridges = [ridge(1.0, 2.0), ridge(0.1, 2.0), ridge(0.9, 1.0)];
            let at = [0.8, 0.3, 0.5];
            let (gradient, curvature) = slopes(&rows, CAUSES, &ridges, &at);
            let step = 1e-4;
            for k in 0..3 {
                let (mut up, mut down) = (at, at);
                up[k] += step;
                down[k] -= step;
                let value = |w: &[f64]| objective(&rows, CAUSES, &ridges, w);
                let slope = (value(&up) - value(&down)) / (2.0 * step);
                prop_assert!((slope - gradient[k]).abs() < 1e-4);
                let bend = (value(&up) - 2.0 * value(&at) + value(&down)) / (step * step);
                prop_assert!((bend - curvature[k * 3 + k]).abs() < 1e-2 * (1.0 + bend.abs()));
            }
        }
    }

    #[test]
    fn without_jobs_the_weights_are_what_was_expected() {
        assert_eq!(fit(&[], 2, &[ridge(0.7, 2.0)]), [0.7]);
    }
}
