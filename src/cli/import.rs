//! `jobs import`: closed jobs taken in from a sheet.

use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use serde_json::Value;
use serde_json::json;

use crate::app::intake::import;
use crate::app::intake::import::Listener;
use crate::app::intake::import::Order;
use crate::app::intake::import::Report;
use crate::app::intake::import::SheetEnds;
use crate::app::intake::import::Summary;
use crate::app::intake::open;
use crate::app::intake::open::ImportError;
use crate::app::intake::open::Offer;
use crate::app::intake::open::Opened;
use crate::app::intake::open::Origin;
use crate::app::intake::say;
use crate::app::jobs::export;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::import_talk;
use crate::cli::import_talk::Answer;
use crate::cli::output;
use crate::domain::intake::mapping::Mapping;
use crate::domain::text::clean;
use crate::domain::text::clean_json;
use crate::store::intake::maps;
use crate::store::staged::Staged;
use crate::tui::measure;

/// Take closed jobs in from a sheet
///
/// Reads CSV, TSV, XLSX and ODS. Shows what each column seems to hold and five rows as they would be
/// taken; you change that line by line, or press Enter to take it. It is remembered for the next sheet
/// with the same headers. Each row becomes a job, waits for a person, or is left out with a reason;
/// nothing is taken twice, whatever name the sheet comes under.
///
/// With --yes or --map nobody is asked, and boards that the shop does not know are added to
/// shop.json. Rows that need a person wait in intake/: `benchlore jobs backlog` lists them.
///
/// --report writes one JSON line for each row of the sheet: {"source","end":"taken"|"needs-person"|
/// "skipped","why":[],"job","suggestion","row"}, and the job's own line as "record" where it was
/// taken. --json prints {"v":1,"import":{"sheets":[{"source","rows","taken","needs_person",
/// "skipped","skipped_why":{},"needs_why":{},"rows_file"}],"total":{…},"boards":[{"id","name"}],
/// "jobs_file","dry_run"}}. The exit code is 0 also where rows need a person.
#[expect(clippy::doc_markdown, reason = "help shows this text as it stands")]
#[derive(clap::Args, Clone, Debug)]
pub struct ImportArgs {
    /// Sheet to take in
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Read the columns as this file says, and ask nobody
    #[arg(long, value_name = "MAP.json")]
    pub map: Option<PathBuf>,
    /// Write how the columns are read to this file, for --map
    #[arg(long, value_name = "MAP.json")]
    pub write_map: Option<PathBuf>,
    /// Take the columns as they are proposed, and ask nobody
    #[arg(long)]
    pub yes: bool,
    /// Write what became of each row to this file, one JSON line a row; - for standard output
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Sign the jobs as entered by this person; may be left out where there is only one
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Count and report what would become of the rows, and write nothing else
    #[arg(long)]
    pub dry_run: bool,
}

/// Runs the command.
pub fn run(
    args: &ImportArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    harmless(args, workbench, around)?;
    let given = args.map.as_ref().map(|map| read_map(map, around));
    let given = given.transpose()?;
    let by = entered_by(args, workbench)?;
    let opened = open::open(workbench, &around.from_here(&args.file))?;
    for fault in workbench.fault_lines(&opened.faults) {
        environment::complain(&fault);
    }
    let now = around.clock.now();
    let mut offers = opened.offers(workbench, given.as_ref(), now);
    if let Some(map) = args.map.as_ref().filter(|_| !offers.is_empty())
        && offers.iter().all(|offer| offer.origin != Origin::Given)
    {
        let failure = Failure::failed(format!(
            "{} does not fit these columns, and nothing was written",
            map.display()
        ));
        let told = offers.iter().filter_map(|offer| offer.map_misfit.as_ref());
        return Err(told.fold(failure, |failure, why| failure.hint(clean(why))));
    }
    let asks = !args.yes && given.is_none();
    let quiet = args.json || args.report.as_deref() == Some(Path::new("-"));
    if !quiet || asks {
        let mut text: Vec<u8> = Vec::new();
        import_talk::show_book(&opened.book, &mut text)?;
        for offer in &offers {
            import_talk::show(&opened, workbench, offer, now, &mut text)?;
        }
        if quiet {
            environment::complain(String::from_utf8_lossy(&text).trim_end());
        } else {
            out.write_all(&text)?;
        }
    }
    if asks {
        offers = ask(&opened, workbench, offers, around, out)?;
    }
    if let Some(path) = &args.write_map {
        write_map(&around.from_here(path), &offers, around)?;
    }
    let order = Order {
        by: by.as_deref(),
        unit_key: &around.unit_key()?,
        now,
        dry_run: args.dry_run,
    };
    let summary = carry_out(args, (workbench, &opened, &offers), order, around, out)?;
    if args.json {
        output::line(out, &summary_json(&summary, args.dry_run))?;
    } else {
        let mut text: Vec<u8> = Vec::new();
        summary_text(&summary, args.dry_run, &mut text)?;
        if quiet {
            environment::complain(String::from_utf8_lossy(&text).trim_end());
        } else {
            out.write_all(&text)?;
        }
    }
    Ok(Exit::Done)
}

