//! A card: the front that stays, and below it the decision of the moment.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::view::Choice;
use crate::app::view::Front;
use crate::app::view::Reading;
use crate::app::view::Step;
use crate::domain::review::Sure;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::DONT_KNOW;
use crate::tui::state::Drill;
use crate::tui::state::Tagging;
use crate::tui::theme;
use crate::tui::view::over;
use crate::tui::view::parts;
use crate::tui::view::parts::Columns;
use crate::tui::view::verdict;

/// Rows below which lines that only help are left out.
const ROOMY: u16 = 16;
/// Rows from which the lines that explain a key stand as well.
const ROOMIER: u16 = 22;

pub(super) fn sheet(drill: &Drill, columns: usize, height: u16) -> Sheet {
    let view = &drill.view;
    let mut sheet = match (&view.front, &view.step) {
        (_, Step::Over(summary)) => over::sheet(summary, view.read_only.is_some(), columns),
        (Some(front), Step::Verdict { .. }) => verdict::sheet(front, drill, columns),
        (Some(front), _) => front_sheet(front, view.minutes_left, columns),
        (None, _) => Sheet::default(),
    };
    match (&drill.tagging, &view.step) {
        (Some(tagging), _) => tag(&mut sheet, tagging, columns),
        (None, Step::Circuit { .. }) => circuit(&mut sheet, drill, columns, height),
        (
            None,
            Step::Fix {
                circuit,
                prompt,
                options,
            },
        ) => {
            let ask = question(circuit.as_deref(), prompt);
            fix(&mut sheet, drill, (&ask, options), columns, height);
        }
        (None, Step::Verdict { .. } | Step::Over(_)) => {}
    }
    sheet
}

fn front_sheet(front: &Front, minutes_left: f64, columns: usize) -> Sheet {
    let aside = time_left(minutes_left);
    let (title, mut body) = heading(front, &aside, columns);
    body.extend(readings(front, table(front, columns)));
    Sheet {
        title,
        aside,
        top: cautions(front, columns),
        body,
        ..Sheet::default()
    }
}

/// Returns board, revisions and why the card comes now; that is a line of its own where it does not fit
/// beside what stands on the right.
pub(super) fn heading(front: &Front, aside: &str, columns: usize) -> (String, Vec<Line<'static>>) {
    let title = format!("{}   {}", front.board, front.revs);
    if front.mark.is_empty() {
        return (title, Vec::new());
    }
    let whole = format!("{title}   {}", front.mark);
    let beside = if aside.is_empty() {
        0
    } else {
        measure::width(aside) + 2
    };
    if measure::width(&whole) + beside <= columns {
        (whole, Vec::new())
    } else {
        (title, sheet::prose(&front.mark, columns, theme::quiet()))
    }
}

/// Returns the cautions, with a blank line after them.
pub(super) fn cautions(front: &Front, columns: usize) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    for caution in &front.cautions {
        lines.extend(sheet::prose(caution, columns, theme::caution()));
    }
    if !lines.is_empty() {
        lines.push(Line::default());
    }
    lines
}

/// Columns that two look-alikes need to stand side by side.
const SIDE_BY_SIDE: usize = 100;
/// Blank columns between them.
const BETWEEN: usize = 4;

/// Returns the question in words, complaint and readings.
pub(super) fn readings(front: &Front, table: Columns) -> Vec<Line<'static>> {
    let mut lines = sheet::prose(&front.stem, table.all, theme::strong());
    let asks_in_words = !front.stem.is_empty();
    if !asks_in_words {
        lines.clear();
    }
    let below = !front.complaint.is_empty() || !front.readings.is_empty();
    if asks_in_words && (below || !front.looks.is_empty()) {
        lines.push(Line::default());
    }
    if !front.complaint.is_empty() {
        lines.extend(complaint("Complaint", &front.complaint, table));
    }
    for reading in &front.readings {
        lines.extend(parts::reading(reading, table));
    }
    lines.extend(suspects(front, table));
    lines.extend(looks(front, table));
    lines
}

/// Returns the fixes that the front leaves possible, each with its letter.
pub(super) fn suspects(front: &Front, table: Columns) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    for suspect in &front.suspects {
        let label = format!("Suspect {}", suspect.letter);
        let text = format!("{}   ({})", suspect.what, suspect.chance);
        let width = table.label().max(label.len() + 2);
        lines.extend(sheet::labelled(
            &label,
            &text,
            width,
            table.all,
            theme::plain(),
        ));
    }
    lines
}

