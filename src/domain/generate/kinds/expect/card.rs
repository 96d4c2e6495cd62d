//! Expect cards: the fix is given; which readings would have told of it?
//!
//! One for a fix card that is supported and proved: knowing fixes from patterns does not teach patterns
//! from fixes (rearranged stimulus and response transfer worst: Pan & Rickard 2018, Psychological
//! Bulletin 144:710-756, volume and pages from memory). A finding is expected when two of the fix's jobs recorded it and three in four agree.
//! What tells the fix from its look-alikes must be named, one finding or two ([`crate::domain::generate::kinds::expect::alike`]); others
//! that speak for the fix are points beside, first what tells it from look-alikes that the needed ones
//! leave, as long as they are not enough for the judge where they tell less. Heat is never needed. Where
//! another fix shows all of it and nothing tells the two apart, there is no card; where an end without a
//! fix does, a warning. What the same fix shows when the part fails otherwise stands on the back. The
//! limits are common practice, no source.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::generate::backs::remark;
use crate::domain::generate::backs::runner_up;
use crate::domain::generate::backs::runner_up::RunnerUp;
use crate::domain::generate::backs::why;
use crate::domain::generate::coded::band::Variant;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::tier;
use crate::domain::generate::kinds::expect::alike::Lineup;
use crate::domain::generate::kinds::expect::alike::Yard;
use crate::domain::generate::kinds::expect::shown;
use crate::domain::generate::kinds::expect::shown::Class;
use crate::domain::generate::kinds::expect::shown::Read;
use crate::domain::generate::kinds::expect::shown::Shown;
use crate::domain::generate::weigh::account;
use crate::domain::generate::weigh::agreed;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::pattern::Tally;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::generate::words::say;
use crate::domain::ids;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::judge::compare::points::judge_points;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::judge::readings::value_words;
use crate::domain::wording;

/// Words at most of a test that are heard.
const WORDS: usize = 5;
/// Points at most, but for one that tells as much as the needed ones.
pub const POINTS: usize = 3;
/// A finding must be seen with the fix so many times as often as without: natural logarithm of 2.
pub const TELLING: f64 = std::f64::consts::LN_2;
/// Warnings of a fix card that are as true of what pointed to the fix.
const OF_THE_FIX: [&str; 4] = ["bounced:", "doubtful:", "folklore:", "stale:"];

/// Makes the card of a fix whose own card is `fix`; none where nothing tells enough, or where all that is
/// expected is shown by another fix as well.
pub fn card(yard: &Yard<'_>, group: &Group, fix: &Card) -> Option<Card> {
    if fix.support != Support::Supported || fix.share.proved == 0 {
        return None;
    }
    let (shelf, table) = (yard.shelf(), yard.table());
    let chosen = Chosen::of(yard, group)?;
    let shown = typical(table, group, &chosen.points)?;
    let points = points(table, &chosen);
    let stem = stem(shelf, group, fix, &points)?;
    let draft = draft(yard, group, shown, &chosen.points);
    // A sign at another place is not the same.
    let placed = chosen.points.iter().any(|s| !s.place.is_empty());
    let runner_up = runner_up::runner_up(shelf, group, &draft, &[]);
    let runner_up = runner_up.filter(|r| r.told_apart || !placed);
    let share = counted(yard, group, &chosen);
    let kind = CardKind::Expect;
    let jobs: Vec<&Job> = group
        .evidence
        .iter()
        .rev()
        .map(|at| shelf.cases[*at].job)
        .collect();
    let mut warn: Vec<String> = remark::small_evidence(&share).into_iter().collect();
    warn.extend(chosen.left.iter().chain(&chosen.doubts).cloned());
    // Whoever sees that the repair came back doubts what pointed to it as well, and a part that the newest
    // revision does not have is not asked for unmarked.
    let of_the_fix = |line: &&String| OF_THE_FIX.iter().any(|short| line.starts_with(short));
    warn.extend(fix.warn.iter().filter(of_the_fix).cloned());
    Some(Card {
        // A fix that leads have split has a card for each part, and this one goes with its part.
        id: ids::long_mark([kind.word(), shelf.id, &fix.id, ""]),
        kind,
        stem,
        points,
        front: Vec::new(),
        held_back: findings(shelf.cases[shown].job, table, &chosen.points),
        deciding: Vec::new(),
        answers: own_answers(group, fix),
        contributing: Vec::new(),
        support: Support::of_jobs(share.n),
        why: why(yard, group, runner_up, &chosen),
        warn,
        jobs: jobs.iter().map(|j| j.job.clone()).collect(),
        last: jobs.iter().map(|j| j.closed_on).max(),
        revs: phrases::sorted(jobs.iter().filter_map(|j| j.rev.as_ref())),
        others: Vec::new(),
        share,
        ..fix.clone()
    })
}

