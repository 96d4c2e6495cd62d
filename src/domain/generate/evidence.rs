//! Which job a card shows, and which jobs are like it.
//!
//! Jobs are grouped by canonical fix and variant. The job shown is the most typical one: it records
//! as many of the chosen names as any evidence job does, its bands are the commonest, and among
//! equals it is the latest. A job matches when it lies in the same band on every name shown; one
//! that did not record a name does not match.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::CardKind;
use crate::domain::card::Share;
use crate::domain::desk::divide;
use crate::domain::edit::Divide;
use crate::domain::generate::band;
use crate::domain::generate::band::Variant;
use crate::domain::generate::bands::Bands;
use crate::domain::generate::ends::Ends;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::pattern;
use crate::domain::generate::pattern::Side;
use crate::domain::generate::pattern::Tally;
use crate::domain::generate::table::Name;
use crate::domain::generate::table::Readings;
use crate::domain::generate::table::Table;
use crate::domain::generate::table::UNRECORDED;
use crate::domain::generate::tier;
use crate::domain::generate::tier::Against;
use crate::domain::generate::tier::Tier;
use crate::domain::ids;
use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::lineage::Place;
use crate::domain::units::count;

/// A fix with fewer jobs uses its board's best names.
pub const OWN_NAMES_FROM: usize = 3;
/// The most findings of a pattern made of the board's best names.
pub const MOST_OF_BOARD: usize = 3;
/// How many names a board's ranking holds.
const RANKED: usize = 8;
/// A pattern is narrowed no further once so few jobs of the fix show all of it.
const SHOWN_BY: usize = 3;
/// Readings of the fix alone that make a front where nothing tells it from the others.
const READ_ALONE: usize = 2;
/// A reading is of the fix alone where others took it in no more than one job for so many of its own.
const HARDLY_READ: usize = 10;

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
    fn leaves_out(&self, job: &Job) -> bool {
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
    readings: Readings,
    ranking: Vec<Name>,
}

/// A chosen pattern, the job that shows it, and the jobs like that one.
#[derive(Clone, Debug)]
pub struct Draft {
    /// The board's jobs under the card's mask.
    pub table: Table,
    /// Side of each case.
    pub sides: Vec<Side>,
    /// The chosen names that the shown job recorded, in the order of the table.
    pub names: Vec<usize>,
    /// The shown case.
    pub shown: usize,
    /// A and B cases in the same band on every name.
    pub matching: Vec<usize>,
}

/// The job that shows a pattern.
#[derive(Clone, Debug)]
struct Shown {
    case: usize,
    /// The names of the pattern that it recorded.
    names: Vec<usize>,
    /// A and B cases in the same band on every name.
    matching: Vec<usize>,
    /// Those of them that ended in the fix.
    own: usize,
}

impl Shown {
    /// Lower limit of the share of the fix.
    fn low(&self) -> f64 {
        Share::counted(self.own, self.matching.len(), 0).low
    }
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

    /// Ranks the board's names by the leave-one-out loss summed over its fixes of two jobs or more.
    ///
    /// Without any such fix the names that divide the jobs most evenly come first.
    fn rank(&self) -> Vec<Name> {
        let table = self.readings.masked(&Mask::default());
        let all: Vec<usize> = (0..table.names().len()).collect();
        let pairs = self.groups.iter().filter(|g| g.members.len() >= 2);
        let questions: Vec<Vec<Side>> = pairs.map(|g| self.sides(g)).collect();
        let best = if questions.is_empty() {
            by_spread(&table, all)
        } else {
            pattern::forward(&table, &questions, &all, RANKED, f64::NEG_INFINITY).names
        };
        best.into_iter()
            .map(|name| table.names()[name].clone())
            .collect()
    }

