//! Ranking documents by the words of a query: BM25.
//!
//! Variant: idf = ln(1 + (N - n + 0.5) / (n + 0.5)), which is never negative however small the
//! archive; tf / (tf + k1 (1 - b + b len / mean)) without the constant factor k1 + 1; k1 = 1.2,
//! b = 0.75. A word that stands twice in the query counts twice. Source: Robertson & Zaragoza 2009,
//! The Probabilistic Relevance Framework: BM25 and Beyond, Foundations and Trends in
//! Information Retrieval 3:333-389 (from memory).

use std::collections::HashMap;

use crate::domain::units;

/// How soon repeating a word stops helping.
pub const K1: f64 = 1.2;
/// How much a long document is held back.
pub const B: f64 = 0.75;

/// Documents as counts of words.
#[derive(Clone, Debug, Default)]
pub struct Ranking {
    ids: HashMap<String, u32>,
    lists: Vec<Vec<(u32, u32)>>,
    lengths: Vec<u32>,
    total: u64,
}

impl Ranking {
    /// Returns the number of `term`, giving it one if it is new.
    pub fn intern(&mut self, term: &str) -> u32 {
        if let Some(id) = self.ids.get(term) {
            return *id;
        }
        let id = u32::try_from(self.lists.len()).unwrap_or(u32::MAX);
        self.ids.insert(term.to_owned(), id);
        self.lists.push(Vec::new());
        id
    }

    /// Adds a document of interned terms, which are sorted in the doing.
    pub fn add(&mut self, terms: &mut [u32]) {
        let doc = u32::try_from(self.lengths.len()).unwrap_or(u32::MAX);
        let length = u32::try_from(terms.len()).unwrap_or(u32::MAX);
        terms.sort_unstable();
        for run in terms.chunk_by(|a, b| a == b) {
            let times = u32::try_from(run.len()).unwrap_or(u32::MAX);
            self.lists[run[0] as usize].push((doc, times));
        }
        self.lengths.push(length);
        self.total += u64::from(length);
    }

    /// Returns how many documents there are.
    pub fn len(&self) -> usize {
        self.lengths.len()
    }

    /// Tells whether there are none.
    pub fn is_empty(&self) -> bool {
        self.lengths.is_empty()
    }

    /// Notes that the document that is added next has `term`, which is no word of its text: a filter
    /// finds it, and its length stays as it is.
    pub fn mark(&mut self, term: &str) {
        let id = self.intern(term);
        let doc = u32::try_from(self.lengths.len()).unwrap_or(u32::MAX);
        let list = &mut self.lists[id as usize];
        if list.last().is_none_or(|(last, _)| *last != doc) {
            list.push((doc, 1));
        }
    }

    /// Returns the lengths of all documents together, in terms.
    pub fn total(&self) -> u64 {
        self.total
    }

    /// Returns the length of every document, in terms.
    pub fn lengths(&self) -> &[u32] {
        &self.lengths
    }

    /// Returns the documents that hold `term`, with how often, rising.
    pub fn list(&self, term: &str) -> &[(u32, u32)] {
        let id = self.ids.get(term);
        id.map_or(&[], |id| &self.lists[*id as usize])
    }

    /// Returns every term that a document holds, with its list, in no order.
    pub fn lists(&self) -> impl Iterator<Item = (&str, &[(u32, u32)])> {
        let all = self.ids.iter();
        all.map(|(term, id)| (term.as_str(), self.lists[*id as usize].as_slice()))
            .filter(|(_, list)| !list.is_empty())
    }

    /// Numbers the documents anew: `to[i]` is the number of what was document `i`, none where it
    /// is left out. The new numbers are those from 0 up, each once.
    pub fn renumber(&mut self, to: &[Option<u32>]) {
        for list in &mut self.lists {
            let kept = list
                .iter()
                .filter_map(|(doc, n)| Some((to[*doc as usize]?, *n)));
            *list = kept.collect();
            list.sort_unstable();
        }
        let mut lengths = vec![0; to.iter().flatten().count()];
        for (length, to) in self.lengths.iter().zip(to) {
            if let Some(to) = to {
                lengths[*to as usize] = *length;
            }
        }
        self.total = lengths.iter().map(|n| u64::from(*n)).sum();
        self.lengths = lengths;
    }
}

/// Returns how much a thing tells that `n` of `all` documents hold; rarer tells more.
pub fn idf(all: usize, n: usize) -> f64 {
    let (all, n) = (units::count(all), units::count(n));
    libm::log1p((all - n + 0.5) / (n + 0.5))
}

/// How many documents there are, and how long they are in the mean.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    all: usize,
    mean: f64,
}

