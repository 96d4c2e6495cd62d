//! What protects, and what is done to it that no row of classes can say: left out for good, fitted above
//! its rating, kept as another had defeated it. Common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::fuses;
use crate::domain::judge::danger::harm::classes;
use crate::domain::judge::danger::harm::classes::Class;
use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::danger::hazards::Danger;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::danger::hazards::dangers;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// Letters of designators that protect: fuses, varistors, suppressors, thermistors of both kinds.
const LETTERS: [&str; 11] = [
    "F", "XF", "RV", "MOV", "VDR", "TVS", "NTC", "PTC", "RT", "TH", "GDT",
];
/// Words of a part's name on the board that say that it protects, limits, tells or keeps apart.
const NAMED: [&str; 23] = [
    "fuse",
    "polyfuse",
    "varistor",
    "clamp",
    "surge",
    "tvs",
    "load-dump",
    "reverse-polarity",
    "flyback",
    "precharge",
    "pass",
    "thermistor",
    "ntc",
    "ptc",
    "sensor",
    "bleeder",
    "coupler",
    "isolator",
    "sense",
    "shunt",
    "start-up",
    "interlock",
    "cut-out",
];
const NAMED_NOT: [&str; 9] = [
    "rudder",
    "reference",
    "socket",
    "feedback",
    "amplifier",
    "ignition",
    "analogue",
    "connector",
    "holder",
];
/// Words for such parts, whatever the board calls them.
const WORDS: [&str; 33] = [
    "fuse",
    "fuses",
    "fuseholder",
    "polyfuse",
    "breaker",
    "varistor",
    "mov",
    "vdr",
    "tvs",
    "transil",
    "clamp",
    "suppressor",
    "arrester",
    "crowbar",
    "thermistor",
    "ntc",
    "ptc",
    "interlock",
    "interlocks",
    "thermostat",
    "cutout",
    "flyback",
    "bleeder",
    "optocoupler",
    "opto",
    "gdt",
    "earth",
    "bms",
    "rcd",
    "snubber",
    "precharge",
    "inrush",
    "polyswitch",
];
/// A plain word of a class, which means the part of the card that protects and has these letters.
const PLAIN: [(&str, &[&str]); 9] = [
    ("diode", &["D"]),
    ("fet", &["Q"]),
    ("mosfet", &["Q"]),
    ("transistor", &["Q"]),
    ("relay", &["K"]),
    ("array", &["D"]),
    ("shunt", &["R"]),
    ("resistor", &["R"]),
    ("coupler", &["U"]),
];

fn letters(designator: &str) -> String {
    designator
        .chars()
        .take_while(char::is_ascii_alphabetic)
        .collect()
}

/// Tells whether the part called `designator` protects.
pub fn part_protects(reading: &Reading<'_>, designator: &str) -> bool {
    if LETTERS.contains(&letters(designator).as_str()) {
        return true;
    }
    let part = reading.board.and_then(|b| {
        b.parts
            .iter()
            .find(|(name, _)| name.eq_ignore_ascii_case(designator))
    });
    part.is_some_and(|(_, part)| {
        let name = part.name.to_lowercase();
        let has = |list: &[&str]| {
            name.split(|c: char| !c.is_alphanumeric() && c != '-')
                .any(|w| list.contains(&w))
        };
        has(&NAMED) && !has(&NAMED_NOT)
    })
}

/// Tells whether something that protects is named at token `i`.
pub fn protects(reading: &Reading<'_>, i: usize) -> bool {
    const THINGS: [&Thing; 3] = [&things::GUARD, &things::HOLDS_BACK, &things::CURRENT_SENSE];
    let token = &reading.scene.tokens[i];
    if token.kind == Kind::Part {
        return part_protects(reading, &token.text);
    }
    let bits = reading
        .scene
        .tokens
        .get(i + 1)
        .is_some_and(|t| t.is_any(&["bits", "bit", "holder", "clip"]));
    let plain = PLAIN.iter().any(|(word, of)| {
        token.is(word)
            && needed(reading)
                .any(|part| of.contains(&letters(part).as_str()) && part_protects(reading, part))
    });
    plain
        || token.is_any(&WORDS) && !bits
        || THINGS.iter().any(|thing| reading.scene.thing_at(i, thing))
}

