//! The loss of parameters over histories, and how it changes with each of them.
//!
//! Loss: the sum over scored reviews of `-ln` of the chance given to what happened. The gradient goes
//! backwards through each card's reviews (reverse accumulation) along the formulas of `memory.rs`,
//! whose symbols these are. A bound of `S` or `D` lets it through on and inside, not outside; of a
//! minimum or maximum only the side that was taken. Sixteen cards go abreast, and sums are taken lane
//! by lane and piece by piece in one order, so that threads and wider instructions change no bit.
#![expect(
    clippy::inline_always,
    clippy::many_single_char_names,
    clippy::needless_range_loop,
    clippy::similar_names,
    reason = "formulas over lanes: each must become part of its caller's vector loop"
)]

use crate::domain::fit::blocks::Blocks;
use crate::domain::fit::blocks::Row;
use crate::domain::fit::matrix::Matrix;
use crate::domain::fit::matrix::Vector;
use crate::domain::lanes;
use crate::domain::lanes::LANES;
use crate::domain::lanes::Lanes;
use crate::domain::memory::COUNT;
use crate::domain::memory::DIFFICULTY;
use crate::domain::memory::STABILITY;
use crate::domain::memory::Weights;
use crate::domain::memory_lanes;
use crate::domain::memory_lanes::Heard;
use crate::domain::memory_lanes::Rules;
use crate::domain::memory_lanes::Step;
use crate::domain::memory_lanes::held;
use crate::domain::memory_lanes::same_day;
use crate::domain::side_by_side;

/// Sums beyond one for each parameter: by `k`, `f` and `T(4)`.
const BY_K: usize = COUNT;
const BY_F: usize = COUNT + 1;
const BY_TARGET: usize = COUNT + 2;
const SUMS: usize = COUNT + 3;

/// Reviews after which the product of chances is taken into the loss; it stays far from underflow.
const STRETCH: usize = 16;

/// Reviews of a card that are remembered on the way forward, a multiple of [`STRETCH`]: a kilobyte each
/// for the cards of a block. Longer histories are gone through again on the way back, part by part, so
/// that one card that came up a hundred times does not take more room than all others.
const REMEMBERED: usize = 64;

/// The loss of parameters, and how it changes with them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Slope {
    /// The loss.
    pub(crate) loss: f64,
    /// Its gradient.
    pub(crate) by: Vector,
    /// The sum over cards of their gradients' products; near the best parameters that is how the
    /// gradient turns (Berndt, Hall, Hall, Hausman, *Estimation and Inference in Nonlinear Structural
    /// Models*, Annals of Economic and Social Measurement 3/4, 1974). None when it was not asked for.
    pub(crate) turn: Option<Matrix>,
}

/// Returns the loss of `weights` and its gradient; with `turn` also how the gradient turns.
pub(crate) fn of(blocks: &Blocks, weights: &Weights, turn: bool, threads: usize) -> Slope {
    let rules = Rules::new(weights);
    let pieces = (0..blocks.pieces()).collect();
    let parts = side_by_side::map(threads, pieces, |number| {
        lanes::widest(Piece {
            rules: &rules,
            blocks,
            number,
            turn,
        })
    });
    let mut all = Part::NONE;
    for part in parts {
        all.loss += part.loss;
        for i in 0..SUMS {
            all.by[i] += part.by[i];
            for j in 0..SUMS {
                all.turn[i][j] += part.turn[i][j];
            }
        }
    }
    let rows: [Vector; SUMS] = std::array::from_fn(|i| finish(&rules, &all.turn[i]));
    let columns: [Vector; COUNT] =
        std::array::from_fn(|j| finish(&rules, &std::array::from_fn(|i| rows[i][j])));
    Slope {
        loss: all.loss,
        by: finish(&rules, &all.by),
        turn: turn.then_some(columns),
    }
}

/// Carries what was summed by `k`, `f` and `T(4)` on to the parameters.
fn finish(rules: &Rules, sums: &[f64; SUMS]) -> Vector {
    let p = &rules.p;
    let mut slope: Vector = std::array::from_fn(|i| sums[i]);
    slope[4] += sums[BY_TARGET];
    slope[5] -= sums[BY_TARGET] * 3.0 * libm::exp(3.0 * p[5]);
    // f = exp(-ln 0.9 / p20) - 1
    let f_by_p20 = (rules.scale + 1.0) * libm::log(0.9) / (p[20] * p[20]);
    slope[20] += sums[BY_F] * f_by_p20 - sums[BY_K];
    slope
}

