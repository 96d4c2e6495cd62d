//! Contrast cards: two fixes of one board whose fronts agree, and the finding that tells them apart.
//!
//! Both fixes rest on at least two jobs, one of them proved. A finding counts for a fix when two of
//! its jobs recorded it and three in four agree. It is asked in two directions, a card each: either the
//! sides show what is alike, and the finding that differs is asked for with both fixes (which fix
//! belongs to which side cannot be seen, so the answer names both); or the finding that differs is
//! shown as well, and each side's fix is asked for. Which side is A comes from a hash of the card and
//! the fix, so that the letter tells nothing.
//! The limits are common practice, no source; that look-alikes are best learned side by side follows
//! Brunmair & Richter 2019, Psychological Bulletin 145:1029-1052.

use std::collections::BTreeSet;
use std::collections::HashMap;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::Share;
use crate::domain::card::Side;
use crate::domain::card::Support;
use crate::domain::generate::band;
use crate::domain::generate::build;
use crate::domain::generate::build::BuildInput;
use crate::domain::generate::build::Hazards;
use crate::domain::generate::evidence::Draft;
use crate::domain::generate::evidence::Group;
use crate::domain::generate::evidence::Shelf;
use crate::domain::generate::front;
use crate::domain::generate::leak;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::remark;
use crate::domain::generate::say;
use crate::domain::generate::table::Name;
use crate::domain::generate::table::Table;
use crate::domain::ids;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::units::count;

/// What is asked of two look-alikes.
pub const STEM: &str = "Two boards that look alike, and two different fixes. Which one finding \
                        separates them, and which two fixes were they?";
/// What is asked where the finding that separates them is shown.
pub const STEM_GIVEN: &str =
    "Two boards that look alike but for one finding. What fixed A, and what fixed B?";
/// A fix is a look-alike of another from this many jobs.
pub const JOBS: usize = 2;
/// Findings that two look-alikes share at least.
pub const SHARED: usize = 2;
/// Findings in which they may differ.
pub const DIFFERING: usize = 2;
/// Of the jobs that recorded a finding, this part agrees in its band.
pub const AGREED: f64 = 0.75;
/// Two readings look alike up to this many times each other.
pub const NEAR: f64 = 1.5;
/// Two levels look alike within this part of the good one.
pub const NEAR_GOOD: f64 = 0.1;
/// Contrast cards of one board at most, the best founded.
pub const MOST: usize = 6;

/// Makes the contrast cards of one board.
pub fn cards(input: &BuildInput<'_>, shelf: &Shelf<'_>) -> Vec<Card> {
    let able = |g: &&Group| {
        JOBS <= g.evidence.len() && g.evidence.iter().any(|at| shelf.cases[*at].proved)
    };
    let bare = shelf.table(&Mask::default());
    let groups = shelf.groups.iter().filter(able);
    let groups: Vec<Asked<'_>> = groups.map(|g| Asked::of(shelf, &bare, g)).collect();
    let mut found: Vec<Card> = Vec::new();
    let mut known = Known::default();
    for (i, a) in groups.iter().enumerate() {
        for b in &groups[i + 1..] {
            if may_differ(&bare, a, b) && apart(shelf, a, b) {
                found.extend(card(input, shelf, [a, b], &mut known));
            }
        }
    }
    found.sort_by(|x, y| y.share.n.cmp(&x.share.n).then_with(|| x.id.cmp(&y.id)));
    let mut fixes: BTreeSet<String> = BTreeSet::new();
    found.retain(|card| {
        let both: Vec<String> = card
            .sides
            .iter()
            .map(|s| format!("{:?}", s.answer))
            .collect();
        fixes.insert(both.join(" | "))
    });
    found.truncate(MOST);
    let other_way = found.iter().map(|card| given(input, card));
    let other_way: Vec<Card> = other_way.collect();
    found.extend(
        other_way
            .into_iter()
            .filter(|card| leak::leak_of_sides(card, shelf.board).is_none()),
    );
    for card in &mut found {
        by_mark(card);
    }
    found
}

