//! `brief`: the refresh before a tricky board, to read, as JSON, or as a drill of its cards.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::brief;
use crate::app::brief::Brief;
use crate::app::brief::JobMatch;
use crate::app::practice::Options;
use crate::cli::at_least_one;
use crate::cli::drill;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::cli::screen;

/// Look up what the shop knows before a tricky board
///
/// Cautions first; then the closed jobs that match your words, best first, those that came back or
/// ended without a fix among them and marked; the cards about it; and what a good board reads. Words
/// may be findings: `3V3_SB low`, `draw cycling 61-118 mA`, `3V3_SB 210 ohm`, `residue at U31`.
/// Separate them by commas. Without words: the board's commonest faults.
///
/// --quiz asks exactly the cards shown. A miss counts for the memory of a card, a right answer does
/// not, and neither counts as a spot check.
///
/// --json prints {"v":1,"brief":{"board","name","cautions":[],"words","understood":[],"found",
/// "jobs":[{"job","closed_on","rev","outcome","warns","fix","danger","tried":[],"turn","why":[]}],
/// "cards":[{"id","family","complaint","shows","share","why":[]}],
/// "good":[{"name","value","reference"}]}}; with --quiz it drills as `drill --json` does.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
pub struct BriefArgs {
    /// The board: its id, or the beginning of its id or name
    #[arg(value_name = "BOARD")]
    pub board: String,
    /// What you see: complaint, findings, parts
    #[arg(value_name = "WORDS")]
    pub words: Vec<String>,
    /// Whose drill it is, with --quiz
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Drill exactly the cards shown
    #[arg(long)]
    pub quiz: bool,
    /// Show at most N jobs and N cards
    #[arg(long, value_name = "N", default_value_t = brief::LIMIT, value_parser = at_least_one)]
    pub limit: usize,
    /// Drill line by line even where a screen could be drawn
    #[arg(long, conflicts_with = "json")]
    pub plain: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// Prints the brief, or drills its cards.
pub fn run(args: &BriefArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let board = brief::find_board(&workbench, &args.board)?;
    let words = args.words.join(" ");
    let now = around.clock.now();
    let brief = brief::brief(&workbench, board, &words, args.limit, now)?;
    if !args.quiz {
        if args.json {
            output::line(out, &to_json(&brief))?;
        } else {
            print(&brief, out)?;
        }
        return Ok(environment::mend(&brief.to_mend));
    }
    let person = workbench.person(args.person.as_deref())?;
    let options = Options {
        brief: Some(brief.card_ids()),
        ..Options::default()
    };
    if !args.json && !args.plain && around.environment.output_is_terminal {
        return screen::drill(workbench, &person, options, around);
    }
    drill::line_by_line(&workbench, &person, &options, args.json, (around, out))
}

fn print(brief: &Brief, out: &mut dyn Write) -> Result<(), Failure> {
    for caution in &brief.cautions {
        writeln!(out, "{caution}")?;
    }
    writeln!(out)?;
    if brief.words.is_empty() {
        writeln!(out, "{}: its commonest faults", brief.name)?;
    } else {
        writeln!(out, "{}: {}", brief.name, brief.words)?;
    }
    if !brief.understood.is_empty() {
        let findings = brief.understood.join("; ");
        writeln!(out, "Understood as findings: {findings}")?;
    }
    writeln!(out, "\n{}", brief.jobs_line())?;
    for job in &brief.jobs {
        print_job(job, out)?;
    }
    writeln!(out, "\n{}", brief.cards_line("--quiz drills"))?;
    for card in &brief.cards {
        let shows = [card.complaint.as_str(), card.shows.as_str()];
        let shows: Vec<&str> = shows.into_iter().filter(|t| !t.is_empty()).collect();
        writeln!(out, "  {}", shows.join("; "))?;
    }
    if !brief.good.is_empty() {
        writeln!(out, "\nA good board reads")?;
    }
    for reading in &brief.good {
        let line = format!(
            "  {}: {}  {}",
            reading.name, reading.value, reading.reference
        );
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

fn print_job(job: &JobMatch, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(out, "  {}: {}", job.heading(), job.mark)?;
    for line in job.lines() {
        writeln!(out, "    {line}")?;
    }
    Ok(())
}

fn to_json(brief: &Brief) -> Value {
    let jobs: Vec<Value> = brief
        .jobs
        .iter()
        .map(|job| {
            json!({
                "job": job.job,
                "closed_on": job.closed_on.to_string(),
                "rev": job.rev,
                "outcome": job.mark,
                "warns": job.warns,
                "fix": job.fix,
                "danger": job.danger,
                "tried": job.tried,
                "turn": job.turn,
                "why": job.why,
            })
        })
        .collect();
    let cards: Vec<Value> = brief
        .cards
        .iter()
        .map(|card| {
            json!({
                "id": card.id, "family": card.family, "complaint": card.complaint,
                "shows": card.shows, "share": card.share, "why": card.why,
            })
        })
        .collect();
    let good: Vec<Value> = brief
        .good
        .iter()
        .map(|r| json!({ "name": r.name, "value": r.value, "reference": r.reference }))
        .collect();
    json!({ "v": 1, "brief": {
        "board": brief.board, "name": brief.name, "cautions": brief.cautions,
        "words": brief.words, "understood": brief.understood, "found": brief.found,
        "jobs": jobs, "cards": cards, "good": good,
    }})
}
