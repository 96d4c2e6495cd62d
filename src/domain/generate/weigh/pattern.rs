//! The fewest findings that tell one fix from the other fixes of its board.
//!
//! Symbols: `c` the fix, `d` the rest; `n` counts of jobs; `v` a value of finding `f`; `K` the number
//! of values of `f`; `s` the strength of shrinkage, in jobs.
//!
//! - prior odds: `(n(c)+1)/(n(d)+1)`;
//! - overall rate of a value: `P0(v) = (n(f,v)+1/2)/(n(f)+K/2)`;
//! - value given a side: `P(v|c) = (n(c,f,v)+s·P0(v))/(n(c,f)+s)`, the same for `d`, `s` = 4;
//! - log odds of a job: `ln odds + Σ ln P(v|c)/P(v|d)` over the chosen findings it recorded;
//! - loss: the logarithmic score, each job scored with its own counts taken away (leave one out).
//!
//! Finding *names* are chosen forward, each time the one that lowers the summed loss most, until the
//! next would remove less than 1 % of the prior-only loss. They are chosen for a fix, never for a
//! job: choosing by what favours a job's known fix would give the answer away.
//!
//! Sources, from memory: shrinkage, D. `MacKay` & L. Peto (1995); leave one out, M. Stone (1974);
//! logarithmic score, T. Gneiting & A. Raftery (2007); weight of evidence, I. J. Good (1985). The
//! constants are ours, set on archives sampled from published networks.

use crate::domain::generate::coded::table::Table;
use crate::domain::units::count;

/// Strength of the shrinkage, in jobs.
pub const STRENGTH: f64 = 4.0;
/// The next finding must remove this share of the prior-only loss.
pub const WORTH: f64 = 0.01;
/// The most findings of a pattern.
pub const MOST: usize = 5;

/// Which side of the question a job is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// It ended in the fix.
    Fix,
    /// It ended in another fix.
    Rest,
    /// It says nothing here: another variant of the same fix, or no evidence at all.
    Apart,
}

impl Side {
    fn place(self) -> Option<usize> {
        match self {
            Self::Fix => Some(0),
            Self::Rest => Some(1),
            Self::Apart => None,
        }
    }
}

/// How often each value of one finding was seen on each side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    seen: Vec<[usize; 2]>,
    recorded: [usize; 2],
}

impl Tally {
    /// Counts one finding of a table.
    pub fn of(table: &Table, name: usize, sides: &[Side]) -> Self {
        let mut tally = Self {
            seen: vec![[0; 2]; table.n_values(name)],
            recorded: [0; 2],
        };
        for (value, seen) in tally.seen.iter_mut().enumerate() {
            let rows = table.rows(name, value).iter();
            for at in rows.filter_map(|row| sides.get(*row)?.place()) {
                seen[at] += 1;
                tally.recorded[at] += 1;
            }
        }
        tally
    }

    /// Returns how many jobs of the fix, and of the rest, showed the value.
    pub fn seen(&self, value: usize) -> [usize; 2] {
        self.seen[value]
    }

    /// Returns how many jobs of the fix, and of the rest, recorded the finding.
    pub fn recorded(&self) -> [usize; 2] {
        self.recorded
    }

    /// Returns the weight of evidence `ln P(v|c)/P(v|d)`, without one job of `left_out` if given.
    pub fn weight(&self, value: usize, left_out: Side) -> f64 {
        let mut seen = self.seen[value].map(count);
        let mut recorded = self.recorded.map(count);
        if let Some(at) = left_out.place() {
            seen[at] -= 1.0;
            recorded[at] -= 1.0;
        }
        let every = 0.5 * count(self.seen.len());
        let overall = (seen[0] + seen[1] + 0.5) / (recorded[0] + recorded[1] + every);
        let given = |at: usize| shrunk(seen[at], recorded[at], overall);
        libm::log(given(0) / given(1))
    }
}

/// Returns the share `seen` of `of` jobs, shrunk to the `overall` one.
pub fn shrunk(seen: f64, of: f64, overall: f64) -> f64 {
    (seen + STRENGTH * overall) / (of + STRENGTH)
}

/// Returns the log odds of the fix before any finding, without one job of `left_out` if given.
pub fn prior(sides: &[Side], left_out: Side) -> f64 {
    let of = |side: Side| {
        let n = sides.iter().filter(|s| **s == side).count();
        count(n) - if side == left_out { 1.0 } else { 0.0 }
    };
    libm::log((of(Side::Fix) + 1.0) / (of(Side::Rest) + 1.0))
}

