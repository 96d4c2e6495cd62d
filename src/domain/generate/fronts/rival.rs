//! What is done about what else would look like the front of a card: see [`crate::domain::generate::fronts::look`].
//!
//! [`widened`] chooses further findings of the shown job that exclude what is open, and that make a board
//! of a line; [`warnings`] says what stays open, and why: because the archive knows no more, or because
//! what decides is held back. Limits: common practice, no source.

use std::collections::BTreeMap;

use crate::domain::card::Share;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::fronts::look::Look;
use crate::domain::generate::fronts::look::Rival;
use crate::domain::generate::fronts::look::Sight;
use crate::domain::generate::fronts::look::said;
use crate::domain::generate::weigh::account;
use crate::domain::generate::weigh::account::TELLS;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Role;
use crate::domain::units::count;

/// A front is not narrowed below so many jobs of its fix for the sake of one more finding.
const KEPT: usize = 4;
/// Findings that a front has at least, where the shown job recorded as many.
const A_BOARD: usize = 3;
/// Dirt is shown where so many jobs of the fix saw it beside the rest of the front.
const TWO: usize = 2;
/// So many rivals are named in a warning.
const NAMED: usize = 2;

/// Returns a draft with further findings of its shown job: what excludes rivals that are open, what is
/// wrong and tells, and what makes a board of a single line.
///
/// None is taken that hardly a job of the fix shows together with the others.
pub fn widened(shelf: &Shelf<'_>, group: &Group, draft: Draft, mask: &Mask) -> Draft {
    let mut draft = without_heat(shelf, group, draft);
    let mut look = Look::at(shelf, group, &draft, mask, &[]);
    let take = |look: &mut Look<'_>, draft: &mut Draft, order: Vec<usize>| {
        let [own, _] = shelf.support(group, draft);
        for at in order {
            let Some(name) = look.sights[at].own else {
                continue;
            };
            let names = draft.names.iter().copied().chain([name]).collect();
            let wider = shelf.with_names(group, draft, names);
            let [kept, proved] = shelf.support(group, &wider);
            if own.min(KEPT) <= kept && 0 < proved {
                *draft = wider;
                look.sights[at].on_front = true;
                return true;
            }
        }
        false
    };
    while draft.names.len() < pattern::MOST {
        let open = look.open();
        let telling = best(&look, |at| {
            let excluded = look.excluded(at, &open);
            (0 < excluded).then(|| count(excluded))
        });
        if !take(&mut look, &mut draft, telling) {
            break;
        }
    }
    while draft.names.len() < pattern::MOST {
        let wrong = best(&look, |at| {
            let sight = &look.sights[at];
            let least = if look.has_fault() { TELLS } else { 0.0 };
            let tells = sight.is_wrong() && sight.is_usual() && least < sight.weight;
            tells.then_some(sight.weight)
        });
        if !take(&mut look, &mut draft, wrong) {
            break;
        }
    }
    while draft.names.len() < A_BOARD {
        let usual = best(&look, |at| {
            let sight = &look.sights[at];
            sight.is_usual().then(|| count(sight.with[0]))
        });
        if !take(&mut look, &mut draft, usual) {
            break;
        }
    }
    with_dirt(shelf, group, draft, &look)
}

/// Shows the dirt that the shown job saw, without its place, where the answer is to clean and the front has
/// no sign: without it nothing there leads to cleaning.
fn with_dirt(shelf: &Shelf<'_>, group: &Group, draft: Draft, look: &Look<'_>) -> Draft {
    let cleans = group
        .fixes()
        .all(|fix| fix.pairs().iter().all(|(act, _)| act == "clean"));
    let sign = |s: &&Sight| s.name.kind == FindingKind::Visual && s.is_wrong();
    if !cleans
        || pattern::MOST <= draft.names.len()
        || look.sights.iter().filter(sign).any(|s| s.on_front)
    {
        return draft;
    }
    let Some(name) = look.sights.iter().filter(sign).find_map(|s| s.own) else {
        return draft;
    };
    let names = draft.names.iter().copied().chain([name]).collect();
    let wider = shelf.with_names(group, &draft, names);
    let [kept, proved] = shelf.support(group, &wider);
    if TWO <= kept && 0 < proved {
        wider
    } else {
        draft
    }
}

/// Leaves heat out where the front rests on more jobs without it: warm somewhere tells no part.
fn without_heat(shelf: &Shelf<'_>, group: &Group, draft: Draft) -> Draft {
    let heat = |name: &usize| draft.table.names()[*name].kind == FindingKind::Heat;
    let cool: Vec<usize> = draft.names.iter().copied().filter(|n| !heat(n)).collect();
    if cool.is_empty() || cool.len() == draft.names.len() {
        return draft;
    }
    let low = |draft: &Draft| {
        let [own, _] = shelf.support(group, draft);
        Share::counted(own, draft.matching.len(), 0).low
    };
    let bare = shelf.with_names(group, &draft, cool);
    if low(&draft) < low(&bare) {
        bare
    } else {
        draft
    }
}

