//! The verbs of repair, from bench shorthand to the vocabulary of jobs.
//!
//! Word list: common practice, no source. Checking verbs are known too: what is only checked is no
//! key point.

use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words::inflected;

/// The pseudo-act of clauses that only check, measure or look.
pub const CHECK: &str = "check";

/// A verb found in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verb {
    /// Index of its first token.
    pub at: usize,
    /// How many tokens it takes.
    pub len: usize,
    /// Act from the job vocabulary, or [`CHECK`].
    pub act: &'static str,
    /// Counts only where its clause has no plain verb ("a new fuse", "flash").
    pub weak: bool,
}

/// (phrase, act); the first word may be inflected.
const PLAIN: [(&str, &str); 227] = [
    ("replace", "replace"),
    ("replacement", "replace"),
    ("replc", "replace"),
    ("rplc", "replace"),
    ("repl", "replace"),
    ("rpl", "replace"),
    ("renew", "replace"),
    ("swap", "replace"),
    ("swap out", "replace"),
    ("change", "replace"),
    ("change out", "replace"),
    ("exchange", "replace"),
    ("substitute", "replace"),
    ("fit new", "replace"),
    ("fit a new", "replace"),
    ("fit fresh", "replace"),
    ("install new", "replace"),
    ("install a new", "replace"),
    ("put in new", "replace"),
    ("put in a new", "replace"),
    ("put a new", "replace"),
    ("reflow", "reflow"),
    ("reflowd", "reflow"),
    ("re flow", "reflow"),
    ("rework", "reflow"),
    ("resolder", "reflow"),
    ("re solder", "reflow"),
    ("retouch", "reflow"),
    ("touch up", "reflow"),
    ("reball", "reball"),
    ("re ball", "reball"),
    ("bridge", "bridge-or-jumper"),
    ("jumper", "bridge-or-jumper"),
    ("jump", "bridge-or-jumper"),
    ("wire link", "bridge-or-jumper"),
    ("link out", "bridge-or-jumper"),
    ("link across", "bridge-or-jumper"),
    ("link wire", "bridge-or-jumper"),
    ("bodge", "bridge-or-jumper"),
    ("bodge wire", "bridge-or-jumper"),
    ("wire across", "bridge-or-jumper"),
    ("run a wire", "bridge-or-jumper"),
    ("patch wire", "bridge-or-jumper"),
    ("bypass", "bridge-or-jumper"),
    ("strap", "bridge-or-jumper"),
    ("remove", "remove"),
    ("pull", "remove"),
    ("pull off", "remove"),
    ("take off", "remove"),
    ("took off", "remove"),
    ("taken off", "remove"),
    ("take out", "remove"),
    ("lift", "remove"),
    ("lift off", "remove"),
    ("depopulate", "remove"),
    ("desolder", "remove"),
    ("leave out", "remove"),
    ("left out", "remove"),
    ("omit", "remove"),
    ("clean", "clean"),
    ("clnd", "clean"),
    ("cln", "clean"),
    ("wash", "clean"),
    ("scrub", "clean"),
    ("rinse", "clean"),
    ("brush off", "clean"),
    ("remove salt", "clean"),
    ("remove the residue", "clean"),
    ("remove residue", "clean"),
    ("remove the corrosion", "clean"),
    ("remove corrosion", "clean"),
    ("decontaminate", "clean"),
    ("reseat", "reseat"),
    ("re seat", "reseat"),
    ("replug", "reseat"),
    ("refit", "reseat"),
    ("remate", "reseat"),
    ("plug back", "reseat"),
    ("reflash", "reprogram-firmware"),
    ("reflashd", "reprogram-firmware"),
    ("re flash", "reprogram-firmware"),
    ("reprogram", "reprogram-firmware"),
    ("re program", "reprogram-firmware"),
    ("program", "reprogram-firmware"),
    ("reload", "reprogram-firmware"),
    ("recalibrate", "recalibrate"),
    ("re calibrate", "recalibrate"),
    ("recal", "recalibrate"),
    ("re cal", "recalibrate"),
    ("calibrate", "recalibrate"),
    ("rebuild", "rebuild-pad-or-trace"),
    ("repair trace", "rebuild-pad-or-trace"),
    ("repair the trace", "rebuild-pad-or-trace"),
    ("repair pad", "rebuild-pad-or-trace"),
    ("repair the pad", "rebuild-pad-or-trace"),
    ("repair via", "rebuild-pad-or-trace"),
    ("repair the via", "rebuild-pad-or-trace"),
    ("restore trace", "rebuild-pad-or-trace"),
    ("mend trace", "rebuild-pad-or-trace"),
    ("cut out", "remove"),
    ("snip", "remove"),
    ("leave off", "remove"),
    ("left off", "remove"),
    ("plug it back", "reseat"),
    ("plug it in again", "reseat"),
    ("put it back in", "reseat"),
    ("re plugged", "reseat"),
    ("swop", "replace"),
    ("chuck in a new", "replace"),
    ("needs a new", "replace"),
    ("drop in a new", "replace"),
    ("put a fresh", "replace"),
    ("put in a fresh", "replace"),
    ("put fresh", "replace"),
    ("fit a fresh", "replace"),
    ("fit a good", "replace"),
    ("put a good", "replace"),
    ("wipe", "clean"),
    ("degrease", "clean"),
    ("push home", "reseat"),
    ("push back", "reseat"),
    ("push in", "reseat"),
    ("re plug", "reseat"),
    ("plug in again", "reseat"),
    ("rewrite", "reprogram-firmware"),
    ("write in", "reprogram-firmware"),
    ("written in", "reprogram-firmware"),
    ("write back", "reprogram-firmware"),
    ("written back", "reprogram-firmware"),
    ("load image", "reprogram-firmware"),
    ("load the image", "reprogram-firmware"),
    ("load settings", "reprogram-firmware"),
    ("load the settings", "reprogram-firmware"),
    ("polish", "clean"),
    ("scrape", "clean"),
    ("get the muck", "clean"),
    ("off with it", "clean"),
    ("reheat", "reflow"),
    ("re heat", "reflow"),
    ("remelt", "reflow"),
    ("rfl", "reflow"),
    ("fresh solder", "reflow"),
    ("new solder", "reflow"),
    ("hot air", "reflow"),
    ("heat and flux", "reflow"),
    ("flux and heat", "reflow"),
    ("more solder", "reflow"),
    ("go over the joints", "reflow"),
    ("new balls", "reball"),
    ("fresh balls", "reball"),
    ("put another", "replace"),
    ("put in another", "replace"),
    ("pop in another", "replace"),
    ("fit another", "replace"),
    ("put other one", "replace"),
    ("fit that one", "replace"),
    ("put one in", "replace"),
    ("needs renewing", "replace"),
    ("write the image", "reprogram-firmware"),
    ("image on it", "reprogram-firmware"),
    ("burn the image", "reprogram-firmware"),
    ("copy the image", "reprogram-firmware"),
    ("write again", "reprogram-firmware"),
    ("back in", "reseat"),
    ("build it anew", "rebuild-pad-or-trace"),
    ("build anew", "rebuild-pad-or-trace"),
    ("build up", "rebuild-pad-or-trace"),
    ("build it up", "rebuild-pad-or-trace"),
    ("remake", "rebuild-pad-or-trace"),
    ("restore the pad", "rebuild-pad-or-trace"),
    ("restore the track", "rebuild-pad-or-trace"),
    ("thread a wire", "bridge-or-jumper"),
    ("jumper wire", "bridge-or-jumper"),
    ("iron", "reflow"),
    ("heat it", "reflow"),
    ("flux it", "reflow"),
    ("fresh tin", "reflow"),
    ("load it again", "reprogram-firmware"),
    ("load again", "reprogram-firmware"),
    ("reload it", "reprogram-firmware"),
    ("bung in", "replace"),
    ("pop in a", "replace"),
    ("wire through", "bridge-or-jumper"),
    ("reinsert", "reseat"),
    ("reconnect", "reseat"),
    ("relatch", "reseat"),
    ("renewed", "replace"),
    ("back home", "reseat"),
    ("home again", "reseat"),
    ("push it home", "reseat"),
    ("click it home", "reseat"),
    ("like for like", "replace"),
    ("same ohms again", "replace"),
    ("same value again", "replace"),
    ("same type again", "replace"),
    ("same rating again", "replace"),
    ("same again", "replace"),
    ("identical one", "replace"),
    ("equivalent one", "replace"),
    ("equal one", "replace"),
    ("its equal", "replace"),
    ("in with the new", "replace"),
    ("one goes on", "replace"),
    ("one goes in", "replace"),
    ("one goes back", "replace"),
    ("put its like", "replace"),
    ("seat it", "reseat"),
    ("seat again", "reseat"),
    ("latch it", "reseat"),
    ("push it in", "reseat"),
    ("push it back", "reseat"),
    ("run the iron", "reflow"),
    ("go over them", "reflow"),
    ("go over it", "reflow"),
    ("go over all", "reflow"),
    ("go over the pins", "reflow"),
    ("go over the legs", "reflow"),
    ("go over every", "reflow"),
    ("thin wire", "bridge-or-jumper"),
    ("bit of wire", "bridge-or-jumper"),
    ("piece of wire", "bridge-or-jumper"),
    ("enamelled wire", "bridge-or-jumper"),
    ("wire to the next", "bridge-or-jumper"),
    ("give it a wash", "clean"),
    ("give it a scrub", "clean"),
    ("flex in", "reseat"),
    ("close the latch", "reseat"),
];
/// As [`PLAIN`], counted only where the clause has no plain verb.
const WEAK: [(&str, &str); 38] = [
    ("new", "replace"),
    ("fit", "replace"),
    ("install", "replace"),
    ("solder", "reflow"),
    ("take", "remove"),
    ("flash", "reprogram-firmware"),
    ("firmware", "reprogram-firmware"),
    ("load firmware", "reprogram-firmware"),
    ("update firmware", "reprogram-firmware"),
    ("write image", "reprogram-firmware"),
    ("restore image", "reprogram-firmware"),
    ("cal", "recalibrate"),
    ("repair", "rebuild-pad-or-trace"),
    ("mend", "rebuild-pad-or-trace"),
    ("fresh", "replace"),
    ("push", "reseat"),
    ("swab", "clean"),
    ("brush", "clean"),
    ("clear", "reflow"),
    ("none", "none"),
    ("nothing", "none"),
    ("another", "replace"),
    ("spare", "replace"),
    ("image", "reprogram-firmware"),
    ("ipa", "clean"),
    ("alcohol", "clean"),
    ("out", "remove"),
    ("heat", "reflow"),
    ("flux", "reflow"),
    ("write", "reprogram-firmware"),
    ("software", "reprogram-firmware"),
    ("isopropyl", "clean"),
    ("contact cleaner", "clean"),
    ("contact spray", "clean"),
    ("fibre pen", "clean"),
    ("fiber pen", "clean"),
    ("toothbrush", "clean"),
    ("soft brush", "clean"),
];
/// Weak verbs that count wherever in their clause they stand.
pub const STAND_ANYWHERE: [&str; 23] = [
    "new",
    "firmware",
    "none",
    "nothing",
    "fresh",
    "another",
    "spare",
    "image",
    "ipa",
    "alcohol",
    "rewrite",
    "write",
    "software",
    "out",
    "heat",
    "flux",
    "isopropyl",
    "contact",
    "fibre",
    "fiber",
    "toothbrush",
    "soft",
    "go",
];
/// Verbs that only look.
const CHECKS: [&str; 22] = [
    "check",
    "chk",
    "measure",
    "test",
    "inspect",
    "verify",
    "probe",
    "look",
    "compare",
    "confirm",
    "prove",
    "power",
    "retest",
    "recheck",
    "watch",
    "see",
    "find",
    "monitor",
    "log",
    "photograph",
    "record",
    "note",
];

