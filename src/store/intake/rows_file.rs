//! `intake/<sheet>-<mark>.rows.jsonl`: the rows of one sheet that need a person, each with what the
//! program read in it.
//!
//! The first line is the head of the sheet, every further line one row; all are sealed. A file is
//! written once, whole, and never changed: what a person decides about a row is written elsewhere.

use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::SecondsFormat;
use chrono::Utc;
use serde::Serialize;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::ids;
use crate::domain::intake::draft::Suggested;
use crate::domain::job::Flag;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::fault::Weight;
use crate::store::journal;
use crate::store::paths::ShopFolder;
use crate::store::record::draft;
use crate::store::record::job;
use crate::store::record::job_write;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;
use crate::store::sealed;
use crate::store::text_lines::json_line;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// How the names of these files end.
pub const ENDING: &str = ".rows.jsonl";

/// What a sheet was, and how its rows ended when it was imported; the three ends add up to `rows`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// The sheet: `file.csv`, `book.xlsx#Bay 1`.
    pub sheet: String,
    /// Mark of its headers, by which the mapping is found again.
    pub shape: String,
    /// Mark of everything that was in it.
    pub content: String,
    /// Rows of the file, headers and blank ones counted.
    pub rows: u64,
    /// Rows that became jobs.
    pub taken: u64,
    /// Rows that wait for a person: those of this file.
    pub needs_person: u64,
    /// Rows left out, each with its reason in the report.
    pub skipped: u64,
    /// When it was imported.
    pub at: DateTime<Utc>,
    /// Initials of who imported it, where they were given.
    pub by: Option<String>,
}

/// A row that needs a person.
#[derive(Clone, Debug, PartialEq)]
pub struct WaitingRow {
    /// Mark of its content: the same row has the same mark in every sheet.
    pub mark: String,
    /// Where it stands: `file.csv:17`.
    pub source: String,
    /// What a person has to decide.
    pub why: Vec<Flag>,
    /// Its cells: header and words, as written; a serial is never among them.
    pub cells: Vec<(String, String)>,
    /// What the program read in it.
    pub suggestion: Suggested,
}

/// One file as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RowsFile {
    /// Which file.
    pub path: PathBuf,
    /// Its first line; absent where that is damaged.
    pub head: Option<Head>,
    /// Its rows, in the order of the sheet.
    pub rows: Vec<WaitingRow>,
}

/// Returns the name of the file for a sheet; `marks` are those of the rows in it.
pub fn file_name<'a>(head: &'a Head, marks: impl IntoIterator<Item = &'a str>) -> String {
    let mark = ids::short_mark(
        [head.sheet.as_str(), &head.content]
            .into_iter()
            .chain(marks),
    );
    let slug = ids::slug(&head.sheet);
    let name = if slug.is_empty() { "sheet" } else { &slug };
    format!("{name}-{mark}{ENDING}")
}

/// Returns the sealed first line, without its line break.
pub fn write_head(head: &Head) -> String {
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| out.insert(key.to_owned(), value);
    put("v", VERSION.into());
    put("sheet", head.sheet.as_str().into());
    put("shape", head.shape.as_str().into());
    put("content", head.content.as_str().into());
    put("rows", head.rows.into());
    put("taken", head.taken.into());
    put("needs_person", head.needs_person.into());
    put("skipped", head.skipped.into());
    let at = head.at.to_rfc3339_opts(SecondsFormat::Millis, true);
    put("at", at.into());
    put("by", json!(head.by));
    sealed::seal(&Value::Object(out).to_string())
}

/// Returns the sealed line of a row, without its line break.
pub fn write_row(row: &WaitingRow) -> String {
    let suggestion = Value::Object(draft::write_suggested(&row.suggestion));
    write_row_with(row, &suggestion)
}

/// Returns the sealed line of a row whose suggestion is written already.
pub fn write_row_with(row: &WaitingRow, suggestion: &Value) -> String {
    let line = RowLine {
        v: VERSION,
        row: &row.mark,
        source: &row.source,
        why: row.why.iter().map(job_write::write_flag).collect(),
        cells: &row.cells,
        suggestion,
    };
    sealed::seal(&json_line(&line))
}

