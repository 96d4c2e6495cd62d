//! A sheet that `jobs export` wrote, read back: its cells say exactly what they say, so nothing is guessed.
//!
//! A row counts as one only where writing it again gives the same cells; any other is left to the reading
//! of people's words. What has no column in the export is not there either.

use crate::app::jobs::export::COLUMNS;
use crate::domain::bench_note;
use crate::domain::bench_read;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::RowRead;
use crate::domain::job::BounceCause;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::text::unguard;

/// What the cells of a row say exactly; flags about these fields have no ground.
const EXACT: [&str; 7] = [
    "complaint",
    "findings",
    "actions",
    "outcome",
    "no_fix_reason",
    "proof",
    "text",
];

/// Tells whether the columns are those of an export.
pub(crate) fn is_ours(mapping: &Mapping) -> bool {
    let headers = mapping.columns.iter().map(|column| column.header.as_str());
    headers.eq(COLUMNS)
}

/// Returns a row of an export as its cells say; where they say it in other words, the row as it is.
pub(crate) fn exact(mut read: RowRead) -> RowRead {
    let (facts, why) = match &read.end {
        End::Taken(draft) => (draft.as_ref(), Vec::new()),
        End::NeedsPerson { why, suggested } => (&suggested.facts, why.clone()),
        End::Skipped { .. } => return read,
    };
    let cell = |header: &str| {
        let found = read.cells.iter().find(|(name, _)| name == header);
        found.map_or("", |(_, words)| unguard(words.trim()))
    };
    let Some(mut draft) = said(facts, &cell) else {
        return read;
    };
    draft
        .flags
        .retain(|flag| !EXACT.contains(&flag.field.as_str()));
    let mut why = why;
    why.retain(|flag| !EXACT.contains(&flag.field.as_str()));
    read.end = if why.is_empty() {
        // What is missing now is found where the line is made.
        End::Taken(Box::new(draft))
    } else {
        let suggested = Suggested {
            facts: draft,
            ..Suggested::default()
        };
        End::NeedsPerson {
            why,
            suggested: Box::new(suggested),
        }
    };
    read
}

fn said<'a>(facts: &Draft, cell: &dyn Fn(&str) -> &'a str) -> Option<Draft> {
    let text = |header: &str| Some(cell(header).to_owned()).filter(|text| !text.is_empty());
    let complaint: Vec<String> = cell("Complaint")
        .split(", ")
        .filter(|word| !word.is_empty())
        .map(|word| COMPLAINTS.contains(&word).then(|| word.to_owned()))
        .collect::<Option<_>>()?;
    let mut actions = bench_read::actions(cell("Tried"))?;
    actions.extend(bench_read::actions(cell("Fix"))?);
    let (outcome, more) = cell("Outcome")
        .split_once(", ")
        .map_or((cell("Outcome"), None), |(outcome, more)| {
            (outcome, Some(more))
        });
    let outcome = Outcome::from_word(outcome)?;
    let mut draft = Draft {
        number: text("Job"),
        complaint,
        findings: bench_read::findings(cell("Readings"))?,
        actions,
        outcome: Some(outcome),
        no_fix_reason: None,
        bounce_cause: None,
        proof: text("Proof"),
        note: text("Note"),
        ..facts.clone()
    };
    match more {
        Some(why) if outcome == Outcome::NoFix && NO_FIX_REASONS.contains(&why) => {
            draft.no_fix_reason = Some(why.to_owned());
        }
        Some(cause) => draft.bounce_cause = Some(BounceCause::from_word(cause)?),
        None => {}
    }
    is_the_same(&draft, cell).then_some(draft)
}

/// Tells whether writing the draft gives the cells it was read from.
fn is_the_same<'a>(draft: &Draft, cell: &dyn Fn(&str) -> &'a str) -> bool {
    let roles = |roles: &[Role]| {
        let of_role = draft.actions.iter().filter(|a| roles.contains(&a.role));
        bench_note::action_words(of_role)
    };
    let findings: Vec<String> = draft.findings.iter().map(bench_note::finding).collect();
    findings.join("; ") == cell("Readings")
        && roles(&[Role::TheFix, Role::AlsoDone]) == cell("Fix")
        && roles(&[Role::TriedNoEffect, Role::MadeWorse]) == cell("Tried")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::Flag;

    fn read(readings: &str, fix: &str, tried: &str) -> RowRead {
        let cells = [
            ("Complaint", "no-power, liquid-entry"),
            ("Readings", readings),
            ("Fix", fix),
            ("Tried", tried),
            ("Outcome", "no-fix, value-exceeded"),
            ("Note", "'=two"),
        ];
        let flag = |field: &str| Flag {
            field: field.to_owned(),
            why: "missing".to_owned(),
            raw: String::new(),
        };
        RowRead {
            source: "jobs.csv:2".to_owned(),
            mark: "m".to_owned(),
            cells: cells
                .map(|(header, words)| (header.to_owned(), words.to_owned()))
                .into(),
            end: End::NeedsPerson {
                why: vec![flag("findings")],
                suggested: Box::default(),
            },
        }
    }

    #[test]
    fn a_row_of_an_export_says_what_was_written() {
        let row = read(
            "4-20 mA test: low; CLK8 8000000 Hz, present, after action",
            "",
            "no effect: reflow U1",
        );
        let End::Taken(draft) = exact(row).end else {
            panic!("its cells are plain")
        };
        assert_eq!(draft.complaint, ["no-power", "liquid-entry"]);
        assert_eq!(draft.findings.len(), 2);
        assert_eq!(draft.findings[0].place, "4-20 mA test");
        assert_eq!(draft.actions[0].role, Role::TriedNoEffect);
        assert_eq!(draft.no_fix_reason.as_deref(), Some("value-exceeded"));
        assert_eq!(draft.note.as_deref(), Some("=two"));
    }

    #[test]
    fn a_row_that_someone_changed_is_read_as_words() {
        for (readings, fix) in [
            ("3V3 0.2 V, low", "swapped U31"),
            ("3V3 was 0.2", "replace U31"),
            ("3V3 0.20 V, low", "replace U31"),
        ] {
            let row = read(readings, fix, "");
            assert_eq!(exact(row.clone()), row, "{readings} {fix}");
        }
    }
}
