//! The index of every state, ready to be looked up.

use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::price::grid::Grid;
use crate::domain::price::ladder::Askings;
use crate::domain::price::ladder::Terms;
use crate::domain::review::Grade;
use crate::domain::units::count;

/// How a person answers, and what of it takes how long: what the tables need beside the weights.
///
/// Times are in right answers to a met card: a card that takes twice as long as another has half its
/// index per second, so that the kind of card is left to the caller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habits {
    /// Of right answers, the share `hunted`, `named`, `on sight`; they add up to 1.
    pub right: [f64; 3],
    /// Chance that the first guess at a new card is right.
    pub guess: f64,
    /// Chance that a new card whose first guess was wrong is right when it comes back.
    pub again: f64,
    /// Time of a miss with its coming back.
    pub miss: f64,
    /// Time of a first meeting, with the coming back where the guess is wrong.
    pub first: f64,
}

impl Habits {
    /// What is taken of someone who has answered nothing (common practice, no source).
    pub const USUAL: Self = Self {
        right: [0.25, 0.6, 0.15],
        guess: 0.15,
        again: 0.8,
        miss: 2.0,
        first: 2.5,
    };
}

impl Default for Habits {
    fn default() -> Self {
        Self::USUAL
    }
}

/// What a day ahead counts of today: `exp(-1/60)`.
const DISCOUNT_DAYS: f64 = 60.0;

/// Days after which a card may be asked: every day of the first week, then steps of about a fifth.
const GAPS: [u32; 31] = [
    1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 17, 20, 24, 29, 35, 42, 50, 60, 72, 87, 105, 126, 152, 183,
    220, 265, 320, 365, 520, 730,
];

/// Points in stability and difficulty.
const POINTS: (usize, usize) = (30, 4);

/// Prices on the ladder, from the highest.
const PRICES: usize = 28;
/// Highest and lowest price, in recall-days per answer.
const PRICE_SPAN: (f64, f64) = (32.0, 0.02);

/// The tables of one set of weights: what asking a card today is worth.
///
/// An index is in discounted recall-days per time of one right answer, for a card that every job is
/// about; times the card's job share, and divided by the seconds of a right answer, it is what a
/// second of drill buys.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    grid: Grid,
    /// By elapsed day, up to the longest: between which gaps it lies, and how far.
    days: Vec<(u16, f32)>,
    n_gaps: usize,
    /// Logarithm of the index, gap by gap for each state.
    met: Vec<f64>,
    unmet: f64,
}

/// Where a memory lies in the tables: after which state, and how far on to the next ones.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cell {
    /// Place of the state's first gap.
    row: usize,
    /// How far on in stability and in difficulty, 0 to 1.
    stability: f64,
    difficulty: f64,
}

impl Prices {
    /// Returns the tables for someone with the usual habits.
    pub fn new(weights: &Weights) -> Self {
        Self::with(weights, &Habits::USUAL)
    }

    /// Returns the tables for someone who answers like `habits`.
    pub fn with(weights: &Weights, habits: &Habits) -> Self {
        let terms = Terms {
            discount: libm::exp(-1.0 / DISCOUNT_DAYS),
            gaps: GAPS.to_vec(),
            grid: Grid::new(POINTS.0, POINTS.1),
        };
        Self::of(weights, habits, &terms, PRICES)
    }

    /// Returns the tables on these terms, with so many prices on the ladder.
    pub(super) fn of(weights: &Weights, habits: &Habits, terms: &Terms, prices: usize) -> Self {
        let askings = Askings::new(weights, habits, terms);
        let n_gaps = terms.gaps.len();
        let step = libm::log(PRICE_SPAN.1 / PRICE_SPAN.0) / count(prices - 1);
        let mut met = vec![f64::NAN; terms.grid.len() * n_gaps];
        let mut before = vec![0.0; met.len()];
        let mut gains = vec![0.0; n_gaps];
        let (mut unmet, mut worth_before) = (None, 0.0);
        let mut values = askings.never();
        let mut dearer = f64::INFINITY;
        for rung in 0..prices {
            let price = PRICE_SPAN.0 * libm::exp(step * count(rung));
            values = askings.solve(price, values);
            for state in 0..terms.grid.len() {
                askings.gains(state, price, &values, &mut gains);
                for (gap, &gain) in gains.iter().enumerate() {
                    let at = state * n_gaps + gap;
                    if met[at].is_nan() && 0.0 <= gain {
                        met[at] = libm::log(crossing((dearer, before[at]), (price, gain)));
                    }
                    before[at] = gain;
                }
            }
            let worth = first_meeting(weights, habits, terms, price, &values);
            if unmet.is_none() && 0.0 <= worth {
                unmet = Some(crossing((dearer, worth_before), (price, worth)));
            }
            worth_before = worth;
            dearer = price;
        }
        // What is not worth the lowest price is worth next to nothing.
        let least = libm::log(PRICE_SPAN.1) - 1.0;
        for index in &mut met {
            if index.is_nan() {
                *index = least;
            }
        }
        Self {
            grid: terms.grid,
            days: days(&terms.gaps),
            n_gaps,
            met,
            unmet: unmet.unwrap_or(0.0),
        }
    }

