//! JSON objects without two fields of one name: which of them counts would be chance.

use std::fmt;

use serde::Deserialize;
use serde::de;
use serde_json::Map;
use serde_json::Value;

use crate::store::record::problem::Problem;

struct Strict(Value);

/// Returns `text` as an object, or what is wrong with it.
pub(crate) fn object(text: &str) -> Result<Map<String, Value>, Problem> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    match serde_json::from_str(text) {
        Ok(Strict(Value::Object(map))) => Ok(map),
        Ok(Strict(_)) => Err(Problem::damage(
            "",
            "not an object",
            "write the record as {\"field\": value, …}",
        )),
        Err(error) => {
            let todo = if text.contains('\0') {
                "the line holds NUL bytes; restore it from a backup"
            } else {
                "check quotes, commas and brackets"
            };
            let why = error.to_string();
            let why = why.strip_suffix(&format!(" at line 1 column {}", error.column()));
            let why = match why {
                Some(why) => format!("not JSON at column {}: {why}", error.column()),
                None => format!("not JSON: {error}"),
            };
            Err(Problem::damage("", why, todo))
        }
    }
}

impl<'de> Deserialize<'de> for Strict {
    fn deserialize<D: de::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl<'de> de::Visitor<'de> for Visitor {
            type Value = Strict;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a JSON value")
            }
            fn visit_unit<E>(self) -> Result<Strict, E> {
                Ok(Strict(Value::Null))
            }
            fn visit_bool<E>(self, value: bool) -> Result<Strict, E> {
                Ok(Strict(value.into()))
            }
            fn visit_i64<E>(self, value: i64) -> Result<Strict, E> {
                Ok(Strict(value.into()))
            }
            fn visit_u64<E>(self, value: u64) -> Result<Strict, E> {
                Ok(Strict(value.into()))
            }
            fn visit_f64<E>(self, value: f64) -> Result<Strict, E> {
                Ok(Strict(value.into()))
            }
            fn visit_str<E>(self, value: &str) -> Result<Strict, E> {
                Ok(Strict(value.into()))
            }
            fn visit_string<E>(self, value: String) -> Result<Strict, E> {
                Ok(Strict(value.into()))
            }
            fn visit_seq<A: de::SeqAccess<'de>>(self, mut from: A) -> Result<Strict, A::Error> {
                let mut list = Vec::new();
                while let Some(Strict(value)) = from.next_element()? {
                    list.push(value);
                }
                Ok(Strict(Value::Array(list)))
            }
            fn visit_map<A: de::MapAccess<'de>>(self, mut from: A) -> Result<Strict, A::Error> {
                let mut map = Map::new();
                while let Some((key, Strict(value))) = from.next_entry::<String, Strict>()? {
                    if map.contains_key(&key) {
                        return Err(de::Error::custom(format!("the field {key:?} stands twice")));
                    }
                    map.insert(key, value);
                }
                Ok(Strict(Value::Object(map)))
            }
        }
        from.deserialize_any(Visitor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, why: &str) {
        let problem = object(text).unwrap_err();
        assert!(problem.why.contains(why), "{}", problem.why);
    }

    #[test]
    fn what_is_no_object_is_named() {
        check("[1]", "not an object");
        check("{\"a\":1,\"a\":2}", "\"a\" stands twice");
        check("{\"a\":{\"b\":1,\"b\":1}}", "\"b\" stands twice");
        check("{\"a\":1e999}", "not JSON at column");
        check("{\"a\":NaN}", "not JSON at column");
        check("{\"a\":1", "not JSON at column");
        assert_eq!(object("\u{feff}{\"a\":1}").unwrap().len(), 1);
    }
}