/// Returns the loss of saying log odds `odds` about a job of `side`.
pub fn loss(odds: f64, side: Side) -> f64 {
    let against = match side {
        Side::Fix => -odds,
        Side::Rest => odds,
        Side::Apart => return 0.0,
    };
    against.max(0.0) + libm::log1p(libm::exp(-against.abs()))
}

/// A job that says nothing to a question has no cell.
const NO_CELL: u32 = u32::MAX;

/// Jobs of one side with the same values of the names taken so far: their log odds are the same.
#[derive(Clone, Copy, Debug)]
struct Cell {
    /// Place of the side.
    side: usize,
    odds: f64,
    /// Loss of one of its jobs.
    loss: f64,
    /// How many jobs.
    jobs: usize,
}

impl Cell {
    fn new(side: usize, odds: f64, jobs: usize) -> Self {
        Self {
            side,
            odds,
            loss: loss(odds, SIDES[side]),
            jobs,
        }
    }
}

/// One question: this fix, or one of the others?
///
/// A score needs one logarithm a cell and value seen there, not one a job; most jobs did not record a
/// name, and their loss stays what it is.
struct Task<'a> {
    /// Cell of each job.
    cell_of: Vec<u32>,
    cells: Vec<Cell>,
    /// By candidate, value and side.
    weights: Vec<Vec<[f64; 2]>>,
    table: &'a Table,
}

/// Jobs and cells of a board are far fewer.
fn short(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(NO_CELL - 1)
}

const SIDES: [Side; 2] = [Side::Fix, Side::Rest];

impl<'a> Task<'a> {
    fn new(table: &'a Table, sides: &[Side], candidates: &[usize]) -> Self {
        let weights = candidates.iter().map(|name| {
            let tally = Tally::of(table, *name, sides);
            let weigh = |value: usize| {
                let [fix, rest] = tally.seen(value);
                // A side that never showed the value has no job to leave out.
                let left = |seen: usize, side: Side| match seen {
                    0 => 0.0,
                    _ => tally.weight(value, side),
                };
                [left(fix, Side::Fix), left(rest, Side::Rest)]
            };
            (0..table.n_values(*name)).map(weigh).collect()
        });
        let n = |at: usize| sides.iter().filter(|s| **s == SIDES[at]).count();
        let cell_of = sides.iter().map(|side| match side.place() {
            Some(at) => short(at),
            None => NO_CELL,
        });
        Self {
            cell_of: cell_of.collect(),
            cells: (0..2)
                .map(|at| Cell::new(at, prior(sides, SIDES[at]), n(at)))
                .collect(),
            weights: weights.collect(),
            table,
        }
    }

    /// Counts the jobs of each cell by their value of a name; the last place of a cell is for those
    /// that did not record it.
    fn split(&self, name: usize, counts: &mut Vec<u32>) -> usize {
        let values = self.table.n_values(name);
        let width = values + 1;
        counts.clear();
        counts.resize(self.cells.len() * width, 0);
        for (cell, at) in self.cells.iter().zip((values..).step_by(width)) {
            counts[at] = short(cell.jobs);
        }
        for value in 0..values {
            for job in self.table.rows(name, value) {
                let cell = self.cell_of[*job];
                if cell != NO_CELL {
                    let at = cell as usize * width;
                    counts[at + value] += 1;
                    counts[at + values] -= 1;
                }
            }
        }
        width
    }

    fn odds(&self, candidate: usize, cell: &Cell, value: usize) -> f64 {
        let weight = self.weights[candidate].get(value);
        cell.odds + weight.map_or(0.0, |w| w[cell.side])
    }

    fn loss(&self) -> f64 {
        let mut sum = 0.0;
        for cell in self.cell_of.iter().filter(|cell| **cell != NO_CELL) {
            sum += self.cells[*cell as usize].loss;
        }
        sum
    }

    fn loss_with(&self, candidate: usize, name: usize, counts: &mut Vec<u32>) -> f64 {
        let width = self.split(name, counts);
        let mut sum = 0.0;
        for (cell, counts) in self.cells.iter().zip(counts.chunks_exact(width)) {
            let Some((left, values)) = counts.split_last() else {
                continue;
            };
            // Most cells have no job that recorded the name.
            if *left as usize != cell.jobs {
                for (value, jobs) in values.iter().enumerate().filter(|(_, n)| **n > 0) {
                    let odds = self.odds(candidate, cell, value);
                    sum += f64::from(*jobs) * loss(odds, SIDES[cell.side]);
                }
            }
            if 0 < *left {
                sum += f64::from(*left) * cell.loss;
            }
        }
        sum
    }

