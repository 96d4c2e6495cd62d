//! The jobs that count as a file: a sheet for people, or their own lines for other shops.
//!
//! This is the shop's own archive and leaves whole: initials and notes stand in both forms, unit marks
//! and prices in the lines alone. Lines that contradict each other are left out, as they count nowhere.

use std::collections::BTreeSet;
use std::collections::HashMap;
use std::path::Path;
use std::path::PathBuf;

use crate::app::backup;
use crate::app::jobs;
use crate::app::jobs::ListOptions;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::bench_note;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::text::clean;
use crate::domain::text::guard;
use crate::store::export_file;
use crate::store::jobs as store;
use crate::store::record::job::JobRecord;

/// Columns of the sheet.
pub const COLUMNS: [&str; 14] = [
    "Job",
    "Closed",
    "By",
    "Board",
    "Revision",
    "Complaint",
    "Readings",
    "Circuit",
    "Fix",
    "Tried",
    "Outcome",
    "Proof",
    "Minutes",
    "Note",
];

/// How the jobs are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A sheet (RFC 4180), one row a job.
    Sheet,
    /// The job lines as they stand; with `history`, the earlier lines that they correct go before them.
    Lines {
        /// Earlier lines as well.
        history: bool,
    },
}

/// Jobs as text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Exported {
    /// The text of the file.
    pub text: String,
    /// Jobs in it.
    pub jobs: usize,
    /// Earlier lines in it.
    pub earlier: usize,
    /// Damage found.
    pub faults: Vec<String>,
}

/// Returns the jobs chosen, by closing day.
pub fn export(
    workbench: &Workbench,
    form: Form,
    options: &ListOptions,
) -> Result<Exported, AppError> {
    jobs::known(
        workbench,
        options.board.as_deref(),
        options.family.as_deref(),
    )?;
    let archive = store::load_jobs(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?;
    let chosen: Vec<usize> = (0..archive.jobs.len())
        .filter(|at| options.want_job(&archive.jobs[*at].job))
        .collect();
    let mut out = Exported {
        jobs: chosen.len(),
        faults: workbench.fault_lines(&archive.faults),
        ..Exported::default()
    };
    match form {
        Form::Sheet => {
            let rows: Vec<[String; 14]> = chosen.iter().map(|at| row(&archive.jobs[*at])).collect();
            out.text = sheet(&COLUMNS, rows.iter().map(<[String; 14]>::as_slice));
        }
        Form::Lines { history } => {
            let mut places: Vec<(PathBuf, u64)> = Vec::new();
            if history {
                let wanted: Vec<&Job> = chosen.iter().map(|at| &archive.jobs[*at].job).collect();
                let earlier = earlier(&archive.replaced, &wanted);
                out.earlier = earlier.len();
                places.extend(
                    earlier
                        .iter()
                        .map(|at| archive.replaced_places[*at].clone()),
                );
            }
            places.extend(chosen.iter().map(|at| archive.places[*at].clone()));
            for line in store::lines_at(workbench.disk.as_ref(), &places)? {
                out.text.push_str(line.trim());
                out.text.push('\n');
            }
        }
    }
    Ok(out)
}

/// Returns which of `replaced` the `wanted` jobs correct, by way of other corrections too.
fn earlier(replaced: &[JobRecord], wanted: &[&Job]) -> Vec<usize> {
    let mut by_id: HashMap<&str, Vec<usize>> = HashMap::new();
    for (at, record) in replaced.iter().enumerate() {
        by_id.entry(&record.job.id).or_default().push(at);
    }
    let mut names: Vec<&str> = wanted
        .iter()
        .filter_map(|j| j.corrects.as_deref())
        .collect();
    let mut found = BTreeSet::new();
    while let Some(name) = names.pop() {
        for at in by_id.get(name).into_iter().flatten() {
            if found.insert(*at) {
                names.extend(replaced[*at].job.corrects.as_deref());
            }
        }
    }
    found.into_iter().collect()
}

/// Writes an export into `file`; one that is there is replaced only when told so.
pub fn write(
    workbench: &Workbench,
    file: &Path,
    text: &str,
    replace: bool,
) -> Result<(), AppError> {
    let file = backup::plain(file);
    let root = backup::plain(workbench.folder.root());
    export_file::write(workbench.disk.as_ref(), &root, &file, text, replace)?;
    Ok(())
}

/// Refuses `file` where something is to be written over it unasked and that would do harm: in the shop, over
/// one of the files that are `read`, or over what is no plain file. All paths are whole.
pub fn may_replace(
    workbench: &Workbench,
    root: &Path,
    file: &Path,
    read: &[&Path],
) -> Result<(), AppError> {
    let read: Vec<PathBuf> = read.iter().map(|path| backup::plain(path)).collect();
    let read: Vec<&Path> = read.iter().map(PathBuf::as_path).collect();
    let (root, file) = (backup::plain(root), backup::plain(file));
    export_file::may_replace(workbench.disk.as_ref(), &root, &file, &read)?;
    Ok(())
}

/// Returns rows as a sheet: commas, quotes where needed, CR LF (RFC 4180); no cell is a formula.
pub(crate) fn sheet<'a>(columns: &[&str], rows: impl Iterator<Item = &'a [String]>) -> String {
    let mut out = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let written = "a vector takes every byte";
    out.write_record(columns).expect(written);
    for row in rows {
        let cells = row.iter().map(|cell| guard(&clean(cell)));
        out.write_record(cells.collect::<Vec<_>>()).expect(written);
    }
    let bytes = out.into_inner().expect(written);
    String::from_utf8(bytes).expect("cells are text")
}

