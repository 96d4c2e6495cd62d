//! What changed between a deck and the same deck built anew, card by card, with one line why.
//!
//! A card stands in one group, the gravest that fits. Both decks are as built, without the leads'
//! edits: what the archive says changed, whatever a lead has written over it.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::corrections;
use crate::domain::generate::coded::band::Variant;
use crate::domain::generate::coded::tier;
use crate::domain::generate::input::Skipped;
use crate::domain::generate::kinds::fix::REFUTED;
use crate::domain::generate::kinds::stop;
use crate::domain::generate::weigh::shelf;
use crate::domain::job::BounceCause;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::text::clean;
use crate::domain::wording;

/// What became of a card; in the order in which a person reads them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// Its answer is no longer right for its pattern, or newer jobs speak against it.
    Contradicted,
    /// It accepts something else as well, or names another circuit, and the old answer stays right.
    Corrected,
    /// No longer made.
    Retired,
    /// It went into another card.
    Merged,
    /// Some of its jobs stand for another card now.
    Split,
    /// Less speaks for it.
    Weakened,
    /// More speaks for it.
    Strengthened,
    /// It was not there before.
    New,
    /// It asks otherwise, since another job is shown, or tells something else beside its answer.
    Reshown,
}

impl What {
    /// Every kind of change.
    pub const ALL: [Self; 9] = [
        Self::Contradicted,
        Self::Corrected,
        Self::Retired,
        Self::Merged,
        Self::Split,
        Self::Weakened,
        Self::Strengthened,
        Self::New,
        Self::Reshown,
    ];

    /// Returns the word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Contradicted => "contradicted",
            Self::Corrected => "corrected",
            Self::Retired => "retired",
            Self::Merged => "merged",
            Self::Split => "split",
            Self::Weakened => "weakened",
            Self::Strengthened => "strengthened",
            Self::New => "new",
            Self::Reshown => "reshown",
        }
    }
}

/// What became of one card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// What.
    pub what: What,
    /// Id of the card: the one before, or a new one's.
    pub card: String,
    /// Board id.
    pub board: String,
    /// What the card is about: `petrel-p4: replace U31 (standby)`.
    pub name: String,
    /// Why, on one line.
    pub why: String,
    /// What it accepted and what it accepts now, where that differs.
    pub answer: Option<(String, String)>,
    /// Fixes that lost their standing.
    pub discredited: Vec<Fix>,
    /// Of a card that is no longer made, the id of the one that most of its jobs stand for now.
    pub successor: Option<String>,
}

/// Two decks and what they were made from.
#[derive(Clone, Copy, Debug)]
pub struct Builds<'a> {
    /// Cards of the deck before.
    pub before: &'a [Card],
    /// Cards of the deck built anew.
    pub after: &'a [Card],
    /// Which cards leads merged and split.
    pub lineage: &'a Lineage,
    /// The jobs the new deck was made from; those of other boards than the cards' may be left out.
    pub jobs: &'a [Job],
    /// Numbers of those left out that a card before cites.
    pub elsewhere: &'a BTreeSet<&'a str>,
    /// What got no card.
    pub skipped: &'a [Skipped],
}

/// Returns what a card is about, on one line.
pub fn name(card: &Card) -> String {
    let board = match card.board.as_str() {
        "" if card.is_across() => "several boards: ".to_owned(),
        "" => String::new(),
        board => format!("{}: ", clean(board)),
    };
    match card.kind {
        CardKind::Fix => format!("{board}{}", corrections::accepted_text(card)),
        CardKind::Expect => {
            let fixes = card.answers.iter().map(|a| a.fix().key());
            let fixes: Vec<String> = fixes.map(|key| clean(&key)).collect();
            let asked = corrections::accepted_text(card);
            format!("{board}expect, {}: {asked}", fixes.join(" or "))
        }
        // Many of these are asked alike: what they show tells them apart.
        CardKind::Next if card.is_across() => format!(
            "{board}{} ({})",
            wording::pattern_text(&card.front),
            clean(&card.family)
        ),
        CardKind::Stop => format!(
            "{board}stop, {}; {}",
            corrections::accepted_text(card),
            wording::pattern_text(&card.front)
        ),
        kind => format!(
            "{board}{}, {}",
            kind.word(),
            corrections::accepted_text(card)
        ),
    }
}