/// Returns the card in its other direction: what separates the sides is shown, each fix is asked for.
fn given(input: &BuildInput<'_>, card: &Card) -> Card {
    let board = input.boards.iter().find(|b| b.id == card.board);
    let points = card.sides.iter().map(|side| {
        let shown: Vec<String> = side
            .separates
            .iter()
            .map(|finding| {
                let band = band::band(finding, board).unwrap_or_default();
                remark::read_as(&Name::of(finding), &band)
            })
            .collect();
        say::fix(&format!("{}: ", shown.join(", ")), &side.answer.steps)
    });
    Card {
        id: ids::long_mark([card.kind.word(), &card.id, "given", ""]),
        stem: STEM_GIVEN.to_owned(),
        points: points.collect(),
        given: true,
        ..card.clone()
    }
}

/// Orders the sides by a mark of the card and the fix; the points of the fixes go with them.
fn by_mark(card: &mut Card) {
    let mark = |side: &Side| {
        let steps = format!("{:?}", side.answer.steps);
        ids::long_mark([card.id.as_str(), &steps, "side", ""])
    };
    if let [first, second] = card.sides.as_slice()
        && mark(second) < mark(first)
    {
        card.sides.swap(0, 1);
        let n = card.points.len();
        card.points.swap(n - 2, n - 1);
    }
}

/// A fix that is held against all others, with what is asked of it each time.
struct Asked<'a> {
    group: &'a Group,
    family: Option<String>,
    parts: BTreeSet<&'a str>,
    /// Of each name without a mask, whether its own card holds it back.
    hidden: Vec<bool>,
    /// And what its jobs agree on.
    settled: Vec<Option<usize>>,
}

impl<'a> Asked<'a> {
    fn of(shelf: &Shelf<'_>, bare: &Table, group: &'a Group) -> Self {
        let family = build::family_of(&jobs(shelf, group));
        let mask = Mask::of([&group.fix], family.as_deref(), shelf.board);
        let names = 0..bare.names().len();
        Self {
            hidden: shelf.hidden(&mask),
            settled: names.map(|name| settled(bare, group, name)).collect(),
            parts: group.fix.pairs().iter().map(|(_, p)| p.as_str()).collect(),
            family,
            group,
        }
    }
}

/// Tells whether two fixes may make a card, by the names that none of the two holds back: what both hold
/// back never separates them, so one of the others has to, and they may not differ in many.
fn may_differ(bare: &Table, a: &Asked<'_>, b: &Asked<'_>) -> bool {
    let (mut differ, mut separates) = (0, false);
    for (at, pair) in a.settled.iter().zip(&b.settled).enumerate() {
        let (Some(one), Some(other)) = pair else {
            continue;
        };
        if one != other && !a.hidden[at] && !b.hidden[at] {
            differ += 1;
            separates |= may_separate(&bare.names()[at]);
        }
    }
    separates && differ <= DIFFERING
}

/// Tells whether a finding may be what is asked for: its place can be named.
fn may_separate(name: &Name) -> bool {
    !name.held && (!name.place.is_empty() || name.kind == FindingKind::Current)
}

/// Tells whether two fixes differ in circuit or part: reflow and replacement of one part are the same
/// place to look. Where no revision has the parts of both, the revision tells, and nobody mistakes them.
fn apart(shelf: &Shelf<'_>, a: &Asked<'_>, b: &Asked<'_>) -> bool {
    let fixes = [&a.group.fix, &b.group.fix];
    fixes[0] != fixes[1]
        && shelf.share_a_revision(&fixes)
        && (a.parts.is_disjoint(&b.parts) || a.family != b.family)
}

fn jobs<'a>(shelf: &Shelf<'a>, group: &Group) -> Vec<&'a Job> {
    group
        .evidence
        .iter()
        .map(|at| shelf.cases[*at].job)
        .collect()
}

/// Returns the value that a fix's jobs agree on for a name.
pub(super) fn settled(table: &Table, group: &Group, name: usize) -> Option<usize> {
    let mut counts = vec![0; table.n_values(name)];
    for value in group
        .evidence
        .iter()
        .filter_map(|at| table.value(name, *at))
    {
        counts[value] += 1;
    }
    let seen: usize = counts.iter().sum();
    // The commonest, and of several the first that the board saw.
    let by_count = |(value, n): &(usize, usize)| (*n, std::cmp::Reverse(*value));
    let (common, n) = counts.into_iter().enumerate().max_by_key(by_count)?;
    (JOBS <= seen && AGREED * count(seen) <= count(n)).then_some(common)
}

