//! Why a card's answer is so, in the archive's own figures, and what a lead should look at.
//!
//! Everything here is counted or copied from jobs; nothing is reasoned or invented.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Share;
use crate::domain::generate::account;
use crate::domain::generate::account::Account;
use crate::domain::generate::evidence::Case;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::look::Complaint;
use crate::domain::generate::pattern::Side;
use crate::domain::generate::pattern::Tally;
use crate::domain::generate::pattern::shrunk;
use crate::domain::generate::table::Name;
use crate::domain::generate::table::Table;
use crate::domain::generate::tier;
use crate::domain::generate::told::Told;
use crate::domain::job::BounceCause;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::domain::units::count;
use crate::domain::wording;

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

/// Returns a name as a person would say it: `3V3_SB (standby)`, `draw`, `SDA in diode mode`.
pub fn spoken(name: &Name) -> String {
    let hidden = name.held || name.place.is_empty();
    let place = if hidden {
        "a place held back"
    } else {
        name.place.as_str()
    };
    let mut text = match name.kind {
        FindingKind::Current if name.place.is_empty() && !name.held => "draw".to_owned(),
        FindingKind::Current => format!("draw at {place}"),
        FindingKind::Rail if hidden => "a rail held back".to_owned(),
        FindingKind::Signal if hidden => "a signal held back".to_owned(),
        FindingKind::Other if hidden => "a test held back".to_owned(),
        FindingKind::Rail | FindingKind::Signal | FindingKind::Other => place.to_owned(),
        FindingKind::Resistance if hidden => "ohms held back".to_owned(),
        FindingKind::Resistance if wording::between_points(place) => format!("ohms {place}"),
        FindingKind::Resistance => format!("{place} to ground"),
        FindingKind::Diode => format!("{place} in diode mode"),
        FindingKind::Heat => "heat".to_owned(),
        FindingKind::Visual => "signs".to_owned(),
    };
    let beside = beside(name);
    if !beside.is_empty() {
        text = format!("{text} ({beside})");
    }
    text
}

fn beside(name: &Name) -> String {
    let when = match name.when {
        When::BeforeAction => None,
        When::BeforeCleaning => Some("before cleaning"),
        When::AfterCleaning => Some("after cleaning"),
        When::AfterAction => Some("after the repair"),
    };
    let beside: Vec<&str> = name.state.as_deref().into_iter().chain(when).collect();
    beside.join(", ")
}

/// Returns a name with what it showed: `3V3_SB (standby) low`, `cracked joint (before cleaning)`.
///
/// `word` is the band's word; of several held places it holds several, joined by "and".
pub fn read_as(name: &Name, word: &str) -> String {
    if name.kind != FindingKind::Visual {
        return format!("{} {}", spoken(name), wording::phrase(word));
    }
    let signs: Vec<String> = word.split(" and ").map(wording::sign).collect();
    let signs = signs.join(" and ");
    match beside(name) {
        beside if beside.is_empty() => signs,
        beside => format!("{signs} ({beside})"),
    }
}

/// Returns the reason, a line each: what is `told` of the front, what else was read wrong with it alone,
/// [`runner_up`], [`story`].
pub fn why(shelf: &Shelf<'_>, group: &Group, told: &Told, runner_up: Option<&RunnerUp>) -> String {
    let mut lines: Vec<String> = told.said().iter().map(Account::line).collect();
    if lines.is_empty() {
        lines.push("no single finding here speaks for it".to_owned());
    }
    lines.extend(read_here_alone(told.rest()));
    lines.extend(runner_up.map(|r| r.line.clone()));
    lines.extend(story(shelf, group));
    lines.extend(left_out(shelf, group));
    joined(&lines)
}

