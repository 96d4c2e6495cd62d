//! The forty messy cells of `tests/data/cells.jsonl`, read through the public way in.
//!
//! The cells and their readings are invented, common practice, no source; they were written before the
//! reader was. What a key means stands in `tests/data/sheets/README.md`. Not compared: notes, and
//! `candidates`, which are parts that nobody decided on.

use std::collections::BTreeMap;

use benchlore::domain::intake::mapping::DateOrder;
use benchlore::domain::intake::mapping::DecimalMark;
use benchlore::domain::intake::mapping::Field;
use benchlore::domain::intake::reading::Known;
use benchlore::domain::intake::reading::Reading;
use benchlore::domain::intake::reading::read;
use benchlore::domain::intake::words::Words;
use benchlore::domain::job::Action;
use benchlore::domain::job::Finding;
use benchlore::domain::job::Qualifier;
use serde_json::Value;

const CELLS: &str = include_str!("../data/cells.jsonl");

fn read_cell(text: &str) -> Reading {
    let words = Words::with_shop(&BTreeMap::new());
    let known = Known {
        words: &words,
        board: None,
        field: &Field::Everything,
        dates: DateOrder::Unknown,
        decimal: DecimalMark::Unknown,
    };
    read(text, &known)
}

fn list<'v>(of: &'v Value, key: &str) -> &'v [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

fn plain(name: &str) -> String {
    name.replace(' ', "").to_uppercase()
}

/// Tells whether a finding has every key that `wanted` states.
fn fits(found: &Finding, wanted: &Value) -> bool {
    let same = |number: Option<f64>, stated: &Value| {
        let stated = stated.as_f64().expect("a number");
        number.is_some_and(|n| (n - stated).abs() <= 1e-9 * stated.abs().max(1.0))
    };
    wanted
        .as_object()
        .expect("a finding")
        .iter()
        .all(|(key, stated)| match key.as_str() {
            "kind" => stated == found.kind.word(),
            "where" => plain(stated.as_str().expect("a place")) == plain(&found.place),
            "verdict" | "draw" | "sign" => stated.as_str() == found.code.as_deref(),
            "q" => stated.as_str() == found.qualifier.map(Qualifier::word),
            "extent" => stated.as_str() == found.extent.as_deref(),
            "got_v" | "got_a" | "got_ohm" => same(found.got, stated),
            "expect_v" | "good_v" => same(found.good, stated),
            "low_a" => same(found.low, stated),
            "high_a" => same(found.high, stated),
            "limit_a" => same(found.limit_a, stated),
            "collapsed_v" => same(found.collapsed_v, stated),
            other => panic!("no such key: {other}"),
        })
}

fn does(action: &Action, wanted: &Value) -> bool {
    let part = &wanted["part"];
    let role = &wanted["role"];
    wanted["act"].as_str() == Some(&action.act)
        && (role.is_null() || role == action.role.word())
        && (part.is_null() || part.as_str().map(plain) == Some(plain(&action.part)))
}

/// Returns what differs between a cell's reading and what a person reads in it.
fn differences(cell: &Value, reading: &Reading) -> Vec<String> {
    let mut wrong = Vec::new();
    let either = list(cell, "either");
    let may = || either.iter().flat_map(|e| list(e, "findings"));
    for wanted in list(cell, "findings") {
        if !reading.findings.iter().any(|f| fits(&f.what, wanted)) {
            wrong.push(format!("missing {wanted}"));
        }
    }
    for found in reading.findings.iter().filter(|f| f.sure) {
        let known = list(cell, "findings").iter().chain(may());
        if !known.into_iter().any(|w| fits(&found.what, w)) {
            wrong.push(format!("too much {:?}", found.what));
        }
    }
    for never in list(cell, "not") {
        let read =
            never["kind"].is_string() && reading.findings.iter().any(|f| fits(&f.what, never));
        let role = never["role"].as_str();
        let done = role.is_some()
            && reading
                .actions
                .iter()
                .any(|a| Some(a.what.role.word()) == role);
        if read || done {
            wrong.push(format!("must not be read: {never}"));
        }
    }
    for wanted in list(cell, "actions") {
        if !reading.actions.iter().any(|a| does(&a.what, wanted)) {
            wrong.push(format!("missing {wanted}"));
        }
    }
    for found in reading.actions.iter().filter(|a| a.sure) {
        if !list(cell, "actions").iter().any(|w| does(&found.what, w)) {
            wrong.push(format!("too much {:?}", found.what));
        }
    }
    let outcome = reading.outcome.as_ref();
    if let Some(stated) = cell["outcome"].as_str() {
        if outcome.map(|o| o.what.word()) != Some(stated) {
            wrong.push(format!("outcome {outcome:?}"));
        }
    } else if outcome.is_some_and(|o| o.sure && o.what.word() != "unknown-so-far") {
        wrong.push(format!("outcome {outcome:?}"));
    }
    let reason = reading.no_fix_reason.as_ref().map(|r| r.what.as_str());
    if reason != cell["no_fix_reason"].as_str() {
        wrong.push(format!("reason {reason:?}"));
    }
    let family = reading.family.as_ref();
    if let Some(stated) = cell["family"].as_str()
        && family.is_none_or(|f| f.what != stated)
    {
        wrong.push(format!("family {family:?}"));
    }
    let places: Vec<&str> = reading
        .environment
        .iter()
        .map(|e| e.what.as_str())
        .collect();
    let stated: Vec<&str> = list(cell, "environment")
        .iter()
        .filter_map(Value::as_str)
        .collect();
    if places != stated {
        wrong.push(format!("environment {places:?}"));
    }
    for flag in list(cell, "flags") {
        if !reading
            .flags
            .iter()
            .any(|f| Some(f.why.as_str()) == flag.as_str())
        {
            wrong.push(format!("no flag {flag}"));
        }
    }
    wrong
}

#[test]
fn the_forty_messy_cells_are_read_as_a_person_reads_them() {
    let mut wrong = String::new();
    let mut cells = 0;
    for line in CELLS.lines() {
        let cell: Value = serde_json::from_str(line).expect("a line of JSON");
        let text = cell["cell"].as_str().expect("the cell's words");
        let found = differences(&cell, &read_cell(text));
        cells += 1;
        if !found.is_empty() {
            wrong.extend([text, ": ", &found.join("; "), "\n"]);
        }
    }
    assert_eq!(cells, 40);
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn a_cell_read_otherwise_is_told() {
    let cell = serde_json::json!({
        "findings": [{"kind": "rail", "where": "5V", "got_v": 3.9}],
        "actions": [], "flags": ["decimal-comma"], "outcome": "held",
    });
    let told = differences(&cell, &read_cell("5V 3.8, replaced U2"));
    assert_eq!(told.len(), 5, "{told:?}");
}
