//! What was taken in before: marks of rows and numbers of jobs, gathered from the lines themselves.
//!
//! The archive is not loaded for it: job lines are only looked through for their number and mark, so
//! that a second import of a large sheet costs no more than the first. A job line in another layout
//! than the program's own is read as JSON.

use std::collections::HashMap;
use std::collections::HashSet;
use std::path::Path;

use memchr::memmem;
use serde_json::Map;
use serde_json::Value;

use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::intake::rows_file;
use crate::store::journal;
use crate::store::paths::ShopFolder;
use crate::store::sealed;

/// Where a row went before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Went {
    /// It became the job of this number.
    Job(Box<str>),
    /// It waits for a person, or a person has decided about it.
    Backlog,
}

/// What was taken in before.
#[derive(Debug, Default)]
pub struct Before {
    /// Where each row went, by its mark.
    pub rows: HashMap<Box<str>, Went>,
    /// Numbers of the jobs in the archive.
    pub numbers: HashSet<Box<str>>,
    /// Sheets that have a file in intake/: their name and the mark of their content.
    pub sheets: HashSet<(String, String)>,
}

/// Looks through jobs/ and intake/.
pub fn before(disk: &dyn Disk, folder: &ShopFolder) -> Result<Before, StoreError> {
    let mut found = Before::default();
    let mut paths = journal::list_or_empty(disk, &folder.jobs())?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "jsonl"));
    for path in paths {
        lines(disk, &path, &mut |line| job_line(line, &mut found))?;
    }
    for path in rows_file::list(disk, folder)? {
        lines(disk, &path, &mut |line| rows_line(line, &mut found))?;
    }
    Ok(found)
}

/// Hands out the lines of a file without holding more than a step of it.
fn lines(disk: &dyn Disk, path: &Path, take: &mut dyn FnMut(&[u8])) -> Result<(), StoreError> {
    let mut rest: Vec<u8> = Vec::new();
    disk.read_steps(path, 0, &mut |step| {
        let Some(last) = memchr::memrchr(b'\n', step) else {
            rest.extend_from_slice(step);
            return true;
        };
        let mut whole = &step[..last];
        if !rest.is_empty() {
            let first = memchr::memchr(b'\n', step).unwrap_or(last);
            rest.extend_from_slice(&step[..first]);
            take(&rest);
            rest.clear();
            whole = step.get(first + 1..last).unwrap_or_default();
        }
        whole.split(|b| *b == b'\n').for_each(&mut *take);
        rest.extend_from_slice(&step[last + 1..]);
        true
    })
    .map_err(StoreError::io("read", path))?;
    take(&rest);
    Ok(())
}

fn job_line(line: &[u8], found: &mut Before) {
    let line = line.trim_ascii();
    // A line cut off while it was written is no job.
    if !line.ends_with(b"}") {
        return;
    }
    let number = line
        .starts_with(b"{\"v\":")
        .then(|| value_of(b"\"job\":\"", &line[..line.len().min(240)]))
        .flatten();
    if let Some(number) = number {
        if let Some(mark) = value_of(b"\"row\":\"", line) {
            took(found, mark, number);
        }
        found.numbers.insert(number.into());
    } else if let Ok(map) = serde_json::from_slice::<Map<String, Value>>(line) {
        let text = |key: &str| map.get(key).and_then(Value::as_str);
        if let Some(number) = text("job") {
            if let Some(mark) = text("row") {
                took(found, mark, number);
            }
            found.numbers.insert(number.into());
        }
    }
}

fn took(found: &mut Before, mark: &str, number: &str) {
    // A row that a person split has its part behind a slash.
    let mark = mark.split_once('/').map_or(mark, |(row, _)| row);
    found.rows.insert(mark.into(), Went::Job(number.into()));
}