/// Returns what changed, by [`What`], then board, name and id.
pub fn diff(builds: &Builds<'_>) -> Vec<Change> {
    let scene = Scene::of(builds);
    let mut targets: BTreeSet<&str> = BTreeSet::new();
    let mut changes = Vec::new();
    for old in builds.before {
        let change = match scene.after.get(old.id.as_str()) {
            Some(new) if *new == old => None,
            Some(new) => scene.stayed(old, new, &mut targets),
            None => Some(scene.gone(old, &mut targets)),
        };
        changes.extend(change);
    }
    for new in builds.after {
        let known = scene.before.contains_key(new.id.as_str());
        if !known && !targets.contains(new.id.as_str()) {
            changes.push(change(What::New, new, speaks_for(new)));
        }
    }
    sort(&mut changes);
    changes
}

/// Puts changes in the order in which a person reads them.
pub fn sort(changes: &mut [Change]) {
    changes.sort_by(|a, b| {
        let (left, right) = ((a.what, &a.name, &a.card), (b.what, &b.name, &b.card));
        left.cmp(&right)
    });
}

fn change(what: What, card: &Card, why: String) -> Change {
    Change {
        what,
        card: card.id.clone(),
        board: card.board.clone(),
        name: name(card),
        why,
        answer: None,
        discredited: Vec::new(),
        successor: None,
    }
}

fn speaks_for(card: &Card) -> String {
    match (card.kind, card.share.n) {
        (_, 0) => String::new(),
        (CardKind::Stop, _) => wording::ended_text(&card.share),
        (CardKind::Contrast, _) => wording::separated_text(&card.share),
        _ => wording::share_text(&card.share),
    }
}

/// Returns a few texts in a row, and how many more there are.
fn few(texts: &[&str]) -> String {
    let shown: Vec<&str> = texts.iter().take(4).copied().collect();
    let more = texts.len() - shown.len();
    let rest = if more == 0 {
        String::new()
    } else {
        format!(" and {more} more")
    };
    clean(&format!("{}{rest}", shown.join(", ")))
}

/// Both decks by id, and the jobs' numbers.
struct Scene<'a> {
    builds: &'a Builds<'a>,
    before: BTreeMap<&'a str, &'a Card>,
    after: BTreeMap<&'a str, &'a Card>,
    /// Fix cards of the new deck by the jobs they cite.
    citing: BTreeMap<&'a str, Vec<&'a Card>>,
    jobs: BTreeSet<&'a str>,
}

