//! All boards' jobs side by side, coded so that patterns can be sought and counted among them.
//!
//! What makes a pattern, and which patterns hold, is in [`crate::domain::generate::kinds::across::patterns`].

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;

use chrono::NaiveDate;

use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::table::UNRECORDED;
use crate::domain::generate::kinds::across::general::Mark;
use crate::domain::generate::kinds::across::sheet::Seen;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::domain::job::FindingKind;
use crate::domain::job::When;
use crate::domain::units::count;

/// Boards that a pattern needs.
pub const BOARDS: usize = 3;
/// Jobs that each of them needs.
pub const JOBS: usize = 2;
/// Names are chosen over so many of the latest jobs.
pub const LATEST: usize = 3_000;

/// Of each job in turn, yes or no.
#[derive(Clone, Debug, Default)]
pub(super) struct Bits(Vec<u64>);

impl Bits {
    pub(super) fn none(len: usize) -> Self {
        Self(vec![0; len.div_ceil(64)])
    }

    pub(super) fn set(&mut self, at: usize) {
        self.0[at / 64] |= 1 << (at % 64);
    }

    pub(super) fn and(&mut self, other: &Self) {
        for (own, other) in self.0.iter_mut().zip(&other.0) {
            *own &= other;
        }
    }

    /// Returns how many jobs have yes.
    pub(super) fn count(&self) -> usize {
        self.0.iter().map(|bits| bits.count_ones() as usize).sum()
    }

    /// Returns how many jobs have yes here and in `other`.
    pub(super) fn count_with(&self, other: &Self) -> usize {
        let both = self.0.iter().zip(&other.0);
        both.map(|(a, b)| (a & b).count_ones() as usize).sum()
    }

    pub(super) fn has(&self, at: usize) -> bool {
        self.0[at / 64] >> (at % 64) & 1 == 1
    }

    /// Returns the places of the jobs with yes, in order.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
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

/// What is seen somewhere.
pub(super) type Sight<'a> = (Mark<'a>, &'a str);

/// A job among all.
#[derive(Clone, Copy)]
pub(super) struct Place<'a> {
    pub(super) board: usize,
    pub(super) family: usize,
    pub(super) job: Seen<'a>,
}

/// All boards' jobs, oldest first. What was seen goes by number: numbers rise with marks and values.
pub(super) struct Bench<'a> {
    pub(super) sheets: &'a [&'a Sheet],
    pub(super) rows: Vec<Place<'a>>,
    latest: usize,
    pub(super) evidence: Bits,
    /// Circuits of any job, in order.
    pub(super) circuits: Vec<&'a str>,
    /// What was seen on any board.
    pub(super) facts: Vec<Sight<'a>>,
    /// Of each board's facts in turn, their numbers here.
    numbers: Vec<Vec<usize>>,
    /// Words of each fact as a number: two that read the same on a card have one.
    pub(super) words: Vec<usize>,
}

/// The latest jobs, coded.
pub(super) struct Latest<'a> {
    /// Everything that was looked at in them, in order.
    pub(super) marks: Vec<Mark<'a>>,
    pub(super) table: Table,
    /// By mark and value, the fact.
    pub(super) facts: Vec<Vec<Option<usize>>>,
}

