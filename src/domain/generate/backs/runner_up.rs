//! The fix that comes nearest to a card's answer, and what tells it apart; a fix that fits the front better.
//!
//! Likeliest is meant by the counts of the board's jobs: what of them a front leaves possible for other kinds
//! of cards is asked in [`crate::domain::generate::fronts::third`].

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::fronts::look::Complaint;
use crate::domain::generate::weigh::account;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::pattern::Tally;
use crate::domain::generate::weigh::pattern::shrunk;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::units::count;

/// A customer's word weighs this part of a reading.
const COMPLAINT: f64 = 0.5;
/// A runner-up shows one of so many faults that speak most for the answer.
const FAULTS: usize = 2;
/// A runner-up is spoken of from so many jobs that recorded a finding.
const RUNNER_UP: usize = 2;

/// How much one shown finding speaks for the fix.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// Which name of the table.
    pub name: usize,
    /// Weight of evidence, natural logarithm.
    pub weight: f64,
    /// Jobs with the value: of the fix, of the rest.
    pub seen: [usize; 2],
    /// Jobs that recorded the name: of the fix, of the rest.
    pub recorded: [usize; 2],
}

/// Weighs the shown findings, the strongest for the fix first and heat last.
pub fn weights(draft: &Draft) -> Vec<Weight> {
    let mut weights: Vec<Weight> = draft
        .names
        .iter()
        .filter_map(|name| {
            let value = draft.table.value(*name, draft.shown)?;
            let tally = Tally::of(&draft.table, *name, &draft.sides);
            Some(Weight {
                name: *name,
                weight: tally.weight(value, Side::Apart),
                seen: tally.seen(value),
                recorded: tally.recorded(),
            })
        })
        .collect();
    // How warm a place is tells fixes apart last of all.
    let kind = |w: &Weight| draft.table.names()[w.name].kind;
    let heat = |w: &Weight| kind(w) == FindingKind::Heat;
    let worth = |w: &Weight| account::worth(kind(w), w.weight);
    weights.sort_by(|a, b| {
        heat(a)
            .cmp(&heat(b))
            .then(worth(b).total_cmp(&worth(a)))
            .then(a.name.cmp(&b.name))
    });
    weights
}

/// What the fix that comes nearest would have shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunnerUp {
    /// The line that says it.
    pub line: String,
    /// A shown finding tells it from the card's own fix.
    pub told_apart: bool,
    /// See [`Parting`].
    pub parting: Option<Parting>,
}

/// Returns the runner-up: of the board's other fixes with a complaint of the shown job, that which shows what
/// speaks most for this one, or else has read it, and which the complaint and the shown findings leave
/// likeliest; and the strongest finding in which it differs. That it shows much the same is said only where
/// it read all of them, and alike.
///
/// Likeliest by the same counts as the pattern: `ln (n+1) + Σ ln P(v|fix)` over the shown findings and the
/// words of the complaint. `also` are fixes that count as right as well.
pub fn runner_up(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    also: &[Fix],
) -> Option<RunnerUp> {
    let rivals = Rivals::of(shelf, draft);
    let telling: Vec<usize> = weights(draft)
        .iter()
        .filter(|w| w.weight > 0.0)
        .filter_map(|w| draft.names.iter().position(|n| *n == w.name))
        .collect();
    if let Some(line) = ended(shelf, draft, &telling) {
        return Some(RunnerUp {
            line,
            told_apart: true,
            parting: None,
        });
    }
    let near = nearest(shelf, group, (draft, also), &rivals, &telling);
    let (at, place) = named(draft, &rivals, &telling, &near)?;
    let fix = phrases::short_fix(rivals.fixes[at]);
    if let Some(place) = place {
        let seen = most_seen(draft, &rivals, place, at);
        let hits = draft.names.iter().zip(&rivals.hits);
        return Some(RunnerUp {
            line: format!("runner-up {fix} would have shown: {seen}"),
            told_apart: true,
            parting: Some(Parting {
                by: draft.names[place],
                hits: hits.map(|(name, hits)| (*name, hits[at])).collect(),
            }),
        });
    }
    let all_alike = is_much_the_same(draft, &rivals, at);
    let rest = (0..draft.names.len()).filter(|place| !telling.contains(place));
    let alike = telling.iter().copied().chain(rest).find_map(|place| {
        let read = &rivals.read[place][at];
        let (value, n) = read.most()?;
        let same = Some(value) == draft.table.value(draft.names[place], draft.shown);
        same.then(|| (seen(draft, place, value, [n, read.n]), leads(draft, place)))
    });
    let (line, _) = alike.filter(|(_, leads)| all_alike || *leads)?;
    let much = if all_alike {
        "shows much the same"
    } else {
        "shows too"
    };
    Some(RunnerUp {
        line: format!("runner-up {fix} {much}: {line}"),
        told_apart: !all_alike,
        parting: None,
    })
}

