//! What a screen or a command shows of a form: one line a field, a finding or an act.
//!
//! Every text here is fit for a terminal.

use std::sync::Arc;

use crate::app::brief;
use crate::app::entry::session::Session;
use crate::app::workbench::Workbench;
use crate::domain::intake::advice::Remark;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Missing;
use crate::domain::intake::form::Filled;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::form::Slot;
use crate::domain::intake::form::Standing;
use crate::domain::intake::form_words;
use crate::domain::job::COMPLAINTS;
use crate::domain::job::NO_FIX_REASONS;
use crate::domain::job::Outcome;
use crate::domain::text::clean;
use crate::domain::wording;

/// Which line of a form.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum At {
    /// The free line on top.
    Words,
    /// A single field.
    Slot(Slot),
    /// A finding, by its key.
    Finding(String),
    /// An act, by its key.
    Action(String),
    /// The serial, which only its mark is kept of.
    Serial,
}

/// One line of a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormLine {
    /// Which.
    pub at: At,
    /// What stands at its left.
    pub label: String,
    /// Value, or name and value of a reading.
    pub value: String,
    /// What to hold a reading against; why a value stands there; what is wrong with it.
    pub beside: String,
    /// Where the value comes from.
    pub standing: Standing,
    /// What the field's line begins with when it is edited; of a proposal, what taking it types.
    pub edit: String,
    /// Words that the field takes, for suggestions.
    pub choices: Vec<String>,
}

impl FormLine {
    /// Tells whether someone has to do something here before the job can be saved, or may.
    pub fn waits(&self) -> bool {
        matches!(
            self.standing,
            Standing::Missing | Standing::Proposed(_) | Standing::Bad(_)
        )
    }
}

/// A form as it is shown.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FormView {
    /// What is being done: `A new job`.
    pub title: String,
    /// Cautions of the board, a line each, gravest first.
    pub cautions: Vec<String>,
    /// The fields.
    pub lines: Vec<FormLine>,
    /// What there is to say before saving.
    pub remarks: Vec<Remark>,
    /// What is required and not there.
    pub missing: Vec<Missing>,
    /// Words that were not understood; they are kept all the same.
    pub unread: Vec<String>,
    /// Nets and designators seen on this board.
    pub places: Arc<[String]>,
}

/// Reads a form and returns what to show of it.
pub fn view(workbench: &Workbench, session: &Session, form: &Form) -> FormView {
    let (filled, remarks) = session.read(workbench, form);
    let board = filled.draft.board.clone();
    let mut lines = Vec::new();
    for slot in Slot::ALL {
        match slot {
            Slot::Seen => lines.extend(findings(&filled)),
            Slot::Done => lines.extend(actions(&filled)),
            _ => {}
        }
        let shown = match slot {
            Slot::NoFixReason => {
                filled.draft.outcome == Some(Outcome::NoFix)
                    || filled.standing(slot) != Standing::Empty
            }
            Slot::Follows => {
                lines.push(serial(form));
                filled.draft.follows.is_some() || earlier(session, form).is_some()
            }
            _ => true,
        };
        if shown {
            lines.push(field(workbench, session, form, &filled, slot));
        }
    }
    FormView {
        title: title(&form.purpose),
        cautions: cautions(workbench, session, board.as_deref()),
        missing: filled.missing(),
        unread: filled.unread.iter().map(|w| clean(w)).collect(),
        places: session.places(board.as_deref()),
        remarks: remarks
            .into_iter()
            .map(|r| Remark {
                text: clean(&r.text),
                ..r
            })
            .collect(),
        lines,
    }
}

fn title(purpose: &Purpose) -> String {
    match purpose {
        Purpose::Add => "A new job".to_owned(),
        Purpose::Correct(number) => format!("Correct {}", clean(number)),
        Purpose::Close(number) => format!("Close {}", clean(number)),
    }
}

fn cautions(workbench: &Workbench, session: &Session, board: Option<&str>) -> Vec<String> {
    let Some(board) = workbench
        .boards
        .iter()
        .find(|b| Some(b.id.as_str()) == board)
    else {
        return Vec::new();
    };
    let jobs: Vec<_> = session
        .jobs()
        .iter()
        .filter(|j| j.board == board.id)
        .cloned()
        .collect();
    brief::board_cautions(board, &jobs)
        .into_iter()
        .map(|(line, _)| line)
        .collect()
}

fn earlier<'a>(session: &'a Session, form: &Form) -> Option<&'a str> {
    let mark = form.unit.as_deref()?;
    session.unit(mark).map(|job| job.job.as_str())
}

fn serial(form: &Form) -> FormLine {
    let known = form.unit.is_some();
    FormLine {
        at: At::Serial,
        label: "Serial".to_owned(),
        value: if known { "········" } else { "" }.to_owned(),
        beside: if known {
            "only its mark is kept".to_owned()
        } else {
            String::new()
        },
        standing: if known {
            Standing::Given
        } else {
            Standing::Empty
        },
        edit: String::new(),
        choices: Vec::new(),
    }
}

fn findings(filled: &Filled) -> Vec<FormLine> {
    let rows = filled.findings.iter();
    let shown = rows.filter(|r| r.standing != Standing::Empty);
    shown
        .map(|row| {
            let line = wording::finding_line(&row.what);
            FormLine {
                at: At::Finding(row.key.clone()),
                label: line.name,
                value: line.value,
                beside: with_reason(&line.reference, &row.standing),
                standing: row.standing.clone(),
                edit: String::new(),
                choices: Vec::new(),
            }
        })
        .collect()
}