/// What each group has settled on, by column: tables share the columns that their masks leave alone, and
/// each group is held against many.
#[derive(Default)]
struct Known {
    settled: HashMap<(*const usize, *const Group), Option<usize>>,
    /// Keeps the columns where they are.
    tables: Vec<Table>,
}

impl Known {
    fn values(&mut self, table: &Table, groups: [&Group; 2]) -> Vec<[Option<usize>; 2]> {
        self.tables.push(table.clone());
        let mut of = |name: usize, group: &Group| {
            let key = (table.column(name).as_ptr(), std::ptr::from_ref(group));
            let known = self.settled.entry(key);
            *known.or_insert_with(|| settled(table, group, name))
        };
        let names = 0..table.names().len();
        names.map(|name| groups.map(|g| of(name, g))).collect()
    }
}

fn card(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    asked: [&Asked<'_>; 2],
    known: &mut Known,
) -> Option<Card> {
    let groups = asked.map(|a| a.group);
    let [Some(first), Some(second)] = asked.map(|a| a.family.clone()) else {
        return None;
    };
    let mask = Mask::of(groups.map(|g| &g.fix), Some(&first), shelf.board).and_family(&second);
    let table = shelf.table(&mask);
    let values = known.values(&table, groups);
    let of = |same: bool| -> Vec<usize> {
        (0..values.len())
            .filter(|name| match values[*name] {
                [Some(a), Some(b)] => (a == b) == same,
                _ => false,
            })
            .collect()
    };
    let (alike, differ) = (of(true), of(false));
    if alike.len() < SHARED || differ.is_empty() || DIFFERING < differ.len() {
        return None;
    }
    let mut differ = differ.into_iter();
    let separates = differ.find(|name| may_separate(&table.names()[*name]))?;
    let (shown, names) = shown(shelf, &table, groups, &values, &alike, separates)?;
    let drafted = |i: usize, names: Vec<usize>| Draft {
        table: table.clone(),
        sides: Vec::new(),
        names,
        shown: shown[i],
        matching: Vec::new(),
    };
    let faces = |i: usize, names: &[usize]| -> Vec<Finding> {
        let job = shelf.cases[shown[i]].job;
        let draft = drafted(i, names.to_vec());
        let (front, _) = front::faces(job, &draft, &mask, shelf.board);
        front.into_iter().map(|(_, finding)| finding).collect()
    };
    let families = [first, second];
    let sides: Vec<Side> = (0..2)
        .map(|i| Side {
            family: families[i].clone(),
            complaint: shelf.cases[shown[i]].job.complaint.clone(),
            front: faces(i, &names),
            separates: faces(i, &[separates]),
            answer: Answer {
                steps: build::steps(&groups[i].fix, shelf.board),
                also: Vec::new(),
            },
            jobs: jobs(shelf, groups[i])
                .iter()
                .rev()
                .map(|j| j.job.clone())
                .collect(),
        })
        .collect();
    let card = finish(
        input,
        shelf,
        groups,
        &table,
        &values[separates],
        separates,
        sides,
        &names,
    );
    let tells = leak::leak_of_sides(&card, shelf.board).is_some();
    (!tells).then_some(card)
}

/// Chooses the job each side shows: two with the same complaint that share most of what is alike.
fn shown(
    shelf: &Shelf<'_>,
    table: &Table,
    groups: [&Group; 2],
    values: &[[Option<usize>; 2]],
    alike: &[usize],
    separates: usize,
) -> Option<([usize; 2], Vec<usize>)> {
    let of = |side: usize| -> Vec<Candidate<'_>> {
        let settled = |at: usize, name: usize| table.value(name, at) == values[name][side];
        let evidence = groups[side].evidence.iter().copied();
        let own = evidence.filter(|at| settled(*at, separates));
        own.map(|at| Candidate {
            at,
            complaint: shelf.cases[at].job.complaint.iter().collect(),
            shows: alike.iter().map(|name| settled(at, *name)).collect(),
            read: first_read(shelf, table, at, alike),
        })
        .collect()
    };
    let (first, second) = (of(0), of(1));
    let mut best: Option<([usize; 2], Vec<usize>)> = None;
    for a in &first {
        for b in second.iter().filter(|b| a.complaint == b.complaint) {
            let least = best.as_ref().map_or(SHARED, |(_, known)| known.len());
            if a.both_show(b).count() < least {
                continue;
            }
            let close = a.both_show(b).filter(|i| close(a.read[*i], b.read[*i]));
            let names: Vec<usize> = close.map(|i| alike[i]).collect();
            if least <= names.len() {
                best = Some(([a.at, b.at], names));
            }
        }
    }
    best
}