/// Returns up to `most` names that the shown job recorded: those that stand whole and say what is wrong
/// first, then what speaks most for the answer.
pub fn telling(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    mask: &Mask,
    most: usize,
) -> Vec<usize> {
    let look = Look::at(shelf, group, draft, mask, &[]);
    let mut order: Vec<&Sight> = look.sights.iter().collect();
    let rank = |s: &Sight| (s.is_whole(), s.is_wrong() && TELLS <= s.weight);
    order.sort_by(|a, b| rank(b).cmp(&rank(a)).then(b.weight.total_cmp(&a.weight)));
    let mut names: Vec<usize> = Vec::new();
    for name in order.iter().filter_map(|s| s.own) {
        if names.len() < most && !names.contains(&name) {
            names.push(name);
        }
    }
    names.sort_unstable();
    names
}

/// Returns the findings that could be added, the best first by `worth`; ties go to the weightier.
fn best(look: &Look<'_>, worth: impl Fn(usize) -> Option<f64>) -> Vec<usize> {
    let free = |at: &usize| {
        let sight = &look.sights[*at];
        sight.is_whole() && !sight.on_front
    };
    let all = (0..look.sights.len()).filter(free);
    let mut order: Vec<(f64, usize)> = all.filter_map(|at| Some((worth(at)?, at))).collect();
    let weight = |at: usize| look.sights[at].weight;
    order.sort_by(|a, b| {
        (b.0.total_cmp(&a.0))
            .then(weight(b.1).total_cmp(&weight(a.1)))
            .then(a.1.cmp(&b.1))
    });
    order.into_iter().map(|(_, at)| at).collect()
}

