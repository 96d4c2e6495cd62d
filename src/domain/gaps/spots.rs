//! Which answers of a person are measurements, and what the memory model expected of each.

use chrono::NaiveDate;

use crate::domain::circuit::FamilyId;
use crate::domain::history::CardFacts;
use crate::domain::history::CardHistory;
use crate::domain::history::History;
use crate::domain::in_force;
use crate::domain::memory::Weights;
use crate::domain::names::Names;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::tape;
use crate::domain::tape::CardNumbers;
use crate::domain::tape::Short;
use crate::domain::tape::Tape;
use crate::domain::tape::What;

/// One answer that measures.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Card, by its current id.
    pub card: String,
    /// Family asked for at that time; the card's own where no circuit was asked.
    pub family: FamilyId,
    /// Bench day.
    pub day: NaiveDate,
    /// Circuit said, empty for not known; none where no circuit was asked.
    pub said: Option<FamilyId>,
    /// The circuit was right (a contributing one is); none where no circuit was asked.
    pub circuit: Option<bool>,
    /// The typed fix was right, as recorded; none where it was said aloud.
    pub fix: Option<bool>,
    /// The fix was said aloud.
    pub aloud: bool,
    /// The person overruled the verdict.
    pub overruled: bool,
    /// How sure.
    pub sure: Sure,
    /// The grade kept says that the card was recalled: what the memory model forecasts.
    pub recalled: bool,
    /// Time taken.
    pub ms: Millis,
    /// Chance of recall right before, by the memory model as it stood then; none before its first
    /// review or after a correction, and where no replay was asked for.
    pub expected: Option<f64>,
}

impl Spot {
    /// Tells whether the person was sure and circuit or fix was wrong.
    pub fn sure_and_wrong(&self) -> bool {
        let fix_wrong = self.fix == Some(false) || (self.aloud && !self.recalled);
        self.sure == Sure::High && (self.circuit == Some(false) || fix_wrong)
    }
}

/// The first answer of a person to a card on a day, of whatever mode, where the memory model expected
/// something of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Review {
    /// Card, by its current id.
    pub card: String,
    /// Bench day.
    pub day: NaiveDate,
    /// Chance of recall right before, by the memory model as it stood then.
    pub expected: f64,
    /// The grade kept says that the card was recalled.
    pub recalled: bool,
}

/// The answers of a stretch of time that say something about a person.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    /// Spot checks, in merged order.
    pub spots: Vec<Spot>,
    /// First meetings: guesses, of whatever mode.
    pub cold: Vec<Spot>,
}

/// A stretch of bench days, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// First day; none for everything there is.
    pub from: Option<NaiveDate>,
    /// Last day.
    pub to: NaiveDate,
}

impl Window {
    /// Returns the last `days` days up to and with `to`; 0 for everything.
    pub fn last(days: u32, to: NaiveDate) -> Self {
        let from = (0 < days).then(|| {
            to.checked_sub_days(chrono::Days::new(u64::from(days - 1)))
                .unwrap_or(NaiveDate::MIN)
        });
        Self { from, to }
    }

    /// Tells whether `day` lies inside.
    pub fn holds(&self, day: NaiveDate) -> bool {
        self.from.is_none_or(|from| from <= day) && day <= self.to
    }
}

/// Card facts without what cards accept now: the past is replayed as it was.
struct Then<'a>(&'a dyn CardFacts);

impl CardFacts for Then<'_> {
    fn current_id<'b>(&'b self, id: &'b str) -> &'b str {
        self.0.current_id(id)
    }
    fn accepted(&self, _id: &str) -> Option<&str> {
        None
    }
}

/// A person's own lines in merged order, and the journals they stand in.
#[derive(Clone, Copy, Debug)]
pub struct Lines<'a> {
    /// The places of the lines, as [`tape::lines_of`] returns them.
    pub places: &'a [tape::Spot],
    /// The journals.
    pub tapes: &'a [&'a Tape],
}

