//! Which findings tell a fix from its look-alikes: what an expect card must have named.
//!
//! Look-alikes are the other fixes of the board with [`JOBS`] jobs or more, on a revision that has the
//! parts of both, and the ends without a fix by reason, which share a word of the complaint or a
//! fault that was read. A finding leaves a look-alike out when the jobs of that one that recorded it
//! mostly show another value. What they did not record leaves them out as well where it is a fault that
//! few others show; a draw and a healthy reading do so only where they were read ([`shown`]).
//!
//! Needed is the smallest set, of two at most, that leaves fewest look-alikes: counted by their
//! jobs, the nearer (by other findings shared, twice in the same circuit) the more. Among equals goes first
//! what most of the fix's jobs recorded and agree on, then by [`Class`]: a fault at the part that is hardly
//! seen elsewhere before a symptom that others show too. A healthy reading is never needed alone, nor is
//! what half of the others show. Where one finding would do and others show it too, a second one that
//! hardly any of them shows is needed with it, and so is one that look-alikes read otherwise where next to nobody
//! else was measured for the first. A third is needed only where two leave a near look-alike, few others show it,
//! and with it none is left. The limits are common practice, no source.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::coded::circuits;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::kinds::expect::shown;
use crate::domain::generate::kinds::expect::shown::Class;
use crate::domain::generate::kinds::expect::shown::Read;
use crate::domain::generate::kinds::expect::shown::Shown;
use crate::domain::generate::weigh::agreed;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::units::count;

/// A fix, or a reason to end without one, is a look-alike from so many jobs.
pub const JOBS: usize = 2;
/// A complaint is one of the fix's when this part of its jobs has it …
const OWN_COMPLAINT: f64 = 0.5;
/// … and of a look-alike's when this part has.
const THEIR_COMPLAINT: f64 = 0.25;
/// A finding that fewer of the fix's jobs agree on comes after those that more agree on.
const FIRM: f64 = 0.8;
/// What a smaller part of the fix's jobs recorded is nothing that they agree on.
const LEAST: f64 = 0.25;
/// More words than these of a test are not asked for by heart.
const LONG: usize = 3;
/// The findings that tell most among which the needed ones are sought.
const SOUGHT: usize = 12;

/// The jobs of a board, as far as fixes are told from one another. A rival is a group of the shelf, or
/// behind these a reason to end without a fix.
pub struct Yard<'a> {
    shelf: &'a Shelf<'a>,
    table: &'a Table,
    /// Group of each case.
    group_of: Vec<Option<usize>>,
    /// Reasons to end without a fix, and which each of these jobs ended for.
    reasons: Vec<&'a str>,
    reason_of: BTreeMap<usize, usize>,
    rivals: Vec<Jobs<'a>>,
}

/// The jobs of a rival.
#[derive(Clone, Default)]
struct Jobs<'a> {
    n: usize,
    complaints: BTreeMap<&'a str, usize>,
    /// The circuit; none for an end without a fix.
    family: Option<String>,
}

impl<'a> Jobs<'a> {
    fn of(jobs: &[&'a Job]) -> Self {
        let mut complaints: BTreeMap<&str, usize> = BTreeMap::new();
        for word in jobs.iter().flat_map(|job| &job.complaint) {
            *complaints.entry(word).or_default() += 1;
        }
        Self {
            n: jobs.len(),
            complaints,
            family: None,
        }
    }

    /// Tells whether this part of the jobs at least has a word of the complaint.
    fn complain(&self, word: &str, part: f64) -> bool {
        let k = self.complaints.get(word).copied().unwrap_or(0);
        0 < k && part * count(self.n) <= count(k)
    }
}

impl<'a> Yard<'a> {
    /// Looks at all jobs of a board; `table` codes those of the shelf without a mask.
    pub fn of(shelf: &'a Shelf<'a>, table: &'a Table) -> Self {
        let mut group_of = vec![None; shelf.cases.len()];
        let mut rivals: Vec<Jobs<'_>> = Vec::new();
        for (at, group) in shelf.groups.iter().enumerate() {
            for case in &group.members {
                group_of[*case] = Some(at);
            }
            let job = |at: &usize| shelf.cases[*at].job;
            let members: Vec<&Job> = group.members.iter().map(job).collect();
            let evidence: Vec<&Job> = group.evidence.iter().map(job).collect();
            rivals.push(Jobs {
                family: circuits::family_of(&evidence),
                ..Jobs::of(&members)
            });
        }
        let mut reasons = Vec::new();
        let mut reason_of = BTreeMap::new();
        for (reason, rows) in shelf.ends.by_reason() {
            let jobs: Vec<&Job> = rows.iter().map(|row| shelf.ends.job(*row)).collect();
            rivals.push(Jobs::of(&jobs));
            reason_of.extend(rows.into_iter().map(|row| (row, reasons.len())));
            reasons.push(reason);
        }
        Self {
            shelf,
            table,
            group_of,
            reasons,
            reason_of,
            rivals,
        }
    }

