//! Which card is which now, by what leads merged, renamed and split.
//!
//! Edits count in the order in which they took effect; of two that send one card elsewhere the later
//! counts. One that would close a ring, so that cards would be each other, counts for nothing. What
//! the edits change about a card itself is left to whoever lays them over the decks.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::desk::divide;
use crate::domain::desk::overlay::Overlay;
use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;

/// Where a card went.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Step {
    /// All of it into another.
    Into(String),
    /// Into one for each value of what its jobs differ in.
    Parts(Divide, Vec<String>),
}

/// Where each card went that is no longer known by its own id.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lineage {
    steps: BTreeMap<String, Step>,
}

/// The card that a job stands for, and how it came there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Card id.
    pub card: String,
    /// Merges and splits on the way.
    pub steps: usize,
    /// The last split on the way, and the value of the job.
    pub part: Option<(Divide, String)>,
}

impl Lineage {
    /// Returns what leads decided, as it stands.
    pub fn standing(overlay: &Overlay) -> Self {
        Self::of(overlay.moves())
    }

    /// Returns what `edits`, in the order in which they took effect, make of the cards' ids.
    pub fn of<'e>(edits: impl IntoIterator<Item = &'e EditEntry>) -> Self {
        let mut lineage = Self::default();
        for entry in edits {
            let step = match &entry.edit {
                Edit::Merge { into } | Edit::Alias { to: into } => Step::Into(into.clone()),
                Edit::Split { by: Some(by), into } if !into.is_empty() => {
                    Step::Parts(*by, into.clone())
                }
                _ => continue,
            };
            if !lineage.leads_back(&step, &entry.card) {
                lineage.steps.insert(entry.card.clone(), step);
            }
        }
        lineage
    }

    /// Returns the ids that cards called `own` go into, on whatever way, and that are neither among
    /// `own` nor parts of a split.
    pub fn beyond(&self, own: &BTreeSet<String>) -> BTreeSet<String> {
        let mut ahead: Vec<&str> = own.iter().map(String::as_str).collect();
        let mut seen: BTreeSet<&str> = ahead.iter().copied().collect();
        let mut beyond = BTreeSet::new();
        while let Some(id) = ahead.pop() {
            let step = self.steps.get(id);
            if let Some(Step::Into(next)) = step
                && !own.contains(next)
                && !self.is_part(next)
            {
                beyond.insert(next.clone());
            }
            let next = step.map(targets).unwrap_or_default();
            ahead.extend(next.into_iter().filter(|next| seen.insert(next)));
        }
        beyond
    }

    /// Returns the same without the merges into any of `ids`.
    #[must_use]
    pub fn without_into(&self, ids: &BTreeSet<String>) -> Self {
        let mut lineage = self.clone();
        let stays = |step: &Step| !matches!(step, Step::Into(next) if ids.contains(next));
        lineage.steps.retain(|_, step| stays(step));
        lineage
    }

    fn is_part(&self, id: &str) -> bool {
        let parts = self.steps.values().filter_map(|step| match step {
            Step::Parts(_, parts) => Some(parts),
            Step::Into(_) => None,
        });
        parts.flatten().any(|part| part == id)
    }

    /// Tells whether no card went anywhere.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// Returns the id by which a card is known now; of a split card, its first part.
    pub fn current<'a>(&'a self, id: &'a str) -> &'a str {
        let mut now = id;
        // No ring is kept, so this ends; the count only says so to the reader.
        for _ in 0..=self.steps.len() {
            match self.steps.get(now) {
                Some(Step::Into(next)) => now = next,
                Some(Step::Parts(_, parts)) => now = &parts[0],
                None => break,
            }
        }
        now
    }

    /// Tells whether anything was decided about card `id`.
    pub fn moves(&self, id: &str) -> bool {
        self.steps.contains_key(id)
    }

    /// Tells whether a job may stand for card `id`, where that is a part of a split card: its value is
    /// that of the part. Every job may stand for a card that is no part.
    pub fn may_stand_for(&self, id: &str, value: &dyn Fn(Divide) -> Option<String>) -> bool {
        let split = self.steps.iter().find_map(|(card, step)| match step {
            Step::Parts(by, parts) if parts.iter().any(|part| part == id) => Some((card, *by)),
            _ => None,
        });
        split.is_none_or(|(card, by)| {
            value(by).is_some_and(|value| divide::part_id(card, by, &value) == id)
        })
    }

    /// Returns the card that a job of card `id` stands for now; `value` says what the job has of
    /// something a card may be split by. None where the job does not say it.
    pub fn place(&self, id: &str, value: &dyn Fn(Divide) -> Option<String>) -> Option<Place> {
        let mut at = Place {
            card: id.to_owned(),
            steps: 0,
            part: None,
        };
        let mut seen = BTreeSet::from([at.card.clone()]);
        while let Some(step) = self.steps.get(&at.card) {
            let next = match step {
                Step::Into(next) => next.clone(),
                Step::Parts(by, _) => {
                    let value = value(*by)?;
                    let next = divide::part_id(&at.card, *by, &value);
                    at.part = Some((*by, value));
                    next
                }
            };
            // A part that no edit names may be merged into the card it is of.
            if !seen.insert(next.clone()) {
                break;
            }
            at.card = next;
            at.steps += 1;
        }
        Some(at)
    }

    /// Tells whether going that way leads to `card` again.
    fn leads_back(&self, step: &Step, card: &str) -> bool {
        let mut ahead: Vec<&str> = targets(step);
        let mut seen = BTreeSet::new();
        while let Some(id) = ahead.pop() {
            if id == card {
                return true;
            }
            if seen.insert(id)
                && let Some(next) = self.steps.get(id)
            {
                ahead.extend(targets(next));
            }
        }
        false
    }
}

