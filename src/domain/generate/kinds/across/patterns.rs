//! The few findings that tell a circuit from the others on at least three boards, and how often.
//!
//! For each circuit, and for each way its parts failed, names are chosen forward over the jobs of all
//! boards as [`pattern`] does it: by the leave-one-out loss with shrinkage, never for a job. What would
//! give the circuit away is no candidate, so it neither chooses nor counts. Rails, looks and draws may
//! each be said in general or in particular ("a rail", "the core rail"); every mixture is tried, and
//! one pattern says a thing one way only. Of the names chosen, any two or three that one of the
//! circuit's jobs recorded make a pattern, if one of them says that something is wrong and one was seen
//! at the bench: what the customer said alone leads to no circuit.
//!
//! A pattern holds when at least [`BOARDS`] boards have [`JOBS`] or more of its jobs that ended in the
//! circuit, most of those with the pattern, and the share of each of them is above a half after the
//! chain; and when the whole share lies above a half and above the circuit's rate among all jobs, with
//! its 95 % interval. Jobs of tiers A
//! and B speak; one that came back for its diagnosis never does. Names are chosen over the latest
//! [`LATEST`](super::all_boards::LATEST) jobs, counts are of all. These limits are common practice, no source.

use std::collections::BTreeSet;
use std::collections::HashSet;

use crate::domain::generate::coded::band::Variant;
use crate::domain::generate::kinds::across::all_boards;
use crate::domain::generate::kinds::across::all_boards::BOARDS;
use crate::domain::generate::kinds::across::all_boards::Bench;
use crate::domain::generate::kinds::across::all_boards::Bits;
use crate::domain::generate::kinds::across::all_boards::JOBS;
use crate::domain::generate::kinds::across::all_boards::Latest;
use crate::domain::generate::kinds::across::all_boards::Place;
use crate::domain::generate::kinds::across::chain;
use crate::domain::generate::kinds::across::chain::Counted;
use crate::domain::generate::kinds::across::chain::Counts;
use crate::domain::generate::kinds::across::general;
use crate::domain::generate::kinds::across::general::Mark;
use crate::domain::generate::kinds::across::sheet::Seen;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::domain::generate::weigh::pattern;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::interval;
use crate::domain::job::FindingKind;
use crate::domain::side_by_side;
use crate::domain::units::count;

/// The fewest findings of a pattern.
pub const FEWEST: usize = 2;
/// The most findings of a pattern.
pub const MOST: usize = 3;
/// Names chosen for a circuit, of which a pattern takes its few.
pub const RANKED: usize = 6;
/// Patterns of one circuit at most.
pub const OF_A_CIRCUIT: usize = 3;
/// The 95 % interval of a pattern's whole share lies above this, and above the circuit's own rate.
pub const SURE: f64 = 0.5;
/// A further pattern of a circuit brings at least this part of jobs that none before it has.
pub const FRESH: f64 = 1.0 / 3.0;

/// How a pattern stands on one board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnBoard<'a> {
    /// Board id.
    pub board: &'a str,
    /// Kind of equipment.
    pub kind: &'a str,
    /// Jobs with the pattern that ended in the circuit.
    pub k: usize,
    /// Jobs with the pattern.
    pub n: usize,
    /// The share after the chain.
    pub share: f64,
}

impl OnBoard<'_> {
    /// Tells whether the board bears the pattern out.
    pub fn bears(&self) -> bool {
        JOBS <= self.k && self.n < 2 * self.k && 0.5 < self.share
    }
}

/// A pattern that holds on several boards.
#[derive(Clone, Debug)]
pub struct Found<'a> {
    /// The circuit.
    pub family: &'a str,
    /// What is seen, as chosen: the first tells most.
    pub marks: Vec<(Mark<'a>, &'a str)>,
    /// Boards with jobs like it, those with most first.
    pub boards: Vec<OnBoard<'a>>,
    /// Strength of the chain, in jobs.
    pub strength: f64,
    /// Rate of the circuit among all jobs.
    pub base: f64,
    /// Jobs of the circuit, and all jobs that may be counted.
    pub of_all: (usize, usize),
    /// Jobs that ended in the circuit, latest first.
    pub ended: Vec<Seen<'a>>,
    /// Jobs of the circuit whose recorded repair was unsafe: they count in no share's `k`.
    pub barred: usize,
    /// Other circuits of jobs with the pattern, most frequent first.
    pub others: Vec<(&'a str, usize)>,
}

