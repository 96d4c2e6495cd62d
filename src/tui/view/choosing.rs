//! Lists to choose from: all circuits, and whose sitting it was.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::domain::circuit::Family;
use crate::domain::text::clean;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of an id.
const ID: usize = 16;

fn row(id: &str, text: &str, marked: bool, columns: usize) -> Line<'static> {
    let id = measure::shorten(id, ID - 1);
    let gap = ID.saturating_sub(measure::width(&id));
    let text = measure::shorten(text, columns.saturating_sub(ID + 3));
    Line::from(vec![
        parts::choice(&id, marked),
        Span::raw(" ".repeat(gap)),
        Span::raw(text),
    ])
}

/// Returns the list of circuits.
pub(super) fn families(families: &[Family], mark: usize, columns: usize) -> Sheet {
    Sheet {
        title: "Circuits".to_owned(),
        aside: "Enter opens the page".to_owned(),
        body: families
            .iter()
            .enumerate()
            .map(|(i, f)| row(&clean(&f.id), &clean(&f.name), i == mark, columns))
            .collect(),
        must: (mark, mark + 1),
        ..Sheet::default()
    }
}

/// Returns the list of people that a sitting may be given to.
pub(super) fn people(state: &State, mark: usize, columns: usize) -> Sheet {
    Sheet {
        title: "Whose sitting was it?".to_owned(),
        body: state
            .others()
            .into_iter()
            .enumerate()
            .map(|(i, p)| row(&p.initials, &p.role, i == mark, columns))
            .collect(),
        must: (mark, mark + 1),
        low: sheet::prose(
            "All its answers move to the person you take; nothing is lost.",
            columns,
            theme::plain(),
        ),
        ..Sheet::default()
    }
}