    /// Chooses the names of a group's pattern under its mask, from what one of the `jobs` recorded.
    fn choose(&self, group: &Group, table: &Table, sides: &[Side], jobs: &[usize]) -> Vec<usize> {
        let recorded = |name: &usize| {
            let column = table.column(*name);
            jobs.iter().any(|case| column[*case] != UNRECORDED)
        };
        let candidates: Vec<usize> = (0..table.names().len()).filter(recorded).collect();
        if group.members.len() >= OWN_NAMES_FROM {
            let question = [sides.to_vec()];
            let (most, worth) = (pattern::MOST, pattern::WORTH);
            let choice = pattern::forward(table, &question, &candidates, most, worth);
            let mut names = choice.names;
            if choice.prior_loss - choice.loss < worth * choice.prior_loss {
                // Nothing tells it from the others: what was read wrong with it alone comes before a
                // finding that is there only because a front needs one.
                let alone = read_alone(table, &candidates, group, sides);
                names.retain(|name| !alone.contains(name));
                names.splice(0..0, alone);
            }
            return names;
        }
        let mut names: Vec<usize> = Vec::new();
        for name in self.ranking.iter().filter_map(|n| table.masked_name(n)) {
            if recorded(&name) && !names.contains(&name) {
                names.push(name);
            }
        }
        // A rare fix may have recorded few of the best names: the board's next best fill the pattern.
        let rest: Vec<usize> = candidates
            .into_iter()
            .filter(|n| !names.contains(n))
            .collect();
        names.extend(by_spread(table, rest));
        // What all its jobs recorded comes first, so that one of them can show the whole pattern.
        names.sort_by_key(|name| {
            let column = table.column(*name);
            group
                .evidence
                .iter()
                .any(|case| column[*case] == UNRECORDED)
        });
        names.truncate(MOST_OF_BOARD);
        names
    }

    /// Chooses the pattern of a group, and the job that shows it; none when nothing may be shown.
    pub fn draft(&self, group: &Group, mask: &Mask) -> Option<Draft> {
        let table = self.readings.masked(mask);
        let sides = self.sides(group);
        let proved = group.evidence.iter().copied();
        let proved: Vec<usize> = proved.filter(|at| self.cases[*at].proved).collect();
        // Where no proved job shows anything of the best pattern, one that they do show is chosen.
        let shown = [&group.evidence, &proved].into_iter().find_map(|jobs| {
            let mut chosen = self.choose(group, &table, &sides, jobs);
            if let Some((Divide::Draw, _)) = &group.part {
                // What the parts differ in has to be seen.
                chosen.extend(draw_name(&table, &group.evidence).filter(|n| !chosen.contains(n)));
            }
            let shown = self.shown(group, &table, &chosen)?;
            Some(self.supported(group, &table, chosen, shown))
        });
        let Shown {
            case: shown,
            names,
            matching,
            ..
        } = shown?;
        Some(Draft {
            table,
            sides,
            names,
            shown,
            matching,
        })
    }

    /// Returns the job that shows a pattern, and the jobs like it; none where no job shows any of it
    /// and one like it was proved.
    fn shown(&self, group: &Group, table: &Table, chosen: &[usize]) -> Option<Shown> {
        let mut order = typical(table, chosen, &group.evidence);
        let proves = |case: usize| self.cases[case].proved;
        let own =
            |case: &usize| group.has_fix(&self.cases[*case].fix) && self.cases[*case].speaks();
        let look = |case: usize| {
            let mut names = chosen.to_vec();
            names.retain(|name| table.value(*name, case).is_some());
            names.sort_unstable();
            let mut matching = self.matching(table, &names, case);
            matching.retain(|at| !group.leaves_out(self.cases[*at].job));
            let own = matching.iter().filter(|case| own(case)).count();
            Shown {
                case,
                names,
                matching,
                own,
            }
        };
        // The most typical job, unless nobody proved the fix in jobs like it.
        let mut shown = look(*order.first()?);
        let like = shown.matching.iter();
        if !like.clone().any(|case| own(case) && proves(*case)) {
            order.retain(|case| proves(*case));
            shown = look(*order.first()?);
        }
        (!shown.names.is_empty()).then_some(shown)
    }

    /// Leaves names out of a pattern that hardly a job of the fix shows whole, one by one: that which
    /// makes the lower limit of its share rise most, as long as one does.
    ///
    /// What two jobs read alike by chance, such as the words of a test, would otherwise stand for all
    /// jobs of the fix.
    fn supported(
        &self,
        group: &Group,
        table: &Table,
        mut chosen: Vec<usize>,
        mut shown: Shown,
    ) -> Shown {
        let by_draw = matches!(group.part, Some((Divide::Draw, _)));
        let many = SHOWN_BY < group.evidence.len();
        while many && !by_draw && shown.own < SHOWN_BY && 1 < chosen.len() {
            let fewer = (0..chosen.len()).filter_map(|at| {
                let mut names = chosen.clone();
                names.remove(at);
                let shown = self.shown(group, table, &names)?;
                Some((names, shown))
            });
            // Names are chosen best first: of equals the last is left out.
            let best = fewer.max_by(|a, b| a.1.low().total_cmp(&b.1.low()));
            match best.filter(|(_, fewer)| shown.low() < fewer.low()) {
                Some(fewer) => (chosen, shown) = fewer,
                None => break,
            }
        }
        shown
    }

