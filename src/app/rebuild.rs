//! A deck built anew, held against the one on the disk: what changed, who had learned it, what is
//! written.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;
use std::io;
use std::sync::Arc;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::build_index::Made;
use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Deck;
use crate::domain::edit::Edit;
use crate::domain::generate::coded::tier;
use crate::domain::generate::input::Skipped;
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
use crate::domain::tape::What;
use crate::domain::text::clean;
use crate::store::build_index;
use crate::store::build_index::Found;
use crate::store::build_kept;
use crate::store::build_kept::Kept;
use crate::store::decks;
use crate::store::edits::EditJournal;
use crate::store::error::StoreError;
use crate::store::lock::Holder;
use crate::store::record::card;

/// Who stands behind a line of correction where no lead is named.
pub const NOBODY: &str = "deck build";

/// What a deck built anew changes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rebuild {
    /// There was no such deck before.
    pub first: bool,
    /// The deck before is on the disk and cannot be read, and people have answered cards: what they would
    /// find otherwise cannot be told.
    pub unread: bool,
    /// What changed, card by card.
    pub changes: Vec<Change>,
    /// Cards that people have learned and that would vanish or accept something else.
    pub losses: Vec<Loss>,
    /// Units that a discredited fix was used on and that are still under warranty, by card.
    pub at_risk: Vec<(Change, Vec<AtRisk>)>,
}

/// A deck built anew.
pub struct Fresh<'a> {
    /// File name without ending.
    pub deck: &'a str,
    /// Its name for people.
    pub name: &'a str,
    /// The boards it is of, with all their cards.
    pub boards: &'a [(&'a str, &'a Kept)],
    /// Only cards of these circuits are in it; all if empty.
    pub families: &'a [String],
    /// What it is a part or the whole of.
    pub made: &'a Made,
}

impl Fresh<'_> {
    /// Tells whether it holds all cards of its boards.
    pub fn is_whole(&self) -> bool {
        self.families.is_empty()
    }

    /// Returns how many cards it has.
    pub fn count(&self) -> usize {
        let boards = self.boards.iter();
        boards
            .map(|(_, kept)| kept.cards.count(self.families))
            .sum()
    }

    /// Reads the texts of its boards' cards.
    fn texts(&self, workbench: &Workbench) -> Result<Vec<Cow<'_, str>>, AppError> {
        let boards = self.boards.iter();
        let texts = boards.map(|(_, kept)| text(workbench, self.made, kept));
        texts.collect()
    }

    /// Returns its cards, each with its board and as the line of its file.
    fn lines<'t>(&'t self, texts: &'t [Cow<'_, str>]) -> Vec<(&'t str, &'t str)> {
        let boards = self.boards.iter().zip(texts);
        let lines = boards.flat_map(|((id, kept), text)| {
            let lines = kept.cards.lines(text, self.families);
            lines.map(|line| (*id, line))
        });
        lines.collect()
    }

    /// Hands out the bytes of its file, made from the jobs with the mark `from`, a board at a time.
    pub fn give(
        &self,
        workbench: &Workbench,
        (deck, from): (&str, &str),
        take: decks::Take<'_>,
    ) -> io::Result<()> {
        let (head, end) = card::deck_ends(deck, self.name, from, self.count());
        take(head.as_bytes())?;
        let mut first = true;
        for (_, kept) in self.boards {
            let text = self.made.text(workbench, kept)?;
            if self.is_whole() && !text.is_empty() {
                if !std::mem::take(&mut first) {
                    take(build_kept::BETWEEN.as_bytes())?;
                }
                take(text.as_bytes())?;
                continue;
            }
            for line in kept.cards.lines(&text, self.families) {
                if !std::mem::take(&mut first) {
                    take(build_kept::BETWEEN.as_bytes())?;
                }
                take(line.as_bytes())?;
            }
        }
        take(end.as_bytes())
    }
}

