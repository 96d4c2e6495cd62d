//! Stop cards: go on, or call it?
//!
//! From jobs that ended without a fix: two of a board that look alike, or one where the work was
//! unsafe or on safety-critical gear. The answer is the recorded end, never what was tried last; its reason
//! is asked for only where the front tells it ([`reason::is_told`]). Of the readings of a job those are
//! shown that leave the fewest repairs which fit ([`mendable`](crate::domain::generate::kinds::stop::mendable)); where
//! one fits all the same a lead is told, the sum reckons with it, and "not located in time" makes no card.
//! Nor does an end that the jobs which fit what is shown do not bear out: half of them or more were fixed,
//! and no sum says that mending them does not pay; nor one whose sum does not say to call it.
//! Beside them stand cards of jobs that look like one without a fix, in two shown readings or more, and
//! were mostly fixed, so that "stop" is not always right; none of them where the work itself is the hazard
//! or a cell is swollen. Alike means: the same band on three readings of the job, or on two. Named tests
//! are held back, since their words tell the end; places are shown
//! ([`scene`]), and so is what was tried in vain. Of two cards that ask much the same jobs the better founded
//! is kept. Time and money are bands. The limits are common practice, no source.

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;
use std::rc::Rc;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::generate::coded::bands::Bands;
use crate::domain::generate::coded::ends;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Readings;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::tier;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::kinds::stop::card;
use crate::domain::generate::kinds::stop::card::Founded;
use crate::domain::generate::kinds::stop::mendable::Mendable;
use crate::domain::generate::kinds::stop::question;
use crate::domain::generate::kinds::stop::reason;
use crate::domain::generate::kinds::stop::reason::UNSAFE;
use crate::domain::generate::kinds::stop::scene;
use crate::domain::generate::weigh::choices;
use crate::domain::generate::weigh::shelf::Case;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::BounceCause;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::units::count;

/// Like jobs without a fix that make a card.
pub const LIKE: usize = 2;
/// Readings that like jobs share.
pub const NAMES: usize = 3;
/// The most recorded readings of a job, among which a pattern is chosen.
pub const CHOICE: usize = 6;
/// Readings they share where so many exclude what fewer leave possible.
pub const MOST_NAMES: usize = 4;
/// Readings they share at least.
pub const FEWEST_NAMES: usize = 2;
/// Like jobs from which what tells the reason is worth more than further like jobs.
const ENOUGH_LIKE: usize = 3;
/// Draws further apart than so many times are not alike, whatever they are called.
const SAME_DRAW: f64 = 2.0;
/// Going on is right where at most this part of the like jobs ended without a fix.
pub const MOSTLY_FIXED: f64 = 0.25;

/// What marks a card whose answer is to go on.
pub(super) const GO_ON: &str = "go on";
/// Hazards at which no card says to go on.
pub(super) const GRAVE: [&str; 3] = ["mains", "stored-charge", "safety-critical"];

/// One board's jobs, those without a fix among them.
pub(super) struct Yard<'a> {
    pub(super) input: &'a BuildInput<'a>,
    pub(super) shelf: &'a Shelf<'a>,
    pub(super) jobs: Vec<&'a Job>,
    /// Which of them say something about how such jobs end.
    counts: Vec<bool>,
    pub(super) table: Table,
    /// Of each draw, what every job read, in amps.
    amps: BTreeMap<usize, Vec<Option<f64>>>,
    /// The readings of the board, the most recorded first.
    pub(super) order: Vec<usize>,
    /// Of each job, the numbers of its complaint's words.
    complaints: Vec<Vec<usize>>,
    /// The repairs that a front may still leave possible.
    pub(super) mendable: Mendable,
    /// What the jobs show; a board's many jobs show few things.
    looks: Looks,
    /// Names with their values whose like jobs were seen not to be mostly fixed.
    in_vain: RefCell<HashSet<Values>>,
    /// Of each look that was asked about: its choices whose like were mostly fixed.
    mending: RefCell<HashMap<usize, Rc<Vec<Vec<usize>>>>>,
    /// Of each end that was asked about: the choice that makes its card.
    chosen: RefCell<HashMap<End, Option<Vec<usize>>>>,
    /// Of names with their values: the like jobs that ended without a fix, and all of them.
    tallies: RefCell<HashMap<Values, (usize, usize)>>,
}

/// Names, each with its value.
type Values = Vec<(usize, usize)>;

