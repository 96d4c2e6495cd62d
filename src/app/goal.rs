//! A day to be ready by, as today's sitting, the home screen and the plan see it.
//!
//! The days until then are planned anew each time from where the person stands, cheaply
//! (`domain/ahead/goal.rs`); `ready_by.rs` does it at length and simulates what comes of it.

use std::collections::HashSet;

use chrono::NaiveDate;

use crate::app::plan;
use crate::app::plan_lines;
use crate::app::practice::Options;
use crate::app::record::Record;
use crate::app::scope::Scope;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::ahead::deck;
use crate::domain::ahead::deck::Families;
use crate::domain::ahead::goal;
use crate::domain::ahead::person;
use crate::domain::card::Card;
use crate::domain::goal::Goal;
use crate::domain::queue::Aim;
use crate::domain::queue::Ask;
use crate::domain::queue::First;
use crate::domain::queue::today::SPOT_CHECKS;
use crate::domain::review::Mode;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::text::number_of;
use crate::domain::units::count;

/// A day to be ready by, seen from today.
#[derive(Debug)]
pub enum Sight {
    /// It lies ahead.
    Ahead(Box<Ahead>),
    /// Its morning has come: nothing is planned any more.
    Come(Known),
    /// It cannot be planned for; why.
    Lost(Goal, String),
}

/// What is known of the cards meant.
#[derive(Clone, Debug)]
pub struct Known {
    goal: Goal,
    /// Cards, and their mean recall; a card never met counts as none.
    cards: usize,
    mean: f64,
    today: NaiveDate,
}

/// What lies ahead of a day to be ready by.
#[derive(Debug)]
pub struct Ahead {
    known: Known,
    /// Of each card of the sitting, what asking it today is worth, and the seconds it takes.
    rates: Vec<f64>,
    takes: Vec<f64>,
    /// Where it ends.
    days: u32,
    /// Mean recall that the days until then come to.
    mean: f64,
    target: f64,
    /// What the days are planned for.
    person: person::Person,
}

/// What is said of a day to be ready by where a sitting opens.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The sentence.
    pub line: String,
    /// Its morning has come: it ends here.
    pub has_come: bool,
    /// The day.
    pub date: NaiveDate,
    /// Which cards.
    pub scope: String,
    /// Cards of the sitting that it puts first, and their minutes.
    pub first: usize,
    /// Minutes of them.
    pub minutes: f64,
    /// Mean recall in reach, or reached; none where it cannot be planned for.
    pub mean: Option<f64>,
    /// It reaches the target.
    pub is_reached: Option<bool>,
}

/// Returns the day to be ready by of a sitting: the one asked for now, else the person's own; none for a
/// brief or for spot checks alone.
fn of<'g>(person: &'g Person, options: &'g Options) -> Option<&'g Goal> {
    let daily = options.brief.is_none() && options.only_spot_checks.is_none();
    let goal = options.goal.as_ref().or(person.goal.as_ref());
    goal.filter(|_| daily)
}

/// Looks from today at the day to be ready by, for a sitting of these cards.
pub fn look(
    workbench: &Workbench,
    (person, record): (&Person, &Record),
    (cards, options): (&[&Card], &Options),
    today: NaiveDate,
) -> Option<Sight> {
    let goal = of(person, options)?;
    let scope = match Scope::of_goal(workbench, goal) {
        Ok(scope) => scope,
        Err(error) => return Some(Sight::Lost(goal.clone(), error.to_string())),
    };
    let meant: Vec<usize> = (0..cards.len())
        .filter(|at| scope.holds(cards[*at]))
        .collect();
    if meant.is_empty() {
        let why = "none of its cards is asked here".to_owned();
        return Some(Sight::Lost(goal.clone(), why));
    }
    let history = &record.history;
    let recall = |at: &usize| history.recall(&cards[*at].id, today);
    let known = Known {
        goal: goal.clone(),
        cards: meant.len(),
        mean: meant.iter().filter_map(recall).sum::<f64>() / count(meant.len()),
        today,
    };
    let Some(days) = goal.days_left(today) else {
        return Some(Sight::Come(known));
    };
    let target = workbench.shop.target_recall;
    let person = ahead(record, (cards, &meant), (goal, options), (today, target));
    let outset = goal::outset(&person, days);
    let spread = |of: &[f64]| {
        let mut all = vec![0.0; cards.len()];
        for (at, one) in meant.iter().zip(of) {
            all[*at] = *one;
        }
        all
    };
    Some(Sight::Ahead(Box::new(Ahead {
        rates: spread(&outset.rates),
        takes: spread(&outset.takes),
        known,
        days,
        mean: outset.recall,
        target,
        person,
    })))
}

