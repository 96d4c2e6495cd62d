//! `jobs add`, `jobs correct`, and jobs still on a bench: flags reach the code, files are on the disk.

use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;
use std::time::Instant;

use portable_pty::CommandBuilder;
use serde_json::Value;

use crate::common::Bench;
use crate::common::text;
use crate::terminal::Desk;

const SERIAL: &str = "PX12-0447-Q";

/// Runs a command that must end with `code` and returns what it printed.
#[track_caller]
fn says(bench: &Bench, args: &[&str], code: i32) -> String {
    let done = bench.run(args);
    let all = format!("{}{}", text(&done.stdout), text(&done.stderr));
    assert_eq!(done.status.code(), Some(code), "{args:?}: {all}");
    all
}

#[track_caller]
fn json(bench: &Bench, args: &[&str], code: i32) -> Value {
    let said = says(bench, args, code);
    serde_json::from_str(said.lines().next().unwrap_or_default()).expect("a JSON line")
}

/// Every file of a folder and of those in it.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found
}

fn holds(bytes: &[u8], what: &str) -> bool {
    let upper = bytes.to_ascii_uppercase();
    let plain: Vec<u8> = what.bytes().filter(u8::is_ascii_alphanumeric).collect();
    let squeezed: Vec<u8> = upper
        .iter()
        .copied()
        .filter(u8::is_ascii_alphanumeric)
        .collect();
    let within = |all: &[u8], one: &[u8]| all.windows(one.len()).any(|w| w == one);
    within(&upper, what.as_bytes()) || within(&squeezed, &plain)
}

/// Tells which files of the shop or of the program's data hold a serial, in its spelling or without its
/// hyphens.
fn holding(bench: &Bench, serial: &str) -> Vec<PathBuf> {
    let mut all = files(&bench.shop());
    if bench.data().exists() {
        all.extend(files(&bench.data()));
    }
    let held = |path: &PathBuf| holds(&std::fs::read(path).expect("it reads"), serial);
    all.into_iter().filter(held).collect()
}

#[test]
fn a_serial_is_never_on_the_disk_and_its_unit_is_known_again() {
    let bench = Bench::practice();
    let begin = [
        "jobs",
        "begin",
        "--board",
        "petrel-p4",
        "--complaint",
        "no power",
    ];
    says(&bench, &[&begin[..], &["--serial", SERIAL]].concat(), 0);
    let first = json(&bench, &["jobs", "open", "--json"], 0);
    assert_eq!(first["board"], "petrel-p4");
    let log = bench.read("intake/b7.open.jsonl");
    let line: Value = serde_json::from_str(log.lines().next().unwrap()).unwrap();
    let mark = line["unit"].as_str().expect("a mark").to_owned();
    assert_eq!(mark.len(), 16);
    // The same label typed otherwise is the same unit.
    let add = ["jobs", "add", "--json", "--board", "petrel-p4"];
    let told = json(&bench, &[&add[..], &["--serial", "px12 0447q"]].concat(), 3);
    assert_eq!(told["job"]["unit"], mark);
    assert_eq!(holding(&bench, SERIAL), Vec::<PathBuf>::new());
    assert!(holds(b"x px120447q", SERIAL), "else nothing here is shown");
    let key: Value = serde_json::from_str(&bench.read("shop.json")).unwrap();
    assert_eq!(key["unit_key"].as_str().map(str::len), Some(32));
}

