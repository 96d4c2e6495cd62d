//! The JSON that commands print: shapes of their own, never domain types.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::face;
use crate::app::practice::Kept;
use crate::app::practice::Practice;
use crate::cli::failure::Failure;
use crate::domain::card::Card;
use crate::domain::text::clean_json;
use crate::store::record::card as record;

/// Writes one JSON line, harmless to a terminal, at once.
pub fn line(out: &mut dyn Write, line: &Value) -> Result<(), Failure> {
    writeln!(out, "{}", clean_json(&line.to_string()))?;
    out.flush()?;
    Ok(())
}

/// Returns the first question about a card.
pub fn ask_circuit(practice: &Practice) -> Value {
    let sitting = practice.sitting();
    let (Some(card), Some(ask)) = (sitting.card(), sitting.ask()) else {
        return Value::Null;
    };
    let whole = record::to_value(card);
    json!({
        "v": 1,
        "ask": "circuit",
        "card": card.id,
        "kind": card.kind.word(),
        "mode": ask.mode.word(),
        "again": ask.again,
        "first_meeting": sitting.is_new(),
        "corrected": sitting.is_corrected(),
        "board": card.board,
        "revs": card.revs,
        "complaint": card.complaint,
        "cautions": face::cautions_in_front(card),
        "front": whole["front"],
        "choices": sitting.choices(),
        "left": { "minutes": tenths(sitting.minutes_left()) },
    })
}

/// Returns the second question.
pub fn ask_answer(practice: &Practice) -> Value {
    let Some(card) = practice.sitting().card() else {
        return Value::Null;
    };
    let whole = record::to_value(card);
    json!({
        "ask": "answer",
        "card": card.id,
        "kind": card.kind.word(),
        "stem": "Name the fix: what is done to which part?",
        "front": whole["front"],
    })
}

/// Returns the verdict and the back of the card.
pub fn reveal(practice: &Practice) -> Value {
    let sitting = practice.sitting();
    let (Some(card), Some(shown)) = (sitting.card(), sitting.shown()) else {
        return Value::Null;
    };
    let whole = record::to_value(card);
    let draft = &shown.draft;
    let danger = shown
        .judgement
        .as_ref()
        .and_then(|j| j.unsafe_answer.as_ref());
    json!({
        "reveal": {
            "family": card.family,
            "contributing": card.contributing,
            "answers": whole["answers"],
            "share": whole["share"],
            "others": whole["others"],
            "support": card.support.word(),
            "bounced": card.bounced,
            "deciding": card.deciding,
            "held_back": whole["held_back"],
            "why": card.why,
            "cautions": card.cautions,
            "warn": card.warn,
            "jobs": card.jobs,
            "last": card.last.map(|day| day.to_string()),
            "boundary": shown.boundary,
        },
        "circuit_right": draft.verdict.circuit,
        "fix_right": draft.verdict.fix,
        "unsafe": danger.map(|d| json!({ "why": d.why, "caution": d.caution })),
        "note": shown.judgement.as_ref().map(|j| &j.note),
        "proposed": draft.proposed.word(),
    })
}

/// Returns the line that says a review is on disk, or that it is not because the drill is read-only.
pub fn kept(kept: &Kept) -> Value {
    match &kept.id {
        Some(id) => json!({
            "kept": { "id": id, "grade": kept.grade.word(), "next_days": kept.next_days.unwrap_or(0) },
        }),
        None => json!({ "not_kept": { "grade": kept.grade.word(), "why": "read only" } }),
    }
}

/// Returns the last line of a sitting.
pub fn done(practice: &Practice) -> Value {
    let sitting = practice.sitting();
    let tally = sitting.tally();
    json!({
        "done": {
            "cards": tally.cards,
            "minutes": tenths(sitting.minutes_spent()),
            "missed": tally.missed,
            "new": tally.new,
            "sitting": sitting.id(),
        },
    })
}

/// Returns a card as its deck holds it.
pub fn whole_card(card: &Card) -> Value {
    record::to_value(card)
}

fn tenths(minutes: f64) -> f64 {
    (minutes * 10.0).round() / 10.0
}