/// What is asked for.
struct Chosen {
    /// The findings that must be named, then those beside them.
    points: Vec<Shown>,
    /// How many of them must be named.
    needed: usize,
    /// The warning of a look-alike that shows all that must be named.
    left: Option<String>,
    /// The warnings of what hardly tells though it must be named, and of a look-alike that nobody measured for it.
    doubts: Vec<String>,
    /// For each point the look-alike that only it tells from the fix, with its counts.
    parts: Vec<Option<String>>,
}

impl Chosen {
    /// Chooses what the fix shows; none where nothing must be named, or where that is as true of others.
    fn of(yard: &Yard<'_>, group: &Group) -> Option<Self> {
        let table = yard.table();
        let lineup = Lineup::of(yard, group, &|name, value| sayable(table, name, value));
        let needed = lineup.needed();
        if needed.is_empty() || lineup.is_shown_by_another(&needed) {
            return None;
        }
        let left = lineup.show_it_too(&needed);
        if group.members.len() < lineup.jobs_of(&left) {
            return None;
        }
        let left = left
            .first()
            .map(|at| look_alike(yard, &lineup, &needed, *at));
        let common = needed.iter().filter_map(|i| shared(yard, &lineup, *i));
        let doubts = common.chain(unread(yard, &lineup, &needed)).collect();
        let beside = beside(yard, group, &lineup, &needed);
        let parts = |i: &usize| {
            let shown = &lineup.all[*i];
            let rival = lineup.parted_by(*i, &needed);
            let rival = rival.filter(|_| !shown.class.is_fault())?;
            let Read { n, same } = shown.read[rival];
            Some(format!("{same} of {n} with {}", yard.rival(rival)))
        };
        let taken: Vec<usize> = needed.iter().chain(&beside).copied().collect();
        Some(Self {
            parts: taken.iter().map(parts).collect(),
            points: taken.iter().map(|i| lineup.all[*i].clone()).collect(),
            needed: needed.len(),
            left,
            doubts,
        })
    }
}

/// Warns of a look-alike that shows all that is needed.
fn look_alike(yard: &Yard<'_>, lineup: &Lineup<'_>, needed: &[usize], rival: usize) -> String {
    let table = yard.table();
    let seen = needed.iter().map(|i| lineup.all[*i].said(table));
    let seen: Vec<String> = seen.collect();
    let apart = lineup.all.iter().find(|s| s.tells_from(rival));
    let apart = apart.map(|s| format!("; {} tells them apart", s.said(table)));
    format!(
        "look-alike: {} shows {} as well{}",
        yard.rival(rival),
        seen.join(" and "),
        apart.unwrap_or_default()
    )
}

/// Warns of a fault that must be named and that half of the others show too.
fn shared(yard: &Yard<'_>, lineup: &Lineup<'_>, one: usize) -> Option<String> {
    let shown = &lineup.all[one];
    let Read { n, same } = shown.others;
    let said = shown.said(yard.table());
    let text =
        format!("shared: {said} must be named, and {same} of {n} without this fix show it too");
    (shown.class.is_fault() && shown.is_common()).then_some(text)
}

/// Warns of a near look-alike that no job of which was measured for what must be named.
fn unread(yard: &Yard<'_>, lineup: &Lineup<'_>, needed: &[usize]) -> Option<String> {
    let (rival, one) = lineup.unread(needed)?;
    let table = yard.table();
    let seen: Vec<String> = needed.iter().map(|i| lineup.all[*i].said(table)).collect();
    let other = &lineup.all[one];
    let Read { n, same } = other.read[rival];
    Some(format!(
        "unread: no job with {} was measured for {}; {} tells them apart ({same} of {n} there)",
        yard.rival(rival),
        seen.join(" and "),
        other.said(table)
    ))
}

