//! What a person's journals add up to: memory of every card, tags, pace.
//!
//! State is a fold over the union of all journals: the same lines give the same state, whatever the
//! order in which they arrived. Journals merge by effective time, the running maximum of `at` within
//! each journal; ties by bench, then `seq`.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::VecDeque;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::calendar;
use crate::domain::card::Card;
use crate::domain::desk::doubts::Doubt;
use crate::domain::desk::doubts::Tags;
use crate::domain::ids;
use crate::domain::in_force;
use crate::domain::in_force::Effect;
use crate::domain::known_cards::KnownCards;
use crate::domain::manner::Asking;
use crate::domain::manner::Manner;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::review::Answered;
use crate::domain::review::Entry;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::TagReason;
use crate::domain::spread;
use crate::domain::spread::Load;
use crate::domain::stamps;
use crate::domain::stamps::Onward;

/// The lines of one journal, in `seq` order.
#[derive(Clone, Debug, PartialEq)]
pub struct JournalLines {
    /// Person folder it lies in.
    pub person: String,
    /// Bench that wrote it.
    pub bench: String,
    /// Its lines.
    pub entries: Vec<Entry>,
}

/// Something odd about a journal's clock, for people to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockWarning {
    /// Person folder.
    pub person: String,
    /// Bench.
    pub bench: String,
    /// Line's place in its journal.
    pub seq: u64,
    /// What is odd.
    pub why: String,
    /// The line was given another time.
    pub moved: bool,
}

/// An entry at its place in the merged order.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Effective time.
    pub effective: DateTime<Utc>,
    /// Bench day, corrected where the stamp could not be right.
    pub day: NaiveDate,
    /// Person folder the line lies in.
    pub folder: String,
    /// It is the person's own; else it is a fit of someone else.
    pub own: bool,
    /// The line.
    pub entry: Entry,
}

/// Returns the lines that belong to `person`, in merged order, and what is odd about the clocks.
///
/// The fits of everyone else are among them: what they come to counts for whoever has none. A line taken
/// back by an undo is gone; a moved sitting belongs to the person it was moved to (the
/// last move of a sitting counts). `all` holds the journals of everyone, since a sitting may have
/// been kept in another person's folder.
pub fn lines_of(person: &str, all: &[JournalLines]) -> (Vec<Placed>, Vec<ClockWarning>) {
    let mut warnings = Vec::new();
    let mut placed: Vec<Placed> = Vec::new();
    for journal in all {
        place(journal, &mut placed, &mut warnings);
    }
    placed.sort_by(|a, b| {
        a.effective
            .cmp(&b.effective)
            .then_with(|| a.entry.bench.cmp(&b.entry.bench))
            .then_with(|| a.entry.seq.cmp(&b.entry.seq))
            .then_with(|| a.folder.cmp(&b.folder))
    });
    let cancelled = cancelled(&placed);
    placed.retain(|p| {
        !cancelled.contains(&p.entry.id) && !matches!(p.entry.event, Event::Undo { .. })
    });
    let mut owner: BTreeMap<String, String> = BTreeMap::new();
    for p in &placed {
        if let Event::Move { sitting, to } = &p.entry.event {
            owner.insert(sitting.clone(), to.clone());
        }
    }
    placed.retain_mut(|p| {
        p.own = match &p.entry.event {
            Event::Answer(a) => owner.get(&a.sitting).unwrap_or(&p.folder) == person,
            _ => p.folder == person,
        };
        p.own || p.entry.event.fit().is_some()
    });
    (placed, warnings)
}

/// Gives every line of one journal its effective time and day.
///
/// A stamp that contradicts the believable lines around it by more than a day is reported and takes
/// its predecessor's time and day (the first line: its successor's).
fn place(journal: &JournalLines, placed: &mut Vec<Placed>, warnings: &mut Vec<ClockWarning>) {
    let stamps: Vec<(DateTime<Utc>, NaiveDate)> =
        journal.entries.iter().map(|e| (e.at, e.day)).collect();
    let mut odd = |line: usize, taken_as: Option<DateTime<Utc>>| {
        let entry = &journal.entries[line];
        warnings.push(ClockWarning::of(
            &journal.person,
            &journal.bench,
            entry.seq,
            entry.at,
            taken_as,
        ));
    };
    let (times, _) = effective(&stamps, &mut odd);
    for (entry, (effective, day)) in journal.entries.iter().zip(times) {
        placed.push(Placed {
            effective,
            day,
            folder: journal.person.clone(),
            own: false,
            entry: entry.clone(),
        });
    }
}

