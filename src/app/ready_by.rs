//! Ready by a date: the best use of the minutes until then, what it reaches, and what it would take.

use chrono::DateTime;
use chrono::Days;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::beside_goal;
use crate::app::beside_goal::Beside;
use crate::app::plan;
use crate::app::plan::Ask;
use crate::app::plan::Desk;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::goal::fewest_minutes;
use crate::domain::ahead::outlook;
use crate::domain::ahead::outlook::Followed;
use crate::domain::ahead::outlook::Outlook;
use crate::domain::ahead::outlook::Question;
use crate::domain::ahead::ready;
use crate::domain::calendar;
use crate::domain::goal;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::units::count;

/// Runs that follow the plan, at most; the fewest, and those that only look for the minutes it would take.
const RUNS: u64 = 60;
const FEWER_RUNS: u64 = 16;
/// Cards times days times runs that are followed in a plan, about.
const LOOKS: f64 = 300_000.0;

/// One day of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct DayAhead {
    /// The day.
    pub day: NaiveDate,
    /// Cards to ask, by id.
    pub cards: Vec<String>,
    /// Of them those that the plan meets for the first time.
    pub new: usize,
    /// Boards of them, most cards first; bench rules under no board.
    pub boards: Vec<(String, usize)>,
    /// Minutes they are expected to take.
    pub minutes: f64,
}

/// What can be reached by a date.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadyBy {
    /// Person folder.
    pub person: String,
    /// Initials.
    pub initials: String,
    /// Which cards, where not all.
    pub scope: Option<String>,
    /// Today.
    pub day: NaiveDate,
    /// The date.
    pub date: NaiveDate,
    /// Minutes of a sitting.
    pub minutes: f64,
    /// Target recall.
    pub target: f64,
    /// Cards meant, and those met.
    pub cards: usize,
    /// Cards met by now.
    pub met: usize,
    /// Answers the person has given.
    pub answers: usize,
    /// Mean recall of all of them today, a card never met counting as none.
    pub now: f64,
    /// On the date if nothing is drilled.
    pub undrilled: f64,
    /// On the date if the daily order is kept to on these cards.
    pub usual: Band,
    /// On the date by the plan.
    pub reached: Band,
    /// Its mean.
    pub mean: f64,
    /// Cards at or above the target on the date, by the plan.
    pub above: Band,
    /// Minutes a day that would reach the target; none where [`MOST_MINUTES`](crate::domain::ahead::goal::MOST_MINUTES) do not.
    pub needs: Option<u32>,
    /// What becomes of the other cards meanwhile; none where there are no others.
    pub beside: Option<Beside>,
    /// The days of the plan.
    pub days: Vec<DayAhead>,
    /// Runs behind every band.
    pub runs: u64,
    /// Damage found while reading.
    pub faults: Vec<String>,
}

impl ReadyBy {
    /// Tells whether the target is reached within the minutes.
    pub fn is_reached(&self) -> bool {
        self.target <= self.mean
    }
}

/// Returns what `person` can reach by `date`; `progress` is told how many steps of how many are done.
pub fn ready_by(
    workbench: &Workbench,
    person: &Person,
    (ask, date): (&Ask, NaiveDate),
    now: DateTime<Utc>,
    progress: &(dyn Fn(u64, u64) + Sync),
) -> Result<ReadyBy, AppError> {
    let today = workbench.day(now);
    if let Some(why) = goal::refusal(date, today) {
        return Err(AppError::BadDate { date, why });
    }
    let days = calendar::elapsed(today, date);
    let mut desk = plan::desk(workbench, person, &ask.options, now)?;
    let target = ask.target.unwrap_or(workbench.shop.target_recall);
    let question = Question {
        days,
        at: vec![days],
        targets: vec![target],
        first: 0,
        plan: None,
        apart: Vec::new(),
        runs: runs(desk.laid.person.cards.len(), days),
        seed: plan::seed(ask.seed, &person.id, desk.day),
        threads: plan::threads(),
    };
    progress(0, STEPS);
    let usual = outlook::outlook(&desk.laid.person, &desk.laid.prices, &question);
    progress(1, STEPS);
    let made = ready::plan(&desk.laid.person, days);
    progress(2, STEPS);
    let reached = follow(&desk, &question, made.days.clone());
    progress(3, STEPS);
    let beside = beside_goal::beside(
        workbench,
        person,
        (&ask.options, date),
        (&desk, &made.days),
        &question,
    )?;
    progress(4, STEPS);
    let needs = if target <= reached.known_mean {
        None
    } else {
        minutes_for(&mut desk, &question, target, progress)
    };
    let told = (person, ask, date);
    let found = say(
        told,
        &desk,
        (&made, &usual, &reached),
        (target, needs, question.runs),
    );
    Ok(ReadyBy { beside, ..found })
}

