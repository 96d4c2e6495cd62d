//! Writing a job line over the one it came from.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::job::Action;
use crate::domain::job::Flag;
use crate::domain::job::Job;
use crate::store::record::finding;
use crate::store::record::finding::put_text;
use crate::store::record::overlay;

/// Returns the fields of a job; items of its lists lie over those of `written`.
pub(crate) fn write(job: &Job, written: &Map<String, Value>) -> Map<String, Value> {
    let mut out = Map::new();
    let v = if job.withdrawn { 2 } else { 1 };
    out.insert("v".to_owned(), v.into());
    if job.id != job.job || written.contains_key("id") {
        out.insert("id".to_owned(), job.id.as_str().into());
    }
    out.insert("job".to_owned(), job.job.as_str().into());
    out.insert("closed_on".to_owned(), job.closed_on.to_string().into());
    put_text(&mut out, "closed_by", job.closed_by.as_ref());
    out.insert("board".to_owned(), job.board.as_str().into());
    put_text(&mut out, "rev", job.rev.as_ref());
    put_text(&mut out, "unit", job.unit.as_ref());
    put_text(&mut out, "follows", job.follows.as_ref());
    put_text(&mut out, "corrects", job.corrects.as_ref());
    if job.withdrawn {
        out.insert("withdrawn".to_owned(), true.into());
    }
    out.insert("complaint".to_owned(), json!(job.complaint));
    let findings = job.findings.iter().map(|f| finding::write(f, true));
    let same = |a: &Map<String, Value>, b: &Map<String, Value>| {
        ["kind", "where", "name"]
            .iter()
            .all(|k| a.get(*k) == b.get(*k))
    };
    out.insert(
        "findings".to_owned(),
        overlay::overlay_list(
            written.get("findings"),
            findings.collect(),
            &same,
            &finding::knows,
        ),
    );
    put_text(&mut out, "family", job.family.as_ref());
    put_list(&mut out, "contributing", &job.contributing);
    let actions = job.actions.iter().map(write_action).collect();
    put_items(
        &mut out,
        written,
        "actions",
        actions,
        &["act", "part", "role"],
        2,
    );
    put_text(&mut out, "no_fix_reason", job.no_fix_reason.as_ref());
    out.insert("outcome".to_owned(), job.outcome.word().into());
    let cause = job.bounce_cause.map(|c| c.word().to_owned());
    put_text(&mut out, "bounce_cause", cause.as_ref());
    let confidence = job.confidence.map(|c| c.word().to_owned());
    put_text(&mut out, "confidence", confidence.as_ref());
    put_text(&mut out, "proof", job.proof.as_ref());
    put_list(&mut out, "environment", &job.environment);
    put_text(&mut out, "source", job.source.as_ref());
    let flags = job.flags.iter().map(write_flag).collect();
    put_items(
        &mut out,
        written,
        "flags",
        flags,
        &["field", "why", "raw"],
        2,
    );
    out
}

pub(crate) fn write_action(action: &Action) -> Map<String, Value> {
    let mut out = Map::new();
    out.insert("act".to_owned(), action.act.as_str().into());
    if !action.part.is_empty() {
        out.insert("part".to_owned(), action.part.as_str().into());
    }
    out.insert("role".to_owned(), action.role.word().into());
    out
}

pub(crate) fn write_flag(flag: &Flag) -> Map<String, Value> {
    let mut out = Map::new();
    for (key, text) in [
        ("field", &flag.field),
        ("why", &flag.why),
        ("raw", &flag.raw),
    ] {
        if !text.is_empty() {
            out.insert(key.to_owned(), text.as_str().into());
        }
    }
    out
}

/// Writes a list of objects over the written one; the first `by` known fields say which is which.
fn put_items(
    out: &mut Map<String, Value>,
    written: &Map<String, Value>,
    key: &str,
    items: Vec<Map<String, Value>>,
    known: &[&str],
    by: usize,
) {
    if items.is_empty() {
        return;
    }
    let same = |a: &Map<String, Value>, b: &Map<String, Value>| {
        known[..by].iter().all(|k| a.get(*k) == b.get(*k))
    };
    let list = overlay::overlay_list(written.get(key), items, &same, &|_, k| known.contains(&k));
    out.insert(key.to_owned(), list);
}

fn put_list(out: &mut Map<String, Value>, key: &str, list: &[String]) {
    if !list.is_empty() {
        out.insert(key.to_owned(), json!(list));
    }
}
