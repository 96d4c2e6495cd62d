//! The things that unsafe acts are done to. Word lists: common practice, no source.

use crate::domain::judge::danger::hazards::Thing;

/// No thing at all: a row with it holds for any object.
pub const NOTHING: Thing = Thing {
    words: &[],
    not_before: &[],
    not_after: &[],
    letters: &[],
    named: &[],
    named_not: &[],
};

/// Fuses of every kind.
pub const FUSE: Thing = Thing {
    words: &[
        "fuse",
        "fuses",
        "fuseholder",
        "polyfuse",
        "polyfuses",
        "polyswitch",
        "fusible",
        "breaker",
        "breakers",
    ],
    not_before: &["bit", "bits"],
    letters: &["F", "XF"],
    named: &["fuse", "polyfuse", "fusible", "breaker"],
    ..NOTHING
};

/// Other things that are there to protect.
pub const GUARD: Thing = Thing {
    words: &[
        "tvs",
        "transil",
        "varistor",
        "mov",
        "surge arrester",
        "surge suppressor",
        "suppressor",
        "crowbar",
        "interlock",
        "interlocks",
        "safety switch",
        "lid switch",
        "door switch",
        "estop",
        "e stop",
        "emergency stop",
        "thermal cutout",
        "thermal cut out",
        "thermal switch",
        "temperature switch",
        "temperature cutout",
        "temperature cut out",
        "thermostat",
        "over temperature",
        "overtemperature",
        "overtemp",
        "over temp",
        "thermal trip",
        "thermal protection",
        "thermal shutdown",
        "temperature protection",
        "temperature trip",
        "temp trip",
        "over current",
        "overcurrent",
        "over voltage",
        "overvoltage",
        "ocp",
        "ovp",
        "otp",
        "rcd",
        "gfci",
        "protection circuit",
        "cell protection",
        "battery protection",
        "protection board",
        "bms",
        "y capacitor",
        "y cap",
        "x capacitor",
        "x cap",
        "safety capacitor",
    ],
    letters: &["TVS", "RV"],
    named: &[
        "tvs",
        "varistor",
        "suppressor",
        "arrester",
        "interlock",
        "cutout",
        "thermostat",
        "crowbar",
    ],
    ..NOTHING
};

/// What clamps a surge, by its name on the board.
pub const CLAMP: Thing = Thing {
    words: &[
        "surge clamp",
        "input clamp",
        "load dump clamp",
        "surge array",
        "clamp",
    ],
    named: &["clamp", "surge", "varistor", "tvs", "load-dump"],
    ..NOTHING
};

/// What must be free to act or to say that something is wrong: trips, alarms, and parts that hold back
/// a reversed, sudden or endless current.
pub const STILLED: Thing = Thing {
    words: &[
        "trip",
        "trips",
        "alarm",
        "alarms",
        "watchdog",
        "isense",
        "current sense",
        "thermal switch",
        "fault line",
        "fault pin",
        "fault signal",
        "fault n",
        "fault output",
        "overvoltage",
        "over voltage",
        "ovp",
        "ocp",
        "limit switch",
        "reverse polarity",
        "precharge",
        "pass fet",
        "pass transistor",
        "safety chain",
        "emergency",
        "smoke detector",
    ],
    not_before: &["point", "level", "current", "voltage"],
    named: &[
        "reverse-polarity",
        "watchdog",
        "precharge",
        "pass",
        "thermal",
    ],
    named_not: &["capacitor", "resistor", "inductor"],
    ..NOTHING
};

/// Parts that hold back a reversed, sudden, surging or endless current, by their name on the board.
pub const HOLDS_BACK: Thing = Thing {
    words: &[
        "flyback diode",
        "precharge relay",
        "pass fet",
        "pass transistor",
        "reverse polarity",
    ],
    named: &["reverse-polarity", "flyback", "precharge", "pass"],
    ..NOTHING
};

/// What keeps a unit from burning.
pub const COOLING: Thing = Thing {
    words: &["fan", "heat sink", "heatsink"],
    not_before: &["driver", "drive", "supply", "plug", "socket", "sensor"],
    named: &["fan"],
    named_not: &["driver"],
    ..NOTHING
};

