//! Takes back what a lead did last at this bench, by an edit that says so.
//!
//! One act at a time, the latest first, on whatever day it was done; what other leads did since stays.

use chrono::DateTime;
use chrono::Utc;

use crate::app::desk::act;
use crate::app::desk::act::Done;
use crate::app::desk::page;
use crate::app::desk::words;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::desk::undo;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::text::sentence;

/// What was taken back, and of which card.
#[derive(Clone, Debug)]
pub struct Undone {
    /// Id of the card; none where there was nothing to take back.
    pub card: Option<String>,
    /// What came of it.
    pub done: Done,
}

/// Takes back the last act of `person` at this bench.
pub fn undo(
    workbench: &Workbench,
    person: &Person,
    now: DateTime<Utc>,
) -> Result<Undone, AppError> {
    let edits = &workbench.edits;
    let bench = workbench.bench.as_str();
    let last = undo::last_act(edits.all(), bench, &person.initials);
    let Some(first) = last.first() else {
        let said = "You have done nothing at this bench that could be taken back.";
        return Ok(Undone {
            card: None,
            done: Done {
                said: said.to_owned(),
                edits: Vec::new(),
                workbench: workbench.clone(),
            },
        });
    };
    act::may_act(workbench, person, &first.card)?;
    let of = last.iter().map(|entry| entry.id.clone()).collect();
    let mut said = vec![format!(
        "Taken back: {}",
        sentence(&called(workbench, first, now))
    )];
    said.extend(consequence(workbench, &last));
    let edit = Edit::Undo { of };
    let id = act::append(workbench, person, &first.card, edit, (now, &[]))?;
    Ok(Undone {
        card: Some(first.card.clone()),
        done: Done {
            said: said.join(" "),
            edits: vec![id],
            workbench: workbench.anew()?,
        },
    })
}

/// Returns `signed it, Replace U31`, with the day where that is another one.
fn called(workbench: &Workbench, entry: &EditEntry, now: DateTime<Utc>) -> String {
    let title = |id: &str| {
        let card = page::card_as_it_was(workbench, id);
        card.map_or_else(|_| clean(id), words::title)
    };
    let deed = match &entry.edit {
        Edit::Merge { into } => format!("goes into {}", title(into)),
        edit => words::deed(edit),
    };
    // What a build has let go into another card is called by its id: the other's words are not its own.
    let gone = page::card_as_it_was(workbench, &entry.card).is_ok_and(|now| now.id != entry.card);
    let title = if gone {
        format!("card {}", clean(&entry.card))
    } else {
        title(&entry.card)
    };
    let day = workbench.day(entry.at);
    if day == workbench.day(now) {
        format!("{title}: {deed}")
    } else {
        format!("{title}: {deed}, on {}", day.format("%-d %b %Y"))
    }
}

/// Says what taking an act back does not do by itself.
fn consequence(workbench: &Workbench, act: &[&EditEntry]) -> Option<String> {
    let edits = &workbench.edits;
    let moved = |entry: &&EditEntry| matches!(entry.edit, Edit::Merge { .. } | Edit::Split { .. });
    if act.iter().any(moved) {
        return Some("The next build of its deck makes the cards as they were.".to_owned());
    }
    let last = act.last()?;
    let stands = edits.in_force(&last.card, last.edit.field());
    let stood = stands.iter().any(|entry| entry.id == last.id);
    let by = stands.last().map(|entry| clean(&entry.by));
    match by {
        Some(by) if !stood => Some(format!("What {by} did since stays.")),
        _ => None,
    }
}
