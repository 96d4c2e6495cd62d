//! What a right first measurement names, circuit by circuit.
//!
//! The sentence is the circuit's own ([`families`]): what stands before its
//! first "then" must be named, what comes after may be. The words that name it are in a table for the
//! sixteen built-in circuits; where a shop wrote a sentence of its own, that sentence's own words are
//! taken, and without any sentence there is nothing to ask. Source: common practice, no source.

use crate::domain::card::KeyPoint;
use crate::domain::circuit::Family;
use crate::domain::families;
use crate::domain::generate::coded::mask;

/// Words for putting a meter on a node.
const METER: &[&str] = &[
    "volts",
    "volt",
    "voltage",
    "ohms",
    "ohm",
    "resistance",
    "measure",
    "meter",
    "probe",
    "check",
    "test",
    "reading",
    "level",
    "continuity",
    "short",
];

/// Circuit, and the groups of words that name its first measurement.
const FIRST: [(&str, &[&[&str]]); 16] = [
    (
        "inlet",
        &[&["fuse", "inlet", "input", "protection", "clamp"], METER],
    ),
    ("isolated", &[&["bulk", "primary", "main capacitor"], METER]),
    (
        "battery",
        &[&["pack", "battery", "cell", "charge node", "charge"], METER],
    ),
    (
        "standby",
        &[
            &["always-on", "always on", "standby", "stand-by", "wake"],
            METER,
        ],
    ),
    ("buck", &[&["rail", "output", "supply", "buck"], METER]),
    (
        "core",
        &[&["core", "vcore"], &["ohms", "ohm", "resistance", "short"]],
    ),
    (
        "sequence",
        &[&[
            "enable",
            "power-good",
            "power good",
            "pgood",
            "reset",
            "last good rail",
            "last rail",
        ]],
    ),
    (
        "clock",
        &[
            &["crystal", "oscillator", "clock", "resonator"],
            &[
                "swing",
                "frequency",
                "scope",
                "probe",
                "measure",
                "check",
                "oscillate",
                "hz",
                "signal",
                "waveform",
                "running",
            ],
        ],
    ),
    (
        "firmware",
        &[
            &["flash", "memory", "eeprom", "chip"],
            &[
                "supply",
                "volts",
                "voltage",
                "chip-select",
                "chip select",
                "select",
                "activity",
                "cs",
                "image",
                "checksum",
                "read",
                "dump",
                "compare",
                "scope",
                "measure",
            ],
        ],
    ),
    ("processor", &[&["rail", "supply"], &["reset"], &["clock"]]),
    (
        "bus",
        &[
            &["line", "link", "bus", "data", "pair", "each"],
            &[
                "level",
                "idle",
                "activity",
                "volts",
                "voltage",
                "ohms",
                "ohm",
                "resistance",
                "scope",
                "measure",
                "meter",
            ],
        ],
    ),
    ("display", &[&["torch", "flashlight", "light across"]]),
    ("sensing", &[&["reference", "vref"], METER]),
    (
        "drive",
        &[
            &["switch", "transistor", "fet", "mosfet", "bridge", "output"],
            &[
                "diode",
                "drop",
                "ohms",
                "ohm",
                "resistance",
                "short",
                "measure",
            ],
        ],
    ),
    ("signal", &[&["supply", "rail"], METER]),
    (
        "interconnect",
        &[&[
            "continuity",
            "point to point",
            "end to end",
            "resistance",
            "ohms",
            "ohm",
            "beep",
        ]],
    ),
];

/// Returns the points of a circuit's first measurement; none where nobody said what it is.
pub fn points(family: &Family) -> Vec<KeyPoint> {
    let text = family.first_measurement.trim();
    if text.is_empty() {
        return Vec::new();
    }
    let ours = families::built_in().into_iter().find(|f| f.id == family.id);
    let as_built_in = ours.is_some_and(|f| f.first_measurement == family.first_measurement);
    let (must, may) = halves(text);
    let listed = FIRST.iter().find(|(id, _)| *id == family.id);
    let groups = match listed {
        Some((_, groups)) if as_built_in => groups
            .iter()
            .map(|group| group.iter().map(|w| (*w).to_owned()).collect())
            .collect(),
        _ => vec![own_words(&must)],
    };
    if groups.iter().any(Vec::is_empty) {
        return Vec::new();
    }
    let mut points = vec![KeyPoint {
        say: must,
        words: groups,
        needed: true,
    }];
    if let Some(may) = may {
        let words = own_words(&may);
        if !words.is_empty() {
            points.push(KeyPoint {
                say: may,
                words: vec![words],
                needed: false,
            });
        }
    }
    points
}

