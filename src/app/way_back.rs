//! The way back of someone who was away: what was lost, and the sittings that bring it back.

use chrono::NaiveDate;

use crate::app::plan;
use crate::app::plan::Laid;
use crate::app::practice::Options;
use crate::app::record::Record;
use crate::app::workbench::Workbench;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::outlook;
use crate::domain::ahead::outlook::Question;
use crate::domain::calendar;
use crate::domain::card::Card;
use crate::domain::job::Job;
use crate::domain::shop::Person;
use crate::domain::text::clean;

/// Days without an answer from which on someone was away.
pub const AWAY: u32 = 7;
/// First sittings after an absence that are looked at, and runs for it.
const BACK_SITTINGS: usize = 30;
const BACK_RUNS: u64 = 40;
/// Most days that are told until it is back.
const MOST_DAYS: u32 = 730;

/// The way back after an absence.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// Whole days without an answer.
    pub away: u32,
    /// Readiness on the morning after the last sitting, and now.
    pub before: f64,
    /// Readiness now.
    pub now: f64,
    /// Sittings until it is back; none where most runs do not get there in those looked at.
    pub sittings: Option<Band>,
    /// Days in which the middle one of those is expected; none with them.
    pub days: Option<u32>,
    /// What was lost, by family: share of jobs; the greatest first.
    pub lost: Vec<(String, f64)>,
    /// The first sittings: families asked most, and readiness the morning after.
    pub first: Vec<(Vec<String>, Band)>,
}

/// Returns the way back of someone whose last answer was on `last`, where they were away.
pub(crate) fn way_back(
    laid: &Laid,
    last: NaiveDate,
    day: NaiveDate,
    seed: u64,
) -> Option<Recovery> {
    let since = calendar::elapsed(last, day);
    let away = since.saturating_sub(1);
    if away < AWAY {
        return None;
    }
    let ahead = &laid.person;
    let morning_after = 1 - i32::try_from(since).unwrap_or(i32::MAX);
    let (before, now) = (ahead.readiness(morning_after), ahead.readiness(0));
    let faded = |number: u16| -> f64 {
        ahead
            .cards
            .iter()
            .filter(|card| card.family == number)
            .filter_map(|card| {
                Some(card.share * (ahead.recall(card, morning_after)? - ahead.recall(card, 0)?))
            })
            .fold(0.0, |sum, lost| sum + lost)
    };
    let named = |id: &String| {
        if id.is_empty() {
            "bench rules".to_owned()
        } else {
            clean(id)
        }
    };
    let mut by_family: Vec<(String, f64)> = laid
        .families
        .names()
        .iter()
        .map(|id| (named(id), faded(laid.families.number(id))))
        .filter(|(_, lost)| 0.0 < *lost)
        .collect();
    by_family.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    let days = 3 * u32::try_from(BACK_SITTINGS).unwrap_or(u32::MAX);
    let question = Question {
        days,
        at: vec![days],
        targets: Vec::new(),
        first: BACK_SITTINGS,
        plan: None,
        apart: Vec::new(),
        runs: BACK_RUNS,
        seed,
        threads: plan::threads(),
    };
    let outlook = outlook::outlook(ahead, &laid.prices, &question);
    let (sittings, share) = outlook.back_at(before);
    let first = outlook.first.iter().map(|sitting| {
        let mut asked: Vec<(f64, String)> = laid
            .families
            .names()
            .iter()
            .zip(&sitting.asked)
            .map(|(id, asked)| (*asked, named(id)))
            .collect();
        asked.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        let most = asked.into_iter().filter(|(asked, _)| 0.5 <= *asked);
        (most.map(|(_, id)| id).take(3).collect(), sitting.after)
    });
    let sittings = (0.5 <= share).then_some(sittings);
    Some(Recovery {
        days: sittings.and_then(|band| ahead.sittings.days_for(band.mid.round(), MOST_DAYS)),
        away,
        before,
        now,
        sittings,
        lost: by_family,
        first: first.collect(),
    })
}

/// Returns the way back of `person` where they were away, from what was read already.
pub fn recovery_of(
    workbench: &Workbench,
    person: &Person,
    (record, jobs): (&Record, &[Job]),
    (cards, options): (&[&Card], &Options),
    day: NaiveDate,
) -> Option<Recovery> {
    let last = record.seen.last_on.iter().copied().max()?;
    if calendar::elapsed(last, day) <= AWAY || cards.is_empty() || options.minutes <= 0.0 {
        return None;
    }
    let laid = plan::lay(workbench, person, (record, jobs), (cards, options), day);
    way_back(&laid, last, day, plan::seed(None, &person.id, day))
}
