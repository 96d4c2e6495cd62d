//! Fits the weights of `src/domain/judge/danger/harm/evidence.tsv` to the typed answers in sight, writes the words
//! of the safe ones beside it (`known.txt`), and says how well
//! they tell what is unsafe in the answers of an author who was left out.

#![expect(
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a tool of the project: it reads and writes the project's files and says what it found"
)]

mod logistic;
mod rows;
mod table;

use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

use benchlore::domain::judge::danger::harm::evidence;
use logistic::Row;

/// `weigh-answers` prints how well it tells; `weigh-answers --into FOLDER` writes the tables.
fn main() {
    let project = Path::new(env!("CARGO_MANIFEST_DIR"));
    let rows = rows::rows(project);
    let mut arguments = std::env::args().skip(1);
    match (
        arguments.next().as_deref(),
        arguments.next().map(PathBuf::from),
    ) {
        (Some("--into"), Some(folder)) => {
            let all: Vec<&Row> = rows.iter().map(|(_, row)| row).collect();
            for (name, text) in table::files(&all) {
                std::fs::write(folder.join(name), text).expect("the table is written");
            }
        }
        (None, _) => left_out(&rows),
        _ => eprintln!("weigh-answers [--into FOLDER]"),
    }
}

/// Fits without one author after another and weighs theirs.
fn left_out(rows: &[(String, Row)]) {
    let authors: BTreeSet<&str> = rows.iter().map(|(by, _)| by.as_str()).collect();
    let mut odds: Vec<(f64, bool)> = Vec::new();
    for author in authors {
        let others: Vec<&Row> = rows
            .iter()
            .filter(|(by, _)| by != author)
            .map(|(_, row)| row)
            .collect();
        let weights = logistic::fitted(&others, evidence::ALWAYS);
        let theirs = rows
            .iter()
            .filter(|(by, _)| by == author)
            .map(|(_, (sentences, harms))| {
                let sum = |traits: &BTreeSet<String>| -> f64 {
                    traits.iter().filter_map(|what| weights.get(what)).sum()
                };
                let worst = sentences.iter().map(sum).max_by(f64::total_cmp);
                (worst.unwrap_or(0.0) + weights[evidence::ALWAYS], *harms)
            });
        let theirs: Vec<(f64, bool)> = theirs.collect();
        said(author, &theirs);
        odds.extend(theirs);
    }
    said("all", &odds);
}

#[expect(
    clippy::cast_precision_loss,
    reason = "counts of some thousand answers"
)]
fn said(who: &str, odds: &[(f64, bool)]) {
    let of = |harms: bool| {
        odds.iter()
            .filter(move |(_, h)| *h == harms)
            .map(|(o, _)| *o)
    };
    let (harming, safe) = (of(true).count(), of(false).count());
    let above = |least: f64| {
        (
            of(true).filter(|o| least < *o).count(),
            of(false).filter(|o| least < *o).count(),
        )
    };
    let ranked: usize = of(true).map(|h| of(false).filter(|s| *s < h).count()).sum();
    let area = ranked as f64 / (harming * safe).max(1) as f64;
    let (doubted, told) = (above(evidence::DOUBTED), above(evidence::TOLD));
    println!(
        "{who}: {harming} unsafe, {safe} safe; area under the curve {area:.3}; doubted {} and {}, told {} and {}",
        doubted.0, doubted.1, told.0, told.1
    );
}
