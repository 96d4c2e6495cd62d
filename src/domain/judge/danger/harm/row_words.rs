//! Classes of words that only one or two rows of the grammar use. Common practice, no source.

use crate::domain::judge::danger::harm::classes::Class;

/// A torn track is mended with wire.
pub const TRACK: Class = Class::Words(&[
    "track",
    "trace",
    "via",
    "vias",
    "pad",
    "pads",
    "land",
    "torn",
    "maker",
    "makers",
    "field change",
]);
/// Over.
pub const OVER: Class = Class::Words(&[
    "over",
    "across",
    "round",
    "around",
    "between",
    "through",
    "onto",
    "past",
    "for",
    "instead of",
    "in place of",
    "where",
]);
/// Ends.
pub const ENDS: Class = Class::Words(&[
    "source to drain",
    "drain to source",
    "d to s",
    "s to d",
    "anode to cathode",
    "cathode to anode",
    "pin to pin",
    "end to end",
    "in to out",
    "input to output",
    "across its contacts",
    "across the contacts",
    "over its contacts",
    "over the contacts",
    "contact to contact",
    "across its legs",
    "across its pads",
    "both ends",
    "its two ends",
    "its ends",
    "the two pads",
    "both pads",
    "its legs",
    "the two legs",
]);
/// Leads.
pub const LEADS: Class = Class::Words(&[
    "wire", "lead", "link", "cable", "jumper", "strap", "bridge", "clip", "solder", "short",
    "foil", "connect", "join",
]);
/// As means.
pub const AS_MEANS: Class = Class::Words(&[
    "with", "by", "from", "using", "as", "out of", "gets", "is now", "becomes", "made of", "into",
]);
/// Across.
pub const ACROSS: Class = Class::Words(&[
    "across", "over", "on", "onto", "to", "between", "at", "with",
]);
/// Safely.
pub const SAFELY: Class = Class::Words(&[
    "resistor",
    "ohm",
    "100r",
    "1k",
    "2k2",
    "10k",
    "100 ohm",
    "discharge tool",
    "discharge stick",
    "lamp",
    "bulb",
]);
/// Opened.
pub const OPENED: Class = Class::Words(&[
    "hood off",
    "hood open",
    "bare on the bench",
    "lid off",
    "cover off",
    "case open",
    "lid open",
    "cover open",
    "without the lid",
    "without the cover",
    "open on the bench",
]);
/// Powering.
pub const POWERING: Class = Class::Doing(&[
    "plug",
    "power",
    "switch on",
    "switch it on",
    "run",
    "start",
    "breathe",
    "energise",
    "turn on",
    "try",
    "test",
    "go",
]);
/// Cleaning off.
pub const CLEANING_OFF: Class = Class::Words(&[
    "burn it off",
    "burn off",
    "burns off",
    "bake it off",
    "boil it off",
    "light it",
    "set it alight",
    "flame it",
    "torch it",
]);
/// Putting up.
pub const PUTTING_UP: Class = Class::Words(&[
    "turned up",
    "set higher",
    "higher",
    "a bit up",
    "raised",
    "up to 120",
    "up a bit",
    "wider",
    "one resistor up",
    "a step up",
    "one step up",
    "one size up",
]);
/// Nothing new.
pub const NOTHING_NEW: Class = Class::Words(&[
    "no limit",
    "no current limit",
    "without limit",
    "limit off",
    "wide open",
    "full current",
    "full amps",
    "full 10a",
    "full 5a",
    "full 20a",
    "all the amps",
]);
/// Never.
pub const NEVER: Class = Class::Words(&["no", "never", "not", "dont", "wont"]);
/// Measuring.
pub const MEASURING: Class = Class::Doing(&["measure", "probe", "check", "read", "look"]);
/// Telling name.
pub const TELLING_NAME: Class = Class::Words(&[
    "temp",
    "temperature",
    "overtemp",
    "over temp",
    "thermal",
    "ntc",
    "fault",
    "alarm",
    "trip",
    "sense",
    "overcurrent",
    "over current",
    "ocp",
    "ovp",
    "interlock",
    "protection",
    "limit",
    "heat",
    "current",
]);
/// Telling noun.
pub const TELLING_NOUN: Class = Class::Words(&[
    "line", "pin", "contact", "signal", "input", "wire", "lead", "sensor", "switch", "output",
    "net", "node", "trace", "track",
]);
/// Wiring.
pub const WIRING: Class = Class::Doing(&[
    "wire", "run", "go", "link", "feed", "lead", "take", "connect", "supply", "power", "straight",
    "route", "cable", "solder", "lay",
]);
/// Same job.
pub const SAME_JOB: Class = Class::Words(&[
    "fixed",
    "plain",
    "ordinary",
    "does the same",
    "does the job",
    "will do",
    "in its place",
    "instead",
    "does it too",
    "works too",
]);
/// Stay in.
pub const STAY_IN: Class = Class::Words(&[
    "may stay",
    "can stay",
    "stays in",
    "stay in",
    "left in",
    "leave in",
    "stays where",
    "stay where",
    "in place",
]);
/// Past.
pub const PAST: Class = Class::Words(&[
    "past",
    "around",
    "round",
    "past the",
    "around the",
    "round the",
    "ahead of",
    "bypassing",
]);
/// All of it.
pub const ALL_OF_IT: Class = Class::Words(&[
    "full",
    "direct",
    "directly",
    "straight",
    "right",
    "wide open",
    "whole",
]);
/// Source.
pub const SOURCE: Class = Class::Words(&[
    "bus", "mains", "wall", "socket", "230", "230v", "battery", "supply", "current", "voltage",
    "24v", "12v", "48v", "limit", "amps",
]);
/// Limit.
pub const LIMIT: Class = Class::Words(&["limit", "limiter", "current limit", "supply"]);
/// All open.
pub const ALL_OPEN: Class = Class::Words(&[
    "wide open",
    "at full",
    "at max",
    "at maximum",
    "full up",
    "up full",
    "turned up",
    "all the way up",
    "open",
]);
/// Staying.
pub const STAYING: Class =
    Class::Doing(&["stay", "leave", "left", "keep", "remain", "still", "was"]);
