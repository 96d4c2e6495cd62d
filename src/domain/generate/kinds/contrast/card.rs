//! The two cards of one pair of look-alikes: what separates them is asked for, or shown.
//!
//! Whatever separates them is accepted as the answer; the most telling of it is named first. A side whose
//! front and separating value some third fix shows as well ([`third`]) is told from it by a further
//! reading where the archive has one: alike on both sides, it stands on both cards; on one side alone, it
//! stands where readings that differ are shown anyway. What stays in doubt is warned of, and so is a fix
//! of the card that shows what the other side shows. A side to which nothing shown points ([`mod@pointer`]) is
//! shown what does, or named. A side that more jobs speak against than for makes
//! no card, and two cards never give one look to two fixes.
//! Left out: which fixes look alike ([`crate::domain::generate::kinds::contrast::pairs`]).

use std::collections::BTreeSet;

use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::card::KeyPoint;
use crate::domain::card::Share;
use crate::domain::card::Side;
use crate::domain::card::Support;
use crate::domain::generate::backs::remark;
use crate::domain::generate::backs::standing;
use crate::domain::generate::backs::why;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::fronts::front;
use crate::domain::generate::fronts::leak;
use crate::domain::generate::fronts::third;
use crate::domain::generate::fronts::third::Reading;
use crate::domain::generate::fronts::third::Scene;
use crate::domain::generate::fronts::third::Third;
use crate::domain::generate::input::BuildInput;
use crate::domain::generate::input::Hazards;
use crate::domain::generate::kinds::contrast;
use crate::domain::generate::kinds::contrast::pairs::Pair;
use crate::domain::generate::kinds::contrast::pointer;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::generate::words::say;
use crate::domain::ids;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Fix;
use crate::domain::job::Job;

/// Further readings of a card at most that tell its sides from other fixes.
const FURTHER: usize = 2;

/// Makes the cards of a pair: asked for what separates them, then with that shown; none of them, or one,
/// where a third fix makes the other false. `kept` are the pairs that have cards already.
pub(super) fn cards(
    input: &BuildInput<'_>,
    shelf: &Shelf<'_>,
    pair: &Pair<'_>,
    kept: &[[&Fix; 2]],
) -> Vec<Card> {
    let desk = Desk { input, shelf, pair };
    let mut names = pair.names.clone();
    let separates = pair.separates.iter().copied();
    let separates: Vec<usize> = separates.filter(|name| desk.both_show(*name)).collect();
    let further = desk.told_by(&names, &separates, |name| desk.alike(name));
    names.extend(further);
    names.sort_unstable();
    let mut made = Vec::new();
    if let Some(doubts) = desk.doubts(&names, &separates, kept) {
        let told = desk.with_pointers(&names, &separates);
        made.push(desk.asked(&names, &told, doubts));
    }
    let mut shown = vec![pair.separates[0]];
    let further = desk.told_by(&names, &shown, |_| true);
    shown.extend(further);
    desk.point(&mut names, &mut shown);
    if let Some(mut doubts) = desk.doubts(&names, &shown, kept) {
        let seen = [names.as_slice(), &shown].concat();
        let missing = |side: usize| pointer::missing(shelf, pair, side, &seen);
        doubts.extend((0..2).filter_map(missing));
        let asked = desk.asked(&names, &shown, doubts);
        made.push(desk.given(asked));
    }
    made.retain(|card| leak::leak_of_sides(card, shelf.board).is_none());
    made.iter_mut().for_each(by_mark);
    made
}

/// Where the cards of a pair are made.
#[derive(Clone, Copy)]
struct Desk<'a> {
    input: &'a BuildInput<'a>,
    shelf: &'a Shelf<'a>,
    pair: &'a Pair<'a>,
}

impl<'a> Desk<'a> {
    /// Returns what the job of a side reads.
    fn value(&self, side: usize, name: usize) -> Option<usize> {
        self.pair.table.value(name, self.pair.shown[side])
    }

    /// Tells whether the job of each side reads what its fix has settled on.
    fn both_show(&self, name: usize) -> bool {
        (0..2).all(|side| {
            let own = self.pair.values[name][side];
            own.is_some() && self.value(side, name) == own
        })
    }