    /// Returns the jobs with a fix.
    pub fn shelf(&self) -> &'a Shelf<'a> {
        self.shelf
    }

    /// Returns them coded without a mask.
    pub fn table(&self) -> &'a Table {
        self.table
    }

    /// Returns a rival in words.
    pub fn rival(&self, rival: usize) -> String {
        match self.shelf.groups.get(rival) {
            Some(group) => phrases::short_fix(&group.fix),
            None => format!(
                "an end without a fix ({})",
                self.reasons[rival - self.shelf.groups.len()].replace('-', " ")
            ),
        }
    }

    /// Returns what the jobs of a group agree on for a name, and how often others show it.
    fn shown(&self, group: &Group, far: &BTreeSet<usize>, name: usize, value: usize) -> Shown {
        let mut shown = Shown {
            off_revision: 0,
            place: self.place(group, name, value),
            read: vec![Read::default(); self.rivals.len()],
            own: Read::default(),
            others: Read::default(),
            unlike: Read::default(),
            class: Class::Rest,
            name,
            value,
        };
        for other in 0..self.table.n_values(name) {
            for row in self.table.rows(name, other) {
                let Some(at) = self.group_of[*row] else {
                    continue;
                };
                let case = &self.shelf.cases[*row];
                let same = other == value && shown.is_there(case.job, self.table, group);
                shown.read[at].add(same);
                if group.evidence.binary_search(row).is_ok() {
                    shown.own.add(same);
                } else if !group.has_fix(&case.fix) {
                    shown.off_revision += usize::from(same && far.contains(row));
                    shown.others.add(same);
                    shown.unlike.add(same);
                }
            }
        }
        let ends = &self.shelf.ends;
        for (row, same) in ends.read(self.table, name, value) {
            let same = same && shown.is_there(ends.job(row), self.table, group);
            shown.others.add(same);
            if let Some(reason) = self.reason_of.get(&row) {
                shown.unlike.add(same);
                shown.read[self.shelf.groups.len() + reason].add(same);
            }
        }
        shown.classed(self.table, group)
    }

    /// Returns where the jobs of a group agree to have seen a sign; empty where they do not.
    fn place(&self, group: &Group, name: usize, value: usize) -> String {
        let called = &self.table.names()[name];
        if called.kind != FindingKind::Visual {
            return String::new();
        }
        let word = self.table.word(name, value);
        let (mut n, mut at) = (0, BTreeMap::<String, usize>::new());
        for case in &group.evidence {
            let seen = self.table.value(name, *case);
            n += usize::from(seen.is_some());
            if seen == Some(value) {
                for place in shown::places(self.shelf.cases[*case].job, called, word, group) {
                    *at.entry(place).or_default() += 1;
                }
            }
        }
        let agreed = |k: usize| agreed::JOBS <= k && agreed::AGREED * count(n) <= count(k);
        let most = at.into_iter().filter(|(place, _)| !place.is_empty());
        let most = most.max_by_key(|(_, k)| *k).filter(|(_, k)| agreed(*k));
        most.map(|(place, _)| place).unwrap_or_default()
    }

    /// Tells whether a group's fix may be mistaken for a rival at all.
    fn is_rival(&self, group: &Group, at: usize) -> bool {
        let Some(other) = self.shelf.groups.get(at) else {
            return JOBS <= self.rivals[at].n;
        };
        JOBS <= other.members.len()
            && !group.has_fix(&other.fix)
            && self.shelf.share_a_revision(&[&group.fix, &other.fix])
    }

    /// Tells whether a case of a group shows a finding; none where it did not record it.
    pub fn shows(&self, group: &Group, shown: &Shown, case: usize) -> Option<bool> {
        let value = self.table.value(shown.name, case)?;
        let job = self.shelf.cases[case].job;
        Some(value == shown.value && shown.is_there(job, self.table, group))
    }

