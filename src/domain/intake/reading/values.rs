//! Numbers become readings, and words judge them.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;

impl Reader<'_> {
    /// Reads a number.
    pub(super) fn quantity(&mut self) {
        let i = self.at;
        let What::Quantity(q) = self.items[i].what.clone() else {
            return;
        };
        let words = self.items[i].words.clone();
        if self.not.is_some() && q.unit == Unit::Volt && self.place_at(i).is_some() {
            self.take_place();
            return;
        }
        self.not = None;
        if q.number.comma {
            self.remark("findings", Doubt::DecimalComma, words.clone());
        }
        if q.number.scientific {
            self.remark("findings", Doubt::SheetDamage, words.clone());
        }
        if self.inject || matches!(q.unit, Unit::Other) {
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
            (Cue::About, _) => return self.qualify(Qualifier::About),
            (Cue::Below, _) => return self.qualify(Qualifier::Below),
            (Cue::Above, _) => return self.qualify(Qualifier::Above),
            _ => return false,
        }
        true
    }

    fn qualify(&mut self, qualifier: Qualifier) -> bool {
        let i = self.at;
        if let What::Quantity(q) = &mut self.items[i].what {
            q.qualifier.get_or_insert(qualifier);
        }
        self.quantity();
        false
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
        let Some(last) = self.last else {
            return false;
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
        {
            self.measured_at(places, q, words);
            return;
        }
        let in_draw = self.draw.is_some() || self.draw_cue.is_some() || self.amps_follow(i + 1);
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

    fn is_quantity(&self, i: usize) -> bool {
        matches!(self.items.get(i).map(|i| &i.what), Some(What::Quantity(_)))
    }

    fn amps_follow(&self, i: usize) -> bool {
        (i..i + 3).any(|i| {
            matches!(self.items.get(i).map(|i| &i.what), Some(What::Quantity(q)) if q.unit == Unit::Amp)
        })
    }

    /// Ohms, hertz, degrees: at the place that was named, or that follows.
    fn elsewhere(&mut self, q: &Quantity, words: Range<usize>) {
        if self.fresh && self.near {
            self.measured_here(q, words);
        } else if let Some(places) = self.place_ahead(self.at + 1) {
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

    fn bare(&mut self, q: &Quantity, words: Range<usize>) {
        let i = self.at;
        let counts = q.number.whole && q.value() < 21.0 && q.from.is_none();
        let things = |p: Places| p.list.iter().all(|p| p.sort == Sort::Function);
        if counts && self.place_at(i + 1).is_some_and(things) {
            // "2 caps"
            self.done(i);
            return;
        }
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

    fn reading_without_place(&mut self, kind: FindingKind, q: &Quantity, words: Range<usize>) {
        let mut finding = Finding::new(kind, "");
        fill(&mut finding, q);
        self.polarity_of(&mut finding);
        self.add(finding, words, !q.number.doubtful);
        self.done(self.at);
    }

    /// A number right after a finding that has none: "3V3 low, 2.1V".
    fn fill_last(&mut self, q: &Quantity, words: Range<usize>) -> bool {
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

    fn measured(&mut self, places: &Places, q: &Quantity, words: Range<usize>) {
        for place in &places.list {
            let Some(kind) = self.kind_of(place, q) else {
                continue;
            };
            let can_pair = kind == FindingKind::Resistance && place.name.starts_with("CAN");
            let name = if can_pair && place.name == "CANL" && self.names_canh() {
                "CANH-CANL"
            } else {
                place.name.as_str()
            };
            let mut finding = Finding::new(kind, name);
            fill(&mut finding, q);
            if kind == FindingKind::Rail
                && let Sort::Rail(volts) = place.sort
            {
                finding.good = volts;
            }
            if kind == FindingKind::Resistance && self.source_off {
                finding.source_off = Some(true);
            }
            self.polarity_of(&mut finding);
            // Two 120 Ω ends read about 60 Ω.
            let terminated =
                name == "CANH-CANL" && finding.got.is_some_and(|r| (54.0..=66.0).contains(&r));
            if terminated {
                finding.code = Some("as-reference".to_owned());
                finding.good = Some(60.0);
            }
            let unsure = q.number.doubtful
                || q.number.scientific
                || places.either
                || (place.sort == Sort::Net && q.unit == Unit::None)
                || (place.sort == Sort::Part
                    && q.unit == Unit::Volt
                    && !place.name.contains("pin"));
            if q.number.doubtful || (unsure && !q.number.scientific) {
                self.remark("findings", Doubt::Ambiguous, words.clone());
            }
            self.add(finding, words.clone(), !unsure);
        }
        self.expand(places, words);
    }

    pub(super) fn expand(&mut self, places: &Places, words: Range<usize>) {
        if places.expanded {
            self.remark("findings", Doubt::ExpandRange, words.clone());
        }
        if places.collision {
            self.remark("findings", Doubt::TokenCollision, words);
        }
    }

    fn names_canh(&self) -> bool {
        self.out
            .findings
            .iter()
            .rev()
            .take(4)
            .any(|f| f.what.place == "CANH")
    }

    fn polarity_of(&mut self, finding: &mut Finding) {
        if finding.kind == FindingKind::Diode {
            finding.polarity = self.polarity.map(str::to_owned);
        }
    }

    fn kind_of(&self, place: &Place, q: &Quantity) -> Option<FindingKind> {
        Some(match q.unit {
            Unit::Ohm => FindingKind::Resistance,
            Unit::Celsius => FindingKind::Heat,
            Unit::Hertz => FindingKind::Signal,
            Unit::Volt | Unit::None if self.diode => FindingKind::Diode,
            Unit::None if self.ohms => FindingKind::Resistance,
            Unit::Volt | Unit::None => match place.sort {
                Sort::Rail(_) | Sort::Function | Sort::Net | Sort::Part => {
                    if place.name.contains(" pin ") {
                        FindingKind::Signal
                    } else {
                        FindingKind::Rail
                    }
                }
                Sort::Signal => FindingKind::Signal,
                Sort::Spot | Sort::Value => return None,
            },
            _ => return None,
        })
    }

    /// Handles a word that says what is read beside it.
    pub(super) fn cue_word(&mut self, senses: &[Sense]) -> bool {
        let mut any = false;
        for sense in senses {
            if let Sense::Cue(cue) = sense {
                any |= self.one_cue(*cue);
            }
        }
        if any && self.at < self.items.len() {
            self.read[self.at] = true;
            self.at += 1;
        }
        any
    }

    fn one_cue(&mut self, cue: Cue) -> bool {
        let i = self.at;
        let words = self.items[i].words.clone();
        match cue {
            Cue::Draw => self.draw_cue = Some(words),
            Cue::Limit | Cue::Supply | Cue::Every | Cue::About | Cue::Above | Cue::Below => {
                self.cue = Some(cue)
            }
            Cue::Collapsed if self.draw.is_some() => self.cue = Some(cue),
            Cue::Diode => {
                self.diode = true;
                self.to_diode();
            }
            Cue::Resistance => self.ohms = true,
            Cue::ToGround => self.ohms |= !self.diode,
            Cue::SourceOff => {
                self.source_off = true;
                if let Some(last) = self.last
                    && self.out.findings[last].what.kind == FindingKind::Resistance
                {
                    self.out.findings[last].what.source_off = Some(true);
                }
            }
            Cue::Reference if self.reference_follows(i + 1) || self.last.is_some() => {
                self.cue = Some(cue)
            }
            Cue::At | Cue::Under => return self.at_cue(cue),
            Cue::RedToGround => self.polarity("red-to-ground"),
            Cue::BlackToGround => self.polarity("black-to-ground"),
            Cue::Inject => self.inject = true,
            Cue::Mains => self.mains = Some(words),
            Cue::OnlyToTest => self.only_to_test(),
            Cue::Phase if self.place_at(i).is_some() => {
                self.take_place();
                self.at -= 1;
            }
            Cue::Revision => self.revision(),
            Cue::Collapsed | Cue::Reference | Cue::Phase => return false,
            Cue::Near
            | Cue::Rail
            | Cue::All
            | Cue::Pin
            | Cue::Version
            | Cue::Heat
            | Cue::Climbs
            | Cue::To
            | Cue::Again => {}
        }
        true
    }

    fn at_cue(&mut self, cue: Cue) -> bool {
        if let Some(What::Quantity(q)) = self.items.get(self.at + 1).map(|i| &i.what) {
            let volts = q.unit == Unit::Volt && !self.fresh;
            let draw =
                self.draw.is_some() || self.draw_cue.is_some() || self.amps_follow(self.at + 2);
            if cue == Cue::Under {
                self.cue = Some(Cue::Below);
            } else if volts && draw {
                self.cue = Some(Cue::Supply);
            }
        }
        true
    }

    fn polarity(&mut self, polarity: &'static str) {
        self.polarity = Some(polarity);
        if let Some(last) = self.last
            && self.out.findings[last].what.kind == FindingKind::Diode
        {
            self.out.findings[last].what.polarity = Some(polarity.to_owned());
        }
    }

    /// "SDA 0.02 diode mode": the mode stands after the number.
    fn to_diode(&mut self) {
        let Some(last) = self.last else {
            return;
        };
        let finding = &mut self.out.findings[last].what;
        let volts =
            matches!(finding.kind, FindingKind::Rail | FindingKind::Signal) && !finding.in_hertz;
        if volts && finding.got.is_some_and(|v| v < 3.0) {
            finding.kind = FindingKind::Diode;
            finding.good = None;
            finding.code = None;
        } else if finding.kind == FindingKind::Resistance
            && finding.qualifier == Some(Qualifier::OverRange)
        {
            finding.kind = FindingKind::Diode;
            finding.code = Some("OL".to_owned());
        }
    }

    fn revision(&mut self) {
        let i = self.at + 1;
        let fits = match self.items.get(i).map(|i| &i.what) {
            Some(What::Parts(list)) => list.names.len() == 1,
            Some(What::Quantity(q)) => q.unit == Unit::None && q.from.is_none(),
            Some(What::Unknown | What::Said(_)) => {
                let source = self.source(i);
                source.len() <= 2
                    && source
                        .chars()
                        .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit())
            }
            _ => false,
        };
        if !fits {
            return;
        }
        let words = self.items[i].words.clone();
        let doubt = matches!(
            self.items.get(i + 1).map(|i| &i.what),
            Some(What::Mark('?'))
        );
        let what = self.text[words.clone()].to_ascii_uppercase();
        if doubt {
            let end = self.text.len();
            self.remark("rev", Doubt::KeepBoth, self.items[self.at].words.start..end);
        }
        self.out
            .revision
            .get_or_insert(crate::domain::intake::reading::said::Got {
                what,
                words,
                sure: !doubt,
            });
        self.read[self.at] = true;
        self.done(i);
        self.at = i;
        if doubt {
            // What the sticker says is kept in the words of the flag.
            for read in &mut self.read[i..] {
                *read = true;
            }
            self.at = self.items.len() - 1;
        }
    }

    /// A word that judges: of the place before it, of the last number, of the place after it.
    pub(super) fn verdict(&mut self, verdict: Verdict, senses: &[Sense]) -> bool {
        let i = self.at;
        let words = self.items[i].words.clone();
        let denied = self.not.take();
        if self.is_misspelled(&words) {
            self.remark("findings", Doubt::Spelling, words.clone());
        }
        if verdict == Verdict::Stuck && self.draw.is_some() {
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
        let again =
            !over && self.near && !self.comma_before() && (1..=4).contains(&self.place.list.len());
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
        for place in &places.list {
            said |= self.judged_place(place, places, verdict, senses, words.clone());
        }
        if said {
            self.expand(places, words);
        }
        said
    }

    fn judged_place(
        &mut self,
        place: &Place,
        places: &Places,
        verdict: Verdict,
        senses: &[Sense],
        words: Range<usize>,
    ) -> bool {
        let fuse = place.name.contains("fuse")
            || (place.sort == Sort::Part
                && place.name.starts_with('F')
                && !place.name.starts_with("FB"));
        let mode_missing = verdict == Verdict::OverRange && !self.diode && !self.ohms;
        let kind = match (place.sort, verdict) {
            (_, Verdict::Hot | Verdict::Warm) => FindingKind::Heat,
            (_, Verdict::Short) if self.diode => FindingKind::Diode,
            (_, Verdict::Short | Verdict::Leaky) => FindingKind::Resistance,
            (_, Verdict::OverRange | Verdict::Open) if self.diode => FindingKind::Diode,
            (_, Verdict::OverRange | Verdict::Open) => FindingKind::Resistance,
            (_, Verdict::Blown) if fuse => FindingKind::Resistance,
            (Sort::Part | Sort::Function, Verdict::Absent)
                if senses.contains(&Sense::Sign("missing")) =>
            {
                return false;
            }
            (Sort::Function, Verdict::Absent)
                if matches!(place.name.as_str(), "crystal" | "oscillator") =>
            {
                self.remark("findings", Doubt::Ambiguous, words.clone());
                let mut finding = Finding::new(FindingKind::Signal, "clock");
                finding.code = Some("missing".to_owned());
                self.add(finding, words, true);
                return true;
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
                return matches!(
                    verdict,
                    Verdict::Good | Verdict::Bad | Verdict::Absent | Verdict::Blown
                ) || senses.len() == 1;
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
            _ => return false,
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
        self.add(finding, words, !unsure);
        true
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

/// Returns the word of a kind's vocabulary for a verdict.
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
