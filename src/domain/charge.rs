//! Whether a board holds volts that a capacitor keeps and gives back to a hand.
//!
//! Basis: the limits of extra-low voltage, 50 V a.c. and 120 V d.c. (IEC 61140 and IEC 60364-4-41, from
//! memory). That a storage capacitor gives a burn and an arc well below the limit for d.c., so that the
//! lower figure holds for both, is common practice, no source.
//! Left out: how much charge there is, which no job says.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::caution;
use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

/// The caution that such volts bring.
pub const STORED: &str = "stored-charge";
/// Volts from which a board carries it.
pub const FROM_VOLTS: f64 = 50.0;

/// Tells whether a finding shows such volts: read, expected, of a good board, or in its net's name.
pub fn shows(finding: &Finding) -> bool {
    let volts = matches!(finding.kind, FindingKind::Rail | FindingKind::Signal);
    let read = [finding.got, finding.good, finding.low, finding.high];
    let high = |v: f64| FROM_VOLTS <= v.abs();
    volts && !finding.in_hertz && read.into_iter().flatten().any(high) || names(&finding.place)
}

/// Tells whether the name of a net says such volts: `72V`, `HV_60V`.
fn names(place: &str) -> bool {
    // Few nets have a "V" after a digit: the rest need no reading.
    let may = place.bytes().any(|b| b == b'V') && place.bytes().any(|b| b.is_ascii_digit());
    may && band::named_volts(place).is_some_and(|v| FROM_VOLTS <= v)
}

/// Tells whether a place of a board bears such volts: by its name, or by what a good board shows there.
pub fn at(place: &str, board: Option<&Board>) -> bool {
    let mut good = board.into_iter().flat_map(|b| &b.good);
    names(place) || good.any(|finding| finding.place == place && shows(finding))
}

/// Tells whether a finding shows such volts, or was taken where a good board bears them.
pub fn is_there(finding: &Finding, board: Option<&Board>) -> bool {
    shows(finding) || !finding.place.is_empty() && at(&finding.place, board)
}

/// Tells whether a part of a circuit sits on a rail with such volts.
pub fn in_circuit(family: &str, board: Option<&Board>) -> bool {
    let parts = board.into_iter().flat_map(|b| b.parts.values());
    let own = parts.filter(|part| part.family.as_deref() == Some(family));
    let mut rails = own.filter_map(|part| part.rail.as_deref());
    rails.any(|rail| at(rail, board))
}

/// Tells whether a board bears such volts anywhere.
pub fn described(board: &Board) -> bool {
    let mut rails = board.parts.values().filter_map(|part| part.rail.as_deref());
    board.good.iter().any(shows) || rails.any(names)
}

/// Tells whether the parts of an answer sit on a rail with such volts.
fn in_answer(answer: &Answer, board: Option<&Board>) -> bool {
    let mut rails = answer.steps.iter().filter_map(|step| {
        let part = board?.parts.get(step.part.trim())?;
        part.rail.as_deref()
    });
    rails.any(|rail| at(rail, board))
}

/// Tells whether the work that a card is about meets such volts: in what it shows, holds back or asks to
/// be measured, on the rails of its circuits, or at the parts of its answers.
///
/// A circuit that is asked for is no exception: a hint costs less than a hand.
pub fn on_card(card: &Card, board: Option<&Board>) -> bool {
    let sides = card.sides.iter();
    let of_sides = sides.flat_map(|side| side.front.iter().chain(&side.separates));
    let mut findings = card.front.iter().chain(&card.held_back).chain(of_sides);
    let asked = card.tests.iter().filter_map(|test| test.words.first());
    let families = card.sides.iter().map(|side| &side.family);
    let mut families = families.chain(&card.contributing).chain([&card.family]);
    let of_sides = card.sides.iter().map(|side| &side.answer);
    let mut answers = card.answers.iter().chain(of_sides);
    findings.any(|finding| is_there(finding, board))
        || asked.flatten().any(|place| at(place, board))
        || families.any(|family| in_circuit(family, board))
        || answers.any(|answer| in_answer(answer, board))
}

/// Puts the caution on the cards of a board that need it.
pub fn mark(board: Option<&Board>, cards: &mut [Card]) {
    for card in cards {
        if on_card(card, board) {
            card.cautions = added(std::mem::take(&mut card.cautions));
        }
    }
}

