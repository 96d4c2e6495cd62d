//! Everything that waits for a person, out of the files of rows: each row once, with its sheets.

use std::collections::BTreeMap;
use std::collections::HashSet;

use crate::domain::intake::waiting::SheetTally;
use crate::domain::intake::waiting::WaitingRow;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::intake::rows_file;
use crate::store::intake::rows_file::Head;
use crate::store::intake::rows_file::RowsFile;
use crate::store::paths::ShopFolder;

/// Everything that waits, with the sheets it came from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Waiting {
    /// Sheets by name; what was imported in several goes is added up.
    pub sheets: Vec<SheetTally>,
    /// Rows that need a person, each once, in the order of sheets and rows.
    pub rows: Vec<WaitingRow>,
    /// Damage found on the way.
    pub faults: Vec<Fault>,
}

/// Reads all rows that need a person.
pub fn load(disk: &dyn Disk, shop: &ShopFolder) -> Result<Waiting, StoreError> {
    let (files, faults) = rows_file::load(disk, shop)?;
    let mut sheets: BTreeMap<String, SheetTally> = BTreeMap::new();
    for head in files.iter().filter_map(|file| file.head.as_ref()) {
        tally(&mut sheets, head);
    }
    // The same words in two sheets are one row: they are never taken twice.
    let mut seen = HashSet::new();
    let rows = files.into_iter().flat_map(|file: RowsFile| file.rows);
    let rows = rows
        .filter(|row| seen.insert(row.mark.clone()))
        .map(|row| WaitingRow {
            row: row.mark,
            source: row.source,
            why: row.why,
            cells: row.cells,
            suggestion: row.suggestion,
        })
        .collect();
    Ok(Waiting {
        sheets: sheets.into_values().collect(),
        rows,
        faults,
    })
}

fn tally(sheets: &mut BTreeMap<String, SheetTally>, head: &Head) {
    let count = |n: u64| usize::try_from(n).unwrap_or(usize::MAX);
    let sheet = sheets.entry(head.sheet.clone()).or_default();
    sheet.sheet.clone_from(&head.sheet);
    sheet.rows = sheet.rows.max(count(head.rows));
    sheet.taken = sheet.taken.saturating_add(count(head.taken));
    sheet.needs_person = sheet.needs_person.saturating_add(count(head.needs_person));
    let left = sheet.rows.saturating_sub(sheet.taken);
    sheet.skipped = left.saturating_sub(sheet.needs_person);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;

    fn head(rows: u64, taken: u64, needs_person: u64) -> Head {
        Head {
            sheet: "old-bay.csv".to_owned(),
            shape: "s1".to_owned(),
            content: format!("{rows}"),
            rows,
            taken,
            needs_person,
            skipped: rows - taken - needs_person,
            at: "2026-11-20T08:00:00Z".parse().unwrap(),
            by: None,
        }
    }

    fn row(mark: &str) -> String {
        rows_file::write_row(&rows_file::WaitingRow {
            mark: mark.to_owned(),
            source: "old-bay.csv:17".to_owned(),
            why: Vec::new(),
            cells: vec![("Fault".to_owned(), "no power".to_owned())],
            suggestion: crate::domain::intake::draft::Suggested::default(),
        })
    }

    #[test]
    fn a_sheet_imported_in_two_goes_adds_up_and_the_same_words_come_once() {
        let disk = ModelDisk::new();
        let shop = ShopFolder::new("/shop");
        let first = [
            rows_file::write_head(&head(60, 31, 2)),
            row("r1"),
            row("r2"),
        ];
        let second = [rows_file::write_head(&head(70, 5, 2)), row("r2"), row("r3")];
        for (name, lines) in [("a", first), ("b", second)] {
            let path = shop.intake().join(format!("{name}.rows.jsonl"));
            disk.put(&path, (lines.join("\n") + "\n").as_bytes());
        }
        let found = load(&disk, &shop).unwrap();
        assert_eq!(found.faults, []);
        let marks: Vec<&str> = found.rows.iter().map(|r| r.row.as_str()).collect();
        assert_eq!(marks, ["r1", "r2", "r3"]);
        let [sheet] = found.sheets.as_slice() else {
            panic!("{:?}", found.sheets);
        };
        assert_eq!((sheet.rows, sheet.taken, sheet.skipped), (70, 36, 30));
    }
}