impl ClockWarning {
    /// Returns the warning about line `seq`, stamped `at` and taken as another time, or as it is though it
    /// is too early to be true.
    pub(crate) fn of(
        person: &str,
        bench: &str,
        seq: u64,
        at: DateTime<Utc>,
        taken_as: Option<DateTime<Utc>>,
    ) -> Self {
        let stamped = at.format("%Y-%m-%d %H:%M");
        let why = match taken_as {
            Some(taken_as) => format!(
                "stamped {stamped}, more than a day out of order with its neighbours; taken as {}",
                taken_as.format("%Y-%m-%d %H:%M")
            ),
            None => format!(
                "stamped {stamped}, before there was this program; its cards count as not seen since then"
            ),
        };
        Self {
            person: person.to_owned(),
            bench: bench.to_owned(),
            seq,
            why,
            moved: taken_as.is_some(),
        }
    }
}

/// Returns one warning for each unbroken run of lines of one journal, with the numbers it is about:
/// a clock that was wrong for a month is one thing to look at, not a thousand.
pub fn runs(warnings: &[ClockWarning]) -> Vec<(&ClockWarning, String)> {
    warnings
        .chunk_by(|a, b| {
            let same = a.person == b.person && a.bench == b.bench && a.moved == b.moved;
            same && a.seq + 1 == b.seq
        })
        .filter_map(|run| Some((run.first()?, run.last()?)))
        .map(|(first, last)| (first, numbers_of(first.seq, last.seq)))
        .collect()
}

/// Returns how a run of lines is called by its numbers.
pub(crate) fn numbers_of(first: u64, last: u64) -> String {
    if first == last {
        first.to_string()
    } else {
        format!("{first} to {last}, the first")
    }
}

/// Returns the effective time and the day of every line of one journal, from their stamps, and what
/// its clock asks of the next line; `odd` is told of each line that cannot be believed, and of the time
/// it is given instead, or of none where it is too early to be true and nothing says better.
pub(crate) fn effective(
    lines: &[(DateTime<Utc>, NaiveDate)],
    odd: &mut dyn FnMut(usize, Option<DateTime<Utc>>),
) -> (Vec<(DateTime<Utc>, NaiveDate)>, Onward) {
    let stamps: Vec<DateTime<Utc>> = lines.iter().map(|(at, _)| *at).collect();
    let (wrong, onward) = stamps::judge(&stamps);
    let mut running: Option<(DateTime<Utc>, NaiveDate)> = None;
    let mut found = Vec::with_capacity(lines.len());
    for (i, &line) in lines.iter().enumerate() {
        let (at, day) = if wrong[i] {
            let next = || (i + 1..wrong.len()).find(|&j| !wrong[j]).map(|j| lines[j]);
            let (at, day) = running.or_else(next).unwrap_or(line);
            odd(i, Some(at));
            (at, day)
        } else {
            if stamps::too_early(line.0) {
                odd(i, None);
            }
            line
        };
        let effective = running.map_or(at, |(before, _)| before.max(at));
        running = Some((effective, day));
        found.push((effective, day));
    }
    (found, onward)
}

/// Returns the ids taken back; an undo that was itself undone takes nothing back.
fn cancelled(placed: &[Placed]) -> BTreeSet<String> {
    let mut gone = BTreeSet::new();
    for p in placed.iter().rev() {
        if let Event::Undo { of } = &p.entry.event
            && !gone.contains(&p.entry.id)
        {
            gone.insert(of.clone());
        }
    }
    gone
}

