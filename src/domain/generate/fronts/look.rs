//! A look at the front of a card: the findings of the shown job, how each may stand on the front, and what
//! else jobs of the board ended in that would show the same.
//!
//! A rival is *excluded* by a shown finding that its jobs recorded and mostly read otherwise; it is
//! *open* where nothing shown excludes it and it shows what speaks most for the answer, or shares the
//! complaint and readings. A sign and heat stand on a front without their places, and some readings
//! too: they exclude what did not show them at all, and tell no part. Limits: common practice, no
//! source. What is done about open rivals: [`crate::domain::generate::fronts::rival`].

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::account;
use crate::domain::generate::weigh::account::TELLS;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::is_circumstance;
use crate::domain::wording;

/// A rival has so many jobs.
const JOBS: usize = 2;
/// So many jobs that read a thing otherwise are enough to go by.
const ENOUGH: usize = 5;
/// How a finding of the shown job may stand on the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// As it was read.
    Whole,
    /// Without its place.
    Placeless,
    /// Not at all.
    Not,
}

/// One finding of the shown job, by its name without a mask.
#[derive(Clone, Debug)]
pub struct Sight {
    /// Its name without a mask.
    pub name: Name,
    /// Its value in words.
    pub word: String,
    /// Its name on the card.
    pub own: Option<usize>,
    /// How it may stand on the front.
    pub stands: Stands,
    /// It does stand there.
    pub on_front: bool,
    /// Jobs of the answer that read it so, and that recorded it.
    pub with: [usize; 2],
    /// The same of all other jobs.
    pub without: [usize; 2],
    /// How much it speaks for the answer: [`account::strength`].
    pub weight: f64,
}

impl Sight {
    /// Tells whether it says that something is wrong, and is measured or seen.
    pub fn is_wrong(&self) -> bool {
        account::is_wrong(&self.name, &self.word)
    }

    /// Tells whether it is a test that names the answer, and that the answer's jobs mostly show.
    pub fn is_held_test(&self) -> bool {
        self.stands == Stands::Not && self.is_usual() && self.points()
    }

    /// Tells whether it is something wrong at a place that is named.
    pub fn is_fault(&self) -> bool {
        self.is_whole() && self.name.kind != FindingKind::Current && self.is_wrong()
    }

    /// Tells whether it leads somewhere: see [`account::points`].
    fn points(&self) -> bool {
        account::points(&self.name, &self.word)
    }

    /// Tells whether it leads to the answer and no other job shows it, though enough looked.
    fn decides(&self) -> bool {
        self.points() && TELLS <= self.weight && self.is_alone()
    }

    /// Tells whether no other job shows it, though enough looked.
    pub fn is_alone(&self) -> bool {
        let [with, without] = [self.with[0], self.without[0]];
        JOBS <= with && self.is_usual() && without == 0 && ENOUGH <= self.without[1]
    }

    /// Tells whether a person can work with it: more than a sign or a reading somewhere.
    pub fn is_whole(&self) -> bool {
        self.stands == Stands::Whole
    }

    /// Tells whether it is on the front and can speak against a rival.
    fn excludes(&self) -> bool {
        let sign = self.name.kind == FindingKind::Visual;
        // A test that the answer's own jobs mostly read otherwise speaks against the answer as much.
        let test = self.name.kind == FindingKind::Other;
        let own = !test || self.with[1] == 0 || self.with[1] <= 2 * self.with[0];
        self.on_front && own && (self.is_whole() || sign)
    }

    /// Tells whether the jobs of the answer mostly show it.
    pub fn is_usual(&self) -> bool {
        self.with[1] < 2 * self.with[0]
    }
}

/// Something else that jobs ended in.
#[derive(Clone, Debug)]
pub struct Rival<'a> {
    /// The fix, or the reason, in words.
    pub what: String,
    /// The jobs that ended in it.
    pub jobs: Vec<&'a Job>,
    /// Their rows: among the board's jobs without a fix, or among the others.
    rows: Vec<usize>,
    ended: bool,
    /// By sight: jobs that read it so, and that recorded it.
    read: Vec<[usize; 2]>,
}

