//! The verdict: what was right, the readings that decide it, the answer with its evidence, the grade.
//!
//! What would hurt someone stands first of all. After it: the front, where it was; then the answer,
//! the border with the circuit that was said, why, and the evidence, most needed first.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::view::Back;
use crate::app::view::Front;
use crate::app::view::PointLine;
use crate::app::view::Step;
use crate::app::view::TestLine;
use crate::domain::review::Grade;
use crate::domain::units;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::Drill;
use crate::tui::theme;
use crate::tui::view::card;
use crate::tui::view::parts;
use crate::tui::view::parts::Columns;

pub(super) fn sheet(front: &Front, drill: &Drill, columns: usize) -> Sheet {
    let Step::Verdict {
        back,
        proposed,
        grade,
        grade_fixed,
        ..
    } = &drill.view.step
    else {
        return Sheet::default();
    };
    let mut top = Vec::new();
    if let Some(danger) = &back.danger {
        top.extend(sheet::prose(
            &format!("DANGER  {danger}"),
            columns,
            theme::grave(),
        ));
        top.push(Line::default());
    }
    top.extend(card::cautions(front, columns));
    if let Some(corrected) = &back.corrected {
        top.extend(sheet::prose(corrected, columns, theme::strong()));
        top.push(Line::default());
    }
    let (body, must) = told(front, back, columns);
    Sheet {
        title: format!("{}   {}", grade.label(), back.verdict),
        aside: front.board.clone(),
        top,
        body,
        must,
        top_first: back.danger.is_some(),
        low: vec![if *grade_fixed {
            let text = format!("{}: an unsafe answer stays so.", grade.label());
            parts::line(text, theme::strong())
        } else {
            scale(*grade, *proposed, drill.view.read_only.is_some(), columns)
        }],
        ..Sheet::default()
    }
}

/// Returns the front, the answer and its evidence below it, and which lines the answer takes.
pub(super) fn told(
    front: &Front,
    back: &Back,
    columns: usize,
) -> (Vec<Line<'static>>, (usize, usize)) {
    let table = card::table(front, columns);
    let mut body = card::readings(front, table);
    if front.readings.iter().any(|r| r.decides) {
        body.push(Line::from(vec![
            Span::raw(" ".repeat(table.name)),
            Span::styled("▸", theme::sign()),
            Span::styled(" marks what decides it", theme::quiet()),
        ]));
    }
    // The results speak of suspects by their letters: those stay in sight.
    let suspects = card::suspects(front, table).len();
    body.push(Line::default());
    let from = if suspects == 0 {
        body.len()
    } else {
        body.len() - 1 - suspects
    };
    body.extend(answer(back, table));
    let must = (from, body.len());
    body.extend(evidence(back, table));
    (body, must)
}

fn row(label: &str, text: &str, table: Columns) -> Vec<Line<'static>> {
    if text.is_empty() {
        return Vec::new();
    }
    sheet::labelled(label, text, table.label(), table.all, theme::plain())
}

fn answer(back: &Back, table: Columns) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if let Some(unjudged) = &back.unjudged {
        lines.extend(row("Not judged", unjudged, table));
    }
    if !back.circuit.is_empty() {
        lines.extend(sheet::prose(&back.circuit, table.all, theme::plain()));
    }
    for look in &back.looks {
        for (i, reading) in look.separates.iter().enumerate() {
            let mut reading = reading.clone();
            reading.decides = true;
            reading.name = if i == 0 {
                format!("{} {}", look.letter, reading.name)
            } else {
                format!("  {}", reading.name)
            };
            lines.extend(parts::reading(&reading, table));
        }
        let text = format!("{}   (circuit {})", look.answer, look.circuit);
        lines.extend(sheet::labelled(
            "",
            &text,
            table.label(),
            table.all,
            theme::strong(),
        ));
    }
    for point in &back.points {
        lines.extend(point_lines(point, table));
    }
    if !back.tests.is_empty() {
        lines.extend(row("Note", &back.note, table));
    }
    lines.extend(tests(&back.tests, table));
    for (i, line) in back.sums.iter().enumerate() {
        lines.extend(row(if i == 0 { "Sum" } else { "" }, line, table));
    }
    for (i, answer) in back.answers.iter().enumerate() {
        let label = if i == 0 { "Answer" } else { "or" };
        lines.extend(sheet::labelled(
            label,
            answer,
            table.label(),
            table.all,
            theme::strong(),
        ));
    }
    if let Some(rule) = &back.boundary {
        lines.extend(row("Told apart", rule, table));
    }
    if back.tests.is_empty() {
        lines.extend(row("Note", &back.note, table));
    }
    lines.extend(row("Source", &back.source, table));
    lines
}

/// Columns before the measurement: whether it is right, bits a minute, minutes.
const BEFORE_TEST: usize = 21;

