//! The command line: parses, calls `app`, prints.
//!
//! The clock, the chance and the environment are read here once and passed down as values.

pub mod add;
pub mod backlog;
pub mod brief;
pub mod clock;
pub mod deck;
pub mod deck_files;
pub mod deck_print;
pub mod demo;
pub mod desk;
pub mod drill;
pub mod drill_json;
pub mod drill_plain;
pub mod environment;
pub mod failure;
pub mod families;
pub mod fit;
mod fit_log;
pub mod gaps;
pub mod import;
pub mod import_talk;
pub mod inspect;
mod intake;
pub mod jobs;
pub mod jobs_check;
pub mod jobs_export;
pub mod open;
pub mod output;
pub mod people;
pub mod plan;
mod planning;
pub mod rebuilt;
pub mod screen;
mod told_once;
pub mod trace;

use std::io::Write;
use std::process::ExitCode;

use chrono::DateTime;
use chrono::Utc;
use clap::Parser;

use crate::cli::environment::Environment;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;

/// Heading of the options that every command takes.
const EVERYWHERE: &str = "Options of every command";
/// What the shell is told, see [`Exit`].
const EXIT_CODES: &str =
    "Exit codes: 0 done, 1 failed, 2 wrong usage, 3 done and something is there to mend.";

/// Drill what your shop's closed jobs teach
///
/// Closed repair jobs become drill cards; a published memory model decides what each person reviews
/// today. Without a command the screen opens.
#[derive(Debug, Parser)]
#[command(name = "benchlore", version, after_long_help = EXIT_CODES)]
pub struct Arguments {
    /// Work in this shop folder
    ///
    /// Without it: the folder named by BENCHLORE_SHOP, else the nearest folder upward from here that
    /// holds a shop.json, else the practice shop.
    #[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
    #[arg(long, global = true, value_name = "DIR", help_heading = EVERYWHERE)]
    pub shop: Option<std::path::PathBuf>,
    /// Run as if it were this moment, such as 2026-04-02T07:30:00Z
    #[arg(long, global = true, value_name = "DATETIME", value_parser = parse_moment, help_heading = EVERYWHERE)]
    pub as_of: Option<DateTime<Utc>>,
    /// Draw every chance from this number, so that a run can be repeated
    #[arg(long, global = true, value_name = "N", help_heading = EVERYWHERE)]
    pub seed: Option<u64>,
    /// What to do
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What the program can be asked to do; each command's help is written at its arguments.
#[expect(
    missing_docs,
    reason = "a comment here would take the place of the whole help text"
)]
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    Demo(demo::DemoArgs),
    Drill(drill::DrillArgs),
    #[command(subcommand)]
    Deck(deck::DeckCommand),
    Families(families::FamiliesArgs),
    #[command(subcommand)]
    People(people::PeopleCommand),
    Trace(trace::TraceArgs),
    Fit(fit::FitArgs),
    Gaps(gaps::GapsArgs),
    Plan(plan::PlanArgs),
    #[command(subcommand)]
    Jobs(jobs::JobsCommand),
    Brief(brief::BriefArgs),
    Inspect(inspect::InspectArgs),
}

/// Runs the program with the computer's surroundings.
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are no failures; if even printing them fails there is no one to tell.
            drop(error.print());
            return if error.use_stderr() {
                code(Exit::Usage)
            } else {
                code(Exit::Done)
            };
        }
    };
    let environment = Environment::read();
    // Not locked for good: a panic on any thread gives the terminal back through it.
    let mut out = std::io::stdout();
    match dispatch(&arguments, &environment, &mut out) {
        Ok(exit) => match out.flush() {
            // A terminal that takes no more has gone away: there is no one to tell.
            Err(error)
                if error.kind() != std::io::ErrorKind::BrokenPipe
                    && !environment.output_is_terminal =>
            {
                code(Exit::Failed)
            }
            _ => code(exit),
        },
        Err(failure) if failure.quiet => code(Exit::Done),
        Err(failure) => {
            environment::complain(&failure.to_string());
            code(failure.exit)
        }
    }
}

/// Carries out one command.
fn dispatch(
    arguments: &Arguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let around = environment::Around::new(arguments, environment);
    match &arguments.command {
        None => screen::run(&around, out),
        Some(Command::Demo(args)) => demo::run(args, &around, out),
        Some(Command::Drill(args)) => drill::run(args, &around, out),
        Some(Command::Deck(command)) => deck::run(command, &around, out),
        Some(Command::Families(args)) => families::run(args, &around, out),
        Some(Command::People(command)) => people::run(command, &around, out),
        Some(Command::Trace(args)) => environment::trace(args, out),
        Some(Command::Fit(args)) => fit::run(args, &around, out),
        Some(Command::Gaps(args)) => gaps::run(args, &around, out),
        Some(Command::Plan(args)) => plan::run(args, &around, out),
        Some(Command::Jobs(command)) => jobs::run(command, &around, out),
        Some(Command::Brief(args)) => brief::run(args, &around, out),
        Some(Command::Inspect(args)) => inspect::run(args, &around, out),
    }
}

fn code(exit: Exit) -> ExitCode {
    ExitCode::from(exit as u8)
}

/// Reads a moment: RFC 3339, or a date and time taken as UTC, or a date taken as noon UTC.
fn parse_moment(text: &str) -> Result<DateTime<Utc>, String> {
    if let Ok(moment) = DateTime::parse_from_rfc3339(text) {
        return Ok(moment.to_utc());
    }
    for format in [
        "%Y-%m-%dT%H:%M:%S",
        "%Y-%m-%d %H:%M:%S",
        "%Y-%m-%dT%H:%M",
        "%Y-%m-%d %H:%M",
    ] {
        if let Ok(moment) = chrono::NaiveDateTime::parse_from_str(text, format) {
            return Ok(moment.and_utc());
        }
    }
    chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .ok()
        .and_then(|day| day.and_hms_opt(12, 0, 0))
        .map(|moment| moment.and_utc())
        .ok_or_else(|| "write it as 2026-04-02T07:30:00Z".to_owned())
}

/// Reads a number of things to ask or show: none at all is asked for by mistake.
fn at_least_one(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(0) => Err("give at least 1".to_owned()),
        Ok(n) => Ok(n),
        Err(_) => Err("give a whole number, at least 1".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_well_formed() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn moments_are_read_as_people_write_them() {
        let at = |text| parse_moment(text).map(|m| m.to_rfc3339());
        assert_eq!(
            at("2026-04-02T07:30:00+01:00").unwrap(),
            "2026-04-02T06:30:00+00:00"
        );
        assert_eq!(at("2026-04-02 07:30").unwrap(), "2026-04-02T07:30:00+00:00");
        assert_eq!(at("2026-04-02").unwrap(), "2026-04-02T12:00:00+00:00");
        assert!(at("2 April").is_err());
    }
}
