//! The jobs with a fix of one board, grouped by the cards that they speak for.
//!
//! Jobs are grouped by canonical fix and variant, unless leads merged or split cards. Which finding names tell a
//! group from the others, and which of its jobs a card shows, is asked in
//! [`crate::domain::generate::weigh::evidence`].

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::CardKind;
use crate::domain::desk::divide;
use crate::domain::edit::Divide;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::band::Variant;
use crate::domain::generate::coded::bands::Bands;
use crate::domain::generate::coded::ends::Ends;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Readings;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::tier;
use crate::domain::generate::coded::tier::Against;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::evidence::OWN_NAMES_FROM;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::ids;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::lineage::Place;

/// One job with a fix, and what it is worth.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    /// The job.
    pub job: &'a Job,
    /// What fixed it.
    pub fix: Fix,
    /// How the part failed.
    pub variant: Variant,
    /// Its worth.
    pub tier: Tier,
    /// A reading proved it.
    pub proved: bool,
    /// The fix is unsafe there: never an answer.
    pub barred: bool,
    /// More jobs with the fix came back for a wrong diagnosis than speak for it: no answer any more.
    pub refuted: bool,
}

impl Case<'_> {
    /// Tells whether an answer may stand on it.
    pub fn speaks(&self) -> bool {
        self.tier.is_evidence() && !self.barred && !self.refuted
    }
}

/// The jobs of one card: those of one fix and variant, unless leads merged or split cards; as indices
/// of cases.
#[derive(Clone, Debug)]
pub struct Group {
    /// Id of the card.
    pub id: String,
    /// The fix; of merged cards, that of the card the others went into.
    pub fix: Fix,
    /// How the part failed.
    pub variant: Variant,
    /// Fixes of the cards that were merged into it, other than its own.
    pub joined: BTreeSet<Fix>,
    /// What its card was split by, and the values that its jobs have of it.
    pub part: Option<(Divide, BTreeSet<String>)>,
    /// Jobs that count, oldest first.
    pub members: Vec<usize>,
    /// Those of them that an answer may stand on.
    pub evidence: Vec<usize>,
    /// Jobs that came back for a wrong diagnosis, oldest first; they are no members.
    pub returned: Vec<usize>,
}

impl Group {
    /// Tells whether its card answers with this fix, or has been merged with one that did.
    pub fn has_fix(&self, fix: &Fix) -> bool {
        self.fix == *fix || self.joined.contains(fix)
    }

    /// Returns its own fix and those merged into it.
    pub fn fixes(&self) -> impl Iterator<Item = &Fix> {
        std::iter::once(&self.fix).chain(&self.joined)
    }

    /// Tells whether its card is one of several that a card was split into, and `job` is not of it.
    pub(super) fn leaves_out(&self, job: &Job) -> bool {
        self.part.as_ref().is_some_and(|(by, values)| {
            divide::value(job, *by).is_none_or(|value| !values.contains(&value))
        })
    }
}

/// The jobs with a fix of one board, oldest first.
#[derive(Clone, Debug)]
pub struct Shelf<'a> {
    /// Board id.
    pub id: &'a str,
    /// What the shop knows about the board.
    pub board: Option<&'a Board>,
    /// The jobs.
    pub cases: Vec<Case<'a>>,
    /// The groups, by fix and variant.
    pub groups: Vec<Group>,
    /// Indices of cases whose card was split by something that they do not say.
    pub unplaced: Vec<usize>,
    /// Jobs of the board that ended without a fix.
    pub ends: Ends<'a>,
    bands: Bands,
    pub(super) readings: Readings,
    pub(super) ranking: Vec<Name>,
}

impl<'a> Shelf<'a> {
    /// Bands and groups the jobs of one board; `cases` are sorted, oldest first.
    pub fn new(id: &'a str, board: Option<&'a Board>, cases: Vec<Case<'a>>) -> Self {
        Self::led(id, board, cases, &Lineage::default())
    }

