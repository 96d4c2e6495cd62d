//! What is counted in the archive, and the chances that follow from the counts.
//!
//! Symbols: `c` cause, `C` number of causes, `f`, `g` findings, `v`, `u` their values, `K_f` number
//! of values of `f`, `n(…)` number of jobs, `s` strength of the shrinkage in jobs.
//!
//! - Prior: `P(c) = (n(c)+1)/(n+C)`. A cause that was never closed stays possible.
//! - Value given cause, shrunk to the value's overall rate: `P0(v) = (n(f,v)+.5)/(n(f)+.5 K_f)`,
//!   `P(v|c) = (n(c,f,v)+s P0(v))/(n(c,f)+s)`.
//! - Pair lift, observed over expected, shrunk to 1:
//!   `R_fg(c) = (n(c,f,v,g,u)+1)/(n(c,f,g) P(v|c) P(u|c)+1)`, over jobs that recorded both.
//!
//! Each of them also without one job: its own cells and the totals less 1, which is what counting
//! the archive without it gives (leave one out).
//!
//! Sources, from memory: shrinkage, D. `MacKay` & L. Peto (1995); shrunk observed over expected,
//! W. `DuMouchel` (1999); leave one out, M. Stone (1974). The constants (1, .5) are ours.

use crate::domain::suspects::coded;
use crate::domain::suspects::coded::Coded;
use crate::domain::suspects::coded::CodedJob;
use crate::domain::units::count;

/// How often a value was seen with a cause and without it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Jobs of the cause with the value.
    pub with: usize,
    /// Jobs of the cause that recorded the finding.
    pub of: usize,
    /// Jobs of the other causes with the value.
    pub without: usize,
    /// Jobs of the other causes that recorded the finding.
    pub rest: usize,
}

/// Counts of an archive.
///
/// The table of pairs takes `4 C Σ K_f K_g` bytes over the pairs of findings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counts {
    causes: usize,
    n_values: Vec<usize>,
    jobs: usize,
    by_cause: Vec<u32>,
    /// Where the values of each finding begin in `seen`.
    first: Vec<usize>,
    /// By finding, value and cause.
    seen: Vec<u32>,
    /// By finding and cause.
    recorded: Vec<u32>,
    seen_of_all: Vec<u32>,
    recorded_of_all: Vec<u32>,
    /// Where each pair of findings `f < g` begins in `both`, by `f` and `g`.
    pair_first: Vec<usize>,
    /// By pair, both values and cause.
    both: Vec<u32>,
    /// By `f`, `g` and cause.
    together: Vec<u32>,
}

impl Counts {
    /// Counts an archive.
    pub fn of(archive: &Coded) -> Self {
        let mut counts = Self::empty(archive.causes(), archive.n_values());
        for job in archive.jobs() {
            counts.add(job);
        }
        counts
    }

    fn empty(causes: usize, n_values: &[usize]) -> Self {
        let findings = n_values.len();
        let mut first = Vec::with_capacity(findings);
        let mut values = 0;
        for n in n_values {
            first.push(values);
            values += n;
        }
        let mut pair_first = vec![0; findings * findings];
        let mut cells = 0;
        for f in 0..findings {
            for g in f + 1..findings {
                pair_first[f * findings + g] = cells;
                cells += n_values[f] * n_values[g];
            }
        }
        Self {
            causes,
            n_values: n_values.to_vec(),
            jobs: 0,
            by_cause: vec![0; causes],
            first,
            seen: vec![0; values * causes],
            recorded: vec![0; findings * causes],
            seen_of_all: vec![0; values],
            recorded_of_all: vec![0; findings],
            pair_first,
            both: vec![0; cells * causes],
            together: vec![0; findings * findings * causes],
        }
    }

    /// Adds a job that fits the archive's lists.
    pub fn add(&mut self, job: &CodedJob) {
        let recorded = coded::recorded(&job.values, &self.n_values);
        self.jobs += 1;
        self.by_cause[job.cause] += 1;
        for (at, (f, v)) in recorded.iter().copied().enumerate() {
            self.seen[(self.first[f] + v) * self.causes + job.cause] += 1;
            self.recorded[f * self.causes + job.cause] += 1;
            self.seen_of_all[self.first[f] + v] += 1;
            self.recorded_of_all[f] += 1;
            for (g, u) in recorded[at + 1..].iter().copied() {
                let cell = self.both_at(f, v, g, u) + job.cause;
                self.both[cell] += 1;
                let cell = self.together_at(f, g) + job.cause;
                self.together[cell] += 1;
            }
        }
    }

