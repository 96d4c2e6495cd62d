//! `jobs import` through the real program: every row ends in exactly one way, nothing is taken twice,
//! a run that is cut short is completed by the next, and hostile sheets are named and do no harm.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;

use benchlore::app::intake::import;
use benchlore::app::intake::import::Listener;
use benchlore::app::intake::import::Order;
use benchlore::app::intake::open;
use benchlore::app::workbench::Workbench;
use benchlore::store::disk::Disk;
use benchlore::store::model_disk::Cut;
use benchlore::store::model_disk::ModelDisk;
use benchlore::store::paths::ShopFolder;
use serde_json::Value;

use crate::common::Bench;
use crate::common::text;

const SHOP: &str = r#"{"v":1,"name":"T","boards":[{"id":"petrel-p4","name":"Petrel P4","shelf":7}],"colour":"teal"}"#;
const BOARD: &str = r#"{"v":1,"board":"petrel-p4","parts":{"U31":{"name":"standby switcher","family":"standby"}},"good":[]}"#;
const HEADER: &str = "Job,Closed,Board,Tech,Complaint,Reading,Circuit,Fix,Outcome\n";

/// A row that says all a job needs; invented.
fn row(number: &str, board: &str, day: u32) -> String {
    format!(
        "{number},2025-02-{day:02},{board},mk,No power,3V3_SB 0.4{day} V,standby,Replaced U31,Held\n"
    )
}

fn sheet(rows: &[String]) -> String {
    format!("{HEADER}{}", rows.concat())
}

fn bench() -> Bench {
    let bench = Bench::with_files(&[("shop.json", SHOP), ("boards/petrel-p4.json", BOARD)]);
    assert!(bench.run(&["people", "add", "MK"]).status.success());
    bench
}

/// Puts a sheet beside the shop and returns its path.
fn put(bench: &Bench, name: &str, content: impl AsRef<[u8]>) -> String {
    let path = bench.shop().with_file_name(name);
    std::fs::write(&path, content).expect("the sheet is written");
    path.to_string_lossy().into_owned()
}

/// What one import said.
struct Said {
    counts: [u64; 4],
    report: Vec<Value>,
}

/// Imports a sheet with `--yes`; it has to succeed.
#[track_caller]
fn take(bench: &Bench, file: &str, more: &[&str]) -> Said {
    let report = bench.shop().with_file_name("report.jsonl");
    let report_path = report.to_string_lossy().into_owned();
    let mut args = vec!["jobs", "import", file, "--json", "--report", &report_path];
    if more.iter().all(|arg| !arg.starts_with("--map")) {
        args.push("--yes");
    }
    args.extend(more);
    let out = bench.run(&args);
    let errors = text(&out.stderr);
    assert_eq!(out.status.code(), Some(0), "{errors}");
    assert!(!out.stdout.contains(&0x1b) && !out.stderr.contains(&0x1b));
    let summary: Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let lines = std::fs::read_to_string(&report).expect("a report");
    let report: Vec<Value> = lines
        .lines()
        .map(|line| serde_json::from_str(line).expect("a JSON line"))
        .collect();
    let total = &summary["import"]["total"];
    let counts = ["rows", "taken", "needs_person", "skipped"]
        .map(|key| total[key].as_u64().expect("a count"));
    let ends = |end: &str| report.iter().filter(|line| line["end"] == end).count() as u64;
    assert_eq!(
        counts,
        [
            report.len() as u64,
            ends("taken"),
            ends("needs-person"),
            ends("skipped")
        ],
        "every row has one line and one end"
    );
    assert_eq!(counts[0], counts[1] + counts[2] + counts[3]);
    for (line, n) in report.iter().zip(1..) {
        let source = line["source"].as_str().expect("a source");
        assert!(source.ends_with(&format!(":{n}")), "{source} is row {n}");
    }
    Said { counts, report }
}

fn jobs(bench: &Bench) -> Vec<Value> {
    let path = bench.shop().join("jobs/b7.jsonl");
    std::fs::read_to_string(path).map_or_else(
        |_| Vec::new(),
        |text| {
            text.lines()
                .map(|line| serde_json::from_str(line).expect("a whole line"))
                .collect()
        },
    )
}

