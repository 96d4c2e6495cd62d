//! One board's jobs in general words, as patterns over several boards need them.
//!
//! A sheet owns its words and holds each fact once: an index can keep the sheets of all boards, so that a
//! new job on one of them costs no reading of the others' jobs. What a shop's settings decide later
//! (cautions, names of boards) is left out.

use std::collections::HashMap;

use chrono::NaiveDate;

use crate::domain::generate::coded::band::Variant;
use crate::domain::generate::coded::tier;
use crate::domain::generate::kinds::across::general;
use crate::domain::generate::kinds::across::general::Mark;
use crate::domain::generate::kinds::across::general::Places;
use crate::domain::generate::kinds::across::general::Sights;
use crate::domain::generate::weigh::shelf::Case;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::UNLOCATED;

/// Something that was seen on a board: a [`Mark`] and its value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// Kind of finding; none for a word of the customer's complaint.
    pub kind: Option<FindingKind>,
    /// See [`Mark::place`].
    pub place: String,
    /// See [`Mark::state`].
    pub state: String,
    /// See [`Mark::placed`].
    pub placed: bool,
    /// See [`Mark::tells`].
    pub tells: &'static [&'static str],
    /// What was seen there.
    pub value: String,
}

impl Fact {
    /// Returns where it was seen.
    pub fn mark(&self) -> Mark<'_> {
        Mark {
            kind: self.kind,
            place: &self.place,
            state: &self.state,
            placed: self.placed,
            tells: self.tells,
        }
    }
}

/// A part of a list: where it begins, and how long it is.
pub type Part = (u32, u32);

/// One job, as far as patterns over several boards need it.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "four things that a job was or was not, each asked by itself"
)]
pub struct Row {
    /// The day it was closed.
    pub closed_on: NaiveDate,
    /// Id of its line, in [`Sheet::texts`].
    pub id: Part,
    /// Its number, in [`Sheet::texts`].
    pub job: Part,
    /// Its circuit, in [`Sheet::words`].
    pub family: u32,
    /// How the part failed.
    pub variant: Variant,
    /// It may be counted in a share (tiers A and B).
    pub evidence: bool,
    /// An answer may stand on it.
    pub speaks: bool,
    /// It was proved.
    pub proved: bool,
    /// It came back, whatever the cause.
    pub bounced: bool,
    /// What it showed: numbers of facts, rising, in [`Sheet::numbers`].
    pub sights: Part,
    /// Words of its surroundings, in [`Sheet::numbers`].
    pub environment: Part,
}

/// The jobs of one board in general words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sheet {
    /// Board id.
    pub board: String,
    /// Kind of equipment; empty where the shop does not describe the board.
    pub kind: String,
    /// Circuits and words of the surroundings.
    pub words: Vec<String>,
    /// What was seen in any of the jobs, in the order of marks and values.
    pub facts: Vec<Fact>,
    /// Ids and numbers of the jobs, one behind the other.
    pub texts: String,
    /// Numbers of facts and of words.
    pub numbers: Vec<u32>,
    /// Its jobs with a fix and a circuit.
    pub rows: Vec<Row>,
}

