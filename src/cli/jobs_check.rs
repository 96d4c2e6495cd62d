//! `jobs check`: what a lead should mend in the closed jobs, and whether two people code them alike.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use serde_json::json;

use crate::app::jobs;
use crate::app::jobs::check::ToMend;
use crate::app::jobs::coding;
use crate::app::jobs::coding::Coded;
use crate::app::workbench::Workbench;
use crate::cli::at_least_one;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::jobs::words_of;
use crate::cli::output;
use crate::domain::check;
use crate::domain::check::Kind;
use crate::domain::check::Severity;
use crate::domain::interval;
use crate::domain::text::clean;
use crate::domain::text::number_of;

/// Things of one kind that are shown where no kind is asked for.
const SHOWN: usize = 12;

/// What each kind and field means, for the help.
const SHAPES: &str = "\
Severities, the worst first: danger (it can hurt someone), wrong (it cannot be as it is written), missing \
(something needed was not written down), doubtful (it may be right; look), note (nothing has to be done).
Kinds: format (lines that cannot be read), missing (fields that a job needs), word (words outside the \
lists), double (several lines of one job), unsafe (acts that can hurt someone), number (numbers that cannot \
be, or not together), day (closing days that cannot be), designator (perhaps a slip of the pen), \
contradiction, coding (one repair in two circuits, by who closed it), twin (a case that stands twice), return (units that came again), link, follow-up, card (its \
answer came back as a wrong diagnosis), board, part, revision (unknown to the shop), proof, only-fixed (too \
few jobs without a fix), unused (circuits without a job).
Exit code 3 says that there is something to mend; notes alone do not count.

--json prints {\"v\":1,\"kind\",\"severity\",\"jobs\",\"places\",\"field\",\"what\",\"why\",\"todo\",\"mend\"} a \
thing: places are file:line, one a job; mend is the command to type (null where there is none), with words \
in capitals to fill in.

Coding sample: --coding-sample 40 > a.csv draws jobs without their circuit. Two people fill in the column \
Circuit, each in a copy of their own and without a look at the other's; --coded a.csv b.csv prints who put \
what where, how many agree, and Cohen's kappa with its 95 % limits, undefined where all is one circuit. JSON: \
{\"v\":1,\"coding\":{\"n\",\"agreed\",\"kappa\",\"error\",\"low\",\"high\",\"circuits\",\"table\",\"differ\",\
\"left_out\"}}, rows of the table the first file's. Exit code 3 says that rows could not be used.";

/// Check the closed jobs and say what is to mend
///
/// Every problem is told with its jobs, file and line, field, severity, and the command that mends it
/// where there is one. Nothing is changed, and no designator is ever taken for another.
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = SHAPES)]
pub struct CheckArgs {
    /// Tell only this kind, such as follow-up; may be given several times
    #[arg(long, value_name = "KIND", value_parser = parse_kind)]
    pub only: Vec<Kind>,
    /// Print a sample of N jobs without their circuit instead, for two people to code
    #[arg(long, value_name = "N", value_parser = at_least_one, conflicts_with_all = ["only", "coded"])]
    pub coding_sample: Option<usize>,
    /// Compare two samples that were filled in instead
    #[arg(long, value_names = ["FIRST", "SECOND"], num_args = 2, conflicts_with = "only")]
    pub coded: Vec<PathBuf>,
    /// Print JSON, one object for each thing to mend
    #[arg(long)]
    pub json: bool,
}

fn parse_kind(text: &str) -> Result<Kind, String> {
    Kind::from_word(text).ok_or_else(|| words_of(&Kind::ALL, Kind::word))
}

/// Runs the command.
pub fn run(
    args: &CheckArgs,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    if let Some(n) = args.coding_sample {
        return sample(n, args.json, workbench, around, out);
    }
    if let [first, second] = args.coded.as_slice() {
        return coded([first, second], args.json, workbench, around, out);
    }
    let mut found = jobs::check(workbench, around.clock.now())?;
    found.retain(|one| args.only.is_empty() || args.only.contains(&one.kind));
    if args.json {
        for one in &found {
            let shape = json!({
                "v": 1, "kind": one.kind.word(), "severity": one.severity.word(),
                "jobs": one.jobs, "places": one.places, "field": one.field,
                "what": one.what, "why": one.why, "todo": one.todo, "mend": one.mend,
            });
            output::line(out, &shape)?;
        }
    } else {
        let most = if args.only.is_empty() {
            SHOWN
        } else {
            usize::MAX
        };
        print_by_kind(&found, most, out)?;
    }
    Ok(if found.iter().all(is_note) {
        Exit::Done
    } else {
        Exit::ToMend
    })
}