impl<'a> Scene<'a> {
    fn of(builds: &'a Builds<'a>) -> Self {
        let by_id = |cards: &'a [Card]| -> BTreeMap<&'a str, &'a Card> {
            cards.iter().map(|card| (card.id.as_str(), card)).collect()
        };
        let mut citing: BTreeMap<&str, Vec<&Card>> = BTreeMap::new();
        for card in builds.after.iter().filter(|c| c.kind == CardKind::Fix) {
            for job in &card.jobs {
                citing.entry(job).or_default().push(card);
            }
        }
        Self {
            builds,
            before: by_id(builds.before),
            after: by_id(builds.after),
            citing,
            jobs: builds.jobs.iter().map(|j| j.job.as_str()).collect(),
        }
    }

    /// Says what became of a card that is in the new deck as well.
    fn stayed(&self, old: &Card, new: &Card, targets: &mut BTreeSet<&'a str>) -> Option<Change> {
        let differs = old.accepted_mark() != new.accepted_mark();
        let (mut was, mut now) = (
            corrections::accepted_text(old),
            corrections::accepted_text(new),
        );
        if was == now {
            (was, now) = (with_extras(old), with_extras(new));
        }
        let answer = differs.then_some((was, now));
        let found = self.against(old, new).map(|(why, discredited)| Change {
            discredited,
            ..change(What::Contradicted, new, why)
        });
        let found = found
            .or_else(|| {
                let why = answer
                    .as_ref()
                    .map(|(was, now)| format!("was {was}, now {now}"))?;
                Some(change(What::Corrected, new, why))
            })
            .or_else(|| self.divided(old, new, targets))
            .or_else(|| measured(old, new));
        let reshown = || {
            let why = "the same answer, asked with other findings".to_owned();
            (old.asked_mark() != new.asked_mark()).then(|| change(What::Reshown, new, why))
        };
        let reshown = || reshown().or_else(|| told_otherwise(old, new));
        Some(Change {
            answer,
            ..found.or_else(reshown)?
        })
    }

    /// Returns why a card that stayed is contradicted, and the fixes that lost their standing.
    fn against(&self, old: &Card, new: &Card) -> Option<(String, Vec<Fix>)> {
        let (then, now) = (old.accepted(), new.accepted());
        let dropped: Vec<&str> = then
            .iter()
            .filter(|answer| !now.contains(answer))
            .map(|answer| without_mark(old, answer))
            // A point that need no longer be named, or has to be now, is right still; one that never
            // had to be contradicts nothing where it is gone.
            .filter(|said| !new.points.iter().any(|point| point.say == *said))
            .filter(|said| !old.points.iter().any(|p| !p.needed && p.say == *said))
            .collect();
        if !dropped.is_empty() {
            let accepted: Vec<Fix> = new.answers.iter().map(Answer::fix).collect();
            let fixes = old.answers.iter().map(Answer::fix);
            let lost = fixes.filter(|fix| !accepted.contains(fix)).collect();
            let now = corrections::accepted_text(new);
            return Some((
                format!("no longer right: {}; now {now}", few(&dropped)),
                lost,
            ));
        }
        if old.family != new.family && !new.contributing.contains(&old.family) {
            let why = format!(
                "the circuit was {}, now {}",
                clean(&old.family),
                clean(&new.family)
            );
            return Some((why, Vec::new()));
        }
        if let Some((returned, fixes)) = self.returned(old, new) {
            let why = format!("came back, the diagnosis was wrong: {}", few(&returned));
            return Some((why, fixes));
        }
        let leads = |card: &Card| {
            card.others
                .first()
                .filter(|other| card.share.k < other.k)
                .cloned()
        };
        if let (None, Some(rival)) = (leads(old), leads(new)) {
            let steps: Vec<String> = rival.steps.iter().map(wording::step_text).collect();
            let why = format!(
                "outnumbered: {} holds {} of the {} jobs like this, this fix {}",
                steps.join(" and "),
                rival.k,
                new.share.n,
                new.share.k
            );
            return Some((why, own_fix(old)));
        }
        None
    }

    /// Returns the jobs of a fix card that came back for diagnosis since the deck before was built,
    /// and their fixes.
    fn returned(&self, old: &'a Card, new: &Card) -> Option<(Vec<&'a str>, Vec<Fix>)> {
        if old.kind != CardKind::Fix || new.bounced <= old.bounced {
            return None;
        }
        self.wrongly_diagnosed(old, false)
    }

    /// Returns jobs of a card's fixes whose diagnosis was wrong, with the fixes: those that the card cites
    /// or that are newer, or `ever`.
    fn wrongly_diagnosed(&self, old: &'a Card, ever: bool) -> Option<(Vec<&'a str>, Vec<Fix>)> {
        let fixes: Vec<Fix> = old.answers.iter().map(Answer::fix).collect();
        let cited: BTreeSet<&str> = old.jobs.iter().map(String::as_str).collect();
        let jobs: Vec<&Job> = self
            .builds
            .jobs
            .iter()
            .filter(|job| tier::bounced(job) && job.bounce_cause == Some(BounceCause::Diagnosis))
            .filter(|job| job.board == old.board && fixes.contains(&job.fix()))
            .filter(|job| {
                let newer = old.last.is_none_or(|last| last <= job.closed_on);
                ever || newer || cited.contains(job.job.as_str())
            })
            .collect();
        let lost = fixes
            .into_iter()
            .filter(|fix| jobs.iter().any(|job| job.fix() == *fix))
            .collect();
        let numbers: Vec<&str> = jobs.iter().map(|job| job.job.as_str()).collect();
        (!numbers.is_empty()).then_some((numbers, lost))
    }

    /// Says which jobs of a card left it for a card that is new.
    fn divided(&self, old: &Card, new: &Card, targets: &mut BTreeSet<&'a str>) -> Option<Change> {
        if old.kind != CardKind::Fix {
            return None;
        }
        let left = old.jobs.iter().filter(|job| !new.jobs.contains(job));
        let mut moved: BTreeMap<&'a str, (&'a Card, Vec<&str>)> = BTreeMap::new();
        for job in left {
            for card in self.citing.get(job.as_str()).into_iter().flatten() {
                if !self.before.contains_key(card.id.as_str()) && shares_answer(old, card) {
                    let place = moved.entry(&card.id).or_insert((card, Vec::new()));
                    place.1.push(job);
                }
            }
        }
        if moved.is_empty() {
            return None;
        }
        targets.extend(moved.keys().copied());
        Some(change(What::Split, new, moves(&moved)))
    }

    /// Says what became of a card that is not in the new deck.
    fn gone(&self, old: &'a Card, targets: &mut BTreeSet<&'a str>) -> Change {
        if self.builds.lineage.moves(&old.id) {
            return self.sent_elsewhere(old, targets);
        }
        // A fix that is no answer any more may have come back before the deck before was built.
        let refuted = self.reason(old).filter(|why| why.starts_with(REFUTED));
        if old.kind == CardKind::Fix
            && let Some((returned, discredited)) = self.wrongly_diagnosed(old, refuted.is_some())
        {
            let why = match refuted {
                Some(why) => format!("no longer made: {why}"),
                None => format!(
                    "no longer made; came back, the diagnosis was wrong: {}",
                    few(&returned)
                ),
            };
            return Change {
                discredited,
                ..change(What::Contradicted, old, why)
            };
        }
        let mut moved: BTreeMap<&'a str, (&'a Card, Vec<&str>)> = BTreeMap::new();
        if old.kind == CardKind::Fix {
            for job in &old.jobs {
                for card in self.citing.get(job.as_str()).into_iter().flatten() {
                    let place = moved.entry(&card.id).or_insert((card, Vec::new()));
                    place.1.push(job);
                }
            }
        }
        let (alike, other): (Vec<_>, Vec<_>) = moved
            .iter()
            .partition(|(_, (card, _))| shares_answer(old, card));
        if alike.is_empty() {
            if let Some((_, (card, jobs))) = other.first() {
                let now = corrections::accepted_text(card);
                let why = format!("no longer made; now {now}: {}", few(jobs));
                return Change {
                    discredited: own_fix(old),
                    successor: most(other.iter().map(|(_, place)| *place)),
                    ..change(What::Contradicted, old, why)
                };
            }
            return change(What::Retired, old, self.why_gone(old));
        }
        moved.retain(|_, (card, _)| shares_answer(old, card));
        targets.extend(moved.keys().copied());
        let what = if moved.len() == 1 {
            What::Merged
        } else {
            What::Split
        };
        Change {
            successor: most(moved.values()),
            ..change(what, old, moves(&moved))
        }
    }

    /// Says where leads sent a card.
    fn sent_elsewhere(&self, old: &Card, targets: &mut BTreeSet<&'a str>) -> Change {
        let mut into: BTreeMap<&'a str, (&'a Card, Vec<&str>)> = BTreeMap::new();
        for job in &old.jobs {
            for card in self.citing.get(job.as_str()).into_iter().flatten() {
                if shares_answer(old, card) {
                    let place = into.entry(&card.id).or_insert((card, Vec::new()));
                    place.1.push(job);
                }
            }
        }
        let now = self.builds.lineage.current(&old.id);
        if into.len() < 2 {
            if let Some((id, _)) = self.after.get_key_value(now) {
                targets.insert(id);
            }
            let jobs: Vec<&str> = old.jobs.iter().map(String::as_str).collect();
            let why = match self.after.get(now) {
                Some(card) => format!("a lead merged it: {} now with {}", few(&jobs), name(card)),
                None => format!("a lead merged it into {}, which has no card", clean(now)),
            };
            return change(What::Merged, old, why);
        }
        targets.extend(into.keys().copied());
        change(
            What::Split,
            old,
            format!("a lead split it: {}", moves(&into)),
        )
    }

    /// Returns why the build made no fix card any more where there was one.
    fn reason(&self, old: &Card) -> Option<String> {
        let fix = old.answers.first().map(Answer::fix);
        let fix = fix.filter(|_| old.kind == CardKind::Fix)?;
        let variants = [Variant::Short, Variant::Open, Variant::Other];
        let variant = variants
            .into_iter()
            .find(|v| shelf::group_id(&old.board, &fix, *v) == old.id)?;
        let what = format!("{}: {} ({})", old.board, fix.key(), variant.word());
        let skipped = self.builds.skipped.iter().find(|s| s.what == what)?;
        Some(clean(&skipped.why))
    }

    /// Returns why a card is no longer made, as the build gave it.
    fn why_gone(&self, old: &Card) -> String {
        let lost: Vec<&str> = old
            .jobs
            .iter()
            .map(String::as_str)
            .filter(|job| !self.jobs.contains(job) && !self.builds.elsewhere.contains(job))
            .collect();
        match self.reason(old) {
            Some(reason) => reason,
            None if !lost.is_empty() => format!("its jobs no longer count: {}", few(&lost)),
            None => "its jobs no longer make such a card".to_owned(),
        }
    }
}

