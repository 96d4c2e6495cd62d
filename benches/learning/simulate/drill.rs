//! The days of one simulated apprentice under one schedule.
//!
//! The sitting goes by the program's own course (`sitting_steps::Course`): missed cards come back
//! before the end, and no card is begun that no longer fits. What the person did is folded by the
//! program's own history, and fitted, where the schedule is, by the program's own rule (`refit`): tried
//! when a fifth more is scored, refused where it foretells held-out reviews no better.

use benchlore::domain::fit::histories::Review;
use benchlore::domain::history::CardFacts;
use benchlore::domain::history::CardHistory;
use benchlore::domain::history::History;
use benchlore::domain::memory;
use benchlore::domain::memory::Memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::own_reviews::OwnReviews;
use benchlore::domain::queue::Ask;
use benchlore::domain::refit;
use benchlore::domain::refit::Grounds;
use benchlore::domain::refit::Verdict;
use benchlore::domain::review;
use benchlore::domain::review::Answered;
use benchlore::domain::review::Event;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Millis;
use benchlore::domain::review::Mode;
use benchlore::domain::review::Sure;
use benchlore::domain::sitting_steps::Course;
use benchlore::domain::units::count;

use crate::simulate::minds::Kind;
use crate::simulate::person::Person;
use crate::simulate::person::Reply;
use crate::simulate::shop;
use crate::simulate::shop::Shop;

/// Days, after the start, on which readiness is looked at before the last.
pub(crate) const EARLIER: [usize; 2] = [30, 90];

/// What a schedule knows on the morning of a day.
pub(crate) struct Morning<'a> {
    /// The shop; its true shares are for the oracle alone.
    pub(crate) shop: &'a Shop,
    /// How many cards are there.
    pub(crate) there: usize,
    /// Practice so far.
    pub(crate) history: &'a History,
    /// What the person did with each card that is there.
    pub(crate) known: Vec<Known>,
    /// Day of the simulation.
    pub(crate) day: usize,
    /// Minutes of the sitting.
    pub(crate) minutes: f64,
    /// Chance of the day.
    pub(crate) seed: u64,
    /// The person: for the oracle alone.
    pub(crate) truth: &'a Person,
}

/// What a person did with one card.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Known {
    /// It was asked.
    pub(crate) met: bool,
    /// Memory, by the parameters in force.
    pub(crate) memory: Option<Memory>,
    /// Whole days since the last review.
    pub(crate) elapsed: u32,
}

/// A way of choosing the day's cards.
pub(crate) trait Schedule {
    /// Returns what is asked today, the first first; more than fits does no harm.
    fn asks(&mut self, morning: &Morning<'_>) -> Vec<Ask>;

    /// Hears the first answer of the day to a card.
    fn heard(&mut self, _card: usize, _day: usize, _grade: Grade) {}

    /// Tells whether a card answered so comes back in the same sitting, once it has already come back
    /// so many times.
    fn comes_back(&self, grade: Grade, times: usize) -> bool {
        !grade.recalled() && times == 0
    }

    /// Tells whether the parameters of the memory model are fitted to the person.
    fn is_fitted(&self) -> bool;
}

/// What came of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Outcome {
    /// Job share times true chance of recall over the cards that are there, in percent, on the
    /// [`EARLIER`] days and on the last.
    pub(crate) ready: [f64; 3],
    /// The same within the worst family on the last day, in percent of that family's jobs.
    pub(crate) worst: f64,
    /// Minutes of a sitting.
    pub(crate) minutes: f64,
    /// Longest sitting, in minutes.
    pub(crate) longest: f64,
    /// Longest card, in minutes.
    pub(crate) longest_card: f64,
    /// Share right of first askings of the day to cards met on an earlier day.
    pub(crate) right: f64,
    /// Askings of a sitting.
    pub(crate) askings: f64,
    /// Cards met.
    pub(crate) met: f64,
    /// How often the parameters were fitted.
    pub(crate) fits: usize,
}

struct NoCorrections;

impl CardFacts for NoCorrections {
    fn current_id<'a>(&'a self, id: &'a str) -> &'a str {
        id
    }

    fn accepted(&self, _id: &str) -> Option<&str> {
        None
    }
}

