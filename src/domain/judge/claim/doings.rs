//! Which doings a stretch of an answer holds: its verbs, read where they stand.
//!
//! The tables of verbs are in [`crate::domain::judge::read::acts`]; here is what of them counts in a sentence: weak
//! ones only where no other stands, things and states that look like a doing never. Leaves out to which part
//! a doing is done.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::claim::telling;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::acts::CHECK;
use crate::domain::judge::read::acts::Verb;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// Returns the doings of whoever answers, in all of `segments`.
pub fn read(tokens: &[Token], segments: &[Segment]) -> Vec<Verb> {
    let mut verbs: Vec<Verb> = Vec::new();
    for segment in segments {
        let own = verbs_in(tokens, *segment).into_iter();
        verbs.extend(own.filter(|v| !telling::is_others_doing(tokens, *segment, v)));
    }
    if verbs.iter().any(|v| v.act != CHECK && v.act != "none") {
        // "nothing comes out: new U18": nothing is no act beside another.
        verbs.retain(|v| v.act != "none");
    }
    verbs
}

/// Returns the verbs of a segment; weak ones only where no other stands.
fn verbs_in(tokens: &[Token], segment: Segment) -> Vec<Verb> {
    let mut found = Vec::new();
    let mut i = segment.from;
    while i < segment.to {
        match acts::verb_at(&tokens[..segment.to], i).filter(|v| stands(tokens, segment, *v)) {
            Some(verb) => {
                found.push(verb);
                i += verb.len;
            }
            None => i += 1,
        }
    }
    if let Some(verb) = mends_a_joint(tokens, segment) {
        found.retain(|v| v.weak || v.act == CHECK);
        found.push(verb);
    }
    if found.iter().any(|v| !v.weak) {
        found.retain(|v| !v.weak);
    } else {
        // "solder new ones in": what is new replaces.
        // "solder it new at both ends": that is done to the joints.
        let soldered = found
            .first()
            .is_some_and(|v| words::inflected(&tokens[v.at].text, "solder"));
        let best = found
            .iter()
            .position(|v| {
                tokens[v.at].is("new") && !(soldered && tokens[v.at - 1].is_any(&SOLDERED))
            })
            .unwrap_or(0);
        found = found.into_iter().skip(best).take(1).collect();
    }
    found
}

/// What is soldered anew rather than put in new.
const SOLDERED: [&str; 12] = [
    "it", "them", "pin", "pins", "joint", "joints", "leg", "legs", "pads", "ends", "ring", "that",
];

/// "Fix the joints", "make the pad again": what is mended says how.
fn mends_a_joint(tokens: &[Token], segment: Segment) -> Option<Verb> {
    let said = &tokens[segment.from..segment.to];
    let joint = said
        .iter()
        .any(|t| t.is_any(&["joint", "joints", "solder", "tin"]));
    let at = said.iter().position(|t| {
        ["fix", "mend", "repair", "remake", "redo"]
            .iter()
            .any(|verb| words::inflected(&t.text, verb))
    });
    let place = said
        .iter()
        .any(|t| t.is_any(&["pad", "pads", "trace", "via"]));
    let made = said.iter().position(|t| {
        [
            "make", "build", "fix", "mend", "repair", "remake", "redo", "renew",
        ]
        .iter()
        .any(|verb| words::inflected(&t.text, verb))
    });
    let verb = |at: usize, act| Verb {
        at: segment.from + at,
        len: 1,
        act,
        weak: false,
    };
    let again = said.iter().any(|t| t.is_any(&["again", "anew", "new"]));
    let joint = at.filter(|_| joint && !place).map(|at| verb(at, "reflow"));
    joint.or_else(|| {
        made.filter(|_| place && again)
            .map(|at| verb(at, "rebuild-pad-or-trace"))
    })
}

/// Tells whether a word that may be a verb is one where it stands.
fn stands(tokens: &[Token], segment: Segment, verb: Verb) -> bool {
    let first = (segment.from..segment.to)
        .find(|i| !words::is_filler(&tokens[*i].text) || *i == verb.at)
        .is_some_and(|i| i == verb.at);
    let text = tokens[verb.at].text.as_str();
    let next = tokens[..segment.to].get(verb.at + 1);
    let solder_bridge = text.starts_with("bridg")
        && verb.at > segment.from
        && tokens[verb.at - 1].is_any(&["solder", "residue", "salt", "corrosion", "flux"]);
    let heat_sink = text == "heat" && next.is_some_and(|t| t.is("sink"));
    let drags = text.starts_with("pull")
        && tokens[verb.at..segment.to]
            .iter()
            .take(6)
            .any(|t| t.is_any(&["down", "low", "up", "high"]));
    if solder_bridge || heat_sink || drags || telling::is_by_itself(tokens, segment, &verb) {
        // A bridge that was found is none that is made.
        return false;
    }
    let thing = |t: &Token| {
        t.kind == Kind::Word && words::is_trade(&t.text)
            || t.is_any(&["stage", "rail", "key", "plug"])
    };
    let the = |n: usize| {
        verb.at >= segment.from + n
            && tokens[verb.at - n].is_any(&["the", "their", "his", "that", "this"])
    };
    let put_in = tokens[verb.at..segment.to]
        .iter()
        .any(|t| t.is_any(&["in", "goes", "into"]));
    let fitted = ["new", "fresh"].contains(&text) && the(1) && !put_in;
    let thing_of = text == "flash" && the(1) && verb.weak;
    let field_change = text == "change"
        && verb.at > segment.from
        && tokens[verb.at - 1].is_any(&["field", "design", "engineering", "no"]);
    if fitted || thing_of || field_change {
        // "the new U31 was not soldered": what is there, and no doing.
        return false;
    }
    if text == "power" && next.is_some_and(thing) {
        // "power button": a thing.
        return false;
    }
    if verb.act == CHECK {
        return first || text.ends_with("ing") || text.ends_with("ed");
    }
    if verb.weak && verb.act == "rebuild-pad-or-trace" && verb.len == 1 {
        return tokens[segment.from..segment.to]
            .iter()
            .any(|t| t.is_any(&["pad", "pads", "trace", "via", "vias", "land"]));
    }
    !verb.weak || first || verb.len > 1 || acts::STAND_ANYWHERE.contains(&text)
}
