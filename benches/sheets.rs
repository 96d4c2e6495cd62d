//! How well are old sheets read, and how fast?
//!
//! Reads the invented sheets of tests/data/sheets and prints precision and recall by kind of field
//! (tests/data/sheets/README.md says how they are counted), with every line that differs when `-v` is
//! given; then imports one made sheet of 100,000 rows twice and prints seconds and the highest memory.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints what it measured, and reads and writes its files itself"
)]

#[path = "../tests/it/sheet_score.rs"]
mod sheet_score;

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

use sheet_score::Parts;
use sheet_score::Score;

/// Rows of the large sheet.
const ROWS: usize = 100_000;

fn main() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/sheets");
    let parts = Parts::of_shop(&data.join("shop"));
    let mut all = Score::default();
    for (sheet, expected) in sheet_score::sheets(&data) {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let shop = folder.path().join("shop");
        copy(&data.join("shop"), &shop);
        let out = import(&shop, &sheet)
            .args(["--report", "-"])
            .output()
            .expect("the binary runs");
        let report = sheet_score::lines(&String::from_utf8_lossy(&out.stdout));
        let name = sheet.file_name().expect("a name").to_string_lossy();
        all.add(sheet_score::score(&name, &expected, &report, &parts));
    }
    if std::env::args().any(|arg| arg == "-v") {
        for line in &all.differs {
            println!("{line}");
        }
    }
    print!("{}", all.table());
    let (right, rows) = all.ends_right();
    println!("rows that end as a careful person would end them: {right} of {rows}");
    large(&data);
}

fn import(shop: &Path, sheet: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlore"));
    command
        .env("BENCHLORE_BENCH", "b7")
        .arg("--shop")
        .arg(shop)
        .args(["--as-of", "2026-11-20T08:00:00Z", "jobs", "import"])
        .arg(sheet)
        .arg("--yes")
        .stdin(Stdio::null());
    command
}

/// Imports a large sheet into a new shop, and once more.
fn large(data: &Path) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let shop = folder.path().join("shop");
    copy(&data.join("shop"), &shop);
    let sheet = folder.path().join("large.csv");
    std::fs::write(&sheet, made()).expect("the sheet is written");
    for name in ["first", "second"] {
        let started = Instant::now();
        let mut child = import(&shop, &sheet)
            .stdout(Stdio::null())
            .spawn()
            .expect("the binary starts");
        let mut highest = 0;
        while child.try_wait().expect("it can be asked").is_none() {
            highest = highest.max(memory(child.id()));
            std::thread::sleep(Duration::from_millis(5));
        }
        println!(
            "{ROWS} rows, {name} import: {:.2} s, highest memory {} MB",
            started.elapsed().as_secs_f64(),
            highest / 1000
        );
    }
}

/// Returns the highest memory that a process had so far, in kilobytes (`VmHWM`); 0 where the system
/// does not say.
fn memory(process: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let number = line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok());
    number.unwrap_or(0)
}

/// A sheet as a busy bench writes them; a third of its rows lack something. Invented.
fn made() -> String {
    let boards = ["Hazel H4", "Alder A3", "Linden L6", "Rowan R8", "Willow W2"];
    let words = [
        "no power, 61-118mA up/down in standby, 3V3_SB 0.41, residue at U31",
        "dead, 5V 0.02, 5V to gnd 1.2 ohm, source off",
        "no link, CANH 0.9 ohm to gnd",
        "wrong reading, VREF 2.31 should be 2.5",
    ];
    let fixes = [
        "replaced U31, 3V3_SB 3.31",
        "reflow L12 no help, replaced U2",
        "replaced D6",
        "",
    ];
    let mut text = String::from("Job,Closed,Board,Tech,Fault,Circuit,Fix,Outcome,Shelf\n");
    for n in 0..ROWS {
        writeln!(
            text,
            "L-{n},2025-{:02}-{:02},{},rk,\"{}\",{},\"{}\",{},shelf {n}",
            1 + n % 12,
            1 + n % 28,
            boards[n % boards.len()],
            words[n % words.len()],
            ["standby", "buck", "bus", "sensing"][n % 4],
            fixes[(n / 3) % fixes.len()],
            ["held", "unknown", ""][n % 3],
        )
        .expect("a text takes what is written");
    }
    text
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("the folder is made");
    for entry in std::fs::read_dir(from).expect("the folder is there") {
        let entry = entry.expect("an entry");
        let place = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &place);
        } else {
            std::fs::copy(entry.path(), place).expect("the file is copied");
        }
    }
}
