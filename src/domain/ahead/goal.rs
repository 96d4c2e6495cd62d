//! What a day to be ready by asks of today: which cards, in which order, and what the days until then
//! come to.
//!
//! The whole plan of `ready.rs` names every day and takes its time. A sitting opens at once, and asks
//! only what to do today; so here the days up to the date are taken together in stretches, single days
//! near today and near the date and longer ones between. Askings are laid down on the stretches, the one
//! that adds most mean recall for each second first, while there is room; the days are planned anew at
//! every sitting, from where the person then stands, which takes in answers and days missed.
//!
//! Today's order is then what asking a card today adds to its recall on the date, with the rest of its
//! askings still to come, for each second; see `today`. The simulation asks by the same function.
//! An asking that adds less than [`LEAST`] is left to the usual order of the day.

use std::collections::BinaryHeap;

use crate::domain::ahead::base;
use crate::domain::ahead::course::Comes;
use crate::domain::ahead::course::LAID;
use crate::domain::ahead::course::MOST;
use crate::domain::ahead::course::Terms;
use crate::domain::ahead::offer::Offer;
use crate::domain::ahead::person::CardAhead;
use crate::domain::ahead::person::Person;
use crate::domain::ahead::person::WEEK;
use crate::domain::memory::Memory;
use crate::domain::units::count;

/// Recall that an asking must add on the date to go before the usual order (our own choice, no source).
pub const LEAST: f64 = 0.005;

/// Most minutes a day that anybody is told.
pub const MOST_MINUTES: u32 = 120;

/// Cards that are looked at, at most, to say how many minutes would do.
const LOOKED_AT: usize = 120;

/// How often askings are laid down: one takes less time after another, which leaves room for more.
const ROUNDS: usize = 3;

/// What a day to be ready by comes to, seen from today.
#[derive(Clone, Debug, PartialEq)]
pub struct Outset {
    /// Of each card, the days on which it is asked, rising; those of a stretch are told as its middle.
    pub days: Vec<Vec<u32>>,
    /// Of each card, what asking it today adds to recall on the date for each second; 0 where it is not
    /// to be asked.
    pub rates: Vec<f64>,
    /// Of each card, the seconds that asking it today is expected to take.
    pub takes: Vec<f64>,
    /// Expected mean recall on the date.
    pub recall: f64,
}

/// Days that are taken together, from the first up to but not including the last.
type Stretch = (u32, u32);

/// Returns the stretches of the days up to `date`: today by itself, and from there and from the date
/// inwards ever longer ones.
fn stretches(date: u32) -> Vec<Stretch> {
    let (mut front, mut back) = (Vec::new(), Vec::new());
    let (mut from, mut to) = (0, date);
    let (mut long, mut next) = (1, 1);
    while from < to {
        let end = (from + long).min(to);
        front.push((from, end));
        from = end;
        if from < to {
            let begin = to.saturating_sub(long).max(from);
            back.push((begin, to));
            to = begin;
        }
        (long, next) = (next, long + next);
    }
    back.reverse();
    front.append(&mut back);
    front
}

/// Returns what `person`, who is about to sit for so many minutes, is to be asked to know most on the
/// morning that is `date` days from today.
pub fn outset(person: &Person, date: u32) -> Outset {
    let mut desk = Desk::new(person, date);
    for _ in 0..ROUNDS {
        if !desk.lay_down() {
            break;
        }
    }
    let laid = desk.laid.iter();
    let days: Vec<Vec<u32>> = laid.map(|laid| desk.days_of(&laid.at)).collect();
    let sum: f64 = desk.laid.iter().map(|laid| laid.comes.recall).sum();
    let cards = person.cards.iter().zip(&days).zip(&desk.shut);
    let rates = cards.map(|((card, days), shut)| {
        if *shut || card.seen_today {
            return 0.0;
        }
        let stands = (card.memory, card.reviewed);
        today(&desk.terms, stands, card.seconds, (days, 0))
    });
    let takes = person.cards.iter().map(|card| {
        let stands = (card.memory, card.reviewed);
        desk.terms.from(stands, card.seconds, &[0]).seconds[0]
    });
    Outset {
        takes: takes.collect(),
        rates: rates.collect(),
        recall: sum / count(person.cards.len().max(1)),
        days,
    }
}

