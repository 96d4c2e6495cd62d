//! `boards/<board>.json`: parts and readings of a good board.

use std::collections::BTreeMap;

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::circuit::Circuits;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::Part;
use crate::domain::shop::BoardEntry;
use crate::store::fault::Weight;
use crate::store::record::finding;
use crate::store::record::finding::put_text;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// Returns the board that has an entry in shop.json and no file of its own.
pub fn bare(entry: &BoardEntry) -> Board {
    Board {
        id: entry.id.clone(),
        name: entry.name.clone(),
        kind: entry.kind.clone(),
        revisions: entry.revisions.clone(),
        safety: entry.safety.clone(),
        families: Vec::new(),
        parts: BTreeMap::new(),
        good: Vec::new(),
    }
}

/// Adds what a board file says; parts and readings that cannot be used are named and left out.
pub fn read(text: &str, entry: &BoardEntry, circuits: &Circuits) -> (Board, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut board = bare(entry);
    let map = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (board, vec![problem]),
    };
    let mut from = Reader::new(&map, &mut problems);
    if from.count("v").is_some_and(|v| v > VERSION) {
        let why = "the file has a newer format than this program knows";
        from.warn("v", why, "update this program");
    }
    if let Some(id) = from.text("board")
        && id != entry.id
    {
        let why = format!("the file of {:?} says it is {id:?}", entry.id);
        from.damage("board", why, "rename the file or correct the id");
        return (board, problems);
    }
    board.families = families(&mut from, circuits);
    board.parts = from.entries("parts", |from, refdes| {
        from.object(refdes, |from| Some(part(from, circuits)))
    });
    board.good = from.each("good", good);
    (board, problems)
}

fn families(from: &mut Reader<'_, '_>, circuits: &Circuits) -> Vec<String> {
    let mut found = from.texts("families");
    for (i, family) in found.iter().enumerate() {
        unknown_family(from, &format!("families[{i}]"), family, circuits);
    }
    found.retain(|family| circuits.get(family).is_some());
    found
}

fn unknown_family(from: &mut Reader<'_, '_>, key: &str, family: &str, circuits: &Circuits) {
    if circuits.get(family).is_none() {
        let why = format!("the circuit family {family:?} is not known");
        from.damage(key, why, "correct it, or add it to shop.json");
    }
}

fn part(from: &mut Reader<'_, '_>, circuits: &Circuits) -> Part {
    let family = from.text("family");
    if let Some(family) = &family {
        unknown_family(from, "family", family, circuits);
    }
    Part {
        name: from.text("name").unwrap_or_default(),
        rail: from.text("rail"),
        family: family.filter(|f| circuits.get(f).is_some()),
        revs: from.texts("revs"),
    }
}

/// A reading that has a mistake cannot say what is good.
fn good(from: &mut Reader<'_, '_>) -> Option<Finding> {
    let mut inside = Vec::new();
    let found = finding::read(&mut Reader::new(from.map(), &mut inside));
    let whole = inside.iter().all(|p| p.weight == Weight::Warning);
    for problem in inside {
        match problem.weight {
            Weight::Damage => from.damage(&problem.field, problem.why, problem.todo),
            Weight::Warning => from.warn(&problem.field, problem.why, problem.todo),
        }
    }
    found.filter(|_| whole)
}

/// Returns the text of a board file: parts and readings, one a line.
pub fn write(board: &Board) -> String {
    let parts: Vec<String> = board
        .parts
        .iter()
        .map(|(refdes, part)| format!("  {}:{}", json!(refdes), Value::Object(write_part(part))))
        .collect();
    let good: Vec<String> = board
        .good
        .iter()
        .map(|f| format!("  {}", Value::Object(finding::write(f, false))))
        .collect();
    let lines = |list: &[String]| {
        if list.is_empty() {
            String::new()
        } else {
            format!("\n{}\n ", list.join(",\n"))
        }
    };
    format!(
        "{{\"v\":{VERSION},\"board\":{},\"families\":{},\n \"parts\":{{{}}},\n \"good\":[{}]}}\n",
        json!(board.id),
        json!(board.families),
        lines(&parts),
        lines(&good)
    )
}

fn write_part(part: &Part) -> Map<String, Value> {
    let mut out = Map::new();
    put_text(&mut out, "name", Some(&part.name).filter(|n| !n.is_empty()));
    put_text(&mut out, "rail", part.rail.as_ref());
    put_text(&mut out, "family", part.family.as_ref());
    if !part.revs.is_empty() {
        out.insert("revs".to_owned(), json!(part.revs));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::circuit::FamilyOverride;

    fn circuits() -> Circuits {
        let family = FamilyOverride {
            id: "standby".to_owned(),
            ..FamilyOverride::default()
        };
        Circuits::with_shop(&[family], true)
    }

    fn entry() -> BoardEntry {
        BoardEntry {
            id: "petrel-p4".to_owned(),
            name: "Petrel P4".to_owned(),
            kind: "display".to_owned(),
            revisions: vec!["A".to_owned()],
            safety: vec!["lithium".to_owned()],
        }
    }

    #[test]
    fn a_board_comes_back_as_it_was() {
        let text = r#"{"v":1,"board":"petrel-p4","families":["standby"],
 "parts":{"U31":{"name":"standby switcher","rail":"3V3_SB","family":"standby","revs":["A"]}},
 "good":[{"kind":"diode","where":"SDA","state":"off","got_v":0.45,"polarity":"red-to-ground"}]}"#;
        let (board, problems) = read(text, &entry(), &circuits());
        assert_eq!(problems, []);
        assert_eq!(board.parts["U31"].rail.as_deref(), Some("3V3_SB"));
        assert_eq!(board.good.len(), 1);
        let (again, problems) = read(&write(&board), &entry(), &circuits());
        assert_eq!(problems, []);
        assert_eq!(again, board);
    }

    #[test]
    fn a_mistake_costs_only_what_it_is_in() {
        let text = r#"{"v":1,"families":["warp"],"parts":{"U1":7,"U2":{"name":"x","family":"warp"}},
 "good":[{"kind":"rail","where":"5V","got_v":"five"},{"kind":"rail","where":"5V","got_v":5}]}"#;
        let (board, problems) = read(text, &entry(), &circuits());
        let fields: Vec<&str> = problems.iter().map(|p| p.field.as_str()).collect();
        assert_eq!(
            fields,
            [
                "families[0]",
                "parts.U1",
                "parts.U2.family",
                "good[0].got_v"
            ]
        );
        assert_eq!(board.parts.len(), 1);
        assert_eq!(board.good.len(), 1);
    }
}