    /// Tells whether the jobs of both sides read the same, so nearly that nobody could tell them apart.
    fn alike(&self, name: usize) -> bool {
        let read = |side: usize| {
            let findings = self.shelf.cases[self.pair.shown[side]].job.findings.iter();
            let mut own = findings.filter(|f| self.pair.table.name_of(f) == Some(name));
            own.next()
        };
        let both = [self.value(0, name), self.value(1, name)];
        both[0].is_some() && both[0] == both[1] && contrast::pairs::close(read(0), read(1))
    }

    /// Shows what points to a side on which nothing shown does: beside what is alike, or beside what
    /// differs.
    fn point(&self, names: &mut Vec<usize>, shown: &mut Vec<usize>) {
        for side in 0..2 {
            let seen = [names.as_slice(), shown].concat();
            if pointer::points(self.shelf, self.pair, side, &seen) {
                continue;
            }
            if let Some(name) = pointer::found(self.shelf, self.pair, side, &seen) {
                let place = if self.alike(name) {
                    &mut *names
                } else {
                    &mut *shown
                };
                place.push(name);
            }
        }
        names.sort_unstable();
    }

    /// Returns what separates the sides, and what points to a side to which none of it does: it stands with
    /// the answer.
    fn with_pointers(&self, names: &[usize], separates: &[usize]) -> Vec<usize> {
        let (mut alike, mut told) = (names.to_vec(), separates.to_vec());
        self.point(&mut alike, &mut told);
        told
    }

    fn readings(&self, side: usize, names: &[usize]) -> Vec<Reading> {
        let read = |name: &usize| Some((*name, self.value(side, *name)?));
        names.iter().filter_map(read).collect()
    }

    /// Returns the fixes that show what a side shows, and how many jobs of its own do. A fix that shows
    /// all that separates the sides is one of them, though the card shows less of it.
    fn thirds(&self, side: usize, names: &[usize], telling: &[usize]) -> (Vec<Third<'a>>, usize) {
        let pair = self.pair;
        let more = pair.separates.iter().filter(|name| !telling.contains(name));
        let more: Vec<usize> = telling.iter().chain(more).copied().collect();
        let front = self.readings(side, names);
        let [telling, more] = [telling, &more].map(|names| self.readings(side, names));
        let scene = |telling| Scene {
            table: &pair.table,
            complaint: &self.shelf.cases[pair.shown[side]].job.complaint,
            front: &front,
            telling,
        };
        // The other fix of the card is one of them where its part failed in another way as well.
        let own_fixes: Vec<&Fix> = pair.groups[side].fixes().collect();
        let own = third::like(self.shelf, scene(&telling), &pair.groups[side].evidence);
        let mut thirds = third::fitting(self.shelf, scene(&telling), &own_fixes);
        let known: Vec<&Fix> = thirds.iter().map(|third| third.fix).collect();
        let further = third::fitting(self.shelf, scene(&more), &own_fixes);
        thirds.extend(further.into_iter().filter(|t| !known.contains(&t.fix)));
        (thirds, own)
    }

