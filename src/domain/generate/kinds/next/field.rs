//! The fixes of one board as suspects: what a partial front leaves possible, and what a further
//! measurement is expected to tell.
//!
//! Symbols: `c` a fix, `C` the number of the board's fixes; `f` a finding, `v` its value, `K` the
//! number of its values; `n` counts of jobs; `s` the strength of shrinkage, in jobs.
//!
//! - prior: `P(c) = (n(c)+1)/(n+C)`;
//! - overall rate of a value: `P0(v) = (n(f,v)+1/2)/(n(f)+K/2)`;
//! - value given a fix: `P(v|c) = (n(c,f,v)+s·P0(v))/(n(c,f)+s)`, `s` = [`STRENGTH`];
//! - by single findings: `P1(c) = P(c) Π P(v|c)` over those of the front, made to sum to 1;
//! - chance after a front: `(k(c)+t·P1(c))/(k+t)`, `k` the jobs with all of the front, `k(c)` those of
//!   them that ended in `c`, `t` = [`LOCAL`]: jobs just like this one outweigh what single findings
//!   say as soon as there are a few.
//!
//! The complaint is one more finding, whose value is all its words. Jobs of one fix count together,
//! however the part failed. Left out: dependence between findings, and that a measurement is often
//! taken only where it promises something.
//!
//! Source, from memory: shrinkage in a chain, D. `MacKay` & L. Peto (1995). The constants are ours, set on
//! the invented archive that ships with the program.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::decide::information::Probe;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::table::UNRECORDED;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;

/// Strength of the shrinkage of a value to its overall rate, in jobs.
pub const STRENGTH: f64 = 2.0;
/// Weight of single findings beside the jobs that look just like the front, in jobs.
pub const LOCAL: f64 = 2.0;

/// How often each value of one finding was seen with each fix.
#[derive(Clone, Debug)]
struct Seen {
    /// By value and fix.
    by_fix: Vec<Vec<usize>>,
    /// By fix: jobs that recorded it.
    recorded: Vec<usize>,
    /// By value: its rate over all fixes.
    overall: Vec<f64>,
}

impl Seen {
    fn of(column: &[usize], n_values: usize, of_case: &[Option<usize>], n_fixes: usize) -> Self {
        let mut seen = Self {
            by_fix: vec![vec![0; n_fixes]; n_values],
            recorded: vec![0; n_fixes],
            overall: Vec::new(),
        };
        for (value, fix) in column.iter().zip(of_case) {
            if let (Some(fix), true) = (fix, *value != UNRECORDED) {
                seen.by_fix[*value][*fix] += 1;
                seen.recorded[*fix] += 1;
            }
        }
        let all: usize = seen.recorded.iter().sum();
        let overall = |by_fix: &Vec<usize>| {
            let of_value: usize = by_fix.iter().sum();
            (count(of_value) + 0.5) / (count(all) + 0.5 * count(n_values))
        };
        seen.overall = seen.by_fix.iter().map(overall).collect();
        seen
    }

    fn given(&self, value: usize, fix: usize) -> f64 {
        let seen = count(self.by_fix[value][fix]) + STRENGTH * self.overall[value];
        seen / (count(self.recorded[fix]) + STRENGTH)
    }
}

/// A board's fixes, and what its jobs recorded.
pub struct Field {
    /// The jobs without any mask but that of the places of signs and heat.
    pub table: Table,
    /// The fixes in their order; unsafe ones are among them, and never suspects.
    pub fixes: Vec<Fix>,
    /// Jobs of each fix that count.
    pub jobs: Vec<usize>,
    /// The fix of each case that counts.
    pub of_case: Vec<Option<usize>>,
    /// The complaint of each case.
    pub complaint: Vec<usize>,
    complaints: Seen,
    seen: Vec<Seen>,
}

/// One value that a measurement may show.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The value; none for whatever none of the suspects has shown.
    pub value: Option<usize>,
    /// Chance of it before measuring.
    pub chance: f64,
    /// Chance of each suspect after it, in the order of the suspects.
    pub after: Vec<f64>,
    /// Jobs of each suspect that showed it.
    pub seen: Vec<usize>,
}

/// What a measurement is expected to tell about some suspects.
#[derive(Clone, Debug, PartialEq)]
pub struct Prospect {
    /// The name measured.
    pub name: usize,
    /// Information expected, in bits.
    pub bits: f64,
    /// Its results, the likeliest first.
    pub outcomes: Vec<Outcome>,
    /// Jobs of each suspect that recorded it.
    pub recorded: Vec<usize>,
}

