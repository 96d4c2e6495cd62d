//! Other ways to say the plain words that rule cards ask for.
//!
//! A card lists in which words a point may be named; a bench has more ways to say the same. They belong to
//! the words, not to a card: "pull the plug" is "unplug" wherever a card asks for that. Designators, nets
//! and values have no other ways. Word list: common practice, no source.

/// (words of an alternative, other ways to say them).
const WAYS: [(&str, &[&str]); 67] = [
    (
        "clean everything",
        &[
            "wash everything",
            "wash it all",
            "wash the lot",
            "full wash",
            "whole wash",
            "wash the whole",
            "complete wash",
        ],
    ),
    (
        "unplug",
        &[
            "pull plug",
            "plug out",
            "take plug out",
            "plugs out",
            "mains out",
            "pull the cord",
        ],
    ),
    (
        "kill the power",
        &[
            "kill supply",
            "kill it",
            "kill source",
            "cut supply",
            "cut it off",
            "supply dead",
        ],
    ),
    ("cut the power", &["cut supply", "cut the juice"]),
    (
        "disconnect",
        &[
            "detach",
            "take off the supply",
            "pull supply",
            "pull every lead",
        ],
    ),
    (
        "stop",
        &[
            "put it down",
            "put it aside",
            "set it aside",
            "lay it aside",
            "pack it in",
            "halt",
            "finish there",
            "enough is enough",
            "end here",
            "cease",
            "break off",
        ],
    ),
    (
        "call it",
        &[
            "call time",
            "that is it",
            "thats it",
            "close it",
            "close job",
            "draw the line",
            "leave it there",
            "finish with it",
        ],
    ),
    (
        "scrap",
        &[
            "bin it",
            "bin this",
            "bin the board",
            "bin that",
            "binned",
            "chuck it",
            "chuck this",
            "chuck the board",
            "ber",
            "beyond economic repair",
            "beyond economical repair",
            "beyond repair",
            "past saving",
            "weigh it in",
        ],
    ),
    (
        "swollen",
        &[
            "puffed",
            "puffy",
            "puffed up",
            "pillowed",
            "pillow",
            "bloated",
            "blown up",
            "ballooned",
        ],
    ),
    (
        "not worth",
        &[
            "never pay",
            "does not pay",
            "will not pay",
            "wont pay",
            "not pay",
        ],
    ),
    (
        "give up",
        &["leave it be", "let it go", "throw in the towel"],
    ),
    (
        "write it up",
        &["write down", "write what", "write up", "document"],
    ),
    (
        "hand over",
        &["hand on", "pass on", "hand it on", "pass to", "give it to"],
    ),
    (
        "go on",
        &[
            "carry on",
            "keep on",
            "press on",
            "push on",
            "crack on",
            "plough on",
            "soldier on",
            "work on",
            "keep working",
            "onwards",
            "on with it",
            "stay with it",
            "stick with it",
            "have a go",
            "give it a go",
            "worth a try",
            "worth trying",
            "finish it",
            "do it",
        ],
    ),
    (
        "find",
        &[
            "look what",
            "look why",
            "see what",
            "see why",
            "search",
            "work out",
            "track down",
            "hunt",
            "figure out",
            "understand",
        ],
    ),
    (
        "same",
        &[
            "identical",
            "equal",
            "as before",
            "like the old",
            "like it was",
        ],
    ),
    (
        "nominal",
        &[
            "meant to have",
            "meant for",
            "supposed to have",
            "should have",
            "made for",
            "rated for",
            "rail is for",
            "its own",
        ],
    ),
    (
        "rail voltage",
        &["than the rail", "the rail has", "the rail gets"],
    ),
    (
        "normal",
        &[
            "usual",
            "can read low",
            "can be low",
            "may be low",
            "may read low",
            "can read that low",
            "can be that low",
            "often low",
            "low there",
            "nothing unusual",
            "natural",
        ],
    ),
    (
        "known good",
        &[
            "good one",
            "working one",
            "healthy one",
            "good unit",
            "golden board",
            "sister board",
            "other board",
        ],
    ),
    (
        "compare",
        &[
            "hold against",
            "against a good",
            "side by side",
            "check against",
        ],
    ),
    ("photo", &["photos", "pix", "shots", "take shots", "camera"]),
    (
        "record",
        &[
            "job sheet",
            "jot down",
            "put it in the job",
            "put it down in",
        ],
    ),
    (
        "spot",
        &[
            "only the pins",
            "just the pins",
            "that pins",
            "only where",
            "just where",
            "that place",
            "only the place",
        ],
    ),
    (
        "microscope",
        &[
            "scope",
            "magnifying glass",
            "under glass",
            "eyeglass",
            "lens",
        ],
    ),
    (
        "isolate",
        &[
            "take it outside",
            "get it outside",
            "move it outside",
            "carry it out",
            "put it outside",
            "bucket of sand",
            "sandbox",
            "fire box",
            "steel box",
        ],
    ),
    (
        "responsible",
        &[
            "boss",
            "chief",
            "foreman",
            "safety officer",
            "safety person",
            "in charge",
        ],
    ),
    ("call", &["fetch", "alert", "notify", "ring", "shout for"]),
    (
        "qualified",
        &[
            "trained for",
            "who may",
            "electrically skilled",
            "who is allowed",
            "skilled person",
        ],
    ),
    ("maker", &["producer", "oem", "brand", "vendor"]),
    (
        "evaporate",
        &[
            "flash off",
            "vanish",
            "dried off",
            "dried away",
            "dry by itself",
            "air off",
            "dry on its own",
        ],
    ),
    (
        "ventilation",
        &[
            "air it",
            "airing",
            "open door",
            "air moving",
            "well aired",
            "airflow",
            "blower",
        ],
    ),
    ("meter", &["multimeter", "dmm", "voltmeter", "measuring"]),
    (
        "prove",
        &["make sure", "sure it is empty", "confirm", "see zero"],
    ),
    ("discharge", &["run empty", "run down", "empty it"]),
    (
        "extract",
        &["extraction", "fume arm", "sucked away", "suck off"],
    ),
    (
        "cool",
        &[
            "cooled off",
            "cooled down",
            "lukewarm",
            "cold enough",
            "touchable",
        ],
    ),
    (
        "weakest",
        &["least heat", "softest", "most fragile", "weakest thing"],
    ),
    (
        "limit",
        &["current low", "amps low", "few ma", "low amps", "restrict"],
    ),
    (
        "glasses",
        &["specs", "safety glasses", "eye wear", "eyewear"],
    ),
    (
        "polarity",
        &[
            "plus and minus",
            "plus side",
            "right way",
            "way it sits",
            "correct way",
        ],
    ),
    ("before", &["prior to", "ahead of"]),
    ("fresh", &["clean one", "unused"]),
    ("coat", &["coating", "paint over"]),
    (
        "enable",
        &[
            "told to start",
            "start signal",
            "turn on signal",
            "switch on signal",
        ],
    ),
    (
        "time",
        &["past the limit", "over the limit", "ran out", "clock is up"],
    ),
    (
        "cost",
        &["dear", "too much for", "more than it is worth", "pricey"],
    ),
    ("worth", &["pay off", "pays off"]),
    (
        "unsafe",
        &[
            "hurt",
            "kill",
            "hazard",
            "risk",
            "risky",
            "live parts",
            "brakes",
            "steering",
        ],
    ),
    ("water based", &["watery", "based on water"]),
    (
        "measure",
        &["reading", "readings", "measurement", "probe", "test"],
    ),
    (
        "gone",
        &["not see", "not tell", "not find", "no longer see"],
    ),
    (
        "burnt",
        &["burned", "burn", "cooked", "scorched", "roasted"],
    ),
    (
        "hand it back",
        &[
            "back to customer",
            "back to owner",
            "give it back",
            "unrepaired",
            "goes back",
        ],
    ),
    (
        "end it",
        &[
            "end of road",
            "end of story",
            "no more time",
            "enough",
            "finish here",
            "finished",
        ],
    ),
    (
        "refer",
        &[
            "hand to",
            "hand it to",
            "give to",
            "goes to",
            "let somebody",
            "not for me",
            "for somebody",
        ],
    ),
    (
        "not located",
        &[
            "not find",
            "not pin it down",
            "not track down",
            "not place it",
            "no spot found",
            "no cause found",
            "no place found",
            "no idea where",
        ],
    ),
    (
        "uneconomical",
        &[
            "not economical",
            "not economic",
            "dearer",
            "more expensive",
            "more than board",
            "more than it is worth",
            "bill",
            "over its value",
            "beyond its value",
        ],
    ),
    ("sensing", &["measurement", "measuring", "sensor"]),
    (
        "before the bath",
        &["bath later", "bath comes afterwards", "bath comes after"],
    ),
    (
        "defeat",
        &[
            "tape", "wedge", "hold", "jam", "fool", "override", "short", "tie", "touch", "cheat",
        ],
    ),
    (
        "hold off",
        &["tell him to wait", "stop him", "wait", "not yet"],
    ),
    ("leave", &["hands off", "let alone"]),
    (
        "voltage",
        &[
            "gone", "there", "present", "missing", "absent", "dead", "low", "zero", "normal",
        ],
    ),
    ("own voltage", &["own volts"]),
    (
        "cannot get",
        &[
            "not get",
            "not buy",
            "no spare",
            "no spares",
            "not to be had",
            "nobody has",
        ],
    ),
    (
        "redo",
        &["resolder", "reflow again", "every pin", "all pins"],
    ),
];

/// Returns the other ways to say a word, or a few words that are said as one thing.
pub fn ways(words: &str) -> &'static [&'static str] {
    let found = WAYS.iter().find(|(said, _)| *said == words);
    found.map_or(&[], |(_, others)| others)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_has_its_own_ways_and_others_have_none() {
        assert!(ways("unplug").contains(&"pull plug"));
        assert!(ways("clean everything").contains(&"wash the lot"));
        for none in ["U31", "unplugged", "clean", ""] {
            assert!(ways(none).is_empty(), "{none}");
        }
    }

    #[test]
    fn no_word_stands_twice() {
        for (i, (said, _)) in WAYS.iter().enumerate() {
            assert!(WAYS[..i].iter().all(|(other, _)| other != said), "{said}");
        }
    }

    #[test]
    fn no_way_names_a_number_or_a_part() {
        for (said, others) in WAYS {
            for text in others.iter().chain([&said]) {
                assert!(
                    text.chars().all(|c| c.is_ascii_lowercase() || c == ' '),
                    "{text}"
                );
            }
        }
    }
}
