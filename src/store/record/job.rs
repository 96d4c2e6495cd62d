//! Job lines: one closed repair each.

use std::collections::BTreeSet;

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::domain::circuit::Circuits;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Missing;
use crate::domain::job::ACTS;
use crate::domain::job::Action;
use crate::domain::job::BounceCause;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::Confidence;
use crate::domain::job::Effort;
use crate::domain::job::Flag;
use crate::domain::job::Job;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;
use crate::store::fault::Weight;
use crate::store::record::draft;
use crate::store::record::finding;
use crate::store::record::job_write;
use crate::store::record::overlay;
use crate::store::record::problem::Problem;
use crate::store::record::reader::Reader;
use crate::store::record::strict;
use crate::store::text_lines::json_line;

/// The newest format this program writes. Format 2 has `withdrawn`; a line without it stays in 1, so
/// that older programs go on with it.
pub const VERSION: u64 = 2;

/// Where a repaired board had been.
pub const ENVIRONMENTS: [&str; 6] = [
    "salt-water",
    "fresh-water",
    "sugar",
    "oil",
    "heat",
    "impact",
];

/// Fields that this file reads and writes; all others are carried along.
const KNOWN: [&str; 24] = [
    "v",
    "id",
    "job",
    "closed_on",
    "closed_by",
    "board",
    "rev",
    "unit",
    "follows",
    "corrects",
    "withdrawn",
    "complaint",
    "findings",
    "family",
    "contributing",
    "actions",
    "no_fix_reason",
    "outcome",
    "bounce_cause",
    "confidence",
    "proof",
    "environment",
    "source",
    "flags",
];

/// A job with the line it came from, so that a rewrite loses nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct JobRecord {
    /// The job.
    pub job: Job,
    /// Format of the line.
    pub v: u64,
    written: Map<String, Value>,
}

/// A record of a newer format, which this program does not rewrite.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the record has format {v}, newer than this program knows")]
pub struct NewerRecord {
    /// Its format.
    pub v: u64,
}

/// What a job is checked against.
#[derive(Clone, Copy, Debug)]
pub struct JobRules<'a> {
    /// The shop's circuit families.
    pub circuits: &'a Circuits,
    /// Ids of the shop's boards.
    pub boards: &'a BTreeSet<String>,
}

impl JobRecord {
    /// Returns the record of a job that was not read from a file.
    pub fn new(job: Job) -> Self {
        Self {
            job,
            v: VERSION,
            written: Map::new(),
        }
    }

    /// Returns the record of a draft under the id `id`, with its note, its cells and its time and
    /// money; or what the draft lacks.
    pub fn of_draft(draft: &Draft, id: &str) -> Result<Self, Vec<Missing>> {
        let mut record = Self::new(draft.job(id)?);
        draft::put_effort(&mut record.written, &draft.effort);
        finding::put_text(&mut record.written, "note", draft.note.as_ref());
        if let Some(raw) = draft::raw_object(&draft.raw) {
            record.set_extra("raw", raw);
        }
        Ok(record)
    }

    /// Tells whether the line has a newer format: it is read but not rewritten.
    pub fn is_read_only(&self) -> bool {
        self.v > VERSION
    }

    /// Returns a field that [`Job`] does not hold: `minutes`, `note`, `with`, …
    pub fn extra(&self, field: &str) -> Option<&Value> {
        self.written.get(field).filter(|_| !KNOWN.contains(&field))
    }

    /// Sets a field that [`Job`] does not hold.
    pub fn set_extra(&mut self, field: &str, value: Value) {
        if !KNOWN.contains(&field) {
            self.written.insert(field.to_owned(), value);
        }
    }

    /// Takes a field away that [`Job`] does not hold.
    pub fn clear_extra(&mut self, field: &str) {
        if !KNOWN.contains(&field) {
            self.written.remove(field);
        }
    }

    /// Returns the line, with every field of the line it came from that this program does not know.
    pub fn to_line(&self) -> Result<String, NewerRecord> {
        if self.is_read_only() {
            return Err(NewerRecord { v: self.v });
        }
        let mut new = job_write::write(&self.job, &self.written);
        if !self.written.contains_key("job") {
            // A record that was never a line: what everyone reads comes first.
            new.extend(self.written.clone());
            return Ok(Value::Object(new).to_string());
        }
        let whole = overlay::overlay(&self.written, new, &|key| KNOWN.contains(&key));
        Ok(json_line(&whole))
    }
}

