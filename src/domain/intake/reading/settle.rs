//! What only the whole text tells: which act was the fix, how it ended, what stays in doubt.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::deeds::Deed;
use crate::domain::intake::reading::items::Item;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::notes::is_bad;
use crate::domain::intake::reading::notes::is_good;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::said::Got;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::Action;
use crate::domain::job::Outcome;
use crate::domain::job::Role;
use crate::domain::job::When;

impl Reader<'_> {
    /// Reads what is left when every word was looked at.
    pub(super) fn settle(&mut self) {
        let mains =
            |i: &Item<'_>| matches!(&i.what, What::Said(s) if s.contains(&Sense::Cue(Cue::Mains)));
        self.mains = self
            .items
            .iter()
            .find(|i| mains(i))
            .map(|i| i.words.clone());
        self.two_candidates();
        self.parts_column();
        self.settle_draws();
        self.settle_values();
        self.settle_outcome();
        self.settle_roles();
        self.settle_proof();
        self.settle_family();
        self.settle_days();
        self.count_observations();
        self.drop_repeated();
        self.settle_unread();
    }

    /// Tells whether the same was done to the same parts again further on.
    fn done_again(&self, at: usize) -> bool {
        let parts = |deed: &Deed| -> Vec<(&str, &str)> {
            self.out.actions[deed.actions.clone()]
                .iter()
                .map(|a| (a.what.act.as_str(), a.what.part.as_str()))
                .collect()
        };
        let deed = &self.deeds[at];
        let own = parts(deed);
        let named = own.iter().all(|(_, part)| !part.is_empty());
        let kept = deed.worse || deed.harmful || deed.act == "none" || !named;
        !kept
            && self.deeds[at + 1..]
                .iter()
                .take(64)
                .any(|d| parts(d) == own)
    }

    /// What was done twice to a part counts once, as it was done last.
    fn drop_repeated(&mut self) {
        let twice: Vec<Range<usize>> = (0..self.deeds.len())
            .filter(|at| self.done_again(*at))
            .map(|at| self.deeds[at].actions.clone())
            .collect();
        let mut at = 0;
        self.out.actions.retain(|_| {
            at += 1;
            !twice.iter().any(|range| range.contains(&(at - 1)))
        });
    }

    /// "U7 or Q3" and no more: two parts, of which one was at fault.
    fn two_candidates(&mut self) {
        let parts = self.fresh && self.deeds.is_empty() && self.out.findings.is_empty();
        if let Some(mains) = self.mains.clone().filter(|_| parts && !self.place.either) {
            // Parts alone, on the mains side: what was done to them is not said.
            let words = self.place_words.start..self.place_words.end.max(mains.end);
            let places = std::mem::take(&mut self.place);
            for place in places
                .list
                .iter()
                .filter(|p| matches!(p.sort, Sort::Function | Sort::Part))
            {
                self.out.actions.push(Got {
                    what: Action {
                        act: "replace".to_owned(),
                        part: place.name.clone(),
                        role: Role::TheFix,
                    },
                    words: words.clone(),
                    sure: false,
                });
            }
            self.place = places;
            self.remark("actions", Doubt::ActNotSaid, self.place_words.clone());
            if self.place.expanded {
                self.remark("actions", Doubt::ExpandRange, self.place_words.clone());
            }
        }
        if self.place.either && self.fresh {
            let words = self.place_words.clone();
            self.remark("actions", Doubt::CauseNotProved, words);
        }
    }

    fn settle_outcome(&mut self) {
        if let Some((_, words, _)) = self
            .ends
            .iter()
            .rev()
            .find(|e| matches!(e.0, End::SameFault | End::OtherFault | End::Returned))
        {
            let words = words.clone();
            let other = self.ends.iter().any(|e| e.0 == End::OtherFault);
            let same = self.ends.iter().any(|e| e.0 == End::SameFault);
            if let Some(reason) = &self.out.no_fix_reason
                && self.deeds.is_empty()
                && !other
                && !same
            {
                // "Not safe to repair, returned": it went back to its owner.
                let words = reason.words.clone();
                self.put_outcome(Outcome::NoFix, words, true);
                return;
            }
            let plain = other != same;
            let what = if other {
                Outcome::BouncedOtherFault
            } else {
                Outcome::BouncedSameFault
            };
            // "Came back 3 wks" after its repair: the same fault is meant unless another is named.
            let after_deed = !self.deeds.is_empty();
            self.put_outcome(what, words.clone(), plain || (after_deed && !other));
            self.remark("outcome", Doubt::TierX, words.clone());
            if !plain && !after_deed {
                self.remark("outcome", Doubt::WhatFault, words);
            }
            return;
        }
        if let Some(reason) = &self.out.no_fix_reason {
            let words = reason.words.clone();
            let good = |end: &End| matches!(end, End::Good | End::Held);
            let given_up = self.ends.iter().any(|e| e.0 == End::NoFix);
            // "RAM dead, replaced it": what was dead is mended.
            let mended = |d: &Deed| !d.vain && !d.tried && d.words.start >= words.end;
            let ended = self.ends.iter().any(|e| good(&e.0))
                || (!given_up && self.deeds.iter().any(mended));
            self.put_outcome(Outcome::NoFix, words.clone(), !ended);
            if ended {
                self.remark("outcome", Doubt::Ambiguous, words);
            }
            return;
        }
        let last = self.ends.last().cloned();
        let Some((end, words, _)) = last else {
            return;
        };
        match end {
            End::NoFix => {
                self.put_outcome(Outcome::NoFix, words, true);
                self.reason_by_part();
            }
            End::Held => self.put_outcome(Outcome::Held, words, true),
            _ => {
                let failed = self.failed_after && self.known.field == &Field::Everything;
                self.put_outcome(Outcome::UnknownSoFar, words.clone(), !failed);
                if failed {
                    self.remark("outcome", Doubt::Ambiguous, words);
                }
            }
        }
    }

    fn put_outcome(&mut self, what: Outcome, words: Range<usize>, sure: bool) {
        self.out.outcome.get_or_insert(Got { what, words, sure });
    }

    /// "Scrap, cpu": the part that is named may be the reason.
    fn reason_by_part(&mut self) {
        let chip = ["processor", "ram", "microcontroller", "fpga", "flash"];
        let named = self.place.list.iter().any(|p| chip.contains(&p.meaning()));
        if named && self.out.no_fix_reason.is_none() {
            let words = self.place_words.clone();
            self.out.no_fix_reason = Some(Got {
                what: "processor-or-memory-dead".to_owned(),
                words: words.clone(),
                sure: false,
            });
            self.remark("no_fix_reason", Doubt::Proof, words);
        }
    }

    fn settle_roles(&mut self) {
        let tried_column = self.known.field == &Field::Tried;
        let fix_column = matches!(self.known.field, Field::Fix | Field::Act);
        let no_fix = self
            .out
            .outcome
            .as_ref()
            .is_some_and(|o| o.what == Outcome::NoFix);
        let mut open: Vec<usize> = Vec::new();
        for at in 0..self.deeds.len() {
            if self.done_again(at) {
                continue;
            }
            let deed = &self.deeds[at];
            let helped_later = deed.helped || self.good_after(at);
            let role = if deed.worse {
                Some(Role::MadeWorse)
            } else if tried_column || deed.vain || (deed.tried && !helped_later && !deed.harmful) {
                Some(Role::TriedNoEffect)
            } else {
                None
            };
            if let Some(role) = role {
                self.role(at, role, true);
            } else if deed.harmful {
                self.role(at, Role::AlsoDone, false);
            } else if deed.act == "none" {
                self.role(at, Role::AlsoDone, true);
            } else {
                open.push(at);
            }
        }
        if open.is_empty() {
            return;
        }
        if no_fix {
            for at in &open {
                self.role(*at, Role::TriedNoEffect, false);
                let words = self.deeds[*at].words.clone();
                self.remark("actions", Doubt::CauseNotProved, words);
            }
            return;
        }
        self.choose_fix(&open, fix_column);
    }

    /// Tells whether something good was said between this act and the next.
    fn good_after(&self, deed: usize) -> bool {
        let good = |end: &End| matches!(end, End::Good | End::Held);
        self.ends
            .iter()
            .any(|(end, _, done)| good(end) && *done == deed + 1)
            || self.proofs.iter().any(|(_, done)| *done == deed + 1)
    }

    fn choose_fix(&mut self, open: &[usize], fix_column: bool) {
        let helped: Vec<usize> = open
            .iter()
            .copied()
            .filter(|d| self.deeds[*d].helped)
            .collect();
        let main: Vec<usize> = open
            .iter()
            .copied()
            .filter(|d| self.deeds[*d].act != "clean")
            .collect();
        if let [only] = helped.as_slice() {
            for at in open {
                let role = if at == only {
                    Role::TheFix
                } else {
                    Role::AlsoDone
                };
                self.role(*at, role, true);
            }
            return;
        }
        if fix_column {
            for at in open {
                let beside = self.deeds[*at].act == "clean" && !main.is_empty();
                self.role(
                    *at,
                    if beside { Role::AlsoDone } else { Role::TheFix },
                    true,
                );
            }
            return;
        }
        if let [only] = open {
            let only = *only;
            let measured = self.out.findings.iter().any(|f| f.what.is_electrical());
            let proved = self.proofs.iter().any(|(_, done)| *done > only);
            let weak = self.deeds[only].act == "clean" && !proved && !measured;
            let contested = self.failed_after && !self.good_after(only);
            self.role(only, Role::TheFix, !weak && !contested);
            let words = self.deeds[only].words.clone();
            if weak || contested {
                self.remark("actions", Doubt::CauseNotProved, words.clone());
            }
            if weak {
                self.remark("findings", Doubt::NoMeasurement, words);
            }
            return;
        }
        // Cleaning beside one repair that a reading proves was done as well.
        if let [only] = main.as_slice()
            && self.proofs.iter().any(|(_, done)| *done > *only)
            && open.iter().all(|d| *d <= *only || !self.good_after(*d))
        {
            for at in open {
                let role = if at == only {
                    Role::TheFix
                } else {
                    Role::AlsoDone
                };
                self.role(*at, role, true);
            }
            return;
        }
        let last = *open.last().expect("two or more are open here");
        for at in open {
            self.role(
                *at,
                if *at == last {
                    Role::TheFix
                } else {
                    Role::AlsoDone
                },
                false,
            );
        }
        let words = self.deeds[open[0]].words.start..self.deeds[last].words.end;
        self.remark("actions", Doubt::CauseNotProved, ordered(words));
    }

    fn role(&mut self, deed: usize, role: Role, sure: bool) {
        let actions = self.deeds[deed].actions.clone();
        for action in &mut self.out.actions[actions] {
            action.what.role = role;
            action.sure &= sure;
        }
    }

    fn settle_proof(&mut self) {
        if self.known.field == &Field::Proof {
            let trimmed = self.text.trim();
            if !trimmed.is_empty() && !self.out.findings.is_empty() {
                let start = self.text.len() - self.text.trim_start().len();
                self.out.proof = Some(Got {
                    what: trimmed.to_owned(),
                    words: start..start + trimmed.len(),
                    sure: true,
                });
            }
            return;
        }
        let fixed = self.out.actions.iter().any(|a| a.what.role == Role::TheFix);
        if !fixed {
            return;
        }
        // A value in band after the act shows as much as the word for it.
        let read = self
            .out
            .findings
            .iter()
            .filter(|f| f.what.when == When::AfterAction && is_good(&f.what));
        let words = read
            .map(|f| f.words.clone())
            .next_back()
            .or_else(|| self.proofs.last().map(|(w, _)| w.clone()));
        let Some(words) = words else {
            return;
        };
        let sure = self
            .out
            .actions
            .iter()
            .any(|a| a.what.role == Role::TheFix && a.sure);
        self.out.proof = Some(Got {
            what: self.text[words.clone()].trim().to_owned(),
            words,
            sure,
        });
    }

    fn settle_family(&mut self) {
        if self.out.family.is_some() || self.known.field == &Field::Family {
            return;
        }
        let mut named: Vec<(&'static str, Range<usize>, bool)> = Vec::new();
        for deed in &self.deeds {
            let first = &self.out.actions[deed.actions.start];
            if let Some(family) = deed.family.filter(|_| first.what.role == Role::TheFix) {
                named.push((family, first.words.clone(), first.sure));
            }
        }
        if named.is_empty() {
            if let Some(mains) = self.mains.clone() {
                named.push(("isolated", mains, false));
            }
            for (family, finding) in &self.places_seen {
                let got = &self.out.findings[*finding];
                let tells = is_bad(&got.what) || is_core(&got.what.place);
                if tells && got.what.when != When::AfterAction {
                    named.push((family, got.words.clone(), false));
                }
            }
        }
        if let Some(mains) = self.mains.clone() {
            self.remark("family", Doubt::SafetyMains, mains);
        }
        let Some((family, words, sure)) = named.first().cloned() else {
            return;
        };
        let one = named.iter().all(|(f, ..)| *f == family);
        if !one {
            return;
        }
        if !sure {
            self.remark("family", Doubt::CircuitFromWords, words.clone());
        }
        self.out.family = Some(Got {
            what: family.to_owned(),
            words,
            sure,
        });
    }

    fn count_observations(&mut self) {
        let before = self
            .out
            .findings
            .iter()
            .filter(|f| f.sure && f.what.when == When::BeforeAction);
        let electrical = before.filter(|f| f.what.is_electrical()).count();
        let only = self.out.findings.iter().filter(|f| f.sure).count() == electrical
            && self.out.actions.is_empty();
        let whole = 0..self.text.len();
        match electrical {
            2 if only => self.remark("findings", Doubt::TwoObservations, whole),
            3 if only => self.remark("findings", Doubt::ThreeObservations, whole),
            _ => {}
        }
    }

    fn settle_unread(&mut self) {
        let mut open: Option<Range<usize>> = None;
        for (item, read) in self.items.iter().zip(&self.read) {
            if matches!(item.what, What::Mark(_)) {
                continue;
            }
            let says = !matches!(&item.what, What::Said(senses) if senses.iter().all(|s| matches!(s, Sense::Filler | Sense::And | Sense::Or | Sense::Break)));
            let missed = !*read && says;
            match (&mut open, missed) {
                (Some(range), true) => range.end = item.words.end,
                (None, true) => open = Some(item.words.clone()),
                (_, false) => self.out.unread.extend(open.take()),
            }
        }
        self.out.unread.extend(open);
    }
}

fn ordered(words: Range<usize>) -> Range<usize> {
    if words.start <= words.end {
        words
    } else {
        words.end..words.start
    }
}

pub(super) fn is_core(place: &str) -> bool {
    let place = place.to_ascii_uppercase();
    place.contains("CORE") || place.contains("VDDQ")
}
