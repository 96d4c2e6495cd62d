//! The words of [`crate::domain::judge::readings::net_words`]: what the abbreviations in net names stand for, and what may
//! stand around them.
//!
//! Leaves out how they are read. Common practice, no source.

/// Abbreviations in net names: what stands for them, one list of words a thing that must be said.
pub(super) const PIECES: &[(&str, &[&[&str]])] = &[
    (
        "out",
        &[&[
            "output",
            "puts out",
            "put out",
            "putting out",
            "gives out",
            "gave out",
        ]],
    ),
    ("in", &[&["input", "inlet"]]),
    ("chg", &[&["charge", "charging", "charger", "cradle"]]),
    ("core", &[&["core", "processor core", "cpu core"]]),
    ("ref", &[&["reference", "ref"]]),
    ("gate", &[&["gate", "gate drive"]]),
    (
        "bulk",
        &[&[
            "reservoir",
            "big reservoir",
            "reservoir cap",
            "reservoir capacitor",
            "mains reservoir",
            "bulk",
        ]],
    ),
    (
        "pa",
        &[&[
            "pa",
            "power amp",
            "power amplifier",
            "power stage",
            "transmit",
            "transmitter",
        ]],
    ),
    ("mod", &[&["modem"]]),
    ("hold", &[&["hold up", "holdup"]]),
    ("bak", &[&["back up", "backup"]]),
    ("pack", &[&["pack"]]),
    ("bat", &[&["battery", "vehicle"]]),
    ("batt", &[&["battery"]]),
    ("bank", &[&["bank", "battery bank"]]),
    ("raw", &[&["raw", "unfused", "incoming"]]),
    (
        "f",
        &[&[
            "fused",
            "after the fuse",
            "behind the fuse",
            "past the fuse",
        ]],
    ),
    ("sb", &[&["standby", "stand by", "stby", "sb", "always on"]]),
    ("ao", &[&["always on", "ao", "permanent"]]),
    ("sens", &[&["sensor", "sensors", "sense"]]),
    ("iso", &[&["isolated", "iso"]]),
    ("reset", &[&["reset", "rst"]]),
    ("wake", &[&["wake", "wake up"]]),
    ("pgood", &[&["power good", "pg", "p good"]]),
    ("fault", &[&["fault"]]),
    ("en", &[&["enable"]]),
    ("clk", &[&["clock", "clk"]]),
    ("tcxo", &[&["reference clock", "reference oscillator"]]),
    (
        "canh",
        &[&["can", "bus", "can bus", "network"], &["high", "h", "hi"]],
    ),
    (
        "canl",
        &[&["can", "bus", "can bus", "network"], &["low", "l", "lo"]],
    ),
    (
        "led_a",
        &[
            &["led", "leds", "backlight"],
            &[
                "anode", "supply", "feed", "voltage", "string", "rail", "line",
            ],
        ],
    ),
    ("led", &[&["led", "leds", "backlight"]]),
    ("hv", &[&["high voltage", "hv", "ht"]]),
    ("tx", &[&["transmit", "transmitter", "tx"]]),
    ("drain", &[&["drain"]]),
    (
        "pri",
        &[&[
            "primary",
            "primary switch",
            "primary transistor",
            "primary side",
        ]],
    ),
    ("ant", &[&["antenna", "aerial"]]),
    ("feed", &[&["feed", "supply", "voltage"]]),
    ("bias", &[&["bias"]]),
    ("spk", &[&["speaker", "loudspeaker"]]),
    ("audio", &[&["audio"]]),
    ("ai", &[&["analogue input", "analog input", "input"]]),
    (
        "ntc",
        &[&["thermistor", "ntc", "temperature sensor", "sensor"]],
    ),
    ("hs", &[&["heat sink", "heatsink"]]),
    ("rly", &[&["relay"]]),
    ("drv", &[&["drive", "driver"]]),
    (
        "isense",
        &[&["current sense", "motor current", "sensed current"]],
    ),
    ("pwr", &[&["power"]]),
    ("key", &[&["key", "button"]]),
    ("mot", &[&["motor"]]),
    ("phase", &[&["phase"]]),
    ("fb", &[&["feedback"]]),
    ("a", &[&["a"]]),
    ("b", &[&["b"]]),
    ("c", &[&["c"]]),
];
/// What is said of the two lines of a pair, one against the other.
pub(super) const PAIR: [&str; 5] = [
    "h to l",
    "high to low",
    "hi to lo",
    "line to line",
    "one line to the other",
];
/// The same in two words, with small ones between.
pub(super) const FROM_TO: [&str; 3] = ["between", "across", "over"];
/// What lies on both sides of it.
pub(super) const LINES: [&str; 9] = [
    "lines",
    "wires",
    "pair",
    "bus",
    "pins",
    "conductors",
    "leads",
    "legs",
    "ends",
];
/// What is said of the supply's draw.
pub(super) const DRAW: [&str; 18] = [
    "ammeter",
    "amp meter",
    "supply shows",
    "supply reads",
    "psu shows",
    "psu reads",
    "supply meter",
    "milliamps",
    "milliamp",
    "drew",
    "what it pulls",
    "what it takes",
    "what it draws",
    "what it eats",
    "how much it pulls",
    "how much it takes",
    "how much it draws",
    "what the supply gives",
];
/// Words after a net that say that it is one.
pub(super) const HEADS: [&str; 20] = [
    "rail",
    "rails",
    "line",
    "supply",
    "voltage",
    "volts",
    "volt",
    "v",
    "net",
    "signal",
    "level",
    "side",
    "terminal",
    "terminals",
    "track",
    "pin",
    "wire",
    "node",
    "output",
    "feed",
];
/// Words that may stand between the words of a net.
pub(super) const BETWEEN: [&str; 17] = [
    "two", "both", "can", "network", "data", "on", "for", "at", "of", "the", "-", "line", "side",
    "v", "volt", "volts", "rail",
];
/// Single words that are said for their net without any other.
pub(super) const ALONE: [&str; 10] = [
    "reset", "pgood", "bulk", "clk", "ai", "out", "spk", "audio", "tcxo", "ntc",
];
/// Words after a net that make it a part or a current.
pub(super) const PART_WORDS: [&str; 14] = [
    "chip", "stage", "pull", "pullup", "cap", "caps", "can", "current", "button", "socket", "plug",
    "header", "lead", "coil",
];
