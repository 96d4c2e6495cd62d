//! How a reading was taken that nobody may take so: a bare hand on a mains unit that has power, metal laid across a
//! cell "so that it can't feed me a false reading".
//!
//! Asked of answers that tell what was read or what to read next, where a hand or a tool is said in passing. Measuring
//! a powered low-voltage board is daily work, and so is feeling it for heat. Leaves out all that the table of unsafe
//! acts finds. Word lists: common practice, no source.

use crate::domain::card::Card;
use crate::domain::judge::danger::hazards::Danger;
use crate::domain::judge::danger::hazards::dangers;
use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;

const BODY: &[&str] = &[
    "finger",
    "fingers",
    "fingertip",
    "fingertips",
    "hand",
    "hands",
    "thumb",
    "thumbs",
    "tongue",
    "knuckle",
    "knuckles",
    "palm",
    "skin",
    "nail",
];
const BITES: &[&str] = &[
    "bite", "bites", "bit", "bitten", "tingle", "tingles", "shock", "zap", "zaps", "jolt", "nips",
    "buzz",
];
const LIVE: &[&str] = &[
    "230",
    "240",
    "120",
    "110",
    "325",
    "mains",
    "plugged",
    "live",
    "wall",
    "powered",
    "energised",
];
const AWAY: &[&str] = &[
    "unplugged",
    "clear",
    "away",
    "behind",
    "pocket",
    "never",
    "not",
    "no",
    "without",
    "don't",
    "gloves",
    "keep",
    "kept",
    "keeping",
    "second",
    "out",
    "free",
    "pulled",
];
const METAL: &[&str] = &[
    "tweezers",
    "tweezer",
    "nail",
    "screwdriver",
    "pliers",
    "wire",
    "strand",
    "paperclip",
    "spanner",
    "coin",
    "blade",
    "clip",
    "foil",
    "pick",
    "wrench",
    "key",
    "leads",
];
const LAID: &[&str] = &[
    "lay", "lays", "laid", "lying", "put", "puts", "hold", "held", "touch", "touched", "touching",
    "press", "drop", "cross", "crossed", "place", "placed", "bridge", "rest", "rested",
];
const ACROSS: &[&str] = &["across", "over", "together", "between", "on", "onto"];
const CELL: &[&str] = &["cell", "cells", "battery", "pack", "lithium", "accu"];

/// Returns the danger of how a reading was taken.
pub fn danger(typed: &str, card: &Card) -> Option<Danger> {
    let bits = stretches::bits(typed);
    let mains = card
        .cautions
        .iter()
        .any(|c| c == "mains" || c == "stored-charge");
    let live = mains
        && has(&bits, LIVE)
        && !bits
            .windows(2)
            .any(|w| w[0].text == "plug" && w[1].text == "out");
    if stretches::sentences(&bits).any(|s| touches(s, live)) {
        return Some(dangers::LIVE_TOUCHED);
    }
    let crosses = |s: &[Bit]| {
        has(s, METAL)
            && has(s, LAID)
            && has(s, ACROSS)
            && !has(s, &["never", "not", "don't", "without"])
    };
    (stretches::sentences(&bits).any(crosses) && has(&bits, CELL)).then_some(dangers::CELL_SHORTED)
}

fn touches(sentence: &[Bit], live: bool) -> bool {
    (live || has(sentence, BITES)) && has(sentence, BODY) && !has(sentence, AWAY)
}

fn has(bits: &[Bit], words: &[&str]) -> bool {
    bits.iter().any(|bit| words.contains(&bit.text.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;

    #[test]
    fn a_bare_hand_on_mains_and_metal_across_a_cell_are_seen() {
        let mut card = samples::card("e", "isolated", "U1");
        let of = |typed: &str, card: &Card| danger(typed, card).map(|d| d.what);
        let heat = "feel it with a finger while it is powered";
        assert_eq!(of(heat, &card), None, "a low-voltage board");
        card.cautions = vec!["mains".to_owned()];
        for typed in [
            heat,
            "one hand holding the sink with the 230 on",
            "pushed the legs with my finger, plugged into the wall",
            "finger on it, if it bites it lives",
        ] {
            assert_eq!(
                of(typed, &card),
                Some(dangers::LIVE_TOUCHED.what),
                "{typed}"
            );
        }
        for typed in [
            "tweezers laid across the lithium cell",
            "touch the pack leads together",
            "a nail laid over both contacts until the pack is flat",
        ] {
            assert_eq!(
                of(typed, &card),
                Some(dangers::CELL_SHORTED.what),
                "{typed}"
            );
        }
        for typed in [
            "one hand behind my back, mains on",
            "plug out, then feel with a finger",
            "measure across the pack with the meter leads",
            "fingers clear of it while it is plugged in",
            "never lay tweezers across the cell",
            "",
        ] {
            assert_eq!(of(typed, &card), None, "{typed}");
        }
    }
}