impl<'a> Bench<'a> {
    pub(super) fn of(sheets: &'a [&'a Sheet]) -> Self {
        let boards: BTreeSet<&str> = sheets.iter().map(|sheet| sheet.board.as_str()).collect();
        let ranks: BTreeMap<&str, usize> = boards.into_iter().zip(0..).collect();
        let circuits: BTreeSet<&str> = sheets.iter().flat_map(|sheet| sheet.circuits()).collect();
        let circuits: Vec<&str> = circuits.into_iter().collect();
        let rows = sheets.iter().map(|sheet| sheet.rows.len()).sum();
        let mut order: Vec<(NaiveDate, usize, Place<'_>)> = Vec::with_capacity(rows);
        for (board, sheet) in sheets.iter().enumerate() {
            let rank = ranks[sheet.board.as_str()];
            let words = sheet.words.iter();
            let families: Vec<usize> = words
                .map(|word| circuits.binary_search(&word.as_str()).unwrap_or_default())
                .collect();
            order.extend(sheet.jobs().map(|job| {
                let family = families.get(job.row.family as usize);
                let family = family.copied().unwrap_or_default();
                let place = Place { board, family, job };
                (job.row.closed_on, rank, place)
            }));
        }
        if ranks.len() == sheets.len() && sheets.iter().all(|sheet| sheet.is_in_order()) {
            // Of one board and day they stand as they should already.
            order.sort_by_key(|(day, rank, _)| (*day, *rank));
        } else {
            order.sort_by(|a, b| {
                let words = |place: &Place<'a>| (place.job.id(), place.job.job());
                let day = (a.0, a.1).cmp(&(b.0, b.1));
                day.then_with(|| words(&a.2).cmp(&words(&b.2)))
            });
        }
        let rows: Vec<Place<'_>> = order.into_iter().map(|(_, _, place)| place).collect();
        let mut evidence = Bits::none(rows.len());
        for (at, _) in rows.iter().enumerate().filter(|(_, p)| p.job.row.evidence) {
            evidence.set(at);
        }
        let (facts, numbers) = numbered(sheets);
        Self {
            sheets,
            latest: rows.len().saturating_sub(LATEST),
            evidence,
            circuits,
            words: numbered_words(&facts),
            facts,
            numbers,
            rows,
        }
    }

    pub(super) fn latest(&self) -> &[Place<'a>] {
        &self.rows[self.latest..]
    }

    /// Returns what a job showed, rising.
    fn seen(&self, place: &Place<'a>) -> impl Iterator<Item = usize> {
        let numbers = &self.numbers[place.board];
        let facts = place.job.numbers().iter();
        facts.filter_map(|fact| numbers.get(*fact as usize).copied())
    }

    /// Returns the circuits that enough boards know, with the part of all jobs that each has.
    pub(super) fn families(&self) -> Vec<(usize, f64)> {
        let mut per = vec![vec![0_usize; self.sheets.len()]; self.circuits.len()];
        for place in self.rows.iter().filter(|place| place.job.row.speaks) {
            per[place.family][place.board] += 1;
        }
        let own: Vec<usize> = per.iter().map(|boards| boards.iter().sum()).collect();
        let all = own.iter().filter(|own| 0 < **own).count();
        let evidence = self.evidence.count();
        per.into_iter()
            .zip(own)
            .enumerate()
            .filter(|(_, (boards, _))| BOARDS <= boards.iter().filter(|n| JOBS <= **n).count())
            // As the prior of a cause: one more for each.
            .map(|(family, (_, own))| (family, (count(own) + 1.0) / count(evidence + all)))
            .collect()
    }

    /// Codes the latest jobs; values are numbered by the alphabet.
    pub(super) fn coded(&self) -> Latest<'a> {
        let rows = self.latest();
        let known: BTreeSet<usize> = rows.iter().flat_map(|place| self.seen(place)).collect();
        let mut marks: Vec<Mark<'a>> = Vec::new();
        let mut facts: Vec<Vec<Option<usize>>> = Vec::new();
        let mut codes: Vec<(usize, usize)> = vec![(0, 0); self.facts.len()];
        for fact in known {
            let mark = self.facts[fact].0;
            if marks.last() != Some(&mark) {
                marks.push(mark);
                facts.push(Vec::new());
            }
            let last = facts.len() - 1;
            codes[fact] = (last, facts[last].len());
            facts[last].push(Some(fact));
        }
        let mut columns = vec![vec![UNRECORDED; rows.len()]; marks.len()];
        for (row, place) in rows.iter().enumerate() {
            for (mark, value) in self.seen(place).map(|fact| codes[fact]) {
                columns[mark][row] = value;
            }
        }
        // A complaint that was not made is known not to have been; nothing else is.
        let said = marks.iter().zip(&mut facts).zip(&mut columns);
        for ((_, facts), column) in said.filter(|((mark, _), _)| mark.kind.is_none()) {
            if column.contains(&UNRECORDED) {
                facts.insert(0, None);
                for value in column {
                    *value = value.wrapping_add(1);
                }
            }
        }
        let word = |fact: &Option<usize>| fact.map_or("", |fact| self.facts[fact].1).to_owned();
        let words = facts.iter().map(|of| of.iter().map(word).collect());
        let names = marks.iter().map(name);
        let table = names.zip(words).zip(columns);
        Latest {
            table: Table::numbered(table.map(|((n, words), c)| (n, words, c)).collect()),
            facts,
            marks,
        }
    }

    /// Returns the marks of the latest jobs that enough boards of a circuit recorded, without those that
    /// name it.
    pub(super) fn candidates(&self, family: usize, latest: &Latest<'a>) -> Vec<usize> {
        let own = |place: &Place<'_>| place.job.row.speaks && place.family == family;
        let boards: Vec<usize> = self.latest().iter().map(|place| place.board).collect();
        let own: Vec<usize> = (0..boards.len())
            .filter(|row| own(&self.latest()[*row]))
            .collect();
        let mut per = vec![0_usize; self.sheets.len()];
        let asked = |mark: &usize| {
            let column = latest.table.column(*mark);
            per.fill(0);
            for row in &own {
                let value = latest.facts[*mark].get(column[*row]);
                per[boards[*row]] += usize::from(value.is_some_and(Option::is_some));
            }
            BOARDS <= per.iter().filter(|n| JOBS <= **n).count()
                && !latest.marks[*mark].tells.contains(&self.circuits[family])
        };
        (0..latest.marks.len()).filter(asked).collect()
    }

    /// Returns by fact which jobs showed it, for these facts.
    pub(super) fn showed(&self, facts: &BTreeSet<usize>) -> Vec<Option<Bits>> {
        let mut showed: Vec<Option<Bits>> = vec![None; self.facts.len()];
        for fact in facts {
            showed[*fact] = Some(Bits::none(self.rows.len()));
        }
        for (at, place) in self.rows.iter().enumerate() {
            for fact in self.seen(place) {
                if let Some(bits) = &mut showed[fact] {
                    bits.set(at);
                }
            }
        }
        showed
    }

    /// Returns the jobs of a circuit that an answer may stand on.
    pub(super) fn speaking(&self, family: usize) -> Bits {
        let mut own = Bits::none(self.rows.len());
        let rows = self.rows.iter().enumerate();
        rows.filter(|(_, place)| place.family == family && place.job.row.speaks)
            .for_each(|(at, _)| own.set(at));
        own
    }
}

