//! Which circuit some jobs had, and which one a board's list gives the parts of a fix.
//!
//! Circuits themselves, their words and their hazards are not known here.

use std::collections::BTreeMap;

use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyId;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;

/// Returns the commonest circuit; ties go to the first in the alphabet.
pub(in crate::domain::generate) fn family_of(jobs: &[&Job]) -> Option<FamilyId> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for family in jobs.iter().filter_map(|j| j.family.as_deref()) {
        *counts.entry(family).or_default() += 1;
    }
    let most = counts
        .into_iter()
        .min_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    most.map(|(family, _)| family.to_owned())
}

/// Returns the circuits that the board's list gives the parts of some fixes: who names one of those is
/// right, whatever the jobs call it. One that the shop does not have, or that stands at most parts of the
/// board, says nothing.
pub(in crate::domain::generate) fn listed<'a>(
    circuits: &Circuits,
    board: Option<&'a Board>,
    fixes: &[&Fix],
) -> Vec<&'a FamilyId> {
    let Some(board) = board else {
        return Vec::new();
    };
    let at = |family: &FamilyId| {
        let parts = board.parts.values();
        parts.filter(|p| p.family.as_ref() == Some(family)).count()
    };
    let parts = fixes.iter().flat_map(|fix| fix.pairs());
    let families = parts.filter_map(|(_, part)| board.parts.get(part)?.family.as_ref());
    families
        .filter(|family| circuits.get(family).is_some())
        .filter(|family| board.parts.len() < 4 || 2 * at(family) <= board.parts.len())
        .collect()
}