/// What a person's reviews did to one card.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CardHistory {
    /// Memory; none until the first review that counts.
    pub memory: Option<Memory>,
    /// Bench day of the last review that counted.
    pub reviewed_on: Option<NaiveDate>,
    /// Bench day of the last answer of any kind.
    pub seen_on: Option<NaiveDate>,
    /// Bench day of the first answer of any kind.
    pub met_on: Option<NaiveDate>,
    /// Bench day of the last right answer.
    pub right_on: Option<NaiveDate>,
    /// Reviews that counted.
    pub reviews: u32,
    /// The first guess was wrong and no review has counted yet.
    pub guessed_wrong: bool,
    /// Mark of what the card accepted at the last answer.
    pub accepted: String,
    /// What the card accepts has changed since the person last answered.
    pub corrected: bool,
}

/// Everything the program knows of one person's practice.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    /// By card id.
    pub cards: KnownCards,
    /// Tags in force, by card id.
    pub tags: BTreeMap<String, (TagReason, String)>,
    /// Answers to spot checks by family: how many.
    pub spot_checks: BTreeMap<String, usize>,
    /// How fast this person is.
    pub pace: Pace,
    /// How the person answers lately.
    pub manner: Manner,
    /// Parameters of the memory model in force.
    pub weights: Weights,
    /// How many reviews there are to fit them to.
    pub scored: Scored,
}

/// How many of a person's reviews are scored when the memory model is fitted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Scored {
    /// All of them.
    pub reviews: usize,
    /// Those before the last fit that took effect; none without one.
    pub at_fit: Option<usize>,
}

/// What an answer was to the memory of its card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Counted {
    /// Nothing.
    Not,
    /// The first review.
    Began,
    /// A later review, so many days after the one before.
    After(u32),
}

impl Counted {
    /// Returns what becomes of a memory by it.
    pub(crate) fn remembered(
        self,
        memory: Option<Memory>,
        grade: Grade,
        weights: &Weights,
    ) -> Option<Memory> {
        match (self, memory) {
            (Self::Not, memory) => memory,
            (Self::After(days), Some(memory)) => Some(memory::next(weights, memory, days, grade)),
            (Self::Began | Self::After(_), _) => Some(memory::first(weights, grade)),
        }
    }

    /// Tells whether its outcome is scored: one of the same day says nothing of forgetting, and a brief
    /// counts its misses only.
    pub(crate) fn is_scored(self, mode: Mode) -> bool {
        mode != Mode::Brief && matches!(self, Self::After(days) if 0 < days)
    }
}

/// The current identity of a card, for the fold.
pub trait CardFacts {
    /// Returns the id a card is known by now (merges leave aliases).
    fn current_id<'a>(&'a self, id: &'a str) -> &'a str;
    /// Returns the mark of what the card accepts now; none if it is in no deck.
    fn accepted(&self, id: &str) -> Option<&str>;
}

impl History {
    /// Returns the practice of someone who has answered nothing.
    pub fn new(weights: Weights) -> Self {
        Self {
            cards: KnownCards::default(),
            tags: BTreeMap::new(),
            spot_checks: BTreeMap::new(),
            pace: Pace::default(),
            manner: Manner::default(),
            weights,
            scored: Scored::default(),
        }
    }

    /// Returns the state that `lines` (in merged order) add up to.
    pub fn fold(lines: &[Placed], facts: &dyn CardFacts) -> Self {
        let effects = lines.iter().filter_map(|line| {
            let weights = line.entry.event.fit()?;
            Some(Effect {
                person: &line.folder,
                own: line.own,
                weights,
            })
        });
        let (weights, _) = in_force::weights(effects);
        let mut history = Self::new(weights);
        for line in lines.iter().filter(|line| line.own) {
            history.apply(&line.entry.event, line.day, facts);
        }
        history.look_for_corrections(facts);
        history
    }

    /// Starts every card again that accepts something else now than at its last answer.
    pub(crate) fn look_for_corrections(&mut self, facts: &dyn CardFacts) {
        for number in 0..self.cards.len() {
            self.look_for_correction(number, facts);
        }
    }

    /// Starts the card at a place again where it accepts something else now; tells whether it does.
    pub(crate) fn look_for_correction(&mut self, number: usize, facts: &dyn CardFacts) -> bool {
        let Some((id, known)) = self.cards.at(number) else {
            return false;
        };
        let corrected = facts.accepted(id).is_some_and(|now| now != known.accepted);
        if corrected && let Some(card) = self.cards.at_mut(number) {
            card.correct();
        }
        corrected
    }

