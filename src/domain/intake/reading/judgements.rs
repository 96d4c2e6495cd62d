//! Words that judge a reading: low, short, missing, ok.
//!
//! What a word means depends on the place: a rail is low, a signal is stuck low, a part is open.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::clocks::is_crystal;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;

impl Reader<'_> {
    /// A word that judges: of the place before it, of the last number, of the place after it.
    pub(super) fn verdict(&mut self, verdict: Verdict, senses: &[Sense]) -> bool {
        let i = self.at;
        let words = self.items[i].words.clone();
        let denied = self.not.take();
        if self.is_misspelled(&words) {
            self.remark("findings", Doubt::Spelling, words.clone());
        }
        let of_draw = self.draw.is_some() || self.draw_cue.is_some() || self.amps_follow(i + 1);
        if verdict == Verdict::Stuck && of_draw && !self.fresh {
            return self.draw_word("stuck");
        }
        if self.fresh && self.near {
            let places = std::mem::take(&mut self.place);
            let from = self.place_words.start;
            let said =
                self.judged_places(&places, verdict, senses, from..words.end, denied.is_some());
            self.place = places;
            self.fresh &= !said;
            return said || senses.len() == 1;
        }
        if self.judges_last(verdict, words.clone(), denied.is_some()) {
            return true;
        }
        let ahead = self.place_ahead(i + 1).or_else(|| {
            let places = self.place_at(i + 1)?;
            let bad = matches!(
                verdict,
                Verdict::Short
                    | Verdict::Absent
                    | Verdict::Open
                    | Verdict::OverRange
                    | Verdict::Bad
                    | Verdict::Low
                    | Verdict::Hot
                    | Verdict::Leaky
                    | Verdict::Blown
            );
            (bad && !self.judged(places.next)).then_some(places)
        });
        if let Some(places) = ahead {
            let end = self.items[places.next - 1].words.end;
            let to = places.next;
            let from = denied.as_ref().map_or(words.start, |d| d.start);
            let said = self.judged_places(&places, verdict, senses, from..end, denied.is_some());
            if said {
                self.place = places;
                self.place_words = words.start..end;
                self.near = true;
                self.fresh = false;
                self.done_to(i, to);
                return true;
            }
        }
        let over = matches!(verdict, Verdict::Gone | Verdict::Back) && !self.deeds.is_empty();
        // "GR short" behind F1 speaks of what was not understood.
        let other = i > 0 && matches!(self.items[i - 1].what, What::Unknown);
        let again = !over
            && !other
            && self.near
            && !self.comma_before()
            && (1..=4).contains(&self.place.list.len());
        if again && denied.is_none() {
            let places = std::mem::take(&mut self.place);
            let from = self.place_words.start;
            let said = self.judged_places(&places, verdict, senses, from..words.end, false);
            self.place = places;
            if said {
                return true;
            }
        }
        self.verdict_alone(verdict, senses, words, denied.is_some())
    }

    fn verdict_alone(
        &mut self,
        verdict: Verdict,
        senses: &[Sense],
        words: Range<usize>,
        denied: bool,
    ) -> bool {
        if denied {
            return senses.len() == 1;
        }
        match verdict {
            Verdict::Gone
                if self.draw.is_some_and(|d| {
                    self.out.findings[d].what.code.as_deref() == Some("climbs")
                }) =>
            {
                self.draw_word("drops")
            }
            Verdict::Gone | Verdict::Back if self.act_follows() => {
                // "Gone after removing C115"
                self.proofs.push((words, self.deeds.len() + 1));
                true
            }
            Verdict::Good | Verdict::Back | Verdict::Gone if !self.deeds.is_empty() => {
                if verdict != Verdict::Good {
                    self.proofs.push((words.clone(), self.deeds.len()));
                }
                self.end(End::Good, words)
            }
            Verdict::Good if senses.len() == 1 => {
                let field = self.known.field;
                if matches!(field, Field::Outcome | Field::Proof) {
                    return self.end(End::Good, words);
                }
                true
            }
            Verdict::OverRange => {
                let mut finding = Finding::new(FindingKind::Resistance, "");
                finding.code = Some("open".to_owned());
                finding.qualifier = Some(Qualifier::OverRange);
                self.add(finding, words.clone(), false);
                self.remark("findings", Doubt::ModeMissing, words);
                true
            }
            Verdict::Bad | Verdict::Present => true,
            _ => false,
        }
    }

    /// Tells whether "after" or "when" and an act follow.
    fn act_follows(&self) -> bool {
        let act = |i: usize| self.senses(i).iter().any(|s| matches!(s, Sense::Act(_)));
        let led = self
            .senses(self.at + 1)
            .iter()
            .any(|s| matches!(s, Sense::Moment(_) | Sense::Filler | Sense::And));
        led && (act(self.at + 2) || act(self.at + 3))
    }

    /// "2.1V low": the word judges the number before it.
    fn judges_last(&mut self, verdict: Verdict, words: Range<usize>, denied: bool) -> bool {
        let Some(last) = self
            .last
            .filter(|_| !self.comma_before() || verdict == Verdict::OverRange)
        else {
            return false;
        };
        if denied || self.out.findings[last].what.kind == FindingKind::Visual {
            return false;
        }
        let sort = self.place.list.first().map_or(Sort::Net, |p| p.sort);
        let got = &mut self.out.findings[last];
        if verdict == Verdict::OverRange && got.what.code.as_deref() == Some("open") {
            got.what.qualifier = Some(Qualifier::OverRange);
            got.words.end = words.end;
            return true;
        }
        if got.what.code.is_some() {
            return false;
        }
        if matches!(
            self.items.get(self.at + 1).map(|i| &i.what),
            Some(What::Mark('?'))
        ) {
            // "(normal?)" asks what a good board reads.
            let words = got.words.clone();
            self.remark("findings", Doubt::NeedsReference, words);
            self.done_to(self.at, self.at + 2);
            return true;
        }
        let Some(code) = code_of(got.what.kind, verdict, sort, got.what.got) else {
            return false;
        };
        got.what.code = Some(code.to_owned());
        got.words.end = words.end;
        if code == "missing" && got.what.in_hertz {
            // "Clock 32.768 kHz missing": the frequency it should have.
            got.what.good = got.what.got.take();
        }
        true
    }

    /// Judges each place; returns whether it made sense.
    fn judged_places(
        &mut self,
        places: &Places,
        verdict: Verdict,
        senses: &[Sense],
        words: Range<usize>,
        denied: bool,
    ) -> bool {
        if denied {
            // "Not short" says that a look was taken, and no more.
            return true;
        }
        let mut said = false;
        let at_crystal = self.clock_at_crystal(places, self.at + 1);
        let places = at_crystal.as_ref().unwrap_or(places);
        for place in &places.list {
            said |= self.judged_place(place, places, verdict, senses, words.clone());
        }
        if said && places.either {
            self.remark("findings", Doubt::CauseNotProved, words.clone());
        }
        if said {
            self.expand(places, words);
        }
        said
    }

    /// Returns what a verdict at a place is a reading of; else whether it was understood all the same.
    fn kind_of_verdict(
        &self,
        place: &Place,
        verdict: Verdict,
        senses: &[Sense],
    ) -> Result<FindingKind, bool> {
        let fuse = place.meaning().contains("fuse")
            || (place.sort == Sort::Part
                && place.name.starts_with('F')
                && !place.name.starts_with("FB"));
        let column = match self.known.field {
            Field::Resistance(_) => Some(FindingKind::Resistance),
            Field::Diode(_) => Some(FindingKind::Diode),
            _ => None,
        };
        Ok(match (place.sort, verdict) {
            (
                Sort::Rail(_) | Sort::Signal | Sort::Net,
                Verdict::Low | Verdict::High | Verdict::Good,
            ) if column.is_some() => column.unwrap_or(FindingKind::Resistance),
            (_, Verdict::Hot | Verdict::Warm) => FindingKind::Heat,
            (_, Verdict::Short | Verdict::OverRange | Verdict::Open) if self.diode => {
                FindingKind::Diode
            }
            (_, Verdict::Short | Verdict::Leaky | Verdict::OverRange | Verdict::Open) => {
                FindingKind::Resistance
            }
            (_, Verdict::Blown) if fuse => FindingKind::Resistance,
            (Sort::Part | Sort::Function, Verdict::Absent)
                if senses.contains(&Sense::Sign("missing")) =>
            {
                return Err(false);
            }
            (
                Sort::Part | Sort::Function | Sort::Spot | Sort::Value,
                Verdict::Good
                | Verdict::Bad
                | Verdict::Blown
                | Verdict::Absent
                | Verdict::Gone
                | Verdict::Back
                | Verdict::Present,
            ) => {
                // A part that is dead was at fault; that is no reading of it.
                return Err(matches!(
                    verdict,
                    Verdict::Good | Verdict::Bad | Verdict::Absent | Verdict::Blown
                ) || senses.len() == 1);
            }
            (
                Sort::Rail(_),
                Verdict::Noisy
                | Verdict::Pulsing
                | Verdict::Low
                | Verdict::High
                | Verdict::Absent
                | Verdict::Gone
                | Verdict::Good
                | Verdict::Back
                | Verdict::Present
                | Verdict::Bad,
            ) => FindingKind::Rail,
            (Sort::Signal | Sort::Net, _) => FindingKind::Signal,
            (Sort::Function, Verdict::Low | Verdict::High | Verdict::Pulsing | Verdict::Noisy) => {
                FindingKind::Rail
            }
            _ => return Err(false),
        })
    }

    /// Tells whether the words speak of swinging, not of a dead part.
    fn says_oscillation(&self, words: &Range<usize>) -> bool {
        let said = self.text[words.clone()].to_lowercase();
        ["osc", "schwing", "clock out", "start"]
            .iter()
            .any(|w| said.contains(w))
    }

    fn judged_place(
        &mut self,
        place: &Place,
        places: &Places,
        verdict: Verdict,
        senses: &[Sense],
        words: Range<usize>,
    ) -> bool {
        let mode_missing = verdict == Verdict::OverRange && !self.diode && !self.ohms;
        let osc = matches!(place.meaning(), "crystal" | "oscillator");
        if place.sort == Sort::Part
            && verdict == Verdict::Absent
            && is_crystal(place)
            && self.says_oscillation(&words)
        {
            let clock = Place {
                plain: "clock".to_owned(),
                sort: Sort::Signal,
                ..place.clone()
            };
            let mut finding = Finding::new(FindingKind::Signal, &place.name);
            finding.code = Some("missing".to_owned());
            self.add_at(&clock, finding, words, !places.either);
            return true;
        }
        if place.sort == Sort::Function && verdict == Verdict::Absent && osc {
            // It may be dead, or its supply may be missing.
            self.remark("findings", Doubt::Ambiguous, words.clone());
            let mut finding = Finding::new(FindingKind::Signal, &place.name);
            finding.code = Some("missing".to_owned());
            self.add_at(place, finding, words, true);
            return true;
        }
        let kind = match self.kind_of_verdict(place, verdict, senses) {
            Ok(kind) => kind,
            Err(understood) => return understood,
        };
        let Some(code) = code_of(kind, verdict, place.sort, None) else {
            return kind == FindingKind::Rail || kind == FindingKind::Signal;
        };
        let mut finding = Finding::new(kind, &place.name);
        finding.code = Some(code.to_owned());
        if kind == FindingKind::Rail
            && let Sort::Rail(volts) = place.sort
        {
            finding.good = volts;
        }
        if verdict == Verdict::OverRange {
            finding.qualifier = Some(Qualifier::OverRange);
        }
        if kind == FindingKind::Resistance && self.source_off {
            finding.source_off = Some(true);
        }
        self.polarity_of(&mut finding);
        let net_unknown = place.sort == Sort::Net && kind == FindingKind::Signal;
        let unsure = mode_missing || places.either || place.sort == Sort::Value || net_unknown;
        if mode_missing {
            self.remark("findings", Doubt::ModeMissing, words.clone());
        }
        if places.either {
            self.remark("findings", Doubt::CauseNotProved, words.clone());
        }
        if net_unknown {
            self.remark("findings", Doubt::Ambiguous, words.clone());
        }
        if place.sort == Sort::Value {
            let doubt = if place.name.contains(['R', 'r', 'k', 'K', 'M']) {
                Doubt::ValueNotRefdes
            } else {
                Doubt::RefdesMissing
            };
            self.remark("findings", doubt, words.clone());
        }
        self.add_at(place, finding, words, !unsure);
        true
    }
}

