//! What the jobs of a fix agree to have read, and who else read it.
//!
//! A sign is held against signs at the same place: "a cracked joint" is seen on many boards, a cracked
//! joint at the connector that was reflowed on few. An end without a fix that says what was wrong with the board
//! counts as another fault; of the others nobody knows whether it was this one, so they are
//! counted and weigh nothing. The limits are common practice, no source.

use std::collections::BTreeSet;

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::kinds::expect::alike::JOBS;
use crate::domain::generate::weigh::account;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::words::phrases;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;

/// Hardly anyone else shows what the fix's own jobs show this many times as often.
pub const HARDLY: usize = 5;
/// What fewer of the others show than this part tells by itself.
pub const SELDOM: f64 = 0.1;

/// How near to the fault a finding is, and how much it is the fix's own: the first goes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Ohms, diode mode or a sign that hardly anyone else shows.
    OwnCause,
    /// A rail or signal that hardly anyone else shows.
    OwnLevel,
    /// Such a draw.
    OwnDraw,
    /// Such words of a test that others made as well.
    OwnTest,
    /// Ohms, diode mode or a sign that others show too.
    Cause,
    /// A rail or signal that others show too.
    Level,
    /// Words of a test that others show too, or that nobody else made.
    Test,
    /// Ohms or diode mode as on a good board.
    HealthyCause,
    /// A draw that others show too.
    Draw,
    /// A rail or signal as on a good board.
    HealthyLevel,
    /// A draw as on a good board.
    HealthyDraw,
    /// Heat, and what tells nothing.
    Rest,
}

impl Class {
    fn of(kind: FindingKind, word: &str, own: bool) -> Self {
        use FindingKind as Kind;
        let healthy = band::is_healthy(word);
        match (kind, healthy, own) {
            (Kind::Heat, ..) | (Kind::Visual | Kind::Other, true, _) => Self::Rest,
            (Kind::Resistance | Kind::Diode, true, _) => Self::HealthyCause,
            (Kind::Rail | Kind::Signal, true, _) => Self::HealthyLevel,
            (Kind::Current, true, _) => Self::HealthyDraw,
            (Kind::Resistance | Kind::Diode | Kind::Visual, _, true) => Self::OwnCause,
            (Kind::Rail | Kind::Signal, _, true) => Self::OwnLevel,
            (Kind::Current, _, true) => Self::OwnDraw,
            (Kind::Other, _, true) => Self::OwnTest,
            (Kind::Resistance | Kind::Diode | Kind::Visual, ..) => Self::Cause,
            (Kind::Rail | Kind::Signal, ..) => Self::Level,
            (Kind::Other, ..) => Self::Test,
            (Kind::Current, ..) => Self::Draw,
        }
    }

    /// Tells whether something is wrong there.
    pub fn is_fault(self) -> bool {
        self <= Self::Test || self == Self::Draw
    }

    /// Tells whether something is wrong there that hardly anyone else shows.
    pub fn is_own_fault(self) -> bool {
        self <= Self::OwnTest
    }

    fn is_draw(self) -> bool {
        matches!(self, Self::OwnDraw | Self::Draw)
    }

    /// Tells whether it may be needed beside `first`: what is as it should be says something only
    /// beside what is wrong at one place.
    pub fn may_join(self, first: Self) -> bool {
        self.is_fault() || self != Self::Rest && !first.is_draw()
    }
}

/// How often a finding was read: jobs that recorded it, and those of them that showed the value.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Read {
    /// Jobs that recorded the finding.
    pub n: usize,
    /// Those that showed the value.
    pub same: usize,
}

impl Read {
    /// Counts one more job that recorded it.
    pub fn add(&mut self, same: bool) {
        self.n += 1;
        self.same += usize::from(same);
    }

    /// Tells whether most of several jobs showed it.
    fn mostly(self) -> bool {
        JOBS <= self.same && self.n < 2 * self.same
    }
}

/// A finding that a fix is expected to show.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Which name of the table without a mask.
    pub name: usize,
    /// Which value of it.
    pub value: usize,
    /// Where the sign was seen; empty where signs were seen at several places, and for other kinds.
    pub place: String,
    /// Over the fix's own jobs.
    pub own: Read,
    /// Over all others, those that ended without a fix among them.
    pub others: Read,
    /// Of those that show it, jobs whose fix no revision shares with this one.
    pub off_revision: usize,
    /// The same as `others` without ends that do not say what was wrong.
    pub unlike: Read,
    /// How near, and how much the fix's own.
    pub class: Class,
    /// By group, then by reason to end without a fix.
    pub read: Vec<Read>,
}

impl Shown {
    /// Tells whether hardly anyone else shows it.
    pub fn is_own(&self) -> bool {
        self.unlike.same * HARDLY <= self.own.same
    }

    /// Tells whether most others that recorded the finding show another value, or next to nobody did.
    fn is_unusual(&self) -> bool {
        self.is_own() || self.unlike.n < JOBS || 2 * self.unlike.same < self.unlike.n
    }

    /// Tells whether half or more of the others that recorded the finding show it as well.
    pub fn is_common(&self) -> bool {
        !self.is_own() && JOBS <= self.others.same && self.others.n <= 2 * self.others.same
    }