/// Returns what the days are planned from: the cards meant, and the minutes that may go to them.
fn ahead(
    record: &Record,
    (cards, meant): (&[&Card], &[usize]),
    (goal, options): (&Goal, &Options),
    (today, target): (NaiveDate, f64),
) -> person::Person {
    let history = &record.history;
    // With the other cards of their boards: one of these may be what a card waits for.
    let boards: HashSet<&str> = meant.iter().map(|at| cards[*at].board.as_str()).collect();
    let is_meant: HashSet<usize> = meant.iter().copied().collect();
    let near = |at: &usize| is_meant.contains(at) || boards.contains(cards[*at].board.as_str());
    let near: Vec<usize> = (0..cards.len()).filter(near).collect();
    let those: Vec<&Card> = near.iter().map(|at| cards[*at]).collect();
    let families = Families::of(&those, history);
    let same = vec![1.0; those.len()];
    let mut all = deck::cards(&those, history, (&same, &same), &families, (today, target));
    goal::open_gates(&mut all);
    let meant = all.into_iter().zip(near);
    let cards: Vec<person::CardAhead> = meant
        .filter(|(_, at)| is_meant.contains(at))
        .map(|(card, _)| card)
        .collect();
    let spots = cards.iter().filter(|card| card.spot && card.met).count();
    let for_spots = count(spots.min(SPOT_CHECKS)) * history.manner.seconds(true) / 60.0;
    let left = (options.minutes - for_spots).max(0.0);
    let minutes = goal.minutes.map_or(left, |most| left.min(f64::from(most)));
    let mut sittings = plan::sittings(record, minutes, today);
    // It is asked as the person is about to sit.
    sittings.sat_today = false;
    person::Person {
        cards,
        spot_checks: families.spot_checks(history),
        spots: 0,
        weights: history.weights.clone(),
        answers: history.manner.habits(),
        manner: history.manner,
        aim: Aim::Readiness,
        target,
        sittings,
    }
}

impl Sight {
    /// Returns what goes before the usual order of the day.
    pub fn first(&self) -> Option<First<'_>> {
        let Self::Ahead(ahead) = self else {
            return None;
        };
        let most = ahead.known.goal.minutes;
        Some(First {
            rates: &ahead.rates,
            seconds: most.map_or(f64::INFINITY, |minutes| f64::from(minutes) * 60.0),
        })
    }

    /// Returns what is said of it as a sitting opens that asks these cards.
    pub fn told(&self, asks: &[Ask], options: &Options) -> Told {
        let (first, minutes) = self.share(asks);
        let (goal, mean) = match self {
            Self::Ahead(ahead) => (&ahead.known.goal, Some(ahead.mean)),
            Self::Come(known) => (&known.goal, Some(known.mean)),
            Self::Lost(goal, _) => (goal, None),
        };
        Told {
            line: self.with_what_would(asks, options),
            has_come: matches!(self, Self::Come(_)) && options.goal.is_none(),
            date: goal.date,
            scope: clean(&goal.scope()),
            first,
            minutes,
            mean,
            is_reached: match self {
                Self::Ahead(ahead) => Some(ahead.is_reached()),
                _ => None,
            },
        }
    }

    /// Returns how many of the cards asked it puts first, and their minutes: the usual order may ask
    /// others of its cards with the minutes that are left.
    fn share(&self, asks: &[Ask]) -> (usize, f64) {
        let Self::Ahead(ahead) = self else {
            return (0, 0.0);
        };
        let mut of_it: Vec<usize> = asks
            .iter()
            .filter(|ask| !ask.spare && ask.mode == Mode::Drill)
            .map(|ask| ask.card)
            .filter(|card| 0.0 < ahead.rates[*card])
            .collect();
        of_it.sort_by(|a, b| ahead.rates[*b].total_cmp(&ahead.rates[*a]));
        let most = ahead.known.goal.minutes.map_or(f64::INFINITY, f64::from);
        let (mut cards, mut minutes) = (0, 0.0);
        for card in of_it {
            let takes = ahead.takes[card] / 60.0;
            if minutes + takes <= most {
                cards += 1;
                minutes += takes;
            }
        }
        (cards, minutes)
    }

    /// Returns what is said of it, and where it is out of reach what would bring it into reach.
    pub fn with_what_would(&self, asks: &[Ask], options: &Options) -> String {
        let (line, more) = (self.line(asks, options), self.what_would());
        format!("{line} {more}").trim_end().to_owned()
    }

    /// Returns what is said of it in one or two sentences.
    fn line(&self, asks: &[Ask], options: &Options) -> String {
        match self {
            Self::Ahead(ahead) => {
                let known = &ahead.known;
                let (cards, minutes) = self.share(asks);
                let whole = plan_lines::minutes(options.minutes);
                let goes = if cards == 0 {
                    "nothing of it is worth asking today, and the usual order has the sitting"
                        .to_owned()
                } else {
                    let cards = number_of(cards, "card");
                    format!(
                        "{cards} of it first, about {:.0} of {whole}",
                        minutes.max(1.0)
                    )
                };
                format!("Ready by {}: {goes}; {}.", known.what(), ahead.reach())
            }
            Self::Come(known) => format!(
                "The day you planned for has come ({}): mean recall now {:.0} of 100 over {}.",
                known.what(),
                known.mean * 100.0,
                number_of(known.cards, "card")
            ),
            Self::Lost(goal, why) => format!(
                "Ready by {}, {}: {}; the usual order has the sitting.",
                goal.date,
                clean(&goal.scope()),
                clean(why)
            ),
        }
    }

    /// Returns what is said of it beside a plan of the coming weeks, which does not know of it.
    pub fn beside_plan(&self) -> String {
        match self {
            Self::Ahead(ahead) => format!(
                "Ready by {}: {}. {} What follows is simulated in the usual order, without that day.",
                ahead.known.what(),
                ahead.reach(),
                self.what_would()
            )
            .replace("  ", " "),
            other => other.line(&[], &Options::default()),
        }
    }

    /// Returns how many minutes a day would reach the target, as a sentence; empty where these do, or
    /// where nothing lies ahead. It plans the days several times over.
    fn what_would(&self) -> String {
        let Self::Ahead(ahead) = self else {
            return String::new();
        };
        if ahead.is_reached() {
            return String::new();
        }
        let target = ahead.target * 100.0;
        match goal::minutes_for(&ahead.person, ahead.days, ahead.target) {
            Some(minutes) => format!(
                "About {minutes} minutes a day for it would reach {target:.0}, or a later day, or fewer cards."
            ),
            None => format!(
                "Not even {} minutes a day for it would reach {target:.0}; a later day or fewer cards would.",
                goal::MOST_MINUTES
            ),
        }
    }
}