/// A piece of work.
#[derive(Clone, Copy)]
struct Piece<'a> {
    rules: &'a Rules,
    blocks: &'a Blocks,
    number: usize,
    turn: bool,
}

/// What a piece adds.
struct Part {
    loss: f64,
    by: [f64; SUMS],
    turn: [[f64; SUMS]; SUMS],
}

impl Part {
    const NONE: Self = Self {
        loss: 0.0,
        by: [0.0; SUMS],
        turn: [[0.0; SUMS]; SUMS],
    };

    /// Adds what the cards of a block add.
    #[inline(always)]
    fn add(&mut self, sums: &Sums, turn: bool) {
        for lane in 0..LANES {
            let by: [f64; SUMS] = std::array::from_fn(|i| sums.by[i][lane]);
            self.loss += sums.loss[lane];
            for i in 0..SUMS {
                self.by[i] += by[i];
            }
            if turn {
                for i in 0..SUMS {
                    for j in 0..SUMS {
                        self.turn[i][j] += by[i] * by[j];
                    }
                }
            }
        }
    }
}

impl lanes::Wide for Piece<'_> {
    type Output = Part;

    #[inline(always)]
    fn work(self) -> Part {
        // Copies of its own: a loop that might write into what it reads is not made wide.
        let rules = *self.rules;
        let mut part = Part::NONE;
        let longest = self.blocks.piece(self.number).map(<[Row]>::len).max();
        let mut trace = Trace {
            kept: vec![EMPTY; longest.unwrap_or(0).min(REMEMBERED)],
            begun: Vec::new(),
        };
        for rows in self.blocks.piece(self.number) {
            let mut sums = Sums::new();
            sums.block(&rules, rows, &mut trace);
            part.add(&sums, self.turn);
        }
        part
    }
}

/// What is remembered of a review of each card on the way forward.
#[derive(Clone, Copy)]
struct Kept {
    s: Lanes,
    d: Lanes,
    log_x: Lanes,
    forgotten: Lanes,
    log_s: Lanes,
    power: Lanes,
    rise: Lanes,
    log_d: Lanes,
}

const EMPTY: Kept = Kept {
    s: [1.0; LANES],
    d: [1.0; LANES],
    log_x: [0.0; LANES],
    forgotten: [0.0; LANES],
    log_s: [0.0; LANES],
    power: [0.0; LANES],
    rise: [0.0; LANES],
    log_d: [0.0; LANES],
};

/// What is remembered of a block.
struct Trace {
    /// Each review of the part that is gone through.
    kept: Vec<Kept>,
    /// Memory where each part begins.
    begun: Vec<State>,
}

/// Memory of each card of a block.
#[derive(Clone, Copy)]
struct State {
    s: Lanes,
    d: Lanes,
}

struct Sums {
    loss: Lanes,
    by: [Lanes; SUMS],
}

impl Sums {
    #[inline(always)]
    fn new() -> Self {
        Self {
            loss: [0.0; LANES],
            by: [[0.0; LANES]; SUMS],
        }
    }

    #[inline(always)]
    fn block(&mut self, rules: &Rules, rows: &[Row], trace: &mut Trace) {
        let targets = targets(rules);
        let mut state = first(rules, &rows[0], &targets);
        let parts = rows[1..].chunks(REMEMBERED);
        let mut recalled = [0.0; LANES];
        trace.begun.clear();
        for (nth, part) in parts.clone().enumerate() {
            if 0 < nth {
                trace.begun.push(state);
            }
            state = self.forward::<true>(rules, part, state, &mut trace.kept, &mut recalled);
        }
        for lane in 0..LANES {
            self.loss[lane] += rules.p[20] * recalled[lane];
        }
        let (mut by_s, mut by_d) = ([0.0; LANES], [0.0; LANES]);
        for (nth, part) in parts.enumerate().rev() {
            // What is remembered is the last part.
            if nth < trace.begun.len() {
                let from = match nth {
                    0 => first(rules, &rows[0], &targets),
                    _ => trace.begun[nth - 1],
                };
                self.forward::<false>(rules, part, from, &mut trace.kept, &mut recalled);
            }
            for (row, now) in part.iter().zip(&trace.kept).rev() {
                self.back(rules, &Heard::new(row), now, &mut by_s, &mut by_d);
            }
        }
        self.first(rules, &rows[0], &targets, &by_s, &by_d);
    }

