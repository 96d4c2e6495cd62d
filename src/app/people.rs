//! People: added by initials, listed, and two repairs of a mistake.

use chrono::DateTime;
use chrono::Utc;

use crate::app::practice;
use crate::app::view::PersonChoice;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::review::Event;
use crate::domain::shop::Person;
use crate::domain::shop::Post;
use crate::domain::text::clean;
use crate::store::error::StoreError;
use crate::store::journal::Journal;
use crate::store::lock::Holder;
use crate::store::record::person::PersonRecord;

/// Adds a person and returns the folder name.
pub fn add(workbench: &Workbench, initials: &str, post: Post) -> Result<String, AppError> {
    let initials = initials.trim();
    let bad = |why| AppError::BadInitials {
        initials: clean(initials),
        why,
    };
    if !(1..=4).contains(&initials.chars().count()) {
        return Err(bad("one to four letters"));
    }
    if !initials.chars().all(|c| c.is_ascii_alphanumeric()) {
        return Err(bad("only letters a to z and digits"));
    }
    let id = initials.to_lowercase();
    if workbench.people()?.iter().any(|p| p.id == id) {
        return Err(bad(
            "someone here has them already; choose that person, or add a letter",
        ));
    }
    // What is there and cannot be read is mended by hand, never written over.
    let path = workbench
        .folder
        .person_json(&id)
        .map_err(StoreError::from)?;
    let (_, faults) =
        crate::store::people::load_person(workbench.disk.as_ref(), &workbench.folder, &id)?;
    if !faults.is_empty() {
        return Err(StoreError::Damaged { path, faults }.into());
    }
    let person = Person {
        id: id.clone(),
        initials: initials.to_owned(),
        post,
        decks: Vec::new(),
        boards: Vec::new(),
        families: Vec::new(),
    };
    let record = PersonRecord::new(person);
    crate::store::people::save_person(workbench.disk.as_ref(), &workbench.folder, &record)?;
    Ok(id)
}

/// Returns the people to choose from.
pub fn list(workbench: &Workbench) -> Result<Vec<PersonChoice>, AppError> {
    Ok(workbench
        .people()?
        .into_iter()
        .map(|p| PersonChoice {
            initials: clean(&p.initials),
            role: p.post.word().to_owned(),
            id: p.id,
        })
        .collect())
}

/// How many of the latest sittings are named to someone who wrote one wrongly.
const NAMED: usize = 5;

/// Records that a sitting taken under `from` was `to`'s.
pub fn give_sitting(
    workbench: &Workbench,
    sitting: &str,
    from: &str,
    to: &str,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let from = workbench.person(Some(from))?;
    let to = workbench.person(Some(to))?;
    let record = practice::record(workbench, &from.id, now)?;
    let mut sittings: Vec<&String> = Vec::new();
    for line in record.lines.iter().rev() {
        if let Event::Answer(answered) = &line.entry.event
            && !sittings.contains(&&answered.sitting)
        {
            sittings.push(&answered.sitting);
        }
    }
    if !sittings.iter().any(|s| *s == sitting) {
        return Err(AppError::Unknown {
            what: "sitting of that person",
            id: clean(sitting),
            known: sittings.into_iter().take(NAMED).cloned().collect(),
        });
    }
    let event = Event::Move {
        sitting: sitting.to_owned(),
        to: to.id,
    };
    write(workbench, &from, event, now)
}

/// Puts a card back into use that `person` had tagged out.
pub fn untag(
    workbench: &Workbench,
    person: &str,
    card: &str,
    why: &str,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let person = workbench.person(Some(person))?;
    let record = practice::record(workbench, &person.id, now)?;
    if !record.history.tags.contains_key(card) {
        return Err(AppError::Unknown {
            what: "card tagged out by that person",
            id: clean(card),
            known: record.history.tags.into_keys().collect(),
        });
    }
    let event = Event::Untag {
        card: card.to_owned(),
        note: why.to_owned(),
    };
    write(workbench, &person, event, now)
}

fn write(
    workbench: &Workbench,
    person: &Person,
    event: Event,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let holder = Holder {
        who: person.initials.clone(),
        since: now,
    };
    let opened = Journal::open(
        &workbench.disk,
        &workbench.folder,
        &person.id,
        &workbench.bench,
        &holder,
    );
    let mut journal = match opened {
        Ok((journal, ..)) => journal,
        Err(StoreError::Busy { holder, .. }) => return Err(AppError::ReadOnly { holder }),
        Err(error) => return Err(error.into()),
    };
    journal.append(event, now, workbench.day(now))?;
    Ok(())
}
