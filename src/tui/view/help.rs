//! The keys of the place below, from the same table that gives them their meaning.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::tui::keymap;
use crate::tui::keymap::Binding;
use crate::tui::measure;
use crate::tui::sheet::Sheet;
use crate::tui::state::Place;
use crate::tui::theme;
use crate::tui::view::parts;

/// Columns of a key's name.
const KEY: usize = 16;

fn heading(place: Place) -> &'static str {
    match place {
        Place::Greeting => "Sitting down",
        Place::Home => "At home",
        Place::Circuit => "Which circuit?",
        Place::Fix => "Naming the fix",
        Place::Verdict => "At the verdict",
        Place::Tag => "Tagging out",
        Place::Reason => "Tagging out, in words",
        Place::Over => "After the sitting",
        Place::Families | Place::GiveTo => "Choosing from a list",
        Place::Reading => "Reading a page",
        Place::Gaps => "At the gaps",
        Place::BriefBoard => "Which board?",
        Place::BriefWords => "What do you see?",
        Place::Brief => "Before a board",
        Place::Archive => "The closed jobs",
        Place::ArchiveSearch => "Searching the jobs",
        Place::Job => "One job",
        Place::FollowUp => "The follow-up list",
        Place::ReturnedAs => "As which job it came back",
        Place::ReturnCause => "Why it came back",
        Place::Intake => "The intake desk",
        Place::IntakeRow => "One row of a sheet",
        Place::IntakeMend => "Saying a field anew",
        Place::IntakeSame => "Which job it is the same as",
        Place::IntakeSkip => "Why it is passed over",
        Place::IntakeSplit => "Splitting a row",
        Place::Form => "Entering a job",
        Place::Written => "A job that was written",
        Place::OpenJobs => "Jobs on the bench",
        Place::OpenLine => "A line about an open job",
        Place::Signing => "The lead's desk",
        Place::SigningCard => "A card on the lead's desk",
        Place::SigningField => "Which thing is typed over",
        Place::SigningLine => "A line about a card",
        Place::SigningPick => "Merging or splitting a card",
        Place::SigningApart => "What was changed twice",
        Place::Plan => "The plan",
        Place::ReadyBy => "A day to be ready by",
    }
}

pub(super) fn sheet(place: Place, columns: usize) -> Sheet {
    let mut body = section("Here", keymap::table(place), columns);
    if place.takes_text() {
        body.push(Line::default());
        body.extend(section("While typing", keymap::TYPING, columns));
    }
    body.push(Line::default());
    body.extend(section("Everywhere", keymap::EVERYWHERE, columns));
    for other in [
        Place::Home,
        Place::Circuit,
        Place::Fix,
        Place::Verdict,
        Place::Over,
        Place::Reading,
        Place::Archive,
        Place::Job,
        Place::FollowUp,
        Place::Intake,
        Place::IntakeRow,
        Place::Signing,
        Place::SigningCard,
    ] {
        if other != place {
            body.push(Line::default());
            body.extend(section(heading(other), keymap::table(other), columns));
        }
    }
    Sheet {
        title: format!("Keys   {}", heading(place)),
        aside: "Esc back".to_owned(),
        body,
        ..Sheet::default()
    }
}

fn section(name: &str, keys: &[Binding], columns: usize) -> Vec<Line<'static>> {
    let mut lines = vec![parts::line(name.to_owned(), theme::strong())];
    for key in keys.iter().filter(|key| !key.show.is_empty()) {
        let head = measure::pad(&format!("  {}", key.show), KEY);
        for (i, text) in measure::wrap(key.text(), columns.saturating_sub(KEY))
            .into_iter()
            .enumerate()
        {
            let head = if i == 0 {
                head.clone()
            } else {
                " ".repeat(KEY)
            };
            lines.push(Line::from(vec![Span::raw(head), Span::raw(text)]));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn help_names_every_key_that_works_in_a_place() {
        for place in [
            Place::Home,
            Place::Circuit,
            Place::Fix,
            Place::Verdict,
            Place::Gaps,
        ] {
            let text = lines_of(place).join("\n");
            for key in keymap::table(place).iter().filter(|k| !k.show.is_empty()) {
                assert!(
                    text.contains(key.show) && text.contains(key.text()),
                    "{}",
                    key.show
                );
            }
        }
    }

    fn lines_of(place: Place) -> Vec<String> {
        sheet(place, 78).body.iter().map(Line::to_string).collect()
    }
}
