//! Do two people put the same jobs into the same circuits? A sample of jobs without their circuit, to be
//! filled in by each alone, and what comes of the two.
//!
//! Nothing is written into the shop: the sample is printed, filled in wherever a sheet can be filled
//! in, and read back from two files. Jobs are coded from the record alone, as a card would show them;
//! the circuit that the job has in the archive is not in the sample.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use serde_json::Value;

use crate::app::jobs::export;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::agreement::Table;
use crate::domain::bench_note;
use crate::domain::circuit::Circuits;
use crate::domain::ids;
use crate::domain::job::Job;
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;
use crate::domain::text::clean;
use crate::domain::text::unguard;

/// Column of the sample that holds the job's number.
pub const NUMBER: &str = "Job";
/// Column of the sample that is filled in.
pub const CIRCUIT: &str = "Circuit";
/// Columns of the sample.
pub const COLUMNS: [&str; 8] = [
    NUMBER,
    "Board",
    "Revision",
    "Complaint",
    "Readings",
    "Done",
    "Proof",
    CIRCUIT,
];

/// Jobs to be coded.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sample {
    /// One row a job: the cells of [`COLUMNS`], the last one empty.
    pub rows: Vec<Vec<String>>,
    /// Jobs that there were to choose from: those whose fault was located.
    pub of: usize,
}

/// Draws `n` of the jobs whose fault was located; the same seed draws the same, in the same order.
pub fn sample(workbench: &Workbench, n: usize, seed: u64) -> Result<Sample, AppError> {
    let archive = workbench.archive()?;
    let located = |job: &&Job| job.family.as_deref().is_some_and(|f| f != UNLOCATED);
    let mut jobs: Vec<&Job> = archive.jobs.iter().filter(located).collect();
    let of = jobs.len();
    let seed = seed.to_string();
    jobs.sort_by_cached_key(|job| ids::long_mark([seed.as_str(), &job.id]));
    jobs.truncate(n);
    let done = [
        Role::TheFix,
        Role::AlsoDone,
        Role::TriedNoEffect,
        Role::MadeWorse,
    ];
    let row = |job: &Job| {
        vec![
            job.job.clone(),
            job.board.clone(),
            job.rev.clone().unwrap_or_default(),
            job.complaint.join(", "),
            bench_note::findings(job),
            bench_note::actions(job, &done),
            job.proof.clone().unwrap_or_default(),
            String::new(),
        ]
    };
    Ok(Sample {
        rows: jobs.into_iter().map(row).collect(),
        of,
    })
}

/// Returns the sample as a sheet.
pub fn sheet(sample: &Sample) -> String {
    let rows = sample.rows.iter().map(Vec::as_slice);
    export::sheet(&COLUMNS, rows)
}

/// What two people coded.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Coded {
    /// Their codes, counted.
    pub table: Table,
    /// Jobs that they coded differently: number, first circuit, second circuit.
    pub differ: Vec<(String, String, String)>,
    /// What could not be used, and why.
    pub left_out: Vec<(String, String)>,
}

/// Compares two filled-in samples, given as text.
pub fn compare(circuits: &Circuits, first: &str, second: &str) -> Result<Coded, String> {
    let mut left_out = Vec::new();
    let first = codes(circuits, first, "the first file", &mut left_out)?;
    let second = codes(circuits, second, "the second file", &mut left_out)?;
    let mut pairs = Vec::new();
    for (job, code) in &first {
        match second.get(job) {
            Some(other) => pairs.push((job, code, other)),
            None => left_out.push((job.clone(), "not in the second file".to_owned())),
        }
    }
    for job in second.keys().filter(|job| !first.contains_key(*job)) {
        left_out.push((job.clone(), "not in the first file".to_owned()));
    }
    // Empty cells and unknown words are told once, in the words of the file that has them.
    pairs.retain(|(_, a, b)| !a.is_empty() && !b.is_empty());
    let order: Vec<&str> = circuits.all().iter().map(|f| f.id.as_str()).collect();
    let counted: Vec<(&str, &str)> = pairs
        .iter()
        .map(|(_, a, b)| (a.as_str(), b.as_str()))
        .collect();
    let differ = pairs.iter().filter(|(_, a, b)| a != b);
    Ok(Coded {
        table: Table::of(&counted, &order),
        differ: differ
            .map(|(job, a, b)| ((*job).clone(), (*a).clone(), (*b).clone()))
            .collect(),
        left_out,
    })
}

/// Returns the circuit of each job in a filled-in sample; empty where it cannot be used.
fn codes(
    circuits: &Circuits,
    text: &str,
    file: &str,
    left_out: &mut Vec<(String, String)>,
) -> Result<BTreeMap<String, String>, String> {
    let text = text.trim_start_matches('\u{feff}');
    let cells = if text.trim_start().starts_with('{') {
        from_lines(text, file)?
    } else {
        from_sheet(text, file)?
    };
    let mut found = BTreeMap::new();
    let mut twice = BTreeSet::new();
    for (job, cell) in cells {
        let code = circuit(circuits, &cell);
        if found.contains_key(&job) {
            twice.insert(job);
            continue;
        }
        if cell.trim().is_empty() {
            left_out.push((job.clone(), format!("no circuit is filled in in {file}")));
        } else if code.is_none() {
            let why = format!("{:?} in {file} is no circuit of this shop", clean(&cell));
            left_out.push((job.clone(), why));
        }
        found.insert(job, code.unwrap_or_default());
    }
    for job in twice {
        left_out.push((job.clone(), format!("it stands twice in {file}")));
        found.insert(job, String::new());
    }
    Ok(found)
}

