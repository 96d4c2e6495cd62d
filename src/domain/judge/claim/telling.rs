//! What an answer only tells: how something is, what is innocent, what others did.
//!
//! "U21 is warm from feeding it. It's the cap: new C95" does one thing and tells another. Here stands which
//! stretches tell, which of them clear a part ("U40 can stay"), and which verbs are no doing of the person who
//! answers ("the current jumps", "the last shop changed the shunt"). Leaves out what is denied with a "not"
//! ([`crate::domain::judge::read::scope`]). Word lists: common practice, no source.

use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::read::acts;
use crate::domain::judge::read::acts::CHECK;
use crate::domain::judge::read::acts::Verb;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// Verbs between a part and the word that says how it is.
const LINKS: [&str; 18] = [
    "is", "are", "was", "were", "looks", "look", "reads", "read", "measures", "tests", "test",
    "seems", "seem", "stays", "stay", "being", "be", "remains",
];
/// Words that call a part good.
const GOOD: [&str; 20] = [
    "fine",
    "ok",
    "okay",
    "good",
    "innocent",
    "healthy",
    "intact",
    "alright",
    "sound",
    "normal",
    "guiltless",
    "blameless",
    "spotless",
    "perfect",
    "happy",
    "unhurt",
    "unharmed",
    "cleared",
    "exonerated",
    "untouched",
];
/// Small words between a part and what is said of it.
const SMALL: [&str; 16] = [
    "itself",
    "still",
    "both",
    "all",
    "really",
    "perfectly",
    "also",
    "quite",
    "too",
    "just",
    "probably",
    "surely",
    "as",
    "well",
    "there",
    "here",
];
/// Words of blame: denied, they clear.
const BLAME: [&str; 12] = [
    "guilty", "culprit", "fault", "faulty", "cause", "blame", "problem", "trouble", "it", "one",
    "involved", "suspect",
];

/// "F1 is fine", "L12 reads ok", "U40 innocent", "U18 and the isolator can stay", "U5 was never guilty", "the
/// fan driver has nothing to do with it": nothing else is said of it.
pub fn clears(said: &[Token]) -> bool {
    let has = |words: &[&str]| said.iter().any(|t| t.is_any(words));
    if has(&["because", "since", "due", "cos", "after"]) || doing(said) {
        return false;
    }
    is_called_good(said) || may_stay(said) || is_unblamed(said) || has_no_part_in_it(said)
}

/// Tells whether a stretch names parts and says nothing of them: "the coil", "U18".
pub fn only_names(said: &[Token]) -> bool {
    said.iter().all(|t| {
        t.kind != Kind::Word
            || words::is_filler(&t.text)
                && !t.is_any(&["new", "dead", "bad", "faulty", "shorted", "open"])
            || words::is_trade(&t.text)
    })
}

/// Tells whether a stretch holds a repair in plain words ("new", "swap").
fn doing(said: &[Token]) -> bool {
    let done = |t: &Token| {
        t.is_any(&["new", "fresh", "another"])
            || [
                "replace", "swap", "change", "renew", "exchange", "reflow", "resolder", "fit",
            ]
            .iter()
            .any(|verb| words::inflected(&t.text, verb))
    };
    said.iter().any(|t| t.kind == Kind::Word && done(t))
}

fn is_called_good(said: &[Token]) -> bool {
    let end = |from: usize| said[from..].iter().all(|t| t.is_any(&SMALL));
    let copula = said
        .iter()
        .position(|t| t.is_any(&LINKS))
        .filter(|at| *at <= 3);
    let linked = copula.is_some_and(|at| {
        let good = (at + 1..said.len()).find(|i| !said[*i].is_any(&SMALL));
        good.is_some_and(|i| said[i].is_any(&GOOD) && said.len() <= i + 2)
    });
    // "U40 innocent", "F1 ok": a name and a word.
    let named = said
        .iter()
        .any(|t| t.kind == Kind::Part || words::is_class(&t.text));
    let bare = said.len() <= 4
        && named
        && copula.is_none()
        && (1..said.len()).any(|i| said[i].is_any(&GOOD) && end(i + 1))
        && !said
            .iter()
            .any(|t| scope::is_negator(t) || t.is_any(&["known", "if", "when", "until"]));
    linked || bare
}