/// Returns the parts that the card's own fix names.
fn needed<'r>(reading: &'r Reading<'_>) -> impl Iterator<Item = &'r str> {
    let first = reading.card.answers.first();
    first
        .into_iter()
        .flat_map(|a| &a.steps)
        .map(|s| s.part.as_str())
}

/// Tells whether the answer names, or the card's own fix is about, something that protects.
pub fn concerned(reading: &Reading<'_>) -> bool {
    needed(reading).any(|part| part_protects(reading, part))
        || (0..reading.scene.tokens.len()).any(|i| protects(reading, i))
}

const AWAY: Class = Class::Doing(&[
    "nip",
    "nip off",
    "snip",
    "cut",
    "cut out",
    "cut off",
    "skip",
    "leave out",
    "leave off",
    "omit",
    "remove",
    "take out",
    "take off",
    "pull",
    "desolder",
    "unsolder",
    "lift",
    "rip",
    "clip off",
    "clip out",
    "delete",
    "lose",
    "drop",
    "knock off",
    "ditch",
    "bin",
    "forget",
    "break off",
    "never goes back",
    "comes off",
    "do without",
    "crop",
]);
const OUT: Class = Class::Words(&[
    "comes off",
    "can go",
    "in the bin",
    "goes in the bin",
    "stays out",
    "may stay out",
    "not replaced",
    "out",
    "off",
    "away",
    "gone",
    "unfitted",
    "not fitted",
    "dnf",
    "removed",
]);
const FOR_GOOD: Class = Class::Words(&[
    "without",
    "no new one",
    "no new",
    "nothing in",
    "nothing there",
    "nothing back",
    "leave it",
    "leave it out",
    "leave it off",
    "left out",
    "stays out",
    "stays off",
    "stay out",
    "stay off",
    "done",
    "close the lid",
    "not needed",
    "no need",
    "nobody needs",
    "runs",
    "works",
    "happy",
    "anymore",
    "any more",
    "skip",
    "nip",
    "for lorries",
    "only for",
    "only matters",
    "only eats",
    "anyway",
    "not on stock",
    "not in stock",
    "out of stock",
    "until the",
    "till the",
    "later",
    "next time",
    "for good",
    "for ever",
    "never missed",
    "go on",
    "is optional",
    "optional",
    "while there",
    "ship",
    "give it back",
    "not refit",
    "drops volts",
    "only makes",
    "omit",
    "leave off",
    "leave out",
    "and forget",
    "in the bin",
    "just",
    "ditch",
    "for now",
    "for today",
    "can go",
    "useless",
    "only there",
]);
const NEW: Class = Class::Words(&[
    "new",
    "replace",
    "replaced",
    "replacing",
    "renew",
    "renewed",
    "swap",
    "swapped",
    "change",
    "changed",
    "fit",
    "fitted",
    "refit",
    "again",
    "another",
    "fresh",
    "same",
    "back in",
    "proper",
    "right one",
]);
const GOES_WITHOUT: Class = Class::Words(&[
    "go without",
    "goes without",
    "going without",
    "run without",
    "runs without",
    "run it without",
    "works without",
    "work without",
    "fine without",
    "happy without",
    "does without",
    "do without",
    "did without",
    "ok without",
    "okay without",
    "better without",
    "quicker without",
    "lives without",
    "good without",
    "without it",
    "no new one",
    "nothing in",
    "leave it empty",
    "leave it unfitted",
    "leave the place empty",
]);

/// Finds what is done to something that protects.
pub fn harmed(reading: &Reading<'_>) -> Option<Danger> {
    if left_out(reading) {
        Some(dangers::RUN_WITHOUT)
    } else if above_rating(reading) {
        Some(dangers::FUSE_TOO_BIG)
    } else {
        kept_as_found(reading).then_some(dangers::GUARD_DEFEATED)
    }
}