/// Returns the verb that starts at `at`; the longest phrase wins.
pub fn verb_at(tokens: &[Token], at: usize) -> Option<Verb> {
    let phrase = |table: &[(&'static str, &'static str)], weak: bool| {
        table
            .iter()
            .filter_map(|(words, act)| {
                let len = phrase_at(tokens, at, words)?;
                Some(Verb { at, len, act, weak })
            })
            .max_by_key(|verb| verb.len)
    };
    let plain = writes_a_program(tokens, at)
        .or_else(|| puts_a_new_one(tokens, at))
        .or_else(|| phrase(&PLAIN, false));
    let weak = phrase(&WEAK, true);
    let token = tokens.get(at)?;
    let check = token.kind == Kind::Word && CHECKS.iter().any(|c| inflected(&token.text, c));
    let check = (check && !is_noun(tokens, at)).then_some(Verb {
        at,
        len: 1,
        act: CHECK,
        weak: false,
    });
    plain.or(check).or(weak)
}

/// "write the good image", "load the values again": what is written is a program.
fn writes_a_program(tokens: &[Token], at: usize) -> Option<Verb> {
    const WRITING: [&str; 14] = [
        "load", "reload", "write", "flash", "put", "copy", "restore", "burn", "install", "program",
        "store", "enter", "push", "reenter",
    ];
    const WRITTEN: [&str; 18] = [
        "image",
        "values",
        "settings",
        "parameters",
        "data",
        "code",
        "program",
        "software",
        "contents",
        "content",
        "backup",
        "configuration",
        "config",
        "defaults",
        "build",
        "file",
        "setup",
        "table",
    ];
    let verb = tokens.get(at)?;
    if verb.kind != Kind::Word || !WRITING.iter().any(|w| inflected(&verb.text, w)) {
        return None;
    }
    let behind = tokens[at + 1..]
        .iter()
        .take(5)
        .take_while(|t| !t.is_joint());
    let n = behind.clone().position(|t| t.is_any(&WRITTEN))?;
    let part = behind
        .take(n)
        .any(|t| t.kind == Kind::Part || t.is_any(&["chip", "in", "into", "on"]));
    // "put the program back in U3".
    let back = tokens[at + n + 2..]
        .iter()
        .take_while(|t| t.is_any(&["back", "in", "into", "on", "onto", "to", "again"]))
        .count();
    (!part).then_some(Verb {
        at,
        len: n + 2 + back,
        act: "reprogram-firmware",
        weak: false,
    })
}

