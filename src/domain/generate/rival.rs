//! What else would look like the front of a card: the board's other fixes, and what ended without one.
//!
//! A rival is *excluded* by a shown finding that its jobs recorded and mostly read otherwise; it is
//! *open* where nothing shown excludes it and it shows what speaks most for the answer, or shares the
//! complaint and a reading. [`widened`] chooses further findings of the shown job that exclude what
//! is open, and that make a board of a line; [`warnings`] says what stays open, and why: because the
//! archive knows no more, or because what decides is held back.
//!
//! A sign and heat stand on a front without their places, and some readings too: they exclude what
//! did not show them at all, and tell no part. Limits: common practice, no source.

use crate::domain::generate::account;
use crate::domain::generate::account::TELLS;
use crate::domain::generate::band;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::pattern;
use crate::domain::generate::pattern::Side;
use crate::domain::generate::remark;
use crate::domain::generate::table::Name;
use crate::domain::generate::table::Table;
use crate::domain::generate::tier;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;
use crate::domain::wording;

/// A rival has so many jobs.
const JOBS: usize = 2;
/// A front is not narrowed below so many jobs of its fix for the sake of one more finding.
const KEPT: usize = 4;
/// Findings that a front has at least, where the shown job recorded as many.
const A_BOARD: usize = 3;
/// Words of a complaint that say what befell the board, not what it does.
const CIRCUMSTANCES: [&str; 5] = [
    "liquid-entry",
    "impact",
    "surge-or-miswire",
    "failed-after-earlier-repair",
    "unknown",
];
/// So many rivals are named in a warning.
const NAMED: usize = 2;

/// How a finding of the shown job may stand on the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stands {
    /// As it was read.
    Whole,
    /// Without its place.
    Placeless,
    /// Not at all.
    Not,
}

/// One finding of the shown job, by its name without a mask.
#[derive(Clone, Debug)]
struct Sight {
    name: Name,
    word: String,
    /// Its name on the card.
    own: Option<usize>,
    stands: Stands,
    on_front: bool,
    /// Jobs of the answer that read it so, and that recorded it.
    with: [usize; 2],
    /// The same of all other jobs.
    without: [usize; 2],
    weight: f64,
}

impl Sight {
    /// Tells whether it says that something is wrong, and is measured or seen.
    fn is_wrong(&self) -> bool {
        account::is_wrong(&self.name, &self.word)
    }

    /// Tells whether a person can work with it: more than a sign or a reading somewhere.
    fn is_whole(&self) -> bool {
        self.stands == Stands::Whole
    }

    /// Tells whether it is on the front and can speak against a rival.
    fn excludes(&self) -> bool {
        let sign = self.name.kind == FindingKind::Visual;
        self.on_front && (self.is_whole() || sign)
    }

    /// Tells whether the jobs of the answer mostly show it.
    fn is_usual(&self) -> bool {
        self.with[1] < 2 * self.with[0]
    }
}

/// Something else that jobs ended in.
#[derive(Clone, Debug)]
struct Rival<'a> {
    what: String,
    jobs: Vec<&'a Job>,
    /// Of them, those that share a symptom of the shown complaint.
    complained: usize,
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

    /// Tells whether its jobs mostly saw signs or heat at other places than the shown job.
    fn is_elsewhere(&self, kind: FindingKind, shown: &Job) -> bool {
        let own = places(shown, kind);
        let mut read = [0, 0];
        for job in &self.jobs {
            let places = places(job, kind);
            read[1] += usize::from(!places.is_empty());
            read[0] += usize::from(places.iter().any(|place| own.contains(place)));
        }
        let [alike, recorded] = read;
        !own.is_empty() && 0 < recorded && 2 * alike < recorded
    }
}

