//! A journal with its texts numbered, and the same fold over it as in `history.rs`.
//!
//! A person of some years has hundreds of thousands of lines. Most are answers, and of an answer the
//! fold needs numbers, words of short lists, and texts that come again and again. What was typed and
//! the mark of the front are left out here: [`crate::domain::review::Entry`] has them. Nothing else may
//! differ; laws at the end hold the two ways against each other.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::desk::doubts::Doubt;
use crate::domain::desk::doubts::Tags;
use crate::domain::history::CardFacts;
use crate::domain::history::ClockWarning;
use crate::domain::history::History;
use crate::domain::in_force::Effect;
use crate::domain::merged;
use crate::domain::names::Names;
use crate::domain::review::Entry;
use crate::domain::review::Event;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::Verdict;
use crate::domain::tally;

/// An answer; texts by their number in the names of its tape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Short {
    /// Card id.
    pub card: u32,
    /// Mark of the accepted answers at that time.
    pub accepted: u32,
    /// Sitting id.
    pub sitting: u32,
    /// The circuit asked for and the one said.
    pub circuit: Option<(u32, u32)>,
    /// Why it was asked.
    pub mode: Mode,
    /// The grade kept.
    pub grade: Grade,
    /// What the program proposed.
    pub proposed: Grade,
    /// Time taken.
    pub ms: Millis,
    /// The fix was said aloud.
    pub aloud: bool,
    /// How sure.
    pub sure: Sure,
    /// The person overruled the program's verdict.
    pub overruled: bool,
    /// The verdict.
    pub verdict: Verdict,
    /// Days until the next asking, as forecast then.
    pub next_days: u32,
}

/// What a line records.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A card was answered.
    Answer(Short),
    /// Anything else: there are few.
    Other(Box<Event>),
}

impl What {
    /// Returns the 21 numbers of a fit that took effect; none of anything else.
    pub fn fit(&self) -> Option<&[f64; 21]> {
        match self {
            Self::Answer(_) => None,
            Self::Other(event) => event.fit(),
        }
    }
}

/// One journal line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Place in its journal.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// Bench day.
    pub day: NaiveDate,
    /// What.
    pub what: What,
}

/// One journal, in `seq` order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tape {
    /// Person folder it lies in.
    pub person: String,
    /// Bench that wrote it.
    pub bench: String,
    /// The texts of its answers.
    pub names: Names,
    /// Its lines.
    pub lines: Vec<Line>,
    /// Ids that are not made of person, bench and number, by the place of their line.
    pub odd_ids: BTreeMap<usize, String>,
}

impl Tape {
    /// Returns an empty journal of `person` on `bench`.
    pub fn new(person: &str, bench: &str) -> Self {
        Self {
            person: person.to_owned(),
            bench: bench.to_owned(),
            ..Self::default()
        }
    }

    /// Adds a line written out in full.
    pub fn push(&mut self, entry: Entry) {
        let usual = entry
            .id
            .strip_prefix(&self.prefix())
            .is_some_and(|n| n == entry.seq.to_string());
        if !usual {
            self.odd_ids.insert(self.lines.len(), entry.id);
        }
        let what = match entry.event {
            Event::Answer(answered) => {
                let names = &mut self.names;
                What::Answer(Short {
                    card: names.number(&answered.card),
                    accepted: names.number(&answered.accepted),
                    sitting: names.number(&answered.sitting),
                    circuit: answered
                        .circuit
                        .as_ref()
                        .map(|(asked, said)| (names.number(asked), names.number(said))),
                    mode: answered.mode,
                    grade: answered.grade,
                    proposed: answered.proposed,
                    ms: answered.ms,
                    aloud: answered.aloud,
                    sure: answered.sure,
                    overruled: answered.overruled,
                    verdict: answered.verdict,
                    next_days: answered.next_days,
                })
            }
            other => What::Other(Box::new(other)),
        };
        self.lines.push(Line {
            seq: entry.seq,
            at: entry.at,
            day: entry.day,
            what,
        });
    }

    /// Adds the lines of `later`, which stood behind those of this one.
    pub fn append(&mut self, later: Self) {
        let before = self.lines.len();
        if before == 0 && self.names.is_empty() {
            self.names = later.names;
            self.lines = later.lines;
            self.odd_ids = later.odd_ids;
            return;
        }
        let numbers: Vec<u32> = (0..u32::MAX)
            .take(later.names.len())
            .map(|n| self.names.number(later.names.get(n)))
            .collect();
        let now = |n: u32| numbers[n as usize];
        self.lines.extend(later.lines.into_iter().map(|mut line| {
            if let What::Answer(short) = &mut line.what {
                short.card = now(short.card);
                short.accepted = now(short.accepted);
                short.sitting = now(short.sitting);
                short.circuit = short.circuit.map(|(asked, said)| (now(asked), now(said)));
            }
            line
        }));
        let ids = later.odd_ids.into_iter();
        self.odd_ids.extend(ids.map(|(at, id)| (before + at, id)));
    }

