//! What is said of making safe before a reading: "plug out, bulk cap bled and proved flat, then ohms".
//!
//! Such a clause names a place that nobody reads for the fault. It is left out where readings are looked for;
//! what would hurt somebody is looked for in the whole answer, elsewhere. Word lists: common practice, no source.

use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;

/// Words of making safe.
const SAFE: [&str; 18] = [
    "discharge",
    "discharged",
    "discharging",
    "bled",
    "bleed",
    "bleeding",
    "drained",
    "drain",
    "unplugged",
    "unplug",
    "disconnected",
    "isolated",
    "emptied",
    "proved",
    "proven",
    "verified",
    "safe",
    "waited",
];
/// Words of what such a clause says of it.
const STATE: [&str; 9] = [
    "flat",
    "dead",
    "empty",
    "discharged",
    "bled",
    "drained",
    "safe",
    "down",
    "out",
];

/// Returns the text without clauses that make safe.
pub fn left_out(typed: &str) -> String {
    let bits = stretches::bits(typed);
    let mut out = String::new();
    let mut from = 0;
    for clause in bits.split_inclusive(ends) {
        let to = clause.last().map_or(from, |bit| bit.at.end);
        if !makes_safe(clause) {
            out.push_str(&typed[from..to]);
        }
        from = to;
    }
    out.push_str(&typed[from..]);
    out
}

fn ends(bit: &Bit) -> bool {
    matches!(
        bit.text.as_str(),
        "." | "," | ";" | "-" | "(" | ")" | "then" | "and"
    )
}

fn makes_safe(clause: &[Bit]) -> bool {
    let has = |words: &[&str]| clause.iter().any(|bit| words.contains(&bit.text.as_str()));
    let reads = has(&["ohm", "resistance", "diode", "volts", "reads", "short"]);
    let off = clause.len() <= 6
        && has(&["off"])
        && has(&[
            "power", "source", "supply", "it", "set", "board", "unit", "switched", "turned",
        ]);
    !reads && off
        || !reads
            && has(&SAFE)
            && (has(&STATE)
                || has(&[
                    "bulk",
                    "cap",
                    "caps",
                    "capacitor",
                    "reservoir",
                    "can",
                    "plug",
                    "source",
                    "supply",
                ]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clause_that_makes_safe_is_no_reading() {
        for (text, left) in [
            ("bulk can bled, then ohms of 5V0", "then ohms of 5V0"),
            (
                "ohms of 5V0, bulk drained through a resistor",
                "ohms of 5V0,",
            ),
            ("BULK flat", "BULK flat"),
            ("with it off, ohms of 5V0", "ohms of 5V0"),
            ("drain of Q1 shorted", "drain of Q1 shorted"),
        ] {
            assert_eq!(left_out(text).trim(), left);
        }
    }
}
