//! intake/maps.json: what the columns of sheets hold, by the shape of a sheet; and the same for one
//! sheet in a file of its own, as `--map` takes it and `--write-map` writes it.

use std::collections::BTreeMap;
use std::path::Path;
use std::path::PathBuf;

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::intake::mapping::Column;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::mapping::Mapping;
use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::fault::Fault;
use crate::store::fault::Weight;
use crate::store::paths::ShopFolder;
use crate::store::record::overlay;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;
use crate::store::shop;

/// The newest format this program writes.
pub const VERSION: u64 = 1;

const KNOWN: [&str; 7] = [
    "v",
    "shape",
    "header_rows",
    "columns",
    "dates",
    "decimal",
    "boards",
];

/// The mappings that were taken before, with the file they came from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Maps {
    /// Shape and mapping, in the order they were first taken.
    pub maps: Vec<(String, Mapping)>,
    /// Damage found on the way.
    pub faults: Vec<Fault>,
    v: u64,
    written: Map<String, Value>,
}

/// Returns the path of the file.
pub fn path(folder: &ShopFolder) -> PathBuf {
    folder.intake().join("maps.json")
}

/// Reads the mappings of the shop; none yet is no fault.
pub fn load(disk: &dyn Disk, folder: &ShopFolder) -> Result<Maps, StoreError> {
    let path = path(folder);
    if !disk
        .exists(&path)
        .map_err(StoreError::io("look for", &path))?
    {
        return Ok(Maps {
            v: VERSION,
            ..Maps::default()
        });
    }
    let (maps, faults) = shop::read_text(disk, &path, read)?;
    let mut maps = maps.unwrap_or_default();
    maps.faults = faults;
    Ok(maps)
}

/// Keeps `mapping` for sheets of `shape`, in place of one that was kept before.
pub fn save(
    disk: &dyn Disk,
    folder: &ShopFolder,
    shape: &str,
    mapping: &Mapping,
) -> Result<(), StoreError> {
    let path = path(folder);
    let mut maps = load(disk, folder)?;
    if maps.v > VERSION {
        return Err(StoreError::Newer { path, v: maps.v });
    }
    if maps.faults.iter().any(|f| f.weight == Weight::Damage) {
        let faults = maps.faults;
        return Err(StoreError::Damaged { path, faults });
    }
    match maps.maps.iter_mut().find(|(known, _)| known == shape) {
        Some((_, known)) if known == mapping => return Ok(()),
        Some((_, known)) => known.clone_from(mapping),
        None => maps.maps.push((shape.to_owned(), mapping.clone())),
    }
    let text = to_text(&maps);
    disk::replace(disk, &path, text.as_bytes()).map_err(StoreError::io("write", &path))
}

/// Returns the text of a file that holds one mapping.
pub fn write_one(shape: &str, mapping: &Mapping) -> String {
    let mut out = Map::new();
    out.insert("v".to_owned(), VERSION.into());
    out.insert("shape".to_owned(), shape.into());
    out.extend(write(mapping));
    format!("{:#}\n", Value::Object(out))
}

/// Reads a file that holds one mapping; it is there unless a problem costs it.
pub fn read_one(text: &str, path: &Path) -> Result<Mapping, Vec<Fault>> {
    let mut problems = Vec::new();
    let found = match strict::object(text) {
        Err(problem) => Err(problem),
        Ok(map) => Ok(mapping(&mut Reader::new(&map, &mut problems))),
    };
    let found = found.unwrap_or_else(|problem| {
        problems.push(problem);
        None
    });
    match found {
        Some(mapping) if problems.iter().all(|p| p.weight != Weight::Damage) => Ok(mapping),
        _ => Err(problems.into_iter().map(|p| p.in_file(path)).collect()),
    }
}