    fn both_at(&self, f: usize, v: usize, g: usize, u: usize) -> usize {
        let pair = self.pair_first[f * self.n_values.len() + g];
        (pair + v * self.n_values[g] + u) * self.causes
    }

    fn together_at(&self, f: usize, g: usize) -> usize {
        (f * self.n_values.len() + g) * self.causes
    }

    /// Returns the number of causes.
    pub fn causes(&self) -> usize {
        self.causes
    }

    /// Returns the number of values of each finding.
    pub fn n_values(&self) -> &[usize] {
        &self.n_values
    }

    /// Returns the number of jobs.
    pub fn jobs(&self) -> usize {
        self.jobs
    }

    /// Returns the number of jobs of a cause.
    pub fn of_cause(&self, cause: usize) -> usize {
        size(self.by_cause[cause])
    }

    /// Returns how often a value was seen with a cause and without it.
    pub fn seen(&self, finding: usize, value: usize, cause: usize) -> Seen {
        let place = self.first[finding] + value;
        let with = size(self.seen[place * self.causes + cause]);
        let of = size(self.recorded[finding * self.causes + cause]);
        Seen {
            with,
            of,
            without: size(self.seen_of_all[place]) - with,
            rest: size(self.recorded_of_all[finding]) - of,
        }
    }

    /// Returns `P(c)`; `own` is the cause of the job that is left out, if any.
    pub fn prior(&self, cause: usize, own: Option<usize>) -> f64 {
        let n = f64::from(self.by_cause[cause]) - less(own == Some(cause));
        (n + 1.0) / (count(self.jobs + self.causes) - less(own.is_some()))
    }

    /// Returns `P(v|c)` at strength `s`; `own` is the cause of the job that is left out, which
    /// showed this value, if any.
    pub fn given(&self, s: f64, (f, v): (usize, usize), cause: usize, own: Option<usize>) -> f64 {
        let out = less(own.is_some());
        let place = self.first[f] + v;
        let every = 0.5 * count(self.n_values[f]);
        let overall = (f64::from(self.seen_of_all[place]) - out + 0.5)
            / (f64::from(self.recorded_of_all[f]) - out + every);
        let mine = less(own == Some(cause));
        let seen = f64::from(self.seen[place * self.causes + cause]) - mine;
        let recorded = f64::from(self.recorded[f * self.causes + cause]) - mine;
        (seen + s * overall) / (recorded + s)
    }

    /// Returns `R_fg(c)` for `f < g`; `chances` are `P(v|c)` and `P(u|c)`, `own` is as in
    /// [`Counts::given`].
    pub fn lift(
        &self,
        (f, v): (usize, usize),
        (g, u): (usize, usize),
        cause: usize,
        chances: [f64; 2],
        own: Option<usize>,
    ) -> f64 {
        let mine = less(own == Some(cause));
        let both = f64::from(self.both[self.both_at(f, v, g, u) + cause]) - mine;
        let together = f64::from(self.together[self.together_at(f, g) + cause]) - mine;
        (both + 1.0) / (together * chances[0] * chances[1] + 1.0)
    }

    /// Returns how many jobs of any cause showed both values, for `f < g`.
    pub fn both(&self, (f, v): (usize, usize), (g, u): (usize, usize)) -> usize {
        let from = self.both_at(f, v, g, u);
        let cells = &self.both[from..from + self.causes];
        cells.iter().map(|n| size(*n)).sum()
    }

    /// Returns how many jobs of a cause recorded both findings, for `f < g`.
    pub fn together(&self, f: usize, g: usize, cause: usize) -> usize {
        size(self.together[self.together_at(f, g) + cause])
    }
}

fn less(yes: bool) -> f64 {
    if yes { 1.0 } else { 0.0 }
}

