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

/// Reviews of many cards, one of each: their memory before, and after [`Reviews::take`] what it is then.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reviews {
    stability: Vec<f64>,
    difficulty: Vec<f64>,
    days: Vec<f64>,
    up: Vec<f64>,
    logs: Vec<f64>,
}

impl Reviews {
    /// Forgets all of them.
    pub(crate) fn clear(&mut self) {
        for column in [
            &mut self.stability,
            &mut self.difficulty,
            &mut self.days,
            &mut self.up,
        ] {
            column.clear();
        }
    }

    /// Adds a review of a card so many days after the one before.
    pub(crate) fn push(&mut self, memory: Memory, days: u32, grade: Grade) {
        self.stability.push(memory.stability);
        self.difficulty.push(memory.difficulty);
        self.days.push(f64::from(days));
        self.up.push(f64::from(grade.number()) - 3.0);
    }

    /// Makes of each memory what its review leaves: the numbers of [`memory::next`] within 1e-10.
    pub(crate) fn take(&mut self, rules: &Rules) {
        let n = self.stability.len();
        let whole = n.next_multiple_of(LANES);
        self.stability.resize(whole, 1.0);
        self.difficulty.resize(whole, 1.0);
        self.days.resize(whole, 0.0);
        self.up.resize(whole, 0.0);
        self.logs.resize(whole, 0.0);
        lanes::widest(Take {
            rules,
            reviews: self,
        });
        self.stability.truncate(n);
        self.difficulty.truncate(n);
        self.days.truncate(n);
        self.up.truncate(n);
    }

    /// Returns the natural logarithm of the stability at a place, once it was taken.
    pub(crate) fn log_stability(&self, at: usize) -> f64 {
        self.logs[at]
    }

    /// Returns the memory at a place.
    pub(crate) fn memory(&self, at: usize) -> Memory {
        Memory {
            stability: self.stability[at],
            difficulty: self.difficulty[at],
        }
    }
}

struct Take<'a> {
    rules: &'a Rules,
    reviews: &'a mut Reviews,
}

impl lanes::Wide for Take<'_> {
    type Output = ();

    #[inline(always)]
    fn work(self) {
        let rules = *self.rules;
        let (s, _) = self.reviews.stability.as_chunks_mut::<LANES>();
        let (d, _) = self.reviews.difficulty.as_chunks_mut::<LANES>();
        let (days, _) = self.reviews.days.as_chunks::<LANES>();
        let (up, _) = self.reviews.up.as_chunks::<LANES>();
        let (logs, _) = self.reviews.logs.as_chunks_mut::<LANES>();
        let heard = days.iter().zip(up);
        for (((s, d), logs), (days, up)) in s.iter_mut().zip(d).zip(logs).zip(heard) {
            let (old_s, old_d, days, up) = (*s, *d, *days, *up);
            let (mut next_s, mut next_d) = ([0.0; LANES], [0.0; LANES]);
            let mut log = [0.0; LANES];
            for lane in 0..LANES {
                (next_s[lane], next_d[lane]) =
                    rules.next(old_s[lane], old_d[lane], days[lane], up[lane]);
            }
            for lane in 0..LANES {
                log[lane] = ln(next_s[lane]);
            }
            (*s, *d, *logs) = (next_s, next_d, log);
        }
    }
}

/// Writes into `recall` the chance of recall of each card, so many days after a review that left so much
/// stability: the numbers of [`memory::recall`] within 1e-12.
pub(crate) fn recalls(rules: &Rules, stability: &[f64], days: &[f64], recall: &mut Vec<f64>) {
    recall.clear();
    recall.resize(stability.len(), 0.0);
    lanes::widest(Recalls {
        rules,
        stability,
        days,
        recall,
    });
}

struct Recalls<'a> {
    rules: &'a Rules,
    stability: &'a [f64],
    days: &'a [f64],
    recall: &'a mut [f64],
}

impl lanes::Wide for Recalls<'_> {
    type Output = ();

    #[inline(always)]
    fn work(self) {
        let rules = *self.rules;
        let (s, s_rest) = self.stability.as_chunks::<LANES>();
        let (days, days_rest) = self.days.as_chunks::<LANES>();
        let (recall, recall_rest) = self.recall.as_chunks_mut::<LANES>();
        for ((s, days), recall) in s.iter().zip(days).zip(recall) {
            *recall = faded(&rules, s, days);
        }
        let (mut s, mut days) = ([1.0; LANES], [0.0; LANES]);
        s[..s_rest.len()].copy_from_slice(s_rest);
        days[..days_rest.len()].copy_from_slice(days_rest);
        let last = faded(&rules, &s, &days);
        recall_rest.copy_from_slice(&last[..recall_rest.len()]);
    }
}

/// Returns the chance of recall of each card.
#[inline(always)]
fn faded(rules: &Rules, s: &Lanes, days: &Lanes) -> Lanes {
    let (s, days) = (*s, *days);
    let mut recall = [0.0; LANES];
    for lane in 0..LANES {
        let log = ln(1.0 + rules.scale * days[lane] / s[lane]);
        recall[lane] = 1.0 + exp_m1(-rules.p[20] * log);
    }
    recall
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
    use proptest::prelude::*;
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

    proptest! {
        #[test]
        fn one_review_of_many_cards_is_what_it_is_card_by_card(
            cards in proptest::collection::vec(
                (-6.9..10.5, 1.0..10.0, prop_oneof![Just(0u32), 1..2_000u32], 1..5u8), 0..40),
        ) {
            let weights = Weights::published();
            let rules = Rules::new(&weights);
            let before: Vec<Memory> = cards
                .iter()
                .map(|(log, difficulty, ..)| Memory {
                    stability: libm::exp(*log),
                    difficulty: *difficulty,
                })
                .collect();
            let mut reviews = Reviews::default();
            for (memory, (.., days, grade)) in before.iter().zip(&cards) {
                reviews.push(*memory, *days, Grade::from_number(*grade).expect("1 to 4"));
            }
            reviews.take(&rules);
            let stability: Vec<f64> = before.iter().map(|memory| memory.stability).collect();
            let days: Vec<f64> = cards.iter().map(|(.., days, _)| f64::from(*days)).collect();
            let mut recall = Vec::new();
            recalls(&rules, &stability, &days, &mut recall);
            for (at, (.., days, grade)) in cards.iter().enumerate() {
                let grade = Grade::from_number(*grade).expect("1 to 4");
                let expected = memory::next(&weights, before[at], *days, grade);
                let found = reviews.memory(at);
                let off = (found.stability / expected.stability - 1.0).abs();
                prop_assert!(off < 1e-10, "{found:?} {expected:?}");
                prop_assert!((found.difficulty - expected.difficulty).abs() < 1e-10);
                let expected = memory::recall(&weights, stability[at], f64::from(*days));
                prop_assert!((recall[at] - expected).abs() < 1e-12, "{} {expected}", recall[at]);
            }
        }
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
