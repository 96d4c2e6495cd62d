//! One job, whole, on one page: what was seen, done and said, and the other jobs of its unit.

use chrono::DateTime;
use chrono::Utc;
use serde_json::Value;

use crate::app::jobs;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::check::follow_up::Chains;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::job::Confidence;
use crate::domain::job::Job;
use crate::domain::job_changes;
use crate::domain::text::clean;
use crate::domain::wording;
use crate::store::record::job::JobRecord;

/// One job as a page; every text is fit for a terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WholeJob {
    /// The shop's number.
    pub number: String,
    /// `14 Mar 2026, Petrel P4 helm display, rev C`.
    pub title: String,
    /// Lines as label and text; a label is empty where the one above goes on.
    pub lines: Vec<(String, String)>,
    /// Numbers of the earlier jobs of this unit, earliest first.
    pub earlier: Vec<String>,
    /// Numbers of its later jobs.
    pub later: Vec<String>,
}

/// Returns job `number` whole.
///
/// Unit marks and prices are left out: nobody reads a mark, and the chain is told by numbers.
pub fn page(workbench: &Workbench, number: &str, now: DateTime<Utc>) -> Result<WholeJob, AppError> {
    let archive = crate::store::jobs::load_jobs(
        workbench.disk.as_ref(),
        &workbench.folder,
        &workbench.shop,
        &workbench.circuits,
    )?;
    let all: Vec<Job> = archive.jobs.iter().map(|r| r.job.clone()).collect();
    let id = jobs::find(&all, number)?.id.clone();
    let mut pages = archive
        .jobs
        .iter()
        .filter(|r| r.job.id == id)
        .map(|record| {
            let before = before(record, &archive.replaced);
            whole(workbench, &all, record, &before, now)
        });
    pages.next().ok_or_else(|| jobs::no_such_job(number))
}

fn whole(
    workbench: &Workbench,
    all: &[Job],
    record: &JobRecord,
    before: &[&JobRecord],
    now: DateTime<Utc>,
) -> WholeJob {
    let job = &record.job;
    let row = &jobs::rows(workbench, all, &[job], now)[0];
    let around = Chains::of(all).around(job);
    let mut earlier: Vec<&Job> = around
        .iter()
        .copied()
        .filter(|o| (o.closed_on, &o.job) < (job.closed_on, &job.job) && !names(o, job))
        .collect();
    let named = all.iter().find(|o| names(job, o) && o.id != job.id);
    if let Some(named) = named
        && !earlier.iter().any(|o| o.id == named.id)
    {
        earlier.push(named);
    }
    let later: Vec<&Job> = around
        .into_iter()
        .filter(|o| !earlier.iter().any(|e| e.id == o.id))
        .collect();
    let rev = job.rev.as_deref().map_or_else(
        || "revision not recorded".to_owned(),
        |rev| format!("rev {rev}"),
    );
    let mut page = Page::default();
    seen(&mut page, job);
    done(&mut page, job);
    ended(&mut page, job, &row.outcome_words(), row.tier);
    circumstances(&mut page, record);
    chain(&mut page, &earlier, &later, job);
    history(&mut page, record, before);
    WholeJob {
        number: clean(&job.job),
        title: clean(&format!(
            "{}, {}, {rev}",
            job.closed_on.format("%-d %b %Y"),
            row.board_name
        )),
        lines: page.lines,
        earlier: earlier.iter().map(|j| j.job.clone()).collect(),
        later: later.iter().map(|j| j.job.clone()).collect(),
    }
}

/// Returns the lines that stood before `record`, the latest first.
fn before<'a>(record: &JobRecord, replaced: &'a [JobRecord]) -> Vec<&'a JobRecord> {
    let mut found: Vec<&JobRecord> = Vec::new();
    let mut corrects = record.job.corrects.clone();
    while let Some(id) = corrects.take() {
        let line = replaced.iter().find(|r| r.job.id == id);
        // A ring of corrections ends where it closes.
        let Some(line) = line.filter(|l| !found.iter().any(|f| f.job.id == l.job.id)) else {
            break;
        };
        found.push(line);
        corrects.clone_from(&line.job.corrects);
    }
    found
}

/// Tells who changed what when, the latest first, and who entered it.
fn history(page: &mut Page, record: &JobRecord, before: &[&JobRecord]) {
    if before.is_empty() {
        return;
    }
    page.line("Corrected", "this is the latest of several lines about it");
    let mut new = record;
    for old in before {
        page.line("Changed", &signed(new));
        let mut told = job_changes::changes(&old.job, &new.job);
        for field in ["note", "minutes", "minutes_to_find", "with"] {
            if old.extra(field) != new.extra(field) {
                told.push(format!("{field}: changed"));
            }
        }
        for one in told {
            page.line("Changed", &format!("  {one}"));
        }
        new = old;
    }
    page.line("Changed", &format!("{}: as first entered", signed(new)));
}