/// Returns about how many whole minutes a day, up to [`MOST_MINUTES`], would bring mean recall on the
/// date to `target`; none where these do not. Of many cards it looks at some, and gives them their part
/// of the minutes.
pub fn minutes_for(person: &Person, date: u32, target: f64) -> Option<u32> {
    let wanted = count(LOOKED_AT) / count(person.cards.len().max(1));
    let mut some = person.clone();
    // Multiples of the golden ratio lie evenly, and fall in with no order that the cards may have.
    let mut place = 0.0;
    some.cards.retain(|_| {
        place = (place + 0.618_033_988_749_894_9) % 1.0;
        place < wanted
    });
    let part = count(some.cards.len()) / count(person.cards.len().max(1));
    fewest_minutes(&mut |minutes: u32| {
        some.sittings.minutes = f64::from(minutes) * part;
        target <= outset(&some, date).recall
    })
}

/// Returns the fewest whole minutes, up to [`MOST_MINUTES`], that reach what more of them reach as well;
/// none where these do not.
pub fn fewest_minutes(reaches: &mut dyn FnMut(u32) -> bool) -> Option<u32> {
    if !reaches(MOST_MINUTES) {
        return None;
    }
    let (mut below, mut enough) = (0, MOST_MINUTES);
    while below + 1 < enough {
        let middle = u32::midpoint(below, enough);
        if reaches(middle) {
            enough = middle;
        } else {
            below = middle;
        }
    }
    Some(enough)
}

/// Takes the gates away that are open today, so that cards may be taken out of a list without shutting
/// those that waited for them.
pub fn open_gates(cards: &mut [CardAhead]) {
    let shut = base::shut(cards);
    for (card, shut) in cards.iter_mut().zip(shut) {
        card.gate = card.gate.filter(|_| shut);
    }
}

/// Returns what asking a card on `day` adds to its recall on the date for each second that it takes,
/// with those of its `planned` askings still to come; 0 where it adds less than [`LEAST`].
///
/// Of planned askings that were missed, one is made good by this.
pub(super) fn today(
    terms: &Terms<'_>,
    stands: (Option<Memory>, i32),
    seconds: f64,
    (planned, day): (&[u32], u32),
) -> f64 {
    let later = &planned[planned.partition_point(|on| *on <= day)..];
    if MOST <= later.len() {
        return 0.0;
    }
    let without = terms.from(stands, seconds, later);
    if 1.0 - without.recall < LEAST {
        // Nothing can add so much, and working it out would take twice as long.
        return 0.0;
    }
    let mut days = vec![day];
    days.extend(later);
    let with = terms.from(stands, seconds, &days);
    let gain = with.recall - without.recall;
    if gain < LEAST {
        return 0.0;
    }
    let time = |comes: &Comes| comes.seconds.iter().sum::<f64>();
    gain / (time(&with) - time(&without)).max(1.0)
}

/// A card's askings, by stretch, and what they come to.
#[derive(Clone, Debug, Default)]
struct Laid {
    at: Vec<usize>,
    comes: Comes,
}

struct Desk<'a> {
    person: &'a Person,
    terms: Terms<'a>,
    /// The middle day of each stretch.
    middles: Vec<u32>,
    /// Seconds that are left of each.
    left: Vec<f64>,
    /// Cards whose gate is shut today.
    shut: Vec<bool>,
    laid: Vec<Laid>,
}

impl<'a> Desk<'a> {
    fn new(person: &'a Person, date: u32) -> Self {
        let terms = Terms::of(person, date);
        let stretches = stretches(date);
        let laid = person.cards.iter().map(|card| Laid {
            at: Vec::new(),
            comes: terms.comes(card, &[]),
        });
        Self {
            middles: stretches.iter().map(|(a, b)| a + (b - a - 1) / 2).collect(),
            left: stretches.iter().map(|days| room(person, *days)).collect(),
            shut: base::shut(&person.cards),
            laid: laid.collect(),
            terms,
            person,
        }
    }

    fn days_of(&self, at: &[usize]) -> Vec<u32> {
        at.iter().map(|nth| self.middles[*nth]).collect()
    }

