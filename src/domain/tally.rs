//! The count so far: what a person's journals add up to, kept so that later lines can be added to it.
//!
//! Adding lines gives what folding all of them anew gives, or says that it cannot: when a clock makes
//! earlier stamps doubtful, when a line belongs before one that was counted, or when an event (a move,
//! weights, a tag, the undo of a counted line) reaches back. Laws at the end hold the two against each
//! other. What cards accept now stays out of it, so a changed deck costs no reading of journals.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::circuit::FamilyId;
use crate::domain::desk::doubts::Doubt;
use crate::domain::gaps::spots;
use crate::domain::gaps::spots::Answers;
use crate::domain::gaps::spots::Window;
use crate::domain::history;
use crate::domain::history::CardFacts;
use crate::domain::history::CardHistory;
use crate::domain::history::ClockWarning;
use crate::domain::history::History;
use crate::domain::in_force;
use crate::domain::known_cards::KnownCards;
use crate::domain::memory::Weights;
use crate::domain::merged;
use crate::domain::merged::Odd;
use crate::domain::names::Names;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Mode;
use crate::domain::side_by_side;
use crate::domain::stamps;
use crate::domain::stamps::Onward;
use crate::domain::tape;
use crate::domain::tape::CardNumbers;
use crate::domain::tape::Joined;
use crate::domain::tape::Short;
use crate::domain::tape::Spot;
use crate::domain::tape::Tape;
use crate::domain::tape::What;

/// One journal as far as it was counted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Counted {
    /// Person folder it lies in.
    pub person: String,
    /// Bench that wrote it.
    pub bench: String,
    /// Highest number among its lines.
    pub highest: u64,
    /// What its clock asks of the next line.
    pub onward: Onward,
    /// Effective time of its last line.
    pub effective: Option<DateTime<Utc>>,
}

/// An answer that measures: a first meeting, or a spot check that was the first asking of its day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measure {
    /// Place of its card in the history.
    pub card: u32,
    /// Bench day.
    pub day: NaiveDate,
    /// It is the first of all to this card.
    pub cold: bool,
    /// The answer; only its circuits are texts that count, by their number in [`Seen::names`].
    pub short: Short,
}

/// What a screen shows of the answers beside what they did to memory.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// Day of the last answer to each card, by its place in the history.
    pub last_on: Vec<NaiveDate>,
    /// Ids of the person's sittings, the latest last.
    pub sittings: Vec<String>,
    /// First day from which on the answers below are kept.
    pub from: NaiveDate,
    /// How many answers each day has.
    pub days: BTreeMap<NaiveDate, usize>,
    /// Answers that measure, in merged order.
    pub measures: Vec<Measure>,
    /// Texts of their circuits.
    pub names: Names,
}

impl Seen {
    fn new(from: NaiveDate) -> Self {
        Self {
            last_on: Vec::new(),
            sittings: Vec::new(),
            from,
            days: BTreeMap::new(),
            measures: Vec::new(),
            names: Names::default(),
        }
    }

    /// Takes one answer to the card at a place of the history.
    fn take(&mut self, card: usize, short: &Short, names: &Names, day: NaiveDate) {
        let cold = card == self.last_on.len();
        let first_today = cold || self.last_on[card] != day;
        if cold {
            self.last_on.push(day);
        } else {
            self.last_on[card] = day;
        }
        if day < self.from {
            return;
        }
        *self.days.entry(day).or_default() += 1;
        if cold || (short.mode == Mode::SpotCheck && first_today) {
            let own = &mut self.names;
            let circuit = short
                .circuit
                .map(|(asked, said)| (own.number(names.get(asked)), own.number(names.get(said))));
            self.measures.push(Measure {
                card: u32::try_from(card).unwrap_or(u32::MAX),
                day,
                cold,
                short: Short {
                    card: 0,
                    accepted: 0,
                    sitting: 0,
                    circuit,
                    ..*short
                },
            });
        }
    }

