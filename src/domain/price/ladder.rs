//! The best future of a card at each of a ladder of prices, by value iteration.
//!
//! A card right after a review is asked again after one of a set of gaps, or never:
//! `V = max over gaps n of sum of d^t R(t) for t < n, + d^n Q(n)`, where
//! `Q(n) = -mu (R c + (1 - R) m) + R V(after a right answer) + (1 - R) V(after a miss)`, `d` the
//! discount of a day, `c` = 1 the time of a right answer, `m` that of a miss. A right answer has the
//! person's mix of grades. A missed card comes back in the same sitting and is then taken to be right.
//!
//! The states reached lie between those of the grid and are read off linearly in `log S` and `D`, so
//! each `Q` is a sum of a few `V` with fixed weights, made once for all prices.

use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::price::grid::Grid;
use crate::domain::price::table::Habits;
use crate::domain::review::Grade;

/// The grades of a right answer.
const RIGHT: [Grade; 3] = [Grade::Hunted, Grade::Named, Grade::OnSight];

/// What is decided about: how far ahead, and when a card may be asked.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Terms {
    /// What a day ahead counts.
    pub(super) discount: f64,
    /// Days after which a card may be asked, rising.
    pub(super) gaps: Vec<u32>,
    /// States.
    pub(super) grid: Grid,
}

/// A card asked after one gap from one state.
#[derive(Clone, Copy, Debug)]
struct Asking {
    /// Recall-days until then, discounted.
    kept: f64,
    /// What that day counts.
    then: f64,
    /// Expected time, in right answers.
    time: f64,
    /// The states it leads to: from here ...
    from: u32,
    /// ... to here in the list of all.
    to: u32,
}

/// Every asking from every state, gap by gap.
#[derive(Debug)]
pub(super) struct Askings {
    n_gaps: usize,
    asked: Vec<Asking>,
    leads: Vec<(u32, f64)>,
    /// Recall-days of each state if the card is never asked again.
    never: Vec<f64>,
}

/// Largest change of a value at which a policy counts as reckoned out, in recall-days.
const SETTLED: f64 = 1e-7;
/// How often at most one policy's values are gone through.
const SWEEPS: usize = 400;
/// How often at most the policy is mended at one price.
const MENDS: usize = 12;

impl Askings {
    /// Works out where every asking leads.
    pub(super) fn new(weights: &Weights, habits: &Habits, terms: &Terms) -> Self {
        let n_gaps = terms.gaps.len();
        let mut found = Self {
            n_gaps,
            asked: Vec::with_capacity(terms.grid.len() * n_gaps),
            leads: Vec::with_capacity(terms.grid.len() * n_gaps * 14),
            never: Vec::with_capacity(terms.grid.len()),
        };
        let mut sums = vec![0.0; terms.grid.len()];
        let mut kept = Kept::default();
        for state in 0..terms.grid.len() {
            let memory = terms.grid.memory(state);
            if state % terms.grid.difficulty.len == 0 {
                kept = Kept::of(weights, memory.stability, terms);
            }
            found.never.push(kept.never);
            for (i, &gap) in terms.gaps.iter().enumerate() {
                let recall = memory::recall(weights, memory.stability, f64::from(gap));
                let from = found.leads.len();
                found.lead(weights, habits, terms, (memory, gap, recall), &mut sums);
                found.asked.push(Asking {
                    kept: kept.until[i],
                    then: kept.counts[i],
                    time: recall + (1.0 - recall) * habits.miss,
                    from: index(from),
                    to: index(found.leads.len()),
                });
            }
        }
        found
    }

    /// Adds the states that one asking leads to, each once.
    fn lead(
        &mut self,
        weights: &Weights,
        habits: &Habits,
        terms: &Terms,
        (memory, gap, recall): (Memory, u32, f64),
        sums: &mut [f64],
    ) {
        let mut touched: [usize; 24] = [0; 24];
        let mut n = 0;
        let mut add = |to: Memory, chance: f64| {
            for (state, part) in terms.grid.around(to) {
                let weight = part * chance;
                if weight <= 0.0 {
                    continue;
                }
                if sums[state] <= 0.0 {
                    touched[n] = state;
                    n += 1;
                }
                sums[state] += weight;
            }
        };
        let missed = memory::next(weights, memory, gap, Grade::Missed);
        for (grade, share) in RIGHT.into_iter().zip(habits.right) {
            add(memory::next(weights, memory, gap, grade), recall * share);
            let again = memory::next(weights, missed, 0, grade);
            add(again, (1.0 - recall) * share);
        }
        for state in &touched[..n] {
            self.leads.push((index(*state), sums[*state]));
            sums[*state] = 0.0;
        }
    }