/// Tells whether the customers of two jobs complained of the same; where one named circumstances alone,
/// of those.
fn share_a_symptom(a: &Job, b: &Job) -> bool {
    let symptoms = |job: &Job| {
        job.complaint
            .iter()
            .any(|c| !CIRCUMSTANCES.contains(&c.as_str()))
    };
    let bare = !symptoms(a) || !symptoms(b);
    let common = |c: &&String| b.complaint.contains(c);
    let mut both = a.complaint.iter().filter(common);
    both.any(|c| bare || !CIRCUMSTANCES.contains(&c.as_str()))
}

/// Returns where a job saw signs, or felt heat, before its repair.
fn places(job: &Job, kind: FindingKind) -> Vec<&str> {
    let seen = |f: &&Finding| {
        let nothing = f.code.as_deref().is_some_and(band::is_healthy);
        f.kind == kind && tier::is_before_repair(f) && !nothing && !f.place.trim().is_empty()
    };
    job.findings
        .iter()
        .filter(seen)
        .map(|f| f.place.trim())
        .collect()
}

/// The findings of a shown job, and what else would show them.
struct Look<'a> {
    shown: &'a Job,
    sights: Vec<Sight>,
    rivals: Vec<Rival<'a>>,
}

impl<'a> Look<'a> {
    /// Looks at a draft; `right` are fixes that are no rivals beside the group's own.
    fn at(shelf: &'a Shelf<'_>, group: &Group, draft: &Draft, mask: &Mask, right: &[Fix]) -> Self {
        let table = shelf.table(&Mask::default());
        let shown = shelf.cases[draft.shown].job;
        let names = recorded(&table, draft.shown);
        let mut rivals = fixes(shelf, group, right);
        let n_fixes = rivals.len();
        let mut owner: Vec<Option<usize>> = vec![None; shelf.cases.len()];
        for (at, (_, rows)) in rivals.iter().enumerate() {
            for row in rows {
                owner[*row] = Some(at);
            }
        }
        let mut end_owner: Vec<Option<usize>> = vec![None; shelf.ends.len()];
        let reasons = shelf.ends.by_reason().into_iter();
        for (reason, rows) in reasons.filter(|(_, rows)| JOBS <= rows.len()) {
            for row in &rows {
                end_owner[*row] = Some(rivals.len());
            }
            rivals.push((reason.replace('-', " "), rows));
        }
        let mut reads: Vec<Vec<[usize; 2]>> = vec![Vec::new(); rivals.len()];
        let hidden = shelf.hidden(mask);
        let mut sights = Vec::new();
        for (name, value) in names {
            let mut read = vec![[0, 0]; rivals.len()];
            let mut count = |at: Option<usize>, alike: bool| {
                if let Some(read) = at.and_then(|at| read.get_mut(at)) {
                    read[0] += usize::from(alike);
                    read[1] += 1;
                }
            };
            let mut without = [0, 0];
            for other in 0..table.n_values(name) {
                for row in table.rows(name, other) {
                    count(owner[*row], other == value);
                    if draft.sides[*row] == Side::Rest {
                        without[0] += usize::from(other == value);
                        without[1] += 1;
                    }
                }
            }
            for (row, alike) in shelf.ends.read(&table, name, value) {
                count(end_owner[row], alike);
                without[0] += usize::from(alike);
                without[1] += 1;
            }
            for (all, read) in reads.iter_mut().zip(read) {
                all.push(read);
            }
            let sight = sight(&table, (name, value), draft, hidden[name]);
            sights.push(weighed(sight, (&table, name, value), group, without, {
                let rest = draft.sides.iter().filter(|s| **s == Side::Rest).count();
                rest + shelf.ends.len()
            }));
        }
        let rivals = rivals.into_iter().zip(reads).enumerate();
        let rivals = rivals.map(|(at, ((what, rows), read))| {
            let job = |row: &usize| match at < n_fixes {
                true => shelf.cases[*row].job,
                false => shelf.ends.job(*row),
            };
            let jobs: Vec<&Job> = rows.iter().map(job).collect();
            let shares = |job: &&&Job| share_a_symptom(job, shown);
            let complained = jobs.iter().filter(shares).count();
            Rival {
                what,
                jobs,
                complained,
                read,
            }
        });
        Self {
            shown,
            sights,
            rivals: rivals.collect(),
        }
    }