/// Returns how often a plan of so many cards and days is followed.
fn runs(cards: usize, days: u32) -> u64 {
    let looks = count(cards) * f64::from(days);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a number of runs, bounded on the next line"
    )]
    let fit = (LOOKS / looks.max(1.0)) as u64;
    fit.clamp(FEWER_RUNS, RUNS)
}

/// Steps that the work is told in.
const STEPS: u64 = 13;

fn follow(desk: &Desk<'_>, question: &Question, days: Vec<Vec<u32>>) -> Outlook {
    let question = Question {
        plan: Some(Followed::whole(days)),
        ..question.clone()
    };
    outlook::outlook(&desk.laid.person, &desk.laid.prices, &question)
}

/// Returns the fewest whole minutes a day with which the plan reaches the target.
fn minutes_for(
    desk: &mut Desk<'_>,
    question: &Question,
    target: f64,
    progress: &(dyn Fn(u64, u64) + Sync),
) -> Option<u32> {
    let own = desk.laid.person.sittings.minutes;
    let fewer = Question {
        runs: FEWER_RUNS,
        ..question.clone()
    };
    let mut step = 4;
    let mut reaches = |minutes: u32| {
        step += 1;
        progress(step.min(STEPS), STEPS);
        desk.laid.person.sittings.minutes = f64::from(minutes);
        let made = ready::plan(&desk.laid.person, question.days);
        target <= follow(desk, &fewer, made.days).known_mean
    };
    let found = fewest_minutes(&mut reaches);
    desk.laid.person.sittings.minutes = own;
    found
}

fn say(
    (person, ask, date): (&Person, &Ask, NaiveDate),
    desk: &Desk<'_>,
    (made, usual, reached): (&ready::Plan, &Outlook, &Outlook),
    (target, needs, runs): (f64, Option<u32>, u64),
) -> ReadyBy {
    let ahead = &desk.laid.person;
    let mean = |day: u32| {
        let day = i32::try_from(day).unwrap_or(i32::MAX);
        let known = ahead
            .cards
            .iter()
            .filter_map(|card| ahead.recall(card, day));
        known.fold(0.0, |sum, k| sum + k) / count(ahead.cards.len().max(1))
    };
    ReadyBy {
        person: person.id.clone(),
        initials: clean(&person.initials),
        scope: plan::scope(&ask.options),
        day: desk.day,
        date,
        minutes: ask.options.minutes,
        target,
        cards: ahead.cards.len(),
        met: ahead.cards.iter().filter(|card| card.met).count(),
        answers: desk.lines.answers().count(),
        now: mean(0),
        undrilled: mean(made.date),
        usual: usual.known,
        reached: reached.known,
        mean: reached.known_mean,
        above: reached.above.first().copied().unwrap_or_default(),
        needs,
        beside: None,
        days: days(desk, made),
        runs,
        faults: desk.faults.clone(),
    }
}

fn days(desk: &Desk<'_>, made: &ready::Plan) -> Vec<DayAhead> {
    let ahead = &desk.laid.person;
    let first = |card: u32| made.days[card as usize].first().copied();
    (0u32..)
        .zip(made.by_day())
        .zip(&made.seconds)
        .map(|((nth, cards), seconds)| {
            let mut boards: Vec<(String, usize)> = Vec::new();
            for card in &cards {
                let board = clean(&desk.cards[*card as usize].board);
                match boards.iter_mut().find(|(name, _)| *name == board) {
                    Some((_, n)) => *n += 1,
                    None => boards.push((board, 1)),
                }
            }
            boards.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
            let is_new =
                |card: &&u32| !ahead.cards[**card as usize].met && first(**card) == Some(nth);
            DayAhead {
                day: desk.day + Days::new(u64::from(nth)),
                new: cards.iter().filter(is_new).count(),
                boards,
                minutes: seconds / 60.0,
                cards: cards
                    .iter()
                    .map(|card| desk.cards[*card as usize].id.clone())
                    .collect(),
            }
        })
        .collect()
}
