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
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::job::Job;
use crate::store::fault::Fault;
use crate::store::fault::Weight;
use crate::store::jobs::Archive;

/// One thing to mend, with where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToMend {
    /// What kind.
    pub kind: Kind,
    /// How bad it is.
    pub severity: Severity,
    /// Numbers of the jobs it is about, as far as they are known.
    pub jobs: Vec<String>,
    /// Where they stand: `jobs/b7.jsonl:12`, one for each job, as seen from the shop folder.
    pub places: Vec<String>,
    /// Field of the job line; empty where it is about no field.
    pub field: String,
    /// What it is.
    pub what: String,
    /// Why it matters, or how it was found; may be empty.
    pub why: String,
    /// What to do; may be empty.
    pub todo: String,
    /// The command that mends it, where there is one.
    pub mend: Option<String>,
}

/// Returns everything that a lead should mend, kind by kind.
pub fn check(workbench: &Workbench, now: DateTime<Utc>) -> Result<Vec<ToMend>, AppError> {
    let archive = crate::store::jobs::load_lean(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?;
    Ok(check_archive(workbench, archive, now))
}

/// Returns everything that a lead should mend in an archive that was read before, kind by kind.
pub fn check_archive(workbench: &Workbench, archive: Archive, now: DateTime<Utc>) -> Vec<ToMend> {
    let faults = archive.faults.iter().filter(|f| !is_told_by_a_rule(f));
    let mut found: Vec<ToMend> = faults
        .map(|fault| of_fault(workbench, &archive, fault))
        .collect();
    let mut place_of = HashMap::new();
    for (record, (path, line)) in archive.jobs.iter().zip(&archive.places) {
        let place = place(workbench, path, Some(*line));
        place_of.insert(record.job.job.clone(), place);
    }
    let jobs: Vec<Job> = archive.jobs.into_iter().map(|r| r.job).collect();
    let cards = workbench.cards();
    let look = Look {
        cards: &cards,
        ..jobs::look(workbench, &jobs, now)
    };
    for one in check::check(&look) {
        found.push(ToMend {
            kind: one.kind,
            severity: one.severity,
            places: one
                .jobs
                .iter()
                .filter_map(|n| place_of.get(n).cloned())
                .collect(),
            jobs: one.jobs,
            field: one.field,
            what: one.what,
            why: one.why,
            todo: one.todo,
            mend: one.mend,
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

fn of_fault(workbench: &Workbench, archive: &Archive, fault: &Fault) -> ToMend {
    let field = fault.field.clone().unwrap_or_default();
    let at = (fault.path.clone(), fault.line.unwrap_or_default());
    let damage = fault.weight == Weight::Damage;
    let disputed = archive.disputed_places.iter().position(|p| *p == at);
    let live = archive.places.iter().position(|p| *p == at);
    let job = match (live, disputed) {
        (Some(at), _) => Some(archive.jobs[at].job.job.clone()),
        (None, Some(at)) => Some(archive.disputed[at].job.job.clone()),
        (None, None) => archive.numbers.get(&at).cloned(),
    };
    let kind = if disputed.is_some() && damage {
        Kind::Double
    } else if field == "corrects" {
        Kind::Link
    } else if fault.why.ends_with(" is not known") || fault.why.ends_with(" is not known here") {
        Kind::Word
    } else if damage && (fault.why == "missing" || fault.why == "empty") {
        Kind::Missing
    } else if damage && fault.why.contains(" is below ") {
        Kind::Number
    } else {
        Kind::Format
    };
    ToMend {
        kind,
        severity: match (kind, damage) {
            (Kind::Missing, _) => Severity::Missing,
            (_, true) => Severity::Wrong,
            (_, false) => Severity::Doubtful,
        },
        places: vec![place(workbench, &fault.path, fault.line)],
        what: if field.is_empty() {
            fault.why.clone()
        } else {
            format!("{field}: {}", fault.why)
        },
        why: String::new(),
        todo: fault.todo.clone(),
        // Only a line that counts can be corrected by another; the rest is mended in its file.
        mend: live.and(job.as_deref()).and_then(check::correct),
        jobs: job.into_iter().collect(),
        field,
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
