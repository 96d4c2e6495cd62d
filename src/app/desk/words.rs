//! What a card and an edit are called on the desk.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::answers;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::edit::Field;
use crate::domain::rebuild::at_risk::AtRisk;
use crate::domain::text::clean;
use crate::domain::wording;

/// Units that are named in one line; of more, how many.
const UNITS: usize = 6;

/// Returns which units an answer was used on that are still under warranty; none where there are none.
pub(crate) fn under_warranty(units: &[AtRisk]) -> Option<String> {
    let each = units.iter().map(|unit| {
        let left = match unit.days_left {
            1 => "1 day".to_owned(),
            n => format!("{n} days"),
        };
        format!("{} ({left} left)", clean(&unit.job))
    });
    let each: Vec<String> = each.collect();
    let (shown, more) = each.split_at(each.len().min(UNITS));
    let more = match more.len() {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    (!each.is_empty()).then(|| format!("Still under warranty: {}{more}", shown.join(", ")))
}

/// Returns what a card is called in a list: its fix, or its question; where many cards are asked alike,
/// what it shows.
pub fn title(card: &Card) -> String {
    let shown = wording::pattern_text(&card.front);
    let first = || card.answers.first().map(wording::answer_text);
    let asked = || (!card.stem.is_empty()).then(|| clean(&card.stem));
    let sides = || {
        let sides = card.sides.iter();
        let fixes: Vec<String> = sides.map(|s| wording::answer_text(&s.answer)).collect();
        (!fixes.is_empty()).then(|| fixes.join(", or "))
    };
    let found = match card.kind {
        CardKind::Fix => first(),
        CardKind::Expect => first().map(|fix| format!("What tells: {fix}")),
        CardKind::Contrast => sides(),
        CardKind::Stop => {
            let end = card.points.first().map(|point| clean(&point.say));
            let end = end.filter(|_| !shown.is_empty());
            end.map(|end| wording::capital(&format!("{end}; {shown}")))
        }
        CardKind::Next if card.is_across() => {
            let circuit = clean(&card.family);
            (!shown.is_empty()).then(|| format!("{circuit}: {shown}"))
        }
        CardKind::Next => {
            let mut right = card.tests.iter().filter(|test| test.right);
            right.next().map(|t| format!("Next: {}", clean(&t.say)))
        }
        _ => None,
    };
    found
        .or_else(asked)
        .or_else(sides)
        .or_else(first)
        .unwrap_or_else(|| clean(&card.id))
}

/// Returns the value that an edit sets, in words.
pub fn value(edit: &Edit) -> String {
    let noted = |what: &str, note: &str| match note.trim() {
        "" => what.to_owned(),
        note => format!("{what}: {note}"),
    };
    let text = match edit {
        Edit::Sign { .. } => "signed".to_owned(),
        Edit::Stem { stem } if stem.is_empty() => "no words of its own".to_owned(),
        Edit::Stem { stem } => stem.clone(),
        Edit::Wording { also, .. } if also.is_empty() => "none".to_owned(),
        Edit::Wording { also, .. } => also.join("; "),
        Edit::Answers { answers } => answers::write(answers),
        Edit::Why { why } => why.clone(),
        Edit::Cautions { cautions } if cautions.is_empty() => "none more".to_owned(),
        Edit::Cautions { cautions } => cautions.join(", "),
        Edit::Merge { into } => format!("goes into {into}"),
        Edit::Split { by, .. } => {
            by.map_or("split".to_owned(), |by| format!("split by {}", by.word()))
        }
        Edit::Evidence { note } => noted("more jobs wanted", note),
        Edit::Tag { note, .. } => noted("out of use for everyone", note),
        Edit::Untag { note } => noted("in use", note),
        Edit::Retire { note } => noted("retired", note),
        Edit::Alias { to } => format!("goes on as {to}"),
        Edit::Corrected { was, .. } => format!("corrected by a rebuild; was {was}"),
        Edit::Undo { of } => format!("took back {}", of.join(", ")),
    };
    clean(&text)
}

const MERGED: &str = "goes into another card";
const DIVIDED: &str = "is split";
const RENAMED: &str = "has another name";
/// What says where a card goes, and not merely whether it is in use.
const MOVES: [&str; 3] = [MERGED, DIVIDED, RENAMED];

/// Returns what two leads edited apart: of merges and splits not merely that its use is open.
pub fn apart(field: Field, edits: &[&EditEntry]) -> String {
    if field != Field::Use {
        return field.label().to_owned();
    }
    let mut each: Vec<&str> = edits
        .iter()
        .map(|entry| match entry.edit {
            Edit::Merge { .. } => MERGED,
            Edit::Split { .. } => DIVIDED,
            Edit::Alias { .. } => RENAMED,
            Edit::Retire { .. } => "is retired",
            Edit::Tag { .. } => "is out of use",
            _ => "is in use",
        })
        .collect();
    each.sort_unstable();
    each.dedup();
    match each.as_slice() {
        [MERGED] => "which card it goes into".to_owned(),
        [DIVIDED] => "what it is split by".to_owned(),
        each if each.iter().any(|kind| MOVES.contains(kind)) => {
            format!("whether it {}", each.join(" or "))
        }
        _ => field.label().to_owned(),
    }
}

/// Returns what a lead did, in words.
pub fn deed(edit: &Edit) -> String {
    let typed = match edit {
        Edit::Stem { .. } => "typed the question",
        Edit::Wording { .. } => "typed the other wordings",
        Edit::Answers { .. } => "typed the right answers",
        Edit::Why { .. } => "typed the why-line",
        Edit::Cautions { .. } => "typed the cautions",
        Edit::Sign { .. } => return "signed it".to_owned(),
        Edit::Untag { note } if note.trim().is_empty() => return "brought it back".to_owned(),
        Edit::Untag { note } => return format!("brought it back: {}", clean(note)),
        other => return value(other),
    };
    format!("{typed}: {}", value(edit))
}
