//! The few findings that tell a circuit from the others on at least three boards, and how often.
//!
//! For each circuit, and for each way its parts failed, names are chosen forward over the jobs of all
//! boards as [`pattern`] does it: by the leave-one-out loss with shrinkage, never for a job. What would
//! give the circuit away is no candidate, so it neither chooses nor counts. Rails, looks and draws may
//! each be said in general or in particular ("a rail", "the core rail"); every mixture is tried, and
//! one pattern says a thing one way only. Of the names chosen, any two or three that one of the
//! circuit's jobs recorded make a pattern, if one of them says that something is wrong.
//!
//! A pattern holds when at least [`BOARDS`] boards have [`JOBS`] or more of its jobs that ended in the
//! circuit, most of those with the pattern, and the share of each of them is above a half after the
//! chain; and when the whole share lies above a half and above the circuit's rate among all jobs, with
//! its 95 % interval. Jobs of tiers A
//! and B speak; one that came back for its diagnosis never does. Names are chosen over the latest
//! [`LATEST`] jobs, counts are of all. These limits are common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;

use crate::domain::generate::across::chain;
use crate::domain::generate::across::chain::Counted;
use crate::domain::generate::across::chain::Counts;
use crate::domain::generate::across::general;
use crate::domain::generate::across::general::Mark;
use crate::domain::generate::across::sheet::Row;
use crate::domain::generate::across::sheet::Seen;
use crate::domain::generate::across::sheet::Sheet;
use crate::domain::generate::band::Variant;
use crate::domain::generate::pattern;
use crate::domain::generate::pattern::Side;
use crate::domain::generate::table::Name;
use crate::domain::generate::table::Table;
use crate::domain::interval;
use crate::domain::job::FindingKind;
use crate::domain::job::When;
use crate::domain::units::count;

/// Boards that a pattern needs.
pub const BOARDS: usize = 3;
/// Jobs that each of them needs.
pub const JOBS: usize = 2;
/// The fewest findings of a pattern.
pub const FEWEST: usize = 2;
/// The most findings of a pattern.
pub const MOST: usize = 3;
/// Names chosen for a circuit, of which a pattern takes its few.
pub const RANKED: usize = 6;
/// Patterns of one circuit at most.
pub const OF_A_CIRCUIT: usize = 3;
/// Names are chosen over so many of the latest jobs.
pub const LATEST: usize = 3_000;
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
    let mut words: Vec<String> = marks
        .iter()
        .map(|(mark, value)| {
            let kind = mark.kind.map_or("complaint", FindingKind::word);
            format!("{kind}|{}|{}|{value}", mark.place, mark.state)
        })
        .collect();
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

/// Of each job in turn, yes or no.
#[derive(Clone, Debug, Default)]
struct Bits(Vec<u64>);

impl Bits {
    fn none(len: usize) -> Self {
        Self(vec![0; len.div_ceil(64)])
    }

    fn set(&mut self, at: usize) {
        self.0[at / 64] |= 1 << (at % 64);
    }

    fn and(&mut self, other: &Self) {
        for (own, other) in self.0.iter_mut().zip(&other.0) {
            *own &= other;
        }
    }

    /// Returns the places of the jobs with yes, in order.
    fn places(&self) -> impl Iterator<Item = usize> {
        self.0.iter().enumerate().flat_map(|(word, bits)| {
            let mut left = *bits;
            std::iter::from_fn(move || {
                let at = (left != 0).then(|| left.trailing_zeros() as usize)?;
                left &= left - 1;
                Some(64 * word + at)
            })
        })
    }
}

/// All boards' jobs, oldest first.
struct Bench<'a> {
    sheets: &'a [&'a Sheet],
    rows: Vec<(usize, Seen<'a>)>,
    latest: usize,
    evidence: Bits,
    /// Which jobs showed what.
    facts: HashMap<(Mark<'a>, &'a str), Bits>,
}

