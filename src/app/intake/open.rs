//! A sheet opened: what was found out about it, how its columns would be read, and what would be taken.
//!
//! Nothing is written here.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;

use chrono::DateTime;
use chrono::Utc;

use crate::app::intake::own;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::ids;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::days;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::names;
use crate::domain::intake::propose;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::Facts;
use crate::domain::intake::rows::RowRead;
use crate::domain::intake::rows::Taker;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::domain::intake::words::Words;
use crate::domain::text::clean;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::intake::maps;
use crate::store::paths;
use crate::store::sheet;
use crate::store::sheet::Book;
use crate::store::sheet::SheetError;
use crate::store::sheet::SheetText;

/// Rows that are looked at to see what the columns hold.
const LOOKED_AT: usize = 300;
/// Rows that a person is shown before a sheet is taken.
const SHOWN: usize = 5;
/// More new boards than this in one sheet are no boards: the column holds something else.
const MOST_NEW_BOARDS: usize = 200;

/// Why a sheet is not imported.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The sheet cannot be read.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// The shop's files did not play along.
    #[error(transparent)]
    App(#[from] AppError),
    /// The report cannot be written.
    #[error("the report cannot be written")]
    Report(#[source] std::io::Error),
    /// A person stopped it.
    #[error("stopped; nothing was written")]
    Stopped,
}

impl From<StoreError> for ImportError {
    fn from(error: StoreError) -> Self {
        Self::App(error.into())
    }
}

/// An opened sheet file, with what the shop knows to read it by.
#[derive(Debug)]
pub struct Opened {
    /// The file and its worksheets.
    pub book: Book,
    /// What is damaged among the mappings that were taken before.
    pub faults: Vec<Fault>,
    pub(crate) words: Words,
    pub(crate) names: BTreeMap<String, String>,
    boards: BTreeMap<String, BoardFacts>,
    saved: Vec<(String, Mapping)>,
}

/// Where a mapping comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Worked out from the sheet.
    Proposed,
    /// Taken before for a sheet of the same shape.
    Before,
    /// Given with `--map`.
    Given,
    /// Changed by the person.
    Changed,
}

/// How one worksheet would be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Which worksheet, by its place in the file.
    pub sheet: usize,
    /// Its name: `file.csv`, `book.xlsx#Bay 1`.
    pub source: String,
    /// Rows in it.
    pub n_rows: u64,
    /// Mark of its headers.
    pub shape: String,
    /// What its columns hold.
    pub mapping: Mapping,
    /// Where the mapping comes from.
    pub origin: Origin,
    /// What was found out about it, a sentence each.
    pub told: Vec<String>,
    /// Why the map that was given says nothing about these columns.
    pub map_misfit: Option<String>,
    /// One cell of each column that has any.
    pub examples: Vec<String>,
    /// Boards that the shop does not know: name in the sheet, and the id each would get.
    pub new_boards: BTreeMap<String, String>,
    /// Names that a person said are not to be added.
    pub not_added: BTreeSet<String>,
}

impl Offer {
    /// Tells whether a column holds serials, of which marks are made.
    pub fn has_serials(&self) -> bool {
        self.mapping
            .columns
            .iter()
            .any(|column| column.field == Field::Serial)
    }
}

/// Opens the sheet file at `path`.
pub fn open(workbench: &Workbench, path: &Path) -> Result<Opened, ImportError> {
    let book = sheet::open(workbench.disk.as_ref(), path)?;
    let maps = maps::load(workbench.disk.as_ref(), &workbench.folder)?;
    let mut names = BTreeMap::new();
    for entry in &workbench.shop.boards {
        names.insert(names::tidy(&entry.name).to_lowercase(), entry.id.clone());
    }
    for entry in &workbench.shop.boards {
        names.insert(entry.id.to_lowercase(), entry.id.clone());
    }
    let boards = workbench.boards.iter();
    Ok(Opened {
        book,
        faults: maps.faults,
        words: Words::with_shop(&workbench.shop.sheet_words),
        names,
        boards: boards
            .map(|board| (board.id.clone(), BoardFacts::of(board)))
            .collect(),
        saved: maps.maps,
    })
}