fn text<'a>(workbench: &Workbench, made: &Made, kept: &'a Kept) -> Result<Cow<'a, str>, AppError> {
    let path = build_index::path(&workbench.folder);
    let text = made.text(workbench, kept);
    Ok(text.map_err(StoreError::io("read", &path))?)
}

/// Returns the decks as they are on the disk, without the leads' edits.
fn as_built(workbench: &Workbench) -> Result<Vec<Deck>, AppError> {
    if workbench.edits.is_empty() && workbench.standing.is_none() {
        return Ok(workbench.decks.as_ref().clone());
    }
    let (decks, _) = crate::store::decks::load_decks(workbench.disk.as_ref(), &workbench.folder)?;
    Ok(decks)
}

/// Holds `fresh`, built as of `now`, against the deck on the disk.
///
/// Only cards whose lines differ are read, with the others of their boards, and only those boards' jobs:
/// of two equal lines nothing changed.
pub fn compare(
    workbench: &Workbench,
    fresh: &Fresh<'_>,
    now: DateTime<Utc>,
) -> Result<Rebuild, AppError> {
    let known = workbench.decks.iter().any(|d| d.deck == fresh.deck);
    if !known && workbench.standing.is_none() {
        return Ok(Rebuild {
            first: true,
            unread: is_unread(workbench, fresh.deck)?,
            ..Rebuild::default()
        });
    }
    let differ = match pairs(workbench, fresh) {
        Some(pairs) => differ_of(workbench, fresh.made, &pairs)?,
        None => differ(workbench, fresh)?,
    };
    let mut rebuild = Rebuild::default();
    let cited = differ.gone.iter().flat_map(|card| &card.jobs);
    let counting = fresh.made.counting(&cited.map(String::as_str).collect());
    let beside = Beside {
        made: fresh.made,
        lineage: Lineage::standing(&workbench.edits),
        elsewhere: counting.keys().copied().collect(),
        day: workbench.day(now),
    };
    for boards in differ.scenes(workbench, &counting) {
        differ.tell(workbench, &beside, &boards, &mut rebuild)?;
    }
    diff::sort(&mut rebuild.changes);
    rebuild.at_risk.sort_by(|(a, _), (b, _)| {
        let place = |of: &Change| rebuild.changes.iter().position(|change| change == of);
        place(a).cmp(&place(b))
    });
    if !differ.keeps_all(workbench, fresh.deck) {
        let mut built = as_built(workbench)?;
        if let Some(deck) = built.iter_mut().find(|d| d.deck == fresh.deck) {
            let texts = fresh.texts(workbench)?;
            let lines: Vec<&str> = fresh.lines(&texts).into_iter().map(|(_, l)| l).collect();
            deck.cards = decks::cards_of(&lines);
        }
        let then = workbench.with_decks(built);
        rebuild.losses = if workbench.standing.is_some() {
            let now = workbench.with_decks(as_built(workbench)?);
            losses(&now, &then, &rebuild.changes)?
        } else {
            losses(workbench, &then, &rebuild.changes)?
        };
    }
    Ok(rebuild)
}

/// Tells whether a deck that no one could read has been practised with.
fn is_unread(workbench: &Workbench, deck: &str) -> Result<bool, AppError> {
    let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
    let path = folder.deck(deck).map_err(StoreError::from)?;
    if !disk
        .exists(&path)
        .map_err(StoreError::io("look for", &path))?
    {
        return Ok(false);
    }
    let people = workbench.tapes.read_people(disk, folder)?;
    let answered = |read: &Tape| read.lines.iter().any(|l| matches!(l.what, What::Answer(_)));
    Ok(people
        .iter()
        .flat_map(|person| &person.journals)
        .any(|journal| answered(&journal.tape)))
}

/// What every scene of a comparison needs beside its cards.
struct Beside<'a> {
    made: &'a Made,
    lineage: Lineage,
    /// Numbers that a card before cites and that belong to a job that counts.
    elsewhere: BTreeSet<&'a str>,
    day: NaiveDate,
}