fn actions(filled: &Filled) -> Vec<FormLine> {
    let rows = filled.actions.iter();
    let shown = rows.filter(|r| r.standing != Standing::Empty);
    shown
        .map(|row| FormLine {
            at: At::Action(row.key.clone()),
            label: "Done".to_owned(),
            value: wording::action_text(&row.what),
            beside: with_reason("", &row.standing),
            standing: row.standing.clone(),
            edit: String::new(),
            choices: Vec::new(),
        })
        .collect()
}

fn with_reason(reference: &str, standing: &Standing) -> String {
    let why = match standing {
        Standing::Usual(why) | Standing::Proposed(why) | Standing::Bad(why) => clean(why),
        _ => String::new(),
    };
    match (reference.is_empty(), why.is_empty()) {
        (true, _) => why,
        (false, true) => reference.to_owned(),
        (false, false) => format!("{reference}; {why}"),
    }
}

fn field(
    workbench: &Workbench,
    session: &Session,
    form: &Form,
    filled: &Filled,
    slot: Slot,
) -> FormLine {
    let mut standing = filled.standing(slot);
    let mut source = match standing {
        Standing::Proposed(_) => filled.proposed.clone(),
        _ => filled.draft.clone(),
    };
    if slot == Slot::Follows
        && standing == Standing::Empty
        && !form.typed.contains_key(&slot)
        && let Some(job) = form.unit.as_deref().and_then(|mark| session.unit(mark))
    {
        let what = wording::outcome_text(job);
        let why = format!("this unit was here, closed {}: {what}", job.closed_on);
        standing = Standing::Proposed(why);
        source.follows = Some(job.job.clone());
    }
    let typed = form.typed.get(&slot).map(String::as_str);
    let value = match (&standing, typed) {
        (Standing::Bad(_), Some(typed)) => typed.to_owned(),
        _ => value(workbench, &source, slot),
    };
    let edit = match typed {
        Some(typed) => typed.to_owned(),
        None => edited(&source, slot),
    };
    FormLine {
        at: At::Slot(slot),
        label: match slot {
            Slot::Seen => "Seen, more".to_owned(),
            Slot::Done => "Done, more".to_owned(),
            slot => slot.label().to_owned(),
        },
        value: clean(&value),
        beside: with_reason("", &standing),
        edit: clean(&edit),
        choices: choices(workbench, session, filled, slot),
        standing,
    }
}

/// What a field says, for reading.
fn value(workbench: &Workbench, draft: &Draft, slot: Slot) -> String {
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    match slot {
        Slot::Board => {
            let id = text(&draft.board);
            let name = workbench.boards.iter().find(|b| b.id == id);
            name.map_or(id.clone(), |b| format!("{id}, {}", b.name))
        }
        Slot::Complaint if draft.complaint.is_empty() => String::new(),
        Slot::Complaint => wording::complaint_text(&draft.complaint),
        Slot::Outcome => draft
            .outcome
            .map(form_words::outcome_words)
            .unwrap_or_default(),
        Slot::NoFixReason => text(&draft.no_fix_reason).replace('-', " "),
        slot => edited(draft, slot),
    }
}

/// What a field says, as it would be typed.
pub fn edited(draft: &Draft, slot: Slot) -> String {
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    match slot {
        Slot::Board => text(&draft.board),
        Slot::Rev => text(&draft.rev),
        Slot::Number => text(&draft.number),
        Slot::Day => draft.closed_on.map(|d| d.to_string()).unwrap_or_default(),
        Slot::By => text(&draft.closed_by),
        Slot::Complaint => draft.complaint.join(", "),
        Slot::Seen | Slot::Done => String::new(),
        Slot::Family => text(&draft.family),
        Slot::Proof => text(&draft.proof),
        Slot::Outcome => draft
            .outcome
            .map(Outcome::word)
            .unwrap_or_default()
            .to_owned(),
        Slot::NoFixReason => text(&draft.no_fix_reason),
        Slot::Follows => text(&draft.follows),
        Slot::Environment => draft.environment.join(", "),
        Slot::Minutes => draft
            .effort
            .minutes
            .map(|m| m.to_string())
            .unwrap_or_default(),
        Slot::Note => text(&draft.note),
    }
}

fn choices(workbench: &Workbench, session: &Session, filled: &Filled, slot: Slot) -> Vec<String> {
    let words = |all: &[&str]| all.iter().map(|w| (*w).to_owned()).collect();
    match slot {
        Slot::Board => workbench.board_ids(),
        Slot::Rev => session.revisions(filled.draft.board.as_deref()),
        Slot::Family => workbench.family_ids(),
        Slot::Complaint => words(&COMPLAINTS),
        Slot::Outcome => Outcome::ALL
            .into_iter()
            .map(|o| o.word().to_owned())
            .collect(),
        Slot::NoFixReason => words(&NO_FIX_REASONS),
        Slot::Environment => words(&form_words::ENVIRONMENTS),
        Slot::Seen | Slot::Done | Slot::Proof => {
            session.places(filled.draft.board.as_deref()).to_vec()
        }
        _ => Vec::new(),
    }
}
