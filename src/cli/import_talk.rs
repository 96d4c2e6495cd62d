//! How the columns of a sheet are read: shown, and changed line by line.
//!
//! Plain lines in and out, at a terminal or through a pipe.

use std::io::BufRead as _;
use std::io::Write;

use chrono::DateTime;
use chrono::Utc;

use crate::app::intake::open::Offer;
use crate::app::intake::open::Opened;
use crate::app::intake::open::Origin;
use crate::app::intake::say;
use crate::app::workbench::Workbench;
use crate::cli::failure::Failure;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::text::clean;
use crate::store::paths;
use crate::store::sheet::Book;
use crate::tui::measure;

/// Columns of the narrowest terminal that everything fits.
const WIDTH: usize = 79;

/// What a person said of a worksheet in the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Take it as it is read now.
    Take,
    /// Leave this worksheet out.
    LeaveOut,
    /// Leave everything.
    Stop,
    /// Nobody answered.
    Nobody,
}

/// Shows what was found out about the file.
pub fn show_book(book: &Book, out: &mut dyn Write) -> std::io::Result<()> {
    for told in &book.told {
        writeln!(out, "{}", clean(told))?;
    }
    Ok(())
}

/// Shows how one worksheet would be read.
pub fn show(
    opened: &Opened,
    workbench: &Workbench,
    offer: &Offer,
    now: DateTime<Utc>,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    let mapping = &offer.mapping;
    writeln!(out, "\n{}: {} rows", clean(&offer.source), offer.n_rows)?;
    let origin = match offer.origin {
        Origin::Proposed => "The columns as they seem to be:",
        Origin::Before => "The columns as taken before for a sheet with these headers:",
        Origin::Given => "The columns as the map says:",
        Origin::Changed => "The columns as you changed them:",
    };
    for told in &offer.told {
        for (i, piece) in measure::wrap(&clean(told), WIDTH - 4).iter().enumerate() {
            writeln!(out, "{}{piece}", if i == 0 { "  " } else { "    " })?;
        }
    }
    writeln!(
        out,
        "  header rows: {}; {}; {}",
        numbers(&mapping.header_rows),
        say::dates_text(mapping.dates),
        say::decimal_text(mapping.decimal)
    )?;
    writeln!(out, "{origin}")?;
    for (i, column) in mapping.columns.iter().enumerate() {
        let header = measure::shorten(&clean(&column.header), 20);
        let mut field = say::field_text(&column.field);
        if column.fill_down {
            field.push_str(", blank means above");
        }
        let example = offer.examples.get(i).map_or("", String::as_str);
        let line = format!(
            "{:>4}  {}  {}  {}",
            i + 1,
            measure::pad(&header, 20),
            measure::pad(&measure::shorten(&field, 28), 28),
            clean(example)
        );
        writeln!(out, "{}", measure::shorten(line.trim_end(), WIDTH))?;
    }
    for (name, id) in &offer.new_boards {
        let line = format!("  new board: {} becomes {}", clean(name), clean(id));
        writeln!(out, "{}", measure::shorten(&line, WIDTH))?;
    }
    writeln!(out, "The first rows as they would be taken:")?;
    for (number, read) in opened.sample(workbench, offer, now) {
        for (i, line) in say::row_lines(number, &read).iter().enumerate() {
            let wide = if i == 0 { WIDTH - 2 } else { WIDTH - 6 };
            for piece in measure::wrap(line, wide) {
                writeln!(out, "{}{piece}", if i == 0 { "  " } else { "      " })?;
            }
        }
    }
    Ok(())
}

fn numbers(rows: &[u64]) -> String {
    let rows: Vec<String> = rows.iter().map(u64::to_string).collect();
    if rows.is_empty() {
        "none".to_owned()
    } else {
        rows.join(", ")
    }
}

const HELP: &str = "\
Enter takes it as shown. Or type:
  3 rail:5V          column 3 holds readings of the rail 5V
  3 kept             column 3 is kept and not read; `fields` lists the words
  3 above            a blank cell of column 3 means the one above it
  3 blank            a blank cell of column 3 means nothing
  dates day-first    or month-first, or unknown
  decimal comma      or point, or unknown
  headers 1 2        rows 1 and 2 are headers
  board Pet4 petrel-p4   that name means that board
  board Pet4 -       that name is not added as a board
  show               shows it again
  stop               leaves; nothing is written";

