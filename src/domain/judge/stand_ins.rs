//! What is put where a protection belongs, whatever verb is used or none: wire in a fuse, a fixed resistor
//! for a temperature sensor, two pins twisted together, nothing at all.
//!
//! The rule is one of classes: a part that protects, and in the same sentence something that is not its
//! like (a conductor, a joining, a doubling, a fixed value, its absence for good). For how long it is meant
//! does not matter. What is denied, refused, found, or taken away again is no such act, and neither is the
//! mending of a track. Word lists: common practice, no source.

use crate::domain::judge::claims::Segment;
use crate::domain::judge::defeats;
use crate::domain::judge::hazards::Thing;
use crate::domain::judge::hazards::things;
use crate::domain::judge::scene::Scene;
use crate::domain::judge::scope;
use crate::domain::judge::tokens::Kind;
use crate::domain::judge::tokens::Token;
use crate::domain::judge::words;

/// What protects: all of it is there to open, to hold back or to tell.
const PROTECTIONS: [&Thing; 8] = [
    &things::FUSE,
    &things::GUARD,
    &things::GUARD_CONTACTS,
    &things::CLAMP,
    &things::CURRENT_SENSE,
    &things::THERMISTOR,
    &things::STILLED,
    &things::HOLDS_BACK,
];
/// Protections that must be there for a unit to be safe to use, apart from what only carries current.
const NEEDED: [&Thing; 4] = [
    &things::CLAMP,
    &things::GUARD,
    &things::FUSE,
    &things::HOLDS_BACK,
];
/// What conducts and is no part of its own.
const CONDUCTORS: &[&str] = &[
    "wire",
    "wires",
    "copper",
    "foil",
    "tinfoil",
    "alufoil",
    "nail",
    "paperclip",
    "coin",
    "strand",
    "strands",
    "braid",
    "wick",
    "staple",
    "screw",
    "0r",
    "0ohm",
    "pin",
    "solder",
    "tin",
    "blob",
    "link",
    "jumper",
    "wirelink",
    "clip",
    "lead",
    "cable",
    "metal",
];
/// Conductors that are no part of a repair beside a protection, wherever in the sentence they stand.
const NEVER_THERE: &[&str] = &[
    "copper",
    "foil",
    "tinfoil",
    "alufoil",
    "nail",
    "paperclip",
    "coin",
    "strand",
    "strands",
    "staple",
    "0r",
    "0ohm",
    "blob",
];
/// Joinings, in any form.
const JOINING: &[&str] = &[
    "bridge",
    "jumper",
    "link",
    "loop",
    "strap",
    "bypass",
    "twist",
    "short",
    "shunt",
    "solder shut",
    "solder over",
    "solder across",
    "solder together",
    "tie together",
    "join",
    "short circuit",
    "wire across",
    "wire over",
    "wire together",
    "wire past",
    "wire out",
];
const PLACING: &[&str] = &[
    "over", "across", "round", "around", "in", "into", "through", "instead", "past", "for", "on",
    "onto", "between",
];
/// Who says that it was there before, or that it is taken away.
const FOUND: &[&str] = &[
    "somebody",
    "someone",
    "customer",
    "customers",
    "owner",
    "previous",
    "earlier",
    "found",
    "find",
    "had",
    "was",
    "were",
    "been",
    "remove",
    "removed",
    "undo",
    "clear",
    "cleared",
    "clean",
    "wash",
    "check",
    "look",
    "whether",
    "broken",
    "loose",
    "corroded",
    "cracked",
    "joint",
    "joints",
    "flux",
    "reflow",
    "resolder",
];
const TRACK: &[&str] = &[
    "trace", "track", "via", "vias", "pad", "pads", "land", "lands", "tracks", "traces",
];

fn protects(scene: &Scene<'_>, i: usize) -> bool {
    PROTECTIONS.iter().any(|thing| scene.thing_at(i, thing))
}

fn says(scene: &Scene<'_>, s: Segment, words: &[&str]) -> bool {
    scene.tokens[s.from..s.to].iter().any(|t| t.is_any(words))
}

/// Returns what stands between two hard breaks; a colon is none here ("R9: fit a wire").
fn sentences(scene: &Scene<'_>) -> Vec<Segment> {
    let mut out: Vec<Segment> = Vec::new();
    for segment in &scene.segments {
        let s = defeats::sentence(scene, segment.from);
        let colon = s.from > 0 && scene.tokens[s.from - 1].text == ":";
        match out.last_mut() {
            Some(last) if *last == s || last.to == s.to => {}
            Some(last) if colon => last.to = s.to,
            _ => out.push(s),
        }
    }
    out
}