/// All that a choice of readings depends on: a job's look, its reason, what tells that, what was tried in vain.
type End = (usize, String, Vec<usize>, Vec<(String, String)>);

/// Which jobs show the same in every measured reading, with the same complaint.
struct Looks {
    /// Of each job, the number of its look.
    of: Vec<usize>,
    /// Of each look, the fixed jobs that have it.
    fixed: Vec<Vec<usize>>,
}

impl Looks {
    fn of(table: &Table, order: &[usize], complaints: &[Vec<usize>], fixed: &[usize]) -> Self {
        let mut known: HashMap<(Vec<usize>, &[usize]), usize> = HashMap::new();
        let looks = complaints.iter().enumerate().map(|(at, complaint)| {
            let values = order.iter().map(|name| table.column(*name)[at]).collect();
            let next = known.len();
            *known.entry((values, complaint.as_slice())).or_insert(next)
        });
        let of: Vec<usize> = looks.collect();
        let mut by_look = vec![Vec::new(); known.len()];
        for row in fixed {
            by_look[of[*row]].push(*row);
        }
        Self { of, fixed: by_look }
    }
}

/// A pattern: the job that shows it, the names, the jobs that look like it, the repairs that fit it.
pub(super) struct Pattern {
    pub(super) shown: usize,
    pub(super) names: Vec<usize>,
    pub(super) like: Vec<usize>,
    pub(super) fitting: Vec<usize>,
}

/// How good a choice of readings is, the least the best: repairs that fit, nothing that tells the reason,
/// jobs without a fix, readings beside what tells.
type Worth = (usize, bool, Reverse<usize>, Reverse<usize>);

/// Tells whether a card's answer is to go on: the jobs it counts then speak against it.
pub fn says_go_on(card: &Card) -> bool {
    card.kind == CardKind::Stop && card.points.first().is_some_and(|p| p.say == GO_ON)
}

/// Makes the stop cards of one board; `jobs` are sorted, oldest first.
pub fn cards(input: &BuildInput<'_>, shelf: &Shelf<'_>, jobs: &[&Job]) -> Vec<Card> {
    let known = |j: &&&Job| !input.contradictory.contains(&j.id);
    let jobs: Vec<&Job> = jobs.iter().filter(known).copied().collect();
    let bands = Bands::of(&jobs, shelf.board);
    let table = Readings::banded(&jobs, shelf.board, &bands).masked(&Mask::default());
    let table = scene::placed(&jobs, shelf.board, &scene::coarse(&table));
    let counts = jobs
        .iter()
        .map(|job| ends::ended(job) || !job.fix().is_empty());
    let names = 0..table.names().len();
    let mut order: Vec<usize> = names
        .filter(|name| measured(table.names()[*name].kind))
        .collect();
    order.sort_by_cached_key(|name| (Reverse(table.n_recorded(*name)), *name));
    let complaints = complaints(&jobs);
    let yard = Yard {
        looks: Looks::of(&table, &order, &complaints, &fixed(shelf, &jobs)),
        order,
        mendable: Mendable::of(shelf, &jobs, &complaints),
        complaints,
        in_vain: RefCell::default(),
        mending: RefCell::default(),
        chosen: RefCell::default(),
        tallies: RefCell::default(),
        input,
        shelf,
        counts: counts.collect(),
        amps: amps(&jobs, &table),
        jobs,
        table,
    };
    let mut cards: Vec<Founded> = Vec::new();
    let mut patterns: BTreeSet<String> = BTreeSet::new();
    for at in (0..yard.jobs.len()).rev() {
        let Some(names) = yard.stops_at(at) else {
            continue;
        };
        if patterns.insert(yard.key(at, &names)) {
            cards.extend(yard.stop(&yard.usual(yard.pattern(at, names))));
        }
    }
    for at in (0..yard.jobs.len()).rev() {
        let job = yard.jobs[at];
        let reason = job.no_fix_reason.as_deref();
        if !ends::ended(job) || reason.is_none_or(|r| r == UNSAFE) {
            continue;
        }
        let Some(balance) = yard.goes_on(at) else {
            continue;
        };
        if patterns.insert(yard.key(balance.shown, &balance.names)) {
            cards.extend(yard.go_on(&balance, at));
        }
    }
    card::once_each(cards)
}