struct Days<'a> {
    shop: &'a Shop,
    person: Person,
    schedule: &'a mut dyn Schedule,
    history: History,
    /// Reviews, to fit and to reckon memory again.
    own: OwnReviews,
    /// Scored reviews at the last try of a fit.
    tried: usize,
    minutes: f64,
    sittings: usize,
    reviews: usize,
    right: usize,
    outcome: Outcome,
}

/// Lets the person that `seed` stands for drill the shop's cards.
pub(crate) fn run(
    shop: &Shop,
    kind: Kind,
    seed: u64,
    minutes: f64,
    schedule: &mut dyn Schedule,
) -> Outcome {
    let mut days = Days {
        shop,
        person: Person::draw(kind, seed, &shop.look_alikes, shop.size.days),
        schedule,
        history: History::new(Weights::published()),
        own: OwnReviews::default(),
        tried: 0,
        minutes,
        sittings: 0,
        reviews: 0,
        right: 0,
        outcome: Outcome::default(),
    };
    for day in 0..shop.size.days {
        if let Some(at) = EARLIER.iter().position(|early| *early == day) {
            days.outcome.ready[at] = days.readiness(day).0;
        }
        if days.person.drills_on(day) {
            days.sit(day, seed.wrapping_add(day as u64));
        }
    }
    days.close()
}

