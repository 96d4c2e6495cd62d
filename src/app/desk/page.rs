//! One card on the desk: as a trainee sees it, with everything a lead needs to judge it.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Utc;

use crate::app::desk::gather::Gathered;
use crate::app::desk::list;
use crate::app::desk::view::Apart;
use crate::app::desk::view::DeskPage;
use crate::app::desk::view::Doubt;
use crate::app::desk::view::Editable;
use crate::app::desk::view::Missed;
use crate::app::desk::words;
use crate::app::face;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::answers;
use crate::domain::desk::divide;
use crate::domain::desk::overlay::Placed;
use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::history;
use crate::domain::job::Job;
use crate::domain::review::Answered;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::text::clean;

/// Cards that are offered for a merge, at most.
const LIKE: usize = 12;
/// Misses that are shown, at most.
const MISSES: usize = 50;

/// Returns the card that `id` names: the whole id or the beginning of one, under its present name.
pub fn card<'w>(workbench: &'w Workbench, id: &str) -> Result<&'w Card, AppError> {
    let aliases = workbench.edits.aliases();
    let id = crate::domain::desk::overlay::current(aliases, id.trim());
    let cards = workbench.all_cards();
    let begins: Vec<&Card> = cards
        .iter()
        .copied()
        .filter(|card| !id.is_empty() && card.id.starts_with(id))
        .collect();
    let exact = begins.iter().find(|card| card.id == id);
    // A card that went into another is known by the beginning of its old id as well.
    let went = || {
        let begins = |old: &&String| !id.is_empty() && old.starts_with(id);
        let old = aliases.keys().filter(begins);
        let now: BTreeSet<&str> = old
            .map(|old| crate::domain::desk::overlay::current(aliases, old))
            .collect();
        let mut now = now.into_iter();
        let only = now.next().filter(|_| now.next().is_none())?;
        cards.iter().copied().find(|card| card.id == only)
    };
    match (exact, begins.as_slice()) {
        (Some(card), _) => Ok(card),
        (None, [one]) => Ok(one),
        (None, []) => went().ok_or_else(|| AppError::NotOfCard {
            card: clean(id),
            why: "no deck has a card whose id begins so".to_owned(),
            todo: "`benchlore deck desk` and `benchlore deck show` name the cards".to_owned(),
        }),
        (None, several) => Err(AppError::NotOfCard {
            card: clean(id),
            why: format!("{} cards begin so", several.len()),
            todo: "write more of its id".to_owned(),
        }),
    }
}

/// Returns the card that `id` names, also one that went into another: as it was before.
pub(crate) fn card_as_it_was<'w>(workbench: &'w Workbench, id: &str) -> Result<&'w Card, AppError> {
    let id = id.trim();
    let merged = workbench.edits.aliases().contains_key(id);
    let mut cards = workbench.decks.iter().flat_map(|deck| &deck.cards);
    match cards.find(|card| merged && card.id == id) {
        Some(card) => Ok(card),
        None => card(workbench, id),
    }
}

/// Returns the page of one card.
pub fn page(workbench: &Workbench, id: &str, now: DateTime<Utc>) -> Result<DeskPage, AppError> {
    let card = card(workbench, id)?;
    let gathered = Gathered::of(workbench, &[card], now)?;
    let board = workbench.boards.iter().find(|b| b.id == card.board);
    let mark = face::signature_mark(card);
    let doubts = gathered.doubts.get(&card.id).into_iter().flatten();
    let evidence = evidence(card, &gathered.archive.jobs);
    Ok(DeskPage {
        row: list::row(workbench, &gathered, card),
        front: face::front(card, board, mark, false),
        asks: face::asks(card),
        above: face::front(card, board, mark, true),
        back: face::answer_side(card, &workbench.circuits, &workbench.boards),
        jobs: card.jobs.iter().map(|job| clean(job)).collect(),
        warnings: lapsed(workbench, card)
            .into_iter()
            .chain(card.warn.iter().map(|warning| clean(warning)))
            .collect(),
        missed: missed(workbench, &gathered, card)?,
        doubts: doubts
            .map(|doubt| Doubt {
                who: gathered.who(&doubt.person),
                day: doubt.day.format("%-d %b %Y").to_string(),
                why: clean(&doubt.note),
            })
            .collect(),
        history: history_of(workbench, card),
        apart: apart(workbench, card),
        now: editable(card),
        like: like(workbench, card),
        divides: Divide::ALL
            .into_iter()
            .filter(|_| may_be_split(card))
            .filter_map(|by| {
                let preview = divide::preview(evidence.iter().copied(), by)?;
                Some((by, clean(&preview)))
            })
            .collect(),
    })
}

