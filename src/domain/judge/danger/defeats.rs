//! Unsafe acts that make a protection not act, whatever verb is used: by what it is for, by what is
//! left away for good, by what is called needless.
//!
//! The table of hazards knows verb and thing. Here stands what a bench says round them: "so it never
//! trips", "a 5 A fuse would have held", "runs fine without D2", "no extractor needed". Rules and word
//! lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// What protections do, as a person complains of it.
const ACTING: &[&str] = &[
    "trip", "alarm", "cut", "nag", "complain", "beep", "latch", "stop", "reset",
];
/// Acts that make something not act; mending is none of them.
const MAKING: &[&str] = &[
    "bridge",
    "jumper",
    "bypass",
    "short",
    "ground",
    "tie",
    "cut",
    "tape",
    "disconnect",
    "unplug",
    "lift",
    "remove",
    "pull",
    "hold",
    "block",
    "jam",
    "wedge",
    "fix",
    "fixed",
    "strap",
    "link",
    "fool",
    "cheat",
    "override",
    "disable",
    "defeat",
    "snip",
    "glue",
    "force",
    "turn",
    "raise",
    "desolder",
    "ignore",
    "paint",
    "cover",
    "earth",
];

/// Returns the stretch between two hard breaks that holds token `at`.
pub fn sentence(scene: &Scene<'_>, at: usize) -> Segment {
    let stop = |i: &usize| scene.tokens[*i].kind == Kind::Stop;
    Segment {
        from: (0..at).rev().find(stop).map_or(0, |i| i + 1),
        to: (at..scene.tokens.len())
            .find(stop)
            .unwrap_or(scene.tokens.len()),
        joint: Kind::Stop,
    }
}

fn is_form(scene: &Scene<'_>, at: usize, verbs: &[&str]) -> bool {
    let token = &scene.tokens[at];
    token.kind == Kind::Word && verbs.iter().any(|v| words::inflected(&token.text, v))
}

/// "… so it never trips", "so that the RCD does not trip": an act done in order that a protection stays still.
pub fn so_it_never_trips(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|so| {
        if !scene.tokens[so].is("so") {
            return false;
        }
        let s = sentence(scene, so);
        let acts = (so + 1..s.to.min(so + 7)).any(|i| {
            let off = scene.tokens[so + 1..i].iter().any(scope::is_negator)
                || (so + 1..i).any(|j| scene.tokens[j].is_any(&["cant", "cannot", "wont"]));
            off && is_form(scene, i, ACTING)
                && (!scene.tokens[i].is("cut")
                    || scene.tokens.get(i + 1).is_some_and(|t| t.is("out")))
        });
        acts && (s.from..so).any(|i| is_form(scene, i, MAKING) && !scene.off[i])
    })
}

/// What guards whoever works, and what proves that nothing is there.
const GUARDS: &[&str] = &[
    "extractor",
    "extraction",
    "ventilation",
    "fume",
    "glasses",
    "goggles",
    "visor",
    "isolation transformer",
    "isolation trafo",
    "isolating transformer",
    "screen",
    "current limit",
    "limiter",
    "fuse",
    "earth",
    "discharging",
    "discharge",
    "meter",
    "unplugging",
    "isolating",
];
const NEEDED: &[&str] = &["needed", "necessary", "required", "need"];

/// "no extractor needed", "you don't need glasses": what guards is called needless.
pub fn calls_a_guard_needless(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let tokens = &scene.tokens[s.from..s.to];
        let Some(guard) = (s.from..s.to).find(|i| stands(scene, *i, s.to, GUARDS)) else {
            return false;
        };
        let no = (s.from..s.to).find(|i| scope::is_negator(&scene.tokens[*i]));
        let needed = (s.from..s.to).find(|i| scene.tokens[*i].is_any(NEEDED));
        // "not safe, an extractor is needed": the denial belongs to something else.
        let about = no
            .is_some_and(|no| needed.is_some_and(|needed| no < needed && no.abs_diff(guard) <= 4));
        let new = tokens
            .iter()
            .any(|t| t.is_any(&["new", "replace", "fault"]));
        about && !new
    })
}

/// "work without extraction": someone works without what guards the lungs.
pub fn works_without_extraction(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let s = scene.segment(i);
        let guard = (i + 1..s.to.min(i + 3))
            .any(|j| scene.tokens[j].is_any(&["extraction", "extractor", "ventilation", "fume"]));
        let works = (s.from..i).any(|j| {
            is_form(
                scene,
                j,
                &["work", "solder", "go", "do", "carry", "continue", "reflow"],
            ) && !scene.off[j]
        });
        scene.tokens[i].is("without") && guard && works && !scene.condemned(i)
    })
}

