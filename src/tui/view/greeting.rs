//! The greeting: initials, or someone known here.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::state::Greeting;
use crate::tui::state::State;
use crate::tui::theme;
use crate::tui::view::parts;

pub(super) fn sheet(state: &State, greeting: &Greeting, columns: usize) -> Sheet {
    let mut body = vec![
        parts::line("Who is at the bench?", theme::strong()),
        Line::default(),
    ];
    let mut must = (0, 0);
    if state.people.is_empty() {
        let text = "Initials are all that is asked. What you drill is kept under them, in the shop's folder.";
        body.extend(sheet::prose(text, columns, theme::plain()));
    } else {
        body.push(parts::line("Known here", theme::plain()));
        for (i, person) in state.people.iter().enumerate() {
            let marked = greeting.mark == Some(i);
            body.push(Line::from(vec![
                Span::raw("  "),
                parts::choice(&person.initials, marked),
                Span::raw(measure::pad(
                    "",
                    8usize.saturating_sub(measure::width(&person.initials)),
                )),
                Span::raw(person.role.clone()),
            ]));
            if marked {
                must = (body.len() - 1, body.len());
            }
        }
    }
    let typed = greeting.entry.text();
    let known = state
        .people
        .iter()
        .any(|p| !typed.is_empty() && p.initials.to_lowercase() == typed.to_lowercase());
    let after = match (typed.is_empty(), known) {
        (true, _) => "",
        (false, true) => "known here: Enter goes on as you left it",
        (false, false) => "new here: Enter begins",
    };
    let (line, cursor) = parts::prompt("> ", &greeting.entry, columns, after);
    let mut low = sheet::prose(
        "Your initials, one to four letters:",
        columns,
        theme::plain(),
    );
    let at = low.len();
    low.push(line);
    Sheet {
        title: "Benchlore".to_owned(),
        body,
        must,
        low,
        cursor: Some((at, cursor)),
        ..Sheet::default()
    }
}