impl Days<'_> {
    fn close(mut self) -> Outcome {
        let (all, worst) = self.readiness(self.shop.size.days);
        let sittings = count(self.sittings.max(1));
        self.outcome.ready[EARLIER.len()] = all;
        self.outcome.worst = worst;
        self.outcome.minutes /= sittings;
        self.outcome.askings /= sittings;
        self.outcome.right = count(self.right) / count(self.reviews.max(1));
        self.outcome.met = count(self.history.cards.len());
        self.outcome
    }

    fn sit(&mut self, day: usize, seed: u64) {
        if self.schedule.is_fitted() {
            self.fit();
        }
        let there = self.shop.there_on(day);
        let asks = self.schedule.asks(&Morning {
            shop: self.shop,
            there,
            history: &self.history,
            known: self.known(there, day),
            day,
            minutes: self.minutes,
            seed,
            truth: &self.person,
        });
        let cards = &self.shop.cards[..there];
        let pace = self.history.pace.clone();
        let mut course = Course::new(&asks);
        let mut asked = vec![0; there];
        loop {
            course.advance(self.minutes, pace.seconds_with(&course.times), cards);
            let Some(ask) = course.ask.clone() else {
                break;
            };
            let at = count(day) + course.minutes_spent() / 1440.0;
            let reply = self.person.ask(ask.card, at);
            let answered = answered(&cards[ask.card].id, &ask, reply);
            self.take(&ask, day, asked[ask.card] == 0, &answered);
            course.spent_ms += answered.ms.total();
            course.times.push(answered.ms);
            course.tally.cards += 1;
            course.last = Some(ask.card);
            if self.schedule.comes_back(reply.grade, asked[ask.card]) {
                course.again.push_back(Ask {
                    again: true,
                    mode: Mode::Drill,
                    ..ask
                });
            }
            asked[ask.card] += 1;
            self.outcome.askings += 1.0;
            self.outcome.longest_card = self.outcome.longest_card.max(reply.seconds / 60.0);
        }
        self.sittings += 1;
        self.outcome.minutes += course.minutes_spent();
        self.outcome.longest = self.outcome.longest.max(course.minutes_spent());
    }

    fn take(&mut self, ask: &Ask, day: usize, first_today: bool, answered: &Answered) {
        let today = shop::date(day);
        let before = self.history.cards.get(&answered.card);
        let met_earlier = before
            .and_then(|card| card.met_on)
            .is_some_and(|on| on < today);
        let reviews_before = before.map_or(0, |card| card.reviews);
        let scored_before = self.history.scored.reviews;
        let event = Event::Answer(Box::new(answered.clone()));
        self.history.apply(&event, today, &NoCorrections);
        if first_today {
            self.schedule.heard(ask.card, day, answered.grade);
            if met_earlier {
                self.reviews += 1;
                self.right += usize::from(answered.grade.recalled());
            }
        }
        // A wrong first guess is no review.
        if reviews_before < self.history.cards[&answered.card].reviews {
            let at = self.own.reviews.len();
            if scored_before < self.history.scored.reviews {
                self.own.scored.push(at);
                self.own.lines.push(at);
            }
            self.own.reviews.push(Review {
                card: u32::try_from(ask.card).expect("a few hundred cards"),
                at: i64::try_from(at).expect("a few thousand reviews"),
                day: i32::try_from(day).expect("a few days"),
                grade: answered.grade,
                scored: true,
            });
        }
    }

    /// Tries a fit where one is due; where it takes effect every memory is reckoned again.
    fn fit(&mut self) {
        let Some(count) = refit::due(self.history.scored).filter(|count| self.tried < *count)
        else {
            return;
        };
        self.tried = count;
        let grounds = Grounds {
            in_force: &self.history.weights,
            shop: &Weights::published(),
        };
        let Verdict::Takes(weights, _) = refit::refit(&self.own, count, grounds).verdict else {
            return;
        };
        self.outcome.fits += 1;
        self.own.at_fit = Some(self.own.scored.len());
        self.history.scored.at_fit = Some(self.history.scored.reviews);
        let mut memories: Vec<Option<(Memory, i32)>> = vec![None; self.shop.cards.len()];
        for review in &self.own.reviews {
            let slot = &mut memories[review.card as usize];
            let (before, elapsed) = match *slot {
                None => (None, 0),
                Some((memory, last)) => (Some(memory), review.day.abs_diff(last)),
            };
            let after = memory::after(&weights, before, elapsed, review.grade);
            *slot = Some((after, review.day));
        }
        for (card, memory) in self.shop.cards.iter().zip(memories) {
            if let (Some((memory, _)), Some(known)) = (memory, self.history.cards.get(&card.id)) {
                let known = CardHistory {
                    memory: Some(memory),
                    ..known.clone()
                };
                self.history.cards.insert(&card.id, known);
            }
        }
        self.history.weights = *weights;
    }

    fn known(&self, there: usize, day: usize) -> Vec<Known> {
        let today = shop::date(day);
        let known = |card: &str| {
            let Some(card) = self.history.cards.get(card) else {
                return Known::default();
            };
            let since = card.reviewed_on.map_or(0, |on| (today - on).num_days());
            Known {
                met: true,
                memory: card.memory,
                elapsed: u32::try_from(since).expect("not negative"),
            }
        };
        self.shop.cards[..there]
            .iter()
            .map(|card| known(&card.id))
            .collect()
    }

    /// Returns readiness and the worst family's, in percent.
    fn readiness(&self, day: usize) -> (f64, f64) {
        let mut all = 0.0;
        let mut families = vec![(0.0, 0.0); self.shop.size.families];
        for card in 0..self.shop.there_on(day) {
            let share = self.shop.truth[card];
            let ready = share * self.person.recall(card, count(day));
            let family = &mut families[self.shop.family[card]];
            all += ready;
            *family = (family.0 + ready, family.1 + share);
        }
        let worst = families
            .into_iter()
            .filter(|(_, share)| 0.0 < *share)
            .map(|(ready, share)| ready / share)
            .fold(1.0, f64::min);
        (100.0 * all, 100.0 * worst)
    }
}

/// Returns the record of a reply; where in the answer its seconds went enters nothing here.
fn answered(card: &str, ask: &Ask, reply: Reply) -> Answered {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "seconds of one card"
    )]
    let ms = (reply.seconds * 1000.0) as u64;
    let right = reply.grade.recalled();
    Answered {
        card: card.to_owned(),
        asked: String::new(),
        accepted: String::new(),
        sitting: String::new(),
        mode: ask.mode,
        grade: reply.grade,
        proposed: reply.grade,
        ms: Millis {
            circuit: ms / 3,
            answer: ms / 3,
            reveal: ms - 2 * (ms / 3),
        },
        circuit: Some((String::new(), String::new())),
        typed: String::new(),
        aloud: false,
        sure: Sure::default(),
        overruled: false,
        verdict: review::Verdict {
            circuit: Some(right),
            fix: Some(right),
            unsafe_answer: false,
        },
        next_days: 0,
        options: 0,
    }
}