/// Returns the parts and words that protect and are taken away, and not fitted again.
fn taken_away(reading: &Reading<'_>) -> Vec<usize> {
    let all = reading.scene.tokens.len();
    // "D1 sits there for lorries, I nip it off": the part named last.
    let by_pronoun = |i: usize| {
        let next = (i + 1..all)
            .find(|j| reading.scene.tokens[*j].kind == Kind::Part || protects(reading, *j));
        (i + 1..next.unwrap_or(all)).any(|j| {
            let it = (j + 1..all.min(j + 3))
                .any(|k| reading.scene.tokens[k].is_any(&["it", "them", "that"]));
            it && reading.is_at(j, &AWAY)
        })
    };
    (0..all)
        .filter(|i| protects(reading, *i) && reading.meant(*i))
        .filter(|i| {
            if by_pronoun(*i) {
                return true;
            }
            let s = reading.scene.segment(*i);
            let by = (i.saturating_sub(4).max(s.from)..*i).any(|j| reading.is_at(j, &AWAY));
            let out = (i + 1..s.to.min(i + 3)).any(|j| reading.is_at(j, &OUT));
            let lacks = (i.saturating_sub(2).max(s.from)..*i)
                .any(|j| reading.scene.tokens[j].is("without"));
            by || out || lacks
        })
        .filter(|i| !fitted_again(reading, *i))
        .collect()
}

/// Tells whether what is taken away at `at` is fitted again, or another in its place.
fn fitted_again(reading: &Reading<'_>, at: usize) -> bool {
    let tokens = &reading.scene.tokens;
    let own = &tokens[at];
    reading.scene.segments.iter().any(|s| {
        let Some(new) = reading.find(&NEW, s.from, s.to) else {
            return false;
        };
        let names = (s.from..s.to)
            .any(|i| i != at && tokens[i].kind == own.kind && tokens[i].text == own.text);
        let other =
            (s.from..s.to).any(|i| tokens[i].kind == Kind::Part && tokens[i].text != own.text);
        let follows = at < new && (s.from..=at + 12).contains(&new);
        let own_segment = (s.from..s.to).contains(&at) && !other;
        names || (own_segment || follows) && !other
    })
}

/// "D1 out, without it nothing is short", "skip the diode": a protection is left out and that is meant to last.
fn left_out(reading: &Reading<'_>) -> bool {
    let whole = reading.whole();
    let away = taken_away(reading);
    let lasting = reading.says(&FOR_GOOD, whole);
    let without = (0..whole.to).any(|i| {
        let denied = (i.saturating_sub(4)..i).any(|j| {
            scope::is_negator(&reading.scene.tokens[j])
                || reading.scene.tokens[j].is_any(&["if", "or"])
        });
        reading.at(i, &GOES_WITHOUT).is_some() && !denied && !reading.is_told(i)
    });
    !away.is_empty() && lasting || without && concerned(reading)
}

/// Tells whether something is laid past what protects: "a hair grip over it", whatever it is.
pub fn is_passed(reading: &Reading<'_>) -> bool {
    const PAST_IT: Class = Class::Words(&[
        "across it",
        "over it",
        "round it",
        "around it",
        "past it",
        "in its place",
        "instead of it",
    ]);
    concerned(reading) && reading.says(&PAST_IT, reading.whole())
}

/// Tells whether a protective part is taken away at all and not fitted again.
pub fn is_taken_away(reading: &Reading<'_>) -> bool {
    !taken_away(reading).is_empty()
}

fn amps(reading: &Reading<'_>, i: usize) -> Option<f64> {
    let token = &reading.scene.tokens[i];
    let text = token.text.as_str();
    match token.kind {
        Kind::Number => text.parse().ok(),
        Kind::Value => text.strip_suffix('a')?.parse().ok(),
        _ => None,
    }
}

/// Returns the amps of the fuses that the card's fix or the answer names.
fn rated(reading: &Reading<'_>) -> Vec<f64> {
    let Some(board) = reading.board else {
        return Vec::new();
    };
    board
        .parts
        .values()
        .filter(|part| part.name.to_lowercase().contains("fuse"))
        .filter_map(|part| fuses::amps_in(&part.name))
        .collect()
}

