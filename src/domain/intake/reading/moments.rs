//! When, in which state and how far: words that belong to what was read before them.

use crate::domain::intake::reading::bands::reads_good;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::notes::is_good;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Moment;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::FindingKind;
use crate::domain::job::When;

impl Reader<'_> {
    pub(super) fn state_word(&mut self, state: &'static str) -> bool {
        if state == "standby"
            && self.judged(self.at + 1)
            && self.source(self.at).split(' ').count() == 1
        {
            self.take_place();
            return true;
        }
        self.state = Some(state);
        if let Some(last) = self.last
            && self.out.findings[last].what.kind != FindingKind::Visual
            && self.out.findings[last].what.state.is_none()
            && !self.comma_before()
        {
            self.out.findings[last].what.state = Some(state.to_owned());
        }
        true
    }

    pub(super) fn moment_word(&mut self, moment: Moment) -> bool {
        let when = match moment {
            Moment::After => When::AfterAction,
            Moment::Before => When::BeforeAction,
            Moment::BeforeCleaning => When::BeforeCleaning,
            Moment::AfterCleaning => When::AfterCleaning,
        };
        if self.after_no_act() {
            return true;
        }
        // "Now" without anything done before it says nothing.
        let act_next = self
            .senses(self.at + 1)
            .iter()
            .any(|s| matches!(s, Sense::Act(_)));
        if moment == Moment::After && act_next {
            self.moment = Some(When::AfterAction);
        } else if moment == Moment::After && self.deeds.is_empty() && self.last.is_none() {
            return true;
        }
        // "4.9 before / 0.2 now": nothing was done between the two.
        let idle = moment == Moment::After && self.says_now(self.at) && self.deeds.is_empty();
        self.now = idle && self.phase == When::BeforeAction;
        self.moment = Some(when);
        // "0.41 before", "residue, after cleaning": the words follow what they speak of.
        let follows = self.last.is_some() && !self.comma_before() && !self.fresh;
        if follows && let Some(last) = self.last {
            if self.now && !reads_good(&self.out.findings[last].what) {
                return true;
            }
            self.out.findings[last].what.when = when;
            if when == When::AfterAction && is_good(&self.out.findings[last].what) {
                let words = self.out.findings[last].words.clone();
                self.proofs.push((words, self.deeds.len()));
            }
        }
        true
    }

    /// Tells whether item `i` says "now" and no more.
    pub(super) fn says_now(&self, i: usize) -> bool {
        [
            "now",
            "jetzt",
            "nun",
            "is now",
            "reads now",
            "now reads",
            "ist jetzt",
        ]
        .contains(&self.source(i).to_lowercase().as_str())
    }

    /// "4.9 before / 0.2 now", "0.2 V after 10 min, 5.0 V cold": a second reading at one place.
    pub(super) fn reads_again(&self, i: usize) -> bool {
        let apart = i > 0 && matches!(self.items[i - 1].what, What::Mark('/' | ',' | '→'));
        let cold =
            ["cold", "when cold", "kalt"].contains(&self.source(i + 1).to_lowercase().as_str());
        apart && self.last.is_some() && (cold || self.says_now(i + 1))
    }

    /// "After 10 min", "after F1", "nach 5 s": a time or a place on the way, and nothing that was done.
    fn after_no_act(&self) -> bool {
        let plain = ["after", "nach"].contains(&self.source(self.at).to_lowercase().as_str());
        let next = self.at + 1;
        if !plain {
            return false;
        }
        if let Some(What::Quantity(q)) = self.items.get(next).map(|i| &i.what) {
            let time = [
                "min", "mins", "minute", "minutes", "minuten", "h", "hr", "hrs", "hours", "std",
                "stunden", "s", "sec", "secs", "seconds", "sek", "sekunden",
            ];
            let words = self.source(next + 1).to_lowercase();
            return q.unit == Unit::Second
                || q.unit == Unit::Other
                || time.contains(&words.as_str());
        }
        self.place_at(next).is_some_and(|p| {
            let act = |i: usize| {
                self.senses(i)
                    .iter()
                    .any(|s| matches!(s, Sense::Act(_) | Sense::WeakAct(_)))
            };
            !(p.next..p.next + 3).any(act)
        })
    }

    pub(super) fn extent(&mut self, extent: &str) -> bool {
        if let Some(last) = self.last
            && self.out.findings[last].what.kind == FindingKind::Visual
        {
            let finding = &mut self.out.findings[last].what;
            finding.extent = Some(extent.to_owned());
            if finding.place.is_empty() && extent == "board" {
                "whole board".clone_into(&mut finding.place);
            }
        }
        true
    }
}