    /// Returns how many evidence jobs of a group recorded all of some findings, and showed all of them.
    pub fn show_all(&self, group: &Group, some: &[&Shown]) -> Read {
        let mut read = Read::default();
        for case in &group.evidence {
            let shown = some.iter().map(|s| self.shows(group, s, *case));
            if let Some(shown) = shown.collect::<Option<Vec<bool>>>() {
                read.add(shown.into_iter().all(|same| same));
            }
        }
        read
    }
}

/// A look-alike of a fix.
#[derive(Clone, Copy, Debug)]
struct Rival {
    at: usize,
    /// Its jobs, weighed by how near it is.
    weight: usize,
    /// It sits in the same circuit, or most of its jobs read one of the fix's faults.
    close: bool,
}

/// A fix, what it is expected to show, and what looks like it.
pub struct Lineup<'a> {
    yard: &'a Yard<'a>,
    group: &'a Group,
    /// What the fix shows, in the order of the table.
    pub all: Vec<Shown>,
    rivals: Vec<Rival>,
}

impl<'a> Lineup<'a> {
    /// Takes all that the jobs of a group agree on and that may be said.
    pub fn of(
        yard: &'a Yard<'a>,
        group: &'a Group,
        sayable: &dyn Fn(usize, usize) -> bool,
    ) -> Self {
        let names = 0..yard.table.names().len();
        let far = yard.shelf.off_revision(group);
        let settled = names.filter_map(|name| {
            let value = agreed::settled(yard.table, group, name)?;
            let read = |case: &&usize| yard.table.value(name, **case).is_some();
            let read = group.evidence.iter().filter(read).count();
            let often = count(group.evidence.len()) * LEAST <= count(read);
            (often && sayable(name, value)).then(|| yard.shown(group, &far, name, value))
        });
        let all: Vec<Shown> = settled.collect();
        let own_at = yard.shelf.groups.iter().position(|g| g.id == group.id);
        let own = own_at.map(|at| yard.rivals[at].clone()).unwrap_or_default();
        let words = own.complaints.keys();
        let words: Vec<&&str> = words.filter(|w| own.complain(w, OWN_COMPLAINT)).collect();
        let alike = |at: &usize| {
            let mut words = words.iter();
            let faults = |s: &Shown| s.class.is_fault() && s.shown_by(*at);
            yard.is_rival(group, *at)
                && (words.any(|w| yard.rivals[*at].complain(w, THEIR_COMPLAINT))
                    || all.iter().any(faults))
        };
        let weighed = |at: usize| {
            let shared = all.iter().filter(|s| s.shown_by(at)).count();
            // The same circuit is where a person looks next.
            let near = own.family.is_some() && own.family == yard.rivals[at].family;
            let weight = yard.rivals[at].n * (1 + shared) * (1 + usize::from(near));
            let faults = |s: &Shown| s.class.is_fault() && s.shown_by(at);
            let close = near || all.iter().any(faults);
            Rival { at, weight, close }
        };
        let rivals = (0..yard.rivals.len()).filter(alike).map(weighed);
        Self {
            rivals: rivals.collect(),
            yard,
            group,
            all,
        }
    }