impl Found<'_> {
    /// Returns the pattern in words that stay the same as long as it does.
    pub fn key(&self) -> String {
        key(&self.marks)
    }

    fn is_part_of(&self, other: &Self) -> bool {
        self.marks.iter().all(|fact| other.marks.contains(fact))
    }

    /// Returns how many jobs have the pattern.
    pub fn n(&self) -> usize {
        self.boards.iter().map(|b| b.n).sum()
    }
}

fn key(marks: &[(Mark<'_>, &str)]) -> String {
    let mut words: Vec<String> = marks.iter().map(all_boards::word).collect();
    words.sort_unstable();
    words.join(" + ")
}

/// The questions asked of a circuit: as a whole, and by how its parts failed.
const VARIANTS: [Option<Variant>; 4] = [
    None,
    Some(Variant::Short),
    Some(Variant::Open),
    Some(Variant::Other),
];

/// How a table says things: in general, or in particular.
#[derive(Clone, Copy, Debug)]
struct Way {
    rails: bool,
    looks: bool,
    states: bool,
}

impl Way {
    fn all() -> impl Iterator<Item = Self> {
        (0..8).map(|bits| Self {
            rails: bits & 1 != 0,
            looks: bits & 2 != 0,
            states: bits & 4 != 0,
        })
    }

    fn says(self, mark: &Mark<'_>) -> bool {
        match mark.kind {
            Some(FindingKind::Current) => mark.state.is_empty() != self.states,
            Some(FindingKind::Visual | FindingKind::Heat) => mark.placed == self.looks,
            Some(FindingKind::Other) | None => true,
            Some(_) if mark.place == general::LINE => true,
            Some(_) => mark.placed == self.rails,
        }
    }
}

impl<'a> Bench<'a> {
    /// Counts a pattern on every board, if most of its jobs are of the circuit.
    fn count(
        &self,
        (family, base, own): (usize, f64, &Bits),
        facts: &[usize],
        showed: &[Option<Bits>],
    ) -> Option<Candidate<'a>> {
        let mut like = self.evidence.clone();
        for fact in facts {
            like.and(showed[*fact].as_ref()?);
        }
        if 2 * like.count_with(own) <= like.count() {
            return None;
        }
        let mut tallies = vec![(0, 0); self.sheets.len()];
        let mut ended: Vec<usize> = Vec::new();
        let mut others = vec![0_usize; self.circuits.len()];
        let mut barred = 0;
        for at in like.places() {
            let place = &self.rows[at];
            tallies[place.board].1 += 1;
            if place.family != family {
                others[place.family] += 1;
            } else if place.job.row.speaks {
                tallies[place.board].0 += 1;
                ended.push(at);
            } else {
                barred += 1;
            }
        }
        ended.reverse();
        let others = self.circuits.iter().copied().zip(others);
        let mut others: Vec<(&str, usize)> = others.filter(|(_, n)| 0 < *n).collect();
        others.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
        let boards = self.sheets.iter().zip(tallies);
        let boards = boards
            .filter(|(_, (_, n))| 0 < *n)
            .map(|(sheet, (k, n))| OnBoard {
                board: &sheet.board,
                kind: &sheet.kind,
                k,
                n,
                share: 0.0,
            });
        let found = Found {
            family: self.circuits[family],
            marks: facts.iter().map(|fact| self.facts[*fact]).collect(),
            boards: boards.collect(),
            strength: chain::DEFAULT,
            base,
            of_all: (own.count(), self.evidence.count()),
            ended: ended.iter().map(|at| self.rows[*at].job).collect(),
            barred,
            others,
        };
        Some(Candidate { found, ended })
    }
}

/// A pattern that might hold.
struct Candidate<'a> {
    found: Found<'a>,
    /// Where among all jobs those stand that ended in the circuit.
    ended: Vec<usize>,
}

