//! The shop itself and its boards.

use std::collections::HashSet;
use std::path::Path;
use std::path::PathBuf;

use crate::domain::circuit::Circuits;
use crate::domain::job::Board;
use crate::domain::shop::BoardEntry;
use crate::domain::shop::Shop;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::journal;
use crate::store::lock;
use crate::store::lock::Holder;
use crate::store::paths::ShopFolder;
use crate::store::record::board;
use crate::store::record::problem::Problem;
use crate::store::record::shop;
use crate::store::record::shop::ShopRecord;
use crate::store::side_by_side;

/// So many boards are read by several threads.
const MANY: usize = 16;

/// Reads shop.json. With a mistake in it nothing else can be trusted (days, boards, families):
/// [`StoreError::Damaged`] then names every one.
pub fn load_shop(
    disk: &dyn Disk,
    folder: &ShopFolder,
) -> Result<(ShopRecord, Vec<Fault>), StoreError> {
    let path = folder.shop_json();
    let (record, faults) = read_text(disk, &path, shop::read)?;
    match record.flatten() {
        Some(record) => Ok((record, faults)),
        None => Err(StoreError::Damaged { path, faults }),
    }
}

/// Changes shop.json while nobody else may and returns what it says now; what this program does not
/// know stays. Nothing is written where `change` changes nothing.
pub fn change_shop(
    disk: &dyn Disk,
    folder: &ShopFolder,
    holder: &Holder,
    change: impl FnOnce(&mut ShopRecord),
) -> Result<ShopRecord, StoreError> {
    let path = folder.shop_json();
    let _guard = lock::take(disk, &path, holder)?;
    let (mut record, _) = load_shop(disk, folder)?;
    let before = record.clone();
    change(&mut record);
    if record != before {
        let text = record.to_text().map_err(|newer| StoreError::Newer {
            path: path.clone(),
            v: newer.v,
        })?;
        disk::replace_held(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))?;
    }
    Ok(record)
}

/// Reads the boards of the shop, in the order of shop.json; a board needs no file of its own.
pub fn load_boards(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shop: &Shop,
    circuits: &Circuits,
) -> Result<(Vec<Board>, Vec<Fault>), StoreError> {
    let mut boards = Vec::new();
    let mut faults = Vec::new();
    let present = journal::list_or_empty(disk, &folder.boards())?;
    let there: HashSet<&PathBuf> = present.iter().collect();
    let read = |entry: &BoardEntry| {
        let path = folder.board(&entry.id)?;
        if !there.contains(&path) {
            return Ok((None, Vec::new()));
        }
        read_text(disk, &path, |text| board::read(text, entry, circuits))
    };
    let entries: Vec<&BoardEntry> = shop.boards.iter().collect();
    let found: Vec<Result<_, StoreError>> = if entries.len() < MANY {
        entries.into_iter().map(read).collect()
    } else {
        side_by_side::map(entries, read)
    };
    for (entry, found) in shop.boards.iter().zip(found) {
        let (board, found) = found?;
        boards.push(board.unwrap_or_else(|| board::bare(entry)));
        faults.extend(found);
    }
    let named: HashSet<&str> = shop.boards.iter().map(|b| b.id.as_str()).collect();
    for path in present {
        let known = named.contains(journal::stem(&path).as_str());
        if !known && path.extension().is_some_and(|e| e == "json") {
            let todo = "add the board to shop.json";
            faults.push(Fault::warning(
                &path,
                "not read: shop.json has no such board",
                todo,
            ));
        }
    }
    Ok((boards, faults))
}

/// Writes the file of one board.
pub fn save_board(disk: &dyn Disk, folder: &ShopFolder, board: &Board) -> Result<(), StoreError> {
    let path = folder.board(&board.id)?;
    let text = board::write(board);
    disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))
}

/// Reads a whole text file and places its problems; a file that is no text is a fault.
pub(crate) fn read_text<T>(
    disk: &dyn Disk,
    path: &Path,
    read: impl FnOnce(&str) -> (T, Vec<Problem>),
) -> Result<(Option<T>, Vec<Fault>), StoreError> {
    let bytes = disk.read(path).map_err(StoreError::io("read", path))?;
    let Ok(text) = String::from_utf8(bytes) else {
        let todo = "save it as UTF-8, or restore it from a backup";
        let fault = Fault::damage(path, "the file is not UTF-8 text", todo);
        return Ok((None, vec![fault]));
    };
    let (value, problems) = read(&text);
    let faults = problems.into_iter().map(|p| p.in_file(path)).collect();
    Ok((Some(value), faults))
}
