//! What a fit would do to today's sitting; nothing is written.

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Utc;

use crate::app::fit::Fitted;
use crate::app::fit::Lines;
use crate::app::goal;
use crate::app::practice;
use crate::app::practice::Options;
use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::queue::Ask;
use crate::domain::refit::Verdict;
use crate::domain::review::Entry;
use crate::domain::review::Event;
use crate::domain::shop::Person;
use crate::domain::tape;
use crate::domain::tape::Spot;
use crate::domain::tape::Tape;
use crate::domain::text::clean;
use crate::domain::text::shortened;
use crate::domain::units;
use crate::domain::wording;

/// Most cards whose recall is named.
const MOVED: usize = 5;

/// Most characters of a question that stand for its card.
const LONGEST: usize = 44;

/// A card as it may be named without its answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Its id.
    pub card: String,
    /// What it is called.
    pub name: String,
}

/// A card that the fit sees otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Which.
    pub card: Named,
    /// Chance of recall today, as it is in force.
    pub before: f64,
    /// The same after the fit.
    pub after: f64,
}

/// How today's sitting would change.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Cards that come into the sitting.
    pub come_in: Vec<Named>,
    /// Cards that go out of it.
    pub go_out: Vec<Named>,
    /// Cards of today's sitting, before and after.
    pub cards: (usize, usize),
    /// Minutes they are expected to take, before and after.
    pub minutes: (f64, f64),
    /// Cards met whose recall moves most, the most first.
    pub moved: Vec<Moved>,
    /// Mean recall today of the cards met, before and after; none before the first.
    pub recall: Option<(f64, f64)>,
}

/// Tries the fit of one person and returns how today's sitting would change; no change where the fit would
/// not take effect.
pub fn show(
    workbench: &Workbench,
    person: &Person,
    seed: u64,
    now: DateTime<Utc>,
) -> Result<(Fitted, Option<Change>), AppError> {
    let lines = Lines::of(workbench, &person.id)?;
    let refit = lines.refit();
    let (weights, source) = lines.in_force();
    let change = match &refit.verdict {
        Verdict::Takes(fitted, _) => Some(change(
            workbench,
            person,
            (&lines, fitted.get()),
            seed,
            now,
        )?),
        Verdict::NoBetter(_) | Verdict::Idle(_) => None,
    };
    let fitted = Fitted {
        person: person.id.clone(),
        initials: person.initials.clone(),
        refit,
        weights,
        source,
        kept: None,
        faults: lines.faults().to_vec(),
    };
    Ok((fitted, change))
}

fn change(
    workbench: &Workbench,
    person: &Person,
    (lines, weights): (&Lines, &[f64; 21]),
    seed: u64,
    now: DateTime<Utc>,
) -> Result<Change, AppError> {
    let day = workbench.day(now);
    let mut record = practice::record(workbench, &person.id, now)?;
    let options = Options::default();
    let cards = practice::cards_for(workbench, &record, person, &options)?;
    let jobs = workbench.archive()?.jobs;
    let plan = |record: &practice::Record| {
        let of = (cards.as_slice(), jobs.as_slice());
        let ahead = goal::look(workbench, (person, record), (&cards, &options), day);
        let how = (&options, ahead.as_ref());
        let mut asks = practice::asks(workbench, (person, record), of, how, (seed, day));
        asks.retain(|ask| !ask.spare);
        asks
    };
    let before = plan(&record);
    let recalls = |record: &practice::Record| -> Vec<Option<f64>> {
        let history = &record.history;
        let known = history.of_cards(&cards).into_iter();
        known.map(|known| history.recall_of(known?, day)).collect()
    };
    let recall_before = recalls(&record);
    // The journals as they would be with one line more.
    let (spots, mut tapes) = lines.merged();
    let mut more = Tape::new(&person.id, "");
    more.push(Entry {
        id: String::new(),
        bench: String::new(),
        seq: 1,
        at: now,
        day,
        event: Event::Weights {
            weights: Box::new(*weights),
        },
    });
    let mut spots = spots.to_vec();
    spots.push(Spot {
        effective: now,
        day,
        tape: tapes.len(),
        line: 0,
        own: true,
    });
    tapes.push(&more);
    record.history = tape::fold(&spots, &tapes, &Facts::of(workbench));
    let after = plan(&record);
    let recall_after = recalls(&record);
    let asked = |asks: &[Ask]| -> BTreeSet<usize> { asks.iter().map(|ask| ask.card).collect() };
    let (old, new) = (asked(&before), asked(&after));
    let named = |card: &usize| name(workbench, cards[*card]);
    let pace = record.history.pace.seconds() / 60.0;
    let both = recall_before.into_iter().zip(recall_after);
    let both = both
        .enumerate()
        .filter_map(|(card, (b, a))| Some((card, b?, a?)));
    let mut moved: Vec<(usize, f64, f64)> = both.collect();
    let n = units::count(moved.len());
    let mean = |of: fn(&(usize, f64, f64)) -> f64| moved.iter().map(of).sum::<f64>() / n;
    let recall = (!moved.is_empty()).then(|| (mean(|m| m.1), mean(|m| m.2)));
    moved.sort_by(|a, b| (b.2 - b.1).abs().total_cmp(&(a.2 - a.1).abs()));
    Ok(Change {
        come_in: new.difference(&old).map(named).collect(),
        go_out: old.difference(&new).map(named).collect(),
        cards: (before.len(), after.len()),
        minutes: (
            pace * units::count(before.len()),
            pace * units::count(after.len()),
        ),
        moved: moved
            .iter()
            .take(MOVED)
            .map(|(card, before, after)| Moved {
                card: named(card),
                before: *before,
                after: *after,
            })
            .collect(),
        recall,
    })
}

/// Names a card by what stands on its front.
fn name(workbench: &Workbench, card: &Card) -> Named {
    let board = workbench.boards.iter().find(|board| board.id == card.board);
    let board = board.map_or(card.board.as_str(), |board| board.name.as_str());
    let what = if card.stem.is_empty() {
        wording::complaint_text(&card.complaint)
    } else {
        clean(&card.stem)
    };
    let what = shortened(&what, LONGEST);
    let name = if board.is_empty() {
        what
    } else {
        format!("{}, {what} ({})", clean(board), card.kind.word())
    };
    Named {
        card: card.id.clone(),
        name,
    }
}
