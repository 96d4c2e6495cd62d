//! The lines of all journals in one order: by effective time, then bench, then number.
//!
//! What the order is and which lines count stands in [`history::lines_of`]; laws in `tape.rs` hold this to
//! it. A person of many years has a million lines, so each journal is looked through once: where its clock
//! never went back by more than a day nothing of its stamps needs judging, its lines stand in order
//! already, and the journals need only be put into one another. Undos, moves, tags and fits are few, and
//! only they are looked at again.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::history;
use crate::domain::history::ClockWarning;
use crate::domain::review::Event;
use crate::domain::stamps;
use crate::domain::stamps::Onward;
use crate::domain::tape::Line;
use crate::domain::tape::Spot;
use crate::domain::tape::Tape;
use crate::domain::tape::What;

/// The lines of one person, and what has to be known to add lines later.
#[derive(Debug)]
pub(crate) struct Merged {
    /// In merged order, with the fits of everyone else.
    pub(crate) spots: Vec<Spot>,
    /// What is odd about the clocks, journal by journal.
    pub(crate) odd: Vec<Odd>,
    /// Of each tape: what its clock asks of the next line, and its latest effective time.
    pub(crate) clocks: Vec<(Onward, Option<DateTime<Utc>>)>,
    /// Highest number of each tape.
    pub(crate) highest: Vec<u64>,
    /// Someone tagged a card out, whether it is taken back or not.
    pub(crate) has_tags: bool,
    /// Who each sitting that was moved belongs to.
    pub(crate) moved: BTreeMap<String, String>,
    /// Ids taken back under which no line stands.
    pub(crate) loose: BTreeSet<String>,
}

/// A line whose stamp is odd.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Odd {
    /// Which tape.
    pub(crate) tape: usize,
    /// Which of its lines.
    pub(crate) line: usize,
    /// The time it is given instead; none where it is only too early to be true.
    pub(crate) taken_as: Option<DateTime<Utc>>,
}

impl Odd {
    /// Returns it in words.
    pub(crate) fn warning(&self, tapes: &[&Tape]) -> ClockWarning {
        let tape = tapes[self.tape];
        let Line { seq, at, .. } = tape.lines[self.line];
        ClockWarning::of(&tape.person, &tape.bench, seq, at, self.taken_as)
    }
}

/// One journal, looked through.
struct Looked {
    clock: (Onward, Option<DateTime<Utc>>),
    highest: u64,
    /// Lines of one effective time stand by their numbers.
    in_order: bool,
    others: bool,
    has_tags: bool,
    /// Effective times and days, where they are not the stamps as they go on.
    judged: Option<Vec<(DateTime<Utc>, NaiveDate)>>,
}

/// Puts the lines of all tapes in order and keeps those that belong to `person`.
pub(crate) fn merge(person: &str, tapes: &[&Tape]) -> Merged {
    let mut odd = Vec::new();
    let numbered = tapes.iter().enumerate();
    let looked: Vec<Looked> = numbered
        .map(|(number, tape)| look(number, tape, &mut odd))
        .collect();
    let mut spots = put_together(person, tapes, &looked);
    if !looked.iter().all(|one| one.in_order) {
        sort(&mut spots, tapes);
    }
    let has_others = looked.iter().any(|one| one.others);
    let (mut loose, mut moved) = (BTreeSet::new(), BTreeMap::new());
    if has_others {
        loose = take_back(&mut spots, tapes);
        moved = owners(&spots, tapes);
    }
    if !moved.is_empty() || spots.iter().any(|spot| !spot.own) {
        keep_own(&mut spots, person, tapes, &moved);
    }
    Merged {
        spots,
        odd,
        clocks: looked.iter().map(|one| one.clock).collect(),
        highest: looked.iter().map(|one| one.highest).collect(),
        has_tags: looked.iter().any(|one| one.has_tags),
        moved,
        loose,
    }
}

