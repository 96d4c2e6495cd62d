//! One row as it is worked on: its cells with the doubtful words marked, and the job read of it.

use std::ops::Range;

use crate::app::intake::Session;
use crate::app::workbench::AppError;
use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Missing;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::reasons;
use crate::domain::intake::repair;
use crate::domain::intake::repair::Slot;
use crate::domain::job::BounceCause;
use crate::domain::job::Confidence;
use crate::domain::job::Flag;
use crate::domain::job::Outcome;
use crate::domain::text::clean;
use crate::domain::wording;

/// Words of a cell; those that a doubt is about carry its number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Piece {
    /// The words.
    pub text: String,
    /// Number of the doubt, from 1.
    pub doubt: Option<usize>,
}

/// One field of the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldView {
    /// Which.
    pub slot: Slot,
    /// Its name.
    pub label: &'static str,
    /// What is known.
    pub facts: Vec<String>,
    /// What may be meant.
    pub maybe: Vec<String>,
    /// It is required and missing: in words.
    pub missing: Option<&'static str>,
    /// Numbers of its doubts.
    pub doubts: Vec<usize>,
}

impl FieldView {
    /// Tells whether a person has something to decide here.
    pub fn is_open(&self) -> bool {
        self.missing.is_some() || !self.maybe.is_empty() || !self.doubts.is_empty()
    }
}

/// One row to work on; texts are cleaned.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RowPage {
    /// Key of the row or part.
    pub key: String,
    /// What it is called.
    pub source: String,
    /// Its place in the list, from 0, and how many rows wait.
    pub at: usize,
    /// See `at`.
    pub of: usize,
    /// Its cells: header, words.
    pub cells: Vec<(String, Vec<Piece>)>,
    /// The job read of it.
    pub fields: Vec<FieldView>,
    /// The doubts in sentences; the first has the number 1.
    pub doubts: Vec<String>,
    /// Decisions that contradict each other.
    pub clash: Option<String>,
    /// Who else works through the stretch it is in.
    pub theirs: Option<String>,
    /// What a split divides, in words.
    pub items: Vec<String>,
    /// Numbers of jobs that it may be the same as.
    pub alike: Vec<String>,
}

/// A number that begins as typed, with what is known of its job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Candidate {
    /// The number.
    pub number: String,
    /// Day, board, circuit.
    pub about: String,
}

/// Returns a field's name on the screen.
pub fn label(slot: Slot) -> &'static str {
    match slot {
        Slot::Number => "Job",
        Slot::ClosedOn => "Closed",
        Slot::Board => "Board",
        Slot::Complaint => "Complaint",
        Slot::Findings => "Seen",
        Slot::Actions => "Done",
        Slot::Family => "Circuit",
        Slot::Outcome => "Outcome",
        Slot::NoFixReason => "No fix",
        Slot::Proof => "Proved by",
        Slot::Rev => "Revision",
        Slot::ClosedBy => "Closed by",
        Slot::Environment => "Been in",
    }
}

/// Returns the sentence of a doubt.
fn sentence(flag: &Flag) -> String {
    let field = Slot::ALL.into_iter().find(|s| s.field() == flag.field);
    let field = field.map_or_else(|| flag.field.clone(), |slot| label(slot).to_owned());
    let known = Doubt::from_word(&flag.why).map(Doubt::sentence);
    let why = known.or_else(|| reasons::sentence(&flag.why));
    let why = why.map_or_else(|| flag.why.replace('-', " "), str::to_owned);
    clean(&format!("{field}: {why}"))
}

/// Returns the lines of one field of a draft.
pub fn lines(draft: &Draft, slot: Slot) -> Vec<String> {
    let one = |text: Option<String>| text.map(|t| clean(&t)).into_iter().collect();
    match slot {
        Slot::Number => one(draft.number.clone()),
        Slot::ClosedOn => one(draft.closed_on.map(|day| day.to_string())),
        Slot::Board => one(draft.board.clone()),
        Slot::Complaint if draft.complaint.is_empty() => Vec::new(),
        Slot::Complaint => vec![wording::complaint_text(&draft.complaint)],
        Slot::Findings => draft.findings.iter().map(finding).collect(),
        Slot::Actions => {
            let actions = draft.actions.iter();
            actions.map(|a| clean(&wording::action_text(a))).collect()
        }
        Slot::Family => one(draft.family.clone()),
        Slot::Outcome => one(draft.outcome.map(|o| outcome(o, draft.bounce_cause))),
        Slot::NoFixReason => one(draft.no_fix_reason.as_ref().map(|r| r.replace('-', " "))),
        Slot::Proof => {
            let sure = draft.confidence.map(Confidence::word);
            let both: Vec<&str> = draft.proof.as_deref().into_iter().chain(sure).collect();
            one((!both.is_empty()).then(|| both.join("; ")))
        }
        Slot::Rev => one(draft.rev.clone()),
        Slot::ClosedBy => one(draft.closed_by.clone()),
        Slot::Environment if draft.environment.is_empty() => Vec::new(),
        Slot::Environment => vec![clean(&draft.environment.join(", ").replace('-', " "))],
    }
}