/// Warns of a fix that the complaint and the front leave likelier than that of the group, by the counts of
/// [`runner_up`]; jobs with it show what speaks most, and all else of the front that they read.
pub fn likelier(shelf: &Shelf<'_>, group: &Group, draft: &Draft, also: &[Fix]) -> Option<String> {
    let rivals = Rivals::of(shelf, draft);
    let barred = shelf.barred();
    let own = rivals.fixes.iter().position(|fix| **fix == group.fix)?;
    let may = |at: &usize| {
        let fix = rivals.fixes[*at];
        let right = group.has_fix(fix) || also.contains(fix) || barred.contains(fix);
        !right && rivals.complained[*at] && shelf.share_a_revision(&[&group.fix, fix])
    };
    // It shows what speaks most and is measured, and nothing of the front is unknown there.
    let measured = |w: &&Weight| {
        let kind = draft.table.names()[w.name].kind;
        let beside = [FindingKind::Current, FindingKind::Visual, FindingKind::Heat];
        0.0 < w.weight && !beside.contains(&kind)
    };
    let weights = weights(draft);
    let lead = weights.iter().find(measured)?.name;
    let lead = draft.names.iter().position(|n| *n == lead)?;
    if !leads(draft, lead) {
        return None;
    }
    let fits = |at: &usize| {
        let shows = |place: usize| 0 < rivals.hits[place][*at];
        let mut places = 0..draft.names.len();
        shows(lead) && places.all(|p| shows(p) || rivals.read[p][*at].n == 0)
    };
    let all = (0..rivals.fixes.len()).filter(|at| may(at) && fits(at));
    let best = all.max_by(|a, b| rivals.score[*a].total_cmp(&rivals.score[*b]))?;
    (rivals.score[own] < rivals.score[best]).then(|| {
        let [n, own] = [best, own].map(|at| phrases::jobs_text(rivals.jobs[at]));
        let fix = phrases::short_fix(rivals.fixes[best]);
        format!("likelier: {fix} ({n}) fits what is shown better than this fix ({own})")
    })
}

/// Returns the fixes that come near: see [`runner_up`].
fn nearest(
    shelf: &Shelf<'_>,
    group: &Group,
    (draft, also): (&Draft, &[Fix]),
    rivals: &Rivals<'_>,
    telling: &[usize],
) -> Near {
    let barred = shelf.barred();
    let other = |at: &usize| {
        let fix = rivals.fixes[*at];
        let own = group.has_fix(fix) || also.contains(fix) || barred.contains(fix);
        !own && shelf.share_a_revision(&[&group.fix, fix])
    };
    let others: Vec<usize> = (0..rivals.fixes.len()).filter(other).collect();
    let likeliest = |known: &dyn Fn(usize) -> bool| {
        let all = others.iter().copied().filter(|at| known(*at));
        let mut all: Vec<usize> = all.collect();
        all.sort_by(|a, b| rivals.score[*b].total_cmp(&rivals.score[*a]));
        all
    };
    let kind = |place: &usize| draft.table.names()[draft.names[*place]].kind;
    // One of the same complaint comes first, then one that several jobs know.
    let shows = |place: &usize| {
        let hit = |at: usize| 0 < rivals.hits[*place][at];
        let same = |at: usize| hit(at) && rivals.complained[at];
        let known = |at: usize| RUNNER_UP <= rivals.read[*place][at].n;
        let sign = kind(place) == FindingKind::Visual;
        // A sign without its place is common to many.
        let lists = [
            likeliest(&|at| same(at) && known(at)),
            likeliest(&same),
            likeliest(&|at| hit(at) && known(at) && !sign),
        ];
        lists.into_iter().find(|list| !list.is_empty())
    };
    let read =
        |place: &usize, at: usize| RUNNER_UP <= rivals.read[*place][at].n && rivals.complained[at];
    let draws = |place: &usize| {
        let alike = |at: usize| read(place, at) && 0 < rivals.hits[*place][at];
        likeliest(&alike)
    };
    let fault = |(at, place): &(usize, &usize)| match kind(place) {
        FindingKind::Current => false,
        FindingKind::Visual => *at == 0,
        _ => leads(draft, **place),
    };
    let faults = telling.iter().enumerate().filter(fault);
    let lists = faults.filter_map(|(_, place)| shows(place)).take(FAULTS);
    let odd = |place: &&usize| kind(place) == FindingKind::Current && leads(draft, **place);
    let readers = telling.iter().map(|place| likeliest(&|at| read(place, at)));
    Near {
        show: once(lists.flatten()),
        draw: once(telling.iter().filter(odd).flat_map(draws)),
        read: once(readers.flatten()),
    }
}

