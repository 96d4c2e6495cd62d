//! Judges which fix a person gives to which of two look-alikes.
//!
//! A side is named by its letter (`A: replace U31, B: remove C88`), by its place (`first`, `second`),
//! or by what separates it (`low -> U31, normal -> C88`; `the one not cycling`). What belongs to a side
//! is judged as a repair of that side alone, so that swapped fixes are wrong, and so are fixes without
//! a side. Leaves out the points of any other card.

use std::ops::Range;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::OtherFix;
use crate::domain::card::Side;
use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::judge::compare::keypoints;
use crate::domain::judge::compare::keypoints::Point;
use crate::domain::judge::compare::side_names;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::danger::unsafe_acts::UnsafeAct;
use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::read::stretches::Mark;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::judge::readings::shown;
use crate::domain::judge::readings::value_words;
use crate::domain::wording;

/// What is said of fixes that were given to the wrong sides.
pub const SWAPPED: &str = "the two fixes are swapped";

/// The verdict on an answer that gives each side its fix.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SidesVerdict {
    /// For each side, whether it was given its fix.
    pub hits: Vec<bool>,
    /// Each side has its fix, and nothing unsafe is proposed.
    pub right: bool,
    /// Each side was given the fix of the other.
    pub swapped: bool,
    /// It would hurt someone: always wrong, never overruled.
    pub unsafe_answer: Option<UnsafeAct>,
    /// A few words for the verdict line; empty where the hits say it.
    pub note: String,
}

/// Judges a typed answer to a card that shows what separates its two sides.
pub fn judge_sides(
    typed: &str,
    card: &Card,
    board: Option<&Board>,
    words: &Synonyms,
) -> SidesVerdict {
    let court = Court { card, board, words };
    let unsafe_answer = unsafe_acts::unsafe_in_text(typed, board, words);
    let owned = court.owned(typed, &[System::Letters, System::Order, System::Readings]);
    let Some(owned) = owned else {
        return SidesVerdict {
            hits: vec![false; card.sides.len()],
            unsafe_answer,
            note: "say which fix is A's and which is B's".to_owned(),
            ..SidesVerdict::default()
        };
    };
    let hits = court.hits(&owned, false);
    let swapped = court.hits(&owned, true).iter().all(|hit| *hit);
    SidesVerdict {
        right: unsafe_answer.is_none() && hits.iter().all(|hit| *hit),
        note: match &unsafe_answer {
            Some(act) => act.what.clone(),
            None if swapped => SWAPPED.to_owned(),
            None => String::new(),
        },
        hits,
        swapped,
        unsafe_answer,
    }
}

/// Tells whether an answer gives each reading the fix of the other: `low -> C88, normal -> U31` where
/// it is the other way round.
pub fn swaps_readings(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> bool {
    let court = Court { card, board, words };
    let owned = court.owned(typed, &[System::Readings]);
    let both = owned.filter(|owned| owned.iter().all(|text| !text.trim().is_empty()));
    both.is_some_and(|owned| {
        let right = court.hits(&owned, false);
        let swapped = court.hits(&owned, true);
        swapped.contains(&true) && !right.contains(&true)
    })
}

/// Tells for each side whether its reading is tied to its part: "low R147, present U22". The act may be left out
/// where the card's is to replace: what a reading means is asked.
pub fn read_off(typed: &str, card: &Card, board: Option<&Board>, words: &Synonyms) -> Vec<bool> {
    let court = Court { card, board, words };
    let none = vec![false; card.sides.len()];
    let Some(owned) = court.owned(typed, &[System::Readings]) else {
        return none;
    };
    if owned.iter().any(|text| text.trim().is_empty()) {
        return none;
    }
    let sides = card.sides.iter().zip(&owned).enumerate();
    sides
        .map(|(i, (side, text))| {
            let renewed = matches!(side.answer.steps.as_slice(), [step] if step.act == "replace");
            court.fixes(text, i) || renewed && court.names(text, i)
        })
        .collect()
}

/// By what sides are called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum System {
    /// `A`, `B`.
    Letters,
    /// `first`, `second`.
    Order,
    /// What the finding showed that separates them.
    Readings,
}

struct Court<'a> {
    card: &'a Card,
    board: Option<&'a Board>,
    words: &'a Synonyms,
}