/// The cards of boards on which a line differs.
#[derive(Default)]
struct Differ {
    /// Cards of the deck before whose lines are in it no more.
    gone: Vec<Card>,
    /// Cards of the deck built anew whose lines are new.
    come: Vec<Card>,
    /// The other cards of the same boards.
    stay: Vec<Card>,
}

/// The cards of a board in the deck before and in the one built anew.
type Pair<'a> = (&'a str, Option<&'a Kept>, Option<&'a Kept>);

/// Returns the boards of both decks whose cards were made anew, where the deck before stands as it was
/// written and the index still has its cards.
fn pairs<'a>(workbench: &'a Workbench, fresh: &Fresh<'a>) -> Option<Vec<Pair<'a>>> {
    let standing = workbench.standing.as_deref().filter(|_| fresh.is_whole())?;
    let mut before: BTreeMap<&str, &Kept> = BTreeMap::new();
    for (id, mark) in &standing.boards {
        before.insert(id, fresh.made.before(id, mark)?);
    }
    let mut pairs: Vec<Pair<'_>> = Vec::new();
    for (id, after) in fresh.boards {
        let before = before.remove(id);
        if !before.is_some_and(|before| std::ptr::eq(before, *after)) {
            pairs.push((*id, before, Some(*after)));
        }
    }
    let gone = before.into_iter();
    pairs.extend(gone.map(|(id, before)| (id, Some(before), None)));
    Some(pairs)
}

/// Tells whether the deck on the disk has the very cards of the one built anew, without reading either;
/// it may say no where it has.
pub fn stands(workbench: &Workbench, fresh: &Fresh<'_>) -> bool {
    pairs(workbench, fresh).is_some_and(|pairs| pairs.is_empty())
}

fn differ_of(workbench: &Workbench, made: &Made, pairs: &[Pair<'_>]) -> Result<Differ, AppError> {
    let mut differ = Differ::default();
    let read = |kept: Option<&'_ Kept>| match kept {
        Some(kept) => text(workbench, made, kept).map(Cow::into_owned),
        None => Ok(String::new()),
    };
    for (_, before, after) in pairs {
        let texts = (read(*before)?, read(*after)?);
        let (before, after) = (lines(*before, &texts.0), lines(*after, &texts.1));
        let (there, here): (HashSet<&str>, HashSet<&str>) = (
            before.iter().copied().collect(),
            after.iter().copied().collect(),
        );
        let gone = before.iter().copied().filter(|line| !here.contains(line));
        let gone: Vec<&str> = gone.collect();
        let (stay, come): (Vec<&str>, Vec<&str>) =
            after.iter().partition(|line| there.contains(*line));
        if gone.is_empty() && come.is_empty() {
            continue;
        }
        differ.gone.extend(decks::cards_of(&gone));
        differ.come.extend(decks::cards_of(&come));
        differ.stay.extend(decks::cards_of(&stay));
    }
    Ok(differ)
}

fn lines<'a>(kept: Option<&'a Kept>, text: &'a str) -> Vec<&'a str> {
    let kept = kept.into_iter();
    kept.flat_map(|kept| kept.cards.lines(text, &[])).collect()
}

