//! shop.json.

use chrono::NaiveTime;
use chrono_tz::Tz;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::circuit::FamilyOverride;
use crate::domain::job::FindingKind;
use crate::domain::queue::aim::Aim;
use crate::domain::shop::BoardEntry;
use crate::domain::shop::Shop;
use crate::store::fault::Weight;
use crate::store::paths;
use crate::store::record::finding::put_text;
use crate::store::record::job::NewerRecord;
use crate::store::record::overlay;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

/// Words for what can hurt someone on a board.
pub const SAFETY: [&str; 7] = [
    "lithium",
    "mains",
    "stored-charge",
    "alcohol-vapour",
    "fume",
    "lead",
    "safety-critical",
];

const KNOWN: [&str; 17] = [
    "v",
    "name",
    "zone",
    "day_starts",
    "warranty_days",
    "target_recall",
    "aim",
    "rate_per_hour",
    "boards",
    "families",
    "families_only",
    "synonyms",
    "sheet_words",
    "unit_key",
    "minutes",
    "incoming",
    "drill_unsigned",
];
const BOARD_FIELDS: [&str; 5] = ["id", "name", "kind", "revisions", "safety"];
const FAMILY_FIELDS: [&str; 6] = [
    "id",
    "name",
    "confused_with",
    "belongs",
    "first_measurement",
    "signs",
];

/// A shop with the file it came from, so that a rewrite loses nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct ShopRecord {
    /// The shop.
    pub shop: Shop,
    /// Format of the file.
    pub v: u64,
    written: Map<String, Value>,
}

impl ShopRecord {
    /// Returns the record of a new shop.
    pub fn new(shop: Shop) -> Self {
        Self {
            shop,
            v: VERSION,
            written: Map::new(),
        }
    }

    /// Adds a board that a sheet named, with the sheet that named it (`from_sheet`).
    pub fn add_board(&mut self, board: BoardEntry, from_sheet: &str) {
        let mark = json!({"id": board.id, "from_sheet": from_sheet});
        let list = self.written.entry("boards").or_insert_with(|| json!([]));
        if let Some(list) = list.as_array_mut() {
            list.push(mark);
        }
        self.shop.boards.push(board);
    }

    /// Returns the text of the file, with every field that this program does not know.
    pub fn to_text(&self) -> Result<String, NewerRecord> {
        if self.v > VERSION {
            return Err(NewerRecord { v: self.v });
        }
        let new = write(&self.shop, &self.written);
        let whole = overlay::overlay(&self.written, new, &|key| KNOWN.contains(&key));
        Ok(format!("{:#}\n", Value::Object(whole)))
    }
}

/// Reads the file; the record is there unless a problem costs it.
pub fn read(text: &str) -> (Option<ShopRecord>, Vec<Problem>) {
    let mut problems = Vec::new();
    let written = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let mut from = Reader::new(&written, &mut problems);
    let v = from.count("v").unwrap_or(VERSION);
    if v > VERSION {
        let why = format!("format {v} is newer than this program knows");
        from.warn("v", why, "update this program");
    }
    let shop = shop(&mut from);
    let lost = problems.iter().any(|p| p.weight == Weight::Damage);
    let record = shop
        .filter(|_| !lost)
        .map(|shop| ShopRecord { shop, v, written });
    (record, problems)
}