/// Says what was found to be wrong in jobs that show the first finding and were not mended, where no other fix
/// shows it.
fn ended(shelf: &Shelf<'_>, draft: &Draft, telling: &[usize]) -> Option<String> {
    let place = *telling.first()?;
    let name = draft.names[place];
    let value = draft.table.value(name, draft.shown)?;
    let draws = draft.table.names()[name].kind == FindingKind::Current;
    let own = |at: usize| draft.sides[at] == Side::Rest;
    let mut others = draft.table.rows(name, value).iter();
    if draws || !leads(draft, place) || others.any(|at| own(*at)) {
        return None;
    }
    let read = shelf.ends.read(&draft.table, name, value);
    let by_reason = shelf.ends.by_reason().into_iter();
    let counted = by_reason.filter_map(|(reason, rows)| {
        let of = read.iter().filter(|(row, _)| rows.contains(row)).count();
        let alike = read
            .iter()
            .filter(|(row, same)| *same && rows.contains(row));
        let alike = alike.count();
        (RUNNER_UP <= alike).then_some((alike, of, reason))
    });
    let (n, of, reason) = counted.max_by_key(|(n, _, reason)| (*n, std::cmp::Reverse(*reason)))?;
    let seen = seen(draft, place, value, [n, of]);
    let reason = reason.replace('-', " ");
    Some(format!("{reason} shows too: {seen}"))
}

/// Returns the strongest finding that most jobs of a fix read otherwise: of two jobs or more where there is
/// such, and measured rather than seen.
fn otherwise(draft: &Draft, rivals: &Rivals<'_>, telling: &[usize], at: usize) -> Option<usize> {
    let differs = |place: usize, least: usize| {
        let read = &rivals.read[place][at];
        let most = read.most().filter(|_| least <= read.n);
        let shown = draft.table.value(draft.names[place], draft.shown);
        most.is_some_and(|(value, n)| Some(value) != shown && read.n < 2 * n)
    };
    let found = |least: usize, measured: bool| {
        let mut places = telling.iter().copied();
        places.find(|place| (is_measured(draft, *place) || !measured) && differs(*place, least))
    };
    // One job's sign tells no two fixes apart.
    found(RUNNER_UP, true)
        .or_else(|| found(RUNNER_UP, false))
        .or_else(|| found(1, true))
}

/// Tells whether what is shown at a place of the front leads somewhere: see [`account::points`].
fn leads(draft: &Draft, place: usize) -> bool {
    let name = draft.names[place];
    let value = draft.table.value(name, draft.shown);
    value.is_some_and(|v| account::points(&draft.table.names()[name], draft.table.word(name, v)))
}

/// Says how many jobs read a value at a place of the front.
fn seen(draft: &Draft, place: usize, value: usize, [n, of]: [usize; 2]) -> String {
    let name = draft.names[place];
    let read = phrases::read_as(&draft.table.names()[name], draft.table.word(name, value));
    format!("{read} in {n} of {of}")
}

