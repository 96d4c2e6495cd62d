//! Fixes to choose from, for a beginner who asked for it: real neighbours on that board, never invented.
//!
//! Off unless asked for: with the answer shown afterwards, naming it oneself teaches more than picking it
//! (Kang, `McDermott` & Roediger 2007, European Journal of Cognitive Psychology 19:528-558), and wrong
//! choices are learned as facts (Roediger & Marsh 2005, Journal of Experimental Psychology: Learning,
//! Memory, and Cognition 31:1155-1159). So every choice is a fix that mended this board in other jobs,
//! and none is offered where a hazard of life is near or a fix concerns what keeps people safe. That a
//! board's cell comes out first is no such hazard: it stands on the card like any other caution.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Step;
use crate::domain::ids;
use crate::domain::wording;

/// Choices at most, the right one among them.
pub const MOST: usize = 5;
/// Neighbours below which nothing is offered.
pub const FEWEST_NEIGHBOURS: usize = 2;
/// Hazards at which nothing is offered.
const HAZARDS: [&str; 5] = [
    "mains",
    "stored-charge",
    "lithium",
    "fuse",
    "safety-critical",
];
/// The circuit of cells, whatever they are made of.
const CELLS: &str = "battery";
/// Letters of designators of fuses, batteries and varistors (IEEE 315, from memory).
const LETTERS: [&str; 3] = ["f", "bt", "rv"];
/// Words of parts that keep people safe (common practice, no source).
const SAFETY: [&str; 17] = [
    "cell",
    "battery",
    "pack",
    "fuse",
    "tvs",
    "clamp",
    "varistor",
    "isolat",
    "opto",
    "y capacitor",
    "earth",
    "thermal cut",
    "thermal fuse",
    "protect",
    "surge",
    "arrester",
    "interlock",
];

/// Returns the fixes to choose from for the fix that `card` asks for; empty where none may be offered.
///
/// Neighbours are the fixes of other fix cards of the board in the same circuit, or that a look-alike
/// card stands beside this fix; those nearest by circuit come first where there are too many. The order
/// is that of a mark of card and fix.
pub fn options(card: &Card, all: &[&Card]) -> Vec<Answer> {
    let Some(right) = card.answers.first() else {
        return Vec::new();
    };
    let hazard = card.cautions.iter().any(|c| HAZARDS.contains(&c.as_str()));
    if card.kind != CardKind::Fix || hazard || card.family == CELLS || is_safety(right) {
        return Vec::new();
    }
    let looks = look_alikes(card, all);
    let parts = |answer: &Answer| -> BTreeSet<String> {
        answer.steps.iter().map(|s| s.part.to_uppercase()).collect()
    };
    let taken: BTreeSet<String> = card.answers.iter().flat_map(&parts).collect();
    let mut neighbours: BTreeMap<(bool, String), Answer> = BTreeMap::new();
    for other in all
        .iter()
        .filter(|c| c.kind == CardKind::Fix && c.board == card.board)
    {
        let Some(answer) = other.answers.first() else {
            continue;
        };
        let (same, alike) = (other.family == card.family, looks.contains(&said(answer)));
        // A fix of a part that is right here in another way is no fair choice.
        let fair = parts(answer).is_disjoint(&taken) && !is_safety(answer);
        let known = neighbours.values().any(|n| n.steps == answer.steps);
        if (same || alike) && fair && !known {
            let mark = ids::long_mark([card.id.as_str(), &said(answer), "near", ""]);
            neighbours.insert((!alike, mark), plain(answer));
        }
    }
    if neighbours.len() < FEWEST_NEIGHBOURS {
        return Vec::new();
    }
    let mut options: Vec<Answer> = neighbours.into_values().take(MOST - 1).collect();
    options.push(plain(right));
    options.sort_by_cached_key(|a| ids::long_mark([card.id.as_str(), &said(a), "option", ""]));
    options
}

/// Returns an answer as it is typed: `replace F3 and replace Q15`.
pub fn said(answer: &Answer) -> String {
    let steps: Vec<String> = answer
        .steps
        .iter()
        .map(|s| wording::done_to(&s.act, &s.part))
        .collect();
    steps.join(" and ")
}

fn plain(answer: &Answer) -> Answer {
    Answer {
        steps: answer.steps.clone(),
        also: Vec::new(),
    }
}

/// Returns the fixes that a look-alike card of the board stands beside the fix of `card`.
fn look_alikes(card: &Card, all: &[&Card]) -> BTreeSet<String> {
    let own = card.answers.first().map(said).unwrap_or_default();
    let pairs = all
        .iter()
        .filter(|c| c.kind == CardKind::Contrast && c.board == card.board)
        .map(|c| c.sides.iter().map(|s| said(&s.answer)).collect());
    let pairs = pairs.filter(|both: &Vec<String>| both.contains(&own));
    pairs.flatten().filter(|fix| *fix != own).collect()
}

