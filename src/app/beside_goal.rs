//! What a day to be ready by costs the cards that it does not mean: the whole drill simulated with it and
//! without, in the same order, spot checks and all.

use std::collections::HashMap;
use std::collections::HashSet;

use chrono::NaiveDate;

use crate::app::plan;
use crate::app::plan::Desk;
use crate::app::practice;
use crate::app::practice::Options;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::outlook;
use crate::domain::ahead::outlook::Followed;
use crate::domain::ahead::outlook::Question;
use crate::domain::goal::Goal;
use crate::domain::shop::Person;

/// What becomes of the other cards until a day to be ready by.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The other cards.
    pub cards: usize,
    /// Minutes of a sitting.
    pub minutes: f64,
    /// Their readiness on the date, each card counting as its share of their jobs, if the sittings begin
    /// with what the day needs.
    pub with: Band,
    /// Its mean over the runs.
    pub with_mean: f64,
    /// In the usual order of the drill.
    pub usual: Band,
    /// Its mean over the runs.
    pub usual_mean: f64,
}

/// Returns what becomes of the cards that `desk` has not, if `days` are planned for those it has;
/// none where the person drills no others.
///
/// Sittings are as long as asked for; of a day that is to be kept with fewer minutes than the usual
/// sitting, the usual one, of which it has so many.
pub(super) fn beside(
    workbench: &Workbench,
    person: &Person,
    (options, date): (&Options, NaiveDate),
    (desk, days): (&Desk<'_>, &[Vec<u32>]),
    question: &Question,
) -> Result<Option<Beside>, AppError> {
    let most = options.goal.as_ref().and_then(|goal| goal.minutes);
    let minutes = most.map_or(options.minutes, |_| options.minutes.max(practice::MINUTES));
    if minutes <= 0.0 {
        // Nothing is drilled either way.
        return Ok(None);
    }
    let goal = Goal {
        date,
        deck: options.deck.clone(),
        board: options.board.clone(),
        family: options.family.clone(),
        minutes: most,
    };
    let free = Options {
        deck: None,
        board: None,
        family: None,
        minutes,
        ..options.clone()
    };
    let ids = desk.cards.iter().map(|card| card.id.as_str());
    let planned: HashMap<&str, &Vec<u32>> = ids.zip(days).collect();
    let meant: HashSet<&str> = planned.keys().copied().collect();
    let simulated = |goal: Option<Goal>| {
        let follows = goal.is_some();
        let person = Person {
            goal,
            ..person.clone()
        };
        let cards = practice::cards_for(workbench, &desk.record, &person, &free)?;
        let apart: Vec<bool> = cards
            .iter()
            .map(|card| !meant.contains(card.id.as_str()))
            .collect();
        let others = apart.iter().filter(|apart| **apart).count();
        if others == 0 {
            return Ok::<_, AppError>(None);
        }
        let laid = plan::lay(
            workbench,
            &person,
            (&desk.record, &desk.jobs),
            (&cards, &free),
            desk.day,
        );
        let follow = || Followed {
            days: cards
                .iter()
                .map(|card| planned.get(card.id.as_str()).map(|days| (*days).clone()))
                .collect(),
            seconds: most.map_or(f64::INFINITY, |minutes| f64::from(minutes) * 60.0),
        };
        let question = Question {
            targets: Vec::new(),
            plan: follows.then(follow),
            apart,
            ..question.clone()
        };
        let found = outlook::outlook(&laid.person, &laid.prices, &question);
        Ok(Some((others, found)))
    };
    let (Some((cards, with)), Some((_, usual))) = (simulated(Some(goal))?, simulated(None)?) else {
        return Ok(None);
    };
    Ok(Some(Beside {
        cards,
        minutes,
        with: with.apart,
        with_mean: with.apart_mean,
        usual: usual.apart,
        usual_mean: usual.apart_mean,
    }))
}