fn outcome(outcome: Outcome, cause: Option<BounceCause>) -> String {
    let words = outcome.word().replace('-', " ");
    match cause {
        Some(cause) => format!("{words}, {}", cause.word().replace('-', " ")),
        None => words,
    }
}

fn finding(finding: &crate::domain::job::Finding) -> String {
    let line = wording::finding_line(finding);
    let text = format!("{}  {}  {}", line.name, line.value, line.reference);
    clean(text.trim())
}

impl Session {
    /// Returns a row to work on.
    pub fn page(&self, key: &str) -> Result<RowPage, AppError> {
        let at = self.row_at(key)?;
        let row = &self.rows[at];
        let known = self.draft_at(key, at);
        let place = self.items.iter().position(|i| i.key == key);
        let clash = self.backlog.clash(key).map(|c| clean(&c));
        let mut page = page_of(&known, &row.cells);
        key.clone_into(&mut page.key);
        page.source = self.called(key, at);
        page.at = place.unwrap_or(0);
        page.of = self.items.len();
        page.alike = self.alike(key, &known);
        page.theirs = place
            .and_then(|p| self.items[p].theirs.as_ref())
            .map(|t| clean(t));
        page.clash = clash;
        Ok(page)
    }

    /// Returns what a row would look like with one field said anew.
    pub fn preview(&self, key: &str, slot: Slot, words: &str) -> Result<FieldView, AppError> {
        let new = self.read_anew(key, slot, words)?;
        let page = page_of(&new, &[]);
        let field = page.fields.into_iter().find(|f| f.slot == slot);
        field.ok_or_else(|| {
            self.row_at(key)
                .map(drop)
                .err()
                .unwrap_or_else(|| AppError::NotOfRow {
                    row: clean(key),
                    why: "there is no such field".to_owned(),
                    todo: String::new(),
                })
        })
    }

    /// Returns numbers that the row may stand for: those it was entered as, its own, those of its board
    /// closed that day.
    fn alike(&self, key: &str, known: &Suggested) -> Vec<String> {
        let mut found: Vec<String> = Vec::new();
        if let Some(state) = self.backlog.row(key) {
            found.extend(state.jobs.iter().map(|(number, _)| number.clone()));
            found.extend(state.same_as.iter().cloned());
        }
        let number = known.facts.number.as_ref().or(known.maybe.number.as_ref());
        found.extend(number.filter(|n| self.numbers.contains_key(*n)).cloned());
        let board = known.facts.board.as_ref().or(known.maybe.board.as_ref());
        let day = known.facts.closed_on.or(known.maybe.closed_on);
        let same = self
            .numbers
            .iter()
            .filter(|(_, about)| Some(&about.board) == board && Some(about.closed_on) == day);
        found.extend(same.map(|(number, _)| number.clone()).take(5));
        let mut once: Vec<String> = Vec::new();
        for number in found {
            if !once.contains(&number) {
                once.push(number);
            }
        }
        once
    }

    /// Returns the jobs whose numbers begin as typed, at most `most`; with nothing typed those that the
    /// row may stand for.
    pub fn candidates(&self, key: &str, typed: &str, most: usize) -> Vec<Candidate> {
        let typed = typed.trim();
        let about = |number: &String| {
            let known = self.numbers.get(number)?;
            let text = format!("{}  {}  {}", known.closed_on, known.board, known.family);
            Some(Candidate {
                number: clean(number),
                about: clean(text.trim()),
            })
        };
        if typed.is_empty() {
            let at = self.row_at(key);
            let alike = at.map_or_else(
                |_| Vec::new(),
                |at| self.alike(key, &self.draft_at(key, at)),
            );
            return alike.iter().filter_map(about).take(most).collect();
        }
        let from = self.numbers.range(typed.to_owned()..);
        from.map(|(number, _)| number)
            .take_while(|number| number.starts_with(typed))
            .filter_map(about)
            .take(most)
            .collect()
    }
}

