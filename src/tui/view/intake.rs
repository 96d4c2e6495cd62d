//! The intake desk: the rows that wait, and one row beside the job read of it.
//!
//! Doubtful words carry `▸` and the number of their doubt, which is told in a sentence below: the
//! mark and the number say what the underline only helps to see.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::intake::ListRow;
use crate::app::intake::page::FieldView;
use crate::app::intake::page::Piece;
use crate::app::intake::page::RowPage;
use crate::domain::intake::repair::Side;
use crate::domain::text::clean;
use crate::domain::text::number_of;
use crate::tui::intake::IntakeList;
use crate::tui::intake::REASONS;
use crate::tui::intake::RowWork;
use crate::tui::intake::Saying;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::jobs::cell;
use crate::tui::view::jobs::room;
use crate::tui::view::jobs::window;
use crate::tui::view::parts;

/// Columns from which row and job stand side by side.
const SIDE_BY_SIDE: usize = 76;
/// Columns of a field's name.
const LABEL: usize = 11;
/// Columns of a board in the list.
const BOARD: usize = 12;
/// Columns of what a row lacks.
const LACKS: usize = 21;
/// Candidates and readings that are shown below at most.
const BELOW: usize = 4;

fn lacks(row: &ListRow) -> String {
    let doubts = match row.doubts {
        0 => String::new(),
        n => number_of(n, "doubt"),
    };
    match (row.missing, doubts.is_empty()) {
        (0, true) => "whole".to_owned(),
        (0, false) => doubts,
        (n, true) => format!("{n} missing"),
        (n, false) => format!("{n} missing, {doubts}"),
    }
}

/// Returns the rows that wait.
pub(super) fn list(state: &State, list: &IntakeList, columns: usize) -> Sheet {
    let worth = list
        .worth
        .as_deref()
        .unwrap_or("Counting what these rows are worth …");
    let any = !list.rows.is_empty();
    let mut top = Vec::new();
    if any {
        top.extend(sheet::prose(worth, columns, theme::strong()));
    }
    for note in &list.notes {
        top.extend(sheet::prose(note, columns, theme::quiet()));
    }
    let widest = list.rows.iter().map(|r| measure::width(&r.source)).max();
    let source = (widest.unwrap_or(0) + 3).clamp(12, columns / 3);
    let wide = 70 <= columns;
    let board = if wide { BOARD } else { 0 };
    let words = columns.saturating_sub(source + board + LACKS).max(1);
    let mut head = cell(" row", source);
    if wide {
        head.push_str(&cell("board", board));
    }
    head.push_str(&cell("lacks", LACKS));
    head.push_str("words");
    top.push(Line::styled(head, theme::quiet()));
    let mut low = Vec::new();
    if let Some(marked) = list.rows.get(list.mark) {
        low.extend(marked_words(marked, columns));
    }
    low.resize(2, Line::default());
    if let Some(why) = &list.read_only {
        let text = format!("Read only: {}", clean(why));
        low.extend(sheet::prose(&text, columns, theme::grave()));
    }
    let taken = top.len() + low.len();
    let (from, n) = window(list.rows.len(), list.mark, room(state, taken, columns));
    let shown = list.rows.iter().enumerate().skip(from).take(n);
    let mut body: Vec<Line<'static>> = shown
        .map(|(i, row)| {
            let name = measure::shorten(&row.source, source.saturating_sub(3));
            let gap = source.saturating_sub(measure::width(&name) + 2);
            let mut rest = String::new();
            if wide {
                rest.push_str(&cell(&row.board, board));
            }
            let what = if row.note.is_empty() {
                lacks(row)
            } else {
                row.note.clone()
            };
            rest.push_str(&cell(&what, LACKS));
            rest.push_str(&measure::shorten(&row.words, words));
            Line::from(vec![
                parts::choice(&name, i == list.mark),
                Span::raw(" ".repeat(gap)),
                Span::raw(rest.trim_end().to_owned()),
            ])
        })
        .collect();
    if !any {
        let text = "No row waits. `benchlore jobs import` takes sheets in; what needs a person \
                    comes here.";
        body = sheet::prose(text, columns, theme::plain());
    }
    Sheet {
        title: "Intake: rows that need a person, most worth first".to_owned(),
        aside: format!(
            "{} of {}",
            (list.mark + 1).min(list.rows.len()),
            list.rows.len()
        ),
        top,
        body,
        low,
        ..Sheet::default()
    }
}