/// One row as it is written; what it holds is borrowed, because a large sheet has many.
#[derive(Serialize)]
struct RowLine<'a> {
    v: u64,
    row: &'a str,
    source: &'a str,
    why: Vec<Map<String, Value>>,
    cells: &'a [(String, String)],
    suggestion: &'a Value,
}

/// Reads one file; what is damaged is named and left out.
pub fn read(bytes: &[u8], path: &Path) -> (RowsFile, Vec<Fault>) {
    let scan = sealed::scan(bytes);
    let mut faults: Vec<Fault> = scan
        .damage
        .iter()
        .map(|damage| journal::damage_fault(damage, path))
        .collect();
    let mut file = RowsFile {
        path: path.to_owned(),
        ..RowsFile::default()
    };
    for line in &scan.lines {
        let mut problems = Vec::new();
        match strict::object(line.text) {
            Err(problem) => problems.push(problem),
            Ok(map) if map.contains_key("sheet") => {
                file.head = head(&mut Reader::new(&map, &mut problems));
            }
            Ok(map) => file.rows.extend(row(&map, &mut problems)),
        }
        faults.extend(problems.into_iter().map(|p| p.at(path, line.number)));
    }
    let rows = u64::try_from(file.rows.len()).unwrap_or(u64::MAX);
    match &file.head {
        None => {
            let todo = "import the sheet again: rows that are here are not taken twice";
            faults.push(Fault::damage(path, "the first line is missing", todo));
        }
        Some(head) if head.needs_person != rows && faults.is_empty() => {
            let why = format!("{} rows are to be here and {rows} are", head.needs_person);
            let todo = "restore the file from a backup, or import the sheet again";
            faults.push(Fault::damage(path, why, todo));
        }
        Some(_) => {}
    }
    (file, faults)
}

/// Returns the paths of these files, in the order of their names.
pub fn list(disk: &dyn Disk, folder: &ShopFolder) -> Result<Vec<PathBuf>, StoreError> {
    let mut paths = journal::list_or_empty(disk, &folder.intake())?;
    paths.retain(|path| is_rows_file(path));
    Ok(paths)
}

/// Tells whether a file has the name of one of these.
pub fn is_rows_file(path: &Path) -> bool {
    let name = path.file_name().and_then(|n| n.to_str());
    name.is_some_and(|name| !name.starts_with('.') && name.ends_with(ENDING))
}

/// Reads every sheet that was imported, in the order of the file names.
pub fn load(
    disk: &dyn Disk,
    folder: &ShopFolder,
) -> Result<(Vec<RowsFile>, Vec<Fault>), StoreError> {
    let mut files = Vec::new();
    let mut faults = Vec::new();
    for path in list(disk, folder)? {
        let bytes = disk.read(&path).map_err(StoreError::io("read", &path))?;
        let (file, found) = read(&bytes, &path);
        files.push(file);
        faults.extend(found);
    }
    Ok((files, faults))
}

fn head(from: &mut Reader<'_, '_>) -> Option<Head> {
    newer(from);
    let at = from.need_text("at", "say when it was imported");
    let moment = at.as_ref().and_then(|at| at.parse().ok());
    if at.is_some() && moment.is_none() {
        from.damage("at", "no moment", "write it as 2026-04-02T07:30:00Z");
    }
    Some(Head {
        sheet: from.need_text("sheet", "name the sheet")?,
        shape: from.text("shape").unwrap_or_default(),
        content: from.text("content").unwrap_or_default(),
        rows: from.count("rows")?,
        taken: from.count("taken")?,
        needs_person: from.count("needs_person")?,
        skipped: from.count("skipped")?,
        at: moment?,
        by: from.text("by"),
    })
}

