//! The second net under what is judged right: words that belong to no safe repair, and the tone of people
//! who are about to do something else as well.
//!
//! A right answer to a repair card names acts and parts, and perhaps why. "Or", "if", "while", "until",
//! "for now", "anyway" and "it runs without" hardly ever stand in one and often in answers that add
//! something unsafe: so it was in the tables of typed answers that were in sight. The net errs to the safe
//! side: one kind of doubt keeps an answer from being right, several make a right one unsafe. What is denied,
//! refused or told of another is not caught.
//! Word lists: common practice, no source.

use crate::domain::card::CardKind;
use crate::domain::judge::assent::GRAVE;
use crate::domain::judge::harm::classes;
use crate::domain::judge::harm::classes::Class;
use crate::domain::judge::harm::protections;
use crate::domain::judge::harm::reading::Reading;
use crate::domain::judge::harm::work;
use crate::domain::judge::tokens::Kind;

/// A right repair is for good.
const FOR_A_WHILE: Class = Class::Words(&[
    "for now",
    "for today",
    "for the weekend",
    "for the moment",
    "for the time being",
    "for a test",
    "for the test",
    "for testing",
    "just to",
    "till",
    "until",
    "meanwhile",
    "in the meantime",
    "temporarily",
    "temporary",
    "so he can",
    "so it runs",
    "so that it",
    "so you",
    "get him home",
    "get home",
    "to get it going",
    "arrives",
    "next week",
    "later",
    "provisional",
    "emergency",
    "one trip",
    "this season",
    "in spring",
    "a second",
    "a minute",
    "ten minutes",
    "half an hour",
    "overnight",
    "quick",
    "quickly",
    "now",
    "on stock",
    "in stock",
    "spare",
]);
/// What people say who know better, and how they tell that it runs all the same.
const EXCUSES: Class = Class::Words(&[
    "it is only",
    "its only",
    "only the cold",
    "only the secondary",
    "only milliohm",
    "no one ever",
    "every time",
    "always did",
    "always do",
    "always works",
    "always worked",
    "plenty",
    "no time",
    "your breath",
    "my breath",
    "one hand",
    "sealed",
    "signs",
    "his risk",
    "own risk",
    "insists",
    "watching it",
    "drops volts",
    "bugs me",
    "never happens",
    "who cares",
    "alone",
    "no lamp",
    "lid off",
    "hood off",
    "cover off",
    "good enough",
    "flea market",
    "trouble",
    "in the way",
    "out of the way",
    "too slow",
    "overkill",
    "be careful",
    "carefully",
    "saves",
    "faster",
    "quicker",
    "cheaper",
    "harmless",
    "wont hurt",
    "cannot bite",
    "whats the worst",
    "more power",
    "survives",
    "so it never",
    "keep quiet",
    "anyway",
    "anyhow",
    "nobody",
    "ok",
    "okay",
    "fine if",
    "is fine",
    "its fine",
    "enough",
    "sure is",
    "to be sure",
    "harder",
    "ridiculous",
    "cowards",
    "lasts",
    "happy",
    "lives",
    "talks",
    "anymore",
    "any more",
    "twice",
    "while at it",
    "while there",
    "the same job",
    "does the job",
    "stays cool",
    "without it",
    "as well without",
    "less heat",
    "starts faster",
    "charges faster",
    "who needs",
    "you can",
    "can go",
    "can stay",
    "may stay",
    "if you must",
    "let him",
]);
/// States and ways that belong to no repair.
const RISKS: Class = Class::Words(&[
    "plug in",
    "plug still in",
    "still plugged",
    "plugged",
    "live",
    "under power",
    "on the mains",
    "energised",
    "energized",
    "cook",
    "cooks",
    "cooking",
    "glow",
    "glows",
    "glowed",
    "glowing",
    "smoke",
    "smokes",
    "flame",
    "spark",
    "sparks",
    "boil",
    "dunk",
    "dunked",
    "petrol",
    "lighter",
    "float",
    "floated",
    "floating",
    "stay in",
    "stays in",
    "stay on",
    "stays on",
    "stayed",
    "straight",
    "direct",
    "directly",
    "full",
    "wide open",
    "hammer",
    "knife",
    "finger",
    "fingers",
    "thumb",
    "by hand",
    "my hand",
    "wet",
    "lick",
    "tongue",
    "hot side",
    "give it back",
    "hand it back",
    "goes back",
    "defeat",
    "override",
    "bypass",
    "cheat",
    "fool",
    "dummy",
    "wedge",
    "tape",
    "taped",
    "bigger",
    "larger",
    "stronger",
    "beefier",
    "uprated",
    "higher rating",
    "fatter",
    "thicker",
    "thick",
    "heavier",
    "double",
    "doubled",
    "two in parallel",
    "swollen",
    "puffy",
    "bulging",
    "swelled",
    "do it hot",
    "switched on",
    "running",
    "screwdriver",
    "wrench",
    "poke",
    "prod",
    "wired out",
    "still up",
    "fixed resistor",
    "plain resistor",
    "spanner",
    "pliers",
    "tweezer",
    "spoon",
    "vice",
    "ruler",
    "felt",
    "tested it with",
    "under tension",
    "under voltage",
    "reversed",
    "without mask",
    "dry without",
    "a stick",
    "hold the",
    "hold in",
    "does too",
    "close enough",
    "as good",
    "overrated",
    "half the",
    "double speed",
    "double charging",
    "from the drawer",
    "from a",
    "from the stove",
    "from the car",
    "from the junk",
    "bare board",
    "bare fingers",
    "tingle",
    "ring",
    "to feel",
    "barefoot",
    "pencil",
    "household",
    "car battery",
    "stove",
    "past the",
    "around the",
    "skip",
    "forget",
    "in the bin",
    "step up",
    "half the value",
    "go up to",
    "hard wire",
    "no precharge",
    "no limit",
    "ground the",
    "tie",
    "bend",
]);
/// What is done to a part beside putting a new one in.
const DONE_TO_IT: Class = Class::Words(&[
    "across it",
    "over it",
    "round it",
    "around it",
    "past it",
    "instead of it",
    "in there",
    "clipped",
    "charged",
    "pressed",
    "emptied",
    "glued",
    "wrapped",
    "snipped",
    "letting",
    "touching",
    "wired",
    "taped",
    "levered",
    "warmed",
    "injected",
    "reversed",
    "stopped",
    "tapping",
    "popped",
    "turned",
    "doubled",
    "pinched",
    "bent",
    "twisted",
    "wound",
    "jammed",
    "stuffed",
    "held",
    "filed",
    "drilled",
    "works with",
    "not connected",
    "not fitted",
    "missing but",
    "wrong way",
    "backwards",
    "tabs soldered",
    "cells soldered",
    "in its place",
    "keep using",
    "still good",
    "left charged",
    "left open",
    "not screwed",
    "without screws",
]);
/// What takes back or widens a refusal, or makes light of it, in an answer to a rule.
const WIDENED: Class = Class::Words(&[
    "ok",
    "okay",
    "fine",
    "sure",
    "always",
    "instead",
    "full",
    "straight",
    "screwdriver",
    "enough",
    "plenty",
    "quick",
    "quickly",
    "nobody",
    "mine",
    "small",
    "a bit",
    "a little",
    "a splash",
    "a cup",
    "helps",
    "anyhow",
    "anyway",
    "skip",
    "by hand",
    "myself",
    "yourself",
    "may stay",
    "can stay",
    "for one",
    "for a minute",
    "hold your",
    "your nose",
    "my nose",
    "with one hand",
    "rest out",
    "alright",
    "harmless",
    "healthy",
    "survived",
    "years",
    "late",
    "me without",
    "in the drawer",
    "in the box",
    "nearly",
    "almost",
    "drive",
    "drives",
    "meanwhile",
    "until then",
    "till then",
    "later",
    "mostly",
    "works",
    "runs",
    "so yes",
    "as good",
    "right away",
    "try again",
    "damp finger",
    "finger",
    "touching",
    "slowly",
    "freeze",
    "blow on it",
    "sand it",
    "sand the",
    "file it",
    "file the",
    "tape",
    "overrated",
    "only hold",
    "bend",
    "ankle",
    "in the bin",
    "the bin",
    "keep using",
    "go on with",
    "neighbour",
    "outdoors",
    "three times",
    "tickles",
    "stronger",
    "bigger",
    "drill",
    "wrapped tight",
    "the leads",
    "charge it",
    "then charge",
    "he is quick",
    "it runs",
    "all the same",
]);
/// Letting be what a rule forbids.
const LETTING: Class = Class::Words(&["let"]);
/// What is rightly let: "let it evaporate first".
const AIRING: Class = Class::Words(&["evaporate", "dry", "cool", "air"]);
/// "pack out while soldering": the safe way of the same work.
const SAFE_STATE: Class = Class::Words(&[
    "pack out",
    "cell out",
    "battery out",
    "cable off",
    "unplugged",
    "plug out",
    "power off",
    "off the truck",
    "disconnected",
    "cold",
    "isolated",
    "supply off",
    "all off",
    "unpowered",
]);
const MEANWHILE: Class = Class::Words(&["while", "whilst"]);
/// Putting power on.
const POWERING: Class = Class::Words(&[
    "power it",
    "switch it on",
    "switch on",
    "plug it",
    "turn it on",
    "run it",
    "fire it",
    "power up",
    "power on",
    "try it",
    "and switch",
    "hook up",
    "connect it",
]);
/// What a first power-up is guarded by.
const GUARDED_START: Class = Class::Words(&[
    "limit",
    "limited",
    "limiter",
    "lamp",
    "bulb",
    "glasses",
    "goggles",
    "qualified",
    "variac",
    "isolation transformer",
    "low current",
    "current limited",
    "dummy load",
    "check",
    "measure",
    "see",
]);
/// Beside what hurts at once: what rules about these two refuse.
const GRAVE_TOO: [&str; 2] = ["lead", "cell-first"];

