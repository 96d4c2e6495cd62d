//! The archive: jobs in columns, one job whole, the follow-up list, how a job came back.
//!
//! Only the rows in sight are made into lines, so that a list of any length is drawn at once.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::jobs::JobRow;
use crate::app::jobs::page::WholeJob;
use crate::domain::job::Outcome;
use crate::domain::text;
use crate::domain::text::clean;
use crate::domain::wording;
use crate::tui::jobs::ArchiveList;
use crate::tui::jobs::FollowList;
use crate::tui::jobs::ReturnForm;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of a number, in its brackets.
const NUMBER: usize = 10;
/// Columns of a day.
const DAY: usize = 11;
/// Columns of an outcome.
const OUTCOME: usize = 10;
/// Columns of a tier.
const TIER: usize = 5;
/// Columns of a label on a job's page.
const LABEL: usize = 18;

/// Returns the first row in sight and how many are: the mark stays in the middle.
pub(super) fn window(n: usize, mark: usize, room: usize) -> (usize, usize) {
    let room = room.max(1);
    let last = n.saturating_sub(room);
    (mark.saturating_sub(room / 2).min(last), room.min(n))
}

/// Returns the rows that are free for a list beside `taken` lines and what the program says.
pub(super) fn room(state: &State, taken: usize, columns: usize) -> usize {
    let said = state
        .notice
        .as_ref()
        .map_or(0, |notice| measure::wrap(&notice.text, columns).len());
    // Title, two rules, keys, and one blank line.
    usize::from(state.size.1).saturating_sub(5 + taken + said)
}

fn short_outcome(row: &JobRow) -> &'static str {
    match row.outcome {
        Outcome::Held => "held",
        Outcome::UnknownSoFar if row.held => "as held",
        Outcome::UnknownSoFar => "not known",
        Outcome::BouncedSameFault | Outcome::BouncedOtherFault => "came back",
        Outcome::NoFix => "no fix",
    }
}

/// One column: its heading, its width, what it shows.
struct Column {
    head: &'static str,
    width: usize,
    text: fn(&JobRow) -> String,
}

/// Returns the columns that fit: the fix takes what is left, and the tier gives way to it first.
fn columns_of(columns: usize) -> Vec<Column> {
    let column = |head, width, text| Column { head, width, text };
    let mut all = vec![
        column("closed", DAY, |r: &JobRow| r.closed_on.to_string()),
        column("board", 12, |r| clean(&r.board)),
    ];
    if 70 <= columns {
        all.push(column("circuit", 13, |r| {
            clean(r.family.as_deref().unwrap_or("-"))
        }));
    }
    if 100 <= columns {
        all.push(column("complaint", 22, |r| {
            wording::complaint_text(&r.complaint)
        }));
    }
    let taken: usize = all.iter().map(|c| c.width).sum();
    let tier = if 70 <= columns { TIER } else { 0 };
    let fix = columns.saturating_sub(NUMBER + taken + OUTCOME + tier);
    all.push(column("fix", fix.max(4), JobRow::fix_words));
    all.push(column("outcome", OUTCOME, |r| short_outcome(r).to_owned()));
    if 0 < tier {
        all.push(column("tier", tier, |r| r.tier_letter().to_owned()));
    }
    all
}

pub(super) fn cell(text: &str, width: usize) -> String {
    let text = measure::shorten(text, width.saturating_sub(1).max(1));
    measure::pad(&text, width)
}

fn number(row: &JobRow, marked: bool) -> Vec<Span<'static>> {
    let text = measure::shorten(&clean(&row.number), NUMBER - 3);
    let gap = (NUMBER - 2).saturating_sub(measure::width(&text));
    vec![parts::choice(&text, marked), Span::raw(" ".repeat(gap))]
}

fn row(row: &JobRow, marked: bool, all: &[Column]) -> Line<'static> {
    let mut spans = number(row, marked);
    let cells: String = all.iter().map(|c| cell(&(c.text)(row), c.width)).collect();
    spans.push(Span::raw(cells.trim_end().to_owned()));
    Line::from(spans)
}

