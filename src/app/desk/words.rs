//! What a card and an edit are called on the desk.

use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::desk::answers;
use crate::domain::edit::Edit;
use crate::domain::text::clean;
use crate::domain::wording;

/// Returns what a card is called in a list: its fix, or its question.
pub fn title(card: &Card) -> String {
    let first = || card.answers.first().map(wording::answer_text);
    let asked = || (!card.stem.is_empty()).then(|| clean(&card.stem));
    let sides = || {
        let sides = card.sides.iter();
        let fixes: Vec<String> = sides.map(|s| wording::answer_text(&s.answer)).collect();
        (!fixes.is_empty()).then(|| fixes.join(", or "))
    };
    let found = match card.kind {
        CardKind::Fix | CardKind::Expect => first(),
        CardKind::Contrast => sides(),
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
        Edit::Wording { also } if also.is_empty() => "none".to_owned(),
        Edit::Wording { also } => also.join("; "),
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
    };
    clean(&text)
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
