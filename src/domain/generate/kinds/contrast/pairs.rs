//! Contrast cards: two fixes of one board whose fronts agree, and the finding that tells them apart.
//!
//! Both fixes rest on at least two jobs, one of them proved. A finding counts for a fix when two of
//! its jobs recorded it and three in four agree. It is asked in two directions, a card each: either the
//! sides show what is alike, and the finding that differs is asked for with both fixes (which fix
//! belongs to which side cannot be seen, so the answer names both); or the finding that differs is
//! shown as well, and each side's fix is asked for. Which side is A comes from a hash of the card and
//! the fix, so that the letter tells nothing.
//! Of what separates them, what stands nearest the cause is asked first, and any of it is accepted.
//! The cards of a pair are in `card`, with what tells a side from the board's other fixes.
//! The limits are common practice, no source; that look-alikes are best learned side by side follows
//! Brunmair & Richter 2019, Psychological Bulletin 145:1029-1052.

use std::collections::BTreeSet;
use std::collections::HashMap;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::circuit::FamilyId;
use crate::domain::generate::coded::circuits;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::kinds::contrast::card;
use crate::domain::generate::weigh::agreed;
use crate::domain::generate::weigh::agreed::JOBS;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::ids;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;

/// What is asked of two look-alikes.
pub const STEM: &str = "Two boards that look alike, and two different fixes. Which one finding \
                        separates them, and which two fixes were they?";
/// What is asked where the finding that separates them is shown.
pub const STEM_GIVEN: &str =
    "Two boards that look alike but for one finding. What fixed A, and what fixed B?";
/// The same where more than one finding is shown that the sides do not share.
pub const STEM_GIVEN_MORE: &str =
    "Two boards that look alike but for a few findings. What fixed A, and what fixed B?";
/// Findings that two look-alikes share at least.
pub const SHARED: usize = 2;
/// Findings in which they may differ.
pub const DIFFERING: usize = 2;
/// Numbers within this part of the greater are the same (common practice, no source).
const SAME_NUMBER: f64 = 0.02;
/// Two readings look alike up to this many times each other.
pub const NEAR: f64 = 1.5;
/// Two levels look alike within this part of the good one.
pub const NEAR_GOOD: f64 = 0.1;
/// Contrast cards of one board at most, the best founded.
pub const MOST: usize = 6;

/// Makes the contrast cards of one board.
pub fn cards(input: &BuildInput<'_>, shelf: &Shelf<'_>) -> Vec<Card> {
    let able = |g: &&Group| {
        JOBS <= g.evidence.len() && g.evidence.iter().any(|at| shelf.cases[*at].proved)
    };
    let bare = shelf.table(&Mask::default());
    let groups = shelf.groups.iter().filter(able);
    let groups: Vec<Asked<'_>> = groups.map(|g| Asked::of(shelf, &bare, g)).collect();
    let mut pairs: Vec<Pair<'_>> = Vec::new();
    let mut known = Known::default();
    for (i, a) in groups.iter().enumerate() {
        for b in &groups[i + 1..] {
            if may_differ(&bare, a, b) && apart(shelf, a, b) {
                pairs.extend(pair(shelf, [a, b], &mut known));
            }
        }
    }
    pairs.sort_by_cached_key(|pair| (std::cmp::Reverse(pair.n_read()), pair.id(shelf.id)));
    let (mut asked, mut given) = (Vec::new(), Vec::new());
    let mut kept: Vec<[&Fix; 2]> = Vec::new();
    for pair in &pairs {
        if MOST <= kept.len() {
            break;
        }
        let fixes = pair.fixes();
        if kept.contains(&fixes) {
            continue;
        }
        let made = card::cards(input, shelf, pair, &kept);
        if made.is_empty() {
            continue;
        }
        kept.push(fixes);
        let (other_way, one_way): (Vec<Card>, Vec<Card>) = made.into_iter().partition(|c| c.given);
        asked.extend(one_way);
        given.extend(other_way);
    }
    asked.extend(given);
    asked
}

