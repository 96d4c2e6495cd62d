//! What the reason of a fix card says of its front: what tells most, and what excludes the others that
//! show that as well.
//!
//! A finding that half the board shows says little by itself, even where it says most; the next one said is
//! that which most of the jobs that share the first read otherwise, be it wrong or as it should be. What tells
//! the fix from its runner-up is said too, and leads where most of those that share the first are the
//! runner-up's; a place that is as it should be stands behind the fault there. Left out is what is warned of
//! where nothing excludes them: [`crate::domain::generate::fronts::rival`].

use crate::domain::generate::backs::runner_up::Parting;
use crate::domain::generate::backs::runner_up::RunnerUp;
use crate::domain::generate::fronts::look::Complaint;
use crate::domain::generate::weigh::account;
use crate::domain::generate::weigh::account::Account;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::Job;

/// So many findings are said at most.
const MOST: usize = 3;

/// The findings of a front, those that are said first.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// All of them.
    pub all: Vec<Account>,
    /// So many are said.
    pub n: usize,
}

impl Told {
    /// Returns what is said.
    pub fn said(&self) -> &[Account] {
        &self.all[..self.n]
    }

    /// Returns what is not.
    pub fn rest(&self) -> &[Account] {
        &self.all[self.n..]
    }

    /// Says the finding that tells the fix from its runner-up, which the reason counts; it leads where most of
    /// those without the fix that show what led are the runner-up's.
    #[must_use]
    pub fn with_what_parts(mut self, parting: &Parting) -> Self {
        let at = self.all.iter().position(|a| a.name == parting.by);
        let says = |at: &usize| {
            let own = &self.all[*at];
            own.is_usual() && !own.is_common() && !own.is_sign() && 0.0 < own.weight
        };
        let Some(at) = at.filter(says).filter(|_| 0 < self.n) else {
            return self;
        };
        let one = self.all.remove(at);
        let leads = 0 < at && one.tells() && {
            let first = &self.all[0];
            let theirs = parting.hits.iter().find(|(name, _)| *name == first.name);
            theirs.is_some_and(|(_, n)| first.without[0] < 2 * n)
        };
        let to = if leads { 0 } else { at.min(self.n) };
        self.n += usize::from(self.n <= at);
        self.all.insert(to, one);
        self
    }

    /// Says of a place that is as it should be first what is wrong there: good ohms tell beside a rail that
    /// is low.
    fn with_the_fault_there(mut self, draft: &Draft) -> Self {
        let place = |a: &Account| draft.table.names()[a.name].place.as_str();
        let is_there = |a: &Account, b: &Account| !place(a).is_empty() && place(a) == place(b);
        for at in 0..self.n {
            let own = &self.all[at];
            if own.points || self.said().iter().any(|a| a.wrong && is_there(a, own)) {
                continue;
            }
            let rest = self.rest().iter();
            let fault = |a: &&Account| a.wrong && a.is_usual() && a.tells() && is_there(a, own);
            if let Some(fault) = rest.clone().position(|a| fault(&a)) {
                let fault = self.all.remove(self.n + fault);
                self.all.insert(at, fault);
                self.n += 1;
            }
        }
        self
    }
}

/// Chooses what is said of the front of a draft, and of what tells its fix from the runner-up.
pub fn of(shelf: &Shelf<'_>, group: &Group, draft: &Draft, runner_up: Option<&RunnerUp>) -> Told {
    let told = told(shelf, draft, account::of(shelf, group, draft));
    match runner_up.and_then(|r| r.parting.as_ref()) {
        Some(parting) => told.with_what_parts(parting),
        None => told,
    }
}