    /// Returns the index of a met card, `elapsed_days` after its last review.
    ///
    /// On the day of that review itself it is taken as on the day after; whether a card may be asked
    /// twice in a day is for the caller to say.
    #[inline]
    pub fn met(&self, memory: Memory, elapsed_days: u32) -> f64 {
        let day = (elapsed_days as usize).min(self.days.len() - 1);
        let (gap, part) = self.days[day];
        let (gap, part) = (usize::from(gap), f64::from(part));
        let at = |state: usize| {
            let row = state * self.n_gaps + gap;
            self.met[row] * (1.0 - part) + self.met[row + 1] * part
        };
        let log: f64 = self
            .grid
            .around(memory)
            .iter()
            .map(|(state, weight)| weight * at(*state))
            .sum();
        libm::exp(log)
    }

    /// Returns the index read at a gap itself.
    #[cfg(test)]
    pub(super) fn at_gap(&self, memory: Memory, gap: usize) -> f64 {
        let around = self.grid.around(memory);
        let logs = around
            .iter()
            .map(|(state, weight)| weight * self.met[state * self.n_gaps + gap]);
        libm::exp(logs.sum())
    }

    /// Returns where a memory lies in the tables, given the natural logarithm of its stability in days.
    #[inline]
    pub fn cell(&self, log_stability: f64, difficulty: f64) -> Cell {
        let (row, stability, difficulty) = self.grid.cell(log_stability, difficulty);
        Cell {
            row: row * self.n_gaps,
            stability,
            difficulty,
        }
    }

    /// Returns the logarithm of the index of a met card whose memory lies there, `elapsed_days` after its
    /// last review: that of [`Self::met`], but for rounding.
    ///
    /// Whoever needs the same memory on many days looks it up once and reads it off on each.
    #[inline]
    pub fn log_met(&self, cell: Cell, elapsed_days: u32) -> f64 {
        let day = (elapsed_days as usize).min(self.days.len() - 1);
        let (gap, part) = self.days[day];
        let part = f64::from(part);
        let at = |row: usize| {
            let row = &self.met[row + usize::from(gap)..][..2];
            row[0] + (row[1] - row[0]) * part
        };
        let difficulties = |row: usize| {
            let (low, high) = (at(row), at(row + self.n_gaps));
            low + (high - low) * cell.difficulty
        };
        let low = difficulties(cell.row);
        let high = difficulties(cell.row + self.n_gaps * self.grid.difficulty.len);
        low + (high - low) * cell.stability
    }

    /// Returns the index of a card not met yet.
    pub fn unmet(&self) -> f64 {
        self.unmet
    }
}

/// Returns the price at which a gain is nought, between one at which it is below (the dearer, none
/// above the ladder) and one at which it is not.
fn crossing((dearer, below): (f64, f64), (price, gain): (f64, f64)) -> f64 {
    if dearer.is_finite() && below < 0.0 {
        price + (dearer - price) * gain / (gain - below)
    } else {
        price
    }
}

/// Returns what meeting a new card is worth at `price`, its whole future counted.
///
/// A right first guess is a review like another. A wrong one stays out of memory: the card comes back
/// in the sitting, and that answer is its first review.
fn first_meeting(
    weights: &Weights,
    habits: &Habits,
    terms: &Terms,
    price: f64,
    values: &[f64],
) -> f64 {
    let value = |grade: Grade| -> f64 {
        let around = terms.grid.around(memory::first(weights, grade));
        around.iter().map(|(s, weight)| weight * values[*s]).sum()
    };
    let right: f64 = [Grade::Hunted, Grade::Named, Grade::OnSight]
        .into_iter()
        .zip(habits.right)
        .map(|(grade, share)| share * value(grade))
        .sum();
    let missed = value(Grade::Missed);
    let after_wrong = habits.again * right + (1.0 - habits.again) * missed;
    habits.guess * right + (1.0 - habits.guess) * after_wrong - price * habits.first
}

/// Returns, for each elapsed day up to the last gap, between which two gaps its index is read off.
///
/// The index at a gap is the price at which asking then is as good as asking at the next: it belongs
/// to the middle of the days from that gap to the one before the next.
fn days(gaps: &[u32]) -> Vec<(u16, f32)> {
    let last = gaps.len() - 1;
    let middle = |gap: usize| {
        let to = gaps.get(gap + 1).map_or(gaps[gap], |next| next - 1);
        f64::midpoint(f64::from(gaps[gap]), f64::from(to))
    };
    let mut gap = 0;
    (0..=gaps[last])
        .map(|day| {
            let day = f64::from(day.max(gaps[0]));
            while gap + 2 < gaps.len() && middle(gap + 1) <= day {
                gap += 1;
            }
            let (low, high) = (libm::log(middle(gap)), libm::log(middle(gap + 1)));
            let part = ((libm::log(day) - low) / (high - low)).clamp(0.0, 1.0);
            #[expect(clippy::cast_possible_truncation, reason = "0 to 1, for a look-up")]
            let part = part as f32;
            (u16::try_from(gap).expect("a few gaps"), part)
        })
        .collect()
}