/// Two fixes of a board that look alike, and the jobs that show it.
pub(super) struct Pair<'a> {
    /// The jobs of each.
    pub groups: [&'a Group; 2],
    /// The circuit of each.
    pub families: [FamilyId; 2],
    /// What both hold back.
    pub mask: Mask,
    /// The board's jobs behind it.
    pub table: Table,
    /// What each has settled on, by name.
    pub values: Vec<[Option<usize>; 2]>,
    /// Names that separate them, the most telling first.
    pub separates: Vec<usize>,
    /// The case that each side shows.
    pub shown: [usize; 2],
    /// Names that are shown because they are alike.
    pub names: Vec<usize>,
}

impl Pair<'_> {
    /// Returns the fix of each.
    pub(super) fn fixes(&self) -> [&Fix; 2] {
        self.groups.map(|g| &g.fix)
    }

    /// Returns the id of the card that asks what separates them.
    pub(super) fn id(&self, board: &str) -> String {
        let of = |g: &Group| format!("{} ({})", g.fix.key(), g.variant.word());
        let keys: Vec<String> = self.groups.iter().map(|g| of(g)).collect();
        let kind = CardKind::Contrast.word();
        ids::long_mark([kind, board, &keys.join(" | "), ""])
    }

    /// Returns how many jobs of a side read what it has settled on, and how many read the name.
    pub(super) fn counted(&self, side: usize, name: usize) -> (usize, usize) {
        let evidence = self.groups[side].evidence.iter();
        let read = evidence.filter_map(|at| self.table.value(name, *at));
        read.fold((0, 0), |(k, n), got| {
            (k + usize::from(Some(got) == self.values[name][side]), n + 1)
        })
    }

    /// Returns how many jobs read what separates them.
    fn n_read(&self) -> usize {
        (0..2)
            .map(|side| self.counted(side, self.separates[0]).1)
            .sum()
    }
}

/// A fix that is held against all others, with what is asked of it each time.
struct Asked<'a> {
    group: &'a Group,
    family: Option<String>,
    parts: BTreeSet<&'a str>,
    /// Of each name without a mask, whether its own card holds it back.
    hidden: Vec<bool>,
    /// And what its jobs agree on.
    settled: Vec<Option<usize>>,
}

impl<'a> Asked<'a> {
    fn of(shelf: &Shelf<'_>, bare: &Table, group: &'a Group) -> Self {
        let family = circuits::family_of(&jobs(shelf, group));
        let mask = Mask::of([&group.fix], family.as_deref(), shelf.board);
        let names = 0..bare.names().len();
        Self {
            hidden: shelf.hidden(&mask),
            settled: names
                .map(|name| agreed::settled(bare, group, name))
                .collect(),
            parts: group.fix.pairs().iter().map(|(_, p)| p.as_str()).collect(),
            family,
            group,
        }
    }
}

/// Tells whether two fixes may make a card, by the names that none of the two holds back: what both hold
/// back never separates them, so one of the others has to, and they may not differ in many.
fn may_differ(bare: &Table, a: &Asked<'_>, b: &Asked<'_>) -> bool {
    let (mut differ, mut separates) = (0, false);
    for (at, pair) in a.settled.iter().zip(&b.settled).enumerate() {
        let (Some(one), Some(other)) = pair else {
            continue;
        };
        if one != other && !a.hidden[at] && !b.hidden[at] {
            differ += 1;
            separates |= may_separate(&bare.names()[at]);
        }
    }
    separates && differ <= DIFFERING
}

/// Tells whether a finding may be what is asked for: its place can be named.
pub(super) fn may_separate(name: &Name) -> bool {
    !name.held && (!name.place.is_empty() || name.kind == FindingKind::Current)
}

