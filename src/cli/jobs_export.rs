//! `jobs export`: the jobs that count as a sheet or as their own lines.

use std::io::Write;
use std::path::PathBuf;

use chrono::NaiveDate;

use crate::app::jobs::ListOptions;
use crate::app::jobs::export;
use crate::app::jobs::export::Form;
use crate::app::workbench::Workbench;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::domain::text::clean;
use crate::domain::text::clean_json;
use crate::domain::text::number_of;

/// What the two forms hold, for the help.
const FORMS: &str = "\
This is the shop's own data. Both forms hold initials and notes; JSON Lines hold everything else too: the \
words as they were written down, unit marks, prices, photo names. Look at what you send out of the house.

CSV: RFC 4180, UTF-8, the columns Job, Closed, By, Board, Revision, Complaint, Readings, Circuit, Fix, \
Tried, Outcome, Proof, Minutes, Note. Before a cell that a spreadsheet would reckon (it begins with = + - @, \
a tab or a line end) stands an apostrophe, and one more before a cell that begins with one; a plain number \
such as -0.5 stays a number. Control characters become blanks or U+FFFD. Readings are rounded nowhere; what \
has no column is in JSON Lines only.

JSON Lines: each job's own line as it stands in jobs/, byte for byte (on the screen control characters are \
written as escapes), also with fields that this program does not know. Put into the jobs/ folder of another \
shop the file reads as the same jobs. A job that was corrected names the line that it corrects; with \
--history those earlier lines go along, so that no end is loose there.

Lines that contradict each other count nowhere and are left out; they are named, with exit code 3.";

/// Write the closed jobs into a file, as CSV or JSON Lines
///
/// Without --csv or --jsonl the ending of the file decides, and CSV is written otherwise; without --into
/// the jobs go to standard output. Nothing in the shop is changed.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is an option of its own"
)]
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = FORMS)]
pub struct ExportArgs {
    /// Write CSV, one row a job
    #[arg(long, conflicts_with_all = ["jsonl", "history"])]
    pub csv: bool,
    /// Write JSON Lines, one line a job
    #[arg(long)]
    pub jsonl: bool,
    /// Write the earlier lines of corrected jobs as well (JSON Lines)
    #[arg(long)]
    pub history: bool,
    /// Write only jobs of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Write only jobs of this circuit family
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Write only jobs closed on this day or later, such as 2026-03-14
    #[arg(long, value_name = "DATE")]
    pub since: Option<NaiveDate>,
    /// Write only jobs closed on this day or earlier
    #[arg(long, value_name = "DATE")]
    pub until: Option<NaiveDate>,
    /// Write into this file, outside the shop folder
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
    /// Replace the file if it is there
    #[arg(long, requires = "into")]
    pub replace: bool,
}

impl ExportArgs {
    fn form(&self) -> Form {
        let ending = self.into.as_ref().and_then(|file| file.extension());
        let lines = ending.is_some_and(|e| e == "jsonl" || e == "ndjson");
        if self.jsonl || self.history || (lines && !self.csv) {
            Form::Lines {
                history: self.history,
            }
        } else {
            Form::Sheet
        }
    }
}

/// Runs the command.
pub fn run(
    args: &ExportArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let form = args.form();
    let options = ListOptions {
        board: args.board.clone(),
        family: args.family.clone(),
        outcome: None,
        since: args.since,
        until: args.until,
    };
    let done = export::export(workbench, form, &options)?;
    if let Some(file) = &args.into {
        let file = around.from_here(file);
        around.write_outside(workbench, &file, &done.text, args.replace)?;
        let earlier = match done.earlier {
            0 => String::new(),
            n => format!(" and {}", number_of(n, "earlier line")),
        };
        writeln!(
            out,
            "{}{earlier} in {}",
            number_of(done.jobs, "job"),
            clean(&file.to_string_lossy())
        )?;
    } else if form == Form::Sheet {
        out.write_all(done.text.as_bytes())?;
    } else {
        for line in done.text.lines() {
            writeln!(out, "{}", clean_json(line))?;
        }
    }
    out.flush()?;
    Ok(environment::mend(&done.faults))
}
