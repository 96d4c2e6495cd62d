//! How long does a search over a large archive take?
//!
//! 100,000 jobs: those of the practice shop again and again, with numbers of their own, so that
//! readings and entered words differ from job to job. Printed: time to index them, and per query
//! the median and the longest of 40. Run by `cargo bench --bench search`.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a bench reads the clock")]

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;

use benchlore::app::workbench::Workbench;
use benchlore::domain::job::Job;
use benchlore::domain::search::index::Index;
use benchlore::domain::search::index::Query;
use benchlore::domain::units;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;

const JOBS: usize = 100_000;
const RUNS: usize = 40;

fn main() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let workbench = Workbench::open(
        Arc::new(RealDisk),
        ShopFolder::new(&folder),
        "t1".to_owned(),
    )
    .expect("the practice shop opens");
    let archive = workbench.archive().expect("its jobs can be read");
    let jobs = many(&archive.jobs);

    let start = Instant::now();
    let index = Index::new(&jobs, &workbench.boards, &workbench.words);
    println!(
        "index of {} jobs: {:.2} s",
        index.len(),
        start.elapsed().as_secs_f64()
    );

    for words in [
        "U31",
        "replace U31",
        "no power",
        "3V3_SB low",
        "draw cycling 61-118 mA, 3V3_SB low, residue",
        "210 ohm",
        "",
    ] {
        for board in [None, Some("petrel-p4".to_owned())] {
            let query = Query {
                words: words.to_owned(),
                board: board.clone(),
                ..Query::default()
            };
            let mut times: Vec<Duration> = (0..RUNS)
                .map(|_| {
                    let start = Instant::now();
                    let hits = index.find(&query, 20);
                    assert!(!hits.is_empty(), "{words:?} finds something");
                    start.elapsed()
                })
                .collect();
            times.sort();
            println!(
                "{words:?} on {}: median {:.2} ms, longest {:.2} ms",
                board.as_deref().unwrap_or("all boards"),
                times[RUNS / 2].as_secs_f64() * 1e3,
                times[RUNS - 1].as_secs_f64() * 1e3,
            );
        }
    }
}

/// Returns [`JOBS`] jobs like `few`, each reading off by up to 10 %.
fn many(few: &[Job]) -> Vec<Job> {
    let mut chance = ChaCha12Rng::seed_from_u64(1);
    (0..JOBS)
        .map(|n| {
            let mut job = few[n % few.len()].clone();
            job.job = format!("W-{n:06}");
            for finding in &mut job.findings {
                let off = 1.0 + 0.1 * (2.0 * chance.random::<f64>() - 1.0);
                for number in [&mut finding.got, &mut finding.low, &mut finding.high] {
                    *number = number.map(|v| v * off);
                }
                finding.raw = finding
                    .raw
                    .take()
                    .map(|raw| format!("{raw}, sheet line {n}"));
            }
            job.proof = job
                .proof
                .take()
                .map(|proof| format!("{proof} after {} minutes", units::count(n % 97)));
            job
        })
        .collect()
}