/// Returns the number of the job on a line, whatever else is wrong with it.
pub fn number(text: &str) -> Option<String> {
    let written = strict::object(text).ok()?;
    Some(written.get("job")?.as_str()?.to_owned())
}

/// Reads one line; the record is there unless a problem costs it.
pub fn read(text: &str, rules: JobRules<'_>) -> (Option<JobRecord>, Vec<Problem>) {
    let mut problems = Vec::new();
    let written = match strict::object(text) {
        Ok(map) => map,
        Err(problem) => return (None, vec![problem]),
    };
    let mut from = Reader::new(&written, &mut problems);
    let v = from.count("v").unwrap_or(VERSION);
    if v > VERSION {
        from.warn(
            "v",
            format!(
                "format {v} is newer than this program knows; the job is read but not rewritten"
            ),
            "update this program",
        );
    }
    let job = job(&mut from, rules);
    let lost = problems.iter().any(|p| p.weight == Weight::Damage);
    let record = job
        .filter(|_| !lost)
        .map(|job| JobRecord { job, v, written });
    (record, problems)
}

fn job(from: &mut Reader<'_, '_>, rules: JobRules<'_>) -> Option<Job> {
    let number = from.need_text("job", "give the shop's number of the job");
    let id = from.text("id").or_else(|| number.clone());
    let closed_on = from.date("closed_on");
    if from.get("closed_on").is_none() {
        from.missing("closed_on", "give the day the job was closed");
    }
    let board = from.need_text("board", "give the board's id from shop.json");
    if let Some(board) = &board
        && !rules.boards.contains(board)
    {
        let why = format!("the board {board:?} is not in shop.json");
        from.warn("board", why, "add it there, or correct the job");
    }
    let complaint = from.words("complaint", &COMPLAINTS);
    if from.get("complaint").is_none() || from.map()["complaint"] == json!([]) {
        from.missing("complaint", "list the customer's words, or [\"unknown\"]");
    }
    let findings = from.each("findings", finding::read);
    if from.get("findings").is_none() || from.map()["findings"] == json!([]) {
        from.missing(
            "findings",
            "list at least one thing that was seen or measured",
        );
    }
    let outcome = from.meaning("outcome", &Outcome::ALL, Outcome::word);
    if from.get("outcome").is_none() {
        from.missing("outcome", "say how it ended; unknown-so-far is an answer");
    }
    let actions = from.each("actions", action);
    let family = family(from, outcome, rules.circuits);
    let contributing = contributing(from, rules.circuits);
    let no_fix_reason = from.word("no_fix_reason", &NO_FIX_REASONS);
    ending(from, outcome, &actions);
    let bounce_cause = from.meaning("bounce_cause", &BounceCause::ALL, BounceCause::word);
    let bounced = matches!(
        outcome,
        Some(Outcome::BouncedSameFault | Outcome::BouncedOtherFault)
    );
    if bounce_cause.is_some() && outcome.is_some() && !bounced {
        from.warn(
            "bounce_cause",
            "the job did not bounce",
            "correct one of the two",
        );
    }
    let effort = Effort {
        minutes_to_find: loose_number(from, "minutes_to_find"),
        minutes: loose_number(from, "minutes"),
        value: loose_number(from, "value"),
        parts_cost: loose_number(from, "parts_cost"),
    };
    Some(Job {
        closed_by: from.text("closed_by"),
        rev: from.text("rev"),
        unit: from.text("unit").filter(|unit| !unit.trim().is_empty()),
        follows: from.text("follows"),
        corrects: from.text("corrects"),
        withdrawn: from.flag("withdrawn").unwrap_or_default(),
        confidence: from.meaning("confidence", &Confidence::ALL, Confidence::word),
        proof: from.text("proof"),
        environment: environment(from),
        source: from.text("source"),
        flags: from.each("flags", flag),
        effort,
        id: id?,
        job: number?,
        closed_on: closed_on?,
        board: board?,
        complaint,
        findings,
        family,
        contributing,
        actions,
        no_fix_reason,
        outcome: outcome?,
        bounce_cause,
    })
}

