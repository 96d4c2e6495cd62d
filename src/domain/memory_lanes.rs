//! The memory model's formulas for many cards at once, the numbers of `memory.rs` within 1e-10.
//!
//! What one review does is written once, without a branch: recalled, missed and same-day outcomes are
//! worked out side by side and one is chosen. Symbols are those of `memory.rs`.
//! Leaves out the gradient (`fit/slope.rs`).
#![expect(
    clippy::inline_always,
    reason = "formulas over lanes: each must become part of its caller's vector loop"
)]

use crate::domain::lanes;
use crate::domain::lanes::LANES;
use crate::domain::lanes::Lanes;
use crate::domain::lanes::exp_m1;
use crate::domain::lanes::ln;
use crate::domain::memory;
use crate::domain::memory::COUNT;
use crate::domain::memory::DIFFICULTY;
use crate::domain::memory::Memory;
use crate::domain::memory::STABILITY;
use crate::domain::memory::Weights;
use crate::domain::review::Grade;

/// One review in 32 bits: days since the one before, whether it is scored, and the grade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Packed(u32);

impl Packed {
    /// Longest gap that is kept, in days.
    pub(crate) const LONGEST_GAP: u32 = (1 << 28) - 1;

    /// A review that changes little and is not scored; fills up shorter histories.
    pub(crate) const NONE: Self = Self(2);

    /// Packs a review; `grade` is from 0.
    pub(crate) fn new(gap: u32, grade: u8, scored: bool) -> Self {
        let gap = gap.min(Self::LONGEST_GAP);
        Self(gap << 3 | u32::from(scored) << 2 | u32::from(grade))
    }

    /// Returns the whole days since the review before.
    pub(crate) fn gap(self) -> u32 {
        self.0 >> 3
    }

    /// Returns the grade, from 0.
    pub(crate) fn grade(self) -> u32 {
        self.0 & 3
    }

    /// Tells whether the outcome counts.
    pub(crate) fn scored(self) -> bool {
        self.0 & 4 != 0
    }
}

/// The reviews of a row, as numbers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Heard {
    /// Whole days since the review before.
    pub(crate) days: Lanes,
    /// Grade, as `g - 3`.
    pub(crate) up: Lanes,
    /// 1 where the outcome counts, else 0.
    pub(crate) scored: Lanes,
}

impl Heard {
    /// Unpacks a row.
    #[inline(always)]
    pub(crate) fn new(row: &[Packed; LANES]) -> Self {
        let row = *row;
        let (mut days, mut up, mut scored) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            // As signed numbers: those below 2^31 are the same, and quicker to turn into floats.
            let bits = row[lane].0;
            days[lane] = f64::from((bits >> 3).cast_signed());
            up[lane] = f64::from((bits & 3).cast_signed()) - 2.0;
            scored[lane] = f64::from((bits >> 2 & 1).cast_signed());
        }
        Self { days, up, scored }
    }
}

/// Tells whether a review came on the day of the one before.
#[inline(always)]
pub(crate) fn same_day(days: f64) -> bool {
    days < 0.5
}

/// Tells whether `g - 3` is that of a miss.
#[inline(always)]
pub(crate) fn missed(up: f64) -> bool {
    up < -1.5
}

/// The parameters with what follows from them alone.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rules {
    /// `p0..p20`.
    pub(crate) p: [f64; COUNT],
    /// `f`.
    pub(crate) scale: f64,
    /// `T(4)`, unbounded.
    pub(crate) target: f64,
    /// `p7 T(4)`.
    pull: f64,
    /// `1 - p7`.
    pub(crate) kept: f64,
    /// `p6 / 9`.
    pub(crate) change: f64,
    /// `exp(p8)`.
    pub(crate) growth: f64,
    /// `exp(-p17 p18)`.
    pub(crate) ceiling: f64,
    /// `exp(p17 (g - 3 + p18))`, by grade.
    same_day: [f64; 4],
}

/// What a review comes to before bounds, and the steps on the way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Step {
    /// `ln(1 + f n / S)`.
    pub(crate) log_x: f64,
    /// `q`.
    pub(crate) forgotten: f64,
    /// `ln S`, or `ln(S + 1)` after a failure on a later day.
    pub(crate) log_s: f64,
    /// `S^-p19` on the same day, `(S + 1)^p13` after a failure, else `S^-p9`; less 1.
    pub(crate) power: f64,
    /// `exp(p14 q) D^-p12` after a failure, else `exp(p10 q)`; less 1.
    pub(crate) rise: f64,
    /// `ln D`.
    pub(crate) log_d: f64,
}