/// A job that a side may show, as far as it is compared with those of the other side: each is held
/// against all of them.
struct Candidate<'a> {
    /// Its case.
    at: usize,
    complaint: BTreeSet<&'a String>,
    /// Of the names that are alike: it reads what its fix settled on.
    shows: Vec<bool>,
    /// Of the names that are alike: the first finding that bears it.
    read: Vec<Option<&'a Finding>>,
}

impl Candidate<'_> {
    /// Returns the places of the names on which both read what was settled.
    fn both_show(&self, other: &Candidate<'_>) -> impl Iterator<Item = usize> {
        let both = self.shows.iter().zip(&other.shows).enumerate();
        both.filter_map(|(i, (a, b))| (*a && *b).then_some(i))
    }
}

/// Returns for each name the first finding of a case that bears it.
fn first_read<'a>(
    shelf: &Shelf<'a>,
    table: &Table,
    at: usize,
    names: &[usize],
) -> Vec<Option<&'a Finding>> {
    let mut read: Vec<Option<&Finding>> = vec![None; names.len()];
    for finding in &shelf.cases[at].job.findings {
        let bears = table.name_of(finding);
        let place = names.iter().position(|name| Some(*name) == bears);
        if let Some(place) = place {
            read[place].get_or_insert(finding);
        }
    }
    read
}

/// Tells whether two readings are so near that nobody would tell two boards apart by them.
///
/// A band is wide: 16 Ω and 230 Ω both lie low. Levels may also differ by a part of
/// the good one, and how warm a place is decides nothing.
fn close(a: Option<&Finding>, b: Option<&Finding>) -> bool {
    let (Some(a), Some(b)) = (a, b) else {
        return true;
    };
    let near = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => {
            let (low, high) = (x.abs().min(y.abs()), x.abs().max(y.abs()));
            let of_good = a.good.map_or(0.0, |good| NEAR_GOOD * good.abs());
            let by_good = matches!(a.kind, FindingKind::Rail | FindingKind::Signal);
            high <= NEAR * low || by_good && high - low <= of_good
        }
        _ => true,
    };
    a.kind == FindingKind::Heat || near(a.got, b.got) && near(a.low, b.low) && near(a.high, b.high)
}

/// Returns the cautions of both circuits and both fixes.
fn cautions(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    sides: &[Side],
    jobs: &[&Job],
) -> Vec<String> {
    let steps = sides.iter().flat_map(|s| &s.answer.steps);
    let acts = build::sorted(steps.map(|p| &p.act));
    let environment = build::sorted(jobs.iter().flat_map(|j| &j.environment));
    let mut cautions: Vec<String> = Vec::new();
    for side in sides {
        let of_side = (input.cautions)(&Hazards {
            board: shelf.board,
            family: &side.family,
            complaint: &side.complaint,
            environment: &environment,
            acts: &acts,
        });
        for caution in of_side {
            if !cautions.contains(&caution) {
                cautions.push(caution);
            }
        }
    }
    cautions
}

