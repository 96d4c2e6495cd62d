//! From rows of cells to ends of rows: each row is taken, needs a person, or is skipped, and says why.
//!
//! Two steps, so that two threads can share the work: [`Taker::fill`] goes through the rows in their
//! order and is cheap (what a blank or a mark means, what was there before), [`Taker::read`] is dear
//! and looks at one row alone. How words become facts is in `assemble`.

use std::collections::BTreeMap;
use std::collections::HashMap;
use std::sync::Mutex;

use chrono::NaiveDate;

use crate::domain::circuit::Circuits;
use crate::domain::ids;
use crate::domain::intake::assemble;
use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::days;
use crate::domain::intake::days::DayRead;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::figures;
use crate::domain::intake::lines;
use crate::domain::intake::lines::Ditto;
use crate::domain::intake::mapping::Column;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::names;
use crate::domain::intake::repeats::Repeats;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::domain::intake::words::Words;
use crate::domain::job::Flag;
use crate::domain::unit_mark::unit_mark;

/// What is known before the first row.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    /// Words of the bench and of the shop.
    pub words: &'a Words,
    /// What the shop knows of its boards, by id.
    pub boards: &'a BTreeMap<String, BoardFacts>,
    /// Ids of boards by their names and ids in small letters.
    pub names: &'a BTreeMap<String, String>,
    /// Circuit families.
    pub circuits: &'a Circuits,
    /// Key of the marks of units.
    pub unit_key: Option<&'a str>,
    /// `file.csv` or `book.xlsx#Bay 1`.
    pub source: &'a str,
    /// Day of the import: no job is closed later.
    pub today: NaiveDate,
}

/// Goes through the rows of one sheet.
pub struct Taker<'a> {
    pub(super) mapping: &'a Mapping,
    pub(super) facts: Facts<'a>,
    /// What the mapping has of each field, found once.
    pub(super) columns: Columns,
    slug: String,
    above: Vec<Cell>,
    section: Option<String>,
    seen: HashMap<u64, Twin>,
    numbers: HashMap<String, u64>,
    units: HashMap<String, Earlier>,
    repeats: Repeats,
    /// Acts already judged, so that each is judged once a sheet.
    pub(super) judged: Mutex<HashMap<String, bool>>,
}

/// Where the fields stand.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    pub(super) number: Option<usize>,
    pub(super) closed: Option<usize>,
    pub(super) received: Option<usize>,
    pub(super) board: Option<usize>,
    pub(super) serial: Option<usize>,
}

/// Rows with the same words, told apart by their serials.
struct Twin {
    row: u64,
    serials: Vec<u64>,
}

/// The last job of a unit.
struct Earlier {
    number: String,
    row: u64,
    closed: Option<NaiveDate>,
}

/// A row that was read to its end.
#[derive(Clone, Debug, PartialEq)]
pub struct RowRead {
    /// `file.csv:17`.
    pub source: String,
    /// Mark of the row's words after filling down: the same content has the same mark.
    pub mark: String,
    /// (header, words) as they stand, serials left out.
    pub cells: Vec<(String, String)>,
    /// What becomes of it.
    pub end: End,
}

/// What becomes of a row.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// It is a job.
    Taken(Box<Draft>),
    /// A person has to look.
    NeedsPerson {
        /// Every reason, in the order of the form.
        why: Vec<Flag>,
        /// What the row says, and what it may mean.
        suggested: Box<Suggested>,
    },
    /// It is no job, or one that was there before.
    Skipped {
        /// Why, in plain words.
        why: String,
    },
}

/// Where the content of a cell came from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum From {
    /// It stands there.
    #[default]
    Own,
    /// From the row above, as a fact.
    Above,
    /// From the row above, but a person has to say that it is meant.
    Perhaps,
}

/// One cell after filling down.
#[derive(Clone, Debug, Default)]
pub(super) struct FilledCell {
    pub(super) own: Cell,
    pub(super) above: Option<Cell>,
    pub(super) from: From,
}

impl FilledCell {
    /// Returns what the cell means: its own content or that of the row above.
    pub(super) fn cell(&self) -> &Cell {
        self.above.as_ref().unwrap_or(&self.own)
    }
}