/// On.
pub const ON: Class = Class::Words(&[
    "on",
    "in",
    "connected",
    "plugged",
    "live",
    "powered",
    "up",
    "running",
    "clipped in",
    "energised",
]);
/// Emptying.
pub const EMPTYING: Class = Class::Doing(&["discharge", "short", "empty", "bleed", "zap"]);
/// Means.
pub const MEANS: Class = Class::Words(&[
    "with", "by", "using", "to", "across", "over", "through", "via", "on", "against",
]);
/// Not metal.
pub const NOT_METAL: Class = Class::Words(&[
    "ground",
    "gnd",
    "tool",
    "rated",
    "qualified",
    "lead",
    "meter",
    "surge",
    "clamp",
    "controller",
    "secondary",
    "itself",
    "load",
]);
/// Back.
pub const BACK: Class = Class::Words(&[
    "goes back",
    "go back",
    "back in",
    "put back",
    "still takes",
    "still good",
    "keeps",
    "keep it",
    "use it",
    "leave it",
    "soak test",
    "works",
]);
/// Where a fuse stands.
pub const FUSE_HOLDER: Class = Class::Words(&[
    "in the holder",
    "in its holder",
    "into the holder",
    "fuse holder",
    "fuseholder",
    "fuse clips",
    "in the clips",
]);
/// Vessels that people drink from.
pub const DRINKING: Class = Class::Words(&[
    "lemonade bottle",
    "lemonade bottles",
    "water bottle",
    "water bottles",
    "drinks bottle",
    "cola bottle",
    "coke bottle",
    "juice bottle",
    "milk bottle",
    "drinking glass",
    "coffee cup",
    "coffee mug",
    "tea mug",
    "jam jar",
]);
/// Where a liquid is kept.
pub const KEPT_IN: Class = Class::Words(&[
    "decanted", "filled", "fill", "poured", "pour", "kept", "keep", "stored", "store", "lives",
    "is in", "comes in",
]);
/// Safety tests before a unit goes back.
pub const SAFETY_TEST: Class = Class::Words(&[
    "earth test",
    "isolation test",
    "insulation test",
    "hipot test",
    "high pot test",
    "safety test",
    "leakage test",
    "pat test",
    "earth test number",
    "earth test box",
]);
/// Writing down what was not measured.
pub const COPYING: Class = Class::Doing(&["copy", "invent", "guess", "fake", "make up"]);
/// Air that blows.
pub const AIR_LINE: Class = Class::Words(&[
    "air line",
    "airline",
    "air gun",
    "compressed air",
    "air hose",
]);
/// People it is turned on.
pub const BODIES: Class = Class::Words(&[
    "each other",
    "neck",
    "necks",
    "face",
    "faces",
    "skin",
    "ear",
    "ears",
    "clothes",
    "trousers",
]);
/// A charge left where it is.
pub const NEVER_EMPTIED: Class = Class::Words(&[
    "never drain",
    "never bleed",
    "never discharge",
    "never empty",
    "dont drain",
    "dont bleed",
    "dont discharge",
    "i never drain",
    "i never bleed",
    "i never discharge",
]);
/// A safety test that nobody made.
pub const UNTESTED: Class = Class::Words(&[
    "no earth test",
    "no isolation test",
    "no insulation test",
    "no hipot test",
    "no safety test",
    "dont make isolation test",
    "dont do the earth test",
    "dont do the isolation test",
    "dont make earth test",
    "skip the earth test",
    "skipped the earth test",
    "without earth test",
    "without insulation test",
    "without the earth test",
    "without isolation test",
]);
/// Where a capacitor or a supply is held.
pub const TERMINALS: Class = Class::Words(&[
    "by the terminals",
    "by its terminals",
    "by the legs",
    "by the pins",
]);
/// What has no resistance and breaks at no current.
pub const ZERO_OHM: Class =
    Class::Words(&["zero ohm", "zero ohms", "0 ohm", "0r", "zero ohm link"]);