/// How the jobs of one fix read one finding.
#[derive(Clone, Debug, Default)]
struct Read {
    /// Jobs that recorded it.
    n: usize,
    /// Jobs by value.
    values: BTreeMap<usize, usize>,
}

impl Read {
    /// Returns the most frequent value and its jobs; ties go to the first.
    fn most(&self) -> Option<(usize, usize)> {
        let values = self.values.iter().map(|(value, n)| (*value, *n));
        values.max_by_key(|(value, n)| (*n, std::cmp::Reverse(*value)))
    }
}

/// The fixes of a board, and how well each fits what a card shows.
struct Rivals<'a> {
    fixes: Vec<&'a Fix>,
    /// By shown name, then by fix.
    read: Vec<Vec<Read>>,
    /// The same: jobs that read as the shown one did.
    hits: Vec<Vec<usize>>,
    /// By fix: one of its jobs has a complaint of the shown one.
    complained: Vec<bool>,
    /// By fix: log likelihood of the shown findings, with its number of jobs as prior.
    score: Vec<f64>,
    /// By fix: its jobs.
    jobs: Vec<usize>,
}

impl<'a> Rivals<'a> {
    fn of(shelf: &'a Shelf<'_>, draft: &Draft) -> Self {
        let mut fixes: Vec<&Fix> = Vec::new();
        let mut score: Vec<f64> = Vec::new();
        let mut owner: Vec<(usize, usize)> = Vec::new();
        let mut places: BTreeMap<&Fix, usize> = BTreeMap::new();
        for group in &shelf.groups {
            let at = *places.entry(&group.fix).or_insert(fixes.len());
            if at == fixes.len() {
                fixes.push(&group.fix);
                score.push(0.0);
            }
            score[at] += count(group.members.len());
            owner.extend(group.members.iter().map(|case| (*case, at)));
        }
        let mut jobs = vec![0; fixes.len()];
        for (_, at) in &owner {
            jobs[*at] += 1;
        }
        for n in &mut score {
            *n = libm::log(*n + 1.0);
        }
        of_complaint(shelf, draft, &owner, &mut score);
        let (mut read, mut hits_of) = (Vec::new(), Vec::new());
        let mut complained = vec![false; fixes.len()];
        let complaint = Complaint::of(shelf.cases[draft.shown].job);
        for (case, at) in &owner {
            complained[*at] = complained[*at] || complaint.is_shared_by(shelf.cases[*case].job);
        }
        let mut of_case: Vec<Option<usize>> = vec![None; shelf.cases.len()];
        for (case, at) in &owner {
            of_case[*case] = Some(*at);
        }
        let mut counts = vec![0; fixes.len()];
        for name in &draft.names {
            let mut by_fix = vec![Read::default(); fixes.len()];
            for value in 0..draft.table.n_values(*name) {
                counts.fill(0);
                let rows = draft.table.rows(*name, value).iter();
                rows.filter_map(|case| of_case[*case])
                    .for_each(|at| counts[at] += 1);
                for (read, n) in by_fix.iter_mut().zip(&counts).filter(|(_, n)| 0 < **n) {
                    read.n += n;
                    read.values.insert(value, *n);
                }
            }
            let Some(shown) = draft.table.value(*name, draft.shown) else {
                hits_of.push(vec![0; fixes.len()]);
                read.push(by_fix);
                continue;
            };
            let hit = |read: &Read| read.values.get(&shown).copied().unwrap_or(0);
            hits_of.push(by_fix.iter().map(hit).collect());
            let hits = |read: &Read| count(read.values.get(&shown).copied().unwrap_or(0));
            let (seen, all) = by_fix.iter().fold((0.0, 0.0), |(seen, all), read| {
                (seen + hits(read), all + count(read.n))
            });
            let overall = (seen + 0.5) / (all + 1.0);
            for (score, read) in score.iter_mut().zip(&by_fix) {
                let given = shrunk(hits(read), count(read.n), overall);
                *score += libm::log(given);
            }
            read.push(by_fix);
        }
        Self {
            fixes,
            read,
            hits: hits_of,
            complained,
            score,
            jobs,
        }
    }
}