fn size(n: u32) -> usize {
    usize::try_from(n).expect("a count of jobs fits")
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::domain::suspects::coded::UNRECORDED;
    use proptest::prelude::*;

    /// Causes, and values of the findings, of [`any_archive`].
    pub(in crate::domain::suspects) const CAUSES: usize = 4;
    const VALUES: [usize; 3] = [2, 3, 2];

    /// A small archive; the last cause never happens.
    pub(in crate::domain::suspects) fn any_archive() -> impl Strategy<Value = Coded> {
        let value = |n: usize| {
            let top = u16::try_from(n).expect("few values");
            (0..=top).prop_map(move |v| if v == top { UNRECORDED } else { v })
        };
        let values = (value(VALUES[0]), value(VALUES[1]), value(VALUES[2]));
        let job = (0..CAUSES - 1, values).prop_map(|(cause, (a, b, c))| CodedJob {
            cause,
            values: vec![a, b, c],
        });
        prop::collection::vec(job, 2..16)
            .prop_map(|jobs| Coded::new(CAUSES, VALUES.to_vec(), jobs).expect("it fits"))
    }

    /// By hand: 3 of 4 jobs of cause 0 and 1 of 4 of cause 1 show value 0 of two. P0 = 4.5/9 = 1/2,
    /// so P(0|c=0) = (3+2)/(4+4) at s = 4; prior (4+1)/(8+2).
    #[test]
    fn the_chances_are_the_worked_example() {
        let job = |cause: usize, value: u16| CodedJob {
            cause,
            values: vec![value, value],
        };
        let jobs = [
            (0, 0),
            (0, 0),
            (0, 0),
            (0, 1),
            (1, 0),
            (1, 1),
            (1, 1),
            (1, 1),
        ];
        let jobs = jobs.map(|(cause, value)| job(cause, value)).to_vec();
        let counts = Counts::of(&Coded::new(2, vec![2, 2], jobs).unwrap());
        assert!((counts.prior(0, None) - 0.5).abs() < 1e-12);
        assert!((counts.given(4.0, (0, 0), 0, None) - 5.0 / 8.0).abs() < 1e-12);
        assert!((counts.given(4.0, (0, 0), 1, None) - 3.0 / 8.0).abs() < 1e-12);
        // Seen together 3 times where 4·(5/8)² were expected.
        let lift = counts.lift((0, 0), (1, 0), 0, [5.0 / 8.0; 2], None);
        assert!((lift - 4.0 / (4.0 * 25.0 / 64.0 + 1.0)).abs() < 1e-12);
        let seen = counts.seen(0, 0, 0);
        assert_eq!((seen.with, seen.of, seen.without, seen.rest), (3, 4, 1, 4));
    }

    proptest! {
        #[test]
        fn leaving_a_job_out_is_counting_without_it(archive in any_archive()) {
            let all = Counts::of(&archive);
            for (at, job) in archive.jobs().iter().enumerate() {
                let mut rest = archive.jobs().to_vec();
                rest.remove(at);
                let rest = Counts::of(&archive.with_jobs(rest).unwrap());
                let own = Some(job.cause);
                let recorded = coded::recorded(&job.values, all.n_values());
                for c in 0..CAUSES {
                    prop_assert!((all.prior(c, own) - rest.prior(c, None)).abs() < 1e-12);
                    for cell in &recorded {
                        let left = all.given(2.0, *cell, c, own);
                        prop_assert!((left - rest.given(2.0, *cell, c, None)).abs() < 1e-12);
                    }
                    for (i, f) in recorded.iter().enumerate() {
                        for g in &recorded[i + 1..] {
                            let left = all.lift(*f, *g, c, [0.3, 0.6], own);
                            let counted = rest.lift(*f, *g, c, [0.3, 0.6], None);
                            prop_assert!((left - counted).abs() < 1e-12);
                        }
                    }
                }
            }
        }

        #[test]
        fn the_chances_of_a_finding_sum_to_one(archive in any_archive()) {
            let counts = Counts::of(&archive);
            for c in 0..CAUSES {
                for (f, n) in VALUES.into_iter().enumerate() {
                    let sum: f64 = (0..n).map(|v| counts.given(8.0, (f, v), c, None)).sum();
                    prop_assert!((sum - 1.0).abs() < 1e-12);
                }
            }
            let sum: f64 = (0..CAUSES).map(|c| counts.prior(c, None)).sum();
            prop_assert!((sum - 1.0).abs() < 1e-12);
        }
    }
}