/// The words of the marked row, in two lines at most.
fn marked_words(row: &ListRow, columns: usize) -> Vec<Line<'static>> {
    let lines = measure::wrap(&row.words, columns);
    let second = lines[1..].join(" ");
    [lines[0].clone(), measure::shorten(&second, columns)]
        .into_iter()
        .filter(|line| !line.is_empty())
        .map(|line| Line::styled(line, theme::plain()))
        .collect()
}

/// Returns one row with the job read of it.
pub(super) fn row(work: &RowWork, columns: usize, height: u16) -> Sheet {
    let page = &work.page;
    let mut top = Vec::new();
    if let Some(clash) = &page.clash {
        let text = format!("TWICE: {clash}; m says which job it is.");
        top.extend(sheet::prose(&text, columns, theme::grave()));
    }
    if let Some(theirs) = &page.theirs {
        let text = format!("This row is in the stretch of {theirs}.");
        top.extend(sheet::prose(&text, columns, theme::strong()));
    }
    if columns < SIDE_BY_SIDE && !matches!(work.saying, Some(Saying::Split { .. })) {
        top.extend(in_doubt(work, columns));
    }
    let (body, must) = match &work.saying {
        Some(Saying::Split { sides, mark }) => split_lines(page, sides, *mark, columns),
        _ if SIDE_BY_SIDE <= columns => beside(work, columns),
        _ => stacked(work, columns),
    };
    let (low, cursor) = low(work, columns, height);
    Sheet {
        title: page.source.clone(),
        aside: format!("{} of {}", page.at + 1, page.of),
        top,
        body,
        must,
        low,
        cursor,
        ..Sheet::default()
    }
}

type Body = (Vec<Line<'static>>, (usize, usize));

/// The row on the left, the job on the right.
fn beside(work: &RowWork, columns: usize) -> Body {
    let left_columns = columns * 2 / 5;
    let right_columns = columns - left_columns - 3;
    let mut left = cells(&work.page, left_columns);
    left.push(Line::default());
    left.extend(doubts(&work.page, left_columns));
    let (right, must) = fields(work, right_columns);
    let n = left.len().max(right.len());
    let mut body = Vec::new();
    for i in 0..n {
        let mut line = left.get(i).cloned().unwrap_or_default();
        let gap = left_columns.saturating_sub(line.width());
        line.spans.push(Span::raw(" ".repeat(gap)));
        line.spans.push(Span::styled(" │ ", theme::quiet()));
        if let Some(right) = right.get(i) {
            line.spans.extend(right.spans.iter().cloned());
        }
        body.push(line);
    }
    (body, must)
}

/// The row above, the job below.
fn stacked(work: &RowWork, columns: usize) -> Body {
    let mut body = cells(&work.page, columns);
    body.extend(doubts(&work.page, columns));
    body.push(sheet::rule(columns));
    let at = body.len();
    let (right, (from, to)) = fields(work, columns);
    body.extend(right);
    (body, (from + at, to + at))
}

/// The words that the marked field is in doubt about, and the doubt: where row and job do not stand side
/// by side, these stay in sight.
fn in_doubt(work: &RowWork, columns: usize) -> Vec<Line<'static>> {
    let Some(n) = work.field().and_then(|field| field.doubts.first().copied()) else {
        return Vec::new();
    };
    let mut pieces = work.page.cells.iter().flat_map(|(_, pieces)| pieces);
    let words = pieces.find(|piece| piece.doubt == Some(n));
    let words = words.map_or("", |piece| piece.text.as_str());
    let doubt = work.page.doubts.get(n - 1).map_or("", String::as_str);
    let mut line = vec![(format!("▸{n} "), theme::sign())];
    if !words.is_empty() {
        line.push((words.to_owned(), theme::deciding()));
        line.push((": ".to_owned(), theme::plain()));
    }
    line.push((doubt.to_owned(), theme::plain()));
    let mut lines = wrapped(&line, columns);
    lines.truncate(2);
    lines
}