/// Lets a person change how a worksheet is read, until it is taken or left.
pub fn talk(
    opened: &Opened,
    workbench: &Workbench,
    offer: &mut Offer,
    (now, several, terminal): (DateTime<Utc>, bool, bool),
    out: &mut dyn Write,
) -> Result<Answer, Failure> {
    if terminal {
        writeln!(out, "{HELP}")?;
        if several {
            writeln!(out, "  leave-out          this worksheet is not taken")?;
        }
    }
    loop {
        if terminal {
            write!(out, "{}> ", clean(&offer.source))?;
            out.flush()?;
        }
        let mut line = String::new();
        if std::io::stdin().lock().read_line(&mut line)? == 0 {
            return Ok(Answer::Nobody);
        }
        match line.trim() {
            "" => return Ok(Answer::Take),
            "stop" => return Ok(Answer::Stop),
            "leave-out" if several => return Ok(Answer::LeaveOut),
            "show" => show(opened, workbench, offer, now, out)?,
            "help" | "?" => writeln!(out, "{HELP}")?,
            "fields" => {
                let words = measure::wrap(&fields(), WIDTH);
                writeln!(out, "{}", words.join("\n"))?;
            }
            line => match change(offer, line) {
                Ok(said) => {
                    offer.origin = Origin::Changed;
                    opened.find_boards(workbench, offer, now);
                    writeln!(out, "{}", clean(&said))?;
                }
                Err(why) => writeln!(out, "{}", clean(&why))?,
            },
        }
    }
}

fn fields() -> String {
    let words: Vec<&str> = Field::plain_words().collect();
    format!(
        "{}, rail:NAME, resistance:NAME, diode:NAME",
        words.join(", ")
    )
}

/// Changes how a worksheet is read as `line` says, or tells what was not understood.
fn change(offer: &mut Offer, line: &str) -> Result<String, String> {
    let (first, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let rest = rest.trim();
    match first {
        "dates" => {
            let order =
                DateOrder::from_word(rest).ok_or("dates are day-first, month-first or unknown")?;
            offer.mapping.dates = order;
            Ok(say::dates_text(order).to_owned())
        }
        "decimal" => {
            let mark = DecimalMark::from_word(rest)
                .ok_or("the decimal mark is comma, point or unknown")?;
            offer.mapping.decimal = mark;
            Ok(say::decimal_text(mark).to_owned())
        }
        "headers" => {
            let rows: Result<Vec<u64>, _> = rest.split_whitespace().map(str::parse).collect();
            let rows =
                rows.map_err(|_error| "write the numbers of the rows, such as headers 1 2")?;
            offer.mapping.header_rows = rows;
            let rows = numbers(&offer.mapping.header_rows);
            Ok(format!("header rows: {rows}"))
        }
        "board" => board(offer, rest),
        number => column(offer, number, rest),
    }
}

fn board(offer: &mut Offer, rest: &str) -> Result<String, String> {
    let (name, id) = rest
        .rsplit_once(char::is_whitespace)
        .ok_or("write the name in the sheet and the board's id: board Pet4 petrel-p4")?;
    let name = name.trim();
    offer.new_boards.remove(name);
    offer.mapping.boards.remove(name);
    offer.not_added.remove(name);
    if id == "-" {
        offer.not_added.insert(name.to_owned());
        return Ok(format!("{name} is not added: its rows will need a person"));
    }
    paths::safe_name(id).map_err(|bad| bad.to_string())?;
    offer.new_boards.insert(name.to_owned(), id.to_owned());
    Ok(format!("{name} means {id}"))
}

fn column(offer: &mut Offer, number: &str, word: &str) -> Result<String, String> {
    let unknown = || format!("{number:?} is not understood; type help for what can be said");
    let number: usize = number.parse().map_err(|_error| unknown())?;
    let last = offer.mapping.columns.len();
    let at = number.checked_sub(1);
    let column = at.and_then(|at| offer.mapping.columns.get_mut(at));
    let column = column.ok_or_else(|| format!("columns go from 1 to {last}"))?;
    match word {
        "above" => column.fill_down = true,
        "blank" => column.fill_down = false,
        word => {
            column.field = Field::from_word(word)
                .ok_or_else(|| format!("no column holds {word:?}; type fields for the words"))?;
        }
    }
    let mut text = format!("column {number}: {}", say::field_text(&column.field));
    if column.fill_down {
        text.push_str(", blank means above");
    }
    Ok(text)
}