/// Returns the word of a kind's vocabulary for a verdict.
#[expect(
    clippy::match_same_arms,
    reason = "a table by kind; equal words of two kinds are not one"
)]
fn code_of(
    kind: FindingKind,
    verdict: Verdict,
    sort: Sort,
    got: Option<f64>,
) -> Option<&'static str> {
    Some(match (kind, verdict) {
        (FindingKind::Rail, Verdict::Absent | Verdict::Gone) => "absent",
        (FindingKind::Rail, Verdict::Low) => "low",
        (FindingKind::Rail, Verdict::High) => "high",
        (FindingKind::Rail, Verdict::Good | Verdict::Back | Verdict::Present) => "in-band",
        (FindingKind::Rail, Verdict::Pulsing) => "pulsing",
        (FindingKind::Rail, Verdict::Noisy) => "noisy",
        (FindingKind::Signal, Verdict::Absent | Verdict::Gone) => "missing",
        (FindingKind::Signal, Verdict::Low | Verdict::StuckLow) => "stuck-low",
        (FindingKind::Signal, Verdict::High | Verdict::StuckHigh) => "stuck-high",
        (FindingKind::Signal, Verdict::Stuck) => match got {
            Some(volts) if volts < 0.8 => "stuck-low",
            Some(volts) if volts > 2.0 => "stuck-high",
            _ => "stuck",
        },
        (FindingKind::Signal, Verdict::Mid) => "mid-level",
        (FindingKind::Signal, Verdict::WrongFrequency) => "wrong-frequency",
        (FindingKind::Signal, Verdict::Good | Verdict::Present | Verdict::Back) => "present",
        (FindingKind::Resistance, Verdict::Short) => "hard-short",
        (FindingKind::Resistance, Verdict::Low | Verdict::Leaky) => "low",
        (FindingKind::Resistance, Verdict::High) => "high",
        (FindingKind::Resistance, Verdict::Good) => "as-reference",
        (FindingKind::Resistance, Verdict::Open | Verdict::OverRange | Verdict::Blown) => "open",
        (FindingKind::Diode, Verdict::Short) => "short",
        (FindingKind::Diode, Verdict::Low) => "low",
        (FindingKind::Diode, Verdict::High) => "high",
        (FindingKind::Diode, Verdict::Good) => "as-reference",
        (FindingKind::Diode, Verdict::Open | Verdict::OverRange) => "OL",
        (FindingKind::Heat, Verdict::Hot) => "hot",
        (FindingKind::Heat, Verdict::Warm) => "warm",
        (FindingKind::Current, Verdict::Good) if sort == Sort::Net => "normal",
        _ => return None,
    })
}