/// Names the jobs that ended in the fix and stand for no card, where they are half as many as those of this one:
/// other cards count them.
fn left_out(shelf: &Shelf<'_>, group: &Group) -> Option<String> {
    let proved = |g: &Group| g.evidence.iter().any(|at| shelf.cases[*at].proved);
    // Where the part failed in another way and that is proved, a card of its own speaks for it.
    let own = |g: &&Group| g.fix == group.fix && (g.id == group.id || !proved(g));
    let weak = |at: &&usize| {
        let case = &shelf.cases[**at];
        let counts = case.tier.counts() && !case.barred && !case.refuted;
        let counts = counts && !tier::bounced(case.job);
        counts && !group.evidence.contains(at)
    };
    let members = shelf.groups.iter().filter(own).flat_map(|g| &g.members);
    let rows: BTreeSet<usize> = members.filter(weak).copied().collect();
    let names = rows.iter().map(|at| shelf.cases[*at].job.job.as_str());
    let names: Vec<&str> = names.collect();
    (!names.is_empty() && group.evidence.len() <= 2 * names.len()).then(|| {
        let verb = if names.len() == 1 { "proves" } else { "prove" };
        format!(
            "left out here: {}, which ended so too and {verb} too little",
            names.join(", ")
        )
    })
}

/// Joins the lines of a reason; the faces part them again.
pub fn joined(lines: &[String]) -> String {
    let whole = |line: &String| line.replace(';', ",");
    lines.iter().map(whole).collect::<Vec<_>>().join("; ")
}

/// Returns what leads somewhere on the front, beside what is said, and that no job without the fix recorded, or
/// one alone.
fn read_here_alone(accounts: &[Account]) -> Vec<String> {
    let alone = accounts.iter().filter(|a| a.is_alone());
    let alone: Vec<String> = alone
        .map(|a| format!("{} in {} of {}", a.said, a.with[0], a.with[1]))
        .collect();
    let alone =
        (!alone.is_empty()).then(|| format!("read with this fix alone: {}", alone.join(", ")));
    let hardly = accounts.iter().filter(|a| a.is_hardly_read());
    alone.into_iter().chain(hardly.map(Account::line)).collect()
}

/// Returns how often a value was read with the fix and without it, over the sides of a question.
pub fn counted(table: &Table, name: usize, value: usize, sides: &[Side]) -> String {
    let tally = Tally::of(table, name, sides);
    let ([with, without], [of, rest]) = (tally.seen(value), tally.recorded());
    let seen = read_as(&table.names()[name], table.word(name, value));
    format!("{seen}: {with} of {of} with this fix, {without} of {rest} without")
}

/// Returns a fix in lower case, without what its parts do: `replace F3 and Q15`.
pub fn short_fix(fix: &Fix) -> String {
    let mut by_act: Vec<(&str, Vec<&str>)> = Vec::new();
    for (act, part) in fix.pairs() {
        match by_act.last_mut() {
            Some((same, parts)) if *same == act && !part.is_empty() => parts.push(part),
            _ => by_act.push((act, vec![part])),
        }
    }
    let steps: Vec<String> = by_act
        .iter()
        .map(|(act, parts)| {
            let parts = match parts.as_slice() {
                [most @ .., last] if !most.is_empty() => {
                    format!("{} and {last}", most.join(", "))
                }
                parts => parts.concat(),
            };
            wording::done_to(act, &parts).trim().to_owned()
        })
        .collect();
    steps.join(" and ")
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

/// What tells a fix from its runner-up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parting {
    /// The finding that the runner-up shows otherwise: a name of the table.
    pub by: usize,
    /// The findings of the front, and how many jobs of the runner-up show each as well.
    pub hits: Vec<(usize, usize)>,
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
    let fix = short_fix(rivals.fixes[at]);
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
        let [n, own] = [best, own].map(|at| jobs(rivals.jobs[at]));
        let fix = short_fix(rivals.fixes[best]);
        format!("likelier: {fix} ({n}) fits what is shown better than this fix ({own})")
    })
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