    /// Returns the draft with other findings of its shown job on the front.
    pub fn with_names(&self, group: &Group, draft: &Draft, mut names: Vec<usize>) -> Draft {
        names.sort_unstable();
        let mut matching = self.matching(&draft.table, &names, draft.shown);
        matching.retain(|at| !group.leaves_out(self.cases[*at].job));
        Draft {
            names,
            matching,
            ..draft.clone()
        }
    }

    /// Returns how many of the jobs like the shown one an answer may stand on, and how many of those
    /// are proved.
    pub fn support(&self, group: &Group, draft: &Draft) -> [usize; 2] {
        let own = || {
            let cases = draft.matching.iter().map(|at| &self.cases[*at]);
            cases.filter(|c| group.has_fix(&c.fix) && c.speaks())
        };
        [own().count(), own().filter(|c| c.proved).count()]
    }

    /// Returns the cases a card cites, oldest first: its own, and those counted in its share that the
    /// same fix mended though the part had failed otherwise.
    pub fn cited(&self, group: &Group, draft: &Draft) -> Vec<usize> {
        let same_fix = |at: &&usize| {
            let case = &self.cases[**at];
            group.has_fix(&case.fix) && !case.refuted
        };
        let counted = draft.matching.iter().filter(same_fix);
        let all: BTreeSet<usize> = group.evidence.iter().chain(counted).copied().collect();
        all.into_iter().collect()
    }

    /// Tells whether another mask would give the same draft.
    pub fn looks_the_same(&self, draft: &Draft, mask: &Mask) -> bool {
        self.readings.looks_the_same(&draft.table, mask)
    }

