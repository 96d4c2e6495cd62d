//! How a row ended: its own column, what later rows say of it, and the words elsewhere.

use crate::domain::intake::assemble::Desk;
use crate::domain::intake::assemble::Ending;
use crate::domain::intake::assemble::asked;
use crate::domain::intake::assemble::asked::Question;
use crate::domain::intake::lines;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reasons;
use crate::domain::job::Action;
use crate::domain::job::Outcome;
use crate::domain::job::Role;

impl Desk<'_> {
    pub(super) fn ending(&mut self) {
        let not_fixed = self.answers();
        for (text, sure) in self.said_endings() {
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
        if let Some(raw) = not_fixed {
            self.not_fixed(&raw);
        }
        self.settle_tries();
    }

    /// Returns what the outcome's own column and later rows say, without bare answers to "fixed?".
    fn said_endings(&mut self) -> Vec<(String, bool)> {
        let mut endings: Vec<(String, bool)> = Vec::new();
        let mut header = String::new();
        for cell in self.cells(|f| *f == Field::Outcome) {
            header.clone_from(&cell.column.header);
            endings.push((cell.text.to_string(), cell.sure));
        }
        for (row, text) in &self.filled.endings {
            let raw = format!("{text} (row {row})");
            self.flag("outcome", "ended-in-later-row", &raw);
            endings.push((text.clone(), true));
        }
        let asks = asked::question(&header);
        let means = |(text, sure): (String, bool)| match asks {
            Some(Question::Fixed) => asked::answer(&text).is_none().then_some((text, sure)),
            Some(Question::CameBack) => asked::came_back(&text).map(|text| (text, sure)),
            None => Some((text, sure)),
        };
        endings.into_iter().filter_map(means).collect()
    }

    /// Reads the answers under headers that ask, whatever their columns were taken for; returns a no
    /// to "fixed?" as it stands.
    fn answers(&mut self) -> Option<String> {
        let columns = self.taker.mapping.columns.iter().zip(&self.filled.cells);
        let mut not_fixed = None;
        let mut back = None;
        for (column, cell) in columns {
            let text = cell.cell().text();
            let asks = asked::question(&column.header).filter(|_| !cell.cell().is_blank());
            match (asks, asked::answer(&text)) {
                (Some(Question::Fixed), Some(true)) => self.works = true,
                (Some(Question::Fixed), Some(false)) => {
                    not_fixed = Some(format!("{}: {}", column.header, text.trim()));
                }
                (Some(Question::CameBack), _) if column.field != Field::Outcome => {
                    back = asked::came_back(&text);
                }
                _ => {}
            }
        }
        if let Some(text) = back {
            let reading = self.read(&text, &Field::Outcome);
            self.adopt(reading, true, true);
        }
        not_fixed
    }

    /// A column says that it was not fixed: unless another says how it ended, a person does.
    fn not_fixed(&mut self, raw: &str) {
        let told = |end: &Ending| {
            end.column && end.sure && !matches!(end.outcome, Outcome::UnknownSoFar | Outcome::Held)
        };
        if self.ends.iter().any(told) {
            return;
        }
        self.facts.outcome = None;
        self.maybe.outcome = Some(Outcome::NoFix);
        self.flag("outcome", "not-fixed", raw);
        let all = std::mem::take(&mut self.facts.actions);
        let (fixes, rest): (Vec<Action>, Vec<Action>) =
            all.into_iter().partition(|a| a.role == Role::TheFix);
        self.facts.actions = rest;
        self.maybe.actions.extend(fixes);
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
}

/// What a status column says without a word on whether it held.
pub(in crate::domain::intake) enum Status {
    /// Works on the bench, handed out: nobody knows yet whether it holds.
    Works,
    /// Still being worked on.
    Open,
}

/// Returns what a status column says where it is nothing but a status.
pub(in crate::domain::intake) fn status(text: &str) -> Option<Status> {
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