/// Every file of the shop but locks.
fn files(bench: &Bench) -> BTreeMap<String, Vec<u8>> {
    fn look(folder: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                look(&path, found);
            } else if path.extension().is_none_or(|e| e != "lock") {
                let bytes = std::fs::read(&path).expect("a file");
                found.insert(path.to_string_lossy().into_owned(), bytes);
            }
        }
    }
    let mut found = BTreeMap::new();
    look(&bench.shop(), &mut found);
    found
}

fn three_rows() -> String {
    let nobody = "W-3,2025-02-03,Petrel P4,mk,No power,,,,\n".to_owned();
    sheet(&[
        row("W-1", "Petrel P4", 1),
        row("W-2", "Osprey", 2),
        "\n".to_owned(),
        nobody,
    ])
}

#[test]
fn every_row_ends_once_and_jobs_say_where_they_come_from() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    let said = take(&bench, &file, &[]);
    assert_eq!(said.counts, [5, 2, 1, 2], "{:#?}", said.report);
    let jobs = jobs(&bench);
    assert_eq!(jobs.len(), 2);
    assert_eq!(jobs[0]["job"], "W-1");
    assert_eq!(jobs[0]["source"], "old.csv:2");
    assert_eq!(jobs[0]["entered_by"], "mk");
    assert_eq!(jobs[0]["entered_on"], "2026-11-20");
    assert_eq!(jobs[0]["raw"]["Fix"], "Replaced U31");
    assert_eq!(
        jobs[0], said.report[1]["record"],
        "the report shows the line itself"
    );
    let listed = bench.run(&["jobs", "list", "--json"]);
    assert_eq!(text(&listed.stdout).lines().count(), 2);
    assert!(text(&listed.stderr).is_empty(), "{}", text(&listed.stderr));
}

#[test]
fn boards_of_the_sheet_are_added_and_the_shop_stays_as_it_is() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    take(&bench, &file, &[]);
    let shop: Value = serde_json::from_str(&bench.read("shop.json")).expect("JSON");
    assert_eq!(shop["boards"][0]["shelf"], 7);
    assert_eq!(shop["colour"], "teal");
    let added = serde_json::json!({"id": "osprey", "from_sheet": "old.csv", "name": "Osprey"});
    assert_eq!(shop["boards"][1], added);
    assert_eq!(jobs(&bench)[1]["board"], "osprey");
}

#[test]
fn the_same_rows_add_nothing_under_any_name_and_longer_sheets_add_what_is_new() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    take(&bench, &file, &[]);
    let before = files(&bench);
    let again = take(&bench, &file, &[]);
    assert_eq!(again.counts, [5, 0, 0, 5]);
    assert_eq!(again.report[1]["why"][0], "taken before as W-1");
    assert_eq!(again.report[4]["why"][0], "waiting in the backlog already");
    assert_eq!(files(&bench), before);
    let renamed = put(&bench, "copy of old (2).csv", three_rows());
    assert_eq!(take(&bench, &renamed, &[]).counts, [5, 0, 0, 5]);
    assert_eq!(files(&bench), before);
    let longer = three_rows() + &row("W-9", "Osprey", 4);
    let longer = put(&bench, "old.csv", longer);
    assert_eq!(take(&bench, &longer, &[]).counts, [6, 1, 0, 5]);
    assert_eq!(jobs(&bench).len(), 3);
}

#[test]
fn a_number_that_stands_for_another_job_needs_a_person() {
    let bench = bench();
    let file = put(&bench, "a.csv", sheet(&[row("W-1", "Petrel P4", 1)]));
    take(&bench, &file, &[]);
    let other = sheet(&[row("W-1", "Petrel P4", 2), row("W-2", "Petrel P4", 3)]);
    let said = take(&bench, &put(&bench, "b.csv", other), &[]);
    assert_eq!(said.counts, [3, 1, 1, 1]);
    let why = said.report[1]["why"].to_string();
    assert!(why.contains("in the archive already"), "{why}");
    assert_eq!(said.report[1]["suggestion"]["job"], "W-1");
}