/// A row after filling down, ready to be read by itself.
#[derive(Clone, Debug, Default)]
pub struct Filled {
    pub(super) row: u64,
    pub(super) cells: Vec<FilledCell>,
    pub(super) skipped: Option<String>,
    pub(super) flags: Vec<Flag>,
    pub(super) mark: String,
    pub(super) number: String,
    pub(super) closed: DayRead,
    pub(super) unit: Option<String>,
    pub(super) follows: Option<String>,
    pub(super) section: Option<String>,
    /// Endings that later rows of the same job say: row and words.
    pub(super) endings: Vec<(u64, String)>,
    /// An earlier row has its number.
    pub(super) second: bool,
}

impl Filled {
    /// Tells whether the row is no job, or one that was there before.
    pub fn is_skipped(&self) -> bool {
        self.skipped.is_some()
    }
}

impl<'a> Taker<'a> {
    /// Starts at the top of a sheet.
    pub fn new(mapping: &'a Mapping, facts: Facts<'a>) -> Self {
        let place = |field: &Field| mapping.columns.iter().position(|c| c.field == *field);
        Self {
            mapping,
            facts,
            columns: Columns {
                number: place(&Field::Number),
                closed: place(&Field::ClosedOn),
                received: place(&Field::ReceivedOn),
                board: place(&Field::Board),
                serial: place(&Field::Serial),
            },
            slug: slug(facts.source),
            above: vec![Cell::Empty; mapping.columns.len()],
            section: None,
            seen: HashMap::new(),
            numbers: HashMap::new(),
            units: HashMap::new(),
            repeats: Repeats::default(),
            judged: Mutex::new(HashMap::new()),
        }
    }

    /// Starts at the top of a sheet whose rows were all looked at before.
    #[must_use]
    pub fn knowing(mut self, repeats: Repeats) -> Self {
        self.repeats = repeats;
        self
    }

    /// Returns the name that the next row itself gives its board, as written; none where it names none or
    /// is no job. A first walk over a sheet with this finds the boards that the shop does not list; what a
    /// row takes from above was named there.
    pub fn board_name(&mut self, row: &Row) -> Option<String> {
        if self.no_job(row).is_some() {
            return None;
        }
        let cell = self.columns.board.and_then(|at| row.cells.get(at));
        let text = cell.map(|c| names::tidy(&c.text())).unwrap_or_default();
        if text.is_empty()
            || lines::says_nothing(&text)
            || lines::says_unknown(&text)
            || lines::ditto(&text).is_some()
        {
            return self.section.clone();
        }
        Some(text)
    }

    /// Takes the next row.
    pub fn take(&mut self, row: &Row) -> RowRead {
        let filled = self.fill(row);
        self.read(filled)
    }

    /// Reads a filled row; rows may be read in any order and by several threads.
    pub fn read(&self, filled: Filled) -> RowRead {
        let cells = self.raw(&filled);
        let end = match filled.skipped {
            Some(why) => End::Skipped { why },
            None => assemble::row(self, &filled, &cells),
        };
        RowRead {
            source: self.source_of(filled.row),
            mark: filled.mark,
            cells,
            end,
        }
    }

    /// Fills the next row from what stands above it, and tells whether it is a job at all.
    pub fn fill(&mut self, row: &Row) -> Filled {
        let mut filled = Filled {
            row: row.number,
            cells: row
                .cells
                .iter()
                .map(|c| FilledCell {
                    own: c.clone(),
                    ..FilledCell::default()
                })
                .collect(),
            ..Filled::default()
        };
        filled.skipped = self.no_job(row);
        if filled.skipped.is_some() {
            filled.mark = mark(&filled, None, &[]);
            return filled;
        }
        for remark in &row.remarks {
            filled.flags.push(flag("row", remark, ""));
        }
        self.fill_cells(&mut filled);
        if self
            .columns
            .board
            .is_none_or(|at| filled.cells.get(at).is_none_or(|c| c.cell().is_blank()))
        {
            filled.section.clone_from(&self.section);
        }
        self.see_unit(&mut filled);
        if self.is_twin(&mut filled) {
            return filled;
        }
        if let Some(first) = self.repeats.first_of(row.number) {
            filled.skipped = Some(format!("row {first} again: it says how that job ended"));
            return filled;
        }
        self.see_repeats(&mut filled);
        self.see_day(&mut filled);
        self.see_number(row, &mut filled);
        filled
    }

