//! How long does listing 100,000 jobs take, from the files and from the index?
//!
//! The practice archive, repeated under new numbers until there are 100,000 jobs. Timed in turn:
//! reading and settling the files (`rebuild`), the same with the index written (`load`, cold), and
//! rows from a fresh index (`load`, warm). Printed: medians, and the ratio of files to index.
//! Run by `cargo bench --bench archive`.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(
    clippy::disallowed_methods,
    reason = "a bench reads the clock and makes files"
)]

use std::hint::black_box;
use std::path::Path;
use std::time::Duration;
use std::time::Instant;
use std::time::SystemTime;

use benchlore::store::disk::RealDisk;
use benchlore::store::job_index;
use benchlore::store::job_index::Rows;
use benchlore::store::paths::ShopFolder;
use benchlore::store::shop;
use serde_json::Value;

const JOBS: usize = 100_000;
const COLD: usize = 5;
const WARM: usize = 31;

fn archive() -> String {
    let seeds: Vec<Value> = include_str!("../demo-data/jobs/practice.jsonl")
        .lines()
        .map(|line| serde_json::from_str(line).expect("a job"))
        .collect();
    let mut text = String::new();
    for n in 0..JOBS {
        let (round, at) = (n / seeds.len(), n % seeds.len());
        let mut job = seeds[at].clone();
        for field in ["id", "job", "unit", "follows", "corrects"] {
            if let Some(value) = job[field].as_str().map(|v| format!("{v}-{round}")) {
                job[field] = Value::String(value);
            }
        }
        text.push_str(&job.to_string());
        text.push('\n');
    }
    text
}

fn put(path: &Path, text: &str) {
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder is made");
    std::fs::write(path, text).expect("the file is written");
    // Older than the index by more than two seconds, as the files of a shop are on any day.
    let file = std::fs::File::options().write(true).open(path);
    file.and_then(|f| f.set_modified(SystemTime::now() - Duration::from_secs(3600)))
        .expect("the time is set");
}

fn median(mut times: Vec<Duration>) -> f64 {
    times.sort();
    times[times.len() / 2].as_secs_f64() * 1000.0
}

fn timed(n: usize, mut work: impl FnMut() -> Rows, from_index: bool) -> Vec<Duration> {
    (0..n)
        .map(|_| {
            let start = Instant::now();
            let rows = black_box(work());
            let took = start.elapsed();
            assert!(rows.rows.len() > JOBS * 9 / 10, "{} rows", rows.rows.len());
            assert_eq!(rows.from_index, from_index);
            took
        })
        .collect()
}

fn main() {
    let place = tempfile::tempdir().expect("a temporary folder");
    let folder = ShopFolder::new(place.path());
    let text = archive();
    put(&folder.shop_json(), include_str!("../demo-data/shop.json"));
    put(&folder.jobs().join("all.jsonl"), &text);
    let (record, _) = shop::load_shop(&RealDisk, &folder).expect("a shop");
    let circuits = record.shop.circuits();
    let index = job_index::path(&folder);
    let files = timed(
        COLD,
        || job_index::rebuild(&RealDisk, &folder, &record.shop, &circuits).expect("rows"),
        false,
    );
    let cold = timed(
        COLD,
        || {
            drop(std::fs::remove_file(&index));
            job_index::load(&RealDisk, &folder, &record.shop, &circuits).expect("rows")
        },
        false,
    );
    let warm = timed(
        WARM,
        || job_index::load(&RealDisk, &folder, &record.shop, &circuits).expect("rows"),
        true,
    );
    let worst = warm.iter().max().map_or(0.0, |d| d.as_secs_f64() * 1000.0);
    let (files, cold, warm) = (median(files), median(cold), median(warm));
    let size = std::fs::metadata(&index).map_or(0, |m| m.len());
    println!(
        "{JOBS} jobs, {} bytes of lines, {size} bytes of index",
        text.len()
    );
    println!("from the files            {files:8.1} ms");
    println!("from the files, and kept  {cold:8.1} ms");
    println!("from the index            {warm:8.1} ms (worst of {WARM}: {worst:.1})");
    println!("ratio                     {:8.1}", files / warm);
}
