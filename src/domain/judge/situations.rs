//! Unsafe acts that are more than a verb on a thing: numbers, states, the order of clauses.
//!
//! Rules and word lists: common practice, no source.

use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::judge::acts;
use crate::domain::judge::bench_situations;
use crate::domain::judge::claims::Segment;
use crate::domain::judge::hazards::Thing;
use crate::domain::judge::hazards::things;
use crate::domain::judge::live_work;
use crate::domain::judge::scene::Scene;
use crate::domain::judge::tokens;
use crate::domain::judge::tokens::Kind;
use crate::domain::judge::tokens::Token;
use crate::domain::judge::words;

fn has(scene: &Scene<'_>, segment: Segment, thing: &Thing) -> bool {
    (segment.from..segment.to).any(|i| scene.thing_at(i, thing))
}

const BIGGER: &[&str] = &[
    "bigger",
    "larger",
    "higher",
    "heavier",
    "stronger",
    "uprated",
    "oversized",
    "beefier",
    "oversize",
    "upsized",
    "next size up",
    "double",
    "twice",
    "one size up",
    "size up",
    "up one size",
    "up a size",
    "fatter",
    "thicker",
    "uprate",
    "overfuse",
    "overfused",
    "whatever fuse",
    "any fuse",
    "any old fuse",
    "upsize",
    "more amps",
    "too weak",
    "too small",
];
const RIGHT: &[&str] = &[
    "right",
    "correct",
    "original",
    "proper",
    "same",
    "specified",
    "makers",
    "equal",
];

/// Tells whether a fuse is to be replaced by one of a higher rating.
pub fn fuse_too_big(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let here = has(scene, *s, &things::FUSE);
        let named = last_part_before(scene, *s, &things::FUSE);
        let pronoun = scene.tokens[s.from..s.to]
            .iter()
            .any(|t| t.is_any(&["it", "one", "ones", "them", "rating", "rated"]));
        // "bigger lasts": nothing else is named that could be bigger.
        let bare = !scene.tokens[s.from..s.to]
            .iter()
            .any(|t| t.kind == Kind::Part || t.kind == Kind::Volts || words::is_trade(&t.text));
        (here || named && (pronoun || bare)) && (bigger_in(scene, *s) || more_amps(scene, *s))
    })
}

