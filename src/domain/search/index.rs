//! An index over jobs, or over cards, and what it finds.
//!
//! A score has two parts: the words by [`bm25`](super::bm25), and for each finding that the query
//! asks for, [`FINDING_WEIGHT`] times its rarity where the job has one of the same band at the same
//! place, and up to half as much again where the numbers are close. After the score the later
//! closing day goes first, then the job's number.
//!
//! A finding taken after the repair is proof, not what the board came in with, so its band is not
//! looked at.

use std::collections::HashMap;

use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::generate::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::judge::words::Synonyms;
use crate::domain::search::bm25::Ranking;
use crate::domain::search::builder::Builder;
use crate::domain::search::readings;
use crate::domain::search::readings::Asked;
use crate::domain::search::readings::Places;
use crate::domain::search::readings::Sought;
use crate::domain::search::terms::Vocabulary;
use crate::domain::text::clean;

/// How many times a finding weighs what a word of the same rarity weighs at most.
pub const FINDING_WEIGHT: f64 = 2.0;

/// What to find.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Query {
    /// Words and findings as typed; empty finds everything that passes the filters.
    pub words: String,
    /// Only this board.
    pub board: Option<String>,
    /// Only this circuit family (of the proven fault, or contributing).
    pub family: Option<String>,
    /// Only jobs that ended so.
    pub outcome: Option<Outcome>,
    /// Only with a finding of each of these kinds, taken before the repair.
    pub kinds: Vec<FindingKind>,
}

/// Something found.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    /// Index into the jobs or cards that the index was made of.
    pub at: usize,
    /// Score; 0 where the query has no words.
    pub score: f64,
    /// What matched, in words fit for a screen: findings first.
    pub why: Vec<String>,
}

/// Findings of one kind, place, reference and band, whatever their exact numbers.
#[derive(Clone, Debug)]
pub(super) struct Atom {
    /// The finding without its numbers and its word.
    pub(super) shape: Finding,
    pub(super) board: Option<usize>,
    pub(super) place: String,
    pub(super) band: String,
    pub(super) number_band: Option<String>,
    pub(super) docs: Vec<u32>,
}

/// One reading of a document.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    pub(super) atom: u32,
    pub(super) span: Option<(f64, f64)>,
}

/// What the filters and the order look at.
#[derive(Clone, Debug)]
pub(super) struct Document {
    pub(super) board: String,
    pub(super) families: Vec<String>,
    pub(super) outcome: Option<Outcome>,
    pub(super) kinds: u8,
    pub(super) day: Option<NaiveDate>,
    pub(super) number: String,
    pub(super) readings: std::ops::Range<usize>,
}

/// A searchable archive.
#[derive(Clone, Debug, Default)]
pub struct Index {
    pub(super) vocabulary: Vocabulary,
    pub(super) boards: Vec<Board>,
    pub(super) ranking: Ranking,
    pub(super) documents: Vec<Document>,
    pub(super) atoms: Vec<Atom>,
    pub(super) readings: Vec<Reading>,
    /// Bands by folded place.
    pub(super) places: HashMap<String, Vec<(FindingKind, String)>>,
}

impl Places for Index {
    fn bands_at(&self, place: &str) -> Option<&[(FindingKind, String)]> {
        self.places.get(place).map(Vec::as_slice)
    }
}

impl Index {
    /// Returns an index over `jobs`.
    pub fn new(jobs: &[Job], boards: &[Board], words: &Synonyms) -> Self {
        Self::with_notes(jobs, &[], boards, words)
    }

    /// Returns an index over `jobs` that finds them by their notes as well (`notes[i]` belongs to
    /// `jobs[i]`; missing ones are empty).
    ///
    /// For the archive only: a note never appears on a card or in a brief.
    pub fn with_notes(jobs: &[Job], notes: &[String], boards: &[Board], words: &Synonyms) -> Self {
        let mut builder = Builder::new(boards, words);
        for (i, job) in jobs.iter().enumerate() {
            builder.add_job(job, notes.get(i).map_or("", String::as_str));
        }
        builder.finish()
    }

