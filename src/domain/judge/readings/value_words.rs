//! In which words people say what a reading showed: a dropped rail, a pulsing draw, a short.
//!
//! One row a kind and band; a band without a row is known by its own words alone. No word stands in
//! two bands of one kind, so that "low" is never taken for "absent". Numbers are left to the readers
//! of numbers. Common practice, no source.

use crate::domain::job::FindingKind;
use crate::domain::wording;

/// Returns the words for a band of a kind of reading, its own word first.
pub fn of(kind: FindingKind, band: &str) -> Vec<String> {
    // A phrase with a comma in it would never stand in one clause.
    let phrase = Some(wording::phrase(band)).filter(|p| !p.contains(','));
    let mut words: Vec<String> = phrase.into_iter().collect();
    let plain = band.replace('-', " ");
    if !words.contains(&plain) {
        words.push(plain);
    }
    // Ohms that a board's readings part further are still what a person calls low.
    let known_as = match (kind, band.split_once(' ')) {
        (FindingKind::Resistance, Some(("low", _))) => "low",
        _ => band,
    };
    for word in known(kind, known_as) {
        if !words.iter().any(|w| w == word) {
            words.push((*word).to_owned());
        }
    }
    words
}

fn known(kind: FindingKind, band: &str) -> &'static [&'static str] {
    match kind {
        FindingKind::Current => draw(band),
        FindingKind::Rail => rail(band),
        FindingKind::Resistance => ohms(band),
        FindingKind::Diode => diode(band),
        FindingKind::Signal => signal(band),
        FindingKind::Heat => heat(band),
        FindingKind::Visual => look(band),
        FindingKind::Other => &[],
    }
}

fn draw(band: &str) -> &'static [&'static str] {
    match band {
        "zero" => &[
            "none",
            "no draw",
            "no current",
            "nothing",
            "dead",
            "0 mA",
            "0 A",
            "nil",
        ],
        "stuck" => &[
            "steady",
            "constant",
            "sits",
            "fixed",
            "flat",
            "does not climb",
            "does not rise",
            "stays",
        ],
        "cycling" => &[
            "cycles",
            "pulsing",
            "pulses",
            "hiccup",
            "hiccups",
            "hiccuping",
            "up and down",
            "bouncing",
            "jumps",
            "jumping",
            "swings",
            "swinging",
            "retries",
            "retrying",
            "oscillates",
            "on and off",
            "between two levels",
            "restarting",
            "repeats",
            "ticks",
        ],
        "stepped-stop" => &[
            "steps",
            "stepped",
            "climbs then stops",
            "climbs and stops",
            "rises then stops",
            "stops part way",
            "stops halfway",
            "staircase",
        ],
        "high" => &["too much", "excessive", "over", "raised", "up"],
        "limit" => &[
            "current limit",
            "limits",
            "at the limit",
            "short",
            "shorted",
            "maximum",
            "supply folds",
            "trips the supply",
        ],
        "normal" => &["as usual", "good", "fine", "ok", "as expected"],
        "normal-no-function" => &["normal", "as usual", "good", "fine", "ok", "as expected"],
        _ => &[],
    }
}

fn rail(band: &str) -> &'static [&'static str] {
    match band {
        "absent" => &[
            "missing",
            "dead",
            "gone",
            "none",
            "nothing",
            "no volts",
            "no voltage",
            "0 V",
            "zero",
            "zero volts",
            "not there",
            "not present",
            "not up",
            "off",
            "no output",
            "never comes up",
            "does not come up",
            "flat",
        ],
        "low" => &[
            "dropped",
            "drops",
            "under",
            "sagging",
            "sags",
            "down",
            "pulled down",
            "too low",
            "short of",
            "weak",
            "droops",
            "drooping",
            "lower",
            "collapsed",
        ],
        "in-band" => &[
            "normal",
            "good",
            "fine",
            "ok",
            "okay",
            "present",
            "there",
            "right",
            "correct",
            "in spec",
            "as it should be",
            "up",
            "healthy",
            "as on a good board",
        ],
        "high" => &["too high", "over", "overvoltage", "above", "runaway"],
        "pulsing" => &[
            "pulses",
            "cycles",
            "cycling",
            "hiccup",
            "hiccups",
            "hiccuping",
            "up and down",
            "bouncing",
            "comes and goes",
            "on and off",
        ],
        "noisy" => &["noise", "ripple", "ripples", "hash", "dirty", "spikes"],
        _ => &[],
    }
}

fn ohms(band: &str) -> &'static [&'static str] {
    match band {
        "hard-short" => &[
            "short",
            "shorted",
            "dead short",
            "short to ground",
            "0 ohm",
            "zero ohms",
            "under an ohm",
            "less than an ohm",
            "below an ohm",
            "hard shorted",
        ],
        "low" => &[
            "low ohms",
            "few ohms",
            "leaky",
            "leakage",
            "loaded",
            "partial short",
            "soft short",
            "too low",
            "lower",
            "under",
            "down",
            "pulled down",
        ],
        "as-reference" => &[
            "normal",
            "good",
            "fine",
            "ok",
            "okay",
            "as it should be",
            "right",
            "correct",
            "no short",
            "not shorted",
            "as reference",
            "in spec",
        ],
        "high" => &["too high", "higher", "raised", "up"],
        "open" => &[
            "OL",
            "over range",
            "open circuit",
            "no continuity",
            "infinite",
            "broken",
        ],
        _ => &[],
    }
}