fn shop(from: &mut Reader<'_, '_>) -> Option<Shop> {
    let name = from.need_text("name", "give the shop a name")?;
    let standard = Shop::named(&name);
    if from.get("boards").is_none() {
        from.missing(
            "boards",
            "list the boards the shop repairs; [] while there are none",
        );
    }
    let boards = from.each("boards", read_board);
    for (i, board) in boards.iter().enumerate() {
        if boards[..i].iter().any(|b| b.id == board.id) {
            let why = format!("the board {:?} stands twice", board.id);
            from.damage(
                &format!("boards[{i}].id"),
                why,
                "give one of them another id",
            );
        }
    }
    let target = from
        .number("target_recall")
        .unwrap_or(standard.target_recall);
    let target = if (0.7..=0.97).contains(&target) {
        target
    } else {
        // No forecast can be made for 0 or 1, and nobody should stand still for a slip of the pen.
        let usual = standard.target_recall;
        let why = format!("{target} is outside 0.70 to 0.97; {usual} is used");
        from.warn("target_recall", why, "write a number from 0.70 to 0.97");
        usual
    };
    let warranty = from.count("warranty_days").map(u32::try_from);
    if let Some(Err(_)) = warranty {
        from.damage("warranty_days", "too large", "90 is usual");
    }
    Some(Shop {
        zone: zone(from).unwrap_or(standard.zone),
        day_starts: time(from).unwrap_or(standard.day_starts),
        warranty_days: warranty
            .and_then(Result::ok)
            .unwrap_or(standard.warranty_days),
        target_recall: target,
        aim: from
            .meaning("aim", &Aim::ALL, Aim::word)
            .unwrap_or(standard.aim),
        rate_per_hour: from.number("rate_per_hour"),
        families: from.each("families", family),
        families_only: from.flag("families_only").unwrap_or(false),
        synonyms: from.entries("synonyms", |from, key| {
            from.need_text(key, "say what it means")
        }),
        sheet_words: from.entries("sheet_words", |from, table| {
            let words = from.entries(table, |from, key| from.need_text(key, "say what it means"));
            Some(words)
        }),
        unit_key: unit_key(from),
        minutes: from.entries("minutes", |from, key| {
            if FindingKind::from_word(key).is_none() {
                from.warn(key, "no kind of finding", "see the words for findings");
            }
            from.number(key)
        }),
        incoming: from.entries("incoming", |from, board| {
            if !boards.iter().any(|known| known.id == board) {
                let why = "no board of this shop is called so; it changes nothing";
                from.warn(board, why, "write the id of one of `boards`");
            }
            expected(from, board)
        }),
        drill_unsigned: from
            .flag("drill_unsigned")
            .unwrap_or(standard.drill_unsigned),
        boards,
        name,
    })
}

fn unit_key(from: &mut Reader<'_, '_>) -> Option<String> {
    let key = from.text("unit_key")?;
    let good = key.len() == 32 && key.bytes().all(|b| b.is_ascii_hexdigit());
    if !good {
        let why = "32 hexadecimal digits were expected";
        let todo = "restore it from a backup: with another key no unit is known again";
        from.damage("unit_key", why, todo);
    }
    good.then_some(key)
}

/// Most times as many boards as ever that a shop expects; more would leave nothing of all others.
const MOST_EXPECTED: f64 = 100.0;

/// Returns how many times as many of a board are expected.
fn expected(from: &mut Reader<'_, '_>, board: &str) -> Option<f64> {
    let times = from.number(board)?;
    if MOST_EXPECTED < times {
        let why = format!("{times:e} times as many as ever; {MOST_EXPECTED} is used");
        from.warn(board, why, "2 stands for twice as many of that board");
    }
    Some(times.min(MOST_EXPECTED))
}

fn zone(from: &mut Reader<'_, '_>) -> Option<Tz> {
    let text = from.text("zone")?;
    let zone = text.parse().ok();
    if zone.is_none() {
        let why = format!("{text:?} is no time zone");
        from.damage("zone", why, "use an IANA name, for example Europe/Dublin");
    }
    zone
}

fn time(from: &mut Reader<'_, '_>) -> Option<NaiveTime> {
    let text = from.text("day_starts")?;
    let time = NaiveTime::parse_from_str(&text, "%H:%M").ok();
    if time.is_none() {
        let why = format!("{text:?} is no time of day");
        from.damage(
            "day_starts",
            why,
            "write hours and minutes, for example 05:00",
        );
    }
    time
}

pub(crate) fn read_board(from: &mut Reader<'_, '_>) -> Option<BoardEntry> {
    let id = from.need_text("id", "give the board an id, for example petrel-p4")?;
    if let Err(bad) = paths::safe_name(&id) {
        from.damage("id", bad.to_string(), "choose another id");
    }
    Some(BoardEntry {
        name: from.text("name").unwrap_or_else(|| id.clone()),
        kind: from.text("kind").unwrap_or_default(),
        revisions: from.texts("revisions"),
        safety: from.words("safety", &SAFETY),
        id,
    })
}

fn family(from: &mut Reader<'_, '_>) -> Option<FamilyOverride> {
    let list =
        |from: &mut Reader<'_, '_>, key: &str| from.get(key).is_some().then(|| from.texts(key));
    Some(FamilyOverride {
        id: from.need_text("id", "name the family")?,
        name: from.text("name"),
        confused_with: list(from, "confused_with"),
        belongs: from.text("belongs"),
        first_measurement: from.text("first_measurement"),
        signs: list(from, "signs"),
    })
}

