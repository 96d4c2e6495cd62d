//! What a waiting row is worth: which come first at the desk.
//!
//! Common practice, no source: boards that still come in, boards and circuits that recur in the
//! archive, and among those the rows that lack least.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::collections::HashMap;

use crate::domain::intake::draft::Suggested;
use crate::domain::intake::repair;
use crate::domain::job::Job;

/// What the shop has of each board and circuit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Recurring {
    incoming: BTreeMap<String, f64>,
    boards: HashMap<String, usize>,
    circuits: HashMap<(String, String), usize>,
}

/// The order of rows: the least comes first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Value {
    incoming: Reverse<u64>,
    board: Reverse<usize>,
    circuit: Reverse<usize>,
    /// Required fields that are missing, suggestions taken as fact.
    pub lacks: usize,
    doubts: usize,
}

impl Recurring {
    /// Counts the boards and circuits of an archive; `incoming` is boards per week.
    pub fn of(jobs: &[Job], incoming: &BTreeMap<String, f64>) -> Self {
        let mut found = Self {
            incoming: incoming.clone(),
            ..Self::default()
        };
        for job in jobs {
            *found.boards.entry(job.board.clone()).or_default() += 1;
            if let Some(family) = &job.family {
                let circuit = (job.board.clone(), family.clone());
                *found.circuits.entry(circuit).or_default() += 1;
            }
        }
        found
    }

    /// Returns the value of a row.
    pub fn value(&self, suggested: &Suggested) -> Value {
        let whole = repair::take_all(suggested).facts;
        let board = whole.board.clone().unwrap_or_default();
        let weekly = self.incoming.get(&board).copied().unwrap_or(0.0);
        let circuit = (board.clone(), whole.family.clone().unwrap_or_default());
        Value {
            incoming: Reverse(thousandths(weekly)),
            board: Reverse(self.boards.get(&board).copied().unwrap_or(0)),
            circuit: Reverse(self.circuits.get(&circuit).copied().unwrap_or(0)),
            lacks: whole.missing().len(),
            doubts: suggested.facts.flags.len(),
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a rate of boards a week, held between nothing and a million"
)]
fn thousandths(weekly: f64) -> u64 {
    (weekly.clamp(0.0, 1e6) * 1000.0) as u64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Outcome;

    fn row(board: &str, family: &str, outcome: Option<Outcome>) -> Suggested {
        let mut row = Suggested::default();
        row.maybe.board = Some(board.to_owned());
        row.maybe.family = (!family.is_empty()).then(|| family.to_owned());
        row.facts.outcome = outcome;
        row
    }

    #[test]
    fn boards_that_come_in_come_first_then_those_that_recur_then_what_lacks_least() {
        let job = |board: &str, family: &str| Job {
            family: Some(family.to_owned()),
            ..Job::empty("W", board, Outcome::Held)
        };
        let jobs = [job("old", "buck"), job("old", "core"), job("rare", "buck")];
        let incoming = BTreeMap::from([("coming".to_owned(), 0.5)]);
        let shop = Recurring::of(&jobs, &incoming);
        let held = Some(Outcome::Held);
        let rows = [
            row("coming", "", None),
            row("old", "buck", held),
            row("old", "buck", None),
            row("old", "audio", held),
            row("rare", "buck", held),
            row("new", "", held),
        ];
        let values: Vec<Value> = rows.iter().map(|r| shop.value(r)).collect();
        assert!(values.is_sorted(), "{values:?}");
        assert_eq!(values[1].lacks + 1, values[2].lacks);
    }
}