impl Rival<'_> {
    /// Tells whether its jobs mostly read a finding otherwise.
    fn differs(&self, sight: usize) -> bool {
        let [alike, recorded] = self.read[sight];
        let enough = JOBS <= recorded || (0 < recorded && self.jobs.len() <= 2 * recorded);
        enough && 2 * alike < recorded
    }

    fn agrees(&self, sight: usize) -> bool {
        let [alike, recorded] = self.read[sight];
        0 < alike && recorded <= 2 * alike
    }

    /// Returns how many of its jobs share a symptom with the shown one.
    fn complained(&self, shown: &Job) -> usize {
        let complaint = Complaint::of(shown);
        let jobs = self.jobs.iter();
        jobs.filter(|job| complaint.is_shared_by(job)).count()
    }

    /// Tells whether its jobs mostly saw signs or heat at other places than the shown job.
    fn is_elsewhere(&self, kind: FindingKind, shown: &Job) -> bool {
        let own: Vec<&str> = places(shown, kind).collect();
        let mut read = [0, 0];
        for job in &self.jobs {
            let mut places = places(job, kind).peekable();
            read[1] += usize::from(places.peek().is_some());
            read[0] += usize::from(places.any(|place| own.contains(&place)));
        }
        let [alike, recorded] = read;
        !own.is_empty() && 0 < recorded && 2 * alike < recorded
    }
}

/// What the customer of one job complained of, to be held against many others.
pub struct Complaint<'a> {
    /// Its words, and whether each says more than circumstances.
    words: Vec<(&'a str, bool)>,
    symptoms: bool,
}

impl<'a> Complaint<'a> {
    /// Takes the complaint of a job.
    pub fn of(job: &'a Job) -> Self {
        let words = job
            .complaint
            .iter()
            .map(|word| (word.as_str(), is_symptom(word)));
        let words: Vec<(&str, bool)> = words.collect();
        let symptoms = words.iter().any(|(_, symptom)| *symptom);
        Self { words, symptoms }
    }

    /// Tells whether the customer of another job complained of the same; where one of them named circumstances
    /// alone, of those.
    pub fn is_shared_by(&self, job: &Job) -> bool {
        let own = |word: &String| self.words.iter().find(|(own, _)| own == word);
        let mut circumstance = false;
        for (_, symptom) in job.complaint.iter().filter_map(own) {
            if *symptom {
                return true;
            }
            circumstance = true;
        }
        circumstance && (!self.symptoms || !job.complaint.iter().any(|word| is_symptom(word)))
    }
}

fn is_symptom(word: &str) -> bool {
    !is_circumstance(word)
}

/// Returns where a job saw signs, or felt heat, before its repair.
fn places(job: &Job, kind: FindingKind) -> impl Iterator<Item = &str> {
    let seen = move |f: &&Finding| {
        let nothing = || f.code.as_deref().is_some_and(band::is_healthy);
        f.kind == kind && tier::is_before_repair(f) && !f.place.trim().is_empty() && !nothing()
    };
    job.findings.iter().filter(seen).map(|f| f.place.trim())
}

/// The findings of a shown job, and what else would show them.
pub struct Look<'a> {
    shown: &'a Job,
    /// What the shown job recorded.
    pub sights: Vec<Sight>,
    /// What else jobs ended in.
    pub rivals: Vec<Rival<'a>>,
}

