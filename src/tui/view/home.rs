//! The home screen: what today holds, and what is met and kept in each circuit.
//!
//! The right half of the list stays free: intervals from spot checks belong there.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::view::FamilyMeter;
use crate::app::view::Home;
use crate::domain::text;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of the day's labels.
const LABEL: usize = 11;

pub(super) fn sheet(state: &State, mark: usize, columns: usize) -> Sheet {
    let Some(home) = &state.home else {
        return Sheet::default();
    };
    let mut top = today(home, columns);
    top.push(Line::default());
    let mut body = Vec::new();
    if home.families.is_empty() {
        let text = "No cards yet: they are made from closed jobs.";
        body.extend(sheet::prose(text, columns, theme::plain()));
    } else {
        let head = "By circuit.   met: seen at least once   kept: you would know it today";
        top.extend(sheet::prose(head, columns, theme::quiet()));
        body.extend(meters(&home.families, mark));
    }
    Sheet {
        title: home.shop.clone(),
        aside: aside(home, columns),
        top,
        must: (mark, mark + 1),
        body,
        low: remarks(home, columns),
        ..Sheet::default()
    }
}

fn aside(home: &Home, columns: usize) -> String {
    let room = columns.saturating_sub(measure::width(&home.shop) + 3);
    let whole = format!("{}  (Tab: someone else)   {}", home.initials, home.date);
    let short = format!("{}   {}", home.initials, home.date);
    [whole, short]
        .into_iter()
        .find(|text| measure::width(text) <= room)
        .unwrap_or_else(|| home.initials.clone())
}

fn today(home: &Home, columns: usize) -> Vec<Line<'static>> {
    let row = |label: &str, text: &str, style| sheet::labelled(label, text, LABEL, columns, style);
    if home.planned == 0 {
        let text = if home.done_today == 0 {
            "nothing is due: what you know is holding. See you tomorrow.".to_owned()
        } else {
            let cards = measure::counted(home.done_today, "card", "cards");
            format!("{cards} answered, and nothing is left. Well done; see you tomorrow.")
        };
        return row("Today", &text, theme::strong());
    }
    let minutes = home.minutes.round().max(1.0);
    let unit = if minutes < 1.5 { "minute" } else { "minutes" };
    let cards = measure::counted(home.planned, "card", "cards");
    let new = match home.planned_new {
        0 => "all met before".to_owned(),
        n if n == home.planned => "all new to you".to_owned(),
        n => format!("{n} of them new to you"),
    };
    let text = format!("{minutes:.0} {unit}: {cards}, {new}");
    let mut lines = row("Today", &text, theme::strong());
    if 0 < home.done_today {
        let cards = measure::counted(home.done_today, "card", "cards");
        lines.extend(row(
            "Done",
            &format!("{cards} answered today"),
            theme::plain(),
        ));
    }
    lines
}

fn meters(families: &[FamilyMeter], mark: usize) -> Vec<Line<'static>> {
    let widest = |value: fn(&FamilyMeter) -> String| {
        families
            .iter()
            .map(|f| measure::width(&value(f)))
            .max()
            .unwrap_or(0)
    };
    let id = widest(|f| f.id.clone()).clamp(12, 20);
    let met = widest(|f| f.met.to_string());
    let cards = widest(|f| f.cards.to_string());
    let kept = widest(|f| f.kept.to_string());
    families
        .iter()
        .enumerate()
        .map(|(i, family)| {
            let name = measure::shorten(&family.id, id);
            let gap = (id + 1).saturating_sub(measure::width(&name));
            Line::from(vec![
                parts::choice(&name, i == mark),
                Span::raw(" ".repeat(gap)),
                Span::raw(format!(
                    "met {:>met$} of {:>cards$}",
                    family.met, family.cards
                )),
                Span::raw(format!("   kept {:>kept$}", family.kept)),
            ])
        })
        .collect()
}

fn remarks(home: &Home, columns: usize) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if 0 < home.corrected {
        let text = if home.corrected == 1 {
            "1 card that you learned has been corrected; it starts again.".to_owned()
        } else {
            format!(
                "{} cards that you learned have been corrected; they start again.",
                home.corrected
            )
        };
        lines.extend(sheet::prose(&text, columns, theme::strong()));
    }
    if !home.faults.is_empty() {
        let places = measure::counted(home.faults.len(), "place", "places");
        let text = format!("Damage found in {places} while reading the shop: d lists it.");
        lines.extend(sheet::prose(&text, columns, theme::strong()));
    }
    lines
}

/// Returns the page that lists the damage.
pub(super) fn faults(state: &State, columns: usize) -> Sheet {
    let faults = state.home.as_ref().map_or(&[][..], |home| &home.faults);
    let mut body = Vec::new();
    for fault in faults {
        body.extend(sheet::labelled(
            "-",
            &text::clean(fault),
            2,
            columns,
            theme::plain(),
        ));
    }
    Sheet {
        title: "Damage found while reading the shop".to_owned(),
        aside: "nothing was changed".to_owned(),
        body,
        ..Sheet::default()
    }
}
