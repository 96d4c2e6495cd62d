//! Expect cards: the fix is given; which readings would have told of it?
//!
//! One for a fix card that is supported and proved: knowing fixes from patterns does not teach patterns
//! from fixes (rearranged stimulus and response transfer worst: Pan & Rickard 2018, Psychological
//! Bulletin 144:710-756, volume and pages from memory). A finding is expected when two of the fix's jobs recorded it and three in four agree, and
//! it speaks for the fix. The one of greatest weight that is not as on a good board must be named; up to
//! two more are points beside. A single finding that the runner-up shows as well makes no card. Named tests and heat are never the one that must be named. What the same
//! fix shows when the part fails otherwise stands on the back. The limits are common practice, no source.

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::generate::band;
use crate::domain::generate::band::Variant;
use crate::domain::generate::build;
use crate::domain::generate::contrast;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::pattern::Side;
use crate::domain::generate::pattern::Tally;
use crate::domain::generate::remark;
use crate::domain::generate::remark::RunnerUp;
use crate::domain::generate::say;
use crate::domain::generate::table::Table;
use crate::domain::generate::tier;
use crate::domain::ids;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::judge::readings::value_words;
use crate::domain::wording;

/// Points at most.
pub const POINTS: usize = 3;
/// A finding must be seen with the fix so many times as often as without: natural logarithm of 2.
pub const TELLING: f64 = std::f64::consts::LN_2;
/// Words of a named test that found nothing: it rules something out, and nobody expects it of a fix.
const ALL_WELL: [&str; 10] = [
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

/// A finding that the fix is expected to show.
#[derive(Clone, Copy, Debug)]
struct Expected {
    name: usize,
    value: usize,
    weight: f64,
}

/// Makes the card of a fix whose own card is `fix`, from the board's jobs without a mask; none where
/// nothing tells enough.
pub fn card(shelf: &Shelf<'_>, table: &Table, group: &Group, fix: &Card) -> Option<Card> {
    if fix.support != Support::Supported || fix.share.proved == 0 {
        return None;
    }
    let sides = shelf.sides(group);
    let chosen = chosen(table, &sides, group);
    let first = *chosen.first()?;
    let shown = typical(table, group, &chosen)?;
    let points = points(table, &chosen);
    let draft = draft(table, &sides, shown, &chosen);
    let runner_up = remark::runner_up(shelf, group, &draft, &[]);
    // One finding that another fix shows as well is no pattern to expect.
    if chosen.len() == 1 && remark::shown_by_another(shelf, group, &draft) {
        return None;
    }
    let share = counted(shelf, group, table, first);
    let kind = CardKind::Expect;
    let jobs: Vec<&Job> = group
        .evidence
        .iter()
        .rev()
        .map(|at| shelf.cases[*at].job)
        .collect();
    Some(Card {
        // A fix that leads have split has a card for each part, and this one goes with its part.
        id: ids::long_mark([kind.word(), shelf.id, &fix.id, ""]),
        kind,
        stem: stem(shelf, group, fix),
        points,
        front: Vec::new(),
        held_back: findings(shelf.cases[shown].job, table, &chosen),
        deciding: Vec::new(),
        answers: own_answers(group, fix),
        contributing: Vec::new(),
        support: Support::of_jobs(share.n),
        why: why(shelf, group, &draft, runner_up, &chosen),
        warn: remark::small_evidence(&share).into_iter().collect(),
        jobs: jobs.iter().map(|j| j.job.clone()).collect(),
        last: jobs.iter().map(|j| j.closed_on).max(),
        revs: build::sorted(jobs.iter().filter_map(|j| j.rev.as_ref())),
        others: Vec::new(),
        share,
        ..fix.clone()
    })
}

/// Returns what the fix shows: first the finding that must be named, then others, the strongest first.
fn chosen(table: &Table, sides: &[Side], group: &Group) -> Vec<Expected> {
    let mut all: Vec<Expected> = (0..table.names().len())
        .filter_map(|name| {
            let value = contrast::settled(table, group, name)?;
            let weight = Tally::of(table, name, sides).weight(value, Side::Apart);
            let speakable = sayable(table, name, value);
            (speakable && TELLING <= weight).then_some(Expected {
                name,
                value,
                weight,
            })
        })
        .collect();
    all.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.name.cmp(&b.name)));
    let must = |e: &Expected| {
        let kind = table.names()[e.name].kind;
        // Where nothing is wrong there is no point that must be named.
        let healthy = band::is_healthy(table.word(e.name, e.value));
        !healthy && !matches!(kind, FindingKind::Heat | FindingKind::Other)
    };
    let Some(at) = all.iter().position(must) else {
        return Vec::new();
    };
    let first = all.remove(at);
    let mut chosen = vec![first];
    for next in all {
        // One place is asked for once: its standby and its running level are one memory.
        let names = table.names();
        let same = |e: &Expected| {
            let (a, b) = (&names[e.name], &names[next.name]);
            a.kind == b.kind && a.place == b.place
        };
        if chosen.len() < POINTS && !chosen.iter().any(same) {
            chosen.push(next);
        }
    }
    chosen
}

