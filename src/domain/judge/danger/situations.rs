//! Unsafe acts that are more than a verb on a thing: numbers, states, the order of clauses.
//!
//! Rules and word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::bench_situations;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::live_work;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// Tells whether a segment names `thing`.
pub fn has(scene: &Scene<'_>, segment: Segment, thing: &Thing) -> bool {
    (segment.from..segment.to).any(|i| scene.thing_at(i, thing))
}

const RUNNING: &[&str] = &[
    "run", "power", "operate", "use", "leave", "ship", "return", "work", "connect", "test",
    "refit", "assemble", "close", "go", "do", "try", "start", "charge", "boot", "switch", "turn",
    "plug",
];

/// Tells whether something is run without a protection.
pub fn runs_without(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        if !scene.tokens[i].is("without") {
            return false;
        }
        let segment = scene.segment(i);
        let verb = (segment.from..i).rev().find(|j| {
            RUNNING
                .iter()
                .any(|v| words::inflected(&scene.tokens[*j].text, v))
        });
        let meant = verb.is_some_and(|v| !scene.off[v] && !scene.condemned(v))
            || (i + 2..segment.to.min(i + 5)).any(|j| {
                // "without a fuse run it": what comes after "without" stands denied.
                scene.tokens[j].is_any(&["run", "runs", "running", "operate", "use"])
            }) && i == segment.from
                && !scene.condemned(i);
        let near = (i + 1..segment.to.min(i + 5)).take_while(|j| {
            let text = &scene.tokens[*j].text;
            !text.ends_with("ing") || scene.thing_at(*j, &things::INSULATION)
        });
        let guards = [
            things::BARRIER,
            things::COOLING,
            things::CLAMP,
            things::HOLDS_BACK,
            things::FUSE,
            things::GUARD,
            things::EARTH,
            things::INSULATION,
        ];
        meant
            && near
                .into_iter()
                .any(|j| guards.iter().any(|g| scene.thing_at(j, g)))
    })
}

/// Tells whether the two sides of an isolated supply are joined.
pub fn joins_primary_and_secondary(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let verb = scene.meant_in(
            *s,
            &[
                "bridge", "jumper", "connect", "tie", "join", "link the", "short", "link",
            ],
        );
        let verb = verb.or_else(|| {
            (s.from..s.to).find(|i| {
                scene.tokens[*i].is_any(&["link", "linked", "connected", "common"])
                    && !scene.off[*i]
            })
        });
        let Some(verb) = verb else { return false };
        let to = (verb..scene.tokens.len())
            .find(|i| scene.tokens[*i].kind == Kind::Stop)
            .unwrap_or(scene.tokens.len());
        scene.within(
            verb,
            to,
            &["primary", "pri", "hot side", "mains side", "live side"],
        ) && scene.within(
            verb,
            to,
            &["secondary", "sec", "cold side", "output ground"],
        )
    })
}

/// Returns what stands between two hard breaks.
pub fn sentences(scene: &Scene<'_>) -> Vec<Segment> {
    let mut out = Vec::new();
    let mut from = 0;
    for to in 0..=scene.tokens.len() {
        let ends = scene.tokens.get(to).is_none_or(|t| t.kind == Kind::Stop);
        if ends {
            out.push(Segment {
                from,
                to,
                joint: Kind::Stop,
            });
            from = to + 1;
        }
    }
    out
}

const POWERED: &[&str] = &[
    "powered",
    "energised",
    "energized",
    "plugged in",
    "switched on",
    "with power on",
    "with the power on",
    "while on",
    "still on",
    "while running",
    "while it runs",
    "while it is running",
    "while its running",
    "while it on",
    "while it is on",
    "while its on",
    "with it running",
    "as it runs",
    "with the unit on",
    "with unit on",
    "with the board on",
    "while it is charging",
    "while charging",
    "while it charges",
    "under power",
    "power still on",
    "live board",
    "it live",
    "them live",
    "live circuit",
    "powered up",
];

const POWER_ON: &[&str] = &[
    "without unplugging",
    "without disconnecting",
    "without powering down",
    "without switching off",
    "without isolating",
    "without discharging",
    "without turning off",
];