/// Returns the measuring answers among `lines` within `window`.
///
/// `family_of` knows the family of cards whose question names no circuit. With `replay` each answer
/// carries what the memory model expected: state, and parameters, as they stood at that moment.
pub fn answers(
    lines: Lines<'_>,
    facts: &dyn CardFacts,
    family_of: &dyn Fn(&str) -> Option<FamilyId>,
    window: Window,
    replay: bool,
) -> Answers {
    let mut found = Answers::default();
    walk(lines, facts, replay, &mut |answer| {
        let checks = answer.short.mode == Mode::SpotCheck && answer.first_today;
        if window.holds(answer.day) && (answer.cold || checks) {
            let id = facts.current_id(answer.names.get(answer.short.card));
            let (when, expected) = ((id, answer.day), answer.expected);
            if let Some(spot) = measured(answer.short, answer.names, when, family_of, expected) {
                let list = if answer.cold {
                    &mut found.cold
                } else {
                    &mut found.spots
                };
                list.push(spot);
            }
        }
    });
    found
}

/// Returns the first answer of each day to each card among `lines` within `window`, where the memory
/// model expected something of it.
pub fn reviews(lines: Lines<'_>, facts: &dyn CardFacts, window: Window) -> Vec<Review> {
    let mut found = Vec::new();
    walk(lines, facts, true, &mut |answer| {
        if let Some(expected) = answer.expected
            && window.holds(answer.day)
            && answer.first_today
        {
            let id = facts.current_id(answer.names.get(answer.short.card));
            found.push(Review {
                card: id.to_owned(),
                day: answer.day,
                expected,
                recalled: answer.short.grade.recalled(),
            });
        }
    });
    found
}

/// One answer while the lines go by.
struct Walked<'a> {
    short: &'a Short,
    names: &'a Names,
    day: NaiveDate,
    /// It is the first of all to this card.
    cold: bool,
    /// It is the first to this card on its day.
    first_today: bool,
    expected: Option<f64>,
}

fn walk(lines: Lines<'_>, facts: &dyn CardFacts, replay: bool, each: &mut dyn FnMut(Walked<'_>)) {
    let then = Then(facts);
    let mut cards = CardNumbers::new(lines.tapes);
    let mut seen_on: Vec<Option<NaiveDate>> = Vec::new();
    let mut memory = Replay::new();
    for (i, place) in lines.places.iter().enumerate() {
        let tape = lines.tapes[place.tape];
        let (day, short) = match &tape.lines[place.line].what {
            What::Answer(short) => (place.day, short),
            What::Other(event) => {
                if replay && event.fit().is_some() {
                    let so_far = &lines.places[..=i];
                    let (now, _) = in_force::weights(tape::effects(so_far, lines.tapes));
                    if now != memory.history.weights {
                        // A fit changes what is remembered of everything before it, and nothing said
                        // earlier.
                        let known = tape::fold(so_far, lines.tapes, &then);
                        memory.start_from(known, cards.ids());
                    }
                }
                continue;
            }
        };
        let card = cards.of(place.tape, short.card, &tape.names, facts);
        if card == seen_on.len() {
            seen_on.push(None);
        }
        let before = seen_on[card].replace(day);
        let accepted = tape.names.get(short.accepted);
        each(Walked {
            short,
            names: &tape.names,
            day,
            cold: before.is_none(),
            first_today: before != Some(day),
            expected: memory.expected(card, accepted, day),
        });
        if replay {
            memory.take(card, short, accepted, day);
        }
    }
}

/// What the memory model knows of every card, one answer after another.
struct Replay {
    history: History,
    cards: Vec<CardHistory>,
}

impl Replay {
    fn new() -> Self {
        Self {
            history: History::new(Weights::published()),
            cards: Vec::new(),
        }
    }

    /// Goes on from `known`, whose cards are numbered as in `ids`.
    fn start_from(&mut self, known: History, ids: &Names) {
        let numbers = 0..u32::try_from(self.cards.len()).unwrap_or(u32::MAX);
        self.cards = numbers
            .map(|number| known.cards.get(ids.get(number)).cloned())
            .map(Option::unwrap_or_default)
            .collect();
        self.history = known;
    }

    fn expected(&self, card: usize, accepted: &str, day: NaiveDate) -> Option<f64> {
        let known = self.cards.get(card)?;
        (known.accepted == accepted)
            .then(|| self.history.recall_of(known, day))
            .flatten()
    }

    fn take(&mut self, card: usize, short: &Short, accepted: &str, day: NaiveDate) {
        if card == self.cards.len() {
            self.cards.push(CardHistory::default());
        }
        let known = &mut self.cards[card];
        let other = known.accepted != accepted;
        let _counted = known.take(other, short.mode, short.grade, day, &self.history.weights);
        accepted.clone_into(&mut known.accepted);
    }
}