    fn asking(&self, state: usize, gap: usize) -> &Asking {
        &self.asked[state * self.n_gaps + gap]
    }

    /// Returns `Q`: what asking is worth on that day at `price`, with the values of the states.
    fn worth(&self, asking: &Asking, price: f64, values: &[f64]) -> f64 {
        let leads = &self.leads[asking.from as usize..asking.to as usize];
        let sum: f64 = leads
            .iter()
            .map(|(state, weight)| weight * values[*state as usize])
            .sum();
        sum - price * asking.time
    }

    /// Returns the best gap of a state at `price` and its value; none for never.
    fn best(&self, state: usize, price: f64, values: &[f64]) -> (Option<usize>, f64) {
        let mut best = (None, self.never[state]);
        for gap in 0..self.n_gaps {
            let asking = self.asking(state, gap);
            let value = asking.kept + asking.then * self.worth(asking, price, values);
            if best.1 < value {
                best = (Some(gap), value);
            }
        }
        best
    }

    /// Returns the value of every state at `price`, starting from `values`.
    pub(super) fn solve(&self, price: f64, mut values: Vec<f64>) -> Vec<f64> {
        let states = 0..values.len();
        let mut before: Vec<Option<usize>> = Vec::new();
        for _ in 0..MENDS {
            let policy: Vec<Option<usize>> = states
                .clone()
                .map(|state| {
                    let (gap, value) = self.best(state, price, &values);
                    values[state] = value;
                    gap
                })
                .collect();
            if policy == before {
                break;
            }
            for _ in 0..SWEEPS {
                let mut change: f64 = 0.0;
                for state in states.clone() {
                    let Some(gap) = policy[state] else {
                        continue;
                    };
                    let asking = self.asking(state, gap);
                    let value = asking.kept + asking.then * self.worth(asking, price, &values);
                    change = change.max((value - values[state]).abs());
                    values[state] = value;
                }
                if change < SETTLED {
                    break;
                }
            }
            before = policy;
        }
        values
    }

    /// Returns the values of cards that are never asked.
    pub(super) fn never(&self) -> Vec<f64> {
        self.never.clone()
    }

    /// Writes into `gains`, for each gap of `state`, by how much asking then is worth more than the
    /// best of waiting for a later one.
    pub(super) fn gains(&self, state: usize, price: f64, values: &[f64], gains: &mut [f64]) {
        let last = self.asking(state, self.n_gaps - 1);
        // What the card is worth on the day of a gap when it is not asked before the next one.
        let mut wait = (self.never[state] - last.kept) / last.then;
        for gap in (0..self.n_gaps).rev() {
            let asking = self.asking(state, gap);
            if let Some(later) = gains.get(gap + 1) {
                let next = self.asking(state, gap + 1);
                let best = wait + later.max(0.0);
                wait = (next.kept - asking.kept + next.then * best) / asking.then;
            }
            gains[gap] = self.worth(asking, price, values) - wait;
        }
    }
}

/// Recall-days of one stability, discounted.
#[derive(Debug, Default)]
struct Kept {
    until: Vec<f64>,
    counts: Vec<f64>,
    never: f64,
}

impl Kept {
    fn of(weights: &Weights, stability: f64, terms: &Terms) -> Self {
        let mut kept = Self::default();
        let (mut sum, mut counts, mut day) = (0.0, 1.0, 0);
        let mut recall = 1.0;
        for &gap in &terms.gaps {
            while day < gap {
                sum += counts * recall;
                counts *= terms.discount;
                day += 1;
                recall = memory::recall(weights, stability, f64::from(day));
            }
            kept.until.push(sum);
            kept.counts.push(counts);
        }
        // After the last gap recall fades so slowly, and counts so little, that it is taken to stay.
        kept.never = sum + counts * recall / (1.0 - terms.discount);
        kept
    }
}

fn index(n: usize) -> u32 {
    u32::try_from(n).expect("a grid of some thousand states and gaps")
}
