//! Words that say what the numbers beside them are.

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;

impl Reader<'_> {
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
                self.cue = Some(cue);
            }
            Cue::Collapsed if self.draw.is_some() => self.cue = Some(cue),
            Cue::Diode => {
                self.diode = true;
                self.mode_here = true;
                self.was_diode();
            }
            Cue::Resistance => {
                self.mode_here = true;
                self.ohms = true;
                self.was_ohms();
            }
            Cue::ToGround => {
                self.mode_here = true;
                self.ohms |= !self.diode;
            }
            Cue::SourceOff => {
                self.source_off = true;
                if let Some(last) = self.last
                    && self.out.findings[last].what.kind == FindingKind::Resistance
                {
                    self.out.findings[last].what.source_off = Some(true);
                }
            }
            Cue::Reference
                if self.reference_follows(i + 1) || self.last.is_some() || self.fresh =>
            {
                self.cue = Some(cue);
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
            Cue::Reference | Cue::Phase => return false,
            Cue::Pin => self.next_pin(),
            Cue::Near
            | Cue::Collapsed
            | Cue::Rail
            | Cue::All
            | Cue::Version
            | Cue::Heat
            | Cue::Climbs
            | Cue::To
            | Cue::Again => {}
        }
        true
    }

    /// "U7 pin 5 = 5.0 V pin 3 = 0 V": another pin of the part whose pin was read last.
    fn next_pin(&mut self) {
        let number = self.at + 1;
        let plain = matches!(self.items.get(number).map(|i| &i.what), Some(What::Quantity(q)) if q.number.whole && q.unit == Unit::None && q.from.is_none());
        if !plain || !self.near || self.fresh {
            return;
        }
        let digits = self.source(number);
        let [place] = self.place.list.as_mut_slice() else {
            return;
        };
        let Some((part, _)) = place.name.split_once(" pin ") else {
            return;
        };
        place.name = format!("{part} pin {digits}");
        self.place_words = self.items[self.at].words.start..self.items[number].words.end;
        self.fresh = true;
        self.read[self.at] = true;
        self.at = number;
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
    fn was_diode(&mut self) {
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

    /// "R9 OL (ohms)": the mode stands after the meter's OL.
    fn was_ohms(&mut self) {
        let Some(last) = self.last else {
            return;
        };
        let got = &mut self.out.findings[last];
        let open = got.what.kind == FindingKind::Resistance
            && got.what.qualifier == Some(Qualifier::OverRange);
        if !open || got.what.place.is_empty() {
            return;
        }
        got.sure = true;
        let missing = Doubt::ModeMissing.word();
        if self.out.flags.last().is_some_and(|f| f.why == missing) {
            self.out.flags.pop();
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
}