fn write(shop: &Shop, written: &Map<String, Value>) -> Map<String, Value> {
    let same = |a: &Map<String, Value>, b: &Map<String, Value>| a.get("id") == b.get("id");
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| {
        out.insert(key.to_owned(), value);
    };
    put("v", VERSION.into());
    put("name", shop.name.as_str().into());
    put("zone", shop.zone.name().into());
    put(
        "day_starts",
        shop.day_starts.format("%H:%M").to_string().into(),
    );
    put("warranty_days", shop.warranty_days.into());
    put("target_recall", shop.target_recall.into());
    if shop.aim != Aim::default() || written.contains_key("aim") {
        put("aim", shop.aim.word().into());
    }
    if let Some(rate) = shop.rate_per_hour {
        put("rate_per_hour", rate.into());
    }
    let boards = shop.boards.iter().map(write_board).collect();
    let known = |_: &Map<String, Value>, key: &str| BOARD_FIELDS.contains(&key);
    put(
        "boards",
        overlay::overlay_list(written.get("boards"), boards, &same, &known),
    );
    if !shop.families.is_empty() {
        let families = shop.families.iter().map(write_family).collect();
        let known = |_: &Map<String, Value>, key: &str| FAMILY_FIELDS.contains(&key);
        put(
            "families",
            overlay::overlay_list(written.get("families"), families, &same, &known),
        );
    }
    if shop.families_only {
        put("families_only", true.into());
    }
    if !shop.synonyms.is_empty() {
        put("synonyms", json!(shop.synonyms));
    }
    if !shop.sheet_words.is_empty() {
        put("sheet_words", json!(shop.sheet_words));
    }
    if let Some(key) = &shop.unit_key {
        put("unit_key", key.as_str().into());
    }
    if !shop.minutes.is_empty() {
        put("minutes", json!(shop.minutes));
    }
    if !shop.drill_unsigned || written.contains_key("drill_unsigned") {
        put("drill_unsigned", json!(shop.drill_unsigned));
    }
    if !shop.incoming.is_empty() {
        put("incoming", json!(shop.incoming));
    }
    out
}

pub(crate) fn write_board(board: &BoardEntry) -> Map<String, Value> {
    let mut out = Map::new();
    put_text(&mut out, "id", Some(&board.id));
    put_text(&mut out, "name", Some(&board.name));
    put_text(
        &mut out,
        "kind",
        Some(&board.kind).filter(|k| !k.is_empty()),
    );
    for (key, list) in [("revisions", &board.revisions), ("safety", &board.safety)] {
        if !list.is_empty() {
            out.insert(key.to_owned(), json!(list));
        }
    }
    out
}