/// Put in.
pub const PUT: Class = Class::Words(&[
    "went on",
    "went in",
    "goes on",
    "goes in",
    "put in",
    "fitted",
    "soldered in",
    "on instead",
]);
/// Mended in part.
pub const WORKING_HALF: Class = Class::Words(&[
    "working half",
    "half working",
    "half mended",
    "half repaired",
]);
/// Meant to be used.
pub const IN_USE: Class = Class::Words(&[
    "use it",
    "use on",
    "used on",
    "run it",
    "runs with it",
    "keep using",
]);
/// Smoke that nobody takes away.
pub const NO_EXTRACTION: Class = Class::Words(&[
    "no extraction",
    "no extractor",
    "no fume hood",
    "extractor off",
    "extraction off",
]);
/// Working on all the same.
pub const GO_ON: Class = Class::Words(&[
    "get on",
    "get on with it",
    "carry on",
    "go on",
    "all the same",
    "tilt your head",
    "hold your breath",
]);
/// Fed from a bench supply.
pub const ON_SUPPLY: Class = Class::Words(&[
    "on the bench supply",
    "on a bench supply",
    "on the supply",
    "from the bench supply",
]);
/// Having nothing that belongs there.
pub const ONLY_HAD: Class =
    Class::Words(&["only had", "had only", "only got", "only a", "all i had"]);
/// Fitting it all the same.
pub const PUT_THAT: Class = Class::Words(&[
    "put that",
    "put it in",
    "put one in",
    "fitted that",
    "used that",
    "in it went",
    "so that went in",
    "took that",
]);
/// Ways to bring heat to a thing.
pub const HEATING: Class = Class::Doing(&[
    "warm", "heat", "dry", "bake", "hold", "reflow", "melt", "roast", "put", "cook", "toast",
    "solder", "cure", "unsolder", "desolder", "soften", "do", "use", "run", "lay", "wave", "hang",
    "leave", "place",
]);
/// Flames, and heat that is made for food or rooms.
pub const HOME_FIRE: Class = Class::Words(&[
    "candle",
    "candles",
    "tealight",
    "tea light",
    "stove",
    "gas ring",
    "gas flame",
    "gas hob",
    "hob",
    "grill",
    "toaster",
    "air fryer",
    "frying pan",
    "kitchen oven",
    "pizza oven",
    "home oven",
    "camping stove",
    "cigarette lighter",
    "blowlamp",
    "blow lamp",
    "blowtorch",
    "blow torch",
    "campfire",
    "fireplace",
    "naked flame",
    "open flame",
    "bunsen",
]);
/// Of the mouth, and what is done with it.
pub const OF_MOUTH: Class = Class::Words(&[
    "my teeth",
    "your teeth",
    "the teeth",
    "between teeth",
    "in teeth",
    "with teeth",
    "my tongue",
    "your tongue",
    "the tongue",
    "tongue",
    "in the mouth",
    "in my mouth",
    "in your mouth",
    "lick it",
    "lick the",
    "licking",
    "lick your",
    "spit on",
    "spit into",
    "with spit",
    "some spit",
    "bit of spit",
    "saliva",
    "suck it",
    "suck the",
]);
/// What a mouth may be said of: parts that have teeth, solder that is sucked.
pub const NO_MOUTH: Class = Class::Words(&[
    "gear",
    "comb",
    "saw",
    "pump",
    "sucker",
    "solder sucker",
    "suck the solder",
    "suck the old solder",
    "held my tongue",
    "hold my tongue",
    "slip of the tongue",
    "guy who",
    "man who",
    "one who",
    "used to",
    "never",
    "not",
    "no",
]);