/// Returns the circuit that a person wrote, by its id or its name.
fn circuit(circuits: &Circuits, cell: &str) -> Option<String> {
    let cell = cell.trim();
    if cell.eq_ignore_ascii_case(UNLOCATED) {
        return Some(UNLOCATED.to_owned());
    }
    let mut all = circuits.all().iter();
    all.find(|f| f.id.eq_ignore_ascii_case(cell) || f.name.eq_ignore_ascii_case(cell))
        .map(|f| f.id.clone())
}

fn from_lines(text: &str, file: &str) -> Result<Vec<(String, String)>, String> {
    let mut found = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        if line.trim().is_empty() {
            continue;
        }
        let value: Value = serde_json::from_str(line)
            .map_err(|error| format!("line {number} of {file} is not JSON: {error}"))?;
        let Some(job) = value["job"].as_str() else {
            return Err(format!("line {number} of {file} names no job"));
        };
        let circuit = value["circuit"].as_str().unwrap_or_default();
        found.push((job.to_owned(), circuit.to_owned()));
    }
    Ok(found)
}

fn from_sheet(text: &str, file: &str) -> Result<Vec<(String, String)>, String> {
    // A spreadsheet saves with the separator of its language.
    let head = text.lines().next().unwrap_or_default();
    let often = |c: u8| head.bytes().filter(|b| *b == c).count();
    let separator = [b',', b';', b'\t'].into_iter().max_by_key(|c| often(*c));
    let mut rows = csv::ReaderBuilder::new()
        .delimiter(separator.unwrap_or(b','))
        .flexible(true)
        .from_reader(text.as_bytes());
    let bad = |error: &csv::Error| format!("{file} cannot be read as a sheet: {error}");
    let head = rows.headers().map_err(|error| bad(&error))?.clone();
    let column = |name: &str| {
        head.iter()
            .position(|cell| cell.trim().eq_ignore_ascii_case(name))
            .ok_or_else(|| format!("{file} has no column {name}"))
    };
    let (number, circuit) = (column(NUMBER)?, column(CIRCUIT)?);
    let mut found = Vec::new();
    for row in rows.records() {
        let row = row.map_err(|error| bad(&error))?;
        let cell = |at: usize| row.get(at).unwrap_or_default();
        let job = unguard(cell(number)).trim().to_owned();
        if !job.is_empty() {
            found.push((job, unguard(cell(circuit)).to_owned()));
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn built_in() -> Circuits {
        Circuits::with_shop(&[], false)
    }

    #[test]
    fn two_sheets_are_joined_by_number_and_read_as_a_spreadsheet_saves_them() {
        let first = "Job,Board,Circuit\r\nW-1,x,standby\r\nW-2,x,Buck\r\n'-3,x,bus\r\n";
        let second = "\u{feff}Job;Circuit;Board\nW-2;standby;x\nW-1; standby ;x\n'-3;bus;x\n";
        let coded = compare(&built_in(), first, second).expect("two sheets");
        assert_eq!((coded.table.n(), coded.table.agreed()), (3, 2));
        assert_eq!(
            coded.differ,
            [("W-2".to_owned(), "buck".to_owned(), "standby".to_owned())]
        );
        assert_eq!(coded.left_out, []);
        let lines =
            "{\"job\":\"W-1\",\"circuit\":\"standby\"}\n{\"job\":\"W-2\",\"circuit\":null}\n";
        let coded = compare(&built_in(), first, lines).expect("a sheet and lines");
        assert_eq!(coded.table.n(), 1);
        assert_eq!(coded.left_out.len(), 2, "{:?}", coded.left_out);
    }

    #[test]
    fn what_cannot_be_used_is_named_and_not_counted() {
        let first = "Job,Circuit\nW-1,standby\nW-2,\nW-3,toaster\nW-4,bus\nW-4,buck\nW-5,bus\n";
        let second = "Job,Circuit\nW-1,standby\nW-2,bus\nW-3,bus\nW-4,bus\nW-6,bus\n";
        let coded = compare(&built_in(), first, second).expect("two sheets");
        assert_eq!(coded.table.n(), 1);
        let named: Vec<&str> = coded.left_out.iter().map(|(job, _)| job.as_str()).collect();
        assert_eq!(named, ["W-2", "W-3", "W-4", "W-5", "W-6"]);
        assert!(coded.left_out[1].1.contains("toaster"));
    }

    #[test]
    fn a_file_that_is_no_sample_says_what_is_missing() {
        let good = "Job,Circuit\nW-1,standby\n";
        for (bad, words) in [
            ("Job,Board\nW-1,x\n", "no column Circuit"),
            ("", "no column Job"),
            ("{\"circuit\":\"bus\"}", "names no job"),
            ("{\"job\":", "is not JSON"),
        ] {
            let said = compare(&built_in(), good, bad).expect_err(bad);
            assert!(said.contains(words) && said.contains("second"), "{said}");
        }
    }
}