pub(crate) fn measured(
    short: &Short,
    names: &Names,
    (card, day): (&str, NaiveDate),
    family_of: &dyn Fn(&str) -> Option<FamilyId>,
    expected: Option<f64>,
) -> Option<Spot> {
    let (family, said) = match short.circuit {
        Some((asked, said)) => (
            names.get(asked).to_owned(),
            Some(names.get(said).to_owned()),
        ),
        // Bench rules belong to no circuit.
        None => (family_of(card).filter(|family| !family.is_empty())?, None),
    };
    Some(Spot {
        card: card.to_owned(),
        family,
        day,
        circuit: said.as_ref().and(short.verdict.circuit),
        said,
        fix: (!short.aloud).then_some(short.verdict.fix).flatten(),
        aloud: short.aloud,
        overruled: short.overruled,
        sure: short.sure,
        recalled: short.grade.recalled(),
        ms: short.ms,
        expected,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::Card;
    use crate::domain::memory;
    use crate::domain::review::Answered;
    use crate::domain::review::Entry;
    use crate::domain::review::Event;
    use crate::domain::review::Grade;
    use crate::domain::samples;
    use crate::domain::samples::Facts;
    use crate::domain::samples::day;

    fn told(seq: u64, on: i64, mode: Mode, card: &Card, grade: Grade) -> Entry {
        let answered = Answered {
            mode,
            ..samples::answered(card, grade)
        };
        samples::entry(seq, on, Event::Answer(Box::new(answered)))
    }

    fn journal(person: &str, entries: Vec<Entry>) -> Tape {
        let mut tape = Tape::new(person, "b7");
        for entry in entries {
            tape.push(entry);
        }
        tape
    }

    fn found(person: &str, journals: &[Tape], cards: &[Card], window: Window) -> Answers {
        let tapes: Vec<&Tape> = journals.iter().collect();
        let (places, _) = tape::lines_of(person, &tapes);
        let lines = Lines {
            places: &places,
            tapes: &tapes,
        };
        answers(lines, &Facts::of(cards), &|_| None, window, true)
    }

    fn all() -> Window {
        Window::last(0, day(400))
    }

    #[test]
    fn only_spot_checks_measure_and_a_first_meeting_is_cold() {
        let card = samples::card("a", "buck", "U9");
        let entries = vec![
            told(1, 0, Mode::Drill, &card, Grade::Named),
            told(2, 2, Mode::Drill, &card, Grade::Missed),
            told(3, 4, Mode::Brief, &card, Grade::Missed),
            told(4, 9, Mode::SpotCheck, &card, Grade::Named),
        ];
        let found = found("mk", &[journal("mk", entries)], &[card], all());
        assert_eq!(found.spots.len(), 1);
        assert_eq!(found.spots[0].day, day(9));
        assert_eq!(found.cold.len(), 1);
        assert_eq!(found.cold[0].day, day(0));
    }

    #[test]
    fn a_second_answer_on_one_day_measures_nothing() {
        let card = samples::card("a", "buck", "U9");
        let entries = vec![
            told(1, 0, Mode::Drill, &card, Grade::Named),
            told(2, 5, Mode::Drill, &card, Grade::Named),
            told(3, 5, Mode::SpotCheck, &card, Grade::Named),
            told(4, 8, Mode::SpotCheck, &card, Grade::Missed),
            told(5, 8, Mode::SpotCheck, &card, Grade::Named),
        ];
        let found = found("mk", &[journal("mk", entries)], &[card], all());
        let recalled: Vec<bool> = found.spots.iter().map(|s| s.recalled).collect();
        assert_eq!(recalled, [false]);
    }

    #[test]
    fn what_was_taken_back_is_gone_and_a_moved_sitting_counts_for_its_owner() {
        let card = samples::card("a", "buck", "U9");
        let event = |seq, event| samples::entry(seq, 9, event);
        let entries = vec![
            told(1, 0, Mode::Drill, &card, Grade::Named),
            told(2, 5, Mode::SpotCheck, &card, Grade::Named),
            told(3, 9, Mode::SpotCheck, &card, Grade::Missed),
            event(
                4,
                Event::Undo {
                    of: "mk-b7-3".to_owned(),
                },
            ),
        ];
        let kept = [journal("mk", entries.clone()), journal("tl", Vec::new())];
        let cards = [card];
        assert_eq!(found("mk", &kept, &cards, all()).spots.len(), 1);
        let mut moved = entries;
        moved.push(event(
            5,
            Event::Move {
                sitting: "b7-1".to_owned(),
                to: "tl".to_owned(),
            },
        ));
        let moved = [journal("mk", moved), journal("tl", Vec::new())];
        assert_eq!(found("mk", &moved, &cards, all()), Answers::default());
        assert_eq!(found("tl", &moved, &cards, all()).spots.len(), 1);
    }

    #[test]
    fn a_window_holds_its_days_and_no_other() {
        let card = samples::card("a", "buck", "U9");
        let entries = (0..6u64)
            .map(|n| {
                let on = i64::try_from(n).unwrap() * 10;
                told(n + 1, on, Mode::SpotCheck, &card, Grade::Named)
            })
            .collect();
        let journals = [journal("mk", entries)];
        let n = |days, to| {
            found(
                "mk",
                &journals,
                std::slice::from_ref(&card),
                Window::last(days, day(to)),
            )
            .spots
            .len()
        };
        // Asked on days 0 (cold), 10, 20, 30, 40, 50.
        assert_eq!(n(0, 50), 5);
        assert_eq!(n(21, 50), 3);
        assert_eq!(n(20, 50), 2);
        assert_eq!(n(1, 50), 1);
        assert_eq!(n(0, 30), 3);
        assert_eq!(n(1, 45), 0);
    }

    #[test]
    fn the_model_is_asked_before_the_answer_with_what_it_knew_then() {
        let card = samples::card("a", "buck", "U9");
        let mut fitted = *Weights::published().get();
        fitted[2] = 4.0;
        let entries = vec![
            told(1, 0, Mode::Drill, &card, Grade::Named),
            told(2, 5, Mode::SpotCheck, &card, Grade::Named),
            samples::entry(
                3,
                6,
                Event::Weights {
                    weights: Box::new(fitted),
                },
            ),
            told(4, 12, Mode::SpotCheck, &card, Grade::Missed),
        ];
        let found = found("mk", &[journal("mk", entries)], &[card], all());
        let old = Weights::published();
        let new = Weights::new(fitted).expect("within bounds");
        let before = memory::recall(&old, memory::first(&old, Grade::Named).stability, 5.0);
        let learned = memory::next(&new, memory::first(&new, Grade::Named), 5, Grade::Named);
        let after = memory::recall(&new, learned.stability, 7.0);
        let expected: Vec<f64> = found.spots.iter().filter_map(|s| s.expected).collect();
        assert_eq!(expected.len(), 2);
        assert!((expected[0] - before).abs() < 1e-12, "{expected:?}");
        assert!((expected[1] - after).abs() < 1e-12, "{expected:?}");
    }

    #[test]
    fn a_corrected_card_is_measured_without_an_expectation() {
        let old = samples::card("a", "buck", "U9");
        let new = samples::card("a", "buck", "U12");
        let entries = vec![
            told(1, 0, Mode::Drill, &old, Grade::Named),
            told(2, 5, Mode::SpotCheck, &new, Grade::Missed),
        ];
        let found = found("mk", &[journal("mk", entries)], &[new], all());
        assert_eq!(found.spots.len(), 1);
        assert_eq!(found.spots[0].expected, None);
    }

    #[test]
    fn said_aloud_never_counts_as_a_fix_and_can_still_be_sure_and_wrong() {
        let card = samples::card("a", "buck", "U9");
        let spot = |sure| {
            let answered = Answered {
                mode: Mode::SpotCheck,
                aloud: true,
                sure,
                ..samples::answered(&card, Grade::Missed)
            };
            let asked = samples::entry(2, 5, Event::Answer(Box::new(answered)));
            let entries = vec![told(1, 0, Mode::Drill, &card, Grade::Named), asked];
            let cards = std::slice::from_ref(&card);
            found("mk", &[journal("mk", entries)], cards, all()).spots[0].clone()
        };
        assert_eq!(spot(Sure::High).fix, None);
        assert!(spot(Sure::High).sure_and_wrong());
        assert!(!spot(Sure::Fair).sure_and_wrong());
    }
}
