//! Stop cards: go on, or call it?
//!
//! From jobs that ended without a fix: two of a board that look alike, or one where the work was
//! unsafe or on safety-critical gear. The answer is the recorded end, never what was tried last; its reason
//! is asked for only where the front tells it ([`reason::is_told`]). Of the readings of a job those are
//! shown that leave the fewest repairs which fit ([`mendable`](crate::domain::generate::mendable)); where
//! one fits all the same a lead is told, the sum reckons with it, and "not located in time" makes no card.
//! Beside them stand cards of jobs that look like one without a fix, in two shown readings or more, and
//! were mostly fixed, so that "stop" is not always right; none of them where the work itself is the hazard
//! or a cell is swollen. Alike means: the same band on three readings of the job, or on two. Named tests
//! are held back, since their words tell the end; places are shown
//! ([`scene`](crate::domain::generate::scene)). Of two cards that ask much the same jobs the better founded
//! is kept. Time and money are bands. The limits are common practice, no source.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::caution;
use crate::domain::generate::balance;
use crate::domain::generate::balance::Balance;
use crate::domain::generate::balance::Moment;
use crate::domain::generate::bands::Bands;
use crate::domain::generate::build;
use crate::domain::generate::build::BuildInput;
use crate::domain::generate::build::Hazards;
use crate::domain::generate::evidence::Case;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::mendable::Mendable;
use crate::domain::generate::reason;
use crate::domain::generate::reason::UNSAFE;
use crate::domain::generate::remark;
use crate::domain::generate::say;
use crate::domain::generate::scene;
use crate::domain::generate::table::Readings;
use crate::domain::generate::table::Table;
use crate::domain::generate::tier;
use crate::domain::ids;
use crate::domain::job::BounceCause;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::UNLOCATED;
use crate::domain::units::count;

/// Like jobs without a fix that make a card.
pub const LIKE: usize = 2;
/// Readings that like jobs share.
pub const NAMES: usize = 3;
/// The most recorded readings of a job, among which a pattern is chosen.
pub const CHOICE: usize = 6;
/// Readings they share at least.
pub const FEWEST_NAMES: usize = 2;
/// Reasons that are the customer's wish.
const WISHES: [&str; 2] = ["customer-declined", "data-only-recovered"];
/// Going on is right where at most this part of the like jobs ended without a fix.
pub const MOSTLY_FIXED: f64 = 0.25;

/// What marks a card whose answer is to go on.
const GO_ON: &str = "go on";
/// Hazards at which no card says to go on.
const GRAVE: [&str; 3] = ["mains", "stored-charge", "safety-critical"];

/// One board's jobs, those without a fix among them.
struct Yard<'a> {
    input: &'a BuildInput<'a>,
    shelf: &'a Shelf<'a>,
    jobs: Vec<&'a Job>,
    /// Which of them say something about how such jobs end.
    counts: Vec<bool>,
    table: Table,
    /// The readings of the board, the most recorded first.
    order: Vec<usize>,
    /// Jobs that were proved to be fixed by a repair that two jobs speak for.
    fixed: Vec<usize>,
    /// Of each job, the numbers of its complaint's words.
    complaints: Vec<Vec<usize>>,
    /// The repairs that a front may still leave possible.
    mendable: Mendable,
    /// Names with their values whose like jobs were seen not to be mostly fixed.
    in_vain: RefCell<HashSet<Vec<(usize, usize)>>>,
}

/// A pattern: the job that shows it, the names, the jobs that look like it, the repairs that fit it.
struct Pattern {
    shown: usize,
    names: Vec<usize>,
    like: Vec<usize>,
    fitting: Vec<usize>,
}

/// A card, and what it stands on.
struct Founded {
    card: Card,
    like: Vec<usize>,
    fitting: usize,
    /// The lower end of the share that speaks for its answer.
    low: f64,
}

