//! `jobs backlog`: what waits to be taken in, by sheet and by source, and who has taken what.

use std::io::Write;

use chrono::NaiveDate;
use serde_json::Value;
use serde_json::json;

use crate::app::intake::Session;
use crate::app::intake::report;
use crate::app::intake::report::NewSource;
use crate::app::intake::report::Report;
use crate::app::workbench::Workbench;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::intake::backlog::Stretch;
use crate::domain::intake::decision::Progress;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// Show what waits to be taken in, and say who works on what
///
/// Sheets come from `jobs import`; sources that are no sheets (old tickets, notebooks, recordings) are
/// added here. Stretches are advice for the others: nothing is locked. Rows are decided about on the
/// screen, at the intake desk (i). Exit code 3 says that a row was entered twice. JSON: one object for
/// each sheet {"v","sheet","rows","taken","waiting","done","passed_over","skipped","stretches",
/// "twice"}, each source {"v","source","where","status","note","jobs","stretches"} and each decision
/// that counts {"v","decision","at","by","about","what"}.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
#[command(args_conflicts_with_subcommands = true)]
pub struct BacklogArgs {
    /// What to do; shows the backlog if nothing is said
    #[command(subcommand)]
    pub command: Option<BacklogCommand>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// What can be said of the backlog.
#[derive(clap::Subcommand, Clone, Debug)]
pub enum BacklogCommand {
    /// Add a source that is no sheet: a pile of tickets, a notebook, a recording
    ///
    /// Its jobs are entered with `jobs add`, with the title as their source; `done` says when all are.
    Add {
        /// Title of the source
        #[arg(required_unless_present = "from", conflicts_with = "from")]
        title: Option<String>,
        /// Add every line of this text file as a source; - reads standard input
        #[arg(long, value_name = "FILE")]
        from: Option<String>,
        /// Say where it is
        #[arg(long = "where", value_name = "PLACE", default_value = "")]
        place: String,
        /// Say how far it has come: todo, doing or done
        #[arg(long, value_name = "STATUS", default_value = "todo", value_parser = parse_status)]
        status: Progress,
        /// Sign it as this person; may be left out where there is only one
        #[arg(long, value_name = "PERSON")]
        person: Option<String>,
    },
    /// Take a sheet, a stretch of its rows, or a source, so that others see it
    Take {
        /// Sheet or source to take
        name: String,
        /// Take only these rows, such as 20-60
        #[arg(long, value_name = "ROWS", value_parser = parse_rows)]
        rows: Option<(u64, u64)>,
        /// Last day of it, such as 2026-12-01
        #[arg(long, value_name = "DATE")]
        until: Option<NaiveDate>,
        /// Sign it as this person; may be left out where there is only one
        #[arg(long, value_name = "PERSON")]
        person: Option<String>,
    },
    /// Let go of what you had taken
    Release {
        /// Sheet or source to let go of; everything if left out
        name: Option<String>,
        /// Sign it as this person; may be left out where there is only one
        #[arg(long, value_name = "PERSON")]
        person: Option<String>,
    },
    /// Say that a source is entered
    Done {
        /// Source that is entered
        name: String,
        /// Name a job that was entered from it
        #[arg(long, value_name = "NUMBER")]
        job: Option<String>,
        /// Add a note
        #[arg(long, value_name = "TEXT", default_value = "")]
        note: String,
        /// Sign it as this person; may be left out where there is only one
        #[arg(long, value_name = "PERSON")]
        person: Option<String>,
    },
    /// Take a decision back: your last one about a row, or the one with this id
    Undo {
        /// Id of the decision, as --json names it
        id: Option<String>,
        /// Sign it as this person; may be left out where there is only one
        #[arg(long, value_name = "PERSON")]
        person: Option<String>,
    },
}

fn parse_status(text: &str) -> Result<Progress, String> {
    Progress::from_word(text).ok_or_else(|| "one of: todo, doing, done".to_owned())
}

fn parse_rows(text: &str) -> Result<(u64, u64), String> {
    let hint = || "write two row numbers, such as 20-60".to_owned();
    let (from, to) = text.split_once('-').unwrap_or((text, text));
    let number = |text: &str| text.trim().parse::<u64>().map_err(|_error| hint());
    match (number(from)?, number(to)?) {
        (from, to) if 0 < from && from <= to => Ok((from, to)),
        _ => Err(hint()),
    }
}

/// Returns the lines of a list that say something, each once.
fn titles_of(text: &str) -> Vec<String> {
    let mut titles: Vec<String> = Vec::new();
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
        if !titles.iter().any(|title| title == line) {
            titles.push(line.to_owned());
        }
    }
    titles
}