impl Court<'_> {
    /// Returns what of the text belongs to each side; none where no side is named.
    ///
    /// The first way of naming that names both sides counts; else the first that names one.
    fn owned(&self, typed: &str, systems: &[System]) -> Option<Vec<String>> {
        let bits = stretches::bits(typed);
        let mut found: Vec<Vec<Mark>> = systems.iter().map(|s| self.marks(&bits, *s)).collect();
        let mixed: Vec<Mark> = found.concat();
        found.push(free_of_overlap(mixed));
        let both = |marks: &&Vec<Mark>| (0..2).all(|side| marks.iter().any(|m| m.of == side));
        let named = |marks: &&Vec<Mark>| !marks.is_empty();
        let marks = found
            .iter()
            .find(both)
            .or_else(|| found.iter().find(named))?;
        let says = |bit: &Bit| self.is_part(bit);
        Some(stretches::belonging(typed, &bits, marks, 2, &says))
    }

    fn marks(&self, bits: &[Bit], system: System) -> Vec<Mark> {
        let mut marks = match system {
            System::Letters => side_names::letters(bits, &|bit| self.is_part(bit)),
            System::Order => side_names::order(bits),
            System::Readings => self.readings(bits),
        };
        if let [one] = marks.as_slice() {
            // "A: replace U31, the other one: C88".
            let at = (one.bits.end..bits.len()).find(|i| bits[*i].text == "other");
            let other = at.map(|at| Mark {
                of: 1 - one.of,
                bits: at..at + 1,
            });
            marks.extend(other);
        }
        marks
    }

    /// Finds the words for what separates the sides; "not low" means the other side.
    fn readings(&self, bits: &[Bit]) -> Vec<Mark> {
        let of: Vec<Vec<String>> = self.card.sides.iter().map(|s| self.said(s)).collect();
        let shared = |word: &String| of.iter().all(|words| words.contains(word));
        let phrases: Vec<(usize, String)> = of
            .iter()
            .enumerate()
            .flat_map(|(side, words)| words.iter().map(move |w| (side, w.clone())))
            .filter(|(_, word)| !shared(word))
            .collect();
        let mut marks = stretches::found(bits, &phrases);
        marks.extend(self.spots(bits));
        let mut marks = free_of_overlap(marks);
        for mark in &mut marks {
            let before = mark
                .bits
                .start
                .checked_sub(1)
                .map(|i| bits[i].text.as_str());
            if matches!(before, Some("not" | "no" | "isn't" | "never" | "without")) {
                mark.of = 1 - mark.of;
                mark.bits.start -= 1;
            }
        }
        // Words that belong to a part ("power-good pull-up") name no side.
        let names = self.part_names();
        let taken = stretches::found(bits, &names);
        let clear = |m: &Mark| {
            let apart = |t: &Mark| t.bits.end <= m.bits.start || m.bits.end <= t.bits.start;
            taken.iter().all(apart)
        };
        marks.retain(clear);
        marks
    }

    /// Finds what says the reading of one side and not of the other, in any words or as a number.
    fn spots(&self, bits: &[Bit]) -> Vec<Mark> {
        let of = |side: &Side| -> Vec<Range<usize>> {
            let findings = side.separates.iter();
            findings
                .flat_map(|finding| shown::spots(bits, finding, self.board))
                .filter(|at| at.len() != 1 || bits[at.start].text != "clean")
                .collect()
        };
        let of: Vec<Vec<Range<usize>>> = self.card.sides.iter().map(of).collect();
        let apart = |a: &Range<usize>, b: &Range<usize>| a.end <= b.start || b.end <= a.start;
        let mut marks = Vec::new();
        for (side, spots) in of.iter().enumerate() {
            let others = || of.iter().enumerate().filter(|(other, _)| *other != side);
            let alone = |at: &&Range<usize>| {
                others().all(|(_, others)| others.iter().all(|other| apart(other, at)))
            };
            marks.extend(spots.iter().filter(alone).map(|at| Mark {
                of: side,
                bits: at.clone(),
            }));
        }
        marks
    }

    /// Returns the words and the number for what separates a side from the other.
    fn said(&self, side: &Side) -> Vec<String> {
        let mut words = Vec::new();
        for finding in &side.separates {
            if let Some(band) = band::band(finding, self.board) {
                words.extend(value_words::of(finding.kind, &band));
            }
            let value = wording::finding_line(finding).value;
            let number = value.split(['(', ',']).next().unwrap_or_default();
            let number = number.replace("to ground", "").replace("diode drop", "");
            words.push(number.trim().to_owned());
            // "cycling  61 to 118 mA": the number alone says it too.
            if let Some((_, number)) = number.trim().split_once("  ") {
                words.push(number.trim().to_owned());
            }
        }
        words.retain(|w| !w.is_empty());
        words
    }

    fn part_names(&self) -> Vec<(usize, String)> {
        let of_board = self.board.into_iter().flat_map(|b| b.parts.values());
        let of_board = of_board.map(|p| p.name.clone());
        let steps = self.card.sides.iter().flat_map(|s| &s.answer.steps);
        let of_card = steps.filter_map(|s| s.name.clone());
        of_board.chain(of_card).map(|name| (0, name)).collect()
    }

    /// Tells whether a bit is a part of the board or of the card, or looks like a designator.
    fn is_part(&self, bit: &Bit) -> bool {
        let words = |name: &str| {
            name.to_lowercase()
                .split_whitespace()
                .any(|w| w == bit.text)
        };
        let steps = || self.card.sides.iter().flat_map(|s| &s.answer.steps);
        let place = |f: &Finding| f.place.eq_ignore_ascii_case(&bit.text);
        let mut separates = self.card.sides.iter().flat_map(|s| &s.separates);
        is_designator(bit) && !separates.any(place)
            || 2 < bit.text.len() && steps().any(|s| s.name.as_deref().is_some_and(words))
    }

    /// Tells for each side whether it was given its fix, or that of the other.
    fn hits(&self, owned: &[String], swapped: bool) -> Vec<bool> {
        let n = self.card.sides.len();
        let side = |i: usize| if swapped { n - 1 - i } else { i };
        (0..n)
            .map(|i| !owned[i].trim().is_empty() && self.fixes(&owned[i], side(i)))
            .collect()
    }

    fn fixes(&self, text: &str, side: usize) -> bool {
        let asked = self.asked(side);
        let fix = |text: &str| keypoints::judge(text, &asked, self.board, self.words).fix;
        fix(text) || self.conclusions(text).into_iter().any(fix)
    }

    /// Tells whether a text names the part of a side, and no act.
    fn names(&self, text: &str, side: usize) -> bool {
        let said = keypoints::judge(text, &self.asked(side), self.board, self.words);
        said.part == Point::Right
            && said.act == Point::Missing
            && !said.negated
            && said.unsafe_answer.is_none()
    }

    /// Returns a card that asks for the fix of one side alone.
    fn asked(&self, side: usize) -> Card {
        Card {
            answers: vec![self.card.sides[side].answer.clone()],
            others: self
                .card
                .sides
                .iter()
                .enumerate()
                .filter(|(i, _)| *i != side)
                .map(|(_, s)| other(&s.answer))
                .collect(),
            ..self.card.clone()
        }
    }

    /// Returns what follows a reading in words: "no short, so U31 was replaced". What is left out names no
    /// part, so that a list of guesses stays one.
    fn conclusions<'t>(&self, text: &'t str) -> Vec<&'t str> {
        let bits = stretches::bits(text);
        let known = |bit: &Bit| {
            let board = self.board.into_iter().flat_map(|b| b.parts.keys());
            board
                .into_iter()
                .any(|part| part.eq_ignore_ascii_case(&bit.text))
        };
        let steps = || self.card.sides.iter().flat_map(|s| &s.answer.steps);
        let called = |bit: &Bit| {
            let mut names = steps().filter_map(|s| s.name.as_deref()?.split_whitespace().last());
            names.any(|last| last.eq_ignore_ascii_case(&bit.text))
        };
        let class = |bit: &Bit| words::is_class(&bit.text) || called(bit);
        let part = |bit: &Bit| known(bit) || class(bit) || is_designator(bit);
        bits.iter()
            .enumerate()
            .take_while(|(_, bit)| !part(bit))
            .filter(|(_, bit)| bit.is_joint() || matches!(bit.text.as_str(), "so" | "it"))
            .map(|(_, bit)| &text[bit.at.end..])
            .collect()
    }
}