/// Chooses what is said of `accounts`, which stand in the order of what they tell.
fn told(shelf: &Shelf<'_>, draft: &Draft, accounts: Vec<Account>) -> Told {
    if accounts.first().is_none_or(|first| first.weight <= 0.0) {
        return Told {
            all: accounts,
            n: 0,
        };
    }
    let others = Others::of(shelf, draft);
    let read: Vec<Vec<Option<bool>>> = accounts
        .iter()
        .map(|a| others.look_at(shelf, draft, a.name))
        .collect();
    let mut said = vec![0];
    let (mut left, alike) = others.left_by(&read[0]);
    let most = if alike { MOST } else { 2 };
    while said.len() < most {
        let otherwise = |i: usize| {
            let differs = |job: &&usize| read[i][**job] == Some(false);
            left.iter().filter(differs).count()
        };
        let may = |i: &usize| {
            let own = &accounts[*i];
            let parts = own.is_usual() && !own.is_common();
            !said.contains(i) && parts && (alike || own.tells())
        };
        let parts = (1..accounts.len())
            .filter(may)
            .map(|i| (otherwise(i), i))
            .filter(|(n, _)| 0 < *n);
        // Of equals, what stands first.
        let Some((_, next)) = parts.max_by_key(|(n, i)| (*n, std::cmp::Reverse(*i))) else {
            break;
        };
        left.retain(|job| read[next][*job] != Some(false));
        said.push(next);
    }
    if said.len() == 1 {
        said.extend((1..accounts.len()).find(|i| accounts[*i].tells()));
    }
    let n = said.len();
    let rest = (0..accounts.len()).filter(|i| !said.contains(i));
    let order: Vec<usize> = said.iter().copied().chain(rest).collect();
    let told = Told {
        all: order.into_iter().map(|i| accounts[i].clone()).collect(),
        n,
    };
    told.with_the_fault_there(draft)
}

/// The jobs that ended in something else, and whether each complained of the same as the shown one.
struct Others {
    cases: Vec<usize>,
    ends: Vec<usize>,
    complained: Vec<bool>,
}

impl Others {
    fn of(shelf: &Shelf<'_>, draft: &Draft) -> Self {
        let rest = |at: &usize| draft.sides[*at] == Side::Rest;
        let cases: Vec<usize> = (0..shelf.cases.len()).filter(rest).collect();
        let says = |row: &usize| shelf.ends.says_what(*row);
        let ends: Vec<usize> = (0..shelf.ends.len()).filter(says).collect();
        let shown = shelf.cases[draft.shown].job;
        let complaint = Complaint::of(shown);
        let same = |job: &Job| complaint.is_shared_by(job);
        let complained = cases.iter().map(|at| same(shelf.cases[*at].job));
        let complained = complained.chain(ends.iter().map(|row| same(shelf.ends.job(*row))));
        Self {
            complained: complained.collect(),
            cases,
            ends,
        }
    }

    /// Returns whether each reads a name as the shown job does; none where it did not record it.
    fn look_at(&self, board: &Shelf<'_>, draft: &Draft, name: usize) -> Vec<Option<bool>> {
        let value = draft.table.value(name, draft.shown);
        let own = |at: &usize| draft.table.value(name, *at).map(|v| Some(v) == value);
        let mut read: Vec<Option<bool>> = self.cases.iter().map(own).collect();
        let known = value.map_or_else(Vec::new, |v| board.ends.read(&draft.table, name, v));
        read.extend(self.ends.iter().map(|row| {
            let own = known.binary_search_by_key(row, |(at, _)| *at);
            own.ok().map(|at| known[at].1)
        }));
        read
    }