/// "U14 stays", "can stay where it is", "keep U40": it is left as it is; "stays cold" says how it is.
fn may_stay(said: &[Token]) -> bool {
    let left = said
        .windows(2)
        .position(|w| w[0].is("be") && w[1].is("left"));
    let stays = said.iter().position(|t| {
        t.is_any(&[
            "stay", "stays", "remain", "remains", "survives", "lives", "kept",
        ])
    });
    let at = left.map(|i| i + 1).or(stays);
    at.is_some_and(|at| {
        let told = said[..at]
            .iter()
            .filter(|t| t.kind == Kind::Part || t.kind == Kind::Word)
            .count();
        let rest = &said[at + 1..];
        let place = |t: &Token| {
            t.is_any(&[
                "where", "it", "they", "is", "are", "in", "on", "put", "place", "as", "there",
                "alone", "fitted", "aboard",
            ])
        };
        let known = said[at].text != "lives" || said[..at].iter().any(|t| t.kind == Kind::Part);
        (1..=7).contains(&told) && known && rest.iter().all(place)
    })
}

/// "was never guilty", "isn't the cause", "not it", "nothing wrong with U31".
fn is_unblamed(said: &[Token]) -> bool {
    let denied = said.iter().position(|t| {
        t.is_any(&[
            "not", "never", "isnt", "wasnt", "arent", "werent", "no", "nothing", "hardly",
            "willnae",
        ])
    });
    denied.is_some_and(|at| {
        let rest: Vec<&Token> = said[at + 1..]
            .iter()
            .filter(|t| {
                !t.is_any(&[
                    "the", "a", "at", "to", "really", "your", "my", "be", "in", "ever", "our",
                ])
            })
            .collect();
        let blamed = |t: &&Token| t.is_any(&BLAME);
        let part = said[..at]
            .iter()
            .any(|t| t.kind == Kind::Part || words::is_trade(&t.text));
        let wrong =
            said[at].is("nothing") && rest.first().is_some_and(|t| t.is_any(&["wrong", "amiss"]));
        let fills = rest.len() <= 2 && !rest.is_empty() && rest.iter().all(blamed);
        wrong || part && !said[at].is("nothing") && fills
    })
}

/// "has nothing to do with it", "did its job", "off the hook".
fn has_no_part_in_it(said: &[Token]) -> bool {
    const SAID: [&[&str]; 12] = [
        &["nothing", "to", "do", "with"],
        &["no", "part", "in"],
        &["did", "its", "job"],
        &["does", "its", "job"],
        &["doing", "its", "job"],
        &["did", "nothing", "wrong"],
        &["off", "the", "hook"],
        &["in", "the", "clear"],
        &["not", "to", "blame"],
        &["only", "the", "victim"],
        &["only", "the", "messenger"],
        &["is", "a", "victim"],
    ];
    SAID.iter().any(|phrase| {
        said.windows(phrase.len())
            .any(|run| run.iter().zip(*phrase).all(|(t, w)| t.is(w)))
    })
}

/// Words that end what was done to no purpose: "changed for nothing", "swapped in vain", "no joy".
const TO_NO_PURPOSE: [[&str; 2]; 21] = [
    ["for", "nothing"],
    ["for", "nowt"],
    ["for", "naught"],
    ["in", "vain"],
    ["before", "me"],
    ["before", "us"],
    ["before", "mine"],
    ["no", "joy"],
    ["no", "help"],
    ["no", "difference"],
    ["no", "change"],
    ["no", "effect"],
    ["no", "luck"],
    ["no", "avail"],
    ["didnt", "help"],
    ["hadnt", "helped"],
    ["helped", "nothing"],
    ["down", "the"],
    ["a", "waste"],
    ["money", "wasted"],
    ["without", "effect"],
];