    /// Tells whether every answer of `window` is among those kept.
    pub fn covers(&self, window: Window) -> bool {
        window.from.is_some_and(|from| self.from <= from)
    }

    /// Returns how many answers `day` has, where it is kept.
    pub fn on(&self, day: NaiveDate) -> usize {
        self.days.get(&day).copied().unwrap_or(0)
    }

    /// Returns the measuring answers within `window`, as [`spots::answers`] does without a replay;
    /// `history` is the one that they belong to.
    pub fn answers(
        &self,
        history: &History,
        family_of: &dyn Fn(&str) -> Option<FamilyId>,
        window: Window,
    ) -> Answers {
        let mut found = Answers::default();
        for measure in self.measures.iter().filter(|m| window.holds(m.day)) {
            let Some((id, _)) = history.cards.at(measure.card as usize) else {
                continue;
            };
            let when = (id, measure.day);
            let spot = spots::measured(&measure.short, &self.names, when, family_of, None);
            if let Some(spot) = spot {
                let list = if measure.cold {
                    &mut found.cold
                } else {
                    &mut found.spots
                };
                list.push(spot);
            }
        }
        found
    }
}

/// Where a line stands among those of all journals: effective time, bench, number, person.
pub type Place = (DateTime<Utc>, String, u64, String);

/// What the journals of everyone add up to for one person.
#[derive(Clone, Debug, PartialEq)]
pub struct Tally {
    /// Whose.
    pub person: String,
    /// The journals of everyone, as far as they were counted.
    pub journals: Vec<Counted>,
    /// Every id in them is the usual one, and none comes twice.
    pub regular: bool,
    /// What the person's lines did, whatever cards accept by now.
    pub history: History,
    /// Everything else they show.
    pub seen: Seen,
    /// The person's last line.
    pub last: Option<Place>,
    /// Who each sitting that was moved belongs to.
    pub moved: BTreeMap<String, String>,
    /// Ids taken back under which no line stands.
    pub loose: BTreeSet<String>,
    /// What is odd about the person's clocks: one for each run of lines, with their numbers.
    pub odd: Vec<(ClockWarning, String)>,
    /// Everyone's doubts in force.
    pub doubts: Vec<Doubt>,
}

impl Tally {
    /// Returns the count of no journals, for nobody.
    pub fn empty() -> Self {
        Self {
            person: String::new(),
            journals: Vec::new(),
            regular: true,
            history: History::new(Weights::published()),
            seen: Seen::new(NaiveDate::MIN),
            last: None,
            moved: BTreeMap::new(),
            loose: BTreeSet::new(),
            odd: Vec::new(),
            doubts: Vec::new(),
        }
    }

    /// Counts the lines of all journals for `person`, on so many threads; answers from the day `from` on
    /// are kept to be shown. Returns the places of the person's lines too.
    pub fn of(
        person: &str,
        tapes: &[&Tape],
        facts: &dyn CardFacts,
        from: NaiveDate,
        regular: bool,
        threads: usize,
    ) -> (Self, Vec<Spot>) {
        let merged = merged::merge(person, tapes);
        let (history, seen) = fold(&merged.spots, tapes, facts, from, threads);
        let journals = tapes.iter().zip(merged.clocks).zip(merged.highest);
        let journals = journals.map(|((tape, (onward, effective)), highest)| Counted {
            person: tape.person.clone(),
            bench: tape.bench.clone(),
            highest,
            onward,
            effective,
        });
        let tally = Self {
            person: person.to_owned(),
            journals: journals.collect(),
            regular: regular && tapes.iter().all(|tape| tape.odd_ids.is_empty()),
            last: {
                let own = merged.spots.iter().rfind(|spot| spot.own);
                own.map(|spot| place(spot, tapes))
            },
            moved: merged.moved,
            loose: merged.loose,
            odd: odd_runs(person, &merged.odd, tapes),
            doubts: if merged.has_tags {
                tape::doubts(tapes, facts)
            } else {
                Vec::new()
            },
            history,
            seen,
        };
        (tally, merged.spots)
    }

