//! How well do patterns alone identify the fix of jobs they never saw?
//!
//! Printed beside: the ranking by all findings, naive Bayes with half a job added to every count, and
//! (printing archive only) the exact posterior, which nothing can beat. The printing archive is
//! learned from 100, 300, 1,000 and 5,000 jobs (tests/data/printer-jobs, with its source) and asked
//! 1,000 others; up to 1,000 jobs the figures are means of five subsamples that share no job. Of the
//! practice archive every fifth job, by a mark of its day and number, is held out; per board.
//! `tests/it/held_out.rs` says how patterns rank. Run by `cargo bench --bench patterns`.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints what it measured, and reads the clock and its files itself"
)]

#[path = "../tests/it/held_out.rs"]
mod held_out;
#[path = "../tests/it/printer_jobs.rs"]
mod printer_jobs;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use benchlore::app::workbench::Workbench;
use benchlore::domain::generate::coded::tier;
use benchlore::domain::generate::coded::tier::History;
use benchlore::domain::generate::coded::tier::Tier;
use benchlore::domain::generate::weigh::pattern;
use benchlore::domain::generate::weigh::shelf;
use benchlore::domain::generate::weigh::shelf::Case;
use benchlore::domain::ids;
use benchlore::domain::job::Job;
use benchlore::domain::suspects::coded;
use benchlore::domain::suspects::coded::Coded;
use benchlore::domain::suspects::counts::Counts;
use benchlore::domain::suspects::model::Model;
use benchlore::domain::suspects::of_shelf;
use benchlore::domain::suspects::yardstick::Yardstick;
use benchlore::domain::units::count;
use benchlore::store::disk::RealDisk;
use benchlore::store::paths::ShopFolder;
use held_out::Trial;

const TRAIN: &str = include_str!("../tests/data/printer-jobs/train.jobs.jsonl");
const MORE: &str = include_str!("../tests/data/printer-jobs/train-more.jobs.jsonl");
const TEST: &str = include_str!("../tests/data/printer-jobs/test.jobs.jsonl");
const EXACT: &str = include_str!("../tests/data/printer-jobs/test.posterior.csv");

/// Jobs learned from, and subsamples of that size.
const SIZES: [(usize, usize); 4] = [(100, 5), (300, 5), (1000, 5), (5000, 1)];
/// Subsamples begin this many jobs apart.
const APART: usize = 1000;

/// Log loss, first choice, first three, calibration error.
type Figures = [f64; 4];

/// Figures by way of ranking, summed over subsamples.
#[derive(Default)]
struct Sheet {
    rows: Vec<(&'static str, Vec<Figures>)>,
}

impl Sheet {
    fn add(&mut self, way: &'static str, seen: &Yardstick) {
        let figures = [
            seen.log_loss(),
            seen.first_choice(),
            seen.first_three(),
            seen.calibration_error(),
        ];
        match self.rows.iter_mut().find(|(name, _)| *name == way) {
            Some((_, all)) => all.push(figures),
            None => self.rows.push((way, vec![figures])),
        }
    }

    fn print(&self) {
        println!("  {:44} log loss  first  first 3  calibration", "");
        for (way, all) in &self.rows {
            let mean = |at: usize| all.iter().map(|f| f[at]).sum::<f64>() / count(all.len());
            print!(
                "  {way:44} {:8.3}  {:5.3}  {:7.3}  {:11.3}",
                mean(0),
                mean(1),
                mean(2),
                mean(3)
            );
            match all.len() {
                1 => println!(),
                _ => println!("   (the first subsample: {:.3})", all[0][0]),
            }
        }
    }
}

fn main() {
    printer();
    practice();
}

fn printer() {
    let mut jobs = printer_jobs::jobs(TRAIN);
    jobs.extend(printer_jobs::jobs(MORE));
    let train = jobs.len();
    jobs.extend(printer_jobs::jobs(TEST));
    let cases = jobs.iter().map(|j| shelf::case(j, None, Tier::A, false));
    let cases: Vec<Case<'_>> = cases.flatten().collect();
    let trial = Trial::new(&cases, None);
    let asked: Vec<usize> = (train..jobs.len()).collect();
    let exact = exact(&trial, &jobs);
    for (size, subsamples) in SIZES {
        let samples = (0..subsamples).map(|k| (APART * k..APART * k + size).collect());
        let samples: Vec<Vec<usize>> = samples.collect();
        println!("printing archive, {size} jobs, {subsamples} subsamples, 1000 jobs asked");
        let mut sheet = Sheet::default();
        for learned in &samples {
            ways(&trial, learned, &asked, &mut sheet);
        }
        sheet.add(
            "exact posterior",
            &trial.measure(&asked, |job| exact[&job].clone()),
        );
        sheet.print();
        shares(&trial, &samples, &asked);
    }
}

/// Reads the exact posterior of the test jobs, in the order of the trial's fixes; the network knows
/// one cause that none of the 6,000 jobs had.
fn exact(trial: &Trial, jobs: &[Job]) -> BTreeMap<usize, Vec<f64>> {
    let mut lines = EXACT.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    let column = |part: &str| header.iter().position(|name| *name == part);
    let columns: Vec<usize> = trial
        .fixes
        .iter()
        .map(|fix| column(&fix.pairs()[0].1).expect("every cause has a column"))
        .collect();
    let number = |id: &str| jobs.iter().position(|j| j.id == id).expect("a test job");
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let chance = |at: &usize| cells[*at].parse().expect("a number");
            (number(cells[0]), columns.iter().map(chance).collect())
        })
        .collect()
}

