//! The weeks ahead of one person: what the minutes buy, simulated from where memory stands today.

use std::collections::HashSet;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;
use std::thread;

use chrono::DateTime;
use chrono::Datelike;
use chrono::Days;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::gaps;
use crate::app::goal;
use crate::app::practice;
use crate::app::practice::Options;
use crate::app::record;
use crate::app::record::Lines;
use crate::app::record::Record;
use crate::app::way_back;
use crate::app::way_back::AWAY;
use crate::app::way_back::Recovery;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::deck;
use crate::domain::ahead::deck::Families;
use crate::domain::ahead::outlook;
use crate::domain::ahead::outlook::Covered;
use crate::domain::ahead::outlook::Outlook;
use crate::domain::ahead::outlook::Question;
use crate::domain::ahead::person;
use crate::domain::ahead::person::Sittings;
use crate::domain::ahead::person::WEEK;
use crate::domain::calendar;
use crate::domain::card::Card;
use crate::domain::gaps::row;
use crate::domain::gaps::row::Expected;
use crate::domain::gaps::spots::Window;
use crate::domain::goal::MOST_DAYS;
use crate::domain::ids;
use crate::domain::job::Job;
use crate::domain::memory;
use crate::domain::price::Prices;
use crate::domain::queue;
use crate::domain::queue::today::SPOT_CHECKS;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::units::count;

/// Days ahead unless told otherwise.
pub const DAYS: u32 = 90;
/// Fewest and most days ahead.
pub const DAYS_BOUNDS: (u32, u32) = (1, MOST_DAYS);
/// Runs of a simulation: fewest and most, and how many looks at a card they may make together.
const RUNS: (u64, u64) = (24, 120);
const LOOKS: f64 = 20_000_000.0;
/// Looks that asking a card counts for: its answer is drawn and its memory moved.
const ASKING: f64 = 40.0;
/// Mornings on which readiness is taken, at most.
const STOPS: u32 = 45;
/// How far back the days that are sat are counted.
const HABIT_DAYS: u32 = 56;

/// What to plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// Which cards, minutes and aim: as for a drill.
    pub options: Options,
    /// Days ahead.
    pub days: u32,
    /// Target recall; none for the shop's.
    pub target: Option<f64>,
    /// Seed of the simulation; none for one made of person and day.
    pub seed: Option<u64>,
}

/// One family now and on the last morning.
#[derive(Clone, Debug, PartialEq)]
pub struct FamilyAhead {
    /// Family id.
    pub id: String,
    /// Cards of it, and those met.
    pub cards: usize,
    /// Cards met by now.
    pub met: usize,
    /// Job-weighted recall today, a card never met counting as none.
    pub now: f64,
    /// The same on the last morning.
    pub then: Band,
}

/// What so many minutes a day would buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// Minutes.
    pub minutes: f64,
    /// Readiness on the last morning.
    pub ready: Band,
    /// Cards met by then.
    pub met: Band,
    /// When all will have been met.
    pub covered: Covered,
    /// New cards for each sitting.
    pub new_a_sitting: f64,
    /// Share of reviews right.
    pub right: Option<Band>,
}

/// What a target recall changes: forecasts, and what counts as kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// Recall.
    pub recall: f64,
    /// Middle forecast of the cards met, in days; none without any.
    pub days: Option<u32>,
    /// Cards at or above it today.
    pub now: usize,
    /// Cards at or above it on the last morning.
    pub then: Band,
}

