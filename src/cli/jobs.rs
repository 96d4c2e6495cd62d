//! `jobs`: the archive of closed jobs, listed, searched and shown; what came of a job later.

use std::io::Write;

use chrono::NaiveDate;
use serde::Serialize;
use serde::Serializer;
use serde_json::Value;
use serde_json::json;

use crate::app::jobs;
use crate::app::jobs::FindOptions;
use crate::app::jobs::JobRow;
use crate::app::jobs::ListOptions;
use crate::app::jobs::page;
use crate::app::jobs::word;
use crate::app::jobs::word::Came;
use crate::app::jobs::word::Noted;
use crate::app::workbench::Workbench;
use crate::cli::add;
use crate::cli::at_least_one;
use crate::cli::backlog;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::import;
use crate::cli::jobs_check;
use crate::cli::jobs_check::CheckArgs;
use crate::cli::jobs_export;
use crate::cli::jobs_export::ExportArgs;
use crate::cli::open;
use crate::cli::output;
use crate::domain::job::BounceCause;
use crate::domain::job::FindingKind;
use crate::domain::job::Outcome;
use crate::domain::text::clean;
use crate::domain::wording;

/// List, search and check the closed jobs, and say what came of them
#[derive(clap::Subcommand, Clone, Debug)]
pub enum JobsCommand {
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    List(ListArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Find(FindArgs),
    /// Show one job whole, with the other jobs of its unit
    Show {
        /// Job to show, by its number
        number: String,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Check(CheckArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Export(ExportArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Import(import::ImportArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Held(HeldArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Returned(ReturnedArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    TakeBack(TakeBackArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Backlog(backlog::BacklogArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Add(Box<add::AddArgs>),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Correct(Box<add::CorrectArgs>),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Open(open::OpenArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Begin(open::BeginArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Log(open::LogArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Hand(open::HandArgs),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    Close(Box<open::CloseArgs>),
    #[expect(missing_docs, reason = "its help is written at its arguments")]
    CallOff(open::CallOffArgs),
}

/// List the closed jobs, newest first
///
/// One line a job: number, day, board, complaint, circuit, fix, outcome, and what it is worth as
/// evidence (A, B, C, X; `-` without a fix). An outcome left unknown counts as held once the warranty
/// days are over and the unit has not come again. JSON: {"v","job","id","closed_on","board",
/// "complaint","family","fix","outcome","bounce_cause","held","tier"}.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
pub struct ListArgs {
    /// List only jobs of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// List only jobs of this circuit family
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// List only jobs with this outcome, as written in the job
    #[arg(long, value_name = "OUTCOME", value_parser = parse_outcome)]
    pub outcome: Option<Outcome>,
    /// List only jobs closed on this day or later, such as 2026-03-14
    #[arg(long, value_name = "DATE")]
    pub since: Option<NaiveDate>,
    /// List only jobs closed on this day or earlier
    #[arg(long, value_name = "DATE")]
    pub until: Option<NaiveDate>,
    /// Print JSON, one object a job
    #[arg(long)]
    pub json: bool,
}

/// Find closed jobs by words and readings, best first
///
/// Words of the trade find their synonyms, and the name of a board its jobs; designators, nets and
/// values are never taken for similar ones. A reading such as `3V3_SB low` or `61 mA` finds readings
/// of the same band; `3V3_SB under 1 V`, `over`, `above`, `below`, `about`, `between 1 and 2 V` find
/// what keeps the limit; `no residue` leaves out the jobs where residue was recorded. Each hit says
/// why it was found. The first search after the jobs have changed reads them all; those after it
/// read an index in the folder cache. JSON: as `jobs list`, with "score" and "why".
#[derive(clap::Args, Clone, Debug)]
pub struct FindArgs {
    /// Find these words
    #[arg(required_unless_present_any = ["board", "family", "finding"])]
    pub words: Vec<String>,
    /// Find only jobs of this board
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Find only jobs of this circuit family, proven or also hurt
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Find only jobs with a finding of this kind, at this place if one is given: rail:3V3_SB
    #[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
    #[arg(long, value_name = "KIND[:PLACE]", value_parser = parse_finding)]
    pub finding: Option<(FindingKind, Option<String>)>,
    /// Find at most N jobs
    #[arg(long, value_name = "N", default_value_t = 20, value_parser = at_least_one)]
    pub limit: usize,
    /// Print JSON, one object a job
    #[arg(long)]
    pub json: bool,
}

/// Say that repairs held
///
/// For jobs whose outcome is unknown, once their warranty days are over. A line that corrects the job
/// is added; the line itself stays as it is.
#[derive(clap::Args, Clone, Debug)]
pub struct HeldArgs {
    /// Jobs that held, by number
    #[arg(required = true)]
    pub number: Vec<String>,
    /// Sign it as this person, as `people list` names them; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

/// Say that a job came back as a later job
///
/// The later job gets the link, the earlier one its outcome: the same fault when both were in one
/// circuit, another fault when not. Lines that correct the two jobs are added; their own lines stay.
#[derive(clap::Args, Clone, Debug)]
pub struct ReturnedArgs {
    /// Job that came back, by number
    pub number: String,
    /// Job that it came back as
    #[arg(long, value_name = "LATER")]
    pub by: String,
    /// Say why it came back: diagnosis, workmanship, part, new-damage or unknown
    #[arg(long, value_name = "CAUSE", value_parser = parse_cause, required_unless_present = "only_link")]
    pub cause: Option<BounceCause>,
    /// Say whether it was the same fault or another, where the circuits do not tell
    #[arg(long, value_name = "same|other", value_parser = parse_fault, requires = "cause")]
    pub fault: Option<bool>,
    /// Write only the link: the earlier repair itself stays as it is
    #[arg(long, conflicts_with = "cause")]
    pub only_link: bool,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

/// Take the latest correction of jobs back
///
/// What stood before stands again, as one more line that corrects the last.
#[derive(clap::Args, Clone, Debug)]
pub struct TakeBackArgs {
    /// Jobs whose latest correction was wrong, by number
    #[arg(required = true)]
    pub number: Vec<String>,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
}

pub(crate) fn words_of<T: Copy>(all: &[T], word: fn(T) -> &'static str) -> String {
    let words: Vec<&str> = all.iter().map(|v| word(*v)).collect();
    format!("one of: {}", words.join(", "))
}

fn parse_outcome(text: &str) -> Result<Outcome, String> {
    Outcome::from_word(text).ok_or_else(|| words_of(&Outcome::ALL, Outcome::word))
}

fn parse_cause(text: &str) -> Result<BounceCause, String> {
    BounceCause::from_word(text).ok_or_else(|| words_of(&BounceCause::ALL, BounceCause::word))
}

fn parse_fault(text: &str) -> Result<bool, String> {
    match text {
        "same" => Ok(true),
        "other" => Ok(false),
        _ => Err("one of: same, other".to_owned()),
    }
}

fn parse_finding(text: &str) -> Result<(FindingKind, Option<String>), String> {
    let (kind, place) = match text.split_once(':') {
        Some((kind, place)) => (kind, Some(place.trim().to_owned())),
        None => (text, None),
    };
    let kind = FindingKind::from_word(kind.trim())
        .ok_or_else(|| words_of(&FindingKind::ALL, FindingKind::word))?;
    Ok((kind, place.filter(|p| !p.is_empty())))
}

/// Runs one of the commands.
pub fn run(
    command: &JobsCommand,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    match command {
        JobsCommand::Add(args) => return add::add(args, around, out),
        JobsCommand::Correct(args) => return add::correct(args, around, out),
        JobsCommand::Open(args) => return open::list(args, around, out),
        JobsCommand::Begin(args) => return open::begin(args, around, out),
        JobsCommand::Log(args) => return open::log(args, around, out),
        JobsCommand::Hand(args) => return open::hand(args, around, out),
        JobsCommand::Close(args) => return open::close(args, around, out),
        JobsCommand::CallOff(args) => return open::call_off(args, around, out),
        _ => {}
    }
    let workbench = around.workbench()?;
    match command {
        JobsCommand::List(args) => list(args, &workbench, around, out),
        JobsCommand::Find(args) => find(args, &workbench, around, out),
        JobsCommand::Show { number, json } => show(number, *json, &workbench, around, out),
        JobsCommand::Check(args) => jobs_check::run(args, &workbench, around, out),
        JobsCommand::Export(args) => jobs_export::run(args, &workbench, around, out),
        JobsCommand::Import(args) => import::run(args, &workbench, around, out),
        JobsCommand::Held(args) => {
            let person = workbench.person(args.person.as_deref())?;
            for number in &args.number {
                let said = word::held(&workbench, number, &person, around.clock.now())?;
                tell(&said, out)?;
            }
            Ok(Exit::Done)
        }
        JobsCommand::Returned(args) => {
            let person = workbench.person(args.person.as_deref())?;
            let came = match args.cause {
                Some(cause) => Came::Back {
                    cause,
                    same_fault: args.fault,
                },
                None => Came::OnlyLink,
            };
            let now = around.clock.now();
            let said = word::returned(&workbench, &args.number, &args.by, &came, &person, now)?;
            tell(&said, out)?;
            Ok(Exit::Done)
        }
        JobsCommand::Backlog(args) => backlog::run(args, &workbench, around, out),
        JobsCommand::TakeBack(args) => {
            let person = workbench.person(args.person.as_deref())?;
            let said = word::take_back(&workbench, &args.number, &person, around.clock.now())?;
            tell(&said, out)?;
            Ok(Exit::Done)
        }
        _ => Ok(Exit::Done),
    }
}

fn tell(said: &Noted, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(out, "{}", clean(&said.now))?;
    Ok(())
}

/// Bytes of a list that go out at a time.
const PIECE: usize = 1 << 16;

fn list(
    args: &ListArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let options = ListOptions {
        board: args.board.clone(),
        family: args.family.clone(),
        outcome: args.outcome,
        since: args.since,
        until: args.until,
    };
    let listing = jobs::list(workbench, &options, around.clock.now())?;
    // A long list goes out in large pieces: a call for every line would take longer than the list.
    let mut text: Vec<u8> = Vec::new();
    for row in &listing.rows {
        if args.json {
            output::typed_line(&mut text, &shape(row))?;
        } else {
            writeln!(text, "{}", line(row))?;
        }
        if text.len() > PIECE {
            out.write_all(&text)?;
            text.clear();
        }
    }
    out.write_all(&text)?;
    out.flush()?;
    Ok(environment::mend(&listing.faults))
}

fn find(
    args: &FindArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let options = FindOptions {
        words: args.words.join(" "),
        board: args.board.clone(),
        family: args.family.clone(),
        finding: args.finding.clone(),
        limit: args.limit,
    };
    let mut meter = environment::progress();
    let mut step = |read: u64, all: u64| {
        let of = |bytes: u64| usize::try_from(bytes >> 20).unwrap_or(usize::MAX);
        meter.always(
            "Reading the jobs, so that later searches are quick: MB",
            of(read),
            of(all),
        );
    };
    let search = jobs::find_jobs(workbench, &options, around.clock.now(), &mut step);
    meter.end();
    let search = search?;
    if let Some(note) = &search.note {
        environment::complain(&clean(note));
    }
    for hit in &search.found {
        if args.json {
            let shape = Shape {
                score: Some(hit.score),
                why: Some(&hit.why),
                ..shape(&hit.row)
            };
            output::typed_line(out, &shape)?;
            out.flush()?;
        } else {
            writeln!(out, "{}", line(&hit.row))?;
            if !hit.why.is_empty() {
                writeln!(out, "    found by: {}", clean(&hit.why.join(", ")))?;
            }
        }
    }
    if search.found.is_empty() && !args.json {
        writeln!(out, "No job has any of that.")?;
    }
    Ok(environment::mend(&search.faults))
}

/// One job as a line of plain text.
fn line(row: &JobRow) -> String {
    let family = row.family.as_deref().unwrap_or("-");
    let complaint = wording::complaint_text(&row.complaint);
    let fix = row.fix_words();
    clean(&format!(
        "{}  {}  {}  {complaint}  |  {family}  |  {fix}  |  {}  |  {}",
        row.number,
        row.closed_on,
        row.board,
        row.outcome_words(),
        row.tier_letter(),
    ))
}

/// One job as a line of JSON, its fields in the order in which they are written.
#[derive(Serialize)]
struct Shape<'a> {
    v: u8,
    job: &'a str,
    id: &'a str,
    #[serde(serialize_with = "as_text")]
    closed_on: NaiveDate,
    board: &'a str,
    complaint: &'a [String],
    family: Option<&'a str>,
    fix: &'a str,
    no_fix_reason: Option<&'a str>,
    outcome: &'static str,
    bounce_cause: Option<&'static str>,
    held: bool,
    tier: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    score: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<&'a [String]>,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "this is how serde hands a field over"
)]
fn as_text<S: Serializer>(day: &NaiveDate, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(day)
}

fn shape(row: &JobRow) -> Shape<'_> {
    Shape {
        v: 1,
        job: &row.number,
        id: &row.id,
        closed_on: row.closed_on,
        board: &row.board,
        complaint: &row.complaint,
        family: row.family.as_deref(),
        fix: &row.fix,
        no_fix_reason: row.no_fix_reason.as_deref(),
        outcome: row.outcome.word(),
        bounce_cause: row.bounce_cause.map(BounceCause::word),
        held: row.held,
        tier: row.tier_letter(),
        score: None,
        why: None,
    }
}

fn show(
    number: &str,
    json: bool,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let page = page::page(workbench, number, around.clock.now())?;
    if json {
        let lines: Vec<Value> = page
            .lines
            .iter()
            .map(|(label, text)| json!({ "label": label, "text": text }))
            .collect();
        let shape = json!({
            "v": 1, "job": page.number, "title": page.title, "lines": lines,
            "earlier": page.earlier, "later": page.later,
        });
        output::line(out, &shape)?;
        return Ok(Exit::Done);
    }
    writeln!(out, "{}: {}", clean(&page.number), clean(&page.title))?;
    for (label, text) in &page.lines {
        writeln!(out, "  {label:<17}{}", clean(text))?;
    }
    Ok(Exit::Done)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::tier::Tier;

    /// The same line, made by way of a value.
    fn told(row: &JobRow) -> Value {
        json!({
            "v": 1,
            "job": row.number,
            "id": row.id,
            "closed_on": row.closed_on.to_string(),
            "board": row.board,
            "complaint": row.complaint,
            "family": row.family,
            "fix": row.fix,
            "no_fix_reason": row.no_fix_reason,
            "outcome": row.outcome.word(),
            "bounce_cause": row.bounce_cause.map(BounceCause::word),
            "held": row.held,
            "tier": row.tier_letter(),
        })
    }

    fn row(hostile: &str) -> JobRow {
        JobRow {
            number: "W-00117".to_owned(),
            id: format!("id \"{hostile}\""),
            closed_on: NaiveDate::from_ymd_opt(2026, 3, 9).unwrap(),
            board: hostile.to_owned(),
            board_name: "a board".to_owned(),
            complaint: vec!["no-power".to_owned(), hostile.to_owned()],
            family: Some("buck".to_owned()),
            fix: "replace U9 \\ \u{7f}".to_owned(),
            no_fix_reason: None,
            outcome: Outcome::UnknownSoFar,
            bounce_cause: Some(BounceCause::Workmanship),
            held: true,
            tier: Tier::C,
        }
    }

    #[test]
    fn a_line_has_the_bytes_that_its_value_would_have() {
        let plain = row("b7");
        let bare = JobRow {
            family: None,
            no_fix_reason: Some("no parts".to_owned()),
            bounce_cause: None,
            complaint: Vec::new(),
            held: false,
            ..row("\u{202e}5 \u{3a9}\n\u{1b}[2J")
        };
        for row in [plain, bare] {
            let (mut typed, mut valued) = (Vec::new(), Vec::new());
            output::typed_line(&mut typed, &shape(&row)).unwrap();
            output::line(&mut valued, &told(&row)).unwrap();
            assert_eq!(
                String::from_utf8(typed).unwrap(),
                String::from_utf8(valued).unwrap()
            );
            let why = vec!["a \u{200b}word".to_owned()];
            let found = Shape {
                score: Some(1.25),
                why: Some(&why),
                ..shape(&row)
            };
            let mut value = told(&row);
            value["score"] = json!(1.25);
            value["why"] = json!(why);
            let (mut typed, mut valued) = (Vec::new(), Vec::new());
            output::typed_line(&mut typed, &found).unwrap();
            output::line(&mut valued, &value).unwrap();
            assert_eq!(typed, valued);
        }
    }
}
