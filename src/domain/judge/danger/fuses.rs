//! Fuses of a higher rating, and what conducts in the place of one.
//!
//! What stands for a protection in any words is in `stand_ins`; here are the numbers: amps against the
//! ratings that the board's own parts have in their names. Rules and word lists: common practice, no source.

use crate::domain::job::Board;
use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::situations::has;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::words;

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
        // "T6.3, nothing bigger".
        let refused =
            i > s.from && scene.tokens[i - 1].is_any(&["nothing", "none", "never", "nor", "not"]);
        !other
            && !refused
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