    /// Returns the jobs that a finding leaves: those that show it as well, of the same complaint where there
    /// are such; where none shows it, those of the same complaint that did not record it, and `false`.
    fn left_by(&self, read: &[Option<bool>]) -> (Vec<usize>, bool) {
        let of = |state: Option<bool>, same: bool| -> Vec<usize> {
            let all = 0..read.len();
            all.filter(|i| read[*i] == state && (self.complained[*i] || !same))
                .collect()
        };
        let mut alike = [true, false].map(|same| of(Some(true), same)).into_iter();
        match alike.find(|left| !left.is_empty()) {
            Some(left) => (left, true),
            None => (of(None, true), false),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::card::CardKind;
    use crate::domain::generate::sample;
    use crate::domain::job::Finding;
    use crate::domain::job::FindingKind;
    use crate::domain::job::Job;

    /// `n` jobs that replace `part`.
    fn jobs(part: &str, n: u64, findings: &[Finding]) -> Vec<Job> {
        let job = |at: u64| sample::job_with(&format!("{part}-{at}"), part, at, findings.to_vec());
        (1..=n).map(job).collect()
    }

    fn why(jobs: &[Job], part: &str) -> String {
        let cards = sample::built(jobs).cards.into_iter();
        let own = |c: &&crate::domain::card::Card| {
            c.kind == CardKind::Fix && c.answers[0].steps[0].part == part
        };
        let cards: Vec<_> = cards.collect();
        cards.iter().find(own).expect("a fix card").why.clone()
    }

    fn draw(word: &str) -> Finding {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some(word.to_owned());
        draw
    }

    #[test]
    fn what_excludes_those_that_show_the_first_as_well_is_said_next() {
        let with =
            |core: &str, system: &str| [sample::rail("VCORE", core), sample::rail("VSYS", system)];
        let rest = jobs("U9", 6, &[sample::rail("VCORE", "in-band")]);
        let own = jobs("U31", 4, &with("absent", "in-band"));
        let alike = jobs("C40", 2, &with("absent", "low"));
        let told = why(&[own.clone(), alike, rest.clone()].concat(), "U31");
        let lines: Vec<&str> = told.split("; ").collect();
        assert_eq!(
            lines[0],
            "VCORE absent: 4 of 4 with this fix, 2 of 8 without"
        );
        assert!(
            lines[1].starts_with("VSYS in band: 4 of 4 with this fix"),
            "{told}"
        );
        // Nothing shares the first, and what is as it should be says no more.
        let alone = why(&[own, rest].concat(), "U31");
        assert!(!alone.contains("VSYS in band"), "{alone}");
    }

    #[test]
    fn a_draw_comes_after_a_test_that_tells_as_much() {
        let with = |console: &str, word: &str| [sample::test("console", console), draw(word)];
        let all = [
            jobs("U31", 4, &with("storage errors", "cycling")),
            jobs("U9", 6, &with("boot loader", "stuck")),
        ];
        let told = why(&all.concat(), "U31");
        assert!(told.starts_with("console storage errors: 4 of 4"), "{told}");
        // What a test found to be in order leads nowhere: the draw stands first.
        let all = [
            jobs("U31", 4, &with("normal", "cycling")),
            jobs("U9", 6, &with("boot loader", "stuck")),
        ];
        let told = why(&all.concat(), "U31");
        assert!(told.starts_with("draw cycling: 4 of 4"), "{told}");
    }

    #[test]
    fn what_parts_the_runner_up_is_counted_and_leads_where_the_rest_is_as_true_of_it() {
        let with =
            |core: &str, gate: &str| [sample::rail("VCORE", core), sample::rail("VGATE", gate)];
        let all = |alike: u64, odd: u64| {
            [
                jobs("U31", 5, &with("absent", "low")),
                jobs("C40", alike, &with("absent", "in-band")),
                jobs("Q3", odd, &with("absent", "low")),
                jobs("U9", 12, &with("in-band", "in-band")),
                jobs("Y1", 4, &with("in-band", "low")),
            ]
            .concat()
        };
        // All others without volts there are the runner-up's.
        let told = why(&all(3, 0), "U31");
        assert!(told.starts_with("VGATE low: 5 of 5"), "{told}");
        assert!(told.contains("; VCORE absent: 5 of 5"), "{told}");
        assert!(
            told.contains("runner-up replace C40 would have shown: VGATE in band"),
            "{told}"
        );
        // Nobody else has it: then it leads.
        let told = why(&all(0, 0), "U31");
        assert!(
            told.starts_with("VCORE absent: 5 of 5 with this fix, 0 of"),
            "{told}"
        );
    }

    #[test]
    fn good_ohms_are_said_behind_the_fault_at_their_place() {
        let own = |volts: &str| {
            [
                sample::test("loop test", "all off alike"),
                sample::rail("VREF", volts),
                sample::resistance("VREF", 3900.0),
            ]
        };
        let mut good = own("low");
        good[2].good = Some(3900.0);
        let mut short = own("low");
        (short[2].got, short[2].good) = (Some(300.0), Some(3900.0));
        let rest = [
            sample::test("loop test", "one reads low"),
            sample::rail("VREF", "in-band"),
        ];
        let all = |own: &[Finding]| {
            [
                jobs("U31", 4, own),
                jobs("C40", 2, &short),
                jobs("U9", 12, &rest),
            ]
            .concat()
        };
        let told = why(&all(&good), "U31");
        let at = |words: &str| {
            told.find(words)
                .unwrap_or_else(|| panic!("{words}: {told}"))
        };
        assert!(
            at("VREF low: 4 of 4") < at("VREF to ground as on a good board: 4 of 4"),
            "{told}"
        );
        // Where the rail is in order as well there is no fault to say first.
        let mut sound = own("in-band");
        sound[2].good = Some(3900.0);
        let told = why(&all(&sound), "U31");
        assert!(!told.contains("VREF low"), "{told}");
    }
}