/// Tells whether two fixes differ in circuit or part: reflow and replacement of one part are the same
/// place to look. Where no revision has the parts of both, the revision tells, and nobody mistakes them.
fn apart(shelf: &Shelf<'_>, a: &Asked<'_>, b: &Asked<'_>) -> bool {
    let fixes = [&a.group.fix, &b.group.fix];
    fixes[0] != fixes[1]
        && shelf.share_a_revision(&fixes)
        && (a.parts.is_disjoint(&b.parts) || a.family != b.family)
}

pub(super) fn jobs<'a>(shelf: &Shelf<'a>, group: &Group) -> Vec<&'a Job> {
    group
        .evidence
        .iter()
        .map(|at| shelf.cases[*at].job)
        .collect()
}

/// What each group has settled on, by column: tables share the columns that their masks leave alone, and
/// each group is held against many.
#[derive(Default)]
struct Known {
    settled: HashMap<(*const usize, *const Group), Option<usize>>,
    /// Keeps the columns where they are.
    tables: Vec<Table>,
}

impl Known {
    fn values(&mut self, table: &Table, groups: [&Group; 2]) -> Vec<[Option<usize>; 2]> {
        self.tables.push(table.clone());
        let mut of = |name: usize, group: &Group| {
            let key = (table.column(name).as_ptr(), std::ptr::from_ref(group));
            let known = self.settled.entry(key);
            *known.or_insert_with(|| agreed::settled(table, group, name))
        };
        let names = 0..table.names().len();
        names.map(|name| groups.map(|g| of(name, g))).collect()
    }
}

/// Lays two fixes side by side; none where they do not look alike, or differ in nothing that may be asked.
fn pair<'a>(shelf: &Shelf<'_>, asked: [&Asked<'a>; 2], known: &mut Known) -> Option<Pair<'a>> {
    let groups = asked.map(|a| a.group);
    let [Some(first), Some(second)] = asked.map(|a| a.family.clone()) else {
        return None;
    };
    let mask = Mask::of(groups.map(|g| &g.fix), Some(&first), shelf.board).and_family(&second);
    let table = shelf.table(&mask);
    let values = known.values(&table, groups);
    let of = |same: bool| -> Vec<usize> {
        (0..values.len())
            .filter(|name| match values[*name] {
                [Some(a), Some(b)] => (a == b) == same,
                _ => false,
            })
            .collect()
    };
    let (alike, differ) = (of(true), of(false));
    if alike.len() < SHARED || differ.is_empty() || DIFFERING < differ.len() {
        return None;
    }
    let mut separates = differ;
    separates.retain(|name| may_separate(&table.names()[*name]));
    separates.sort_by_key(|name| {
        let hardly = groups.iter().any(|group| {
            let read = |at: &&usize| table.value(*name, **at).is_some();
            2 * group.evidence.iter().filter(read).count() < group.evidence.len()
        });
        (hardly, far_from_the_cause(table.names()[*name].kind), *name)
    });
    let asked = *separates.first()?;
    let (shown, names) = shown(shelf, &table, groups, &values, &alike, asked)?;
    Some(Pair {
        groups,
        families: [first, second],
        mask,
        table,
        values,
        separates,
        shown,
        names,
    })
}

/// Ranks kinds of findings by how near the cause they stand: ohms and a diode reading say which part of
/// the board it is, a level what it does, a draw only that something is wrong (common practice, no source).
fn far_from_the_cause(kind: FindingKind) -> usize {
    match kind {
        FindingKind::Resistance => 0,
        FindingKind::Diode => 1,
        FindingKind::Visual => 2,
        FindingKind::Rail | FindingKind::Signal => 3,
        FindingKind::Other => 4,
        FindingKind::Current => 5,
        FindingKind::Heat => 6,
    }
}

/// Chooses the job each side shows: two with the same complaint that share most of what is alike.
fn shown(
    shelf: &Shelf<'_>,
    table: &Table,
    groups: [&Group; 2],
    values: &[[Option<usize>; 2]],
    alike: &[usize],
    separates: usize,
) -> Option<([usize; 2], Vec<usize>)> {
    let of = |side: usize| -> Vec<Candidate<'_>> {
        let settled = |at: usize, name: usize| table.value(name, at) == values[name][side];
        let evidence = groups[side].evidence.iter().copied();
        let own = evidence.filter(|at| settled(*at, separates));
        own.map(|at| Candidate {
            at,
            complaint: shelf.cases[at].job.complaint.iter().collect(),
            shows: alike.iter().map(|name| settled(at, *name)).collect(),
            read: first_read(shelf, table, at, alike),
            separates: first_read(shelf, table, at, &[separates])[0],
        })
        .collect()
    };
    let (first, second) = (of(0), of(1));
    let mut best: Option<([usize; 2], Vec<usize>)> = None;
    for a in &first {
        let beside = |b: &&Candidate<'_>| {
            a.complaint == b.complaint && !same_number(a.separates, b.separates)
        };
        for b in second.iter().filter(beside) {
            let least = best.as_ref().map_or(SHARED, |(_, known)| known.len());
            if a.both_show(b).count() < least {
                continue;
            }
            let close = a.both_show(b).filter(|i| close(a.read[*i], b.read[*i]));
            let names: Vec<usize> = close.map(|i| alike[i]).collect();
            if least <= names.len() {
                best = Some(([a.at, b.at], names));
            }
        }
    }
    best
}