/// Finds the patterns that hold on several boards, by circuit.
///
/// Circuits are looked at on several threads; what is found is the same with any number.
pub fn find<'a>(sheets: &'a [&'a Sheet], threads: usize) -> Vec<Found<'a>> {
    let bench = Bench::of(sheets);
    let families = bench.families();
    if families.is_empty() {
        return Vec::new();
    }
    let latest = bench.coded();
    let circuits: Vec<usize> = families.iter().map(|(family, _)| *family).collect();
    let patterns = side_by_side::map(threads, circuits, |family| {
        of_circuit(&bench, &latest, family)
    });
    let facts = patterns.iter().flatten().flatten().copied().collect();
    let showed = bench.showed(&facts);
    let todo = families.into_iter().zip(patterns).collect();
    let found = side_by_side::map(threads, todo, |((family, base), patterns)| {
        let own = bench.speaking(family);
        let count = |pattern: Vec<usize>| bench.count((family, base, &own), &pattern, &showed);
        let counted = patterns.into_iter().filter_map(count);
        let may_hold = |candidate: &Candidate<'a>| may_hold(&candidate.found);
        counted.filter(may_hold).collect::<Vec<_>>()
    });
    let mut found: Vec<Candidate<'a>> = found.into_iter().flatten().collect();
    // The strength is of the shop's boards, so all patterns that might hold choose it together.
    let counts: Vec<Counts<'_>> = found.iter().map(|one| counts(&one.found)).collect();
    let strength = chain::strength(&counts);
    for (Candidate { found, .. }, counts) in found.iter_mut().zip(&counts) {
        found.strength = strength;
        for (board, share) in found.boards.iter_mut().zip(counts.shares(strength)) {
            board.share = share;
        }
        found
            .boards
            .sort_by(|a, b| b.k.cmp(&a.k).then(a.n.cmp(&b.n)).then(a.board.cmp(b.board)));
    }
    drop(counts);
    found.retain(|one| holds(&one.found));
    chosen(found, bench.rows.len())
}

/// Returns the patterns of a circuit, said in every way, each once.
fn of_circuit(bench: &Bench<'_>, latest: &Latest<'_>, family: usize) -> Vec<Vec<usize>> {
    let known = bench.candidates(family, latest);
    let mut tried: BTreeSet<Vec<usize>> = BTreeSet::new();
    let mut seen: HashSet<Vec<usize>> = HashSet::new();
    let mut found = Vec::new();
    for way in Way::all() {
        let said = known.iter().copied();
        let candidates: Vec<usize> = said.filter(|at| way.says(&latest.marks[*at])).collect();
        // Where a circuit's jobs say a thing one way only, another way chooses the same.
        if !tried.insert(candidates.clone()) {
            continue;
        }
        for variant in VARIANTS {
            for pattern in patterns(bench, latest, (family, variant), &candidates) {
                let mut words: Vec<usize> = pattern.iter().map(|f| bench.words[*f]).collect();
                words.sort_unstable();
                if seen.insert(words) {
                    found.push(pattern);
                }
            }
        }
    }
    found
}

fn counts<'a>(found: &Found<'a>) -> Counts<'a> {
    let counted = |b: &OnBoard<'a>| Counted {
        kind: b.kind,
        k: b.k,
        n: b.n,
    };
    Counts {
        boards: found.boards.iter().map(counted).collect(),
        base: found.base,
    }
}

