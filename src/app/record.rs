//! A person's record: what the journals of everyone add up to, from a count that was kept ready or
//! from the journals themselves.
//!
//! Everyone's journals are needed: a sitting may have been moved here from another name, and a card
//! that two people hold for doubtful leaves use for all. Whether a kept count can be believed is
//! `store/snapshot.rs`; here is what is asked of it and when it is kept. A kept count has no lines: what
//! looks at each of them asks for [`in_full`].

use std::collections::BTreeSet;
use std::collections::HashSet;
use std::hash::DefaultHasher;
use std::hash::Hash as _;
use std::hash::Hasher as _;
use std::sync::Arc;
use std::thread;

use chrono::DateTime;
use chrono::Days;
use chrono::NaiveDate;
use chrono::SecondsFormat;
use chrono::Utc;

use crate::app::gaps;
use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::circuit::FamilyId;
use crate::domain::desk::doubts;
use crate::domain::desk::doubts::Doubt;
use crate::domain::gaps::spots;
use crate::domain::gaps::spots::Answers;
use crate::domain::gaps::spots::Window;
use crate::domain::history::CardFacts as _;
use crate::domain::history::History;
use crate::domain::known_cards::KnownCards;
use crate::domain::names::Names;
use crate::domain::review::TagReason;
use crate::domain::tally::Seen;
use crate::domain::tally::Tally;
use crate::domain::tape;
use crate::domain::tape::Short;
use crate::domain::tape::Spot;
use crate::domain::tape::Tape;
use crate::domain::tape::What;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal_read::JournalRead;
use crate::store::side_by_side;
use crate::store::snapshot;
use crate::store::snapshot::Snapshot;
use crate::store::tapes::Whole;

/// What a person's journals add up to.
#[derive(Debug)]
pub struct Record {
    /// The fold.
    pub history: History,
    /// Cards that doubts take out of this person's drill: the person's own, and those that count for
    /// everyone.
    pub doubtful: BTreeSet<String>,
    /// Damage and odd clocks.
    pub faults: Vec<Fault>,
    /// What screens show of the answers of late.
    pub seen: Seen,
    /// When the person's last line counts.
    pub last: Option<DateTime<Utc>>,
}

/// Every line that is a person's, in merged order.
#[derive(Debug)]
pub struct Lines {
    spots: Vec<Spot>,
    /// The journals they stand in.
    journals: Vec<Arc<JournalRead>>,
}

/// Days of answers that are kept to be shown, for the window of the home screen on the days to come.
const KEPT_DAYS: u64 = 120;

/// A kept count is written anew once so many bytes of journals stand behind it.
const BEHIND: u64 = 2 << 20;

impl Record {
    /// Tells whether the person tagged the card out as not for them.
    pub(crate) fn is_not_for(&self, card: &str) -> bool {
        let tag = self.history.tags.get(card);
        tag.is_some_and(|(reason, _)| *reason == TagReason::NotForMe)
    }

    /// Returns the ids of the person's sittings, the latest first.
    pub fn sittings(&self) -> Vec<&str> {
        self.seen
            .sittings
            .iter()
            .rev()
            .map(String::as_str)
            .collect()
    }

    /// Returns the answers that measure within the [`gaps::DAYS`] days up to the `day` of the record,
    /// without what the memory model expected of them.
    pub fn measured_of_late(
        &self,
        family_of: &dyn Fn(&str) -> Option<FamilyId>,
        day: NaiveDate,
    ) -> Answers {
        let window = Window::last(gaps::DAYS, day);
        self.seen.answers(&self.history, family_of, window)
    }
}

