//! `trace`: reviews in, the memory model's numbers out.

use std::io::Write;
use std::path::PathBuf;

use crate::app::trace;
use crate::app::trace::Fault;
use crate::app::trace::Setup;
use crate::app::trace::SetupError;

/// Print what the memory model makes of a list of reviews
///
/// Reads one JSON object a line: {"card":"...","at":"2026-04-02T07:31:05Z","grade":"named"}. The grade is
/// missed, hunted, named or on-sight, or 1 to 4. Days are UTC days.
///
/// Prints one JSON object a review: card, at, grade, elapsed_days, recall_before (null at a card's
/// first), stability (days), difficulty (1 to 10), next_days_exact and next_days (whole, not spread). A
/// line that cannot be read is named and left out.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
pub struct TraceArgs {
    /// File of reviews, one JSON object a line; - reads standard input
    pub file: String,
    /// Take the 21 parameters from this file, a JSON array, instead of the published ones
    #[arg(long, value_name = "FILE")]
    pub weights: Option<PathBuf>,
    /// Forecast the day when recall falls to this chance, at least 0.01 and below 1
    #[arg(
        long,
        value_name = "CHANCE",
        default_value_t = 0.9,
        allow_negative_numbers = true
    )]
    pub target: f64,
}

/// Why `trace` stopped.
#[derive(Debug, thiserror::Error)]
pub enum TraceError {
    /// The weights or the target cannot be used.
    #[error(transparent)]
    Setup(#[from] SetupError),
    /// The output took no more.
    #[error("cannot write the trace")]
    Output(#[from] std::io::Error),
}

/// Writes the trace of `input` to `out` and returns what there is to mend.
pub fn run(
    args: &TraceArgs,
    input: &str,
    weights: Option<&str>,
    out: &mut dyn Write,
) -> Result<Vec<Fault>, TraceError> {
    let setup = Setup::new(weights, args.target)?;
    let (lines, faults) = trace::trace(&setup, input);
    for line in lines {
        writeln!(out, "{}", line.to_json())?;
    }
    out.flush()?;
    Ok(faults)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Parser)]
    struct Wrapped {
        #[command(flatten)]
        trace: TraceArgs,
    }

    #[test]
    fn one_line_comes_out_for_each_review_that_can_be_read() {
        let args = Wrapped::try_parse_from(["trace", "-", "--target", "0.8"])
            .unwrap()
            .trace;
        let input = "{\"card\":\"a\",\"at\":\"2026-04-02T08:00:00Z\",\"grade\":3}\nno\n";
        let mut out = Vec::new();
        let faults = run(&args, input, None, &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(text.lines().count(), 1);
        // The reference library's interval for 0.8 after a first grade 3 is 7.648 days.
        assert!(text.ends_with("\"next_days\":8}\n"), "{text}");
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].line, 2);
    }

    #[test]
    fn a_target_that_is_no_chance_is_refused() {
        let args = Wrapped::try_parse_from(["trace", "-", "--target", "1.5"])
            .unwrap()
            .trace;
        let refused = run(&args, "", None, &mut Vec::new()).expect_err("no chance of recall");
        assert_eq!(
            refused.to_string(),
            "the target recall is 1.5; it must be at least 0.01 and below 1"
        );
    }
}
