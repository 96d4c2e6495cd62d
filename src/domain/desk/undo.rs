//! Taking back what a lead did: which edits no longer count, and which were one act.
//!
//! Nothing is ever removed from a journal: an edit is taken back by another one that names it. Whatever
//! saw the one taken back is taken to have seen what that one saw, so that nothing comes apart by it.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;

/// Note of what brings the other card back where two were to go into each other.
pub const SETTLED: &str = "settled";

/// Returns the ids of the edits that were taken back.
pub fn taken_back<'e>(edits: impl Iterator<Item = &'e EditEntry>) -> BTreeSet<&'e str> {
    edits
        .filter_map(|entry| match &entry.edit {
            Edit::Undo { of } => Some(of),
            _ => None,
        })
        .flatten()
        .map(String::as_str)
        .collect()
}

/// Tells whether an edit counts, given the ids of those taken back.
pub fn counts(entry: &EditEntry, taken: &BTreeSet<&str>) -> bool {
    !matches!(entry.edit, Edit::Undo { .. }) && !taken.contains(entry.id.as_str())
}

/// Returns what each edit that saw one taken back is taken to have seen instead, by id.
pub fn seen_instead<'e>(
    edits: impl Iterator<Item = &'e EditEntry> + Clone,
    taken: &BTreeSet<&str>,
) -> BTreeMap<String, Vec<String>> {
    let after: BTreeMap<&str, &Vec<String>> = edits
        .clone()
        .filter(|entry| taken.contains(entry.id.as_str()))
        .filter_map(|entry| Some((entry.id.as_str(), entry.after.as_ref()?)))
        .collect();
    let saw_one = edits.filter_map(|entry| Some((entry, entry.after.as_ref()?)));
    let mut instead = BTreeMap::new();
    for (entry, seen) in saw_one {
        if !seen.iter().any(|id| taken.contains(id.as_str())) {
            continue;
        }
        let mut open: Vec<&str> = seen.iter().map(String::as_str).collect();
        let mut known: BTreeSet<&str> = BTreeSet::new();
        while let Some(id) = open.pop() {
            if known.insert(id) && taken.contains(id) {
                open.extend(
                    after
                        .get(id)
                        .into_iter()
                        .copied()
                        .flatten()
                        .map(String::as_str),
                );
            }
        }
        let left = known.into_iter().filter(|id| !taken.contains(id));
        instead.insert(entry.id.clone(), left.map(str::to_owned).collect());
    }
    instead
}

/// Returns the edits of the last act of `by` at `bench` that counts, in order; none where there is none.
///
/// What a rebuild wrote, and a new name of a card, is no act of anybody.
pub fn last_act<'e>(
    edits: impl Iterator<Item = &'e EditEntry> + Clone,
    bench: &str,
    by: &str,
) -> Vec<&'e EditEntry> {
    let taken = taken_back(edits.clone());
    let mut own: Vec<&EditEntry> = edits
        .filter(|entry| entry.bench == bench && entry.by == by && counts(entry, &taken))
        .filter(|entry| !matches!(entry.edit, Edit::Corrected { .. } | Edit::Alias { .. }))
        .collect();
    own.sort_by(|a, b| (a.seq, &a.id).cmp(&(b.seq, &b.id)));
    let mut act: Vec<&EditEntry> = own.pop().into_iter().collect();
    while let (Some(next), Some(before)) = (act.first(), own.last()) {
        if !is_one_act(before, next) {
            break;
        }
        act.insert(0, before);
        own.pop();
    }
    act
}

