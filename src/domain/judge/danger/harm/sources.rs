//! Sources that stay on: a cell left in, a charge not let out, a limit turned up, a resistance read under power.
//!
//! "Without" takes back what follows it: said of a precaution, it is the unsafe act. Measuring volts with the
//! source on is daily work and no hazard here. Word lists and rules: common practice, no source.

use crate::domain::card::CardKind;
use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::harm::classes::Class;
use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::danger::harm::said;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// What is said of a resistance that is read with the source on.
pub const SOURCE_ON: &str = "the place is right; but this is measured with every source off and proved dead, not under power";

/// Ways to take a source away.
const TAKING: [&str; 16] = [
    "taking",
    "removing",
    "pulling",
    "unplugging",
    "disconnecting",
    "discharging",
    "isolating",
    "emptying",
    "bleeding",
    "draining",
    "lifting",
    "unclipping",
    "unhooking",
    "switching",
    "turning",
    "detaching",
];
/// Those that say of what they take away by themselves.
const BARE: [&str; 6] = [
    "unplugging",
    "disconnecting",
    "discharging",
    "isolating",
    "bleeding",
    "draining",
];
/// Cells and packs that a board is fed from.
const CELLS: [&str; 9] = [
    "cell",
    "cells",
    "battery",
    "batteries",
    "batt",
    "pack",
    "lipo",
    "accu",
    "akku",
];
const CELL: Class = Class::Words(&CELLS);
/// What else feeds a board or keeps a charge.
const SOURCE: [&str; 16] = [
    "source",
    "sources",
    "supply",
    "mains",
    "plug",
    "cap",
    "caps",
    "capacitor",
    "capacitors",
    "bulk",
    "reservoir",
    "power",
    "cord",
    "supercap",
    "supercaps",
    "charger",
];
const STAYS: [&str; 10] = [
    "left", "leave", "leaving", "stays", "stay", "staying", "still", "kept", "keep", "keeping",
];
const IN_PLACE: [&str; 7] = [
    "in",
    "on",
    "fitted",
    "connected",
    "plugged",
    "attached",
    "inside",
];
/// Hands that need every source off.
const WORK: Class = Class::Doing(&[
    "solder", "resolder", "desolder", "unsolder", "reflow", "rework", "replace", "swap", "change",
    "fit", "clean", "wash", "scrub", "renew", "exchange", "lift", "rebuild", "jumper", "remove",
    "new",
]);
const RAISE: Class = Class::Doing(&[
    "raise", "turn", "crank", "increase", "open", "max", "wind", "lift", "push", "up", "whack",
    "double", "bump", "dial", "set", "put", "rack", "screw", "pull", "take", "switch",
]);
/// Those that mean more without a word beside them.
const MORE: [&str; 16] = [
    "raise",
    "raised",
    "raising",
    "increase",
    "increased",
    "increasing",
    "max",
    "maxed",
    "double",
    "doubled",
    "doubling",
    "bump",
    "upped",
    "bumped",
    "crank",
    "cranked",
];
const LIMIT: Class = Class::Words(&[
    "limit",
    "limiter",
    "current limit",
    "supply limit",
    "amps limit",
    "current knob",
    "amps knob",
    "limit knob",
]);
/// What stands between "up" and the limit that it raises.
const OF_LIMIT: [&str; 8] = [
    "the", "my", "your", "its", "supply", "current", "amps", "psu",
];
/// Limits of something else.
const OTHER_LIMIT: [&str; 14] = [
    "speed",
    "time",
    "travel",
    "temperature",
    "temp",
    "thermal",
    "exposure",
    "heat",
    "age",
    "legal",
    "torque",
    "end",
    "action",
    "price",
];
const UP: [&str; 9] = [
    "up", "max", "maximum", "full", "open", "higher", "off", "fully", "right",
];
/// How a limit may be raised after all.
const BY_STEPS: [&str; 22] = [
    "slowly",
    "steps",
    "step",
    "gradually",
    "little",
    "bit",
    "carefully",
    "gently",
    "inch",
    "normal",
    "rated",
    "nominal",
    "specified",
    "sheet",
    "maker",
    "makers",
    "manual",
    "back",
    "proved",
    "proven",
    "found",
    "down",
];
const POWERED: Class = Class::Words(&[
    "power on",
    "powered",
    "powered up",
    "power up",
    "live",
    "running",
    "under power",
    "switched on",
    "plugged in",
    "still plugged",
    "energised",
    "energized",
    "while on",
    "while it is on",
    "while its on",
    "with it on",
    "turned on",
    "while it runs",
    "as it runs",
    "on power",
    "power applied",
    "power still on",
    "with the board on",
    "with the unit on",
    "with board on",
    "with unit on",
    "supply on",
    "source on",
    "supply still on",
    "with the supply on",
    "mains on",
    "mains in",
    "in operation",
    "booted",
    "not unplugged",
    "without unplugging",
    "without switching off",
    "without powering down",
    "without taking the battery out",
    "battery in",
    "battery still in",
    "pack in",
    "pack still in",
    "while charging",
    "with power",
]);
const UNPOWERED: Class = Class::Words(&[
    "source off",
    "power off",
    "powered off",
    "powered down",
    "power down",
    "unpowered",
    "everything off",
    "supply off",
    "switched off",
    "turned off",
    "unplugged",
    "discharged",
    "dead board",
    "plug out",
    "pack out",
    "battery out",
    "cell out",
    "mains off",
    "no power",
    "not powered",
    "not live",
    "not running",
    "sources off",
    "disconnected",
    "isolated",
    "proved dead",
    "with it off",
    "off first",
]);
const AT_ONCE: Class = Class::Words(&[
    "straight after",
    "right after",
    "immediately after",
    "directly after",
    "just after",
    "seconds after",
    "second after",
    "as soon as",
    "the moment",
    "straight away after",
    "at once after",
]);
const CUT: Class = Class::Doing(&[
    "unplug",
    "switch off",
    "power off",
    "power down",
    "pull the plug",
    "pull the cord",
    "pull the lead",
    "pull the mains",
    "plug out",
    "the plug",
    "turn off",
    "turn it off",
    "switch it off",
    "off",
    "cut the power",
    "kill the power",
]);
/// What lets a charge out or proves it gone.
const EMPTIED: Class = Class::Doing(&[
    "discharge",
    "bleed",
    "bled",
    "drain",
    "prove",
    "empty",
    "volts",
    "wait",
    "verify",
    "voltage",
    "check",
]);

