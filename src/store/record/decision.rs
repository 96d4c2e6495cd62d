//! Intake journal lines: what people decided about rows and sources of the backlog.

use std::sync::Arc;

use chrono::DateTime;
use chrono::SecondsFormat;
use chrono::Utc;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::intake::decision::Entry;
use crate::domain::intake::decision::Event;
use crate::domain::intake::decision::Progress;
use crate::domain::intake::draft::Suggested;
use crate::store::fault::Weight;
use crate::store::record::draft;
use crate::store::record::head;
use crate::store::record::head::Head;
use crate::store::record::head::LOST;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

const KINDS: [&str; 10] = [
    "accept",
    "repair",
    "split",
    "same-as",
    "skip",
    "undo",
    "take",
    "release",
    "source-add",
    "source-status",
];

/// Reads one line whose check sum was found right; the entry is there unless a problem costs it.
pub(crate) fn read(text: &str, bench: &str) -> (Option<Entry>, Vec<Problem>) {
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

fn entry(from: &mut Reader<'_, '_>, bench: &str) -> Option<Entry> {
    let Head { id, seq, at, by } = head::read(from);
    let kind = from.word("ev", &KINDS);
    if from.get("ev").is_none() {
        from.missing("ev", LOST);
    }
    let event = kind.and_then(|kind| event(from, &kind));
    Some(Entry {
        id: id?,
        bench: bench.to_owned(),
        seq: seq?,
        at: at?,
        by: by?,
        event: event?,
    })
}

fn event(from: &mut Reader<'_, '_>, kind: &str) -> Option<Event> {
    let mut need = |key: &str| from.need_text(key, LOST);
    Some(match kind {
        "accept" => Event::Accept {
            row: need("row")?,
            job: need("job")?,
            line: need("line")?,
        },
        "repair" => Event::Repair {
            row: need("row")?,
            draft: Arc::new(suggested(from, "draft")?),
        },
        "split" => Event::Split {
            row: need("row")?,
            parts: Arc::new(parts(from)?),
        },
        "same-as" => Event::SameAs {
            row: need("row")?,
            job: need("job")?,
            withdrew: from.texts("withdrew"),
        },
        "skip" => Event::Skip {
            row: need("row")?,
            why: from.text("why").unwrap_or_default(),
        },
        "undo" => Event::Undo { of: need("of")? },
        "take" => Event::Take {
            source: need("source")?,
            rows: from.count("from").zip(from.count("to")),
            until: from.date("until"),
        },
        "release" => Event::Release {
            source: need("source")?,
        },
        "source-add" => Event::AddSource {
            source: need("source")?,
            place: from.text("where").unwrap_or_default(),
            status: status(from).unwrap_or_default(),
        },
        _ => Event::SetSource {
            source: need("source")?,
            status: status(from)?,
            note: from.text("note").unwrap_or_default(),
            job: from.text("job"),
        },
    })
}

fn status(from: &mut Reader<'_, '_>) -> Option<Progress> {
    from.meaning("status", &Progress::ALL, Progress::word)
}

fn suggested(from: &mut Reader<'_, '_>, key: &str) -> Option<Suggested> {
    let Some(Value::Object(map)) = from.get(key) else {
        from.missing(key, LOST);
        return None;
    };
    let (suggested, problems) = draft::read_suggested(map);
    // What cannot be read of a draft was left out; a person sees at the desk that it is missing.
    for problem in problems {
        from.warn(key, problem.why, "look at the row at the desk");
    }
    Some(suggested)
}

fn parts(from: &mut Reader<'_, '_>) -> Option<[Suggested; 2]> {
    let read = |value: &Value| {
        let (suggested, _) = draft::read_suggested(value.as_object()?);
        Some(suggested)
    };
    let parts: Option<Vec<Suggested>> = from.list("parts").iter().map(read).collect();
    let parts = parts.and_then(|parts| <[Suggested; 2]>::try_from(parts).ok());
    if parts.is_none() {
        from.damage("parts", "not two drafts", LOST);
    }
    parts
}

/// Returns the line of an entry, still without its check sum.
pub(crate) fn unsealed(entry: &Entry, id: &str, seq: u64) -> String {
    let mut out = Map::new();
    let at = entry.at.to_rfc3339_opts(SecondsFormat::Millis, true);
    for (key, value) in [
        ("v", json!(VERSION)),
        ("id", json!(id)),
        ("seq", json!(seq)),
        ("at", json!(at)),
        ("by", json!(entry.by)),
    ] {
        out.insert(key.to_owned(), value);
    }
    let (kind, values) = values(&entry.event);
    out.insert("ev".to_owned(), kind.into());
    for (key, value) in values {
        if !value.is_null() {
            out.insert(key.to_owned(), value);
        }
    }
    Value::Object(out).to_string()
}

fn values(event: &Event) -> (&'static str, Vec<(&'static str, Value)>) {
    let whole = |s: &Suggested| Value::Object(draft::write_suggested(s));
    let some = |text: &str| {
        if text.is_empty() {
            Value::Null
        } else {
            json!(text)
        }
    };
    match event {
        Event::Accept { row, job, line } => (
            "accept",
            vec![
                ("row", json!(row)),
                ("job", json!(job)),
                ("line", json!(line)),
            ],
        ),
        Event::Repair { row, draft } => {
            ("repair", vec![("row", json!(row)), ("draft", whole(draft))])
        }
        Event::Split { row, parts } => {
            let parts: Vec<Value> = parts.iter().map(whole).collect();
            ("split", vec![("row", json!(row)), ("parts", json!(parts))])
        }
        Event::SameAs { row, job, withdrew } => {
            let withdrew = if withdrew.is_empty() {
                Value::Null
            } else {
                json!(withdrew)
            };
            (
                "same-as",
                vec![
                    ("row", json!(row)),
                    ("job", json!(job)),
                    ("withdrew", withdrew),
                ],
            )
        }
        Event::Skip { row, why } => ("skip", vec![("row", json!(row)), ("why", some(why))]),
        Event::Undo { of } => ("undo", vec![("of", json!(of))]),
        Event::Take {
            source,
            rows,
            until,
        } => (
            "take",
            vec![
                ("source", json!(source)),
                ("from", json!(rows.map(|r| r.0))),
                ("to", json!(rows.map(|r| r.1))),
                ("until", json!(until.map(|day| day.to_string()))),
            ],
        ),
        Event::Release { source } => ("release", vec![("source", json!(source))]),
        Event::AddSource {
            source,
            place,
            status,
        } => (
            "source-add",
            vec![
                ("source", json!(source)),
                ("where", some(place)),
                ("status", json!(status.word())),
            ],
        ),
        Event::SetSource {
            source,
            status,
            note,
            job,
        } => (
            "source-status",
            vec![
                ("source", json!(source)),
                ("status", json!(status.word())),
                ("note", some(note)),
                ("job", json!(job)),
            ],
        ),
    }
}

/// Returns the line that takes back `of`, still without its check sum.
pub(crate) fn unsealed_undo(by: &str, at: DateTime<Utc>, id: &str, seq: u64, of: &str) -> String {
    let entry = Entry {
        id: String::new(),
        bench: String::new(),
        seq,
        at,
        by: by.to_owned(),
        event: Event::Undo { of: of.to_owned() },
    };
    unsealed(&entry, id, seq)
}
