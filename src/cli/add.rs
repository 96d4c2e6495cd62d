//! `jobs add`, `jobs correct`: a job entered in words, on the screen or in one line of a script.

use std::io::Write;

use chrono::NaiveDate;
use serde_json::Value;
use serde_json::json;

use crate::app::entry::look;
use crate::app::entry::look::FormView;
use crate::app::entry::save;
use crate::app::entry::save::Written;
use crate::app::entry::session;
use crate::app::entry::session::Session;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::cli::screen;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::form::Filled;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::form::Slot;
use crate::domain::intake::form::Standing;
use crate::domain::text::clean;
use crate::store::record::draft;

/// Characters of what was not understood that are printed.
const UNREAD: usize = 200;

/// Enter a closed job
///
/// Without words the screen opens: one line in the words of the bench, read as it is typed. With words
/// the job is read and printed, with what is missing; `--yes` writes it when nothing is. What the words
/// only may mean is proposed and never written by itself: say it with an option. Exit code 3 says that
/// something is missing. JSON: {"v","job","proposed","missing","remarks","unread","written"}.
#[derive(clap::Args, Clone, Debug, Default)]
pub struct AddArgs {
    /// Say what was seen, what was done and what came of it
    pub words: Vec<String>,
    #[command(flatten)]
    #[expect(missing_docs, reason = "its help is written at its fields")]
    pub fields: Fields,
    /// Sign it as this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Write the job when nothing is missing
    #[arg(long)]
    pub yes: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// Correct a closed job
///
/// On the screen the form opens, filled with the job. With words or options, what they say takes the
/// place of what stood there, or is added (findings and acts), and is printed; `--yes` writes it. A line
/// that corrects the job is added; the line itself stays, and `jobs show` tells what changed.
#[derive(clap::Args, Clone, Debug)]
pub struct CorrectArgs {
    /// Job to correct, by its number
    pub number: String,
    #[command(flatten)]
    #[expect(missing_docs, reason = "its help is written at its fields")]
    pub rest: AddArgs,
}

/// Fields that can be given one by one.
#[derive(clap::Args, Clone, Debug, Default)]
pub struct Fields {
    /// Board, by its id in shop.json
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// Revision of the board
    #[arg(long, value_name = "REV")]
    pub rev: Option<String>,
    /// The shop's number of the job; counted on from the last one where it is left out
    #[arg(long = "number", id = "job_number", value_name = "NUMBER")]
    pub number: Option<String>,
    /// Day it was closed, such as 2026-03-14; today where it is left out
    #[arg(long, value_name = "DATE")]
    pub closed: Option<NaiveDate>,
    /// Customer's words, such as no-power
    #[arg(long, value_name = "WORDS")]
    pub complaint: Option<String>,
    /// Circuit family where the proven fault was
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// What proved the fix
    #[arg(long, value_name = "WORDS")]
    pub proof: Option<String>,
    /// How it ended, such as unknown-so-far
    #[arg(long, value_name = "OUTCOME")]
    pub outcome: Option<String>,
    /// Why there was no fix
    #[arg(long, value_name = "REASON")]
    pub no_fix_reason: Option<String>,
    /// Earlier job of this unit, by its number
    #[arg(long, value_name = "NUMBER")]
    pub follows: Option<String>,
    /// Minutes at the bench
    #[arg(long, value_name = "MINUTES")]
    pub minutes: Option<String>,
    /// Anything else
    #[arg(long, value_name = "WORDS")]
    pub note: Option<String>,
    /// Serial of the unit: a mark is made of it, it is not stored
    #[arg(long, value_name = "SERIAL")]
    pub serial: Option<String>,
}

impl Fields {
    fn typed(&self) -> Vec<(Slot, String)> {
        let closed = self.closed.map(|d| d.to_string());
        let all = [
            (Slot::Board, &self.board),
            (Slot::Rev, &self.rev),
            (Slot::Number, &self.number),
            (Slot::Day, &closed),
            (Slot::Complaint, &self.complaint),
            (Slot::Family, &self.family),
            (Slot::Proof, &self.proof),
            (Slot::Outcome, &self.outcome),
            (Slot::NoFixReason, &self.no_fix_reason),
            (Slot::Follows, &self.follows),
            (Slot::Minutes, &self.minutes),
            (Slot::Note, &self.note),
        ];
        let given = all
            .into_iter()
            .filter_map(|(slot, text)| Some((slot, text.clone()?)));
        given.collect()
    }
}

impl AddArgs {
    fn asks_for_the_screen(&self) -> bool {
        let nothing =
            self.words.is_empty() && self.fields.typed().is_empty() && self.fields.serial.is_none();
        nothing && !self.yes && !self.json
    }
}

/// Runs `jobs add`.
pub fn add(args: &AddArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    enter(args, Purpose::Add, around, out)
}

/// Runs `jobs correct`.
pub fn correct(
    args: &CorrectArgs,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let purpose = Purpose::Correct(args.number.clone());
    enter(&args.rest, purpose, around, out)
}

/// Opens the form on the screen, or reads it from the arguments.
pub fn enter(
    args: &AddArgs,
    purpose: Purpose,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    if args.asks_for_the_screen() && around.environment.output_is_terminal {
        return screen::form(args.person.as_deref(), purpose, around);
    }
    let mut workbench = around.workbench()?;
    let person = workbench.person(args.person.as_deref())?;
    let now = around.clock.now();
    let (session, mut form) = Session::passing(&workbench, &person, &purpose, now)?;
    if !args.words.is_empty() {
        let words = args.words.join(" ");
        form.words = if form.words.is_empty() {
            words
        } else {
            format!("{}\n{words}", form.words)
        };
    }
    form.typed.extend(args.fields.typed());
    if let Some(serial) = &args.fields.serial {
        let drawn = around.draw_key()?;
        form.unit = session::mark_unit(&mut workbench, &person, serial, &drawn, now)?;
    }
    let (filled, _) = session.read(&workbench, &form);
    let view = look::view(&workbench, &session, &form);
    let wrong = view
        .lines
        .iter()
        .any(|l| matches!(l.standing, Standing::Bad(_)));
    let whole = view.missing.is_empty() && !wrong;
    let written = if args.yes && whole {
        Some(save::write(&workbench, &session, &form, now)?)
    } else {
        None
    };
    if args.json {
        output::line(out, &shape(&filled, &view, written.as_ref()))?;
    } else {
        tell(&view, written.as_ref(), args.yes, out)?;
    }
    Ok(if whole { Exit::Done } else { Exit::ToMend })
}

fn tell(
    view: &FormView,
    written: Option<&Written>,
    yes: bool,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    for caution in &view.cautions {
        writeln!(out, "{caution}")?;
    }
    for line in view
        .lines
        .iter()
        .filter(|l| !l.value.is_empty() || l.waits())
    {
        let sign = match line.standing {
            Standing::Proposed(_) => "?",
            Standing::Missing => "-",
            Standing::Bad(_) => "!",
            _ => " ",
        };
        let value = if line.standing == Standing::Missing {
            "missing"
        } else {
            &line.value
        };
        let text = format!("{sign} {:<12} {value}  {}", line.label, line.beside);
        writeln!(out, "{}", text.trim_end())?;
    }
    if !view.unread.is_empty() {
        let all = view.unread.join(" | ");
        let mut first: String = all.chars().take(UNREAD).collect();
        if first.len() < all.len() {
            first.push('…');
        }
        writeln!(out, "Not understood, and kept: {first}")?;
    }
    for remark in &view.remarks {
        writeln!(out, "{}", remark.text)?;
    }
    if let Some(written) = written {
        for line in written.lines() {
            writeln!(out, "{line}")?;
        }
        if let Some(earlier) = &written.earlier {
            let (earlier, number) = (clean(&earlier.number), clean(&written.number));
            writeln!(
                out,
                "What that says of {earlier}: benchlore jobs returned {earlier} --by {number} --cause CAUSE"
            )?;
        }
    } else if view.missing.is_empty() {
        let todo = if yes {
            "Nothing was written: mend what is marked with !"
        } else {
            "Nothing is missing: --yes writes it"
        };
        writeln!(out, "{todo}")?;
    } else {
        let words: Vec<&str> = view.missing.iter().map(|m| m.words()).collect();
        writeln!(out, "Nothing was written: {}", words.join(", "))?;
    }
    Ok(())
}

fn shape(filled: &Filled, view: &FormView, written: Option<&Written>) -> Value {
    let job = |draft: &Draft| Value::Object(draft::write(draft));
    let remarks: Vec<Value> = view
        .remarks
        .iter()
        .map(|r| json!({"about": r.about.word(), "text": r.text, "jobs": r.jobs}))
        .collect();
    let missing: Vec<&str> = view.missing.iter().map(|m| m.field()).collect();
    json!({
        "v": 1,
        "job": job(&filled.draft),
        "proposed": job(&filled.proposed),
        "missing": missing,
        "cautions": view.cautions,
        "remarks": remarks,
        "unread": view.unread,
        "written": written.map(|w| json!({
            "job": w.number, "id": w.id, "tier": w.row.tier_letter(), "lacks": w.lacks,
            "was_there": w.was_there,
            "returns": w.earlier.as_ref().map(|e| e.number.clone()),
        })),
    })
}
