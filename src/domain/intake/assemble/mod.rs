//! One row of cells becomes a draft: what its words plainly say, what they may mean, and why a person
//! has to look.
//!
//! Order of work: the board first (its parts and places help to read the rest), then the cells that
//! hold one thing, then words, then what only the whole row tells: what was done to which part, in
//! which circuit, and how it ended. Reading order: this file, `deeds`, `ending`, `circuit`.

pub(super) mod asked;
mod circuit;
mod deeds;
pub(super) mod ending;

use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::days;
use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::draft::Draft;
use crate::domain::intake::draft::Missing;
use crate::domain::intake::draft::Suggested;
use crate::domain::intake::figures;
use crate::domain::intake::figures::Measure;
use crate::domain::intake::headers;
use crate::domain::intake::lines;
use crate::domain::intake::mapping::Column;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::measured;
use crate::domain::intake::names;
use crate::domain::intake::reading;
use crate::domain::intake::reading::Got;
use crate::domain::intake::reading::Known;
use crate::domain::intake::reading::Reading;
use crate::domain::intake::reasons;
use crate::domain::intake::rows;
use crate::domain::intake::rows::End;
use crate::domain::intake::rows::Filled;
use crate::domain::intake::rows::From;
use crate::domain::intake::rows::Taker;
use crate::domain::intake::rows::field_name;
use crate::domain::intake::rows::flag;
use crate::domain::job::Action;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Flag;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::When;

/// Reads one row; `raw` are its cells as they stand.
pub(super) fn row(taker: &Taker<'_>, filled: &Filled, raw: &[(String, String)]) -> End {
    let mut desk = Desk {
        taker,
        filled,
        board: None,
        facts: Draft {
            raw: raw.to_vec(),
            source: Some(taker.source_of(filled.row)),
            unit: filled.unit.clone(),
            ..Draft::default()
        },
        maybe: Draft::default(),
        flags: filled.flags.clone(),
        ends: Vec::new(),
        families: Vec::new(),
        bare_tries: Vec::new(),
        works: false,
    };
    desk.number();
    desk.board();
    desk.days();
    desk.single_cells();
    desk.words();
    desk.deeds();
    desk.ending();
    desk.family();
    desk.safety();
    desk.close()
}

/// A word for how it ended, and where it stood.
struct Ending {
    outcome: Outcome,
    sure: bool,
    column: bool,
}

struct Desk<'d> {
    taker: &'d Taker<'d>,
    filled: &'d Filled,
    board: Option<&'d BoardFacts>,
    facts: Draft,
    maybe: Draft,
    flags: Vec<Flag>,
    ends: Vec<Ending>,
    families: Vec<Got<String>>,
    /// Acts of a column for what was tried of which nothing says that they were in vain.
    bare_tries: Vec<Action>,
    /// A column says that the board works.
    works: bool,
}

/// A cell that says something.
struct Words<'d> {
    column: &'d Column,
    text: std::borrow::Cow<'d, str>,
    sure: bool,
}

