//! Unsafe acts at the bench that need more than one clause of a row: first power, straps, wet solvent, bad cells.
//!
//! Rules and word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::hazards::verbs;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::situations;
use crate::domain::judge::danger::solvents;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

const STARTING: &[&str] = &[
    "power", "start", "switch", "turn", "plug", "energise", "energize", "run", "test", "boot",
];
const GUARDS_OF_EYES: &[&str] = &[
    "glasses",
    "goggles",
    "eye protection",
    "face shield",
    "visor",
    "current limit",
    "limit",
    "lamp",
    "a lamp",
    "the lamp",
    "a bulb",
    "series lamp",
    "lamp limiter",
];

/// Tells whether something is powered without what protects whoever stands before it.
pub fn powers_unguarded(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let segment = scene.segment(i);
        scene.tokens[i].is("without")
            && names_guard(scene, i + 1, segment.to.min(i + 5))
            && does(scene, segment.from, i, STARTING)
    })
}

const UNLIMITED: &[&str] = &[
    "no limit",
    "no current limit",
    "no limiter",
    "without limit",
    "without a limit",
    "without any limit",
    "without current limit",
    "without a current limit",
    "unlimited",
    "limit off",
    "limiter off",
    "limit wide open",
    "full current",
    "full amps",
    "limit at maximum",
    "limit at max",
    "limit to max",
    "limit full up",
    "limit all the way up",
    "limit right up",
    "limit fully up",
];
const TRYING: &[&str] = &[
    "power", "start", "switch", "turn", "plug", "energise", "energize", "run", "test", "boot",
    "try", "connect", "hook", "put", "feed", "apply", "give", "inject", "fire",
];

/// Tells whether something is powered with nothing to limit the current.
pub fn powers_unlimited(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    (0..all).any(|i| {
        let sentence = scene.tokens[..i]
            .iter()
            .rposition(|t| t.kind == Kind::Stop)
            .map_or(0, |at| at + 1);
        let source = (sentence..i).any(|j| {
            !scene.off[j]
                && scene.tokens[j].is_any(&[
                    "bus",
                    "battery",
                    "supply",
                    "voltage",
                    "precharge",
                    "current",
                ])
        });
        stands_at(scene, i, all, UNLIMITED) && (source || does(scene, sentence, i, TRYING))
    })
}

/// Tells whether a repaired power stage goes straight to its full source.
pub fn powers_straight(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let straight = scene.tokens[i].is_any(&["straight", "directly", "direct"])
            && scene
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.is_any(&["on", "onto", "to", "into", "at"]));
        let to = scene.segment(i).to.min(i + 5);
        let source = scene.within(i, to, &["bus", "battery", "full supply", "accumulator"]);
        let measured = (scene.segment(i).from..i).any(|j| {
            words::inflected(&scene.tokens[j].text, "measure") || scene.tokens[j].is("ohms")
        });
        straight && source && !measured && !scene.off[i] && !scene.condemned(i)
    })
}

/// "mains direct", "straight to the wall": a unit on the mains with nothing between.
pub fn goes_straight_to_mains(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let straight = scene.tokens[i].is_any(&["straight", "directly", "direct"]);
        let to = scene.segment(i).to.min(i + 4);
        let from = i.saturating_sub(1).max(scene.segment(i).from);
        let mains = (from..to).any(|j| scene.tokens[j].is_any(&["mains", "wall"]));
        straight
            && mains
            && !scene.off[i]
            && !scene.condemned(i)
            && !scene.says(situations::QUALIFIED)
    })
}

/// Tells whether a part of the mains side is powered that way.
pub fn powers_mains_unguarded(scene: &Scene<'_>) -> bool {
    powers_unguarded(scene) && scene.says(situations::MAINS)
}

const OPEN: &[&str] = &[
    "cover off",
    "covers off",
    "lid off",
    "case open",
    "without the cover",
    "without its cover",
    "without cover",
    "without the lid",
    "it open on",
    "open on the bench",
];

/// Tells whether the mains side is run with its cover off by someone who is not said to be qualified.
pub fn runs_mains_open(scene: &Scene<'_>) -> bool {
    let running = [STARTING, &["go", "carry", "continue", "proceed"]].concat();
    let all = scene.tokens.len();
    let mains = |i: usize| {
        stands_at(scene, i, all, situations::MAINS)
            || scene.tokens[i].kind == Kind::Part
                && scene.is_part(&scene.tokens[i].text, &things::MAINS_PART)
    };
    (0..all).any(mains)
        && !scene.says(situations::QUALIFIED)
        && scene.segments.iter().any(|s| {
            let opened = (s.from..s.to).find(|i| stands_at(scene, *i, s.to, OPEN));
            opened.is_some_and(|at| does(scene, s.from, at, &running))
        })
}

