//! The levelling of forecasts over one run: cards that let others go before them for a few days.
//!
//! The rule is that of `domain/spread.rs` and `domain/queue/choice.rs`, with counts by day kept up from
//! review to review. How a forecast was drawn before the run is known; later ones draw from the chance
//! of the run.

use crate::domain::ahead::base::Base;
use crate::domain::ahead::cards::signed;
use crate::domain::ahead::chance::Chance;
use crate::domain::ahead::chance::Draw;
use crate::domain::spread::AHEAD;
use crate::domain::spread::Drawn;

/// The days of a run, by number, between which a card may be early.
#[derive(Clone, Copy, Debug)]
struct Early {
    /// First day of its window; never where its forecast does not move.
    from: i32,
    one: i32,
    other: i32,
}

const NEVER: Early = Early {
    from: i32::MAX,
    one: -1,
    other: -1,
};

/// Forecasts of the cards of a run, and how many fall on each day.
#[derive(Clone, Debug)]
pub(super) struct Levels {
    /// Cards expected on each day of the run and some after it.
    load: Vec<u32>,
    /// Day on which each card is counted; before the run for none.
    expected: Vec<i32>,
    early: Vec<Early>,
}

impl Levels {
    /// Returns those of `n` cards without memory over so many days.
    pub(super) fn new(n: usize, days: u32) -> Self {
        Self {
            load: vec![0; days as usize + AHEAD],
            expected: vec![-1; n],
            early: vec![NEVER; n],
        }
    }

    /// Takes in the forecast that was drawn for a card before the run.
    pub(super) fn known(
        &mut self,
        base: &Base<'_>,
        (at, stability): (usize, f64),
        day: i32,
        drawn: Option<Drawn>,
    ) {
        self.count(at, day.saturating_add(signed(base.spans.days(stability))));
        self.early[at] = drawn.map_or(NEVER, |drawn| Early {
            from: day.saturating_add(signed(drawn.first)),
            one: day.saturating_add(signed(drawn.one)),
            other: day.saturating_add(signed(drawn.other)),
        });
    }

    /// Draws the forecast of a card that was reviewed on a day of the run, for the `turn`th time.
    #[inline]
    pub(super) fn review(
        &mut self,
        base: &Base<'_>,
        (at, stability): (usize, f64),
        day: i32,
        (chance, card, turn): (Chance, u32, u32),
    ) {
        let drawn = base.spans.window(stability).map(|(first, last)| {
            let (one, other) = chance.two(Draw::Forecast, card, turn, last - first + 1);
            Drawn {
                first,
                one: first + one,
                other: first + other,
            }
        });
        self.known(base, (at, stability), day, drawn);
    }

    /// Counts a card on the day on which it is expected, and no longer on the one before.
    fn count(&mut self, at: usize, day: i32) {
        let place = |day: i32| usize::try_from(day).ok();
        if let Some(cards) = place(self.expected[at]).and_then(|at| self.load.get_mut(at)) {
            *cards -= 1;
        }
        self.expected[at] = day;
        if let Some(cards) = place(day).and_then(|at| self.load.get_mut(at)) {
            *cards += 1;
        }
    }

    /// Tells whether a card stands within its window on `day`, before the one that it was moved to.
    #[inline]
    pub(super) fn is_early(&self, at: usize, day: i32) -> bool {
        let early = self.early[at];
        if day < early.from || early.one.max(early.other) <= day {
            return false;
        }
        let moved = if self.on(early.other, day) < self.on(early.one, day) {
            early.other
        } else {
            early.one
        };
        day < moved
    }

    /// Returns how many cards are expected on a day, seen from `today`: none before it or far ahead.
    fn on(&self, day: i32, today: i32) -> u32 {
        let ahead = usize::try_from(day - today);
        if ahead.is_ok_and(|ahead| ahead < AHEAD) {
            self.load
                .get(day.unsigned_abs() as usize)
                .copied()
                .unwrap_or(0)
        } else {
            0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ahead::made_up;
    use crate::domain::ahead::outlook;
    use crate::domain::memory::Memory;
    use crate::domain::price::Prices;

    /// Someone with two cards of one memory, reviewed eleven days ago, of which the first is in more jobs.
    fn two() -> crate::domain::ahead::person::Person {
        let mut person = made_up::person(2, 2);
        for card in &mut person.cards {
            card.memory = Some(Memory {
                stability: 12.0,
                difficulty: 5.0,
            });
            card.reviewed = -11;
            card.rule = false;
        }
        person.sittings.minutes = 0.5;
        person
    }

    #[test]
    fn a_card_before_its_day_lets_another_go_first_and_on_its_day_does_not() {
        let prices = Prices::new(&made_up::person(1, 0).weights);
        let first = |drawn: Option<Drawn>| {
            let mut person = two();
            person.cards[0].drawn = drawn;
            let chosen = outlook::first_sitting(&person, &prices, &[], None);
            chosen.into_iter().collect::<Vec<u32>>()
        };
        let moved = |one, other| {
            let first = 11;
            Some(Drawn { first, one, other })
        };
        // Half a minute holds one card.
        assert_eq!(first(None), [0]);
        assert_eq!(first(moved(11, 11)), [0]);
        assert_eq!(first(moved(13, 13)), [1]);
        // Both are expected on the twelfth day, so that another day is taken where there is one.
        assert_eq!(first(moved(12, 11)), [0]);
        assert_eq!(first(moved(12, 13)), [1]);
    }

    #[test]
    fn a_card_is_counted_once_on_the_day_it_is_expected() {
        let prices = Prices::new(&made_up::person(1, 0).weights);
        let person = two();
        let base = Base::new(&person, &prices);
        let mut levels = Levels::new(2, 30);
        for (at, card) in person.cards.iter().enumerate() {
            levels.known(&base, (at, 12.0), card.reviewed, None);
        }
        assert_eq!(
            (levels.on(1, 0), levels.on(1, 2)),
            (2, 0),
            "a day gone by counts nothing"
        );
        let chance = Chance::of_run(1, 1);
        levels.review(&base, (0, 30.0), 1, (chance, 0, 1));
        assert_eq!((levels.on(1, 0), levels.on(31, 1)), (1, 1));
        let early = levels.early[0];
        let window = base.spans.window(30.0).expect("a month moves");
        for day in [early.one, early.other] {
            assert!((signed(window.0)..=signed(window.1)).contains(&(day - 1)));
        }
        levels.review(&base, (0, 2.0), 31, (chance, 0, 2));
        assert_eq!((levels.on(31, 1), levels.on(33, 1)), (0, 1));
        assert_eq!(levels.early[0].from, i32::MAX, "two days do not move");
        assert_eq!(levels.on(33, 33 - 400), 0, "too far ahead");
    }
}