impl Lines {
    /// Returns the person's answers in merged order: the bench day of each, the answer, and the names
    /// its numbers stand for.
    pub fn answers(
        &self,
    ) -> impl DoubleEndedIterator<Item = (NaiveDate, &Short, &Names)> + Clone + '_ {
        self.spots.iter().filter_map(|spot| {
            let tape = &self.journals[spot.tape].tape;
            match &tape.lines[spot.line].what {
                What::Answer(short) => Some((spot.day, short, &tape.names)),
                What::Other(_) => None,
            }
        })
    }

    /// Returns the answers of the person that measure, each with what the memory model expected where
    /// `replay` asks for it; see [`spots::answers`].
    pub fn measured(
        &self,
        facts: &Facts<'_>,
        family_of: &dyn Fn(&str) -> Option<FamilyId>,
        window: Window,
        replay: bool,
    ) -> Answers {
        let tapes: Vec<&Tape> = self.journals.iter().map(|read| &read.tape).collect();
        let lines = spots::Lines {
            places: &self.spots,
            tapes: &tapes,
        };
        spots::answers(lines, facts, family_of, window, replay)
    }
}

/// Returns the record of `person`, from a kept count where there is one to be believed; one is kept
/// where the journals are long.
pub fn record(workbench: &Workbench, person: &str, now: DateTime<Utc>) -> Result<Record, AppError> {
    let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
    let worth = workbench.tapes.worth_a_count();
    if snapshot::bytes_of_all(disk, folder).is_none_or(|bytes| bytes < worth) {
        return Ok(in_full(workbench, person, now)?.0);
    }
    let key = key(workbench);
    let day = workbench.day(now);
    let kept = thread::scope(|scope| {
        let deck = scope.spawn(|| deck_mark(workbench));
        let deck = || deck.join().unwrap_or(0);
        match snapshot::load(disk, folder, &workbench.tapes, person, &key) {
            Some(found) => Ok(brought_up_to(workbench, found, deck(), day, &key)),
            // Nobody waits for the mark of the decks: the journals take longer.
            None => anew(workbench, person, deck, day, &key).map(Some),
        }
    })?;
    let kept = match kept {
        Some(kept) => kept,
        None => anew(workbench, person, || deck_mark(workbench), day, &key)?,
    };
    finish(workbench, kept, now)
}

/// Counts everyone's journals anew, and keeps the count where all of them were read whole.
fn anew(
    workbench: &Workbench,
    person: &str,
    deck: impl FnOnce() -> u64,
    day: NaiveDate,
    key: &str,
) -> Result<Snapshot, AppError> {
    let (read, faults) = Read::all(workbench)?;
    let (counted, _) = count(workbench, &read, faults, person, day);
    let kept = kept(counted, deck(), &read);
    if read.wholes.iter().all(Option::is_some) {
        let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
        snapshot::save(disk, folder, &kept, key);
    }
    Ok(kept)
}

/// Returns what would be kept of everyone's journals now.
#[cfg(test)]
pub(crate) fn counted(
    workbench: &Workbench,
    person: &str,
    now: DateTime<Utc>,
) -> Result<Snapshot, AppError> {
    let (read, faults) = Read::all(workbench)?;
    let (counted, _) = count(workbench, &read, faults, person, workbench.day(now));
    Ok(kept(counted, deck_mark(workbench), &read))
}

/// Returns the record of `person` with every line, from the journals.
pub fn in_full(
    workbench: &Workbench,
    person: &str,
    now: DateTime<Utc>,
) -> Result<(Record, Lines), AppError> {
    let (read, faults) = Read::all(workbench)?;
    let (counted, spots) = count(workbench, &read, faults, person, workbench.day(now));
    let record = finish(workbench, kept(counted, 0, &read), now)?;
    let journals = read.journals;
    Ok((record, Lines { spots, journals }))
}

/// Everyone's journals.
struct Read {
    journals: Vec<Arc<JournalRead>>,
    wholes: Vec<Option<Whole>>,
    regular: bool,
}