/// "solder a fresh Y1 in", "drop in another one": what is put there is new; "new solder" is none.
fn puts_a_new_one(tokens: &[Token], at: usize) -> Option<Verb> {
    const PUTTING: [&str; 12] = [
        "solder", "put", "stick", "drop", "pop", "place", "mount", "slap", "bung", "whack",
        "throw", "get",
    ];
    let verb = tokens.get(at)?;
    if verb.kind != Kind::Word
        || verb.text.ends_with("ing")
        || !PUTTING.iter().any(|w| inflected(&verb.text, w))
    {
        return None;
    }
    let behind = tokens[at + 1..]
        .iter()
        .take(4)
        .take_while(|t| !t.is_joint());
    let n = behind
        .clone()
        .position(|t| t.is_any(&["new", "fresh", "another"]))?;
    let between = behind.take(n).all(|t| {
        t.is_any(&[
            "a", "an", "in", "on", "the", "me", "us", "two", "three", "back",
        ])
    });
    let thing = tokens.get(at + n + 2)?;
    let stuff = thing.is_joint()
        || thing.is_any(&[
            "on", "to", "at", "both", "joint", "joints", "pin", "pins", "solder", "balls", "image",
            "flux", "tin", "pad", "pads", "trace", "wire", "firmware", "software", "in", "all",
            "with", "again",
        ]);
    (between && !stuff).then_some(Verb {
        at,
        len: n + 2,
        act: "replace",
        weak: false,
    })
}