#[expect(clippy::too_many_arguments, reason = "one card, put together once")]
fn finish(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    groups: [&Group; 2],
    table: &Table,
    value: &[Option<usize>; 2],
    separates: usize,
    sides: Vec<Side>,
    names: &[usize],
) -> Card {
    let name = &table.names()[separates];
    let seen = |i: usize| {
        let word = value[i].map_or("", |v| table.word(separates, v));
        remark::read_as(name, word)
    };
    let counted = |i: usize| {
        let recorded = groups[i]
            .evidence
            .iter()
            .filter_map(|at| table.value(separates, *at));
        let (mut k, mut n) = (0, 0);
        for got in recorded {
            n += 1;
            k += usize::from(Some(got) == value[i]);
        }
        (k, n)
    };
    let (k, n) = (counted(0).0 + counted(1).0, counted(0).1 + counted(1).1);
    let share = Share::counted(k, n, k);
    let all: Vec<&Job> = groups.iter().flat_map(|g| jobs(shelf, g)).collect();
    let latest = all.iter().map(|j| j.closed_on).max();
    let shared_place = names.iter().any(|other| {
        let other = &table.names()[*other];
        !other.place.is_empty() && other.place == name.place
    });
    let spoken = remark::spoken(name);
    let mut points = vec![say::reading(&spoken, name, shared_place)];
    for (i, side) in sides.iter().enumerate() {
        let before = format!("{}: ", seen(i));
        points.push(say::fix(&before, &side.answer.steps));
    }
    let kind = CardKind::Contrast;
    let keys: Vec<String> = groups
        .iter()
        .map(|g| format!("{} ({})", g.fix.key(), g.variant.word()))
        .collect();
    let cautions = cautions(input, shelf, &sides, &all);
    let fewest = groups.iter().map(|g| g.evidence.len()).min().unwrap_or(0);
    let mut cited: Vec<&&Job> = all.iter().collect();
    cited.sort_by(|a, b| {
        b.closed_on
            .cmp(&a.closed_on)
            .then_with(|| b.job.cmp(&a.job))
    });
    Card {
        id: ids::long_mark([kind.word(), shelf.id, &keys.join(" | "), ""]),
        kind,
        board: shelf.id.to_owned(),
        revs: build::sorted(all.iter().filter_map(|j| j.rev.as_ref())),
        family: sides[0].family.clone(),
        contributing: Vec::new(),
        complaint: Vec::new(),
        stem: STEM.to_owned(),
        points,
        source: String::new(),
        front: Vec::new(),
        held_back: Vec::new(),
        deciding: Vec::new(),
        answers: Vec::new(),
        warn: remark::small_evidence(&share).into_iter().collect(),
        share,
        others: Vec::new(),
        bounced: 0,
        support: if fewest < 3 {
            Support::Thin
        } else {
            Support::Supported
        },
        jobs: cited.iter().map(|j| j.job.clone()).collect(),
        last: latest,
        why: why(shelf, groups, &[0, 1].map(|i| (seen(i), counted(i)))),
        cautions,
        signed: None,
        sides,
        given: false,
        tests: Vec::new(),
        suspects: Vec::new(),
        boards: Vec::new(),
        sums: Vec::new(),
    }
}

