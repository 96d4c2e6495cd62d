//! How well, how fast and in how much memory are parameters fitted, beside the reference library?
//!
//! Learners with known parameters (`learners.rs`), or the logs of a folder given as an argument that
//! has a `truth.json` (log name to `truth`, `split_t`) and the logs unpacked. A fit sees the first
//! 80 % of a log by time. Printed, for logs of a size: mean excess of the held-out log loss over that
//! of the truth, in 1e-4, with its standard error; median milliseconds of processor and of waiting for
//! one fit; and the most memory, in bytes a review, that a process of its own took from before the log
//! was read: as the system counts it, pages of the program itself and stacks of threads included (with
//! few reviews little else), and on the heap alone, the log as it was read included, counted by an allocator
//! of this bench's own (`peak_alloc`). Ours runs on two threads; the library (crate `fsrs` 6.6.2) in its two modes, on one, as it
//! is made, and its items are built before the clock starts.
//!
//! What each idea bought, seen on the way (29 November 2026, other work on both cores, processor time):
//! arrays of 16 cards instead of one card: 118 to 53 microseconds for a gradient over 1,600 reviews;
//! curvature from the cards' own gradients: 31 and 52 to 10 and 15 evaluations at 200,000 reviews;
//! few cards first: to 6 and 4; spreads that follow the library's own widths, and stabilities that
//! lie off together: excess of 0.0043 to 0.0031 at 2,000 reviews, 0.00071 to 0.00057 at 20,000.
//! Run by `cargo bench --bench fit`.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(
    clippy::disallowed_methods,
    reason = "a bench reads the clock and its files itself"
)]

mod learners;

use std::collections::HashMap;
use std::io::BufReader;
use std::io::Write as _;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

use benchlore::cli::environment::cpu_time;
use benchlore::domain::fit::histories::Histories;
use benchlore::domain::fit::histories::Review;
use benchlore::domain::fit::prior::Prior;
use benchlore::domain::fit::score;
use benchlore::domain::fit::search;
use benchlore::domain::memory::BOUNDS;
use benchlore::domain::memory::Weights;
use benchlore::domain::units;
use benchlore::store::review_log;
use peak_alloc::PeakAlloc;
use serde_json::Value;
use serde_json::json;

/// Sizes of log, with the number of learners and of timed fits each.
const SIZES: [(usize, u64, usize); 3] = [(2000, 60, 9), (20_000, 18, 5), (200_000, 6, 3)];

/// Ways to fit.
const WAYS: [&str; 3] = ["ours", "crate, with card ids", "crate, without"];

/// Threads of ours.
const THREADS: usize = 2;

/// Counts what is asked of the system's allocator.
#[global_allocator]
static HEAP: PeakAlloc = PeakAlloc;

/// A log with its truth.
struct Log {
    file: PathBuf,
    reviews: usize,
    truth: Weights,
    split: i64,
    runs: usize,
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    if let [flag, way, file, split, runs] = args.as_slice()
        && flag == "--one"
    {
        let (split, runs) = (split.parse().expect("seconds"), runs.parse().expect("runs"));
        return one(way, Path::new(file), split, runs);
    }
    let place = tempfile::tempdir().expect("a temporary folder");
    let folder = args.iter().find(|arg| !arg.starts_with("--"));
    let mut logs = match folder {
        Some(folder) => given(Path::new(folder)),
        None => made(place.path()),
    };
    logs.sort_by_key(|log| log.reviews);
    println!(
        "reviews  learners  way                    excess, 1e-4   cpu ms  wall ms  bytes/review  on the heap"
    );
    for same_size in logs.chunk_by(|a, b| a.reviews == b.reviews) {
        for way in WAYS {
            row(way, same_size);
        }
    }
}

fn row(way: &str, logs: &[Log]) {
    let (mut excess, mut cpu, mut wall) = (vec![], vec![], vec![]);
    let (mut bytes, mut heap) = (0.0_f64, 0.0_f64);
    for log in logs {
        let found = run(way, log);
        let number = |name: &str| found[name].as_f64().expect("a number");
        let weights: Vec<f64> = serde_json::from_value(found["weights"].clone()).expect("21");
        let weights = Weights::from_slice(&weights).expect("within bounds");
        let histories = Histories::new(&read(&log.file));
        let held_out =
            |weights| score::log_loss(&histories, weights, Some(log.split), None).log_loss;
        excess.push((held_out(&weights) - held_out(&log.truth)) * 1e4);
        cpu.push(number("cpu_ms"));
        wall.push(number("wall_ms"));
        bytes = bytes.max(number("bytes") / units::count(log.reviews));
        heap = heap.max(number("heap") / units::count(log.reviews));
    }
    let n = units::count(excess.len());
    let mean = excess.iter().sum::<f64>() / n;
    let squares: f64 = excess.iter().map(|e| (e - mean) * (e - mean)).sum();
    let error = (squares / (n - 1.0).max(1.0) / n).sqrt();
    println!(
        "{:>7}  {:>8}  {way:<21} {mean:>8.2} ± {error:<5.2} {:>7.2}  {:>7.2}  {bytes:>12.0}  {heap:>11.0}",
        logs[0].reviews,
        logs.len(),
        median(cpu),
        median(wall),
    );
}

fn median(mut numbers: Vec<f64>) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers[numbers.len() / 2]
}

fn run(way: &str, log: &Log) -> Value {
    let out = Command::new(std::env::current_exe().expect("this program"))
        .args(["--one", way])
        .arg(&log.file)
        .args([log.split.to_string(), log.runs.to_string()])
        .output()
        .expect("started");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).expect("one JSON object")
}