/// Tells whether a bit looks like a designator: letters, then digits.
fn is_designator(bit: &Bit) -> bool {
    let letters = bit
        .text
        .chars()
        .take_while(char::is_ascii_alphabetic)
        .count();
    let behind = bit.text.chars().nth(letters);
    // The "v0" of "5v0" is the end of a voltage.
    0 < letters && !bit.text.starts_with('v') && behind.is_some_and(|c| c.is_ascii_digit())
}

fn other(answer: &Answer) -> OtherFix {
    OtherFix {
        steps: answer.steps.clone(),
        k: 1,
    }
}

/// Leaves of marks that overlap the first.
fn free_of_overlap(mut marks: Vec<Mark>) -> Vec<Mark> {
    marks.sort_by_key(|m| (m.bits.start, std::cmp::Reverse(m.bits.end)));
    let mut kept: Vec<Mark> = Vec::new();
    for mark in marks {
        if kept
            .last()
            .is_none_or(|last| last.bits.end <= mark.bits.start)
        {
            kept.push(mark);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::CardKind;
    use crate::domain::card::Step;
    use crate::domain::generate::sample;
    use crate::domain::job::FindingKind;
    use crate::domain::samples;
    use proptest::prelude::*;

    fn answer(steps: &[(&str, &str, &str)]) -> Answer {
        let step = |(act, part, name): &(&str, &str, &str)| Step {
            act: (*act).to_owned(),
            part: (*part).to_owned(),
            name: Some((*name).to_owned()),
        };
        Answer {
            steps: steps.iter().map(step).collect(),
            also: Vec::new(),
        }
    }

    fn card(separates: [Finding; 2], answers: [Answer; 2]) -> Card {
        let sides = separates
            .into_iter()
            .zip(answers)
            .map(|(finding, answer)| Side {
                family: "standby".to_owned(),
                complaint: Vec::new(),
                front: Vec::new(),
                separates: vec![finding],
                answer,
                jobs: Vec::new(),
            });
        Card {
            kind: CardKind::Contrast,
            sides: sides.collect(),
            given: true,
            answers: Vec::new(),
            ..samples::card("g", "standby", "U31")
        }
    }

    /// A: `3V3_SB` low, U31 replaced; B: it is in band, C88 removed.
    fn plain() -> Card {
        card(
            [
                sample::rail("3V3_SB", "low"),
                sample::rail("3V3_SB", "in-band"),
            ],
            [
                answer(&[("replace", "U31", "standby switcher")]),
                answer(&[("remove", "C88", "input capacitor")]),
            ],
        )
    }

    fn judged(typed: &str, card: &Card) -> SidesVerdict {
        judge_sides(typed, card, None, &Synonyms::default())
    }

    #[track_caller]
    fn check(card: &Card, right: &[&str], wrong: &[&str]) {
        for typed in right {
            let verdict = judged(typed, card);
            assert!(verdict.right, "{typed:?}: {verdict:?}");
        }
        for typed in wrong {
            let verdict = judged(typed, card);
            assert!(!verdict.right, "{typed:?}: {verdict:?}");
        }
    }

    #[test]
    fn a_fix_counts_only_on_its_side() {
        check(
            &plain(),
            &[
                "A: replace U31, B: remove C88",
                "a: replace u31; b: remove c88",
                "a replace u31, b remove c88",
                "A - swap U31. B - take off C88",
                "U31 replaced for A and C88 removed for B",
                "B: remove C88. A: replace U31",
                "A = U31, B = remove C88",
                "A needs a new U31 and B needs C88 removed",
                "side A replace the standby switcher, side B remove the input capacitor",
                "first: replace U31, second: remove C88",
                "low -> U31, normal -> remove C88",
                "the low one: replace U31; the good one: remove C88",
                "A: replace U31, the other one: remove C88",
                "replace U31 where 3V3_SB is low, remove C88 where it is normal",
                "not low: remove C88, low: replace U31",
                "left: replace U31, right: remove C88",
                "1: replace U31, 2: remove C88",
                "dragged down: replace U31, spot on: remove C88",
                "A reads low, no short, so replace U31. B is fine, so remove C88",
            ],
            &[
                "A: remove C88, B: replace U31",
                "B: replace U31, A: remove C88",
                "low -> remove C88, normal -> replace U31",
                "left: remove C88, right: replace U31",
                "dragged down: remove C88, spot on: replace U31",
                "replace U31, remove C88",
                "A: replace U31",
                "A: replace U31, B: replace U31",
                "A: replace U31 or remove C88, B: replace U31 or remove C88",
                "A: replace U13, B: remove C88",
                "A: not U31, B: remove C88",
                "A: replace U31, B: replace C88",
                "A: C88, B: U31",
                "don't know",
                "",
                "a and b",
            ],
        );
    }

    #[test]
    fn swapped_and_unbound_answers_say_so() {
        let swapped = judged("A: remove C88, B: replace U31", &plain());
        assert_eq!(swapped.hits, [false, false]);
        assert!(swapped.swapped);
        assert_eq!(swapped.note, "the two fixes are swapped");
        let unbound = judged("replace U31 and remove C88", &plain());
        assert_eq!(unbound.note, "say which fix is A's and which is B's");
        assert_eq!(judged("A: replace U31", &plain()).hits, [true, false]);
    }

    /// PGOOD stuck low is its pull-up, present the supervisor.
    fn pgood() -> Card {
        let mut stuck = Finding::new(FindingKind::Signal, "PGOOD");
        stuck.code = Some("stuck-low".to_owned());
        let mut present = Finding::new(FindingKind::Signal, "PGOOD");
        present.code = Some("present".to_owned());
        card(
            [stuck, present],
            [
                answer(&[("replace", "R147", "power-good pull-up")]),
                answer(&[("replace", "U22", "supervisor")]),
            ],
        )
    }

    #[test]
    fn words_of_a_part_name_no_side() {
        check(
            &pgood(),
            &[
                "stuck low: the power-good pull-up R147; present: supervisor",
                "PGOOD held low: replace R147, PGOOD good: replace U22",
                "A: power-good pull-up, B: supervisor",
            ],
            &["stuck low: U22, present: R147"],
        );
    }

    #[test]
    fn every_step_of_a_side_is_needed_and_numbers_name_a_side() {
        let rail = |got: f64, code: &str| {
            let mut finding = sample::rail("LED_A", code);
            finding.got = Some(got);
            finding
        };
        let card = card(
            [rail(0.0, "absent"), rail(11.7, "low")],
            [
                answer(&[
                    ("replace", "F3", "backlight fuse"),
                    ("replace", "Q15", "boost switch"),
                ]),
                answer(&[("replace", "U50", "boost controller")]),
            ],
        );
        check(
            &card,
            &[
                "A: replace F3 and Q15, B: replace U50",
                "0 V: replace F3 and Q15, 11.7 V: U50",
                "F3 and Q15 for A, U50 for B",
                "absent: F3, Q15. low: U50",
            ],
            &[
                "A: replace F3, B: replace U50",
                "11.7V: F3 and Q15; 0V: U50",
                "A: bridge F3 and replace Q15, B: U50",
            ],
        );
        assert!(
            judged("A: bridge the fuse F3, B: U50", &card)
                .unsafe_answer
                .is_some()
        );
    }

    #[test]
    fn a_reading_tied_to_a_part_needs_no_act_where_that_is_renewed() {
        let words = Synonyms::default();
        let read = |typed: &str| read_off(typed, &pgood(), None, &words);
        for said in [
            "PGOOD: stuck low is R147, present is U22",
            "PGOOD stuck low: the pull-up R147, present: the supervisor U22",
            "PGOOD present means U22, stuck low means R147",
        ] {
            assert_eq!(read(said), [true, true], "{said}");
        }
        for said in [
            "PGOOD: stuck low is U22, present is R147",
            "PGOOD, R147 and U22",
            "PGOOD stuck low: remove R147, present: reflow U22",
        ] {
            assert_eq!(read(said), [false, false], "{said}");
        }
    }

    #[test]
    fn a_reading_with_the_fix_of_the_other_is_a_swap() {
        let words = Synonyms::default();
        let swaps = |typed: &str| swaps_readings(typed, &plain(), None, &words);
        assert!(swaps("3V3_SB low: remove C88, normal: replace U31"));
        assert!(!swaps("3V3_SB low: replace U31, normal: remove C88"));
        assert!(!swaps("3V3_SB; replace U31 and remove C88"));
    }

    proptest! {
        #[test]
        fn no_answer_is_right_both_ways_round(text in "[ABab:,;]{0,4} ?(U31|C88|low|replace|remove|and|normal| ){0,9}") {
            let mut turned = plain();
            turned.sides.swap(0, 1);
            let both = judged(&text, &plain()).right && judged(&text, &turned).right;
            // By its letters an answer fits one order of the sides; by readings it fits both.
            let by_reading = ["low", "normal"].iter().any(|w| text.contains(w));
            prop_assert!(!both || by_reading, "{}", text);
        }
    }
}