/// Returns the measurements as a table: right or not, bits a minute, minutes, and below each what its
/// results would mean.
fn tests(tests: &[TestLine], table: Columns) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if !tests.is_empty() {
        let head = "       bits/min  min  measurement, what results mean";
        lines.push(parts::line(
            measure::shorten(head, table.all),
            theme::quiet(),
        ));
    }
    for test in tests {
        let right = if test.right { "right" } else { "" };
        let label = format!("{right:<7}{:>8}{:>5}", test.rate, test.minutes);
        let style = if test.right {
            theme::strong()
        } else {
            theme::plain()
        };
        let named = if test.said == Some(true) {
            "   (named)"
        } else {
            ""
        };
        let text = format!("{}{named}", test.say);
        let all = table.all;
        lines.extend(sheet::labelled(&label, &text, BEFORE_TEST + 1, all, style));
        for result in &test.results {
            let style = theme::plain();
            lines.extend(sheet::labelled("", result, BEFORE_TEST + 3, all, style));
        }
    }
    lines
}

/// Returns a point with the word for it: said or not.
fn point_lines(point: &PointLine, table: Columns) -> Vec<Line<'static>> {
    let (label, style) = match point.said {
        Some(true) => ("said", theme::plain()),
        Some(false) => ("not said", theme::strong()),
        None => ("point", theme::plain()),
    };
    let extra = if point.needed { "" } else { "   (not needed)" };
    let text = format!("{}{extra}", point.say);
    sheet::labelled(label, &text, table.label(), table.all, style)
}

fn evidence(back: &Back, table: Columns) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    for (i, why) in back.why_lines().enumerate() {
        lines.extend(row(if i == 0 { "Why" } else { "" }, why, table));
    }
    lines.extend(share(back, table));
    for (i, board) in back.boards.iter().enumerate() {
        lines.extend(row(if i == 0 { "Boards" } else { "" }, board, table));
    }
    for (i, other) in back.others.iter().enumerate() {
        lines.extend(row(if i == 0 { "Others" } else { "" }, other, table));
    }
    for (i, reading) in back.held_back.iter().enumerate() {
        if i == 0 {
            lines.push(parts::line("Held back until now:", theme::quiet()));
        }
        lines.extend(parts::reading(reading, table));
    }
    for (i, warn) in back.warn.iter().enumerate() {
        lines.extend(row(if i == 0 { "To check" } else { "" }, warn, table));
    }
    if let Some(signs) = &back.first_signs {
        lines.extend(row("Signs", signs, table));
    }
    lines
}

fn share(back: &Back, table: Columns) -> Vec<Line<'static>> {
    let (k, n, low, high) = back.share;
    let mut lines = Vec::new();
    if 0 < n {
        let at = units::count(k) / units::count(n);
        let limits = format!("{} to {} %", parts::per_cent(low), parts::per_cent(high));
        let room = table.all.saturating_sub(table.label());
        let words = measure::width(&back.share_text);
        let drawn = parts::BAR + 2 + measure::width(&limits);
        if words + 2 + drawn <= room {
            lines.push(Line::from(vec![
                Span::raw(measure::pad("Jobs", table.label())),
                Span::raw(format!("{}  ", back.share_text)),
                Span::styled(parts::bar(low, at, high), theme::scale()),
                Span::raw(format!("  {limits}")),
            ]));
        } else {
            lines.extend(row("Jobs", &back.share_text, table));
            if drawn <= room {
                lines.push(Line::from(vec![
                    Span::raw(" ".repeat(table.label())),
                    Span::styled(parts::bar(low, at, high), theme::scale()),
                    Span::raw(format!("  {limits}")),
                ]));
            } else {
                lines.extend(row("", &limits, table));
            }
        }
    }
    let mut facts: Vec<String> = Vec::new();
    if !back.bounced.is_empty() {
        facts.push(back.bounced.clone());
    }
    if !back.support.is_empty() {
        facts.push(format!("support: {}", back.support));
    }
    if !back.last.is_empty() {
        facts.push(format!("latest {}", back.last));
    }
    lines.extend(row("", &facts.join("; "), table));
    lines
}

fn scale(grade: Grade, proposed: Grade, read_only: bool, columns: usize) -> Line<'static> {
    let head = match (columns < 44, read_only) {
        (true, _) => "",
        (false, true) => "Would be ",
        (false, false) => "Keep as  ",
    };
    let mut spans = vec![Span::raw(head)];
    for one in Grade::ALL {
        spans.push(parts::choice(one.label(), one == grade));
    }
    let after = if grade == proposed {
        Span::styled("   ↑ ↓ changes it", theme::quiet())
    } else {
        Span::raw(format!("   proposed: {}", proposed.label()))
    };
    let used: usize = spans.iter().map(|s| measure::width(&s.content)).sum();
    if used + measure::width(&after.content) <= columns {
        spans.push(after);
    }
    Line::from(spans)
}
