//! The home screen: what today holds, and for each circuit what spot checks say, what is met and kept.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::view::FamilyMeter;
use crate::app::view::Home;
use crate::domain::axis;
use crate::domain::text;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of the day's labels.
const LABEL: usize = 11;

/// The circuits as rows, under the head of the axis.
struct Meters {
    head: String,
    rows: Vec<Line<'static>>,
    /// The rows say how much is kept.
    kept: bool,
}

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
        let meters = meters(&home.families, mark, columns);
        let head = if meters.kept {
            "Circuit right, by spot checks   met: seen once or more   kept: known today"
        } else {
            "Circuit right, by spot checks   met: seen once or more"
        };
        top.extend(sheet::prose(head, columns, theme::plain()));
        top.push(parts::line(meters.head, theme::quiet()));
        body.extend(meters.rows);
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
            "nothing more is worth asking: what you know is holding. See you tomorrow.".to_owned()
        } else {
            let cards = text::number_of(home.done_today, "card");
            format!("{cards} answered, and nothing is left. Well done; see you tomorrow.")
        };
        return row("Today", &text, theme::strong());
    }
    let minutes = home.minutes.round().max(1.0);
    let unit = if minutes < 1.5 { "minute" } else { "minutes" };
    let cards = text::number_of(home.planned, "card");
    let new = match home.planned_new {
        0 => "all met before".to_owned(),
        n if n == home.planned => "all new to you".to_owned(),
        n => format!("{n} of them new to you"),
    };
    let text = format!("{minutes:.0} {unit}: {cards}, {new}");
    let mut lines = row("Today", &text, theme::strong());
    if 0 < home.done_today {
        let cards = text::number_of(home.done_today, "card");
        lines.extend(row(
            "Done",
            &format!("{cards} answered today"),
            theme::plain(),
        ));
    }
    lines
}

fn meters(families: &[FamilyMeter], mark: usize, columns: usize) -> Meters {
    let name = parts::name_column(families.iter().map(|f| f.id.as_str()));
    let wide = parts::bar_fits(name, columns);
    let digits = |value: fn(&FamilyMeter) -> usize| {
        families
            .iter()
            .map(|f| value(f).to_string().len())
            .max()
            .unwrap_or(0)
    };
    let (met, cards) = (digits(|f| f.met), digits(|f| f.cards));
    let kept = digits(|f| f.kept);
    let room = columns.saturating_sub(name + parts::meter_width(wide) + 6);
    let tail = |family: &FamilyMeter, form: usize| {
        let (m, c, k) = (family.met, family.cards, family.kept);
        match form {
            0 => format!("   met {m:>met$} of {c:>cards$}   kept {k:>kept$}"),
            1 => format!("   met {m:>met$} of {c:>cards$}"),
            2 => format!("  met {m:>met$}/{c}"),
            _ => String::new(),
        }
    };
    // The whole tail where it fits in every row, else less of it in every row.
    let fits = |form: &usize| {
        families
            .iter()
            .all(|f| measure::width(&tail(f, *form)) <= room)
    };
    let form = (0..3).find(fits).unwrap_or(3);
    let head = if wide { axis::HEAD } else { "right, 95 %" };
    Meters {
        head: format!(
            "{}{}{:>6}",
            " ".repeat(name),
            measure::pad(head, parts::meter_width(wide)),
            "asked"
        ),
        rows: families
            .iter()
            .enumerate()
            .map(|(i, family)| {
                let mut spans = parts::named(&family.id, i == mark, name);
                spans.extend(parts::meter(family.spot, wide));
                spans.push(Span::raw(format!("{:>6}", family.spot.asked)));
                spans.push(Span::raw(tail(family, form)));
                Line::from(spans)
            })
            .collect(),
        kept: form == 0,
    }
}

fn remarks(home: &Home, columns: usize) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if !home.ready_by.is_empty() {
        lines.extend(sheet::prose(&home.ready_by, columns, theme::strong()));
    }
    if !home.away.is_empty() {
        lines.extend(sheet::prose(&home.away, columns, theme::strong()));
    }
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
        let places = text::number_of(home.faults.len(), "place");
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
