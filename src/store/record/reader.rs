//! Reading an object field by field, collecting everything that is wrong instead of stopping at it.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde_json::Map;
use serde_json::Value;

use crate::store::record::problem::Problem;

/// Reads the fields of one object; says of each problem in which field it is.
pub(crate) struct Reader<'a, 'p> {
    map: &'a Map<String, Value>,
    path: String,
    problems: &'p mut Vec<Problem>,
}

impl<'a, 'p> Reader<'a, 'p> {
    /// Returns a reader of a whole record.
    pub(crate) fn new(map: &'a Map<String, Value>, problems: &'p mut Vec<Problem>) -> Self {
        Self {
            map,
            path: String::new(),
            problems,
        }
    }

    /// Returns the path of a field: `findings[2].got_v`.
    pub(crate) fn path(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    /// Returns the fields themselves.
    pub(crate) fn map(&self) -> &'a Map<String, Value> {
        self.map
    }

    /// Returns the field, where it is there and not null.
    pub(crate) fn get(&self, key: &str) -> Option<&'a Value> {
        self.map.get(key).filter(|value| !value.is_null())
    }

    /// Notes a problem that costs the record.
    pub(crate) fn damage(&mut self, key: &str, why: impl Into<String>, todo: impl Into<String>) {
        let field = self.path(key);
        self.problems.push(Problem::damage(field, why, todo));
    }

    /// Notes a problem that costs nothing yet.
    pub(crate) fn warn(&mut self, key: &str, why: impl Into<String>, todo: impl Into<String>) {
        let field = self.path(key);
        self.problems.push(Problem::warning(field, why, todo));
    }

    /// Notes that a required field is missing.
    pub(crate) fn missing(&mut self, key: &str, todo: impl Into<String>) {
        self.damage(key, "missing", todo);
    }

    fn wrong(&mut self, key: &str, expected: &str, found: &Value) {
        let mut shown = found.to_string();
        if shown.chars().count() > 40 {
            shown = shown.chars().take(39).chain(['…']).collect();
        }
        let why = format!("expected {expected}, found {shown}");
        let todo = match unit(key) {
            Some(unit) if expected == NUMBER => format!("write it as a plain number of {unit}"),
            _ => format!("write it as {expected}"),
        };
        self.damage(key, why, todo);
    }

    /// Returns a text that may be left out.
    pub(crate) fn text(&mut self, key: &str) -> Option<String> {
        let value = self.get(key)?;
        if let Value::String(text) = value {
            return Some(text.clone());
        }
        self.wrong(key, "text in quotes", value);
        None
    }

    /// Returns a text that must be there and not be empty.
    pub(crate) fn need_text(&mut self, key: &str, todo: &str) -> Option<String> {
        if self.get(key).is_none() {
            self.missing(key, todo);
            return None;
        }
        let text = self.text(key)?;
        if text.trim().is_empty() {
            self.damage(key, "empty", todo);
            return None;
        }
        Some(text)
    }

    /// Returns a flag that may be left out.
    pub(crate) fn flag(&mut self, key: &str) -> Option<bool> {
        let value = self.get(key)?;
        if value.as_bool().is_none() {
            self.wrong(key, "true or false", value);
        }
        value.as_bool()
    }

    /// Returns a number that may be left out; its unit says how low it may be.
    pub(crate) fn number(&mut self, key: &str) -> Option<f64> {
        let value = self.get(key)?;
        let Some(number) = value.as_f64().filter(|n| n.is_finite()) else {
            self.wrong(key, NUMBER, value);
            return None;
        };
        let (least, below) = lowest(key);
        if number < least {
            self.damage(key, format!("{number} is {below}"), "check sign and unit");
            return None;
        }
        Some(number)
    }

    /// Returns a whole number from 0 up that may be left out.
    pub(crate) fn count(&mut self, key: &str) -> Option<u64> {
        let value = self.get(key)?;
        if value.as_u64().is_none() {
            self.wrong(key, "a whole number from 0 up", value);
        }
        value.as_u64()
    }

    /// Returns a day that may be left out.
    pub(crate) fn date(&mut self, key: &str) -> Option<NaiveDate> {
        let text = self.text(key)?;
        let day = text
            .parse()
            .ok()
            .filter(|day: &NaiveDate| day.to_string() == text);
        if day.is_none() {
            let why = format!("{text:?} is no day");
            self.damage(key, why, "write year-month-day, for example 2026-03-14");
        }
        day
    }

    /// Returns a word of `vocabulary` that may be left out.
    pub(crate) fn word(&mut self, key: &str, vocabulary: &[&str]) -> Option<String> {
        let word = self.text(key)?;
        self.known(key, word, vocabulary)
    }

    /// Returns what a word stands for, where it may be left out.
    pub(crate) fn meaning<T: Copy>(
        &mut self,
        key: &str,
        all: &[T],
        word_of: impl Fn(T) -> &'static str,
    ) -> Option<T> {
        let vocabulary: Vec<&str> = all.iter().map(|v| word_of(*v)).collect();
        let word = self.word(key, &vocabulary)?;
        all.iter().copied().find(|v| word_of(*v) == word)
    }

    fn known(&mut self, key: &str, word: String, vocabulary: &[&str]) -> Option<String> {
        if vocabulary.is_empty() || vocabulary.contains(&word.as_str()) {
            return Some(word);
        }
        let why = format!("the word {word:?} is not known here");
        self.damage(key, why, format!("use one of: {}", vocabulary.join(", ")));
        None
    }

    /// Returns a list of texts; absent is empty.
    pub(crate) fn texts(&mut self, key: &str) -> Vec<String> {
        self.words(key, &[])
    }

    /// Returns a list of words of `vocabulary`; absent is empty, an empty vocabulary takes any.
    pub(crate) fn words(&mut self, key: &str, vocabulary: &[&str]) -> Vec<String> {
        let mut found = Vec::new();
        for (i, value) in self.list(key).iter().enumerate() {
            let at = format!("{key}[{i}]");
            match value {
                Value::String(word) => found.extend(self.known(&at, word.clone(), vocabulary)),
                other => self.wrong(&at, "text in quotes", other),
            }
        }
        found
    }

    /// Returns the items of a list; absent is empty.
    pub(crate) fn list(&mut self, key: &str) -> &'a [Value] {
        match self.get(key) {
            None => &[],
            Some(Value::Array(list)) => list,
            Some(other) => {
                self.wrong(key, "a list in square brackets", other);
                &[]
            }
        }
    }

    /// Reads each object of a list.
    pub(crate) fn each<T>(
        &mut self,
        key: &str,
        mut read: impl FnMut(&mut Reader<'_, '_>) -> Option<T>,
    ) -> Vec<T> {
        let mut found = Vec::new();
        for (i, value) in self.list(key).iter().enumerate() {
            let at = format!("{key}[{i}]");
            found.extend(self.inside(&at, value, &mut read));
        }
        found
    }

    /// Reads the object in a field; absent is none.
    pub(crate) fn object<T>(
        &mut self,
        key: &str,
        read: impl FnOnce(&mut Reader<'_, '_>) -> Option<T>,
    ) -> Option<T> {
        let value = self.get(key)?;
        self.inside(key, value, read)
    }

    fn inside<T>(
        &mut self,
        at: &str,
        value: &Value,
        read: impl FnOnce(&mut Reader<'_, '_>) -> Option<T>,
    ) -> Option<T> {
        let Value::Object(map) = value else {
            self.wrong(at, "an object in curly brackets", value);
            return None;
        };
        let path = self.path(at);
        read(&mut Reader {
            map,
            path,
            problems: self.problems,
        })
    }

    /// Reads an object whose keys are free; absent is empty.
    pub(crate) fn entries<T>(
        &mut self,
        key: &str,
        mut read: impl FnMut(&mut Reader<'_, '_>, &str) -> Option<T>,
    ) -> BTreeMap<String, T> {
        let found = self.object(key, |inside| {
            let mut found = BTreeMap::new();
            for name in inside.map.keys() {
                if let Some(value) = read(inside, name) {
                    found.insert(name.clone(), value);
                }
            }
            Some(found)
        });
        found.unwrap_or_default()
    }
}

const NUMBER: &str = "a number";

fn unit(key: &str) -> Option<&'static str> {
    Some(match key.rsplit_once('_')?.1 {
        "v" => "volts",
        "a" => "amperes",
        "ohm" => "ohms",
        "c" => "degrees Celsius",
        "hz" => "hertz",
        "s" => "seconds",
        _ => return None,
    })
}

/// The lowest value that a field may have, and what is said of one below it.
pub(crate) fn lowest(key: &str) -> (f64, &'static str) {
    match unit(key) {
        Some("degrees Celsius") => (-273.15, "below absolute zero"),
        None | Some("ohms" | "hertz" | "seconds") => (0.0, "below zero"),
        Some(_) if key == "limit_a" => (0.0, "below zero"),
        Some(_) => (f64::NEG_INFINITY, ""),
    }
}
