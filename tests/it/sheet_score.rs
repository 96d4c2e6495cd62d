//! Readings of sheets held against what a careful person reads in them; the rules of counting are
//! those of tests/data/sheets/README.md. Used by the test and by the bench of the same question.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Map;
use serde_json::Value;

/// Facts of one kind: how many are to be found, how many of them were, and of those given as sure
/// how many are right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Count {
    /// Facts that a careful person reads.
    pub wanted: usize,
    /// Those of them that were found, sure or as a suggestion.
    pub found: usize,
    /// Facts given without a flag.
    pub given: usize,
    /// Those of them that are right.
    pub right: usize,
}

impl Count {
    fn add(&mut self, other: Self) {
        self.wanted += other.wanted;
        self.found += other.found;
        self.given += other.given;
        self.right += other.right;
    }

    /// Returns the share of the given facts that are right; 1 where none was given.
    pub(crate) fn precision(self) -> f64 {
        share(self.right, self.given)
    }

    /// Returns the share of the wanted facts that were found; 1 where none was wanted.
    pub(crate) fn recall(self) -> f64 {
        share(self.found, self.wanted)
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of a few hundred")]
fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 {
        1.0
    } else {
        part as f64 / whole as f64
    }
}

/// What came of one sheet or of many.
#[derive(Clone, Debug, Default)]
pub(crate) struct Score {
    /// By kind of field: `job`, `closed_on`, `findings: rail`, …
    pub kinds: BTreeMap<String, Count>,
    /// Rows by wanted and given end.
    pub ends: BTreeMap<(String, String), usize>,
    /// What differs, a line each.
    pub differs: Vec<String>,
}

impl Score {
    /// Adds the score of another sheet.
    pub(crate) fn add(&mut self, other: Self) {
        for (kind, count) in other.kinds {
            self.kinds.entry(kind).or_default().add(count);
        }
        for (ends, n) in other.ends {
            *self.ends.entry(ends).or_default() += n;
        }
        self.differs.extend(other.differs);
    }

    /// Returns the sum over all kinds.
    pub(crate) fn all(&self) -> Count {
        let mut all = Count::default();
        self.kinds.values().for_each(|count| all.add(*count));
        all
    }

    /// Returns how many rows ended as wanted, and how many there are.
    pub(crate) fn ends_right(&self) -> (usize, usize) {
        let right = self
            .ends
            .iter()
            .filter(|((wanted, given), _)| wanted == given);
        (right.map(|(_, n)| n).sum(), self.ends.values().sum())
    }

    /// Returns a table, a line a kind.
    pub(crate) fn table(&self) -> String {
        use std::fmt::Write as _;
        let mut out = String::new();
        let mut row = |name: &str, count: &Count| {
            let (precision, recall) = (count.precision(), count.recall());
            let Count {
                wanted,
                found,
                given,
                right,
            } = count;
            writeln!(
                out,
                "{name:<22} precision {precision:.3} ({right}/{given})  recall {recall:.3} ({found}/{wanted})"
            )
            .expect("a text takes what is written");
        };
        for (kind, count) in &self.kinds {
            row(kind, count);
        }
        row("all", &self.all());
        for ((wanted, given), n) in &self.ends {
            writeln!(out, "ends: {wanted:<13} read as {given:<13} {n}").expect("a text");
        }
        out
    }
}

/// Parts of the boards: designator by board and name, in small letters.
pub(crate) struct Parts(BTreeMap<(String, String), Vec<String>>);

impl Parts {
    /// Reads the board files of a shop.
    pub(crate) fn of_shop(shop: &Path) -> Self {
        let mut found: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
        for entry in std::fs::read_dir(shop.join("boards")).expect("a folder of boards") {
            let text = std::fs::read_to_string(entry.expect("an entry").path()).expect("a board");
            let board: Value = serde_json::from_str(&text).expect("JSON");
            let id = board["board"].as_str().expect("an id").to_owned();
            for (part, about) in board["parts"].as_object().into_iter().flatten() {
                if let Some(name) = about["name"].as_str() {
                    let key = (id.clone(), plain(name));
                    found.entry(key).or_default().push(plain(part));
                }
            }
        }
        Self(found)
    }

