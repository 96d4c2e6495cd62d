//! Protections left away, called needless, doubled, or made to lie: what is done so that they do not act.
//!
//! What is put in their place is in `stand_ins`. Word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::defeats;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::stand_ins;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

/// Protections that must be there for a unit to be safe to use, apart from what only carries current.
const NEEDED: [&Thing; 4] = [
    &things::CLAMP,
    &things::GUARD,
    &things::FUSE,
    &things::HOLDS_BACK,
];

/// Tells whether a protection is left out and the unit used so: "clamp off and leave it off".
pub fn is_left_away(scene: &Scene<'_>) -> bool {
    stand_ins::sentences(scene).into_iter().any(|s| {
        let needed = (s.from..s.to).any(|i| NEEDED.iter().any(|t| scene.thing_at(i, t)));
        let left = (s.from..s.to).any(|i| {
            let said = leaves_off(scene, s, i) || is_gone_for_good(scene, s, i);
            let meant =
                said && !scene.off[i] || is_unfitted(scene, s, i) || runs_without_it(scene, s, i);
            meant && !scene.condemned(i)
        });
        needed && left && !stand_ins::says(scene, s, &["power", "supply", "mains", "source", "if"])
    })
}

/// "leave it off", "D1 stays out".
fn leaves_off(scene: &Scene<'_>, s: Segment, i: usize) -> bool {
    let part = |k: usize| {
        let token = &scene.tokens[k];
        stand_ins::protects(scene, k)
            || token.kind == Kind::Part
            || words::is_trade(&token.text)
            || words::is_filler(&token.text)
    };
    let off = |j: usize| scene.tokens[j].is_any(&["off", "out", "away", "unfitted"]);
    scene.is_form(i, &["leave", "left", "keep", "stay"])
        && (i + 1..s.to.min(i + 5)).any(|j| off(j) && (i + 1..j).all(part))
}

/// "varistor out for good".
fn is_gone_for_good(scene: &Scene<'_>, s: Segment, i: usize) -> bool {
    const FOR_GOOD: &[&str] = &["for good", "for ever", "forever", "permanently"];
    scene.tokens[i].is_any(&["out", "off", "away"])
        && (i + 1..s.to.min(i + 4)).any(|j| defeats::stands(scene, j, s.to, FOR_GOOD))
}

/// "D22 not refitted", "D1 unfitted".
fn is_unfitted(scene: &Scene<'_>, s: Segment, i: usize) -> bool {
    let denied = i > s.from && scope::is_negator(&scene.tokens[i - 1]);
    scene.tokens[i].is("unfitted") || scene.tokens[i].is("refitted") && denied
}

/// "it runs without", "it'll work without it".
fn runs_without_it(scene: &Scene<'_>, s: Segment, i: usize) -> bool {
    const RUNNING: &[&str] = &["run", "work", "go", "do", "live", "power", "drive"];
    let next = scene.tokens[..s.to].get(i + 1);
    scene.tokens[i].is("without")
        && next.is_none_or(|t| t.is_any(&["it", "them", "one"]))
        && (s.from..i).any(|j| scene.is_form(j, RUNNING) && !scene.off[j])
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
        let kept = stand_ins::says(
            scene,
            s,
            &["new", "replace", "bigger", "wire", "never", "link"],
        );
        needless && !kept && !stand_ins::says(scene, s, &["if", "whether"])
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
        let renewed = stand_ins::says(
            scene,
            Segment { to: so, ..s },
            &["new", "replace", "same", "renew"],
        );
        reads && sensor && made && !renewed && !scene.condemned(so)
    })
}

/// Tells whether fuses are doubled: "two fuses side by side", "fuse wire doubled up in F1".
pub fn doubles_a_fuse(scene: &Scene<'_>) -> bool {
    stand_ins::sentences(scene).into_iter().any(|s| {
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
    stand_ins::sentences(scene).into_iter().any(|s| {
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
        let like = stand_ins::says(scene, s, &["thermistor", "ntc", "same", "type"])
            && stand_ins::says(scene, s, &["new", "replace", "fit", "same"]);
        sensor && fixed && !like
    })
}

/// Tells whether a line that carries a fault, a limit or a temperature is held still: "`FAULT_N` to 3V3 with
/// a wire", "tie the temp pin to ground".
pub fn holds_a_line(scene: &Scene<'_>) -> bool {
    stand_ins::sentences(scene).into_iter().any(|s| {
        let line = (s.from..s.to).find(|i| {
            scene.thing_at(*i, &things::TELLING_LINE) && !scene.off[*i] && !scene.condemned(*i)
        });
        let Some(line) = line.filter(|at| !stand_ins::is_found(scene, s, *at)) else {
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