/// Returns the verbs of one word.
pub fn plain_words() -> impl Iterator<Item = &'static str> {
    let repairs = PLAIN.iter().chain(&WEAK).map(|(phrase, _)| *phrase);
    repairs.chain(CHECKS).filter(|phrase| !phrase.contains(' '))
}

/// Tells whether `word` is a form of a verb that only looks.
pub fn is_check(word: &str) -> bool {
    CHECKS.iter().any(|check| inflected(word, check))
}

/// Tells whether `word` is a word of any verb that takes several words.
pub fn in_a_phrase(word: &str) -> bool {
    let several = PLAIN.iter().chain(&WEAK).filter(|(p, _)| p.contains(' '));
    several.map(|(phrase, _)| phrase).any(|phrase| {
        let mut words = phrase.split(' ');
        words.next().is_some_and(|first| inflected(word, first)) || words.any(|w| w == word)
    })
}

/// Returns how many tokens of `phrase` stand at `at`, its first word in any regular form.
pub fn phrase_at(tokens: &[Token], at: usize, phrase: &str) -> Option<usize> {
    if !may_start(tokens, at, phrase) {
        return None;
    }
    let mut len = 0;
    for (i, word) in phrase.split(' ').enumerate() {
        let token = tokens.get(at + i)?;
        let same = if i == 0 {
            token.kind == Kind::Word && inflected(&token.text, word)
        } else {
            token.is(word)
        };
        if !same {
            return None;
        }
        len = i + 1;
    }
    Some(len)
}