    fn take(&mut self, candidate: usize, name: usize, counts: &mut Vec<u32>) {
        let width = self.split(name, counts);
        let mut cells = Vec::new();
        let mut moved = vec![0_u32; counts.len()];
        for (place, jobs) in counts.iter().enumerate().filter(|(_, n)| **n > 0) {
            let (cell, value) = (&self.cells[place / width], place % width);
            moved[place] = short(cells.len());
            let odds = self.odds(candidate, cell, value);
            cells.push(Cell::new(cell.side, odds, *jobs as usize));
        }
        let column = self.table.column(name);
        for (cell, value) in self.cell_of.iter_mut().zip(column) {
            if *cell != NO_CELL {
                *cell = moved[*cell as usize * width + (*value).min(width - 1)];
            }
        }
        self.cells = cells;
    }
}

/// What a forward selection found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choice {
    /// The chosen names, best first; empty only without candidates.
    pub names: Vec<usize>,
    /// Leave-one-out loss of the prior alone, summed over jobs and questions.
    pub prior_loss: f64,
    /// The same with the chosen names.
    pub loss: f64,
}

/// Chooses names for one question, or the best for several questions together.
///
/// Stops after `most` names, or when the next would remove less than `worth` of the prior-only
/// loss; the first is always taken, since a front needs one. Ties go to the earlier candidate.
pub fn forward(
    table: &Table,
    questions: &[Vec<Side>],
    candidates: &[usize],
    most: usize,
    worth: f64,
) -> Choice {
    let mut tasks: Vec<Task<'_>> = questions
        .iter()
        .map(|sides| Task::new(table, sides, candidates))
        .collect();
    let mut counts: Vec<u32> = Vec::new();
    let prior_loss: f64 = tasks.iter().map(Task::loss).sum();
    let mut choice = Choice {
        names: Vec::new(),
        prior_loss,
        loss: prior_loss,
    };
    while choice.names.len() < most {
        let mut best: Option<(f64, usize)> = None;
        for (at, name) in candidates.iter().enumerate() {
            if choice.names.contains(name) {
                continue;
            }
            let losses = tasks.iter().map(|t| t.loss_with(at, *name, &mut counts));
            let total: f64 = losses.sum();
            if best.is_none_or(|(least, _)| total < least) {
                best = Some((total, at));
            }
        }
        let Some((total, at)) = best else { break };
        if !choice.names.is_empty() && choice.loss - total < worth * prior_loss {
            break;
        }
        for task in &mut tasks {
            task.take(at, candidates[at], &mut counts);
        }
        choice.names.push(candidates[at]);
        choice.loss = total;
    }
    choice
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::mask::Mask;
    use crate::domain::generate::coded::table::Readings;
    use crate::domain::generate::sample;
    use crate::domain::job::Job;
    use proptest::prelude::*;

    /// A small archive: per job its side and the values of three tests, 0 meaning not recorded.
    type Small = Vec<(Side, [u8; 3])>;

    fn table(rows: &Small) -> (Table, Vec<Side>) {
        let jobs: Vec<Job> = rows
            .iter()
            .enumerate()
            .map(|(at, (_, values))| {
                let tests = values.iter().enumerate().filter(|(_, v)| **v > 0);
                let tests = tests.map(|(i, v)| sample::test(&format!("t{i}"), &format!("is {v}")));
                sample::job_with(&at.to_string(), "U31", 1, tests.collect())
            })
            .collect();
        let jobs: Vec<&Job> = jobs.iter().collect();
        let sides = rows.iter().map(|(side, _)| *side).collect();
        (Readings::of(&jobs, None).masked(&Mask::default()), sides)
    }

    /// The leave-one-out loss by taking every job away for real and counting again.
    fn recounted(table: &Table, sides: &[Side], names: &[usize]) -> f64 {
        let mut sum = 0.0;
        for (job, side) in sides.iter().enumerate() {
            if *side == Side::Apart {
                continue;
            }
            let others = |j: usize| j != job && sides[j] != Side::Apart;
            let n = |side: Side| {
                count(
                    (0..sides.len())
                        .filter(|j| others(*j) && sides[*j] == side)
                        .count(),
                )
            };
            let mut odds = libm::log((n(Side::Fix) + 1.0) / (n(Side::Rest) + 1.0));
            for name in names {
                let Some(value) = table.value(*name, job) else {
                    continue;
                };
                let kept: Vec<usize> = (0..sides.len())
                    .filter(|j| others(*j) && table.value(*name, *j).is_some())
                    .collect();
                let hits = |side: Option<Side>, value: Option<usize>| {
                    let on = |j: &&usize| side.is_none_or(|s| sides[**j] == s);
                    let same = |j: &&usize| value.is_none() || table.value(*name, **j) == value;
                    count(kept.iter().filter(on).filter(same).count())
                };
                let k = count(table.n_values(*name));
                let p0 = (hits(None, Some(value)) + 0.5) / (hits(None, None) + 0.5 * k);
                let given = |side| {
                    (hits(Some(side), Some(value)) + 4.0 * p0) / (hits(Some(side), None) + 4.0)
                };
                odds += libm::log(given(Side::Fix)) - libm::log(given(Side::Rest));
            }
            let p = 1.0 / (1.0 + libm::exp(-odds));
            sum -= libm::log(if *side == Side::Fix { p } else { 1.0 - p });
        }
        sum
    }

    fn any_small() -> impl Strategy<Value = Small> {
        let side = prop_oneof![Just(Side::Fix), Just(Side::Rest), Just(Side::Apart)];
        prop::collection::vec((side, [0_u8..4, 0_u8..3, 0_u8..3]), 2..24)
    }

    proptest! {
        #[test]
        fn the_score_is_what_a_naive_recount_gives(rows in any_small()) {
            let (table, sides) = table(&rows);
            let all: Vec<usize> = (0..table.names().len()).collect();
            let choice = forward(&table, std::slice::from_ref(&sides), &all, 3, -1e9);
            let prior = recounted(&table, &sides, &[]);
            let chosen = recounted(&table, &sides, &choice.names);
            prop_assert!((choice.prior_loss - prior).abs() < 1e-9);
            prop_assert!((choice.loss - chosen).abs() < 1e-9);
            // Each single step is the best one: no other first name would have scored lower.
            if let Some(first) = choice.names.first() {
                let best = recounted(&table, &sides, &[*first]);
                for other in all {
                    prop_assert!(best <= recounted(&table, &sides, &[other]) + 1e-9);
                }
            }
        }
    }

    #[test]
    fn the_telling_finding_is_taken_and_its_copy_is_not() {
        let mut rows = Small::new();
        for at in 0..12_u8 {
            rows.push((Side::Fix, [1, 1, 1 + at % 2]));
            rows.push((Side::Rest, [2, 2, 1 + at % 2]));
        }
        let (table, sides) = table(&rows);
        let choice = forward(&table, &[sides], &[0, 1, 2], MOST, 0.2);
        assert_eq!(
            choice.names,
            [0],
            "the copy adds little, the coin toss nothing"
        );
        assert!(choice.loss < 0.5 * choice.prior_loss);
    }

    #[test]
    fn a_front_gets_one_finding_even_if_none_helps() {
        let rows: Small = (0..8)
            .map(|at| (if at % 2 == 0 { Side::Fix } else { Side::Rest }, [1, 0, 0]))
            .collect();
        let (table, sides) = table(&rows);
        let choice = forward(&table, &[sides], &[0], MOST, WORTH);
        assert_eq!(choice.names, [0]);
    }

    /// Weight of evidence by hand: seen 3 of 4 with the fix, 1 of 4 without; P0 = 4.5/9 = 1/2, so
    /// ln((3+2)/(4+4)) - ln((1+2)/(4+4)) = ln(5/3).
    #[test]
    fn the_weight_of_evidence_is_the_worked_example() {
        let mut rows = Small::new();
        for at in 0..4 {
            rows.push((Side::Fix, [if at < 3 { 1 } else { 2 }, 0, 0]));
            rows.push((Side::Rest, [if at < 1 { 1 } else { 2 }, 0, 0]));
        }
        let (table, sides) = table(&rows);
        let tally = Tally::of(&table, 0, &sides);
        let low = table.value(0, 0).unwrap();
        assert!((tally.weight(low, Side::Apart) - libm::log(5.0 / 3.0)).abs() < 1e-12);
        assert_eq!(tally.seen(low), [3, 1]);
        assert_eq!(tally.recorded(), [4, 4]);
    }
}