/// Says which wordings count no more, since the card's answer is another now.
fn lapsed(workbench: &Workbench, card: &Card) -> Option<String> {
    let lapsed = workbench.edits.lapsed_wordings(card);
    let lapsed = clean(&lapsed.join("; "));
    (!lapsed.is_empty()).then(|| {
        format!("accepted for an answer it had before, and not for this one: {lapsed}; type what still holds")
    })
}

/// Tells whether a build can make several cards of one: what is made of several fixes follows them.
pub(crate) fn may_be_split(card: &Card) -> bool {
    card.kind == CardKind::Fix
}

/// Returns the jobs behind a card.
pub(crate) fn evidence<'a>(card: &Card, jobs: &'a [Job]) -> Vec<&'a Job> {
    let cited: BTreeSet<&str> = card.jobs.iter().map(String::as_str).collect();
    let jobs = jobs.iter();
    jobs.filter(|job| cited.contains(job.job.as_str()))
        .collect()
}

/// Returns the repair that a card accepts first; none where it is judged by its points or by the
/// measurement named. The fix that an `expect` card gives is part of its question.
pub(crate) fn own_answer(card: &Card) -> Option<&Answer> {
    card.answers.first().filter(|_| card.asks_a_repair())
}

/// Returns what may be typed over, as it stands.
pub(crate) fn editable(card: &Card) -> Editable {
    let own = own_answer(card);
    Editable {
        stem: clean(&card.stem),
        answers: own.map_or_else(String::new, |_| clean(&answers::write(&card.answers))),
        also: clean(&card.wordings().join("; ")),
        why: clean(&card.why),
        cautions: clean(&card.cautions.join(", ")),
    }
}

fn day_of(workbench: &Workbench, at: DateTime<Utc>) -> String {
    workbench.day(at).format("%-d %b %Y").to_string()
}

/// Returns what leads did to a card, latest first, and what they had done to those that went into it.
fn history_of(workbench: &Workbench, card: &Card) -> Vec<String> {
    let edits = &workbench.edits;
    let aliases = edits.aliases();
    let went = aliases.keys().filter(|old| {
        **old != card.id && crate::domain::desk::overlay::current(aliases, old) == card.id
    });
    let mut all: Vec<(&Placed, Option<&str>)> = edits.log(&card.id).map(|p| (p, None)).collect();
    for old in went {
        let log = edits.log(old).filter(|p| p.entry.card == *old);
        all.extend(log.map(|placed| (placed, Some(old.as_str()))));
    }
    // Within a bench the order stands already, and the sort keeps it.
    all.sort_by(|a, b| (a.0.at, &a.0.entry.bench).cmp(&(b.0.at, &b.0.entry.bench)));
    let lines = all.into_iter().rev();
    lines
        .map(|(placed, old)| history_line(workbench, placed, old))
        .collect()
}

fn history_line(workbench: &Workbench, placed: &Placed, old: Option<&str>) -> String {
    let day = day_of(workbench, placed.at);
    let entry = &placed.entry;
    let deed = match &entry.edit {
        Edit::Undo { of } => {
            let taken = of.iter().filter_map(|id| workbench.edits.called(id));
            let deeds: Vec<String> = taken.map(|entry| words::deed(&entry.edit)).collect();
            format!("took back: {}", deeds.join("; "))
        }
        edit if workbench.edits.counts(entry) => words::deed(edit),
        edit => format!("{} (taken back)", words::deed(edit)),
    };
    let of = old.map_or_else(String::new, |old| format!(" (as {})", clean(old)));
    format!("{day}, {}{of}: {deed}", clean(&entry.by))
}