/// Tells whether a fix concerns a part that keeps people safe.
fn is_safety(answer: &Answer) -> bool {
    let safety = |step: &Step| {
        let name = step.name.as_deref().unwrap_or_default().to_lowercase();
        let part = step.part.to_lowercase();
        let digits = |rest: &str| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit());
        let lettered = |letters: &&str| part.strip_prefix(*letters).is_some_and(digits);
        LETTERS.iter().any(lettered) || SAFETY.iter().any(|w| name.contains(w) || part.contains(w))
    };
    answer.steps.iter().any(safety)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;

    fn card(id: &str, family: &str, part: &str) -> Card {
        samples::card(id, family, part)
    }

    fn parts(options: &[Answer]) -> BTreeSet<&str> {
        options.iter().map(|a| a.steps[0].part.as_str()).collect()
    }

    #[test]
    fn choices_are_fixes_of_that_board_in_a_steady_order() {
        let own = card("1", "standby", "U31");
        let mut elsewhere = card("9", "standby", "U77");
        elsewhere.board = "skua-e6".to_owned();
        let others = [
            card("2", "standby", "C19"),
            card("3", "standby", "L12"),
            card("4", "buck", "U12"),
            elsewhere,
        ];
        let mut all: Vec<&Card> = std::iter::once(&own).chain(&others).collect();
        let found = options(&own, &all);
        assert_eq!(parts(&found), BTreeSet::from(["C19", "L12", "U31"]));
        all.reverse();
        assert_eq!(options(&own, &all), found);
    }

    #[test]
    fn a_look_alike_of_another_circuit_is_a_neighbour_and_at_most_five_stand_there() {
        let own = card("1", "standby", "U31");
        let others: Vec<Card> = (0..9)
            .map(|i| card(&format!("o{i}"), "standby", &format!("C{i}")))
            .collect();
        let far = card("far", "buck", "U12");
        let side = |card: &Card| crate::domain::card::Side {
            family: card.family.clone(),
            complaint: Vec::new(),
            front: Vec::new(),
            separates: Vec::new(),
            answer: card.answers[0].clone(),
            jobs: Vec::new(),
        };
        let pair = Card {
            kind: CardKind::Contrast,
            sides: vec![side(&own), side(&far)],
            answers: Vec::new(),
            ..card("x", "standby", "")
        };
        let all: Vec<&Card> = [&own, &far, &pair].into_iter().chain(&others).collect();
        let found = options(&own, &all);
        assert_eq!(found.len(), MOST);
        assert!(parts(&found).is_superset(&BTreeSet::from(["U31", "U12"])));
    }

    #[test]
    fn nothing_is_offered_near_a_hazard_for_a_safety_part_or_without_neighbours() {
        let others = [
            card("2", "standby", "C19"),
            card("3", "standby", "L12"),
            card("4", "standby", "F3"),
        ];
        let offered = |own: &Card| {
            let all: Vec<&Card> = std::iter::once(own).chain(&others).collect();
            options(own, &all)
        };
        let own = card("1", "standby", "U31");
        assert_eq!(offered(&own).len(), 3, "no fuse among them");
        for hazard in HAZARDS {
            let near = Card {
                cautions: vec![hazard.to_owned()],
                ..own.clone()
            };
            assert!(offered(&near).is_empty(), "{hazard}");
        }
        let everyday = Card {
            cautions: vec!["fume".to_owned(), "cell-first".to_owned()],
            ..own.clone()
        };
        assert_eq!(offered(&everyday).len(), 3);
        for part in ["F3", "BT1", "RV2"] {
            assert!(offered(&card("1", "standby", part)).is_empty(), "{part}");
        }
        assert_eq!(offered(&card("1", "standby", "FB3")).len(), 3, "a bead");
        let cells = Card {
            family: CELLS.to_owned(),
            ..own.clone()
        };
        let others = others.each_ref().map(|other| Card {
            family: CELLS.to_owned(),
            ..other.clone()
        });
        let all: Vec<&Card> = std::iter::once(&cells).chain(&others).collect();
        assert!(options(&cells, &all).is_empty());
        let mut clamp = own.clone();
        clamp.answers[0].steps[0].name = Some("load-dump clamp".to_owned());
        assert!(offered(&clamp).is_empty());
        assert!(options(&own, &[&own, &others[0]]).is_empty());
    }
}
