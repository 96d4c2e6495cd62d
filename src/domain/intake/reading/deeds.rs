//! Acts of repair, what they were done to, and whether they had an effect.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::said::Got;
use crate::domain::intake::words::endings;
use crate::domain::intake::words::nouns;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::Action;
use crate::domain::job::FindingKind;
use crate::domain::job::Role;
use crate::domain::job::When;

/// One act with everything it was done to.
#[expect(
    clippy::struct_excessive_bools,
    reason = "what was said of one act, each on its own"
)]
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Deed {
    /// Which actions of the reading.
    pub(super) actions: Range<usize>,
    /// From the vocabulary.
    pub(super) act: &'static str,
    /// Its words.
    pub(super) words: Range<usize>,
    /// It had no effect.
    pub(super) vain: bool,
    /// It was only tried, nobody says with what effect.
    pub(super) tried: bool,
    /// It is what helped.
    pub(super) helped: bool,
    /// It made it worse.
    pub(super) worse: bool,
    /// It must never be the fix.
    pub(super) harmful: bool,
    /// Which of several parts is not said.
    pub(super) either: bool,
    /// The circuit that its parts name.
    pub(super) family: Option<&'static str>,
    /// When the board was read before it.
    pub(super) phase_before: When,
}

impl Reader<'_> {
    /// Reads an act at the cursor.
    pub(super) fn deed(&mut self, act: &'static str, weak: bool) {
        let i = self.at;
        let words = self.items[i].words.clone();
        if self.not.take().is_some() {
            self.not_done(true);
            return;
        }
        if self.only_planned(i) {
            // It stays unread: a person sees what is still to be done.
            self.not_done(false);
            return;
        }
        let before = std::mem::take(&mut self.place);
        let waiting = self.fresh && self.near;
        let (mut places, mut to) = self.objects_after(i + 1, waiting);
        let mut range = words.clone();
        let mut doubtful_object = false;
        if !places.list.is_empty() {
            range.end = range.end.max(self.items[to - 1].words.end);
            self.place = before;
        } else if let Some(number) = self.number_of_part(i + 1, &before) {
            range.end = self.items[i + 1].words.end;
            places.list.push(number);
            to = i + 2;
            self.place = before;
        } else if waiting {
            range.start = range.start.min(self.place_words.start);
            places = before;
            to = i + 1;
        } else if self.near && !before.list.is_empty() && !weak && speaks_of(act) {
            // "C115 short, removed": the part of this sentence. Of several, nobody knows which.
            let parts = before
                .list
                .iter()
                .all(|p| matches!(p.sort, Sort::Part | Sort::Function));
            if parts {
                doubtful_object = before.list.len() > 1;
                places = before.clone();
                places.either |= doubtful_object;
            }
            to = i + 1;
            self.place = before;
        } else {
            to = i + 1;
            self.place = before;
        }
        if act == "other" && places.list.is_empty() {
            self.done(i);
            return;
        }
        // "Both replaced": the parts stand further back.
        let several = i > 0
            && ["both", "all", "beide", "alle", "alles", "sämtliche"]
                .contains(&self.source(i - 1).to_lowercase().as_str());
        if several && range.start >= words.start && places.list.len() < 2 {
            places.either = true;
        }
        if act == "bridge-or-jumper" && places.list.len() > 1 {
            // "Bridged F1 with wire": the wire is what it was done with.
            places.list.retain(|p| p.meaning() != "cable");
        }
        if doubtful_object {
            self.remark("actions", Doubt::CauseNotProved, range.clone());
        }
        self.record(act, &places, range);
        self.place_words = words;
        if self.place.list.is_empty() {
            self.place = places;
        }
        self.fresh = false;
        self.done_to(i, to);
        self.end_of_reading();
    }

    fn end_of_reading(&mut self) {
        self.draw = None;
        self.last = None;
        self.draw_cue = None;
        self.state = None;
        self.moment = None;
        self.now = false;
        self.ohms = matches!(self.known.field, Field::Resistance(_));
        self.mode_here = false;
    }

    /// An act that counts only with something it was done to; false if there is nothing.
    pub(super) fn weak_deed(&mut self, act: &'static str) -> bool {
        let i = self.at;
        let waiting = self.fresh && self.near;
        let (places, _) = self.objects_after(i + 1, waiting);
        let own = places.list.is_empty() && waiting && act != "remove";
        let names = !places.list.is_empty() || own;
        let noun_only = self
            .senses(i + 1)
            .iter()
            .any(|s| matches!(s, Sense::Complaint(_) | Sense::End(_)));
        if !names || noun_only || self.not.is_some() {
            return false;
        }
        self.deed(act, true);
        true
    }

    /// Writes an act down.
    fn record(&mut self, act: &'static str, places: &Places, words: Range<usize>) {
        let from = self.out.actions.len();
        let mut sure = true;
        let mut harmful = false;
        let mut list: Vec<(&'static str, String)> = Vec::with_capacity(1);
        for place in &places.list {
            let connector = act == "replace" && places.connector
                || act == "replace"
                    && place.sort == Sort::Function
                    && place.meaning().ends_with("connector");
            let act = if connector { "replace-connector" } else { act };
            harmful |= act == "bridge-or-jumper" && is_fuse(place);
            let name = place.name.clone();
            list.push((act, name));
            self.doubts_of(place, act, &words, &mut sure);
        }
        if list.is_empty() {
            let (part, known) = match act {
                "clean" => ("whole board", true),
                "reprogram-firmware" => ("firmware", true),
                "recalibrate" => ("board", true),
                "none" => ("", true),
                "replace-connector" => ("connector", true),
                _ => ("", false),
            };
            if !known {
                self.remark("actions", Doubt::WhichPart, words.clone());
                sure = false;
            }
            list.push((act, part.to_owned()));
        }
        if self.hedged {
            self.remark("actions", Doubt::CauseNotProved, words.clone());
            sure = false;
        }
        if places.may_be_ohms {
            self.remark("actions", Doubt::Ambiguous, words.clone());
            sure = false;
        }
        if places.expanded {
            self.remark("actions", Doubt::ExpandRange, words.clone());
        }
        if places.either {
            self.remark("actions", Doubt::CauseNotProved, words.clone());
            sure = false;
        }
        if harmful {
            self.remark("actions", Doubt::UnsafeOpen, words.clone());
            sure = false;
        }
        if self.text[words.clone()]
            .to_ascii_lowercase()
            .contains("reflashd")
        {
            self.remark("actions", Doubt::Spelling, words.clone());
        }
        for (act, part) in list {
            self.out.actions.push(Got {
                what: Action {
                    act: act.to_owned(),
                    part,
                    role: Role::AlsoDone,
                },
                words: words.clone(),
                sure,
            });
        }
        let phase_before = self.phase;
        let first_clean = act == "clean" && self.phase != When::AfterAction;
        self.phase = if first_clean {
            When::AfterCleaning
        } else {
            When::AfterAction
        };
        self.deeds.push(Deed {
            actions: from..self.out.actions.len(),
            act,
            words,
            vain: false,
            tried: self.tried,
            helped: false,
            worse: false,
            harmful,
            either: places.either,
            family: family_of_deed(act, places),
            phase_before,
        });
    }

    fn doubts_of(&mut self, place: &Place, act: &str, words: &Range<usize>, sure: &mut bool) {
        match place.sort {
            Sort::Value => {
                let doubt = if place.name.contains(['R', 'r', 'k', 'K', 'M']) {
                    Doubt::ValueNotRefdes
                } else {
                    Doubt::RefdesMissing
                };
                self.remark("actions", doubt, words.clone());
                *sure = false;
            }
            Sort::Function if act != "clean" => {
                let plain_regulator =
                    ["regulator", "ldo", "switcher", "buck"].contains(&place.meaning());
                let many = [
                    "capacitor",
                    "resistor",
                    "diode",
                    "transistor",
                    "fet",
                    "inductor",
                    "ic",
                    "joint",
                    "pad",
                    "via",
                    "trace",
                    "ferrite",
                ];
                if plain_regulator {
                    self.remark("actions", Doubt::WhichRegulator, words.clone());
                } else if many.contains(&place.meaning()) {
                    self.remark("actions", Doubt::RefdesMissing, words.clone());
                }
            }
            _ => {}
        }
    }

    /// "Replaced U31?"
    pub(super) fn doubt_deed(&mut self) {
        let Some(deed) = self.deeds.last() else {
            return;
        };
        let words = deed.words.clone();
        for action in &mut self.out.actions[deed.actions.clone()] {
            action.sure = false;
        }
        self.remark("actions", Doubt::CauseNotProved, words);
    }

    /// "Only to test": the act before is no fix.
    pub(super) fn only_to_test(&mut self) {
        if let Some(deed) = self.deeds.last_mut() {
            deed.tried = true;
            if deed.act == "bridge-or-jumper" {
                let words = deed.words.clone();
                deed.harmful = true;
                self.remark("actions", Doubt::UnsafeOpen, words);
            }
        }
    }

    /// "No help": the act before it, or those of its list.
    pub(super) fn in_vain(&mut self, words: Range<usize>) -> bool {
        let Some(last) = self.deeds.len().checked_sub(1) else {
            return true;
        };
        if let Some((End::Good, _, done)) = self.ends.last()
            && *done == self.deeds.len()
        {
            self.failed_after = true;
            return true;
        }
        // Acts joined without anything between them failed together.
        let mut first = last;
        while first > 0 && self.joined(first) && !self.deeds[first - 1].vain {
            first -= 1;
        }
        let phase = self.deeds[first].phase_before;
        let cleaned = self.deeds[first..].iter().any(|d| d.act == "clean");
        for deed in &mut self.deeds[first..] {
            deed.vain = true;
        }
        // The board is as it was, but for the dirt.
        self.phase = if cleaned && phase != When::AfterAction {
            When::AfterCleaning
        } else {
            phase
        };
        if let Some(verdict) = still(self.text, &words) {
            self.still(verdict, words);
        }
        true
    }

    /// Tells whether an act follows the one before it with no more than "and" or a comma between.
    fn joined(&self, deed: usize) -> bool {
        let between = self.deeds[deed - 1].words.end..self.deeds[deed].words.start;
        let Some(text) = self.text.get(between) else {
            return false;
        };
        matches!(
            text.trim(),
            "" | "," | "and" | "&" | "+" | "und" | ", and" | "/"
        )
    }

    /// "3V3 still low": also a reading after the act.
    fn still(&mut self, code: &str, words: Range<usize>) {
        if !(self.fresh && self.near) {
            return;
        }
        let places = self.place.clone();
        for place in &places.list {
            let kind = match (place.sort, code) {
                (Sort::Rail(_), "low") => FindingKind::Rail,
                (_, "hard-short") => FindingKind::Resistance,
                _ => continue,
            };
            let mut finding = crate::domain::job::Finding::new(kind, &place.name);
            finding.code = Some(code.to_owned());
            if let Sort::Rail(volts) = place.sort {
                finding.good = volts;
            }
            let from = self.place_words.start;
            let at = self.add(finding, from..words.end, true);
            self.out.findings[at].what.when = When::AfterAction;
        }
        self.fresh = false;
    }

    /// "That was it".
    pub(super) fn helped(&mut self, words: Range<usize>) -> bool {
        let denied = self.not.take().is_some();
        if denied {
            return self.in_vain(words);
        }
        if let Some(deed) = self.deeds.last_mut() {
            deed.helped = true;
        }
        let done = self.deeds.len();
        self.ends.push((End::Good, words, done));
        true
    }

    pub(super) fn worse(&mut self) -> bool {
        if let Some(deed) = self.deeds.last_mut() {
            deed.worse = true;
            self.phase = deed.phase_before;
        }
        true
    }

    /// Notes an ending.
    pub(super) fn end(&mut self, end: End, words: Range<usize>) -> bool {
        let denied = self.not.take().is_some();
        if self.known.field == &Field::Complaint {
            return true;
        }
        if denied {
            return if matches!(end, End::Good) {
                self.in_vain(words)
            } else {
                true
            };
        }
        // "Fan runs, no picture": before anything was done it ends nothing.
        let runs = ["runs", "läuft"].contains(&self.text[words.clone()].to_lowercase().as_str());
        if runs && self.deeds.is_empty() && self.known.field == &Field::Everything {
            return true;
        }
        if self.ends.len() < 64 {
            self.ends.push((end, words, self.deeds.len()));
        }
        true
    }

    /// Notes why there was no fix.
    pub(super) fn no_fix(&mut self, reason: &str, words: Range<usize>) -> bool {
        let bare = endings::NEEDS_ITS_PART
            .split('|')
            .any(|w| self.text[words.clone()].eq_ignore_ascii_case(w));
        let of_ending = matches!(self.known.field, Field::Outcome | Field::NoFixReason);
        if bare && !of_ending && !(self.fresh && self.near) {
            // A drawing that is not available is no reason.
            return false;
        }
        if self.not.take().is_none() && self.out.no_fix_reason.is_none() {
            self.out.no_fix_reason = Some(Got {
                what: reason.to_owned(),
                words,
                sure: true,
            });
        }
        true
    }
}

/// Returns the circuit that all parts of an act name.
fn family_of_deed(act: &str, places: &Places) -> Option<&'static str> {
    if act == "reprogram-firmware" {
        return Some("firmware");
    }
    let first = nouns::family_of(places.list.first()?.meaning())?;
    let same = |p: &Place| nouns::family_of(p.meaning()) == Some(first);
    places.list.iter().all(same).then_some(first)
}

/// Tells whether "it" after the act can be the part named before.
fn speaks_of(act: &str) -> bool {
    !matches!(
        act,
        "none" | "recalibrate" | "reprogram-firmware" | "clean" | "other"
    )
}

pub(super) fn is_fuse(place: &Place) -> bool {
    let designator = place.sort == Sort::Part
        && place.name.starts_with('F')
        && place.name[1..].starts_with(|c: char| c.is_ascii_digit());
    designator || place.meaning().contains("fuse")
}

fn still(text: &str, words: &Range<usize>) -> Option<&'static str> {
    let said = text[words.clone()].to_ascii_lowercase();
    if said.ends_with("low") {
        Some("low")
    } else if said.contains("short") {
        Some("hard-short")
    } else {
        None
    }
}
