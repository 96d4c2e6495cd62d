//! Job lines read for the few values that a build asks of all jobs; the rest of each is let go at once.

use std::path::Path;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;

use chrono::NaiveDate;

use crate::domain::ids;
use crate::domain::job::Outcome;
use crate::store::fault::Fault;
use crate::store::record::job::JobRules;
use crate::store::record::job_fast;
use crate::store::record::problem::Problem;
use crate::store::side_by_side;
use crate::store::text_lines;

/// Bytes after which a reading tells how far it has come.
const STEP: usize = 1 << 18;

/// What is kept of a line.
pub(crate) struct Light {
    pub(crate) line: u64,
    /// Where it begins in the bytes given.
    pub(crate) at: usize,
    pub(crate) len: usize,
    pub(crate) mark: u128,
    pub(crate) id: String,
    pub(crate) job: String,
    pub(crate) board: String,
    pub(crate) unit: Option<String>,
    pub(crate) follows: Option<String>,
    pub(crate) corrects: Option<String>,
    pub(crate) withdrawn: bool,
    pub(crate) closed_on: NaiveDate,
    pub(crate) outcome: Outcome,
}

/// What is wrong with a line.
pub(crate) enum Wrong {
    /// It is no text.
    NoText(u64, &'static str),
    /// Something in it.
    Problem(u64, Problem),
}

impl Wrong {
    /// Says so of a file.
    pub(crate) fn in_job_file(self, path: &Path) -> Fault {
        match self {
            Self::NoText(line, why) => {
                let todo = "write the line again, or restore it from a backup";
                Fault::damage(path, why, todo).at(line)
            }
            Self::Problem(line, problem) => problem.at(path, line),
        }
    }
}

/// The lines of one piece of a file.
#[derive(Default)]
pub(crate) struct Piece {
    pub(crate) lights: Vec<Light>,
    pub(crate) wrong: Vec<Wrong>,
}

/// Reads the lines of `bytes`, before which the file has `before` lines; `begins` says that it begins
/// here. `progress` is told how many bytes are done.
pub(crate) fn read(
    bytes: &[u8],
    before: u64,
    begins: bool,
    rules: JobRules<'_>,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let (mut at, mut line) = (0, before + 1);
    for piece in side_by_side::cut(bytes) {
        pieces.push((at, line, piece));
        at += piece.len();
        line += memchr::memchr_iter(b'\n', piece).count() as u64;
    }
    let done = AtomicU64::new(0);
    side_by_side::map(pieces, |(at, line, piece)| {
        let tell = |n: usize| progress(done.fetch_add(n as u64, Ordering::Relaxed) + n as u64);
        read_piece(piece, (at, line, begins && at == 0), rules, &tell)
    })
}

fn read_piece(
    bytes: &[u8],
    (start, first, begins): (usize, u64, bool),
    rules: JobRules<'_>,
    tell: &dyn Fn(usize),
) -> Piece {
    let mut found = Piece::default();
    let mut told = 0;
    for (line, at, text) in text_lines::placed_lines(bytes, first, begins) {
        if at >= told + STEP {
            tell(at - told);
            told = at;
        }
        let text = match text {
            Ok(text) => text,
            Err(why) => {
                found.wrong.push(Wrong::NoText(line, why));
                continue;
            }
        };
        let (job, problems) = job_fast::read(text, rules);
        let problems = problems.into_iter().map(|p| Wrong::Problem(line, p));
        found.wrong.extend(problems);
        let Some(job) = job else {
            continue;
        };
        found.lights.push(Light {
            line,
            at: start + at,
            len: text.len(),
            mark: ids::wide_mark([text]),
            id: job.id,
            job: job.job,
            board: job.board,
            unit: job.unit,
            follows: job.follows,
            corrects: job.corrects,
            withdrawn: job.withdrawn,
            closed_on: job.closed_on,
            outcome: job.outcome,
        });
    }
    tell(bytes.len() - told);
    found
}
