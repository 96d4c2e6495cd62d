//! A job being entered: cautions and the free line on top, the fields below, what is typed at the end.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::entry::look::At;
use crate::app::entry::look::FormLine;
use crate::app::entry::save::Written;
use crate::domain::intake::form::Standing;
use crate::domain::text;
use crate::domain::text::clean;
use crate::tui::add::FormPage;
use crate::tui::measure;
use crate::tui::open::OpenList;
use crate::tui::open::Typing;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of a field's name, with its sign.
const LABEL: usize = 15;
/// Lines of the free line that are shown at once.
const WORDS: usize = 4;
/// Remarks that are shown before saving.
const REMARKS: usize = 2;

/// Returns the form.
pub(super) fn form(page: &FormPage, columns: usize) -> Sheet {
    let view = &page.view;
    let mut top: Vec<Line<'static>> = Vec::new();
    for caution in view.cautions.iter().take(2) {
        top.extend(sheet::prose(caution, columns, theme::caution()));
    }
    let (words, at) = words(page, columns);
    let cursor_on_top = at.map(|(line, column)| (top.len() + line, column));
    top.extend(words);
    top.push(Line::default());
    let body: Vec<Line<'static>> = view
        .lines
        .iter()
        .map(|line| field(line, line.at == page.at, columns))
        .collect();
    let (low, cursor) = low(page, columns);
    Sheet {
        title: view.title.clone(),
        aside: aside(page),
        top,
        must: in_sight(page),
        body,
        low,
        cursor,
        cursor_on_top,
        ..Sheet::default()
    }
}

/// Returns the lines to keep in sight: the field at hand with the next; while words are typed, what was
/// read in them.
fn in_sight(page: &FormPage) -> (usize, usize) {
    let lines = &page.view.lines;
    if page.at == At::Words {
        let read = |line: &FormLine| matches!(line.at, At::Finding(_) | At::Action(_));
        let first = lines.iter().position(read);
        let last = lines.iter().rposition(read);
        return first.zip(last).map_or((0, 0), |(from, to)| (from, to + 1));
    }
    let at = lines.iter().position(|l| l.at == page.at);
    at.map_or((0, 0), |at| (at, (at + 2).min(lines.len())))
}

fn aside(page: &FormPage) -> String {
    let missing = page.view.missing.len();
    let waiting = page.view.lines.iter().filter(|l| l.waits()).count();
    match (missing, waiting) {
        (0, 0) => "whole: Ctrl-S writes it".to_owned(),
        (0, n) => format!("whole; {n} to look at"),
        (n, _) => format!("{n} still to give"),
    }
}

/// The free line in lines of its own, and where the cursor stands in them.
fn words(page: &FormPage, columns: usize) -> (Vec<Line<'static>>, Option<(usize, usize)>) {
    let typing = page.at == At::Words;
    let shown = if typing {
        page.entry.text()
    } else {
        &page.form.words
    };
    let before = if typing {
        page.entry.before_cursor().chars().count()
    } else {
        shown.chars().count()
    };
    let (rows, at) = folded(shown, before, columns.saturating_sub(3));
    let from = (at.0 + 1)
        .saturating_sub(WORDS)
        .min(rows.len().saturating_sub(WORDS));
    let style = if typing {
        theme::plain()
    } else {
        theme::quiet()
    };
    let mut lines: Vec<Line<'static>> = rows
        .iter()
        .enumerate()
        .skip(from)
        .take(WORDS)
        .map(|(i, row)| {
            let head = if i == 0 { "> " } else { "  " };
            Line::from(vec![
                Span::styled(head, theme::strong()),
                Span::styled(row.clone(), style),
            ])
        })
        .collect();
    if shown.is_empty() && !typing {
        lines = vec![parts::line("> nothing in free words", theme::quiet())];
    }
    if shown.is_empty() && typing {
        let example = "no power, 3V3_SB 0.41, residue at U31, replaced U31, 3V3_SB 3.31";
        let example = measure::shorten(&format!("   such as: {example}"), columns - 2);
        lines = vec![Line::from(vec![
            Span::styled("> ", theme::strong()),
            Span::styled(example, theme::quiet()),
        ])];
    }
    let cursor = typing.then_some((at.0 - from, at.1 + 2));
    (lines, cursor)
}