    /// Returns further names, of those that `may` stand on the card, by which sides are told from other
    /// fixes that show `names` and `telling` too.
    fn told_by(
        &self,
        names: &[usize],
        telling: &[usize],
        may: impl Fn(usize) -> bool,
    ) -> Vec<usize> {
        let table = &self.pair.table;
        let mut left: Vec<(usize, Third<'_>)> = Vec::new();
        for side in 0..2 {
            let (thirds, _) = self.thirds(side, names, telling);
            let partner = |t: &Third<'_>| self.pair.groups[1 - side].has_fix(t.fix);
            left.extend(
                thirds
                    .into_iter()
                    .filter(|t| !partner(t))
                    .map(|t| (side, t)),
            );
        }
        let mut found = Vec::new();
        let able = |name: &usize| {
            let plain = &table.names()[*name];
            !names.contains(name)
                && !telling.contains(name)
                && contrast::pairs::may_separate(plain)
                && plain.kind != FindingKind::Heat
                && may(*name)
        };
        if left.is_empty() {
            return found;
        }
        let able: Vec<usize> = (0..table.names().len()).filter(able).collect();
        while found.len() < FURTHER && !left.is_empty() {
            let told = |name: usize, (side, third): &(usize, Third<'_>)| {
                let own =
                    self.pair.values[name][*side].filter(|v| self.value(*side, name) == Some(*v));
                own.is_some_and(|value| third.reads_otherwise(table, (name, value)))
            };
            let tells = |name: &usize| left.iter().filter(|left| told(*name, left)).count();
            let best = able
                .iter()
                .filter(|name| !found.contains(*name))
                .map(|name| (tells(name), std::cmp::Reverse(*name)))
                .max();
            let Some((1.., std::cmp::Reverse(best))) = best else {
                break;
            };
            left.retain(|left| !told(best, left));
            found.push(best);
        }
        found
    }

    /// Returns what a lead should know of fixes that show what a side shows; none where the card would
    /// teach what is false.
    fn doubts(
        &self,
        names: &[usize],
        telling: &[usize],
        kept: &[[&Fix; 2]],
    ) -> Option<Vec<String>> {
        let pair = self.pair;
        let mut doubts = Vec::new();
        for side in 0..2 {
            let (thirds, own) = self.thirds(side, names, telling);
            let partner = &pair.groups[1 - side].fix;
            let shown = self.told(side, &telling[..1]);
            let (told, mut open): (Vec<Third<'_>>, Vec<Third<'_>>) =
                thirds.into_iter().partition(Third::is_told);
            open.retain(|third| !pair.groups[1 - side].has_fix(third.fix));
            let taught = told.iter().any(|third| {
                let both = [third.fix, partner];
                kept.iter().any(|k| k.iter().all(|fix| both.contains(fix)))
            });
            // Most of the jobs that look so ended in another fix.
            let others: usize = told.iter().map(|third| third.told).sum();
            if taught || own < others {
                return None;
            }
            let (itself, told): (Vec<Third<'_>>, Vec<Third<'_>>) = told
                .into_iter()
                .partition(|third| pair.groups[1 - side].has_fix(third.fix));
            for other in itself {
                let other = other.say(other.told);
                doubts.push(format!("both ways: {other} shows {shown} as well"));
            }
            if let Some((first, rest)) = told.split_first() {
                let first = first.say(first.told);
                let all = match rest.len() {
                    0 => format!("{first} shows"),
                    n => format!("{first} and {n} more show"),
                };
                doubts.push(format!("a third fits: {all} {shown} too"));
            }
            doubts.extend(self.left_open(&open, telling[0]));
        }
        doubts.dedup();
        Some(doubts)
    }

    /// Says which fixes look the same though their jobs never read what separates the sides.
    fn left_open(&self, open: &[Third<'_>], name: usize) -> Option<String> {
        let (first, rest) = open.split_first()?;
        let spoken = phrases::spoken(&self.pair.table.names()[name]);
        let more = match rest.len() {
            0 => " looks".to_owned(),
            n => format!(" and {n} more look"),
        };
        let first = first.say(first.jobs);
        Some(format!("open: {first}{more} the same, {spoken} unread"))
    }

    /// Returns what a side has settled on, in words.
    fn told(&self, side: usize, names: &[usize]) -> String {
        let table = &self.pair.table;
        let seen = |name: &usize| {
            let word = self.pair.values[*name][side].map_or("", |v| table.word(*name, v));
            phrases::read_as(&table.names()[*name], word)
        };
        // What points to one side may stand there alone: the other never took it.
        let settled = |name: &&usize| self.pair.values[**name][side].is_some();
        let told = names.iter().filter(settled).map(seen);
        told.collect::<Vec<_>>().join(", ")
    }

    /// Returns the findings of a side's job under some names.
    fn faces(&self, side: usize, names: &[usize]) -> Vec<Finding> {
        let shown = self.pair.shown[side];
        let mut names = names.to_vec();
        names.retain(|name| self.value(side, *name).is_some());
        let draft = Draft {
            table: self.pair.table.clone(),
            sides: Vec::new(),
            names,
            shown,
            matching: Vec::new(),
        };
        let job = self.shelf.cases[shown].job;
        let (front, _) = front::faces(job, &draft, &self.pair.mask, self.shelf.board);
        front.into_iter().map(|(_, finding)| finding).collect()
    }

    fn side(&self, side: usize, names: &[usize], separates: &[usize]) -> Side {
        let group = self.pair.groups[side];
        // One after the other, so that the most telling stands first.
        let separates = separates.iter().flat_map(|name| self.faces(side, &[*name]));
        Side {
            family: self.pair.families[side].clone(),
            complaint: self.shelf.cases[self.pair.shown[side]]
                .job
                .complaint
                .clone(),
            front: self.faces(side, names),
            separates: separates.collect(),
            answer: Answer {
                steps: phrases::steps(&group.fix, self.shelf.board),
                also: Vec::new(),
            },
            jobs: contrast::pairs::jobs(self.shelf, group)
                .iter()
                .rev()
                .map(|j| j.job.clone())
                .collect(),
        }
    }

    /// Returns the point that any of the separating findings makes.
    fn separating(&self, names: &[usize]) -> KeyPoint {
        let table = &self.pair.table;
        let all = || names.iter().chain(&self.pair.separates);
        let alone = pointer::one_sided(self.shelf, self.pair, names);
        let alone = alone
            .iter()
            .filter(|name| all().all(|known| known != *name));
        let points = self.pair.separates.iter().chain(alone).map(|at| {
            let name = &table.names()[*at];
            let shared = all().any(|other| {
                let place = &table.names()[*other].place;
                other != at && !place.is_empty() && *place == name.place
            });
            say::reading(&phrases::spoken(name), name, shared)
        });
        say::any_of(points.collect())
    }

    /// Makes the card that asks what separates the sides.
    fn asked(&self, names: &[usize], separates: &[usize], doubts: Vec<String>) -> Card {
        let pair = self.pair;
        let sides: Vec<Side> = (0..2).map(|i| self.side(i, names, separates)).collect();
        let counted = [0, 1].map(|side| pair.counted(side, pair.separates[0]));
        let (k, n) = (counted[0].0 + counted[1].0, counted[0].1 + counted[1].1);
        let share = Share::counted(k, n, k);
        let all = pair
            .groups
            .iter()
            .flat_map(|g| contrast::pairs::jobs(self.shelf, g));
        let mut all: Vec<&Job> = all.collect();
        all.sort_by(|a, b| {
            let latest = b.closed_on.cmp(&a.closed_on);
            latest.then_with(|| b.job.cmp(&a.job))
        });
        let mut points = vec![self.separating(names)];
        for (i, side) in sides.iter().enumerate() {
            let before = format!("{}: ", self.told(i, separates));
            points.push(say::fix(&before, &side.answer.steps));
        }
        let mut warn: Vec<String> = remark::small_evidence(&share).into_iter().collect();
        warn.extend(doubts);
        warn.extend(self.standing());
        let fewest = pair.groups.iter().map(|g| g.evidence.len()).min();
        Card {
            id: pair.id(self.shelf.id),
            board: self.shelf.id.to_owned(),
            revs: phrases::sorted(all.iter().filter_map(|j| j.rev.as_ref())),
            family: sides[0].family.clone(),
            stem: contrast::pairs::STEM.to_owned(),
            points,
            warn,
            share,
            support: if fewest < Some(standing::FEW) {
                Support::Thin
            } else {
                Support::Supported
            },
            jobs: all.iter().map(|j| j.job.clone()).collect(),
            last: all.first().map(|j| j.closed_on),
            why: self.why(names, separates),
            cautions: self.cautions(&sides, &all),
            sides,
            ..Card::blank(CardKind::Contrast)
        }
    }

    /// Returns the card in its other direction: what separates the sides is shown, each fix is asked for.
    fn given(&self, card: Card) -> Card {
        let board = self.shelf.board;
        let points = card.sides.iter().map(|side| {
            let shown: Vec<String> = side
                .separates
                .iter()
                .map(|finding| {
                    let band = band::band(finding, board).unwrap_or_default();
                    phrases::read_as(&Name::of(finding), &band)
                })
                .collect();
            say::fix(&format!("{}: ", shown.join(", ")), &side.answer.steps)
        });
        let points = points.collect();
        let one = card.sides.iter().all(|side| side.separates.len() < 2);
        let stem = if one {
            contrast::pairs::STEM_GIVEN
        } else {
            contrast::pairs::STEM_GIVEN_MORE
        };
        Card {
            id: ids::long_mark([card.kind.word(), &card.id, "given", ""]),
            stem: stem.to_owned(),
            points,
            given: true,
            ..card
        }
    }

    /// Returns how the fix of each side stands in the archive, where a lead should know it.
    fn standing(&self) -> Vec<String> {
        let name = self.pair.separates[0];
        let spoken = phrases::spoken(&self.pair.table.names()[name]);
        let mut warn = Vec::new();
        for (side, group) in self.pair.groups.iter().enumerate() {
            let n = group.evidence.len();
            let (_, read) = self.pair.counted(side, name);
            if let Some(few) = standing::few(&group.fix, n) {
                warn.push(few);
            } else if read < standing::FEW {
                let fix = phrases::short_fix(&group.fix);
                warn.push(format!(
                    "small evidence: only {read} of {n} jobs with {fix} read {spoken}"
                ));
            }
            for fix in group.fixes() {
                warn.extend(standing::returns(self.shelf, fix));
            }
            let own = contrast::pairs::jobs(self.shelf, group);
            warn.extend(standing::tried_first(self.shelf, &group.fix, &own));
        }
        warn
    }

    /// Returns the cautions of both circuits and both fixes.
    fn cautions(&self, sides: &[Side], jobs: &[&Job]) -> Vec<String> {
        let steps = sides.iter().flat_map(|s| &s.answer.steps);
        let acts = phrases::sorted(steps.map(|p| &p.act));
        let environment = phrases::sorted(jobs.iter().flat_map(|j| &j.environment));
        let mut cautions: Vec<String> = Vec::new();
        for side in sides {
            let of_side = (self.input.cautions)(&Hazards {
                board: self.shelf.board,
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

    /// Returns what separates the two fixes, with counts, and what the jobs of each tell beside; those of
    /// `alike` both sides show.
    fn why(&self, alike: &[usize], separates: &[usize]) -> String {
        let pair = self.pair;
        let further = separates.iter().filter(|n| !pair.separates.contains(*n));
        let alone = pointer::one_sided(self.shelf, pair, alike);
        let further = further.chain(&alone);
        let named: BTreeSet<usize> = pair.separates.iter().chain(further).copied().collect();
        let mut named: Vec<usize> = named.into_iter().collect();
        named.sort_by_key(|n| {
            pair.separates
                .iter()
                .position(|s| s == n)
                .unwrap_or(usize::MAX)
        });
        let mut lines: Vec<String> = Vec::new();
        for (side, group) in pair.groups.iter().enumerate() {
            let all = group.evidence.len();
            let counted = named.iter().filter(|n| pair.values[**n][side].is_some());
            let counted: Vec<String> = counted
                .map(|name| {
                    let (k, n) = pair.counted(side, *name);
                    let of = if n < all {
                        format!("the {n} that read it")
                    } else {
                        n.to_string()
                    };
                    format!("{} in {k} of {of}", self.told(side, &[*name]))
                })
                .collect();
            lines.push(format!(
                "{}: {}",
                phrases::short_fix(&group.fix),
                counted.join(", ")
            ));
        }
        for group in pair.groups {
            let (fix, own) = (
                phrases::short_fix(&group.fix),
                contrast::pairs::jobs(self.shelf, group),
            );
            lines.extend(why::in_vain(&own).map(|line| format!("before {fix}, {line}")));
            lines.extend(why::proof(&own).map(|line| format!("{fix}, {line}")));
            let back = why::came_back(self.shelf, &group.fix);
            lines.extend(back.map(|line| format!("after {fix}, {line}")));
        }
        phrases::joined(&lines)
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
