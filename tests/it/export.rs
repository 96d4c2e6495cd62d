//! `jobs export` through the real program: what it writes, what it never overwrites, and that another
//! shop reads the same jobs back.

use std::process::Output;

use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::text;

const SHOP: &str =
    r#"{"v":1,"name":"T","boards":[{"id":"x","name":"Board X"},{"id":"y","name":"Board Y"}]}"#;

fn job(number: &str, day: &str, board: &str) -> Value {
    json!({
        "v": 1, "id": format!("i-{number}"), "job": number, "closed_on": day, "closed_by": "mk",
        "board": board, "complaint": ["no-power", "liquid-entry"],
        "findings": [
            { "kind": "rail", "where": "3V3", "expect_v": 3.3, "got_v": 0.2, "raw": "3V3=0,2", "probe": 4 },
            { "kind": "visual", "when": "before-cleaning", "where": "U31", "sign": "residue" },
        ],
        "family": "standby",
        "actions": [
            { "act": "reflow", "part": "L12", "role": "tried-no-effect" },
            { "act": "replace", "part": "U31", "role": "the-fix" },
        ],
        "outcome": "unknown-so-far", "proof": "rail back", "minutes": 50, "unit": format!("u-{number}"),
        "value": 240, "shelf": { "row": "B4" }, "note": "two, \"lines\"\nof note",
    })
}

fn bench(lines: &[String]) -> Bench {
    let jobs = format!("{}\n", lines.join("\n"));
    let bench = Bench::with_files(&[("shop.json", SHOP), ("jobs/old.jsonl", &jobs)]);
    assert!(bench.run(&["people", "add", "MK"]).status.success());
    bench
}

fn three() -> Vec<String> {
    let mut odd = job("W-3", "2026-08-01", "y");
    odd["note"] = json!("=cmd|' /C calc'!A0");
    odd["proof"] = json!("-12V back");
    odd["rev"] = json!("@SUM(A1)");
    vec![
        job("W-1", "2026-01-01", "x").to_string(),
        // A line that somebody wrote by hand: blanks, and a field that nobody knows.
        job("W-2", "2026-05-01", "x")
            .to_string()
            .replace("\":", "\" : "),
        odd.to_string(),
    ]
}

/// Runs a command in the shop of `bench`, also one with `--into`.
fn export(bench: &Bench, args: &[&str]) -> Output {
    let shop = bench.shop();
    let shop = shop.to_str().expect("a plain path");
    bench.run(&[args, &["--shop", shop]].concat())
}

/// Runs a command that succeeds; returns what it printed.
fn said(bench: &Bench, args: &[&str]) -> String {
    let out = export(bench, args);
    assert!(out.status.success(), "{args:?}: {}", text(&out.stderr));
    text(&out.stdout)
}

/// Returns every job as `jobs list` and `jobs show` tell it.
fn told(bench: &Bench) -> Vec<String> {
    let list = said(bench, &["jobs", "list", "--json"]);
    let mut found: Vec<String> = list.lines().map(str::to_owned).collect();
    for line in list.lines() {
        let row: Value = serde_json::from_str(line).expect("a JSON line");
        let number = row["job"].as_str().expect("a number");
        found.push(said(bench, &["jobs", "show", number, "--json"]));
    }
    found
}

#[test]
fn a_sheet_has_plain_columns_and_no_cell_is_a_formula() {
    let bench = bench(&three());
    let sheet = said(&bench, &["jobs", "export", "--csv"]);
    let mut rows = csv::Reader::from_reader(sheet.as_bytes());
    let head: Vec<&str> = rows.headers().unwrap().iter().collect::<Vec<_>>();
    assert_eq!(
        head.join(","),
        "Job,Closed,By,Board,Revision,Complaint,Readings,Circuit,Fix,Tried,Outcome,Proof,Minutes,Note"
    );
    let rows: Vec<csv::StringRecord> = rows.records().map(|r| r.unwrap()).collect();
    assert_eq!(
        rows[0].iter().collect::<Vec<_>>(),
        [
            "W-1",
            "2026-01-01",
            "mk",
            "x",
            "",
            "no-power, liquid-entry",
            "3V3 0.2 V, should be 3.3 V; residue at U31, before cleaning",
            "standby",
            "replace U31",
            "no effect: reflow L12",
            "unknown-so-far",
            "rail back",
            "50",
            "two, \"lines\" of note",
        ]
    );
    assert_eq!(&rows[2][4], "'@SUM(A1)");
    assert_eq!(&rows[2][11], "'-12V back");
    assert_eq!(&rows[2][13], "'=cmd|' /C calc'!A0");
    for cell in rows.iter().flatten() {
        let first = cell.chars().next().unwrap_or(' ');
        assert!(!"=+-@\t\r".contains(first), "{cell:?}");
    }
    for hidden in ["u-W-1", "240", "B4"] {
        assert!(!sheet.contains(hidden), "{hidden} stands in\n{sheet}");
    }
}

