//! A packed file read as a workbook: guarded, read by its kind, its worksheets named.

use std::collections::HashSet;

use crate::domain::text::clean;
use crate::store::sheet::book::FileKind;
use crate::store::sheet::cells::Cells;
use crate::store::sheet::error::Misread;
use crate::store::sheet::error::SheetProblem;
use crate::store::sheet::guard;
use crate::store::sheet::ods;
use crate::store::sheet::xlsx;

/// The name of a worksheet is kept up to this many characters; XLSX allows 31.
const MOST_NAME: usize = 60;

/// A worksheet as it was read.
#[derive(Debug)]
pub(crate) struct Worksheet {
    /// Its name as the file has it; once [`read`] has returned, fit for a terminal and no other's.
    pub(crate) name: String,
    /// It is not shown where the sheet came from.
    pub(crate) hidden: bool,
    /// What it holds.
    pub(crate) cells: Cells,
}

/// What a workbook holds.
#[derive(Debug)]
pub(crate) struct Workbook {
    /// Which kind it is.
    pub(crate) kind: FileKind,
    /// Its worksheets in their order.
    pub(crate) sheets: Vec<Worksheet>,
    /// What a person should know of it.
    pub(crate) told: Vec<String>,
}

/// Reads a packed file.
pub(crate) fn read(bytes: &[u8]) -> Result<Workbook, Misread> {
    let package = guard::check(bytes)?;
    let mut told = Vec::new();
    let mut sheets = match package.kind {
        FileKind::Xlsx => xlsx::read(bytes, package.merges, &mut told)?,
        _ => ods::read(bytes)?,
    };
    if sheets.iter().all(|sheet| sheet.cells.is_empty()) {
        return Err(SheetProblem::Empty.into());
    }
    name(&mut sheets);
    let kind = if package.kind == FileKind::Ods {
        "ODS"
    } else {
        "XLSX"
    };
    told.insert(
        0,
        match sheets.len() {
            1 => format!("{kind} workbook, 1 worksheet"),
            n => format!("{kind} workbook, {n} worksheets"),
        },
    );
    for sheet in &sheets {
        tell(sheet, &mut told);
    }
    Ok(Workbook {
        kind: package.kind,
        sheets,
        told,
    })
}

/// Returns the name of a worksheet, fit for a terminal.
pub(crate) fn sheet_name(name: &str) -> String {
    let short: String = name.chars().take(MOST_NAME).collect();
    clean(&short)
}

/// Makes the names fit for a terminal and each different: a row is known by them.
fn name(sheets: &mut [Worksheet]) {
    let mut taken = HashSet::new();
    for sheet in sheets {
        let plain = sheet_name(&sheet.name);
        let mut name = plain.clone();
        let mut n = 2;
        while !taken.insert(name.clone()) {
            name = format!("{plain} ({n})");
            n += 1;
        }
        sheet.name = name;
    }
}

fn tell(sheet: &Worksheet, told: &mut Vec<String>) {
    const MOST: usize = 3;
    let name = &sheet.name;
    if sheet.hidden {
        told.push(format!(
            "worksheet {name} is hidden, and is read like the others"
        ));
    }
    if sheet.cells.has_merged() {
        told.push(format!("worksheet {name}: merged cells are filled in"));
    }
    let gaps = sheet.cells.gaps();
    for (first, last) in gaps.iter().take(MOST) {
        told.push(format!(
            "worksheet {name}: rows {first} to {last} are empty and passed over"
        ));
    }
    if MOST < gaps.len() {
        told.push(format!(
            "worksheet {name}: {} more such gaps",
            gaps.len() - MOST
        ));
    }
}