/// Tells whether a stretch of text says that something has power.
pub fn is_powered(scene: &Scene<'_>, s: Segment) -> bool {
    let without = (s.from..s.to).any(|i| {
        POWER_ON.iter().any(|phrase| {
            let words: Vec<&str> = phrase.split(' ').collect();
            scene.tokens[i..s.to.min(i + words.len())]
                .iter()
                .map(|t| t.text.as_str())
                .eq(words)
        })
    });
    let off = (s.from..s.to).any(|i| {
        scene.tokens[i].is("powered")
            && scene
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.is_any(&["down", "off"]))
    });
    without || (scene.within(s.from, s.to, POWERED) || live_work::is_on(scene, s)) && !off
}

const HANDS: &[&str] = &[
    "work", "solder", "resolder", "desolder", "reflow", "replace", "swap", "change", "touch",
    "poke", "rework", "repair", "remove", "lift", "clean", "measure", "probe", "test", "open",
    "jumper", "bridge", "fit", "wear", "check", "adjust", "hold", "do",
];

const SOLDERING: &[&str] = &[
    "solder", "resolder", "desolder", "reflow", "rework", "replace", "swap", "remove", "lift",
    "jumper", "bridge", "wash", "pull", "fit",
];

/// Words of the mains side.
pub const MAINS: &[&str] = &[
    "mains",
    "primary",
    "hot side",
    "line side",
    "live side",
    "230v",
    "240v",
    "120v",
    "110v",
    "400v",
    "325v",
    "230vac",
    "240vac",
    "120vac",
    "110vac",
    "bulk",
    "pfc",
    "high voltage",
    "hv",
    "drive bus",
    "dc bus",
    "dc link",
];

/// What says that the work is left to whom it belongs, or that nothing is live.
pub const QUALIFIED: &[&str] = &[
    "qualified",
    "licensed",
    "electrician",
    "isolation transformer",
    "discharged",
    "proven dead",
    "prove",
    "proved",
    "unplugged",
    "isolated from",
];

fn hands_on(scene: &Scene<'_>, s: Segment, verbs: &[&str]) -> bool {
    (s.from..s.to).any(|i| {
        !scene.off[i]
            && scene.tokens[i].kind == Kind::Word
            && verbs
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
            && !scene.condemned(i)
    })
}

/// Tells whether hands go to live mains.
pub fn works_live(scene: &Scene<'_>) -> bool {
    !scene.says(QUALIFIED)
        && scene.segments.iter().any(|s| {
            let part = (s.from..s.to).any(|i| {
                scene.tokens[i].kind == Kind::Part
                    && !scene.off[i]
                    && scene.is_part(&scene.tokens[i].text, &things::MAINS_PART)
            });
            let mains = part || scene.within(s.from, s.to, MAINS);
            let live = is_powered(scene, *s)
                || scene.within(s.from, s.to, &["live", "hot", "mains on"])
                    && !scene.within(s.from, s.to, &["live side", "hot side"])
                || scene.within(
                    s.from,
                    s.to,
                    &[
                        "live mains",
                        "while it is on",
                        "while its on",
                        "with it on",
                        "on the mains",
                        "mains in",
                    ],
                );
            // "no strap while working on live mains" tells what not to wear.
            let no_strap = bench_situations::leaves_strap_off(scene, *s);
            mains && live && !no_strap && hands_on(scene, *s, HANDS)
        })
}

/// Tells whether hands go to something live, on a unit of which the mains side is a part.
pub fn works_live_on_a_mains_unit(scene: &Scene<'_>) -> bool {
    !scene.says(QUALIFIED)
        && scene.segments.iter().any(|s| {
            let live = scene.within(s.from, s.to, &["live", "mains on"])
                && !scene.within(s.from, s.to, &["live side"]);
            live && hands_on(scene, *s, HANDS)
        })
        || !scene.says(QUALIFIED)
            && scene.says(&[
                "hand in the pocket",
                "hand in my pocket",
                "hand in pocket",
                "hand behind my back",
                "one hand behind",
            ])
        || bench_situations::runs_open(scene)
}