    /// Takes over what later rows say of this job's end; another mark, as it is another content then.
    fn see_repeats(&self, filled: &mut Filled) {
        filled.endings = self.repeats.endings(filled.row).to_vec();
        if !filled.endings.is_empty() {
            let endings = filled.endings.iter().map(|e| e.1.as_str());
            filled.mark = ids::long_mark(std::iter::once(filled.mark.as_str()).chain(endings));
        }
        if let Some(other) = self.repeats.clash_of(filled.row) {
            let number = self.columns.number.and_then(|at| filled.cells.get(at));
            let text = number.map(|c| names::tidy(&c.cell().text()));
            let raw = format!("{} (row {other})", text.unwrap_or_default());
            filled.flags.push(flag("job", "number-used-twice", &raw));
        }
    }

    /// Returns why a row is no job.
    fn no_job(&mut self, row: &Row) -> Option<String> {
        let headers = &self.mapping.header_rows;
        if headers.contains(&row.number) {
            return Some(
                if headers.last() == Some(&row.number) {
                    "headers"
                } else {
                    "title or headers"
                }
                .to_owned(),
            );
        }
        if row.is_blank() {
            return Some("blank".to_owned());
        }
        if lines::is_rule(row) {
            return Some("a drawn line".to_owned());
        }
        if lines::is_header_again(row, self.mapping) {
            return Some("the headers again".to_owned());
        }
        if row.remarks.is_empty() && lines::is_totals(row) {
            self.forget_above();
            return Some("a row of totals".to_owned());
        }
        if row.remarks.is_empty() && self.is_bare_sum(row) {
            self.forget_above();
            return Some("a row of totals".to_owned());
        }
        self.title(row)
    }

    /// One or two figures under time, money or what is not read, in a row of blanks, are sums: nothing
    /// in them is a job.
    fn is_bare_sum(&self, row: &Row) -> bool {
        let columns = &self.mapping.columns;
        let sums = |field: &Field| {
            matches!(
                field,
                Field::Minutes | Field::PartsCost | Field::Value | Field::Kept
            )
        };
        let mut filled = 0_usize;
        for (at, cell) in row.cells.iter().enumerate().filter(|(_, c)| !c.is_blank()) {
            filled += 1;
            let figure = figures::figure(&cell.text(), self.mapping.decimal).is_some();
            if 2 < filled || !figure || !columns.get(at).is_some_and(|c| sums(&c.field)) {
                return false;
            }
        }
        0 < filled && 4 <= columns.len()
    }

    fn forget_above(&mut self) {
        self.above.fill(Cell::Empty);
    }

    /// A lone word in a sheet of several columns is a title; where it names a board, the rows below are
    /// of that board.
    fn title(&mut self, row: &Row) -> Option<String> {
        let mut filled = row.cells.iter().enumerate().filter(|(_, c)| !c.is_blank());
        let (at, cell) = filled.next()?;
        let column = self.mapping.columns.get(at)?;
        if filled.next().is_some() || self.mapping.columns.len() < 3 || !row.remarks.is_empty() {
            return None;
        }
        let Cell::Text(text) = cell else { return None };
        let text = names::tidy(text);
        if 60 < text.len() || lines::ditto(&text).is_some() {
            return None;
        }
        let board = self.board_of(&text).is_some();
        let plain = match column.field {
            Field::Board => true,
            Field::Number => {
                let digits = text.bytes().any(|b| b.is_ascii_digit());
                board
                    || !digits
                    || (text.contains(' ') && !text.starts_with(|c: char| c.is_ascii_digit()))
            }
            Field::ClosedOn | Field::ReceivedOn => board || !days::looks_like_a_day(cell),
            Field::Kept | Field::ClosedBy | Field::Revision => at == 0 || board,
            _ => false,
        };
        if !plain {
            return None;
        }
        self.forget_above();
        if board || column.field == Field::Board {
            self.section = Some(text);
            return Some("a line that names the board of the rows below".to_owned());
        }
        self.section = None;
        Some("a title".to_owned())
    }

