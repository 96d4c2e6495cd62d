//! Drafts: the fields of a job line, each of which may be missing; and suggestions, which are a draft
//! with `maybe` inside.

use std::path::Path;

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Suggested;
use crate::domain::job::BounceCause;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::Confidence;
use crate::domain::job::Effort;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::store::record::finding;
use crate::store::record::finding::put_text;
use crate::store::record::job;
use crate::store::record::job_write;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;

/// Returns the fields of a draft; what is not known has none.
pub fn write(draft: &Draft) -> Map<String, Value> {
    let mut out = Map::new();
    put_text(&mut out, "job", draft.number.as_ref());
    let day = draft.closed_on.map(|d| d.to_string());
    put_text(&mut out, "closed_on", day.as_ref());
    put_text(&mut out, "closed_by", draft.closed_by.as_ref());
    put_text(&mut out, "board", draft.board.as_ref());
    put_text(&mut out, "rev", draft.rev.as_ref());
    put_text(&mut out, "unit", draft.unit.as_ref());
    put_text(&mut out, "follows", draft.follows.as_ref());
    put_some(&mut out, "complaint", json!(draft.complaint));
    let findings: Vec<_> = draft
        .findings
        .iter()
        .map(|f| finding::write(f, true))
        .collect();
    put_some(&mut out, "findings", json!(findings));
    put_text(&mut out, "family", draft.family.as_ref());
    put_some(&mut out, "contributing", json!(draft.contributing));
    let actions: Vec<_> = draft.actions.iter().map(job_write::write_action).collect();
    put_some(&mut out, "actions", json!(actions));
    put_text(&mut out, "no_fix_reason", draft.no_fix_reason.as_ref());
    let outcome = draft.outcome.map(|o| o.word().to_owned());
    put_text(&mut out, "outcome", outcome.as_ref());
    let cause = draft.bounce_cause.map(|c| c.word().to_owned());
    put_text(&mut out, "bounce_cause", cause.as_ref());
    let confidence = draft.confidence.map(|c| c.word().to_owned());
    put_text(&mut out, "confidence", confidence.as_ref());
    put_text(&mut out, "proof", draft.proof.as_ref());
    put_effort(&mut out, &draft.effort);
    put_some(&mut out, "environment", json!(draft.environment));
    put_text(&mut out, "source", draft.source.as_ref());
    let flags: Vec<_> = draft.flags.iter().map(job_write::write_flag).collect();
    put_some(&mut out, "flags", json!(flags));
    put_text(&mut out, "note", draft.note.as_ref());
    if let Some(raw) = raw_object(&draft.raw) {
        out.insert("raw".to_owned(), raw);
    }
    out
}

/// Returns the cells as one object; a header that stands twice gets its place behind it.
pub fn raw_object(raw: &[(String, String)]) -> Option<Value> {
    let mut cells = Map::new();
    for (i, (header, words)) in raw.iter().enumerate() {
        let key = if header.is_empty() || cells.contains_key(header) {
            format!("{header} ({})", i + 1)
        } else {
            header.clone()
        };
        cells.insert(key.trim().to_owned(), words.as_str().into());
    }
    (!cells.is_empty()).then_some(Value::Object(cells))
}

/// Writes time and money.
pub(crate) fn put_effort(out: &mut Map<String, Value>, effort: &Effort) {
    for (key, number) in [
        ("minutes_to_find", effort.minutes_to_find),
        ("minutes", effort.minutes),
        ("value", effort.value),
        ("parts_cost", effort.parts_cost),
    ] {
        finding::put_number(out, key, number);
    }
}

fn put_some(out: &mut Map<String, Value>, key: &str, list: Value) {
    if list.as_array().is_some_and(|l| !l.is_empty()) {
        out.insert(key.to_owned(), list);
    }
}

/// Returns the fields of a suggestion: the facts, and `maybe` where something may be meant.
pub fn write_suggested(suggested: &Suggested) -> Map<String, Value> {
    let mut out = write(&suggested.facts);
    let maybe = write(&suggested.maybe);
    if !maybe.is_empty() {
        out.insert("maybe".to_owned(), Value::Object(maybe));
    }
    out
}

/// Reads a draft; what cannot be read is named and left out.
pub fn read(map: &Map<String, Value>) -> (Draft, Vec<Problem>) {
    let mut problems = Vec::new();
    let draft = draft(&mut Reader::new(map, &mut problems));
    (draft, problems)
}

/// Reads a suggestion.
pub fn read_suggested(map: &Map<String, Value>) -> (Suggested, Vec<Problem>) {
    let (facts, mut problems) = read(map);
    let maybe = match map.get("maybe") {
        Some(Value::Object(maybe)) => {
            let (maybe, more) = read(maybe);
            problems.extend(more);
            maybe
        }
        _ => Draft::default(),
    };
    (Suggested { facts, maybe }, problems)
}

