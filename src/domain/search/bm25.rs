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

    /// Returns how much a thing that `n` documents hold tells; rarer tells more.
    pub fn idf(&self, n: usize) -> f64 {
        let (all, n) = (units::count(self.len()), units::count(n));
        libm::log1p((all - n + 0.5) / (n + 0.5))
    }

    /// Adds the scores of one word of a query, times `weight`, to `scores` (one a document).
    pub fn score(&self, term: &str, weight: f64, scores: &mut [f64]) {
        let Some(list) = self.list(term) else { return };
        let idf = self.idf(list.len());
        let mean = self.mean_length();
        for (doc, times) in list {
            let tf = f64::from(*times);
            let length = f64::from(self.lengths[*doc as usize]);
            let held_back = K1 * (1.0 - B + B * length / mean);
            scores[*doc as usize] += weight * idf * tf / (tf + held_back);
        }
    }

    /// Tells whether document `doc` holds `term`.
    pub fn holds(&self, doc: usize, term: &str) -> bool {
        let held = |list: &Vec<(u32, u32)>| list.binary_search_by_key(&doc, |(d, _)| *d as usize);
        self.list(term).is_some_and(|list| held(list).is_ok())
    }

    fn list(&self, term: &str) -> Option<&Vec<(u32, u32)>> {
        self.ids.get(term).map(|id| &self.lists[*id as usize])
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "a shop has fewer than 2^53 words"
    )]
    fn mean_length(&self) -> f64 {
        self.total as f64 / units::count(self.len()).max(1.0)
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
        for word in query.split(' ') {
            ranking.score(word, 1.0, &mut scores);
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
        for (n, idf) in [
            (1, 1.540_445_04),
            (2, 1.029_619_42),
            (3, std::f64::consts::LN_2),
        ] {
            assert!((six.idf(n) - idf).abs() < 5e-9, "idf of {n}");
        }
        assert!(six.idf(4) > 0.0, "never negative, however common");
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
                    prop_assert_eq!(ranking.holds(i, &word(n)), document.contains(n));
                }
            }
        }
    }
}
