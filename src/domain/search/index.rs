//! An index over jobs, or over cards, in memory.
//!
//! How hits are ranked is in [`ranked`], what of a job is searched for in
//! [`builder`](super::builder).
//!
//! A finding taken after the repair is proof, not what the board came in with, so its band is not
//! looked at.

use std::borrow::Cow;
use std::convert::Infallible;

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::search::atoms::Atoms;
use crate::domain::search::bm25::Ranking;
use crate::domain::search::builder::Builder;
use crate::domain::search::ranked;
use crate::domain::search::ranked::Posting;
use crate::domain::search::ranked::Reading;
use crate::domain::search::ranked::Shelf;
use crate::domain::search::readings;
use crate::domain::search::readings::Asked;
use crate::domain::search::terms::Vocabulary;

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
    /// Only with a finding of this kind at this place, taken before the repair.
    pub at_place: Option<(FindingKind, String)>,
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

/// A searchable archive.
#[derive(Clone, Debug, Default)]
pub struct Index {
    pub(super) vocabulary: Vocabulary,
    pub(super) boards: Vec<Board>,
    pub(super) ranking: Ranking,
    pub(super) ranks: Vec<u32>,
    pub(super) atoms: Atoms,
    /// Readings by atom.
    pub(super) readings: Vec<Vec<Reading>>,
}

impl Shelf for Index {
    type Error = Infallible;

    fn len(&self) -> usize {
        self.ranking.len()
    }

    fn total(&self) -> u64 {
        self.ranking.total()
    }

    fn atoms(&self) -> &Atoms {
        &self.atoms
    }

    fn list(&self, term: &str) -> Result<Cow<'_, [Posting]>, Infallible> {
        Ok(Cow::Borrowed(self.ranking.list(term)))
    }

    fn lengths(&self) -> Result<Cow<'_, [u32]>, Infallible> {
        Ok(Cow::Borrowed(self.ranking.lengths()))
    }

    fn ranks(&self) -> Result<Cow<'_, [u32]>, Infallible> {
        Ok(Cow::Borrowed(&self.ranks))
    }

    fn readings(&self, at: usize) -> Result<Cow<'_, [Reading]>, Infallible> {
        Ok(Cow::Borrowed(&self.readings[at]))
    }
}

impl Index {
    /// Returns an index over `jobs`.
    pub fn new(jobs: &[Job], boards: &[Board], words: &Synonyms) -> Self {
        let mut builder = Builder::new(boards, words);
        for job in jobs {
            builder.add_job(job, "");
        }
        builder.finish()
    }

    /// Returns an index over `jobs` that finds them by their notes and the names of their boards as
    /// well (`notes[i]` belongs to `jobs[i]`; missing ones are empty).
    ///
    /// For the archive only: a note never appears on a card or in a brief.
    pub fn with_notes(jobs: &[Job], notes: &[String], boards: &[Board], words: &Synonyms) -> Self {
        let mut builder = Builder::new(boards, words).naming_boards();
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

    /// Returns every term that a document holds, with its list, in no order.
    pub fn lists(&self) -> impl Iterator<Item = (&str, &[Posting])> {
        self.ranking.lists()
    }

    /// Returns the readings of each atom, by document.
    pub fn by_atom(&self) -> &[Vec<Reading>] {
        &self.readings
    }

    /// Returns the length of each document, in terms.
    pub fn by_length(&self) -> &[u32] {
        self.ranking.lengths()
    }

    /// Returns the place of each document among documents of the same score, 0 for the first.
    pub fn by_rank(&self) -> &[u32] {
        &self.ranks
    }

    /// Takes the words of a query apart: which findings they ask for.
    pub fn read(&self, words: &str) -> Asked {
        readings::read(words, &self.atoms)
    }

    /// Returns the best `limit` hits, best first.
    pub fn find(&self, query: &Query, limit: usize) -> Vec<Hit> {
        match ranked::find(self, &self.vocabulary, &self.boards, query, limit) {
            Ok(hits) => hits,
        }
    }
}