/// Returns what was seen on any board, in order, and of each board's facts their numbers there.
fn numbered<'a>(sheets: &[&'a Sheet]) -> (Vec<Sight<'a>>, Vec<Vec<usize>>) {
    // Boards show much the same: each fact is put in order once.
    let mut known: HashMap<Sight<'_>, usize> = HashMap::new();
    let mut numbers: Vec<Vec<usize>> = Vec::new();
    for sheet in sheets {
        let own = sheet.facts.iter().map(|f| (f.mark(), f.value.as_str()));
        let number = |fact: Sight<'a>| {
            let next = known.len();
            *known.entry(fact).or_insert(next)
        };
        numbers.push(own.map(number).collect());
    }
    let mut order: Vec<(Sight<'_>, usize)> = known.into_iter().collect();
    order.sort_unstable();
    let mut places = vec![0; order.len()];
    for (place, (_, number)) in order.iter().enumerate() {
        places[*number] = place;
    }
    for number in numbers.iter_mut().flatten() {
        *number = places[*number];
    }
    (order.into_iter().map(|(fact, _)| fact).collect(), numbers)
}

fn numbered_words(facts: &[Sight<'_>]) -> Vec<usize> {
    let mut known: HashMap<String, usize> = HashMap::new();
    let number = |fact: &Sight<'_>| {
        let next = known.len();
        *known.entry(word(fact)).or_insert(next)
    };
    facts.iter().map(number).collect()
}

pub(super) fn word((mark, value): &(Mark<'_>, &str)) -> String {
    let kind = mark.kind.map_or("complaint", FindingKind::word);
    format!("{kind}|{}|{}|{value}", mark.place, mark.state)
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
