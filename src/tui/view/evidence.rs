//! The jobs behind a card, whole.

use ratatui::text::Line;

use crate::app::view::JobPage;
use crate::domain::text;
use crate::domain::text::clean;
use crate::tui::measure;
use crate::tui::sheet;
use crate::tui::sheet::Sheet;
use crate::tui::theme;

pub(super) fn sheet(jobs: &[JobPage], columns: usize) -> Sheet {
    let mut body: Vec<Line<'static>> = Vec::new();
    for job in jobs {
        if !body.is_empty() {
            body.push(Line::default());
        }
        body.extend(sheet::prose(&clean(&job.title), columns, theme::strong()));
        for line in &job.lines {
            for (i, text) in measure::wrap(&clean(line), columns.saturating_sub(4))
                .into_iter()
                .enumerate()
            {
                let indent = if i == 0 { "  " } else { "    " };
                body.push(Line::raw(format!("{indent}{text}")));
            }
        }
    }
    if body.is_empty() {
        let text = "No jobs stand behind this card here.";
        body = sheet::prose(text, columns, theme::plain());
    }
    Sheet {
        title: "The jobs behind this card".to_owned(),
        aside: format!("{}, latest first", text::number_of(jobs.len(), "job")),
        body,
        ..Sheet::default()
    }
}

/// Returns one whole job.
pub(super) fn whole(job: &JobPage, columns: usize) -> Sheet {
    Sheet {
        title: "The whole job".to_owned(),
        aside: String::new(),
        ..sheet(std::slice::from_ref(job), columns)
    }
}
