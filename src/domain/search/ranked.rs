//! How documents are ranked, wherever their lists lie: in memory or in a file.
//!
//! A score has two parts: the words by [`bm25`], and for each finding that the query asks for,
//! [`FINDING_WEIGHT`] times its rarity where the job has one of the same band at the same place,
//! and up to half as much again where the numbers are close. What the query denies ("no residue")
//! takes every job out that has it. After the score the rank of the document decides: the later
//! closing day goes first, then the job's number.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::domain::job::Board;
use crate::domain::search::atoms::Atoms;
use crate::domain::search::bm25;
use crate::domain::search::index::Hit;
use crate::domain::search::index::Query;
use crate::domain::search::readings;
use crate::domain::search::readings::Sought;
use crate::domain::search::terms::Vocabulary;
use crate::domain::search::terms::board_term;
use crate::domain::search::terms::family_term;
use crate::domain::search::terms::kind_term;
use crate::domain::search::terms::number_term;
use crate::domain::search::terms::outcome_term;
use crate::domain::text::clean;

/// How many times a finding weighs what a word of the same rarity weighs at most.
pub const FINDING_WEIGHT: f64 = 2.0;

/// A document and how often it has a term.
pub type Posting = (u32, u32);

/// One reading of a document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The document.
    pub doc: u32,
    /// Its numbers, equal for a single one (unit of the kind).
    pub span: Option<(f64, f64)>,
}

/// Documents by what stands in them.
pub trait Shelf {
    /// Why something could not be looked up.
    type Error;
    /// Returns how many documents there are.
    fn len(&self) -> usize;
    /// Tells whether there are none.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// Returns the lengths of all documents together, in terms.
    fn total(&self) -> u64;
    /// Returns the atoms.
    fn atoms(&self) -> &Atoms;
    /// Returns the documents that hold `term`, rising; none if nothing does.
    fn list(&self, term: &str) -> Result<Cow<'_, [Posting]>, Self::Error>;
    /// Returns the length of every document, in terms.
    fn lengths(&self) -> Result<Cow<'_, [u32]>, Self::Error>;
    /// Returns every document's place among documents of the same score, 0 for the first.
    fn ranks(&self) -> Result<Cow<'_, [u32]>, Self::Error>;
    /// Returns the readings of atom `at`, by document.
    fn readings(&self, at: usize) -> Result<Cow<'_, [Reading]>, Self::Error>;
}

/// Returns the best `limit` hits for `query`, best first.
pub fn find<S: Shelf>(
    shelf: &S,
    vocabulary: &Vocabulary,
    boards: &[Board],
    query: &Query,
    limit: usize,
) -> Result<Vec<Hit>, S::Error> {
    if limit == 0 {
        return Ok(Vec::new());
    }
    let asked = readings::read(&query.words, shelf.atoms());
    let mut terms = vocabulary.of_query(&asked.words);
    // A job's number is one word, whatever it looks like.
    let numbers = query.words.split_whitespace().map(number_term);
    terms.extend(numbers.map(|number| (number, 1.0)));
    let mut words = Vec::with_capacity(terms.len());
    for (term, weight) in terms {
        let list = shelf.list(&term)?;
        words.push(Word { term, weight, list });
    }
    let matched = all_matched(shelf, boards, &asked.sought)?;
    let denied = all_matched(shelf, boards, &asked.denied)?;

    let mut scores = score(shelf, &words)?;
    for found in &matched {
        for (doc, degree) in &found.docs {
            scores[*doc as usize] += FINDING_WEIGHT * found.idf * degree;
        }
    }
    let passing = passing(shelf, query, &denied)?;
    let only_denies = !asked.denied.is_empty() && asked.words.is_empty();
    let everything = query.words.trim().is_empty() || only_denies && matched.is_empty();
    let ranks = shelf.ranks()?;
    let mut order: Vec<(f64, u32, usize)> = (0..shelf.len())
        .filter(|i| everything || scores[*i] > 0.0)
        .filter(|i| passing.as_ref().is_none_or(|passing| passing[*i]))
        .map(|i| (scores[i], ranks[i], i))
        .collect();
    let better = |a: &(f64, u32, usize), b: &(f64, u32, usize)| {
        let by_score = b.0.total_cmp(&a.0);
        by_score.then_with(|| (a.1, a.2).cmp(&(b.1, b.2)))
    };
    if order.len() > limit {
        order.select_nth_unstable_by(limit - 1, better);
        order.truncate(limit);
    }
    order.sort_unstable_by(better);
    let hits = order.into_iter().map(|(score, _, at)| Hit {
        at,
        score,
        why: why(at, &words, &matched, &denied),
    });
    Ok(hits.collect())
}

/// A word of the query and the documents that hold it.
pub(super) struct Word<'a> {
    pub(super) term: String,
    pub(super) weight: f64,
    pub(super) list: Cow<'a, [Posting]>,
}