/// Looks every line of a tape through once.
fn look(number: usize, tape: &Tape, odd: &mut Vec<Odd>) -> Looked {
    let mut looked = Looked {
        clock: (Onward::default(), None),
        highest: 0,
        in_order: true,
        others: false,
        has_tags: false,
        judged: None,
    };
    let before = odd.len();
    let mut goes_on = true;
    let mut latest: Option<DateTime<Utc>> = None;
    let mut seq = 0;
    for (at, line) in tape.lines.iter().enumerate() {
        looked.highest = looked.highest.max(line.seq);
        if let What::Other(event) = &line.what {
            looked.others = true;
            looked.has_tags |= matches!(**event, Event::Tag { .. });
        }
        goes_on &= stamps::goes_on(latest, line.at);
        if stamps::too_early(line.at) {
            odd.push(Odd {
                tape: number,
                line: at,
                taken_as: None,
            });
        }
        looked.in_order &= latest < Some(line.at) || seq <= line.seq;
        latest = latest.max(Some(line.at));
        seq = line.seq;
    }
    let onward = Onward {
        peak: latest,
        ..Onward::default()
    };
    looked.clock = (onward, latest);
    if goes_on {
        return looked;
    }
    odd.truncate(before);
    let stamps: Vec<_> = tape.lines.iter().map(|line| (line.at, line.day)).collect();
    let mut is_odd = |line: usize, taken_as| {
        odd.push(Odd {
            tape: number,
            line,
            taken_as,
        });
    };
    let (times, onward) = history::effective(&stamps, &mut is_odd);
    looked.clock = (onward, times.last().map(|time| time.0));
    looked.in_order = times
        .windows(2)
        .zip(tape.lines.windows(2))
        .all(|(times, lines)| times[0].0 < times[1].0 || lines[0].seq <= lines[1].seq);
    looked.judged = Some(times);
    looked
}

/// How far one tape was put in.
struct Head<'a> {
    tape: &'a Tape,
    looked: &'a Looked,
    next: Spot,
}

impl<'a> Head<'a> {
    fn of(number: usize, tape: &'a Tape, looked: &'a Looked, own: bool) -> Option<Self> {
        let first = tape.lines.first()?;
        let next = Spot {
            effective: first.at,
            day: first.day,
            tape: number,
            line: 0,
            own,
        };
        let mut head = Self { tape, looked, next };
        head.judge();
        Some(head)
    }

    fn judge(&mut self) {
        if let Some(times) = &self.looked.judged {
            (self.next.effective, self.next.day) = times[self.next.line];
        }
    }

    /// Goes on to the next line and tells whether there is one.
    fn step(&mut self) -> bool {
        self.next.line += 1;
        let Some(line) = self.tape.lines.get(self.next.line) else {
            return false;
        };
        self.next.effective = self.next.effective.max(line.at);
        self.next.day = line.day;
        self.judge();
        true
    }
}

/// Returns the lines of all tapes in order, each tape as it stands.
fn put_together(person: &str, tapes: &[&Tape], looked: &[Looked]) -> Vec<Spot> {
    let mut spots = Vec::with_capacity(tapes.iter().map(|tape| tape.lines.len()).sum());
    let heads = tapes.iter().zip(looked).enumerate();
    let mut heads: Vec<Head<'_>> = heads
        .filter_map(|(number, (tape, looked))| {
            Head::of(number, tape, looked, tape.person == person)
        })
        .collect();
    let is_before = |a: &Spot, b: &Spot| {
        a.effective < b.effective
            || (a.effective == b.effective && (place(a, tapes), a.tape) < (place(b, tapes), b.tape))
    };
    while !heads.is_empty() {
        let mut first = 0;
        for at in 1..heads.len() {
            if is_before(&heads[at].next, &heads[first].next) {
                first = at;
            }
        }
        let mut head = heads.swap_remove(first);
        // A day of one bench stands together as a rule.
        let others = heads.iter().map(|other| other.next);
        let limit = others.reduce(|a, b| if is_before(&b, &a) { b } else { a });
        let goes_on = loop {
            spots.push(head.next);
            if !head.step() {
                break false;
            }
            if limit.is_some_and(|limit| !is_before(&head.next, &limit)) {
                break true;
            }
        };
        if goes_on {
            heads.push(head);
        }
    }
    spots
}

