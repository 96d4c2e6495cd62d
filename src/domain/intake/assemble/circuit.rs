//! Which circuit: its own column, else the board's list of parts, else the words.

use crate::domain::intake::assemble::Desk;
use crate::domain::intake::lines;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::names;
use crate::domain::intake::reading::Got;
use crate::domain::job::Outcome;
use crate::domain::job::Part;
use crate::domain::job::Role;
use crate::domain::job::UNLOCATED;

impl Desk<'_> {
    /// Which circuit: its own column, else the board's list of parts, else the words.
    pub(super) fn family(&mut self) {
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
}

/// Tells whether a part is a fuse, by the board's list or by its designator.
fn is_fuse(designator: &str, part: Option<&Part>) -> bool {
    let named = part.map(|p| p.name.to_lowercase());
    let by_name = named.is_some_and(|n| n.contains("fuse") || n.contains("sicherung"));
    let number = designator.strip_prefix(['F', 'f']).unwrap_or_default();
    by_name || (!number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
}
