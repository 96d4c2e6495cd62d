//! An `OpenDocument` spreadsheet (OASIS `OpenDocument` 1.3, part 3: 9 tables, 19 attributes) read part by
//! part, so that a row repeated a million times costs nothing while it is empty.
//!
//! The `calamine` crate reads such a file into dense tables at once, which a few bytes can swell to many
//! gigabytes; it is the second opinion in the tests instead. Comments, drawings, tracked changes and
//! tables within cells are left out; formulas count as the value kept beside them.

use std::collections::HashSet;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Cursor;

use quick_xml::Reader;
use quick_xml::XmlVersion;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::BytesRef;
use quick_xml::events::BytesStart;
use quick_xml::events::Event;
use zip::ZipArchive;

use crate::store::sheet::cells::Budget;
use crate::store::sheet::cells::Cells;
use crate::store::sheet::cells::MOST_ROWS;
use crate::store::sheet::cells::Merged;
use crate::store::sheet::cells::Value;
use crate::store::sheet::error::Misread;
use crate::store::sheet::error::SheetProblem;
use crate::store::sheet::guard::broken;
use crate::store::sheet::guard::swollen;
use crate::store::sheet::rows::MOST_CELL;
use crate::store::sheet::rows::MOST_COLUMNS;
use crate::store::sheet::workbook::Worksheet;
use crate::store::sheet::workbook::sheet_name;
use crate::store::sheet::xlsx::day_of;

/// A workbook may have this many worksheets.
const MOST_SHEETS: usize = 1_000;
/// Parts of a table that hold no cells of it.
const PASSED_OVER: [&str; 4] = [
    "table:shapes",
    "table:tracked-changes",
    "office:annotation",
    "table:dde-links",
];

/// Reads every worksheet.
pub(crate) fn read(bytes: &[u8]) -> Result<Vec<Worksheet>, Misread> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(broken)?;
    let mut said = String::new();
    if let Ok(part) = archive.by_name("META-INF/manifest.xml") {
        let mut part = std::io::Read::take(part, 8_000_000);
        std::io::Read::read_to_string(&mut part, &mut said).map_err(broken)?;
    }
    if said.contains("encryption-data") {
        return Err(SheetProblem::Locked.into());
    }
    let content = archive.by_name("content.xml").map_err(broken)?;
    let mut reader = Reader::from_reader(BufReader::new(content));
    reader.config_mut().expand_empty_elements = true;
    let mut parser = Parser {
        reader,
        buffer: Vec::new(),
        budget: Budget::new(),
    };
    parser.sheets()
}

struct Parser<R> {
    reader: Reader<R>,
    buffer: Vec<u8>,
    budget: Budget,
}

/// What the tags around a table say.
#[derive(Default)]
struct Styles {
    now: Option<String>,
    hidden: HashSet<String>,
}

impl<R: BufRead> Parser<R> {
    fn sheets(&mut self) -> Result<Vec<Worksheet>, Misread> {
        let mut found: Vec<Worksheet> = Vec::new();
        let mut styles = Styles::default();
        loop {
            match self.event()? {
                Event::Start(tag) => match tag.name().0 {
                    "style:style" => styles.now = attribute(&tag, "style:name")?,
                    "style:table-properties" => {
                        let shown = attribute(&tag, "table:display")?;
                        let hidden = shown.as_deref() == Some("false");
                        styles.hidden.extend(styles.now.clone().filter(|_| hidden));
                    }
                    "table:table" => {
                        let name = attribute(&tag, "table:name")?.unwrap_or_default();
                        let style = attribute(&tag, "table:style-name")?;
                        let hidden = style.is_some_and(|style| styles.hidden.contains(&style));
                        if found.len() == MOST_SHEETS {
                            return Err(swollen("too many worksheets").into());
                        }
                        let mut cells = Cells::default();
                        let mut row = 0;
                        let read = self.table(&mut cells, &mut row);
                        read.map_err(|why| Misread {
                            sheet: Some(sheet_name(&name)),
                            row: Some(u64::from(row) + 1),
                            why,
                        })?;
                        cells.finish();
                        found.push(Worksheet {
                            name,
                            hidden,
                            cells,
                        });
                    }
                    name if PASSED_OVER.contains(&name) => {
                        let name = name.to_owned();
                        self.pass_over(&name)?;
                    }
                    _ => {}
                },
                Event::Eof => return Ok(found),
                _ => {}
            }
        }
    }

