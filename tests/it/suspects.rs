//! The ranking and the patterns of 300 jobs, asked about jobs they never saw.
//!
//! Archive: tests/data/printer-jobs, with its source. The figures asserted are ours, measured; they
//! keep what was reached from slipping.

use benchlore::domain::generate::coded::tier::Tier;
use benchlore::domain::generate::weigh::pattern;
use benchlore::domain::generate::weigh::shelf;
use benchlore::domain::generate::weigh::shelf::Case;
use benchlore::domain::job::Job;
use benchlore::domain::suspects::model::Model;
use benchlore::domain::suspects::of_shelf;

use crate::held_out::Trial;
use crate::printer_jobs;

const TRAIN: &str = include_str!("../data/printer-jobs/train.jobs.jsonl");
const TEST: &str = include_str!("../data/printer-jobs/test.jobs.jsonl");

/// Jobs learned from.
const LEARNED: usize = 300;

struct Archive {
    jobs: Vec<Job>,
}

impl Archive {
    fn read() -> Self {
        let mut jobs = printer_jobs::jobs(TRAIN);
        jobs.truncate(LEARNED);
        jobs.extend(printer_jobs::jobs(TEST));
        Self { jobs }
    }

    /// Returns the trial, the jobs learned from, and those asked about.
    fn trial(&self) -> (Trial, Vec<usize>, Vec<usize>) {
        let case = |job| shelf::case(job, None, Tier::A, false).expect("every job has a fix");
        let cases: Vec<Case<'_>> = self.jobs.iter().map(case).collect();
        let trial = Trial::new(&cases, None);
        let asked = (LEARNED..cases.len()).collect();
        (trial, (0..LEARNED).collect(), asked)
    }
}

/// Measured: log loss 1.905, first choice .446, first three .696, calibration error .032; the goals
/// set beforehand were 1.93, within .01 of the best peer (.444), and .05.
#[test]
fn three_hundred_jobs_rank_the_suspects_of_a_thousand_others() {
    let archive = Archive::read();
    let (trial, learned, asked) = archive.trial();
    let model = Model::fit(&trial.coded(&learned));
    let seen = trial.measure(&asked, |job| {
        model.posterior(&of_shelf::values(&trial.table, job))
    });
    assert_eq!(seen.jobs(), 1000);
    assert!(seen.log_loss() <= 1.915, "{:.3}", seen.log_loss());
    assert!(seen.first_choice() >= 0.44, "{:.3}", seen.first_choice());
    assert!(seen.first_three() >= 0.69, "{:.3}", seen.first_three());
    let error = seen.calibration_error();
    assert!(error <= 0.05, "{error:.3}");
}

/// Measured by number of findings 3, 4, 5: .238, .250, .258, and .252 by 3.35 findings with the stop.
/// The means of five such subsamples (`cargo bench --bench patterns`) are .241, .252, .260.
#[test]
fn patterns_of_three_hundred_jobs_remove_a_quarter_of_the_loss() {
    let archive = Archive::read();
    let (trial, learned, asked) = archive.trial();
    for (most, floor) in [(3, 0.235), (4, 0.247), (5, 0.255)] {
        let patterns = trial.patterns(&learned, most, f64::NEG_INFINITY, false);
        let share = trial.share_removed(&patterns, &asked);
        assert!(share >= floor, "{most} findings remove {share:.3}");
    }
    let patterns = trial.patterns(&learned, pattern::MOST, pattern::WORTH, true);
    let share = trial.share_removed(&patterns, &asked);
    assert!(share >= 0.245, "as the cards show them: {share:.3}");
    let findings = patterns.findings();
    assert!((2.5..=4.3).contains(&findings), "{findings:.2} findings");
    // Ranked by patterns alone: measured 2.043 nats and .44; by their frequency alone 2.803 and .23.
    let seen = trial.measure(&asked, |job| trial.chances(&patterns, job));
    assert!(seen.log_loss() <= 2.06, "{:.3}", seen.log_loss());
    assert!(seen.first_choice() >= 0.42, "{:.3}", seen.first_choice());
}
