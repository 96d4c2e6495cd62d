//! How much each finding on a front speaks for the answer, in figures that agree with the card.
//!
//! On the side of the answer stand the jobs that the card cites; on the other all jobs of the board
//! that ended in something else, those without a fix among them. What is wrong and was looked for
//! with hardly any other fix weighs as a person weighs it: see [`strength`].

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::pattern::shrunk;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::FindingKind;
use crate::domain::units::count;

/// Weight of evidence from which a finding tells: twice as frequent as elsewhere.
pub const TELLS: f64 = std::f64::consts::LN_2;

/// Words of a named test that found nothing: it rules something out and points nowhere.
pub const FOUND_NOTHING: [&str; 10] = [
    "no",
    "good",
    "full",
    "steady",
    "clear",
    "clean",
    "fine",
    "ok",
    "normal",
    "commanded",
];

/// Hardly a job without the answer reads a value where one does for so many with it.
const HARDLY: usize = 10;

/// One finding on a front and who read it.
#[derive(Clone, Debug, PartialEq)]
pub struct Account {
    /// Which name of the table.
    pub name: usize,
    /// What it shows, in words.
    pub said: String,
    /// Cited jobs that read it so, and that recorded it.
    pub with: [usize; 2],
    /// The same of the jobs that ended otherwise.
    pub without: [usize; 2],
    /// See [`strength`].
    pub weight: f64,
    /// It says that something is wrong: see [`is_wrong`].
    pub wrong: bool,
    /// Of those that ended otherwise and read it so, jobs whose fix no revision shares with the answer.
    pub off_revision: usize,
    /// It leads somewhere: see [`points`].
    pub points: bool,
    /// The same with all jobs that ended otherwise, as they are shown: what is said in front of others.
    shown_weight: f64,
    kind: FindingKind,
}

impl Account {
    /// Says who read it: `3V3_SB (standby) low: 12 of 13 with this fix, 3 of 40 without`.
    pub fn line(&self) -> String {
        let Self { said, .. } = self;
        let ([with, of], [without, rest]) = (self.with, self.without);
        if rest == 0 {
            return format!("{said}: {with} of {of} with this fix, read in no other job");
        }
        let far = off_revision(self.off_revision, without);
        format!("{said}: {with} of {of} with this fix, {without} of {rest} without{far}")
    }

    /// Tells whether it leads somewhere in jobs of the answer, and was recorded in no other job at all.
    pub fn is_alone(&self) -> bool {
        self.points && 0 < self.with[0] && self.without[1] == 0
    }

    /// Tells whether several jobs of the answer agree on a wrong reading that one other job alone recorded:
    /// the counts cannot weigh it.
    pub fn is_hardly_read(&self) -> bool {
        self.wrong
            && !self.is_sign()
            && self.is_usual()
            && 2 <= self.with[0]
            && self.without[1] == 1
    }

    /// Tells whether it leads to the answer, and twice as often as elsewhere.
    pub fn tells(&self) -> bool {
        self.points && TELLS <= worth(self.kind, self.weight)
    }

    /// Tells whether most jobs without the answer that recorded it read it so too.
    pub fn is_common(&self) -> bool {
        self.without[1] < 2 * self.without[0]
    }

    /// Tells whether it was seen and not measured.
    pub fn is_sign(&self) -> bool {
        self.kind == FindingKind::Visual
    }

    /// Tells whether most of the answer's jobs that recorded it read it so.
    pub fn is_usual(&self) -> bool {
        self.with[1] < 2 * self.with[0]
    }

    /// What is wrong and tells stands before what is as it should be; heat stands last.
    fn rank(&self) -> (bool, bool, f64) {
        let worth = worth(self.kind, self.shown_weight);
        (self.kind != FindingKind::Heat, self.tells(), worth)
    }

    /// Of equals, what was measured without supply is nearest to the part, and the draw farthest.
    fn nearness(&self) -> u8 {
        match self.kind {
            FindingKind::Resistance | FindingKind::Diode => 2,
            FindingKind::Rail | FindingKind::Signal => 1,
            _ => 0,
        }
    }
}

/// Says how many of the `same` jobs without a fix mended what no revision has beside it, where that is half of
/// several: they say nothing of the board in hand.
pub fn off_revision(far: usize, same: usize) -> String {
    if far < 2 || 2 * far < same {
        return String::new();
    }
    format!(" ({far} of them on revisions without this fix's part)")
}