/// Folds a text into rows of `columns` at blanks where that is possible, line breaks kept, and tells in
/// which row and column the character number `at` stands.
fn folded(text: &str, at: usize, columns: usize) -> (Vec<String>, (usize, usize)) {
    let columns = columns.max(8);
    let mut rows = vec![String::new()];
    let mut place = (0, 0);
    let mut n = 0;
    for (nth, line) in text.split('\n').enumerate() {
        if 0 < nth {
            if n == at {
                place = (rows.len() - 1, measure::width(&rows[rows.len() - 1]));
            }
            n += 1;
            rows.push(String::new());
        }
        for word in line.split_inclusive(' ') {
            let row = rows.len() - 1;
            let whole = measure::width(&rows[row]) + measure::width(word.trim_end());
            if columns < whole && !rows[row].is_empty() {
                rows.push(String::new());
            }
            for c in word.chars() {
                let row = rows.len() - 1;
                if columns <= measure::width(&rows[row]) && c != ' ' {
                    rows.push(String::new());
                }
                let row = rows.len() - 1;
                if n == at {
                    place = (row, measure::width(&rows[row]));
                }
                rows[row].push(c);
                n += 1;
            }
        }
    }
    if n <= at {
        let row = rows.len() - 1;
        let column = measure::width(&rows[row]);
        if columns < column {
            rows.push(String::new());
            place = (row + 1, 0);
        } else {
            place = (row, column);
        }
    }
    (rows, place)
}

fn sign(line: &FormLine, here: bool) -> &'static str {
    match line.standing {
        _ if here => "▸ ",
        Standing::Proposed(_) => "? ",
        Standing::Missing => "- ",
        Standing::Bad(_) => "! ",
        _ => "  ",
    }
}

fn field(line: &FormLine, here: bool, columns: usize) -> Line<'static> {
    let label = measure::shorten(&line.label, LABEL - 3);
    let missing = line.standing == Standing::Missing;
    let value = if missing { "missing" } else { &line.value };
    let beside = match &line.standing {
        Standing::Proposed(_) if here => format!("{}: Enter takes it", line.beside),
        _ => line.beside.clone(),
    };
    let room = columns.saturating_sub(LABEL);
    let wide = measure::width(value);
    let value_room = if beside.is_empty() {
        room
    } else {
        wide.max(room * 2 / 5).min(room * 2 / 3) + 1
    };
    let value = measure::shorten(
        value,
        value_room.saturating_sub(usize::from(!beside.is_empty())),
    );
    let style = match line.standing {
        Standing::Missing | Standing::Bad(_) => theme::strong(),
        Standing::Usual(_) | Standing::Proposed(_) => theme::plain(),
        _ => theme::deciding(),
    };
    let mut spans = vec![
        Span::styled(sign(line, here), theme::sign()),
        Span::raw(measure::pad(&label, LABEL - 2)),
        Span::styled(value.clone(), style),
    ];
    if !beside.is_empty() {
        let used = LABEL + value_room;
        let gap = value_room.saturating_sub(measure::width(&value)).max(1);
        spans.push(Span::raw(" ".repeat(gap)));
        let room = columns.saturating_sub(used.max(LABEL + measure::width(&value) + gap));
        spans.push(Span::styled(
            measure::shorten(&beside, room),
            theme::quiet(),
        ));
    }
    Line::from(spans)
}

