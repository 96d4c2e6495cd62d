//! `inspect`: look the whole shop folder through; make and restore backups.

use std::io::Write;
use std::path::PathBuf;

use serde_json::json;

use crate::app::backup;
use crate::app::inspect;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::text::clean;
use crate::domain::text::number_of;
use crate::store::fault::Fault;
use crate::store::fault::Weight;

/// Look the whole shop folder through, or make and restore a backup
///
/// Without an option: everything is read and nothing is changed; only what `cache/` keeps of a journal that
/// has rotted since goes. What is damaged, does not fit together or was left lying is named with file, line
/// and what to do. With --json one object a thing to mend comes first, with `to_mend` (`damage` or `look`),
/// `file`, `line`, `field`, `what` and `todo`; then one with `shop`, `counts` and the number `to_mend`. Each
/// has `v`, which is 1.
#[derive(clap::Args, Clone, Debug)]
pub struct InspectArgs {
    /// Print JSON, one object a thing to mend, then the counts
    #[arg(long)]
    pub json: bool,
    /// Copy the shop into this new file instead (a tar archive), and read it back
    ///
    /// Everything but cache/ and locks goes in, with a SHA-256 for every file. A drill may go on
    /// meanwhile: journals go in up to the last whole line. An existing file is never replaced.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["restore", "into"])]
    pub backup: Option<PathBuf>,
    /// Restore this backup instead, into the folder given with --into
    ///
    /// The whole backup is checked before anything is written.
    #[arg(long, value_name = "FILE", requires = "into")]
    pub restore: Option<PathBuf>,
    /// Restore into this folder, which must be new or empty
    #[arg(long, value_name = "DIR", requires = "restore")]
    pub into: Option<PathBuf>,
}

/// Runs the command.
pub fn run(args: &InspectArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let mut progress = environment::progress();
    let mut step = |what: &str, n: usize, all: usize| progress.step(what, n, all);
    if let (Some(file), Some(into)) = (&args.restore, &args.into) {
        let (file, into) = (around.from_here(file), around.from_here(into));
        let done = backup::restore(around.disk.as_ref(), &file, &into, &mut step);
        progress.end();
        let done = done?;
        if args.json {
            let made = done.made.to_rfc3339();
            let line = json!({ "v": 1, "restored": { "files": done.files, "made": made } });
            output::line(out, &line)?;
        } else {
            writeln!(
                out,
                "Restored {} of {} from {} into {}",
                number_of(done.files, "file"),
                clean(&done.name),
                done.made.format("%Y-%m-%d %H:%M UTC"),
                clean(&into.to_string_lossy())
            )?;
        }
        return Ok(Exit::Done);
    }
    let folder = around.folder()?;
    let now = around.clock.now();
    if let Some(file) = &args.backup {
        let file = around.from_here(file);
        let root = around.from_here(folder.root());
        let folder = crate::store::paths::ShopFolder::new(root);
        let done = backup::make(around.disk.as_ref(), &folder, &file, now, &mut step);
        progress.end();
        let done = done?;
        for fault in &done.left_out {
            environment::complain(&fault.to_string());
        }
        let torn: Vec<String> = done
            .unfinished
            .iter()
            .map(|(path, n)| {
                format!(
                    "{path}: the last {} are no whole line",
                    number_of(*n, "byte")
                )
            })
            .collect();
        if args.json {
            let line = json!({ "v": 1, "backup": {
                "files": done.files, "bytes": done.bytes, "sha256": done.sha256,
                "unfinished": torn, "left_out": done.left_out.len(),
            } });
            output::line(out, &line)?;
        } else {
            writeln!(
                out,
                "Backup of {} ({} bytes) in {}, read back and found the same\nSHA-256 {}",
                number_of(done.files, "file"),
                done.bytes,
                clean(&file.to_string_lossy()),
                done.sha256
            )?;
            for line in &torn {
                writeln!(out, "Not in it: {}", clean(line))?;
            }
        }
        return Ok(if done.left_out.is_empty() {
            Exit::Done
        } else {
            Exit::ToMend
        });
    }
    let report = inspect::inspect(&around.disk, &folder, now, &mut step);
    progress.end();
    if args.json {
        print_json(&report, out)?;
    } else {
        print(&report, out)?;
    }
    Ok(if report.found.is_empty() {
        Exit::Done
    } else {
        Exit::ToMend
    })
}

fn print(report: &inspect::Report, out: &mut dyn Write) -> Result<(), Failure> {
    let name = report.name.as_deref().unwrap_or("This shop");
    writeln!(out, "{} was looked through:", clean(name))?;
    for (_, label, n) in report.counts.iter().filter(|(_, _, n)| *n > 0) {
        writeln!(out, "  {n:>7} {label}")?;
    }
    for fault in &report.found {
        writeln!(out, "{fault}")?;
    }
    match report.found.len() {
        0 => writeln!(out, "Nothing to mend")?,
        n => writeln!(
            out,
            "{} to mend; nothing was changed",
            number_of(n, "thing")
        )?,
    }
    Ok(())
}

fn print_json(report: &inspect::Report, out: &mut dyn Write) -> Result<(), Failure> {
    for fault in &report.found {
        output::line(out, &to_json(fault))?;
    }
    let counts: serde_json::Map<_, _> = report
        .counts
        .iter()
        .map(|(word, _, n)| ((*word).to_owned(), json!(n)))
        .collect();
    let line = json!({
        "v": 1, "shop": report.name, "counts": counts, "to_mend": report.found.len(),
    });
    output::line(out, &line)
}

fn to_json(fault: &Fault) -> serde_json::Value {
    let weight = match fault.weight {
        Weight::Damage => "damage",
        Weight::Warning => "look",
    };
    json!({
        "v": 1, "to_mend": weight, "file": fault.path.to_string_lossy(), "line": fault.line,
        "field": fault.field, "what": fault.why, "todo": fault.todo,
    })
}
