//! Stop cards: go on, or call it?
//!
//! From jobs that ended without a fix: two of a board that look alike, or one where the work was
//! unsafe or on safety-critical gear. The answer is the recorded reason, never what was tried last.
//! Beside them stand cards of jobs that look like one without a fix and were mostly fixed, so that
//! "stop" is not always right; none of them where the work itself is the hazard. Alike means: the same
//! band on three readings of the job, or on two, those that most jobs without a fix share. Named tests are held back, since their words tell the end; so are the
//! places of signs and heat. Time and money are bands. The limits are common practice, no source.

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
use crate::domain::generate::front;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::say;
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
/// The reason that makes a card of a single job.
pub const UNSAFE: &str = "unsafe-or-safety-critical";
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
    /// Names with their values whose like jobs were seen not to be mostly fixed.
    in_vain: RefCell<HashSet<Vec<(usize, usize)>>>,
}

/// A pattern: the job that shows it, the names, the jobs that look like it.
struct Pattern {
    shown: usize,
    names: Vec<usize>,
    like: Vec<usize>,
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
    let counts = jobs.iter().map(|job| ended(job) || !job.fix().is_empty());
    let names = 0..table.names().len();
    let mut order: Vec<usize> = names
        .filter(|name| measured(table.names()[*name].kind))
        .collect();
    order.sort_by_cached_key(|name| (std::cmp::Reverse(table.n_recorded(*name)), *name));
    let yard = Yard {
        order,
        fixed: fixed(shelf, &jobs),
        complaints: complaints(&jobs),
        in_vain: RefCell::default(),
        input,
        shelf,
        counts: counts.collect(),
        jobs,
        table,
    };
    let mut cards: Vec<Card> = Vec::new();
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
            cards.extend(yard.go_on(&balance));
        }
    }
    cards
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
        }
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
            return pattern;
        }
        let alike = |at: usize| self.n_ended_for(&pattern, reason(at).unwrap_or_default());
        let like = pattern.like.iter().copied();
        let ended = like.filter(|at| ended(self.jobs[*at]));
        let most = ended.max_by_key(|at| (alike(*at), reason(*at) == own, *at));
        let shown = most.unwrap_or(pattern.shown);
        Pattern { shown, ..pattern }
    }

    fn n_ended_for(&self, pattern: &Pattern, reason: &str) -> usize {
        let like = pattern.like.iter().map(|at| self.jobs[*at]);
        like.filter(|job| ended(job) && job.no_fix_reason.as_deref() == Some(reason))
            .count()
    }

    /// Returns the pattern of a job that ended without a fix, where it makes a card.
    fn stops_at(&self, at: usize) -> Option<Pattern> {
        let job = self.jobs[at];
        if !ended(job) {
            return None;
        }
        let reason = job.no_fix_reason.as_deref()?;
        let fewest = if reason == UNSAFE { 1 } else { LIKE };
        let mut best: Option<(usize, Pattern)> = None;
        for pattern in self.choices(at).map(|names| self.pattern(at, names)) {
            let k = self.n_ended(&pattern);
            let enough = fewest <= k && pattern.like.len() <= 2 * k;
            if enough && best.as_ref().is_none_or(|(most, _)| *most < k) {
                best = Some((k, pattern));
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
        let mut fixed: Vec<(usize, usize)> = fixed.filter(|(alike, _)| 0 < *alike).collect();
        fixed.sort_unstable_by(|a, b| b.cmp(a));
        let mut rows = fixed.into_iter();
        rows.find_map(|(_, row)| {
            self.choices(row)
                .find_map(|names| self.mostly_fixed(row, names))
        })
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

    fn stop(&self, pattern: &Pattern) -> Option<Card> {
        let job = self.jobs[pattern.shown];
        let reason = job.no_fix_reason.as_deref()?;
        let call = say::one_of(
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
        );
        let spent = job.effort.minutes;
        let n = self.n_ended(pattern);
        let why = format!(
            "{n} of {} jobs like this ended without a fix; here: {}",
            pattern.like.len(),
            reason_words(reason).0
        );
        // Where like jobs ended for other reasons, the front does not tell this one.
        let alike = self.n_ended_for(pattern, reason);
        let told = n < 2 * alike;
        let why_point = KeyPoint {
            needed: told,
            ..reason_point(reason)
        };
        let mut card = self.card(pattern, spent, vec![call, why_point], &why, "stop")?;
        card.warn.extend(divided(n, pattern.like.len()));
        if !told {
            let of = "of those without a fix ended for the reason given here";
            card.warn.push(format!("reasons: {alike} of {n} {of}"));
        }
        if balance::OF_MONEY.contains(&reason) {
            Some(with_sums(card, self.balance(pattern, spent)))
        } else {
            Some(Card {
                sums: balance::not_money(reason_words(reason).0),
                ..card
            })
        }
    }

    fn go_on(&self, pattern: &Pattern) -> Option<Card> {
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
        let why = format!(
            "{} of {n} jobs like this were fixed",
            n - self.n_ended(pattern)
        );
        let spent = job.effort.minutes_to_find;
        let card = self.card(pattern, spent, vec![go, usual], &why, GO_ON)?;
        Some(with_sums(card, self.balance(pattern, spent)))
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
    fn balance(&self, pattern: &Pattern, spent: Option<f64>) -> Option<Balance> {
        let like: Vec<&Job> = pattern.like.iter().map(|at| self.jobs[*at]).collect();
        let moment = Moment {
            like: &like,
            spent,
            value: self.jobs[pattern.shown].effort.value,
            rate_per_hour: self.input.rate_per_hour,
        };
        balance::balance(self.shelf, &moment)
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
        let (front, held_back) = front::faces(job, &draft, &Mask::default(), self.shelf.board);
        let tests = job
            .findings
            .iter()
            .filter(|f| !measured(f.kind) && tier::is_before_repair(f));
        let mut held_back = held_back;
        for test in tests {
            let plain = crate::domain::job::Finding {
                raw: None,
                ..test.clone()
            };
            if !held_back.contains(&plain) {
                held_back.push(plain);
            }
        }
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
        if end == GO_ON && cautions.iter().any(|c| GRAVE.contains(&c.as_str())) {
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
            front: front.into_iter().map(|(_, finding)| finding).collect(),
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
            warn: build::small_count(n).into_iter().collect(),
            signed: None,
            family,
        })
    }
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

/// Returns the reason as a person reads it, and the words it is known by.
fn reason_words(reason: &str) -> (&'static str, &'static [&'static str]) {
    match reason {
        "value-exceeded" => (
            "the repair would cost more than the board is worth",
            &[
                "worth",
                "value",
                "cost",
                "expensive",
                "uneconomical",
                "economic",
                "price",
                "money",
            ],
        ),
        "part-unobtainable" => (
            "the part cannot be had",
            &[
                "unobtainable",
                "obsolete",
                "unavailable",
                "no part",
                "cannot get",
                "not available",
                "part",
            ],
        ),
        "processor-or-memory-dead" => (
            "the processor or its memory is dead",
            &[
                "processor",
                "cpu",
                "soc",
                "memory",
                "ram",
                "mcu",
                "controller",
            ],
        ),
        "laminate-destroyed" => (
            "the board itself is destroyed: burnt or delaminated",
            &[
                "laminate",
                "burnt",
                "charred",
                "carbon",
                "delaminated",
                "pcb",
                "board destroyed",
                "tracks",
            ],
        ),
        UNSAFE => (
            "the work is unsafe here or the gear is safety-critical: maker-approved or licensed repair only",
            &[
                "unsafe",
                "safety",
                "dangerous",
                "danger",
                "licensed",
                "qualified",
                "approved",
                "maker",
                "mains",
                "critical",
                "not allowed",
                "manufacturer",
                "safe",
                "isolate",
                "swollen",
                "bulged",
                "bulging",
                "lithium",
            ],
        ),
        _ => (
            "not located within the time that was set",
            &[
                "time",
                "time box",
                "hours",
                "not located",
                "not found",
                "could not find",
                "cannot find",
                "cannot be found",
                "no fault found",
                "unlocated",
                "too long",
            ],
        ),
    }
}

fn reason_point(reason: &str) -> KeyPoint {
    let (say, words) = reason_words(reason);
    say::one_of(say, words, true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::job::Action;
    use crate::domain::job::Effort;
    use crate::domain::job::Role;

    fn unfixed(id: &str, reason: &str, core: &str) -> Job {
        let findings = vec![
            sample::rail("VSYS", "in-band"),
            sample::rail("VCORE", core),
            sample::test("laminate", "charred through"),
        ];
        Job {
            outcome: Outcome::NoFix,
            no_fix_reason: Some(reason.to_owned()),
            actions: vec![Action {
                act: "reflow".to_owned(),
                part: "U5".to_owned(),
                role: Role::TriedNoEffect,
            }],
            effort: Effort {
                minutes: Some(150.0),
                value: Some(100.0),
                parts_cost: Some(60.0),
                ..Effort::default()
            },
            ..sample::job_with(id, "", 1, findings)
        }
    }

    fn fixed(n: u64, core: &str) -> Vec<Job> {
        let findings = vec![sample::rail("VSYS", "in-band"), sample::rail("VCORE", core)];
        (1..=n)
            .map(|at| sample::job_with(&format!("L12-{at}"), "L12", at, findings.clone()))
            .collect()
    }

    fn stops(jobs: &[Job]) -> Vec<Card> {
        let built = sample::built(jobs);
        let kind = |c: &Card| c.kind == CardKind::Stop;
        built.cards.into_iter().filter(kind).collect()
    }

    fn points(card: &Card) -> String {
        let says: Vec<&str> = card.points.iter().map(|p| p.say.as_str()).collect();
        says.join("; ")
    }

    #[test]
    fn two_like_jobs_without_a_fix_make_a_card_with_bands_and_a_reason() {
        let dead = "processor-or-memory-dead";
        let mut jobs = vec![unfixed("1", dead, "low"), unfixed("2", dead, "low")];
        jobs.extend(fixed(1, "low"));
        let cards = stops(&jobs);
        assert_eq!(cards.len(), 1);
        let card = &cards[0];
        assert_eq!((card.share.k, card.share.n), (2, 3));
        // Wilson 1927: 2 of 3 lies between 0.208 and 0.939.
        assert!((card.share.low - 0.208).abs() < 5e-4 && (card.share.high - 0.939).abs() < 5e-4);
        assert_eq!(
            card.stem,
            "More than two hours on the bench so far; the board is worth less than three hours at the \
             bench. Go on, or call it?"
        );
        let says = points(card);
        assert!(
            says.contains("call it") && says.contains("processor"),
            "{says}"
        );
        assert!(!says.contains("U5"), "never what was tried last");
        let shown: Vec<&str> = card.front.iter().map(|f| f.place.as_str()).collect();
        assert_eq!(shown, ["VCORE", "VSYS"], "the test tells the end");
        assert!(card.held_back.iter().any(|f| f.place == "laminate"));
        assert!(stops(&jobs[1..]).is_empty(), "one such job is no pattern");
    }

    #[test]
    fn a_reason_that_the_front_does_not_tell_need_not_be_named_and_a_lead_is_told() {
        let (dead, costly) = ("processor-or-memory-dead", "value-exceeded");
        let mut jobs = vec![unfixed("9", costly, "low"), unfixed("2", dead, "low")];
        jobs.extend(fixed(2, "low"));
        let cards = stops(&jobs);
        assert_eq!(cards.len(), 1);
        let needed: Vec<bool> = cards[0].points.iter().map(|p| p.needed).collect();
        assert_eq!(needed, [true, false], "one of the two ended so");
        let warned = |with: &str| cards[0].warn.iter().any(|w| w.starts_with(with));
        assert!(warned("reasons: ") && warned("divided: 2 of 4 "));
        jobs.insert(0, unfixed("0", dead, "low"));
        let cards = stops(&jobs);
        assert!(cards[0].points[1].needed, "two of three");
        assert!(
            points(&cards[0]).contains("processor"),
            "the commonest reason, though the latest job ended for another"
        );
        assert!(!cards[0].warn.iter().any(|w| w.starts_with("reasons")));
    }

    #[test]
    fn a_single_unsafe_job_is_enough_and_nobody_is_told_to_go_on_there() {
        let mut jobs = vec![unfixed("1", UNSAFE, "low")];
        assert_eq!(stops(&jobs).len(), 1);
        jobs.extend(fixed(5, "low"));
        assert!(
            stops(&jobs).is_empty(),
            "mostly fixed: neither stop nor go on"
        );
    }

    #[test]
    fn what_looked_like_a_lost_job_and_was_mostly_fixed_says_go_on() {
        let mut jobs = vec![unfixed("1", "value-exceeded", "low")];
        jobs.extend(fixed(5, "low"));
        let cards = stops(&jobs);
        assert_eq!(cards.len(), 1);
        assert_eq!((cards[0].share.k, cards[0].share.n), (1, 6));
        assert_eq!(cards[0].points[0].say, "go on");
        assert!(!cards[0].points[1].needed);
    }

    #[test]
    fn what_the_customer_wished_is_no_end_that_a_board_shows() {
        for wish in WISHES {
            let jobs = vec![unfixed("1", wish, "low"), unfixed("2", wish, "low")];
            assert!(stops(&jobs).is_empty(), "{wish}");
        }
    }

    #[test]
    fn time_and_money_are_bands() {
        assert_eq!(time_band(30.0), "half an hour at most on the bench so far");
        assert_eq!(time_band(120.5), "more than two hours on the bench so far");
        assert_eq!(worth_band(5.0, 0.0), None);
        let bands: BTreeSet<_> = [120.0, 240.0, 600.0].map(|v| worth_band(v, 60.0)).into();
        assert_eq!(bands.len(), 3);
    }
}
