//! Of which kind a number is at its place.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::values::fill;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

impl Reader<'_> {
    pub(super) fn measured(&mut self, places: &Places, q: &Quantity, words: Range<usize>) {
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
            if let Some(good) = self.expected {
                finding.good = Some(good);
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
                || (place.sort == Sort::Net && kind == FindingKind::Rail)
                || (place.sort == Sort::Part
                    && q.unit == Unit::Volt
                    && !place.name.contains("pin"));
            if q.number.doubtful || (unsure && !q.number.scientific) {
                self.remark("findings", Doubt::Ambiguous, words.clone());
            }
            self.add_at(place, finding, words.clone(), !unsure);
        }
        self.expand(places, words);
    }

    fn names_canh(&self) -> bool {
        self.out
            .findings
            .iter()
            .rev()
            .take(4)
            .any(|f| f.what.place == "CANH")
    }

    fn kind_of(&self, place: &Place, q: &Quantity) -> Option<FindingKind> {
        if self.is_back_in_volts(place, q) {
            return Some(FindingKind::Rail);
        }
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

    /// "3V0 15R to gnd, replaced C8, 3V0 3.0": what was said of ohms before does not make ohms of a
    /// rail's own volts.
    fn is_back_in_volts(&self, place: &Place, q: &Quantity) -> bool {
        let Sort::Rail(Some(nominal)) = place.sort else {
            return false;
        };
        let column = matches!(self.known.field, Field::Resistance(_) | Field::Diode(_));
        let near = (q.value() - nominal).abs() <= 0.1 * nominal && nominal > 1.5;
        let bare = q.unit == Unit::None || (q.unit == Unit::Volt && self.diode);
        (self.ohms || self.diode) && !column && !self.mode_here && bare && near
    }
}