/// Runs the command.
pub fn run(
    args: &BacklogArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let now = around.clock.now();
    let Some(command) = &args.command else {
        return show(args.json, workbench, around, out);
    };
    match command {
        BacklogCommand::Add {
            title,
            from,
            place,
            status,
            person,
        } => {
            let person = workbench.person(person.as_deref())?;
            let titles = match from {
                Some(path) => titles_of(&environment::read_text(path)?),
                None => title.iter().cloned().collect(),
            };
            let new = |title: String| NewSource {
                title,
                place: place.clone(),
                status: *status,
            };
            let n = titles.len();
            let new = titles.into_iter().map(new).collect();
            let added = report::add(workbench, &person, new, now)?;
            for title in &added {
                writeln!(out, "Added {}", clean(title))?;
            }
            if added.len() < n {
                writeln!(out, "{} there already", n - added.len())?;
            }
        }
        BacklogCommand::Take {
            name,
            rows,
            until,
            person,
        } => {
            let person = workbench.person(person.as_deref())?;
            let (taken, others) = report::take(workbench, &person, name, *rows, *until, now)?;
            writeln!(out, "{}: {}", clean(&taken.source), clean(&taken.words()))?;
            for other in others {
                writeln!(out, "  but {}", clean(&other.words()))?;
            }
        }
        BacklogCommand::Release { name, person } => {
            let person = workbench.person(person.as_deref())?;
            let gone = report::release(workbench, &person, name.as_deref(), now)?;
            if gone.is_empty() {
                writeln!(out, "You had taken nothing.")?;
            }
            for stretch in gone {
                let words = stretch.words().replacen(" has ", " had ", 1);
                writeln!(out, "{}: {}", clean(&stretch.source), clean(&words))?;
            }
        }
        BacklogCommand::Done {
            name,
            job,
            note,
            person,
        } => {
            let person = workbench.person(person.as_deref())?;
            let about = (name.as_str(), Progress::Done, note.as_str());
            let source = report::set(workbench, &person, about, job.as_deref(), now)?;
            writeln!(out, "{} is done", clean(&source))?;
        }
        BacklogCommand::Undo { id, person } => {
            let person = workbench.person(person.as_deref())?;
            let mut session = Session::open(workbench, &person, now)?;
            let said = match id {
                Some(id) => session.undo_entry(id, now)?,
                None => session.undo(0, now)?,
            };
            writeln!(out, "{}", clean(&said.now))?;
        }
    }
    Ok(Exit::Done)
}

fn show(
    json: bool,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let found = report::report(workbench, around.clock.now())?;
    if json {
        print_json(&found, out)?;
    } else {
        print_lines(&found, out)?;
    }
    let twice = found.sheets.iter().any(|sheet| !sheet.twice.is_empty());
    let damaged = environment::mend(&found.faults);
    Ok(if twice { Exit::ToMend } else { damaged })
}

fn print_lines(found: &Report, out: &mut dyn Write) -> Result<(), Failure> {
    if found.sheets.is_empty() && found.sources.is_empty() {
        writeln!(
            out,
            "Nothing waits: no sheet was imported and no source was added."
        )?;
        return Ok(());
    }
    for sheet in &found.sheets {
        let tally = &sheet.tally;
        writeln!(out, "{}", clean(&tally.sheet))?;
        writeln!(
            out,
            "  {}: {} taken by the import, {} hold no job",
            number_of(tally.rows, "row"),
            tally.taken,
            tally.skipped
        )?;
        writeln!(
            out,
            "  a person: {} waiting, {} done, {} passed over",
            sheet.waiting, sheet.done, sheet.passed
        )?;
        print_stretches(&sheet.stretches, out)?;
        for twice in &sheet.twice {
            writeln!(out, "  {}: {}", clean(&twice.source), clean(&twice.words))?;
        }
    }
    for source in &found.sources {
        let place = if source.place.is_empty() {
            String::new()
        } else {
            format!("  ({})", clean(&source.place))
        };
        writeln!(out, "{}{place}", clean(&source.title))?;
        let mut told = source.status.word().to_owned();
        if !source.jobs.is_empty() {
            told = format!("{told}; entered as {}", source.jobs.join(", "));
        }
        if !source.note.is_empty() {
            told = format!("{told}; {}", source.note);
        }
        writeln!(out, "  {}", clean(&told))?;
        print_stretches(&source.stretches, out)?;
    }
    Ok(())
}

fn print_stretches(stretches: &[Stretch], out: &mut dyn Write) -> Result<(), Failure> {
    for stretch in stretches {
        writeln!(out, "  {}", clean(&stretch.words()))?;
    }
    Ok(())
}

fn print_json(found: &Report, out: &mut dyn Write) -> Result<(), Failure> {
    let stretches = |all: &[Stretch]| -> Vec<Value> {
        let one = |s: &Stretch| {
            json!({
                "by": s.by, "from": s.rows.map(|r| r.0), "to": s.rows.map(|r| r.1),
                "until": s.until.map(|day| day.to_string()),
            })
        };
        all.iter().map(one).collect()
    };
    for sheet in &found.sheets {
        let tally = &sheet.tally;
        let twice: Vec<Value> = sheet
            .twice
            .iter()
            .map(|t| json!({ "source": t.source, "what": t.words }))
            .collect();
        let line = json!({
            "v": 1, "sheet": tally.sheet, "rows": tally.rows, "taken": tally.taken,
            "waiting": sheet.waiting, "done": sheet.done, "passed_over": sheet.passed,
            "skipped": tally.skipped, "stretches": stretches(&sheet.stretches), "twice": twice,
        });
        output::line(out, &line)?;
    }
    for source in &found.sources {
        let line = json!({
            "v": 1, "source": source.title, "where": source.place, "status": source.status.word(),
            "note": source.note, "jobs": source.jobs, "stretches": stretches(&source.stretches),
        });
        output::line(out, &line)?;
    }
    for decision in &found.decisions {
        let at = decision
            .at
            .to_rfc3339_opts(chrono::SecondsFormat::Millis, true);
        let line = json!({
            "v": 1, "decision": decision.id, "at": at, "by": decision.by, "about": decision.about,
            "what": decision.words,
        });
        output::line(out, &line)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_are_written_as_two_row_numbers() {
        assert_eq!(parse_rows("20-60"), Ok((20, 60)));
        assert_eq!(parse_rows(" 7 "), Ok((7, 7)));
        for bad in ["", "60-20", "0-3", "-3", "a-b", "1-2-3"] {
            assert!(parse_rows(bad).is_err(), "{bad:?}");
        }
    }
}