fn differ(workbench: &Workbench, fresh: &Fresh<'_>) -> Result<Differ, AppError> {
    let text = decks::text_of(workbench.disk.as_ref(), &workbench.folder, fresh.deck)?;
    let standing = text.as_deref().and_then(decks::lines_of);
    let written: Vec<String>;
    let before: Vec<&str> = if let Some(lines) = standing {
        lines
    } else {
        // Laid out by hand: written as it would be, it can be compared.
        let built = as_built(workbench)?;
        let cards = built.iter().filter(|d| d.deck == fresh.deck);
        written = cards.flat_map(|d| &d.cards).map(card::card_line).collect();
        written.iter().map(String::as_str).collect()
    };
    let texts = fresh.texts(workbench)?;
    let fresh_lines = fresh.lines(&texts);
    let after: Vec<&str> = fresh_lines.iter().map(|(_, line)| *line).collect();
    let same = before
        .iter()
        .zip(&after)
        .take_while(|(a, b)| a == b)
        .count();
    let before = &before[same..];
    let here: HashSet<&str> = after[same..].iter().copied().collect();
    let there: HashSet<&str> = before.iter().copied().collect();
    let lines: Vec<&str> = before
        .iter()
        .copied()
        .filter(|l| !here.contains(l))
        .collect();
    let gone = decks::cards_of(&lines);
    let is_new = |at: usize, line: &str| same <= at && !there.contains(line);
    let mut boards: HashSet<&str> = gone.iter().map(|card| card.board.as_str()).collect();
    let lines = || fresh_lines.iter().enumerate();
    boards.extend(lines().filter(|(at, l)| is_new(*at, l.1)).map(|(_, l)| l.0));
    // A lead may have sent a card to any board: then all of them are looked at.
    let sent = !workbench.edits.moves().is_empty();
    let (come, stay): (Vec<_>, Vec<_>) = lines()
        .filter(|(_, (board, _))| sent || boards.contains(board))
        .partition(|(at, (_, line))| is_new(*at, line));
    let cards = |of: Vec<(usize, &(&str, &str))>| {
        let lines: Vec<&str> = of.into_iter().map(|(_, (_, line))| *line).collect();
        decks::cards_of(&lines)
    };
    Ok(Differ {
        gone,
        come: cards(come),
        stay: cards(stay),
    })
}

impl Differ {
    /// Returns the boards that have to be looked at together: each by itself, unless a card may have gone
    /// from one to another. `now` has the boards of the jobs that the cards before cite.
    fn scenes(&self, workbench: &Workbench, now: &BTreeMap<&str, String>) -> Vec<BTreeSet<String>> {
        let differing = self.gone.iter().chain(&self.come);
        let boards: BTreeSet<String> = differing.map(|card| card.board.clone()).collect();
        let cited = |card: &Card| -> Vec<(String, String)> {
            let jobs = card.jobs.iter();
            jobs.map(|job| (job.clone(), card.board.clone())).collect()
        };
        let fixes = self.gone.iter().filter(|card| card.kind == CardKind::Fix);
        let cited: Vec<(String, String)> = fixes.flat_map(cited).collect();
        let moved = cited
            .iter()
            .filter(|(job, board)| now.get(job.as_str()).is_some_and(|now| now != board));
        let moved: Vec<String> = moved.map(|(job, _)| now[job.as_str()].clone()).collect();
        if workbench.edits.moves().is_empty() && moved.is_empty() {
            return boards.into_iter().map(|board| [board].into()).collect();
        }
        let stay = self.stay.iter().map(|card| card.board.clone());
        let all = boards.into_iter().chain(stay).chain(moved);
        vec![all.collect()]
    }

