//! Taking a person's initials out of lines that stay: texts in, texts out, no files.
//!
//! Of a job line only the values of `closed_by`, `with` and `entered_by` change, and cells of its row
//! (`raw`) that hold nothing but the initials; of an edit only `by`, of a review line only the `to` of a
//! moved sitting; every other byte stays, unknown fields and line breaks included. In intake/ the same
//! fields change wherever they stand in a line. Lines with a check sum get a new one. A line that cannot
//! be read is left as it is and told.

use std::ops::Range;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::SecondsFormat;
use chrono::Utc;
use serde::Deserialize;
use serde::Serialize;
use serde_json::Map;
use serde_json::Value;

use crate::store::sealed;

/// Fields of a job that name people.
pub const JOB_FIELDS: [&str; 3] = ["closed_by", "with", "entered_by"];
/// Fields of an edit that name people.
pub const EDIT_FIELDS: [&str; 1] = ["by"];
/// Fields of lines in intake/ that name people, at any depth.
const INTAKE_FIELDS: [&str; 4] = ["by", "closed_by", "with", "entered_by"];

/// Fields of a line about an open job that name people.
pub const OPEN_FIELDS: [&str; 2] = ["by", "to"];

/// Who is taken out, and what stands in the place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Leaving {
    /// Format of the file this is kept in while the erasure is under way.
    pub v: u64,
    /// Folder name.
    pub id: String,
    /// Initials.
    pub initials: String,
    /// What stands for them from now on, such as `former-1`.
    pub mark: String,
    /// Mark of the archive before anything was changed, to tell which decks were fresh.
    pub archive: String,
}

/// A text with the initials taken out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cleared {
    /// The new text.
    pub bytes: Vec<u8>,
    /// Lines that changed.
    pub changed: usize,
    /// Numbers of lines that cannot be read and were left as they are.
    pub unread: Vec<u64>,
    /// Numbers of lines in whose other words (notes, raw text) the initials still stand.
    pub mentions: Vec<u64>,
}

impl Leaving {
    /// Tells whether a word is this person.
    pub fn is(&self, word: &str) -> bool {
        word.eq_ignore_ascii_case(&self.id) || word.eq_ignore_ascii_case(&self.initials)
    }

    /// Puts the mark in place of every word that is this person.
    pub fn replaced(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        let mut from = 0;
        for word in words(text) {
            if self.is(&text[word.clone()]) {
                out.push_str(&text[from..word.start]);
                out.push_str(&self.mark);
                from = word.end;
            }
        }
        out.push_str(&text[from..]);
        out
    }

    fn stands_in(&self, text: &str) -> bool {
        words(text).any(|word| self.is(&text[word]))
    }

    /// Clears job lines.
    pub fn clear_jobs(&self, bytes: &[u8]) -> Cleared {
        let mut cleared = Cleared::default();
        for (number, line) in (1..).zip(bytes.split_inclusive(|b| *b == b'\n')) {
            let end = line.trim_ascii_end().len();
            let start = if line.starts_with(b"\xef\xbb\xbf") {
                3
            } else {
                0
            };
            let body = line.get(start..end).unwrap_or_default();
            let text = std::str::from_utf8(body).ok();
            let new = text.and_then(|text| self.clear_fields(text, &JOB_FIELDS));
            if let Some(new) = new {
                cleared.bytes.extend_from_slice(&line[..start]);
                cleared.bytes.extend_from_slice(new.as_bytes());
                cleared.bytes.extend_from_slice(&line[end..]);
                cleared.changed += usize::from(Some(new.as_str()) != text);
                if self.is_mentioned(&new) {
                    cleared.mentions.push(number);
                }
            } else {
                cleared.bytes.extend_from_slice(line);
                if !body.is_empty() {
                    cleared.unread.push(number);
                }
            }
        }
        cleared
    }

    /// Clears edits.
    pub fn clear_edits(&self, bytes: &[u8]) -> Cleared {
        clear_sealed(bytes, &|text| self.clear_fields(text, &EDIT_FIELDS))
    }

