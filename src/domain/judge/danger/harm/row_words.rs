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
