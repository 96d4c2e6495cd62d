//! Lines of open jobs: `{"v","id","seq","at","by","job","ev",…,"sum"}`.
//!
//! `ev` is `begin` (board, rev, complaint, unit), `log` (words), `hand` (to), `close` (as) or `call-off`
//! (why). The check sum is put on and taken off elsewhere.

use chrono::SecondsFormat;
use serde_json::Map;
use serde_json::Value;

use crate::domain::intake::open_job::Entry;
use crate::domain::intake::open_job::Event;
use crate::store::record::finding::put_text;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// Returns the line before it is sealed.
pub fn unsealed(entry: &Entry, id: &str, seq: u64) -> String {
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| drop(out.insert(key.to_owned(), value));
    put("v", VERSION.into());
    put("id", id.into());
    put("seq", seq.into());
    let at = entry.at.to_rfc3339_opts(SecondsFormat::Millis, true);
    put("at", at.into());
    put("by", entry.by.as_str().into());
    put("job", entry.job.as_str().into());
    match &entry.event {
        Event::Begin {
            board,
            rev,
            complaint,
            unit,
        } => {
            put("ev", "begin".into());
            put("board", board.as_str().into());
            put("complaint", complaint.as_str().into());
            put_text(&mut out, "rev", rev.as_ref());
            put_text(&mut out, "unit", unit.as_ref());
        }
        Event::Log { words } => {
            put("ev", "log".into());
            put("words", words.as_str().into());
        }
        Event::Hand { to } => {
            put("ev", "hand".into());
            put("to", to.as_str().into());
        }
        Event::Close { job } => {
            put("ev", "close".into());
            put("as", job.as_str().into());
        }
        Event::CallOff { why } => {
            put("ev", "call-off".into());
            put("why", why.as_str().into());
        }
    }
    Value::Object(out).to_string()
}

/// Reads one line of the file of `bench`.
pub fn read(text: &str, bench: &str) -> (Option<Entry>, Vec<Problem>) {
    let mut problems = Vec::new();
    let map = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let mut from = Reader::new(&map, &mut problems);
    let entry = entry(&mut from, bench);
    (entry, problems)
}

fn entry(from: &mut Reader<'_, '_>, bench: &str) -> Option<Entry> {
    let todo = "see to the line; it was not written by this program";
    let event = match from.need_text("ev", todo)?.as_str() {
        "begin" => Event::Begin {
            board: from.need_text("board", todo)?,
            rev: from.text("rev"),
            complaint: from.text("complaint").unwrap_or_default(),
            unit: from.text("unit"),
        },
        "log" => Event::Log {
            words: from.text("words").unwrap_or_default(),
        },
        "hand" => Event::Hand {
            to: from.need_text("to", todo)?,
        },
        "close" => Event::Close {
            job: from.text("as").unwrap_or_default(),
        },
        "call-off" => Event::CallOff {
            why: from.text("why").unwrap_or_default(),
        },
        other => {
            let why = format!("{other:?} is nothing that this program knows of an open job");
            from.warn("ev", why, "update this program");
            return None;
        }
    };
    let at = from.need_text("at", todo)?;
    let at = chrono::DateTime::parse_from_rfc3339(&at).ok();
    if at.is_none() {
        from.damage("at", "this is no moment", todo);
    }
    Some(Entry {
        id: from.need_text("id", todo)?,
        bench: bench.to_owned(),
        seq: from.count("seq")?,
        at: at?.to_utc(),
        by: from.text("by").unwrap_or_default(),
        job: from.need_text("job", todo)?,
        event,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_event_comes_back_as_it_was() {
        let text = |t: &str| t.to_owned();
        for event in [
            Event::Begin {
                board: text("petrel-p4"),
                rev: Some(text("C")),
                complaint: text("no power"),
                unit: None,
            },
            Event::Log {
                words: text("3V3_SB 0.41"),
            },
            Event::Hand { to: text("b9") },
            Event::Close { job: text("W-1") },
            Event::CallOff { why: text("twice") },
        ] {
            let entry = Entry {
                id: text("open-b7-3"),
                bench: text("b7"),
                seq: 3,
                at: "2026-11-20T08:00:00.120Z".parse().unwrap(),
                by: text("mk"),
                job: text("W-1"),
                event,
            };
            let (read, problems) = read(&unsealed(&entry, "open-b7-3", 3), "b7");
            assert_eq!((read, problems), (Some(entry), Vec::new()));
        }
    }
}
