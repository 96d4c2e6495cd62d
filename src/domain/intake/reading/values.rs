//! Numbers become readings, and words judge them.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::clocks::is_crystal;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;
use crate::domain::job::When;

impl Reader<'_> {
    /// Reads a number.
    pub(super) fn quantity(&mut self) {
        let i = self.at;
        self.qualify();
        let What::Quantity(q) = self.items[i].what.clone() else {
            return;
        };
        let words = self.items[i].words.clone();
        if self.not.is_some() && q.unit == Unit::Volt && self.place_at(i).is_some() {
            self.take_place();
            return;
        }
        self.not = None;
        if self.is_value_of_part(i, &q) || self.is_new_value(i, &q) {
            self.done(i);
            return;
        }
        if self.is_told(&words) {
            self.remark("findings", Doubt::Ambiguous, words);
            self.at = i + 1;
            return;
        }
        if q.number.comma {
            self.remark("findings", Doubt::DecimalComma, words.clone());
        }
        if q.number.scientific {
            self.remark("findings", Doubt::SheetDamage, words.clone());
        }
        let injected = (i + 1..i + 4).any(|i| self.senses(i).contains(&Sense::Cue(Cue::Inject)));
        if self.inject || injected || matches!(q.unit, Unit::Other) {
            self.cue = None;
            self.done(i);
            return;
        }
        if self.cued(&q, words.clone()) {
            self.done(i);
            return;
        }
        match q.unit {
            Unit::Amp => self.amps(&q, words),
            Unit::Volt => self.volts(&q, words),
            // "C12 (100n)"
            Unit::PartValue if self.fresh && self.near => self.done(i),
            Unit::PartValue => self.take_place(),
            Unit::Second => self.seconds(&q),
            Unit::Ohm if q.letter_mark && self.is_part_value(i) => self.take_place(),
            Unit::Ohm | Unit::Hertz | Unit::Celsius => self.elsewhere(&q, words),
            Unit::None => self.bare(&q, words),
            Unit::Other => {}
        }
    }

    /// `4R7 open`: a part by its value, since no reading of 4.7 Ω is open.
    fn is_part_value(&self, i: usize) -> bool {
        let next = self.senses(i + 1);
        let after = next.iter().any(|s| {
            matches!(
                s,
                Sense::Verdict(_) | Sense::Act(_) | Sense::Sign(_) | Sense::Noun("resistor")
            )
        });
        after && !self.fresh
    }

    /// "R147 (10k) lifted", "R12 0R1 burnt": what the resistor is, not what it reads.
    fn is_value_of_part(&self, i: usize, q: &Quantity) -> bool {
        let resistor = self.place.list.iter().all(|p| {
            p.sort == Sort::Part
                && p.name
                    .strip_prefix('R')
                    .is_some_and(|n| n.starts_with(|c: char| c.is_ascii_digit()))
        });
        if !(self.fresh && self.near && resistor && q.unit == Unit::Ohm && q.from.is_none()) {
            return false;
        }
        let mark = |i: usize, m: char| matches!(self.items.get(i).map(|i| &i.what), Some(What::Mark(c)) if *c == m);
        let bracket = i > 0 && mark(i - 1, '(') && mark(i + 1, ')');
        let says = self.senses(i + 1).iter().any(|s| {
            matches!(
                s,
                Sense::Sign(_)
                    | Sense::Act(_)
                    | Sense::Verdict(Verdict::Open | Verdict::Blown | Verdict::Bad)
            )
        });
        bracket || says
    }

    /// A number after a word that says what it is.
    fn cued(&mut self, q: &Quantity, words: Range<usize>) -> bool {
        let Some(cue) = self.cue.take() else {
            return false;
        };
        let value = q.value();
        match (cue, q.unit) {
            (Cue::Reference, _) => return self.reference(q, words),
            (Cue::Limit, Unit::Amp | Unit::None) => {
                self.limit_a = Some(value);
                if let Some(draw) = self.draw {
                    self.out.findings[draw].what.limit_a = Some(value);
                    self.out.findings[draw].words.end = words.end;
                }
            }
            (Cue::Supply, Unit::Volt | Unit::None) => self.supply(value),
            (Cue::Collapsed, Unit::Volt | Unit::None) => {
                let Some(draw) = self.draw else {
                    return false;
                };
                let finding = &mut self.out.findings[draw];
                finding.what.collapsed_v = Some(value);
                finding.words.end = words.end;
            }
            (Cue::Every, Unit::Second | Unit::None) => {
                let Some(draw) = self.draw else {
                    return false;
                };
                self.out.findings[draw].what.period_s = Some(value);
                self.out.findings[draw].words.end = words.end;
            }
            _ => return false,
        }
        true
    }

    /// "About", "below" before the number.
    fn qualify(&mut self) {
        let qualifier = match self.cue {
            Some(Cue::About) => Qualifier::About,
            Some(Cue::Below) => Qualifier::Below,
            Some(Cue::Above) => Qualifier::Above,
            _ => return,
        };
        self.cue = None;
        if let What::Quantity(q) = &mut self.items[self.at].what {
            q.qualifier.get_or_insert(qualifier);
        }
    }

    pub(super) fn supply(&mut self, volts: f64) {
        self.supply_v = Some(volts);
        if let Some(draw) = self.draw {
            self.out.findings[draw].what.supply_v = Some(volts);
        }
    }

    /// Tells whether a good board's number stands at item `i`.
    pub(super) fn reference_follows(&self, i: usize) -> bool {
        let filler = self.senses(i).contains(&Sense::Filler);
        let at = if filler
            || matches!(
                self.items.get(i).map(|i| &i.what),
                Some(What::Mark('=' | ':'))
            ) {
            i + 1
        } else {
            i
        };
        matches!(self.items.get(at).map(|i| &i.what), Some(What::Quantity(_)))
            && self.last.is_some()
    }

    fn reference(&mut self, q: &Quantity, words: Range<usize>) -> bool {
        let first = self.fresh && self.near;
        let Some(last) = self.last.filter(|_| !first) else {
            // "3V3 should be 3.3, reads 1.2"
            self.expected = first.then(|| q.value());
            return first;
        };
        let got = &mut self.out.findings[last];
        got.what.good = Some(q.value());
        got.words.end = got.words.end.max(words.end);
        true
    }

    fn seconds(&mut self, q: &Quantity) {
        let every = self
            .draw
            .filter(|d| self.out.findings[*d].what.code.as_deref() == Some("cycling"));
        if let Some(draw) = every {
            self.out.findings[draw]
                .what
                .period_s
                .get_or_insert(q.value());
        }
        self.done(self.at);
    }

    fn volts(&mut self, q: &Quantity, words: Range<usize>) {
        let i = self.at;
        let judged_by_word = self.senses(i + 1).iter().any(|s| {
            matches!(
                s,
                Sense::Verdict(_) | Sense::Cue(Cue::Rail) | Sense::Noun(_)
            )
        });
        let again = (self.moment == Some(When::AfterAction) || self.reads_again(i))
            && self.last.is_some()
            && !judged_by_word
            && self.place.list.len() == 1
            && matches!(self.place.list[0].sort, Sort::Rail(_) | Sort::Signal);
        self.fresh |= again && self.near;
        let waiting = self.fresh && self.near;
        let part_waits = waiting
            && self
                .place
                .list
                .iter()
                .all(|p| matches!(p.sort, Sort::Part | Sort::Function | Sort::Spot))
            && !self.diode;
        let rails_wait = waiting
            && self
                .place
                .list
                .iter()
                .all(|p| matches!(p.sort, Sort::Rail(_)));
        let listed = self.comma_before() || (i > 0 && self.senses(i - 1).contains(&Sense::And));
        if rails_wait
            && listed
            && (judged_by_word || self.rails_judged(i))
            && self.place_at(i).is_some()
        {
            self.take_place();
            return;
        }
        if waiting && !(part_waits && (judged_by_word || q.letter_mark)) {
            self.measured_here(q, words);
            return;
        }
        if let Some(places) = self
            .place_ahead(i + 1)
            .filter(|p| p.list.iter().all(|p| p.sort != Sort::Spot))
            // "3V3 at 0.4V": the name stands first.
            .filter(|p| !q.letter_mark || !self.is_quantity(p.next - 1))
        {
            self.measured_at(places, q, words);
            return;
        }
        let judged_before = self.last.is_some_and(|l| {
            matches!(
                self.out.findings[l].what.kind,
                FindingKind::Signal | FindingKind::Rail
            )
        });
        if judged_before
            && !judged_by_word
            && !self.comma_before()
            && self.fill_last(q, words.clone())
        {
            // "Reset held low 0.1V"
            self.done(i);
            return;
        }
        let in_draw = self.draw.is_some() || self.draw_cue.is_some() || self.amps_follow(i + 1);
        if in_draw && self.comma_before() && self.volts_follow(i + 1) && self.place_at(i).is_some()
        {
            // "900 µA, 5V 0V": a rail and its reading.
            self.take_place();
            return;
        }
        if in_draw && !judged_by_word && !q.letter_mark {
            self.supply(q.value());
            self.done(i);
            return;
        }
        if (self.judged(i + 1) || q.letter_mark || self.rails_judged(i))
            && self.place_at(i).is_some()
        {
            self.take_place();
            return;
        }
        if self.fill_last(q, words) {
            self.done(i);
            return;
        }
        self.at = i + 1;
    }

    /// "12V, 5V and 3V3 ok": a list of rails of which something is said.
    fn rails_judged(&self, i: usize) -> bool {
        let mut at = i;
        for _ in 0..8 {
            let rail = self
                .place_at(at)
                .filter(|p| p.list.iter().all(|p| matches!(p.sort, Sort::Rail(_))));
            let Some(places) = rail else {
                return false;
            };
            let joint = matches!(
                self.items.get(places.next).map(|i| &i.what),
                Some(What::Mark(',' | '/' | '+' | '&'))
            ) || self.senses(places.next).contains(&Sense::And);
            if !joint {
                return at > i && !self.is_quantity(places.next) && self.judged(places.next);
            }
            at = places.next + 1;
        }
        false
    }

    pub(super) fn is_quantity(&self, i: usize) -> bool {
        matches!(self.items.get(i).map(|i| &i.what), Some(What::Quantity(_)))
    }

    /// Tells whether a number that can be volts stands at item `i`, perhaps after `=`.
    fn volts_follow(&self, i: usize) -> bool {
        let mark = matches!(
            self.items.get(i).map(|i| &i.what),
            Some(What::Mark('=' | ':'))
        );
        let at = if mark { i + 1 } else { i };
        matches!(self.items.get(at).map(|i| &i.what), Some(What::Quantity(q)) if matches!(q.unit, Unit::Volt | Unit::None))
    }

    pub(super) fn amps_follow(&self, i: usize) -> bool {
        (i..i + 3).any(|i| {
            matches!(self.items.get(i).map(|i| &i.what), Some(What::Quantity(q)) if q.unit == Unit::Amp)
        })
    }

    /// "32 kHz missing at Y2": the clock that should be at the crystal.
    fn clock_missing(&mut self, q: &Quantity, words: &Range<usize>) -> bool {
        let i = self.at;
        let absent = self
            .senses(i + 1)
            .contains(&Sense::Verdict(Verdict::Absent));
        let Some(places) = self.place_ahead(i + 2).filter(|_| absent) else {
            return false;
        };
        let [crystal] = places.list.as_slice() else {
            return false;
        };
        if !is_crystal(crystal) {
            return false;
        }
        let clock = Place {
            plain: "clock".to_owned(),
            sort: Sort::Signal,
            ..crystal.clone()
        };
        let mut finding = Finding::new(FindingKind::Signal, &clock.name);
        finding.code = Some("missing".to_owned());
        finding.good = Some(q.value());
        finding.in_hertz = true;
        let end = self.items[places.next - 1].words.end;
        self.add_at(&clock, finding, words.start..end, true);
        self.done_to(i, places.next);
        true
    }

    /// Ohms, hertz, degrees: at the place that was named, or that follows.
    fn elsewhere(&mut self, q: &Quantity, words: Range<usize>) {
        if q.unit == Unit::Hertz && self.clock_missing(q, &words) {
            return;
        }
        if self.fresh && self.near {
            self.measured_here(q, words);
        } else if let Some(places) = self
            .place_ahead(self.at + 1)
            .or_else(|| self.net_right_after(self.at + 1))
        {
            self.measured_at(places, q, words);
        } else if self.fill_last(q, words.clone()) {
            self.done(self.at);
        } else if self.near && self.place.list.len() < 5 && !self.place.list.is_empty() {
            self.fresh = true;
            self.measured_here(q, words);
        } else {
            self.at += 1;
        }
    }

    /// "60 Ω CANH-CANL"
    fn net_right_after(&self, i: usize) -> Option<Places> {
        let places = self.place_at(i)?;
        let nets = places
            .list
            .iter()
            .all(|p| matches!(p.sort, Sort::Rail(_) | Sort::Signal));
        (nets && !self.judged(places.next)).then_some(places)
    }

    fn bare(&mut self, q: &Quantity, words: Range<usize>) {
        let i = self.at;
        let counts = q.number.whole && q.value() < 21.0 && q.from.is_none();
        let things = |p: Places| p.list.iter().all(|p| p.sort == Sort::Function);
        if counts && self.place_at(i).is_some_and(things) {
            // "2 caps"
            self.take_place();
            return;
        }
        let again = (self.moment == Some(When::AfterAction) || self.reads_again(i))
            && self.near
            && self.last.is_some()
            && (1..5).contains(&self.place.list.len());
        // "3V3 was 0.4, now 3.31"
        self.fresh |= again;
        // "AI1 0.04 diode mode": the mode stands after the number.
        let mode = |i: usize| self.senses(i).contains(&Sense::Cue(Cue::Diode));
        self.diode |= self.fresh && self.near && mode(i + 1);
        let readable = self.fresh
            && self.near
            && (self.diode
                || self.ohms
                || self
                    .place
                    .list
                    .iter()
                    .all(|p| matches!(p.sort, Sort::Rail(_) | Sort::Signal | Sort::Net)));
        if readable {
            self.measured_here(q, words);
            return;
        }
        if self.known.field == &Field::Draw || self.draw_cue.is_some() {
            self.amps(q, words);
            return;
        }
        let ahead = self.place_ahead(i + 1).filter(|p| {
            self.diode
                || self.ohms
                || p.list
                    .iter()
                    .all(|p| matches!(p.sort, Sort::Rail(_) | Sort::Signal))
        });
        if let Some(places) = ahead {
            self.measured_at(places, q, words);
            return;
        }
        if (!q.number.whole || !self.comma_before()) && self.fill_last(q, words.clone()) {
            self.done(i);
            return;
        }
        if self.draw.is_some() && !q.number.whole {
            self.amps(q, words);
            return;
        }
        if self.diode {
            self.reading_without_place(FindingKind::Diode, q, words);
            return;
        }
        self.at = i + 1;
    }

    pub(super) fn reading_without_place(
        &mut self,
        kind: FindingKind,
        q: &Quantity,
        words: Range<usize>,
    ) {
        let mut finding = Finding::new(kind, "");
        fill(&mut finding, q);
        self.polarity_of(&mut finding);
        self.add(finding, words, !q.number.doubtful);
        self.done(self.at);
    }

    /// A number right after a finding that has none: "3V3 low, 2.1V".
    pub(super) fn fill_last(&mut self, q: &Quantity, words: Range<usize>) -> bool {
        let Some(last) = self.last else {
            return false;
        };
        let got = &mut self.out.findings[last];
        let fits = match got.what.kind {
            FindingKind::Rail | FindingKind::Diode => matches!(q.unit, Unit::Volt | Unit::None),
            FindingKind::Signal => matches!(q.unit, Unit::Volt | Unit::None | Unit::Hertz),
            FindingKind::Resistance => q.unit == Unit::Ohm || (q.unit == Unit::None && self.ohms),
            FindingKind::Heat => q.unit == Unit::Celsius,
            _ => false,
        };
        if !fits || got.what.got.is_some() || got.what.low.is_some() {
            return false;
        }
        fill(&mut got.what, q);
        got.words.end = got.words.end.max(words.end);
        true
    }

    fn measured_here(&mut self, q: &Quantity, words: Range<usize>) {
        let places = std::mem::take(&mut self.place);
        let from = self.place_words.start.min(words.start);
        self.measured(&places, q, from..words.end);
        self.place = places;
        self.fresh = false;
        self.done(self.at);
    }

    fn measured_at(&mut self, places: Places, q: &Quantity, words: Range<usize>) {
        let end = self.items[places.next - 1].words.end;
        let to = places.next;
        self.cues_between(self.at + 1, to);
        self.measured(&places, q, words.start..end);
        self.place_words = words.start..end;
        self.place = places;
        self.near = true;
        self.fresh = false;
        self.done_to(self.at, to);
    }

    /// "To ground" between a number and its place.
    fn cues_between(&mut self, from: usize, to: usize) {
        for i in from..to {
            if self.senses(i).contains(&Sense::Cue(Cue::ToGround)) {
                self.ohms = true;
            }
        }
    }

    pub(super) fn expand(&mut self, places: &Places, words: Range<usize>) {
        if places.expanded {
            self.remark("findings", Doubt::ExpandRange, words.clone());
        }
        if places.collision {
            self.remark("findings", Doubt::TokenCollision, words);
        }
    }

    pub(super) fn polarity_of(&mut self, finding: &mut Finding) {
        if finding.kind == FindingKind::Diode {
            finding.polarity = self.polarity.map(str::to_owned);
        }
    }
}

/// Puts a number into a finding.
pub(super) fn fill(finding: &mut Finding, q: &Quantity) {
    finding.in_hertz = q.unit == Unit::Hertz && finding.kind == FindingKind::Signal;
    if let Some(from) = q.from {
        finding.low = Some(from.min(q.value()));
        finding.high = Some(from.max(q.value()));
        finding.qualifier = Some(Qualifier::Range);
    } else {
        finding.got = Some(q.value());
        finding.qualifier = q.qualifier;
    }
}