/// Chooses the points beside the needed ones.
fn beside(yard: &Yard<'_>, group: &Group, lineup: &Lineup<'_>, needed: &[usize]) -> Vec<usize> {
    let names = yard.table().names();
    let name = |i: usize| &names[lineup.all[i].name];
    let same_place = |i: usize, other: usize| shown::same_place(name(i), name(other));
    let mut order = beside_needed(yard, group, lineup, needed);
    // Ohms and diode mode are two dials at one place: who took the other one is heard, after the rest.
    order.sort_by_key(|next| needed.iter().any(|i| same_place(*i, *next)));
    let mut beside: Vec<usize> = Vec::new();
    for next in order {
        // One place is asked for once: its standby and its running level are one memory.
        let again = |i: &usize| same_place(*i, next) && name(*i).kind == name(next).kind;
        if needed.iter().any(again) || beside.iter().any(|i| same_place(*i, next)) {
            continue;
        }
        let own = lineup.all[next].class.is_own_fault();
        let as_much = own && lineup.left(&[next]) <= lineup.left(needed);
        // What tells as much as what is needed is heard beside those that tell less.
        let room = if as_much { POINTS + 1 } else { POINTS };
        let room = room.max(needed.len() + 1);
        if needed.len() + beside.len() < room && passes(yard, lineup, needed, &beside, next) {
            beside.push(next);
        }
    }
    beside
}

/// Tells whether a point may stand beside the needed ones and those of `beside`. The judge takes two of
/// them, or a named test alone, for what must be named: then they have to tell as much.
fn passes(
    yard: &Yard<'_>,
    lineup: &Lineup<'_>,
    needed: &[usize],
    beside: &[usize],
    next: usize,
) -> bool {
    let as_much = |some: &[usize]| {
        let fault = some.iter().any(|i| lineup.all[*i].class.is_fault());
        fault && lineup.left(some) <= lineup.left(needed)
    };
    let shown = &lineup.all[next];
    if yard.table().names()[shown.name].kind == FindingKind::Other {
        // Where others show it too it is no rarer a sight than what must be named.
        let rates = needed.iter().map(|i| lineup.all[*i].without());
        let least = rates.fold(f64::INFINITY, f64::min);
        let rare = shown.others.same == 0 || shown.without() <= 2.0 * least;
        return shown.is_own() && rare && as_much(&[next]);
    }
    beside.iter().all(|other| as_much(&[*other, next]))
}

/// Returns the places of what speaks for the fix: first what leaves out look-alikes that `needed` leaves,
/// then what hardly anyone else shows, then what tells from look-alikes that no reading of `needed` tells
/// from, then by weight of evidence.
fn beside_needed(
    yard: &Yard<'_>,
    group: &Group,
    lineup: &Lineup<'_>,
    needed: &[usize],
) -> Vec<usize> {
    let sides = yard.shelf().sides(group);
    let weight = |s: &Shown| Tally::of(yard.table(), s.name, &sides).weight(s.value, Side::Apart);
    let all = lineup.all.iter().enumerate();
    let open = (lineup.left(needed), lineup.untold(needed));
    let mut order: Vec<((usize, usize), bool, f64, usize)> = all
        .map(|(i, s)| {
            let others_too = !(s.is_own() && s.class.is_fault());
            let with = [needed, &[i]].concat();
            // What few of the fix's jobs recorded parts nothing for the others.
            let with = if 3 * s.own.n < group.evidence.len() {
                open
            } else {
                (lineup.left(&with), lineup.untold(&with))
            };
            (with, others_too, weight(s), i)
        })
        .filter(|(with, others_too, weight, i)| {
            let shown = &lineup.all[*i];
            let visual = yard.table().names()[shown.name].kind == FindingKind::Visual;
            let usual = shown.is_usual() || shown.class.is_fault() && shown.is_common();
            let counts = shown.class != Class::Rest && !visual && !usual;
            let parts = counts && *with < open;
            !others_too || TELLING <= *weight || parts
        })
        .collect();
    order.sort_by(|a, b| {
        let most = (a.0.0, a.1, a.0.1).cmp(&(b.0.0, b.1, b.0.1));
        most.then(b.2.total_cmp(&a.2)).then(a.3.cmp(&b.3))
    });
    order.into_iter().map(|(.., i)| i).collect()
}