impl<'a> Look<'a> {
    /// Looks at a draft; `right` are fixes that are no rivals beside the group's own.
    pub fn at(
        shelf: &'a Shelf<'_>,
        group: &Group,
        draft: &Draft,
        mask: &Mask,
        right: &[Fix],
    ) -> Self {
        let table = shelf.table(&Mask::default());
        let hidden = shelf.hidden(mask);
        let mut rivals = rivals(shelf, group, right);
        let owners = Owners::of(shelf, &rivals);
        let rest = draft.sides.iter().filter(|s| **s == Side::Rest).count();
        let jobs = [group.evidence.len(), rest + shelf.ends.len()];
        let mut sights = Vec::new();
        for (name, value) in recorded(&table, draft.shown) {
            let mut read = vec![[0, 0]; rivals.len()];
            let mut without = [0, 0];
            let mut count = |owner: Option<usize>, other: bool, alike: bool| {
                let own = owner.and_then(|at| read.get_mut(at));
                for read in own.into_iter().chain(other.then_some(&mut without)) {
                    read[0] += usize::from(alike);
                    read[1] += 1;
                }
            };
            for other in 0..table.n_values(name) {
                for row in table.rows(name, other) {
                    let is_rest = draft.sides[*row] == Side::Rest;
                    count(owners.of_case[*row], is_rest, other == value);
                }
            }
            for (row, alike) in shelf.ends.read(&table, name, value) {
                count(owners.of_end[row], shelf.ends.says_what(row), alike);
            }
            for (rival, read) in rivals.iter_mut().zip(read) {
                rival.read.push(read);
            }
            let sight = sight(&table, (name, value), draft, hidden[name]);
            let mut sight = weighed(sight, (&table, name, value), group, without, jobs);
            if sight.name.kind == FindingKind::Visual && sight.is_wrong() {
                // The place of a sign may tell more than the sign.
                let there = placed(shelf, group, draft);
                let placed = [[there[0], sight.with[1]], [there[1], without[1]]];
                let placed = account::strength(placed[0], placed[1], jobs, true);
                sight.weight = sight.weight.max(placed);
            }
            sights.push(sight);
        }
        Self {
            shown: shelf.cases[draft.shown].job,
            sights,
            rivals,
        }
    }

