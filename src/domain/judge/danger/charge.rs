//! Unsafe acts on what stores energy: a tool across a capacitor, a cell fed past its charger, opened or
//! levered, and a solvent near something hot.
//!
//! Rules and word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::defeats;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::solvents;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// Tools that people short things with.
const TOOLS: &[&str] = &[
    "screwdriver",
    "spanner",
    "wrench",
    "tweezers",
    "tweezer",
    "pliers",
    "plier",
    "nail",
    "knife",
    "blade",
    "scissors",
    "scalpel",
    "coin",
    "paperclip",
    "bolt",
    "bar",
    "rod",
    "fork",
    "ruler",
    "chain",
];
const EMPTYING: &[&str] = &[
    "short",
    "spark",
    "discharge",
    "empty",
    "dump",
    "drain",
    "bleed",
    "zap",
    "bridge",
    "bang",
    "crack",
];

fn is_form(scene: &Scene<'_>, at: usize, verbs: &[&str]) -> bool {
    let token = &scene.tokens[at];
    token.kind == Kind::Word && verbs.iter().any(|v| words::inflected(&token.text, v))
}

/// "short C5 with a spanner", "pliers across it to empty": a tool takes the charge out.
pub fn tool_on_charge(scene: &Scene<'_>) -> bool {
    let capacitor = (0..scene.tokens.len()).any(|i| {
        scene.thing_at(i, &things::CAPACITOR)
            || scene.thing_at(i, &things::BULK)
            || scene.thing_at(i, &things::HIGH_VOLTS)
    });
    capacitor
        && (0..scene.tokens.len()).any(|tool| {
            if !scene.tokens[tool].is_any(TOOLS) || scene.off[tool] {
                return false;
            }
            let s = defeats::sentence(scene, tool);
            let safe = scene.tokens[s.from..s.to]
                .iter()
                .any(|t| t.is_any(&["resistor", "instead"]));
            let with = (s.from..tool).rev().find(|i| {
                scene.tokens[*i].is_any(&["with", "by", "using", "between", "through", "via"])
            });
            let emptied = with.is_some_and(|with| {
                let verb = (s.from..with).rev().find(|i| is_form(scene, *i, EMPTYING));
                verb.is_some_and(|v| {
                    let noun = v > s.from
                        && scene.tokens[v - 1].is_any(&["is", "dead", "hard", "a", "the", "for"]);
                    let apart = (v..with).any(|i| scene.tokens[i].kind == Kind::Comma);
                    !(scene.off[v] || apart || noun)
                })
            });
            // "with the screwdriver discharge it": the verb may come after.
            let emptied =
                emptied || with.is_some() && tool + 1 < s.to && is_form(scene, tool + 1, EMPTYING);
            let over = (tool + 1..s.to.min(tool + 3))
                .find(|i| scene.tokens[*i].is_any(&["across", "over"]));
            let bare = over.is_some_and(|over| {
                (over + 1..s.to.min(over + 5)).any(|i| {
                    scene.thing_at(i, &things::CAPACITOR) || scene.thing_at(i, &things::BULK)
                })
            });
            let across = (tool + 1..s.to.min(tool + 4))
                .any(|i| scene.tokens[i].is_any(&["across", "over", "on", "onto"]));
            let on_it = across
                && (tool + 1..s.to.min(tool + 6)).any(|i| scene.tokens[i].is_any(&["it", "them"]))
                && (s.from..tool).any(|i| scene.thing_at(i, &things::CAPACITOR));
            let bare = bare || on_it;
            let purpose = (s.from..s.to).any(|i| is_form(scene, i, EMPTYING) && !scene.off[i]);
            !safe && !scene.condemned(tool) && (emptied || bare || across && purpose)
        })
}