/// Tells whether a value can be said in words: decades of amperes cannot, nor two values in one.
fn sayable(table: &Table, name: usize, value: usize) -> bool {
    let word = table.word(name, value);
    match table.names()[name].kind {
        FindingKind::Other => {
            let words: Vec<&str> = word.split(' ').collect();
            let scale = word.contains("full scale");
            let well = |w: &&str| account::FOUND_NOTHING.contains(w) && !(scale && *w == "full");
            words.len() <= WORDS && !words.iter().any(well)
        }
        // Who was there before says nothing of what is wrong now.
        FindingKind::Visual if ["none-seen", "earlier-work"].contains(&word) => false,
        kind => 1 < value_words::of(kind, word).len(),
    }
}

/// Returns the evidence job that shows most of what is expected; among equals the latest.
fn typical(table: &Table, group: &Group, chosen: &[Shown]) -> Option<usize> {
    let shows = |at: usize| {
        let same = |e: &&Shown| table.value(e.name, at) == Some(e.value);
        (same(&&chosen[0]), chosen.iter().filter(same).count())
    };
    let evidence = group.evidence.iter().copied();
    evidence.max_by_key(|at| (shows(*at), *at))
}

fn points(table: &Table, chosen: &Chosen) -> Vec<KeyPoint> {
    let point = |(i, shown): (usize, &Shown)| {
        let name = &table.names()[shown.name];
        let band = table.word(shown.name, shown.value);
        KeyPoint {
            needed: i < chosen.needed,
            ..say::shows(&shown.said(table), name, name.kind, band)
        }
    };
    chosen.points.iter().enumerate().map(point).collect()
}

/// Returns what the shown job read of what is expected, places and all.
fn findings(job: &Job, table: &Table, chosen: &[Shown]) -> Vec<Finding> {
    let before = job.findings.iter().filter(|f| tier::is_before_repair(f));
    let own = |name: usize| {
        let of_name = move |f: &&Finding| table.name_of(f) == Some(name);
        before.clone().filter(of_name)
    };
    let mut found: Vec<Finding> = Vec::new();
    for finding in chosen.iter().flat_map(|e| own(e.name)) {
        let plain = Finding {
            raw: None,
            ..finding.clone()
        };
        if !found.contains(&plain) {
            found.push(plain);
        }
    }
    found
}

/// Returns how many jobs with the fix showed all that must be named, of those that recorded all of it.
fn counted(yard: &Yard<'_>, group: &Group, chosen: &Chosen) -> Share {
    let needed: Vec<&Shown> = chosen.points[..chosen.needed].iter().collect();
    let Read { n, same: k } = yard.show_all(group, &needed);
    let all_shown = |at: &&usize| {
        let shows = |s: &&Shown| yard.shows(group, s, **at) == Some(true);
        needed.iter().all(shows)
    };
    let proved = group.evidence.iter().filter(all_shown);
    let proved = proved.filter(|at| yard.shelf().cases[**at].proved).count();
    Share::counted(k, n, proved)
}

/// The other ways in which the part of a fix failed on the board.
fn otherwise<'a>(shelf: &'a Shelf<'_>, group: &Group) -> Vec<&'a Group> {
    let other = |g: &&Group| {
        g.fix == group.fix && g.variant != group.variant && agreed::JOBS <= g.evidence.len()
    };
    shelf.groups.iter().filter(other).collect()
}

/// Returns the answers whose jobs are counted: the fix, and those that leads merged into it.
fn own_answers(group: &Group, fix: &Card) -> Vec<Answer> {
    let answers = fix.answers.iter();
    answers
        .filter(|answer| group.has_fix(&answer.fix()))
        .cloned()
        .collect()
}