    /// Returns what a card's askings may become with one more, the best last.
    fn further(&self, card: usize) -> Vec<(f64, Laid)> {
        let one = &self.person.cards[card];
        let before = &self.laid[card];
        if before.at.len() == LAID {
            return Vec::new();
        }
        let time = |comes: &Comes| comes.seconds.iter().sum::<f64>();
        let from = usize::from(one.seen_today || self.shut[card]);
        let mut further: Vec<(f64, Laid)> = (from..self.middles.len())
            .filter(|nth| one.seconds <= self.left[*nth] + 1e-6)
            .filter_map(|nth| {
                let place = before.at.binary_search(&nth).err()?;
                let mut at = before.at.clone();
                at.insert(place, nth);
                let comes = self.terms.comes(one, &self.days_of(&at));
                let gain = comes.recall - before.comes.recall;
                let rate = gain / (time(&comes) - time(&before.comes)).max(1.0);
                (LEAST <= gain).then_some((rate, Laid { at, comes }))
            })
            .collect();
        // Of equal ones the earlier day.
        further.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.at.cmp(&a.1.at)));
        further
    }

    /// Tells whether every stretch has room for what a card's askings change to.
    fn fits(&self, card: usize, laid: &Laid) -> bool {
        let before = &self.laid[card];
        laid.at
            .iter()
            .zip(laid.comes.seconds)
            .all(|(nth, seconds)| {
                let was = before.at.iter().position(|other| other == nth);
                let was = was.map_or(0.0, |place| before.comes.seconds[place]);
                seconds - was <= self.left[*nth] + 1e-6
            })
    }

    /// Lays down askings, the greatest gain for each second first, while a stretch has room; tells whether
    /// there was any.
    fn lay_down(&mut self) -> bool {
        let mut any = false;
        let cards = 0..self.person.cards.len();
        // What a card's next asking adds is worked out once for each that it has.
        let mut further: Vec<Vec<(f64, Laid)>> = cards.map(|card| self.further(card)).collect();
        let best = |card: usize, further: &[(f64, Laid)]| {
            further.last().map(|(rate, _)| Offer {
                rate: *rate,
                card,
                laid: (),
            })
        };
        let mut offers: BinaryHeap<Offer<()>> = (0..)
            .zip(&further)
            .filter_map(|(card, further)| best(card, further))
            .collect();
        while let Some(Offer { card, .. }) = offers.pop() {
            if let Some((_, laid)) = further[card].pop()
                && self.fits(card, &laid)
            {
                any = true;
                self.put(card, laid);
                further[card] = self.further(card);
            }
            offers.extend(best(card, &further[card]));
        }
        any
    }

    fn put(&mut self, card: usize, laid: Laid) {
        let before = std::mem::replace(&mut self.laid[card], laid);
        let after = &self.laid[card];
        for (nth, seconds) in before.at.iter().zip(before.comes.seconds) {
            self.left[*nth] += seconds;
        }
        for (nth, seconds) in after.at.iter().zip(after.comes.seconds) {
            self.left[*nth] -= seconds;
        }
    }
}