impl Opened {
    /// Returns how each worksheet would be read: by `given`, else as one of its shape was before,
    /// else as it looks. Worksheets without any row are left out.
    pub fn offers(
        &self,
        workbench: &Workbench,
        given: Option<&Mapping>,
        now: DateTime<Utc>,
    ) -> Vec<Offer> {
        let sheets = self.book.sheets.iter().enumerate();
        sheets
            .filter(|(_, sheet)| sheet.n_rows() > 0)
            .map(|(i, sheet)| self.offer(workbench, i, sheet, given, now))
            .collect()
    }

    fn offer(
        &self,
        workbench: &Workbench,
        number: usize,
        sheet: &SheetText,
        given: Option<&Mapping>,
        now: DateTime<Utc>,
    ) -> Offer {
        let first: Vec<Row> = sheet.rows().take(LOOKED_AT).collect();
        let mut found = propose::propose(&first, &self.words, &self.saved, &self.names);
        let mut origin = if found.reused {
            Origin::Before
        } else {
            Origin::Proposed
        };
        let mut map_misfit = None;
        match given.map(|given| fitted(given, &found.mapping)) {
            Some(Ok(map)) => {
                let saved = [(found.shape.clone(), map)];
                found = propose::propose(&first, &self.words, &saved, &self.names);
                origin = if found.reused {
                    Origin::Given
                } else {
                    Origin::Proposed
                };
            }
            Some(Err(why)) => {
                let why = format!("{}: {why}", sheet.source);
                found.told.push(format!("The map does not fit: {why}."));
                map_misfit = Some(why);
            }
            None => {}
        }
        let mut offer = Offer {
            sheet: number,
            source: sheet.source.clone(),
            n_rows: sheet.n_rows(),
            shape: found.shape,
            examples: examples(&first, &found.mapping),
            mapping: found.mapping,
            origin,
            told: found.told,
            map_misfit,
            new_boards: BTreeMap::new(),
            not_added: BTreeSet::new(),
        };
        if own::is_ours(&offer.mapping) {
            let told = "These are the columns of an export of jobs: its cells are read as they were written.";
            offer.told.push(told.to_owned());
        }
        self.find_boards(workbench, &mut offer, now);
        offer
    }

    /// Looks for boards that the shop does not know, after the mapping changed; ids that a person gave
    /// stay.
    pub fn find_boards(&self, workbench: &Workbench, offer: &mut Offer, now: DateTime<Utc>) {
        let mut given = std::mem::take(&mut offer.new_boards);
        let facts = self.facts(workbench, offer, None, now);
        let mut taker = Taker::new(&offer.mapping, facts);
        let mut unknown = BTreeSet::new();
        let mut too_many = false;
        for row in self.book.sheets[offer.sheet].rows() {
            if let Some(name) = taker.board_name(&row)
                && !unknown.contains(&name)
                && may_be_a_board(&name)
                && self.board_of(&name, offer).is_none()
            {
                unknown.insert(name);
                too_many = unknown.len() > MOST_NEW_BOARDS;
                if too_many {
                    break;
                }
            }
        }
        if too_many {
            offer.told.push(format!(
                "more than {MOST_NEW_BOARDS} unknown names in the column of boards: none is added"
            ));
            unknown.clear();
        }
        unknown.retain(|name| !offer.not_added.contains(name));
        let found = unknown.into_iter().map(|name| {
            // A revision behind the name is not part of it.
            let plain = names::split_revision(&name).map_or_else(|| name.clone(), |(name, _)| name);
            (name, board_id(&plain))
        });
        offer.new_boards = found.collect();
        offer.new_boards.append(&mut given);
    }

    fn board_of(&self, name: &str, offer: &Offer) -> Option<String> {
        let known = offer.mapping.boards.get(name).cloned();
        known.or_else(|| names::find(name, &self.names).map(|found| found.board))
    }

