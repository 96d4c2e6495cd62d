//! One frame for every screen: a title, a rule, what is read, what is decided, a rule, the keys.
//!
//! A screen fills a [`Sheet`]; this file lays it out, scrolls what does not fit, and paints it. The
//! title, the pinned lines (cautions) and the decision stay in sight at every size from 40 by 10 up.

use ratatui::Frame;
use ratatui::layout::Position;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::text::Span;

use crate::tui::keymap::Binding;
use crate::tui::measure;
use crate::tui::theme;

/// Columns that text is read over at most; a wider window stays empty on the right.
pub const MEASURE: usize = 108;
/// Smallest window that is drawn.
pub const SMALLEST: (u16, u16) = (40, 10);
/// Rows of the frame itself: title, rule, rule, keys.
const FRAME: usize = 4;

/// One screen, ready to be laid out; every line already fits [`columns`].
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// Title on the left.
    pub title: String,
    /// Title on the right; left out where there is no room.
    pub aside: String,
    /// Lines that stay on top.
    pub top: Vec<Line<'static>>,
    /// Lines that scroll.
    pub body: Vec<Line<'static>>,
    /// Lines of the body that must be in sight at first: from, and up to but not including.
    pub must: (usize, usize),
    /// The pinned lines matter more than what `must` asks for (danger).
    pub top_first: bool,
    /// Lines that stay below: what is decided now.
    pub low: Vec<Line<'static>>,
    /// Cursor: line of `low`, column.
    pub cursor: Option<(usize, usize)>,
    /// Cursor where the text is typed on top: line of `top`, column.
    pub cursor_on_top: Option<(usize, usize)>,
    /// The pinned lines scroll with the rest, for want of room.
    pub loose: bool,
}

/// How much of the body is in sight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// First line shown.
    pub at: usize,
    /// Last line that may stand first.
    pub last: usize,
    /// Lines shown at once.
    pub rows: usize,
}

struct Layout {
    top: usize,
    rows: usize,
    marker: bool,
    low: usize,
    gap: usize,
}

/// Returns the columns that a line of a sheet may take in a window of `width`.
pub fn columns(width: u16) -> usize {
    usize::from(width).saturating_sub(2).min(MEASURE)
}

impl Sheet {
    /// Lets the pinned lines scroll with the rest where they would take more than half the room.
    ///
    /// A caution is never cut off: it stands first, whole, or it can be scrolled to.
    #[must_use]
    pub fn settled(mut self, height: u16) -> Self {
        let room = usize::from(height).saturating_sub(FRAME);
        let left = room.saturating_sub(self.low_rows(room));
        if left < self.top.len() + self.body.len() && !self.low.is_empty() {
            self.close_up();
        }
        let (top, body) = (self.top.len(), self.body.len());
        if left < top + body && left < top * 2 {
            self.must = match self.must {
                (from, to) if !self.top_first && 0 < to => (from + top, to + top),
                _ => self
                    .cursor_on_top
                    .map_or((0, 0), |(line, _)| (line, line + 1)),
            };
            self.loose = true;
            self.top.append(&mut self.body);
            self.body = std::mem::take(&mut self.top);
        }
        self
    }

    /// Takes the blank lines out of the body: room first, air second.
    fn close_up(&mut self) {
        let blank = |line: &Line<'_>| line.width() == 0;
        let blanks = |n: usize| self.body.iter().take(n).filter(|l| blank(l)).count();
        let (from, to) = self.must;
        self.must = (from - blanks(from), to - blanks(to));
        self.body.retain(|line| !blank(line));
    }

    fn low_rows(&self, room: usize) -> usize {
        self.low.len().min(room.saturating_sub(2).max(1))
    }

    /// Returns what of the body a window of `height` rows shows.
    pub fn extent(&self, height: u16, scroll: Option<usize>) -> Extent {
        let layout = self.layout(height);
        let last = self.body.len().saturating_sub(layout.rows);
        let (from, to) = self.must;
        let opens = to.saturating_sub(layout.rows).min(from);
        Extent {
            at: scroll.unwrap_or(opens).min(last),
            last,
            rows: layout.rows,
        }
    }

    fn layout(&self, height: u16) -> Layout {
        let room = usize::from(height).saturating_sub(FRAME);
        let low = self.low_rows(room);
        let left = room.saturating_sub(low);
        let top = self.top.len().min(left);
        let left = left - top;
        let fits = self.body.len() <= left;
        let marker = !fits && 1 < left;
        let rows = if fits {
            self.body.len()
        } else {
            left - usize::from(marker)
        };
        let gap = if fits && 0 < low { left - rows } else { 0 };
        Layout {
            top,
            rows,
            marker,
            low,
            gap: gap.min(1),
        }
    }

