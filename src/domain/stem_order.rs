//! In which order the readings of a question stand: draw first one time, looks first another, then a rail.
//!
//! So that nobody learns the shape of a card instead of its pattern (transfer grows with varied practice
//! tests: Pan & Rickard 2018, Psychological Bulletin). The order comes from the card and from how often
//! the person has reviewed it, never from the day or the machine. What a card asks and accepts does not
//! change by it: marks are taken from the card as it was built. Cautions are not readings; they stand
//! first whatever the order.

use std::collections::BTreeSet;

use crate::domain::card::Card;
use crate::domain::card::Side;
use crate::domain::ids;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

/// What a question may begin with.
fn group(kind: FindingKind) -> &'static str {
    match kind {
        FindingKind::Current => "draw",
        FindingKind::Visual | FindingKind::Heat => "look",
        FindingKind::Rail => "rail",
        FindingKind::Resistance | FindingKind::Diode => "to ground",
        FindingKind::Signal => "signal",
        FindingKind::Other => "test",
    }
}

/// Returns the places of `front` in the order in which review number `n` of card `id` shows them.
///
/// The groups of readings (draw, look, rail, to ground, signal, test) take turns in standing first; the
/// order of the rest, and within a group, is drawn from card and number. Two fronts of the same places
/// are ordered alike.
pub fn order(id: &str, n: usize, front: &[Finding]) -> Vec<usize> {
    let groups: BTreeSet<&str> = front.iter().map(|f| group(f.kind)).collect();
    let groups: Vec<&str> = groups.into_iter().collect();
    if groups.is_empty() {
        return Vec::new();
    }
    let turn = usize::from(ids::seed([id, "first"]).to_be_bytes()[0]);
    let first = groups[(turn + n % groups.len()) % groups.len()];
    let number = n.to_string();
    let mark = |words: &[&str]| {
        let all = [id, number.as_str()]
            .into_iter()
            .chain(words.iter().copied());
        ids::seed(all)
    };
    let mut places: Vec<usize> = (0..front.len()).collect();
    places.sort_by_cached_key(|at| {
        let finding = &front[*at];
        let own = group(finding.kind);
        let state = finding.state.as_deref().unwrap_or_default();
        let words = [own, finding.kind.word(), finding.place.as_str(), state];
        (own != first, mark(&[own]), own, mark(&words), *at)
    });
    places
}

/// Returns the card as review number `n` of a person shows it; the marks of the card are to be taken
/// from the card itself.
pub fn turned(card: &Card, n: usize) -> Card {
    let places = order(&card.id, n, &card.front);
    let deciding = card
        .deciding
        .iter()
        .filter_map(|old| places.iter().position(|at| at == old))
        .collect();
    let side = |side: &Side| {
        let shown = side.shown(card.given);
        let places = order(&card.id, n, &shown);
        Side {
            front: places.into_iter().map(|at| shown[at].clone()).collect(),
            ..side.clone()
        }
    };
    Card {
        front: places.iter().map(|at| card.front[*at].clone()).collect(),
        deciding,
        sides: card.sides.iter().map(side).collect(),
        ..card.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;
    use proptest::prelude::*;

    fn finding(kind: FindingKind, place: &str) -> Finding {
        Finding::new(kind, place)
    }

    fn front() -> Vec<Finding> {
        vec![
            finding(FindingKind::Current, ""),
            finding(FindingKind::Rail, "3V3_SB"),
            finding(FindingKind::Rail, "VSYS"),
            finding(FindingKind::Visual, ""),
            finding(FindingKind::Signal, "PGOOD"),
        ]
    }

    #[test]
    fn each_kind_of_reading_takes_its_turn_in_standing_first() {
        for id in ["a", "b", "4a8a1aac6be2303e"] {
            let firsts: Vec<&str> = (0..4)
                .map(|n| group(front()[order(id, n, &front())[0]].kind))
                .collect();
            let different: BTreeSet<&&str> = firsts.iter().collect();
            assert_eq!(different.len(), 4, "{id}: {firsts:?}");
            let again = group(front()[order(id, 4, &front())[0]].kind);
            assert_eq!(again, firsts[0]);
        }
    }

    #[test]
    fn marks_of_what_decides_go_with_their_readings() {
        let card = Card {
            front: front(),
            deciding: vec![1, 0],
            ..samples::card("x", "standby", "U31")
        };
        for n in 0..8 {
            let turned = turned(&card, n);
            let decides: Vec<&str> = turned
                .deciding
                .iter()
                .map(|i| turned.front[*i].place.as_str())
                .collect();
            assert_eq!(decides, ["3V3_SB", ""]);
        }
    }

    #[test]
    fn two_look_alikes_are_ordered_alike_and_show_what_separates_them_among_the_rest() {
        let side = |got: f64| Side {
            family: "standby".to_owned(),
            complaint: Vec::new(),
            front: front(),
            separates: vec![Finding {
                got: Some(got),
                ..finding(FindingKind::Rail, "VCORE")
            }],
            answer: samples::card("x", "standby", "U31").answers[0].clone(),
            jobs: Vec::new(),
        };
        let card = Card {
            sides: vec![side(0.0), side(1.1)],
            given: true,
            ..samples::card("x", "standby", "U31")
        };
        let mut at = BTreeSet::new();
        for n in 0..8 {
            let turned = turned(&card, n);
            let places: Vec<Vec<&str>> = turned
                .sides
                .iter()
                .map(|s| s.front.iter().map(|f| f.place.as_str()).collect())
                .collect();
            assert_eq!(places[0], places[1]);
            assert_eq!(turned.sides[0].shown(true).len(), 6, "it stands there once");
            at.insert(places[0].iter().position(|p| *p == "VCORE"));
        }
        assert!(1 < at.len(), "its place tells nothing");
    }

    proptest! {
        #[test]
        fn every_order_holds_every_reading_once(
            id in "[a-f0-9]{1,16}",
            n in 0_usize..40,
            kinds in prop::collection::vec((0_usize..FindingKind::ALL.len(), "[A-Z]{0,3}"), 0..9),
        ) {
            let front: Vec<Finding> = kinds.iter().map(|(k, p)| finding(FindingKind::ALL[*k], p)).collect();
            let mut places = order(&id, n, &front);
            prop_assert_eq!(&places, &order(&id, n, &front));
            places.sort_unstable();
            prop_assert_eq!(places, (0..front.len()).collect::<Vec<_>>());
        }
    }
}