/// Lines that tell of a fault, a limit or a temperature.
pub const TELLING_LINE: Thing = Thing {
    words: &[
        "fault n",
        "fault",
        "alarm",
        "temp pin",
        "temp line",
        "temp input",
        "temperature pin",
        "temperature line",
        "temperature input",
        "thermal pin",
        "therm",
        "isense",
        "ocp",
        "ovp",
        "trip",
        "over temp",
        "overtemp",
        "limit pin",
        "protect",
        "shutdown pin",
        "desat",
    ],
    ..NOTHING
};

/// What carries volts that hurt, by word or by its name on the board.
pub const HIGH_VOLTS: Thing = Thing {
    words: &["hv", "high voltage", "bulk", "mains", "primary"],
    named: &["transmit", "primary", "mains", "bulk"],
    named_not: &["secondary", "supply"],
    ..NOTHING
};

/// Protections that are a pair of contacts: joining these defeats them.
pub const GUARD_CONTACTS: Thing = Thing {
    words: &[
        "interlock",
        "interlocks",
        "safety switch",
        "lid switch",
        "door switch",
        "estop",
        "e stop",
        "emergency stop",
        "thermal cutout",
        "thermal cut out",
        "thermal switch",
        "temperature switch",
        "temperature cut out",
        "reed switch",
        "thermostat",
    ],
    named: &["interlock", "cutout", "thermostat"],
    ..NOTHING
};

/// Protective earth.
pub const EARTH: Thing = Thing {
    words: &[
        "earth",
        "protective earth",
        "safety ground",
        "ground prong",
        "mains ground",
        "earthing",
    ],
    not_before: &["clip", "clips", "crocodile", "fault", "spring"],
    not_after: &["wrist"],
    ..NOTHING
};

/// What keeps mains from people.
pub const INSULATION: Thing = Thing {
    words: &[
        "insulator",
        "insulators",
        "insulating",
        "insulation sheet",
        "insulation barrier",
        "insulation paper",
        "insulation film",
        "isolation barrier",
        "isolation sheet",
        "mica",
        "mains cover",
        "safety cover",
    ],
    ..NOTHING
};

/// What bridges or keeps the isolation between mains and the rest.
pub const BARRIER: Thing = Thing {
    words: &[
        "optocoupler",
        "opto",
        "optocouplers",
        "opto coupler",
        "photocoupler",
        "isolator",
        "isolation",
        "isolation slot",
        "isolation barrier",
        "isolation gap",
        "isolated converter",
        "isolated supply",
        "creepage",
        "y capacitor",
        "y cap",
    ],
    not_before: &["transformer"],
    named: &[
        "optocoupler",
        "opto",
        "isolator",
        "photocoupler",
        "isolated",
    ],
    ..NOTHING
};

/// Lithium and other cells.
pub const CELL: Thing = Thing {
    words: &[
        "cell",
        "cells",
        "battery",
        "batteries",
        "batt",
        "lipo",
        "lithium",
        "li ion",
        "li po",
        "liion",
        "pouch",
        "pack",
        "18650",
    ],
    not_before: &[
        "connector",
        "connectors",
        "holder",
        "socket",
        "plug",
        "lead",
        "leads",
        "clip",
        "charger",
        "fet",
        "gauge",
        "sense",
        "rail",
        "line",
        "switch",
        "contact",
        "contacts",
        "spring",
        "voltage",
        "input",
        "node",
        "door",
        "cover",
        "side",
        "path",
        "ic",
        "chip",
        "management",
        "monitor",
        "connection",
        "removed",
        "out",
        "disconnected",
        "unplugged",
        "off",
        "circuit",
        "first",
        "jack",
        "pads",
        "pad",
        "trace",
        "current",
    ],
    not_after: &["from", "without", "fuel"],
    letters: &["BT"],
    named: &["cell", "lithium", "battery", "pack"],
    named_not: &[
        "connector",
        "charger",
        "gauge",
        "fet",
        "switch",
        "sense",
        "holder",
        "protection",
        "monitor",
        "resistor",
        "capacitor",
        "fuse",
        "management",
        "balancer",
    ],
};

/// A cell that somebody opens or shorts: "out" or "first" after it does not make it another thing.
pub const CELL_HARMED: Thing = Thing {
    not_before: CELL_TO_CHARGE.not_before,
    ..CELL
};

