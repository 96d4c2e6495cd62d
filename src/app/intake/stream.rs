//! The rows of one worksheet read on several threads, and handed over in the order of the sheet.
//!
//! One thread cuts the sheet into rows and fills in what "as above" means, which only works from top
//! to bottom; the others read the rows and write the lines they may become. So little is under way
//! at a time that the size of a sheet does not matter.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::SyncSender;
use std::thread;

use serde_json::Value;

use crate::app::intake::own;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::Filled;
use crate::domain::intake::rows::RowRead;
use crate::domain::intake::rows::Taker;
use crate::domain::intake::sheet::Row;
use crate::domain::job::Flag;
use crate::store::intake::rows_file;
use crate::store::intake::rows_file::WaitingRow;
use crate::store::record::draft;
use crate::store::record::job::JobRecord;

/// Rows that go from thread to thread at a time.
const CHUNK: usize = 256;
/// Chunks that may wait between threads.
const WAITING: usize = 4;

/// A row read, with the lines it may become.
#[derive(Debug)]
pub(crate) struct Ready {
    /// Its number in the sheet.
    pub number: u64,
    /// Where it stands.
    pub source: String,
    /// Mark of its content.
    pub mark: String,
    /// How it ends, unless it was taken in before.
    pub end: ReadyEnd,
}

/// How a row ends.
#[derive(Debug)]
pub(crate) enum ReadyEnd {
    /// As a job.
    Taken(Box<ReadyJob>),
    /// With a person.
    Needs(Box<ReadyRow>),
    /// Left out.
    Skipped(String),
}

/// A job that a row may become.
#[derive(Debug)]
pub(crate) struct ReadyJob {
    /// Its number.
    pub job: String,
    /// Its line.
    pub line: String,
    /// What it holds.
    pub draft: Draft,
    /// The cells of its row.
    pub cells: Vec<(String, String)>,
}

/// A row that waits for a person.
#[derive(Debug)]
pub(crate) struct ReadyRow {
    /// What a person has to decide.
    pub why: Vec<Flag>,
    /// The suggestion as it is written.
    pub suggestion: Value,
    /// The line in the file of the sheet.
    pub line: String,
}

/// What is written into each job line beside the job.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stamp<'a> {
    /// Id of the bench.
    pub bench: &'a str,
    /// Initials of who imports, where they are known.
    pub by: Option<&'a str>,
    /// Bench day of the import.
    pub on: &'a str,
    /// The rows are those of an export of jobs.
    pub is_export: bool,
}

/// Reads `rows` and hands each over; stops at the first that `take` refuses.
pub(crate) fn stream<E>(
    rows: Box<dyn Iterator<Item = Row> + Send + '_>,
    mut top_down: Taker<'_>,
    reader: &Taker<'_>,
    stamp: Stamp<'_>,
    mut take: impl FnMut(Ready) -> Result<(), E>,
) -> Result<(), E> {
    let readers = thread::available_parallelism().map_or(1, |n| n.get().clamp(1, 4));
    thread::scope(|scope| {
        let (to_read, filled) = mpsc::sync_channel(WAITING);
        let (to_take, ready) = mpsc::sync_channel(WAITING);
        scope.spawn(move || fill(rows, &mut top_down, &to_read));
        // Once no reader is left, the one that fills has nobody to wait for.
        let filled = Arc::new(Mutex::new(filled));
        for _ in 0..readers {
            let (filled, to_take) = (Arc::clone(&filled), to_take.clone());
            scope.spawn(move || read(&filled, reader, stamp, &to_take));
        }
        drop((filled, to_take));
        let mut early: BTreeMap<usize, Vec<Ready>> = BTreeMap::new();
        let mut next = 0;
        for (at, chunk) in ready {
            early.insert(at, chunk);
            while let Some(chunk) = early.remove(&next) {
                chunk.into_iter().try_for_each(&mut take)?;
                next += 1;
            }
        }
        Ok(())
    })
}

type Chunk = Vec<(u64, Filled)>;