impl<'d> Desk<'d> {
    /// Returns the cells of the columns that `wanted` picks, without those that say nothing.
    fn cells(&self, wanted: impl Fn(&Field) -> bool) -> Vec<Words<'d>> {
        let columns = self.taker.mapping.columns.iter().zip(&self.filled.cells);
        columns
            .filter(|(column, _)| wanted(&column.field))
            .filter_map(|(column, cell)| {
                let text = cell.cell().text();
                (!lines::says_nothing(&text)).then_some(Words {
                    column,
                    text,
                    sure: cell.from != From::Perhaps,
                })
            })
            .collect()
    }

    fn flag(&mut self, field: &str, why: &str, raw: &str) {
        self.flags.push(flag(field, why, raw));
    }

    fn number(&mut self) {
        let number = self.filled.number.clone();
        let twice = self.flags.iter().any(|f| f.why == "number-used-twice");
        let damaged = self
            .flags
            .iter()
            .any(|f| f.field == "job" && reasons::blocks(f));
        let formula = self.flags.iter().any(|f| f.why == rows::FORMULA);
        if formula {
            // What a worksheet counts out is nobody's number.
        } else if twice {
            if self.filled.second {
                self.maybe.number = Some(format!("{number}-{}", self.filled.row));
            }
            self.facts.number = Some(number);
        } else if damaged {
            self.maybe.number = Some(number);
        } else {
            self.facts.number = Some(number);
        }
        self.facts.follows.clone_from(&self.filled.follows);
    }

    fn board(&mut self) {
        let cells = self.cells(|f| *f == Field::Board);
        let text = match cells.first() {
            Some(cell) if !lines::says_unknown(&cell.text) => names::tidy(&cell.text),
            _ => self.filled.section.clone().unwrap_or_default(),
        };
        if text.is_empty() {
            return;
        }
        if let Some(found) = self.taker.board_of(&text) {
            self.board = self.taker.facts.boards.get(&found.board);
            self.facts.board = Some(found.board);
            self.facts.rev = found.rev;
        } else {
            let name = names::split_revision(&text).map_or(text, |(name, _)| name);
            self.flag("board", "board-not-listed", &name);
        }
    }

    fn days(&mut self) {
        let closed = self.filled.closed;
        let raw = self
            .taker
            .columns
            .closed
            .and_then(|at| self.filled.cells.get(at));
        let raw = raw
            .map(|c| c.cell().text().into_owned())
            .unwrap_or_default();
        if let Some(remark) = closed.remark {
            self.flag("closed_on", remark, &raw);
        }
        match (closed.doubt, closed.day) {
            (Some(doubt), day) => {
                self.maybe.closed_on = day;
                self.flag("closed_on", doubt, &raw);
            }
            (None, Some(day)) if self.taker.facts.today < day => {
                self.maybe.closed_on = Some(day);
                self.flag("closed_on", "in-the-future", &raw);
            }
            (None, day) => self.facts.closed_on = day,
        }
        let Some(cell) = self
            .taker
            .columns
            .received
            .and_then(|at| self.filled.cells.get(at))
        else {
            return;
        };
        if cell.cell().is_blank() {
            return;
        }
        let received = days::read_day(
            cell.cell(),
            self.taker.mapping.dates,
            self.taker.facts.today,
        );
        let Some(day) = received.day.filter(|_| received.doubt.is_none()) else {
            return;
        };
        let raw = cell.cell().text().into_owned();
        match self.facts.closed_on {
            Some(closed) if closed < day => {
                self.flag(
                    "closed_on",
                    "closed-before-received",
                    &format!("{closed} / {day}"),
                );
            }
            None if self.maybe.closed_on.is_none() && closed.doubt.is_none() => {
                self.maybe.closed_on = Some(day);
                self.flag("closed_on", "only-received-date", &raw);
            }
            _ => {}
        }
    }

    /// Initials, revision, time and money.
    fn single_cells(&mut self) {
        for cell in self.cells(|f| *f == Field::ClosedBy) {
            let by = names::tidy(&cell.text);
            if !lines::says_unknown(&by) && by.chars().count() <= 40 {
                self.facts.closed_by = Some(by);
            }
        }
        for cell in self.cells(|f| *f == Field::Revision) {
            self.revision(&cell.text);
        }
        for cell in self.cells(|f| *f == Field::Minutes) {
            let minutes = minutes(&cell.text, &cell.column.header, self.taker.mapping.decimal);
            match minutes {
                Some((n, true)) => self.facts.effort.minutes = Some(n),
                Some((n, false)) => {
                    self.maybe.effort.minutes = Some(n);
                    self.flag("minutes", "unit-assumed", &cell.text);
                }
                None => self.flag("minutes", "not-read", &cell.text),
            }
        }
        for cell in self.cells(|f| matches!(f, Field::PartsCost | Field::Value)) {
            let figure = figures::figure(&cell.text, self.taker.mapping.decimal);
            let money = figure.filter(|f| {
                matches!(f.measure, None | Some(Measure::Money))
                    && f.high.is_none()
                    && f.qualifier.is_none()
                    && 0.0 <= f.value
            });
            let Some(money) = money else {
                self.flag(field_name(&cell.column.field), "not-read", &cell.text);
                continue;
            };
            if cell.column.field == Field::Value {
                self.facts.effort.value = Some(money.value);
            } else {
                self.facts.effort.parts_cost = Some(money.value);
            }
        }
    }

    fn revision(&mut self, text: &str) {
        let tidy = names::tidy(text);
        if lines::says_unknown(&tidy) {
            return;
        }
        let small = tidy.to_lowercase();
        let bare = ["revision", "rev.", "rev", "stand", "v.", "ver."]
            .iter()
            .find_map(|w| small.strip_prefix(w))
            .and_then(|rest| tidy.get(tidy.len().checked_sub(rest.len())?..))
            .unwrap_or(&tidy);
        let bare = bare.trim_matches([' ', '.', ':', '-']);
        let plain = !bare.is_empty()
            && bare.len() <= 8
            && bare
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '-'));
        if !plain {
            let first: String = bare
                .chars()
                .take_while(char::is_ascii_alphanumeric)
                .collect();
            self.maybe.rev = (!first.is_empty() && first.len() <= 4).then_some(first);
            self.flag("rev", "conflict-keep-both", &tidy);
            self.facts.rev = None;
            return;
        }
        let differs = self
            .facts
            .rev
            .as_deref()
            .is_some_and(|rev| !rev.eq_ignore_ascii_case(bare));
        if differs {
            self.maybe.rev = Some(bare.to_owned());
            self.flag("rev", "conflict-keep-both", &tidy);
        } else {
            self.facts.rev = Some(bare.to_owned());
        }
    }

    fn known<'k>(&'k self, field: &'k Field) -> Known<'k> {
        Known {
            words: self.taker.facts.words,
            board: self.board,
            field,
            dates: self.taker.mapping.dates,
            decimal: self.taker.mapping.decimal,
        }
    }

    fn read(&self, text: &str, field: &Field) -> Reading {
        reading::read(text, &self.known(field))
    }

    /// Cells that hold words or measured values.
    fn words(&mut self) {
        let by_words = |f: &Field| {
            matches!(
                f,
                Field::Complaint
                    | Field::Findings
                    | Field::Draw
                    | Field::Rail(_)
                    | Field::Resistance(_)
                    | Field::Diode(_)
                    | Field::Tried
                    | Field::NoFixReason
                    | Field::Proof
                    | Field::Environment
                    | Field::Everything
            )
        };
        for cell in self.cells(by_words) {
            let field = &cell.column.field;
            if lines::says_unknown(&cell.text) {
                if *field == Field::Complaint && cell.sure {
                    self.facts.complaint.push("unknown".to_owned());
                }
                continue;
            }
            if let Some(made) = measured::read(
                field,
                &cell.column.header,
                &cell.text,
                self.taker.mapping.decimal,
                self.board,
            ) {
                for why in &made.why {
                    self.flag("findings", why, &cell.text);
                }
                self.finding(made.finding, made.sure && cell.sure);
                continue;
            }
            let text = match field {
                Field::Draw => measured::with_unit(&cell.column.header, &cell.text),
                _ => std::borrow::Cow::Borrowed(&*cell.text),
            };
            let mut reading = self.read(&text, field);
            if *text != *cell.text {
                quote(&mut reading, &cell.text);
            }
            self.shape(&mut reading, &cell);
            self.adopt(reading, cell.sure, false);
        }
        if self.facts.complaint.is_empty() && self.maybe.complaint.is_empty() {
            let said = self.cells(|f| *f == Field::Complaint);
            if let Some(cell) = said.first() {
                let raw = cell.text.to_string();
                self.flag("complaint", "complaint-not-read", &raw);
            }
        }
    }

    /// Applies what the column says of everything in its cell.
    fn shape(&mut self, reading: &mut Reading, cell: &Words<'_>) {
        let field = &cell.column.field;
        let after =
            *field == Field::Proof || headers::when_of(&cell.column.header) == When::AfterAction;
        for finding in &mut reading.findings {
            if after {
                finding.what.when = When::AfterAction;
            }
            if finding.what.raw.is_none() {
                finding.what.raw = Some(cell.text.trim().to_owned());
            }
        }
        match field {
            Field::Tried => {
                // What would be the fix anywhere else: no word says that it was in vain.
                let plain = self.read(&cell.text, &Field::Fix);
                let fixes = plain.actions.into_iter().map(|got| got.what);
                self.bare_tries
                    .extend(fixes.filter(|a| a.role == Role::TheFix));
                for action in &mut reading.actions {
                    if action.what.role != Role::MadeWorse {
                        action.what.role = Role::TriedNoEffect;
                    }
                }
            }
            Field::Proof
                if reading.proof.is_none() && says_more_than_yes(&cell.text) && cell.sure =>
            {
                self.facts.proof = Some(names::tidy(&cell.text));
            }
            Field::NoFixReason if reading.no_fix_reason.is_some() && reading.outcome.is_none() => {
                self.ends.push(Ending {
                    outcome: Outcome::NoFix,
                    sure: cell.sure && reading.no_fix_reason.as_ref().is_some_and(|r| r.sure),
                    column: true,
                });
            }
            _ => {}
        }
    }

    fn finding(&mut self, finding: Finding, sure: bool) {
        let list = if sure {
            &mut self.facts.findings
        } else {
            &mut self.maybe.findings
        };
        let same = |other: &Finding| {
            let bare = |f: &Finding| Finding {
                raw: None,
                ..f.clone()
            };
            other.kind == finding.kind
                && other.place == finding.place
                && bare(other) == bare(&finding)
        };
        if !list.iter().any(same) {
            list.push(finding);
        }
    }

    fn action(&mut self, action: Action, sure: bool) {
        let list = if sure {
            &mut self.facts.actions
        } else {
            &mut self.maybe.actions
        };
        let same = |a: &Action| a.act == action.act && a.part.eq_ignore_ascii_case(&action.part);
        if !list.iter().any(same) {
            list.push(action);
        }
    }

    /// Merges what one text says: plain words into the facts, the rest into what may be meant.
    fn adopt(&mut self, reading: Reading, sure: bool, column: bool) {
        for word in reading.complaint {
            let list = if sure && word.sure {
                &mut self.facts.complaint
            } else {
                &mut self.maybe.complaint
            };
            if !list.contains(&word.what) {
                list.push(word.what);
            }
        }
        for got in reading.findings {
            self.finding(got.what, sure && got.sure);
        }
        for got in reading.actions {
            self.action(got.what, sure && got.sure);
        }
        if let Some(end) = reading.outcome {
            self.ends.push(Ending {
                outcome: end.what,
                sure: sure && end.sure,
                column,
            });
        }
        if let Some(reason) = reading.no_fix_reason {
            let draft = if sure && reason.sure {
                &mut self.facts
            } else {
                &mut self.maybe
            };
            draft.no_fix_reason.get_or_insert(reason.what);
        }
        if let Some(mut family) = reading.family {
            family.sure &= sure;
            self.families.push(family);
        }
        for got in reading.environment {
            let list = if sure && got.sure {
                &mut self.facts.environment
            } else {
                &mut self.maybe.environment
            };
            if !list.contains(&got.what) {
                list.push(got.what);
            }
        }
        if let Some(rev) = reading.revision
            && self.facts.rev.is_none()
        {
            let draft = if sure && rev.sure {
                &mut self.facts
            } else {
                &mut self.maybe
            };
            draft.rev.get_or_insert(rev.what);
        }
        if let Some(proof) = reading.proof {
            let draft = if sure && proof.sure {
                &mut self.facts
            } else {
                &mut self.maybe
            };
            draft.proof.get_or_insert(proof.what);
        }
        if let Some(day) = reading.days.first()
            && self.facts.closed_on.is_none()
            && self.maybe.closed_on.is_none()
        {
            self.maybe.closed_on = Some(day.what);
            self.flag("closed_on", "date-in-words", &day.what.to_string());
        }
        self.flags.extend(reading.flags);
    }

    /// A rail that reads above whatever feeds the board is no fact.
    fn above_source(&mut self) {
        let Some(board) = self.board else { return };
        let findings = std::mem::take(&mut self.facts.findings);
        for finding in findings {
            if board.is_above_source(&finding) {
                let raw = finding.raw.clone().unwrap_or_default();
                let raw = format!("{} {raw}", finding.place);
                self.flag("findings", "above-source", &raw);
                self.maybe.findings.push(finding);
            } else {
                self.facts.findings.push(finding);
            }
        }
    }

    fn close(mut self) -> End {
        let measured = self
            .facts
            .findings
            .iter()
            .any(|f| f.is_electrical() && f.when != When::AfterAction);
        if measured {
            self.flags.retain(|f| f.why != "no-measurement");
        }
        self.facts.findings.retain(|f| {
            f.kind == FindingKind::Current || f.kind == FindingKind::Visual || !f.place.is_empty()
        });
        self.above_source();
        reasons::sort(&mut self.flags);
        let missing = self.facts.missing();
        let mut why: Vec<Flag> = self
            .flags
            .iter()
            .filter(|f| reasons::blocks(f))
            .cloned()
            .collect();
        // Where there may have been no fix, that is what a person says first.
        let asks = |f: &Flag| f.field == "outcome" && f.why == Doubt::MapExplicitly.word();
        let unsaid = self.facts.outcome.is_none() && self.maybe.outcome == Some(Outcome::NoFix);
        let perhaps_none = unsaid || self.flags.iter().any(asks);
        let asked =
            |field: &Missing| !(perhaps_none && matches!(field, Missing::Family | Missing::Fix));
        for field in missing.into_iter().filter(asked) {
            if !why.iter().any(|f| f.field == field.field()) {
                why.push(flag(field.field(), "missing", ""));
            }
        }
        self.facts.flags = self.flags;
        if why.is_empty() {
            return End::Taken(Box::new(self.facts));
        }
        reasons::sort(&mut why);
        End::NeedsPerson {
            why,
            suggested: Box::new(Suggested {
                facts: self.facts,
                maybe: self.maybe,
            }),
        }
    }
}