fn is_note(one: &ToMend) -> bool {
    one.severity == Severity::Note
}

fn print_by_kind(found: &[ToMend], most: usize, out: &mut dyn Write) -> Result<(), Failure> {
    let mut kinds: BTreeMap<Kind, Vec<&ToMend>> = BTreeMap::new();
    for one in found {
        kinds.entry(one.kind).or_default().push(one);
    }
    for (kind, list) in &kinds {
        writeln!(out, "{} ({}): {}", kind.heading(), kind.word(), list.len())?;
        let mut list = list.clone();
        list.sort_by_key(|one| one.severity);
        let shown = if list.len() <= most { list.len() } else { most };
        for one in &list[..shown] {
            print_one(one, out)?;
        }
        if shown < list.len() {
            let rest = list.len() - shown;
            writeln!(
                out,
                "  … and {rest} more: `benchlore jobs check --only {}` tells all",
                kind.word()
            )?;
        }
        writeln!(out)?;
    }
    let counts = |wanted: &dyn Fn(&&&ToMend) -> bool| {
        let of_kind = kinds.iter().map(|(kind, list)| {
            let n = list.iter().filter(wanted).count();
            (n, kind.word())
        });
        let told = of_kind.filter(|(n, _)| 0 < *n);
        told.map(|(n, word)| format!("{n} {word}"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let (mend, notes) = (counts(&|one| !is_note(one)), counts(&|one| is_note(one)));
    if mend.is_empty() {
        writeln!(out, "Nothing to mend.")?;
    } else {
        writeln!(out, "To mend: {mend}")?;
    }
    if !notes.is_empty() {
        writeln!(out, "To know: {notes}")?;
    }
    Ok(())
}

fn print_one(one: &ToMend, out: &mut dyn Write) -> Result<(), Failure> {
    let why = if one.why.is_empty() {
        String::new()
    } else {
        format!("; {}", one.why)
    };
    writeln!(out, "  {}", clean(&format!("{}{why}", one.what)))?;
    let mut place = one.severity.word().to_owned();
    let places = places(&one.places);
    for part in [&places, &one.field] {
        if !part.is_empty() {
            place.push_str(", ");
            place.push_str(part);
        }
    }
    let todo = if one.todo.is_empty() { "" } else { ": " };
    writeln!(out, "    {}", clean(&format!("{place}{todo}{}", one.todo)))?;
    if let Some(mend) = &one.mend {
        writeln!(out, "    $ {}", clean(mend))?;
    }
    Ok(())
}

/// Returns places as words, each file named once in a row: `jobs/b7.jsonl:12, 17, jobs/c2.jsonl:3`.
fn places(places: &[String]) -> String {
    let mut before = "";
    let short: Vec<String> = places
        .iter()
        .map(|place| {
            let (file, line) = place.rsplit_once(':').unwrap_or((place, ""));
            let same = file == before && !line.is_empty();
            before = file;
            if same { line } else { place }.to_owned()
        })
        .collect();
    check::numbers(&short)
}

fn sample(
    n: usize,
    json: bool,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let seed = around.seed();
    let sample = coding::sample(workbench, n, seed)?;
    if json {
        for row in &sample.rows {
            let [job, board, rev, complaint, readings, done, proof, ..] = row.as_slice() else {
                continue;
            };
            let shape = json!({
                "v": 1, "job": job, "board": board, "rev": rev, "complaint": complaint,
                "readings": readings, "done": done, "proof": proof, "circuit": null,
            });
            output::line(out, &shape)?;
        }
    } else {
        out.write_all(coding::sheet(&sample).as_bytes())?;
        out.flush()?;
    }
    environment::complain(&format!(
        "{} of {} whose fault was located; the same again with --seed {seed}",
        sample.rows.len(),
        number_of(sample.of, "job")
    ));
    Ok(Exit::Done)
}

fn coded(
    files: [&PathBuf; 2],
    json: bool,
    workbench: &Workbench,
    around: &Around<'_>,
    out: &mut dyn Write,
) -> Result<Exit, Failure> {
    let mut texts = Vec::new();
    for file in files {
        let path = around.from_here(file);
        let bytes = workbench.disk.read(&path).map_err(|error| {
            let name = clean(&path.to_string_lossy());
            Failure::failed(format!("cannot read {name}: {error}"))
        })?;
        // A sheet saved in an old encoding still has its numbers and circuits in plain letters.
        texts.push(String::from_utf8_lossy(&bytes).into_owned());
    }
    let coded = coding::compare(&workbench.circuits, &texts[0], &texts[1]).map_err(|why| {
        Failure::failed(why)
            .hint("`benchlore jobs check --coding-sample 40` prints a sample to fill in")
    })?;
    if json {
        output::line(out, &coding_shape(&coded))?;
    } else {
        print_coded(&coded, out)?;
    }
    Ok(if coded.left_out.is_empty() {
        Exit::Done
    } else {
        Exit::ToMend
    })
}

fn coding_shape(coded: &Coded) -> serde_json::Value {
    let kappa = coded.table.kappa();
    let limits = kappa.and_then(|k| k.limits);
    let differ: Vec<_> = coded
        .differ
        .iter()
        .map(|(job, a, b)| json!({ "job": job, "first": a, "second": b }))
        .collect();
    let left_out: Vec<_> = coded
        .left_out
        .iter()
        .map(|(job, why)| json!({ "job": job, "why": why }))
        .collect();
    json!({ "v": 1, "coding": {
        "n": coded.table.n(), "agreed": coded.table.agreed(),
        "kappa": kappa.map(|k| k.kappa),
        "error": limits.map(|l| l.error), "low": limits.map(|l| l.low), "high": limits.map(|l| l.high),
        "circuits": coded.table.categories, "table": coded.table.counts,
        "differ": differ, "left_out": left_out,
    } })
}

fn print_coded(coded: &Coded, out: &mut dyn Write) -> Result<(), Failure> {
    let table = &coded.table;
    let (n, agreed) = (table.n(), table.agreed());
    print_table(coded, out)?;
    if let Some(limits) = interval::wilson(agreed, n) {
        let share = crate::domain::units::count(agreed) / crate::domain::units::count(n);
        writeln!(
            out,
            "Coded alike: {agreed} of {n}, {:.0} % (95 %: {:.0} to {:.0})",
            share * 100.0,
            limits.low * 100.0,
            limits.high * 100.0
        )?;
    } else {
        writeln!(out, "No job was coded by both.")?;
    }
    match table.kappa() {
        None if n == 0 => {}
        None => writeln!(out, "Kappa: undefined, both put every job into one circuit")?,
        Some(kappa) => match kappa.limits {
            None => writeln!(
                out,
                "Kappa: {:.2}, n = {n}, no interval where all agree",
                kappa.kappa
            )?,
            Some(limits) => writeln!(
                out,
                "Kappa: {:.2} (95 %: {:.2} to {:.2}), n = {n}",
                kappa.kappa, limits.low, limits.high
            )?,
        },
    }
    for (job, a, b) in &coded.differ {
        writeln!(
            out,
            "  {}: first {}, second {}",
            clean(job),
            clean(a),
            clean(b)
        )?;
    }
    if !coded.left_out.is_empty() {
        writeln!(out, "Not counted:")?;
        for (job, why) in &coded.left_out {
            writeln!(out, "  {}: {}", clean(job), clean(why))?;
        }
    }
    Ok(())
}

/// Prints who put what where; columns have numbers, so that sixteen circuits fit a window.
fn print_table(coded: &Coded, out: &mut dyn Write) -> Result<(), Failure> {
    let table = &coded.table;
    if table.categories.is_empty() {
        return Ok(());
    }
    writeln!(
        out,
        "Rows: the first file. Columns: the second, by the same numbers."
    )?;
    let width = 1 + table.n().max(table.counts.len()).to_string().len();
    let name = table.categories.iter().map(|c| c.chars().count()).max();
    let name = name.unwrap_or_default().min(16) + 4;
    write!(out, "{:name$}", "")?;
    for i in 1..=table.counts.len() {
        write!(out, "{i:>width$}")?;
    }
    writeln!(out)?;
    for (i, (category, row)) in table.categories.iter().zip(&table.counts).enumerate() {
        let short: String = clean(category).chars().take(16).collect();
        let label = format!("{:>2} {short}", i + 1);
        write!(out, "{label:name$}")?;
        for n in row {
            let cell = match n {
                0 => ".".to_owned(),
                n => n.to_string(),
            };
            write!(out, "{cell:>width$}")?;
        }
        writeln!(out)?;
    }
    writeln!(out)?;
    Ok(())
}
