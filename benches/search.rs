//! How long does a search over 100,000 jobs take, beside a full-text index that everybody has?
//!
//! 100,000 jobs: those of the practice shop again and again, with numbers of their own, so that
//! readings and entered words differ from job to job. The search index is made in `cache/find.idx`
//! as the program makes it. The FTS5 of `SQLite` gets the same words (every term that the search index has
//! of a job, in one column, ranked by its own `bm25`), in a file of its own; it knows no bands, no
//! nets and no limits, so it is asked for any of the words of the query. Both are asked in turn, both
//! with what they read still in the system's cache. The program whole is started too.
//!
//! Printed: how long making took, and for each query the median and the 99th of 100 of both, with
//! their ratio. Run by `cargo bench --bench search`.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(
    clippy::disallowed_methods,
    reason = "a bench reads the clock and makes files"
)]

use std::collections::BTreeMap;
use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use std::time::SystemTime;

use benchlore::app::jobs;
use benchlore::app::jobs::FindOptions;
use benchlore::app::workbench::Workbench;
use benchlore::domain::search::ranked::Shelf as _;
use benchlore::store::disk::RealDisk;
use benchlore::store::find_index;
use benchlore::store::paths::ShopFolder;
use chrono::DateTime;
use chrono::Utc;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;
use rusqlite::Connection;
use rusqlite::Statement;
use serde_json::Value;

const JOBS: usize = 100_000;
const RUNS: usize = 100;
const STARTS: usize = 40;
/// Hits asked for, as `jobs find` asks.
const LIMIT: usize = 20;
const QUERIES: [&str; 9] = [
    "petrel cycling, 3V3_SB under 1 V, residue",
    "3V3_SB low",
    "replace U31",
    "no power",
    "draw cycling 61-118 mA, no residue",
    "210 ohm",
    "standby regulator came back",
    "W-0163-7",
    "torch test picture visible",
];

fn main() {
    let place = tempfile::tempdir().expect("a temporary folder");
    let workbench = shop(place.path());
    let now = DateTime::parse_from_rfc3339("2026-11-20T08:00:00Z").expect("a time");
    let now = now.to_utc();

    let start = Instant::now();
    let made = find_index::make(&RealDisk, &workbench.folder, &mut |_, _| {}).expect("made");
    let took = start.elapsed().as_secs_f64();
    assert!(made.kept && made.index.len() > JOBS * 9 / 10);
    let size = |path: &Path| std::fs::metadata(path).map_or(0, |m| m.len());
    println!("search index of {} jobs", made.index.len());
    println!(
        "  made in {took:.2} s, {} bytes",
        size(&find_index::path(&workbench.folder))
    );
    let texts = texts(&made.index);
    drop(made);
    let lite = place.path().join("peer.db");
    let start = Instant::now();
    let peer = fill(&lite, &texts);
    let took = start.elapsed().as_secs_f64();
    println!("SQLite {} FTS5, the same words", rusqlite::version());
    println!("  made in {took:.2} s, {} bytes\n", size(&lite));
    drop(texts);

    println!(
        "{RUNS} runs of each, ms           ours p50     p99    FTS5 p50     p99   ratio of p50"
    );
    let mut select = peer
        .prepare("SELECT rowid, rank FROM jobs WHERE jobs MATCH ?1 ORDER BY rank LIMIT 20")
        .expect("prepared");
    let (mut all_ours, mut all_theirs) = (Vec::new(), Vec::new());
    for words in QUERIES {
        let (mut ours, mut theirs) = (Vec::new(), Vec::new());
        let terms = terms(words);
        for _ in 0..RUNS {
            ours.push(timed(|| ours_finds(&workbench, words, now)));
            theirs.push(timed(|| theirs_finds(&mut select, &terms)));
        }
        row(words, &mut ours, &mut theirs);
        all_ours.extend(ours);
        all_theirs.extend(theirs);
    }
    row("all of them", &mut all_ours, &mut all_theirs);

    println!("\n`jobs find` from start to end, {STARTS} starts, ms   p50     p99");
    for words in &QUERIES[..3] {
        let mut starts: Vec<Duration> = (0..STARTS)
            .map(|_| timed(|| started(workbench.folder.root(), words)))
            .collect();
        println!(
            "{words:<46} {:>6.1} {:>7.1}",
            at(&mut starts, 50),
            at(&mut starts, 99)
        );
    }
}

/// Makes a shop of [`JOBS`] jobs like those of the practice shop, each reading off by up to 10 %.
fn shop(root: &Path) -> Workbench {
    let folder = ShopFolder::new(root);
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let seeds = std::fs::read_to_string(from.join("jobs/practice.jsonl")).expect("read");
    let seeds: Vec<Value> = seeds
        .lines()
        .map(|line| serde_json::from_str(line).expect("a job"))
        .collect();
    let mut chance = ChaCha12Rng::seed_from_u64(1);
    let mut text = String::new();
    for n in 0..JOBS {
        let (round, at) = (n / seeds.len(), n % seeds.len());
        text.push_str(&another(&seeds[at], round, n, &mut chance).to_string());
        text.push('\n');
    }
    put(&folder.jobs().join("all.jsonl"), text.as_bytes());
    put(
        &folder.shop_json(),
        &std::fs::read(from.join("shop.json")).expect("read"),
    );
    for board in std::fs::read_dir(from.join("boards")).expect("listed") {
        let path = board.expect("an entry").path();
        let name = path.file_name().expect("a name");
        put(
            &folder.boards().join(name),
            &std::fs::read(&path).expect("read"),
        );
    }
    Workbench::open(Arc::new(RealDisk), folder, "t1".to_owned()).expect("the shop opens")
}