impl Read {
    fn all(workbench: &Workbench) -> Result<(Self, Vec<Fault>), AppError> {
        let mut faults = Vec::new();
        let mut read = Self {
            journals: Vec::new(),
            wholes: Vec::new(),
            regular: true,
        };
        let disk = workbench.disk.as_ref();
        for person in workbench.tapes.read_people(disk, &workbench.folder)? {
            faults.extend(person.faults);
            read.journals.extend(person.journals);
            read.wholes.extend(person.wholes);
            read.regular &= person.regular;
        }
        Ok((read, faults))
    }
}

/// A count, damage found on the way, and the cards that accept something else now.
struct Count {
    tally: Tally,
    faults: Vec<Fault>,
    corrected: Vec<u32>,
}

fn count(
    workbench: &Workbench,
    read: &Read,
    faults: Vec<Fault>,
    person: &str,
    day: NaiveDate,
) -> (Count, Vec<Spot>) {
    let tapes: Vec<&Tape> = read.journals.iter().map(|read| &read.tape).collect();
    let facts = Facts::of(workbench);
    let from = day
        .checked_sub_days(Days::new(KEPT_DAYS))
        .unwrap_or(NaiveDate::MIN);
    let threads = side_by_side::threads();
    let lines: usize = tapes.iter().map(|tape| tape.lines.len()).sum();
    let (tally, spots) = thread::scope(|scope| {
        // Putting lines in order keeps one thread busy; what all cards accept is asked for next.
        if 1 < threads && facts.len() < lines {
            scope.spawn(|| facts.work_out_accepted());
        }
        Tally::of(person, &tapes, &facts, from, read.regular, threads)
    });
    let count = Count {
        corrected: corrected(&facts, &tally.history.cards),
        tally,
        faults,
    };
    (count, spots)
}

/// Returns the places of cards that accept something else now than at their last answer.
fn corrected(facts: &Facts<'_>, cards: &KnownCards) -> Vec<u32> {
    let all = cards.iter().zip(0..);
    let other = all.filter(|((id, known), _)| accepts_other(facts, id, &known.accepted));
    other.map(|(_, number)| number).collect()
}

fn accepts_other(facts: &Facts<'_>, id: &str, accepted: &str) -> bool {
    facts.accepted(id).is_some_and(|now| now != accepted)
}

fn kept(count: Count, deck: u64, read: &Read) -> Snapshot {
    let ends = read.journals.iter().zip(&read.wholes);
    Snapshot::of(
        count.tally,
        count.faults,
        (deck, count.corrected),
        ends.filter_map(|(read, whole)| Some((read.as_ref(), whole.as_ref()?))),
    )
}

/// Adds the lines that stand behind a kept count, and looks again which cards accept something else
/// now; none where all has to be counted anew.
fn brought_up_to(
    workbench: &Workbench,
    mut found: snapshot::Found,
    deck: u64,
    day: NaiveDate,
    key: &str,
) -> Option<Snapshot> {
    let window = Window::last(gaps::DAYS, day);
    found.snapshot.tally.seen.covers(window).then_some(())?;
    let tails: Vec<&Tape> = found.tails.iter().map(|read| &read.tape).collect();
    let ids = Facts::ids(workbench);
    let mut answered = HashSet::new();
    for tail in &tails {
        for line in &tail.lines {
            if let What::Answer(short) = &line.what {
                answered.insert(ids.current_id(tail.names.get(short.card)));
            }
        }
    }
    let snapshot = &mut found.snapshot;
    let tally = std::mem::replace(&mut snapshot.tally, Tally::empty());
    snapshot.tally = tally.add(&tails, &ids)?;
    let cards = &snapshot.tally.history.cards;
    if snapshot.deck == deck {
        let facts = Facts::among(workbench, &answered);
        let stale = |number: &u32| {
            let card = cards.at(*number as usize);
            card.is_none_or(|(id, _)| answered.contains(id))
        };
        snapshot.corrected.retain(|number| !stale(number));
        for id in &answered {
            if let Some(number) = cards.number(id)
                && accepts_other(&facts, id, &cards[id].accepted)
            {
                snapshot.corrected.extend(u32::try_from(number));
            }
        }
    } else {
        let facts = Facts::of(workbench);
        snapshot.corrected = corrected(&facts, cards);
    }
    if snapshot.deck != deck || BEHIND < found.more {
        snapshot.deck = deck;
        found.all_counted();
        let (disk, folder) = (workbench.disk.as_ref(), &workbench.folder);
        snapshot::save(disk, folder, &found.snapshot, key);
    }
    Some(found.snapshot)
}