/// What is left of a step once the outcome is known.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Outcome {
    /// Stability, before its bounds.
    pub(crate) stability: f64,
    /// Difficulty, before its bounds.
    pub(crate) difficulty: f64,
    /// `D` before the pull to its target.
    pub(crate) raw: f64,
    /// What a failure leaves: the first of the two.
    pub(crate) failed: f64,
    /// What a failure leaves at most.
    pub(crate) at_most: f64,
    /// The factor of the same day, before its lower limit of 1.
    pub(crate) factor: f64,
    /// `exp(p8) S^-p9 (exp(p10 q) - 1)`: growth for `11 - D = 1` and `m = 1`.
    pub(crate) growth: f64,
    /// `m`.
    pub(crate) bonus: f64,
}

impl Rules {
    /// Works out what follows from the parameters.
    pub(crate) fn new(weights: &Weights) -> Self {
        let p = *weights.get();
        let target = p[4] - libm::exp(3.0 * p[5]) + 1.0;
        Self {
            scale: libm::expm1(-libm::log(0.9) / p[20]),
            target,
            pull: p[7] * target,
            kept: 1.0 - p[7],
            change: p[6] / 9.0,
            growth: libm::exp(p[8]),
            ceiling: libm::exp(-(p[17] * p[18])),
            same_day: [-2.0, -1.0, 0.0, 1.0].map(|up| libm::exp(p[17] * (up + p[18]))),
            p,
        }
    }

    /// Takes the powers and logarithms of a review.
    #[inline(always)]
    pub(crate) fn step(&self, s: f64, d: f64, days: f64, up: f64) -> Step {
        let p = &self.p;
        let (same, missed) = (same_day(days), missed(up));
        let log_x = ln(1.0 + self.scale * days / s);
        let forgotten = -exp_m1(-p[20] * log_x);
        let one = if missed && !same { 1.0 } else { 0.0 };
        let log_s = ln(s + one);
        let by_power = if missed { p[13] } else { -p[9] };
        let power = exp_m1(log_s * if same { -p[19] } else { by_power });
        let log_d = ln(d);
        let rise = if missed {
            p[14] * forgotten - p[12] * log_d
        } else {
            p[10] * forgotten
        };
        Step {
            log_x,
            forgotten,
            log_s,
            power,
            rise: exp_m1(rise),
            log_d,
        }
    }

    /// Returns what the review comes to.
    #[inline(always)]
    pub(crate) fn outcome(&self, s: f64, d: f64, days: f64, up: f64, step: &Step) -> Outcome {
        let p = &self.p;
        let (same, missed) = (same_day(days), missed(up));
        let raw = d - self.change * up * (10.0 - d);
        let bonus = if up < -0.5 { p[15] } else { 1.0 };
        let bonus = if 0.5 < up { p[16] } else { bonus };
        let growth = self.growth * (1.0 + step.power) * step.rise;
        let recalled = s + s * growth * (11.0 - d) * bonus;
        let failed = p[11] * step.power * (1.0 + step.rise);
        let at_most = s * self.ceiling;
        let low = if missed {
            self.same_day[0]
        } else {
            self.same_day[1]
        };
        let high = if 0.5 < up {
            self.same_day[3]
        } else {
            self.same_day[2]
        };
        let factor = (1.0 + step.power) * if up < -0.5 { low } else { high };
        let held = if factor < 1.0 { 1.0 } else { factor };
        let on_day = s * if missed { factor } else { held };
        let worse = if failed < at_most { failed } else { at_most };
        let later = if missed { worse } else { recalled };
        Outcome {
            stability: if same { on_day } else { later },
            difficulty: self.pull + self.kept * raw,
            raw,
            failed,
            at_most,
            factor,
            growth,
            bonus,
        }
    }

    /// Returns stability and difficulty after a review.
    #[inline(always)]
    pub(crate) fn next(&self, s: f64, d: f64, days: f64, up: f64) -> (f64, f64) {
        let step = self.step(s, d, days, up);
        let made = self.outcome(s, d, days, up, &step);
        (
            held(made.stability, STABILITY),
            held(made.difficulty, DIFFICULTY),
        )
    }
}