fn to_text(maps: &Maps) -> String {
    let same = |a: &Map<String, Value>, b: &Map<String, Value>| a.get("shape") == b.get("shape");
    let list = maps.maps.iter().map(|(shape, mapping)| {
        let mut out = Map::new();
        out.insert("shape".to_owned(), shape.as_str().into());
        out.extend(write(mapping));
        out
    });
    let known = |_: &Map<String, Value>, key: &str| KNOWN.contains(&key);
    let list = overlay::overlay_list(maps.written.get("maps"), list.collect(), &same, &known);
    let mut out = Map::new();
    out.insert("v".to_owned(), VERSION.into());
    out.insert("maps".to_owned(), list);
    let whole = overlay::overlay(&maps.written, out, &|key| ["v", "maps"].contains(&key));
    format!("{:#}\n", Value::Object(whole))
}

fn write(mapping: &Mapping) -> Map<String, Value> {
    let columns = mapping.columns.iter().map(|column| {
        let mut out = Map::new();
        out.insert("header".to_owned(), column.header.as_str().into());
        out.insert("field".to_owned(), column.field.word().as_ref().into());
        if column.fill_down {
            out.insert("fill_down".to_owned(), true.into());
        }
        Value::Object(out)
    });
    let mut out = Map::new();
    out.insert("header_rows".to_owned(), json!(mapping.header_rows));
    out.insert("columns".to_owned(), columns.collect());
    out.insert("dates".to_owned(), mapping.dates.word().into());
    out.insert("decimal".to_owned(), mapping.decimal.word().into());
    out.insert("boards".to_owned(), json!(mapping.boards));
    out
}

fn read(text: &str) -> (Maps, Vec<Problem>) {
    let written = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (Maps::default(), vec![problem]),
    };
    let mut problems = Vec::new();
    let mut from = Reader::new(&written, &mut problems);
    let v = newer(&mut from);
    let maps = from.each("maps", |from| {
        let shape = from.need_text("shape", "import a sheet of that shape again")?;
        Some((shape, mapping(from)?))
    });
    let maps = Maps {
        maps,
        faults: Vec::new(),
        v,
        written,
    };
    (maps, problems)
}

fn newer(from: &mut Reader<'_, '_>) -> u64 {
    let v = from.count("v").unwrap_or(VERSION);
    if v > VERSION {
        let why = format!("format {v} is newer than this program knows");
        from.warn("v", why, "update this program");
    }
    v
}