/// Tells whether a fuse is put in whose amps no fuse of the board has, and some of them less.
///
/// The ratings are those in the names of the board's fuses ("input fuse 3 A").
pub fn fuse_above_the_boards(scene: &Scene<'_>, board: Option<&Board>) -> bool {
    if !(0..scene.tokens.len()).any(|i| amps_at(scene, i).is_some()) {
        return false;
    }
    let fuses = board.into_iter().flat_map(|b| &b.parts);
    let ratings: Vec<(&String, f64)> = fuses
        .filter(|(name, _)| scene.is_part(name, &things::FUSE))
        .filter_map(|(name, part)| Some((name, amps_in(&part.name)?)))
        .collect();
    let of = |i: usize| {
        ratings
            .iter()
            .find(|(name, _)| scene.tokens[i].text.eq_ignore_ascii_case(name))
            .map(|(_, amps)| *amps)
    };
    // "put a 15 A in so it survives": amps of nothing else.
    let unsaid = !(0..scene.tokens.len()).any(|i| {
        scene.thing_at(i, &things::FUSE)
            || scene.tokens[i].is_any(&[
                "limit",
                "supply",
                "psu",
                "inject",
                "draw",
                "current",
                "source",
                "injection",
                "draws",
                "relay",
                "diode",
                "fet",
                "load",
                "short",
                "into",
            ])
    });
    scene.segments.iter().any(|s| {
        let put = (s.from..s.to).any(|i| {
            ["put", "fit", "use", "stick", "take"]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        let about = has(scene, *s, &things::FUSE)
            || last_part_before(scene, *s, &things::FUSE)
            || unsaid && put;
        let fits = (s.from..s.to).any(|i| {
            !scene.off[i]
                && [
                    "fit", "put", "use", "try", "take", "new", "replace", "swap", "change",
                    "should", "need", "make", "want", "for", "place", "instead", "would", "upped",
                    "up", "uprate", "go", "held",
                ]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        let own = (s.from..s.to).find_map(of);
        // "F1 15 A" says as much as "F1 replaced with 15 A".
        let bare = s.to - s.from <= 3
            || own.is_some()
                && !scene.within(
                    s.from,
                    s.to,
                    &[
                        "limit", "supply", "psu", "current", "draws", "inject", "load", "power",
                    ],
                );
        about
            && (s.from..s.to).any(|i| {
                let amps = amps_at(scene, i).filter(|_| !scene.off[i]);
                let beside = (i.saturating_sub(2).max(s.from)..s.to.min(i + 2))
                    .any(|j| j != i && scene.thing_at(j, &things::FUSE));
                (fits || bare || beside)
                    && amps.is_some_and(|amps| match own {
                        Some(rated) => rated < amps,
                        None => {
                            ratings.iter().all(|(_, rated)| !same_amps(*rated, amps))
                                && ratings.iter().any(|(_, rated)| *rated < amps)
                        }
                    })
            })
    })
}

/// What people put where a fuse belongs.
const CONDUCTORS: &[&str] = &[
    "wire",
    "wires",
    "fuse wire",
    "copper",
    "foil",
    "link",
    "jumper",
    "nail",
    "paperclip",
    "paper clip",
    "coin",
    "strand",
    "strands",
    "blob",
    "braid",
    "wick",
    "silver paper",
    "tin foil",
    "staple",
    "0r",
    "0ohm",
    "zero ohm",
    "screw",
    "drop of solder",
    "bit of solder",
    "lump of solder",
];

/// Tells whether something that conducts is given for a protection: "F1 with a bit of copper", "a link for R9".
pub fn protection_of_wire(scene: &Scene<'_>) -> bool {
    let protects = |i: usize| {
        [things::FUSE, things::CURRENT_SENSE]
            .iter()
            .any(|thing| scene.thing_at(i, thing))
    };
    scene.segments.iter().any(|s| {
        let Some(at) = (s.from..s.to).find(|i| protects(*i) && !scene.off[*i]) else {
            return false;
        };
        let made = (at + 1..s.to.min(at + 4)).find(|i| {
            scene.tokens[*i].is_any(&[
                "with", "by", "from", "as", "using", "into", "made", "gets", "in", "wrapped",
            ])
        });
        let after = made.is_some_and(|i| scene.within(i, s.to, CONDUCTORS));
        let stands_for = (at.saturating_sub(3).max(s.from)..at).find(|i| {
            scene.tokens[*i].is_any(&["for", "round", "around", "over", "across", "instead", "in"])
        });
        let over = stands_for.is_some_and(|i| {
            scene.tokens[i].is_any(&["over", "across", "round", "around"])
                && scene.within(s.from, i, &["solder", "tin"])
        });
        let before = over || stands_for.is_some_and(|i| scene.within(s.from, i, CONDUCTORS));
        let undone = (s.from..s.to).any(|i| {
            [
                "undo", "remove", "take", "clear", "cut", "lift", "pull", "desolder", "find",
                "check", "look",
            ]
            .iter()
            .any(|v| words::inflected(&scene.tokens[i].text, v))
        });
        (after || before && !undone) && !scene.condemned(at)
    })
}

/// Tells whether two ratings are the same.
pub fn same_amps(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// Returns the amps that token `i` states: `10a`, or `t6.3a` as printed on a fuse.
pub fn amps_at(scene: &Scene<'_>, i: usize) -> Option<f64> {
    let token = &scene.tokens[i];
    let text = token.text.strip_suffix('a')?;
    let text = text.strip_prefix(['t', 'f', 'm']).unwrap_or(text);
    text.parse().ok()
}

/// Returns the amps at the end of a fuse's name.
pub fn amps_in(name: &str) -> Option<f64> {
    let rest = name.trim_end().strip_suffix(['A', 'a'])?.trim_end();
    let number = rest.rsplit(' ').next()?;
    number.trim_start_matches(['T', 'F', 'M']).parse().ok()
}

/// Tells whether the last part or fuse named before a segment is a `thing`.
fn last_part_before(scene: &Scene<'_>, segment: Segment, thing: &Thing) -> bool {
    (0..segment.from)
        .rev()
        .find(|i| scene.tokens[*i].kind == Kind::Part || scene.thing_at(*i, thing))
        .is_some_and(|i| scene.thing_at(i, thing))
}

fn bigger_in(scene: &Scene<'_>, s: Segment) -> bool {
    let with = (s.from..s.to).find(|i| scene.tokens[*i].is_any(&["with", "by", "for", "to"]));
    (s.from..s.to).any(|i| {
        let other = (i + 1..s.to.min(i + 3)).any(|j| {
            let token = &scene.tokens[j];
            (token.kind == Kind::Part || words::is_trade(&token.text))
                && !scene.thing_at(j, &things::FUSE)
        });
        let other = other && !(i + 1..s.to.min(i + 3)).any(|j| scene.thing_at(j, &things::FUSE));
        let undone = with.is_some_and(|w| i < w && scene.within(w, s.to, RIGHT));
        let looked =
            (s.from..i).any(|j| scene.tokens[j].is_any(&["if", "whether", "check", "find"]));
        !other
            && !undone
            && !looked
            && !scene.off[i]
            && scene.within(i, s.to.min(i + 3), BIGGER)
            && BIGGER
                .iter()
                .any(|b| b.split(' ').next() == Some(scene.tokens[i].text.as_str()))
    })
}

/// "replace the 5 A fuse with a 10 A one", "10 A instead of 5 A".
fn more_amps(scene: &Scene<'_>, s: Segment) -> bool {
    let amps: Vec<(usize, f64)> = (s.from..s.to)
        .filter(|i| scene.tokens[*i].kind == Kind::Value && scene.tokens[*i].text.ends_with('a'))
        .filter_map(|i| tokens::number(&scene.tokens[i]).map(|n| (i, n)))
        .collect();
    let [(first, a), (second, b)] = amps[..] else {
        return false;
    };
    let between = &scene.tokens[first..second];
    let meant = !(s.from..first).any(|i| scene.off[i]);
    let instead = between
        .iter()
        .any(|t| t.is_any(&["instead", "place", "not", "where", "rather"]));
    let with = between
        .iter()
        .any(|t| t.is_any(&["with", "by", "to", "for", "use", "fit"]));
    // "fit a 10 A fuse for the 2 A"; "swap the 10 A for a 2 A" is the other way round.
    let put = (s.from..first).any(|i| scene.tokens[i].is_any(&["fit", "use", "put", "try"]));
    let stands_for = put && between.iter().any(|t| t.is_any(&["for"]));
    let bigger = if instead || stands_for {
        a > b
    } else {
        with && b > a && !scene.off[second]
    };
    meant && bigger
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

/// Solvents that burn.
pub const ALCOHOL: &[&str] = &[
    "alcohol",
    "ipa",
    "isopropyl",
    "isopropanol",
    "propanol",
    "meths",
    "spirit",
    "spirits",
    "ethanol",
    "acetone",
    "solvent",
    "thinner",
    "methylated",
    "contact cleaner",
    "brake cleaner",
    "lighter fluid",
    "petrol",
    "gasoline",
    "benzine",
    "naphtha",
];
const HEAT: &[&str] = &[
    "heat",
    "boil",
    "warm",
    "bake",
    "cook",
    "oven",
    "torch",
    "flame",
    "hairdryer",
    "ultrasonic",
    "sonicate",
    "simmer",
    "preheat",
    "hotplate",
    "microwave",
    "ignite",
    "heater",
    "lighter",
    "cigarette",
];
const HEAT_PAIRS: &[&str] = &[
    "hot air",
    "heat gun",
    "hot plate",
    "hot bath",
    "warm bath",
    "hair dryer",
    "hot alcohol",
    "hot ipa",
];
const BAKING: &[&str] = &["bake", "oven", "boil", "microwave", "hotplate", "heater"];

fn heat_in(scene: &Scene<'_>, s: Segment) -> Option<usize> {
    (s.from..s.to).find(|i| {
        let text = scene.tokens[*i].text.as_str();
        let hot = HEAT.iter().any(|h| words::inflected(text, h))
            || scene.within(*i, s.to.min(i + 2), HEAT_PAIRS)
                && HEAT_PAIRS.iter().any(|h| h.split(' ').next() == Some(text));
        let apart = (i.saturating_sub(3).max(s.from)..*i).any(|j| {
            // "dry it off with hot air" is no "heat off".
            let goes_on = scene.tokens[j].is("off")
                && scene.tokens[j + 1].is_any(&["with", "in", "by", "using", "on", "under"]);
            !goes_on && scene.tokens[j].is_any(&["off", "away", "from", "before", "after", "prior"])
        });
        hot && !apart && !scene.off[*i] && !scene.condemned(*i)
    })
}

/// Tells whether the text lets the solvent go before token `at`, or within its segment.
fn evaporated(scene: &Scene<'_>, segment: Segment) -> bool {
    (0..segment.to).any(|i| {
        let gone = scene.tokens[i].text.starts_with("evaporat")
            || scene.tokens[i].is_any(&["flashed", "gone", "unheated"])
            || scene.within(i, scene.tokens.len().min(i + 2), &["air dry", "air dried"])
            || scene.within(i, scene.tokens.len().min(i + 3), &["let it dry", "let dry"]);
        let own = i >= segment.from;
        let not_yet = (i.saturating_sub(5)..i).any(|j| {
            scene.tokens[j].is_any(&["before", "hasnt", "while", "havent", "still", "to"])
                || own && scene.tokens[j].is("until")
        });
        gone && !not_yet && !scene.off[i]
    })
}

/// Tells whether alcohol is heated, or a board still wet with it.
pub fn heats_alcohol(scene: &Scene<'_>) -> bool {
    let alcohol = |s: Segment| scene.within(s.from, s.to, ALCOHOL);
    let rated = |s: Segment| {
        scene.says(&["rated"])
            && scene.tokens[s.from..s.to]
                .iter()
                .any(|t| t.is("tank") || t.text.starts_with("ultrasonic"))
    };
    scene.segments.iter().enumerate().any(|(n, s)| {
        let Some(heat) = heat_in(scene, *s) else {
            return false;
        };
        if evaporated(scene, *s) || rated(*s) {
            return false;
        }
        let pronoun = scene.tokens[s.from..s.to]
            .iter()
            .any(|t| t.is_any(&["it", "this"]));
        let text = scene.tokens[heat].text.as_str();
        let baking = BAKING.iter().any(|b| words::inflected(text, b))
            || scene.tokens[s.from..s.to]
                .iter()
                .any(|t| words::inflected(&t.text, "dry"));
        let before = n
            .checked_sub(1)
            .and_then(|m| scene.segments.get(m))
            .is_some_and(|b| alcohol(*b));
        let only_heat = (s.from..s.to).all(|i| {
            let text = &scene.tokens[i].text;
            scene.tokens[i].is_any(&[
                "hot", "air", "gun", "the", "with", "a", "hair", "dryer", "under", "in", "into",
            ]) || HEAT.iter().any(|h| words::inflected(text, h))
        });
        alcohol(*s)
            || before && only_heat
            || baking && scene.segments[..n].iter().any(|b| alcohol(*b))
            || before
                && pronoun
                && !scene.tokens[s.from..s.to]
                    .iter()
                    .any(|t| t.kind == Kind::Part)
    })
}

/// Tells whether alcohol goes on a powered board.
pub fn alcohol_on_power(scene: &Scene<'_>) -> bool {
    scene.segments.iter().any(|s| {
        let applies = (s.from..s.to).any(|i| {
            !scene.off[i]
                && [
                    "spray", "pour", "flood", "soak", "dip", "clean", "wash", "brush", "rinse",
                    "wipe", "splash",
                ]
                .iter()
                .any(|v| words::inflected(&scene.tokens[i].text, v))
                && !scene.condemned(i)
        });
        applies && scene.within(s.from, s.to, ALCOHOL) && is_powered(scene, *s)
    }) || sentences(scene).into_iter().any(|s| {
        let part = (s.from..s.to).any(|i| scene.tokens[i].kind == Kind::Part);
        let condemned = (s.from..s.to).any(|i| scene.condemned(i));
        part && scene.within(s.from, s.to, ALCOHOL) && is_powered(scene, s) && !condemned
    })
}

/// "spray IPA and switch on right away": power before the solvent is gone.
pub fn alcohol_then_power(scene: &Scene<'_>) -> bool {
    let all = scene.tokens.len();
    let wet = (0..all).find(|i| scene.within(*i, all.min(i + 2), ALCOHOL));
    wet.is_some_and(|wet| {
        scene.segments.iter().any(|s| {
            let at = powers(scene, *s).filter(|at| wet < *at);
            at.is_some_and(|_| {
                scene.within(
                    s.from,
                    s.to,
                    &[
                        "right away",
                        "straight away",
                        "at once",
                        "immediately",
                        "while wet",
                        "still wet",
                        "directly after",
                    ],
                )
            })
        })
    })
}

/// Returns what stands between two hard breaks.
fn sentences(scene: &Scene<'_>) -> Vec<Segment> {
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

fn is_powered(scene: &Scene<'_>, s: Segment) -> bool {
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
fn powers(scene: &Scene<'_>, s: Segment) -> Option<usize> {
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

const INJECTING: &[&str] = &[
    "injection",
    "crank",
    "inject",
    "feed",
    "apply",
    "force",
    "push",
    "put",
    "shove",
    "blast",
    "hit",
    "dump",
    "whack",
    "turn",
    "wind",
    "dial",
    "set",
    "jumper",
    "bridge",
    "link",
    "tie",
    "wire",
    "connect",
    "give",
    "run",
];
const ABOVE: &[&str] = &[
    "above",
    "over",
    "more than",
    "higher",
    "exceeding",
    "beyond",
    "twice",
    "double",
];

/// Tells whether more volts are injected than the rail is made for.
pub fn injects_too_much(scene: &Scene<'_>, board: Option<&Board>) -> bool {
    scene.segments.iter().any(|s| {
        let Some(at) = (s.from..s.to).find(|i| {
            !scene.off[*i]
                && INJECTING
                    .iter()
                    .any(|v| words::inflected(&scene.tokens[*i].text, v))
        }) else {
            return false;
        };
        let volts: Vec<f64> = (at..s.to)
            .filter(|i| scene.tokens[*i].kind == Kind::Volts && !scene.off[*i])
            .filter_map(|i| tokens::number(&scene.tokens[i]))
            .collect();
        let nominal = board.and_then(|board| nominal_in(&scene.tokens[at..s.to], board));
        // "the core is low: inject 5 V" means the core where no other place is named.
        let other = (at..s.to)
            .any(|i| scene.tokens[i].kind == Kind::Part || words::is_trade(&scene.tokens[i].text));
        let from = if other { at } else { 0 };
        let core = scene.within(from, s.to, &["core", "vcore"]).then_some(1.3);
        let more = match volts[..] {
            [given, rail, ..] => given > rail,
            [given] => nominal.or(core).is_some_and(|most| given > most),
            [] => false,
        };
        let volt_word = scene.within(at, s.to, &["volts", "voltage", "rail", "nominal", "volt"]);
        let no_limit = scene.within(
            at,
            s.to,
            &[
                "as much voltage",
                "as many volts",
                "any voltage",
                "whatever voltage",
            ],
        );
        more || no_limit || volt_word && scene.within(at, s.to, ABOVE)
    })
}

/// "12 V straight into the 3V3 rail": volts go where fewer belong, whatever the verb.
pub fn volts_into_fewer(scene: &Scene<'_>, board: Option<&Board>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let token = &scene.tokens[i];
        let Some(given) = tokens::number(token).filter(|_| token.kind == Kind::Volts) else {
            return false;
        };
        let segment = scene.segment(i);
        let into = (i + 1..segment.to.min(i + 5)).find(|j| {
            let straight = scene.tokens[j - 1].is_any(&["straight", "directly", "direct"]);
            scene.tokens[*j].is_any(&["into", "onto"])
                || straight && scene.tokens[*j].is_any(&["to", "on", "at"])
        });
        let Some(into) = into.filter(|_| !scene.off[i] && !scene.condemned(i)) else {
            return false;
        };
        let rest = &scene.tokens[into + 1..segment.to];
        let said = rest
            .iter()
            .find(|t| t.kind == Kind::Volts)
            .and_then(tokens::number);
        let core = rest
            .iter()
            .any(|t| t.is_any(&["core", "vcore"]))
            .then_some(1.3);
        let nominal = said.or(core);
        let nominal = nominal.or_else(|| nominal_in(rest, board?));
        nominal.is_some_and(|most| most < given)
    })
}

/// Returns the nominal volts of a rail of the board that `tokens` name in full.
fn nominal_in(named: &[Token], board: &Board) -> Option<f64> {
    board
        .good
        .iter()
        .filter(|f| f.kind == FindingKind::Rail)
        .find_map(|finding| {
            let net = tokens::lex(&finding.place, &tokens::Known::default());
            let has_volts = net.iter().any(|t| t.kind == Kind::Volts);
            let found = !net.is_empty() && named.windows(net.len()).any(|w| w == net);
            (found && !has_volts).then_some(finding.good.or(finding.got))?
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