/// "U4 had been changed twice before me", "tried U12 first, no joy", "three U31s wasted": what was done before,
/// to no purpose.
pub fn is_in_vain(said: &[Token]) -> bool {
    let named = said
        .iter()
        .any(|t| t.kind == Kind::Part || words::is_class(&t.text));
    let own = said.iter().any(|t| {
        t.is_any(&DUTY)
            || t.is_any(&[
                "now", "so", "not", "never", "new", "again", "instead", "properly",
            ])
    });
    let done = |t: &Token| t.kind == Kind::Word && repaired(&t.text);
    let two =
        |first: &str, second: &str| said.windows(2).any(|w| w[0].is(first) && w[1].is(second));
    let phrase = TO_NO_PURPOSE.iter().any(|[a, b]| two(a, b));
    let had_been = said
        .windows(3)
        .any(|w| w[0].is("had") && w[1].is("be") && done(&w[2]))
        || said
            .windows(3)
            .any(|w| w[0].is("had") && w[1].is("been") && done(&w[2]));
    let repeated = said.iter().any(|t| t.is_any(&["twice", "thrice"])) && said.iter().any(done);
    let tried = said.iter().any(|t| t.is("tried")) && said.iter().any(|t| t.is("first"));
    let wasted = said.iter().any(|t| t.is("wasted"));
    let acted = said.iter().any(done) || said.iter().any(|t| t.is("tried"));
    named && !own && (phrase && acted || had_been || repeated || tried || wasted)
}

/// Tells whether a word is a repair that was done: "replaced", "swapped".
fn repaired(word: &str) -> bool {
    word.ends_with("ed")
        && [
            "replace", "swap", "change", "renew", "exchange", "reflow", "resolder", "clean",
            "reball", "reseat",
        ]
        .iter()
        .any(|verb| words::inflected(word, verb))
        || ["done", "redone", "rebuilt"].contains(&word)
}

/// "BT1 out first", "C5 discharged and proven": safety before the work, and no fix.
pub fn is_made_safe(said: &[Token]) -> bool {
    let part = |letters: &str| {
        said.iter().any(|t| {
            t.kind == Kind::Part && t.text.trim_end_matches(|c: char| c.is_ascii_digit()) == letters
        })
    };
    let says = |words: &[&str]| said.iter().any(|t| t.is_any(words));
    let parts = said.iter().filter(|t| t.kind == Kind::Part).count();
    let cell_said = says(&["cell", "cells", "battery", "pack"])
        && parts == 0
        && !said.iter().any(|t| acts::is_check(&t.text));
    let one = parts == 1 || cell_said;
    let cell =
        (part("BT") || cell_said) && says(&["out", "removed", "disconnected", "unplugged", "off"]);
    let cell = cell
        || cell_said
            && said
                .windows(2)
                .any(|w| w[0].is("off") && w[1].is_any(&["charge", "charger"]));
    let charge = part("C")
        && says(&[
            "discharge",
            "discharged",
            "bled",
            "bleed",
            "drained",
            "emptied",
            "proven",
            "proved",
        ]);
    let renewed = said.iter().any(|t| {
        t.is_any(&[
            "new", "replace", "replaced", "swap", "change", "fit", "renew",
        ])
    });
    one && (cell || charge) && !renewed
}

/// Words of a circuit that name no part.
const CIRCUITS: [&str; 11] = [
    "side", "circuit", "path", "end", "section", "stage", "area", "supply", "power", "bit", "block",
];

/// Returns where the circuit that opens an answer ends: "Sensing. The amplifier ...", "Buck, the 3.3 V. The
/// output cap ...", 0 where none does. The part that is meant is named behind it.
pub fn heading(tokens: &[Token], parts: &Parts) -> usize {
    let Some(stop) = tokens.iter().position(|t| t.kind == Kind::Stop) else {
        return 0;
    };
    let (said, rest) = (&tokens[..stop], &tokens[stop + 1..]);
    let circuit = |t: &Token| t.kind == Kind::Word && parts.has_family(&t.text);
    let plain = |t: &Token| {
        t.is_joint()
            || t.kind == Kind::Volts
            || t.kind == Kind::Word && (words::is_filler(&t.text) || t.is_any(&CIRCUITS))
    };
    let only = said.iter().any(circuit) && said.iter().all(|t| circuit(t) || plain(t));
    let later = rest
        .iter()
        .any(|t| t.kind == Kind::Part || t.kind == Kind::Word && words::is_class(&t.text));
    let words: Vec<&Token> = said.iter().collect();
    let names_one = matches!(parts.meaning_in(&words), Meaning::Part(_));
    let next = rest
        .iter()
        .position(|t| t.kind == Kind::Stop)
        .unwrap_or(rest.len());
    let acts_at_once =
        (0..next).any(|i| acts::verb_at(&rest[..next], i).is_some_and(|v| v.act != CHECK));
    let part_next = rest[..next].iter().any(|t| t.kind == Kind::Part);
    if only && later && !(names_one && acts_at_once && !part_next) {
        stop + 1
    } else {
        0
    }
}