fn head(all: &[Column]) -> Line<'static> {
    let mut text = measure::pad(" job", NUMBER);
    text.extend(all.iter().map(|c| cell(c.head, c.width)));
    Line::styled(text.trim_end().to_owned(), theme::quiet())
}

/// The marked job in a sentence or two.
fn detail(row: &JobRow, columns: usize) -> Vec<Line<'static>> {
    let text = format!(
        "{}, {}: {}. {}; {}.",
        clean(&row.number),
        clean(&row.board_name),
        wording::complaint_text(&row.complaint),
        row.fix_words(),
        row.outcome_words()
    );
    let lines = measure::wrap(&text, columns);
    let second = lines[1..].join(" ");
    let shown = [lines[0].clone(), measure::shorten(&second, columns)];
    shown
        .into_iter()
        .filter(|line| !line.is_empty())
        .map(|line| Line::styled(line, theme::plain()))
        .collect()
}

/// Returns the list of closed jobs.
pub(super) fn archive(state: &State, list: &ArchiveList, columns: usize) -> Sheet {
    let all = columns_of(columns);
    let mut low = list
        .rows
        .get(list.mark)
        .map_or_else(Vec::new, |marked| detail(marked, columns));
    // The height of the list does not depend on which job is marked.
    low.resize(2, Line::default());
    let mut cursor = None;
    if let Some(entry) = &list.typing {
        let example = "words and readings: no charge, u31, 3V3_SB low";
        let after = if entry.text().is_empty() { example } else { "" };
        let (line, column) = parts::prompt("Search > ", entry, columns, after);
        low.push(line);
        cursor = Some((low.len() - 1, column));
    }
    if 0 < list.damaged {
        let places = text::number_of(list.damaged, "place");
        let text = format!("Damage found in {places}: what is damaged is not listed.");
        low.extend(sheet::prose(&text, columns, theme::strong()));
    }
    let (from, n) = window(
        list.rows.len(),
        list.mark,
        room(state, 1 + low.len(), columns),
    );
    let mut body: Vec<Line<'static>> = list
        .rows
        .iter()
        .enumerate()
        .skip(from)
        .take(n)
        .map(|(i, r)| row(r, i == list.mark, &all))
        .collect();
    if list.rows.is_empty() {
        let text = if list.searched.is_empty() {
            "No closed jobs yet."
        } else {
            "No job has any of that. Esc shows all jobs again."
        };
        body = sheet::prose(text, columns, theme::plain());
    }
    let at = (list.mark + 1).min(list.rows.len());
    Sheet {
        title: if list.searched.is_empty() {
            "Closed jobs, newest first".to_owned()
        } else {
            format!("Jobs found by: {}", clean(&list.searched))
        },
        aside: if list.searched.is_empty() {
            format!("{at} of {}", list.of)
        } else {
            format!("{at} of {} found", list.rows.len())
        },
        top: vec![head(&all)],
        body,
        low,
        cursor,
        ..Sheet::default()
    }
}

/// Returns one job whole.
pub(super) fn job(state: &State, page: &WholeJob, columns: usize) -> Sheet {
    let label = LABEL.min(columns / 3);
    let mut body = vec![Line::styled(
        measure::shorten(&clean(&page.title), columns),
        theme::strong(),
    )];
    for (name, text) in &page.lines {
        body.extend(sheet::labelled(
            &clean(name),
            &clean(text),
            label,
            columns,
            theme::plain(),
        ));
    }
    Sheet {
        title: format!("Job {}", clean(&page.number)),
        aside: aside(state),
        body,
        ..Sheet::default()
    }
}

fn aside(state: &State) -> String {
    use crate::tui::state::Page;
    let place = state.layers.iter().rev().find_map(|l| match &l.page {
        Page::Archive(list) => Some((list.mark, list.rows.len())),
        Page::FollowUp(list) => Some((list.mark, list.list.waiting.len())),
        _ => None,
    });
    place.map_or_else(String::new, |(mark, n)| format!("{} of {n}", mark + 1))
}

