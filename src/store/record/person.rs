//! `people/<person>/person.json`.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::queue::aim::Aim;
use crate::domain::shop::Assigned;
use crate::domain::shop::Person;
use crate::domain::shop::Post;
use crate::store::fault::Weight;
use crate::store::record::job::NewerRecord;
use crate::store::record::overlay;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// A person with the file it came from, so that a rewrite loses nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct PersonRecord {
    /// The person.
    pub person: Person,
    /// Format of the file.
    pub v: u64,
    written: Map<String, Value>,
}

impl PersonRecord {
    /// Returns the record of someone new.
    pub fn new(person: Person) -> Self {
        Self {
            person,
            v: VERSION,
            written: Map::new(),
        }
    }

    /// Returns the text of the file, with every field that this program does not know.
    pub fn to_text(&self) -> Result<String, NewerRecord> {
        if self.v > VERSION {
            return Err(NewerRecord { v: self.v });
        }
        let person = &self.person;
        let assigned = Map::from_iter([
            ("decks".to_owned(), json!(person.assigned.decks)),
            ("boards".to_owned(), json!(person.assigned.boards)),
            ("families".to_owned(), json!(person.assigned.families)),
        ]);
        let empty = Map::new();
        let options = self.person.options || self.written.contains_key("options");
        let old = self.written.get("assigned").and_then(Value::as_object);
        let assigned = overlay::overlay(old.unwrap_or(&empty), assigned, &|_| false);
        let mut new = Map::from_iter([
            ("v".to_owned(), json!(VERSION)),
            ("id".to_owned(), json!(person.id)),
            ("initials".to_owned(), json!(person.initials)),
            ("role".to_owned(), json!(person.post.word())),
            ("assigned".to_owned(), Value::Object(assigned)),
        ]);
        if options {
            new.insert("options".to_owned(), json!(person.options));
        }
        if let Some(aim) = person.aim {
            new.insert("aim".to_owned(), json!(aim.word()));
        }
        let whole = overlay::overlay(&self.written, new, &|_| false);
        Ok(format!("{}\n", Value::Object(whole)))
    }
}

/// Reads the file of the person in folder `folder`.
pub fn read(text: &str, folder: &str) -> (Option<PersonRecord>, Vec<Problem>) {
    let mut problems = Vec::new();
    let written = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let mut from = Reader::new(&written, &mut problems);
    let v = from.count("v").unwrap_or(VERSION);
    let id = from.text("id").unwrap_or_else(|| folder.to_owned());
    if id != folder {
        let why = format!("{id:?} lies in the folder {folder:?}");
        from.damage("id", why, "rename the folder or correct the id");
    }
    let initials = from.need_text("initials", "give the initials");
    let post = from.meaning("role", &Post::ALL, Post::word);
    let assigned = from.object("assigned", |from| {
        Some(Assigned {
            decks: from.texts("decks"),
            boards: from.texts("boards"),
            families: from.texts("families"),
        })
    });
    let aim = from.meaning("aim", &Aim::ALL, Aim::word);
    let options = from.flag("options").unwrap_or(false);
    let lost = problems.iter().any(|p| p.weight == Weight::Damage);
    let person = initials.map(|initials| Person {
        id,
        initials,
        post: post.unwrap_or(Post::Technician),
        assigned: assigned.unwrap_or_default(),
        options,
        aim,
    });
    let record = person
        .filter(|_| !lost)
        .map(|person| PersonRecord { person, v, written });
    (record, problems)
}