/// Chooses the names for a circuit, whole or one way of failing, and returns what its jobs showed.
fn patterns(
    bench: &Bench<'_>,
    latest: &Latest<'_>,
    (family, variant): (usize, Option<Variant>),
    candidates: &[usize],
) -> Vec<Vec<usize>> {
    let rows = bench.latest();
    let asked = |place: &Place<'_>| variant.is_none_or(|v| v == place.job.row.variant);
    let sides: Vec<Side> = rows
        .iter()
        .map(|place| match (place.family == family, asked(place)) {
            (false, _) => Side::Rest,
            (true, true) => Side::Fix,
            (true, false) => Side::Apart,
        })
        .collect();
    let enough = sides.iter().filter(|s| **s == Side::Fix).count();
    if enough < BOARDS * JOBS || candidates.len() < FEWEST {
        return Vec::new();
    }
    let own: Vec<usize> = (0..rows.len())
        .filter(|row| sides[*row] == Side::Fix && rows[*row].job.row.speaks)
        .collect();
    // Weak names are kept: only parts of the list make a pattern, and those are judged by their jobs.
    let table = &latest.table;
    let names = pattern::forward(table, &[sides], candidates, RANKED, f64::NEG_INFINITY).names;
    let mut found: BTreeSet<Vec<usize>> = BTreeSet::new();
    let mut known: HashSet<Vec<usize>> = HashSet::new();
    let sight = |fact: usize| &bench.facts[fact];
    for row in own {
        let shown = names.iter().filter_map(|name| {
            let value = table.value(*name, row)?;
            latest.facts[*name].get(value).copied().flatten()
        });
        let shown: Vec<usize> = shown
            .filter(|fact| general::may_stand(&sight(*fact).0, sight(*fact).1))
            .collect();
        // Most jobs of a circuit show what another did.
        if !known.insert(shown.clone()) {
            continue;
        }
        for few in subsets(&shown) {
            let overlap = |a: &usize, b: &usize| general::overlap(&sight(*a).0, &sight(*b).0);
            let twice = |a: &usize| few.iter().any(|b| overlap(a, b));
            let wrong = |fact: &usize| general::is_wrong(&sight(*fact).0, sight(*fact).1);
            let seen = |fact: &usize| sight(*fact).0.kind.is_some();
            if few.iter().any(wrong) && few.iter().any(seen) && !few.iter().any(twice) {
                found.insert(few);
            }
        }
    }
    found.into_iter().collect()
}

/// Returns the parts of a list that are as long as a pattern may be, in the list's order.
fn subsets<T: Copy>(list: &[T]) -> Vec<Vec<T>> {
    (0_u32..1 << list.len())
        .filter(|bits| (FEWEST..=MOST).contains(&(bits.count_ones() as usize)))
        .map(|bits| {
            let taken = list.iter().enumerate();
            let taken = taken.filter(|(at, _)| bits >> at & 1 == 1);
            taken.map(|(_, one)| *one).collect()
        })
        .collect()
}

/// Tells whether enough boards have enough jobs, most of them of the circuit.
fn may_hold(found: &Found<'_>) -> bool {
    let bears = |b: &&OnBoard<'_>| JOBS <= b.k && b.n < 2 * b.k;
    BOARDS <= found.boards.iter().filter(bears).count()
        && found.ended.iter().any(|job| job.row.proved)
        && found.n() < 2 * found.ended.len()
}

/// Tells whether the boards bear it out after the chain, and more often than by chance.
fn holds(found: &Found<'_>) -> bool {
    let bearing = found.boards.iter().filter(|b| b.bears()).count();
    let low = interval::wilson(found.ended.len(), found.n()).map_or(0.0, |limits| limits.low);
    BOARDS <= bearing && found.base.max(SURE) < low
}

/// Chooses a few patterns of each circuit: the best borne out, and then those that bring other jobs
/// and say neither a part of one before nor the same and more.
///
/// The order goes by coarse steps of the evidence and then by the pattern's words, so that a job more
/// or less rarely puts another pattern in a card's place.
fn chosen(mut found: Vec<Candidate<'_>>, rows: usize) -> Vec<Found<'_>> {
    found.sort_by_cached_key(|Candidate { found: f, .. }| {
        let low = interval::wilson(f.ended.len(), f.n()).map_or(0.0, |limits| limits.low);
        let bearing = f.boards.iter().filter(|b| b.bears()).count();
        let steps = (low * 20.0).floor() * 5.0 + 5.0 * count(bearing) - count(f.marks.len());
        let worth = steps + libm::log2(count(f.ended.len())).floor() * 2.0;
        (f.family, std::cmp::Reverse(worth.to_bits()), f.key())
    });
    let mut kept: Vec<Found<'_>> = Vec::new();
    let mut of: Option<&str> = None;
    let (mut first, mut known) = (0, Bits::none(rows));
    for Candidate { found, ended } in found {
        if of != Some(found.family) {
            of = Some(found.family);
            (first, known) = (kept.len(), Bits::none(rows));
        }
        let of_circuit = &kept[first..];
        let fresh = ended.iter().filter(|at| !known.has(**at)).count();
        let brings = FRESH * count(ended.len()) <= count(fresh);
        let within = of_circuit
            .iter()
            .any(|k| found.is_part_of(k) || k.is_part_of(&found));
        if of_circuit.len() < OF_A_CIRCUIT && brings && !within {
            for at in &ended {
                known.set(*at);
            }
            kept.push(found);
        }
    }
    kept
}
