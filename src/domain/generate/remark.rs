//! Why a card's answer is so, in the archive's own figures, and what a lead should look at.
//!
//! Everything here is counted or copied from jobs; nothing is reasoned or invented.

use std::collections::BTreeMap;

use crate::domain::card::Share;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::pattern::Side;
use crate::domain::generate::pattern::Tally;
use crate::domain::generate::table::Name;
use crate::domain::generate::tier;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::domain::units::count;
use crate::domain::wording;

/// How much one shown finding speaks for the fix.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// Which name of the table.
    pub name: usize,
    /// Weight of evidence, natural logarithm.
    pub weight: f64,
    /// Jobs with the value: of the fix, of the rest.
    pub seen: [usize; 2],
    /// Jobs that recorded the name: of the fix, of the rest.
    pub recorded: [usize; 2],
}

/// Weighs the shown findings, the strongest for the fix first.
pub fn weights(draft: &Draft) -> Vec<Weight> {
    let mut weights: Vec<Weight> = draft
        .names
        .iter()
        .filter_map(|name| {
            let value = draft.table.value(*name, draft.shown)?;
            let tally = Tally::of(&draft.table, *name, &draft.sides);
            Some(Weight {
                name: *name,
                weight: tally.weight(value, Side::Apart),
                seen: tally.seen(value),
                recorded: tally.recorded(),
            })
        })
        .collect();
    weights.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.name.cmp(&b.name)));
    weights
}

/// Returns a name as a person would say it: `3V3_SB (standby)`, `draw`, `SDA in diode mode`.
pub fn spoken(name: &Name) -> String {
    let place = if name.held || name.place.is_empty() {
        "a place held back"
    } else {
        name.place.as_str()
    };
    let mut text = match name.kind {
        FindingKind::Current if name.place.is_empty() && !name.held => "draw".to_owned(),
        FindingKind::Current => format!("draw at {place}"),
        FindingKind::Rail | FindingKind::Signal | FindingKind::Other => place.to_owned(),
        FindingKind::Resistance => format!("{place} to ground"),
        FindingKind::Diode => format!("{place} in diode mode"),
        FindingKind::Heat => "heat".to_owned(),
        FindingKind::Visual => "signs".to_owned(),
    };
    let when = match name.when {
        When::BeforeAction => None,
        When::BeforeCleaning => Some("before cleaning"),
        When::AfterCleaning => Some("after cleaning"),
        When::AfterAction => Some("after the repair"),
    };
    let beside: Vec<&str> = name.state.as_deref().into_iter().chain(when).collect();
    if !beside.is_empty() {
        text = format!("{text} ({})", beside.join(", "));
    }
    text
}

/// Returns the reason: the strongest finding with its counts, what was tried in vain, the proof.
pub fn why(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> String {
    let weights = weights(draft);
    let mut lines = Vec::new();
    match weights.first().filter(|w| w.weight > 0.0) {
        Some(first) => {
            let name = spoken(&draft.table.names()[first.name]);
            let value = draft.table.value(first.name, draft.shown);
            let word = wording::phrase(value.map_or("", |v| draft.table.word(first.name, v)));
            let ([with, without], [of, rest]) = (first.seen, first.recorded);
            lines.push(format!(
                "{name} {word}: {with} of {of} with this fix, {without} of {rest} without"
            ));
        }
        None => lines.push("no single finding here speaks for it".to_owned()),
    }
    let evidence = || group.evidence.iter().map(|at| shelf.cases[*at].job);
    let in_vain = evidence().flat_map(|job| {
        let mut tried: Vec<String> = job
            .actions
            .iter()
            .filter(|a| a.role == Role::TriedNoEffect)
            .map(|a| wording::done_to(&a.act, &a.part).trim().to_owned())
            .collect();
        tried.sort_unstable();
        tried.dedup();
        tried
    });
    if let Some((tried, n)) = commonest(in_vain) {
        lines.push(format!("tried in vain: {tried} ({})", jobs(n)));
    }
    let proofs = evidence()
        .filter_map(|job| job.proof.as_deref())
        .map(|p| p.trim().to_owned())
        .filter(|p| !p.is_empty());
    if let Some((proof, n)) = commonest(proofs) {
        lines.push(format!("proof: {proof} ({})", jobs(n)));
    }
    lines.join("; ")
}

/// Returns the most frequent text and its count; ties go to the first in the alphabet.
pub fn commonest(texts: impl Iterator<Item = String>) -> Option<(String, usize)> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for text in texts {
        *counts.entry(text).or_default() += 1;
    }
    counts
        .into_iter()
        .min_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)))
}