    /// Returns what ids of this journal begin with.
    pub fn prefix(&self) -> String {
        format!("{}-{}-", self.person, self.bench)
    }

    /// Returns the id of a line.
    pub fn id(&self, line: usize) -> String {
        self.odd_ids
            .get(&line)
            .cloned()
            .unwrap_or_else(|| format!("{}{}", self.prefix(), self.lines[line].seq))
    }

    /// Returns the number that a line of this journal has if `id` is its usual name.
    pub(crate) fn seq_of(&self, id: &str) -> Option<u64> {
        let n = id.strip_prefix(&self.prefix())?;
        let seq: u64 = n.parse().ok()?;
        (seq.to_string() == n).then_some(seq)
    }

    /// Returns the lines that are called one of `ids`, each with what it is called.
    pub(crate) fn called<'a>(&self, ids: &BTreeSet<&'a str>) -> Vec<(&'a str, usize)> {
        let mut found = Vec::new();
        let mut by_number: BTreeMap<u64, &'a str> = BTreeMap::new();
        for id in ids {
            let odd = self.odd_ids.iter().filter(|(_, odd)| odd == id);
            found.extend(odd.map(|(at, _)| (*id, *at)));
            if let Some(seq) = self.seq_of(id) {
                by_number.insert(seq, id);
            }
        }
        if by_number.is_empty() {
            return found;
        }
        for (at, line) in self.lines.iter().enumerate() {
            if let Some(id) = by_number.get(&line.seq)
                && !self.odd_ids.contains_key(&at)
            {
                found.push((id, at));
            }
        }
        found
    }
}

/// A line at its place in the merged order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Effective time.
    pub effective: DateTime<Utc>,
    /// Bench day, corrected where the stamp could not be right.
    pub day: NaiveDate,
    /// Which tape.
    pub tape: usize,
    /// Which of its lines.
    pub line: usize,
    /// It is the person's own; else it is a fit of someone else.
    pub own: bool,
}

/// Returns the lines that belong to `person`, with the fits of everyone else, in merged order, and what
/// is odd about the clocks; as `history::lines_of` does.
pub fn lines_of(person: &str, tapes: &[&Tape]) -> (Vec<Spot>, Vec<ClockWarning>) {
    let merged = merged::merge(person, tapes);
    let warnings = merged.odd.iter().map(|odd| odd.warning(tapes));
    (merged.spots, warnings.collect())
}

/// Texts of several journals by number in the order in which they first come, whatever journal they
/// come in.
pub(crate) struct Joined {
    /// The texts, by number.
    pub(crate) texts: Names,
    known: Vec<Vec<u32>>,
}

impl Joined {
    const NONE: u32 = u32::MAX;

    /// Numbers no text of `tapes` yet.
    pub(crate) fn new(tapes: &[&Tape]) -> Self {
        let none = |tape: &&Tape| vec![Self::NONE; tape.names.len()];
        Self {
            texts: Names::default(),
            known: tapes.iter().map(none).collect(),
        }
    }

    /// Returns the number of what `text` makes of a text of journal number `tape`, by its number there.
    pub(crate) fn number<'a>(
        &mut self,
        tape: usize,
        name: u32,
        text: impl FnOnce() -> &'a str,
    ) -> u32 {
        let place = &mut self.known[tape][name as usize];
        if *place == Self::NONE {
            *place = self.texts.number(text());
        }
        *place
    }
}

/// Cards by number in the order in which they first come, whatever id and journal they come under.
pub(crate) struct CardNumbers(Joined);

impl CardNumbers {
    /// Numbers no card of `tapes` yet.
    pub(crate) fn new(tapes: &[&Tape]) -> Self {
        Self(Joined::new(tapes))
    }

    /// Returns the number of a card by its name in journal number `tape`, whose texts are `names`.
    pub(crate) fn of(
        &mut self,
        tape: usize,
        card: u32,
        names: &Names,
        facts: &dyn CardFacts,
    ) -> usize {
        self.0
            .number(tape, card, || facts.current_id(names.get(card))) as usize
    }

