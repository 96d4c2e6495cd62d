//! Repairs that fit all that a stop card shows: what can be mended is no reason to call it.
//!
//! Of a board's fixes those count that two jobs or more ended in. A shown value speaks for a fix where at
//! least half of its jobs that recorded the finding showed it, and against it where most showed
//! another. A fix fits that no shown value speaks against and that half of them or more speak for; one
//! whose jobs never had any of the customer's words does not. That no job of it recorded all that is shown
//! saves nothing: whoever stands before the front has only the front. Limits: common practice, no source.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::rc::Rc;

use crate::domain::card::Answer;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::kinds::stop;
use crate::domain::generate::weigh::shelf::Case;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::wording;

/// Jobs from which a fix is one to reckon with.
pub const FEWEST_JOBS: usize = 2;
/// Jobs that recorded a finding from which it may speak against a fix.
const AGAINST: usize = 2;
/// Jobs from which it tells that a customer never complained so.
const COMPLAINTS: usize = 3;

/// How a value stands to a fix.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stand {
    Silent,
    For,
    Against,
}

/// How a value stands to each fix.
type Stands = Rc<Vec<Stand>>;

/// The fixes of one board, and what their jobs showed.
pub struct Mendable {
    /// The fixes, in their order.
    pub fixes: Vec<Fix>,
    /// Of each fix, its rows.
    pub rows: Vec<Vec<usize>>,
    fix_of: Vec<Option<usize>>,
    complaints: Vec<BTreeSet<usize>>,
    recorded: RefCell<HashMap<usize, Rc<Vec<usize>>>>,
    stands: RefCell<HashMap<(usize, usize), Stands>>,
}

impl Mendable {
    /// Counts the jobs of each fix; `complaints` are the numbers of each job's words.
    pub fn of(shelf: &Shelf<'_>, jobs: &[&Job], complaints: &[Vec<usize>]) -> Self {
        let rows = jobs.iter().enumerate();
        let place: HashMap<*const Job, usize> = rows
            .map(|(at, job)| (std::ptr::from_ref(*job), at))
            .collect();
        let barred = shelf.barred();
        let counts = |case: &&Case<'_>| {
            case.tier.counts() && !stop::patterns::misled(case.job) && !barred.contains(&case.fix)
        };
        let mut by_fix: BTreeMap<&Fix, Vec<usize>> = BTreeMap::new();
        for case in shelf.cases.iter().filter(counts) {
            if let Some(row) = place.get(&std::ptr::from_ref(case.job)) {
                by_fix.entry(&case.fix).or_default().push(*row);
            }
        }
        by_fix.retain(|_, rows| FEWEST_JOBS <= rows.len());
        let mut fix_of = vec![None; jobs.len()];
        for (at, rows) in by_fix.values().enumerate() {
            for row in rows {
                fix_of[*row] = Some(at);
            }
        }
        let words = by_fix.values().map(|rows| {
            let words = rows.iter().flat_map(|row| &complaints[*row]);
            words.copied().collect()
        });
        Self {
            complaints: words.collect(),
            fixes: by_fix.keys().map(|fix| (*fix).clone()).collect(),
            rows: by_fix.into_values().collect(),
            fix_of,
            recorded: RefCell::default(),
            stands: RefCell::default(),
        }
    }

    /// Returns the fixes that fit these names with their values and a complaint, those of most jobs first.
    pub fn fitting(
        &self,
        table: &Table,
        shown: &[(usize, usize)],
        complaint: &[usize],
    ) -> Vec<usize> {
        let stands: Vec<Stands> = shown
            .iter()
            .map(|value| self.stand(table, *value))
            .collect();
        let fits = |fix: &usize| {
            let of = |stand: Stand| stands.iter().filter(|s| s[*fix] == stand).count();
            of(Stand::Against) == 0 && shown.len() <= 2 * of(Stand::For)
        };
        let complained = |fix: &usize| {
            complaint.is_empty()
                || self.rows[*fix].len() < COMPLAINTS
                || complaint.iter().any(|w| self.complaints[*fix].contains(w))
        };
        let mut found: Vec<usize> = (0..self.fixes.len())
            .filter(|fix| fits(fix) && complained(fix))
            .collect();
        found.sort_by_key(|fix| (std::cmp::Reverse(self.rows[*fix].len()), *fix));
        found
    }

    /// Returns the jobs of a fix that showed nothing else where they recorded what is shown, and half of
    /// it or more.
    pub fn alike(&self, fix: usize, table: &Table, shown: &[(usize, usize)]) -> Vec<usize> {
        let alike = |row: &&usize| {
            let own = shown
                .iter()
                .map(|(name, value)| (table.value(*name, **row), *value));
            let (mut same, mut other) = (0, 0);
            for (own, value) in own {
                same += usize::from(own == Some(value));
                other += usize::from(own.is_some_and(|own| own != value));
            }
            other == 0 && shown.len() <= 2 * same
        };
        self.rows[fix].iter().filter(alike).copied().collect()
    }

    /// Says which repairs fit, that of most jobs first; none where none does.
    pub fn named(&self, board: Option<&Board>, fitting: &[usize]) -> Option<String> {
        let first = fitting.first()?;
        let answer = Answer {
            steps: phrases::steps(&self.fixes[*first], board),
            also: Vec::new(),
        };
        let more = match fitting.len() {
            1 => "fits".to_owned(),
            2 => "and one more repair fit".to_owned(),
            n => format!("and {} more repairs fit", n - 1),
        };
        Some(format!(
            "{} ({}) {more} all that is shown",
            wording::answer_text(&answer),
            phrases::jobs_text(self.rows[*first].len()),
        ))
    }

    fn stand(&self, table: &Table, (name, value): (usize, usize)) -> Stands {
        if let Some(known) = self.stands.borrow().get(&(name, value)) {
            return Rc::clone(known);
        }
        let recorded = self.recorded(table, name);
        let same = self.tally(table.rows(name, value));
        let stand = |(same, n): (&usize, &usize)| match (*same, *n) {
            (_, 0) => Stand::Silent,
            (same, n) if n <= 2 * same => Stand::For,
            (_, n) if n < AGAINST => Stand::Silent,
            _ => Stand::Against,
        };
        let stands = Rc::new(same.iter().zip(recorded.iter()).map(stand).collect());
        let kept = Rc::clone(&stands);
        self.stands.borrow_mut().insert((name, value), kept);
        stands
    }

    fn recorded(&self, table: &Table, name: usize) -> Rc<Vec<usize>> {
        if let Some(known) = self.recorded.borrow().get(&name) {
            return Rc::clone(known);
        }
        let mut all = vec![0; self.fixes.len()];
        for value in 0..table.n_values(name) {
            let counts = self.tally(table.rows(name, value));
            all.iter_mut().zip(counts).for_each(|(all, n)| *all += n);
        }
        let all = Rc::new(all);
        self.recorded.borrow_mut().insert(name, Rc::clone(&all));
        all
    }

    fn tally(&self, rows: &[usize]) -> Vec<usize> {
        let mut counts = vec![0; self.fixes.len()];
        for fix in rows.iter().filter_map(|row| self.fix_of[*row]) {
            counts[fix] += 1;
        }
        counts
    }
}