fn targets(step: &Step) -> Vec<&str> {
    match step {
        Step::Into(next) => vec![next],
        Step::Parts(_, parts) => parts.iter().map(String::as_str).collect(),
    }
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;
    use proptest::prelude::*;

    use super::*;

    fn entry(card: &str, edit: Edit) -> EditEntry {
        EditEntry {
            id: String::new(),
            bench: "b7".to_owned(),
            seq: 0,
            at: DateTime::UNIX_EPOCH,
            by: "TL".to_owned(),
            card: card.to_owned(),
            after: None,
            edit,
        }
    }

    fn merge(card: &str, into: &str) -> EditEntry {
        let into = into.to_owned();
        entry(card, Edit::Merge { into })
    }

    #[test]
    fn a_chain_of_merges_is_followed_to_its_end() {
        let lineage = Lineage::of(&[merge("a", "b"), merge("b", "c")]);
        assert_eq!(lineage.current("a"), "c");
        assert_eq!(lineage.current("x"), "x");
        assert_eq!(lineage.place("a", &|_| None).unwrap().steps, 2);
    }

    #[test]
    fn a_merge_into_something_that_is_no_card_of_the_board_is_told_and_can_be_left_out() {
        let lineage = Lineage::of(&[merge("a", "b"), merge("b", "x"), merge("c", "d")]);
        let own: BTreeSet<String> = ["a", "b", "c", "d"].map(str::to_owned).into();
        let beyond = lineage.beyond(&own);
        assert_eq!(beyond, BTreeSet::from(["x".to_owned()]));
        let rest = lineage.without_into(&beyond);
        assert_eq!((rest.current("a"), rest.current("c")), ("b", "d"));
        assert!(rest.beyond(&own).is_empty());
    }

    #[test]
    fn only_jobs_with_its_value_may_stand_for_a_part_of_a_split_card() {
        let part = |value: &str| divide::part_id("a", Divide::Revision, value);
        let into = vec![part("B"), part("C")];
        let by = Some(Divide::Revision);
        let lineage = Lineage::of(&[entry("a", Edit::Split { by, into })]);
        let of = |rev: Option<&str>, card: &str| {
            lineage.may_stand_for(card, &|_| rev.map(str::to_owned))
        };
        assert!(of(Some("B"), &part("B")));
        assert!(!of(Some("C"), &part("B")));
        assert!(!of(None, &part("B")));
        assert!(of(Some("C"), "x"), "a card that is no part");
    }

    #[test]
    fn the_edit_that_would_close_a_ring_counts_for_nothing() {
        let lineage = Lineage::of(&[merge("a", "b"), merge("b", "a"), merge("c", "c")]);
        assert_eq!(lineage.current("a"), "b");
        assert_eq!(lineage.current("b"), "b");
        assert_eq!(lineage.current("c"), "c");
    }

    #[test]
    fn memory_goes_with_the_first_part_and_jobs_with_their_own() {
        let part = |value: &str| divide::part_id("a", Divide::Revision, value);
        let split = Edit::Split {
            by: Some(Divide::Revision),
            into: vec![part("C"), part("B")],
        };
        let lineage = Lineage::of(&[entry("a", split), merge(&part("B"), "a")]);
        assert_eq!(lineage.current("a"), part("C"));
        let place = |rev: Option<&str>| lineage.place("a", &|_| rev.map(str::to_owned));
        assert_eq!(place(Some("B")).unwrap().card, part("B"));
        assert_eq!(place(Some("D")).unwrap().card, part("D"));
        assert_eq!(place(None), None);
    }

    proptest! {
        /// However leads merge, every card is known by an id that went nowhere.
        #[test]
        fn whatever_is_merged_ends_somewhere(pairs in prop::collection::vec((0_u8..6, 0_u8..6), 0..20)) {
            let name = |n: u8| format!("c{n}");
            let edits: Vec<EditEntry> =
                pairs.iter().map(|(a, b)| merge(&name(*a), &name(*b))).collect();
            let lineage = Lineage::of(&edits);
            for n in 0..6 {
                let id = name(n);
                let now = lineage.current(&id);
                prop_assert!(!lineage.moves(now));
                let place = lineage.place(&id, &|_| None).unwrap();
                prop_assert_eq!(place.card, now);
            }
        }
    }
}