    /// Returns the current ids, by number.
    pub(crate) fn ids(&self) -> &Names {
        &self.0.texts
    }

    /// Returns them for good.
    pub(crate) fn into_ids(self) -> Names {
        self.0.texts
    }
}

/// Returns the fits among `spots`, in their order.
pub(crate) fn effects<'a>(
    spots: &'a [Spot],
    tapes: &'a [&'a Tape],
) -> impl Iterator<Item = Effect<'a>> + Clone {
    spots.iter().filter_map(|spot| {
        let tape = tapes[spot.tape];
        Some(Effect {
            person: &tape.person,
            own: spot.own,
            weights: tape.lines[spot.line].what.fit()?,
        })
    })
}

/// Returns the state that `spots` (in merged order) add up to, as [`History::fold`] does.
pub fn fold(spots: &[Spot], tapes: &[&Tape], facts: &dyn CardFacts) -> History {
    let (mut history, _) = tally::fold(spots, tapes, facts, NaiveDate::MAX, 1);
    history.look_for_corrections(facts);
    history
}

/// Returns every doubt in force, as `history::doubts` does.
pub fn doubts(tapes: &[&Tape], facts: &dyn CardFacts) -> Vec<Doubt> {
    let people: BTreeSet<&str> = tapes.iter().map(|t| t.person.as_str()).collect();
    let is_tag = |line: &Line| match &line.what {
        What::Other(event) => matches!(event.as_ref(), Event::Tag { .. }),
        What::Answer(_) => false,
    };
    let mut found = Vec::new();
    for person in people {
        let own: Vec<&Tape> = tapes
            .iter()
            .copied()
            .filter(|t| t.person == person)
            .collect();
        if !own.iter().flat_map(|t| &t.lines).any(is_tag) {
            continue;
        }
        let mut tags = Tags::default();
        for spot in lines_of(person, &own).0 {
            if let What::Other(event) = &own[spot.tape].lines[spot.line].what {
                let when = (person, spot.effective, spot.day);
                tags.take(when, event, |card| facts.current_id(card).to_owned());
            }
        }
        found.extend(tags.doubts());
    }
    found.sort();
    found
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::domain::card::Card;
    use crate::domain::history;
    use crate::domain::history::JournalLines;
    use crate::domain::memory::Weights;
    use crate::domain::review::Answered;
    use crate::domain::review::TagReason;
    use crate::domain::samples;
    use proptest::prelude::*;

    /// Facts with a merged card: `d` is known as `a` by now.
    pub(crate) struct Merged(pub(crate) samples::Facts);

    impl CardFacts for Merged {
        fn current_id<'a>(&'a self, id: &'a str) -> &'a str {
            if id == "d" { "a" } else { id }
        }
        fn accepted(&self, id: &str) -> Option<&str> {
            self.0.accepted(id)
        }
    }

    /// A step of a made-up history: journal, kind of event, card, grade, day, and a free number.
    pub(crate) type Step = (usize, u8, usize, u8, i64, usize);

    fn event(step: Step, cards: &[Card], journals: &[JournalLines]) -> Event {
        let (_, kind, card, grade, _, free) = step;
        let grade = Grade::from_number(grade).unwrap();
        let answer = |mode, changed: bool| {
            let mut answered = Answered {
                mode,
                sitting: format!("s{}", free % 5),
                ..samples::answered(&cards[card], grade)
            };
            answered.ms.answer += free as u64;
            if changed {
                answered.accepted = "0badf00d".to_owned();
            }
            Event::Answer(Box::new(answered))
        };
        match kind {
            0..=5 => answer(Mode::Drill, false),
            6 => answer(Mode::SpotCheck, false),
            7 => answer(Mode::Brief, false),
            8 => answer(Mode::Drill, true),
            9 | 10 => {
                let ids: Vec<&String> = journals
                    .iter()
                    .flat_map(|j| &j.entries)
                    .map(|e| &e.id)
                    .collect();
                let of = ids
                    .get(free % ids.len().max(1))
                    .map_or("none", |id| id.as_str());
                Event::Undo { of: of.to_owned() }
            }
            11 => Event::Move {
                sitting: format!("s{}", free % 5),
                to: ["mk", "tl"][free % 2].to_owned(),
            },
            12 => Event::Tag {
                card: cards[card].id.clone(),
                reason: TagReason::ALL[free % 2],
                note: "why".to_owned(),
            },
            13 => Event::Untag {
                card: cards[card].id.clone(),
                note: String::new(),
            },
            _ => {
                let mut weights = *Weights::published().get();
                weights[0] = [0.3, 0.5, -1.0][free % 3];
                Event::Weights {
                    weights: Box::new(weights),
                }
            }
        }
    }

    pub(crate) fn journals(steps: &[Step], cards: &[Card]) -> Vec<JournalLines> {
        let mut journals: Vec<JournalLines> =
            [("mk", "b1"), ("mk", "b2"), ("tl", "b1"), ("m", "k-b1")]
                .iter()
                .map(|(person, bench)| JournalLines {
                    person: (*person).to_owned(),
                    bench: (*bench).to_owned(),
                    entries: Vec::new(),
                })
                .collect();
        for &step in steps {
            let event = event(step, cards, &journals);
            let lines = &mut journals[step.0];
            let seq = u64::try_from(lines.entries.len()).unwrap() + 1;
            let mut entry = samples::entry(seq, step.4, event);
            entry.bench.clone_from(&lines.bench);
            entry.id = if step.5 == 77 {
                "copied-b9-1".to_owned()
            } else {
                format!("{}-{}-{seq}", lines.person, lines.bench)
            };
            lines.entries.push(entry);
        }
        journals
    }

    pub(crate) fn tape(journal: &JournalLines) -> Tape {
        let mut tape = Tape::new(&journal.person, &journal.bench);
        for entry in journal.entries.clone() {
            tape.push(entry);
        }
        tape
    }

    pub(crate) fn steps() -> impl Strategy<Value = Vec<Step>> {
        prop::collection::vec(
            (
                0..4_usize,
                0..15_u8,
                0..4_usize,
                1..5_u8,
                -400..400_i64,
                0..99_usize,
            ),
            0..60,
        )
    }

    proptest! {
        /// Numbered texts change nothing: the same lines in the same order, the same state, the same
        /// doubts, and each line's own id.
        #[test]
        fn a_tape_adds_up_to_what_its_lines_add_up_to(
            mut steps in steps(), turn in 0..4_usize, clocks_go_on in any::<bool>(),
        ) {
            if clocks_go_on {
                steps.sort_by_key(|step| step.4);
            }
            let cards: Vec<Card> =
                ["a", "b", "c", "d"].iter().map(|id| samples::card(id, "standby", "U31")).collect();
            let facts = Merged(samples::Facts::of(&cards[..3]));
            let mut all = journals(&steps, &cards);
            all.rotate_left(turn);
            let tapes: Vec<Tape> = all.iter().map(tape).collect();
            let tapes: Vec<&Tape> = tapes.iter().collect();
            for person in ["mk", "tl", "m", "nobody"] {
                let (lines, odd) = history::lines_of(person, &all);
                let (spots, warnings) = lines_of(person, &tapes);
                prop_assert_eq!(warnings, odd);
                let ids: Vec<String> = spots.iter().map(|s| tapes[s.tape].id(s.line)).collect();
                let plain: Vec<String> = lines.iter().map(|l| l.entry.id.clone()).collect();
                prop_assert_eq!(ids, plain);
                let times: Vec<_> = spots.iter().map(|s| (s.effective, s.day)).collect();
                let plain: Vec<_> = lines.iter().map(|l| (l.effective, l.day)).collect();
                prop_assert_eq!(times, plain);
                let folded = History::fold(&lines, &facts);
                prop_assert_eq!(&fold(&spots, &tapes, &facts), &folded);
                let (mut two, _) = tally::fold(&spots, &tapes, &facts, NaiveDate::MAX, 3);
                two.look_for_corrections(&facts);
                prop_assert_eq!(&two, &folded);
            }
            prop_assert_eq!(doubts(&tapes, &facts), history::doubts(&all, &facts));
        }

        /// A journal read in two pieces is the journal read at once.
        #[test]
        fn pieces_add_up_to_the_whole(steps in steps(), cut in 0..60_usize) {
            let cards: Vec<Card> =
                ["a", "b", "c", "d"].iter().map(|id| samples::card(id, "standby", "U31")).collect();
            for journal in journals(&steps, &cards) {
                let whole = tape(&journal);
                let cut = cut.min(journal.entries.len());
                let piece = |entries: &[Entry]| {
                    tape(&JournalLines { entries: entries.to_vec(), ..journal.clone() })
                };
                let mut joined = piece(&journal.entries[..cut]);
                joined.append(piece(&journal.entries[cut..]));
                prop_assert_eq!(joined, whole);
            }
        }
    }
}
