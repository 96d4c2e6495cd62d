//! What a lead should look at before trusting a card.
//!
//! Everything here is counted or copied from jobs; nothing is reasoned or invented. What else would look like
//! the front is warned of in [`crate::domain::generate::fronts::rival`].

use std::collections::BTreeMap;

use crate::domain::card::Share;
use crate::domain::generate::backs::runner_up::RunnerUp;
use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::account::Account;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::units::count;

/// Returns what a lead should look at before trusting the card; each begins with its short name.
pub fn warnings(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    share: &Share,
    others: &[(Fix, usize)],
    (accounts, runner_up): (&[Account], Option<&RunnerUp>),
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
            phrases::short_fix(fix),
            matching(n),
            share.k
        ));
    }
    if accounts.first().is_none_or(|a| a.weight <= 0.0) {
        warn.push("weak: no finding on the front speaks for this fix".to_owned());
    }
    if let Some(alike) = runner_up.filter(|r| !r.told_apart) {
        warn.push(format!("look-alike: {}", alike.line));
    }
    warn.extend(elsewhere(shelf, group, draft));
    warn.extend(small_evidence(share));
    warn.extend(of_another_way(group, draft, share));
    warn.extend(of_returns(shelf, group));
    let unsafe_acts = draft.matching.iter().filter(|at| shelf.cases[**at].barred);
    let unsafe_acts = unsafe_acts.count();
    if unsafe_acts > 0 {
        warn.push(format!(
            "unsafe: {} ended in an act that is never an answer",
            phrases::jobs_text(unsafe_acts)
        ));
    }
    warn.extend(of_families(shelf, group));
    warn.extend(of_revisions(shelf, group));
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

/// Says that most jobs counted for a card failed in another way, for which there is a card.
fn of_another_way(group: &Group, draft: &Draft, share: &Share) -> Option<String> {
    let own = |at: &&usize| group.evidence.binary_search(at).is_ok();
    let own = draft.matching.iter().filter(own).count();
    (2 * own < share.k).then(|| {
        format!(
            "another way: {own} of the {} with this fix failed in the way of this card; the rest have \
             a card of their own",
            phrases::jobs_text(share.k)
        )
    })
}

fn matching(n: usize) -> String {
    format!("{n} matching {}", if n == 1 { "job" } else { "jobs" })
}

/// Returns the part at which a sign of the front was seen though nothing was done there.
fn elsewhere(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Option<String> {
    let board = shelf.board?;
    let parts: Vec<&String> = group
        .fixes()
        .flat_map(Fix::pairs)
        .map(|(_, part)| part)
        .collect();
    let job = shelf.cases[draft.shown].job;
    let seen = job.findings.iter().filter(|f| {
        f.kind == FindingKind::Visual
            && tier::is_before_repair(f)
            && f.code.as_deref() != Some("none-seen")
            && draft
                .table
                .name_of(f)
                .is_some_and(|n| draft.names.contains(&n))
    });
    let places: Vec<&str> = seen.map(|f| f.place.trim()).collect();
    let first = places.first()?;
    let another = |place: &&str| {
        board.parts.contains_key(*place) && !parts.iter().any(|part| part.as_str() == *place)
    };
    places.iter().all(another).then(|| {
        format!("elsewhere: the sign on the front was seen at {first}, where nothing was mended")
    })
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
            phrases::jobs_text(unexplained)
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

#[cfg(test)]
#[path = "remark_tests.rs"]
mod tests;
