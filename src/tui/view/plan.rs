//! The weeks ahead of one person: the band, what it says, three budgets, and the circuits.

use ratatui::text::Line;

use crate::app::plan::Plan;
use crate::app::plan_lines;
use crate::domain::ahead::picture;
use crate::tui::entry::Entry;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of the labels.
const LABEL: usize = 15;
/// Widest picture: a longer one says no more.
const WIDEST: usize = 76;

pub(super) fn sheet(plan: &Plan, columns: usize) -> Sheet {
    let until = plan_lines::date(plan.until, plan.day);
    let mut body = Vec::new();
    if !plan.ready_by.is_empty() {
        body.extend(sheet::prose(&plan.ready_by, columns, theme::strong()));
        body.push(Line::default());
    }
    body.extend(sheet::prose(
        &plan_lines::picture(plan),
        columns,
        theme::strong(),
    ));
    let wide = columns.min(WIDEST);
    let drawn = picture::band(&plan.at, &plan.ready, ("today", &until), wide);
    body.extend(
        drawn
            .into_iter()
            .map(|line| parts::line(line, theme::plain())),
    );
    body.push(Line::default());
    let whole = plan_lines::budgets(plan, false);
    let fits = plan_lines::in_columns(&whole)
        .iter()
        .all(|line| measure::width(line) <= columns);
    let own = Some(usize::from(0.0 < plan.minutes));
    body.extend(table(&plan_lines::budgets(plan, !fits), columns, own));
    body.push(Line::default());
    for fact in plan_lines::facts(plan) {
        let lines = sheet::labelled(fact.label, &fact.text, LABEL, columns, theme::plain());
        body.extend(lines);
    }
    body.push(Line::default());
    body.extend(table(&plan_lines::families(plan), columns, None));
    body.push(Line::default());
    body.extend(table(&plan_lines::targets(plan), columns, None));
    body.extend(sheet::prose(
        plan_lines::TARGET_CHANGES,
        columns,
        theme::quiet(),
    ));
    body.push(Line::default());
    body.extend(sheet::prose(plan_lines::LEFT_OUT, columns, theme::quiet()));
    Sheet {
        title: format!("Plan   {}   {}", plan.initials, plan_lines::span(plan)),
        aside: "simulated, not measured".to_owned(),
        body,
        ..Sheet::default()
    }
}

/// Returns the line in which a day to be ready by is typed, and what stands now.
pub(super) fn ready_by(state: &State, entry: &Entry, columns: usize) -> Sheet {
    let stands = state.home.as_ref().map_or("", |home| &home.ready_by);
    let mut body = Vec::new();
    if stands.is_empty() {
        let text = "No day to be ready by stands: the usual order has every sitting.";
        body.extend(sheet::prose(text, columns, theme::plain()));
    } else {
        body.extend(sheet::prose(stands, columns, theme::strong()));
    }
    body.push(Line::default());
    for text in plan_lines::READY_BY_HELP {
        body.extend(sheet::prose(text, columns, theme::quiet()));
    }
    let after = if entry.is_blank() {
        "2026-12-20 petrel-p4 10"
    } else {
        ""
    };
    let (line, column) = parts::prompt("Ready by > ", entry, columns, after);
    Sheet {
        title: "Ready by a day".to_owned(),
        body,
        low: vec![line],
        cursor: Some((0, column)),
        ..Sheet::default()
    }
}

/// Returns how far the simulation is: runs done, of how many.
pub(super) fn under_way(done: u64, all: u64, columns: usize) -> Sheet {
    let mut body = vec![Line::default()];
    let wide = columns.min(BAR);
    if let Some(filled) = (done * wide as u64).checked_div(all) {
        let text = "Simulating the coming weeks ...";
        body.push(parts::line(text, theme::plain()));
        body.push(Line::default());
        let filled = usize::try_from(filled).unwrap_or(wide).min(wide);
        let bar = format!("{}{}", "█".repeat(filled), "░".repeat(wide - filled));
        body.push(parts::line(bar, theme::plain()));
        let text = format!("{done} of {all} runs through them");
        body.push(parts::line(text, theme::plain()));
    } else {
        body.push(parts::line("Reading what you answered ...", theme::plain()));
    }
    body.push(Line::default());
    let text = "The plan shows by itself when it is there. Esc goes back without it.";
    body.extend(sheet::prose(text, columns, theme::quiet()));
    Sheet {
        title: "Plan".to_owned(),
        body,
        ..Sheet::default()
    }
}

/// Widest bar.
const BAR: usize = 50;

/// Returns a table whose head is quiet; the row at `own`, counted after the head, stands out.
///
/// In a window too narrow for it a row becomes its first cell and, below it, the others by their heads.
fn table<const N: usize>(
    rows: &[[String; N]],
    columns: usize,
    own: Option<usize>,
) -> Vec<Line<'static>> {
    let lines = plan_lines::in_columns(rows);
    if lines.iter().all(|line| measure::width(line) <= columns) {
        return lines
            .into_iter()
            .enumerate()
            .map(|(at, line)| {
                let row = at.checked_sub(1);
                let style = match row {
                    None => theme::quiet(),
                    Some(_) if row == own => theme::strong(),
                    Some(_) => theme::plain(),
                };
                parts::line(line, style)
            })
            .collect();
    }
    let Some((head, rows)) = rows.split_first() else {
        return Vec::new();
    };
    rows.iter()
        .flat_map(|row| {
            let cells = head.iter().zip(row).skip(1);
            let text: Vec<String> = cells.map(|(head, cell)| format!("{head} {cell}")).collect();
            sheet::labelled(&row[0], &text.join("; "), LABEL, columns, theme::plain())
        })
        .collect()
}
