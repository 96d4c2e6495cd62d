//! The end of a sitting: what it came to.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::view::Summary;
use crate::domain::text;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::theme;
use crate::tui::view::parts;

pub(super) fn sheet(summary: &Summary, read_only: bool, columns: usize) -> Sheet {
    let cards = text::number_of(summary.cards, "card");
    let minutes = format!("{:.1} minutes", summary.minutes);
    let mut body = vec![
        parts::line(format!("{cards} in {minutes}"), theme::strong()),
        Line::default(),
    ];
    let recalled = summary.cards.saturating_sub(summary.missed);
    let widest = [summary.cards, summary.new, summary.missed]
        .into_iter()
        .map(|n| n.to_string().len())
        .max()
        .unwrap_or(1);
    for (label, n) in [
        ("Recalled", recalled),
        ("Missed", summary.missed),
        ("Met first", summary.new),
    ] {
        body.push(Line::from(vec![
            Span::raw(measure::pad(label, 12)),
            Span::raw(format!("{n:>widest$}")),
        ]));
    }
    body.push(Line::default());
    let text = if read_only {
        "Nothing of this was kept."
    } else if summary.cards == 0 {
        "Nothing was answered, so nothing was kept."
    } else {
        "Every answer is on the disk. A missed card comes back soon; that is how it stays."
    };
    body.extend(sheet::prose(text, columns, theme::plain()));
    if let Some(line) = summary.fit_line() {
        body.extend(sheet::prose(&line, columns, theme::plain()));
    }
    Sheet {
        title: "The sitting is over".to_owned(),
        body,
        ..Sheet::default()
    }
}
