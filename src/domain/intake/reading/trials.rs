//! Tests in words: what was done by hand, and what it showed.

use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

/// What a test showed is said in a few words, or it is no longer one reading.
const MOST_WORDS: usize = 8;

impl Reader<'_> {
    /// "Torch test: picture visible", "flex test ok": a finding by its name and what it showed.
    pub(super) fn trial(&mut self) {
        let i = self.at;
        let (name_end, from) = self.trial_name(i);
        let to = self.trial_value(from);
        self.not = None;
        if to == from || to - from > MOST_WORDS {
            self.done_to(i, from);
            return;
        }
        let value = self.items[from].words.start..self.items[to - 1].words.end;
        let words = self.items[i].words.start..value.end;
        let good = to == from + 1
            && self
                .senses(from)
                .iter()
                .any(|s| matches!(s, Sense::Verdict(Verdict::Good) | Sense::End(End::Good)));
        let ending = self.known.field == &Field::Outcome;
        if good && (ending || !self.deeds.is_empty()) {
            let done = self.deeds.len();
            self.proofs.push((words.clone(), done));
            self.ends.push((End::Good, words.clone(), done));
        }
        if !ending {
            let name = &self.text[self.items[i].words.start..name_end];
            let mut finding = Finding::new(FindingKind::Other, name);
            finding.code = Some(self.text[value].to_owned());
            self.add(finding, words, true);
            self.last = None;
        }
        self.done_to(i, to);
    }

    /// Tells whether a word of no table, "test" and a colon stand at item `i`: "squeal test: quiet".
    pub(super) fn names_trial(&self, i: usize) -> bool {
        let test = ["test", "check"].contains(&self.source(i + 1).to_lowercase().as_str());
        test && self.is_colon(i + 2)
    }

    fn is_colon(&self, i: usize) -> bool {
        matches!(
            self.items.get(i).map(|i| &i.what),
            Some(What::Mark(':' | '='))
        )
    }

    /// Returns where the name ends, and the item after it and its colon: "freeze spray on U5:".
    fn trial_name(&self, i: usize) -> (usize, usize) {
        for at in i + 1..i + 5 {
            if self.is_colon(at) {
                return (self.items[at - 1].words.end, at + 1);
            }
            if matches!(
                self.items.get(at).map(|i| &i.what),
                None | Some(What::Mark(_))
            ) {
                break;
            }
        }
        let mut at = i + 1;
        let lead = |at: usize| {
            matches!(
                self.items.get(at).map(|i| &i.what),
                Some(What::Mark('-' | '–' | '→'))
            ) || self.senses(at).contains(&Sense::Filler)
        };
        while lead(at) {
            at += 1;
        }
        (self.items[i].words.end, at)
    }

    /// Returns the item after what the test showed.
    fn trial_value(&self, from: usize) -> usize {
        let mut at = from;
        while let Some(item) = self.items.get(at) {
            let mark = matches!(
                item.what,
                What::Mark(',' | ';' | '.' | '!' | '|' | '(' | ')' | '–' | '→')
            );
            let act = self
                .senses(at)
                .iter()
                .any(|s| matches!(s, Sense::Act(_) | Sense::Break));
            if mark || act {
                break;
            }
            at += 1;
        }
        at
    }
}