/// Refuses files for the report and the map that would be written over something that is needed.
fn harmless(args: &ImportArgs, workbench: &Workbench, around: &Around<'_>) -> Result<(), Failure> {
    let root = around.from_here(workbench.folder.root());
    let sheet = around.from_here(&args.file);
    let map = args.map.as_ref().map(|map| around.from_here(map));
    let mut read: Vec<&Path> = vec![&sheet];
    read.extend(map.as_deref());
    let report = args.report.as_ref().filter(|path| *path != Path::new("-"));
    for path in report.into_iter().chain(&args.write_map) {
        export::may_replace(workbench, &root, &around.from_here(path), &read)?;
    }
    Ok(())
}

/// Asks what the columns of each worksheet hold; worksheets that the person leaves out are gone.
fn ask(
    opened: &Opened,
    workbench: &Workbench,
    offers: Vec<Offer>,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Vec<Offer>, Failure> {
    let mut taken = Vec::new();
    let several = offers.len() > 1;
    for mut offer in offers {
        let now = around.clock.now();
        let terminal = around.environment.input_is_terminal;
        match import_talk::talk(opened, workbench, &mut offer, (now, several, terminal), out)? {
            Answer::Take => taken.push(offer),
            Answer::LeaveOut => {}
            Answer::Stop => return Err(Failure::failed("stopped; nothing was written")),
            Answer::Nobody => {
                return Err(Failure::usage(
                    "nothing was written: nobody is here to say whether the columns are right",
                )
                .hint("--yes takes them as shown; --map MAP.json says what they hold")
                .hint("--write-map MAP.json with --dry-run --yes writes a map to change"));
            }
        }
    }
    Ok(taken)
}

fn entered_by(args: &ImportArgs, workbench: &Workbench) -> Result<Option<String>, Failure> {
    let person = match &args.person {
        Some(person) => Some(workbench.person(Some(person))?),
        // Where it is not clear who imports, the lines do not say.
        None => workbench.person(None).ok(),
    };
    Ok(person.map(|person| person.initials.to_lowercase()))
}

fn carry_out(
    args: &ImportArgs,
    (workbench, opened, offers): (&Workbench, &Opened, &[Offer]),
    order: Order<'_>,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Summary, Failure> {
    let stop = environment::Interrupt::watch()?;
    let mut meter = environment::progress();
    let mut progress = |done: u64, all: u64| {
        meter.bar("rows", done, all);
        !stop.raised()
    };
    let path = args
        .report
        .as_deref()
        .filter(|path| *path != Path::new("-"));
    let path = path.map(|path| around.from_here(path));
    let refused = |error: std::io::Error| ImportError::Report(error);
    let mut file = match &path {
        Some(path) => Some(Staged::begin(around.disk.as_ref(), path).map_err(refused)?),
        None => None,
    };
    let mut to_file;
    let mut to_out;
    let report: Option<Report<'_>> = match &mut file {
        Some(file) => {
            to_file = |line: &str| file.put_line(line);
            Some(&mut to_file)
        }
        None if args.report.is_some() => {
            to_out = |line: &str| writeln!(out, "{}", clean_json(line));
            Some(&mut to_out)
        }
        None => None,
    };
    let listener = Listener {
        report,
        progress: &mut progress,
    };
    let done = import::import(workbench, opened, offers, order, listener);
    meter.end();
    let summary = done?;
    if let Some(file) = file {
        file.keep().map_err(refused)?;
    }
    Ok(summary)
}

fn read_map(path: &Path, around: &Around<'_>) -> Result<Mapping, Failure> {
    let text = environment::read_text(&around.from_here(path).to_string_lossy())?;
    maps::read_one(&text, path).map_err(|faults| {
        let what = format!(
            "{} says nothing that columns can be read by",
            path.display()
        );
        let failure = Failure::failed(what);
        faults
            .iter()
            .fold(failure, |failure, fault| failure.hint(fault.to_string()))
    })
}

fn write_map(path: &Path, offers: &[Offer], around: &Around<'_>) -> Result<(), Failure> {
    let Some(offer) = offers.first() else {
        return Ok(());
    };
    let mut mapping = offer.mapping.clone();
    mapping.boards.extend(offer.new_boards.clone());
    let text = maps::write_one(&offer.shape, &mapping);
    let written = Staged::begin(around.disk.as_ref(), path).and_then(|mut file| {
        file.put(text.as_bytes())?;
        file.keep()
    });
    written.map_err(|error| Failure::failed(format!("cannot write {}: {error}", path.display())))
}