/// Tells whether an edit and the next of its bench were written by one act.
fn is_one_act(before: &EditEntry, next: &EditEntry) -> bool {
    let together = before.at == next.at && before.seq + 1 == next.seq;
    let pair = match (&before.edit, &next.edit) {
        // Wordings of the old answer go with it.
        (Edit::Answers { .. }, Edit::Wording { also, .. }) => {
            also.is_empty() && before.card == next.card
        }
        // Hazards that a lead had added go along with the card.
        (Edit::Merge { into }, Edit::Cautions { .. }) => *into == next.card,
        // Of cards that were to go into each other one stays.
        (Edit::Untag { note }, _) => note == SETTLED && before.card != next.card,
        _ => false,
    };
    together && pair
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;
    use chrono::TimeDelta;

    fn entry(bench: &str, seq: u64, minute: i64, card: &str, edit: Edit) -> EditEntry {
        EditEntry {
            id: format!("edit-{bench}-{seq}"),
            bench: bench.to_owned(),
            seq,
            at: samples::at(0) + TimeDelta::minutes(minute),
            by: "mk".to_owned(),
            card: card.to_owned(),
            after: Some(Vec::new()),
            edit,
        }
    }

    fn why(text: &str) -> Edit {
        Edit::Why {
            why: text.to_owned(),
        }
    }

    fn undo(of: &[&str]) -> Edit {
        Edit::Undo {
            of: of.iter().map(|id| (*id).to_owned()).collect(),
        }
    }

    fn ids(act: &[&EditEntry]) -> Vec<String> {
        act.iter().map(|entry| entry.id.clone()).collect()
    }

    #[test]
    fn the_last_act_is_that_of_this_person_at_this_bench_and_goes_back_step_by_step() {
        let mut edits = vec![
            entry("b7", 1, 1, "a", why("one")),
            entry("b7", 2, 2, "a", why("two")),
            entry("b9", 1, 9, "a", why("elsewhere")),
        ];
        let mut other = entry("b7", 3, 3, "a", why("another person's"));
        other.by = "tl".to_owned();
        edits.push(other);
        let last = |edits: &[EditEntry]| ids(&last_act(edits.iter(), "b7", "mk"));
        assert_eq!(last(&edits), ["edit-b7-2"]);
        edits.push(entry("b7", 4, 4, "a", undo(&["edit-b7-2"])));
        assert_eq!(last(&edits), ["edit-b7-1"]);
        edits.push(entry("b7", 5, 5, "a", undo(&["edit-b7-1"])));
        assert_eq!(last(&edits), Vec::<String>::new());
    }

    #[test]
    fn what_one_act_wrote_goes_together_and_two_acts_do_not() {
        let answers = Edit::Answers {
            answers: samples::card("x", "standby", "U31").answers,
        };
        let none = Edit::Wording {
            also: Vec::new(),
            accepted: String::new(),
        };
        let merge = Edit::Merge {
            into: "b".to_owned(),
        };
        let cautions = Edit::Cautions {
            cautions: vec!["mains".to_owned()],
        };
        let last = |first: Edit, minute: i64, second: (&str, Edit)| {
            let edits = [
                entry("b7", 1, 1, "a", first),
                entry("b7", 2, minute, second.0, second.1),
            ];
            last_act(edits.iter(), "b7", "mk").len()
        };
        assert_eq!(last(answers.clone(), 1, ("a", none.clone())), 2);
        assert_eq!(last(answers.clone(), 2, ("a", none.clone())), 1, "later");
        assert_eq!(last(answers, 1, ("b", none)), 1, "of another card");
        assert_eq!(last(merge.clone(), 1, ("b", cautions.clone())), 2);
        assert_eq!(last(merge, 1, ("c", cautions)), 1, "of a third card");
        assert_eq!(last(why("one"), 1, ("a", why("two"))), 1);
    }

    #[test]
    fn what_saw_an_edit_taken_back_saw_what_that_one_saw() {
        let mut edits = [
            entry("b7", 1, 1, "a", why("one")),
            entry("b7", 2, 2, "a", why("two")),
            entry("b7", 3, 3, "a", why("three")),
            entry("b9", 1, 4, "a", why("four")),
            entry("b7", 4, 5, "a", undo(&["edit-b7-2", "edit-b7-3"])),
        ];
        for (at, seen) in [(1, "edit-b7-1"), (2, "edit-b7-2"), (3, "edit-b7-3")] {
            edits[at].after = Some(vec![seen.to_owned()]);
        }
        let taken = taken_back(edits.iter());
        assert_eq!(taken, BTreeSet::from(["edit-b7-2", "edit-b7-3"]));
        let instead = seen_instead(edits.iter(), &taken);
        assert_eq!(instead["edit-b9-1"], ["edit-b7-1"]);
    }
}