fn complaint(label: &str, text: &str, table: Columns) -> Vec<Line<'static>> {
    sheet::labelled(label, text, table.label(), table.all, theme::plain())
}

/// Returns the look-alikes: side by side where there is room, else one below the other.
fn looks(front: &Front, table: Columns) -> Vec<Line<'static>> {
    let beside = SIDE_BY_SIDE <= table.all;
    let columns = if beside {
        (table.all - BETWEEN) / 2
    } else {
        table.all
    };
    let mut blocks: Vec<Vec<Line<'static>>> = front
        .looks
        .iter()
        .map(|look| {
            let table = if beside {
                Columns::of(&look.readings, columns)
            } else {
                table
            };
            let mut block = vec![parts::line(look.letter.clone(), theme::strong())];
            block.extend(complaint("Complaint", &look.complaint, table));
            for reading in &look.readings {
                block.extend(parts::reading(reading, table));
            }
            block
        })
        .collect();
    if !beside {
        return blocks.concat();
    }
    let rows = blocks.iter().map(Vec::len).max().unwrap_or(0);
    (0..rows)
        .map(|row| {
            let mut spans = Vec::new();
            for (i, block) in blocks.iter_mut().enumerate() {
                let line = block.get_mut(row).map(std::mem::take).unwrap_or_default();
                let width = line.width();
                let style = line.style;
                if 0 < i {
                    spans.push(Span::raw(" ".repeat(BETWEEN)));
                }
                spans.extend(line.spans.into_iter().map(|s| s.patch_style(style)));
                spans.push(Span::raw(" ".repeat(columns.saturating_sub(width))));
            }
            Line::from(spans)
        })
        .collect()
}

/// Returns the columns of a card; the back keeps to them, so nothing moves at the verdict.
pub(super) fn table(front: &Front, columns: usize) -> Columns {
    if front.looks.is_empty() {
        return Columns::of(&front.readings, columns);
    }
    let all = front.looks.iter().flat_map(|look| &look.readings);
    let all: Vec<Reading> = all.cloned().collect();
    Columns::of(&all, columns)
}

fn time_left(minutes: f64) -> String {
    if minutes < 0.5 {
        "last cards".to_owned()
    } else {
        format!("about {minutes:.0} min left")
    }
}

fn name_of(pick: &Choice) -> &str {
    if pick.id.is_empty() {
        DONT_KNOW
    } else {
        &pick.id
    }
}

/// Returns the picks as they stand below each other: rows of (index, column).
pub(super) fn pick_rows(picks: &[Choice], columns: usize) -> Vec<Vec<(usize, usize)>> {
    let mut rows: Vec<Vec<(usize, usize)>> = Vec::new();
    let mut column = 1;
    for (i, pick) in picks.iter().enumerate() {
        let cell = measure::width(name_of(pick)) + 2;
        match rows.last_mut() {
            Some(row) if column + cell <= columns => row.push((i, column)),
            _ => {
                column = 1;
                rows.push(vec![(i, column)]);
            }
        }
        column += cell + 1;
    }
    rows
}

/// Returns the pick in the row above or below that stands nearest to pick `mark`.
pub(super) fn pick_in_next_row(picks: &[Choice], columns: usize, mark: usize, down: bool) -> usize {
    let rows = pick_rows(picks, columns);
    let place = rows.iter().enumerate().find_map(|(row, cells)| {
        let (_, column) = cells.iter().find(|(i, _)| *i == mark)?;
        Some((row, *column))
    });
    let Some((row, column)) = place else {
        return mark;
    };
    let next = if down {
        row.checked_add(1)
    } else {
        row.checked_sub(1)
    };
    next.and_then(|next| rows.get(next))
        .and_then(|cells| cells.iter().min_by_key(|(_, c)| c.abs_diff(column)))
        .map_or(mark, |(i, _)| *i)
}