fn summary_text(summary: &Summary, dry_run: bool, out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(out)?;
    for ends in &summary.sheets {
        let of = [ends.rows, ends.taken, ends.needs_person, ends.skipped];
        writeln!(out, "{}: {}", clean(&ends.source), counts(of))?;
        let in_words = |why: &str| match why.split_once(": ") {
            Some((field, why)) => say::reason(field, why),
            None => say::reason("", why),
        };
        reasons("need a person", &ends.needs_why, &in_words, out)?;
        reasons("left out", &ends.skipped_why, &clean, out)?;
    }
    if summary.sheets.len() > 1 {
        writeln!(out, "In all: {}", counts(summary.total()))?;
    }
    for (id, name) in &summary.boards {
        let (id, name) = (clean(id), clean(name));
        writeln!(out, "Board added to shop.json: {id} ({name})")?;
    }
    if summary.new_key {
        writeln!(
            out,
            "The shop has a key for marks of units now; the serials themselves are not kept"
        )?;
    }
    if dry_run {
        return writeln!(out, "Nothing was written: this was a trial");
    }
    if let Some(file) = &summary.jobs_file {
        writeln!(out, "Jobs went to {}", clean(&file.to_string_lossy()))?;
    }
    let waits = summary.sheets.iter().any(|ends| ends.needs_person > 0);
    for ends in summary.sheets.iter().filter(|ends| ends.needs_person > 0) {
        if let Some(file) = &ends.rows_file {
            writeln!(out, "Rows that wait: {}", clean(&file.to_string_lossy()))?;
        }
    }
    if waits {
        writeln!(
            out,
            "Next: `benchlore jobs backlog` lists what waits; the intake screen works on it"
        )?;
    } else if summary.total()[1] > 0 {
        writeln!(out, "Next: `benchlore deck build` makes cards of the jobs")?;
    }
    Ok(())
}

fn counts([rows, taken, needs_person, skipped]: [u64; 4]) -> String {
    let rows = if rows == 1 {
        "1 row".to_owned()
    } else {
        format!("{rows} rows")
    };
    let needs = if needs_person == 1 { "needs" } else { "need" };
    format!("{rows}: {taken} taken, {needs_person} {needs} a person, {skipped} skipped")
}

fn reasons(
    what: &str,
    why: &std::collections::BTreeMap<String, u64>,
    in_words: &dyn Fn(&str) -> String,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    const MOST: usize = 8;
    let mut list: Vec<(&String, &u64)> = why.iter().collect();
    list.sort_by(|a, b| (b.1, a.0).cmp(&(a.1, b.0)));
    for (why, n) in list.iter().take(MOST) {
        let line = format!("{what}: {n} {}", in_words(why));
        for (i, piece) in measure::wrap(&line, 74).iter().enumerate() {
            let lead = if i == 0 { "  " } else { "      " };
            writeln!(out, "{lead}{piece}")?;
        }
    }
    if list.len() > MOST {
        writeln!(out, "  {what}: and {} reasons more", list.len() - MOST)?;
    }
    Ok(())
}

fn summary_json(summary: &Summary, dry_run: bool) -> Value {
    let sheets: Vec<Value> = summary.sheets.iter().map(ends_json).collect();
    let [rows, taken, needs_person, skipped] = summary.total();
    let boards = summary.boards.iter();
    let boards: Vec<Value> = boards
        .map(|(id, name)| json!({"id": id, "name": name}))
        .collect();
    json!({"v": 1, "import": {
        "sheets": sheets,
        "total": {"rows": rows, "taken": taken, "needs_person": needs_person, "skipped": skipped},
        "boards": boards,
        "jobs_file": summary.jobs_file,
        "dry_run": dry_run,
    }})
}

fn ends_json(ends: &SheetEnds) -> Value {
    json!({
        "source": ends.source,
        "rows": ends.rows,
        "taken": ends.taken,
        "needs_person": ends.needs_person,
        "skipped": ends.skipped,
        "skipped_why": ends.skipped_why,
        "needs_why": ends.needs_why,
        "rows_file": ends.rows_file,
    })
}

impl From<ImportError> for Failure {
    fn from(error: ImportError) -> Self {
        match error {
            ImportError::App(error) => error.into(),
            ImportError::Sheet(error) => {
                let todo = error.todo();
                Self::failed(chain(&error)).hint(todo)
            }
            ImportError::Report(_) => Self::failed(chain(&error))
                .hint("nothing was taken in; name another file, or see to its folder"),
            ImportError::Stopped => Self::failed(chain(&error)),
        }
    }
}
