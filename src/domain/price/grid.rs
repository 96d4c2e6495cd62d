//! The points at which memory is reckoned with, and how to read between them.
//!
//! Stability is taken in its logarithm, difficulty as it is. Beyond the ends the end's value counts:
//! below a tenth of a day everything is forgotten by tomorrow, and above ten years nothing is asked.

use crate::domain::memory::DIFFICULTY;
use crate::domain::memory::Memory;

/// Points along one axis, evenly spaced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axis {
    low: f64,
    step: f64,
    /// Steps in one: `1 / step`.
    per_one: f64,
    /// How many points.
    pub(super) len: usize,
}

/// Where a value lies on an axis: between point `at` and the next, `part` of the way (0 to 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    /// The point below.
    pub(super) at: usize,
    /// How far on to the next.
    pub(super) part: f64,
}

impl Axis {
    /// Returns `len` points (two or more) from `low` to `high`.
    pub(super) fn new(low: f64, high: f64, len: usize) -> Self {
        let step = (high - low) / crate::domain::units::count(len - 1);
        Self {
            low,
            step,
            per_one: 1.0 / step,
            len,
        }
    }

    /// Returns the value at a point.
    pub(super) fn value(&self, at: usize) -> f64 {
        self.low + self.step * crate::domain::units::count(at)
    }

    /// Returns where `value` lies; beyond an end it lies at the end.
    #[inline]
    pub(super) fn place(&self, value: f64) -> Place {
        let last = crate::domain::units::count(self.len - 1);
        let along = ((value - self.low) * self.per_one).max(0.0).min(last);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the number of points"
        )]
        let at = (along as usize).min(self.len - 2);
        Place {
            at,
            part: along - crate::domain::units::count(at),
        }
    }
}

/// The grid of memory states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    /// Natural logarithm of stability in days.
    pub(super) log_stability: Axis,
    /// Difficulty.
    pub(super) difficulty: Axis,
}

/// Shortest and longest stability of the grid, in days.
const SPAN: (f64, f64) = (0.1, 3650.0);

impl Grid {
    /// Returns a grid of so many points in stability and in difficulty.
    pub(super) fn new(stabilities: usize, difficulties: usize) -> Self {
        Self {
            log_stability: Axis::new(libm::log(SPAN.0), libm::log(SPAN.1), stabilities),
            difficulty: Axis::new(DIFFICULTY.0, DIFFICULTY.1, difficulties),
        }
    }

    /// Returns how many states it has.
    pub(super) fn len(&self) -> usize {
        self.log_stability.len * self.difficulty.len
    }

    /// Returns the memory at a state.
    pub(super) fn memory(&self, state: usize) -> Memory {
        Memory {
            stability: libm::exp(self.log_stability.value(state / self.difficulty.len)),
            difficulty: self.difficulty.value(state % self.difficulty.len),
        }
    }

    /// Returns the state before a memory in both, and how far on it lies in stability, given by its
    /// logarithm, and in difficulty.
    #[inline]
    pub(super) fn cell(&self, log_stability: f64, difficulty: f64) -> (usize, f64, f64) {
        let s = self.log_stability.place(log_stability);
        let d = self.difficulty.place(difficulty);
        (s.at * self.difficulty.len + d.at, s.part, d.part)
    }

    /// Returns the four states around a memory, each with its weight; the weights add up to 1.
    #[inline]
    pub(super) fn around(&self, memory: Memory) -> [(usize, f64); 4] {
        let s = self.log_stability.place(libm::log(memory.stability));
        let d = self.difficulty.place(memory.difficulty);
        let row = s.at * self.difficulty.len + d.at;
        let above = row + self.difficulty.len;
        [
            (row, (1.0 - s.part) * (1.0 - d.part)),
            (row + 1, (1.0 - s.part) * d.part),
            (above, s.part * (1.0 - d.part)),
            (above + 1, s.part * d.part),
        ]
    }
}