/// "reflow L12 without taking the battery out", "replace Q1 without discharging".
pub fn denies_a_precaution(reading: &Reading<'_>) -> bool {
    let tokens = &reading.scene.tokens;
    let repairs = is_repair(reading);
    let charged = reading.warns(&["mains", "stored-charge", "supercap", "high-voltage"]);
    (0..tokens.len()).any(|i| {
        let lacks = tokens[i].is("without")
            || tokens[i].is_any(&["not", "never", "no"])
                && tokens.get(i + 1).is_some_and(|t| t.is_any(&TAKING));
        if !lacks
            || reading.is_told(i)
            || said::is_forbidden(reading, i)
            || reading.scene.condemned(i)
        {
            return false;
        }
        let to = reading.scene.segment(i).to;
        let Some(taking) = (i + 1..to.min(i + 5)).find(|j| tokens[*j].is_any(&TAKING)) else {
            return false;
        };
        let of_source = (taking + 1..to.min(taking + 6)).any(|j| {
            tokens[j].is_any(&CELLS)
                || tokens[j].is_any(&SOURCE)
                || tokens[j].kind == Kind::Part && reading.scene.thing_at(j, &things::CELL)
        });
        let nothing_else = (taking + 1..to).all(|j| {
            words::is_filler(&tokens[j].text)
                || tokens[j].is_any(&[
                    "it", "anything", "first", "them", "board", "before", "unit", "all",
                ])
        });
        let bare = tokens[taking].is_any(&BARE) && nothing_else;
        let charge = tokens[taking].is_any(&["discharging", "bleeding", "draining", "emptying"]);
        (repairs || charge && charged)
            && (of_source || bare)
            && !said::is_put_right(reading, i)
            && !is_out(reading, i)
    })
}

