//! How well do patterns, and rankings, identify the fix of jobs that they never saw?
//!
//! A trial is a board's jobs, of which some are learned from and others asked about. The names of a
//! pattern are chosen by the builder's own forward selection; what it says of a job comes from these
//! names alone: log odds before any finding, plus the weight of evidence of each. Bands are the
//! builder's; where they come from the board's readings, those asked about are among them.
//!
//! - Share removed: over fixes with three or more jobs and all jobs asked about, the part of the loss
//!   of the odds before any finding that the patterns remove. It is one question a fix: this, or
//!   another?
//! - To rank all fixes from patterns alone, the chances of the fixes are divided by their sum. A fix
//!   with fewer jobs has no pattern and gets its share of the jobs.

use std::collections::BTreeMap;

use benchlore::domain::generate::coded::bands::Bands;
use benchlore::domain::generate::coded::mask::Mask;
use benchlore::domain::generate::coded::table::Readings;
use benchlore::domain::generate::coded::table::Table;
use benchlore::domain::generate::weigh::pattern;
use benchlore::domain::generate::weigh::pattern::Side;
use benchlore::domain::generate::weigh::pattern::Tally;
use benchlore::domain::generate::weigh::shelf::Case;
use benchlore::domain::job::Board;
use benchlore::domain::job::Fix;
use benchlore::domain::job::Job;
use benchlore::domain::suspects::coded::Coded;
use benchlore::domain::suspects::coded::CodedJob;
use benchlore::domain::suspects::of_shelf;
use benchlore::domain::suspects::yardstick::Yardstick;
use benchlore::domain::units::count;

/// A fix with fewer jobs has no pattern of its own.
const OWN_NAMES_FROM: usize = 3;

/// A board's jobs, each with its fix.
pub(crate) struct Trial {
    readings: Readings,
    /// All that was recorded, nothing held back.
    pub(crate) table: Table,
    /// By fix and variant: the fix.
    groups: Vec<usize>,
    /// The group of each job.
    group_of: Vec<usize>,
    /// The fixes, in order.
    pub(crate) fixes: Vec<Fix>,
    /// What each group's card holds back.
    masks: Vec<Mask>,
}

/// What one group's pattern says.
pub(crate) struct Pattern {
    group: usize,
    table: usize,
    prior: f64,
    /// The chosen names with their counts, best first.
    pub(crate) names: Vec<(usize, Tally)>,
}

/// The patterns that jobs taught.
pub(crate) struct Patterns {
    /// One a group of enough jobs.
    pub(crate) own: Vec<Pattern>,
    tables: Vec<Table>,
    /// Chance of each fix by its share of the jobs alone.
    shares: Vec<f64>,
}

