//! `fit --log`: the memory model fitted to a bare list of reviews.

use std::io::Write;

use serde::Serialize;

use crate::app::fit_log;
use crate::app::fit_log::FittedLog;
use crate::app::workbench::chain;
use crate::cli::environment;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::fit::score::Score;
use crate::domain::memory::Weights;

#[derive(Serialize)]
struct FittedLine<'a> {
    v: u32,
    weights: &'a [f64],
    scored: usize,
    log_loss: f64,
    cpu_ms: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    fallback: Option<String>,
}

/// Fits the reviews in `file` from before `before` and prints.
pub(crate) fn run(
    file: &str,
    before: Option<i64>,
    json: bool,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let histories = fit_log::read(&mut *environment::open_text(file)?)
        .map_err(|error| Failure::failed(format!("{file}: {}", chain(&error))))?;
    let start = environment::cpu_time();
    let fitted = fit_log::fit(&histories, before);
    let spent = environment::cpu_time().saturating_sub(start);
    let cpu_ms = spent.as_secs_f64() * 1e3;
    if json {
        let line = FittedLine {
            v: 1,
            weights: fitted.weights.get(),
            scored: fitted.score.scored,
            log_loss: fitted.score.log_loss,
            cpu_ms,
            fallback: fitted.fallback.map(|why| why.to_string()),
        };
        output::typed_line(out, &line)?;
    } else {
        let published = fit_log::published(&histories, before);
        print(&fitted, &published, cpu_ms, out)?;
    }
    Ok(Exit::Done)
}

fn print(
    fitted: &FittedLog,
    published: &Score,
    cpu_ms: f64,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    match &fitted.fallback {
        Some(why) => writeln!(
            out,
            "Nothing was fitted: {why}. The published parameters stand."
        )?,
        None => writeln!(
            out,
            "Fitted to {} scored reviews in {cpu_ms:.1} ms of processor time.\n\
             Mean log loss {:.5}; with the published parameters {:.5}.",
            fitted.score.scored, fitted.score.log_loss, published.log_loss
        )?,
    }
    parameters(&fitted.weights, out)
}

/// Prints the 21 parameters, seven a line.
pub(crate) fn parameters(weights: &Weights, out: &mut dyn Write) -> Result<(), Failure> {
    for (row, weights) in weights.get().chunks(7).enumerate() {
        let numbers: Vec<String> = weights.iter().map(|p| format!("{p:>9.4}")).collect();
        writeln!(out, "p{:<3}{}", row * 7, numbers.join(""))?;
    }
    Ok(())
}
