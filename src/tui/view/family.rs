//! The page of one circuit: its caution, its signs, its look-alikes.

use ratatui::text::Line;

use crate::domain::circuit::Family;
use crate::domain::text::clean;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::theme;

/// Columns of the labels.
const LABEL: usize = 16;

pub(super) fn sheet(family: &Family, columns: usize) -> Sheet {
    let mut top = Vec::new();
    if let Some(caution) = &family.caution {
        top.extend(sheet::prose(&clean(caution), columns, theme::caution()));
        top.push(Line::default());
    }
    let mut body = Vec::new();
    let mut part = |label: &str, texts: &[String]| {
        let mut label = label;
        for text in texts.iter().filter(|text| !text.is_empty()) {
            let text = clean(text);
            body.extend(sheet::labelled(
                label,
                &text,
                LABEL,
                columns,
                theme::plain(),
            ));
            label = "";
        }
    };
    part("Belongs here", std::slice::from_ref(&family.belongs));
    part(
        "Measure first",
        std::slice::from_ref(&family.first_measurement),
    );
    part("Signs", &family.signs);
    part("Usual failures", &family.failures);
    part("Often taken for", &[family.confused_with.join(", ")]);
    let borders: Vec<String> = family
        .boundary
        .iter()
        .map(|(neighbour, rule)| format!("{neighbour}: {rule}"))
        .collect();
    part("Told apart", &borders);
    if body.is_empty() {
        body = sheet::prose("The shop has not described it.", columns, theme::plain());
    }
    Sheet {
        title: clean(&format!("{}   {}", family.id, family.name)),
        aside: "circuit".to_owned(),
        top,
        body,
        ..Sheet::default()
    }
}