    fn event(&mut self) -> Result<Event<'_>, SheetProblem> {
        self.buffer.clear();
        self.reader
            .read_event_into(&mut self.buffer)
            .map_err(broken)
    }

    /// Goes on behind the end of the element `name`, whose beginning was read.
    fn pass_over(&mut self, name: &str) -> Result<(), SheetProblem> {
        let mut depth = 1;
        while depth != 0 {
            match self.event()? {
                Event::Start(tag) if tag.name().0 == name => depth += 1,
                Event::End(tag) if tag.name().0 == name => depth -= 1,
                Event::Eof => return Err(cut_short()),
                _ => {}
            }
        }
        Ok(())
    }

    fn table(&mut self, cells: &mut Cells, row: &mut u32) -> Result<(), SheetProblem> {
        loop {
            match self.event()? {
                Event::Start(tag) => match tag.name().0 {
                    "table:table-row" => {
                        let times = number(&tag, "table:number-rows-repeated")?;
                        let line = self.row(*row)?;
                        *row = line.keep(cells, *row, times, &mut self.budget)?;
                    }
                    // A table within another is none of its rows.
                    name if name == "table:table" || PASSED_OVER.contains(&name) => {
                        let name = name.to_owned();
                        self.pass_over(&name)?;
                    }
                    _ => {}
                },
                Event::End(tag) if tag.name().0 == "table:table" => return Ok(()),
                Event::Eof => return Err(cut_short()),
                _ => {}
            }
        }
    }

    fn row(&mut self, row: u32) -> Result<Line, SheetProblem> {
        let mut line = Line::default();
        let mut column = 0_u32;
        loop {
            match self.event()? {
                Event::Start(tag)
                    if matches!(
                        tag.name().0,
                        "table:table-cell" | "table:covered-table-cell"
                    ) =>
                {
                    let name = tag.name().0.to_owned();
                    let times = number(&tag, "table:number-columns-repeated")?;
                    let wide = number(&tag, "table:number-columns-spanned")?;
                    let high = number(&tag, "table:number-rows-spanned")?;
                    let said = Said::of(&tag)?;
                    let words = self.words(&name)?;
                    line.add(column, times, said.held(words));
                    if 1 < wide || 1 < high {
                        let last = |from: u32, n: u32| from.saturating_add(n - 1);
                        line.merged.push(Merged {
                            from: (row, column),
                            to: (last(row, high), last(column, wide)),
                        });
                    }
                    column = column.saturating_add(times);
                }
                Event::Start(tag) if PASSED_OVER.contains(&tag.name().0) => {
                    let name = tag.name().0.to_owned();
                    self.pass_over(&name)?;
                }
                Event::End(tag) if tag.name().0 == "table:table-row" => return Ok(line),
                Event::Eof => return Err(cut_short()),
                _ => {}
            }
        }
    }

    /// Returns the words shown in the cell, up to the end of the element `name`.
    fn words(&mut self, name: &str) -> Result<String, SheetProblem> {
        let mut words = String::new();
        let mut paragraphs = 0_u32;
        let mut inside = 0_u32;
        loop {
            // Longer than a cell is kept; what goes past it is cut there.
            let full = 2 * MOST_CELL < words.len();
            match self.event()? {
                Event::Start(tag) => match tag.name().0 {
                    "text:p" | "text:h" => {
                        if paragraphs != 0 && !full {
                            words.push('\n');
                        }
                        paragraphs = 1;
                        inside += 1;
                    }
                    "text:s" if !full => {
                        let blanks = number(&tag, "text:c")?;
                        words.extend(std::iter::repeat_n(' ', blanks.min(1000) as usize));
                    }
                    "text:tab" if !full => words.push('\t'),
                    "text:line-break" if !full => words.push('\n'),
                    other
                        if PASSED_OVER.contains(&other)
                            || matches!(other, "table:table" | "draw:frame" | "draw:g") =>
                    {
                        let other = other.to_owned();
                        self.pass_over(&other)?;
                    }
                    _ => {}
                },
                Event::End(tag) if tag.name().0 == name => return Ok(words),
                Event::End(tag) if matches!(tag.name().0, "text:p" | "text:h") => {
                    inside = inside.saturating_sub(1);
                }
                Event::Text(text) if inside != 0 && !full => words.push_str(&text.xml10_content()),
                Event::CData(text) if inside != 0 && !full => words.push_str(&text.xml10_content()),
                Event::GeneralRef(entity) if inside != 0 && !full => resolve(&entity, &mut words)?,
                Event::Eof => return Err(cut_short()),
                _ => {}
            }
        }
    }
}