/// "as 30 A blew it gets a 60 now": a number above every fuse of the board, given to a fuse.
fn above_rating(reading: &Reading<'_>) -> bool {
    const GIVEN: Class = Class::Doing(&[
        "get", "fit", "put", "use", "take", "go", "give", "make", "stick", "need", "try", "with",
        "in", "for",
    ]);
    let fuse = |i: usize| reading.scene.thing_at(i, &things::FUSE);
    let about = (0..reading.scene.tokens.len()).any(fuse);
    let most = rated(reading).into_iter().fold(0.0_f64, f64::max);
    about
        && most > 0.0
        && reading.sentences().into_iter().any(|s| {
            (s.from..s.to).any(|i| {
                let Some(given) = amps(reading, i).filter(|_| reading.meant(i)) else {
                    return false;
                };
                let said = reading.scene.tokens[i].kind == Kind::Value;
                let unit = reading.scene.tokens.get(i + 1).is_some_and(|t| {
                    t.is_any(&[
                        "minutes", "ma", "v", "hz", "deg", "degrees", "percent", "times", "ohm",
                        "watt", "w", "months", "years", "days", "mm",
                    ])
                });
                let compared = said
                    || (s.from..i).any(|j| {
                        reading.scene.tokens[j].kind == Kind::Value && amps(reading, j).is_some()
                    });
                let to = (i.saturating_sub(4).max(s.from)..i).any(|j| reading.is_at(j, &GIVEN));
                let blew = (i + 1..s.to.min(i + 4)).any(|j| {
                    reading.scene.tokens[j].is_any(&[
                        "blew", "blown", "popped", "was", "limit", "draw", "drawn", "load",
                    ])
                });
                given > most && compared && to && !unit && !blew && !limits(reading, s)
            })
        })
}

/// Tells whether amps are said beside a fuse that no fuse of the board has.
pub fn rates_a_fuse_anew(reading: &Reading<'_>) -> bool {
    let rated = rated(reading);
    let by_name = |i: usize| {
        let token = &reading.scene.tokens[i];
        let digits = token.text.strip_prefix('f').unwrap_or_default();
        token.kind == Kind::Part && !digits.is_empty() && digits.chars().all(|c| c.is_ascii_digit())
    };
    let fuse = (0..reading.scene.tokens.len())
        .any(|i| (reading.scene.thing_at(i, &things::FUSE) || by_name(i)) && reading.meant(i));
    let strange = |i: usize| {
        let said = fuses::amps_at(reading.scene, i);
        let bare = reading.scene.tokens[i].kind == Kind::Number
            && reading.scene.tokens.get(i + 1).is_none_or(Token::is_joint);
        let most = rated.iter().copied().fold(0.0_f64, f64::max);
        said.is_some_and(|amps| !rated.iter().any(|r| fuses::same_amps(*r, amps)))
            || bare && amps(reading, i).is_some_and(|n| most > 0.0 && n > most)
    };
    fuse && reading
        .sentences()
        .into_iter()
        .any(|s| !limits(reading, s) && (s.from..s.to).any(|i| reading.meant(i) && strange(i)))
}

fn limits(reading: &Reading<'_>, s: Segment) -> bool {
    reading.says(
        &Class::Words(&["limit", "limited", "supply", "psu", "draws", "drew", "load"]),
        s,
    )
}

/// "someone had bridged F1, leave it so": what another did is kept.
fn kept_as_found(reading: &Reading<'_>) -> bool {
    const KEEPING: Class = Class::Words(&[
        "leave it",
        "leave that",
        "keep it",
        "keep that",
        "leave it so",
        "leave it in",
        "keep it so",
        "leave as is",
        "left it",
        "i leave",
        "stays in",
        "can stay",
        "holds fine",
        "works fine",
        "let it be",
        "same again",
        "do the same",
        "i do too",
        "good idea",
        "copy that",
    ]);
    let all = reading.scene.tokens.len();
    let defeated = (0..all).any(|i| {
        reading.is_told(i)
            && (reading.at(i, &classes::CONDUCTING).is_some()
                || reading.at(i, &classes::JOINING).is_some())
    });
    let denied =
        |i: usize| (i.saturating_sub(3)..i).any(|j| scope::is_negator(&reading.scene.tokens[j]));
    defeated
        && concerned(reading)
        && (0..all)
            .any(|i| reading.at(i, &KEEPING).is_some() && !denied(i) && !reading.scene.off[i])
}