fn signed(record: &JobRecord) -> String {
    let word = |field: &str| record.extra(field).and_then(Value::as_str);
    let who = word("entered_by").unwrap_or("someone who left no name");
    match word("entered_on") {
        Some(day) => format!("{day}, {who}"),
        None => who.to_owned(),
    }
}

fn names(job: &Job, other: &Job) -> bool {
    let named = job.follows.as_ref();
    named.is_some_and(|f| *f == other.job || *f == other.id)
}

#[derive(Default)]
struct Page {
    lines: Vec<(String, String)>,
}

impl Page {
    fn line(&mut self, label: &str, text: &str) {
        let label = match self.lines.iter().rev().find(|(l, _)| !l.is_empty()) {
            Some((last, _)) if last == label => "",
            _ => label,
        };
        self.lines.push((label.to_owned(), clean(text)));
    }

    fn some(&mut self, label: &str, text: Option<&str>) {
        if let Some(text) = text.filter(|t| !t.trim().is_empty()) {
            self.line(label, text);
        }
    }
}

fn seen(page: &mut Page, job: &Job) {
    page.line("Complaint", &wording::complaint_text(&job.complaint));
    page.some("Been in", Some(&job.environment.join(", ")));
    for finding in &job.findings {
        let line = wording::finding_line(finding);
        let mut text = format!("{}  {}", line.name, line.value);
        if !line.reference.is_empty() {
            text.push_str("  ");
            text.push_str(&line.reference);
        }
        page.line("Seen", &text);
        if let Some(raw) = finding.raw.as_deref().filter(|r| !r.trim().is_empty()) {
            page.line("Seen", &format!("  as entered: {raw}"));
        }
    }
}

fn done(page: &mut Page, job: &Job) {
    for action in &job.actions {
        page.line("Done", &wording::action_text(action));
    }
    let reason = job.no_fix_reason.as_deref().map(|r| r.replace('-', " "));
    page.some("No fix", reason.as_deref());
    page.some("Circuit", job.family.as_deref());
    if !job.contributing.is_empty() {
        page.line(
            "Circuit",
            &format!("also hurt: {}", job.contributing.join(", ")),
        );
    }
}

fn ended(page: &mut Page, job: &Job, outcome: &str, tier: Tier) {
    page.line("Outcome", outcome);
    page.some("Proved by", job.proof.as_deref());
    let sure = job.confidence.map(|c| match c {
        Confidence::Proved => "proved",
        Confidence::Likely => "likely",
        Confidence::Guessed => "guessed",
    });
    page.some("Diagnosis", sure);
    let worth = match tier {
        Tier::A => "A: proved, read before the repair, held".to_owned(),
        Tier::B(missing) => format!("B: {}", missing.words()),
        Tier::C => "C: counts, but no answer stands on it".to_owned(),
        Tier::X(against) => format!("X: {}", against.words()),
        Tier::NoFix => "no fix to stand on".to_owned(),
    };
    page.line("Evidence", &worth);
}

fn circumstances(page: &mut Page, record: &JobRecord) {
    let words = |field: &str| match record.extra(field) {
        Some(Value::String(text)) => text.clone(),
        Some(Value::Number(number)) => number.to_string(),
        _ => String::new(),
    };
    let job = &record.job;
    let mut people = job.closed_by.clone().unwrap_or_default();
    if !words("with").is_empty() {
        people = format!("{people} with {}", words("with"));
    }
    page.some("Closed by", Some(&people));
    let minutes = match (words("minutes"), words("minutes_to_find")) {
        (all, find) if !all.is_empty() && !find.is_empty() => {
            format!("{all}, {find} of them to find it")
        }
        (all, find) if all.is_empty() && !find.is_empty() => format!("{find} to find it"),
        (all, _) => all,
    };
    page.some("Minutes", Some(&minutes));
    page.some("Note", Some(&words("note")));
    let entered = [words("entered_by"), words("entered_on")];
    let entered = entered.iter().filter(|w| !w.is_empty()).cloned();
    page.some("Entered", Some(&entered.collect::<Vec<_>>().join(", ")));
    page.some("Source", job.source.as_deref());
    for flag in &job.flags {
        page.line(
            "To decide",
            &format!("{}: {} ({})", flag.field, flag.why, flag.raw),
        );
    }
}

fn chain(page: &mut Page, earlier: &[&Job], later: &[&Job], job: &Job) {
    let told = |other: &Job, linked: bool| {
        format!(
            "{}, {}: {}, {}{}",
            other.job,
            other.closed_on.format("%-d %b %Y"),
            jobs::fix_or_reason(other),
            wording::outcome_text(other),
            if linked { "" } else { "; not linked" }
        )
    };
    for other in earlier {
        page.line("Same unit before", &told(other, names(job, other)));
    }
    for other in later {
        page.line("Same unit after", &told(other, names(other, job)));
    }
}