/// Tells whether the first letters agree: a cheap look before the words are compared.
pub fn may_start(tokens: &[Token], at: usize, phrase: &str) -> bool {
    tokens
        .get(at)
        .is_some_and(|t| t.text.as_bytes().first() == phrase.as_bytes().first())
}

/// Tells whether the word at `at` stands after an article or "with": a thing, not a doing.
pub fn is_noun(tokens: &[Token], at: usize) -> bool {
    at > 0
        && tokens[at - 1].is_any(&[
            "a", "an", "the", "this", "that", "any", "with", "using", "by", "of", "no", "solder",
            "old",
        ])
}

/// Returns the acts that count as `act` when the part is the same.
pub fn same_act(act: &str, other: &str) -> bool {
    let plain = |act: &str| {
        if act == "replace-connector" {
            "replace".to_owned()
        } else {
            act.to_owned()
        }
    };
    act == "other" || plain(act) == plain(other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::ACTS;
    use crate::domain::judge::read::tokens;
    use crate::domain::judge::read::tokens::Known;

    #[test]
    fn every_act_is_in_the_vocabulary_of_jobs() {
        for (phrase, act) in PLAIN.iter().chain(&WEAK) {
            assert!(ACTS.contains(act), "{phrase}");
        }
    }

    #[test]
    fn bench_shorthand_is_understood() {
        for (text, act) in [
            ("swapped", "replace"),
            ("rplcd", "replace"),
            ("repl", "replace"),
            ("renewed", "replace"),
            ("re-flow", "reflow"),
            ("touched up", "reflow"),
            ("resoldered", "reflow"),
            ("pulled", "remove"),
            ("take off", "remove"),
            ("clnd", "clean"),
            ("washed", "clean"),
            ("jumpered", "bridge-or-jumper"),
            ("bodge wire", "bridge-or-jumper"),
            ("reflashd", "reprogram-firmware"),
            ("recal", "recalibrate"),
            ("re-seat", "reseat"),
            ("measured", CHECK),
            ("inspect", CHECK),
        ] {
            let found = verb_at(&tokens::lex(text, &Known::default()), 0);
            assert_eq!(found.map(|v| v.act), Some(act), "{text}");
        }
    }
}