/// "C20 and C21 while it is plugged in": parts, and nothing else but that the power stays on.
fn parts_under_power(scene: &Scene<'_>, s: Segment) -> bool {
    let part = (s.from..s.to).any(|i| scene.tokens[i].kind == Kind::Part && !scene.off[i]);
    let on = scene.within(
        s.from,
        s.to,
        &[
            "plugged in",
            "under power",
            "with power on",
            "with the power on",
            "mains on",
        ],
    );
    let nothing_else = (s.from..s.to).all(|i| {
        scene.tokens[i].kind == Kind::Part
            || words::is_filler(&scene.tokens[i].text)
            || scene.tokens[i].is_any(&[
                "while", "is", "plugged", "power", "still", "mains", "unit", "in", "on", "under",
            ])
    });
    part && on && nothing_else
}

/// Tells whether a powered board is soldered on.
pub fn solders_live(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        is_powered(scene, *s) && hands_on(scene, *s, SOLDERING) || parts_under_power(scene, *s)
    })
}

/// Tells whether an earthed scope goes on the mains side.
pub fn scopes_mains(scene: &Scene<'_>) -> bool {
    let safe = [
        "differential",
        "isolated probe",
        "isolated scope",
        "isolated input",
        "isolation transformer",
        "qualified",
    ];
    let side = [
        "mains",
        "primary",
        "hot side",
        "line side",
        "live side",
        "bulk",
        "bridge rectifier",
        "pfc",
        "pri side",
    ];
    !scene.says(&safe)
        && scene.segments.iter().any(|s| {
            let scope = (s.from..s.to).any(|i| {
                let text = scene.tokens[i].text.as_str();
                !scene.off[i]
                    && (["scope", "oscilloscope", "scoped", "scoping"].contains(&text)
                        || text == "clip"
                            && i > 0
                            && scene.tokens[i - 1].is_any(&["earth", "ground"]))
                    && !scene.condemned(i)
            });
            scope && scene.within(s.from, s.to, &side)
        })
}

/// Tells whether a bleeder is taken as proof of discharge.
pub fn trusts_a_bleeder(scene: &Scene<'_>) -> bool {
    let checked = scene.tokens.iter().enumerate().any(|(i, t)| {
        !scene.off[i]
            && ["prove", "measure", "check", "meter", "verify", "confirm"]
                .iter()
                .any(|v| words::inflected(&t.text, v))
    });
    let bleeder =
        (0..scene.tokens.len()).find(|i| scene.tokens[*i].is_any(&["bleeder", "bleeders"]));
    let Some(at) = bleeder.filter(|_| !checked) else {
        return false;
    };
    let to = scene.segment(at).to;
    !scene.off[at]
        && scene.within(
            at + 1,
            to,
            &[
                "will",
                "does",
                "has",
                "should",
                "discharges",
                "drains",
                "enough",
                "takes",
                "empties",
                "did",
            ],
        )
}

const WET: &[&str] = &[
    "wet",
    "soaked",
    "damp",
    "dripping",
    "flooded",
    "underwater",
    "soaking",
    "moist",
    "sodden",
];

const POWERING: &[&str] = &[
    "power up",
    "power on",
    "power it",
    "power the",
    "power a",
    "power",
    "switch on",
    "switch it on",
    "turn on",
    "turn it on",
    "energise",
    "energize",
    "plug in",
    "plug it in",
    "boot",
    "apply power",
    "fire up",
    "fire it up",
    "start it",
    "try it",
    "try the power",
    "press the power",
    "press power",
    "connect the battery",
    "connect power",
    "powerup",
    "plug the charger",
    "on the charger",
];

/// Returns where a segment puts power on.
pub fn powers(scene: &Scene<'_>, s: Segment) -> Option<usize> {
    (s.from..s.to).find(|i| {
        let phrase = POWERING
            .iter()
            .any(|p| acts::phrase_at(&scene.tokens[..s.to], *i, p).is_some());
        let apart = scene.tokens[*i].is_any(&["switch", "turn"])
            && (i + 1..s.to.min(i + 5)).any(|j| {
                scene.tokens[j].is("on")
                    && scene
                        .tokens
                        .get(j + 1)
                        .is_none_or(|t| !t.is_any(&["the", "a", "its"]))
            });
        let noun = *i > s.from
            && scene.tokens[i - 1].is_any(&[
                "disconnect",
                "remove",
                "cut",
                "kill",
                "isolate",
                "the",
                "no",
                "from",
                "of",
                "all",
                "main",
                "low",
                "take",
                "off",
                "before",
                "any",
                "without",
            ])
            || scene
                .tokens
                .get(i + 1)
                .is_some_and(|t| t.is_any(&["off", "down", "supply", "rail", "connector"]))
            || scene.tokens[*i].is("powered");
        (phrase || apart) && !noun && !scene.off[*i] && !scene.condemned(*i)
    })
}