/// Returns the seconds of a stretch: today those of the sitting that is about to begin, on other days
/// the minutes times the chance that the day is sat.
fn room(person: &Person, (from, to): Stretch) -> f64 {
    let seconds = (person.sittings.minutes * 60.0).max(0.0);
    let chance = |day: u32| match day {
        0 => 1.0,
        _ => person.sittings.chance[day as usize % WEEK],
    };
    (from..to).map(|day| seconds * chance(day)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ahead::deck;
    use crate::domain::ahead::deck::Families;
    use crate::domain::ahead::made_up;
    use crate::domain::ahead::person;
    use crate::domain::ahead::person::Sittings;
    use crate::domain::ahead::ready;
    use crate::domain::card::Card;
    use crate::domain::circuit::Circuits;
    use crate::domain::history::History;
    use crate::domain::memory::Weights;
    use crate::domain::price::Prices;
    use crate::domain::queue::Aim;
    use crate::domain::queue::First;
    use crate::domain::queue::Today;
    use crate::domain::queue::plan;
    use crate::domain::review::Event;
    use crate::domain::review::Grade;
    use crate::domain::review::Millis;
    use crate::domain::review::Mode;
    use crate::domain::samples;
    use crate::domain::samples::Facts;
    use rand::RngExt;
    use rand::SeedableRng;
    use rand::rngs::ChaCha12Rng;

    #[test]
    fn stretches_hold_every_day_once_and_are_single_days_near_today_and_the_date() {
        for date in 1..=730 {
            let found = stretches(date);
            assert_eq!((found[0], found.last().map(|s| s.1)), ((0, 1), Some(date)));
            assert!(found.windows(2).all(|w| w[0].1 == w[1].0), "{found:?}");
            assert!(found.iter().all(|(from, to)| from < to), "{found:?}");
            assert!(found.len() <= 28, "{date}: {}", found.len());
        }
        let month = stretches(30);
        assert_eq!(
            (month[1], month[month.len() - 1], month[month.len() - 2]),
            ((1, 2), (29, 30), (28, 29))
        );
    }

    #[test]
    fn taken_in_stretches_the_days_come_to_about_what_the_whole_plan_says() {
        for (cards, met, minutes, date) in [(80, 40, 5.0, 12), (60, 0, 5.0, 30), (60, 60, 2.0, 40)]
        {
            let mut person = made_up::person(cards, met);
            person.sittings.minutes = minutes;
            let whole = ready::plan(&person, date).recall;
            let found = outset(&person, date).recall;
            assert!((whole - found).abs() < 0.03, "{found} of {whole}");
        }
    }

    #[test]
    fn what_was_right_today_what_waits_and_what_is_known_is_not_asked_today() {
        let mut person = made_up::person(8, 4);
        person.sittings.minutes = 0.8;
        person.cards[0].seen_today = true;
        person.cards[4].gate = Some(0);
        person.cards[5].gate = Some(1);
        person.cards[1].opens = vec![1];
        person.cards[2].memory = Some(Memory {
            stability: 3000.0,
            difficulty: 3.0,
        });
        let found = outset(&person, 5);
        let asked: Vec<bool> = found.rates.iter().map(|rate| 0.0 < *rate).collect();
        assert_eq!(asked[..3], [false, true, false]);
        assert_eq!(asked[4..], [false, true, true, true]);
        assert!(found.days[4].iter().all(|day| 0 < *day));
    }

    #[test]
    fn the_minutes_that_are_said_to_do_are_about_those_that_do() {
        let person = made_up::person(300, 150);
        let needs = minutes_for(&person, 30, 0.9).expect("two hours would");
        let with = |minutes: f64| {
            let mut person = person.clone();
            person.sittings.minutes = minutes;
            outset(&person, 30).recall
        };
        let needs = f64::from(needs);
        assert!(
            with(needs * 0.8) < 0.9 && 0.9 <= with(needs * 1.2),
            "{needs}"
        );
        assert_eq!(minutes_for(&person, 1, 0.99), None);
    }

    #[test]
    fn without_minutes_nothing_is_planned() {
        let mut person = made_up::person(8, 4);
        person.sittings.minutes = 0.0;
        let found = outset(&person, 9);
        assert!(found.days.iter().all(Vec::is_empty));
    }

    /// Sixty invented cards, of which every third is of the board in question.
    fn shop() -> Vec<Card> {
        let families = ["standby", "sequence", "buck", "core", "clock"];
        (0..60)
            .map(|i: usize| {
                let id = format!("c{i:03}");
                let mut card = samples::card(&id, families[i % 5], &format!("U{i}"));
                card.board = if is_meant(i) { "petrel-p4" } else { "skua-e6" }.to_owned();
                card
            })
            .collect()
    }

    fn is_meant(card: usize) -> bool {
        card.is_multiple_of(3)
    }

    /// Someone who forgets as the memory model says and answers the real queue.
    struct Someone {
        deck: Vec<Card>,
        history: History,
        facts: Facts,
        chance: ChaCha12Rng,
        prices: Prices,
    }

    /// Minutes of each of the sittings.
    const MINUTES: f64 = 4.0;

    impl Someone {
        fn new(seed: u64) -> Self {
            let deck = shop();
            let weights = Weights::published();
            Self {
                facts: Facts::of(&deck),
                history: History::new(weights.clone()),
                chance: ChaCha12Rng::seed_from_u64(seed),
                prices: Prices::new(&weights),
                deck,
            }
        }

        /// Returns the cards of the board as the plan sees them `left` days before the date.
        fn ahead(&self, on: i64) -> Person {
            let meant: Vec<&Card> = self.deck.iter().step_by(3).collect();
            let families = Families::of(&meant, &self.history);
            let same = vec![1.0 / count(meant.len()); meant.len()];
            let day = samples::day(on);
            Person {
                cards: deck::cards(&meant, &self.history, (&same, &same), &families, (day, 0.9)),
                spot_checks: families.spot_checks(&self.history),
                spots: 0,
                weights: self.history.weights.clone(),
                answers: self.history.manner.habits(),
                manner: self.history.manner,
                aim: Aim::Steady,
                target: 0.9,
                sittings: Sittings {
                    // Spot checks take their time from the same minutes.
                    minutes: MINUTES - 4.0 * 22.0 / 60.0,
                    chance: [1.0; WEEK],
                    sat_today: false,
                },
            }
        }

        /// Sits on day `on`, ready by `date` where one is given.
        fn sit(&mut self, on: i64, date: Option<i64>) {
            let mut rates = vec![0.0; self.deck.len()];
            if let Some(date) = date {
                let left = u32::try_from(date - on).expect("before it");
                let found = outset(&self.ahead(on), left).rates;
                for (nth, rate) in found.into_iter().enumerate() {
                    rates[nth * 3] = rate;
                }
            }
            let cards: Vec<&Card> = self.deck.iter().collect();
            let same = vec![1.0 / count(cards.len()); cards.len()];
            let asks = plan(&Today {
                cards: &cards,
                history: &self.history,
                circuits: &Circuits::with_shop(&[], false),
                shares: &same,
                costs: &vec![1.0; cards.len()],
                prices: &self.prices,
                aim: Aim::Steady,
                first: date.map(|_| First {
                    rates: &rates,
                    seconds: f64::INFINITY,
                }),
                day: samples::day(on),
                target: 0.9,
                minutes: MINUTES,
                seed: self.chance.random(),
                only_spot_checks: None,
            });
            for ask in asks.iter().filter(|ask| !ask.spare) {
                if !self.answer(ask.card, on, ask.mode) {
                    self.answer(ask.card, on, Mode::Drill);
                }
            }
        }

        /// Answers a card as the model's own chance has it; tells whether it was right.
        fn answer(&mut self, card: usize, on: i64, mode: Mode) -> bool {
            let habits = self.history.manner.habits();
            let known = self.history.cards.get(&self.deck[card].id);
            let seen = known.is_some_and(|k| k.seen_on == Some(samples::day(on)));
            let chance = match self.history.recall(&self.deck[card].id, samples::day(on)) {
                _ if seen => habits.again,
                None => habits.guess,
                Some(recall) => recall,
            };
            let grade = person::grade(&habits, chance, self.chance.random());
            let mut answered = samples::answered(&self.deck[card], grade);
            answered.mode = mode;
            answered.ms = Millis {
                circuit: 8000,
                answer: 10_000,
                reveal: 4000,
            };
            let event = Event::Answer(Box::new(answered));
            self.history.apply(&event, samples::day(on), &self.facts);
            grade != Grade::Missed
        }

        /// Returns mean recall of the board's cards on a day.
        fn knows(&self, on: i64) -> f64 {
            let meant = self.deck.iter().step_by(3);
            let recall = |card: &Card| self.history.recall(&card.id, samples::day(on));
            let sum: f64 = meant.clone().filter_map(recall).sum();
            sum / count(meant.count())
        }
    }

    /// Returns mean recall on the date over ten people, and what was foretold them when they set it,
    /// after ten usual days; on the days of `away` they do not sit.
    fn on_the_day(follows: bool, days: i64, away: std::ops::Range<i64>) -> (f64, f64) {
        const PEOPLE: u64 = 10;
        let date = 10 + days;
        let (mut reached, mut foretold) = (0.0, 0.0);
        for seed in 0..PEOPLE {
            let mut one = Someone::new(seed);
            for on in 0..10 {
                one.sit(on, None);
            }
            foretold += outset(&one.ahead(10), u32::try_from(days).expect("few")).recall;
            for on in (10..date).filter(|on| !away.contains(on)) {
                one.sit(on, follows.then_some(date));
            }
            reached += one.knows(date);
        }
        (reached / 10.0, foretold / 10.0)
    }

    #[test]
    fn who_follows_a_date_knows_more_on_it_than_in_the_usual_order_and_about_what_was_foretold() {
        for days in [6, 15] {
            let (usual, _) = on_the_day(false, days, 0..0);
            let (reached, foretold) = on_the_day(true, days, 0..0);
            assert!(usual + 0.05 < reached, "{days}: {usual} {reached}");
            assert!(
                (reached - foretold).abs() < 0.05,
                "{days}: {reached} {foretold}"
            );
        }
    }

    #[test]
    fn days_missed_are_taken_in_by_the_days_after_them() {
        let (usual, _) = on_the_day(false, 15, 14..19);
        let (reached, _) = on_the_day(true, 15, 14..19);
        assert!(usual + 0.05 < reached, "{usual} {reached}");
    }
}