/// Makes a record of a count.
fn finish(
    workbench: &Workbench,
    snapshot: Snapshot,
    now: DateTime<Utc>,
) -> Result<Record, AppError> {
    let Snapshot {
        tally,
        mut faults,
        corrected,
        ..
    } = snapshot;
    let last = tally.last.as_ref().map(|(at, ..)| *at);
    let mut history = tally.history;
    for number in corrected {
        if let Some(card) = history.cards.at_mut(number as usize) {
            card.correct();
        }
    }
    for (warning, numbers) in &tally.odd {
        faults.push(Fault::warning(
            &workbench
                .folder
                .journal(&warning.person, &warning.bench)
                .map_err(StoreError::from)?,
            format!("seq {numbers}: {}", warning.why),
            "look at that computer's clock",
        ));
    }
    if let Some((last, bench, _, folder)) = tally.last
        && last > now
    {
        let journal = workbench.folder.journal(&folder, &bench);
        faults.push(Fault::warning(
            &journal.map_err(StoreError::from)?,
            format!(
                "the last review is stamped {}, later than now: until then its cards count as just seen",
                last.to_rfc3339_opts(SecondsFormat::Secs, true)
            ),
            "look at that computer's clock, and at this one's",
        ));
    }
    let standing = standing(workbench, tally.doubts);
    let mut doubtful = doubts::out_for_all(&standing, &workbench.leads()?);
    let own = standing
        .into_iter()
        .filter(|doubt| doubt.person == tally.person);
    doubtful.extend(own.map(|doubt| doubt.card));
    Ok(Record {
        history,
        doubtful,
        faults,
        seen: tally.seen,
        last,
    })
}

/// Returns the cards that so many people, or a lead, hold for doubtful that nobody is asked them.
pub(crate) fn doubted_by_all(workbench: &Workbench) -> Result<BTreeSet<String>, AppError> {
    let people = workbench
        .tapes
        .read_people(workbench.disk.as_ref(), &workbench.folder)?;
    let journals = people.iter().flat_map(|person| &person.journals);
    let tapes: Vec<&Tape> = journals.map(|read| &read.tape).collect();
    let standing = standing_doubts(workbench, &tapes, &Facts::ids(workbench));
    Ok(doubts::out_for_all(&standing, &workbench.leads()?))
}

/// Returns the doubts that no lead has ruled on since.
pub(crate) fn standing_doubts(
    workbench: &Workbench,
    tapes: &[&Tape],
    facts: &Facts<'_>,
) -> Vec<Doubt> {
    standing(workbench, tape::doubts(tapes, facts))
}

fn standing(workbench: &Workbench, doubts: Vec<Doubt>) -> Vec<Doubt> {
    doubts::standing(doubts, &|card| workbench.edits.ruled(card))
}

/// Everything beside the journals that a count depends on: under which id a card is known by now.
pub(crate) fn key(workbench: &Workbench) -> String {
    let mut hasher = DefaultHasher::new();
    workbench.edits.aliases().hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

/// Returns a mark that differs where a card accepts something else, is used no more, or is new.
fn deck_mark(workbench: &Workbench) -> u64 {
    let mut hasher = DefaultHasher::new();
    workbench.edits.aliases().hash(&mut hasher);
    workbench.edits.out().hash(&mut hasher);
    for card in workbench.decks.iter().flat_map(|deck| &deck.cards) {
        card.id.hash(&mut hasher);
        card.hash_accepted(&mut hasher);
    }
    hasher.finish()
}

#[cfg(test)]
#[path = "record_tests.rs"]
mod tests;