    /// Tells whether two names of a place mean the same on a board.
    fn same(&self, board: &str, a: &str, b: &str) -> bool {
        let (a, b) = (plain(a), plain(b));
        let only = |name: &str, part: &str| {
            let parts = self.0.get(&(board.to_owned(), name.to_owned()));
            parts.is_some_and(|parts| parts.len() == 1 && parts[0] == part)
        };
        a == b || only(&a, &b) || only(&b, &a)
    }
}

fn plain(text: &str) -> String {
    let shown = text.chars().filter(|c| !c.is_whitespace());
    shown.flat_map(char::to_lowercase).collect()
}

/// One row of both sides.
struct Pair<'a> {
    parts: &'a Parts,
    board: String,
    /// What a person reads.
    wanted: &'a Map<String, Value>,
    /// What the program is sure of.
    facts: Map<String, Value>,
    /// What it says may be meant.
    maybe: Map<String, Value>,
    /// Fields with a flag.
    flagged: Vec<String>,
}

/// Scores one sheet: its expected lines against its report.
pub(crate) fn score(sheet: &str, expected: &[Value], report: &[Value], parts: &Parts) -> Score {
    let mut score = Score::default();
    assert_eq!(expected.len(), report.len(), "{sheet}: a line for each row");
    for (wanted, line) in expected.iter().zip(report) {
        let (want, got) = (&wanted["end"], &line["end"]);
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        *score.ends.entry((text(want), text(got))).or_default() += 1;
        let place = format!("{sheet}:{}", wanted["row"]);
        if want != got {
            let why = line["why"].to_string();
            score
                .differs
                .push(format!("{place}: wanted {want}, is {got} {why}"));
        }
        let only_ends = wanted.as_object().is_some_and(|w| {
            w.keys()
                .all(|key| ["row", "end", "why", "job"].contains(&key.as_str()))
        });
        if only_ends && want == "taken" {
            // A sheet of which only the ends are written down.
            continue;
        }
        pair(wanted, line, parts).score(&place, &mut score);
    }
    score
}

fn pair<'a>(wanted: &'a Value, line: &Value, parts: &'a Parts) -> Pair<'a> {
    let map = |value: &Value| value.as_object().cloned().unwrap_or_default();
    let facts = match line["end"].as_str() {
        Some("taken") => map(&line["record"]),
        _ => map(&line["suggestion"]),
    };
    let flags = facts.get("flags").and_then(Value::as_array);
    let mut flagged: Vec<String> = flags
        .into_iter()
        .flatten()
        .filter_map(|flag| Some(flag["field"].as_str()?.to_owned()))
        .collect();
    if line["end"] == "needs-person" {
        let why = line["why"].as_array().into_iter().flatten();
        let fields = why.filter_map(|why| why.as_str()?.split_once(':').map(|(f, _)| f.to_owned()));
        flagged.extend(fields);
    }
    Pair {
        parts,
        board: facts
            .get("board")
            .and_then(Value::as_str)
            .unwrap_or_default()
            .to_owned(),
        wanted: wanted.as_object().expect("an object"),
        maybe: facts.get("maybe").map(map).unwrap_or_default(),
        facts,
        flagged,
    }
}