    /// Returns what speaks most for the answer among what stands whole on the front.
    pub fn lead(&self) -> Option<usize> {
        let whole = |at: &usize| {
            let sight = &self.sights[*at];
            sight.on_front && sight.is_whole() && 0.0 < sight.weight
        };
        let order = |at: &usize| {
            let sight = &self.sights[*at];
            let worth = account::worth(sight.name.kind, sight.weight);
            (sight.points() && TELLS <= worth, worth)
        };
        let all = (0..self.sights.len()).filter(whole);
        all.max_by(|a, b| {
            let (a, b) = (order(a), order(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        })
    }

    /// Returns the rivals that the front leaves open.
    ///
    /// Where something wrong leads the front, a rival shows it as well, or was never read there and has the
    /// complaint and two other readings in common; where nothing wrong does, the complaint and one.
    pub fn open(&self) -> Vec<usize> {
        let lead = self.lead();
        let wrong = lead.filter(|at| self.sights[*at].points());
        let alone = wrong.is_some_and(|at| self.sights[at].without[0] == 0);
        let is_open = |rival: &Rival<'_>| {
            let shown = || (0..self.sights.len()).filter(|at| self.sights[*at].excludes());
            if shown().any(|at| rival.differs(at)) {
                return false;
            }
            // What decides was never read with it, or something wrong at a named place was, otherwise.
            let speaks_against = |at: usize| {
                let sight = &self.sights[at];
                let [alike, read] = rival.read[at];
                alike == 0 && (sight.decides() || 0 < read && sight.is_fault())
            };
            if shown().any(speaks_against) {
                return false;
            }
            let complained = rival.complained(self.shown);
            let shares = rival.jobs.len() <= 2 * complained;
            let whole = shown().filter(|at| self.sights[*at].is_whole());
            let alike = whole.filter(|at| rival.agrees(*at)).count();
            match wrong {
                // The same test is done on many faults.
                Some(at) if rival.agrees(at) => {
                    let test = self.sights[at].name.kind == FindingKind::Other;
                    0 < complained && (!test || 1 < alike)
                }
                Some(_) => !alone && shares && 1 < alike,
                None => shares && (0 < alike || lead.is_none()),
            }
        };
        let all = 0..self.rivals.len();
        all.filter(|at| is_open(&self.rivals[*at])).collect()
    }

    /// Returns the jobs of the rivals of `open` that a finding speaks against.
    pub fn excluded(&self, sight: usize, open: &[usize]) -> usize {
        let rivals = open.iter().map(|at| &self.rivals[*at]);
        let against = rivals.filter(|rival| rival.differs(sight));
        against.map(|rival| rival.jobs.len()).sum()
    }

    /// Says what decides and is held back between the answer and a rival.
    pub fn held_back(&self, rival: &Rival<'_>) -> Option<String> {
        let held = (0..self.sights.len()).filter(|at| {
            let sight = &self.sights[*at];
            let heat = sight.name.kind == FindingKind::Heat;
            !sight.is_whole() && !sight.excludes() && !heat && rival.differs(*at)
        });
        let most = held.max_by(|a, b| {
            let weight = |at: &usize| self.sights[*at].weight;
            weight(a).total_cmp(&weight(b))
        });
        let place = |kind| {
            let sight = self.sights.iter().find(|s| s.name.kind == kind)?;
            rival.is_elsewhere(kind, self.shown).then(|| said(sight))
        };
        let unread = || {
            let heaviest = self.heaviest_held()?;
            let lead = self.lead().map_or(0.0, |at| self.sights[at].weight);
            let tells = lead.max(TELLS) <= self.sights[heaviest].weight;
            (tells && rival.read[heaviest][0] == 0).then(|| said(&self.sights[heaviest]))
        };
        most.map(|at| said(&self.sights[at]))
            .or_else(|| place(FindingKind::Visual))
            .or_else(|| place(FindingKind::Heat))
            .or_else(unread)
    }

    /// Tells whether the front shows something wrong at a place that is named.
    pub fn has_fault(&self) -> bool {
        let mut shown = self.sights.iter().filter(|s| s.on_front);
        shown.any(Sight::is_fault)
    }

    /// Returns what is wrong, or a test, that speaks most for the answer among what is held back.
    pub fn heaviest_held(&self) -> Option<usize> {
        let held = (0..self.sights.len()).filter(|at| {
            let sight = &self.sights[*at];
            let heat = sight.name.kind == FindingKind::Heat;
            let tells = sight.is_wrong() || sight.stands == Stands::Not;
            !sight.is_whole() && !heat && sight.is_usual() && tells
        });
        held.max_by(|a, b| self.sights[*a].weight.total_cmp(&self.sights[*b].weight))
    }
}

/// Returns the names that a job recorded, each with its value.
fn recorded(table: &Table, row: usize) -> Vec<(usize, usize)> {
    (0..table.names().len())
        .filter_map(|name| Some((name, table.value(name, row)?)))
        .collect()
}

fn sight(table: &Table, (name, value): (usize, usize), draft: &Draft, hidden: bool) -> Sight {
    let bare = table.names()[name].clone();
    let own = draft.table.masked_name(&bare);
    let stands = match bare.kind {
        FindingKind::Visual | FindingKind::Heat => Stands::Placeless,
        FindingKind::Other if hidden => Stands::Not,
        _ if hidden => Stands::Placeless,
        _ => Stands::Whole,
    };
    Sight {
        word: table.word(name, value).to_owned(),
        name: bare,
        own,
        stands,
        on_front: own.is_some_and(|own| draft.names.contains(&own)),
        with: [0, 0],
        without: [0, 0],
        weight: 0.0,
    }
}

/// Counts the jobs of the answer, and the others, that saw a sign where the shown job did.
fn placed(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> [usize; 2] {
    let own: Vec<&str> = places(shelf.cases[draft.shown].job, FindingKind::Visual).collect();
    let there = |job: &Job| places(job, FindingKind::Visual).any(|place| own.contains(&place));
    let with = group.evidence.iter();
    let with = with.filter(|row| there(shelf.cases[**row].job)).count();
    let rest = draft.sides.iter().zip(&shelf.cases);
    let rest = rest.filter(|(side, case)| **side == Side::Rest && there(case.job));
    let ends = (0..shelf.ends.len()).filter(|row| shelf.ends.says_what(*row));
    let ends = ends.filter(|row| there(shelf.ends.job(*row)));
    [with, rest.count() + ends.count()]
}

/// Counts how the answer's own jobs read a finding, and weighs it.
fn weighed(
    mut sight: Sight,
    (table, name, value): (&Table, usize, usize),
    group: &Group,
    without: [usize; 2],
    jobs: [usize; 2],
) -> Sight {
    for row in &group.evidence {
        if let Some(read) = table.value(name, *row) {
            sight.with[0] += usize::from(read == value);
            sight.with[1] += 1;
        }
    }
    sight.without = without;
    let looked_for = sight.is_wrong() || sight.stands == Stands::Not;
    sight.weight = account::strength(sight.with, without, jobs, looked_for);
    sight
}

/// Returns what else jobs of the board ended in: its other fixes, each way of failing by itself, with the
/// jobs that speak for them, and what was found to be wrong where nothing was mended.
fn rivals<'a>(shelf: &'a Shelf<'_>, group: &Group, right: &[Fix]) -> Vec<Rival<'a>> {
    let barred = shelf.barred();
    let another = |other: &&Group| {
        !group.has_fix(&other.fix)
            && JOBS <= other.evidence.len()
            && !right.contains(&other.fix)
            && !barred.contains(&other.fix)
            && shelf.share_a_revision(&[&group.fix, &other.fix])
    };
    let fixes = shelf.groups.iter().filter(another).map(|other| Rival {
        what: phrases::short_fix(&other.fix),
        jobs: job_list(&other.evidence, |row| shelf.cases[row].job),
        rows: other.evidence.clone(),
        ended: false,
        read: Vec::new(),
    });
    let reasons = shelf.ends.by_reason().into_iter();
    let reasons = reasons.filter(|(_, rows)| JOBS <= rows.len());
    let ends = reasons.map(|(reason, rows)| Rival {
        what: reason.replace('-', " "),
        jobs: job_list(&rows, |row| shelf.ends.job(row)),
        rows,
        ended: true,
        read: Vec::new(),
    });
    fixes.chain(ends).collect()
}

fn job_list<'a>(rows: &[usize], job: impl Fn(usize) -> &'a Job) -> Vec<&'a Job> {
    rows.iter().map(|row| job(*row)).collect()
}