/// Returns how many kinds of doubt an answer raises: with one it is not right, with more it is unsafe.
pub fn raised(reading: &Reading<'_>, typed: &str) -> usize {
    let doubts = match reading.card.kind {
        CardKind::Fix | CardKind::Caution => about_a_repair(reading, typed),
        CardKind::Rule | CardKind::Stop if reading.warns(&GRAVE) || reading.warns(&GRAVE_TOO) => {
            about_a_rule(reading, typed)
        }
        _ => return 0,
    };
    doubts.into_iter().filter(|doubt| *doubt).count()
}

fn meant(reading: &Reading<'_>, class: &Class) -> bool {
    reading.find(class, 0, reading.scene.tokens.len()).is_some()
}

fn said(reading: &Reading<'_>, class: &Class) -> bool {
    reading.says(class, reading.whole())
}

fn about_a_repair(reading: &Reading<'_>, typed: &str) -> Vec<bool> {
    let wires = reading
        .card
        .answers
        .iter()
        .flat_map(|a| &a.steps)
        .any(|s| ["bridge-or-jumper", "rebuild-pad-or-trace"].contains(&s.act.as_str()));
    let conductors = [classes::NEVER_FITTED, classes::JOINING, classes::CONDUCTING];
    vec![
        said(reading, &EXCUSES),
        said(reading, &FOR_A_WHILE),
        meant(reading, &RISKS),
        said(reading, &DONE_TO_IT),
        meant(reading, &MEANWHILE) && !said(reading, &SAFE_STATE),
        meant(reading, &POWERING) && !said(reading, &GUARDED_START),
        goes_another_way(reading, typed),
        protections::is_taken_away(reading),
        protections::rates_a_fuse_anew(reading),
        !wires && conductors.iter().any(|class| meant(reading, class)),
        meant(reading, &Class::Lacks(work::PROVING)) && reading.warns(&["mains", "stored-charge"]),
    ]
}

