//! `fit --log`: parameters from a bare log, beside the truth they were drawn from.
//!
//! The logs and their truths are described in `tests/data/review-logs`; the other fit is that of the
//! crate `fsrs` 6.6.2, which is called here directly.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;

use benchlore::domain::fit::histories::Histories;
use benchlore::domain::fit::histories::Review;
use benchlore::domain::fit::prior::Prior;
use benchlore::domain::fit::score;
use benchlore::domain::fit::search;
use benchlore::domain::memory::BOUNDS;
use benchlore::domain::memory::Weights;
use benchlore::store::review_log;
use serde_json::Value;

use crate::common::Bench;
use crate::common::text;

/// Log, end of what a fit sees, and the truth's loss after it with its number of outcomes.
const LOGS: [(&str, i64, f64, usize); 2] = [
    ("steady", 1_710_318_198, 0.434_288_658_608_449, 305),
    ("quick-to-forget", 1_710_494_035, 0.514_275_440_312_046, 295),
];

fn path(log: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/review-logs");
    folder.join(format!("{log}.jsonl")).display().to_string()
}

fn reviews(log: &str) -> Vec<Review> {
    let text = std::fs::read_to_string(path(log)).expect("the log is there");
    review_log::read(&mut text.as_bytes()).expect("a good log")
}

/// Returns the reference library's parameters for the reviews before `until`.
fn theirs(reviews: &[Review], until: i64) -> Weights {
    let mut cards: HashMap<u32, (i32, Vec<fsrs::FSRSReview>)> = HashMap::new();
    let mut train_set = Vec::new();
    for review in reviews.iter().filter(|review| review.at < until) {
        let (day, history) = cards.entry(review.card).or_insert((review.day, Vec::new()));
        let gap = (review.day - *day).unsigned_abs();
        *day = review.day;
        history.push(fsrs::FSRSReview {
            rating: u32::from(review.grade.number()),
            delta_t: gap,
        });
        if 0 < gap {
            train_set.push(fsrs::FSRSItem {
                reviews: history.clone(),
            });
        }
    }
    let found = fsrs::compute_parameters(fsrs::ComputeParametersInput {
        train_set,
        ..Default::default()
    })
    .expect("enough reviews");
    let inside = |(p, (low, high)): (&f32, (f64, f64))| f64::from(*p).clamp(low, high);
    let p: Vec<f64> = found.iter().zip(BOUNDS).map(inside).collect();
    Weights::from_slice(&p).expect("held within the bounds")
}

#[test]
fn a_fit_foretells_what_it_has_not_seen_better_than_the_reference_library_does() {
    let (mut own, mut library, mut published) = (0.0, 0.0, 0.0);
    for (log, until, truth, outcomes) in LOGS {
        let reviews = reviews(log);
        let histories = Histories::new(&reviews);
        let excess = |weights: &Weights| {
            let score = score::log_loss(&histories, weights, Some(until), None);
            assert_eq!(score.scored, outcomes, "{log}");
            score.log_loss - truth
        };
        if log == "steady" {
            // Its truth is the published set: the number of its README comes out.
            let own = excess(&Weights::published());
            assert!(own.abs() < 1e-12, "{own}");
        }
        let fit = search::fit(&histories, Some(until), &Prior::published()).expect("enough");
        assert!(fit.evaluations < 20, "{}", fit.evaluations);
        own += excess(&fit.weights);
        library += excess(&theirs(&reviews, until));
        published += excess(&Weights::published());
    }
    assert!(own < library, "{own} {library}");
    assert!(own < published, "{own} {published}");
}

#[test]
fn a_log_is_fitted_and_printed_and_later_reviews_are_not_looked_at() {
    let bench = Bench::empty();
    let (log, until, ..) = LOGS[1];
    let all = path(log);
    let before = until.to_string();
    let run = |file: &str, more: &[&str]| -> Value {
        let out = bench.run(&[&["fit", "--json", "--log", file], more].concat());
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        serde_json::from_str(&text(&out.stdout)).expect("one JSON object")
    };
    let cut = run(&all, &["--before", &before]);
    assert_eq!(cut["weights"].as_array().map(Vec::len), Some(21));
    assert_eq!(cut["scored"], 999);
    assert!(cut["log_loss"].as_f64().is_some_and(|loss| loss < 0.4935));
    assert!(cut["cpu_ms"].as_f64().is_some_and(|ms| 0.0 < ms));
    let lines = std::fs::read_to_string(&all).expect("the log is there");
    let early: Vec<&str> = lines
        .lines()
        .filter(|line| {
            let review: Value = serde_json::from_str(line).expect("JSON");
            review["t"].as_i64().is_some_and(|t| t < until)
        })
        .collect();
    bench.put("early.jsonl", &(early.join("\n") + "\n"));
    let file = bench.shop().join("early.jsonl");
    assert_eq!(
        run(&file.display().to_string(), &[])["weights"],
        cut["weights"]
    );
    let said = bench.run(&["fit", "--log", &all]);
    assert!(
        text(&said.stdout).contains("1294 scored reviews"),
        "{}",
        text(&said.stdout)
    );
}

#[test]
fn what_cannot_be_fitted_leaves_the_published_parameters_and_says_why() {
    let bench = Bench::empty();
    let mut log = String::new();
    for card in 0..100 {
        for t in [0, 300_000] {
            writeln!(log, "{{\"card\":{card},\"t\":{t},\"grade\":3}}").expect("into a text");
        }
    }
    let first = "{\"card\":\"a\",\"t\":5,\"grade\":\"named\"}\n";
    let published = serde_json::json!(Weights::published().get());
    for (input, why) in [
        (log.as_str(), "all 100 scored reviews were recalled"),
        (
            first,
            "none of 1 reviews came a day or more after the one before it, outside a brief",
        ),
        ("", "there is no review"),
    ] {
        let out = bench.run_with(&["fit", "--log", "-", "--json"], input);
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        let line: Value = serde_json::from_str(&text(&out.stdout)).expect("one JSON object");
        assert_eq!(line["fallback"], why);
        assert_eq!(line["weights"], published);
    }
    let bad = bench.run_with(&["fit", "--log", "-"], &format!("{first}{{\"card\":1}}\n"));
    assert_eq!(bad.status.code(), Some(1));
    let said = text(&bad.stderr);
    assert!(said.contains("-: line 2, field t: missing"), "{said}");
    let none = bench.run(&["fit", "--log", "no-such-file.jsonl"]);
    assert_eq!(none.status.code(), Some(1));
}
