//! One row of cells becomes a draft: what its words plainly say, what they may mean, and why a person
//! has to look.
//!
//! Order of work: the board first (its parts and places help to read the rest), then the cells that
//! hold one thing, then words, then what only the whole row tells: what was done to which part, in
//! which circuit, and how it ended.

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
use crate::domain::intake::looks;
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
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Part;
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;
use crate::domain::job::When;
use crate::domain::judge::unsafe_acts;

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
            let mut reading = self.read(&cell.text, field);
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

    /// What was done to which part: the words, and the columns of acts and of parts beside them.
    fn deeds(&mut self) {
        let join = |cells: &[Words<'_>]| {
            let texts: Vec<&str> = cells
                .iter()
                .map(|c| c.text.trim())
                .filter(|t| !lines::says_unknown(t))
                .collect();
            texts.join(", ")
        };
        let fix = self.cells(|f| *f == Field::Fix);
        let acts = self.cells(|f| *f == Field::Act);
        let parts = self.cells(|f| *f == Field::Part);
        let sure = |cells: &[Words<'_>]| cells.iter().all(|c| c.sure);
        let all_sure = sure(&fix) && sure(&acts) && sure(&parts);
        let (fix_text, act_text, part_text) = (join(&fix), join(&acts), join(&parts));
        match (
            fix_text.is_empty(),
            act_text.is_empty(),
            part_text.is_empty(),
        ) {
            (false, _, false) => self.fix_and_parts(&fix_text, &part_text, all_sure),
            (false, _, true) => self.fix_alone(&fix_text, &act_text, all_sure),
            (true, false, false) => {
                let reading = self.read(&format!("{act_text} {part_text}"), &Field::Fix);
                self.adopt(reading, all_sure, false);
            }
            (true, false, true) => {
                let reading = self.read(&act_text, &Field::Fix);
                self.adopt(reading, all_sure, false);
            }
            (true, true, false) => {
                let renewed = parts.iter().all(|c| says_renewed(&c.column.header));
                let reading = self.read(&format!("replaced {part_text}"), &Field::Fix);
                if !renewed {
                    self.flag("actions", "act-not-said", &part_text);
                }
                self.adopt(reading, all_sure && renewed, false);
            }
            (true, true, true) => {}
        }
        self.vague_parts();
    }

    /// "The big chip" of a board whose parts are listed: a person says which of them.
    fn vague_parts(&mut self) {
        if self.board.is_none_or(|b| b.parts.is_empty()) {
            return;
        }
        let vague = |a: &Action| a.role == Role::TheFix && is_vague(&a.part);
        let all = std::mem::take(&mut self.facts.actions);
        let (doubtful, plain): (Vec<Action>, Vec<Action>) = all.into_iter().partition(vague);
        self.facts.actions = plain;
        for action in doubtful {
            self.flag("actions", Doubt::WhichPart.word(), &action.part);
            self.maybe.actions.push(action);
        }
    }

    fn fix_alone(&mut self, fix: &str, act: &str, sure: bool) {
        let mut reading = self.read(fix, &Field::Fix);
        if reading.actions.is_empty() && !act.is_empty() {
            reading = self.read(&format!("{act} {fix}"), &Field::Fix);
        }
        self.adopt(reading, sure, false);
    }

    /// The words name the act and the column names the part.
    fn fix_and_parts(&mut self, fix: &str, parts: &str, sure: bool) {
        let mut reading = self.read(fix, &Field::Fix);
        let listed = looks::are_designators(parts);
        let named = |a: &Got<Action>| looks::is_designator(&a.what.part);
        if !reading.actions.iter().any(named) {
            if let ([only], true) = (reading.actions.as_slice(), listed) {
                let (act, role) = (only.what.act.clone(), only.what.role);
                let wanted = self.read(&format!("replaced {parts}"), &Field::Fix);
                let words = only.words.clone();
                let sure_act = only.sure || reading.flags.iter().any(|f| is_about_part(&f.why));
                reading.actions = wanted
                    .actions
                    .into_iter()
                    .map(|got| Got {
                        what: Action {
                            act: act.clone(),
                            part: got.what.part,
                            role,
                        },
                        words: words.clone(),
                        sure: sure_act && got.sure,
                    })
                    .collect();
                reading.flags.retain(|f| !is_about_part(&f.why));
            } else if reading.actions.is_empty() {
                reading = self.read(&format!("{fix} {parts}"), &Field::Fix);
            }
        } else if listed {
            let all = self.read(&format!("replaced {parts}"), &Field::Fix);
            let told = |part: &str| {
                reading
                    .actions
                    .iter()
                    .any(|a| a.what.part.eq_ignore_ascii_case(part))
            };
            let fixes = |part: &str| {
                all.actions
                    .iter()
                    .any(|a| a.what.part.eq_ignore_ascii_case(part))
            };
            let strange = all.actions.iter().any(|a| !told(&a.what.part));
            let unnamed = !reading.actions.iter().any(|a| fixes(&a.what.part));
            if strange && unnamed {
                self.flag("actions", "part-differs", &format!("{parts} / {fix}"));
            }
        }
        self.adopt(reading, sure, false);
    }

    fn ending(&mut self) {
        let own = self.cells(|f| *f == Field::Outcome);
        let mut endings: Vec<(String, bool)> =
            own.iter().map(|c| (c.text.to_string(), c.sure)).collect();
        for (row, text) in &self.filled.endings {
            let raw = format!("{text} (row {row})");
            self.flag("outcome", "ended-in-later-row", &raw);
            endings.push((text.clone(), true));
        }
        for (text, sure) in endings {
            if lines::says_unknown(&text) {
                continue;
            }
            match status(&text) {
                Some(Status::Works) => self.works = true,
                Some(Status::Open) => self.flag("outcome", "not-closed", &text),
                None => {
                    let reading = self.read(&text, &Field::Outcome);
                    let silent = reading.outcome.is_none()
                        && reading.no_fix_reason.is_none()
                        && !reading.flags.iter().any(reasons::blocks);
                    if silent {
                        self.maybe.outcome = Some(Outcome::UnknownSoFar);
                        self.flag("outcome", "outcome-not-read", &text);
                    }
                    if let (None, Some(reason)) = (&reading.outcome, &reading.no_fix_reason) {
                        self.ends.push(Ending {
                            outcome: Outcome::NoFix,
                            sure: reason.sure && sure,
                            column: true,
                        });
                    }
                    self.adopt(reading, sure, true);
                }
            }
        }
        self.settle_ending();
        self.settle_tries();
    }

    /// It works, something was tried, and no fix is named: what was tried may have been it.
    fn settle_tries(&mut self) {
        let is_fix = |a: &Action| a.role == Role::TheFix;
        let fixed = self.facts.actions.iter().any(is_fix) || self.maybe.actions.iter().any(is_fix);
        let works = self.works || self.facts.outcome == Some(Outcome::Held);
        if fixed || !works || self.bare_tries.is_empty() {
            return;
        }
        let tries = std::mem::take(&mut self.bare_tries);
        let same = |a: &Action| {
            let of = |t: &Action| t.act == a.act && t.part.eq_ignore_ascii_case(&a.part);
            tries.iter().any(of)
        };
        self.facts.actions.retain(|a| !same(a));
        let raw: Vec<String> = tries
            .iter()
            .map(|a| format!("{} {}", a.act, a.part))
            .collect();
        self.flag("actions", "tried-or-fix", &raw.join(", "));
        self.maybe.actions.extend(tries);
    }

    /// One plain end is a fact; none at all means that nobody knows yet; two are for a person.
    fn settle_ending(&mut self) {
        let mut plain: Vec<Outcome> = Vec::new();
        let mut perhaps: Vec<Outcome> = Vec::new();
        for end in self
            .ends
            .iter()
            .filter(|e| e.outcome != Outcome::UnknownSoFar)
        {
            let list = if end.sure { &mut plain } else { &mut perhaps };
            if !list.contains(&end.outcome) {
                list.push(end.outcome);
            }
        }
        let by_column = self
            .ends
            .iter()
            .find(|e| e.column && e.sure)
            .map(|e| e.outcome);
        match (plain.as_slice(), perhaps.as_slice()) {
            ([], []) => {
                if self.maybe.outcome.is_none() {
                    self.facts.outcome = Some(Outcome::UnknownSoFar);
                }
            }
            ([one], _) => self.facts.outcome = Some(*one),
            ([], [one, ..]) => {
                self.maybe.outcome = Some(*one);
                // The outcome's own column says that nobody knows: a guess from other words does not
                // undo it.
                if by_column.is_some() {
                    self.facts.outcome = by_column;
                }
            }
            ([one, other, ..], _) => {
                self.maybe.outcome = by_column.or(Some(*one));
                let raw = format!("{} / {}", one.word(), other.word());
                self.flag("outcome", "outcome-conflict", &raw);
            }
        }
        let fixed = self.facts.actions.iter().any(|a| a.role == Role::TheFix);
        if self.facts.outcome == Some(Outcome::NoFix) && fixed {
            let raw = self.facts.no_fix_reason.clone().unwrap_or_default();
            self.flag("outcome", "fix-and-no-fix", &raw);
        }
    }

    /// Which circuit: its own column, else the board's list of parts, else the words.
    fn family(&mut self) {
        for cell in self.cells(|f| *f == Field::Family) {
            if lines::says_unknown(&cell.text) {
                continue;
            }
            if let Some(id) = self.family_named(&cell.text) {
                let draft = if cell.sure {
                    &mut self.facts
                } else {
                    &mut self.maybe
                };
                draft.family.get_or_insert(id);
                continue;
            }
            let reading = self.read(&cell.text, &Field::Family);
            match reading.family {
                Some(got) if got.sure && cell.sure => {
                    self.facts.family.get_or_insert(got.what);
                }
                Some(got) => {
                    self.maybe.family.get_or_insert(got.what);
                    self.flags.extend(reading.flags);
                    self.flag("family", "family-not-said", &cell.text);
                }
                None => self.flag("family", "family-not-listed", &cell.text),
            }
        }
        let listed = self.families_of_parts();
        if self.facts.family.is_some() {
            if let ([one], true) = (listed.0.as_slice(), listed.1)
                && self.facts.family.as_ref() != Some(one)
            {
                let raw = one.clone();
                self.flag("family", "family-differs-from-board", &raw);
            }
        } else {
            self.family_told(listed);
        }
        let needless = self.facts.outcome == Some(Outcome::NoFix) && self.facts.family.is_none();
        if needless {
            // Nobody asks for the circuit of a fault that was not mended.
            self.maybe.family = None;
        }
        if needless || self.facts.family.is_some() {
            self.flags.retain(|f| {
                f.why != "circuit-from-words"
                    && !(f.field == "family" && f.why == "family-not-said")
                    && !(needless && f.field == "family" && f.why == "several-families")
            });
        }
    }

    fn family_told(&mut self, (listed, every): (Vec<String>, bool)) {
        match listed.as_slice() {
            [one] if every => {
                self.facts.family = Some(one.clone());
                return;
            }
            [one] => self.maybe.family = Some(one.clone()),
            [one, ..] => {
                self.maybe.family = Some(one.clone());
                let raw = listed.join(", ");
                self.flag("family", "several-families", &raw);
                return;
            }
            [] => {}
        }
        let mut told: Vec<&Got<String>> = self.families.iter().collect();
        told.sort_by_key(|got| !got.sure);
        let first = told.first().map(|got| (got.what.clone(), got.sure));
        let differ = told
            .iter()
            .filter(|got| got.sure)
            .any(|got| Some(&got.what) != told.first().map(|f| &f.what));
        let Some((family, sure)) = first else {
            if let Some(guess) = self.maybe.family.clone() {
                self.flag("family", "family-not-said", &guess);
            }
            return;
        };
        if sure && !differ && self.maybe.family.as_ref().is_none_or(|m| *m == family) {
            self.facts.family = Some(family);
            return;
        }
        let raw = family.clone();
        self.maybe.family.get_or_insert(family);
        self.flag(
            "family",
            if differ {
                "several-families"
            } else {
                "family-not-said"
            },
            &raw,
        );
    }

    /// Returns the family that a cell names by its id or its whole name.
    fn family_named(&self, text: &str) -> Option<String> {
        let small = names::tidy(text).to_lowercase();
        if small == UNLOCATED {
            return Some(UNLOCATED.to_owned());
        }
        let own = self.taker.facts.words.of_shop("families", &small);
        let small = own.unwrap_or(&small);
        let all = self.taker.facts.circuits.all().iter();
        let found = all.filter(|f| f.id == small || f.name.to_lowercase() == small);
        found.map(|f| f.id.clone()).next()
    }

    /// Returns the families that the board's list gives the parts of the fix, and whether it lists all.
    fn families_of_parts(&self) -> (Vec<String>, bool) {
        let mut found = Vec::new();
        let mut blown = Vec::new();
        let mut every = true;
        let Some(board) = self.board else {
            return (found, false);
        };
        let mut fixes = self
            .facts
            .actions
            .iter()
            .filter(|a| a.role == Role::TheFix)
            .peekable();
        if fixes.peek().is_none() {
            return (found, false);
        }
        for action in fixes {
            let part = board
                .parts
                .get(&action.part)
                .or_else(|| board.parts.get(&action.part.to_uppercase()));
            let of_revision = |part: &&Part| {
                let rev = self.facts.rev.as_deref();
                part.revs.is_empty()
                    || rev.is_none_or(|rev| part.revs.iter().any(|r| r.eq_ignore_ascii_case(rev)))
            };
            let part = part.filter(of_revision);
            let fuse = is_fuse(&action.part, part);
            match part.and_then(|p| p.family.clone()) {
                // What blew a fuse is the fault, never the fuse, where anything else was mended.
                Some(family) if fuse => blown.push(family),
                None if fuse => blown.clear(),
                Some(family) if !found.contains(&family) => found.push(family),
                Some(_) => {}
                None => every = false,
            }
        }
        if found.is_empty() && every {
            blown.dedup();
            every = !blown.is_empty();
            return (blown, every);
        }
        (found, every)
    }

    /// An unsafe act is never taken from a sheet.
    fn safety(&mut self) {
        let acts = self.facts.actions.iter().chain(&self.maybe.actions);
        let unsafe_acts: Vec<String> = acts
            .filter(|a| self.is_unsafe(a))
            .map(|a| format!("{} {}", a.act, a.part))
            .collect();
        for act in unsafe_acts {
            self.flag("actions", "unsafe-act", &act);
        }
    }

    fn is_unsafe(&self, action: &Action) -> bool {
        let key = format!("{} {}", action.act, action.part);
        let Ok(mut judged) = self.taker.judged.lock() else {
            return true;
        };
        if let Some(known) = judged.get(&key) {
            return *known;
        }
        let one = Action {
            role: Role::TheFix,
            ..action.clone()
        };
        let job = Job {
            actions: vec![one],
            ..Job::empty("", "", Outcome::UnknownSoFar)
        };
        let bad = unsafe_acts::unsafe_fix(&job.fix(), &job, None).is_some();
        if judged.len() < MOST_JUDGED {
            judged.insert(key, bad);
        }
        bad
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

/// Tells whether a part is named by a word that many parts of a board answer to.
fn is_vague(part: &str) -> bool {
    let vague = [
        "chip",
        "chips",
        "ic",
        "ics",
        "part",
        "parts",
        "component",
        "components",
        "thing",
        "baustein",
        "bauteil",
        "bauteile",
        "teil",
        "teile",
    ];
    let small = part.to_lowercase();
    // "Charger chip" says which one; "big chip" does not.
    let sizes = [
        "big", "large", "small", "little", "main", "the", "a", "other", "black", "square",
        "dicker", "dicke", "dickes", "großer", "große", "großes", "kleiner", "kleine", "kleines",
    ];
    let mut words = small.split_whitespace().rev();
    words.next().is_some_and(|w| vague.contains(&w)) && words.all(|w| sizes.contains(&w))
}

/// Tells whether a part is a fuse, by the board's list or by its designator.
fn is_fuse(designator: &str, part: Option<&Part>) -> bool {
    let named = part.map(|p| p.name.to_lowercase());
    let by_name = named.is_some_and(|n| n.contains("fuse") || n.contains("sicherung"));
    let number = designator.strip_prefix(['F', 'f']).unwrap_or_default();
    by_name || (!number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
}

/// So many acts are remembered of one sheet; further ones are judged each time.
const MOST_JUDGED: usize = 10_000;

/// Doubts that a column of parts answers.
fn is_about_part(why: &str) -> bool {
    matches!(why, "which-part" | "refdes-missing" | "which-regulator")
}

/// Tells whether the header of a column of parts says that they were renewed.
fn says_renewed(header: &str) -> bool {
    let plain = headers::plain(header);
    let words = [
        "replaced",
        "changed",
        "swapped",
        "fitted",
        "used",
        "getauscht",
        "getauschte",
        "getauschtes",
        "ersetzt",
        "ersetzte",
        "gewechselt",
        "verbaut",
        "verbaute",
        "ersatzteil",
        "ersatzteile",
    ];
    plain.split(' ').any(|w| words.contains(&w))
}

fn says_more_than_yes(text: &str) -> bool {
    let small = text.trim().to_lowercase();
    let yes = [
        "ok", "yes", "y", "ja", "j", "pass", "passed", "done", "i.o.", "io", "x", "✓", "erledigt",
        "tested", "no", "nein",
    ];
    !yes.contains(&small.as_str()) && 3 < small.len()
}

/// What a status column says without a word on whether it held.
pub(super) enum Status {
    /// Works on the bench, handed out: nobody knows yet whether it holds.
    Works,
    /// Still being worked on.
    Open,
}

/// Returns what a status column says where it is nothing but a status.
pub(super) fn status(text: &str) -> Option<Status> {
    let small = text.trim().trim_end_matches(['.', '!']).to_lowercase();
    let works = [
        "ok",
        "works",
        "working",
        "fixed",
        "repaired",
        "done",
        "passed",
        "pass",
        "tested",
        "tested ok",
        "i.o",
        "io",
        "läuft",
        "geht",
        "geht wieder",
        "funktioniert",
        "repariert",
        "erledigt",
        "fertig",
        "closed",
        "complete",
        "completed",
        "gd",
        "good",
        "y",
        "yes",
        "ja",
        "shipped",
        "returned to customer",
        "collected",
        "success",
        "successful",
        "in ordnung",
        "ok now",
        "abgeschlossen",
        "ausgeliefert",
        "läuft wieder",
        "all ok",
        "all good",
        "finished",
        "test ok",
        "works again",
        "unknown so far",
        "no news",
        "no feedback",
        "no reply",
        "keine rückmeldung",
        "nichts gehört",
        "behoben",
        "erfolgreich",
        "gut",
    ];
    let open = [
        "open",
        "wip",
        "waiting",
        "in progress",
        "pending",
        "on hold",
        "awaiting parts",
        "waiting for parts",
        "offen",
        "in arbeit",
        "wartet",
        "wartet auf teile",
        "laufend",
        "zurückgestellt",
        "to do",
        "todo",
        "not started",
        "ongoing",
    ];
    if works.contains(&small.as_str()) {
        Some(Status::Works)
    } else if open.contains(&small.as_str()) {
        Some(Status::Open)
    } else {
        None
    }
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