#[test]
fn nothing_is_written_while_something_is_missing() {
    let bench = Bench::practice();
    let jobs = || files(&bench.shop().join("jobs"));
    let before = jobs();
    let told = json(
        &bench,
        &["jobs", "add", "--yes", "--json", "--board", "petrel-p4"],
        3,
    );
    assert_eq!(told["written"], Value::Null);
    let missing: Vec<&str> = told["missing"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(Value::as_str)
        .collect();
    assert_eq!(
        missing,
        ["complaint", "findings", "outcome", "family", "actions"]
    );
    assert_eq!(told["job"]["job"], "W-0736", "the number is counted on");
    let wrong = says(&bench, &["jobs", "add", "x", "--board", "nowhere"], 3);
    assert!(wrong.contains("the shop has no such board"), "{wrong}");
    assert_eq!(jobs(), before);
}

#[test]
fn an_open_job_is_logged_handed_on_and_called_off() {
    let bench = Bench::practice();
    let begin = [
        "jobs",
        "begin",
        "--board",
        "petrel-p4",
        "--complaint",
        "no power",
        "--number",
        "W-9001",
    ];
    says(&bench, &begin, 0);
    let twice = says(&bench, &begin, 1);
    assert!(twice.contains("the number is taken"), "{twice}");
    says(&bench, &["jobs", "log", "w-9001", "3V3_SB 0.41"], 0);
    let mut there = bench.command(&["jobs", "log", "W-9001", "replaced U31"]);
    there.env("BENCHLORE_BENCH", "b9");
    assert!(there.output().expect("it runs").status.success());
    says(&bench, &["jobs", "hand", "W-9001", "--to", "b9"], 0);
    let job = json(&bench, &["jobs", "open", "W-9001", "--json"], 0);
    assert_eq!(job["with"], "b9");
    let words: Vec<&str> = job["log"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|l| l["words"].as_str())
        .collect();
    assert_eq!(words, ["3V3_SB 0.41", "replaced U31"]);
    assert!(says(&bench, &["jobs", "hand", "W-9001", "--to", "../x"], 2).contains("../x"));
    assert!(says(&bench, &["inspect"], 0).contains("jobs still on a bench"));
    says(&bench, &["jobs", "call-off", "W-9001", "--why", "twice"], 0);
    let over = says(&bench, &["jobs", "log", "W-9001", "more"], 1);
    assert!(over.contains("no such job is open"), "{over}");
}

#[test]
fn a_correction_keeps_what_stood_and_tells_what_changed() {
    let bench = Bench::practice();
    let job = "W-0735";
    let before = bench.read("jobs/practice.jsonl");
    let correct = |more: &[&str], code| {
        let args = [&["jobs", "correct", job][..], more, &["--yes"]].concat();
        says(&bench, &args, code)
    };
    correct(
        &["--proof", "R12 open off the board", "--note", "shelf 3"],
        0,
    );
    assert_eq!(bench.read("jobs/practice.jsonl"), before);
    let line = bench.read("jobs/b7.jsonl");
    let new: Value = serde_json::from_str(line.trim()).unwrap();
    let old: Value = before
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).unwrap())
        .find(|l| l["job"] == job)
        .expect("it is in the archive");
    assert_eq!(new["corrects"], old["id"]);
    assert_eq!(new["findings"], old["findings"], "findings stay as written");
    for field in ["minutes", "value", "parts_cost", "minutes_to_find"] {
        assert_eq!(new[field], old[field], "{field}");
    }
    let shown = says(&bench, &["jobs", "show", job], 0);
    assert!(shown.contains("2026-11-20, mk"), "{shown}");
    assert!(shown.contains("-> R12 open off the board"), "{shown}");
    assert!(shown.contains("as first entered"), "{shown}");
    let nothing = correct(&["--note", "shelf 3"], 1);
    assert!(nothing.contains("nothing was changed"), "{nothing}");
}

#[test]
fn who_is_forgotten_leaves_no_draft_and_no_initials_in_open_jobs() {
    let bench = Bench::practice();
    assert!(bench.run(&["people", "add", "QQ"]).status.success());
    let begin = [
        "jobs",
        "begin",
        "--board",
        "petrel-p4",
        "--complaint",
        "no power",
        "--person",
        "qq",
    ];
    says(&bench, &begin, 0);
    bench.put(
        "intake/b7-qq.draft.json",
        "{\"v\":1,\"words\":\"no power\"}\n",
    );
    let done = bench.run_with(&["people", "forget", "qq"], "QQ\n");
    let told = format!("{}{}", text(&done.stdout), text(&done.stderr));
    let done = if done.status.success() {
        told
    } else {
        says(&bench, &["people", "forget", "qq", "--yes"], 0)
    };
    assert!(done.contains("draft.json"), "{done}");
    assert!(!bench.shop().join("intake/b7-qq.draft.json").exists());
    assert!(!bench.shop().join("intake/b7-qq.draft.json.lock").exists());
    let log = bench.read("intake/b7.open.jsonl");
    assert!(!log.contains("\"qq\"") && log.contains("former-1"), "{log}");
    let job = json(&bench, &["jobs", "open", "--json"], 0);
    assert_eq!(job["with"], "former-1");
}

/// Waits until `ready` holds, for at most ten seconds.
fn soon(what: &str, mut ready: impl FnMut() -> bool) {
    let end = Instant::now() + Duration::from_secs(10);
    while !ready() {
        assert!(Instant::now() < end, "not in ten seconds: {what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// Opens the form on a real terminal, types `keys`, waits until `ready`, and kills the program.
fn type_and_kill(bench: &Bench, keys: &str, ready: impl Fn() -> bool) {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_benchlore"));
    command.args(["jobs", "add", "--person", "mk", "--seed", "1", "--shop"]);
    command.arg(bench.shop());
    command.env("BENCHLORE_BENCH", "b7");
    command.env("XDG_DATA_HOME", bench.data());
    command.env("TERM", "xterm-256color");
    let mut desk = Desk::start(tempfile::tempdir().expect("a folder"), command);
    desk.shows("A new job");
    desk.press(keys);
    soon("what was typed is kept", ready);
    desk.child.kill().expect("it runs");
    desk.child.wait().expect("it ends");
}

#[test]
fn what_was_typed_survives_a_kill_and_is_offered_again() {
    let bench = Bench::practice();
    let draft = bench.shop().join("intake/b7-mk.draft.json");
    let kept = |what: &str| {
        let what = what.to_owned();
        let draft = draft.clone();
        move || {
            let text = std::fs::read_to_string(&draft).unwrap_or_default();
            text.contains(&what)
        }
    };
    type_and_kill(&bench, "no power, 3V3_SB 0.41", kept("3V3_SB 0.41"));
    let one: Value = serde_json::from_str(&std::fs::read_to_string(&draft).unwrap()).unwrap();
    assert_eq!(one["words"], "no power, 3V3_SB 0.41");
    // The lock died with the program; the form goes on where it was.
    type_and_kill(&bench, ", U31", kept("3V3_SB 0.41, U31"));
    assert_eq!(holding(&bench, SERIAL), Vec::<PathBuf>::new());
}