/// A cell that somebody charges: "first" after it says when.
pub const CELL_TO_CHARGE: Thing = Thing {
    not_before: &[
        "connector",
        "connectors",
        "holder",
        "charger",
        "fet",
        "gauge",
        "sense",
        "rail",
        "line",
        "switch",
        "contact",
        "contacts",
        "voltage",
        "current",
        "path",
        "circuit",
        "ic",
        "chip",
    ],
    ..CELL
};

/// What keeps a first power-up small.
pub const LIMITER: Thing = Thing {
    words: &[
        "current limit",
        "current limiter",
        "current limiting",
        "series lamp",
        "lamp limiter",
        "limiter",
    ],
    not_after: &["inrush"],
    ..NOTHING
};

/// What tells a charger or a power stage how much current flows.
pub const CURRENT_SENSE: Thing = Thing {
    words: &[
        "current sense",
        "charge sense",
        "current shunt",
        "shunt",
        "sense resistor",
    ],
    not_before: &["amp", "amplifier", "chip"],
    not_after: &["ignition", "ign", "voltage"],
    named: &["shunt", "sense"],
    named_not: &["ignition", "voltage", "feedback", "temperature"],
    ..NOTHING
};

/// Parts of the mains side, by their name on the board.
pub const MAINS_PART: Thing = Thing {
    named: &["mains", "primary", "bulk"],
    named_not: &["secondary"],
    ..NOTHING
};

/// Capacitors that store what can kill.
pub const BULK: Thing = Thing {
    words: &[
        "bulk",
        "reservoir",
        "smoothing",
        "dc link",
        "dc bus",
        "main cap",
        "main caps",
        "main capacitor",
        "mains cap",
        "mains capacitor",
        "primary cap",
        "primary capacitor",
        "hv cap",
        "hv capacitor",
        "high voltage cap",
        "high voltage capacitor",
        "big cap",
        "big caps",
    ],
    named: &["bulk", "reservoir", "smoothing"],
    ..NOTHING
};

/// Capacitors that a tool is put across.
pub const CAPACITOR: Thing = Thing {
    words: &[
        "capacitor",
        "capacitors",
        "cap",
        "caps",
        "bulk",
        "reservoir",
        "smoothing",
        "dc link",
        "dc bus",
        "electrolytic",
        "bus",
        "supercap",
        "supercaps",
        "supercapacitor",
        "supercapacitors",
        "elko",
    ],
    letters: &["C"],
    ..NOTHING
};

/// Sensors and limiters of temperature.
pub const THERMISTOR: Thing = Thing {
    words: &[
        "thermistor",
        "thermistors",
        "ntc",
        "temperature sensor",
        "temp sensor",
        "inrush limiter",
        "temperature input",
        "temp input",
        "heat sink sensor",
        "heatsink sensor",
    ],
    named: &["thermistor", "ntc", "inrush", "heat-sink"],
    ..NOTHING
};

/// Capacitors that stand between mains and people.
pub const SAFETY_CAPACITOR: Thing = Thing {
    words: &[
        "y capacitor",
        "y cap",
        "y caps",
        "x capacitor",
        "x cap",
        "class y",
        "class x",
        "y class",
        "x class",
        "safety capacitor",
        "safety cap",
    ],
    named: &["y-capacitor", "x-capacitor"],
    ..NOTHING
};

/// Resistors that empty a capacitor.
pub const BLEEDER: Thing = Thing {
    words: &["bleeder", "bleeders", "bleed resistor", "bleed"],
    named: &["bleeder"],
    ..NOTHING
};

/// An oscilloscope, for its earth.
pub const SCOPE_EARTH: Thing = Thing {
    words: &["scope", "oscilloscope"],
    ..NOTHING
};

/// What is left of leaded solder.
pub const DROSS: Thing = Thing {
    words: &[
        "dross",
        "lead dust",
        "solder dust",
        "solder tray",
        "dross tray",
        "tray",
        "lead oxide",
    ],
    ..NOTHING
};

/// Ceramic that is poisonous as dust.
pub const BERYLLIA: Thing = Thing {
    words: &[
        "beryllia",
        "beryllium",
        "white ceramic",
        "ceramic base",
        "ceramic flat",
    ],
    ..NOTHING
};

/// Old parts filled with oil.
pub const OIL_FILLED: Thing = Thing {
    words: &[
        "oil filled",
        "oil capacitor",
        "oil cap",
        "pcb capacitor",
        "leaking oil",
    ],
    ..NOTHING
};