/// Ranks the jobs asked about in every way.
fn ways(trial: &Trial, learned: &[usize], asked: &[usize], sheet: &mut Sheet) {
    let row = |job: usize| of_shelf::values(&trial.table, job);
    let archive = trial.coded(learned);
    let counts = Counts::of(&archive);
    let shares: Vec<f64> = (0..archive.causes())
        .map(|c| counts.prior(c, None))
        .collect();
    sheet.add(
        "share of the jobs alone",
        &trial.measure(asked, |_| shares.clone()),
    );
    for (way, masked) in [
        ("patterns alone, as the cards show them", true),
        ("patterns alone, nothing held back", false),
    ] {
        let patterns = trial.patterns(learned, pattern::MOST, pattern::WORTH, masked);
        sheet.add(
            way,
            &trial.measure(asked, |job| trial.chances(&patterns, job)),
        );
    }
    let seen = trial.measure(asked, |job| naive(&archive, &counts, &row(job)));
    sheet.add("naive Bayes, +1/2, all findings", &seen);
    let started = Instant::now();
    let model = Model::fit(&archive);
    let learning = started.elapsed().as_secs_f64();
    let seen = trial.measure(asked, |job| model.posterior(&row(job)));
    sheet.add("suspects, all findings", &seen);
    if learned.len() >= 1000 {
        println!("  the weights were learned in {learning:.2} s");
    }
}

/// Naive Bayes with half a job added to every count.
fn naive(archive: &Coded, counts: &Counts, values: &[u16]) -> Vec<f64> {
    let recorded = coded::recorded(values, archive.n_values());
    let score = |cause: usize| {
        let prior = count(counts.of_cause(cause)) + 0.5;
        let given = recorded.iter().map(|(f, v)| {
            let seen = counts.seen(*f, *v, cause);
            let values = count(archive.n_values()[*f]);
            ((count(seen.with) + 0.5) / (count(seen.of) + 0.5 * values)).ln()
        });
        prior.ln() + given.sum::<f64>()
    };
    let mut scores: Vec<f64> = (0..archive.causes()).map(score).collect();
    benchlore::domain::suspects::learn::softmax(&mut scores);
    scores
}

/// Prints the share of the prior-only loss that patterns remove, by number of findings.
fn shares(trial: &Trial, samples: &[Vec<usize>], asked: &[usize]) {
    for masked in [false, true] {
        let mean = |most: usize, worth: f64| {
            let removed = samples.iter().map(|learned| {
                let patterns = trial.patterns(learned, most, worth, masked);
                (trial.share_removed(&patterns, asked), patterns.findings())
            });
            let (share, findings) = removed.fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
            (
                share / count(samples.len()),
                findings / count(samples.len()),
            )
        };
        print!("  share of the prior-only loss removed");
        print!("{}", if masked { ", as the cards show:" } else { ":" });
        for k in 1..=pattern::MOST {
            print!(" {k}: {:.3}", mean(k, f64::NEG_INFINITY).0);
        }
        let (share, findings) = mean(pattern::MOST, pattern::WORTH);
        println!("; with the stop: {share:.3} by {findings:.2} findings");
    }
}

fn practice() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let disk = Arc::new(RealDisk);
    let workbench = Workbench::open(disk, ShopFolder::new(&folder), "b7".to_owned());
    let workbench = workbench.expect("the practice shop opens");
    let jobs = workbench.archive().expect("its jobs can be read").jobs;
    let all: Vec<&Job> = jobs.iter().collect();
    let history = History::of(&all);
    let as_of = "2026-11-20".parse().expect("a day");
    for board in &workbench.boards {
        let cases = jobs
            .iter()
            .filter(|j| j.board == board.id)
            .filter_map(|job| {
                let tier = tier::tier(job, history.held(job, as_of, 90), false);
                shelf::case(job, Some(board), tier, false)
            });
        let cases: Vec<Case<'_>> = cases.filter(|c| c.tier.counts()).collect();
        let out = |case: &Case<'_>| {
            let day = case.job.closed_on.to_string();
            ids::seed([day.as_str(), &case.job.job]) % 5 == 0
        };
        let (asked, learned): (Vec<usize>, Vec<usize>) =
            (0..cases.len()).partition(|at| out(&cases[*at]));
        let trial = Trial::new(&cases, Some(board));
        if trial.fixes.len() < 2 {
            println!("{}: nothing to tell apart", board.id);
            continue;
        }
        println!(
            "{}: {} jobs learned from, {} asked, {} fixes",
            board.id,
            learned.len(),
            asked.len(),
            trial.fixes.len()
        );
        let mut sheet = Sheet::default();
        ways(&trial, &learned, &asked, &mut sheet);
        sheet.print();
        shares(&trial, &[learned], &asked);
    }
}