    /// Clears lines of intake/: rows that wait, and what was decided about them.
    pub fn clear_intake(&self, bytes: &[u8]) -> Cleared {
        let clear = |text: &str| {
            let mut line = serde_json::from_str::<Map<String, Value>>(text).ok()?;
            let changed = self.clear_object(&mut line);
            Some(if changed {
                Value::Object(line).to_string()
            } else {
                text.to_owned()
            })
        };
        let mut cleared = clear_sealed(bytes, &clear);
        for (number, line) in (1..).zip(cleared.bytes.split(|b| *b == b'\n')) {
            let text = std::str::from_utf8(line).unwrap_or_default();
            if self.is_mentioned(text) {
                cleared.mentions.push(number);
            }
        }
        cleared
    }

    /// Clears the fields of an object that name people, and its cells; tells whether any changed.
    fn clear_object(&self, object: &mut Map<String, Value>) -> bool {
        let mut changed = false;
        for (key, value) in object {
            changed |= match (key.as_str(), value) {
                (key, Value::String(text)) if INTAKE_FIELDS.contains(&key) => {
                    let new = self.replaced(text);
                    let is_new = new != *text;
                    *text = new;
                    is_new
                }
                ("cells" | "raw", cells) => self.clear_cells(cells),
                (_, Value::Object(inner)) => self.clear_object(inner),
                (_, Value::Array(list)) => {
                    let objects = list.iter_mut().filter_map(Value::as_object_mut);
                    objects.fold(false, |changed, inner| self.clear_object(inner) | changed)
                }
                _ => false,
            };
        }
        changed
    }

    /// Clears cells that hold nothing but the initials: words that name someone else too stay.
    fn clear_cells(&self, cells: &mut Value) -> bool {
        match cells {
            Value::String(text) if self.is(text.trim()) => {
                text.clone_from(&self.mark);
                true
            }
            Value::Array(list) => list
                .iter_mut()
                .fold(false, |changed, cell| self.clear_cells(cell) | changed),
            Value::Object(map) => map
                .values_mut()
                .fold(false, |changed, cell| self.clear_cells(cell) | changed),
            _ => false,
        }
    }

    /// Clears the log of jobs still on a bench.
    pub fn clear_open(&self, bytes: &[u8]) -> Cleared {
        clear_sealed(bytes, &|text| self.clear_fields(text, &OPEN_FIELDS))
    }

    /// Clears the journal of someone else: a sitting that was given to this person goes to whoever
    /// `owner` says it was given on to, else to nobody.
    pub fn clear_moves(&self, bytes: &[u8], owner: &dyn Fn(&str) -> Option<String>) -> Cleared {
        let clear = |text: &str| {
            let mut line: Map<String, Value> = serde_json::from_str(text).ok()?;
            let ours = line.get("to").is_some_and(|to| *to == self.id.as_str());
            if line.get("ev").is_none_or(|ev| ev != "move") || !ours {
                return Some(text.to_owned());
            }
            let sitting = line
                .get("sitting")
                .and_then(Value::as_str)
                .unwrap_or_default();
            let to = owner(sitting).unwrap_or_else(|| self.mark.clone());
            line.insert("to".to_owned(), Value::String(to));
            Some(Value::Object(line).to_string())
        };
        clear_sealed(bytes, &clear)
    }

    /// Returns the line with the texts in `fields` cleared, and cells under `raw` that are the initials;
    /// none where it is no object.
    fn clear_fields(&self, line: &str, fields: &[&str]) -> Option<String> {
        let mut out = String::with_capacity(line.len());
        let mut from = 0;
        for (value, is_cell) in texts_of(line, fields)? {
            let text: String = serde_json::from_str(&line[value.clone()]).ok()?;
            let new = match is_cell {
                true if self.is(text.trim()) => self.mark.clone(),
                true => text.clone(),
                false => self.replaced(&text),
            };
            if new != text {
                out.push_str(&line[from..value.start]);
                out.push_str(&Value::String(new).to_string());
                from = value.end;
            }
        }
        out.push_str(&line[from..]);
        Some(out)
    }