/// The cells, doubtful words marked.
fn cells(page: &RowPage, columns: usize) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    for (header, pieces) in &page.cells {
        if pieces.iter().all(|piece| piece.text.trim().is_empty()) {
            continue;
        }
        let header = if header.is_empty() { "-" } else { header };
        let mut words = vec![(format!("{header}: "), theme::quiet())];
        words.extend(pieces.iter().flat_map(piece));
        lines.extend(wrapped(&words, columns));
    }
    lines
}

fn piece(piece: &Piece) -> Vec<(String, ratatui::style::Style)> {
    match piece.doubt {
        Some(n) => vec![
            (format!("▸{n} "), theme::sign()),
            (piece.text.clone(), theme::deciding()),
        ],
        None => vec![(piece.text.clone(), theme::plain())],
    }
}

/// Breaks styled words into lines, with the second line and those after it set in by two.
fn wrapped(words: &[(String, ratatui::style::Style)], columns: usize) -> Vec<Line<'static>> {
    let whole: String = words.iter().map(|(text, _)| text.as_str()).collect();
    let styles: Vec<ratatui::style::Style> = words
        .iter()
        .flat_map(|(text, style)| text.chars().map(|_| *style))
        .collect();
    let characters: Vec<char> = whole.chars().collect();
    let mut lines = Vec::new();
    let mut at = 0;
    for line in measure::wrap(&whole, columns.saturating_sub(2)) {
        // What the wrap left out between two lines are blanks.
        let mut spans: Vec<Span<'static>> = Vec::new();
        if !lines.is_empty() {
            spans.push(Span::raw("  "));
        }
        for c in line.chars() {
            while characters.get(at).is_some_and(|next| *next != c) {
                at += 1;
            }
            let style = styles.get(at).copied().unwrap_or_default();
            at += 1;
            match spans.last_mut() {
                Some(last) if last.style == style => last.content.to_mut().push(c),
                _ => spans.push(Span::styled(c.to_string(), style)),
            }
        }
        lines.push(Line::from(spans));
    }
    lines
}

fn doubts(page: &RowPage, columns: usize) -> Vec<Line<'static>> {
    (1..)
        .zip(&page.doubts)
        .flat_map(|(n, text)| {
            let words = [
                (format!("▸{n} "), theme::sign()),
                (text.clone(), theme::plain()),
            ];
            wrapped(&words, columns)
        })
        .collect()
}

/// The fields, and which lines the marked one takes.
fn fields(work: &RowWork, columns: usize) -> Body {
    let mut lines = Vec::new();
    let mut must = (0, 0);
    for (i, field) in work.page.fields.iter().enumerate() {
        let from = lines.len();
        lines.extend(field_lines(field, i == work.mark, columns));
        if i == work.mark {
            must = (from, lines.len());
        }
    }
    (lines, must)
}

fn field_lines(field: &FieldView, marked: bool, columns: usize) -> Vec<Line<'static>> {
    let room = columns.saturating_sub(LABEL + 2).max(1);
    let mut texts: Vec<(String, ratatui::style::Style)> = Vec::new();
    for fact in &field.facts {
        texts.push((fact.clone(), theme::plain()));
    }
    if let Some(missing) = field.missing {
        texts.push((format!("MISSING: {missing}"), theme::strong()));
    }
    for maybe in &field.maybe {
        texts.push((format!("perhaps: {maybe}?"), theme::deciding()));
    }
    if texts.is_empty() {
        texts.push(("-".to_owned(), theme::quiet()));
    }
    if let Some((first, _)) = texts.first_mut()
        && !field.doubts.is_empty()
    {
        let numbers: Vec<String> = field.doubts.iter().map(|n| format!("▸{n}")).collect();
        *first = format!("{first} {}", numbers.join(" "));
    }
    let label = if marked {
        parts::choice(field.label, true)
    } else {
        Span::raw(format!(" {} ", field.label))
    };
    let gap = (LABEL + 2).saturating_sub(label.width());
    let mut lines = Vec::new();
    for (text, style) in texts {
        for line in measure::wrap(&text, room) {
            let head = if lines.is_empty() {
                vec![label.clone(), Span::raw(" ".repeat(gap))]
            } else {
                vec![Span::raw(" ".repeat(LABEL + 2))]
            };
            let mut spans = head;
            spans.push(Span::styled(line, style));
            lines.push(Line::from(spans));
        }
    }
    lines
}