    /// Walks the reviews in order, keeps what the way back needs, and takes the loss where it is not
    /// taken yet; returns memory after them.
    #[inline(always)]
    fn forward<const LOSS: bool>(
        &mut self,
        rules: &Rules,
        rows: &[Row],
        from: State,
        trace: &mut [Kept],
        recalled: &mut Lanes,
    ) -> State {
        let mut missed = [1.0; LANES];
        let mut now = Kept {
            s: from.s,
            d: from.d,
            ..EMPTY
        };
        for at in 0..rows.len() {
            let heard = Heard::new(&rows[at]);
            let mut after = EMPTY;
            for lane in 0..LANES {
                let (s, d) = (now.s[lane], now.d[lane]);
                let (days, up) = (heard.days[lane], heard.up[lane]);
                let step = rules.step(s, d, days, up);
                let made = rules.outcome(s, d, days, up, &step);
                after.s[lane] = held(made.stability, STABILITY);
                after.d[lane] = held(made.difficulty, DIFFICULTY);
                now.log_x[lane] = step.log_x;
                now.forgotten[lane] = step.forgotten;
                now.log_s[lane] = step.log_s;
                now.power[lane] = step.power;
                now.rise[lane] = step.rise;
                now.log_d[lane] = step.log_d;
                if LOSS {
                    let scored = 0.5 < heard.scored[lane];
                    let chance = if memory_lanes::missed(up) {
                        step.forgotten
                    } else {
                        1.0
                    };
                    missed[lane] *= if scored { chance } else { 1.0 };
                    let log_x = if memory_lanes::missed(up) {
                        0.0
                    } else {
                        step.log_x
                    };
                    recalled[lane] += if scored { log_x } else { 0.0 };
                }
            }
            trace[at] = now;
            now = after;
            if LOSS && ((at + 1) % STRETCH == 0 || at + 1 == rows.len()) {
                for lane in 0..LANES {
                    self.loss[lane] -= lanes::ln(missed[lane]);
                    missed[lane] = 1.0;
                }
            }
        }
        State { s: now.s, d: now.d }
    }