    /// Returns an index over `cards`.
    pub fn of_cards(cards: &[&Card], boards: &[Board], words: &Synonyms) -> Self {
        let mut builder = Builder::new(boards, words);
        for card in cards {
            builder.add_card(card);
        }
        builder.finish()
    }

    /// Returns how many jobs or cards it holds.
    pub fn len(&self) -> usize {
        self.documents.len()
    }

    /// Tells whether it holds none.
    pub fn is_empty(&self) -> bool {
        self.documents.is_empty()
    }

    /// Takes the words of a query apart: which findings they ask for.
    pub fn read(&self, words: &str) -> Asked {
        readings::read(words, self)
    }

    /// Returns the best `limit` hits, best first.
    pub fn find(&self, query: &Query, limit: usize) -> Vec<Hit> {
        let asked = self.read(&query.words);
        let mut terms = self.vocabulary.of_query(&asked.words);
        // A job's number is one word, whatever it looks like.
        let numbers = query.words.split_whitespace().map(number_term);
        terms.extend(numbers.map(|number| (number, 1.0)));
        let matched: Vec<Matched<'_>> = asked.sought.iter().map(|s| self.matched(s)).collect();

        let mut scores = vec![0.0; self.documents.len()];
        for (term, weight) in &terms {
            self.ranking.score(term, *weight, &mut scores);
        }
        for found in &matched {
            for (doc, degree) in &found.docs {
                scores[*doc as usize] += FINDING_WEIGHT * found.idf * degree;
            }
        }
        let everything = query.words.trim().is_empty();
        let mut order: Vec<(f64, usize)> = (0..self.documents.len())
            .filter(|i| everything || scores[*i] > 0.0)
            .filter(|i| passes(&self.documents[*i], query))
            .map(|i| (scores[i], i))
            .collect();
        let better = |a: &(f64, usize), b: &(f64, usize)| {
            let (one, other) = (&self.documents[a.1], &self.documents[b.1]);
            b.0.total_cmp(&a.0)
                .then_with(|| other.day.cmp(&one.day))
                .then_with(|| one.number.cmp(&other.number))
                .then_with(|| a.1.cmp(&b.1))
        };
        if limit == 0 {
            return Vec::new();
        }
        if order.len() > limit {
            order.select_nth_unstable_by(limit - 1, better);
            order.truncate(limit);
        }
        order.sort_by(better);
        order
            .into_iter()
            .map(|(score, at)| Hit {
                at,
                score,
                why: self.why(at, &terms, &matched),
            })
            .collect()
    }

