//! What was done to which part: the words, and the columns of acts and of parts beside them.

use crate::domain::intake::assemble::Desk;
use crate::domain::intake::assemble::Words;
use crate::domain::intake::assemble::asked;
use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::headers;
use crate::domain::intake::lines;
use crate::domain::intake::looks;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::Got;
use crate::domain::job::Action;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::judge::danger::unsafe_acts;

impl Desk<'_> {
    /// What was done to which part: the words, and the columns of acts and of parts beside them.
    pub(super) fn deeds(&mut self) {
        let join = |cells: &[Words<'_>]| {
            let texts: Vec<&str> = cells
                .iter()
                .map(|c| c.text.trim())
                .filter(|t| !lines::says_unknown(t))
                .collect();
            texts.join(", ")
        };
        let mut fix = self.cells(|f| *f == Field::Fix);
        // "Yes" says that something fixed it, not what.
        fix.retain(|cell| asked::answer(&cell.text).is_none());
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
            // "Removed and replaced" is one act.
            let renewed = reading.actions.iter().any(|a| a.what.act == "replace");
            if renewed && reading.actions.len() == 2 {
                reading.actions.retain(|a| a.what.act != "remove");
            }
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

    /// An unsafe act is never taken from a sheet.
    pub(super) fn safety(&mut self) {
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
