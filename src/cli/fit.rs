//! `fit`: the memory model's 21 parameters, fitted to reviews.

use std::io::Write;

use serde::Serialize;

use crate::app::fit_log;
use crate::app::fit_log::FittedLog;
use crate::cli::environment;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;

/// Fit the memory model to a list of reviews
///
/// Reads one JSON object a line: {"card":1,"t":1775115065,"grade":3}. The card is a whole number or a
/// text, t is seconds since 1970, the grade is 1 to 4 or missed, hunted, named, on-sight. Days are UTC
/// days. Reviews on the day of the one before move memory and are not scored.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
pub struct FitArgs {
    /// File of reviews, one JSON object a line; - reads standard input
    #[arg(long, value_name = "FILE")]
    pub log: String,
    /// Look at the reviews before this moment only, in seconds since 1970
    #[arg(long, value_name = "UNIX_SECONDS", allow_negative_numbers = true)]
    pub before: Option<i64>,
    /// Print JSON: weights, scored, log_loss, cpu_ms, and fallback when nothing could be fitted
    #[arg(long)]
    pub json: bool,
}

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

/// Fits and prints.
pub fn run(args: &FitArgs, out: &mut dyn Write) -> Result<Exit, Failure> {
    let text = environment::read_text(&args.log)?;
    let histories =
        fit_log::read(&text).map_err(|error| Failure::failed(format!("{}: {error}", args.log)))?;
    drop(text);
    let start = environment::cpu_time();
    let fitted = fit_log::fit(&histories, args.before);
    let spent = environment::cpu_time().saturating_sub(start);
    let cpu_ms = spent.as_secs_f64() * 1e3;
    if args.json {
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
        print(&fitted, cpu_ms, out)?;
    }
    Ok(Exit::Done)
}

fn print(fitted: &FittedLog, cpu_ms: f64, out: &mut dyn Write) -> Result<(), Failure> {
    match &fitted.fallback {
        Some(why) => writeln!(
            out,
            "Nothing was fitted: {why}. The published parameters stand."
        )?,
        None => writeln!(
            out,
            "Fitted to {} scored reviews in {cpu_ms:.1} ms of processor time.\n\
             Mean log loss {:.5}; with the published parameters {:.5}.",
            fitted.score.scored, fitted.score.log_loss, fitted.published.log_loss
        )?,
    }
    for (row, weights) in fitted.weights.get().chunks(7).enumerate() {
        let numbers: Vec<String> = weights.iter().map(|p| format!("{p:>9.4}")).collect();
        writeln!(out, "p{:<3}{}", row * 7, numbers.join(""))?;
    }
    Ok(())
}