fn fill(
    rows: Box<dyn Iterator<Item = Row> + Send + '_>,
    top_down: &mut Taker<'_>,
    to_read: &SyncSender<(usize, Chunk)>,
) {
    let mut chunk = Vec::with_capacity(CHUNK);
    let mut at = 0;
    for row in rows {
        let filled = top_down.fill(&row);
        chunk.push((row.number, filled));
        if chunk.len() == CHUNK {
            let full = std::mem::replace(&mut chunk, Vec::with_capacity(CHUNK));
            if to_read.send((at, full)).is_err() {
                return;
            }
            at += 1;
        }
    }
    // With nobody left to read, nobody waits for the rest either.
    drop(to_read.send((at, chunk)));
}

fn read(
    filled: &Mutex<Receiver<(usize, Chunk)>>,
    reader: &Taker<'_>,
    stamp: Stamp<'_>,
    to_take: &SyncSender<(usize, Vec<Ready>)>,
) {
    loop {
        let next = match filled.lock() {
            Ok(filled) => filled.recv(),
            // Another reader panicked: the scope hands that on.
            Err(_poisoned) => return,
        };
        let Ok((at, chunk)) = next else { return };
        let rows = chunk.into_iter();
        let ready = rows.map(|(number, row)| {
            let read = reader.read(row);
            let read = if stamp.is_export {
                own::exact(read)
            } else {
                read
            };
            ready(number, read, stamp)
        });
        if to_take.send((at, ready.collect())).is_err() {
            return;
        }
    }
}

fn ready(number: u64, read: RowRead, stamp: Stamp<'_>) -> Ready {
    let RowRead {
        source,
        mark,
        cells,
        end,
    } = read;
    let end = match end {
        End::Skipped { why } => ReadyEnd::Skipped(why),
        End::NeedsPerson { why, suggested } => {
            ReadyEnd::Needs(Box::new(waiting(&mark, &source, why, cells, *suggested)))
        }
        End::Taken(draft) => match job(&mark, &draft, stamp) {
            Ok((job, line)) => ReadyEnd::Taken(Box::new(ReadyJob {
                job,
                line,
                draft: *draft,
                cells,
            })),
            Err(why) => {
                let suggested = Suggested {
                    facts: *draft,
                    ..Suggested::default()
                };
                ReadyEnd::Needs(Box::new(waiting(&mark, &source, why, cells, suggested)))
            }
        },
    };
    Ready {
        number,
        source,
        mark,
        end,
    }
}

/// Returns the number and the line of the job that a row becomes, or what it lacks.
///
/// The id is made of the mark of the row: the same row gives the same line again. `s` tells the jobs
/// of sheets from those that a person made of a row at the desk.
pub(crate) fn job(
    mark: &str,
    draft: &Draft,
    stamp: Stamp<'_>,
) -> Result<(String, String), Vec<Flag>> {
    let id = format!("{}-s{mark}", stamp.bench);
    let lacks = |field: &str, why: &str| Flag {
        field: field.to_owned(),
        why: why.to_owned(),
        raw: String::new(),
    };
    let mut record = JobRecord::of_draft(draft, &id).map_err(|missing| {
        let missing = missing.into_iter();
        missing
            .map(|m| lacks(m.field(), m.words()))
            .collect::<Vec<_>>()
    })?;
    record.set_extra("row", mark.into());
    if let Some(by) = stamp.by {
        record.set_extra("entered_by", by.into());
    }
    record.set_extra("entered_on", stamp.on.into());
    let line = record
        .to_line()
        .map_err(|newer| vec![lacks("v", &newer.to_string())])?;
    Ok((record.job.job, line))
}

/// Returns a row that waits for a person.
pub(crate) fn waiting(
    mark: &str,
    source: &str,
    why: Vec<Flag>,
    cells: Vec<(String, String)>,
    suggested: Suggested,
) -> ReadyRow {
    let suggestion = Value::Object(draft::write_suggested(&suggested));
    let row = WaitingRow {
        mark: mark.to_owned(),
        source: source.to_owned(),
        why,
        cells,
        suggestion: suggested,
    };
    ReadyRow {
        line: rows_file::write_row_with(&row, &suggestion),
        why: row.why,
        suggestion,
    }
}