impl Pair<'_> {
    fn score(&self, place: &str, score: &mut Score) {
        for field in [
            "job",
            "closed_on",
            "board",
            "family",
            "outcome",
            "no_fix_reason",
        ] {
            self.single(field, place, score);
        }
        for field in ["complaint", "findings", "actions"] {
            self.list(field, place, score);
        }
    }

    fn is_flagged(&self, field: &str) -> bool {
        self.flagged
            .iter()
            .any(|f| f == field || f.starts_with(&format!("{field}[")))
    }

    fn single(&self, field: &str, place: &str, score: &mut Score) {
        let wanted = self.wanted.get(field);
        let fact = self.facts.get(field);
        let count = score.kinds.entry(field.to_owned()).or_default();
        let same = |value: Option<&Value>| {
            let (Some(wanted), Some(value)) = (wanted, value) else {
                return false;
            };
            if field == "board" {
                return same_board(wanted, value);
            }
            wanted == value
        };
        if let Some(wanted) = wanted {
            count.wanted += 1;
            if same(fact) || same(self.maybe.get(field)) {
                count.found += 1;
            } else {
                let said = fact.or(self.maybe.get(field));
                let said = said.map_or_else(|| "nothing".to_owned(), Value::to_string);
                let line = format!("{place}: {field}: wanted {wanted}, found {said}");
                score.differs.push(line);
            }
        }
        let Some(fact) = fact else { return };
        let made = field == "job" && wanted.is_none() && is_made(fact, place);
        let nobodys = field == "outcome" && wanted.is_none() && fact == "unknown-so-far";
        if self.is_flagged(field) || made || nobodys {
            return;
        }
        count.given += 1;
        if same(Some(fact)) {
            count.right += 1;
        } else {
            let line = format!("{place}: {field}: wrong fact {fact}");
            score.differs.push(line);
        }
    }

    fn list(&self, field: &str, place: &str, score: &mut Score) {
        let items = |map: &Map<String, Value>, key: &str| {
            let list = map.get(key).and_then(Value::as_array);
            list.cloned().unwrap_or_default()
        };
        let wanted = items(self.wanted, field);
        let facts = items(&self.facts, field);
        let maybe = items(&self.maybe, field);
        let may = if field == "findings" {
            items(self.wanted, "may")
        } else {
            Vec::new()
        };
        let mut free: Vec<&Value> = facts.iter().chain(&maybe).collect();
        for want in &wanted {
            let count = score.kinds.entry(kind(field, want)).or_default();
            count.wanted += 1;
            if let Some(at) = free.iter().position(|item| self.same_item(want, item)) {
                free.remove(at);
                count.found += 1;
            } else {
                let line = format!("{place}: {field}: not found {}", shown(want));
                score.differs.push(line);
            }
        }
        if self.is_flagged(field) {
            return;
        }
        let mut free: Vec<&Value> = wanted.iter().chain(&may).collect();
        for fact in &facts {
            let count = score.kinds.entry(kind(field, fact)).or_default();
            count.given += 1;
            if let Some(at) = free.iter().position(|want| self.same_item(want, fact)) {
                free.remove(at);
                count.right += 1;
            } else {
                let line = format!("{place}: {field}: wrong fact {}", shown(fact));
                score.differs.push(line);
            }
        }
    }

    /// Tells whether an item says everything that is wanted of it.
    fn same_item(&self, wanted: &Value, item: &Value) -> bool {
        let Some(map) = wanted.as_object() else {
            return wanted == item;
        };
        map.iter().all(|(key, value)| match (key.as_str(), value) {
            ("where" | "part", Value::String(place)) => {
                let found = item[key].as_str().unwrap_or_default();
                self.parts.same(&self.board, place, found)
            }
            (_, Value::Number(number)) => {
                let (a, b) = (number.as_f64(), item[key].as_f64());
                matches!((a, b), (Some(a), Some(b)) if (a - b).abs() <= 1e-6 * a.abs().max(1e-6))
            }
            _ => item.get(key) == Some(value),
        })
    }
}

fn kind(field: &str, item: &Value) -> String {
    match (field, item["kind"].as_str()) {
        ("findings", Some(kind)) => format!("findings: {kind}"),
        _ => field.to_owned(),
    }
}

fn shown(item: &Value) -> String {
    let mut item = item.clone();
    if let Some(map) = item.as_object_mut() {
        map.remove("raw");
    }
    item.to_string()
}

/// Tells whether a number was made from the sheet's name and the row, where the sheet gives none.
fn is_made(number: &Value, place: &str) -> bool {
    let row = place.rsplit(':').next().unwrap_or_default();
    number
        .as_str()
        .is_some_and(|number| number.ends_with(&format!("-{row}")))
}

fn same_board(wanted: &Value, found: &Value) -> bool {
    let id = |value: &Value| {
        let text = value.as_str().unwrap_or_default().to_lowercase();
        text.split_whitespace().collect::<Vec<_>>().join("-")
    };
    id(wanted) == id(found)
}

/// Reads lines of JSON.
pub(crate) fn lines(text: &str) -> Vec<Value> {
    let lines = text.lines().filter(|line| !line.trim().is_empty());
    lines
        .map(|line| serde_json::from_str(line).expect("a JSON line"))
        .collect()
}

/// Returns the sheets in a folder that have expected readings, with those.
pub(crate) fn sheets(folder: &Path) -> Vec<(std::path::PathBuf, Vec<Value>)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder of sheets") {
        let path = entry.expect("an entry").path();
        let is_sheet = path.extension().is_some_and(|e| e == "csv" || e == "tsv");
        let expected = path.with_extension("expected.jsonl");
        if is_sheet && expected.is_file() {
            let text = std::fs::read_to_string(&expected).expect("expected readings");
            found.push((path, lines(&text)));
        }
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}