fn about_a_rule(reading: &Reading<'_>, typed: &str) -> Vec<bool> {
    let but = words_of(typed).iter().any(|w| w == "but");
    vec![
        but && (reading.card_refuses() || reading.card.kind == CardKind::Stop),
        meant(reading, &WIDENED) || meant(reading, &LETTING) && !said(reading, &AIRING),
        reading.card.kind == CardKind::Rule && does_it_all_the_same(reading),
        reading.card.kind == CardKind::Rule && leaves_another_way(reading, typed),
    ]
}

/// "I only hold the probes", "I tape it for the reading": the writer's own doing where the card refuses one.
fn does_it_all_the_same(reading: &Reading<'_>) -> bool {
    const RIGHTLY: &[&str] = &[
        "would", "ask", "call", "leave", "get", "wait", "stop", "dont", "never", "tell", "say",
        "give", "refuse", "wont", "let", "send", "unplug", "isolate", "measure", "prove", "check",
        "take", "put", "find", "look", "go", "fit", "bring", "pass", "hand", "need", "want", "am",
        "do", "must", "should", "will", "note", "write", "report", "label",
    ];
    let tokens = &reading.scene.tokens;
    reading.card_refuses()
        && (0..tokens.len()).any(|i| {
            let only = tokens
                .get(i + 1)
                .is_some_and(|t| t.is_any(&["only", "just", "always"]));
            let rightly = tokens
                .get(i + 1 + usize::from(only))
                .is_none_or(|t| t.is_any(RIGHTLY) || t.is_joint());
            tokens[i].is("i") && reading.meant(i) && !rightly
        })
}

