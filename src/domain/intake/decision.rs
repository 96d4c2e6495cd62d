//! What people decided about rows and sources of the backlog: one entry a decision.

use std::sync::Arc;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::intake::draft::Suggested;

/// How far a source of the backlog has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Progress {
    /// Nobody has begun.
    #[default]
    Todo,
    /// Someone is at it.
    Doing,
    /// Its jobs are entered.
    Done,
}

impl Progress {
    /// Every one.
    pub const ALL: [Self; 3] = [Self::Todo, Self::Doing, Self::Done];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Todo => "todo",
            Self::Doing => "doing",
            Self::Done => "done",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.word() == word)
    }
}

/// What was decided.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// The row became a job.
    Accept {
        /// Key of the row (see [`part_key`]).
        row: String,
        /// The job's number.
        job: String,
        /// Id of the job's line.
        line: String,
    },
    /// What is known of the row was mended; it waits on.
    Repair {
        /// Key of the row.
        row: String,
        /// What is known now.
        draft: Arc<Suggested>,
    },
    /// The row holds two jobs: each part waits by itself.
    Split {
        /// Key of the row.
        row: String,
        /// The two parts.
        parts: Arc<[Suggested; 2]>,
    },
    /// The row is a job that is in the archive already.
    SameAs {
        /// Key of the row.
        row: String,
        /// The number of that job.
        job: String,
        /// Ids of lines that were withdrawn with it: the row had been entered twice.
        withdrew: Vec<String>,
    },
    /// The row holds nothing to keep.
    Skip {
        /// Key of the row.
        row: String,
        /// Why, in the person's words.
        why: String,
    },
    /// An earlier decision does not count.
    Undo {
        /// Id of its entry.
        of: String,
    },
    /// Someone works through a stretch of a sheet, or has a source; advisory.
    Take {
        /// The sheet or the source.
        source: String,
        /// First and last row; a whole sheet without.
        rows: Option<(u64, u64)>,
        /// Last day of it.
        until: Option<NaiveDate>,
    },
    /// Whoever writes it lets go of what they had taken of a sheet or source.
    Release {
        /// The sheet or the source.
        source: String,
    },
    /// A source that is not entered yet: tickets, a notebook, a recording.
    AddSource {
        /// Its title.
        source: String,
        /// Where it is.
        place: String,
        /// How far it has come.
        status: Progress,
    },
    /// How far a source has come.
    SetSource {
        /// Its title.
        source: String,
        /// How far.
        status: Progress,
        /// In the person's words.
        note: String,
        /// A job that was entered from it.
        job: Option<String>,
    },
}

impl Event {
    /// Returns the key of the row that it is about.
    pub fn row(&self) -> Option<&str> {
        match self {
            Self::Accept { row, .. }
            | Self::Repair { row, .. }
            | Self::Split { row, .. }
            | Self::SameAs { row, .. }
            | Self::Skip { row, .. } => Some(row),
            _ => None,
        }
    }

    /// Returns what was done, in words.
    pub fn words(&self) -> String {
        match self {
            Self::Accept { job, .. } => format!("accepted as {job}"),
            Self::Repair { .. } => "mended".to_owned(),
            Self::Split { .. } => "split into two jobs".to_owned(),
            Self::SameAs { job, .. } => format!("marked as the same job as {job}"),
            Self::Skip { why, .. } => format!("passed over: {why}"),
            Self::Undo { .. } => "taken back".to_owned(),
            Self::Take { source, .. } => format!("{source} taken"),
            Self::Release { source } => format!("{source} let go"),
            Self::AddSource { source, .. } => format!("{source} added"),
            Self::SetSource { source, status, .. } => format!("{source} is {}", status.word()),
        }
    }
}

/// One line of an intake journal.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Id of the line.
    pub id: String,
    /// The bench that wrote it.
    pub bench: String,
    /// Number within that bench's journal, from 1.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// Whose decision it was.
    pub by: String,
    /// What was decided.
    pub event: Event,
}

/// Returns the key of one part of a row that was split; `part` is 0 or 1.
pub fn part_key(row: &str, part: usize) -> String {
    format!("{row}/{}", part + 1)
}

/// Returns the row that a key belongs to.
pub fn row_of(key: &str) -> &str {
    key.split_once('/').map_or(key, |(row, _)| row)
}
