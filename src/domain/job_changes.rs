//! What a correction changed, field by field, in words.
//!
//! Unit marks and prices are named but never shown. Fields that this program does not know are left out.

use crate::domain::job::Finding;
use crate::domain::job::Job;
use crate::domain::text::clean;
use crate::domain::wording;

/// Returns what the line `new` says otherwise than the line `old`, one sentence a field.
pub fn changes(old: &Job, new: &Job) -> Vec<String> {
    let mut told = Vec::new();
    let mut field = |name: &str, old: String, new: String| {
        if old != new {
            let word = |text: String| {
                if text.is_empty() {
                    "nothing".to_owned()
                } else {
                    clean(&text)
                }
            };
            told.push(format!("{name}: {} -> {}", word(old), word(new)));
        }
    };
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    field("number", old.job.clone(), new.job.clone());
    field(
        "closed",
        old.closed_on.to_string(),
        new.closed_on.to_string(),
    );
    field("closed by", text(&old.closed_by), text(&new.closed_by));
    field("board", old.board.clone(), new.board.clone());
    field("revision", text(&old.rev), text(&new.rev));
    field("follows", text(&old.follows), text(&new.follows));
    let complaint = |job: &Job| wording::complaint_text(&job.complaint);
    field("complaint", complaint(old), complaint(new));
    field("circuit", text(&old.family), text(&new.family));
    field(
        "also hurt",
        old.contributing.join(", "),
        new.contributing.join(", "),
    );
    field("no fix", text(&old.no_fix_reason), text(&new.no_fix_reason));
    let outcome = |job: &Job| wording::outcome_text(job);
    field("outcome", outcome(old), outcome(new));
    field("proof", text(&old.proof), text(&new.proof));
    let sure = |job: &Job| job.confidence.map(|c| c.word().to_owned());
    field("diagnosis", text(&sure(old)), text(&sure(new)));
    field(
        "been in",
        old.environment.join(", "),
        new.environment.join(", "),
    );
    field("source", text(&old.source), text(&new.source));
    if old.unit != new.unit {
        told.push("unit: changed".to_owned());
    }
    if old.effort != new.effort {
        told.push("time or money: changed".to_owned());
    }
    lists(
        &mut told,
        "seen",
        &old.findings,
        &new.findings,
        &finding_text,
    );
    lists(
        &mut told,
        "done",
        &old.actions,
        &new.actions,
        &wording::action_text,
    );
    if old.flags != new.flags {
        told.push(format!(
            "to decide: {} -> {} things",
            old.flags.len(),
            new.flags.len()
        ));
    }
    told
}

fn finding_text(finding: &Finding) -> String {
    let line = wording::finding_line(finding);
    [line.name, line.value, line.reference]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("  ")
}

fn lists<T: PartialEq>(
    told: &mut Vec<String>,
    name: &str,
    old: &[T],
    new: &[T],
    words: &dyn Fn(&T) -> String,
) {
    let gone = old.iter().filter(|one| !new.contains(one));
    told.extend(gone.map(|one| format!("{name}, taken out: {}", clean(&words(one)))));
    let come = new.iter().filter(|one| !old.contains(one));
    told.extend(come.map(|one| format!("{name}, added: {}", clean(&words(one)))));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::job;
    use crate::domain::check::example::rail;
    use crate::domain::job::Outcome;

    #[test]
    fn each_changed_field_is_told_and_no_other() {
        let old = job("W-1", "U31", 1);
        assert_eq!(changes(&old, &old), Vec::<String>::new());
        let mut new = old.clone();
        new.outcome = Outcome::NoFix;
        new.proof = Some("3V3_SB back".to_owned());
        new.unit = Some("0123456789abcdef".to_owned());
        new.findings.push(rail("5V_SYS", 4.98));
        let told = changes(&old, &new);
        assert_eq!(told.len(), 4, "{told:?}");
        assert!(told[0].starts_with("outcome: ") && told[0].ends_with("-> no fix"));
        assert_eq!(told[1], "proof: nothing -> 3V3_SB back");
        assert_eq!(told[2], "unit: changed", "a mark is never shown");
        assert!(told[3].starts_with("seen, added: 5V_SYS"));
    }
}