    /// Adds one event of the person's own that happened on `day`; a fit changes nothing said before it.
    pub fn apply(&mut self, event: &Event, day: NaiveDate, facts: &dyn CardFacts) {
        match event {
            Event::Answer(answered) => self.answer(answered, day, facts),
            Event::Tag { card, reason, note } => {
                let id = facts.current_id(card).to_owned();
                self.tags.insert(id, (*reason, note.clone()));
            }
            Event::Untag { card, .. } => {
                self.tags.remove(facts.current_id(card));
            }
            Event::Weights { weights } => {
                if Weights::new(**weights).is_ok() {
                    self.scored.at_fit = Some(self.scored.reviews);
                }
            }
            Event::Undo { .. } | Event::Move { .. } => {}
        }
    }

    fn answer(&mut self, answered: &Answered, day: NaiveDate, facts: &dyn CardFacts) {
        let at = self.cards.number_or_new(facts.current_id(&answered.card));
        if answered.mode == Mode::SpotCheck
            && let Some((asked, _)) = &answered.circuit
        {
            *self.spot_checks.entry(asked.clone()).or_default() += 1;
        }
        self.pace.add(answered);
        let Some(card) = self.cards.at_mut(at) else {
            return;
        };
        let other = card.accepted != answered.accepted;
        if let Some(asking) = card.asking(other, answered.mode, day) {
            let asks_circuit = answered.circuit.is_some();
            self.manner
                .take(asking, asks_circuit, answered.grade, answered.ms);
        }
        let counted = card.answer(answered, day, &self.weights);
        self.scored.reviews += usize::from(counted.is_scored(answered.mode));
    }

    /// Returns the chance that the person recalls the card on `day`; none before its first review.
    pub fn recall(&self, card: &str, day: NaiveDate) -> Option<f64> {
        self.recall_of(self.cards.get(card)?, day)
    }

    /// Returns the chance that the person recalls the card of this history on `day`.
    pub fn recall_of(&self, card: &CardHistory, day: NaiveDate) -> Option<f64> {
        let memory = card.memory?;
        let elapsed = calendar::elapsed(card.reviewed_on?, day);
        Some(memory::recall(
            &self.weights,
            memory.stability,
            f64::from(elapsed),
        ))
    }

    /// Returns a history that knows only `card`, to look ahead with.
    #[must_use]
    pub fn only(&self, card: &str) -> Self {
        let mut only = Self::new(self.weights.clone());
        if let Some(known) = self.cards.get(card) {
            only.cards.insert(card, known.clone());
        }
        only
    }

    /// Returns how many cards are expected on each day from `day` on, by when recall will have fallen to
    /// `target`; `but` is left out.
    pub fn load(&self, day: NaiveDate, target: f64, but: Option<&str>) -> Load {
        let of_one_day = memory::interval_exact(&self.weights, 1.0, target);
        let mut load = Load::new(day);
        for (id, card) in self.cards.iter() {
            if let (Some(memory), Some(on)) = (card.memory, card.reviewed_on)
                && but.is_none_or(|but| but != id)
            {
                load.add(on, memory::whole_days(memory.stability * of_one_day));
            }
        }
        load
    }

    /// Returns the forecast of days until the card's next asking, spread by a seed made from the card
    /// and its number of reviews, and by the load of the other cards; none before its first review.
    pub fn next_days(&self, card: &str, target: f64, load: &Load) -> Option<u32> {
        self.next_days_of(card, self.cards.get(card)?, target, load)
    }

    /// Returns the forecast for the card of this history.
    pub fn next_days_of(
        &self,
        card: &str,
        history: &CardHistory,
        target: f64,
        load: &Load,
    ) -> Option<u32> {
        let memory = history.memory?;
        Some(spread::spread_days(
            &self.weights,
            memory.stability,
            target,
            spread_seed(card, history),
            (history.reviewed_on?, load),
        ))
    }