fn diode(band: &str) -> &'static [&'static str] {
    match band {
        "short" => &[
            "shorted",
            "short to ground",
            "0 V",
            "zero",
            "dead short",
            "no drop",
        ],
        "low" => &["too low", "leaky", "lower", "under", "down", "loaded"],
        "as-reference" => &[
            "normal",
            "good",
            "fine",
            "ok",
            "okay",
            "as it should be",
            "right",
            "correct",
            "as reference",
            "no short",
            "not shorted",
        ],
        "high" => &["too high", "higher", "raised", "up"],
        "OL" => &[
            "open",
            "over range",
            "open circuit",
            "no drop at all",
            "infinite",
            "broken",
        ],
        _ => &[],
    }
}

fn signal(band: &str) -> &'static [&'static str] {
    match band {
        "missing" => &[
            "absent",
            "dead",
            "gone",
            "none",
            "nothing",
            "no activity",
            "no clock",
            "no signal",
            "not there",
            "not present",
            "not running",
            "silent",
            "flat",
            "no pulses",
        ],
        "stuck-high" => &[
            "held high",
            "high",
            "never falls",
            "always high",
            "pulled high",
            "stays high",
        ],
        "stuck-low" => &[
            "held low",
            "low",
            "never rises",
            "never goes high",
            "always low",
            "pulled low",
            "stays low",
            "held down",
        ],
        "mid-level" => &[
            "mid level",
            "half level",
            "halfway",
            "in between",
            "half way",
            "middle",
            "half",
        ],
        "wrong-frequency" => &[
            "off frequency",
            "wrong",
            "too slow",
            "too fast",
            "slow",
            "fast",
            "off",
            "frequency off",
            "frequency low",
            "frequency high",
            "detuned",
            "drifted",
        ],
        "present" => &[
            "good", "normal", "fine", "ok", "okay", "there", "running", "right", "correct",
            "active", "toggling", "healthy",
        ],
        _ => &[],
    }
}

fn heat(band: &str) -> &'static [&'static str] {
    match band {
        "cool" => &["cold", "not warm", "not hot", "no heat"],
        "warm" => &["warmer", "lukewarm"],
        "hot" => &["heats", "heating", "gets hot", "heats up"],
        "very hot" => &[
            "burning",
            "scorching",
            "too hot to touch",
            "hot",
            "heats",
            "heating",
        ],
        _ => &[],
    }
}

fn look(band: &str) -> &'static [&'static str] {
    match band {
        "residue" => &[
            "white",
            "green",
            "crust",
            "salt",
            "corrosion",
            "corroded",
            "deposit",
            "deposits",
            "traces",
            "stains",
            "verdigris",
            "liquid",
        ],
        "sticky-film" => &["sticky", "film", "gummy", "sugar"],
        "dull-joint" => &["dull", "grainy joint", "cold joint", "grey joint"],
        "cracked-joint" => &[
            "crack in the joint",
            "ring crack",
            "broken joint",
            "ring around the pin",
            "fractured joint",
            "joint cracked",
            "joint broken",
            "cracked solder",
            "solder cracked",
        ],
        "burnt" => &[
            "burned",
            "charred",
            "scorched",
            "burn mark",
            "black",
            "brown",
            "blown",
        ],
        "cracked-part" => &["cracked", "crack", "broken part", "chipped", "split"],
        "bulged" => &["bulging", "swollen", "domed", "bloated", "leaking"],
        "lifted" => &["lifted pad", "pad off", "off its pad", "peeled"],
        "missing" => &["part gone", "knocked off", "not fitted", "torn off"],
        "solder-bridge" => &["bridge", "bridged", "solder blob"],
        "earlier-work" => &[
            "flux",
            "someone has been here",
            "reworked",
            "earlier repair",
            "rework",
        ],
        "coating-damage" => &["coating off", "coating lifted", "blistered coating"],
        "none-seen" => &[
            "nothing",
            "clean",
            "no signs",
            "nothing to see",
            "looks fine",
        ],
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::DIODE_VERDICTS;
    use crate::domain::job::DRAWS;
    use crate::domain::job::RAIL_VERDICTS;
    use crate::domain::job::RESISTANCE_VERDICTS;
    use crate::domain::job::SIGNAL_VERDICTS;
    use crate::domain::job::SIGNS;
    use std::collections::BTreeMap;

    #[test]
    fn every_verdict_has_words_and_no_word_means_two_of_them() {
        for (kind, bands) in [
            (FindingKind::Current, &DRAWS[..]),
            (FindingKind::Rail, &RAIL_VERDICTS),
            (FindingKind::Resistance, &RESISTANCE_VERDICTS),
            (FindingKind::Diode, &DIODE_VERDICTS),
            (FindingKind::Signal, &SIGNAL_VERDICTS),
            (FindingKind::Visual, &SIGNS),
        ] {
            let mut seen: BTreeMap<String, &str> = BTreeMap::new();
            for band in bands.iter().filter(|b| **b != "not-measured") {
                let words = of(kind, band);
                assert!(1 < words.len(), "{kind:?} {band}");
                for word in words {
                    // Normal draw with and without function are told apart by what is asked.
                    let other = seen.insert(word.clone(), band);
                    let normal = other.is_some_and(|o| o.starts_with("normal"));
                    assert!(
                        other.is_none() || normal && band.starts_with("normal"),
                        "{kind:?} {word}: {other:?} and {band}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_band_without_a_row_is_known_by_its_own_words() {
        assert_eq!(of(FindingKind::Rail, "2 to 4 V"), ["2 to 4 V"]);
        assert_eq!(of(FindingKind::Other, "dims"), ["dims"]);
    }
}