fn mapping(from: &mut Reader<'_, '_>) -> Option<Mapping> {
    newer(from);
    if from.get("columns").is_none() {
        from.missing("columns", "list the columns: {\"header\", \"field\"}");
    }
    let mut header_rows = Vec::new();
    for (i, value) in from.list("header_rows").iter().enumerate() {
        match value.as_u64().filter(|n| *n > 0) {
            Some(row) => header_rows.push(row),
            None => from.damage(
                &format!("header_rows[{i}]"),
                "no number of a row",
                "rows are counted from 1",
            ),
        }
    }
    let columns = from.each("columns", column);
    let words = |table: &[&'static str]| table.join(", ");
    let dates = from.text("dates").unwrap_or_else(|| "unknown".to_owned());
    if DateOrder::from_word(&dates).is_none() {
        let todo = format!(
            "use one of: {}",
            words(&DateOrder::ALL.map(DateOrder::word))
        );
        from.damage(
            "dates",
            format!("the word {dates:?} is not known here"),
            todo,
        );
    }
    let decimal = from.text("decimal").unwrap_or_else(|| "unknown".to_owned());
    if DecimalMark::from_word(&decimal).is_none() {
        let todo = format!(
            "use one of: {}",
            words(&DecimalMark::ALL.map(DecimalMark::word))
        );
        let why = format!("the word {decimal:?} is not known here");
        from.damage("decimal", why, todo);
    }
    let boards: BTreeMap<String, String> = from.entries("boards", |from, key| {
        from.need_text(key, "give the board's id")
    });
    Some(Mapping {
        header_rows,
        columns,
        dates: DateOrder::from_word(&dates)?,
        decimal: DecimalMark::from_word(&decimal)?,
        boards,
    })
}

fn column(from: &mut Reader<'_, '_>) -> Option<Column> {
    let field = from.need_text("field", "say what the column holds; `kept` is an answer")?;
    let known = Field::from_word(&field);
    if known.is_none() {
        let why = format!("the word {field:?} is not known here");
        let todo = "such as complaint, findings, fix, everything, kept, rail:5V";
        from.damage("field", why, todo);
    }
    Some(Column {
        header: from.text("header").unwrap_or_default(),
        field: known?,
        fill_down: from.flag("fill_down").unwrap_or(false),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;

    fn column_of(header: &str, field: Field, fill_down: bool) -> Column {
        Column {
            header: header.to_owned(),
            field,
            fill_down,
        }
    }

    fn sample() -> Mapping {
        Mapping {
            header_rows: vec![1, 2],
            columns: vec![
                column_of("Board", Field::Board, true),
                column_of("5V", Field::Rail("5V".to_owned()), false),
                column_of("Fault", Field::Everything, false),
            ],
            dates: DateOrder::DayFirst,
            decimal: DecimalMark::Comma,
            boards: [("Pet4".to_owned(), "petrel-p4".to_owned())].into(),
        }
    }

    #[test]
    fn a_mapping_in_a_file_of_its_own_comes_back_as_it_was() {
        let text = write_one("1f0c22aa", &sample());
        assert_eq!(read_one(&text, Path::new("m.json")), Ok(sample()));
    }

    #[test]
    fn each_shape_has_one_mapping_and_unknown_fields_stay() {
        let disk = ModelDisk::new();
        let folder = ShopFolder::new("/shop");
        let path = path(&folder);
        save(&disk, &folder, "aa", &sample()).unwrap();
        let text = String::from_utf8(disk.read(&path).unwrap()).unwrap();
        disk.put(
            &path,
            text.replacen("\"v\": 1", "\"v\": 1, \"shelf\": 7", 1)
                .as_bytes(),
        );
        let other = Mapping {
            dates: DateOrder::MonthFirst,
            ..sample()
        };
        save(&disk, &folder, "bb", &other).unwrap();
        save(&disk, &folder, "aa", &other).unwrap();
        let maps = load(&disk, &folder).unwrap();
        assert_eq!(maps.faults, []);
        let expected = [("aa".to_owned(), other.clone()), ("bb".to_owned(), other)];
        assert_eq!(maps.maps, expected);
        let text = String::from_utf8(disk.read(&path).unwrap()).unwrap();
        assert!(text.contains("\"shelf\": 7"));
    }

    #[test]
    fn a_damaged_file_is_named_and_never_rewritten() {
        let disk = ModelDisk::new();
        let folder = ShopFolder::new("/shop");
        disk.put(&path(&folder), b"{\"v\":1,\"maps\":[{\"shape\":\"aa\"}]}");
        let refused = save(&disk, &folder, "bb", &sample());
        assert!(matches!(refused, Err(StoreError::Damaged { .. })));
    }

    #[test]
    fn each_mistake_in_a_map_is_named_with_its_field() {
        for (text, field) in [
            ("{}", "columns"),
            (r#"{"columns":[{"field":"fux"}]}"#, "columns[0].field"),
            (r#"{"columns":[],"dates":"both"}"#, "dates"),
            (r#"{"columns":[],"header_rows":[0]}"#, "header_rows[0]"),
            ("[1]", ""),
        ] {
            let faults = read_one(text, Path::new("m.json")).unwrap_err();
            let fields: Vec<_> = faults.iter().filter_map(|f| f.field.as_deref()).collect();
            assert!(
                fields.contains(&field) || field.is_empty() && faults.len() == 1,
                "{text}: {faults:?}"
            );
        }
    }
}
