//! A measurement that could be taken: how it is called, by which words it is known, what it costs in
//! minutes, and whether it may be asked for at all.
//!
//! Lists and limits: common practice, no source, but [`TOUCHABLE`]. Nothing here says that a
//! measurement is safe to take: the card carries its cautions, and the maker's instructions, local
//! codes and licensed people come first.

use std::collections::BTreeMap;

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::table::Name;
use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::wording;

/// Volts above which no live reading is asked for: 60 V d.c. is the usual limit of extra-low voltage
/// (IEC 61140, from memory).
pub const TOUCHABLE: f64 = 60.0;

/// Returns the minutes that a measurement of a kind takes: the shop's, else a usual figure.
pub fn minutes(shop: &BTreeMap<String, f64>, kind: FindingKind) -> f64 {
    let usual = match kind {
        FindingKind::Current | FindingKind::Resistance | FindingKind::Visual => 1.0,
        FindingKind::Rail | FindingKind::Diode => 2.0,
        FindingKind::Heat | FindingKind::Other => 3.0,
        FindingKind::Signal => 4.0,
    };
    let told = shop.get(kind.word()).copied();
    told.filter(|m| m.is_finite() && 0.0 < *m).unwrap_or(usual)
}

/// Returns a measurement as a person says it: `3V3_SB to ground (source off)`.
///
/// `discharge`: charge may be stored on the board.
pub fn say(name: &Name, discharge: bool) -> String {
    let place = name.place.as_str();
    let off = if discharge {
        "source off, proved discharged"
    } else {
        "source off"
    };
    let state = name.state.as_deref().map(wording::phrase);
    let live = |what: String| match &state {
        Some(state) => format!("{what} ({state})"),
        None => what,
    };
    match name.kind {
        FindingKind::Current if place.is_empty() => live("draw".to_owned()),
        FindingKind::Current => live(format!("draw at {place}")),
        FindingKind::Rail => live(format!("volts at {place}")),
        FindingKind::Signal => live(format!("signal at {place}")),
        FindingKind::Resistance if wording::between_points(place) => {
            format!("ohms {place} ({off})")
        }
        FindingKind::Resistance => format!("ohms {place} to ground ({off})"),
        FindingKind::Diode => format!("diode mode at {place} ({off})"),
        FindingKind::Heat => live("heat".to_owned()),
        FindingKind::Visual => "looks".to_owned(),
        FindingKind::Other => live(place.to_owned()),
    }
}

/// Words for a kind of reading, each alone enough.
pub fn kind_words(kind: FindingKind) -> &'static [&'static str] {
    match kind {
        FindingKind::Current => &["draw", "current", "amps", "consumption", "milliamps"],
        FindingKind::Rail => &["volts", "voltage", "volt", "v", "vdc", "rail", "level"],
        FindingKind::Resistance => &[
            "ohms",
            "ohm",
            "resistance",
            "to ground",
            "short",
            "continuity",
            "impedance",
        ],
        FindingKind::Diode => &["diode", "drop", "diode mode", "diode test"],
        FindingKind::Signal => &[
            "signal",
            "scope",
            "oscilloscope",
            "waveform",
            "clock",
            "activity",
            "level",
            "logic",
            "pulse",
            "swing",
            "volts",
            "voltage",
        ],
        FindingKind::Heat => &["heat", "temperature", "thermal", "hot", "warm"],
        FindingKind::Visual => &["look", "see", "microscope", "inspect"],
        FindingKind::Other => &[],
    }
}

/// Returns the groups of words that name a measurement: its place, its kind, and its state where the
/// same was or could be taken in another (`twin`).
pub fn words(name: &Name, twin: bool) -> Vec<Vec<String>> {
    let own = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
    let mut groups = Vec::new();
    if !name.place.is_empty() {
        groups.push(vec![name.place.clone()]);
    }
    let kind = kind_words(name.kind);
    if !kind.is_empty() {
        groups.push(own(kind));
    }
    if let (true, Some(state)) = (twin, &name.state) {
        let words: &[&str] = match state.as_str() {
            "loaded" => &["loaded", "load"],
            "running" => &["running", "run"],
            "standby" => &["standby"],
            "pressed" => &["pressed", "press", "button"],
            "off" => &["off"],
            _ => &[],
        };
        if words.is_empty() {
            groups.push(vec![state.replace('-', " ")]);
        } else {
            groups.push(own(words));
        }
    }
    groups
}

/// A measurement at its place on a board.
#[derive(Clone, Copy, Debug)]
pub struct Place<'a> {
    /// What is measured.
    pub name: &'a Name,
    /// The board, where the shop describes it.
    pub board: Option<&'a Board>,
    /// Mains may be on the board.
    pub mains: bool,
}