/// Tells whether a first measurement is of the levels of lines.
pub fn is_of_levels(say: &str) -> bool {
    own_words(say)
        .iter()
        .any(|word| word == "level" || word == "levels")
}

/// Returns the point of what is left where a line's level is known: it may be named.
pub fn line_to_ground() -> KeyPoint {
    let words = |list: &[&str]| list.iter().map(|w| (*w).to_owned()).collect();
    KeyPoint {
        say: "source off, ohms of that line to ground".to_owned(),
        words: vec![
            words(&["ohms", "ohm", "resistance"]),
            words(&["ground", "gnd"]),
        ],
        needed: false,
    }
}

/// Splits a sentence at its first "then": what comes first, and what comes after.
fn halves(text: &str) -> (String, Option<String>) {
    let text = text.trim_end_matches('.');
    let cut = ["; then", ", then"]
        .iter()
        .filter_map(|cut| text.find(cut).map(|at| (at, at + cut.len())))
        .min();
    match cut {
        Some((end, start)) => {
            let after = text[start..].trim_start_matches([',', ' ']);
            (text[..end].to_owned(), Some(format!("then {after}")))
        }
        None => (text.to_owned(), None),
    }
}

/// Returns the words of a sentence that say what is measured.
fn own_words(text: &str) -> Vec<String> {
    const SMALL: [&str; 12] = [
        "then", "with", "against", "good", "known", "each", "between", "same", "time", "first",
        "its", "while",
    ];
    let mut words: Vec<String> = mask::tokens(text)
        .map(|t| t.to_lowercase())
        .filter(|w| 3 <= w.chars().count() && !SMALL.contains(&w.as_str()))
        .filter(|w| !["the", "and", "for", "off", "source"].contains(&w.as_str()))
        .collect();
    let mut seen = std::collections::BTreeSet::new();
    words.retain(|w| seen.insert(w.clone()));
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::compare::points::judge_points;
    use crate::domain::judge::read::words::Synonyms;

    fn family(id: &str) -> Family {
        let all = families::built_in();
        all.into_iter().find(|f| f.id == id).expect("built in")
    }

    fn right(id: &str, typed: &str) -> bool {
        judge_points(typed, &points(&family(id)), None, &Synonyms::default()).right
    }

    #[test]
    fn every_circuit_has_a_first_measurement_and_its_own_sentence_names_it() {
        for family in families::built_in() {
            let points = points(&family);
            assert!(points[0].needed, "{}", family.id);
            assert!(
                right(&family.id, &family.first_measurement),
                "{}: {}",
                family.id,
                family.first_measurement
            );
        }
    }

    /// What a person at the bench would type; common practice, no source.
    #[test]
    fn a_measurement_in_a_persons_words_is_known_and_a_neighbours_is_not() {
        for (id, typed, is_right) in [
            ("inlet", "volts either side of the fuse", true),
            ("inlet", "check the core rail", false),
            ("standby", "always-on rail volts", true),
            ("standby", "swing at the crystal", false),
            ("bus", "idle level of each line", true),
            ("bus", "source off, ohms of that line to ground", true),
            ("bus", "volts at the fuse", false),
            ("clock", "scope the crystal", true),
            ("buck", "rail volts and ohms to ground", true),
            ("sequence", "first bad enable", true),
            ("sensing", "measure the reference", true),
            ("display", "torch across the glass", true),
            ("processor", "reset", false),
            ("core", "core rail ohms against a good board", true),
            ("interconnect", "continuity end to end", true),
            ("interconnect", "image of the flash", false),
        ] {
            assert_eq!(right(id, typed), is_right, "{id}: {typed}");
        }
    }

    #[test]
    fn a_shops_own_sentence_gives_its_own_words() {
        let mut own = Family::named("winch", "Winch motor");
        assert!(points(&own).is_empty());
        "Brush current at stall; then the field winding.".clone_into(&mut own.first_measurement);
        let points = points(&own);
        assert_eq!(points[0].say, "Brush current at stall");
        assert_eq!(points[1].say, "then the field winding");
        let judged = judge_points("brush current", &points, None, &Synonyms::default());
        assert!(judged.right);
    }
}