/// The weeks ahead of one person.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Person folder.
    pub person: String,
    /// Initials.
    pub initials: String,
    /// Which cards, where not all: `board petrel-p4`.
    pub scope: Option<String>,
    /// Today.
    pub day: NaiveDate,
    /// The last morning.
    pub until: NaiveDate,
    /// Days from today to it.
    pub days: u32,
    /// Minutes of a sitting.
    pub minutes: f64,
    /// Sittings expected in a week.
    pub sittings_a_week: f64,
    /// Cards of the person, and those met.
    pub cards: usize,
    /// Cards met by now.
    pub met: usize,
    /// Answers the person has given.
    pub answers: usize,
    /// Cards the person answered that no deck has any more.
    pub gone: usize,
    /// The weights in force are the published ones.
    pub published: bool,
    /// Mornings, days from today, and readiness on them.
    pub at: Vec<u32>,
    /// Readiness on them.
    pub ready: Vec<Band>,
    /// Readiness on the last morning if nothing is drilled.
    pub undrilled: f64,
    /// Families, greatest job share first.
    pub families: Vec<FamilyAhead>,
    /// When all cards will have been met.
    pub covered: Covered,
    /// New cards for each sitting.
    pub new_a_sitting: f64,
    /// Minutes that a sitting really takes: less than the budget where nothing is left to ask.
    pub used: f64,
    /// Share of reviews right.
    pub right: Option<Band>,
    /// Three budgets, the middle one that of the plan.
    pub budgets: Vec<Budget>,
    /// Targets.
    pub targets: Vec<Target>,
    /// What is said of a day to be ready by; empty without one.
    pub ready_by: String,
    /// The way back, where the person was away.
    pub recovery: Option<Recovery>,
    /// What the model expected of the spot checks of the last days, and what came; none without any.
    pub expected: Option<Expected>,
    /// Runs behind every band.
    pub runs: u64,
    /// Damage found while reading.
    pub faults: Vec<String>,
}

/// What a simulation of one person needs, read from the shop.
pub(crate) struct Desk<'w> {
    pub(crate) record: Record,
    /// Every line of it.
    pub(crate) lines: Lines,
    pub(crate) cards: Vec<&'w Card>,
    pub(crate) laid: Laid,
    /// The closed jobs.
    pub(crate) jobs: Vec<Job>,
    /// Cards the person answered that no deck has any more.
    pub(crate) gone: usize,
    pub(crate) day: NaiveDate,
    pub(crate) faults: Vec<String>,
}

/// Reads what a simulation of `person` needs.
pub(crate) fn desk<'w>(
    workbench: &'w Workbench,
    person: &Person,
    options: &Options,
    now: DateTime<Utc>,
) -> Result<Desk<'w>, AppError> {
    let (record, archive) =
        workbench.beside_archive(|| record::in_full(workbench, &person.id, now));
    let ((record, lines), archive) = (record?, archive?);
    let cards = practice::cards_for(workbench, &record, person, options)?;
    if cards.is_empty() {
        return Err(AppError::NoCards {
            why: if workbench.decks.iter().all(|d| d.cards.is_empty()) {
                "no deck has any, so there is nothing to plan".to_owned()
            } else {
                "none that may be asked is among those named".to_owned()
            },
        });
    }
    let day = workbench.day(now);
    let mut faults = workbench.fault_lines(&workbench.faults);
    faults.extend(workbench.fault_lines(&record.faults));
    faults.extend(workbench.fault_lines(&archive.faults));
    let laid = lay(
        workbench,
        person,
        (&record, &archive.jobs),
        (&cards, options),
        day,
    );
    let there: HashSet<&str> = workbench
        .all_cards()
        .iter()
        .map(|card| card.id.as_str())
        .collect();
    let answered = record.history.cards.keys();
    Ok(Desk {
        gone: answered.filter(|id| !there.contains(id)).count(),
        record,
        lines,
        cards,
        laid,
        jobs: archive.jobs,
        day,
        faults,
    })
}

/// The numbers of a simulation.
pub(crate) struct Laid {
    pub(crate) families: Families,
    pub(crate) prices: Arc<Prices>,
    pub(crate) person: person::Person,
}