/// Returns the question; none where the way of failing that it must name is the answer.
fn stem(shelf: &Shelf<'_>, group: &Group, fix: &Card, points: &[KeyPoint]) -> Option<String> {
    let answers = own_answers(group, fix);
    if otherwise(shelf, group).is_empty() {
        return Some(worded(&answers, ""));
    }
    // A part that fails in several ways shows several patterns: one of them is asked for.
    let stem = worded(&answers, way(group.variant));
    let told = judge_points(&stem, points, shelf.board, &Synonyms::default());
    (!told.right).then_some(stem)
}

/// Tells whether such a card is asked as the builder asks it.
pub(in crate::domain::generate) fn asks(card: &Card) -> bool {
    let ways = [Variant::Short, Variant::Open, Variant::Other].map(way);
    let ways = ways.into_iter().chain([""]);
    ways.map(|way| worded(&card.answers, way))
        .any(|stem| stem == card.stem)
}

fn way(variant: Variant) -> &'static str {
    match variant {
        Variant::Short => " Something read short.",
        Variant::Open => " Something read open, or nothing was drawn.",
        Variant::Other => " Nothing read short, and nothing open.",
    }
}

fn worded(answers: &[Answer], way: &str) -> String {
    let done: Vec<String> = answers.iter().map(wording::answer_text).collect();
    let done = done.join(", or ");
    format!("The fix was: {done}.{way} Which readings or signs pointed to it?")
}

/// Returns what is expected as the pattern of the shown job.
fn draft(yard: &Yard<'_>, group: &Group, shown: usize, chosen: &[Shown]) -> Draft {
    let mut names: Vec<usize> = chosen.iter().map(|e| e.name).collect();
    names.sort_unstable();
    Draft {
        table: yard.table().clone(),
        sides: yard.shelf().sides(group),
        names,
        shown,
        matching: Vec::new(),
    }
}