impl Founded {
    /// Tells whether half of the jobs of one are among those of the other.
    fn asks_as(&self, other: &Self) -> bool {
        let common = self.like.iter();
        let common = common
            .filter(|at| other.like.binary_search(at).is_ok())
            .count();
        says_go_on(&self.card) == says_go_on(&other.card)
            && self.like.len().min(other.like.len()) <= 2 * common
    }
}

/// Leaves of cards that ask much the same jobs the better founded: which fewer repairs fit, then whose
/// share is surer, then of more jobs.
fn once_each(cards: Vec<Founded>) -> Vec<Card> {
    let mut order: Vec<&Founded> = cards.iter().collect();
    order.sort_by(|a, b| {
        let fitting = a.fitting.cmp(&b.fitting);
        fitting
            .then(b.low.total_cmp(&a.low))
            .then(b.like.len().cmp(&a.like.len()))
            .then_with(|| a.card.id.cmp(&b.card.id))
    });
    let mut kept: Vec<&Founded> = Vec::new();
    for card in order {
        if !kept.iter().any(|other| card.asks_as(other)) {
            kept.push(card);
        }
    }
    let kept: BTreeSet<String> = kept.into_iter().map(|k| k.card.id.clone()).collect();
    let cards = cards.into_iter().map(|founded| founded.card);
    cards.filter(|card| kept.contains(&card.id)).collect()
}

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
    let table = scene::placed(&jobs, shelf.board, &table);
    let counts = jobs.iter().map(|job| ended(job) || !job.fix().is_empty());
    let names = 0..table.names().len();
    let mut order: Vec<usize> = names
        .filter(|name| measured(table.names()[*name].kind))
        .collect();
    order.sort_by_cached_key(|name| (std::cmp::Reverse(table.n_recorded(*name)), *name));
    let complaints = complaints(&jobs);
    let yard = Yard {
        order,
        fixed: fixed(shelf, &jobs),
        mendable: Mendable::of(shelf, &jobs, &complaints),
        complaints,
        in_vain: RefCell::default(),
        input,
        shelf,
        counts: counts.collect(),
        jobs,
        table,
    };
    let mut cards: Vec<Founded> = Vec::new();
    let mut patterns: BTreeSet<String> = BTreeSet::new();
    for at in (0..yard.jobs.len()).rev() {
        let Some(pattern) = yard.stops_at(at) else {
            continue;
        };
        if patterns.insert(yard.key(&pattern)) {
            cards.extend(yard.stop(&yard.usual(pattern)));
        }
    }
    for at in (0..yard.jobs.len()).rev() {
        let job = yard.jobs[at];
        let reason = job.no_fix_reason.as_deref();
        if !ended(job) || reason.is_none_or(|r| r == UNSAFE) {
            continue;
        }
        let Some(balance) = yard.goes_on(at) else {
            continue;
        };
        if patterns.insert(yard.key(&balance)) {
            cards.extend(yard.go_on(&balance, at));
        }
    }
    once_each(cards)
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

/// Tells whether the board itself ended the job. What the customer wanted cannot be read off a board,
/// and says nothing about the next one.
pub fn ended(job: &Job) -> bool {
    job.outcome == Outcome::NoFix
        && !job
            .no_fix_reason
            .as_deref()
            .is_some_and(|r| WISHES.contains(&r))
}

/// Tells whether the job came back because the diagnosis was wrong: its repair mended nothing.
pub(super) fn misled(job: &Job) -> bool {
    tier::bounced(job) && job.bounce_cause == Some(BounceCause::Diagnosis)
}

/// Returns the choices of `n` out of `all`, in the order of `all`.
pub(super) fn subsets(all: &[usize], n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![Vec::new()];
    }
    let mut found = Vec::new();
    for (i, first) in all.iter().enumerate() {
        for mut rest in subsets(&all[i + 1..], n - 1) {
            rest.insert(0, *first);
            found.push(rest);
        }
    }
    found
}

fn measured(kind: FindingKind) -> bool {
    kind != FindingKind::Other
}

