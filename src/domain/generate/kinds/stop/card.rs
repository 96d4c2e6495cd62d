//! How a pattern of lost or mended jobs becomes a card.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::caution;
use crate::domain::generate::backs::remark;
use crate::domain::generate::backs::standing;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::ends::ended;
use crate::domain::generate::coded::tier;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::kinds::stop::balance;
use crate::domain::generate::kinds::stop::balance::Balance;
use crate::domain::generate::kinds::stop::balance::Moment;
use crate::domain::generate::kinds::stop::balance::Says;
use crate::domain::generate::kinds::stop::patterns::GO_ON;
use crate::domain::generate::kinds::stop::patterns::GRAVE;
use crate::domain::generate::kinds::stop::patterns::LIKE;
use crate::domain::generate::kinds::stop::patterns::Pattern;
use crate::domain::generate::kinds::stop::patterns::Yard;
use crate::domain::generate::kinds::stop::patterns::is_called;
use crate::domain::generate::kinds::stop::patterns::says_go_on;
use crate::domain::generate::kinds::stop::question;
use crate::domain::generate::kinds::stop::reason;
use crate::domain::generate::kinds::stop::reason::UNSAFE;
use crate::domain::generate::kinds::stop::scene;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::words::phrases;
use crate::domain::generate::words::say;
use crate::domain::ids;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::UNLOCATED;
/// A card, and what it stands on.
pub(super) struct Founded {
    /// The card.
    pub(super) card: Card,
    like: Vec<usize>,
    fitting: usize,
    /// Its front tells the reason, which is asked for.
    told: bool,
    /// The lower end of the share that speaks for its answer.
    low: f64,
}
use crate::domain::wording;

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
/// front tells the reason, then whose share is surer, then of more jobs.
pub(super) fn once_each(cards: Vec<Founded>) -> Vec<Card> {
    let mut order: Vec<&Founded> = cards.iter().collect();
    order.sort_by(|a, b| {
        let fitting = a.fitting.cmp(&b.fitting);
        fitting
            .then(b.told.cmp(&a.told))
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

impl Yard<'_> {
    pub(super) fn stop(&self, pattern: &Pattern) -> Option<Founded> {
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
        let like = pattern.like.len();
        if (reason == reason::UNLOCATED_IN_TIME && !fitting.is_empty())
            || !is_called(reason, n, like)
        {
            return None;
        }
        // A front on which nothing is wrong excludes no repair that nobody looked for.
        if reason != UNSAFE && self.is_sound(pattern) {
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
        let named = self.mendable.named(self.shelf.board, fitting);
        card.warn
            .extend(named.iter().map(|n| format!("not told apart: {n}")));
        let share = Share::counted(n, pattern.like.len(), 0);
        card.warn.extend(remark::small_evidence(&share));
        if reason::is_unseen(reason, (&card.front, &card.held_back), self.shelf.board) {
            card.warn.push(format!(
                "not shown: nothing seen or measured here tells that {words}"
            ));
        } else if reason::is_a_state(reason) && !told && commonest && fitting.is_empty() {
            card.warn.push(format!(
                "held back: what tells that {words} is shown with the answer alone"
            ));
        }
        let sum = balance::OF_MONEY
            .contains(&reason)
            .then(|| self.balance(pattern, fitting, spent))
            .flatten();
        if !self.is_borne_out(pattern, fitting, reason, sum.as_ref()) {
            return None;
        }
        if balance::OF_MONEY.contains(&reason) {
            if sum.is_none() {
                card.warn.push(NO_SUM.to_owned());
            }
            let lead = sum.as_ref().and_then(|sum| sum.new_lead);
            if reason == reason::UNLOCATED_IN_TIME {
                card.warn.extend(lead.and_then(time_left));
            }
            card = with_sums(card, sum);
        } else {
            card.sums = balance::not_money(words);
            // Where the work is the hazard nobody is sent on, not even to look.
            if reason != UNSAFE && !is_grave(&card.cautions) {
                card.sums
                    .extend(named.map(|n| format!("{n}: rule it out before calling it.")));
            }
            if reason == reason::UNOBTAINABLE {
                card.warn.push(UNSEEN.to_owned());
            }
        }
        Some(Founded {
            card,
            like: pattern.like.clone(),
            fitting: fitting.len(),
            told,
            low: share.low,
        })
    }

    /// Tells whether an end is what the sum says, or without one that of most jobs which fit what a pattern
    /// shows: its like jobs, and those of the repairs that fit. What was unsafe needs no other jobs.
    fn is_borne_out(
        &self,
        pattern: &Pattern,
        fitting: &[usize],
        reason: &str,
        sum: Option<&Balance>,
    ) -> bool {
        if let Some(sum) = sum {
            return sum.says == Says::Stop;
        }
        let mut all = self.fits(pattern, fitting);
        all.extend(&pattern.like);
        reason == UNSAFE || is_called(reason, self.n_ended(pattern), all.len())
    }

    /// Returns the jobs of the repairs that fit all that a pattern shows, but for those that showed
    /// something else.
    fn fits(&self, pattern: &Pattern, fitting: &[usize]) -> BTreeSet<usize> {
        let values = self.values(pattern.shown, &pattern.names);
        let fits = fitting.iter();
        fits.flat_map(|fix| self.mendable.alike(*fix, &self.table, &values))
            .collect()
    }

    /// Tells whether nothing that a pattern shows is wrong.
    fn is_sound(&self, pattern: &Pattern) -> bool {
        let values = self.values(pattern.shown, &pattern.names);
        let sound = |(name, value): &(usize, usize)| {
            band::is_healthy(scene::apart(self.table.word(*name, *value)).0)
        };
        values.iter().all(sound)
    }

    pub(super) fn go_on(&self, pattern: &Pattern, lost: usize) -> Option<Founded> {
        let job = self.jobs[pattern.shown];
        let fixes = self.usual_fixes(pattern);
        if fixes.is_empty() {
            return None;
        }
        let n = pattern.like.len();
        let k = n - self.n_ended(pattern);
        let mut points = vec![go_ahead()];
        let mut how = String::new();
        if let [fix] = fixes.as_slice() {
            let steps = phrases::steps(fix, self.shelf.board);
            points.push(KeyPoint {
                needed: false,
                ..say::fix("what fixed it: ", &steps)
            });
        } else {
            how = as_many(&fixes);
        }
        let why = format!(
            "{k} of {n} jobs like this were fixed{how}; {}",
            self.unlike(pattern, lost)
        );
        let spent = job.effort.minutes_to_find;
        let mut card = self.card(pattern, spent, points, &why, GO_ON)?;
        let share = Share::counted(k, n, 0);
        card.warn.extend(remark::small_evidence(&share));
        let returns = fixes.iter();
        card.warn
            .extend(returns.flat_map(|fix| standing::returns(self.shelf, fix)));
        let sum = self.balance(pattern, &[], spent);
        match &sum {
            None => card.warn.push(NO_SUM_ON.to_owned()),
            Some(sum) if sum.says == Says::Even => return None,
            Some(_) => (),
        }
        Some(Founded {
            card: with_sums(card, sum),
            like: pattern.like.clone(),
            fitting: 0,
            told: true,
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
            (ours != theirs && LIKE <= n).then_some((name, theirs, ours))
        });
        match difference {
            Some((name, theirs, ours)) => format!(
                "{ended}: there {}, in these {}",
                self.read(name, theirs),
                self.read(name, ours)
            ),
            None => match self.only_there(pattern, lost) {
                Some(there) => format!("{ended}: there {there}, which none of these recorded"),
                None => format!("{ended}{}", in_vain(job)),
            },
        }
    }

    /// Returns a fault that a lost job recorded and no fixed job of a pattern looked for.
    fn only_there(&self, pattern: &Pattern, lost: usize) -> Option<String> {
        let names = 0..self.table.names().len();
        let like = || pattern.like.iter().filter(|at| **at != lost);
        let mut found = names.filter_map(|name| {
            let value = self.table.value(name, lost)?;
            let word = scene::apart(self.table.word(name, value)).0;
            let alone = like().all(|at| self.table.value(name, *at).is_none());
            (alone && !band::is_healthy(word)).then(|| self.read(name, value))
        });
        found.next()
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
        let read = phrases::read_as(&self.table.names()[name], word);
        places.map_or_else(|| read.clone(), |places| format!("{read} at {places}"))
    }

    /// Returns the fix that most like jobs ended in, or several that as many did; none that is unsafe.
    fn usual_fixes(&self, pattern: &Pattern) -> Vec<Fix> {
        let barred = self.shelf.barred();
        let mut counts: BTreeMap<Fix, usize> = BTreeMap::new();
        for at in &pattern.like {
            let fix = self.jobs[*at].fix();
            if !fix.is_empty() && !barred.contains(&fix) {
                *counts.entry(fix).or_default() += 1;
            }
        }
        let most = counts.values().max().copied();
        counts.retain(|_, n| Some(*n) == most);
        counts.into_keys().collect()
    }

    /// Returns the sum of going on against stopping, where the shown job's figures allow one.
    fn balance(&self, pattern: &Pattern, fitting: &[usize], spent: Option<f64>) -> Option<Balance> {
        let fits = self.fits(pattern, fitting);
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
        let environment = phrases::sorted(like.iter().flat_map(|j| &j.environment));
        let cautions = (self.input.cautions)(&Hazards {
            board: self.shelf.board,
            family: &family,
            complaint: &job.complaint,
            environment: &environment,
            acts: &[],
        });
        // Nobody is told to go on where going on can kill or is for licensed people.
        if end == GO_ON && (is_grave(&cautions) || like.iter().any(|job| self.is_swollen(job))) {
            return None;
        }
        let kind = CardKind::Stop;
        Some(Card {
            id: ids::long_mark([
                kind.word(),
                self.shelf.id,
                &self.key(pattern.shown, &pattern.names),
                end,
            ]),
            board: self.shelf.id.to_owned(),
            revs: phrases::sorted(like.iter().filter_map(|j| j.rev.as_ref())),
            complaint: job.complaint.clone(),
            stem: question::stem(job, spent, self.input.rate_per_hour),
            points,
            front,
            held_back,
            share: Share::counted(k, n, 0),
            bounced: like.iter().filter(|j| tier::bounced(j)).count(),
            support: Support::of_jobs(n),
            jobs: like.iter().rev().map(|j| j.job.clone()).collect(),
            last: like.iter().map(|j| j.closed_on).max(),
            why: why.to_owned(),
            cautions,
            family,
            ..Card::blank(kind)
        })
    }
}

/// Warns that a decision about money has no sum.
const NO_SUM: &str = "no sum: what the board is worth, or the work, is not on record, so that nothing shown \
                      says to call it";
/// The same of a card that says to go on.
const NO_SUM_ON: &str = "no sum: what the board is worth, or the work, is not on record, so that nothing \
                         shown says that going on pays";

/// Says that no fix ended more jobs than these.
fn as_many(fixes: &[Fix]) -> String {
    let named = fixes.iter().take(NAMED).map(phrases::short_fix);
    let named: Vec<String> = named.collect();
    let more = match fixes.len().saturating_sub(NAMED) {
        0 => String::new(),
        n => format!(" and by {n} more repairs"),
    };
    format!(", as many by {}{more}", named.join(" as by "))
}

/// Equals that are named, at most.
const NAMED: usize = 3;

/// Tells whether going on can kill or is for licensed people.
fn is_grave(cautions: &[String]) -> bool {
    cautions.iter().any(|c| GRAVE.contains(&c.as_str()))
}

/// Says that a board was called for the time alone though the sum leaves time for a new lead.
fn time_left(hours: f64) -> Option<String> {
    (NEW_LEAD <= hours).then(|| {
        format!(
            "not shown: the time that was set is not on the front, and the sum leaves {} for a lead that \
             nobody had",
            balance::band(hours)
        )
    })
}

/// Hours at the bench in which a new lead can be followed (common practice, no source).
const NEW_LEAD: f64 = 1.0;
/// Warns that a reason is no reading.
const UNSEEN: &str =
    "not shown: no reading tells that a part cannot be had; ask whether it still cannot";

/// Says what did not help a lost job that nothing else tells apart.
fn in_vain(job: &Job) -> String {
    let tried = question::tried(job).into_iter();
    let tried: Vec<String> = tried
        .map(|(act, part)| wording::done_to(&act, &part))
        .collect();
    if tried.is_empty() {
        return "; nothing on record tells it apart".to_owned();
    }
    format!(": there {} did not help", tried.join(" and "))
}

fn go_ahead() -> KeyPoint {
    say::one_of(
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
    )
}

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