pub(crate) fn action(from: &mut Reader<'_, '_>) -> Option<Action> {
    let act = from.word("act", &ACTS);
    if from.get("act").is_none() {
        from.missing("act", format!("say what was done: {}", ACTS.join(", ")));
    }
    let part = from.text("part").unwrap_or_default();
    let role = from.meaning("role", &Role::ALL, Role::word);
    if from.get("role").is_none() {
        from.missing("role", "say what it was for, for example the-fix");
    }
    let role = role?;
    if role == Role::TheFix && part.trim().is_empty() && act.as_deref() != Some("none") {
        from.warn(
            "part",
            "the fix names no part",
            "give the designator or the function",
        );
    }
    Some(Action {
        act: act?,
        part,
        role,
    })
}

fn family(
    from: &mut Reader<'_, '_>,
    outcome: Option<Outcome>,
    circuits: &Circuits,
) -> Option<String> {
    let no_fix = outcome == Some(Outcome::NoFix);
    let Some(family) = from.text("family") else {
        if from.get("family").is_none() && !no_fix {
            from.missing("family", "name the circuit where the proven fault was");
        }
        return None;
    };
    if family == UNLOCATED {
        if !no_fix {
            let todo = "name the circuit where the proven fault was";
            from.damage("family", "unlocated is only for jobs without a fix", todo);
        }
    } else if circuits.get(&family).is_none() {
        let why = format!("the circuit family {family:?} is not known");
        from.damage("family", why, todo_family(circuits));
    }
    Some(family)
}

fn contributing(from: &mut Reader<'_, '_>, circuits: &Circuits) -> Vec<String> {
    let found = from.texts("contributing");
    for (i, family) in found.iter().enumerate() {
        if circuits.get(family).is_none() {
            let why = format!("the circuit family {family:?} is not known");
            from.damage(&format!("contributing[{i}]"), why, todo_family(circuits));
        }
    }
    if found.len() > 2 {
        from.warn("contributing", "more than two", "keep the two that matter");
    }
    found
}

fn todo_family(circuits: &Circuits) -> String {
    let ids: Vec<&str> = circuits.all().iter().map(|f| f.id.as_str()).collect();
    format!("use one of: {}; or add it to shop.json", ids.join(", "))
}

fn ending(from: &mut Reader<'_, '_>, outcome: Option<Outcome>, actions: &[Action]) {
    let Some(outcome) = outcome else { return };
    let no_fix = outcome == Outcome::NoFix;
    let fixed = actions.iter().any(|a| a.role == Role::TheFix);
    let told = from.get("no_fix_reason").is_some();
    // An action that could not be read has been named already.
    let unread = from.list("actions").len() != actions.len();
    if !no_fix && !fixed && !unread {
        let todo = "give one action the role the-fix, or the outcome no-fix";
        from.damage("actions", "no action is the-fix", todo);
    }
    if no_fix && !told {
        let todo = format!("say why: {}", NO_FIX_REASONS.join(", "));
        from.missing("no_fix_reason", todo);
    }
    if no_fix && fixed {
        let todo = "correct the outcome or the role";
        from.damage(
            "actions",
            "an action is the-fix although the outcome is no-fix",
            todo,
        );
    }
    if !no_fix && told {
        let todo = "correct the outcome or take the reason out";
        from.warn("no_fix_reason", "the outcome is not no-fix", todo);
    }
}

pub(crate) fn environment(from: &mut Reader<'_, '_>) -> Vec<String> {
    let found = from.texts("environment");
    for (i, word) in found.iter().enumerate() {
        if !ENVIRONMENTS.contains(&word.as_str()) {
            let why = format!("the word {word:?} is not known here");
            let todo = format!("use one of: {}", ENVIRONMENTS.join(", "));
            from.warn(&format!("environment[{i}]"), why, todo);
        }
    }
    found
}

/// Reads a number that nothing depends on: one that cannot be used is named and left out.
fn loose_number(from: &mut Reader<'_, '_>, field: &str) -> Option<f64> {
    let value = from.get(field)?;
    let number = value.as_f64().filter(|n| 0.0 <= *n);
    if number.is_none() {
        let why = format!("expected a number from 0 up, found {value}");
        from.warn(field, why, "write it as a plain number");
    }
    number
}

pub(crate) fn flag(from: &mut Reader<'_, '_>) -> Option<Flag> {
    Some(Flag {
        field: from.text("field").unwrap_or_default(),
        why: from.need_text("why", "say what has to be decided")?,
        raw: from.text("raw").unwrap_or_default(),
    })
}