impl Known {
    /// Returns `20 Dec, board petrel-p4`.
    fn what(&self) -> String {
        let on = plan_lines::date(self.goal.date, self.today);
        format!("{on}, {}", clean(&self.goal.scope()))
    }
}

impl Ahead {
    fn is_reached(&self) -> bool {
        self.target <= self.mean
    }

    fn reach(&self) -> String {
        let (mean, cards) = (self.mean * 100.0, number_of(self.known.cards, "card"));
        if self.is_reached() {
            format!("a mean recall of {mean:.0} of 100 over {cards} is in reach")
        } else {
            format!(
                "NOT in reach: {mean:.0} of 100 over {cards} instead of {:.0}",
                self.target * 100.0
            )
        }
    }
}

/// Reads a day to be ready by as a person types it: `2026-12-20 petrel-p4 10`, the day, then a board, a
/// circuit or a deck, and the most minutes of a day; `none` is none any more.
pub fn from_words(workbench: &Workbench, words: &str) -> Result<Option<Goal>, AppError> {
    let mut words = words.split_whitespace();
    let bad = |word: &str, why: &str| AppError::BadGoal {
        word: clean(word),
        why: why.to_owned(),
    };
    let first = words.next().unwrap_or_default();
    if first.eq_ignore_ascii_case("none") {
        return match words.next() {
            None => Ok(None),
            Some(word) => Err(bad(word, "none takes nothing else")),
        };
    }
    let Ok(date) = first.parse() else {
        return Err(bad(first, "a day is written 2026-12-20; none drops it"));
    };
    let mut goal = Goal {
        date,
        deck: None,
        board: None,
        family: None,
        minutes: None,
    };
    for word in words {
        let of = |known: Vec<String>| known.into_iter().find(|id| id == word);
        let (least, most) = crate::domain::goal::MINUTES;
        if let Some(board) = of(workbench.board_ids()) {
            goal.board = Some(board);
        } else if let Some(family) = of(workbench.family_ids()) {
            goal.family = Some(family);
        } else if let Some(deck) = of(workbench.deck_ids()) {
            goal.deck = Some(deck);
        } else if let Ok(minutes) = word.parse::<u32>() {
            if !(least..=most).contains(&minutes) {
                return Err(bad(word, &format!("minutes go from {least} to {most}")));
            }
            goal.minutes = Some(minutes);
        } else {
            let boards = clean(&workbench.board_ids().join(", "));
            return Err(bad(
                word,
                &format!("no board, circuit or deck is called so; boards are {boards}"),
            ));
        }
    }
    Ok(Some(goal))
}

/// Refuses a goal that cannot be set: a day past or too far, names unknown, no cards meant.
pub fn check(workbench: &Workbench, goal: &Goal, today: NaiveDate) -> Result<(), AppError> {
    if let Some(why) = crate::domain::goal::refusal(goal.date, today) {
        return Err(AppError::BadDate {
            date: goal.date,
            why,
        });
    }
    let scope = Scope::of_goal(workbench, goal)?;
    if !workbench.cards().into_iter().any(|card| scope.holds(card)) {
        return Err(AppError::NoCards {
            why: format!("{} has none", goal.scope()),
        });
    }
    Ok(())
}