/// Tells whether a conductor takes the place of a protection: "wire over D3", "fuse out, copper strand in".
pub fn conducts_instead(scene: &Scene<'_>) -> bool {
    sentences(scene).into_iter().any(|s| {
        (s.from..s.to).any(|c| {
            let conducts =
                scene.tokens[c].is_any(CONDUCTORS) && !scene.off[c] && !scene.condemned(c);
            conducts
                && !is_found(scene, s, c)
                && !is_done_elsewhere(scene, s, c)
                && stands_in(scene, s, c)
        })
    })
}

/// Tells whether what stands at `at` was there before, is looked for, or belongs to a track.
fn is_found(scene: &Scene<'_>, s: Segment, at: usize) -> bool {
    let before = Segment { to: at, ..s };
    let behind = Segment { from: at, ..s };
    let taken_away = (s.from..s.to).any(|i| {
        let takes = ["take", "took", "pull", "lift", "cut", "get"]
            .iter()
            .any(|v| words::inflected(&scene.tokens[i].text, v));
        let off =
            (i + 1..s.to.min(i + 6)).find(|j| scene.tokens[*j].is_any(&["off", "out", "away"]));
        takes && off.is_some_and(|off| i < at && (at < off || off == i + 1 && at <= off + 3))
    });
    taken_away
        || says(scene, before, FOUND)
        || says(scene, s, TRACK)
        || says(
            scene,
            behind,
            &["found", "removed", "undone", "cleared", "gone"],
        )
}

/// Tells whether the conductor at `c` stands in the place of a protection.
fn stands_in(scene: &Scene<'_>, s: Segment, c: usize) -> bool {
    let part_between = |from: usize, to: usize| {
        (from..to).any(|i| scene.tokens[i].kind == Kind::Part && !protects(scene, i))
    };
    let never = scene.tokens[c].is_any(NEVER_THERE)
        || scene.tokens[c].is_any(&["solder", "tin", "wire"])
            && (c.saturating_sub(2).max(s.from)..c)
                .any(|i| scene.tokens[i].is_any(&["drop", "lump", "dab", "bit", "piece"]));
    // "D3 isn't needed, wire it through": whether the protection is denied does not matter.
    let before = (s.from..c).rev().find(|i| protects(scene, *i));
    let after = (c + 1..s.to.min(c + 9)).find(|i| protects(scene, *i));
    let placed = |from: usize, to: usize| (from..to).any(|i| scene.tokens[i].is_any(PLACING));
    let over = after.is_some_and(|a| !part_between(c, a) && placed(c + 1, a));
    let given = before.is_some_and(|b| {
        !part_between(b, c)
            && (never && c - b <= 8
                || c - b <= 5
                    && (b + 1..c).any(|i| {
                        scene.tokens[i].is_any(&[
                            "with", "by", "as", "using", "fit", "put", "use", "gets", "get",
                        ])
                    }))
            || c - b <= 6 && is_wired_through(scene, s, c)
    });
    // "D3 = link", "F1: wire": nothing stands between them, and nothing that is done with it behind.
    let equals = before.is_some_and(|b| {
        (b + 1..c).all(|i| {
            scene.tokens[i].is_joint() || scene.tokens[i].is_any(&["a", "bit", "of", "the"])
        }) && b + 1 < c
            && scene.tokens[c].is_any(&["link", "wire", "jumper", "solder", "tin", "braid"])
            && scene.tokens[..s.to].get(c + 1).is_none_or(Token::is_joint)
            && !scene.tokens[b + 1..c].iter().any(|t| t.kind == Kind::And)
    });
    over || given || equals
}

/// "wire it through", "wire it out".
fn is_wired_through(scene: &Scene<'_>, s: Segment, c: usize) -> bool {
    scene.tokens[c].is_any(&["wire", "link", "jumper"])
        && scene.tokens[..s.to]
            .get(c + 1)
            .is_some_and(|t| t.is_any(&["it", "them"]))
        && scene.tokens[..s.to]
            .get(c + 2)
            .is_some_and(|t| t.is_any(&["through", "out", "over", "across", "past", "together"]))
}