    /// Adds the lines that follow in each journal; one that was not there before may be among them.
    /// None where everything has to be counted anew.
    #[must_use]
    pub fn add(mut self, tails: &[&Tape], facts: &dyn CardFacts) -> Option<Self> {
        if tails.iter().all(|tail| tail.lines.is_empty()) {
            return Some(self);
        }
        let regular = self.regular && tails.iter().all(|tail| tail.odd_ids.is_empty());
        let mut spots = Vec::new();
        for (number, tail) in tails.iter().enumerate().filter(|_| regular) {
            let mine = |j: &Counted| j.person == tail.person && j.bench == tail.bench;
            let at = self.journals.iter().position(mine).unwrap_or_else(|| {
                self.journals.push(Counted {
                    person: tail.person.clone(),
                    bench: tail.bench.clone(),
                    ..Counted::default()
                });
                self.journals.len() - 1
            });
            for (line, of) in tail.lines.iter().enumerate() {
                if !self.can_follow(at, tail, line) {
                    return None;
                }
                let journal = &mut self.journals[at];
                let takes = journal.onward.take(of.at);
                journal.effective = journal.effective.max(Some(of.at));
                let effective = journal.effective.filter(|_| takes)?;
                journal.highest = of.seq;
                spots.push(Spot {
                    effective,
                    day: of.day,
                    tape: number,
                    line,
                    own: true,
                });
            }
        }
        merged::sort(&mut spots, tails);
        self.loose.append(&mut merged::take_back(&mut spots, tails));
        spots.retain(|spot| self.is_own(spot, tails));
        let after = |last: &Place| spots.first().is_none_or(|s| *last < place(s, tails));
        if !regular || !self.last.as_ref().is_none_or(after) {
            return None;
        }
        for spot in &spots {
            self.take(spot, tails, facts);
        }
        self.seen.sittings_of(&spots, tails);
        if let Some(last) = spots.last() {
            self.last = Some(place(last, tails));
        }
        Some(self)
    }

    /// Tells whether a line can stand behind those counted without changing what was said of them.
    fn can_follow(&self, at: usize, tail: &Tape, line: usize) -> bool {
        let of = &tail.lines[line];
        if of.seq <= self.journals[at].highest || stamps::too_early(of.at) {
            return false;
        }
        if !self.loose.is_empty() && self.loose.contains(&tail.id(line)) {
            return false;
        }
        match &of.what {
            What::Answer(_) => true,
            What::Other(event) => match event.as_ref() {
                // What it takes back must be new too; of a name that two journals could have had, neither.
                Event::Undo { of } => self.journals.iter().all(|journal| {
                    let seq = Tape::new(&journal.person, &journal.bench).seq_of(of);
                    let counted = seq.is_some_and(|seq| seq <= journal.highest);
                    !counted || self.is_new(at, tail, line, of)
                }),
                _ => false,
            },
        }
    }

    /// Tells whether `id` is the usual name of a line of `tail` before `line`, and of no other journal.
    fn is_new(&self, at: usize, tail: &Tape, line: usize, id: &str) -> bool {
        let Some(seq) = tail.seq_of(id) else {
            return false;
        };
        let others = self.journals.iter().enumerate().filter(|(n, _)| *n != at);
        let names = |(_, j): (usize, &Counted)| Tape::new(&j.person, &j.bench).seq_of(id).is_some();
        tail.lines[..line].iter().any(|l| l.seq == seq) && !others.into_iter().any(names)
    }

    fn is_own(&self, spot: &Spot, tails: &[&Tape]) -> bool {
        let tail = tails[spot.tape];
        match &tail.lines[spot.line].what {
            What::Answer(short) => {
                let owner = self.moved.get(tail.names.get(short.sitting));
                *owner.unwrap_or(&tail.person) == self.person
            }
            What::Other(_) => tail.person == self.person,
        }
    }