/// Returns every document's score by words alone.
pub(super) fn score<S: Shelf>(shelf: &S, words: &[Word<'_>]) -> Result<Vec<f64>, S::Error> {
    let mut scores = vec![0.0; shelf.len()];
    if words.iter().all(|word| word.list.is_empty()) {
        return Ok(scores);
    }
    let lengths = shelf.lengths()?;
    let size = bm25::Size::new(shelf.len(), shelf.total());
    for word in words {
        size.score(&word.list, &lengths, word.weight, &mut scores);
    }
    Ok(scores)
}

struct Matched<'a> {
    sought: &'a Sought,
    idf: f64,
    /// Documents and how well each answers, rising.
    docs: Vec<(u32, f64)>,
}

impl Matched<'_> {
    fn degree(&self, doc: usize) -> Option<f64> {
        let at = self.docs.binary_search_by_key(&doc, |(d, _)| *d as usize);
        at.ok().map(|at| self.docs[at].1)
    }
}

fn all_matched<'a, S: Shelf>(
    shelf: &S,
    boards: &[Board],
    sought: &'a [Sought],
) -> Result<Vec<Matched<'a>>, S::Error> {
    let one = |sought| matched(shelf, boards, sought);
    sought.iter().map(one).collect()
}

/// Returns the documents with a finding like `sought`, each with its best reading's degree.
fn matched<'a, S: Shelf>(
    shelf: &S,
    boards: &[Board],
    sought: &'a Sought,
) -> Result<Matched<'a>, S::Error> {
    let atoms = shelf.atoms();
    let mut docs: Vec<(u32, f64)> = Vec::new();
    for at in atoms.fitting(sought, boards) {
        let implied = atoms.implied(&atoms.list[at]);
        for reading in shelf.readings(at)?.iter() {
            if let Some(degree) = sought.degree(reading.span, implied) {
                docs.push((reading.doc, degree));
            }
        }
    }
    docs.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
    docs.dedup_by_key(|(doc, _)| *doc);
    Ok(Matched {
        sought,
        idf: bm25::idf(shelf.len(), docs.len()),
        docs,
    })
}

/// Returns which documents pass the filters and have nothing that was denied; none if all do.
fn passing<S: Shelf>(
    shelf: &S,
    query: &Query,
    denied: &[Matched<'_>],
) -> Result<Option<Vec<bool>>, S::Error> {
    let board = query.board.as_deref().map(board_term);
    let family = query.family.as_deref().map(family_term);
    let outcome = query.outcome.map(outcome_term);
    let kinds = query.kinds.iter().map(|kind| kind_term(*kind));
    let terms: Vec<String> = board
        .into_iter()
        .chain(family)
        .chain(outcome)
        .chain(kinds)
        .collect();
    if terms.is_empty() && query.at_place.is_none() && denied.iter().all(|d| d.docs.is_empty()) {
        return Ok(None);
    }
    let mut passing = vec![true; shelf.len()];
    let mut only = |docs: &mut dyn Iterator<Item = u32>| {
        let mut there = vec![false; passing.len()];
        docs.for_each(|doc| there[doc as usize] = true);
        passing
            .iter_mut()
            .zip(there)
            .for_each(|(pass, there)| *pass &= there);
    };
    for term in terms {
        only(&mut shelf.list(&term)?.iter().map(|(doc, _)| *doc));
    }
    if let Some((kind, place)) = &query.at_place {
        let mut docs = Vec::new();
        for at in shelf.atoms().at_place(*kind, &readings::place(place)) {
            docs.extend(shelf.readings(at)?.iter().map(|reading| reading.doc));
        }
        only(&mut docs.into_iter());
    }
    for (doc, _) in denied.iter().flat_map(|denied| &denied.docs) {
        passing[*doc as usize] = false;
    }
    Ok(Some(passing))
}

fn why(
    doc: usize,
    terms: &[Word<'_>],
    matched: &[Matched<'_>],
    denied: &[Matched<'_>],
) -> Vec<String> {
    let mut why: Vec<String> = matched
        .iter()
        .filter(|found| found.degree(doc).is_some())
        .map(|found| clean(&found.sought.words))
        .collect();
    let said = why.join(" ").to_lowercase();
    let holds = |word: &&Word<'_>| {
        let at = word.list.binary_search_by_key(&doc, |(d, _)| *d as usize);
        at.is_ok()
    };
    let mut words: Vec<&str> = terms
        .iter()
        .filter(holds)
        .map(|word| word.term.as_str())
        .filter(|term| !said.contains(&term.to_lowercase()))
        .collect();
    let mut seen = BTreeSet::new();
    words.retain(|w| seen.insert(*w));
    if !words.is_empty() {
        why.push(format!("words: {}", clean(&words.join(", "))));
    }
    // Nothing recorded is not the same as looked for and not there.
    let none = denied
        .iter()
        .map(|d| format!("{}: none recorded", clean(&d.sought.words)));
    why.extend(none);
    why
}