/// "replace F1 and wire the plug": the conductor is a doing or a thing of its own.
fn is_done_elsewhere(scene: &Scene<'_>, s: Segment, c: usize) -> bool {
    let token = &scene.tokens[c];
    let next = scene.tokens[..s.to].get(c + 1);
    let plug = next.is_some_and(|t| {
        t.is_any(&[
            "iron", "joint", "joints", "wick", "sucker", "mask", "paste", "free", "out",
        ])
    });
    let drop = (c.saturating_sub(2).max(s.from)..c)
        .any(|i| scene.tokens[i].is_any(&["drop", "lump", "dab", "bit", "bridge", "piece"]));
    if drop {
        return false;
    }
    let iron = token.is_any(&[
        "solder", "tin", "lead", "clip", "pin", "cable", "metal", "wick", "braid",
    ]) && !(c + 1..s.to.min(c + 3))
        .any(|i| scene.tokens[i].is_any(&["over", "across", "round"]));
    // "lead free", "a link was out": no conductor put anywhere.
    let of_it =
        c > s.from && protects(scene, c - 1) && token.is_any(&["wire", "wires", "lead", "pin"]);
    plug || iron || of_it
}

/// Tells whether the two ends of a protection are joined: "cut the thermistor wires and twist them
/// together", "link pack fuse F1", "F1 I just solder shut".
pub fn joins_its_ends(scene: &Scene<'_>) -> bool {
    sentences(scene).into_iter().any(|s| {
        let protection = (s.from..s.to).find(|i| protects(scene, *i));
        let Some(at) = protection else { return false };
        (s.from..s.to).any(|i| {
            let token = &scene.tokens[i];
            if token.kind != Kind::Word || scene.off[i] || scene.condemned(i) {
                return false;
            }
            if is_found(scene, s, i) {
                return false;
            }
            let second =
                |words: &[&str]| (i + 1..s.to.min(i + 5)).any(|j| scene.tokens[j].is_any(words));
            let shut = words::inflected(&token.text, "solder")
                && second(&["shut", "across", "together", "closed"]);
            let circuit = token.is("short")
                && second(&["circuit"])
                && !scene
                    .tokens
                    .get(i + 2)
                    .is_some_and(|t| t.kind != Kind::Part && !t.is("the"));
            let together = [
                "twist", "tie", "join", "connect", "put", "wire", "solder", "clip", "hold",
            ]
            .iter()
            .any(|v| words::inflected(&token.text, v))
                && (i + 1..s.to.min(i + 7)).any(|j| scene.tokens[j].is("together"));
            let linked = ["link", "jumper", "strap", "bypass", "bridge"]
                .iter()
                .any(|v| words::inflected(&token.text, v))
                && (i < at && at - i <= 4 && (i == s.from || !scene.tokens[i - 1].is("the"))
                    || at < i && i - at <= 2 && token.text.ends_with("ed"));
            let made = i > s.from
                && scene.tokens[i - 1].is_any(&[
                    "solder",
                    "a",
                    "the",
                    "any",
                    "h",
                    "half",
                    "full",
                    "wire",
                    "residue",
                    "salt",
                    "dirt",
                    "corrosion",
                    "flux",
                    "whisker",
                ]);
            let from = (i.min(at)..i.max(at)).any(|j| scene.tokens[j].is("from"));
            let mended = at < i && scene.says(&["replace", "renew", "refit", "new", "replaced"]);
            let linked = linked && !made && !from && !mended;
            let ends = ["bridge", "link", "short", "solder", "join", "connect"]
                .iter()
                .any(|v| words::inflected(&token.text, v))
                && at < i
                && (i + 1..s.to.min(i + 4)).any(|j| {
                    scene.tokens[j].is_any(&["pads", "gap", "ends", "holder", "contacts", "legs"])
                })
                && !scene.says(&["replace", "renew", "new", "reflow"]);
            let linked = linked || ends;
            let between = (i.min(at)..i.max(at))
                .any(|j| j != at && scene.tokens[j].kind == Kind::Part && !protects(scene, j));
            (shut || circuit || together || linked) && !between
        })
    })
}