    /// Says what changed on some boards, and which units are at risk there.
    fn tell(
        &self,
        workbench: &Workbench,
        beside: &Beside<'_>,
        boards: &BTreeSet<String>,
        to: &mut Rebuild,
    ) -> Result<(), AppError> {
        let of = |cards: &[&Vec<Card>]| -> Vec<Card> {
            let cards = cards.iter().flat_map(|list| *list);
            cards
                .filter(|c| boards.contains(&c.board))
                .cloned()
                .collect()
        };
        let (before, after) = (of(&[&self.gone, &self.stay]), of(&[&self.come, &self.stay]));
        let found: Result<Vec<Arc<Found>>, AppError> = boards
            .iter()
            .map(|board| beside.made.jobs_of(workbench, board))
            .collect();
        let found = found?;
        let together: Vec<Job>;
        let jobs: &[Job] = if let [only] = found.as_slice() {
            &only.jobs
        } else {
            together = found.iter().flat_map(|f| f.jobs.clone()).collect();
            &together
        };
        let of_boards = beside
            .made
            .boards
            .iter()
            .filter(|(id, _)| boards.contains(id));
        let skipped: Vec<Skipped> = of_boards
            .flat_map(|(_, kept)| kept.skipped.clone())
            .collect();
        let changes = diff::diff(&Builds {
            before: &before,
            after: &after,
            lineage: &beside.lineage,
            jobs,
            elsewhere: &beside.elsewhere,
            skipped: &skipped,
        });
        let cards = cards_by_id(&before);
        let came_again = |job: &Job| found.iter().any(|f| f.came_again.contains(&job.job));
        for change in &changes {
            let card = cards.get(change.card.as_str());
            let Some(card) = card.filter(|_| !change.discredited.is_empty()) else {
                continue;
            };
            let fixes = &change.discredited;
            let among: Among<'_> = (jobs, &came_again);
            let found = of_fixes(workbench, card, fixes, among, beside.day);
            if !found.is_empty() {
                to.at_risk.push((change.clone(), found));
            }
        }
        to.changes.extend(changes);
        Ok(())
    }

    /// Tells whether every card of the deck before is there still and accepts the same, in use as before:
    /// then nobody can lose what was learned. It may say no where nothing is lost.
    fn keeps_all(&self, workbench: &Workbench, deck: &str) -> bool {
        let come = cards_by_id(&self.come);
        let gone = cards_by_id(&self.gone);
        let edited: HashSet<&str> = workbench.edits.all().map(|e| e.card.as_str()).collect();
        let others: HashSet<&str> = workbench
            .decks
            .iter()
            .filter(|d| d.deck != deck)
            .flat_map(|d| d.cards.iter().map(|card| card.id.as_str()))
            .collect();
        let apart = |id: &str| !edited.contains(id) && !others.contains(id);
        let kept = |old: &&Card| {
            let new = come.get(old.id.as_str());
            new.is_some_and(|new| new.accepted_mark() == old.accepted_mark())
        };
        gone.values().all(kept)
            && gone.keys().chain(come.keys()).all(|id| apart(id))
            && (edited.is_empty() || come.keys().all(|id| gone.contains_key(id)))
    }
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
    let mut leads = workbench.people()?;
    leads.retain(|person| person.post == Post::Lead);
    if person.is_some() {
        let person = workbench.person(person)?;
        if person.post != Post::Lead && !leads.is_empty() {
            return Err(AppError::NoLead {
                who: clean(&person.initials),
                leads: leads.iter().map(|lead| clean(&lead.initials)).collect(),
            });
        }
        return Ok(person.initials);
    }
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
    if card.kind != CardKind::Fix {
        return Ok(Vec::new());
    }
    let fixes: Vec<Fix> = card.answers.iter().map(Answer::fix).collect();
    let jobs = workbench.archive()?.jobs;
    let all: Vec<&Job> = jobs.iter().collect();
    let history = tier::History::of(&all);
    let again = |job: &Job| history.came_again(job);
    let day = workbench.day(now);
    Ok(of_fixes(workbench, card, &fixes, (&jobs, &again), day))
}

/// Jobs to look among, and what tells whether the unit of one came again.
pub type Among<'a> = (&'a [Job], &'a dyn Fn(&Job) -> bool);

/// Returns those of `among` that were closed with one of `fixes`, are like `card`, and are still under
/// warranty.
pub fn of_fixes(
    workbench: &Workbench,
    card: &Card,
    fixes: &[Fix],
    among: Among<'_>,
    as_of: NaiveDate,
) -> Vec<AtRisk> {
    let (jobs, came_again) = among;
    let board = workbench.boards.iter().find(|b| b.id == card.board);
    let warranty = Warranty {
        as_of,
        days: workbench.shop.warranty_days,
    };
    at_risk::at_risk(card, fixes, (jobs, board), (warranty, came_again))
}
