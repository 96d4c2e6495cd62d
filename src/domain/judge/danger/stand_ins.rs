//! What is put where a protection belongs, whatever verb is used or none: wire in a fuse, a fixed resistor
//! for a temperature sensor, two pins twisted together, nothing at all.
//!
//! The rule is one of classes: a part that protects, and in the same sentence something that is not its
//! like (a conductor, a joining, and in `stilled` a doubling, a fixed value, its absence for good). For how long it is meant
//! does not matter. What is denied, refused, found, or taken away again is no such act, and neither is the
//! mending of a track. Word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::defeats;
use crate::domain::judge::danger::hazards::Thing;
use crate::domain::judge::danger::hazards::things;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

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

/// Tells whether a protection is named at `i`.
pub(in crate::domain::judge) fn protects(scene: &Scene<'_>, i: usize) -> bool {
    PROTECTIONS.iter().any(|thing| scene.thing_at(i, thing))
}

/// Tells whether one of `words` stands in `s`, denied or not.
pub(in crate::domain::judge) fn says(scene: &Scene<'_>, s: Segment, words: &[&str]) -> bool {
    scene.tokens[s.from..s.to].iter().any(|t| t.is_any(words))
}

/// Returns what stands between two hard breaks; a colon is none here ("R9: fit a wire").
pub(in crate::domain::judge) fn sentences(scene: &Scene<'_>) -> Vec<Segment> {
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
pub(in crate::domain::judge) fn is_found(scene: &Scene<'_>, s: Segment, at: usize) -> bool {
    let before = Segment { to: at, ..s };
    let behind = Segment { from: at, ..s };
    let taken_away = (s.from..s.to).any(|i| {
        let takes = scene.is_form(i, &["take", "took", "pull", "lift", "cut", "get"]);
        let off =
            (i + 1..s.to.min(i + 6)).find(|j| scene.tokens[*j].is_any(&["off", "out", "away"]));
        takes && off.is_some_and(|off| i < at && (at < off || off == i + 1 && at <= off + 3))
    });
    taken_away
        || says(scene, before, FOUND)
        || !pads_ahead(scene, s, at) && says(scene, s, TRACK)
        || says(
            scene,
            behind,
            &["found", "removed", "undone", "cleared", "gone"],
        )
}

/// "bridge the pads": no track is mended there.
fn pads_ahead(scene: &Scene<'_>, s: Segment, at: usize) -> bool {
    scene.tokens[at..s.to].iter().take(4).any(|t| t.is("pads"))
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
        let Some(at) = (s.from..s.to).find(|i| protects(scene, *i)) else {
            return false;
        };
        (s.from..s.to).any(|i| {
            let meant = scene.tokens[i].kind == Kind::Word
                && !scene.off[i]
                && !scene.condemned(i)
                && !is_found(scene, s, i);
            let between = (i.min(at)..i.max(at))
                .any(|j| j != at && scene.tokens[j].kind == Kind::Part && !protects(scene, j));
            meant
                && !between
                && (closes(scene, s, i) || links(scene, s, i, at) || joins_ends(scene, s, i, at))
        })
    })
}

/// "solder it shut", "short circuit F1", "twist them together": the words say it whatever stands between.
fn closes(scene: &Scene<'_>, s: Segment, i: usize) -> bool {
    const TOGETHER: &[&str] = &[
        "twist", "tie", "join", "connect", "put", "wire", "solder", "clip", "hold",
    ];
    let behind =
        |n: usize, words: &[&str]| (i + 1..s.to.min(i + n)).any(|j| scene.tokens[j].is_any(words));
    let shut =
        scene.is_form(i, &["solder"]) && behind(5, &["shut", "across", "together", "closed"]);
    let of_what = scene
        .tokens
        .get(i + 2)
        .is_none_or(|t| t.kind == Kind::Part || t.is("the"));
    let circuit = scene.tokens[i].is("short") && behind(2, &["circuit"]) && of_what;
    let together = scene.is_form(i, TOGETHER) && behind(7, &["together"]);
    shut || circuit || together
}

/// "link pack fuse F1", "K1 bridged": a linking right before or behind the protection at `at`; a bridge that
/// was found, or is mended, is none.
fn links(scene: &Scene<'_>, s: Segment, i: usize, at: usize) -> bool {
    const THINGS: &[&str] = &[
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
    ];
    const MENDED: &[&str] = &["replace", "renew", "refit", "new", "replaced"];
    let made = i == s.from || !scene.tokens[i - 1].is_any(THINGS);
    let to_another = (i.min(at)..i.max(at)).any(|j| scene.tokens[j].is("from"));
    let before = i < at && at - i <= 4;
    let behind = at < i && i - at <= 2 && scene.tokens[i].text.ends_with("ed");
    scene.is_form(i, &["link", "jumper", "strap", "bypass", "bridge"])
        && made
        && !to_another
        && (before || behind && !scene.says(MENDED))
}

/// "take R9 away and bridge the pads": where the protection was, its ends are joined.
fn joins_ends(scene: &Scene<'_>, s: Segment, i: usize, at: usize) -> bool {
    const ENDS: &[&str] = &["pads", "gap", "ends", "holder", "contacts", "legs"];
    scene.is_form(i, &["bridge", "link", "short", "solder", "join", "connect"])
        && at < i
        && (i + 1..s.to.min(i + 4)).any(|j| scene.tokens[j].is_any(ENDS))
        && !scene.says(&["replace", "renew", "new", "reflow"])
}
