//! The tables as one shop has them: its own words over the built-in ones.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::domain::intake::words::acts;
use crate::domain::intake::words::complaints;
use crate::domain::intake::words::customers;
use crate::domain::intake::words::endings;
use crate::domain::intake::words::lexicon::Lexicon;
use crate::domain::intake::words::nouns;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::intake::words::trials;
use crate::domain::intake::words::verdicts;
use crate::domain::job::ACTS;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::DRAWS;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::SIGNS;

static BUILT_IN: LazyLock<Lexicon> = LazyLock::new(|| {
    let mut lexicon = Lexicon::default();
    acts::add(&mut lexicon);
    complaints::add(&mut lexicon);
    customers::add(&mut lexicon);
    endings::add(&mut lexicon);
    nouns::add(&mut lexicon);
    trials::add(&mut lexicon);
    verdicts::add(&mut lexicon);
    lexicon
});

/// The tables as one shop has them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    shop: BTreeMap<String, BTreeMap<String, String>>,
    own: Lexicon,
}

impl Words {
    /// Returns the built-in tables with a shop's own words before them. A word whose meaning is not in
    /// the vocabulary of its table says nothing.
    pub fn with_shop(shop: &BTreeMap<String, BTreeMap<String, String>>) -> Self {
        let mut own = Lexicon::default();
        for (table, words) in shop {
            for (word, meaning) in words {
                if let Some(sense) = sense(table, meaning) {
                    own.add(word, &sense);
                }
            }
        }
        Self {
            shop: shop.clone(),
            own,
        }
    }

    /// Returns what a shop's own table says of `word`.
    pub fn of_shop(&self, table: &str, word: &str) -> Option<&str> {
        self.shop.get(table)?.get(word).map(String::as_str)
    }

    /// Returns the longest phrase that starts with `first` (see [`Lexicon::longest`]); of two equally
    /// long ones the shop's.
    pub fn longest<'w>(
        &self,
        first: &str,
        word: impl Fn(usize) -> Option<&'w str>,
    ) -> Option<(usize, &[Sense])> {
        let built_in = BUILT_IN.longest(first, &word);
        if self.own.is_empty() {
            return built_in;
        }
        let own = self.own.longest(first, &word);
        match (own, built_in) {
            (Some(own), Some(built_in)) if built_in.0 > own.0 => Some(built_in),
            (own, built_in) => own.or(built_in),
        }
    }
}

/// Returns what a shop's word means by its table.
fn sense(table: &str, meaning: &str) -> Option<Sense> {
    let of = |list: &[&'static str]| list.iter().copied().find(|w| *w == meaning);
    match table {
        "acts" => of(&ACTS).map(Sense::Act),
        "verdicts" => verdict(meaning).map(Sense::Verdict),
        "draws" => of(&DRAWS).map(Sense::Draw),
        "signs" => of(&SIGNS).map(Sense::Sign),
        "complaints" => of(&COMPLAINTS).map(Sense::Complaint),
        "outcomes" => end(meaning).map(Sense::End),
        "no_fix" => of(&NO_FIX_REASONS).map(Sense::NoFix),
        "environment" => Some(Sense::Environment(meaning.to_owned().into())),
        "families" => Some(Sense::Family(meaning.to_owned().into())),
        "negation" => Some(Sense::Not),
        "in_vain" => Some(Sense::InVain),
        _ => None,
    }
}

fn end(word: &str) -> Option<End> {
    match word {
        "held" => Some(End::Held),
        "bounced-same-fault" => Some(End::SameFault),
        "bounced-other-fault" => Some(End::OtherFault),
        "unknown-so-far" => Some(End::Good),
        "no-fix" => Some(End::NoFix),
        _ => None,
    }
}

fn verdict(word: &str) -> Option<Verdict> {
    Some(match word {
        "absent" | "missing" => Verdict::Absent,
        "low" => Verdict::Low,
        "in-band" | "as-reference" => Verdict::Good,
        "high" => Verdict::High,
        "pulsing" => Verdict::Pulsing,
        "noisy" => Verdict::Noisy,
        "hard-short" | "short" => Verdict::Short,
        "open" => Verdict::Open,
        "OL" => Verdict::OverRange,
        "stuck-high" => Verdict::StuckHigh,
        "stuck-low" => Verdict::StuckLow,
        "mid-level" => Verdict::Mid,
        "wrong-frequency" => Verdict::WrongFrequency,
        "present" => Verdict::Present,
        "hot" => Verdict::Hot,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said<'w>(words: &'w Words, text: &str) -> Option<(usize, &'w [Sense])> {
        let split: Vec<&str> = text.split(' ').collect();
        words.longest(split[0], |n| split.get(n + 1).copied())
    }

    #[test]
    fn a_shop_word_is_looked_at_first_and_a_bad_meaning_says_nothing() {
        let acts = BTreeMap::from([
            ("exorcised".to_owned(), "replace".to_owned()),
            ("cleaned".to_owned(), "other".to_owned()),
            ("swept".to_owned(), "sweep".to_owned()),
        ]);
        let words = Words::with_shop(&BTreeMap::from([("acts".to_owned(), acts)]));
        let act = |act| Some((0, vec![Sense::Act(act)]));
        let owned = |found: Option<(usize, &[Sense])>| found.map(|(n, s)| (n, s.to_vec()));
        assert_eq!(owned(said(&words, "exorcised")), act("replace"));
        assert_eq!(owned(said(&words, "cleaned")), act("other"));
        assert_eq!(said(&words, "swept"), None);
        assert_eq!(owned(said(&Words::default(), "cleaned")), act("clean"));
        assert_eq!(words.of_shop("acts", "exorcised"), Some("replace"));
    }

    #[test]
    fn every_table_of_a_shop_reaches_the_reader() {
        for (table, meaning) in [
            ("acts", "reball"),
            ("verdicts", "absent"),
            ("draws", "cycling"),
            ("signs", "residue"),
            ("complaints", "no-power"),
            ("outcomes", "held"),
            ("no_fix", "value-exceeded"),
            ("environment", "salt-water"),
            ("families", "standby"),
            ("negation", ""),
            ("in_vain", ""),
        ] {
            assert!(sense(table, meaning).is_some(), "{table}");
        }
        assert_eq!(sense("headers", "job"), None);
    }
}