/// Adds to the score of each fix how well its jobs' complaints fit that of the shown job.
fn of_complaint(shelf: &Shelf<'_>, draft: &Draft, owner: &[(usize, usize)], score: &mut [f64]) {
    for word in &shelf.cases[draft.shown].job.complaint {
        let mut hits = vec![0.0; score.len()];
        let mut all = vec![0.0; score.len()];
        for (case, at) in owner {
            all[*at] += 1.0;
            if shelf.cases[*case].job.complaint.contains(word) {
                hits[*at] += 1.0;
            }
        }
        let overall = (hits.iter().sum::<f64>() + 0.5) / (all.iter().sum::<f64>() + 1.0);
        for (at, score) in score.iter_mut().enumerate() {
            let given = shrunk(hits[at], all[at], overall);
            *score += COMPLAINT * libm::log(given);
        }
    }
}

/// What tells a fix from its runner-up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parting {
    /// The finding that the runner-up shows otherwise: a name of the table.
    pub by: usize,
    /// The findings of the front, and how many jobs of the runner-up show each as well.
    pub hits: Vec<(usize, usize)>,
}

/// Returns which of the fixes that come near is named, and the finding in which it differs where there is one.
///
/// Of one that read nothing here otherwise no finding is said that separates: then the next is named that shows a
/// fault as well.
fn named(
    draft: &Draft,
    rivals: &Rivals<'_>,
    telling: &[usize],
    near: &Near,
) -> Option<(usize, Option<usize>)> {
    let firmly = |at: &usize| {
        let place = otherwise(draft, rivals, telling, *at)?;
        let several = RUNNER_UP <= rivals.read[place][*at].n;
        (is_measured(draft, place) && several).then_some((*at, Some(place)))
    };
    let Some(first) = near.show.first().copied() else {
        let drawn = near.draw.iter().take(NEAR).find_map(firmly);
        let read = || near.read.first().copied();
        return drawn.or_else(|| read().map(|at| (at, otherwise(draft, rivals, telling, at))));
    };
    if let Some(place) = otherwise(draft, rivals, telling, first) {
        return Some((first, Some(place)));
    }
    let alike = is_much_the_same(draft, rivals, first);
    let rest = near.show.iter().skip(1).take(NEAR).filter(|_| !alike);
    let same = |at: &&usize| rivals.complained[**at] || !rivals.complained[first];
    let next = rest.filter(same).find_map(firmly);
    next.or(Some((first, None)))
}

/// Fixes that come near a draft, the nearest first.
struct Near {
    /// Those that show one of the faults that speak most.
    show: Vec<usize>,
    /// Those that draw as oddly.
    draw: Vec<usize>,
    /// Those that read what speaks for the answer.
    read: Vec<usize>,
}

/// Returns places, each where it stands first.
fn once(places: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut seen = BTreeSet::new();
    places.filter(|at| seen.insert(*at)).collect()
}

/// Tells whether a finding of the front was measured: no sign, and no warmth.
fn is_measured(draft: &Draft, place: usize) -> bool {
    let kind = draft.table.names()[draft.names[place]].kind;
    !matches!(kind, FindingKind::Visual | FindingKind::Heat)
}

/// Says what most jobs of a fix read at a place of the front.
fn most_seen(draft: &Draft, rivals: &Rivals<'_>, place: usize, at: usize) -> String {
    let read = &rivals.read[place][at];
    let most = read
        .most()
        .map(|(value, n)| seen(draft, place, value, [n, read.n]));
    most.unwrap_or_default()
}

/// Tells whether a fix read all of the front as the shown job did, but for heat that it did not record.
fn is_much_the_same(draft: &Draft, rivals: &Rivals<'_>, at: usize) -> bool {
    (0..draft.names.len()).all(|place| {
        let read = &rivals.read[place][at];
        let heat = draft.table.names()[draft.names[place]].kind == FindingKind::Heat;
        let Some((value, _)) = read.most() else {
            return heat;
        };
        let same = Some(value) == draft.table.value(draft.names[place], draft.shown);
        same && (RUNNER_UP <= read.n || heat)
    })
}

/// Behind a runner-up in which nothing separates, so many others are looked at.
const NEAR: usize = 4;