/// Returns what separates the two fixes, with counts, and what the jobs of each tell beside.
fn why(shelf: &Shelf<'_>, groups: [&Group; 2], seen: &[(String, (usize, usize)); 2]) -> String {
    let fixes = groups.map(|g| remark::short_fix(&g.fix));
    let mut lines: Vec<String> = Vec::new();
    for (fix, (seen, (k, n))) in fixes.iter().zip(seen) {
        lines.push(format!("{fix}: {seen} in {k} of {n}"));
    }
    for (fix, group) in fixes.iter().zip(groups) {
        let own = jobs(shelf, group);
        lines.extend(remark::in_vain(&own).map(|line| format!("before {fix}, {line}")));
        lines.extend(remark::proof(&own).map(|line| format!("{fix}, {line}")));
        let back = remark::came_back(shelf, &group.fix);
        lines.extend(back.map(|line| format!("after {fix}, {line}")));
    }
    remark::joined(&lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    /// Three jobs of each fix, alike but for `VCORE`.
    fn look_alikes(one: &str, other: &str) -> Vec<Job> {
        let job = |part: &str, at: u64, core: &str| {
            let findings = vec![
                sample::rail("3V3_SB", "low"),
                sample::rail("VSYS", "in-band"),
                sample::rail("VCORE", core),
            ];
            sample::job_with(&format!("{part}-{at}"), part, at, findings)
        };
        let of = |part: &'static str, core: &str| -> Vec<Job> {
            (1..=3).map(|at| job(part, at, core)).collect()
        };
        [of("U31", one), of("L12", other)].concat()
    }

    fn contrasts(jobs: &[Job]) -> Vec<Card> {
        let built = sample::built(jobs);
        let kind = |c: &Card| c.kind == CardKind::Contrast && !c.given;
        built.cards.into_iter().filter(kind).collect()
    }

    #[test]
    fn two_fixes_that_look_alike_are_told_apart_by_the_finding_that_differs() {
        let found = contrasts(&look_alikes("absent", "low"));
        assert_eq!(found.len(), 1);
        let card = &found[0];
        let places = |findings: &[Finding]| -> Vec<String> {
            findings.iter().map(|f| f.place.clone()).collect()
        };
        for side in &card.sides {
            assert_eq!(places(&side.front), ["3V3_SB", "VSYS"]);
            assert_eq!(places(&side.separates), ["VCORE"]);
        }
        assert_eq!((card.share.k, card.share.n), (6, 6));
        assert_eq!(card.points.len(), 3);
        assert_eq!(card.points[0].words, [["VCORE"]]);
        let mut turned = look_alikes("absent", "low");
        turned.reverse();
        assert_eq!(contrasts(&turned), found, "whatever the order of the jobs");
    }

    #[test]
    fn each_pair_is_asked_in_both_directions_with_letters_that_tell_nothing() {
        let jobs = look_alikes("absent", "low");
        let kind = |c: &&Card| c.kind == CardKind::Contrast;
        let built = sample::built(&jobs);
        let found: Vec<&Card> = built.cards.iter().filter(kind).collect();
        let [asked, given] = found.as_slice() else {
            panic!("two cards: {found:?}");
        };
        assert_ne!(asked.id, given.id);
        assert_ne!(asked.asked_mark(), given.asked_mark());
        assert_eq!(
            asked.fix_key(),
            given.fix_key(),
            "they never stand side by side"
        );
        assert_eq!(given.points.len(), 2);
        for (side, point) in given.sides.iter().zip(&given.points) {
            assert!(
                point.say.contains(&side.answer.steps[0].part),
                "{}",
                point.say
            );
            assert!(side.shown(true).contains(&side.separates[0]));
            assert!(!side.shown(false).contains(&side.separates[0]));
        }
        assert!(
            given
                .why
                .starts_with("replace L12: VCORE low in 3 of 3; replace U31: ")
        );
        // More jobs of one fix, and so a commoner one, leave the letters as they are.
        let mut more = jobs.clone();
        for at in 4..9 {
            let mut job = jobs[0].clone();
            job.id = format!("more-{at}");
            job.job.clone_from(&job.id);
            more.push(job);
        }
        let again = sample::built(&more);
        let again = again.cards.iter().filter(kind).find(|c| c.given);
        let letters =
            |c: &Card| -> Vec<Answer> { c.sides.iter().map(|s| s.answer.clone()).collect() };
        assert_eq!(again.map(letters), Some(letters(given)));
    }

    #[test]
    fn one_band_is_not_alike_where_the_numbers_are_far_apart() {
        let with = |ohm: f64| {
            let mut jobs = look_alikes("absent", "low");
            for (at, job) in jobs.iter_mut().enumerate() {
                let got = if at < 3 { 16.0 } else { ohm };
                job.findings[0] = Finding {
                    kind: FindingKind::Resistance,
                    got: Some(got),
                    good: Some(1400.0),
                    code: None,
                    ..job.findings[0].clone()
                };
            }
            contrasts(&jobs)
        };
        assert_eq!(with(20.0).len(), 1);
        assert!(with(230.0).is_empty(), "16 against 230 ohm can be seen");
    }

    #[test]
    fn what_looks_the_same_in_all_or_differs_in_much_makes_no_card() {
        assert!(contrasts(&look_alikes("low", "low")).is_empty());
        let mut all = look_alikes("absent", "low");
        for job in &mut all[..3] {
            job.findings[1] = sample::rail("VSYS", "absent");
        }
        assert!(
            contrasts(&all).is_empty(),
            "one finding is not enough alike"
        );
        let mut other = look_alikes("absent", "low");
        for job in &mut other[..3] {
            job.complaint = vec!["no-display".to_owned()];
        }
        assert!(contrasts(&other).is_empty(), "another complaint");
    }
}