/// Returns a row with its draft, without its place in the list.
fn page_of(known: &Suggested, cells: &[(String, String)]) -> RowPage {
    let (facts, maybe) = (&known.facts, &known.maybe);
    let missing = facts.missing();
    let field = |slot: Slot| FieldView {
        slot,
        label: label(slot),
        facts: lines(facts, slot),
        maybe: lines(maybe, slot),
        missing: missing
            .iter()
            .find(|m| m.field() == slot.field())
            .map(|m| Missing::words(*m)),
        doubts: (1..)
            .zip(&facts.flags)
            .filter(|(_, flag)| flag.field == slot.field())
            .map(|(n, _)| n)
            .collect(),
    };
    RowPage {
        cells: marked(cells, &facts.flags),
        fields: Slot::ALL.into_iter().map(field).collect(),
        doubts: facts.flags.iter().map(sentence).collect(),
        items: item_words(known),
        ..RowPage::default()
    }
}

fn item_words(known: &Suggested) -> Vec<String> {
    let (facts, maybe) = (&known.facts, &known.maybe);
    let complaint = facts.complaint.iter().chain(&maybe.complaint);
    let complaint = complaint.map(|c| wording::complaint_text(std::slice::from_ref(c)));
    let findings = facts.findings.iter().chain(&maybe.findings).map(finding);
    let actions = facts.actions.iter().chain(&maybe.actions);
    let actions = actions.map(|a| clean(&wording::action_text(a)));
    let all: Vec<String> = complaint.chain(findings).chain(actions).collect();
    debug_assert_eq!(all.len(), repair::items(known).len());
    all
}

/// Where doubts stand in the words of one cell, with their numbers.
type Places = Vec<(Range<usize>, usize)>;

/// Cuts the cells into pieces at the words that doubts are about: the first place of each.
fn marked(cells: &[(String, String)], flags: &[Flag]) -> Vec<(String, Vec<Piece>)> {
    let mut places: Vec<Places> = vec![Vec::new(); cells.len()];
    for (number, flag) in (1..).zip(flags) {
        let raw = flag.raw.trim();
        if raw.is_empty() {
            continue;
        }
        for ((_, words), places) in cells.iter().zip(&mut places) {
            let found = words.match_indices(raw).map(|(at, _)| at..at + raw.len());
            let free = |r: &Range<usize>| {
                places
                    .iter()
                    .all(|(p, _)| r.end <= p.start || p.end <= r.start)
            };
            let place = found.into_iter().find(free);
            if let Some(place) = place {
                places.push((place, number));
                break;
            }
        }
    }
    let cut = |((header, words), mut places): (&(String, String), Places)| {
        places.sort_by_key(|(range, _)| range.start);
        let mut pieces = Vec::new();
        let mut from = 0;
        let mut push = |text: &str, doubt| {
            if !text.is_empty() {
                let text = clean(text);
                pieces.push(Piece { text, doubt });
            }
        };
        for (range, number) in places {
            push(&words[from..range.start], None);
            push(&words[range.clone()], Some(number));
            from = range.end;
        }
        push(&words[from..], None);
        (clean(header), pieces)
    };
    cells.iter().zip(places).map(cut).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubtful_words_are_marked_where_they_stand_and_nothing_is_lost() {
        let cells = [
            ("Fault".to_owned(), "no power, reg hot".to_owned()),
            ("Fix".to_owned(), "swapped reg, all gd".to_owned()),
        ];
        let flag = |raw: &str| Flag {
            field: "actions".to_owned(),
            why: "which-regulator".to_owned(),
            raw: raw.to_owned(),
        };
        let flags = [flag("swapped reg"), flag("reg"), flag("reg"), flag("gone")];
        let found = marked(&cells, &flags);
        let text: Vec<String> = found
            .iter()
            .map(|(_, pieces)| pieces.iter().map(|p| p.text.as_str()).collect())
            .collect();
        assert_eq!(text, ["no power, reg hot", "swapped reg, all gd"]);
        let doubts = |at: usize| -> Vec<usize> {
            let pieces: &Vec<Piece> = &found[at].1;
            pieces.iter().filter_map(|p| p.doubt).collect()
        };
        assert_eq!(doubts(0), [2], "the third has no place of its own left");
        assert_eq!(doubts(1), [1]);
        let which = Doubt::from_word("which-regulator").unwrap().sentence();
        assert_eq!(sentence(&flags[0]), format!("Done: {which}"));
        let own = Flag {
            why: "second-job-of-one-row".to_owned(),
            ..flag("W-7")
        };
        assert_eq!(sentence(&own), "Done: second job of one row");
    }
}