fn write_family(family: &FamilyOverride) -> Map<String, Value> {
    let mut out = Map::new();
    put_text(&mut out, "id", Some(&family.id));
    put_text(&mut out, "name", family.name.as_ref());
    put_text(&mut out, "belongs", family.belongs.as_ref());
    put_text(
        &mut out,
        "first_measurement",
        family.first_measurement.as_ref(),
    );
    for (key, list) in [
        ("confused_with", &family.confused_with),
        ("signs", &family.signs),
    ] {
        if let Some(list) = list {
            out.insert(key.to_owned(), json!(list));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXAMPLE: &str = r#"{"v":1,"name":"Skerry Marine Bench","zone":"Europe/Dublin","day_starts":"05:00","warranty_days":90,"target_recall":0.9,"rate_per_hour":60,
 "boards":[{"id":"petrel-p4","name":"Petrel P4 helm display","kind":"display","revisions":["A","B","C"],"safety":["lithium"],"shelf":7}],
 "families":[{"id":"standby","name":"Always-on supply and wake","confused_with":["inlet","sequence"]}],
 "synonyms":{"stby":"standby"},"sheet_words":{"acts":{"getauscht":"replace"}},"unit_key":"000102030405060708090a0b0c0d0e0f","minutes":{"current":1,"rail":2,"resistance":1},"incoming":{"petrel-p4":2.0},"colour":"teal"}"#;

    #[test]
    fn a_shop_comes_back_with_what_this_program_does_not_know() {
        let (record, problems) = read(EXAMPLE);
        assert_eq!(problems, []);
        let record = record.unwrap();
        assert_eq!(record.shop.zone, chrono_tz::Europe::Dublin);
        assert_eq!(
            record.shop.families[0].name.as_deref(),
            Some("Always-on supply and wake")
        );
        let text = record.to_text().unwrap();
        let (again, problems) = read(&text);
        assert_eq!(problems, []);
        assert_eq!(again.unwrap().shop, record.shop);
        assert!(text.contains("\"colour\": \"teal\"") && text.contains("\"shelf\": 7"));
    }

    #[test]
    fn a_board_from_a_sheet_says_so_and_the_others_stay_as_they_are() {
        let mut record = read(EXAMPLE).0.unwrap();
        let board = BoardEntry {
            id: "heron".to_owned(),
            name: "HERON".to_owned(),
            kind: String::new(),
            revisions: Vec::new(),
            safety: Vec::new(),
        };
        record.add_board(board.clone(), "old.csv");
        let text = record.to_text().unwrap();
        let value: Value = serde_json::from_str(&text).unwrap();
        let expected = json!({"id": "heron", "from_sheet": "old.csv", "name": "HERON"});
        assert_eq!(value["boards"][1], expected);
        assert_eq!(value["boards"][0]["shelf"], 7);
        assert_eq!(read(&text).0.unwrap().shop.boards[1], board);
    }

    #[test]
    fn what_is_left_out_has_the_stated_value() {
        let (record, problems) = read(r#"{"v":1,"name":"X","boards":[]}"#);
        assert_eq!(problems, []);
        assert_eq!(record.unwrap().shop, Shop::named("X"));
    }

    #[test]
    fn a_target_that_no_forecast_can_be_made_for_is_named_and_the_usual_one_is_used() {
        for (target, said) in [
            ("0", "0"),
            ("1", "1"),
            ("1.0", "1"),
            ("0.5", "0.5"),
            ("90", "90"),
        ] {
            let text = format!(r#"{{"v":1,"name":"X","boards":[],"target_recall":{target}}}"#);
            let (record, problems) = read(&text);
            assert_eq!(record.unwrap().shop, Shop::named("X"));
            let [problem] = problems.as_slice() else {
                panic!("{problems:?}");
            };
            let why = format!("{said} is outside 0.70 to 0.97; 0.9 is used");
            assert_eq!((&*problem.field, &*problem.why), ("target_recall", &*why));
        }
    }

    #[test]
    fn boards_expected_beyond_measure_or_under_no_name_are_named_and_stop_nobody() {
        let text = r#"{"v":1,"name":"X","boards":[{"id":"x1","name":"X1","kind":"display"}],
            "incoming":{"x1":1e308,"x2":2}}"#;
        let (record, problems) = read(text);
        let fields: Vec<&str> = problems.iter().map(|p| &*p.field).collect();
        assert_eq!(fields, ["incoming.x1", "incoming.x2"], "{problems:?}");
        assert!(problems.iter().all(|p| p.weight == Weight::Warning));
        let expected = record.unwrap().shop.incoming["x1"];
        assert!((expected - 100.0).abs() < 1e-9, "{expected}");
    }

    #[test]
    fn each_mistake_is_named_with_its_field() {
        for (text, field) in [
            (r#"{"v":1,"boards":[]}"#, "name"),
            (r#"{"v":1,"name":"X"}"#, "boards"),
            (
                r#"{"v":1,"name":"X","boards":[],"zone":"Mars/Base"}"#,
                "zone",
            ),
            (
                r#"{"v":1,"name":"X","boards":[],"day_starts":"5"}"#,
                "day_starts",
            ),
            (
                r#"{"v":1,"name":"X","boards":[{"id":"../x"}]}"#,
                "boards[0].id",
            ),
            (
                r#"{"v":1,"name":"X","boards":[{"id":"x","safety":["hot"]}]}"#,
                "boards[0].safety[0]",
            ),
            (
                r#"{"v":1,"name":"X","boards":[{"id":"x"},{"id":"x"}]}"#,
                "boards[1].id",
            ),
            (
                r#"{"v":1,"name":"X","boards":[],"unit_key":"short"}"#,
                "unit_key",
            ),
            (
                r#"{"v":1,"name":"X","boards":[],"minutes":{"rail":-1}}"#,
                "minutes.rail",
            ),
        ] {
            let (record, problems) = read(text);
            assert_eq!(record, None, "{text}");
            let fields: Vec<&str> = problems.iter().map(|p| p.field.as_str()).collect();
            assert!(fields.contains(&field), "{text}: {fields:?}");
        }
    }
}
