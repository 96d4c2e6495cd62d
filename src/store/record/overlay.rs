//! Rewriting a record without losing what this program does not know.

use serde_json::Map;
use serde_json::Value;

type Fields = Map<String, Value>;

/// Returns `new` in the order of `written`, with the fields of `written` that are not `known`.
///
/// A number that did not change keeps its written form (`12.0` stays `12.0`), and a field that said
/// nothing (`null`, `[]`, `""`, `"="`) stays as it was.
pub(crate) fn overlay(
    written: &Map<String, Value>,
    mut new: Map<String, Value>,
    known: &dyn Fn(&str) -> bool,
) -> Map<String, Value> {
    let mut out = Map::new();
    for (key, old) in written {
        match new.shift_remove(key) {
            Some(value) if same_number(old, &value) => out.insert(key.clone(), old.clone()),
            Some(value) => out.insert(key.clone(), value),
            None if known(key) && !says_nothing(old) => None,
            None => out.insert(key.clone(), old.clone()),
        };
    }
    out.extend(new);
    out
}

/// Overlays each new item on the written item it came from: the one in its place if `same`, else the
/// first unused one that is.
pub(crate) fn overlay_list(
    written: Option<&Value>,
    new: Vec<Map<String, Value>>,
    same: &dyn Fn(&Fields, &Fields) -> bool,
    known: &dyn Fn(&Fields, &str) -> bool,
) -> Value {
    let empty = Vec::new();
    let written = written.and_then(Value::as_array).unwrap_or(&empty);
    let mut free: Vec<Option<&Map<String, Value>>> = written.iter().map(Value::as_object).collect();
    let in_place: Vec<Option<&Map<String, Value>>> = new
        .iter()
        .enumerate()
        .map(|(i, item)| free.get_mut(i)?.take_if(|old| same(old, item)))
        .collect();
    let mut out = Vec::new();
    for (item, place) in new.into_iter().zip(in_place) {
        let old = place.or_else(|| {
            free.iter_mut()
                .find_map(|slot| slot.take_if(|old| same(old, &item)))
        });
        out.push(Value::Object(match old {
            Some(old) => {
                let shape = item.clone();
                overlay(old, item, &|key| known(&shape, key))
            }
            None => item,
        }));
    }
    Value::Array(out)
}

fn same_number(old: &Value, new: &Value) -> bool {
    match (old.as_f64(), new.as_f64()) {
        (Some(old), Some(new)) => old.to_bits() == new.to_bits(),
        _ => false,
    }
}

fn says_nothing(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::Array(list) => list.is_empty(),
        Value::String(text) => text.is_empty() || text == "=",
        _ => false,
    }
}