    /// Takes the gradient by the state after a review and leaves that by the state before.
    #[inline(always)]
    fn back(
        &mut self,
        rules: &Rules,
        heard: &Heard,
        now: &Kept,
        by_s_after: &mut Lanes,
        by_d_after: &mut Lanes,
    ) {
        let p = &rules.p;
        for lane in 0..LANES {
            let (days, up) = (heard.days[lane], heard.up[lane]);
            let (same, missed) = (same_day(days), memory_lanes::missed(up));
            let (s, d) = (now.s[lane], now.d[lane]);
            let step = Step {
                log_x: now.log_x[lane],
                forgotten: now.forgotten[lane],
                log_s: now.log_s[lane],
                power: now.power[lane],
                rise: now.rise[lane],
                log_d: now.log_d[lane],
            };
            let made = rules.outcome(s, d, days, up, &step);
            let g_s = passed(by_s_after[lane], made.stability, STABILITY);
            let g_d = passed(by_d_after[lane], made.difficulty, DIFFICULTY);

            self.by[BY_TARGET][lane] += g_d * p[7];
            self.by[7][lane] += g_d * (rules.target - made.raw);
            let g_raw = g_d * rules.kept;
            self.by[6][lane] -= g_raw * up * (10.0 - d) * (1.0 / 9.0);
            let by_d = g_raw * (1.0 + rules.change * up);

            let power = 1.0 + step.power;
            let rise = 1.0 + step.rise;
            let later_miss = missed && !same;
            let recalled = !missed && !same;
            let low = made.failed <= made.at_most;
            let free = missed || 1.0 < made.factor;

            // Recalled on a later day.
            let g = if recalled { g_s } else { 0.0 };
            let grown = g * s * made.growth;
            let each = grown * (11.0 - d);
            let a = each * made.bonus;
            let by_d = by_d - grown * made.bonus;
            self.by[8][lane] += a;
            self.by[9][lane] -= a * step.log_s;
            self.by[15][lane] += if !missed && up < -0.5 { each } else { 0.0 };
            self.by[16][lane] += if 0.5 < up { each } else { 0.0 };
            let spread = g * s * rules.growth * power * (11.0 - d) * made.bonus * rise;
            self.by[10][lane] += spread * step.forgotten;
            let by_s = g + (g * made.growth * (11.0 - d) * made.bonus) * (1.0 - p[9]);
            let g_q = spread * p[10];

            // Missed on a later day, the first of the two.
            let g = if later_miss && low { g_s } else { 0.0 };
            let b = g * made.failed;
            self.by[11][lane] += g * step.power * rise;
            self.by[12][lane] -= b * step.log_d;
            self.by[14][lane] += b * step.forgotten;
            let by_d = by_d - b * p[12] / d;
            let c = g * p[11] * rise * power;
            self.by[13][lane] += c * step.log_s;
            let by_s = by_s + c * p[13] / (1.0 + s);
            let g_q = g_q + b * p[14];

            // Missed on a later day, no more than so much; and the same day.
            let g_most = if later_miss && !low { g_s } else { 0.0 };
            let g_day = if same && free { g_s } else { 0.0 };
            let g_still = if same && !free { g_s } else { 0.0 };
            let most = g_most * made.at_most;
            let day = g_day * s * made.factor;
            self.by[17][lane] += day * (up + p[18]) - most * p[18];
            self.by[18][lane] += (day - most) * p[17];
            self.by[19][lane] -= day * step.log_s;
            let by_s =
                by_s + g_most * rules.ceiling + g_day * made.factor * (1.0 - p[19]) + g_still;

            // ln R = k ln x: what the state takes from R, and the loss.
            let q = if same { 1.0 } else { step.forgotten };
            let loss = if missed { (1.0 - q) / q } else { -1.0 };
            let loss = loss * heard.scored[lane];
            let g_log_r = loss - g_q * (1.0 - step.forgotten);
            self.by[BY_K][lane] += g_log_r * step.log_x;
            let each_day = days / s;
            let u = rules.scale * each_day;
            let g_x = -g_log_r * p[20] / (1.0 + u);
            self.by[BY_F][lane] += g_x * each_day;
            by_s_after[lane] = by_s - g_x * u / s;
            by_d_after[lane] = by_d;
        }
    }

    /// Takes the gradient by the state after the first review.
    #[inline(always)]
    fn first(&mut self, rules: &Rules, row: &Row, targets: &[f64], by_s: &Lanes, by_d: &Lanes) {
        let p = &rules.p;
        for grade in 0..4_u32 {
            let at = grade as usize;
            // The exponential is what the target lies below p4 + 1.
            let below = f64::from(grade) * (p[4] + 1.0 - targets[at]);
            for lane in 0..LANES {
                let here = row[lane].grade() == grade;
                let g_s = passed(by_s[lane], p[at], STABILITY);
                let g_d = passed(by_d[lane], targets[at], DIFFICULTY);
                self.by[at][lane] += if here { g_s } else { 0.0 };
                self.by[4][lane] += if here { g_d } else { 0.0 };
                self.by[5][lane] -= if here { g_d * below } else { 0.0 };
            }
        }
    }
}

/// Returns memory after the first review.
#[inline(always)]
fn first(rules: &Rules, row: &Row, targets: &[f64; 4]) -> State {
    let mut state = State {
        s: [1.0; LANES],
        d: [1.0; LANES],
    };
    for lane in 0..LANES {
        let grade = row[lane].grade();
        state.s[lane] = held(by_grade(grade, &rules.p), STABILITY);
        state.d[lane] = held(by_grade(grade, targets), DIFFICULTY);
    }
    state
}

/// Returns `T(g)` of every grade.
fn targets(rules: &Rules) -> [f64; 4] {
    let p = &rules.p;
    [0.0, 1.0, 2.0, 3.0].map(|up| p[4] - libm::exp(p[5] * up) + 1.0)
}

#[inline(always)]
fn by_grade(grade: u32, values: &[f64]) -> f64 {
    let low = if grade == 0 { values[0] } else { values[1] };
    let high = if grade == 2 { values[2] } else { values[3] };
    if grade < 2 { low } else { high }
}