/// Returns who each sitting that was moved belongs to: the last move counts.
fn owners(spots: &[Spot], tapes: &[&Tape]) -> BTreeMap<String, String> {
    let mut owner: BTreeMap<String, String> = BTreeMap::new();
    for spot in spots {
        if let What::Other(event) = &tapes[spot.tape].lines[spot.line].what
            && let Event::Move { sitting, to } = event.as_ref()
        {
            owner.insert(sitting.clone(), to.clone());
        }
    }
    owner
}

/// Keeps the lines that are the person's, and the fits of everyone else.
fn keep_own(
    spots: &mut Vec<Spot>,
    person: &str,
    tapes: &[&Tape],
    owner: &BTreeMap<String, String>,
) {
    // Which sittings of each tape are someone else's than the folder's.
    let moved: Vec<BTreeMap<u32, &str>> = tapes
        .iter()
        .map(|tape| {
            let owners = owner.iter();
            owners
                .filter_map(|(sitting, to)| Some((tape.names.find(sitting)?, to.as_str())))
                .collect()
        })
        .collect();
    spots.retain_mut(|spot| {
        let tape = tapes[spot.tape];
        let folder = tape.person.as_str();
        let what = &tape.lines[spot.line].what;
        spot.own = match what {
            What::Answer(short) if !moved[spot.tape].is_empty() => {
                *moved[spot.tape].get(&short.sitting).unwrap_or(&folder) == person
            }
            _ => folder == person,
        };
        spot.own || what.fit().is_some()
    });
}

/// Where a line stands among those of all journals.
pub(crate) fn place<'a>(spot: &Spot, tapes: &[&'a Tape]) -> (DateTime<Utc>, &'a str, u64, &'a str) {
    let tape = tapes[spot.tape];
    let seq = tape.lines[spot.line].seq;
    (spot.effective, &tape.bench, seq, &tape.person)
}

/// Puts lines in merged order: by effective time, then bench, then number.
pub(crate) fn sort(spots: &mut [Spot], tapes: &[&Tape]) {
    spots.sort_by(|a, b| {
        a.effective
            .cmp(&b.effective)
            .then_with(|| place(a, tapes).cmp(&place(b, tapes)))
    });
}

/// Takes out the undos and the lines that they take back; an undo that was itself undone takes
/// nothing back. Returns the ids taken back under which no line stands.
pub(crate) fn take_back(spots: &mut Vec<Spot>, tapes: &[&Tape]) -> BTreeSet<String> {
    let undone = |spot: &Spot| match &tapes[spot.tape].lines[spot.line].what {
        What::Other(event) => match event.as_ref() {
            Event::Undo { of } => Some(of.as_str()),
            _ => None,
        },
        What::Answer(_) => None,
    };
    let mut gone: BTreeSet<&str> = BTreeSet::new();
    for spot in spots.iter().rev() {
        if let Some(of) = undone(spot)
            && !gone.contains(tapes[spot.tape].id(spot.line).as_str())
        {
            gone.insert(of);
        }
    }
    if gone.is_empty() {
        return BTreeSet::new();
    }
    let mut loose = gone.clone();
    let mut lines: Vec<BTreeSet<usize>> = Vec::with_capacity(tapes.len());
    for tape in tapes {
        let called = tape.called(&gone);
        loose.retain(|id| !called.iter().any(|(of, _)| of == id));
        lines.push(called.into_iter().map(|(_, line)| line).collect());
    }
    let loose = loose.into_iter().map(str::to_owned).collect();
    spots.retain(|spot| !lines[spot.tape].contains(&spot.line) && undone(spot).is_none());
    loose
}