/// "let the cap go bang with a wire", "touch plus and minus of C5 together with pliers": a charge let go
/// through metal, whatever verb.
pub fn lets_it_bang(scene: &Scene<'_>) -> bool {
    const METAL: &[&str] = &[
        "screwdriver",
        "spanner",
        "wrench",
        "tweezers",
        "pliers",
        "plier",
        "nail",
        "knife",
        "blade",
        "coin",
        "paperclip",
        "wire",
        "cable",
        "lead",
        "clip",
        "link",
        "jumper",
        "metal",
        "iron",
        "scissors",
    ];
    const LETTING: &[&str] = &[
        "go",
        "bang",
        "pop",
        "flash",
        "arc",
        "spark",
        "crack",
        "snap",
        "zap",
        "dump",
        "empty",
        "discharge",
        "short",
        "drain",
        "off",
    ];
    scene.segments.iter().any(|segment| {
        let s = defeats::sentence(scene, segment.from);
        let cap = (s.from..s.to).find(|i| {
            !scene.off[*i]
                && (scene.thing_at(*i, &things::CAPACITOR) || scene.thing_at(*i, &things::BULK))
        });
        let Some(cap) = cap else { return false };
        let with = (cap + 1..s.to).find(|i| {
            scene.tokens[*i].is_any(&["with", "by", "using", "through", "via", "over"])
                && (i + 1..s.to.min(i + 5)).any(|j| scene.tokens[j].is_any(METAL) && !scene.off[j])
        });
        let safe = scene.tokens[s.from..s.to].iter().any(|t| {
            t.is_any(&[
                "resistor", "tool", "lamp", "bulb", "meter", "prove", "solder", "iron", "rated",
            ])
        });
        with.is_some_and(|with| {
            let opens = (s.from..cap)
                .any(|i| is_form(scene, i, &["let", "make", "touch"]) && !scene.off[i]);
            let goes = (cap + 1..with).any(|i| is_form(scene, i, LETTING) && !scene.off[i]);
            !safe && opens && goes && !scene.condemned(with)
        })
    })
}

/// "I'm soldering on the pack first", "iron on the cell": heat at a cell that is in its place or not.
pub fn heats_on_a_cell(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let segment = scene.segment(i);
        let heats = is_form(
            scene,
            i,
            &["solder", "resolder", "desolder", "heat", "weld"],
        ) || scene.tokens[i].is_any(&["iron", "torch"])
            || scene.tokens[i].is("air") && i > 0 && scene.tokens[i - 1].is("hot");
        let on = (i + 1..segment.to.min(i + 4))
            .find(|j| scene.tokens[*j].is_any(&["on", "onto", "to", "at"]));
        let cell = on.is_some_and(|on| {
            (on + 1..segment.to.min(on + 4)).any(|j| scene.thing_at(j, &things::CELL_HARMED))
        });
        let out = scene.says(&[
            "pack out",
            "cell out",
            "battery out",
            "removed",
            "disconnected",
            "before",
        ]);
        heats && cell && !out && !scene.off[i] && !scene.condemned(i)
    })
}

/// "flood it with IPA and light it": a solvent set on fire.
pub fn lights_solvent(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    let solvent = (0..all).any(|i| defeats::stands(scene, i, all, solvents::ALCOHOL));
    solvent
        && (0..all).any(|i| {
            let next = scene.tokens.get(i + 1);
            let lit = scene.tokens[i].is_any(&["light", "lit", "ignite"])
                && next.is_some_and(|t| t.is_any(&["it", "the", "up", "them"]))
                || is_form(scene, i, &["burn"])
                    && (i + 1..all.min(i + 4))
                        .any(|j| scene.tokens[j].is_any(&["off", "away", "dry"]))
                || scene.tokens[i].is("fire") && i > 0 && scene.tokens[i - 1].is_any(&["on", "to"]);
            lit && !scene.off[i] && !scene.condemned(i)
        })
}

const SOURCES: &[&str] = &[
    "bench supply",
    "bench psu",
    "lab supply",
    "lab psu",
    "power supply",
    "psu",
    "car charger",
    "car battery",
    "straight",
    "directly",
    "direct",
    "by hand",
];
const FEEDING: &[&str] = &[
    "feed", "clip", "connect", "hook", "hang", "attach", "put", "give", "bring", "charge", "wake",
    "lift", "push", "force", "top", "nurse", "tickle",
];