/// Returns which of `jobs` were proved to be fixed by a repair that two jobs speak for.
fn fixed(shelf: &Shelf<'_>, jobs: &[&Job]) -> Vec<usize> {
    let rows = jobs.iter().enumerate();
    let rows: HashMap<*const Job, usize> = rows
        .map(|(at, job)| (std::ptr::from_ref(*job), at))
        .collect();
    let groups = shelf.groups.iter().filter(|g| 2 <= g.evidence.len());
    let cases = groups.flat_map(|g| &g.evidence).map(|at| &shelf.cases[*at]);
    let proved = cases.filter(|case| case.proved);
    let row = |case: &Case<'_>| rows.get(&std::ptr::from_ref(case.job)).copied();
    proved.filter_map(row).collect()
}

/// Returns of each draw what every job read.
fn amps(jobs: &[&Job], table: &Table) -> BTreeMap<usize, Vec<Option<f64>>> {
    let mut amps = BTreeMap::new();
    for (row, job) in jobs.iter().enumerate() {
        let draws = job.findings.iter().filter(|f| {
            f.kind == FindingKind::Current && tier::is_before_repair(f) && f.got.is_some()
        });
        for draw in draws {
            if let Some(name) = table.name_of(draw) {
                let column = amps.entry(name).or_insert_with(|| vec![None; jobs.len()]);
                column[row] = draw.got;
            }
        }
    }
    amps
}

/// Numbers the words of each job's complaint.
fn complaints(jobs: &[&Job]) -> Vec<Vec<usize>> {
    let mut known: HashMap<&str, usize> = HashMap::new();
    let words = jobs.iter().map(|job| {
        let words = job.complaint.iter().map(|word| {
            let next = known.len();
            *known.entry(word).or_insert(next)
        });
        words.collect()
    });
    words.collect()
}

/// Tells whether the job came back because the diagnosis was wrong: its repair mended nothing.
pub(super) fn misled(job: &Job) -> bool {
    tier::bounced(job) && job.bounce_cause == Some(BounceCause::Diagnosis)
}

/// Tells whether `lost` of `all` jobs that fit what is shown say to call it: more than half of them ended
/// without a fix. Where the work was unsafe half of them is enough.
pub(super) fn is_called(reason: &str, lost: usize, all: usize) -> bool {
    let least = if reason == UNSAFE { all } else { all + 1 };
    least <= 2 * lost
}

fn measured(kind: FindingKind) -> bool {
    kind != FindingKind::Other
}