    fn matching(&self, table: &Table, names: &[usize], shown: usize) -> Vec<usize> {
        let mut like = table.like(shown, names);
        like.retain(|case| self.cases[*case].tier.is_evidence());
        like
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

/// Returns the id of the card of one fix and variant of a board.
pub fn group_id(board: &str, fix: &Fix, variant: Variant) -> String {
    ids::long_mark([CardKind::Fix.word(), board, &fix.key(), variant.word()])
}

/// Returns the names that most jobs of a fix read wrong and hardly a job of another fix read at all,
/// the most often read first.
fn read_alone(table: &Table, candidates: &[usize], group: &Group, sides: &[Side]) -> Vec<usize> {
    let often = |name: usize| {
        let plain = !matches!(
            table.names()[name].kind,
            FindingKind::Heat | FindingKind::Visual | FindingKind::Other
        );
        let tally = Tally::of(table, name, sides);
        let [read, rest] = tally.recorded();
        let wrong: usize = (0..table.n_values(name))
            .filter(|value| !band::is_healthy(table.word(name, *value)))
            .map(|value| tally.seen(value)[0])
            .sum();
        (plain && rest * HARDLY_READ <= read && group.members.len() < 2 * wrong)
            .then_some((read, name))
    };
    let mut found: Vec<(usize, usize)> = candidates.iter().filter_map(|n| often(*n)).collect();
    found.sort_unstable_by_key(|(read, name)| (std::cmp::Reverse(*read), *name));
    found.truncate(READ_ALONE);
    found.into_iter().map(|(_, name)| name).collect()
}

/// Returns the name of the supply draw that most of these cases recorded.
fn draw_name(table: &Table, evidence: &[usize]) -> Option<usize> {
    let recorded = |name: &usize| {
        let cases = evidence.iter();
        cases
            .filter(|at| table.value(*name, **at).is_some())
            .count()
    };
    (0..table.names().len())
        .filter(|name| {
            let name = &table.names()[*name];
            name.kind == FindingKind::Current && name.place.is_empty() && !name.held
        })
        .filter(|name| 0 < recorded(name))
        .max_by_key(|name| (recorded(name), std::cmp::Reverse(*name)))
}

/// Orders evidence jobs, the most typical first.
fn typical(table: &Table, names: &[usize], evidence: &[usize]) -> Vec<usize> {
    let shared = |name: usize, value: usize| {
        let column = table.column(name);
        evidence
            .iter()
            .filter(|case| column[**case] == value)
            .count()
    };
    let mut counted: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    let mut rank = |case: usize| {
        let mut recorded = 0;
        let mut common = 0;
        for name in names {
            if let Some(value) = table.value(*name, case) {
                recorded += 1;
                common += *counted
                    .entry((*name, value))
                    .or_insert_with(|| shared(*name, value));
            }
        }
        (recorded, common, case)
    };
    let mut order: Vec<(usize, usize, usize)> = evidence.iter().map(|c| rank(*c)).collect();
    order.sort_unstable_by(|a, b| b.cmp(a));
    order.into_iter().map(|(_, _, case)| case).collect()
}

/// Orders names by how many jobs they would set apart: `n - Σ n(v)²/n`.
fn by_spread(table: &Table, names: Vec<usize>) -> Vec<usize> {
    let spread = |name: usize| {
        let mut counts = vec![0; table.n_values(name)];
        for value in table.column(name).iter().filter(|v| **v != UNRECORDED) {
            counts[*value] += 1;
        }
        let n = count(counts.iter().sum());
        let squares: f64 = counts.iter().map(|c| count(*c) * count(*c)).sum();
        n - squares / n.max(1.0)
    };
    let mut order: Vec<(f64, usize)> = names.into_iter().map(|n| (spread(n), n)).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    order.into_iter().map(|(_, name)| name).collect()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    fn shelf(jobs: &[Job]) -> Shelf<'_> {
        let cases = jobs.iter().filter_map(|j| case(j, None, Tier::A, false));
        Shelf::new("petrel-p4", None, cases.collect())
    }

    #[test]
    fn parts_of_different_revisions_are_never_on_one_board() {
        let mut board = crate::domain::generate::sample::board();
        let mut limit = |part: &str, revs: &[&str]| {
            let part = board.parts.get_mut(part).expect("a part of the sample");
            part.revs = revs.iter().map(|r| (*r).to_owned()).collect();
        };
        limit("U31", &["B", "C"]);
        limit("L12", &["A"]);
        let shelf = Shelf::new("petrel-p4", Some(&board), Vec::new());
        let fix = |part: &str| Fix::new(vec![("replace".to_owned(), part.to_owned())]);
        let (new, old, any) = (fix("U31"), fix("L12"), fix("U5"));
        assert!(!shelf.share_a_revision(&[&new, &old]));
        assert!(shelf.share_a_revision(&[&new, &any]));
        assert!(shelf.share_a_revision(&[&old, &any]));
        let unknown = Shelf::new("petrel-p4", None, Vec::new());
        assert!(unknown.share_a_revision(&[&new, &old]), "nobody said");
    }

    #[test]
    fn the_shown_job_has_the_commonest_bands_then_is_the_latest() {
        let with = |id: &str, part: &str, day: u64, verdict: &str| {
            let findings = vec![sample::rail("3V3_SB", verdict), sample::rail("VSYS", "low")];
            sample::job_with(id, part, day, findings)
        };
        let jobs = [
            with("1", "U31", 1, "low"),
            with("2", "U31", 2, "low"),
            with("3", "U31", 3, "absent"),
            sample::job("4", "U31", 4),
            with("5", "L12", 5, "high"),
        ];
        let shelf = shelf(&jobs);
        let group = shelf.groups.iter().find(|g| g.members.len() == 4).unwrap();
        let mask = Mask::of([&group.fix], None, None);
        let table = shelf.readings.masked(&mask);
        // 2 shares its band with 1 and 4; 4 is later but lacks VSYS.
        assert_eq!(typical(&table, &[0, 1], &group.evidence)[0], 1);
        let draft = shelf.draft(group, &mask).unwrap();
        let column = draft.table.column(draft.names[0]);
        assert!(
            draft
                .matching
                .iter()
                .all(|c| column[*c] == column[draft.shown])
        );
    }

    #[test]
    fn an_unrecorded_name_does_not_match() {
        let both = vec![sample::rail("3V3_SB", "low"), sample::rail("VSYS", "low")];
        let jobs = [
            sample::job_with("1", "U31", 1, both.clone()),
            sample::job("2", "U31", 2),
            sample::job_with("3", "L12", 3, both),
        ];
        let shelf = shelf(&jobs);
        let table = shelf.readings.masked(&Mask::default());
        assert_eq!(shelf.matching(&table, &[0, 1], 0), [0, 2]);
        assert_eq!(shelf.matching(&table, &[0], 1), [0, 1, 2]);
    }

    #[test]
    fn other_variants_of_a_fix_stand_apart() {
        let mut open = sample::job("2", "U31", 2);
        let mut draw =
            crate::domain::job::Finding::new(crate::domain::job::FindingKind::Current, "");
        draw.code = Some("zero".to_owned());
        open.findings.push(draw);
        let jobs = [sample::job("1", "U31", 1), open, sample::job("3", "L12", 3)];
        let shelf = shelf(&jobs);
        assert_eq!(shelf.groups.len(), 3);
        let group = shelf.groups.iter().find(|g| g.members == [0]).unwrap();
        assert_eq!(shelf.sides(group), [Side::Fix, Side::Apart, Side::Rest]);
    }
}
