//! What a good board reads: boards/*.json as the generator needs them.

use std::collections::BTreeSet;

use serde_json::Value;

use super::fixed::Fixed;

macro_rules! boards {
    ($($board:literal),*) => {
        [$(include_str!(concat!("../../boards/", $board, ".json"))),*]
    };
}

const TEXTS: [&str; 6] = boards!(
    "petrel-p4",
    "skua-e6",
    "tern-h3",
    "dunlin-s20",
    "gannet-a2",
    "fulmar-g5"
);

/// The good readings of one board.
pub(crate) struct Good {
    readings: Vec<Value>,
    /// Rails on which a few ohms can be right.
    core: BTreeSet<String>,
}

/// Returns the number of `field`.
pub(crate) fn fixed(of: &Value, field: &str) -> Option<Fixed> {
    of.get(field)?
        .as_number()
        .and_then(|number| Fixed::read(&number.to_string()))
}

impl Good {
    /// Reads the file of `board`.
    pub(crate) fn of(board: &str) -> Self {
        let files = TEXTS.iter().map(|text| {
            let file: Value = serde_json::from_str(text).expect("a board file is JSON");
            file
        });
        let mut mine = files.filter(|file| file["board"] == board);
        let file = mine.next().expect("every board with faults is described");
        let parts = file["parts"].as_object().expect("a board has parts");
        let core = parts.values().filter(|part| part["family"] == "core");
        let core = core.filter_map(|part| part["rail"].as_str());
        Self {
            readings: file["good"]
                .as_array()
                .expect("a board has good readings")
                .clone(),
            core: core.map(str::to_owned).collect(),
        }
    }

    /// Returns the good reading of a place, in this state if it was taken in it.
    pub(crate) fn reading(&self, kind: &str, place: &str, state: Option<&str>) -> Option<&Value> {
        let of_place =
            |g: &&Value| g["kind"] == kind && g.get("where").is_none_or(|named| named == place);
        let mut found = self.readings.iter().filter(of_place);
        let first = found.clone().next();
        found
            .find(|g| g.get("state").and_then(Value::as_str) == state)
            .or(first)
    }

    pub(crate) fn is_core(&self, rail: &str) -> bool {
        self.core.contains(rail)
    }
}