    /// Returns the board that a name of the sheet stands for.
    pub(super) fn board_of(&self, text: &str) -> Option<names::Found> {
        let tidy = names::tidy(text);
        if let Some(board) = self.mapping.boards.get(&tidy) {
            let rev = names::split_revision(&tidy)
                .filter(|(name, _)| {
                    names::find(name, self.facts.names).is_some_and(|f| f.board == *board)
                })
                .map(|(_, rev)| rev);
            return Some(names::Found {
                board: board.clone(),
                rev,
            });
        }
        names::find(&tidy, self.facts.names)
    }

    fn fill_cells(&mut self, filled: &mut Filled) {
        let width = self.mapping.columns.len();
        if filled.cells.len() < width {
            filled.cells.resize(width, FilledCell::default());
        }
        for at in width..filled.cells.len() {
            if !filled.cells[at].own.is_blank() {
                let raw = filled.cells[at].own.text().into_owned();
                filled
                    .flags
                    .push(flag("row", "more-cells-than-columns", &raw));
            }
        }
        // A row that names its own board begins a block: day and revision of the block before are not its own.
        let board = self.columns.board;
        let heads = board.is_some_and(|b| !filled.cells[b].own.is_blank());
        let in_block = |at: usize, field: &Field| match field {
            Field::ClosedOn => board.is_some_and(|b| b < at && self.mapping.columns[b].fill_down),
            Field::Revision => true,
            _ => false,
        };
        for (at, column) in self.mapping.columns.iter().enumerate() {
            let cell = &mut filled.cells[at];
            let text = cell.own.text();
            let mark = if cell.own.is_blank() {
                None
            } else {
                lines::ditto(&text)
            };
            let above = &self.above[at];
            if let Some(mark) = mark {
                let fact = is_carried(&column.field);
                if above.is_blank() || column.field == Field::Number {
                    filled.flags.push(flag(
                        field_name(&column.field),
                        "reference-to-neighbour-row",
                        &text,
                    ));
                    cell.above = Some(Cell::Empty);
                } else {
                    // The mark alone is plain; words for it may mean more than this cell, and nobody
                    // measures the same twice.
                    let fact = fact || (mark == Ditto::Mark && !is_reading(&column.field));
                    cell.from = if fact { From::Above } else { From::Perhaps };
                    if !is_carried(&column.field) || mark == Ditto::Words {
                        let why = if fact {
                            "filled-from-above"
                        } else {
                            "reference-to-neighbour-row"
                        };
                        filled
                            .flags
                            .push(flag(field_name(&column.field), why, &text));
                    }
                    cell.above = Some(above.clone());
                }
            } else if cell.own.is_blank()
                && column.fill_down
                && !above.is_blank()
                && !(heads && in_block(at, &column.field))
            {
                cell.from = From::Above;
                cell.above = Some(above.clone());
                if column.field == Field::ClosedOn {
                    let raw = above.text();
                    filled
                        .flags
                        .push(flag("closed_on", "filled-from-above", &raw));
                }
            }
            let now = cell.cell();
            if !now.is_blank() {
                self.above[at].clone_from(now);
            } else if !column.fill_down || (heads && in_block(at, &column.field)) {
                self.above[at] = Cell::Empty;
            }
        }
    }

    fn see_unit(&self, filled: &mut Filled) {
        let serial = self.columns.serial.and_then(|at| filled.cells.get(at));
        let text = serial.map(|c| c.cell().text()).unwrap_or_default();
        if lines::says_nothing(&text) || lines::says_unknown(&text) {
            return;
        }
        filled.unit = self.facts.unit_key.and_then(|key| unit_mark(key, &text));
    }