    /// Returns the facts that rows of a worksheet are read by.
    pub(crate) fn facts<'a>(
        &'a self,
        workbench: &'a Workbench,
        offer: &'a Offer,
        unit_key: Option<&'a str>,
        now: DateTime<Utc>,
    ) -> Facts<'a> {
        Facts {
            words: &self.words,
            boards: &self.boards,
            names: &self.names,
            circuits: &workbench.circuits,
            unit_key,
            source: &offer.source,
            today: workbench.day(now),
        }
    }

    /// Returns the first rows that hold a job, as they would be taken.
    pub fn sample(
        &self,
        workbench: &Workbench,
        offer: &Offer,
        now: DateTime<Utc>,
    ) -> Vec<(u64, RowRead)> {
        let mapping = with_new_boards(offer);
        let is_export = own::is_ours(&mapping);
        // The mark of a unit is never shown, so any key will do.
        let key = workbench.shop.unit_key.as_deref().or(Some("0"));
        let facts = self.facts(workbench, offer, key, now);
        let mut taker = Taker::new(&mapping, facts);
        let mut shown = Vec::new();
        for row in self.book.sheets[offer.sheet].rows().take(LOOKED_AT) {
            let filled = taker.fill(&row);
            let read = taker.read(filled);
            let read = if is_export { own::exact(read) } else { read };
            if !matches!(read.end, End::Skipped { .. }) {
                shown.push((row.number, read));
            }
            if shown.len() == SHOWN {
                break;
            }
        }
        shown
    }
}

/// Returns `given` for the columns of a sheet, by their headers; columns that it doesn't name are kept. Columns
/// without a header count by their place. An error says what doesn't fit.
fn fitted(given: &Mapping, sheet: &Mapping) -> Result<Mapping, String> {
    let tidy = |header: &str| names::tidy(header).to_lowercase();
    let mut columns = sheet.columns.clone();
    for column in &mut columns {
        column.field = Field::Kept;
        column.fill_down = false;
    }
    let mut is_said = vec![false; columns.len()];
    for (at, said) in given.columns.iter().enumerate() {
        let header = tidy(&said.header);
        let is_it = |i: &usize| !is_said[*i] && tidy(&sheet.columns[*i].header) == header;
        let same_place = Some(at).filter(|at| *at < columns.len() && is_it(at));
        let found = same_place.or_else(|| {
            let mut places = (0..columns.len()).filter(|_| !header.is_empty());
            places.find(is_it)
        });
        match found {
            Some(place) => {
                is_said[place] = true;
                columns[place].field = said.field.clone();
                columns[place].fill_down = said.fill_down;
            }
            None if header.is_empty() && said.field == Field::Kept => {}
            None if header.is_empty() => {
                return Err(format!("no column {} without a header", at + 1));
            }
            None => return Err(format!("no column is headed {:?}", said.header)),
        }
    }
    if !is_said.contains(&true) {
        return Err("it names no column".to_owned());
    }
    Ok(Mapping {
        columns,
        ..given.clone()
    })
}

/// Returns the mapping with the boards that will be added.
pub(crate) fn with_new_boards(offer: &Offer) -> Mapping {
    let mut mapping = offer.mapping.clone();
    let new = offer.new_boards.iter();
    mapping
        .boards
        .extend(new.map(|(name, id)| (name.clone(), id.clone())));
    mapping
}

/// Tells whether an unknown name may be that of a board; a day, a formula or a tale is none.
fn may_be_a_board(name: &str) -> bool {
    const MOST_LETTERS: usize = 60;
    let cell = Cell::Text(name.to_owned());
    name.chars().any(char::is_alphabetic)
        && name.chars().count() <= MOST_LETTERS
        && !name.starts_with(['=', '@', '+', '-'])
        && clean(name) == name
        && !days::looks_like_a_day(&cell)
}

/// Returns the id for a board of that name; one that has it already is meant.
fn board_id(name: &str) -> String {
    let id = ids::slug(name);
    match paths::safe_name(&id) {
        Ok(_) => id,
        Err(_) => format!("board-{}", ids::short_mark([name])),
    }
}

fn examples(first: &[Row], mapping: &Mapping) -> Vec<String> {
    let data = || {
        let rows = first.iter();
        rows.filter(|row| !mapping.header_rows.contains(&row.number))
    };
    (0..mapping.columns.len())
        .map(|column| {
            let mut cells = data().map(|row| row.cell(column));
            let cell = cells.find(|cell| !cell.is_blank());
            cell.map_or_else(String::new, |cell| cell.text().trim().to_owned())
        })
        .collect()
}
