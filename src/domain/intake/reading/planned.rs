//! What the words beside an act or a number take away from it: an act that is only planned, a part's new
//! value, a number that the customer told. Leaves out plain denials, which the reader keeps itself.

use std::ops::Range;

use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Sense;

/// Words before an act that say it is still to be done. Common practice, no source.
const STILL_TO_DO: [&str; 43] = [
    "should",
    "shld",
    "shud",
    "shd",
    "need",
    "needs",
    "needed",
    "needing",
    "must",
    "to be",
    "has to",
    "have to",
    "want to",
    "wants",
    "will",
    "would",
    "could",
    "may",
    "might",
    "going to",
    "plan to",
    "planned",
    "if",
    "ordered",
    "on order",
    "recommend",
    "recommended",
    "suggest",
    "muss",
    "müsste",
    "musste",
    "müssen",
    "soll",
    "sollte",
    "sollten",
    "sollen",
    "wird",
    "würde",
    "falls",
    "wenn",
    "bestellt",
    "geplant",
    "empfohlen",
];

/// Words after an act that say the same.
const LATER: [&str; 22] = [
    "next time",
    "next visit",
    "ordered",
    "on order",
    "later",
    "planned",
    "recommended",
    "advised",
    "needed",
    "required",
    "nächstes mal",
    "beim nächsten",
    "bestellt",
    "später",
    "geplant",
    "empfohlen",
    "nötig",
    "erforderlich",
    "werden muss",
    "werden müsste",
    "werden soll",
    "werden sollte",
];

/// Words that open what a customer told.
const TOLD: [&str; 21] = [
    "customer says",
    "customer said",
    "customer reports",
    "customer reported",
    "customer states",
    "customer claims",
    "customer measured",
    "cust says",
    "cust reports",
    "owner says",
    "client says",
    "according to customer",
    "per customer",
    "kunde sagt",
    "kunde meint",
    "kunde berichtet",
    "kunde gibt an",
    "kunde hat gemessen",
    "laut kunde",
    "lt kunde",
    "lt. kunde",
];

/// Words that end it within its sentence.
const OWN_AGAIN: [&str; 8] = [
    "measured", "measures", "but", "bench", "gemessen", "aber", "hier", "here",
];

impl Reader<'_> {
    /// Tells whether the act at item `i` is only planned, needed or wished.
    pub(super) fn only_planned(&self, i: usize) -> bool {
        let end = self.items[i].words.end;
        let mut from = i;
        while from > 0 && i - from < 5 && !self.parts_acts(from - 1, from >= 2) {
            from -= 1;
        }
        let before = self.text[self.items[from].words.start..end].to_lowercase();
        if STILL_TO_DO.iter().any(|w| has_words(&before, w)) {
            return true;
        }
        let mut to = i;
        while to + 1 < self.items.len() && to - i < 5 && !self.parts_acts(to + 1, false) {
            to += 1;
        }
        let after = self.text[end..self.items[to].words.end.max(end)].to_lowercase();
        LATER.iter().any(|w| has_words(&after, w))
    }

    /// Tells whether item `i` stands between two statements.
    fn parts_acts(&self, i: usize, back: bool) -> bool {
        let act = |senses: &[Sense]| senses.iter().any(|s| matches!(s, Sense::Act(_)));
        match &self.items[i].what {
            What::Mark('/' | '&' | '+') => false,
            What::Mark(_) | What::Quantity(_) | What::Day(_) => true,
            What::Said(senses) if senses.contains(&Sense::And) => {
                !(back && act(self.senses(i - 1)))
            }
            What::Said(senses) => senses.iter().any(|s| {
                matches!(
                    s,
                    Sense::Break
                        | Sense::InVain
                        | Sense::Helped
                        | Sense::End(_)
                        | Sense::Complaint(_)
                        | Sense::Verdict(_)
                        | Sense::Draw(_)
                )
            }),
            _ => false,
        }
    }

    /// Passes over an act that was not done, with what it would have been done to.
    pub(super) fn not_done(&mut self, read: bool) {
        let i = self.at;
        let waiting = self.fresh && self.near;
        let (_, to) = self.objects_after(i + 1, waiting);
        let to = to.max(i + 1);
        if read {
            self.done_to(i, to);
        } else {
            self.at = to;
        }
        self.place = crate::domain::intake::reading::places::Places::default();
        self.fresh = false;
        self.near = false;
    }

    /// Tells whether "with" or "durch" at item `i` leads to the value of a new part.
    pub(super) fn leads_to_new_value(&self, i: usize) -> bool {
        let leads = [
            "with", "w", "by", "durch", "mit", "gegen", "for", "to", "auf",
        ]
        .contains(&self.source(i).to_lowercase().as_str());
        leads
            && matches!(self.items.get(i + 1).map(|i| &i.what), Some(What::Quantity(q)) if is_value(q))
    }

    /// "R5 replaced with 2R2", "durch 100n ersetzt": what was put in, no reading.
    pub(super) fn is_new_value(&self, i: usize, q: &Quantity) -> bool {
        if i == 0 || !is_value(q) || !self.leads_to_new_value(i - 1) {
            return false;
        }
        let act = |i: usize| {
            self.senses(i)
                .iter()
                .any(|s| matches!(s, Sense::Act("replace")))
        };
        let before = self.deeds.last().is_some_and(|d| {
            d.act == "replace"
                && self
                    .text
                    .get(d.words.end..self.items[i].words.start)
                    .is_some_and(|t| t.len() < 30 && !t.contains([',', ';', '.', '\n']))
        });
        before || act(i + 1) || act(i + 2)
    }

    /// Tells whether a customer told what stands at `words`.
    pub(super) fn is_told(&self, words: &Range<usize>) -> bool {
        // The same length as the text, so that its bytes are those of the text.
        let before = self.text[..words.start].to_ascii_lowercase();
        let Some(from) = TOLD
            .iter()
            .filter_map(|w| before.rfind(w).map(|at| at + w.len()))
            .max()
        else {
            return false;
        };
        let since = &before[from..];
        let ended = since.contains([';', '\n', '|'])
            || since.contains(". ")
            || OWN_AGAIN.iter().any(|w| has_words(since, w));
        !ended
    }
}

fn is_value(q: &Quantity) -> bool {
    matches!(q.unit, Unit::Ohm | Unit::PartValue) || q.letter_mark
}

/// Tells whether `words` stand in `text` as whole words.
fn has_words(text: &str, words: &str) -> bool {
    text.match_indices(words).any(|(at, found)| {
        let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        !letter(text[..at].chars().next_back()) && !letter(text[at + found.len()..].chars().next())
    })
}
