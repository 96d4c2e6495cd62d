//! The loss of parameters over histories, and how it changes with each of them.
//!
//! Loss: the sum over scored reviews of `-ln` of the chance given to what happened. The gradient goes
//! backwards through each card's reviews (reverse accumulation) along the formulas of `memory.rs`,
//! whose symbols these are. A bound of `S` or `D` lets it through on and inside, not outside; of a
//! minimum or maximum only the side that was taken.

use crate::domain::fit::histories::Histories;
use crate::domain::fit::histories::Packed;
use crate::domain::memory::COUNT;
use crate::domain::memory::DIFFICULTY;
use crate::domain::memory::STABILITY;
use crate::domain::memory::Weights;

/// Returns the loss of the reviews before `until`, and its gradient.
pub(crate) fn of(
    histories: &Histories,
    weights: &Weights,
    until: Option<i64>,
) -> (f64, [f64; COUNT]) {
    let mut sums = Sums::new(weights);
    let mut states = Vec::new();
    for reviews in histories.each(until) {
        sums.card(reviews, &mut states);
    }
    sums.finish()
}

struct Sums {
    p: [f64; COUNT],
    f: f64,
    t4: f64,
    loss: f64,
    g: [f64; COUNT],
    g_k: f64,
    g_f: f64,
    g_t4: f64,
}

impl Sums {
    fn new(weights: &Weights) -> Self {
        let p = *weights.get();
        Self {
            p,
            f: libm::expm1(-libm::log(0.9) / p[20]),
            t4: p[4] - libm::exp(3.0 * p[5]) + 1.0,
            loss: 0.0,
            g: [0.0; COUNT],
            g_k: 0.0,
            g_f: 0.0,
            g_t4: 0.0,
        }
    }

    fn finish(mut self) -> (f64, [f64; COUNT]) {
        let p = &self.p;
        self.g[4] += self.g_t4;
        self.g[5] -= self.g_t4 * 3.0 * libm::exp(3.0 * p[5]);
        // f = exp(-ln 0.9 / p20) - 1
        let by_p20 = (self.f + 1.0) * libm::log(0.9) / (p[20] * p[20]);
        self.g[20] += self.g_f * by_p20 - self.g_k;
        (self.loss, self.g)
    }

    fn card(&mut self, reviews: &[Packed], states: &mut Vec<(f64, f64)>) {
        let Some((first, later)) = reviews.split_first() else {
            return;
        };
        states.clear();
        let p = self.p;
        let grade = [0.0, 1.0, 2.0, 3.0][first.grade()];
        let start = p[first.grade()];
        let target = p[4] - libm::exp(p[5] * grade) + 1.0;
        states.push((bounded(start, STABILITY), bounded(target, DIFFICULTY)));
        for review in later {
            let (s, d) = states[states.len() - 1];
            let made = self.next(s, d, *review);
            states.push((bounded(made.0, STABILITY), bounded(made.1, DIFFICULTY)));
        }
        let (mut g_s, mut g_d) = (0.0, 0.0);
        for (at, review) in later.iter().enumerate().rev() {
            let (s, d) = states[at];
            (g_s, g_d) = self.back(s, d, *review, g_s, g_d);
        }
        if inside(start, STABILITY) {
            self.g[first.grade()] += g_s;
        }
        if inside(target, DIFFICULTY) {
            self.g[4] += g_d;
            self.g[5] -= g_d * grade * libm::exp(p[5] * grade);
        }
    }

    /// Returns stability and difficulty after a review, before their bounds.
    fn next(&self, s: f64, d: f64, review: Packed) -> (f64, f64) {
        let p = &self.p;
        let up = [-2.0, -1.0, 0.0, 1.0][review.grade()];
        let raw = d - p[6] * up / 9.0 * (10.0 - d);
        let difficulty = p[7] * self.t4 + (1.0 - p[7]) * raw;
        if review.gap() == 0 {
            let h = libm::exp(p[17] * (up + p[18]) - p[19] * libm::log(s));
            let h = if review.grade() == 0 { h } else { h.max(1.0) };
            return (s * h, difficulty);
        }
        let x = 1.0 + self.f * f64::from(review.gap()) / s;
        let q = -libm::expm1(-p[20] * libm::log(x));
        let stability = if review.grade() == 0 {
            let size = libm::expm1(p[13] * libm::log1p(s));
            let failed = p[11] * size * libm::exp(p[14] * q - p[12] * libm::log(d));
            failed.min(s * libm::exp(-(p[17] * p[18])))
        } else {
            let m = [0.0, p[15], 1.0, p[16]][review.grade()];
            let rises = libm::expm1(p[10] * q);
            let falls = libm::exp(p[8] - p[9] * libm::log(s));
            s * (1.0 + falls * (11.0 - d) * m * rises)
        };
        (stability, difficulty)
    }

