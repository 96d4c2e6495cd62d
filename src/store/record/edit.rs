//! Edit journal lines: what leads did to cards.

use chrono::SecondsFormat;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::review::TagReason;
use crate::store::fault::Weight;
use crate::store::record::card;
use crate::store::record::head;
use crate::store::record::head::Head;
use crate::store::record::head::LOST;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 3;

const KINDS: [&str; 14] = [
    "sign",
    "wording",
    "answers",
    "why",
    "cautions",
    "merge",
    "split",
    "tag",
    "untag",
    "retire",
    "alias",
    "evidence",
    "corrected",
    "undo",
];

/// Reads one line whose check sum was found right; the entry is there unless a problem costs it.
pub(crate) fn read(text: &str, bench: &str) -> (Option<EditEntry>, Vec<Problem>) {
    let mut problems = Vec::new();
    let map = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let mut from = Reader::new(&map, &mut problems);
    let entry = entry(&mut from, bench);
    let lost = problems.iter().any(|p| p.weight == Weight::Damage);
    (entry.filter(|_| !lost), problems)
}

fn entry(from: &mut Reader<'_, '_>, bench: &str) -> Option<EditEntry> {
    let Head { id, seq, at, by } = head::read(from);
    let card = from.need_text("card", LOST);
    let kind = from.word("ev", &KINDS);
    if from.get("ev").is_none() {
        from.missing("ev", LOST);
    }
    let edit = kind.and_then(|kind| edit(from, &kind));
    Some(EditEntry {
        id: id?,
        bench: bench.to_owned(),
        seq: seq?,
        at: at?,
        by: by?,
        card: card?,
        after: from.get("after").is_some().then(|| from.texts("after")),
        edit: edit?,
    })
}

fn edit(from: &mut Reader<'_, '_>, kind: &str) -> Option<Edit> {
    Some(match kind {
        "sign" => Edit::Sign {
            asked: from.text("asked").unwrap_or_default(),
            accepted: from.text("accepted").unwrap_or_default(),
        },
        "wording" if from.get("stem").is_some() => Edit::Stem {
            stem: from.text("stem")?,
        },
        "wording" => Edit::Wording {
            also: need_texts(from, "also")?,
            accepted: from.text("accepted").unwrap_or_default(),
        },
        "answers" => Edit::Answers {
            answers: need(from, "answers")?.each("answers", card::read_answer),
        },
        "why" => Edit::Why {
            why: from.need_text("why", LOST)?,
        },
        "cautions" => Edit::Cautions {
            cautions: need_texts(from, "cautions")?,
        },
        "merge" => Edit::Merge {
            into: from.need_text("into", LOST)?,
        },
        "corrected" => Edit::Corrected {
            was: from.need_text("was", LOST)?,
            accepted: from.need_text("accepted", LOST)?,
            from: from.text("from"),
        },
        "evidence" => Edit::Evidence { note: note(from) },
        "undo" => Edit::Undo {
            of: need_texts(from, "of")?,
        },
        "split" => Edit::Split {
            by: from.meaning("divide", &Divide::ALL, Divide::word),
            into: need_texts(from, "into")?,
        },
        "tag" => {
            let reason = from.meaning("reason", &TagReason::ALL, TagReason::word);
            if from.get("reason").is_none() {
                from.missing("reason", LOST);
            }
            Edit::Tag {
                reason: reason?,
                note: note(from),
            }
        }
        "untag" => Edit::Untag { note: note(from) },
        "retire" => Edit::Retire { note: note(from) },
        _ => Edit::Alias {
            to: from.need_text("to", LOST)?,
        },
    })
}

fn note(from: &mut Reader<'_, '_>) -> String {
    from.text("note").unwrap_or_default()
}

/// A list that must be there; it may be empty.
fn need_texts(from: &mut Reader<'_, '_>, key: &str) -> Option<Vec<String>> {
    Some(need(from, key)?.texts(key))
}

fn need<'r, 'a, 'p>(from: &'r mut Reader<'a, 'p>, key: &str) -> Option<&'r mut Reader<'a, 'p>> {
    if from.get(key).is_none() {
        from.missing(key, LOST);
        return None;
    }
    Some(from)
}

/// Returns the line of an edit, still without its check sum.
pub(crate) fn unsealed(entry: &EditEntry, id: &str, seq: u64) -> String {
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| {
        out.insert(key.to_owned(), value);
    };
    put("v", VERSION.into());
    put("id", id.into());
    put("seq", seq.into());
    let at = entry.at.to_rfc3339_opts(SecondsFormat::Millis, true);
    put("at", at.into());
    put("by", entry.by.as_str().into());
    put("card", entry.card.as_str().into());
    if let Some(after) = &entry.after {
        put("after", json!(after));
    }
    let (kind, values) = values(&entry.edit);
    put("ev", kind.into());
    for (key, value) in values {
        put(key, value);
    }
    Value::Object(out).to_string()
}

fn values(edit: &Edit) -> (&'static str, Vec<(&'static str, Value)>) {
    match edit {
        Edit::Sign { asked, accepted } => (
            "sign",
            vec![("asked", json!(asked)), ("accepted", json!(accepted))],
        ),
        Edit::Stem { stem } => ("wording", vec![("stem", json!(stem))]),
        Edit::Corrected {
            was,
            accepted,
            from,
        } => {
            let mut values = vec![("was", json!(was)), ("accepted", json!(accepted))];
            values.extend(from.iter().map(|from| ("from", json!(from))));
            ("corrected", values)
        }
        Edit::Evidence { note } => ("evidence", vec![("note", json!(note))]),
        Edit::Undo { of } => ("undo", vec![("of", json!(of))]),
        Edit::Wording { also, accepted } => {
            let mut values = vec![("also", json!(also))];
            if !accepted.is_empty() {
                values.push(("accepted", json!(accepted)));
            }
            ("wording", values)
        }
        Edit::Answers { answers } => {
            let answers = answers.iter().map(card::write_answer).collect();
            ("answers", vec![("answers", answers)])
        }
        Edit::Why { why } => ("why", vec![("why", json!(why))]),
        Edit::Cautions { cautions } => ("cautions", vec![("cautions", json!(cautions))]),
        Edit::Merge { into } => ("merge", vec![("into", json!(into))]),
        Edit::Split { by, into } => {
            let by = by.map(|by| ("divide", json!(by.word())));
            (
                "split",
                by.into_iter().chain([("into", json!(into))]).collect(),
            )
        }
        Edit::Tag { reason, note } => (
            "tag",
            vec![("reason", json!(reason.word())), ("note", json!(note))],
        ),
        Edit::Untag { note } => ("untag", vec![("note", json!(note))]),
        Edit::Retire { note } => ("retire", vec![("note", json!(note))]),
        Edit::Alias { to } => ("alias", vec![("to", json!(to))]),
    }
}