fn split_lines(page: &RowPage, sides: &[Side], mark: usize, columns: usize) -> Body {
    let mut lines = sheet::prose(
        "What belongs to which job? Board and day stand on both.",
        columns,
        theme::strong(),
    );
    lines.push(Line::default());
    let before = lines.len();
    for (i, (words, side)) in page.items.iter().zip(sides).enumerate() {
        let side = match side {
            Side::First => "1",
            Side::Second => "2",
            Side::Both => "both",
        };
        let words = measure::shorten(words, columns.saturating_sub(9));
        lines.push(Line::from(vec![
            parts::choice(side, i == mark),
            Span::raw(" ".repeat(7_usize.saturating_sub(side.len() + 2))),
            Span::raw(words),
        ]));
    }
    let at = before + mark;
    (lines, (at, at + 1))
}

type Low = (Vec<Line<'static>>, Option<(usize, usize)>);

/// What is being said, and what it would come to.
fn low(work: &RowWork, columns: usize, height: u16) -> Low {
    let most = if height < 22 { BELOW - 1 } else { BELOW };
    match &work.saying {
        Some(Saying::Mend { slot, entry, read }) => {
            let label = crate::app::intake::page::label(*slot);
            let (line, column) = parts::prompt(&format!("{label} > "), entry, columns, "");
            let mut lines = vec![line];
            lines.extend(read_lines(read.as_ref(), columns, most));
            lines.truncate(most + 1);
            lines.resize(most + 1, Line::default());
            (lines, Some((0, column)))
        }
        Some(Saying::Same { entry, found, mark }) => {
            let head = "Same job as > ";
            let (line, column) = parts::prompt(head, entry, columns, "");
            let mut lines = vec![line];
            lines.extend(found.iter().enumerate().take(most).map(|(i, c)| {
                let name = parts::choice(&c.number, Some(i) == *mark);
                let gap = 14_usize.saturating_sub(name.width());
                let about = measure::shorten(&c.about, columns.saturating_sub(15));
                Line::from(vec![name, Span::raw(" ".repeat(gap)), Span::raw(about)])
            }));
            if found.is_empty() && !entry.is_blank() {
                let text = "No job has a number that begins so.";
                lines.push(parts::line(text, theme::plain()));
            }
            lines.resize(most + 1, Line::default());
            (lines, Some((0, column)))
        }
        Some(Saying::Skip { entry, .. }) => {
            let after = if entry.text().is_empty() {
                REASONS[0]
            } else {
                ""
            };
            let after = if after.is_empty() {
                String::new()
            } else {
                format!("Tab: {after}")
            };
            let (line, column) = parts::prompt("Skip, because > ", entry, columns, &after);
            (vec![line], Some((0, column)))
        }
        Some(Saying::Split { .. }) => (Vec::new(), None),
        None => (standing(&work.page, columns), None),
    }
}

fn read_lines(
    read: Option<&Result<Box<FieldView>, String>>,
    columns: usize,
    most: usize,
) -> Vec<Line<'static>> {
    match read {
        None => sheet::prose(
            "Say it in your own words; a lone - empties the field.",
            columns,
            theme::quiet(),
        ),
        Some(Err(why)) => sheet::prose(&clean(why), columns, theme::plain()),
        Some(Ok(field)) => {
            let mut lines = field_lines(field, false, columns);
            if most < lines.len() {
                lines.truncate(most - 1);
                lines.push(parts::line("  …", theme::quiet()));
            }
            lines
        }
    }
}

/// Whether the row can be accepted, and what stands in the way.
fn standing(page: &RowPage, columns: usize) -> Vec<Line<'static>> {
    let missing: Vec<&str> = page.fields.iter().filter_map(|f| f.missing).collect();
    let text = if missing.is_empty() {
        "Nothing required is missing: Enter accepts.".to_owned()
    } else {
        format!("Missing: {}.", missing.join(", "))
    };
    sheet::prose(&text, columns, theme::strong())
}