    /// Tells whether the initials stand as a word in any text of an object.
    fn is_mentioned(&self, line: &str) -> bool {
        fn texts<'a>(value: &'a Value, found: &mut Vec<&'a str>) {
            match value {
                Value::String(text) => found.push(text),
                Value::Array(list) => list.iter().for_each(|v| texts(v, found)),
                Value::Object(map) => map
                    .iter()
                    // Places on a board are no people, whatever they are called.
                    .filter(|(key, _)| {
                        !["where", "part", "id", "job", "board"].contains(&key.as_str())
                    })
                    .for_each(|(_, v)| texts(v, found)),
                _ => {}
            }
        }
        let Ok(value) = serde_json::from_str::<Value>(line) else {
            return false;
        };
        let mut found = Vec::new();
        texts(&value, &mut found);
        found.into_iter().any(|text| self.stands_in(text))
    }
}

/// A review line of a sitting that was given to someone: what it becomes in their folder.
#[derive(Clone, Debug)]
pub struct Given<'a> {
    /// Id of the line as it stands now.
    pub id: &'a str,
    /// Whose it is.
    pub to: &'a str,
    /// When it counts.
    pub at: DateTime<Utc>,
    /// The bench day it counts for.
    pub day: NaiveDate,
}

impl Leaving {
    /// Returns the name of the journal that takes the given sittings of `bench`.
    pub fn given_bench(&self, bench: &str) -> String {
        let name = format!("{}-{bench}", self.mark);
        if name.len() <= 64 {
            name
        } else {
            let mark = crate::domain::ids::short_mark([bench]);
            format!("{}-{mark}", self.mark)
        }
    }

    /// Returns the journal that keeps `given` lines of the journal `bytes` in the folder of the person
    /// they belong to: in the same order, numbered anew, under names that do not say whose they were.
    pub fn given_journal(&self, bytes: &[u8], bench: &str, given: &[Given<'_>]) -> Option<String> {
        let mut text = String::new();
        let mut seq = 0_u64;
        for line in &sealed::scan(bytes).lines {
            let Ok(mut map) = serde_json::from_str::<Map<String, Value>>(line.text) else {
                continue;
            };
            let id = map.get("id").and_then(Value::as_str).unwrap_or_default();
            let Some(found) = given.iter().find(|g| g.id == id) else {
                continue;
            };
            seq += 1;
            let sitting = map
                .get("sitting")
                .and_then(Value::as_str)
                .unwrap_or_default();
            let sitting = self.replaced(sitting);
            let at = found.at.to_rfc3339_opts(SecondsFormat::Millis, true);
            let id = format!("{}-{}-{seq}", found.to, self.given_bench(bench));
            map.shift_remove("sum");
            for (key, value) in [
                ("id", Value::String(id)),
                ("seq", seq.into()),
                ("at", Value::String(at)),
                ("day", Value::String(found.day.to_string())),
                ("sitting", Value::String(sitting)),
            ] {
                map.insert(key.to_owned(), value);
            }
            text.push_str(&sealed::seal(&Value::Object(map).to_string()));
            text.push('\n');
        }
        (seq > 0).then_some(text)
    }
}

/// Clears lines that carry a check sum.
fn clear_sealed(bytes: &[u8], clear: &dyn Fn(&str) -> Option<String>) -> Cleared {
    let mut cleared = Cleared::default();
    for (number, line) in (1..).zip(bytes.split_inclusive(|b| *b == b'\n')) {
        let end = line.trim_ascii_end().len();
        let body = &line[..end];
        let text = sealed::unseal(body);
        let new = text.and_then(|text| {
            let open = sealed::open(text)?;
            let new = clear(&open)?;
            Some((new != open).then(|| sealed::seal(&new)))
        });
        match new {
            Some(Some(new)) => {
                cleared.bytes.extend_from_slice(new.as_bytes());
                cleared.bytes.extend_from_slice(&line[end..]);
                cleared.changed += 1;
            }
            Some(None) => cleared.bytes.extend_from_slice(line),
            None => {
                cleared.bytes.extend_from_slice(line);
                if !body.is_empty() {
                    cleared.unread.push(number);
                }
            }
        }
    }
    cleared
}

/// Returns where the words of a text are: letters and digits without a gap.
fn words(text: &str) -> impl Iterator<Item = Range<usize>> + '_ {
    let mut at = 0;
    std::iter::from_fn(move || {
        let start = at + text[at..].find(char::is_alphanumeric)?;
        let len = text[start..].find(|c: char| !c.is_alphanumeric());
        at = len.map_or(text.len(), |len| start + len);
        Some(start..at)
    })
}

