//! How long until the program knows what a person remembers, with very many reviews?
//!
//! One person with 1,000,000 answers to 100,000 cards at two benches (`big_shop`). Each figure is of a
//! fresh process, files in the page cache, medians of [`ROUNDS`]:
//!
//! - warm: the record from a kept count, all bytes of the journals summed (goal 60 ms);
//! - warm, and a day's answers behind it;
//! - cold: the record from the journals, nothing kept (goal 1 s); and the same with keeping it;
//! - `drill --json` from its start to the first card, warm and cold, the deck of 100,000 cards included.
//!
//! The shop is open before the record is timed. Beside the time stands what the processor worked for it,
//! threads together, where the system says (Linux): on a busy machine only that compares.
//! Times are printed, never asserted. Run by
//! `cargo bench --bench state`; numbers after `--` ask for other sizes: cards, lines.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(
    clippy::disallowed_methods,
    reason = "a bench reads the clock and writes files of its own"
)]

#[expect(dead_code, reason = "stages of the screen are another bench's")]
mod big_shop;

use std::io::BufRead as _;
use std::io::BufReader;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;

use benchlore::app::record;
use benchlore::app::workbench::Facts;
use benchlore::app::workbench::Workbench;
use benchlore::domain::tally::Tally;
use benchlore::domain::tape;
use benchlore::domain::tape::Tape;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;
use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;
use tempfile::TempDir;

use crate::big_shop::Size;

const BINARY: &str = env!("CARGO_BIN_EXE_benchlore");
const ROUNDS: usize = 9;
const BENCHES: &[&str] = &["t1", "t2"];
/// Tells a process that it is one of those timed.
const CHILD: &str = "--one-record";
/// The same for one that tells its stages.
const STAGES: &str = "--stages";

fn until() -> DateTime<Utc> {
    "2026-11-25T08:00:00Z".parse().expect("a moment")
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// Prints the figures of a stage of `big_shop`.
fn report(what: &str, figures: Vec<f64>, goal: Option<f64>) {
    told(
        what,
        figures.into_iter().map(|took| (took, 0.0)).collect(),
        goal,
    );
}

fn told(what: &str, all: Vec<(f64, f64)>, goal: Option<f64>) {
    let sorted = |mut figures: Vec<f64>| {
        figures.sort_by(f64::total_cmp);
        figures
    };
    let (figures, worked): (Vec<f64>, Vec<f64>) = all.into_iter().unzip();
    let (figures, worked) = (sorted(figures), sorted(worked));
    let worked = worked[worked.len() / 2];
    let (low, middle) = (figures[0], figures[figures.len() / 2]);
    let high = figures[figures.len() - 1];
    let verdict = goal.map_or_else(String::new, |goal| {
        let word = if middle < goal { "met" } else { "MISSED" };
        format!("   goal {goal:.0} ms: {word}")
    });
    println!(
        "{what:<52} median {middle:>8.1}   least {low:>8.1}   most {high:>8.1} ms, worked {worked:>6.0}{verdict}"
    );
}

/// Opens the shop and prints how long the record took.
fn child(root: &Path) {
    let folder = ShopFolder::new(root.to_owned());
    let opened = Workbench::open(Arc::new(RealDisk), folder, "t1".to_owned());
    let workbench = opened.expect("the shop opens");
    let (start, worked) = (Instant::now(), worked());
    let record = record::record(&workbench, "mk", until()).expect("it is read");
    let took = milliseconds(start.elapsed());
    let worked = self::worked() - worked;
    println!("{took} {worked} {}", record.history.cards.len());
}

/// Milliseconds that the processor worked for this process; 0 where the system does not say.
fn worked() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // The name may hold anything, so count from behind it; user and system time are in hundredths.
    let fields = stat
        .rsplit(')')
        .next()
        .unwrap_or_default()
        .split_whitespace();
    fields
        .skip(11)
        .take(2)
        .filter_map(|n| n.parse::<f64>().ok())
        .sum::<f64>()
        * 10.0
}

/// Prints what each stage of a record from the journals takes, and the processor's work.
fn stages(root: &Path) {
    let folder = ShopFolder::new(root.to_owned());
    let opened = Workbench::open(Arc::new(RealDisk), folder, "t1".to_owned());
    let workbench = opened.expect("the shop opens");
    let stage = |name: &str, start: (Instant, f64)| {
        let took = milliseconds(start.0.elapsed());
        println!(
            "  {name:<30} {took:>8.1} ms, worked {:>7.0}",
            worked() - start.1
        );
    };
    let now = || (Instant::now(), worked());
    let start = now();
    let read = workbench.tapes.read_people(&RealDisk, &workbench.folder);
    let read = read.expect("they are read");
    stage("journals read", start);
    let journals = || read.iter().flat_map(|person| &person.journals);
    let tapes: Vec<&Tape> = journals().map(|read| &read.tape).collect();
    let start = now();
    let (spots, _) = tape::lines_of("mk", &tapes);
    stage("put in order", start);
    let start = now();
    let facts = Facts::of(&workbench);
    stage("facts about cards", start);
    let start = now();
    drop(tape::fold(&spots, &tapes, &facts));
    stage("folded, corrections included", start);
    let start = now();
    let from = workbench.day(until());
    drop(Tally::of("mk", &tapes, &facts, from, true, 2));
    stage("order, fold and all else", start);
}

