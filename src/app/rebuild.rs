//! A deck built anew, held against the one on the disk: what changed, who had learned it, what is
//! written.

use std::collections::BTreeMap;
use std::collections::HashMap;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::card::Deck;
use crate::domain::edit::Edit;
use crate::domain::generate::build::Skipped;
use crate::domain::history::History;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;
use crate::domain::rebuild::at_risk;
use crate::domain::rebuild::at_risk::AtRisk;
use crate::domain::rebuild::at_risk::Warranty;
use crate::domain::rebuild::diff;
use crate::domain::rebuild::diff::Builds;
use crate::domain::rebuild::diff::Change;
use crate::domain::rebuild::learned;
use crate::domain::rebuild::learned::Loss;
use crate::domain::shop::Post;
use crate::domain::tape;
use crate::domain::tape::Tape;
use crate::domain::text::clean;
use crate::store::edits::EditJournal;
use crate::store::lock::Holder;

/// Who stands behind a line of correction where no lead is named.
pub const NOBODY: &str = "deck build";

/// What a deck built anew changes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rebuild {
    /// There was no such deck before.
    pub first: bool,
    /// What changed, card by card.
    pub changes: Vec<Change>,
    /// Cards that people have learned and that would vanish or accept something else.
    pub losses: Vec<Loss>,
    /// Units that a discredited fix was used on and that are still under warranty, by card.
    pub at_risk: Vec<(Change, Vec<AtRisk>)>,
}

/// What a deck was made from.
#[derive(Clone, Copy, Debug)]
pub struct MadeFrom<'a> {
    /// The jobs.
    pub jobs: &'a [Job],
    /// What got no card.
    pub skipped: &'a [Skipped],
}

/// Returns the decks as they are on the disk, without the leads' edits.
fn as_built(workbench: &Workbench) -> Result<Vec<Deck>, AppError> {
    if workbench.edits.is_empty() {
        return Ok(workbench.decks.as_ref().clone());
    }
    let (decks, _) = crate::store::decks::load_decks(workbench.disk.as_ref(), &workbench.folder)?;
    Ok(decks)
}

/// Holds `deck`, built as of `now`, against the one on the disk.
pub fn compare(
    workbench: &Workbench,
    deck: &Deck,
    from: MadeFrom<'_>,
    now: DateTime<Utc>,
) -> Result<Rebuild, AppError> {
    let mut decks = as_built(workbench)?;
    let Some(at) = decks.iter().position(|d| d.deck == deck.deck) else {
        return Ok(Rebuild {
            first: true,
            ..Rebuild::default()
        });
    };
    if decks[at].cards == deck.cards {
        return Ok(Rebuild::default());
    }
    let lineage = Lineage::standing(&workbench.edits);
    let changes = diff::diff(&Builds {
        before: &decks[at].cards,
        after: &deck.cards,
        lineage: &lineage,
        jobs: from.jobs,
        skipped: from.skipped,
    });
    let before: HashMap<&str, &Card> = cards_by_id(&decks[at].cards);
    let at_risk = changes
        .iter()
        .filter(|change| !change.discredited.is_empty())
        .filter_map(|change| {
            let card = before.get(change.card.as_str())?;
            let found = of_fixes(
                workbench,
                card,
                &change.discredited,
                from.jobs,
                workbench.day(now),
            );
            (!found.is_empty()).then(|| (change.clone(), found))
        })
        .collect();
    decks[at] = deck.clone();
    let losses = losses(workbench, &workbench.with_decks(decks), &changes)?;
    Ok(Rebuild {
        first: false,
        changes,
        losses,
        at_risk,
    })
}

fn cards_by_id(cards: &[Card]) -> HashMap<&str, &Card> {
    cards.iter().map(|card| (card.id.as_str(), card)).collect()
}

fn in_use(workbench: &Workbench) -> HashMap<&str, &Card> {
    let cards = workbench.cards().into_iter();
    cards.map(|card| (card.id.as_str(), card)).collect()
}