/// Tells whether a unit is opened and then powered that way.
///
/// Meant for units with a mains side; elsewhere an open unit is run every day.
pub fn runs_open(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    let opened = (0..all).find(|i| stands_at(scene, *i, all, OPEN) && !scene.off[*i]);
    let again = [
        "cover on",
        "cover back",
        "lid on",
        "lid back",
        "closed",
        "screen",
    ];
    let running = [
        "plug", "run", "energise", "energize", "switch", "power", "start",
    ];
    opened.is_some_and(|at| {
        does(scene, at, all, &running)
            && !(at..all).any(|i| stands_at(scene, i, all, &again))
            && !scene.says(situations::QUALIFIED)
    })
}

/// What stands after "without" counts as denied, so the words alone are compared.
fn stands_at(scene: &Scene<'_>, at: usize, to: usize, phrases: &[&str]) -> bool {
    phrases.iter().any(|phrase| {
        let words: Vec<&str> = phrase.split(' ').collect();
        scene.tokens[at..to.min(at + words.len())]
            .iter()
            .map(|t| t.text.as_str())
            .eq(words)
    })
}

fn names_guard(scene: &Scene<'_>, from: usize, to: usize) -> bool {
    (from..to).any(|i| stands_at(scene, i, to, GUARDS_OF_EYES))
}

fn does(scene: &Scene<'_>, from: usize, to: usize, verbs: &[&str]) -> bool {
    (from..to).any(|i| {
        !scene.off[i]
            && !scene.condemned(i)
            && verbs
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
    })
}

const STRAIGHT: &[&str] = &[
    "straight into the wall",
    "straight in the wall",
    "straight into the socket",
    "straight into the mains",
    "straight to the mains",
    "straight on the mains",
    "straight into mains",
    "directly into the wall",
    "directly into the mains",
    "directly to the mains",
    "direct to the mains",
];

/// Tells whether a repaired mains part goes straight to the wall.
pub fn plugs_repaired_in(scene: &Scene<'_>) -> bool {
    let about = [
        "repaired",
        "first power",
        "primary",
        "mains supply",
        "mains part",
    ];
    scene.says(STRAIGHT) && scene.says(&about)
}

/// Tells whether a wrist strap is worn while the mains side is live.
pub fn wears_strap_live(scene: &Scene<'_>) -> bool {
    let worn = scene.segments.iter().any(|s| {
        let Some(at) = strap_in(scene, *s).filter(|_| !leaves_strap_off(scene, *s)) else {
            return false;
        };
        let on = (at..s.to.min(at + 3)).any(|i| scene.tokens[i].is("on"));
        on || does(scene, s.from, at, &["wear", "keep", "put", "leave"])
            && !(at..s.to).any(|i| scene.tokens[i].is_any(&["off", "away", "aside"]))
    });
    worn && scene.says(situations::MAINS) && scene.says(&["live", "powered", "energised"])
}

/// Tells whether a segment says that no strap is worn.
pub fn leaves_strap_off(scene: &Scene<'_>, segment: Segment) -> bool {
    strap_in(scene, segment).is_some_and(|at| {
        let before = at.saturating_sub(3).max(segment.from);
        scene.off[at]
            || scene.tokens[before..at].iter().any(scope::is_negator)
            || (at..segment.to.min(at + 4)).any(|i| scene.tokens[i].is("off"))
    })
}

/// Returns where a segment names a wrist strap.
fn strap_in(scene: &Scene<'_>, segment: Segment) -> Option<usize> {
    (segment.from..segment.to)
        .find(|i| scene.tokens[*i].is_any(&["strap", "wristband", "wriststrap"]))
}

/// Tells whether a bad cell is put back.
pub fn puts_bad_cell_back(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let cell = (s.from..s.to).any(|i| scene.thing_at(i, &things::CELL));
        let back = (s.from..s.to).find(|i| scene.tokens[*i].is("back") && !scene.off[*i]);
        let put = back.is_some_and(|at| does(scene, s.from, at, &["put", "push", "fit", "slide"]));
        cell && put && scene.within(s.from, s.to, verbs::BAD_CELL)
    })
}

/// Tells whether someone solders while alcohol is still wet.
pub fn solders_in_alcohol(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let hot = ["solder", "resolder", "desolder", "reflow", "iron"];
        does(scene, s.from, s.to, &hot)
            && scene.within(s.from, s.to, solvents::ALCOHOL)
            && scene.within(s.from, s.to, &["wet", "dripping", "soaked", "damp"])
            && !(s.from..s.to).any(|i| scene.tokens[i].is_any(&["before", "after", "until"]))
    })
}