/// Returns what a lead should know of a front: what else would look like it, what decides and is held
/// back, and where it is a line and no board.
pub fn warnings(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    mask: &Mask,
    right: &[Fix],
) -> Vec<String> {
    let look = Look::at(shelf, group, draft, mask, right);
    let mut warn = Vec::new();
    let mut alike: Vec<&Rival<'_>> = Vec::new();
    let mut held: Vec<(String, &Rival<'_>)> = Vec::new();
    for rival in look.open().into_iter().map(|at| &look.rivals[at]) {
        match look.held_back(rival) {
            Some(what) => held.push((what, rival)),
            None => alike.push(rival),
        }
    }
    if let Some((what, _)) = held.first() {
        let rivals: Vec<&Rival<'_>> = held.iter().map(|(_, rival)| *rival).collect();
        warn.push(format!(
            "vague: what decides, {what}, is held back, and without it {}",
            fit(&rivals, "what is shown")
        ));
    } else if let Some(what) = weightier(shelf, draft, group, &look) {
        warn.push(format!("vague: what tells most, {what}, is held back"));
    } else {
        warn.extend(unparted(shelf, draft, &look));
    }
    if !alike.is_empty() {
        warn.push(format!(
            "not told apart: {}",
            fit(&alike, "all that is shown")
        ));
    }
    warn.extend(bare(&look, draft));
    warn.extend(also_done(shelf, group, &look));
    warn
}

/// Warns of a part at a rail of the front that was mended too in jobs of the answer, and alone in none.
fn also_done(shelf: &Shelf<'_>, group: &Group, look: &Look<'_>) -> Option<String> {
    let board = shelf.board?;
    let shown = look.sights.iter().filter(|s| s.on_front && s.is_fault());
    let places: Vec<&String> = shown.map(|s| &s.name.place).collect();
    let fixes = || shelf.groups.iter().filter(|g| !g.evidence.is_empty());
    let is_known = |part: &String| {
        let mut pairs = fixes().flat_map(|g| g.fix.pairs());
        pairs.any(|(_, known)| known == part)
    };
    let mut parts: BTreeMap<&String, usize> = BTreeMap::new();
    for action in group
        .evidence
        .iter()
        .flat_map(|at| &shelf.cases[*at].job.actions)
    {
        let rail = board.parts.get(&action.part).and_then(|p| p.rail.as_ref());
        let there = rail.is_some_and(|rail| places.contains(&rail));
        if action.role == Role::AlsoDone && there && !is_known(&action.part) {
            *parts.entry(&action.part).or_default() += 1;
        }
    }
    let (part, n) = parts.into_iter().max_by_key(|(_, n)| *n)?;
    let rail = board.parts[part].rail.as_deref().unwrap_or_default();
    Some(format!(
        "also done: {part}, on {rail} as well, was mended too in {n} of {}, and no job mended it alone",
        phrases::jobs_text(group.evidence.len())
    ))
}

/// Says which test is held back where most other jobs that read what leads read it so as well, whatever they
/// ended in, and no sign is shown.
fn unparted(shelf: &Shelf<'_>, draft: &Draft, look: &Look<'_>) -> Option<String> {
    let lead = &look.sights[look.lead()?];
    let held = look.sights.iter().find(|s| s.is_held_test())?;
    let sign = |s: &Sight| s.on_front && s.name.kind == FindingKind::Visual && s.is_wrong();
    let name = lead.own.filter(|_| lead.is_wrong())?;
    let value = draft.table.value(name, draft.shown)?;
    let [mut alike, mut read] = lead.without;
    for (row, same) in shelf.ends.read(&draft.table, name, value) {
        if !shelf.ends.says_what(row) {
            alike += usize::from(same);
            read += 1;
        }
    }
    let most = 0 < alike && read <= 2 * alike;
    (most && !look.sights.iter().any(sign)).then(|| {
        format!(
            "vague: {} is held back, and {} was read in {alike} of {read} without this fix too",
            said(held),
            said(lead)
        )
    })
}

/// Says what tells most and is held back, where the rest of the front tells little.
fn weightier(shelf: &Shelf<'_>, draft: &Draft, group: &Group, look: &Look<'_>) -> Option<String> {
    let most = &look.sights[look.heaviest_held()?];
    let lead = look.lead().map(|at| &look.sights[at]);
    let little = lead.is_none_or(|lead| lead.weight < most.weight && !decides(shelf, draft, group));
    // Where nothing else is wrong, even a faint sign is what a person goes by.
    let whole = |s: &&Sight| s.on_front && s.is_whole();
    let only = !look.sights.iter().filter(whole).any(Sight::is_wrong);
    let tells = little && TELLS <= most.weight || only && most.is_wrong() && 0.0 < most.weight;
    tells.then(|| said(most))
}

/// Tells whether most jobs that show what stands whole on the front and is wrong ended in the fix.
fn decides(shelf: &Shelf<'_>, draft: &Draft, group: &Group) -> bool {
    let wrong = |name: &&usize| {
        let named = &draft.table.names()[**name];
        let value = draft.table.value(**name, draft.shown);
        !named.held && value.is_some_and(|v| account::is_wrong(named, draft.table.word(**name, v)))
    };
    let names: Vec<usize> = draft.names.iter().filter(wrong).copied().collect();
    if names.is_empty() {
        return false;
    }
    let like = draft.table.like(draft.shown, &names);
    let counts = like.iter().filter(|at| shelf.cases[**at].tier.counts());
    let [own, all] = counts.fold([0, 0], |[own, all], at| {
        let fix = &shelf.cases[*at].fix;
        [own + usize::from(group.has_fix(fix)), all + 1]
    });
    3 * all <= 4 * own
}

/// Warns of a front that is one line, or on which nothing is wrong.
fn bare(look: &Look<'_>, draft: &Draft) -> Option<String> {
    let front: Vec<&Sight> = look.sights.iter().filter(|s| s.on_front).collect();
    if draft.names.len() == 1 {
        let what = front.first().map(|s| said(s))?;
        return Some(format!(
            "one reading alone: the front shows {what} and no more"
        ));
    }
    let draws = |s: &&&Sight| s.name.kind == FindingKind::Current;
    // What is as it should be and was read otherwise by all others points as well as a fault does.
    let as_it_should_be = |s: &Sight| band::is_healthy(&s.word) && !s.is_alone();
    let mild = |s: &&Sight| as_it_should_be(s) || (draws(&s) && s.weight < TELLS);
    front.iter().copied().all(|s| mild(&s)).then(|| {
        let odd = front.iter().filter(draws).any(|s| s.is_wrong());
        let beside = if odd { "beside the draw " } else { "" };
        let n = front.len() - usize::from(odd);
        format!("by exclusion: {beside}all {n} findings on the front are as they should be")
    })
}

/// Returns which rivals fit: `replace X (3 jobs) and processor dead (2 jobs) fit all that is shown`.
fn fit(rivals: &[&Rival<'_>], what: &str) -> String {
    let mut sums: Vec<(&str, usize)> = Vec::new();
    for rival in rivals {
        match sums.iter_mut().find(|(known, _)| *known == rival.what) {
            Some((_, n)) => *n += rival.jobs.len(),
            None => sums.push((&rival.what, rival.jobs.len())),
        }
    }
    sums.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let more = sums.len().saturating_sub(NAMED);
    let named = sums.iter().take(NAMED);
    let mut named: Vec<String> = named
        .map(|(what, n)| format!("{what} ({n} jobs)"))
        .collect();
    if 0 < more {
        named.push(format!("{more} more"));
    }
    let fits = if named.len() == 1 { "fits" } else { "fit" };
    let named = match named.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => named.concat(),
    };
    format!("{named} {fits} {what}")
}

#[cfg(test)]
#[path = "rival_tests.rs"]
mod tests;