/// Tells whether a protection is left out and the unit used so: "clamp off and leave it off".
pub fn is_left_away(scene: &Scene<'_>) -> bool {
    sentences(scene).into_iter().any(|s| {
        let needed = (s.from..s.to).any(|i| NEEDED.iter().any(|t| scene.thing_at(i, t)));
        let leaves = (s.from..s.to).any(|i| {
            let gone = scene.tokens[i].is_any(&["out", "off", "away"])
                && (i + 1..s.to.min(i + 4)).any(|j| {
                    defeats::stands(
                        scene,
                        j,
                        s.to,
                        &["for good", "for ever", "forever", "permanently"],
                    )
                });
            let leave = ["leave", "left", "keep", "stay"]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
                && (i + 1..s.to.min(i + 5)).any(|j| {
                    scene.tokens[j].is_any(&["off", "out", "away", "unfitted"])
                        && (i + 1..j).all(|k| {
                            protects(scene, k)
                                || words::is_trade(&scene.tokens[k].text)
                                || scene.tokens[k].kind == Kind::Part
                                || scene.tokens[k].is_any(&["it", "the", "that", "them"])
                                || words::is_filler(&scene.tokens[k].text)
                        })
                });
            let gone = gone
                || scene.tokens[i].is_any(&["refitted", "unfitted"])
                    && (scene.tokens[i].is("unfitted")
                        || i > s.from && scope::is_negator(&scene.tokens[i - 1]));
            if gone && scene.tokens[i].is("refitted") {
                return !scene.condemned(i);
            }
            let without = scene.tokens[i].is_any(&["without"])
                && scene.tokens[..s.to]
                    .get(i + 1)
                    .is_none_or(|t| t.is_any(&["it", "them", "one"]))
                && (s.from..i).any(|j| {
                    ["run", "work", "go", "do", "live", "power", "drive"]
                        .iter()
                        .any(|v| words::inflected(&scene.tokens[j].text, v))
                        && !scene.off[j]
                });
            ((leave || gone) && !scene.off[i] || without) && !scene.condemned(i)
        });
        needed && leaves && !says(scene, s, &["power", "supply", "mains", "source", "if"])
    })
}

/// Tells whether a protection is called needless: "D3 isn't needed", "the clamp protects nobody".
pub fn calls_it_needless(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|segment| {
        let s = defeats::sentence(scene, segment.from);
        let kinds = [
            &things::CLAMP,
            &things::HOLDS_BACK,
            &things::FUSE,
            &things::GUARD,
        ];
        let named = (s.from..s.to).find(|i| kinds.iter().any(|t| scene.thing_at(*i, t)));
        let Some(at) = named else { return false };
        let needless = (at..s.to.min(at + 8)).any(|i| {
            let no = |j: usize| j > at && scope::is_negator(&scene.tokens[j - 1]);
            scene.tokens[i].is_any(&["superfluous", "unnecessary", "needless", "pointless"])
                || scene.tokens[i].is_any(&["needed", "necessary", "required"]) && no(i)
                || words::inflected(&scene.tokens[i].text, "protect")
                    && scene.tokens[..s.to]
                        .get(i + 1)
                        .is_some_and(|t| t.is_any(&["nobody", "nothing"]))
        });
        let kept = says(
            scene,
            s,
            &["new", "replace", "bigger", "wire", "never", "link"],
        );
        needless && !kept && !says(scene, s, &["if", "whether"])
    })
}

