//! People: added by initials, listed, given their decks, boards and circuits, and two repairs of a
//! mistake.

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::goal;
use crate::app::record;
use crate::app::view::PersonChoice;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::goal::Goal;
use crate::domain::review::Event;
use crate::domain::shop::Assigned;
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
        assigned: Assigned::default(),
        options: false,
        aim: None,
        goal: None,
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
            assigned: p.assigned,
            options: p.options,
            goal: p.goal,
            id: p.id,
        })
        .collect())
}

/// Gives `person` what `more` names on top of what the person has (`instead` drops that first) and
/// returns what the person has then.
///
/// Refuses a deck, board or family that the shop does not know, and a person file that is damaged or
/// of a newer format.
pub fn assign(
    workbench: &Workbench,
    person: &str,
    more: &Assigned,
    instead: bool,
) -> Result<Assigned, AppError> {
    let person = workbench.person(Some(person))?;
    let known = |what, ids: &[String], known: Vec<String>| {
        let unknown = ids.iter().find(|id| !known.contains(id));
        unknown.map_or(Ok(()), |id| {
            Err(AppError::Unknown {
                what,
                id: clean(id),
                known: known.clone(),
            })
        })
    };
    known("deck", &more.decks, workbench.deck_ids())?;
    known("board", &more.boards, workbench.board_ids())?;
    known("circuit family", &more.families, workbench.family_ids())?;
    let mut record = record_of(workbench, &person)?;
    let add = |to: &mut Vec<String>, more: &[String]| {
        if instead {
            to.clear();
        }
        for id in more {
            if !to.contains(id) {
                to.push(id.clone());
            }
        }
    };
    let assigned = &mut record.person.assigned;
    add(&mut assigned.decks, &more.decks);
    add(&mut assigned.boards, &more.boards);
    add(&mut assigned.families, &more.families);
    if *assigned != person.assigned {
        crate::store::people::save_person(workbench.disk.as_ref(), &workbench.folder, &record)?;
    }
    Ok(record.person.assigned)
}

/// Says whether fixes stand to choose from whenever `person` drills, on cards not met yet or missed the
/// last time; a spot check and a brief never offer any.
pub fn offer_fixes(workbench: &Workbench, person: &str, offer: bool) -> Result<(), AppError> {
    let person = workbench.person(Some(person))?;
    let mut record = record_of(workbench, &person)?;
    if record.person.options != offer {
        record.person.options = offer;
        crate::store::people::save_person(workbench.disk.as_ref(), &workbench.folder, &record)?;
    }
    Ok(())
}

/// Says which day `person` wants to be ready by, or that there is none any more.
///
/// Refuses a day that is not after `today` or too far ahead, and names that the shop does not know.
pub fn be_ready_by(
    workbench: &Workbench,
    person: &str,
    goal: Option<Goal>,
    today: NaiveDate,
) -> Result<(), AppError> {
    let person = workbench.person(Some(person))?;
    if let Some(goal) = &goal {
        goal::check(workbench, goal, today)?;
    }
    let mut record = record_of(workbench, &person)?;
    if record.person.goal != goal {
        record.person.goal = goal;
        crate::store::people::save_person(workbench.disk.as_ref(), &workbench.folder, &record)?;
    }
    Ok(())
}

/// Reads the file of a person; refuses a damaged one.
fn record_of(workbench: &Workbench, person: &Person) -> Result<PersonRecord, AppError> {
    let load = crate::store::people::load_person;
    let (record, faults) = load(workbench.disk.as_ref(), &workbench.folder, &person.id)?;
    record.ok_or_else(|| match workbench.folder.person_json(&person.id) {
        Ok(path) => StoreError::Damaged { path, faults }.into(),
        Err(error) => StoreError::from(error).into(),
    })
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
    let record = record::record(workbench, &from.id, now)?;
    let sittings = record.sittings();
    if !sittings.contains(&sitting) {
        return Err(AppError::Unknown {
            what: "sitting of that person",
            id: clean(sitting),
            known: sittings
                .into_iter()
                .take(NAMED)
                .map(str::to_owned)
                .collect(),
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
    let record = record::record(workbench, &person.id, now)?;
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