/// Returns the memory of each card after its whole history.
///
/// Cards of like length go abreast, so that few lanes wait for the longest.
pub(crate) fn replay<H: AsRef<[(u32, Grade)]>>(
    weights: &Weights,
    histories: &[H],
) -> Vec<Option<Memory>> {
    let order = lanes::by_length(histories.iter().map(|history| history.as_ref().len()));
    lanes::widest(Replay {
        weights,
        histories,
        order: &order,
    })
}

struct Replay<'a, H> {
    weights: &'a Weights,
    histories: &'a [H],
    order: &'a [usize],
}

impl<H: AsRef<[(u32, Grade)]>> lanes::Wide for Replay<'_, H> {
    type Output = Vec<Option<Memory>>;

    #[inline(always)]
    fn work(self) -> Self::Output {
        let mut states = vec![None; self.histories.len()];
        let rules = Rules::new(self.weights);
        for block in self.order.chunks(LANES) {
            let mut cards: [&[(u32, Grade)]; LANES] = [&[]; LANES];
            for (lane, card) in cards.iter_mut().zip(block) {
                *lane = self.histories[*card].as_ref();
            }
            let (mut s, mut d) = ([1.0; LANES], [1.0; LANES]);
            for (lane, card) in cards.iter().enumerate() {
                if let Some((_, grade)) = card.first() {
                    let first = memory::first(self.weights, *grade);
                    (s[lane], d[lane]) = (first.stability, first.difficulty);
                }
            }
            let mut ended = cards.iter().take_while(|card| card.is_empty()).count();
            for at in 1.. {
                // Shorter histories come first: what goes on in their lanes later is of no account.
                while ended < block.len() && cards[ended].len() == at {
                    states[block[ended]] = Some(Memory {
                        stability: s[ended],
                        difficulty: d[ended],
                    });
                    ended += 1;
                }
                if block.len() <= ended {
                    break;
                }
                let row: [Packed; LANES] = std::array::from_fn(|lane| {
                    cards[lane].get(at).map_or(Packed::NONE, |(days, grade)| {
                        Packed::new(*days, grade.number() - 1, false)
                    })
                });
                (s, d) = abreast(&rules, &row, &s, &d);
            }
        }
        states
    }
}

/// Returns stability and difficulty after a review of each card.
#[inline(always)]
fn abreast(rules: &Rules, row: &[Packed; LANES], s: &Lanes, d: &Lanes) -> (Lanes, Lanes) {
    // Copies of its own: a loop that might write into what it reads is not made wide.
    let (rules, heard, s, d) = (*rules, Heard::new(row), *s, *d);
    let (mut next_s, mut next_d) = ([0.0; LANES], [0.0; LANES]);
    for lane in 0..LANES {
        (next_s[lane], next_d[lane]) =
            rules.next(s[lane], d[lane], heard.days[lane], heard.up[lane]);
    }
    (next_s, next_d)
}

/// Returns `value` held within bounds.
#[inline(always)]
pub(crate) fn held(value: f64, (low, high): (f64, f64)) -> f64 {
    let value = if value < low { low } else { value };
    if high < value { high } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::lanes::Wide;
    use rand::RngExt;
    use rand::SeedableRng;
    use rand::rngs::ChaCha12Rng;

    #[test]
    fn wide_instructions_change_no_bit_of_a_replay() {
        let mut chance = ChaCha12Rng::seed_from_u64(3);
        let histories: Vec<Vec<(u32, Grade)>> = (0..100)
            .map(|_| {
                let reviews = chance.random_range(0..12);
                (0..reviews)
                    .map(|_| {
                        let grade = Grade::ALL[chance.random_range(0..4)];
                        (chance.random_range(0..200), grade)
                    })
                    .collect()
            })
            .collect();
        let order = lanes::by_length(histories.iter().map(Vec::len));
        let weights = Weights::published();
        let plain = Replay {
            weights: &weights,
            histories: &histories,
            order: &order,
        };
        assert_eq!(plain.work(), replay(&weights, &histories));
    }

    #[test]
    fn a_review_is_packed_without_loss() {
        for (gap, grade, scored) in [(0, 0, false), (1, 3, true), (36_500, 1, true)] {
            let packed = Packed::new(gap, grade, scored);
            assert_eq!(packed.gap(), gap);
            assert_eq!(packed.grade(), u32::from(grade));
            assert_eq!(packed.scored(), scored);
        }
        assert_eq!(Packed::new(u32::MAX, 2, true).gap(), Packed::LONGEST_GAP);
    }
}