fn apart(workbench: &Workbench, card: &Card) -> Vec<Apart> {
    let value = |entry: &EditEntry| {
        let elsewhere = if workbench.edits.is_of(entry, &card.id) {
            String::new()
        } else {
            format!("{}: ", clean(&entry.card))
        };
        let value = format!("{elsewhere}{}", words::value(&entry.edit));
        let day = day_of(workbench, entry.at);
        (entry.id.clone(), clean(&entry.by), day, value)
    };
    let apart = workbench.edits.apart(&card.id).into_iter();
    apart
        .map(|(field, entries)| Apart {
            field,
            what: words::apart(field, &entries),
            values: entries.into_iter().map(value).collect(),
        })
        .collect()
}

/// Returns cards of the same kind and board that it could go into: those with an answer in common
/// first, then those of the same circuit.
fn like(workbench: &Workbench, card: &Card) -> Vec<(String, String)> {
    let mut found: Vec<(bool, String, String)> = workbench
        .cards()
        .into_iter()
        .filter(|other| other.id != card.id && other.kind == card.kind && other.board == card.board)
        .filter(|other| is_near(card, other))
        .map(|other| {
            let shares = share_an_answer(card, other);
            (!shares, words::title(other), other.id.clone())
        })
        .collect();
    found.sort();
    found.truncate(LIKE);
    let found = found.into_iter();
    found.map(|(_, title, id)| (id, title)).collect()
}

/// Tells whether two cards have an answer or the circuit in common.
pub(crate) fn is_near(card: &Card, other: &Card) -> bool {
    share_an_answer(card, other) || (other.family == card.family && !card.family.is_empty())
}

fn share_an_answer(card: &Card, other: &Card) -> bool {
    let steps = |card: &Card| -> BTreeSet<(String, String)> {
        let fixes = card.answers.iter().map(Answer::fix);
        fixes.flat_map(|fix| fix.pairs().to_vec()).collect()
    };
    !steps(card).is_disjoint(&steps(other))
}

/// Returns who missed the card and what they said, latest first.
fn missed(
    workbench: &Workbench,
    gathered: &Gathered,
    card: &Card,
) -> Result<Vec<Missed>, AppError> {
    let aliases = workbench.edits.aliases();
    let current = |id: &str| crate::domain::desk::overlay::current(aliases, id) == card.id;
    let mut names: Vec<String> = aliases.keys().filter(|old| current(old)).cloned().collect();
    names.push(card.id.clone());
    let disk = workbench.disk.as_ref();
    let all = crate::store::journal::lines_about(disk, &workbench.folder, &names)?;
    let people: BTreeSet<&str> = all.iter().map(|j| j.person.as_str()).collect();
    let mut found = BTreeMap::new();
    for person in gathered.initials.keys() {
        // A sitting may have been moved to someone who has no line here.
        if people.is_empty() {
            break;
        }
        for line in history::lines_of(person, &all).0 {
            let Event::Answer(answered) = &line.entry.event else {
                continue;
            };
            if answered.grade == Grade::Missed && names.contains(&answered.card) {
                let place = (line.effective, person.clone(), line.entry.seq);
                let day = line.day.format("%-d %b %Y").to_string();
                found.insert(place, miss(answered, gathered.who(person), day));
            }
        }
    }
    Ok(found.into_values().rev().take(MISSES).collect())
}

fn miss(answered: &Answered, who: String, day: String) -> Missed {
    let circuit = answered.circuit.as_ref().map_or("", |(_, said)| said);
    Missed {
        who,
        day,
        circuit: clean(circuit),
        typed: if answered.aloud {
            "said aloud".to_owned()
        } else if answered.typed.trim().is_empty() {
            "nothing typed".to_owned()
        } else {
            clean(&answered.typed)
        },
        sure: answered.sure.word().to_owned(),
    }
}