    /// Paints the sheet over the whole frame with its line of keys.
    pub fn paint(&self, frame: &mut Frame<'_>, scroll: Option<usize>, keys: &[&Binding]) {
        let area = frame.area();
        let wide = columns(area.width);
        let layout = self.layout(area.height);
        let extent = self.extent(area.height, scroll);
        let mut pen = Pen {
            frame,
            area,
            row: 0,
        };
        pen.line(&title(&self.title, &self.aside, wide));
        pen.line(&rule(wide));
        self.top.iter().take(layout.top).for_each(|l| pen.line(l));
        self.body
            .iter()
            .skip(extent.at)
            .take(extent.rows)
            .for_each(|l| pen.line(l));
        if layout.marker {
            pen.line(&more(extent, self.body.len()));
        }
        (0..layout.gap).for_each(|_| pen.line(&Line::default()));
        let low_at = pen.row;
        let hidden = self.low.len() - layout.low;
        self.low.iter().skip(hidden).for_each(|l| pen.line(l));
        if let Some((line, column)) = self.cursor
            && hidden <= line
        {
            pen.cursor(usize::from(low_at) + line - hidden, column);
        }
        if let Some((line, column)) = self.cursor_on_top {
            let shown = if self.loose {
                line.checked_sub(extent.at).filter(|l| *l < extent.rows)
            } else {
                Some(line).filter(|l| *l < layout.top)
            };
            if let Some(line) = shown {
                // The title and the rule stand above.
                pen.cursor(line + 2, column);
            }
        }
        pen.row = area.height.saturating_sub(2);
        pen.line(&rule(wide));
        pen.line(&key_line(keys));
    }
}

struct Pen<'a, 'b> {
    frame: &'a mut Frame<'b>,
    area: Rect,
    row: u16,
}

impl Pen<'_, '_> {
    fn line(&mut self, line: &Line<'static>) {
        if self.row < self.area.height {
            let place = Rect {
                x: self.area.x + 1,
                y: self.area.y + self.row,
                width: self.area.width.saturating_sub(1),
                height: 1,
            };
            self.frame.render_widget(line, place);
        }
        self.row += 1;
    }

    fn cursor(&mut self, row: usize, column: usize) {
        let (Ok(row), Ok(column)) = (u16::try_from(row), u16::try_from(column + 1)) else {
            return;
        };
        if row < self.area.height && column < self.area.width {
            self.frame
                .set_cursor_position(Position::new(self.area.x + column, self.area.y + row));
        }
    }
}

fn title(left: &str, right: &str, columns: usize) -> Line<'static> {
    let left = measure::shorten(left, columns);
    let gap = columns.saturating_sub(measure::width(&left) + measure::width(right));
    if right.is_empty() || gap < 2 {
        return Line::styled(left, theme::strong());
    }
    Line::from(vec![
        Span::styled(left, theme::strong()),
        Span::raw(" ".repeat(gap)),
        Span::raw(right.to_owned()),
    ])
}

/// Returns a thin rule.
pub fn rule(columns: usize) -> Line<'static> {
    Line::styled("─".repeat(columns), theme::quiet())
}

fn more(extent: Extent, n: usize) -> Line<'static> {
    let text = format!(
        "… lines {} to {} of {n}   PgUp PgDn",
        extent.at + 1,
        extent.at + extent.rows
    );
    Line::styled(text, theme::quiet())
}

fn key_line(keys: &[&Binding]) -> Line<'static> {
    let mut spans = Vec::new();
    for (i, key) in keys.iter().enumerate() {
        if 0 < i {
            spans.push(Span::raw("  "));
        }
        spans.push(Span::styled(key.show, theme::strong()));
        spans.push(Span::raw(format!(" {}", key.label)));
    }
    Line::from(spans)
}

/// Returns `text` as lines of `columns`, all in one style.
pub fn prose(text: &str, columns: usize, style: Style) -> Vec<Line<'static>> {
    measure::wrap(text, columns)
        .into_iter()
        .map(|line| Line::styled(line, style))
        .collect()
}

/// Returns `label  text` as lines; the text hangs beside its label.
pub fn labelled(
    label: &str,
    text: &str,
    label_columns: usize,
    columns: usize,
    style: Style,
) -> Vec<Line<'static>> {
    measure::wrap(text, columns.saturating_sub(label_columns))
        .into_iter()
        .enumerate()
        .map(|(i, line)| {
            let head = if i == 0 { label } else { "" };
            let head = measure::shorten(head, label_columns.saturating_sub(1));
            Line::from(vec![
                Span::raw(measure::pad(&head, label_columns)),
                Span::styled(line, style),
            ])
        })
        .collect()
}