    /// Makes the mark, and tells whether an earlier row has the same words of the same unit.
    fn is_twin(&mut self, filled: &mut Filled) -> bool {
        let serial = self.columns.serial.and_then(|at| filled.cells.get(at));
        // Without a key no mark of the unit is made: which of the units with the same words this is tells
        // rows apart, and no serial goes into what is kept.
        let hidden = match &filled.unit {
            Some(_) => 0,
            None => serial.map_or(0, |c| ids::seed([names::tidy(&c.cell().text()).as_str()])),
        };
        let skip: Vec<usize> = self.columns.serial.into_iter().collect();
        let words = mark(filled, None, &skip);
        let key = ids::seed([words.as_str()]);
        let row = filled.row;
        let twin = self.seen.entry(key).or_insert_with(|| Twin {
            row,
            serials: Vec::new(),
        });
        let nth = twin.serials.iter().position(|s| *s == hidden);
        let new = nth.is_none();
        let nth = nth.unwrap_or_else(|| {
            twin.serials.push(hidden);
            twin.serials.len() - 1
        });
        filled.mark = if nth == 0 {
            words
        } else {
            mark(filled, Some(nth), &skip)
        };
        if !new {
            filled.skipped = Some(format!("the same words as row {}", twin.row));
        }
        !new
    }

    fn see_day(&self, filled: &mut Filled) {
        if let Some(cell) = self.columns.closed.and_then(|at| filled.cells.get(at))
            && !lines::says_nothing(&cell.cell().text())
        {
            filled.closed = days::read_day(cell.cell(), self.mapping.dates, self.facts.today);
        }
    }

    /// Gives the job its number, and links it to the unit's earlier job.
    fn see_number(&mut self, row: &Row, filled: &mut Filled) {
        let own = self
            .columns
            .number
            .and_then(|at| filled.cells.get(at))
            .map(|c| c.cell().clone());
        let text = own
            .as_ref()
            .map(|c| names::tidy(&c.text()))
            .unwrap_or_default();
        let given = !lines::says_nothing(&text) && !lines::says_unknown(&text);
        filled.number = if given {
            text.clone()
        } else {
            format!("{}-{}", self.slug, filled.row)
        };
        if given && let Some(why) = damaged(own.as_ref().unwrap_or(&Cell::Empty)) {
            filled.flags.push(flag("job", why, &text));
        }
        let twice = self.numbers.get(&filled.number).copied().filter(|_| given);
        let back = (twice.is_some() || self.units.contains_key(&unit_key(filled)))
            && lines::came_back(row);
        if let Some(first) = twice {
            let raw = format!("{text} (row {first})");
            filled.flags.push(flag("job", "number-used-twice", &raw));
            filled.follows = Some(filled.number.clone());
            filled.second = true;
        } else {
            self.numbers.insert(filled.number.clone(), filled.row);
        }
        if let Some(earlier) = self.units.get(&unit_key(filled)) {
            let raw = format!("{} (row {})", earlier.number, earlier.row);
            let later = match (earlier.closed, filled.closed.day) {
                (Some(a), Some(b)) => a <= b,
                _ => true,
            };
            if later {
                filled.follows = Some(earlier.number.clone());
            } else {
                filled
                    .flags
                    .push(flag("follows", "later-job-of-unit-above", &raw));
            }
            if back {
                filled
                    .flags
                    .push(flag("follows", "bounce-of-earlier-row", &raw));
            }
        } else if back && let Some(first) = twice {
            let raw = format!("{} (row {first})", filled.number);
            filled
                .flags
                .push(flag("follows", "bounce-of-earlier-row", &raw));
        }
        if filled.unit.is_some() {
            let last = Earlier {
                number: filled.number.clone(),
                row: filled.row,
                closed: filled.closed.day,
            };
            self.units.insert(unit_key(filled), last);
        }
    }

    pub(super) fn source_of(&self, row: u64) -> String {
        format!("{}:{row}", self.facts.source)
    }

    /// Returns every cell as it stands, without serials.
    pub(super) fn raw(&self, filled: &Filled) -> Vec<(String, String)> {
        let blank = Column {
            header: String::new(),
            field: Field::Kept,
            fill_down: false,
        };
        let cells = filled
            .cells
            .iter()
            .enumerate()
            .filter(|(_, c)| !c.own.is_blank());
        cells
            .map(|(at, cell)| (at, cell, self.mapping.columns.get(at).unwrap_or(&blank)))
            .filter(|(_, _, column)| column.field != Field::Serial)
            .map(|(at, cell, column)| {
                let header = if column.header.is_empty() {
                    format!("column {}", at + 1)
                } else {
                    column.header.clone()
                };
                (header, cell.own.text().into_owned())
            })
            .collect()
    }
}

