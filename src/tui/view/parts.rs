//! Pieces that several screens share: readings in columns, the interval bar, rows of choices.

use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::view::Reading;
pub(super) use crate::domain::axis::CELLS as BAR;
pub(super) use crate::domain::axis::bar;
use crate::domain::gaps::row::Share;
use crate::tui::entry::Entry;
use crate::tui::measure;
use crate::tui::theme;

/// Columns of one table of readings.
#[derive(Clone, Copy, Debug)]
pub(super) struct Columns {
    /// Name, with the blank after it.
    pub(super) name: usize,
    /// Value, with the blank after it.
    pub(super) value: usize,
    /// Everything.
    pub(super) all: usize,
}

/// Columns of the sign between name and value.
const SIGN: usize = 2;

impl Columns {
    /// Returns columns wide enough for `readings` in `all` columns, shared as evenly as need be.
    pub(super) fn of(readings: &[Reading], all: usize) -> Self {
        let widest = |text: fn(&Reading) -> &str| {
            readings
                .iter()
                .map(|r| measure::width(text(r)))
                .max()
                .unwrap_or(0)
        };
        let name = (widest(|r| &r.name) + 1).clamp(11, (all / 4).max(11));
        let rest = all.saturating_sub(name + SIGN);
        let value = widest(|r| &r.value) + 3;
        let reference = widest(|r| &r.reference);
        let value = if value + reference <= rest {
            value.max(rest * 2 / 5).min(rest - reference)
        } else {
            value.min((rest / 2).max(1))
        };
        Self { name, value, all }
    }

    /// Returns the column where values begin.
    pub(super) fn label(self) -> usize {
        self.name + SIGN
    }
}

/// Returns one reading as lines: name, sign, value, reference.
pub(super) fn reading(reading: &Reading, columns: Columns) -> Vec<Line<'static>> {
    let beside = columns
        .all
        .saturating_sub(columns.label() + columns.value)
        .max(1);
    let names = measure::wrap(&reading.name, columns.name.saturating_sub(1));
    let values = measure::wrap(&reading.value, columns.value.saturating_sub(1));
    let references = measure::wrap(&reading.reference, beside);
    let (sign, style) = if reading.decides {
        ("▸ ", theme::deciding())
    } else {
        ("  ", theme::plain())
    };
    let at = |cells: &[String], i: usize| cells.get(i).cloned().unwrap_or_default();
    (0..names.len().max(values.len()).max(references.len()))
        .map(|i| {
            let value = at(&values, i);
            let gap = columns.value.saturating_sub(measure::width(&value));
            Line::from(vec![
                Span::raw(measure::pad(&at(&names, i), columns.name)),
                Span::styled(if i == 0 { sign } else { "  " }, theme::sign()),
                Span::styled(value, style),
                Span::raw(" ".repeat(gap)),
                Span::raw(at(&references, i)),
            ])
        })
        .collect()
}

/// Returns a share as a whole per cent.
pub(super) fn per_cent(share: f64) -> String {
    format!("{:.0}", share * 100.0)
}

/// Returns a choice: in brackets where it is the one that Enter takes.
pub(super) fn choice(text: &str, chosen: bool) -> Span<'static> {
    if chosen {
        Span::styled(format!("[{text}]"), theme::chosen())
    } else {
        Span::raw(format!(" {text} "))
    }
}

/// Returns the line being typed after its `head`, and the column of the cursor.
///
/// `after` says what Enter would make of it, where there is room.
pub(super) fn prompt(
    head: &str,
    entry: &Entry,
    columns: usize,
    after: &str,
) -> (Line<'static>, usize) {
    let start = measure::width(head);
    let (text, cursor) = entry.window(columns.saturating_sub(start + 1));
    let typed = measure::width(&text);
    let gap = if typed < 12 { 15 - typed } else { 3 };
    let room = columns.saturating_sub(start + typed + gap);
    let mut spans = vec![
        Span::styled(head.to_owned(), theme::strong()),
        Span::raw(text),
    ];
    if !after.is_empty() && 8 < room {
        spans.push(Span::raw(" ".repeat(gap)));
        spans.push(Span::raw(measure::shorten(after, room)));
    }
    (Line::from(spans), cursor + start)
}

/// Columns of a meter: the bar and its number, or both in words.
pub(super) fn meter_width(wide: bool) -> usize {
    if wide { BAR + 5 } else { 16 }
}

/// Returns the columns that names take, with brackets and a blank.
pub(super) fn name_column<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names.map(measure::width).max().unwrap_or(0).clamp(9, 20) + 3
}

/// Tells whether a bar, its number and how often it was asked fit beside a name.
pub(super) fn bar_fits(name: usize, columns: usize) -> bool {
    name + meter_width(true) + 6 <= columns
}

/// Returns a name in its column, in brackets where it is marked.
pub(super) fn named(name: &str, marked: bool, column: usize) -> Vec<Span<'static>> {
    let name = measure::shorten(name, column.saturating_sub(3));
    let gap = column.saturating_sub(measure::width(&name) + 2);
    vec![choice(&name, marked), Span::raw(" ".repeat(gap))]
}

/// Returns a share on the axis with its number, or why none stands there.
pub(super) fn meter(share: Share, wide: bool) -> Vec<Span<'static>> {
    let width = meter_width(wide);
    let Some((at, limits)) = share.told() else {
        return vec![Span::raw(measure::pad(share.state().words(), width))];
    };
    if !wide {
        let [at, low, high] = [at, limits.low, limits.high].map(per_cent);
        let text = format!("{at} ({low} to {high})");
        return vec![Span::raw(measure::pad(&text, width))];
    }
    vec![
        Span::styled(bar(limits.low, at, limits.high), theme::scale()),
        Span::raw(format!("{:>5}", per_cent(at))),
    ]
}

/// Returns a line of one style.
pub(super) fn line(text: impl Into<String>, style: Style) -> Line<'static> {
    Line::styled(text.into(), style)
}