    /// Returns what speaks most for the answer among what stands whole on the front.
    fn lead(&self) -> Option<usize> {
        let whole = |at: &usize| {
            let sight = &self.sights[*at];
            sight.on_front && sight.is_whole() && 0.0 < sight.weight
        };
        let order = |at: &usize| {
            let sight = &self.sights[*at];
            (sight.is_wrong() && TELLS <= sight.weight, sight.weight)
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
    fn open(&self) -> Vec<usize> {
        let lead = self.lead();
        let wrong = lead.filter(|at| self.sights[*at].is_wrong());
        let alone = wrong.is_some_and(|at| self.sights[at].without[0] == 0);
        let is_open = |rival: &Rival<'_>| {
            let shown = || (0..self.sights.len()).filter(|at| self.sights[*at].excludes());
            let shares = rival.jobs.len() <= 2 * rival.complained;
            let whole = shown().filter(|at| self.sights[*at].is_whole());
            let alike = whole.filter(|at| rival.agrees(*at)).count();
            let fits = match wrong {
                Some(at) if rival.agrees(at) => 0 < rival.complained,
                Some(_) => !alone && shares && 1 < alike,
                None => shares && (0 < alike || lead.is_none()),
            };
            fits && !shown().any(|at| rival.differs(at))
        };
        let all = 0..self.rivals.len();
        all.filter(|at| is_open(&self.rivals[*at])).collect()
    }

    /// Returns the jobs of the rivals of `open` that a finding speaks against.
    fn excluded(&self, sight: usize, open: &[usize]) -> usize {
        let rivals = open.iter().map(|at| &self.rivals[*at]);
        let against = rivals.filter(|rival| rival.differs(sight));
        against.map(|rival| rival.jobs.len()).sum()
    }

    /// Says what decides and is held back between the answer and a rival.
    fn held_back(&self, rival: &Rival<'_>) -> Option<String> {
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

    /// Returns what is wrong, or a test, that speaks most for the answer among what is held back.
    fn heaviest_held(&self) -> Option<usize> {
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

/// Counts how the answer's own jobs read a finding, and weighs it.
fn weighed(
    mut sight: Sight,
    (table, name, value): (&Table, usize, usize),
    group: &Group,
    without: [usize; 2],
    rest: usize,
) -> Sight {
    for row in &group.evidence {
        if let Some(read) = table.value(name, *row) {
            sight.with[0] += usize::from(read == value);
            sight.with[1] += 1;
        }
    }
    sight.without = without;
    let jobs = [group.evidence.len(), rest];
    let looked_for = sight.is_wrong() || sight.stands == Stands::Not;
    sight.weight = account::strength(sight.with, without, jobs, looked_for);
    sight
}

/// Returns the board's other fixes, each way of failing by itself, with the jobs that speak for them.
fn fixes(shelf: &Shelf<'_>, group: &Group, right: &[Fix]) -> Vec<(String, Vec<usize>)> {
    let barred = shelf.barred();
    let another = |other: &&Group| {
        !group.has_fix(&other.fix)
            && JOBS <= other.evidence.len()
            && !right.contains(&other.fix)
            && !barred.contains(&other.fix)
            && shelf.share_a_revision(&[&group.fix, &other.fix])
    };
    let others = shelf.groups.iter().filter(another);
    others
        .map(|other| (remark::short_fix(&other.fix), other.evidence.clone()))
        .collect()
}

/// Returns a draft with further findings of its shown job: what excludes rivals that are open, what is
/// wrong and tells, and what makes a board of a single line.
///
/// None is taken that hardly a job of the fix shows together with the others.
pub fn widened(shelf: &Shelf<'_>, group: &Group, draft: Draft, mask: &Mask) -> Draft {
    let mut look = Look::at(shelf, group, &draft, mask, &[]);
    let mut draft = draft;
    let take = |look: &mut Look<'_>, draft: &mut Draft, order: Vec<usize>| {
        let [own, _] = shelf.support(group, draft);
        for at in order {
            let Some(name) = look.sights[at].own else {
                continue;
            };
            let wider = shelf.with_name(group, draft, name);
            let [kept, proved] = shelf.support(group, &wider);
            if own.min(KEPT) <= kept && 0 < proved {
                *draft = wider;
                look.sights[at].on_front = true;
                return true;
            }
        }
        false
    };
    while draft.names.len() < pattern::MOST {
        let open = look.open();
        let telling = best(&look, |at| {
            let excluded = look.excluded(at, &open);
            (0 < excluded).then(|| count(excluded))
        });
        if !take(&mut look, &mut draft, telling) {
            break;
        }
    }
    while draft.names.len() < pattern::MOST {
        let wrong = best(&look, |at| {
            let sight = &look.sights[at];
            let tells = sight.is_wrong() && sight.is_usual() && TELLS <= sight.weight;
            tells.then_some(sight.weight)
        });
        if !take(&mut look, &mut draft, wrong) {
            break;
        }
    }
    while draft.names.len() < A_BOARD {
        let usual = best(&look, |at| {
            let sight = &look.sights[at];
            sight.is_usual().then(|| count(sight.with[0]))
        });
        if !take(&mut look, &mut draft, usual) {
            break;
        }
    }
    draft
}

/// Returns up to `most` names that the shown job recorded: those that stand whole and say what is wrong
/// first, then what speaks most for the answer.
pub fn telling(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    mask: &Mask,
    most: usize,
) -> Vec<usize> {
    let look = Look::at(shelf, group, draft, mask, &[]);
    let mut order: Vec<&Sight> = look.sights.iter().collect();
    let rank = |s: &Sight| (s.is_whole(), s.is_wrong() && TELLS <= s.weight);
    order.sort_by(|a, b| rank(b).cmp(&rank(a)).then(b.weight.total_cmp(&a.weight)));
    let mut names: Vec<usize> = Vec::new();
    for name in order.iter().filter_map(|s| s.own) {
        if names.len() < most && !names.contains(&name) {
            names.push(name);
        }
    }
    names.sort_unstable();
    names
}

/// Returns the findings that could be added, the best first by `worth`; ties go to the weightier.
fn best(look: &Look<'_>, worth: impl Fn(usize) -> Option<f64>) -> Vec<usize> {
    let free = |at: &usize| {
        let sight = &look.sights[*at];
        sight.is_whole() && !sight.on_front
    };
    let all = (0..look.sights.len()).filter(free);
    let mut order: Vec<(f64, usize)> = all.filter_map(|at| Some((worth(at)?, at))).collect();
    let weight = |at: usize| look.sights[at].weight;
    order.sort_by(|a, b| {
        (b.0.total_cmp(&a.0))
            .then(weight(b.1).total_cmp(&weight(a.1)))
            .then(a.1.cmp(&b.1))
    });
    order.into_iter().map(|(_, at)| at).collect()
}

/// Returns what a lead should know of a front: what else would look like it, what decides and is held
/// back, and where it is a line and no board.
pub fn warnings(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    mask: &Mask,
    right: &[Fix],
) -> Vec<String> {
    let look = Look::at(shelf, group, draft, mask, right);
    let mut warn = Vec::new();
    let mut alike: Vec<&Rival<'_>> = Vec::new();
    let mut held: Vec<(String, &Rival<'_>)> = Vec::new();
    for rival in look.open().into_iter().map(|at| &look.rivals[at]) {
        match look.held_back(rival) {
            Some(what) => held.push((what, rival)),
            None => alike.push(rival),
        }
    }
    if let Some((what, _)) = held.first() {
        let rivals: Vec<&Rival<'_>> = held.iter().map(|(_, rival)| *rival).collect();
        warn.push(format!(
            "vague: what decides, {what}, is held back, and without it {}",
            fit(&rivals, "what is shown")
        ));
    } else if let Some(what) = weightier(shelf, draft, group, &look) {
        warn.push(format!("vague: what tells most, {what}, is held back"));
    }
    if !alike.is_empty() {
        warn.push(format!(
            "not told apart: {}",
            fit(&alike, "all that is shown")
        ));
    }
    warn.extend(bare(&look, draft));
    warn
}

/// Says what tells most and is held back, where the rest of the front tells little.
fn weightier(shelf: &Shelf<'_>, draft: &Draft, group: &Group, look: &Look<'_>) -> Option<String> {
    let most = &look.sights[look.heaviest_held()?];
    let lead = look.lead().map(|at| &look.sights[at]);
    let little = lead.is_none_or(|lead| lead.weight < most.weight && !decides(shelf, draft, group));
    let tells = TELLS <= most.weight;
    (little && tells).then(|| said(most))
}

/// Tells whether most jobs that show what stands whole on the front and is wrong ended in the fix.
fn decides(shelf: &Shelf<'_>, draft: &Draft, group: &Group) -> bool {
    let wrong = |name: &&usize| {
        let named = &draft.table.names()[**name];
        let value = draft.table.value(**name, draft.shown);
        !named.held && value.is_some_and(|v| account::is_wrong(named, draft.table.word(**name, v)))
    };
    let names: Vec<usize> = draft.names.iter().filter(wrong).copied().collect();
    if names.is_empty() {
        return false;
    }
    let like = draft.table.like(draft.shown, &names);
    let counts = like.iter().filter(|at| shelf.cases[**at].tier.counts());
    let [own, all] = counts.fold([0, 0], |[own, all], at| {
        let fix = &shelf.cases[*at].fix;
        [own + usize::from(group.has_fix(fix)), all + 1]
    });
    3 * all <= 4 * own
}

/// Warns of a front that is one line, or on which nothing is wrong.
fn bare(look: &Look<'_>, draft: &Draft) -> Option<String> {
    let front: Vec<&Sight> = look.sights.iter().filter(|s| s.on_front).collect();
    if draft.names.len() == 1 {
        let what = front.first().map(|s| said(s))?;
        return Some(format!(
            "one reading alone: the front shows {what} and no more"
        ));
    }
    let healthy = front.iter().all(|s| band::is_healthy(&s.word));
    healthy.then(|| {
        format!(
            "by exclusion: all {} readings on the front are as they should be",
            front.len()
        )
    })
}

/// Returns which rivals fit: `replace X (3 jobs) and processor dead (2 jobs) fit all that is shown`.
fn fit(rivals: &[&Rival<'_>], what: &str) -> String {
    let mut sums: Vec<(&str, usize)> = Vec::new();
    for rival in rivals {
        match sums.iter_mut().find(|(known, _)| *known == rival.what) {
            Some((_, n)) => *n += rival.jobs.len(),
            None => sums.push((&rival.what, rival.jobs.len())),
        }
    }
    sums.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let more = sums.len().saturating_sub(NAMED);
    let named = sums.iter().take(NAMED);
    let mut named: Vec<String> = named
        .map(|(what, n)| format!("{what} ({n} jobs)"))
        .collect();
    if 0 < more {
        named.push(format!("{more} more"));
    }
    let fits = if named.len() == 1 { "fits" } else { "fit" };
    let named = match named.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => named.concat(),
    };
    format!("{named} {fits} {what}")
}

/// Returns a finding as a person would say it, and of what stands without its place the place.
fn said(sight: &Sight) -> String {
    match sight.name.kind {
        FindingKind::Heat => "where it is warm".to_owned(),
        FindingKind::Visual if sight.is_wrong() => {
            let signs: Vec<String> = sight.word.split(" and ").map(wording::sign).collect();
            format!("the place of the sign ({})", signs.join(" and "))
        }
        _ => remark::read_as(&sight.name, &sight.word),
    }
}