fn row(map: &Map<String, Value>, problems: &mut Vec<Problem>) -> Option<WaitingRow> {
    let mut from = Reader::new(map, problems);
    newer(&mut from);
    let mark = from.need_text("row", "give the mark of the row");
    let source = from.need_text("source", "say where the row stands");
    let why = from.each("why", job::flag);
    let mut cells = Vec::new();
    for (i, cell) in from.list("cells").iter().enumerate() {
        match cell.as_array().map(Vec::as_slice) {
            Some([Value::String(header), Value::String(words)]) => {
                cells.push((header.clone(), words.clone()));
            }
            _ => from.damage(
                &format!("cells[{i}]"),
                "no pair of header and words",
                "write [\"header\", \"words\"]",
            ),
        }
    }
    let suggestion = match map.get("suggestion") {
        Some(Value::Object(suggestion)) => {
            let (suggested, more) = draft::read_suggested(suggestion);
            // What a suggestion only lacks is why its row waits.
            problems.extend(more.into_iter().filter(|p| p.weight == Weight::Damage));
            suggested
        }
        _ => Suggested::default(),
    };
    Some(WaitingRow {
        mark: mark?,
        source: source?,
        why,
        cells,
        suggestion,
    })
}

fn newer(from: &mut Reader<'_, '_>) {
    let v = from.count("v").unwrap_or(VERSION);
    if v > VERSION {
        let why = format!("format {v} is newer than this program knows");
        from.warn("v", why, "update this program");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intake::draft::Draft;
    use crate::domain::job::Outcome;

    fn head_of(needs_person: u64) -> Head {
        Head {
            sheet: "old jobs 2019.xlsx#Bay 1".to_owned(),
            shape: "1f0c22aa".to_owned(),
            content: "77d0e310".to_owned(),
            rows: 60,
            taken: 31,
            needs_person,
            skipped: 9,
            at: "2026-04-02T07:31:05.120Z".parse().unwrap(),
            by: Some("mk".to_owned()),
        }
    }

    fn row_at(n: u64) -> WaitingRow {
        WaitingRow {
            mark: format!("{n:016x}"),
            source: format!("old jobs 2019.xlsx#Bay 1:{n}"),
            why: vec![Flag {
                field: "outcome".to_owned(),
                why: "no outcome".to_owned(),
                raw: "see above".to_owned(),
            }],
            cells: vec![("Fault".to_owned(), "no \u{1b}[2J power".to_owned())],
            suggestion: Suggested {
                facts: Draft {
                    number: Some("W-1".to_owned()),
                    ..Draft::default()
                },
                maybe: Draft {
                    outcome: Some(Outcome::Held),
                    ..Draft::default()
                },
            },
        }
    }

    fn text(needs_person: u64, rows: &[WaitingRow]) -> String {
        let lines = std::iter::once(write_head(&head_of(needs_person)));
        let lines: Vec<String> = lines.chain(rows.iter().map(write_row)).collect();
        lines.join("\n") + "\n"
    }

    #[test]
    fn a_sheet_comes_back_as_it_was() {
        let rows = [row_at(17), row_at(18)];
        let path = Path::new("intake/x.rows.jsonl");
        let (file, faults) = read(text(2, &rows).as_bytes(), path);
        assert_eq!(faults, []);
        assert_eq!(file.head, Some(head_of(2)));
        assert_eq!(file.rows, rows);
    }

    #[test]
    fn a_flipped_byte_costs_its_row_only_and_is_named() {
        let whole = text(2, &[row_at(17), row_at(18)]);
        let (file, faults) = read(
            whole.replacen("see above", "see abovE", 1).as_bytes(),
            Path::new("intake/x.rows.jsonl"),
        );
        assert_eq!(file.rows, [row_at(18)]);
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].line, Some(2));
    }

    #[test]
    fn a_row_that_is_not_there_is_named() {
        let (_, faults) = read(text(2, &[row_at(17)]).as_bytes(), Path::new("x.rows.jsonl"));
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert!(faults[0].why.contains("2 rows are to be here and 1 are"));
    }

    #[test]
    fn the_name_of_a_sheet_can_name_no_other_folder() {
        let mut head = head_of(0);
        for (sheet, start) in [
            ("../../etc/Über Liste.csv", "etc-ueber-liste-csv-"),
            ("..", "sheet-"),
            ("old jobs 2019.xlsx#Bay 1", "old-jobs-2019-xlsx-bay-1-"),
        ] {
            sheet.clone_into(&mut head.sheet);
            let name = file_name(&head, ["a"]);
            assert!(name.starts_with(start), "{name}");
            assert!(name.ends_with(ENDING) && name.len() < 64, "{name}");
            assert_ne!(name, file_name(&head, ["b"]));
        }
    }
}
