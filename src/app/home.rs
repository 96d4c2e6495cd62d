//! The home screen of one person: today's minutes, and per family what is met and kept.

use std::collections::BTreeMap;

use chrono::DateTime;
use chrono::Utc;

use crate::app::gaps;
use crate::app::goal;
use crate::app::goal::Sight;
use crate::app::plan_lines;
use crate::app::practice;
use crate::app::practice::Options;
use crate::app::record;
use crate::app::view::FamilyMeter;
use crate::app::view::Home;
use crate::app::way_back;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::gaps::row;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::units::count;

/// Returns what the home screen shows `person` now.
pub fn home(
    workbench: &Workbench,
    person: &Person,
    options: &Options,
    seed: u64,
    now: DateTime<Utc>,
) -> Result<Home, AppError> {
    let (record, archive) = workbench.beside_archive(|| record::record(workbench, &person.id, now));
    let (record, archive) = (record?, archive?);
    let cards = practice::cards_for(workbench, &record, person, options)?;
    let day = workbench.day(now);
    let target = workbench.shop.target_recall;
    let ahead = goal::look(workbench, (person, &record), (&cards, options), day);
    let asks = practice::asks(
        workbench,
        (person, &record),
        (&cards, &archive.jobs),
        (options, ahead.as_ref()),
        (seed, day),
    );
    let mut meters: BTreeMap<&str, (usize, usize, usize)> = BTreeMap::new();
    let known = record.history.of_cards(&cards);
    for (card, known) in cards.iter().zip(&known) {
        let (all, met, kept) = meters.entry(&card.family).or_default();
        *all += 1;
        if let Some(known) = known {
            *met += usize::from(known.seen_on.is_some());
            let recall = record.history.recall_of(known, day);
            *kept += usize::from(recall.is_some_and(|r| target <= r));
        }
    }
    let answers = gaps::measured_of_late(workbench, &record, day);
    let families = workbench
        .circuits
        .all()
        .iter()
        .filter_map(|family| {
            let (cards, met, kept) = *meters.get(family.id.as_str())?;
            let (id, name) = (clean(&family.id), clean(&family.name));
            Some(FamilyMeter {
                id,
                name,
                cards,
                met,
                kept,
                spot: row::row(Some(&family.id), &answers, &[]).circuit,
            })
        })
        .collect();
    let mut faults = workbench.fault_lines(&workbench.faults);
    faults.extend(workbench.fault_lines(&record.faults));
    faults.extend(workbench.fault_lines(&archive.faults));
    let away = way_back::recovery_of(
        workbench,
        person,
        (&record, &archive.jobs),
        (&cards, options),
        day,
    );
    // The way back is simulated in the usual order.
    let beside = match &ahead {
        Some(Sight::Ahead(_)) => " That is without the day to be ready by, which goes before it.",
        _ => "",
    };
    let planned_new = asks
        .iter()
        .filter(|a| !a.spare && !record.history.met(&cards[a.card].id))
        .count();
    let planned = asks.iter().filter(|a| !a.spare).count();
    // With cards to spare the minutes are full; without, there is little left to ask.
    let few = record.history.pace.seconds() * count(planned) / 60.0;
    let minutes = if planned < asks.len() {
        options.minutes
    } else {
        few.min(options.minutes)
    };
    Ok(Home {
        shop: clean(&workbench.shop.name),
        person: person.id.clone(),
        initials: clean(&person.initials),
        date: day.format("%a %-d %b %Y").to_string(),
        minutes,
        planned,
        planned_new,
        done_today: record.seen.on(day),
        families,
        corrected: record
            .history
            .cards
            .values()
            .filter(|c| c.corrected)
            .count(),
        ready_by: ahead.map_or_else(String::new, |ahead| ahead.with_what_would(&asks, options)),
        away: away.map_or_else(String::new, |back| plan_lines::way_back(&back) + beside),
        faults,
    })
}