fn cut_short() -> SheetProblem {
    broken("its text ends within a table")
}

/// Only the five entities of XML and characters by number are understood; a file may not define others.
fn resolve(entity: &BytesRef<'_>, words: &mut String) -> Result<(), SheetProblem> {
    if let Some(known) = resolve_xml_entity(entity) {
        words.push_str(known);
    } else if let Some(c) = entity.resolve_char_ref().map_err(broken)? {
        words.push(c);
    } else {
        return Err(broken("it names an entity that XML does not know"));
    }
    Ok(())
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Result<Option<String>, SheetProblem> {
    let found = tag.try_get_attribute(name).map_err(broken)?;
    let value = found.map(|found| {
        found
            .normalized_value(XmlVersion::Implicit1_0)
            .map(std::borrow::Cow::into_owned)
    });
    value.transpose().map_err(broken)
}

/// Returns how often or how far; 1 where nothing is said.
fn number(tag: &BytesStart<'_>, name: &str) -> Result<u32, SheetProblem> {
    let found = attribute(tag, name)?;
    Ok(found
        .and_then(|n| n.trim().parse::<u64>().ok())
        .map_or(1, |n| u32::try_from(n).unwrap_or(u32::MAX).max(1)))
}

/// What the attributes of a cell say.
struct Said {
    kind: String,
    value: Option<String>,
}

impl Said {
    fn of(tag: &BytesStart<'_>) -> Result<Self, SheetProblem> {
        let kind = attribute(tag, "office:value-type")?.unwrap_or_default();
        let value = match kind.as_str() {
            "float" | "percentage" | "currency" => attribute(tag, "office:value")?,
            "date" => attribute(tag, "office:date-value")?,
            "boolean" => attribute(tag, "office:boolean-value")?,
            "string" => attribute(tag, "office:string-value")?,
            _ => None,
        };
        Ok(Self { kind, value })
    }

    /// Returns what the cell holds; `words` is what it shows.
    fn held(self, words: String) -> Held {
        let value = self.value.unwrap_or_default();
        match self.kind.as_str() {
            "float" | "percentage" | "currency" => match value.trim().parse::<f64>() {
                Ok(number) => Held::Number(number),
                Err(_) => Held::Words(words),
            },
            // Day 0 of such a sheet is in 1899: a time of day, shown as one.
            "date" => match day_of(&value) {
                Some(day) if chrono::Datelike::year(&day) > 1900 => Held::Date(day),
                _ => Held::Words(if words.is_empty() { value } else { words }),
            },
            "boolean" => Held::Words(value.to_uppercase()),
            _ if words.is_empty() => Held::Words(value),
            _ => Held::Words(words),
        }
    }
}

/// What a cell holds, until it is known how often.
#[derive(Debug)]
enum Held {
    Words(String),
    Number(f64),
    Date(chrono::NaiveDate),
}

/// A row, until it is known how often.
#[derive(Debug, Default)]
struct Line {
    cells: Vec<(u32, u32, Held)>,
    merged: Vec<Merged>,
}

impl Line {
    fn add(&mut self, column: u32, times: u32, held: Held) {
        let empty = matches!(&held, Held::Words(words) if words.is_empty());
        if !empty && self.cells.len() <= MOST_COLUMNS {
            self.cells.push((column, times, held));
        }
    }

    /// Keeps the row as often as it stands there and returns the number of the next.
    fn keep(
        self,
        cells: &mut Cells,
        row: u32,
        times: u32,
        budget: &mut Budget,
    ) -> Result<u32, SheetProblem> {
        let next = row.saturating_add(times).min(MOST_ROWS);
        if self.cells.is_empty() {
            return Ok(next);
        }
        // A row past the last one is refused by the first cell put there.
        for row in row..next.max(row + 1) {
            for (column, times, held) in &self.cells {
                let value = match held {
                    Held::Words(words) => Value::Text(words),
                    Held::Number(number) => Value::Number(*number),
                    Held::Date(day) => Value::Date(*day),
                };
                // The first cell past the widest row notes that there were more.
                let most = u32::try_from(MOST_COLUMNS).unwrap_or(u32::MAX);
                let end = column.saturating_add(*times).min(most.max(*column) + 1);
                for column in *column..end {
                    cells.put(row, column, value, budget)?;
                }
            }
        }
        for merged in self.merged {
            cells.merge(merged)?;
        }
        Ok(next)
    }
}