    fn why(&self, doc: usize, terms: &[(String, f64)], matched: &[Matched<'_>]) -> Vec<String> {
        let mut why: Vec<String> = matched
            .iter()
            .filter(|found| found.degree(doc).is_some())
            .map(|found| clean(&found.sought.words))
            .collect();
        let said = why.join(" ").to_lowercase();
        let mut words: Vec<&str> = terms
            .iter()
            .map(|(term, _)| term.as_str())
            .filter(|term| self.ranking.holds(doc, term))
            .filter(|term| !said.contains(&term.to_lowercase()))
            .collect();
        let mut seen = std::collections::BTreeSet::new();
        words.retain(|w| seen.insert(*w));
        if !words.is_empty() {
            why.push(format!("words: {}", clean(&words.join(", "))));
        }
        why
    }

    /// Returns the documents with a finding like `sought`.
    fn matched<'a>(&self, sought: &'a Sought) -> Matched<'a> {
        let exact = sought
            .place
            .as_ref()
            .is_some_and(|place| self.places.contains_key(place));
        let fits: Vec<bool> = self
            .atoms
            .iter()
            .map(|atom| self.fits(atom, sought, exact))
            .collect();
        let mut docs: Vec<u32> = self
            .atoms
            .iter()
            .zip(&fits)
            .filter(|(_, fits)| **fits)
            .flat_map(|(atom, _)| atom.docs.iter().copied())
            .collect();
        docs.sort_unstable();
        docs.dedup();
        let docs: Vec<(u32, f64)> = docs
            .into_iter()
            .filter_map(|doc| Some((doc, self.degree(doc, sought, &fits)?)))
            .collect();
        Matched {
            sought,
            idf: self.ranking.idf(docs.len()),
            docs,
        }
    }

    /// Tells whether readings like `atom` are of the kind, place and band asked for.
    fn fits(&self, atom: &Atom, sought: &Sought, exact: bool) -> bool {
        let kind = atom.shape.kind;
        if let Some(place) = &sought.place
            && !(readings::names(&atom.place, place)
                || !exact && band::named_volts(place).is_some_and(|v| is_rail_of(atom, v)))
        {
            return false;
        }
        let by_word = sought
            .bands
            .iter()
            .any(|(of, band)| *of == kind && *band == atom.band);
        let Some((low, high)) = sought.value else {
            return by_word;
        };
        if !sought.kinds.contains(&kind) || !sought.bands.is_empty() && !by_word {
            return false;
        }
        if kind == FindingKind::Signal && sought.in_hertz != atom.shape.in_hertz {
            return false;
        }
        if by_word {
            return true;
        }
        let mut like = atom.shape.clone();
        if low.to_bits() == high.to_bits() {
            like.got = Some(low);
        } else {
            (like.low, like.high) = (Some(low), Some(high));
        }
        let board = atom.board.map(|at| &self.boards[at]);
        let asked = band::band(&like, board);
        asked.as_ref() == Some(atom.number_band.as_ref().unwrap_or(&atom.band))
    }

    /// Returns how well the best reading of a document answers `sought`: 1 for the band, up to 1.5
    /// with a number close by. A number without a place must be within a factor of two.
    fn degree(&self, doc: u32, sought: &Sought, fits: &[bool]) -> Option<f64> {
        let readings = &self.readings[self.documents[doc as usize].readings.clone()];
        readings
            .iter()
            .filter(|reading| fits[reading.atom as usize])
            .filter_map(|reading| {
                let Some(asked) = sought.value else {
                    return Some(1.0);
                };
                let close = reading.span.map_or(0.0, |span| closeness(asked, span));
                let anywhere = sought.place.is_none() && sought.bands.is_empty();
                (!anywhere || close > 0.0).then_some(1.0 + close / 2.0)
            })
            .max_by(f64::total_cmp)
    }
}

/// Returns the term of a job's number or a card's id.
pub(super) fn number_term(number: &str) -> String {
    format!("no. {}", number.to_uppercase())
}

struct Matched<'a> {
    sought: &'a Sought,
    idf: f64,
    docs: Vec<(u32, f64)>,
}

impl Matched<'_> {
    fn degree(&self, doc: usize) -> Option<f64> {
        let at = self.docs.binary_search_by_key(&doc, |(d, _)| *d as usize);
        at.ok().map(|at| self.docs[at].1)
    }
}

/// Returns 1 where both ends agree, falling to 0 where one is twice the other.
fn closeness(asked: (f64, f64), got: (f64, f64)) -> f64 {
    let one = |a: f64, b: f64| {
        if a.to_bits() == b.to_bits() {
            1.0
        } else if a <= 0.0 || b <= 0.0 {
            0.0
        } else {
            (1.0 - libm::fabs(libm::log2(a / b))).max(0.0)
        }
    };
    one(asked.0, got.0).min(one(asked.1, got.1))
}

fn is_rail_of(atom: &Atom, volts: f64) -> bool {
    band::named_volts(&atom.place).is_some_and(|v| (v - volts).abs() < 1e-9)
}

fn passes(document: &Document, query: &Query) -> bool {
    let board = query.board.as_ref();
    let family = query.family.as_ref();
    board.is_none_or(|b| *b == document.board)
        && family.is_none_or(|f| document.families.contains(f))
        && query.outcome.is_none_or(|o| Some(o) == document.outcome)
        && query.kinds.iter().all(|k| document.kinds & bit(*k) != 0)
}

/// Returns the bit of a kind of finding.
pub(super) fn bit(kind: FindingKind) -> u8 {
    let at = FindingKind::ALL.iter().position(|k| *k == kind);
    at.map_or(0, |at| 1 << at)
}
