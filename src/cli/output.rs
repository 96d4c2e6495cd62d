//! The JSON that commands print: shapes of their own, never domain types.

use std::io::Write;

use serde::Serialize;
use serde_json::Value;
use serde_json::json;

use crate::app::face;
use crate::app::gaps::Measurement;
use crate::app::goal::Told;
use crate::app::practice::Kept;
use crate::app::practice::Practice;
use crate::cli::failure::Failure;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::judge::compare::worth::Worth;
use crate::domain::options;
use crate::domain::queue::Ask;
use crate::domain::text::clean_json;
use crate::store::record::card as record;

/// Writes one JSON line, harmless to a terminal, at once.
pub fn line(out: &mut dyn Write, line: &Value) -> Result<(), Failure> {
    writeln!(out, "{}", clean_json(&line.to_string()))?;
    out.flush()?;
    Ok(())
}

/// Writes one JSON line of fields known beforehand, harmless to a terminal, when `out` sees fit.
pub fn typed_line(out: &mut dyn Write, line: &impl Serialize) -> Result<(), Failure> {
    let json = serde_json::to_string(line).map_err(std::io::Error::from)?;
    out.write_all(clean_json(&json).as_bytes())?;
    out.write_all(b"\n")?;
    Ok(())
}

/// Returns what is said of a day to be ready by as a sitting opens.
pub fn ready_by(told: &Told) -> Value {
    json!({ "ready_by": {
        "date": told.date.to_string(), "scope": told.scope, "first": told.first,
        "minutes": told.minutes, "mean": told.mean, "is_reached": told.is_reached,
        "has_come": told.has_come, "say": told.line,
    } })
}

/// Returns what a sitting of spot checks will measure; widths are shares (0.34 is 34 points).
pub fn measure(measure: &Measurement) -> Value {
    json!({
        "v": 1,
        "measure": {
            "family": measure.family,
            "wanted": measure.wanted,
            "can_ask": measure.can_ask,
            "fit": measure.fit,
            "right": measure.so_far.right,
            "asked": measure.so_far.asked,
            "width_now": measure.precision.and_then(|p| p.now),
            "width_expected": measure.precision.map(|p| p.expected),
            "width_worst": measure.precision.map(|p| p.worst),
        },
    })
}

/// Returns the first question about a card.
pub fn ask_circuit(practice: &Practice) -> Value {
    let sitting = practice.sitting();
    let (Some(card), Some(ask)) = (sitting.card(), sitting.ask()) else {
        return Value::Null;
    };
    let mut question = beginning(practice, card, ask, "circuit");
    if !card.stem.is_empty() {
        question["stem"] = json!(card.stem);
    }
    question["choices"] = json!(sitting.choices());
    question["left"] = left(practice);
    question
}

/// Returns the second question, or the only one of a card that asks for no circuit.
pub fn ask_answer(practice: &Practice) -> Value {
    let sitting = practice.sitting();
    let (Some(card), Some(ask)) = (sitting.card(), sitting.ask()) else {
        return Value::Null;
    };
    let stem = match card.stem.as_str() {
        "" if card.kind == CardKind::Fix => "Name the fix: what is done to which part?",
        "" => face::prompt(card),
        stem => stem,
    };
    if card.asks_circuit() {
        let mut question = json!({
            "ask": "answer",
            "card": card.id,
            "kind": card.kind.word(),
            "stem": stem,
            "front": record::to_value(card)["front"],
        });
        if !sitting.options().is_empty() {
            let options: Vec<String> = sitting.options().iter().map(options::said).collect();
            question["options"] = json!(options);
        }
        return question;
    }
    let mut question = beginning(practice, card, ask, "answer");
    question["stem"] = json!(stem);
    question["sides"] = sides(card);
    if !card.suspects.is_empty() {
        question["suspects"] = record::to_value(card)["suspects"].clone();
    }
    question["left"] = left(practice);
    question
}

