//! What an act was done to, standing after it.

use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Sense;

impl Reader<'_> {
    /// Returns what an act was done to, standing after it, and the item after that.
    pub(super) fn objects_after(&self, i: usize, waiting: bool) -> (Places, usize) {
        let mut found = Places::default();
        let mut at = i;
        let mut to = i;
        let mut passed = 0;
        while passed < 6 {
            let Some(item) = self.items.get(at) else {
                break;
            };
            if let [start] = found.list.as_mut_slice()
                && self.senses(at).contains(&Sense::Cue(Cue::To))
                && let Some(end) = self.place_at(at + 1).filter(|p| p.list.len() == 1)
            {
                // A wire from here to there is one.
                start.name = format!("{} to {}", start.name, end.list[0].name);
                return (found, end.next);
            }
            if self.leads_to_new_value(at) {
                break;
            }
            match &item.what {
                What::Quantity(q)
                    if self.place_at(at).is_none()
                        && q.number.whole
                        && q.unit == Unit::None
                        && q.value() < 21.0
                        && self.is_thing(at + 1) =>
                {
                    at += 1;
                    passed += 1;
                    continue;
                }
                What::Quantity(q) if q.unit == Unit::Other && found.list.is_empty() => {
                    at += 1;
                    passed += 1;
                    continue;
                }
                What::Mark(',' | '+' | '&' | '/') if !found.list.is_empty() => {
                    let more = self.place_at(at + 1).filter(|p| {
                        !self.has_own_words(p)
                            && is_thing(p)
                            && p.list.iter().all(|p| p.sort == Sort::Part)
                    });
                    if let Some(mut more) = more {
                        to = more.next;
                        at = more.next;
                        found.list.append(&mut more.list);
                        continue;
                    }
                    break;
                }
                What::Mark(_) => break,
                _ => {}
            }
            if let Some(places) = self
                .place_at(at)
                .filter(|_| found.list.is_empty() || passed_and(self.senses(at.saturating_sub(1))))
            {
                let own = self.has_own_words(&places);
                let others_act = waiting
                    && self
                        .senses(places.next)
                        .iter()
                        .any(|s| matches!(s, Sense::Act(_)));
                let reading = !is_thing(&places) && (own || self.reads(places.next));
                if others_act || reading || (own && waiting) {
                    break;
                }
                let mut places = places;
                to = places.next;
                at = places.next;
                found.connector |= places.connector;
                found.either |= places.either;
                found.expanded |= places.expanded;
                found.may_be_ohms |= places.may_be_ohms;
                found.list.append(&mut places.list);
                passed = 0;
                continue;
            }
            let passable = self.senses(at).iter().any(|s| {
                let and = matches!(s, Sense::And) && !found.list.is_empty();
                let before = matches!(
                    s,
                    Sense::Filler
                        | Sense::WeakAct("replace")
                        | Sense::Verdict(_)
                        | Sense::Cue(Cue::At | Cue::Near | Cue::Under | Cue::All | Cue::To)
                        | Sense::Sign(_)
                ) && found.list.is_empty();
                and || before
            });
            if !passable || (waiting && found.list.is_empty() && self.says_reading(at)) {
                break;
            }
            at += 1;
            passed += 1;
        }
        (found, to)
    }

    /// Tells whether item `i` judges or ends something rather than leads to an object.
    fn says_reading(&self, i: usize) -> bool {
        self.senses(i)
            .iter()
            .any(|s| matches!(s, Sense::Verdict(_) | Sense::Sign(_) | Sense::End(_)))
    }

    fn is_thing(&self, i: usize) -> bool {
        self.place_at(i).is_some_and(|p| is_thing(&p))
    }

    /// Tells whether something is said of the places right after them.
    fn has_own_words(&self, places: &Places) -> bool {
        self.senses(places.next)
            .iter()
            .any(|s| matches!(s, Sense::Sign(_) | Sense::Act(_)) || matches!(s, Sense::Verdict(_)))
            && !self
                .senses(places.next)
                .iter()
                .any(|s| matches!(s, Sense::End(_) | Sense::Filler | Sense::InVain))
    }

    fn reads(&self, i: usize) -> bool {
        matches!(
            self.items.get(i).map(|i| &i.what),
            Some(What::Quantity(_) | What::Mark('=' | ':'))
        ) || self
            .senses(i)
            .iter()
            .any(|s| matches!(s, Sense::Moment(_) | Sense::End(_) | Sense::Verdict(_)))
    }

    /// "Pulled 115" after C114/C115/C118: the part of those digits.
    pub(super) fn number_of_part(&self, i: usize, before: &Places) -> Option<Place> {
        let What::Quantity(q) = &self.items.get(i)?.what else {
            return None;
        };
        if !q.number.whole || q.unit != Unit::None {
            return None;
        }
        let digits = self.source(i);
        let mut named = before.list.iter().filter(|p| {
            p.sort == Sort::Part
                && p.name.trim_start_matches(|c: char| c.is_ascii_alphabetic()) == digits
        });
        let only = named.next()?;
        named.next().is_none().then(|| only.clone())
    }
}

fn passed_and(senses: &[Sense]) -> bool {
    senses.contains(&Sense::And)
}

/// Tells whether the places are parts or places that something is done to.
fn is_thing(places: &Places) -> bool {
    places
        .list
        .iter()
        .all(|p| !matches!(p.sort, Sort::Rail(_) | Sort::Signal | Sort::Net))
}