/// Adds the caution to those of a card, in its place; everyday hazards give way to it.
fn added(mut cautions: Vec<String>) -> Vec<String> {
    if cautions.iter().any(|c| c == STORED) {
        return cautions;
    }
    cautions.retain(|c| !["fume", "esd"].contains(&c.as_str()));
    let rank = |id: &str| caution::CAUTIONS.iter().position(|c| c.id == id);
    let own = rank(STORED);
    let at = cautions.iter().position(|c| own < rank(c));
    cautions.insert(at.unwrap_or(cautions.len()), STORED.to_owned());
    cautions.truncate(caution::MOST_ON_A_CARD);
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::CardKind;
    use crate::domain::generate::sample;

    #[test]
    fn sixty_volts_are_a_stored_charge_and_twenty_four_are_none() {
        let with = |got: Option<f64>, good: Option<f64>| Finding {
            got,
            good,
            ..sample::rail("HV_TX", "absent")
        };
        assert!(shows(&with(Some(2.2), Some(60.0))), "expected");
        assert!(shows(&with(Some(-63.0), None)), "read");
        assert!(shows(&sample::resistance("72V", 400.0)), "named");
        assert!(!shows(&with(Some(24.0), Some(24.0))));
        assert!(!shows(&sample::resistance("3V3_SB", 9_500.0)), "ohms");
        let clock = Finding {
            in_hertz: true,
            got: Some(32_768.0),
            ..Finding::new(FindingKind::Signal, "CLK")
        };
        assert!(!shows(&clock), "hertz");
    }

    #[test]
    fn a_board_says_so_by_its_good_readings_or_its_rails() {
        let mut board = sample::board();
        assert!(!described(&board));
        board.parts.get_mut("U31").expect("a part").rail = Some("+72V".to_owned());
        assert!(described(&board));
        let mut board = sample::board();
        board.good[0].got = Some(60.0);
        assert!(described(&board));
    }

    #[test]
    fn a_card_whose_work_meets_sixty_volts_says_so_and_its_neighbour_does_not() {
        let mut board = sample::board();
        board.good.push(Finding {
            got: Some(60.0),
            ..Finding::new(FindingKind::Rail, "HV_TX")
        });
        let jobs: Vec<_> = (1..=3)
            .map(|n| {
                let findings = vec![sample::rail("3V3_SB", "low")];
                sample::job_with(&n.to_string(), "U31", n, findings)
            })
            .collect();
        let plain = sample::built(&jobs).cards;
        let marked = |card: &Card| {
            let mut cards = [card.clone()];
            mark(Some(&board), &mut cards);
            cards[0].cautions.iter().any(|c| c == STORED)
        };
        assert!(plain.iter().all(|card| !marked(card)), "no 60 V near them");
        for front in [sample::resistance("HV_TX", 3.0), sample::rail("72V", "low")] {
            let near = Card {
                front: vec![front],
                ..plain[0].clone()
            };
            assert!(marked(&near), "{:?}", near.front);
        }
        // The circuit's own rail: said where the circuit is asked for, too.
        board.parts.get_mut("U31").expect("a part").rail = Some("HV_TX".to_owned());
        let marked = |card: &Card| {
            let mut cards = [card.clone()];
            mark(Some(&board), &mut cards);
            cards[0].cautions.iter().any(|c| c == STORED)
        };
        for kind in CardKind::ALL {
            let card = Card {
                kind,
                ..plain[0].clone()
            };
            assert!(marked(&card), "{kind:?}");
        }
        // The part of the answer alone.
        let elsewhere = Card {
            family: "bus".to_owned(),
            ..plain[0].clone()
        };
        assert!(marked(&elsewhere), "{:?}", elsewhere.answers);
        let neither = Card {
            answers: Vec::new(),
            ..elsewhere
        };
        assert!(!marked(&neither));
    }

    #[test]
    fn every_card_built_from_sixty_volts_carries_it() {
        let of = |volts: f64| {
            let jobs: Vec<_> = (1..=3)
                .map(|n| {
                    let mut rail = sample::rail("HV_TX", "absent");
                    (rail.got, rail.good) = (Some(0.5), Some(volts));
                    sample::job_with(&n.to_string(), "U31", n, vec![rail])
                })
                .collect();
            sample::built(&jobs).cards
        };
        let said = |card: &Card| card.cautions == [STORED];
        assert!(!of(60.0).is_empty() && of(60.0).iter().all(said));
        assert!(!of(24.0).is_empty() && !of(24.0).iter().any(said));
    }

    #[test]
    fn the_charge_stands_in_its_place_and_everyday_hazards_give_way() {
        let of = |list: &[&str]| added(list.iter().map(|c| (*c).to_owned()).collect());
        assert_eq!(of(&[]), [STORED]);
        assert_eq!(of(&["lithium"]), [STORED, "lithium"]);
        assert_eq!(of(&["mains", STORED]), ["mains", STORED]);
        assert_eq!(of(&["fume"]), [STORED]);
        assert_eq!(
            of(&["mains", "liquid", "alcohol-vapour"]),
            ["mains", STORED, "liquid", "alcohol-vapour"]
        );
        assert_eq!(
            of(&["mains", "cell-first", "liquid", "alcohol-vapour"]),
            ["mains", STORED, "cell-first", "liquid"]
        );
    }
}