fn jobs(n: usize) -> String {
    if n == 1 {
        "1 job".to_owned()
    } else {
        format!("{n} jobs")
    }
}

/// Returns what a lead should look at before trusting the card; each begins with its short name.
pub fn warnings(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    share: &Share,
    others: &[(Fix, usize)],
) -> Vec<String> {
    let mut warn = Vec::new();
    let n = share.n;
    let fifth = |k: usize| count(k) >= 0.2 * count(n);
    let rivals = others.iter().filter(|(_, k)| fifth(*k)).count();
    let all = rivals + usize::from(fifth(share.k));
    if all > 1 {
        warn.push(format!(
            "ambiguous: {all} of the fixes recorded here hold 20 % or more of the {}",
            matching(n)
        ));
    }
    if let Some((fix, k)) = others.first().filter(|(_, k)| *k > share.k) {
        warn.push(format!(
            "outnumbered: {} holds {k} of the {}, this fix {}",
            fix.key(),
            matching(n),
            share.k
        ));
    }
    warn.extend(small_evidence(share));
    warn.extend(of_returns(shelf, group));
    let unsafe_acts = draft.matching.iter().filter(|at| shelf.cases[**at].barred);
    let unsafe_acts = unsafe_acts.count();
    if unsafe_acts > 0 {
        warn.push(format!(
            "unsafe: {} ended in an act that is never an answer",
            jobs(unsafe_acts)
        ));
    }
    warn.extend(of_families(shelf, group));
    warn.extend(of_revisions(shelf, group));
    warn
}

fn matching(n: usize) -> String {
    format!("{n} matching {}", if n == 1 { "job" } else { "jobs" })
}

fn of_returns(shelf: &Shelf<'_>, group: &Group) -> Vec<String> {
    let own = || shelf.cases.iter().filter(|c| group.has_fix(&c.fix));
    let returned = own().filter(|c| tier::bounced(c.job)).count();
    let unexplained = own().filter(|c| tier::bounced_unexplained(c.job)).count();
    let all = own().count();
    let mut warn = Vec::new();
    if returned > 0 {
        warn.push(format!(
            "bounced: {returned} of {all} with this fix came back"
        ));
    }
    if unexplained > 0 {
        warn.push(format!(
            "doubtful: {} came back and nobody wrote why",
            jobs(unexplained)
        ));
    }
    if 3 * returned >= all && 2 * own().filter(|c| c.proved).count() <= all {
        warn.push("folklore: seldom proved and often back".to_owned());
    }
    warn
}

fn of_families(shelf: &Shelf<'_>, group: &Group) -> Option<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for at in &group.evidence {
        if let Some(family) = &shelf.cases[*at].job.family {
            *counts.entry(family).or_default() += 1;
        }
    }
    let list: Vec<String> = counts.iter().map(|(f, n)| format!("{f} {n}")).collect();
    (counts.len() > 1).then(|| format!("circuit disputed: {}", list.join(", ")))
}

/// A designator means something only together with the revision.
fn of_revisions(shelf: &Shelf<'_>, group: &Group) -> Vec<String> {
    let Some(board) = shelf.board else {
        return Vec::new();
    };
    let mut warn = Vec::new();
    for (_, designator) in group.fixes().flat_map(Fix::pairs) {
        let Some(part) = board.parts.get(designator).filter(|p| !p.revs.is_empty()) else {
            continue;
        };
        let wrong = group.evidence.iter().find_map(|at| {
            let job = shelf.cases[*at].job;
            let rev = job.rev.as_ref().filter(|r| !part.revs.contains(r))?;
            Some((rev, &job.job))
        });
        if let Some((rev, job)) = wrong {
            warn.push(format!(
                "revision: {designator} is not on revision {rev}, but {job} says so"
            ));
        }
        let newest = board.revisions.last().filter(|r| !part.revs.contains(r));
        if let Some(newest) = newest {
            warn.push(format!("stale: revision {newest} has no {designator}"));
        }
    }
    warn
}
/// Returns the warning of an answer that rests on little; none where it rests on enough.
pub fn small_evidence(share: &Share) -> Option<String> {
    (share.n < 3 || share.low < 0.5).then(|| {
        format!(
            "small evidence: {} of {}, 95 % interval {:.0} to {:.0} %",
            share.k,
            share.n,
            100.0 * share.low,
            100.0 * share.high
        )
    })
}
