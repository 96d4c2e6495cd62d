//! Reads the printing archive of tests/data/printer-jobs.
//!
//! Source: jobs sampled from a published printing-troubleshooting network; see the README.md there.
//! Every job is proved and held, and has `other` findings only.

use benchlore::domain::job::Action;
use benchlore::domain::job::Confidence;
use benchlore::domain::job::Effort;
use benchlore::domain::job::Finding;
use benchlore::domain::job::FindingKind;
use benchlore::domain::job::Job;
use benchlore::domain::job::Outcome;
use benchlore::domain::job::Role;
use serde_json::Value;

/// Returns a field that is a word.
pub(crate) fn text(value: &Value, field: &str) -> String {
    value[field].as_str().expect("a word").to_owned()
}

fn job(line: &str) -> Job {
    let value: Value = serde_json::from_str(line).expect("a JSON line");
    let list = |field: &str| value[field].as_array().expect("a list").iter();
    let finding = |f: &Value| {
        assert_eq!(text(f, "kind"), "other");
        let mut finding = Finding::new(FindingKind::Other, &text(f, "name"));
        finding.code = Some(text(f, "value"));
        finding
    };
    let action = |a: &Value| {
        assert_eq!(text(a, "role"), "the-fix");
        Action {
            act: text(a, "act"),
            part: text(a, "part"),
            role: Role::TheFix,
        }
    };
    assert_eq!(text(&value, "outcome"), "held");
    assert_eq!(text(&value, "confidence"), "proved");
    Job {
        id: text(&value, "job"),
        job: text(&value, "job"),
        closed_on: text(&value, "closed_on").parse().expect("a day"),
        closed_by: None,
        board: text(&value, "board"),
        rev: None,
        unit: None,
        follows: None,
        corrects: None,
        withdrawn: false,
        complaint: list("complaint")
            .map(|c| c.as_str().expect("a word").to_owned())
            .collect(),
        findings: list("findings").map(finding).collect(),
        family: Some(text(&value, "family")),
        contributing: Vec::new(),
        actions: list("actions").map(action).collect(),
        no_fix_reason: None,
        outcome: Outcome::Held,
        bounce_cause: None,
        confidence: Some(Confidence::Proved),
        proof: None,
        environment: Vec::new(),
        source: None,
        flags: Vec::new(),
        effort: Effort::default(),
    }
}

/// Returns the jobs of a JSON Lines file.
pub(crate) fn jobs(lines: &str) -> Vec<Job> {
    lines.lines().map(job).collect()
}