#[test]
fn lines_leave_as_they_stand_and_another_shop_reads_the_same_jobs() {
    let lines = three();
    let from = bench(&lines);
    let out = from.data().with_file_name("out.jsonl");
    let file = out.to_str().unwrap();
    assert_eq!(
        said(&from, &["jobs", "export", "--into", file]),
        format!("3 jobs in {file}\n")
    );
    let written = std::fs::read_to_string(&out).unwrap();
    assert_eq!(written.lines().collect::<Vec<_>>(), lines);
    let other = Bench::with_files(&[("shop.json", SHOP), ("jobs/theirs.jsonl", &written)]);
    assert_eq!(told(&other), told(&from));
    assert_eq!(
        said(&other, &["jobs", "export", "--jsonl"]),
        said(&from, &["jobs", "export", "--jsonl"])
    );
}

#[test]
fn a_corrected_job_leaves_as_it_counts_now_and_with_its_history_when_asked() {
    let from = bench(&three());
    said(&from, &["jobs", "held", "W-1"]);
    let now = said(&from, &["jobs", "export", "--jsonl", "--board", "x"]);
    let jobs: Vec<Value> = now
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    assert_eq!(jobs.len(), 2);
    assert_eq!(jobs[0]["outcome"], "held");
    assert_eq!(jobs[0]["corrects"], "i-W-1");
    assert_eq!(jobs[0]["shelf"]["row"], "B4");
    let whole = said(&from, &["jobs", "export", "--history"]);
    assert_eq!(whole.lines().count(), 4);
    let other = Bench::with_files(&[("shop.json", SHOP), ("jobs/theirs.jsonl", &whole)]);
    assert_eq!(told(&other), told(&from));
    let links = other.run(&["jobs", "check", "--only", "link"]);
    assert!(links.status.success(), "{}", text(&links.stdout));
    // The same lines once more, in the shop that they came from, change nothing.
    std::fs::write(from.shop().join("jobs/again.jsonl"), &whole).unwrap();
    let list = from.run(&["jobs", "list", "--json"]);
    assert_eq!(text(&list.stdout).lines().count(), 3);
}

#[test]
fn only_what_is_asked_for_leaves() {
    let bench = bench(&three());
    let count = |args: &[&str]| {
        let args = [&["jobs", "export", "--jsonl"], args].concat();
        said(&bench, &args).lines().count()
    };
    assert_eq!(count(&[]), 3);
    assert_eq!(count(&["--board", "y"]), 1);
    assert_eq!(count(&["--family", "buck"]), 0);
    assert_eq!(count(&["--since", "2026-05-01"]), 2);
    assert_eq!(count(&["--until", "2026-05-01"]), 2);
    let code = |args: &[&str]| bench.run(args).status.code();
    assert_eq!(code(&["jobs", "export", "--board", "nowhere"]), Some(2));
    assert_eq!(code(&["jobs", "export", "--csv", "--jsonl"]), Some(2));
    assert_eq!(code(&["jobs", "export", "--replace"]), Some(2));
}

#[test]
fn a_file_is_never_overwritten_unasked_nor_put_into_the_shop() {
    let bench = bench(&three());
    let out = bench.data().with_file_name("jobs.csv");
    std::fs::write(&out, "mine").unwrap();
    let file = out.to_str().unwrap();
    let refused = export(&bench, &["jobs", "export", "--into", file]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(
        text(&refused.stderr).contains("--replace"),
        "{}",
        text(&refused.stderr)
    );
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "mine");
    said(&bench, &["jobs", "export", "--into", file, "--replace"]);
    assert!(
        std::fs::read_to_string(&out)
            .unwrap()
            .starts_with("Job,Closed,")
    );
    let inside = bench.shop().join("people/../jobs/copy.jsonl");
    let refused = export(
        &bench,
        &["jobs", "export", "--into", inside.to_str().unwrap()],
    );
    assert_eq!(refused.status.code(), Some(1));
    assert!(
        text(&refused.stderr).contains("inside the shop"),
        "{}",
        text(&refused.stderr)
    );
    assert!(!inside.exists());
}

#[test]
fn hostile_text_reaches_no_terminal_and_jobs_in_dispute_stay_behind() {
    let mut hostile = job("W-1", "2026-01-01", "x");
    hostile["note"] = json!("a\u{1b}[2Jb\u{202e}c");
    let mut double = job("W-9", "2026-01-01", "x");
    let first = double.to_string();
    double["id"] = json!("other");
    // One character is written raw, as no program of ours would.
    let raw = hostile.to_string().replace("\\u202e", "\u{202e}");
    let bench = bench(&[raw.clone(), first, double.to_string()]);
    for form in ["--csv", "--jsonl"] {
        let out = bench.run(&["jobs", "export", form]);
        assert_eq!(out.status.code(), Some(3));
        let shown = text(&out.stdout);
        assert!(!shown.contains(['\u{1b}', '\u{202e}']), "{shown:?}");
        assert!(shown.contains("W-1") && !shown.contains("W-9"), "{shown}");
        assert!(text(&out.stderr).contains("W-9"), "{}", text(&out.stderr));
    }
    let out = bench.data().with_file_name("raw.jsonl");
    let file = out.to_str().unwrap();
    assert_eq!(
        export(&bench, &["jobs", "export", "--into", file])
            .status
            .code(),
        Some(3)
    );
    assert_eq!(std::fs::read_to_string(&out).unwrap(), format!("{raw}\n"));
}
