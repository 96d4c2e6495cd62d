//! `jobs open|begin|log|hand|close|call-off`: jobs still on a bench.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::entry::open;
use crate::app::entry::open::NewOpen;
use crate::app::entry::session;
use crate::cli::add;
use crate::cli::add::AddArgs;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::open_job::OpenJob;
use crate::domain::text::clean;

/// List the jobs still on a bench, the oldest first
///
/// JSON: {"v","job","board","rev","complaint","since","with","log":[{"at","by","bench","words"}]}.
#[derive(clap::Args, Clone, Debug)]
pub struct OpenArgs {
    /// List only this job
    pub number: Option<String>,
    /// Print JSON, one object a job
    #[arg(long)]
    pub json: bool,
}

/// Begin a job that stays on the bench for now
#[derive(clap::Args, Clone, Debug)]
pub struct BeginArgs {
    /// Board, by its id in shop.json
    #[arg(long, value_name = "BOARD")]
    pub board: String,
    /// Customer's words
    #[arg(long, value_name = "WORDS")]
    pub complaint: String,
    /// Revision of the board
    #[arg(long, value_name = "REV")]
    pub rev: Option<String>,
    /// The shop's number; counted on from the last one where it is left out
    #[arg(long, value_name = "NUMBER")]
    pub number: Option<String>,
    /// Serial of the unit: a mark is made of it, it is not stored
    #[arg(long, value_name = "SERIAL")]
    pub serial: Option<String>,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

/// Log what was seen or done on an open job, as it happens
#[derive(clap::Args, Clone, Debug)]
pub struct LogArgs {
    /// Open job, by its number
    pub number: String,
    /// Say what was seen or done
    #[arg(required = true)]
    pub words: Vec<String>,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

/// Hand an open job to someone else or to another bench
#[derive(clap::Args, Clone, Debug)]
pub struct HandArgs {
    /// Open job, by its number
    pub number: String,
    /// Person, or name of a bench, that goes on with it
    #[arg(long, value_name = "PERSON|BENCH")]
    pub to: String,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

/// Close an open job
///
/// On the screen the form opens with everything that was logged, in order. With words or options the
/// job is printed as `jobs add` does it, and `--yes` writes it.
#[derive(clap::Args, Clone, Debug)]
pub struct CloseArgs {
    /// Open job, by its number
    pub number: String,
    #[command(flatten)]
    #[expect(missing_docs, reason = "its help is written at its fields")]
    pub rest: AddArgs,
}

/// Call an open job off: it is no job after all
#[derive(clap::Args, Clone, Debug)]
pub struct CallOffArgs {
    /// Open job, by its number
    pub number: String,
    /// Say why
    #[arg(long, value_name = "WORDS")]
    pub why: String,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

/// Runs `jobs open`.
pub fn list(args: &OpenArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let (all, faults) = open::all(&workbench)?;
    let jobs = match &args.number {
        Some(number) => vec![open::find(&all.open, number)?],
        None => all.open,
    };
    for job in &jobs {
        if args.json {
            output::line(out, &shape(job))?;
        } else {
            tell(job, out)?;
        }
    }
    if jobs.is_empty() && !args.json {
        writeln!(out, "No job is open.")?;
    }
    Ok(environment::mend(&workbench.fault_lines(&faults)))
}

fn tell(job: &OpenJob, out: &mut dyn Write) -> Result<(), Failure> {
    let rev = job
        .rev
        .as_deref()
        .map_or_else(String::new, |rev| format!(" rev {rev}"));
    let since = job.since.format("%Y-%m-%d %H:%M");
    let head = format!(
        "{}  {}{rev}  {}  |  since {since} UTC  |  with {}",
        job.number, job.board, job.complaint, job.with
    );
    writeln!(out, "{}", clean(&head))?;
    for line in &job.log {
        let at = line.at.format("%m-%d %H:%M");
        writeln!(out, "    {at} {} {}", clean(&line.by), clean(&line.words))?;
    }
    Ok(())
}

fn shape(job: &OpenJob) -> Value {
    let log: Vec<Value> = job
        .log
        .iter()
        .map(|l| json!({"at": l.at.to_rfc3339(), "by": l.by, "bench": l.bench, "words": l.words}))
        .collect();
    json!({
        "v": 1, "job": job.number, "board": job.board, "rev": job.rev, "complaint": job.complaint,
        "since": job.since.to_rfc3339(), "with": job.with, "log": log,
    })
}

/// Runs `jobs begin`.
pub fn begin(args: &BeginArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let mut workbench = around.workbench()?;
    let person = workbench.person(args.person.as_deref())?;
    let now = around.clock.now();
    let unit = match &args.serial {
        Some(serial) => {
            let drawn = around.draw_key()?;
            session::mark_unit(&mut workbench, &person, serial, &drawn, now)?
        }
        None => None,
    };
    let new = NewOpen {
        number: args.number.clone(),
        board: args.board.clone(),
        rev: args.rev.clone(),
        complaint: args.complaint.clone(),
        unit,
    };
    let number = open::begin(&workbench, &person, &new, now)?;
    let number = clean(&number);
    writeln!(
        out,
        "{number} is open. Next: benchlore jobs log {number} \"what you see\""
    )?;
    Ok(Exit::Done)
}

/// Runs `jobs log`.
pub fn log(args: &LogArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let person = workbench.person(args.person.as_deref())?;
    let now = around.clock.now();
    let job = open::log(
        &workbench,
        &person,
        &args.number,
        &args.words.join(" "),
        now,
    )?;
    let n = crate::domain::text::number_of(job.log.len(), "line");
    writeln!(out, "{}: logged, {n}", clean(&job.number))?;
    Ok(Exit::Done)
}

/// Runs `jobs hand`.
pub fn hand(args: &HandArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let person = workbench.person(args.person.as_deref())?;
    let now = around.clock.now();
    let job = open::hand(&workbench, &person, &args.number, &args.to, now)?;
    writeln!(
        out,
        "{} is with {} now",
        clean(&job.number),
        clean(&job.with)
    )?;
    Ok(Exit::Done)
}

/// Runs `jobs close`.
pub fn close(args: &CloseArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    add::enter(&args.rest, Purpose::Close(args.number.clone()), around, out)
}

/// Runs `jobs call-off`.
pub fn call_off(
    args: &CallOffArgs,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let person = workbench.person(args.person.as_deref())?;
    open::call_off(
        &workbench,
        &person,
        &args.number,
        &args.why,
        around.clock.now(),
    )?;
    writeln!(out, "{} is called off", clean(&args.number))?;
    Ok(Exit::Done)
}