fn low(page: &FormPage, columns: usize) -> (Vec<Line<'static>>, Option<(usize, usize)>) {
    let view = &page.view;
    let mut low = Vec::new();
    let grave = |about| about == crate::domain::intake::advice::About::Danger;
    for remark in view.remarks.iter().take(REMARKS) {
        let style = if grave(remark.about) {
            theme::grave()
        } else {
            theme::strong()
        };
        let mut lines = sheet::prose(&remark.text, columns, style);
        if !grave(remark.about) {
            lines.truncate(2);
        }
        low.extend(lines);
    }
    if REMARKS < view.remarks.len() {
        let more = text::number_of(view.remarks.len() - REMARKS, "more remark");
        low.push(parts::line(format!("… {more}"), theme::quiet()));
    }
    if !view.unread.is_empty() && page.at == At::Words {
        let words = format!("Not understood, kept as it is: {}", view.unread.join(" | "));
        low.push(parts::line(
            measure::shorten(&words, columns),
            theme::quiet(),
        ));
    }
    let mut cursor = None;
    match &page.at {
        At::Words => {}
        At::Finding(_) => {
            let what =
                "Typing replaces this reading; Ctrl-T when it was seen, Ctrl-D takes it out.";
            low.push(parts::line(measure::shorten(what, columns), theme::quiet()));
        }
        At::Action(_) => {
            let what = "Typing replaces this act; Ctrl-T what it was for, Ctrl-D takes it out.";
            low.push(parts::line(measure::shorten(what, columns), theme::quiet()));
        }
        At::Slot(_) | At::Serial => {
            let label = page.line().map_or("Serial", |l| l.label.as_str());
            let after = if page.at == At::Serial {
                "only its mark is kept"
            } else {
                ""
            };
            let (line, column) = parts::prompt(&format!("{label} > "), &page.entry, columns, after);
            cursor = Some((low.len(), column));
            low.push(line);
        }
    }
    let all = page.suggestions();
    if !all.is_empty() && (!page.fresh || page.chosen.is_some()) {
        low.push(suggested(&all, page.offered(), columns));
    }
    (low, cursor)
}

fn suggested(all: &[String], offered: Option<usize>, columns: usize) -> Line<'static> {
    let mut spans = vec![Span::styled("  Tab ", theme::quiet())];
    let mut used = 6;
    for (i, word) in all.iter().enumerate() {
        used += measure::width(word) + 3;
        if columns < used {
            break;
        }
        spans.push(parts::choice(&clean(word), Some(i) == offered));
        spans.push(Span::raw(" "));
    }
    Line::from(spans)
}

/// Returns what was written.
pub(super) fn written(written: &Written, columns: usize) -> Sheet {
    let mut body = Vec::new();
    for line in written.lines() {
        body.extend(sheet::prose(&line, columns, theme::plain()));
        body.push(Line::default());
    }
    if let Some(earlier) = &written.earlier {
        let text = format!(
            "This unit was here before as {} ({}): r says what that means for it.",
            clean(&earlier.number),
            earlier.outcome_words()
        );
        body.extend(sheet::prose(&text, columns, theme::strong()));
    }
    Sheet {
        title: format!("Job {}", clean(&written.number)),
        aside: "on the disk".to_owned(),
        body,
        ..Sheet::default()
    }
}

/// Returns the jobs still on a bench.
pub(super) fn open_jobs(list: &OpenList, columns: usize) -> Sheet {
    let mut body = Vec::new();
    let mut must = (0, 0);
    for (i, job) in list.jobs.iter().enumerate() {
        let here = i == list.mark;
        let from = body.len();
        let head = format!(
            "{}  {}  {}  with {} since {}",
            job.number,
            job.board,
            job.complaint,
            job.with,
            job.since.format("%-d %b")
        );
        body.push(Line::from(vec![
            Span::styled(if here { "▸ " } else { "  " }, theme::sign()),
            Span::styled(
                measure::shorten(&clean(&head), columns.saturating_sub(2)),
                if here {
                    theme::strong()
                } else {
                    theme::plain()
                },
            ),
        ]));
        if here {
            for line in &job.log {
                let text = format!("{} {}  {}", line.at.format("%d %H:%M"), line.by, line.words);
                let text = measure::shorten(&clean(&text), columns.saturating_sub(6));
                body.push(parts::line(format!("      {text}"), theme::plain()));
            }
            must = (from, body.len());
        }
    }
    if list.jobs.is_empty() {
        let text = "No job is open. `benchlore jobs begin` begins one.";
        body = sheet::prose(text, columns, theme::plain());
    }
    let mut low = Vec::new();
    let mut cursor = None;
    if let Some((typing, entry)) = &list.typing {
        let (head, after) = match typing {
            Typing::Log => ("Seen or done > ", "3V3_SB 0.41"),
            Typing::Hand => ("Hand to > ", "initials, or a bench"),
        };
        let after = if entry.is_blank() { after } else { "" };
        let (line, column) = parts::prompt(head, entry, columns, after);
        cursor = Some((0, column));
        low.push(line);
    }
    Sheet {
        title: "Jobs on the bench, oldest first".to_owned(),
        aside: text::number_of(list.jobs.len(), "job"),
        body,
        must,
        low,
        cursor,
        ..Sheet::default()
    }
}

#[cfg(test)]
#[path = "add_tests.rs"]
mod tests;