impl<'a> Bench<'a> {
    fn of(sheets: &'a [&'a Sheet]) -> Self {
        let mut rows: Vec<(usize, Seen<'_>)> = Vec::new();
        for (board, sheet) in sheets.iter().enumerate() {
            rows.extend(sheet.jobs().map(|job| (board, job)));
        }
        rows.sort_by(|(_, a), (_, b)| {
            let day = a.row.closed_on.cmp(&b.row.closed_on);
            let words = |one: &Seen<'a>| (one.board(), one.id(), one.job());
            day.then_with(|| words(a).cmp(&words(b)))
        });
        // A board's facts are numbered by themselves; here each is numbered once.
        let mut known: HashMap<(Mark<'_>, &str), usize> = HashMap::new();
        let mut number = |fact| {
            let next = known.len();
            *known.entry(fact).or_insert(next)
        };
        let numbers: Vec<Vec<usize>> = sheets
            .iter()
            .map(|sheet| {
                let facts = sheet.facts.iter();
                let facts = facts.map(|fact| number((fact.mark(), fact.value.as_str())));
                facts.collect()
            })
            .collect();
        let mut showed = vec![Bits::none(rows.len()); known.len()];
        let mut evidence = Bits::none(rows.len());
        for (at, (board, job)) in rows.iter().enumerate() {
            for fact in job.numbers() {
                if let Some(number) = numbers[*board].get(*fact as usize) {
                    showed[*number].set(at);
                }
            }
            if job.row.evidence {
                evidence.set(at);
            }
        }
        let facts = known.into_iter().map(|(fact, number)| {
            let bits = std::mem::take(&mut showed[number]);
            (fact, bits)
        });
        Self {
            sheets,
            latest: rows.len().saturating_sub(LATEST),
            evidence,
            facts: facts.collect(),
            rows,
        }
    }

    fn latest(&self) -> &[(usize, Seen<'a>)] {
        &self.rows[self.latest..]
    }

    /// Returns the circuits that enough boards know, with the part of all jobs that each has.
    fn families(&self) -> Vec<(&'a str, f64)> {
        let mut per: BTreeMap<&str, BTreeMap<usize, usize>> = BTreeMap::new();
        for (board, job) in self.rows.iter().filter(|(_, job)| job.row.speaks) {
            *per.entry(job.family())
                .or_default()
                .entry(*board)
                .or_default() += 1;
        }
        let all = per.len();
        let evidence = self.evidence.places().count();
        per.into_iter()
            .filter(|(_, boards)| BOARDS <= boards.values().filter(|n| JOBS <= **n).count())
            .map(|(family, boards)| {
                let own: usize = boards.values().sum();
                // As the prior of a cause: one more for each.
                (family, (count(own) + 1.0) / count(evidence + all))
            })
            .collect()
    }

    fn table(&self, way: Way) -> (Vec<Mark<'a>>, Table) {
        let rows = self.latest();
        let mut marks: BTreeSet<Mark<'a>> = BTreeSet::new();
        for (_, job) in rows {
            marks.extend(job.sights().map(|(m, _)| m).filter(|m| way.says(m)));
        }
        let marks: Vec<Mark<'a>> = marks.into_iter().collect();
        let places: BTreeMap<&Mark<'a>, usize> =
            marks.iter().enumerate().map(|(at, m)| (m, at)).collect();
        // A complaint that was not made is known not to have been; nothing else is.
        let unsaid = |mark: &Mark<'_>| mark.kind.is_none().then_some("");
        let mut columns: Vec<Vec<Option<&str>>> =
            marks.iter().map(|m| vec![unsaid(m); rows.len()]).collect();
        for (at, (_, job)) in rows.iter().enumerate() {
            for (mark, value) in job.sights() {
                if let Some(column) = places.get(&mark) {
                    columns[*column][at] = Some(value);
                }
            }
        }
        let columns = marks.iter().map(name).zip(columns).collect();
        (marks, Table::coded(columns))
    }

    /// Returns the marks that enough boards of a circuit recorded, without those that name it.
    fn candidates(&self, family: &str) -> BTreeSet<Mark<'a>> {
        let mut per: BTreeMap<Mark<'a>, BTreeMap<usize, usize>> = BTreeMap::new();
        let own = |job: &Seen<'_>| job.row.speaks && job.family() == family;
        for (board, job) in self.latest().iter().filter(|(_, job)| own(job)) {
            for (mark, _) in job.sights() {
                *per.entry(mark).or_default().entry(*board).or_default() += 1;
            }
        }
        per.into_iter()
            .filter(|(_, boards)| BOARDS <= boards.values().filter(|n| JOBS <= **n).count())
            .map(|(mark, _)| mark)
            .filter(|mark| !mark.tells.contains(&family))
            .collect()
    }

    /// Counts a pattern on every board.
    fn count(&self, family: &'a str, base: f64, marks: Vec<(Mark<'a>, &'a str)>) -> Found<'a> {
        let mut tallies = vec![(0, 0); self.sheets.len()];
        let mut ended: Vec<Seen<'_>> = Vec::new();
        let mut others: BTreeMap<&str, usize> = BTreeMap::new();
        let mut barred = 0;
        let mut like = self.evidence.clone();
        for fact in &marks {
            match self.facts.get(fact) {
                Some(showed) => like.and(showed),
                None => like = Bits::default(),
            }
        }
        for (board, job) in like.places().map(|at| self.rows[at]) {
            tallies[board].1 += 1;
            if job.family() != family {
                *others.entry(job.family()).or_default() += 1;
            } else if job.row.speaks {
                tallies[board].0 += 1;
                ended.push(job);
            } else {
                barred += 1;
            }
        }
        ended.reverse();
        let mut others: Vec<(&str, usize)> = others.into_iter().collect();
        others.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
        let boards = self
            .sheets
            .iter()
            .zip(tallies)
            .filter(|(_, (_, n))| 0 < *n)
            .map(|(sheet, (k, n))| OnBoard {
                board: &sheet.board,
                kind: &sheet.kind,
                k,
                n,
                share: 0.0,
            })
            .collect();
        Found {
            family,
            marks,
            boards,
            strength: chain::DEFAULT,
            base,
            ended,
            barred,
            others,
        }
    }
}

fn name(mark: &Mark<'_>) -> Name {
    let place = match mark.kind {
        None => format!("complaint {}", mark.place),
        Some(_) => mark.place.to_owned(),
    };
    Name {
        kind: mark.kind.unwrap_or(FindingKind::Other),
        place,
        held: false,
        state: Some(mark.state.to_owned()).filter(|s| !s.is_empty()),
        when: When::BeforeAction,
        polarity: None,
    }
}

/// Finds the patterns that hold on several boards, by circuit.
pub fn find<'a>(sheets: &'a [&'a Sheet]) -> Vec<Found<'a>> {
    let bench = Bench::of(sheets);
    let mut found: Vec<Found<'a>> = Vec::new();
    let mut seen: BTreeSet<(&str, String)> = BTreeSet::new();
    let families: Vec<(&str, f64, BTreeSet<Mark<'_>>)> = bench
        .families()
        .into_iter()
        .map(|(family, base)| (family, base, bench.candidates(family)))
        .collect();
    let mut tried: BTreeSet<(&str, Vec<Mark<'_>>)> = BTreeSet::new();
    for way in Way::all().filter(|_| !families.is_empty()) {
        let (marks, table) = bench.table(way);
        for (family, base, known) in &families {
            let candidates: Vec<usize> = (0..marks.len())
                .filter(|at| known.contains(&marks[*at]))
                .collect();
            // Where a circuit's jobs say a thing one way only, another way chooses the same.
            let said = candidates.iter().map(|at| marks[*at]).collect();
            if !tried.insert((family, said)) {
                continue;
            }
            for variant in VARIANTS {
                for pattern in patterns(&bench, (&marks, &table), family, variant, &candidates) {
                    if seen.insert((family, key(&pattern))) {
                        found.push(bench.count(family, *base, pattern));
                    }
                }
            }
        }
    }
    // The strength is of the shop's boards, so all patterns that might hold choose it together.
    found.retain(may_hold);
    let counts: Vec<Counts<'_>> = found.iter().map(counts).collect();
    let strength = chain::strength(&counts);
    for (found, counts) in found.iter_mut().zip(&counts) {
        found.strength = strength;
        for (board, share) in found.boards.iter_mut().zip(counts.shares(strength)) {
            board.share = share;
        }
        found
            .boards
            .sort_by(|a, b| b.k.cmp(&a.k).then(a.n.cmp(&b.n)).then(a.board.cmp(b.board)));
    }
    drop(counts);
    found.retain(holds);
    chosen(found)
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
fn patterns<'a>(
    bench: &Bench<'a>,
    (marks, table): (&[Mark<'a>], &Table),
    family: &str,
    variant: Option<Variant>,
    candidates: &[usize],
) -> Vec<Vec<(Mark<'a>, &'a str)>> {
    let rows = bench.latest();
    let own = |job: Seen<'_>| job.family() == family;
    let asked = |job: Seen<'_>| variant.is_none_or(|v| v == job.row.variant);
    let sides: Vec<Side> = rows
        .iter()
        .map(|(_, job)| match (own(*job), asked(*job)) {
            (false, _) => Side::Rest,
            (true, true) => Side::Fix,
            (true, false) => Side::Apart,
        })
        .collect();
    let enough = sides.iter().filter(|s| **s == Side::Fix).count();
    if enough < BOARDS * JOBS || candidates.len() < FEWEST {
        return Vec::new();
    }
    // Weak names are kept: only parts of the list make a pattern, and those are judged by their jobs.
    let names = pattern::forward(table, &[sides], candidates, RANKED, f64::NEG_INFINITY).names;
    let mut found: BTreeSet<Vec<(Mark<'a>, &'a str)>> = BTreeSet::new();
    let mut known: BTreeSet<Vec<(Mark<'a>, &'a str)>> = BTreeSet::new();
    for (_, job) in rows {
        if !(own(*job) && asked(*job) && job.row.speaks) {
            continue;
        }
        let sights: Vec<(Mark<'a>, &'a str)> = job.sights().collect();
        let value = |mark: &Mark<'_>| {
            let at = sights.binary_search_by(|(known, _)| known.cmp(mark));
            at.ok().map(|at| sights[at].1)
        };
        let seen: Vec<(Mark<'a>, &'a str)> = names
            .iter()
            .filter_map(|name| Some((marks[*name], value(&marks[*name])?)))
            .filter(|(mark, value)| general::may_stand(mark, value))
            .collect();
        // Most jobs of a circuit show what another did.
        if !known.insert(seen.clone()) {
            continue;
        }
        for few in subsets(&seen) {
            let twice = |(a, _): &(Mark<'_>, &str)| few.iter().any(|(b, _)| general::overlap(a, b));
            let wrong = few.iter().any(|(m, v)| general::is_wrong(m, v));
            if wrong && !few.iter().any(twice) {
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
fn chosen(mut found: Vec<Found<'_>>) -> Vec<Found<'_>> {
    found.sort_by_cached_key(|f| {
        let low = interval::wilson(f.ended.len(), f.n()).map_or(0.0, |limits| limits.low);
        let bearing = f.boards.iter().filter(|b| b.bears()).count();
        let steps = (low * 20.0).floor() * 5.0 + 5.0 * count(bearing) - count(f.marks.len());
        let worth = steps + libm::log2(count(f.ended.len())).floor() * 2.0;
        (f.family, std::cmp::Reverse(worth.to_bits()), f.key())
    });
    let mut kept: Vec<Found<'_>> = Vec::new();
    for one in found {
        let of_circuit: Vec<&Found<'_>> = kept.iter().filter(|k| k.family == one.family).collect();
        let row = |job: &Seen<'_>| std::ptr::from_ref(job.row);
        let known: HashSet<*const Row> =
            of_circuit.iter().flat_map(|k| &k.ended).map(row).collect();
        let fresh = one.ended.iter().filter(|job| !known.contains(&row(job)));
        let fresh = fresh.count();
        let brings = FRESH * count(one.ended.len()) <= count(fresh);
        let within = of_circuit
            .iter()
            .any(|k| one.is_part_of(k) || k.is_part_of(&one));
        if of_circuit.len() < OF_A_CIRCUIT && brings && !within {
            kept.push(one);
        }
    }
    kept
}