pub(crate) fn lay(
    workbench: &Workbench,
    person: &Person,
    (record, jobs): (&Record, &[Job]),
    (cards, options): (&[&Card], &Options),
    day: NaiveDate,
) -> Laid {
    let history = &record.history;
    let shares = queue::job_shares(cards, jobs, day, &workbench.shop.incoming);
    let costs = queue::miss_costs(cards, jobs);
    let families = Families::of(cards, history);
    let habits = history.manner.habits();
    let target = workbench.shop.target_recall;
    let ahead = person::Person {
        cards: deck::cards(cards, history, (&shares, &costs), &families, (day, target)),
        target,
        spot_checks: families.spot_checks(history),
        spots: SPOT_CHECKS,
        weights: history.weights.clone(),
        answers: habits,
        manner: history.manner,
        aim: practice::aim(workbench, person, options),
        sittings: sittings(record, options.minutes, day),
    };
    Laid {
        prices: workbench.prices.of(&history.weights, &habits),
        families,
        person: ahead,
    }
}

/// Returns when the person sits, from the days of the last weeks; a stretch without answers of a week
/// or more was an absence, and says nothing of habits.
pub(crate) fn sittings(record: &Record, minutes: f64, day: NaiveDate) -> Sittings {
    let since = day - Days::new(u64::from(HABIT_DAYS));
    let mut sat_on: Vec<NaiveDate> = record.seen.days.keys().copied().collect();
    let sat_today = sat_on.last() == Some(&day);
    sat_on.retain(|on| since <= *on && *on < day);
    let (mut sat, mut passed) = ([0; WEEK], [0; WEEK]);
    let weekday = |on: NaiveDate| on.weekday().num_days_from_monday() as usize;
    let next = sat_on.iter().copied().skip(1).chain([day]);
    for (on, next) in sat_on.iter().copied().zip(next) {
        sat[weekday(on)] += 1;
        let gap = calendar::elapsed(on, next);
        // The day itself, and the days up to the next sitting unless the person was away.
        let days = if AWAY < gap { 1 } else { gap.max(1) };
        for later in 0..u64::from(days) {
            passed[weekday(on + Days::new(later))] += 1;
        }
    }
    let from_monday = person::sits(sat, passed);
    Sittings {
        minutes,
        chance: std::array::from_fn(|ahead| from_monday[(weekday(day) + ahead) % WEEK]),
        sat_today,
    }
}

pub(crate) fn threads() -> usize {
    thread::available_parallelism().map_or(1, |n| n.get().min(4))
}

pub(crate) fn seed(given: Option<u64>, person: &str, day: NaiveDate) -> u64 {
    given.unwrap_or_else(|| ids::seed(["plan", person, &day.to_string()]))
}

/// Returns which cards are meant, where not all are.
pub(crate) fn scope(options: &Options) -> Option<String> {
    let named = [
        ("deck", &options.deck),
        ("board", &options.board),
        ("circuit", &options.family),
    ];
    let words: Vec<String> = named
        .into_iter()
        .filter_map(|(what, id)| Some(format!("{what} {}", clean(id.as_ref()?))))
        .collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Returns the mornings on which readiness is taken over so many days.
fn stops(days: u32) -> Vec<u32> {
    let steps = days.min(STOPS);
    let mut at: Vec<u32> = (0..=steps).map(|step| step * days / steps.max(1)).collect();
    at.dedup();
    at
}

/// Returns the runs of a simulation over so many days, fewer where there is more to walk through.
fn runs(ahead: &person::Person, minutes: f64, days: u32) -> u64 {
    let cards = count(ahead.cards.len());
    let seconds = ahead.cards.iter().map(|card| card.seconds);
    let mean = seconds.fold(0.0, |sum, s| sum + s) / cards.max(1.0);
    let asked = (minutes * 60.0 / mean.max(1.0)).min(cards);
    let one = f64::from(days) * (cards + asked * ASKING);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a number of runs, bounded on the next line"
    )]
    let fit = (LOOKS / one.max(1.0)) as u64;
    fit.clamp(RUNS.0, RUNS.1)
}

/// Returns the three budgets to set side by side: five minutes less and more, or half and double of a
/// short one.
fn budgets(minutes: f64) -> [f64; 3] {
    if minutes <= 0.0 {
        [0.0, 10.0, 15.0]
    } else if minutes <= 5.0 {
        [minutes / 2.0, minutes, minutes * 2.0]
    } else {
        [minutes - 5.0, minutes, minutes + 5.0]
    }
}

