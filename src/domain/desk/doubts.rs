//! Who holds a card for doubtful, and when that takes it out of everyone's drill.
//!
//! A doubt counts at once for the person who has it. For everyone it counts once a second person shares
//! it or a lead does. A lead who rules that a card is in use settles the doubts before: whoever still
//! doubts it says so again.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::review::Event;
use crate::domain::review::TagReason;

/// One person's doubt about one card.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Doubt {
    /// Current card id.
    pub card: String,
    /// Person folder.
    pub person: String,
    /// Effective time.
    pub at: DateTime<Utc>,
    /// Bench day.
    pub day: NaiveDate,
    /// In the person's words.
    pub note: String,
}

/// How many people must share a doubt before it counts for everyone, where none of them is a lead.
///
/// Common practice, no source.
const SHARED_BY: usize = 2;

/// The tags of one person, while the lines go by in merged order.
#[derive(Debug, Default)]
pub struct Tags(BTreeMap<String, Option<Doubt>>);

impl Tags {
    /// Takes one event of `person`; `id` is the current id of the card it names.
    pub(crate) fn take(
        &mut self,
        (person, at, day): (&str, DateTime<Utc>, NaiveDate),
        event: &Event,
        id: impl Fn(&str) -> String,
    ) {
        match event {
            Event::Tag { card, reason, note } => {
                let card = id(card);
                let doubt = (*reason == TagReason::Doubtful).then(|| Doubt {
                    card: card.clone(),
                    person: person.to_owned(),
                    at,
                    day,
                    note: note.clone(),
                });
                self.0.insert(card, doubt);
            }
            Event::Untag { card, .. } => {
                self.0.remove(&id(card));
            }
            _ => {}
        }
    }

    /// Returns the doubts that the tags in force come to.
    pub(crate) fn doubts(self) -> impl Iterator<Item = Doubt> {
        self.0.into_values().flatten()
    }
}

/// Takes out the doubts that a lead has ruled on since; `ruled` says when that was, by card.
pub fn standing(
    mut doubts: Vec<Doubt>,
    ruled: &dyn Fn(&str) -> Option<DateTime<Utc>>,
) -> Vec<Doubt> {
    doubts.retain(|doubt| ruled(&doubt.card).is_none_or(|at| at < doubt.at));
    doubts.sort();
    doubts
}

/// Returns the cards that standing doubts take out of everyone's drill.
pub fn out_for_all(doubts: &[Doubt], leads: &BTreeSet<String>) -> BTreeSet<String> {
    let mut by_card: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for doubt in doubts {
        by_card
            .entry(&doubt.card)
            .or_default()
            .insert(&doubt.person);
    }
    let counts = |people: &BTreeSet<&str>| {
        people.len() >= SHARED_BY || people.iter().any(|person| leads.contains(*person))
    };
    let out = by_card.into_iter().filter(|(_, people)| counts(people));
    out.map(|(card, _)| card.to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;

    fn doubt(card: &str, person: &str, day: i64) -> Doubt {
        Doubt {
            card: card.to_owned(),
            person: person.to_owned(),
            at: samples::at(day),
            day: samples::day(day),
            note: String::new(),
        }
    }

    #[track_caller]
    fn check(doubts: &[Doubt], leads: &[&str], out: &[&str]) {
        let leads = leads.iter().map(|l| (*l).to_owned()).collect();
        let found: Vec<String> = out_for_all(doubts, &leads).into_iter().collect();
        assert_eq!(found, out);
    }

    #[test]
    fn one_doubt_is_ones_own_two_are_everyones_and_so_is_a_leads() {
        check(&[doubt("a", "mk", 1)], &["tl"], &[]);
        check(&[doubt("a", "mk", 1), doubt("a", "jo", 2)], &["tl"], &["a"]);
        check(&[doubt("a", "mk", 1), doubt("a", "mk", 2)], &["tl"], &[]);
        check(&[doubt("a", "mk", 1), doubt("b", "jo", 2)], &[], &[]);
        check(&[doubt("a", "tl", 1)], &["tl"], &["a"]);
    }

    #[test]
    fn a_ruling_settles_what_was_doubted_before_it_and_nothing_after() {
        let ruled = |card: &str| (card == "a").then(|| samples::at(5));
        let doubts = vec![
            doubt("a", "mk", 6),
            doubt("a", "jo", 5),
            doubt("b", "jo", 1),
        ];
        let left = standing(doubts, &ruled);
        assert_eq!(left, [doubt("a", "mk", 6), doubt("b", "jo", 1)]);
    }
}