/// Which rival each job of a board speaks for.
struct Owners {
    of_case: Vec<Option<usize>>,
    of_end: Vec<Option<usize>>,
}

impl Owners {
    fn of(shelf: &Shelf<'_>, rivals: &[Rival<'_>]) -> Self {
        let mut owners = Self {
            of_case: vec![None; shelf.cases.len()],
            of_end: vec![None; shelf.ends.len()],
        };
        for (at, rival) in rivals.iter().enumerate() {
            let of = if rival.ended {
                &mut owners.of_end
            } else {
                &mut owners.of_case
            };
            for row in &rival.rows {
                of[*row] = Some(at);
            }
        }
        owners
    }
}

/// Returns a finding as a person would say it, and of what stands without its place the place.
pub fn said(sight: &Sight) -> String {
    match sight.name.kind {
        FindingKind::Heat => "where it is warm".to_owned(),
        FindingKind::Visual if sight.is_wrong() => {
            let signs: Vec<String> = sight.word.split(" and ").map(wording::sign).collect();
            format!("the place of the sign ({})", signs.join(" and "))
        }
        _ => phrases::read_as(&sight.name, &sight.word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[test]
    fn circumstances_are_no_common_complaint() {
        let with = |words: &[&str]| Job {
            complaint: words.iter().map(|w| (*w).to_owned()).collect(),
            ..sample::job("1", "U5", 1)
        };
        let shared = |a: &[&str], b: &[&str]| Complaint::of(&with(b)).is_shared_by(&with(a));
        assert!(shared(&["no-start", "impact"], &["no-start"]));
        assert!(!shared(&["no-start", "impact"], &["no-link", "impact"]));
        assert!(
            shared(&["impact"], &["no-link", "impact"]),
            "nothing else is known"
        );
    }

    #[test]
    fn a_test_that_the_answer_mostly_reads_otherwise_excludes_nothing() {
        let sight = |finding: &Finding, with: [usize; 2]| Sight {
            name: Name::of(finding),
            word: "no change".to_owned(),
            own: Some(0),
            stands: Stands::Whole,
            on_front: true,
            with,
            without: [0, 0],
            weight: 0.0,
        };
        let flex = sample::test("flex test", "no change");
        assert!(!sight(&flex, [1, 4]).excludes());
        assert!(sight(&flex, [2, 4]).excludes());
        assert!(sight(&flex, [0, 0]).excludes(), "nobody knows");
        assert!(sight(&sample::rail("VSYS", "low"), [1, 4]).excludes());
    }
}
