//! Before a board: the list of boards, the line of words, and the page of what the shop knows.
//!
//! Cautions stand first and whole. Where whole they would take more than half the window they begin
//! the page instead, and one line of each stays above whatever is being read.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::brief::Brief;
use crate::app::brief::JobMatch;
use crate::tui::brief::Before;
use crate::tui::brief::Stage;
use crate::tui::entry::Entry;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of an id.
const ID: usize = 16;
/// Rows of a window that the frame takes.
const FRAME: usize = 4;

pub(super) fn sheet(before: &Before, columns: usize, rows: u16) -> Sheet {
    match &before.stage {
        Stage::Board { entry, mark } => boards(before, entry, *mark, columns),
        Stage::Words => words(before, columns),
        Stage::Page(brief, mark) => page(brief, *mark, columns, rows),
    }
}

fn boards(before: &Before, entry: &Entry, mark: usize, columns: usize) -> Sheet {
    let fits = before.fits();
    let body = if before.boards.is_empty() {
        sheet::prose("The shop lists no boards.", columns, theme::plain())
    } else {
        fits.iter()
            .enumerate()
            .map(|(i, board)| {
                let id = measure::shorten(&board.id, ID - 1);
                let gap = ID.saturating_sub(measure::width(&id));
                Line::from(vec![
                    parts::choice(&id, i == mark),
                    Span::raw(" ".repeat(gap)),
                    Span::raw(measure::shorten(
                        &board.name,
                        columns.saturating_sub(ID + 3),
                    )),
                ])
            })
            .collect()
    };
    let after = match fits.len() {
        0 if !entry.is_blank() => "no board begins so",
        _ => "",
    };
    let (line, cursor) = parts::prompt("> ", entry, columns, after);
    Sheet {
        title: "Before a board".to_owned(),
        aside: "which one?".to_owned(),
        body,
        must: (mark, mark + 1),
        low: vec![
            parts::line("The first letters of its id or name:", theme::plain()),
            line,
        ],
        cursor: Some((1, cursor)),
        ..Sheet::default()
    }
}

fn words(before: &Before, columns: usize) -> Sheet {
    let name = before.board.as_ref().map_or("", |b| &b.name);
    let mut body = Vec::new();
    for text in [
        "The complaint, findings, parts; a comma after each. For example",
        "  3V3_SB low, draw cycling 61-118 mA",
        "  no power, residue at U31",
        "  3V3_SB 210 ohm",
        "With nothing typed: the board's commonest faults.",
    ] {
        body.extend(sheet::prose(text, columns, theme::plain()));
    }
    let (line, cursor) = parts::prompt("> ", &before.words, columns, "");
    Sheet {
        title: name.to_owned(),
        aside: "before a board".to_owned(),
        body,
        low: vec![parts::line("What do you see?", theme::strong()), line],
        cursor: Some((1, cursor)),
        ..Sheet::default()
    }
}

fn page(brief: &Brief, mark: Option<usize>, columns: usize, rows: u16) -> Sheet {
    let said = |texts: &[String]| -> Vec<Line<'static>> {
        texts
            .iter()
            .flat_map(|text| sheet::prose(text, columns, theme::caution()))
            .collect()
    };
    let whole = said(&brief.cautions);
    let room = usize::from(rows).saturating_sub(FRAME);
    let pinned = (whole.len() + 1) * 2 <= room;
    let (mut top, mut body) = if pinned {
        (whole, Vec::new())
    } else {
        let mut body = whole;
        body.push(Line::default());
        (said(&brief.caution_lines), body)
    };
    // With no job marked the page opens at its very beginning: the whole cautions.
    if !pinned && mark.is_none() {
        top = Vec::new();
    }
    if !top.is_empty() {
        top.push(Line::default());
    }
    let strong = |text: &str| sheet::prose(text, columns, theme::strong());
    body.extend(strong(&brief.cards_line("d drills")));
    if !brief.words.is_empty() {
        body.extend(sheet::labelled(
            "You see",
            &brief.words,
            11,
            columns,
            theme::plain(),
        ));
    }
    body.push(Line::default());
    body.extend(strong(&brief.jobs_line()));
    let mut must = (0, 0);
    for (i, job) in brief.jobs.iter().enumerate() {
        let from = body.len();
        body.extend(job_lines(job, mark == Some(i), columns));
        if mark == Some(i) {
            must = (from, body.len());
        }
    }
    if !brief.good.is_empty() {
        body.push(Line::default());
        body.extend(strong("A good board reads"));
        let wide = parts::Columns::of(&brief.good, columns);
        body.extend(brief.good.iter().flat_map(|r| parts::reading(r, wide)));
    }
    Sheet {
        title: brief.name.clone(),
        aside: "before a board".to_owned(),
        top,
        body,
        must,
        ..Sheet::default()
    }
}

fn job_lines(job: &JobMatch, marked: bool, columns: usize) -> Vec<Line<'static>> {
    let heading = format!("{}: {}", job.heading(), job.mark);
    let heading = measure::shorten(&heading, columns.saturating_sub(2));
    let mut lines = vec![Line::from(parts::choice(&heading, marked))];
    for line in job.lines() {
        let style = if line.starts_with("UNSAFE") {
            theme::grave()
        } else {
            theme::plain()
        };
        lines.extend(
            measure::wrap(&line, columns.saturating_sub(4))
                .into_iter()
                .map(|text| Line::styled(format!("    {text}"), style)),
        );
    }
    lines
}
