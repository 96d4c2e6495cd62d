//! What others do: published schedules, a fixed ladder, and chance.
//!
//! All of them get the same sittings, minutes and coming back of missed cards as this program's own.
//! Cards that are due come first, the most overdue first, then up to 20 new ones a day, in deck order
//! or commonest first (by the same counted job shares). A wrong first guess at a new card is no
//! review; the card's first review is its next asking, as in this program.

use benchlore::domain::memory;
use benchlore::domain::queue::Ask;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Mode;

use crate::simulate::chance::Chance;
use crate::simulate::drill::Known;
use crate::simulate::drill::Morning;
use crate::simulate::drill::Schedule;

/// New cards a day.
const NEW_A_DAY: usize = 20;

/// In which order new cards come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum New {
    /// As they stand in the deck.
    DeckOrder,
    /// The commonest fault first.
    Commonest,
}

/// Returns the asks of the cards in this order.
pub(crate) fn asks(cards: impl IntoIterator<Item = usize>) -> Vec<Ask> {
    let ask = |card| Ask {
        card,
        mode: Mode::Drill,
        opens_family: false,
        again: false,
        spare: false,
    };
    cards.into_iter().map(ask).collect()
}

fn due_then_new(mut due: Vec<(f64, usize)>, new: New, morning: &Morning<'_>) -> Vec<Ask> {
    due.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let shares = morning.shop.shares_on(morning.day);
    let mut fresh: Vec<usize> = (0..morning.there)
        .filter(|i| !morning.known[*i].met)
        .collect();
    if new == New::Commonest {
        fresh.sort_by(|a, b| shares[*b].total_cmp(&shares[*a]));
    }
    asks(
        due.into_iter()
            .map(|(_, card)| card)
            .chain(fresh.into_iter().take(NEW_A_DAY)),
    )
}

/// The 21-parameter model, asked once recall has fallen to a target; the least likely recalled first.
pub(crate) struct Overdue {
    /// Target recall.
    pub(crate) target: f64,
    /// Order of new cards.
    pub(crate) new: New,
}

impl Schedule for Overdue {
    fn asks(&mut self, morning: &Morning<'_>) -> Vec<Ask> {
        let weights = &morning.history.weights;
        let recall = |known: &Known| {
            let Some(memory) = known.memory else {
                return known.met.then_some(0.0);
            };
            let exact = memory::interval_exact(weights, memory.stability, self.target);
            let recall = memory::recall(weights, memory.stability, f64::from(known.elapsed));
            (memory::whole_days(exact) <= known.elapsed).then_some(recall)
        };
        let known = morning.known.iter().enumerate();
        let due = known.filter_map(|(card, known)| Some((recall(known)?, card)));
        due_then_new(due.collect(), self.new, morning)
    }

    fn is_fitted(&self) -> bool {
        true
    }
}

/// Days until a card is due again, however that is reckoned.
#[derive(Clone, Copy, Debug, Default)]
struct Due {
    on: usize,
    days: f64,
    repetition: usize,
    ease: f64,
}

/// Which rule gives the days.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Rule {
    /// SM-2, as published in 1990: Wozniak, *Optimization of Learning* (Master's thesis, Poznan
    /// University of Technology), section 3.2. Intervals 1, 6, then times `E` (start 2.5, floor 1.3),
    /// rounded up; `E' = E - 0.8 + 0.28 q - 0.02 q^2`. Grades are taken as q = 1, 3, 4, 5 (our choice,
    /// no source). Of the two readings for q < 3 this one changes `E` first and then starts over. Cards
    /// with q < 4 are repeated in the sitting until q is 4, here five times at most (from memory).
    Sm2,
    /// 1, 3, 7, 14, 30 and from then on 60 days; a miss starts over.
    Ladder,
}

const LADDER: [f64; 6] = [1.0, 3.0, 7.0, 14.0, 30.0, 60.0];

/// A schedule that keeps a due day for each card.
pub(crate) struct ByDueDay {
    rule: Rule,
    new: New,
    due: Vec<Due>,
}

impl ByDueDay {
    /// Starts with nothing met of so many cards.
    pub(crate) fn new(rule: Rule, new: New, cards: usize) -> Self {
        let unmet = Due {
            ease: 2.5,
            ..Due::default()
        };
        Self {
            rule,
            new,
            due: vec![unmet; cards],
        }
    }
}

impl Due {
    fn sm2(&mut self, grade: Grade) {
        let q = [1.0, 3.0, 4.0, 5.0][usize::from(grade.number()) - 1];
        self.ease = (self.ease - 0.8 + 0.28 * q - 0.02 * q * q).max(1.3);
        self.repetition = if grade.recalled() {
            self.repetition + 1
        } else {
            1
        };
        self.days = match self.repetition {
            1 => 1.0,
            2 => 6.0,
            _ => (self.days * self.ease).ceil(),
        };
    }

    fn ladder(&mut self, grade: Grade) {
        self.repetition = if grade.recalled() {
            (self.repetition + 1).min(LADDER.len())
        } else {
            1
        };
        self.days = LADDER[self.repetition - 1];
    }
}

impl Schedule for ByDueDay {
    fn asks(&mut self, morning: &Morning<'_>) -> Vec<Ask> {
        let known = morning.known.iter().enumerate();
        let met = known.filter(|(_, known)| known.met).map(|(card, _)| card);
        let due = met.filter(|card| self.due[*card].on <= morning.day);
        // The earliest due day first.
        let due = due.map(|card| (benchlore::domain::units::count(self.due[card].on), card));
        due_then_new(due.collect(), self.new, morning)
    }

    fn heard(&mut self, card: usize, day: usize, grade: Grade) {
        let due = &mut self.due[card];
        match self.rule {
            Rule::Sm2 => due.sm2(grade),
            Rule::Ladder => due.ladder(grade),
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number of days, at most some millions"
        )]
        let days = due.days.min(1e6) as usize;
        due.on = day + days;
    }

    fn comes_back(&self, grade: Grade, times: usize) -> bool {
        match self.rule {
            Rule::Sm2 => grade < Grade::Named && times < 5,
            Rule::Ladder => !grade.recalled() && times == 0,
        }
    }

    fn is_fitted(&self) -> bool {
        false
    }
}

/// Any card that is there, met or not, with equal chance.
pub(crate) struct Random;

impl Schedule for Random {
    fn asks(&mut self, morning: &Morning<'_>) -> Vec<Ask> {
        let mut cards: Vec<usize> = (0..morning.there).collect();
        Chance::new(morning.seed, &[20]).shuffle(&mut cards);
        asks(cards)
    }

    fn is_fitted(&self) -> bool {
        false
    }
}