/// Returns whether one of `phrases` stands at `at`, denied or not.
pub fn stands(scene: &Scene<'_>, at: usize, to: usize, phrases: &[&str]) -> bool {
    phrases.iter().any(|phrase| {
        let words: Vec<&str> = phrase.split(' ').collect();
        scene.tokens[at..to.min(at + words.len())]
            .iter()
            .map(|t| t.text.as_str())
            .eq(words)
    })
}

const FOR_GOOD: &[&str] = &[
    "for good",
    "for ever",
    "forever",
    "permanently",
    "runs without",
    "runs fine without",
    "run without",
    "run it without",
    "works without",
    "works fine without",
    "fine without",
    "does without",
    "drives fine",
    "runs fine",
    "send it out",
    "hand it out",
    "ship it",
    "nobody needs it",
];

/// Tells whether a protective part is taken away and the unit used so: "leave D2 out, it runs without".
pub fn leaves_a_clamp_out(scene: &Scene<'_>) -> bool {
    const AWAY: &[&str] = &[
        "leave", "remove", "snip", "cut", "take", "pull", "omit", "desolder", "lift", "delete",
    ];
    let all = scene.tokens.len();
    (0..all).any(|i| stands(scene, i, all, FOR_GOOD))
        && scene.segments.iter().any(|s| {
            let clamp = (s.from..s.to).any(|i| {
                !scene.off[i]
                    && (scene.thing_at(i, &things::CLAMP) || scene.thing_at(i, &things::GUARD))
            });
            clamp && (s.from..s.to).any(|i| is_form(scene, i, AWAY) && !scene.off[i])
        })
}

/// "without F1, straight through": current runs and no fuse stands in its way.
pub fn goes_past_the_fuse(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    (0..all).any(|i| {
        if !scene.tokens[i].is_any(&["without", "no"]) {
            return false;
        }
        let s = sentence(scene, i);
        let fuse = (i + 1..s.to.min(i + 4)).any(|j| scene.thing_at(j, &things::FUSE));
        let past = (s.from..s.to).any(|j| {
            scene.tokens[j].is_any(&[
                "straight",
                "direct",
                "directly",
                "linked",
                "through",
                "hardwired",
            ])
        });
        let denied = scene.tokens[s.from..i]
            .iter()
            .any(|t| t.is_any(&["never", "not", "dont"]));
        fuse && past && !denied
    })
}

/// Tells whether a protection or its signal is held still: a thing of [`things::STILLED`] and a doing.
pub fn stills_a_protection(scene: &Scene<'_>) -> bool {
    const STILLING: &[&str] = &[
        "ground",
        "cut",
        "tie",
        "hold",
        "wedge",
        "override",
        "defeat",
        "bypass",
        "bridge",
        "jumper",
        "disconnect",
        "unplug",
        "disable",
        "mute",
        "silence",
        "short",
        "strap",
        "fool",
        "ignore",
        "jam",
        "tape",
        "block",
        "snip",
        "force",
        "link",
        "glue",
        "bend",
        "magnet",
        "stuff",
    ];
    (0..scene.tokens.len()).any(|i| {
        let s = sentence(scene, i);
        let noun = scene.tokens[i].is_any(&["ground", "short", "cut", "link", "tie"])
            && i > s.from
            && !scene.tokens[i - 1].is_joint()
            && !scene.tokens[i - 1].is_any(&["just", "i", "id", "would", "we", "to", "on"])
            || scene.tokens[i].is("ground") && i > s.from && scene.tokens[i - 1].is("to")
            // "shorted thermostat, replace it": how it was found.
            || scene.tokens[i].text.ends_with("ed")
                && !scene.tokens.get(i + 1).is_some_and(|t| t.is("the"));
        let done = is_form(scene, i, STILLING) && !noun && scene.is_meant(i);
        let to = (i + 1..s.to)
            .find(|j| matches!(scene.tokens[*j].kind, Kind::Comma | Kind::And))
            .unwrap_or(s.to);
        let thing = |j: usize| {
            scene.thing_at(j, &things::STILLED) || scene.thing_at(j, &things::GUARD_CONTACTS)
        };
        done && (i + 1..to.min(i + 4)).any(thing)
            && !(i + 1..to).any(|j| {
                let tie = scene.tokens.get(j + 1).is_some_and(|t| t.is("tie"));
                scene.tokens[j].is("trace") || scene.tokens[j].is("cable") && !tie
            })
    })
}

/// Tells whether `thing` is named in a segment and not denied.
pub fn names(scene: &Scene<'_>, s: Segment, thing: &Thing) -> bool {
    (s.from..s.to).any(|i| !scene.off[i] && scene.thing_at(i, thing))
}