impl Trial {
    /// Takes the jobs of one board as the builder would; `board` describes it, if known.
    pub(crate) fn new(cases: &[Case<'_>], board: Option<&Board>) -> Self {
        let jobs: Vec<&Job> = cases.iter().map(|c| c.job).collect();
        let readings = Readings::banded(&jobs, board, &Bands::of(&jobs, board));
        let mut fixes: Vec<Fix> = cases.iter().map(|c| c.fix.clone()).collect();
        fixes.sort();
        fixes.dedup();
        let place = |fix: &Fix| fixes.binary_search(fix).expect("every fix is listed");
        let mut known = BTreeMap::new();
        for case in cases {
            let next = known.len();
            known
                .entry((place(&case.fix), case.variant))
                .or_insert(next);
        }
        let group_of = cases.iter().map(|c| known[&(place(&c.fix), c.variant)]);
        let group_of: Vec<usize> = group_of.collect();
        let mut groups = vec![0; known.len()];
        for ((fix, _), group) in &known {
            groups[*group] = *fix;
        }
        let mask = |(group, fix): (usize, &usize)| {
            let own = group_of.iter().position(|g| *g == group);
            let family = own.and_then(|at| cases[at].job.family.as_deref());
            Mask::of([&fixes[*fix]], family, board)
        };
        let masks = groups.iter().enumerate().map(mask).collect();
        Self {
            table: readings.masked(&Mask::default()),
            readings,
            groups,
            group_of,
            fixes,
            masks,
        }
    }

    /// Returns the fix of a job.
    pub(crate) fn fix_of(&self, job: usize) -> usize {
        self.groups[self.group_of[job]]
    }

    /// Codes some of the jobs for a ranking.
    pub(crate) fn coded(&self, jobs: &[usize]) -> Coded {
        let rows = jobs.iter().map(|job| CodedJob {
            cause: self.fix_of(*job),
            values: of_shelf::values(&self.table, *job),
        });
        let names = 0..self.table.names().len();
        let n_values = names.map(|name| self.table.n_values(name)).collect();
        Coded::new(self.fixes.len(), n_values, rows.collect()).expect("the table codes its jobs")
    }

    /// Returns the side of each job when only `learned` speak.
    fn sides(&self, group: usize, learned: &[usize]) -> Vec<Side> {
        let mut sides = vec![Side::Apart; self.group_of.len()];
        for job in learned {
            sides[*job] = self.side(group, *job);
        }
        sides
    }

    fn side(&self, group: usize, job: usize) -> Side {
        if self.fix_of(job) != self.groups[group] {
            Side::Rest
        } else if self.group_of[job] == group {
            Side::Fix
        } else {
            Side::Apart
        }
    }

    /// Chooses a pattern for every group of enough jobs; `masked`: as its card would show it.
    pub(crate) fn patterns(
        &self,
        learned: &[usize],
        most: usize,
        worth: f64,
        masked: bool,
    ) -> Patterns {
        let mut of_fix = vec![0; self.fixes.len()];
        let mut of_group = vec![0; self.groups.len()];
        for job in learned {
            of_fix[self.fix_of(*job)] += 1;
            of_group[self.group_of[*job]] += 1;
        }
        let all = count(learned.len() + self.fixes.len());
        let mut patterns = Patterns {
            own: Vec::new(),
            tables: Vec::new(),
            shares: of_fix.iter().map(|n| (count(*n) + 1.0) / all).collect(),
        };
        for group in (0..self.groups.len()).filter(|g| of_group[*g] >= OWN_NAMES_FROM) {
            let own = if masked {
                self.masks[group].clone()
            } else {
                Mask::default()
            };
            let table = self.readings.masked(&own);
            let sides = self.sides(group, learned);
            let recorded = |name: &usize| {
                let own = |job: &&usize| self.group_of[**job] == group;
                let mut own = learned.iter().filter(own);
                own.any(|job| table.value(*name, *job).is_some())
            };
            let candidates: Vec<usize> = (0..table.names().len()).filter(recorded).collect();
            let question = std::slice::from_ref(&sides);
            let choice = pattern::forward(&table, question, &candidates, most, worth);
            let tally = |name: usize| (name, Tally::of(&table, name, &sides));
            patterns.own.push(Pattern {
                group,
                table: patterns.tables.len(),
                prior: pattern::prior(&sides, Side::Apart),
                names: choice.names.into_iter().map(tally).collect(),
            });
            patterns.tables.push(table);
        }
        patterns
    }

    /// Returns the share of the loss of the odds before any finding that patterns remove.
    pub(crate) fn share_removed(&self, patterns: &Patterns, asked: &[usize]) -> f64 {
        let (mut before, mut after) = (0.0, 0.0);
        for pattern in &patterns.own {
            for job in asked {
                let side = self.side(pattern.group, *job);
                before += pattern::loss(pattern.prior, side);
                after += pattern::loss(patterns.odds(pattern, *job), side);
            }
        }
        1.0 - after / before
    }

    /// Returns the chance of every fix from patterns alone.
    pub(crate) fn chances(&self, patterns: &Patterns, job: usize) -> Vec<f64> {
        let mut chances = vec![0.0; self.fixes.len()];
        for pattern in &patterns.own {
            let odds = patterns.odds(pattern, job);
            chances[self.groups[pattern.group]] += 1.0 / (1.0 + (-odds).exp());
        }
        for (chance, share) in chances.iter_mut().zip(&patterns.shares) {
            if *chance <= 0.0 {
                *chance = *share;
            }
        }
        let sum: f64 = chances.iter().sum();
        chances.into_iter().map(|chance| chance / sum).collect()
    }

    /// Asks about jobs.
    pub(crate) fn measure(
        &self,
        asked: &[usize],
        chances: impl Fn(usize) -> Vec<f64>,
    ) -> Yardstick {
        let mut seen = Yardstick::default();
        for job in asked {
            seen.add(&chances(*job), self.fix_of(*job));
        }
        seen
    }
}

impl Patterns {
    /// Returns the log odds that a pattern gives a job.
    fn odds(&self, pattern: &Pattern, job: usize) -> f64 {
        let weigh = |(name, tally): &(usize, Tally)| {
            let value = self.tables[pattern.table].value(*name, job)?;
            Some(tally.weight(value, Side::Apart))
        };
        pattern.prior + pattern.names.iter().filter_map(weigh).sum::<f64>()
    }

    /// Returns the mean number of findings.
    pub(crate) fn findings(&self) -> f64 {
        let sum: usize = self.own.iter().map(|p| p.names.len()).sum();
        count(sum) / count(self.own.len())
    }
}
