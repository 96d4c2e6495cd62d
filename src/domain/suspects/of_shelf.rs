//! A board's closed jobs, coded for the ranking.
//!
//! Causes are the fixes of the jobs that count; findings are the names and bands of the board's
//! table under a mask. Left out: jobs that were never mended, or that are worth nothing as evidence.

use std::collections::BTreeSet;

use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::Fix;
use crate::domain::suspects::coded::Coded;
use crate::domain::suspects::coded::CodedJob;
use crate::domain::suspects::coded::UNRECORDED;

/// A board's jobs as the ranking takes them.
#[derive(Clone, Debug)]
pub struct Shelved {
    /// The fixes, in the order of the causes.
    pub fixes: Vec<Fix>,
    /// The jobs; findings in the order of the table's names.
    pub coded: Coded,
    /// The case of the shelf that each job is.
    pub cases: Vec<usize>,
    /// What the findings and values are.
    pub table: Table,
}

/// Codes the cases of a shelf that count; none when there are none.
pub fn coded(shelf: &Shelf<'_>, mask: &Mask) -> Option<Shelved> {
    let table = shelf.table(mask);
    let counts = |case: &usize| shelf.cases[*case].tier.counts();
    let cases: Vec<usize> = (0..shelf.cases.len()).filter(counts).collect();
    let fixes: BTreeSet<&Fix> = cases.iter().map(|at| &shelf.cases[*at].fix).collect();
    let fixes: Vec<Fix> = fixes.into_iter().cloned().collect();
    let jobs = cases.iter().filter_map(|at| {
        let cause = fixes.binary_search(&shelf.cases[*at].fix).ok()?;
        let values = values(&table, *at);
        Some(CodedJob { cause, values })
    });
    let n_values = (0..table.names().len())
        .map(|n| table.n_values(n))
        .collect();
    Some(Shelved {
        coded: Coded::new(fixes.len(), n_values, jobs.collect())?,
        fixes,
        cases,
        table,
    })
}

/// Returns the values of one row of a table.
pub fn values(table: &Table, row: usize) -> Vec<u16> {
    let value = |name| {
        let value = table.value(name, row);
        value.map_or(UNRECORDED, |v| u16::try_from(v).unwrap_or(UNRECORDED))
    };
    (0..table.names().len()).map(value).collect()
}