/// Returns what people have learned and would find gone or otherwise in the shop as it would be.
fn losses(now: &Workbench, then: &Workbench, changes: &[Change]) -> Result<Vec<Loss>, AppError> {
    let by_id = |workbench: &'_ Workbench| -> BTreeMap<String, String> {
        let cards = workbench.cards().into_iter();
        cards.map(|c| (c.id.clone(), c.accepted_mark())).collect()
    };
    // Journals of years are read only where there is something to lose.
    let marks = by_id(then);
    let same = now.edits.aliases() == then.edits.aliases()
        && by_id(now)
            .iter()
            .all(|(id, mark)| marks.get(id) == Some(mark));
    if same {
        return Ok(Vec::new());
    }
    let people = histories(now)?;
    let (before, after) = (in_use(now), in_use(then));
    let successors: HashMap<&str, &str> = changes
        .iter()
        .filter_map(|change| Some((change.card.as_str(), change.successor.as_deref()?)))
        .collect();
    Ok(learned::losses(
        &people,
        &|id| before.get(id).copied(),
        &|id| after.get(id).copied(),
        &Facts::of(then),
        &|id| successors.get(id).copied(),
    ))
}

/// Returns everyone's practice, by folder name.
fn histories(workbench: &Workbench) -> Result<Vec<(String, History)>, AppError> {
    let read = workbench
        .tapes
        .read_people(workbench.disk.as_ref(), &workbench.folder)?;
    let journals = read.iter().flat_map(|person| &person.journals);
    let tapes: Vec<&Tape> = journals.map(|read| &read.tape).collect();
    let facts = Facts::of(workbench);
    let people = read.iter().map(|person| {
        let (spots, _) = tape::lines_of(&person.person, &tapes);
        (person.person.clone(), tape::fold(&spots, &tapes, &facts))
    });
    Ok(people.collect())
}

/// Writes down, for those who had learned them, what the cards of `losses` accepted until now.
pub fn keep_corrections(
    workbench: &Workbench,
    losses: &[Loss],
    by: &str,
    now: DateTime<Utc>,
) -> Result<(), AppError> {
    let mut changed = losses.iter().filter(|loss| loss.now.is_some()).peekable();
    if changed.peek().is_none() {
        return Ok(());
    }
    let holder = Holder {
        who: format!("{by}, deck build"),
        since: now,
    };
    let (mut journal, _, _) = EditJournal::open(
        &workbench.disk,
        &workbench.folder,
        &workbench.bench,
        &holder,
    )?;
    for loss in changed {
        let known = workbench.corrections.was(&loss.known_as, &loss.accepted);
        if known == Some(loss.was.as_str()) && !loss.replaced {
            continue;
        }
        let correction = Edit::Corrected {
            was: loss.was.clone(),
            accepted: loss.accepted.clone(),
            from: loss.replaced.then(|| loss.card.clone()),
        };
        journal.append(by, &loss.known_as, correction, (now, Vec::new()))?;
    }
    Ok(())
}

/// Returns the initials under which corrections are written: those of the person named, else of the
/// only lead.
pub fn signer(workbench: &Workbench, person: Option<&str>) -> Result<String, AppError> {
    if person.is_some() {
        return Ok(workbench.person(person)?.initials);
    }
    let mut leads = workbench.people()?;
    leads.retain(|person| person.post == Post::Lead);
    Ok(match leads.as_slice() {
        [only] => only.initials.clone(),
        _ => NOBODY.to_owned(),
    })
}

/// Returns the initials of the people whose folders these are.
pub fn initials(workbench: &Workbench, who: &[String]) -> Result<Vec<String>, AppError> {
    let people = workbench.people()?;
    let name = |id: &String| {
        let person = people.iter().find(|p| p.id == *id);
        clean(person.map_or(id.as_str(), |p| &p.initials))
    };
    Ok(who.iter().map(name).collect())
}

/// Returns the jobs that were closed with what `card` answers and are still under warranty, for a
/// lead who doubts it: their unit is known and has not come again.
pub fn at_risk(
    workbench: &Workbench,
    card: &Card,
    now: DateTime<Utc>,
) -> Result<Vec<AtRisk>, AppError> {
    let fixes: Vec<Fix> = card.answers.iter().map(at_risk::fix_of).collect();
    let jobs = workbench.archive()?.jobs;
    Ok(of_fixes(workbench, card, &fixes, &jobs, workbench.day(now)))
}

fn of_fixes(
    workbench: &Workbench,
    card: &Card,
    fixes: &[Fix],
    jobs: &[Job],
    as_of: NaiveDate,
) -> Vec<AtRisk> {
    let board = workbench.boards.iter().find(|b| b.id == card.board);
    let warranty = Warranty {
        as_of,
        days: workbench.shop.warranty_days,
    };
    at_risk::at_risk(card, fixes, (jobs, board), warranty)
}