    /// Returns what the person did with each of `cards`, in their order.
    pub fn of_cards(&self, cards: &[&Card]) -> Vec<Option<&CardHistory>> {
        cards.iter().map(|card| self.cards.get(&card.id)).collect()
    }

    /// Tells whether the person has answered the card at least once.
    pub fn met(&self, card: &str) -> bool {
        self.cards.get(card).is_some_and(|c| c.seen_on.is_some())
    }

    /// Returns how many cards the person met for the first time on `day`.
    pub fn met_on(&self, day: NaiveDate) -> usize {
        self.cards
            .values()
            .filter(|c| c.met_on == Some(day))
            .count()
    }
}

/// Returns the seed by which the forecast of a card is spread: made from it and its number of reviews.
pub(crate) fn spread_seed(card: &str, history: &CardHistory) -> u64 {
    ids::seed([card, &history.reviews.to_string()])
}

impl CardHistory {
    /// Starts again: the card accepts something else now than when it was last answered.
    pub(crate) fn correct(&mut self) {
        self.start_again();
        self.corrected = true;
    }

    fn start_again(&mut self) {
        self.memory = None;
        self.reviewed_on = None;
        self.right_on = None;
        self.reviews = 0;
        self.guessed_wrong = false;
    }

    fn answer(&mut self, answered: &Answered, day: NaiveDate, weights: &Weights) -> Counted {
        let other = self.accepted != answered.accepted;
        let counted = self.take(other, answered.mode, answered.grade, day, weights);
        self.accepted.clone_from(&answered.accepted);
        counted
    }

    /// Returns which asking of the card an answer on `day` is to, before it is added; none for a refresh
    /// before a board. `other` says that the card accepted something else at the answer before.
    pub(crate) fn asking(&self, other: bool, mode: Mode, day: NaiveDate) -> Option<Asking> {
        let met = self.seen_on.is_some() && !other;
        let fading = self.reviewed_on.is_some() && self.seen_on != Some(day);
        match mode {
            Mode::Brief => None,
            _ if !met => Some(Asking::First),
            _ if fading => Some(Asking::Review),
            _ => Some(Asking::Again),
        }
    }

    /// Adds one answer and returns what it was to memory; `other` says that the card accepted something
    /// else at the answer before.
    ///
    /// The mark of what it accepts is left to the caller.
    pub(crate) fn take(
        &mut self,
        other: bool,
        mode: Mode,
        grade: Grade,
        day: NaiveDate,
        weights: &Weights,
    ) -> Counted {
        let counted = self.count(other, mode, grade, day);
        self.memory = counted.remembered(self.memory, grade, weights);
        counted
    }

    /// Adds one answer as [`Self::take`] does, but for what becomes of a memory by it: that is
    /// [`Counted::remembered`], and none where the card has no review that counted.
    pub(crate) fn count(
        &mut self,
        other: bool,
        mode: Mode,
        grade: Grade,
        day: NaiveDate,
    ) -> Counted {
        let changed = self.seen_on.is_some() && other;
        if changed {
            self.start_again();
        }
        let first_meeting = self.seen_on.is_none() || changed;
        self.corrected = false;
        self.seen_on = Some(self.seen_on.map_or(day, |seen| seen.max(day)));
        self.met_on.get_or_insert(day);
        let recalled = grade.recalled();
        if recalled {
            self.right_on = Some(day);
        }
        if mode == Mode::Brief && recalled {
            return Counted::Not;
        }
        if first_meeting && !recalled {
            self.guessed_wrong = true;
            return Counted::Not;
        }
        let counted = match self.reviewed_on {
            Some(last) => Counted::After(calendar::elapsed(last, day)),
            None => Counted::Began,
        };
        self.reviewed_on = Some(self.reviewed_on.map_or(day, |last| last.max(day)));
        self.reviews += 1;
        self.guessed_wrong = false;
        counted
    }
}

/// How many right answers must be there before time enters a grade.
///
/// Common practice, no source.
pub const RIGHT_ANSWERS_FOR_TIME: usize = 20;

/// How many of the latest answers a pace is taken over.
const PACE_WINDOW: usize = 200;

/// Seconds a card is expected to take before the person has answered any.
///
/// Common practice, no source: 20 to 40 short cards fill a quarter of an hour.
pub const SECONDS_AT_FIRST: f64 = 30.0;