fn rows_line(line: &[u8], found: &mut Before) {
    let Some(text) = sealed::unseal(line.trim_ascii()) else {
        return;
    };
    if text.starts_with("{\"v\":1,\"row\":\"") {
        if let Some(mark) = value_of(b"\"row\":\"", text.as_bytes()) {
            found.rows.entry(mark.into()).or_insert(Went::Backlog);
        }
    } else if let Ok(map) = serde_json::from_str::<Map<String, Value>>(text) {
        let text = |key: &str| map.get(key).and_then(Value::as_str).map(str::to_owned);
        if let (Some(sheet), Some(content)) = (text("sheet"), text("content")) {
            found.sheets.insert((sheet, content));
        } else if let Some(mark) = text("row") {
            found.rows.entry(mark.into()).or_insert(Went::Backlog);
        }
    }
}

/// Returns the plain text behind `key`; none where it holds an escape. In JSON a quote inside a text
/// has a backslash before it, so the key stands nowhere but in its own place.
fn value_of<'a>(key: &[u8], line: &'a [u8]) -> Option<&'a str> {
    let from = memmem::find(line, key)? + key.len();
    let len = memchr::memchr2(b'"', b'\\', &line[from..])?;
    (line[from + len] == b'"')
        .then(|| std::str::from_utf8(&line[from..from + len]).ok())
        .flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;

    fn look(files: &[(&str, String)]) -> Before {
        let disk = ModelDisk::new();
        for (path, text) in files {
            disk.put(Path::new(path), text.as_bytes());
        }
        before(&disk, &ShopFolder::new("/shop")).unwrap()
    }

    #[test]
    fn rows_and_numbers_are_found_in_any_layout() {
        let mine = r#"{"v":1,"id":"b7-1","job":"W-1","board":"x","raw":{"Fault":"\"row\":\"no\""},"row":"aa"}"#;
        let theirs = r#" { "board": "x", "row" : "bb", "job" : "W-2" }"#;
        let odd = r#"{"v":1,"id":"b7-3","job":"W \"3\"","row":"cc"}"#;
        let torn = r#"{"v":1,"id":"b7-4","job":"W-4","row":"dd","board":"#;
        let text = [mine, theirs, odd, torn].join("\r\n");
        let found = look(&[("/shop/jobs/a.jsonl", text)]);
        let mut rows: Vec<_> = found.rows.iter().map(|(m, w)| (&**m, w.clone())).collect();
        rows.sort_by_key(|(mark, _)| *mark);
        let job = |number: &str| Went::Job(number.into());
        assert_eq!(
            rows,
            [
                ("aa", job("W-1")),
                ("bb", job("W-2")),
                ("cc", job("W \"3\""))
            ]
        );
        assert_eq!(found.numbers.len(), 3);
    }

    #[test]
    fn a_damaged_row_of_the_backlog_counts_as_not_taken() {
        let row = sealed::seal(r#"{"v":1,"row":"aa","source":"a.csv:2"}"#);
        let hit = sealed::seal(r#"{"v":1,"row":"bb","source":"a.csv:3"}"#).replace(":3", ":4");
        let head = sealed::seal(r#"{"v":1,"sheet":"a.csv","content":"77"}"#);
        let text = [head, row, hit].join("\n") + "\n";
        let found = look(&[("/shop/intake/a-1.rows.jsonl", text)]);
        assert_eq!(found.rows.get("aa"), Some(&Went::Backlog));
        assert_eq!(found.rows.len(), 1);
        assert_eq!(found.sheets.len(), 1);
    }

    #[test]
    fn lines_longer_than_a_step_stay_whole() {
        let long = "x".repeat(3 << 20);
        let text = format!(
            "{{\"v\":1,\"job\":\"W-1\",\"note\":\"{long}\",\"row\":\"aa\"}}\n{{\"v\":1,\"job\":\"W-2\",\"row\":\"bb\"}}"
        );
        let folder = tempfile::tempdir().unwrap();
        let jobs = folder.path().join("jobs");
        crate::store::disk::RealDisk.make_folder(&jobs).unwrap();
        crate::store::disk::RealDisk
            .create_new(&jobs.join("a.jsonl"), text.as_bytes())
            .unwrap();
        let found = before(
            &crate::store::disk::RealDisk,
            &ShopFolder::new(folder.path()),
        )
        .unwrap();
        assert_eq!(found.rows.len(), 2);
    }
}