/// Returns what the first question about any card begins with.
fn beginning(practice: &Practice, card: &Card, ask: &Ask, question: &str) -> Value {
    let sitting = practice.sitting();
    let hazards = face::cautions_in_front(card);
    json!({
        "v": 1,
        "ask": question,
        "card": card.id,
        "kind": card.kind.word(),
        "mode": ask.mode.word(),
        "again": ask.again,
        "first_meeting": sitting.is_new(),
        "corrected": sitting.is_corrected(),
        "signed": card.is_vouched_for(),
        "board": card.board,
        "revs": card.revs,
        "complaint": card.complaint,
        "cautions": hazards.cautions,
        "caution_with_answer": hazards.withheld,
        "front": record::to_value(card)["front"],
    })
}

fn left(practice: &Practice) -> Value {
    json!({ "minutes": tenths(practice.sitting().minutes_left()) })
}

/// Returns the look-alikes as the question may show them: without what is asked for.
fn sides(card: &Card) -> Value {
    let whole = record::to_value(card);
    let sides = whole["sides"].as_array().cloned().unwrap_or_default();
    sides
        .into_iter()
        .map(|side| {
            let mut front = side["front"].as_array().cloned().unwrap_or_default();
            if card.given {
                let separates = side["separates"].as_array().cloned().unwrap_or_default();
                let missing: Vec<Value> = separates
                    .into_iter()
                    .filter(|f| !front.contains(f))
                    .collect();
                front.extend(missing);
            }
            json!({ "complaint": side["complaint"], "front": front })
        })
        .collect()
}

/// Returns the verdict and the back of the card.
pub fn reveal(practice: &Practice) -> Value {
    let sitting = practice.sitting();
    let (Some(card), Some(shown)) = (sitting.card(), sitting.shown()) else {
        return Value::Null;
    };
    let whole = record::to_value(card);
    let draft = &shown.draft;
    let danger = shown.danger.as_ref();
    let note = match &shown.judgement {
        Some(judgement) => Some(&judgement.note),
        None => Some(&shown.note).filter(|note| !note.is_empty()),
    };
    let mut reveal = json!({
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
        "worth": shown.worth.map(Worth::word),
        "unsafe": danger.map(|d| json!({ "why": d.why, "caution": d.caution })),
        "note": note,
        "unjudged": shown.unjudged,
        "proposed": draft.proposed.word(),
    });
    if let Some(line) = sitting.correction() {
        reveal["reveal"]["corrected"] = json!(line);
    }
    if !card.points.is_empty() {
        let said = |i: usize| shown.hits.get(i).copied();
        let points = card.points.iter().enumerate();
        reveal["reveal"]["points"] = points
            .map(|(i, p)| json!({ "say": p.say, "needed": p.needed, "said": said(i) }))
            .collect();
    }
    if !card.tests.is_empty() {
        let mut tests = whole["tests"].clone();
        let judged = card.points.is_empty();
        for (i, test) in tests.as_array_mut().into_iter().flatten().enumerate() {
            test["said"] = json!(shown.hits.get(i).filter(|_| judged));
        }
        reveal["reveal"]["tests"] = tests;
        reveal["note"] = json!(shown.note);
    }
    if !card.sums.is_empty() {
        reveal["reveal"]["sums"] = json!(card.sums);
    }
    if !card.source.is_empty() {
        reveal["reveal"]["source"] = json!(card.source);
    }
    if !card.boards.is_empty() {
        reveal["reveal"]["boards"] = whole["boards"].clone();
    }
    if !card.sides.is_empty() {
        reveal["reveal"]["sides"] = whole["sides"].clone();
    }
    reveal
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
    let mut done = json!({
        "cards": tally.cards,
        "minutes": tenths(sitting.minutes_spent()),
        "missed": tally.missed,
        "new": tally.new,
        "sitting": sitting.id(),
    });
    if let Some(scored) = practice.fitted() {
        done["fitted"] = json!(scored);
    }
    json!({ "done": done })
}

/// Returns a card as its deck holds it.
pub fn whole_card(card: &Card) -> Value {
    let mut whole = record::to_value(card);
    whole["v"] = json!(1);
    whole
}

fn tenths(minutes: f64) -> f64 {
    (minutes * 10.0).round() / 10.0
}