/// People whose doings are told and not proposed.
const OTHERS: [&str; 34] = [
    "somebody",
    "someone",
    "fella",
    "fellow",
    "fellas",
    "guy",
    "bloke",
    "lad",
    "lads",
    "man",
    "shop",
    "workshop",
    "predecessor",
    "apprentice",
    "trainee",
    "colleague",
    "owner",
    "customer",
    "user",
    "farmer",
    "skipper",
    "they",
    "others",
    "people",
    "everyone",
    "everybody",
    "who",
    "neighbour",
    "repairer",
    "previous",
    "technician",
    "nobody",
    "brother",
    "electrician",
];
/// Words by which what others do is proposed all the same.
const DUTY: [&str; 9] = [
    "should", "shouldve", "must", "need", "needs", "want", "wants", "ought", "let",
];

/// Tells whether the verb at `verb` is what somebody else did: "the last shop changed the shunt".
pub fn is_others_doing(tokens: &[Token], segment: Segment, verb: &Verb) -> bool {
    let before = &tokens[segment.from..verb.at];
    let who = before.iter().any(|t| t.is_any(&OTHERS));
    let text = tokens[verb.at].text.as_str();
    let past =
        |t: &Token| t.text.ends_with("ed") || t.is_any(&["wouldve", "put", "had", "left", "did"]);
    let finite = text.ends_with('s') || text.ends_with("ed") || before.iter().any(past);
    let own = before
        .iter()
        .any(|t| t.is_any(&DUTY) || t.is_any(&["i", "id", "ill", "we"]));
    who && finite && !own
}

/// Tells whether the verb at `verb` only says what something does by itself: "the draw jumps", "flexing changes
/// it", "warm from pulling against it", "closes clean".
pub fn is_by_itself(tokens: &[Token], segment: Segment, verb: &Verb) -> bool {
    let text = tokens[verb.at].text.as_str();
    let before = &tokens[segment.from..verb.at];
    let behind = &tokens[verb.at + 1..segment.to];
    let last = |words: &[&str]| before.last().is_some_and(|t| t.is_any(words));
    let person = before
        .iter()
        .any(|t| t.is_any(&["i", "he", "she", "one", "somebody", "me"]));
    // "it changes when I bend it", "Q7 pulls it down"; "jumpers", "links" and "straps" are things as well.
    let third = verb.len == 1
        && text.ends_with('s')
        && !text.ends_with("ss")
        && verb.act != CHECK
        && verb.act != "bridge-or-jumper"
        && !person;
    let jumps = text.starts_with("jump")
        && !text.starts_with("jumper")
        && before.last().is_some_and(|t| t.kind == Kind::Word)
        && behind
            .first()
            .is_some_and(|t| t.is_any(&["to", "between", "from", "up", "about", "back", "by"]));
    // "linking it out would take the protection away".
    let supposed =
        before.iter().any(|t| t.text.ends_with("ing")) && before.iter().any(|t| t.is("would"));
    let going_on = text.ends_with("ing")
        && last(&[
            "from",
            "is",
            "are",
            "was",
            "were",
            "keeps",
            "starts",
            "nobody",
            "something",
            "while",
            "when",
        ]);
    let of_no_use = text.ends_with("ing")
        && before.iter().all(|t| words::is_filler(&t.text))
        && behind.iter().any(|t| {
            t.is_any(&[
                "would", "changes", "changed", "nothing", "only", "makes", "does", "did", "masks",
                "hides",
            ])
        });
    let bought_time = behind
        .windows(2)
        .any(|w| w[0].is("bought") && w[1].is("time"));
    let adjective = text == "clean"
        && (behind
            .first()
            .is_some_and(|t| t.is_any(&["look", "break", "bill"]))
            || last(&[
                "close", "closes", "closed", "comes", "came", "boots", "reads", "looks", "is",
                "ran", "runs",
            ]));
    // "worn out", "crept out": a state.
    let worn = ["out", "off"].contains(&text)
        && last(&[
            "worn", "burnt", "burned", "crept", "walks", "walked", "dried", "come", "came",
            "comes", "fell", "fallen", "dropped", "went", "slid", "slipped", "runs", "ran",
            "turned", "torn", "broken", "popped", "wore", "dries",
        ]);
    let proves = last(&["by"]) && before.iter().any(|t| acts::is_check(&t.text));
    third
        || jumps
        || supposed
        || worn
        || going_on
        || of_no_use
        || bought_time
        || adjective
        || proves
}