fn short(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

impl Sheet {
    /// Reads one board; `jobs` are all of its jobs, those without a fix too.
    pub fn of(shelf: &Shelf<'_>, jobs: &[&Job]) -> Self {
        let mut places = Places::of(shelf.board);
        places.learn(jobs.iter().copied());
        let known = |case: &&Case<'_>| {
            let family = case.job.family.as_deref();
            case.tier.counts() && family.is_some_and(|family| family != UNLOCATED)
        };
        let cases: Vec<(&Case<'_>, Sights<'_>)> = shelf
            .cases
            .iter()
            .filter(known)
            .map(|case| (case, general::sights(case.job, shelf.board, &places)))
            .collect();
        let mut known: HashMap<(Mark<'_>, &str), usize> = HashMap::new();
        let mut seen: Vec<Vec<usize>> = Vec::with_capacity(cases.len());
        for (_, sights) in &cases {
            let mut numbers = Vec::with_capacity(sights.len());
            for fact in sights {
                let next = known.len();
                numbers.push(*known.entry(*fact).or_insert(next));
            }
            seen.push(numbers);
        }
        let mut order: Vec<((Mark<'_>, &str), usize)> = known.into_iter().collect();
        order.sort_unstable();
        let mut places = vec![0; order.len()];
        for (place, (_, number)) in order.iter().enumerate() {
            places[*number] = short(place);
        }
        let fact = |(mark, value): &(Mark<'_>, &str)| Fact {
            kind: mark.kind,
            place: mark.place.to_owned(),
            state: mark.state.to_owned(),
            placed: mark.placed,
            tells: mark.tells,
            value: (*value).to_owned(),
        };
        let mut sheet = Self {
            board: shelf.id.to_owned(),
            kind: shelf.board.map_or("", |b| b.kind.trim()).to_owned(),
            facts: order.iter().map(|(f, _)| fact(f)).collect(),
            ..Self::default()
        };
        for ((case, _), seen) in cases.iter().zip(seen) {
            let numbers: Vec<u32> = seen.into_iter().map(|number| places[number]).collect();
            sheet.push(case, &numbers);
        }
        sheet
    }

    fn push(&mut self, case: &Case<'_>, sights: &[u32]) {
        let job = case.job;
        let family = self.word(job.family.as_deref().unwrap_or_default());
        let environment: Vec<u32> = job.environment.iter().map(|w| self.word(w)).collect();
        let id = self.text(&job.id);
        let number = if job.job == job.id {
            id
        } else {
            self.text(&job.job)
        };
        let row = Row {
            closed_on: job.closed_on,
            id,
            job: number,
            family,
            variant: case.variant,
            evidence: case.tier.is_evidence() && !case.refuted,
            speaks: case.speaks(),
            proved: case.proved,
            bounced: tier::bounced(job),
            sights: self.list(sights),
            environment: self.list(&environment),
        };
        self.rows.push(row);
    }

    fn word(&mut self, word: &str) -> u32 {
        let at = self.words.iter().position(|w| w == word);
        short(at.unwrap_or_else(|| {
            self.words.push(word.to_owned());
            self.words.len() - 1
        }))
    }

    fn text(&mut self, text: &str) -> Part {
        let at = short(self.texts.len());
        self.texts.push_str(text);
        (at, short(text.len()))
    }

    fn list(&mut self, numbers: &[u32]) -> Part {
        let at = short(self.numbers.len());
        self.numbers.extend(numbers);
        (at, short(numbers.len()))
    }

    /// Returns the circuits of its jobs.
    pub fn circuits(&self) -> impl Iterator<Item = &str> {
        let mut used = vec![false; self.words.len()];
        for row in &self.rows {
            if let Some(used) = used.get_mut(row.family as usize) {
                *used = true;
            }
        }
        let words = self.words.iter().zip(used);
        words
            .filter(|(_, used)| *used)
            .map(|(word, _)| word.as_str())
    }

    /// Tells whether its jobs stand in the order of their days, of one day in that of ids and numbers.
    pub fn is_in_order(&self) -> bool {
        let jobs: Vec<Seen<'_>> = self.jobs().collect();
        jobs.is_sorted_by(|a, b| {
            let days = a.row.closed_on.cmp(&b.row.closed_on);
            days.then_with(|| (a.id(), a.job()).cmp(&(b.id(), b.job())))
                .is_le()
        })
    }

    /// Returns its jobs.
    pub fn jobs(&self) -> impl Iterator<Item = Seen<'_>> {
        self.rows.iter().map(|row| Seen { sheet: self, row })
    }
}

/// One job of a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    sheet: &'a Sheet,
    /// What is said of it.
    pub row: &'a Row,
}

impl<'a> Seen<'a> {
    fn said(self, (at, len): Part) -> &'a str {
        let from = at as usize;
        let text = self.sheet.texts.get(from..from + len as usize);
        text.unwrap_or_default()
    }

    fn listed(self, (at, len): Part) -> &'a [u32] {
        let from = at as usize;
        let list = self.sheet.numbers.get(from..from + len as usize);
        list.unwrap_or_default()
    }

    fn word(self, at: u32) -> &'a str {
        self.sheet.words.get(at as usize).map_or("", String::as_str)
    }

    /// Returns the sheet it stands on.
    pub fn sheet(self) -> &'a Sheet {
        self.sheet
    }

    /// Returns its board.
    pub fn board(self) -> &'a str {
        &self.sheet.board
    }

    /// Returns the id of its line.
    pub fn id(self) -> &'a str {
        self.said(self.row.id)
    }

    /// Returns its number.
    pub fn job(self) -> &'a str {
        self.said(self.row.job)
    }

    /// Returns its circuit.
    pub fn family(self) -> &'a str {
        self.word(self.row.family)
    }

    /// Returns the words of its surroundings.
    pub fn environment(self) -> impl Iterator<Item = &'a str> {
        let words = self.listed(self.row.environment).iter();
        words.map(move |at| self.word(*at))
    }

    /// Returns the numbers of what it showed, rising.
    pub fn numbers(self) -> &'a [u32] {
        self.listed(self.row.sights)
    }

    /// Returns what it showed, in the order of the marks.
    pub fn sights(self) -> impl Iterator<Item = (Mark<'a>, &'a str)> {
        let facts = self.numbers().iter();
        let facts = facts.filter_map(move |at| self.sheet.facts.get(*at as usize));
        facts.map(|fact| (fact.mark(), fact.value.as_str()))
    }
}
