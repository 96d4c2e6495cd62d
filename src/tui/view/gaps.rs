//! Gaps of one person: every circuit on one axis, what is known of the one marked, the cards behind.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::gap_lines;
use crate::app::gaps;
use crate::app::gaps::GapLine;
use crate::app::gaps::Gaps;
use crate::domain::axis;
use crate::domain::gaps::row::Confusion;
use crate::domain::text::clean;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of the labels of what is known.
const LABEL: usize = 19;
/// Rows beside list and facts: title, rules, keys, the axis, a blank.
const FRAME: usize = 6;

/// Returns the list of circuits, with what is known of the one marked as far as it fits.
pub(super) fn sheet(found: &Gaps, mark: usize, columns: usize, height: u16) -> Sheet {
    let ids = found.lines.iter().map(|line| line.id.as_str());
    let name = parts::name_column(ids);
    let wide = parts::bar_fits(name, columns);
    let head = if wide { axis::HEAD } else { "right, 95 %" };
    let top = format!(
        "{}{}{:>6}",
        " ".repeat(name),
        measure::pad(head, parts::meter_width(wide)),
        "asked"
    );
    let mut body = Vec::new();
    let mut must = (0, 0);
    for (i, line) in found.lines.iter().enumerate() {
        if i == mark {
            must = (body.len(), body.len() + 1);
        }
        let mut spans = parts::named(&line.id, i == mark, name);
        spans.extend(parts::meter(line.row.circuit, wide));
        spans.push(Span::raw(format!("{:>6}", line.row.circuit.asked)));
        body.push(Line::from(spans));
        let ends = found
            .lines
            .get(i + 1)
            .is_none_or(|next| next.against != line.against);
        if let Some(words) = gap_lines::standing(line).filter(|_| ends) {
            body.push(parts::line(format!("   {words}"), theme::quiet()));
        }
    }
    let low = match found.lines.get(mark) {
        Some(line) => {
            // What the list leaves free, and a third of the window where it leaves less.
            let free = usize::from(height).saturating_sub(body.len() + FRAME);
            known(line, columns, free.max(usize::from(height / 3)))
        }
        None => sheet::prose("No cards yet, and no answers.", columns, theme::plain()),
    };
    Sheet {
        title: format!("Gaps   {}   {}", found.initials, gap_lines::span(found)),
        aside: "spot checks only".to_owned(),
        top: vec![parts::line(top, theme::quiet())],
        body,
        must,
        low,
        ..Sheet::default()
    }
}

fn heading(line: &GapLine) -> String {
    if line.id == line.name {
        line.id.clone()
    } else {
        format!("{}   {}", line.id, line.name)
    }
}

fn fact_lines(line: &GapLine, columns: usize) -> Vec<Line<'static>> {
    gap_lines::facts(&line.row, Some(&line.name), line.buys.as_ref())
        .into_iter()
        .flat_map(|fact| sheet::labelled(fact.label, &fact.text, LABEL, columns, theme::plain()))
        .collect()
}

/// Returns what is known of a circuit in at most `rows` lines; Enter shows it all.
fn known(line: &GapLine, columns: usize, rows: usize) -> Vec<Line<'static>> {
    let head = measure::shorten(&heading(line), columns);
    let mut lines = vec![parts::line(head, theme::strong())];
    lines.extend(fact_lines(line, columns));
    if rows < lines.len() {
        lines.truncate(rows.saturating_sub(1).max(1));
        lines.push(parts::line("… Enter shows the rest", theme::quiet()));
    }
    lines
}

/// Returns everything known of one circuit, and the cards behind it.
pub(super) fn cards(line: &GapLine, columns: usize) -> Sheet {
    let mut body = fact_lines(line, columns);
    body.push(Line::default());
    let head = match line.cards.len() {
        0 => "No card of this circuit has been spot-checked in these days.",
        _ => "The cards spot-checked, those that went wrong first",
    };
    body.extend(sheet::prose(head, columns, theme::strong()));
    for card in &line.cards {
        let answer = if card.answer.is_empty() {
            "answer no longer in use"
        } else {
            &card.answer
        };
        let said = match card.said.as_slice() {
            [] => String::new(),
            said => format!(", said {}", said.join(", ")),
        };
        let fix = match card.fix.asked {
            0 => String::new(),
            n => format!("; fix {} of {n}, typed", card.fix.right),
        };
        let text = format!(
            "{}: {answer}.  Circuit {} of {} right{said}{fix}; last {}",
            card.board,
            card.circuit.right,
            card.circuit.asked,
            card.last.format("%-d %b %Y")
        );
        body.extend(sheet::labelled("-", &text, 2, columns, theme::plain()));
    }
    Sheet {
        title: heading(line),
        aside: "spot checks only".to_owned(),
        body,
        ..Sheet::default()
    }
}

/// Returns which circuit was taken for which.
pub(super) fn pairs(pairs: &[Confusion], columns: usize) -> Sheet {
    let row = |asked: &str, said: &str, n: &str| {
        format!(
            "{}{}{n:>5}",
            measure::pad(&measure::shorten(asked, 15), 16),
            measure::pad(&measure::shorten(said, 15), 16)
        )
    };
    let mut body: Vec<Line<'static>> = pairs
        .iter()
        .map(|pair| {
            let (asked, said) = (clean(&pair.asked), gaps::said_words(&pair.said));
            Line::raw(row(&asked, &said, &pair.n.to_string()))
        })
        .collect();
    if body.is_empty() {
        let text = "No circuit was taken for another in these spot checks.";
        body = sheet::prose(text, columns, theme::plain());
    }
    Sheet {
        title: "Taken for another".to_owned(),
        aside: "spot checks only".to_owned(),
        top: vec![parts::line(row("it was", "said", "times"), theme::quiet())],
        body,
        ..Sheet::default()
    }
}