/// Puts the cell as it stands where the reading quotes it: a unit from the header is no word of it.
fn quote(reading: &mut Reading, text: &str) {
    for finding in &mut reading.findings {
        finding.what.raw = Some(text.trim().to_owned());
    }
    for flag in &mut reading.flags {
        text.trim().clone_into(&mut flag.raw);
    }
}

fn says_more_than_yes(text: &str) -> bool {
    let small = text.trim().to_lowercase();
    let yes = [
        "ok", "yes", "y", "ja", "j", "pass", "passed", "done", "i.o.", "io", "x", "✓", "erledigt",
        "tested", "no", "nein",
    ];
    !yes.contains(&small.as_str()) && 3 < small.len()
}

/// Returns minutes, and whether their unit was written in the cell or over the column.
fn minutes(text: &str, header: &str, mark: DecimalMark) -> Option<(f64, bool)> {
    let text = text.trim();
    let clock = text.split_once([':', 'h']).and_then(|(h, m)| {
        let m = m.trim().trim_end_matches(['h', 'm', 'i', 'n', ' ', '.']);
        let hours: u32 = h.trim().parse().ok().filter(|h| *h < 1000)?;
        let minutes: u32 = m.parse().ok().filter(|m| *m < 60)?;
        Some(f64::from(hours * 60 + minutes))
    });
    if let Some(minutes) = clock {
        return Some((minutes, true));
    }
    let figure = figures::figure(text, mark).filter(|f| f.high.is_none() && 0.0 <= f.value)?;
    match figure.measure {
        Some(Measure::Minutes) => return Some((figure.value, true)),
        Some(_) => return None,
        None => {}
    }
    if let Some((Measure::Minutes, factor)) = headers::unit_of(header).and_then(figures::unit) {
        return Some((figure.value * factor, true));
    }
    let plain = headers::plain(header);
    let says = |words: &[&str]| plain.split(' ').any(|w| words.contains(&w));
    if says(&["minutes", "mins", "min", "minuten"]) {
        return Some((figure.value, true));
    }
    if says(&["hours", "hrs", "hr", "h", "std", "stunden"]) {
        return Some((figure.value * 60.0, true));
    }
    Some((figure.value, false))
}