/// Tells whether a value can be said in words: decades of amperes cannot, nor two values in one.
fn sayable(table: &Table, name: usize, value: usize) -> bool {
    let word = table.word(name, value);
    match table.names()[name].kind {
        FindingKind::Other => {
            let words: Vec<&str> = word.split(' ').collect();
            words.len() <= 3 && !words.iter().any(|w| ALL_WELL.contains(w))
        }
        FindingKind::Visual if word == "none-seen" => false,
        kind => 1 < value_words::of(kind, word).len(),
    }
}

/// Returns the evidence job that shows most of what is expected; among equals the latest.
fn typical(table: &Table, group: &Group, chosen: &[Expected]) -> Option<usize> {
    let shows = |at: usize| {
        let same = |e: &&Expected| table.value(e.name, at) == Some(e.value);
        (same(&&chosen[0]), chosen.iter().filter(same).count())
    };
    let evidence = group.evidence.iter().copied();
    evidence.max_by_key(|at| (shows(*at), *at))
}

fn points(table: &Table, chosen: &[Expected]) -> Vec<KeyPoint> {
    let point = |(i, e): (usize, &Expected)| {
        let name = &table.names()[e.name];
        let band = table.word(e.name, e.value);
        let text = remark::read_as(name, band);
        KeyPoint {
            needed: i == 0,
            ..say::shows(&text, name, name.kind, band)
        }
    };
    chosen.iter().enumerate().map(point).collect()
}

/// Returns what the shown job read of what is expected, places and all.
fn findings(job: &Job, table: &Table, chosen: &[Expected]) -> Vec<Finding> {
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

/// Returns how many jobs with the fix showed what must be named, of those that recorded it.
fn counted(shelf: &Shelf<'_>, group: &Group, table: &Table, first: Expected) -> Share {
    let read = |at: &&usize| table.value(first.name, **at).is_some();
    let same = |at: &&usize| table.value(first.name, **at) == Some(first.value);
    let n = group.evidence.iter().filter(read).count();
    let k = group.evidence.iter().filter(same).count();
    let proved = group.evidence.iter().filter(same);
    let proved = proved.filter(|at| shelf.cases[**at].proved).count();
    Share::counted(k, n, proved)
}

/// The other ways in which the part of a fix failed on the board.
fn otherwise<'a>(shelf: &'a Shelf<'_>, group: &Group) -> Vec<&'a Group> {
    let other = |g: &&Group| {
        g.fix == group.fix && g.variant != group.variant && contrast::JOBS <= g.evidence.len()
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

fn stem(shelf: &Shelf<'_>, group: &Group, fix: &Card) -> String {
    // A part that fails in several ways shows several patterns: one of them is asked for.
    let way = if otherwise(shelf, group).is_empty() {
        ""
    } else {
        way(group.variant)
    };
    worded(&own_answers(group, fix), way)
}

/// Tells whether such a card is asked as the builder asks it.
pub(super) fn asks(card: &Card) -> bool {
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
fn draft(table: &Table, sides: &[Side], shown: usize, chosen: &[Expected]) -> Draft {
    let mut names: Vec<usize> = chosen.iter().map(|e| e.name).collect();
    names.sort_unstable();
    Draft {
        table: table.clone(),
        sides: sides.to_vec(),
        names,
        shown,
        matching: Vec::new(),
    }
}

fn why(
    shelf: &Shelf<'_>,
    group: &Group,
    draft: &Draft,
    runner_up: Option<RunnerUp>,
    chosen: &[Expected],
) -> String {
    let table = &draft.table;
    let mut lines: Vec<String> = chosen
        .iter()
        .map(|e| remark::counted(table, e.name, e.value, &draft.sides))
        .collect();
    lines.extend(runner_up.map(|r| r.line));
    for other in otherwise(shelf, group) {
        let sides = shelf.sides(other);
        if let Some(first) = self::chosen(table, &sides, other).first() {
            let line = remark::counted(table, first.name, first.value, &sides);
            let way = match other.variant {
                Variant::Short => "failed short",
                Variant::Open => "failed open",
                Variant::Other => "failed otherwise",
            };
            lines.push(format!("where it {way}: {line}"));
        }
    }
    lines.extend(remark::story(shelf, group));
    remark::joined(&lines)
}

#[cfg(test)]
mod tests {
    use super::*;
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
        assert_eq!(said, ["draw cycling", "3V3_SB low"]);
        let needed: Vec<bool> = card.points.iter().map(|p| p.needed).collect();
        assert_eq!(needed, [true, false]);
        assert_eq!((card.share.k, card.share.n), (4, 4));
        assert!(
            card.why
                .starts_with("draw cycling: 4 of 4 with this fix, 0 of 4 without; ")
        );
        let shown: Vec<Option<String>> =
            card.held_back.iter().map(|f| band::band(f, None)).collect();
        assert_eq!(shown, [Some("cycling".to_owned()), Some("low".to_owned())]);
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
}