/// Runs a fresh process for one record; returns its milliseconds, those of work, and the cards it knows.
fn one(root: &Path) -> (f64, f64, usize) {
    let myself = std::env::current_exe().expect("its own name");
    let done = Command::new(myself).arg(CHILD).arg(root).output();
    let done = done.expect("it runs");
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let said = String::from_utf8(done.stdout).expect("text");
    let mut numbers = said
        .split_whitespace()
        .map(|n| n.parse::<f64>().expect("a number"));
    let mut next = || numbers.next().expect("three numbers");
    let (took, worked, cards) = (next(), next(), next());
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small count"
    )]
    (took, worked, cards as usize)
}

/// Starts a drill of the real program and returns how long its first card took to come.
fn first_card(root: &Path, home: &Path) -> f64 {
    let start = Instant::now();
    let mut program = Command::new(BINARY)
        .args([
            "drill",
            "--json",
            "--person",
            "mk",
            "--as-of",
            "2026-11-25T08:00:00Z",
            "--shop",
        ])
        .arg(root)
        .env("HOME", home)
        .env("XDG_DATA_HOME", home)
        .env("BENCHLORE_BENCH", "t1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut lines = BufReader::new(program.stdout.take().expect("piped")).lines();
    let line = lines.find(|line| line.as_ref().is_ok_and(|line| line.contains("\"ask\"")));
    let took = milliseconds(start.elapsed());
    assert!(line.is_some(), "no card was asked");
    drop(program.stdin.take());
    program.wait().expect("it ends");
    took
}

fn kept(root: &Path) -> PathBuf {
    root.join("cache").join("people")
}

fn main() {
    let mut args = std::env::args().skip(1).filter(|arg| arg != "--bench");
    let first = args.next();
    if first.as_deref() == Some(STAGES) {
        stages(Path::new(&args.next().expect("a folder")));
        return;
    }
    if first.as_deref() == Some(CHILD) {
        child(Path::new(&args.next().expect("a folder")));
        return;
    }
    let number = |text: Option<String>| text.and_then(|n| n.parse().ok());
    let size = Size {
        cards: number(first).unwrap_or(100_000),
        lines: number(args.next()).unwrap_or(1_000_000),
        lines_a_day: 400,
        new_a_day: 50,
        benches: BENCHES,
    };
    let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder");
    let root = folder.path().join("shop");
    for args in [
        &["demo", "--plain", "--into", &root.to_string_lossy()] as &[&str],
        &["people", "add", "MK", "--shop", &root.to_string_lossy()],
    ] {
        let done = Command::new(BINARY)
            .args(args)
            .env("HOME", folder.path())
            .env("XDG_DATA_HOME", folder.path())
            .env("BENCHLORE_BENCH", "t1")
            .output()
            .expect("the program runs");
        assert!(done.status.success());
    }
    let (deck, journals) = big_shop::grow(&root, "mk", size, until() - TimeDelta::days(1));
    #[expect(clippy::cast_precision_loss, reason = "sizes of files")]
    let [deck, journals] = [deck, journals].map(|bytes| bytes as f64 / 1e6);
    println!(
        "{} cards in {deck:.1} MB, {} journal lines in {journals:.1} MB",
        size.cards, size.lines
    );
    measure(&root, folder.path());
}

fn measure(root: &Path, home: &Path) {
    let forget = || drop(std::fs::remove_dir_all(kept(root)));
    let block = || {
        forget();
        std::fs::write(kept(root), "nothing can be kept here").expect("a file");
    };
    block();
    let myself = std::env::current_exe().expect("its own name");
    let shown = Command::new(myself)
        .arg(STAGES)
        .arg(root)
        .output()
        .expect("it runs");
    println!("{}", String::from_utf8_lossy(&shown.stdout).trim_end());
    let (_, _, known) = one(root);
    let times = |rounds: usize, before: &dyn Fn()| -> Vec<(f64, f64)> {
        (0..rounds)
            .map(|_| {
                before();
                let (took, worked, cards) = one(root);
                assert_eq!(cards, known, "the same cards from wherever they come");
                (took, worked)
            })
            .collect()
    };
    told(
        "cold, from the journals",
        times(ROUNDS, &|| {}),
        Some(1000.0),
    );
    std::fs::remove_file(kept(root)).expect("it was there");
    told("cold, and kept", times(ROUNDS, &forget), Some(1000.0));
    let size = std::fs::metadata(kept(root).join("mk.count")).map_or(0, |m| m.len());
    println!("the kept count has {size} bytes");
    told(
        "warm, from the kept count",
        times(ROUNDS * 3, &|| {}),
        Some(60.0),
    );
    let first = |before: &dyn Fn()| -> Vec<(f64, f64)> {
        (0..ROUNDS)
            .map(|_| {
                before();
                (first_card(root, home), 0.0)
            })
            .collect()
    };
    told("drill --json to the first card, warm", first(&|| {}), None);
    told("drill --json to the first card, cold", first(&forget), None);
    big_shop::one_more_day(root, "mk", until());
    told(
        "warm, and 400 answers behind it",
        times(ROUNDS, &|| {}),
        Some(60.0),
    );
}
