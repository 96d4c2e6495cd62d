//! From how many jobs a fix is reckoned with, and what its jobs agree on.
//!
//! What they agree on is a value of the table; whether it tells the fix from others is asked elsewhere. The
//! limits are common practice, no source.

use crate::domain::generate::coded::table::Table;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::units::count;

/// Another fix is a right answer too from this many matching jobs …
pub const ALSO_RIGHT_JOBS: usize = 3;
/// … and from this part of them.
pub const ALSO_RIGHT_SHARE: f64 = 0.2;

/// A fix is a look-alike of another from this many jobs.
pub const JOBS: usize = 2;
/// Of the jobs that recorded a finding, this part agrees in its band.
pub const AGREED: f64 = 0.75;

/// Returns the value that a fix's jobs agree on for a name.
pub(in crate::domain::generate) fn settled(
    table: &Table,
    group: &Group,
    name: usize,
) -> Option<usize> {
    agreed(table, &group.evidence, name)
}

/// Returns the value that some jobs agree on for a name.
pub(in crate::domain::generate) fn agreed(
    table: &Table,
    cases: &[usize],
    name: usize,
) -> Option<usize> {
    let mut counts = vec![0; table.n_values(name)];
    for value in cases.iter().filter_map(|at| table.value(name, *at)) {
        counts[value] += 1;
    }
    let seen: usize = counts.iter().sum();
    // The commonest, and of several the first that the board saw.
    let by_count = |(value, n): &(usize, usize)| (*n, std::cmp::Reverse(*value));
    let (common, n) = counts.into_iter().enumerate().max_by_key(by_count)?;
    (JOBS <= seen && AGREED * count(seen) <= count(n)).then_some(common)
}
