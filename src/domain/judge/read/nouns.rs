//! Words that look like a doing and are a thing or a state: "it is short", "bridge rectifier".

use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// Tells whether the word at `i` is a state or a thing although it looks like a verb.
///
/// `guarded` says that the next token names something that protects or stores.
pub fn is_plain_noun(tokens: &[Token], i: usize, guarded: bool) -> bool {
    let text = tokens[i].text.as_str();
    let next = |words: &[&str]| tokens.get(i + 1).is_some_and(|t| t.is_any(words));
    let before = |words: &[&str]| i > 0 && tokens[i - 1].is_any(words);
    let next_part = tokens.get(i + 1).is_some_and(|t| t.kind == Kind::Part);
    match text {
        "short" | "shorts" => {
            before(&[
                "is", "are", "was", "a", "hard", "dead", "the", "partial", "with", "by", "no",
                "ground", "gnd", "reads", "for", "gone", "be", "find",
            ]) || !(next_part
                || next(&[
                    "out", "across", "the", "it", "them", "over", "fuse", "bulk", "around", "a",
                    "both",
                ])
                || guarded)
        }
        "shorted" => {
            let tool = tokens[i + 1..]
                .iter()
                .take(3)
                .any(|t| t.is_any(&["tweezers", "screwdriver", "pliers", "spanner", "blade"]));
            if tool {
                return false;
            }
            let opens = i == 0 || tokens[i - 1].is_joint() || before(&["i", "we", "just"]);
            !(next(&["out", "across"]) || opens && (next(&["the"]) || next_part))
        }
        "bridging"
            if before(&[
                "residue",
                "salt",
                "salts",
                "corrosion",
                "solder",
                "dirt",
                "flux",
                "whisker",
            ]) =>
        {
            true
        }
        "bridge" | "bridges" => {
            next(&[
                "rectifier",
                "driver",
                "fet",
                "diode",
                "circuit",
                "leg",
                "tied",
                "amplifier",
            ]) || before(&["h", "half", "full", "rectifier", "wheatstone"])
        }
        "link" | "links" => {
            !(next_part
                || next(&[
                    "out",
                    "across",
                    "over",
                    "the",
                    "it",
                    "fuse",
                    "around",
                    "in",
                    "instead",
                    "isolation",
                ]))
        }
        "wire" | "wires" => !next(&[
            "it", "across", "over", "around", "past", "round", "out", "in", "instead", "link",
        ]),
        "charge" => next(OF_CHARGING),
        "solder" => next(&[
            "joint", "joints", "bridge", "bridges", "ball", "balls", "wick",
        ]),
        "test" | "power" | "look" | "note" | "log" => before(&["to", "the", "a"]),
        "break" | "cut" | "open" => before(&["a", "the", "is", "thermal"]),
        "tie" | "ties" => before(&["cable", "zip", "a", "the"]),
        "shunt" | "shunts" => is_shunt_part(tokens, i, guarded),
        "jumps" | "jumped" => before(&["draw", "current", "voltage", "it", "rail", "amps"]),
        "discharged" => before(&["deeply", "deep", "over", "been", "is", "fully"]),
        "place" => before(&["in"]),
        "use" => before(&["no", "in", "of"]),
        _ => false,
    }
}

/// What follows "charge" where it is no doing.
const OF_CHARGING: &[&str] = &[
    "circuit",
    "path",
    "port",
    "current",
    "chip",
    "ic",
    "controller",
    "voltage",
    "rail",
    "node",
    "pump",
    "fet",
    "line",
    "management",
    "input",
    "is",
    "was",
    "cycle",
];

/// "the shunt", "shunt R90 replaced": the part, not a doing.
fn is_shunt_part(tokens: &[Token], i: usize, guarded: bool) -> bool {
    let before =
        i > 0 && tokens[i - 1].is_any(&["the", "a", "current", "output", "input", "sense"]);
    let next = tokens.get(i + 1);
    let part = next.is_some_and(|t| t.kind == Kind::Part);
    let told = part
        && tokens
            .get(i + 2)
            .is_some_and(|t| t.text.ends_with("ed") || t.is_any(&["new", "open", "is"]));
    let object = part
        || guarded
        || next.is_some_and(|t| t.is_any(&["the", "it", "out", "across", "over", "fuse"]));
    before || told || !object
}