#[test]
fn without_anyone_to_ask_the_proposal_is_shown_and_nothing_written() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    let before = files(&bench);
    let out = bench.run(&["jobs", "import", &file]);
    assert_eq!(out.status.code(), Some(2));
    let shown = text(&out.stdout);
    for part in [
        "old.csv: 5 rows",
        "Complaint",
        "complaint",
        "new board: Osprey",
        "row 2: taken",
    ] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    assert!(
        shown.lines().all(|line| line.chars().count() < 80),
        "{shown}"
    );
    let said = text(&out.stderr);
    assert!(said.contains("--yes") && said.contains("--map"), "{said}");
    assert_eq!(files(&bench), before);
    let trial = take(&bench, &file, &["--dry-run"]);
    assert_eq!(trial.counts, [5, 2, 1, 2]);
    assert_eq!(files(&bench), before);
}

#[test]
fn lines_change_how_columns_are_read_and_the_next_sheet_is_read_so_too() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    let stopped = bench.run_with(&["jobs", "import", &file], "4 kept\nstop\n");
    assert_eq!(stopped.status.code(), Some(1));
    assert_eq!(jobs(&bench).len(), 0);
    let talk = "4 kept\n77 kept\n5 nonsense\ndates day-first\nboard Osprey osprey-2\nshow\n\n";
    let out = bench.run_with(&["jobs", "import", &file], talk);
    let shown = text(&out.stdout);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    for part in [
        "column 4: kept, not read",
        "columns go from 1 to 9",
        "no column holds \"nonsense\"",
        "day first",
        "5 rows: 2 taken, 1 needs a person, 2 skipped",
        "benchlore jobs backlog",
    ] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    let jobs = jobs(&bench);
    assert_eq!(jobs[0].get("closed_by"), None);
    assert_eq!(jobs[1]["board"], "osprey-2");
    let next = put(&bench, "next.csv", sheet(&[row("W-8", "Osprey", 5)]));
    let out = bench.run(&["jobs", "import", &next, "--yes"]);
    let shown = text(&out.stdout);
    assert!(
        shown.contains("taken before for a sheet with these headers"),
        "{shown}"
    );
    let maps: Value = serde_json::from_str(&bench.read("intake/maps.json")).expect("JSON");
    assert_eq!(maps["maps"].as_array().map(Vec::len), Some(1));
    assert_eq!(maps["maps"][0]["columns"][3]["field"], "kept");
}

#[test]
fn a_map_written_for_one_sheet_reads_another() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    let map = put(&bench, "map.json", "");
    take(&bench, &file, &["--dry-run", "--write-map", &map]);
    let text_of_map = std::fs::read_to_string(&map).expect("a map");
    let changed = text_of_map.replacen("\"closed-by\"", "\"kept\"", 1);
    assert_ne!(text_of_map, changed);
    std::fs::write(&map, changed).expect("the map is changed");
    take(&bench, &file, &["--map", &map]);
    assert_eq!(jobs(&bench)[0].get("closed_by"), None);
    std::fs::write(&map, "{\"columns\":[{\"field\":\"fux\"}]}").expect("the map is changed");
    let out = bench.run(&["jobs", "import", &file, "--map", &map]);
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stderr).contains("columns[0].field"),
        "{}",
        text(&out.stderr)
    );
}

#[test]
fn an_export_of_the_practice_shop_is_taken_in_whole_and_exports_the_same_again() {
    let old = Bench::shipped();
    let file = old.shop().with_file_name("jobs.csv");
    let file = file.to_string_lossy().into_owned();
    let export = |bench: &Bench| {
        let out = bench.run(&["jobs", "export", "--csv"]);
        assert!(out.status.success(), "{}", text(&out.stderr));
        out.stdout
    };
    let written = export(&old);
    std::fs::write(&file, &written).expect("the export is written");
    let new = Bench::with_files(&[("shop.json", &old.read("shop.json"))]);
    let said = take(&new, &file, &[]);
    assert_eq!(said.counts[2], 0, "nothing of it is in doubt");
    assert!(said.counts[1] > 600);
    assert!(export(&new) == written, "the same cells come out again");
}

