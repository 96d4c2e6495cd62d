//! How long does a deck of 100,000 jobs take to build, without an index and with one more job since?
//!
//! The practice shop's six boards under twenty names each, its jobs repeated under new numbers, every
//! reading moved by up to 3 % and some readings left out: invented, the same each time. Printed: for the
//! whole command, seconds and highest memory of the first build; then milliseconds of builds that each
//! find one more job, the median and the worst.
//! Run by `cargo bench --bench build`; `-- 20000` takes another number of jobs.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(
    clippy::disallowed_methods,
    reason = "a bench reads the clock and makes files"
)]

use std::fs;
use std::fs::File;
use std::io::Write;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;
use std::time::SystemTime;

use serde_json::Value;

const JOBS: usize = 100_000;
const NAMES: usize = 20;
const WARM: usize = 15;

/// Numbers that look like chance and are the same each time.
struct Chance(u64);

impl Chance {
    /// Returns a number from 0 to 999.
    fn thousandth(&mut self) -> u32 {
        let next = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = next.wrapping_add(1_442_695_040_888_963_407);
        u32::try_from((self.0 >> 33) % 1000).expect("below a thousand")
    }
}

fn parsed(path: &Path) -> Value {
    let text = fs::read_to_string(path).expect("the practice shop");
    serde_json::from_str(&text).expect("JSON")
}

fn make_shop(into: &Path, jobs: usize) -> String {
    let like = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    for folder in ["boards", "jobs"] {
        fs::create_dir_all(into.join(folder)).expect("a folder");
    }
    let mut shop = parsed(&like.join("shop.json"));
    let mut boards = Vec::new();
    for entry in shop["boards"].as_array().expect("boards") {
        let id = entry["id"].as_str().expect("an id");
        let described = parsed(&like.join(format!("boards/{id}.json")));
        for n in 0..NAMES {
            let name = Value::String(format!("{id}-{n}"));
            let (mut entry, mut described) = (entry.clone(), described.clone());
            entry["id"] = name.clone();
            described["board"] = name;
            let path = into.join(format!("boards/{id}-{n}.json"));
            fs::write(path, described.to_string()).expect("a board");
            boards.push(entry);
        }
    }
    shop["boards"] = Value::Array(boards);
    shop["incoming"] = Value::Null;
    fs::write(into.join("shop.json"), shop.to_string()).expect("a shop");
    let text = archive(&like.join("jobs/practice.jsonl"), jobs);
    let path = into.join("jobs/all.jsonl");
    fs::write(&path, &text).expect("jobs");
    // Older than the index by more than two seconds, as the files of a shop are on any day.
    let file = File::options().write(true).open(path);
    file.and_then(|f| f.set_modified(SystemTime::now() - Duration::from_secs(3600)))
        .expect("the time is set");
    text.lines().last().unwrap_or_default().to_owned()
}

fn archive(seeds: &Path, jobs: usize) -> String {
    let seeds = fs::read_to_string(seeds).expect("jobs");
    let seeds: Vec<Value> = seeds
        .lines()
        .map(|line| serde_json::from_str(line).expect("a job"))
        .collect();
    let mut chance = Chance(7);
    let mut text = String::new();
    for n in 0..jobs {
        let (round, at) = (n / seeds.len(), n % seeds.len());
        let mut job = renamed(&seeds[at], &round.to_string());
        let board = job["board"]
            .as_str()
            .map(|b| format!("{b}-{}", round % NAMES));
        job["board"] = Value::String(board.expect("a board"));
        let findings = job["findings"].as_array_mut().expect("findings");
        for finding in findings.iter_mut().filter_map(Value::as_object_mut) {
            for (_, value) in finding
                .iter_mut()
                .filter(|(key, _)| key.starts_with("got_"))
            {
                if let Some(got) = value.as_f64() {
                    let moved = got * (0.97 + 0.00006 * f64::from(chance.thousandth()));
                    *value = serde_json::json!((moved * 1e4).round() / 1e4);
                }
            }
        }
        if findings.len() > 2 && chance.thousandth() < 400 {
            let n = findings.len();
            findings.remove(usize::try_from(chance.thousandth()).expect("small") % n);
        }
        text.push_str(&job.to_string());
        text.push('\n');
    }
    text
}

/// Returns a job under other numbers.
fn renamed(job: &Value, ending: &str) -> Value {
    let mut job = job.clone();
    for field in ["id", "job", "unit", "follows", "corrects"] {
        if let Some(value) = job[field].as_str().map(|v| format!("{v}-{ending}")) {
            job[field] = Value::String(value);
        }
    }
    job
}

/// Runs a build and returns how long it took, and its highest memory in kilobytes where the system says.
fn build(shop: &Path) -> (Duration, u64) {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_benchlore"))
        .args(["--shop", shop.to_str().expect("a path"), "deck", "build"])
        .args(["--as-of", "2026-11-28T12:00:00Z"])
        .env("BENCHLORE_BENCH", "b7")
        .stdout(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut highest = 0;
    loop {
        if let Some(code) = child.try_wait().expect("it can be asked") {
            assert!(code.success(), "{code}");
            return (start.elapsed(), highest);
        }
        highest = highest.max(memory(child.id()));
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Returns the highest memory that a process had so far, in kilobytes (`VmHWM`); 0 where the system
/// does not say.
fn memory(process: u32) -> u64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let number = line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok());
    number.unwrap_or(0)
}

fn main() {
    let jobs = std::env::args().find_map(|arg| arg.parse().ok());
    let jobs = jobs.unwrap_or(JOBS);
    let place = tempfile::tempdir().expect("a temporary folder");
    let shop = place.path().join("shop");
    let last = make_shop(&shop, jobs);
    let last: Value = serde_json::from_str(&last).expect("a job");
    let (cold, highest) = build(&shop);
    println!(
        "{jobs} jobs on {} boards: {:.2} s, highest memory {} MB",
        6 * NAMES,
        cold.as_secs_f64(),
        highest / 1000
    );
    let path = shop.join("jobs/all.jsonl");
    let mut times: Vec<(f64, u64)> = (0..WARM)
        .map(|n| {
            let file = File::options().append(true).open(&path);
            let mut file = file.expect("the jobs");
            writeln!(file, "{}", renamed(&last, &format!("w{n}"))).expect("one more job");
            let (took, highest) = build(&shop);
            (took.as_secs_f64() * 1000.0, highest)
        })
        .collect();
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (middle, worst) = (times[WARM / 2], times[WARM - 1]);
    println!(
        "one more job: {:.0} ms (worst of {WARM}: {:.0}), highest memory {} MB",
        middle.0,
        worst.0,
        middle.1 / 1000
    );
}