impl Field {
    /// Counts the jobs of a board.
    pub fn of(shelf: &Shelf<'_>) -> Self {
        let table = shelf.table(&Mask::default());
        let counted = || shelf.cases.iter().filter(|c| c.tier.counts());
        let fixes: BTreeSet<&Fix> = counted().map(|c| &c.fix).collect();
        let places: BTreeMap<&Fix, usize> =
            fixes.iter().enumerate().map(|(i, f)| (*f, i)).collect();
        let of_case: Vec<Option<usize>> = shelf
            .cases
            .iter()
            .map(|c| c.tier.counts().then(|| places[&c.fix]))
            .collect();
        let mut jobs = vec![0; fixes.len()];
        for fix in of_case.iter().flatten() {
            jobs[*fix] += 1;
        }
        let (complaint, n_complaints) = complaints(shelf);
        let seen = (0..table.names().len())
            .map(|name| {
                let n = table.n_values(name);
                Seen::of(table.column(name), n, &of_case, fixes.len())
            })
            .collect();
        Self {
            complaints: Seen::of(&complaint, n_complaints, &of_case, fixes.len()),
            fixes: fixes.into_iter().cloned().collect(),
            table,
            jobs,
            of_case,
            complaint,
            seen,
        }
    }

    /// Returns the chance of every fix after a complaint and some findings with their values, `like`
    /// being the cases that look just so.
    pub fn chances(&self, complaint: usize, front: &[(usize, usize)], like: &[usize]) -> Vec<f64> {
        let n = count(self.jobs.iter().sum()) + count(self.jobs.len());
        let logs: Vec<f64> = (0..self.fixes.len())
            .map(|fix| {
                let mut log = libm::log((count(self.jobs[fix]) + 1.0) / n);
                log += libm::log(self.complaints.given(complaint, fix));
                for (name, value) in front {
                    log += libm::log(self.seen[*name].given(*value, fix));
                }
                log
            })
            .collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let raw: Vec<f64> = logs.iter().map(|l| libm::exp(l - most)).collect();
        let sum: f64 = raw.iter().sum();
        let mut ended = vec![0; self.fixes.len()];
        for fix in like.iter().filter_map(|case| self.of_case[*case]) {
            ended[fix] += 1;
        }
        let k: usize = ended.iter().sum();
        let all = count(k) + LOCAL;
        let single = raw.into_iter().map(|p| p / sum);
        let both = ended.into_iter().zip(single);
        both.map(|(k, p)| (count(k) + LOCAL * p) / all).collect()
    }

    /// Returns how many jobs of each suspect recorded a name.
    pub fn recorded(&self, name: usize, suspects: &[usize]) -> Vec<usize> {
        let seen = &self.seen[name];
        suspects.iter().map(|fix| seen.recorded[*fix]).collect()
    }

    /// Returns what measuring `name` would tell about suspects with these chances (they sum to 1).
    pub fn prospect(&self, name: usize, suspects: &[usize], chances: &[f64]) -> Prospect {
        let seen = &self.seen[name];
        let n_values = self.table.n_values(name);
        let known: Vec<usize> = (0..n_values)
            .filter(|v| suspects.iter().any(|fix| 0 < seen.by_fix[*v][*fix]))
            .collect();
        let mut given: Vec<Vec<f64>> = known
            .iter()
            .map(|v| suspects.iter().map(|fix| seen.given(*v, *fix)).collect())
            .collect();
        let else_: Vec<f64> = (0..suspects.len())
            .map(|s| (1.0 - given.iter().map(|row| row[s]).sum::<f64>()).max(0.0))
            .collect();
        given.push(else_);
        let probe = Probe {
            prior: chances,
            given: &given,
        };
        let mut outcomes: Vec<Outcome> = (0..given.len())
            .map(|x| Outcome {
                value: known.get(x).copied(),
                chance: probe.chance(x),
                after: probe.posterior(x),
                seen: known.get(x).map_or_else(
                    || vec![0; suspects.len()],
                    |v| suspects.iter().map(|fix| seen.by_fix[*v][*fix]).collect(),
                ),
            })
            .collect();
        // Words, not numbers of values: those depend on which job came first.
        let word = |o: &Outcome| o.value.map(|v| self.table.word(name, v));
        outcomes.sort_by(|a, b| {
            let last = a.value.is_none().cmp(&b.value.is_none());
            last.then(b.chance.total_cmp(&a.chance))
                .then_with(|| word(a).cmp(&word(b)))
        });
        Prospect {
            name,
            bits: probe.information(),
            outcomes,
            recorded: self.recorded(name, suspects),
        }
    }
}

/// Codes the complaint of every case; one without words is a value too.
fn complaints(shelf: &Shelf<'_>) -> (Vec<usize>, usize) {
    let words = |job: &Job| -> BTreeSet<String> { job.complaint.iter().cloned().collect() };
    let all: BTreeSet<BTreeSet<String>> = shelf.cases.iter().map(|c| words(c.job)).collect();
    let places: BTreeMap<&BTreeSet<String>, usize> =
        all.iter().enumerate().map(|(i, c)| (c, i)).collect();
    let column = shelf.cases.iter().map(|c| places[&words(c.job)]).collect();
    (column, all.len())
}
