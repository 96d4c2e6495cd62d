//! Mappings and rows in a person's words, fit for a terminal.

use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Missing;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reasons;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::RowRead;
use crate::domain::job::Flag;
use crate::domain::job::Outcome;
use crate::domain::text::clean;
use crate::domain::wording;

/// Returns what a column holds: "the 5V rail".
pub fn field_text(field: &Field) -> String {
    let plain = match field {
        Field::Number => "job number",
        Field::ClosedOn => "day it was closed",
        Field::ReceivedOn => "day it came in (kept)",
        Field::ClosedBy => "who closed it",
        Field::Board => "board",
        Field::Revision => "revision",
        Field::Serial => "serial (only a mark is kept)",
        Field::Complaint => "complaint",
        Field::Findings => "readings and signs",
        Field::Draw => "draw from the supply",
        Field::Rail(place) => return clean(&format!("reading of the rail {place}")),
        Field::Resistance(place) => return clean(&format!("ohms to ground at {place}")),
        Field::Diode(place) => return clean(&format!("diode reading at {place}")),
        Field::Family => "circuit",
        Field::Fix => "what fixed it",
        Field::Part => "part at fault",
        Field::Act => "what was done",
        Field::Tried => "tried without effect",
        Field::Outcome => "how it ended",
        Field::NoFixReason => "why there was no fix",
        Field::Proof => "what proved it",
        Field::Environment => "where it had been",
        Field::Minutes => "minutes",
        Field::PartsCost => "cost of parts",
        Field::Value => "worth of the board",
        Field::Everything => "free words: everything",
        Field::Kept => "kept, not read",
    };
    plain.to_owned()
}

/// Returns the order of dates, in words.
pub fn dates_text(order: DateOrder) -> &'static str {
    match order {
        DateOrder::Unknown => "day or month first: unknown",
        DateOrder::DayFirst => "day first in dates",
        DateOrder::MonthFirst => "month first in dates",
    }
}

/// Returns the decimal mark, in words.
pub fn decimal_text(mark: DecimalMark) -> &'static str {
    match mark {
        DecimalMark::Unknown => "decimal mark unknown",
        DecimalMark::Point => "decimal point",
        DecimalMark::Comma => "decimal comma",
    }
}

/// Returns what would become of a row: lines, the first of which says how it ends.
pub fn row_lines(number: u64, read: &RowRead) -> Vec<String> {
    match &read.end {
        End::Taken(draft) => {
            let mut lines = vec![format!("row {number}: taken")];
            lines.extend(draft_lines(draft));
            lines
        }
        End::NeedsPerson { why, suggested } => {
            let why: Vec<String> = why.iter().map(flag_sentence).collect();
            let mut lines = vec![format!("row {number}: needs a person: {}", why.join("; "))];
            lines.extend(draft_lines(&suggested.facts));
            lines
        }
        End::Skipped { why } => vec![format!("row {number}: left out: {}", clean(why))],
    }
}

/// Returns what a person has to decide, in a sentence and with the words it is about.
fn flag_sentence(flag: &Flag) -> String {
    let said = reason(&flag.field, &flag.why);
    if flag.raw.is_empty() {
        return said;
    }
    clean(&format!("{said} ({})", flag.raw))
}

/// Returns the reason `why` about a field of the job, in plain words.
pub fn reason(field: &str, why: &str) -> String {
    let lacks = Missing::ALL.into_iter().find(|m| m.field() == field);
    if let Some(lacks) = lacks.filter(|_| why == "missing") {
        return lacks.words().to_owned();
    }
    let said = reasons::sentence(why).unwrap_or(why);
    let field = field.replace('_', " ");
    if field.is_empty() {
        clean(said)
    } else {
        clean(&format!("{field}: {said}"))
    }
}

/// Returns what a draft says, in lines.
fn draft_lines(draft: &Draft) -> Vec<String> {
    let mut head: Vec<String> = Vec::new();
    head.extend(draft.number.clone());
    head.extend(draft.closed_on.map(|day| day.to_string()));
    head.extend(draft.board.clone());
    head.extend(draft.rev.as_ref().map(|rev| format!("rev {rev}")));
    if !draft.complaint.is_empty() {
        head.push(wording::complaint_text(&draft.complaint));
    }
    let findings = draft.findings.iter().map(|finding| {
        let line = wording::finding_line(finding);
        format!("{} {} {}", line.name, line.value, line.reference)
            .trim()
            .to_owned()
    });
    let mut tail: Vec<String> = draft.actions.iter().map(wording::action_text).collect();
    tail.extend(
        draft
            .family
            .as_ref()
            .map(|family| format!("circuit {family}")),
    );
    tail.extend(draft.no_fix_reason.as_ref().map(|why| wording::phrase(why)));
    tail.extend(draft.outcome.map(outcome_word));
    let lines = [
        head.join(", "),
        findings.collect::<Vec<_>>().join("; "),
        tail.join("; "),
    ];
    let said = lines.into_iter().filter(|line| !line.is_empty());
    said.map(|line| clean(&line)).collect()
}

fn outcome_word(outcome: Outcome) -> String {
    wording::phrase(outcome.word())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_are_told_in_words_and_strange_ones_as_they_stand() {
        assert_eq!(reason("family", "missing"), "no circuit");
        assert_eq!(
            reason("closed_on", "date-order"),
            "closed on: Day or month first?"
        );
        let said = reason("findings", "period-missing");
        assert!(said.starts_with("findings: The draw cycles"), "{said}");
        assert_eq!(reason("row", "unbalanced quote"), "row: unbalanced quote");
        assert_eq!(reason("", "passed over"), "passed over");
    }
}
