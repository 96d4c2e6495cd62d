//! How many of a person's cards are expected on each day, kept up while answers come in.
//!
//! Counted once, a card is left out for its own answer and counted again as it then stands: the load is
//! at all times what [`History::load`] would count anew. Leaves out the spread itself (`spread.rs`).

use chrono::NaiveDate;

use crate::domain::history::History;
use crate::domain::spread::Load;
use crate::domain::spread::Spans;

/// The forecasts of a person's cards from a day on.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecasts {
    day: NaiveDate,
    spans: Spans,
    load: Load,
}

impl Forecasts {
    /// Counts all cards of a history, from `day` on, by when recall will have fallen to `target`.
    pub fn of(history: &History, day: NaiveDate, target: f64) -> Self {
        Self {
            day,
            spans: Spans::new(&history.weights, target),
            load: history.load(day, target, None),
        }
    }

    /// Tells whether they were counted from this day on.
    pub fn are_from(&self, day: NaiveDate) -> bool {
        self.day == day
    }

    /// Returns how many cards are expected on each day.
    pub fn load(&self) -> &Load {
        &self.load
    }

    /// Takes a card out, as the history has it now.
    pub fn leave_out(&mut self, history: &History, card: &str) {
        if let Some((reviewed, days)) = self.expected(history, card) {
            self.load.take_out(reviewed, days);
        }
    }

    /// Counts a card that was left out, as the history has it now.
    pub fn count(&mut self, history: &History, card: &str) {
        if let Some((reviewed, days)) = self.expected(history, card) {
            self.load.add(reviewed, days);
        }
    }

    fn expected(&self, history: &History, card: &str) -> Option<(NaiveDate, u32)> {
        let known = history.cards.get(card)?;
        let days = self.spans.days(known.memory?.stability);
        Some((known.reviewed_on?, days))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::Card;
    use crate::domain::memory::Weights;
    use crate::domain::review::Event;
    use crate::domain::review::Grade;
    use crate::domain::samples;
    use crate::domain::samples::Facts;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        #[test]
        fn kept_up_from_answer_to_answer_it_is_what_a_new_count_says(
            before in proptest::collection::vec((0..12_usize, 0..30_i64, 0..4_usize), 0..40),
            sitting in proptest::collection::vec((0..12_usize, 0..4_usize), 1..30),
            target in 0.7..0.97,
        ) {
            let deck: Vec<Card> = (0..12)
                .map(|i| samples::card(&format!("c{i:02}"), "buck", &format!("U{i}")))
                .collect();
            let facts = Facts::of(&deck);
            let mut history = History::new(Weights::published());
            let answer = |history: &mut History, card: usize, on: i64, grade: usize| {
                let answered = samples::answered(&deck[card], Grade::ALL[grade]);
                let event = Event::Answer(Box::new(answered));
                history.apply(&event, samples::day(on), &facts);
            };
            for (card, on, grade) in before {
                answer(&mut history, card, on, grade);
            }
            let today = samples::day(31);
            let mut kept = Forecasts::of(&history, today, target);
            for (card, grade) in sitting {
                let id = &deck[card].id;
                kept.leave_out(&history, id);
                prop_assert_eq!(kept.load(), &history.load(today, target, Some(id)));
                answer(&mut history, card, 31, grade);
                kept.count(&history, id);
            }
            prop_assert_eq!(kept.load(), &history.load(today, target, None));
            prop_assert!(kept.are_from(today) && !kept.are_from(samples::day(32)));
        }
    }
}