    /// Tells whether more than two in three of the others show it: what is in order almost everywhere.
    pub fn is_usual(&self) -> bool {
        2 * self.others.n < 3 * self.others.same
    }

    /// Returns the part of the others that show it, half a job added to either side: one of two is more
    /// than none of two, and less sure than ten of twenty.
    pub fn without(&self) -> f64 {
        (count(self.others.same) + 0.5) / (count(self.others.n) + 1.0)
    }

    /// Tells whether few of many others show it.
    pub fn is_seldom(&self) -> bool {
        self.without() < SELDOM
    }

    /// Says of what kind it is, once everyone is counted.
    #[must_use]
    pub fn classed(self, table: &Table, group: &Group) -> Self {
        let kind = table.names()[self.name].kind;
        let word = table.word(self.name, self.value);
        let test = kind == FindingKind::Other;
        // What a test shows on most boards, whatever the fault, is nothing to go by.
        let usual = self.unlike.n < 2 * self.unlike.same;
        let idle = test && (usual || names_part(word, group));
        // A test that only this fix's jobs made was made when it was suspected already.
        let own = self.is_own() && !(test && self.others.n == 0);
        let class = if idle {
            Class::Rest
        } else {
            Class::of(kind, word, own)
        };
        Self { class, ..self }
    }

    /// Returns it as a person would say it: `5V0 to ground hard short`, `burnt at Q15 (before cleaning)`.
    pub fn said(&self, table: &Table) -> String {
        let name = &table.names()[self.name];
        let said = phrases::read_as(name, table.word(self.name, self.value));
        if self.place.is_empty() {
            return said;
        }
        match said.split_once(" (") {
            Some((sign, when)) => format!("{sign} at {} ({when}", self.place),
            None => format!("{said} at {}", self.place),
        }
    }

    /// Returns how often it was seen with the fix and without it.
    pub fn counted(&self, table: &Table) -> String {
        let (said, own) = (self.said(table), self.own);
        let with = format!("{said}: {} of {} with this fix", own.same, own.n);
        match self.others {
            Read { n: 0, .. } => format!("{with}, recorded with no other"),
            Read { n, same } => {
                let far = account::off_revision(self.off_revision, same);
                format!("{with}, {same} of {n} without{far}")
            }
        }
    }

    /// Tells whether a rival is left out by it.
    pub fn leaves_out(&self, rival: usize) -> bool {
        let Read { n, same } = self.read[rival];
        if same != n || JOBS <= n {
            return 2 * same < n;
        }
        // One job that showed it may be the odd one, where hardly anyone else did.
        let unusual = if n == 0 {
            self.is_unusual()
        } else {
            self.is_own()
        };
        self.class.is_fault() && !self.class.is_draw() && unusual
    }

    /// Tells whether a rival is left out by what its own jobs read.
    pub fn tells_from(&self, rival: usize) -> bool {
        0 < self.read[rival].n && self.leaves_out(rival)
    }

    /// Tells whether most jobs of a rival showed it as well.
    pub fn shown_by(&self, rival: usize) -> bool {
        self.read[rival].mostly()
    }

    /// Tells whether a job saw the sign where the fix's jobs did; other kinds have their place in the
    /// name.
    pub fn is_there(&self, job: &Job, table: &Table, group: &Group) -> bool {
        let called = &table.names()[self.name];
        let word = table.word(self.name, self.value);
        self.place.is_empty() || places(job, called, word, group).contains(&self.place)
    }
}

/// Returns where a job saw one of the signs of `word`: the part of the fix, else the place as it stands.
pub fn places(job: &Job, called: &Name, word: &str, group: &Group) -> BTreeSet<String> {
    let signs = |f: &&Finding| {
        let code = f.code.as_deref();
        f.kind == FindingKind::Visual
            && f.when == called.when
            && code.is_some_and(|code| word.split(" and ").any(|sign| sign == code))
    };
    let place = |f: &Finding| {
        let place = f.place.trim();
        let part = words(place).find(|w| parts(group).any(|part| part == *w));
        part.unwrap_or(place).to_owned()
    };
    job.findings.iter().filter(signs).map(place).collect()
}

/// Tells whether the words of a test name a part of the fix: who made it had found the part.
fn names_part(word: &str, group: &Group) -> bool {
    words(word).any(|w| parts(group).any(|part| part.eq_ignore_ascii_case(w)))
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    let words = text.split(|c: char| !c.is_alphanumeric());
    words.filter(|word| !word.is_empty())
}

fn parts(group: &Group) -> impl Iterator<Item = &str> {
    let pairs = group.fixes().flat_map(Fix::pairs);
    pairs.map(|(_, part)| part.as_str())
}

/// Tells whether two findings are one at the bench: one place in two states, or its ohms and its diode
/// mode.
pub fn same_place(a: &Name, b: &Name) -> bool {
    let ground = |n: &Name| matches!(n.kind, FindingKind::Resistance | FindingKind::Diode);
    a.place == b.place && (a.kind == b.kind || ground(a) && ground(b))
}