/// "through a lamp, or without": another way than the right one, and nobody qualified in it.
fn leaves_another_way(reading: &Reading<'_>, typed: &str) -> bool {
    const RIGHTLY: [&str; 20] = [
        "maker",
        "makers",
        "manufacturer",
        "manual",
        "qualified",
        "licensed",
        "electrician",
        "resistor",
        "tool",
        "stick",
        "lead",
        "datasheet",
        "sheet",
        "box",
        "isolate",
        "stop",
        "fire",
        "burns",
        "burst",
        "bursts",
    ];
    let warned =
        reading.card_refuses() || reading.warns(&["mains", "stored-charge", "first-power", "fuse"]);
    let said = words_of(typed);
    warned
        && said.iter().enumerate().any(|(i, word)| {
            ["or", "oder", "if", "unless"].contains(&word.as_str())
                && !said[i + 1..].iter().any(|w| RIGHTLY.contains(&w.as_str()))
        })
}

/// Returns the words of a text in small letters.
pub(super) fn words_of(typed: &str) -> Vec<String> {
    let words = typed.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// "or link it", "if it goes again …", "0R22 instead of 0R47": another way than the right one is left open.
fn goes_another_way(reading: &Reading<'_>, typed: &str) -> bool {
    let tokens = &reading.scene.tokens;
    let otherwise = (0..tokens.len()).any(|i| {
        tokens[i].is_any(&["if", "instead", "unless", "otherwise", "else"]) && reading.meant(i)
            || tokens[i].is("of")
                && i > 0
                && tokens[i - 1].is("instead")
                && tokens.get(i + 1).is_some_and(|t| t.kind == Kind::Value)
    });
    let said = words_of(typed);
    // "Rebuild pad or trace" is the name of one act.
    let of_one_act = |i: usize| {
        let word = |at: Option<usize>| at.and_then(|at| said.get(at)).map_or("", String::as_str);
        let beside = (word(i.checked_sub(1)), word(Some(i + 1)));
        matches!(
            beside,
            ("pad", "trace") | ("trace", "pad") | ("bridge", "jumper")
        )
    };
    otherwise || (0..said.len()).any(|i| said[i] == "or" && !of_one_act(i))
}