    /// Returns which findings must be named, the nearest to the fault first; none where none may.
    pub fn needed(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.all.len()).collect();
        order.retain(|i| self.all[*i].class != Class::Rest && !self.is_long(*i));
        order.sort_by_key(|i| (self.all[*i].class, Reverse(self.all[*i].own.same), *i));
        order.truncate(SOUGHT);
        let singles = order.iter().map(|i| vec![*i]);
        let pairs = order.iter().enumerate().flat_map(|(at, first)| {
            let rest = order[at + 1..].iter();
            rest.map(move |second| vec![*first, *second])
        });
        let sets = singles.chain(pairs).filter(|set| self.may_be_needed(set));
        let best = sets.min_by_key(|set| {
            let shown = || set.iter().map(|i| &self.all[*i]);
            let few = |s: &Shown| s.own.n <= JOBS || 2 * s.own.n < self.group.evidence.len();
            let loose = |s: &Shown| count(s.own.same) < FIRM * count(s.own.n);
            // A draw, or what is as on a good board, tells where hardly anyone else shows it.
            let usual = |s: &Shown| Class::HealthyCause <= s.class && !s.is_seldom();
            (
                (self.left(set), set.len()),
                (shown().any(few), shown().any(loose)),
                shown().any(usual),
                shown().map(|s| s.class).collect::<Vec<Class>>(),
                Reverse(shown().map(|s| s.own.same).min()),
                set.clone(),
            )
        });
        let needed = self.with_what_tells(best.unwrap_or_default(), &order);
        let needed = self.with_what_was_read(needed, &order);
        let needed = self.led_by_what_tells(needed);
        self.with_a_third(needed, &order)
    }

    /// Puts a second finding to a single one that others show too: what hardly any of them shows to one
    /// that several do, and a reading that none of them has to a sign that even one has.
    fn with_what_tells(&self, needed: Vec<usize>, order: &[usize]) -> Vec<usize> {
        let [first] = needed.as_slice() else {
            return needed;
        };
        let one = &self.all[*first];
        if one.others.same == 0 {
            return needed;
        }
        let is_sign = |s: &Shown| self.yard.table.names()[s.name].kind == FindingKind::Visual;
        let tells = |i: &&usize| {
            let other = &self.all[**i];
            let more = !one.is_seldom() && 2.0 * other.without() <= one.without();
            let alone = other.others.same == 0 && JOBS <= other.others.n;
            let reading = is_sign(one) && !is_sign(other) && alone;
            other.class.is_own_fault()
                && other.is_seldom()
                && (more || reading)
                && self.may_be_needed(&[*first, **i])
        };
        let most = |i: &&usize| (self.left(&[**i]), Reverse(self.all[**i].own.same), **i);
        match order.iter().filter(tells).min_by_key(most) {
            Some(second) => vec![*first, *second],
            None => needed,
        }
    }

    /// Puts a second fault to a single one that next to nobody else was measured for, and that they show too:
    /// what near look-alikes read otherwise.
    fn with_what_was_read(&self, needed: Vec<usize>, order: &[usize]) -> Vec<usize> {
        let [first] = needed.as_slice() else {
            return needed;
        };
        let open = self.untold(&needed);
        let Read { n, same } = self.all[*first].others;
        if same == 0 || JOBS <= n || open == 0 {
            return needed;
        }
        let own = |i: &&usize| {
            let other = &self.all[**i];
            let read = other.class.is_own_fault() && 2 * JOBS <= other.others.n;
            read && !other.is_common() && self.may_be_needed(&[*first, **i])
        };
        let left = |i: &usize| self.untold(&[*first, *i]);
        let second = order.iter().filter(own).min_by_key(|i| left(i));
        let second = second.filter(|i| left(i) < open);
        needed.iter().chain(second).copied().collect()
    }

    /// Puts a third finding to two that leave a near look-alike: what few others show, and what leaves none.
    fn with_a_third(&self, needed: Vec<usize>, order: &[usize]) -> Vec<usize> {
        if needed.len() != 2 || self.untold(&needed) == 0 {
            return needed;
        }
        let with = |i: usize| [needed.as_slice(), &[i]].concat();
        let tells = |i: &&usize| {
            let third = &self.all[**i];
            let fault = third.class.is_fault() && third.is_seldom();
            let all = with(**i);
            let shown: Vec<&Shown> = all.iter().map(|i| &self.all[*i]).collect();
            let names = self.yard.table.names();
            let again = |other: &usize| {
                shown::same_place(&names[self.all[*other].name], &names[third.name])
            };
            fault
                && !needed.iter().any(again)
                && JOBS <= self.yard.show_all(self.group, &shown).same
                && self.left(&all) == 0
                && self.untold(&all) == 0
        };
        match order.iter().find(tells) {
            Some(third) => with(*third),
            None => needed,
        }
    }

    /// Puts what most others show behind what tells, and so what others show twice as often.
    fn led_by_what_tells(&self, mut needed: Vec<usize>) -> Vec<usize> {
        if let [first, second] = needed.as_slice() {
            let [first, second] = [first, second].map(|i| &self.all[*i]);
            let faults = second.class.is_fault() && 2.0 * second.without() <= first.without();
            if first.is_common() && !second.is_common() || faults {
                needed.swap(0, 1);
            }
        }
        needed
    }

    /// Returns the look-alikes that no reading of their own tells from the fix by `some`, weighed: those
    /// only that are in the same circuit or show one of its faults.
    pub fn untold(&self, some: &[usize]) -> usize {
        let tells = |r: &Rival| some.iter().any(|i| self.all[*i].tells_from(r.at));
        let untold = self.rivals.iter().filter(|r| r.close && !tells(r));
        untold.map(|r| r.weight).sum()
    }

    /// Tells whether it is the words of a test that hardly anyone puts in the same order.
    fn is_long(&self, i: usize) -> bool {
        let Shown { name, value, .. } = self.all[i];
        let words = self.yard.table.word(name, value).split(' ').count();
        self.yard.table.names()[name].kind == FindingKind::Other && LONG < words
    }

    fn may_be_needed(&self, set: &[usize]) -> bool {
        let names = self.yard.table.names();
        let shown: Vec<&Shown> = set.iter().map(|i| &self.all[*i]).collect();
        let [first, rest @ ..] = shown.as_slice() else {
            return false;
        };
        let joins = |second: &&Shown| {
            !shown::same_place(&names[first.name], &names[second.name])
                && second.class.may_join(first.class)
        };
        first.class.is_fault()
            && !shown.iter().all(|s| s.is_common())
            && rest.iter().all(joins)
            && JOBS <= self.yard.show_all(self.group, &shown).same
    }

    /// Returns the look-alikes that some findings leave, weighed.
    pub fn left(&self, some: &[usize]) -> usize {
        let left = |r: &&Rival| !some.iter().any(|i| self.all[*i].leaves_out(r.at));
        self.rivals.iter().filter(left).map(|r| r.weight).sum()
    }

    /// Tells whether all that is needed is shown by another fix, beside those at the same part, and
    /// nothing else that is expected tells the two apart.
    pub fn is_shown_by_another(&self, needed: &[usize]) -> bool {
        let parts = self.group.fix.pairs().iter().map(|(_, part)| part);
        let parts: BTreeSet<&String> = parts.collect();
        let groups = self.yard.shelf.groups.iter().enumerate();
        let mut others = groups.filter(|(at, _)| self.yard.is_rival(self.group, *at));
        others.any(|(at, other)| {
            let mut pairs = other.fix.pairs().iter();
            !pairs.any(|(_, part)| parts.contains(part))
                && needed.iter().all(|i| self.all[*i].shown_by(at))
                && !self.all.iter().any(|s| s.tells_from(at))
        })
    }

    /// Returns the look-alikes whose jobs show all that is needed.
    pub fn show_it_too(&self, needed: &[usize]) -> Vec<usize> {
        let shows = |at: &usize| needed.iter().all(|i| self.all[*i].shown_by(*at));
        let rivals = self.rivals.iter().map(|rival| rival.at);
        rivals.filter(shows).collect()
    }

    /// Returns the nearest look-alike that a reading of its own tells from the fix by `one`, and by none of
    /// `some`.
    pub fn parted_by(&self, one: usize, some: &[usize]) -> Option<usize> {
        let told = |r: &Rival| some.iter().any(|i| self.all[*i].tells_from(r.at));
        let parted = self.rivals.iter().filter(|r| r.close);
        let parted = parted.filter(|r| self.all[one].tells_from(r.at) && !told(r));
        parted
            .max_by_key(|r| (r.weight, Reverse(r.at)))
            .map(|r| r.at)
    }

    /// Returns the look-alike of the same circuit and with one of the same faults, of as many jobs as the fix
    /// or more, that recorded nothing of what must be named; and which other finding its jobs read otherwise.
    /// None where a sign must be named: who saw it was at the part.
    pub fn unread(&self, needed: &[usize]) -> Option<(usize, usize)> {
        let own = self
            .yard
            .shelf
            .groups
            .iter()
            .position(|g| g.id == self.group.id)?;
        let family = |at: usize| self.yard.rivals[at].family.as_ref();
        let faults = |r: &&Rival| {
            self.all
                .iter()
                .any(|s| s.class.is_fault() && s.shown_by(r.at))
        };
        let many = |r: &&Rival| {
            self.group.members.len() <= self.yard.rivals[r.at].n
                && family(own).is_some()
                && family(own) == family(r.at)
                && faults(r)
        };
        let none = |r: &&Rival| needed.iter().all(|i| self.all[*i].read[r.at].n == 0);
        let rivals = self.rivals.iter().filter(many).filter(none);
        let told = rivals.filter_map(|r| {
            let tells = |i: &usize| self.all[*i].tells_from(r.at);
            Some((r, (0..self.all.len()).find(tells)?))
        });
        let most = told.max_by_key(|(r, _)| (r.weight, Reverse(r.at)));
        most.map(|(r, one)| (r.at, one))
    }

    /// Returns how many jobs rivals have.
    pub fn jobs_of(&self, rivals: &[usize]) -> usize {
        rivals.iter().map(|at| self.yard.rivals[*at].n).sum()
    }
}

#[cfg(test)]
#[path = "alike_tests.rs"]
mod tests;
