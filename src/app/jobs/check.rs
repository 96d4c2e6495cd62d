//! Everything a lead should mend in the archive: the rules of the trade, and what reading found.

use std::collections::HashMap;
use std::path::Path;

use chrono::DateTime;
use chrono::Utc;

use crate::app::jobs;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::check;
use crate::domain::check::Kind;
use crate::domain::job::Job;
use crate::store::fault::Fault;
use crate::store::fault::Weight;
use crate::store::jobs::Archive;

/// One thing to mend, with where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToMend {
    /// What kind.
    pub kind: Kind,
    /// Numbers of the jobs it is about.
    pub jobs: Vec<String>,
    /// Where they stand: `jobs/b7.jsonl:12`, one for each job, as seen from the shop folder.
    pub places: Vec<String>,
    /// What it is.
    pub what: String,
    /// Why it matters, or how it was found; may be empty.
    pub why: String,
    /// What to do; may be empty.
    pub todo: String,
}

/// Returns everything that a lead should mend, kind by kind.
pub fn check(workbench: &Workbench, now: DateTime<Utc>) -> Result<Vec<ToMend>, AppError> {
    let archive = crate::store::jobs::load_jobs(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?;
    Ok(check_archive(workbench, archive, now))
}

/// Returns everything that a lead should mend in an archive that was read before, kind by kind.
pub fn check_archive(workbench: &Workbench, archive: Archive, now: DateTime<Utc>) -> Vec<ToMend> {
    let mut found: Vec<ToMend> = archive
        .faults
        .iter()
        .filter(|fault| !is_told_by_a_rule(fault))
        .map(|fault| {
            let at = (fault.path.clone(), fault.line.unwrap_or_default());
            let double = archive.disputed_places.contains(&at) && fault.weight == Weight::Damage;
            of_fault(workbench, fault, double)
        })
        .collect();
    let mut place_of = HashMap::new();
    for (record, (path, line)) in archive.jobs.iter().zip(&archive.places) {
        let place = place(workbench, path, Some(*line));
        place_of.insert(record.job.job.clone(), place);
    }
    let jobs: Vec<Job> = archive.jobs.into_iter().map(|r| r.job).collect();
    for one in check::check(&jobs::look(workbench, &jobs, now)) {
        found.push(ToMend {
            kind: one.kind,
            places: one
                .jobs
                .iter()
                .filter_map(|n| place_of.get(n).cloned())
                .collect(),
            jobs: one.jobs,
            what: one.what,
            why: one.why,
            todo: one.todo,
        });
    }
    found.sort_by_key(|one| one.kind);
    found
}

/// The reader warns of links and boards line by line; the rules tell the same with its jobs.
fn is_told_by_a_rule(fault: &Fault) -> bool {
    let field = fault.field.as_deref().unwrap_or_default();
    fault.weight == Weight::Warning && matches!(field, "follows" | "board")
}

fn of_fault(workbench: &Workbench, fault: &Fault, double: bool) -> ToMend {
    let field = fault.field.as_deref().unwrap_or_default();
    let kind = if double {
        Kind::Double
    } else if field == "corrects" {
        Kind::Link
    } else if fault.why.ends_with(" is not known") || fault.why.ends_with(" is not known here") {
        Kind::Word
    } else {
        Kind::Format
    };
    ToMend {
        kind,
        jobs: Vec::new(),
        places: vec![place(workbench, &fault.path, fault.line)],
        what: if field.is_empty() {
            fault.why.clone()
        } else {
            format!("{field}: {}", fault.why)
        },
        why: String::new(),
        todo: fault.todo.clone(),
    }
}

fn place(workbench: &Workbench, path: &Path, line: Option<u64>) -> String {
    let inside = path.strip_prefix(workbench.folder.root()).unwrap_or(path);
    let name = inside.to_string_lossy();
    line.map_or_else(
        || name.clone().into_owned(),
        |line| format!("{name}:{line}"),
    )
}