/// Returns the follow-up list.
pub(super) fn follow_up(state: &State, list: &FollowList, columns: usize) -> Sheet {
    let waiting = &list.list.waiting;
    let mut low = Vec::new();
    if let Some(marked) = waiting.get(list.mark) {
        low.extend(detail(&marked.row, columns));
        let again = match &marked.again {
            Some(number) => format!("Its unit came again as {}: r links the two.", clean(number)),
            None => "Nobody knows whether its unit came again: ask, then y or r.".to_owned(),
        };
        low.extend(sheet::prose(&again, columns, theme::plain()));
    }
    if let Some(why) = &list.list.read_only {
        let text = format!("Read only: {}", clean(why));
        low.extend(sheet::prose(&text, columns, theme::grave()));
    }
    let days = list.list.warranty_days;
    let what = match list.list.by_themselves {
        0 => format!("Past {days} warranty days, and nobody has said whether the repair held."),
        n => format!(
            "Past {days} warranty days, and nobody has said whether the repair held. {} more {} as held: the unit has not come again.",
            n,
            if n == 1 { "counts" } else { "count" }
        ),
    };
    let mut top = sheet::prose(&what, columns, theme::quiet());
    let board = 12;
    let fix = columns.saturating_sub(NUMBER + DAY + 10 + board + 1);
    top.push(Line::styled(
        format!(
            "{}{}{}{}fix",
            measure::pad(" job", NUMBER),
            cell("closed", DAY),
            cell("days ago", 10),
            cell("board", board),
        ),
        theme::quiet(),
    ));
    let taken = top.len() + low.len();
    let (from, n) = window(waiting.len(), list.mark, room(state, taken, columns));
    let mut body: Vec<Line<'static>> = waiting
        .iter()
        .enumerate()
        .skip(from)
        .take(n)
        .map(|(i, w)| {
            let mut spans = number(&w.row, i == list.mark);
            spans.push(Span::raw(format!(
                "{}{}{}{}",
                cell(&w.row.closed_on.to_string(), DAY),
                cell(&format!("{:>5}", w.days), 10),
                cell(&clean(&w.row.board), board),
                measure::shorten(&w.row.fix_words(), fix)
            )));
            Line::from(spans)
        })
        .collect();
    if waiting.is_empty() {
        body = sheet::prose("Nobody has to be asked.", columns, theme::strong());
    }
    let at = (list.mark + 1).min(waiting.len());
    Sheet {
        title: "Follow-up, oldest first".to_owned(),
        aside: format!("{at} of {}", waiting.len()),
        top,
        body,
        low,
        ..Sheet::default()
    }
}

/// Returns the questions about a job that came back.
pub(super) fn returned(form: &ReturnForm, columns: usize) -> Sheet {
    let number = clean(&form.of.number);
    let answers = form.answers();
    let mut sheet = Sheet {
        aside: "nothing is written before the last Enter".to_owned(),
        top: detail(&form.of, columns),
        ..Sheet::default()
    };
    sheet.top.push(Line::default());
    if answers.is_empty() {
        sheet.title = format!("{number} came back as which job?");
        let all = columns_of(columns);
        sheet.body = form
            .choices
            .iter()
            .enumerate()
            .map(|(i, r)| row(r, Some(i) == form.mark, &all))
            .collect();
        if form.choices.is_empty() {
            let text = "No later job of its unit is known: type the number of the later job.";
            sheet.body = sheet::prose(text, columns, theme::plain());
        }
        let (line, column) = parts::prompt("Number > ", &form.entry, columns, "");
        sheet.low = vec![line];
        sheet.cursor = Some((0, column));
        sheet.must = form.mark.map_or((0, 0), |m| (m, m + 1));
        return sheet;
    }
    let by = clean(form.by.as_deref().unwrap_or_default());
    sheet.title = if form.same.is_none() {
        format!("{number} came back as {by}: with which fault?")
    } else {
        format!("{number} came back as {by}: why?")
    };
    sheet.body = answers
        .iter()
        .enumerate()
        .map(|(i, words)| Line::from(parts::choice(words, Some(i) == form.mark)))
        .collect();
    sheet
}