/// Fits one log in a process of its own and prints what came of it.
fn one(way: &str, file: &Path, split: i64, runs: usize) {
    let (before, heap_before) = (memory("VmRSS:"), HEAP.current_usage());
    let reviews = read(file);
    let (mut cpu, mut wall) = (Vec::new(), Vec::new());
    let (mut highest, mut heap) = (0.0, 0);
    let mut weights = Weights::published();
    let ours = way == WAYS[0];
    // What reading needed on the way is no part of it; what was read is.
    HEAP.reset_peak_usage();
    let histories = ours.then(|| Histories::new(&reviews));
    let (items, ids) = if ours {
        (vec![], vec![])
    } else {
        items(&reviews, split)
    };
    drop(reviews);
    for round in 0..=runs {
        // The first fit is for memory alone; only it may use the items up.
        let mut train_set = items.clone();
        let card_ids = (way == WAYS[1]).then(|| ids.clone());
        let (start, cpu_start) = (Instant::now(), cpu_time());
        if let Some(histories) = &histories {
            let fit = search::fit_on(THREADS, histories, Some(split), &Prior::published());
            weights = fit.map_or_else(|_| Weights::published(), |fit| fit.weights);
        } else {
            weights = theirs(std::mem::take(&mut train_set), card_ids);
        }
        let spent = (cpu_time().saturating_sub(cpu_start), start.elapsed());
        if round == 0 {
            highest = memory("VmHWM:") - before;
            heap = HEAP.peak_usage().saturating_sub(heap_before);
        } else {
            cpu.push(spent.0.as_secs_f64() * 1e3);
            wall.push(spent.1.as_secs_f64() * 1e3);
        }
    }
    let found = json!({
        "weights": weights.get(), "cpu_ms": median(cpu), "wall_ms": median(wall), "bytes": highest,
        "heap": heap,
    });
    println!("{found}");
}

/// Returns a line of what the system says of this process's memory, in bytes; 0 where it does not.
fn memory(name: &str) -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with(name));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) * 1024.0
}

fn theirs(train_set: Vec<fsrs::FSRSItem>, card_ids: Option<Vec<i64>>) -> Weights {
    let input = fsrs::ComputeParametersInput {
        train_set,
        card_ids,
        ..Default::default()
    };
    // Where it has too little it says so, and its published parameters stand.
    let Ok(found) = fsrs::compute_parameters(input) else {
        return Weights::published();
    };
    let inside = |(p, (low, high)): (&f32, (f64, f64))| f64::from(*p).clamp(low, high);
    let p: Vec<f64> = found.iter().zip(BOUNDS).map(inside).collect();
    Weights::from_slice(&p).expect("held within the bounds")
}

/// Returns the library's items: each scored review with all before it of its card.
fn items(reviews: &[Review], split: i64) -> (Vec<fsrs::FSRSItem>, Vec<i64>) {
    let mut cards: HashMap<u32, (i32, Vec<fsrs::FSRSReview>)> = HashMap::new();
    let (mut items, mut ids) = (Vec::new(), Vec::new());
    for review in reviews.iter().filter(|review| review.at < split) {
        let (day, history) = cards.entry(review.card).or_insert((review.day, Vec::new()));
        let gap = (review.day - *day).unsigned_abs();
        *day = review.day;
        history.push(fsrs::FSRSReview {
            rating: u32::from(review.grade.number()),
            delta_t: gap,
        });
        if 0 < gap {
            ids.push(i64::from(review.card));
            items.push(fsrs::FSRSItem {
                reviews: history.clone(),
            });
        }
    }
    (items, ids)
}

fn read(file: &Path) -> Vec<Review> {
    let file = std::fs::File::open(file).expect("the log is there");
    review_log::read(&mut BufReader::new(file)).expect("a good log")
}

/// Makes logs of drawn learners.
fn made(folder: &Path) -> Vec<Log> {
    let mut logs = Vec::new();
    for (reviews, learners, runs) in SIZES {
        for seed in 0..learners {
            let truth = learners::truth(seed);
            let log = learners::log(&truth, reviews, 1000 + seed);
            let file = folder.join(format!("{reviews}-{seed}.jsonl"));
            let mut out = std::io::BufWriter::new(std::fs::File::create(&file).expect("made"));
            for review in &log {
                let Review {
                    card, at, grade, ..
                } = review;
                let line = json!({ "card": card, "t": at, "grade": grade.number() });
                writeln!(out, "{line}").expect("written");
            }
            out.flush().expect("written");
            logs.push(Log {
                file,
                reviews,
                truth,
                split: log[reviews * 4 / 5].at,
                runs,
            });
        }
    }
    logs
}

/// Finds the logs of a folder.
fn given(folder: &Path) -> Vec<Log> {
    let text = std::fs::read_to_string(folder.join("truth.json")).expect("truth.json is there");
    let truths: HashMap<String, Value> = serde_json::from_str(&text).expect("JSON");
    let mut logs: Vec<Log> = truths
        .into_iter()
        .map(|(name, about)| {
            let truth: Vec<f64> = serde_json::from_value(about["truth"].clone()).expect("21");
            let file = folder.join(name);
            Log {
                reviews: read(&file).len(),
                file,
                truth: Weights::from_slice(&truth).expect("within bounds"),
                split: about["split_t"].as_i64().expect("seconds"),
                runs: 3,
            }
        })
        .collect();
    logs.sort_by(|a, b| a.file.cmp(&b.file));
    logs
}