#[test]
fn a_map_is_read_by_its_headers_and_one_for_other_columns_is_refused() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    let map = put(&bench, "map.json", "");
    take(&bench, &file, &["--dry-run", "--write-map", &map]);
    let text_of_map = std::fs::read_to_string(&map).expect("a map");
    let mut turned: Value = serde_json::from_str(&text_of_map).expect("JSON");
    let columns = turned["columns"].as_array_mut().expect("columns");
    columns.reverse();
    columns.retain(|column| column["field"] != "closed-by");
    std::fs::write(&map, turned.to_string()).expect("the map is changed");
    let said = take(&bench, &file, &["--map", &map]);
    assert_eq!(said.counts[1], 2, "every column found its own header");
    assert_eq!(jobs(&bench)[0].get("closed_by"), None, "nobody named it");

    let other = put(&bench, "other.csv", "When,What,Done\n2025-02-01,dead,U31\n");
    for text_of_map in [turned.to_string(), "{\"columns\":[]}".to_owned()] {
        std::fs::write(&map, text_of_map).expect("the map is changed");
        let out = bench.run(&["jobs", "import", &other, "--map", &map]);
        assert_eq!(out.status.code(), Some(1));
        let errors = text(&out.stderr);
        assert!(errors.contains("does not fit these columns"), "{errors}");
        assert!(errors.contains("other.csv: "), "{errors}");
    }
    assert_eq!(jobs(&bench).len(), 2);
}

#[test]
fn neither_report_nor_map_is_written_over_the_shop_or_the_sheet() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    let shop = bench.read("shop.json");
    let inside = bench.shop().join("shop.json");
    let inside = inside.to_string_lossy().into_owned();
    for place in [inside.as_str(), &file] {
        for option in ["--report", "--write-map"] {
            let out = bench.run(&["jobs", "import", &file, "--yes", option, place]);
            assert_eq!(out.status.code(), Some(1), "{option} {place}");
            let errors = text(&out.stderr);
            assert!(errors.contains("name a file elsewhere"), "{errors}");
        }
    }
    assert_eq!(bench.read("shop.json"), shop);
    let sheet = std::fs::read_to_string(&file).expect("the sheet is there");
    assert_eq!(sheet, three_rows());
    assert!(jobs(&bench).is_empty());
}

#[test]
fn a_serial_makes_a_mark_and_is_kept_nowhere() {
    let bench = bench();
    let rows = "Job,Closed,Board,Serial,Complaint,Reading,Circuit,Fix,Outcome\n\
        W-1,2025-02-01,Petrel P4,PX-90417,No power,3V3_SB 0.41 V,standby,Replaced U31,Held\n\
        W-2,2025-06-01,Petrel P4,px 90417,No power,3V3_SB 0.45 V,standby,Replaced U31,Held\n\
        W-3,2025-06-01,Petrel P4,PX-90418,No power,,,,\n";
    let file = put(&bench, "units.csv", rows);
    let said = take(&bench, &file, &[]);
    assert_eq!(said.counts, [4, 2, 1, 1], "{:#?}", said.report);
    let jobs = jobs(&bench);
    let unit = jobs[0]["unit"].as_str().expect("a mark");
    assert_eq!((unit.len(), &jobs[1]["unit"]), (16, &jobs[0]["unit"]));
    let shop: Value = serde_json::from_str(&bench.read("shop.json")).expect("JSON");
    assert_eq!(shop["unit_key"].as_str().map(str::len), Some(32));
    for (path, bytes) in files(&bench) {
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        assert!(!text.contains("9041"), "{path} holds a serial");
    }
    let report = said.report.iter().map(Value::to_string).collect::<String>();
    assert!(!report.contains("9041"), "the report holds a serial");
}

