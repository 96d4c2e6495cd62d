//! Who had learned a card that would vanish or answer otherwise.

use std::collections::BTreeMap;

use crate::domain::card::Card;
use crate::domain::corrections;
use crate::domain::history::CardFacts;
use crate::domain::history::History;
use crate::domain::rebuild::diff;

/// What would become of a card that people have learned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loss {
    /// The id it has now.
    pub card: String,
    /// The id it would be known by.
    pub known_as: String,
    /// It would be in no deck, and the card called [`Self::known_as`] would take its place.
    pub replaced: bool,
    /// That card accepts the same: what people remember goes with it, and nobody loses anything.
    pub kept: bool,
    /// What it is about.
    pub name: String,
    /// Those who learned it, by folder name.
    pub who: Vec<String>,
    /// What it accepts now, in words.
    pub was: String,
    /// Mark of that.
    pub accepted: String,
    /// What it would accept; none where it would be in no deck.
    pub now: Option<String>,
}

/// Returns the cards that someone remembers and that would vanish or accept something else, by id.
///
/// `people` are their folder names with their practice as the cards are now; `before` finds a card in
/// use by its id, `after` one that would be, `facts` are those of the cards as they would be, and
/// `successor` names the card that takes the place of one that is no longer made.
pub fn losses<'a>(
    people: &[(String, History)],
    before: &dyn Fn(&str) -> Option<&'a Card>,
    after: &dyn Fn(&str) -> Option<&'a Card>,
    facts: &dyn CardFacts,
    successor: &dyn Fn(&str) -> Option<&'a str>,
) -> Vec<Loss> {
    let mut found: BTreeMap<&str, Loss> = BTreeMap::new();
    for (person, history) in people {
        for (id, known) in history.cards.iter() {
            let (Some(_), Some(old)) = (known.memory, before(id)) else {
                continue;
            };
            let own = facts.current_id(id);
            let successor = successor(id).filter(|_| after(own).is_none());
            let known_as = successor.unwrap_or(own);
            let new = after(known_as);
            let same = facts.accepted(known_as) == Some(known.accepted.as_str());
            if same && successor.is_none() {
                continue;
            }
            let loss = found.entry(id).or_insert_with(|| Loss {
                card: id.to_owned(),
                known_as: known_as.to_owned(),
                replaced: new.is_some() && successor.is_some(),
                kept: same,
                name: diff::name(old),
                who: Vec::new(),
                was: corrections::accepted_text(old),
                accepted: known.accepted.clone(),
                now: new.map(corrections::accepted_text),
            });
            loss.who.push(person.clone());
        }
    }
    found.into_values().collect()
}