/// A plan asked for where nobody waits for it.
#[derive(Clone, Debug, PartialEq)]
pub enum Coming {
    /// It is being simulated.
    UnderWay {
        /// Runs done.
        done: u64,
        /// Of how many; 0 while the shop is still being read.
        all: u64,
    },
    /// It is there.
    Made(Box<Plan>),
}

/// Returns the weeks ahead of `person`; `progress` is told how many runs of how many are done, and says
/// whether to go on.
pub fn plan(
    workbench: &Workbench,
    person: &Person,
    ask: &Ask,
    now: DateTime<Utc>,
    progress: &(dyn Fn(u64, u64) -> bool + Sync),
) -> Result<Plan, AppError> {
    let mut desk = desk(workbench, person, &ask.options, now)?;
    let target = ask.target.unwrap_or(workbench.shop.target_recall);
    let mut recalls = vec![0.85, target, 0.95];
    recalls.sort_by(f64::total_cmp);
    recalls.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let runs = runs(&desk.laid.person, ask.options.minutes, ask.days);
    let question = Question {
        days: ask.days,
        at: stops(ask.days),
        targets: recalls.clone(),
        first: 0,
        plan: None,
        apart: Vec::new(),
        runs,
        seed: seed(ask.seed, &person.id, desk.day),
        threads: threads(),
    };
    let done = AtomicU64::new(0);
    let step = |runs: u64| {
        let before = done.fetch_add(runs, Ordering::Relaxed);
        progress(before + runs, question.runs * 3)
    };
    step(0);
    let minutes = budgets(ask.options.minutes);
    let plan_at = usize::from(0.0 < ask.options.minutes);
    let outlooks = minutes.map(|minutes| {
        desk.laid.person.sittings.minutes = minutes;
        outlook::while_wanted(&desk.laid.person, &desk.laid.prices, &question, &step)
    });
    let [Some(short), Some(own), Some(long)] = outlooks else {
        return Err(AppError::Abandoned);
    };
    let outlooks = [short, own, long];
    desk.laid.person.sittings.minutes = ask.options.minutes;
    let window = Window::last(gaps::DAYS, desk.day);
    let answers = gaps::measured(workbench, &desk.lines, window, true);
    let expected = row::row(None, &answers, &[]).expected;
    let last = desk.record.seen.last_on.iter().copied().max();
    let recovery =
        last.and_then(|last| way_back::way_back(&desk.laid, last, desk.day, question.seed));
    let cards = (&desk.cards[..], &ask.options);
    let ready_by = goal::look(workbench, (person, &desk.record), cards, desk.day);
    let found = told(
        person,
        ask,
        &desk,
        (&minutes, &outlooks, plan_at),
        (&recalls, recovery, expected),
    );
    Ok(Plan {
        ready_by: ready_by.map_or_else(String::new, |sight| sight.beside_plan()),
        ..found
    })
}

fn told(
    person: &Person,
    ask: &Ask,
    desk: &Desk<'_>,
    (minutes, outlooks, plan_at): (&[f64; 3], &[Outlook; 3], usize),
    (recalls, recovery, expected): (&[f64], Option<Recovery>, Option<Expected>),
) -> Plan {
    let ahead = &desk.laid.person;
    let main = &outlooks[plan_at];
    let met = ahead.cards.iter().filter(|card| card.met).count();
    let last = |bands: &[Band]| bands.last().copied().unwrap_or_default();
    let day_ahead = i32::try_from(ask.days).unwrap_or(i32::MAX);
    Plan {
        person: person.id.clone(),
        initials: clean(&person.initials),
        scope: scope(&ask.options),
        day: desk.day,
        until: desk.day + Days::new(u64::from(ask.days)),
        days: ask.days,
        minutes: ask.options.minutes,
        sittings_a_week: ahead.sittings.chance.iter().sum(),
        cards: ahead.cards.len(),
        met,
        answers: desk.lines.answers().count(),
        gone: desk.gone,
        published: ahead.weights == memory::Weights::published(),
        at: main.at.clone(),
        ready: main.ready.clone(),
        undrilled: ahead.readiness(day_ahead),
        families: families(desk, main),
        covered: main.covered,
        new_a_sitting: new_a_sitting(main, ahead.cards.len()),
        used: main.minutes.mid / main.sittings.mid.max(1.0),
        right: main.right,
        budgets: minutes
            .iter()
            .zip(outlooks)
            .map(|(minutes, outlook)| Budget {
                minutes: *minutes,
                ready: last(&outlook.ready),
                met: last(&outlook.met),
                covered: outlook.covered,
                new_a_sitting: new_a_sitting(outlook, ahead.cards.len()),
                right: outlook.right,
            })
            .collect(),
        targets: targets(ahead, recalls, main),
        ready_by: String::new(),
        recovery,
        expected,
        runs: runs(ahead, ask.options.minutes, ask.days),
        faults: desk.faults.clone(),
    }
}

