//! Hands, tools and liquids on what has power: how a bench says that something is on, and what it does then.
//!
//! Measuring a powered low-voltage board is daily work and no hazard here. Rules and word lists: common
//! practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::defeats;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::situations;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

const WHILE: &[&str] = &["while", "whilst", "with", "as", "still", "keep", "leave"];
const ON: &[&str] = &[
    "on",
    "running",
    "runs",
    "plugged",
    "powered",
    "live",
    "transmitting",
    "energised",
    "energized",
    "charging",
    "spinning",
];
/// Volts from which a touch is dangerous: 60 V of direct current, IEC 61140 (from memory).
const TOUCH_VOLTS: f64 = 60.0;

/// Tells whether a stretch of text says that the power is on.
pub fn is_on(scene: &Scene<'_>, s: Segment) -> bool {
    (s.from..s.to).any(|i| {
        let token = &scene.tokens[i];
        let next = scene.tokens[..s.to].get(i + 1);
        let denied = scene.off[i];
        let plugged = token.is("plugged") && !next.is_some_and(|t| t.is("out"));
        let ends = next.is_none_or(|t| {
            t.is_joint()
                || t.is_any(&[
                    "it", "so", "because", "till", "until", "to", "for", "first", "now", "just",
                    "again", "is", "mains", "anyway",
                ])
        });
        let in_place = token.is("in")
            && i > s.from
            && scene.tokens[i - 1].is_any(&["plug", "mains", "cord"])
            && (i.saturating_sub(4).max(s.from)..i)
                .any(|j| scene.tokens[j].is_any(&["with", "while"]));
        let plugged = plugged || in_place;
        let state = token.is_any(ON) && (!token.is("on") || ends);
        let while_on = state
            && (i.saturating_sub(5).max(s.from)..i).any(|j| {
                scene.tokens[j].is_any(WHILE) && !scene.off[j]
                    // "with the glasses on": what people wear.
                    && !(j..i).any(|k| {
                        scene.tokens[k].is_any(&[
                            "glasses", "goggles", "gloves", "cover", "lid", "strap", "visor",
                            "screen", "fan", "extractor", "extraction", "window", "lamp", "limit", "limiter",
                        ])
                    })
            });
        let volts = (token.kind == Kind::Volts || token.kind == Kind::Number)
            && tokens::number(token).is_some_and(|v| TOUCH_VOLTS <= v)
            && next.is_some_and(|t| t.is("on"))
            && scene.tokens[..s.to].get(i + 2).is_some_and(|t| t.is("it"));
        (plugged || while_on || volts) && !denied
    })
}

/// What hands do that needs the power off, on any board.
const HANDS_IN: &[&str] = &[
    "solder", "resolder", "desolder", "reflow", "rework", "spray", "wash", "scrub", "poke", "prod",
    "stick", "jab", "squirt", "freeze", "put", "swap", "replace", "lift", "fit", "clean", "brush",
    "drench", "soak",
];

/// Tells whether hands or liquids go on something that has power.
pub fn handles_live(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|segment| {
        let s = defeats::sentence(scene, segment.from);
        let liquid_or_tool = (s.from..s.to).any(|i| {
            !scene.off[i]
                && scene.tokens[i].kind == Kind::Word
                && HANDS_IN
                    .iter()
                    .any(|v| words::inflected(&scene.tokens[i].text, v))
                && !scene.condemned(i)
        });
        liquid_or_tool && is_on(scene, *segment) && !scene.says(situations::QUALIFIED)
    })
}

/// Tells whether bare hands feel for something that carries dangerous volts or transmits.
pub fn feels_live(scene: &Scene<'_>) -> bool {
    let on = scene.segments.iter().any(|s| is_on(scene, *s));
    on && scene.segments.iter().any(|s| {
        let feels = (s.from..s.to).any(|i| {
            !scene.off[i]
                && ["feel", "touch", "finger", "thumb", "hand"]
                    .iter()
                    .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        let part = defeats::names(scene, *s, &things::HIGH_VOLTS)
            || scene.says(&["transmitting", "hv", "high voltage"]);
        feels && part
    })
}

/// Tells whether hands feel at a mains unit that runs: "feel if R6 is warm while it is on".
pub fn feels_running(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        is_on(scene, *s)
            && (s.from..s.to).any(|i| {
                !scene.off[i]
                    && !scene.condemned(i)
                    && ["feel", "touch", "finger", "thumb"]
                        .iter()
                        .any(|v| words::inflected(&scene.tokens[i].text, v))
            })
    })
}