impl Yard<'_> {
    /// Returns the names that a job recorded, the most recorded of the board first.
    pub(super) fn names(&self, at: usize) -> Vec<usize> {
        let recorded = |name: &&usize| self.table.value(**name, at).is_some();
        self.order.iter().filter(recorded).copied().collect()
    }

    /// Returns the jobs that lie in the same band as `at` on every name.
    fn pattern(&self, at: usize, names: Vec<usize>) -> Pattern {
        let mut like = self.table.like(at, &names);
        like.retain(|row| self.counts[*row]);
        Pattern {
            shown: at,
            like,
            names,
            fitting: Vec::new(),
        }
    }

    /// Returns the shown names with their values.
    pub(super) fn values(&self, at: usize, names: &[usize]) -> Vec<(usize, usize)> {
        let value = |name: &usize| Some((*name, self.table.value(*name, at)?));
        names.iter().filter_map(value).collect()
    }

    /// Returns how many jobs like `at` in these names ended without a fix, and how many there are.
    fn tally(&self, at: usize, names: &[usize], values: &[(usize, usize)]) -> (usize, usize) {
        if let Some(known) = self.tallies.borrow().get(values) {
            return *known;
        }
        let pattern = self.pattern(at, names.to_vec());
        let tally = (self.n_ended(&pattern), pattern.like.len());
        self.tallies.borrow_mut().insert(values.to_vec(), tally);
        tally
    }

    /// Returns the repairs that fit all that a job shows in these values, but for those it tried in vain.
    fn fitting(&self, at: usize, values: &[(usize, usize)]) -> Vec<usize> {
        let complaint = &self.complaints[at];
        let tried = question::tried(self.jobs[at]);
        let mut fitting = self.mendable.fitting(&self.table, values, complaint);
        fitting.retain(|fix| {
            let mut steps = self.mendable.fixes[*fix].pairs().iter();
            !steps.all(|step| tried.contains(step))
        });
        fitting
    }

    /// Returns the pattern with the repairs that fit it.
    fn fitted(&self, pattern: Pattern) -> Pattern {
        let values = self.values(pattern.shown, &pattern.names);
        let fitting = self.fitting(pattern.shown, &values);
        Pattern { fitting, ..pattern }
    }

    /// Returns the choices of three readings of a job, then those of two; the most recorded first.
    fn choices(&self, at: usize) -> impl Iterator<Item = Vec<usize>> {
        self.choices_of(at, &[NAMES, FEWEST_NAMES])
    }

    fn choices_of(&self, at: usize, sizes: &'static [usize]) -> impl Iterator<Item = Vec<usize>> {
        let mut names = self.names(at);
        names.truncate(CHOICE);
        sizes
            .iter()
            .copied()
            .flat_map(move |n| choices::subsets(&names, n))
            .map(|mut names| {
                names.sort_unstable();
                names
            })
    }

    pub(super) fn n_ended(&self, pattern: &Pattern) -> usize {
        let like = pattern.like.iter();
        like.filter(|at| ends::ended(self.jobs[**at])).count()
    }

    /// Returns the pattern shown by the latest of the like jobs that ended for the commonest reason; what
    /// was unsafe stays what is shown.
    fn usual(&self, pattern: Pattern) -> Pattern {
        let reason = |at: usize| self.jobs[at].no_fix_reason.as_deref();
        let own = reason(pattern.shown);
        if own == Some(UNSAFE) {
            return self.fitted(pattern);
        }
        let alike = |at: usize| self.n_ended_for(&pattern, reason(at).unwrap_or_default());
        let like = pattern.like.iter().copied();
        let ended = like.filter(|at| ends::ended(self.jobs[*at]));
        // What was tried in vain stands on the front, and takes the first thought of a repair away.
        let tried = |at: usize| question::tried(self.jobs[at]).len();
        let most = ended.max_by_key(|at| (alike(*at), reason(*at) == own, tried(*at), *at));
        let shown = most.unwrap_or(pattern.shown);
        self.fitted(Pattern { shown, ..pattern })
    }

    pub(super) fn n_ended_for(&self, pattern: &Pattern, reason: &str) -> usize {
        let like = pattern.like.iter().map(|at| self.jobs[*at]);
        like.filter(|job| ends::ended(job) && job.no_fix_reason.as_deref() == Some(reason))
            .count()
    }

    /// Returns the readings of a job that ended without a fix, where it makes a card: of the choices that
    /// leave the fewest repairs which fit, one that shows what tells the reason, then the one that most such
    /// jobs show.
    fn stops_at(&self, at: usize) -> Option<Vec<usize>> {
        let job = self.jobs[at];
        if !ends::ended(job) {
            return None;
        }
        let reason = job.no_fix_reason.as_deref()?;
        let telling = self.telling(at);
        let tried = question::tried(job);
        let end = (self.looks.of[at], reason.to_owned(), telling, tried);
        if let Some(known) = self.chosen.borrow().get(&end) {
            return known.clone();
        }
        let names = self.chosen_for(at, reason, &end.2);
        self.chosen.borrow_mut().insert(end, names.clone());
        names
    }

    fn chosen_for(&self, at: usize, reason: &str, telling: &[usize]) -> Option<Vec<usize>> {
        let fewest = if reason == UNSAFE { 1 } else { LIKE };
        let mut best: Option<(Worth, Vec<usize>)> = None;
        for names in self.choices_of(at, &[NAMES, FEWEST_NAMES, MOST_NAMES]) {
            let values = self.values(at, &names);
            let (k, n) = self.tally(at, &names, &values);
            if k < fewest || !is_called(reason, k, n) {
                continue;
            }
            let tells = ENOUGH_LIKE <= k && names.iter().any(|n| telling.contains(n));
            // What tells is shown with as much beside it as the same jobs share.
            let beside = if tells { names.len() } else { 0 };
            let worth = (
                self.fitting(at, &values).len(),
                !tells,
                Reverse(k),
                Reverse(beside),
            );
            if best.as_ref().is_none_or(|(least, _)| worth < *least) {
                best = Some((worth, names));
            }
        }
        best.map(|(_, names)| names)
    }

    /// Returns the names of a job's findings that tell why such jobs end.
    fn telling(&self, at: usize) -> Vec<usize> {
        let job = self.jobs[at];
        let findings = job
            .findings
            .iter()
            .filter(|f| tier::is_before_repair(f) && reason::tells_any(f, self.shelf.board));
        findings.filter_map(|f| self.table.name_of(f)).collect()
    }

    /// Returns a fixed job that looks like the one shown and whose like were mostly fixed: the latest
    /// of those that share most of its readings.
    fn goes_on(&self, unfixed: usize) -> Option<Pattern> {
        let names = self.names(unfixed);
        let columns: Vec<&[usize]> = names.iter().map(|n| self.table.column(*n)).collect();
        let shared = |at: usize| {
            let columns = columns.iter();
            columns.filter(|of| of[at] == of[unfixed]).count()
        };
        let complaint = &self.complaints[unfixed];
        let mut fixed: Vec<(usize, usize)> = Vec::new();
        for (look, rows) in self.looks.fixed.iter().enumerate() {
            let Some(row) = rows.first().copied() else {
                continue;
            };
            let mut words = self.complaints[row].iter();
            let same = words.any(|word| complaint.contains(word));
            let alike = shared(row) + usize::from(same);
            if FEWEST_NAMES <= alike && !self.mending(look).is_empty() {
                fixed.extend(rows.iter().map(|row| (alike, *row)));
            }
        }
        fixed.sort_unstable_by(|a, b| b.cmp(a));
        let (row, names) = fixed.into_iter().find_map(|(_, row)| {
            let mending = self.mending(self.looks.of[row]);
            let fits = |names: &&Vec<usize>| FEWEST_NAMES <= self.shared(row, unfixed, names);
            mending.iter().find(fits).map(|names| (row, names.clone()))
        })?;
        self.mostly_fixed(row, names)
    }

    /// Returns the choices of readings of a look whose like jobs were mostly fixed.
    fn mending(&self, look: usize) -> Rc<Vec<Vec<usize>>> {
        if let Some(known) = self.mending.borrow().get(&look) {
            return Rc::clone(known);
        }
        let row = self.looks.fixed[look].first().copied();
        let choices = row
            .into_iter()
            .flat_map(|row| self.choices(row).map(move |c| (row, c)));
        let mending =
            choices.filter(|(row, names)| self.mostly_fixed(*row, names.clone()).is_some());
        let mending = Rc::new(mending.map(|(_, names)| names).collect());
        self.mending.borrow_mut().insert(look, Rc::clone(&mending));
        mending
    }

    /// Returns in how many names two jobs show the same.
    pub(super) fn shared(&self, one: usize, other: usize, names: &[usize]) -> usize {
        let same = |name: &&usize| {
            let value = self.table.value(**name, one);
            value.is_some()
                && value == self.table.value(**name, other)
                && self.draws_alike(**name, one, other)
        };
        names.iter().filter(same).count()
    }

    /// Tells whether two jobs read much the same draw, where both are numbers.
    fn draws_alike(&self, name: usize, one: usize, other: usize) -> bool {
        let read = |row: usize| self.amps.get(&name).and_then(|amps| amps[row]);
        match (read(one), read(other)) {
            (Some(one), Some(other)) => one <= SAME_DRAW * other && other <= SAME_DRAW * one,
            _ => true,
        }
    }

    /// Returns the pattern of these names of a job, if its like were mostly fixed.
    fn mostly_fixed(&self, at: usize, names: Vec<usize>) -> Option<Pattern> {
        // Jobs with the same values have the same like jobs, and a board has few values.
        let value = |name: &usize| (*name, self.table.column(*name)[at]);
        let values: Vec<(usize, usize)> = names.iter().map(value).collect();
        if self.in_vain.borrow().contains(&values) {
            return None;
        }
        let mut pattern = self.pattern(at, names);
        pattern.like.retain(|at| !misled(self.jobs[*at]));
        let n = pattern.like.len();
        if 3 <= n && count(self.n_ended(&pattern)) <= MOSTLY_FIXED * count(n) {
            return Some(pattern);
        }
        self.in_vain.borrow_mut().insert(values);
        None
    }

    /// Returns what the pattern is known by: each name with its band.
    pub(super) fn key(&self, at: usize, names: &[usize]) -> String {
        let words: Vec<String> = names
            .iter()
            .map(|name| {
                let value = self.table.value(*name, at);
                let word = value.map_or("", |v| self.table.word(*name, v));
                format!("{:?} {word}", self.table.names()[*name])
            })
            .collect();
        words.join(" | ")
    }
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