impl Size {
    /// Returns the size of `all` documents that hold `total` terms together.
    #[expect(
        clippy::cast_precision_loss,
        reason = "a shop has fewer than 2^53 words"
    )]
    pub fn new(all: usize, total: u64) -> Self {
        let mean = total as f64 / units::count(all).max(1.0);
        Self { all, mean }
    }

    /// Adds the scores of one word of a query, times `weight`, to `scores` (one a document); `list`
    /// holds the documents that have it, and how often.
    pub fn score(self, list: &[(u32, u32)], lengths: &[u32], weight: f64, scores: &mut [f64]) {
        let idf = idf(self.all, list.len());
        for (doc, times) in list {
            let tf = f64::from(*times);
            let length = f64::from(lengths[*doc as usize]);
            let held_back = K1 * (1.0 - B + B * length / self.mean);
            scores[*doc as usize] += weight * idf * tf / (tf + held_back);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ranking(documents: &[&str]) -> Ranking {
        let mut ranking = Ranking::default();
        for text in documents {
            let mut terms: Vec<u32> = text.split(' ').map(|w| ranking.intern(w)).collect();
            ranking.add(&mut terms);
        }
        ranking
    }

    fn scores(ranking: &Ranking, query: &str) -> Vec<f64> {
        let mut scores = vec![0.0; ranking.len()];
        let size = Size::new(ranking.len(), ranking.total());
        for word in query.split(' ') {
            size.score(ranking.list(word), ranking.lengths(), 1.0, &mut scores);
        }
        scores
    }

    /// Six invented documents; scores by the formula at full precision, with which the
    /// bm25s library (method "lucene", 32-bit numbers) agrees to 1e-5.
    #[test]
    fn scores_agree_with_a_reference_library() {
        let six = ranking(&[
            "standby rail missing residue at buck regulator replace regulator",
            "current cycles between two values residue at charge controller replace charge controller",
            "main rail short to ground hot capacitor remove capacitor",
            "display dark backlight fuse open replace fuse",
            "current cycles between two values dull joint at regulator reflow regulator",
            "no reset signal clock missing replace crystal",
        ]);
        for (n, want) in [
            (1, 1.540_445_04),
            (2, 1.029_619_42),
            (3, std::f64::consts::LN_2),
        ] {
            assert!((idf(six.len(), n) - want).abs() < 5e-9, "idf of {n}");
        }
        assert!(idf(six.len(), 4) > 0.0, "never negative, however common");
        let zero = 0.0;
        for (query, expected) in [
            (
                "current cycles residue",
                [0.471_515_97, 1.246_421_16, zero, zero, 0.865_226_40, zero],
            ),
            (
                "regulator residue",
                [1.118_335_71, 0.415_473_72, zero, zero, 0.609_242_26, zero],
            ),
            (
                "short capacitor",
                [zero, zero, 1.673_176_19, zero, zero, zero],
            ),
            (
                "current cycles residue regulator regulator",
                [1.765_155_44, 1.246_421_16, zero, zero, 2.083_710_92, zero],
            ),
        ] {
            for (got, want) in scores(&six, query).iter().zip(expected) {
                assert!((got - want).abs() < 5e-9, "{query}: {got} against {want}");
            }
        }
    }

    proptest! {
        /// Laws of the formula: scores are finite and not negative, only documents that hold a word
        /// of the query score, another word never takes score away, and once more of a word never
        /// does either.
        #[test]
        fn words_only_ever_add(
            documents in prop::collection::vec(prop::collection::vec(0u32..6, 1..8), 1..9),
            query in prop::collection::vec(0u32..8, 1..5),
            more in 0u32..8,
        ) {
            let word = |n: &u32| format!("w{n}");
            let mut ranking = Ranking::default();
            for document in &documents {
                let mut terms: Vec<u32> =
                    document.iter().map(|n| ranking.intern(&word(n))).collect();
                ranking.add(&mut terms);
            }
            let asked: Vec<String> = query.iter().map(word).collect();
            let before = scores(&ranking, &asked.join(" "));
            let after = scores(&ranking, &format!("{} {}", asked.join(" "), word(&more)));
            for (i, document) in documents.iter().enumerate() {
                let holds = query.iter().any(|n| document.contains(n));
                prop_assert_eq!(before[i] > 0.0, holds);
                prop_assert!(before[i].is_finite());
                prop_assert!(after[i] >= before[i]);
                for n in &query {
                    let holds = ranking.list(&word(n)).iter().any(|(doc, _)| *doc as usize == i);
                    prop_assert_eq!(holds, document.contains(n));
                }
            }
        }
    }
}