/// Returns one job as the cells of [`COLUMNS`].
fn row(record: &JobRecord) -> [String; 14] {
    let job = &record.job;
    let text = |field: &Option<String>| field.clone().unwrap_or_default();
    let note = record.extra("note").and_then(|n| n.as_str());
    let outcome = match (job.outcome, &job.no_fix_reason, job.bounce_cause) {
        (Outcome::NoFix, Some(why), _) => format!("no-fix, {why}"),
        (outcome, _, Some(cause)) => format!("{}, {}", outcome.word(), cause.word()),
        (outcome, _, None) => outcome.word().to_owned(),
    };
    [
        job.job.clone(),
        job.closed_on.to_string(),
        text(&job.closed_by),
        job.board.clone(),
        text(&job.rev),
        job.complaint.join(", "),
        bench_note::findings(job),
        text(&job.family),
        bench_note::actions(job, &[Role::TheFix, Role::AlsoDone]),
        bench_note::actions(job, &[Role::TriedNoEffect, Role::MadeWorse]),
        outcome,
        text(&job.proof),
        job.effort
            .minutes
            .map_or_else(String::new, |m| m.to_string()),
        note.unwrap_or_default().to_owned(),
    ]
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::domain::circuit::Circuits;
    use crate::domain::intake::board_facts::BoardFacts;
    use crate::domain::intake::propose;
    use crate::domain::intake::rows::End;
    use crate::domain::intake::rows::Facts;
    use crate::domain::intake::rows::Taker;
    use crate::domain::intake::sheet::Cell;
    use crate::domain::intake::sheet::Row;
    use crate::domain::intake::words::Words;
    use crate::domain::job::UNLOCATED;
    use crate::store::record::job as record;
    use crate::store::record::job::JobRules;

    #[test]
    fn a_sheet_is_read_back_cell_by_cell_by_a_plain_reader() {
        let cells = [
            "=HYPERLINK(\"a\",\"b\")",
            "a, \"b\"",
            "-0.5",
            "-12V",
            "",
            "kΩ;é",
            "'90s",
        ];
        let row: Vec<String> = cells.iter().map(|c| (*c).to_owned()).collect();
        let text = sheet(
            &["a", "b", "c", "d", "e", "f", "g"],
            [row.as_slice()].into_iter(),
        );
        assert!(text.starts_with("a,b,c,d,e,f,g\r\n"), "{text}");
        assert!(
            text.contains("\"'=HYPERLINK(\"\"a\"\",\"\"b\"\")\",\"a, \"\"b\"\"\",-0.5,'-12V,,")
        );
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        let back = rows.records().next().expect("a row").expect("well formed");
        let back: Vec<&str> = back.iter().map(crate::domain::text::unguard).collect();
        assert_eq!(back, cells);
    }

    #[test]
    fn control_characters_stay_behind() {
        let row = ["a\u{1b}[31m\tb\nc\u{202e}".to_owned()];
        let text = sheet(&["x"], [row.as_slice()].into_iter());
        assert_eq!(text, "x\r\na\u{fffd}[31m b c\u{fffd}\r\n");
    }

    #[test]
    fn a_chain_of_corrections_is_followed_to_its_first_line() {
        let line = |id: &str, corrects: Option<&str>| Job {
            id: id.to_owned(),
            corrects: corrects.map(str::to_owned),
            ..Job::empty("W-1", "x", Outcome::Held)
        };
        let replaced = [("a", None), ("z", None), ("b", Some("a"))];
        let replaced = replaced.map(|(id, corrects)| JobRecord::new(line(id, corrects)));
        let counts = line("c", Some("b"));
        assert_eq!(earlier(&replaced, &[&counts]), [0, 2]);
        assert_eq!(earlier(&replaced, &[&line("d", None)]), [0; 0]);
        // A correction without an id of its own names itself.
        assert_eq!(earlier(&replaced, &[&line("a", Some("a"))]), [0]);
    }

    /// Rows of a sheet as an import sees them.
    fn rows(text: &str) -> Vec<Row> {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes());
        let cells = |row: csv::StringRecord| row.iter().map(|c| Cell::Text(c.to_owned())).collect();
        (1..)
            .zip(reader.records())
            .map(|(number, row)| Row {
                number,
                cells: cells(row.expect("well formed")),
                remarks: Vec::new(),
            })
            .collect()
    }

    #[test]
    fn an_import_knows_every_column_of_the_sheet_and_takes_no_row_for_something_else() {
        let circuits = Circuits::with_shop(&[], false);
        let boards = [
            "petrel-p4",
            "skua-e6",
            "tern-h3",
            "dunlin-s20",
            "gannet-a2",
            "fulmar-g5",
        ];
        let names: BTreeMap<String, String> = boards
            .map(|b| (b.to_owned(), b.to_owned()))
            .into_iter()
            .collect();
        let known = names.keys().cloned().collect();
        let rules = JobRules {
            circuits: &circuits,
            boards: &known,
        };
        let jobs: Vec<JobRecord> = include_str!("../../../demo-data/jobs/practice.jsonl")
            .lines()
            .filter_map(|line| record::read(line, rules).0)
            .collect();
        let cells: Vec<[String; 14]> = jobs.iter().map(row).collect();
        let text = sheet(&COLUMNS, cells.iter().map(<[String; 14]>::as_slice));
        let rows = rows(&text);
        let words = Words::default();
        let proposal = propose::propose(&rows[..300], &words, &[], &names);
        let fields: Vec<String> = proposal
            .mapping
            .columns
            .iter()
            .map(|c| c.field.word().into_owned())
            .collect();
        assert_eq!(
            fields.join(" "),
            "job closed-on closed-by board revision complaint findings family fix tried outcome proof \
             minutes everything"
        );
        let facts: BTreeMap<String, BoardFacts> = BTreeMap::new();
        let mut taker = Taker::new(
            &proposal.mapping,
            Facts {
                words: &words,
                boards: &facts,
                names: &names,
                circuits: &circuits,
                unit_key: None,
                source: "jobs.csv",
                today: chrono::NaiveDate::from_ymd_opt(2026, 11, 20).unwrap(),
            },
        );
        for (row, record) in rows[1..].iter().zip(&jobs) {
            let job = &record.job;
            let draft = match taker.take(row).end {
                End::Taken(draft) => *draft,
                End::NeedsPerson { suggested, .. } => suggested.facts,
                End::Skipped { why } => panic!("{}: {why}", job.job),
            };
            assert_eq!(draft.number.as_ref(), Some(&job.job));
            assert_eq!(draft.closed_on, Some(job.closed_on));
            assert_eq!(draft.closed_by, job.closed_by);
            assert_eq!(draft.board.as_ref(), Some(&job.board));
            let located = |f: &Option<String>| f.clone().filter(|f| f != UNLOCATED);
            assert_eq!(located(&draft.family), located(&job.family), "{}", job.job);
            assert_eq!(draft.effort.minutes, job.effort.minutes, "{}", job.job);
        }
    }
}