/// Reads a draft from the text of a file of its own, such as one kept while it is typed.
pub fn read_text(text: &str, path: &Path) -> Result<Draft, crate::store::fault::Fault> {
    match crate::store::record::strict::object(text) {
        Ok(map) => Ok(read(&map).0),
        Err(problem) => Err(problem.at(path, 1)),
    }
}

fn draft(from: &mut Reader<'_, '_>) -> Draft {
    let raw = match from.get("raw") {
        Some(Value::Object(cells)) => cells
            .iter()
            .filter_map(|(k, v)| Some((k.clone(), v.as_str()?.to_owned())))
            .collect(),
        _ => Vec::new(),
    };
    Draft {
        number: from.text("job"),
        closed_on: from.date("closed_on"),
        closed_by: from.text("closed_by"),
        board: from.text("board"),
        rev: from.text("rev"),
        unit: from.text("unit"),
        follows: from.text("follows"),
        complaint: from.words("complaint", &COMPLAINTS),
        findings: from.each("findings", finding::read),
        family: from.text("family"),
        contributing: from.texts("contributing"),
        actions: from.each("actions", job::action),
        no_fix_reason: from.word("no_fix_reason", &NO_FIX_REASONS),
        outcome: from.meaning("outcome", &Outcome::ALL, Outcome::word),
        bounce_cause: from.meaning("bounce_cause", &BounceCause::ALL, BounceCause::word),
        confidence: from.meaning("confidence", &Confidence::ALL, Confidence::word),
        proof: from.text("proof"),
        environment: job::environment(from),
        source: from.text("source"),
        effort: Effort {
            minutes_to_find: from.number("minutes_to_find"),
            minutes: from.number("minutes"),
            value: from.number("value"),
            parts_cost: from.number("parts_cost"),
        },
        note: from.text("note"),
        raw,
        flags: from.each("flags", job::flag),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Action;
    use crate::domain::job::Finding;
    use crate::domain::job::FindingKind;
    use crate::domain::job::Flag;
    use crate::domain::job::Role;

    #[test]
    fn a_suggestion_comes_back_as_it_was() {
        let finding = Finding {
            got: Some(0.41),
            raw: Some("3V3_SB 0,41".to_owned()),
            ..Finding::new(FindingKind::Rail, "3V3_SB")
        };
        let facts = Draft {
            number: Some("W-1".to_owned()),
            closed_on: chrono::NaiveDate::from_ymd_opt(2026, 3, 14),
            findings: vec![finding],
            effort: Effort {
                minutes: Some(70.0),
                ..Effort::default()
            },
            raw: vec![("Fault".to_owned(), "no power".to_owned())],
            flags: vec![Flag {
                field: "actions".to_owned(),
                why: "which-regulator".to_owned(),
                raw: "replaced reg".to_owned(),
            }],
            ..Draft::default()
        };
        let maybe = Draft {
            actions: vec![Action {
                act: "replace".to_owned(),
                part: "regulator".to_owned(),
                role: Role::TheFix,
            }],
            ..Draft::default()
        };
        let suggested = Suggested { facts, maybe };
        let (again, problems) = read_suggested(&write_suggested(&suggested));
        assert_eq!(problems, []);
        assert_eq!(again, suggested);
    }

    #[test]
    fn the_line_of_a_draft_holds_what_the_job_itself_does_not() {
        let draft = Draft {
            number: Some("W-1".to_owned()),
            closed_on: chrono::NaiveDate::from_ymd_opt(2026, 3, 14),
            board: Some("petrel-p4".to_owned()),
            complaint: vec!["no-power".to_owned()],
            findings: vec![Finding::new(FindingKind::Rail, "3V3_SB")],
            outcome: Some(Outcome::NoFix),
            no_fix_reason: Some("value-exceeded".to_owned()),
            effort: Effort {
                minutes: Some(70.0),
                ..Effort::default()
            },
            note: Some("shelf 3".to_owned()),
            raw: vec![("Fault".to_owned(), "no power".to_owned())],
            ..Draft::default()
        };
        let record = job::JobRecord::of_draft(&draft, "b7-1").unwrap();
        let line: Value = serde_json::from_str(&record.to_line().unwrap()).unwrap();
        assert_eq!(line["v"], 1);
        assert_eq!(line["minutes"], 70.0);
        assert_eq!(line["note"], "shelf 3");
        assert_eq!(line["raw"]["Fault"], "no power");
    }

    #[test]
    fn cells_under_one_header_are_all_kept() {
        let cell = |h: &str, w: &str| (h.to_owned(), w.to_owned());
        let raw = raw_object(&[cell("Fault", "a"), cell("Fault", "b"), cell("", "c")]).unwrap();
        assert_eq!(raw, json!({"Fault": "a", "Fault (2)": "b", "(3)": "c"}));
    }
}