/// Returns places, each where it stands first.
fn once(places: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut seen = BTreeSet::new();
    places.filter(|at| seen.insert(*at)).collect()
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

/// Tells whether what is shown at a place of the front leads somewhere: see [`account::points`].
fn leads(draft: &Draft, place: usize) -> bool {
    let name = draft.names[place];
    let value = draft.table.value(name, draft.shown);
    value.is_some_and(|v| account::points(&draft.table.names()[name], draft.table.word(name, v)))
}

/// Says how many jobs read a value at a place of the front.
fn seen(draft: &Draft, place: usize, value: usize, [n, of]: [usize; 2]) -> String {
    let name = draft.names[place];
    let read = read_as(&draft.table.names()[name], draft.table.word(name, value));
    format!("{read} in {n} of {of}")
}

/// Tells whether most jobs of another fix read all of what a draft shows as its shown job did.
pub fn shown_by_another(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> bool {
    let rivals = Rivals::of(shelf, draft);
    (0..rivals.fixes.len()).any(|at| {
        let alike = |place: usize| {
            let read = &rivals.read[place][at];
            let value = draft.table.value(draft.names[place], draft.shown);
            let most = read.most().filter(|_| RUNNER_UP <= read.n);
            most.is_some_and(|(most, n)| Some(most) == value && read.n < 2 * n)
        };
        !group.has_fix(rivals.fixes[at]) && (0..draft.names.len()).all(alike)
    })
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

/// A customer's word weighs this part of a reading.
const COMPLAINT: f64 = 0.5;
/// Behind a runner-up in which nothing separates, so many others are looked at.
const NEAR: usize = 4;
/// A runner-up shows one of so many faults that speak most for the answer.
const FAULTS: usize = 2;
/// A runner-up is spoken of from so many jobs that recorded a finding.
const RUNNER_UP: usize = 2;

/// Returns what the jobs of a fix tell beside their findings: what was tried in vain, what proved it,
/// which came back and why.
pub fn story(shelf: &Shelf<'_>, group: &Group) -> Vec<String> {
    let jobs: Vec<&Job> = group
        .evidence
        .iter()
        .map(|at| shelf.cases[*at].job)
        .collect();
    let mut lines: Vec<String> = in_vain(&jobs).into_iter().collect();
    lines.extend(proof(&jobs));
    lines.extend(came_back(shelf, &group.fix));
    lines
}

/// Returns the step that was most often tried without effect.
pub fn in_vain(jobs: &[&Job]) -> Option<String> {
    let tried = jobs.iter().flat_map(|job| {
        let mut tried: Vec<String> = job
            .actions
            .iter()
            .filter(|a| a.role == Role::TriedNoEffect)
            .map(|a| wording::done_to(&a.act, &a.part).trim().to_owned())
            .collect();
        tried.sort_unstable();
        tried.dedup();
        tried
    });
    let (tried, n) = commonest(tried)?;
    Some(format!(
        "tried in vain: {tried} ({} of {})",
        n,
        self::jobs(jobs.len())
    ))
}

/// Says that most jobs counted for a card failed in another way, for which there is a card.
fn of_another_way(group: &Group, draft: &Draft, share: &Share) -> Option<String> {
    let own = |at: &&usize| group.evidence.binary_search(at).is_ok();
    let own = draft.matching.iter().filter(own).count();
    (2 * own < share.k).then(|| {
        format!(
            "another way: {own} of the {} with this fix failed in the way of this card; the rest have \
             a card of their own",
            jobs(share.k)
        )
    })
}

/// Returns the words that most often proved it.
pub fn proof(jobs: &[&Job]) -> Option<String> {
    let proofs = jobs
        .iter()
        .filter_map(|job| job.proof.as_deref())
        .map(|p| p.trim().to_owned())
        .filter(|p| !p.is_empty());
    let (proof, n) = commonest(proofs)?;
    Some(format!(
        "proof: {proof} ({n} of {})",
        self::jobs(jobs.len())
    ))
}

/// Returns which job with a fix came back last, why, and what mended it then; with several, how many.
pub fn came_back(shelf: &Shelf<'_>, fix: &Fix) -> Option<String> {
    let own: Vec<&Case<'_>> = shelf.cases.iter().filter(|c| c.fix == *fix).collect();
    let back: Vec<&Job> = own
        .iter()
        .map(|c| c.job)
        .filter(|job| tier::bounced(job))
        .collect();
    let job = back.last()?;
    let many = format!("came back: {} of {}", back.len(), self::jobs(own.len()));
    let latest = if back.len() == 1 { "" } else { "the latest " };
    let then = shelf.cases.iter().find(|case| {
        let follows = case.job.follows.as_deref();
        follows.is_some_and(|f| f == job.job || f == job.id)
    });
    let then = match then {
        Some(case) if case.fix == *fix => ", then the same once more".to_owned(),
        Some(case) if !case.barred => format!(", then {}", short_fix(&case.fix)),
        _ => String::new(),
    };
    Some(format!("{many}, {latest}{}, {}{then}", job.job, cause(job)))
}

/// Returns why a job came back.
fn cause(job: &Job) -> &'static str {
    match (job.outcome, job.bounce_cause) {
        (_, Some(BounceCause::Diagnosis)) => "wrong diagnosis",
        (_, Some(BounceCause::Workmanship)) => "workmanship",
        (_, Some(BounceCause::Part)) => "the new part failed",
        (_, Some(BounceCause::NewDamage)) => "new damage",
        (Outcome::BouncedOtherFault, _) => "with another fault",
        _ => "nobody wrote why",
    }
}

/// Returns the most frequent text and its count; ties go to the first in the alphabet.
pub fn commonest(texts: impl Iterator<Item = String>) -> Option<(String, usize)> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for text in texts {
        *counts.entry(text).or_default() += 1;
    }
    counts
        .into_iter()
        .min_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)))
}