/// Says that a card names other points on its back that nobody needs to name.
fn told_otherwise(old: &Card, new: &Card) -> Option<Change> {
    let extras = |card: &Card| -> BTreeSet<String> {
        let extras = card.points.iter().filter(|point| !point.needed);
        extras.map(|point| point.say.clone()).collect()
    };
    let why = || {
        let (was, now) = (with_extras(old), with_extras(new));
        format!("the same answer, told otherwise: was {was}, now {now}")
    };
    (extras(old) != extras(new)).then(|| change(What::Reshown, new, why()))
}

/// Returns what a card accepts with the points that need not be named.
fn with_extras(card: &Card) -> String {
    let extras = card.points.iter().filter(|point| !point.needed);
    let extras: Vec<String> = extras.map(|point| clean(&point.say)).collect();
    let accepted = corrections::accepted_text(card);
    if extras.is_empty() {
        format!("{accepted} alone")
    } else {
        format!("{accepted} with {} beside", extras.join(", "))
    }
}

/// Returns a line of what a card accepts as a person reads it: that a point must be named is not said.
fn without_mark<'t>(card: &Card, line: &'t str) -> &'t str {
    let point = card.points.iter().map(|p| format!("{}:", p.needed));
    let mark = point.into_iter().find(|mark| line.starts_with(mark));
    mark.map_or(line, |mark| &line[mark.len()..])
}