/// Tells whether a sensor or a line that tells is made to lie: "put a resistor on the temperature input so
/// it reads 25 degrees".
pub fn makes_it_lie(scene: &Scene<'_>) -> bool {
    (0..scene.tokens.len()).any(|so| {
        if !scene.tokens[so].is("so") {
            return false;
        }
        let s = defeats::sentence(scene, so);
        let reads = (so + 1..s.to.min(so + 6)).any(|i| {
            ["read", "think", "see", "believe", "look", "show"]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        let sensor = (s.from..so).any(|i| {
            scene.thing_at(i, &things::THERMISTOR)
                || scene.thing_at(i, &things::TELLING_LINE)
                || scene.thing_at(i, &things::GUARD_CONTACTS)
                || scene.tokens[i].is_any(&["sensor", "thermal", "temperature", "temp"])
        });
        let made = (s.from..so).any(|i| {
            [
                "put", "join", "tie", "wire", "short", "fit", "solder", "set", "glue", "hold",
                "twist", "bridge",
            ]
            .iter()
            .any(|v| words::inflected(&scene.tokens[i].text, v))
                && !scene.off[i]
        });
        let renewed = says(
            scene,
            Segment { to: so, ..s },
            &["new", "replace", "same", "renew"],
        );
        reads && sensor && made && !renewed && !scene.condemned(so)
    })
}

/// Tells whether fuses are doubled: "two fuses side by side", "fuse wire doubled up in F1".
pub fn doubles_a_fuse(scene: &Scene<'_>) -> bool {
    sentences(scene).into_iter().any(|s| {
        let fuse = (s.from..s.to).any(|i| scene.thing_at(i, &things::FUSE) && !scene.off[i]);
        let doubled = (s.from..s.to).find(|i| {
            defeats::stands(
                scene,
                *i,
                s.to,
                &[
                    "side by side",
                    "in parallel",
                    "doubled up",
                    "doubled",
                    "piggyback",
                    "on top of each other",
                ],
            )
        });
        fuse && doubled.is_some_and(|i| !scene.off[i] && !scene.condemned(i))
    })
}

/// Tells whether a fixed value takes the place of a sensor of heat: "R71 off, put a fixed 10k there".
pub fn fools_a_sensor(scene: &Scene<'_>) -> bool {
    sentences(scene).into_iter().any(|s| {
        let sensor =
            (s.from..s.to).any(|i| scene.thing_at(i, &things::THERMISTOR) && !scene.off[i]);
        let fixed = (s.from..s.to).any(|i| {
            let token = &scene.tokens[i];
            !scene.off[i]
                && !scene.condemned(i)
                && (token.is_any(&[
                    "fixed",
                    "dummy",
                    "trimmer",
                    "potentiometer",
                    "ordinary",
                    "plain",
                ]) || token.kind == Kind::Value
                    && i > s.from
                    && (i.saturating_sub(3).max(s.from)..i).any(|j| {
                        scene.tokens[j].is_any(&["put", "with", "by", "fit", "solder", "a", "use"])
                    })
                    && scene.tokens[..s.to].get(i + 1).is_some_and(|t| {
                        t.is_any(&["there", "instead", "in", "resistor", "across", "to", "for"])
                    }))
        });
        let like = says(scene, s, &["thermistor", "ntc", "same", "type"])
            && says(scene, s, &["new", "replace", "fit", "same"]);
        sensor && fixed && !like
    })
}

/// Tells whether a line that carries a fault, a limit or a temperature is held still: "FAULT_N to 3V3 with
/// a wire", "tie the temp pin to ground".
pub fn holds_a_line(scene: &Scene<'_>) -> bool {
    sentences(scene).into_iter().any(|s| {
        let line = (s.from..s.to).find(|i| {
            scene.thing_at(*i, &things::TELLING_LINE) && !scene.off[*i] && !scene.condemned(*i)
        });
        let Some(line) = line.filter(|at| !is_found(scene, s, *at)) else {
            return false;
        };
        let to =
            (line + 1..s.to.min(line + 6)).find(|i| scene.tokens[*i].is_any(&["to", "at", "onto"]));
        let held = to.is_some_and(|t| {
            (t + 1..s.to.min(t + 3)).any(|i| {
                scene.tokens[i].kind == Kind::Volts
                    || scene.tokens[i].is_any(&[
                        "gnd", "ground", "vcc", "high", "low", "plus", "minus", "supply",
                    ])
            })
        });
        let by = (s.from..s.to).any(|i| {
            scene.tokens[i].is_any(&[
                "wire", "link", "jumper", "tied", "tie", "strap", "pull", "hold",
            ]) || [
                "tie", "wire", "strap", "pull", "link", "solder", "hold", "jumper", "short", "clip",
            ]
            .iter()
            .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        held && by
    })
}

/// Tells whether something holds the contacts of a cut-out: "a magnet on the switch", "cable tie round it".
pub fn holds_the_contacts(scene: &Scene<'_>) -> bool {
    const HOLDERS: &[&str] = &[
        "magnet",
        "tie",
        "zip",
        "tape",
        "elastic",
        "band",
        "string",
        "wedge",
        "peg",
        "clamp",
        "blu",
        "matchstick",
        "toothpick",
        "coin",
        "screwdriver",
        "weight",
    ];
    let contacts = (0..scene.tokens.len()).any(|i| scene.thing_at(i, &things::GUARD_CONTACTS));
    contacts
        && (0..scene.tokens.len()).any(|i| {
            let segment = scene.segment(i);
            let on = (i + 1..segment.to.min(i + 3)).find(|j| {
                scene.tokens[*j].is_any(&[
                    "on", "round", "around", "over", "in", "under", "against", "to",
                ])
            });
            let at_it = on.is_some_and(|on| {
                (on + 1..segment.to.min(on + 4)).any(|j| {
                    scene.tokens[j].is_any(&[
                        "it",
                        "switch",
                        "interlock",
                        "lever",
                        "contact",
                        "contacts",
                        "plunger",
                        "button",
                    ]) || scene.thing_at(j, &things::GUARD_CONTACTS)
                })
            });
            let pushed = [
                "push", "press", "hold", "keep", "jam", "wedge", "prop", "stuff",
            ]
            .iter()
            .any(|v| words::inflected(&scene.tokens[i].text, v))
                && (i + 1..segment.to.min(i + 4)).any(|j| scene.tokens[j].is("switch"))
                && (i + 2..segment.to.min(i + 6))
                    .any(|j| scene.tokens[j].is_any(&["in", "down", "closed", "shut", "pressed"]));
            let held = scene.tokens[i].is_any(HOLDERS) && at_it || pushed;
            held && !scene.off[i] && !scene.condemned(i)
        })
}