#[test]
fn an_erased_person_is_gone_from_the_backlog_and_a_backup_holds_the_backlog() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    take(&bench, &file, &["--person", "mk"]);
    let waiting = |bench: &Bench| {
        let files = files(bench);
        let found = files
            .into_iter()
            .find(|(path, _)| path.ends_with(".rows.jsonl"));
        String::from_utf8(found.expect("rows wait").1).expect("text")
    };
    assert!(waiting(&bench).contains("\"by\":\"mk\""));
    let backup = bench.shop().with_file_name("b.tar");
    let backup = backup.to_string_lossy().into_owned();
    let made = bench.run(&["inspect", "--backup", &backup]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let bytes = std::fs::read(&backup).expect("a backup");
    let holds = |word: &[u8]| bytes.windows(word.len()).any(|w| w == word);
    assert!(holds(b"intake/maps.json") && holds(b".rows.jsonl"));
    let out = bench.run(&["people", "forget", "mk", "--yes"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let after = waiting(&bench);
    assert!(!after.to_lowercase().contains("\"mk\""), "{after}");
    let inspected = bench.run(&["inspect"]);
    assert_eq!(
        inspected.status.code(),
        Some(0),
        "{}",
        text(&inspected.stderr)
    );
    assert_eq!(take(&bench, &file, &[]).counts, [5, 0, 0, 5]);
}

#[test]
fn damage_in_intake_is_named_by_inspect() {
    let bench = bench();
    let file = put(&bench, "old.csv", three_rows());
    take(&bench, &file, &[]);
    let path = files(&bench)
        .into_keys()
        .find(|path| path.ends_with(".rows.jsonl"))
        .expect("rows wait");
    let whole = std::fs::read_to_string(&path).expect("a file");
    std::fs::write(&path, whole.replacen("No power", "No powre", 1)).expect("written");
    bench.put("intake/maps.json", "{\"v\":1,\"maps\":[{\"shape\":\"x\"}]}");
    let out = bench.run(&["inspect"]);
    let said = format!("{}{}", text(&out.stdout), text(&out.stderr));
    assert_eq!(out.status.code(), Some(3), "{said}");
    for part in [
        "intake/old-csv-",
        "check sum",
        "intake/maps.json: maps[0].columns: missing",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // The damaged row is taken in again: nothing is lost.
    std::fs::remove_file(bench.shop().join("intake/maps.json")).expect("removed");
    assert_eq!(take(&bench, &file, &[]).counts, [5, 0, 1, 4]);
}

/// Imports a hostile sheet; whatever it says, it says it plainly.
#[track_caller]
fn hostile(name: &str, content: impl AsRef<[u8]>) -> (Option<Said>, String) {
    let bench = bench();
    let file = put(&bench, name, content);
    let outside: BTreeSet<_> = std::fs::read_dir(bench.shop().with_file_name(""))
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name())
        .collect();
    let out = bench.run(&["jobs", "import", &file, "--yes", "--report", "-"]);
    let said = format!("{}{}", text(&out.stdout), text(&out.stderr));
    let plain = |c: char| c == '\n' || !c.is_control();
    assert!(
        said.chars().all(plain),
        "a control character came out: {said:?}"
    );
    assert!(!said.contains("panicked"), "{said}");
    let code = out.status.code().expect("it ended by itself");
    assert!([0, 1].contains(&code), "{code}: {said}");
    let after = std::fs::read_dir(bench.shop().with_file_name("")).expect("a folder");
    for entry in after {
        let name = entry.expect("an entry").file_name();
        assert!(
            outside.contains(&name) || name == "data",
            "{} was made",
            name.to_string_lossy()
        );
    }
    let taken = (code == 0).then(|| {
        // The same sheet again: its report says what became of each row, and nothing is new.
        let again = take(&bench, &file, &[]);
        assert_eq!(again.counts[1] + again.counts[2], 0);
        again
    });
    (taken, said)
}

#[track_caller]
fn refused(name: &str, content: impl AsRef<[u8]>, parts: &[&str]) {
    let (taken, said) = hostile(name, content);
    assert!(taken.is_none(), "{said}");
    for part in parts {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[track_caller]
fn row_is_named(content: impl AsRef<[u8]>, source: &str, parts: &[&str]) {
    let (taken, said) = hostile("bad.csv", content);
    assert!(taken.is_some(), "{said}");
    let line = said
        .lines()
        .find(|line| line.contains(&format!("\"source\":\"{source}\"")))
        .unwrap_or_else(|| panic!("{source} has a line: {said}"));
    for part in parts {
        assert!(line.contains(part), "{part}: {line}");
    }
}

#[test]
fn control_characters_and_nul_bytes_are_named_with_their_row() {
    let row_of = |words: &str| {
        format!(
            "{HEADER}W-1,2025-02-01,Petrel P4,mk,{words},3V3_SB 0.41 V,standby,Replaced U31,Held\n"
        )
    };
    for words in ["No \u{1b}[2Jpower", "No power\0", "No \u{9b}31m power"] {
        row_is_named(row_of(words), "bad.csv:2", &["needs-person"]);
    }
}

#[test]
fn a_quote_that_never_ends_is_named_with_its_row() {
    let text = format!(
        "{HEADER}{}W-2,2025-02-02,\"Petrel P4,mk,No power,3V3_SB 0.41 V,standby,Replaced U31,Held\n",
        row("W-1", "Petrel P4", 1)
    );
    row_is_named(text, "bad.csv:3", &["needs-person", "quote"]);
}

#[test]
fn a_cell_of_a_megabyte_is_named_with_its_row() {
    let text = format!(
        "{HEADER}W-1,2025-02-01,Petrel P4,mk,{},3V3_SB 0.41 V,standby,Replaced U31,Held\n",
        "no power ".repeat(120_000)
    );
    row_is_named(text, "bad.csv:2", &["needs-person", "64 kB"]);
}

#[test]
fn ten_thousand_columns_end_like_any_others() {
    let wide = "x,".repeat(10_000);
    let text = format!(
        "{}{wide}\n{}{wide}\n",
        HEADER.trim_end(),
        row("W-1", "Petrel P4", 1).trim_end()
    );
    row_is_named(text, "bad.csv:2", &["cells"]);
}

#[test]
fn impossible_numbers_days_and_formulas_become_no_facts() {
    let with = |number: &str, day: &str, reading: &str| {
        format!(
            "{HEADER}{number},{day},Petrel P4,mk,No power,{reading},standby,Replaced U31,Held\n"
        )
    };
    row_is_named(
        with("W-1", "2026-02-30", "3V3_SB 0.41 V"),
        "bad.csv:2",
        &["needs-person"],
    );
    let (_, said) = hostile("bad.csv", with("W-1", "2025-02-01", "3V3_SB 1e999 V"));
    assert!(
        !said.contains("inf") && !said.contains("null,\"got_v\""),
        "{said}"
    );
    for start in ["=cmd()", "+1", "-1", "@SUM(A1)"] {
        let (taken, said) = hostile("bad.csv", with("W-1", "2025-02-01", start));
        assert!(taken.is_some(), "{said}");
    }
}

#[test]
fn names_that_try_to_leave_the_folder_stay_inside() {
    let bench = bench();
    let rows = [
        row("../../W-1", "../../../etc/passwd", 1),
        row("W-2", "..", 2),
        row("W-3", "con", 3),
        row("W-4", "\u{202e}4P lerteP", 4),
    ];
    let file = put(&bench, "..evil--.csv", sheet(&rows));
    let said = take(&bench, &file, &[]);
    let shop: Value = serde_json::from_str(&bench.read("shop.json")).expect("JSON");
    for board in shop["boards"].as_array().expect("boards") {
        let id = board["id"].as_str().expect("an id");
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(id.chars().all(plain) && id != "con", "{id}");
    }
    assert_eq!(said.counts[0], 5);
    let inspected = bench.run(&["inspect"]);
    assert_ne!(
        inspected.status.code(),
        Some(1),
        "{}",
        text(&inspected.stderr)
    );
}

#[test]
fn files_that_are_no_sheets_are_refused_with_what_to_do() {
    refused("a.csv", "", &["a.csv", "the file is empty"]);
    refused("a.pdf", "%PDF-1.7", &["a PDF", "save it as CSV"]);
    refused(
        "a.xlsx",
        b"PK\x03\x04\x14\0\0\0\x08\0cut off",
        &["a.xlsx", "cannot read"],
    );
    let bench = bench();
    let out = bench.run(&["jobs", "import", "nowhere.csv", "--yes"]);
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stderr).contains("no such file"),
        "{}",
        text(&out.stderr)
    );
}

#[test]
fn a_killed_import_is_completed_by_the_next_and_nothing_stands_twice() {
    let many: Vec<String> = (0..2000)
        .map(|n| row(&format!("W-{n}"), "Petrel P4", 1 + n % 28))
        .collect();
    let many = sheet(&many);
    for wait in [5, 60, 200] {
        let bench = bench();
        let file = put(&bench, "many.csv", &many);
        let mut child = bench
            .command(&["jobs", "import", &file, "--yes"])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the binary starts");
        std::thread::sleep(Duration::from_millis(wait));
        child.kill().expect("it can be killed");
        child.wait().expect("it ended");
        let before = jobs(&bench).len();
        assert!([0, 2000].contains(&before), "all or nothing, not {before}");
        let said = take(&bench, &file, &[]);
        assert_eq!(said.counts[2], 0);
        let jobs = jobs(&bench);
        let numbers: BTreeSet<String> = jobs.iter().map(|job| job["job"].to_string()).collect();
        assert_eq!((jobs.len(), numbers.len()), (2000, 2000));
        let half = |path: &String| {
            let name = Path::new(path).file_name().expect("a name");
            name.to_string_lossy().starts_with('.')
        };
        let left = files(&bench).into_keys().find(half);
        assert_eq!(left, None, "nothing half-written is left");
    }
}

/// Imports the sheet of `disk` in-process.
fn import_on(disk: &ModelDisk) -> Option<[u64; 4]> {
    let shared: Arc<dyn Disk> = Arc::new(disk.clone());
    let folder = ShopFolder::new("/shop");
    let workbench = Workbench::open(shared, folder, "b7".to_owned()).ok()?;
    let now = "2026-11-20T08:00:00Z".parse().expect("a moment");
    let opened = open::open(&workbench, Path::new("/old.csv")).ok()?;
    let offers = opened.offers(&workbench, None, now);
    let order = Order {
        by: Some("mk"),
        unit_key: "000102030405060708090a0b0c0d0e0f",
        now,
        dry_run: false,
    };
    let listener = Listener {
        report: None,
        progress: &mut |_, _| true,
    };
    let summary = import::import(&workbench, &opened, &offers, order, listener).ok()?;
    Some(summary.total())
}

fn disk() -> ModelDisk {
    let disk = ModelDisk::new();
    disk.put(Path::new("/shop/shop.json"), SHOP.as_bytes());
    disk.put(Path::new("/shop/boards/petrel-p4.json"), BOARD.as_bytes());
    let old = "{\"v\":1,\"id\":\"o-1\",\"job\":\"O-1\",\"closed_on\":\"2024-01-01\",\"board\":\"petrel-p4\",\"complaint\":[\"no-power\"],\"findings\":[{\"kind\":\"rail\",\"where\":\"5V\",\"got_v\":0.1}],\"outcome\":\"no-fix\",\"no_fix_reason\":\"value-exceeded\"}";
    disk.put(
        Path::new("/shop/jobs/b7.jsonl"),
        format!("{old}\n").as_bytes(),
    );
    disk.put(Path::new("/old.csv"), three_rows().as_bytes());
    disk
}

/// Jobs by number and rows that wait by mark, each with how often it stands.
fn state(disk: &ModelDisk) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for (path, bytes) in disk.everything() {
        if path.extension().is_none_or(|e| e != "jsonl") {
            continue;
        }
        for line in String::from_utf8_lossy(&bytes).lines() {
            let line: Value = serde_json::from_str(line).expect("a whole line");
            let what = line["job"].as_str().or(line["row"].as_str());
            if let Some(what) = what {
                *found.entry(what.to_owned()).or_default() += 1;
            }
        }
    }
    found
}

#[test]
fn the_power_goes_at_every_step_and_the_next_import_completes_it() {
    let whole = disk();
    whole.power_off_at(0);
    assert_eq!(import_on(&whole), Some([5, 2, 1, 2]));
    let expected = state(&whole);
    assert_eq!(expected.len(), 4);
    let steps = whole.steps();
    assert!(20 < steps, "{steps} steps");
    for nth in 1..=steps {
        for cut in [Cut::Lost, Cut::Half, Cut::Latest] {
            let disk = disk();
            disk.power_off_at(nth);
            let done = import_on(&disk);
            assert_eq!(done, None, "step {nth}");
            disk.cut(cut);
            let between = state(&disk);
            let jobs = |state: &BTreeMap<String, usize>| {
                ["W-1", "W-2"].map(|job| state.get(job).copied().unwrap_or(0))
            };
            assert!(
                [[0, 0], [1, 1]].contains(&jobs(&between)),
                "step {nth}, {cut:?}: all jobs or none: {between:?}"
            );
            assert_eq!(between.get("O-1"), Some(&1), "step {nth}, {cut:?}");
            let again = import_on(&disk).expect("the next import goes through");
            assert_eq!(again[0], 5);
            assert_eq!(state(&disk), expected, "step {nth}, {cut:?}");
        }
    }
}