fn why(yard: &Yard<'_>, group: &Group, runner_up: Option<RunnerUp>, chosen: &Chosen) -> String {
    let (shelf, table) = (yard.shelf(), yard.table());
    let points = chosen.points.iter().zip(&chosen.parts);
    let counted = points.map(|(shown, parts)| match parts {
        Some(parts) => format!("{} ({parts})", shown.counted(table)),
        None => shown.counted(table),
    });
    let mut lines: Vec<String> = counted.collect();
    lines.extend(runner_up.map(|r| r.line));
    for other in otherwise(shelf, group) {
        if let Some(first) = Chosen::of(yard, other).and_then(|c| c.points.into_iter().next()) {
            let line = first.counted(table);
            let way = match other.variant {
                Variant::Short => "failed short",
                Variant::Open => "failed open",
                Variant::Other => "failed otherwise",
            };
            lines.push(format!("where it {way}: {line}"));
        }
    }
    lines.extend(why::story(shelf, group));
    phrases::joined(&lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::band;
    use crate::domain::generate::sample;

    /// Four jobs of each of two fixes: `U31` with the rail low and a pulsing draw, `L12` without.
    fn archive() -> Vec<Job> {
        let draw = |code: &str| {
            let mut finding = Finding::new(FindingKind::Current, "");
            finding.code = Some(code.to_owned());
            finding
        };
        let job = |part: &str, at: u64| {
            let own = part == "U31";
            let findings = vec![
                draw(if own { "cycling" } else { "stuck" }),
                sample::rail("3V3_SB", if own { "low" } else { "in-band" }),
                sample::rail("VSYS", "in-band"),
                sample::resistance("3V3_SB", 1400.0),
            ];
            let mut job = sample::job_with(&format!("{part}-{at}"), part, at, findings);
            job.proof = Some("3V3_SB back at 3.31 V".to_owned());
            job
        };
        let of = |part: &'static str| (1..=4).map(move |at| job(part, at));
        of("U31").chain(of("L12")).collect()
    }

    fn expects(jobs: &[Job]) -> Vec<Card> {
        let kind = |c: &Card| c.kind == CardKind::Expect;
        sample::built(jobs).cards.into_iter().filter(kind).collect()
    }

    #[test]
    fn the_fix_is_given_and_its_readings_are_asked_for() {
        let jobs = archive();
        let found = expects(&jobs);
        let card = found
            .iter()
            .find(|c| c.stem.contains("U31"))
            .expect("a card");
        assert!(card.front.is_empty());
        let said: Vec<&str> = card.points.iter().map(|p| p.say.as_str()).collect();
        assert_eq!(said, ["3V3_SB low", "draw cycling"]);
        let needed: Vec<bool> = card.points.iter().map(|p| p.needed).collect();
        assert_eq!(needed, [true, false]);
        assert_eq!((card.share.k, card.share.n), (4, 4));
        assert!(
            card.why
                .starts_with("3V3_SB low: 4 of 4 with this fix, 0 of 4 without; ")
        );
        let shown: Vec<Option<String>> =
            card.held_back.iter().map(|f| band::band(f, None)).collect();
        assert_eq!(shown, [Some("low".to_owned()), Some("cycling".to_owned())]);
        let mut turned = jobs;
        turned.reverse();
        assert_eq!(expects(&turned), found, "whatever the order of the jobs");
    }

    #[test]
    fn a_fix_of_healthy_readings_few_jobs_or_no_proof_is_not_asked_for() {
        let healthy = |jobs: &[Job]| {
            let found = expects(jobs);
            found.iter().any(|c| c.stem.contains("L12"))
        };
        // What L12 shows is a stuck draw; without it only a rail in band is left.
        assert!(healthy(&archive()));
        let mut plain = archive();
        for job in &mut plain {
            job.findings.remove(0);
        }
        assert!(!healthy(&plain));
        let mut few = archive();
        few.retain(|j| j.job != "U31-3" && j.job != "U31-4");
        assert!(!expects(&few).iter().any(|c| c.stem.contains("U31")));
        let mut likely = archive();
        for job in &mut likely {
            job.confidence = Some(crate::domain::job::Confidence::Likely);
            job.proof = None;
        }
        assert!(expects(&likely).is_empty());
    }

    #[test]
    fn a_part_that_fails_in_two_ways_is_asked_for_one_of_them() {
        let mut jobs = archive();
        for at in 5..=8 {
            let findings = vec![
                sample::resistance("3V3_SB", 0.3),
                sample::rail("3V3_SB", "low"),
            ];
            jobs.push(sample::job_with(&format!("U31-{at}"), "U31", at, findings));
        }
        let found = expects(&jobs);
        let short = found
            .iter()
            .find(|c| c.stem.contains("Something read short"));
        let other = found.iter().find(|c| c.stem.contains("Nothing read short"));
        let (short, other) = (short.expect("a card"), other.expect("a card"));
        assert_ne!(short.id, other.id);
        assert!(
            other.why.contains("where it failed short: "),
            "{}",
            other.why
        );
        let said = |p: &KeyPoint| p.say == "3V3_SB to ground hard short";
        assert!(short.points.iter().any(said));
        assert!(!other.points.iter().any(said));
    }

    /// "Replace R8. Something read open": R8 open is no question any more.
    #[test]
    fn no_card_asks_for_what_the_way_of_failing_says() {
        let open = |place: &str, at: u64| {
            let mut read = sample::resistance(place, 0.0);
            (read.got, read.code) = (None, Some("open".to_owned()));
            let findings = vec![read, sample::rail("VSYS", "in-band")];
            sample::job_with(&format!("R8-{at}"), "R8", at, findings)
        };
        let other = |at: u64| {
            let findings = vec![sample::rail("VREF", "low")];
            sample::job_with(&format!("R8-{at}"), "R8", at, findings)
        };
        let of_the_open_one = |place: &str| {
            let mut jobs = archive();
            jobs.extend((1..=4).map(|at| open(place, at)));
            jobs.extend((5..=8).map(other));
            let found = expects(&jobs);
            found
                .iter()
                .any(|c| c.stem.contains("R8") && c.stem.contains("open, or nothing"))
        };
        assert!(of_the_open_one("SENSE"), "R8 does not say where");
        assert!(!of_the_open_one("R8"));
    }
}