/// Words that say how a part is or what it does.
const STATES: [&str; 64] = [
    "is", "are", "was", "were", "has", "had", "gets", "got", "getting", "stays", "stayed", "sits",
    "stands", "reads", "measures", "shows", "feeds", "feeding", "runs", "running", "pulls",
    "pulling", "pulled", "drags", "dragged", "dragging", "goes", "went", "died", "dies", "failed",
    "fails", "blew", "leaks", "leaking", "leaked", "warm", "hot", "cold", "cool", "took", "takes",
    "lost", "loses", "drifted", "torn", "gives", "gave", "comes", "came", "sees", "wants", "makes",
    "holds", "ought", "idle", "feels", "drops", "waits", "never", "cant", "doesnt", "wont", "only",
];

/// Tells whether a stretch without a doing says how something is; one that adds to what stands before it
/// ("U9 is dead as well") does not.
pub fn tells(said: &[Token]) -> bool {
    let adds = said
        .iter()
        .any(|t| t.is_any(&["also", "too", "likewise", "same", "both"]));
    let well = said.windows(2).any(|w| w[0].is("as") && w[1].is("well"));
    let others = said.iter().any(|t| t.is_any(&OTHERS));
    // "U5 recovers by itself".
    let does = said.windows(2).any(|w| {
        w[0].kind == Kind::Part
            && w[1].kind == Kind::Word
            && w[1].text.len() > 4
            && w[1].text.ends_with('s')
    });
    !adds && !well && (others || does || said.iter().any(|t| t.is_any(&STATES)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::tokens::Known;

    fn said(text: &str) -> Vec<Token> {
        tokens::lex(text, &Known::default())
    }

    #[test]
    fn what_is_called_good_or_left_is_cleared() {
        for text in [
            "F1 is fine",
            "U40 innocent",
            "U40 can stay",
            "U14 stays",
            "Y1 can be left",
            "U5 was never guilty",
            "the fan driver has nothing to do with it",
            "nothing wrong with U31",
            "Q5 is not the cause",
        ] {
            assert!(clears(&said(text)), "{text}");
        }
        for text in [
            "U31 stays cold",
            "U31 is not fine",
            "put a good one in",
            "replace U31",
            "F1 is open",
            "a new U40 is fine",
        ] {
            assert!(!clears(&said(text)), "{text}");
        }
    }

    #[test]
    fn what_was_done_in_vain_is_told() {
        for text in [
            "R147 was changed twice before that",
            "R62 had been swapped for nothing",
            "tried U4 first like a wally",
            "three U31s wasted before us",
            "U27 got swapped twice",
            "R62 was done twice before me for nothing",
        ] {
            assert!(is_in_vain(&said(text)), "{text}");
        }
        for text in [
            "replaced R147",
            "R147 should have been changed twice",
            "U31 had been cold",
            "swap U31 and that is that",
            "new U4 first",
            "R62 never changed for nothing",
        ] {
            assert!(!is_in_vain(&said(text)), "{text}");
        }
    }

    #[test]
    fn a_stretch_tells_how_something_is() {
        for text in [
            "U21 getting warm",
            "C88 reads 2 ohm",
            "U5 recovers by itself",
            "who had it before",
        ] {
            assert!(tells(&said(text)), "{text}");
        }
        for text in ["U31", "U31 as well", "new U31", "U9 is dead too"] {
            assert!(!tells(&said(text)), "{text}");
        }
    }
}