/// Tells whether a wet board is powered.
pub fn powers_wet(scene: &Scene<'_>) -> bool {
    let dried = |to: usize| {
        (0..to).any(|i| {
            let dry = ["dry", "bake"]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
                || scene.tokens[i].is("dried");
            let not_yet = (i.saturating_sub(4)..i)
                .any(|j| scene.tokens[j].is_any(&["before", "not", "without", "isnt", "hasnt"]));
            dry && !not_yet && !scene.off[i]
        })
    };
    let not_dry = |s: Segment| {
        (s.from..s.to).any(|i| {
            let dry = scene.tokens[i].text.starts_with("dr")
                && (scene.tokens[i].is_any(&["dry", "dries", "dried", "drying"]));
            dry && (i.saturating_sub(4).max(s.from)..i)
                .any(|j| scene.tokens[j].is_any(&["before", "not", "without", "isnt", "hasnt"]))
        })
    };
    scene.segments.iter().any(|s| {
        let Some(at) = powers(scene, *s) else {
            return false;
        };
        let wet_here = scene.within(s.from, s.to, WET) || not_dry(*s);
        let undried =
            (0..s.from).any(|i| scene.off[i] && words::inflected(&scene.tokens[i].text, "dry"));
        let wet_before = undried || scene.within(0, s.from, WET);
        (wet_here || wet_before) && !dried(at)
    })
}

/// Tells whether current is raised until something burns.
pub fn until_it_burns(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let until = scene.tokens[i].is_any(&["until", "till"]);
        let segment = scene.segment(i);
        let burns = (i..segment.to.min(i + 6)).any(|j| {
            ["smoke", "burn", "glow", "spark", "explode", "pop", "melt"]
                .iter()
                .any(|v| words::inflected(&scene.tokens[j].text, v))
        });
        let current = (0..i).any(|j| {
            let text = &scene.tokens[j].text;
            let left_on = ["leave", "keep"].iter().any(|v| words::inflected(text, v))
                && (j + 1..i.min(j + 4)).any(|k| scene.tokens[k].is("on"));
            let current = [
                "inject", "current", "amps", "limit", "volts", "voltage", "power", "raise",
            ];
            !scene.off[j] && (left_on || current.iter().any(|v| words::inflected(text, v)))
        });
        until && burns && current && !scene.off[i]
    }) || lets_it_burn_free(scene)
}

/// "no limit, let the short burn itself free".
fn lets_it_burn_free(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let burns = ["burn", "blow", "melt"]
            .iter()
            .any(|v| words::inflected(&scene.tokens[i].text, v));
        let to = scene.segment(i).to;
        let free = (i + 1..to.min(i + 4))
            .any(|j| scene.tokens[j].is_any(&["free", "clear", "open", "away"]));
        let short = (scene.segment(i).from..to)
            .any(|j| scene.tokens[j].is_any(&["short", "cap", "it", "itself"]));
        let lets = (scene.segment(i).from..i).any(|j| {
            ["let", "make", "until", "till", "so"]
                .iter()
                .any(|v| scene.tokens[j].is(v))
                && !scene.off[j]
        });
        let driven = scene.tokens[scene.segment(i).from..to]
            .iter()
            .any(|t| t.is_any(&["short", "cap"]));
        burns && free && short && (lets || driven) && !scene.off[i] && !scene.condemned(i)
    })
}

/// Tells whether someone eats or smokes at the bench.
pub fn eats(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let verb = (s.from..s.to).any(|i| {
            !scene.off[i]
                && [
                    "eat",
                    "drink",
                    "smoke",
                    "sandwich",
                    "lunch",
                    "snack",
                    "coffee",
                    "vape",
                    "breakfast",
                ]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        let at_bench = scene.within(s.from, s.to, &["bench", "soldering", "desk", "iron"])
            && scene.within(s.from, s.to, &["at", "while", "over", "on"]);
        verb && (at_bench || scene.within(s.from, s.to, &["here", "as i work", "while i work"]))
    })
}