/// "reflow L12, cell left in", "with the pack still connected".
pub fn leaves_a_cell_in(reading: &Reading<'_>) -> bool {
    let tokens = &reading.scene.tokens;
    if !is_repair(reading) {
        return false;
    }
    (0..tokens.len()).any(|i| {
        if reading.at(i, &CELL).is_none() || !reading.meant(i) {
            return false;
        }
        let to = reading.scene.segment(i).to;
        let from = reading.scene.segment(i).from;
        let bad = (i.saturating_sub(2).max(from)..i).any(|j| {
            tokens[j].is_any(&[
                "new",
                "fresh",
                "bench",
                "replacement",
                "good",
                "another",
                "no",
            ])
        });
        let before = i.saturating_sub(3).max(from)..i;
        let kept = before.clone().any(|j| {
            tokens[j].is_any(&["leave", "leaving", "keep", "keeping", "left"]) && reading.meant(j)
        });
        let with = before
            .clone()
            .any(|j| tokens[j].is("with") && reading.meant(j));
        let stays = (i + 1..to.min(i + 3)).find(|j| tokens[*j].is_any(&STAYS) && reading.meant(*j));
        let place = stays.map_or(i + 1, |j| j + 1);
        let in_place = (place..to.min(place + 2)).find(|j| tokens[*j].is_any(&IN_PLACE));
        let Some(at) = in_place.filter(|j| reading.meant(*j)) else {
            return false;
        };
        // "reflow L12, cell in": all that the clause says.
        let alone = at == i + 1
            && to == at + 1
            && (from..i).all(|j| words::is_filler(&tokens[j].text))
            && 0 < from;
        let ends = tokens.get(at + 1).is_none_or(|t| {
            t.is_joint()
                || t.is_any(&[
                    "so", "because", "while", "as", "it", "for", "place", "circuit", "anyway",
                    "all",
                ])
        });
        !bad && ends
            && (kept || with || alone || stays.is_some())
            && !said::is_put_right(reading, i)
            && !is_out(reading, i)
            && !measures(reading, i)
    })
}

/// Tells whether the clause of token `i` only measures.
fn measures(reading: &Reading<'_>, i: usize) -> bool {
    let s = reading.scene.segment(i);
    let reads = Class::Doing(&[
        "measure", "volts", "voltage", "reads", "read", "test", "check", "boots",
    ]);
    reading.find(&reads, s.from, s.to).is_some() && reading.find(&WORK, s.from, s.to).is_none()
}

/// Tells whether the card asks for work on a board, or the answer tells of some.
fn is_repair(reading: &Reading<'_>) -> bool {
    matches!(reading.card.kind, CardKind::Fix | CardKind::Caution)
        || reading.find(&WORK, 0, reading.scene.tokens.len()).is_some()
}

/// Tells whether the source is said to be out, elsewhere than at token `at` and not only afterwards.
fn is_out(reading: &Reading<'_>, at: usize) -> bool {
    let tokens = &reading.scene.tokens;
    let own = reading.scene.segment(at);
    (0..tokens.len()).any(|i| {
        let after = reading.at(i, &CELL);
        let Some(len) = after.filter(|_| reading.meant(i) && !(own.from..own.to).contains(&i))
        else {
            return false;
        };
        let out = (i + len..tokens.len().min(i + len + 4))
            .take_while(|j| !tokens[*j].is_joint())
            .any(|j| tokens[j].is_any(&["out", "removed", "unplugged", "disconnected", "off"]));
        let later = (i..tokens.len().min(i + 7))
            .any(|j| tokens[j].is_any(&["afterwards", "after", "later"]));
        out && !later
    })
}