fn unit_key(filled: &Filled) -> String {
    filled.unit.clone().unwrap_or_default()
}

/// Fields that a mark for the row above fills as a fact.
fn is_carried(field: &Field) -> bool {
    matches!(
        field,
        Field::Board
            | Field::Revision
            | Field::ClosedOn
            | Field::ReceivedOn
            | Field::ClosedBy
            | Field::Serial
            | Field::Environment
            | Field::Value
            | Field::Kept
    )
}

/// Fields that hold what was measured.
fn is_reading(field: &Field) -> bool {
    matches!(
        field,
        Field::Findings
            | Field::Draw
            | Field::Rail(_)
            | Field::Resistance(_)
            | Field::Diode(_)
            | Field::Proof
            | Field::Everything
    )
}

/// Returns the name of the job's field that a column speaks of.
pub(super) fn field_name(field: &Field) -> &'static str {
    match field {
        Field::Number => "job",
        Field::ClosedOn | Field::ReceivedOn => "closed_on",
        Field::ClosedBy => "closed_by",
        Field::Board => "board",
        Field::Revision => "rev",
        Field::Serial => "unit",
        Field::Complaint => "complaint",
        Field::Findings | Field::Draw | Field::Rail(_) | Field::Resistance(_) | Field::Diode(_) => {
            "findings"
        }
        Field::Family => "family",
        Field::Fix | Field::Part | Field::Act | Field::Tried => "actions",
        Field::Outcome => "outcome",
        Field::NoFixReason => "no_fix_reason",
        Field::Proof => "proof",
        Field::Environment => "environment",
        Field::Minutes => "minutes",
        Field::PartsCost => "parts_cost",
        Field::Value => "value",
        Field::Everything | Field::Kept => "note",
    }
}

/// Returns a flag; long words are cut.
pub(super) fn flag(field: &str, why: &str, raw: &str) -> Flag {
    let raw = raw.trim();
    let end = raw.char_indices().nth(200).map_or(raw.len(), |(at, _)| at);
    Flag {
        field: field.to_owned(),
        why: why.to_owned(),
        raw: raw[..end].to_owned(),
    }
}

/// A cell that a worksheet would count out.
pub(super) const FORMULA: &str = "sheet-formula";

/// Tells whether a sheet has changed a name into a day or a power of ten.
fn damaged(cell: &Cell) -> Option<&'static str> {
    match cell {
        Cell::Date(_) => Some("sheet-date-damage"),
        Cell::Text(text) => {
            let text = text.trim();
            if text.len() > 1 && text.starts_with(['=', '+', '-', '@']) {
                return Some(FORMULA);
            }
            let (head, power) = text.split_once(['E', 'e'])?;
            let digits = |s: &str| {
                !s.is_empty()
                    && s.bytes()
                        .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','))
            };
            let signed = power.strip_prefix(['+', '-'])?;
            (digits(head) && digits(signed)).then_some("sheet-damage")
        }
        Cell::Number(_) | Cell::Empty => None,
    }
}

/// Returns the mark of a row's words. The serial is not among them; its keyed mark is.
fn mark(filled: &Filled, nth: Option<usize>, skip: &[usize]) -> String {
    let texts: Vec<String> = filled
        .cells
        .iter()
        .enumerate()
        .map(|(at, cell)| {
            if skip.contains(&at) {
                filled.unit.clone().unwrap_or_default()
            } else {
                names::tidy(&cell.cell().text())
            }
        })
        .collect();
    let end = texts
        .iter()
        .rposition(|t| !t.is_empty())
        .map_or(0, |at| at + 1);
    let nth = nth.map(|n| n.to_string());
    ids::long_mark(
        texts[..end]
            .iter()
            .map(String::as_str)
            .chain(nth.as_deref()),
    )
}

/// Returns the sheet's name as the head of job numbers: `Old bay.csv` is `old-bay`.
fn slug(source: &str) -> String {
    let (file, sheet) = source.split_once('#').unwrap_or((source, ""));
    let file = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    let made = ids::slug(&format!("{stem} {sheet}"));
    if made.is_empty() {
        "sheet".to_owned()
    } else {
        made
    }
}