/// Returns the gradient where `value` lies within its bounds, none where it was held.
#[inline(always)]
fn passed(gradient: f64, value: f64, (low, high): (f64, f64)) -> f64 {
    let below = if value < low { 0.0 } else { gradient };
    if high < value { 0.0 } else { below }
}
#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::histories::Histories;
    use crate::domain::fit::histories::Review;
    use crate::domain::fit::score;
    use crate::domain::lanes::Wide;
    use crate::domain::memory::BOUNDS;
    use crate::domain::review::Grade;
    use crate::domain::units;
    use rand::RngExt;
    use rand::SeedableRng;
    use rand::rngs::ChaCha12Rng;

    fn histories(chance: &mut ChaCha12Rng, cards: u32, longest: i64) -> Histories {
        let mut reviews = Vec::new();
        for card in 0..cards {
            let mut day = 0;
            for n in 0..chance.random_range(1..=longest) {
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

    /// Holds that loss and gradient before `until` are those of the score of the same reviews.
    fn is_that_of_central_differences(
        chance: &mut ChaCha12Rng,
        histories: &Histories,
        until: Option<i64>,
    ) {
        let published = *Weights::published().get();
        let p: [f64; COUNT] = std::array::from_fn(|i| {
            let (low, high) = BOUNDS[i];
            let drawn = published[i] * chance.random_range(0.7..1.4) + 0.01;
            drawn.clamp(low + 0.001, high - 0.001)
        });
        let blocks = Blocks::new(histories, until, 1);
        let found = of(&blocks, &Weights::new(p).unwrap(), false, 1);
        let at = |p: [f64; COUNT]| {
            let score = score::log_loss(histories, &Weights::new(p).unwrap(), None, until);
            score.log_loss * units::count(score.scored)
        };
        let loss = found.loss;
        assert!((loss / at(p) - 1.0).abs() < 1e-12, "{loss} {}", at(p));
        for i in 0..COUNT {
            let h = 1e-6 * p[i].max(0.1);
            let (mut less, mut more) = (p, p);
            less[i] -= h;
            more[i] += h;
            let expected = (at(more) - at(less)) / (2.0 * h);
            let off = (found.by[i] - expected).abs();
            assert!(
                off <= 1e-5 * (1.0 + expected.abs()),
                "p{i}: {} {expected}",
                found.by[i]
            );
        }
    }

    #[test]
    fn the_gradient_is_that_of_central_differences() {
        let mut chance = ChaCha12Rng::seed_from_u64(7);
        for _ in 0..20 {
            let histories = histories(&mut chance, 40, 14);
            is_that_of_central_differences(&mut chance, &histories, Some(60 * 86_400));
        }
    }

    #[test]
    fn what_is_too_long_to_be_remembered_whole_has_the_same_gradient() {
        let mut chance = ChaCha12Rng::seed_from_u64(9);
        for reviews in [1, 2, 3].map(|parts| i64::try_from(parts * REMEMBERED).unwrap()) {
            for longest in [reviews, reviews + 1, reviews + 2, reviews + 40] {
                let histories = histories(&mut chance, 20, longest);
                is_that_of_central_differences(&mut chance, &histories, None);
            }
        }
    }

    #[test]
    fn wide_instructions_and_threads_change_no_bit() {
        let mut chance = ChaCha12Rng::seed_from_u64(8);
        let histories = histories(&mut chance, 8000, 14);
        let weights = Weights::published();
        let rules = Rules::new(&weights);
        let blocks = Blocks::new(&histories, None, 1);
        assert!(3 < blocks.pieces(), "threads have something to share");
        let piece = Piece {
            rules: &rules,
            blocks: &blocks,
            number: 0,
            turn: true,
        };
        let (plain, wide) = (piece.work(), lanes::widest(piece));
        let bits = |part: &Part| {
            let numbers = part.turn.iter().flatten().chain(&part.by);
            let numbers = numbers.chain([&part.loss]);
            numbers.map(|n| n.to_bits()).collect::<Vec<_>>()
        };
        assert_eq!(bits(&plain), bits(&wide));
        assert_eq!(
            of(&blocks, &weights, true, 1),
            of(&blocks, &weights, true, 3)
        );
    }
}