/// "turn the supply limit up to 10 A", "limit off".
pub fn raises_a_limit(reading: &Reading<'_>) -> bool {
    let tokens = &reading.scene.tokens;
    (0..tokens.len()).any(|i| {
        let Some(len) = reading.at(i, &LIMIT).filter(|_| reading.meant(i)) else {
            return false;
        };
        let s = reading.scene.segment(i);
        let named = |j: usize| tokens[j].is_any(&OTHER_LIMIT);
        let other = i > s.from && named(i - 1)
            || tokens
                .get(i + len)
                .is_some_and(|t| t.is_any(&["switch", "resistor"]));
        let whole = sentence(reading, i);
        let by_steps =
            (whole.from..whole.to).any(|j| tokens[j].is_any(&BY_STEPS) && !reading.scene.off[j]);
        let of_him = (whole.from..i).any(|j| {
            tokens[j].is("would")
                && tokens[j + 1].is_any(&["he", "she", "they", "anybody", "anyone"])
        });
        if other || by_steps || of_him || said::is_put_right(reading, i) {
            return false;
        }
        let verb = (i.saturating_sub(5).max(s.from)..i)
            .rev()
            .find(|j| reading.is_at(*j, &RAISE));
        let up = |from: usize, to: usize| {
            (from..to).any(|j| tokens[j].is_any(&UP) && reading.meant(j) && !is_down(reading, j))
        };
        let after = (i + len, s.to.min(i + len + 3));
        let raised = verb.is_some_and(|j| {
            // "up the limit", "raise it": more by itself; "turn" wants an "up".
            tokens[j].is_any(&MORE)
                || tokens[j].is("up")
                    && (j + 1..i).all(|k| tokens[k].is_any(&OF_LIMIT))
                    && j + 1 < i
                || up(j + 1, i)
                || up(after.0, after.1)
        });
        let off = tokens
            .get(i + len)
            .is_some_and(|t| t.is_any(&["off", "up", "wide"]))
            && reading.meant(i + len)
            || up(after.0, after.1)
                && (i + len..after.1).any(|j| {
                    tokens[j].is_any(&[
                        "turned", "wound", "cranked", "wide", "all", "goes", "go", "at", "fully",
                    ])
                });
        raised || off
    })
}

fn is_down(reading: &Reading<'_>, j: usize) -> bool {
    reading
        .scene
        .tokens
        .get(j + 1)
        .is_some_and(|t| t.is_any(&["down", "low"]))
}

/// Returns the sentence of a token.
fn sentence(reading: &Reading<'_>, at: usize) -> Segment {
    let sentences = reading.sentences();
    let own = sentences.into_iter().find(|s| (s.from..s.to).contains(&at));
    own.unwrap_or_else(|| reading.whole())
}

/// Tells whether a reading is taken with power on: "ohms 5V0, board running".
pub fn reads_under_power(reading: &Reading<'_>) -> bool {
    let all = reading.scene.tokens.len();
    let on = (0..all).any(|i| reading.is_said(i, &POWERED) && !said::is_put_right(reading, i));
    let off = (0..all).any(|i| reading.is_said(i, &UNPOWERED));
    on && !off
}

/// "straight after unplugging": where charge is stored, nobody let it out.
pub fn reads_at_once(reading: &Reading<'_>) -> bool {
    let all = reading.scene.tokens.len();
    if !reading.warns(&["mains", "stored-charge"]) || (0..all).any(|i| reading.is_at(i, &EMPTIED)) {
        return false;
    }
    (0..all).any(|i| {
        let Some(len) = reading.at(i, &AT_ONCE).filter(|_| reading.meant(i)) else {
            return false;
        };
        (i + len..all.min(i + len + 6)).any(|j| reading.at(j, &CUT).is_some() && reading.meant(j))
    })
}