    fn take(&mut self, spot: &Spot, tails: &[&Tape], facts: &dyn CardFacts) {
        let tail = tails[spot.tape];
        let What::Answer(short) = &tail.lines[spot.line].what else {
            return;
        };
        let history = &mut self.history;
        let id = facts.current_id(tail.names.get(short.card));
        let at = history.cards.number_or_new(id);
        self.seen.take(at, short, &tail.names, spot.day);
        count_beside(history, short, &tail.names);
        let accepted = tail.names.get(short.accepted);
        if let Some(card) = history.cards.at_mut(at) {
            let other = card.accepted != accepted;
            if let Some(asking) = card.asking(other, short.mode, spot.day) {
                let asks_circuit = short.circuit.is_some();
                history
                    .manner
                    .take(asking, asks_circuit, short.grade, short.ms);
            }
            let counted = card.take(other, short.mode, short.grade, spot.day, &history.weights);
            history.scored.reviews += usize::from(counted.is_scored(short.mode));
            accepted.clone_into(&mut card.accepted);
        }
    }
}

impl Seen {
    /// Puts the sittings of these lines behind all others.
    fn sittings_of(&mut self, spots: &[Spot], tapes: &[&Tape]) {
        let found = sittings(spots, tapes);
        let again: BTreeSet<&str> = found.iter().map(String::as_str).collect();
        self.sittings.retain(|id| !again.contains(id.as_str()));
        self.sittings.extend(found);
    }
}

fn place(spot: &Spot, tapes: &[&Tape]) -> Place {
    let (effective, bench, seq, person) = merged::place(spot, tapes);
    (effective, bench.to_owned(), seq, person.to_owned())
}

/// Returns one warning for each unbroken run of the person's odd lines, as [`history::runs`] does.
fn odd_runs(person: &str, odd: &[Odd], tapes: &[&Tape]) -> Vec<(ClockWarning, String)> {
    let seq = |odd: &Odd| tapes[odd.tape].lines[odd.line].seq;
    let same = |a: &Odd, b: &Odd| {
        a.tape == b.tape && a.taken_as.is_some() == b.taken_as.is_some() && seq(a) + 1 == seq(b)
    };
    let runs = odd.chunk_by(same);
    let own = runs.filter(|run| tapes[run[0].tape].person == person);
    own.filter_map(|run| Some((run.first()?, run.last()?)))
        .map(|(first, last)| {
            let numbers = history::numbers_of(seq(first), seq(last));
            (first.warning(tapes), numbers)
        })
        .collect()
}

/// Returns the ids of the sittings of these lines, each once, the latest last.
fn sittings(spots: &[Spot], tapes: &[&Tape]) -> Vec<String> {
    let mut stretches = Stretches::default();
    for spot in spots {
        if let What::Answer(short) = &tapes[spot.tape].lines[spot.line].what {
            stretches.take(spot.tape, short.sitting);
        }
    }
    stretches.sittings(tapes)
}

/// Stretches of answers of one sitting: by tape, and by the number of the sitting's id there.
#[derive(Default)]
struct Stretches(Vec<(usize, u32)>);

impl Stretches {
    fn take(&mut self, tape: usize, sitting: u32) {
        // Answers of one sitting stand together as a rule.
        if self.0.last() != Some(&(tape, sitting)) {
            self.0.push((tape, sitting));
        }
    }

    /// Returns their ids, each once, the latest last.
    fn sittings(&self, tapes: &[&Tape]) -> Vec<String> {
        let mut seen = BTreeSet::new();
        let ids = self.0.iter().rev();
        let ids = ids.map(|(tape, sitting)| tapes[*tape].names.get(*sitting));
        let mut found: Vec<String> = ids
            .filter(|id| seen.insert(*id))
            .map(str::to_owned)
            .collect();
        found.reverse();
        found
    }
}

/// Counts what an answer says beside the memory of its card.
fn count_beside(history: &mut History, short: &Short, names: &Names) {
    if short.mode == Mode::SpotCheck
        && let Some((asked, _)) = short.circuit
    {
        let family = names.get(asked);
        match history.spot_checks.get_mut(family) {
            Some(count) => *count += 1,
            None => drop(history.spot_checks.insert(family.to_owned(), 1)),
        }
    }
    let right = short.grade.recalled() && short.verdict.fix != Some(false);
    history.pace.take(short.ms, right);
}