impl Place<'_> {
    /// Tells whether a card may ask for it: not where a live probe may meet mains or more than
    /// [`TOUCHABLE`] volts. On a mains board that is anything live whose place the parts list does not
    /// put into another circuit.
    pub fn is_safe(&self) -> bool {
        let live = matches!(
            self.name.kind,
            FindingKind::Current | FindingKind::Rail | FindingKind::Signal | FindingKind::Other
        );
        if !live {
            return true;
        }
        if self.mains && !self.is_away_from_mains() {
            return false;
        }
        self.volts().is_none_or(|v| v.abs() <= TOUCHABLE)
    }

    fn is_away_from_mains(&self) -> bool {
        let mut there = self
            .board
            .into_iter()
            .flat_map(|b| &b.parts)
            .filter(|(id, part)| {
                **id == self.name.place || part.rail.as_deref() == Some(&self.name.place)
            });
        let mut any = false;
        let away = there.all(|(_, part)| {
            any = true;
            let family = part.family.as_deref();
            let output = part.name.contains("output") || part.name.contains("secondary");
            let primary = part.name.contains("mains") || part.name.contains("primary");
            !primary && (output || family.is_some_and(|f| f != "isolated"))
        });
        any && away
    }

    /// Returns the highest volts that a good board shows there, or the net's name says.
    fn volts(&self) -> Option<f64> {
        let good = self.board.into_iter().flat_map(|b| &b.good);
        let here = good.filter(|g| {
            g.place == self.name.place
                && g.kind == self.name.kind
                && matches!(g.kind, FindingKind::Rail | FindingKind::Signal)
                && !g.in_hertz
        });
        here.filter_map(|g| g.got.or(g.good))
            .chain(band::named_volts(&self.name.place))
            .reduce(f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::job::Finding;
    use crate::domain::job::Part;

    fn name(kind: FindingKind, place: &str) -> Name {
        Name::of(&Finding::new(kind, place))
    }

    #[test]
    fn what_the_shop_says_of_minutes_goes_before_what_is_usual() {
        let shop = BTreeMap::from([("rail".to_owned(), 5.0), ("diode".to_owned(), 0.0)]);
        assert!((minutes(&shop, FindingKind::Rail) - 5.0).abs() < 1e-12);
        assert!(
            (minutes(&shop, FindingKind::Diode) - 2.0).abs() < 1e-12,
            "no time is no time"
        );
        assert!((minutes(&BTreeMap::new(), FindingKind::Signal) - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_measurement_says_that_the_source_is_off() {
        let ohms = name(FindingKind::Resistance, "3V3_SB");
        assert_eq!(say(&ohms, false), "ohms 3V3_SB to ground (source off)");
        let diode = name(FindingKind::Diode, "SDA");
        assert_eq!(
            say(&diode, true),
            "diode mode at SDA (source off, proved discharged)"
        );
        let between = name(FindingKind::Resistance, "CANH-CANL");
        assert_eq!(say(&between, false), "ohms CANH-CANL (source off)");
    }

    /// A mains board: the bulk capacitor and the primary controller on one side, the output on the other.
    fn charger() -> Board {
        let part = |name: &str, rail: &str, family: &str| Part {
            name: name.to_owned(),
            rail: Some(rail.to_owned()),
            family: Some(family.to_owned()),
            revs: Vec::new(),
        };
        let mut bulk = Finding::new(FindingKind::Rail, "BULK");
        bulk.got = Some(325.0);
        Board {
            parts: BTreeMap::from([
                ("C5".to_owned(), part("bulk capacitor", "BULK", "isolated")),
                (
                    "U1".to_owned(),
                    part("primary controller", "VCC", "isolated"),
                ),
                (
                    "C20".to_owned(),
                    part("output capacitor", "VOUT", "isolated"),
                ),
                ("U11".to_owned(), part("5 V buck", "5V0", "buck")),
            ]),
            good: vec![bulk],
            ..sample::board()
        }
    }

    #[test]
    fn no_live_probe_is_asked_for_where_mains_may_be() {
        let board = charger();
        for (kind, place, on_mains, elsewhere) in [
            (FindingKind::Rail, "BULK", false, false),
            (FindingKind::Rail, "VCC", false, true),
            (FindingKind::Rail, "VOUT", true, true),
            (FindingKind::Rail, "5V0", true, true),
            (FindingKind::Signal, "FB", false, true),
            (FindingKind::Current, "", false, true),
            (FindingKind::Other, "lamp test", false, true),
            (FindingKind::Resistance, "BULK", true, true),
            (FindingKind::Diode, "VCC", true, true),
        ] {
            let name = name(kind, place);
            let safe = |mains| {
                let board = Some(&board);
                Place {
                    name: &name,
                    board,
                    mains,
                }
                .is_safe()
            };
            assert_eq!(
                (safe(true), safe(false)),
                (on_mains, elsewhere),
                "{kind:?} {place}"
            );
        }
        let unknown = name(FindingKind::Rail, "5V0");
        let place = Place {
            name: &unknown,
            board: None,
            mains: true,
        };
        assert!(!place.is_safe(), "a board that nobody described");
    }
}
