//! Whole answers in other words, on cards where no repair is asked: what of them cannot stand.
//!
//! A desk refuses such a wording, and lint names it in a file. Leaves out how an answer is compared with
//! them ([`crate::domain::judge::compare::accepted`]).

use std::collections::BTreeSet;

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::answers::parts;
use crate::domain::job::Board;
use crate::domain::judge::compare::accepted;
use crate::domain::judge::hear;
use crate::domain::judge::read::words::Synonyms;

/// Returns why a wording cannot be a whole answer of `card`, and what to do about it.
pub fn wrong(
    wording: &str,
    card: &Card,
    board: Option<&Board>,
    words: &Synonyms,
) -> Option<(String, &'static str)> {
    if let Some(other) = part_not_on(wording, card) {
        return Some((
            format!("{other} stands nowhere on this card"),
            "a wording says its answer in other words, of the parts it shows or answers",
        ));
    }
    if let Some(why) = accepted::wrong_of_sides(wording, card, board, words) {
        return Some((why.to_owned(), "write it as: A: replace U31, B: reflow L12"));
    }
    let with = Card {
        also: vec![wording.to_owned()],
        ..card.clone()
    };
    let heard = hear::hear(wording, &with, board, words);
    if let Some(danger) = heard.danger {
        return Some((
            format!("that is {}. {}", danger.what, danger.why),
            "an unsafe act is never an answer; the maker's instructions and local rules come first",
        ));
    }
    let todo = "write it so that nobody can take it for an act that hurts someone";
    (!heard.right).then_some((heard.note, todo))
}

/// Returns a designator in `wording` that stands nowhere in what a card asks or accepts; a bench rule is
/// of no board, and what looks like a part there (FFP3, a standard) may be none.
fn part_not_on(wording: &str, card: &Card) -> Option<String> {
    if card.kind == CardKind::Rule {
        return None;
    }
    let sides = card.sides.iter();
    let answers = card.answers.iter().chain(sides.clone().map(|s| &s.answer));
    let steps = answers.flat_map(|answer| &answer.steps);
    let of_steps = steps.flat_map(|step| [Some(&step.part), step.name.as_ref()]);
    let shown = sides.flat_map(|s| s.front.iter().chain(&s.separates));
    let shown = card.front.iter().chain(&card.held_back).chain(shown);
    let of_points = card.points.iter().flat_map(|point| {
        let words = point.words.iter().flatten();
        std::iter::once(&point.say).chain(words)
    });
    let of_tests = card.tests.iter().flat_map(|test| {
        let words = test.words.iter().flatten();
        std::iter::once(&test.say).chain(words)
    });
    let own: BTreeSet<String> = of_steps
        .flatten()
        .chain(shown.map(|finding| &finding.place))
        .chain(of_points)
        .chain(of_tests)
        .chain([&card.stem])
        .flat_map(|text| parts(text))
        .collect();
    parts(wording).difference(&own).next().cloned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    fn stop() -> Card {
        Card {
            kind: CardKind::Stop,
            stem: "Go on or call it, beside J2?".to_owned(),
            ..crate::domain::samples::rule("r")
        }
    }

    fn why(wording: &str) -> String {
        let found = wrong(wording, &stop(), None, &Synonyms::default());
        found.map_or_else(String::new, |(why, _)| why)
    }

    #[test]
    fn a_wording_of_another_part_or_an_unsafe_one_cannot_stand() {
        assert_eq!(why("the shell of J2 decides"), "");
        assert_eq!(why("J12 decides"), "J12 stands nowhere on this card");
        assert!(!why("bridge the fuse with wire").is_empty());
    }

    #[test]
    fn of_two_look_alikes_each_side_has_its_own_fix() {
        let jobs: Vec<_> = (1..=4)
            .flat_map(|n| {
                let of = |part: &str, own: &str| {
                    let findings = vec![
                        sample::rail("3V3_SB", "low"),
                        sample::rail("VSYS", "in-band"),
                        sample::rail("VCORE", own),
                    ];
                    sample::job_with(&format!("{part}-{n}"), part, n, findings)
                };
                [of("U31", "absent"), of("L12", "low")]
            })
            .collect();
        let cards = sample::built(&jobs).cards;
        let given = cards.iter().find(|c| c.given).expect("a card of two sides");
        let fix = |at: usize| given.sides[at].answer.steps[0].part.clone();
        let check = |text: &str, part: &str| {
            let found = wrong(text, given, None, &Synonyms::default());
            let why = found.map_or_else(String::new, |(why, _)| why);
            assert!(
                why.contains(part) && why.is_empty() == part.is_empty(),
                "{text}: {why}"
            );
        };
        let (a, b) = (fix(0), fix(1));
        check(&format!("A is the {a} one, B the {b} one"), "");
        check(&format!("the {a} one"), "which fix is A's");
        check(&format!("A: replace {b}, B: replace {a}"), "swapped");
        check(&format!("A: replace {a}, B: replace U99"), "U99");
    }
}