/// Returns where the texts in the object's own `fields` stand, quotes included, in a list too; and
/// those of the cells under `raw`, marked as such. None where the line is no JSON object.
fn texts_of(line: &str, fields: &[&str]) -> Option<Vec<(Range<usize>, bool)>> {
    serde_json::from_str::<Map<String, Value>>(line).ok()?;
    let bytes = line.as_bytes();
    let mut found = Vec::new();
    // What encloses the place: objects and lists, and whether a key comes next in each.
    let mut around: Vec<(u8, bool)> = Vec::new();
    let (mut at, mut wanted, mut in_raw) = (0, false, false);
    while at < bytes.len() {
        match bytes[at] {
            open @ (b'{' | b'[') => around.push((open, open == b'{')),
            b'}' | b']' => drop(around.pop()),
            b',' => around
                .iter_mut()
                .rev()
                .take(1)
                .for_each(|(open, key)| *key = *open == b'{'),
            b':' => around
                .iter_mut()
                .rev()
                .take(1)
                .for_each(|(_, key)| *key = false),
            b'"' => {
                let end = end_of_text(bytes, at)?;
                match around.as_slice() {
                    [(_, true)] => {
                        let key: String = serde_json::from_str(&line[at..end]).ok()?;
                        wanted = fields.contains(&key.as_str());
                        in_raw = key == "raw";
                    }
                    [_] | [_, (b'[', _)] if wanted => found.push((at..end, false)),
                    [_, (b'{', false)] if in_raw => found.push((at..end, true)),
                    _ => {}
                }
                at = end;
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    Some(found)
}

fn end_of_text(bytes: &[u8], start: usize) -> Option<usize> {
    let mut at = start + 1;
    loop {
        match bytes.get(at)? {
            b'\\' => at += 2,
            b'"' => return Some(at + 1),
            _ => at += 1,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn leaving() -> Leaving {
        Leaving {
            v: 1,
            id: "mk".to_owned(),
            initials: "MK".to_owned(),
            mark: "former-1".to_owned(),
            archive: String::new(),
        }
    }

    #[track_caller]
    fn check(before: &str, after: &str, changed: usize) {
        let cleared = leaving().clear_jobs(before.as_bytes());
        assert_eq!(String::from_utf8(cleared.bytes).unwrap(), after);
        assert_eq!(cleared.changed, changed);
    }

    #[test]
    fn only_the_values_that_name_the_person_change() {
        check(
            "\u{feff}{ \"closed_by\" : \"mk\", \"with\":\"TL, MK\",\"extra\":[1.50,{\"closed_by\":\"mk\"}]}\r\n\n",
            "\u{feff}{ \"closed_by\" : \"former-1\", \"with\":\"TL, former-1\",\"extra\":[1.50,{\"closed_by\":\"mk\"}]}\r\n\n",
            1,
        );
        check(
            r#"{"with":["mk","tl"],"note":"mk said","entered_by":"\u006dk"}"#,
            r#"{"with":["former-1","tl"],"note":"mk said","entered_by":"former-1"}"#,
            1,
        );
        for same in [
            r#"{"closed_by":"mkx","with":"tl","entered_by":null}"#,
            r#"{"board":"mk","actions":[{"part":"mk"}],"a":"\"closed_by\":\"mk\""}"#,
            "closed_by mk\n",
            "{\"closed_by\":\"mk\"",
        ] {
            check(same, same, 0);
        }
    }

    #[test]
    fn a_cell_of_a_sheet_that_is_the_initials_changes_and_words_around_them_stay() {
        check(
            r#"{"closed_by":"mk","raw":{"Tech":" MK ","mk":"mk?","Note":"ask MK"},"row":"mk"}"#,
            r#"{"closed_by":"former-1","raw":{"Tech":"former-1","mk":"mk?","Note":"ask MK"},"row":"mk"}"#,
            1,
        );
    }

    #[test]
    fn lines_of_the_backlog_lose_the_initials_at_any_depth() {
        let row = sealed::seal(
            r#"{"v":1,"row":"aa","cells":[["Tech","MK"],["Fault","MK said dead"]],"suggestion":{"closed_by":"mk","maybe":{"with":"mk"},"findings":[{"where":"MK"}]}}"#,
        );
        let head = sealed::seal(r#"{"v":1,"sheet":"a.csv","by":"tl"}"#);
        let hit = row.replace("dead", "dad");
        let cleared = leaving().clear_intake(format!("{head}\n{row}\n{hit}\n").as_bytes());
        let new = sealed::seal(
            r#"{"v":1,"row":"aa","cells":[["Tech","former-1"],["Fault","MK said dead"]],"suggestion":{"closed_by":"former-1","maybe":{"with":"former-1"},"findings":[{"where":"MK"}]}}"#,
        );
        assert_eq!(
            String::from_utf8(cleared.bytes).unwrap(),
            format!("{head}\n{new}\n{hit}\n")
        );
        assert_eq!((cleared.changed, cleared.unread), (1, vec![3]));
        assert_eq!(cleared.mentions, [2, 3]);
    }

    #[test]
    fn what_cannot_be_read_and_what_still_names_the_person_is_told() {
        let text = "{\"closed_by\":\"mk\",\"note\":\"ask MK\"}\nmk\n{\"where\":\"MK\"}\n";
        let cleared = leaving().clear_jobs(text.as_bytes());
        assert_eq!((cleared.unread, cleared.mentions), (vec![2], vec![1]));
    }

    #[test]
    fn edits_get_a_new_sum_and_damaged_ones_stay() {
        let one = sealed::seal(r#"{"v":1,"id":"e-1","seq":1,"by":"MK","x":{"y":2}}"#);
        let two = sealed::seal(r#"{"v":1,"id":"e-2","seq":2,"by":"tl"}"#);
        let text = format!("{one}\n{two}\n{}\n", one.replace("e-1", "e-9"));
        let cleared = leaving().clear_edits(text.as_bytes());
        let new = sealed::seal(r#"{"v":1,"id":"e-1","seq":1,"by":"former-1","x":{"y":2}}"#);
        let expected = text.replacen(&one, &new, 1);
        assert_eq!(String::from_utf8(cleared.bytes).unwrap(), expected);
        assert_eq!((cleared.changed, cleared.unread), (1, vec![3]));
    }

    proptest! {
        #[test]
        fn a_line_keeps_everything_else(
            key in "[a-z\\\\\"{}\\[\\],:]{1,8}", text in "\\PC{0,12}", closed in "(mk|MK|tl|m k|, ){0,4}"
        ) {
            prop_assume!(!JOB_FIELDS.contains(&key.as_str()));
            let mut map = Map::new();
            map.insert(key.clone(), Value::String(text.clone()));
            map.insert("closed_by".to_owned(), Value::String(closed.clone()));
            map.insert(format!("{key}2"), Value::String(text));
            let line = Value::Object(map.clone()).to_string();
            let cleared = leaving().clear_jobs(line.as_bytes());
            map.insert("closed_by".to_owned(), Value::String(leaving().replaced(&closed)));
            prop_assert_eq!(String::from_utf8(cleared.bytes).unwrap(), Value::Object(map).to_string());
        }
    }
}