    /// The same, grouped by the cards that leads merged and split.
    pub fn led(
        id: &'a str,
        board: Option<&'a Board>,
        mut cases: Vec<Case<'a>>,
        lineage: &Lineage,
    ) -> Self {
        let jobs: Vec<&Job> = cases.iter().map(|c| c.job).collect();
        let bands = Bands::of(&jobs, board);
        let readings = Readings::banded(&jobs, board, &bands);
        let (mut groups, unplaced) = grouped(id, &cases, lineage);
        for group in &mut groups {
            refute(&mut cases, group);
        }
        let mut shelf = Self {
            id,
            board,
            cases,
            groups,
            unplaced,
            ends: Ends::default(),
            bands,
            readings,
            ranking: Vec::new(),
        };
        let small = |g: &Group| !g.evidence.is_empty() && g.members.len() < OWN_NAMES_FROM;
        if shelf.groups.iter().any(small) {
            shelf.ranking = shelf.rank();
        }
        shelf
    }

    /// Puts the jobs of the board that ended without a fix beside the others, in the same bands.
    #[must_use]
    pub fn with_ends(mut self, jobs: &[&'a Job]) -> Self {
        self.ends = Ends::of(jobs, self.board, &self.bands);
        self
    }

    /// Returns the jobs coded under a mask.
    pub fn table(&self, mask: &Mask) -> Table {
        self.readings.masked(mask)
    }

    /// Returns of each name of the table without a mask whether this one holds it back.
    pub fn hidden(&self, mask: &Mask) -> Vec<bool> {
        self.readings.hidden(mask)
    }

    /// Returns the side of every case in the question "this group's fix, or another?".
    pub fn sides(&self, group: &Group) -> Vec<Side> {
        let side =
            |(at, case): (usize, &Case<'_>)| match (case.tier.counts(), group.has_fix(&case.fix)) {
                (true, false) => Side::Rest,
                (true, true) if group.members.binary_search(&at).is_ok() => Side::Fix,
                (false, _) | (true, true) => Side::Apart,
            };
        self.cases.iter().enumerate().map(side).collect()
    }

    /// Tells whether another mask would give the same draft.
    pub fn looks_the_same(&self, draft: &Draft, mask: &Mask) -> bool {
        self.readings.looks_the_same(&draft.table, mask)
    }

    /// Returns the other fixes of the matching jobs, most frequent first; unsafe ones are left out.
    pub fn others(&self, group: &Group, matching: &[usize]) -> Vec<(Fix, usize)> {
        let mut counts: BTreeMap<&Fix, usize> = BTreeMap::new();
        for case in matching.iter().map(|at| &self.cases[*at]) {
            if !group.has_fix(&case.fix) && !case.barred {
                *counts.entry(&case.fix).or_default() += 1;
            }
        }
        let mut others: Vec<(Fix, usize)> = counts
            .into_iter()
            .map(|(fix, k)| (fix.clone(), k))
            .collect();
        others.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        others
    }

    /// Tells whether one revision of the board has the parts of all these fixes, as far as the shop says.
    pub fn share_a_revision(&self, fixes: &[&Fix]) -> bool {
        let Some(board) = self.board else {
            return true;
        };
        let parts = fixes.iter().flat_map(|fix| fix.pairs());
        let mut limited = parts
            .filter_map(|(_, part)| board.parts.get(part))
            .map(|part| &part.revs)
            .filter(|revs| !revs.is_empty());
        let Some(first) = limited.next() else {
            return true;
        };
        let rest: Vec<&Vec<String>> = limited.collect();
        first
            .iter()
            .any(|rev| rest.iter().all(|revs| revs.contains(rev)))
    }

    /// Returns the cases whose fix no revision of the board shares with that of a group.
    pub fn off_revision(&self, group: &Group) -> BTreeSet<usize> {
        let limited = |(_, part): &(String, String)| {
            let part = self.board.and_then(|b| b.parts.get(part));
            part.is_some_and(|p| !p.revs.is_empty())
        };
        if !group.fix.pairs().iter().any(limited) {
            return BTreeSet::new();
        }
        let far = self
            .groups
            .iter()
            .filter(|g| !self.share_a_revision(&[&group.fix, &g.fix]));
        far.flat_map(|g| g.members.iter().copied()).collect()
    }

    /// Returns the fixes that were unsafe in any job of the board.
    pub fn barred(&self) -> BTreeSet<&Fix> {
        let barred = self.cases.iter().filter(|c| c.barred);
        barred.map(|c| &c.fix).collect()
    }
}

/// Groups the cases of a board by the card they stand for; the second list holds those that stand for
/// none, because their card was split by something they do not say.
fn grouped(id: &str, cases: &[Case<'_>], lineage: &Lineage) -> (Vec<Group>, Vec<usize>) {
    let mut by_fix: BTreeMap<(&Fix, Variant), Vec<usize>> = BTreeMap::new();
    for (at, case) in cases.iter().enumerate() {
        by_fix
            .entry((&case.fix, case.variant))
            .or_default()
            .push(at);
    }
    let mut groups: Vec<Group> = Vec::new();
    // Merges and splits on the way to a group, the fewest; by its place in `groups`.
    let mut ways: Vec<usize> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    let mut unplaced = Vec::new();
    for ((fix, variant), members) in by_fix {
        let own = group_id(id, fix, variant);
        let moved = lineage.moves(&own);
        for at in members {
            let place = if moved {
                let value = |by| divide::value(cases[at].job, by);
                lineage.place(&own, &value)
            } else {
                let card = own.clone();
                Some(Place {
                    card,
                    steps: 0,
                    part: None,
                })
            };
            let Some(place) = place else {
                unplaced.push(at);
                continue;
            };
            let number = *places.entry(place.card.clone()).or_insert_with(|| {
                groups.push(Group {
                    id: place.card.clone(),
                    fix: fix.clone(),
                    variant,
                    joined: BTreeSet::new(),
                    part: place.part.as_ref().map(|(by, _)| (*by, BTreeSet::new())),
                    members: Vec::new(),
                    evidence: Vec::new(),
                    returned: Vec::new(),
                });
                ways.push(place.steps);
                groups.len() - 1
            });
            let group = &mut groups[number];
            group.joined.insert(fix.clone());
            if place.steps < ways[number] {
                (group.fix, group.variant) = (fix.clone(), variant);
                ways[number] = place.steps;
            }
            group.part = match (group.part.take(), place.part) {
                (Some((by, mut values)), Some((other, value))) if by == other => {
                    values.insert(value);
                    Some((by, values))
                }
                _ => None,
            };
            if cases[at].tier.counts() {
                group.members.push(at);
            }
            if cases[at].speaks() {
                group.evidence.push(at);
            }
            if cases[at].tier == Tier::X(Against::Diagnosis) {
                group.returned.push(at);
            }
        }
    }
    for group in &mut groups {
        group.joined.remove(&group.fix);
        group.members.sort_unstable();
        group.evidence.sort_unstable();
        group.returned.sort_unstable();
    }
    groups.sort_by(|a, b| {
        (&a.fix, a.variant, &a.part, &a.id).cmp(&(&b.fix, b.variant, &b.part, &b.id))
    });
    unplaced.sort_unstable();
    (groups, unplaced)
}

/// Returns the id of the card of one fix and variant of a board.
pub fn group_id(board: &str, fix: &Fix, variant: Variant) -> String {
    ids::long_mark([CardKind::Fix.word(), board, &fix.key(), variant.word()])
}

/// Reads what a job is worth; none for a job without a fix.
pub fn case<'a>(job: &'a Job, board: Option<&Board>, tier: Tier, barred: bool) -> Option<Case<'a>> {
    if tier == Tier::NoFix || job.fix().is_empty() {
        return None;
    }
    Some(Case {
        job,
        fix: job.fix(),
        variant: band::variant(job, board),
        tier,
        proved: tier::is_proved(job),
        barred,
        refuted: false,
    })
}

/// Takes the fixes of a group that came back for a wrong diagnosis in more of its jobs than speak for them
/// out of what an answer may stand on: what was proved wrong more often than right is no answer.
fn refute(cases: &mut [Case<'_>], group: &mut Group) {
    let jobs = |rows: &[usize], fix: &Fix| rows.iter().filter(|at| cases[**at].fix == *fix).count();
    let wrong = |fix: &&Fix| jobs(&group.evidence, fix) < jobs(&group.returned, fix);
    let refuted: Vec<Fix> = group.fixes().filter(wrong).cloned().collect();
    group.evidence.retain(|at| {
        let case = &mut cases[*at];
        case.refuted = refuted.contains(&case.fix);
        !case.refuted
    });
}