fn circuit(sheet: &mut Sheet, drill: &Drill, columns: usize, height: u16) {
    let picks = drill.picks();
    let marked = drill.mark.and_then(|mark| picks.get(mark));
    let after = marked.map_or(String::new(), |pick| {
        format!("{}: {}", name_of(pick), pick.name)
    });
    let ask = "Which circuit?";
    let (line, cursor) = if ROOMY <= height {
        sheet.low = vec![parts::line(ask, theme::strong())];
        parts::prompt("> ", &drill.entry, columns, &after)
    } else {
        parts::prompt("Which circuit? > ", &drill.entry, columns, &after)
    };
    sheet.cursor = Some((sheet.low.len(), cursor));
    sheet.low.push(line);
    let rows = usize::from(height).saturating_sub(8).div_ceil(3).max(1);
    sheet
        .low
        .extend(pick_lines(&picks, drill.mark, columns, rows));
    if ROOMIER <= height {
        let help = "Type the first letters, or move with the arrows; Enter takes the one marked.";
        sheet
            .low
            .extend(sheet::prose(help, columns, theme::quiet()));
    }
}

/// Returns at most `n_rows` rows of picks, the marked one among them.
fn pick_lines(
    picks: &[Choice],
    mark: Option<usize>,
    columns: usize,
    n_rows: usize,
) -> Vec<Line<'static>> {
    if picks.is_empty() {
        return vec![parts::line("  no circuit begins so", theme::plain())];
    }
    let rows = pick_rows(picks, columns);
    let marked = rows
        .iter()
        .position(|row| row.iter().any(|(i, _)| mark == Some(*i)))
        .unwrap_or(0);
    let first = (marked + 1).saturating_sub(n_rows);
    rows.iter()
        .skip(first)
        .take(n_rows)
        .map(|row| {
            let mut spans = Vec::new();
            for (i, _) in row {
                let name = measure::shorten(name_of(&picks[*i]), columns.saturating_sub(3));
                spans.push(Span::raw(" "));
                spans.push(parts::choice(&name, mark == Some(*i)));
            }
            Line::from(spans)
        })
        .collect()
}

/// Returns the line above the answer: the circuit said, where one was asked, and what to type.
fn question(circuit: Option<&str>, prompt: &str) -> String {
    let said = match circuit {
        None => String::new(),
        Some("") => "Circuit: you don't know.   ".to_owned(),
        Some(circuit) => format!("Circuit: {circuit}.   "),
    };
    format!("{said}{prompt}, or Enter alone to say it aloud.")
}

fn fix(
    sheet: &mut Sheet,
    drill: &Drill,
    (ask, options): (&str, &[String]),
    columns: usize,
    height: u16,
) {
    let (line, cursor) = parts::prompt("> ", &drill.entry, columns, "");
    sheet.low = Vec::new();
    for (i, option) in options.iter().enumerate() {
        let number = (i + 1).to_string();
        let lines = sheet::labelled(&number, option, 4, columns, theme::plain());
        sheet.low.extend(lines);
    }
    sheet
        .low
        .extend(sheet::prose(ask, columns, theme::strong()));
    sheet.cursor = Some((sheet.low.len(), cursor));
    sheet.low.push(line);
    if ROOMY <= height {
        sheet.low.push(Line::default());
    }
    let mut spans = vec![Span::raw("How sure?  ")];
    for sure in Sure::ALL {
        spans.push(parts::choice(sure.word(), sure == drill.sure));
        spans.push(Span::raw(" "));
    }
    spans.push(Span::styled("  Tab changes it", theme::quiet()));
    sheet.low.push(Line::from(spans));
}

fn tag(sheet: &mut Sheet, tagging: &Tagging, columns: usize) {
    match tagging {
        Tagging::Asking => {
            sheet.low = sheet::prose("Tag this card out. Why?", columns, theme::strong());
            sheet.cursor = None;
            for (key, text) in [
                (
                    "d",
                    "doubtful: it may be wrong, and the lead will look at it",
                ),
                ("n", "not for me: it stays in use for everyone else"),
            ] {
                sheet
                    .low
                    .extend(sheet::labelled(key, text, 4, columns, theme::plain()));
            }
        }
        Tagging::Reason { doubtful, entry } => {
            let ask = if *doubtful {
                "Doubtful. What is wrong with it? (may stay empty)"
            } else {
                "Not for you. Why? (may stay empty)"
            };
            let (line, cursor) = parts::prompt("> ", entry, columns, "");
            sheet.low = sheet::prose(ask, columns, theme::strong());
            sheet.cursor = Some((sheet.low.len(), cursor));
            sheet.low.push(line);
        }
    }
}
