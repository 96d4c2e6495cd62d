//! What a card accepted before, in words: said to whoever had learned it so.
//!
//! A rebuild that changes a learned answer leaves a line among the leads' edits with the words of the
//! answer before; where a lead wrote new answers, those before are read off the card as it was built.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::desk::overlay;
use crate::domain::desk::overlay::Overlay;
use crate::domain::edit::Edit;
use crate::domain::text::clean;
use crate::domain::wording;

/// Earlier answers of cards, by the mark of what was accepted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Corrections {
    by_card: BTreeMap<String, BTreeMap<String, String>>,
}

impl Corrections {
    /// Collects the earlier answers of `decks`, on which the edits do not lie yet.
    pub fn of(decks: &[Deck], edits: &Overlay) -> Self {
        let mut found = Self::default();
        let mut rewritten = BTreeSet::new();
        for entry in edits.all() {
            let card = overlay::current(edits.aliases(), &entry.card);
            match &entry.edit {
                Edit::Corrected { was, accepted, .. } => found.put(card, accepted, was),
                Edit::Answers { .. } => drop(rewritten.insert(card)),
                _ => {}
            }
        }
        if !rewritten.is_empty() {
            let cards = decks.iter().flat_map(|deck| &deck.cards);
            for card in cards.filter(|card| rewritten.contains(card.id.as_str())) {
                found.rewritten(card, edits);
            }
        }
        found
    }

    /// Returns what card `card` accepted when its mark was `accepted`, as far as anyone wrote it down.
    pub fn was(&self, card: &str, accepted: &str) -> Option<&str> {
        Some(self.by_card.get(card)?.get(accepted)?.as_str())
    }

    fn put(&mut self, card: &str, accepted: &str, was: &str) {
        let of_card = self.by_card.entry(card.to_owned()).or_default();
        of_card.insert(accepted.to_owned(), was.to_owned());
    }

    fn rewritten(&mut self, card: &Card, edits: &Overlay) {
        let mut before = card.clone();
        for entry in edits.all() {
            if let Edit::Answers { answers } = &entry.edit
                && overlay::current(edits.aliases(), &entry.card) == card.id
            {
                self.put(&card.id, &before.accepted_mark(), &accepted_text(&before));
                before.answers.clone_from(answers);
            }
        }
        // The last one may have been taken back since.
        self.put(&card.id, &before.accepted_mark(), &accepted_text(&before));
    }
}

/// Returns what a card accepts, on one line: `replace U31 or reflow L12 (standby)`; the circuit only
/// where it is asked for, the fix not where it is given.
pub fn accepted_text(card: &Card) -> String {
    let steps = |answer: &Answer| {
        let steps = answer.steps.iter();
        let done: Vec<String> = steps
            .map(|s| wording::done_to(&s.act, &clean(s.part.trim())))
            .collect();
        done.join(" and ")
    };
    let mut all: Vec<String> = if card.kind == CardKind::Expect {
        Vec::new()
    } else {
        card.answers.iter().map(steps).collect()
    };
    let needed = card.points.iter().filter(|p| p.needed);
    let points: Vec<String> = needed.map(|p| clean(&p.say)).collect();
    if !points.is_empty() {
        all.push(points.join("; "));
    }
    all.extend(card.tests.iter().filter(|t| t.right).map(|t| clean(&t.say)));
    let circuit = if card.family.is_empty() || !card.asks_circuit() {
        String::new()
    } else {
        format!(" ({})", clean(&card.family))
    };
    format!("{}{circuit}", all.join(" or "))
}

/// Returns the line that tells someone what was corrected: `corrected: was …, now …`.
pub fn line(was: Option<&str>, now: &Card) -> String {
    let now = accepted_text(now);
    match was {
        Some(was) => format!("corrected: was {}, now {now}", clean(was)),
        None => format!("corrected since you learned it, now {now}"),
    }
}