fn jobs(n: usize) -> String {
    if n == 1 {
        "1 job".to_owned()
    } else {
        format!("{n} jobs")
    }
}

/// Returns what a lead should look at before trusting the card; each begins with its short name.
pub fn warnings(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    share: &Share,
    others: &[(Fix, usize)],
    (accounts, runner_up): (&[Account], Option<&RunnerUp>),
) -> Vec<String> {
    let mut warn = Vec::new();
    let n = share.n;
    let fifth = |k: usize| count(k) >= 0.2 * count(n);
    let rivals = others.iter().filter(|(_, k)| fifth(*k)).count();
    let all = rivals + usize::from(fifth(share.k));
    if all > 1 {
        warn.push(format!(
            "ambiguous: {all} of the fixes recorded here hold 20 % or more of the {}",
            matching(n)
        ));
    }
    if let Some((fix, k)) = others.first().filter(|(_, k)| *k > share.k) {
        warn.push(format!(
            "outnumbered: {} holds {k} of the {}, this fix {}",
            short_fix(fix),
            matching(n),
            share.k
        ));
    }
    if accounts.first().is_none_or(|a| a.weight <= 0.0) {
        warn.push("weak: no finding on the front speaks for this fix".to_owned());
    }
    if let Some(alike) = runner_up.filter(|r| !r.told_apart) {
        warn.push(format!("look-alike: {}", alike.line));
    }
    warn.extend(elsewhere(shelf, group, draft));
    warn.extend(small_evidence(share));
    warn.extend(of_another_way(group, draft, share));
    warn.extend(of_returns(shelf, group));
    let unsafe_acts = draft.matching.iter().filter(|at| shelf.cases[**at].barred);
    let unsafe_acts = unsafe_acts.count();
    if unsafe_acts > 0 {
        warn.push(format!(
            "unsafe: {} ended in an act that is never an answer",
            jobs(unsafe_acts)
        ));
    }
    warn.extend(of_families(shelf, group));
    warn.extend(of_revisions(shelf, group));
    warn
}

fn matching(n: usize) -> String {
    format!("{n} matching {}", if n == 1 { "job" } else { "jobs" })
}