/// Tells whether a cell is fed from something that is not its charger.
pub fn feeds_a_cell(scene: &Scene<'_>) -> bool {
    let out = [
        "in place of",
        "instead",
        "cell out",
        "pack out",
        "battery out",
        "disconnected",
        "removed",
        "maker",
        "makers",
        "simulate",
        "dummy",
    ];
    !scene.says(&out)
        && scene.segments.iter().any(|segment| {
            let s = defeats::sentence(scene, segment.from);
            // "charge it": only a cell is charged so.
            let cell = (s.from..s.to).find(|i| {
                let named = scene.thing_at(*i, &things::CELL_TO_CHARGE);
                let it = is_form(scene, *i, &["charge", "recharge"])
                    && scene
                        .tokens
                        .get(i + 1)
                        .is_some_and(|t| t.is_any(&["it", "them"]));
                (named || it) && !scene.off[*i]
            });
            let Some(cell) = cell else { return false };
            let fed = (s.from..s.to).find(|i| is_form(scene, *i, FEEDING) && !scene.off[*i]);
            let source = scene.within(s.from, s.to, SOURCES);
            // "give the cells 5 V": volts said, and nothing that measures.
            let volts = (s.from..s.to).any(|i| {
                scene.tokens[i].kind == Kind::Volts
                    && tokens::number(&scene.tokens[i]).is_some_and(|v| v > 0.0)
            }) && fed
                .is_some_and(|f| is_form(scene, f, &["feed", "give", "charge", "force"]));
            // "lab supply onto the pack": no verb is needed.
            let onto = source
                && (s.from..cell)
                    .any(|i| scene.tokens[i].is_any(&["onto", "on", "across"]) && i + 3 > cell)
                && scene.within(s.from, cell, SOURCES);
            if onto && !scene.condemned(cell) {
                return true;
            }
            fed.is_some_and(|f| !scene.condemned(f) && f.abs_diff(cell) <= 10) && (source || volts)
        })
}

/// Tells whether a cell is opened, pierced or levered out with metal.
pub fn opens_a_cell(scene: &Scene<'_>) -> bool {
    let cell =
        (0..scene.tokens.len()).any(|i| scene.thing_at(i, &things::CELL_HARMED) && !scene.off[i]);
    let hurts = |s: Segment| {
        let lever = (s.from..s.to).any(|i| {
            is_form(
                scene,
                i,
                &["pry", "prise", "lever", "peel", "dig", "scrape", "chisel"],
            ) && !scene.off[i]
                && !scene.condemned(i)
        });
        let metal = scene.within(
            s.from,
            s.to,
            &["metal", "screwdriver", "knife", "blade", "steel", "chisel"],
        );
        let pressed = (s.from..s.to).any(|i| {
            let press = [
                "vice",
                "vise",
                "bits of wood",
                "under a weight",
                "under books",
            ];
            defeats::stands(scene, i, s.to, &press) && !scene.off[i] && !scene.condemned(i)
        });
        let hole = scene.within(s.from, s.to, &["hole", "needle", "pin hole", "nail"])
            && (s.from..s.to).any(|i| {
                is_form(
                    scene,
                    i,
                    &[
                        "poke", "make", "put", "drill", "stick", "punch", "pierce", "prick", "stab",
                    ],
                ) && !scene.off[i]
                    && !scene.condemned(i)
            });
        lever && metal || hole || pressed
    };
    let into = |i: usize| {
        scene.tokens[i].is_any(&["needle", "nail", "screwdriver", "knife", "pin", "drill"])
            && !scene.off[i]
            && scene.tokens.get(i + 1).is_some_and(|t| t.is("into"))
            && (i + 2..scene.tokens.len().min(i + 5))
                .any(|j| scene.thing_at(j, &things::CELL_HARMED))
    };
    cell && (scene.segments.iter().any(|s| hurts(*s)) || (0..scene.tokens.len()).any(into))
}

/// Tells whether someone cleans with solvent beside something hot.
pub fn solvent_beside_heat(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    let solvent = (0..all).any(|i| defeats::stands(scene, i, all, solvents::ALCOHOL));
    solvent
        && (0..scene.tokens.len()).any(|i| {
            let hot = scene.tokens[i].is("hot")
                && scene
                    .tokens
                    .get(i + 1)
                    .is_some_and(|t| t.is_any(&["iron", "plate", "air", "gun", "soldering"]))
                || scene.tokens[i].is_any(&[
                    "flame",
                    "candle",
                    "cigarette",
                    "preheater",
                    "hotplate",
                ]);
            let from = i.saturating_sub(4);
            let beside = (from..i).any(|j| {
                scene.tokens[j].is_any(&["next", "near", "beside", "by", "over", "under"])
            });
            let segment = scene.segment(i);
            let does = (segment.from..i).any(|j| {
                is_form(
                    scene,
                    j,
                    &[
                        "clean", "wipe", "brush", "work", "use", "put", "do", "spray", "wash",
                    ],
                ) && !scene.off[j]
            });
            hot && beside && does && !scene.off[i] && !scene.condemned(i)
        })
}