/// Tells whether a value says that something is wrong; a test's words and heat are not judged.
pub fn is_wrong(name: &Name, word: &str) -> bool {
    !matches!(name.kind, FindingKind::Heat | FindingKind::Other) && !band::is_healthy(word)
}

/// Tells whether a value leads somewhere: what is wrong, and what a named test found.
pub fn points(name: &Name, word: &str) -> bool {
    let nothing = || word.split(' ').any(|w| FOUND_NOTHING.contains(&w));
    is_wrong(name, word) || (name.kind == FindingKind::Other && !nothing())
}

/// Returns what a weight is worth when findings are put in order: many faults share a draw, which comes
/// after a reading or a test of half its weight.
pub fn worth(kind: FindingKind, weight: f64) -> f64 {
    if kind == FindingKind::Current && 0.0 < weight {
        0.5 * weight
    } else {
        weight
    }
}

/// Returns how much a finding speaks for an answer: seen in `with` of the jobs that recorded it and in
/// `without` of the others, of `jobs` on each side; a natural logarithm.
///
/// What is wrong and hardly a job without the answer read so is looked for where something points there:
/// jobs that did not record it count as not showing it.
pub fn strength(with: [usize; 2], without: [usize; 2], jobs: [usize; 2], wrong: bool) -> f64 {
    let weigh = |own: [usize; 2], rest: [usize; 2]| {
        let ([seen, of], [other, all]) = (own.map(count), rest.map(count));
        let overall = (seen + other + 0.5) / (of + all + 1.0);
        libm::log(shrunk(seen, of, overall) / shrunk(other, all, overall))
    };
    let plain = weigh(with, without);
    if wrong && HARDLY * without[0] <= with[0] {
        plain.max(weigh([with[0], jobs[0]], [without[0], jobs[1]]))
    } else {
        plain
    }
}

/// Returns the findings on the front, what speaks most first.
pub fn of(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Vec<Account> {
    let cited = shelf.cited(group, draft);
    let rest = draft.sides.iter().filter(|s| **s == Side::Rest).count();
    let jobs = [cited.len(), rest + shelf.ends.len()];
    let names = draft.names.iter();
    let apart = shelf.off_revision(group);
    let mut all: Vec<Account> = names
        .filter_map(|name| {
            let value = draft.table.value(*name, draft.shown)?;
            let (mut with, mut without, mut off_revision) = ([0, 0], [0, 0], 0);
            let column = draft.table.column(*name);
            for row in cited
                .iter()
                .filter(|row| draft.table.value(*name, **row).is_some())
            {
                with[0] += usize::from(column[*row] == value);
                with[1] += 1;
            }
            for other in 0..draft.table.n_values(*name) {
                let rest = |row: &&usize| draft.sides[**row] == Side::Rest;
                let rows = || draft.table.rows(*name, other).iter().filter(rest);
                let n = rows().count();
                if other == value && !apart.is_empty() {
                    off_revision = rows().filter(|row| apart.contains(row)).count();
                }
                without[0] += if other == value { n } else { 0 };
                without[1] += n;
            }
            // All are counted, but what cost too much may have had this very fault.
            let mut against = without;
            for (row, alike) in shelf.ends.read(&draft.table, *name, value) {
                let says = usize::from(shelf.ends.says_what(row));
                let alike = usize::from(alike);
                without = [without[0] + alike, without[1] + 1];
                against = [against[0] + alike * says, against[1] + says];
            }
            let (own, word) = (&draft.table.names()[*name], draft.table.word(*name, value));
            let wrong = is_wrong(own, word);
            Some(Account {
                name: *name,
                said: phrases::read_as(own, word),
                with,
                without,
                weight: strength(with, against, jobs, wrong),
                shown_weight: strength(with, without, jobs, wrong),
                wrong,
                off_revision,
                points: points(own, word),
                kind: own.kind,
            })
        })
        .collect();
    all.sort_by(|a, b| {
        let (left, right) = (a.rank(), b.rank());
        (right.0, right.1)
            .cmp(&(left.0, left.1))
            .then(right.2.total_cmp(&left.2))
            .then(b.nearness().cmp(&a.nearness()))
            .then(a.name.cmp(&b.name))
    });
    all
}
