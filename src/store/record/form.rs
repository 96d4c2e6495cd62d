//! A form under way, as it is kept from key to key.
//!
//! One JSON object: `{"v","for","of","words","typed","changes","unit","began"}`; `began` is a draft.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::intake::draft::Draft;
use crate::domain::intake::form::Change;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::form::Slot;
use crate::domain::job::Role;
use crate::domain::job::When;
use crate::store::record::draft;
use crate::store::record::finding::put_text;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// Returns the text of the file.
pub fn write(form: &Form) -> String {
    let mut out = Map::new();
    out.insert("v".to_owned(), VERSION.into());
    let (purpose, of) = match &form.purpose {
        Purpose::Add => ("add", None),
        Purpose::Correct(number) => ("correct", Some(number)),
        Purpose::Close(number) => ("close", Some(number)),
    };
    out.insert("for".to_owned(), purpose.into());
    put_text(&mut out, "of", of);
    out.insert("words".to_owned(), form.words.as_str().into());
    let typed: Map<String, Value> = form
        .typed
        .iter()
        .map(|(slot, text)| (slot.word().to_owned(), text.as_str().into()))
        .collect();
    out.insert("typed".to_owned(), Value::Object(typed));
    let changes: Map<String, Value> = form
        .changes
        .iter()
        .map(|(key, change)| (key.clone(), write_change(change)))
        .collect();
    out.insert("changes".to_owned(), Value::Object(changes));
    put_text(&mut out, "unit", form.unit.as_ref());
    let began = draft::write(&form.base);
    if !began.is_empty() {
        out.insert("began".to_owned(), Value::Object(began));
    }
    format!("{}\n", Value::Object(out))
}

fn write_change(change: &Change) -> Value {
    let mut out = Map::new();
    if change.gone {
        out.insert("gone".to_owned(), true.into());
    }
    if change.taken {
        out.insert("taken".to_owned(), true.into());
    }
    let when = change.when.map(|w| w.word().to_owned());
    put_text(&mut out, "when", when.as_ref());
    let role = change.role.map(|r| r.word().to_owned());
    put_text(&mut out, "role", role.as_ref());
    json!(out)
}

/// Reads the file; none where it is no form or of a newer format.
pub fn read(text: &str) -> (Option<Form>, Vec<Problem>) {
    let mut problems = Vec::new();
    let map = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let mut from = Reader::new(&map, &mut problems);
    let v = from.count("v").unwrap_or(VERSION);
    if v > VERSION {
        let why = format!("format {v} is newer than this program knows");
        from.damage("v", why, "update this program");
        return (None, problems);
    }
    let of = from.text("of").unwrap_or_default();
    let purpose = match from.text("for").as_deref() {
        Some("correct") => Purpose::Correct(of),
        Some("close") => Purpose::Close(of),
        _ => Purpose::Add,
    };
    let words = from.text("words").unwrap_or_default();
    let unit = from.text("unit");
    let base = match map.get("began") {
        Some(Value::Object(began)) => {
            let (base, more) = draft::read(began);
            problems.extend(more);
            base
        }
        _ => Draft::default(),
    };
    let typed = fields(&map, "typed")
        .filter_map(|(key, value)| Some((Slot::from_word(key)?, value.as_str()?.to_owned())))
        .collect();
    let changes = fields(&map, "changes")
        .map(|(key, value)| (key.clone(), change(value)))
        .collect();
    let form = Form {
        purpose,
        base,
        words,
        typed,
        changes,
        unit,
    };
    (Some(form), problems)
}

fn fields<'a>(
    map: &'a Map<String, Value>,
    key: &str,
) -> impl Iterator<Item = (&'a String, &'a Value)> {
    map.get(key)
        .and_then(Value::as_object)
        .into_iter()
        .flatten()
}

fn change(value: &Value) -> Change {
    let flag = |key: &str| value.get(key).and_then(Value::as_bool).unwrap_or(false);
    let word = |key: &str| value.get(key).and_then(Value::as_str);
    Change {
        gone: flag("gone"),
        taken: flag("taken"),
        when: word("when").and_then(When::from_word),
        role: word("role").and_then(Role::from_word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Outcome;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_form_comes_back_as_it_was(
            words in "\\PC{0,40}(\n\\PC{0,20})?",
            board in "\\PC{0,8}",
            key in "\\PC{1,12}",
            gone in any::<bool>(),
            closes in any::<bool>(),
        ) {
            let change = Change { gone, taken: !gone, when: Some(When::AfterCleaning), role: Some(Role::AlsoDone) };
            let form = Form {
                purpose: if closes { Purpose::Close("W-1".to_owned()) } else { Purpose::Add },
                base: Draft { outcome: Some(Outcome::Held), ..Draft::default() },
                words,
                typed: [(Slot::Board, board)].into_iter().collect(),
                changes: [(key, change)].into_iter().collect(),
                unit: Some("0123456789abcdef".to_owned()),
            };
            let (read, problems) = read(&write(&form));
            prop_assert!(problems.is_empty(), "{problems:?}");
            prop_assert_eq!(read, Some(form));
        }
    }

    #[test]
    fn a_newer_form_is_left_alone() {
        let (form, problems) = read(r#"{"v":2,"words":"x"}"#);
        assert_eq!((form, problems.len()), (None, 1));
    }
}