/// Returns the part at which a sign of the front was seen though nothing was done there.
fn elsewhere(shelf: &Shelf<'_>, group: &Group, draft: &Draft) -> Option<String> {
    let board = shelf.board?;
    let parts: Vec<&String> = group
        .fixes()
        .flat_map(Fix::pairs)
        .map(|(_, part)| part)
        .collect();
    let job = shelf.cases[draft.shown].job;
    let seen = job.findings.iter().filter(|f| {
        f.kind == FindingKind::Visual
            && tier::is_before_repair(f)
            && f.code.as_deref() != Some("none-seen")
            && draft
                .table
                .name_of(f)
                .is_some_and(|n| draft.names.contains(&n))
    });
    let places: Vec<&str> = seen.map(|f| f.place.trim()).collect();
    let first = places.first()?;
    let another = |place: &&str| {
        board.parts.contains_key(*place) && !parts.iter().any(|part| part.as_str() == *place)
    };
    places.iter().all(another).then(|| {
        format!("elsewhere: the sign on the front was seen at {first}, where nothing was mended")
    })
}

fn of_returns(shelf: &Shelf<'_>, group: &Group) -> Vec<String> {
    let own = || shelf.cases.iter().filter(|c| group.has_fix(&c.fix));
    let returned = own().filter(|c| tier::bounced(c.job)).count();
    let unexplained = own().filter(|c| tier::bounced_unexplained(c.job)).count();
    let all = own().count();
    let mut warn = Vec::new();
    if returned > 0 {
        warn.push(format!(
            "bounced: {returned} of {all} with this fix came back"
        ));
    }
    if unexplained > 0 {
        warn.push(format!(
            "doubtful: {} came back and nobody wrote why",
            jobs(unexplained)
        ));
    }
    if 3 * returned >= all && 2 * own().filter(|c| c.proved).count() <= all {
        warn.push("folklore: seldom proved and often back".to_owned());
    }
    warn
}

fn of_families(shelf: &Shelf<'_>, group: &Group) -> Option<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for at in &group.evidence {
        if let Some(family) = &shelf.cases[*at].job.family {
            *counts.entry(family).or_default() += 1;
        }
    }
    let list: Vec<String> = counts.iter().map(|(f, n)| format!("{f} {n}")).collect();
    (counts.len() > 1).then(|| format!("circuit disputed: {}", list.join(", ")))
}

/// A designator means something only together with the revision.
fn of_revisions(shelf: &Shelf<'_>, group: &Group) -> Vec<String> {
    let Some(board) = shelf.board else {
        return Vec::new();
    };
    let mut warn = Vec::new();
    for (_, designator) in group.fixes().flat_map(Fix::pairs) {
        let Some(part) = board.parts.get(designator).filter(|p| !p.revs.is_empty()) else {
            continue;
        };
        let wrong = group.evidence.iter().find_map(|at| {
            let job = shelf.cases[*at].job;
            let rev = job.rev.as_ref().filter(|r| !part.revs.contains(r))?;
            Some((rev, &job.job))
        });
        if let Some((rev, job)) = wrong {
            warn.push(format!(
                "revision: {designator} is not on revision {rev}, but {job} says so"
            ));
        }
        let newest = board.revisions.last().filter(|r| !part.revs.contains(r));
        if let Some(newest) = newest {
            warn.push(format!("stale: revision {newest} has no {designator}"));
        }
    }
    warn
}
/// Returns the warning of an answer that rests on little; none where it rests on enough.
pub fn small_evidence(share: &Share) -> Option<String> {
    (share.n < 3 || share.low < 0.5).then(|| {
        format!(
            "small evidence: {} of {}, 95 % interval {:.0} to {:.0} %",
            share.k,
            share.n,
            100.0 * share.low,
            100.0 * share.high
        )
    })
}

#[cfg(test)]
#[path = "remark_tests.rs"]
mod tests;