fn another(seed: &Value, round: usize, n: usize, chance: &mut ChaCha12Rng) -> Value {
    let mut job = seed.clone();
    for field in ["id", "job", "unit", "follows", "corrects"] {
        if let Some(value) = job[field].as_str().map(|v| format!("{v}-{round}")) {
            job[field] = Value::String(value);
        }
    }
    for finding in job["findings"].as_array_mut().into_iter().flatten() {
        let off = 1.0 + 0.1 * (2.0 * chance.random::<f64>() - 1.0);
        for field in ["got_v", "got_a", "got_ohm", "got_c", "low_a", "high_a"] {
            if let Some(value) = finding[field].as_f64() {
                finding[field] = (value * off).into();
            }
        }
        if let Some(raw) = finding["raw"]
            .as_str()
            .map(|raw| format!("{raw}, sheet line {n}"))
        {
            finding["raw"] = Value::String(raw);
        }
    }
    if let Some(proof) = job["proof"]
        .as_str()
        .map(|p| format!("{p} after {} minutes", n % 97))
    {
        job["proof"] = Value::String(proof);
    }
    job
}

fn put(path: &Path, bytes: &[u8]) {
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder is made");
    std::fs::write(path, bytes).expect("the file is written");
    // Older than the index by more than two seconds, as the files of a shop are on any day.
    let file = std::fs::File::options().write(true).open(path);
    file.and_then(|f| f.set_modified(SystemTime::now() - Duration::from_secs(3600)))
        .expect("the time is set");
}

/// Returns the words of each job as one text, those that stand twice twice.
fn texts(index: &benchlore::domain::search::index::Index) -> Vec<String> {
    let mut texts = vec![String::new(); index.len()];
    let sorted: BTreeMap<&str, &[(u32, u32)]> = index.lists().collect();
    for (term, list) in sorted
        .into_iter()
        .filter(|(term, _)| !term.starts_with('\u{1}'))
    {
        // FTS5 takes letters and digits for words; its own cutting must not part a net in two.
        let word = joined(term);
        for (doc, times) in list {
            for _ in 0..*times {
                texts[*doc as usize].push_str(&word);
                texts[*doc as usize].push(' ');
            }
        }
    }
    texts
}

fn joined(term: &str) -> String {
    term.chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Returns what to ask FTS5 for: any of the words that our search looks up.
fn terms(words: &str) -> String {
    let vocabulary = benchlore::domain::search::terms::Vocabulary::default();
    let words = words.replace("no residue", "");
    let asked = vocabulary
        .of_query(&words)
        .into_iter()
        .map(|(term, _)| term);
    let numbers = words
        .split_whitespace()
        .map(|w| format!("no. {}", w.to_uppercase()));
    let all: Vec<String> = asked
        .chain(numbers.filter(|number| number.contains("W-")))
        .map(|term| format!("\"{}\"", joined(&term)))
        .filter(|term| term.len() > 2)
        .collect();
    all.join(" OR ")
}

fn fill(path: &Path, texts: &[String]) -> Connection {
    let mut peer = Connection::open(path).expect("opens");
    peer.execute_batch(
        "CREATE VIRTUAL TABLE jobs USING fts5(words, content='', tokenize='unicode61')",
    )
    .expect("FTS5 is there");
    let all = peer.transaction().expect("begins");
    {
        let mut insert = all
            .prepare("INSERT INTO jobs(rowid, words) VALUES (?1, ?2)")
            .expect("prepared");
        for (n, text) in (1_i64..).zip(texts) {
            insert.execute((n, text)).expect("put in");
        }
    }
    all.commit().expect("kept");
    peer.execute("INSERT INTO jobs(jobs) VALUES ('optimize')", ())
        .expect("made one piece");
    peer
}

/// All of it, as the command and the screen do: open, look at the files, read, rank, read the rows.
fn ours_finds(workbench: &Workbench, words: &str, now: DateTime<Utc>) {
    let options = FindOptions {
        words: words.to_owned(),
        limit: LIMIT,
        ..FindOptions::default()
    };
    let search = jobs::find_jobs(workbench, &options, now, &mut |_, _| {
        panic!("the index is warm");
    });
    let search = search.expect("searched");
    assert!(!search.found.is_empty(), "{words:?} finds something");
    black_box(search);
}

fn theirs_finds(select: &mut Statement<'_>, terms: &str) {
    let found = select
        .query_map([terms], |row| {
            Ok((row.get::<_, i64>(0)?, row.get::<_, f64>(1)?))
        })
        .expect("asked")
        .filter_map(Result::ok)
        .count();
    assert!(found > 0, "{terms} finds something");
    black_box(found);
}

fn started(root: &Path, words: &str) {
    let out = Command::new(env!("CARGO_BIN_EXE_benchlore"))
        .env("BENCHLORE_BENCH", "t1")
        .arg("--shop")
        .arg(root)
        .args(["jobs", "find", "--json", words])
        .output()
        .expect("started");
    assert!(!out.stdout.is_empty(), "{words:?} finds something");
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

/// Returns the time (ms) that `percent` of the runs did not exceed.
fn at(times: &mut [Duration], percent: usize) -> f64 {
    times.sort();
    let nth = (times.len() * percent).div_ceil(100).max(1) - 1;
    times[nth].as_secs_f64() * 1e3
}

fn row(name: &str, ours: &mut [Duration], theirs: &mut [Duration]) {
    let (a, b) = (at(ours, 50), at(ours, 99));
    let (c, d) = (at(theirs, 50), at(theirs, 99));
    let name: String = name.chars().take(30).collect();
    println!(
        "{name:<30} {a:>8.2} {b:>7.2} {c:>11.2} {d:>7.2} {:>8.2}",
        c / a
    );
}
