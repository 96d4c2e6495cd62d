//! `people/<person>/person.json`.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::goal;
use crate::domain::goal::Goal;
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
        if let Some(goal) = &person.goal {
            let old = self.written.get("ready_by").and_then(Value::as_object);
            let dropped = |key: &str| GOAL_FIELDS.contains(&key);
            let goal = overlay::overlay(old.unwrap_or(&empty), goal_fields(goal), &dropped);
            new.insert("ready_by".to_owned(), Value::Object(goal));
        }
        if let Some(aim) = person.aim {
            new.insert("aim".to_owned(), json!(aim.word()));
        }
        let whole = overlay::overlay(&self.written, new, &|key| key == "ready_by");
        Ok(format!("{}\n", Value::Object(whole)))
    }
}

const GOAL_FIELDS: [&str; 5] = ["date", "deck", "board", "family", "minutes"];

fn goal_fields(goal: &Goal) -> Map<String, Value> {
    let mut fields = Map::from_iter([("date".to_owned(), json!(goal.date.to_string()))]);
    let named = [
        ("deck", &goal.deck),
        ("board", &goal.board),
        ("family", &goal.family),
    ];
    for (key, id) in named {
        if let Some(id) = id {
            fields.insert(key.to_owned(), json!(id));
        }
    }
    if let Some(minutes) = goal.minutes {
        fields.insert("minutes".to_owned(), json!(minutes));
    }
    fields
}

/// Reads a day to be ready by.
fn read_goal(from: &mut Reader<'_, '_>) -> Option<Goal> {
    if from.get("date").is_none() {
        from.missing("date", "write year-month-day, for example 2026-03-14");
    }
    let date = from.date("date");
    let minutes = from.count("minutes").map(u32::try_from);
    let (least, most) = goal::MINUTES;
    let minutes = match minutes {
        None => None,
        Some(Ok(minutes)) if (least..=most).contains(&minutes) => Some(minutes),
        Some(_) => {
            let todo = "correct it, or leave it out to give it the whole sitting";
            from.damage(
                "minutes",
                format!("minutes go from {least} to {most}"),
                todo,
            );
            None
        }
    };
    Some(Goal {
        deck: from.text("deck"),
        board: from.text("board"),
        family: from.text("family"),
        minutes,
        date: date?,
    })
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
    let goal = from.object("ready_by", read_goal);
    let lost = problems.iter().any(|p| p.weight == Weight::Damage);
    let person = initials.map(|initials| Person {
        id,
        initials,
        post: post.unwrap_or(Post::Technician),
        assigned: assigned.unwrap_or_default(),
        options,
        aim,
        goal,
    });
    let record = person
        .filter(|_| !lost)
        .map(|person| PersonRecord { person, v, written });
    (record, problems)
}