/// A job that a side may show, as far as it is compared with those of the other side: each is held
/// against all of them.
struct Candidate<'a> {
    /// Its case.
    at: usize,
    complaint: BTreeSet<&'a String>,
    /// Of the names that are alike: it reads what its fix settled on.
    shows: Vec<bool>,
    /// Of the names that are alike: the first finding that bears it.
    read: Vec<Option<&'a Finding>>,
    /// What separates the sides.
    separates: Option<&'a Finding>,
}

impl Candidate<'_> {
    /// Returns the places of the names on which both read what was settled.
    fn both_show(&self, other: &Candidate<'_>) -> impl Iterator<Item = usize> {
        let both = self.shows.iter().zip(&other.shows).enumerate();
        both.filter_map(|(i, (a, b))| (*a && *b).then_some(i))
    }
}

/// Returns for each name the first finding of a case that bears it.
fn first_read<'a>(
    shelf: &Shelf<'a>,
    table: &Table,
    at: usize,
    names: &[usize],
) -> Vec<Option<&'a Finding>> {
    let mut read: Vec<Option<&Finding>> = vec![None; names.len()];
    for finding in &shelf.cases[at].job.findings {
        let bears = table.name_of(finding);
        let place = names.iter().position(|name| Some(*name) == bears);
        if let Some(place) = place {
            read[place].get_or_insert(finding);
        }
    }
    read
}

/// Tells whether two readings are one number under two names: nobody tells two boards apart by it.
fn same_number(a: Option<&Finding>, b: Option<&Finding>) -> bool {
    let got = [a, b].map(|finding| finding.and_then(|f| f.got));
    matches!(got, [Some(a), Some(b)] if (a - b).abs() <= SAME_NUMBER * a.abs().max(b.abs()))
}

/// Tells whether two readings are so near that nobody would tell two boards apart by them.
///
/// A band is wide: 16 Ω and 230 Ω both lie low. Levels may also differ by a part of
/// the good one, and how warm a place is decides nothing.
pub(super) fn close(a: Option<&Finding>, b: Option<&Finding>) -> bool {
    let (Some(a), Some(b)) = (a, b) else {
        return true;
    };
    let near = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => {
            let (low, high) = (x.abs().min(y.abs()), x.abs().max(y.abs()));
            let of_good = a.good.map_or(0.0, |good| NEAR_GOOD * good.abs());
            let by_good = matches!(a.kind, FindingKind::Rail | FindingKind::Signal);
            high <= NEAR * low || by_good && high - low <= of_good
        }
        _ => true,
    };
    a.kind == FindingKind::Heat || near(a.got, b.got) && near(a.low, b.low) && near(a.high, b.high)
}

#[cfg(test)]
#[path = "contrast_tests.rs"]
mod tests;