    /// Takes the gradient by the state after a review, returns that by the state before.
    fn back(&mut self, s: f64, d: f64, review: Packed, g_s: f64, g_d: f64) -> (f64, f64) {
        let (stability, difficulty) = self.next(s, d, review);
        let g_s = if inside(stability, STABILITY) {
            g_s
        } else {
            0.0
        };
        let g_d = if inside(difficulty, DIFFICULTY) {
            g_d
        } else {
            0.0
        };
        let p = self.p;
        let up = [-2.0, -1.0, 0.0, 1.0][review.grade()];
        let raw = d - p[6] * up / 9.0 * (10.0 - d);
        self.g_t4 += g_d * p[7];
        self.g[7] += g_d * (self.t4 - raw);
        let g_raw = g_d * (1.0 - p[7]);
        self.g[6] -= g_raw * up / 9.0 * (10.0 - d);
        let mut by_d = g_raw * (1.0 + p[6] * up / 9.0);
        let log_s = libm::log(s);
        if review.gap() == 0 {
            let power = p[17] * (up + p[18]) - p[19] * log_s;
            if review.grade() != 0 && power <= 0.0 {
                return (g_s, by_d);
            }
            let a = g_s * stability;
            self.g[17] += a * (up + p[18]);
            self.g[18] += a * p[17];
            self.g[19] -= a * log_s;
            return (a * (1.0 - p[19]) / s, by_d);
        }
        let n = f64::from(review.gap());
        let u = self.f * n / s;
        let (x, log_x) = (1.0 + u, libm::log(1.0 + u));
        let q = -libm::expm1(-p[20] * log_x);
        let (mut by_s, g_q);
        if review.grade() == 0 {
            let w = libm::exp(p[13] * libm::log1p(s));
            let size = libm::expm1(p[13] * libm::log1p(s));
            let log_d = libm::log(d);
            let scaled = size * libm::exp(p[14] * q - p[12] * log_d);
            let ceiling = s * libm::exp(-(p[17] * p[18]));
            if p[11] * scaled <= ceiling {
                let a = g_s * p[11] * scaled;
                self.g[11] += g_s * scaled;
                self.g[12] -= a * log_d;
                self.g[14] += a * q;
                by_d -= a * p[12] / d;
                let b = a / size * w;
                self.g[13] += b * libm::log1p(s);
                by_s = b * p[13] / (1.0 + s);
                g_q = a * p[14];
            } else {
                self.g[17] -= g_s * ceiling * p[18];
                self.g[18] -= g_s * ceiling * p[17];
                by_s = g_s * ceiling / s;
                g_q = 0.0;
            }
        } else {
            let m = [0.0, p[15], 1.0, p[16]][review.grade()];
            let rises = libm::expm1(p[10] * q);
            let rest = libm::exp(p[8] - p[9] * log_s) * (11.0 - d);
            let a = g_s * s * rest * m * rises;
            self.g[8] += a;
            self.g[9] -= a * log_s;
            match review.grade() {
                1 => self.g[15] += g_s * s * rest * rises,
                3 => self.g[16] += g_s * s * rest * rises,
                _ => {}
            }
            by_s = g_s * (1.0 + rest * m * rises * (1.0 - p[9]));
            by_d -= g_s * s * rest / (11.0 - d) * m * rises;
            let b = g_s * s * rest * m * (1.0 + rises);
            self.g[10] += b * q;
            g_q = b * p[10];
        }
        // ln R = k ln x: what the state takes from R, and the loss.
        let mut g_log_r = -g_q * (1.0 - q);
        if review.scored() {
            if review.grade() == 0 {
                self.loss -= libm::log(q);
                g_log_r += (1.0 - q) / q;
            } else {
                self.loss += p[20] * log_x;
                g_log_r -= 1.0;
            }
        }
        self.g_k += g_log_r * log_x;
        let g_x = -g_log_r * p[20] / x;
        self.g_f += g_x * n / s;
        by_s -= g_x * u / s;
        (by_s, by_d)
    }
}

fn bounded(value: f64, (low, high): (f64, f64)) -> f64 {
    value.clamp(low, high)
}

fn inside(value: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::histories::Review;
    use crate::domain::fit::score;
    use crate::domain::memory::BOUNDS;
    use crate::domain::review::Grade;
    use crate::domain::units;
    use rand::RngExt;
    use rand::SeedableRng;
    use rand::rngs::ChaCha12Rng;

    fn histories(chance: &mut ChaCha12Rng) -> Histories {
        let mut reviews = Vec::new();
        for card in 0..40 {
            let mut day = 0;
            for n in 0..chance.random_range(1..15) {
                day += [0, 0, 1, 3, 10, 40][chance.random_range(0..6)];
                reviews.push(Review {
                    card,
                    at: i64::from(day) * 86_400 + n,
                    day,
                    grade: Grade::ALL[chance.random_range(0..4)],
                    scored: chance.random_range(0..10) != 0,
                });
            }
        }
        Histories::new(&reviews)
    }

    #[test]
    fn the_gradient_is_that_of_central_differences() {
        let mut chance = ChaCha12Rng::seed_from_u64(7);
        for _ in 0..20 {
            let histories = histories(&mut chance);
            let published = *Weights::published().get();
            let p: [f64; COUNT] = std::array::from_fn(|i| {
                let (low, high) = BOUNDS[i];
                let drawn = published[i] * chance.random_range(0.7..1.4) + 0.01;
                drawn.clamp(low + 0.001, high - 0.001)
            });
            let until = Some(60 * 86_400);
            let (loss, slope) = of(&histories, &Weights::new(p).unwrap(), until);
            let at = |p: [f64; COUNT]| {
                let score = score::log_loss(&histories, &Weights::new(p).unwrap(), None, until);
                score.log_loss * units::count(score.scored)
            };
            assert!((loss / at(p) - 1.0).abs() < 1e-12, "{loss} {}", at(p));
            for i in 0..COUNT {
                let h = 1e-6 * p[i].max(0.1);
                let (mut less, mut more) = (p, p);
                less[i] -= h;
                more[i] += h;
                let expected = (at(more) - at(less)) / (2.0 * h);
                let off = (slope[i] - expected).abs();
                assert!(
                    off <= 1e-5 * (1.0 + expected.abs()),
                    "p{i}: {} {expected}",
                    slope[i]
                );
            }
        }
    }
}