/// A person's own speed, over the latest answers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pace {
    totals: VecDeque<u64>,
    right: VecDeque<u64>,
}

impl Pace {
    fn add(&mut self, answered: &Answered) {
        let right = answered.grade.recalled() && answered.verdict.fix != Some(false);
        self.take(answered.ms, right);
    }

    /// Adds the time of one answer.
    pub(crate) fn take(&mut self, ms: Millis, right: bool) {
        push(&mut self.totals, capped(ms));
        if right {
            push(&mut self.right, ms.thinking());
        }
    }

    /// Returns the latest times: of every answer, and of right ones, the oldest first.
    pub(crate) fn windows(&self) -> [&VecDeque<u64>; 2] {
        [&self.totals, &self.right]
    }

    /// Returns the pace of these latest times.
    pub(crate) fn of_windows(totals: Vec<u64>, right: Vec<u64>) -> Self {
        Self {
            totals: totals.into(),
            right: right.into(),
        }
    }

    /// Adds the time of one card without an answer record (for the sitting under way).
    pub fn seconds_with(&self, sitting: &[Millis]) -> f64 {
        let mut all = self.totals.clone();
        for ms in sitting {
            push(&mut all, capped(*ms));
        }
        seconds(&all)
    }

    /// Returns the expected seconds for one card, reading of the verdict included.
    pub fn seconds(&self) -> f64 {
        seconds(&self.totals)
    }

    /// Returns the median milliseconds to a right answer, once there are enough of them.
    pub fn median_right(&self) -> Option<u64> {
        (self.right.len() >= RIGHT_ANSWERS_FOR_TIME).then(|| median(&self.right))
    }
}

/// A card that took longer was left lying: nobody's pace.
const LONGEST_CARD_MS: u64 = 600_000;

fn capped(ms: Millis) -> u64 {
    ms.total().min(LONGEST_CARD_MS)
}

fn push(window: &mut VecDeque<u64>, value: u64) {
    if window.len() == PACE_WINDOW {
        window.pop_front();
    }
    window.push_back(value);
}

/// Blends the person's median with the value used at first, which counts as four answers.
fn seconds(totals: &VecDeque<u64>) -> f64 {
    if totals.is_empty() {
        return SECONDS_AT_FIRST;
    }
    #[expect(clippy::cast_precision_loss, reason = "milliseconds of one card")]
    let own = median(totals) as f64 / 1000.0;
    let n = crate::domain::units::count(totals.len());
    ((own * n + SECONDS_AT_FIRST * 4.0) / (n + 4.0)).max(2.0)
}

/// Returns the median of `values`, of which there is at least one.
pub(crate) fn median<'a>(values: impl IntoIterator<Item = &'a u64>) -> u64 {
    let mut sorted: Vec<u64> = values.into_iter().copied().collect();
    sorted.sort_unstable();
    let middle = sorted.len() / 2;
    if sorted.len() % 2 == 1 {
        sorted[middle]
    } else {
        u64::midpoint(sorted[middle - 1], sorted[middle])
    }
}

/// Returns every doubt in force, by card and person.
pub fn doubts(all: &[JournalLines], facts: &dyn CardFacts) -> Vec<Doubt> {
    let people: BTreeSet<&str> = all.iter().map(|j| j.person.as_str()).collect();
    let mut found = Vec::new();
    for person in people {
        let of_person = || all.iter().filter(|j| j.person == person);
        let is_tag = |entry: &Entry| matches!(entry.event, Event::Tag { .. });
        // Most people never tag a card: their lines need no ordering.
        if !of_person().flat_map(|j| &j.entries).any(is_tag) {
            continue;
        }
        let own: Vec<JournalLines> = of_person().cloned().collect();
        let mut tags = Tags::default();
        for line in lines_of(person, &own).0 {
            let when = (person, line.effective, line.day);
            let id = |card: &str| facts.current_id(card).to_owned();
            tags.take(when, &line.entry.event, id);
        }
        found.extend(tags.doubts());
    }
    found.sort();
    found
}

#[cfg(test)]
#[path = "history_tests.rs"]
mod tests;
