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
use crate::domain::names::Names;
use crate::domain::review::Event;
use crate::domain::review::Mode;
use crate::domain::stamps;
use crate::domain::stamps::Onward;
use crate::domain::tape;
use crate::domain::tape::CardNumbers;
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

    /// Counts the lines of all journals for `person`; answers from the day `from` on are kept to be
    /// shown. Returns the places of the person's lines too.
    pub fn of(
        person: &str,
        tapes: &[&Tape],
        facts: &dyn CardFacts,
        from: NaiveDate,
        regular: bool,
    ) -> (Self, Vec<Spot>) {
        let merged = tape::merge(person, tapes);
        let (history, seen) = fold(&merged.spots, tapes, facts, from);
        let mut warnings = merged.warnings;
        warnings.retain(|w| w.person == person);
        let odd = history::runs(&warnings);
        let odd = odd.into_iter().map(|(w, numbers)| (w.clone(), numbers));
        let journals = tapes.iter().zip(merged.clocks);
        let journals = journals.map(|(tape, (onward, effective))| Counted {
            person: tape.person.clone(),
            bench: tape.bench.clone(),
            highest: tape.lines.iter().map(|line| line.seq).max().unwrap_or(0),
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
            odd: odd.collect(),
            doubts: tape::doubts(tapes, facts),
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
        tape::sort(&mut spots, tails);
        self.loose.append(&mut tape::take_back(&mut spots, tails));
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
    let (effective, bench, seq, person) = tape::place(spot, tapes);
    (effective, bench.to_owned(), seq, person.to_owned())
}

/// Returns the ids of the sittings of these lines, each once, the latest last.
fn sittings(spots: &[Spot], tapes: &[&Tape]) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let mut before = None;
    let mut found = Vec::new();
    for spot in spots.iter().rev() {
        let tape = tapes[spot.tape];
        if let What::Answer(short) = &tape.lines[spot.line].what {
            // Answers of one sitting stand together as a rule.
            let mark = Some((spot.tape, short.sitting));
            if std::mem::replace(&mut before, mark) != mark {
                let id = tape.names.get(short.sitting);
                if seen.insert(id) {
                    found.push(id.to_owned());
                }
            }
        }
    }
    found.reverse();
    found
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

/// Returns what `spots` (in merged order) add up to, whatever cards accept by now, and what they show;
/// answers from the day `from` on are kept.
pub(crate) fn fold(
    spots: &[Spot],
    tapes: &[&Tape],
    facts: &dyn CardFacts,
    from: NaiveDate,
) -> (History, Seen) {
    let line = |spot: &Spot| &tapes[spot.tape].lines[spot.line];
    let (weights, _) = in_force::weights(tape::effects(spots, tapes));
    let mut history = History::new(weights);
    let mut seen = Seen::new(from);
    let mut numbers = CardNumbers::new(tapes);
    let mut cards: Vec<CardHistory> = Vec::new();
    // What each card accepted at its last answer: in which tape, under which number.
    let mut marks: Vec<(usize, u32)> = Vec::new();
    for spot in spots {
        let names = &tapes[spot.tape].names;
        let short = match &line(spot).what {
            What::Answer(short) => short,
            What::Other(event) => {
                if spot.own {
                    history.apply(event, spot.day, facts);
                }
                continue;
            }
        };
        let at = numbers.of(spot.tape, short.card, names, facts);
        let mark = (spot.tape, short.accepted);
        if at == cards.len() {
            cards.push(CardHistory::default());
            marks.push(mark);
        }
        let before = marks[at];
        let other =
            before != mark && tapes[before.0].names.get(before.1) != names.get(short.accepted);
        marks[at] = mark;
        seen.take(at, short, names, spot.day);
        count_beside(&mut history, short, names);
        if let Some(asking) = cards[at].asking(other, short.mode, spot.day) {
            let asks_circuit = short.circuit.is_some();
            history
                .manner
                .take(asking, asks_circuit, short.grade, short.ms);
        }
        let counted = cards[at].take(other, short.mode, short.grade, spot.day, &history.weights);
        history.scored.reviews += usize::from(counted.is_scored(short.mode));
    }
    let bytes = numbers.ids.bytes();
    history.cards = KnownCards::with_room(cards.len(), bytes);
    for ((number, mut card), mark) in (0_u32..).zip(cards).zip(marks) {
        let accepted = tapes[mark.0].names.get(mark.1);
        accepted.clone_into(&mut card.accepted);
        history.cards.insert(numbers.ids.get(number), card);
    }
    seen.sittings = sittings(spots, tapes);
    (history, seen)
}

#[cfg(test)]
#[path = "tally_tests.rs"]
mod tests;
