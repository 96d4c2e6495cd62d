//! What a person learned that a lead has retired since the person's last answer: said once, as the next
//! sitting opens, because nothing else would ever show them that it no longer holds.

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::desk::words;
use crate::app::workbench::Workbench;
use crate::domain::edit::Edit;
use crate::domain::edit::Field;
use crate::domain::history::History;
use crate::domain::text::clean;

/// Cards that are named; of more, how many.
const NAMED: usize = 3;

/// Returns the sentence about cards retired since `last`, the person's last answer; empty where the
/// person remembers none of them on `day`.
pub(crate) fn notice(
    workbench: &Workbench,
    history: &History,
    last: Option<DateTime<Utc>>,
    day: NaiveDate,
) -> String {
    let Some(last) = last else {
        return String::new();
    };
    let mut named = Vec::new();
    for card in workbench.all_cards() {
        if !workbench.edits.out().contains(&card.id) || history.recall(&card.id, day).is_none() {
            continue;
        }
        for entry in workbench.edits.in_force(&card.id, Field::Use) {
            let Edit::Retire { note } = &entry.edit else {
                continue;
            };
            if last < entry.at {
                let why = match clean(note.trim()) {
                    note if note.is_empty() => String::new(),
                    note => format!(" ({note})"),
                };
                let board = clean(&card.board);
                named.push(format!("{board}: {}{why}", words::title(card)));
                break;
            }
        }
    }
    let what = match named.len() {
        0 => return String::new(),
        1 => "One card that you had learned was".to_owned(),
        n => format!("{n} cards that you had learned were"),
    };
    let (shown, more) = named.split_at(named.len().min(NAMED));
    let more = match more.len() {
        0 => String::new(),
        n => format!("; and {n} more"),
    };
    format!(
        "{what} retired by a lead, do not go by it any more: {}{more}.",
        shown.join("; ")
    )
}