/// Returns the new cards of a sitting, for as long as there are any.
fn new_a_sitting(outlook: &Outlook, cards: usize) -> f64 {
    let (Some(now), Some(days)) = (outlook.met.first(), outlook.at.last()) else {
        return 0.0;
    };
    let all = count(cards);
    let through = outlook.met.iter().position(|met| all <= met.mid + 1e-9);
    let last = through.unwrap_or(outlook.met.len() - 1);
    let share = f64::from(outlook.at[last]) / f64::from((*days).max(1));
    (outlook.met[last].mid - now.mid) / (outlook.sittings.mid * share).max(1.0)
}

fn families(desk: &Desk<'_>, outlook: &Outlook) -> Vec<FamilyAhead> {
    let ahead = &desk.laid.person;
    let mut found: Vec<(f64, FamilyAhead)> = desk
        .laid
        .families
        .names()
        .iter()
        .zip(&outlook.families)
        .filter_map(|(id, then)| {
            let number = desk.laid.families.number(id);
            let of = || ahead.cards.iter().filter(|card| card.family == number);
            let share: f64 = of().map(|card| card.share).sum();
            let known: f64 = of()
                .filter_map(|card| Some(card.share * ahead.recall(card, 0)?))
                .fold(0.0, |sum, known| sum + known);
            let family = FamilyAhead {
                id: if id.is_empty() {
                    "bench rules".to_owned()
                } else {
                    clean(id)
                },
                cards: of().count(),
                met: of().filter(|card| card.met).count(),
                now: known / share,
                then: *then,
            };
            (0 < family.cards && 0.0 < share).then_some((share, family))
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.id.cmp(&b.1.id)));
    found.into_iter().map(|(_, family)| family).collect()
}

fn targets(ahead: &person::Person, recalls: &[f64], outlook: &Outlook) -> Vec<Target> {
    let recall_now: Vec<f64> = ahead
        .cards
        .iter()
        .filter_map(|card| ahead.recall(card, 0))
        .collect();
    recalls
        .iter()
        .zip(&outlook.above)
        .map(|(recall, then)| {
            let mut days: Vec<u32> = ahead
                .cards
                .iter()
                .filter_map(|card| card.memory)
                .map(|m| memory::interval_exact(&ahead.weights, m.stability, *recall))
                .map(memory::whole_days)
                .collect();
            days.sort_unstable();
            Target {
                recall: *recall,
                days: days.get(days.len() / 2).copied(),
                now: recall_now.iter().filter(|r| *recall <= **r).count(),
                then: *then,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_budgets_lie_around_the_persons_own() {
        let near = |minutes: f64| budgets(minutes).map(|m| format!("{m}"));
        assert_eq!(near(15.0), ["10", "15", "20"]);
        assert_eq!(near(4.0), ["2", "4", "8"]);
        assert_eq!(near(0.0), ["0", "10", "15"]);
    }

    #[test]
    fn mornings_begin_today_and_end_on_the_last() {
        for days in [1, 2, 44, 45, 46, 90, 730] {
            let at = stops(days);
            assert_eq!((at[0], at[at.len() - 1]), (0, days));
            assert!(at.windows(2).all(|w| w[0] < w[1]));
        }
    }
}
