//! A person's journal lines as bare reviews, for fitting the memory model.
//!
//! Which answers count, where memory begins and where it begins again is the fold's own rule
//! (`CardHistory::take`): a wrong first guess and a right answer in a brief are no reviews, a miss in a
//! brief moves memory and is not scored, a card that accepts something else from an answer on is another
//! card from there on. A law at the end holds a replay of these reviews to the fold.

use chrono::Datelike;

use crate::domain::fit::histories::Review;
use crate::domain::history::CardFacts;
use crate::domain::history::CardHistory;
use crate::domain::history::Counted;
use crate::domain::memory::Weights;
use crate::domain::review::Mode;
use crate::domain::tape::CardNumbers;
use crate::domain::tape::Spot;
use crate::domain::tape::Tape;
use crate::domain::tape::What;

/// The reviews of one person.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OwnReviews {
    /// In merged order; `at` is the place among them.
    pub reviews: Vec<Review>,
    /// Of each review that is scored: its place among the reviews.
    pub scored: Vec<usize>,
    /// Of each review that is scored: its place among the lines.
    pub lines: Vec<usize>,
    /// How many were scored before the person's last fit that took effect.
    pub at_fit: Option<usize>,
}

/// Returns the reviews among `spots`, a person's lines in merged order.
///
/// # Panics
/// With 2^31 reviews or more.
pub fn of(spots: &[Spot], tapes: &[&Tape], facts: &dyn CardFacts) -> OwnReviews {
    // Which answers count does not hang on the parameters.
    let weights = Weights::published();
    let mut found = OwnReviews::default();
    let mut numbers = CardNumbers::new(tapes);
    // Of each card: its history, the mark it accepted last, and the number it has among the reviews.
    let mut cards: Vec<(CardHistory, (usize, u32), u32)> = Vec::new();
    let mut begun = 0;
    for (line, spot) in spots.iter().enumerate() {
        let tape = tapes[spot.tape];
        let short = match &tape.lines[spot.line].what {
            What::Answer(short) => short,
            What::Other(event) => {
                if spot.own && event.fit().is_some() {
                    found.at_fit = Some(found.scored.len());
                }
                continue;
            }
        };
        let at = numbers.of(spot.tape, short.card, &tape.names, facts);
        let mark = (spot.tape, short.accepted);
        if at == cards.len() {
            cards.push((CardHistory::default(), mark, 0));
        }
        let (card, before, number) = &mut cards[at];
        let text = |mark: (usize, u32)| tapes[mark.0].names.get(mark.1);
        let other = *before != mark && text(*before) != text(mark);
        *before = mark;
        let counted = card.take(other, short.mode, short.grade, spot.day, &weights);
        match counted {
            Counted::Not => continue,
            Counted::Began => {
                *number = begun;
                begun += 1;
            }
            Counted::After(_) => {}
        }
        if counted.is_scored(short.mode) {
            found.scored.push(found.reviews.len());
            found.lines.push(line);
        }
        found.reviews.push(Review {
            card: *number,
            at: i64::try_from(found.reviews.len()).expect("fewer than 2^31 reviews"),
            day: spot.day.num_days_from_ce(),
            grade: short.grade,
            scored: short.mode != Mode::Brief,
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::Card;
    use crate::domain::fit::histories::Histories;
    use crate::domain::history::History;
    use crate::domain::memory;
    use crate::domain::memory::Memory;
    use crate::domain::review::Answered;
    use crate::domain::review::Event;
    use crate::domain::review::Grade;
    use crate::domain::samples;
    use crate::domain::tape;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    /// Facts that leave every card as it was answered, and know one merge: `d` is known as `a`.
    struct Then;

    impl CardFacts for Then {
        fn current_id<'a>(&'a self, id: &'a str) -> &'a str {
            if id == "d" { "a" } else { id }
        }
        fn accepted(&self, _id: &str) -> Option<&str> {
            None
        }
    }

    fn fitted() -> Event {
        let mut weights = *Weights::published().get();
        weights[2] = 4.0;
        Event::Weights {
            weights: Box::new(weights),
        }
    }

    /// A step: journal, kind of line, card, grade, day, and a free number.
    fn tapes(steps: &[(usize, u8, usize, u8, i64, usize)]) -> Vec<Tape> {
        let cards: Vec<Card> = ["a", "b", "c", "d"]
            .iter()
            .map(|id| samples::card(id, "standby", "U31"))
            .collect();
        let mut tapes = vec![
            Tape::new("mk", "b1"),
            Tape::new("mk", "b2"),
            Tape::new("tl", "b1"),
        ];
        for &(journal, kind, card, grade, day, free) in steps {
            let tape = &mut tapes[journal];
            let answer = |mode, accepted: Option<&str>| {
                let mut answered =
                    samples::answered(&cards[card], Grade::from_number(grade).unwrap());
                answered.mode = mode;
                answered.sitting = format!("s{}", free % 3);
                if let Some(accepted) = accepted {
                    accepted.clone_into(&mut answered.accepted);
                }
                Event::Answer(Box::new(Answered { ..answered }))
            };
            let event = match kind {
                0..=4 => answer(Mode::Drill, None),
                5 => answer(Mode::SpotCheck, None),
                6 | 7 => answer(Mode::Brief, None),
                8 => answer(Mode::Drill, Some("0badf00d")),
                9 => fitted(),
                10 => Event::Move {
                    sitting: format!("s{}", free % 3),
                    to: ["mk", "tl"][free % 2].to_owned(),
                },
                _ => Event::Undo {
                    of: format!("mk-b1-{}", free % 20),
                },
            };
            let seq = u64::try_from(tape.lines.len()).unwrap() + 1;
            let mut entry = samples::entry(seq, day, event);
            entry.bench.clone_from(&tape.bench);
            entry.id = format!("{}{seq}", tape.prefix());
            tape.push(entry);
        }
        tapes
    }

    /// Replays the reviews of each card by itself; the last one of each ends with the memory now.
    fn replayed(own: &OwnReviews, weights: &Weights) -> Vec<Memory> {
        let mut cards: BTreeMap<u32, Vec<(i32, Grade)>> = BTreeMap::new();
        for review in &own.reviews {
            let days = cards.entry(review.card).or_default();
            let day = days
                .last()
                .map_or(review.day, |(last, _)| review.day.max(*last));
            days.push((day, review.grade));
        }
        let histories: Vec<Vec<(u32, Grade)>> = cards
            .into_values()
            .map(|days| {
                let before = std::iter::once(days[0].0).chain(days.iter().map(|(day, _)| *day));
                let gaps = days.iter().zip(before);
                gaps.map(|((day, grade), before)| (u32::try_from(day - before).unwrap(), *grade))
                    .collect()
            })
            .collect();
        let states = memory::replay(weights, &histories);
        states
            .into_iter()
            .map(|state| state.expect("a review"))
            .collect()
    }

    /// A replay walks many cards at a time, to 1e-10 of what is reckoned one by one.
    fn is_near(a: Memory, b: Memory) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-10 * b.abs();
        near(a.stability, b.stability) && near(a.difficulty, b.difficulty)
    }

    proptest! {
        /// The reviews are those of the fold: replaying them gives every memory that the fold gives, to
        /// the last bit, and they count as the fold and the fit count them.
        #[test]
        fn a_replay_of_the_reviews_gives_the_memory_of_the_fold(
            steps in prop::collection::vec(
                (0..3_usize, 0..13_u8, 0..4_usize, 1..5_u8, -40..40_i64, 0..99_usize), 0..80),
        ) {
            let tapes = tapes(&steps);
            let tapes: Vec<&Tape> = tapes.iter().collect();
            for person in ["mk", "tl"] {
                let (spots, _) = tape::lines_of(person, &tapes);
                let history: History = tape::fold(&spots, &tapes, &Then);
                let own = of(&spots, &tapes, &Then);
                let replayed = replayed(&own, &history.weights);
                let known: Vec<Memory> = history.cards.values().filter_map(|c| c.memory).collect();
                for memory in &known {
                    let found = replayed.iter().any(|own| is_near(*own, *memory));
                    prop_assert!(found, "{:?} of {:?}", memory, replayed);
                }
                // Runs that a change of the card ended have memories of their own.
                prop_assert!(known.len() <= replayed.len());
                let last = own.reviews.iter().map(|review| review.card + 1).max().unwrap_or(0);
                prop_assert_eq!(replayed.len(), last as usize);
                let histories = Histories::new(&own.reviews);
                prop_assert_eq!(histories.scored(None), own.scored.len());
                prop_assert_eq!(history.scored.reviews, own.scored.len());
                prop_assert_eq!(history.scored.at_fit, own.at_fit);
                for (n, at) in own.scored.iter().enumerate() {
                    let until = i64::try_from(*at).unwrap();
                    prop_assert_eq!(histories.scored(Some(until)), n);
                    let line = own.lines[n];
                    prop_assert!(spots[line].own);
                }
            }
        }
    }

    #[test]
    fn a_brief_counts_misses_without_scoring_them_and_a_first_wrong_guess_is_no_review() {
        let card = samples::card("a", "standby", "U31");
        let mut tape = Tape::new("mk", "b7");
        let told = [
            (1, Mode::Drill, Grade::Missed),
            (2, Mode::Drill, Grade::Named),
            (3, Mode::Brief, Grade::Named),
            (5, Mode::Brief, Grade::Missed),
            (5, Mode::Drill, Grade::Hunted),
            (9, Mode::SpotCheck, Grade::Named),
        ];
        for (seq, (day, mode, grade)) in (1..).zip(told) {
            let answered = Answered {
                mode,
                ..samples::answered(&card, grade)
            };
            tape.push(samples::entry(seq, day, Event::Answer(Box::new(answered))));
        }
        let tapes = [&tape];
        let own = of(&tape::lines_of("mk", &tapes).0, &tapes, &Then);
        let found: Vec<(Grade, bool)> = own.reviews.iter().map(|r| (r.grade, r.scored)).collect();
        assert_eq!(
            found,
            [
                (Grade::Named, true),
                (Grade::Missed, false),
                (Grade::Hunted, true),
                (Grade::Named, true)
            ]
        );
        // The second comes from a brief, the third on the day of the second.
        assert_eq!((own.scored, own.lines), (vec![3], vec![5]));
    }
}