impl Yard<'_> {
    /// Returns the names that a job recorded, the most recorded of the board first.
    fn names(&self, at: usize) -> Vec<usize> {
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
    fn values(&self, pattern: &Pattern) -> Vec<(usize, usize)> {
        let value = |name: &usize| Some((*name, self.table.value(*name, pattern.shown)?));
        pattern.names.iter().filter_map(value).collect()
    }

    /// Returns the repairs that fit all that a pattern shows.
    fn fitting(&self, pattern: &Pattern) -> Vec<usize> {
        let complaint = &self.complaints[pattern.shown];
        let values = self.values(pattern);
        self.mendable.fitting(&self.table, &values, complaint)
    }

    /// Returns the choices of three readings of a job, then those of two; the most recorded first.
    fn choices(&self, at: usize) -> impl Iterator<Item = Vec<usize>> {
        let mut names = self.names(at);
        names.truncate(CHOICE);
        let sizes = (FEWEST_NAMES..=NAMES).rev();
        sizes
            .flat_map(move |n| subsets(&names, n))
            .map(|mut names| {
                names.sort_unstable();
                names
            })
    }

    fn n_ended(&self, pattern: &Pattern) -> usize {
        let like = pattern.like.iter();
        like.filter(|at| ended(self.jobs[**at])).count()
    }

    /// Returns the pattern shown by the latest of the like jobs that ended for the commonest reason; what
    /// was unsafe stays what is shown.
    fn usual(&self, pattern: Pattern) -> Pattern {
        let reason = |at: usize| self.jobs[at].no_fix_reason.as_deref();
        let own = reason(pattern.shown);
        if own == Some(UNSAFE) {
            let fitting = self.fitting(&pattern);
            return Pattern { fitting, ..pattern };
        }
        let alike = |at: usize| self.n_ended_for(&pattern, reason(at).unwrap_or_default());
        let like = pattern.like.iter().copied();
        let ended = like.filter(|at| ended(self.jobs[*at]));
        let most = ended.max_by_key(|at| (alike(*at), reason(*at) == own, *at));
        let shown = most.unwrap_or(pattern.shown);
        let pattern = Pattern { shown, ..pattern };
        let fitting = self.fitting(&pattern);
        Pattern { fitting, ..pattern }
    }

    fn n_ended_for(&self, pattern: &Pattern, reason: &str) -> usize {
        let like = pattern.like.iter().map(|at| self.jobs[*at]);
        like.filter(|job| ended(job) && job.no_fix_reason.as_deref() == Some(reason))
            .count()
    }

    /// Returns the pattern of a job that ended without a fix, where it makes a card: of the choices that
    /// leave the fewest repairs which fit, the one that most such jobs show.
    fn stops_at(&self, at: usize) -> Option<Pattern> {
        let job = self.jobs[at];
        if !ended(job) {
            return None;
        }
        let reason = job.no_fix_reason.as_deref()?;
        let fewest = if reason == UNSAFE { 1 } else { LIKE };
        let mut best: Option<((usize, std::cmp::Reverse<usize>), Pattern)> = None;
        for pattern in self.choices(at).map(|names| self.pattern(at, names)) {
            let k = self.n_ended(&pattern);
            if k < fewest || 2 * k < pattern.like.len() {
                continue;
            }
            let worth = (self.fitting(&pattern).len(), std::cmp::Reverse(k));
            if best.as_ref().is_none_or(|(least, _)| worth < *least) {
                best = Some((worth, pattern));
            }
        }
        best.map(|(_, pattern)| pattern)
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
        let fixed = self.fixed.iter().map(|row| {
            let mut words = self.complaints[*row].iter();
            let same = words.any(|word| complaint.contains(word));
            (shared(*row) + usize::from(same), *row)
        });
        let mut fixed: Vec<(usize, usize)> =
            fixed.filter(|(alike, _)| FEWEST_NAMES <= *alike).collect();
        fixed.sort_unstable_by(|a, b| b.cmp(a));
        let mut rows = fixed.into_iter();
        rows.find_map(|(_, row)| {
            self.choices(row)
                .filter(|names| FEWEST_NAMES <= self.shared(row, unfixed, names))
                .find_map(|names| self.mostly_fixed(row, names))
        })
    }

    /// Returns in how many names two jobs show the same.
    fn shared(&self, one: usize, other: usize, names: &[usize]) -> usize {
        let same = |name: &&usize| {
            let value = self.table.value(**name, one);
            value.is_some() && value == self.table.value(**name, other)
        };
        names.iter().filter(same).count()
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
    fn key(&self, pattern: &Pattern) -> String {
        let words: Vec<String> = pattern
            .names
            .iter()
            .map(|name| {
                let value = self.table.value(*name, pattern.shown);
                let word = value.map_or("", |v| self.table.word(*name, v));
                format!("{:?} {word}", self.table.names()[*name])
            })
            .collect();
        words.join(" | ")
    }

    fn stop(&self, pattern: &Pattern) -> Option<Founded> {
        let job = self.jobs[pattern.shown];
        let reason = job.no_fix_reason.as_deref()?;
        let spent = job.effort.minutes;
        let n = self.n_ended(pattern);
        let words = reason::reason_words(reason).0;
        let why = format!(
            "{n} of {} jobs like this ended without a fix; here: {words}",
            pattern.like.len(),
        );
        let mut card = self.card(pattern, spent, Vec::new(), &why, "stop")?;
        // Where nobody mends such gear, what could be mended is no alternative.
        let referred =
            reason == UNSAFE && card.cautions.iter().any(|c| c == caution::SAFETY_CRITICAL);
        let fitting: &[usize] = if referred { &[] } else { &pattern.fitting };
        if reason == reason::UNLOCATED_IN_TIME && !fitting.is_empty() {
            return None;
        }
        // Where like jobs ended for other reasons, the front does not tell this one.
        let alike = self.n_ended_for(pattern, reason);
        let commonest = n < 2 * alike;
        let faces = (card.front.as_slice(), card.held_back.as_slice());
        let told = commonest
            && fitting.is_empty()
            && reason::is_told(reason, faces, &card.cautions, self.shelf.board);
        let why_point = KeyPoint {
            needed: told,
            ..reason::reason_point(reason)
        };
        card.points = vec![call_it(), why_point];
        let board = self.shelf.board;
        if card.front.iter().any(|f| scene::is_swollen_cell(f, board)) {
            card.points.push(reason::swollen_point());
            card.cautions = with_lithium(&card.cautions);
        }
        card.warn.extend(divided(n, pattern.like.len()));
        if !commonest {
            let of = "of those without a fix ended for the reason given here";
            card.warn.push(format!("reasons: {alike} of {n} {of}"));
        }
        let named = self.mendable.named(self.shelf, fitting);
        card.warn
            .extend(named.iter().map(|n| format!("not told apart: {n}")));
        let share = Share::counted(n, pattern.like.len(), 0);
        card.warn.extend(remark::small_evidence(&share));
        if balance::OF_MONEY.contains(&reason) {
            let sum = self.balance(pattern, fitting, spent);
            if sum.is_none() {
                card.warn.push(NO_SUM.to_owned());
            }
            card = with_sums(card, sum);
        } else {
            card.sums = balance::not_money(words);
            card.sums
                .extend(named.map(|n| format!("{n}: rule it out before calling it.")));
            if reason == reason::UNOBTAINABLE {
                card.warn.push(UNSEEN.to_owned());
            }
        }
        Some(Founded {
            card,
            like: pattern.like.clone(),
            fitting: fitting.len(),
            low: share.low,
        })
    }

    fn go_on(&self, pattern: &Pattern, lost: usize) -> Option<Founded> {
        let job = self.jobs[pattern.shown];
        let steps = build::steps(&self.usual_fix(pattern)?, self.shelf.board);
        let go = say::one_of(
            "go on",
            &[
                "go on",
                "continue",
                "carry on",
                "keep going",
                "keep at it",
                "proceed",
                "repair it",
                "worth it",
                "not stop",
            ],
            true,
        );
        let usual = KeyPoint {
            needed: false,
            ..say::fix("what fixed it: ", &steps)
        };
        let n = pattern.like.len();
        let k = n - self.n_ended(pattern);
        let why = format!(
            "{k} of {n} jobs like this were fixed; {}",
            self.unlike(pattern, lost)
        );
        let spent = job.effort.minutes_to_find;
        let mut card = self.card(pattern, spent, vec![go, usual], &why, GO_ON)?;
        let share = Share::counted(k, n, 0);
        card.warn.extend(remark::small_evidence(&share));
        Some(Founded {
            card: with_sums(card, self.balance(pattern, &[], spent)),
            like: pattern.like.clone(),
            fitting: 0,
            low: share.low,
        })
    }

    /// Says which job without a fix looks like a pattern, why it ended, and what it showed otherwise.
    fn unlike(&self, pattern: &Pattern, lost: usize) -> String {
        let job = self.jobs[lost];
        let reason = job.no_fix_reason.as_deref().unwrap_or_default();
        let shared = self.shared(pattern.shown, lost, &pattern.names);
        let ended = format!(
            "{} showed {shared} of the {} readings here and ended without a fix ({})",
            job.job,
            pattern.names.len(),
            reason::reason_words(reason).0
        );
        let shown = pattern.names.iter().copied();
        let others = self.order.iter().copied();
        let others = others.filter(|name| !pattern.names.contains(name));
        let difference = shown.chain(others).find_map(|name| {
            let theirs = self.table.value(name, lost)?;
            let (ours, n) = self.mostly(pattern, lost, name)?;
            (ours != theirs && LIKE <= n).then(|| (name, theirs, ours))
        });
        match difference {
            Some((name, theirs, ours)) => format!(
                "{ended}: there {}, in these {}",
                self.read(name, theirs),
                self.read(name, ours)
            ),
            None => format!("{ended}; nothing on record tells it apart"),
        }
    }

    /// Returns what most of the fixed jobs of a pattern showed of a finding, and how many.
    fn mostly(&self, pattern: &Pattern, lost: usize, name: usize) -> Option<(usize, usize)> {
        let mut counts: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
        let like = pattern.like.iter();
        for at in like.filter(|at| **at != lost && !ended(self.jobs[**at])) {
            if let Some(value) = self.table.value(name, *at) {
                let word = self.table.word(name, value);
                counts.entry(word).or_insert((value, 0)).1 += 1;
            }
        }
        let all: usize = counts.values().map(|(_, n)| n).sum();
        // Words, not numbers of values: those depend on which job came first.
        let most = counts
            .into_iter()
            .min_by(|a, b| b.1.1.cmp(&a.1.1).then(a.0.cmp(b.0)));
        let (_, (value, n)) = most?;
        (all < 2 * n).then_some((value, n))
    }

    /// Returns a name with a value in words, its designators behind it.
    fn read(&self, name: usize, value: usize) -> String {
        let (word, places) = scene::apart(self.table.word(name, value));
        let read = remark::read_as(&self.table.names()[name], word);
        places.map_or_else(|| read.clone(), |places| format!("{read} at {places}"))
    }

    /// Returns the fix that most like jobs ended in, the first of equals; none that is unsafe.
    fn usual_fix(&self, pattern: &Pattern) -> Option<Fix> {
        let barred = self.shelf.barred();
        let mut counts: BTreeMap<Fix, usize> = BTreeMap::new();
        for at in &pattern.like {
            let fix = self.jobs[*at].fix();
            if !fix.is_empty() && !barred.contains(&fix) {
                *counts.entry(fix).or_default() += 1;
            }
        }
        let most = counts
            .into_iter()
            .min_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        most.map(|(fix, _)| fix)
    }

    /// Returns the sum of going on against stopping, where the shown job's figures allow one.
    fn balance(&self, pattern: &Pattern, fitting: &[usize], spent: Option<f64>) -> Option<Balance> {
        let values = self.values(pattern);
        let fits = fitting.iter();
        let fits = fits.flat_map(|fix| self.mendable.alike(*fix, &self.table, &values));
        let fits: BTreeSet<usize> = fits.collect();
        let like = pattern.like.iter().filter(|at| !fits.contains(at));
        let like: Vec<&Job> = like.map(|at| self.jobs[*at]).collect();
        let fits: Vec<&Job> = fits.iter().map(|at| self.jobs[*at]).collect();
        let moment = Moment {
            like: &like,
            fits: &fits,
            spent,
            value: self.jobs[pattern.shown].effort.value,
            rate_per_hour: self.input.rate_per_hour,
        };
        balance::balance(self.shelf, &moment)
    }

    fn is_swollen(&self, job: &Job) -> bool {
        let board = self.shelf.board;
        job.findings
            .iter()
            .any(|f| scene::is_swollen_cell(f, board))
    }

    fn card(
        &self,
        pattern: &Pattern,
        spent: Option<f64>,
        points: Vec<KeyPoint>,
        why: &str,
        end: &str,
    ) -> Option<Card> {
        let job = self.jobs[pattern.shown];
        let draft = Draft {
            table: self.table.clone(),
            sides: Vec::new(),
            names: pattern.names.clone(),
            shown: pattern.shown,
            matching: Vec::new(),
        };
        let (front, held_back) = scene::faces(job, &draft, self.shelf.board);
        if front.is_empty() {
            return None;
        }
        let (k, n) = (self.n_ended(pattern), pattern.like.len());
        let like: Vec<&Job> = pattern.like.iter().map(|at| self.jobs[*at]).collect();
        let family = like
            .iter()
            .rev()
            .filter_map(|j| j.family.clone())
            .find(|f| f != UNLOCATED)
            .or_else(|| job.family.clone())
            .unwrap_or_else(|| UNLOCATED.to_owned());
        let environment = build::sorted(like.iter().flat_map(|j| &j.environment));
        let cautions = (self.input.cautions)(&Hazards {
            board: self.shelf.board,
            family: &family,
            complaint: &job.complaint,
            environment: &environment,
            acts: &[],
        });
        // Nobody is told to go on where going on can kill or is for licensed people.
        if end == GO_ON
            && (cautions.iter().any(|c| GRAVE.contains(&c.as_str()))
                || like.iter().any(|job| self.is_swollen(job)))
        {
            return None;
        }
        let kind = CardKind::Stop;
        Some(Card {
            id: ids::long_mark([kind.word(), self.shelf.id, &self.key(pattern), end]),
            kind,
            board: self.shelf.id.to_owned(),
            revs: build::sorted(like.iter().filter_map(|j| j.rev.as_ref())),
            contributing: Vec::new(),
            complaint: job.complaint.clone(),
            stem: stem(spent, job.effort.value, self.input.rate_per_hour),
            points,
            source: String::new(),
            sides: Vec::new(),
            given: false,
            tests: Vec::new(),
            suspects: Vec::new(),
            boards: Vec::new(),
            sums: Vec::new(),
            deciding: Vec::new(),
            front,
            held_back,
            answers: Vec::new(),
            share: Share::counted(k, n, 0),
            others: Vec::new(),
            bounced: like.iter().filter(|j| tier::bounced(j)).count(),
            support: Support::of_jobs(n),
            jobs: like.iter().rev().map(|j| j.job.clone()).collect(),
            last: like.iter().map(|j| j.closed_on).max(),
            why: why.to_owned(),
            cautions,
            warn: Vec::new(),
            signed: None,
            family,
        })
    }
}

/// Warns that a decision about money has no sum.
const NO_SUM: &str = "no sum: what the board is worth, or the work, is not on record, so that nothing shown \
                      says to call it";
/// Warns that a reason is no reading.
const UNSEEN: &str =
    "not shown: no reading tells that a part cannot be had; ask whether it still cannot";

fn call_it() -> KeyPoint {
    say::one_of(
        "call it: stop here",
        &[
            "stop",
            "call it",
            "give up",
            "no fix",
            "write off",
            "scrap",
            "not worth",
            "uneconomical",
            "return it",
            "hand it back",
            "refuse",
            "decline",
            "leave it",
            "hand over",
            "pass it on",
            "end it",
            "refer",
            "isolate it",
            "send it",
            "no further",
        ],
        true,
    )
}

/// Returns the cautions with that for a lithium cell, unless it is there.
fn with_lithium(cautions: &[String]) -> Vec<String> {
    let mut all: BTreeSet<String> = cautions.iter().cloned().collect();
    if !all.contains("cell-first") {
        all.insert("lithium".to_owned());
    }
    caution::together(&all)
}

/// Says that a third or more of the jobs like one to be called off were fixed: the lead decides.
fn divided(ended: usize, like: usize) -> Option<String> {
    (3 * ended < 2 * like).then(|| {
        format!(
            "divided: {} of {like} jobs like this were fixed",
            like - ended
        )
    })
}

/// Lays the sum on a card; where it disagrees with the recorded end, a lead is told.
fn with_sums(mut card: Card, balance: Option<Balance>) -> Card {
    if let Some(balance) = balance {
        card.warn
            .extend(balance::disagrees(&balance, says_go_on(&card)));
        card.sums = balance.lines;
    }
    card
}

/// Returns the question with what was known of time and money, as bands.
///
/// What the parts would cost is left out: it is on record for most repairs and for few jobs without
/// one, so that its being there would answer.
fn stem(spent: Option<f64>, value: Option<f64>, rate_per_hour: Option<f64>) -> String {
    let worth = value.zip(rate_per_hour);
    let worth = worth.and_then(|(value, rate)| worth_band(value, rate));
    worded(spent.map(time_band), worth)
}

fn worded(time: Option<&str>, worth: Option<&str>) -> String {
    let known: Vec<&str> = [time, worth].into_iter().flatten().collect();
    let mut stem = known.join("; ");
    if let Some(first) = stem.get(..1).map(str::to_uppercase) {
        stem.replace_range(..1, &first);
        stem.push_str(". ");
    }
    stem.push_str("Go on, or call it?");
    stem
}

/// Tells whether [`cards`] ask so.
pub(super) fn asks(stem: &str) -> bool {
    let times = [30.0, 60.0, 120.0, 121.0].map(|minutes| Some(time_band(minutes)));
    let worths = [1.0, 4.0, 9.0].map(|hours| worth_band(hours, 1.0));
    let times = times.into_iter().chain([None]);
    times
        .flat_map(|time| {
            worths
                .into_iter()
                .chain([None])
                .map(move |worth| (time, worth))
        })
        .any(|(time, worth)| worded(time, worth) == stem)
}

/// Returns minutes as a band.
pub fn time_band(minutes: f64) -> &'static str {
    match minutes {
        m if m <= 30.0 => "half an hour at most on the bench so far",
        m if m <= 60.0 => "up to an hour on the bench so far",
        m if m <= 120.0 => "between one and two hours on the bench so far",
        _ => "more than two hours on the bench so far",
    }
}

/// Returns the board's value in hours at the bench, as a band; none where the rate says nothing.
pub fn worth_band(value: f64, rate_per_hour: f64) -> Option<&'static str> {
    (0.0 < rate_per_hour).then(|| match value / rate_per_hour {
        hours if hours < 3.0 => "the board is worth less than three hours at the bench",
        hours if hours < 8.0 => "the board is worth three to eight hours at the bench",
        _ => "the board is worth more than a day at the bench",
    })
}

#[cfg(test)]
#[path = "stop_tests.rs"]
mod tests;