/// A review as the memory of its card takes it.
struct Step {
    card: usize,
    grade: Grade,
    counted: history::Counted,
}

/// Returns what `spots` (in merged order) add up to, whatever cards accept by now, and what they show;
/// answers from the day `from` on are kept.
///
/// Which reviews count and after how many days needs no memory: that is found out in one pass. Then the
/// memory of each card is worked out from its reviews, of some cards on each of `threads`.
pub(crate) fn fold(
    spots: &[Spot],
    tapes: &[&Tape],
    facts: &dyn CardFacts,
    from: NaiveDate,
    threads: usize,
) -> (History, Seen) {
    let (weights, _) = in_force::weights(tape::effects(spots, tapes));
    let mut history = History::new(weights);
    let mut seen = Seen::new(from);
    let (mut numbers, mut marks) = (CardNumbers::new(tapes), Joined::new(tapes));
    let mut cards: Vec<CardHistory> = Vec::new();
    // What each card accepted at its last answer.
    let mut accepted: Vec<u32> = Vec::new();
    let mut stretches = Stretches::default();
    let mut steps = Vec::with_capacity(spots.len());
    for spot in spots {
        let tape = tapes[spot.tape];
        let names = &tape.names;
        let short = match &tape.lines[spot.line].what {
            What::Answer(short) => short,
            What::Other(event) => {
                if spot.own {
                    history.apply(event, spot.day, facts);
                }
                continue;
            }
        };
        let at = numbers.of(spot.tape, short.card, names, facts);
        let mark = marks.number(spot.tape, short.accepted, || names.get(short.accepted));
        if at == cards.len() {
            cards.push(CardHistory::default());
            accepted.push(mark);
        }
        let other = std::mem::replace(&mut accepted[at], mark) != mark;
        seen.take(at, short, names, spot.day);
        stretches.take(spot.tape, short.sitting);
        count_beside(&mut history, short, names);
        let known = &mut cards[at];
        if let Some(asking) = known.asking(other, short.mode, spot.day) {
            let asks_circuit = short.circuit.is_some();
            let manner = &mut history.manner;
            manner.take(asking, asks_circuit, short.grade, short.ms);
        }
        let counted = known.count(other, short.mode, short.grade, spot.day);
        history.scored.reviews += usize::from(counted.is_scored(short.mode));
        if counted != history::Counted::Not {
            steps.push(Step {
                card: at,
                grade: short.grade,
                counted,
            });
        }
    }
    remember(&mut cards, &steps, &history.weights, threads);
    for (card, mark) in cards.iter_mut().zip(accepted) {
        marks.texts.get(mark).clone_into(&mut card.accepted);
    }
    history.cards = KnownCards::of(numbers.into_ids(), cards);
    seen.sittings = stretches.sittings(tapes);
    (history, seen)
}

/// Works out the memory of each card that has a review that counted.
fn remember(cards: &mut [CardHistory], steps: &[Step], weights: &Weights, threads: usize) {
    let size = cards.len().div_ceil(threads.max(1)).max(1);
    let pieces = cards.chunks_mut(size).zip((0..).step_by(size)).collect();
    side_by_side::map(
        threads,
        pieces,
        |(cards, first): (&mut [CardHistory], usize)| {
            let mut memories = vec![None; cards.len()];
            for step in steps {
                let at = step.card.wrapping_sub(first);
                if let Some(memory) = memories.get_mut(at) {
                    *memory = step.counted.remembered(*memory, step.grade, weights);
                }
            }
            for (card, memory) in cards.iter_mut().zip(memories) {
                card.memory = memory.filter(|_| card.reviewed_on.is_some());
            }
        },
    );
}

#[cfg(test)]
#[path = "tally_tests.rs"]
mod tests;
