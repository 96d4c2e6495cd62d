//! Finding jobs by words and readings.
//!
//! The search goes to the index in `cache/find.idx`; where that cannot be believed it is made anew
//! from the files, and the same search is done in memory.

use chrono::DateTime;
use chrono::Utc;

use crate::app::jobs;
use crate::app::jobs::JobRow;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::job::FindingKind;
use crate::domain::job_row::IndexRow;
use crate::domain::search::index::Hit;
use crate::domain::search::index::Query;
use crate::domain::search::ranked;
use crate::domain::search::terms::Vocabulary;
use crate::store::fault::Fault;
use crate::store::find_index;
use crate::store::find_index::Unusable;

/// What to find among the jobs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FindOptions {
    /// Words and readings as typed; empty finds everything that passes the rest.
    pub words: String,
    /// Only this board.
    pub board: Option<String>,
    /// Only this circuit, proven or contributing.
    pub family: Option<String>,
    /// Only jobs with a finding of this kind before the repair, at this place if one is given.
    pub finding: Option<(FindingKind, Option<String>)>,
    /// At most so many.
    pub limit: usize,
}

/// A job found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The job.
    pub row: JobRow,
    /// Score; 0 where no words were given.
    pub score: f64,
    /// What matched, in words.
    pub why: Vec<String>,
}

/// What a search came to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Search {
    /// The jobs found, best first.
    pub found: Vec<Found>,
    /// Damage in the files of jobs.
    pub faults: Vec<String>,
    /// What went on with the index, where a person may wonder.
    pub note: Option<String>,
}

/// Finds jobs by words and readings, best first. `progress` is told how many bytes of the jobs were
/// read of how many, where they have to be read.
pub fn find_jobs(
    workbench: &Workbench,
    options: &FindOptions,
    now: DateTime<Utc>,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Search, AppError> {
    let (board, family) = (options.board.as_deref(), options.family.as_deref());
    jobs::known(workbench, board, family)?;
    let query = query(options);
    let unusable = match warm(workbench, &query, options.limit) {
        Ok(warm) => {
            return Ok(Search {
                found: found(workbench, warm.hits, &warm.rows, now),
                faults: workbench.fault_lines(&warm.faults),
                note: None,
            });
        }
        Err(unusable) => unusable,
    };
    let made = find_index::make(workbench.disk.as_ref(), &workbench.folder, progress)?;
    let hits = made.index.find(&query, options.limit);
    let rows: Vec<IndexRow> = hits.iter().map(|hit| made.rows[hit.at].clone()).collect();
    let note = match unusable {
        Unusable::Missing | Unusable::Stale => None,
        Unusable::Damaged | Unusable::Disk(_) => {
            let then = if made.kept { "; it was made anew" } else { "" };
            let why = crate::app::workbench::chain(&unusable);
            Some(format!("search index cache/find.idx: {why}{then}"))
        }
    };
    Ok(Search {
        found: found(workbench, hits, &rows, now),
        faults: workbench.fault_lines(&made.faults),
        note,
    })
}

fn query(options: &FindOptions) -> Query {
    let place = match &options.finding {
        Some((kind, Some(place))) => Some((*kind, place.clone())),
        _ => None,
    };
    Query {
        words: options.words.clone(),
        board: options.board.clone(),
        family: options.family.clone(),
        outcome: None,
        kinds: options.finding.iter().map(|(kind, _)| *kind).collect(),
        at_place: place,
    }
}

/// What the index on the disk said.
struct Warm {
    hits: Vec<Hit>,
    rows: Vec<IndexRow>,
    faults: Vec<Fault>,
}

/// Searches the index as it lies on the disk.
fn warm(workbench: &Workbench, query: &Query, limit: usize) -> Result<Warm, Unusable> {
    let index = find_index::open(workbench.disk.as_ref(), &workbench.folder)?;
    let vocabulary = Vocabulary::of_shop(&workbench.boards, &workbench.words);
    let hits = ranked::find(&index, &vocabulary, &workbench.boards, query, limit)?;
    let at: Vec<usize> = hits.iter().map(|hit| hit.at).collect();
    let rows = index.rows(&at)?;
    Ok(Warm {
        hits,
        rows,
        faults: index.faults,
    })
}

fn found(
    workbench: &Workbench,
    hits: Vec<Hit>,
    rows: &[IndexRow],
    now: DateTime<Utc>,
) -> Vec<Found> {
    let day = workbench.day(now);
    let all = hits.into_iter().zip(rows).map(|(hit, row)| Found {
        row: jobs::listed(workbench, row, day),
        score: hit.score,
        why: hit.why,
    });
    all.collect()
}