fn own_fix(card: &Card) -> Vec<Fix> {
    let fix = card.answers.first().map(Answer::fix);
    fix.filter(|_| card.kind == CardKind::Fix)
        .into_iter()
        .collect()
}

/// Tells whether the card's own answer is right on the other as well.
fn shares_answer(card: &Card, other: &Card) -> bool {
    let own = card.answers.first().map(Answer::fix);
    own.is_some_and(|own| other.answers.iter().any(|a| a.fix() == own))
}

/// Returns the card that most jobs went to; of equals the first by id.
fn most<'a>(places: impl Iterator<Item = &'a (&'a Card, Vec<&'a str>)>) -> Option<String> {
    let best = places.min_by(|a, b| {
        let (left, right) = ((b.1.len(), &a.0.id), (a.1.len(), &b.0.id));
        left.cmp(&right)
    });
    best.map(|(card, _)| card.id.clone())
}

fn moves(moved: &BTreeMap<&str, (&Card, Vec<&str>)>) -> String {
    let each: Vec<String> = moved
        .values()
        .map(|(card, jobs)| {
            let id: String = card.id.chars().take(8).collect();
            format!(
                "{} now with {} (card {id})",
                few(jobs),
                corrections::accepted_text(card)
            )
        })
        .collect();
    each.join("; ")
}

/// Says whether more or less speaks for a card than before.
fn measured(old: &Card, new: &Card) -> Option<Change> {
    let counts = |card: &Card| (card.share.k, card.share.n, card.share.proved);
    let told = |card: &Card| match speaks_for(card).as_str() {
        "" => card.support.word().to_owned(),
        text => format!("{text} ({})", card.support.word()),
    };
    if (old.support, counts(old)) == (new.support, counts(new)) {
        return None;
    }
    let standing = |card: &Card| {
        // The jobs that a card to go on counts are those that ended without a fix.
        let low = if stop::patterns::says_go_on(card) {
            1.0 - card.share.high
        } else {
            card.share.low
        };
        (card.support, low, card.share.proved)
    };
    let what = if standing(old) < standing(new) {
        What::Strengthened
    } else {
        What::Weakened
    };
    let why = format!("{} before, now {}", told(old), told(new));
    Some(change(what, new, why))
}

#[cfg(test)]
#[path = "diff_tests.rs"]
mod tests;
